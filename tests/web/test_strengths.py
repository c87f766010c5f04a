"""Nail strengths over the wire: the check value, refusals that name their field, batches, sheets."""

import csv
import io
from typing import Any

import pytest
from flask.testing import FlaskClient

PATH = "/v1/nail-strengths"
SIXTEEN: dict[str, Any] = {"nail_id": "16d-common", "main_specific_gravity": 0.5, "side_specific_gravity": 0.5, "side_thickness_in": 1.5}
NUMBERS = ("lateral_lb", "adjusted_lateral_lb", "withdrawal_lb", "adjusted_withdrawal_lb", "head_pull_through_lb", "combined_lb")


def post(client: FlaskClient, asked: Any, status: int = 200) -> Any:
    answer = client.post(PATH, json=asked)
    assert answer.status_code == status, answer.json
    return answer.json


def test_the_check_value(client: FlaskClient) -> None:
    """SEAINT list 2009, NDS 2005 Table 11N (now 12N): 16d common, 1-1/2 in side, G 0.50, dry: 141 lb; mode IV by hand."""
    found = post(client, SIXTEEN)["result"]
    assert round(found["lateral_lb"]) == 141
    assert found["governing_mode"] == "IV"
    assert found["lateral_lb"] == min(found["yield_modes_lb"].values())
    assert set(found["yield_modes_lb"]) == {"Im", "Is", "II", "IIIm", "IIIs", "IV"}
    assert (found["main_bearing_psi"], found["bending_yield_psi"], found["penetration_in"]) == (4650, 90000, 2)
    assert found["factors"] == []


def test_a_query_is_answered_as_a_body(client: FlaskClient) -> None:
    assert client.get(PATH, query_string=SIXTEEN).json["result"] == post(client, SIXTEEN)["result"]


def test_every_factor_names_its_clause(client: FlaskClient) -> None:
    asked = {**SIXTEEN, "method": "toe_nail", "load_duration_factor": 1.6, "moisture": "wet_at_fabrication", "temperature_f": 110}
    factors = post(client, {k: v for k, v in asked.items() if k != "side_thickness_in"})["result"]["factors"]
    lateral = {f["name"]: f for f in factors if f["applies_to"] == "lateral"}
    assert {n: f["value"] for n, f in lateral.items()} == {"load_duration": 1.6, "toe_nail": 0.83, "wet_service": 0.7, "temperature": 0.8}
    assert lateral["toe_nail"]["provenance"]["section"] == "12.5.4"
    assert lateral["wet_service"]["provenance"]["table"] == "11.3.3"
    assert all(f["applies_because"] and f["provenance"]["code"] == "NDS" for f in factors)


def test_too_short_is_null_with_a_stop(client: FlaskClient) -> None:
    body = post(client, {**SIXTEEN, "side_thickness_in": 2.75})
    assert body["result"]["outcome"] == "engineering_required"
    assert [body["result"][n] for n in NUMBERS] == [None] * len(NUMBERS)
    assert body["cautions"][0]["code"] == "penetration_short"


def test_end_grain_withdrawal_is_null_with_a_warning(client: FlaskClient) -> None:
    body = post(client, {**SIXTEEN, "method": "end_nail"})
    assert body["result"]["withdrawal_lb"] is None
    assert body["result"]["adjusted_lateral_lb"] == pytest.approx(0.67 * body["result"]["lateral_lb"], abs=0.01)
    assert "end_grain_withdrawal" in [c["code"] for c in body["cautions"] if c["severity"] == "warning"]


def test_steel_bears_by_its_thickness(client: FlaskClient) -> None:
    """NDS Table 12P heading (from memory): 61,850 psi under 1/4 in, 87,000 psi from there."""
    asked = {"nail_id": "10d-common", "side_material": "steel", "main_species": "douglas-fir-larch"}
    assert post(client, {**asked, "side_thickness_in": 0.06})["result"]["side_bearing_psi"] == 61850
    assert post(client, {**asked, "side_thickness_in": 0.25})["result"]["side_bearing_psi"] == 87000


def test_what_is_assumed_is_said(client: FlaskClient) -> None:
    body = post(client, {"nail_id": "8d-common", "side_material": "wood_structural_panel", "side_thickness_in": 0.4375})
    assumed = {a["field"]: a["value"] for a in body["meta"]["assumptions"]}
    assert assumed["side_specific_gravity"] == 0.5
    assert assumed["main_species"] == "spruce-pine-fir"
    assert "side_material" not in assumed


REFUSED = [
    ({"side_thickness_in": None}, "#/side_thickness_in", "wrong_type"),
    ({"main_species": "hem-fir"}, "#/main_specific_gravity", "conflicting_fields"),
    ({"side_species": "hem-fir"}, "#/side_specific_gravity", "conflicting_fields"),
    ({"side_material": "steel"}, "#/side_specific_gravity", "conflicting_fields"),
    ({"side_material": "wood_structural_panel", "method": "toe_nail"}, "#/side_material", "conflicting_fields"),
    ({"shear_planes": 2}, "#/main_thickness_in", "missing_field"),
    ({"shear_planes": 2, "main_thickness_in": 1.5, "method": "end_nail"}, "#/shear_planes", "conflicting_fields"),
    ({"method": "toe_nail", "gap_in": 0.5}, "#/gap_in", "conflicting_fields"),
    ({"method": "end_nail", "diaphragm": True}, "#/diaphragm", "conflicting_fields"),
    ({"load_duration_factor": 2}, "#/load_duration_factor", "out_of_range"),
    ({"temperature_f": 151}, "#/temperature_f", "out_of_range"),
    ({"load_angle_deg": 91}, "#/load_angle_deg", "out_of_range"),
    ({"shear_planes": 3}, "#/shear_planes", "out_of_range"),
    ({"nds_edition": "nds-2012"}, "#/nds_edition", "unknown_value"),
    ({"nail_group_count": 1.5}, "#/nail_group_count", "wrong_type"),
]


@pytest.mark.parametrize(("more", "pointer", "code"), REFUSED)
def test_a_refusal_names_its_field(client: FlaskClient, more: Any, pointer: str, code: str) -> None:
    errors = post(client, {**SIXTEEN, **more}, 422)["errors"]
    assert (pointer, code) in [(e["pointer"], e["code"]) for e in errors]


def test_the_side_is_required_where_the_nail_goes_through_it(client: FlaskClient) -> None:
    bare = {k: v for k, v in SIXTEEN.items() if k != "side_thickness_in"}
    (error,) = post(client, bare, 422)["errors"]
    assert (error["pointer"], error["code"]) == ("#/side_thickness_in", "missing_field")
    assert post(client, {**bare, "method": "toe_nail"})["result"]["lateral_lb"] > 0


def test_metric_questions_are_the_same_questions(client: FlaskClient) -> None:
    asked = {**{k: v for k, v in SIXTEEN.items() if k != "side_thickness_in"}, "side_thickness_mm": 38.1}
    assert post(client, asked)["result"] == post(client, SIXTEEN)["result"]
    metric = post(client, {**SIXTEEN, "units": "metric"})["result"]
    assert metric["penetration_mm"] == 50.8
    assert not [name for name in metric if name.endswith("_kg")]


def test_a_batch_item_is_the_single_answer_and_a_bad_one_fails_alone(client: FlaskClient) -> None:
    asked = {"defaults": SIXTEEN, "items": [{"id": "a"}, {"id": "b", "load_duration_factor": 3}, {"id": "c", "nail_id": "8d-common"}]}
    body = client.post(f"{PATH}/batch", json=asked).json
    assert [r["status"] for r in body["results"]] == [200, 422, 200]
    single = post(client, SIXTEEN)
    assert (body["results"][0]["result"], body["results"][0]["cautions"]) == (single["result"], single["cautions"])
    assert body["results"][1]["problem"]["errors"][0]["pointer"] == "#/items/1/load_duration_factor"


def test_a_sheet_has_one_row_for_each_nail(client: FlaskClient) -> None:
    asked = {"defaults": SIXTEEN, "items": [{"id": "a"}, {"id": "b", "nail_id": "8d-common"}]}
    rows = list(csv.DictReader(io.StringIO(client.post(f"{PATH}/batch?format=csv", json=asked).text)))
    assert [(r["id"], r["nail_id"]) for r in rows] == [("a", "16d-common"), ("b", "8d-common")]
    assert round(float(rows[0]["lateral_lb"])) == 141
