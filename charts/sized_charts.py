"""One chart for several sizes: shared where they work the same rows over the same pegs.

Sizes on one loom differ in how often rows are repeated, so what stands above the rows that are
drawn is told for each: "rows 5–12 (5–16): repeat rows 1–4, 2 (3) times more".
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
    """Rows that are not drawn; how far they go depends on the size."""

    lasts: tuple[int | None, ...]
    """The last such row of each size; None for a size without any."""

    @property
    def text(self) -> str:
        height = self.like_last - self.like_first + 1
        counts = [0 if last is None else last - self.first + 1 for last in self.lasts]
        rows = [NO_VALUE if last is None else span(self.first, last) for last in self.lasts]
        noun = "row" if max(counts) == 1 else "rows"
        like = f"row{'s' * (height > 1)} {span(self.like_first, self.like_last)}"
        text = f"{noun} {sized(rows)}: repeat {like}"
        if height == 1 or any(count % height for count in counts):
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
            lasts = tuple(None if fold is None else fold.last for fold in folds)
            up.append(UpRepeat(len(lines) - height, len(lines) - 1, _most_times(first, lasts)))
            lines.append(_shared(first, lasts))
        lines += opened[0].lines[place : place + 1]
    return replace(charts[0], lines=tuple(lines), up=tuple(up))


def _most_times(fold: ChartFold, lasts: Sequence[int | None]) -> int:
    height = fold.like_last - fold.like_first + 1
    return 1 + (max(last for last in lasts if last) - fold.first + 1) // height


def _shared(fold: ChartFold, lasts: tuple[int | None, ...]) -> ChartFold:
    if set(lasts) == {fold.last}:
        return fold
    return SharedFold(fold.section, fold.first, fold.last, fold.like_first, fold.like_last, lasts)


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
