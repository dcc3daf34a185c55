"""The structure tree of a PDF file, read by the standard alone (ISO 32000-1:2008, 14.6 to 14.8).

Shares no code with the writer: text is decoded by the fonts' own maps, and every way that leads
from a piece of a page to its element, and back, is followed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from io import BytesIO

import pikepdf

PAINTS = frozenset(
    ["S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "sh", "Do", "Tj", "TJ", "'", '"']
)
"""Operators that leave ink (table 51)."""
HEADINGS = ("H1", "H2", "H3", "H4", "H5", "H6")


@dataclass
class Node:
    """An element of the tree."""

    tag: str
    actual: str = ""
    alt: str = ""
    attributes: dict[str, object] = field(default_factory=dict)
    name: str = ""
    text: str = ""
    """Its own content, as printed."""
    kids: list[Node] = field(default_factory=list)
    links: int = 0
    page: int | None = None

    @property
    def heard(self) -> str:
        """What a reader hears: the actual text, or else the content and the kids in order."""
        return self.actual or self.alt or self.text

    def all(self, *tags: str) -> Iterator[Node]:
        """The elements of those types from here on, in reading order."""
        if not tags or self.tag in tags:
            yield self
        for kid in self.kids:
            yield from kid.all(*tags)

    @property
    def words(self) -> str:
        """All that is heard from here on."""
        if self.actual or self.alt:
            return self.actual or self.alt
        return " ".join(filter(None, (self.text.strip(), *(kid.words for kid in self.kids))))


@dataclass
class Stretch:
    """Marked content of a page."""

    tag: str
    text: str = ""


@dataclass
class TaggedFile:
    """What was read, and everything that is wrong with it."""

    root: Node
    wrong: list[str]
    furniture: list[str]
    """Texts marked as artifacts."""


@cache
def read_tagged(pdf: bytes) -> TaggedFile:
    """The tree of a file."""
    with pikepdf.open(BytesIO(pdf)) as file:
        return _Reader(file).read()


class _Reader:
    def __init__(self, file: pikepdf.Pdf) -> None:
        self.file = file
        self.wrong: list[str] = []
        self.furniture: list[str] = []
        self.stretches: list[dict[int, Stretch]] = []
        self.page_numbers = {page.obj.objgen: index for index, page in enumerate(file.pages)}
        self.held: set[tuple[int, int]] = set()
        self.annotations: set[tuple[int, int]] = set()
        self.names: set[str] = set()

    def read(self) -> TaggedFile:
        for index, page in enumerate(self.file.pages):
            self.stretches.append(self._content(page, index))
        tree = self.file.Root.StructTreeRoot
        self.parents = _numbers(tree.ParentTree)
        root = self._element(tree.K, tree)
        for index, stretches in enumerate(self.stretches):
            for number in stretches:
                if (index, number) not in self.held:
                    self.wrong.append(f"page {index}: content {number} is in no element")
        for index, page in enumerate(self.file.pages):
            if page.obj.get("/Tabs") != "/S":
                self.wrong.append(f"page {index}: tab order is not the tree's")
            for annotation in page.obj.get("/Annots", []):
                if annotation.objgen not in self.annotations:
                    self.wrong.append(f"page {index}: an annotation is in no element")
        return TaggedFile(root, self.wrong, self.furniture)

    # Content

    def _content(self, page: pikepdf.Page, index: int) -> dict[int, Stretch]:
        found: dict[int, Stretch] = {}
        fonts = {name: _characters(font) for name, font in page.Resources.Font.items()}
        letters: dict[int, str] = {}
        open_: list[Stretch | None] = []
        for operands, operator in pikepdf.parse_content_stream(page):
            match str(operator):
                case "BDC":
                    tag, properties = str(operands[0]), operands[1]
                    if tag == "/Artifact":
                        open_.append(None)
                    else:
                        number = int(properties.MCID)
                        if number in found:
                            self.wrong.append(f"page {index}: content {number} twice")
                        found[number] = Stretch(tag.removeprefix("/"))
                        open_.append(found[number])
                    if len(open_) > 1:
                        self.wrong.append(f"page {index}: marked content in marked content")
                case "BMC":
                    self.wrong.append(f"page {index}: marked content without properties")
                    open_.append(None)
                case "EMC":
                    open_.pop()
                case "Tf":
                    letters = fonts[str(operands[0])]
                case operator_ if operator_ in PAINTS:
                    if not open_:
                        self.wrong.append(f"page {index}: {operator_} outside marked content")
                    if operator_ == "Tj":
                        text = self._text(bytes(operands[0]), letters, index)
                        if open_ and open_[-1] is not None:
                            open_[-1].text += text
                        else:
                            self.furniture.append(text)
        if open_:
            self.wrong.append(f"page {index}: marked content is left open")
        return found

    def _text(self, codes: bytes, letters: dict[int, str], index: int) -> str:
        missing = [code for code in codes if code not in letters]
        if missing:
            self.wrong.append(f"page {index}: codes {missing} have no character")
        return "".join(letters.get(code, "?") for code in codes)

    # The tree

    def _element(self, element: pikepdf.Object, parent: pikepdf.Object) -> Node:
        if element.P.objgen != parent.objgen:
            self.wrong.append("an element has another parent than the one that holds it")
        node = Node(
            str(element.S).removeprefix("/"),
            str(element.get("/ActualText", "")),
            str(element.get("/Alt", "")),
            name=str(element.get("/ID", "")),
        )
        if node.name:
            if node.name in self.names:
                self.wrong.append(f"two elements are named {node.name}")
            self.names.add(node.name)
        if "/A" in element:
            node.attributes = {
                key: value if isinstance(value, int) else str(value)
                for key, value in element.A.items()
            }
        kids = element.get("/K", pikepdf.Array([]))
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, int):
                page = self.page_numbers[element.Pg.objgen]
                self._hold(node, element, page, kid)
            elif kid.get("/Type") == "/OBJR":
                self._link(node, element, kid)
            else:
                node.kids.append(self._element(kid, element))
        return node

    def _hold(self, node: Node, element: pikepdf.Object, page: int, number: int) -> None:
        node.page = page
        if (page, number) in self.held:
            self.wrong.append(f"page {page}: content {number} is in two elements")
        self.held.add((page, number))
        stretch = self.stretches[page].get(number)
        if stretch is None:
            self.wrong.append(f"page {page}: there is no content {number}")
            return
        if stretch.tag != node.tag:
            self.wrong.append(f"page {page}: content {number} is marked {stretch.tag}")
        node.text += stretch.text
        back = self.parents[int(self.file.pages[page].obj.StructParents)]
        if number >= len(back) or back[number].objgen != element.objgen:
            self.wrong.append(f"page {page}: content {number} leads back to another element")

    def _link(self, node: Node, element: pikepdf.Object, kid: pikepdf.Object) -> None:
        annotation = kid.Obj
        node.links += 1
        self.annotations.add(annotation.objgen)
        if node.tag != "Link":
            self.wrong.append("a link is in no Link element")
        if self.parents[int(annotation.StructParent)].objgen != element.objgen:
            self.wrong.append("a link leads back to another element")
        if not str(annotation.get("/Contents", "")):
            self.wrong.append("a link does not say where it leads")
        if int(annotation.get("/F", 0)) & 4 == 0:
            self.wrong.append("a link is not printed")


def _numbers(tree: pikepdf.Object) -> dict[int, pikepdf.Object]:
    """The entries of a number tree (7.9.7)."""
    found = {}
    if "/Nums" in tree:
        numbers = list(tree.Nums)
        found |= {int(key): value for key, value in zip(numbers[::2], numbers[1::2], strict=True)}
    for kid in tree.get("/Kids", []):
        found |= _numbers(kid)
    return found


def _characters(font: pikepdf.Object) -> dict[int, str]:
    """The character of each code (9.10.3); only the codes that are listed one by one."""
    table = font.ToUnicode.read_bytes().decode("ascii")
    found = {}
    for count, block in re.findall(r"(\d+) beginbfchar(.*?)endbfchar", table, re.DOTALL):
        entries = re.findall(r"<(\w\w)>\s*<(\w+)>", block)
        assert len(entries) == int(count) <= 100
        for code, char in entries:
            found[int(code, 16)] = bytes.fromhex(char).decode("utf-16-be")
    assert "\0" not in found.values(), "no code stands for nothing (ISO 14289-1:2014, 7.21.7)"
    return found
