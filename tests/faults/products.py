"""What the campaigns have printed while they get in its way, each in a folder of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.cli.running import PATTERN, ROOT, environment

SAMPLES: Final = ROOT / "samples"
UNFINISHED: Final = ".pegfolio-*.part"
OLD: Final = b"the old file " * 4_000


@dataclass(frozen=True)
class Product:
    """A command that writes files."""

    args: tuple[str, ...]
    """Of the interpreter."""
    inputs: tuple[str, ...] = ("sock.toml",)

    def lay_inputs(self, folder: Path) -> None:
        """The folder, with what the command reads."""
        folder.mkdir()
        for name in self.inputs:
            if name == "sock.toml":
                (folder / name).write_text(PATTERN, encoding="utf-8")
            else:
                shutil.copyfile(SAMPLES / name, folder / name)

    def start(
        self, folder: Path, *, before: Callable[[], None] | None = None, **changes: str
    ) -> subprocess.Popen[bytes]:
        """The command in that folder, with changes to its environment; `before` is what its process
        does first."""
        return subprocess.Popen(
            [sys.executable, *self.args],
            cwd=folder,
            env=environment(**changes),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            preexec_fn=before,
            # Nothing that is printed here comes back to the terminal of the campaign.
            start_new_session=True,
        )

    def written(self, folder: Path) -> dict[str, bytes]:
        """What is in the folder besides the inputs, by its path from there."""
        return {
            path.relative_to(folder).as_posix(): path.read_bytes()
            for path in sorted(folder.rglob("*"))
            if path.is_file() and path.name not in self.inputs
        }


def _command(*args: str, inputs: tuple[str, ...] = ("sock.toml",)) -> Product:
    return Product(("-m", "layouts.cli", *args), inputs)


PRODUCTS: Final[Mapping[str, Product]] = {
    "booklet": _command("booklet", "sock.toml"),
    "sized booklet": _command("booklet", "three-looms.toml", inputs=("three-looms.toml",)),
    "class": _command(
        *("class", "three-looms.toml", "roster.csv", "--looms", "looms.toml", "--output", "packs"),
        inputs=("three-looms.toml", "roster.csv", "looms.toml"),
    ),
    "booklet to fold": _command("booklet", "sock.toml", "--layout", "fold"),
    "cards to cut": _command("card", "sock.toml", "--part", "all", "--sheet", "a4"),
    "picture": _command("chart", "sock.toml", "--part", "leg", "--output", "leg.png"),
    "data": _command("data", "sock.toml", "--output", "sock.json"),
}
"""Commands, each with the files it writes."""

BUILDER: Final = Product((os.fspath(SAMPLES / "build.py"), "built"), ())
"""What rebuilds the samples: no command, but it writes as they do."""
