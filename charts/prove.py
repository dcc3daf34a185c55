"""A printed sock proved from its pages alone: steps and charts read apart, each knitted, compared.

Neither the pattern nor any module that prints is needed: what the pages say is read back
(`printed_booklet`), knitted on the virtual loom, and the two readings are held against each other
row by row, and against the checkpoints between the rows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, zip_longest
from typing import Final

from charts.loom import Loom, PegNumber
from charts.printed_booklet import PrintedBooklet, SockName
from charts.printed_notes import check_counting, check_state, check_thread, read_state
from charts.printed_page import PrintedSheet
from charts.printed_sheets import booklets_of, single_pages
from charts.proof import Proof, Readings, ToldSock, make_proof
from charts.reader_marks import moves_of
from charts.reader_records import (
    LinePlace,
    ReadChart,
    ReadError,
    ReadNote,
    ReadSteps,
    Ring,
    reading,
)
from charts.reader_steps import THREAD_NOTE
from charts.reader_words import TITLES, VERBS
from charts.rows import (
    CastOn,
    Event,
    Graft,
    Hold,
    LiftBar,
    Move,
    Rehang,
    Row,
    Rows,
    Section,
    Shift,
    TakeOff,
    event_pegs,
)
from charts.virtual_loom import Fault, LoomStart, State, Trace, knit_on_loom


@dataclass(frozen=True)
class Difference:
    """What is wrong, and everywhere that it is printed."""

    what: str
    places: tuple[tuple[LinePlace, str], ...]
    """Page, line as printed, and what it says of the matter; the words may be empty."""


@dataclass(frozen=True)
class PartCount:
    """One part of a sock, as it was read."""

    title: str
    in_steps: int | None
    """Rows that the steps tell; None if there are no steps."""
    in_chart: int | None
    pairs: int = 0
    """Pairs of loops to graft."""


@dataclass(frozen=True)
class SockReport:
    """What came of one sock."""

    name: SockName
    ring: Ring | None
    parts: tuple[PartCount, ...]
    difference: Difference | None
    """The first there is; None if the sock is proved."""
    assumed: tuple[str, ...]
    """What no page told and was taken as the rows need it."""


@dataclass(frozen=True)
class BookletReport:
    """What came of one booklet or card."""

    label: str
    """Which one of the file; empty for the only one."""
    socks: tuple[SockReport, ...]
    left_out: tuple[str, ...]
    """Sizes that are named but not told whole, since another one is marked."""
    proof: Proof | None
    """Of what was read; None if a sock is not proved."""
    printed: LinePlace | None
    """The line of the proof that the pages bear."""
    difference: Difference | None
    """What is wrong with the pages as a whole."""

    @property
    def is_proved(self) -> bool:
        return self.proof is not None and self.difference is None


@dataclass(frozen=True)
class ProofReport:
    """What came of all pages."""

    pages: int
    booklets: tuple[BookletReport, ...]
    unread: tuple[tuple[int, str], ...]
    """Pages that hold no rows: number and title."""

    @property
    def is_proved(self) -> bool:
        return all(booklet.is_proved for booklet in self.booklets)

    @property
    def differences(self) -> tuple[Difference, ...]:
        """The first of each sock and booklet."""
        found = [
            one
            for booklet in self.booklets
            for one in (booklet.difference, *(sock.difference for sock in booklet.socks))
        ]
        return tuple(one for one in found if one is not None)


class NothingToProveError(Exception):
    """No page is about a part of a sock."""


def prove(sheets: tuple[PrintedSheet, ...]) -> ProofReport:
    """Read, knit and compare everything that the pages of one file tell.

    Raises NothingToProveError if none of them tells a part of a sock.
    """
    try:
        files = [PrintedBooklet(pages) for pages in booklets_of(single_pages(sheets))]
    except ReadError as error:
        wrong = BookletReport("", (), (), None, None, _misread(error))
        return ProofReport(len(sheets), (wrong,), ())
    if not files:
        raise NothingToProveError("no page of it tells rows to knit")
    alone = len(files) == 1
    booklets = tuple(_report(one, "" if alone else _label(one)) for one in files)
    proved = all(one.is_proved for one in booklets)
    unread = [page for one in files for page in one.unread()] if proved else []
    return ProofReport(len(sheets), booklets, tuple(sorted(unread)))


def _label(booklet: PrintedBooklet) -> str:
    parts = booklet.parts
    if booklet.is_card:
        return f"card, {parts[0].head.title}"
    return f"booklet, pages {parts[0].page.number}–{parts[-1].page.number}"


def _report(booklet: PrintedBooklet, label: str) -> BookletReport:
    """What came of one booklet."""
    try:
        booklet.check_numbers()
    except ReadError as error:
        return BookletReport(label, (), (), None, None, _misread(error))
    found = [_Sock(booklet, name) for name in booklet.socks]
    socks = tuple(sock.report() for sock in found)
    if any(sock.difference is not None for sock in socks):
        return BookletReport(label, socks, (), None, None, None)
    proof = make_proof([sock.told for sock in found], found[0].readings)
    printed = booklet.proof_line
    difference = None
    if printed is not None and printed.line != proof.text:
        difference = Difference(
            "the proof that is printed is not that of these rows",
            ((printed, ""), (LinePlace(0, proof.text), "worked out from the pages")),
        )
    told = {sock.name.size for sock in socks}
    left_out = tuple(name for name in booklet.sizes if name not in told)
    return BookletReport(label, socks, left_out, proof, printed, difference)


def _misread(error: ReadError) -> Difference:
    place = LinePlace(error.page, ": ".join(filter(None, (error.part, error.line))))
    return Difference("not understood", ((place, error.what),))


class _DifferenceError(Exception):
    def __init__(self, difference: Difference) -> None:
        self.difference = difference
        super().__init__(difference.what)


@dataclass(frozen=True)
class _Reading:
    """The events that steps or charts tell, each with its place."""

    events: tuple[Event, ...]
    places: tuple[LinePlace, ...]


class _Sock:
    """One sock of the booklet, read twice."""

    def __init__(self, booklet: PrintedBooklet, name: SockName) -> None:
        self.booklet = booklet
        self.name = name
        self.ring: Ring | None = None
        self.steps: ReadSteps | None = None
        self.charts: tuple[ReadChart, ...] = ()
        self.assumed: list[str] = []

    @property
    def told(self) -> ToldSock:
        steps = self.steps if self._steps_tell_rows else None
        return ToldSock(self.name.text, self._drawn.events if steps is None else steps.events)

    @property
    def readings(self) -> Readings:
        if not self.charts:
            return Readings.STEPS
        return Readings.BOTH if self._steps_tell_rows else Readings.CHART

    def report(self) -> SockReport:
        """What came of it."""
        difference = None
        try:
            self._prove()
        except ReadError as error:
            difference = _misread(error)
        except _DifferenceError as error:
            difference = error.difference
        parts = tuple(self._counts()) if difference is None else ()
        return SockReport(self.name, self.ring, parts, difference, tuple(self.assumed))

    def _prove(self) -> None:
        booklet, name = self.booklet, self.name
        self.ring = booklet.ring(name)
        if booklet.has_steps(name):
            self.steps = booklet.steps(name)
        self.charts = booklet.charts(name)
        if self.steps is None and not self.charts:
            raise ReadError("neither steps nor charts tell this sock")
        steps, tells_rows = self.steps, self._steps_tell_rows
        if steps is not None and self.charts:
            # Before they are knitted: what is told otherwise is named where it stands.
            _compare(steps, self.charts, self._drawn, rows=tells_rows)
        if steps is not None and tells_rows:
            told = _Reading(steps.events, steps.places)
            trace = self._knit(told, "the steps")
            self._check_notes(steps, trace, told.events)
        if self.charts:
            drawn = self._drawn
            trace = self._knit(drawn, "the charts")
            if steps is not None and not tells_rows:
                self._check_notes(steps, trace, drawn.events)
            self._check_zones(drawn.events)
        self._check_card()

    @property
    def _steps_tell_rows(self) -> bool:
        """Whether rows are told in words; beside charts it may be the moves alone."""
        return self.steps is not None and (
            not any(chart.rows for chart in self.charts)
            or any(isinstance(event, Row) for event in self.steps.events)
        )

    def _counts(self) -> Iterator[PartCount]:
        """Rows of each part in both readings."""
        for title, section in TITLES.items():
            in_steps = in_chart = None
            notes = () if self.steps is None else self.steps.notes
            told = self._steps_tell_rows or section is Section.CLOSING
            if self.steps is not None and told and any(note.part == title for note in notes):
                in_steps = sum(
                    isinstance(event, Row) and _charted_in(event.section) is section
                    for event in self.steps.events
                )
            for chart in self.charts:
                if chart.title == title:
                    in_chart = len(chart.rows)
            if in_steps is not None or in_chart is not None:
                grafts = [event for event in self.told.events if isinstance(event, Graft)]
                here = grafts if section is Section.CLOSING else []
                yield PartCount(title, in_steps, in_chart, sum(len(one.pairs) for one in here))

    # The reading of the charts

    @property
    def _drawn(self) -> _Reading:
        """Rows and moves of the charts; what no chart shows is taken from the steps."""
        assert self.ring is not None
        events: list[Event] = []
        places: list[LinePlace] = []
        for chart in self.charts:
            for event, place in zip(chart.events, chart.places, strict=True):
                if isinstance(event, Row):
                    events.append(event)
                    places.append(place)
                else:
                    with reading(chart.title, place.line, place.page):
                        moves = moves_of(event, self.ring)
                    events += moves
                    places += [place] * len(moves)
        return self._completed(events, places)

    def _completed(self, events: list[Event], places: list[LinePlace]) -> _Reading:
        """With the cast-on and the closing, which no chart shows."""
        assert self.ring is not None
        first = (
            [*zip(self.steps.events, self.steps.places, strict=True)]
            if self.steps is not None
            else []
        )
        before = [(event, place) for event, place in first if isinstance(event, CastOn)]
        after = [(event, place) for event, place in first if isinstance(event, TakeOff | Graft)]
        sections = {event.section for event in events}
        if not before and Section.CUFF in sections:
            whole = self.ring.run(1, self.ring.pegs, 1)
            before = [(CastOn(Section.CAST_ON, whole), LinePlace(0, "cast on"))]
            self._assume("the cast-on, which no page tells: one loop on every peg")
        return _Reading(
            (*(event for event, _ in before), *events, *(event for event, _ in after)),
            (*(place for _, place in before), *places, *(place for _, place in after)),
        )

    def _assume(self, what: str) -> None:
        if what not in self.assumed:
            self.assumed.append(what)

    # Knitting

    def _knit(self, told: _Reading, by: str) -> Trace:
        """The reading knitted.  Raises _DifferenceError at the first broken rule."""
        assert self.ring is not None
        loom = Loom(self.ring.pegs, 0.0, "", self.ring.working)
        begins = isinstance(told.events[0], CastOn) if told.events else False
        ends = any(isinstance(event, Graft) for event in told.events)
        start = None if begins else self._start(told.events)
        rows = Rows(loom, told.events)
        trace = knit_on_loom(rows, start=start, to_the_end=ends)
        if trace.faults:
            raise _DifferenceError(_fault(trace.faults[0], told, by))
        if start is not None and self._first_state is not None:
            made = _as_state(start)
            if made != self._first_state:
                what = f"{made.live_pegs} pegs have loops, the first line says otherwise"
                raise ReadError(what, page=told.places[0].page)
        return trace

    @property
    def _first_note(self) -> tuple[str, str, int] | None:
        """Part, words and page of the line that says how the loom is before the first row."""
        if self.steps is not None:
            note = next(note for note in self.steps.notes if note.label == "Check")
            return note.part, note.text, note.page
        for name, words, page in self.booklet.card_notes:
            if name == _START:
                return "", words, page
        return None

    @property
    def _first_state(self) -> State | None:
        note = self._first_note
        if note is None or self.ring is None:
            return None
        part, words, page = note
        with reading(part, words, page):
            return read_state(words, self.ring)

    def _start(self, events: Sequence[Event]) -> LoomStart:
        """The loom as the first line says; or if none does, as the first row needs it."""
        assert self.ring is not None
        state = self._first_state
        hung = [event for event in events if isinstance(event, Rehang)]
        empty = [peg for event in hung for peg in event.pegs]
        missing = self.ring.pegs - len(empty) - (state.live_pegs if state else self.ring.pegs)
        if missing > 0:
            # Which peg is empty is not said where no row comes near it.
            named = {peg for event in events for peg in event_pegs(event)}
            unnamed = [peg for peg in self.ring.run(1, self.ring.pegs, 1) if peg not in named]
            empty += unnamed[-missing:]
        live = tuple(peg for peg in self.ring.run(1, self.ring.pegs, 1) if peg not in empty)
        yarn = state.yarn_peg if state else None
        if yarn is None:
            row = next((event for event in events if isinstance(event, Row)), None)
            if row is None:
                raise ReadError("no line says where the yarn is")
            yarn = self.ring.beside(row.pegs[0], -row.direction)
            self._assume("the loom before the first row, which no line tells: as that row needs it")
        loops = tuple((event.edge_peg, len(event.pegs)) for event in hung)
        return LoomStart(yarn, live, loops)

    # Notes

    def _check_notes(self, steps: ReadSteps, trace: Trace, events: Sequence[Event]) -> None:
        """Checkpoints against the loom, lines on counting against the rows knitted."""
        assert self.ring is not None
        first = self._first_state
        assert first is not None
        states = (first, *trace.states)
        counted: tuple[PegNumber, ReadNote] | None = None
        tied = any(note.label == THREAD_NOTE for note in steps.notes)
        checked = {note.after for note in steps.notes if note.label == "Check"}
        for note in steps.notes:
            with reading(note.part, note.text, note.page):
                if note.label == "Check":
                    check_state(note.text, self.ring, states[_after(note, steps, events)])
                    continue
                if note.label == "Count":
                    if TITLES[note.part] is Section.FLAP and not tied:
                        raise ReadError("no line before the flap ties the thread")
                    column = check_counting(note.text, TITLES[note.part], events)
                elif note.label == THREAD_NOTE:
                    column = check_thread(note.text, events)
                else:
                    continue
                if column is None:
                    continue
                if counted is not None and counted[0] != column:
                    raise _two_threads(counted, (column, note))
                counted = counted or (column, note)
        for index, event in enumerate(steps.events):
            after_move = index > 0 and not isinstance(steps.events[index - 1], Row)
            if isinstance(event, Row) and after_move and index not in checked:
                move = steps.places[index - 1]
                what = "no line “Now:” below says how the loom is then"
                raise ReadError(what, line=move.line, page=move.page)
        grafts = [event for event in steps.events if isinstance(event, Graft)]
        if grafts:
            self._check_pairs(grafts[0])
            self.booklet.check_graft(self.name, len(grafts[0].pairs))

    def _check_pairs(self, graft: Graft) -> None:
        """The boxes of the pairs name the loops as they lie on the needles."""
        found = self.booklet.pairs(self.name)
        if not found and not self.booklet.is_whole:
            return
        due = [f"{front}+{back}" for front, back in graft.pairs]
        for (pair, place), wanted in zip(found, due, strict=False):
            if pair != wanted:
                line = pair.replace("+", " + ")
                what = f"pair {wanted.replace('+', ' + ')} is due"
                raise ReadError(what, line=line, page=place.page)
        if len(found) != len(due):
            page = found[-1][1].page if found else self.booklet.parts[-1].page.number
            raise ReadError(f"{len(found)} pairs to tick, {len(due)} to graft", page=page)

    # Names over the pegs

    def _check_zones(self, events: Sequence[Event]) -> None:
        """Heel, turn, toe and the like are named over the pegs that are worked as such."""
        assert self.ring is not None
        due = _zones_due(events, self.ring)
        for title, page, zone, labels in self.booklet.zones(self.name):
            wanted = due.get((_ZONED.get(title, title), zone.name))
            if wanted is None:
                continue
            named = set(self._pegs_of(f"{zone.first_peg}–{zone.last_peg}"))
            if not named <= wanted or (
                zone.name not in _PARTLY and self._lacks(named, wanted, labels)
            ):
                with reading(title, zone.name, page):
                    raise ReadError("this name stands over other pegs than it should")

    def _pegs_of(self, label: str) -> tuple[PegNumber, ...]:
        assert self.ring is not None
        first, _, last = label.partition("–")
        return self.ring.run(int(first), int(last or first), self.ring.rightward)

    def _lacks(self, named: set[PegNumber], wanted: set[PegNumber], labels: Sequence[str]) -> bool:
        """Whether pegs that the chart shows are left out of the name."""
        shown = {peg for label in labels for peg in self._pegs_of(label)}
        return bool((wanted & shown) - named)

    def _check_card(self) -> None:
        """What a card says over its chart is what it says beside its steps."""
        assert self.ring is not None
        for name, words, page in self.booklet.card_notes:
            with reading("", words, page):
                said = read_state(words, self.ring)
                if self.steps is None:
                    continue
                checks = [note for note in self.steps.notes if note.label == "Check"]
                note = checks[0] if name == _START else checks[-1]
                if said != read_state(note.text, self.ring):
                    places = ((LinePlace(page, words), ""), (LinePlace(note.page, note.text), ""))
                    what = "over the chart and beside the steps the loom is told otherwise"
                    raise _DifferenceError(Difference(what, places))


def _two_threads(*told: tuple[PegNumber, ReadNote]) -> _DifferenceError:
    """Two lines that hang the thread to count from at different pegs; either may be wrong."""
    places = tuple(
        (LinePlace(note.page, note.text), f"the thread hangs at peg {peg}") for peg, note in told
    )
    return _DifferenceError(Difference("rows are counted at two pegs", places))


def _after(note: ReadNote, steps: ReadSteps, events: Sequence[Event]) -> int:
    """How many of the events knitted come before a note; the steps may tell moves alone."""
    if len(events) == len(steps.events):
        return note.after
    section = TITLES[note.part]
    own = [index for index, event in enumerate(events) if _charted_in(event.section) is section]
    notes = [one for one in steps.notes if one.part == note.part and one.label == "Check"]
    if not own or note is notes[0]:
        return own[0] if own else note.after
    if note is notes[-1]:
        return own[-1] + 1
    moves = [index for index, event in enumerate(events) if not isinstance(event, Row)]
    return moves[note.after - 1] + 1


def _zones_due(events: Sequence[Event], ring: Ring) -> dict[tuple[str, str], set[PegNumber]]:
    """The pegs of each name, by the title of the part, as far as these rows tell them."""
    rows: dict[Section, list[Row]] = {}
    for event in events:
        if isinstance(event, Row):
            rows.setdefault(event.section, []).append(event)
    held = {peg for event in events if isinstance(event, Hold) for peg in event.pegs}
    found: dict[tuple[str, str], set[PegNumber]] = {}
    whole = set(ring.run(1, ring.pegs, 1))
    if Section.FLAP in rows:
        heel = set(rows[Section.FLAP][0].pegs)
        for title, name in (("Leg", "heel"), ("Gusset and foot", "sole")):
            found[title, name] = heel
            found[title, "instep"] = found[title, "panel"] = whole - heel
    if held:
        found["Heel turn", "gusset"] = held
        found["Heel turn", "turn"] = {peg for row in rows[Section.TURN] for peg in row.pegs}
    if toe := rows.get(Section.TOE):
        side = len(toe) // 4
        pegs = toe[0].pegs
        found["Toe", "side"] = {*pegs[:side], *pegs[len(pegs) - side :]}
        found["Toe", "centre"] = set(pegs[side : len(pegs) - side])
    return found


_ZONED: Final = {"Heel flap": "Heel turn"}
"""Parts whose names are those of another."""
_PARTLY: Final = ("gusset", "side", "panel")
"""Names that stand twice, or over some of the pegs."""
_START: Final = "Before you start"


def _as_state(start: LoomStart) -> State:
    return State(start.yarn_peg, len(start.live), len(start.live), 0, 0, 0, 0)


def _fault(fault: Fault, told: _Reading, by: str) -> Difference:
    """A broken rule, at the line that breaks it."""
    peg = f"peg {fault.peg}: " if fault.peg is not None else ""
    what = f"{peg}{fault.what} (rule: {fault.rule.value})"
    if fault.event_index is None or not 0 <= fault.event_index < len(told.places):
        place = told.places[-1]
    else:
        place = told.places[fault.event_index]
        what = f"{_named(told.events[fault.event_index])}, {what}"
    return Difference(f"{by} cannot be knitted", ((place, what),))


def _named(event: Event) -> str:
    if isinstance(event, Row):
        number = f"row {event.number}" if event.number else "running on"
        return f"{event.section.value}, {number}"
    return event.section.value


# --- Two readings compared -------------------------------------------------------------------


def _compare(steps: ReadSteps, charts: Sequence[ReadChart], drawn: _Reading, *, rows: bool) -> None:
    """Raise _DifferenceError at the first row or move that steps and charts tell otherwise."""
    titles = {chart.title for chart in charts}
    sections = {section for title, section in TITLES.items() if title in titles}
    told = [
        (event, place)
        for event, place in zip(steps.events, steps.places, strict=True)
        if _is_charted(event) and _charted_in(event.section) in sections
    ]
    shown = [
        (event, place)
        for event, place in zip(drawn.events, drawn.places, strict=True)
        if _is_charted(event) and (rows or not isinstance(event, Row))
    ]
    for one, other in zip_longest(_in_order(told), _in_order(shown)):
        if one is None:
            _, (event, place) = told[-1], other
            raise _differ(event, "the steps do not tell this", ((place, "in the chart"),))
        if other is None:
            event, place = one
            raise _differ(event, "no chart shows this", ((place, "in the steps"),))
        if one[0] != other[0]:
            raise _difference_of(one, other)
    _compare_taken_off(steps, charts)


def _is_charted(event: Event) -> bool:
    """Whether a chart shows it; the cast-on and the closing stand in none."""
    return isinstance(event, Row | Hold | Rehang | LiftBar | Shift)


def _charted_in(section: Section) -> Section:
    """The section that gives the part its name."""
    return {
        Section.CAST_ON: Section.CUFF,
        Section.PARTIAL: Section.FLAP,
        Section.GUSSET: Section.FOOT,
    }.get(section, section)


Placed = tuple[Event, LinePlace]


def _in_order(events: Sequence[Placed]) -> list[Placed]:
    """The events, moves of one kind that follow each other in one order for both readings."""
    found: list[Placed] = []
    for _, group in groupby(enumerate(events), key=lambda one: _kind(one[0], one[1][0])):
        run = [placed for _, placed in group]
        found += sorted(run, key=lambda placed: repr(placed[0])) if len(run) > 1 else run
    return found


def _kind(index: int, event: Event) -> object:
    return index if isinstance(event, Row) else type(event).__name__


def _differ(event: Event, what: str, places: tuple[tuple[LinePlace, str], ...]) -> _DifferenceError:
    return _DifferenceError(Difference(f"{_named(event)}: {what}", places))


def _difference_of(one: Placed, other: Placed) -> _DifferenceError:
    """The first thing in which a row or move of the steps is not that of the chart."""
    (told, told_at), (shown, shown_at) = one, other
    says, shows = _facts_that_differ(told, shown)
    return _DifferenceError(
        Difference(
            f"{_named(told)}: steps and chart differ",
            ((told_at, f"the steps say {says}"), (shown_at, f"the chart shows {shows}")),
        )
    )


def _facts_that_differ(told: Event, shown: Event) -> tuple[str, str]:
    if not isinstance(told, Row) or not isinstance(shown, Row):
        return _words(told), _words(shown)
    tests: tuple[tuple[Callable[[Row], object], Callable[[Row], str]], ...] = (
        (lambda row: (row.section, row.number), _named),
        (lambda row: row.direction, _direction_words),
        (lambda row: row.pegs[0], lambda row: f"that it starts at peg {row.pegs[0]}"),
    )
    for test, words in tests:
        if test(told) != test(shown):
            return words(told), words(shown)
    for peg, letter, other in zip(told.pegs, told.stitches, shown.stitches, strict=False):
        if letter != other:
            return f"peg {peg} {_STITCHES[letter]}", f"peg {peg} {_STITCHES[other]}"
    return f"that it ends at peg {told.pegs[-1]}", f"that it ends at peg {shown.pegs[-1]}"


def _direction_words(row: Row) -> str:
    return "that the pegs count up" if row.direction > 0 else "that the pegs count down"


def _words(event: Event) -> str:
    """A row or a move in a few words."""
    if isinstance(event, Row):
        return _named(event)
    return f"{_MOVES[type(event)]}, pegs {' '.join(map(str, event_pegs(event)))}"


_MOVES: Final[dict[type[Move], str]] = {
    CastOn: "cast on",
    Hold: "loops put on a holder",
    Rehang: "edge loops hung back",
    LiftBar: "a bar lifted",
    Shift: "a loop moved",
    TakeOff: "loops taken off",
    Graft: "grafting",
}
_STITCHES: Final = {letter: verb for verb, letter in VERBS.items()} | {
    "R": "cross, on top to the right",
    "r": "cross, beneath to the right",
    "L": "cross, on top to the left",
    "l": "cross, beneath to the left",
}


def _compare_taken_off(steps: ReadSteps, charts: Sequence[ReadChart]) -> None:
    """The loops that a chart marks to be taken off are those that the steps name."""
    for chart in charts:
        for event, place in zip(chart.events, chart.places, strict=True):
            if isinstance(event, Row) or event.mark != "O":
                continue
            taken = [one for one in steps.events if isinstance(one, TakeOff)]
            if sorted(event.pegs) != sorted(peg for one in taken for peg in one.pegs):
                raise _DifferenceError(
                    Difference(
                        "closing: steps and chart differ",
                        ((place, "other loops are marked to be taken off than the steps name"),),
                    )
                )
            counts = sorted(f"{len(one.pegs)} onto the {one.needle.value} needle" for one in taken)
            if counts != sorted(event.words):
                raise _DifferenceError(
                    Difference(
                        "closing: steps and chart differ",
                        ((place, f"the steps take {' and '.join(counts)}"),),
                    )
                )
