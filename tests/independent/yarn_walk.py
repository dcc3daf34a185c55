"""Follow the yarn of a peg-loom sock from peg to peg, from the slip knot to the last graft.

This is a second opinion, so it imports nothing of the project and works the other way round.  It
has no list of rows to carry out: a hand stands at one peg, sees what hangs there, on the next peg
and on the holders, and decides.  The heel turn ends because the holders are empty, the toe because
no turned stitch is left.  Row numbers and counts are what came of it.

The sock is knitted plain below the cuff: a motif changes no peg, no direction and no count.
The trade rules it follows are common practice, no published source; the order of the Kitchener
passes is published (a knitting magazine column of 26 May 2022, and a book of cast-ons and
bind-offs; their last two passes are from memory).

    from independent.yarn_walk import walk
    sock = walk(pegs=40, heel=24, centre=8, cuff_rows=15, leg_rows=30, foot_rows=55, toe_side=6)
    sock.counts["heel turn"]        # 143

What comes back, a `Walk`:

`rows`      every pass of the yarn in order, a `WalkedRow` each:
    `section`    "cuff", "leg", "heel flap", "partial row", "heel turn", "foot" or "toe"
    `number`     from 1 in each section; 0 for the pegs that are only worked on to where the next
                 section starts (the end of the cuff when the round start moves, of the foot)
    `direction`  +1 towards higher peg numbers, as the first round runs; -1 back
    `visits`     a `Visit` for each peg, in the order the yarn comes to it:
        `peg`     1..N as numbered on the loom, so a shift of the round start is already in it
        `did`     one of the words below
        `drew`    loops drawn here: the stitches that count
        `lifted`  what was lifted over the yarn, lowest first; `strands` counts it, and both legs
                  of a turned stitch and of a re-hung edge loop count

    did                   drew  lifted
    "knit"                  1   loop, or edge (a re-hung edge loop of the flap)
    "purl"                  1   loop (cuff only)
    "slip"                  0   nothing: first stitch of a row of the flap or the partial row
    "join"                  2   loop, then loop + held: knit, hang the held loop, knit both as one
    "knit with bar"         1   loop + bar
    "knit and turn"         1   loop; the new loop is drawn up, the row ends here
    "knit both strands"     1   turned
    "wrap"                  0   nothing; the row ends here
    "knit with wraps"       1   loop + wrap, or loop + wrap + wrap
    "decrease"              1   loop + moved
    "pass"                  0   nothing: the yarn goes behind an empty peg

A row of wrap and turn lists the wrapped peg as its last visit.  A widening row of it knits the
next wrapped peg with its wraps and wraps the peg after that again; the last row at each side has
no such peg and just turns, so that the row back knits the same peg again.

`cast_on`   pegs in order; these N loops are in no count
`held`      "near" and "far": pegs whose loops went on that holder, first on first
`rehung`    "near" and "far": (peg, number of the flap row whose stitch it is), oldest first
`bars`      (peg, neighbour): the strand lifted onto `peg` runs between the two
`moved`     (from peg, to peg) of each decrease: the loop moved lies on top
`off`       "instep" and "toe": pegs in the order their loops were taken off
`grafted`   (instep peg, toe peg) in order
`passes`    each pass of the needle: ("front" | "back", peg, "knit" | "purl", "leave" | "off")
`counts`    stitches by section, in the order of working

`YarnError` is raised when the yarn would jump over a peg, an empty peg would be knitted, a holder
or a peg is found in the wrong state, or a loop is not accounted for at the end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

UP, DOWN = 1, -1


class YarnError(AssertionError):
    """The sock cannot be knitted as told."""


def must(holds: bool, otherwise: str) -> None:
    """Raise YarnError with that sentence unless the condition holds."""
    if not holds:
        raise YarnError(otherwise)


@dataclass(frozen=True)
class Visit:
    peg: int
    did: str
    drew: int
    lifted: tuple[str, ...] = ()

    @property
    def strands(self) -> int:
        """Strands lifted over the yarn: two legs each for a turned stitch and an edge loop."""
        return sum(2 if kind in ("turned", "edge") else 1 for kind in self.lifted)


@dataclass(frozen=True)
class WalkedRow:
    section: str
    number: int
    direction: int
    visits: tuple[Visit, ...]

    @property
    def pegs(self) -> tuple[int, ...]:
        return tuple(visit.peg for visit in self.visits)

    @property
    def stitches(self) -> int:
        return sum(visit.drew for visit in self.visits)


@dataclass(frozen=True)
class Walk:
    rows: tuple[WalkedRow, ...]
    cast_on: tuple[int, ...]
    held: dict[str, tuple[int, ...]]
    rehung: dict[str, tuple[tuple[int, int], ...]]
    bars: tuple[tuple[int, int], ...]
    moved: tuple[tuple[int, int], ...]
    off: dict[str, tuple[int, ...]]
    grafted: tuple[tuple[int, int], ...]
    passes: tuple[tuple[str, int, str, str], ...]

    @property
    def counts(self) -> dict[str, int]:
        """Stitches by section."""
        total: dict[str, int] = {}
        for row in self.rows:
            total[row.section] = total.get(row.section, 0) + row.stitches
        return total

    def of(self, section: str) -> tuple[WalkedRow, ...]:
        return tuple(row for row in self.rows if row.section == section)


@dataclass(eq=False)
class Loop:
    """A loop, for the whole of its life."""

    peg: int
    section: str
    row: int
    fate: str = "live"
    """"live", "pulled through" or "grafted"."""


@dataclass(eq=False)
class Strand:
    """What hangs on a peg: a loop, or yarn that is no loop of its own (a wrap, a bar)."""

    kind: str
    loop: Loop | None = None


@dataclass
class Hand:
    """The knitter's hand, with the yarn, at one peg of the ring; it moves one peg at a time."""

    ring: int
    at: int = 0
    """The peg the yarn is at; 0 before the slip knot."""
    direction: int = UP
    pegs: dict[int, list[Strand]] = field(default_factory=dict)
    left_empty: set[int] = field(default_factory=set)
    """Pegs emptied on purpose: the yarn may pass behind these and no others."""
    born: list[Loop] = field(default_factory=list)
    slipped: dict[int, list[Loop]] = field(default_factory=dict)
    """Loops slipped at the start of a row, oldest first, by their peg: the edge loops."""
    rows: list[WalkedRow] = field(default_factory=list)
    row: tuple[str, int] = ("cast on", 0)
    visits: list[Visit] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.pegs = {peg: [] for peg in range(1, self.ring + 1)}

    # Where the hand is and what it sees.

    def beside(self, peg: int, direction: int) -> int:
        """The neighbour of a peg in that direction, round the ring."""
        return (peg + direction - 1) % self.ring + 1

    @property
    def ahead(self) -> int:
        return self.beside(self.at, self.direction)

    def sees(self, peg: int) -> tuple[str, ...]:
        """The kinds of strand on a peg, lowest first."""
        return tuple(strand.kind for strand in self.pegs[peg])

    # How it moves.

    def start(self, section: str, number: int) -> None:
        """Start a row here."""
        self.row = (section, number)

    def end(self) -> None:
        """Write down the row just worked."""
        section, number = self.row
        must(bool(self.visits), f"{section} row {number} works no peg")
        self.rows.append(WalkedRow(section, number, self.direction, tuple(self.visits)))
        self.visits = []

    def forward(self) -> None:
        self.at = self.ahead

    def about(self) -> None:
        """Turn round to go back the other way."""
        self.direction = -self.direction

    # What it does at the peg it is at.

    def note(self, did: str, drew: int, lifted: tuple[str, ...] = ()) -> None:
        self.visits.append(Visit(self.at, did, drew, lifted))

    def draw(self, kind: str = "loop") -> None:
        """Draw one new loop through everything on the peg."""
        through = self.pegs[self.at]
        must(
            any(strand.loop for strand in through),
            f"{self.row[0]} row {self.row[1]}: peg {self.at} is empty",
        )
        for strand in through:
            if strand.loop:
                strand.loop.fate = "pulled through"
        new = Loop(self.at, *self.row)
        self.born.append(new)
        self.pegs[self.at] = [Strand(kind, new)]

    def work(self) -> None:
        """Knit what hangs here in the way it has to be knitted."""
        seen = self.sees(self.at)
        if not seen and self.at in self.left_empty:
            self.note("pass", 0)
            return
        ways = {
            ("loop",): "knit",
            ("edge",): "knit",
            ("turned",): "knit both strands",
            ("loop", "bar"): "knit with bar",
            ("loop", "moved"): "decrease",
            ("loop", "wrap"): "knit with wraps",
            ("loop", "wrap", "wrap"): "knit with wraps",
        }
        must(
            seen in ways,
            f"{self.row[0]} row {self.row[1]}: peg {self.at} holds {' + '.join(seen) or 'nothing'}",
        )
        self.draw()
        self.note(ways[seen], 1, seen)

    def purl(self) -> None:
        seen = self.sees(self.at)
        must(seen == ("loop",), f"peg {self.at} cannot be purled: {seen}")
        self.draw()
        self.note("purl", 1, seen)

    def slip(self) -> None:
        """Leave the loop: it becomes the edge loop of two rows."""
        (strand,) = self.pegs[self.at]
        must(strand.loop is not None and not self.visits, "only a row's first loop is slipped")
        assert strand.loop is not None
        self.slipped.setdefault(self.at, []).append(strand.loop)
        self.note("slip", 0)

    def join(self, held: Loop) -> None:
        """Knit, hang a held loop on the peg, knit both as one."""
        first = self.sees(self.at)
        must(first == ("loop",), f"peg {self.at} cannot be joined: {first}")
        self.draw()
        self.pegs[self.at].append(Strand("held", held))
        then = self.sees(self.at)
        self.draw()
        self.note("join", 2, first + then)

    def knit_and_turn(self) -> None:
        seen = self.sees(self.at)
        must(seen == ("loop",), f"peg {self.at} cannot be turned: {seen}")
        self.draw("turned")
        self.note("knit and turn", 1, seen)

    def wrap(self) -> None:
        must("loop" in self.sees(self.at), f"peg {self.at} has no loop to wrap")
        self.pegs[self.at].append(Strand("wrap"))
        self.note("wrap", 0)

    # What it does without the yarn.

    def take(self, peg: int) -> Loop:
        """Take the one loop off a peg."""
        must(self.sees(peg) == ("loop",), f"peg {peg} cannot be taken off: {self.sees(peg)}")
        loop = self.pegs[peg].pop().loop
        assert loop is not None
        return loop

    def hang(self, peg: int, strand: Strand) -> None:
        self.pegs[peg].append(strand)


def check_yarn_path(ring: int, start: int, rows: Sequence[WalkedRow]) -> None:
    """Raise YarnError where the record of rows has the yarn jump.

    `start` is the peg the yarn is at before the first row.  Within a row each peg is the next
    one in the row's direction.  A row starts on the next peg too; one that goes back may instead
    start on the very peg the yarn is at (an edge, the heel turn, the start of the foot).
    """
    at, before = start, UP
    for row in rows:
        for place, peg in enumerate(row.pegs):
            step = (peg - at) % ring
            fits = step == row.direction % ring or (
                place == 0 and step == 0 and row.direction != before
            )
            must(fits, f"{row.section} row {row.number}: the yarn jumps from peg {at} to peg {peg}")
            at = peg
        before = row.direction


def walk(
    *,
    pegs: int,
    heel: int,
    centre: int,
    cuff_rows: int,
    leg_rows: int,
    foot_rows: int,
    toe_side: int,
    short_rows: str = "turned stitch",
    shift: int = 0,
    rib: str = "k",
    plain_pegs: int = 0,
) -> Walk:
    """Knit one sock and return what the yarn did.

    `centre` pegs stay on the loom in the heel turn; `toe_side` pegs are turned at each side;
    `short_rows` is "turned stitch" or "wrap and turn"; the round start moves `shift` pegs after
    the cuff; `rib` is the cuff's repeat in k and p, from peg 1 after `plain_pegs` knitted ones.
    A leg of 0 rows is a sock without one, and then `counts` has no leg.  Raises YarnError for
    numbers that make no sock: fewer than 1 cuff or 2 foot rows, a heel narrower than half the
    pegs (rounded down) or not wider by an even number, a turn of fewer than 2 pegs, unequal
    gussets, a toe without a centre, a rib that does not fit.
    """
    half = pegs // 2
    gusset = (heel - centre) // 2
    must(heel < pegs and gusset >= 1 and centre >= 2, "heel, centre or gusset has no pegs")
    must((heel - centre) % 2 == 0, "the gussets would differ")
    must(heel >= half and (heel - half) % 2 == 0, "the toe would sit half a peg off centre")
    must(toe_side >= 1 and half - 2 * toe_side >= 1, "the toe has no centre")
    must(cuff_rows >= 1 and leg_rows >= 0 and foot_rows >= 2, "too few rows")
    must((pegs - plain_pegs) % len(rib) == 0, "the rib does not fit")
    must(0 <= shift < pegs, "the round start cannot move so far")

    def loom(position: int) -> int:
        """The loom's number of a peg counted from the start of the round."""
        return (position - 1 + shift) % pegs + 1

    near_edge, far_edge = loom(1), loom(heel)
    near_turn, far_turn = loom(gusset + 1), loom(heel - gusset)
    toe_near = loom((heel - half) // 2 + 1)
    toe_far = loom((heel - half) // 2 + half)
    hand = Hand(pegs)

    # Cast on, cuff, leg.
    for _ in range(pegs):
        hand.forward()
        new = Loop(hand.at, "cast on", 0)
        hand.born.append(new)
        hand.hang(hand.at, Strand("loop", new))
    cast_on = tuple(loop.peg for loop in hand.born)

    def ribbed() -> None:
        hand.forward()
        along = hand.at - 1 - plain_pegs
        if along >= 0 and rib[along % len(rib)] == "p":
            hand.purl()
        else:
            hand.work()

    for number in range(1, cuff_rows + 1):
        hand.start("cuff", number)
        for _ in range(pegs):
            ribbed()
        hand.end()
    if shift:
        hand.start("cuff", 0)
        while hand.ahead != near_edge:
            ribbed()
        hand.end()
    for number in range(1, leg_rows + 1):
        hand.start("leg", number)
        _round(hand)

    # Heel.
    _flap(hand, near_edge=near_edge, far_edge=far_edge, gusset=gusset)
    _partial_row(hand, stop=near_turn)
    held: dict[str, tuple[int, ...]] = {}
    holders: dict[str, list[Loop]] = {}
    for side, edge, inward, stop in (
        ("near", near_edge, UP, near_turn),
        ("far", far_edge, DOWN, far_turn),
    ):
        peg, waiting, order = edge, [], []
        while peg != stop:
            waiting.append(hand.take(peg))
            order.append(peg)
            peg = hand.beside(peg, inward)
        holders[side], held[side] = waiting, tuple(order)
    _heel_turn(hand, near_turn=near_turn, far_turn=far_turn, holders=holders)

    # Gusset: the edge loops come back to the pegs that the holders emptied.
    rehung: dict[str, tuple[tuple[int, int], ...]] = {}
    for side, edge in (("near", near_edge), ("far", far_edge)):
        loops = hand.slipped[edge]
        must(len(loops) == len(held[side]), f"{len(loops)} edge loops for {len(held[side])} pegs")
        for peg, loop in zip(held[side], loops, strict=True):
            must(not hand.pegs[peg], f"peg {peg} is not free for an edge loop")
            must(loop.fate == "pulled through", f"the edge loop for peg {peg} is still live")
            must(loop.section == "heel flap", "an edge loop must come from the flap")
            hand.hang(peg, Strand("edge", loop))
        rehung[side] = tuple(
            (peg, strand.loop.row) for peg in held[side] for strand in hand.pegs[peg] if strand.loop
        )
    must(all(hand.pegs.values()), "a peg is without a loop at the start of the foot")
    bars = (
        (near_turn, hand.beside(near_turn, DOWN)),
        (far_turn, hand.beside(far_turn, UP)),
    )
    for peg, _beside in bars:
        hand.hang(peg, Strand("bar"))
    must(sum(map(len, hand.pegs.values())) == pegs + 2, "the ring and two bars should hang")

    # Foot.  The third knitting of the peg where the turn ended is its first stitch.
    moved = []
    hand.start("foot", 1)
    hand.work()
    while hand.ahead != near_edge:
        hand.forward()
        hand.work()
    hand.end()
    for number in range(2, foot_rows + 1):
        if number == foot_rows and pegs % 2:
            away = hand.beside(toe_far, UP)
            hand.hang(toe_far, Strand("moved", hand.take(away)))
            hand.left_empty.add(away)
            moved.append((away, toe_far))
        hand.start("foot", number)
        _round(hand)
    if hand.ahead != toe_near:
        hand.start("foot", 0)
        while hand.ahead != toe_near:
            hand.forward()
            hand.work()
        hand.end()

    # Toe.
    toe = [toe_near]
    while toe[-1] != toe_far:
        toe.append(hand.beside(toe[-1], UP))
    must(len(toe) == half, "the toe is half the ring")
    if short_rows == "turned stitch":
        _toe_turned(hand, toe=toe, centre=half - 2 * toe_side)
    else:
        must(short_rows == "wrap and turn", f"no such short row: {short_rows}")
        _toe_wrapped(hand, toe=toe, centre=half - 2 * toe_side)
    must(hand.at == toe_near, "the yarn should end at the toe's near end")

    # Closing.
    pairs = _pairs_from_the_yarn_outwards(hand)
    off: dict[str, list[int]] = {"instep": [], "toe": []}
    loops_off: dict[int, Loop] = {}
    peg = hand.beside(hand.at, DOWN)
    for _ in range(pegs):
        if peg not in hand.left_empty:
            loops_off[peg] = hand.take(peg)
            off["toe" if peg in toe else "instep"].append(peg)
        peg = hand.beside(peg, DOWN)
    must(len(off["instep"]) == len(off["toe"]), "the sides to graft differ")
    passes = _kitchener(front=off["instep"], back=off["toe"][::-1], loops=loops_off)
    done = {
        side: [peg for needle, peg, _, then in passes if needle == side and then == "off"]
        for side in ("front", "back")
    }
    must(
        pairs == list(zip(done["front"], done["back"], strict=True)),
        "the pairs do not lie side by side on the needles",
    )

    # The books must balance.
    must(not any(hand.pegs.values()), "something is left on the pegs")
    must(not any(holders.values()), "a loop is left on a holder")
    must(all(loop.fate != "live" for loop in hand.born), "a loop is live at the end")
    sock = Walk(
        rows=tuple(hand.rows),
        cast_on=cast_on,
        held=held,
        rehung=rehung,
        bars=bars,
        moved=tuple(moved),
        off={side: tuple(order) for side, order in off.items()},
        grafted=tuple(pairs),
        passes=tuple(passes),
    )
    must(sum(sock.counts.values()) + pegs == len(hand.born), "counts and loops differ")
    check_yarn_path(pegs, cast_on[-1], sock.rows)
    return sock


def _round(hand: Hand) -> None:
    """Once round the ring to the peg the hand is at."""
    for _ in range(hand.ring):
        hand.forward()
        hand.work()
    hand.end()


def _flap(hand: Hand, *, near_edge: int, far_edge: int, gusset: int) -> None:
    """Back and forth until the far edge has a loop for each gusset peg.

    The near edge is then one short: the partial row slips its last.
    """
    number = 1
    hand.start("heel flap", number)
    hand.forward()
    must(hand.at == near_edge, "the flap starts where the round does")
    hand.work()
    while True:
        while hand.at not in (near_edge, far_edge) or len(hand.visits) == 1:
            hand.forward()
            hand.work()
        hand.end()
        if len(hand.slipped.get(far_edge, ())) == gusset:
            break
        hand.about()
        number += 1
        hand.start("heel flap", number)
        hand.slip()
    must(hand.at == near_edge, "the flap should end at the near edge")
    hand.about()


def _partial_row(hand: Hand, *, stop: int) -> None:
    hand.start("partial row", 1)
    hand.slip()
    while hand.at != stop:
        hand.forward()
        hand.work()
    hand.end()


def _heel_turn(
    hand: Hand, *, near_turn: int, far_turn: int, holders: dict[str, list[Loop]]
) -> None:
    """Across the centre and back, a held loop joined at each end, until both holders are empty.

    The partial row's last stitch is the first of row 1.  The last join leaves the hand facing the
    foot, which knits that peg once more.
    """
    number = 1
    hand.start("heel turn", number)
    nearest = {"near": hand.beside(near_turn, DOWN), "far": hand.beside(far_turn, UP)}
    while True:
        goal, holder = (far_turn, "far") if hand.direction == UP else (near_turn, "near")
        while hand.ahead != goal:
            hand.forward()
            hand.work()
        hand.forward()
        must(bool(holders[holder]), f"the {holder} holder is empty too soon")
        loop = holders[holder].pop()
        must(loop.peg == nearest[holder], f"the loop of peg {loop.peg} comes off out of turn")
        nearest[holder] = hand.beside(loop.peg, hand.direction)
        hand.join(loop)
        hand.end()
        hand.about()
        if not any(holders.values()):
            break
        number += 1
        hand.start("heel turn", number)
        hand.work()
    must(hand.at == near_turn, "the turn should end at the near side")


def _toe_turned(hand: Hand, *, toe: list[int], centre: int) -> None:
    number = 0

    def turned(peg: int) -> bool:
        return hand.sees(peg) == ("turned",)

    while sum(not turned(peg) for peg in toe) > centre:
        number += 1
        hand.start("toe", number)
        hand.forward()
        while hand.ahead in toe and not turned(hand.ahead):
            hand.work()
            hand.forward()
        hand.knit_and_turn()
        hand.end()
        hand.about()
    while any(map(turned, toe)):
        number += 1
        hand.start("toe", number)
        hand.forward()
        while not turned(hand.at):
            hand.work()
            hand.forward()
        hand.work()
        hand.end()
        hand.about()


def _toe_wrapped(hand: Hand, *, toe: list[int], centre: int) -> None:
    number = 0

    def wrapped(peg: int) -> bool:
        return "wrap" in hand.sees(peg)

    while sum(not wrapped(peg) for peg in toe) > centre:
        number += 1
        hand.start("toe", number)
        hand.forward()
        while hand.ahead in toe and not wrapped(hand.ahead):
            hand.work()
            hand.forward()
        hand.wrap()
        hand.end()
        hand.about()
    again = False
    while any(map(wrapped, toe)):
        number += 1
        hand.start("toe", number)
        if again:
            hand.work()
        hand.forward()
        while not wrapped(hand.at):
            hand.work()
            hand.forward()
        hand.work()
        again = hand.ahead not in toe
        if not again:
            hand.forward()
            hand.wrap()
        hand.end()
        hand.about()


def _pairs_from_the_yarn_outwards(hand: Hand) -> list[tuple[int, int]]:
    """Two fingers start in the gap beside the yarn and go apart until they meet."""
    toe_finger = hand.at
    instep_finger = hand.beside(hand.at, DOWN)
    waiting = {peg for peg, strands in hand.pegs.items() if strands}
    pairs = []
    while waiting:
        while instep_finger in hand.left_empty:
            instep_finger = hand.beside(instep_finger, DOWN)
        pair = (instep_finger, toe_finger)
        must(waiting.issuperset(pair) and pair[0] != pair[1], f"no pair: {pair}")
        pairs.append(pair)
        waiting.difference_update(pair)
        instep_finger = hand.beside(instep_finger, DOWN)
        toe_finger = hand.beside(toe_finger, UP)
    return pairs


def _kitchener(
    *, front: list[int], back: list[int], loops: dict[int, Loop]
) -> list[tuple[str, int, str, str]]:
    """Work the passes; each loop is entered twice, first to stay and then to go.

    Both needles are given with the loop at the working end first.
    """
    needles = {"front": list(front), "back": list(back)}
    entered: dict[int, list[str]] = {}
    passes = []

    def through(needle: str, way: str, then: str) -> None:
        peg = needles[needle][0]
        before = entered.setdefault(peg, [])
        must(bool(before) == (then == "off"), f"the loop of peg {peg} leaves at the wrong pass")
        must(way not in before, f"the loop of peg {peg} is entered twice the same way")
        before.append(way)
        passes.append((needle, peg, way, then))
        if then == "off":
            needles[needle].pop(0)
            loops[peg].fate = "grafted"

    through("front", "purl", "leave")
    through("back", "knit", "leave")
    while len(needles["front"]) > 1:
        through("front", "knit", "off")
        through("front", "purl", "leave")
        through("back", "purl", "off")
        through("back", "knit", "leave")
    through("front", "knit", "off")
    through("back", "purl", "off")
    must(not any(needles.values()), "a loop is left on a needle")
    return passes
