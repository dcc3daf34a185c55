"""What stands where on a page, worked out from the scene's items alone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from layouts.faces import Face, metrics
from layouts.paper import MM_PER_PT
from layouts.scene import (
    Anchor,
    Box,
    Close,
    Document,
    Group,
    Item,
    LineTo,
    Link,
    MoveTo,
    Page,
    Path,
    Picture,
    Text,
    bounds,
    text_left_mm,
)


class PlacedText(NamedTuple):
    """A line of text with its box on the page, from the tops of capitals to the base line."""

    text: str
    box: Box
    item: Text


class PlacedPicture(NamedTuple):
    """A picture with its box on the page."""

    box: Box
    item: Picture


class PlacedPath(NamedTuple):
    """A path with the corners of its box on the page."""

    box: Box
    item: Path


def texts_of(page: Page) -> list[PlacedText]:
    """Every text of the page, in reading order."""
    return [one for one in _placed(page.items, []) if isinstance(one, PlacedText)]


def paths_of(page: Page) -> list[PlacedPath]:
    """Every path of the page, in the order painted."""
    return [one for one in _placed(page.items, []) if isinstance(one, PlacedPath)]


def pictures_of(page: Page) -> list[PlacedPicture]:
    """Every picture of the page, in the order painted."""
    return [one for one in _placed(page.items, []) if isinstance(one, PlacedPicture)]


def words_of(page: Page) -> str:
    """All text of the page in reading order, letters only, single spaces."""
    found = [one.text for one in texts_of(page) if one.item.face is not Face.SYMBOLS]
    return squeezed_words(" ".join(found))


def words_of_document(document: Document) -> str:
    """All text of the document in reading order."""
    return " ".join(map(words_of, document.pages))


def squeezed_words(text: str) -> str:
    """The text with every kind of blank made one plain space."""
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


def groups_of(page: Page) -> Iterator[Group]:
    """Every group of the page, outer ones first."""
    yield from _groups(page.items)


def _groups(items: tuple[Item, ...]) -> Iterator[Group]:
    for item in items:
        if isinstance(item, Group):
            yield item
            yield from _groups(item.items)


def links_of(page: Page) -> list[Link]:
    """The links of the page."""
    return [item for item in _all(page.items) if isinstance(item, Link)]


def anchors_of(page: Page) -> list[Anchor]:
    """The anchors of the page."""
    return [item for item in _all(page.items) if isinstance(item, Anchor)]


def _all(items: tuple[Item, ...]) -> Iterator[Item]:
    for item in items:
        yield item
        if isinstance(item, Group):
            yield from _all(item.items)


Placed = PlacedText | PlacedPath | PlacedPicture


def _placed(items: tuple[Item, ...], parents: list[Group]) -> Iterator[Placed]:
    for item in items:
        match item:
            case Text() if item.text.strip():
                yield PlacedText(item.text, _on_page(_ink_box(item), parents), item)
            case Path() if item.segments:
                yield PlacedPath(_on_page(bounds(item), parents), item)
            case Picture():
                yield PlacedPicture(_on_page(bounds(item), parents), item)
            case Group():
                yield from _placed(item.items, [*parents, item])


def _ink_box(item: Text) -> Box:
    em_mm = item.size_pt * MM_PER_PT
    tall_mm = em_mm if item.face is Face.SYMBOLS else metrics(item.face).cap_height * em_mm / 1000
    box = bounds(item)
    return Box(text_left_mm(item), item.y_mm - tall_mm, box.right_mm, item.y_mm)


def _on_page(box: Box, parents: list[Group]) -> Box:
    corners = [(box.left_mm, box.top_mm), (box.right_mm, box.bottom_mm)]
    for group in reversed(parents):
        for _ in range(group.quarter_turns % 4):
            corners = [(-y, x) for x, y in corners]
        corners = [(x + group.dx_mm, y + group.dy_mm) for x, y in corners]
    xs, ys = zip(*corners, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def texts_in(group: Group) -> list[Text]:
    """The texts of a group, in reading order."""
    return [item for item in _all(group.items) if isinstance(item, Text)]


def squares_in(items: tuple[Item, ...]) -> int:
    """How many closed squares are drawn with an open inside: tick boxes."""
    return sum(
        _squares_of(item) for item in _all(items) if isinstance(item, Path) and item.fill is None
    )


def _squares_of(path: Path) -> int:
    count = 0
    corners: list[tuple[float, float]] = []
    for segment in path.segments:
        match segment:
            case MoveTo(x, y):
                corners = [(x, y)]
            case LineTo(x, y):
                corners.append((x, y))
            case Close():
                count += _is_square(corners)
            case _:
                corners = []
    return count


def _is_square(corners: list[tuple[float, float]]) -> bool:
    if len(corners) != 4:
        return False
    xs, ys = sorted({round(x, 6) for x, _ in corners}), sorted({round(y, 6) for _, y in corners})
    return len(xs) == len(ys) == 2 and abs((xs[1] - xs[0]) - (ys[1] - ys[0])) < 1e-6
