"""Rebuilds what the samples print: booklets, cards, charts, and pictures of pages for the README.

    .venv/bin/python samples/build.py [FOLDER]

Everything goes beside the patterns, the pictures to `gallery`, or the same into another folder.
Equal patterns give equal files.  Pictures need the extra `pegfolio[png]`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout, suppress
from io import BytesIO, StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final, NamedTuple

import pypdfium2
from PIL import Image

from charts.parts import Part
from charts.sizes import knit_sizes, size_names
from layouts.booklet import make_booklet
from layouts.booklet_sheets import fold_booklet
from layouts.card import make_card
from layouts.card_sheets import gang_cards
from layouts.chart_page import make_chart_page
from layouts.commands.imprint import Source, read_imprint
from layouts.commands.pattern import Asked, open_text
from layouts.commands.program import program
from layouts.edition import Edition, PrintSize
from layouts.output import write_file
from layouts.paper import PAPERS
from layouts.pdf import Tagging, write_pdf
from layouts.scene import Anchor, Document
from layouts.size_table import make_size_table
from layouts.sized_booklet import make_sized_booklet
from layouts.svg import write_svg

SAMPLES: Final = Path(__file__).resolve().parent
NOT_PATTERNS: Final = ("looms.toml",)
"""Samples that describe looms, not socks."""
PAPER: Final = PAPERS["a5"]
CHART_PART: Final = Part.LEG
"""The part whose chart stands alone: the one with the motif."""
CARD_PART: Final = Part.TURN
CARDS: Final = (Part.TURN, Part.TOE)
"""Those on the sheet to cut."""

GALLERY: Final = "gallery"
DPI: Final = 80
CHART_DPI: Final = 110
"""The README's picture is read, the others are looked at."""
SHEET_DPI: Final = 50
"""Of whole sheets of A4."""
GREYS: Final = 16
SPINE_DOTS: Final = 2
"""A grey line between two pages that face each other."""


class Picture(NamedTuple):
    """A page of a booklet for the gallery."""

    anchor: str
    """The name of the place in the contents that it begins; empty for the cover."""
    facing: bool = False
    """Whether the page beside it is shown too."""


PICTURES: Final = {
    "reed-bank": (Picture(""), Picture("loom"), Picture("leg", facing=True)),
    "ember": (Picture("closing", facing=True),),
    "millstream": (Picture("plan"), Picture("toe", facing=True)),
}


def main() -> None:
    """Writes every file, and says so."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else SAMPLES
    (folder / GALLERY).mkdir(parents=True, exist_ok=True)
    for name, data in files():
        write_file(folder / name, data)
        print(f"{folder / name}: {len(data) / 1000:.0f} kB")


def files() -> Iterator[tuple[str, bytes]]:
    """Name and bytes of each file that the samples print, pattern after pattern."""
    for path in sorted(SAMPLES.glob("*.toml")):
        if path.name in NOT_PATTERNS:
            continue
        if size_names(path.read_text(encoding="utf-8")) == ("",):
            yield from _of_one_sock(path)
        else:
            yield from _of_sizes(path)
    yield from _of_editions(SAMPLES / "ember.toml")
    yield from _of_sheets(SAMPLES / "reed-bank.toml")
    yield from _of_class(SAMPLES / "three-looms.toml", SAMPLES / "roster.csv")


def _of_one_sock(path: Path) -> Iterator[tuple[str, bytes]]:
    """Booklet, card and chart, under the names that the commands give them, and pictures."""
    name, source = path.stem, Source(path.name, path, path.read_text(encoding="utf-8"))
    pattern = open_text(source.name, source.path, source.text)
    imprint = read_imprint(source, pattern.first.plan.spec, copy_line="")
    document = make_booklet(pattern.first, pattern.second, paper=PAPER, imprint=imprint)
    booklet = write_pdf(document)
    yield f"{name}-booklet.pdf", booklet
    card = write_pdf(make_card(pattern.first, CARD_PART))
    yield f"{name}-{CARD_PART.value}-card.pdf", card
    page = make_chart_page(pattern.first, CHART_PART)
    yield f"{name}-{CHART_PART.value}-chart.svg", _svg(page)
    for picture in PICTURES[name]:
        shown = _pages_shown(document, booklet, picture)
        yield _picture_name(name, picture.anchor or "cover"), shown
    if name == "reed-bank":
        turn = write_pdf(make_chart_page(pattern.first, Part.TURN))
        yield _picture_name(name, Part.TURN.value), _png(_drawn(turn, [0], CHART_DPI))
        yield _picture_name(name, "turn-card"), _png(_drawn(card, [0], DPI))


def _of_sizes(path: Path) -> Iterator[tuple[str, bytes]]:
    """The table of all sizes, and the booklet for all of them."""
    sized = knit_sizes(path.read_text(encoding="utf-8"))
    yield f"{path.stem}-booklet.pdf", write_pdf(make_sized_booklet(sized, paper=PAPER))
    table = write_pdf(make_size_table(sized, paper=PAPERS["a4"]))
    yield f"{path.stem}-sizes.pdf", table
    yield _picture_name(path.stem, "sizes"), _png(_drawn(table, [0], DPI))


def _of_editions(path: Path) -> Iterator[tuple[str, bytes]]:
    """One sock for another hand and for other eyes."""
    text = path.read_text(encoding="utf-8")
    other = open_text(path.name, path, text, asked=Asked(left_handed=True))
    booklet = write_pdf(make_booklet(other.first, other.second, paper=PAPER))
    yield f"{path.stem}-left-handed-booklet.pdf", booklet
    sock = open_text(path.name, path, text)
    large = Edition(PrintSize.LARGE)
    document = make_booklet(sock.first, sock.second, paper=PAPERS["a4"], edition=large)
    booklet = write_pdf(document)
    yield f"{path.stem}-large-print-booklet.pdf", booklet
    shown = _pages_shown(document, booklet, Picture("turn", facing=True), dpi=SHEET_DPI)
    yield _picture_name(path.stem, "large-print"), shown


def _of_sheets(path: Path) -> Iterator[tuple[str, bytes]]:
    """A booklet to fold, and cards to cut."""
    sock = open_text(path.name, path, path.read_text(encoding="utf-8"))
    document = make_booklet(sock.first, sock.second, paper=PAPER)
    folded = write_pdf(fold_booklet(document), tagging=Tagging.PLAIN)
    yield f"{path.stem}-booklet-to-fold.pdf", folded
    yield _picture_name(path.stem, "to-fold"), _png(_drawn(folded, [0], SHEET_DPI))
    cards = [make_card(sock.first, part, paper=PAPERS["a6"]) for part in CARDS]
    sheet = write_pdf(gang_cards(cards, sheet=PAPERS["a4"]), tagging=Tagging.PLAIN)
    yield f"{path.stem}-cards-to-cut.pdf", sheet
    yield _picture_name(path.stem, "cards"), _png(_drawn(sheet, [0, 1], SHEET_DPI))


def _of_class(path: Path, roster: Path) -> Iterator[tuple[str, bytes]]:
    """The teacher's overview and one person's pack."""
    looms = str(SAMPLES / "looms.toml")
    with TemporaryDirectory() as name, redirect_stdout(StringIO()), redirect_stderr(StringIO()):
        args = ["class", str(path), str(roster), "--looms", looms, "--output", name]
        with suppress(SystemExit):
            program.main(args)
        made = {one: (Path(name) / f"{one}.pdf").read_bytes() for one in ("overview", "student-d")}
    for one, pdf in made.items():
        yield f"class-{one}.pdf", pdf
        yield _picture_name("class", one), _png(_drawn(pdf, [0], DPI))


def _svg(document: Document) -> bytes:
    (page,) = document.pages
    return write_svg(
        page,
        title=document.title,
        description=document.subject,
        language=document.language,
    ).encode()


# --- Pictures --------------------------------------------------------------------------------


def _picture_name(sample: str, name: str) -> str:
    return f"{GALLERY}/{sample}-{name}.png"


def _pages_shown(document: Document, pdf: bytes, picture: Picture, *, dpi: int = DPI) -> bytes:
    """The page, and the one beside it if that is asked for."""
    index = 0
    if picture.anchor:
        index = next(
            index
            for index, page in enumerate(document.pages)
            if any(isinstance(one, Anchor) and one.name == picture.anchor for one in page.items)
        )
    return _png(_drawn(pdf, [index, index + 1] if picture.facing else [index], dpi))


def _drawn(pdf: bytes, indices: list[int], dpi: int) -> Image.Image:
    """Pages side by side in greys."""
    file = pypdfium2.PdfDocument(pdf)
    try:
        pages = [
            file[index].render(scale=dpi / 72, grayscale=True).to_pil().convert("L")
            for index in indices
        ]
    finally:
        file.close()
    width = sum(page.width for page in pages) + SPINE_DOTS * (len(pages) - 1)
    whole = Image.new("L", (width, max(page.height for page in pages)), 160)
    left = 0
    for page in pages:
        whole.paste(page, (left, 0))
        left += page.width + SPINE_DOTS
    return whole


def _png(picture: Image.Image) -> bytes:
    """A small PNG: 16 greys are enough for print in black."""
    step = 255 // (GREYS - 1)
    few = picture.point([(level + step // 2) // step for level in range(256)]).convert("P")
    few.putpalette([grey * step for grey in range(GREYS) for _ in range(3)])
    file = BytesIO()
    few.save(file, "PNG", bits=4, compress_level=9)
    return file.getvalue()


if __name__ == "__main__":
    main()
