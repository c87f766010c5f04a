"""Lengths in whole ticks against an independent unit library."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.ticks import PER_FT, PER_IN, PER_M, PER_MM, ceil_div, feet, inches, label, ticks

UNITS = pint.UnitRegistry(non_int_type=Fraction)
PER_UNIT = {"inch": PER_IN, "millimeter": PER_MM, "foot": PER_FT, "meter": PER_M}
DECIMAL_INCHES = st.integers(0, 10_000_000).map(lambda n: Fraction(n, 10_000))


def exact(number, unit, into="inch"):
    return UNITS.Quantity(Fraction(number), unit).to(into).magnitude


@pytest.mark.parametrize("unit", PER_UNIT)
def test_a_unit_holds_the_ticks_that_the_unit_library_says(unit):
    assert PER_UNIT[unit] == exact(1, unit) * 5_080_000


# International yard and pound agreement: 1 in = 25.4 mm exactly; 25.4 / 64, 0.0001 in and 0.01 mm are whole ticks.
@pytest.mark.parametrize(
    ("part", "expected"),
    [
        pytest.param(exact(Fraction(1, 64), "inch"), 79_375, id="1/64 in"),
        pytest.param(exact(Fraction(1, 10_000), "inch"), 508, id="0.0001 in"),
        pytest.param(exact(Fraction(1, 100), "millimeter"), 2_000, id="0.01 mm"),
    ],
)
def test_the_fine_sizes_are_whole_ticks(part, expected):
    assert part * PER_IN == expected


@given(st.integers(0, 2_000_000).map(lambda n: f"{n // 100}.{n % 100:02}"))
def test_hundredths_of_a_millimetre_are_read_exactly(text):
    assert ticks(text, PER_MM) == exact(text, "millimeter") * PER_IN


@given(st.integers(0, 10_000_000).map(lambda n: f"{n // 10_000}.{n % 10_000:04}"))
def test_ten_thousandths_of_an_inch_are_read_exactly(text):
    assert ticks(text) == Fraction(text) * PER_IN


@given(st.integers(0, 64 * 1200))
def test_sixty_fourths_are_read_exactly_from_their_decimals(n):
    assert ticks(n / 64) == Fraction(n, 64) * PER_IN


@given(st.integers(0, 4000).map(lambda n: Fraction(n, 16)))
def test_feet_and_inches_are_the_same_length(length):
    assert ticks(float(length), PER_FT) == ticks(float(length * 12))
    assert feet(ticks(float(length), PER_FT)) == float(length)


@given(DECIMAL_INCHES)
def test_four_decimals_of_an_inch_come_back(length):
    assert Fraction(str(inches(ticks(str(float(length)))))) == length


@given(st.integers(1, 10**9), st.integers(1, 10**8))
def test_ceil_div_covers_and_no_more(length, part):
    n = ceil_div(length, part)
    assert (n - 1) * part < length <= n * part


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("3.5", "3-1/2"),
        ("2.375", "2-3/8"),
        ("97.125", "97-1/8"),
        ("0.4375", "7/16"),
        ("16", "16"),
        ("0.131", "0.131"),
        ("92.625", "92-5/8"),
    ],
)
def test_lengths_are_said_as_people_say_them(number, said):
    """Common practice, no source."""
    assert label(ticks(number)) == said
