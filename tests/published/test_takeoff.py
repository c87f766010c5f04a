"""Published take-off examples that the layout of one straight wall can answer."""

import pytest

from service.domain.nails.words import read_designation
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Intersection, Wall
from service.tables.book import open_book
from service.ticks import PER_FT, PER_IN, ceil_div, inches, ticks

BOOK = open_book()


def straight(length_ft, stud="2x4", stock_ft=16, words="3 x .131", **more):
    """A plain wall of three plates, 8 ft high."""
    wall = Wall(length_ft * PER_FT, ticks(96), stud=stud, plate_stock=stock_ft * PER_FT, **more)
    return plan_wall(Order(wall, Setting("irc-2021", read_designation(words, BOOK))), BOOK)


def plates_ft(plan):
    framing = plan.framing
    return [sum(p.width for p in ps) / PER_FT for ps in (framing.bottom_plates, framing.top_plates, framing.double_top_plates)]


def test_148_ft_of_studs_at_16():
    """Estimating in Building Construction, example 13-11, p. 157: 148 x 0.75 = 111 spaces, 112 studs."""
    assert len(straight(148).framing.studs) == 112


def test_148_ft_of_sole_and_double_top_plate():
    """The same book, example 13-10, p. 156: inputs published, results by its steps 148 ft and 296 ft (DERIVED)."""
    sole, lower, upper = plates_ft(straight(148))
    assert (sole, lower + upper) == (148, 296)


# Plates: wall length x 3 by lineal feet, then whole pieces of stock.
PLATES = [
    # wall [ft], stock [ft], waste [percent], lineal ft, pieces
    pytest.param(240, 14, 10, 792, 57, id="Modern Carpentry p. 269: 792 ft, 57 pieces of 14 ft"),
    pytest.param(24, 12, 0, 72, 6, id="newspaper home guide: six 12 ft boards; its 72 is lineal feet, not board feet"),
    pytest.param(108, 12, 0, 324, 27, id="class page on a 30 x 24 ft shed prints 486 and 41: an erratum, 108 x 3 = 324, 27 boards"),
]


@pytest.mark.parametrize(("length_ft", "stock_ft", "waste", "lineal_ft", "pieces"), PLATES)
def test_plates_by_lineal_feet(length_ft, stock_ft, waste, lineal_ft, pieces):
    total = sum(plates_ft(straight(length_ft, stock_ft=stock_ft)))
    with_waste = total * (100 + waste) / 100
    assert with_waste == lineal_ft
    assert ceil_div(round(with_waste * PER_FT), stock_ft * PER_FT) == pieces


# Modern Carpentry p. 269 and EN5155 p. 1-27: 2x4 is 2/3 board ft for each lineal ft, 2x6 is 1; pieces x T x W x length / 12.
# 8 ft wall, 96 high: 7 studs of 91.5 in = 53.375 ft and 3 plates of 8 ft = 24 ft; 77.375 ft in all.
@pytest.mark.parametrize(("stud", "board_ft"), [("2x4", 77.375 * 2 / 3), ("2x6", 77.375)])
def test_board_feet_of_a_wall(stud, board_ft):
    plan = straight(8, stud=stud)
    assert inches(plan.load.lumber_length) == 77.375 * 12
    assert plan.load.board_ft == pytest.approx(board_ft, rel=1e-12)


def test_a_block_between_studs_at_16():
    """Class answer page: a block in a 16 in bay of 2x4 studs is 14.5 in long."""
    blocks = straight(8, intersections=(Intersection(ticks(40), "ladder"),)).framing.blocks
    assert {b.length / PER_IN for b in blocks} == {14.5}


def test_two_end_nails_each_end_make_four_a_stud():
    """Take-off notes, DERIVED: 24 ft at 16 o.c., 19 studs, 76 nails. 16d common takes two an end, IRC Table R602.3(1) item 17."""
    (line,) = [x for x in straight(24, words="16d common").lines if x.group.connection_id == "stud-to-plate-end-nail"]
    assert line.nail_count == 76
