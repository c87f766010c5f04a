"""Each caution speaks where its trigger is true, stays silent in a near-twin question, and says why."""

import csv
import io
import json
from pathlib import Path

import pytest

from service.app import create_app
from service.domain.cautions.bracing import on_bracing
from service.domain.cautions.caution import WAITING
from service.domain.cautions.inspection import on_inspection
from service.domain.cautions.joint import on_joint
from service.domain.cautions.shear import on_shear
from service.domain.cautions.strength import on_strength
from service.domain.cautions.takeoff import on_takeoff
from service.domain.cautions.ties import on_anchorage, on_uplift
from service.domain.cautions.wall import on_line, on_panels, on_wall
from service.settings import Settings
from service.tables.book import open_book
from service.tables.cautions import SEVERITIES

BOOK = open_book()
JOINT, WALL, NAILS, STRENGTH = "/v1/requirements", "/v1/wall-plans", "/v1/nails", "/v1/nail-strengths"
SHEAR = "/v1/shear-capacities"
BRACING = "/v1/bracing-checks"
INSPECTION = "/v1/nailing-inspections"
TAKEOFF = "/v1/takeoffs"
UPLIFT, ANCHORAGE = "/v1/uplift-requirements", "/v1/anchorages"
ABSENT = object()
STANDING = {"local_code_governs"}
SITE = {
    "wind_speed_mph": 110,
    "wind_speed_basis": "ultimate",
    "exposure": "B",
    "seismic_design_category": "B",
    "driver": "hand",
    "treatment": "none",
    "roof_pitch_in_12": 6,
    "roof_span_ft": 28,
}
STUD = {**SITE, "connection_id": "stud-to-plate-end-nail", "nail_id": "16d-box"}
TOE = {**STUD, "connection_id": "stud-to-plate-toe-nail"}
ROOF = {**STUD, "connection_id": "rafter-to-plate-toe-nail"}
PANEL = {
    **STUD,
    "connection_id": "exterior-wall-panel-to-framing",
    "nail_id": "8d-common",
    "panel_thickness_in": 0.4375,
    "span_rating": "24/16",
}
PLAIN_PANEL = {**STUD, "connection_id": "wood-panel-to-framing", "nail_id": "8d-common", "panel_thickness_in": 0.5, "use": "wall"}
ZINC = {"nail_id": "16d-box", "coating": "electro_galvanized"}
FRAME = {**SITE, "framing_nail": {"nail_id": "16d-box"}, "wall": {"length_in": 144, "height_in": 97.125}}
TALL = {**FRAME, "wall": {"length_in": 144, "height_in": 130, "stud": "2x6", "bearing": False, "supports": "none"}}
ZINC_FRAME = {**FRAME, "framing_nail": ZINC}
ON_SLAB = {**FRAME, "wall": {**FRAME["wall"], "bottom_plate_on": "concrete"}}

SHEET = {"thickness_in": 0.4375, "span_rating": "24/16"}
SHEETS = {**FRAME, "sheathing_nail": {"nail_id": "8d-common"}, "wall": {**FRAME["wall"], "sheathing": SHEET}}
SHAKING = {**PANEL, "nail_id": "smooth-2.375x0.113", "stud_spacing_in": 24, "braced_wall_panel": False}
BRACED = {**SHAKING, "braced_wall_panel": True}
SIXTEEN = {"nail_id": "16d-common", "head_diameter_in": 0.344, "main_species": "spruce-pine-fir", "side_thickness_in": 1.5}
BOARD = {"nail_id": "8d-common", "side_material": "wood_structural_panel", "side_thickness_in": 0.4375}
SHEARED = {
    "panel_thickness_in": 0.4375,
    "nail_id": "8d-common",
    "edge_spacing_in": 4,
    "load": "wind",
    "blocked": True,
    "seismic_design_category": "B",
    "wall_length_ft": 8,
    "wall_height_ft": 8,
}
GYPSUM = {**SHEARED, "material": "gypsum_wallboard", "panel_thickness_in": 0.5, "fastener": "5d-cooler", "field_spacing_in": 4}
GYPSUM.pop("nail_id")

TIE = {
    "wind_speed_basis": "ultimate",
    "wind_speed_mph": 115,
    "exposure": "B",
    "seismic_design_category": "B",
    "roof_span_ft": 28,
    "roof_pitch_in_12": 4,
    "tie_spacing_in": 24,
}
PLATES = {
    "wind_speed_basis": "ultimate",
    "wind_speed_mph": 115,
    "exposure": "B",
    "seismic_design_category": "B",
    "plate_lengths_ft": [16],
    "slab_type": "plain",
    "anchor_type": "cast_in",
}


def window(**more):
    """Return a window between the marks, with jacks and kings given; None leaves a field out."""
    base = {
        "id": "w1",
        "kind": "window",
        "at_in": 60,
        "width_in": 30,
        "sill_height_in": 36,
        "head_height_in": 80,
        "header": {"nominal": "2x8"},
        "jack_count": 1,
        "king_count": 1,
    }
    return [{k: v for k, v in {**base, **more}.items() if v is not None}]


def with_wall(base, **wall):
    """Return a wall question with other measures."""
    return {**base, "wall": {**base["wall"], **wall}}


def field(code, address, base, name, speaks, silent, names):
    """Return a case whose two questions differ in one field; `wall.` names a field of the wall."""

    def put(value):
        if name.startswith("wall."):
            wall = {**base["wall"], name[5:]: value}
            return {**base, "wall": {k: v for k, v in wall.items() if v is not ABSENT}}
        return {k: v for k, v in {**base, name: value}.items() if v is not ABSENT}

    return pytest.param(code, address, put(speaks), address, put(silent), names, id=f"{code}-{name}-{names}".replace(" ", "_"))


HEADED = with_wall({**FRAME, "ground_snow_load_psf": 30}, openings=window(), building_width_ft=24)
WIDE = {**ROOF, "roof_span_ft": 40, "exposure": "C"}
NO_SPAN = {k: v for k, v in FRAME.items() if k != "roof_span_ft"}
BLOCKING = "blocking-to-rafter-end-nail"
THICK = {**PANEL, "nail_id": "10d-common"}
FOAM = with_wall({**SHEETS, "sheathing_nail": {"nail_id": "10d-common"}}, sheathing={**SHEET, "material_between_in": 0.5})
GLUED = {"material": "engineered", "thickness_in": 3.5, "depth_in": 7.25}
ONE_KING, TWO_KINGS = (window(at_in=40, width_in=60, header=GLUED, jack_count=2, king_count=n) for n in (1, 2))
DOOR = [{k: v for k, v in window(kind="door", at_in=3)[0].items() if k != "sill_height_in"}]
SHORT_STOCK = with_wall(FRAME, length_in=120, plate_stock_length_ft=8)
INSIDE = with_wall(FRAME, bearing=False, exterior=False)
LONG = with_wall(FRAME, length_in=288)

LINE = {
    **{name: STUD[name] for name in ("wind_speed_mph", "wind_speed_basis", "exposure", "seismic_design_category")},
    "method_id": "CS-WSP",
    "supports": "roof_only",
    "braced_wall_line_spacing_ft": 20,
    "braced_wall_line_count": 2,
    "eave_to_ridge_ft": 8,
    "wall_height_ft": 8,
    "wall_length_ft": 16,
    "end_condition": "return_panel",
    "continuous_sheathing_complete": True,
    "panels": [{"id": "a", "start_in": 0, "length_in": 192, "adjacent_opening_height_in": 0}],
}
VENEER = {**LINE, "building_type": "townhouse", "masonry_veneer": True}

FOUND = {"id": "n1", "connection_id": STUD["connection_id"], "nail_id": "16d-common", "found_nail_count": 1}
HEADS = {"inspected_nail_count": 100, "overdriven_over_1_16_count": 20, "overdriven_over_1_8_count": 0}
FOUND_PANEL = {
    **{name: PANEL[name] for name in ("connection_id", "nail_id", "panel_thickness_in", "span_rating")},
    **{"id": "p1", "found_edge_spacing_in": 6, "found_field_spacing_in": 12, **HEADS},
}
CLOSE_PANEL = {
    **{name: PLAIN_PANEL[name] for name in ("connection_id", "panel_thickness_in", "use")},
    **{"id": "p2", "nail_id": "smooth-2.25x0.099", "found_edge_spacing_in": 4, "found_field_spacing_in": 6, **HEADS},
}
INSPECTED = {**{name: SITE[name] for name in SITE}, "may_hold_services": True}


def found(code, base, name, speaks, silent, names):
    """Return a case whose two inspections differ in one field of the one joint found."""
    asked, twin = ({**INSPECTED, "observations": [{**base, name: value}]} for value in (speaks, silent))
    return pytest.param(code, INSPECTION, asked, INSPECTION, twin, names, id=f"{code}-{name}-{names}".replace(" ", "_"))


BOUGHT = {**{k: v for k, v in FRAME.items() if k != "wall"}, "walls": [{"id": "a", "wall": FRAME["wall"]}]}
LABELLED = {**BOUGHT, "purchase": {"packages": [{"nail_id": "16d-box", "nail_count_per_package": 355}]}}
WEIGHED = {**BOUGHT, "purchase": {"packages": [{"nail_id": "16d-box", "weight_lb": 5}]}}
CASES = [
    found("wood_splits", FOUND, "found_nail_count", 1, 2, "stud-to-plate-end-nail"),
    found("wood_splits", FOUND_PANEL, "found_edge_spacing_in", 8, 6, "exterior-wall-panel-to-framing"),
    # association guidance, read once: a fifth of the perimeter nails over 1/16 in, none over 1/8 in
    found("overdriven_repair", FOUND_PANEL, "overdriven_over_1_16_count", 21, 20, "21 of 100"),
    found("overdriven_repair", FOUND_PANEL, "overdriven_over_1_8_count", 1, 0, "1 of them over 1/8 in"),
    found("added_nails_split", {**CLOSE_PANEL, "found_field_spacing_in": 9}, "nail_id", "smooth-2.25x0.099", "6d-common", "every 3 in"),
    # 8d common through 7/16 in: 2-1/16 in; 8d through a plate of 1-1/2 in: 1 in
    found("concealed_services_wired", FOUND_PANEL, "overdriven_over_1_16_count", 21, 20, "2.0625 in"),
    found("concealed_services_wired", FOUND, "found_nail_count", 1, 2, "2 in"),
    field(
        "concealed_services_wired",
        INSPECTION,
        {**INSPECTED, "observations": [FOUND]},
        "may_hold_services",
        ABSENT,
        False,
        "2 in past the face",
    ),
    field("site_assumed", INSPECTION, {**INSPECTED, "observations": [FOUND]}, "exposure", ABSENT, "B", "exposure B"),
    found("approval_required", FOUND, "nail_id", "smooth-3x0.120", "smooth-3x0.131", "calculated"),
    found("penetration_short", FOUND, "nail_id", "8d-common", "10d-common", "1 in into"),
    field("end_condition_unknown", BRACING, LINE, "end_condition", "unknown", "return_panel", "CS-WSP"),
    field("end_condition_unknown", BRACING, LINE, "end_condition", ABSENT, "return_panel", "unknown"),
    field("end_condition_unknown", BRACING, {**LINE, "end_condition": "unknown"}, "method_id", "CS-WSP", "WSP", "continuous"),
    field("continuous_sheathing_incomplete", BRACING, LINE, "continuous_sheathing_complete", ABSENT, True, "not given"),
    field(
        "continuous_sheathing_incomplete", BRACING, {**LINE, "continuous_sheathing_complete": False}, "method_id", "CS-WSP", "WSP", "CS-WSP"
    ),
    field("site_assumed", BRACING, LINE, "exposure", ABSENT, "B", "exposure B"),
    # 135 mph is past the tables in hurricane-prone regions only (130 and 140 mph, R301.2.1.1, memory)
    *(
        field("site_assumed", address, {**base, "wind_speed_mph": 135}, "hurricane_prone", ABSENT, False, "hurricane_prone false")
        for address, base in ((JOINT, STUD), (WALL, FRAME), (BRACING, LINE), (UPLIFT, TIE), (ANCHORAGE, PLATES))
    ),
    field("site_assumed", JOINT, STUD, "wind_speed_mph", 135, 129, "hurricane_prone false"),
    # a townhouse in C is braced for earthquakes, a detached house is not (R602.10.3)
    field("site_assumed", BRACING, {**LINE, "seismic_design_category": "C"}, "building_type", ABSENT, "detached", "building_type detached"),
    field("site_assumed", JOINT, {**BRACED, "seismic_design_category": "C"}, "braced_wall_panel", True, False, "building_type"),
    field("site_assumed", ANCHORAGE, PLATES, "seismic_design_category", "C", "B", "building_type detached"),
    field("wind_basis_doubtful", BRACING, LINE, "wind_speed_mph", 90, 100, "90"),
    field("unverified_value", BRACING, VENEER, "seismic_design_category", "C", "B", "masonry_veneer"),
    field("engineering_required_scope", BRACING, LINE, "wind_speed_mph", 140, 139, "140 mph"),
    field("value_not_held", BRACING, LINE, "code_edition", "irc-2024", "irc-2021", "2024"),
    # 24 in on center: 198 lb at 28 ft, 218 at 32 (IRC Table R802.11)
    field("uplift_connector_needed", UPLIFT, TIE, "roof_span_ft", 32, 28, "218 lb"),
    # 16 in on center at 120 mph: 161 lb a tie, 121 lb/ft, where 2021 says what braced panels carry (R602.3.5)
    field(
        "uplift_connector_needed",
        UPLIFT,
        {**TIE, "tie_spacing_in": 16, "wind_speed_mph": 120},
        "code_edition",
        "irc-2021",
        "irc-2018",
        "121 lb/ft",
    ),
    field("site_assumed", UPLIFT, TIE, "exposure", ABSENT, "B", "exposure B"),
    field("site_assumed", ANCHORAGE, PLATES, "seismic_design_category", ABSENT, "B", "seismic_design_category B"),
    field("site_assumed", ANCHORAGE, {**PLATES, "seismic_design_category": "C"}, "building_type", ABSENT, "detached", "building_type"),
    field("wind_basis_doubtful", UPLIFT, TIE, "wind_speed_mph", 90, 115, "90"),
    field("wind_basis_doubtful", ANCHORAGE, PLATES, "wind_speed_mph", 90, 115, "90"),
    field("unverified_value", UPLIFT, TIE, "wind_speed_mph", 100, 110, "slower wind"),
    field("engineering_required_scope", UPLIFT, TIE, "roof_span_ft", 48.5, 48, "48.5 ft"),
    field("engineering_required_scope", ANCHORAGE, PLATES, "seismic_design_category", "E", "D2", "category E"),
    field("value_not_held", UPLIFT, TIE, "code_edition", "irc-2024", "irc-2021", "IRC 2024"),
    field("value_not_held", ANCHORAGE, PLATES, "code_edition", "ibc-2021", "irc-2012", "IBC 2021"),
    field("short_plate_piece", ANCHORAGE, PLATES, "plate_lengths_ft", [16, 0.99], [16, 1], "11.88 in"),
    field("drilling_concrete", ANCHORAGE, {**PLATES, "slab_type": "heated"}, "anchor_type", ABSENT, "cast_in", "not given"),
    field("drilling_concrete", ANCHORAGE, {**PLATES, "anchor_type": "shot"}, "slab_type", "heated", "plain", "heated"),
    field("site_assumed", JOINT, STUD, "wind_speed_mph", ABSENT, 110, "wind_speed_mph 115"),
    field("site_assumed", JOINT, STUD, "exposure", ABSENT, "B", "exposure B"),
    field("site_assumed", JOINT, STUD, "seismic_design_category", ABSENT, "B", "seismic_design_category B"),
    field("site_assumed", WALL, FRAME, "exposure", ABSENT, "B", "exposure B"),
    field("wind_basis_doubtful", JOINT, STUD, "wind_speed_mph", 94.9, 95, "94.9"),
    field("wind_basis_doubtful", JOINT, {**STUD, "wind_speed_basis": "allowable"}, "wind_speed_mph", 117, 116, "117"),
    field("wind_basis_doubtful", JOINT, {**STUD, "wind_speed_mph": 90}, "wind_speed_basis", "ultimate", "allowable", "ultimate"),
    field("wind_basis_doubtful", WALL, FRAME, "wind_speed_mph", 90, 100, "90"),
    field("unverified_value", JOINT, PANEL, "code_edition", "ibc-2018", "ibc-2024", "memory"),
    field(
        "unverified_value",
        WALL,
        with_wall(FRAME, top_plate_count=1, length_in=240),
        "code_edition",
        "irc-2018",
        "irc-2021",
        "splice plates",
    ),
    field("thicker_than_listed", JOINT, TOE, "nail_id", "16d-common", "smooth-3.5x0.148", "0.162"),
    field("thinner_than_common", JOINT, {**PLAIN_PANEL, "braced_wall_panel": True}, "nail_id", "smooth-2.25x0.099", "6d-common", "0.099"),
    field(
        "thinner_than_common",
        JOINT,
        {**PLAIN_PANEL, "nail_id": "smooth-2.25x0.099"},
        "braced_wall_panel",
        True,
        False,
        "0.099",
    ),
    field("carbon_steel_only", JOINT, STUD, "coating", "stainless", "hot_dip_galvanized", "stainless"),
    field("carbon_steel_only", JOINT, {**STUD, "coating": "copper"}, "code_edition", "irc-2021", "irc-2018", "irc-2021"),
    field("clipped_head", JOINT, PANEL, "head", "clipped", "full_round", "clipped"),
    field("head_unknown", JOINT, {**PANEL, "nail_id": "smooth-2.5x0.131"}, "head_diameter_in", ABSENT, 0.281, "smooth-2.5x0.131"),
    field("ring_not_rsrs", JOINT, STUD, "nail_id", "ring-3x0.131", "post-frame-ring-3x0.135", "ring-3x0.131"),
    field("ring_not_rsrs", JOINT, PANEL, "nail_id", "ring-2.5x0.131", "rsrs-03", "ring-2.5x0.131"),
    field(
        "low_gravity_framing", JOINT, {**PANEL, "code_edition": "irc-2024"}, "species", "spruce-pine-fir-south", "spruce-pine-fir", "0.36"
    ),
    field("low_gravity_framing", JOINT, {**PANEL, "code_edition": "irc-2024"}, "species", "northern-species", "black-cottonwood", "0.35"),
    field("low_gravity_framing", JOINT, {**PANEL, "species": "aspen"}, "code_edition", "irc-2024", "irc-2021", "0.39"),
    field("span_rating_assumed", JOINT, PANEL, "span_rating", ABSENT, "24/16", "span_rating"),
    field("close_nail_rows", JOINT, PLAIN_PANEL, "nail_id", "smooth-2.25x0.099", "8d-common", "3 in"),
    field("toe_nail_hits_concrete", JOINT, TOE, "bottom_plate_on", "concrete", "wood_floor", "1.86 in"),
    field("toe_nail_hits_concrete", JOINT, {**TOE, "bottom_plate_on": "concrete"}, "nail_id", "10d-box", "8d-common", "1.60 in"),
    field(
        "toe_nail_seismic_limit",
        JOINT,
        {**STUD, "connection_id": "rim-joist-to-sill-toe-nail", "nail_id": "8d-common"},
        "seismic_design_category",
        "D0",
        "C",
        "D0",
    ),
    field(
        "point_protrudes", JOINT, {**STUD, "connection_id": "stud-to-stud-face-nail"}, "nail_id", "16d-common", "smooth-3x0.131", "3.5 in"
    ),
    field("concealed_services", JOINT, PLAIN_PANEL, "use", "wall", "floor", "2 in"),
    field("concealed_services", WALL, SHEETS, "wall.sheathing", SHEET, ABSENT, "2.0625 in"),
    field("treated_lumber_fastener", JOINT, STUD, "treatment", "copper", "none", "copper"),
    field("treated_lumber_fastener", JOINT, STUD, "treatment", "unknown", "borate", "unknown, read as copper"),
    field("treated_lumber_fastener", JOINT, {**STUD, "treatment": "copper"}, "coating", ABSENT, "hot_dip_galvanized", "bright"),
    field("treated_lumber_fastener", JOINT, {**STUD, "treatment": "copper"}, "coating", "electro_galvanized", "stainless", "electro"),
    field("treated_lumber_fastener", WALL, ZINC_FRAME, "wall.bottom_plate_on", "concrete", "wood_floor", "read as copper-treated"),
    # bright nails through a plate on concrete are taken hot-dip galvanized by the service itself
    field("treated_lumber_fastener", WALL, ON_SLAB, "framing_nail", ZINC, {"nail_id": "16d-box"}, "electro_galvanized"),
    field("borate_dry_only", JOINT, STUD, "treatment", "borate", "none", "borate"),
    field("fire_retardant_lumber", JOINT, STUD, "treatment", "fire_retardant", "none", "fire_retardant"),
    field("wet_lumber", JOINT, STUD, "moisture", "wet_at_fabrication", "dry", "wet_at_fabrication"),
    field("wet_lumber", WALL, FRAME, "moisture", "wet_in_service", "dry", "wet_in_service"),
    field("wet_lumber", WALL, FRAME, "moisture", "wet_throughout", "dry", "wet_throughout"),
    field("fall_protection", JOINT, ROOF, "connection_id", "rafter-to-plate-toe-nail", "stud-to-plate-toe-nail", "roof"),
    field("fall_protection", JOINT, STUD, "story_count", 2, 1, "story_count is 2"),
    field("fall_protection", WALL, FRAME, "story_count", 3, ABSENT, "story_count is 3"),
    # a wall that carries two stories and a roof stands in a building of three
    field(
        "fall_protection",
        WALL,
        {**FRAME, "wall": {**FRAME["wall"], "stud": "2x6"}},
        "wall.supports",
        "two_stories_and_roof",
        "roof_only",
        "story_count is 3",
    ),
    field("roof_tool_hose", JOINT, {**ROOF, "driver": "gun"}, "roof_pitch_in_12", 8, 7, "8"),
    field("roof_tool_hose", JOINT, {**ROOF, "roof_pitch_in_12": 9}, "driver", "gun", "hand", "9"),
    field("engineering_required_joint", JOINT, STUD, "nail_id", "smooth-3x0.113", "smooth-3x0.120", "3 x 0.113"),
    field("engineering_required_joint", JOINT, {**STUD, "nail_id": "smooth-3x0.113"}, "stud", "2x4", "2x6", "3 x 0.113"),
    field("approval_required", JOINT, STUD, "nail_id", "smooth-3x0.120", "smooth-3x0.131", "calculated"),
    field("approval_required", WALL, FRAME, "framing_nail", {"nail_id": "smooth-3.25x0.128"}, {"nail_id": "16d-common"}, "calculated"),
    field("penetration_reduced", JOINT, STUD, "nail_id", "smooth-2.75x0.148", "smooth-2.75x0.120", "8.45 diameters"),
    field("penetration_short", JOINT, STUD, "nail_id", "8d-common", "10d-common", "1 in into"),
    field(
        "penetration_short",
        JOINT,
        {**STUD, "connection_id": "built-up-header-face-nail", "nail_id": "smooth-3x0.131"},
        "spacer_in",
        0.25,
        0,
        "3-1/4",
    ),
    field("calculated_not_offered", JOINT, BRACED, "seismic_design_category", "D0", "C", "D0"),
    field(
        "calculated_not_offered", JOINT, {**BRACED, "seismic_design_category": "C"}, "building_type", "townhouse", "detached", "townhouse"
    ),
    field("calculated_not_offered", JOINT, {**SHAKING, "seismic_design_category": "D1"}, "braced_wall_panel", True, False, "D1"),
    field("thinner_than_common", JOINT, SHAKING, "braced_wall_panel", True, False, "0.113"),
    field("end_grain_withdrawal", STRENGTH, SIXTEEN, "method", "end_nail", "face_nail", "end_nail"),
    field("penetration_reduced", STRENGTH, SIXTEEN, "side_thickness_in", 2, 1.75, "9.26"),
    field("penetration_short", STRENGTH, SIXTEEN, "side_thickness_in", 2.75, 2.5, "4.63"),
    field("wet_lumber", STRENGTH, SIXTEEN, "moisture", "wet_in_service", "dry", "wet_in_service"),
    field("wet_lumber", STRENGTH, SIXTEEN, "moisture", "wet_throughout", "dry", "wet_throughout"),
    field("head_unknown", STRENGTH, {**BOARD, "nail_id": "smooth-2.5x0.131"}, "head_diameter_in", ABSENT, 0.281, "smooth-2.5x0.131"),
    field("clipped_head", STRENGTH, BOARD, "head", "clipped", "full_round", "clipped"),
    field("ring_not_rsrs", STRENGTH, BOARD, "nail_id", "ring-2.5x0.131", "rsrs-03", "ring-2.5x0.131"),
    # SDPWS 4.3.7.1 (from memory): 2 in; 10d at 3 in; over 700 plf seismic nominal in D, E, F: 8d at 3 in in 7/16 has 900
    field("framing_3x_needed", SHEAR, SHEARED, "edge_spacing_in", 2, 2.5, "2 in"),
    field("framing_3x_needed", SHEAR, {**SHEARED, "edge_spacing_in": 3}, "nail_id", "10d-common", "8d-common", "10d common"),
    field("framing_3x_needed", SHEAR, {**SHEARED, "edge_spacing_in": 3}, "seismic_design_category", "D", "C", "900 plf is over 700 plf"),
    field("framing_3x_needed", SHEAR, {**SHEARED, "seismic_design_category": "D1"}, "edge_spacing_in", 3, 4, "D1"),
    field(
        "framing_3x_needed",
        SHEAR,
        {**SHEARED, "seismic_design_category": "E", "sdpws_edition": "sdpws-2021"},
        "edge_spacing_in",
        3,
        4,
        "1260 plf is over 980 plf",
    ),
    field("site_assumed", SHEAR, {**SHEARED, "edge_spacing_in": 3}, "seismic_design_category", ABSENT, "B", "seismic_design_category B"),
    field("site_assumed", SHEAR, {**GYPSUM, "load": "seismic"}, "seismic_design_category", ABSENT, "B", "gypsum"),
    field("close_nail_rows", SHEAR, SHEARED, "edge_spacing_in", 3, 3.5, "3 in"),
    field("thinner_than_common", SHEAR, {**SHEARED, "coating": "hot_dip_galvanized"}, "nail_id", "8d-box", "8d-common", "0.131 in"),
    field("head_unknown", SHEAR, {**SHEARED, "nail_id": "smooth-2.5x0.131"}, "head_diameter_in", ABSENT, 0.281, "smooth-2.5x0.131"),
    field("clipped_head", SHEAR, SHEARED, "head", "clipped", "full_round", "clipped"),
    field("unblocked_edge", SHEAR, SHEARED, "blocked", False, True, "false"),
    field("spacing_wider_than_required", SHEAR, {**SHEARED, "stud_spacing_in": 24}, "field_spacing_in", 12, 6, "6 in is required"),
    field("unverified_value", SHEAR, SHEARED, "wall_length_ft", 8, 2, "lrfd_factor"),
    field("unverified_value", SHEAR, {**SHEARED, "wall_length_ft": 2}, "blocked", False, True, "the limit is held from memory"),
    field("nail_rows_too_close", SHEAR, SHEARED, "edge_spacing_in", 1.9, 2, "1.9 in"),
    field("penetration_short", SHEAR, SHEARED, "panel_thickness_in", 1.3, 1.1, "1.2 in"),
    field("engineering_required_scope", SHEAR, SHEARED, "wall_length_ft", 2.2, 2.3, "3.5 to 1"),
    field("engineering_required_scope", SHEAR, {**GYPSUM, "load": "seismic"}, "seismic_design_category", "E", "D", "E and F"),
    field("engineering_required_joint", SHEAR, SHEARED, "coating", "stainless", "hot_dip_galvanized", "not carbon steel"),
    field("value_not_held", SHEAR, {**GYPSUM, "load": "seismic"}, "sdpws_edition", "sdpws-2021", "sdpws-2015", "2021"),
    field("value_not_held", SHEAR, SHEARED, "material_between_in", 0.5, 0, "directly on the framing"),
    field("engineering_required_scope", JOINT, STUD, "seismic_design_category", "E", "D2", "category E"),
    field("engineering_required_scope", JOINT, STUD, "wind_speed_mph", 200, 110, "200 mph"),
    field("engineering_required_scope", WALL, FRAME, "wall.stud_spacing_in", 30, 16, "30 in"),
    field("fire_rated_assembly", JOINT, STUD, "fire_rated", True, False, "true"),
    field("fire_rated_assembly", WALL, FRAME, "fire_rated", True, False, "true"),
    field("penetration_short", JOINT, PANEL, "material_between_in", 0.75, 0, "0.75 in"),
    field("value_not_held", JOINT, STUD, "connection_id", "heel-joint-face-nail", "stud-to-plate-end-nail", "R802.5.2"),
    field("fireblocking_assumed", WALL, TALL, "wall.fireblocking", True, False, "1 row"),
    field("fireblocking_assumed", WALL, TALL, "wall.height_in", 125.5, 124.5, "121 in"),
    field(
        "overhead_reach", WALL, with_wall({**FRAME, "driver": "gun"}, stud_to_plate_method="toe_nail"), "wall.height_in", 85, 84, "85 in"
    ),
    field("overhead_reach", WALL, with_wall(FRAME, stud_to_plate_method="toe_nail"), "driver", "gun", "hand", "toe_nail"),
    # 1358.25 in of 2x4 at 1.3 lb/ft (from memory): 147 lb; ceil(147 / 50) people
    field("raise_wall", WALL, FRAME, "wall.stud_to_plate_method", "end_nail", "toe_nail", "147 lb, 3 people"),
    field("raise_wall", WALL, FRAME, "wall.length_in", 144, 600, "147 lb"),
    field("raise_by_machine", WALL, FRAME, "wall.length_in", 600, 144, "586 lb, 12 people"),
    field("raise_by_machine", WALL, with_wall(FRAME, length_in=600), "wall.stud_to_plate_method", "end_nail", "toe_nail_bottom", "586"),
    field("short_pieces", WALL, with_wall({**TALL, "driver": "gun"}, length_in=140), "wall.length_in", 138, 144, "under 12 in (block)"),
    field("short_pieces", WALL, with_wall(TALL, length_in=138), "driver", "gun", "hand", "under 12 in"),
    field("short_pieces", WALL, TALL, "wall.length_in", 135, 144, "under 6 in (block)"),
    field("short_pieces", WALL, FRAME, "wall.openings", window(head_height_in=82.5), window(), "(head cripple), the shortest 4.375"),
    field("wood_splits", WALL, LONG, "framing_nail", {"nail_id": "16d-common"}, {"nail_id": "16d-box"}, "0.375 in"),
    field("wood_splits", WALL, LONG, "species", "douglas-fir-larch", "spruce-pine-fir", "specific gravity 0.5"),
    field("wood_splits", WALL, {**LONG, "species": "southern-pine"}, "wall.length_in", 288, 144, "192 in"),
    field("wood_splits", WALL, {**LONG, "species": "southern-pine"}, "wall.stud_to_plate_method", "end_nail", "toe_nail", "0.55"),
    # laps cover 38.25 to 41.75 and 78.25 to 81.75 in: no stud of 32, 48, 64 or 80 in is 24 in clear of both (IRC R602.3.2)
    field("plate_joint_near_lap", WALL, SHORT_STOCK, "wall.intersections", [{"at_in": 40}, {"at_in": 80}], [], "the lap"),
    # a king and a jack of 1.5 in cover the whole piece of plate
    field("plate_joint_near_lap", WALL, FRAME, "wall.openings", DOOR, [{**DOOR[0], "at_in": 20}], "floor nails"),
    field("uplift_unknown", WALL, FRAME, "roof_pitch_in_12", ABSENT, 5, "not given: roof_pitch_in_12"),
    field("uplift_unknown", WALL, FRAME, "roof_span_ft", ABSENT, 32, "not given: roof_span_ft"),
    field("uplift_unknown", WALL, FRAME, "wind_speed_mph", ABSENT, 115, "not given: wind_speed_mph"),
    field("uplift_unknown", WALL, FRAME, "exposure", ABSENT, "B", "not given: exposure"),
    # Table R802.11, Exposure C, 24 in ties, 28 ft, from 5 in 12: 304 lb at 110 mph
    field("uplift_connector_needed", WALL, FRAME, "exposure", "C", "B", "304 lb"),
    field("uplift_unknown", WALL, NO_SPAN, "wall.supports", "roof_only", "one_floor_only", "roof_only"),
    field("uplift_unknown", WALL, FRAME, "code_edition", "ibc-2021", "irc-2021", "IBC 2021"),
    field("uplift_unknown", JOINT, ROOF, "roof_pitch_in_12", ABSENT, 5, "roof_pitch_in_12"),
    # 370 lb at 36 ft and 420 at 42, so 403.3 at 40
    field("uplift_connector_needed", JOINT, WIDE, "connection_id", ROOF["connection_id"], STUD["connection_id"], "404 lb"),
    field("uplift_unknown", JOINT, WIDE, "connection_id", "collar-tie-to-rafter-face-nail", ROOF["connection_id"], "404 lb"),
    # blocks between rafters are of the roof, but what lifts it does not pull at them (common practice, no source)
    field("uplift_unknown", JOINT, WIDE, "connection_id", "rafter-to-ridge-toe-nail", BLOCKING, "404 lb"),
    # bracing answers to earthquakes in D0 to D2, and for townhouses in C (IRC R301.2.2, from memory)
    field("high_seismic_bracing", JOINT, BRACED, "seismic_design_category", "D0", "B", "seismic_design_category D0, detached"),
    field("high_seismic_bracing", JOINT, {**BRACED, "seismic_design_category": "C"}, "building_type", "townhouse", "detached", "townhouse"),
    field("high_seismic_bracing", JOINT, {**BRACED, "seismic_design_category": "D1"}, "braced_wall_panel", True, False, "D1"),
    field("high_seismic_bracing", WALL, {**FRAME, "seismic_design_category": "D1"}, "wall.braced", ABSENT, False, "D1"),
    # an opening of 60 in over 115 mph in exposure B takes two full-height studs (IRC 2021 Table R602.7.5)
    field("opening_studs_short", WALL, {**FRAME, "wind_speed_mph": 120}, "wall.openings", ONE_KING, TWO_KINGS, "the table asks 2"),
    field("braced_panel_over_material", JOINT, {**THICK, "braced_wall_panel": True}, "material_between_in", 0.5, 0, "0.5 in lies between"),
    field("braced_panel_over_material", JOINT, {**THICK, "material_between_in": 0.5}, "braced_wall_panel", True, False, "0.5 in"),
    field("braced_panel_over_material", WALL, FOAM, "wall.braced", True, False, "0.5 in"),
    field("braced_assumed", WALL, SHEETS, "wall.braced", ABSENT, False, "braced"),
    field("braced_assumed", WALL, SHEETS, "wall.exterior", True, False, "exterior"),
    field("braced_assumed", WALL, SHEETS, "wall.sheathing", SHEET, ABSENT, "sheathing"),
    field("drilling_concrete", WALL, ON_SLAB, "slab_type", "post_tensioned", "plain", "post_tensioned"),
    field("drilling_concrete", WALL, ON_SLAB, "slab_type", "heated", "plain", "heated"),
    field("drilling_concrete", WALL, ON_SLAB, "slab_type", ABSENT, "plain", "slab_type is not given"),
    field("drilling_concrete", WALL, ON_SLAB, "anchor_type", ABSENT, "cast_in", "anchor_type is not given"),
    field("drilling_concrete", WALL, ON_SLAB, "anchor_type", "shot", "cast_in", "shot"),
    field("drilling_concrete", WALL, FRAME, "wall.bottom_plate_on", "concrete", "wood_floor", "concrete"),
    field("panel_nailing", JOINT, PANEL, "nail_id", "8d-common", "smooth-1.5x0.113", "exterior-wall-panel-to-framing"),
    field("panel_nailing", WALL, SHEETS, "wall.sheathing", SHEET, ABSENT, "exterior-wall-panel-to-framing"),
    field("header_not_checked", WALL, HEADED, "wall.building_width_ft", ABSENT, 24, "not given: building_width_ft"),
    field("header_not_checked", WALL, HEADED, "ground_snow_load_psf", ABSENT, 30, "not given: ground_snow_load_psf"),
    field("header_not_checked", WALL, HEADED, "wall.supports", "two_stories_and_roof", "roof_only", "two stories and roof"),
    field("header_not_checked", WALL, HEADED, "code_edition", "irc-2015", "irc-2021", "IRC 2015"),
    field("header_not_checked", WALL, {**HEADED, "wall": {**HEADED["wall"], "exterior": False}}, "wall.bearing", True, False, "w1"),
    field(
        "overhead_reach", WALL, {**FRAME, "driver": "gun"}, "wall.stud_to_plate_method", "toe_nail_bottom", "end_nail", "toe_nail_bottom"
    ),
    field("single_top_plate", WALL, FRAME, "wall.top_plate_count", 1, 2, "1"),
    field("tall_wall_restraint", WALL, FRAME, "wall.height_in", 120, 119.9, "120 in"),
    field("treated_cut_ends", WALL, FRAME, "treatment", "borate", "fire_retardant", "borate"),
    field("treated_cut_ends", WALL, FRAME, "treatment", "copper", "none", "copper"),
    field("far_side_clear", WALL, {**SHEETS, "driver": "gun"}, "wall.stud_to_plate_method", "toe_nail", "end_nail", "toe_nail"),
    field("far_side_clear", WALL, with_wall(SHEETS, stud_to_plate_method="toe_nail"), "driver", "gun", "hand", "gun"),
    field("panel_joint_off_stud", WALL, SHEETS, "wall.stud_spacing_in", 19.2, 16, "48 in"),
    # a panel joint at 105.45, header top at 104.8, plates from 106.125: the gap of 1.325 takes no cripples and so no block
    field(
        "nail_without_framing",
        WALL,
        with_wall(SHEETS, height_in=109.125, sheathing={**SHEET, "panel_length_in": 105.45}),
        "wall.openings",
        window(head_height_in=97.55),
        window(head_height_in=90),
        "105.45 in",
    ),
    field("joint_at_opening_corner", WALL, SHEETS, "wall.openings", window(at_in=47), window(), "48 in"),
    field("panel_short_of_plate", WALL, SHEETS, "wall.sheathing", {**SHEET, "panel_length_in": 96}, SHEET, "1.125 in"),
    field("unblocked_edge", WALL, with_wall(SHEETS, sheathing={**SHEET, "orientation": "horizontal"}), "wall.braced", False, True, "48 in"),
    field("spacing_wider_than_required", WALL, SHEETS, "wall.sheathing", {**SHEET, "edge_spacing_in": 8}, SHEET, "8 in"),
    field("callers_schedule_used", WALL, SHEETS, "wall.sheathing", {**SHEET, "edge_spacing_in": 4}, SHEET, "4 in"),
    field("nail_rows_too_close", WALL, SHEETS, "wall.sheathing", {**SHEET, "edge_spacing_in": 1.5}, SHEET, "1.5 in"),
    field("close_nail_rows", WALL, SHEETS, "wall.sheathing", {**SHEET, "edge_spacing_in": 3}, {**SHEET, "edge_spacing_in": 4}, "3 in"),
    field("header_hanger", WALL, FRAME, "wall.openings", window(jack_count=0), window(), "w1"),
    field("jack_count_assumed", WALL, FRAME, "wall.openings", window(jack_count=None), window(), "1 jack"),
    field("jack_count_assumed", WALL, INSIDE, "wall.openings", window(king_count=None), [{**window()[0], "header": None}], "1 king"),
    pytest.param("nail_gun", JOINT, {**STUD, "driver": "gun"}, JOINT, STUD, "gun", id="nail_gun-driver"),
    pytest.param("nail_gun", WALL, {**FRAME, "driver": "gun"}, WALL, FRAME, "gun", id="nail_gun-wall-driver"),
    pytest.param(
        "nail_gun",
        JOINT,
        {**STUD, "driver": "gun"},
        JOINT,
        {**STUD, "driver": "gun", "nail_id": "8d-common"},
        "gun",
        id="nail_gun-no-number",
    ),
    pytest.param("package_count_approximate", TAKEOFF, BOUGHT, TAKEOFF, LABELLED, "16d box", id="package_count_approximate-generic"),
    pytest.param("package_count_approximate", TAKEOFF, WEIGHED, TAKEOFF, LABELLED, "by weight", id="package_count_approximate-weight"),
    pytest.param(
        "ambiguous_designation", NAILS, {"designation": "16d"}, NAILS, {"designation": "16d common"}, "16d", id="ambiguous_designation"
    ),
]
QUESTIONS = [pytest.param(c.values[1], c.values[2], id=str(c.id)) for c in CASES if c.values[1] != NAILS]


@pytest.fixture(scope="module")
def asker():
    return create_app(Settings(log_level="error")).test_client()


def ask(asker, address, question):
    answer = asker.get(address, query_string=question) if address == NAILS else asker.post(address, json=question)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return answer.get_json()


def spoken(body):
    return {c["code"]: c for c in body["cautions"]}


def resolve(body, pointer):
    for step in pointer.removeprefix("/").split("/"):
        body = body[int(step)] if isinstance(body, list) else body[step]
    return body


@pytest.mark.parametrize(("code", "address", "question", "twin_address", "twin", "names"), CASES)
def test_speaks_where_its_trigger_is_true(asker, code, address, question, twin_address, twin, names):
    found = spoken(ask(asker, address, question))
    assert code in found
    assert found[code]["severity"] == BOOK.cautions[code].severity
    assert found[code]["applies_because"]
    assert names in found[code]["applies_because"]


@pytest.mark.parametrize(("code", "address", "question", "twin_address", "twin", "names"), CASES)
def test_is_silent_in_the_near_twin(asker, code, address, question, twin_address, twin, names):
    assert code not in spoken(ask(asker, twin_address, twin))


@pytest.mark.parametrize(
    ("address", "question"),
    [
        pytest.param(c.values[1], c.values[2], id=str(c.id))
        for c in CASES
        if c.values[1] != NAILS and BOOK.cautions[c.values[0]].severity == "stop"
    ]
    + [
        pytest.param(WALL, {**with_wall(FRAME, top_plate_count=1, length_in=240), "code_edition": "ibc-2021"}, id="splice_plates_not_held"),
    ],
)
def test_a_stop_points_at_null(asker, address, question):
    body = ask(asker, address, question)
    stops = [c for c in body["cautions"] if c["severity"] == "stop"]
    assert stops
    for c in stops:
        assert c["applies_to"], c["code"]
        assert [resolve(body, pointer) for pointer in c["applies_to"]] == [None] * len(c["applies_to"])


def test_a_common_nail_of_the_row_used_is_not_thinner_than_common(asker):
    body = ask(asker, JOINT, {**PANEL, "nail_id": "6d-common", "braced_wall_panel": True})
    assert body["result"]["outcome"] == "prescriptive"
    assert "thinner_than_common" not in spoken(body)


def test_a_coating_that_the_service_changed_is_said_on_its_line(asker):
    """A plate on concrete is taken as treated: nails through it are galvanized (IRC R317.3), those of the top plate are as asked."""
    lines = ask(asker, WALL, ON_SLAB)["result"]["connections"]
    said = {
        (c["connection_id"], c["nail"]["coating"]): "bright nails are taken hot-dip galvanized" in c["placement"]["note"] for c in lines
    }
    assert said[STUD["connection_id"], "hot_dip_galvanized"] and not said[STUD["connection_id"], "bright"]
    asked = ask(asker, WALL, {**ON_SLAB, "framing_nail": {"nail_id": "16d-box", "coating": "hot_dip_galvanized"}})
    assert not any("are taken" in (c["placement"] or {"note": ""})["note"] for c in asked["result"]["connections"])


WALL_QUESTIONS = [p for p in QUESTIONS if p.values[0] == WALL]
HOUSE = {p.stem: json.loads(p.read_text()) for p in sorted(Path(__file__).parents[2].glob("openapi/examples/house-*.json"))}
IN_HOUSE = [pytest.param(WALL, question, id=name) for name, question in HOUSE.items()]
PARTITIONS = {"house-closet", "house-hall"}


@pytest.mark.parametrize("name", HOUSE)
def test_a_wall_of_the_demo_house_says_few_things(asker, name):
    """Crews stop reading walls of warnings: at most 8 on a sheathed wall with its site known, 4 on a plain partition."""
    found = ask(asker, WALL, HOUSE[name])["cautions"]
    assert len(found) <= (4 if name in PARTITIONS else 8), [c["code"] for c in found]


@pytest.mark.parametrize(("address", "question"), [*WALL_QUESTIONS, *IN_HOUSE])
def test_nothing_is_said_twice(asker, address, question):
    body = ask(asker, address, question)
    for c in body["cautions"]:
        reasons = c["applies_because"].split("; ")
        assert len(reasons) == len(set(reasons)), c["code"]
        assert len(c["applies_to"]) == len(set(c["applies_to"])), c["code"]
        assert not {"/result"} & set(c["applies_to"]) or c["applies_to"] == ["/result"], c["code"]
    texts = [c["text"] for c in body["cautions"]]
    assert len(texts) == len(set(texts))


@pytest.mark.parametrize(("address", "question"), [*WALL_QUESTIONS, *IN_HOUSE])
def test_a_line_names_the_codes_that_point_at_it_and_no_others(asker, address, question):
    body = ask(asker, address, question)
    for i, line in enumerate(body["result"]["connections"]):
        here = (f"/result/connections/{i}", f"/result/connections/{i}/nail_count")
        assert line["caution_codes"] == [c["code"] for c in body["cautions"] if set(here) & set(c["applies_to"])]


def test_an_unchecked_header_is_said_in_the_sheet_too(asker):
    sheet = asker.post(f"{WALL}?format=csv", json=without(HEADED, "wall.building_width_ft")).get_data(as_text=True)
    rows = {r["connection_id"]: r for r in csv.DictReader(io.StringIO(sheet))}
    said = {name for name, row in rows.items() if "header_not_checked" in row["caution_codes"].split()}
    assert said == {"built-up-header-face-nail", "stud-to-header-end-nail"}
    assert {rows[name]["max_severity"] for name in said} == {"warning"}


@pytest.mark.parametrize(("address", "question"), QUESTIONS)
def test_standing_notes_stand_once_in_every_answer(asker, address, question):
    codes = [c["code"] for c in ask(asker, address, question)["cautions"]]
    assert [codes.count(note) for note in STANDING] == [1]
    assert codes.count("nail_gun") <= 1


@pytest.mark.parametrize("driver", [ABSENT, "gun"])
def test_nail_gun_stands_once_when_a_gun_drives_nails(asker, driver):
    for address, base in ((JOINT, STUD), (WALL, FRAME)):
        question = {k: v for k, v in {**base, "driver": driver}.items() if v is not ABSENT}
        codes = [c["code"] for c in ask(asker, address, question)["cautions"]]
        assert codes.count("nail_gun") == 1


def test_nail_gun_is_silent_on_a_wall_without_any_number(asker):
    body = ask(asker, WALL, {**FRAME, "driver": "gun", "fire_rated": True})
    assert body["result"]["totals"]["framing_nail_count"] == 0
    assert "nail_gun" not in spoken(body)


def test_standing_notes_are_those_of_the_table():
    assert {code for code, row in BOOK.cautions.items() if row.standing} == STANDING | {"nail_gun"}


def test_every_code_is_served_or_waits():
    served = (
        set(on_joint.by_code)
        | set(on_wall.by_code)
        | set(on_line.by_code)
        | set(on_panels.by_code)
        | set(on_strength.by_code)
        | set(on_shear.by_code)
        | set(on_bracing.by_code)
        | set(on_uplift.by_code)
        | set(on_anchorage.by_code)
        | set(on_inspection.by_code)
        | set(on_takeoff.by_code)
        | STANDING
        | {"nail_gun", "ambiguous_designation"}
    )
    stops = {code for code, row in BOOK.cautions.items() if row.severity == "stop"} - WAITING
    assert served | stops | WAITING == set(BOOK.cautions)
    assert not (served | stops) & WAITING


def test_every_served_code_is_tested():
    tested = {c.values[0] for c in CASES} | STANDING
    assert set(BOOK.cautions) == tested | WAITING
    assert not tested & WAITING


@pytest.mark.parametrize(("address", "question"), QUESTIONS)
def test_cautions_are_sorted_single_and_short(asker, address, question):
    found = ask(asker, address, question)["cautions"]
    codes = [c["code"] for c in found]
    assert len(codes) == len(set(codes))
    assert found == sorted(found, key=lambda c: (SEVERITIES.index(c["severity"]), c["code"]))
    for c in found:
        assert 0 < len(c["text"]) <= 300
        assert 0 < len(c["action"]) <= 300
        assert c["text"] == BOOK.cautions[c["code"]].text
        assert c["severity"] == BOOK.cautions[c["code"]].severity
        assert c["doc_url"] == f"/v1/cautions/{c['code']}"
        assert c["code"] not in WAITING


def test_severities_stand_from_worst_to_mildest():
    assert SEVERITIES == ("stop", "warning", "caution", "info")
    assert {row.severity for row in BOOK.cautions.values()} == set(SEVERITIES)


def test_every_text_of_the_table_is_short():
    assert [code for code, row in BOOK.cautions.items() if not 0 < len(row.text) <= 300 or not row.action] == []


@pytest.mark.parametrize(("address", "question"), [(JOINT, {**TOE, "bottom_plate_on": "concrete"}), (WALL, TALL)])
def test_metric_answers_carry_the_same_cautions(asker, address, question):
    us, metric = ask(asker, address, {**question, "units": "us"}), ask(asker, address, {**question, "units": "metric"})
    assert metric["meta"]["units"] == "metric"
    assert [{**c, "applies_because": ""} for c in metric["cautions"]] == [{**c, "applies_because": ""} for c in us["cautions"]]
    assert len(us["cautions"]) > len(STANDING)


def test_a_metric_question_triggers_as_its_us_twin_does(asker):
    slow = {k: v for k, v in STUD.items() if k != "wind_speed_mph"}
    assert "wind_basis_doubtful" in spoken(ask(asker, JOINT, {**slow, "wind_speed_m_per_s": 42}))
    assert "wind_basis_doubtful" not in spoken(ask(asker, JOINT, {**slow, "wind_speed_m_per_s": 43}))
    assert "site_assumed" not in spoken(ask(asker, JOINT, {**slow, "wind_speed_m_per_s": 43}))


def test_a_plain_listed_joint_carries_only_the_standing_notes(asker):
    body = ask(asker, JOINT, STUD)
    assert body["result"]["outcome"] == "prescriptive"
    assert [c["code"] for c in body["cautions"]] == sorted(STANDING)
    assert body["result"]["caution_codes"] == sorted(STANDING)


@pytest.mark.parametrize("edition", BOOK.editions)
def test_an_exterior_wall_without_a_site_always_says_what_was_assumed(asker, edition):
    body = ask(asker, WALL, {"code_edition": edition, "framing_nail": {"nail_id": "16d-box"}, "wall": FRAME["wall"]})
    assert "wind_speed_mph 115" in spoken(body)["site_assumed"]["applies_because"]


# What a caller may leave out without a word; each silence is read on the safe side, or said.
SAID = {
    **HEADED,
    "sheathing_nail": {"nail_id": "8d-common"},
    "slab_type": "plain",
    "anchor_type": "cast_in",
    "wall": {**HEADED["wall"], "sheathing": SHEET, "bottom_plate_on": "concrete", "braced": False, "supports": "roof_only"},
}
BASES = {
    "a mild site": SAID,
    "a windy one": {**SAID, "wind_speed_mph": 130, "exposure": "C"},
    "a heavy roof": {**SAID, "ground_snow_load_psf": 70, "roof_pitch_in_12": 3},
    "a wide building": with_wall(SAID, building_width_ft=36),
    "a wide opening": with_wall(SAID, openings=window(at_in=24, width_in=96, jack_count=2)),
}
MAY_BE_LEFT_OUT = (
    "wind_speed_mph wind_speed_basis exposure seismic_design_category ground_snow_load_psf roof_pitch_in_12 roof_span_ft slab_type "
    "anchor_type driver treatment wall.building_width_ft wall.braced wall.supports wall.exterior wall.bearing "
    "wall.openings.0.jack_count wall.openings.0.king_count wall.sheathing.span_rating"
).split()


def without(question, path):
    """Return a question with one field left out; steps of a path are names and places in lists."""
    copy = json.loads(json.dumps(question))
    *steps, last = path.split(".")
    thing = copy
    for step in steps:
        thing = thing[int(step)] if isinstance(thing, list) else thing[step]
    thing.pop(last, None)
    return copy


@pytest.mark.parametrize("path", MAY_BE_LEFT_OUT)
@pytest.mark.parametrize("base", BASES)
def test_saying_less_is_never_answered_with_fewer_graver_words(asker, base, path):
    """Law: a warning of the full question stands, or one that asks for what was left out."""
    full, less = (
        {c["code"] for c in ask(asker, WALL, q)["cautions"] if c["severity"] in ("stop", "warning")}
        for q in (BASES[base], without(BASES[base], path))
    )
    gone = full - less - ({"uplift_connector_needed"} if "uplift_unknown" in less else set())
    # counts that were not sent are those of the table; without the table the header itself is not checked
    gone -= {"opening_studs_short"} if path.endswith("_count") or "header_not_checked" in less else set()
    assert gone <= INSTEAD if less & INSTEAD else not gone


INSTEAD = {"header_not_checked", "site_assumed", "engineering_required_scope"}
