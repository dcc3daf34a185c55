"""Inks of finished PDFs, read from their operators; the colour edition tells the same sock."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from io import BytesIO

import pikepdf
import pytest

from tests.readback.expected import differences
from tests.readback.socks import colour_sock, printed_sock

NAMES = ("ember", "reed-bank", "right to left on 25", "charts in pieces on 96")

GREY = {"g", "G"}
"""ISO 32000-1:2008, table 74: DeviceGray, filled and stroked."""
COLOURED = {"rg", "RG", "k", "K", "cs", "CS", "sc", "SC", "scn", "SCN", "sh"}
"""The operators of that table that may set any other colour, and shading."""


def operators(pdf: bytes) -> Iterator[tuple[str, tuple[float, ...]]]:
    """Every operator of the pages with its numbers; the pages draw nothing but themselves."""
    with pikepdf.open(BytesIO(pdf)) as file:
        for page in file.pages:
            assert not page.get("/Resources", {}).get("/XObject", {})
            for instruction in pikepdf.parse_content_stream(page):
                operands = instruction.operands
                numbers = (float(one) for one in operands if isinstance(one, int | Decimal))
                yield str(instruction.operator), tuple(numbers)


@pytest.mark.parametrize("name", NAMES)
def test_the_grey_edition_is_printed_with_black_ink_alone(name: str) -> None:
    used = {operator for operator, _ in operators(printed_sock(name).pdf)}
    assert used & GREY == GREY
    assert not used & COLOURED


@pytest.mark.parametrize("name", NAMES)
def test_the_colour_edition_fills_in_colour_and_writes_and_draws_in_grey(name: str) -> None:
    found = list(operators(colour_sock(name).pdf))
    used = {operator for operator, _ in found}
    assert used & COLOURED == {"rg"}
    fills = {numbers for operator, numbers in found if operator == "rg"}
    assert all(len(set(fill)) > 1 for fill in fills)
    assert len(fills) > 7


@pytest.mark.parametrize("name", NAMES)
def test_the_colour_edition_reads_back_as_the_proved_sock(name: str) -> None:
    sock = colour_sock(name)
    read = sock.read
    for knit, steps, second in (
        (sock.first, read.steps, False),
        (sock.second, read.second_steps, True),
    ):
        assert steps.events == knit.rows.events
        parts, charts = read.parts_of(second=second), read.charts_of(second=second)
        assert differences(knit, parts=parts, steps=steps, charts=charts) == []
