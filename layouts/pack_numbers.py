"""A person's own numbers: the first pages of a pack, with the sock, the ring and the name label."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from charts.ease import measure_words
from charts.finished import finished_measures
from charts.gauge_of import gauge_of
from charts.plan import Plan, rib_words
from charts.spec import Units
from charts.verify import Knit
from charts.yarn_figures import YarnFigures
from charts.yarn_need import whole_up
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, paragraph, side_by_side, space, stacked
from layouts.cover import cover_title_style, measured_sock
from layouts.front_matter import map_legend
from layouts.gather import early_caution
from layouts.loom_map import loom_map
from layouts.loom_ring import LoomZone, Pattern, zone_pegs
from layouts.pack_parts import PackPage, PackRoom
from layouts.page_fill import filled_pages
from layouts.paper import MM_PER_PT
from layouts.scene import Group, Role, rect
from layouts.tables import gap_columns, table_row
from layouts.text import NO_BREAK_SPACE, Run, Style, bold, break_lines, set_lines

TITLE: Final = "Your numbers"
COLUMN_GAP_MM: Final = 8.0
WIDE_FROM_MM: Final = 150.0
"""From this width of the body on numbers and drawing stand side by side."""
_LEAST_SOCK_MM: Final = 62.0
"""A lower drawing of the sock could not be read."""
_BETWEEN_MM: Final = 6.0


@dataclass(frozen=True)
class Personal:
    """What of a pack is one person's own."""

    who: str
    """The label that heads every page."""
    size: str = ""
    """Of the pattern, if one was asked for."""
    loom: str = ""
    """The name of the loom."""
    foot: str = ""
    """The foot in words; empty if it is not known."""
    kept: str = ""
    """Lengths that are not the person's own, and whose they are."""
    fit: str = ""
    """How the sock fits, in one sentence without a full stop."""
    mind: tuple[str, ...] = ()
    """How sure that is, and cautions; sentences without a full stop."""
    reasons: str = ""
    """Why the rows that follow from the foot are so many; no full stop."""
    edition: str = ""
    """What is special about hand and print, e.g. "left-handed edition"."""
    notes: str = ""
    """From the teacher."""


@dataclass(frozen=True)
class SockNumbers:
    """The numbers and drawings of one sock, drawn once for all who knit it."""

    knit: Knit
    yarn: YarnFigures | None
    room: PackRoom

    def pages(self, personal: Personal, *, cautions_page: int | None) -> list[PackPage]:
        """Label, numbers, sock and ring for one person.

        `cautions_page` is where the cautions stand.  Raises DoesNotFitError on too small a page.
        """
        room = self.room
        whole_mm = room.frame.whole_height_mm
        head = self._head(personal)
        foot = [early_caution(room.width_mm, room.style, cautions_page)]
        rights = self.knit.plan.spec.house.rights_words
        if rights:
            foot.append(paragraph(rights, room.style.note, room.width_mm))
        wide = self._wide_page(head, foot) if room.width_mm >= WIDE_FROM_MM else None
        if wide is not None:
            return [PackPage((TITLE,), wide)]
        pieces = [*head, *self._table(room.width_mm), space(_BETWEEN_MM), *foot]
        bodies = [stacked(page) for page in filled_pages(pieces, room.height_mm)]
        left_mm = whole_mm - bodies[-1].height_mm - _BETWEEN_MM
        if len(bodies) == 1 and left_mm >= _LEAST_SOCK_MM:
            sock = self._sock(room.width_mm, left_mm)
            bodies = [stacked([Piece(bodies[0], _BETWEEN_MM), *sock])]
        bodies.append(self._ring_page)
        titles = [(TITLE,), *((),) * (len(bodies) - 2), ("Loom map",)]
        return [PackPage(*page) for page in zip(titles, bodies, strict=True)]

    # The head

    def _head(self, personal: Personal) -> list[Piece]:
        """Label, sock, loom, and all that is known of the person."""
        room = self.room
        width_mm, style = room.width_mm, room.style
        plan = self.knit.plan
        look = Style(style.step.size_pt + 1.5, style.step.leading_pt + 2.5, after_pt=1.0)
        loom = f"{plan.loom.pegs} pegs, {plan.loom.spacing_text} apart"
        kind = f"{personal.loom}: {loom}" if personal.loom else f"a round loom of {loom}"
        lines: list[tuple[Run, ...]] = [(bold(plan.spec.title), Run(f" on {kind}"))]
        if plan.spec.designer:
            lines.append((Run(plan.spec.designer, ink=style.soft_ink),))
        facts = [
            (name, words)
            for name, words in (
                ("Size", personal.size),
                ("Foot", personal.foot),
                ("Lengths", personal.kept),
                ("Fit", personal.fit),
                ("Mind", ". ".join(personal.mind)),
                ("Edition", personal.edition),
                ("Note", personal.notes),
            )
            if words
        ]
        columns = gap_columns((_fact_column_mm(style.body),), width_mm)
        return [
            Piece(self._label(personal.who), 1.0, with_next=True),
            *(paragraph(words, look, width_mm) for words in lines),
            space(2.0),
            *(
                table_row(((bold(name),), _capital(words)), columns, style.body)
                for name, words in facts
            ),
            *(
                table_row(((bold(name),), words), columns, style.note)
                for name, words in (("Rows", personal.reasons),)
                if words
            ),
            space(_BETWEEN_MM),
        ]

    def _label(self, who: str) -> Block:
        """The label, large, under a bar as on a cover."""
        width_mm = self.room.width_mm
        look = cover_title_style(who, width_mm, self.room.style)
        words = set_lines(break_lines(who, look, width_mm), 0.0, 5.0, width_mm, look, role=Role.H1)
        bar = Group(
            (rect(0.0, 0.0, 22.0, 2.0, stroke=None, fill=self.room.style.ink),), role=Role.ARTIFACT
        )
        return Block((bar, words.group), width_mm, words.box.bottom_mm)

    # The numbers

    def _table(self, width_mm: float) -> list[Piece]:
        """Every number of the sock, a part a line."""
        style = self.room.style
        columns = gap_columns((_fact_column_mm(style.body),), width_mm)
        return [
            table_row(((bold(name),), words), columns, style.body)
            for name, words in number_lines(self.knit, self.yarn)
        ]

    def _sock(self, width_mm: float, height_mm: float) -> list[Piece]:
        """The sock with its parts named and measured; nothing if there is no room."""
        room_mm = min(height_mm, width_mm)
        if room_mm < _LEAST_SOCK_MM:
            return []
        style = self.room.style
        with suppress(DoesNotFitError):
            drawing = measured_sock(self.knit, width_mm=width_mm, height_mm=room_mm, style=style)
            return [Piece(drawing)]
        return []

    # On one wide page

    def _wide_page(self, head: list[Piece], foot: list[Piece]) -> Block | None:
        """Numbers beside the sock, the ring beside its legend; a smaller ring where that leaves
        more room; None if the page is too low."""
        room = self.room
        upper = self._wide_numbers
        free_mm = room.frame.whole_height_mm - upper.height_mm
        for piece in (*head, *foot):
            free_mm -= piece.height_mm
        left_mm = free_mm - self._wide_ring.height_mm
        lower = self._wide_ring
        if left_mm < 2 * _LEAST_GAP_MM:
            lower = self._small_ring
            left_mm = free_mm - lower.height_mm
        if left_mm < 2 * _LEAST_GAP_MM:
            return None
        gap_mm = min(left_mm / 2, _MOST_GAP_MM)
        return stacked([*head, Piece(upper, gap_mm), Piece(lower, gap_mm), *foot])

    @property
    def _column_mm(self) -> float:
        return (self.room.width_mm - COLUMN_GAP_MM) / 2

    @cached_property
    def _wide_numbers(self) -> Block:
        """Numbers and sock, as high as they are."""
        column_mm = self._column_mm
        table = stacked(self._table(column_mm))
        sock = stacked(self._sock(column_mm, max(table.height_mm, _LEAST_SOCK_MM)))
        return side_by_side((table, sock), COLUMN_GAP_MM)

    @cached_property
    def _wide_ring(self) -> Block:
        return self._ring_and_legend(self._column_mm)

    @cached_property
    def _small_ring(self) -> Block:
        return self._ring_and_legend(self._column_mm * _SMALL_RING)

    def _ring_and_legend(self, ring_mm: float) -> Block:
        """Side by side, the lower in the middle of the other's height."""
        plan, style, column_mm = self.knit.plan, self.room.style, self._column_mm
        try:
            ring = loom_map(plan, width_mm=ring_mm, height_mm=BOUNDLESS_MM, style=style)
        except DoesNotFitError:
            return self._ring_page
        legend = map_legend(plan, column_mm, self.room.frame)
        high_mm = max(ring.height_mm, legend.height_mm)
        sides = ((ring, column_mm - ring_mm), (legend, 0.0))
        centred = tuple(
            Block(
                (block.placed(aside_mm / 2, (high_mm - block.height_mm) / 2),), column_mm, high_mm
            )
            for block, aside_mm in sides
        )
        return side_by_side(centred, COLUMN_GAP_MM)

    @cached_property
    def _ring_page(self) -> Block:
        """The ring and its legend, as high as a page."""
        room = self.room
        legend = map_legend(self.knit.plan, room.width_mm, room.frame)
        high_mm = room.height_mm - legend.height_mm - _BETWEEN_MM
        ring = loom_map(self.knit.plan, width_mm=room.width_mm, height_mm=high_mm, style=room.style)
        return stacked([Piece(ring, _BETWEEN_MM), Piece(legend)])


BOUNDLESS_MM: Final = 10_000.0
_LEAST_GAP_MM: Final = 4.0
_SMALL_RING: Final = 0.78
"""Share of a column that the ring takes at least, beside much that is told of the person."""
_MOST_GAP_MM: Final = 12.0


def number_lines(knit: Knit, yarn: YarnFigures | None) -> Iterator[tuple[str, tuple[Run, ...]]]:
    """The numbers of a sock: a name and words, the counts in bold; the last are the finished sock
    and the yarn, where there is a gauge."""
    plan = knit.plan
    spec = plan.spec
    yield "Cuff", (bold(_rows(spec.cuff.rows)), Run(f" of {rib_words(spec.cuff.rib)}"))
    if spec.leg.rows:
        panel = f", {spec.leg.panel} on the instep" if spec.leg.panel else ""
        yield "Leg", (bold(_rows(spec.leg.rows)), Run(panel))
    heel = zone_pegs(plan, [LoomZone("heel", 1, plan.heel_pegs, Pattern.BLANK)])
    yield "Heel", (bold(_pegs(plan.heel_pegs)), Run(f": {heel}"))
    edges = plan.flap_rows // 2
    loops = "1 edge loop" if edges == 1 else f"{edges} edge loops"
    yield "Heel flap", (bold(_rows(plan.flap_rows)), Run(f", {loops} a side"))
    yield (
        "Heel turn",
        (bold(_pegs(plan.centre_pegs)), Run(" in the middle, "), bold(_rows(plan.turn_rows))),
    )
    yield "Gusset", (bold(_pegs(plan.gusset_pegs)), Run(" a side"))
    yield "Foot", (bold(_rows(spec.foot.rows)), Run(" on the instep"))
    yield (
        "Toe",
        (
            bold(_pegs(plan.toe_pegs)),
            Run(f", {plan.toe_side} turned a side, "),
            bold(_rows(4 * plan.toe_side)),
        ),
    )
    yield "Closing", (bold(f"{plan.toe_pegs}{NO_BREAK_SPACE}pairs"), Run(" to graft"))
    finished = _finished(knit)
    if finished:
        yield "Finished", (Run(finished),)
    yield "Yarn", tuple(_yarn(plan, yarn))


def _finished(knit: Knit) -> str:
    """The finished sock as exactly as the fit is told beside it; empty without a gauge."""
    gauge, units = gauge_of(knit.plan.spec), knit.plan.spec.units
    if gauge is None:
        return ""
    sizes = finished_measures(knit, gauge)
    about = "about " if gauge.source.is_estimate else ""
    coarse = units.told(f"½{NO_BREAK_SPACE}cm", f"¼{NO_BREAK_SPACE}in")
    return (
        f"foot {about}{_exact(sizes.length.mm, units)} long, {_exact(sizes.round.mm, units)} "
        f"round; in the drawing to {coarse}"
    )


def _exact(length_mm: float, units: Units) -> str:
    """To the millimetre and the tenth of an inch.

    >>> _exact(237.0, Units.CM).replace(NO_BREAK_SPACE, " ")
    '23.7 cm (9.3 in)'
    """
    metric, inches = (measure_words(length_mm, units) for units in (Units.CM, Units.IN))
    told = units.told(metric, inches)
    return told.replace(" cm", f"{NO_BREAK_SPACE}cm").replace(" in", f"{NO_BREAK_SPACE}in")


def _rows(count: int) -> str:
    return f"{count}{NO_BREAK_SPACE}row" + ("" if count == 1 else "s")


def _pegs(count: int) -> str:
    return f"{count}{NO_BREAK_SPACE}peg" + ("" if count == 1 else "s")


def _yarn(plan: Plan, yarn: YarnFigures | None) -> Iterator[Run]:
    """The metres and balls of a pair, and the yarn in the designer's words."""
    words = plan.spec.yarn or "one that suits the pegs"
    if yarn is None:
        yield Run(words)
        return
    yield bold(f"{yarn_words(yarn, plan.spec.units)} a pair")
    yield Run(f"; {words}")


def yarn_words(yarn: YarnFigures, units: Units) -> str:
    """Yarn for the pair with something in hand, and the balls if they are known.

    Lengths are in metres, or in yards where the pattern is in inches, rounded up.
    """
    pair = yarn.pair
    if not units.is_metric:
        length = f"{whole_up(pair.yards)}{NO_BREAK_SPACE}yd"
    else:
        length = f"{whole_up(pair.metres)}{NO_BREAK_SPACE}m"
    if pair.balls is None:
        return length
    return f"{length}, {pair.balls}{NO_BREAK_SPACE}ball{'' if pair.balls == 1 else 's'}"


def _fact_column_mm(look: Style) -> float:
    """Width of the names beside facts."""
    return 5.8 * look.size_pt * MM_PER_PT


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
