"""The publisher's marks for a command that prints: the logo's file, the accent, the copy line."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from charts.pattern_file import with_lines
from charts.pattern_words import code_point, first_control
from charts.problems import PatternError, Problem
from layouts.commands.pattern import unprintable
from layouts.commands.refusal import pattern_problems, wrong_usage
from layouts.edition import Inks
from layouts.output import printable, reason

if TYPE_CHECKING:
    from charts.spec import SockSpec
    from layouts.imprint import Imprint
    from layouts.scene import Picture

Command = TypeVar("Command", bound=Callable[..., Any])


def copy_line_option(command: Command) -> Command:
    """--copy-line: whose copy it is, on each page."""
    return click.option(
        "--copy-line",
        callback=_read_copy_line,
        metavar="TEXT",
        help="A line at the foot of each page, such as 'Copy for order 1042'.",
    )(command)


def _read_copy_line(context: click.Context, option: click.Parameter, text: str | None) -> str:
    del context, option
    if text is None:
        return ""
    from layouts.imprint import MOST_COPY_LINE

    line = text.strip()
    allowed = f"1 to {MOST_COPY_LINE} characters on one line"
    control = first_control(line, but="")
    if control is not None:
        what = f"there is the unprintable {code_point(line[control])} at character {control + 1}"
        raise wrong_usage("--copy-line", what, allowed=allowed)
    if not line:
        raise wrong_usage("--copy-line", "the line is empty", allowed=allowed)
    if len(line) > MOST_COPY_LINE:
        raise wrong_usage("--copy-line", f"{len(line):,} characters are too many", allowed=allowed)
    for problem in unprintable({"": line}):
        raise wrong_usage(
            "--copy-line", problem.what, allowed=problem.allowed, suggestion=problem.suggestion
        )
    return line


@dataclass(frozen=True)
class Source:
    """The pattern file that names the marks."""

    name: str
    """As messages call it."""
    path: Path | None
    """None for a pattern from standard input: its folder is the working folder."""
    text: str


def read_imprint(
    source: Source, spec: SockSpec, *, copy_line: str, inks: Inks = Inks.GREY
) -> Imprint:
    """The marks of that pattern, for pages of those inks.

    Raises Refusal if the logo cannot be printed.
    """
    from layouts.imprint import Imprint
    from layouts.scene import BLACK

    accent = BLACK
    if spec.house.accent and inks is Inks.COLOUR:
        from layouts.contrast import readable_ink
        from layouts.scene import Ink

        accent = readable_ink(Ink.from_hex(spec.house.accent))
    return Imprint(read_logo(source, spec, inks=inks), accent, copy_line)


def read_logo(source: Source, spec: SockSpec, *, inks: Inks = Inks.GREY) -> Picture | None:
    """The logo of that pattern, if it has one.  Raises Refusal if it cannot be printed."""
    if not spec.house.logo:
        return None
    try:
        return _read_logo(source, spec, inks)
    except PatternError as error:
        placed = PatternError(with_lines(error.problems, source.text))
        raise pattern_problems(source.name, placed) from None


def imprint_warnings(spec: SockSpec) -> tuple[str, ...]:
    """What is printed otherwise than the pattern has it, and why."""
    if not spec.house.accent:
        return ()
    from layouts.contrast import LEAST_TEXT, contrast, readable_ink
    from layouts.scene import WHITE, Ink

    ink = Ink.from_hex(spec.house.accent)
    darker = readable_ink(ink)
    if darker == ink:
        return ()
    # Rounded down: 4.49 must not be told as 4.5.
    ratio = int(10 * contrast(ink, WHITE)) / 10
    return (
        f"house.accent: {spec.house.accent} is too light for a title on white paper: its contrast "
        f"is {ratio:.1f} : 1, and text needs {LEAST_TEXT:g} : 1 (WCAG 2.2, criterion "
        f"1.4.3); in colour, {darker.hex.upper()} is printed",
    )


def warn_imprint(name: str, spec: SockSpec) -> None:
    """The same on standard error."""
    for warning in imprint_warnings(spec):
        click.echo(f"{name}: warning: {warning}", err=True)


def imprint_lines(spec: SockSpec, logo: Picture | None) -> Iterator[str]:
    """What the covers carry besides, a line each."""
    house = spec.house
    if house.edition:
        yield house.edition_words[0].lower() + house.edition_words[1:]
    elif house.date:
        yield f"dated {house.date}"
    if logo is not None:
        from layouts.paper import MM_PER_INCH

        ppi = int(logo.dots.columns / logo.width_mm * MM_PER_INCH)
        yield f"logo {logo.width_mm:.0f} x {logo.height_mm:.0f} mm at {ppi} dots to the inch"


# The logo's file


def _read_logo(source: Source, spec: SockSpec, inks: Inks) -> Picture:
    """Raises PatternError."""
    from layouts.imprint import LOGO_MM
    from layouts.pictures import PictureError, read_picture

    data = _read_file(spec.house.logo, source.path)
    width_mm, height_mm = LOGO_MM
    alt = f"Logo of {spec.designer}" if spec.designer else "Logo"
    try:
        return read_picture(data, width_mm=width_mm, height_mm=height_mm, alt=alt, inks=inks)
    except PictureError as error:
        raise _refused(error.what, error.allowed, error.suggestion) from None


def _read_file(logo: str, pattern: Path | None) -> bytes:
    """The bytes of a file in the pattern's folder; one more than a picture may have at most.

    A link is followed as long as it stays in the folder: a pattern from somebody else must not
    print a file that is none of its business.  Raises PatternError.
    """
    from layouts.pictures import MOST_BYTES

    folder = Path() if pattern is None else pattern.parent
    home = Path(os.path.realpath(folder))
    target = Path(os.path.realpath(folder / logo))
    shown = printable(logo)
    if not target.is_relative_to(home):
        what = f"{shown} is a link that leads out of the pattern's folder"
        raise _refused(what, "a file in that folder or below", "copy the file there")
    try:
        if not stat.S_ISREG(target.stat().st_mode):
            raise _refused(f"{shown} is not a file", "a PNG or JPEG picture")
        with target.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        where = "working folder" if pattern is None else "pattern's folder"
        what = f"there is no file {shown} in the {where}"
        raise _refused(what, suggestion="put it there, or leave the logo out") from None
    except OSError as error:
        raise _refused(f"{shown} cannot be read: {reason(error)}") from None


def _refused(what: str, allowed: str = "", suggestion: str = "") -> PatternError:
    return PatternError((Problem(what, "house.logo", allowed, suggestion),))
