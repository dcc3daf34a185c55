"""What pages cost: a booklet, a class, a big chart, each beside two general-purpose ways; by hand.

    python tests/bench/bench_pages.py [ROUNDS]

Prints a Markdown table.  Whole processes, each round all in turn.  Ours read the pattern, plan,
knit and prove the sock, lay out and write; the others get finished pages as JSON and only print,
either pages of their own make or the very same ones.  typst is optional: `pip install typst`.
"""

from __future__ import annotations

import importlib.util
import json
import math
import statistics
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP), str(Path(__file__).parent)]

from bench_speed import FLOOR, PEGFOLIO, Run, run_process  # noqa: E402
from big_chart import COUNT as BIG  # noqa: E402
from big_chart import make_big_chart  # noqa: E402
from page_items import items_of  # noqa: E402

from charts.chart import ChartRow, make_chart  # noqa: E402
from charts.knitted import knit_sock  # noqa: E402
from charts.pattern_file import read_pattern  # noqa: E402
from charts.steps import Checkpoint, RepeatStep, RowStep, make_steps  # noqa: E402
from charts.verify import Knit  # noqa: E402
from layouts.booklet import make_booklet  # noqa: E402
from layouts.paper import PAPERS  # noqa: E402

ROUNDS = 7
SAMPLE = TOP / "samples" / "reed-bank.toml"
PEOPLE = 24
PLAIN = str(Path(__file__).with_name("plain_pages.py"))
BIG_CHART = str(Path(__file__).with_name("big_chart.py"))


def pages_of(knit: Knit) -> dict[str, object]:
    """A sock as `plain_pages.py` prints it."""
    parts = []
    for part in make_steps(knit):
        chart = make_chart(knit, part.part)
        rows = [list(line.cells) for line in chart.lines if isinstance(line, ChartRow)]
        steps = [
            f"{step.label if isinstance(step, RowStep | RepeatStep) else ''} {step.text}"
            for step in part.steps
            if not isinstance(step, Checkpoint)
        ]
        parts.append({"title": part.part.title, "chart": rows[::-1], "steps": steps})
    plan = [[line.name, line.value, line.reason] for line in knit.plan.lines]
    return {"title": knit.plan.spec.title, "plan": plan, "parts": parts}


def big_chart_pages() -> list[dict[str, object]]:
    letters = ["k" * BIG] * BIG
    part = {"title": "Leg", "chart": [list(row) for row in letters], "steps": []}
    return [{"title": "Wide", "plan": [["pegs", str(BIG), "the loom"]], "parts": [part]}]


def same_pages(knit: Knit) -> dict[str, list[dict[str, object]]]:
    """Our pages as `page_items` tells them: a booklet, as many pages as a class has, a chart."""
    booklet = items_of(make_booklet(knit, knit, paper=PAPERS["a5"]))
    class_pages = math.ceil(10 * PEOPLE / len(booklet)) * booklet
    return {
        "our booklet": booklet,
        f"{len(class_pages)} of our pages": class_pages,
        "our chart": items_of(make_big_chart()),
    }


def count_pages(pdf: Path) -> int:
    """By a library that did not write them."""
    from pypdf import PdfReader

    return len(PdfReader(pdf).pages)


def jobs(folder: Path) -> dict[str, tuple[Sequence[str], Path | None]]:
    """Every process to run, with the file it writes."""
    knit = knit_sock(read_pattern(SAMPLE.read_text(encoding="utf-8")))
    sock = pages_of(knit)
    sheets = {"one": [sock], "class": [sock] * PEOPLE, "chart": big_chart_pages()}
    for name, pages in sheets.items():
        (folder / f"{name}.json").write_text(json.dumps(pages), encoding="utf-8")
    roster = ["who,foot length cm"]
    roster += [f"Student {number},{21 + number % 8}" for number in range(1, PEOPLE + 1)]
    (folder / "roster.csv").write_text("\n".join(roster) + "\n", encoding="utf-8")
    book, folded = folder / "book.pdf", folder / "folded.pdf"
    packs, chart = folder / "packs", folder / "chart.pdf"
    booklet = (*PEGFOLIO, "booklet", str(SAMPLE), "--output", str(book))
    found: dict[str, tuple[Sequence[str], Path | None]] = {
        "floor: reportlab and click imported": (FLOOR, None),
        "booklet, tagged": (booklet, book),
        "booklet, untagged, folded": ((*booklet[:-1], str(folded), "--layout", "fold"), folded),
    }
    found[f"class of {PEOPLE}"] = (
        (*PEGFOLIO, "class", str(SAMPLE), str(folder / "roster.csv"), "--output", str(packs)),
        packs / "all-packs.pdf",
    )
    found[f"chart of {BIG} x {BIG}"] = ((BIG_CHART, str(chart)), chart)
    ways = [(name, "platypus") for name in sheets]
    if importlib.util.find_spec("typst"):
        ways += [(name, "typst") for name in sheets]
        for name, pages in same_pages(knit).items():
            (folder / f"{name}.json").write_text(json.dumps(pages), encoding="utf-8")
            ways.append((name, "same"))
    for name, way in ways:
        out = folder / f"{name}-{way}.pdf"
        found[f"{name}, {way}"] = ((PLAIN, way, str(folder / f"{name}.json"), str(out)), out)
    return found


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        todo = jobs(folder)
        runs: dict[str, list[Run]] = {label: [] for label in todo}
        for arguments, _ in todo.values():
            run_process(arguments, folder)
        for _ in range(rounds):
            for label, (arguments, _) in todo.items():
                runs[label].append(run_process(arguments, folder))
        print("| process | pages | size | best | median | peak memory |")
        print("|---|---:|---:|---:|---:|---:|")
        for label, found in runs.items():
            out = todo[label][1]
            pages, size = ("", "")
            if out is not None:
                pages, size = str(count_pages(out)), f"{out.stat().st_size / 1000:.0f} kB"
            walls = [run.wall_s for run in found]
            peak_mb = max(run.peak_mb for run in found)
            print(
                f"| {label} | {pages} | {size} | {min(walls):.3f} s "
                f"| {statistics.median(walls):.3f} s | {peak_mb:.0f} MB |"
            )


if __name__ == "__main__":
    main()
