"""What may stand under `[house]`: how whoever publishes the pattern marks it.

Everything is text that is printed as it was written; no clock is asked and no file is opened here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Final

from charts.pattern_values import Blame, Text, write_text
from charts.pattern_words import quoted, shown

PICTURE_ENDINGS: Final = (".png", ".jpg", ".jpeg")


@dataclass(frozen=True)
class Colour:
    """A colour as # and six hex digits, in the case that it was written in."""

    def read(self, value: object, blame: Blame) -> str | None:
        text = value.strip() if isinstance(value, str) else ""
        if _HEX.fullmatch(text):
            return text
        digits = text.removeprefix("#")
        again = ""
        if re.fullmatch("[0-9A-Fa-f]{6}", digits):
            again = quoted(f"#{digits}")
        elif re.fullmatch("[0-9A-Fa-f]{3}", digits):
            again = quoted("#" + "".join(2 * digit for digit in digits))
        allowed = 'a # and six hex digits, red, green and blue, such as "#0072B2"'
        blame(f"{shown(value)} is not a colour", allowed, again)
        return None

    def write(self, value: str) -> str:
        return write_text(value)


_HEX: Final = re.compile("#[0-9A-Fa-f]{6}")


@dataclass(frozen=True)
class PicturePath:
    """Where a picture lies: a path from the pattern's folder on, never out of it.

    A pattern from somebody else must not print a file that is none of its business.
    """

    most: int = 200

    def read(self, value: object, blame: Blame) -> str | None:
        text = Text(self.most, required=True).read(value, blame)
        if text is None:
            return None
        allowed = f"a file in the pattern's folder or below, ending in {_ENDINGS_TOLD}"
        parts = re.split(r"[/\\]", text)
        alone = quoted(parts[-1]) if parts[-1].lower().endswith(PICTURE_ENDINGS) else ""
        if text.startswith(("/", "\\", "~")) or _DRIVE_OR_ADDRESS.match(text):
            what = "does not start from the pattern's folder"
            again = f"copy the file there, and {alone}" if alone else ""
        elif ".." in parts:
            what = "leads out of the pattern's folder"
            again = f"copy the file there, and {alone}" if alone else ""
        elif "\\" in text:
            what, again = "has a backslash", quoted(text.replace("\\", "/"))
        elif not text.lower().endswith(PICTURE_ENDINGS):
            what, again = "is not the name of a PNG or JPEG picture", ""
        else:
            return text
        blame(f"{shown(text)} {what}", allowed, again)
        return None

    def write(self, value: str) -> str:
        return write_text(value)


_ENDINGS_TOLD: Final = ".png, .jpg or .jpeg"
_DRIVE_OR_ADDRESS: Final = re.compile("[A-Za-z][A-Za-z0-9+.-]*:")
"""A drive of Windows, or an address by its scheme (RFC 3986, section 3.1)."""


@dataclass(frozen=True)
class EditionNumber:
    """The number of an edition, such as 2, "2.1" or "3b"."""

    def read(self, value: object, blame: Blame) -> str | None:
        if type(value) is int and 0 <= value <= _MOST_EDITION:
            return str(value)
        text = value.strip() if isinstance(value, str) else ""
        if _EDITION.fullmatch(text):
            return text
        number = _EDITION.search(shown(value))
        again = quoted(number[0]) if number and not isinstance(value, bool) else ""
        allowed = 'a number such as 2, "2.1" or "3b"'
        blame(f"{shown(value)} is not the number of an edition", allowed, again)
        return None

    def write(self, value: str) -> str:
        return write_text(value)


_MOST_EDITION: Final = 9999
_EDITION: Final = re.compile(
    r"(?<![0-9.])[0-9]{1,4}(?:\.[0-9]{1,4}){0,2}[a-z]?(?![0-9A-Za-z])", re.ASCII
)


@dataclass(frozen=True)
class EditionDate:
    """The date of an edition as it is to be printed: a year, month or day of ISO 8601, or words."""

    most: int = 40

    def read(self, value: object, blame: Blame) -> str | None:
        allowed = '"2026", "2026-03", "2026-03-14", or words with a year, such as "March 2026"'
        if isinstance(value, date) and not hasattr(value, "hour"):
            return value.isoformat()
        if type(value) is int and 1000 <= value <= 9999:
            return str(value)
        if not isinstance(value, str):
            blame(f"{shown(value)} is not a date", allowed)
            return None
        text = Text(self.most, required=True).read(value, blame)
        if text is None:
            return None
        if _is_iso_date(text) or (_YEAR.search(text) and any(map(str.isalpha, text))):
            return text
        what = "is not a date" if _YEAR.search(text) else "names no year"
        blame(f"{shown(text)} {what}", allowed)
        return None

    def write(self, value: str) -> str:
        return write_text(value)


_YEAR: Final = re.compile("(?<![0-9])[0-9]{4}(?![0-9])", re.ASCII)
_ISO_DATE: Final = re.compile("([0-9]{4})(?:-([0-9]{2})(?:-([0-9]{2}))?)?", re.ASCII)


def _is_iso_date(text: str) -> bool:
    """Whether it is a calendar date of ISO 8601-1 (2019), to the year, the month or the day."""
    found = _ISO_DATE.fullmatch(text)
    if found is None:
        return False
    year, month, day = found.groups(default="01")
    try:
        date(int(year), int(month), int(day))
    except ValueError:
        return False
    return True
