"""Where studs and plates fall: counts by published rules, joints, corners and faults."""

from dataclasses import replace
from math import ceil

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from service.domain.wall.layout import lay_out
from service.domain.wall.wall import Header, Intersection, Opening, Wall
from service.errors import FasteningError
from service.said import worded
from service.tables.book import open_book
from service.ticks import PER_FT, inches, ticks

BOOK = open_book()
HEIGHT = ticks("97.125")


def wall(length, spacing="16", **more):
    return Wall(ticks(length), more.pop("height", HEIGHT), spacing=ticks(spacing), **more)


def framing(length, spacing="16", edition="irc-2021", **more):
    return lay_out(wall(length, spacing, **more), BOOK.editions[edition], BOOK)


# Studs of plain walls. First column group: hand count, end studs + layout centers k s up to L - 2-1/4.
COUNTS = [
    # length [in], spacing [in], studs
    pytest.param("192", "16", 13, id="16 ft: 2 + 11 (16 to 176)"),
    pytest.param("288", "16", 19, id="24 ft: 2 + 17 (16 to 272)"),
    pytest.param("96", "16", 7, id="8 ft: 2 + 5 (16 to 80)"),
    pytest.param("145", "16", 11, id="145 in: 2 + 8 (16 to 128) + 1, the last gap 16.25"),
    pytest.param("144", "16", 10, id="144 in: 2 + 8, the last gap 15.25"),
    pytest.param("288", "24", 13, id="24 ft at 24: 2 + 11"),
]
# Stud-count form 2, n = ceil((L - t/2)/s) + 1 (DERIVED in the practice notes from the layout rule of a builder's manual).
# It agrees in every cell: a mark that would collide with the end stud is replaced by one stud against it, so the number stays.
FORM_2 = [
    pytest.param(str(ft * 12), s, n, id=f"{ft} ft at {s}")
    for ft, by_spacing in {8: (7, 6, 5), 10: (9, 8, 6), 14: (12, 10, 8), 20: (16, 14, 11), 24: (19, 16, 13)}.items()
    for s, n in zip(("16", "19.2", "24"), by_spacing, strict=True)
]


@pytest.mark.parametrize(("length", "spacing", "count"), COUNTS + FORM_2)
def test_a_plain_wall_has_the_counted_studs(length, spacing, count):
    assert len(framing(length, spacing).studs) == count


@given(st.integers(24 * 8, 600 * 8), st.sampled_from(["12", "16", "19.2", "24"]))
def test_stud_count_follows_form_2_for_any_length(eighths, spacing):
    length = eighths / 8
    assume(length >= 2 * float(spacing))
    assert len(framing(length, spacing).studs) == ceil((length - 0.75) / float(spacing) - 1e-9) + 1


def test_studs_are_cut_to_the_height_less_three_plates():
    """97-1/8 - 3 x 1-1/2 = 92-5/8: the precut stud of an 8 ft wall (common practice, no source)."""
    assert {inches(s.length) for s in framing("288").studs} == {92.625}
    assert {inches(s.length) for s in framing("288", top_plate_count=1).studs} == {94.125}


# L = 146: marks to 128 (144 > 143.75); last gap 145.25 - 128 = 17.25 > 16, so one stud against the end stud at 143.75.
def test_a_stud_stands_against_the_end_stud_when_the_last_gap_is_too_wide():
    centers = [inches(s.center) for s in framing("146").studs]
    assert centers[-3:] == [128, 143.75, 145.25]


@given(st.integers(48, 480), st.sampled_from(["12", "16", "24"]), st.sampled_from(["none", "two_stud", "three_stud", "four_stud"]))
def test_no_gap_is_too_wide_and_no_studs_overlap(length, spacing, corner):
    """Without extra studs no gap passes the spacing; a corner stud that displaces a mark stands less than its own 1-1/2 in from it."""
    studs = framing(length, spacing, start_corner=corner, end_corner=corner).studs
    pairs = list(zip(studs, studs[1:], strict=False))
    slack = ticks("1.5") if corner in ("three_stud", "four_stud") else 0
    assert all(a.right <= b.x for a, b in pairs)
    assert all(b.center - a.center <= ticks(spacing) + slack for a, b in pairs)
    assert (studs[0].x, studs[-1].right) == (0, ticks(length))


def cuts(plates):
    return [inches(p.x) for p in plates[1:]]


# IRC R602.3.2: joints of the two top plates 24 in apart; IBC 2308.5.3.2: 48. 16 ft stock, studs at 16:
# lower on the stud at 192; upper within 192, 24 (48) away from it: 168 (144).
@pytest.mark.parametrize(("edition", "upper"), [("irc-2021", 168), ("ibc-2021", 144)])
def test_plate_joints_of_a_24_ft_wall(edition, upper):
    frame = framing("288", edition=edition)
    assert cuts(frame.bottom_plates) == [192]
    assert cuts(frame.top_plates) == [192]
    assert cuts(frame.double_top_plates) == [upper]


def garage(height="97.125", head="82.875", **more):
    """A 24 ft front with a 195 in door from 41.25, 2 jacks: header 38.25 to 239.25, kings 36.75 to 38.25 and 239.25 to 240.75."""
    door = Opening("g", "door", ticks("41.25"), ticks(195), None, ticks(head), Header(2, "2x12"), 2, 1)
    return framing("288", height=ticks(height), openings=(door,), **more)


# IRC R602.3.2: joints need not stand over studs; 24 in from each other. All counted by hand, 16 ft stock unless said, studs at 16.
PLATES = [
    # framing, lower joints, upper joints
    pytest.param(garage(height="109.125"), [192], [168], id="last stud at 37.5 would cost a third piece: over the cripple at 192"),
    pytest.param(garage(), [192], [168], id="header against the plate: any point of it, 192"),
    pytest.param(garage(plate_stock=15 * PER_FT), [180], [156], id="header against the plate, 15 ft: 180 is no mark"),
    # lap 190.25 to 193.75: below 166.25, so 160; above: 184 would be 6.25 from the lap, 160 - 24
    pytest.param(framing("288", intersections=(Intersection(ticks(192)),)), [160], [136], id="partition at 192"),
    # 24 from the end: under 170, 160; above 136
    pytest.param(framing("194"), [160], [136], id="194 in: no 2 in piece at the end"),
    pytest.param(framing("200"), [176], [152], id="200 in: the last piece is 24"),
    # corner lap 284.5 to 288 of 288: under 260.5; 20 ft stock 240: 240, above 216
    pytest.param(framing("288", end_corner="three_stud", plate_stock=20 * PER_FT), [240], [216], id="20 ft stock, corner at the end"),
    # 48 in and a lap at 96, 94.25 to 97.75: below over 145.75, 192; above under 144, and 24 from the lap: 144
    pytest.param(framing("288", edition="ibc-2021", intersections=(Intersection(ticks(96)),)), [192], [144], id="IBC, partition at 96"),
]


@pytest.mark.parametrize(("made", "lower", "upper"), PLATES)
def test_plate_joints_keep_their_distances(made, lower, upper):
    assert cuts(made.top_plates) == lower
    assert cuts(made.double_top_plates) == upper
    assert made.tight_plate_joints == ()


def test_no_place_keeps_all_distances_and_the_least_bad_one_is_said():
    """Partitions at 12, 60, 108, 156, 188 of 200: laps leave 13.75 to 58.25 and so on, 44.5 wide: 22.25 at most from both.

    Studs at 16 ... 176: 32 is 18.25 and 26.25 off, 80 also, 128 and 32 likewise; 176 is 10.25 off the lap at 186.25. 24 from the end
    leaves up to 176, so of the equals 32, 80 and 128 (5.75 short of 24) the largest is taken.
    """
    crossings = tuple(Intersection(ticks(x), "none") for x in (12, 60, 108, 156, 188))
    made = framing("200", intersections=crossings)
    assert cuts(made.top_plates) == [128]
    assert (
        worded(made.tight_plate_joints[0].encode(), False).decode()
        == "the joint of the lower plate at 128 in stands 18.25 in from the lap, 24 in asked"
    )


@given(
    st.integers(48, 900),
    st.sampled_from([12, 14, 16, 20]),
    st.sampled_from(["irc-2021", "ibc-2021"]),
    st.lists(st.integers(1, 20), max_size=3, unique=True),
    st.sampled_from(["none", "three_stud"]),
)
def test_plates_cover_the_wall_from_stock_with_joints_on_studs_and_apart(length, stock, edition, partitions, corner):
    """Joints keep the offset from joints of the other plate and from laps, and 24 in from ends, or the wall says which does not."""
    crossings = tuple(Intersection(ticks(45 * k), "none") for k in partitions if 45 * k < length - 6)
    frame = framing(length, edition=edition, plate_stock=stock * PER_FT, intersections=crossings, end_corner=corner)
    offset, least = BOOK.editions[edition].plate_joint_offset, ticks(24)
    for plates in (frame.bottom_plates, frame.top_plates, frame.double_top_plates):
        assert sum(p.width for p in plates) == ticks(length)
        assert max(p.width for p in plates) <= stock * PER_FT
    assert {p.x for p in frame.top_plates[1:]} <= {s.center for s in frame.studs}
    lower, upper = ([p.x for p in plates[1:]] for plates in (frame.top_plates, frame.double_top_plates))
    laps = [(c.at - c.depth // 2, c.at + c.depth // 2) for c in crossings]
    laps += [(ticks(length) - ticks("3.5"), ticks(length))] if corner != "none" else []
    kept = all(abs(a - b) >= offset for a in lower for b in upper)
    kept &= all(x <= a - offset or x >= b + offset for x in lower for a, b in laps)
    kept &= all(p.width >= least for plates in (frame.top_plates, frame.double_top_plates) for p in plates)
    assert kept or frame.tight_plate_joints


@given(st.integers(60, 600), st.integers(0, 560), st.sampled_from([8, 12, 16]))
def test_no_bottom_plate_is_under_two_feet_but_a_stub_beside_a_door(length, at, stock):
    assume(at + 47 <= length)
    door = Opening("d", "door", ticks(at + 5), ticks(36), None, ticks(80), Header(2, "2x8"), 1, 1)
    made = framing(length, plate_stock=stock * PER_FT, openings=(door,), first_stud_offset=ticks(16)).bottom_plates
    stubs = {p.x for p in made if p.right == ticks(at + 5) and p.x == 0} | {p.x for p in made if p.x == ticks(at + 41)}
    assert all(p.width >= ticks(24) for p in made if p.x not in stubs)
    assert sum(p.width for p in made) == ticks(length - 36)


# A door's left side at `at`: jack and king take 3 in of the plate, the end stud 1.5 in; studs on 16 in marks. The floor nails need
# 3/4 in of free plate to each side (service rule).
@pytest.mark.parametrize(
    ("at", "full"),
    [
        pytest.param("3", True, id="jack and king only"),
        pytest.param("5.75", True, id="end stud to 1.5, king from 2.75: 1.25 free"),
        pytest.param("6", False, id="end stud to 1.5, king from 3: 1.5 free"),
        pytest.param("23", False, id="20 less one stud free"),
    ],
)
def test_a_stub_of_bottom_plate_that_studs_cover_takes_no_floor_nails(at, full):
    door = Opening("d", "door", ticks(at), ticks(36), None, ticks(80), Header(2, "2x8"), 1, 1)
    made = framing("120", openings=(door,))
    assert [inches(p.width) for p in made.full_stubs] == ([float(at)] if full else [])
    assert framing("120", openings=(door,), bottom_plate_on="concrete").full_stubs == ()


# RU12 of the take-off notes, counted wall by wall: a 3-stud corner needs one extra stud in the wall that owns it.
@pytest.mark.parametrize(("corner", "extra"), [("none", 0), ("two_stud", 0), ("three_stud", 1), ("four_stud", 2)])
def test_corner_studs_stand_tight_and_mirror(corner, extra):
    length = ticks("288")
    start = [s.x for s in framing("288", start_corner=corner).studs if s.role == "corner_stud"]
    end = [s.right for s in framing("288", end_corner=corner).studs if s.role == "corner_stud"]
    assert [inches(x) for x in start] == [1.5 * (k + 1) for k in range(extra)]
    assert sorted(length - x for x in end) == start


def test_layout_studs_that_overlap_backing_are_dropped():
    """A partition 3-1/2 deep at 128: backing at 126.25 and 129.75, 2 x 1.5 wide; the mark at 128 (127.25 to 128.75) clears none of it."""
    studs = framing("288", intersections=(Intersection(ticks(128)),)).studs
    assert [inches(s.center) for s in studs if s.role == "backing_stud"] == [126.25, 129.75]
    backing = [s for s in studs if s.role == "backing_stud"]
    assert all(a.right <= b.x for a, b in zip(studs, studs[1:], strict=False))
    assert all(s.role == "backing_stud" or all(s.right <= b.x or b.right <= s.x for b in backing) for s in studs)


def test_ladder_blocks_are_one_for_each_two_feet_of_stud():
    """92.625 / 24 = 3.86: three blocks, each the clear bay 16 - 1.5 = 14.5 (take-off notes S17)."""
    blocks = framing("288", intersections=(Intersection(ticks(120), "ladder"),)).blocks
    assert [inches(b.length) for b in blocks] == [14.5] * 3


# Fire blocks: ceil(stud length / 120) - 1 rows. 124.5 - 4.5 = 120: none; one hair more: one row.
@pytest.mark.parametrize(("height", "rows"), [("97.125", 0), ("124.5", 0), ("124.5001", 1), ("144", 1)])
def test_fire_blocks_stand_past_ten_feet_of_stud(height, rows):
    frame = framing("96", height=ticks(height))
    bays = len(frame.studs) - 1
    assert len(frame.blocks) == rows * bays
    assert framing("96", height=ticks(height), fireblocking=False).blocks == ()


FAULTS = [
    # wall, edition, code
    pytest.param(wall("8", start_corner="four_stud", end_corner="four_stud"), "irc-2021", "members_overlap", id="two corners in 8 in"),
    pytest.param(
        wall("96", start_corner="four_stud", intersections=(Intersection(ticks("5.25")),)),
        "irc-2021",
        "members_overlap",
        id="backing 2.75 to 4.25 on a corner stud 3 to 4.5",
    ),
    pytest.param(
        wall("96", intersections=(Intersection(ticks(40)), Intersection(ticks(43)))), "irc-2021", "intersections_overlap", id="3 in apart"
    ),
    pytest.param(
        wall("96", start_corner="three_stud", intersections=(Intersection(ticks(5)),)),
        "irc-2021",
        "intersections_overlap",
        id="3.25 on a corner to 3.5",
    ),
    pytest.param(wall("96", intersections=(Intersection(ticks("1.5")),)), "irc-2021", "intersection_outside_wall", id="reaches -0.25"),
    pytest.param(wall("96", intersections=(Intersection(ticks(95)),)), "irc-2021", "intersection_outside_wall", id="reaches 96.75"),
    pytest.param(wall("96", intersections=(Intersection(ticks(32), "ladder"),)), "irc-2021", "no_bay_for_ladder", id="on the stud at 32"),
]


@pytest.mark.parametrize(("bad", "edition", "code"), FAULTS)
def test_walls_that_cannot_be_built_are_refused_with_the_code(bad, edition, code):
    with pytest.raises(FasteningError) as caught:
        lay_out(bad, BOOK.editions[edition], BOOK)
    assert code in {f.code for f in caught.value.faults}
    assert all(f.detail for f in caught.value.faults)


def test_a_partition_past_the_wall_is_told_where_it_may_stand():
    """3.5 in deep in 96 in: from 1.75 to 94.25."""
    with pytest.raises(FasteningError) as caught:
        lay_out(wall("96", intersections=(Intersection(ticks(95)),)), BOOK.editions["irc-2021"], BOOK)
    fault = next(f for f in caught.value.faults if f.code == "intersection_outside_wall")
    assert (fault.path[-1], fault.facts["minimum"], fault.facts["maximum"]) == ("at_in", 1.75, 94.25)


def test_partitions_that_only_touch_are_no_fault():
    """3.5 deep at 40 and 43.5: 38.25 to 41.75 and 41.75 to 45.25; backing studs at 41.75 and 41.75 would be one and the same."""
    ladders = tuple(Intersection(ticks(x), "none") for x in ("40", "43.5"))
    assert len(lay_out(wall("96", intersections=ladders), BOOK.editions["irc-2021"], BOOK).studs) == 7


@pytest.mark.parametrize("offset", ["2.25", "8", "16"])
def test_the_first_layout_center_is_where_it_was_asked(offset):
    studs = lay_out(replace(wall("96"), first_stud_offset=ticks(offset)), BOOK.editions["irc-2021"], BOOK).studs
    assert studs[1].center == ticks(offset)


@pytest.mark.parametrize("offset", ["2.2499", "16.0001"])
def test_a_first_layout_center_out_of_range_is_refused(offset):
    with pytest.raises(FasteningError) as caught:
        lay_out(replace(wall("96"), first_stud_offset=ticks(offset)), BOOK.editions["irc-2021"], BOOK)
    assert caught.value.faults[0].code == "out_of_range"
