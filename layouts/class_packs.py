"""Everybody's pack, sock by sock.

People who knit the same sock in the same print form a group: its sock is proved once and its pages
are laid out once, whoever is in it.  Groups know nothing of each other, and a pack's bytes depend
on nothing but its own person and the alphabet of the class; so they can be made in any order, and
what was made can be let go of.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from charts.class_socks import PersonSock, knit_pair
from charts.ease import measure_words
from charts.feet import Foot
from charts.foot_measures import Measure, Origin
from charts.hands import edition_words
from charts.pattern_file import write_pattern
from charts.spec import SockSpec, Units
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
    def edition_words(self) -> str:
        """What is special about the hand and the print."""
        size = "" if self.size is PrintSize.STANDARD else f"{self.size.value} print"
        return ", ".join(filter(None, (edition_words(self.sock.sock.loom), size)))


@dataclass(frozen=True)
class Group:
    """People who knit the same sock in the same print."""

    spec: SockSpec
    size: PrintSize
    members: tuple[Member, ...]


@dataclass(frozen=True)
class MadePack:
    """A finished pack."""

    member: Member
    pdf: bytes
    row: OverviewRow
    """For the overview; its page is not known yet."""
    warnings: tuple[str, ...]
    """Sentences for the teacher."""


def groups_of(members: Iterable[Member]) -> tuple[Group, ...]:
    """The members in groups, each where its first one stands."""
    found: dict[tuple[str, PrintSize], list[Member]] = {}
    for member in members:
        # A spec holds mappings and has no hash; the file that it would be written to tells as much.
        found.setdefault((write_pattern(member.sock.sock), member.size), []).append(member)
    return tuple(Group(same[0].sock.sock, same[0].size, tuple(same)) for same in found.values())


def make_group(
    group: Group, *, paper: Paper, alphabet: str, shelf: Shelf | None = None
) -> Iterator[MadePack]:
    """The packs of a group, one after the other.  A shelf that is handed from group to group saves
    work and changes nothing.

    Raises PatternError or NotKnittableError for a sock that cannot be made, DoesNotFitError for
    too small a paper; then there is no pack of the group.
    """
    first, second = knit_pair(group.spec)
    pack = SockPack(first, second, paper, group.size, shelf=shelf or Shelf())
    for member in group.members:
        document = make_pack(pack, _personal(member))
        warnings = dict.fromkeys((*member.sock.fitted.warnings, *first.plan.warnings))
        if not pack.card_sheets:
            warnings[_NO_CARD] = None
        written = write_pdf(document, alphabet=alphabet)
        yield MadePack(member, written, _row(member, pack), tuple(warnings))


_NO_CARD: Final = "The heel turn is too wide for a card on this paper: the pack has none"

SIGNS: Final = "–—’‘“”„…·×±½¼¾⅓⅔⅛⅜⅝⅞→←↑↓✓°é"
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
        fit=fitted.fit.sentence if fitted.fit and told else "",
        edition=member.edition_words,
        notes=person.notes,
    )


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
        fit=fitted.fit.fit_class.value if fitted.fit else "",
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
