"""The booklet as pages: complete, in order, inside its margins, nothing on top of anything."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path as FilePath

import pytest
from pypdf import PdfReader

from charts.loom import Loom
from charts.parts import Part, parts_of
from charts.pattern_file import read_pattern
from charts.plan import make_plan, second_sock
from charts.rows import Row
from charts.sock import make_rows
from charts.spec import Cuff, Foot, Gauge, Leftover, Leg, SockSpec
from charts.step_lines import starting_words, step_words
from charts.steps import Checkpoint, RepeatStep, RowStep, make_steps
from charts.verify import Knit, verify
from layouts.block import DoesNotFitError
from layouts.booklet import make_booklet
from layouts.edition import Edition, PrintSize
from layouts.faces import Face
from layouts.gather import terms_of
from layouts.paper import PAPERS, read_paper
from layouts.pdf import write_pdf
from layouts.scene import GREY_60, MEANING_INKS, TINT_15, WHITE, Document, Role
from layouts.steps_block import step_ladder
from layouts.style import BOOKLET
from tests.layouts.placed_items import (
    anchors_of,
    groups_of,
    links_of,
    paths_of,
    squares_in,
    squeezed_words,
    texts_in,
    texts_of,
    words_of,
    words_of_document,
)

PAPER_NAMES = ("a5", "half-letter", "a4", "letter")
OVERLAP_MM = 0.25
"""Two texts may share so much of their boxes both ways: side bearings and accents need no more."""


def knit_of_spec(spec: SockSpec) -> Knit:
    plan = make_plan(spec)
    return verify(plan, make_rows(plan))


@pytest.fixture(params=PAPER_NAMES, scope="session")
def booklet(request: pytest.FixtureRequest, any_knit: Knit) -> Document:
    return make_booklet(any_knit, any_knit, paper=PAPERS[request.param])


def test_all_ink_lies_in_the_safe_area(booklet: Document) -> None:
    for number, page in enumerate(booklet.pages, start=1):
        safe = page.safe_box
        inked = [*texts_of(page), *paths_of(page)]
        assert inked
        outside = [one for one in inked if not safe.holds(one.box)]
        assert not outside, (number, outside[0])


def test_no_text_lies_on_another(booklet: Document) -> None:
    """Tolerance: boxes from cap height to base line may share OVERLAP_MM both ways."""
    for number, page in enumerate(booklet.pages, start=1):
        placed = [one for one in texts_of(page) if one.item.face is not Face.SYMBOLS]
        for index, one in enumerate(placed):
            for other in placed[index + 1 :]:
                assert not one.box.meets(other.box, OVERLAP_MM), (number, one.text, other.text)


def test_inks_that_carry_meaning_are_dark_enough_or_on_black(booklet: Document) -> None:
    """WCAG 2.2: black and 60 % grey reach 4.5 to 1 on white; white text stands on black tabs."""
    seen = set()
    for page in booklet.pages:
        for one in texts_of(page):
            seen.add(one.item.ink)
            assert one.item.ink in (*MEANING_INKS, WHITE), one.text
            if one.item.ink == WHITE:
                assert re.fullmatch(r"\d|part \d|ticks", one.text)
    assert GREY_60 in seen


def test_tint_is_never_the_ink_of_text(booklet: Document) -> None:
    assert all(one.item.ink != TINT_15 for page in booklet.pages for one in texts_of(page))


def test_no_text_is_smaller_than_a_photocopy_keeps(booklet: Document) -> None:
    """6 pt solid black, 8 pt grey or reversed at least (common practice, no published source)."""
    for page in booklet.pages:
        for one in texts_of(page):
            black = one.item.ink.red == 0.0
            assert one.item.size_pt >= (6.0 if black else 6.5), one.text


@pytest.mark.parametrize("paper", PAPER_NAMES)
def test_every_step_is_printed_once_in_order(any_knit: Knit, paper: str) -> None:
    """Read from the list items of the pages: their words, one after the other."""
    document = make_booklet(any_knit, any_knit, paper=PAPERS[paper])
    words = words_of_document(document)
    at = 0
    for part_steps in make_steps(any_knit):
        due = [starting_words(part_steps)]
        due += [step_words(step) for step in part_steps.steps]
        due += [_sentence(part_steps.ends.text), part_steps.counting]
        for text in due:
            found = words.find(squeezed_words(text), at)
            assert found >= 0, (part_steps.part, text)
            at = found + 1


def test_rows_stand_beside_their_label_and_arrow(any_knit: Knit) -> None:
    document = make_booklet(any_knit, any_knit, paper=PAPERS["a5"])
    printed = []
    for page in document.pages:
        for group in groups_of(page):
            if group.role is Role.LABEL:
                texts = [item.text for item in texts_in(group)]
                label = squeezed_words(texts[0]) if texts else ""
                if re.match(r"Rows? \d|Partial row|Run on", label):
                    printed.append((label, texts[1] if len(texts) > 1 else ""))
    due = []
    for part_steps in make_steps(any_knit):
        for step in part_steps.steps:
            match step:
                case RowStep():
                    due.append((step.label, "→" if step.to_right else "←"))
                case RepeatStep():
                    arrow = ""
                    if step.first == step.last:
                        (like,) = (
                            one
                            for one in part_steps.steps
                            if isinstance(one, RowStep)
                            and one.section is step.section
                            and one.first <= step.like_first <= one.last
                        )
                        arrow = "→" if like.to_right else "←"
                    due.append((step.label, arrow))
    assert printed == due


def test_every_row_and_move_has_its_box(any_knit: Knit) -> None:
    """Boxes are the closed squares inside list items; folded rows have one a row."""
    for part_steps in make_steps(any_knit):
        for rung in step_ladder(part_steps, width_mm=120.0, style=BOOKLET):
            due = 0 if isinstance(rung.step, Checkpoint | None) else rung.step.boxes
            assert squares_in(rung.piece.block.items) == due


def test_every_plan_line_is_printed_with_its_reason(any_knit: Knit) -> None:
    document = make_booklet(any_knit, any_knit, paper=PAPERS["a5"])
    plan_pages = " ".join(
        words_of(page) for page in document.pages if "The plan" in words_of(page)[:20]
    )
    assert any_knit.plan.lines
    for line in any_knit.plan.lines:
        row = f"{_capital(line.name)} {line.value} {_capital(line.reason)}"
        assert squeezed_words(row) in plan_pages


def test_warnings_of_the_plan_are_printed() -> None:
    knit = knit_of_spec(SockSpec("Warm", Loom(40, 9.525, "3/8 in"), knit="e-wrap"))
    assert knit.plan.warnings
    words = words_of_document(make_booklet(knit, knit, paper=PAPERS["a5"]))
    for warning in knit.plan.warnings:
        assert squeezed_words(warning) in words


@pytest.mark.parametrize("paper", ["a5", "half-letter"])
def test_folded_booklets_have_whole_sheets(any_knit: Knit, paper: str) -> None:
    document = make_booklet(any_knit, any_knit, paper=PAPERS[paper])
    assert len(document.pages) % 4 == 0


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_single_leaves_end_with_the_tick_sheet(any_knit: Knit, paper: str) -> None:
    document = make_booklet(any_knit, any_knit, paper=PAPERS[paper])
    assert "Tick sheet" in words_of(document.pages[-1])


def test_no_page_is_silently_blank(booklet: Document) -> None:
    for page in booklet.pages[1:]:
        assert len(words_of(page).split()) >= 4


def test_chart_and_steps_of_a_part_lie_on_one_page_or_face_each_other(booklet: Document) -> None:
    """A page headed "steps" is a right-hand page after a left-hand one of the same part."""
    for number, page in enumerate(booklet.pages, start=1):
        head = _head(words_of(page))
        if head.endswith(" steps"):
            assert number % 2 == 1
            before = _head(words_of(booklet.pages[number - 2]))
            assert before.split()[:2] == head.split()[:2]


def test_contents_name_the_pages_where_their_sections_begin(booklet: Document) -> None:
    places = {
        anchor.name: number
        for number, page in enumerate(booklet.pages, start=1)
        for anchor in anchors_of(page)
    }
    contents = booklet.pages[1]
    links = links_of(contents)
    assert len(links) == len(places) >= 12
    words = words_of(contents)
    for link in links:
        title = link.alt.removeprefix("to ")
        number = places[str(link.target)]
        # Between page number and title stands the part's number, as on its thumb mark.
        assert re.search(rf"\b{number} ([1-7✓] )?{re.escape(title)}", words), title
        assert title.split(":")[0] in words_of(booklet.pages[number - 1])


def test_outline_follows_the_contents(booklet: Document) -> None:
    titles = [entry.title for page in booklet.pages for entry in page.outline]
    contents = [link.alt.removeprefix("to ") for link in links_of(booklet.pages[1])]
    assert titles == contents


def test_page_numbers_are_printed_at_the_outer_edge(booklet: Document) -> None:
    for number, page in enumerate(booklet.pages[1:], start=2):
        (folio,) = (
            one
            for one in texts_of(page)
            if one.text == str(number) and one.box.top_mm > page.height_mm - 16
        )
        middle_mm = (folio.box.left_mm + folio.box.right_mm) / 2
        outer = middle_mm > page.width_mm / 2
        assert outer == bool(number % 2)
        assert page.label == str(number)


def test_cover_names_and_measures_every_part(any_knit: Knit) -> None:
    cover = words_of(make_booklet(any_knit, any_knit, paper=PAPERS["a5"]).pages[0])
    plan = any_knit.plan
    assert plan.spec.title in cover
    assert plan.spec.designer in cover
    for words in ("Cuff", "Heel flap", "Heel turn", "Gusset and foot", "Toe", "Closing"):
        assert words in cover
    assert f"{plan.spec.cuff.rows} rows" in cover
    assert f"{plan.toe_pegs} pairs" in cover
    assert ("cm" in cover) == (plan.spec.gauge is not None)


def test_a_cover_without_room_for_labels_has_the_sock_with_its_numbers() -> None:
    """Measures, edition and rights on A5 in clear print: the discs of the seven parts stay."""
    path = FilePath(__file__).parents[2] / "samples" / "reed-bank.toml"
    knit = knit_of_spec(read_pattern(path.read_text(encoding="utf-8")))
    first = make_booklet(
        knit, knit, paper=PAPERS["a5"], edition=Edition(size=PrintSize.CLEAR)
    ).pages[0]
    (figure,) = (group for group in groups_of(first) if group.role is Role.FIGURE)
    assert "its parts numbered: 1 cast on and cuff" in figure.alt
    numbers = [one.text for one in texts_of(first) if re.fullmatch("[1-7]", one.text)]
    assert sorted(numbers) == list("1234567")


def test_only_a_cabled_sock_asks_for_a_cable_needle(knit_of: Callable[[str], Knit]) -> None:
    for name, wanted in (("rope on 40", True), ("plain on 24", False)):
        knit = knit_of(name)
        words = words_of_document(make_booklet(knit, knit, paper=PAPERS["a5"]))
        assert ("Cable needle" in words) is wanted
        assert ("Cross right with left 2 over right 2" in words) is wanted


def test_wrapped_toes_are_told_as_wraps_and_turned_ones_as_turned(
    knit_of: Callable[[str], Knit],
) -> None:
    wrapped = knit_of("right to left on 25")
    turned = knit_of("plain on 24")
    for knit, there, absent in (
        (wrapped, "Wrap and turn", "Turned stitch"),
        (turned, "Turned stitch", "Wrap and turn"),
    ):
        words = words_of_document(make_booklet(knit, knit, paper=PAPERS["a5"]))
        assert there in words
        assert absent not in words


def test_a_second_sock_with_mirrored_cables_has_its_own_leg_and_foot(
    knit_of: Callable[[str], Knit],
) -> None:
    first = knit_of("rope on 40")
    spec = replace(first.plan.spec, mirror_second_sock=True)
    second = knit_of_spec(second_sock(spec))
    words = words_of_document(make_booklet(first, second, paper=PAPERS["a5"]))
    assert "Second sock: leg" in words
    assert "Second sock: gusset and foot" in words
    assert "cross right with left 2 over right 2" in words
    assert "cross left with right 2 over left 2" in words
    alike = words_of_document(make_booklet(first, first, paper=PAPERS["a5"]))
    assert "Second sock" not in alike
    assert "cross left with right 2 over left 2" not in alike


def test_each_technique_is_shown_once(any_knit: Knit) -> None:
    document = make_booklet(any_knit, any_knit, paper=PAPERS["a5"])
    titles = [
        squeezed_words(" ".join(text.text for text in texts_in(group)))
        for page in document.pages
        for group in groups_of(page)
        if group.role is Role.H3
    ]
    assert titles
    assert len(titles) == len(set(titles))
    assert titles[0] == "Cast on"


def test_cautions_are_printed_and_defer_to_those_who_know(any_knit: Knit) -> None:
    words = words_of_document(make_booklet(any_knit, any_knit, paper=PAPERS["a5"]))
    for about in ("Hook and needles", "Babies and toddlers", "Smooth floors", "Tight cuffs"):
        assert about in words
    assert "licensed clinician" in words
    assert "compression" not in words


def test_figures_are_told_in_words(booklet: Document) -> None:
    figures = [
        group for page in booklet.pages for group in groups_of(page) if group.role is Role.FIGURE
    ]
    assert len(figures) >= 8
    assert all(group.alt.strip() for group in figures)


def test_metadata_name_title_and_designer(any_knit: Knit) -> None:
    document = make_booklet(any_knit, any_knit, paper=PAPERS["a5"])
    assert document.title == any_knit.plan.spec.title
    assert document.author == any_knit.plan.spec.designer


def test_the_pdf_has_outline_title_and_designer(knit_of: Callable[[str], Knit]) -> None:
    """Read back with a library that did not write it."""
    spec = replace(knit_of("plain on 24").plan.spec, designer="Evening class")
    knit = knit_of_spec(spec)
    document = make_booklet(knit, knit, paper=PAPERS["a5"])
    reader = PdfReader(BytesIO(write_pdf(document)))
    assert len(reader.pages) == len(document.pages)
    assert reader.metadata is not None
    assert reader.metadata.title == "Plain"
    assert reader.metadata.author == "Evening class"
    titles = [entry.title for page in document.pages for entry in page.outline]
    assert [entry.title for entry in reader.outline] == titles
    for page, printed in zip(document.pages, reader.pages, strict=True):
        text = squeezed_words(printed.extract_text())
        for one in texts_of(page):
            if one.item.face is not Face.SYMBOLS:
                assert squeezed_words(one.text) in text, one.text


def test_notes_of_the_designer_are_printed() -> None:
    spec = SockSpec("Told", Loom(24, 15.875, "5/8 in"), notes="Knit loosely.\nMind the cat.")
    knit = knit_of_spec(spec)
    words = words_of_document(make_booklet(knit, knit, paper=PAPERS["a5"]))
    assert "From the designer Knit loosely. Mind the cat." in words


@pytest.mark.parametrize("pegs", [16, 31, 44, 72, 120])
@pytest.mark.parametrize("paper", ["a5", "letter"])
def test_every_size_of_ring_makes_a_sound_booklet(pegs: int, paper: str) -> None:
    spec = SockSpec(
        "Ring",
        Loom(pegs, 9.525, "3/8 in"),
        cuff=Cuff(leftover=Leftover.KNIT),
        foot=Foot(rows=30),
    )
    knit = knit_of_spec(spec)
    document = make_booklet(knit, knit, paper=PAPERS[paper])
    for check in (test_all_ink_lies_in_the_safe_area, test_no_text_lies_on_another):
        check(document)
    words = words_of_document(document)
    assert all(part.title in words for part in parts_of(knit))


@pytest.mark.parametrize(
    ("pegs", "cuff_rows", "leg_rows", "foot_rows"),
    [(95, 3, 0, 4), (76, 9, 3, 40), (29, 59, 250, 4), (108, 7, 3, 133), (24, 1, 0, 400)],
)
@pytest.mark.parametrize("paper", ["a5", "half-letter"])
def test_socks_of_odd_proportions_make_sound_booklets(
    pegs: int, cuff_rows: int, leg_rows: int, foot_rows: int, paper: str
) -> None:
    spec = SockSpec(
        "Odd proportions",
        Loom(pegs, 9.525, "3/8 in"),
        gauge=Gauge(15, 20),
        cuff=Cuff(rows=cuff_rows, leftover=Leftover.KNIT),
        leg=Leg(rows=leg_rows),
        foot=Foot(rows=foot_rows),
    )
    knit = knit_of_spec(spec)
    document = make_booklet(knit, knit, paper=PAPERS[paper])
    test_all_ink_lies_in_the_safe_area(document)
    test_no_text_lies_on_another(document)


def test_long_words_and_titles_stay_inside(knit_of: Callable[[str], Knit]) -> None:
    spec = replace(
        knit_of("plain on 24").plan.spec,
        title="A remarkably long title for a pair of socks that nobody would ever print on a cover",
        designer="Evening class of the school beside the harbour, second term",
        yarn="x" * 90,
        notes="Many words of advice. " * 200,
    )
    knit = knit_of_spec(spec)
    document = make_booklet(knit, knit, paper=PAPERS["half-letter"])
    test_all_ink_lies_in_the_safe_area(document)
    test_no_text_lies_on_another(document)


def test_papers_too_small_are_refused_in_one_sentence(knit_of: Callable[[str], Knit]) -> None:
    knit = knit_of("plain on 24")
    with pytest.raises(DoesNotFitError, match="128 x 180 mm"):
        make_booklet(knit, knit, paper=read_paper("a6"))


def test_a_level_sheet_is_stood_upright(knit_of: Callable[[str], Knit]) -> None:
    knit = knit_of("plain on 24")
    assert make_booklet(knit, knit, paper=PAPERS["a5"].level) == make_booklet(
        knit, knit, paper=PAPERS["a5"]
    )


def test_equal_patterns_give_equal_booklets_whatever_the_hash_seed() -> None:
    script = (
        "from charts.loom import Loom\n"
        "from charts.plan import make_plan\n"
        "from charts.sock import make_rows\n"
        "from charts.spec import SockSpec\n"
        "from charts.verify import verify\n"
        "from layouts.booklet import make_booklet\n"
        "from layouts.paper import PAPERS\n"
        "from hashlib import sha256\n"
        "plan = make_plan(SockSpec('Same', Loom(56, 6.35, '1/4 in')))\n"
        "knit = verify(plan, make_rows(plan))\n"
        "text = repr(make_booklet(knit, knit, paper=PAPERS['a5']))\n"
        "print(sha256(text.encode()).hexdigest())\n"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(filter(None, sys.path))},
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(found) == 1


def _sentence(text: str) -> str:
    return _capital(text) + ("" if text.endswith(".") else ".")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _head(words: str) -> str:
    """The title line of a page: all before its first checkpoint, row or rule."""
    return re.split(r" (?=Before you start|Row|Now|stitches|\d)", words, maxsplit=1)[0]


@pytest.mark.parametrize("pegs", [16, 24, 31, 40, 56, 80])
@pytest.mark.parametrize("paper", PAPER_NAMES)
def test_pages_for_notes_stand_at_the_end_and_only_fill_the_last_sheet(
    pegs: int, paper: str
) -> None:
    spec = SockSpec("Ring", Loom(pegs, 9.525, "3/8 in"), cuff=Cuff(leftover=Leftover.KNIT))
    knit = knit_of_spec(spec)
    pages = make_booklet(knit, knit, paper=PAPERS[paper]).pages
    notes = [number for number, page in enumerate(pages) if words_of(page).startswith("Notes")]
    assert notes == list(range(len(pages) - len(notes), len(pages)))
    assert len(notes) <= 3
    assert not notes or paper in ("a5", "half-letter")


@pytest.mark.parametrize("size", PrintSize)
def test_how_to_do_a_thing_is_told_no_later_than_the_rows_of_its_part(
    any_knit: Knit, size: PrintSize
) -> None:
    """Boxes stand before the rows or on their first page, and no page for notes comes between."""
    paper = "a5" if size is PrintSize.STANDARD else "a4"
    pages = make_booklet(any_knit, any_knit, paper=PAPERS[paper], edition=Edition(size=size)).pages
    first_row: dict[str, int] = {}
    boxes: list[tuple[str, int]] = []
    for number, page in enumerate(pages):
        words = squeezed_words(words_of(page))
        part = next((one.title for one in Part if re.match(rf"\d {one.title}\b", words)), "")
        if not part or part == Part.CLOSING.title:
            continue
        if re.search(r"\bRows? \d[\d–]* (→|←)", words):
            first_row.setdefault(part, number)
        if any(group.role is Role.H3 for group in groups_of(page)):
            boxes.append((part, number))
    assert len(boxes) > 4
    for part, number in boxes:
        assert number <= first_row[part], part
    notes = [number for number, page in enumerate(pages) if words_of(page).startswith("Notes")]
    assert notes == list(range(len(pages) - len(notes), len(pages)))


def test_a_page_that_goes_on_says_so(any_knit: Knit) -> None:
    """No two pages have the same head, but for those that only have notes."""
    edition = Edition(size=PrintSize.LARGE)
    pages = make_booklet(any_knit, any_knit, paper=PAPERS["a4"], edition=edition).pages
    heads = []
    for page in pages[1:]:
        texts = texts_of(page)
        title = max(texts, key=lambda one: (one.item.face is Face.BOLD, -one.box.bottom_mm))
        heads.append(
            tuple(one.text for one in texts if abs(one.box.bottom_mm - title.box.bottom_mm) < 0.1)
        )
    assert len(heads) > 20
    assert len(set(heads)) == len(heads)


def test_the_forty_peg_sock_fits_six_sheets(knit_of: Callable[[str], Knit]) -> None:
    knit = knit_of("rope on 40")
    assert len(make_booklet(knit, knit, paper=PAPERS["a5"]).pages) == 24


def test_techniques_are_printed_in_the_order_in_which_they_are_needed(
    knit_of: Callable[[str], Knit],
) -> None:
    """Written by hand from the order of the sock's rows and moves."""
    knit = knit_of("rope on 40")
    for paper in PAPER_NAMES:
        document = make_booklet(knit, knit, paper=PAPERS[paper])
        titles = [
            squeezed_words(" ".join(text.text for text in texts_in(group)))
            for page in document.pages
            for group in groups_of(page)
            if group.role is Role.H3
        ]
        assert [re.sub("^Cross .*", "Cross", title) for title in titles] == [
            "Cast on",
            "Knit (flat)",
            "Purl",
            "Cross",
            "Slip",
            "Knit and join",
            "Hang an edge loop",
            "Lift the bar",
            "Knit and turn: the turned stitch",
            "Take a loop off",
        ]


def test_the_tools_point_to_the_page_of_the_cautions(booklet: Document) -> None:
    (gather,) = (page for page in booklet.pages if words_of(page).startswith("What to gather"))
    told = re.search(r"cautions on page (\d+)", words_of(gather))
    assert told is not None
    assert "Hook and needles" in words_of(booklet.pages[int(told[1]) - 1])


def test_a_join_names_the_holder_of_each_end(knit_of: Callable[[str], Knit]) -> None:
    """By hand: turn on pegs 10-17 of 40; rounds to the right end at the right holder."""
    knit = knit_of("rope on 40")
    words = words_of_document(make_booklet(knit, knit, paper=PAPERS["a5"]))
    assert "on peg 17 from the right holder, on peg 10 from the left one" in words
    assert "a join is two stitches" in words
    other = knit_of("right to left on 25")
    words = words_of_document(make_booklet(other, other, paper=PAPERS["a5"]))
    near, far = (
        other.plan.peg(other.plan.gusset_pegs + 1),
        other.plan.peg(other.plan.gusset_pegs + other.plan.centre_pegs),
    )
    assert f"on peg {far} from the left holder, on peg {near} from the right one" in words


def test_words_of_the_trade_are_told_where_they_are_used(any_knit: Knit) -> None:
    terms = {term.word for term in terms_of(any_knit)}
    assert {"Slip", "Hold", "Purl", "Join"} <= terms
    runs_on = any(isinstance(row, Row) and row.number == 0 for row in any_knit.rows.events)
    assert ("Run on" in terms) is runs_on


def test_cover_and_tools_tell_size_and_yarn_if_there_is_a_gauge() -> None:
    """By hand: 40 pegs at 18 stitches in 10 cm are 22.2 cm round."""
    spec = SockSpec("Sized", Loom(40, 9.525, "3/8 in"), gauge=Gauge(18, 26))
    knit = knit_of_spec(spec)
    pages = make_booklet(knit, knit, paper=PAPERS["a5"]).pages
    assert re.search(r"Finished: foot [\d.]+ cm \(.+ in\) long, 22 cm", words_of(pages[0]))
    assert re.search(r"About \d+0 m \(\d+0 yd\) for the pair", words_of(pages[3]))
    bare = knit_of_spec(replace(spec, gauge=None))
    pages = make_booklet(bare, bare, paper=PAPERS["a5"]).pages
    assert "Finished" not in words_of(pages[0])
    assert "for the pair" not in words_of(pages[3])


def test_both_pages_before_the_second_sock_say_how_it_is_knitted(
    knit_of: Callable[[str], Knit],
) -> None:
    first = knit_of("rope on 40")
    second = knit_of_spec(second_sock(replace(first.plan.spec, mirror_second_sock=True)))
    told = "Second sock: parts 1, 3, 4, 6 and 7 as before; 2 and 5 from the pages headed"
    for other, due in ((second, told), (first, "Make the second sock the same.")):
        pages = make_booklet(first, other, paper=PAPERS["a5"]).pages
        for title in ("Finishing", "✓ Tick sheet"):
            (page,) = (one for one in pages if words_of(one).startswith(title))
            assert due in words_of(page)
    own = [
        page
        for page in make_booklet(first, second, paper=PAPERS["a5"]).pages
        if " Second sock: " in words_of(page)[:20]
    ]
    assert len(own) >= 2
    assert all(told in words_of(page) for page in own)
