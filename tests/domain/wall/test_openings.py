"""Openings: the worked wall with its window, doors, shared kings, faults, and laws over random walls."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.domain.nails.words import read_designation
from service.domain.wall.judging import Setting
from service.domain.wall.layout import lay_out
from service.domain.wall.notes import frame_notes
from service.domain.wall.plan import Order, locate, plan_wall
from service.domain.wall.wall import Header, Intersection, Opening, Wall
from service.errors import FasteningError
from service.said import plain
from service.tables.book import open_book
from service.ticks import inches, ticks

BOOK = open_book()
T = ticks("1.5")
DOUBLE = Header(2, "2x8", ticks("0.5"))


def window(at="54", width="38", sill="36", head="82.5", header=DOUBLE, jacks=1, kings=1, name="w1"):
    return Opening(name, "window", ticks(at), ticks(width), None if sill is None else ticks(sill), ticks(head), header, jacks, kings)


def door(at="54", width="38", head="82.5", header=DOUBLE, jacks=1, kings=1, name="d1"):
    return Opening(name, "door", ticks(at), ticks(width), None, ticks(head), header, jacks, kings)


def wall(*openings, length="288", height="97.125", **more):
    return Wall(ticks(length), ticks(height), openings=openings, **more)


def framing(built):
    return lay_out(built, BOOK.editions["irc-2021"], BOOK)


def plan(built):
    nails = (("built-up-header-face-nail", read_designation("16d box", BOOK)),)
    return plan_wall(Order(built, Setting("irc-2021", read_designation("3 x .131", BOOK), nails)), BOOK)


def spans(members):
    return [(inches(m.x), inches(m.right)) for m in members]


WORKED = wall(window(), start_corner="three_stud", intersections=(Intersection(ticks(120)),), braced=True)


def test_the_worked_wall_has_its_sticks():
    """Layout: 17 marks 16 to 272 less 64 and 80, which stand over the opening 54 to 92, make 15; both become cripples with the ends."""
    made = framing(WORKED)
    assert Counter(s.role for s in made.studs) == {"end_stud": 2, "stud": 15, "king_stud": 2, "backing_stud": 2, "corner_stud": 1}
    (frame,) = made.frames
    assert len(frame.left_jacks + frame.right_jacks) == 2
    # cripples: ends of the header 52.5 and 93.5, of the sill 54 and 92, marks 64 and 80
    assert [inches(c.center) for c in frame.head_cripples] == [53.25, 64, 80, 92.75]
    assert [inches(c.center) for c in frame.sill_cripples] == [54.75, 64, 80, 91.25]
    # 94.125 - (82.5 + 7.25) = 4.375; 36 - 1.5 - 1.5 = 33
    assert {inches(c.length) for c in frame.head_cripples} == {4.375}
    assert {inches(c.length) for c in frame.sill_cripples} == {33}


# IRC 2021 Table R602.3(1), 3 x 0.131: stud to plate 3 end or 4 toe; braced studs 12 in; header end 4 (3 x 0.131); top plates 12 in;
# splice 12 a side; lap 3; braced bottom plate 4 each 16 in; header plies 16d box 3-1/2 x 0.135 at 12 in each edge.
LINES = [
    # connection, joints, runs [in], nails
    pytest.param(
        "stud-to-plate-end-nail", 60, [], 180, id="22 x 2 + 2 jacks + 4 x 2 sill cripples + 4 head cripples + 2 sill ends = 60, x 3"
    ),
    pytest.param("stud-to-plate-toe-nail", 4, [], 16, id="4 head cripples at the header x 4"),
    pytest.param("stud-to-stud-face-nail", 0, [81, 81, 92.625, 92.625, 92.625, 92.625], 52, id="4 x 9 + 2 x (ceil(81/12) + 1 = 8)"),
    pytest.param("stud-to-header-end-nail", 2, [], 8, id="2 ends x 4"),
    pytest.param("built-up-header-face-nail", 0, [41], 10, id="2 edges x (ceil(41/12) + 1 = 5)"),
    pytest.param("top-plate-to-top-plate-face-nail", 0, [120, 168], 26, id="15 + 11"),
    pytest.param("top-plate-splice-face-nail", 3, [], 36, id="2 outer sides and the 24 in between two joints x 12"),
    pytest.param("top-plate-lap-face-nail", 2, [], 6, id="corner and partition x 3"),
    pytest.param("bottom-plate-to-floor-face-nail", 0, [96, 192], 72, id="(6 + 12) groups x 4"),
]


@pytest.mark.parametrize(("connection", "joints", "runs", "nails"), LINES)
def test_the_worked_wall_has_its_nails(connection, joints, runs, nails):
    (line,) = [x for x in plan(WORKED).lines if x.group.connection_id == connection]
    assert line.group.joint_count == joints
    assert sorted(inches(r) for r in line.group.run_lengths) == runs
    assert line.nail_count == nails


def test_the_worked_wall_adds_up_to_406():
    """180 + 16 + 52 + 8 + 10 + 26 + 36 + 6 + 72 = 406."""
    whole = plan(WORKED)
    assert whole.framing_nail_count == 406
    assert len(whole.lines) == len(LINES)


@pytest.mark.parametrize(("width", "cut"), [("38", 41), ("30.5", 33.5), ("60", 63)])
def test_a_header_is_cut_3_in_longer_than_the_rough_opening(width, cut):
    """Rough opening width + 3 in, one 1-1/2 jack each side: class resource page, 2020."""
    (frame,) = framing(wall(window(width=width))).frames
    assert [inches(h.length) for h in frame.header] == [cut, cut]


def test_two_jacks_make_the_header_6_in_longer():
    """38 + 2 x 2 x 1.5 = 44, from 54 - 3 = 51 to 95; kings at 49.5 and 95."""
    (frame,) = framing(wall(window(jacks=2))).frames
    assert spans(frame.header) == [(51, 95)] * 2
    assert spans(frame.left_jacks) == [(52.5, 54), (51, 52.5)]
    assert spans(frame.right_jacks) == [(92, 93.5), (93.5, 95)]
    assert spans(frame.left_kings + frame.right_kings) == [(49.5, 51), (95, 96.5)]


def test_a_jack_is_cut_to_the_head_height_less_the_plate():
    """82.5 - 1.5 = 81."""
    (frame,) = framing(WORKED).frames
    assert [inches(j.length) for j in frame.left_jacks + frame.right_jacks] == [81, 81]


def test_the_sill_is_as_long_as_the_opening_and_its_top_is_the_sill_height():
    """36 - 1.5 = 34.5."""
    (frame,) = framing(WORKED).frames
    assert (inches(frame.sill.x), inches(frame.sill.length), inches(frame.sill.z)) == (54, 38, 34.5)


def test_a_door_cuts_the_bottom_plate_between_its_jacks_and_has_no_sill():
    """16 ft stock from the start of each stretch: 0 to 54; 92 to 288 is 196, and no piece is under 24: 92 to 264, 264 to 288."""
    made = framing(wall(door()))
    assert spans(made.bottom_plates) == [(0, 54), (92, 264), (264, 288)]
    (frame,) = made.frames
    assert frame.sill is None and frame.sill_cripples == ()


def test_two_doors_leave_three_stretches_whatever_their_order():
    """Doors 54 to 92 and 200 to 238: stretches 0 to 54, 92 to 200, 238 to 288."""
    made = framing(wall(door("200", name="d2"), door()))
    assert spans(made.bottom_plates) == [(0, 54), (92, 200), (238, 288)]


def test_a_door_takes_no_nails_in_a_plate_that_is_not_there():
    """Joints: end and layout studs and kings at both plates, jacks at the bottom, head cripples at the top, no sill.

    Marks 16 to 272 are 17 less 64 and 80: 15; + 2 ends + 2 kings = 19. 19 x 2 + 2 jacks + 4 head cripples = 44.
    """
    (line,) = [x for x in plan(wall(door())).lines if x.group.connection_id == "stud-to-plate-end-nail"]
    assert line.group.joint_count == 44
    for at_bottom in (j for j in line.group.joints if j.z == 0):
        assert not ticks(54) < at_bottom.upright.center < ticks(92)


def test_openings_a_king_and_two_jacks_apart_share_the_king():
    """First opening 54 to 92: jack 92 to 93.5, king 93.5 to 95, next jack 95 to 96.5, so the next opening starts at 96.5."""
    made = framing(wall(window(), window("96.5", "30", name="w2")))
    assert spans(s for s in made.studs if s.role == "king_stud") == [(51, 52.5), (93.5, 95), (128, 129.5)]
    first, second = made.frames
    assert first.right_kings == second.left_kings
    # runs: left king, shared king with each jack, right king: 4 of 81 in
    (line,) = [x for x in plan(wall(window(), window("96.5", "30", name="w2"))).lines if x.group.connection_id == "stud-to-stud-face-nail"]
    assert [inches(r) for r in line.group.run_lengths] == [81] * 4


def test_touching_kings_of_two_openings_are_nailed_to_each_other():
    """Kings 93.5 to 95 and 95 to 96.5, next jack 96.5 to 98: 4 runs of 81 and one of 92.625."""
    (line,) = [x for x in plan(wall(window(), window("98", "30", name="w2"))).lines if x.group.connection_id == "stud-to-stud-face-nail"]
    assert sorted(inches(r) for r in line.group.run_lengths) == [81] * 4 + [92.625]


def test_a_king_that_is_the_end_stud_is_counted_once():
    """Opening at 3: jack 1.5 to 3, king 0 to 1.5. 2 ends + 1 king + marks 48 to 272 (15; 16 and 32 stand over 3 to 41) = 18."""
    made = framing(wall(window("3")))
    assert spans(s for s in made.studs if s.x < ticks(3)) == [(0, 1.5)]
    assert len(made.studs) == 18
    assert inches(made.frames[0].left_kings[0].x) == 0


def test_a_king_that_is_the_last_end_stud_is_counted_once():
    """Opening 247 to 285: jack 285 to 286.5, king 286.5 to 288. Marks 16 to 240 (15); king at 244 to 245.5; 2 ends: 18."""
    made = framing(wall(window("247")))
    assert spans(s for s in made.studs if s.right > ticks(285)) == [(286.5, 288)]
    assert len(made.studs) == 18


def test_an_opening_that_does_not_bear_has_a_flat_head():
    """Head piece 54 to 92 at 82.5, nailed at its 2 ends like the sill; cripples 94.125 - 84 = 10.125. No header lines."""
    built = wall(window(header=None, jacks=0), bearing=False, supports="none")
    (frame,) = framing(built).frames
    assert spans(frame.header) == [(54, 92)] and inches(frame.header[0].height) == 1.5
    assert {inches(c.length) for c in frame.head_cripples} == {10.125}
    assert any("no header" in n for n in frame_notes(frame, built))
    lines = {x.group.connection_id: x for x in plan(built).lines}
    assert not {"stud-to-header-end-nail", "header-to-stud-toe-nail", "built-up-header-face-nail"} & set(lines)
    # 17 marks - 2 + 2 ends + 2 kings = 19; 19 x 2 + 4 x 2 sill cripples + 4 head cripples + 2 sill ends + 2 head ends = 54
    assert lines["stud-to-plate-end-nail"].group.joint_count == 54


def test_a_gap_under_one_and_a_half_takes_no_cripples_and_says_so():
    """Head 85.5 + 7.25 = 92.75; 94.125 - 92.75 = 1.375. Sill 4.375 - 3 = 1.375."""
    built = wall(window(sill="4.375", head="85.5"))
    (frame,) = framing(built).frames
    assert frame.head_cripples == () and frame.sill_cripples == ()
    assert sum("1.375 in" in plain(n) and "no cripples" in n for n in frame_notes(frame, built)) == 2


def test_a_gap_of_one_and_a_half_takes_cripples():
    """Head 85.375 + 7.25 = 92.625; 94.125 - 92.625 = 1.5."""
    built = wall(window(head="85.375"))
    (frame,) = framing(built).frames
    assert len(frame.head_cripples) == 4 and list(frame_notes(frame, built)) == []


def test_a_header_tight_under_the_plates_is_no_fault_and_has_no_note():
    """86.875 + 7.25 = 94.125."""
    built = wall(window(head="86.875"))
    (frame,) = framing(built).frames
    assert frame.head_cripples == () and list(frame_notes(frame, built)) == []


def test_a_mark_that_would_overlap_a_jack_becomes_no_stud_but_one_over_the_opening_is_a_cripple():
    """Opening 79.5 to 117.5: mark 80 is over it, its cripple 79.25 to 80.75 overlaps the end cripple, so only the marks 96 and 112 are."""
    made = framing(wall(window("79.5")))
    assert [inches(c.center) for c in made.frames[0].sill_cripples] == [80.25, 96, 112, 116.75]
    assert 80 not in [inches(s.center) for s in made.studs]


# What cannot be built, each with its code and the words that must be in the detail.
FAULTS = [
    pytest.param(wall(window("2")), "opening_outside_wall", ["w1", "-1", "288"], id="king at -1"),
    pytest.param(wall(window("248")), "opening_outside_wall", ["w1", "289", "288"], id="king to 289"),
    pytest.param(wall(window(), window("94", name="w2")), "members_overlap", ["w1", "w2"], id="frames overlap"),
    pytest.param(wall(window(), window(name="w2")), "members_overlap", ["w1", "w2"], id="one opening twice"),
    pytest.param(wall(window(), window("60", "20", name="w2")), "members_overlap", ["w1", "w2"], id="opening in an opening"),
    pytest.param(
        wall(window(), intersections=(Intersection(ticks(70)),)), "members_overlap", ["w1", "intersections/0"], id="backing in it"
    ),
    pytest.param(wall(window("5"), start_corner="three_stud"), "members_overlap", ["w1", "start_corner"], id="king in a corner stud"),
    pytest.param(wall(window("3.5")), "members_overlap", ["w1", "start end stud"], id="king half over the end stud"),
    pytest.param(wall(window(head="87")), "header_does_not_clear", ["w1", "94.25", "94.125"], id="87 + 7.25 = 94.25"),
    pytest.param(wall(window(sill="2.9")), "sill_too_low", ["3"], id="sill under two plates"),
    pytest.param(wall(window(head="36")), "head_below_sill", ["36"], id="head at sill"),
    pytest.param(wall(window(head="30")), "head_below_sill", ["30", "36"], id="head under sill"),
    pytest.param(wall(window(), window("150")), "duplicate_id", ["w1"], id="same id"),
    pytest.param(wall(window(sill=None)), "missing_field", ["window"], id="window without sill"),
    pytest.param(wall(replace(door(), sill_height=ticks(36))), "conflicting_fields", ["door", "sill"], id="door with sill"),
    pytest.param(wall(window(header=None)), "missing_field", ["header"], id="bearing without header"),
]


@pytest.mark.parametrize(("built", "code", "words"), FAULTS)
def test_what_cannot_be_built_is_a_fault_with_its_numbers(built, code, words):
    with pytest.raises(FasteningError) as raised:
        framing(built)
    said = [plain(f.detail) + " " + " ".join(str(p) for p in f.path) for f in raised.value.faults if f.code == code]
    assert any(all(w in s for w in words) for s in said), raised.value.faults


def outside(built):
    with pytest.raises(FasteningError) as raised:
        framing(built)
    return next(f for f in raised.value.faults if f.code == "opening_outside_wall")


@pytest.mark.parametrize("at", ["2", "248", "300"])
def test_an_opening_past_the_wall_is_told_where_it_may_stand(at):
    """One jack and one king of 1-1/2 in each side: from 3 in to 288 - 38 - 3 = 247 in."""
    fault = outside(wall(window(at)))
    assert (fault.path[-1], fault.facts["minimum"], fault.facts["maximum"]) == ("at_in", 3, 247)
    for edge in ("3", "247"):
        assert framing(wall(window(edge))).frames


def test_an_opening_wider_than_its_wall_is_told_how_wide_it_may_be():
    """36 in less 3 in each side is 30 in."""
    fault = outside(replace(wall(window("3")), length=ticks(36)))
    assert (fault.path[-1], fault.facts) == ("width_in", {"received": 38, "limit": 30})


EIGHTH = ticks("0.125")
DETAILS = st.tuples(
    st.integers(0, 400),  # space before the outer king, eighths
    st.integers(8 * 8, 90 * 8),  # width, eighths
    st.booleans(),  # door
    st.integers(3 * 8, 40 * 8),  # sill, eighths
    st.integers(60 * 8, 82 * 8),  # head, eighths
    st.sampled_from([Header(1, "2x6"), DOUBLE, Header(3, "2x8"), Header(2, "2x10", ticks("0.5"))]),
    st.integers(1, 3),
    st.integers(1, 2),
)


@st.composite
def walls(draw):
    corner, far = (draw(st.sampled_from(["none", "two_stud", "three_stud", "four_stud"])) for _ in range(2))
    extra = {"none": 0, "two_stud": 0, "three_stud": 1, "four_stud": 2}
    x, made = T * (1 + extra[corner]), []
    for k, (space, width, is_door, sill, head, header, jacks, kings) in enumerate(draw(st.lists(DETAILS, max_size=3))):
        at = x + space * EIGHTH + T * (jacks + kings)
        kind = "door" if is_door else "window"
        made.append(Opening(f"o{k}", kind, at, width * EIGHTH, None if is_door else sill * EIGHTH, head * EIGHTH, header, jacks, kings))
        x = at + width * EIGHTH + T * (jacks + kings)
    length = max(x + draw(st.integers(0, 400)) * EIGHTH + T * (1 + extra[far]), ticks(48))
    return Wall(
        length,
        ticks(draw(st.sampled_from(["97.125", "109.125", "121.125"]))),
        stud="2x6" if any(o.header.ply_count == 3 for o in made) else "2x4",
        spacing=ticks(draw(st.sampled_from(["12", "16", "19.2", "24"]))),
        openings=tuple(made),
        start_corner=corner,
        end_corner=far,
        braced=draw(st.booleans()),
        bottom_plate_on=draw(st.sampled_from(["wood_floor", "concrete"])),
        stud_to_plate_method=draw(st.sampled_from(["end_nail", "toe_nail", "toe_nail_bottom"])),
    )


@settings(max_examples=60, deadline=None)
@given(walls())
def test_there_is_a_position_for_every_nail_on_its_member(built):
    whole = plan(built)
    found = Counter()
    for line, spot in locate(whole):
        found[id(line)] += 1
        m, what = spot.member, (line.group.connection_id, inches(spot.x), inches(spot.z), spot.member)
        assert m.x <= spot.x <= m.right and m.z <= spot.z <= m.z + m.height, what
        assert 0 <= spot.x <= built.length and 0 <= spot.z <= built.height, what
    assert [found[id(line)] for line in whole.lines] == [line.nail_count or 0 for line in whole.lines]


@settings(max_examples=100, deadline=None)
@given(walls())
def test_uprights_share_no_more_than_a_face_and_all_members_are_in_the_wall(built):
    made = framing(built)
    for m in made.members:
        assert m.x >= 0 and m.right <= built.length and m.z >= 0 and m.z + m.height <= built.height, m
        assert m.width > 0 and m.height > 0, m
    for i, a in enumerate(made.uprights):
        for b in made.uprights[i + 1 :]:
            if b.x >= a.right:
                break
            assert a.z + a.height <= b.z or b.z + b.height <= a.z, (a, b)


@settings(max_examples=100, deadline=None)
@given(walls())
def test_no_stick_stands_in_an_opening(built):
    made = framing(built)
    for o in built.openings:
        for m in made.members:
            apart_x = m.right <= o.at or m.x >= o.at + o.width
            apart_z = m.z + m.height <= (o.sill_height or 0) or m.z >= o.head_height
            assert apart_x or apart_z, (o, m)


def closest(spots):
    """The first two nails nearer than a quarter inch, those of pieces under 6 in left out."""
    near = ticks("0.25")
    kept = sorted((s for s in spots if s[1].member.length >= ticks(6)), key=lambda s: s[1].x)
    for i, (line, a) in enumerate(kept):
        for other, b in kept[i + 1 :]:
            if b.x - a.x >= near:
                break
            if (a.x - b.x) ** 2 + (a.y - b.y) ** 2 + (a.z - b.z) ** 2 < near**2:
                return line.group.connection_id, other.group.connection_id, [(inches(s.x), inches(s.y), inches(s.z)) for s in (a, b)]
    return None


def test_three_jacks_and_a_king_share_no_nail_place():
    """Each of the pairs king-jack, jack-jack, jack-jack is nailed from a face of its own, on either side of the opening."""
    assert closest(list(locate(plan(wall(window("60", jacks=3)))))) is None


def test_headers_of_neighbors_with_touching_kings_share_no_nail_place():
    """Kings 93.5 to 95 and 95 to 96.5: the ends of both headers, at one height, are nailed from the face 95 between the kings."""
    assert closest(list(locate(plan(wall(window(), window("98", "30", name="w2")))))) is None


def test_header_end_nails_give_way_to_the_run_between_two_kings():
    """Kings 14 to 15.5 and 15.5 to 17 are nailed together from the face 15.5, where the header's end nails come through too.

    Run 1.5 to 94.125 at 12: nails 12.375 apart from 4.5, one of them at 76.6875; header 72 to 77.5: a nail at 76.5.
    """
    thin = Header(2, "2x6", ticks("0.5"))
    openings = (window("4.5", "8", head="72", header=thin), window("20", "8", head="72", header=thin, kings=2, name="w2"))
    built = wall(*openings, length="48", spacing=ticks(12))
    assert closest(list(locate(plan(built)))) is None


def test_toe_nails_do_not_start_in_a_gap_too_narrow_to_drive_them():
    """Opening at 4.625: jack 3.125, king 1.625 to 3.125, 1/8 in from the end stud 0 to 1.5."""
    assert closest(list(locate(plan(wall(window("4.625"), stud_to_plate_method="toe_nail"))))) is None


@settings(max_examples=60, deadline=None)
@given(walls())
def test_no_two_nails_stand_within_a_quarter_inch(built):
    assert closest(list(locate(plan(built)))) is None


@settings(max_examples=60, deadline=None)
@given(st.integers(8 * 8, 120 * 8), st.integers(0, 48 * 8), st.integers(1, 3))
def test_a_wider_opening_never_takes_a_shorter_header_nor_one_longer_than_its_jacks_allow(eighths, more, jacks):
    def header(width):
        (frame,) = framing(wall(replace(window("60", jacks=jacks), width=width))).frames
        return frame.header[0].length

    narrow, wide = eighths * EIGHTH, (eighths + more) * EIGHTH
    assert header(narrow) <= header(wide) == wide + 2 * jacks * T
