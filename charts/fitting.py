"""A spec fitted to its wearer: rows from the foot, the sizes of the finished sock, the verdict.

What the designer gave wins; what was left out follows from the foot and the gauge, each number with
its reason.  A spec without a wearer comes back as it is, with the sizes that its gauge promises.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from charts.body import BodyRows, Heights, Repeats, SockPegs, rows_from_body
from charts.ease import LENGTH_SHARE, ROUND_SHARE, Ease, measure_words
from charts.feet import Foot, foot_from_measures
from charts.fit import Fit, check_fit
from charts.foot_classes import read_foot_class
from charts.foot_measures import FootMeasures, Measure
from charts.gauge import GaugeReading, counted_over
from charts.gauge_of import gauge_of
from charts.plan import Plan, PlanLine, plan_counts
from charts.problems import PatternError, Problem
from charts.shoe_words import read_shoe_size
from charts.sock_measures import GRAFT_ROWS, Measures, SockCounts, sock_measures
from charts.spec import EaseWanted, Flanks, FootInstep, Length, RowCount, SockSpec, WearerFacts
from charts.usual import USUAL_REASONS


@dataclass(frozen=True)
class FittedSpec:
    """A spec with every row count filled in, and what is known of its fit."""

    spec: SockSpec
    """Planned as it stands: nothing in it is left to the wearer any more."""
    foot: Foot | None
    """None without a wearer."""
    gauge: GaugeReading | None
    ease: Ease
    fit: Fit | None
    """None without a wearer or a gauge."""
    measures: Measures | None
    """Of the finished sock; None without a gauge."""
    reasons: Mapping[str, str]
    """Why a number is what it is, by key; those that were computed here."""
    before: tuple[PlanLine, ...]
    """Lines for the head of the plan: the foot and the gauge."""
    after: tuple[PlanLine, ...]
    """Lines for its end: the finished sock and how it fits."""
    warnings: tuple[str, ...]
    """Sentences for the designer."""


def fit_spec(spec: SockSpec) -> FittedSpec:
    """The spec with the rows that its wearer decides, and the fit of the sock.

    A sock that does not fit is a warning that names the nearest that does.  Raises PatternError
    with every problem: counts that do not plan, measures that cannot be, a foot too short for heel
    and toe.
    """
    problems: list[Problem] = []
    plan, foot = None, None
    try:
        plan = plan_counts(spec)
    except PatternError as error:
        problems += error.problems
    if spec.wearer is not None:
        try:
            foot = foot_of(spec.wearer)
        except PatternError as error:
            problems += error.problems
    if problems or plan is None:
        raise PatternError(tuple(problems))
    return _Fitter(spec, plan, foot).fitted()


def fitted_plan(fitted: FittedSpec) -> Plan:
    """The plan of a fitted spec, with the lines and warnings of the fit."""
    usual = {rows.value: USUAL_REASONS[rows] for rows in fitted.spec.left_out}
    plan = plan_counts(fitted.spec, usual | dict(fitted.reasons))
    return replace(
        plan,
        lines=fitted.before + plan.lines + fitted.after,
        warnings=plan.warnings + fitted.warnings,
    )


# What the designer told, as records of the fit


def foot_of(wearer: WearerFacts) -> Foot:
    """The wearer's foot.  Raises PatternError with the problems of its measures, by their keys."""

    def mm(length: Length | None) -> float | None:
        return None if length is None else length.mm

    measures = FootMeasures(
        length_mm=mm(wearer.length),
        ball_mm=mm(wearer.ball),
        ankle_mm=mm(wearer.ankle),
        heel_ankle_mm=mm(wearer.heel_round),
        leg_mm=mm(wearer.leg_round),
        leg_height_mm=mm(wearer.leg_height),
        heel_width_mm=mm(wearer.heel_width),
        heel_height_mm=mm(wearer.heel_height),
    )
    try:
        return foot_from_measures(
            measures,
            shoe=read_shoe_size(wearer.shoe) if wearer.shoe else None,
            foot_class=read_foot_class(wearer.foot_class) if wearer.foot_class else None,
            key="wearer",
        )
    except PatternError as error:
        raise PatternError(tuple(map(_in_words_of_file, error.problems))) from None


_KEYS: Final = {
    "wearer.heel_ankle": "wearer.heel_round",
    "wearer.leg": "wearer.leg_round",
    "foot.length": "wearer.length",
    "foot.leg_height": "wearer.leg_height",
}
"""Keys of the pattern file for those that measures go by elsewhere."""


def _in_words_of_file(problem: Problem) -> Problem:
    return replace(problem, key=_KEYS.get(problem.key, problem.key))


def ease_of(wanted: EaseWanted) -> Ease:
    """The ease wanted, the usual one where nothing was said."""

    def share(percent: float | None, usual: float) -> float:
        return usual if percent is None else percent / 100

    return Ease(
        share(wanted.round_percent, ROUND_SHARE), share(wanted.length_percent, LENGTH_SHARE)
    )


def ribbed_share(plan: Plan) -> float:
    """The share of the leg's pegs that are ribbed; 1 for a sock whose cuff ends at the heel."""
    if plan.spec.leg.rows == 0:
        return 1.0
    if plan.spec.leg.flanks is not Flanks.RIB:
        return 0.0
    return (plan.instep_pegs - plan.panel_pegs) / plan.loom.pegs


def planned_counts(plan: Plan) -> SockCounts:
    """The counts on which the sizes of the sock depend, as planned."""
    return SockCounts(
        round_stitches=plan.loom.pegs,
        centre_stitches=plan.centre_pegs,
        cuff=plan.spec.cuff.rows,
        leg=plan.spec.leg.rows,
        flap=plan.flap_rows,
        turn=plan.turn_rows,
        foot=plan.spec.foot.rows,
        toe=2 * plan.toe_side + GRAFT_ROWS,
    )


class _Fitter:
    """Collects what one foot makes of one spec."""

    def __init__(self, spec: SockSpec, plan: Plan, foot: Foot | None) -> None:
        self.spec = spec
        self.plan = plan
        self.foot = foot
        self.gauge = gauge_of(spec)
        self.ease = ease_of(spec.ease)
        self.reasons: dict[str, str] = {}
        self.before: list[PlanLine] = []
        self.after: list[PlanLine] = []
        self.warnings: list[str] = []

    def fitted(self) -> FittedSpec:
        if self.foot is not None:
            self._tell_foot(self.foot)
        if self.gauge is not None and (self.foot is not None or self.spec.swatches):
            self._tell_gauge(self.gauge)
        if self.foot is not None and self.gauge is None:
            self._tell_no_gauge(self.foot)
        fit = None
        if self.foot is not None and self.gauge is not None:
            self._fill_rows(self.foot, self.gauge)
            fit = self._judge(self.foot, self.gauge)
        measures = None
        if self.gauge is not None:
            measures = sock_measures(planned_counts(self.plan), self.gauge)
        if self.foot is not None and measures is not None and fit is not None:
            self._tell_sock(measures, fit)
        return FittedSpec(
            spec=self.spec if fit is None else replace(self.spec, left_out=frozenset()),
            foot=self.foot,
            gauge=self.gauge,
            ease=self.ease,
            fit=fit,
            measures=measures,
            reasons=MappingProxyType(self.reasons),
            before=tuple(self.before),
            after=tuple(self.after),
            warnings=tuple(self.warnings),
        )

    def _fill_rows(self, foot: Foot, gauge: GaugeReading) -> None:
        """Rows and turn from the body where the designer left them out."""
        spec, plan, heel = self.spec, self.plan, self.spec.heel
        free = spec.left_out
        body = rows_from_body(
            foot,
            gauge,
            self.ease,
            SockPegs(
                pegs=spec.loom.pegs,
                heel_pegs=plan.heel_pegs,
                centre_pegs=plan.centre_pegs,
                toe_side=plan.toe_side,
                centre_is_given=heel.centre is not None or heel.flap_rows is not None,
            ),
            heights=Heights(cuff_rows=None if RowCount.CUFF in free else spec.cuff.rows),
            repeats=self._repeats(),
            units=spec.units,
        )
        problems = tuple(problem for problem in body.problems if _matters(problem, free))
        if problems:
            raise PatternError(tuple(map(_in_words_of_file, problems)))
        self._take(body)
        self._warn_of_motif(free)

    def _take(self, body: BodyRows) -> None:
        spec, free = self.spec, self.spec.left_out
        computed = {rows.value for rows in free}
        if body.pegs.centre_pegs != self.plan.centre_pegs or self._centre_by_width(body):
            computed.add("heel.centre")
            spec = replace(spec, heel=replace(spec.heel, centre=body.pegs.centre_pegs))
        if RowCount.CUFF in free:
            spec = replace(spec, cuff=replace(spec.cuff, rows=body.cuff_rows))
        if RowCount.LEG in free:
            spec = replace(spec, leg=replace(spec.leg, rows=body.leg_rows))
        if RowCount.FOOT in free:
            spec = replace(spec, foot=replace(spec.foot, rows=body.foot_rows))
        for line in body.lines:
            if line.key in computed:
                self.reasons[line.key] = line.reason
            elif line.name == _FLAP_HEIGHT:
                self.after.append(PlanLine(line.name, line.value, line.reason, line.key))
        self.warnings += body.warnings
        self.spec = spec
        self.plan = plan_counts(spec, self.reasons)

    def _centre_by_width(self, body: BodyRows) -> bool:
        return any(line.key == "heel.centre" for line in body.lines)

    def _repeats(self) -> Repeats:
        """Rows of the motif for the parts that are to end on a whole one."""
        panel, spec = self.plan.panel, self.spec
        if panel is None:
            return Repeats()
        continued = spec.foot.instep is FootInstep.CONTINUE
        return Repeats(
            leg=panel.height if spec.leg.round_to_motif else 1,
            foot=panel.height if spec.foot.round_to_motif and continued else 1,
        )

    def _warn_of_motif(self, free: frozenset[RowCount]) -> None:
        """Whole motifs on the foot begin after whole motifs on the leg only."""
        panel, over = self.plan.panel, 0
        if panel is not None and RowCount.FOOT in free and self._repeats().foot > 1:
            over = self.spec.leg.rows % panel.height
        if panel is not None and over:
            below = self.spec.leg.rows - over
            self.warnings.append(
                f"The leg ends {over} rows into a motif of {panel.height}, so the foot does not "
                f"end on a whole one either: give the leg {below} or {below + panel.height} rows, "
                "or round_to_motif"
            )

    def _judge(self, foot: Foot, gauge: GaugeReading) -> Fit:
        share = ribbed_share(self.plan)
        fit = check_fit(
            foot,
            self.spec.loom.pegs,
            gauge,
            self.ease,
            ribbed_share=share,
            units=self.spec.units,
        )
        if fit.works:
            self.warnings += fit.notes
            return fit
        from charts.adviser import Wishes, try_loom  # only where something else must be found

        wishes = Wishes(
            self.ease,
            ribbed_share=share,
            repeat=len(self.spec.cuff.rib),
            toe=self.spec.toe.shape,
            units=self.spec.units,
        )
        nearest = try_loom(foot, self.spec.loom, gauge, wishes).nearest
        words = f"; nearest that works: {nearest.words}" if nearest and nearest.words else ""
        self.warnings += (f"The sock {_clause(fit)}{words}", *fit.notes)
        return fit

    def _tell_foot(self, foot: Foot) -> None:
        units = self.spec.units
        measures = [
            ("foot length", foot.length, "wearer.length"),
            ("round the ball", foot.ball, "wearer.ball"),
            ("round the ankle", foot.ankle, "wearer.ankle"),
            ("round heel and ankle", foot.heel_ankle, "wearer.heel_round"),
        ]
        if foot.leg is not None:
            measures.append(("round the leg", foot.leg, "wearer.leg_round"))
        for name, measure, key in measures:
            notes = foot.notes if measure is foot.length else ()
            reason = "; ".join((_basis(measure, self.spec), *notes))
            self.before.append(PlanLine(name, measure_words(measure.mm, units), reason, key))

    def _tell_gauge(self, gauge: GaugeReading) -> None:
        for name, count, key in (
            ("stitches", gauge.stitches, "gauge.stitches"),
            ("rows", gauge.rows, "gauge.rows"),
        ):
            counted, span = counted_over(count.per_10cm, self.spec.units)
            reason = f"{gauge.basis}; ± {100 * count.share:.1f} %"
            self.before.append(PlanLine(f"{name} in {span}", f"{counted:.4g}", reason, key))
        self.warnings += gauge.warnings
        if gauge.source.is_estimate:
            self.warnings.append(
                f"The gauge is {gauge.basis}: every size here is as doubtful as that"
            )

    def _tell_no_gauge(self, foot: Foot) -> None:
        length = measure_words(foot.length.mm, self.spec.units)
        self.warnings.append(
            f"There is a wearer with a foot of {length} and no gauge: no row is fitted to it; give "
            "stitches and rows under [gauge], swatches, or the yarn's weight for a guess"
        )

    def _tell_sock(self, measures: Measures, fit: Fit) -> None:
        units = self.spec.units
        round_off = measure_words(measures.round.error_mm, units)
        self.after += [
            PlanLine(
                "finished round",
                measure_words(measures.round.mm, units),
                f"{fit.pegs} stitches, ± {round_off}; aimed at "
                f"{measure_words(fit.aim.mm, units)}: {fit.aim.reason}",
                "ease.round",
            ),
            PlanLine(
                "finished foot",
                measure_words(measures.length.mm, units),
                "turn, foot and toe, from the back of the heel to the tip, "
                f"± {measure_words(measures.length.error_mm, units)}",
                "ease.length",
            ),
            PlanLine("fit", fit.fit_class.value, fit.sentence.partition(": ")[2]),
        ]


_FLAP_HEIGHT: Final = "flap height"


def _matters(problem: Problem, free: frozenset[RowCount]) -> bool:
    """Whether the problem is of a number that the wearer decides."""
    match problem.key:
        case "foot.leg_height":
            return bool(free & {RowCount.LEG, RowCount.CUFF})
        case "cuff.rows":
            return RowCount.LEG in free
        case _:
            return RowCount.FOOT in free


def _basis(measure: Measure, spec: SockSpec) -> str:
    """Where a measure comes from, with the error to expect."""
    return f"{measure.basis}; ± {measure_words(measure.error_mm, spec.units)}"


def _clause(fit: Fit) -> str:
    """The fit's sentence as it goes on after "the sock".

    The classes are a verb ("will not pass the heel") or an adjective ("too tight").
    """
    verb = "" if fit.fit_class.value.startswith("will ") else "is "
    return verb + fit.sentence
