"""What a stop cites: the limit that was passed, with its own confidence, not the row of the joint.

IRC R301.2.1.1 (wind), R301.2.2 (seismic), R301.2.3 (snow), Table R602.3(5) (studs), Table R602.3(3) (wall panels against wind),
IBC 2308.2.4 (wind): sections as the codes number them; confidences as the tables mark them (memory = not seen in print).
"""

import pytest

from service.domain.joint.requirement import Question, judge
from service.domain.joint.schedule import Selectors
from service.domain.joint.scope import stud_limits_passed
from service.domain.nails.nail import by_id
from service.domain.site import Site
from service.domain.wall.plan import plan_wall
from service.said import plain
from service.schemas.answers.wall import Plates
from service.schemas.asks.wall import read_wall
from service.tables.book import open_book
from service.ticks import ticks

BOOK = open_book()
NAIL = by_id("16d-common", BOOK)
HEAVY = {"ground_snow_load_psf": 90}
STOPS = [
    # edition, site, code, section, confidence
    pytest.param("irc-2021", Site(150), "IRC", "R301.2.1.1", "memory", id="IRC wind"),
    pytest.param("irc-2012", Site(150), "IRC", "R301.2.1.1", "single_source", id="IRC 2012 wind"),
    pytest.param("irc-2021", Site(100, seismic_design_category="E"), "IRC", "R301.2.2", "memory", id="IRC seismic"),
    pytest.param("irc-2021", Site(100, **HEAVY), "IRC", "R301.2.3", "memory", id="IRC snow"),
    pytest.param("ibc-2018", Site(100, ground_snow_load_psf=60), "IBC", "2308.2.3", "memory", id="IBC snow"),
    pytest.param("ibc-2018", Site(100, story_count=4), "IBC", "2308.2.1", "memory", id="IBC stories"),
    pytest.param("irc-2021", Site(100, story_count=4), "IRC", "R101.2", "memory", id="IRC stories"),
    pytest.param("ibc-2018", Site(150), "IBC", "2308.2.4", "single_source", id="IBC 2018 wind"),
    pytest.param("ibc-2018", Site(150, seismic_design_category="E"), "IBC", "2308.2.4", "memory", id="two: as weak as the weaker"),
]


@pytest.mark.parametrize(("edition", "site", "code", "section", "confidence"), STOPS)
def test_a_limit_of_the_site_is_cited_itself(edition, site, code, section, confidence):
    answer = judge(Question(edition, "stud-to-plate-end-nail", NAIL, site), BOOK)
    assert answer.stop.code == "engineering_required_scope"
    cited = answer.provenance
    assert (cited.code, cited.edition, cited.section, cited.confidence) == (code, edition[-4:], section, confidence)
    assert (cited.table, cited.item) == (None, None)


@pytest.mark.parametrize(
    ("edition", "cited"),
    [("irc-2018", ("IRC", "2018")), ("irc-2024", ("IRC", "2021")), ("ibc-2021", ("IRC", "2021"))],
)
def test_a_stud_limit_cites_the_table_it_was_read_in(edition, cited):
    """The stud table of 2024 and of the IBC is not held; the IRC one stands in for it and is named as such."""
    (stop,) = stud_limits_passed("2x4", ticks(24), ticks("92.625"), "one_story_and_roof", BOOK.editions[edition])
    answer = judge(Question(edition, "stud-to-plate-end-nail", NAIL, Site(100), wall_past=(stop,)), BOOK)
    assert "24 in is past the 16 in" in plain(answer.stop.because)
    found = answer.provenance
    assert (found.code, found.edition) == cited
    assert (found.section, found.table, found.item, found.confidence) == ("R602.3", "R602.3(5)", None, "memory")


def test_a_wall_panel_past_its_wind_cites_the_wind_table():
    asked = Selectors(panel_thickness=ticks("0.375"), stud_spacing=ticks(24))
    answer = judge(Question("irc-2021", "exterior-wall-panel-to-framing", by_id("8d-common", BOOK), Site(100), asked), BOOK)
    assert answer.stop.code == "engineering_required_scope"
    assert (answer.provenance.table, answer.provenance.confidence) == ("R602.3(3)", "verified")


def test_a_listed_nail_still_cites_its_row():
    answer = judge(Question("irc-2021", "stud-to-plate-end-nail", NAIL, Site(100)), BOOK)
    assert answer.stop is None
    assert (answer.provenance.table, answer.provenance.item) == ("R602.3(1)", "17")


@pytest.mark.parametrize(("edition", "section"), [("irc-2021", "R602.3.2"), ("ibc-2021", ""), ("irc-2012", "")])
def test_splice_plates_that_are_not_held_cite_no_section(edition, section):
    """IRC 2021 R602.3.2 holds plates of a single top plate; of the IBC and of IRC 2012 none are held."""
    wall = {"length_in": 120, "height_in": 97.125, "top_plate_count": 1, "start_corner": "three_stud"}
    ask = read_wall({"code_edition": edition, "framing_nail": {"nail_id": "16d-common"}, "wall": wall}, BOOK)
    plan = plan_wall(ask.order, BOOK)
    (plates,) = plan.tie_plates
    cited = Plates(plates, plan).provenance
    assert cited.section == section
    assert (plates.nail_count is None) == (section == "")
    assert section or "held" in cited.note
