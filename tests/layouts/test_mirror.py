"""Drawings in a mirror: strokes turn, words stay to be read."""

from __future__ import annotations

import pytest

from charts.hands import mirror_image
from charts.parts import Part
from charts.spec import Cuff, Leftover, Leg, ShortRows, SockSpec, Toe
from layouts.block import Block
from layouts.mirror import mirrored_block
from layouts.scene import Align, CurveTo, Group, LineTo, MoveTo, Path, Text, bounds, line
from layouts.techniques import techniques_of
from tests.core.socks import proved, sock

BLOCK = Block(
    (
        line(1, 2, 9, 4),
        Path((MoveTo(3, 3), CurveTo(4, 3, 5, 6, 7, 8))),
        Text(2, 5, "left leg"),
        Group((line(0, 0, 3, 0), Text(3, 1, "in", align=Align.RIGHT)), 10, 20),
    ),
    30,
    25,
)


def test_points_and_words_lie_on_the_other_side() -> None:
    stroke, curve, text, group = mirrored_block(BLOCK).items
    assert isinstance(stroke, Path)
    assert stroke.segments == (MoveTo(29, 2), LineTo(21, 4))
    assert isinstance(curve, Path)
    assert curve.segments == (MoveTo(27, 3), CurveTo(26, 3, 25, 6, 23, 8))
    assert isinstance(text, Text)
    assert (text.x_mm, text.align, text.text) == (28, Align.RIGHT, "left leg")
    assert isinstance(group, Group)
    assert group.dx_mm == 20
    box, mirror = bounds(BLOCK.items[3]), bounds(group)
    assert (mirror.left_mm, mirror.right_mm) == pytest.approx((30 - box.right_mm, 30 - box.left_mm))


def test_mirrored_twice_a_drawing_is_itself() -> None:
    assert mirrored_block(mirrored_block(BLOCK)) == BLOCK


def test_a_drawing_on_its_side_is_refused() -> None:
    turned = Block((Group(BLOCK.items, quarter_turns=1),), 25, 30)
    with pytest.raises(ValueError, match="on its side"):
        mirrored_block(turned)


CABLED = sock(
    25,
    motif=("kRlkk",),
    cuff=Cuff(2, "kp", Leftover.KNIT),
    leg=Leg(2, "m"),
    toe=Toe(short_rows=ShortRows.WRAPPED),
)


@pytest.mark.parametrize("spec", [sock(24, knit="e-wrap"), CABLED], ids=["plain", "cabled"])
def test_every_movement_is_drawn_as_in_a_mirror(spec: SockSpec) -> None:
    """The ink of each drawing, or of each of its stages, reaches as far from the other edge."""
    plain, left = proved(spec), proved(mirror_image(spec))
    seen = 0
    for part in Part:
        for one, other in zip(techniques_of(plain, part), techniques_of(left, part), strict=True):
            if one.title.startswith(("Cross", "The one decrease")):
                continue
            drawing, mirror = one.drawing, other.drawing
            stages = isinstance(drawing.items[0], Group)
            pairs = zip(drawing.items, mirror.items, strict=True) if stages else ()
            for stage, turned in pairs or [(Group(drawing.items), Group(mirror.items))]:
                assert isinstance(stage, Group)
                assert isinstance(turned, Group)
                width_mm = drawing.width_mm / (2 if stages else 1)
                box = bounds(Group(stage.items))
                image = bounds(Group(turned.items))
                assert image.left_mm == pytest.approx(width_mm - box.right_mm, abs=1e-6)
                assert image.right_mm == pytest.approx(width_mm - box.left_mm, abs=1e-6)
                assert image.left_mm + 0.5 >= 0
                assert image.right_mm <= width_mm + 0.5
                seen += 1
    assert seen > 10
