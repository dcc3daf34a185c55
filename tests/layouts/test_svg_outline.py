"""A traced outline out of an SVG file, whoever wrote it."""

from __future__ import annotations

import contextlib
import math
import re
from xml.sax.saxutils import quoteattr

import pytest
from fontTools.misc.transform import Identity
from hypothesis import given
from hypothesis import strategies as st

from charts.problems import PatternError
from layouts.foot_shape import traced_outline
from layouts.svg_outline import MOST_SVG_BYTES, read_outline

BOX = "M0 0H80V240H0Z"
"""80 by 240 units: a foot for a test."""


def svg(inside: str, attributes: str = "") -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{inside}</svg>'.encode()


def size_mm(data: bytes) -> tuple[float, float]:
    outline = traced_outline(read_outline(data))
    return round(outline.width_mm, 2), round(outline.length_mm, 2)


def test_a_unit_is_a_millimetre_where_the_page_has_no_size() -> None:
    assert size_mm(svg(f'<path d="{BOX}"/>')) == (80, 240)
    assert size_mm(svg(f'<path d="{BOX}"/>', 'width="80px" height="100%"')) == (80, 240)


@pytest.mark.parametrize(
    ("attributes", "units_in_mm"),
    [
        ('width="100mm" height="300mm" viewBox="0 0 100 300"', 1),
        ('width="10cm" height="30cm" viewBox="0 0 1000 3000"', 0.1),
        ('width="72pt" viewBox="0 0 254 900"', 0.1),
        ('width="5in" height="5in" viewBox="0 0 635 127"', 0.2),
        ('height="2540mm" width="9999mm"', 25.4 / 96),
    ],
)
def test_the_size_of_the_page_tells_the_units(attributes: str, units_in_mm: float) -> None:
    """CSS Values and Units 4, 6.2: 1 in is 25.4 mm, 72 pt, 96 px.  The smaller share holds."""
    scale = 1 / units_in_mm
    path = f'<path d="M0 0H{80 * scale}V{240 * scale}H0Z"/>'
    assert size_mm(svg(path, attributes)) == (80, 240)


@pytest.mark.parametrize(
    "inside",
    [
        '<g transform="translate(7)"><g transform="scale(2)"><path d="M0 0H40V120H0Z"/></g></g>',
        '<g transform="matrix(2 0 0 2 5 5) translate(3, 4)"><path d="M0 0H40V120H0Z"/></g>',
        '<g transform="rotate(90)"><path d="M0 0H240V80H0Z"/></g>',
        '<path transform="rotate(-90 30 40),scale(1 0.5)" d="M0 0H240V160H0Z"/>',
    ],
)
def test_transforms_of_groups_and_paths_are_followed(inside: str) -> None:
    assert size_mm(svg(inside)) == (80, 240)


@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("translate"), st.floats(-50, 50), st.floats(-50, 50)),
            st.tuples(st.just("rotate"), st.floats(-180, 180)),
            st.tuples(st.just("skewX"), st.floats(-40, 40)),
            st.tuples(st.just("scale"), st.floats(0.5, 2), st.floats(0.5, 2)),
        ),
        max_size=4,
    )
)
def test_transforms_are_those_of_another_library(steps: list[tuple[str, ...]]) -> None:
    """fontTools.misc.transform: the corners of a triangle after the same steps."""
    words = " ".join(f"{name}({' '.join(map(repr, numbers))})" for name, *numbers in steps)
    data = svg(f'<path transform="{words}" d="M1 2L30 4L5 60Z"/>')
    matrix = Identity
    for name, *numbers in steps:
        match name:
            case "rotate":
                matrix = matrix.rotate(math.radians(numbers[0]))
            case "skewX":
                matrix = matrix.skew(math.radians(numbers[0]))
            case _:
                matrix = getattr(matrix, name)(*numbers)
    due = [
        number for point in ((1, 2), (30, 4), (5, 60)) for number in matrix.transformPoint(point)
    ]
    read = [float(number) for number in re.findall(r"-?\d+\.\d+", read_outline(data))]
    assert read[:6] == pytest.approx(due, abs=1e-5)


def test_the_largest_stroke_of_all_paths_is_the_outline() -> None:
    """A traced pencil line has an inner edge too; a legend has small paths."""
    ring = f"{BOX} M5 5H75V235H5Z"
    assert size_mm(svg(f'<path d="M0 0H9V9Z"/><path d="{ring}"/><path d="M1 1H3V9Z"/>')) == (
        80,
        240,
    )


def test_what_is_only_defined_or_hidden_is_not_drawn() -> None:
    huge = '<path d="M0 0H9000V9000H0Z"/>'
    data = svg(
        f"<defs><g>{huge}</g></defs><clipPath>{huge}</clipPath><symbol>{huge}</symbol>"
        f'<g display="none">{huge}</g><x:g xmlns:x="urn:other">{huge}</x:g><path d="{BOX}"/>'
    )
    assert size_mm(data) == (80, 240)


def test_a_document_type_by_name_is_what_older_programs_write() -> None:
    head = b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://127.0.0.1:9/none.dtd">'
    assert size_mm(head + svg(f'<path d="{BOX}"/>')) == (80, 240)


LAUGHS = (
    b'<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>'
    b"<svg>&c;</svg>"
)
OUTSIDE = b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg><path d="&a;"/></svg>'
DEEP = b"<svg>" + b"<g>" * 100 + b"</g>" * 100 + b"</svg>"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "no XML"),
        (b"\x00\xff\xfe", "no XML"),
        (b"%PDF-1.7", "no XML"),
        (b'<?xml version="1.0" encoding="none"?><svg/>', "no XML|encoding"),
        (b"<html><svg/></html>", "no SVG but has 'html' outermost"),
        (svg("<g><path d='M0 0H9'/>"), "no XML: mismatched tag"),
        (LAUGHS, "declares entities"),
        (OUTSIDE, "declares entities"),
        (DEEP, "more than 64 elements inside one another"),
        (svg("<rect/>"), "no path that is drawn"),
        (svg('<path d=""/>'), "no path that is drawn"),
        (svg('<path d="nonsense"/>'), "no SVG path data"),
        (svg('<path d="M0 0L1e999 5Z"/>'), "no SVG path data|numbers without end"),
        (svg('<g transform="scale(1e300)"><path d="M0 0L1e300 5Z"/></g>'), "numbers without end"),
        (svg(f'<path transform="bend(3)" d="{BOX}"/>'), "'bend\\(3\\)' is no transform"),
        (svg(f'<path transform="scale(" d="{BOX}"/>'), "is no transform"),
        (svg(f'<path d="{BOX}"/>', 'width="0mm" viewBox="0 0 1 1"'), "size of the page is none"),
        (svg('<path d="M0 0H9V9Z"/>' * 2001), "more than 2000 paths"),
        (svg(f'<path d="{"M0 0L1 1" * 40_000}"/>'), "characters"),
        (b" " * (MOST_SVG_BYTES + 1), "larger than 4 million bytes"),
    ],
)
def test_a_file_that_is_no_outline_is_refused_with_a_reason(data: bytes, said: str) -> None:
    with pytest.raises(PatternError) as refused:
        read_outline(data)
    (problem,) = refused.value.problems
    assert re.search(said, problem.what)
    assert len(problem.what) < 120


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    for tried in (data, svg("") + data, b"<svg>" + data + b"</svg>"):
        with pytest.raises(PatternError):
            read_outline(tried)


@given(st.text(max_size=60), st.text(max_size=30))
def test_any_words_in_attributes_are_read_or_refused(path: str, words: str) -> None:
    clean = [re.sub(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd]", "", text) for text in (path, words)]
    attributes = f"transform={quoteattr(clean[1])} d={quoteattr(clean[0])}"
    with contextlib.suppress(PatternError):
        read_outline(svg(f"<path {attributes}/>", f"width={quoteattr(clean[1])}"))
