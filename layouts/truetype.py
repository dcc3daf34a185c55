"""The part of a TrueType font that a document needs, cut out for embedding.

A PDF names glyphs by number, so character map, names and layout tables stay behind.  Table layouts
follow the OpenType specification 1.9 (chapters "glyf", "loca", "hmtx").
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from struct import pack, pack_into, unpack_from
from typing import Final

_COPIED: Final = ("cvt ", "fpgm", "prep")
"""The programs that glyphs call: taken whole, since the outlines keep their hints."""

_ARGUMENTS_ARE_WORDS: Final = 0x0001
_HAS_SCALE: Final = 0x0008
_MORE_COMPONENTS: Final = 0x0020
_HAS_TWO_SCALES: Final = 0x0040
_HAS_MATRIX: Final = 0x0080

_CHECKSUM_MAGIC: Final = 0xB1B0AFBA


@dataclass(frozen=True)
class TrueTypeFont:
    """A font file with TrueType outlines."""

    data: bytes

    @cached_property
    def tables(self) -> dict[str, bytes]:
        """Every table by its tag."""
        (count,) = unpack_from(">H", self.data, 4)
        found = {}
        for index in range(count):
            tag, _, offset, length = unpack_from(">4sLLL", self.data, 12 + 16 * index)
            found[tag.decode("ascii")] = self.data[offset : offset + length]
        return found

    @cached_property
    def units_per_em(self) -> int:
        return int(unpack_from(">H", self.tables["head"], 18)[0])

    @cached_property
    def box(self) -> tuple[int, int, int, int]:
        """The box round all glyphs in thousandths of the size: left, foot, right, top."""
        left, foot, right, top = unpack_from(">4h", self.tables["head"], 36)
        scale = 1000 / self.units_per_em
        return (round(left * scale), round(foot * scale), round(right * scale), round(top * scale))

    def subset(self, glyphs: Iterable[int]) -> bytes:
        """A font with glyph 0 and these, numbered on from 1 in the order given.

        A glyph given twice is there twice.  The parts that accented letters and fractions are put
        together from follow after them.
        """
        queue = [0, *glyphs]
        numbers: dict[int, int] = {}
        for number, glyph in enumerate(queue):
            numbers.setdefault(glyph, number)
        outlines = []
        for glyph in queue:  # grows while it is walked: a part may have parts of its own
            outline = bytearray(self._outline(glyph))
            for offset, part in _parts(outline):
                if part not in numbers:
                    numbers[part] = len(queue)
                    queue.append(part)
                pack_into(">H", outline, offset, numbers[part])
            outlines.append(bytes(outline) + bytes(-len(outline) % 4))
        return _font_file(self._subset_tables(queue, outlines))

    def _outline(self, glyph: int) -> bytes:
        head, loca = self.tables["head"], self.tables["loca"]
        if unpack_from(">h", head, 50)[0]:
            start, end = unpack_from(">LL", loca, 4 * glyph)
        else:
            start, end = (2 * half for half in unpack_from(">HH", loca, 2 * glyph))
        return self.tables["glyf"][start:end]

    def _metric(self, glyph: int) -> tuple[int, int]:
        """Advance width and left side bearing, in font units."""
        (count,) = unpack_from(">H", self.tables["hhea"], 34)
        hmtx = self.tables["hmtx"]
        if glyph < count:
            width, bearing = unpack_from(">Hh", hmtx, 4 * glyph)
        else:
            (width,) = unpack_from(">H", hmtx, 4 * (count - 1))
            (bearing,) = unpack_from(">h", hmtx, 4 * count + 2 * (glyph - count))
        return width, bearing

    def _subset_tables(self, glyphs: list[int], outlines: list[bytes]) -> dict[str, bytes]:
        offsets = [0]
        for outline in outlines:
            offsets.append(offsets[-1] + len(outline))
        head, hhea, maxp = (bytearray(self.tables[tag]) for tag in ("head", "hhea", "maxp"))
        pack_into(">L", head, 8, 0)  # the file's checksum, set when the file is whole
        pack_into(">h", head, 50, 1)  # long offsets
        pack_into(">H", hhea, 34, len(glyphs))
        pack_into(">H", maxp, 4, len(glyphs))
        return {
            **{tag: self.tables[tag] for tag in _COPIED if tag in self.tables},
            "glyf": b"".join(outlines),
            "head": bytes(head),
            "hhea": bytes(hhea),
            "hmtx": b"".join(pack(">Hh", *self._metric(glyph)) for glyph in glyphs),
            "loca": pack(f">{len(offsets)}L", *offsets),
            "maxp": bytes(maxp),
        }


def _parts(outline: bytes | bytearray) -> list[tuple[int, int]]:
    """The glyphs a composite glyph is made of: where each number stands, and the number."""
    if not outline or unpack_from(">h", outline)[0] >= 0:
        return []
    found = []
    offset, flags = 10, _MORE_COMPONENTS
    while flags & _MORE_COMPONENTS:
        flags, glyph = unpack_from(">HH", outline, offset)
        found.append((offset + 2, glyph))
        offset += 8 if flags & _ARGUMENTS_ARE_WORDS else 6
        if flags & _HAS_SCALE:
            offset += 2
        elif flags & _HAS_TWO_SCALES:
            offset += 4
        elif flags & _HAS_MATRIX:
            offset += 8
    return found


def _font_file(tables: dict[str, bytes]) -> bytes:
    """The tables as a file, in the order of their tags."""
    count = len(tables)
    power = count.bit_length() - 1
    directory = [pack(">LHHHH", 0x00010000, count, 16 << power, power, (count - (1 << power)) * 16)]
    body = []
    offset = 12 + 16 * count
    head_offset = 0
    for tag in sorted(tables):
        table = tables[tag]
        if tag == "head":
            head_offset = offset
        directory.append(pack(">4sLLL", tag.encode("ascii"), _checksum(table), offset, len(table)))
        body.append(table + bytes(-len(table) % 4))
        offset += len(body[-1])
    file = bytearray(b"".join(directory + body))
    pack_into(">L", file, head_offset + 8, (_CHECKSUM_MAGIC - _checksum(bytes(file))) % (1 << 32))
    return bytes(file)


def _checksum(table: bytes) -> int:
    """The sum of the table's 32-bit words."""
    padded = table + bytes(-len(table) % 4)
    words: tuple[int, ...] = unpack_from(f">{len(padded) // 4}L", padded)
    return sum(words) % (1 << 32)
