"""A pattern, and two ways to run the command line on it."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner, Result

import layouts
from layouts.commands.program import program

ROOT = Path(layouts.__file__).resolve().parents[1]
"""Where the packages are, whether installed or not."""

PATTERN = """\
title = "Harbour steps"
designer = "Class of Room 3"

[loom]
pegs = 40
spacing = "3/8 in"

[cuff]
rows = 6

[leg]
rows = 8
panel = "gulls"
flanks = "rib"

[foot]
rows = 10

[pair]
mirror_cables = true

[motif.gulls]
rows = '''
p k k k k p
p k R l k p
'''
"""
"""A sock of few rows with cables that are mirrored on the second sock."""


@dataclass(frozen=True)
class Ended:
    """How a process ended."""

    code: int
    stdout: bytes
    stderr: str


def run(*args: str, stdin: bytes | str | None = None) -> Result:
    """The command line in this process; its standard input is no terminal."""
    return CliRunner().invoke(program, list(args), input=stdin)


def command(*args: str) -> list[str]:
    """The command line as the arguments of a process."""
    return [sys.executable, "-m", "layouts.cli", *args]


def environment(**changes: str) -> dict[str, str]:
    """The environment of such a process, in any working folder.

    Its streams are buffered as a user's are, whatever holds for this process.
    """
    here = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
    return {**here, "PYTHONPATH": str(ROOT), **changes}


def start(*args: str, stdin: bytes = b"", cwd: Path | None = None, **changes: str) -> Ended:
    """The command line in a process of its own, with changes to its environment."""
    done = subprocess.run(
        command(*args),
        input=stdin,
        capture_output=True,
        cwd=cwd,
        env=environment(**changes),
        timeout=60,
        check=False,
    )
    return Ended(done.returncode, done.stdout, done.stderr.decode())


def wait_until_reading(process: subprocess.Popen[bytes]) -> None:
    """Until it waits for standard input: it sleeps, and has everything loaded that it needs."""
    calm = 0
    for _ in range(600):
        state = Path(f"/proc/{process.pid}/stat").read_text(encoding="ascii").split()[2]
        calm = calm + 1 if state == "S" else 0
        if calm >= 10:
            return
        time.sleep(0.02)
    raise AssertionError("it never came to wait")
