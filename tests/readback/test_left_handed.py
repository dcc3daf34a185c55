"""Left-handed booklets read from their PDF and mirrored again: they are the socks' own."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from io import BytesIO

import pypdf
import pytest

from charts.reader import ChartRowLine
from charts.rows import Event, Row
from layouts.booklet import make_booklet
from layouts.paper import PAPERS
from layouts.scene import Document
from tests.layouts.placed_items import words_of, words_of_document
from tests.readback.expected import differences
from tests.readback.socks import PrintedSock, left_handed_sock, printed_sock

NAMES = ("ember", "reed-bank", "centred cable on 40", "mirrored pair on 36")

IN_A_MIRROR = str.maketrans("RrLl/\\", "LlRr\\/")


@pytest.fixture(params=NAMES, scope="session")
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="session")
def written(name: str) -> PrintedSock:
    return printed_sock(name)


@pytest.fixture(scope="session")
def left(name: str) -> PrintedSock:
    return left_handed_sock(name)


def mirrored(event: Event) -> Event:
    """As a mirror shows it; pegs keep their numbers."""
    if isinstance(event, Row):
        return replace(event, stitches=event.stitches.translate(IN_A_MIRROR))
    return event


def test_it_tells_all_of_its_own_sock(left: PrintedSock) -> None:
    read = left.read
    for knit, steps, second in (
        (left.first, read.steps, False),
        (left.second, read.second_steps, True),
    ):
        parts, charts = read.parts_of(second=second), read.charts_of(second=second)
        assert differences(knit, parts=parts, steps=steps, charts=charts) == []


def test_its_steps_mirrored_again_are_those_of_the_sock(
    written: PrintedSock, left: PrintedSock
) -> None:
    assert left.read.steps.ring.pegs == written.read.steps.ring.pegs
    assert left.read.steps.ring.working is not written.read.steps.ring.working
    assert tuple(map(mirrored, left.read.steps.events)) == written.read.steps.events
    assert tuple(map(mirrored, left.read.second_steps.events)) == written.read.second_steps.events


def test_its_charts_mirrored_again_are_those_of_the_sock(
    written: PrintedSock, left: PrintedSock
) -> None:
    for second in (False, True):
        rows = tuple(map(mirrored, left.read.chart_rows(second=second)))
        assert rows == written.read.chart_rows(second=second)


def test_a_chart_is_seen_in_the_mirror_column_by_column(
    written: PrintedSock, left: PrintedSock
) -> None:
    """Peg numbers the other way round; cells too, with leans and cables swapped; and numbers and
    counts of the rows on the other side."""
    compared = 0
    for plain, mirror in zip(written.read.charts, left.read.charts, strict=True):
        assert (plain.title, plain.second) == (mirror.title, mirror.second)
        if len(plain.pieces) > 1 or len(mirror.pieces) > 1:
            continue
        (piece,), (other,) = plain.pieces, mirror.pieces
        assert [label.split("–")[::-1] for label in other.labels[::-1]] == [
            label.split("–") for label in piece.labels
        ]
        lines = [line for line in piece.lines if isinstance(line, ChartRowLine)]
        others = [line for line in other.lines if isinstance(line, ChartRowLine)]
        assert [_in_a_mirror(line) for line in others] == lines
        compared += len(lines)
    assert compared > 30


def _in_a_mirror(line: ChartRowLine) -> ChartRowLine:
    return replace(
        line,
        cells=line.cells[::-1].translate(IN_A_MIRROR),
        left_label=line.right_label.replace("←", "→"),
        right_label=line.left_label.replace("→", "←"),
    )


# Words.

NO_SIDES = ("is left", "left over", "right side", "Left, right")
"""Where left and right are no sides of the ring: what remains, the right side of the fabric, and
the name of the words themselves."""
PROOF = re.compile(r"Proof [0-9A-Z]{4}-[0-9A-Z]{4}")
"""Each sock has its own."""
EDITION = re.compile(r"·? ?[Ll]eft-handed edition(?: , worked from right to left)?")
SIDE = re.compile(r"\b(?:left|right|Left|Right)\b|[←→]")
OTHER = {
    "left": "right",
    "right": "left",
    "Left": "Right",
    "Right": "Left",
    "←": "→",
    "→": "←",
}


def all_words(document: Document) -> Counter[str]:
    """Every word printed, but for the name of the edition and the proof; no numbers: charts in
    pieces may show other pegs twice."""
    text = PROOF.sub("", EDITION.sub("", words_of_document(document)))
    for phrase in NO_SIDES:
        text = text.replace(phrase, re.sub(r"\W+", "_", phrase))
    return Counter(re.findall(r"[^\W\d]+|[←→]", text))


def exchanged(words: Counter[str]) -> Counter[str]:
    found: Counter[str] = Counter()
    for word, count in words.items():
        found[OTHER.get(word, word) if SIDE.fullmatch(word) else word] += count
    return found


@pytest.mark.parametrize("sock", [*NAMES, "right to left on 25", "charts in pieces on 96"])
def test_every_word_of_the_booklet_is_the_same_but_left_for_right(sock: str) -> None:
    """Titles, notes, techniques, drawings, charts and grafting: counted over the whole booklet, on
    A5, where longer and shorter words for the sides break these pages alike.

    The last two are written for the left hand, and their mirror images are for the right one.
    """
    plain, mirror = (
        all_words(make_booklet(one.first, one.second, paper=PAPERS["a5"]))
        for one in (printed_sock(sock), left_handed_sock(sock))
    )
    assert mirror == exchanged(plain)
    assert plain["left"] != plain["right"] or plain["→"] != plain["←"]


# Which edition it is.


def test_the_cover_every_page_and_the_metadata_name_the_edition(
    written: PrintedSock, left: PrintedSock
) -> None:
    cover, *others = map(words_of, left.document.pages)
    assert "Left-handed edition , worked from right to left" in cover
    assert all("left-handed edition" in words for words in others)
    reader = pypdf.PdfReader(BytesIO(left.pdf))
    assert reader.metadata is not None
    assert str(reader.metadata.subject).endswith("; left-handed edition")
    assert "handed" not in words_of_document(written.document)
    plain = pypdf.PdfReader(BytesIO(written.pdf))
    assert plain.metadata is not None
    assert "handed" not in str(plain.metadata.subject)


def test_the_darning_needle_goes_the_other_way(written: PrintedSock, left: PrintedSock) -> None:
    """Kitchener stitch in a mirror: the words' counts alone would not tell."""
    there = "Knitwise : into the loop from left to right. Purlwise : from right to left."
    back = "Knitwise : into the loop from right to left. Purlwise : from left to right."
    plain, mirror = words_of_document(written.document), words_of_document(left.document)
    assert there in plain
    assert back in mirror
    assert back not in plain
    assert there not in mirror
    assert "the yarn at the right end of the back needle" in plain
    assert "the yarn at the left end of the back needle" in mirror
