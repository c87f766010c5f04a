"""Braced wall lines: published readings, assembled examples, laws of the tables and of the check."""

from dataclasses import replace
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString
from shapely.ops import unary_union

from service.domain.building.bracing import Factor, Required, check_line
from service.domain.building.line import BracedLine, BracePanel, LineWall, panels_of
from service.domain.building.remedies import remedies
from service.domain.site import Site
from service.domain.wall.wall import Header, Opening, Sheathing, Wall
from service.errors import FasteningError
from service.said import plain
from service.schemas.asks.bracing import read_bracing_line
from service.tables.book import open_book
from service.ticks import PER_FT, inches, ticks

BOOK = open_book()
HELD = [e for e, edition in BOOK.editions.items() if edition.bracing]
ORDER = {"adequate": 0, "needs_check": 1, "short": 2, None: 3}


def panel(name, start, length, opening=0):
    return BracePanel(name, ticks(start), ticks(length), ticks(opening))


def sheets(thickness="0.4375", between=0):
    return Sheathing("wood_structural_panel", ticks(thickness), ticks(48), None, "vertical", None, None, material_between=ticks(between))


LINE = BracedLine(
    edition_id="irc-2018",
    site=Site(wind_speed_mph=120),
    supports="roof_only",
    method_id="CS-WSP",
    length=40 * PER_FT,
    wall_height=ticks(120),
    line_spacing=40 * PER_FT,
    line_count=2,
    eave_to_ridge=10 * PER_FT,
    story_count=1,
    panels=(panel("a", 0, 60), panel("b", 216, 60), panel("c", 420, 60)),
    gypsum_inside=True,
    blocked=True,
    end_condition="return_panel",
    sheathing_complete=True,
    masonry_veneer=False,
    roof_dead_load_psf=15,
)


def checked(**more):
    return check_line(replace(LINE, **more), BOOK)


# Table reading: IRC 2018 printed page 221, top story, 120 mph, lines 40 ft apart.
@pytest.mark.parametrize(("method", "length"), [("GB", 13.5), ("WSP", 8.0), ("CS-WSP", 6.5)])
def test_the_wind_table_at_its_own_lines(method, length):
    wind = checked(method_id=method).wind
    assert wind.tabulated_ft == length
    assert wind.length_ft == length  # one story in B, 10 ft eave to ridge, 10 ft wall, two lines: every factor 1


# Assembled from the table and the published factors (JLC figure on IRC adjustment factors; Wisconsin SPS 321.25 notes).
@pytest.mark.parametrize(
    ("changes", "length"),
    [
        pytest.param({"wall_height": ticks(108)}, 6.5 * 0.95, id="9 ft wall"),
        pytest.param({"wall_height": ticks(108), "gypsum_inside": False}, 6.5 * 0.95 * 1.4, id="9 ft wall, no gypsum inside"),
        pytest.param({"wall_height": ticks("109.125")}, 6.5 * 0.95, id="a wall of 9 ft precut studs is a 9 ft wall"),
        pytest.param(
            {
                "site": Site(wind_speed_mph=120, exposure="C"),
                "supports": "one_story_and_roof",
                "story_count": 2,
                "line_spacing": 20 * PER_FT,
                "wall_height": ticks(96),
                "method_id": "WSP",
            },
            8.0 * 1.3 * 0.9,
            id="first of two stories, exposure C, 8 ft wall",
        ),
        pytest.param({"line_count": 3}, 6.5 * 1.3, id="three lines"),
        pytest.param({"line_count": 9}, 6.5 * 1.6, id="five lines or more"),
        pytest.param({"method_id": "WSP", "hold_down": True}, 8 * 0.8, id="hold-downs, top story"),
        pytest.param({"blocked": False}, 6.5 * 2, id="joints without blocking"),
        # read between lines 30 and 40 ft apart: 5.0 and 6.5; between 120 and 130 mph: 6.5 and 7.5
        pytest.param({"line_spacing": 35 * PER_FT}, 5.75, id="35 ft"),
        pytest.param({"site": Site(wind_speed_mph=125)}, 7.0, id="125 mph"),
    ],
)
def test_factors_multiply(changes, length):
    assert checked(**changes).wind.length_ft == pytest.approx(length, rel=1e-9)


def test_portal_frames_take_no_gypsum_factor():
    """The factor for gypsum left out is not for portal frames (Table R602.10.3(2))."""
    factors = checked(method_id="CS-PF", gypsum_inside=False).wind.factors
    assert "gypsum_omitted" not in {f.name for f in factors}


# Table R602.10.3(3), category D2, one story, line of 40 ft: WSP 10.0, GB 16.0; (4): roof 15 to 25 psf 1.2 on the top story
@pytest.mark.parametrize(
    ("changes", "length"),
    [
        pytest.param({"method_id": "WSP"}, 10.0, id="WSP"),
        pytest.param({"method_id": "GB"}, 16.0, id="GB"),
        pytest.param({"method_id": "WSP", "roof_dead_load_psf": 20}, 12.0, id="20 psf roof"),
        pytest.param({"method_id": "WSP", "line_spacing": 30 * PER_FT}, 12.0, id="lines 30 ft apart"),
        pytest.param({"method_id": "WSP", "wall_height": ticks(132)}, 12.0, id="11 ft wall"),
    ],
)
def test_the_seismic_length(changes, length):
    site = Site(wind_speed_mph=110, seismic_design_category="D2")
    found = checked(site=site, line_spacing=changes.pop("line_spacing", 25 * PER_FT), **changes)
    assert found.seismic.length_ft == pytest.approx(length, rel=1e-9)
    assert found.required == max(-int(-r.length_ft * PER_FT // 1) for r in (found.wind, found.seismic))


@pytest.mark.parametrize(
    ("site", "asked"),
    [
        (Site(seismic_design_category="B"), False),
        (Site(seismic_design_category="C"), False),
        (Site(seismic_design_category="C", building_type="townhouse"), True),
        (Site(seismic_design_category="D0"), True),
    ],
)
def test_who_needs_the_seismic_length(site, asked):
    """D0 to D2 all buildings and townhouses in C; detached houses to C use wind only (R602.10.3)."""
    assert (checked(site=site, line_spacing=20 * PER_FT).seismic is not None) == asked


# Table R602.10.5, read in the 2015 and 2021 copies: 8 ft wall unless said.
LEAST = [
    pytest.param("WSP", "96", 0, 48, id="WSP 48"),
    pytest.param("WSP", "132", 0, 53, id="WSP at 11 ft 53"),
    pytest.param("LIB", "108", 0, 62, id="LIB at 9 ft 62"),
    pytest.param("LIB", "132", 0, None, id="LIB at 11 ft: not permitted"),
    pytest.param("CS-WSP", "96", 64, 24, id="beside an opening of 64"),
    pytest.param("CS-WSP", "96", 65, 26, id="of 65: the row of 68"),
    pytest.param("CS-WSP", "96", 80, 32, id="of 80"),
    pytest.param("CS-WSP", "97.125", 80, 32, id="97-1/8 reads the 8 ft column"),
    pytest.param("CS-WSP", "102", 80, 32, id="8 ft 6: the greater of 32 and 30"),
    pytest.param("CS-WSP", "96", 100, None, id="an opening taller than the wall"),
    pytest.param("PFG", "96", 0, 24, id="PFG 24"),
]


@pytest.mark.parametrize(("method", "height", "opening", "least"), LEAST)
def test_the_shortest_panel_that_counts(method, height, opening, least):
    found = checked(method_id=method, wall_height=ticks(height), panels=(panel("a", 0, 200, opening),))
    assert found.panels[0].least == (None if least is None else ticks(least))
    assert found.panels[0].counts == (least is not None)


# Table R602.10.5.2: at 8 ft 48 -> 48, 42 -> 36, 36 -> 27; at 9 ft 42 -> 36 and nothing at 36; not in D0 to D2.
@pytest.mark.parametrize(
    ("length", "height", "category", "contributing"),
    [
        ("48", "96", "B", 48),
        ("45", "96", "B", 42),
        ("42", "96", "B", 36),
        ("36", "96", "B", 27),
        ("35.9", "96", "B", 0),
        ("42", "108", "B", 36),
        ("41", "108", "B", 0),
        ("42", "120", "B", 0),
        ("42", "96", "D0", 0),
    ],
)
def test_short_panels_count_in_part(length, height, category, contributing):
    site = Site(seismic_design_category=category)
    found = checked(method_id="WSP", site=site, line_spacing=20 * PER_FT, wall_height=ticks(height), panels=(panel("a", 0, length),))
    assert inches(found.panels[0].contributing) == contributing


# What a panel contributes: Table R602.10.5, last column.
@pytest.mark.parametrize(
    ("method", "length", "category", "contributing"),
    [
        ("GB", "96", "B", 48),
        ("ABW", "32", "B", 48),
        ("PFH", "20", "B", 48),
        ("PFG", "30", "B", 45),
        ("CS-PF", "20", "B", 30),
        ("CS-PF", "20", "D0", 20),
    ],
)
def test_what_a_panel_contributes(method, length, category, contributing):
    site = Site(seismic_design_category=category)
    found = checked(method_id=method, site=site, line_spacing=20 * PER_FT, wall_height=ticks(96), panels=(panel("a", 0, length),))
    assert inches(found.panels[0].contributing) == contributing


# R602.10.2.2: first panel within 10 ft of each end, 20 ft between edges; R602.10.2.3: two panels, or one of 48 in up to 16 ft.
LAYOUT = [
    pytest.param({"panels": (panel("a", 120, 60), panel("b", 300, 60))}, True, id="10 ft at both ends"),
    pytest.param({"panels": (panel("a", "120.1", 60), panel("b", 300, 60))}, False, id="a hair past 10 ft"),
    pytest.param({"panels": (panel("a", 0, 60), panel("b", 300, 180))}, True, id="20 ft between"),
    pytest.param({"panels": (panel("a", 0, "59.9"), panel("b", 300, 180))}, False, id="a hair past 20 ft"),
    pytest.param({"panels": (panel("a", 0, 480),)}, True, id="a blind wall of 40 ft holds ten"),
    pytest.param({"length": 18 * PER_FT, "panels": (panel("a", 60, 96),)}, True, id="8 ft hold two"),
    pytest.param({"length": 18 * PER_FT, "panels": (panel("a", 60, "95.9"),)}, False, id="one panel in 18 ft"),
    pytest.param({"length": 16 * PER_FT, "panels": (panel("a", 0, 192),)}, True, id="one panel in 16 ft"),
]


@pytest.mark.parametrize(("changes", "kept"), LAYOUT)
def test_where_panels_stand(changes, kept):
    assert (checked(**changes).faults == ()) == kept


def test_continuous_sheathing_without_ends_or_cover_is_never_adequate():
    assert checked().verdict == "adequate"
    assert checked(end_condition="unknown").verdict == "needs_check"
    assert checked(sheathing_complete=False).verdict == "needs_check"
    assert checked(end_condition="end_panel_48", panels=(panel("a", 0, 40), *LINE.panels[1:])).verdict == "short"


def of_walls(*walls, **more):
    """A line of walls 16 ft long, one after the other."""
    placed, length = tuple(LineWall(w, ticks(192) * i) for i, w in enumerate(walls)), ticks(192) * len(walls)
    return checked(length=length, wall_height=ticks(96), walls=placed, panels=panels_of(placed, length), **more)


BARE = Wall(ticks(192), ticks(96), "w", braced=True)


# Table R602.10.4: least thickness of the panels, widest studs, read in the 2015, 2018 and 2021 copies; each a hair on both sides.
@pytest.mark.parametrize("edition", HELD)
@pytest.mark.parametrize(
    ("method", "wall", "counts"),
    [
        *[(m, replace(BARE, sheathing=sheets("0.375")), True) for m in ("WSP", "CS-WSP", "ABW", "PFH", "CS-G")],
        *[(m, replace(BARE, sheathing=sheets("0.374")), False) for m in ("WSP", "CS-WSP", "ABW", "PFH", "CS-G")],
        *[(m, replace(BARE, sheathing=sheets()), True) for m in ("BV-WSP", "PFG", "CS-PF")],
        *[(m, replace(BARE, sheathing=sheets("0.437")), False) for m in ("BV-WSP", "PFG", "CS-PF")],
        *[(m, BARE, False) for m in ("WSP", "CS-WSP", "BV-WSP", "CS-PF")],
        *[(m, BARE, True) for m in ("LIB", "GB", "SFB", "PBS", "PCP", "HPS")],
        *[(m, replace(BARE, spacing=ticks("16.1")), False) for m in ("LIB", "SFB", "PBS", "PCP", "HPS")],
        ("DWB", replace(BARE, spacing=ticks(24)), True),
        ("DWB", replace(BARE, spacing=ticks("24.1")), False),
    ],
)
def test_what_stands_on_a_wall_decides_whether_it_counts(edition, method, wall, counts):
    assert [p.counts for p in of_walls(wall, method_id=method, edition_id=edition).panels] == [counts]


def test_a_wall_that_is_not_sheathed_as_the_method_asks_adds_nothing_to_its_line():
    good = replace(BARE, sheathing=sheets())
    assert (of_walls(good, good).verdict, of_walls(good, good).provided) == ("adequate", ticks(384))
    for other in (BARE, replace(BARE, sheathing=sheets("0.25"))):
        found = of_walls(good, other)
        assert found.provided == ticks(192) and found.verdict != "adequate"
        assert any("continuous_sheathing_complete" in d for d in found.doubts)


def test_panels_over_other_material_need_a_check():
    """The bracing tables hold few rows of panels over foam or gypsum, none of them here."""
    good = replace(BARE, sheathing=sheets())
    assert of_walls(good, good, method_id="WSP").verdict == "adequate"
    assert of_walls(good, replace(BARE, sheathing=sheets(between=1)), method_id="WSP").verdict == "needs_check"


# IRC R602.10.6.4, read in one source (a city permit record): four portal frames in a line at most. 20 in count in a 10 ft wall.
@pytest.mark.parametrize(("frames", "past"), [(4, False), (5, True)])
def test_portal_frames_are_bounded(frames, past):
    found = checked(method_id="CS-PF", panels=tuple(panel(f"p{i}", 96 * i, 20) for i in range(frames)))
    assert any("portal frames" in f for f in found.faults) == past


# Limits: where the tables end, a hair on each side.
STOPS = [
    pytest.param({"site": Site(wind_speed_mph=139.9)}, None, id="139.9 mph"),
    pytest.param({"site": Site(wind_speed_mph=140)}, "140 mph", id="140 mph"),
    pytest.param({"wall_height": ticks("144.1")}, "wall height", id="over 12 ft"),
    pytest.param({"line_spacing": 61 * PER_FT}, "60 ft", id="lines over 60 ft apart"),
    pytest.param({"site": Site(seismic_design_category="E")}, "category E", id="category E"),
    pytest.param({"site": Site(seismic_design_category="D0"), "line_spacing": 36 * PER_FT}, "35 ft", id="36 ft in D0"),
    pytest.param(
        {"site": Site(seismic_design_category="D0"), "line_spacing": 20 * PER_FT, "masonry_veneer": True}, "veneer", id="veneer in D0"
    ),
    pytest.param(
        {"method_id": "LIB", "supports": "two_stories_and_roof", "story_count": 3}, "LIB is not permitted", id="LIB under two stories"
    ),
    pytest.param({"eave_to_ridge": 21 * PER_FT}, "eave to ridge", id="21 ft of roof"),
    pytest.param({"walls": (LineWall(Wall(ticks(480), ticks(96)), 0, ticks("48.1")),)}, "off the line", id="4 ft off the line and a hair"),
]


@pytest.mark.parametrize(("changes", "said"), STOPS)
def test_the_tables_stop(changes, said):
    found = checked(**changes)
    assert (found.verdict is None) == (found.provided is None) == (said is not None)
    assert said is None or said in plain(found.stop.because)


def test_an_edition_without_bracing_tables_holds_no_data():
    found = checked(edition_id="ibc-2021")
    assert found.stop.code == "value_not_held" and found.verdict is None


# Laws of the printed tables.
def test_wind_lengths_grow_with_the_square_of_speed():
    """Each cell is the 115 mph one times (V / 115)^2 within the half foot to which the table is rounded, both cells rounded up."""
    for edition in HELD:
        rows = {(r.story, r.group, r.at_ft, r.load): r.length_ft for r in BOOK.editions[edition].bracing.wind}
        for (story, group, at, mph), length in rows.items():
            expected = rows[story, group, at, 115.0] * (mph / 115) ** 2
            assert abs(length - expected) <= 0.5 * (1 + (mph / 115) ** 2), (edition, story, group, at, mph)


def test_seismic_lengths_of_continuous_sheathing_are_85_percent():
    for edition in HELD:
        rows = {(r.load, r.story, r.group, r.at_ft): r.length_ft for r in BOOK.editions[edition].bracing.seismic}
        for (load, story, group, at), length in rows.items():
            if group == "WSP":
                assert rows[load, story, "CS-WSP", at] == pytest.approx(0.85 * length, abs=0.1)


# Laws of the check.
METHODS = st.sampled_from(["WSP", "GB", "CS-WSP", "CS-PF", "PFG", "LIB", "SFB"])
LINES = st.builds(
    lambda edition, method, supports, mph, exposure, category, spacing, count, roof, height, gypsum, blocked, starts: replace(
        LINE,
        edition_id=edition,
        method_id=method,
        supports=supports,
        site=Site(wind_speed_mph=mph, exposure=exposure, seismic_design_category=category),
        line_spacing=spacing * PER_FT,
        line_count=count,
        eave_to_ridge=roof * PER_FT,
        wall_height=ticks(height),
        story_count=3,
        gypsum_inside=gypsum,
        blocked=blocked,
        panels=tuple(panel(f"p{i}", 96 * i + a, b, h) for i, (a, b, h) in enumerate(starts)),
    ),
    st.sampled_from(HELD),
    METHODS,
    st.sampled_from(["roof_only", "one_story_and_roof", "two_stories_and_roof"]),
    st.integers(85, 139),
    st.sampled_from("BCD"),
    st.sampled_from(["A", "B", "C", "D0", "D1", "D2"]),
    st.integers(8, 60),
    st.integers(2, 6),
    st.integers(4, 20),
    st.sampled_from(["96", "97.125", "102", "108", "121.125", "132"]),
    st.booleans(),
    st.booleans(),
    st.lists(st.tuples(st.integers(0, 30), st.integers(16, 66), st.sampled_from([0, 46, 80, 84, 96])), min_size=1, max_size=5),
)


def weight(found):
    """How much is asked, and how bad the answer is; past the tables is the worst."""
    return (inf if found.required is None else found.required), ORDER[found.verdict]


@settings(max_examples=150, deadline=None)
@given(LINES, st.data())
def test_a_worse_site_or_less_said_never_gives_a_milder_answer(line, data):
    worse = data.draw(
        st.sampled_from(
            [
                {"site": replace(line.site, wind_speed_mph=line.site.wind_speed_mph + data.draw(st.integers(0, 30)))},
                {"site": replace(line.site, exposure={"B": "C", "C": "D", "D": "D"}[line.site.exposure])},
                {
                    "site": replace(
                        line.site,
                        seismic_design_category={"A": "C", "B": "D0", "C": "D0", "D0": "D1"}.get(line.site.seismic_design_category, "D2"),
                    )
                },
                {"line_spacing": line.line_spacing + data.draw(st.integers(0, 20)) * PER_FT},
                {"line_count": line.line_count + 1},
                {"gypsum_inside": False},
                {"blocked": False},
                {"hold_down": False},
                {"end_condition": "unknown"},
                {"sheathing_complete": False},
                {"masonry_veneer": True},
                {"roof_dead_load_psf": 25},
                {"wall_dead_load_psf": 15},
                {"eave_to_ridge": line.eave_to_ridge + PER_FT},
                {"panels": tuple(replace(p, opening_height=line.wall_height) for p in line.panels)},
            ]
        )
    )
    before, after = check_line(line, BOOK), check_line(replace(line, **worse), BOOK)
    assert weight(after)[0] >= weight(before)[0]
    assert weight(after)[1] >= weight(before)[1] or after.verdict == "short"


@settings(max_examples=150, deadline=None)
@given(LINES, st.integers(0, 24))
def test_a_longer_panel_never_counts_less(line, more):
    longer = tuple(replace(p, length=p.length + ticks(more)) for p in line.panels)
    before, after = check_line(line, BOOK), check_line(replace(line, panels=longer), BOOK)
    assert (before.stop is None) == (after.stop is None)
    assert before.stop or after.provided >= before.provided


def door(name, at, width, head=80):
    return Opening(name, "door", ticks(at), ticks(width), None, ticks(head), Header(2, "2x8"), 1, 1)


def test_the_pieces_of_a_wall_are_what_its_openings_leave():
    """Against a geometry library: the line less the openings."""
    wall = Wall(ticks(288), ticks("97.125"), "w", openings=(door("a", 40, 38), door("b", 150, 50, 84)))
    found = panels_of((LineWall(wall, ticks(100)),), ticks(388))
    line = LineString([(100, 0), (388, 0)])
    left = line.difference(unary_union([LineString([(140, 0), (178, 0)]), LineString([(250, 0), (300, 0)])]))
    assert [(inches(p.start), inches(p.end)) for p in found] == [(g.bounds[0], g.bounds[2]) for g in left.geoms]
    assert [inches(p.opening_height) for p in found] == [97.125, 84, 84]  # beside 100 in of line without a wall


def test_a_stretch_of_the_line_without_a_wall_is_an_opening_as_high_as_the_wall():
    """Two walls of 26 in with 140 in of nothing between them, as one wall with a door of its full height; at 8 ft 24 in count beside none."""
    alone = tuple(LineWall(Wall(ticks(26), ticks(96), sheathing=sheets()), ticks(at)) for at in (0, 166))
    whole = Wall(ticks(192), ticks(96), sheathing=sheets(), openings=(door("d", 26, 140, 96),))
    asunder, together = panels_of(alone, ticks(192)), panels_of((LineWall(whole, 0),), ticks(192))
    assert [(p.start, p.length, p.opening_height) for p in asunder] == [(p.start, p.length, p.opening_height) for p in together]
    assert len({p.panel_id for p in asunder}) == 2
    found = checked(length=ticks(192), wall_height=ticks(96), walls=alone, panels=asunder)
    assert found.provided == 0 and found.verdict == "short"


def test_a_product_that_is_a_whole_length_is_not_rounded_past_it():
    """7.0 ft x 0.8 is 5.6 ft: with 67.2 in nothing is missing."""
    required = Required("wind", 7.0, (Factor("wind", "line_count", 0.8, "", None),), None)
    assert required.length == ticks("67.2")


def test_a_short_line_is_told_what_would_make_it_pass():
    """Doors 80 in high at 30 and 124, 38 wide: pieces of 30, 56, 30; 32 count. 40 ft apart at 115 mph: 6.0 x 0.9 = 5.4 ft = 64.8 in.

    A door moved by 2 in makes 32 + 54 = 86 in; gypsum and blocking are there.
    """
    wall = Wall(ticks(192), ticks("97.125"), "w", openings=(door("a", 30, 38), door("b", 124, 38)), sheathing=sheets(), braced=True)
    walls = (LineWall(wall, 0),)
    site = Site(wind_speed_mph=115)
    before = checked(site=site, length=ticks(192), wall_height=ticks("97.125"), walls=walls, panels=panels_of(walls, ticks(192)))
    assert (before.verdict, before.provided) == ("short", ticks(56))
    mended = {plain(r.change): r.check for r in remedies(before, BOOK)}
    for change in ("move opening a by 2 in away from the start", "move opening b by 2 in toward the start"):
        assert (mended[change].verdict, mended[change].provided) == ("adequate", ticks(86))


def test_a_panel_is_lengthened_by_what_is_missing_where_there_is_room():
    """WSP at 120 mph, 40 ft apart, no gypsum: 8 x 1.4 = 11.2 ft = 134.4 in. Panels of 48, 44 (at 10 ft nothing under 48 counts) and 48:
    38.4 in missing. b has to be 48 to count at all. A longer a (48 + 38.4, a whole inch: 87) or c would leave 28 ft between panels.
    """
    panels = (panel("a", 0, 48), panel("b", 216, 44), panel("c", 432, 48))
    before = checked(method_id="WSP", panels=panels, gypsum_inside=False)
    assert before.provided == ticks(96)
    longer = [plain(r.change) for r in remedies(before, BOOK) if "long instead" in r.change]
    assert longer == ["make panel b 48 in long instead of 44 in"]


@settings(max_examples=60, deadline=None)
@given(LINES)
def test_every_remedy_passes_when_it_is_checked_anew(line):
    for remedy in remedies(check_line(line, BOOK), BOOK):
        assert check_line(remedy.check.line, BOOK).verdict in ("adequate", "needs_check")


def of_8_ft(i, height, supports):
    return {"start_in": 96 * i, "wall": {"length_in": 96, "height_in": height, "stud": "2x6", "supports": supports}}


def asked(walls, **more):
    """A line of walls by the schema, all else known."""
    raw = {
        "method_id": "CS-WSP",
        **{"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"},
        **{"braced_wall_line_spacing_ft": 35, "braced_wall_line_count": 2, "eave_to_ridge_ft": 10},
        **{"gypsum_inside": True, "end_condition": "return_panel", "continuous_sheathing_complete": True, "blocked": True},
        "walls": [w if isinstance(w, dict) else of_8_ft(i, *w) for i, w in enumerate(walls)],
        **more,
    }
    return check_line(read_bracing_line(raw, BOOK).line, BOOK)


# Lines 35 ft apart at 115 mph, read between 30 and 40: top story 5.25, first of three 15.0 ft (Table R602.10.3(1)); 8 ft x 0.9, 12 ft x 1.1.
@pytest.mark.parametrize(
    ("walls", "more", "length"),
    [
        pytest.param([(97.125, "roof_only"), (97.125, "two_stories_and_roof")], {}, 15.0 * 0.9, id="the most that a wall carries"),
        pytest.param([(97.125, "two_stories_and_roof"), (97.125, "roof_only")], {}, 15.0 * 0.9, id="in either order"),
        pytest.param([(97.125, "two_stories_and_roof")], {"supports": "roof_only"}, 15.0 * 0.9, id="not less than the wall says"),
        pytest.param([(97.125, "roof_only"), (144, "roof_only")], {}, 5.25 * 1.1, id="the highest wall"),
        pytest.param([(144, "roof_only")], {"wall_height_ft": 8}, 5.25 * 1.1, id="not lower than the wall"),
    ],
)
def test_a_line_of_several_walls_asks_for_the_severest(walls, more, length):
    assert asked(walls, **more).wind.length_ft == pytest.approx(length)


def refused(walls, **more):
    with pytest.raises(FasteningError) as raised:
        asked(walls, **more)
    return [(f.code, f.path) for f in raised.value.faults]


def test_what_a_wall_carries_is_asked_where_nobody_says_it():
    def unsaid(*walls):
        return [{"start_in": 96 * i, "wall": {"length_in": 96, "height_in": 96, **w}} for i, w in enumerate(walls)]

    roof = {"supports": "roof_only"}
    assert refused(unsaid(roof, {})) == [("missing_field", ("supports",))]
    assert asked(unsaid(roof, {}), supports="one_story_and_roof").line.story == "middle"


@pytest.mark.parametrize(
    ("walls", "more", "fault"),
    [
        pytest.param([96], {"wall_length_ft": 7.9}, ("out_of_range", ("wall_length_ft",)), id="a wall longer than its line"),
        pytest.param([96, 96], {"wall_length_ft": 15}, ("out_of_range", ("walls", 1, "start_in")), id="the second past the end"),
        pytest.param([97, 96], {}, ("conflicting_fields", ("walls", 1, "start_in")), id="one into the other"),
    ],
)
def test_misplaced_walls_are_refused_at_their_field(walls, more, fault):
    placed = [
        {"start_in": 96 * i, "wall": {"length_in": length, "height_in": 96, "supports": "roof_only"}} for i, length in enumerate(walls)
    ]
    assert refused(placed, **more) == [fault]


def test_a_name_stands_once_in_a_line():
    placed = [{"start_in": 96 * i, "wall": {"id": "a", "length_in": 96, "height_in": 96, "supports": "roof_only"}} for i in range(2)]
    assert refused(placed) == [("duplicate_id", ("walls", 1, "wall", "id"))]


def test_a_wall_that_was_not_sent_as_braced_needs_a_check():
    """Its plan takes the unbraced rows of the schedule, so its panels hold less at plates and floors."""
    sheathed = replace(BARE, sheathing=sheets())
    assert of_walls(sheathed, method_id="WSP").verdict == "adequate"
    loose = of_walls(replace(sheathed, braced=False), method_id="WSP")
    assert loose.verdict == "needs_check" and "plan it with braced true" in loose.doubts[0]
