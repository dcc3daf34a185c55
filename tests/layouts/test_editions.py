"""Clear and large print, A4 pages, and booklets of charts or steps alone: read back from their PDF.

Published guidance beside the checks:

- clear print: 12 pt is the least, 14 pt advised; lines apart by 1.5 to 2 times the space between
  words; flush left (RNIB clear print guidelines, as reprinted in appendices of public documents);
- large print: text of 18 pt in a face without serifs, regular weight, headings of 22 and 20 pt,
  bold and flush left, lines 1.15 apart, ragged right, one column, margins of 1 in (American Council
  of the Blind, "Large Print Guidelines", 2022); 16 pt is where large print begins (RNIB, as a
  county council's guidance quotes it).
"""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.loom import Loom, Working
from charts.parts import Part
from charts.pattern_file import read_pattern
from charts.plan import second_sock
from charts.reader import Ring
from charts.rows import Graft, Row
from charts.sizes import knit_sizes
from charts.spec import Cuff, Foot, Leftover, Leg, SockSpec
from charts.verify import Knit
from layouts.block import DoesNotFitError
from layouts.booklet import make_booklet
from layouts.chart_page import make_chart_page
from layouts.edition import (
    STANDARD_EDITION,
    Content,
    Edition,
    PrintSize,
    usual_paper,
)
from layouts.faces import Face, metrics
from layouts.paper import MM_PER_INCH, PAPERS
from layouts.pdf import write_pdf
from layouts.scene import Document, Group, outside_safe_area
from layouts.sized_booklet import make_sized_booklet
from layouts.style import LARGE_BOOKLET, style_of
from tests.layouts.placed_items import groups_of, words_of, words_of_document
from tests.readback.expected import differences, graft_of
from tests.readback.ink import (
    EDGE_DPI,
    Layer,
    drawn_pages,
    ink_outside,
    letters_on_letters,
    shared_ink,
)
from tests.readback.pdf_pages import SYMBOLS, Letter, PrintedSheet, read_pdf
from tests.readback.read_booklet import ReadBooklet, read_charts
from tests.readback.socks import SAMPLES, proved

LEAST_PT = {PrintSize.STANDARD: 6.5, PrintSize.CLEAR: 12.0, PrintSize.LARGE: 16.0}
"""Standard: our own floor.  Clear: RNIB's least.  Large: RNIB's floor of large print."""
TEXT_PT = {PrintSize.CLEAR: 14.0, PrintSize.LARGE: 18.0}
ROUNDING_PT = 0.01
SAFE_MM = 6.0
CLEAR_MM = SAFE_MM - 25.4 / EDGE_DPI
APART_MM = 0.05

PLAIT = """
[motif.plait]
rows = '''
p k r L k p
p k k k k p
p R l R l p
p k k k k p
'''
"""
STRESS = {
    "many pegs": """
        title = "Sock of the river, of the reeds and of the mill below the weir, in full length"
        designer = "Evening class of the community centre by the river, group 12"
        notes = "Work loosely. Work loosely. Work loosely. Work loosely. Work loosely."
        [loom]
        pegs = 120
        spacing = "3/16 in"
        [gauge]
        stitches = 34
        rows = 48
        [leg]
        rows = 300
        [foot]
        rows = 130
        """,
    "long legs": """
        title = "Long legs"
        designer = "Evening class of the community centre by the river, group 12"
        [loom]
        pegs = 24
        spacing = "5/8 in"
        [leg]
        rows = 300
        panel = "plait"
        [foot]
        rows = 40
        [pair]
        mirror_cables = true
        """
    + PLAIT,
}
"""A title of 76 characters, a designer of 60, 300 rows, 120 pegs."""
NAMES = ("ember", "reed-bank", "millstream", *STRESS)
"""Rings of 24, 40 and 56 pegs, and the stress."""

EDITIONS = {
    "standard on a4": (Edition(), "a4"),
    "clear": (Edition(PrintSize.CLEAR), "a4"),
    "clear on a5": (Edition(PrintSize.CLEAR), "a5"),
    "large": (Edition(PrintSize.LARGE), "a4"),
    "large on letter": (Edition(PrintSize.LARGE), "letter"),
    "charts": (Edition(content=Content.CHARTS), "a5"),
    "steps": (Edition(content=Content.STEPS), "a5"),
    "large charts": (Edition(PrintSize.LARGE, Content.CHARTS), "a4"),
    "large steps": (Edition(PrintSize.LARGE, Content.STEPS), "a4"),
    "clear steps on half-letter": (Edition(PrintSize.CLEAR, Content.STEPS), "half-letter"),
}
MAIN = ("standard on a4", "clear on a5", "large", "charts", "large steps")
"""The others are looked at with one sock and the stress with many pegs."""
with_each_sock = pytest.mark.parametrize("name", NAMES)


def cases(*contents: Content) -> pytest.MarkDecorator:
    """Socks and editions of these contents."""
    found = [
        (name, edition_name)
        for name in NAMES
        for edition_name, (edition, _) in EDITIONS.items()
        if edition.content in contents
        and (edition_name in MAIN or name in ("reed-bank", "many pegs"))
    ]
    return pytest.mark.parametrize(("name", "edition_name"), found)


in_each_edition = cases(*Content)


@cache
def pair_of(name: str) -> tuple[Knit, Knit]:
    text = STRESS.get(name) or (SAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    spec = read_pattern(text)
    other = second_sock(spec)
    first = proved(spec)
    return first, first if other == spec else proved(other)


@cache
def booklet_of(name: str, edition_name: str) -> Document:
    edition, paper = EDITIONS[edition_name]
    return make_booklet(*pair_of(name), paper=PAPERS[paper], edition=edition)


@cache
def pdf_of(name: str, edition_name: str) -> bytes:
    return write_pdf(booklet_of(name, edition_name))


@cache
def sheets_of(name: str, edition_name: str) -> tuple[PrintedSheet, ...]:
    return read_pdf(pdf_of(name, edition_name))


def letters_of(sheets: tuple[PrintedSheet, ...]) -> list[Letter]:
    return [letter for sheet in sheets for letter in sheet.letters if letter.text.strip()]


def size_pt(letter: Letter) -> float:
    return letter.size_mm / MM_PER_INCH * 72


# --- Type sizes ------------------------------------------------------------------------------


@in_each_edition
def test_no_type_is_smaller_than_its_print_allows(name: str, edition_name: str) -> None:
    """Peg and row numbers, numbers in boxes and the symbols of the charts too."""
    edition, _ = EDITIONS[edition_name]
    least_pt = LEAST_PT[edition.size]
    small = {
        (letter.text, round(size_pt(letter), 2))
        for letter in letters_of(sheets_of(name, edition_name))
        if size_pt(letter) < least_pt - ROUNDING_PT
    }
    assert not small


@pytest.mark.parametrize("edition_name", ["clear", "large"])
def test_running_text_has_the_size_that_is_advised(edition_name: str) -> None:
    """RNIB: 14 pt advised.  American Council of the Blind, 2022: 18 pt, not bold."""
    edition, _ = EDITIONS[edition_name]
    sheets = sheets_of("reed-bank", edition_name)
    words = [
        span
        for sheet in sheets
        for span in sheet.upright.spans
        if "Row 1 is the lowest row" in span.text or "yarn to the middle of the heel" in span.text
    ]
    assert len(words) == 2
    for span in words:
        assert not span.is_bold
        assert span.size_mm / MM_PER_INCH * 72 == pytest.approx(TEXT_PT[edition.size], abs=0.01)
    style = style_of(edition, PAPERS["a4"])
    assert style.body.size_pt == TEXT_PT[edition.size] <= style.step.size_pt
    assert not {"Bold", "Italic"} & set(style.body.face.value.split("-"))


def test_large_print_follows_the_american_council_of_the_blind() -> None:
    """2022: headings 22, sub-headings 20, both bold; lines 1.15 apart; margins of 1 in; no line of
    a heading smaller than a sub-heading."""
    style = LARGE_BOOKLET
    assert (style.title.size_pt, style.sub_head.size_pt) == (22.0, 20.0)
    assert style.title.face is style.sub_head.face is Face.BOLD
    for look in (style.body, style.step, style.note, style.title, style.sub_head):
        assert look.leading_pt >= 1.15 * look.size_pt
    for paper in ("a4", "letter"):
        margins = style.margins(PAPERS[paper], 1)
        sides = (margins.left_mm, margins.right_mm, margins.top_mm, margins.bottom_mm)
        assert all(side == pytest.approx(MM_PER_INCH, abs=0.05) for side in sides)
        width_mm = PAPERS[paper].width_mm - margins.left_mm - margins.right_mm
        assert not style.is_wide(width_mm), "one column"


@pytest.mark.parametrize("size", [PrintSize.CLEAR, PrintSize.LARGE])
def test_lines_are_one_and_a_half_to_two_word_spaces_apart(size: PrintSize) -> None:
    """RNIB clear print guidelines: space between lines 1.5 to 2 times the space between words."""
    style = style_of(Edition(size), PAPERS["a4"])
    for look in (style.body, style.step):
        word_space_pt = metrics(look.face).widths[" "] * look.size_pt / 1000
        assert 1.5 <= (look.leading_pt - look.size_pt) / word_space_pt <= 2.0


@pytest.mark.parametrize("size", list(PrintSize))
def test_symbols_of_a_chart_are_as_large_as_its_numbers(size: PrintSize) -> None:
    """A cell's symbol fills it: the least cell is the least type, in a square."""
    style = style_of(Edition(size), PAPERS["a4"])
    assert style.least_cell_mm / MM_PER_INCH * 72 >= style.least_number_pt
    number = metrics(Face.BOLD)
    em = (number.ascender - number.descender) / 1000
    assert style.least_cell_mm / MM_PER_INCH * 72 / em >= style.least_number_pt


def test_lines_are_ragged_and_start_on_one_edge() -> None:
    """Flush left: all lines of the page that tells the words start at a few places only."""
    sheets = sheets_of("reed-bank", "large")
    (page,) = (
        sheet.upright
        for sheet in sheets
        if any("The right side always faces you" in span.text for span in sheet.upright.spans)
    )
    body = [span for span in page.spans if 40.0 < span.baseline_mm < page.height_mm - 30.0]
    firsts = {
        min(span.left_mm for span in body if abs(span.baseline_mm - line) < 0.1)
        for line in {span.baseline_mm for span in body}
    }
    lefts = sorted(firsts)
    assert lefts[-2] - lefts[0] < 0.1, "all but the words beside the ruler"


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_standard_pages_of_a4_have_larger_type_than_a5(paper: str) -> None:
    roomy, small = (style_of(STANDARD_EDITION, PAPERS[name]) for name in (paper, "a5"))
    for bigger, look in (
        (roomy.body, small.body),
        (roomy.step, small.step),
        (roomy.note, small.note),
        (roomy.title, small.title),
    ):
        assert 1.05 * look.size_pt < bigger.size_pt < 1.3 * look.size_pt
    assert roomy.best_cell_mm > small.best_cell_mm


# --- Pages -----------------------------------------------------------------------------------


@in_each_edition
def test_everything_lies_in_the_safe_area(name: str, edition_name: str) -> None:
    for page in booklet_of(name, edition_name).pages:
        assert outside_safe_area(page) == ()
    for page_drawn in drawn_pages(pdf_of(name, edition_name), Layer.ALL, dpi=EDGE_DPI):
        assert ink_outside(page_drawn, CLEAR_MM) == ""


@pytest.mark.parametrize(
    ("name", "edition_name"),
    [
        ("reed-bank", "standard on a4"),
        ("reed-bank", "clear on a5"),
        ("reed-bank", "large on letter"),
        ("millstream", "large"),
        ("ember", "charts"),
        ("many pegs", "large steps"),
        ("many pegs", "clear steps on half-letter"),
        ("long legs", "clear"),
    ],
)
def test_no_ink_lies_on_other_ink(name: str, edition_name: str) -> None:
    pdf = pdf_of(name, edition_name)
    layers = zip(drawn_pages(pdf, Layer.TEXTS), drawn_pages(pdf, Layer.OTHERS), strict=True)
    for number, (texts, others) in enumerate(layers, start=1):
        assert shared_ink(texts, others) is None, number
    assert list(letters_on_letters(pdf, tolerance_mm=APART_MM)) == []


@in_each_edition
def test_contents_name_what_is_there(name: str, edition_name: str) -> None:
    edition, _ = EDITIONS[edition_name]
    document = booklet_of(name, edition_name)
    titles = [entry.title for page in document.pages for entry in page.outline]
    for part in Part:
        assert part.title in titles
    assert ("Symbol key" in titles) is (edition.content is not Content.STEPS)
    contents = words_of(document.pages[1])
    for title in titles:
        assert title in contents


@with_each_sock
def test_pages_are_not_left_half_empty_in_a_row(name: str) -> None:
    """No three pages of steps and charts in a row have less than a third of their height used."""
    for edition_name in ("standard on a4", "clear", "large"):
        emptiest = 0
        for sheet in sheets_of(name, edition_name):
            page = sheet.upright
            used = [
                letter.start.y_mm
                for letter in sheet.letters
                if letter.start.y_mm < page.height_mm - 27.0
            ]
            is_empty = bool(used) and max(used) < page.height_mm / 3
            emptiest = emptiest + 1 if is_empty else 0
            assert emptiest < 3, (edition_name, page)


# --- What is told ----------------------------------------------------------------------------

CHARTS = [name for name, (edition, _) in EDITIONS.items() if edition.content is Content.CHARTS]
STEPS = [name for name, (edition, _) in EDITIONS.items() if edition.content is Content.STEPS]


@cases(Content.FULL, Content.STEPS)
def test_steps_read_back_are_the_proved_rows(name: str, edition_name: str) -> None:
    first, second = pair_of(name)
    read = ReadBooklet(sheets_of(name, edition_name))
    assert read.steps.events == first.rows.events
    assert read.second_steps.events == second.rows.events


@cases(Content.FULL)
def test_charts_and_all_else_read_back_are_the_socks(name: str, edition_name: str) -> None:
    read = ReadBooklet(sheets_of(name, edition_name))
    for knit, steps, second in zip(
        pair_of(name), (read.steps, read.second_steps), (False, True), strict=True
    ):
        parts, charts = read.parts_of(second=second), read.charts_of(second=second)
        assert differences(knit, parts=parts, steps=steps, charts=charts) == []
        rows = tuple(event for event in knit.rows.events if isinstance(event, Row))
        assert read.chart_rows(second=second) == rows


@cases(Content.CHARTS)
def test_charts_alone_tell_every_row(name: str, edition_name: str) -> None:
    first, _ = pair_of(name)
    ring = Ring(first.plan.loom.pegs, first.plan.loom.working)
    charts = read_charts(sheets_of(name, edition_name), ring)
    rows = tuple(row for chart in charts if not chart.second for row in chart.read.rows)
    assert rows == tuple(event for event in first.rows.events if isinstance(event, Row))


@in_each_edition
def test_the_graft_is_told_in_every_edition(name: str, edition_name: str) -> None:
    (graft,) = (event for event in pair_of(name)[0].rows.events if isinstance(event, Graft))
    assert ReadBooklet(sheets_of(name, edition_name)).graft == graft_of(len(graft.pairs))


@pytest.mark.parametrize("edition_name", CHARTS)
def test_charts_alone_have_no_row_told_in_words(edition_name: str) -> None:
    """But the moves before a row, the checkpoints, and how stitches are made."""
    document = booklet_of("reed-bank", edition_name)
    words = words_of_document(document)
    for told in ("Before you start:", "To count:", "Put the 8 loops", "Cast on 40 pegs", "Purl"):
        assert told in words
    assert "pegs 2–25 knit." not in words
    assert any(dict(one.attrs).get("line") == "row" for one in all_groups(document))


@pytest.mark.parametrize("edition_name", STEPS)
def test_steps_alone_have_no_chart_and_no_key(edition_name: str) -> None:
    document = booklet_of("reed-bank", edition_name)
    assert not any(dict(one.attrs).get("line") == "row" for one in all_groups(document))
    words = words_of_document(document)
    assert "chart" not in words.replace("charts", "").lower()
    letters = letters_of(sheets_of("reed-bank", edition_name))
    assert SYMBOLS not in {letter.face for letter in letters}


def all_groups(document: Document) -> list[Group]:
    return [group for page in document.pages for group in groups_of(page)]


def test_editions_of_less_are_shorter() -> None:
    counts = {
        content: len(
            make_booklet(
                *pair_of("millstream"), paper=PAPERS["a4"], edition=Edition(content=content)
            ).pages
        )
        for content in Content
    }
    assert counts[Content.STEPS] < counts[Content.FULL]
    assert counts[Content.CHARTS] < counts[Content.FULL]


def test_boxes_of_very_many_rows_go_on_under_their_name() -> None:
    """300 rows: one box each, numbered, on more than one page in large print."""
    words = words_of_document(booklet_of("long legs", "large"))
    assert "Rows 5–300 go on:" in words
    read = ReadBooklet(sheets_of("long legs", "large"))
    (leg,) = (part for part in read.parts_of(second=False) if part.title == "Leg")
    (step,) = (step for step in leg.steps if step.line.label == "Rows 5–300")
    assert step.boxes == tuple(map(str, range(5, 301)))


# --- Paper -----------------------------------------------------------------------------------


def test_print_size_chooses_the_paper_unless_somebody_does() -> None:
    papers = {size: usual_paper(Edition(size)).name for size in PrintSize}
    assert papers == {PrintSize.STANDARD: "a5", PrintSize.CLEAR: "a4", PrintSize.LARGE: "a4"}


@pytest.mark.parametrize("paper", ["a5", "half-letter", "a6"])
def test_large_print_on_small_pages_is_refused(paper: str) -> None:
    with pytest.raises(DoesNotFitError, match=r"large print needs pages .* such as a4 or letter"):
        make_booklet(*pair_of("ember"), paper=PAPERS[paper], edition=Edition(PrintSize.LARGE))


def test_same_edition_same_bytes() -> None:
    edition = Edition(PrintSize.LARGE)
    again = write_pdf(make_booklet(*pair_of("ember"), paper=PAPERS["a4"], edition=edition))
    assert again == pdf_of("ember", "large")


# --- Other products --------------------------------------------------------------------------


@pytest.mark.parametrize(
    "edition",
    [
        Edition(PrintSize.CLEAR),
        Edition(PrintSize.LARGE),
        Edition(content=Content.STEPS),
        Edition(PrintSize.LARGE, Content.CHARTS),
    ],
)
def test_booklets_of_several_sizes_have_editions(edition: Edition) -> None:
    pattern = knit_sizes((SAMPLES / "three-looms.toml").read_text(encoding="utf-8"))
    document = make_sized_booklet(pattern, paper=usual_paper(edition), edition=edition)
    for page in document.pages:
        assert outside_safe_area(page) == ()
    sheets = read_pdf(write_pdf(document))
    least_pt = LEAST_PT[edition.size] - ROUNDING_PT
    assert all(size_pt(letter) >= least_pt for letter in letters_of(sheets))
    has_rows = any(dict(one.attrs).get("line") == "row" for one in all_groups(document))
    assert has_rows is (edition.content is not Content.STEPS)


@pytest.mark.parametrize("size", [PrintSize.CLEAR, PrintSize.LARGE])
@pytest.mark.parametrize("paper", [None, "a4"])
def test_a_chart_alone_has_print_sizes(size: PrintSize, paper: str | None) -> None:
    first, _ = pair_of("reed-bank")
    document = make_chart_page(
        first, Part.LEG, paper=PAPERS[paper] if paper else None, edition=Edition(size)
    )
    sheets = read_pdf(write_pdf(document))
    least_pt = LEAST_PT[size] - ROUNDING_PT
    assert all(size_pt(letter) >= least_pt for letter in letters_of(sheets))


# --- Any sock --------------------------------------------------------------------------------

specs = st.builds(
    lambda pegs, working, cuff, leg, foot: SockSpec(
        title="Any",
        loom=Loom(pegs, 9.525, "3/8 in", working),
        cuff=Cuff(rows=cuff, leftover=Leftover.KNIT),
        leg=Leg(rows=leg),
        foot=Foot(rows=foot),
    ),
    st.integers(16, 120),
    st.sampled_from(list(Working)),
    st.integers(2, 40),
    st.integers(0, 300),
    st.integers(10, 130),
)


@settings(max_examples=5, deadline=None)
@given(specs, st.sampled_from(list(PrintSize)), st.sampled_from(list(Content)))
def test_any_sock_is_laid_out_in_any_edition(
    spec: SockSpec, size: PrintSize, content: Content
) -> None:
    knit = proved(spec)
    edition = Edition(size, content)
    document = make_booklet(knit, knit, paper=usual_paper(edition), edition=edition)
    assert all(outside_safe_area(page) == () for page in document.pages)
    sheets = read_pdf(write_pdf(document))
    assert all(size_pt(letter) >= LEAST_PT[size] - ROUNDING_PT for letter in letters_of(sheets))
    if content is not Content.CHARTS:
        assert ReadBooklet(sheets).steps.events == knit.rows.events


def test_a_heading_that_is_too_long_goes_on_below() -> None:
    """ "Second sock: gusset and foot" and what the page is stand on two lines, not smaller."""
    sheets = sheets_of("long legs", "large")
    heads = [
        span
        for sheet in sheets
        for span in sheet.upright.spans
        if span.text.startswith("Second sock: gusset and foot") and span.baseline_mm < 45.0
    ]
    assert heads
    for span in heads:
        assert span.size_mm / MM_PER_INCH * 72 >= LARGE_BOOKLET.sub_head.size_pt - ROUNDING_PT
