"""Kill the program at any instant, again and again, and look at what it left; run by hand.

    python -m tests.faults.kill [RUNS]

The products take turns.  Half of the runs are ended by SIGKILL at a time drawn from the whole span
of a run, half within a twentieth of a second of a moment when a file is being written.  Afterwards
each file must be the old one or the new one, whole; the run after the last killed one must leave
nothing beside them.
"""

from __future__ import annotations

import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.faults.products import BUILDER, OLD, PRODUCTS, UNFINISHED, Product

RUNS: Final = 320
SEED: Final = 11
ALL: Final = {**PRODUCTS, "samples": BUILDER}
SOUND: Final = frozenset({"old files", "new files", "some old, some new"})


def main() -> None:
    """Prints how many runs ended how; leaves with 1 if one left half a file."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    with tempfile.TemporaryDirectory() as folder:
        found = campaign(Path(folder), runs)
    for name in ALL:
        ends = sorted((what, count) for (product, what), count in found.items() if product == name)
        print(f"{name}: " + ", ".join(f"{count} {what}" for what, count in ends))
    sys.exit(any(what not in SOUND for _, what in found))


def campaign(
    folder: Path, runs: int, *, products: Mapping[str, Product] = ALL, seed: int = SEED
) -> Counter[tuple[str, str]]:
    """How the runs of each product ended, counted: one of SOUND or else "half a file", and, after
    a last run that nobody kills, "a file left beside"."""
    chance = random.Random(seed)
    victims = {name: _Victim.of(product, folder / name) for name, product in products.items()}
    found: Counter[tuple[str, str]] = Counter()
    names = list(victims)
    for number in range(runs):
        name = names[number % len(names)]
        found[name, victims[name].killed(chance)] += 1
    for name, victim in victims.items():
        victim.product.start(victim.folder).communicate()
        if victim.product.written(victim.folder) != victim.new:
            found[name, "a file left beside"] += 1
    return found


@dataclass(frozen=True)
class _Victim:
    """A product that is killed."""

    product: Product
    folder: Path
    new: Mapping[str, bytes]
    """What a whole run writes."""
    whole_s: float
    """How long that takes."""

    @staticmethod
    def of(product: Product, folder: Path) -> _Victim:
        product.lay_inputs(folder)
        product.start(folder).communicate()
        begun = time.perf_counter()
        product.start(folder).communicate()
        return _Victim(product, folder, product.written(folder), time.perf_counter() - begun)

    def killed(self, chance: random.Random) -> str:
        """What a killed run left."""
        for name in self.new:
            (self.folder / name).write_bytes(OLD)
        process = self.product.start(self.folder)
        time.sleep(chance.uniform(0.0, 1.1 * self.whole_s))
        if chance.random() < 0.5:
            while process.poll() is None and not any(self.folder.rglob(UNFINISHED)):
                time.sleep(0.0002)
            time.sleep(chance.uniform(0.0, 0.05))
        process.send_signal(signal.SIGKILL)
        process.communicate()
        left = self.product.written(self.folder)
        # What was being written has another name until the next run clears it away.
        ours = {name: data for name, data in left.items() if not Path(name).match(UNFINISHED)}
        if ours.keys() != self.new.keys():
            return "a file left beside"
        are_new = {name for name, data in ours.items() if data == self.new[name]}
        if any(data != OLD for name, data in ours.items() if name not in are_new):
            return "half a file"
        if not are_new:
            return "old files"
        return "new files" if are_new == ours.keys() else "some old, some new"


if __name__ == "__main__":
    main()
