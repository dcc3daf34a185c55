"""Spoiled input by the thousand: patterns, motifs, options, rosters, pictures, PDFs; run by hand.

    python -m tests.faults.fuzz [CASES]          (from the repository's top; 100,000 by default)

Every case must end in a result or in messages: no traceback, none over two seconds, the process
never over 512 MB, no file written but the one asked for.  The cases are drawn from a fixed seed, so
a finding comes again; it is printed with the number that makes it: `python -m tests.faults.fuzz
--only KIND NUMBER`.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import resource
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from charts.pattern_file import decode_pattern
from charts.problems import PatternError
from charts.prove import NothingToProveError, prove
from charts.roster import read_roster
from layouts.commands.pattern import has_sizes, open_text, sizes_of
from layouts.commands.program import COMMANDS, program
from layouts.commands.refusal import Refusal
from layouts.output import OutputError
from layouts.pdf_reading import UnreadablePdfError, read_pages
from layouts.pictures import PictureError, read_picture

CASES: Final = 100_000
MOST_S: Final = 2.0
MOST_MB: Final = 512
ROOT: Final = Path(__file__).resolve().parents[2]
SAMPLES: Final = tuple(sorted((ROOT / "samples").glob("*.toml")))
SHARES: Final = {
    "pattern": 35,
    "motif": 10,
    "bytes": 15,
    "options": 10,
    "roster": 17,
    "picture": 12,
    "pdf": 1,
}
"""Cases of each kind in a hundred."""

PIECES: Final = (
    *("[", "]", "[[", "]]", "{", "}", '"', '"""', "'", "'''", "=", ",", ".", "#", "\n", "\t", " "),
    *("0", "-1", "1e400", "nan", "inf", "9" * 40, "0x7f", "1_000", "1979-05-27", "true", "false"),
    *("pegs", "spacing", "rows", "rib", "heel", "foot", "toe", "size", "motif", "gauge", "wearer"),
    *("k2 p2", "k999999 p1", "3/8 in", "0 mm", "1/0 in", "-5 cm", "1e9 mm", "k" * 5000),
    *("\ufeff", "\u202e", "e\u0301", "\u0000", "\u001b[2J", "\ud83e", "\U0001f9e6", "ß", "–"),
    *("=1+1", "@x", "../../x", "a/b", "%s%n", "${x}", "<svg>", "]]>", "\\N", "(", ")"),
)
"""What is put into a file: signs of the grammar, words of the trade, hostile letters."""


@dataclass(frozen=True)
class Finding:
    """A case that did not end as it should."""

    kind: str
    number: int
    what: str


def main() -> None:
    """Runs the campaign and prints what was found; leaves with 1 if anything was."""
    if sys.argv[1:2] == ["--only"]:
        kind, number = sys.argv[2], int(sys.argv[3])
        print(run_case(kind, number))
        return
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else CASES
    begun = time.perf_counter()
    jobs = [
        (kind, first, min(first + 500, cases * share // 100))
        for kind, share in SHARES.items()
        for first in range(0, cases * share // 100, 500)
    ]
    findings: list[Finding] = []
    ends: Counter[str] = Counter()
    peak_mb = 0.0
    with ProcessPoolExecutor() as pool:
        for found, ended, mb in pool.map(_run_some, *zip(*jobs, strict=True)):
            findings += found
            ends += ended
            peak_mb = max(peak_mb, mb)
    took_s = time.perf_counter() - begun
    print(f"{sum(ends.values())} cases in {took_s:.0f} s, at most {peak_mb:.0f} MB:")
    for what, count in sorted(ends.items()):
        print(f"{count:9}  {what}")
    for finding in findings:
        print(f"{finding.kind} {finding.number}: {finding.what}")
    print(f"{len(findings)} findings")
    sys.exit(1 if findings or peak_mb > MOST_MB else 0)


def _run_some(kind: str, first: int, last: int) -> tuple[list[Finding], Counter[str], float]:
    findings = []
    ends: Counter[str] = Counter()
    for number in range(first, last):
        what = run_case(kind, number)
        good = what in (FINE, REFUSED)
        ends[f"{kind}: {what if good else 'wrong'}"] += 1
        if not good:
            findings.append(Finding(kind, number, what))
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
    return findings, ends, peak_mb


FINE: Final = "a result"
REFUSED: Final = "refused with a message"
REFUSALS: Final = (
    *(PatternError, Refusal, OutputError),
    *(PictureError, UnreadablePdfError, NothingToProveError),
)


def run_case(kind: str, number: int) -> str:
    """How the case ended: FINE, REFUSED, or what was wrong with its end."""
    chance = random.Random(f"{kind} {number}")
    begun = time.process_time()
    ended = FINE
    try:
        if KINDS[kind](chance):
            ended = REFUSED
    except REFUSALS as end:
        ended = REFUSED if str(end).strip() else "refused without a word"
    except BaseException:
        return traceback.format_exc()
    took_s = time.process_time() - begun
    return f"took {took_s:.1f} s" if took_s > MOST_S else ended


# --- Kinds of cases --------------------------------------------------------------------------


def spoiled(text: str, chance: random.Random) -> str:
    """The text with one to eight places spoiled."""
    for _ in range(chance.randint(1, 8)):
        at = chance.randint(0, len(text))
        length = chance.choice((0, 1, 1, 3, 12, 80))
        match chance.randint(0, 5):
            case 0:
                text = text[:at] + text[at + length :]
            case 1:
                text = text[:at] + text[at : at + length] * chance.choice((2, 3, 40)) + text[at:]
            case 2:
                lines = text.split("\n")
                chance.shuffle(lines)
                text = "\n".join(lines) if chance.random() < 0.2 else text
            case 3:
                text = text[:at] + chr(chance.choice((0, 9, 127, 133, 8232, 65279))) + text[at:]
            case _:
                text = text[:at] + chance.choice(PIECES) + text[at + length :]
    return text


def with_other_values(text: str, chance: random.Random) -> str:
    """The text with one to four values changed, so that most of it is still TOML."""
    lines = text.split("\n")
    places = [number for number, line in enumerate(lines) if "=" in line]
    for number in chance.choices(places, k=chance.randint(1, 4)):
        key, _, value = lines[number].partition("=")
        lines[number] = f"{key}={chance.choice((_number, _quoted, _of_another))(chance, value)}"
    return "\n".join(lines)


def _number(chance: random.Random, value: str) -> str:
    del value
    return str(chance.choice((chance.randint(-3, 130), chance.random() * 50, 10**30, 0)))


def _quoted(chance: random.Random, value: str) -> str:
    del value
    word = chance.choice(PIECES).replace("\n", " ")
    return f' "{word}"' if '"' not in word else f" '{word}'"


def _of_another(chance: random.Random, value: str) -> str:
    others = [line for line in chance.choice(_texts()).split("\n") if "=" in line]
    return chance.choice((value, chance.choice(others).partition("=")[2]))


def _pattern(chance: random.Random) -> None:
    text = chance.choice(_texts())
    _knit(with_other_values(text, chance) if chance.random() < 0.7 else spoiled(text, chance))


def _knit(text: str) -> None:
    text = decode_pattern(text.encode("utf-8", "surrogatepass"))
    if has_sizes("sock.toml", text):
        sizes_of("sock.toml", None, text)
    else:
        open_text("sock.toml", None, text)


_STRANDS: Final = ("kk", "kp", "pp", "Rl", "rL", "R", "l", "x", "\t", " .")
_WEIGHTS: Final = (30, 20, 20, 12, 12, 0.5, 0.5, 0.3, 0.3, 0.3)


def _motif(chance: random.Random) -> None:
    rows = [
        "".join(chance.choices(_STRANDS, _WEIGHTS, k=width))
        for width in [chance.randint(0, 7)] * chance.randint(1, 8)
    ]
    if chance.random() < 0.3:
        rows[0] += chance.choice(PIECES).replace("'''", "")
    drawn = "\n".join(rows)
    _knit(
        f"""title = "Fuzz"
loom = {{ pegs = {4 * chance.randint(4, 15)}, spacing = "3/8 in" }}
leg = {{ rows = {chance.randint(0, 9)}, panel = "m", across = {chance.choice((1, 1, 1, 2, 2, 0))} }}
foot = {{ rows = {chance.randint(4, 9)} }}
[motif.m]
rows = '''
{drawn}
'''
"""
    )


def _bytes(chance: random.Random) -> None:
    data = bytearray(chance.choice(_texts()).encode())
    for _ in range(chance.randint(1, 30)):
        at = chance.randrange(len(data))
        data[at : at + chance.choice((0, 1, 4))] = chance.randbytes(chance.choice((1, 1, 2, 9)))
    if chance.random() < 0.2:
        data = bytearray(data.decode("utf-8", "replace").encode("utf-16"))
    text = decode_pattern(bytes(data))
    open_text("sock.toml", None, text)


def _roster(chance: random.Random) -> bool:
    text = (ROOT / "samples" / "roster.csv").read_text(encoding="utf-8")
    return bool(read_roster(spoiled(text, chance)).problems)


def _picture(chance: random.Random) -> None:
    data = _spoiled_bytes((ROOT / "samples" / "reed-bank-logo.png").read_bytes(), chance)
    read_picture(data, width_mm=30.0, height_mm=20.0, alt="logo")


def _pdf(chance: random.Random) -> bool:
    data = _spoiled_bytes((ROOT / "samples" / "ember-turn-card.pdf").read_bytes(), chance)
    return not prove(read_pages(data)).is_proved


def _spoiled_bytes(data: bytes, chance: random.Random) -> bytes:
    found = bytearray(data)
    for _ in range(chance.randint(1, 12)):
        at = chance.randrange(len(found))
        length = chance.choice((0, 1, 4, 40))
        found[at : at + length] = chance.randbytes(chance.choice((0, 1, 2, 4, 40)))
    return bytes(found)


OPTIONS: Final = (
    *("--part", "--paper", "--output", "--size", "--sock", "--dpi", "--mark", "--looms", "--foot"),
    *("--title", "--pegs", "--spacing", "--help", "--shoe", "--gauge", "--loom"),
    *("--layout", "--sheet", "--units", "--left-handed", "--colour", "--copy-line", "--bleed"),
)
NAMES: Final = tuple(name for name in COMMANDS if name != "new")
VALUES: Final = (
    *("turn", "leg", "a5", "a7", "0 x 0 mm", "1e9 x 1 mm", "105 x 148 mm", "-", "", "x.pdf"),
    *("x.svg", "x.png", "x.txt", "../x.pdf", "/dev/full", "no/where.pdf", "1", "2", "-1", "99999"),
    *("fold", "spreads", "a4", "letter", "cm", "both", "=1+1", "x" * 400),
    *("nan", "Small", "sock.toml", "sized.toml", "\x1b[2J", "\udcff", "é", "eu 38", "23.5 cm"),
)


def _options(chance: random.Random) -> bool:
    args = [chance.choice((*NAMES, "", "--version"))]
    if chance.random() < 0.8:
        args.append(chance.choice(("sock.toml", "sized.toml", "none.toml", ".", "")))
    for _ in range(chance.choice((0, 0, 1, 2))):
        args.append(chance.choice(OPTIONS))
        if chance.random() < 0.85:
            args.append(chance.choice(VALUES))
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as outer:
        folder = Path(outer) / "in"
        folder.mkdir()
        (folder / "sock.toml").write_bytes(SAMPLES[0].read_bytes())
        (folder / "sized.toml").write_bytes((ROOT / "samples" / "three-looms.toml").read_bytes())
        os.chdir(folder)
        try:
            said = io.StringIO()
            with contextlib.redirect_stdout(_Standard()), contextlib.redirect_stderr(said):
                code, lines = program._outcome(args)
        finally:
            os.chdir(before)
        outside = {path.name for path in Path(outer).iterdir()} - {"in", "x.pdf"}
        inside = {path.name for path in folder.iterdir() if path.name.startswith(".")}
    assert code in (0, 1, 2), (args, code)
    assert code == 0 or lines or "--help" in args, (args, code)
    assert not outside | inside, (args, outside, inside)
    assert all(line.isprintable() for line in lines), (args, lines)
    return code != 0


class _Standard(io.TextIOWrapper):
    """Standard output that keeps what it is given in memory."""

    def __init__(self) -> None:
        super().__init__(io.BytesIO(), encoding="utf-8", errors="backslashreplace")


_kept: list[str] = []


def _texts() -> list[str]:
    if not _kept:
        _kept.extend(path.read_text(encoding="utf-8") for path in SAMPLES)
    return _kept


KINDS: Final[dict[str, Callable[[random.Random], bool | None]]] = {
    "pattern": _pattern,
    "motif": _motif,
    "bytes": _bytes,
    "options": _options,
    "roster": _roster,
    "picture": _picture,
    "pdf": _pdf,
}

if __name__ == "__main__":
    main()
