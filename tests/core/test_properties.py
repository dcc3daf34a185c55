"""Any sock at all is either proved or refused with an error that names what to change."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import fields, replace

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from charts.chart import ChartRow, Folding, make_chart
from charts.parts import parts_of
from charts.plan import Plan, make_plan, second_sock
from charts.problems import PatternError
from charts.rows import Row, Section
from charts.sock import make_rows
from charts.spec import ShortRows, SockSpec
from charts.steps import make_steps
from charts.verify import Knit, verify

from .socks import problems_of, proved, specs

PARTS = {field.name for field in fields(SockSpec)}


def planned(spec: SockSpec) -> Plan:
    try:
        return make_plan(spec)
    except PatternError:
        assume(False)
        raise


@settings(max_examples=300, deadline=None)
@given(specs())
def test_any_pattern_is_proved_or_refused_by_name(spec: SockSpec) -> None:
    problems = problems_of(spec)
    if not problems:
        proved(spec)
        return
    assert len({problem.text() for problem in problems}) == len(problems)
    for problem in problems:
        section, _, key = problem.key.partition(".")
        assert section in PARTS
        assert key in {field.name for field in fields(getattr(spec, section))}
        assert problem.what
        assert problem.allowed or problem.suggestion
        assert problem.text().startswith(f"{problem.key}: {problem.what}")


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(specs(fitting=True))
def test_a_pattern_that_fits_is_proved_and_charted(spec: SockSpec) -> None:
    plan = planned(spec)
    knit = verify(plan, make_rows(plan))
    assert born(knit) == closed_sums(plan)
    assert_charted(knit)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(specs(fitting=True))
def test_the_second_sock_is_proved_too_and_has_as_many_stitches(spec: SockSpec) -> None:
    plan = planned(spec)
    second = proved(second_sock(spec))
    assert second.counts == verify(plan, make_rows(plan)).counts


NUMBER_TO_TRY = re.compile(r"(\w+) = (\d+) under \[(\w+)\]")


@settings(max_examples=200, deadline=None)
@given(specs(), st.data())
def test_a_number_to_try_makes_its_problem_go_away(spec: SockSpec, data: st.DataObject) -> None:
    problems = [each for each in problems_of(spec) if NUMBER_TO_TRY.match(each.suggestion)]
    assume(problems)
    problem = data.draw(st.sampled_from(problems))
    found = NUMBER_TO_TRY.match(problem.suggestion)
    assert found is not None
    key, number, section = found.groups()
    part = replace(getattr(spec, section), **{key: int(number)})
    cured = problems_of(replace(spec, **{section: part}))
    assert problem.key not in {each.key for each in cured}


def born(knit: Knit) -> dict[Section, int]:
    """Loops drawn in each section, as the trace has them; bars and hung-back loops left out."""
    events = knit.rows.events
    births = zip(knit.trace.letter, knit.trace.born_event, strict=True)
    return Counter(events[event].section for letter, event in births if letter not in "BG")


def closed_sums(plan: Plan) -> dict[Section, int]:
    """The same from arithmetic alone.

    Rows times pegs, and for the shaped parts: the first flap row has all heel pegs, the others
    one less; a turn row has the centre and its join, the first one begun by the partial row; the
    toe's rows are two runs of whole numbers, n, n - 1 … or n - 1, n - 2 …
    """
    pegs, heel, centre = plan.loom.pegs, plan.heel_pegs, plan.centre_pegs
    half, side, gusset = pegs // 2, plan.toe_side, (heel - centre) // 2
    small = half - 2 * side
    if plan.spec.toe.short_rows is ShortRows.TURNED:
        toe = [*range(half, small, -1), small + 1, *range(small + 1, half)]
    else:
        toe = [*range(half - 1, small - 1, -1), *range(small + 1, half + 1)]
    assert len(toe) == 4 * side
    sums = {
        Section.CAST_ON: pegs,
        Section.CUFF: plan.spec.cuff.rows * pegs + plan.shift,
        Section.LEG: plan.spec.leg.rows * pegs,
        Section.FLAP: heel + (heel - centre - 1) * (heel - 1),
        Section.PARTIAL: gusset,
        Section.TURN: (heel - centre) * (centre + 1) - 1,
        Section.FOOT: plan.spec.foot.rows * pegs - gusset + (heel - half) // 2 - pegs % 2,
        Section.TOE: sum(toe),
    }
    return {section: count for section, count in sums.items() if count}


def assert_charted(knit: Knit) -> None:
    """Every part has its chart, as wide as its columns say, and its steps."""
    parts = parts_of(knit)
    steps = make_steps(knit)
    assert [each.part for each in steps] == list(parts)
    assert all(each.steps and each.counting for each in steps)
    for part in parts:
        for folding in Folding:
            chart = make_chart(knit, part, folding=folding)
            assert chart.lines
            for line in chart.lines:
                if isinstance(line, ChartRow):
                    assert len(line.cells) == len(chart.columns)
            shown = [peg for column in chart.columns for peg in column.pegs]
            assert len(shown) == len(set(shown))
            worked = {
                peg
                for event in knit.rows.events
                if isinstance(event, Row) and event.section in part.sections
                for peg in event.pegs
            }
            assert worked <= set(shown)
