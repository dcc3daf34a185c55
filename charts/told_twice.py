"""A proved sock told twice, in steps and in charts, both read back: what a proof line claims."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from charts.chart import make_chart
from charts.parts import Part, parts_of
from charts.plain_text import chart_text, steps_text
from charts.proof import Proof, Readings, ToldSock, make_proof
from charts.reader import Ring, read_chart_text, read_steps_text
from charts.rows import Row
from charts.steps import make_steps
from charts.verify import Knit


class NamedKnit(NamedTuple):
    """A proved sock, under the name that the pages give it; empty for the one sock there is."""

    name: str
    knit: Knit


class ToldOtherwiseError(Exception):
    """Steps or charts do not tell the sock that was proved: a fault of ours."""


def prove_told(socks: Sequence[NamedKnit], readings: Readings = Readings.BOTH) -> Proof:
    """The proof of the socks of one booklet, once both ways to tell them are read back.

    `readings` are the ways in which the booklet tells them.  Raises ToldOtherwiseError, or
    ReadError, if they are not the rows that were knitted.
    """
    for _, knit in socks:
        _check_told(knit)
    return make_proof([ToldSock(name, knit.rows.events) for name, knit in socks], readings)


def _check_told(knit: Knit) -> None:
    steps = read_steps_text(steps_text(knit, make_steps(knit)))
    if steps.events != knit.rows.events:
        raise ToldOtherwiseError("the steps")
    ring = Ring(knit.plan.loom.pegs, knit.plan.loom.working)
    for part in parts_of(knit):
        if part is Part.CLOSING:
            continue
        rows = tuple(event for event in knit.rows.of(*part.sections) if isinstance(event, Row))
        if read_chart_text(chart_text(make_chart(knit, part)), ring).rows != rows:
            raise ToldOtherwiseError(f"the chart of the {part.value}")
