"""What the designer asked for, as read from the pattern file; `None` means "by the rule"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType
from typing import TypeVar

from charts.loom import Loom

_T = TypeVar("_T")


class Flanks(Enum):
    """What the instep shows at each side of the panel."""

    RIB = "rib"
    """The cuff's rib carried on, in phase."""
    KNIT = "knit"
    PURL = "purl"


class Leftover(Enum):
    """What to do when the rib does not divide the pegs."""

    REFUSE = "refuse"
    KNIT = "knit"
    """The pegs left over are knitted, at the round's start."""


class FootInstep(Enum):
    """What the instep shows along the foot."""

    CONTINUE = "continue"
    PLAIN = "plain"


class ToeShape(Enum):
    """How the toe's thirds are rounded."""

    BLUNT = "blunt"
    TAPERED = "tapered"


class ShortRows(Enum):
    """How a short row of the toe is turned."""

    TURNED = "turned stitch"
    WRAPPED = "wrap and turn"


class Units(Enum):
    """Which units lengths are printed in: both, one of them first, or one alone."""

    CM = "cm"
    IN = "in"
    ONLY_CM = "cm only"
    ONLY_IN = "in only"

    @property
    def is_metric(self) -> bool:
        """Whether the first unit, or the only one, is metric."""
        return self in (Units.CM, Units.ONLY_CM)

    @property
    def are_both(self) -> bool:
        return self in (Units.CM, Units.IN)

    def ordered(self, metric: _T, inches: _T) -> tuple[_T, ...]:
        """What is known both ways, in the order it is printed: one of the two or both."""
        found = (metric, inches) if self.is_metric else (inches, metric)
        return found if self.are_both else found[:1]

    def told(self, metric: str, inches: str) -> str:
        """A measure that is told both ways, the second in brackets.

        >>> Units.IN.told("25 cm", "10 in"), Units.ONLY_CM.told("25 cm", "10 in")
        ('10 in (25 cm)', '25 cm')
        """
        first, *others = self.ordered(metric, inches)
        return " ".join((first, *(f"({other})" for other in others)))


@dataclass(frozen=True)
class Motif:
    """A block of stitches as the knitter sees it, repeated upwards."""

    name: str
    rows: tuple[str, ...]
    """Bottom row first; each a string of motif letters, left to right; all of one width."""

    @property
    def width(self) -> int:
        return len(self.rows[0])

    @property
    def height(self) -> int:
        return len(self.rows)


@dataclass(frozen=True)
class Gauge:
    """Stitches and rows in 10 cm of finished fabric."""

    stitches_per_10cm: float
    rows_per_10cm: float


@dataclass(frozen=True)
class Length:
    """A length, with the words that it was written in."""

    mm: float
    text: str


@dataclass(frozen=True)
class YarnAmount:
    """Yarn measured or weighed, with the words that it was written in; one of the two is None."""

    mm: float | None
    grams: float | None
    text: str


@dataclass(frozen=True)
class SwatchCount:
    """One count in a swatch of the sock's own knit."""

    stitches: float
    rows: float
    over: Length = Length(100.0, "10 cm")
    """The width that the stitches were counted over, and the height of the rows as well."""
    high: Length | None = None
    """The height, if it was another."""
    yarn: YarnAmount | None = None
    """What the stitches counted hold, edges and tails left out."""
    washed: bool = True


@dataclass(frozen=True)
class WearerFacts:
    """What is known of the foot that the sock is for; measures win over the shoe and the class."""

    length: Length | None = None
    ball: Length | None = None
    ankle: Length | None = None
    heel_round: Length | None = None
    """Round over the heel's point and the bend of the ankle."""
    leg_round: Length | None = None
    """Round the leg where the sock ends."""
    leg_height: Length | None = None
    """Floor to where the sock ends."""
    heel_width: Length | None = None
    heel_height: Length | None = None
    """Floor to the ankle bone."""
    shoe: str = ""
    """A shoe size in words."""
    foot_class: str = ""
    """An age or size class in words."""


@dataclass(frozen=True)
class EaseWanted:
    """How much smaller the sock is than the foot, in percent; `None` is the usual ease."""

    round_percent: float | None = None
    length_percent: float | None = None


@dataclass(frozen=True)
class BallBand:
    """A ball of the yarn, as far as it is known."""

    metres: float | None = None
    grams: float | None = None
    weight: str = ""
    """The yarn's weight category by name."""
    strands: int = 1
    """Knitted together as one."""


class RowCount(Enum):
    """A number of rows that is worked out if it is left out; the value is its key."""

    CUFF = "cuff.rows"
    LEG = "leg.rows"
    FOOT = "foot.rows"


@dataclass(frozen=True)
class Cuff:
    rows: int = 16
    rib: str = "kkpp"
    """The repeat as letters k and p; "k2 p2" in the file."""
    leftover: Leftover = Leftover.REFUSE


@dataclass(frozen=True)
class Leg:
    rows: int = 32
    panel: str | None = None
    """The name of the motif centred on the instep."""
    across: int = 1
    """How many times the motif stands side by side."""
    flanks: Flanks = Flanks.KNIT
    round_start_shift: int | None = None
    round_to_motif: bool = False
    """Rows computed from the wearer are rounded to whole motifs."""


@dataclass(frozen=True)
class Heel:
    pegs: int | None = None
    centre: int | None = None
    flap_rows: int | None = None


@dataclass(frozen=True)
class Gusset:
    corner_bars: bool = False
    """Lift a bar at each gusset/instep corner too."""


@dataclass(frozen=True)
class Foot:
    rows: int = 50
    """Counted on the instep."""
    instep: FootInstep = FootInstep.CONTINUE
    round_to_motif: bool = False
    """Rows computed from the wearer are rounded so that the last motif ends with the foot."""


@dataclass(frozen=True)
class Toe:
    shape: ToeShape = ToeShape.BLUNT
    side: int | None = None
    """Pegs turned at each side."""
    short_rows: ShortRows = ShortRows.TURNED


@dataclass(frozen=True)
class House:
    """How whoever publishes the pattern marks it; printed as written, empty if not given."""

    licence: str = ""
    copyright: str = ""
    logo: str = ""
    """Where the picture lies, from the pattern's folder on."""
    accent: str = ""
    """A colour, "#0072B2"."""
    edition: str = ""
    date: str = ""
    """Of the edition."""

    @property
    def edition_words(self) -> str:
        """Number and date of the edition, as far as they are given: "Edition 2, March 2026"."""
        number = f"Edition {self.edition}" if self.edition else ""
        return ", ".join(filter(None, (number, self.date)))

    @property
    def rights_words(self) -> str:
        """Copyright and licence, as far as they are given."""
        return " ".join(filter(None, (self.copyright, self.licence)))


@dataclass(frozen=True)
class SockSpec:
    """A sock pattern as its designer wrote it."""

    title: str
    loom: Loom
    designer: str = ""
    notes: str = ""
    units: Units = Units.CM
    knit: str = "flat"
    """"flat", "u-wrap" or "e-wrap": the knit stitch of the whole sock."""
    yarn: str = ""
    """The yarn in the designer's words."""
    gauge: Gauge | None = None
    """As counted; of several swatches the mean."""
    swatches: tuple[SwatchCount, ...] = ()
    gauge_weight: str = ""
    """The weight category by name that a gauge may be guessed from if none was counted."""
    wearer: WearerFacts | None = None
    ease: EaseWanted = field(default_factory=EaseWanted)
    ball: BallBand = field(default_factory=BallBand)
    cuff: Cuff = field(default_factory=Cuff)
    leg: Leg = field(default_factory=Leg)
    heel: Heel = field(default_factory=Heel)
    gusset: Gusset = field(default_factory=Gusset)
    foot: Foot = field(default_factory=Foot)
    toe: Toe = field(default_factory=Toe)
    mirror_second_sock: bool = False
    """Cables of the second sock of the pair are mirrored."""
    house: House = field(default_factory=House)
    motifs: Mapping[str, Motif] = field(default_factory=lambda: MappingProxyType({}))
    left_out: frozenset[RowCount] = frozenset()
    """The row counts that were left out: they follow from the foot, or from the pegs alone."""

    def __post_init__(self) -> None:
        # A copy, so that nobody who holds the caller's mapping can change a proved sock.
        object.__setattr__(self, "motifs", MappingProxyType(dict(self.motifs)))
