"""Cutting pieces from stock: published yields, an exact solver on small cases, and laws."""

from itertools import chain

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from service.domain.takeoff.stock import cut_from_stock
from service.ticks import PER_FT, PER_IN

YARD = tuple(n * PER_FT for n in (8, 10, 12, 14, 16, 18, 20))


def cut(pieces, *stock_ft):
    """Return what to buy for pieces in inches: stock in ft, sticks."""
    found = cut_from_stock({n * PER_IN: count for n, count in pieces.items()}, tuple(n * PER_FT for n in stock_ft))
    return {length // PER_FT: count for length, count in found.sticks}


def test_stakes_of_28_in_from_10_and_12_ft():
    """Army engineer course EN0069A, lesson 4: a 10 ft stick gives 4 with 8 in left, a 12 ft stick 5 with 4 in left."""
    assert cut({28: 4}, 10) == {10: 1} and cut({28: 5}, 10) == {10: 2}
    assert cut({28: 5}, 12) == {12: 1} and cut({28: 6}, 12) == {12: 2}
    found = cut_from_stock({28 * PER_IN: 4}, (10 * PER_FT,))
    assert found.length - 4 * 28 * PER_IN == 8 * PER_IN


def test_four_stakes_come_from_the_shorter_stick():
    """The same lesson: with only 4 needed, 10 ft stock is chosen."""
    assert cut({28: 4}, 10, 12) == {10: 1}


def test_plates_of_a_24_ft_wall_from_12_ft_stock():
    """Newspaper home guide: three plates of a 24 ft wall, six 12 ft boards."""
    assert cut({144: 6}, 12) == {12: 6}


def test_a_piece_that_no_stock_holds_is_named_and_not_bought():
    found = cut_from_stock({20 * PER_FT + 1: 2, 8 * PER_FT: 1}, YARD)
    assert found.too_long == ((20 * PER_FT + 1, 2),)
    assert found.sticks == ((8 * PER_FT, 1),)


def test_no_pieces_take_no_sticks():
    assert cut_from_stock({}, YARD).sticks == ()


def least(pieces, stock):
    """Return the least length of stock for some pieces, by integer programming over every way to cut a stick."""
    lengths = sorted(pieces)

    def ways(i, room):
        if i == len(lengths):
            return [()]
        most = min(pieces[lengths[i]], room // lengths[i])
        return [(n, *rest) for n in range(most + 1) for rest in ways(i + 1, room - n * lengths[i])]

    patterns = [p for p in ways(0, max(stock)) if any(p)]
    used = [sum(n * x for n, x in zip(p, lengths, strict=True)) for p in patterns]
    price = [min(s for s in stock if s >= u) for u in used]
    enough = LinearConstraint(np.array(patterns).T, lb=[pieces[x] for x in lengths])
    found = milp(np.array(price, float), constraints=enough, integrality=np.ones(len(price)), bounds=Bounds(0, np.inf))
    return round(found.fun)


IN_STOCK = (96, 120, 144, 168, 192)
SMALL = [
    pytest.param({28: 9}, id="stakes"),
    pytest.param({92: 7, 45: 4}, id="studs and cripples"),
    pytest.param({168: 1, 120: 1, 96: 3}, id="plates"),
]


@pytest.mark.parametrize("pieces", SMALL)
def test_a_small_list_is_cut_as_an_exact_solver_cuts_it(pieces):
    found = cut_from_stock(pieces, IN_STOCK)
    assert found.length == least(pieces, IN_STOCK)


def test_a_mixed_list_takes_a_stick_cut_longer_than_the_exact_one():
    """The price of a simple rule, ours: blocks, studs and sills of 526 in, 528 at best, 552 by first-fit decreasing."""
    pieces = {14: 12, 92: 3, 41: 2}
    assert (least(pieces, IN_STOCK), cut_from_stock(pieces, IN_STOCK).length) == (528, 552)


def test_studs_come_from_short_sticks_where_that_costs_little():
    """Common practice, no source: studs are bought as 8 ft sticks.

    Beside a 16 ft plate two studs of 92-5/8 in and a cripple of 4-3/8 fit in 16 ft (189.625 of 192 in): 21 sticks, 336 ft. With
    3 percent slack the 40 studs are 8 ft sticks and the cripples take one more of them: 344 ft.
    """
    pieces = {192 * PER_IN: 1, round(92.625 * PER_IN): 40, round(4.375 * PER_IN): 20}
    least, short = cut_from_stock(pieces, YARD), cut_from_stock(pieces, YARD, 0.03)
    assert least.length == (16 + 20 * 16) * PER_FT
    assert dict(short.sticks) == {16 * PER_FT: 1, 8 * PER_FT: 41}


lists = st.dictionaries(st.integers(14, 192), st.integers(1, 8), min_size=1, max_size=4)


@settings(max_examples=60, deadline=None)
@given(lists)
def test_no_list_takes_less_than_the_exact_least_nor_much_more(pieces):
    """First-fit decreasing takes at most 11/9 of the fewest sticks and one more (a theorem of bin packing, from memory)."""
    best = least(pieces, IN_STOCK)
    assert best <= cut_from_stock(pieces, IN_STOCK).length <= best * 11 / 9 + max(IN_STOCK)


@given(st.dictionaries(st.integers(14, 250), st.integers(1, 500), max_size=12))
def test_what_is_bought_holds_what_is_cut(pieces):
    found = cut_from_stock(pieces, IN_STOCK)
    wanted = sum(n * count for n, count in pieces.items() if n <= 192)
    assert found.length >= wanted
    assert sorted(n for n, _ in found.too_long) == sorted(n for n in pieces if n > 192)
    most = sum(count for n, count in pieces.items() if n <= 192)
    assert found.stick_count <= most


@given(lists, st.integers(2, 5))
def test_houses_alike_take_no_more_lumber_than_each_alone(pieces, times):
    pieces = {**pieces, 21: 1}  # one piece of its own, so that it is one house
    together = cut_from_stock({n: count * times for n, count in pieces.items()}, (192,))
    alone = cut_from_stock(pieces, (192,))
    assert together.stick_count <= alone.stick_count * times


@given(lists)
def test_the_order_of_the_list_does_not_matter(pieces):
    turned = dict(chain(reversed(list(pieces.items()))))
    assert cut_from_stock(turned, IN_STOCK) == cut_from_stock(pieces, tuple(reversed(IN_STOCK)))
