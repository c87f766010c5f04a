"""Toe-nail depths, edge distances and crowded faces."""

from dataclasses import replace
from math import cos, radians

import pytest

from service.domain.joint.placement import crowded, place
from service.domain.joint.requirement import Question, judge
from service.domain.nails.nail import of_size
from service.domain.strength.reference import toe_nail_depth
from service.domain.wall.members import Member
from service.domain.wall.nailed import PlateEnd
from service.domain.wall.positions import joint_spots
from service.said import plain
from service.tables.book import open_book
from service.ticks import inches, ticks

BOOK = open_book()
PLATE = ticks("1.5")


def nail(length, diameter="0.131"):
    return of_size("smooth", ticks(length), ticks(diameter))


def depth_of(own):
    """Depth of a toe-nail's point, in inches."""
    return toe_nail_depth(own, BOOK.nds["nds-2018"]) / ticks(1)


# L cos 30 - L/3 (toe-nail geometry of the design standard's commentary, from memory), printed to 0.01 in.
DEPTHS = [
    # length [in], depth below the plate top [in], out of the underside of a 1-1/2 in plate
    pytest.param("2.375", 1.27, False, id="2-3/8"),
    pytest.param("2.5", 1.33, False, id="2-1/2: the one to use over concrete"),
    pytest.param("2.875", 1.53, True, id="2-7/8: passes by 1/32"),
    pytest.param("3", 1.60, True, id="3"),
    pytest.param("3.25", 1.73, True, id="3-1/4"),
    pytest.param("3.5", 1.86, True, id="3-1/2"),
]


@pytest.mark.parametrize(("length", "depth", "passes"), DEPTHS)
def test_toe_nail_points_go_as_deep_as_printed(length, depth, passes):
    assert depth_of(nail(length)) == pytest.approx(depth, abs=0.005)
    assert (depth_of(nail(length)) > inches(PLATE)) == passes


def test_the_longest_nail_that_stays_inside_a_plate():
    """1.5 / (cos 30 - 1/3) = 2.81589 in: one hair each side of it."""
    longest = 1.5 / (cos(radians(30)) - 1 / 3)
    assert longest == pytest.approx(2.81589, abs=0.000005)
    assert depth_of(nail("2.8158")) < 1.5 < depth_of(nail("2.8159"))


# Common practice, no source: three end nails side by side in a 3-1/2 in face, five in a 5-1/2 in one.
@pytest.mark.parametrize(
    ("count", "face", "expected"),
    [(3, "3.5", False), (4, "3.5", True), (5, "5.5", False), (6, "5.5", True), (1, "3.5", False)],
)
def test_a_face_is_crowded_past_three_or_five_nails(count, face, expected):
    assert crowded(count, ticks(face), BOOK.rules) is expected


@pytest.mark.parametrize("depth", ["3.5", "5.5"])
@pytest.mark.parametrize("count", range(1, 7))
def test_end_nails_keep_an_inch_from_both_edges(count, depth):
    plate = Member("bottom_plate", "2x4", 0, 0, ticks(96), PLATE)
    wanted = joint_spots(
        PlateEnd(Member("stud", "2x4", ticks(16) - PLATE // 2, PLATE, PLATE, ticks(92)), 0, (plate,)),
        count,
        ticks(depth),
        ticks(3),
        BOOK.rules,
    )
    spots = [want.spot for want in wanted]
    assert len(spots) == count
    assert min(s.y for s in spots) >= ticks(1)
    assert max(s.y for s in spots) <= ticks(depth) - ticks(1)
    assert len({s.y for s in spots}) == count, "no two across the plate in one grain line"


def ask(connection_id, length="3", diameter="0.131"):
    return judge(Question("irc-2021", connection_id, nail(length, diameter)), BOOK)


def test_end_nails_are_told_an_inch_from_edges_and_three_quarters_from_the_plate_end():
    """The end stud is 1-1/2 thick, flush with the plate end: its center is 3/4 in from it."""
    told = place(ask("stud-to-plate-end-nail"), BOOK)
    assert inches(told.edge_distance) == 1
    assert inches(told.end_distance) == 0.75


def test_toe_nails_are_told_a_third_of_their_length_up_and_thirty_degrees():
    told = place(ask("stud-to-plate-toe-nail"), BOOK)
    assert inches(told.start) == 1
    assert told.angle_deg == 30


def test_splitting_guidance_is_in_diameters_and_called_guidance():
    """15 D of 0.131 = 1.965 in, 5 D = 0.655 in (commentary figures, from memory)."""
    told = place(ask("stud-to-plate-end-nail"), BOOK)
    assert inches(told.guide_spacing_along_grain) == 1.965
    assert inches(told.guide_spacing_across_grain) == 0.655
    assert told.note.startswith("15 diameters from an end, 15 along and 5 across the grain")
    assert "guidance" in told.note and "not code minimums" in told.note


def test_four_end_nails_in_a_narrow_face_are_staggered():
    four = judge(Question("irc-2021", "stud-to-header-end-nail", nail("3")), BOOK)
    assert place(four, BOOK).staggered
    assert not place(replace(four, question=replace(four.question, face=ticks("5.5"))), BOOK).staggered


def rule_of(connection_id, length="3", diameter="0.131", driver="gun"):
    return plain(place(ask(connection_id, length, diameter), BOOK, driver).rule)


def test_nails_that_do_not_fit_side_by_side_stand_in_two_staggered_columns():
    """Common practice, no source: four 8d toe-nails in a 3-1/2 in face stand in two columns 3/4 in apart; three 16d do not."""
    said = "4 nails do not fit side by side in 3-1/2 in: set two columns about 3/4 in apart and stagger them"
    assert said in rule_of("stud-to-plate-toe-nail", "2.5")
    assert "columns" not in rule_of("stud-to-plate-toe-nail", "3.5", "0.135")


def test_a_nail_in_a_plate_end_is_slanted_in():
    """Two plates share a 1-1/2 in stud, so each covers 3/4 in of it and its nails stand 3/8 in from the end."""
    said = "where two plates meet on a stud they come 3/8 in from a plate's end: start them 3/4 in back and slant them in"
    assert said in rule_of("stud-to-plate-end-nail", "3.5", "0.162")
    assert "plate" not in rule_of("rim-joist-to-joist-end-nail", "3.5", "0.162")


@pytest.mark.parametrize("joint", ["stud-to-plate-toe-nail", "let-in-brace-face-nail"])
def test_the_tip_of_a_gun_is_seated_where_it_slips(joint):
    """Toe-nails, and edges under 1 in: a brace nailed into the 1-1/2 in edge of a stud (safety magazine; framing handbook)."""
    assert "seat the tip" in rule_of(joint, "2.5")
    assert "seat the tip" not in rule_of(joint, "2.5", driver="hand")
    assert "seat the tip" not in rule_of("stud-to-stud-face-nail")


def test_blocks_say_which_ends_are_toe_nailed():
    """Fire rows are staggered by a block's thickness; joint rows stand in line, their near ends toe-nailed (common practice, no source)."""
    assert "by turns" in rule_of("block-to-stud-end-nail") and "no room behind its stud is toe-nailed" in rule_of("block-to-stud-end-nail")
    assert "from top and bottom by turns" in rule_of("block-to-stud-toe-nail")
    assert "from both faces by turns" in rule_of("stud-to-plate-toe-nail")
