"""Everybody's pack, sock by sock.

People who knit the same sock in the same print form a group: a maker of packs that makes theirs one
after the other proves the sock once and lays out its pages once.  The bytes of a pack depend on
nothing but its own person and the alphabet of the class; so packs can be made in any order and by
any number of makers, and what was made can be let go of.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Final

from charts.class_socks import PersonSock, knit_pair, sock_for
from charts.ease import measure_words
from charts.feet import Foot
from charts.fit import Fit
from charts.fitting import FittedSpec
from charts.foot_measures import Measure, Origin
from charts.hands import edition_words
from charts.pattern_file import write_pattern
from charts.problems import PatternError
from charts.roster import Person
from charts.sizes import SizeFile
from charts.spec import RowCount, Units
from charts.verify import NotKnittableError
from layouts.block import DoesNotFitError
from layouts.class_overview import OverviewRow
from layouts.class_pack import Shelf, SockPack, make_pack
from layouts.edition import PrintSize
from layouts.pack_numbers import Personal, yarn_words
from layouts.paper import Paper
from layouts.pdf import write_pdf


@dataclass(frozen=True)
class Member:
    """One person of a class, and how their pack is printed."""

    sock: PersonSock
    size: PrintSize = PrintSize.STANDARD

    @property
    def key(self) -> bytes:
        """Equal for members who knit the same sock in the same print."""
        # A spec holds mappings and has no hash; the file that it would be written to tells as much.
        told = f"{self.size.value}\n{write_pattern(self.sock.sock)}"
        return sha256(told.encode()).digest()

    @property
    def edition_words(self) -> str:
        """What is special about the hand and the print."""
        size = "" if self.size is PrintSize.STANDARD else f"{self.size.value} print"
        return ", ".join(filter(None, (edition_words(self.sock.sock.loom), size)))


@dataclass(frozen=True)
class MadePack:
    """A finished pack."""

    person: Person
    pdf: bytes
    row: OverviewRow
    """For the overview; its page is not known yet."""
    warnings: tuple[str, ...]
    """Sentences for the teacher."""


def member_of(person: Person, pattern: SizeFile) -> Member:
    """The person with the sock that the row asks for.

    Raises PatternError with every problem, each with the row's line.
    """
    size = PrintSize(person.print_size or PrintSize.STANDARD.value)
    return Member(sock_for(person, pattern), size)


def groups_of(members: Iterable[Member]) -> tuple[tuple[Person, ...], ...]:
    """The people in groups, each where its first one stands.

    Members are looked at one by one and not kept: a planned sock is ten times the size of its row.
    """
    found: dict[bytes, list[Person]] = {}
    for member in members:
        found.setdefault(member.key, []).append(member.sock.person)
    return tuple(map(tuple, found.values()))


class PackMaker:
    """Makes packs of a class.  It keeps the sock of the last one, and parts that other socks share:
    that saves work and changes nothing.  Packs are `dated` as `write_pdf` does it."""

    def __init__(self, *, paper: Paper, alphabet: str, dated: datetime | None = None) -> None:
        self._paper = paper
        self._alphabet = alphabet
        self._dated = dated
        self._shelf = Shelf()
        self._key = b""
        self._laid: SockPack | Exception | None = None
        """The last sock, or why it could not be made."""

    def make(self, member: Member) -> MadePack:
        """The member's pack.

        Raises PatternError or NotKnittableError for a sock that cannot be made, DoesNotFitError for
        too small a paper.
        """
        pack = self._sock_pack(member)
        document = make_pack(pack, _personal(member))
        warnings = dict.fromkeys((*member.sock.fitted.warnings, *pack.knit.plan.warnings))
        if not pack.card_sheets:
            warnings[_NO_CARD] = None
        written = write_pdf(document, alphabet=self._alphabet, dated=self._dated)
        return MadePack(member.sock.person, written, _row(member, pack), tuple(warnings))

    def _sock_pack(self, member: Member) -> SockPack:
        """The last sock if it is the member's as well, laid out anew if not."""
        if self._laid is None or member.key != self._key:
            self._key = member.key
            self._laid = None  # two socks at once would be twice the memory
            self._laid = self._lay_out(member)
        if isinstance(self._laid, Exception):
            raise self._laid
        return self._laid

    def _lay_out(self, member: Member) -> SockPack | Exception:
        try:
            first, second = knit_pair(member.sock.sock)
            pack = SockPack(first, second, self._paper, member.size, shelf=self._shelf)
            _ = pack.pages  # now, so that one that does not fit is tried once
        except (PatternError, NotKnittableError, DoesNotFitError) as error:
            return error
        return pack


_NO_CARD: Final = "The heel turn is too wide for a card on this paper: the pack has none"

SIGNS: Final = "–—−’‘“”„…·×±½¼¾⅓⅔⅛⅜⅝⅞→←↑↓✓°é"
"""What our own words have beside the characters of ASCII."""


def alphabet_of(texts: Iterable[str]) -> str:
    """Every character that packs may hold: those of our own words and of the texts."""
    ascii_ = "".join(map(chr, range(0x20, 0x7F)))
    return "".join(sorted({*ascii_, *SIGNS, *(char for text in texts for char in text)}))


def _personal(member: Member) -> Personal:
    """What of the pack is the person's own."""
    sock = member.sock
    person, fitted = sock.person, sock.fitted
    units = fitted.spec.units
    told = person.foot is not None
    return Personal(
        who=person.who,
        size=person.size,
        loom=person.loom.name if person.loom else "",
        foot=_foot_words(fitted.foot, units) if fitted.foot else "",
        kept=_kept_words(sock),
        fit=fitted.fit.sentence if fitted.fit and told else "",
        mind=fitted.fit.notes if fitted.fit and told else (),
        reasons="; ".join(_reasons(fitted)) if told else "",
        edition=member.edition_words,
        notes=person.notes,
    )


def _kept_words(sock: PersonSock) -> str:
    """The lengths that are the size's or the pattern's, not the person's own."""
    lengths = ", ".join(f"{one.name} {one.text}" for one in sock.kept)
    whose = f"size {sock.person.size}" if sock.person.size else "the pattern"
    return f"{lengths}: kept from {whose}" if lengths else ""


_FITTED_ROWS: Final = {RowCount.CUFF: "cuff:", RowCount.LEG: "leg:", RowCount.FOOT: "foot:"}


def _reasons(fitted: FittedSpec) -> Iterator[str]:
    """Why the rows that follow from the foot are so many."""
    for rows, name in _FITTED_ROWS.items():
        if rows.value in fitted.reasons:
            yield f"{name} {fitted.reasons[rows.value]}"


def _fit_words(fit: Fit) -> str:
    """The class, and between which ones it may lie where that is not sure."""
    if len(fit.may_be) < 2:
        return fit.fit_class.value
    return f"{fit.fit_class.value}; may be {fit.may_be[0].value} to {fit.may_be[-1].value}"


def _row(member: Member, pack: SockPack) -> OverviewRow:
    """The person's line of the overview."""
    sock = member.sock
    person, fitted, plan = sock.person, sock.fitted, pack.knit.plan
    loom = f"{plan.loom.pegs} pegs, {plan.loom.spacing_text}"
    name = person.loom.name if person.loom else ""
    return OverviewRow(
        who=person.who,
        size=person.size,
        foot=_short_foot(fitted.foot, fitted.spec.units) if fitted.foot else "",
        loom=f"{name}: {loom}" if name else loom,
        heel=str(plan.heel_pegs),
        turn=str(plan.centre_pegs),
        flap=str(plan.flap_rows),
        foot_rows=str(plan.spec.foot.rows),
        toe=f"{plan.toe_pegs}, {plan.toe_side}",
        yarn="" if pack.yarn is None else yarn_words(pack.yarn, plan.spec.units),
        fit=_fit_words(fitted.fit) if fitted.fit else "",
        edition=member.edition_words,
        page="",
    )


def _foot_words(foot: Foot, units: Units) -> str:
    return (
        f"{_about(foot.length, units)} long, {_about(foot.ball, units)} round the ball"
        f"{_basis(foot.length)}"
    )


def _short_foot(foot: Foot, units: Units) -> str:
    """Length and ball."""
    return f"{_about(foot.length, units)} × {_about(foot.ball, units)}"


def _about(measure: Measure, units: Units) -> str:
    about = "" if measure.origin is Origin.MEASURED else "about "
    return about + measure_words(measure.mm, units)


def _basis(measure: Measure) -> str:
    """What a length that was not measured is guessed from."""
    return "" if measure.origin is Origin.MEASURED else f" ({measure.basis})"
