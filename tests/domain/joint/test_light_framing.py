"""Panels on light framing woods, 2024: what the footnotes on specific gravity ask.

IRC 2024 Table R602.3(1) footnote f and Table R602.3(3) footnote d (Georgia and California copies), IBC 2024 Table 2304.10.2 footnotes e and
f (one copy): roofs on G 0.35 to under 0.42 take RSRS-03, 2-1/2 x 0.131 with a 0.281 in head; lighter alternates only from 0.42; walls
take 8 in at most in the field; under 0.35 a design. Gravities: NDS Table 12.3.3A.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.domain.joint.requirement import Question, judge
from service.domain.joint.schedule import Selectors
from service.domain.nails.nail import of_size
from service.domain.nails.words import read_designation
from service.domain.site import Site
from service.said import plain
from service.tables.book import open_book
from service.tables.schedule import Panel
from service.ticks import ticks

BOOK = open_book()
MILD = Site(100, "ultimate", "B", "B")
LIGHT = [("eastern-spruce", 0.41), ("balsam-fir", 0.36), ("northern-species", 0.35)]
LIGHTER = [("black-cottonwood", 0.33), ("northern-white-cedar", 0.31)]
PANELS = [name for name, row in BOOK.connections.items() if row.panel]


def roof(words, species, edition="irc-2024", thickness="0.4375", site=MILD):
    selectors = Selectors(use="roof", panel_thickness=ticks(thickness), stud_spacing=ticks(24))
    return judge(Question(edition, "wood-panel-to-framing", read_designation(words, BOOK), site, selectors, species), BOOK)


@pytest.mark.parametrize(("species", "gravity"), LIGHT)
@pytest.mark.parametrize("edition", ["irc-2024", "ibc-2024"])
@pytest.mark.parametrize("thickness", ["0.375", "0.5", "0.59375", "0.75"])
def test_a_roof_on_light_framing_takes_the_nail_of_the_footnote(species, gravity, edition, thickness):
    assert BOOK.species[species].specific_gravity == gravity
    asked = roof("RSRS-03", species, edition, thickness)
    assert (asked.outcome, asked.nailing) == ("prescriptive", Panel(ticks(6), ticks(6)))
    assert asked.provenance.confidence == ("verified" if edition == "irc-2024" else "single_source")
    greater = roof("RSRS-05", species, edition, thickness)  # 3 x 0.131
    assert (greater.outcome, greater.nailing) == ("exceeds_listed", Panel(ticks(6), ticks(6)))
    for words in ("8d common", "RSRS-01", "RSRS-04", "10d common", "2-1/4 x 0.099", "2-3/8 x 0.113 ring"):
        refused = roof(words, species, edition, thickness)
        assert refused.nailing is None and f"0.42 and over, not {gravity:g}" in refused.stop.because, words


@pytest.mark.parametrize("edition", ["irc-2024", "ibc-2024"])
def test_the_footnote_ends_at_0_42_and_with_the_edition(edition):
    assert roof("8d common", "spruce-pine-fir", edition).outcome == "prescriptive"
    assert roof("8d common", "balsam-fir", edition.replace("2024", "2021")).outcome == "prescriptive"


def test_thick_roof_panels_keep_their_row_and_lose_its_alternates():
    """Item 33, 7/8 to 1-1/4 in, carries no footnote f; the alternates of Table R602.3(2), 1 in at 3/3, ask for 0.42."""
    for species in ("spruce-pine-fir", "balsam-fir"):
        assert roof("10d common", species, thickness="1").nailing == Panel(ticks(6), ticks(12))
    assert roof("2-1/4 x 0.113", "spruce-pine-fir", thickness="1").outcome == "prescriptive"
    assert roof("2-1/4 x 0.113", "balsam-fir", thickness="1").nailing is None


def test_a_panel_that_only_alternates_list_is_refused_and_not_broken():
    """Table R602.3(2) has no least thickness to 1/2 in; 5/16 in on a roof of light framing has nothing else."""
    assert roof("2-1/4 x 0.099", "spruce-pine-fir", thickness="0.3125").outcome == "prescriptive"
    refused = roof("2-1/4 x 0.099", "balsam-fir", thickness="0.3125")
    assert refused.outcome == "engineering_required" and "0.42 and over" in refused.stop.because


@pytest.mark.parametrize("species", [s for s, _ in LIGHTER])
@pytest.mark.parametrize("edition", ["irc-2024", "ibc-2024"])
@pytest.mark.parametrize("connection", PANELS)
def test_panels_on_still_lighter_framing_take_a_design(species, edition, connection):
    thickness = "0.25" if connection == "interior-paneling-to-framing" else "0.5"  # 1/2 in paneling has no row at all
    selectors = Selectors(panel_thickness=ticks(thickness), stud_spacing=ticks(16))
    found = judge(Question(edition, connection, read_designation("8d common", BOOK), MILD, selectors, species), BOOK)
    assert found.nailing is None
    if found.outcome != "not_applicable":
        assert found.outcome == "engineering_required" and found.stop.code == "engineering_required_scope"
        assert "under the 0.35" in plain(found.stop.because)


def test_a_wall_of_the_2024_ibc_takes_eight_inches_in_the_field():
    """Carried over from IRC 2024 note d: the table was matched to it (one journal), so it is derived."""
    selectors = Selectors(panel_thickness=ticks("0.4375"), stud_spacing=ticks(16))
    nail = read_designation("8d common", BOOK)
    found = judge(Question("ibc-2024", "exterior-wall-panel-to-framing", nail, MILD, selectors, "balsam-fir"), BOOK)
    assert (found.nailing, found.provenance.confidence) == (Panel(ticks(6), ticks(8)), "derived")


nails = st.tuples(st.sampled_from([2, 2.25, 2.375, 2.5, 3]), st.sampled_from([99, 113, 120, 131, 148])).map(
    lambda n: of_size("smooth", ticks(str(n[0])), ticks(str(n[1] / 1000)))
)


@given(nails, st.sampled_from(["irc-2024", "ibc-2024"]), st.sampled_from(PANELS), st.sampled_from(["wall", "roof", "floor"]))
@settings(max_examples=300, deadline=None)
def test_listed_panel_nails_never_stand_farther_apart_in_lighter_framing(nail, edition, connection, use):
    selectors = Selectors(use=use, panel_thickness=ticks("0.5"), stud_spacing=ticks(16))
    woods = ("spruce-pine-fir", "balsam-fir", "northern-white-cedar")
    judged = [judge(Question(edition, connection, nail, MILD, selectors, wood), BOOK) for wood in woods]
    for denser, lighter in zip(judged, judged[1:], strict=False):
        if lighter.outcome not in ("prescriptive", "exceeds_listed"):
            continue
        assert denser.nailing is not None
        assert lighter.nailing.edge <= denser.nailing.edge and lighter.nailing.field <= denser.nailing.field
