"""Everything that the commands print as PDF for reading, made by the commands themselves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Final

from layouts.commands.program import program

SAMPLES: Final = Path(__file__).parents[2] / "samples"
SOCKS: Final = ("reed-bank", "ember", "millstream")
SIZED: Final = "three-looms"
FOOT: Final = ("--foot", "24 cm")


def commands() -> Iterator[tuple[str, tuple[str, ...]]]:
    """A name for each product and the command that prints it, without the file."""
    for sock in SOCKS:
        file = str(SAMPLES / f"{sock}.toml")
        yield f"{sock} booklet", ("booklet", file)
        yield f"{sock} booklet on A4", ("booklet", file, "--paper", "a4")
        yield f"{sock} template", ("template", file, *FOOT)
        for part in ("leg", "turn", "toe"):
            yield f"{sock} {part} card", ("card", file, "--part", part)
            yield f"{sock} {part} chart", ("chart", file, "--part", part)
        yield f"{sock} chart on A5", ("chart", file, "--part", "foot", "--paper", "a5")
    file = str(SAMPLES / "reed-bank.toml")
    yield "left-handed booklet in colour", ("booklet", file, "--left-handed", "--colour")
    yield "booklet of spreads", ("booklet", file, "--layout", "spreads")
    yield "graft card", ("card", file, "--part", "grafting")
    yield "key card", ("card", file, "--part", "key")
    yield "changes", ("changes", file, str(SAMPLES / "ember.toml"))
    file = str(SAMPLES / f"{SIZED}.toml")
    yield "sized booklet", ("booklet", file)
    yield "sized booklet on letter", ("booklet", file, "--paper", "letter")
    yield "sizes", ("sizes", file)
    yield "sizes on A5", ("sizes", file, "--paper", "a5")


PRODUCTS: Final = dict(commands())


def printed(name: str, folder: Path) -> Path:
    """The product, printed into the folder."""
    path = folder / f"{name.replace(' ', '-')}.pdf"
    if not path.exists():
        run(PRODUCTS[name], path)
    return path


def run(command: Iterable[str], path: Path) -> None:
    """The command, its output to that file; it must end well."""
    told = StringIO()
    code: object = None
    with redirect_stdout(told), redirect_stderr(told):
        try:
            program.main([*command, "--output", str(path)])
        except SystemExit as end:
            code = end.code
    assert not code, told.getvalue()
