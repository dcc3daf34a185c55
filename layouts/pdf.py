"""Documents as PDF: true size, embedded fonts, outline, links, page labels; no clock, no chance.

Written straight from the items (ISO 32000-1:2008): a dense booklet then takes a few hundredths of a
second, each glyph keeps its letter, and nothing in the file comes from outside the document.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Final, NamedTuple, assert_never

from layouts.faces import Face, font_bytes, metrics, shown
from layouts.paper import MM_PER_PT
from layouts.pdf_file import Pdf, PdfFile, array, dictionary, name, number, numbers, string
from layouts.scene import (
    Anchor,
    Close,
    CurveTo,
    Document,
    Group,
    Ink,
    Item,
    LineTo,
    Link,
    MoveTo,
    OutlineEntry,
    Page,
    Path,
    Text,
    text_left_mm,
)
from layouts.truetype import TrueTypeFont

_PT_PER_MM: Final = 1 / MM_PER_PT

_RESOURCE_NAMES: Final = {Face.REGULAR: "F1", Face.BOLD: "F2", Face.SYMBOLS: "F3"}

_PROGRAM: Final = "pegfolio"


def write_pdf(document: Document) -> bytes:
    """The document as a PDF 1.7 file; equal documents give equal bytes.

    Viewers are told to print it at 100 %.  Raises ValueError if a link leads nowhere or two anchors
    share a name.
    """
    file = PdfFile()
    root, info, tree, resources = (file.reserve() for _ in range(4))
    page_refs = [file.reserve() for _ in document.pages]
    places = _find_anchors(document.pages, page_refs)
    fonts = {face: _FontUse(face) for face in Face}
    for page, page_ref in zip(document.pages, page_refs, strict=True):
        painter = _Painter(fonts)
        painter.paint(page.items, _Place.of(page))
        entries = {
            "Type": "/Page",
            "Parent": tree,
            "MediaBox": numbers((0, 0, page.width_mm * _PT_PER_MM, page.height_mm * _PT_PER_MM)),
            "Resources": resources,
            "Contents": file.add_stream(painter.content()),
        }
        if painter.links:
            entries["Annots"] = array(
                file.add(_link_annotation(link, places, page_refs)) for link in painter.links
            )
        file.fill(page_ref, dictionary(entries))
    file.fill(
        tree,
        dictionary({"Type": "/Pages", "Kids": array(page_refs), "Count": str(len(page_refs))}),
    )
    font_refs = {
        _RESOURCE_NAMES[face]: _add_font(file, use) for face, use in fonts.items() if use.glyphs
    }
    file.fill(resources, dictionary({"Font": dictionary(font_refs)}))
    file.fill(info, dictionary(_info(document)))
    file.fill(root, dictionary(_catalog(file, document, tree, page_refs)))
    return file.finish(root=root, info=info)


def _info(document: Document) -> dict[str, Pdf]:
    entries = {
        "Title": document.title,
        "Author": document.author,
        "Subject": document.subject,
        "Keywords": ", ".join(document.keywords),
        "Creator": _PROGRAM,
        "Producer": _PROGRAM,
    }
    return {key: string(text) for key, text in entries.items() if text}


def _catalog(
    file: PdfFile, document: Document, tree: Pdf, page_refs: Sequence[Pdf]
) -> dict[str, str]:
    entries: dict[str, str] = {
        "Type": "/Catalog",
        "Pages": tree,
        "Lang": string(document.language),
        "ViewerPreferences": dictionary({"DisplayDocTitle": "true", "PrintScaling": "/None"}),
    }
    outline = _add_outline(file, document.pages, page_refs)
    if outline:
        entries |= {"Outlines": outline, "PageMode": "/UseOutlines"}
    if any(page.label for page in document.pages):
        entries["PageLabels"] = dictionary({"Nums": array(_page_labels(document.pages))})
    return entries


def _page_labels(pages: Sequence[Page]) -> Iterator[str]:
    """Index and label of every page, in turn (clause 12.4.2)."""
    for index, page in enumerate(pages):
        yield str(index)
        if page.label:
            yield dictionary({"P": string(page.label)})
        else:
            yield dictionary({"S": "/D", "St": str(index + 1)})


# --- Places ----------------------------------------------------------------------------------


class _Place(NamedTuple):
    """From the mm of a group, y down, to the points of its page, y up."""

    a: float
    b: float
    c: float
    d: float
    x_pt: float
    y_pt: float

    @staticmethod
    def of(page: Page) -> _Place:
        """The place of a page's own items."""
        return _Place(_PT_PER_MM, 0.0, 0.0, -_PT_PER_MM, 0.0, page.height_mm * _PT_PER_MM)

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """A point of the group on the page."""
        return (
            self.x_pt + self.a * x_mm + self.c * y_mm,
            self.y_pt + self.b * x_mm + self.d * y_mm,
        )

    def inside(self, group: Group) -> _Place:
        """The place of a group's items."""
        a, b, c, d = self[:4]
        for _ in range(group.quarter_turns % 4):
            a, b, c, d = c, d, -a, -b
        return _Place(a, b, c, d, *self.point(group.dx_mm, group.dy_mm))


def _walk(items: Iterable[Item], place: _Place) -> Iterator[tuple[Item, _Place]]:
    """Every item that is not a group, with its place."""
    for item in items:
        if isinstance(item, Group):
            yield from _walk(item.items, place.inside(item))
        else:
            yield item, place


def _find_anchors(pages: Sequence[Page], page_refs: Sequence[Pdf]) -> dict[str, Pdf]:
    """The destination of every anchor by its name."""
    found: dict[str, Pdf] = {}
    for page, page_ref in zip(pages, page_refs, strict=True):
        for item, place in _walk(page.items, _Place.of(page)):
            if isinstance(item, Anchor):
                if item.name in found:
                    raise ValueError(f"two anchors are named {item.name!r}")
                found[item.name] = _destination(page_ref, *place.point(item.x_mm, item.y_mm))
    return found


def _destination(page_ref: Pdf, x_pt: float, y_pt: float) -> Pdf:
    return array((page_ref, "/XYZ", number(x_pt), number(y_pt), "null"))


# --- Painting --------------------------------------------------------------------------------


class _FontUse(dict[int, int]):
    """The characters of a face in use: code point to the glyph's number in the subset.

    Being a mapping, it is what `str.translate` wants; a new character gets the next number.
    """

    def __init__(self, face: Face) -> None:
        super().__init__()
        self.face: Final = face
        self.glyphs: list[int] = []
        """Glyph in the font file of each number, from 1."""

    def __missing__(self, code: int) -> int:
        self.glyphs.append(metrics(self.face).glyphs[chr(code)])
        self[code] = len(self.glyphs)
        return self[code]


@dataclass
class _Painter:
    """Writes the items of one page as content operators (clauses 8 and 9)."""

    fonts: dict[Face, _FontUse]
    operators: list[str] = field(default_factory=list)
    links: list[tuple[Link, _Place]] = field(default_factory=list)
    state: dict[str, str] = field(
        default_factory=lambda: (
            {"stroke": "0 G", "fill": "0 g", "width": "1 w", "cap": "0 J"}
            | {"join": "0 j", "dash": "[] 0 d", "spacing": "0 Tc"}
        )
    )
    """The operator that set each graphics parameter; at first the defaults of clause 8.4.1."""

    def content(self) -> bytes:
        """The operators so far."""
        return "\n".join(self.operators).encode("ascii")

    def paint(self, items: Iterable[Item], place: _Place) -> None:
        """Paints the items in order."""
        for item in items:
            match item:
                case Text():
                    self._text(item, place)
                case Path():
                    self._path(item, place)
                case Group():
                    self.paint(item.items, place.inside(item))
                case Link():
                    self.links.append((item, place))
                case Anchor():
                    pass
                case _:
                    assert_never(item)

    def _set(self, parameter: str, operator: str) -> None:
        if self.state.get(parameter) != operator:
            self.state[parameter] = operator
            self.operators.append(operator)

    def _text(self, item: Text, place: _Place) -> None:
        text = shown(item.text, item.face)
        if not text:
            return
        self._set("fill", _ink(item.ink, "g", "rg"))
        self._set("font", f"/{_RESOURCE_NAMES[item.face]} {number(item.size_pt)} Tf")
        self._set("spacing", f"{number(item.spacing_mm * _PT_PER_MM)} Tc")
        x_pt, y_pt = place.point(text_left_mm(item), item.y_mm)
        if place.a > 0:
            position = f"{number(x_pt)} {number(y_pt)} Td"
        else:
            matrix = (place.a, place.b, -place.c, -place.d)
            turn = " ".join(number(value * MM_PER_PT) for value in matrix)
            position = f"{turn} {number(x_pt)} {number(y_pt)} Tm"
        codes = text.translate(self.fonts[item.face]).encode("utf-16-be").hex()
        self.operators.append(f"BT {position} <{codes}> Tj ET")

    def _path(self, item: Path, place: _Place) -> None:
        if item.stroke is None and item.fill is None:
            return
        if item.fill is not None:
            self._set("fill", _ink(item.fill, "g", "rg"))
        if item.stroke is not None:
            self._set("stroke", _ink(item.stroke, "G", "RG"))
            self._set("width", f"{number(item.stroke_pt)} w")
            self._set("cap", f"{item.cap.value} J")
            self._set("join", f"{item.join.value} j")
            self._set("dash", f"{numbers(mm * _PT_PER_MM for mm in item.dash_mm)} 0 d")
        for segment in item.segments:
            match segment:
                case MoveTo():
                    self.operators.append(f"{_points(segment, place)} m")
                case LineTo():
                    self.operators.append(f"{_points(segment, place)} l")
                case CurveTo():
                    self.operators.append(f"{_points(segment, place)} c")
                case Close():
                    self.operators.append("h")
                case _:
                    assert_never(segment)
        if item.fill is None:
            self.operators.append("S")
        else:
            self.operators.append("f" if item.stroke is None else "B")


def _points(segment: Sequence[float], place: _Place) -> str:
    pairs = zip(segment[::2], segment[1::2], strict=True)
    return " ".join(number(value) for pair in pairs for value in place.point(*pair))


def _ink(ink: Ink, grey: str, colour: str) -> str:
    if ink.is_grey:
        return f"{number(ink.red)} {grey}"
    return f"{number(ink.red)} {number(ink.green)} {number(ink.blue)} {colour}"


# --- Fonts -----------------------------------------------------------------------------------


def _add_font(file: PdfFile, use: _FontUse) -> Pdf:
    """The composite font of a face, cut down to the characters in use (clause 9.7)."""
    font = TrueTypeFont(font_bytes(use.face))
    face = metrics(use.face)
    tag = "".join(chr(ord("A") + byte % 26) for byte in sha256(repr(use.glyphs).encode()).digest())
    base_name = name(f"{tag[:6]}+{use.face.value}")
    program = font.subset(use.glyphs)
    # Symbolic (bit 3), because the letters of the symbol face do not look like letters.
    flags = 4 if use.face is Face.SYMBOLS else 32
    descriptor = file.add(
        dictionary(
            {
                "Type": "/FontDescriptor",
                "FontName": base_name,
                "Flags": str(flags),
                "FontBBox": numbers(font.box),
                "ItalicAngle": "0",
                "Ascent": number(face.ascender),
                "Descent": number(face.descender),
                "CapHeight": number(face.cap_height),
                "XHeight": number(face.x_height),
                "StemV": "140" if use.face is Face.BOLD else "84",
                "FontFile2": file.add_stream(program, {"Length1": str(len(program))}),
            }
        )
    )
    widths = numbers(face.widths[chr(code)] for code in use)
    descendant = file.add(
        dictionary(
            {
                "Type": "/Font",
                "Subtype": "/CIDFontType2",
                "BaseFont": base_name,
                "CIDSystemInfo": _SYSTEM_INFO,
                "FontDescriptor": descriptor,
                "DW": "1000",
                "W": array(("1", widths)),
                "CIDToGlyphMap": "/Identity",
            }
        )
    )
    return file.add(
        dictionary(
            {
                "Type": "/Font",
                "Subtype": "/Type0",
                "BaseFont": base_name,
                "Encoding": "/Identity-H",
                "DescendantFonts": array((descendant,)),
                "ToUnicode": file.add_stream(_to_unicode(use)),
            }
        )
    )


_SYSTEM_INFO: Final = dictionary(
    {"Registry": "(Adobe)", "Ordering": "(Identity)", "Supplement": "0"}
)


def _to_unicode(use: _FontUse) -> bytes:
    """The characters behind the glyphs, so that text can be searched and copied (clause 9.10.3).

    A block holds 100 entries at most, as the CMap format demands.
    """
    entries = [
        f"<{glyph:04X}> <{chr(code).encode('utf-16-be').hex().upper()}>"
        for code, glyph in use.items()
    ]
    blocks = "".join(
        f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar\n"
        for block in (entries[start : start + 100] for start in range(0, len(entries), 100))
    )
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"
        f"{blocks}endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode("ascii")


# --- Links and outline -----------------------------------------------------------------------


def _link_annotation(
    placed_link: tuple[Link, _Place], places: dict[str, Pdf], page_refs: Sequence[Pdf]
) -> Pdf:
    link, place = placed_link
    x1, y1 = place.point(link.x_mm, link.y_mm)
    x2, y2 = place.point(link.x_mm + link.width_mm, link.y_mm + link.height_mm)
    entries = {
        "Type": "/Annot",
        "Subtype": "/Link",
        "Rect": numbers((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))),
        "Border": "[0 0 0]",
        "F": "4",  # printed with the page
        "Dest": _link_destination(link.target, places, page_refs),
    }
    if link.alt:
        entries["Contents"] = string(link.alt)
    return dictionary(entries)


def _link_destination(target: str | int, places: dict[str, Pdf], page_refs: Sequence[Pdf]) -> Pdf:
    if isinstance(target, int):
        if not 1 <= target <= len(page_refs):
            raise ValueError(f"a link leads to page {target} of {len(page_refs)}")
        return array((page_refs[target - 1], "/Fit"))
    if target not in places:
        raise ValueError(f"a link leads to {target!r}, and no anchor has that name")
    return places[target]


def _add_outline(file: PdfFile, pages: Sequence[Page], page_refs: Sequence[Pdf]) -> Pdf | None:
    """The outline as the linked lists of clause 12.3.3; None if no page has an entry."""
    entries = [
        (entry, page, page_ref)
        for page, page_ref in zip(pages, page_refs, strict=True)
        for entry in page.outline
    ]
    if not entries:
        return None
    root = file.reserve()
    refs = [file.reserve() for _ in entries]
    parents = _outline_parents([entry for entry, _, _ in entries])
    for index, (entry, page, page_ref) in enumerate(entries):
        parent = parents[index]
        siblings = [other for other, its in enumerate(parents) if its == parent]
        position = siblings.index(index)
        y_pt = (page.height_mm - entry.y_mm) * _PT_PER_MM
        node: dict[str, str] = {
            "Title": string(entry.title),
            "Parent": root if parent is None else refs[parent],
            "Dest": _destination(page_ref, 0.0, y_pt),
        }
        if position > 0:
            node["Prev"] = refs[siblings[position - 1]]
        if position + 1 < len(siblings):
            node["Next"] = refs[siblings[position + 1]]
        children = [other for other, its in enumerate(parents) if its == index]
        if children:
            # Negative: shown closed.
            node |= {"First": refs[children[0]], "Last": refs[children[-1]]}
            node["Count"] = str(-len(children))
        file.fill(refs[index], dictionary(node))
    top = [index for index, parent in enumerate(parents) if parent is None]
    file.fill(
        root,
        dictionary(
            {
                "Type": "/Outlines",
                "First": refs[top[0]],
                "Last": refs[top[-1]],
                "Count": str(len(top)),
            }
        ),
    )
    return root


def _outline_parents(entries: Sequence[OutlineEntry]) -> list[int | None]:
    """For each entry the index of the nearest entry before it that stands higher."""
    open_entries: list[int] = []
    parents: list[int | None] = []
    for index, entry in enumerate(entries):
        while open_entries and entries[open_entries[-1]].level >= entry.level:
            open_entries.pop()
        parents.append(open_entries[-1] if open_entries else None)
        open_entries.append(index)
    return parents
