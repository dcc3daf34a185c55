"""Faults sown at every stage from plan to print, in all samples and hand-counted socks.

    python -m tests.faults.campaign [SHARE]

Every stage has its own ways to go wrong by one small thing; of all that could be sown one in so
many is, by a stride of the stage (a prime) times SHARE, 1 by default.  Nothing is left to chance,
so a survivor comes again.  The table says how many faults were made, how many of them are none (the
stage's record is the same), and how many of the rest were caught; survivors are listed with the
reason why they do not change the sock, and one without a reason makes it end with 1.
"""

from __future__ import annotations

import re
import sys
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field, fields, replace
from functools import cache, cached_property
from itertools import islice, permutations
from pathlib import Path
from typing import Any, Final
from unittest.mock import patch

from charts import reader_words
from charts.chart import Folding, make_chart
from charts.knitted import knit_sock
from charts.parts import parts_of
from charts.plain_text import chart_text, steps_text
from charts.plan import Plan
from charts.printed_notes import check_counting, check_state, check_thread
from charts.reader import read_chart_text, read_steps_text
from charts.reader_records import ReadChart, ReadError, Ring
from charts.reader_steps import THREAD_NOTE
from charts.reader_words import TITLES
from charts.sizes import knit_sizes
from charts.sock import make_rows
from charts.spec import Cuff, Foot, Leftover, Leg, ShortRows, Toe
from charts.steps import make_steps
from charts.stitches import STITCHES
from charts.verify import Knit, find_faults
from charts.virtual_loom import State, knit_on_loom
from layouts.booklet import make_booklet
from layouts.paper import PAPERS
from layouts.pdf import write_pdf
from layouts.pdf_reading import read_pages
from layouts.scene import Document
from layouts.sized_booklet import make_sized_booklet
from tests.core.mutate import SOCKS, mutants
from tests.core.socks import sock
from tests.prove.alter import alterations, other_word, reports

ROOT: Final = Path(__file__).resolve().parents[2]
STRIDES: Final = {"plan": 1, "rows": 2003, "steps": 31, "chart": 41, "PDF": 199, "reader": 1}
BATCH: Final = 100
"""Altered pages in one file."""


@dataclass(frozen=True)
class Fault:
    """One thing gone wrong."""

    what: str
    is_caught: Callable[[], bool | None]
    """None if it is no fault: what the stage makes is the same."""


@dataclass
class Tally:
    """What became of the faults of one stage."""

    made: int = 0
    equal: int = 0
    caught: int = 0
    survivors: Counter[str] = field(default_factory=Counter)

    def add(self, what: str, caught: bool | None) -> None:
        self.made += 1
        self.equal += caught is None
        self.caught += caught is True
        if caught is False:
            self.survivors[what] += 1


REASONS: Final = {
    r"plan: .*: (?:finished|foot length|round |rows in 10|stitches in 10|fit|flap height)": (
        "a measure of the wearer or of the finished sock tells of the fit; no stitch hangs on it"
    ),
    r"steps: .*(?:Loom: .* apart|Loops: )": "no row depends on the spacing",
    r"steps: .*: title: ": "what the sock is called is not how it is knitted",
    r"steps: .*: \d+ +\[ \] [\[\] ]*\(\d+\)": (
        "the number before a line of tick boxes helps to tick; the rows stand in the step above"
    ),
    r"PDF: .*the foot.s rows are counted": (
        "on a card alone nothing else tells of the thread, and any instep peg serves to count from"
    ),
}
"""Why a survivor is no other sock; matched from the start."""


class Sock:
    """A proved sock and its texts."""

    def __init__(self, name: str, knit: Knit) -> None:
        self.name = name
        self.knit = knit
        loom = knit.plan.loom
        self.ring = Ring(loom.pegs, loom.working)

    @cached_property
    def steps(self) -> str:
        return steps_text(self.knit, make_steps(self.knit))

    @cached_property
    def charts(self) -> tuple[tuple[str, ReadChart], ...]:
        """The text of each chart, and what it tells."""
        found = []
        for part in parts_of(self.knit):
            for folding in (Folding.NONE, Folding.RUNS):
                text = chart_text(make_chart(self.knit, part, folding=folding))
                found.append((text, read_chart_text(text, self.ring)))
        return tuple(found)

    def tells_otherwise(self, steps: str) -> bool:
        """Whether steps are refused, or are not those of the sock, or their checkpoints are not."""
        try:
            read = read_steps_text(steps)
            if (read.ring, read.events) != (self.ring, self.knit.rows.events):
                return True
            checks = [
                (as_on_a_page(note.text), note.after)
                for note in read.notes
                if note.label == "Check"
            ]
            for text, after in checks:
                state = self.knit.trace.states[after - 1] if after else _EMPTY_LOOM
                check_state(text, self.ring, state)
            pegs = {
                check_counting(note.text, TITLES[note.part], read.events)
                for note in read.notes
                if note.label == "Count"
            } | {
                check_thread(note.text, read.events)
                for note in read.notes
                if note.label == THREAD_NOTE
            }
            return len(pegs - {None}) > 1
        except ReadError:
            return True

    def draws_otherwise(self, text: str, due: ReadChart) -> bool:
        """Whether a chart is refused, or shows other rows or marks."""
        try:
            return read_chart_text(text, self.ring).events != due.events
        except ReadError:
            return True


_EMPTY_LOOM: Final = State(None, 0, 0, 0, 0, 0, 0)


def as_on_a_page(text: str) -> str:
    """A checkpoint of plain text as pages have it: with a capital and a full stop."""
    return f"{text[:1].upper()}{text[1:]}."


@cache
def socks() -> tuple[Sock, ...]:
    """Every sock of every sample, every size of it, and the socks counted by hand."""
    found = []
    for path in patterns():
        for size in knit_sizes(path.read_text(encoding="utf-8")).sizes:
            found.append(Sock(f"{path.stem} {size.name}".strip(), size.knit))
            if size.second is not size.knit:
                found.append(Sock(f"{path.stem} {size.name}, second".strip(), size.second))
    for path in sorted((ROOT / "tests" / "counts").glob("*-pegs.toml")):
        loom = tomllib.loads(path.read_text(encoding="utf-8"))
        hand = loom["sock"][0]
        spec = sock(
            loom["loom"]["pegs"],
            loom["loom"]["spacing"],
            cuff=Cuff(hand["rows"]["cuff"], loom["rib"]["repeat"], Leftover.KNIT),
            leg=Leg(hand["rows"]["leg"], round_start_shift=hand["shift"]),
            foot=Foot(hand["rows"]["foot"]),
            toe=Toe(side=hand["toe_side"], short_rows=ShortRows(hand["short_rows"])),
        )
        found.append(Sock(path.stem, knit_sock(spec)))
    return tuple(found)


@cache
def every_stitch() -> tuple[Sock, ...]:
    """Short socks that between them use every stitch and every move."""
    specs = SOCKS | {"16 pegs, u-wrap": sock(16, knit="u-wrap")}
    return tuple(Sock(name, knit_sock(spec)) for name, spec in specs.items())


def patterns() -> list[Path]:
    """The pattern files among the samples."""
    every = sorted((ROOT / "samples").glob("*.toml"))
    return [path for path in every if path.stem != "looms"]


# --- The stages ------------------------------------------------------------------------------


def of_the_plan(one: Sock) -> Iterator[Fault]:
    """Each number of the plan a little off; the rows sound, or made from it in good faith."""
    plan = one.knit.plan
    for each in fields(plan):
        value = getattr(plan, each.name)
        if isinstance(value, int):
            others: list[Any] = [value + by for by in (-2, -1, 1, 2)]
        elif each.name == "cuff_letters":
            turned = {"k": "p", "u": "p", "e": "p", "p": plan.knit_letter}
            others = [
                value[:at] + turned[letter] + value[at + 1 :] for at, letter in enumerate(value)
            ]
        else:
            continue
        for other in others:
            doctored = replace(plan, **{each.name: other})
            yield Fault(
                f"{each.name}, the rows sound", lambda doctored=doctored: refuses(doctored, plan)
            )
            yield Fault(
                f"{each.name}, the rows with it",
                lambda doctored=doctored: refuses(doctored, doctored),
            )
    for at, line in enumerate(plan.lines):
        before, after = plan.lines[:at], plan.lines[at + 1 :]
        for word in re.finditer(r"\w+", line.value):
            value = line.value[: word.start()] + other_word(word[0]) + line.value[word.end() :]
            doctored = replace(plan, lines=(*before, replace(line, value=value), *after))
            what = f"{line.name} as printed"
            yield Fault(what, lambda doctored=doctored: refuses(doctored, plan))
        without = replace(plan, lines=(*before, *after))
        yield Fault(f"{line.name} not printed", lambda without=without: refuses(without, plan))


def refuses(plan: Plan, made_from: Plan) -> bool:
    """Whether rows made from one plan are refused with another, or cannot even be made."""
    try:
        rows = make_rows(made_from)
    except (IndexError, KeyError, ValueError):
        return True
    trace = knit_on_loom(rows)
    return bool(trace.faults or find_faults(plan, rows, trace))


def of_the_rows(one: Sock) -> Iterator[Fault]:
    """Every small way to spoil rows and moves."""
    plan, sound = one.knit.plan, one.knit.rows
    for mutant in mutants(sound):

        def is_caught(make: Callable[[], Any] = mutant.make) -> bool | None:
            rows = make()
            if rows == sound:
                return None
            trace = knit_on_loom(rows)
            return bool(trace.faults or find_faults(plan, rows, trace))

        yield Fault(f"{mutant.kind}: {mutant.what}", is_caught)


def of_the_steps(one: Sock) -> Iterator[Fault]:
    """Every word, number and arrow of the steps as text, each with another in its place."""
    text = one.steps
    head = text.index("Loom: ")
    for word in re.finditer(r"\w+|[→←]", text):
        whole = text[: word.start()] + other_word(word[0]) + text[word.end() :]
        start = text.rfind("\n", 0, word.start()) + 1
        line = text[start : text.find("\n", word.end())].strip()
        place = f"{line} ({word[0]})"
        what = f"title: {place}" if word.start() < head else place
        yield Fault(what, lambda whole=whole: one.tells_otherwise(whole))


def of_the_charts(one: Sock) -> Iterator[Fault]:
    """Every cell and mark of the charts as text with another letter; every number and word."""
    for text, due in one.charts:
        for at, letter in enumerate(text):
            if letter in STITCHES and at and text[at - 1] in "| " and text[at + 1] in "| ":
                other = "p" if letter != "p" else "k"
                whole = text[:at] + other + text[at + 1 :]
                what = f"cell {letter} to {other}"
                yield Fault(what, lambda whole=whole, due=due: one.draws_otherwise(whole, due))
        for word in re.finditer(r"\d+|\w{2,}", text):
            whole = text[: word.start()] + other_word(word[0]) + text[word.end() :]
            start = text.rfind("\n", 0, word.start()) + 1
            what = f"{text[start : text.find(chr(10), word.end())].strip()} ({word[0]})"
            yield Fault(what, lambda whole=whole, due=due: one.draws_otherwise(whole, due))


@cache
def documents() -> dict[str, Document]:
    """The booklet of each sample, and of two socks counted by hand."""
    paper = PAPERS["a5"]
    found = {}
    for path in patterns():
        pattern = knit_sizes(path.read_text(encoding="utf-8"))
        found[path.stem] = make_sized_booklet(pattern, paper=paper)
    for one in socks():
        if one.name in ("25-pegs", "40-pegs"):
            found[one.name] = make_booklet(one.knit, one.knit, paper=paper)
    return found


def of_the_pdf(stride: int) -> Iterator[tuple[str, bool]]:
    """Every word of a step and note, every symbol and number of a chart, in the finished file."""
    for place, (name, document) in enumerate(documents().items()):
        sheets = read_pages(write_pdf(document))
        chosen = list(islice(alterations(document), place % stride, None, stride))
        for start in range(0, len(chosen), BATCH):
            for one, report in reports(document, sheets, chosen[start : start + BATCH]):
                yield (
                    f"{name}, page {one.page_index + 1}: {one.was} → {one.now}",
                    not report.is_proved,
                )


def of_the_reader() -> Iterator[Fault]:
    """The reader's tables: a word or mark taken for another, loops counted that are not drawn."""
    for table, words in (
        (reader_words.VERBS, list(reader_words.VERBS)),
        (reader_words.TITLES, list(reader_words.TITLES)),
        (reader_words.ARROWS, list(reader_words.ARROWS)),
    ):
        for one, other in permutations(words, 2):
            changed = {one: table[other]}  # type: ignore[index]
            yield Fault(f"“{one}” read as “{other}”", lambda t=table, c=changed: misreads(t, c))
    for letter, drawn in reader_words.DRAWN.items():
        yield Fault(
            f"{letter} counted {drawn + 1}",
            lambda c={letter: drawn + 1}: misreads(reader_words.DRAWN, c),
        )
    for letter in sorted(set(STITCHES) - set(reader_words.DRAWN)):
        yield Fault(f"{letter} not counted", lambda c={letter: 0}: misreads(reader_words.DRAWN, c))


def misreads(table: Any, changed: dict[Any, Any]) -> bool:
    """Whether some sock is no longer read as what was proved while a table is changed."""
    told = [(one, one.charts, one.steps) for one in (*every_stitch(), *socks())]
    with ExitStack() as stack:
        stack.enter_context(patch.dict(table, changed))
        return any(
            one.tells_otherwise(steps) or any(one.draws_otherwise(*chart) for chart in charts)
            for one, charts, steps in told
        )


# --- The campaign ----------------------------------------------------------------------------

STAGES: Final[dict[str, Callable[[Sock], Iterator[Fault]]]] = {
    "plan": of_the_plan,
    "rows": of_the_rows,
    "steps": of_the_steps,
    "chart": of_the_charts,
}


def campaign(share: int, *, stages: tuple[str, ...] = tuple(STRIDES)) -> dict[str, Tally]:
    """What became of the faults of each stage, with every stride `share` times as long."""
    found = {}
    for stage in stages:
        tally = found[stage] = Tally()
        stride = STRIDES[stage] * share
        if stage == "PDF":
            for what, caught in of_the_pdf(stride):
                tally.add(what, caught)
            continue
        if stage == "reader":
            for fault in islice(of_the_reader(), 0, None, stride):
                tally.add(fault.what, fault.is_caught())
            continue
        for place, one in enumerate(socks()):
            for fault in islice(STAGES[stage](one), place % stride, None, stride):
                tally.add(f"{one.name}: {fault.what}", fault.is_caught())
    return found


def reason_of(stage: str, what: str) -> str:
    """Why a survivor is no other sock; empty if nobody knows."""
    text = f"{stage}: {what}"
    return next((why for pattern, why in REASONS.items() if re.match(pattern, text)), "")


def table(found: dict[str, Tally]) -> str:
    """A line for each stage."""
    lines = [f"{'stage':8}{'stride':>8}{'made':>8}{'equal':>8}{'caught':>8}{'share':>9}"]
    for stage, tally in found.items():
        real = tally.made - tally.equal
        share = f"{100 * tally.caught / real:.2f} %" if real else "–"
        lines.append(
            f"{stage:8}{STRIDES[stage]:8}{tally.made:8}{tally.equal:8}{tally.caught:8}{share:>9}"
        )
    return "\n".join(lines)


def main() -> None:
    """Prints the table and the survivors; leaves with 1 if one of them has no reason."""
    share = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    found: dict[str, Tally] = {}
    for stage in STRIDES:
        found |= campaign(share, stages=(stage,))
        print(f"{stage}: {found[stage].made} faults", file=sys.stderr, flush=True)
    print(f"{len(socks())} socks, {len(documents())} booklets, strides times {share}")
    print(table(found))
    unexplained = 0
    for stage, tally in found.items():
        for what, times in sorted(tally.survivors.items()):
            reason = reason_of(stage, what)
            unexplained += not reason
            print(f"{times:5}  {stage}: {what}: {reason or 'NO REASON KNOWN'}")
    sys.exit(1 if unexplained else 0)


if __name__ == "__main__":
    main()
