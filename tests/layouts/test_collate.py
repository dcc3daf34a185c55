"""PDFs bound into one, read back by libraries that did not write them."""

from __future__ import annotations

import tracemalloc
from functools import cache
from io import BytesIO

import pikepdf
import pytest
from pypdf import PdfReader

from layouts.collate import Collation
from layouts.faces import Face
from layouts.pdf import write_pdf
from layouts.scene import Document, Page, Text


@cache
def pdf(words: str, pages: int = 1, alphabet: str = "") -> bytes:
    """A PDF that says the words on every page."""
    items = (
        Text(20.0, 30.0, words),
        Text(20.0, 50.0, words, Face.BOLD),
        Text(20.0, 70.0, "kp", Face.SYMBOLS),
    )
    page = Page(210.0, 297.0, items)
    return write_pdf(Document((page,) * pages, words), alphabet=alphabet)


ALPHABET = "".join(map(chr, range(32, 127)))


def bound(*pdfs: bytes, titles: tuple[str, ...] = ()) -> bytes:
    file = BytesIO()
    collation = Collation(file, title="Everything", author="A class")
    for index, one in enumerate(pdfs):
        title = titles[index] if titles else f"Number {index + 1}"
        collation.append(one, bookmark=title)
    collation.finish()
    return file.getvalue()


def test_pages_stand_in_order_with_their_words() -> None:
    file = bound(pdf("first", 3), pdf("second", 2), pdf("third"))
    texts = [page.extract_text().split()[0] for page in PdfReader(BytesIO(file), strict=True).pages]
    assert texts == ["first"] * 3 + ["second"] * 2 + ["third"]


def test_append_tells_the_first_page() -> None:
    collation = Collation(BytesIO(), title="x")
    assert [collation.append(pdf("a", count), bookmark="a") for count in (3, 2, 1)] == [1, 4, 6]
    assert collation.page_count == 6


def test_each_pdf_has_a_bookmark_at_its_first_page() -> None:
    names = ("Student A", "Größe (é) \\", "Żółć")
    reader = PdfReader(BytesIO(bound(pdf("a", 2), pdf("b", 2), pdf("c"), titles=names)))
    found = [(one.title, reader.get_destination_page_number(one)) for one in reader.outline]
    assert found == list(zip(names, (0, 2, 4), strict=True))


def test_pages_keep_their_size_and_their_content() -> None:
    source = pdf("content", 2)
    with pikepdf.open(BytesIO(source)) as old, pikepdf.open(BytesIO(bound(source))) as new:
        for before, after in zip(old.pages, new.pages, strict=True):
            assert list(before.mediabox) == list(after.mediabox)
            (content,) = after.Contents
            assert before.Contents.read_bytes() == content.read_bytes()


@pytest.mark.parametrize("count", [1, 63, 64, 65, 200])
def test_any_number_of_pages_is_found_through_the_page_tree(count: int) -> None:
    file = bound(*[pdf("page")] * count)
    with pikepdf.open(BytesIO(file)) as read:
        assert len(read.pages) == count
        assert read.check_pdf_syntax() == []
        assert read.Root.Pages.Count == count


def test_fonts_of_one_alphabet_are_written_once() -> None:
    def fonts(file: bytes) -> int:
        with pikepdf.open(BytesIO(file)) as read:
            return sum(
                isinstance(one, pikepdf.Stream) and "/Length1" in one for one in read.objects
            )

    apart = bound(pdf("some words"), pdf("other letters"))
    alike = bound(pdf("some words", 1, ALPHABET), pdf("other letters", 1, ALPHABET))
    assert fonts(apart) == 5  # the symbols are the same two
    assert fonts(alike) == 3


def test_metadata_names_the_whole() -> None:
    reader = PdfReader(BytesIO(bound(pdf("a"))))
    assert reader.metadata is not None
    assert (reader.metadata.title, reader.metadata.author) == ("Everything", "A class")
    assert reader.metadata.creation_date is None


def test_same_pdfs_same_bytes_and_others_another_name() -> None:
    first, again, other = bound(pdf("a")), bound(pdf("a")), bound(pdf("b"))
    assert first == again
    ids = [PdfReader(BytesIO(one)).trailer["/ID"][0] for one in (first, other)]
    assert ids[0] != ids[1]


def test_nothing_bound_is_no_pdf() -> None:
    with pytest.raises(ValueError, match="needs a page"):
        Collation(BytesIO(), title="x").finish()


def test_what_is_no_pdf_is_refused() -> None:
    with pytest.raises(pikepdf.PdfError):
        Collation(BytesIO(), title="x").append(b"no PDF", bookmark="x")


class _Nowhere(BytesIO):
    """Takes everything and keeps nothing."""

    def write(self, data: object) -> int:
        del data
        return 0


def test_memory_grows_by_a_trifle_a_page_however_many_there_are() -> None:
    one = pdf("memory", 10, ALPHABET)
    collation = Collation(_Nowhere(), title="x")
    for number in range(20):
        collation.append(one, bookmark=f"Number {number}")
    tracemalloc.start()
    before, _ = tracemalloc.get_traced_memory()
    for number in range(100):
        collation.append(one, bookmark=f"Number {number}")
    after, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    # 1,000 pages of some 400 bytes each in the file; 8 bytes an object, 2 objects a page.
    assert after - before < 100_000
