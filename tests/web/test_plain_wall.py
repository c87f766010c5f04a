"""A plain wall asked by query: the answer of the POST, and refusals that name the parameter."""

import csv
import io
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.schemas.asks.wall import WALL_PLAN, WALL_QUERY

PATH = "/v1/wall-plans"
NAIL = {"nail_designation": "3 x 0.131"}
PLAIN = {"length_in": 288, "height_in": 97.125}
SITE = {"wind_speed_mph": 110, "wind_speed_basis": "ultimate", "exposure": "C", "seismic_design_category": "C", "code_edition": "irc-2018"}
CORNERS = {"start_corner": "three_stud", "end_corner": "four_stud", "braced": True, "plate_stock_length_ft": 12}
STUDS = {"stud": "2x6", "stud_spacing_in": 24, "first_stud_offset_in": 20, "supports": "one_story_and_roof", "fireblocking": False}
NAILS = [
    NAIL,
    {"nail_id": "16d-common", "coating": "hot_dip_galvanized"},
    {"nail_length_in": 3.25, "shank_diameter_in": 0.131, "shank": "ring", "head_diameter_in": 0.28, "head": "clipped"},
    {"nail_length_mm": 76.2, "shank_diameter_mm": 3.3274},
]
WALLS = [
    PLAIN,
    {**PLAIN, **CORNERS, "id": "north"},
    {**PLAIN, **STUDS},
    {**PLAIN, "exterior": False, "bearing": False, "stud_to_plate_method": "toe_nail", "top_plate_count": 1},
    {**PLAIN, "bottom_plate_on": "concrete", "building_width_ft": 24},
    {"length_mm": 7315.2, "height_mm": 3048, "plate_stock_length_m": 3.6576},
]


def asked(wall: Any, nail: Any, common: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return a wall as a query and as a body."""
    query = {k: str(v).lower() if isinstance(v, bool) else v for k, v in {**common, **nail, **wall}.items()}
    return query, {**common, "framing_nail": nail, "wall": wall}


@pytest.mark.parametrize("common", [{}, SITE, {**SITE, "units": "metric", "driver": "hand", "treatment": "borate"}])
@pytest.mark.parametrize("nail", NAILS)
@pytest.mark.parametrize("wall", WALLS)
def test_a_query_is_answered_as_the_body_that_asks_the_same(client: FlaskClient, wall: Any, nail: Any, common: Any) -> None:
    query, body = asked(wall, nail, common)
    got, posted = client.get(PATH, query_string=query), client.post(PATH, json=body)
    assert (got.status_code, posted.status_code) == (200, 200)
    assert got.data == posted.data


@pytest.mark.parametrize("table", ["connections", "members", "panels", "nails", "notes"])
def test_its_sheets_are_those_of_the_body(client: FlaskClient, table: str) -> None:
    query, body = asked(PLAIN, NAIL, {})
    got = client.get(PATH, query_string={**query, "format": "csv", "table": table})
    assert got.data == client.post(f"{PATH}?format=csv&table={table}", json=body).data
    assert got.headers["Cache-Control"] == "public, max-age=300"


def test_a_query_has_every_flat_field_of_the_body() -> None:
    body = WALL_PLAN.fields
    inside = {*body["wall"].schema.fields, *body["framing_nail"].schema.fields, *body} - {"wall", "framing_nail"}
    assert set(WALL_QUERY.fields) | set(WALL_QUERY.elsewhere) - {"wall", "framing_nail"} == inside


@pytest.mark.parametrize("name", ["openings", "sheathing", "sheathing_nail", "intersections", "connection_nails", "include"])
def test_what_needs_a_body_is_said_so(client: FlaskClient, name: str) -> None:
    answer = client.get(PATH, query_string={**PLAIN, **NAIL, name: "1"})
    (error,) = answer.json["errors"]
    assert (answer.status_code, error["parameter"], error["code"], "did_you_mean" in error) == (422, name, "unknown_field", False)
    assert "JSON body of a POST" in error["detail"]


REFUSED = [
    ({"framing_nail": "16d common"}, "framing_nail", "unknown_field"),
    ({"length_in": 8}, "length_in", "out_of_range"),
    ({"length_mm": 7000}, "length_in", "conflicting_units"),
    ({"nail_designation": "16d"}, "nail_designation", "ambiguous_nail"),
    ({"nail_id": "16d-common"}, "nail_id", "conflicting_fields"),
    ({"seismic_design_category": "F"}, "seismic_design_category", "unknown_value"),
    ({"stud": "2x5"}, "stud", "unknown_value"),
    ({"length_in": 24, "start_corner": "four_stud", "end_corner": "four_stud", "first_stud_offset_in": 30}, None, None),
    ({"braced": "yes"}, "braced", "wrong_type"),
]


@pytest.mark.parametrize(("more", "parameter", "code"), REFUSED)
def test_a_refusal_names_its_parameter(client: FlaskClient, more: Any, parameter: str | None, code: str | None) -> None:
    answer = client.get(PATH, query_string={**PLAIN, **NAIL, **more})
    assert answer.status_code == 422, answer.json
    known = {*WALL_QUERY.fields, *WALL_QUERY.elsewhere}
    assert {e["parameter"] for e in answer.json["errors"]} <= known, answer.json
    if parameter:
        assert (parameter, code) in [(e["parameter"], e["code"]) for e in answer.json["errors"]]


def test_a_nail_is_asked_for_by_a_parameter(client: FlaskClient) -> None:
    (error,) = client.get(PATH, query_string=PLAIN).json["errors"]
    assert (error["parameter"], error["code"]) == ("nail_id", "missing_field")


def test_the_sheet_adds_up_with_the_nails_of_steel_tie_plates(client: FlaskClient) -> None:
    """IRC R602.3.2, 2021: one top plate of 24 ft with a joint, an owned corner: 12 nails each side of the joint, 6 at the corner."""
    asked = f"{PATH}?length_in=288&height_in=95.625&top_plate_count=1&start_corner=three_stud&nail_designation=3+x+0.131"
    rows = list(csv.DictReader(io.StringIO(client.get(f"{asked}&format=csv").text)))
    plates = {row["description"].split(",")[0]: int(row["nail_count"]) for row in rows if "tie plate" in row["description"]}
    assert plates == {"Steel tie plates at each corner": 12, "Steel tie plates at each butt joint": 24}
    totals = client.get(asked).json["result"]["totals"]
    assert sum(int(row["nail_count"]) for row in rows) == totals["framing_nail_count"]
