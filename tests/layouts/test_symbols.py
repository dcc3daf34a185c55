"""The symbols: every pair told apart at the smallest size in grey; cables; one source of shapes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import combinations, pairwise

import pytest
from PIL import Image, ImageFilter
from PIL.Image import Transpose

from charts.stitches import STITCHES, mirrored
from layouts.faces import Face
from layouts.paper import MM_PER_PT
from layouts.png import write_png
from layouts.scene import Box, Group, Item, LineTo, MoveTo, Page, Path, Text, bounds
from layouts.symbols import (
    SYMBOLS,
    Over,
    cable_cross,
    held_hatching,
    outlines,
    symbol_path,
)

MARGIN_MM = 3.0
SMALL_MM, SMALL_DPI = 3.0, 150
"""A cell smaller than any we print, on a coarse printer: 18 by 18 pixels."""

EMPTY = {"k", "R", "r", "L", "l", "h", " "}
"""Flat knit is an empty cell (common practice); cables and hatching are drawn over their cells."""

DRAWN = [letter for letter in SYMBOLS if letter not in EMPTY]

MIRRORS = {frozenset("/\\"), frozenset("HG"), frozenset("Mm")}
"""Pairs whose meanings mirror each other: leaning, down and up, right and left."""


def drawn(*items: Item, width_mm: float = SMALL_MM, dpi: int = SMALL_DPI) -> Image.Image:
    page = Page(width_mm + 2 * MARGIN_MM, SMALL_MM + 2 * MARGIN_MM, items)
    return Image.open(BytesIO(write_png(page, dpi=dpi))).convert("L")


@cache
def cell(letters: str, dpi: int = SMALL_DPI) -> Image.Image:
    row = Text(MARGIN_MM, MARGIN_MM + SMALL_MM, letters, Face.SYMBOLS, SMALL_MM / MM_PER_PT)
    return drawn(row, width_mm=SMALL_MM * len(letters), dpi=dpi)


def ink(image: Image.Image) -> list[float]:
    return [(255 - grey) / 255 for grey in image.tobytes()]


def difference(first: Image.Image, second: Image.Image) -> float:
    """Ink that only one of the two has, as part of their mean ink, at the best of nine fits."""
    first_ink = ink(first)
    best = float("inf")
    for dx in (-1, 0, 1):
        for dy in (-1, 0, 1):
            shifted = Image.new("L", second.size, 255)
            shifted.paste(second, (dx, dy))
            second_ink = ink(shifted)
            only_one = sum(abs(a - b) for a, b in zip(first_ink, second_ink, strict=True))
            best = min(best, only_one / ((sum(first_ink) + sum(second_ink)) / 2))
    return best


def test_every_stitch_has_a_symbol() -> None:
    assert set(STITCHES) <= set(SYMBOLS)
    assert {letter for letter in STITCHES if not outlines(letter)} == EMPTY - {" ", "h"}


def test_every_pair_differs_by_shape_at_the_smallest_size() -> None:
    close = {
        (first, second): difference(cell(first), cell(second))
        for first, second in combinations(DRAWN, 2)
    }
    assert len(close) == 20 * 19 / 2
    assert {pair: found for pair, found in close.items() if found < 0.4} == {}


def test_a_turned_stitch_and_its_strands_knitted_as_one_differ_even_in_a_blur() -> None:
    """They stand one above the other all along a toe and are read at arm's length."""
    blurred = [cell(letter).filter(ImageFilter.GaussianBlur(2)) for letter in "td"]
    assert difference(cell("t"), cell("d")) > 0.9
    assert difference(*blurred) > 0.7


def test_a_pick_up_over_its_lifted_bar_makes_no_double_line() -> None:
    """The mark of the bar stands right below the cell of the stitch that takes it."""
    top = round(MARGIN_MM * SMALL_DPI / 25.4)
    side = round(SMALL_MM * SMALL_DPI / 25.4)
    square = (top, top, top + side, top + side)
    stack = Image.new("L", (side, 2 * side), 255)
    stack.paste(cell("b").crop(square), (0, 0))
    stack.paste(cell("B").crop(square), (0, side))
    level = [
        y for y in range(stack.height) if sum(ink(stack.crop((0, y, side, y + 1)))) > 0.5 * side
    ]
    gaps = [after - before for before, after in pairwise(level) if after - before > 1]
    assert len(gaps) == 1, "two bars"
    assert gaps[0] > 0.5 * side


def test_no_symbol_is_another_in_a_mirror_unless_it_means_that() -> None:
    ways = (Transpose.FLIP_LEFT_RIGHT, Transpose.FLIP_TOP_BOTTOM, Transpose.ROTATE_180)
    found = {
        frozenset((first, second))
        for first, second in combinations(DRAWN, 2)
        for way in ways
        if difference(cell(first), cell(second).transpose(way)) < 0.4
    }
    assert found == MIRRORS
    for letter in STITCHES:
        if mirrored(letter) != letter and outlines(letter):
            assert frozenset((letter, mirrored(letter))) in MIRRORS


def test_no_symbol_is_an_open_circle() -> None:
    """An open circle means yarn over (common practice): white may not be shut in by a single ring
    that is alone in its cell.  Only the crossed loop shuts white in."""
    shut_in = set()
    for letter in DRAWN:
        image = cell(letter, 600)
        flooded = image.point(lambda grey: 255 if grey > 200 else 0)
        queue = [(0, 0)]
        pixels = flooded.load()
        assert pixels is not None
        while queue:
            x, y = queue.pop()
            if 0 <= x < image.width and 0 <= y < image.height and pixels[x, y] == 255:
                pixels[x, y] = 100
                queue += [(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)]
        if flooded.histogram()[255] > 20:
            shut_in.add(letter)
    assert shut_in == {"e"}


def test_strokes_are_of_one_weight() -> None:
    """The level ink of upright strokes at mid height: 12 % of a cell each."""
    dpi = 2400
    for letter, strokes, height in (("t", 2, 0.5), ("d", 2, 0.6), ("j", 1, 0.3), ("W", 1, 0.3)):
        image = cell(letter, dpi)
        y = round((MARGIN_MM + SMALL_MM * height) * dpi / 25.4)
        found = sum(ink(image.crop((0, y, image.width, y + 1))))
        assert found * 25.4 / dpi / SMALL_MM == pytest.approx(0.12 * strokes, abs=0.005)


def test_purl_is_a_dot_in_the_middle() -> None:
    box = bounds(symbol_path("p", 0, 0, 1))
    assert box == Box(*(pytest.approx(side) for side in (0.35, 0.35, 0.65, 0.65)))


def test_hatching_of_held_cells_has_no_seam() -> None:
    """Two stretches side by side and two one above the other look like one of the same size."""
    side_mm, dpi = 2 * SMALL_MM, 508
    edge_mm = MARGIN_MM + side_mm
    middle_mm = MARGIN_MM + SMALL_MM * 1.3
    whole = Box(MARGIN_MM, MARGIN_MM, edge_mm, edge_mm)
    cut = [
        (whole,),
        (replace(whole, right_mm=middle_mm), replace(whole, left_mm=middle_mm)),
        (replace(whole, bottom_mm=middle_mm), replace(whole, top_mm=middle_mm)),
    ]
    images = [
        drawn(*(held_hatching(box, SMALL_MM) for box in boxes), width_mm=side_mm, dpi=dpi)
        for boxes in cut
    ]
    for image in images[1:]:
        assert difference(images[0], image) < 0.05


def test_hatching_fills_cells_of_any_width_evenly() -> None:
    """Along the middle of a stretch of wide cells all strokes are equally far apart."""
    for width_mm in (SMALL_MM, 1.3 * SMALL_MM, 4.0 * SMALL_MM):
        path = held_hatching(Box(10.0, 20.0, 10.0 + width_mm, 20.0 + SMALL_MM), SMALL_MM)
        middle_mm = 20.0 + SMALL_MM / 2
        places = []
        for start, end in zip(path.segments[::2], path.segments[1::2], strict=True):
            assert isinstance(start, MoveTo)
            assert isinstance(end, LineTo)
            if min(start.y_mm, end.y_mm) <= middle_mm <= max(start.y_mm, end.y_mm):
                share = (middle_mm - start.y_mm) / (end.y_mm - start.y_mm)
                places.append(start.x_mm + share * (end.x_mm - start.x_mm))
        places = [10.0, *sorted(places), 10.0 + width_mm]
        steps = [after - before for before, after in pairwise(places)]
        assert len(steps) >= 4
        assert all(step == pytest.approx(SMALL_MM / 3, abs=0.01) for step in steps[1:-1])
        assert max(steps) < SMALL_MM / 3 + 0.01


@pytest.mark.parametrize("letter", DRAWN)
def test_paths_and_font_draw_the_same(letter: str) -> None:
    by_path = drawn(symbol_path(letter, MARGIN_MM, MARGIN_MM, SMALL_MM), dpi=600)
    assert difference(by_path, cell(letter, 600)) < 0.02


def test_symbols_keep_clear_of_the_grid() -> None:
    for letter in DRAWN:
        assert Box(0.08, 0.08, 0.92, 0.92).grown(1e-9).holds(bounds(symbol_path(letter, 0, 0, 1)))


def cable(left_width: int, right_width: int, over: Over) -> Image.Image:
    cross = cable_cross(
        left_width, right_width, over, x_mm=MARGIN_MM, y_mm=MARGIN_MM, cell_mm=SMALL_MM
    )
    return drawn(cross, width_mm=(left_width + right_width) * SMALL_MM, dpi=600)


def pieces(image: Image.Image) -> list[tuple[int, int, int, int]]:
    """The boxes of connected ink."""
    dark = image.point(lambda grey: 0 if grey < 128 else 255)
    pixels = dark.load()
    assert pixels is not None
    found = []
    for y in range(image.height):
        for x in range(image.width):
            if pixels[x, y] != 0:
                continue
            queue, seen = [(x, y)], []
            pixels[x, y] = 128
            while queue:
                at = queue.pop()
                seen.append(at)
                for near in ((at[0] + 1, at[1]), (at[0] - 1, at[1]), (at[0], at[1] + 1),
                             (at[0], at[1] - 1)):  # fmt: skip
                    if pixels[near] == 0:
                        pixels[near] = 128
                        queue.append(near)
            columns, rows = zip(*seen, strict=True)
            found.append((min(columns), min(rows), max(columns), max(rows)))
    return found


@pytest.mark.parametrize("widths", [(1, 1), (2, 2), (3, 3), (1, 2), (2, 1), (1, 3)])
@pytest.mark.parametrize("over", list(Over))
def test_strand_on_top_is_whole_and_the_other_is_broken(
    widths: tuple[int, int], over: Over
) -> None:
    image = cable(*widths, over)
    cell_px = SMALL_MM * 600 / 25.4
    tall = [box for box in pieces(image) if box[3] - box[1] > 0.8 * cell_px]
    short = [box for box in pieces(image) if box[3] - box[1] <= 0.8 * cell_px]
    assert len(tall) == 2, "the two edges of the strand on top, from foot to top"
    assert len(short) >= 2, "what shows of the strand beneath"
    # Each edge on top runs as far sideways as the other strand is wide.
    passed = widths[1] if over is Over.LEFT else widths[0]
    for left, _, right, _ in tall:
        assert right - left == pytest.approx((passed + 0.12) * cell_px, abs=3)


def test_right_cross_leans_right_and_left_cross_is_its_mirror() -> None:
    right = cable(2, 2, Over.LEFT)
    left = cable(2, 2, Over.RIGHT)
    assert difference(right, left.transpose(Transpose.FLIP_LEFT_RIGHT)) < 0.03
    assert difference(right, left) > 0.4
    # The piece at the lower left corner is an edge on top: it reaches the top of the row.
    margin, cell_px = (round(mm * 600 / 25.4) for mm in (MARGIN_MM, SMALL_MM))
    lower_left = next(
        box for box in pieces(right)
        if box[0] < margin + 0.2 * cell_px and box[3] > margin + 0.8 * cell_px
    )  # fmt: skip
    assert lower_left[1] < margin + 0.2 * cell_px
    assert lower_left[2] > margin + 2 * cell_px


def test_cross_stays_in_its_cells_and_hides_the_grid_within() -> None:
    for over in Over:
        cross = cable_cross(2, 1, over, x_mm=10, y_mm=20, cell_mm=5)
        assert isinstance(cross, Group)
        ground, strands = cross.items
        assert isinstance(ground, Path)
        assert isinstance(strands, Path)
        assert Box(10, 20, 25, 25).holds(bounds(ground))
        assert bounds(ground).holds(bounds(strands))


def test_cross_over_wider_cells_keeps_the_weight_of_its_strokes() -> None:
    for over in Over:
        square = cable_cross(2, 2, over, x_mm=10, y_mm=20, cell_mm=4)
        wide = cable_cross(2, 2, over, x_mm=10, y_mm=20, cell_mm=4, cell_width_mm=6)
        assert bounds(wide).width_mm - 4 * 6 == pytest.approx(bounds(square).width_mm - 4 * 4)
        assert bounds(wide.items[1]).width_mm == pytest.approx(
            bounds(square.items[1]).width_mm + 8, abs=0.01
        )
        assert bounds(wide).height_mm == pytest.approx(bounds(square).height_mm)


def test_unknown_letter_is_an_error_not_a_blank() -> None:
    with pytest.raises(KeyError):
        outlines("q")
