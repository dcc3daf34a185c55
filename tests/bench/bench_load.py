"""Large classes and patterns of many sizes: time, memory and cores of whole processes; run by hand.

    python tests/bench/bench_load.py [PEOPLE ...]

Prints Markdown tables: a class of each so many people (30, 300 and 1,000), every foot another, on
one core and on as many as pay; and what a pattern of 5, 20 and 40 sizes is printed as.  It fails if
the packs of several cores are not those of one to the byte.
"""

from __future__ import annotations

import filecmp
import os
import platform
import sys
import tempfile
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from bench_speed import PEGFOLIO, SAMPLES, run_process

PEOPLE = (30, 300, 1000)
SIZES = (5, 20, 40)
RINGS = (28, 32, 36, 40)
SAMPLED_S = 0.1


@dataclass(frozen=True)
class Load:
    """One run."""

    wall_s: float
    busy_s: float
    """Of processors: other work on the machine makes it longer by little."""
    largest_mb: float
    """Resident set of its largest process at the most, in units of 10^6 bytes."""
    together_mb: float
    """Of all its processes at a time, what they share counted once; 0 where that is not told."""


def measured(arguments: Sequence[str], folder: Path) -> Load:
    """Runs it and looks at its memory ten times a second."""
    ended = threading.Event()
    most = [0.0]

    def watch() -> None:
        while not ended.wait(SAMPLED_S):
            most[0] = max(most[0], _proportional_mb(arguments[-1]))

    watcher = threading.Thread(target=watch)
    watcher.start()
    try:
        run = run_process(arguments, folder)
    finally:
        ended.set()
        watcher.join()
    return Load(run.wall_s, run.busy_s, run.peak_mb, most[0])


def _proportional_mb(word: str) -> float:
    """Proportional set sizes (proc(5)) of the processes that have the word for an argument."""
    total = 0
    for process in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):
            arguments = (process / "cmdline").read_bytes().split(b"\0")
            if word.encode() not in arguments or b"-S" in arguments:
                continue
            for line in (process / "smaps_rollup").read_text(encoding="ascii").splitlines():
                if line.startswith("Pss:"):
                    total += int(line.split()[1]) * 1024
    return total / 1e6


def class_lines(people: int, folder: Path) -> list[str]:
    """The class on one core, and on as many as pay."""
    roster = folder / f"class-{people}.csv"
    feet = (f"{200 + n % 120 + n % 7 / 2},{RINGS[n % 4]}" for n in range(people))
    rows = (f"Student {n},{foot}" for n, foot in enumerate(feet, start=1))
    roster.write_text("\n".join(["who,foot length mm,pegs", *rows]), encoding="utf-8")
    lines = []
    outputs = []
    for cores in (("--cores", "1"), ()):
        output = folder / f"{people}-{len(outputs)}"
        outputs.append(output)
        command = (*PEGFOLIO, "class", str(SAMPLES / "three-looms.toml"), str(roster), *cores)
        load = measured((*command, "--output", str(output)), folder)
        written = sum(path.stat().st_size for path in output.iterdir()) / 1e6
        lines.append(
            f"| class of {people:,} | {'1' if cores else 'all'} | {written:.0f} MB "
            f"| {load.wall_s:.1f} s | {load.busy_s:.1f} s "
            f"| {load.largest_mb:.0f} MB | {load.together_mb:.0f} MB |"
        )
    alone, several = outputs
    names = [path.name for path in alone.iterdir()]
    _, differ, amiss = filecmp.cmpfiles(alone, several, names, shallow=False)
    if differ or amiss or len(names) != len(list(several.iterdir())):
        raise SystemExit(f"packs differ: {[*differ, *amiss][:5]}")
    return lines


def sized_pattern(sizes: int) -> str:
    """Feet of eight lengths on each ring."""
    text = (SAMPLES / "three-looms.toml").read_text(encoding="utf-8")
    head, rest = text.split("[[size]]", 1)
    motif = rest[rest.index("# The top line") :]
    tables = []
    for number in range(sizes):
        ring, length = divmod(number, 8)
        pegs = 28 + 4 * ring
        tables.append(
            f'[[size]]\nname = "Size {number + 1}"\nloom = {{ pegs = {pegs} }}\n'
            f'wearer = {{ length = "{19.5 + 0.8 * length + 0.7 * ring:.1f} cm", '
            f'ball = "{pegs * 0.715:.1f} cm", leg_height = "{15.5 + length / 2:.1f} cm" }}\n'
        )
    return "\n".join([head, *tables, motif])


def sizes_lines(sizes: int, folder: Path) -> list[str]:
    """Everything that a pattern of so many sizes is printed as."""
    pattern = folder / f"sizes-{sizes}.toml"
    pattern.write_text(sized_pattern(sizes), encoding="utf-8")
    output = folder / "printed"
    lines = []
    for words, ending in (
        (("booklet",), ".pdf"),
        (("chart", "--part", "foot"), ".pdf"),
        (("steps",), ".txt"),
        (("card", "--part", "turn"), ".pdf"),
        (("card", "--part", "all"), ".pdf"),
    ):
        target = output.with_suffix(ending)
        command = (*PEGFOLIO, words[0], str(pattern), *words[1:], "--output", str(target))
        load = measured(command, folder)
        lines.append(
            f"| `{' '.join(words)}`, {sizes} sizes | {target.stat().st_size / 1e6:.2f} MB "
            f"| {load.wall_s:.1f} s | {load.busy_s:.1f} s | {load.largest_mb:.0f} MB |"
        )
    return lines


def main() -> None:
    people = tuple(map(int, sys.argv[1:])) or PEOPLE
    usable = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    print(f"Python {platform.python_version()}, {usable} cores\n")
    print("| class | cores | written | time | of processors | largest process | all together |")
    print("|---|---:|---:|---:|---:|---:|---:|")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        run_process(
            (*PEGFOLIO, "booklet", str(SAMPLES / "ember.toml"), "--output", "a.pdf"), folder
        )
        for count in people:
            print("\n".join(class_lines(count, folder)), flush=True)
        print("\n| sizes | written | time | of processors | memory |\n|---|---:|---:|---:|---:|")
        for sizes in SIZES:
            print("\n".join(sizes_lines(sizes, folder)), flush=True)


if __name__ == "__main__":
    main()
