"""Nails that a row does not list, judged by strength: every rule by itself, then the laws.

Expected counts come from the ratio of mode IV, D^2 sqrt(Fyb) / Rd (NDS 12.3.1; specific gravity cancels), worked by hand
in the comments, unless a line says otherwise.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.domain.joint.counting import effort
from service.domain.joint.ranking import say_why
from service.domain.joint.requirement import Question, judge
from service.domain.joint.schedule import Selectors
from service.domain.nails.nail import NailAsk, by_id, of_size
from service.domain.nails.words import understand
from service.domain.site import Site
from service.domain.strength.reference import Joint, lateral, pull_through, withdrawal
from service.said import plain
from service.tables.book import open_book
from service.tables.schedule import Grouped, OnCenter, Panel, PerJoint
from service.ticks import inches, ticks

BOOK = open_book()
WIND_PANEL = "exterior-wall-panel-to-framing"
NDS = BOOK.nds["nds-2018"]
MILD = Site(100, "ultimate", "B", "B")
SPF = "spruce-pine-fir"


def ask(connection, words, *, edition="irc-2021", site=MILD, face="3.5", species=SPF, more=None, **selectors):
    nail = replace(understand(NailAsk(designation=words), BOOK), **(more or {}))
    return judge(Question(edition, connection, nail, site, Selectors(**selectors), species, face=ticks(face)), BOOK)


def wall_panel(words, studs=24, **more):
    return ask(WIND_PANEL, words, panel_thickness=ticks("0.4375"), stud_spacing=ticks(studs), **more)


def roof_panel(words, **more):
    return ask("wood-panel-to-framing", words, use="roof", panel_thickness=ticks("0.4375"), **more)


# Product check values for spruce-pine-fir. End: 3 x 0.135^2 / 0.120^2 = 3.80; 0.113: 3 x 0.135^2 / 0.113^2 = 4.28, no room on
# 3-1/2 in. Rafter: 4 x 0.131^2 / 0.120^2 = 4.77. Stud to plate with 3 x 0.120 taking 4 is also trade knowledge (common practice, no source).
CHECKS = [
    pytest.param("stud-to-plate-end-nail", "3 x 0.131", "prescriptive", 3, id="end, listed"),
    pytest.param("stud-to-plate-end-nail", "3-1/2 x 0.162", "prescriptive", 2, id="end, 16d common"),
    pytest.param("stud-to-plate-end-nail", "3-1/4 x 0.131", "exceeds_listed", 3, id="end, longer"),
    pytest.param("stud-to-plate-end-nail", "3 x 0.120", "calculated", 4, id="end, thinner"),
    pytest.param("stud-to-plate-end-nail", "3 x 0.113", "engineering_required", None, id="end, no room"),
    pytest.param("stud-to-plate-end-nail", "2-1/2 x 0.131", "engineering_required", None, id="end, too short"),
    pytest.param("stud-to-plate-toe-nail", "3 x 0.120", "exceeds_listed", 4, id="toe, as 8d box"),
    pytest.param("rafter-to-plate-toe-nail", "3 x 0.120", "calculated", 5, id="rafter"),
    # 12 x 0.135^2 / 0.120^2 = 15.19; the weakest, 8 of 0.162 (119.6 / 69.2 lb, 90 and 100 ksi): 13.83
    pytest.param("top-plate-splice-face-nail", "3 x 0.120", "calculated", 16, id="splice"),
]


@pytest.mark.parametrize(("connection", "words", "outcome", "count"), CHECKS)
def test_check_values(connection, words, outcome, count):
    answer = ask(connection, words)
    assert (answer.outcome, answer.nailing and answer.nailing.count) == (outcome, count)


def test_check_values_of_spaced_nails():
    """Top plates: 12 in x 0.120^2 / 0.131^2 = 10.07 and 16 in x 69.17 / 119.59 = 9.25; 12 in x 0.120^2 / 0.128^2 = 10.55."""
    plates = ask("top-plate-to-top-plate-face-nail", "3 x 0.120")
    assert plates.outcome == "calculated"
    assert plates.nailing == OnCenter(ticks(9), 1)
    assert plates.substitute.weakest_nailing == OnCenter(ticks("10.5"), 1)
    assert plates.substitute.strongest.choice.option.nail_id == "16d-common"
    assert plates.substitute.weakest.choice.option.nail_id == "10d-box"


def test_check_values_of_panels():
    """8d common 67.5 lb, 2-3/8 x 0.113 52.5 lb: 6 x 0.7777 = 4.67, 12 x 0.7777 = 9.33; axially 34.5 / 42.6 = 0.81 is less of a limit."""
    answer = wall_panel("2-3/8 x 0.113")
    assert (answer.outcome, answer.nailing) == ("calculated", Panel(ticks("4.5"), ticks(9)))


def test_the_headline_reaches_the_strongest_and_the_other_the_weakest_option():
    """Rafter: against four 0.128 box nails 4 x 0.128^2 / 0.120^2 = 4.55; three 0.135 need 3.80 by shear and 3.94 by pull: 4."""
    answer = ask("rafter-to-plate-toe-nail", "3 x 0.120")
    assert answer.nailing == PerJoint(5, "rafter")
    assert answer.substitute.weakest_nailing == PerJoint(4, "rafter")
    strongest = answer.substitute.strongest
    assert strongest.lateral_ratio == pytest.approx(0.120**2 / 0.131**2)
    assert answer.governing == strongest.choice


def test_toe_nails_count_in_withdrawal_too():
    """Rafter to plate, one 1-1/2 in plate holds: pull goes with D x shank, 0.120 x 1.732 against 0.135 x 1.732 and 3 nails."""
    found = ask("rafter-to-plate-toe-nail", "3 x 0.120").substitute
    box = next(c for c in ask("rafter-to-plate-toe-nail", "3 x 0.120").listed if c.option.nail_id == "16d-box")
    assert box.nailing.count == 3
    assert found.own.axial_lb == pytest.approx(0.67 * 1380 * 0.42**2.5 * 0.120 * 1.5 / 0.8660254, rel=1e-6)
    assert ask("stud-to-plate-end-nail", "3 x 0.120").substitute.own.axial_lb is None


def test_the_short_nail_takes_the_smaller_way_and_a_listed_one_the_larger():
    """Header toe-nails into 1-1/2 in: 8d common reaches 1.33 in, 10.2 D; 0.148 and 2-1/2 long reaches 9 D, both ways differ."""
    joint = Joint("toe_nail", 0.42, 0.42, ticks("1.5"), ticks("1.5"))
    short = of_size("smooth", ticks("2.45"), ticks("0.148"))
    ways = [lateral(short, joint, NDS, way).value_lb for way in ("yield_equations", "ratio")]
    assert ways[0] != pytest.approx(ways[1], rel=1e-3)
    answer = ask("header-to-stud-toe-nail", "2.45 x 0.148")
    assert answer.substitute.own.lateral.value_lb == min(ways)


@pytest.mark.parametrize(
    ("connection", "words", "outcome"),
    [
        # face and end nails through 1-1/2 in: 2-3/4 in gives 1-1/4 in, 10.4 D of 0.120
        ("top-plate-to-top-plate-face-nail", "2-3/4 x 0.128", "calculated"),
        ("top-plate-to-top-plate-face-nail", "2.74 x 0.128", "engineering_required"),
        # toe-nails: L cos 30 - L/3 = 1.25 in at L = 2.347 in; the row's 8d nails reach 1.33 in
        ("rafter-to-plate-toe-nail", "2-3/8 x 0.148", "calculated"),
        ("rafter-to-plate-toe-nail", "2-1/4 x 0.148", "engineering_required"),
    ],
)
def test_framing_nails_reach_an_inch_and_a_quarter(connection, words, outcome):
    answer = ask(connection, words)
    assert answer.outcome == outcome
    assert outcome == "calculated" or answer.stop.code == "penetration_short"


def test_under_six_diameters_is_short_in_panels_too():
    """2 x 0.148 through 1-1/8 in: 0.875 in is 5.9 D."""
    answer = ask("wood-panel-to-framing", "2 x 0.148", use="floor", panel_thickness=ticks("1.125"))
    assert answer.stop.code == "penetration_short" and "6 diameters" in answer.stop.because


def test_room_is_one_more_on_a_narrow_face_and_two_more_on_a_deep_one():
    assert ask("stud-to-plate-end-nail", "3 x 0.113", face="3.5").outcome == "engineering_required"
    deep = ask("stud-to-plate-end-nail", "3 x 0.113", face="5.5")
    assert (deep.outcome, deep.nailing) == ("calculated", PerJoint(5, "end"))
    assert "no more than 1 over it" in ask("stud-to-plate-end-nail", "3 x 0.113").stop.because


def test_never_fewer_than_the_row():
    """Wide boards list 3 or 4 nails; a short thick nail would need two to match any of them, and takes the row's 3."""
    answer = ask("board-sheathing-wider-than-1x8-face-nail", "2.45 x 0.192")
    found = answer.substitute
    assert found.strongest.choice.nailing.count / found.strongest.ratio < 2.5
    assert (answer.outcome, answer.nailing) == ("calculated", PerJoint(3, "bearing"))


def test_never_wider_than_the_row():
    """A nail shorter than 8d common and thicker is worth more in a panel; 6/12 stays."""
    answer = wall_panel("2.45 x 0.148")
    assert answer.substitute.strongest.ratio > 1
    assert (answer.outcome, answer.nailing) == ("calculated", Panel(ticks(6), ticks(12)))


@pytest.mark.parametrize("edition", ["irc-2015", "irc-2018"])
def test_end_grain_is_lateral_alone(edition):
    """Header ends list four 3-1/2 x 0.135 (Table R602.3(1), 2015): 4 x 0.135^2 / 0.131^2 = 4.25, so 5 of 3 x 0.131, 0.5 in shallower or not."""
    answer = ask("stud-to-header-end-nail", "3 x 0.131", edition=edition)
    assert (answer.outcome, answer.nailing) == ("calculated", PerJoint(5, "header end"))
    assert answer.substitute.own.axial_lb is None


@pytest.mark.parametrize(
    ("words", "face", "strongest", "weakest", "compared_with"),
    [
        ("3 x 0.120", "3.5", 16, 14, "strongest_option"),  # 12 x 0.135^2 / 0.120^2 = 15.19; 8 x 119.6 / 69.2 = 13.83
        ("3 x 0.113", "3.5", 18, 16, "weakest_option"),  # 17.13 is more than 16; 12 x 0.128^2 / 0.113^2 = 15.40
        ("3 x 0.113", "5.5", 18, 16, "strongest_option"),
        ("3 x 0.099", "5.5", 23, 21, "strongest_option"),  # 22.31; 12 x 0.128^2 / 0.099^2 = 20.06
        ("3 x 0.099", "3.5", None, None, None),
    ],
)
def test_a_splice_has_rows_of_eight(words, face, strongest, weakest, compared_with):
    """24 in of lap at 3 in: 8 nails in a row, 2 rows on 3-1/2 in, 3 on 5-1/2 in (service rule). Strongest option twelve 16d box, 0.135."""
    answer = ask("top-plate-splice-face-nail", words, face=face)
    if strongest is None:
        assert answer.outcome == "engineering_required" and "2 rows of 8 in the 24 in of lap" in plain(answer.stop.because)
        return
    found = answer.substitute
    assert (found.strongest_nailing.count, found.weakest_nailing.count, found.compared_with) == (strongest, weakest, compared_with)
    assert answer.nailing.count == (strongest if compared_with == "strongest_option" else weakest)


def test_what_has_no_room_against_the_strongest_option_is_compared_with_the_weakest():
    """Rafter, 3 x 0.113: four 0.131 box need 4 x 0.131^2 / 0.113^2 = 5.38, 6, where 4 + 1 have room on 3-1/2 in.

    Three 0.135: 3 x 0.135^2 / 0.113^2 = 4.28 by shear, 3 x 0.135 / 0.113 = 3.58 by pull where both fill the 1-1/2 in plate: 5.
    """
    answer = ask("rafter-to-plate-toe-nail", "3 x 0.113")
    assert (answer.outcome, answer.nailing) == ("calculated", PerJoint(5, "rafter"))
    found = answer.substitute
    assert (found.strongest_nailing.count, found.compared_with, found.no_room != "") == (6, "weakest_option", True)
    assert answer.governing == found.weakest.choice and answer.governing.option.nail_id == "16d-box"
    said = plain(say_why(answer))
    assert (
        "5 nails each rafter, as many as have room" in said
        and "the weakest listed nail, 16d box" in said
        and "would take 6 nails each rafter" in said
    )


def test_an_end_nail_is_not_compared_with_the_weakest_option():
    """3 x 0.113: 4.28, so 5, against three 0.135; 4 would reach three 0.128, but end grain gives no pull to make up (product check value)."""
    refused = ask("stud-to-plate-end-nail", "3 x 0.113")
    assert refused.nailing is None and "(4 against the weakest listed nail)" in refused.stop.because


def test_groups_hold_whole_nails_and_six_at_most():
    """Braced bottom plate: four 3 x 0.131, 4 x 0.131^2 / 0.120^2 = 4.77 -> 5; 0.113: 4 x 1.344 = 5.38 -> 6; 0.105: 4 x 1.557 = 6.2 -> 7.

    Seven do not stand in 16 in; the weakest row nail is two 16d common, 2 x 119.6 / 53.0 = 4.52 -> 5, 0.099: 2 x 119.6 / 47.1 = 5.08 -> 6;
    six, as many as 0.113 takes, are put in.
    """
    foot = "bottom-plate-to-floor-face-nail"
    assert ask(foot, "3 x 0.120", braced=True).nailing == Grouped(5, ticks(16))
    assert ask(foot, "3 x 0.113", braced=True).nailing == Grouped(6, ticks(16))
    for words, weakest in (("3 x 0.105", 5), ("3 x 0.099", 6)):
        lesser = ask(foot, words, braced=True)
        assert (lesser.nailing, lesser.substitute.compared_with) == (Grouped(6, ticks(16)), "weakest_option")
        assert lesser.substitute.weakest_nailing == Grouped(weakest, ticks(16))
        assert "7 nails" in lesser.substitute.no_room or "8 nails" in lesser.substitute.no_room


def test_closer_than_three_inches_is_no_room():
    """Rim joist toe-nails: 6 x 0.099^2 / 0.131^2 = 3.43 -> 3. Roof: 1.4375 in of 0.099 hold 22.4 lb of RSRS-01's 53.8: 2.5.

    Against an 8d common, 0.131 x 2.0625 in of shank, 6 x (0.099 x 1.4375) / (0.131 x 2.0625) = 3.16 -> 3.
    """
    assert ask("rim-joist-to-sill-toe-nail", "3 x 0.099").nailing == OnCenter(ticks(3), 1)
    lesser = roof_panel("1-7/8 x 0.099")
    assert (lesser.nailing, lesser.substitute.compared_with) == (Panel(ticks(3), ticks(3)), "weakest_option")
    assert "closer than 3 in" in plain(lesser.substitute.no_room)
    refused = roof_panel("1-3/4 x 0.099")
    assert refused.outcome == "engineering_required" and "closer than 3 in" in plain(refused.stop.because)


def test_a_shank_without_a_printed_bending_yield_is_refused():
    assert "no bending strength" in ask("rim-joist-to-sill-toe-nail", "3 x 0.0925").stop.because


def test_a_spacer_between_header_plies_is_a_gap():
    """2 plies of 1-1/2 in with 1/2 in between: nails under 3-1/4 in are too short, listed ones lose with the gap as well."""
    plies = "built-up-header-face-nail"
    gap = {"material_between": ticks("0.5")}
    assert ask(plies, "3 x 0.131").outcome == "calculated"
    short = ask(plies, "3.2 x 0.131", **gap)
    assert (short.outcome, short.stop.code) == ("engineering_required", "penetration_short")
    assert "1.25 in is the least" in plain(short.stop.because)
    assert "3-1/4 in" in plain(ask(plies, "3 x 0.131", material_between=ticks("0.25")).stop.because)
    through = ask(plies, "3-1/4 x 0.131", **gap)
    assert through.outcome == "calculated"
    assert through.substitute.own.lateral.value_lb < ask(plies, "3-1/4 x 0.131").substitute.own.lateral.value_lb
    assert through.substitute.strongest.value.lateral.value_lb < ask(plies, "3-1/4 x 0.131").substitute.strongest.value.lateral.value_lb


def test_panels_take_one_factor_for_edge_and_field():
    """RSRS-01 on a roof holds 53.8 lb axially (1.5 in of rings), 2 x 0.113 plain 1380 G^2.5 D x 1.5625 in = 27.9 lb: 6 x 0.518 = 3.1 -> 3."""
    answer = roof_panel("2 x 0.113")
    found = answer.substitute
    assert answer.nailing == Panel(ticks(3), ticks(3))
    assert found.strongest.axial_ratio < found.strongest.lateral_ratio
    assert found.strongest.axial_ratio == pytest.approx(27.9 / 53.8, rel=0.005)


def test_heads_hold_a_panel_nail_back():
    """RSRS-04, 3 x 0.120: 1.5 in of rings hold 57.1 lb, but a 0.2 in head through 7/16 in only 47.4 lb (NDS 2018 12.2.5)."""
    small = wall_panel("RSRS-04", more={"head_diameter": ticks("0.2")}).substitute
    assert small.own.axial_lb == pytest.approx(690 * 3.14159265 * 0.2 * 0.25 * 0.4375, rel=1e-6)
    assert small.own.axial_lb < small.own.withdrawal_lb


def test_a_smaller_head_than_the_row_prints_is_not_the_listed_nail():
    """IRC 2021 Table R602.3(1) item 31 prints a 0.266 in head for 2-3/8 x 0.113; the alternate 2-1/4 x 0.097 at 3/6 prints none."""
    floor = {"panel_thickness": ticks("0.4375"), "use": "floor"}
    found = [ask("wood-panel-to-framing", "2-3/8 x 0.113", more={"head_diameter": ticks(h)}, **floor) for h in ("0.266", "0.26", "0.2")]
    assert [f.outcome for f in found] == ["prescriptive", "exceeds_listed", "exceeds_listed"]
    assert [f.nailing for f in found] == [Panel(ticks(6), ticks(12)), Panel(ticks(3), ticks(6)), Panel(ticks(3), ticks(6))]
    assert all(f.governing.option.alternate for f in found[1:])


def test_a_head_counts_only_where_the_row_prints_one():
    """IRC Table R602.3(3) and the 2015 IBC roof row print none; the 2015 roof row lists 8d box 2-1/2 x 0.113 at 6/12 (one copy).

    An 8d common, 2-1/2 x 0.131, has a smaller head (0.281) than an 8d box (0.297; ASTM F1667, from memory) and the thicker shank.
    """
    assert wall_panel("2-1/2 x 0.131", more={"head_diameter": ticks("0.25")}).outcome == "prescriptive"
    assert ask("stud-to-plate-end-nail", "3 x 0.131", more={"head_diameter": ticks("0.15")}).outcome == "prescriptive"
    box, common = (roof_panel(words, edition="ibc-2015") for words in ("8d box", "8d common"))
    assert (box.outcome, common.outcome) == ("prescriptive", "exceeds_listed")
    assert box.nailing == common.nailing == Panel(ticks(6), ticks(12))


def test_rings_count_only_on_marked_nails_with_a_known_head():
    joint = Joint("face_nail", 0.42, 0.5, ticks("0.4375"), side_psi=4650)
    marked, coil = by_id("rsrs-04", BOOK), understand(NailAsk(designation="3 x 0.120 ring"), BOOK)
    plain = 1380 * 0.42**2.5 * 0.120 * 2.5625
    assert wall_panel("RSRS-04").substitute.own.withdrawal_lb == pytest.approx(1800 * 0.42**2 * 0.120 * 1.5)
    assert withdrawal(coil, joint, NDS).value_lb == pytest.approx(plain)
    blind = wall_panel("RSRS-04", more={"head_diameter": None}).substitute.own
    assert blind.withdrawal_lb == pytest.approx(plain) and blind.head_lb is None
    assert marked.kind == "rsrs"


@pytest.mark.parametrize(
    ("category", "building", "braced", "stopped"),
    [
        ("B", "townhouse", True, False),
        ("C", "detached", True, False),
        ("C", "townhouse", True, True),
        ("D0", "detached", True, True),
        ("D2", "townhouse", True, True),
        ("D2", "detached", False, False),
    ],
)
def test_braced_panels_take_the_listed_nail_where_it_shakes(category, building, braced, stopped):
    site = replace(MILD, seismic_design_category=category, building_type=building)
    answer = wall_panel("2-3/8 x 0.113", site=site, braced=braced)
    assert (answer.stop.code if answer.stop else None) == ("calculated_not_offered" if stopped else None)
    assert answer.outcome == ("engineering_required" if stopped else "calculated")
    assert wall_panel("8d common", site=site, braced=braced).outcome == "prescriptive"


@pytest.mark.parametrize("coating", ["stainless", "silicon_bronze", "copper", "other"])
def test_metals_without_a_printed_bending_yield_are_refused(coating):
    answer = ask("stud-to-plate-end-nail", "3 x 0.120", more={"coating": coating})
    assert answer.outcome == "engineering_required" and "bending strength" in answer.stop.because


def test_galvanized_nails_count_as_bright_ones():
    assert ask("stud-to-plate-end-nail", "3 x 0.120", more={"coating": "hot_dip_galvanized"}).nailing == PerJoint(4, "end")


def test_a_clipped_head_is_not_compared_in_panels():
    assert wall_panel("2-3/8 x 0.113", more={"head": "clipped"}).outcome == "engineering_required"
    assert ask("stud-to-plate-end-nail", "3 x 0.120", more={"head": "clipped"}).outcome == "calculated"


@pytest.mark.parametrize("connection", ["fiberboard-to-framing", "gypsum-sheathing-to-framing"])
def test_what_has_no_equation_is_not_compared(connection):
    """NDS and TR-12 give no bearing strength for gypsum and fiberboard (from memory)."""
    answer = ask(connection, "1-1/2 x 0.113", panel_thickness=ticks("0.5"))
    assert answer.outcome == "engineering_required" and "no bearing strength" in answer.stop.because


def test_options_without_an_equation_are_named():
    boards = ask("board-sheathing-1x6-face-nail", "2-3/8 x 0.113").substitute
    assert any("staple" in said for said in boards.left_out)
    floor = ask("combination-floor-panel-to-framing", "2-1/2 x 0.120", panel_thickness=ticks("0.875")).substitute
    assert any("deformed" in said for said in floor.left_out)
    assert floor.strongest.choice.option.nail_id == "8d-common"


def test_the_roof_alternates_end_at_110_mph_and_with_them_every_unlisted_nail():
    """IRC Table R602.3(2) notes, 2021 on."""
    assert roof_panel("2 x 0.113", site=replace(MILD, wind_speed_mph=110)).outcome == "calculated"
    assert roof_panel("2 x 0.113", site=replace(MILD, wind_speed_mph=111)).outcome == "engineering_required"


def test_common_practice_rows_have_nothing_to_compare_with():
    assert ask("block-to-stud-end-nail", "2-1/4 x 0.099").outcome == "engineering_required"


def test_no_calculated_number_is_called_verified():
    answer = ask("stud-to-plate-end-nail", "3 x 0.120")
    assert answer.provenance.confidence == "memory" and answer.provenance.modified
    known = ask("stud-to-plate-end-nail", "2.9 x 0.177", species=SPF)
    assert known.provenance.confidence in ("memory", "derived")


WINDY = [("ibc-2021", "2-3/8 x 0.113"), ("ibc-2021", "2-1/4 x 0.113"), ("ibc-2024", "2-3/8 x 0.120"), ("irc-2021", "2-3/8 x 0.113")]


@pytest.mark.parametrize(("edition", "words"), WINDY)
def test_more_wind_never_widens_a_spacing(edition, words):
    calm, windy = (roof_panel(words, edition=edition, site=replace(MILD, wind_speed_mph=w)) for w in (110, 125))
    assert windy.nailing is None or (calm.nailing and windy.nailing.edge <= calm.nailing.edge)


@pytest.mark.parametrize("species", ["spruce-pine-fir", "western-cedars-north"])
@pytest.mark.parametrize(("connection", "words", "more"), [
    ("built-up-header-face-nail", "4 x 0.131", {}),
    ("built-up-header-face-nail", "16d common", {}),
    (WIND_PANEL, "3 x 0.120", {"panel_thickness": ticks("0.4375"), "stud_spacing": ticks(24)}),
    ("wood-panel-to-framing", "6d common", {"panel_thickness": ticks("0.4375")}),
    ("wood-panel-to-framing", "3 x 0.120", {"panel_thickness": ticks("0.75"), "use": "floor"}),
    ("wood-panel-to-framing", "8d common", {"panel_thickness": ticks("0.4375"), "use": "roof"}),
])  # fmt: skip
def test_more_between_never_widens_a_spacing_and_ends_in_a_stop(connection, words, more, species):
    found = [ask(connection, words, species=species, material_between=ticks(str(k / 8)), **more) for k in range(25)]
    spacing = [getattr(f.nailing, "edge", getattr(f.nailing, "spacing", 0)) for f in found]
    assert spacing == sorted(spacing, reverse=True)
    assert found[-1].stop.code == "penetration_short"


LESSER = [
    ("built-up-header-face-nail", "3-1/4 x 0.148", "3-1/2 x 0.148", {}),
    ("stud-to-stud-face-nail", "2-7/8 x 0.190", "3 x 0.190", {}),
    ("top-plate-to-top-plate-face-nail", "2-7/8 x 0.162", "3 x 0.162", {}),
    ("top-plate-splice-face-nail", "2-7/8 x 0.155", "3 x 0.155", {}),
    ("wood-panel-to-framing", "2 x 0.142", "2-3/8 x 0.142", {"use": "roof", "edition": "irc-2015", "panel_thickness": ticks("0.4375")}),
]


@pytest.mark.parametrize(("connection", "short", "long", "more"), LESSER)
def test_a_shorter_nail_never_needs_less_than_a_longer_one(connection, short, long, more):
    lesser, greater = (ask(connection, words, **more).nailing for words in (short, long))
    assert greater is not None
    assert lesser is None or steel(lesser, 1) >= steel(greater, 1)


@pytest.mark.parametrize("head", ["0.3", "0.281", "0.275", "0.266", "0.26", "0.25", "0.2"])
def test_a_smaller_head_never_widens_a_spacing(head):
    joint = {"use": "roof", "panel_thickness": ticks("0.4375"), "site": replace(MILD, wind_speed_mph=105)}
    for words in ("3 x 0.120", "2-3/8 x 0.113", "2-1/2 x 0.131", "2-1/4 x 0.105"):
        blind = ask("wood-panel-to-framing", words, **joint).nailing
        seen = ask("wood-panel-to-framing", words, more={"head_diameter": ticks(head)}, **joint).nailing
        assert seen is None or blind is None or (seen.edge <= blind.edge and seen.field <= blind.field), words


def test_a_spacer_never_widens_a_header_s_spacing():
    plies = [
        ask("built-up-header-face-nail", "3-1/4 x 0.177", material_between=ticks(g)).nailing for g in ("0", "0.1", "0.25", "0.3", "0.5")
    ]
    assert all(p.spacing <= plies[0].spacing for p in plies)


def test_a_lesser_nail_never_needs_less_than_a_listed_bigger_one():
    """IRC 2021 Table R602.3(2): 2 x 0.113 at 3/6 in 19/32 panels, 2-1/4 x 0.099 at 3/6 in 7/16; smaller nails get no wider."""
    wall = {"use": "wall"}
    for words, bigger, thickness in (("2 x 0.110", "2 x 0.113", "0.5938"), ("2 x 0.099", "2-1/4 x 0.099", "0.4375")):
        less, more = (ask("wood-panel-to-framing", w, panel_thickness=ticks(thickness), **wall) for w in (words, bigger))
        assert more.nailing is not None
        assert less.nailing is None or (less.nailing.edge <= more.nailing.edge and less.nailing.field <= more.nailing.field)


@pytest.mark.parametrize("coating", ["other", "stainless"])
def test_a_metal_that_is_not_known_as_carbon_steel_never_exceeds(coating):
    assert ask("stud-to-plate-end-nail", "4 x 0.131", more={"coating": coating}).outcome == "engineering_required"


SPECIES = ["spruce-pine-fir", "douglas-fir-larch", "southern-pine", "western-cedars", "hem-fir"]
COUNTED = [c for c, row in BOOK.connections.items() if not row.panel and c in BOOK.editions["irc-2021"].rows]
nails = st.tuples(st.integers(150, 450), st.sampled_from([99, 105, 113, 120, 128, 131, 135, 148, 162, 177, 192])).map(
    lambda n: of_size("smooth", ticks(str(n[0] / 100)), ticks(str(n[1] / 1000)))
)


def steel(nailing, per_nail):
    """Return lateral or axial value per joint, or per inch of length."""
    match nailing:
        case PerJoint(count):
            return count * per_nail
        case Grouped(count, spacing):
            return count * per_nail / inches(spacing)
        case OnCenter(spacing, rows):
            return rows * per_nail / inches(spacing)
        case Panel(edge, _):
            return per_nail / inches(edge)


@given(st.sampled_from(COUNTED), nails, st.sampled_from(SPECIES), st.booleans(), st.sampled_from(["3.5", "5.5"]))
@settings(max_examples=600, deadline=None)
def test_a_calculated_joint_is_never_weaker_than_any_listed_one(connection, nail, species, braced, face):
    """Values recomputed here from the engine, option by option: the headline reaches each, the other number at least one."""
    answer = judge(Question("irc-2021", connection, nail, MILD, Selectors(braced=braced), species, face=ticks(face)), BOOK)
    if answer.outcome != "calculated":
        assert answer.nailing is None or answer.outcome in ("prescriptive", "exceeds_listed")
        return
    row, gravity = answer.connection, BOOK.species[species].specific_gravity
    joint = Joint(row.method, gravity, gravity, row.side_thickness, row.main_thickness)

    def worth(n, pick):
        side = pick(lateral(n, joint, NDS, way).value_lb for way in ("yield_equations", "ratio"))
        out = withdrawal(n, joint, NDS)
        return side, out.value_lb if out and row.method == "toe_nail" else 0.0

    own = worth(nail, min)
    reached, counts, spacings = [], [], []
    for choice in answer.listed:
        if choice.option.fastener != "nail" or choice.option.alternate:
            continue
        printed = worth(by_id(choice.option.nail_id, BOOK), max)
        wanted = [steel(choice.nailing, v) for v in printed]
        assert all(steel(answer.substitute.strongest_nailing, o) >= w * (1 - 1e-8) for o, w in zip(own, wanted, strict=True)), choice
        reached.append(all(steel(answer.substitute.weakest_nailing, o) >= w * (1 - 1e-8) for o, w in zip(own, wanted, strict=True)))
        counts.append(getattr(choice.nailing, "count", None))
        spacings.append(getattr(choice.nailing, "spacing", None))
    assert any(reached)
    if isinstance(answer.nailing, PerJoint | Grouped):
        assert answer.nailing.count >= min(counts)
    else:
        assert answer.nailing.spacing <= max(spacings) and answer.nailing.spacing % ticks("0.5") == 0


@given(nails, st.sampled_from(SPECIES), st.sampled_from([16, 24]), st.sampled_from(["0.375", "0.4375", "0.5", "0.625"]))
@settings(max_examples=400, deadline=None)
def test_calculated_panels_are_never_weaker_than_the_rows_that_fit(nail, species, studs, thickness):
    selectors = Selectors(panel_thickness=ticks(thickness), stud_spacing=ticks(studs))
    answer = judge(Question("irc-2021", WIND_PANEL, nail, MILD, selectors, species), BOOK)
    if answer.outcome != "calculated":
        return
    gravity = BOOK.species[species].specific_gravity
    joint = Joint("face_nail", gravity, 0.5, ticks(thickness), side_psi=4650)

    def worth(n, pick):
        out = withdrawal(n, joint, NDS).value_lb
        head = pull_through(n, joint, NDS)
        return pick(lateral(n, joint, NDS, w).value_lb for w in ("yield_equations", "ratio")), out if head is None else min(
            out, head.value_lb
        )

    own = worth(nail, min)
    for choice in answer.listed:
        if choice.refused_because:
            continue
        printed = worth(by_id(choice.option.nail_id, BOOK), max)
        for ours, theirs in zip(own, printed, strict=True):
            assert ours / answer.nailing.edge >= theirs / choice.nailing.edge * (1 - 1e-8)
            assert ours / answer.nailing.field >= theirs / choice.nailing.field * (1 - 1e-8)
    assert answer.nailing.edge >= ticks(3) and answer.nailing.edge % ticks("0.5") == 0


@given(st.sampled_from(COUNTED), nails, nails, st.sampled_from(SPECIES), st.booleans())
@settings(max_examples=600, deadline=None)
def test_a_calculated_nail_never_beats_a_greater_one_that_exceeds(connection, one, other, species, braced):
    greater = replace(one, length=max(one.length, other.length), diameter=max(one.diameter, other.diameter))

    def judged(nail):
        return judge(Question("irc-2021", connection, nail, MILD, Selectors(braced=braced), species), BOOK)

    lesser, more = judged(one), judged(greater)
    if lesser.outcome == "calculated" and more.outcome == "exceeds_listed":
        assert steel(lesser.nailing, 1) >= steel(more.nailing, 1) * (1 - 1e-9)


LADDER = [ticks(f"0.{d:03d}") for d in range(99, 245)]


@pytest.mark.parametrize(
    "connection_id",
    [
        "stud-to-plate-toe-nail",
        "rafter-to-plate-toe-nail",
        "top-plate-to-top-plate-face-nail",
        "top-plate-splice-face-nail",
        "bottom-plate-to-floor-face-nail",
        "block-to-stud-end-nail",
        "stud-to-stud-face-nail",
    ],
)
@pytest.mark.parametrize("length", ["3", "3.5"])
def test_a_thinner_nail_never_takes_fewer_across_the_classes_of_bending_yield(connection_id, length):
    """Law: softer steel from 0.142, 0.177 and 0.236 in on (NDS Table I1), and what has no room, let no thinner nail take fewer."""
    found = [judge(Question("irc-2021", connection_id, of_size("smooth", ticks(length), d)), BOOK).nailing for d in LADDER]
    numbers = [effort(n) for n in found if n is not None]
    assert numbers == sorted(numbers, reverse=True)
    held = [n is not None for n in found]
    assert held == sorted(held)


def test_a_nail_just_under_a_step_of_bending_yield_counts_for_no_more_than_the_next():
    """2-3/4 x 0.142 of 100 ksi would beat 0.143 of 90: (0.143 / 0.142)^2 x sqrt(0.9) = 0.962."""
    thin, thick = (ask("top-plate-to-top-plate-face-nail", f"2.75 x {d}") for d in ("0.142", "0.143"))
    assert thin.substitute.own.lateral_lb <= thick.substitute.own.lateral_lb * 1.001
