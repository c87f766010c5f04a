"""Nails placed by hand: one joint of each kind, with its drawing and its arithmetic.

x runs along the wall, y in from the outside face, z up from the underside of the bottom plate; inches. An 8 ft wall of 97-1/8 in:
plates 0 to 1.5, 94.125 to 95.625 and 95.625 to 97.125, studs of 92.625 between, 2x4 (3.5 deep) at 16 in.

Rules that place them: end nails of a run min(3, R / 4) in, the rest equally spaced; toe-nail started a third of its length up, 30 degrees;
nails across a face 1 in from its edges (framing handbook page on nail guns); lanes, shifts and spaces beside studs are choices of this
service (common practice, no source). A nail that would come within 1/4 in of another goes to the nearest clear place in eighths of an
inch: along the wall or across it first, then up, and to the right before the left (choices of this service). Counts: IRC 2021 Table R602.3(1), IBC 2021 Table 2304.10.2.
"""

from dataclasses import replace

import pytest

from service.domain.nails.words import read_designation
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, locate, plan_wall
from service.domain.wall.wall import Header, Intersection, Opening, Wall
from service.tables.book import open_book
from service.ticks import inches, ticks

BOOK = open_book()
PLAIN = Wall(ticks(96), ticks("97.125"))
LONG = replace(PLAIN, length=ticks(288))


def placed(wall, connection, words="3 x .131", edition="irc-2021"):
    """The nails of one connection."""
    plan = plan_wall(Order(wall, Setting(edition, read_designation(words, BOOK))), BOOK)
    return [spot for line, spot in locate(plan) if line.group.connection_id == connection]


def where(spots):
    """Head, face and angle of each nail, in inches and degrees."""
    return [(inches(s.x), inches(s.y), inches(s.z), s.face, s.angle_deg) for s in spots]


def joins(spots):
    """The two pieces each nail joins: role and left side."""
    return [(s.member.role, inches(s.member.x), s.other and (s.other.role, inches(s.other.x))) for s in spots]


def at(spots, **place):
    """The nails at a place given in inches."""
    return [s for s in spots if all(inches(getattr(s, axis)) == value for axis, value in place.items())]


def window(at="54", width="38", head="82.5", nominal="2x8", plies=2, spacer="0.5", name="w1"):
    header = Header(plies, nominal, ticks(spacer))
    return Opening(name, "window", ticks(at), ticks(width), ticks(36), ticks(head), header, 1, 1)


def test_end_nails_of_a_stud_stand_across_the_plate():
    """Three (item 17) in 3.5 in of depth: 1, 1.75, 2.5; up through the bottom plate, down through the lower top plate.

    z 95.625  v v v          1 |  o
              =====       1.75 |  o     x = 16, the middle of the stud
                #         2.5  |  o
              =====
    z 0       ^ ^ ^
    """
    spots = at(placed(PLAIN, "stud-to-plate-end-nail"), x=16)
    ys = (1, 1.75, 2.5)
    assert where(at(spots, z=0)) == [(16, y, 0, "bottom", 0) for y in ys]
    assert where(at(spots, z=95.625)) == [(16, y, 95.625, "top", 0) for y in ys]
    assert joins(at(spots, z=0)) == [("bottom_plate", 0, ("stud", 15.25))] * 3
    assert joins(at(spots, z=95.625)) == [("top_plate", 0, ("stud", 15.25))] * 3
    assert len(spots) == 6


def test_a_sill_cripple_is_nailed_down_through_the_sill():
    """Sill 54 to 92, its top at 36; cripple on the mark 64; foot up through the bottom plate.

    z 36   v v v
           =====
             #      x 64
    """
    spots = at(placed(replace(LONG, openings=(window(),)), "stud-to-plate-end-nail"), x=64)
    assert where(at(spots, z=36)) == [(64, y, 36, "top", 0) for y in (1, 1.75, 2.5)]
    assert joins(at(spots, z=36)) == [("sill", 54, ("sill_cripple", 63.25))] * 3
    assert where(at(spots, z=0)) == [(64, y, 0, "bottom", 0) for y in (1, 1.75, 2.5)]
    assert joins(at(spots, z=0)) == [("bottom_plate", 0, ("sill_cripple", 63.25))] * 3


def test_four_end_nails_stand_3_8_to_either_side_by_turns():
    """Four of 3 x 0.120 (by strength); more than 3 crowd 3.5 in: y 1, 1.5, 2, 2.5, x 16 - 3/8 and 16 + 3/8."""
    spots = [s for s in placed(PLAIN, "stud-to-plate-end-nail", "3 x .120") if abs(inches(s.x) - 16) < 1 and s.z == 0]
    assert where(spots) == [
        (15.625, 1, 0, "bottom", 0),
        (16.375, 1.5, 0, "bottom", 0),
        (15.625, 2, 0, "bottom", 0),
        (16.375, 2.5, 0, "bottom", 0),
    ]


def test_end_nails_at_a_plate_joint_stand_in_both_pieces():
    """Plate joint at 192 over the stud 191.25 to 192.75: halfway to its sides, (191.25 + 192) / 2 = 191.625 and 192.375.

    =====|=====      191.25 | 191.625 | 192 | 192.375 | 192.75
        ###
    """
    spots = [s for s in placed(LONG, "stud-to-plate-end-nail") if abs(inches(s.x) - 192) < 1 and inches(s.z) == 95.625]
    assert where(spots) == [(191.625, 1, 95.625, "top", 0), (192.375, 1.75, 95.625, "top", 0), (191.625, 2.5, 95.625, "top", 0)]
    assert [piece for _, piece, _ in joins(spots)] == [0, 192, 0]


def test_toe_nails_start_a_third_of_their_length_off_the_plate():
    r"""Four of 3 x 0.131 (item 16), from left and right by turns; 3 / 3 = 1 in off the plate: up from 1.5, down from 94.125.

    \#/   z 2.5 = 1.5 + 1            =====   94.125
    ===   z 1.5                       /#\    z 93.125 = 94.125 - 1
    """
    spots = placed(replace(PLAIN, stud_to_plate_method="toe_nail"), "stud-to-plate-toe-nail")
    stud = [s for s in spots if inches(s.member.x) == 15.25]
    assert where(at(stud, z=2.5)) == [
        (15.25, 1, 2.5, "left", 30),
        (16.75, 1.5, 2.5, "right", 30),
        (15.25, 2, 2.5, "left", 30),
        (16.75, 2.5, 2.5, "right", 30),
    ]
    assert where(at(stud, z=93.125)) == [
        (15.25, 1, 93.125, "left", 30),
        (16.75, 1.5, 93.125, "right", 30),
        (15.25, 2, 93.125, "left", 30),
        (16.75, 2.5, 93.125, "right", 30),
    ]
    assert joins(at(stud, z=2.5)) == [("stud", 15.25, ("bottom_plate", 0))] * 4
    assert joins(at(stud, z=93.125)) == [("stud", 15.25, ("top_plate", 0))] * 4
    assert len(stud) == 8


def test_a_longer_toe_nail_starts_higher():
    """16d common, 3.5 in: 3.5 / 3 = 1.1667 in over the plate at 1.5; three a foot (item 16)."""
    spots = placed(replace(PLAIN, stud_to_plate_method="toe_nail_bottom"), "stud-to-plate-toe-nail", "16d common")
    stud = [s for s in spots if inches(s.member.x) == 15.25]
    assert [inches(s.z) for s in stud] == pytest.approx([1.5 + 3.5 / 3] * 3, abs=1e-4)


def test_a_post_with_a_neighbor_is_toe_nailed_from_its_free_side():
    """Three-stud corner: end stud 0 to 1.5, corner stud 1.5 to 3 tight beside it.

    > ## <     x 0: end stud from the left, x 3: corner stud from the right
      ====

    Each runs 3 sin 30 = 1.5 in along: the points would meet at x 1.5, so the second four stand 1/4 in aside.
    """
    spots = placed(replace(PLAIN, start_corner="three_stud", stud_to_plate_method="toe_nail"), "stud-to-plate-toe-nail")
    end = at([s for s in spots if s.member.role == "end_stud" and s.member.x == 0], z=2.5)
    corner = at([s for s in spots if s.member.role == "corner_stud"], z=2.5)
    assert where(end) == [(0, y, 2.5, "left", 30) for y in (1, 1.5, 2, 2.5)]
    assert where(corner) == [(3, y, 2.5, "right", 30) for y in (1.25, 1.75, 2.25, 2.75)]


def test_a_post_between_neighbors_is_toe_nailed_from_its_faces():
    """Four-stud corner: the post 1.5 to 3 stands between two others. Four nails at fifths of its 1.5 in: 1.8, 2.1, 2.4, 2.7; y 3.5 and 0 by turns."""
    spots = placed(replace(PLAIN, start_corner="four_stud", stud_to_plate_method="toe_nail_bottom"), "stud-to-plate-toe-nail")
    middle = [s for s in spots if inches(s.member.x) == 1.5]
    assert where(middle) == [
        (1.8, 3.5, 2.5, "inside", 30),
        (2.1, 0, 2.5, "outside", 30),
        (2.4, 3.5, 2.5, "inside", 30),
        (2.7, 0, 2.5, "outside", 30),
    ]
    assert joins(middle) == [("corner_stud", 1.5, ("bottom_plate", 0))] * 4


def test_a_short_cripple_is_toe_nailed_a_third_of_its_own_height_up():
    r"""Head 84.625 + 2x8 7.25 = 91.875; cripple 94.125 - 91.875 = 2.25 high; 2.25 / 3 = 0.75 is less than 1: z 92.625.

    Two nails over each ply, at thirds of its 1.5 in: plies 0 to 1.5 and 2 to 3.5: y 0.5, 1 and 2.5, 3.

    =====    94.125
    \#/      92.625
    -----    91.875, top of the header
    """
    built = replace(LONG, openings=(window(head="84.625"),))
    spots = [s for s in placed(built, "stud-to-plate-toe-nail") if inches(s.member.center) == 64]
    assert where(spots) == [
        (63.25, 0.5, 92.625, "left", 30),
        (64.75, 1, 92.625, "right", 30),
        (63.25, 2.5, 92.625, "left", 30),
        (64.75, 3, 92.625, "right", 30),
    ]
    assert joins(spots) == [("head_cripple", 63.25, ("header", 52.5))] * 4
    assert [inches(s.other.y) for s in spots] == [0, 0, 2, 2]


def test_a_cripple_of_a_deep_wall_is_toe_nailed_over_its_header():
    """2x6 wall, 5.5 deep; header 2-2x8, plies 0 to 1.5 and 1.5 to 3: thirds 0.5, 1, 2, 2.5, none over the empty 3 to 5.5 behind.

    The end cripple, 52.5 to 54, has the king on its left, and nails from its right would come out of the header's end: 54 - 1.5 = 52.5.
    So they start on its outside, at fifths of 1.5: 52.8 to 53.7; from the inside they would pass 5.5 - 0.577 = 4.923, behind the header.
    """
    built = replace(LONG, stud="2x6", openings=(window(head="80", spacer="0"),))
    spots = [s for s in placed(built, "stud-to-plate-toe-nail") if s.other.role == "header"]
    low = 80 + 7.25 + 1
    assert where([s for s in spots if inches(s.member.center) == 64]) == [
        (x, y, low, face, 30) for (x, face), y in zip([(63.25, "left"), (64.75, "right")] * 2, (0.5, 1, 2, 2.5), strict=True)
    ]
    assert where([s for s in spots if inches(s.member.x) == 52.5]) == [(52.5 + 0.3 * k, 0, low, "outside", 30) for k in (1, 2, 3, 4)]


def test_a_stud_under_a_plate_joint_is_toe_nailed_into_both_pieces():
    """Joint at 192 over the stud 191.25 to 192.75: from its faces, at thirds of each half: 191.5, 191.75 and 192.25, 192.5; z 93.125."""
    spots = placed(replace(LONG, stud_to_plate_method="toe_nail"), "stud-to-plate-toe-nail")
    stud = at([s for s in spots if inches(s.member.x) == 191.25], z=93.125)
    assert where(stud) == [
        (191.5, 3.5, 93.125, "inside", 30),
        (192.25, 3.5, 93.125, "inside", 30),
        (191.75, 0, 93.125, "outside", 30),
        (192.5, 0, 93.125, "outside", 30),
    ]
    assert [inches(s.other.x) for s in stud] == [0, 192, 0, 192]


def test_sill_ends_pass_between_the_nails_of_the_end_cripple():
    """Sill 54 to 92, top at 36: its end nails come through the jack from x 52.5 at z 35.25, to 55.5; the cripple's stand at x 54.75, y 1, 1.75, 2.5.

    Aside by 1/4 in: y 1.25, 2, 2.75, 1/4 in from them at the least.
    """
    spots = placed(replace(LONG, openings=(window(),)), "stud-to-plate-end-nail")
    assert where(at(spots, x=54.75, z=36)) == [(54.75, y, 36, "top", 0) for y in (1, 1.75, 2.5)]
    assert where(at(spots, x=52.5)) == [(52.5, y, 35.25, "left", 0) for y in (1.25, 2, 2.75)]


def test_block_nails_are_driven_through_the_far_face_of_the_stud():
    """Ladder in the bay 32.75 to 47.25; studs of 72: 72 / 24 = 3 blocks, their middles at quarters: 1.5 + 18 = 19.5, 37.5, 55.5; two nails each end.

    31.25 ->|#|------block------|#|<- 48.75
          31.25 32.75       47.25 48.75
    """
    built = replace(PLAIN, height=ticks("76.5"), intersections=(Intersection(ticks(40), "ladder"),))
    spots = placed(built, "block-to-stud-end-nail")
    assert where(at(spots, z=19.5)) == [
        (31.25, 1, 19.5, "left", 0),
        (31.25, 2.5, 19.5, "left", 0),
        (48.75, 1, 19.5, "right", 0),
        (48.75, 2.5, 19.5, "right", 0),
    ]
    assert joins(at(spots, z=19.5)) == [("stud", 31.25, ("block", 32.75))] * 2 + [("stud", 47.25, ("block", 32.75))] * 2
    assert sorted({inches(s.z) for s in spots}) == [19.5, 37.5, 55.5]


def test_header_ends_are_nailed_through_the_king():
    """2-2x8 with a 1/2 in spacer, 52.5 to 93.5, underside 82.5; four (item 12) over 7.25 in: 1, 2.75, 4.5, 6.25 up; plies 0 to 1.5 and 2 to 3.5.

    51 ->|king|==== header ====|king|<- 95
    y: middle of the ply, 1/4 in in on the left and out on the right: 1, 3 and 0.5, 2.5

    The cripple over the right end is toe-nailed from the inside at y 3.5, z 90.75: the line (y, z) = (3.5 - t/2, 90.75 - 0.866 t) passes
    (2.5, 88.75) at 2 x 0.5 - 1 x 0.866 = 0.134. An eighth down or inward gives 0.197 and 0.242, both 2.125 x 0.5 - 0.875 x 0.866 = 0.305.
    """
    spots = placed(replace(LONG, openings=(window(),)), "stud-to-header-end-nail")
    assert where(spots) == [
        (51, 1, 83.5, "left", 0),
        (51, 3, 85.25, "left", 0),
        (51, 1, 87, "left", 0),
        (51, 3, 88.75, "left", 0),
        (95, 0.5, 83.5, "right", 0),
        (95, 2.5, 85.25, "right", 0),
        (95, 0.5, 87, "right", 0),
        (95, 2.625, 88.625, "right", 0),
    ]
    assert joins(spots) == [("king_stud", 51, ("header", 52.5))] * 4 + [("king_stud", 93.5, ("header", 52.5))] * 4
    assert [inches(s.other.y) for s in spots] == [0, 2] * 4


def test_header_ends_are_toe_nailed_from_both_faces_in_the_ibc():
    """IBC 2021 item 11: four 10d box (3 x 0.128). 3 / 3 = 1 in in from each end: 53.5 and 92.5; inside face 3.5 and outside face 0 by turns."""
    spots = placed(replace(LONG, openings=(window(),)), "header-to-stud-toe-nail", "10d box", "ibc-2021")
    sides = [(3.5, "inside"), (0, "outside")] * 2
    heights = (83.5, 85.25, 87, 88.75)
    assert where(spots) == [(x, y, z, face, 30) for x in (53.5, 92.5) for z, (y, face) in zip(heights, sides, strict=True)]
    assert joins(spots) == [("header", 52.5, ("king_stud", 51))] * 4 + [("header", 52.5, ("king_stud", 93.5))] * 4
    assert [inches(s.member.y) for s in spots] == [2, 0] * 4


def test_splice_nails_stand_within_24_in_of_the_joint_on_either_side():
    """IBC 2021: joints 192 below and 144 above (48 apart), 12 a side, 24 in each: 2 in apart, the first 1 in off the joint.

    upper ====|=================     169 ... 191 | 193 ... 215, 1 in from the edges: y 1, 2.5
    lower ==============|=======     121 ... 143 | 145 ... 167, near the middle: y 1.5, 2
             144       192
    """
    spots = placed(LONG, "top-plate-splice-face-nail", edition="ibc-2021")
    off = [2 * k + 1 for k in range(12)]
    low, high = [1, 2.5] * 6, [1.5, 2] * 6
    expected = [
        (joint + hand * d, y, 97.125, "top", 0)
        for joint, ys in ((192, low), (144, high))
        for hand in (-1, 1)
        for d, y in zip(off, ys, strict=True)
    ]
    assert sorted(where(spots)) == sorted(expected)
    assert all(s.member.role == "double_top_plate" and s.other.role == "top_plate" for s in spots)
    for x, upper, lower in ((143, 0, 0), (145, 144, 0), (191, 144, 0), (193, 144, 192)):
        (spot,) = at(spots, x=x)
        assert (inches(spot.member.x), inches(spot.other.x)) == (upper, lower)


def test_lap_nails_stand_in_the_depth_of_the_meeting_wall():
    """Two 16d common a lap (item 18) at quarters of 3.5 in: 0.875, 2.625 at the corner; 118.25 + 0.875, + 2.625 at the partition at 120; y 1.75 -+ 0.5.

    | o      |    0 to 3.5
    |     o  |
    """
    built = replace(LONG, start_corner="two_stud", end_corner="two_stud", intersections=(Intersection(ticks(120)),))
    spots = placed(built, "top-plate-lap-face-nail", "16d common")
    stands = (0.875, 2.625, 284.5 + 0.875, 284.5 + 2.625, 118.25 + 0.875, 118.25 + 2.625)
    assert where(spots) == [(x, y, 97.125, "top", 0) for x, y in zip(stands, (1.25, 2.25) * 3, strict=True)]
    assert {(s.member.role, s.other.role) for s in spots} == {("double_top_plate", "top_plate")}


def test_a_jack_is_nailed_to_its_king_up_its_own_height():
    """Jack 81 high, braced, 16d common at 16 (item 9): ceil(81 / 16) + 1 = 7; 3 in in, then 75 / 6 = 12.5: 4.5 to 79.5; from the jack's free face.

    |king|jack|<- 54     y 1 and 2.5 by turns
    """
    built = replace(LONG, openings=(window(),), braced=True)
    spots = [s for s in placed(built, "stud-to-stud-face-nail", "16d common") if inches(s.x) == 54]
    assert where(spots) == [(54, y, 4.5 + 12.5 * k, "right", 0) for k, y in zip(range(7), (1, 2.5, 1, 2.5, 1, 2.5, 1), strict=True)]
    assert joins(spots) == [("jack_stud", 52.5, ("king_stud", 51))] * 7


def test_a_corner_stud_is_nailed_to_the_end_stud_and_to_the_meeting_wall():
    """3 x 0.131 at 16 (item 8): ceil(92.625 / 16) + 1 = 7; 3 in in, then 86.625 / 6 = 14.4375: 4.5, 18.9375 ... 91.125.

    |end|corner|<- 3          y 1.25, 2.25 by turns
            ^ 2.25, y 3.5     through the meeting wall's end stud, 1.5 thick; the last 1.5 in stand in this one, to y 2

    Where the first run passes at y 2.25, the other stands 1/4 in higher.
    """
    spots = placed(replace(PLAIN, start_corner="three_stud"), "stud-to-stud-face-nail")
    heights = [4.5 + 14.4375 * k for k in range(7)]
    assert where(at(spots, x=3)) == [(3, (1.25, 2.25)[k % 2], z, "right", 0) for k, z in enumerate(heights)]
    assert joins(at(spots, x=3)) == [("corner_stud", 1.5, ("end_stud", 0))] * 7
    assert where(at(spots, x=2.25)) == [(2.25, 3.5, z + (k % 2) / 4, "inside", 0) for k, z in enumerate(heights)]
    assert joins(at(spots, x=2.25)) == [("corner_stud", 1.5, None)] * 7
    assert len(spots) == 14


def test_backing_studs_are_nailed_to_the_partition():
    """Partition at 40, 3.5 deep: backing centers 38.25 and 41.75, nails 3/8 in toward it: 38.625 and 41.375; heights as at the corner.

    |b| |b|       38.25   41.75
      ^ ^         38.625  41.375, y 3.5
    """
    spots = placed(replace(PLAIN, intersections=(Intersection(ticks(40)),)), "stud-to-stud-face-nail")
    heights = [4.5 + 14.4375 * k for k in range(7)]
    assert where(spots) == [(x, 3.5, z, "inside", 0) for x in (38.625, 41.375) for z in heights]
    assert joins(spots) == [("backing_stud", 37.5, None)] * 7 + [("backing_stud", 41, None)] * 7


def test_the_upper_top_plate_is_nailed_along_its_middle():
    """96 in at 12 (item 13): 8 + 1 = 9; 3 in in, then 90 / 8 = 11.25. The fifth, at 48, is over an end nail of a stud: 48.25."""
    spots = placed(PLAIN, "top-plate-to-top-plate-face-nail")
    assert where(spots) == [(3 + 11.25 * k + (k == 4) / 4, 1.75, 97.125, "top", 0) for k in range(9)]
    assert joins(spots) == [("double_top_plate", 0, ("top_plate", 0))] * 9


def test_a_plate_nail_under_a_stud_stands_beside_it():
    """96 in at 12 (item 15): as above, but 48 stands under the stud 47.25 to 48.75: 3/4 in beside it, 46.5.

    o   o   |#| o   o
           ^48 -> 46.5
    """
    spots = placed(PLAIN, "bottom-plate-to-floor-face-nail")
    stands = [3, 14.25, 25.5, 36.75, 46.5, 59.25, 70.5, 81.75, 93]
    assert where(spots) == [(x, 1.75, 1.5, "top", 0) for x in stands]
    assert joins(spots) == [("bottom_plate", 0, None)] * 9


def test_a_plate_nail_close_beside_a_stud_stands_off_it():
    """144 in at 12: 12 + 1 = 13; 138 / 12 = 11.5. 49 is 1/4 in off the stud 47.25 to 48.75: 49.5; 95 is off 95.25 to 96.75: 94.5.

    Nails 3/8 in and more off a side stay: 14.5 is 3/4 in off 15.25.
    """
    spots = placed(replace(PLAIN, length=ticks(144)), "bottom-plate-to-floor-face-nail")
    assert [inches(s.x) for s in spots] == [3, 14.5, 26, 37.5, 49.5, 60.5, 72, 83.5, 94.5, 106.5, 118, 129.5, 141]


def test_groups_stand_beside_the_stud_nearest_the_middle_of_their_length():
    """Braced, 4 of 3 x 0.131 each 16 in (item 16): 6 groups, 2 nails to each side, 3/4 in off.

    0 to 16 holds no stud's middle with room beside it: about 8. 16 to 32: about the stud 15.25 to 16.75; lanes by turns.

      o . o            o |#| o     y 1.25, 2.25 and 1, 2.5
    7.25  8.75       14.5   17.5
    """
    spots = placed(replace(PLAIN, braced=True), "bottom-plate-to-floor-face-nail")
    assert where(spots[:4]) == [(x, y, 1.5, "top", 0) for x in (7.25, 8.75) for y in (1.25, 2.25)]
    assert where(spots[4:8]) == [(x, y, 1.5, "top", 0) for x in (14.5, 17.5) for y in (1, 2.5)]
    assert len(spots) == 24
    assert joins(spots) == [("bottom_plate", 0, None)] * 24


def test_a_stub_of_plate_is_nailed_in_the_middle_of_what_is_free():
    """Door at 4.5 without a jack: end stud 0 to 1.5, king 3 to 4.5. ceil(4.5 / 12) + 1 = 2 nails, at 1.125 and 3.375, both under studs.

    |#|  :  |#|
    0 1.5 3 4.5      both at the middle, 2.25, in two lanes: y 1, 2.5
    """
    door = Opening("d", "door", ticks("4.5"), ticks(36), None, ticks(80), Header(2, "2x8"), 0, 1)
    spots = placed(replace(LONG, openings=(door,)), "bottom-plate-to-floor-face-nail")
    assert where([s for s in spots if s.x < ticks("4.5")]) == [(2.25, 1, 1.5, "top", 0), (2.25, 2.5, 1.5, "top", 0)]


@pytest.mark.parametrize(("braced", "count"), [(False, 4), (True, 4)])
def test_plate_nails_in_the_middle_of_a_bay_are_counted(braced, count):
    """Over 3 in from every upright (a rule of this service). At 12 in: 25.5, 36.75, 59.25 and 70.5 are 5.75, 4, 4 and 5.75 in from one.

    In groups: the first, 7.25 and 8.75, is 5.75 in from the end stud and 6.5 in from the next; all others stand beside a stud.
    """
    whole = plan_wall(Order(replace(PLAIN, braced=braced), Setting("irc-2021", read_designation("3 x .131", BOOK))), BOOK)
    found = {line.group.connection_id: whole.mid_bay_nail_count(line) for line in whole.lines}
    assert found.pop("bottom-plate-to-floor-face-nail") == count
    assert set(found.values()) == {None}


def test_the_third_ply_of_a_header_is_nailed_from_its_far_face():
    """2x6 wall, 3-2x8 up to the top plate, 86.875 to 94.125, plies 0, 1.5 and 3 to 4.5; 41 in at 12: 5 nails 8.75 apart each edge.

    The first interface from the outside, 55.5 to 90.5. The second from y 4.5, 4.375 farther along, but for the last, 3 in from the
    end; as shanks of 3.5 in from either side overlap in the middle ply, that one stands 1/4 in beside it.

    y 4.5     v    v    v    v  v
    y 3    =======================
    y 1.5  =======================
    y 0     ^    ^    ^    ^    ^
    """
    built = replace(LONG, stud="2x6", openings=(window(head="86.875", plies=3, spacer="0"),))
    spots = placed(built, "built-up-header-face-nail", "16d box")
    first, second = at(spots, y=0), at(spots, y=4.5)
    assert where(first) == [(55.5 + 8.75 * k, 0, z, "outside", 0) for z in (87.875, 93.125) for k in range(5)]
    assert where(second) == [(x, 4.5, z, "inside", 0) for z in (87.875, 93.125) for x in (59.875, 68.625, 77.375, 86.125, 90.75)]
    assert [(inches(s.member.y), inches(s.other.y)) for s in (first[0], second[0])] == [(0, 1.5), (3, 1.5)]
    assert len(spots) == 20


def test_header_plies_are_nailed_along_both_edges():
    """41 in at 12 each edge, 16d box: ceil(41 / 12) + 1 = 5; 3 in in, then 35 / 4 = 8.75; 1 in from the edges of 7.25: 83.5 and 88.75.

    +--o----o----o----o----o--+  88.75
    |                         |
    +--o----o----o----o----o--+  83.5
    52.5                   93.5

    The cripple 63.25 to 64.75 is toe-nailed from the left at z 89.75 + 3.5/3 = 90.917: the line (63.25 + t/2, 90.917 - 0.866 t) passes
    (64.25, 88.75) at 2.167 x 0.5 - 1 x 0.866 = 0.217; an eighth down, at 2.292 x 0.5 - 0.866 = 0.280.
    """
    spots = placed(replace(LONG, openings=(window(),)), "built-up-header-face-nail", "16d box")
    lower, upper = (
        [(55.5 + 8.75 * k, 0, 83.5, "outside", 0) for k in range(5)],
        [(55.5 + 8.75 * k, 0, 88.75, "outside", 0) for k in range(5)],
    )
    assert where(spots) == [*lower, upper[0], (64.25, 0, 88.625, "outside", 0), *upper[2:]]
    assert [(inches(s.member.y), inches(s.other.y)) for s in spots] == [(0, 2)] * 10


def test_a_run_under_a_foot_is_nailed_a_quarter_in_from_its_ends():
    """Opening of 6 in, header 9 in: 9 / 4 = 2.25 in from each end, 52.5 + 2.25 = 54.75 and 61.5 - 2.25 = 59.25."""
    spots = placed(replace(LONG, openings=(window(width="6"),)), "built-up-header-face-nail", "16d box")
    assert [inches(s.x) for s in spots] == [54.75, 59.25] * 2


def test_a_run_of_a_foot_is_nailed_three_inches_in():
    """Opening of 9 in, header 12 in: 12 / 4 = 3: 55.5 and 61.5. Of 11 in, header 14: 3 in, three nails: 55.5, 59.5, 63.5."""
    nine = placed(replace(LONG, openings=(window(width="9"),)), "built-up-header-face-nail", "16d box")
    eleven = placed(replace(LONG, openings=(window(width="11"),)), "built-up-header-face-nail", "16d box")
    assert [inches(s.x) for s in nine] == [55.5, 61.5] * 2
    assert [inches(s.x) for s in eleven] == [55.5, 59.5, 63.5] * 2


def test_a_two_by_six_spreads_its_end_nails_over_its_depth():
    """5.5 deep: 1, 2.75, 4.5."""
    spots = at(placed(replace(PLAIN, stud="2x6"), "stud-to-plate-end-nail"), x=16, z=0)
    assert [inches(s.y) for s in spots] == [1, 2.75, 4.5]
