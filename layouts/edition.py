"""The editions that one sock is printed in: how large, how much of it, in which inks."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from layouts.paper import PAPERS, Paper


class PrintSize(Enum):
    """How large type and charts are."""

    STANDARD = "standard"
    CLEAR = "clear"
    """Text of 14 pt, nothing under 12 pt."""
    LARGE = "large"
    """Text of 18 pt, nothing under 16 pt."""


class Content(Enum):
    """What the parts of the sock are told by."""

    FULL = "full"
    """Charts and steps."""
    CHARTS = "charts"
    STEPS = "steps"


class Inks(Enum):
    """What the pages are printed with; shape alone carries the meaning in either."""

    GREY = "grey"
    """Black ink only."""
    COLOUR = "colour"


@dataclass(frozen=True, slots=True)
class Edition:
    """One way to print a sock.  The hand that knits is no part of it: a left-handed sock is another
    sock, planned and proved anew."""

    size: PrintSize = PrintSize.STANDARD
    content: Content = Content.FULL
    inks: Inks = Inks.GREY


STANDARD_EDITION = Edition()


def usual_paper(edition: Edition) -> Paper:
    """What a booklet of that edition is printed on unless somebody asks for another paper."""
    return PAPERS["a5" if edition.size is PrintSize.STANDARD else "a4"]
