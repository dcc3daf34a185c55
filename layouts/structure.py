"""What a document is to a reader who hears it: a tree of elements over the items of its pages.

The roles that blocks give their items become structure elements (ISO 32000-1:2008, 14.8.4), put
right where PDF/UA-1 (ISO 14289-1:2014, clause 7) asks for more than a block can know:

- what has no role is a paragraph if it is text and an artifact if it is a drawing;
- items stand in a list, rows in a table, captions in their table; neighbouring lists are one;
- a list of nothing but links is a table of contents;
- every row of a table spans as many columns; a table without heads is headed by its first cells;
- no level of headings is skipped; every note has a name.

A group's `alt` is heard in place of what it holds.  A row of a table that has one is told whole:
texts with the role of a head make its head, and one cell stands for all the rest.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum
from functools import partial
from itertools import groupby, pairwise
from typing import Final, NamedTuple, TypeVar, assert_never

from layouts.faces import Face
from layouts.scene import (
    Anchor,
    Box,
    Document,
    Group,
    Item,
    Link,
    Path,
    Picture,
    Role,
    Text,
    bounds,
    text_left_mm,
    text_width_mm,
)
from layouts.text import NO_BREAK_SPACE


class Tag(Enum):
    """Structure types of ISO 32000-1:2008, 14.8.4."""

    DOCUMENT = "Document"
    SECTION = "Sect"
    H1 = "H1"
    H2 = "H2"
    H3 = "H3"
    P = "P"
    LIST = "L"
    LI = "LI"
    LABEL = "Lbl"
    BODY = "LBody"
    CONTENTS = "TOC"
    CONTENTS_LINE = "TOCI"
    REFERENCE = "Reference"
    TABLE = "Table"
    TR = "TR"
    TH = "TH"
    TD = "TD"
    FIGURE = "Figure"
    CAPTION = "Caption"
    NOTE = "Note"
    LINK = "Link"
    SPAN = "Span"


class Scope(Enum):
    """Which cells a head is the head of (14.8.5.7)."""

    ROW = "Row"
    COLUMN = "Column"


class Furniture(Enum):
    """Why a piece of a page is not read aloud (14.8.2.2)."""

    LAYOUT = "layout"
    PAGINATION = "pagination"
    FOOTER = "footer"


FURNITURE: Final = "furniture"
"""The fact by which a group of the role ARTIFACT tells its `Furniture`; LAYOUT without it."""


@dataclass(frozen=True, slots=True)
class Content:
    """A stretch of a page's painted items that one element holds: marked content."""

    page_index: int
    content_index: int


@dataclass(frozen=True, slots=True)
class LinkArea:
    """A link of a page, counted in the order of its items."""

    page_index: int
    link_index: int


@dataclass(frozen=True, slots=True)
class Element:
    """A node of the tree."""

    tag: Tag
    kids: tuple[Element | Content | LinkArea, ...]
    told: str = ""
    """Heard in place of the content: the text it stands for, or what a figure shows."""
    title: str = ""
    summary: str = ""
    """Of a table."""
    name: str = ""
    """Unique in the document; notes have one."""
    scope: Scope | None = None
    """Of a head."""
    columns: int = 1
    """How many columns a cell spans."""
    numbered: bool = False
    """Whether the labels of a list hold figures."""
    box: Box | None = None
    """Where a figure stands on its page."""
    page_index: int = 0


class Mark(NamedTuple):
    """What a painted item belongs to: an element of that type, or nothing that is read."""

    tag: Tag | None
    content_index: int = -1
    furniture: Furniture = Furniture.LAYOUT


class Leaf(NamedTuple):
    """One painted item."""

    mark: Mark
    space_after: bool = False
    """Whether a space is read after it where none is printed, as at the end of a line."""


@dataclass(frozen=True, slots=True)
class Structure:
    """The tree, and for each page its painted items in the order of painting."""

    root: Element
    leaves: tuple[tuple[Leaf, ...], ...]


def make_structure(document: Document) -> Structure:
    """The tree of a document; the leaves are all texts and drawings of its pages."""
    readers = [_PageReader(index) for index in range(len(document.pages))]
    root = _Node(Tag.DOCUMENT)
    for reader, page in zip(readers, document.pages, strict=True):
        root.kids += _wholes(reader.flow(page.items))
    _level_headings(root)
    _name_notes(root)
    pages = [reader.marked() for reader in readers]
    return Structure(
        _element(root, [page.contents for page in pages]), tuple(page.leaves for page in pages)
    )


# --- In the making ---------------------------------------------------------------------------


class _LeafIndex(NamedTuple):
    """A painted item of the page."""

    place: int


_Read = TypeVar("_Read")


@dataclass(eq=False, slots=True)
class _Node:
    """An element in the making."""

    tag: Tag
    page_index: int = 0
    kids: list[_Node | _LeafIndex | LinkArea] = field(default_factory=list)
    told: str = ""
    title: str = ""
    summary: str = ""
    name: str = ""
    scope: Scope | None = None
    columns: int = 1
    numbered: bool = False
    box: Box | None = None
    block: _Node | None = None
    """The paragraph or cell that a span or a link stands in."""
    label: _Node | None = None
    """Beside the body of a list item."""

    @property
    def nodes(self) -> list[_Node]:
        """The kids that are elements."""
        return [kid for kid in self.kids if isinstance(kid, _Node)]

    @property
    def is_told(self) -> bool:
        """Whether words are heard in its place."""
        return bool(self.told or (self.block is not None and self.block.told))


@dataclass(slots=True)
class _Painted:
    """A painted item and what holds it; its text only if that is heard itself."""

    owner: _Node | None
    text: Text | None = None
    beside: Group | None = None
    """The group that it stands in."""
    furniture: Furniture = Furniture.LAYOUT


class _Marked(NamedTuple):
    """The leaves of a page, and which stretch of content each lies in."""

    leaves: tuple[Leaf, ...]
    contents: Sequence[int]


_TEXTS: Final = {
    Role.H1: Tag.H1,
    Role.H2: Tag.H2,
    Role.H3: Tag.H3,
    Role.CAPTION: Tag.CAPTION,
    Role.NOTE: Tag.NOTE,
}
"""Texts that are more than a paragraph."""
_HEADINGS: Final = (Tag.H1, Tag.H2, Tag.H3)
_CELLS: Final = {Role.TH: Tag.TH, Role.TD: Tag.TD}
_HOLD_BLOCKS: Final = (Tag.BODY, Tag.TD)


@dataclass
class _PageReader:
    """Reads the items of one page, each once and in order."""

    page_index: int
    painted: list[_Painted] = field(default_factory=list)
    link_count: int = 0
    around: list[Group] = field(default_factory=list)
    """The groups that the reader is inside of."""

    # What stands on its own

    def flow(self, items: Iterable[Item]) -> list[_Node]:
        """Paragraphs, headings, lists, tables, figures; texts on one line are one paragraph."""
        nodes: list[_Node] = []
        paragraph: _Node | None = None
        line_mm = 0.0
        for item in items:
            match item:
                case Text():
                    if paragraph is None or item.role is not None or item.y_mm != line_mm:
                        paragraph = self._node(_text_tag(item.role))
                        nodes.append(paragraph)
                        line_mm = item.y_mm
                    self._leaf(item, paragraph)
                case Path():
                    self._leaf(item, None)
                case Picture():
                    nodes += self._picture(item)
                    paragraph = None
                case Group():
                    nodes += self._within(item, self._group)
                    paragraph = None
                case Link():
                    holder = self._node(Tag.P)
                    self._link(holder).kids.append(self._link_area())
                    nodes.append(holder)
                    paragraph = None
                case Anchor():
                    pass
                case _:
                    assert_never(item)
        return nodes

    def _group(self, group: Group) -> list[_Node]:
        match group.role:
            case None if not group.alt:
                return self.flow(group.items)
            case Role.ARTIFACT:
                self._furniture(group)
                return []
            case Role.FIGURE:
                return self._figure(group)
            case Role.SECTION:
                section = self._node(Tag.SECTION)
                section.kids += _wholes(self.flow(group.items))
                return _if_any(section)
            case Role.LIST:
                return self._list(group)
            case Role.LI:
                return _if_any(self._list_item(group))
            case Role.TABLE:
                return self._table(group)
            case Role.TR:
                return _if_any(self._row(group))
            case role:
                node = self._node(_text_tag(role), told=group.alt)
                self._words(group.items, node)
                return _if_any(node)

    def _figure(self, group: Group) -> list[_Node]:
        """A drawing told in words; one without words is decoration, and its texts stand alone."""
        if not group.alt:
            return self.flow(group.items)
        figure = self._node(Tag.FIGURE, told=group.alt, title=group.title)
        figure.box = self._on_page(bounds(Group(group.items)))
        self._told(group.items, figure, figure)
        return _if_any(figure)

    def _picture(self, item: Picture) -> list[_Node]:
        """A picture told in words; one without is decoration."""
        if not item.alt or item.role is not Role.FIGURE:
            self._leaf(item, None)
            return []
        figure = self._node(Tag.FIGURE, told=item.alt)
        figure.box = self._on_page(bounds(item))
        self._leaf(item, figure)
        return [figure]

    def _on_page(self, box: Box) -> Box:
        """A box of the innermost group, as it stands on the page."""
        for one in reversed(self.around):
            box = one.outer(box)
        return box

    def _furniture(self, group: Group) -> None:
        told = dict(group.attrs).get(FURNITURE, Furniture.LAYOUT.value)
        for item in _painted_items(group.items):
            if isinstance(item, Link):
                raise ValueError("a link stands in what is not read aloud")
            self.painted.append(_Painted(None, furniture=Furniture(told)))

    # Words

    def _words(self, items: Sequence[Item], node: _Node) -> None:
        """What a paragraph or a cell holds.

        Drawings are decoration, unless words are heard in place of the whole.  A link holds all
        that stands beside it in its group.
        """
        links = []
        for item in items:
            if isinstance(item, Link):
                node = self._link(node)
                links.append(node)
        for item in items:
            match item:
                case Text():
                    self._leaf(item, node)
                case Path() | Picture() if node.is_told:
                    self._leaf(item, node)
                case Path():
                    self._leaf(item, None)
                case Picture():
                    node.kids += self._picture(item)
                case Group():
                    self._within(item, partial(self._words_of, node))
                case Link():
                    links.pop(0).kids.append(self._link_area())
                case Anchor():
                    pass
                case _:
                    assert_never(item)

    def _words_of(self, node: _Node, group: Group) -> None:
        match group.role:
            case Role.ARTIFACT:
                self._furniture(group)
            case _ if node.is_told:
                self._words(group.items, node)
            case Role.LABEL if node.label is not None and not node.label.kids:
                node.label.told = group.alt
                node.label.numbered = _has_figure(group)
                self._words(group.items, node.label)
            case Role.FIGURE if group.alt:
                node.kids += self._figure(group)
            case Role.LIST | Role.TABLE if node.tag in _HOLD_BLOCKS:
                node.kids += _wholes(self._group(group))
            case Role.BODY if group.alt and not node.kids:
                node.told = group.alt
                self._words(group.items, node)
            case _ if group.alt:
                span = self._node(Tag.SPAN, told=group.alt, block=node.block or node)
                self._words(group.items, span)
                node.kids += _if_any(span)
            case _:
                self._words(group.items, node)

    def _told(self, items: Iterable[Item], node: _Node, head: _Node) -> None:
        """Everything painted is the node's; texts with the role of a head are the head's."""
        for item in items:
            match item:
                case Text():
                    self._leaf(item, head if item.role is Role.TH else node)
                case Path() | Picture():
                    self._leaf(item, node)
                case Group(role=Role.ARTIFACT) if node is not head:
                    self._furniture(item)
                case Group():
                    self._told(item.items, head if item.role is Role.TH else node, head)
                case Link():
                    node.kids.append(self._node(Tag.LINK, kids=[self._link_area()]))
                case Anchor():
                    pass
                case _:
                    assert_never(item)

    # Lists

    def _list(self, group: Group) -> list[_Node]:
        """A list; a text between its items is one more, a drawing is decoration."""
        whole = self._node(Tag.LIST, title=group.title)
        for node in self.flow(group.items):
            if node.tag is Tag.LI:
                whole.kids.append(node)
            else:
                (one,) = _wholes([node])
                body = self._node(Tag.BODY, kids=one.kids if one.tag is Tag.P else [one])
                whole.kids.append(self._node(Tag.LI, kids=[body]))
        return _if_any(whole)

    def _list_item(self, group: Group) -> _Node:
        """Label and body; what is in neither is in the body."""
        label = self._node(Tag.LABEL)
        body = self._node(Tag.BODY, told=group.alt, label=label)
        self._words(group.items, body)
        return self._node(Tag.LI, kids=[*_if_any(label), *_if_any(body)])

    # Tables

    def _table(self, group: Group) -> list[_Node]:
        """A table, and before and after it what is no row."""
        nodes = self.flow(group.items)
        places = [place for place, node in enumerate(nodes) if node.tag is Tag.TR]
        if not places:
            return nodes
        rows = [nodes[place] for place in places]
        table = self._node(Tag.TABLE, title=group.title, summary=group.alt, kids=[*rows])
        _make_regular(rows)
        others = (node for node in nodes[places[0] :] if node.tag is not Tag.TR)
        return [*nodes[: places[0]], table, *others]

    def _row(self, group: Group) -> _Node:
        row = self._node(Tag.TR)
        if not group.alt:
            self._cells(group.items, row)
            return row
        head, rest = self._node(Tag.TH), self._node(Tag.TD)
        self._told(group.items, rest, head)
        (rest if rest.kids else head).told = group.alt
        row.kids += [*_if_any(head), *_if_any(rest)]
        return row

    def _cells(self, items: Iterable[Item], row: _Node) -> None:
        """The cells of a row; what is in none is in the one before it."""
        for item in items:
            match item:
                case Text() if item.role in _CELLS:
                    self._leaf(item, self._cell(row, _CELLS[item.role]))
                case Path():
                    self._leaf(item, None)
                case Group(role=Role.TH | Role.TD as role):
                    cell = self._cell(row, _CELLS[role], told=item.alt)
                    self._within(item, partial(self._words_in, cell))
                case Group(role=Role.ARTIFACT):
                    self._furniture(item)
                case Group(role=None, alt=""):
                    self._within(item, partial(self._cells_in, row))
                case Text() | Picture() | Group() | Link():
                    cells = row.nodes
                    self._words((item,), cells[-1] if cells else self._cell(row, Tag.TD))
                case Anchor():
                    pass
                case _:
                    assert_never(item)

    def _cells_in(self, row: _Node, group: Group) -> None:
        self._cells(group.items, row)

    def _words_in(self, cell: _Node, group: Group) -> None:
        self._words(group.items, cell)

    def _cell(self, row: _Node, tag: Tag, *, told: str = "") -> _Node:
        cell = self._node(tag, told=told)
        row.kids.append(cell)
        return cell

    # Leaves

    def _node(
        self,
        tag: Tag,
        *,
        told: str = "",
        title: str = "",
        summary: str = "",
        kids: Sequence[_Node | _LeafIndex | LinkArea] = (),
        block: _Node | None = None,
        label: _Node | None = None,
    ) -> _Node:
        return _Node(
            tag, self.page_index, list(kids), told, title, summary, block=block, label=label
        )

    def _leaf(self, item: Text | Path | Picture, owner: _Node | None) -> None:
        if owner is None:
            self.painted.append(_Painted(None))
            return
        owner.kids.append(_LeafIndex(len(self.painted)))
        text = item if isinstance(item, Text) and not owner.is_told else None
        self.painted.append(_Painted(owner, text, self.around[-1] if self.around else None))

    def _link(self, node: _Node) -> _Node:
        """A link in the node; what was heard in place of that is heard in its place."""
        link = self._node(Tag.LINK, told=node.told, block=node.block or node)
        node.told = ""
        node.kids.append(link)
        return link

    def _link_area(self) -> LinkArea:
        self.link_count += 1
        return LinkArea(self.page_index, self.link_count - 1)

    def _within(self, group: Group, read: Callable[[Group], _Read]) -> _Read:
        self.around.append(group)
        found = read(group)
        self.around.pop()
        return found

    def marked(self) -> _Marked:
        """The painted items of the page: neighbours of one owner are one stretch."""
        spaced = self._spaced()
        leaves: list[Leaf] = []
        contents: list[int] = []
        count = -1
        last: _Node | None = None
        for index, one in enumerate(self.painted):
            if one.owner is None:
                mark = Mark(None, furniture=one.furniture)
            else:
                count += one.owner is not last
                mark = Mark(one.owner.tag, count)
            last = one.owner
            leaves.append(Leaf(mark, index in spaced))
            contents.append(mark.content_index)
        return _Marked(tuple(leaves), contents)

    def _spaced(self) -> set[int]:
        """The texts that a space is read after."""
        heard = [(index, one) for index, one in enumerate(self.painted) if one.text is not None]
        return {
            index
            for (index, one), (_, after) in pairwise(heard)
            if _block(one) is _block(after) and _is_apart(one, after)
        }


def _text_tag(role: Role | None) -> Tag:
    return Tag.P if role is None else _TEXTS.get(role, Tag.P)


def _if_any(node: _Node) -> list[_Node]:
    """The node, unless it is empty."""
    return [node] if node.kids else []


def _painted_items(items: Iterable[Item]) -> Iterator[Text | Path | Picture | Link]:
    for item in items:
        if isinstance(item, Group):
            yield from _painted_items(item.items)
        elif not isinstance(item, Anchor):
            yield item


def _has_figure(group: Group) -> bool:
    return any(
        char.isdigit()
        for item in _painted_items(group.items)
        if isinstance(item, Text)
        for char in item.text
    )


def _block(one: _Painted) -> _Node | None:
    return one.owner.block or one.owner if one.owner is not None else None


_BROKEN_WORD: Final = re.compile(r"[^\W\d_]{2}-$")
"""The end of a line that was broken after a hyphen."""
_ABUTTING_MM: Final = 0.1


def _is_apart(one: _Painted, after: _Painted) -> bool:
    """Whether two texts that follow each other in a block are two words."""
    first, second = one.text, after.text
    if first is None or second is None or Face.SYMBOLS in (first.face, second.face):
        return False
    if first.text.endswith(_SPACES) or second.text.startswith(_SPACES):
        return False
    if one.beside is after.beside and first.y_mm == second.y_mm:
        width_mm = text_width_mm(first.text, first.face, first.size_pt, first.spacing_mm)
        gap_mm = text_left_mm(second) - text_left_mm(first) - width_mm
        return abs(gap_mm) > _ABUTTING_MM
    return not (_BROKEN_WORD.search(first.text) and second.text[:1].isalpha())


_SPACES: Final = (" ", NO_BREAK_SPACE)

# --- Putting right ---------------------------------------------------------------------------


def _wholes(nodes: Iterable[_Node]) -> list[_Node]:
    """Items in lists, rows in tables, captions in their table; neighbouring lists as one."""
    wrapped: list[_Node] = []
    for tag, run in groupby(nodes, lambda node: node.tag):
        members = list(run)
        if tag is Tag.LI:
            wrapped.append(_Node(Tag.LIST, kids=[*members]))
        elif tag is Tag.TR:
            _make_regular(members)
            wrapped.append(_Node(Tag.TABLE, kids=[*members]))
        else:
            wrapped += members
    found: list[_Node] = []
    for node in wrapped:
        if node.tag is Tag.LIST:
            node.numbered = any(part.numbered for item in node.nodes for part in item.nodes)
            _make_contents(node)
            last = found[-1] if found else None
            if last is not None and (last.tag, last.numbered) == (node.tag, node.numbered):
                last.kids += node.kids
                continue
        found.append(node)
    return _with_captions(found)


def _make_contents(whole: _Node) -> None:
    """A list of nothing but links becomes a table of contents."""
    links = [
        body.nodes[0]
        for item in whole.nodes
        for body in item.nodes
        if len(body.kids) == 1 and body.nodes and body.nodes[0].tag is Tag.LINK
    ]
    if len(links) < len(whole.kids) or any(len(item.kids) > 1 for item in whole.nodes):
        return
    whole.tag = Tag.CONTENTS
    for item in whole.nodes:
        item.tag = Tag.CONTENTS_LINE
        item.nodes[0].tag = Tag.REFERENCE


def _make_regular(rows: Sequence[_Node]) -> None:
    """Heads with their scope, and cells wide enough for the table's columns."""
    width = max(len(row.kids) for row in rows)
    if width > 1 and not any(cell.tag is Tag.TH for row in rows for cell in row.nodes):
        for row in rows:
            if len(row.kids) > 1:
                row.nodes[0].tag = Tag.TH
    for row in rows:
        cells = row.nodes
        scope = Scope.COLUMN if all(cell.tag is Tag.TH for cell in cells) else Scope.ROW
        for cell in cells:
            cell.scope = scope if cell.tag is Tag.TH else None
        cells[-1].columns = width - len(cells) + 1


def _with_captions(nodes: Sequence[_Node]) -> list[_Node]:
    """A caption goes into the table below it, or else above it; others are paragraphs."""
    found: list[_Node] = []
    for place, node in enumerate(nodes):
        if node.tag is Tag.CAPTION:
            after = nodes[place + 1] if place + 1 < len(nodes) else None
            if after is not None and after.tag is Tag.TABLE:
                after.kids.insert(0, node)
                continue
            if found and found[-1].tag is Tag.TABLE and not _has_caption(found[-1]):
                found[-1].kids.append(node)
                continue
            node.tag = Tag.P
        found.append(node)
    return found


def _has_caption(table: _Node) -> bool:
    return any(kid.tag is Tag.CAPTION for kid in table.nodes)


def _level_headings(root: _Node) -> None:
    """Each heading one level below the one it stands under."""
    above: list[Tag] = []
    for node in _descendants(root):
        if node.tag in _HEADINGS:
            while above and _HEADINGS.index(above[-1]) >= _HEADINGS.index(node.tag):
                above.pop()
            above.append(node.tag)
            node.tag = _HEADINGS[len(above) - 1]


def _name_notes(root: _Node) -> None:
    notes = (node for node in _descendants(root) if node.tag is Tag.NOTE)
    for number, node in enumerate(notes, start=1):
        node.name = f"note-{number}"


def _descendants(node: _Node) -> Iterator[_Node]:
    for kid in node.nodes:
        yield kid
        yield from _descendants(kid)


def _element(node: _Node, contents: Sequence[Sequence[int]]) -> Element:
    """The finished element; `contents` tells the stretch of each painted item of each page."""
    kids: list[Element | Content | LinkArea] = []
    for kid in node.kids:
        match kid:
            case _Node():
                kids.append(_element(kid, contents))
            case LinkArea():
                kids.append(kid)
            case _LeafIndex(place):
                content = Content(node.page_index, contents[node.page_index][place])
                if content not in kids:
                    kids.append(content)
            case _:
                assert_never(kid)
    return Element(
        node.tag,
        tuple(kids),
        told=node.told,
        title=node.title,
        summary=node.summary,
        name=node.name,
        scope=node.scope,
        columns=node.columns,
        numbered=node.numbered,
        box=node.box,
        page_index=node.page_index,
    )
