"""How to do the few movements that need a picture: boxes printed where each is first needed.

The words say what the stitch table says, one hand movement a line; the drawings are ours.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.loom import Loom
from charts.parts import Part
from charts.plan import Plan
from charts.rows import CastOn, Holder, LiftBar, Rehang, Row, Rows, Shift, TakeOff
from charts.stitches import STITCHES, crosses
from charts.verify import Knit
from charts.words import back_leg, front_leg, side_of, spans
from layouts.block import Block
from layouts.blocks import Piece, figure, paragraph, side_by_side, stacked
from layouts.mirror import mirrored_block
from layouts.paper import MM_PER_PT
from layouts.scene import (
    Group,
    Role,
    rect,
)
from layouts.style import PageStyle
from layouts.technique_drawings import (
    DRAWING_MM,
    Cross,
    bar_drawing,
    cast_on_drawing,
    cross_drawing,
    decrease_drawing,
    edge_loop_drawing,
    join_drawing,
    knit_drawing,
    purl_drawing,
    slip_drawing,
    take_off_drawing,
    turned_stages,
    wrapped_stages,
)
from layouts.text import RichText, bold, set_line


@dataclass(frozen=True, slots=True)
class Technique:
    """One movement in words and a picture."""

    title: str
    moves: tuple[RichText, ...]
    drawing: Block
    where: str = ""
    """Goes on after the title: on which pegs, for instance."""
    between_rows: bool = False
    """It is done before the part's first row."""
    first: int = 1
    """Number of its first move."""


def crosses_of(rows: Rows, part: Part) -> tuple[Cross, ...]:
    """Each kind of cable cross of a part once, in the order met."""
    found: dict[tuple[int, int, bool], Cross] = {}
    for row in rows.of(*part.sections):
        if not isinstance(row, Row) or not set(row.stitches) & set("RrLl"):
            continue
        as_seen = 1 if row.direction == rows.loom.rightward else -1
        letters, pegs = row.stitches[::as_seen], row.pegs[::as_seen]
        # As the yarn comes to them.
        for start, left, right in crosses(letters)[::as_seen]:
            over = letters[start] == "R"
            places = pegs[start : start + left + right]
            found.setdefault((left, right, over), Cross(left, right, over, places))
    return tuple(found.values())


def techniques_of(knit: Knit, part: Part) -> tuple[Technique, ...]:
    """The techniques that a part needs, those of earlier parts too."""
    rows = knit.rows
    events = rows.of(*part.sections)
    letters = {letter for row in events if isinstance(row, Row) for letter in set(row.stitches)}
    found = []
    if any(isinstance(event, CastOn) for event in events):
        found.append(cast_on_technique(rows.loom))
    if knit.plan.knit_letter in letters:
        found.append(knit_technique(knit.plan.knit_letter, rows.loom))
    if "p" in letters:
        found.append(purl_technique(rows.loom))
    if "s" in letters:
        found.append(slip_technique(rows.loom))
    found += [cable_technique(cross) for cross in crosses_of(rows, part)]
    if "j" in letters:
        found.append(join_technique(knit.plan))
    rehung = [event for event in events if isinstance(event, Rehang)]
    if rehung:
        found.append(edge_loop_technique(rehung[0], rows.loom))
    bars = sum(isinstance(event, LiftBar) for event in events)
    if bars:
        found.append(bar_technique(rows.loom, corners=bars > TURN_CORNERS))
    if "t" in letters:
        found.append(turned_technique(rows.loom))
    if "w" in letters:
        found.append(wrapped_technique(rows.loom))
    found += [decrease_technique(event, rows.loom) for event in events if isinstance(event, Shift)]
    if any(isinstance(event, TakeOff) for event in events):
        found.append(take_off_technique(rows.loom))
    return tuple(found)


TURN_CORNERS: Final = 2
"""Where a bar is always lifted."""


def as_worked(drawing: Block, loom: Loom) -> Block:
    """A drawing made for a row to the right as the first round of this ring runs."""
    return drawing if loom.rightward > 0 else mirrored_block(drawing)


def in_stages(stages: Sequence[Block], loom: Loom) -> Block:
    """Stages side by side in their order, left to right, each as the first round runs."""
    return side_by_side([as_worked(stage, loom) for stage in stages], 0.0)


# --- The movements ---------------------------------------------------------------------------


def cast_on_technique(loom: Loom) -> Technique:
    return Technique(
        "Cast on",
        (
            "Slip knot on peg 1.",
            "Take the yarn round the next peg from the inside, twice: two loops, one above the "
            "other.",
            "Lift the lower loop over the upper one with the hook; go on to the next peg.",
            f"Keep the yarn loose: the cuff must stretch. Stop after peg {loom.pegs}. A tight edge "
            "does not loosen later: after a few rows try whether it goes over your heel.",
        ),
        as_worked(cast_on_drawing(), loom),
        between_rows=True,
    )


def knit_technique(letter: str, loom: Loom) -> Technique:
    """The knit of the sock, in two movements."""
    ways = {
        "k": ("Lay the yarn straight across the front of the peg, above the loop.", 0.0),
        "u": ("Lay the yarn across the front, above the loop, and half round the peg.", 2.2),
        "e": ("Take the yarn all the way round the peg, from the inside, above the loop.", 4.0),
    }
    words, reach_mm = ways[letter]
    name = STITCHES[letter].name.removeprefix("knit, ")
    slack = "Leave some slack: the flat knit is the tightest of the knits." if letter == "k" else ""
    moves = (words, "Lift the loop over the yarn and off the peg: the yarn is the new loop.", slack)
    return Technique(
        f"Knit ({name})",
        tuple(move for move in moves if move),
        as_worked(knit_drawing(reach_mm), loom),
    )


def purl_technique(loom: Loom) -> Technique:
    return Technique(
        "Purl",
        (
            "Hold the yarn below the loop, in front of the peg.",
            "Put the hook down through the loop and draw the yarn up through it: a new loop.",
            "Take the old loop off the peg, hang the new one on and draw it up.",
        ),
        as_worked(purl_drawing(), loom),
    )


def slip_technique(loom: Loom) -> Technique:
    return Technique(
        "Slip",
        (
            "Leave the loop on the peg as it is.",
            "Carry the yarn past inside the ring, neither tight nor loose.",
        ),
        as_worked(slip_drawing(), loom),
    )


def cable_technique(cross: Cross) -> Technique:
    """Both strands change pegs: the one on top on a needle outside the ring, the other behind."""
    left, right = cross.pegs[: cross.left], cross.pegs[cross.left :]
    over, under = (left, right) if cross.left_over else (right, left)
    first, last = cross.pegs[: cross.right], cross.pegs[cross.right :]
    over_to, under_to = (last, first) if cross.left_over else (first, last)
    hops = list(zip(under, under_to, strict=True))
    if not cross.left_over:
        # The loop nearest to the pegs just emptied moves first.
        hops.reverse()
    moved = ", ".join(f"{start} to {end}" for start, end in hops)
    behind = (
        f"Behind it move the loop of peg {under[0]} to peg {under_to[0]}."
        if len(under) == 1
        else f"Behind it move the {_loops(len(under))} of {_listed(under)}, one by one: {moved}."
    )
    order = "not twisted" if len(over) == 1 else "in the order they came off, none twisted"
    return Technique(
        cross.name,
        (
            f"Take the {_loops(len(over))} of {_listed(over)} onto the cable needle and let it "
            "hang in front, outside the ring.",
            behind,
            f"Hang the {_loops(len(over))} of the needle on {_listed(over_to)}, {order}.",
            "Knit all these pegs where the row comes to them.",
        ),
        cross_drawing(cross),
        f", for instance on pegs {spans(cross.pegs)}",
    )


def join_technique(plan: Plan) -> Technique:
    """Which holder serves which end is read off the plan's pegs."""
    near, far = plan.peg(plan.gusset_pegs + 1), plan.peg(plan.heel_pegs - plan.gusset_pegs)
    sides = [side_of(holder, plan.loom) for holder in (Holder.FAR, Holder.NEAR)]
    return Technique(
        "Knit and join",
        (
            "Knit the last peg of the row.",
            "Take the loop that comes off the holder first, and hang it on the same peg: on peg "
            f"{far} from the {sides[0]} holder, on peg {near} from the {sides[1]} one.",
            "Lay the yarn across and lift both loops over it together: both as one. So a join is "
            "two stitches.",
            "Go back. The next row starts by knitting this peg again.",
        ),
        as_worked(join_drawing(), plan.loom),
    )


def turned_technique(loom: Loom) -> Technique:
    return Technique(
        "Knit and turn: the turned stitch",
        (
            "Knit the last peg of the row.",
            "Pull the yarn tight up and over the peg, to the inside, until both legs of the new "
            "loop show on it: one loop, two strands.",
            "Hold the yarn tight and go back from the peg beside it.",
            "Later, knit both strands as one: lift them over the yarn together. Then go back from "
            "the peg beside it; do not knit it again and do not turn it.",
        ),
        in_stages(turned_stages(), loom),
    )


def wrapped_technique(loom: Loom) -> Technique:
    return Technique(
        "Wrap and turn",
        (
            "Take the loop of the next peg off.",
            "Bring the yarn round that peg from the inside.",
            "Hang the loop back above the wrap, and go back from the peg beside it.",
            "Later, knit loop and wraps as one: lift them over the yarn together. Then go back as "
            "the step says.",
        ),
        in_stages(wrapped_stages(), loom),
    )


def edge_loop_technique(rehang: Rehang, loom: Loom) -> Technique:
    """Drawn at the edge named first; the other edge is its mirror image."""
    oldest, newest = rehang.pegs[0], rehang.pegs[-1]
    drawing = edge_loop_drawing(oldest, newest)
    if side_of(rehang.holder, loom) == "right":
        # The turn is then at the left of the edge.
        drawing = mirrored_block(drawing)
    order = (
        "Begin at the leg, outermost, with the oldest; the newest is the loop joined last, at the "
        "corner of the turn."
        if oldest != newest
        else "There is one at each edge, the loop joined last."
    )
    return Technique(
        "Hang an edge loop",
        (
            "Look along the flap’s edge: each long stitch is an edge loop, its two strands are its "
            "legs.",
            order,
            "Put the blunt hook under both legs, draw them up and lay both over the peg.",
            "The gusset needs no decreases.",
        ),
        drawing,
        between_rows=True,
    )


def take_off_technique(loom: Loom) -> Technique:
    """Which leg of a loop lies in front on its needle; mirrored where rounds run to the left."""
    front, behind = front_leg(loom), back_leg(loom)
    return Technique(
        "Take a loop off",
        (
            f"From inside the ring put the needle through the loop: behind its {front} leg and out "
            f"over its {behind} one, as you see them from outside.",
            "Lift the loop off. The needle has two points: the loop taken first is grafted first.",
        ),
        as_worked(take_off_drawing(front, behind), loom),
    )


def bar_technique(loom: Loom, *, corners: bool = False) -> Technique:
    """`corners`: bars are lifted where gusset and instep meet too."""
    also = " At the outer corner it runs between gusset and instep." if corners else ""
    return Technique(
        "Lift the bar",
        (
            "Find the strand between the end of the turn and the newest edge loop." + also,
            "Lift it onto the peg named, above the loop there.",
            "In the next row knit loop and bar as one: no hole is left.",
        ),
        as_worked(bar_drawing(), loom),
        between_rows=True,
    )


def decrease_technique(shift: Shift, loom: Loom) -> Technique:
    """The one decrease of an odd ring, told by pegs."""
    goes_left = (shift.to_peg - shift.from_peg) * loom.rightward in (-1, loom.pegs - 1)
    side = "left" if goes_left else "right"
    return Technique(
        "The one decrease",
        (
            f"Move the loop of peg {shift.from_peg} to peg {shift.to_peg}, its {side} neighbour, "
            "on top of the loop there.",
            f"Knit both loops of peg {shift.to_peg} as one.",
            f"Peg {shift.from_peg} stays empty from now on: carry the yarn past it inside the "
            "ring.",
        ),
        decrease_drawing(shift, goes_left),
    )


def _loops(count: int) -> str:
    return "loop" if count == 1 else f"{count} loops"


def _listed(pegs: Sequence[int]) -> str:
    if len(pegs) == 1:
        return f"peg {pegs[0]}"
    if len(pegs) == 2:
        return f"pegs {pegs[0]} and {pegs[1]}"
    return f"pegs {spans(pegs).replace('–', ' to ')}"


# --- The box ---------------------------------------------------------------------------------

_PAD_MM: Final = 3.0


def technique_boxes(
    technique: Technique, *, width_mm: float, height_mm: float, style: PageStyle
) -> list[Block]:
    """The technique in a box, or in several where one would be higher than `height_mm`."""
    whole = technique_box(technique, width_mm=width_mm, style=style)
    if whole.height_mm <= height_mm or len(technique.moves) == 1:
        return [whole]
    for kept in range(len(technique.moves) - 1, 0, -1):
        first = replace(technique, moves=technique.moves[:kept])
        box = technique_box(first, width_mm=width_mm, style=style)
        if box.height_mm <= height_mm or kept == 1:
            break
    rest = replace(
        technique,
        title=f"{technique.title}, continued",
        where="",
        moves=technique.moves[kept:],
        drawing=Block((), 0.0, 0.0),
        first=technique.first + kept,
    )
    return [box, *technique_boxes(rest, width_mm=width_mm, height_mm=height_mm, style=style)]


def technique_box(technique: Technique, *, width_mm: float, style: PageStyle) -> Block:
    """Title, drawing and numbered movements in a thin round frame.

    The drawing is left of the words, or above them where the box is narrow.
    """
    inner_mm = width_mm - 2 * _PAD_MM
    words = technique.title + technique.where
    title = paragraph(words, style.sub_head, inner_mm, role=Role.H3)
    drawn = technique.drawing.grown(style.growth)
    told = f"Drawing: {technique.title}. The steps below tell how."
    drawing = figure(drawn, told) if drawn.items else drawn
    top_mm = _PAD_MM - 0.6 + title.height_mm + 0.6
    beside_mm = (DRAWING_MM + 4.0) * style.growth
    moves = stacked(_moves(technique, inner_mm, style))
    above = True
    if drawn.items and inner_mm - beside_mm >= _LEAST_BESIDE_EMS * style.em_mm:
        narrow = stacked(_moves(technique, inner_mm - beside_mm, style))
        above_mm = drawing.height_mm + 3.0 + moves.height_mm
        saved = 1 - max(narrow.height_mm, drawing.height_mm) / above_mm
        above = inner_mm - beside_mm < _BESIDE_EMS * style.em_mm and saved < _WORTH_BESIDE
        moves = moves if above else narrow
    left_mm = 0.0 if above else beside_mm
    if above:
        moves_mm = top_mm + (drawing.height_mm + 3.0 if drawn.items else 0.0)
        drawing_mm = top_mm + 1.0
        height_mm = moves_mm + moves.height_mm + _PAD_MM
    else:
        high_mm = max(moves.height_mm, drawing.height_mm)
        moves_mm = top_mm
        drawing_mm = top_mm + (high_mm - drawing.height_mm) / 2
        height_mm = top_mm + high_mm + _PAD_MM
    frame = rect(
        0.2, 0.2, width_mm - 0.4, height_mm - 0.4, radius_mm=2.0, stroke_pt=0.6, stroke=style.ink
    )
    items = (
        Group((frame,), role=Role.ARTIFACT),
        title.block.placed(_PAD_MM, _PAD_MM - 0.6),
        drawing.placed(_PAD_MM, drawing_mm),
        moves.placed(_PAD_MM + left_mm, moves_mm),
    )
    return Block(items, width_mm, height_mm)


def _moves(technique: Technique, width_mm: float, style: PageStyle) -> list[Piece]:
    return numbered_moves(technique.moves, width_mm, style, first=technique.first)


_BESIDE_EMS: Final = 15.0
"""Width of the words beside a drawing at least, in ems; less if it saves much height."""
_LEAST_BESIDE_EMS: Final = 11.0
_WORTH_BESIDE: Final = 0.2
"""Share of the height."""


def numbered_moves(
    moves: Iterable[RichText], width_mm: float, style: PageStyle, *, first: int = 1
) -> list[Piece]:
    """Movements with bold numbers, from the `first` on, on a left edge of their own; neither the
    first nor the last of them stands alone on a page."""
    look = style.body
    listed = list(moves)
    indent_mm = style.indent_mm
    pieces = []
    for number, words in enumerate(listed, start=first):
        label = set_line((bold(str(number)),), 0.0, look.baseline_mm, look)
        body = paragraph(words, look, width_mm - indent_mm, role=Role.BODY)
        items = (Group(label, role=Role.LABEL), body.block.placed(indent_mm, 0.0))
        block = Block((Group(items, role=Role.LI),), width_mm, body.block.height_mm)
        held = number in (first, first + len(listed) - 2) and len(listed) > 1
        pieces.append(Piece(block, 2.0 * MM_PER_PT, with_next=held))
    return pieces
