"""Fuzzing that is led by which lines of the readers run; by hand, with atheris (`pip install
atheris`, no part of the test extra).

    python -m tests.faults.guided TARGET [SECONDS]          (180 by default)

TARGET is "pattern", "motif", "roster" or "pdf".  What is put in is bred from the samples: a change
that reaches code that none before it reached is kept and changed further.  Every input must end in
a result or in a message, as in `tests.faults.fuzz`.  What does not is written to the folder for
temporary files, and its name printed; `python -m tests.faults.guided TARGET FILE` runs it again.
"""

from __future__ import annotations

import gc
import sys
import tempfile
import time
from collections.abc import Callable
from functools import cache
from io import BytesIO
from pathlib import Path
from types import FunctionType
from typing import Any, Final

import pikepdf

from charts.pattern_file import decode_pattern
from charts.prove import ProofReport, prove
from charts.roster import read_roster
from layouts.commands.pattern import has_sizes, open_text, sizes_of
from layouts.pdf_reading import read_pages
from tests.faults import fuzz
from tests.prove.files import saved

SECONDS: Final = 180
SLOWED: Final = 10
"""How many times as long a case may take as elsewhere: every line is watched."""
OURS: Final = ("charts.", "layouts.")
"""Modules that lead the way."""
MOST_LETTERS: Final = 4000
"""In one input; longer ones are bred too slowly."""

MOTIF: Final = b"""title = "Fuzz"
loom = { pegs = 24, spacing = "3/8 in" }
leg = { rows = 3, panel = "m" }
foot = { rows = 4 }
[motif.m]
rows = '''
"""
CARD: Final = "ember-turn-card.pdf"

# --- What is fed -----------------------------------------------------------------------------


def feed_pattern(data: bytes) -> None:
    """The bytes as a pattern file, of one sock or of sizes."""
    text = decode_pattern(data)
    if has_sizes("sock.toml", text):
        sizes_of("sock.toml", None, text)
    else:
        open_text("sock.toml", None, text)


def feed_motif(data: bytes) -> None:
    """The bytes as the drawing of a motif, in a pattern that is sound."""
    feed_pattern(MOTIF + data + b"\n'''\n")


def feed_roster(data: bytes) -> None:
    """The bytes as a list of a class."""
    read_roster(decode_pattern(data, thing="class list"))


def feed_pdf(data: bytes) -> ProofReport:
    """The bytes as what stands on the first page of a finished card; what is said of the card."""
    return prove(read_pages(with_content(data)))


def with_content(data: bytes) -> bytes:
    """The card with its first page drawn by other operators."""
    with pikepdf.open(BytesIO(_card())) as file:
        file.pages[0].Contents = file.make_stream(data)
        return saved(file, compress_streams=False)


@cache
def _card() -> bytes:
    return (fuzz.ROOT / "samples" / CARD).read_bytes()


# --- What it is bred from --------------------------------------------------------------------


def patterns() -> list[bytes]:
    return [path.read_bytes() for path in fuzz.SAMPLES]


def motifs() -> list[bytes]:
    drawn = (text.split(b"rows = '''\n")[1:] for text in patterns())
    found = [one.split(b"\n'''")[0] for every in drawn for one in every]
    return [*found, b"k k k k\nR l R l\np r L p"]


def rosters() -> list[bytes]:
    return [(fuzz.ROOT / "samples" / "roster.csv").read_bytes()]


def contents() -> list[bytes]:
    with pikepdf.open(BytesIO(_card())) as file:
        return [page.Contents.read_bytes() for page in file.pages]


Feed = Callable[[bytes], Any]
TARGETS: Final[dict[str, tuple[Feed, Callable[[], list[bytes]]]]] = {
    "pattern": (feed_pattern, patterns),
    "motif": (feed_motif, motifs),
    "roster": (feed_roster, rosters),
    "pdf": (feed_pdf, contents),
}


def check_ending(feed: Feed, data: bytes) -> None:
    """Raises what a sound program does not: a traceback, silence, or too long a wait."""
    begun = time.process_time()
    try:
        feed(data)
    except fuzz.REFUSALS as end:
        if not str(end).strip():
            raise AssertionError("refused without a word") from end
    took_s = time.process_time() - begun
    if took_s > SLOWED * fuzz.MOST_S:
        raise AssertionError(f"took {took_s:.1f} s")


# --- The campaign ----------------------------------------------------------------------------


def main() -> None:
    """Breeds inputs until the time is over or one does not end as it should."""
    target = sys.argv[1]
    rest = sys.argv[2] if len(sys.argv) > 2 else str(SECONDS)
    feed, seeds = TARGETS[target]
    if not rest.isdigit():
        check_ending(feed, Path(rest).read_bytes())
        return
    import atheris

    for seed in seeds():
        check_ending(feed, seed)  # All that is imported late is there now.
    ours = [each for each in gc.get_objects() if isinstance(each, FunctionType)]
    for function in ours:
        if (function.__module__ or "").startswith(OURS):
            atheris.instrument_func(function)
    with tempfile.TemporaryDirectory() as folder:
        for number, seed in enumerate(seeds()):
            (Path(folder) / f"seed-{number}").write_bytes(seed)
        words = Path(folder).with_suffix(".words")
        words.write_text("".join(f'"{_escaped(piece)}"\n' for piece in fuzz.PIECES))
        longest = max(MOST_LETTERS, *(len(seed) for seed in seeds()))
        finding = Path(tempfile.gettempdir()) / f"guided-{target}-"
        options = (
            *(f"-max_total_time={rest}", f"-max_len={longest}", f"-dict={words}"),
            *("-seed=1", f"-rss_limit_mb={4 * fuzz.MOST_MB}", f"-artifact_prefix={finding}"),
            *("-timeout=60", "-print_final_stats=1", "-verbosity=1"),
        )
        atheris.Setup([sys.argv[0], *options, folder], lambda data: check_ending(feed, data))
        atheris.Fuzz()


def _escaped(piece: str) -> str:
    return "".join(f"\\x{byte:02x}" for byte in piece.encode("utf-8", "surrogatepass")[:60])


if __name__ == "__main__":
    main()
