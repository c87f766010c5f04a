"""Substitutions and uses over the wire, and calculated numbers in wall plans."""

import csv
import io
from typing import Any

import pytest
from flask.testing import FlaskClient

PATH = "/v1/substitutions"
STUD, PLATES, PANEL = "stud-to-plate-end-nail", "top-plate-to-top-plate-face-nail", "exterior-wall-panel-to-framing"
WORDS = ["2-1/2 x 0.131", "3 x 0.120", "3-1/4 x 0.131", "3 x 0.131", "16d common"]


def post(client: FlaskClient, asked: Any, status: int = 200, path: str = PATH) -> Any:
    answer = client.post(path, json=asked)
    assert answer.status_code == status, answer.json
    return answer.json


def boxes(*words: str) -> list[dict[str, str]]:
    return [{"nail_designation": w} for w in words]


def test_nails_are_ranked_listed_exceeding_calculated_refused(client: FlaskClient) -> None:
    """Stud to plate of the check values: 16d common 2 and 3 x 0.131 3 listed, 3-1/4 exceeds, 3 x 0.120 takes 4, 2-1/2 is short."""
    (joint,) = post(client, {"connection_id": STUD, "nails": boxes(*WORDS), "joint_count": 38})["result"]["connections"]
    shown = [(j["nail"]["label"], j["outcome"], j["nail_count_per_joint"], j["nail_count"]) for j in joint["judgements"]]
    assert shown == [
        ("16d common (3-1/2 x 0.162)", "prescriptive", 2, 76),
        ("3 x 0.131 smooth", "prescriptive", 3, 114),
        ("3-1/4 x 0.131 smooth", "exceeds_listed", 3, 114),
        ("3 x 0.120 smooth", "calculated", 4, 152),
        ("2-1/2 x 0.131 smooth", "engineering_required", None, None),
    ]
    assert {(j["listed_nail_id"], j["listed_nail_count"]) for j in joint["judgements"]} == {("16d-box", 114)}
    assert "1 in into the holding piece" in joint["judgements"][-1]["reason"]
    assert all(j["provenance"]["code"] == "IRC" for j in joint["judgements"])


def test_each_judgement_is_that_of_requirements(client: FlaskClient) -> None:
    joints = [STUD, PLATES, PANEL, "rafter-to-plate-toe-nail"]
    site = {"panel_thickness_in": 0.4375, "stud_spacing_in": 24}
    for joint in post(client, {**site, "connection_ids": joints, "nails": boxes(*WORDS)})["result"]["connections"]:
        for judged in joint["judgements"]:
            one = {**site, "connection_id": joint["connection_id"], "nail_designation": judged["nail"]["label"]}
            alone = post(client, one, path="/v1/requirements")["result"]
            same = ("outcome", "nail", "nail_count_per_joint", "spacing_in", "edge_spacing_in", "field_spacing_in", "working", "provenance")
            assert {k: alone.get(k) for k in same} == {k: judged.get(k) for k in same}


def test_a_query_repeats_its_nails_and_joints(client: FlaskClient) -> None:
    query = {"connection_ids": [STUD, PLATES], "nail_designation": WORDS, "joint_count": 38}
    asked = client.get(PATH, query_string=query)
    assert asked.status_code == 200
    body = {"connection_ids": [STUD, PLATES], "nails": boxes(*WORDS), "joint_count": 38}
    assert asked.json["result"] == post(client, body)["result"]


def test_the_joints_of_a_wall_when_none_is_named(client: FlaskClient) -> None:
    body = post(client, {"nails": boxes("3 x 0.120")})
    ids = [c["connection_id"] for c in body["result"]["connections"]]
    assert STUD in ids and PANEL not in ids and "rafter-to-plate-toe-nail" not in ids
    assert ids in [a["value"] for a in body["meta"]["assumptions"] if a["field"] == "connection_ids"]


def test_totals_follow_how_a_joint_is_counted(client: FlaskClient) -> None:
    both = {"connection_ids": [STUD, PLATES], "nails": boxes("3 x 0.131"), "joint_count": 10, "run_length_ft": 24}
    stud, plates = post(client, both)["result"]["connections"]
    assert (stud["judgements"][0]["nail_count"], plates["judgements"][0]["nail_count"]) == (30, 25)
    only = post(client, {k: v for k, v in both.items() if k != "run_length_ft"})["result"]["connections"]
    assert [c["judgements"][0]["nail_count"] for c in only] == [30, None]


REFUSED = [
    ({"joint_count": 3, "connection_id": PLATES}, "#/joint_count", "conflicting_fields"),
    ({"run_length_ft": 3}, "#/run_length_ft", "conflicting_fields"),
    ({"connection_ids": [STUD]}, "#/connection_ids", "conflicting_fields"),
    ({"connection_id": PANEL}, "#/panel_thickness_in", "missing_field"),
    ({"nails": []}, "#/nails", "too_few_items"),
    ({"nails": boxes("3 x 0.131") * 21}, "#/nails", "too_many_items"),
    ({"nails": boxes("3 x 0.131", "16d")}, "#/nails/1/nail_designation", "ambiguous_nail"),
    ({"nails": [{}]}, "#/nails/0", "missing_field"),
    ({"nail_designation": ["3 x 0.131"]}, "#/nail_designation", "unknown_field"),
    ({"stud": "2x5"}, "#/stud", "unknown_value"),
]


@pytest.mark.parametrize(("more", "pointer", "code"), REFUSED)
def test_a_refusal_names_its_field(client: FlaskClient, more: Any, pointer: str, code: str) -> None:
    errors = post(client, {"connection_id": STUD, "nails": boxes("3 x 0.131"), **more}, 422)["errors"]
    assert [(e["pointer"], e["code"]) for e in errors if e["pointer"].startswith(pointer)], errors
    assert code in {e["code"] for e in errors}, errors


def test_a_bad_name_in_a_query_names_the_parameter(client: FlaskClient) -> None:
    answer = client.get(PATH, query_string={"connection_id": STUD, "nail_designation": ["3 x 0.131", "16d"]})
    assert answer.status_code == 422
    assert answer.json["errors"][0]["parameter"] == "nail_designation"
    assert client.get(PATH, query_string={"connection_id": [STUD, STUD], "nail_designation": "3 x 0.131"}).status_code in (400, 422)


def test_the_face_is_room(client: FlaskClient) -> None:
    asked = {"connection_id": STUD, "nails": boxes("3 x 0.113")}
    narrow, deep = (post(client, {**asked, **m})["result"]["connections"][0]["judgements"][0] for m in ({}, {"stud": "2x6"}))
    assert (narrow["outcome"], deep["outcome"], deep["nail_count_per_joint"]) == ("engineering_required", "calculated", 5)
    assert deep["working"]["face_in"] == 5.5


def test_a_sheet_has_one_row_for_each_nail_in_each_joint(client: FlaskClient) -> None:
    asked = {"connection_ids": [STUD, PLATES], "nails": boxes("3 x 0.120", "3 x 0.131")}
    rows = list(csv.DictReader(io.StringIO(client.post(f"{PATH}?format=csv", json=asked).text)))
    assert [(r["connection_id"], r["nail_id"], r["outcome"]) for r in rows] == [
        (STUD, "smooth-3x0.131", "prescriptive"),
        (STUD, "smooth-3x0.120", "calculated"),
        (PLATES, "smooth-3x0.131", "prescriptive"),
        (PLATES, "smooth-3x0.120", "calculated"),
    ]
    assert (rows[3]["spacing_in"], rows[3]["weakest_option_spacing_in"]) == ("9", "10.5")


def test_groups_say_what_reaches_the_weakest(client: FlaskClient) -> None:
    """Braced bottom plate: 4 x 0.131^2 / 0.120^2 = 4.77 -> 5 in each 16 in; two 16d common: 2 x 119.59 / 69.17 = 3.46 -> 4."""
    asked = {"connection_id": "bottom-plate-to-floor-face-nail", "nail_designation": "3 x 0.120", "braced_wall_panel": True}
    found = post(client, asked, path="/v1/requirements")["result"]
    assert (found["nail_count_per_group"], found["group_spacing_in"], found["weakest_option_nail_count"]) == (5, 16, 4)


def test_metric_adds_twins(client: FlaskClient) -> None:
    asked = {"connection_id": PLATES, "nails": boxes("3 x 0.120"), "units": "metric"}
    judged = post(client, asked)["result"]["connections"][0]["judgements"][0]
    assert (judged["spacing_mm"], judged["weakest_option_spacing_mm"]) == (229, 267)


def test_uses_are_what_the_nail_is_worth_in_each_joint(client: FlaskClient) -> None:
    body = client.get("/v1/nails/smooth-3x0.120/uses").json
    found = {(i["connection_id"], i["braced_wall_panel"], i["use"]): i for i in body["items"]}
    assert found[STUD, False, None]["nail_count_per_joint"] == 4
    assert found["stud-to-plate-toe-nail", False, None]["outcome"] == "exceeds_listed"
    assert found[PLATES, False, None]["spacing_in"] == 9
    assert ("bottom-plate-to-floor-face-nail", True, None) in found and ("bottom-plate-to-floor-face-nail", False, None) in found
    header = found["stud-to-header-end-nail", False, None]
    assert (header["outcome"], header["nail_count_per_joint"]) == ("engineering_required", None)
    assert "would take 6" in header["reason"]
    assert not [i for i in body["items"] if i["outcome"] == "not_applicable"]
    assert ("panel_thickness_in", 0.4375) in [(a["field"], a["value"]) for a in body["meta"]["assumptions"]]


def test_uses_take_the_size_of_any_nail_and_refuse_a_wrong_name(client: FlaskClient) -> None:
    assert client.get("/v1/nails/16d-common/uses", query_string={"code_edition": "ibc-2021"}).status_code == 200
    wrong = client.get("/v1/nails/16d-comon/uses")
    assert (wrong.status_code, wrong.json["did_you_mean"]) == (404, "16d-common")
    assert client.get("/v1/nails/smooth-30x0.120/uses").status_code == 404
    assert client.get("/v1/nails/16d-common/uses", query_string={"use": "roof"}).status_code == 422


def test_the_working_ends_in_the_number(client: FlaskClient) -> None:
    """3 x 0.135^2 / 0.120^2 = 3.80; 16 in x 69.17 / 119.59 = 9.25 in; 4-1/2 = 6 x 52.47 / 67.47 down."""
    asked = {"connection_ids": [STUD, PLATES, PANEL], "nails": boxes("3 x 0.120", "2-3/8 x 0.113"), "panel_thickness_in": 0.4375}
    stud, plates, panel = post(client, {**asked, "stud_spacing_in": 24})["result"]["connections"]
    assert stud["judgements"][0]["working"]["strongest_option"]["basis"] == "3 / 0.7901 = 3.80, up to 4"
    assert plates["judgements"][0]["working"]["strongest_option"]["basis"] == "16 in x 0.5784 = 9.25 in, down to 9 in"
    assert "4.67 in, down to 4-1/2 in" in panel["judgements"][1]["working"]["strongest_option"]["basis"]
    assert stud["judgements"][0]["working"]["lateral_factor"] == 0.67


def test_panels_join_the_wall_where_their_thickness_is_sent(client: FlaskClient) -> None:
    body = post(client, {"nails": boxes("3 x 0.131"), "panel_thickness_in": 0.4375})
    assert body["result"]["connections"][-1]["connection_id"] == PANEL
    assert ("braced_wall_panel", False) in [(a["field"], a["value"]) for a in body["meta"]["assumptions"]]


def test_blocks_are_common_practice_and_say_so(client: FlaskClient) -> None:
    (joint,) = post(client, {"connection_id": "block-to-stud-end-nail", "nails": boxes("3 x 0.131")})["result"]["connections"]
    assert joint["judgements"][0]["reason"].startswith("common practice")


def test_uses_of_one_group_as_a_sheet(client: FlaskClient) -> None:
    answer = client.get("/v1/nails/smooth-3x0.120/uses", query_string={"group": "wall", "format": "csv"})
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert {r["group"] for r in rows} == {"wall"}
    assert [r["nail_count_per_joint"] for r in rows if r["connection_id"] == STUD] == ["4"]


def test_the_end_of_a_header_is_as_deep_as_the_header(client: FlaskClient) -> None:
    """3 x 0.120 into the end of a 2x8: 4 x 0.135^2 / 0.120^2 = 5.06 -> 6, two over the row's 4; a flat 3-1/2 in face has no room."""
    header = {
        "id": "w",
        "kind": "window",
        "at_in": 100,
        "width_in": 48,
        "sill_height_in": 36,
        "head_height_in": 82,
        "header": {"nominal": "2x8"},
    }
    asked = {"framing_nail": {"nail_designation": "3 x 0.120"}, "wall": {"length_in": 288, "height_in": 97.125, "openings": [header]}}
    plan = post(client, asked, path="/v1/wall-plans")["result"]
    line = next(c for c in plan["connections"] if c["connection_id"] == "stud-to-header-end-nail")
    assert (line["outcome"], line["nail_count_per_joint"], line["working"]["face_in"]) == ("calculated", 6, 7.25)
    assert any("no number" in n for n in plan["notes"]) == (not plan["totals"]["totals_complete"])
    alone = {"connection_id": "stud-to-header-end-nail", "nail_designation": "3 x 0.120"}
    assert post(client, alone, path="/v1/requirements")["result"]["outcome"] == "engineering_required"


WALL = {"length_in": 288, "height_in": 97.125, "sheathing": {"thickness_in": 0.4375}, "stud_spacing_in": 24}


def test_a_wall_is_planned_with_calculated_numbers(client: FlaskClient) -> None:
    """24 ft, studs at 24 in: 13 studs, 26 ends x 4 against 26 x 3; plates and panels by the check values."""
    asked = {"framing_nail": {"nail_designation": "3 x 0.120"}, "sheathing_nail": {"nail_designation": "2-3/8 x 0.113"}, "wall": WALL}
    plan = post(client, asked, path="/v1/wall-plans")["result"]
    line = {c["connection_id"]: c for c in plan["connections"]}
    assert (line[STUD]["outcome"], line[STUD]["nail_count"], line[STUD]["listed_nail_count"]) == ("calculated", 104, 78)
    assert (line[PLATES]["spacing_in"], line[PLATES]["weakest_option_spacing_in"]) == (9, 10.5)
    assert (line[PANEL]["edge_spacing_in"], line[PANEL]["field_spacing_in"]) == (4.5, 9)
    assert line[PANEL]["working"]["strongest_option"]["nail"].startswith("8d common")
    assert plan["totals"]["sheathing_nail_count"] == sum(p["nail_count"] for p in plan["panels"])


def test_every_calculated_nail_has_its_place(client: FlaskClient) -> None:
    asked = {
        "framing_nail": {"nail_designation": "3 x 0.120"},
        "include": ["positions"],
        "wall": {k: v for k, v in WALL.items() if k != "sheathing"},
    }
    plan = post(client, asked, path="/v1/wall-plans")["result"]
    assert len(plan["nail_positions"]) == plan["totals"]["framing_nail_count"]
    spots = [(n["x_in"], n["y_in"], n["z_in"]) for n in plan["nail_positions"] if n["connection_id"] == STUD]
    assert len(set(spots)) == len(spots) == 104


def test_a_spacer_in_any_header_of_the_wall_counts(client: FlaskClient) -> None:
    opening = {"id": "w", "kind": "window", "at_in": 100, "width_in": 48, "sill_height_in": 36, "head_height_in": 82}
    for spacer, outcome in ((0, "calculated"), (0.5, "engineering_required")):
        wall = {"length_in": 288, "height_in": 97.125, "openings": [{**opening, "header": {"nominal": "2x8", "spacer_in": spacer}}]}
        plan = post(client, {"framing_nail": {"nail_designation": "3 x 0.131"}, "wall": wall}, path="/v1/wall-plans")["result"]
        line = next(c for c in plan["connections"] if c["connection_id"] == "built-up-header-face-nail")
        assert line["outcome"] == outcome


def test_a_deeper_wall_has_more_room(client: FlaskClient) -> None:
    asked = {"framing_nail": {"nail_designation": "3 x 0.113"}, "wall": {"length_in": 288, "height_in": 97.125}}
    for stud, outcome in (("2x4", "engineering_required"), ("2x6", "calculated")):
        plan = post(client, {**asked, "wall": {**asked["wall"], "stud": stud}}, path="/v1/wall-plans")["result"]
        assert next(c for c in plan["connections"] if c["connection_id"] == STUD)["outcome"] == outcome


def test_uses_take_the_head_from_the_box(client: FlaskClient) -> None:
    asked = {"group": "sheathing", "panel_thickness_in": 0.4375, "stud_spacing_in": 24}
    for head, known in (({}, False), ({"head_diameter_in": 0.266}, True)):
        body = client.get("/v1/nails/smooth-2.375x0.113/uses", query_string={**asked, **head}).json
        assert ("head_unknown" in [c["code"] for c in body["cautions"]]) != known


def test_uses_stop_where_the_tables_stop(client: FlaskClient) -> None:
    """200 mph is past every limit of the IRC (R301.2): nothing has a number and the stop says why."""
    body = client.get("/v1/nails/smooth-3x0.131/uses", query_string={"wind_speed_mph": 200}).json
    assert not [i for i in body["items"] if i.get("nail_count_per_joint") or i.get("spacing_in") or i.get("edge_spacing_in")]
    stop = next(c for c in body["cautions"] if c["code"] == "engineering_required_scope")
    assert "200 mph" in stop["applies_because"] and stop["applies_to"][0].startswith("/items/0/")


def test_a_stop_of_a_judgement_points_at_its_null(client: FlaskClient) -> None:
    body = post(client, {"connection_ids": [STUD, PLATES], "nails": boxes("3 x 0.131", "2-1/2 x 0.131")})
    (stop,) = [c for c in body["cautions"] if c["severity"] == "stop"]
    assert stop["applies_to"] == [
        "/result/connections/0/judgements/1/nail_count_per_joint",
        "/result/connections/1/judgements/1/spacing_in",
    ]


def test_closer_spacing_at_roof_edges_comes_with_every_answer(client: FlaskClient) -> None:
    roof = {"connection_id": "wood-panel-to-framing", "use": "roof", "panel_thickness_in": 0.4375, "wind_speed_mph": 135, "exposure": "B"}
    roof |= {"code_edition": "ibc-2021", "stud_spacing_in": 24}
    alone = post(client, {**roof, "nail_id": "8d-common"}, path="/v1/requirements")["result"]
    judged = post(client, {**roof, "nails": [{"nail_id": "8d-common"}]})["result"]["connections"][0]["judgements"][0]
    assert judged["closer_zone"] == alone["closer_zone"]
    sheet = client.post(f"{PATH}?format=csv", json={**roof, "nails": [{"nail_id": "8d-common"}]}).text
    assert next(csv.DictReader(io.StringIO(sheet)))["closer_zone_spacing_in"] == str(alone["closer_zone"]["spacing_in"])


def test_faults_name_the_metric_field_that_was_sent(client: FlaskClient) -> None:
    asked = {"connection_id": STUD, "nails": boxes("3 x 0.131"), "run_length_m": 3}
    assert [e["pointer"] for e in post(client, asked, 422)["errors"]] == ["#/run_length_m"]
    answer = client.get("/v1/nail-strengths", query_string={"nail_id": "8d-common", "method": "toe_nail", "gap_mm": 5})
    assert [e["parameter"] for e in answer.json["errors"]] == ["gap_mm"]
    wall = {"length_mm": 3000, "height_mm": 2467, "intersections": [{"at_mm": 3000}]}
    errors = post(client, {"framing_nail": {"nail_id": "16d-common"}, "wall": wall}, 422, "/v1/wall-plans")["errors"]
    (error,) = [e for e in errors if e["pointer"] == "#/wall/intersections/0/at_mm"]
    assert error["received"] == 3000


def test_a_query_without_a_nail_names_its_own_parameter(client: FlaskClient) -> None:
    errors = client.get(PATH, query_string={"connection_id": STUD}).json["errors"]
    assert [e["parameter"] for e in errors] == ["nail_designation"]


def test_a_batch_lists_what_each_item_assumed(client: FlaskClient) -> None:
    items = [{"id": "a", "main_specific_gravity": 0.5}, {"id": "b", "main_specific_gravity": 0.42}]
    body = post(client, {"defaults": {"nail_id": "8d-common", "side_thickness_in": 1.5}, "items": items}, path="/v1/nail-strengths/batch")
    assumed = [[a["value"] for a in entry["assumptions"] if a["field"] == "side_specific_gravity"] for entry in body["results"]]
    assert assumed == [[0.5], [0.42]]


@pytest.mark.parametrize(
    ("path", "asked"),
    [
        (PATH, {"connection_ids": [STUD, PLATES], "nails": boxes("3 x 0.120")}),
        ("/v1/requirements", {"connection_id": PANEL, "nail_id": "8d-common", "panel_thickness_in": 0.25}),
        ("/v1/requirements", {"connection_id": "built-up-header-face-nail", "nail_id": "16d-common", "spacer_in": 0.5}),
        ("/v1/nail-strengths", {"nail_id": "8d-common", "method": "toe_nail"}),
    ],
)
def test_the_question_as_understood_may_be_sent_again(client: FlaskClient, path: str, asked: Any) -> None:
    first = post(client, asked, path=path)
    again = post(client, first["input"], path=path)
    assert again["input"] == first["input"]
    told = ("caution_codes",)
    assert {k: v for k, v in again["result"].items() if k not in told + ("connections",)} == {
        k: v for k, v in first["result"].items() if k not in told + ("connections",)
    }


def test_the_input_of_a_query_is_a_body(client: FlaskClient) -> None:
    asked = client.get(PATH, query_string={"connection_id": STUD, "nail_designation": ["3 x 0.120", "3 x 0.131"]}).json
    assert [n["nail_designation"] for n in asked["input"]["nails"]] == ["3 x 0.120", "3 x 0.131"]
    assert post(client, asked["input"])["result"]["connections"][0]["connection_id"] == STUD


def test_a_spacer_is_of_headers_and_foam_of_panels(client: FlaskClient) -> None:
    header = {"connection_id": "built-up-header-face-nail", "nails": boxes("16d common")}
    assert errors_of(client, {**header, "material_between_in": 1}) == [("#/material_between_in", "conflicting_fields")]
    panel = {"connection_id": PANEL, "nails": boxes("8d common"), "panel_thickness_in": 0.4375}
    assert errors_of(client, {**panel, "spacer_in": 1}) == [("#/spacer_in", "conflicting_fields")]


def errors_of(client: FlaskClient, asked: Any) -> list[tuple[str, str]]:
    return [(e["pointer"], e["code"]) for e in post(client, asked, 422)["errors"]]
