"""Tables as comma-separated values, for spreadsheets."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

_FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "|", "%")
"""What a spreadsheet may take for the beginning of a formula or a command, after blanks too."""

_BLANK_STARTS = ("\t", "\r", "\n")
"""The same of signs that it may drop with what follows (OWASP, "CSV Injection")."""

Cell = str | int | float | None


def write_csv(rows: Iterable[Sequence[Cell]]) -> bytes:
    """The rows as RFC 4180 has them, in UTF-8: lines end in CR LF, None is an empty cell.

    A text that a spreadsheet would take for a formula gets an apostrophe before it; numbers are
    written as they are, below zero too, with a point and no more than six decimals.

    >>> write_csv([["name", "cm"], ["=1+1", -2.5]])
    b"name,cm\\r\\n'=1+1,-2.5\\r\\n"
    """
    return "".join(",".join(map(_cell, row)) + "\r\n" for row in rows).encode()


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".")
    if isinstance(value, int):
        return str(value)
    risky = value.startswith(_BLANK_STARTS) or value.lstrip().startswith(_FORMULA_STARTS)
    text = f"'{value}" if risky else value
    if any(sign in text for sign in ',"\r\n'):
        doubled = text.replace('"', '""')
        return f'"{doubled}"'
    return text
