"""What a knitter with an old print must correct, line by line as it stands on the page.

The printed lines of both prints are held against each other, not their rows: rows that are told as
a repeat need no correction of their own, and a line that counts rows or pegs does.  Of a long line
only the words that differ are told, with as many beside them as it takes to find them in it.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from enum import Enum
from itertools import pairwise
from typing import Final

from charts.chart import Chart, ChartFold, ChartRow, make_chart
from charts.loom import Loom
from charts.parts import MIRRORED_PARTS, Part, part_record, parts_of, second_sock_title
from charts.plan import Plan, PlanLine
from charts.rows import Row
from charts.step_lines import StepLine, step_lines
from charts.steps import make_part_steps
from charts.verify import Knit
from charts.words import row_text

MOST_PIECES: Final = 3
"""Places of a line at most that are corrected one by one; a line with more is written anew."""
MOST_CHART_ROWS: Final = 4
"""Lines of a chart at most that are corrected; a chart with more is not worth a pencil."""

PLAN_TITLE: Final = "The plan"
TICKS_TITLE: Final = "Tick sheet"
"""What heads these pages."""

NOTHING: Final = "(nothing)"
"""Stands for what is printed where a line is new."""
STRIKE_OUT: Final = "(strike it out)"
"""Stands for what a line should read that is not worked any more."""


class Leaves(Enum):
    """Which pages of the old print a list is for."""

    BOTH = "both socks"
    FIRST = "first sock"
    SECOND = "second sock"


@dataclass(frozen=True)
class Correction:
    """One line to correct."""

    where: str
    """The label of the line: "Row 1", "To count", "Chart, row 3"."""
    old: str
    """As it is printed, or the part of it that differs; empty for a new line."""
    new: str
    """What it should read; empty for a line to strike out."""
    page: str = ""
    """Of the old print, if it is known."""

    @property
    def printed(self) -> str:
        return self.old or NOTHING

    @property
    def should_read(self) -> str:
        return self.new or STRIKE_OUT


@dataclass(frozen=True)
class PartCorrections:
    """The lines to correct on the pages of one part."""

    title: str
    """Heads the pages: "Leg", "Second sock: leg"."""
    leaves: Leaves
    lines: tuple[Correction, ...]

    @property
    def heading(self) -> str:
        """ "Leg – first sock"; the title where it says so itself."""
        if self.leaves is Leaves.SECOND or self.title in (PLAN_TITLE, TICKS_TITLE):
            return self.title
        return f"{self.title} – {self.leaves.value}"


@dataclass(frozen=True)
class SockCorrections:
    """Everything to correct in the print of one pair."""

    name: str
    """Which size it is, e.g. "Size M"; empty where there is one only."""
    loom_text: str
    """ "24 pegs, 5/8 in apart"."""
    parts: tuple[PartCorrections, ...]
    """In the order of the pages."""
    another_ring: str = ""
    """Why the old print cannot be corrected, if it cannot."""
    remarks: tuple[str, ...] = ()
    """Sentences about pages that are not corrected line by line."""


def compare_pairs(
    old: tuple[Knit, Knit], new: tuple[Knit, Knit], *, name: str = ""
) -> SockCorrections | None:
    """What to correct in the print of a pair; None where the socks are the same."""
    loom = new[0].plan.loom
    loom_text = f"{loom.pegs} pegs, {loom.spacing_text} apart"
    if all(before.rows == after.rows for before, after in zip(old, new, strict=True)):
        return None
    was = old[0].plan.loom
    if not same_ring(was, loom):
        why = (
            f"the old print is for {was.pegs} pegs worked from {was.working.value}, the new one "
            f"for {loom.pegs} pegs worked from {loom.working.value}: print it anew"
        )
        return SockCorrections(name, loom_text, (), why)
    had_two, has_two = (pair[0].rows != pair[1].rows for pair in (old, new))
    plans = tuple(_plan_corrections(old[0].plan, new[0].plan))
    parts = [PartCorrections(PLAN_TITLE, Leaves.BOTH, plans)]
    parts += _first_sock(old[0], new[0], had_two)
    remarks: tuple[str, ...] = ()
    if had_two and has_two:
        parts += _second_sock(old[1], new[1])
    elif had_two:
        remarks = ("Strike out the pages headed “Second sock”: both socks are alike now.",)
    elif has_two:
        remarks = (
            "The second sock is not like the first any more and the old print has no pages for it: "
            "print the booklet anew.",
        )
    return SockCorrections(
        name, loom_text, tuple(part for part in parts if part.lines), "", remarks
    )


def same_ring(old: Loom, new: Loom) -> bool:
    """Whether peg numbers mean the same pegs on both; their spacing makes no stitch differ."""
    return (old.pegs, old.working) == (new.pegs, new.working)


def _first_sock(old: Knit, new: Knit, has_second: bool) -> Iterator[PartCorrections]:
    for part in Part:
        leaves = Leaves.FIRST if has_second and part in MIRRORED_PARTS else Leaves.BOTH
        yield PartCorrections(part.title, leaves, tuple(part_corrections(old, new, part)))


def _second_sock(old: Knit, new: Knit) -> Iterator[PartCorrections]:
    for part in MIRRORED_PARTS:
        lines = tuple(part_corrections(old, new, part))
        yield PartCorrections(second_sock_title(part), Leaves.SECOND, lines)


def part_corrections(old: Knit, new: Knit, part: Part) -> Iterator[Correction]:
    """The lines of steps and chart to correct in one part of two socks on the same ring."""
    was, now = (part in parts_of(knit) for knit in (old, new))
    if was and now:
        before, after = (step_lines(make_part_steps(knit, part)) for knit in (old, new))
        yield from line_corrections(before, after)
        if part is not Part.CLOSING:
            yield from _chart_corrections(old, new, part)
    elif was:
        yield Correction("Whole part", "as printed", "")
    elif now:
        for line in step_lines(make_part_steps(new, part)):
            yield _written_new(line, "New part")


def _plan_corrections(old: Plan, new: Plan) -> Iterator[Correction]:
    """The numbers of the plan that differ, and their reasons."""
    olds, news = ([line.name for line in plan.lines] for plan in (old, new))
    for at_old, at_new, _ in _aligned(olds, news):
        was = None if at_old is None else old.lines[at_old]
        now = None if at_new is None else new.lines[at_new]
        if was is None and now is not None:
            yield Correction("New line", "", f"{_capital(now.name)}: {_plan_words(now)}")
        elif was is not None and now is None:
            yield Correction(_capital(was.name), _plan_words(was), "")
        elif was is not None and now is not None and was.name != now.name:
            whole = (f"{_capital(one.name)}: {_plan_words(one)}" for one in (was, now))
            yield Correction(_capital(was.name), *whole)
        elif was is not None and now is not None and was.reason != now.reason:
            yield Correction(_capital(was.name), _plan_words(was), _plan_words(now))
        elif was is not None and now is not None and was.value != now.value:
            yield Correction(_capital(was.name), was.value, now.value)


def _plan_words(line: PlanLine) -> str:
    return f"{line.value} – {_capital(line.reason)}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _aligned(
    old: Sequence[Hashable], new: Sequence[Hashable]
) -> Iterator[tuple[int | None, int | None, int]]:
    """Places of lines that stand for each other in both prints, None where there is none, and the
    place of the old line above, -1 above all."""
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    for _, old_from, old_to, new_from, new_to in matcher.get_opcodes():
        for step in range(max(old_to - old_from, new_to - new_from)):
            was, now = old_from + step, new_from + step
            yield (
                was if was < old_to else None,
                now if now < new_to else None,
                min(was, old_to) - 1,
            )


# --- Steps -----------------------------------------------------------------------------------


def line_corrections(old: Sequence[StepLine], new: Sequence[StepLine]) -> Iterator[Correction]:
    """What makes the new lines of the old ones, in the order of the page."""
    for was, now, after in _paired(old, new):
        if was is None:
            if now is not None:
                yield _written_new(now, _below(after))
        elif now is None:
            yield Correction(_where(was), was.whole, "")
        elif was != now:
            yield from _corrected(was, now)


def _paired(
    old: Sequence[StepLine], new: Sequence[StepLine]
) -> Iterator[tuple[StepLine | None, StepLine | None, StepLine | None]]:
    """Lines of both prints that stand for each other, and the old line above."""
    olds, news = ([_key(line) for line in lines] for lines in (old, new))
    for at_old, at_new, above in _aligned(olds, news):
        yield (
            None if at_old is None else old[at_old],
            None if at_new is None else new[at_new],
            old[above] if above >= 0 else None,
        )


def _key(line: StepLine) -> Hashable:
    """What makes a line the same in both prints: its first row, or its label, or for a move how it
    begins."""
    if line.label:
        return (line.section, *re.split("[ –]", line.label.replace("Rows", "Row"))[:2])
    return re.sub("[0-9]+", "", line.text)


def _where(line: StepLine) -> str:
    return line.label or ("Step" if line.boxes else "Remark")


def _below(line: StepLine | None) -> str:
    """Where a new line goes: below the line with that label, or with those first words."""
    if line is None:
        return "New, above all"
    first_words = " ".join(line.text.split()[:_BEGINS])
    return f"New, below {line.label or f'“{first_words} …”'}"


_BEGINS: Final = 4
"""Words by which a line without a label is found."""


def _written_new(line: StepLine, where: str) -> Correction:
    count = f" Stitches: {line.count}." if line.count else ""
    return Correction(where, "", f"{line.whole}{count}{_boxes_told(line)}")


def _boxes_told(line: StepLine) -> str:
    if line.boxes is None:
        return ""
    first, last = line.boxes
    return " Draw a box." if last == 0 else f" Draw boxes {first}–{last}."


def _corrected(was: StepLine, now: StepLine) -> Iterator[Correction]:
    where = _where(was)
    if (was.label, was.arrow) != (now.label, now.arrow) or not was.label:
        if was.whole != now.whole:
            yield Correction(where, was.whole, now.whole)
    else:
        for old, new in differing_words(was.text, now.text):
            yield Correction(where, old, new)
    if was.count != now.count:
        yield Correction(f"{where}, stitches", was.count, now.count)
    if was.boxes and now.boxes and was.boxes != now.boxes and (was.boxes[1] or now.boxes[1]):
        yield Correction(f"{where}, boxes", _box_numbers(was), _box_numbers(now))


def _box_numbers(line: StepLine) -> str:
    first, last = line.boxes or (0, 0)
    return f"{first} to {last}" if last else "one box"


def differing_words(old: str, new: str) -> tuple[tuple[str, str], ...]:
    """The pieces of a sentence that differ, each long enough to stand in the old one only once; the
    whole sentence where there are many.

    >>> differing_words("pegs 2–5 knit, 6 purl, 7 knit.", "pegs 2–5 knit, 6 knit, 7 knit.")
    (('6 purl', '6 knit'),)
    """
    olds, news = (_PIECE.findall(text) for text in (old, new))
    matcher = SequenceMatcher(None, olds, news, autojunk=False)
    spans = [codes for codes in matcher.get_opcodes() if codes[0] != "equal"]
    if len(spans) > MOST_PIECES:
        return ((old, new),)
    found: list[tuple[int, int, int, int]] = []
    for _, old_from, old_to, new_from, new_to in spans:
        reach = [old_from, old_to, new_from, new_to]
        while not _stands_alone("".join(olds[reach[0] : reach[1]]), old):
            if reach[0] and reach[2]:
                reach[0], reach[2] = reach[0] - 1, reach[2] - 1
            elif reach[1] < len(olds) and reach[3] < len(news):
                reach[1], reach[3] = reach[1] + 1, reach[3] + 1
            else:
                return ((old, new),)
        found.append((reach[0], reach[1], reach[2], reach[3]))
    if any(later[0] < earlier[1] for earlier, later in pairwise(found)):
        return ((old, new),)
    pieces = tuple(_bare("".join(olds[a:b]), "".join(news[c:d])) for a, b, c, d in found)
    # What reached back over words that differ too would be told twice.
    return pieces if _written_in(old, pieces) == new else ((old, new),)


def _bare(old: str, new: str) -> tuple[str, str]:
    """Both without a comma or a space that ends the two."""
    old, new = old.strip(), new.strip()
    return (old[:-1], new[:-1]) if old[-1:] == new[-1:] == "," else (old, new)


_PIECE: Final = re.compile(r".+?(?:[,;:.](?: |$)|$)")
"""Words up to a stop or a comma."""
_LEAST_LETTERS: Final = 5
"""A shorter piece is hard to find."""


def _stands_alone(piece: str, text: str) -> bool:
    bare = piece.strip()
    return len(bare) >= _LEAST_LETTERS and text.count(bare) == 1


def _written_in(text: str, pieces: Sequence[tuple[str, str]]) -> str:
    for old, new in pieces:
        text = text.replace(old, new, 1)
    return text


# --- Charts ----------------------------------------------------------------------------------


def _chart_corrections(old: Knit, new: Knit, part: Part) -> Iterator[Correction]:
    """The lines of the chart, by row or by the words of a fold."""
    before, after = (make_chart(knit, part) for knit in (old, new))
    if before == after:
        return
    redraws = [column.pegs for column in before.columns] != [one.pegs for one in after.columns]
    lines = [] if redraws else list(_chart_lines(before, after, old, new))
    if not 0 < len(lines) <= MOST_CHART_ROWS or any(one.old == one.new for one in lines):
        yield Correction("Chart", "all of it", "(strike it out and follow the corrected steps)")
        return
    yield from lines


def _chart_lines(old: Chart, new: Chart, was: Knit, now: Knit) -> Iterator[Correction]:
    olds, news = (
        [line for line in chart.lines if isinstance(line, ChartRow | ChartFold)]
        for chart in (old, new)
    )
    keys = ([_chart_key(line) for line in lines] for lines in (olds, news))
    for at_old, at_new, under in _aligned(*keys):
        before = None if at_old is None else olds[at_old]
        after = None if at_new is None else news[at_new]
        if before != after:
            line = _chart_line(old.part, before, after, was, now)
            # Charts are read from the bottom: the line before a new one stands under it.
            yield (
                line if before else replace(line, where=_over(olds[under] if under >= 0 else None))
            )


def _chart_key(line: ChartRow | ChartFold) -> Hashable:
    if isinstance(line, ChartFold):
        return ("fold", line.section, line.first)
    return (line.section, line.number)


def _chart_line(
    part: Part,
    before: ChartRow | ChartFold | None,
    after: ChartRow | ChartFold | None,
    was: Knit,
    now: Knit,
) -> Correction:
    where = f"Chart, {_row_name(before)}" if isinstance(before, ChartRow) else "Chart"
    old = "" if before is None else _chart_words(part, before, was)
    new = "" if after is None else _chart_words(part, after, now)
    if isinstance(before, ChartRow) and after is None:
        old = "the whole row"
    if isinstance(after, ChartRow) and before is None:
        new = f"{_row_name(after)}, with the symbols of “{new}”"
    if isinstance(before, ChartRow) and isinstance(after, ChartRow):
        if before.cells == after.cells:
            old, new = _row_name(before), _row_name(after)
        else:
            # Where the words are alike, pegs that wait differ: that is told by the chart alone.
            pieces = differing_words(old, new) or ((old, new),)
            old, new = (" … ".join(one) for one in zip(*pieces, strict=True))
            old, new = f"the symbols of “{old}”", f"the symbols of “{new}”"
    return Correction(where, old, new)


def _over(line: ChartRow | ChartFold | None) -> str:
    """Where a new line of the chart goes."""
    if line is None:
        return "Chart, new at the foot"
    return f"Chart, new over {_row_name(line) if isinstance(line, ChartRow) else line.told}"


def _row_name(row: ChartRow) -> str:
    return f"row {row.label}" if row.label.isdigit() else row.label


def _chart_words(part: Part, line: ChartRow | ChartFold, knit: Knit) -> str:
    if isinstance(line, ChartFold):
        return line.told
    return next(
        row_text(event, knit.plan.loom)
        for event, _, _ in part_record(knit, part).happenings
        if isinstance(event, Row) and (event.section, event.number) == (line.section, line.number)
    )
