"""Sticks to buy: precut studs, waste once for each size, prices by length; hand calculation and laws."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.takeoff.cost import Price
from service.domain.takeoff.cut_list import Cut
from service.domain.takeoff.sticks import Stick, Yard, buy_sticks
from service.ticks import PER_FT, PER_IN, PER_MM, ticks

STUD = ticks("92.625")
FEET = tuple(n * PER_FT for n in (8, 10, 12, 14, 16))


def cuts(pieces, nominal="2x4", treated=False):
    return tuple(Cut(nominal, treated, None, length, count) for length, count in pieces.items())


def bought(pieces, yard, **more):
    lines, too_long = buy_sticks(cuts(pieces, **more), yard)
    assert not too_long
    return {line.stick.length: (line.stick_count, line.stick_count_with_waste) for line in lines}


def test_waste_is_of_a_size_and_not_of_each_length():
    """Joists of 2 x 8 + 12 + 2 x 16 = 60 ft; 10 percent are 6 ft, one more stick of 8 ft: 68 ft. By lengths it would be 3, 2 and 3: 96 ft."""
    found = bought({8 * PER_FT: 2, 12 * PER_FT: 1, 16 * PER_FT: 2}, Yard(FEET, waste=Fraction(10)), nominal="2x8")
    assert found == {16 * PER_FT: (2, 2), 12 * PER_FT: (1, 1), 8 * PER_FT: (2, 3)}


@pytest.mark.parametrize(("sticks", "with_waste"), [(500, 550), (300, 330)])
def test_waste_on_sticks_of_one_length_is_that_on_their_number(sticks, with_waste):
    """Army engineer course EN0069A, par. 4-8 and 4-9: 10 percent on 500 and 300 pieces (inputs inferred) lists 550 and 330."""
    assert bought({8 * PER_FT: sticks}, Yard(FEET, waste=Fraction(10))) == {8 * PER_FT: (sticks, with_waste)}


def test_each_size_has_waste_of_its_own():
    """8 ft of 2x4 and of treated 2x4, 10 percent: a stick more of each, since one does not stand in for the other."""
    lines, _ = buy_sticks((*cuts({8 * PER_FT: 1}), *cuts({8 * PER_FT: 1}, treated=True)), Yard(FEET, waste=Fraction(10)))
    assert [(line.stick.treated, line.stick_count_with_waste) for line in lines] == [(False, 2), (True, 2)]


def test_a_stud_is_bought_precut_and_nothing_else_is_cut_from_it():
    """Common practice, no source: studs of 92-5/8 in are sold cut to length; a 7 ft plate comes from an 8 ft board."""
    found = bought({STUD: 20, 16 * PER_FT: 3, 7 * PER_FT: 1}, Yard((STUD, *FEET)))
    assert found == {16 * PER_FT: (3, 3), 8 * PER_FT: (1, 1), STUD: (20, 20)}


def test_no_precut_stud_is_treated():
    """Common practice, no source: treated lumber is sold by whole feet."""
    assert bought({STUD: 2}, Yard((STUD, *FEET)), treated=True) == {8 * PER_FT: (2, 2)}


def test_waste_on_precut_studs_is_of_boards_where_any_are_bought():
    """10 studs of 92-5/8 in and 8 ft: 85.2 ft, a tenth is 8.5 ft, two boards of 8 ft; of studs alone one for ten."""
    yard = Yard((STUD, *FEET), waste=Fraction(10))
    assert bought({STUD: 10, 8 * PER_FT: 1}, yard) == {8 * PER_FT: (1, 3), STUD: (10, 10)}
    assert bought({STUD: 10}, yard) == {STUD: (10, 11)}


def test_lumber_by_the_metre_is_no_precut_lumber():
    """2.4 and 3.0 m are no whole feet; where all are such, a plate of 2 m comes from 2.4 m. 2.438 m is 8 ft but for 0.02 in."""
    m = 1000 * PER_MM
    assert bought({2 * m: 1}, Yard((24 * m // 10, 3 * m)), treated=True) == {24 * m // 10: (1, 1)}
    assert Yard((2438 * PER_MM, 10 * PER_FT)).precut == ()


def test_a_price_of_a_length_with_four_places_is_that_of_the_stud():
    """92.625 / 12 = 7.71875 ft, which four places write as 7.7188, 0.0006 in longer."""
    price = Price(Decimal("3.98"), "USD")
    (line,), _ = buy_sticks(cuts({STUD: 2}), Yard((STUD, *FEET), prices=((Stick("2x4", False, ticks("7.7188", PER_FT)), price),)))
    assert line.price == price
    assert bought({STUD: 2}, Yard((ticks("7.7188", PER_FT), *FEET))) == {STUD: (2, 2)}


@given(st.dictionaries(st.integers(10, 192), st.integers(1, 40), min_size=1, max_size=6), st.integers(0, 60), st.booleans())
def test_waste_is_never_short_and_never_more_than_a_stick_over(pieces, percent, treated):
    lines, _ = buy_sticks(
        cuts({n * PER_IN: count for n, count in pieces.items()}, treated=treated), Yard((STUD, *FEET), waste=Fraction(percent))
    )
    wanted = sum(x.stick.length * x.stick_count for x in lines) * Fraction(100 + percent, 100)
    assert wanted <= sum(x.stick.length * x.stick_count_with_waste for x in lines) < wanted + max(x.stick.length for x in lines)
