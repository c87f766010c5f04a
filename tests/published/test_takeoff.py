"""Published take-off examples that the layout of a wall can answer; confidence as the readings were kept.

Elsewhere: waste and 7,200 nails in `domain/takeoff/test_packages.py`, stakes and six boards of 12 ft in `test_stock.py`, 40 sheets in
`test_purchase.py`, nails of a 4x8 panel in `domain/wall/panels/test_lay.py`. Not answered by this service: nails by the board foot
(1.67 d a thousand), board feet of 1x4 and 3x10, which no wall has, and gables.
"""

from fractions import Fraction
from math import ceil

import pytest

from service.domain.joint.counting import nails_in_run
from service.domain.nails.nail import by_id
from service.domain.nails.words import read_designation
from service.domain.takeoff.packages import nails_per_lb
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Header, Intersection, Opening, Wall
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


def test_studs_of_any_length_are_its_spaces_and_one():
    """The same book, p. 157, in two texts: length in ft x 0.75 at 16 o.c., rounded up, plus 1 to close."""
    assert [len(straight(ft).framing.studs) for ft in range(3, 101)] == [ceil(ft * 0.75) + 1 for ft in range(3, 101)]


@pytest.mark.parametrize(("long_ft", "short_ft"), [(37, 37), (40, 34)])
def test_four_corners_take_eight_studs_over_the_perimeter(long_ft, short_ft):
    """The same book, example 13-12 (one source): 148 ft, four corners of three studs, 8 over the 112 of one line.

    Modern Carpentry p. 269 (one source): 3/4 of the length plus 2 for each corner, 119; the texts differ by the stud that closes.
    """
    walls = [straight(ft, start_corner="three_stud") for ft in (long_ft, short_ft) * 2]
    studs = sum(len(w.framing.studs) for w in walls)
    assert studs == 112 + 8
    assert studs == 148 * 3 // 4 + 4 * 2 + 1


@pytest.mark.parametrize(("spacing", "board_ft"), [("12", "1.10"), ("16", "0.83"), ("20", "0.67"), ("24", "0.55")])
def test_board_feet_of_2x6_studs_by_the_square_foot(spacing, board_ft):
    """US home improvement cost manual, 2018, p. 67 (one source): with 10 percent waste, to 0.01; its 20 in row computes to 0.66.

    2x6 is 1 board ft for each ft, and the manual counts studs as long as the wall is high. The stud that closes 100 ft is left out.
    """
    studs = len(straight(100, stud="2x6", spacing=ticks(spacing)).framing.studs)
    assert abs(Fraction(studs - 1, 100) * Fraction("1.10") - Fraction(board_ft)) <= Fraction("0.01")


def three_ft(kind, at, sill):
    return Opening(kind, kind, ticks(at), ticks(36), sill and ticks(sill), ticks("82.5"), Header(2, "2x8", ticks("0.5")), 1, 1)


def test_20_ft_with_a_door_and_a_window_takes_some_24_studs():
    """Journal of Light Construction on unit prices (one source, a band): 24 studs of 8 ft counted, one more listed; cripples of 4 ft."""
    plan = straight(20, openings=(three_ft("door", 60, None), three_ft("window", 150, 36)))
    uprights = [m for m in plan.framing.members if "stud" in m.role]
    cripples = [m for m in plan.framing.members if "cripple" in m.role]
    assert 24 <= len(uprights) + ceil(len(cripples) / 2) <= 25


def test_a_side_wall_of_a_shed_takes_one_stud_more_than_its_list():
    """University shed notes (one source, a band): 8 ft between the front and back wall, 96 - 2 x 3.5 = 89 in, lists 6 studs.

    At 16 in: 89 / 16 is 5.6, six spaces and seven studs.
    """
    wall = Wall(ticks(89), ticks(96))
    assert len(plan_wall(Order(wall, Setting("irc-2021", read_designation("3 x .131", BOOK))), BOOK).framing.studs) == 6 + 1


def test_a_header_is_cut_3_in_longer_than_its_opening():
    """Class resource page, 2020 (one source): rough opening width + 3 in, a 1-1/2 in jack each side."""
    plan = straight(12, openings=(three_ft("window", 54, 36),))
    assert {m.width / PER_IN for m in plan.framing.members if m.role == "header"} == {36 + 3}


@pytest.mark.parametrize(("spacing", "nails"), [(12, 9), (6, 17), (4, 25), (3, 33), (2, 49)])
def test_nails_of_a_line_of_96_in(spacing, nails):
    """Take-off notes, DERIVED from the fence-post rule: spaces and one."""
    assert nails_in_run(ticks(96), ticks(spacing)) == nails


def test_panel_nails_weigh_about_as_boards_take():
    """Army course EN0069A par. 4-9 and Building Construction vol. 4 art. 24 (two sources): 20 lb of 8d for 1,000 sq ft of boards.

    A 4x8 panel at 6 and 12 in takes 62 (DERIVED, `test_lay.py`): 62 / 32 x 1,000 / 106 to the pound = 18.3 lb, a band of a tenth.
    """
    pounds = nails_per_lb(by_id("8d-common", BOOK), BOOK.packaging).weight_lb(62 * 1000) / 32
    assert float(pounds) == pytest.approx(18.3, abs=0.05)
    assert float(pounds) == pytest.approx(20, rel=0.1)


def test_16d_nails_by_the_board_foot_run_high():
    """EN0069A par. 4-9 (one source): 1.67 d pounds for 1,000 board ft, 26.7 lb of 16d; high for such walls, so an upper bound."""
    plan = straight(24, words="16d common")
    pounds = nails_per_lb(by_id("16d-common", BOOK), BOOK.packaging).weight_lb(sum(count for _, count in plan.nail_totals))
    assert 0 < float(pounds) < 1.67 * 16 * plan.load.board_ft / 1000
