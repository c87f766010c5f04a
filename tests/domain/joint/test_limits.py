"""Both sides of each limit of a single joint: at it and a hair past it."""

from typing import Any

import pytest
from flask.testing import FlaskClient

from service.domain.joint.requirement import Question, judge
from service.domain.joint.schedule import Selectors
from service.domain.nails.words import read_designation
from service.domain.site import Site
from service.tables.book import open_book
from service.tables.schedule import OnCenter, Panel, PerJoint
from service.ticks import ticks

BOOK = open_book()
WIND_PANEL = "exterior-wall-panel-to-framing"
STUD_END = "stud-to-plate-end-nail"
HAIR = 0.001
IRC = ("irc-2015", "irc-2018", "irc-2021", "irc-2024")
IBC = ("ibc-2015", "ibc-2018", "ibc-2021", "ibc-2024")


def ask(connection, words, edition="irc-2021", site=None, species="spruce-pine-fir", face="3.5", **selectors):
    nail = read_designation(words, BOOK)
    return judge(Question(edition, connection, nail, site or Site(), Selectors(**selectors), species, face=ticks(face)), BOOK)


def panel(words, thickness="0.4375", spacing="16", edition="irc-2021", between="0", **more):
    sizes = {"panel_thickness": ticks(thickness), "stud_spacing": ticks(spacing), "material_between": ticks(between)}
    return ask(WIND_PANEL, words, edition, **sizes, **more)


# IRC R301.2.1.1, from memory: wind design from 140 mph ultimate on, 130 where hurricanes are; in every exposure.
@pytest.mark.parametrize("edition", IRC)
@pytest.mark.parametrize("exposure", ["B", "C", "D"])
@pytest.mark.parametrize(("hurricanes", "limit"), [(False, 140), (True, 130)])
def test_the_irc_stops_from_its_wind_speed_on(edition, exposure, hurricanes, limit):
    for wind, inside in ((limit - HAIR, True), (limit, False), (limit + HAIR, False)):
        site = Site(wind, exposure=exposure, hurricane_prone=hurricanes)
        assert (ask(STUD_END, "3 x .131", edition, site).nailing is not None) == inside, wind


# IBC 2308.2.4 (a federal compilation of the 2018 edition): 130 mph, and 140 in Exposure B where no hurricanes are; at it is inside.
@pytest.mark.parametrize("edition", IBC)
@pytest.mark.parametrize(
    ("exposure", "hurricanes", "limit"),
    [("B", False, 140), ("B", True, 130), ("C", False, 130), ("C", True, 130), ("D", False, 130), ("D", True, 130)],
)
def test_the_ibc_stops_past_its_wind_speed(edition, exposure, hurricanes, limit):
    for wind, inside in ((limit, True), (limit + HAIR, False)):
        site = Site(wind, exposure=exposure, hurricane_prone=hurricanes)
        assert (ask(STUD_END, "3 x .131", edition, site).nailing is not None) == inside, wind


# IRC 2012: from 110 mph nominal on (a summary of its wind design). From memory: snow past 70 psf, IRC R301.2.3; past 50 psf, IBC 2308.2.3.
@pytest.mark.parametrize(
    ("edition", "site", "inside"),
    [
        ("irc-2012", Site(110 - HAIR, "allowable"), True),
        ("irc-2012", Site(110, "allowable"), False),
        *[(e, Site(ground_snow_load_psf=70), True) for e in ("irc-2012", *IRC)],
        *[(e, Site(ground_snow_load_psf=70 + HAIR), False) for e in ("irc-2012", *IRC)],
        *[(e, Site(ground_snow_load_psf=50), True) for e in IBC],
        *[(e, Site(ground_snow_load_psf=50 + HAIR), False) for e in IBC],
    ],
)
def test_nominal_wind_and_snow_stop_the_irc(edition, site, inside):
    assert (ask(STUD_END, "16d box", edition, site).nailing is not None) == inside


# From memory: IBC Table 2308.2.1, stories above grade by seismic design category; IRC R101.2, three.
@pytest.mark.parametrize(
    ("editions", "category", "most"),
    [(IBC, "A", 3), (IBC, "B", 3), (IBC, "C", 2), (IBC, "D", 1), (("irc-2012", *IRC), "B", 3), (("irc-2012", *IRC), "D2", 3)],
)
def test_the_rules_end_with_a_story(editions, category, most):
    for edition in editions:
        for stories in range(1, 5):
            found = ask(STUD_END, "16d common", edition, Site(seismic_design_category=category, story_count=stories))
            assert (found.nailing is not None) == (stories <= most), (edition, stories)
            if stories > most:
                assert found.stop.code == "engineering_required_scope" and found.provenance.confidence == "memory"
                assert f"{stories} stories are past the limit of {most}" in found.stop.because
                assert found.stop.because.endswith(f"by {stories - most}")


@pytest.mark.parametrize(
    ("supports", "category", "said", "stopped"),
    [
        ("roof_only", "D", None, False),
        ("one_story_and_roof", "C", None, False),
        ("one_story_and_roof", "D", None, True),
        ("one_floor_only", "D", None, True),
        ("two_stories_and_roof", "B", None, False),
        ("two_stories_and_roof", "C", None, True),
        ("two_stories_and_roof", "C", 1, True),  # a wall under two stories stands in a building of three, whatever is said
        ("roof_only", "C", 3, True),
    ],
)
def test_what_a_wall_supports_tells_how_many_stories_there_are(client: FlaskClient, mild, supports, category, said, stopped):
    wall = {"length_in": 144, "height_in": 97.125, "supports": supports, "stud": "2x6"}
    site = {**mild, "seismic_design_category": category, **({"story_count": said} if said else {})}
    body = {"code_edition": "ibc-2018", "framing_nail": {"nail_designation": "16d common"}, "wall": wall, **site}
    answer = client.post("/v1/wall-plans", json=body).json
    studs = next(c for c in answer["result"]["connections"] if c["connection_id"] == "stud-to-plate-end-nail")
    assert (studs["nail_count"] is None) == stopped
    told = [a["value"] for a in answer["meta"]["assumptions"] if a["field"] == "story_count"]
    least = {"roof_only": 1, "two_stories_and_roof": 3}.get(supports, 2)
    assert told == ([] if said else [least])


# IRC Table R602.3(3), 2015 to 2024 copies (ultimate mph), and the tables before them (nominal mph, from memory), where the scope of
# the edition lets the limit be reached: a row ends past its speed.
WIND = [
    # edition, nail, panel, stud spacing, basis, exposure, mph
    *[("irc-2021", "6d common", "0.375", "16", "ultimate", e, v) for e, v in (("C", 115), ("D", 110))],
    *[("irc-2021", "8d common", "0.4375", "16", "ultimate", e, v) for e, v in (("D", 135),)],
    *[("irc-2021", "8d common", "0.4375", "24", "ultimate", e, v) for e, v in (("C", 115), ("D", 110))],
    *[("irc-2015", "6d common", "0.375", "16", "ultimate", e, v) for e, v in (("C", 115), ("D", 110))],
    *[("irc-2018", "8d common", "0.4375", "16", "ultimate", e, v) for e, v in (("D", 135),)],
    *[("irc-2024", "8d common", "0.4375", "24", "ultimate", e, v) for e, v in (("C", 115), ("D", 110))],
    *[("irc-2012", "6d common", "0.375", "16", "allowable", e, v) for e, v in (("C", 90), ("D", 85))],
    *[("irc-2012", "8d common", "0.4375", "16", "allowable", e, v) for e, v in (("D", 105),)],
    *[("irc-2012", "8d common", "0.4375", "24", "allowable", e, v) for e, v in (("C", 90), ("D", 85))],
    *[("ibc-2021", "6d common", "0.375", "16", "allowable", e, v) for e, v in (("C", 90), ("D", 85))],
    *[("ibc-2015", "8d common", "0.4375", "24", "allowable", e, v) for e, v in (("C", 90), ("D", 85))],
    *[("ibc-2024", "6d common", "0.375", "16", "ultimate", e, v) for e, v in (("C", 115), ("D", 110))],
]


@pytest.mark.parametrize(("edition", "words", "thickness", "spacing", "basis", "exposure", "limit"), WIND)
def test_a_wall_panel_row_ends_past_its_wind_speed(edition, words, thickness, spacing, basis, exposure, limit):
    for wind, held in ((limit, True), (limit + HAIR, False)):
        found = panel(
            words, thickness, spacing, edition, site=Site(wind, basis, exposure), span_rating="24/0" if words == "6d common" else None
        )
        assert (found.nailing is not None) == held, wind


def test_a_panel_row_ends_at_its_thickness_and_stud_spacing():
    """IRC Table R602.3(3): 6d on 3/8 in and studs to 16 in; 8d on 7/16 in, studs to 16 or 24 in."""
    assert panel("6d common", "0.375", "16").nailing == Panel(ticks(6), ticks(12))
    assert panel("6d common", "0.375", "16.0001").nailing is None
    assert panel("6d common", "0.37", "16").nailing is None
    assert panel("8d common", "0.4375", "24").nailing == Panel(ticks(6), ticks(12))
    assert panel("8d common", "0.4375", "24.0001").nailing is None


# Table R602.3(3): 6d 1.5 in into the stud, 8d 1.75: length - panel - what lies between.
@pytest.mark.parametrize(
    ("words", "thickness", "between", "held"),
    [
        ("6d common", "0.5", "0", True),  # 2 - 0.5 = 1.5
        ("6d common", "0.5001", "0", False),
        ("6d common", "0.375", "0.125", True),  # 2 - 0.375 - 0.125 = 1.5
        ("6d common", "0.375", "0.1251", False),
        ("8d common", "0.75", "0", True),  # 2.5 - 0.75 = 1.75
        ("8d common", "0.4375", "0.3125", True),  # 2.5 - 0.4375 - 0.3125 = 1.75
        ("8d common", "0.4375", "0.3126", True),  # short of its own row, and more than the nail of the 6d row
        ("8d common", "0.4375", "0.5625", True),  # 2.5 - 0.4375 - 0.5625 = 1.5
        ("8d common", "0.4375", "0.5626", False),
    ],
)
def test_a_panel_nail_reaches_the_penetration_of_its_row(words, thickness, between, held):
    found = panel(words, thickness, between=between)
    assert (found.nailing is not None) == held
    assert (found.stop is not None and found.stop.code == "penetration_short") != held


# Studs 24 in apart have the 8d row alone: 1.75 in.
@pytest.mark.parametrize(("between", "held"), [("0.3125", True), ("0.3126", False)])
def test_a_nail_short_of_its_row_has_no_other_on_wide_studs(between, held):
    found = panel("8d common", "0.4375", "24", between=between)
    assert (found.nailing is not None) == held
    assert found.outcome == ("prescriptive" if held else "engineering_required")


# IRC 2024 Table R602.3(3) note d: gravity 0.35 to under 0.42, 8 in field. Gravities: NDS Table 12.3.3A.
@pytest.mark.parametrize(
    ("species", "gravity", "field"),
    [
        ("northern-species", 0.35, 8),
        ("balsam-fir", 0.36, 8),
        ("eastern-spruce", 0.41, 8),
        ("spruce-pine-fir", 0.42, 12),
        ("hem-fir", 0.43, 12),
    ],
)
def test_light_framing_takes_closer_field_nails_up_to_a_gravity(species, gravity, field):
    assert BOOK.species[species].specific_gravity == gravity
    assert panel("8d common", edition="irc-2024", species=species).nailing == Panel(ticks(6), ticks(field))


# The row's most and one more on 3-1/2 in, two more on 5-1/2 in (service rule). Stud to plate: 3 x 0.135 is the strongest option.
@pytest.mark.parametrize(
    ("words", "face", "count"),
    [
        ("3 x 0.120", "3.5", 4),  # 3 x 0.135^2 / 0.120^2 = 3.80: 4 = 3 + 1
        ("3 x 0.113", "3.5", None),  # 4.28: 5 = 3 + 2
        ("3 x 0.113", "5.5", 5),
        ("3 x 0.099", "5.5", None),  # 5.58: 6 = 3 + 3
        ("3 x 0.099", "11.25", None),
    ],
)
def test_a_face_takes_one_or_two_nails_over_the_row(words, face, count):
    """Mode IV: strength goes with D^2 where the bending yield is one, 100 ksi to 0.142 in (NDS Table I1)."""
    assert ask(STUD_END, words, face=face).nailing == (count and PerJoint(count, "end"))


# Closer than 3 in splits the wood (service rule). Rim joist toe-nails: 8d box at 4 in is the strongest option (G 0.42, Fe 3350, 100 ksi).
@pytest.mark.parametrize(("diameter", "spacing"), [("0.109", "3.5"), ("0.105", "3.5"), ("0.099", "3")])
def test_a_calculated_spacing_goes_down_by_half_inches_to_three(diameter, spacing):
    """8d box, 2.5 / 3 = 0.833 in of side: mode IIIs k3 = sqrt(4 + 2e5 x 0.113^2 / (3350 x 0.833^2)) - 1 = 1.258: 1.258 x 0.113 x 0.833 x 3350 / 6.6 = 60.1 lb.

    3 x D, mode IV: D^2 / 2.2 x sqrt(2 x 3350 x 1e5 / 6): 0.109: 57.1 lb, 4 x 57.1 / 60.1 = 3.80; 0.105: 53.0 lb, 3.52; 0.099: 47.1 lb, 3.13. Down to the half inch.
    """
    found = ask("rim-joist-to-sill-toe-nail", f"3 x {diameter}")
    assert (found.outcome, found.nailing) == ("calculated", OnCenter(ticks(spacing), 1))


# Notes of the roof rows. 2015: over 130 mph 4 in at gables, else 6. 2018: 4 in from 130 on. 2021 and 2024: 4 in over 130 mph in
# Exposure B, over 110 in C. IBC 2021 the same.
ROOF_EDGES = [
    # edition, exposure, mph, closer spacing [in]
    ("irc-2015", "B", 130, 6),
    ("irc-2015", "B", 130.1, 4),
    ("irc-2015", "C", 130.1, 4),
    ("irc-2018", "B", 129.9, 6),
    ("irc-2018", "B", 130, 4),
    ("irc-2018", "C", 129.9, 6),
    ("irc-2018", "C", 130, 4),
    *[(e, "B", 130, None) for e in ("irc-2021", "irc-2024", "ibc-2021")],
    *[(e, "B", 130.1, 4) for e in ("irc-2021", "irc-2024", "ibc-2021")],
    *[(e, "C", 110, None) for e in ("irc-2021", "irc-2024", "ibc-2021")],
    *[(e, "C", 110.1, 4) for e in ("irc-2021", "irc-2024", "ibc-2021")],
]


@pytest.mark.parametrize(("edition", "exposure", "mph", "spacing"), ROOF_EDGES)
def test_roof_edges_take_closer_nails_past_a_wind_speed(client: FlaskClient, mild: dict[str, Any], edition, exposure, mph, spacing):
    joint = {"code_edition": edition, "connection_id": "wood-panel-to-framing", "use": "roof", "nail_id": "8d-common"}
    sizes = {"panel_thickness_in": 0.4375, "stud_spacing_in": 24}
    answer = client.post("/v1/requirements", json={**joint, **sizes, **mild, "exposure": exposure, "wind_speed_mph": mph})
    zone = answer.json["result"].get("closer_zone")
    assert (zone and zone["spacing_in"]) == spacing
    assert zone is None or zone["width_in"] == 48


# Table R602.3(2) on roofs: 2015 and 2018 below 130 mph, 2021 and 2024 to 110 mph.
@pytest.mark.parametrize(
    ("edition", "mph", "held"),
    [
        *[(e, 129.9, True) for e in ("irc-2015", "irc-2018")],
        *[(e, 130, False) for e in ("irc-2015", "irc-2018")],
        *[(e, 110, True) for e in ("irc-2021", "irc-2024")],
        *[(e, 110.1, False) for e in ("irc-2021", "irc-2024")],
    ],
)
def test_alternate_roof_nails_stop_at_a_wind_speed(edition, mph, held):
    found = ask(
        "wood-panel-to-framing", "2-1/4 x .099", edition, Site(mph), use="roof", panel_thickness=ticks("0.4375"), stud_spacing=ticks(24)
    )
    assert (found.outcome == "prescriptive") == held


@pytest.mark.parametrize(("spacing", "field"), [("47.9999", 12), ("48", 6)])
def test_supports_four_feet_apart_take_six_inches_everywhere(spacing, field):
    """Table R602.3(1), note c: 6 in at every support where supports are 48 in or more apart; floor 23/32 in, 8d common at 6/12."""
    found = ask("wood-panel-to-framing", "8d common", use="floor", panel_thickness=ticks("0.71875"), stud_spacing=ticks(spacing))
    assert found.nailing == Panel(ticks(6), ticks(field))
