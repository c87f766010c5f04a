"""Both sides of each limit of the panels of a wall, and panels that start off the layout's usual place."""

from dataclasses import replace
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.domain.nails.words import read_designation
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Header, Opening, Sheathing, Wall
from service.tables.book import open_book
from service.tables.schedule import Panel
from service.ticks import inches, ticks

BOOK = open_book()
NAIL, PANEL_NAIL = read_designation("3 x .131", BOOK), read_designation("8d common", BOOK)


def planned(length, height="97.125", width="48", panel="97.125", orientation="vertical", edge=None, field=None, **more):
    own = [None if x is None else ticks(x) for x in (edge, field)]
    sheets = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(width), panel and ticks(panel), orientation, *own)
    wall = Wall(ticks(length), ticks(height), sheathing=sheets, **more)
    return plan_wall(Order(wall, Setting("irc-2021", NAIL, sheathing_nail=PANEL_NAIL)), BOOK).panels


def rects(panels):
    return [(inches(p.rect.x0), inches(p.rect.x1)) for p in panels.cover.pieces]


def said(joints):
    return [inches(x) for x in joints]


# A joint within 3/8 in of the middle of a member is on it (service rule). One joint in each wall; the stud at 48.
@pytest.mark.parametrize(
    ("length", "width", "off"), [("96", "48.375", []), ("96", "48.3751", [48.3751]), ("90", "47.625", []), ("90", "47.6249", [47.6249])]
)
def test_a_panel_joint_is_on_a_member_within_three_eighths(length, width, off):
    assert said(planned(length, width=width).cover.joints_off_stud) == off


# A joint within 1-1/2 in of the side of an opening is at its corner. Joint at 48; king and jack beside each opening.
@pytest.mark.parametrize(
    ("at", "width", "near"), [("49.5", "30", [48]), ("49.5001", "30", []), ("10", "36.5", [48]), ("10", "36.4999", [])]
)
def test_a_panel_joint_is_at_an_opening_s_corner_within_an_inch_and_a_half(at, width, near):
    hole = Opening("w", "window", ticks(at), ticks(width), ticks(36), ticks(80), Header(2, "2x8"), 1, 1)
    assert said(planned("96", openings=(hole,)).cover.joints_at_corner) == near


# Panels of 96 in. They may end 2-1/4 in short of a double top plate (half its depth and the lap), 1-1/8 in short of a single one.
@pytest.mark.parametrize(
    ("plates", "height", "rows", "short"),
    [(2, "98.25", 1, 2.25), (2, "98.2501", 2, 0), (1, "97.125", 1, 1.125), (1, "97.1251", 2, 0), (2, "96", 1, 0), (1, "96", 1, 0)],
)
def test_a_panel_may_end_a_little_short_of_the_plate(plates, height, rows, short):
    cover = planned("96", height, panel="96", top_plate_count=plates).cover
    assert len({p.rect.z0 for p in cover.pieces}) == rows
    assert inches(cover.short_by) == short


# Closer rows than 2 in split 2-by framing (from memory); a caller's own spacing may be closer than the row's 6/12, not wider.
@pytest.mark.parametrize(
    ("edge", "field", "used"),
    [
        ("2", None, ("2", "12")),
        ("1.9999", None, None),
        (None, "2", ("6", "2")),
        (None, "1.9999", None),
        ("6", "12", ("6", "12")),
        ("6.0001", None, ("6", "12")),
        (None, "12.0001", ("6", "12")),
    ],
)
def test_a_caller_s_own_spacing_keeps_its_limits(edge, field, used):
    panels = planned("96", edge=edge, field=field)
    assert panels.used == (used and Panel(*(ticks(x) for x in used)))
    assert bool(panels.wider) == (edge == "6.0001" or field == "12.0001")
    assert panels.nail_count is None if used is None else panels.nail_count > 0


# Rows 2 to 3 in apart split 2-by framing (a shear wall journal article; a federal fact sheet): said from 2 to 3 in.
@pytest.mark.parametrize(("edge", "speaks"), [(2, True), (3, True), (3.01, False), (4, False)])
def test_close_rows_are_said_up_to_three_inches(client: FlaskClient, mild: dict[str, Any], edge, speaks):
    sheets = {"material": "wood_structural_panel", "thickness_in": 0.4375, "panel_length_in": 97.125, "edge_spacing_in": edge}
    asked = {**mild, "framing_nail": {"nail_id": "16d-common"}, "sheathing_nail": {"nail_id": "8d-common"}}
    answer = client.post("/v1/wall-plans", json={**asked, "wall": {"length_in": 96, "height_in": 97.125, "sheathing": sheets}})
    assert ("close_nail_rows" in {c["code"] for c in answer.json["cautions"]}) == speaks


# The first layout stud at f instead of s: joints at f - s + 48 j, so that a first panel may cover a through wall's end.
@pytest.mark.parametrize(
    ("offset", "joints"), [("16", [48, 96]), ("8", [40, 88]), ("12", [44, 92]), ("2.25", [34.25, 82.25]), ("15.25", [47.25, 95.25])]
)
def test_standing_panels_follow_a_shifted_first_stud(offset, joints):
    panels = planned("136", first_stud_offset=ticks(offset))
    assert [b for _, b in rects(panels)][:2] == joints
    assert panels.cover.joints_off_stud == ()


def test_lying_panels_follow_a_shifted_first_stud():
    """First stud at 8: the first panel starts at -8, rows of 96: 88, 184; every second row starts with half: 40, 136, 232.

    The third joint of the first row, 280, would leave 8 in, under a bay of 16: it moves back a mark to 264.
    """
    pieces = planned("288", "96", panel="96", orientation="horizontal", first_stud_offset=ticks(8)).cover.pieces
    assert [inches(p.rect.x1) for p in pieces if p.rect.z0 == 0] == [88, 184, 264, 288]
    assert [inches(p.rect.x1) for p in pieces if p.rect.z0] == [40, 136, 232, 288]


def test_a_lying_panel_reaches_from_where_the_layout_starts():
    """Panels of 108 in, first stud at 8: the first starts at -8 and reaches 100, its joint on the mark 88, not on 104; the next 88 + 96 = 184."""
    pieces = planned("288", "96", panel="108", orientation="horizontal", first_stud_offset=ticks(8)).cover.pieces
    assert [inches(p.rect.x1) for p in pieces if p.rect.z0 == 0][:2] == [88, 184]


def test_lying_panels_are_eight_feet_long_where_no_length_is_given():
    """Studs at 12 in: joints of 96 in sheets at 96 and 192, of every second row at 48, 144, 240."""
    pieces = planned("288", "96", panel=None, orientation="horizontal", spacing=ticks(12)).cover.pieces
    assert [inches(p.rect.x1) for p in pieces if p.rect.z0 == 0] == [96, 192, 288]
    assert [inches(p.rect.x1) for p in pieces if p.rect.z0] == [48, 144, 240, 288]


@pytest.mark.parametrize(("length", "last"), [("208", 192), ("207.9999", 176)])
def test_a_last_rip_of_a_bay_stays(length, last):
    """208 - 192 = 16, a bay; a hair less moves the joint back a mark."""
    assert rects(planned(length))[-1][0] == last


def test_a_first_panel_off_the_layout_is_nailed_on_its_own_studs():
    """First stud at 8: panel 0 to 40, studs at 8 and 24 in its field, 0.75 and 40 on its edges. Line 39.25 x 96.375 (3/8 in in).

    Edges 2 x (ceil(39.25 / 6) + ceil(96.375 / 6)) = 2 x (7 + 17) = 48; field 2 x (ceil(96.375 / 12) - 1) = 2 x 8 = 16: 64.
    Panels 40 to 88 and 88 to 136: 2 x (8 + 17) + 2 x 8 = 66.
    """
    assert planned("136", first_stud_offset=ticks(8)).counts == (64, 66, 66)


def test_field_lines_keep_off_an_edge_line_by_an_inch_and_a_half():
    """Panel 0 to 48 of 97.125; edge lines at 0.375 and 47.625; a first stud whose center is 1.875 away from 0 is 1.5 from the edge line.

    The least first center is 2.25: 1.875 from the edge line, over 1.5: it has its field line. Marks 2.25, 18.25, 34.25: panel 0 to 34.25
    has lines at 2.25 and 18.25 (34.25 is its edge): 2 x (ceil(33.5 / 6) + 17) + 2 x 8 = 2 x 23 + 16 = 62. But the end stud 0 to 1.5 and
    the stud 1.5 to 3 touch and are one group with a center 0.75 near the edge line: no line there: 62 - 8 = 54.
    """
    assert planned("130.25", first_stud_offset=ticks("2.25")).counts[0] == 54


def test_the_cover_of_a_sheet_is_never_below_its_wall():
    """Walls over 121.125 in take the longest stock and a further row: 126 = 121.125 + 4.875."""
    sheets = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), None, "vertical", None, None)
    wall = Wall(ticks(96), ticks(126), sheathing=sheets, bearing=False, supports="none")
    panels = plan_wall(Order(wall, Setting("irc-2021", NAIL, sheathing_nail=PANEL_NAIL)), BOOK).panels
    assert {inches(p.rect.z0) for p in panels.cover.pieces} == {0, 121.125}
    low = replace(wall, height=ticks("121.125"))
    one = plan_wall(Order(low, Setting("irc-2021", NAIL, sheathing_nail=PANEL_NAIL)), BOOK).panels
    assert {inches(p.rect.z0) for p in one.cover.pieces} == {0}
