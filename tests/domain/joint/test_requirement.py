"""One joint judged: printed numbers, the order of outcomes, and where the tables stop."""

from dataclasses import replace

import pytest

from service.domain.joint.requirement import Question, judge
from service.domain.joint.schedule import Selectors
from service.domain.nails.nail import by_id, of_size
from service.domain.nails.words import read_designation
from service.domain.site import Site
from service.said import plain
from service.tables.book import open_book
from service.tables.schedule import Grouped, OnCenter, Panel, PerJoint
from service.ticks import ticks

BOOK = open_book()
WIND_PANEL = "exterior-wall-panel-to-framing"
USUAL = Site()
MILD = Site(90, "ultimate", "B", "A")


def nail(words, **more):
    return replace(read_designation(words, BOOK), **more)


def ask(connection, words, edition="irc-2021", site=USUAL, fire_rated=False, nail_more=None, **selectors):
    return judge(Question(edition, connection, nail(words, **(nail_more or {})), site, Selectors(**selectors), fire_rated=fire_rated), BOOK)


# IRC 2021 Table R602.3(1), items 16 and 17 (Connecticut copy): 3-1/2 x 0.162: 2; 3 x 0.131: 3; toe, 8d box 2-1/2 x 0.113: 4.
CHECKS = [
    # connection, nail, outcome, nails per joint
    pytest.param("stud-to-plate-end-nail", "3 x 0.131", "prescriptive", 3, id="end, listed"),
    pytest.param("stud-to-plate-end-nail", "3-1/2 x 0.162", "prescriptive", 2, id="end, 16d common by size"),
    pytest.param("stud-to-plate-end-nail", "16d common", "prescriptive", 2, id="end, 16d common by name"),
    pytest.param("stud-to-plate-end-nail", "3-1/4 x 0.131", "exceeds_listed", 3, id="end, longer than listed"),
    pytest.param("stud-to-plate-end-nail", "3 x 0.113", "engineering_required", None, id="end, too thin"),
    pytest.param("stud-to-plate-end-nail", "2-1/2 x 0.131", "engineering_required", None, id="end, too short"),
    pytest.param("stud-to-plate-toe-nail", "3 x 0.120", "exceeds_listed", 4, id="toe, as 8d box"),
    pytest.param("stud-to-plate-end-nail", "3.001 x 0.132", "prescriptive", 3, id="within 0.001 in (ours)"),
    pytest.param("stud-to-plate-end-nail", "2.998 x 0.131", "calculated", 4, id="a hair too short: by strength, 3.19 (ours)"),
]


@pytest.mark.parametrize(("connection", "words", "outcome", "count"), CHECKS)
def test_the_printed_number_comes_back(connection, words, outcome, count):
    answer = ask(connection, words)
    assert answer.outcome == outcome
    assert (answer.nailing.count if answer.nailing else None) == count


# The order of outcomes: the first that applies is the answer. 200 mph is past every scope limit.
STORM = Site(200, "ultimate", "B", "B")
ORDER = [
    # edition, connection, nail, more, outcome
    pytest.param("irc-2021", "panel-siding-to-framing", "8d common", {"site": STORM}, "not_applicable", id="no row before scope"),
    pytest.param("irc-2021", "heel-joint-face-nail", "16d common", {"site": STORM}, "no_data", id="no value before scope"),
    pytest.param("irc-2021", "heel-joint-face-nail", "16d common", {"fire_rated": True}, "no_data", id="no value before fire"),
    pytest.param("irc-2021", "stud-to-plate-end-nail", "3 x .131", {"site": STORM}, "engineering_required", id="scope before listed"),
    pytest.param("irc-2021", "stud-to-plate-end-nail", "3 x .131", {"fire_rated": True}, "engineering_required", id="fire before listed"),
    pytest.param("irc-2021", "stud-to-plate-end-nail", "3-1/2 x .162", {}, "prescriptive", id="listed before exceeding"),
    pytest.param("irc-2021", "interior-paneling-to-framing", "6d box", {}, "not_applicable", id="paneling is an IBC row"),
    pytest.param("irc-2012", "wood-panel-to-framing", "8d common", {"panel_thickness": ticks("0.4375")}, "no_data", id="2012 held in part"),
    pytest.param("irc-2012", "panel-siding-to-framing", "8d common", {}, "no_data", id="2012: nobody can say there is no row"),
    pytest.param("irc-2012", "stud-to-plate-end-nail", "16d box", {}, "prescriptive", id="2012 row 18: two 16d"),
]


@pytest.mark.parametrize(("edition", "connection", "words", "more", "outcome"), ORDER)
def test_the_first_outcome_that_applies_is_the_answer(edition, connection, words, more, outcome):
    answer = ask(connection, words, edition, **more)
    assert answer.outcome == outcome
    assert (answer.nailing is None) == (outcome not in ("prescriptive", "exceeds_listed"))


# IRC R301.2.1.1: design from 140 mph ultimate, 130 in hurricane-prone regions (2015 on, from memory); from 110 nominal in 2012.
# IBC 2308.2.4: not over 130 mph, 140 in Exposure B outside hurricane-prone regions.
WIND = [
    # edition, site, within the prescriptive rules
    pytest.param("irc-2021", Site(139.9), True, id="irc under 140"),
    pytest.param("irc-2021", Site(140), False, id="irc at 140"),
    pytest.param("irc-2021", Site(129.9, hurricane_prone=True), True, id="irc hurricane-prone under 130"),
    pytest.param("irc-2021", Site(130, hurricane_prone=True), False, id="irc hurricane-prone at 130"),
    pytest.param("irc-2018", Site(108, "allowable"), True, id="irc 108 allowable = 139.4"),
    pytest.param("irc-2018", Site(109, "allowable"), False, id="irc 109 allowable = 140.7"),
    pytest.param("irc-2012", Site(142, "ultimate"), True, id="2012: 142 ultimate = 109.99 nominal"),
    pytest.param("irc-2012", Site(143, "ultimate"), False, id="2012: 143 ultimate = 110.8 nominal"),
    pytest.param("irc-2012", Site(110, "allowable"), False, id="2012 at 110 nominal"),
    pytest.param("ibc-2018", Site(140), True, id="ibc B at 140"),
    pytest.param("ibc-2018", Site(140.1), False, id="ibc B over 140"),
    pytest.param("ibc-2018", Site(130, hurricane_prone=True), True, id="ibc B hurricane-prone at 130"),
    pytest.param("ibc-2018", Site(130.1, hurricane_prone=True), False, id="ibc B hurricane-prone over 130"),
    pytest.param("ibc-2018", Site(130, exposure="C"), True, id="ibc C at 130"),
    pytest.param("ibc-2018", Site(130.1, exposure="D"), False, id="ibc D over 130"),
]
# IRC R301.2.2: E is outside; IBC 2308.2: E and F are (both from memory).
SEISMIC = [
    *[
        pytest.param(e, Site(seismic_design_category=c), True, id=f"{e} {c}")
        for e in ("irc-2015", "irc-2024")
        for c in ("A", "C", "D0", "D2")
    ],
    *[
        pytest.param(e, Site(seismic_design_category="E"), False, id=f"{e} E")
        for e in ("irc-2012", "irc-2015", "irc-2018", "irc-2021", "irc-2024")
    ],
    *[pytest.param(e, Site(seismic_design_category="D"), True, id=f"{e} D") for e in ("ibc-2015", "ibc-2024")],
    *[
        pytest.param(e, Site(seismic_design_category=c), False, id=f"{e} {c}")
        for e in ("ibc-2015", "ibc-2018", "ibc-2021", "ibc-2024")
        for c in "EF"
    ],
]
# IRC R301.2.3: over 70 psf ground snow (from memory).
SNOW = [
    pytest.param("irc-2021", Site(ground_snow_load_psf=70), True, id="snow at 70"),
    pytest.param("irc-2021", Site(ground_snow_load_psf=70.1), False, id="snow over 70"),
]


@pytest.mark.parametrize(("edition", "site", "inside"), WIND + SEISMIC + SNOW)
def test_scope_limits_stop_the_tables(edition, site, inside):
    listed = "16d box" if edition.startswith("irc") else "16d common"  # the IBC of 2015 and 2018 prints no box nail here
    answer = ask("stud-to-plate-end-nail", listed, edition, site)
    assert answer.outcome == ("prescriptive" if inside else "engineering_required")
    assert answer.stop is None if inside else answer.stop.code == "engineering_required_scope"


# IBC Table 1609.3.1, printed in whole mph.
@pytest.mark.parametrize(("ultimate", "allowable"), [(110, 85), (120, 93), (130, 101), (140, 108), (150, 116)])
def test_wind_speeds_convert_as_printed(ultimate, allowable):
    assert Site(ultimate, "ultimate").wind_mph("allowable", BOOK.rules) == pytest.approx(allowable, abs=0.5)
    # half a printed mph of the allowable speed is 0.5 / sqrt(0.6) = 0.645 of the ultimate one
    assert Site(allowable, "allowable").wind_mph("ultimate", BOOK.rules) == pytest.approx(ultimate, abs=0.645)
    assert Site(ultimate, "ultimate").wind_mph("ultimate", BOOK.rules) == ultimate


def panel(words, thickness, between="0", spacing="16", site=USUAL, edition="irc-2021", **more):
    return ask(
        WIND_PANEL,
        words,
        edition,
        site,
        panel_thickness=ticks(thickness),
        stud_spacing=ticks(spacing),
        material_between=ticks(between),
        **more,
    )


# Penetration = length - panel - material between; least 1.5 (6d row) and 1.75 (8d row): IRC Table R602.3(3).
PENETRATION = [
    # nail, panel, between, outcome
    pytest.param("2 x 0.113", "0.4375", "0", "prescriptive", id="2 - 7/16 = 1.5625, 1.5 wanted"),
    pytest.param("2 x 0.113", "0.59375", "0", "engineering_required", id="2 - 19/32 = 1.40625, 1.5 wanted"),
    pytest.param("2.5 x 0.131", "0.59375", "0", "prescriptive", id="2.5 - 19/32 = 1.90625, 1.75 wanted"),
    pytest.param("2.5 x 0.131", "0.4375", "0.5", "exceeds_listed", id="2.5 - 7/16 - 1/2 = 1.5625: not the 1.75 of its own row, the 6d row"),
    pytest.param("2.5 x 0.113", "0.4375", "0.5", "exceeds_listed", id="8d box likewise: the 6d row"),
    pytest.param("2.5 x 0.131", "0.4375", "0.5626", "engineering_required", id="2.5 - 7/16 - 0.5626 = 1.4999: no row"),
    pytest.param("2.375 x 0.113", "0.4375", "0", "exceeds_listed", id="2.375 - 7/16 = 1.9375, the 6d row"),
]


@pytest.mark.parametrize(("words", "thickness", "between", "outcome"), PENETRATION)
def test_a_panel_nail_needs_the_penetration_of_its_row(words, thickness, between, outcome):
    answer = panel(words, thickness, between)
    assert answer.outcome == outcome
    assert answer.nailing == (None if outcome == "engineering_required" else Panel(ticks(6), ticks(12)))


def test_a_short_penetration_is_named_where_only_the_8d_row_stands():
    """130 mph in Exposure C is past the 115 of the 6d row; 2.5 - 7/16 - 1/2 = 1.5625 is under the 1.75 of the 8d row."""
    answer = panel("2.5 x 0.131", "0.4375", "0.5", site=Site(130, exposure="C"))
    assert answer.outcome == "engineering_required"
    assert answer.stop.code == "penetration_short"
    assert "1.5625 in is under the 1.75 in of the row by 0.1875 in" in plain(answer.stop.because)


# IRC Table R602.3(3), limits in mph ultimate; IBC Table 2304.6.1 of 2018 in mph nominal (from memory): 90 in C and 24 in studs.
PANEL_WIND = [
    # edition, nail, panel, studs, site, has a row
    pytest.param("irc-2021", "6d common", "0.375", "16", Site(139, exposure="B"), True, id="6d B 139"),
    pytest.param("irc-2021", "6d common", "0.375", "16", Site(115, exposure="C"), True, id="6d C at 115"),
    pytest.param("irc-2021", "6d common", "0.375", "16", Site(116, exposure="C"), False, id="6d C past 115"),
    pytest.param("irc-2021", "6d common", "0.375", "16", Site(110, exposure="D"), True, id="6d D at 110"),
    pytest.param("irc-2021", "6d common", "0.375", "16", Site(111, exposure="D"), False, id="6d D past 110"),
    pytest.param("irc-2021", "8d common", "0.4375", "16", Site(135, exposure="D"), True, id="8d D at 135"),
    pytest.param("irc-2021", "8d common", "0.4375", "16", Site(136, exposure="D"), False, id="8d D past 135"),
    pytest.param("irc-2021", "8d common", "0.4375", "24", Site(115, exposure="C"), True, id="8d C, 24 in studs, at 115"),
    pytest.param("irc-2021", "8d common", "0.4375", "24", Site(116, exposure="C"), False, id="8d C, 24 in studs, past 115"),
    pytest.param("irc-2021", "6d common", "0.375", "24", Site(90), False, id="6d on 24 in studs"),
    pytest.param("irc-2021", "6d common", "0.3125", "16", Site(90), False, id="panel under 3/8"),
    pytest.param("irc-2021", "8d common", "0.4375", "16", Site(90, "allowable", "C"), True, id="90 allowable = 116.2, 8d C"),
    pytest.param("irc-2021", "6d common", "0.4375", "16", Site(90, "allowable", "C"), False, id="90 allowable = 116.2 is past 115"),
    pytest.param("irc-2021", "6d common", "0.375", "16", Site(89, "allowable", "C"), True, id="89 allowable = 114.9 is not"),
    pytest.param("ibc-2018", "8d common", "0.4375", "24", Site(116, exposure="C"), True, id="116 ultimate = 89.9 nominal, 90 printed"),
    pytest.param("ibc-2018", "8d common", "0.4375", "24", Site(117, exposure="C"), False, id="117 ultimate = 90.6 nominal"),
]


@pytest.mark.parametrize(("edition", "words", "thickness", "spacing", "site", "has_row"), PANEL_WIND)
def test_wall_panels_stop_at_the_wind_of_their_row(edition, words, thickness, spacing, site, has_row):
    answer = panel(words, thickness, spacing=spacing, site=site, edition=edition)
    assert answer.outcome == ("prescriptive" if has_row else "engineering_required")


# IRC Table R602.3(3): 8d on 7/16 in, studs to 24 in and 115 mph in Exposure C there.
@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"thickness": "0.375", "span_rating": "24/16"}, "panel thickness 0.375 in is under the 0.4375 in of the row by 0.0625 in"),
        ({"thickness": "0.4375", "spacing": "30"}, "stud spacing 30 in is past the 24 in of the row by 6 in"),
        ({"thickness": "0.4375", "spacing": "24", "span_rating": "siding-16"}, "past the 16 in of span rating siding-16 by 8 in"),
        (
            {"thickness": "0.4375", "spacing": "24", "site": Site(120, exposure="C")},
            "past the 115 mph ultimate of the row in exposure C by 5 mph",
        ),
    ],
)
def test_a_panel_past_its_rows_is_told_the_limit_and_the_excess(more, said):
    assert said in plain(panel("8d common", **{"spacing": "24", **more}).stop.because)


# IRC Table R602.3(3) footnotes: a wall rating may stand for 24/0, a siding rating for 24/16; 16-rated needs studs at 16 in or less.
@pytest.mark.parametrize(
    ("words", "rating", "spacing", "outcome"),
    [
        ("6d common", "wall-16", "16", "prescriptive"),
        ("8d common", "siding-24", "24", "prescriptive"),
        ("8d common", "siding-16", "24", "engineering_required"),
        ("8d common", "24/0", "24", "engineering_required"),
        ("8d common", "32/16", "24", "prescriptive"),
    ],
)
def test_a_panel_rating_stands_where_the_footnote_says(words, rating, spacing, outcome):
    assert panel(words, "0.4375", spacing=spacing, span_rating=rating).outcome == outcome


def test_light_framing_closes_the_field_to_eight_inches_from_2024():
    """IRC 2024 Table R602.3(3) note: specific gravity 0.35 to under 0.42: 8 in field. Western cedars 0.36 (NDS Table 12.3.3A)."""
    question = Question(
        "irc-2024",
        WIND_PANEL,
        nail("8d common"),
        Site(),
        Selectors(panel_thickness=ticks("0.4375"), stud_spacing=ticks(16)),
        "western-cedars",
    )
    assert BOOK.species["western-cedars"].specific_gravity == 0.36
    assert judge(question, BOOK).nailing == Panel(ticks(6), ticks(8))
    assert judge(replace(question, edition_id="irc-2021"), BOOK).nailing == Panel(ticks(6), ticks(12))
    assert judge(replace(question, species="spruce-pine-fir"), BOOK).nailing == Panel(ticks(6), ticks(12))


def roof(words, **more):
    return ask("wood-panel-to-framing", words, use="roof", panel_thickness=ticks("0.4375"), **more)


# IRC 2021 Table R602.3(1): roof panels 8d common 2-1/2 x 0.131 or RSRS-01 2-3/8 x 0.113, 6/6;
# combination floor 7/8 to 1 in: 8d common, deformed 2-1/2 x 0.120, deformed 2-1/2 x 0.131, 6/12.
def floor(words, **more):
    return ask("combination-floor-panel-to-framing", words, panel_thickness=ticks("0.875"), **more)


STANDS_FOR = [
    pytest.param(roof, "RSRS-01", {}, "prescriptive", id="RSRS for RSRS"),
    pytest.param(roof, "2-3/8 x .113", {}, "engineering_required", id="plain never for RSRS"),
    pytest.param(roof, "2-3/8 x .113 ring", {}, "engineering_required", id="ring never for RSRS"),
    pytest.param(roof, "2-1/2 x .131", {}, "prescriptive", id="8d common by size"),
    pytest.param(roof, "2-1/2 x .131 ring", {}, "exceeds_listed", id="ring for plain"),
    pytest.param(roof, "2-1/2 x .131 screw", {}, "exceeds_listed", id="screw for plain"),
    pytest.param(floor, "2-1/2 x .120", {}, "calculated", id="plain for deformed only by strength"),
    pytest.param(floor, "2-1/2 x .120 ring", {}, "prescriptive", id="ring is deformed"),
    pytest.param(floor, "2-1/2 x .120 screw", {}, "prescriptive", id="screw is deformed"),
    pytest.param(floor, "3 x .131 ring", {}, "exceeds_listed", id="longer ring for deformed"),
    pytest.param(roof, "3 x .131", {}, "exceeds_listed", id="longer plain"),
    pytest.param(roof, "3 x .131", {"coating": "stainless"}, "engineering_required", id="stainless never exceeds"),
    pytest.param(roof, "3 x .131", {"coating": "hot_dip_galvanized"}, "exceeds_listed", id="galvanized is carbon steel"),
    pytest.param(roof, "3 x .131", {"head": "clipped"}, "engineering_required", id="clipped head never exceeds in panels"),
]


@pytest.mark.parametrize(("joint", "words", "more", "outcome"), STANDS_FOR)
def test_a_nail_stands_only_for_what_it_equals(joint, words, more, outcome):
    assert joint(words, nail_more=more).outcome == outcome


def test_stainless_never_exceeds_in_framing_and_a_clipped_head_may():
    assert ask("stud-to-plate-end-nail", "3-1/4 x .131", nail_more={"coating": "stainless"}).outcome == "engineering_required"
    assert ask("stud-to-plate-end-nail", "3-1/4 x .131", nail_more={"head": "clipped"}).outcome == "exceeds_listed"


@pytest.mark.parametrize(("edition", "outcome"), [("irc-2021", "engineering_required"), ("irc-2024", "engineering_required")])
def test_an_alternate_roof_nail_stops_past_110_mph(edition, outcome):
    """IRC Table R602.3(2) notes, 2021 on: on roofs only at 110 mph ultimate or less, 3 in at every support."""
    assert roof("2-3/8 x .113", edition=edition, site=Site(111)).outcome == outcome
    mild = roof("2-3/8 x .113", edition=edition, site=Site(110))
    assert (mild.outcome, mild.nailing) == ("exceeds_listed", Panel(ticks(3), ticks(3)))


def test_wide_supports_close_the_field():
    """IRC Table R602.3(1) note c: supports 48 in or more apart take 6 in at every support."""
    wide = ask("wood-panel-to-framing", "8d common", panel_thickness=ticks("0.75"), stud_spacing=ticks(48), use="floor")
    near = ask("wood-panel-to-framing", "8d common", panel_thickness=ticks("0.75"), stud_spacing=ticks("47.9"), use="floor")
    assert wide.nailing == Panel(ticks(6), ticks(6)) and wide.provenance.modified
    assert near.nailing == Panel(ticks(6), ticks(12)) and not near.provenance.modified


def nail_of(option):
    """The very nail an option prints; None for fasteners that are no nails of the catalogue's range."""
    if option.fastener in ("staple", "screw") or option.length is None or option.diameter is None:
        return None
    if option.shank == "rsrs":
        return by_id(option.nail_id, BOOK)
    shank = "ring" if option.shank == "deformed" else "smooth"
    return replace(of_size(shank, option.length, option.diameter), head_diameter=option.head_diameter)


def no_worse(got, printed):
    match got, printed:
        case PerJoint(a), PerJoint(b):
            return a <= b
        case Grouped(a, s), Grouped(b, t):
            return a <= b and s >= t
        case OnCenter(a, m), OnCenter(b, n):
            return a >= b and m == n
        case Panel(a, f), Panel(b, g):
            return a >= b and f >= g
    return False


def printed_options():
    for edition in BOOK.editions.values():
        for rows in edition.rows.values():
            for row in rows:
                category = row.seismic_design_categories[0] if row.seismic_design_categories else "A"
                site = replace(MILD, seismic_design_category=category)
                thickness = row.thickness_max if row.thickness_max is not None else row.thickness_min
                for k, option in enumerate(row.options):
                    nail = nail_of(option)
                    if nail is None:
                        continue
                    for use in option.use or ("wall",):
                        selectors = Selectors(braced=bool(row.braced), use=use, panel_thickness=thickness)
                        question = Question(edition.edition_id, row.connection_id, nail, site, selectors)
                        yield pytest.param(question, option, id=f"{edition.edition_id}-{row.row}-{k}-{use}")


@pytest.mark.parametrize(("question", "option"), list(printed_options()))
def test_every_printed_nail_is_prescriptive_and_no_worse_than_printed(question, option):
    answer = judge(question, BOOK)
    assert answer.outcome == "prescriptive"
    assert no_worse(answer.nailing, option.nailing), (answer.nailing, option.nailing)


@pytest.mark.parametrize("edition", BOOK.editions)
def test_every_wind_row_takes_its_own_nail_at_its_own_limits(edition):
    for row in BOOK.editions[edition].wind_panels:
        own = of_size("smooth", row.option.length, row.option.diameter)
        selectors = Selectors(panel_thickness=row.min_thickness, stud_spacing=row.max_stud_spacing, span_rating=row.min_span_rating)
        for exposure in "BCD":
            # the site scope of every edition ends by 130 ultimate or earlier; 100 nominal is 129.1
            speed = min(row.max_wind_mph[exposure], 129 if row.wind_basis == "ultimate" else 100)
            answer = judge(Question(edition, WIND_PANEL, own, Site(speed, row.wind_basis, exposure), selectors), BOOK)
            assert answer.outcome == "prescriptive", (row.row, exposure)
            assert answer.nailing == row.option.nailing


def test_blocks_take_two_nails_each_end():
    """Common practice, no source."""
    answer = ask("block-to-stud-end-nail", "3 x .131")
    assert (answer.outcome, answer.nailing.count) == ("prescriptive", 2)
    assert answer.provenance.confidence == "common_practice"
    assert answer.provenance.code == "none"


def test_a_braced_panel_over_foam_is_told_that_it_may_not_brace():
    """A trade summary of wall sheathing (from memory): over gypsum or foam a panel keeps its place in the bracing tables only by a row."""
    over, bare, plain_wall = (
        panel("8d common", "0.4375", between, braced=b) for between, b in (("0.25", True), ("0", True), ("0.25", False))
    )
    assert (over.braced_over, bare.braced_over, plain_wall.braced_over) == (ticks("0.25"), 0, 0)
    assert "counts as bracing only where" in over.provenance.note
    assert not any("bracing" in (r.provenance.note or "") for r in (bare, plain_wall))
