"""The commands as one program: help, exit codes, and one clear message for whatever goes wrong."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, Final, NoReturn

import click

from charts import __version__
from charts.pattern_words import listed, nearest_word
from layouts.commands.print_date import print_date
from layouts.commands.refusal import (
    PROGRAM,
    STOPPED,
    ExitCode,
    Refusal,
    missing_library,
    wrong_usage,
)
from layouts.output import OutputError, let_go_of, printable, reason

COMMANDS: Final = {
    "new": "starting",
    "check": "checking",
    "booklet": "pages",
    "class": "classes:class_packs",
    "card": "cards",
    "chart": "pages",
    "steps": "texts",
    "data": "texts",
    "sizes": "sizing",
    "loom": "advising",
    "yarn": "yarn_need",
    "template": "templating",
    "changes": "comparing",
    "prove": "proving:prove_file",
}
"""The module of each command, in the order they are wanted, and the name it has there where that is
another: a run loads its own command alone."""


class _Program(click.Group):
    """Commands in the order they are wanted, and every ending in one place."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order they are wanted."""
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Loads the command."""
        del ctx
        place = COMMANDS.get(cmd_name)
        if place is None:
            return None
        module, _, name = place.partition(":")
        found: click.Command = getattr(
            import_module(f"layouts.commands.{module}"), name or cmd_name
        )
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Tells an unknown command as every other wrong word is told."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            what = f"there is no command '{printable(args[0])}'"
            nearest = nearest_word(args[0], list(COMMANDS))
            raise wrong_usage(PROGRAM, what, allowed=listed(COMMANDS), suggestion=nearest or "")
        return super().resolve_command(ctx, args)

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
            return ExitCode.INTERRUPTED, (STOPPED,)
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
    print_date()  # a wrong one is told before any work; libraries would stumble over it
    if context.invoked_subcommand is None:
        click.echo(context.get_help(), err=True)
        context.exit(ExitCode.USAGE)
