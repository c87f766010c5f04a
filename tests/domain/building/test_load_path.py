"""The path from the roof to what the wall stands on: what each link rests on, and laws of what makes it worse."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.domain.building.anchorage import anchor_wall
from service.domain.building.load_path import GRAVEST, load_path
from service.domain.building.uplift import CONNECTOR, ENGINEERING, NOT_CHECKED, OK
from service.domain.conditions import Conditions
from service.domain.nails.words import read_designation
from service.domain.site import Site
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Header, Opening, Sheathing, Wall
from service.tables.book import open_book
from service.ticks import ticks

BOOK = open_book()
NAIL, PANEL_NAIL = read_designation("3 x .131", BOOK), read_designation("8d common", BOOK)
SHEETS = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), None, "vertical", None, None, span_rating="24/16")
WALL = Wall(ticks(240), ticks("97.125"), sheathing=SHEETS)
ROOF = {"roof_pitch_in_12": 4, "roof_span": ticks(32 * 12), "tie_spacing": ticks(24)}


def links(wall=WALL, edition="irc-2021", nail=NAIL, roof=ROOF, assumed=(), site_assumed=(), **site):
    """Return how each link stands, and its uplift along the wall."""
    setting = Setting(edition, nail, (), PANEL_NAIL, Site(**site, assumed=site_assumed), Conditions(**roof, assumed=assumed))
    plan = plan_wall(Order(wall, setting), BOOK)
    return load_path(plan, anchor_wall(plan, BOOK), BOOK).links


def status(*args, **kwargs):
    return {link.name: link.status for link in links(*args, **kwargs)}


def test_a_flat_roof_of_32_ft_needs_connectors_down_to_the_floor():
    """Table R802.11, Exposure B, 115 mph, 24 in ties, 32 ft, under 5 in 12: 218 lb and 109 lb/ft, over 200 lb (R802.11) and 100 lb/ft (R602.3.5)."""
    found = links()
    assert [(x.name, x.status, x.uplift_lb, x.uplift_plf) for x in found] == [
        ("roof_tie", CONNECTOR, 218, 109),
        ("stud_to_plate", CONNECTOR, None, 109),
        ("sheathing", OK, None, None),
        ("plate_to_floor", CONNECTOR, None, 109),
    ]
    assert found[0].provenance.table == "R802.11"


def test_on_a_roof_of_5_in_12_nailing_does():
    """R602.3.5 and R802.11: 115 mph, Exposure B, 5 in 12, 32 ft."""
    assert set(status(roof={**ROOF, "roof_pitch_in_12": 5}).values()) == {OK}


def test_each_full_wall_above_takes_60_lb_a_foot_off():
    """Notes of Table R802.11: 109 - 60 = 49; under two walls nothing is left."""
    tall = [links(replace(WALL, supports=s, stud="2x6"))[0] for s in ("one_story_and_roof", "two_stories_and_roof")]
    assert [(x.name, x.status, x.uplift_plf) for x in tall] == [("wall_above", OK, 49), ("wall_above", OK, 0)]


@pytest.mark.parametrize(
    ("how", "link", "wanted"),
    [
        pytest.param({"roof": {}}, "roof_tie", NOT_CHECKED, id="a roof of which nothing is said"),
        pytest.param({"site_assumed": ("wind_speed_mph",)}, "roof_tie", NOT_CHECKED, id="an assumed wind is not known"),
        pytest.param({"edition": "irc-2018"}, "stud_to_plate", NOT_CHECKED, id="R602.3.5 is held for 2021 alone"),
        pytest.param({"edition": "irc-2024"}, "roof_tie", NOT_CHECKED, id="the uplift table of 2024 is not held"),
        pytest.param({"exposure": "D", "wind_speed_mph": 139}, "stud_to_plate", ENGINEERING, id="past the uplift table"),
        pytest.param({"nail": read_designation("3 x .113", BOOK)}, "stud_to_plate", ENGINEERING, id="a nail that does not serve"),
        pytest.param({"assumed": ("wall.braced",)}, "sheathing", NOT_CHECKED, id="whether it braces was not said"),
        pytest.param({"wall": replace(WALL, braced=True)}, "sheathing", NOT_CHECKED, id="a length of bracing is of the line"),
        pytest.param({"wall": replace(WALL, sheathing=None)}, "sheathing", NOT_CHECKED, id="no panels"),
    ],
)
def test_what_is_not_known_or_past_a_table_is_said(how, link, wanted):
    assert status(**how)[link] == wanted


def test_a_wall_on_concrete_ends_at_its_bolts_and_a_partition_has_no_path():
    slab = replace(WALL, bottom_plate_on="concrete")
    assert status(slab, roof={**ROOF, "roof_pitch_in_12": 5})["plate_to_foundation"] == OK
    assert status(slab)["plate_to_foundation"] == CONNECTOR
    assert status(slab, edition="ibc-2021")["plate_to_foundation"] == NOT_CHECKED
    assert links(replace(WALL, bearing=False, exterior=False, supports="none", sheathing=None)) == ()
    assert "roof_tie" not in status(replace(WALL, supports="one_floor_only"))


WINDS, EXPOSURES = [90, 110, 115, 120, 130, 139, 145], "BCD"


@given(
    st.sampled_from(["irc-2015", "irc-2018", "irc-2021"]),
    st.sampled_from(["roof_only", "one_story_and_roof"]),
    st.integers(12, 48),
    st.integers(2, 12),
    st.sampled_from([12, 16, 24]),
    st.lists(st.sampled_from(WINDS), min_size=2, max_size=2).map(sorted),
    st.lists(st.sampled_from(EXPOSURES), min_size=2, max_size=2).map(sorted),
)
@settings(max_examples=150, deadline=None)
def test_a_worse_site_or_a_wider_roof_never_stands_better(edition, supports, span, pitch, spacing, winds, exposures):
    """Law; a block of an edition that is not held is not known, and never stands as ok."""
    wall = replace(WALL, supports=supports)

    def found(wind, exposure, feet):
        roof = {"roof_pitch_in_12": pitch, "roof_span": ticks(feet * 12), "tie_spacing": ticks(spacing)}
        return status(wall, edition, roof=roof, wind_speed_mph=wind, exposure=exposure)

    mild, worse = found(winds[0], exposures[0], span), found(winds[1], exposures[1], min(48, span + 6))
    for name, before in mild.items():
        known = NOT_CHECKED not in (before, worse[name])
        assert GRAVEST.index(worse[name]) <= GRAVEST.index(before) if known else (worse[name] != OK or before == NOT_CHECKED)


def test_an_exposure_that_is_not_held_stands_no_better_than_the_mildest():
    """IRC 2018 Table R802.11 is held for Exposure B alone: 218 lb there at 32 ft and 4 in 12 asks for a connector, and C for no less."""
    assert status(edition="irc-2018")["roof_tie"] == CONNECTOR
    assert status(edition="irc-2018", exposure="C")["roof_tie"] == ENGINEERING
    mild = {**ROOF, "roof_pitch_in_12": 6, "roof_span": ticks(24 * 12)}
    assert status(edition="irc-2018", roof=mild, exposure="C")["roof_tie"] == NOT_CHECKED


def test_a_piece_of_plate_without_room_for_floor_nails_does_not_hold():
    """A piece of 9 in under two kings and a jack each side of it."""
    doors = tuple(Opening(n, "door", ticks(at), ticks(60), None, ticks("82.5"), Header(2, "2x8"), 1, 2) for n, at in (("a", 12), ("b", 81)))
    wall = replace(WALL, openings=doors, sheathing=None)
    steep = {**ROOF, "roof_pitch_in_12": 6}
    (foot,) = [x for x in links(wall, roof=steep) if x.name == "plate_to_floor"]
    assert foot.status == CONNECTOR and "no room for nails into the floor" in foot.reason
