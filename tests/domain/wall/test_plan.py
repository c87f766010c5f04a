"""A whole plain wall: the worked numbers, and laws that need no reference."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from service.domain.joint.counting import nails_for, nails_in_run
from service.domain.joint.requirement import Question, judge
from service.domain.nails.words import read_designation
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, locate, plan_wall
from service.domain.wall.wall import Intersection, Wall
from service.tables.book import open_book
from service.tables.schedule import Grouped
from service.ticks import PER_IN, inches, ticks

BOOK = open_book()
NAIL = read_designation("3 x .131", BOOK)


def plan(wall, words="3 x .131", edition="irc-2021", **more):
    return plan_wall(Order(wall, Setting(edition, read_designation(words, BOOK), **more)), BOOK)


WORKED = Wall(
    length=ticks(288),
    height=ticks("97.125"),
    start_corner="three_stud",
    intersections=(Intersection(ticks(120)),),
    braced=True,
)
# IRC 2021 Table R602.3(1) for 3 x 0.131: stud to plate 3; studs in braced panels 12 in; top plates 12 in; splice 12 a side; lap 3;
# bottom plate in braced panels 4 each 16 in. The 24 ft wall of the worked example without its window:
# 2 end, 17 layout (16 to 272), 2 backing, 1 corner = 22 studs.
LINES = [
    # connection, joints, runs [in], nails
    pytest.param("stud-to-plate-end-nail", 44, [], 132, id="22 studs x 2 ends x 3"),
    pytest.param("stud-to-stud-face-nail", 0, [92.625] * 4, 36, id="4 runs x (ceil(92.625/12) + 1 = 9)"),
    pytest.param("top-plate-to-top-plate-face-nail", 0, [168, 120], 26, id="(14 + 1) + (10 + 1)"),
    pytest.param("top-plate-splice-face-nail", 3, [], 36, id="2 outer sides and the 24 in between two joints x 12"),
    pytest.param("top-plate-lap-face-nail", 2, [], 6, id="corner and partition x 3"),
    pytest.param("bottom-plate-to-floor-face-nail", 0, [192, 96], 72, id="(12 + 6) groups x 4"),
]


@pytest.mark.parametrize(("connection", "joints", "runs", "nails"), LINES)
def test_the_worked_wall_without_its_window(connection, joints, runs, nails):
    (line,) = [x for x in plan(WORKED).lines if x.group.connection_id == connection]
    assert line.group.joint_count == joints
    assert [inches(r) for r in line.group.run_lengths] == runs
    assert line.nail_count == nails


def test_the_worked_wall_adds_up():
    """132 + 36 + 26 + 36 + 6 + 72 = 308; (22 x 92.625 + 3 x 288) / 12 = 241.8125 ft; x 2/3 = 161.208 board ft; x 1.3 lb = 314.36 lb."""
    whole = plan(WORKED)
    assert len(whole.framing.studs) == 22
    assert whole.framing_nail_count == 308
    assert inches(whole.load.lumber_length) / 12 == 241.8125
    assert whole.load.board_ft == pytest.approx(161.2083, abs=0.0001)
    assert whole.load.weight_lb == pytest.approx(314.356, abs=0.001)
    assert whole.load.lifter_count == 7
    assert whole.complete


# A run of length R at spacing s takes ceil(R/s) + 1 nails (service rule); edge cases ours.
@pytest.mark.parametrize(
    ("run", "spacing", "nails"),
    [
        ("92.625", "12", 9),
        ("168", "12", 15),
        ("120", "12", 11),
        ("48", "8", 7),
        ("0", "12", 0),
        ("12", "12", 2),
        ("12.0001", "12", 3),
        ("1", "24", 2),
    ],
)
def test_a_run_has_a_nail_at_each_end_and_none_farther_apart(run, spacing, nails):
    assert nails_in_run(ticks(run), ticks(spacing)) == nails


def test_groups_are_counted_by_their_length():
    """192/16 = 12 and 96/16 = 6 groups of 4; 100/16 = 6.25, seven groups."""
    four = Grouped(4, ticks(16))
    assert nails_for(four, (ticks(192), ticks(96))) == 72
    assert nails_for(four, (ticks(100),)) == 28


def test_one_top_plate_has_no_plate_to_plate_nails_and_steel_splices():
    """IRC R602.3.2, 2021: joint at 192 in a 24 ft wall takes one plate with 12 nails each side; 6 a side at the corner and the partition."""
    single = plan(replace(WORKED, top_plate_count=1))
    assert not [x for x in single.lines if x.group.connection_id.startswith("top-plate")]
    assert {s.where: s.nail_count for s in single.tie_plates} == {"corner": 12, "intersection": 12, "butt_joint": 24}
    assert {nail.nail_id: count for nail, count in single.nail_totals}["8d-box"] == 48
    assert single.framing_nail_count == sum(count for _, count in single.nail_totals)


def test_a_plate_on_concrete_takes_galvanized_nails_on_their_own_line_and_no_floor_nails():
    lines = plan(replace(WORKED, bottom_plate_on="concrete")).lines
    ends = [(x.nail.coating, x.nail_count) for x in lines if x.group.connection_id == "stud-to-plate-end-nail"]
    assert sorted(ends) == [("bright", 66), ("hot_dip_galvanized", 66)]
    assert not [x for x in lines if x.group.connection_id == "bottom-plate-to-floor-face-nail"]


CORNERS = st.sampled_from(["none", "two_stud", "three_stud", "four_stud"])
PLAIN = st.builds(
    Wall,
    length=st.integers(48, 480).map(ticks),
    height=st.sampled_from(["96", "97.125", "109.125", "121.125"]).map(ticks),
    stud=st.sampled_from(["2x4", "2x6"]),
    spacing=st.sampled_from(["12", "16", "19.2", "24"]).map(ticks),
    top_plate_count=st.sampled_from([1, 2]),
    start_corner=CORNERS,
    end_corner=CORNERS,
    bottom_plate_on=st.sampled_from(["wood_floor", "concrete"]),
    braced=st.booleans(),
    stud_to_plate_method=st.sampled_from(["end_nail", "toe_nail", "toe_nail_bottom"]),
)
BACKED = st.builds(
    lambda wall, backing: replace(wall, length=wall.length + ticks(60), intersections=(Intersection(ticks(56), backing),)),
    PLAIN,
    st.sampled_from(["two_stud", "ladder", "none"]),
)
TALL = PLAIN.map(lambda wall: replace(wall, height=ticks(144), bearing=False, supports="none"))
WALLS = PLAIN | BACKED | TALL
NAILS = st.sampled_from(["3 x .131", "16d common", "16d box", "10d box", "3-1/4 x .131"])


@settings(deadline=None)
@given(PLAIN | TALL, NAILS, st.integers(1, 6))
def test_a_longer_wall_never_takes_fewer_framing_nails(wall, words, more):
    longer = replace(wall, length=wall.length + more * wall.spacing)
    assert plan(longer, words).framing_nail_count >= plan(wall, words).framing_nail_count


def bayless(wall):
    """A ladder needs a bay that the random spacing may not leave at 56 in."""
    return any(c.backing == "ladder" for c in wall.intersections) and any(
        abs(56 * PER_IN - m) <= ticks("0.75") for m in range(wall.spacing, wall.length, wall.spacing)
    )


@settings(deadline=None)
@given(WALLS.filter(lambda w: not bayless(w)), NAILS)
def test_there_is_a_position_for_every_nail_and_no_more(wall, words):
    whole = plan(wall, words)
    spots = Counter(id(line) for line, _ in locate(whole))
    for line in whole.lines:
        assert spots[id(line)] == (line.nail_count or 0), line.group.connection_id
    in_plates = sum(s.nail_count or 0 for s in whole.tie_plates)
    assert sum(spots.values()) + in_plates == whole.framing_nail_count == sum(n for _, n in whole.nail_totals)


@settings(deadline=None)
@given(WALLS.filter(lambda w: not bayless(w)), NAILS)
def test_every_nail_stands_on_its_member_and_in_the_depth_of_the_wall(wall, words):
    depth = BOOK.lumber[wall.stud].depth
    for line, spot in locate(plan(wall, words)):
        assert spot.member.x <= spot.x <= spot.member.right, line.group.connection_id
        assert 0 <= spot.y <= depth, line.group.connection_id
        assert 0 <= spot.z <= wall.height, line.group.connection_id


def closest(spots):
    """The two nails nearest each other: sorted along the wall, so only neighbours within a quarter inch are looked at."""
    spots = sorted(spots, key=lambda s: s[1].x)
    near = ticks("0.25")
    for i, (line, a) in enumerate(spots):
        for other, b in spots[i + 1 :]:
            if b.x - a.x >= near:
                break
            if (a.x - b.x) ** 2 + (a.y - b.y) ** 2 + (a.z - b.z) ** 2 < near**2:
                at = [(inches(s.x), inches(s.y), inches(s.z)) for s in (a, b)]
                return line.group.connection_id, other.group.connection_id, at
    return None


@settings(max_examples=60, deadline=None)
@given((PLAIN | BACKED).filter(lambda w: not bayless(w)), NAILS)
def test_no_two_nails_stand_within_a_quarter_inch(wall, words):
    assert closest(list(locate(plan(wall, words)))) is None


@settings(max_examples=30, deadline=None)
@given(TALL, NAILS)
@example(Wall(ticks(48), ticks(144), bearing=False, supports="none", start_corner="four_stud", braced=True), "3 x .131")
def test_no_two_nails_of_a_fire_blocked_wall_stand_within_a_quarter_inch(wall, words):
    assert closest(list(locate(plan(wall, words)))) is None


@pytest.mark.parametrize("corner", ["three_stud", "four_stud"])
def test_a_corner_takes_the_same_nails_at_either_end(corner):
    """A 24 ft wall: 288 is a multiple of 16, but 287.25 - 272 is 15.25, so only the nails of the corner itself are compared."""

    def upright(wall):
        return [(x.nail_count, x.group.run_lengths) for x in plan(wall).lines if x.group.connection_id == "stud-to-stud-face-nail"]

    plain = Wall(ticks(288), ticks("97.125"))
    assert upright(replace(plain, start_corner=corner)) == upright(replace(plain, end_corner=corner))


def test_a_wall_past_the_stud_limits_has_positions_of_nothing_and_counts_nothing():
    """IRC Table R602.3(5), from memory: 2x4 under one story and roof at most 16 in."""
    wall = Wall(ticks(96), ticks("97.125"), spacing=ticks(24), supports="one_story_and_roof")
    whole = plan(wall)
    assert {x.requirement.outcome for x in whole.lines} == {"engineering_required"}
    assert whole.framing_nail_count == 0 and not whole.complete
    assert list(locate(whole)) == []
    assert len(whole.framing.studs) == 5


def test_swapping_like_joints_changes_nothing():
    """The same joint asked alone gives the wall's number."""
    line = plan(WORKED).lines[0]
    alone = judge(Question("irc-2021", "stud-to-plate-end-nail", NAIL), BOOK)
    assert line.requirement.nailing == alone.nailing
