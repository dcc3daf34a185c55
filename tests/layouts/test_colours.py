"""The colour edition: its palette, its contrast, and that nothing is told by colour alone."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import fields, replace
from itertools import combinations

import pytest

from charts.parts import Part
from charts.verify import Knit
from layouts.booklet import make_booklet
from layouts.card import make_card
from layouts.chart_page import make_chart_page
from layouts.contrast import LEAST_GRAPHICS, LEAST_TEXT, contrast, luminance, text_ink_on
from layouts.edition import Edition, Inks
from layouts.paper import PAPERS
from layouts.scene import BLACK, WHITE, Document, Ink, Path, Text
from layouts.style import BOOKLET, CARD, in_inks
from layouts.zone_inks import ZONE_INKS, tinted
from tests.layouts.placed_items import paths_of, texts_of

Rgb = tuple[float, float, float]

PALETTE = {
    "orange": (230, 159, 0),
    "sky blue": (86, 180, 233),
    "bluish green": (0, 158, 115),
    "yellow": (240, 228, 66),
    "blue": (0, 114, 178),
    "vermillion": (213, 94, 0),
    "reddish purple": (204, 121, 167),
}
"""Okabe and Ito, "Color Universal Design", 2002, modified 2008; black is left out."""

PROTAN = (
    (0.152286, 1.052583, -0.204868),
    (0.114503, 0.786281, 0.099216),
    (-0.003882, -0.048116, 1.051998),
)
DEUTAN = (
    (0.367322, 0.860646, -0.227968),
    (0.280085, 0.672501, 0.047413),
    (-0.011820, 0.042940, 0.968881),
)
TRITAN = (
    (1.255528, -0.076749, -0.178779),
    (-0.078411, 0.930809, 0.147602),
    (0.004733, 0.691367, 0.303900),
)
"""Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color vision
deficiency", IEEE TVCG 15(6), 2009, severity 1.0, for linear RGB."""
SEEN_AS = {
    "usual": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protan": PROTAN,
    "deutan": DEUTAN,
    "tritan": TRITAN,
}

NEIGHBOURS = (
    ("cuff", "instep"),
    ("instep", "heel"),
    ("instep", "gusset"),
    ("instep", "panel"),
    ("heel", "turn"),
    ("heel", "gusset"),
    ("turn", "gusset"),
    ("toe", "gusset"),
    ("toe", "turn"),
)
"""Zones that meet in a chart, on the loom map or on the drawn sock."""
LEAST_DIFFERENCE = 8.0
"""Delta E*ab (CIE 1976) of neighbouring tints at least; 2.3 is just seen (Mahy and others, Color
Research and Application 19, 1994; from memory)."""


# The tests' own formulas.


def linear(part: float) -> float:
    """IEC 61966-2-1, as WCAG 2.2 has it since 2021."""
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def rgb(ink: Ink) -> Rgb:
    return (ink.red, ink.green, ink.blue)


def seen(colour: Rgb, matrix: tuple[Rgb, Rgb, Rgb]) -> Rgb:
    """Linear RGB as it is seen, held to what a screen shows."""
    parts = [linear(part) for part in colour]
    red, green, blue = (
        min(1.0, max(0.0, sum(a * b for a, b in zip(row, parts, strict=True)))) for row in matrix
    )
    return red, green, blue


def lab(linear_rgb: Rgb) -> Rgb:
    """CIE 1976 L*a*b* of linear sRGB under D65."""
    red, green, blue = linear_rgb
    x = (0.4124564 * red + 0.3575761 * green + 0.1804375 * blue) / 0.95047
    y = 0.2126729 * red + 0.7151522 * green + 0.0721750 * blue
    z = (0.0193339 * red + 0.1191920 * green + 0.9503041 * blue) / 1.08883
    fx, fy, fz = (
        t ** (1 / 3) if t > (6 / 29) ** 3 else t * (29 / 6) ** 2 / 3 + 4 / 29 for t in (x, y, z)
    )
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def difference(one: Ink, other: Ink, how: str) -> float:
    matrix = SEEN_AS[how]
    return math.dist(lab(seen(rgb(one), matrix)), lab(seen(rgb(other), matrix)))


def ratio(one: Ink, other: Ink) -> float:
    """WCAG 2.2, "contrast ratio"."""
    dark, light = sorted(
        0.2126 * linear(ink.red) + 0.7152 * linear(ink.green) + 0.0722 * linear(ink.blue)
        for ink in (one, other)
    )
    return (light + 0.05) / (dark + 0.05)


def zone_inks() -> dict[str, Ink]:
    return {field.name: getattr(ZONE_INKS, field.name) for field in fields(ZONE_INKS)}


# Palette.


def test_the_simulation_keeps_white_and_black() -> None:
    """Each row adds up to 1: a typing error would break it."""
    for matrix in SEEN_AS.values():
        for row in matrix:
            assert sum(row) == pytest.approx(1, abs=3e-6)


def test_the_simulation_gives_values_worked_elsewhere() -> None:
    """Blue #0072B2 is seen as #5375B5, #3B67B1 and #008289, computed apart from this code."""
    for how, shown in (("protan", "#5375B5"), ("deutan", "#3B67B1"), ("tritan", "#008289")):
        found = seen(rgb(Ink.from_hex("#0072B2")), SEEN_AS[how])
        due = [linear(part) for part in rgb(Ink.from_hex(shown))]
        assert found == pytest.approx(due, abs=0.006)


def test_every_zone_has_a_colour_of_the_published_palette_of_its_own() -> None:
    published = {Ink(*(byte / 255 for byte in colour)) for colour in PALETTE.values()}
    assert set(zone_inks().values()) == published
    assert len(zone_inks()) == len(published)


@pytest.mark.parametrize("how", SEEN_AS)
@pytest.mark.parametrize(("one", "other"), NEIGHBOURS)
def test_neighbouring_zones_differ_however_they_are_seen(one: str, other: str, how: str) -> None:
    inks = zone_inks()
    assert difference(tinted(inks[one]), tinted(inks[other]), how) >= LEAST_DIFFERENCE
    assert difference(inks[one], inks[other], how) >= LEAST_DIFFERENCE


@pytest.mark.parametrize("how", SEEN_AS)
def test_every_tint_differs_from_white(how: str) -> None:
    for ink in zone_inks().values():
        assert difference(tinted(ink), WHITE, how) >= LEAST_DIFFERENCE


# Contrast.


def test_the_contrast_formula_is_the_published_one() -> None:
    for one, other in combinations([BLACK, WHITE, *zone_inks().values()], 2):
        assert contrast(one, other) == pytest.approx(ratio(one, other))
    assert luminance(WHITE) == pytest.approx(1)


def test_words_and_signs_are_clear_on_every_ground() -> None:
    """WCAG 2.2, 1.4.3: 4.5 for text; it holds in grey too, for lightness alone is asked."""
    style = in_inks(BOOKLET, Inks.COLOUR)
    assert (LEAST_TEXT, LEAST_GRAPHICS) == (4.5, 3.0)
    for ink in zone_inks().values():
        for on in (style.ink, style.soft_ink):
            assert ratio(on, tinted(ink)) >= 4.5
        assert ratio(text_ink_on(ink), ink) >= 4.5
        # WCAG 2.2, 1.4.11: the edge that bounds a zone, or the figure on it.
        assert ratio(style.ink, ink) >= 3
    assert ratio(style.soft_ink, WHITE) >= 7


def test_told_apart_by_lightness_alone_zones_are_not_so_shape_must_tell() -> None:
    inks = zone_inks()
    assert any(ratio(inks[one], inks[other]) < 3 for one, other in NEIGHBOURS)


# Pages.


@pytest.fixture(params=["booklet", "card", "chart"])
def make(
    request: pytest.FixtureRequest, knit_of: Callable[[str], Knit]
) -> Callable[[Inks], Document]:
    knit = knit_of("rope on 40")

    def made(inks: Inks) -> Document:
        match request.param:
            case "booklet":
                edition = Edition(inks=inks)
                return make_booklet(knit, knit, paper=PAPERS["a5"], edition=edition)
            case "card":
                return make_card(knit, Part.TURN, inks=inks)
            case _:
                return make_chart_page(knit, Part.LEG, edition=Edition(inks=inks))

    return made


def in_black(document: Document) -> list[list[Text | Path]]:
    """The items of each page with the inks of words and lines made black, tints made white."""
    grounds = set(map(tinted, zone_inks().values()))
    return [
        [
            *(replace(one.item, ink=BLACK) for one in texts_of(page)),
            *(
                replace(
                    one.item,
                    stroke=one.item.stroke and BLACK,
                    fill=WHITE if one.item.fill in grounds else one.item.fill,
                )
                for one in paths_of(page)
            ),
        ]
        for page in document.pages
    ]


def test_without_its_colours_it_is_the_grey_edition(make: Callable[[Inks], Document]) -> None:
    """The same words, lines, patterns and signs at the same places.  What was solid black, a thumb
    mark and the part filled in on a signpost, has a black edge; all else that is more is a ground
    without an edge, under what tells the zone."""
    coloured = 0
    for plain, colour in zip(in_black(make(Inks.GREY)), in_black(make(Inks.COLOUR)), strict=True):
        less, more = Counter(plain), Counter(colour)
        edged = set()
        for item in more - less:
            coloured += 1
            assert isinstance(item, Path)
            assert item.fill is not None
            if item.stroke is None:
                assert item.fill == WHITE
            else:
                edged.add(item.segments)
        for item in less - more:
            assert isinstance(item, Path)
            assert (item.fill, item.stroke) == (BLACK, None)
            assert item.segments in edged
        words = [item for item in plain if isinstance(item, Text)]
        assert words == [item for item in colour if isinstance(item, Text)]
    assert coloured > 3


def test_words_and_lines_are_never_coloured(make: Callable[[Inks], Document]) -> None:
    for page in make(Inks.COLOUR).pages:
        assert all(text.item.ink.is_grey for text in texts_of(page))
        assert all(path.item.stroke is None or path.item.stroke.is_grey for path in paths_of(page))


def test_the_grey_edition_has_no_colour(make: Callable[[Inks], Document]) -> None:
    for page in make(Inks.GREY).pages:
        for path in paths_of(page):
            assert path.item.fill is None or path.item.fill.is_grey


def test_a_look_in_grey_is_the_look_itself() -> None:
    assert in_inks(BOOKLET, Inks.GREY) == BOOKLET
    assert in_inks(CARD, Inks.GREY) == CARD
    assert in_inks(in_inks(BOOKLET, Inks.COLOUR), Inks.GREY) == BOOKLET
