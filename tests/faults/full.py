"""Print with too little room, again and again, and look at what is told and left; run by hand.

    python -m tests.faults.full [RUNS]

The commands take turns, with old files there or none.  Half of the runs may write files of so many
bytes at most (RLIMIT_FSIZE: EFBIG at any byte), half print to a disk of their own with so many
bytes free (a tmpfs, for which one must be root: ENOSPC at any page).  With room enough a run must
do as it always does; with too little it ends with 2 and one line that names a file, each file is
the old one or the new one, and nothing lies beside them.
"""

from __future__ import annotations

import os
import random
import re
import resource
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.faults.products import OLD, PRODUCTS, UNFINISHED, Product

RUNS: Final = 280
SEED: Final = 12
DISK_BYTES: Final = 8_000_000
WHOLE, REFUSED = "whole", "refused"
_TOLD: Final = re.compile(r"(.+): cannot be written: (file too large|no space left on device)")


def main() -> None:
    """Prints how the runs ended; leaves with 1 if one ended as it must not."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    found: Counter[tuple[str, str]] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        found += limited(Path(folder), runs - runs // 2)
    if os.geteuid() == 0:
        with tempfile.TemporaryDirectory() as folder, small_disk(Path(folder)):
            found += crowded(Path(folder), runs // 2)
    for (name, what), count in sorted(found.items()):
        print(f"{name}: {count} {what}")
    sys.exit(any(what not in (WHOLE, REFUSED) for _, what in found))


def limited(
    folder: Path, runs: int, *, products: Mapping[str, Product] = PRODUCTS, seed: int = SEED
) -> Counter[tuple[str, str]]:
    """How runs of each product ended that may write files of so many bytes at most: WHOLE,
    REFUSED, or else in words."""
    chance = random.Random(seed)
    trials = {name: _Trial.of(product, folder / name) for name, product in products.items()}
    found: Counter[tuple[str, str]] = Counter()
    for number in range(runs):
        turn, index = divmod(number, len(trials))
        name, trial = list(trials.items())[index]
        most = max(map(len, trial.new.values()))
        # The edges first, then anything between.
        edges = (0, most - 1, most, 1)
        room = edges[turn] if turn < len(edges) else chance.randrange(most)
        trial.lay(with_old=chance.random() < 0.5)
        end = trial.run(file_bytes=room)
        if end == (REFUSED if room >= most else WHOLE):
            end = f"{end} with room for {room} bytes of {most}"
        found[name, end] += 1
    return found


def crowded(
    disk: Path, runs: int, *, products: Mapping[str, Product] = PRODUCTS, seed: int = SEED
) -> Counter[tuple[str, str]]:
    """The same on a disk that has so many bytes free."""
    chance = random.Random(seed)
    trials = {name: _Trial.of(product, disk / name) for name, product in products.items()}
    found: Counter[tuple[str, str]] = Counter()
    for number in range(runs):
        name, trial = list(trials.items())[number % len(trials)]
        trial.lay(with_old=chance.random() < 0.5)
        # The old files stay until the new ones are whole.
        room = chance.randrange(sum(map(len, trial.new.values())) + 2 * _PAGE)
        with _ballast(disk, room):
            found[name, trial.run()] += 1
        for trial in trials.values():
            trial.lay(with_old=False)
    return found


@contextmanager
def small_disk(folder: Path) -> Iterator[None]:
    """A file system of its own in the folder; for root alone."""
    mount = ["mount", "-t", "tmpfs", "-o", f"size={DISK_BYTES}", "tmpfs", os.fspath(folder)]
    subprocess.run(mount, check=True, capture_output=True)
    try:
        yield
    finally:
        subprocess.run(["umount", os.fspath(folder)], check=True)


_PAGE: Final = 4_096


@contextmanager
def _ballast(disk: Path, room: int) -> Iterator[None]:
    """A file that leaves so many bytes of the disk, to the page."""
    found = os.statvfs(disk)
    ballast = disk / "ballast"
    with ballast.open("wb") as file:
        os.posix_fallocate(file.fileno(), 0, max(1, found.f_bavail * found.f_frsize - room))
    try:
        yield
    finally:
        ballast.unlink()


@dataclass(frozen=True)
class _Trial:
    """A command, and what it does when there is room."""

    product: Product
    folder: Path
    new: Mapping[str, bytes]
    usual: tuple[int, bytes, bytes]
    """Exit status, and what is told on standard output and standard error."""

    @staticmethod
    def of(product: Product, folder: Path) -> _Trial:
        product.lay_inputs(folder)
        process = product.start(folder)
        stdout, stderr = process.communicate()
        new = product.written(folder)
        assert new, stderr
        return _Trial(product, folder, new, (process.returncode, stdout, stderr))

    def lay(self, *, with_old: bool) -> None:
        """Old files where the command will write, or none."""
        for name in self.new:
            path = self.folder / name
            path.write_bytes(OLD) if with_old else path.unlink(missing_ok=True)

    def run(self, *, file_bytes: int | None = None) -> str:
        """How a run ended: WHOLE, REFUSED, or what was wrong."""

        def limit() -> None:
            if file_bytes is not None:
                resource.setrlimit(resource.RLIMIT_FSIZE, (file_bytes, file_bytes))

        before = self.product.written(self.folder)
        process = self.product.start(self.folder, before=limit, PYTHONDONTWRITEBYTECODE="1")
        stdout, stderr = process.communicate()
        left = self.product.written(self.folder)
        if any(Path(name).match(UNFINISHED) for name in left):
            return "a file left beside"
        if any(data not in (before.get(name), self.new.get(name)) for name, data in left.items()):
            return "half a file"
        if not before.keys() <= left.keys():
            return "an old file is gone"
        if (process.returncode, stdout, stderr) == self.usual:
            return WHOLE if left == self.new else "success told without success"
        *warnings, last = stderr.decode().splitlines() or [""]
        told = _TOLD.fullmatch(last)
        if process.returncode == 0:
            return "success told without success"
        if process.returncode != 2 or stdout or told is None:
            return f"ended with {process.returncode}: {stderr.decode()}"
        if not set(warnings) <= set(self.usual[2].decode().splitlines()):
            return "more than was to be told"
        name = told[1]
        if name not in self.new or left.get(name) != before.get(name):
            return "another file is named"
        return REFUSED


if __name__ == "__main__":
    main()
