"""How long whole processes take, how much memory, and how the core's cost grows; run by hand.

    python tests/bench/bench_speed.py [ROUNDS]

Prints Markdown tables.  Best and median of the rounds; the best is the machine's, the median has
its other work in it.
"""

from __future__ import annotations

import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP))

from charts.chart import make_chart  # noqa: E402
from charts.loom import Loom  # noqa: E402
from charts.parts import parts_of  # noqa: E402
from charts.plan import make_plan  # noqa: E402
from charts.rows import Row  # noqa: E402
from charts.sock import make_rows  # noqa: E402
from charts.spec import Cuff, Flanks, Foot, Leg, Motif, SockSpec  # noqa: E402
from charts.steps import make_steps  # noqa: E402
from charts.verify import verify  # noqa: E402

ROUNDS = 15
FLOOR = ("-c", "import reportlab.pdfgen.canvas, click")
PEGFOLIO = ("-m", "layouts.cli")
SAMPLES = TOP / "samples"
PEGS = (40, 120, 400)
"""The last is beyond any loom on sale; `make_plan` has no limit, reading a pattern file has."""


_STARTER = """
import os, sys, time
start = time.perf_counter()
process = os.posix_spawn(sys.executable, [sys.executable, *sys.argv[1:]], os.environ)
_, status, usage = os.wait4(process, 0)
wall_s = time.perf_counter() - start
busy_s = usage.ru_utime + usage.ru_stime
print(wall_s, busy_s, usage.ru_maxrss, os.waitstatus_to_exitcode(status), file=sys.stderr)
"""
"""A process counts the memory of the one that started it as its own, so a small one starts it."""


@dataclass(frozen=True)
class Run:
    """One process from start to end."""

    wall_s: float
    peak_mb: float
    """Largest resident set, in units of 10^6 bytes."""
    busy_s: float
    """Of processors, its own and those of the processes that it waited for."""


def run_process(arguments: Sequence[str], folder: Path) -> Run:
    """Start Python with these arguments and wait; ends the benchmark if the process fails.

    Compiled modules are kept in the folder, so that all runs but the first find them, as they
    would after an installation.
    """
    environment = {
        **os.environ,
        "PYTHONPATH": str(TOP),
        "PYTHONDONTWRITEBYTECODE": "",
        "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
    }
    told = subprocess.run(
        [sys.executable, "-S", "-c", _STARTER, *arguments],
        cwd=folder,
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        check=True,
    ).stderr
    wall_s, busy_s, peak, code = told.splitlines()[-1].split()
    if code != "0":
        raise SystemExit(f"{' '.join(arguments)} ended with {code}:\n{told}")
    # Kibibytes on Linux, bytes on macOS: getrusage(2) of each.
    unit = 1 if sys.platform == "darwin" else 1024
    return Run(float(wall_s), int(peak) * unit / 1e6, float(busy_s))


def time_call(call: Callable[[], object], rounds: int) -> list[float]:
    """Seconds of each call."""
    found = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        found.append(time.perf_counter() - start)
    return found


def process_table(rounds: int) -> list[str]:
    """Whole processes, each round all of them in turn, so that other work hits all alike."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        booklet = folder / "out.pdf"
        millstream, ember = str(SAMPLES / "millstream.toml"), str(SAMPLES / "ember.toml")
        processes: dict[str, tuple[Sequence[str], float | None]] = {
            "floor: Python alone": (("-c", "pass"), None),
            f"floor: `python -c '{FLOOR[1]}'`": (FLOOR, None),
            "`check`, 56 pegs": ((*PEGFOLIO, "check", millstream), 0.15),
            "`steps`, 56 pegs": ((*PEGFOLIO, "steps", millstream), None),
            "`data`, 56 pegs": ((*PEGFOLIO, "data", millstream), None),
            "`chart --part turn` to .pdf, 56 pegs": (
                (*PEGFOLIO, "chart", millstream, "--part", "turn", "--output", str(booklet)),
                None,
            ),
        }
        pages = {}
        for label, sample in (("24 pegs", ember), ("56 pegs", millstream)):
            command = (*PEGFOLIO, "booklet", sample, "--output", str(booklet))
            run_process(command, folder)
            pages[label] = _count_pages(booklet)
            processes[f"`booklet`, {label}, {pages[label]} pages"] = (command, 0.35)
        runs: dict[str, list[Run]] = {label: [] for label in processes}
        for arguments, _ in processes.values():
            run_process(arguments, folder)
        for _ in range(rounds):
            for label, (arguments, _) in processes.items():
                runs[label].append(run_process(arguments, folder))
    lines = [
        "| process | best | median | peak memory | goal |",
        "|---|---:|---:|---:|---:|",
    ]
    for label, found in runs.items():
        walls = [each.wall_s for each in found]
        peak_mb = max(each.peak_mb for each in found)
        goal_s = processes[label][1]
        goal = "" if goal_s is None else f"{goal_s} s, 120 MB"
        lines.append(
            f"| {label} | {min(walls):.3f} s | {statistics.median(walls):.3f} s "
            f"| {peak_mb:.0f} MB | {goal} |"
        )
    return lines


CLASS = 30
CLASS_GOAL = "3 s for 200 pages, 200 MB"


def class_table(rounds: int) -> list[str]:
    """Class packs: one person, a class of five sizes, a class in which every foot is another."""
    sizes = ("Child", "Youth", "Small", "Medium", "Large")
    rings = (28, 32, 36, 40)
    rosters = {
        "1 person": ["who,size", "Student 1,Small"],
        f"{CLASS} people, 5 sizes": [
            "who,size",
            *(f"Student {number},{sizes[number % 5]}" for number in range(CLASS)),
        ],
        f"{CLASS} people, each foot another": [
            "who,foot length mm,pegs",
            *(f"Student {n},{215 + 2 * n},{rings[n % 4]}" for n in range(CLASS)),
        ],
    }
    lines = [
        "| `class` | pages | best | median | one by one | peak memory | goal |",
        "|---|---:|---:|---:|---:|---:|---:|",
    ]
    alone_s = 0.0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for label, rows in rosters.items():
            roster = folder / "roster.csv"
            roster.write_text("\n".join(rows), encoding="utf-8")
            pattern = str(SAMPLES / "three-looms.toml")
            command = (*PEGFOLIO, "class", pattern, str(roster), "--output", str(folder / "packs"))
            run_process(command, folder)
            runs = [run_process(command, folder) for _ in range(rounds)]
            walls = [each.wall_s for each in runs]
            alone_s = alone_s or min(walls)
            lines.append(
                f"| {label} | {_count_pages(folder / 'packs' / 'all-packs.pdf')} "
                f"| {min(walls):.2f} s | {statistics.median(walls):.2f} s "
                f"| {(len(rows) - 1) * alone_s:.1f} s "
                f"| {max(each.peak_mb for each in runs):.0f} MB | {CLASS_GOAL} |"
            )
    return lines


def _count_pages(pdf: Path) -> int:
    """Pages by a reader that did not write them."""
    from pypdf import PdfReader

    return len(PdfReader(pdf).pages)


def wide_sock(pegs: int) -> SockSpec:
    """A sock as long as it is wide, so that rows grow with the pegs: panel, rib, cables."""
    motif = Motif("ropes", ("pkkkkp", "pkkkkp", "pRRllp", "pkkkkp"))
    across = max(1, pegs // 40)
    return SockSpec(
        "Wide",
        Loom(pegs, 9.525, "3/8 in"),
        cuff=Cuff(16),
        leg=Leg(rows=pegs, panel="ropes", across=across, flanks=Flanks.RIB),
        foot=Foot(rows=pegs * 5 // 4),
        motifs={"ropes": motif},
    )


def growth_table(rounds: int) -> list[str]:
    """The stages of the core at several sizes, and what a cell costs."""
    return [
        "| pegs | rows | cells | plan | rows | verify | charts | steps | all | 1000 cells |",
        "|" + "---:|" * 10,
        *(_growth_line(pegs, rounds) for pegs in PEGS),
    ]


def _growth_line(pegs: int, rounds: int) -> str:
    spec = wide_sock(pegs)
    plan = make_plan(spec)
    rows = make_rows(plan)
    knit = verify(plan, rows)
    stages: tuple[Callable[[], object], ...] = (
        lambda: make_plan(spec),
        lambda: make_rows(plan),
        lambda: verify(plan, rows),
        lambda: [make_chart(knit, part) for part in parts_of(knit)],
        lambda: make_steps(knit),
    )
    times_ms = [min(time_call(stage, rounds)) * 1000 for stage in stages]
    stitched = [event.stitches for event in rows.events if isinstance(event, Row)]
    cells = sum(map(len, stitched))
    whole_ms = sum(times_ms)
    costs = " | ".join(f"{each:.2f} ms" for each in (*times_ms, whole_ms))
    per_thousand_ms = whole_ms / cells * 1000
    return f"| {pegs} | {len(stitched)} | {cells:,} | {costs} | {per_thousand_ms:.2f} ms |"


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    print(f"Python {platform.python_version()}, {os.cpu_count()} cores, {rounds} rounds\n")
    print("\n".join(process_table(rounds)), end="\n\n")
    print("\n".join(class_table(min(rounds, 5))), end="\n\n")
    print("\n".join(growth_table(min(rounds, 5))))


if __name__ == "__main__":
    main()
