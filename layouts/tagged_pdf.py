"""Finishing a PDF file so that it can be heard and kept: PDF/UA-1 and PDF/A-2a at once.

To the pages come the tree of what they hold (ISO 32000-1:2008, 14.7 and 14.8), metadata, and what
the inks mean; the maps of the fonts are put right (ISO 14289-1:2014; ISO 19005-2:2011).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import datetime
from io import BytesIO
from typing import Final, assert_never

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, String

from layouts.paper import MM_PER_PT
from layouts.pdf_metadata import metadata_packet
from layouts.pdf_text import plain_text
from layouts.scene import Document
from layouts.srgb import srgb_profile
from layouts.structure import Content, Element, LinkArea, Structure, Tag


def tagged(
    pages: bytes, document: Document, structure: Structure, *, dated: datetime | None = None
) -> bytes:
    """The finished file.

    `pages` is the document as PDF, whose marked content and links are those of the structure, and
    which has the same date.
    """
    with pikepdf.open(BytesIO(pages)) as file:
        _Tree(file, document).grow(structure.root)
        _describe(file, document, dated)
        _mean_colours(file)
        _name_characters(file)
        finished = BytesIO()
        file.save(
            finished,
            fix_metadata_version=False,
            deterministic_id=True,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
        )
    return finished.getvalue()


# --- The tree --------------------------------------------------------------------------------

_TOLD_AS_ALT: Final = (Tag.FIGURE,)
"""What is heard describes these, and replaces the text of all others."""


@dataclass
class _Tree:
    """The structure tree of one file, and from each piece of its pages the way back to it."""

    file: pikepdf.Pdf
    document: Document
    pages: list[Object] = field(init=False)
    parents: list[dict[int, Object]] = field(init=False)
    """Of each page: the element that holds each stretch of content."""
    links: list[Object] = field(default_factory=list)
    """The elements of the links, in the order of their keys."""

    def __post_init__(self) -> None:
        self.pages = [page.obj for page in self.file.pages]
        self.parents = [{} for _ in self.pages]

    def grow(self, root: Element) -> None:
        """Adds the tree to the file."""
        trunk = self.file.make_indirect(Dictionary(Type=Name.StructTreeRoot))
        trunk.K = self._element(root, trunk)
        numbers: list[int | Object] = []
        for index, (page, parents) in enumerate(zip(self.pages, self.parents, strict=True)):
            page.StructParents = index
            page.Tabs = Name.S
            by_content = Array([parents[content] for content in range(len(parents))])
            numbers += (index, self.file.make_indirect(by_content))
        for key, link in enumerate(self.links, start=len(self.pages)):
            numbers += (key, link)
        trunk.ParentTree = self.file.make_indirect(Dictionary(Nums=Array(numbers)))
        trunk.ParentTreeNextKey = len(self.pages) + len(self.links)
        self.file.Root.StructTreeRoot = trunk
        self.file.Root.MarkInfo = Dictionary(Marked=True)

    def _element(self, element: Element, parent: Object) -> Object:
        found = self.file.make_indirect(
            Dictionary({"/S": Name("/" + element.tag.value), "/P": parent})
        )
        if element.told:
            key = "/Alt" if element.tag in _TOLD_AS_ALT else "/ActualText"
            found[key] = String(plain_text(element.told))
        if element.title:
            found["/T"] = String(plain_text(element.title))
        if element.name:
            found["/ID"] = String(element.name)
        attributes = self._attributes(element)
        if attributes is not None:
            found["/A"] = attributes
        kids: list[Object | int] = []
        for kid in element.kids:
            match kid:
                case Element():
                    kids.append(self._element(kid, found))
                case Content(page_index, content_index):
                    found["/Pg"] = self.pages[page_index]
                    self.parents[page_index][content_index] = found
                    kids.append(content_index)
                case LinkArea():
                    kids.append(self._link(kid, found))
                case _:
                    assert_never(kid)
        if kids:
            found["/K"] = kids[0] if len(kids) == 1 else Array(kids)
        return found

    def _attributes(self, element: Element) -> Dictionary | None:
        """What the type alone does not say (14.8.5)."""
        entries: dict[str, Object | int] = {}
        if element.scope is not None:
            entries["/Scope"] = Name("/" + element.scope.value)
        if element.columns > 1:
            entries["/ColSpan"] = element.columns
        if element.summary:
            entries["/Summary"] = String(plain_text(element.summary))
        if entries:
            return Dictionary({"/O": Name.Table, **entries})
        if element.numbered:
            return Dictionary(O=Name.List, ListNumbering=Name.Decimal)
        if element.box is not None:
            box = element.box
            high_mm = self.document.pages[element.page_index].height_mm
            sides_mm = (
                box.left_mm,
                high_mm - box.bottom_mm,
                box.right_mm,
                high_mm - box.top_mm,
            )
            sides_pt = Array([round(side / MM_PER_PT, 2) for side in sides_mm])
            return Dictionary(O=Name.Layout, BBox=sides_pt, Placement=Name.Block)
        return None

    def _link(self, area: LinkArea, parent: Object) -> Object:
        page = self.pages[area.page_index]
        annotation = page.Annots[area.link_index]
        annotation.StructParent = len(self.pages) + len(self.links)
        self.links.append(parent)
        return Dictionary(Type=Name.OBJR, Obj=annotation, Pg=page)


# --- The file about itself -------------------------------------------------------------------


def _describe(file: pikepdf.Pdf, document: Document, dated: datetime | None) -> None:
    """Metadata, once more as XMP."""
    packet = file.make_stream(metadata_packet(document, dated=dated))
    packet.Type = Name.Metadata
    packet.Subtype = Name.XML
    file.Root.Metadata = packet


def _mean_colours(file: pikepdf.Pdf) -> None:
    """The greys and colours of the pages are meant in sRGB."""
    profile = file.make_stream(srgb_profile(), N=3, Alternate=Name.DeviceRGB)
    file.Root.OutputIntents = Array(
        [
            Dictionary(
                Type=Name.OutputIntent,
                S=Name.GTS_PDFA1,
                OutputConditionIdentifier=String("sRGB"),
                Info=String("sRGB, IEC 61966-2-1"),
                DestOutputProfile=profile,
            )
        ]
    )


_CHARACTER: Final = re.compile("<([0-9A-F]{2})> <([0-9A-F]+)>")
_CHARACTERS: Final = re.compile(r"\d+ beginbfchar.*endbfchar", re.DOTALL)
_IN_BLOCK: Final = 100
"""Characters in one block of a map at most."""


def _name_characters(file: pikepdf.Pdf) -> None:
    """Maps from the codes of a font to characters, without the codes that are not in use.

    reportlab names those U+0000, which both standards forbid.
    """
    for font in file.objects:
        if isinstance(font, Dictionary) and "/ToUnicode" in font:
            names = font.ToUnicode.read_bytes().decode("ascii")
            font.ToUnicode.write(_CHARACTERS.sub(_used, names).encode("ascii"))


def _used(block: re.Match[str]) -> str:
    """The characters of one block that are in use, in blocks of the size allowed."""
    used = [
        f"<{code}> <{chr(int(point, 16)).encode('utf-16-be').hex().upper()}>"
        for code, point in _CHARACTER.findall(block[0])
        if int(point, 16)
    ]
    parts = (used[start : start + _IN_BLOCK] for start in range(0, len(used), _IN_BLOCK))
    return "\n".join("\n".join((f"{len(part)} beginbfchar", *part, "endbfchar")) for part in parts)
