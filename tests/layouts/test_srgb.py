"""The colour profile, against the primaries of the standard and against Little CMS."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

import pytest
from PIL import Image, ImageCms

from layouts.srgb import srgb_profile


def test_profile_is_srgb() -> None:
    """Every colour comes through Little CMS as it does with that library's own sRGB."""
    ours = ImageCms.ImageCmsProfile(BytesIO(srgb_profile()))
    theirs = ImageCms.createProfile("sRGB")
    levels = (0, 1, 10, 11, 64, 128, 200, 255)
    colours = [(red, green, blue) for red in levels for green in levels for blue in levels]
    image = Image.new("RGB", (len(colours), 1))
    image.putdata(colours)
    found = ImageCms.profileToProfile(image, ours, theirs)
    assert found is not None
    assert list(found.tobytes()) == pytest.approx(list(image.tobytes()), abs=1)


def test_profile_says_what_it_is() -> None:
    profile = ImageCms.getOpenProfile(BytesIO(srgb_profile())).profile
    assert profile.profile_description == "sRGB"
    assert profile.version == 4.2
    assert (profile.device_class, profile.xcolor_space.strip()) == ("mntr", "RGB")
    assert profile.connection_space.strip() == "XYZ"


Vector = tuple[float, float, float]


def solved(rows: Sequence[Vector], right: Vector) -> Vector:
    """The x of rows · x = right, by Cramer's rule."""
    whole = determinant(rows)
    found = []
    for column in range(3):
        changed = [
            tuple(value if place == column else row[place] for place in range(3))
            for row, value in zip(rows, right, strict=True)
        ]
        found.append(determinant(changed) / whole)
    return (found[0], found[1], found[2])


def determinant(rows: Sequence[Sequence[float]]) -> float:
    (a, b, c), (d, e, f), (g, h, i) = rows
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)


def test_primaries_and_white_are_those_of_the_standard() -> None:
    """IEC 61966-2-1:1999, table 1, once the turn from D65 to D50 is undone."""
    profile = ImageCms.getOpenProfile(BytesIO(srgb_profile())).profile
    turn = profile.chromatic_adaptation[0]
    primaries = [profile.red_colorant[0], profile.green_colorant[0], profile.blue_colorant[0]]
    white = tuple(map(sum, zip(*primaries, strict=True)))
    due = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06), (0.3127, 0.3290))
    for point, (x, y) in zip([*primaries, white], due, strict=True):
        seen = solved(turn, point)
        assert [value / sum(seen) for value in seen[:2]] == pytest.approx([x, y], abs=0.0003)


def test_profile_is_small_and_always_the_same() -> None:
    assert len(srgb_profile()) < 600
    assert srgb_profile() == srgb_profile.__wrapped__()
