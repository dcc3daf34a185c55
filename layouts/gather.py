"""What to gather, the gauge and the words of the trade: only what this sock needs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from charts.gauge import counted_over
from charts.gauge_of import gauge_of
from charts.loom import Working
from charts.parts import Part
from charts.plan import Plan, rib_words
from charts.rows import RUN_ON, Row
from charts.stitches import STITCHES
from charts.verify import Knit
from charts.words import span
from charts.yarn import sock_yarn
from charts.yarn_figures import ball_of, loop_of
from charts.yarn_need import yarn_need
from layouts.blocks import Piece, paragraph
from layouts.edition import Content
from layouts.loom_ring import marker_places
from layouts.style import PageStyle
from layouts.tables import named_row
from layouts.text import NO_BREAK_SPACE, Run, bold


@dataclass(frozen=True, slots=True)
class Tool:
    """One thing to have at hand."""

    name: str
    use: str


@dataclass(frozen=True, slots=True)
class Term:
    """One word of the trade, and what it means here."""

    word: str
    meaning: str


def tools_of(knit: Knit, content: Content = Content.FULL) -> tuple[Tool, ...]:
    """What this sock needs, each with where it is used; the yarn in metres is for the pair."""
    plan = knit.plan
    gusset = plan.gusset_pegs
    tools = [
        Tool(
            "Round loom",
            f"{plan.loom.pegs} pegs, {plan.loom.spacing_text} from the middle of one peg to the "
            "middle of the next: the whole sock.",
        ),
        Tool("Yarn", f"{_yarn(plan)}: the whole sock.{_metres(knit)}"),
        Tool("Loom hook", "Lifting loops over: every row."),
        marker_tool(plan),
    ]
    if cable_parts(knit):
        where = " and ".join(cable_parts(knit))
        tools.append(
            Tool(
                "Cable needle",
                f"Or two double-pointed needles; crossing loops: {where}.",
            )
        )
    tools += [
        Tool("Contrasting thread", "A short end: the foot’s rows are counted from it."),
        Tool(
            "2 stitch holders",
            f"{_loops(gusset)} each: the heel turn.",
        ),
        Tool(
            "Blunt crochet hook",
            "Lifting edge loops and bars onto pegs: the gusset.",
        ),
        Tool(
            "2 double-pointed needles",
            "Or holders that open at both ends, thinner than the loops, for "
            f"{plan.toe_pegs} loops each: closing the toe.",
        ),
        Tool("Darning needle", "Blunt: grafting, weaving in the ends."),
        Tool("Scissors", "Cutting the yarn before the graft, trimming the ends."),
        Tool(
            "Row counter",
            "Or a pencil: the tick sheet has boxes to tick."
            if content is Content.CHARTS
            else "Or a pencil: every section has boxes to tick, and so has the tick sheet.",
        ),
    ]
    return tuple(tools)


def marker_tool(plan: Plan) -> Tool:
    """The markers and the pegs they sit on (common practice, no published source)."""
    pegs = [plan.peg(place) for place in marker_places(plan)]
    alike = ", ".join(str(peg) for peg in pegs if peg != 1)
    start = "The other one looks different and sits on peg 1, where the rounds start"
    if 1 in pegs:
        start += " and one of these begins too"
    if plan.shift:
        start += f"; move it to peg {plan.peg(1)} when the start moves, after the cuff"
    return Tool(
        f"{len({1, *pegs})} peg markers",
        f"A band or a dot on pegs {alike}, where heel, turn, toe and instep begin. {start}.",
    )


def cable_parts(knit: Knit) -> tuple[str, ...]:
    """The parts in which cables cross, in words."""
    found = []
    for part, words in ((Part.LEG, "the leg"), (Part.FOOT, "the foot")):
        rows = knit.rows.of(*part.sections)
        if any(isinstance(row, Row) and set(row.stitches) & set("RrLl") for row in rows):
            found.append(words)
    return tuple(found)


def _yarn(plan: Plan) -> str:
    if plan.spec.yarn:
        return plan.spec.yarn[:1].upper() + plan.spec.yarn[1:]
    return f"A smooth, springy yarn that suits pegs {plan.loom.spacing_text} apart"


TO_METRES: Final = 10
"""Metres of yarn are told in tens."""


def _metres(knit: Knit) -> str:
    """How much yarn the pair takes by the gauge, a second sock like the first or its mirror image;
    empty without a gauge."""
    spec = knit.plan.spec
    gauge = gauge_of(spec)
    if gauge is None:
        return ""
    ball, _ = ball_of(spec)
    sock = sock_yarn(knit, loop_of(spec, gauge, ball))
    need = yarn_need((sock, sock), ball=ball, strands=spec.ball.strands)
    metres = math.ceil(need.metres / TO_METRES) * TO_METRES
    yards = math.ceil(need.yards / TO_METRES) * TO_METRES
    return f" About {spec.units.told(f'{metres} m', f'{yards} yd')} for the pair, by the gauge."


def _loops(count: int) -> str:
    return "1 loop" if count == 1 else f"{count} loops"


def gauge_words(plan: Plan) -> str:
    """What the lengths rest on, or that none are printed."""
    gauge = plan.spec.gauge
    if gauge is None:
        return (
            "The pattern gives no gauge, so no lengths are printed. Knit a swatch on your loom, "
            "wash it, and count stitches and rows before you choose the yarn."
        )
    units = plan.spec.units
    span = units.told(f"10{NO_BREAK_SPACE}cm", f"4{NO_BREAK_SPACE}in")
    stitches, rows = (
        counted_over(count, units)[0] for count in (gauge.stitches_per_10cm, gauge.rows_per_10cm)
    )
    return (
        f"{_count(stitches, 'stitch', 'stitches')} and "
        f"{_count(rows, 'row', 'rows')} in {span} of plain knitting, counted in "
        "a washed swatch off the loom. If yours differ, so will width and lengths; the pegs and "
        "rows stay as they are."
    )


def _count(value: float, one: str, many: str) -> str:
    shown = round(value, 1)
    return f"{shown:g} {one if shown == 1 else many}"


def terms_of(knit: Knit) -> tuple[Term, ...]:
    """The words used in this booklet that a newcomer may not know, in the order met."""
    plan = knit.plan
    letters = {
        letter for row in knit.rows.events if isinstance(row, Row) for letter in row.stitches
    }
    knit_stitch = STITCHES[plan.knit_letter]
    rib = rib_words(plan.spec.cuff.rib)
    way = "left" if plan.loom.working is Working.LEFT_TO_RIGHT else "right"
    terms = [
        Term("Row", "one pass of the yarn, round the loom or across part of it."),
        Term("Live peg", "a peg with a loop on it."),
        Term("E-wrap", "the yarn once round the peg from the inside; the cast-on uses it."),
        Term(
            "Knit",
            f"in this booklet always {knit_stitch.name.replace('knit, ', 'the ')} knit.",
        ),
    ]
    if "p" in letters:
        terms.append(Term("Purl", "a loop drawn up from below; its bump shows in front."))
    terms += [
        Term(rib, f"{_rib_in_words(plan.spec.cuff.rib)}, over and over: ribbing."),
        Term("Left, right", f"as you face the pegs from outside; the heel starts at the {way}."),
    ]
    if any(isinstance(row, Row) and row.number == RUN_ON for row in knit.rows.events):
        moved = (
            f" Pegs {span(1, plan.shift)} at the end of the cuff move the round’s start."
            if plan.shift > 1
            else f" Peg {plan.peg(0)} at the end of the cuff moves the round’s start."
            if plan.shift
            else ""
        )
        terms.append(
            Term("Run on", f"work on to where the next section starts; no row is counted.{moved}")
        )
    if "s" in letters:
        terms.append(
            Term("Slip", "leave the loop on its peg and carry the yarn past inside the ring.")
        )
    terms += [
        Term("Edge loop", "a first stitch slipped at the edge of the heel flap: two rows each."),
        Term("Partial row", "the row that brings the yarn to the middle of the heel."),
        Term("Hold", "take loops off their pegs and let them wait on a stitch holder."),
        Term("Join", "knit a peg, hang the nearest held loop on it, knit both as one: 2 stitches."),
        Term("Gusset", "the pegs at each side of the heel whose edge loops are hung back."),
        Term("Lifted bar", "the strand between two stitches, hung on a peg to close a gap."),
    ]
    if "t" in letters:
        terms.append(
            Term(
                "Turned stitch",
                "the last stitch of a short row, pulled over its peg so that both legs show; "
                "known as the German short row.",
            )
        )
    if "w" in letters:
        terms.append(
            Term("Wrap and turn", "the yarn laid round the next peg before the row goes back.")
        )
    terms.append(
        Term("Graft", "join two rows of loops with yarn and needle so that no seam shows.")
    )
    return tuple(terms)


def _rib_in_words(rib: str) -> str:
    """
    >>> _rib_in_words("kkpp")
    'knit 2, purl 2'
    """
    names = {"k": "knit", "p": "purl"}
    return ", ".join(f"{names[word[0]]} {word[1:]}" for word in rib_words(rib).split())


def tool_rows(
    knit: Knit, width_mm: float, style: PageStyle, content: Content = Content.FULL
) -> list[Piece]:
    """The tools as a table."""
    return [
        named_row((bold(tool.name),), tool.use, TOOL_MM, width_mm, style.body)
        for tool in tools_of(knit, content)
    ]


TOOL_MM: Final = 33.0
TERM_MM: Final = 27.0
"""Widths of the columns of names on an A5 page."""


def early_caution(width_mm: float, style: PageStyle, page: int | None = None) -> Piece:
    """One line beside the tools; the cautions themselves stand at the end."""
    where = f"page{NO_BREAK_SPACE}{page}" if page else "the end of the booklet"
    words = (
        bold("Mind the points"),
        Run(
            " of hook and needles: work away from your face, cap them when you stop, keep them "
            f"from small children. Babies’ toes, smooth floors, tight cuffs: cautions on {where}."
        ),
    )
    return paragraph(words, style.body, width_mm)


def term_rows(knit: Knit, width_mm: float, style: PageStyle) -> list[Piece]:
    """The terms as a table."""
    return [
        named_row((bold(term.word),), _sentence(term.meaning), TERM_MM, width_mm, style.body)
        for term in terms_of(knit)
    ]


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
