"""The colour space that the inks of a page are meant in, as an ICC profile of half a kilobyte.

The space is sRGB (IEC 61966-2-1:1999), the profile of version 4.2 (ICC.1:2004-10).  It is made here
because profiles that libraries make carry the date of the day.
"""

from __future__ import annotations

import struct
from functools import cache
from typing import Final

_D50: Final = (0.9642, 1.0, 0.8249)
"""The white of the profile connection space (ICC.1:2004-10, 6.3.4.3)."""

_COLORANTS: Final = {
    b"rXYZ": (0.43607, 0.22249, 0.01392),
    b"gXYZ": (0.38515, 0.71687, 0.09708),
    b"bXYZ": (0.14307, 0.06061, 0.71410),
}
"""The primaries of IEC 61966-2-1 seen from its white D65, turned to D50 by the Bradford matrix."""

_D65_TO_D50: Final = (
    (1.04788, 0.02292, -0.05022),
    (0.02959, 0.99048, -0.01707),
    (-0.00925, 0.01508, 0.75168),
)
"""The Bradford matrix of that turn (ICC.1:2004-10, annex E)."""

_CURVE: Final = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
"""Exponent, slope and offset of the curve, slope of its foot, and where the foot ends."""

_HEADER_BYTES: Final = 128


@cache
def srgb_profile() -> bytes:
    """The profile; always the same bytes."""
    curve = b"para" + struct.pack(">IHH", 0, 3, 0) + _fixed(*_CURVE)
    turn = b"sf32" + bytes(4) + _fixed(*(value for row in _D65_TO_D50 for value in row))
    tags = {
        b"desc": _words("sRGB"),
        b"cprt": _words("No copyright, use freely"),
        b"wtpt": _point(_D50),
        b"chad": turn,
        **{name: _point(point) for name, point in _COLORANTS.items()},
        **dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve),
    }
    places: dict[bytes, int] = {}
    data = b""
    start = _HEADER_BYTES + 4 + 12 * len(tags)
    for element in tags.values():
        if element not in places:
            places[element] = start + len(data)
            data += element + bytes(-len(element) % 4)
    table = struct.pack(">I", len(tags)) + b"".join(
        name + struct.pack(">II", places[element], len(element)) for name, element in tags.items()
    )
    return _header(start + len(data)) + table + data


def _header(size: int) -> bytes:
    """Version 4.2, a display, RGB to XYZ, a date that never changes (7.2)."""
    return (
        struct.pack(">I4xI", size, 0x04200000)
        + b"mntrRGB XYZ "
        + struct.pack(">6H", 2000, 1, 1, 0, 0, 0)
        + b"acsp"
        + bytes(28)
        + _fixed(*_D50)
    ).ljust(_HEADER_BYTES, b"\0")


def _words(text: str) -> bytes:
    """A text in one language (10.13)."""
    letters = text.encode("utf-16-be")
    return b"mluc" + struct.pack(">III2s2sII", 0, 1, 12, b"en", b"GB", len(letters), 28) + letters


def _point(xyz: tuple[float, float, float]) -> bytes:
    return b"XYZ " + bytes(4) + _fixed(*xyz)


def _fixed(*values: float) -> bytes:
    """Numbers of 16 bits before and 16 behind the point (4.6)."""
    return struct.pack(f">{len(values)}i", *(round(value * 65536) for value in values))
