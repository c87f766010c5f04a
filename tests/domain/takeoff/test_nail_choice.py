"""The choice of nails: brute force over sets and assignments, hand cases, and laws."""

from dataclasses import replace
from fractions import Fraction
from itertools import chain, combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.joint.requirement import Question, judge
from service.domain.nails.words import read_designation
from service.domain.takeoff.loose import LooseJoints
from service.domain.takeoff.nail_choice import Kind, OnHand, Verdict, choose, choose_nails
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Sheathing, Wall
from service.tables.book import open_book
from service.ticks import PER_FT, ticks

BOOK = open_book()
CONNECTIONS = list(BOOK.connections.values())
PANEL = BOOK.connections["exterior-wall-panel-to-framing"]
GUN, COMMON, SHORT, EIGHT, THIN = (read_designation(w, BOOK) for w in ("3 x .131", "16d common", "2-1/2 x .131", "8d common", "3 x .120"))
PANELS = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), ticks(96), "vertical", None, None, "24/16")


def planned(sheathing=None, **more):
    wall = replace(Wall(8 * PER_FT, ticks(96)), sheathing=sheathing, **more)
    return plan_wall(Order(wall, Setting("irc-2021", GUN, sheathing_nail=EIGHT if sheathing else None)), BOOK)


def chosen(plans, *nails, joints=()):
    return choose_nails([(p, 1) for p in plans], joints, tuple(OnHand(n) for n in nails), BOOK)


verdicts = st.one_of(
    st.just(Verdict("engineering_required", None, "too short")),
    st.tuples(st.sampled_from(["prescriptive", "exceeds_listed", "calculated"]), st.integers(1, 9)).map(lambda v: Verdict(v[0], v[1], "")),
)


@st.composite
def cases(draw):
    count = draw(st.integers(1, 4))
    prices = draw(st.lists(st.none() | st.integers(1, 5).map(lambda c: Fraction(c, 100)), min_size=count, max_size=count))
    rows = draw(st.lists(st.tuples(*[verdicts] * count), max_size=4))
    nails = tuple(OnHand(GUN, price) for price in prices)
    joints = draw(st.tuples(*[st.sampled_from([CONNECTIONS[0], PANEL])] * len(rows)))
    return tuple(Kind(joint, row) for joint, row in zip(joints, rows, strict=True)), nails


def brute(kinds, nails):
    """Return the worth of the best set with the best assignment, by trying every set and every assignment."""
    served = [k for k in kinds if any(v.nail_count is not None for v in k.verdicts)]
    places = range(len(nails))
    best = None
    for some in chain.from_iterable(combinations(places, n) for n in range(len(nails) + 1)):
        for taken in product(some, repeat=len(served)):
            got = [k.verdicts[i] for k, i in zip(served, taken, strict=True)]
            if any(v.nail_count is None for v in got):
                continue
            money = [(nails[i].price_each, v.nail_count) for v, i in zip(got, taken, strict=True)]
            worth = (
                sum(bool(k.connection.panel) and v.outcome != "prescriptive" for k, v in zip(served, got, strict=True)),
                len(some),
                sum(v.outcome == "calculated" for v in got),
                sum(v.nail_count for v in got),
                sum(p is None for p, _ in money),
                sum(((p or 0) * n for p, n in money), Fraction(0)),
            )
            best = worth if best is None or worth < best else best
    return best


@given(cases())
def test_no_set_and_no_assignment_is_better(case):
    kinds, nails = case
    found = choose(kinds, nails)
    _, size, by_strength, count, unpriced, money = brute(kinds, nails)
    assert (len(found.nails), found.calculated_count, found.nail_count) == (size, by_strength, count)
    assert found.cost == (money if found.nails and not unpriced else None)


def row(*counts, outcome="prescriptive"):
    return tuple(Verdict(outcome if c else "engineering_required", c or None, "" if c else "short") for c in counts)


def test_of_equal_nails_the_cheapest_is_taken():
    nails = (OnHand(GUN, Fraction(3, 100)), OnHand(COMMON, Fraction(2, 100)), OnHand(THIN))
    found = choose((Kind(CONNECTIONS[0], row(4, 4, 4)),), nails)
    assert found.nails == (COMMON,)


def test_one_box_goes_before_fewer_nails():
    kinds = (Kind(CONNECTIONS[0], row(9, 2, 0)), Kind(CONNECTIONS[1], row(9, 0, 2)))
    assert choose(kinds, (OnHand(GUN), OnHand(COMMON), OnHand(EIGHT))).nails == (GUN,)


def test_listed_goes_before_fewer_nails():
    kinds = (Kind(CONNECTIONS[0], (Verdict("calculated", 2, ""), Verdict("prescriptive", 3, ""))),)
    assert choose(kinds, (OnHand(THIN), OnHand(GUN))).nails == (GUN,)


def test_what_no_nail_serves_is_set_aside_and_named():
    found = choose((Kind(CONNECTIONS[0], row(0, 0)), Kind(CONNECTIONS[1], row(0, 3))), (OnHand(SHORT), OnHand(GUN)))
    assert (found.nails, found.unserved) == ((GUN,), (CONNECTIONS[0],))


def test_no_joints_take_no_nails():
    assert choose((), (OnHand(GUN),)).nails == ()


def test_a_plain_wall_takes_the_nail_with_the_fewest():
    """8 ft at 16 in: 16d common 14 x 2 + 7 + 7 = 42, 3 x 0.131 14 x 3 + 9 + 9 = 60 (IRC 2021 Table R602.3(1) items 14, 15, 17)."""
    found = chosen([planned()], GUN, COMMON, SHORT)
    assert (found.nails, found.nail_count, found.kind_count) == ((COMMON,), 42, 3)
    assert [(a.serves_count, a.calculated_count, a.nail_count, len(a.refused)) for a in found.alone] == [
        (3, 0, 60, 0),
        (3, 0, 42, 0),
        (0, 0, 0, 3),
    ]


def test_a_sheathed_wall_takes_two_boxes_where_no_nail_does_both():
    """A clipped head holds no panel (pull-through asks for a full one); 2-1/2 in are too short for the end of a stud."""
    clipped = replace(GUN, head="clipped")
    found = chosen([planned(PANELS)], clipped, EIGHT)
    assert (found.nails, found.unserved) == ((clipped, EIGHT), ())
    by_joint = {a.connection.connection_id: a.nail for a in found.assignments}
    assert (by_joint["stud-to-plate-end-nail"], by_joint["exterior-wall-panel-to-framing"]) == (clipped, EIGHT)


def test_panels_take_a_listed_nail_of_the_shelf_before_a_longer_one():
    """IRC 2021 Table R602.3(3) lists 6d and 8d common for panels of 7/16 in; 16d common is at least as large, and is not in it."""
    found = chosen([planned(PANELS)], COMMON, EIGHT)
    assert (found.nails, {a.connection.connection_id: a.nail for a in found.assignments}[PANEL.connection_id]) == (
        (COMMON, EIGHT),
        EIGHT,
    )  # 16d for the framing
    assert "panels take a nail that their row lists" in found.reason
    assert chosen([planned(PANELS)], COMMON).nails == (COMMON,)


@given(cases())
def test_the_order_of_the_shelf_does_not_matter(case):
    kinds, nails = case
    shelf = tuple(hand._replace(nail=nail) for hand, nail in zip(nails, (GUN, COMMON, SHORT, EIGHT), strict=False))
    turned = tuple(k._replace(verdicts=k.verdicts[::-1]) for k in kinds)
    one, other = choose(kinds, shelf), choose(turned, shelf[::-1])
    assert (set(one.nails), set(one.assignments), one.cost) == (set(other.nails), set(other.assignments), other.cost)


@pytest.mark.parametrize("nail", [GUN, COMMON, THIN])
def test_one_nail_alone_counts_as_the_plan_with_it(nail):
    plans = [planned(), planned(bottom_plate_on="concrete")]
    found = chosen(plans, nail)
    whole = [plan_wall(Order(p.order.wall, Setting("irc-2021", nail)), BOOK) for p in plans]
    same = [line.nail_count for p in whole for line in p.lines if line.nail.coating == nail.coating]  # a treated plate takes others
    assert 0 < found.alone[0].nail_count == sum(same) < sum(p.framing_nail_count for p in whole)
    assert found.nail_count == found.alone[0].nail_count


def test_loose_joints_are_served_too():
    """3 of 8d common or 16d common stand for a ceiling joist (IRC 2021 Table R602.3(1) item 2; the longer, thicker nail exceeds)."""
    joists = LooseJoints(judge(Question("irc-2021", "ceiling-joist-to-top-plate-toe-nail", EIGHT), BOOK), 10, ())
    found = chosen([], EIGHT, joints=[joists])
    assert [(a.outcome, a.nail_count) for a in found.assignments] == [("prescriptive", 30)]


def test_nails_named_for_single_joints_are_no_matter_of_the_boxes_on_hand():
    wall = planned()
    named = replace(wall.order.setting, connection_nails=(("stud-to-plate-end-nail", SHORT),))
    plan = plan_wall(Order(wall.order.wall, named), BOOK)
    assert chosen([plan], GUN) == chosen([wall], GUN)


def test_another_nail_on_hand_is_never_worse():
    """A law of a best choice: what was there before can still be chosen."""
    one, more = chosen([planned(PANELS)], GUN), chosen([planned(PANELS)], GUN, COMMON, EIGHT)
    assert len(more.unserved) <= len(one.unserved)
    assert worth_of(more) <= worth_of(one)


def worth_of(found):
    larger = sum(a.connection == PANEL and a.outcome != "prescriptive" for a in found.assignments)
    return len(found.unserved), larger, len(found.nails), found.calculated_count, found.nail_count
