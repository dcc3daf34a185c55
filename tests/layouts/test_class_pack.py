"""Packs read back from their PDFs: each has its own person's numbers, charts, steps and card."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from io import BytesIO
from typing import Any

import pdfplumber
import pytest
from pypdf import PdfReader

from charts.class_socks import PersonSock, knit_pair, sock_for
from charts.looms_file import read_looms
from charts.parts import Part, parts_of
from charts.pattern_file import read_pattern
from charts.plan import Plan, make_plan
from charts.roster import Choices, read_roster
from charts.sizes import open_sizes
from charts.steps import RepeatStep, RowStep, make_part_steps
from layouts import class_packs
from layouts.block import DoesNotFitError
from layouts.class_pack import Shelf, SockPack, make_pack
from layouts.class_packs import MadePack, Member, PackMaker, alphabet_of, groups_of
from layouts.pack_numbers import Personal
from layouts.paper import PAPERS, Paper
from layouts.pdf import write_pdf
from layouts.scene import Document, Group, Item, Role, Text, outside_safe_area
from tests.cli.running import ROOT

SAMPLES = ROOT / "samples"
ROSTER = """\
who,size,foot length cm,ball round cm,shoe,loom,pegs,gauge,notes,hand
Student A,Small,,,,,,,,
Student B,,24,23.5,,middle red ring,,,Brings the loom,
Student C,,,,EU 42,,36,,,
Student D,,25.5,24,,large red ring,,18 x 25,,
Student E,Child,,,,,,,,
Student F,Small,,,,,,,Knits like Student A,right
Student G,Small,,,,,,,,left
"""
MM_PER_PT = 25.4 / 72


@cache
def socks() -> tuple[PersonSock, ...]:
    """Those of the roster, in its order."""
    pattern = open_sizes((SAMPLES / "three-looms.toml").read_text(encoding="utf-8"))
    looms = read_looms((SAMPLES / "looms.toml").read_text(encoding="utf-8"))
    people = read_roster(ROSTER, Choices(pattern.names, looms)).people
    return tuple(sock_for(person, pattern) for person in people)


ALPHABET = alphabet_of(["Footbridge sock", *(f"Student {letter}" for letter in "ABCDEFG")])


@cache
def packs() -> tuple[MadePack, ...]:
    """Everybody's, in the order of the roster."""
    maker = PackMaker(paper=PAPERS["a4"], alphabet=ALPHABET)
    return tuple(maker.make(Member(sock)) for sock in socks())


def made_alone(sock: PersonSock, paper: str = "a4") -> MadePack:
    """By a maker that makes nothing else."""
    return PackMaker(paper=PAPERS[paper], alphabet=ALPHABET).make(Member(sock))


@cache
def pages(index: int) -> tuple[Any, ...]:
    return tuple(pdfplumber.open(BytesIO(packs()[index].pdf)).pages)


def text_of(page: Any) -> str:
    """Words in the order of the lines, single blanks between."""
    return " ".join(page.extract_text().replace("\xa0", " ").split())


def own_plan(index: int) -> Plan:
    """The person's plan, made without any pack."""
    return make_plan(socks()[index].fitted.spec)


EVERYBODY = range(7)


# Numbers


@pytest.mark.parametrize("index", EVERYBODY)
def test_the_first_page_has_the_persons_own_numbers(index: int) -> None:
    plan, text = own_plan(index), text_of(pages(index)[0])
    spec = plan.spec
    assert text.startswith(f"Student {'ABCDEFG'[index]} Footbridge sock")
    assert f"{plan.loom.pegs} pegs, 3/8 in apart" in text
    for name, words in (
        ("Cuff", f"{spec.cuff.rows} rows of k2 p2"),
        ("Leg", f"{spec.leg.rows} rows"),
        ("Heel", f"{plan.heel_pegs} pegs: "),
        ("Heel flap", f"{plan.flap_rows} rows, {plan.flap_rows // 2} edge loops a side"),
        ("Heel turn", f"{plan.centre_pegs} pegs in the middle, {plan.turn_rows} rows"),
        ("Gusset", f"{plan.gusset_pegs} pegs a side"),
        ("Foot", f"{spec.foot.rows} rows on the instep"),
        ("Toe", f"{plan.toe_pegs} pegs, {plan.toe_side} turned a side, {4 * plan.toe_side} rows"),
        ("Closing", f"{plan.toe_pegs} pairs to graft"),
    ):
        assert f"{name} {words}" in _numbers_column(index), name


def _numbers_column(index: int) -> str:
    """The left half of the first page, where the numbers stand."""
    page = pages(index)[0]
    return text_of(page.crop((0, 0, page.width / 2, page.height)))


@cache
def own_foot_in_a_size() -> tuple[MadePack, str]:
    """A pack for a foot of its own in a size with a height of the leg, and its first page."""
    pattern = open_sizes((SAMPLES / "three-looms.toml").read_text(encoding="utf-8"))
    roster = "who,size,foot length cm,ball round cm\nStudent A,Medium,24,23"
    person = read_roster(roster, Choices(pattern.names, ())).people[0]
    maker = PackMaker(paper=PAPERS["a4"], alphabet=ALPHABET)
    made = maker.make(Member(sock_for(person, pattern)))
    return made, text_of(pdfplumber.open(BytesIO(made.pdf)).pages[0])


def test_what_is_not_the_persons_own_is_named_with_the_reasons_of_the_rows() -> None:
    _, text = own_foot_in_a_size()
    assert "Lengths Leg height 21.5 cm: kept from size Medium" in text
    assert "leg: a leg height of 21.5 cm less 14 flap rows" in text
    assert "foot: 23.4 cm ± 0.5 cm (foot 24.0 cm" in text
    assert "kept from" not in text_of(pages(1)[0])


def test_how_sure_the_fit_is_stands_on_the_page_and_in_the_overview() -> None:
    sure = "Mind The gauge and the foot are not sure enough to say more than: anything from"
    assert f"{sure} “fits” to “too loose”" in text_of(pages(2)[0])
    assert packs()[2].row.fit == "loose; may be fits to too loose"
    assert "Mind The gauge" not in text_of(pages(1)[0])
    assert packs()[1].row.fit == "fits"


@pytest.mark.parametrize("index", [1, 2, 3])
def test_the_round_is_told_alike_in_fit_and_finished(index: int) -> None:
    text = text_of(pages(index)[0])
    fit = re.search(r"Fit \w[\w ]*: ([\d.]+ cm) round", text)
    assert fit
    finished = re.search(r"Finished foot .*? long,.*? ([\d.]+ cm)", _numbers_column(index))
    assert finished
    assert finished[1] == fit[1]


def test_labels_keep_clear_of_the_cut() -> None:
    page = pages(0)[-2]
    middle = page.height / 2
    labels = [word for word in page.extract_words() if word["text"] == "Student"]
    assert len(labels) == 2
    for word in labels:
        clear = max(middle - word["bottom"], word["top"] - middle)
        assert clear * MM_PER_PT >= 2.0


def test_foot_fit_loom_and_note_are_the_persons_own() -> None:
    first, second, third = (text_of(pages(index)[0]) for index in (0, 1, 2))
    assert "on middle red ring: 32 pegs" in second
    assert "Foot 24.0 cm long, 23.5 cm round the ball" in second
    assert "Fit Fits: " in second
    assert "Note Brings the loom" in second
    assert "Size Small" in first
    assert "Fit " not in first
    assert "Foot About 26.7 cm long" in third
    assert "EU 42" in third


@pytest.mark.parametrize("index", EVERYBODY)
def test_every_page_but_blank_ones_and_the_card_is_headed_with_the_label(index: int) -> None:
    who = f"Student {'ABCDEFG'[index]}"
    *text, card, back = pages(index)
    count = len(text) + 2
    for number, page in enumerate(text, start=1):
        words = text_of(page)
        assert words.startswith(who)
        assert f"page {number} of {count}" in words
    assert text_of(card).count(who) == 2
    assert not back.chars


# Charts, steps, card


def test_every_page_of_a_left_handed_pack_says_so() -> None:
    *text, _, _ = pages(6)
    assert all("left-handed edition" in text_of(page).lower() for page in text)
    assert not any("left-handed" in text_of(page) for page in pages(0))
    assert packs()[6].row.edition == "left-handed edition"


@pytest.mark.parametrize("index", [0, 2, 4, 6])
def test_every_step_of_the_proved_sock_is_told_once_in_order(index: int) -> None:
    first, _ = knit_pair(socks()[index].sock)
    told = [words for page in _document(index).pages[:-2] for words in _told(page.items)]
    due = [
        " ".join(step.text.split())
        for part in parts_of(first)
        if part is not Part.CLOSING
        for step in make_part_steps(first, part).steps
        if isinstance(step, RowStep | RepeatStep)
    ]
    rows = [words for words in told if words in set(due)]
    assert rows == due


def _document(index: int) -> Document:
    sock = socks()[index]
    pack = SockPack(*knit_pair(sock.sock), PAPERS["a4"])
    return make_pack(pack, Personal(sock.person.who))


def _told(items: Sequence[Item]) -> Iterator[str]:
    """The words of each step."""
    for item in items:
        if isinstance(item, Group):
            if item.role is Role.BODY:
                yield " ".join(" ".join(_texts(item)).replace("\xa0", " ").split())
            else:
                yield from _told(item.items)


def _texts(group: Group) -> Iterator[str]:
    for item in group.items:
        if isinstance(item, Text):
            yield item.text
        elif isinstance(item, Group):
            yield from _texts(item)


@pytest.mark.parametrize("index", EVERYBODY)
def test_every_part_has_its_heading_and_a_bookmark(index: int) -> None:
    reader = PdfReader(BytesIO(packs()[index].pdf))
    titles = [entry.title for entry in reader.outline]
    assert titles[:2] == ["Your numbers", "Signs in the charts"]
    assert titles[-1] == "Heel turn, card"
    assert [title for title in titles if title in {part.title for part in Part}] == [
        part.title for part in Part
    ]


def test_second_sock_of_a_mirrored_pair_has_its_own_leg_and_foot() -> None:
    text = (SAMPLES / "ember.toml").read_text(encoding="utf-8")
    first, second = knit_pair(read_pattern(text))
    assert first.rows != second.rows
    document = make_pack(SockPack(first, second, PAPERS["a4"]), Personal("Student A"))
    titles = [entry.title for page in document.pages for entry in page.outline]
    assert "Second sock: leg" in titles
    assert "Second sock: gusset and foot" in titles


# Sheets


@pytest.mark.parametrize("index", EVERYBODY)
def test_pack_has_whole_sheets_and_the_card_one_of_its_own(index: int) -> None:
    found = pages(index)
    assert len(found) % 2 == 0
    sizes = {(round(page.width * MM_PER_PT), round(page.height * MM_PER_PT)) for page in found}
    assert sizes == {(210, 297)}
    card = found[-2]
    assert card.page_number % 2 == 1
    assert text_of(card).count("Heel turn") == 2


@pytest.mark.parametrize("paper", ["a4", "letter", "a5", "half-letter", "legal", "a3"])
@pytest.mark.parametrize("pegs", [16, 25, 40, 72, 120])
def test_packs_of_any_loom_stay_inside_the_safe_area(paper: str, pegs: int) -> None:
    spacing = {16: "5/8 in", 25: "5/8 in", 40: "3/8 in", 72: "1/4 in", 120: "1/4 in"}[pegs]
    text = (
        f'title = "Ring"\n[loom]\npegs = {pegs}\nspacing = "{spacing}"\n'
        '[cuff]\nrib = "k1 p1"\nleftover = "knit"\n'
    )
    pack = SockPack(*knit_pair(read_pattern(text)), PAPERS[paper])
    long = Personal("A label of any length " * 2, "S", "a ring", "foot", "fit", "large", "n" * 300)
    for personal in (Personal("Student A"), long):
        document = make_pack(pack, personal)
        assert len(document.pages) % 2 == 0
        for page in document.pages:
            assert outside_safe_area(page) == ()


def test_turn_too_wide_for_a_card_on_the_paper_is_warned_of() -> None:
    text = 'title = "Ring"\n[loom]\npegs = 120\nspacing = "1/4 in"\n[cuff]\nrib = "k1 p1"\n'
    person = read_roster("who\nStudent A").people[0]
    sock = sock_for(person, open_sizes(text))
    for paper, has_card in (("a4", True), ("a5", False)):
        made = made_alone(sock, paper)
        titles = [entry.title for entry in PdfReader(BytesIO(made.pdf)).outline]
        assert ("Heel turn, card" in titles) == has_card
        assert any("card on this paper" in warning for warning in made.warnings) != has_card


def test_too_small_a_paper_is_refused() -> None:
    pack = SockPack(*knit_pair(socks()[0].sock), Paper("", 60.0, 90.0))
    with pytest.raises(DoesNotFitError):
        make_pack(pack, Personal("Student A"))


# Groups


def test_people_who_knit_the_same_are_one_group_where_its_first_one_stands() -> None:
    groups = groups_of(map(Member, socks()))
    assert [[person.who[-1] for person in group] for group in groups] == [
        ["A", "F"],
        ["B"],
        ["C"],
        ["D"],
        ["E"],
        ["G"],
    ]


def test_a_sock_is_proved_once_for_all_who_knit_it(monkeypatch: pytest.MonkeyPatch) -> None:
    proved = []

    def counted(spec: Any) -> Any:
        proved.append(spec)
        return knit_pair(spec)

    monkeypatch.setattr(class_packs, "knit_pair", counted)
    members = [
        Member(replace(socks()[0], person=replace(socks()[0].person, who=f"Student {n}", line=n)))
        for n in range(2, 32)
    ]
    maker = PackMaker(paper=PAPERS["a4"], alphabet=ALPHABET)
    assert len({maker.make(member).pdf for member in members}) == 30
    assert len(proved) == 1


def test_a_sock_that_cannot_be_made_is_tried_once_and_told_to_all_who_knit_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tried = []

    def counted(spec: Any) -> Any:
        tried.append(spec)
        return knit_pair(spec)

    monkeypatch.setattr(class_packs, "knit_pair", counted)
    maker = PackMaker(paper=Paper("", 60.0, 90.0), alphabet=ALPHABET)
    told = []
    for index in (0, 5, 0):
        with pytest.raises(DoesNotFitError) as error:
            maker.make(Member(socks()[index]))
        told.append(str(error.value))
    assert len(set(told)) == 1
    assert len(tried) == 1


def test_a_pack_is_the_same_whoever_else_is_in_the_class() -> None:
    assert made_alone(socks()[5]).pdf == packs()[5].pdf


def feet() -> str:
    """A roster of people on one loom whose feet, legs and swatches differ."""
    rows = [f"Student {n},{20 + n / 2},{32 if n % 2 else 36}," for n in range(8)]
    return "\n".join(["who,foot length cm,pegs,gauge", *rows, "Student 8,24,32,17 x 23"])


def test_what_socks_have_in_common_is_laid_out_once_and_changes_no_pack() -> None:
    pattern = open_sizes((SAMPLES / "three-looms.toml").read_text(encoding="utf-8"))
    people = read_roster(feet()).people
    found = [sock_for(person, pattern) for person in people]
    assert len(groups_of(map(Member, found))) > 5
    maker = PackMaker(paper=PAPERS["a4"], alphabet=ALPHABET)
    for sock in found:
        assert maker.make(Member(sock)).pdf == made_alone(sock).pdf


def test_shelf_hands_out_what_it_has_and_forgets_what_was_asked_for_longest_ago() -> None:
    shelf, made = Shelf(), []

    def find(key: int) -> int:
        return shelf.find(key, lambda: made.append(key) or key)

    for key in [1, 2, 1, *range(100, 146), 1, 2, *range(200, 260), 1]:
        assert find(key) == key
    # 46 others leave 1 and 2 on it, 60 do not.
    assert made.count(1) == 2
    assert made.count(2) == 1


def test_packs_of_a_class_have_the_very_same_fonts() -> None:
    fonts = set()
    for pack in packs():
        for page in PdfReader(BytesIO(pack.pdf)).pages:
            for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
                descriptor = font.get_object()["/FontDescriptor"].get_object()
                fonts.add(descriptor["/FontFile2"].get_object().get_data())
    assert len(fonts) == 3


def test_alphabet_of_the_class_has_every_character_of_its_packs() -> None:
    printed = {
        char["text"]
        for index in (0, 2, 4)
        for page in pages(index)
        for char in page.chars
        if "Symbols" not in char["fontname"]
    }
    assert printed <= {*ALPHABET, "\xa0"}


# What a row of the overview says


@pytest.mark.parametrize("index", EVERYBODY)
def test_row_of_the_overview_is_the_persons_plan(index: int) -> None:
    plan, row, person = own_plan(index), packs()[index].row, socks()[index].person
    assert (row.who, row.size) == (person.who, person.size)
    assert (row.heel, row.turn, row.flap) == (
        str(plan.heel_pegs),
        str(plan.centre_pegs),
        str(plan.flap_rows),
    )
    assert (row.foot_rows, row.toe) == (
        str(plan.spec.foot.rows),
        f"{plan.toe_pegs}, {plan.toe_side}",
    )
    assert f"{plan.loom.pegs} pegs" in row.loom
    assert re.fullmatch(r"\d+\xa0m, \d+\xa0balls?", row.yarn)


def test_same_pack_same_bytes() -> None:
    document = _document(0)
    assert write_pdf(document, alphabet=ALPHABET) == write_pdf(_document(0), alphabet=ALPHABET)
