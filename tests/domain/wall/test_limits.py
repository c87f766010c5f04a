"""Both sides of each limit of a wall: at it and a hair past it."""

from dataclasses import replace
from math import ceil

import pytest
from flask.testing import FlaskClient

from service.domain.nails.words import read_designation
from service.domain.site import Site
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Header, Intersection, Opening, Sheathing, Wall
from service.errors import FasteningError
from service.tables.book import open_book
from service.ticks import inches, ticks

BOOK = open_book()
NAIL = read_designation("3 x .131", BOOK)
PANEL_NAIL = read_designation("8d common", BOOK)
PLAIN = Wall(ticks(288), ticks("97.125"))
FREE = replace(PLAIN, bearing=False, supports="none")
STUD_ENDS = "stud-to-plate-end-nail"


def planned(wall, edition="irc-2021", words="3 x .131", **more):
    return plan_wall(Order(wall, Setting(edition, read_designation(words, BOOK), **more)), BOOK)


def line(plan, connection):
    (found,) = [x for x in plan.lines if x.group.connection_id == connection]
    return found


def faults(wall):
    with pytest.raises(FasteningError) as raised:
        planned(wall)
    return [f.code for f in raised.value.faults]


def window(at="96", width="36", sill="36", head="80", nominal="2x8", jacks=1, kings=1, **more):
    return Opening("w1", "window", ticks(at), ticks(width), ticks(sill), ticks(head), Header(2, nominal), jacks, kings, **more)


# IRC Table R602.3(5), 2012 to 2021, from memory (10 ft and 24 in for 2x4 under a roof verified): largest spacing [in]; None not permitted.
WIDEST = {
    ("2x4", "roof_only"): 24,
    ("2x4", "one_story_and_roof"): 16,
    ("2x4", "two_stories_and_roof"): None,
    ("2x4", "one_floor_only"): 24,
    ("2x4", "none"): 24,
    ("2x6", "roof_only"): 24,
    ("2x6", "one_story_and_roof"): 24,
    ("2x6", "two_stories_and_roof"): 16,
    ("2x6", "one_floor_only"): 24,
    ("2x6", "none"): 24,
}


@pytest.mark.parametrize("edition", BOOK.editions)
@pytest.mark.parametrize(("stud", "supports"), WIDEST)
def test_stud_spacing_stops_past_the_stud_table(edition, stud, supports):
    """Spacings of 12, 16 and 24 in and a hair more than 16 and 24, each against the cell."""
    widest = WIDEST[stud, supports] or 0
    for spacing in ("12", "16", "16.0001", "24", "24.0001"):
        wall = replace(PLAIN, stud=stud, supports=supports, bearing=supports != "none", spacing=ticks(spacing))
        requirement = line(planned(wall, edition), STUD_ENDS).requirement
        assert (requirement.nailing is not None) == (float(spacing) <= widest), (spacing, widest)


# The same table, from memory: 10 ft bearing; 14 ft (2x4) and 20 ft (2x6) where the wall bears nothing. Stud = height - 3 x 1.5.
@pytest.mark.parametrize(
    ("stud", "supports", "tallest"),
    [("2x4", "roof_only", 120), ("2x6", "two_stories_and_roof", 120), ("2x4", "none", 168), ("2x6", "none", 240)],
)
def test_stud_height_stops_past_the_stud_table(stud, supports, tallest):
    for over, held in (("0", True), ("0.0001", False)):
        wall = replace(PLAIN, stud=stud, supports=supports, bearing=supports != "none", height=ticks(tallest) + ticks("4.5") + ticks(over))
        assert (line(planned(wall), STUD_ENDS).nail_count is not None) == held


@pytest.mark.parametrize(("height", "status"), [(144, 200), (144.01, 422)])
def test_walls_end_at_twelve_feet(client: FlaskClient, height, status):
    """12 ft is the tallest wall served (service rule)."""
    wall = {"length_in": 96, "height_in": height, "bearing": False}
    answer = client.post("/v1/wall-plans", json={"framing_nail": {"nail_id": "16d-common"}, "wall": wall})
    assert answer.status_code == status, answer.json


# IRC R602.3.2, single top plate: D0 to D2 with braced wall lines 25 ft or more apart take the longer plates: 9, 9, 18 a side, else 6, 6, 12.
# A 24 ft wall of 16 ft stock: one corner, one partition, one butt joint, both sides each.
@pytest.mark.parametrize("edition", ["irc-2021", "irc-2024"])
@pytest.mark.parametrize(
    ("category", "lines_ft", "sides"),
    [
        ("D0", 24.99, (6, 6, 12)),
        ("D0", 25, (9, 9, 18)),
        ("D1", 25, (9, 9, 18)),
        ("D2", 24.99, (6, 6, 12)),
        ("D2", 25, (9, 9, 18)),
        ("D2", None, (9, 9, 18)),
        ("C", 25, (6, 6, 12)),
        ("B", None, (6, 6, 12)),
    ],
)
def test_splice_plates_grow_where_braced_wall_lines_stand_25_ft_apart(edition, category, lines_ft, sides):
    wall = replace(PLAIN, top_plate_count=1, start_corner="two_stud", intersections=(Intersection(ticks(120)),))
    site = Site(seismic_design_category=category, braced_wall_line_spacing_ft=lines_ft)
    plates = planned(wall, edition, site=site).tie_plates
    assert [(p.where, p.nail_count) for p in plates] == list(
        zip(("corner", "intersection", "butt_joint"), (2 * s for s in sides), strict=True)
    )


# IRC 2015 Table R602.3(1) item 13: 12 of 16d box each side in D0 to D2 with lines 25 ft or more apart; else 8 of 16d common do too.
@pytest.mark.parametrize(
    ("category", "lines_ft", "listed"),
    [("D0", 24.99, True), ("D0", 25, False), ("D1", 25, False), ("D2", 24.99, True), ("D2", 25, False), ("C", 25, True)],
)
def test_splices_of_2015_take_one_nail_alone_where_lines_stand_25_ft_apart(category, lines_ft, listed):
    site = Site(seismic_design_category=category, braced_wall_line_spacing_ft=lines_ft)
    splice = line(planned(PLAIN, "irc-2015", "16d common", site=site), "top-plate-splice-face-nail")
    # joints at 192 and 168, 24 apart: two outer sides and one stretch between; 16d common is not thinner and not shorter than
    # 16d box: 12 of it where only that is listed
    assert splice.nail_count == 3 * (8 if listed else 12)
    assert splice.requirement.outcome == ("prescriptive" if listed else "exceeds_listed")


# Bays of 3 in and wider take a block (common practice, no source).
@pytest.mark.parametrize(("length", "bays"), [("84.5", 5), ("85.25", 6), ("85.2499", 5), ("96", 6)])
def test_a_bay_of_three_inches_takes_a_block(length, bays):
    """Studs at 16 to 80 (centers), end stud at L - 1.5: last bay L - 1.5 - 80.75 wide: 3 at L = 85.25. One fire-block row in 144 in."""
    blocks = planned(replace(FREE, length=ticks(length), height=ticks(144))).framing.blocks
    assert len(blocks) == bays
    assert {b.purpose for b in blocks} == {"fire"}


# Take-off notes S17: one ladder block for each whole 24 in of stud.
@pytest.mark.parametrize(("stud", "blocks"), [("47.9999", 1), ("48", 2), ("71.9999", 2), ("72", 3), ("92.625", 3), ("96", 4)])
def test_a_ladder_takes_a_block_for_each_two_feet_of_stud(stud, blocks):
    wall = replace(PLAIN, height=ticks(stud) + ticks("4.5"), intersections=(Intersection(ticks(120), "ladder"),))
    made = planned(wall).framing.blocks
    assert len(made) == blocks
    assert {inches(b.length) for b in made} == {14.5}


# A row of fire blocks for each 10 ft of stud past the first (IRC R302.11, from memory).
@pytest.mark.parametrize(("stud", "rows"), [("119.9999", 0), ("120", 0), ("120.0001", 1), ("139.5", 1)])
def test_fire_blocks_leave_no_stud_bay_higher_than_ten_feet(stud, rows):
    made = planned(replace(FREE, length=ticks(96), height=ticks(stud) + ticks("4.5"))).framing.blocks
    # the six bays of 96 in at 16; every second block stands its own thickness higher, so that both ends take end nails
    heights = [b.z for b in sorted(made, key=lambda b: b.x)]
    assert [inches(b - a) for a, b in zip(heights, heights[1:], strict=False)] == [1.5, -1.5, 1.5, -1.5, 1.5][: 5 * rows]


def test_a_header_clears_the_plates_to_the_hair():
    """97.125 - 3 = 94.125 is the underside of the plates; 2x8 is 7.25: head 86.875 fits, a hair more does not. 2x10 9.25: 84.875. 2x12 11.25: 82.875."""
    for nominal, head in (("2x4", "90.625"), ("2x6", "88.625"), ("2x8", "86.875"), ("2x10", "84.875"), ("2x12", "82.875")):
        fits = planned(replace(PLAIN, openings=(window(head=head, nominal=nominal),)))
        (frame,) = fits.framing.frames
        assert inches(frame.header[0].z + frame.header[0].height) == 94.125
        over = window(head=str(float(head) + 0.0001), nominal=nominal)
        assert faults(replace(PLAIN, openings=(over,))) == ["header_does_not_clear"]


def test_a_header_stands_on_its_jacks_over_the_sill():
    """Head 80: the header's underside; jacks 80 - 1.5 = 78.5; header from 96 - 1.5 to 132 + 1.5; sill top at 36."""
    (frame,) = planned(replace(PLAIN, openings=(window(),))).framing.frames
    assert [inches(h.z) for h in frame.header] == [80, 80]
    assert {inches(j.z + j.height) for j in frame.left_jacks + frame.right_jacks} == {80}
    assert [(inches(h.x), inches(h.right)) for h in frame.header] == [(94.5, 133.5)] * 2
    assert inches(frame.sill.z + frame.sill.height) == 36


def test_the_sill_stands_on_the_bottom_plate_at_least():
    """Two plates of 1.5: 3."""
    assert planned(replace(PLAIN, openings=(window(sill="3"),))).complete
    assert faults(replace(PLAIN, openings=(window(sill="2.9999"),))) == ["sill_too_low"]


def test_the_head_is_a_plate_over_the_sill():
    """A head at the sill height leaves no opening; the sill piece is 1.5: 37.5 is refused over a sill at 36, a hair more is not."""
    assert faults(replace(PLAIN, openings=(window(head="37.5"),))) == ["head_below_sill"]
    assert planned(replace(PLAIN, openings=(window(head="37.5001"),))).complete


def test_the_ends_of_headers_are_judged_by_the_shallowest():
    """3 x 0.120 at a header end: 4 of 3 x 0.131 asked, 4 x 0.131^2 / 0.120^2 = 4.77: 5, and 4 + 1 = 5 fit 3.5 in.

    3 x 0.113 needs 4 x (0.131 / 0.113)^2 = 5.38: 6 is 2 over the row's 4, which only a face deeper than 3.5 in takes: a 2x4 header
    (3.5 in) beside a 2x12 one refuses it, a 2x6 one (5.5 in) beside it does not.
    """
    deep = Opening("w2", "window", ticks(180), ticks(36), ticks(36), ticks(80), Header(2, "2x12"), 1, 1)
    for nominal, count in (("2x4", None), ("2x6", 6)):
        for openings in ((window(nominal=nominal), deep), (deep, window(nominal=nominal))):
            ends = line(planned(replace(PLAIN, openings=openings), words="3 x .113"), "stud-to-header-end-nail")
            assert ends.nail_count == (None if count is None else 4 * count)


# Kings of two openings may be one, or stand side by side, but not overlap.
def test_frames_may_touch_but_not_overlap():
    """First opening 96 to 132: jack to 133.5, king to 135; next king 135 to 136.5, jack to 138: opening at 138; a hair less overlaps."""
    second = window(at="138")
    fits = replace(PLAIN, openings=(window(), replace(second, opening_id="w2")))
    assert len(planned(fits).framing.frames) == 2
    off = replace(second, opening_id="w2", at=ticks("137.9999"))
    assert "members_overlap" in faults(replace(PLAIN, openings=(window(), off)))


# Weight for lifting (from memory): 2x4 1.3 and 2x6 2.0 lb/ft, a 7/16 panel 1.5 psf; 50 lb a person, up (common practice).
@pytest.mark.parametrize(("stud", "lb_per_ft"), [("2x4", 1.3), ("2x6", 2.0)])
def test_a_plain_wall_weighs_its_length_of_lumber(stud, lb_per_ft):
    """24 ft at 16: 19 studs of 92.625 and 3 plates of 288: 1759.875 + 864 = 2623.875 in = 218.65625 ft."""
    load = planned(replace(PLAIN, stud=stud)).load
    feet = (19 * 92.625 + 3 * 288) / 12
    assert feet == 218.65625
    assert load.weight_lb == pytest.approx(feet * lb_per_ft, rel=1e-9)
    assert load.lifter_count == ceil(feet * lb_per_ft / 50)
    assert load.board_ft == pytest.approx(feet * 2 * int(stud[2]) / 12, rel=1e-9)


# Panels in proportion to their thickness: 7/16 1.5 psf, 7/8 twice that.
@pytest.mark.parametrize(("thickness", "psf"), [("0.4375", 1.5), ("0.875", 3.0), ("0.21875", 0.75)])
def test_panels_add_their_area_by_thickness(thickness, psf):
    """24 ft x 97.125 in = 194.25 sq ft; lumber 218.65625 ft x 1.3 = 284.253 lb."""
    sheets = Sheathing("wood_structural_panel", ticks(thickness), ticks(48), ticks("97.125"), "vertical", None, None)
    load = planned(replace(PLAIN, sheathing=sheets), sheathing_nail=PANEL_NAIL).load
    assert load.weight_lb == pytest.approx(218.65625 * 1.3 + 24 * 97.125 / 12 * psf, rel=1e-9)


def test_other_sizes_weigh_by_specific_gravity_at_twelve_percent_moisture():
    """A 2x8 ply is 1.5 x 7.25 / 144 sq ft; SPF 0.42 x 62.4 x 1.12 (common practice) = 29.353 lb/cu ft: 2.2168 lb/ft. Two plies of 39 in.

    One jack more a side makes the plies 42 in: 2 x 3 / 12 ft x 2.2168 = 1.1084 lb, and 2 jacks of 78.5 in at 1.3: 17.0083 lb.
    The kings move, with them nothing else: marks 112 and 128 are over the opening either way, 96 and 132 are its sides.
    """
    ply = 1.5 * 7.25 / 144 * 0.42 * 62.4 * 1.12
    one = planned(replace(PLAIN, openings=(window(),)))
    two = planned(replace(PLAIN, openings=(window(jacks=2),)))
    assert len(one.framing.studs) == len(two.framing.studs)
    assert len(one.framing.frames[0].head_cripples) == len(two.framing.frames[0].head_cripples)
    assert two.load.weight_lb - one.load.weight_lb == pytest.approx(2 * 3 / 12 * ply + 2 * 78.5 / 12 * 1.3, rel=1e-6)


@pytest.mark.parametrize(("length", "people"), [("96", 3), ("48", 2)])
def test_people_lift_fifty_pounds_each_rounded_up(length, people):
    """8 ft at 16: 7 studs of 92.625 and 3 x 96: 78.03 ft x 1.3 = 101.4 lb is over 100: 3 people; 4 ft: 4 studs, 42.875 ft, 55.7 lb: 2."""
    load = planned(replace(PLAIN, length=ticks(length))).load
    assert load.lifter_count == people


# The end stud of a 24 ft wall stands at 287.25; marks to 272. From 3t/2 = 2.25 to the spacing (service rule).
@pytest.mark.parametrize(("offset", "fits"), [("2.25", True), ("2.2499", False), ("16", True), ("16.0001", False)])
def test_the_first_layout_center_keeps_its_range(offset, fits):
    wall = replace(PLAIN, first_stud_offset=ticks(offset))
    assert planned(wall).complete if fits else faults(wall) == ["out_of_range"]


LYING = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), None, "horizontal", None, None)


def ends(plan, connection):
    return sum(x.group.joint_count for x in plan.lines if x.group.connection_id == connection)


# Rows set from the left: a block finds the far side of its left stud taken by the block before it, and that of its right stud free.
@pytest.mark.parametrize(
    ("wall", "through", "slanted"),
    [
        # 96 in at 16: six bays, one row at 48 in
        pytest.param(replace(FREE, length=ticks(96)), 7, 5, id="six bays in line"),
        # 288 in: kings 51 to 52.5 and 93.5 to 95; studs at 48 and 96 stand 2.25 and 0.25 off them, too near for a block or to drive
        # a nail between. Three bays from 0 to 48 and twelve from 96 to 288. In line: 2 + 11 left ends; slanted too: the right end on
        # the stud at 48 and the left end on that at 96. The joint passes neither over the header (from 80) nor under the sill (34.5).
        pytest.param(replace(FREE, openings=(window(at="54", width="38"),)), 2 * 15 - (2 + 11) - 2, 2 + 11 + 2, id="beside a window"),
    ],
)
def test_a_block_is_toe_nailed_where_the_far_side_of_the_stud_is_not_free(wall, through, slanted):
    plan = planned(replace(wall, braced=True, sheathing=LYING), sheathing_nail=PANEL_NAIL)
    assert ends(plan, "block-to-stud-end-nail") == through
    assert ends(plan, "block-to-stud-toe-nail") == slanted


# A row stands where a panel joint is; the free heights it leaves decide on fire rows (120 in, IRC R302.11, from memory).
@pytest.mark.parametrize(
    ("height", "panel", "rows"),
    [
        pytest.param("144", "96", {"joint"}, id="12 ft, 96 in panels: the joint row at 96 leaves 93.75 and 42.75"),
        pytest.param("144", "144", {"fire"}, id="12 ft, panels as high: 139.5 free, one row"),
    ],
)
def test_a_joint_row_makes_a_fire_row_needless(height, panel, rows):
    sheets = replace(LYING, orientation="vertical", panel_length=ticks(panel))
    made = planned(replace(FREE, length=ticks(96), height=ticks(height), sheathing=sheets), sheathing_nail=PANEL_NAIL).framing.blocks
    assert {b.purpose for b in made} == rows
    assert len(made) == 6


def test_panel_joints_over_and_under_an_opening_get_blocks_between_the_cripples():
    """Lying panels, 144 in: joints at 48 and 96. Window 54 to 92, sill 60, head 80, 2x8 to 87.25: the joint at 48 passes under the sill
    (cripples 1.5 to 58.5), that at 96 over the header (cripples 87.25 to 139.5): at both ends, 53.25 and 91.25 over, and on the marks
    64 and 80 there are four cripples, three bays over; under, from 54 to 92: the same three bays.
    """
    wall = replace(FREE, height=ticks(144), braced=True, sheathing=LYING, openings=(window(at="54", width="38", sill="60"),))
    plan = planned(wall, sheathing_nail=PANEL_NAIL)
    over = sorted((inches(b.z), inches(b.x), inches(b.right)) for b in plan.framing.blocks if b.owner == "w1")
    under = [(47.25, 55.5, 63.25), (47.25, 64.75, 79.25), (47.25, 80.75, 90.5)]
    assert over == [*under, (95.25, 54, 63.25), (95.25, 64.75, 79.25), (95.25, 80.75, 92)]
    assert plan.panels is not None and plan.panels.cover.unframed == ()
