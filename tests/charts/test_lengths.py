"""Lengths with units, against exact fractions and against another library's reader."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.lib import units

from charts.lengths import LengthError, read_length

INCH_MM = Fraction("25.4")
"""Exactly, by NIST Special Publication 811 (2008), appendix B.8."""


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3/8 in", "9.525"),
        ('3/8"', "9.525"),
        ("3/8″", "9.525"),
        ("3/8 inch", "9.525"),
        ("3/8 inches", "9.525"),
        ("3/8 IN.", "9.525"),
        ("3⁄8 in", "9.525"),
        ("⅜ in", "9.525"),
        ("½ in", "12.7"),
        ("1½ in", "38.1"),
        ("1 1/4 in", "31.75"),
        ("1-1/4 in", "31.75"),
        ("1¼ in", "31.75"),
        ("5/4 in", "31.75"),
        ("  1   1/4   in  ", "31.75"),
        ("1 in", "25.4"),
        ("0.375 in", "9.525"),
        (".375in", "9.525"),
        ("9.5 mm", "9.5"),
        ("9.5mm", "9.5"),
        ("19 1/2 mm", "19.5"),
        ("0.95 cm", "9.5"),
        ("0.95 CM", "9.5"),
    ],
)
def test_length_is_the_float_nearest_to_its_exact_millimetres(text, mm):
    assert read_length(text) == float(Fraction(mm))


whole = st.integers(0, 999_999)
unit = st.sampled_from(
    [("mm", Fraction(1)), ("cm", Fraction(10)), ("in", INCH_MM), ("inch", INCH_MM), ('"', INCH_MM)]
)


@given(whole, st.integers(1, 999), st.integers(1, 1000), unit)
def test_whole_number_and_fraction_is_exact(inches, numerator, more, unit):
    name, mm = unit
    denominator = numerator + more
    exact = (inches + Fraction(numerator, denominator)) * mm
    assert read_length(f"{inches} {numerator}/{denominator} {name}") == float(exact)


@given(st.decimals(min_value="0.001", max_value="999999", places=3), unit)
def test_decimal_is_exact(number, unit):
    name, mm = unit
    assert read_length(f"{number} {name}") == float(Fraction(number) * mm)


@given(
    st.decimals(min_value="0.01", max_value="9999", places=2), st.sampled_from(["mm", "cm", "in"])
)
def test_decimal_agrees_with_the_reader_of_a_page_library(number, unit):
    points = units.toLength(f"{number}{unit}")
    assert read_length(f"{number}{unit}") == pytest.approx(points / units.mm, rel=1e-12)


FORMS = 'allowed: a length such as "3/8 in", "1 1/4 in", "9.5 mm" or "0.95 cm"'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", f"a length needs a number; {FORMS}"),
        ("in", f"a length needs a number; {FORMS}"),
        ("wide", f"a length needs a number; {FORMS}"),
        ("9.5", f'a length needs a unit; {FORMS}; try: "9.5 mm"'),
        ("3/8", f'a length needs a unit; {FORMS}; try: "3/8 in"'),
        ("9,5 mm", f"'9,5' is not a number; {FORMS}; try: \"9.5 mm\""),
        ("1,000 mm", f"'1,000' is not a number; {FORMS}; try: \"1.000 mm\""),
        ("9.5 millimetres", f"'millimetres' is not a unit of length; {FORMS}; try: \"9.5 mm\""),
        ("1 centimeter", f"'centimeter' is not a unit of length; {FORMS}; try: \"1 cm\""),
        ("3/8 inchs", f"'inchs' is not a unit of length; {FORMS}; try: \"3/8 in\""),
        ("3/8''", f"'''' is not a unit of length; {FORMS}; try: \"3/8 in\""),
        ("3/8”", f"'”' is not a unit of length; {FORMS}; try: \"3/8 in\""),
        ("3 ft", f"'ft' is not a unit of length; {FORMS}"),
        ("3 " + "x" * 99, f"'{'x' * 39}…' is not a unit of length; {FORMS}"),
        ("-3 mm", f"a length must be above zero; {FORMS}"),
        ("0 mm", f"a length must be above zero; {FORMS}"),
        ("0/8 in", f"a length must be above zero; {FORMS}"),
        ("3/0 in", f"'3/0' divides by zero; {FORMS}"),
        ("1 8/8 in", f"the fraction of '1 8/8' is not below one; {FORMS}"),
        ("1.2.3 mm", f"'1.2.3' is not a number; {FORMS}"),
        ("3 / 8 in", f"'3 / 8' is not a number; {FORMS}"),
        ("3 \x1b[1m", f"'U+001B[1m' is not a unit of length; {FORMS}"),
        ("+3 mm", f"'+3' is not a number; {FORMS}"),
        ("1234567 mm", f"'1234567' is not a number; {FORMS}"),
        ("٣ mm", f"a length needs a number; {FORMS}"),
        ("3/8 in wide", f"'in wide' is not a unit of length; {FORMS}; try: \"3/8 in\""),
    ],
)
def test_refusal_names_the_forms_there_are(text, message):
    with pytest.raises(LengthError, match=f"^{re.escape(message)}$"):
        read_length(text)


@given(st.text(alphabet="0123456789 ./,-½⅜⁄\"″mcinh'x٣²") | st.text())
def test_any_text_is_a_length_above_zero_or_refused(text):
    try:
        length_mm = read_length(text)
    except LengthError:
        return
    assert length_mm > 0
