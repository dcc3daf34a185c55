"""The booklet of several sizes: a knitter of each reads her own sock out of it, and no other."""

from __future__ import annotations

import contextlib
import re
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from charts.chart import ChartFold
from charts.fitting import fit_spec
from charts.parts import Part, parts_of
from charts.problems import PatternError, Problem
from charts.reader import ReadError, StepLine, StepsPart, read_steps
from charts.reader_sizes import unsize
from charts.rows import RUN_ON, Graft, Row, Section
from charts.sized_charts import SharedFold, chart_groups, make_shared_chart
from charts.sized_steps import make_sized_steps
from charts.sized_words import merge_texts, sized, sized_text
from charts.sizes import FailedSize, Size, SizedPattern, knit_sizes
from charts.spec import Heel, Leftover, Toe
from charts.steps import Checkpoint, MoveStep, RepeatStep, RowStep, ThreadStep, make_steps
from charts.verify import Knit
from layouts.block import DoesNotFitError
from layouts.booklet import make_booklet
from layouts.edition import STANDARD_EDITION
from layouts.faces import Face
from layouts.paper import PAPERS, read_paper
from layouts.pdf import write_pdf
from layouts.scene import Document, Group, Page, Role, Text
from layouts.size_order import MOST_IN_BRACKETS, SizeSet, sized_runs
from layouts.sized_booklet import make_sized_booklet
from layouts.sized_boxes import STOP_PT, numbered_boxes, stops_of
from layouts.sized_maps import map_groups
from layouts.sized_sets import part_sets
from layouts.sized_techniques import ShownTechniques
from layouts.sized_tracker import sized_tracks
from layouts.style import BOOKLET, style_of
from tests.core.socks import loom, proved, specs
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
from tests.layouts.printed_sizes import (
    PrintedFold,
    PrintedRow,
    charts_of_size,
    sized_pages,
    steps_of_size,
)

SAMPLE = Path("samples/three-looms.toml").read_text()

ROPE = '''
[motif.rope]
rows = """
p k k k k p
p R R l l p
p k k k k p
"""
'''


def pattern_text(sizes: dict[str, tuple[int, int, int]], *, loom: str = "", more: str = "") -> str:
    """A pattern with a rope on the leg; each size has pegs, leg rows and foot rows."""
    tables = "".join(
        f'[[size]]\nname = "{name}"\nloom = {{ pegs = {pegs} }}\n'
        f"leg = {{ rows = {leg_rows} }}\nfoot = {{ rows = {foot_rows} }}\n"
        for name, (pegs, leg_rows, foot_rows) in sizes.items()
    )
    return (
        f'title = "Sized"\n[loom]\nspacing = "3/8 in"\n{loom}\n'
        f'[leg]\npanel = "rope"\n{more}\n{tables}\n{ROPE}'
    )


PATTERNS = {
    "five on three": SAMPLE,
    "two alike but for rows": pattern_text({"S": (32, 12, 21), "M": (32, 15, 24)}),
    "seven on one": pattern_text({f"S{n}": (32, 9 + 3 * n, 21 + 3 * n) for n in range(7)}),
    "seven looms": pattern_text({f"S{n}": (28 + 4 * n, 9, 12) for n in range(7)}),
    "mirrored": pattern_text(
        {"S": (28, 6, 9), "M": (36, 6, 9)}, more="[pair]\nmirror_cables = true"
    ),
    "leftwards": pattern_text(
        {"S": (28, 6, 9), "M": (32, 9, 10)}, loom='working = "right to left"'
    ),
    "odd rings": 'title = "Odd"\n[loom]\nspacing = "5/8 in"\n[cuff]\nleftover = "knit"\n'
    + "".join(
        f'[[size]]\nname = "{name}"\nloom = {{ pegs = {pegs} }}\n'
        f"leg = {{ rows = {leg} }}\nfoot = {{ rows = {foot} }}\n"
        for name, pegs, leg, foot in (("A", 24, 0, 8), ("B", 25, 30, 60), ("C", 31, 3, 5))
    ),
    "long names": pattern_text(
        {f"Name long as allowed{n}"[:19] + str(n): (28 + 4 * (n // 2), 9 + n, 12) for n in range(5)}
    ),
}
PAPER_NAMES = ("a5", "a4", "letter")
OVERLAP_MM = 0.25
"""Two texts may share so much of their boxes both ways, as in the booklet of one sock."""


@cache
def pattern_of(name: str) -> SizedPattern:
    pattern = knit_sizes(PATTERNS[name])
    assert not pattern.failed, pattern.failed
    return pattern


@cache
def booklet_of(name: str, paper: str, mark: str | None = None) -> Document:
    return make_sized_booklet(pattern_of(name), paper=PAPERS[paper], mark=mark)


def names_of(pattern: SizedPattern) -> list[str]:
    return [size.name for size in pattern.sizes]


def cases() -> Iterator[tuple[str, str]]:
    """Every pattern on A5, the sample on every paper."""
    for name in PATTERNS:
        yield name, "a5"
    for paper in PAPER_NAMES[1:]:
        yield "five on three", paper
    yield "long names", "a4"


each_booklet = pytest.mark.parametrize(("name", "paper"), tuple(cases()))


# --- Read back -------------------------------------------------------------------------------


@each_booklet
def test_each_size_reads_back_as_its_own_proved_sock(name: str, paper: str) -> None:
    """Every row, move and pair of each size, out of the page for all, by charts.reader_sizes."""
    pattern = pattern_of(name)
    for size in pattern.sizes:
        steps = steps_of_size(booklet_of(name, paper), size.name, names_of(pattern))
        assert read_steps(steps).events == size.knit.rows.events, size.name


@each_booklet
def test_each_size_reads_its_own_words(name: str, paper: str) -> None:
    pattern = pattern_of(name)
    for size in pattern.sizes:
        printed = steps_of_size(booklet_of(name, paper), size.name, names_of(pattern))
        assert [part.title for part in printed] == [part.title for part in parts_of(size.knit)]
        for part, own in zip(printed, own_steps(size.knit), strict=True):
            assert sorted(part.lines, key=repr) == sorted(own.lines, key=repr), (size.name, part)


def own_steps(knit: Knit) -> list[StepsPart]:
    """The sock's own steps as its pages print them."""
    found = []
    for part in make_steps(knit):
        starts = "the loom is empty" if part.part is Part.CUFF else part.starts.text
        directions: dict[tuple[object, int], str] = {}
        lines = [StepLine(sentence(starts), "Check")]
        for step in part.steps:
            match step:
                case Checkpoint():
                    lines.append(StepLine(sentence(step.text), "Check"))
                case MoveStep(move=Graft(pairs=pairs)):
                    told = " ".join(f"{front}+{back}" for front, back in pairs)
                    lines.append(StepLine(step.text, pairs=told))
                case MoveStep() | ThreadStep():
                    lines.append(StepLine(step.text))
                case RowStep():
                    arrow = "→" if step.to_right else "←"
                    count = f"{step.stitches} stitch" + "es" * (step.stitches != 1)
                    lines.append(StepLine(step.text, step.label, arrow, count * step.shaped))
                    for number in range(step.first, step.last + 1):
                        directions[step.section, number] = arrow
                case RepeatStep():
                    single = step.first == step.last
                    arrow = directions[step.section, step.like_first] if single else ""
                    lines.append(StepLine(step.text, step.label, arrow))
        lines.append(StepLine(sentence(part.ends.text), "Check"))
        lines.append(StepLine(sentence(part.counting), "Count"))
        found.append(StepsPart(part.part.title, tuple(lines)))
    return found


def sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


@each_booklet
def test_each_size_has_a_chart_of_each_part_that_shows_its_rows(name: str, paper: str) -> None:
    """Cell by cell against the proved rows; what is not drawn is named, and is worked so."""
    pattern = pattern_of(name)
    for size in pattern.sizes:
        charts = charts_of_size(booklet_of(name, paper), size.name, names_of(pattern))
        titles = [part.title for part in parts_of(size.knit) if part is not Part.CLOSING]
        assert list(charts) == titles
        for title, lines in charts.items():
            check_chart(size.knit, Part.__members__[_NAMES[title]], size.name, lines)


_NAMES = {part.title: part.name for part in Part}


def check_chart(
    knit: Knit, part: Part, name: str, lines: Sequence[PrintedRow | PrintedFold]
) -> None:
    rows = [event for event in knit.rows.of(*part.sections) if isinstance(event, Row)]
    own = {(row.section.value, label_of(row)): row for row in rows}
    told: set[tuple[str, str]] = set()
    for line in lines:
        if isinstance(line, PrintedRow):
            told.add((line.section, line.label))
            check_row(knit, own[line.section, line.label], line)
            continue
        found = line.of(name)
        if found is not None:
            numbers, like = found
            for number in numbers:
                row = own[line.section, str(number)]
                drawn = own[line.section, str(like[(number - numbers[0]) % len(like)])]
                assert (row.pegs, row.stitches) == (drawn.pegs, drawn.stitches), line
                told.add((line.section, str(number)))
    assert told == set(own), (part, name)


def check_row(knit: Knit, row: Row, printed: PrintedRow) -> None:
    loom = knit.plan.loom
    worked = dict(zip(row.pegs, row.stitches, strict=True))
    assert printed.to_right == (row.direction == loom.rightward)
    shown = [
        (peg, letter)
        for pegs, letter in printed.cells
        for peg in pegs_in(pegs, loom.pegs, loom.rightward)
    ]
    if printed.label == "run on":
        # Once, over the columns that are drawn: a rib's stand for all of its repeats.
        shown = [(pegs_in(pegs, loom.pegs, loom.rightward)[0], one) for pegs, one in printed.cells]
    for peg, letter in shown:
        assert letter == worked.get(peg, letter), (printed, peg)
        assert (letter in " h.") == (peg not in worked), (printed, peg)
    assert set(worked) <= {peg for peg, _ in shown}


def label_of(row: Row) -> str:
    if row.section is Section.PARTIAL:
        return "partial"
    return str(row.number) if row.number != RUN_ON else "run on"


def pegs_in(words: str, ring: int, rightward: int) -> list[int]:
    """ "7", "1,5,9", or "31–2" counted on round the ring as the knitter sees it."""
    if "–" not in words:
        return [int(peg) for peg in words.split(",")]
    first, last = map(int, words.split("–"))
    count = (last - first) * rightward % ring + 1
    return [(first - 1 + rightward * step) % ring + 1 for step in range(count)]


def test_second_socks_read_back_where_their_cables_lean_the_other_way() -> None:
    pattern = pattern_of("mirrored")
    document = booklet_of("mirrored", "a5")
    for size in pattern.sizes:
        printed = steps_of_size(document, size.name, names_of(pattern), second=True)
        assert [part.title for part in printed] == ["Leg", "Gusset and foot"]
        own = {part.title: part for part in own_steps(size.second)}
        for part in printed:
            assert sorted(part.lines, key=repr) == sorted(own[part.title].lines, key=repr)


def test_a_number_made_another_is_noticed() -> None:
    """The reader of these tests would see it: one bracket of the toe, changed for one size."""
    document = booklet_of("five on three", "a5")
    parts = steps_of_size(document, "Large", names_of(pattern_of("five on three")))
    changed = []
    for part in parts:
        lines = tuple(
            replace(line, text=line.text.replace("4–18", "4–17"))
            if (part.title, line.label) == ("Toe", "Row 3")
            else line
            for line in part.lines
        )
        changed.append(replace(part, lines=lines))
    assert tuple(changed) != parts
    with pytest.raises(ReadError, match="Row 3"):
        read_steps(changed)


# --- Sound pages -----------------------------------------------------------------------------


@each_booklet
def test_all_ink_lies_in_the_safe_area(name: str, paper: str) -> None:
    check_safe(booklet_of(name, paper))


@each_booklet
def test_no_text_lies_on_another(name: str, paper: str) -> None:
    check_apart(booklet_of(name, paper))


def check_safe(document: Document) -> None:
    for number, page in enumerate(document.pages, start=1):
        safe = page.safe_box
        outside = [one for one in (*texts_of(page), *paths_of(page)) if not safe.holds(one.box)]
        assert not outside, (number, outside[0])


def check_apart(document: Document) -> None:
    for number, page in enumerate(document.pages, start=1):
        placed = [one for one in texts_of(page) if one.item.face is not Face.SYMBOLS]
        for index, one in enumerate(placed):
            for other in placed[index + 1 :]:
                assert not one.box.meets(other.box, OVERLAP_MM), (number, one.text, other.text)


@each_booklet
def test_the_body_ends_above_the_foot_of_the_page(name: str, paper: str) -> None:
    """Nothing but the page number and what the page is about stands in the bottom margin."""
    document = booklet_of(name, paper)
    margins = style_of(STANDARD_EDITION, PAPERS[paper]).margins(PAPERS[paper], 1)
    for number, page in enumerate(document.pages, start=1):
        foot_mm = page.height_mm - margins.bottom_mm
        low = [one.text for one in texts_of(page) if one.box.bottom_mm > foot_mm + 0.5]
        assert len(low) <= 2, (number, low)


@each_booklet
def test_contents_name_the_pages_where_their_sections_begin(name: str, paper: str) -> None:
    document = booklet_of(name, paper)
    places = {
        anchor.name: number
        for number, page in enumerate(document.pages, start=1)
        for anchor in anchors_of(page)
    }
    contents = [page for page in document.pages if words_of(page).startswith("Contents")]
    links = [(link, words_of(page)) for page in contents for link in links_of(page)]
    assert len(links) == len(places)
    titles = [entry.title for page in document.pages for entry in page.outline]
    assert titles == [link.alt.removeprefix("to ") for link, _ in links]
    for link, words in links:
        title = link.alt.removeprefix("to ")
        number = places[str(link.target)]
        assert re.search(rf"\b{number} ([1-7✓] )?{re.escape(squeezed_words(title))}", words), title
        assert title.split(":")[0] in words_of(document.pages[number - 1])


@pytest.mark.parametrize("name", PATTERNS)
def test_folded_booklets_have_whole_sheets(name: str) -> None:
    assert len(booklet_of(name, "a5").pages) % 4 == 0


@each_booklet
def test_steps_of_a_gallery_face_its_charts(name: str, paper: str) -> None:
    """The page after one of charts alone has the steps, and lies on its right."""
    document = booklet_of(name, paper)
    numbers = {id(page): number for number, page in enumerate(document.pages, start=1)}
    pages = sized_pages(document, names_of(pattern_of(name)))
    for before, after in pairwise(pages):
        same = (before.part, before.sizes, before.second) == (after.part, after.sizes, after.second)
        if same and has_chart(before.page) and not has_steps(before.page) and has_steps(after.page):
            assert numbers[id(before.page)] % 2 == 0
            assert numbers[id(after.page)] == numbers[id(before.page)] + 1


def has_chart(page: Page) -> bool:
    return any(dict(group.attrs).get("line") == "row" for group in groups_of(page))


def has_steps(page: Page) -> bool:
    return any(
        group.role is Role.LI and squares_in(group.items) and re.match("Row", _first_words(group))
        for group in groups_of(page)
    )


def _first_words(group: Group) -> str:
    texts = [text.text for text in texts_in(group)]
    return squeezed_words(" ".join(texts))


# --- Any sizes at all ------------------------------------------------------------------------


@st.composite
def patterns(draw: st.DrawFn) -> SizedPattern:
    """One design on two to seven rings; a size that it does not suit is left out."""
    first = draw(specs(fitting=True))
    count = draw(st.integers(2, 7))
    sizes = []
    for pegs in sorted(draw(st.lists(st.integers(16, 64), min_size=count, max_size=count))):
        spec = replace(
            first,
            title="Any sock",
            loom=loom(pegs, draw(st.sampled_from(["3/8 in", "5/8 in"])), first.loom.working),
            heel=Heel(),
            toe=Toe(first.toe.shape, None, first.toe.short_rows),
            cuff=replace(first.cuff, leftover=Leftover.KNIT),
            leg=replace(first.leg, rows=draw(st.integers(0, 30)), round_start_shift=None),
            foot=replace(first.foot, rows=draw(st.integers(4, 40))),
        )
        with contextlib.suppress(PatternError):
            knit = proved(spec)
            sizes.append(Size(f"No. {len(sizes) + 1}", fit_spec(spec), knit, knit))
    return SizedPattern(tuple(sizes), ())


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(patterns(), st.sampled_from(["a5", "half-letter", "a4"]))
def test_any_sizes_make_sound_pages_that_read_back(pattern: SizedPattern, paper: str) -> None:
    assume(len(pattern.sizes) > 1)
    document = make_sized_booklet(pattern, paper=PAPERS[paper])
    check_safe(document)
    check_apart(document)
    for size in pattern.sizes:
        steps = steps_of_size(document, size.name, names_of(pattern))
        assert read_steps(steps).events == size.knit.rows.events


# --- Whom a page is for ----------------------------------------------------------------------


@each_booklet
def test_every_page_of_a_part_names_its_sizes_in_the_order_of_its_brackets(
    name: str, paper: str
) -> None:
    pattern = pattern_of(name)
    names = names_of(pattern)
    document = booklet_of(name, paper)
    pages = sized_pages(document, names)
    heads = [page for page in document.pages if re.match(r"[1-7] ", words_of(page))]
    assert len(heads) == len(pages)
    for page in pages:
        assert list(page.sizes) == [one for one in names if one in page.sizes]
        assert sized(page.sizes) in words_of(page.page)
        knits = [size.knit for size in pattern.sizes if size.name in page.sizes]
        assert f"{sized([knit.plan.loom.pegs for knit in knits])} pegs" in words_of(page.page)


def test_parts_that_can_be_read_in_brackets_are_for_all_the_others_for_those_of_one_chart() -> None:
    """28 and 36 pegs need no move of the round's start, 32 do: the words of the leg differ."""
    sizes = size_set("five on three")
    apart = {part: part_sets(sizes, part) for part in Part}
    alike = [part for part in Part if not apart[part].apart]
    assert alike == [Part.CUFF, Part.FLAP, Part.TURN, Part.TOE, Part.CLOSING]
    for part in (Part.LEG, Part.FOOT):
        named = [one.names for one in apart[part].sets]
        assert named == [("Child", "Youth"), ("Small", "Medium"), ("Large",)]


def test_rows_in_other_words_are_apart_and_so_are_rows_that_brackets_make_too_long() -> None:
    """32 pegs cross over peg 1 in the words of a round, 28 and 36 do not."""
    assert part_sets(size_set("leftwards"), Part.LEG).apart
    assert not part_sets(size_set("mirrored"), Part.LEG).apart
    text = pattern_text({f"S{n}": (28 + 8 * n, 6, 9) for n in range(5)})
    sizes = set_of(knit_sizes(text))
    assert part_sets(sizes, Part.LEG).apart
    assert not part_sets(sizes.of(range(2)), Part.LEG).apart
    assert not part_sets(sizes, Part.TOE).apart


def set_of(pattern: SizedPattern) -> SizeSet:
    return SizeSet(tuple(names_of(pattern)), tuple(size.knit for size in pattern.sizes))


def test_short_brackets_are_not_broken_over_lines_and_long_ones_may_be() -> None:
    held = merge_texts(("pegs 2–8 knit, 9 purl.", "pegs 2–10 knit, 11 purl."))
    words = "".join(run.text for run in sized_runs(held))
    assert words.split(" ") == [
        "pegs\N{NO-BREAK SPACE}2–8\N{NO-BREAK SPACE}(2–10)",
        "knit,",
        "9\N{NO-BREAK SPACE}(11)",
        "purl.",
    ]
    three = "".join(run.text for run in sized_runs(sized_text((8, 10, 12))))
    assert " " not in three
    eleven = "".join(run.text for run in sized_runs(sized_text(range(100, 111))))
    assert " " in eleven


def size_set(name: str, mark: str | None = None) -> SizeSet:
    pattern = pattern_of(name)
    return SizeSet(tuple(names_of(pattern)), tuple(size.knit for size in pattern.sizes), mark)


def test_a_bracket_never_holds_more_than_five_numbers() -> None:
    for name in ("seven on one", "seven looms"):
        pattern = pattern_of(name)
        pages = sized_pages(booklet_of(name, "a5"), names_of(pattern))
        stepped = [page for page in pages if has_steps(page.page)]
        assert stepped
        for page in stepped:
            brackets = re.findall(r"\(([\d–, →←]+)\)", words_of(page.page))
            assert all(bracket.count(",") < MOST_IN_BRACKETS - 1 for bracket in brackets)


def test_seven_sizes_alike_in_a_part_share_its_page_without_brackets() -> None:
    pages = sized_pages(booklet_of("seven on one", "a5"), names_of(pattern_of("seven on one")))
    toes = [page for page in pages if page.part == "Toe"]
    assert {len(page.sizes) for page in toes} == {7}
    assert all("(" not in words_of(page.page).split("pegs", 1)[1] for page in toes)


# --- Charts that are shared ------------------------------------------------------------------


def test_sizes_on_one_loom_share_a_chart_that_tells_how_far_each_repeats() -> None:
    """Legs of 12 and 15 rows of a rope of 3: rows 1-3, then 3 and 4 times more."""
    knits = size_set("two alike but for rows").knits
    assert chart_groups(knits, Part.LEG) == ((0, 1),)
    chart = make_shared_chart(knits, Part.LEG)
    assert [line.label for line in chart.lines[:3]] == ["1", "2", "3"]  # type: ignore[union-attr]
    (fold,) = chart.lines[3:]
    assert isinstance(fold, SharedFold)
    assert fold.text == "rows 4–12 (4–15): repeat rows 1–3, 3 (4) times more"


def test_rows_that_begin_a_group_once_more_are_told_as_the_steps_tell_them() -> None:
    """Legs of 13 and 14 rows end one and two rows into the rope of 3."""
    text = pattern_text({"S": (32, 12, 9), "M": (32, 13, 9), "L": (32, 14, 9)})
    knits = [size.knit for size in knit_sizes(text).sizes]
    chart = make_shared_chart(knits, Part.LEG)
    folds = [line.text for line in chart.lines if isinstance(line, ChartFold)]
    assert folds == [
        "rows 4–12: repeat rows 1–3",
        "row – (13, –): as row 1",
        "rows – (–, 13–14): as rows 1–2",
    ]
    (leg,) = (
        one for one in make_sized_steps(tuple(knits), ("S", "M", "L")) if one.part is Part.LEG
    )
    told = [(step.label.text, step.text.text) for step in leg.steps if step.boxes > 1 or step.only]
    assert told == [
        ("Rows 4–12", "repeat rows 1–3, 3 times more."),
        ("Row – (13, –)", "work as row 1."),
        ("Rows – (–, 13–14)", "work as rows 1–2."),
    ]


def test_a_size_too_short_to_repeat_has_a_dash_in_the_fold() -> None:
    text = pattern_text({"S": (32, 3, 9), "M": (32, 6, 9)})
    knits = [size.knit for size in knit_sizes(text).sizes]
    chart = make_shared_chart(knits, Part.LEG)
    fold = chart.lines[-1]
    assert isinstance(fold, SharedFold)
    assert fold.text == "rows – (4–6): as rows 1–3"
    assert (chart.up[-1].first_line, chart.up[-1].last_line) == (0, 2)


def test_sizes_on_other_pegs_share_no_chart() -> None:
    knits = size_set("seven looms").knits
    assert chart_groups(knits, Part.TOE, fold_up=False) == tuple((index,) for index in range(7))
    with pytest.raises(ValueError, match="no common chart"):
        make_shared_chart(knits[:2], Part.TOE)


# --- The pages around the parts --------------------------------------------------------------


def test_the_cover_names_every_size_with_its_loom_foot_and_round() -> None:
    cover = words_of(booklet_of("five on three", "a5").pages[0])
    assert "A sock in 5 sizes for round looms of 28, 32 and 36 pegs, 3/8 in apart" in cover
    assert "Child 28 pegs 19.5 cm (7⅝ in)" in cover
    assert "Large 36 pegs 26.7 cm (10½ in)" in cover
    for size in pattern_of("five on three").sizes:
        assert size.name in cover
    assert "Not printed" not in cover


def test_brackets_are_explained_with_a_line_for_ones_own_size() -> None:
    """28, 28, 32, 32 and 36 pegs: the third size's number is the second in the bracket."""
    words = words_of_document(booklet_of("five on three", "a5"))
    assert "My size:" in words
    assert "Every bracket holds one number a size, smallest first: Child (Youth, Small" in words
    assert "Small the second number in the bracket" in words
    assert "For instance 28 (28, 32, 32, 36) pegs: in size Small 32 ." in words
    assert "circle your number in every bracket" in words


def test_every_number_of_the_plan_is_printed_for_every_size() -> None:
    """Each row of the plan's tables: its name, then its number, which is read for each size."""
    pattern = pattern_of("five on three")
    rows = [
        [squeezed_words(" ".join(text.text for text in texts_in(cell))) for cell in cells_of(group)]
        for page in booklet_of("five on three", "a5").pages
        if words_of(page).startswith("The plan")
        for group in groups_of(page)
        if group.role is Role.TR
    ]
    printed = {cells[0]: cells[1:] for cells in rows if len(cells) > 2}
    for index, size in enumerate(pattern.sizes):
        for line in size.knit.plan.lines:
            value, *_ = printed[line.name[:1].upper() + line.name[1:]]
            assert unsize(value, index, len(pattern.sizes)) == line.value, line.name


def cells_of(row: Group) -> list[Group]:
    return [
        item for item in row.items if isinstance(item, Group) and item.role in (Role.TH, Role.TD)
    ]


def test_one_loom_with_other_zones_has_a_map_of_its_own() -> None:
    text = pattern_text({"S": (36, 6, 9), "M": (36, 9, 9), "Wide": (36, 9, 12)})
    text = text.replace('name = "Wide"', 'name = "Wide"\nheel = { pegs = 24 }')
    sizes = set_of(knit_sizes(text))
    assert [one.names for one in map_groups(sizes)] == [("S", "M"), ("Wide",)]
    marked = SizeSet(sizes.names, sizes.knits, "Wide")
    assert [one.names for one in map_groups(marked)] == [("Wide",)]


def test_every_ring_has_its_map_and_its_zones() -> None:
    """28 pegs: heel 18, centre 6; 32 moved by one: heel 2-21; 36: heel 22, centre 8."""
    document = booklet_of("five on three", "a5")
    rings = [
        group.alt
        for page in document.pages
        for group in groups_of(page)
        if group.role is Role.FIGURE and "the first round runs" in group.alt
    ]
    assert [re.search(r"\d+ pegs", alt)[0] for alt in rings] == [  # type: ignore[index]
        "28 pegs",
        "32 pegs",
        "36 pegs",
    ]
    words = words_of_document(document)
    assert "Pegs of Child (Youth) Small (Medium) Large" in words
    assert "Gusset 1–6, 13–18 2–8, 15–21 1–7, 16–22" in words
    assert "Toe 3–16 4–19 3–20" in words


def test_the_graft_is_ticked_after_all_that_tells_how_to_begin_it() -> None:
    words = words_of_document(booklet_of("five on three", "a5"))
    closing = words[words.index("onto the back needle, in this order") :]
    places = [
        closing.index(told)
        for told in ("Take a loop off", "The two needles", "Cut the yarn", "Knitwise", "Graft ")
    ]
    assert places == sorted(places)


def test_a_key_of_more_crosses_than_a_page_holds_goes_on_over_the_next() -> None:
    """32 kinds of cross: one to four loops over one to four, to either side."""
    rows = [
        f"{cross}{'k' * (8 - len(cross))}"
        for left in range(1, 5)
        for right in range(1, 5)
        for cross in ("R" * left + "l" * right, "r" * left + "L" * right)
    ]
    motif = '[motif.rope]\nrows = """\n' + "\n".join(rows) + '\n"""\n'
    text = pattern_text({"S": (40, 32, 9), "M": (44, 32, 9)}).replace(ROPE, motif)
    document = make_sized_booklet(knit_sizes(text), paper=PAPERS["a5"])
    keys = [page for page in document.pages if words_of(page).startswith("Symbol key")]
    assert len(keys) > 1
    words = " ".join(map(words_of, keys))
    assert len(re.findall(r"[Cc]ross (?:right|left)", words)) >= 32
    check_safe(document)
    check_apart(document)


def test_the_size_table_is_printed_whole() -> None:
    words = words_of_document(booklet_of("five on three", "a5"))
    for label in ("foot length", "round leg and foot", "heel to tip", "floor to top", "yarn"):
        assert label in words


def test_tick_sheet_counts_every_row_of_every_size() -> None:
    """Toes of 14, 16 and 18 pegs: sides of 4, 5 and 6, so 16, 20 and 24 rows."""
    parts = sized_tracks(size_set("five on three"))
    tracks = {track.name: track for part in parts for track in part}
    assert tracks["Toe"].counts == (16, 16, 20, 20, 24)
    assert tracks["Heel flap"].counts == (12, 12, 14, 14, 14)
    assert tracks["Pairs grafted"].counts == (14, 14, 16, 16, 18)
    assert tracks["lift bars"].counts == (2, 2, 2, 2, 2)
    for name, section in (("Leg", "leg"), ("Foot", "foot")):
        own = [
            sum(
                isinstance(event, Row) and event.section.value == section and event.number > 0
                for event in size.knit.rows.events
            )
            for size in pattern_of("five on three").sizes
        ]
        assert tracks[name].counts == tuple(own)


def test_a_heavy_stroke_ends_the_boxes_of_each_size() -> None:
    sizes = size_set("five on three")
    counts = (7, 8, 8, 10, 10)
    assert {end: stop.names for end, stop in stops_of(counts, sizes).items()} == {
        7: ("Child",),
        8: ("Youth", "Small"),
        10: ("Medium", "Large"),
    }
    group, height_mm = numbered_boxes(
        counts, sizes, first=1, block=10, width_mm=113.0, style=BOOKLET
    )
    assert squares_in(group.items) == 10
    page = Page(113.0, height_mm, (group,))
    side_mm = BOOKLET.tick_box_mm + 0.8
    strokes = [one for one in paths_of(page) if one.item.stroke_pt == STOP_PT]
    (path,) = (one.item for one in strokes)
    ends_mm = sorted({round(segment[0], 3) for segment in path.segments})
    assert ends_mm == [round(side_mm * count, 3) for count in (7, 8, 10)]
    words = {one.text: one.box for one in texts_of(page) if not one.text.isdigit()}
    assert set(words) == {"Child", "Youth, Small", "Medium, Large"}
    for names, count in (("Child", 7), ("Youth, Small", 8), ("Medium, Large", 10)):
        assert abs(words[names].right_mm - side_mm * count) < 1.5


def test_sizes_that_tick_alike_have_no_strokes() -> None:
    sizes = size_set("five on three")
    assert stops_of((5,) * 5, sizes) == {}
    assert {end: stop.names for end, stop in stops_of((0, 0, 1, 1, 0), sizes).items()} == {
        1: ("Small", "Medium")
    }


def test_each_technique_is_shown_to_every_size_that_needs_it() -> None:
    """Its title stands on a page that names the size, before or at the part that needs it."""
    names = names_of(pattern_of("five on three"))
    pages = sized_pages(booklet_of("five on three", "a5"), names)
    for title in ("Cast on", "Purl", "Slip", "Knit and join", "Lift the bar"):
        shown = [
            page.sizes
            for page in pages
            for group in groups_of(page.page)
            if group.role is Role.H3 and _first_words(group) == title
        ]
        assert sorted({one for sizes in shown for one in sizes}) == sorted(names), title
        assert len(shown) == len(set(shown)), title


def test_a_technique_that_some_sizes_have_seen_is_shown_to_the_others() -> None:
    sizes = size_set("five on three")
    shown = ShownTechniques()
    first, others = sizes.of((0, 1)), sizes.of((2, 3, 4))
    assert [one.title for one in shown.new(first, Part.FLAP)] == ["Knit (flat)", "Slip"]
    shown.note(first, Part.FLAP)
    assert shown.new(first, Part.FLAP) == ()
    assert [one.title for one in shown.new(others, Part.FLAP)] == ["Knit (flat)", "Slip"]
    assert [one.title for one in shown.new(sizes, Part.FLAP)] == ["Knit (flat)", "Slip"]


def test_the_needles_name_the_first_and_the_last_pair_of_every_size() -> None:
    """Toes of 14, 14, 16, 16 and 18 pegs from peg 3, 3, 4, 4 and 3; the instep's loops beside them.

    The tail is four times the toe's width at 15 1/6 stitches in 10 cm, up to the next 5 cm: 37, 42
    and 47 cm.
    """
    words = words_of_document(booklet_of("five on three", "a5"))
    for pegs in (
        "3 (3, 4, 4, 3)",
        "16 (16, 19, 19, 20)",
        "2 (2, 3, 3, 2)",
        "17 (17, 20, 20, 21)",
    ):
        assert pegs in words
    assert "Cut the yarn, 40 (40, 45, 45, 50) cm, or 15¾ (15¾, 17¾, 17¾, 19¾) in, long" in words
    assert "Drawn with the peg numbers" not in words
    marked = words_of_document(booklet_of("five on three", "a5", "Medium"))
    assert "Drawn with the peg numbers of size Medium." in marked


def test_the_cautions_are_named_with_their_page_before_the_first_row() -> None:
    document = booklet_of("five on three", "a5")
    gather = next(page for page in document.pages if words_of(page).startswith("What to gather"))
    told = re.search(r"tight cuffs: cautions on page (\d+)", words_of(gather))
    assert told
    assert "Cautions" in words_of(document.pages[int(told[1]) - 1])


def test_a_technique_names_the_pegs_of_every_size() -> None:
    """The last peg of the cast-on: 28, 28, 32, 32 and 36."""
    (cast_on, *_) = ShownTechniques().new(size_set("five on three"), Part.CUFF)
    moves = ["".join(run.text for run in move) for move in cast_on.moves]  # type: ignore[union-attr]
    assert "Stop after peg 28 (28, 32, 32, 36)." in squeezed_words(" ".join(moves))


# --- One size marked -------------------------------------------------------------------------


def test_the_numbers_of_a_marked_size_are_bold() -> None:
    """The fourth size's flap of 14 rows on pegs 2-21: 2-3 are repeated 5 times from row 4."""
    document = booklet_of("five on three", "a5", "Medium")
    steps = [
        squeezed_words("".join(_starred(text) for text in texts_in(group)))
        for page in document.pages
        for group in groups_of(page)
        if group.role is Role.BODY
    ]
    flap = "*Row 2* *←* peg 18 (18, 21, *21*, 22) slip, 17–1 (17–1, 20–2, *20–2*, 21–1) knit."
    assert flap in steps
    again = "Rows 4–11 (4–11, 4–13, *4–13*, 4–13) repeat rows 2–3, 4 (4, 5, *5*, 5)"
    assert [one for one in steps if one.startswith(again)]


def _starred(text: Text) -> str:
    return f"*{text.text}*" if text.face is Face.BOLD and text.text.strip() else text.text


def test_a_marked_booklet_leaves_out_what_is_for_other_sizes_alone() -> None:
    names = names_of(pattern_of("five on three"))
    document = booklet_of("five on three", "a5", "Medium")
    pages = sized_pages(document, names)
    assert all("Medium" in page.sizes for page in pages)
    assert {page.sizes for page in pages if page.part == "Leg"} == {("Small", "Medium")}
    captions = {
        _first_words(group)
        for page in pages
        for group in groups_of(page.page)
        if group.role is Role.CAPTION
    }
    assert captions
    assert all("Medium" in caption or "size Medium" in caption for caption in captions)
    assert len(document.pages) < len(booklet_of("five on three", "a5").pages)
    assert "This copy is marked for size Medium." in words_of_document(document)
    check_safe(document)
    check_apart(document)


# --- Failed sizes, one size, refusals --------------------------------------------------------

HALF_GOOD = pattern_text({"S": (28, 6, 9), "Tiny": (6, 6, 9), "M": (32, 6, 9)})


def test_failed_sizes_are_named_on_the_cover_with_the_reason_and_nowhere_as_if_good() -> None:
    pattern = knit_sizes(HALF_GOOD)
    assert [size.name for size in pattern.failed] == ["Tiny"]
    document = make_sized_booklet(pattern, paper=PAPERS["a5"])
    cover, *others = document.pages
    assert "Not printed: Tiny. loom.pegs: 6 is too small." in words_of(cover)
    assert "A sock in 2 sizes" in words_of(cover)
    told = [words_of(page) for page in others if "Tiny" in words_of(page)]
    assert all(words.startswith("Sizes") and "cannot be made" in words for words in told)


def test_many_long_reasons_stay_on_the_cover() -> None:
    pattern = knit_sizes(HALF_GOOD)
    failed = tuple(
        FailedSize(f"Size {n}", (Problem(f"reason {n % 3} " * 60, "leg.rows"),)) for n in range(30)
    )
    document = make_sized_booklet(SizedPattern(pattern.sizes, failed), paper=PAPERS["half-letter"])
    check_safe(document)
    check_apart(document)
    words = words_of(document.pages[0])
    assert all(f"Size {n}" in words for n in range(30))


def test_one_size_alone_is_its_own_booklet_with_its_name_on_the_cover() -> None:
    pattern = knit_sizes(HALF_GOOD, only="M")
    document = make_sized_booklet(pattern, paper=PAPERS["a5"])
    (size,) = pattern.sizes
    alone = make_booklet(size.knit, size.second, paper=PAPERS["a5"])
    assert document.pages[1:] == alone.pages[1:]
    assert "M 32 pegs" in words_of(document.pages[0])


def test_a_pattern_without_sizes_is_the_booklet_of_its_sock() -> None:
    text = 'title = "One"\n[loom]\npegs = 24\nspacing = "5/8 in"\n'
    pattern = knit_sizes(text)
    (size,) = pattern.sizes
    assert make_sized_booklet(pattern, paper=PAPERS["a5"]) == make_booklet(
        size.knit, size.second, paper=PAPERS["a5"]
    )


def test_a_sock_named_like_a_page_keeps_its_cover() -> None:
    text = pattern_text({"S": (28, 6, 9), "M": (32, 6, 9)}).replace("Sized", "Contents")
    document = make_sized_booklet(knit_sizes(text), paper=PAPERS["a5"])
    assert "A sock in 2 sizes" in words_of(document.pages[0])
    assert "Cast on and cuff" in words_of(document.pages[1])


def test_what_cannot_be_printed_is_refused() -> None:
    pattern = pattern_of("mirrored")
    with pytest.raises(ValueError, match="no size 'XL' to mark among S, M"):
        make_sized_booklet(pattern, paper=PAPERS["a5"], mark="XL")
    with pytest.raises(ValueError, match="needs a size that can be made"):
        make_sized_booklet(SizedPattern((), ()), paper=PAPERS["a5"])
    with pytest.raises(DoesNotFitError, match="128 x 180 mm"):
        make_sized_booklet(pattern, paper=read_paper("a6"))


def test_a_level_sheet_is_stood_upright() -> None:
    pattern = pattern_of("mirrored")
    level = make_sized_booklet(pattern, paper=PAPERS["a5"].level)
    assert level == booklet_of("mirrored", "a5")


def test_the_pdf_is_written_with_its_outline() -> None:
    written = write_pdf(booklet_of("five on three", "a5"))
    assert written.startswith(b"%PDF")


def test_equal_patterns_give_equal_booklets_whatever_the_hash_seed() -> None:
    script = (
        "from hashlib import sha256\n"
        "from pathlib import Path\n"
        "from charts.sizes import knit_sizes\n"
        "from layouts.paper import PAPERS\n"
        "from layouts.sized_booklet import make_sized_booklet\n"
        "pattern = knit_sizes(Path('samples/three-looms.toml').read_text())\n"
        "text = repr(make_sized_booklet(pattern, paper=PAPERS['a5'], mark='Small'))\n"
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
