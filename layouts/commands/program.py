"""The commands as one program: help, exit codes, and one clear message for whatever goes wrong."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from charts import __version__
from layouts.commands.advising import loom
from layouts.commands.cards import card
from layouts.commands.checking import check
from layouts.commands.classes import class_packs
from layouts.commands.comparing import changes
from layouts.commands.pages import booklet, chart
from layouts.commands.proving import prove_file
from layouts.commands.refusal import PROGRAM, ExitCode, Refusal, missing_library
from layouts.commands.sizing import sizes
from layouts.commands.starting import new
from layouts.commands.templating import template
from layouts.commands.texts import data, steps
from layouts.commands.yarn_need import yarn
from layouts.output import OutputError, let_go_of, printable, reason


class _Program(click.Group):
    """Commands in the order they are wanted, and every ending in one place."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order they were added."""
        del ctx
        return list(self.commands)

    def main(self, args: Sequence[str] | None = None, *_: Any, **__: Any) -> NoReturn:
        """Run the command and leave with its exit code."""
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                # A letter that the terminal cannot show must not end the program.
                stream.reconfigure(errors="backslashreplace")
        exit_code, lines = self._outcome(sys.argv[1:] if args is None else list(args))
        # Standard error may be closed as well; the exit code still counts.
        try:
            for line in lines:
                click.echo(line, err=True)
        except OSError:
            let_go_of(sys.stderr)
        sys.exit(exit_code)

    def _outcome(self, args: list[str]) -> tuple[int, tuple[str, ...]]:
        """The exit code and the lines for standard error."""
        try:
            with self.make_context(PROGRAM, args) as context:
                self.invoke(context)
        except click.exceptions.Exit as done:
            return done.exit_code, ()
        except Refusal as refusal:
            return refusal.exit_code, refusal.lines
        except OutputError as error:
            return ExitCode.USAGE, (str(error),)
        except click.ClickException as error:
            return ExitCode.USAGE, (_usage_line(error),)
        except (KeyboardInterrupt, EOFError, click.Abort):
            return ExitCode.INTERRUPTED, (f"{PROGRAM}: stopped",)
        except BrokenPipeError:
            let_go_of(sys.stdout)
            return ExitCode.PIPE_CLOSED, ()
        except ModuleNotFoundError as error:
            return ExitCode.USAGE, (missing_library(error),)
        except OSError as error:
            let_go_of(sys.stdout)
            place = printable(str(error.filename or "standard output"))
            return ExitCode.USAGE, (f"{place}: {reason(error)}",)
        return ExitCode.FINE, ()


def _usage_line(error: click.ClickException) -> str:
    """What click found wrong, on one line, and where to read more."""
    message = printable(" ".join(error.format_message().split())).rstrip(".")
    context = error.ctx if isinstance(error, click.UsageError) else None
    path = context.command_path if context else PROGRAM
    return f"{path}: {message}; see: {path} --help"


@click.group(cls=_Program, invoke_without_command=True)
@click.version_option(__version__, prog_name=PROGRAM, message="%(prog)s %(version)s")
@click.pass_context
def program(context: click.Context) -> None:
    """Sock patterns for round peg looms: planned, knitted on a virtual loom, printed.

    \b
    Example:
      pegfolio new --title "Harbour steps" --pegs 40 --spacing "3/8 in"
      pegfolio check harbour-steps.toml
      pegfolio booklet harbour-steps.toml

    Exit codes: 0 fine; 1 the pattern has problems, or a PDF is not proved; 2 wrong usage, a file
    that cannot be read or written, or a missing library.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help(), err=True)
        context.exit(ExitCode.USAGE)


for command in (
    *(new, check, booklet, class_packs, card, chart, steps, data),
    *(sizes, loom, yarn, template, changes, prove_file),
):
    program.add_command(command)
