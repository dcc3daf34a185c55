"""Finished files changed in their bytes, by a library that neither writes nor reads them for us."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO
from typing import Any

import pikepdf

Operators = list[tuple[list[Any], pikepdf.Operator]]


def with_operators(pdf: bytes, page: int, change: Callable[[Any, Operators], Operators]) -> bytes:
    """The file with the content of a page changed; `change` is given the page and its operators."""
    with pikepdf.open(BytesIO(pdf)) as file:
        content = file.pages[page - 1]
        operators = [
            (list(operands), operator)
            for operands, operator in pikepdf.parse_content_stream(content)
        ]
        changed = pikepdf.unparse_content_stream(change(content, operators))
        content.Contents = file.make_stream(changed)
        return saved(file)


def saved(file: pikepdf.Pdf, **how: Any) -> bytes:
    """The bytes of a file."""
    out = BytesIO()
    file.save(out, **how)
    return out.getvalue()


def with_word_replaced(pdf: bytes, old: str, new: str, *, page: int, face: str = "") -> bytes:
    """The file with the first `old` of a page set in the letters of `new`."""

    def change(content: Any, operators: Operators) -> Operators:
        codes = {name: codes_of(font) for name, font in content.Resources.Font.items()}
        font = ""
        for operands, operator in operators:
            if str(operator) == "Tf":
                font = str(operands[0])
            elif str(operator) == "Tj" and face in str(content.Resources.Font[font].BaseFont):
                table = codes[font]
                if not set(old) | set(new) <= table.keys():
                    continue
                was, now = (bytes(table[letter] for letter in word) for word in (old, new))
                string = bytes(operands[0])
                if was in string:
                    operands[0] = pikepdf.String(string.replace(was, now, 1))
                    return operators
        raise AssertionError(f"no {old!r} on page {page}")

    return with_operators(pdf, page, change)


def codes_of(font: Any) -> dict[str, int]:
    """The code of each letter, by the character table of the file."""
    table: dict[str, int] = {}
    words = bytes(font.ToUnicode.read_bytes()).decode("latin-1")
    for code, text in re.findall(r"<([0-9A-Fa-f]{2})>\s*<([0-9A-Fa-f]{4})>", words):
        table.setdefault(chr(int(text, 16)), int(code, 16))
    return table
