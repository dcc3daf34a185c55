"""Kill the program at any instant, again and again, and look at what it left; run by hand.

    python -m faults.kill [RUNS]          (from the folder tests)

Half of the runs are ended by SIGKILL at a time drawn from the whole span of a run, half within a
few milliseconds of the moment when they begin to write.  Afterwards the file must be the old one or
the new one, whole; the run after the last killed one must leave nothing beside it.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from cli.running import PATTERN, ROOT

RUNS = 300
SEED = 11
OLD = b"the old file " * 40_000


def main() -> None:
    """Prints how many runs ended how; leaves with 1 if one left half a file."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    with tempfile.TemporaryDirectory() as folder:
        found = campaign(Path(folder), runs)
    print(f"{runs} runs killed: " + ", ".join(f"{n} {what}" for what, n in sorted(found.items())))
    sys.exit(1 if found["half a file"] or found["a file left beside it"] else 0)


def campaign(folder: Path, runs: int, *, seed: int = SEED) -> Counter[str]:
    """What the runs left, counted: "old file", "new file", "half a file" and, after a last run
    that nobody kills, "a file left beside it"."""
    chance = random.Random(seed)
    (folder / "sock.toml").write_text(PATTERN, encoding="utf-8")
    target = folder / "sock.pdf"
    _start(folder).wait()
    begun = time.perf_counter()
    _start(folder).wait()
    whole_s = time.perf_counter() - begun
    new = target.read_bytes()
    found: Counter[str] = Counter()
    for _ in range(runs):
        target.write_bytes(OLD)
        process = _start(folder)
        if chance.random() < 0.5:
            time.sleep(chance.uniform(0.0, 1.2 * whole_s))
        else:
            while process.poll() is None and not list(folder.glob(".pegfolio-*.part")):
                time.sleep(0.0002)
            time.sleep(chance.uniform(0.0, 0.01))
        process.send_signal(signal.SIGKILL)
        process.wait()
        left = target.read_bytes()
        found["old file" if left == OLD else "new file" if left == new else "half a file"] += 1
    _start(folder).wait()
    beside = {path.name for path in folder.iterdir()} - {"sock.toml", "sock.pdf"}
    found["a file left beside it"] += len(beside)
    return found


def _start(folder: Path) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "layouts.cli", "booklet", str(folder / "sock.toml")]
    return subprocess.Popen(
        [*command, "--output", str(folder / "sock.pdf")],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


if __name__ == "__main__":
    main()
