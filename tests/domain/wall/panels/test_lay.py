"""Panels and their nails: worked counts, shapes against a second geometry library, and laws over random walls."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.ops import unary_union
from shapely.prepared import prep

from service.domain.joint.counting import nails_in_run
from service.domain.nails.words import read_designation
from service.domain.wall.judging import Setting
from service.domain.wall.lanes import stations
from service.domain.wall.layout import lay_out, layout_marks
from service.domain.wall.panels.joints import blocked_levels, stock_length
from service.domain.wall.panels.lay import Piece, cover
from service.domain.wall.panels.outline import Line, Rect
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Header, Intersection, Opening, Sheathing, Wall
from service.errors import FasteningError
from service.tables.book import open_book
from service.ticks import ceil_div, inches, ticks

BOOK = open_book()
INSET = ticks("0.375")
DOUBLE = Header(2, "2x8", ticks("0.5"))


def sheets(length=None, orientation="vertical", **more):
    return Sheathing(
        "wood_structural_panel", ticks("0.4375"), ticks(48), None if length is None else ticks(length), orientation, None, None, **more
    )


def wall(length, height="97.125", panel=None, orientation="vertical", spacing="16", **more):
    return Wall(ticks(length), ticks(height), spacing=ticks(spacing), sheathing=sheets(panel, orientation), **more)


def made(built):
    framing = lay_out(built, BOOK.editions["irc-2021"], BOOK, blocked_levels(built, BOOK.rules))
    return framing, cover(built, framing, layout_marks(built), BOOK.rules)


def laid(built):
    return made(built)[1]


def counts(built, edge="6", field="12"):
    return [p.nail_count(ticks(edge), ticks(field)) for p in laid(built).pieces]


def sides(piece):
    r = piece.rect
    return tuple(inches(v) for v in (r.x0, r.z0, r.x1, r.z1))


# Fence-post rule, lines 3/8 in from the edges, corners once (DERIVED). 4x8: lines of 95.25 and 47.25; 16 o.c. two field lines, 24 o.c. one.
# 6/12: 2 x (16 + 8) = 48 + 7 a field line; 4: 2 x (24 + 12) = 72; 3: 2 x (32 + 16) = 96; 2: 2 x (48 + 24) = 144; 6/6: 48 + 15 a field line.
UPRIGHT = [
    # edge [in], field [in], nails at 16 o.c., nails at 24 o.c.
    pytest.param("6", "12", 62, 55, id="6/12: 48 + 14, 48 + 7"),
    pytest.param("4", "12", 86, 79, id="4/12: 72 + 14, 72 + 7"),
    pytest.param("3", "12", 110, 103, id="3/12: 96 + 14, 96 + 7"),
    pytest.param("2", "12", 158, 151, id="2/12: 144 + 14, 144 + 7"),
    pytest.param("6", "6", 78, 63, id="6/6: 48 + 30, 48 + 15"),
]


@pytest.mark.parametrize(("edge", "field", "at_16", "at_24"), UPRIGHT)
def test_a_standing_4_by_8_panel(edge, field, at_16, at_24):
    assert counts(wall("144", "96"), edge, field) == [at_16] * 3
    assert counts(wall("144", "96", spacing="24"), edge, field) == [at_24] * 3


@pytest.mark.parametrize(("spacing", "nails"), [("16", 63), ("24", 57)])
def test_a_lying_blocked_4_by_8_panel(spacing, nails):
    """2 x (16 + 8) = 48; field lines of 47.25 take 3 each: 5 at 16 o.c., 3 at 24 o.c. The middle panel of row 0."""
    pieces = laid(wall("288", "96", None, "horizontal", spacing, braced=True)).pieces
    (middle,) = [p for p in pieces if sides(p) == (96, 0, 192, 48)]
    assert middle.nail_count(ticks(6), ticks(12)) == nails


def test_a_plain_24_ft_wall_has_six_panels_of_66():
    """97.125: lines of 96.375 (17 spaces) and 47.25 (8): 50; two field lines ceil(96.375/12) - 1 = 8 each: 66; 6 x 66 = 396."""
    got = counts(wall("288"))
    assert got == [66] * 6 and sum(got) == 396


def test_a_48_in_line_at_8_in_takes_7_nails():
    """6 spaces and 7 nails: common practice, no source. The line of a panel edge is 47.25 and has 6 spaces too."""
    assert nails_in_run(ticks(48), ticks(8)) == 7
    assert len(stations(ticks(48), ticks(8), BOOK.rules)) == 7
    assert ceil_div(Line(0, 0, ticks("47.25"), 0).length, ticks(8)) + 1 == 7


WORKED = wall(
    "288",
    start_corner="three_stud",
    intersections=(Intersection(ticks(120)),),
    openings=(Opening("w1", "window", ticks(54), ticks(38), ticks(36), ticks("82.5"), DOUBLE, 1, 1),),
    braced=True,
)


def test_the_worked_wall_takes_419_panel_nails():
    """Panel 48 to 96: outside 2 x (17 + 8) = 50; window line 38.75 by 47.25, 2 x (7 + 8) = 30; left king and jack 2 + 1 below and above
    it, right ones none (1.375 from the edge line), marks 64 and 80 2 + 1 each: 50 + 30 + 9 = 89. Others 66: 5 x 66 + 89 = 419."""
    assert counts(WORKED) == [66, 89, 66, 66, 66, 66]
    order = Order(WORKED, Setting("irc-2021", read_designation("3 x .131", BOOK), sheathing_nail=read_designation("8d common", BOOK)))
    assert plan_wall(order, BOOK).panels.nail_count == 419


def test_panels_of_96_in_on_an_8_ft_wall_are_short_and_nailed_below_the_seam():
    """97.125 - 96 = 1.125; seam 97.125 - 1.5 = 95.625, line at 95.625 - 0.375 = 95.25, not at 96 - 0.375 = 95.625."""
    got = laid(wall("288", panel="96"))
    assert inches(got.short_by) == 1.125
    assert len(got.pieces) == 6
    for piece in got.pieces:
        assert {inches(e.z0) for e in piece.edges if e.level} == {0.375, 95.25}


def test_a_10_ft_wall_of_96_in_panels_gets_a_further_row_on_blocks():
    """120 - 96 = 24 is over 2.25: rows 0 to 96 and 96 to 120, blocks 95.25 to 96.75."""
    framing, got = made(wall("96", "120", "96"))
    assert [sides(p) for p in got.pieces] == [(0, 0, 48, 96), (48, 0, 96, 96), (0, 96, 48, 120), (48, 96, 96, 120)]
    assert got.short_by == 0 and got.unblocked_levels == ()
    # 96 in long: studs at 16 to 80 and the ends, 6 bays, all of 3 in and more
    assert {(inches(b.z), inches(b.z + b.height)) for b in framing.blocks} == {(95.25, 96.75)}
    assert len(framing.blocks) == 6


@pytest.mark.parametrize(("height", "rows"), [("98.25", 1), ("98.2501", 2)])
def test_short_by_two_and_a_quarter_needs_no_further_row(height, rows):
    """96 + 2.25 = 98.25."""
    assert len({p.rect.z0 for p in laid(wall("96", height, "96")).pieces}) == rows


@pytest.mark.parametrize(
    ("height", "panel"), [("96", 96), ("97.125", 97.125), ("97.2", 108), ("109", 109.125), ("120", 120), ("121.125", 121.125)]
)
def test_a_panel_length_left_out_is_the_smallest_that_covers(height, panel):
    """Panel lengths 8, 9 and 10 ft, and 1-1/8 longer: common practice, no source. The cut is the wall."""
    got = laid(wall("96", height))
    assert got.short_by == 0 and {inches(p.rect.z1) for p in got.pieces} == {float(height)}
    assert stock_length(wall("96", height), BOOK.rules) == ticks(panel)


def test_a_last_rip_narrower_than_a_bay_moves_the_joint_back():
    """200 - 192 = 8 is under 16: joint 192 moves to 176; 208 - 192 = 16 is not."""
    assert [inches(p.rect.x1) for p in laid(wall("200")).pieces] == [48, 96, 144, 176, 200]
    assert [inches(p.rect.x1) for p in laid(wall("208")).pieces] == [48, 96, 144, 192, 208]


def test_odd_rows_of_lying_panels_start_with_half_a_panel():
    """96 in panels: row 0 at 96, 192; row 1 at 48, 144, 240."""
    pieces = laid(wall("288", "96", None, "horizontal")).pieces
    assert [inches(p.rect.x1) for p in pieces if p.rect.z0 == 0] == [96, 192, 288]
    assert [inches(p.rect.x1) for p in pieces if p.rect.z0] == [48, 144, 240, 288]


def test_an_unblocked_joint_has_one_nail_a_member():
    """Row 0, 96 to 192: bottom 95.25 in 16 spaces and two sides of 47.25 in 8: 33 nails; 5 field lines of 3; one at the joint on each: 53."""
    framing, got = made(wall("288", "96", None, "horizontal"))
    (middle,) = [p for p in got.pieces if sides(p) == (96, 0, 192, 48)]
    assert [inches(z) for z in got.unblocked_levels] == [48] and framing.blocks == ()
    assert sorted((inches(x), inches(z)) for x, z in middle.crossings) == [(x, 47.625) for x in (112, 128, 144, 160, 176)]
    assert middle.nail_count(ticks(6), ticks(12)) == 53
    assert len(middle.spots(ticks(6), ticks(12))) == 53


def test_an_unblocked_joint_has_no_nail_over_a_member_that_ends_below_it():
    """Window 48 to 148, 54 to 74.25, 3 jacks each side: the sill cripple 146.5 to 148 and the jacks 148 to 152.5 end below the joint at 96;
    there stand the end cripple 151 to 152.5, which takes the group's line as it is nearer to it than the king, and the marks to 240."""
    hole = Opening("o", "window", ticks(48), ticks(100), ticks(54), ticks("74.25"), DOUBLE, 3, 1)
    pieces = laid(wall("288", "121.125", None, "horizontal", openings=(hole,))).pieces
    (right,) = [p for p in pieces if sides(p) == (144, 48, 240, 96)]
    assert sorted(inches(x) for x, z in right.crossings if inches(z) == 95.625) == [151.75, 160, 176, 192, 208, 224]


def test_a_door_cuts_the_bottom_of_its_panels():
    """Opening 40 to 152, 0 to 80: panels 48 to 96 and 96 to 144 keep 97.125 - 80 = 17.125 over the door."""
    big = Opening("d", "door", ticks(40), ticks(112), None, ticks(80), DOUBLE, 1, 1)
    pieces = laid(wall("192", openings=(big,))).pieces
    assert [p.area for p in pieces[1:3]] == [ticks(48) * ticks("17.125")] * 2
    lying = laid(wall("192", "97.125", None, "horizontal", openings=(replace(big, at=ticks(20), width=ticks(150)),))).pieces
    # row 0, 0 to 48 high: 0 to 96 keeps 0 to 20, 96 to 192 keeps 170 to 192; row 1 starts 0 to 48
    assert [sides(p)[:2] for p in lying] == [(0, 0), (96, 0), (0, 48), (48, 48), (144, 48)]


def test_a_panel_wholly_in_an_opening_is_none():
    """Row 0 is 0 to 48 high, joints at 96 and 192: opening 90 to 198 takes the panel 96 to 192 whole. 288 in: 3 + 4 - 1 = 6."""
    big = Opening("d", "door", ticks(90), ticks(108), None, ticks(80), DOUBLE, 1, 1)
    pieces = laid(wall("288", "97.125", None, "horizontal", openings=(big,))).pieces
    assert len(pieces) == 6 and (96, 0, 192, 48) not in [sides(p) for p in pieces]


def test_a_joint_at_an_opening_corner_is_named():
    """Opening 47 to 87: joint 48 is 1 in from its side; 96 and 144 stand on studs. a head cripple 47.25 to 48.75
    clears the end cripple 45.5 to 47, so the joint has a member."""
    hole = Opening("w", "window", ticks(47), ticks(40), ticks(36), ticks(80), DOUBLE, 1, 1)
    got = laid(wall("192", openings=(hole,)))
    assert [inches(x) for x in got.joints_at_corner] == [48]
    assert got.joints_off_stud == ()


@pytest.mark.parametrize(
    ("head", "off"),
    [
        # header 82.5 to 93.75 (11.25 deep), plates from 94.125: 3/8 in bare at the joints 48, 96, 144 over the door
        pytest.param("82.5", [], id="a header up to the plates is behind the joints"),
        # header 72 to 83.25: cripples on the marks 48, 64 ... stand behind the joints
        pytest.param("72", [], id="cripples on the marks"),
    ],
)
def test_a_panel_joint_over_a_header_has_wood_behind_it(head, off):
    door = Opening("g", "door", ticks(42), ticks(108), None, ticks(head), Header(2, "2x12"), 2, 1)
    assert [inches(x) for x in laid(wall("192", openings=(door,))).joints_off_stud] == off


def test_a_panel_joint_over_a_low_header_between_cripples_is_off_stud():
    """At 24 in the marks are 24, 48 ...: shifted 8 in they are 8, 32, 56; the joints stay at -16 + 48 k: 32, 80, 128; 40 in panels: 24, 64."""
    door = Opening("g", "door", ticks(42), ticks(108), None, ticks(60), Header(2, "2x12"), 2, 1)
    built = wall("192", spacing="16", openings=(door,))
    narrow = replace(built, sheathing=replace(built.sheathing, panel_width=ticks(40)))
    # joints at 40, 80, 120, 160: 40 under the jacks' side (39 to 42: jacks centered at 39.75 and 41.25), 80 a mark, 120 between 112 and
    # 128 with 71.25 to 94.125 bare, 160 a mark
    assert [inches(x) for x in laid(narrow).joints_off_stud] == [120]


def by_an_opening(jacks, sill=None, **more):
    """The quoted place: an opening 38 wide whose left side stands at the joint and mark 48; its header from 1.5 a jack before it."""
    hole = Opening("o", "window" if sill else "door", ticks(48), ticks(38), sill and ticks(sill), ticks("82.5"), DOUBLE, jacks, 1)
    return wall("288", openings=(hole,), braced=True, **more)


@pytest.mark.parametrize(
    ("jacks", "cripples"),
    [
        # header 45 to 89; end cripples 45 and 87.5; the joint's own 48 - 0.75 = 47.25 clears 46.5; marks 64 and 80
        pytest.param(2, [45, 47.25, 63.25, 79.25, 87.5], id="a cripple under the joint"),
        # header 46.5 to 87.5; 47.25 would overlap the end cripple 46.5 to 48, whose middle is 3/4 in off the joint: tight beside it
        pytest.param(1, [46.5, 48, 63.25, 79.25, 86], id="a cripple tight beside the end one"),
    ],
)
@pytest.mark.parametrize("sill", [None, "36"])
def test_a_joint_at_the_side_of_an_opening_has_wood_on_the_header(jacks, cripples, sill):
    """Common practice, no source: a stud or cripple behind each upright panel joint. Under a sill the joint stands where jack and cripple touch."""
    framing, got = made(by_an_opening(jacks, sill))
    assert [inches(m.x) for m in framing.frames[0].head_cripples] == cripples
    assert [inches(m.x) for m in framing.frames[0].sill_cripples] == ([48, 63.25, 79.25, 84.5] if sill else [])
    assert got.joints_off_stud == ()


def test_a_mark_beside_an_opening_that_no_joint_stands_on_has_no_cripple():
    """The same opening at 64, a mark between the joints 48 and 96: header 61 to 105, marks 80 and 96 over it."""
    built = by_an_opening(2)
    moved = replace(built, openings=(replace(built.openings[0], at=ticks(64)),))
    assert [inches(m.x) for m in made(moved)[0].frames[0].head_cripples] == [61, 79.25, 95.25, 103.5]


def test_sticks_that_carry_a_joint_together_are_nailed_together():
    """Window, one jack, braced, 16d common at 16 (IRC 2021 item 9), two king-and-jack runs; at the joint 48 the head cripples 46.5 and 48,
    4.375 long, and the jack with the sill cripple 48, 36 - 1.5 - 1.5 = 33 long. A window at 64 has the two runs alone."""
    setting = Setting("irc-2021", read_designation("16d common", BOOK))

    def runs(built):
        (line,) = [x for x in plan_wall(Order(built, setting), BOOK).lines if x.group.connection_id == "stud-to-stud-face-nail"]
        return sorted(inches(r) for r in line.group.run_lengths)

    built = by_an_opening(1, "36")
    assert runs(built) == [4.375, 33, 81, 81]
    assert runs(replace(built, openings=(replace(built.openings[0], at=ticks(64)),))) == [81, 81]


@pytest.mark.parametrize(
    ("length", "opening"),
    [
        # 10 ft: the joint at 48 stands in the upper course only, 48 to 96: open to 82.5, then a 4x6 to 88 and a cripple on the mark 48
        pytest.param(
            "120", Opening("o", "window", ticks(12), ticks(38), ticks(12), ticks("82.5"), Header(1, "4x6"), 1, 1), id="upper course"
        ),
        # the joint at 96 stands in the lower course, wholly in the door
        pytest.param("144", Opening("o", "door", ticks("76.5"), ticks(20), None, ticks(80), DOUBLE, 1, 1), id="lower course"),
    ],
)
def test_a_joint_of_lying_panels_is_judged_over_its_own_course(length, opening):
    assert laid(wall(length, "96", None, "horizontal", openings=(opening,))).joints_off_stud == ()


@settings(max_examples=150, deadline=None)
@given(st.integers(6, 24), st.integers(2, 200), st.integers(20, 60), st.integers(0, 50), st.sampled_from(["vertical", "horizontal"]))
def test_the_joints_off_stud_are_those_with_bare_wood_behind_them(feet, at, width, sill, orientation):
    """Against a geometry library: what is left of each joint line between two pieces, less all wood within 3/8 in, the openings, the plates.

    Nor is it bare where wood is solid from 3/8 in before it to 3/8 in after it, as on two sticks that touch.
    """
    length = 12 * feet
    assume(10 < at and at + width < length - 10)
    hole = Opening("o", "window", ticks(at), ticks(width), ticks(sill) or None, ticks(80), DOUBLE, 1, 1)
    try:
        framing, got = made(wall(str(length), "96", None, orientation, openings=(hole,)))
    except FasteningError:
        assume(False)
    reach, plates = inches(BOOK.rules.joint_on_member), 93
    standing = [box(inches(m.center) - reach, inches(m.z), inches(m.center) + reach, inches(m.z + m.height)) for m in framing.uprights]
    level = [m for f in framing.frames for m in (*f.header, *f.flats, *([f.sill] if f.sill else ()))] + list(framing.blocks)
    hair = 1e-6  # a joint at the very end of a level piece has it behind one panel only
    lying = [box(inches(m.x) + hair, inches(m.z), inches(m.right) - hair, inches(m.z + m.height)) for m in level]
    wood = unary_union([*standing, *lying, box(at, sill, at + width, 80), box(0, 0, length, 1.5), box(0, plates, length, 96)])
    solid = unary_union([box(inches(m.x), inches(m.z), inches(m.right), inches(m.z + m.height)) for m in (*framing.uprights, *level)])
    bare = set()
    for z0, z1 in {sides(p)[1::2] for p in got.pieces}:
        course = sorted(sides(p) for p in got.pieces if sides(p)[1] == z0)
        for x in {s[2] for s in course if s[2] < length} | {s[0] for s in course if s[0] > 0}:
            missing = box(x - reach, z0, x + reach, z1).difference(solid)
            holed = [box(x - 1, part.bounds[1], x + 1, part.bounds[3]) for part in getattr(missing, "geoms", [missing]) if part.area]
            left = LineString([(x, z0), (x, z1)]).difference(wood).intersection(unary_union(holed))
            if any(part.length >= 1.5 for part in getattr(left, "geoms", [left])):
                bare.add(x)
    assert {inches(x) for x in got.joints_off_stud} == bare


def test_the_row_of_panel_nails_into_a_treated_plate_is_galvanized_on_its_own_line():
    """96 in on concrete: two panels of 66; each has 47.25 / 6 = 8 spaces, 9 nails along the bottom plate, corners included."""
    setting = Setting("irc-2021", read_designation("3 x .131", BOOK), sheathing_nail=read_designation("8d common", BOOK))
    panels = plan_wall(Order(wall("96", bottom_plate_on="concrete"), setting), BOOK).panels
    assert [(p.nail.coating, p.nail_count) for p in panels.parts] == [("bright", 132 - 18), ("hot_dip_galvanized", 18)]
    assert panels.nail_count == 132
    coated = replace(setting, sheathing_nail=read_designation("8d common hdg", BOOK))
    assert len(plan_wall(Order(wall("96", bottom_plate_on="concrete"), coated), BOOK).panels.parts) == 1
    assert len(plan_wall(Order(wall("96"), setting), BOOK).panels.parts) == 1


EIGHTH = ticks("0.125")
DETAILS = st.tuples(
    st.integers(0, 400), st.integers(12 * 8, 110 * 8), st.booleans(), st.integers(3 * 8, 60 * 8), st.integers(62 * 8, 82 * 8)
)


@st.composite
def walls(draw, height=("96", "97.125", "109.125", "121.125", "100"), panel=(None,)):
    x, openings = ticks("1.5"), []
    for k, (space, width, is_door, sill, head) in enumerate(draw(st.lists(DETAILS, max_size=3))):
        at = x + space * EIGHTH + ticks(3)
        kind = "door" if is_door else "window"
        openings.append(Opening(f"o{k}", kind, at, width * EIGHTH, None if is_door else sill * EIGHTH, head * EIGHTH, DOUBLE, 1, 1))
        x = at + width * EIGHTH + ticks(3)
    built = wall("96", draw(st.sampled_from(height)), draw(st.sampled_from(panel)), draw(st.sampled_from(["vertical", "horizontal"])))
    return replace(
        built,
        length=max(x + draw(st.integers(0, 400)) * EIGHTH + ticks("1.5"), ticks(48)),
        spacing=ticks(draw(st.sampled_from(["12", "16", "19.2", "24"]))),
        openings=tuple(openings),
        braced=draw(st.booleans()),
    )


def shape(rect):
    return box(rect.x0, rect.z0, rect.x1, rect.z1)


def outline(piece):
    return shape(piece.rect).difference(unary_union([shape(c) for c in piece.cut_outs]))


def nail_polygon(piece):
    """Close the runs into loops and take them even-odd: holes come out of the loop around them."""
    loops, loop = [], []
    for run in piece.edges:
        loop.append((run.x0, run.z0))
        if (run.x1, run.z1) == loop[0]:
            loops.append(loop)
            loop = []
    assert loop == [], "an open line"
    total = Polygon()
    for corners in loops:
        total = total.symmetric_difference(Polygon(corners))
    return total


def moved_top(piece, built):
    """Lines within 3/8 in of the seam of the two plates go 3/8 below it: the same as a panel cut at the seam."""
    seam = built.height - ticks("1.5")
    if abs(piece.rect.z1 - INSET - seam) > INSET:
        return outline(piece)
    return outline(piece).intersection(box(piece.rect.x0, piece.rect.z0, piece.rect.x1, seam))


LAID = walls(panel=(None, "96", "97.125"))


@settings(max_examples=100, deadline=None)
@given(LAID)
def test_a_piece_has_the_area_of_its_outline(built):
    for piece in laid(built).pieces:
        assert outline(piece).area == pytest.approx(piece.area, rel=1e-12)
        assert piece.area > 0


@settings(max_examples=100, deadline=None)
@given(LAID)
def test_the_edge_line_is_the_outline_moved_in(built):
    got = laid(built)
    for piece in got.pieces:
        if {piece.rect.z0, piece.rect.z1} & set(got.unblocked_levels) or {piece.rect.x0, piece.rect.x1} & set(got.joints_off_stud):
            continue
        wanted = moved_top(piece, built).buffer(-INSET, join_style="mitre")
        found = nail_polygon(piece)
        # a sliver of one tick along the longest outline is far under a thousandth of a square inch
        assert wanted.symmetric_difference(found).area < ticks(1) ** 2 / 1000, sides(piece)
        assert sum(e.length for e in piece.edges) == pytest.approx(wanted.length, abs=10), sides(piece)


@settings(max_examples=60, deadline=None)
@given(LAID, st.integers(16, 96), st.integers(16, 192))
def test_every_nail_is_in_its_piece_and_clear_of_its_edges(built, edge, field):
    for piece in laid(built).pieces:
        body = outline(piece)
        rim = body.boundary
        spots = piece.spots(edge * EIGHTH, field * EIGHTH)
        assert len(spots) == piece.nail_count(edge * EIGHTH, field * EIGHTH)
        for x, z in spots:
            at = Point(x, z)
            assert body.contains(at) and rim.distance(at) >= INSET - 1, (sides(piece), inches(x), inches(z))


@settings(max_examples=150, deadline=None)
@given(LAID, st.integers(1, 3), st.sampled_from(["2", "6"]), st.sampled_from(["48", "40"]))
def test_every_nail_has_wood_behind_it(built, jacks, edge, panel_width):
    """Against a geometry library: the outlines of all sticks, their sides included, and the gaps that a note tells to fill."""
    wider = [
        replace(o, at=o.at + ticks(3) * (jacks - 1) * k + ticks("1.5") * (jacks - 1), jack_count=jacks)
        for k, o in enumerate(built.openings)
    ]
    built = replace(built, openings=tuple(wider), length=built.length + ticks(3) * (jacks - 1) * len(wider))
    built = replace(built, sheathing=replace(built.sheathing, panel_width=ticks(panel_width)))
    framing, got = made(built)
    plate, thick = ticks("1.5") + built.stud_length, ticks("1.5")
    over = [box(f.header[0].x, f.head_top, f.header[0].right, plate) for f in framing.frames if plate - f.head_top < thick]
    under = [box(f.sill.x, thick, f.sill.right, f.sill.z) for f in framing.frames if f.sill and f.sill.z - thick < thick]
    wood = prep(unary_union([*over, *under, *(box(m.x, m.z, m.right, m.z + m.height) for m in framing.members)]))
    for piece in got.pieces:
        for x, z in piece.spots(ticks(edge), ticks(12)):
            assert wood.covers(Point(x, z)), (sides(piece), inches(x), inches(z))


def test_a_joint_between_studs_has_nails_where_a_plate_is_behind_it():
    """Studs at 19.2, joint 48: behind the right side of the first panel are the bottom plate, 0 to 1.5, and the plates, 94.125 to 97.125.

    Its line runs from 0.375 to 96.75. On the bottom plate 0.375 to 1.5 - 0.375 is under 1.5 long: the corner. On the plates 94.125 + 0.375
    to 96.75 is 2.25 long: ceil(2.25 / 6) + 1 = 2. A whole panel has 2 x (17 + 8) = 50 and two field lines of ceil(96.375 / 12) - 1 = 8;
    its right side loses the 16 between its corners and gains the one at 94.5: 66 - 16 + 1 = 51.
    """
    got = laid(wall("96", spacing="19.2"))
    assert [inches(x) for x in got.joints_off_stud] == [48]
    first = got.pieces[0]
    assert first.nail_count(ticks(6), ticks(12)) == 51
    assert sorted(inches(z) for x, z in first.spots(ticks(6), ticks(12)) if inches(x) == 47.625) == [0.375, 94.5, 96.75]


@settings(max_examples=100, deadline=None)
@given(walls())
def test_panels_and_openings_make_up_the_sheathed_area(built):
    got = laid(built)
    top = built.height - got.short_by
    open_area = sum(o.width * (min(o.head_height, top) - (o.sill_height or 0)) for o in built.openings)
    assert sum(p.area for p in got.pieces) + open_area == built.length * top


@settings(max_examples=60, deadline=None)
@given(LAID, st.integers(16, 96), st.integers(16, 96), st.integers(0, 40), st.integers(0, 40))
def test_closer_spacing_never_takes_fewer_nails(built, edge, field, less_edge, less_field):
    for piece in laid(built).pieces:
        wide = piece.nail_count((edge + less_edge) * EIGHTH, (field + less_field) * EIGHTH)
        assert piece.nail_count(edge * EIGHTH, field * EIGHTH) >= wide


def is_wide(piece):
    """Whether no part of the outline is narrower than 6 in: it survives moving in by 3 in and out again."""
    body, half = outline(piece), ticks("2.999")
    return body.symmetric_difference(body.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")).area < ticks(1) ** 2 / 100


@settings(max_examples=60, deadline=None)
@given(LAID, st.sampled_from(["2", "3", "4", "6"]), st.sampled_from(["6", "12"]))
def test_no_two_nails_of_a_panel_stand_within_a_quarter_inch(built, edge, field):
    """Left out: a side of the outline under 1/4 in, an opening's side beside a joint, whose two corners have a nail each by the rule."""
    near = ticks("0.25")
    for piece in laid(built).pieces:
        if not is_wide(piece) or min((run.length for run in piece.edges), default=0) < near:
            continue
        spots = sorted(piece.spots(ticks(edge), ticks(field)))
        for i, (x, z) in enumerate(spots):
            for a, b in spots[i + 1 :]:
                if a - x >= near:
                    break
                assert (a - x) ** 2 + (b - z) ** 2 >= near**2, (sides(piece), inches(x), inches(z), inches(a), inches(b))


@settings(max_examples=60, deadline=None)
@given(LAID, st.sampled_from(["2", "4", "6"]), st.sampled_from(["6", "12"]))
def test_nails_of_an_edge_line_are_no_farther_apart_than_asked(built, edge, field):
    """Every run of the edge line is spanned in spaces no wider than the spacing, one tick of rounding aside.

    A nail of a bay under 3 in moves onto a stud beside it: the bay, 3/8 in at either side and two steps of 1/4 in past other nails
    at most.
    """
    got = laid(built)
    for piece in got.pieces:
        spots = replace(piece, bare=()).spots(ticks(edge), ticks(field))
        moved = piece.spots(ticks(edge), ticks(field))
        assert all(abs(a - x) <= ticks("4.25") and b == z for (a, b), (x, z) in zip(moved, spots, strict=True))
        for run in piece.edges:
            line = LineString([(run.x0, run.z0), (run.x1, run.z1)])
            along = sorted(line.project(Point(s)) for s in spots if line.distance(Point(s)) <= 1)
            assert along[0] <= 1 and along[-1] >= run.length - 1
            assert all(b - a <= ticks(edge) + 1 for a, b in zip(along, along[1:], strict=False))


@settings(max_examples=60, deadline=None)
@given(
    st.integers(2, 8),
    st.sampled_from(["16", "24"]),
    st.integers(0, 10**6),
    st.integers(12 * 8, 80 * 8),
    st.sampled_from(["none", "three_stud"]),
)
def test_a_mirrored_wall_has_mirrored_panels(panels, spacing, where, width, corner):
    """A length of whole panels, so joints and marks mirror onto themselves."""
    length, wide = ticks(48 * panels), min(width, (48 * panels - 14) * 8) * EIGHTH
    room = (length - wide - ticks(12)) // EIGHTH
    at = ticks(6) + where % (room + 1) * EIGHTH
    plain = replace(wall("96", spacing=spacing, start_corner=corner, end_corner=corner), length=length)

    def one(left):
        return replace(plain, openings=(Opening("w", "window", left, wide, ticks(30), ticks(80), DOUBLE, 1, 1),))

    assert counts(one(at)) == counts(one(length - at - wide))[::-1]


def test_over_an_opening_a_group_has_no_line_on_a_member_that_stands_only_below():
    """Window 15.125 to 53.125: the sill's end cripple, center 15.875, touches jack and king; over the head only king and end cripple
    stand there, and mark 16 has its own cripple 15.25 to 16.75. So over the head no line at 15.875, 1/8 in beside the one at 16."""
    hole = Opening("w", "window", ticks("15.125"), ticks(38), ticks(36), ticks(80), DOUBLE, 1, 1)
    lines = [inches(f.x) for p in laid(wall("96", openings=(hole,))).pieces for f in p.field if f.z0 > ticks(60)]
    assert 16 in lines and 15.875 not in lines


def test_area_takes_cut_outs_off():
    """48 x 96 = 4608 less 10 x 20 = 200: 4408 square inches."""
    piece = Piece(Rect(0, 0, ticks(48), ticks(96)), (Rect(0, 0, ticks(10), ticks(20)),), [], (), (), (), [])
    assert piece.area == 4408 * ticks(1) ** 2


@pytest.mark.parametrize(("height", "rows", "short"), [("48", 1, "0"), ("50", 1, "2"), ("50.25", 1, "2.25"), ("50.375", 2, "0")])
def test_a_lying_panel_is_never_cut_higher_than_its_sheet(height, rows, short):
    """A 48 in sheet covers 48; up to 2-1/4 in short of a double plate there is no further row, past it there is one."""
    found = laid(wall("96", height, orientation="horizontal"))
    assert all(p.rect.z1 - p.rect.z0 <= ticks(48) for p in found.pieces)
    assert (len({p.rect.z0 for p in found.pieces}), found.short_by) == (rows, ticks(short))


def test_an_edge_nail_in_a_bay_too_narrow_for_a_block_moves_onto_the_nearer_stud():
    """99 in: stud at 96 (95.25 to 96.75), end stud from 97.5: 0.75 in take no block. Panel 80 to 99, its line 80.375 to 98.625 at 2 in:
    10 spaces of 1.825, the ninth at 96.8; 3/8 in inside the stud is 96.375, inside the end stud 97.875. The joint is at 48 in.
    """
    (below,) = [p for p in laid(wall("99", "97.125", None, "horizontal", braced=True)).pieces if sides(p)[:2] == (80, 0)]
    spots = [(inches(x), inches(z)) for x, z in below.spots(ticks(2), ticks(12))]
    assert len(spots) == below.nail_count(ticks(2), ticks(12))
    assert [x for x, z in spots if z == 47.625 and 96 < x < 98] == [96.375]
    assert [x for x, z in spots if z == 0.375 and 96 < x < 98] == [96.8]
