"""Roof ties and anchor bolts as they are asked: by GET and POST, in US and metric units, with little or much said."""

import csv
from itertools import combinations
from typing import Any

import pytest
from flask.testing import FlaskClient

UPLIFT, ANCHORAGE = "/v1/uplift-requirements", "/v1/anchorages"
SITE = {"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"}
ROOF = {**SITE, "roof_span_ft": 32, "roof_pitch_in_12": 4, "tie_spacing_in": 24}
PLATES = {**SITE, "plate_lengths_ft": [16, 8], "slab_type": "plain", "anchor_type": "cast_in"}


def ask(client: FlaskClient, path: str, question: dict[str, Any]) -> dict[str, Any]:
    answer = client.post(path, json=question)
    assert answer.status_code == 200, answer.json
    body: dict[str, Any] = answer.json
    return body


def result(client: FlaskClient, path: str, question: dict[str, Any], **more: Any) -> dict[str, Any]:
    found: dict[str, Any] = ask(client, path, {**question, **more})["result"]
    return found


@pytest.mark.parametrize(("path", "question"), [(UPLIFT, ROOF), (ANCHORAGE, PLATES)])
def test_a_question_by_get_is_answered_as_by_post(client: FlaskClient, path, question):
    assert client.get(path, query_string=question).json == ask(client, path, question)


def test_a_roof_tie_names_its_force_its_row_and_what_must_be_there(client: FlaskClient):
    """IRC 2021 Table R802.11: 218 lb (a table reading), over the 200 of R802.11."""
    found = result(client, UPLIFT, ROOF)
    assert (found["uplift_lb"], found["uplift_plf"], found["nails_alone_allowed"]) == (218, 109, False)
    assert found["provenance"] | {"note": None} == {
        "label": "IRC 2021 Table R802.11",
        "code": "IRC",
        "edition": "2021",
        "section": "R802.11",
        "table": "R802.11",
        "item": None,
        "note": None,
        "confidence": "verified",
        "modified": False,
    }
    assert "connector listed for at least 218 lb" in found["provide"][0]
    assert "218 lb" in found["reason"] and "218 lb" in found["basis"]


def test_an_exempt_roof_needs_nails_alone(client: FlaskClient):
    """115 mph, Exposure B, 5 in 12, 32 ft: the roof that R802.11 names; 194 lb."""
    found = result(client, UPLIFT, ROOF, roof_pitch_in_12=5)
    assert (found["uplift_lb"], found["nails_alone_allowed"], found["braced_panel_status"]) == (194, True, "ok")


def test_a_factor_comes_with_its_reason_and_its_place_in_print(client: FlaskClient):
    (factor,) = result(client, UPLIFT, ROOF, corner_distance_ft=12)["factors"]
    assert (factor["name"], factor["value"]) == ("away_from_corner", 0.75)
    assert "12 ft" in factor["applies_because"] and factor["provenance"]["confidence"] == "verified"


def test_past_the_table_every_number_is_null_and_the_stop_points_there(client: FlaskClient):
    body = ask(client, UPLIFT, {**ROOF, "roof_span_ft": 50})
    found = body["result"]
    numbers = ("uplift_lb", "uplift_plf", "net_uplift_plf")
    assert [found[k] for k in numbers] == [None] * 3
    assert found["outcome"] == "engineering_required" and found["nails_alone_allowed"] is False
    (stop,) = [c for c in body["cautions"] if c["severity"] == "stop"]
    assert sorted(stop["applies_to"]) == sorted(f"/result/{k}" for k in numbers)
    assert "48 ft" in stop["applies_because"] and "by 2 ft" in stop["applies_because"]


def test_bolts_of_each_piece_and_of_all(client: FlaskClient):
    """R403.1.6, assembled on the rule: 16 ft in one piece four bolts 4 ft 8 in apart, 8 ft two 6 ft apart."""
    found = result(client, ANCHORAGE, PLATES)
    assert [(p["bolt_count"], p["positions_in"], p["widest_spacing_in"]) for p in found["plates"]] == [
        (4, [12, 68, 124, 180], 56),
        (2, [12, 84], 72),
    ]
    assert {p["maximum_spacing_in"] for p in found["plates"]} == {72}
    assert (found["bolt_count"], found["embedment_in"], found["bolt_diameter_in"]) == (6, 7, 0.5)
    assert (found["minimum_end_distance_in"], found["maximum_end_distance_in"]) == (3.5, 12)
    assert found["washer"]["kind"] == "cut_washer" and "side_in" not in found["washer"]


def test_four_stories_are_past_the_code_s_own_scope(client: FlaskClient):
    """IRC R101.2: to three stories (from memory)."""
    found = result(client, ANCHORAGE, PLATES, story_count=4)
    assert (found["outcome"], found["bolt_count"]) == ("engineering_required", None)
    assert "4 stories" in found["reason"]


def test_a_piece_too_short_leaves_the_others_their_bolts(client: FlaskClient):
    body = ask(client, ANCHORAGE, {**PLATES, "plate_lengths_ft": [8, 0.75]})
    assert [p["bolt_count"] for p in body["result"]["plates"]] == [2, None]
    assert (body["result"]["bolt_count"], body["result"]["outcome"]) == (None, "engineering_required")
    pointed = {c["code"]: c["applies_to"] for c in body["cautions"]}
    assert pointed["engineering_required_scope"] == ["/result/plates/1/bolt_count"]
    assert pointed["short_plate_piece"] == ["/result/plates/1"]


def test_metric_questions_have_metric_answers(client: FlaskClient):
    """1 ft = 0.3048 m: 4.8768 m are 16 ft, 304.8 mm one foot; 115 mph are 51.4096 m/s."""
    metric = {"units": "metric", **{k: v for k, v in PLATES.items() if k != "plate_lengths_ft"}, "plate_lengths_m": [4.8768, 2.4384]}
    found = result(client, ANCHORAGE, metric)
    assert [p["positions_in"] for p in found["plates"]] == [[12, 68, 124, 180], [12, 84]]
    assert found["plates"][0]["positions_mm"] == [304.8, 1727.2, 3149.6, 4572]
    assert "304.8 mm" in found["plates"][0]["reason"] and " in " not in found["plates"][0]["basis"]
    roof = {"units": "metric", "exposure": "B", "seismic_design_category": "B", "roof_pitch_in_12": 4}
    roof |= {"wind_speed_m_per_s": 51.4096, "roof_span_m": 9.7536, "tie_spacing_mm": 609.6}
    assert result(client, UPLIFT, roof)["uplift_lb"] == 218


@pytest.mark.parametrize(
    ("path", "question", "code", "pointer"),
    [
        (UPLIFT, {k: v for k, v in ROOF.items() if k != "roof_span_ft"}, "missing_field", "#/roof_span_ft"),
        (UPLIFT, {**ROOF, "roof_span_m": 9}, "conflicting_units", "#/roof_span_ft"),
        (UPLIFT, {**ROOF, "roof_span_ft": "32"}, "wrong_type", "#/roof_span_ft"),
        (UPLIFT, {**ROOF, "roof_pitch_in_12": -1}, "out_of_range", "#/roof_pitch_in_12"),
        (UPLIFT, {**ROOF, "tie_spacing_in": 0}, "out_of_range", "#/tie_spacing_in"),
        (UPLIFT, {**ROOF, "species": "spruce-pine-fir"}, "unknown_field", "#/species"),
        (UPLIFT, {**ROOF, "seismic_design_category": "D"}, "unknown_value", "#/seismic_design_category"),
        (ANCHORAGE, SITE, "missing_field", "#/plate_lengths_ft"),
        (ANCHORAGE, {**PLATES, "plate_lengths_ft": []}, "too_few_items", "#/plate_lengths_ft"),
        (ANCHORAGE, {**PLATES, "plate_lengths_ft": [8] * 101}, "too_many_items", "#/plate_lengths_ft"),
        (ANCHORAGE, {**PLATES, "plate_lengths_ft": [8, 0]}, "out_of_range", "#/plate_lengths_ft/1"),
        (ANCHORAGE, {**PLATES, "plate_lengths_ft": 8}, "wrong_type", "#/plate_lengths_ft"),
        (ANCHORAGE, {**PLATES, "plate_lengths_m": [2]}, "conflicting_units", "#/plate_lengths_ft"),
        (ANCHORAGE, {**PLATES, "story_count": 11}, "out_of_range", "#/story_count"),
        (ANCHORAGE, {**PLATES, "roof_span_ft": 24}, "unknown_field", "#/roof_span_ft"),
    ],
)
def test_a_wrong_field_is_named(client: FlaskClient, path, question, code, pointer):
    answer = client.post(path, json=question)
    assert answer.status_code == 422
    assert {"code": code, "pointer": pointer}.items() <= answer.json["errors"][0].items()


def test_what_is_left_out_is_the_worst_that_has_a_number_and_is_said(client: FlaskClient):
    assumed = {a["field"]: a["value"] for a in ask(client, UPLIFT, ROOF)["meta"]["assumptions"]}
    assert (
        assumed.items()
        >= {
            "mean_roof_height_ft": 33,
            "roof_overhang_in": 24,
            "corner_distance_ft": 0,
            "hip_roof": False,
            "full_walls_above_count": 0,
        }.items()
    )
    assumed = {a["field"]: a["value"] for a in ask(client, ANCHORAGE, PLATES)["meta"]["assumptions"]}
    assert assumed.items() >= {"story_count": 3, "braced": True, "joins_offset_panels": False}.items()


MILDER = {"hip_roof": True, "corner_distance_ft": 20, "full_walls_above_count": 1, "mean_roof_height_ft": 20, "roof_overhang_in": 12}
FEWER = {"story_count": 1, "braced": False, "joins_offset_panels": True}


@pytest.mark.parametrize("left_out", [c for n in (1, 2, 5) for c in combinations(MILDER, n)])
def test_saying_less_of_a_roof_never_lifts_less(client: FlaskClient, left_out):
    whole = result(client, UPLIFT, ROOF, roof_pitch_in_12=6, wind_speed_mph=125, **MILDER)
    less = result(client, UPLIFT, ROOF, roof_pitch_in_12=6, wind_speed_mph=125, **{k: v for k, v in MILDER.items() if k not in left_out})
    for number in ("uplift_lb", "uplift_plf", "net_uplift_plf"):
        assert less[number] >= whole[number]
    assert whole["nails_alone_allowed"] >= less["nails_alone_allowed"]


@pytest.mark.parametrize("left_out", FEWER)
@pytest.mark.parametrize("category", ["B", "D1"])
def test_saying_less_of_a_plate_never_takes_fewer_bolts_or_lesser_washers(client: FlaskClient, left_out, category):
    pieces = {"plate_lengths_ft": [24, 1.5], "seismic_design_category": category}
    whole = result(client, ANCHORAGE, PLATES, **pieces, **FEWER)
    less = result(client, ANCHORAGE, PLATES, **pieces, **{k: v for k, v in FEWER.items() if k != left_out})
    assert less["bolt_count"] >= whole["bolt_count"]
    kinds = ("cut_washer", "plate_washer")
    assert kinds.index(less["washer"]["kind"]) >= kinds.index(whole["washer"]["kind"])


def test_sheets_have_a_row_for_each_tie_and_each_piece(client: FlaskClient):
    ties = client.get(UPLIFT, query_string={**ROOF, "format": "csv"}).text.splitlines()
    assert len(ties) == 2 and "uplift_lb" in ties[0] and ",218," in ties[1]
    plates = client.post(ANCHORAGE, json=PLATES, headers={"Accept": "text/csv"}).text.splitlines()
    assert len(plates) == 3 and "12 68 124 180" in plates[1] and "12 84" in plates[2]


SLAB = {
    "wind_speed_mph": 115,
    "exposure": "B",
    "seismic_design_category": "B",
    "framing_nail": {"nail_designation": "3 x 0.131"},
    "wall": {
        "length_in": 288,
        "height_in": 97.125,
        "bottom_plate_on": "concrete",
        "braced": False,
        "openings": [{"id": "d", "kind": "door", "at_in": 100, "width_in": 38, "head_height_in": 82.5, "header": {"nominal": "2x8"}}],
    },
}


def test_a_wall_on_concrete_has_its_bolts_on_a_line_of_their_own(client: FlaskClient):
    """R403.1.6: 12 in from the ends of a piece at most, 6 ft apart: 0 to 100 takes 76 / 72, so 3; 138 to 288 takes 126 / 72, so 3."""
    found = ask(client, "/v1/wall-plans", SLAB)["result"]["anchors"]
    assert found["bolt_count"] == 6
    assert [(p["start_in"], p["length_in"], p["bolt_count"]) for p in found["plates"]] == [(0, 100, 3), (138, 150, 3)]
    assert all(0 < x < p["length_in"] for p in found["plates"] for x in p["positions_in"])
    sheet = client.post("/v1/wall-plans?format=csv", json=SLAB).get_data(as_text=True)
    (row,) = [r for r in csv.DictReader(sheet.splitlines()) if r["description"] == "Anchor bolts of the bottom plate"]
    assert (row["joint_count"], row["nail_count"], row["outcome"]) == ("6", "", "prescriptive")
    on_wood = ask(client, "/v1/wall-plans", {**SLAB, "wall": {**SLAB["wall"], "bottom_plate_on": "wood_floor"}})["result"]
    assert "anchors" not in on_wood


RAFTER = {
    **ROOF,
    "wind_speed_mph": 139,
    "exposure": "D",
    "roof_pitch_in_12": 6,
    "roof_span_ft": 28,
    "connection_id": "rafter-to-plate-toe-nail",
    "nail_designation": "3 x 0.131",
}


def test_a_rafter_says_what_pulls_on_it_and_what_its_nails_hold(client: FlaskClient):
    """Table R802.11: Exposure D reads the Exposure C block one column up, 670 lb at 140 mph for 28 ft from 5 in 12; 176 lb in B at 115."""
    found = result(client, "/v1/requirements", RAFTER)
    uplift = found["uplift"]
    assert (uplift["status"], uplift["uplift_lb"]) == ("engineering_required", None)
    assert "by 9 mph" in uplift["reason"] and "reads 670 lb" in uplift["reason"]
    (stop,) = [c for c in ask(client, "/v1/requirements", RAFTER)["cautions"] if c["severity"] == "stop"]
    assert stop["applies_to"] == ["/result/uplift/uplift_lb"] and stop["next_steps"][0]["limit"] == "uplift"
    mild = result(client, "/v1/requirements", RAFTER, wind_speed_mph=115, exposure="B")["uplift"]
    assert (mild["status"], mild["uplift_lb"], mild["uplift_plf"]) == ("ok", 176, 88)
    one = {
        "nail_designation": "3 x 0.131",
        "method": "toe_nail",
        "side_thickness_in": 1.5,
        "main_thickness_in": 1.5,
        "load_duration_factor": 1.6,
    }
    strength = result(client, "/v1/nail-strengths", one)["adjusted_withdrawal_lb"]
    assert mild["nails_hold_lb"] == int(found["nail_count_per_joint"] * strength)
    assert "uplift" not in result(client, "/v1/requirements", RAFTER, connection_id="stud-to-plate-end-nail")


def test_a_roof_of_which_nothing_is_said_is_not_known(client: FlaskClient):
    said = {k: v for k, v in RAFTER.items() if not k.startswith("roof_")}
    uplift = result(client, "/v1/requirements", said)["uplift"]
    assert (uplift["status"], uplift["uplift_lb"], uplift["provenance"]) == ("not_checked", None, None)
    assert "roof_span_ft" in uplift["reason"]


def test_a_wall_under_a_roof_past_the_uplift_table_stops_at_its_links(client: FlaskClient):
    roof = {"roof_span_ft": 60, "roof_pitch_in_12": 4, "tie_spacing_in": 24}
    body = ask(client, "/v1/wall-plans", {**SLAB, **roof})
    (stop,) = [c for c in body["cautions"] if c["severity"] == "stop"]
    assert "by 12 ft" in stop["applies_because"] and [s["limit"] for s in stop["next_steps"]] == ["uplift"]
    pulled = [i for i, x in enumerate(body["result"]["load_path"]) if x["status"] == "engineering_required"]
    assert stop["applies_to"] == [f"/result/load_path/{i}/uplift_plf" for i in pulled]
    assert all(body["result"]["load_path"][i]["uplift_plf"] is None for i in pulled)
