"""`card`: parts of a sock on cards to laminate, one by one or on sheets that are cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from charts.parts import Part, parts_of
from charts.pattern_words import listed, nearest_word
from layouts.card_subjects import SUBJECTS, Hole, Reference, Subject
from layouts.commands.options import (
    choose_target,
    chosen_sock,
    file_argument,
    fitting_paper,
    output_option,
    pages_told,
    paper_option,
    refuse_missing_part,
    size_option,
    sock_option,
    warn,
    word_option,
)
from layouts.commands.pattern import open_pattern
from layouts.commands.progress import progress
from layouts.commands.refusal import ExitCode, Refusal, wrong_usage
from layouts.commands.sheet_options import (
    counted,
    flip_option,
    read_mm,
    sheet_option,
    sheet_words,
)
from layouts.imposition import Flip

if TYPE_CHECKING:
    from charts.verify import Knit
    from layouts.paper import Paper
    from layouts.scene import Document

_PDF = (".pdf",)
_ALL = "all"
_WORDS = (*(str(one.value) for one in SUBJECTS), _ALL)
_MOST_BLEED_MM = 10.0
_MOST_COPIES = 100


def _read_subjects(
    context: click.Context, option: click.Parameter, words: tuple[str, ...]
) -> tuple[Subject, ...] | None:
    """What the words name, each once; None for all."""
    for word in words:
        if word not in _WORDS:
            nearest = nearest_word(word, _WORDS)
            tail = f"; try: {nearest}" if nearest else ""
            what = f"'{word}' is no part; allowed: {listed(_WORDS)}{tail}"
            raise click.BadParameter(what, context, option)
    if _ALL in words:
        return None
    named = {str(one.value): one for one in SUBJECTS}
    return tuple(dict.fromkeys(named[word] for word in words))


@click.command()
@file_argument
@size_option
@sock_option
@click.option(
    "--part",
    "subjects",
    callback=_read_subjects,
    metavar="PART",
    multiple=True,
    default=(Part.TURN.value,),
    show_default=True,
    help=f"One of {', '.join(_WORDS)}; may be given several times.",
)
@output_option("beside the pattern, harbour.toml -> harbour-turn-card.pdf")
@paper_option("The card: a5, a6, a7, photo-4x6, id-1, another name,", default="a5")
@sheet_option("Put the cards on sheets to cut: a4, letter, another name,")
@click.option(
    "--bleed",
    metavar="LENGTH",
    help="White round a card on its sheet; '0 mm' lets cards touch.  Default: 3 mm.",
)
@flip_option("Default: long-edge")
@word_option("--hole", Hole, "where a hole for a ring is marked", default=Hole.NONE)
@click.option("--round-corners", is_flag=True, help="Mark corners of 3 mm on the sheet.")
@click.option("--copies", type=click.IntRange(1, _MOST_COPIES), help="Of each card, on the sheet.")
def card(
    file: str,
    size: str | None,
    sock: int | None,
    subjects: tuple[Subject, ...] | None,
    output: str | None,
    paper: Paper,
    sheet: Paper | None,
    hole: Hole,
    **cut: Any,
) -> None:
    """Print parts on cards to laminate, chart above steps, in PDF.

    Besides the parts there are cards for grafting and for the symbols (key).  With --sheet the
    cards stand on sheets with marks to cut them by, backs behind their fronts.  FILE is the
    pattern; - is standard input.

    \b
    Example:
      pegfolio card harbour.toml --part turn
      pegfolio card harbour.toml --part turn --part toe --paper a6 --sheet a4
    """
    cutting = _read_cutting(sheet, hole, cut)
    ending = _ending(subjects, sheet)
    target = choose_target(file, output, ending=ending, suffixes=_PDF, size=size)
    pattern = open_pattern(file, size=size)
    knit = chosen_sock(pattern, sock)
    asked = _asked(pattern.first, subjects)
    warn(pattern)
    with progress("laying out the cards"):
        from layouts.pdf import write_pdf

        cards = _made(knit, asked, paper, hole)
        document, told = _laid(cards, knit, cutting)
        written = write_pdf(document)
    target.deliver(written, told=told)


def _ending(subjects: tuple[Subject, ...] | None, sheet: Paper | None) -> str:
    """Of the file's name."""
    several = subjects is None or len(subjects) > 1
    name = "-cards" if subjects is None or several else f"-{subjects[0].value}-card"
    return f"{name}-sheet.pdf" if sheet is not None else f"{name}.pdf"


def _asked(knit: Knit, subjects: tuple[Subject, ...] | None) -> tuple[Subject, ...]:
    """The cards to make.  Raises Refusal for a part that the sock does not have."""
    if subjects is None:
        return (*parts_of(knit), *Reference)
    for one in subjects:
        if isinstance(one, Part):
            refuse_missing_part(knit, one)
    return subjects


def _made(knit: Knit, subjects: tuple[Subject, ...], paper: Paper, hole: Hole) -> list[Document]:
    """A card of each.  Raises Refusal with a line for each that the card is too small for."""
    from layouts.block import DoesNotFitError
    from layouts.card import make_card

    cards: list[Document] = []
    lines: list[str] = []
    for one in subjects:
        try:
            cards.append(make_card(knit, one, paper=paper, hole=hole))
        except DoesNotFitError as error:
            lines += wrong_usage("--paper", str(error)).lines
    if lines:
        raise Refusal(ExitCode.USAGE, *lines)
    return cards


@dataclass(frozen=True)
class _Cutting:
    """How cards stand on a sheet."""

    sheet: Paper | None
    bleed_mm: float
    flip: Flip
    copies: int
    rounded: bool
    punched: bool


def _read_cutting(sheet: Paper | None, hole: Hole, told: dict[str, Any]) -> _Cutting:
    """What the options say.  Raises Refusal for those that need a sheet and have none."""
    if sheet is None:
        for name, value in told.items():
            if value:
                option = f"--{name.replace('_', '-')}"
                what = "only cards on a sheet have it"
                suggestion = f"--sheet a4, or leave {option} out"
                raise wrong_usage(option, what, suggestion=suggestion)
    bleed = told["bleed"]
    bleed_mm = 3.0
    if bleed is not None:
        bleed_mm = read_mm("--bleed", bleed, least_mm=0.0, most_mm=_MOST_BLEED_MM)
    return _Cutting(
        sheet,
        bleed_mm,
        told["flip"] or Flip.LONG_EDGE,
        told["copies"] or 1,
        told["round_corners"],
        hole is not Hole.NONE,
    )


def _laid(cards: list[Document], knit: Knit, cutting: _Cutting) -> tuple[Document, str]:
    """The cards one by one or on sheets, and what is written, in words."""
    from layouts.card_side import joined_cards

    title = f"{knit.plan.spec.title}: cards"
    if cutting.sheet is None:
        document = cards[0] if len(cards) == 1 else joined_cards(cards, title)
        empty = sum(not page.items for page in document.pages)
        tail = f", with {counted(empty, 'empty back')}" if empty else ""
        return document, pages_told(document) + tail
    from layouts.card_sheets import CORNER_RADIUS_MM, CardLook, gang_cards, most_on_a_sheet

    look = CardLook(CORNER_RADIUS_MM if cutting.rounded else 0.0, cutting.punched)
    cards = [card for card in cards for _ in range(cutting.copies)]
    with fitting_paper("--sheet"):
        document = gang_cards(
            cards,
            sheet=cutting.sheet,
            bleed_mm=cutting.bleed_mm,
            flip=cutting.flip,
            look=look,
            title=title,
        )
    both = any(len(card.pages) > 1 for card in cards)
    sides = f"both sides, {cutting.flip.words}" if both else "one side"
    sheets = len(document.pages) // (2 if both else 1)
    leaves = sum(-(-len(card.pages) // 2) for card in cards)
    told = (
        f"{counted(leaves, 'card')} on {counted(sheets, 'sheet')} of {sheet_words(document)}; "
        f"print at 100 %, {sides}; cut, laminate, trim the film"
    )
    if cutting.bleed_mm > 0:
        most, touching = (most_on_a_sheet(cards, cutting.sheet, mm) for mm in (cutting.bleed_mm, 0))
        if touching > most and leaves > most:
            told += f"; --bleed '0 mm' puts {touching} on a sheet"
    return document, told
