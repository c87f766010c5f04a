"""The merged cut list: hand counts of one wall, treated plates on their own line, and laws over several walls."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.conditions import Conditions
from service.domain.nails.words import read_designation
from service.domain.takeoff.cut_list import cut_list
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import EngineeredHeader, Opening, Wall
from service.tables.book import open_book
from service.ticks import PER_FT, inches, ticks

BOOK = open_book()
SETTING = Setting("irc-2021", read_designation("3 x .131", BOOK))


def planned(setting=SETTING, **more):
    """A plain wall of 8 ft, 96 in high."""
    return plan_wall(Order(replace(Wall(8 * PER_FT, ticks(96)), **more), setting), BOOK)


def lines(*plans):
    return {(c.nominal, c.treated, inches(c.length)): c.member_count for c in cut_list(plans)}


def test_a_plain_wall_by_hand():
    """8 ft at 16 in: 7 studs of 96 - 4.5 = 91.5 in; bottom, top and double top plate of 96 in."""
    assert lines((planned(), 1)) == {("2x4", False, 91.5): 7, ("2x4", False, 96): 3}


def test_the_bottom_plate_on_concrete_is_a_line_of_its_own():
    """Common practice, no source: only the plate on concrete is treated lumber; IRC R317.1 asks for it there."""
    assert lines((planned(bottom_plate_on="concrete"), 1)) == {
        ("2x4", False, 91.5): 7,
        ("2x4", False, 96): 2,
        ("2x4", True, 96): 1,
    }


@pytest.mark.parametrize("on", ["concrete", "wood_floor"])
def test_a_preservative_that_is_sent_is_of_the_plate_on_concrete_else_of_all(on):
    """The usual treatment is that of a plate on concrete; where there is none, what is sent can only mean the lumber itself."""
    given_ = replace(SETTING, conditions=Conditions(treatment="borate", bottom_plate_on=on))
    treated = {length for (_, t, length), _ in lines((planned(given_, bottom_plate_on=on), 1)).items() if t}
    assert treated == ({96} if on == "concrete" else {91.5, 96})


def test_engineered_headers_keep_their_section():
    opening = Opening("d", "door", ticks(30), ticks(36), None, ticks(80), EngineeredHeader(ticks("3.5"), ticks("5.5")), 1, 1)
    plan = planned(openings=(opening,))
    (beam,) = [c for c in cut_list([(plan, 2)]) if c.size]
    assert (beam.nominal, inches(beam.length), beam.member_count) == ("engineered", 39, 2)
    assert (inches(beam.size[0]), inches(beam.size[1])) == (3.5, 5.5)
    assert cut_list([(plan, 2)])[-1] is not None and cut_list([(plan, 2)])[-1].size


walls = st.lists(
    st.tuples(st.integers(2, 40), st.sampled_from(["2x4", "2x6"]), st.sampled_from(["wood_floor", "concrete"]), st.integers(1, 5)),
    max_size=5,
)


@given(walls)
def test_the_cut_list_has_the_sticks_of_all_walls_in_any_order(some):
    plans = [(planned(length=ft * PER_FT, stud=stud, bottom_plate_on=on), n) for ft, stud, on, n in some]
    found = cut_list(plans)
    assert sum(c.member_count for c in found) == sum(len(p.framing.members) * n for p, n in plans)
    assert sum(c.member_count * c.length for c in found) == sum(p.load.lumber_length * n for p, n in plans)
    assert cut_list(plans[::-1]) == found
