"""Anchor bolts of a whole wall on concrete: its pieces of plate, clear of its studs."""

from dataclasses import replace

import pytest

from service.domain.building.anchorage import anchor_wall
from service.domain.conditions import Conditions
from service.domain.nails.words import read_designation
from service.domain.site import Site
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Header, Opening, Wall
from service.tables.book import open_book
from service.ticks import inches, ticks

BOOK = open_book()
DOOR = Opening("d", "door", ticks(100), ticks(38), None, ticks("82.5"), Header(2, "2x8", ticks("0.5")), 1, 1)
WALL = Wall(ticks(288), ticks("97.125"), bottom_plate_on="concrete", openings=(DOOR,))


def anchored(wall=WALL, edition="irc-2021", assumed=(), **site):
    setting = Setting(edition, read_designation("3 x .131", BOOK), site=Site(**site), conditions=Conditions(assumed=assumed))
    return anchor_wall(plan_wall(Order(wall, setting), BOOK), BOOK)


def test_each_piece_between_doors_has_its_own_bolts():
    """R403.1.6: 6 ft apart, 12 in from the ends of a piece at most, two at least. 0 to 100: 76 / 72, so 3; 138 to 288: 126 / 72, so 3."""
    found = anchored()
    assert [(inches(p.piece[0]), inches(p.length), p.count) for p in found.pieces] == [(0, 100, 3), (138, 150, 3)]
    assert found.count == 6
    # common practice, no source: 1 in clear of the studs
    studs = [(m.x, m.right) for m in plan_wall(Order(WALL, Setting("irc-2021", read_designation("3 x .131", BOOK))), BOOK).framing.on_plate]
    for piece in found.pieces:
        for x in piece.laid.positions:
            assert piece.piece[0] <= x <= piece.piece[1]
            assert all(x <= a - ticks(1) or x >= b + ticks(1) for a, b in studs)


def test_a_tall_building_in_high_seismic_categories_has_bolts_four_feet_apart():
    """R403.1.6.1: over two stories in D0 to D2; a number of stories that was not said is read as three."""
    said = {"seismic_design_category": "D1"}
    assert [anchored(story_count=n, **said).most_spacing for n in (1, 2, 3)] == [ticks(72), ticks(72), ticks(48)]
    assert anchored(assumed=("story_count",), **said).most_spacing == ticks(48)


@pytest.mark.parametrize(("braced", "assumed", "plate"), [(True, (), True), (False, (), False), (False, ("wall.braced",), True)])
def test_a_braced_line_in_d_has_plate_washers(braced, assumed, plate):
    """R602.11.1; whether a wall braces that was not said is read as that it does."""
    assert anchored(replace(WALL, braced=braced), assumed=assumed, seismic_design_category="D0").washer.plate == plate


def test_a_wall_on_wood_has_none_and_an_edition_that_is_not_held_no_number():
    assert anchored(replace(WALL, bottom_plate_on="wood_floor")) is None
    found = anchored(edition="ibc-2021")
    assert found.outcome == "no_data" and found.count is None
