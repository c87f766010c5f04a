"""Anchor bolts: the examples of the code's rule, what stands in their way, and laws of ends, spacing and count."""

from itertools import combinations
from math import ceil
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.building.anchorage import Anchorage, Anchored, anchor
from service.domain.building.bolts import lay_bolts
from service.domain.site import Site
from service.said import plain
from service.tables.book import open_book
from service.ticks import PER_IN, inches, ticks

BOOK = open_book()
RULES = BOOK.editions["irc-2021"].anchor_bolts
SIX_FEET = ticks(72)


def asked(*lengths: float, edition: str = "irc-2021", studs: Any = (), doors: Any = (), **more: Any) -> Anchorage:
    on = {k: more.pop(k) for k in ("seismic_design_category", "building_type", "wind_speed_mph", "assumed") if k in more}
    about = Anchored(Site(**on), more.pop("story_count", 1), more.pop("braced", False), **more)
    pieces = [(0, ticks(length)) for length in lengths]
    stretches = [[(ticks(a), ticks(b)) for a, b in some] for some in (studs, doors)]
    return anchor(pieces, about, BOOK.editions[edition], BOOK.rules, *stretches)


def places(found: Anchorage) -> list[list[float]]:
    return [[inches(x) for x in p.laid.positions] for p in found.pieces]


def test_a_sixteen_foot_plate_in_one_piece_and_in_two():
    """Assembled on the rule of R403.1.6: bolts 1 ft from each end, 14 ft between them.

    Two gaps would be 7 ft, over 6: three of 4 ft 8 in, four bolts. Cut in two, each 8 ft piece takes two bolts 6 ft apart.
    """
    whole, halves = asked(192), asked(96, 96)
    assert places(whole) == [[12, 68, 124, 180]]
    assert places(halves) == [[12, 84], [12, 84]]
    assert (whole.count, halves.count) == (4, 4)
    assert whole.provenance.section == "R403.1.6" and whole.provenance.confidence == "verified"


# Calculated examples of the rule: piece, end distance, bolts, spacing [in].
@pytest.mark.parametrize(("piece", "end", "count", "spacing"), [(288, 12, 5, 66), (96, 12, 2, 72), (36, 9, 2, 18), (12, 3.5, 2, 5)])
def test_placement_examples(piece, end, count, spacing):
    (at,) = places(asked(piece))
    assert at == [end + spacing * i for i in range(count)]
    assert inches(asked(piece).pieces[0].widest) == spacing


def test_a_hair_over_an_exact_multiple_takes_one_bolt_more():
    """24 in of ends and one gap of 72 in: 96 in."""
    assert (asked(96).count, asked(96.0001).count) == (2, 3)


# R403.1.6.1 as read in one copy: 4 ft over two stories in D0 to D2, and in townhouses in C.
TIGHT = [
    ("D1", "detached", 3, 48),
    ("D1", "detached", 2, 72),
    ("C", "townhouse", 3, 48),
    ("C", "townhouse", 2, 72),
    ("C", "detached", 3, 72),
    ("B", "townhouse", 3, 72),
]


@pytest.mark.parametrize(("category", "kind", "stories", "most"), TIGHT)
def test_bolts_stand_closer_in_tall_shaken_buildings(category, kind, stories, most):
    found = asked(288, seismic_design_category=category, building_type=kind, story_count=stories)
    assert inches(found.most_spacing) == most
    assert found.count == {72: 5, 48: 7}[most]  # ceil(264 / 72) + 1, ceil(264 / 48) + 1
    assert found.provenance.confidence == ("single_source" if most == 48 else "verified")


# R602.11.1: plate washers 3 x 3 x 0.229 in braced wall lines in D0 to D2, and in townhouses in C.
@pytest.mark.parametrize(
    ("category", "kind", "braced", "plate"),
    [("D0", "detached", True, True), ("D2", "detached", False, False), ("C", "townhouse", True, True), ("C", "detached", True, False)],
)
def test_plate_washers_in_braced_lines_of_high_categories(category, kind, braced, plate):
    washer = asked(96, seismic_design_category=category, building_type=kind, braced=braced).washer
    assert washer.plate == plate
    assert washer.provenance.section == "R602.11.1"
    assert washer.provenance.confidence == ("single_source" if plate else "verified")


def test_a_piece_under_a_foot_takes_no_two_bolts():
    found = asked(11, 96)
    assert [p.outcome for p in found.pieces] == ["engineering_required", "prescriptive"]
    assert (found.pieces[0].count, found.count, found.outcome) == (None, None, "engineering_required")
    assert "under the 12 in" in plain(found.pieces[0].reason) and "by 1 in" in plain(found.pieces[0].reason)


# R403.1.6 as read in one copy: short walls that join offset braced panels.
@pytest.mark.parametrize(("piece", "at"), [(12, []), (12.1, [6.05]), (24, [12]), (24.1, [6.025, 18.075])])
def test_short_walls_between_offset_panels(piece, at):
    found = asked(piece, joins_offset_panels=True)
    assert places(found) == [at]
    assert found.provenance.confidence == ("verified" if len(at) == 2 else "single_source")


@pytest.mark.parametrize("edition", ["irc-2024", "ibc-2021"])
def test_what_is_not_held_has_no_bolts(edition):
    found = asked(96, edition=edition)
    assert (found.outcome, found.count, found.washer, found.most_spacing) == ("no_data", None, None, None)


@pytest.mark.parametrize("more", [{"seismic_design_category": "E"}, {"wind_speed_mph": 150}])
def test_past_the_prescriptive_rules_no_bolts_are_counted(more):
    found = asked(96, 11, **more)
    assert (found.outcome, found.count, found.washer, found.most_spacing) == ("engineering_required", None, None, None)
    assert {p.outcome for p in found.pieces} == {"engineering_required"}


# What stands on the plate: a stud 1-1/2 in thick keeps an inch clear each side (common practice, no source).
def test_a_bolt_gives_way_to_a_stud():
    """A stud from 67.25 to 68.75 in takes the place at 68: 66.25 and 69.75 are free, both 1.75 in off; the nearer end is taken."""
    found = asked(192, studs=[(67.25, 68.75)])
    assert places(found) == [[12, 66.25, 124, 180]]
    assert "moved" in found.pieces[0].reason


def test_where_moving_a_bolt_would_pass_the_spacing_the_others_follow_or_one_more_is_set():
    """8 ft: bolts at 12 and 84, 72 apart. A stud over 12 in leaves 3.5 to 10.25: 84 would be 73.75 away, and 82.25 is over 12 from its end."""
    found = asked(96, studs=[(11.25, 12.75)])
    assert found.count == 3
    first, middle, last = places(found)[0]
    assert 3.5 <= first <= 10.25 and last >= 84
    assert max(middle - first, last - middle) <= 72
    assert "1 more" in found.pieces[0].basis and "one more" in found.pieces[0].reason
    # 100 in take three anyway, 38 in apart: the first bolt moves alone
    assert places(asked(100, studs=[(11.25, 12.75)])) == [[10.25, 50, 88]]


def test_where_no_place_is_free_it_is_said():
    found = asked(48, studs=[(0, 20)])
    assert found.count == 2
    assert "in the way" in found.pieces[0].reason and "12 in" in plain(found.pieces[0].reason)


def test_no_bolt_stands_in_a_door():
    found = asked(192, doors=[(60, 96)])
    assert [x for x in places(found)[0] if 60 < x < 96] == []


def test_studs_at_sixteen_inches_leave_every_bolt_a_place():
    """A 24 ft plate with studs at 16 in on center, corners of three at both ends and a king and jack each side of a window."""
    layout = [(16 * k - 0.75, 16 * k + 0.75) for k in range(1, 18)]
    studs = [(0, 4.5), (283.5, 288), (51, 54), (92, 95), *layout]
    at = places(asked(288, studs=studs))[0]
    assert len(at) == 5
    assert all(b <= x - 1 or a >= x + 1 for x in at for a, b in studs)
    assert 3.5 <= at[0] <= 12 and 276 <= at[-1] <= 284.5
    assert max(b - a for a, b in zip(at, at[1:], strict=False)) <= 72


def test_pieces_of_a_wall_keep_their_place_along_it():
    about = Anchored(Site(), 1, False)
    found = anchor([(ticks(96), ticks(192))], about, BOOK.editions["irc-2021"], BOOK.rules)
    assert places(found) == [[108, 180]]


# Laws
studs_of = st.lists(st.floats(0, 300), max_size=12).map(lambda found: [(x, x + 1.5) for x in found])
each_piece = given(length=st.floats(12, 500), studs=studs_of, tight=st.booleans())


def tightened(tight: bool) -> dict[str, Any]:
    return {"seismic_design_category": "D2", "story_count": 3} if tight else {}


@each_piece
def test_bolts_keep_their_ends_and_their_spacing(length, studs, tight):
    found = asked(length, studs=studs, **tightened(tight))
    (at,), hair = places(found), 2e-4
    assert 3.5 - hair <= at[0] <= 12 + hair and 3.5 - hair <= length - at[-1] <= 12 + hair
    assert all(0 < b - a <= (48 if tight else 72) + hair for a, b in zip(at, at[1:], strict=False))
    laid = found.pieces[0].laid
    clear = [x for x in laid.positions if x not in laid.in_the_way]
    assert all(
        b + RULES.clear_of_stud <= x or a - RULES.clear_of_stud >= x for x in clear for a, b in [(ticks(a), ticks(b)) for a, b in studs]
    )


@each_piece
def test_the_count_is_that_of_the_rule(length, studs, tight):
    """max(2, ceil((L - 2 max(3.5, min(12, L / 4))) / most) + 1); one more at most where a stud is in the way."""
    most = 48 if tight else 72
    end = max(3.5, min(12, length / 4))
    rule = max(2, ceil(round((length - 2 * end) / most, 9)) + 1)
    assert asked(length, **tightened(tight)).count == rule
    assert asked(length, studs=studs, **tightened(tight)).count in (rule, rule + 1)


@each_piece
def test_a_longer_piece_a_taller_building_and_a_worse_category_never_take_fewer(length, studs, tight):
    assert asked(length).count <= asked(length + 10).count
    for category in ("A", "B", "C", "D0", "D2"):
        low, high = (asked(length, seismic_design_category=category, story_count=n) for n in (1, 3))
        assert low.count <= high.count
        assert asked(length, seismic_design_category=category).count <= asked(length, seismic_design_category="D2", story_count=3).count


@given(length=st.integers(13, 60), studs=st.lists(st.integers(0, 58), max_size=5))
def test_a_bolt_is_in_the_way_only_where_every_place_was_tried(length, studs):
    """Every pair and triple of places on the half inch, tried one by one."""
    taken = [(ticks(x), ticks(x + 3)) for x in studs]
    laid = lay_bolts((0, ticks(length)), SIX_FEET, RULES, taken)
    half = PER_IN // 2
    free = [x for x in range(0, ticks(length) + 1, half) if all(x <= a or x >= b for a, b in taken)]
    lengths = ticks(length)

    def fits(at: tuple[int, ...]) -> bool:
        ends = RULES.end_least <= at[0] <= RULES.end_most and RULES.end_least <= lengths - at[-1] <= RULES.end_most
        return ends and all(RULES.apart <= b - a <= SIX_FEET for a, b in zip(at, at[1:], strict=False))

    near = [x for x in free if x <= RULES.end_most or x >= lengths - RULES.end_most]
    found = any(fits(at) for at in combinations(near, 2))
    if found:
        assert not laid.in_the_way and len(laid.positions) == 2
    if not laid.in_the_way:
        assert fits(laid.positions)
