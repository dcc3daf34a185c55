"""Lines of text: measured, broken and set in a column; ragged right, not hyphenated, not shrunk.

Lines break at spaces and after a hyphen between letters (Unicode Standard Annex #14, classes SP and
HY); a no-break space holds its neighbours together.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Final

from layouts.faces import Face, advance, metrics, shown
from layouts.paper import MM_PER_PT
from layouts.scene import BLACK, Align, Box, Group, Ink, Role, Text

NO_BREAK_SPACE: Final = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class Style:
    """How running text looks."""

    size_pt: float
    leading_pt: float
    """Base line to base line."""
    face: Face = Face.REGULAR
    ink: Ink = BLACK
    after_pt: float = 0.0
    """Room below a paragraph."""

    @property
    def leading_mm(self) -> float:
        return self.leading_pt * MM_PER_PT

    @property
    def baseline_mm(self) -> float:
        """From the top of a line to its base line: ascender and descender stand centred in it."""
        face = metrics(self.face)
        middle_pt = (face.ascender + face.descender) * self.size_pt / 1000
        return (self.leading_pt + middle_pt) / 2 * MM_PER_PT

    def grown(self, by: float) -> Style:
        """The same look so many times as large."""
        return replace(
            self,
            size_pt=self.size_pt * by,
            leading_pt=self.leading_pt * by,
            after_pt=self.after_pt * by,
        )

    @property
    def cap_height_mm(self) -> float:
        return metrics(self.face).cap_height * self.size_pt / 1000 * MM_PER_PT


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of text in one face; None stands for the face or ink of the style."""

    text: str
    face: Face | None = None
    ink: Ink | None = None


RichText = str | Sequence[Run]


@dataclass(frozen=True, slots=True)
class Line:
    """One broken line."""

    runs: tuple[Run, ...]
    width_mm: float

    @property
    def text(self) -> str:
        """Its characters, faces aside."""
        return "".join(run.text for run in self.runs)


@dataclass(frozen=True, slots=True)
class Block:
    """Text that has been set: the group of its lines, and the room it takes."""

    group: Group
    box: Box
    """The column's width and whole lines, not the ink; without the room after it."""
    next_mm: float
    """Where the next paragraph starts: below this one and the room after it."""


def bold(text: str) -> Run:
    """A run in the bold face."""
    return Run(text, Face.BOLD)


def symbols(letters: str) -> Run:
    """A run of stitch symbols."""
    return Run(letters, Face.SYMBOLS)


def width_mm(text: RichText, style: Style) -> float:
    """Width of unbroken text."""
    return sum(_run_width_mm(run, style) for run in _runs(text))


def shortened(text: str, style: Style, room_mm: float) -> str:
    """The text if it goes on a line of that width, or as much of its beginning and "…"; "" if not
    even one character does."""
    for end in range(len(text), 0, -1):
        words = text if end == len(text) else text[:end].rstrip() + "…"
        if width_mm(words, style) <= room_mm:
            return words
    return ""


def break_lines(text: RichText, style: Style, column_mm: float) -> tuple[Line, ...]:
    """The lines of one paragraph in a column; a line end in the text always breaks.

    A word wider than the column is cut where the column ends, since text is never shrunk and never
    leaves its column.  Text without a word gives no lines.
    """
    lines: list[Line] = []
    for paragraph in _paragraphs(_runs(text)):
        lines += _fill(paragraph, style, column_mm)
    return tuple(lines)


def split_lines(count: int, room: int, *, least: int = 2) -> int:
    """How many of a paragraph's `count` lines stay where there is room for `room`.

    All if they fit.  Otherwise at least `least` lines stay and at least `least` go on, or none
    stay: no line of a paragraph stands alone at the foot or the head of a page.

    >>> [split_lines(5, room) for room in (5, 4, 3, 2, 1)]
    [5, 3, 3, 2, 0]
    >>> split_lines(3, 2)
    0
    """
    if count <= room:
        return count
    kept = min(room, count - least)
    return kept if kept >= least else 0


def set_lines(
    lines: Sequence[Line],
    x_mm: float,
    top_mm: float,
    column_mm: float,
    style: Style,
    *,
    align: Align = Align.LEFT,
    role: Role | None = Role.P,
) -> Block:
    """Broken lines placed in a column whose top left corner is given."""
    items: list[Text] = []
    for index, one in enumerate(lines):
        baseline_mm = top_mm + index * style.leading_mm + style.baseline_mm
        items += _set_runs(one, _line_left_mm(one, x_mm, column_mm, align), baseline_mm, style)
    bottom_mm = top_mm + len(lines) * style.leading_mm
    return Block(
        Group(tuple(items), role=role),
        Box(x_mm, top_mm, x_mm + column_mm, bottom_mm),
        bottom_mm + style.after_pt * MM_PER_PT,
    )


def set_paragraph(
    text: RichText,
    x_mm: float,
    top_mm: float,
    column_mm: float,
    style: Style,
    *,
    align: Align = Align.LEFT,
    role: Role | None = Role.P,
) -> Block:
    """A paragraph broken and placed in a column whose top left corner is given."""
    lines = break_lines(text, style, column_mm)
    return set_lines(lines, x_mm, top_mm, column_mm, style, align=align, role=role)


def set_line(
    text: RichText, x_mm: float, baseline_mm: float, style: Style, *, align: Align = Align.LEFT
) -> tuple[Text, ...]:
    """One unbroken line on a base line; `x_mm` is its left end, middle or right end."""
    runs = _runs(text)
    one = Line(runs, sum(_run_width_mm(run, style) for run in runs))
    return tuple(_set_runs(one, _line_left_mm(one, x_mm, 0.0, align), baseline_mm, style))


# --- Breaking --------------------------------------------------------------------------------

_LINE_ENDS: Final = re.compile("\r\n|[\n\r\u2028\u2029]")
_WORD: Final = re.compile("[^ ]+")
_HYPHEN: Final = re.compile(r"(?<=[^\W\d_]{2}-)(?=[^\W\d_]{2})")
"""After a hyphen between letters, two or more on either side: "e-wrap" and "3-5" hold together."""

_ROUNDING_MM: Final = 1e-6


def _runs(text: RichText) -> tuple[Run, ...]:
    return (Run(text),) if isinstance(text, str) else tuple(text)


def _paragraphs(runs: Sequence[Run]) -> list[list[Run]]:
    """The runs cut at line ends, from the first that holds a word to the last."""
    found: list[list[Run]] = [[]]
    for run in runs:
        first, *others = _LINE_ENDS.split(run.text)
        found[-1].append(Run(first, run.face, run.ink))
        found += [[Run(piece, run.face, run.ink)] for piece in others]
    filled = [
        index
        for index, paragraph in enumerate(found)
        if any(run.text.strip(" ") for run in paragraph)
    ]
    return found[filled[0] : filled[-1] + 1] if filled else []


def _fill(runs: Sequence[Run], style: Style, column_mm: float) -> list[Line]:
    """One paragraph as lines, each as full as the column allows."""
    shown_runs = [
        Run(shown(run.text, run.face or style.face), run.face, run.ink) for run in runs if run.text
    ]
    text = "".join(run.text for run in shown_runs)
    # The distance from the start of the paragraph to each character makes measuring a subtraction.
    reach_mm = list(accumulate(_advances_mm(shown_runs, style), initial=0.0))
    room_mm = column_mm + _ROUNDING_MM
    words = _words(text, reach_mm, room_mm)
    if not words:
        return [Line((), 0.0)]
    breaks: list[int] = []
    line_start = words[0][0]
    for number, (start, end) in enumerate(words):
        if number and reach_mm[end] - reach_mm[line_start] > room_mm:
            breaks.append(number)
            line_start = start
    _keep_last_word_company(breaks, words, reach_mm, room_mm)
    lines = []
    for first, after in zip([0, *breaks], [*breaks, len(words)], strict=True):
        start, end = words[first][0], words[after - 1][1]
        lines.append(Line(_cut(shown_runs, start, end), reach_mm[end] - reach_mm[start]))
    return lines


def _advances_mm(runs: Sequence[Run], style: Style) -> Iterator[float]:
    em_mm = style.size_pt * MM_PER_PT / 1000
    for run in runs:
        widths = metrics(run.face or style.face).widths
        for char in run.text:
            yield widths[char] * em_mm


def _words(text: str, reach_mm: Sequence[float], room_mm: float) -> list[tuple[int, int]]:
    """Start and end of each unbreakable piece; pieces wider than the column are cut."""
    words = []
    for match in _WORD.finditer(text):
        start = match.start()
        hyphens = [start + hyphen.start() for hyphen in _HYPHEN.finditer(match[0])]
        for end in (*hyphens, match.end()):
            while reach_mm[end] - reach_mm[start] > room_mm and end - start > 1:
                cut = bisect_right(reach_mm, reach_mm[start] + room_mm, start, end) - 1
                cut = max(cut, start + 1)
                words.append((start, cut))
                start = cut
            words.append((start, end))
            start = end
    return words


def _keep_last_word_company(
    breaks: list[int],
    words: Sequence[tuple[int, int]],
    reach_mm: Sequence[float],
    room_mm: float,
) -> None:
    """Send a second word down to a last line of one word, if two or more stay above."""
    if not breaks or breaks[-1] != len(words) - 1:
        return
    above = breaks[-2] if len(breaks) > 1 else 0
    fits = reach_mm[words[-1][1]] - reach_mm[words[-2][0]] <= room_mm
    if fits and breaks[-1] - above > 2:
        breaks[-1] -= 1


def _cut(runs: Sequence[Run], start: int, end: int) -> tuple[Run, ...]:
    """The runs between two characters of their joined text."""
    found = []
    offset = 0
    for run in runs:
        piece = run.text[max(0, start - offset) : max(0, end - offset)]
        if piece:
            found.append(Run(piece, run.face, run.ink))
        offset += len(run.text)
    return tuple(found)


# --- Setting ---------------------------------------------------------------------------------


def _run_width_mm(run: Run, style: Style) -> float:
    return advance(run.text, run.face or style.face) * style.size_pt * MM_PER_PT / 1000


def _line_left_mm(one: Line, x_mm: float, column_mm: float, align: Align) -> float:
    spare_mm = column_mm - one.width_mm
    if align is Align.RIGHT:
        return x_mm + spare_mm
    return x_mm + spare_mm / 2 if align is Align.CENTRE else x_mm


def _set_runs(one: Line, left_mm: float, baseline_mm: float, style: Style) -> Iterator[Text]:
    for run in one.runs:
        face = run.face or style.face
        y_mm = baseline_mm
        if face is Face.SYMBOLS and style.face is not Face.SYMBOLS:
            # A symbol fills its em square; among letters it stands centred on the capitals.
            y_mm += (style.size_pt * MM_PER_PT - style.cap_height_mm) / 2
        yield Text(left_mm, y_mm, run.text, face, style.size_pt, run.ink or style.ink)
        left_mm += _run_width_mm(run, style)
