"""The date that PDFs bear: what SOURCE_DATE_EPOCH asks for, or none; never the clock's.

The variable is that of the Reproducible Builds specification (SOURCE_DATE_EPOCH, version 1.1).
"""

from __future__ import annotations

import os
import re
from datetime import UTC, datetime
from typing import Final

from layouts.commands.refusal import Refusal, wrong_usage
from layouts.output import printable

VARIABLE: Final = "SOURCE_DATE_EPOCH"

_MOST_S: Final = 253_402_300_799
"""The last second of the year 9999: dates in a PDF have four digits for the year."""
_SHOWN: Final = 40


def print_date() -> datetime | None:
    """The instant of UTC, to the second; None if the variable is not set.

    Raises Refusal if it does not hold whole seconds since 1970, or more than there is room for.
    """
    value = os.environ.get(VARIABLE)
    return None if value is None else read_print_date(value)


def read_print_date(value: str) -> datetime:
    """The instant of UTC so many seconds after the first of 1970.  Raises Refusal.

    >>> read_print_date("1772357400").isoformat()
    '2026-03-01T09:30:00+00:00'
    """
    # Never so many digits that int() would take long, or refuse.
    found = re.fullmatch("0*([0-9]{1,12})", value, re.ASCII)
    if found is None and not re.fullmatch("[0-9]+", value, re.ASCII):
        raise _refused(value, "is not a whole number of seconds")
    if found is None or int(found[1]) > _MOST_S:
        raise _refused(value, "lies beyond the year 9999")
    return datetime.fromtimestamp(int(found[1]), UTC)


def _refused(value: str, what: str) -> Refusal:
    shown = printable(value[:_SHOWN]) + ("…" if len(value) > _SHOWN else "")
    return wrong_usage(
        VARIABLE,
        f"'{shown}' {what}",
        allowed=f"seconds since the start of 1970 (UTC), 0 to {_MOST_S}",
        suggestion=f"unset {VARIABLE}",
    )
