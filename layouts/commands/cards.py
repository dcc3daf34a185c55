"""`card`: parts of a sock on cards to laminate, one by one or on sheets that are cut."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import click

from charts.parts import Part, parts_of
from charts.pattern_words import listed, nearest_word
from charts.sized_words import sized
from layouts.card_subjects import SUBJECTS, Hole, Reference, Subject
from layouts.commands.imprint import copy_line_option
from layouts.commands.named_socks import NamedSock, NamedSocks, open_socks, titled
from layouts.commands.options import (
    WholeNumber,
    choose_target,
    colour_option,
    edition_in_name,
    file_argument,
    fitting_paper,
    inks_of,
    left_handed_option,
    output_option,
    pages_told,
    paper_option,
    size_option,
    sock_option,
    word_option,
)
from layouts.commands.pattern import Asked
from layouts.commands.print_date import print_date
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
from layouts.output import printable

if TYPE_CHECKING:
    from charts.verify import Knit
    from layouts.edition import Inks
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
    del context, option
    for word in words:
        if word not in _WORDS:
            what = f"'{printable(word)}' is no part"
            nearest = nearest_word(word, _WORDS)
            raise wrong_usage("--part", what, allowed=listed(_WORDS), suggestion=nearest)
    if _ALL in words:
        return None
    named = {str(one.value): one for one in SUBJECTS}
    return tuple(dict.fromkeys(named[word] for word in words))


@click.command()
@file_argument
@size_option
@sock_option
@left_handed_option
@colour_option
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
@click.option("--copies", type=WholeNumber(1, _MOST_COPIES), help="Of each card, on the sheet.")
@copy_line_option
def card(
    file: str,
    size: str | None,
    sock: int | None,
    left_handed: bool,
    colour: bool,
    subjects: tuple[Subject, ...] | None,
    output: str | None,
    paper: Paper,
    sheet: Paper | None,
    hole: Hole,
    copy_line: str,
    **cut: Any,
) -> None:
    """Print parts on cards to laminate, chart above steps, in PDF.

    Besides the parts there are cards for grafting and for the symbols (key).  With --sheet the
    cards stand on sheets with marks to cut them by, backs behind their fronts.  A pattern with
    sizes comes with a card for all that work a part alike; --size prints those of one alone.  FILE
    is the pattern; - is standard input.

    \b
    Example:
      pegfolio card harbour.toml --part turn
      pegfolio card harbour.toml --part turn --part toe --paper a6 --sheet a4
    """
    cutting = _read_cutting(sheet, hole, cut)
    ending = _ending(subjects, sheet)
    edition = edition_in_name(left_handed=left_handed, colour=colour)
    target = choose_target(file, output, ending=ending, suffixes=_PDF, size=size, edition=edition)
    opened = open_socks(file, size=size, sock=sock, asked=Asked(left_handed=left_handed))
    if opened.socks:
        with progress("laying out the cards"):
            from layouts.pdf import Tagging, write_pdf

            look = _Look(paper, hole, inks_of(colour), copy_line)
            cards = _made(opened, subjects, look)
            document, told = _laid(cards, opened.socks[0].knit, cutting)
            # Sheets are cut up, and read on paper alone.
            tagging = Tagging.TAGGED if sheet is None else Tagging.PLAIN
            written = write_pdf(document, tagging=tagging, dated=print_date())
        target.deliver(written, told=told)
    opened.refuse_failed()


def _ending(subjects: tuple[Subject, ...] | None, sheet: Paper | None) -> str:
    """Of the file's name."""
    several = subjects is None or len(subjects) > 1
    name = "-cards" if subjects is None or several else f"-{subjects[0].value}-card"
    return f"{name}-sheet.pdf" if sheet is not None else f"{name}.pdf"


@dataclass(frozen=True)
class _Look:
    """What all cards have in common."""

    paper: Paper
    hole: Hole
    inks: Inks
    copy_line: str

    def card(self, knit: Knit, subject: Subject) -> Document:
        """One card.  Raises DoesNotFitError."""
        from layouts.card import make_card

        return make_card(
            knit,
            subject,
            paper=self.paper,
            hole=self.hole,
            inks=self.inks,
            copy_line=self.copy_line,
        )


def _asked(opened: NamedSocks, subjects: tuple[Subject, ...] | None) -> tuple[Subject, ...]:
    """The cards to make."""
    if subjects is not None:
        return subjects
    there = {part for one in opened.socks for part in parts_of(one.knit)}
    return (*(part for part in Part if part in there), *Reference)


def _made(opened: NamedSocks, subjects: tuple[Subject, ...] | None, look: _Look) -> list[Document]:
    """A card of each subject, or one for each set of sizes that it is the same for.

    Raises Refusal for a part that no sock has, and with a line for each card that is too small.
    """
    from layouts.block import DoesNotFitError

    cards: list[Document] = []
    lines: dict[str, None] = {}
    for one in _asked(opened, subjects):
        socks = opened.with_part(one) if isinstance(one, Part) else opened.socks
        alike: list[tuple[Document, list[NamedSock]]] = []
        try:
            for sock in socks:
                made = look.card(sock.knit, one)
                same = next((found for card, found in alike if card == made), None)
                if same is None:
                    alike.append((made, [sock]))
                else:
                    same.append(sock)
            if len(alike) == 1:
                cards.append(alike[0][0])
                continue
            for _, found in alike:
                title = f"{opened.title}, {sized([sock.size for sock in found])}"
                cards.append(look.card(titled(found[0].knit, title), one))
        except DoesNotFitError as error:
            lines |= dict.fromkeys(wrong_usage("--paper", str(error)).lines)
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
        document = cards[0] if len(cards) == 1 else _for_hand(joined_cards(cards, title), knit)
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
    return _for_hand(document, knit), told


def _for_hand(document: Document, knit: Knit) -> Document:
    """The document, its subject with the hand that it is for."""
    from layouts.cover import for_hand_words

    return replace(document, subject=for_hand_words(document.subject, knit.plan.loom))
