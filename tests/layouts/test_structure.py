"""The tree of a document: what blocks leave open is put right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.scene import (
    Anchor,
    Document,
    Dots,
    Group,
    Item,
    Link,
    Page,
    Path,
    Picture,
    Role,
    Text,
    rect,
)
from layouts.structure import (
    FURNITURE,
    Content,
    Element,
    Furniture,
    Mark,
    Structure,
    Tag,
    make_structure,
)

BOX = rect(10, 10, 5, 5)
LOGO = Picture(10, 20, 8, 4, Dots(1, 1, b"0"), "A wave.")


def group(role: Role | None, *items: Item, alt: str = "") -> Group:
    return Group(items, role=role, alt=alt)


def said(text: str, role: Role | None = None, *, y_mm: float = 10.0) -> Group:
    return group(role, Text(10.0, y_mm, text))


def structure_of(*items: Item) -> Structure:
    return make_structure(Document((Page(100, 100, items),), "Test"))


def texts_of(items: tuple[Item, ...]) -> Iterator[str]:
    for item in items:
        if isinstance(item, Group):
            yield from texts_of(item.items)
        elif isinstance(item, Text):
            yield item.text
        elif isinstance(item, Path | Picture):
            yield "□"


def outline(*items: Item) -> object:
    """The tree as nested tuples: type, then what it holds, texts as they are painted."""
    structure = structure_of(*items)
    painted = list(texts_of(items))

    def shown(kid: object) -> object:
        match kid:
            case Element():
                told = (f"={kid.told}",) if kid.told else ()
                return (kid.tag.value, *told, *map(shown, kid.kids))
            case Content(_, index):
                return " ".join(
                    text
                    for text, leaf in zip(painted, structure.leaves[0], strict=True)
                    if leaf.mark.content_index == index
                )
            case _:
                return "link"

    return tuple(shown(kid) for kid in structure.root.kids)


def test_texts_without_a_role_are_paragraphs_a_line_each() -> None:
    items = (Text(1, 10, "Sock"), Text(20, 10, "1"), Text(1, 20, "Leg"))
    assert outline(*items) == (("P", "Sock 1"), ("P", "Leg"))


def test_drawings_without_words_are_not_read() -> None:
    structure = structure_of(BOX, said("Leg", Role.P), BOX)
    marks = [leaf.mark for leaf in structure.leaves[0]]
    assert marks == [Mark(None), Mark(Tag.P, 0), Mark(None)]


def test_furniture_says_what_it_is() -> None:
    foot = Group(
        (Text(1, 1, "7"),), role=Role.ARTIFACT, attrs=((FURNITURE, Furniture.FOOTER.value),)
    )
    (leaf,) = structure_of(foot).leaves[0]
    assert leaf.mark == Mark(None, furniture=Furniture.FOOTER)


def test_drawing_with_words_is_one_figure() -> None:
    ring = group(
        Role.FIGURE, BOX, said("1"), group(None, BOX, said("peg", Role.P)), alt="The ring."
    )
    assert outline(ring) == (("Figure", "=The ring.", "□ 1 □ peg"),)


def test_drawing_without_words_leaves_its_texts() -> None:
    assert outline(group(Role.FIGURE, BOX, said("peg", Role.P))) == (("P", "peg"),)


def test_figure_stands_where_its_groups_put_it() -> None:
    inner = Group((rect(0, 0, 10, 4, stroke=None),), 1, 2, role=Role.FIGURE, alt="A bar.")
    turned = Group((inner,), 50, 60, quarter_turns=1)
    (figure,) = structure_of(turned).root.kids
    assert isinstance(figure, Element)
    assert figure.box is not None
    box = figure.box
    # 1..11 right and 2..6 down, turned clockwise: 2..6 to the left and 1..11 down.
    sides = (box.left_mm, box.top_mm, box.right_mm, box.bottom_mm)
    assert sides == pytest.approx((44, 61, 48, 71))


def test_picture_is_told_in_its_words_or_not_at_all() -> None:
    assert outline(LOGO) == (("Figure", "=A wave.", "□"),)
    assert outline(group(Role.P, Text(1, 1, "Reeds"), LOGO)) == (
        ("P", "Reeds", ("Figure", "=A wave.", "□")),
    )
    assert outline(replace(LOGO, alt="")) == outline(replace(LOGO, role=Role.ARTIFACT)) == ()
    (figure,) = structure_of(Group((LOGO,), 50, 60)).root.kids
    assert isinstance(figure, Element)
    assert figure.box is not None
    assert (figure.box.left_mm, figure.box.top_mm, figure.box.width_mm) == (60, 80, 8)


def test_items_without_a_list_make_one_and_neighbouring_lists_are_joined() -> None:
    first = group(Role.LIST, said("knit", Role.LI))
    loose = (said("purl", Role.LI), said("slip", Role.LI))
    items = tuple(("LI", ("LBody", word)) for word in ("knit", "purl", "slip"))
    assert outline(first, *loose) == (("L", *items),)


def test_lists_of_numbers_and_of_signs_stay_apart() -> None:
    signs = group(Role.LIST, group(Role.LI, said("k", Role.LABEL), said("knit", Role.BODY)))
    steps = group(Role.LIST, group(Role.LI, said("Row 1", Role.LABEL), said("knit", Role.BODY)))
    found = structure_of(signs, steps).root.kids
    assert [kid.numbered for kid in found if isinstance(kid, Element)] == [False, True]


def test_label_and_body_are_all_there_is_in_an_item() -> None:
    item = group(
        Role.LI,
        group(Role.LABEL, BOX, Text(1, 1, "Row 1"), Text(9, 1, "→"), alt="Row 1, to the right"),
        group(None, said("pegs 1–4 knit.", Role.BODY)),
        group(Role.SPAN, Text(1, 1, "4"), alt="4 stitches"),
        group(Role.LABEL, Text(1, 1, "2")),
    )
    label = ("Lbl", "=Row 1, to the right", "□ Row 1 →")
    body = ("LBody", "pegs 1–4 knit.", ("Span", "=4 stitches", "4"), "2")
    assert outline(group(Role.LIST, item)) == (("L", ("LI", label, body)),)


def test_empty_label_is_none() -> None:
    item = group(Role.LI, group(Role.LABEL, BOX), said("Cut the yarn.", Role.BODY))
    assert outline(item) == (("L", ("LI", ("LBody", "Cut the yarn."))),)


def test_list_of_links_is_a_table_of_contents() -> None:
    link = Link(0, 0, 9, 9, 1, "to the leg")
    line = group(Role.LI, Text(1, 1, "8"), Text(9, 1, "Leg"), link, alt="Leg, page 8")
    heard = ("TOCI", ("Reference", ("Link", "=Leg, page 8", "8 Leg", "link")))
    assert outline(group(Role.LIST, line)) == (("TOC", heard),)
    assert outline(group(Role.LIST, line, said("more", Role.LI))) == (
        (
            "L",
            ("LI", ("LBody", ("Link", "=Leg, page 8", "8 Leg", "link"))),
            ("LI", ("LBody", "more")),
        ),
    )


def row(*cells: str, role: Role = Role.TD) -> Group:
    return group(Role.TR, group(Role.ARTIFACT, BOX), *(said(cell, role) for cell in cells))


def cells_of(structure: Structure) -> list[list[tuple[str, str, int]]]:
    (table,) = structure.root.kids
    assert isinstance(table, Element)
    return [
        [
            (cell.tag.value, cell.scope.value if cell.scope else "", cell.columns)
            for cell in one.kids
            if isinstance(cell, Element)
        ]
        for one in table.kids
        if isinstance(one, Element)
    ]


def test_table_without_heads_is_headed_by_its_first_cells() -> None:
    found = cells_of(structure_of(row("Yarn", "wool"), row("Hook", "blunt")))
    assert found == [[("TH", "Row", 1), ("TD", "", 1)]] * 2


def test_heads_know_what_they_head_and_rows_are_equally_wide() -> None:
    head = row("What", "Number", role=Role.TH)
    named = group(Role.TR, said("Pegs", Role.TH), said("40", Role.TD), said("why", Role.TD))
    found = cells_of(structure_of(group(Role.TABLE, head, named, row("more"))))
    assert found == [
        [("TH", "Column", 1), ("TH", "Column", 2)],
        [("TH", "Row", 1), ("TD", "", 1), ("TD", "", 1)],
        [("TD", "", 3)],
    ]


def test_row_with_words_is_told_whole_beside_its_head() -> None:
    told = Group(
        (Text(1, 1, "2", role=Role.TH), BOX, Text(5, 1, "kkpp", role=Role.TD), Text(9, 1, "4 sts")),
        role=Role.TR,
        alt="Row 2, to the left: knit 2, purl 2.",
    )
    pegs = Group((Text(1, 1, "1", role=Role.TH), Text(5, 1, "2", role=Role.TH)), role=Role.TR,
                 alt="Pegs: 1, 2.")  # fmt: skip
    assert outline(group(Role.TABLE, pegs, told)) == (
        (
            "Table",
            ("TR", ("TH", "=Pegs: 1, 2.", "1 2")),
            ("TR", ("TH", "2"), ("TD", f"={told.alt}", "□ kkpp 4 sts")),
        ),
    )


def test_what_is_no_row_leaves_the_table() -> None:
    table = group(Role.TABLE, said("above", Role.P), row("a", "b"), said("below", Role.NOTE))
    (before, whole, after) = structure_of(table).root.kids
    assert [kid.tag for kid in (before, whole, after) if isinstance(kid, Element)] == [
        Tag.P, Tag.TABLE, Tag.NOTE,
    ]  # fmt: skip


def test_caption_goes_into_the_table_below_it() -> None:
    found = outline(said("Size S", Role.CAPTION), group(Role.TABLE, row("a")))
    assert found[0][:2] == ("Table", ("Caption", "Size S"))  # type: ignore[index]
    assert outline(said("The sock", Role.CAPTION), said("x", Role.P))[0] == ("P", "The sock")  # type: ignore[index]


def test_headings_are_one_level_below_what_they_stand_under() -> None:
    roles = (Role.H2, Role.H1, Role.H3, Role.H3, Role.H2, Role.H3, Role.H1)
    found = structure_of(*(said(role.value, role) for role in roles)).root.kids
    tags = [kid.tag.value for kid in found if isinstance(kid, Element)]
    assert tags == ["H1", "H1", "H2", "H2", "H2", "H3", "H1"]


def test_notes_have_names_of_their_own() -> None:
    found = structure_of(said("a", Role.NOTE), said("b", Role.NOTE)).root.kids
    assert [kid.name for kid in found if isinstance(kid, Element)] == ["note-1", "note-2"]


def test_neighbours_of_one_element_are_one_stretch() -> None:
    """A drawing between two lines parts them: the element then holds two stretches."""
    items = (Text(1, 1, "a"), Text(1, 5, "b"), BOX, Text(1, 9, "c"))
    structure = structure_of(group(Role.P, *items), said("d", Role.P))
    indices = [leaf.mark.content_index for leaf in structure.leaves[0]]
    assert indices == [0, 0, -1, 1, 2]
    (paragraph, _) = structure.root.kids
    assert isinstance(paragraph, Element)
    assert paragraph.kids == (Content(0, 0), Content(0, 1))


def test_link_in_furniture_is_refused() -> None:
    with pytest.raises(ValueError, match="not read aloud"):
        structure_of(group(Role.ARTIFACT, Link(0, 0, 1, 1, 1)))


# --- Any page at all -------------------------------------------------------------------------

roles = st.sampled_from([None, *(role for role in Role if role is not Role.ARTIFACT)])
leaves = st.one_of(
    st.builds(
        Text, st.just(1.0), st.floats(1, 90), st.sampled_from(["peg", "1", "", " "]), role=roles
    ),
    st.just(BOX),
    st.just(LOGO),
    st.just(Anchor("a")),
    st.just(Link(0, 0, 1, 1, 1, "to a page")),
)
items = st.recursive(
    leaves,
    lambda inner: st.builds(
        Group,
        st.lists(inner, max_size=4).map(tuple),
        role=roles,
        alt=st.sampled_from(["", "", "told"]),
    ),
    max_leaves=25,
)

HOLDERS = {
    Tag.TR: {Tag.TABLE},
    Tag.TH: {Tag.TR},
    Tag.TD: {Tag.TR},
    Tag.LI: {Tag.LIST},
    Tag.LABEL: {Tag.LI},
    Tag.BODY: {Tag.LI},
    Tag.CONTENTS_LINE: {Tag.CONTENTS},
    Tag.REFERENCE: {Tag.CONTENTS_LINE},
    Tag.CAPTION: {Tag.TABLE},
}


@settings(max_examples=200, deadline=None)
@given(st.lists(items, max_size=6))
def test_every_leaf_of_any_page_is_held_once_where_it_may_be(found: list[Item]) -> None:
    structure = structure_of(*found)
    held: list[int] = []
    links: list[int] = []

    def walk(element: Element) -> None:
        for kid in element.kids:
            match kid:
                case Element():
                    assert kid.tag not in HOLDERS or element.tag in HOLDERS[kid.tag]
                    assert not (kid.tag is Tag.FIGURE and not kid.told)
                    walk(kid)
                case Content():
                    held.append(kid.content_index)
                case _:
                    links.append(kid.link_index)

    walk(structure.root)
    marked = {leaf.mark.content_index for leaf in structure.leaves[0]} - {-1}
    assert sorted(held) == sorted(marked)
    assert len(structure.leaves[0]) == len(list(texts_of(tuple(found))))
    assert sorted(links) == list(range(count_links(found)))


def count_links(found: list[Item]) -> int:
    return sum(
        count_links(list(item.items)) if isinstance(item, Group) else isinstance(item, Link)
        for item in found
    )
