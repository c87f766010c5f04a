"""What a plan says of joints without a number: another nail is named only where it would help."""

import pytest

from service.domain.cautions.wall import advise_wall
from service.domain.joint.stop import Stop
from service.domain.nails.nail import by_id
from service.domain.site import Site
from service.domain.wall.headers import complete_openings
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Header, Opening, Sheathing, Wall
from service.tables.book import open_book
from service.ticks import PER_FT, ticks

BOOK = open_book()
SIXTEEN, EIGHT = by_id("16d-common", BOOK), by_id("8d-common", BOOK)
MILD = Site(110, "ultimate", "B", "B")
PLAIN = Wall(ticks(144), ticks("97.125"))
SHEETS = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), None, "vertical", None, None)
PAST = Stop("engineering_required_scope", "header 2-2x6 of opening w1 spans 96 in, past its row")
WIDE = Opening("w1", "window", ticks(24), ticks(96), ticks(36), ticks(80), Header(2, "2x6"), 2, 1, stops=(PAST,))
HELP, NO_HELP = "name another nail", "; see their cautions"


def said(wall, setting):
    notes = plan_wall(Order(wall, setting), BOOK).notes
    return [n for n in notes if n.startswith("no number, and not in the totals")]


def test_a_wall_with_every_number_says_nothing():
    assert said(PLAIN, Setting("irc-2021", SIXTEEN, site=MILD)) == []


def test_a_short_nail_may_be_changed():
    """8d common is 2-1/2 in: through a 1-1/2 in plate it leaves 1 in, under the 1-1/4 in that this service asks."""
    (note,) = said(PLAIN, Setting("irc-2021", EIGHT, site=MILD))
    assert "stud-to-plate-end-nail" in note and note.endswith("name another nail in connection_nails")


@pytest.mark.parametrize(
    ("wall", "site"),
    [
        pytest.param(PLAIN, Site(200, "ultimate", "B", "B"), id="wind past the prescriptive rules (IRC R301.2.1.1)"),
        pytest.param(PLAIN, Site(110, "ultimate", "B", "E"), id="seismic category E (IRC R301.2.2)"),
        pytest.param(Wall(ticks(144), ticks("97.125"), spacing=ticks(30)), MILD, id="studs 30 in apart (IRC Table R602.3(5))"),
    ],
)
@pytest.mark.parametrize("nail", [SIXTEEN, EIGHT])
def test_no_nail_lifts_a_limit_of_site_or_wall(wall, site, nail):
    notes = said(wall, Setting("irc-2021", nail, site=site))
    assert len(notes) == 1
    assert "stud-to-plate-end-nail" in notes[0] and notes[0].endswith(NO_HELP)


def test_no_nail_lifts_the_span_of_a_header():
    wall = Wall(ticks(144), ticks("97.125"), openings=(WIDE,))
    (note,) = said(wall, Setting("irc-2021", SIXTEEN, site=MILD))
    assert "built-up-header-face-nail" in note and "stud-to-plate" not in note and note.endswith(NO_HELP)


def test_what_a_nail_helps_and_what_it_does_not_are_said_apart():
    wall = Wall(ticks(144), ticks("97.125"), openings=(WIDE,))
    helped, rest = said(wall, Setting("irc-2021", EIGHT, site=MILD))
    assert "stud-to-plate-end-nail" in helped and HELP in helped
    assert "built-up-header-face-nail" in rest and rest.endswith(NO_HELP)


def test_panels_without_a_number_are_named_too():
    """A nail of 1-1/2 in leaves 1-1/16 in behind a 7/16 panel, under the 1-1/2 in of the 6d row (IRC Table R602.3(3))."""
    wall = Wall(ticks(144), ticks("97.125"), sheathing=SHEETS)
    (note,) = said(wall, Setting("irc-2021", SIXTEEN, sheathing_nail=by_id("smooth-1.5x0.099", BOOK), site=MILD))
    assert "exterior-wall-panel-to-framing" in note and note.endswith("name another nail in sheathing_nail")


def test_the_callers_own_close_spacing_is_no_matter_of_the_nail():
    close = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), None, "vertical", ticks(1), None)
    (note,) = said(Wall(ticks(144), ticks("97.125"), sheathing=close), Setting("irc-2021", SIXTEEN, sheathing_nail=EIGHT, site=MILD))
    assert note.endswith(NO_HELP)


@pytest.mark.parametrize(("jacks", "expected"), [(1, ["opening w1: 1 jack each side, the table asks 2"]), (2, [])])
def test_counts_under_the_header_table_are_said(jacks, expected):
    """Two 2x8 under 36 ft of roof and 30 psf: 4 ft 10 in with two jacks each side, x 0.70 under cripples: 40.6 in (Table R602.7(1), read once)."""
    opening = Opening("w1", "window", ticks(48), ticks(40), ticks(36), ticks(80), Header(2, "2x8"), jacks, 1)
    wall = Wall(ticks(144), ticks("97.125"), openings=(opening,), building_width=36 * PER_FT)
    site = Site(110, "ultimate", "B", "B", ground_snow_load_psf=30)
    framed, _ = complete_openings(wall, site, BOOK.editions["irc-2021"], BOOK)
    spoken = advise_wall(plan_wall(Order(framed, Setting("irc-2021", SIXTEEN, site=site)), BOOK), BOOK).wall
    assert [c.applies_because for c in spoken if c.code == "opening_studs_short"] == expected
