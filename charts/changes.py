"""What a knitter with an old print must correct: two proved socks compared row by row.

Rows are matched by the number that is printed beside them, because that is how a knitter finds
them: a correction of row 7 must be written at row 7.  Pegs that are worked alike in both prints are
left out; rows with the same correction are told once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from charts.loom import Loom, PegNumber
from charts.parts import Part
from charts.rows import RUN_ON, Event, Move, Row, Rows, Section
from charts.steps import row_label
from charts.stitches import STITCHES
from charts.verify import Knit
from charts.words import move_text, row_runs, row_text, span, spans

MOST_IN_ROW: Final = 4
"""Corrections of single pegs in a row at most; a row with more is written anew."""
LEAST_SERIES: Final = 4
"""Row numbers at even distances from this many on are told as "2, 6 … 30"."""


@dataclass(frozen=True)
class StitchChange:
    """Neighbouring pegs of some rows that are worked otherwise now."""

    section: Section
    rows: tuple[int, ...]
    """As printed, rising."""
    direction: int
    pegs: tuple[PegNumber, ...]
    """In the order the yarn visits them."""
    old: str
    """One letter of the stitch table a peg."""
    new: str


@dataclass(frozen=True)
class RowChange:
    """Rows that go over other pegs now, are new, or are left out."""

    section: Section
    rows: tuple[int, ...]
    """As printed, rising."""
    old: Row | None
    """As it was, of rows left out the first; None for a new row."""
    new: Row | None
    """None for a row that is left out."""


@dataclass(frozen=True)
class MoveChange:
    """A move between rows that is done otherwise now, elsewhere, or not at all."""

    section: Section
    old: Move | None
    new: Move | None
    after: tuple[int, int]
    """How many rows of the section lie before it, in the old print and in the new."""


Change = StitchChange | RowChange | MoveChange


@dataclass(frozen=True)
class Correction:
    """A change in words: a line of the slip."""

    part: Part
    where: str
    """ "Rows 3–8", "Before row 1"."""
    pegs: str
    """ "18–19"; empty where the whole row or a move is meant."""
    old: str
    new: str

    @property
    def place(self) -> str:
        """ "Rows 3–8, pegs 18–19"."""
        if not self.pegs:
            return self.where
        return f"{self.where}, {'pegs' if '–' in self.pegs else 'peg'} {self.pegs}"


@dataclass(frozen=True)
class SockCorrections:
    """Everything to correct in the print of one sock."""

    name: str
    """Which sock it is, e.g. "Size M"; empty where there is one only."""
    loom_text: str
    """ "24 pegs, 5/8 in apart"."""
    corrections: tuple[Correction, ...]
    another_ring: str = ""
    """Why the old print cannot be corrected, if it cannot."""


def compare_pairs(
    old: tuple[Knit, Knit], new: tuple[Knit, Knit], *, name: str = ""
) -> tuple[SockCorrections, ...]:
    """What to correct in the print of a pair; of the second sock only what the first has not.

    Nothing where the socks are the same.
    """
    loom = new[0].plan.loom
    loom_text = f"{loom.pegs} pegs, {loom.spacing_text} apart"
    was = old[0].plan.loom
    if not same_ring(was, loom):
        why = (
            f"the old print is for {was.pegs} pegs worked from {was.working.value}, the new one "
            f"for {loom.pegs} pegs worked from {loom.working.value}: print it anew"
        )
        return (SockCorrections(name, loom_text, (), why),)
    first, second = (corrections(before, after) for before, after in zip(old, new, strict=True))
    more = tuple(one for one in second if one not in first)
    second_name = f"{name}, second sock" if name else "Second sock"
    found = (
        SockCorrections(name, loom_text, first),
        SockCorrections(f"{second_name}, besides", loom_text, more),
    )
    return tuple(one for one in found if one.corrections)


def find_changes(old: Rows, new: Rows) -> tuple[Change, ...]:
    """Every difference between two socks on rings of equal size and working, in knitting order.

    No change means that the two are the same sock.  Raises ValueError if the rings differ.
    """
    if not same_ring(old.loom, new.loom):
        raise ValueError("the two socks are made on different rings")
    return tuple(change for section in Section for change in _in_section(section, old, new))


def same_ring(old: Loom, new: Loom) -> bool:
    """Whether peg numbers mean the same pegs on both; their spacing makes no stitch differ."""
    return (old.pegs, old.working) == (new.pegs, new.working)


def corrections(old: Knit, new: Knit) -> tuple[Correction, ...]:
    """The changes between two proved socks in words.  Raises ValueError if the rings differ."""
    loom = new.plan.loom
    return tuple(_told(change, loom) for change in find_changes(old.rows, new.rows))


def _in_section(section: Section, old: Rows, new: Rows) -> Iterator[Change]:
    old_events, new_events = old.of(section), new.of(section)
    if old_events == new_events:
        return
    changes = [
        *_move_changes(section, old_events, new_events),
        *_gathered(_row_changes(section, old_events, new_events, new.loom)),
    ]
    yield from sorted(changes, key=_place)


def _place(change: Change) -> tuple[float, bool]:
    """Moves stand before the row that follows them; a row that runs on comes last."""
    if isinstance(change, MoveChange):
        return (change.after[0 if change.new is None else 1] + 1, False)
    return (change.rows[0] if change.rows[0] != RUN_ON else float("inf"), True)


# --- Moves -----------------------------------------------------------------------------------


def _move_changes(
    section: Section, old: Sequence[Event], new: Sequence[Event]
) -> Iterator[MoveChange]:
    """Moves matched in their order."""
    old_moves, new_moves = list(_moves(old)), list(_moves(new))
    for index in range(max(len(old_moves), len(new_moves))):
        before, old_move, was_last = _at(old_moves, index)
        after, new_move, is_last = _at(new_moves, index)
        if old_move != new_move or (before != after and not (was_last and is_last)):
            yield MoveChange(section, old_move, new_move, (before, after))


def _moves(events: Sequence[Event]) -> Iterator[tuple[int, Move, bool]]:
    """Each move, how many rows lie before it, and whether they are all of the section's."""
    rows = sum(isinstance(event, Row) for event in events)
    before = 0
    for event in events:
        if isinstance(event, Row):
            before += 1
        else:
            yield before, event, before == rows


def _at(moves: Sequence[tuple[int, Move, bool]], index: int) -> tuple[int, Move | None, bool]:
    return moves[index] if index < len(moves) else (0, None, False)


# --- Rows ------------------------------------------------------------------------------------


def _row_changes(
    section: Section, old: Sequence[Event], new: Sequence[Event], loom: Loom
) -> Iterator[StitchChange | RowChange]:
    """The changes of each row by its number, a row that runs on last."""
    old_rows = {event.number: event for event in old if isinstance(event, Row)}
    new_rows = {event.number: event for event in new if isinstance(event, Row)}
    for number in sorted(old_rows.keys() | new_rows.keys(), key=lambda one: (one == RUN_ON, one)):
        was, now = old_rows.get(number), new_rows.get(number)
        if was == now:
            continue
        yield from _stitch_changes(was, now, loom) or (RowChange(section, (number,), was, now),)


def _stitch_changes(old: Row | None, new: Row | None, loom: Loom) -> list[StitchChange]:
    """The row's changes peg by peg; none where the whole row is better written anew."""
    if not old or not new or (old.pegs, old.direction) != (new.pegs, new.direction):
        return []
    places = list(_changed_places(old, new, loom))
    if len(places) > MOST_IN_ROW:
        return []
    return [
        StitchChange(
            new.section,
            (new.number,),
            new.direction,
            new.pegs[first:end],
            old.stitches[first:end],
            new.stitches[first:end],
        )
        for first, end in places
    ]


def _changed_places(old: Row, new: Row, loom: Loom) -> Iterator[tuple[int, int]]:
    """Stretches `[first, end)` of the row that hold a change; a cable cross is never cut."""
    first = start = 0
    for end in sorted(_uncut(old, loom) & _uncut(new, loom)):
        changed = old.stitches[start:end] != new.stitches[start:end]
        if start > first and not (changed and _goes_on(old, new, start)):
            yield first, start
            first = start
        if not changed:
            first = end
        start = end
    if start > first:
        yield first, start


def _goes_on(old: Row, new: Row, place: int) -> bool:
    """Whether the pegs before and at the place are neighbours that are worked alike, in each print;
    crosses stand for themselves."""
    return all(
        row.stitches[place - 1] == row.stitches[place]
        and not STITCHES[row.stitches[place]].cross
        and row.pegs[place] == row.pegs[place - 1] + row.direction
        for row in (old, new)
    )


def _uncut(row: Row, loom: Loom) -> set[int]:
    """Places 1 to the row's length where no cable cross runs on."""
    bounds: set[int] = set()
    end = 0
    for run in row_runs(row, loom):
        crossed = STITCHES[row.stitches[end]].cross
        width = len(run.pegs)
        bounds.update((end + width,) if crossed else range(end + 1, end + width + 1))
        end += width
    return bounds


def _gathered(changes: Iterator[StitchChange | RowChange]) -> list[StitchChange | RowChange]:
    """Equal changes of several rows as one."""
    found: dict[object, StitchChange | RowChange] = {}
    for change in changes:
        key = _unnumbered(change)
        first = found.get(key)
        found[key] = change if first is None else replace(first, rows=first.rows + change.rows)
    return list(found.values())


def _unnumbered(change: StitchChange | RowChange) -> object:
    """What makes a correction the same in another row."""
    if isinstance(change, StitchChange):
        return replace(change, rows=())
    # A row that runs on is named by words and stands alone; what a row was that is left out does
    # not matter.
    runs_on = RUN_ON in change.rows
    old = change.old if change.new else None
    return (runs_on, *(row and replace(row, number=0) for row in (old, change.new)))


# --- Words -----------------------------------------------------------------------------------


NOT_THERE: Final = "not in the older print"
"""Stands for the old words of a new row or move."""
LEFT_OUT: Final = "leave out"
"""Stands for the new words of what is not done any more."""


def _told(change: Change, loom: Loom) -> Correction:
    part = next(part for part in Part if change.section in part.sections)
    if isinstance(change, MoveChange):
        old = move_text(change.old, loom) if change.old else NOT_THERE
        new = move_text(change.new, loom) if change.new else LEFT_OUT
        return Correction(part, _move_place(change), "", old, new)
    where = rows_text(change.section, change.rows)
    if isinstance(change, RowChange):
        old = row_text(change.old, loom) if change.old else NOT_THERE
        if change.old and len(change.rows) > 1 and change.new is None:
            old = "as printed"
        new = row_text(change.new, loom) if change.new else LEFT_OUT
        return Correction(part, where, "", old, new)
    pegs = spans(change.pegs)
    old, new = (_pegs_words(change, letters, loom) for letters in (change.old, change.new))
    return Correction(part, where, pegs, old, new)


def _pegs_words(change: StitchChange, letters: str, loom: Loom) -> str:
    """The verb alone where it holds for all pegs of the change."""
    row = Row(change.section, change.rows[0], change.direction, change.pegs, letters)
    runs = row_runs(row, loom)
    if len(runs) == 1:
        return runs[0].verb
    return ", ".join(run.text for run in runs)


def _move_place(change: MoveChange) -> str:
    before, after = change.after
    if change.old is not None and change.new is not None and before != after:
        return (
            f"{_after_row(change.section, before)}; now {_after_row(change.section, after).lower()}"
        )
    return _after_row(change.section, before if change.new is None else after)


def _after_row(section: Section, rows: int) -> str:
    if rows == 0:
        return "Before row 1"
    return f"After {row_label(section, rows, rows).lower()}"


def rows_text(section: Section, rows: Sequence[int]) -> str:
    """Row numbers in words.

    >>> rows_text(Section.LEG, (3,)), rows_text(Section.LEG, (3, 4, 5, 9))
    ('Row 3', 'Rows 3–5, 9')
    >>> rows_text(Section.LEG, (2, 6, 10, 14)), rows_text(Section.FOOT, (0,))
    ('Rows 2, 6 … 14', 'Run on')
    """
    if len(rows) == 1:
        return row_label(section, rows[0], rows[0])
    step = rows[1] - rows[0]
    if (
        step > 1
        and len(rows) >= LEAST_SERIES
        and all(later - row == step for row, later in pairwise(rows))
    ):
        return f"Rows {rows[0]}, {rows[1]} … {rows[-1]}"
    runs: list[list[int]] = []
    for row in rows:
        if runs and runs[-1][-1] == row - 1:
            runs[-1].append(row)
        else:
            runs.append([row])
    return "Rows " + ", ".join(span(run[0], run[-1]) for run in runs)
