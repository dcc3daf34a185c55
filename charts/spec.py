"""What the designer asked for, as read from the pattern file; `None` means "by the rule"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType

from charts.loom import Loom


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
    """The pegs left over are knitted, at the round's start (the back of the leg)."""


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
    """Which unit is printed first."""

    CM = "cm"
    IN = "in"


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


@dataclass(frozen=True)
class Toe:
    shape: ToeShape = ToeShape.BLUNT
    side: int | None = None
    """Pegs turned at each side."""
    short_rows: ShortRows = ShortRows.TURNED


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
    cuff: Cuff = field(default_factory=Cuff)
    leg: Leg = field(default_factory=Leg)
    heel: Heel = field(default_factory=Heel)
    gusset: Gusset = field(default_factory=Gusset)
    foot: Foot = field(default_factory=Foot)
    toe: Toe = field(default_factory=Toe)
    mirror_second_sock: bool = False
    """Cables of the second sock of the pair are mirrored."""
    motifs: Mapping[str, Motif] = field(default_factory=lambda: MappingProxyType({}))
