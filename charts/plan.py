"""From what the designer asked to whole pegs and rows, each number with its reason.

The rules of the trade used here (heel width, turn width, thirds of the toe) are common practice
with no published source; every one can be overruled in the pattern file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from charts.hands import mirrored_motifs
from charts.loom import Loom, PegNumber, Working
from charts.problems import PatternError, Problem, setting
from charts.spec import Flanks, FootInstep, Leftover, Motif, SockSpec, ToeShape
from charts.stitches import KNIT_LETTERS, crosses

FINE_BELOW_MM = 7.9
"""Midpoint of 1/4 and 3/8 in: below it the heel takes 6 pegs more than half (common practice)."""
LEAST_USUAL_GUSSET = 3
"""Gusset pegs a side below which a heel hardly cups (common practice)."""
WIDEST_EASY_CROSS = 6
"""Pegs in a cable cross that loops bear without strain, three over three (common practice)."""
MIDDLE_BELOW_MM = 11.1
"""Midpoint of 3/8 and 1/2 in: up to it the heel takes 4 more, above it 2 (common practice)."""


@dataclass(frozen=True)
class PlanLine:
    """One number of the plan as it is printed."""

    name: str
    value: str
    reason: str
    key: str = ""
    """The key of the pattern file that overrules it."""


@dataclass(frozen=True)
class Plan:
    """Every count of the sock.

    A *place* is a peg counted from the round's start, 1..N; `peg(place)` gives its number on
    the loom.  The heel is always places 1 to `heel_pegs`.
    """

    spec: SockSpec
    shift: int
    """Pegs by which the round's start moves on at the end of the cuff."""
    heel_pegs: int
    centre_pegs: int
    gusset_pegs: int
    flap_rows: int
    turn_rows: int
    instep_pegs: int
    toe_pegs: int
    toe_side: int
    toe_offset: int
    """Pegs between the round's start and the toe."""
    cuff_letters: str
    """One cuff row, peg 1 first."""
    lines: tuple[PlanLine, ...]
    warnings: tuple[str, ...] = ()
    """Sentences for the designer; nothing here stops the sock."""

    @property
    def loom(self) -> Loom:
        return self.spec.loom

    @property
    def knit_letter(self) -> str:
        return KNIT_LETTERS[self.spec.knit]

    @property
    def toe_centre(self) -> int:
        return self.toe_pegs - 2 * self.toe_side

    @property
    def closing_decrease(self) -> bool:
        """An odd ring loses one peg before the toe, so that both grafted sides match."""
        return self.loom.pegs % 2 == 1

    @property
    def panel(self) -> Motif | None:
        name = self.spec.leg.panel
        return None if name is None else self.spec.motifs[name]

    @property
    def panel_pegs(self) -> int:
        return 0 if self.panel is None else self.panel.width * self.spec.leg.across

    def peg(self, place: int) -> PegNumber:
        """The peg at that place from the round's start; places count on round the ring."""
        return self.loom.wrap(place + self.shift)

    def pegs(self, first_place: int, last_place: int) -> tuple[PegNumber, ...]:
        """The pegs from one place to another, in that direction."""
        return self.loom.run(first_place + self.shift, last_place + self.shift)

    def instep_letters(self, row: int) -> str:
        """The instep in the `row`-th row of the motif (from 1), places heel + 1 to N."""
        side = (self.instep_pegs - self.panel_pegs) // 2
        flank = self._flank_letters()
        panel = ""
        if self.panel is not None:
            drawn = self.panel.rows[(row - 1) % self.panel.height].replace("k", self.knit_letter)
            panel = drawn * self.spec.leg.across
            if self.loom.working is Working.RIGHT_TO_LEFT:
                panel = panel[::-1]
        return flank[:side] + panel + flank[side + len(panel) :]

    def _flank_letters(self) -> str:
        """The instep without its panel, places heel + 1 to N."""
        match self.spec.leg.flanks:
            case Flanks.KNIT:
                return self.knit_letter * self.instep_pegs
            case Flanks.PURL:
                return "p" * self.instep_pegs
            case Flanks.RIB:
                pegs = self.pegs(self.heel_pegs + 1, self.loom.pegs)
                return "".join(self.cuff_letters[peg - 1] for peg in pegs)


def heel_pegs_rule(pegs: int, spacing_mm: float) -> tuple[int, str]:
    """Half the pegs, rounded down, plus 6, 4 or 2 by the loom's spacing; and the reason.

    Common practice, no published source.

    >>> [heel_pegs_rule(pegs, mm)[0] for pegs, mm in [(52, 6.35), (40, 9.525), (25, 15.875)]]
    [32, 24, 14]
    """
    if spacing_mm < FINE_BELOW_MM:
        extra = 6
    elif spacing_mm <= MIDDLE_BELOW_MM:
        extra = 4
    else:
        extra = 2
    return pegs // 2 + extra, f"half of {pegs}{_rounded(pegs)}, plus {extra}"


def _rounded(pegs: int) -> str:
    return " rounded down" if pegs % 2 else ""


def centre_pegs_rule(heel_pegs: int) -> int:
    """The turn's width: nearest to a third of the heel, even if the heel is even, odd if odd.

    Common practice, no published source.

    >>> [centre_pegs_rule(heel) for heel in (24, 22, 32, 34, 14)]
    [8, 8, 10, 12, 4]
    """
    candidates = range(2 + heel_pegs % 2, heel_pegs - 1, 2)
    return min(candidates, key=lambda centre: abs(3 * centre - heel_pegs))


def toe_side_rule(toe_pegs: int, shape: ToeShape) -> int:
    """Pegs turned at each side: a third, rounded down for a blunt toe, up for a tapered one.

    Common practice, no published source; published short-row tables round either way.

    >>> toe_side_rule(20, ToeShape.BLUNT), toe_side_rule(20, ToeShape.TAPERED)
    (6, 7)
    """
    side = toe_pegs // 3 if shape is ToeShape.BLUNT else -(-toe_pegs // 3)
    return min(side, (toe_pegs - 1) // 2)


def cuff_letters_for(pegs: int, rib: str, knit_letter: str) -> str:
    """One cuff row: the rib repeated, after as many knit pegs as the repeat leaves over."""
    leftover = pegs % len(rib)
    return (knit_letter * leftover + rib * (pegs // len(rib))).replace("k", knit_letter)


def rib_words(rib: str) -> str:
    """The rib as the pattern file writes it.

    >>> rib_words("kkpp")
    'k2 p2'
    """
    words: list[str] = []
    start = 0
    for end in range(1, len(rib) + 1):
        if end == len(rib) or rib[end] != rib[start]:
            words.append(f"{rib[start]}{end - start}")
            start = end
    return " ".join(words)


def second_sock(spec: SockSpec) -> SockSpec:
    """The other sock of the pair: the same, or with its motifs mirrored where asked for."""
    if not spec.mirror_second_sock:
        return spec
    return replace(spec, motifs=mirrored_motifs(spec))


def make_plan(spec: SockSpec) -> Plan:
    """Every count of the sock, with its reason.

    Rows that were left to the wearer are computed from the foot.  Raises PatternError with all the
    problems of meaning at once.
    """
    if spec.wearer is None and not spec.swatches:
        from charts.usual import USUAL_REASONS  # which takes its rules from here

        plan = plan_counts(spec, {rows.value: USUAL_REASONS[rows] for rows in spec.left_out})
    else:
        from charts.fitting import fit_spec, fitted_plan  # slow to import, and not for every sock

        plan = fitted_plan(fit_spec(spec))
    _check_decrease_clear_of_cables(plan)
    return plan


_NO_REASONS: Final[Mapping[str, str]] = MappingProxyType({})


def plan_counts(spec: SockSpec, reasons: Mapping[str, str] = _NO_REASONS) -> Plan:
    """Every count of the sock with the rows as they stand in the spec, and no wearer asked.

    `reasons` tells by key why a number is what it is, where it was not the designer who gave it.
    Raises PatternError with all the problems of meaning at once.
    """
    return _Planner(spec, reasons).plan()


class _Planner:
    """Collects the numbers, their reasons and the problems of one spec."""

    def __init__(self, spec: SockSpec, reasons: Mapping[str, str]) -> None:
        self.spec = spec
        self.reasons = reasons
        self.pegs = spec.loom.pegs
        self.knit_letter = KNIT_LETTERS[spec.knit]
        self.lines: list[PlanLine] = []
        self.problems: list[Problem] = []
        self.warnings: list[str] = []

    def plan(self) -> Plan:
        spec = self.spec
        half = self.pegs // 2
        self._line("pegs", self.pegs, f"the loom, {spec.loom.spacing_text} apart", "loom.pegs")
        cuff_letters = self._cuff()
        heel = self._heel(half)
        instep = self.pegs - heel
        self._line("instep pegs", instep, f"{self.pegs} pegs less the {heel} of the heel")
        self._panel(instep)
        if spec.leg.panel is None and spec.motifs:
            drawn = ", ".join(f"'{name}'" for name in spec.motifs)
            self.warnings.append(f"drawn and not used: {drawn}; leg.panel names the motif to knit")
        shift = self._shift(cuff_letters, heel)
        self._line("leg rows", spec.leg.rows, self._why("leg.rows"), "leg.rows")
        centre = self._centre(heel)
        gusset = (heel - centre) // 2
        self._line(
            "gusset pegs, each side", gusset, f"{heel} heel pegs less {centre}, shared by two sides"
        )
        if gusset < LEAST_USUAL_GUSSET:
            self.warnings.append(
                f"gussets of {gusset} make a flap and a turn of {2 * gusset} rows each: a flat heel"
            )
        if instep * 4 < self.pegs:
            self.warnings.append(f"an instep of {instep} pegs is under a quarter of the ring")
        flap = self._flap_rows(heel, gusset, centre)
        self._line(
            "edge loops, each side",
            flap // 2,
            f"one for every two of the {flap} flap rows, so that each gusset peg gets one",
        )
        turn = 2 * gusset
        self._line("turn rows", turn, f"each row joins one of {gusset} + {gusset} held loops")
        why = self._why("foot.rows", "as given, counted on the instep")
        self._line("foot rows", spec.foot.rows, why, "foot.rows")
        offset = (heel - half) // 2
        self._line("toe pegs", half, f"half of {self.pegs}{_rounded(self.pegs)}")
        side = self._toe_side(half)
        self._line("pegs before the toe", offset, f"({heel} − {half}) / 2 centre it under the heel")
        rows = 4 * side
        self._line("toe rows", rows, f"{2 * side} narrowing and {2 * side} widening")
        if self.pegs % 2:
            self._line(
                "decrease before the toe",
                1,
                f"{self.pegs} is odd: {half} toe pegs against {half + 1} would not graft",
            )
        self._line("pairs to graft", half, f"{half} loops on each needle; {4 * half} needle passes")
        if spec.knit == "e-wrap" and ("p" in cuff_letters):
            self.warnings.append(
                "An e-wrap knit is looser than a purl: work the purls of the rib with care, or "
                "use the u-wrap knit for the whole sock"
            )
        if self.problems:
            raise PatternError(tuple(self.problems))
        return Plan(
            spec=spec,
            shift=shift,
            heel_pegs=heel,
            centre_pegs=centre,
            gusset_pegs=gusset,
            flap_rows=flap,
            turn_rows=turn,
            instep_pegs=instep,
            toe_pegs=half,
            toe_side=side,
            toe_offset=offset,
            cuff_letters=cuff_letters,
            lines=tuple(self.lines),
            warnings=tuple(self.warnings),
        )

    def _why(self, key: str, given: str = "as given") -> str:
        return self.reasons.get(key, given)

    def _line(self, name: str, value: object, reason: str, key: str = "") -> None:
        self.lines.append(PlanLine(name, str(value), reason, key))

    def _problem(self, key: str, what: str, allowed: str = "", suggestion: str = "") -> None:
        self.problems.append(Problem(what, key, allowed, suggestion))

    def _cuff(self) -> str:
        rib, cuff = self.spec.cuff.rib, self.spec.cuff
        words = rib_words(rib)
        leftover = self.pegs % len(rib)
        why = self._why("cuff.rows", "as given; 15 to 20 are usual")
        self._line("cuff rows", cuff.rows, why, "cuff.rows")
        if leftover == 0:
            reason = f"{self.pegs} pegs = {self.pegs // len(rib)} times {len(rib)}"
        elif cuff.leftover is Leftover.KNIT:
            reason = (
                f"{self.pegs // len(rib)} times {len(rib)}; the {leftover} left over "
                f"{'is' if leftover == 1 else 'are'} knitted "
                f"on peg{'s' if leftover > 1 else ''} {_span(1, leftover)}, at the round’s start"
            )
        else:
            reason = ""
            below = self.pegs - leftover
            self._problem(
                "cuff.rib",
                f"{words} repeats over {len(rib)} pegs and {self.pegs} pegs leave {leftover} over",
                allowed=f"looms of {below} or {below + len(rib)} pegs"
                + (f", or on {self.pegs} pegs {ribs}" if (ribs := _ribs_for(self.pegs)) else ""),
                suggestion='leftover = "knit" under [cuff] knits the rest at the round’s start',
            )
        self._line("rib", words, reason, "cuff.rib")
        return cuff_letters_for(self.pegs, rib, self.knit_letter)

    def _heel(self, half: int) -> int:
        by_rule, reason = heel_pegs_rule(self.pegs, self.spec.loom.spacing_mm)
        heel = self.spec.heel.pegs
        choices = range(half, self.pegs - 1, 2)
        if heel is None:
            spacing = self.spec.loom.spacing_text
            self._line("heel pegs", by_rule, f"{reason} for a {spacing} loom", "heel.pegs")
            return by_rule
        if heel not in choices:
            nearest = _nearest(choices, heel)
            if half <= heel <= self.pegs - 2:
                what = (
                    f"{heel} heel pegs and {half} toe pegs differ by an odd number: the toe "
                    "would sit half a peg off centre"
                )
            else:
                what = f"{heel} heel pegs do not suit a ring of {self.pegs}"
            self._problem("heel.pegs", what, _listed(choices), setting("heel.pegs", nearest))
            heel = nearest
        self._line("heel pegs", heel, "as given", "heel.pegs")
        return heel

    def _centre(self, heel: int) -> int:
        by_rule = centre_pegs_rule(heel)
        centre = self.spec.heel.centre
        if centre is None:
            parity = "odd" if heel % 2 else "even"
            self._line(
                "turn pegs (centre)",
                by_rule,
                f"the {parity} number nearest to a third of {heel}",
                "heel.centre",
            )
            return by_rule
        choices = range(2 + heel % 2, heel - 1, 2)
        if centre not in choices:
            nearest = _nearest(choices, centre)
            what = f"a centre of {centre} does not leave two equal gussets of {heel} heel pegs"
            self._problem("heel.centre", what, _listed(choices), setting("heel.centre", nearest))
            centre = nearest
        self._line("turn pegs (centre)", centre, self._why("heel.centre"), "heel.centre")
        return centre

    def _flap_rows(self, heel: int, gusset: int, centre: int) -> int:
        needed = 2 * gusset
        rows = self.spec.heel.flap_rows
        if rows is None:
            self._line(
                "flap rows", needed, f"both gussets together: {gusset} + {gusset}", "heel.flap_rows"
            )
            return needed
        if rows % 2:
            what = f"{rows} flap rows end on the other side of the heel from where the turn starts"
        elif rows != needed:
            what = f"{rows} flap rows make {rows // 2} edge loops a side for {gusset} gusset pegs"
        else:
            self._line("flap rows", needed, "as given: both gussets together", "heel.flap_rows")
            return needed
        hint = setting("heel.flap_rows", needed)
        other = heel - rows
        if rows % 2 == 0 and 2 <= other <= heel - 2 and other != centre:
            hint += f", or {setting('heel.centre', other)}, which makes gussets of {rows // 2}"
        self._problem("heel.flap_rows", what, f"{needed} with a centre of {centre}", hint)
        return needed

    def _toe_side(self, toe_pegs: int) -> int:
        toe = self.spec.toe
        side = toe.side
        if side is None:
            side = toe_side_rule(toe_pegs, toe.shape)
            how = "down: blunt" if toe.shape is ToeShape.BLUNT else "up: tapered"
            exact = "" if toe_pegs % 3 == 0 else f", rounded {how}"
            reason = f"a third of {toe_pegs}{exact}"
        else:
            reason = "as given"
            most = (toe_pegs - 1) // 2
            if not 1 <= side <= most:
                self._problem(
                    "toe.side",
                    f"{side} pegs turned at each side do not suit {toe_pegs} toe pegs",
                    f"1 to {most}",
                    setting("toe.side", min(max(side, 1), most)),
                )
                side = min(max(side, 1), most)
        thirds = f"{side} / {toe_pegs - 2 * side} / {side}"
        self._line("toe: side / centre / side", thirds, reason, "toe.side")
        return side

    def _panel(self, instep: int) -> None:
        leg = self.spec.leg
        if leg.panel is None:
            return
        motif = self.spec.motifs[leg.panel]
        width = motif.width * leg.across
        times = f" × {leg.across}" if leg.across > 1 else ""
        if width > instep:
            self._problem(
                "leg.panel",
                f"the panel '{motif.name}' is {width} pegs wide ({motif.width}{times}) and the "
                f"instep has {instep}",
                f"at most {instep} pegs, and {'odd' if instep % 2 else 'even'}",
                "draw a narrower motif, or take a loom with more pegs",
            )
        elif (instep - width) % 2:
            self._problem(
                "leg.panel",
                f"a panel of {width} pegs would sit half a peg off the centre of {instep} "
                "instep pegs",
                f"{'odd' if instep % 2 else 'even'} widths up to {instep}",
                f"add or leave out one column of '{motif.name}'"
                if leg.across % 2
                else setting("leg.across", f"{leg.across - 1} or {leg.across + 1}")
                + ", with columns to suit",
            )
        else:
            side = (instep - width) // 2
            widest = max(
                (left + right for row in motif.rows for _, left, right in crosses(row)), default=0
            )
            if widest > WIDEST_EASY_CROSS:
                self.warnings.append(
                    f"a cross over {widest} pegs in '{motif.name}' pulls hard on a ring: try it in "
                    "the swatch"
                )
            self._line(
                "panel pegs",
                width,
                f"'{motif.name}' is {motif.width} wide{times}; {side} of the {instep} instep pegs "
                "at each side of it",
                "leg.panel",
            )

    def _shift(self, cuff_letters: str, heel: int) -> int:
        """The smallest move of the round's start that centres the rib on the instep."""
        leg, rib = self.spec.leg, self.spec.cuff.rib
        name = "round start moves by"
        key = "leg.round_start_shift"
        words = rib_words(rib)
        if leg.round_start_shift is not None:
            shift = leg.round_start_shift
            if not 0 <= shift < len(rib):
                self._problem(key, f"a shift of {shift} pegs", f"0 to {len(rib) - 1}")
                return 0
            self._line(name, _pegs(shift), "as given", key)
            window = self._instep_of_cuff(cuff_letters, heel, shift)
            lined_up = leg.panel is not None or leg.flanks is Flanks.RIB
            if lined_up and window != window[::-1]:
                self.warnings.append(f"{words} is off the instep’s centre with a shift of {shift}")
            return shift
        if leg.panel is None and leg.flanks is not Flanks.RIB:
            self._line(name, _pegs(0), "the leg is plain: nothing to line up with the rib", key)
            return 0
        for shift in range(len(rib)):
            window = self._instep_of_cuff(cuff_letters, heel, shift)
            if window == window[::-1]:
                first = self.spec.loom.wrap(heel + 1 + shift)
                last = self.spec.loom.wrap(self.pegs + shift)
                self._line(
                    name,
                    _pegs(shift),
                    f"the rib {words} is then centred on the instep, pegs "
                    f"{_round_span(first, last, self.pegs)}"
                    if shift
                    else f"the rib {words} is centred on the instep as it is",
                    key,
                )
                return shift
        instep = self.pegs - heel
        what = f"{words} cannot be centred on {instep} instep pegs"
        if leg.flanks is Flanks.RIB:
            fitting = _centred_ribs(self.spec, heel, self.knit_letter)
            self._problem(
                "leg.flanks",
                f"{what}: the two edges of the instep would differ",
                f"on this loom {fitting}" if fitting else "",
                'flanks = "knit", another cuff.rib, or round_start_shift = 0 to accept it',
            )
        else:
            self.warnings.append(f"{what}; the panel stands half a peg off the rib above it")
            self._line(name, _pegs(0), f"{what}; the panel below it is centred", key)
        return 0

    def _instep_of_cuff(self, cuff_letters: str, heel: int, shift: int) -> str:
        """The cuff's stitches above the instep if the round's start moved by that much."""
        wrap = self.spec.loom.wrap
        places = range(heel + 1, self.pegs + 1)
        return "".join(cuff_letters[wrap(place + shift) - 1] for place in places)


def _check_decrease_clear_of_cables(plan: Plan) -> None:
    """On an odd ring with no pegs before the toe the decrease takes the first instep peg."""
    spec = plan.spec
    if not plan.closing_decrease or plan.toe_offset > 0:
        return
    if spec.foot.instep is FootInstep.PLAIN:
        return

    def crosses_at(foot_rows: int) -> bool:
        return plan.instep_letters(spec.leg.rows + foot_rows)[0] in "RrLl"

    if crosses_at(spec.foot.rows):
        what = "the decrease before the toe falls on a cable cross of the last foot row"
        height = 1 if plan.panel is None else plan.panel.height
        clear = (spec.foot.rows + more for more in range(1, height))
        free = next((rows for rows in clear if not crosses_at(rows)), None)
        suggestion = setting("foot.rows", free) if free else setting("foot.instep", '"plain"')
        raise PatternError((Problem(what, "foot.rows", suggestion=suggestion),))


def _pegs(count: int) -> str:
    return f"{count} peg" if count == 1 else f"{count} pegs"


def _span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}–{last}"


def _round_span(first: int, last: int, pegs: int) -> str:
    """Pegs from first to last, told apart where they go over the end of the numbers."""
    if first <= last:
        return _span(first, last)
    return f"{_span(first, pegs)} and {_span(1, last)}"


def _nearest(choices: range, wanted: int) -> int:
    return min(choices, key=lambda choice: (abs(choice - wanted), choice))


def _listed(choices: range) -> str:
    """The choices in words; a long run is shortened to its ends.

    >>> _listed(range(20, 40, 2))
    '20, 22, 24 … 38'
    """
    values = list(choices)
    if len(values) <= 6:
        return ", ".join(map(str, values))
    return f"{values[0]}, {values[1]}, {values[2]} … {values[-1]}"


_COMMON_RIBS = ("kp", "kkpp", "kkp", "kkkp", "kkkpp")
"""Usual ribs, common practice: k1 p1, k2 p2, k2 p1, k3 p1, k3 p2."""


def _ribs_for(pegs: int) -> str:
    return " or ".join(rib_words(rib) for rib in _COMMON_RIBS if pegs % len(rib) == 0)


def _centred_ribs(spec: SockSpec, heel: int, knit_letter: str) -> str:
    """The usual ribs that suit the loom and can be centred on the instep."""
    pegs = spec.loom.pegs
    fitting = []
    for rib in _COMMON_RIBS:
        if pegs % len(rib):
            continue
        letters = cuff_letters_for(pegs, rib, knit_letter) * 2
        windows = (letters[heel + shift : pegs + shift] for shift in range(len(rib)))
        if any(window == window[::-1] for window in windows):
            fitting.append(rib_words(rib))
    return " or ".join(fitting)
