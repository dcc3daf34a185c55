"""One chart for several sizes: shared where they work the same rows over the same pegs.

Sizes on one loom differ in how often rows are repeated, so what stands above the rows that are
drawn is told for each: "rows 5–12 (5–16): repeat rows 1–4, 2 (3) times more".  Rows that begin a
group once more follow as the steps tell them: "row 13 (–): as row 1".
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from charts.chart import Chart, ChartFold, ChartRow, ChartStrip, Folding, Line, UpRepeat, make_chart
from charts.parts import Part
from charts.rows import RUN_ON, Section
from charts.sized_words import NO_VALUE, sized
from charts.verify import Knit
from charts.words import span


@dataclass(frozen=True)
class SharedFold(ChartFold):
    """Rows that are not drawn; which they are depends on the size."""

    own: tuple[range | None, ...]
    """The numbers of such rows in each size, whole groups or the beginning of one; None for a size
    without any."""

    @property
    def text(self) -> str:
        height = self.like_last - self.like_first + 1
        counts = [0 if own is None else len(own) for own in self.own]
        rows = [NO_VALUE if own is None else span(own[0], own[-1]) for own in self.own]
        noun = "row" if max(counts) == 1 else "rows"
        like = f"row{'s' * (height > 1)} {span(self.like_first, self.like_last)}"
        if max(counts) == height:
            return f"{noun} {sized(rows)}: as {like}"
        text = f"{noun} {sized(rows)}: repeat {like}"
        if height == 1:
            return text
        times = [count // height or NO_VALUE for count in counts]
        return f"{text}, {sized(times)} time{'s' * (times != [1] * len(times))} more"


def chart_groups(
    knits: Sequence[Knit], part: Part, *, fold_up: bool = True
) -> tuple[tuple[int, ...], ...]:
    """The indices of the socks that share a chart, in groups in the order of their first.

    `fold_up` as for `make_chart`: without it only socks with the very same rows share one.
    """
    groups: list[list[int]] = []
    opened = [_opened(knit, part, Folding.NONE, fold_up) for knit in knits]
    for index, one in enumerate(opened):
        for group in groups:
            if all(one.agrees(opened[other]) for other in group):
                group.append(index)
                break
        else:
            groups.append([index])
    return tuple(map(tuple, groups))


def make_shared_chart(
    knits: Sequence[Knit], part: Part, *, folding: Folding = Folding.NONE, fold_up: bool = True
) -> Chart:
    """The chart of one part of a group of `chart_groups`; `folding` as for `make_chart`.

    Raises ValueError for socks that cannot share one.
    """
    charts = [make_chart(knit, part, folding=folding, fold_up=fold_up) for knit in knits]
    if all(chart == charts[0] for chart in charts):
        return charts[0]
    opened = [_opened(knit, part, folding, fold_up) for knit in knits]
    if not all(one.agrees(opened[0]) for one in opened):
        raise ValueError(f"the {part.value} of these socks has no common chart")
    lines: list[Line] = []
    up: list[UpRepeat] = []
    for place in range(len(opened[0].lines) + 1):
        folds = [one.folds.get(place) for one in opened]
        first = next((fold for fold in folds if fold is not None), None)
        if first is not None:
            height = first.like_last - first.like_first + 1
            shared = _shared(first, folds)
            times = 1 + (shared[0].last - first.first + 1) // height
            up.append(UpRepeat(len(lines) - height, len(lines) - 1, times))
            lines += shared
        lines += opened[0].lines[place : place + 1]
    return replace(charts[0], lines=tuple(lines), up=tuple(up))


def _shared(fold: ChartFold, folds: Sequence[ChartFold | None]) -> list[ChartFold]:
    """Whole groups in one line; then a line for each number of rows that begin one more."""
    height = fold.like_last - fold.like_first + 1
    groups: list[range | None] = []
    tails: list[range | None] = []
    for one in folds:
        rows = None if one is None else range(one.first, one.last + 1)
        whole = 0 if rows is None else len(rows) // height * height
        groups.append(rows[:whole] if rows else None)
        tails.append(rows[whole:] or None if rows else None)
    found = [_fold_of(fold, height, groups)]
    for count in sorted({len(tail) for tail in tails if tail}):
        own = [tail if tail and len(tail) == count else None for tail in tails]
        found.append(_fold_of(fold, count, own))
    return found


def _fold_of(fold: ChartFold, height: int, own: Sequence[range | None]) -> ChartFold:
    """The rows as those of the fold's first `height`; plain if they are the same in each size."""
    longest = max((rows for rows in own if rows), key=lambda rows: rows[-1])
    like_last = fold.like_first + height - 1
    plain = ChartFold(fold.section, longest[0], longest[-1], fold.like_first, like_last)
    if set(own) == {longest}:
        return plain
    return SharedFold(
        plain.section, plain.first, plain.last, plain.like_first, like_last, tuple(own)
    )


class _Opened(NamedTuple):
    """A chart with its folds taken out, each reaching as far as the rows go on like that."""

    around: Hashable
    """Columns, zones, what is repeated across."""
    lines: tuple[ChartRow | ChartStrip, ...]
    folds: dict[int, ChartFold]
    """By the number of lines below them."""

    def agrees(self, other: _Opened) -> bool:
        """Whether the two charts differ in how far their folds reach at most."""
        return (
            self.around == other.around
            and self.lines == other.lines
            and all(
                _start(fold) == _start(other.folds[place])
                for place, fold in self.folds.items()
                if place in other.folds
            )
        )


def _start(fold: ChartFold) -> Hashable:
    return (fold.section, fold.first, fold.like_first, fold.like_last)


def _opened(knit: Knit, part: Part, folding: Folding, fold_up: bool) -> _Opened:
    chart = make_chart(knit, part, folding=folding, fold_up=fold_up)
    whole = make_chart(knit, part, fold_up=False)
    rows = {
        (row.section, row.number): row
        for row in whole.lines
        if isinstance(row, ChartRow) and row.number != RUN_ON
    }
    lines: list[ChartRow | ChartStrip] = []
    folds: dict[int, ChartFold] = {}
    skipped = 0
    for index, line in enumerate(chart.lines):
        if index < skipped:
            continue
        if not isinstance(line, ChartFold):
            lines.append(line)
            continue
        skipped, last = _tail(chart.lines, index, rows)
        folds[len(lines)] = replace(line, last=last)
    return _Opened((chart.columns, chart.zones, chart.across), tuple(lines), folds)


_Rows = Mapping[tuple[Section, int], ChartRow]


def _tail(lines: Sequence[Line], index: int, rows: _Rows) -> tuple[int, int]:
    """Where the lines go on after a fold, and the last row worked like it.

    All numbered rows up to the end of the stretch belong to the fold if they go on as it does.
    """
    fold = lines[index]
    assert isinstance(fold, ChartFold)
    end, last = index + 1, fold.last
    while end < len(lines):
        line = lines[end]
        if isinstance(line, ChartRow) and line.section is fold.section and line.number != RUN_ON:
            last = line.number
        elif isinstance(line, ChartFold) and line.section is fold.section:
            last = line.last
        else:
            break
        end += 1
    height = fold.like_last - fold.like_first + 1
    goes_on = all(
        _same(
            rows[fold.section, number],
            rows[fold.section, fold.like_first + (number - fold.first) % height],
        )
        for number in range(fold.last + 1, last + 1)
    )
    return (end, last) if goes_on else (index + 1, fold.last)


def _same(row: ChartRow, other: ChartRow) -> bool:
    """Whether the rows differ in their numbers alone."""
    return replace(row, number=other.number, label=other.label) == other
