"""Row-by-row steps of a proved sock, as data and as text.

Equal rows are printed once with their numbers, recurring groups as "repeat rows 2–3"; every
section begins and ends with a checkpoint taken from the trace, so that a knitter can tell at once
whether all is well.
"""

from __future__ import annotations

from dataclasses import dataclass

from charts.folding import Block, fold
from charts.parts import Part, PartRecord, part_record, parts_of
from charts.plan import Plan
from charts.rows import Holder, Move, Row, Section
from charts.spec import ShortRows
from charts.stitches import drawn_in
from charts.verify import Knit
from charts.virtual_loom import State
from charts.words import move_text, row_text, side_of, span

LONGEST_ROW_REPEAT = 60
"""Rows in a repeated group at most: the tallest motif."""


@dataclass(frozen=True)
class RowStep:
    """One row, or several equal ones."""

    section: Section
    first: int
    """Row number; 0 for pegs worked on to where the next section starts."""
    last: int
    to_right: bool
    """Whether the knitter's eye moves to the right along the row."""
    text: str
    stitches: int
    """Stitches drawn in one such row."""
    shaped: bool
    """Whether the count is worth printing: it differs from row to row here."""

    @property
    def label(self) -> str:
        return row_label(self.section, self.first, self.last)

    @property
    def boxes(self) -> int:
        """Tick boxes: one a row."""
        return self.last - self.first + 1


@dataclass(frozen=True)
class RepeatStep:
    """Rows that are worked as an earlier group, a whole number of times."""

    section: Section
    first: int
    last: int
    like_first: int
    like_last: int

    @property
    def times(self) -> int:
        return (self.last - self.first + 1) // (self.like_last - self.like_first + 1)

    @property
    def label(self) -> str:
        return row_label(self.section, self.first, self.last)

    @property
    def text(self) -> str:
        if self.times == 1:
            verb = "work as row" if self.like_first == self.like_last else "work as rows"
            return f"{verb} {span(self.like_first, self.like_last)}."
        noun = "row" if self.like_first == self.like_last else "rows"
        return f"repeat {noun} {span(self.like_first, self.like_last)}, {self.times} times more."

    @property
    def boxes(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True)
class MoveStep:
    """A move between rows; no yarn is used."""

    move: Move
    text: str

    @property
    def boxes(self) -> int:
        return 1


@dataclass(frozen=True)
class ThreadStep:
    """A thread tied to a loop, from which rows are counted later; no loop changes."""

    text: str

    @property
    def boxes(self) -> int:
        return 1


@dataclass(frozen=True)
class Checkpoint:
    """What the knitter must find; taken from the trace."""

    state: State
    text: str


Step = RowStep | RepeatStep | MoveStep | ThreadStep | Checkpoint


@dataclass(frozen=True)
class PartSteps:
    """The steps of one part."""

    part: Part
    starts: Checkpoint
    steps: tuple[Step, ...]
    ends: Checkpoint
    counting: str
    """How to count what is done."""


Steps = tuple[PartSteps, ...]


def make_steps(knit: Knit) -> Steps:
    """The steps of every part of the sock."""
    return tuple(make_part_steps(knit, part) for part in parts_of(knit))


def make_part_steps(knit: Knit, part: Part) -> PartSteps:
    """The steps of one part."""
    record = part_record(knit, part)
    return PartSteps(
        part,
        _checkpoint(knit, record.starts),
        tuple(_steps(knit, record)),
        _end_checkpoint(knit, record),
        _counting(knit.plan, part),
    )


def row_label(section: Section, first: int, last: int) -> str:
    """ "Row 3", "Rows 3–8", "Partial row", "Run on"."""
    if first == 0:
        return "Run on"
    if section is Section.PARTIAL:
        return "Partial row"
    return f"Row {first}" if first == last else f"Rows {span(first, last)}"


def _steps(knit: Knit, record: PartRecord) -> list[Step]:
    """Moves as they come, then what they lead to; the rows between them folded."""
    steps: list[Step] = []
    if record.part is Part.FLAP:
        # The instep waits from here on, so its last row shows where the foot begins.
        steps.append(ThreadStep(_thread_text(knit.plan)))
    stretch: list[Row] = []
    for event, before, _ in record.happenings:
        if isinstance(event, Row):
            if steps and isinstance(steps[-1], MoveStep) and not stretch:
                steps.append(_checkpoint(knit, before))
            if stretch and stretch[-1].section is not event.section:
                steps += _row_steps(knit, stretch)
                stretch = []
            stretch.append(event)
        else:
            steps += _row_steps(knit, stretch)
            stretch = []
            steps.append(MoveStep(event, move_text(event, knit.plan.loom)))
    return steps + _row_steps(knit, stretch)


def _row_steps(knit: Knit, rows: list[Row]) -> list[Step]:
    steps: list[Step] = []
    for block in fold_rows(rows):
        pattern = rows[block.start : block.start + block.period]
        if block.period == 1:
            steps.append(_row_step(knit, pattern[0], block.times))
            continue
        steps += [_row_step(knit, row, 1) for row in pattern]
        first = pattern[0]
        steps.append(
            RepeatStep(
                first.section,
                first.number + block.period,
                rows[block.end - 1].number,
                first.number,
                pattern[-1].number,
            )
        )
    return _short_tails(steps, rows)


def fold_rows(rows: list[Row]) -> list[Block]:
    """Rows folded into repeated groups; a row that runs on is never folded into one."""
    keys = [(row.direction, row.pegs, row.stitches, row.number == 0) for row in rows]
    return fold(keys, longest=LONGEST_ROW_REPEAT)


def _short_tails(steps: list[Step], rows: list[Row]) -> list[Step]:
    """After a repeated group, rows that begin the group once more are named, not spelt out."""
    by_number = {row.number: row for row in rows if row.number}
    out: list[Step] = []
    index = 0
    while index < len(steps):
        step = steps[index]
        out.append(step)
        index += 1
        if not isinstance(step, RepeatStep):
            continue
        tail: list[RowStep] = []
        for follower in steps[index:]:
            like = step.like_first + len(tail)
            if (
                isinstance(follower, RowStep)
                and follower.first == follower.last
                and follower.first
                and like <= step.like_last
                and _same(by_number[follower.first], by_number[like])
            ):
                tail.append(follower)
            else:
                break
        if tail:
            out.append(
                RepeatStep(
                    step.section,
                    tail[0].first,
                    tail[-1].last,
                    step.like_first,
                    step.like_first + len(tail) - 1,
                )
            )
            index += len(tail)
    return out


def _same(row: Row, other: Row) -> bool:
    return (row.direction, row.pegs, row.stitches) == (other.direction, other.pegs, other.stitches)


def _row_step(knit: Knit, row: Row, times: int) -> RowStep:
    loom = knit.plan.loom
    return RowStep(
        row.section,
        row.number,
        row.number + times - 1,
        row.direction == loom.rightward,
        row_text(row, loom),
        drawn_in(row.stitches),
        row.section in (Section.FLAP, Section.PARTIAL, Section.TURN, Section.TOE),
    )


def _checkpoint(knit: Knit, state: State) -> Checkpoint:
    return Checkpoint(state, checkpoint_text(knit.plan, state))


def _end_checkpoint(knit: Knit, record: PartRecord) -> Checkpoint:
    if record.part is Part.CLOSING:
        return Checkpoint(record.ends, "both needles are empty; no loop is left")
    return _checkpoint(knit, record.ends)


def checkpoint_text(plan: Plan, state: State) -> str:
    """One sentence: where the yarn is and how many loops are where."""
    parts = []
    if state.yarn_peg is not None:
        parts.append(f"yarn at peg {state.yarn_peg}")
    heel_live = state.live_pegs - plan.instep_pegs
    if state.live_pegs == plan.loom.pegs:
        parts.append(f"all {state.live_pegs} pegs live")
    elif 0 < heel_live <= plan.centre_pegs:
        parts.append(f"{heel_live} live pegs at the heel, {plan.instep_pegs} waiting on the instep")
    elif state.live_pegs:
        parts.append(f"{state.live_pegs} live pegs")
    if state.loops != state.live_pegs:
        extra = "lifted bars" if state.loops > state.live_pegs + 1 else "moved loop"
        parts.append(f"{state.loops} loops on them, the {extra} counted")
    if state.held_near or state.held_far:
        near, far = side_of(Holder.NEAR, plan.loom), side_of(Holder.FAR, plan.loom)
        if state.held_near == state.held_far:
            loops = "1 loop" if state.held_near == 1 else f"{state.held_near} loops"
            parts.append(f"{loops} on each holder")
        else:
            parts.append(
                f"{state.held_near} on the {near} holder, {state.held_far} on the {far} holder"
            )
    elif 0 < heel_live <= plan.centre_pegs:
        parts.append("both holders empty")
    if state.on_front or state.on_back:
        parts.append(f"{state.on_front} loops on the front needle, {state.on_back} on the back")
    return "; ".join(parts) if parts else "the loom is empty"


def _counting(plan: Plan, part: Part) -> str:
    """How the knitter counts rows without a counter; common practice, no published source."""
    spec = plan.spec
    match part:
        case Part.CUFF:
            return (
                "Each row adds one V to a column of knit stitches: count the Vs above the "
                f"cast-on edge, the loop on the peg as the last: {spec.cuff.rows}."
            )
        case Part.LEG:
            return (
                f"Count the Vs of {_purled_back_column(plan)} up from the ribbing, the loop on the "
                f"peg as the last: {spec.leg.rows}."
            )
        case Part.FLAP:
            half = plan.flap_rows // 2
            return (
                "Counts leave out slipped stitches. "
                f"One edge loop stands for two rows: {half} on each edge once the partial row "
                "is done, the last of them still live."
            )
        case Part.TURN:
            return (
                "Each row takes one loop off a holder: what is left on both holders is the rows "
                "still to work. A join counts as two stitches."
            )
        case Part.FOOT:
            return (
                f"Count the Vs of {_instep_column(plan)} above the contrasting thread, tied there "
                f"before the heel flap, the loop on the peg as the last: {spec.foot.rows}."
            )
        case Part.TOE:
            done = "turned" if spec.toe.short_rows is ShortRows.TURNED else "wrapped"
            return (
                f"After the narrowing {plan.toe_side} pegs are {done} at each side, with "
                f"{plan.toe_centre} plain between them; each widening row clears one."
            )
        case Part.CLOSING:
            return f"Tick each pair: {plan.toe_pegs} in all."


def _thread_text(plan: Plan) -> str:
    """The thread that the foot is counted from; common practice, no published source."""
    return (
        f"Tie a contrasting thread to the loop of {_instep_column(plan)}; leave it there: the "
        "foot’s rows are counted from it."
    )


def _purled_back_column(plan: Plan) -> str:
    """A column at the back whose first leg row shows, because the cuff purled it."""
    purled = [peg for peg in plan.pegs(1, plan.heel_pegs) if plan.cuff_letters[peg - 1] == "p"]
    return f"peg {purled[0]}" if purled else "one back column"


def _instep_column(plan: Plan) -> str:
    """An instep peg that is knitted in every row of the motif; its Vs can be counted."""
    height = 1 if plan.panel is None else plan.panel.height
    rows = [plan.instep_letters(row) for row in range(1, height + 1)]
    plain = [
        place
        for place in range(plan.instep_pegs)
        if all(row[place] == plan.knit_letter for row in rows)
        # The flap is told once for both socks of a pair whose panels mirror each other.
        and (
            not plan.spec.mirror_second_sock
            or all(row[-1 - place] == plan.knit_letter for row in rows)
        )
    ]
    if not plain:
        return "the middle instep peg"
    middle = min(plain, key=lambda place: (abs(2 * place - plan.instep_pegs + 1), place))
    return f"instep peg {plan.peg(plan.heel_pegs + 1 + middle)}"
