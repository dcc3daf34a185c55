"""Comma-separated values, read back with the standard library's reader."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.delimited import write_csv


def back(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode(), newline=""), strict=True))


def test_cells_are_written_as_rfc_4180_has_them() -> None:
    data = write_csv([["a", 'b "c", d', None], [1, -2.5, 3.0]])
    assert data == b'a,"b ""c"", d",\r\n1,-2.5,3\r\n'


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", " =", "\n=", "|", "%"])
def test_text_that_could_be_a_formula_is_made_text(start: str) -> None:
    [[cell]] = back(write_csv([[f"{start}1+1"]]))
    assert cell == f"'{start}1+1"


def test_numbers_below_zero_stay_numbers() -> None:
    assert back(write_csv([[-1, -0.25, 0.1 + 0.2]])) == [["-1", "-0.25", "0.3"]]


texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=20)


@given(st.lists(st.lists(texts, min_size=2, max_size=4), min_size=1, max_size=4))
def test_any_texts_come_back_and_none_starts_a_formula(rows: list[list[str]]) -> None:
    found = back(write_csv(rows))
    assert [[cell.removeprefix("'") for cell in row] for row in found] == [
        [cell.removeprefix("'") for cell in row] for row in rows
    ]
    for row in found:
        assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in row)
