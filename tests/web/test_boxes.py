"""Which of the nails on hand does a whole wall: the same counts as its plan, nail by nail."""

import csv
import io
from collections import Counter
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.web.examples import example

PATH = "/v1/substitutions"
PLAIN = {"length_in": 96, "height_in": 97.125}
WORDS = ("3 x 0.131", "3 x 0.120", "16d common", "2-1/2 x 0.131")
HOUSE = ("south", "north", "east", "west", "hall", "closet", "middle")


def post(client: FlaskClient, asked: Any, status: int = 200, path: str = PATH) -> Any:
    answer = client.post(path, json=asked)
    assert answer.status_code == status, answer.json
    return answer.json


def boxes(*words: str) -> list[dict[str, str]]:
    return [{"nail_designation": w} for w in words]


def test_the_box_that_does_the_whole_wall_with_the_fewest_nails_is_first(client: FlaskClient) -> None:
    """8 ft at 16 in: 7 studs, 14 ends (IRC 2021 Table R602.3(1) item 17: 16d common 2, 3 x 0.131 3), plates of 96 in.

    Items 14 and 15: 16d common every 16 in, ceil(96/16) + 1 = 7; 3 x 0.131 every 12 in, 9. So 28 + 7 + 7 and 42 + 9 + 9.
    """
    result = post(client, {"nails": boxes(*WORDS), "wall": PLAIN})["result"]
    found = [
        (b["nail"]["label"], b["nail_count"], b["serves_count"], b["calculated_count"], b["refused_count"]) for b in result["framing_nails"]
    ]
    assert found[:2] == [("16d common (3-1/2 x 0.162)", 42, 3, 0, 0), ("3 x 0.131 smooth", 60, 3, 0, 0)]
    assert [(name, accepted, refused) for name, _, _, accepted, refused in found[2:]] == [
        ("3 x 0.120 smooth", 3, 0),
        ("2-1/2 x 0.131 smooth", 0, 3),
    ]
    assert result["sheathing_nails"] == []
    assert result["framing_nails"][0]["reason"] == "serves all 3 kinds of joints with 42 nails"
    assert result["framing_nails"][2]["reason"].endswith("; 3 by strength, if the building official accepts")
    last = result["framing_nails"][-1]
    assert last["reason"] == "serves none of the 3 kinds of joints"
    assert (last["totals_complete"], last["nail_count"], last["nails"]) == (False, 0, [])
    assert all("into the holding piece" in joint["reason"] for joint in last["refused"])


@pytest.mark.parametrize("name", HOUSE)
def test_each_nail_counts_as_the_plan_of_the_wall_with_it_counts(client: FlaskClient, name: str) -> None:
    house = example(f"house-{name}")
    wall = house["wall"]
    site = {k: v for k, v in house.items() if k not in ("framing_nail", "sheathing_nail", "connection_nails", "wall")}
    result = post(client, {**site, "nails": boxes(*WORDS, "8d common"), "wall": wall})["result"]
    for words in (*WORDS, "8d common"):
        nail = {"nail_designation": words}
        plan = post(client, {**site, "framing_nail": nail, "sheathing_nail": nail, "wall": wall}, path="/v1/wall-plans")["result"]
        label = plan["connections"][0]["nail"]["label"].removesuffix(" hot dip galvanized")
        (framing,) = [b for b in result["framing_nails"] if b["nail"]["label"] == label]
        plates = sum(p["nail_count"] or 0 for p in plan["splice_plates"])
        assert framing["nail_count"] == plan["totals"]["framing_nail_count"] - plates
        for line, judged in zip(plan["connections"], result["connections"], strict=True):
            (mine,) = [j for j in judged["judgements"] if j["nail"] == line["nail"]]
            assert {k: judged.get(k) for k in ("connection_id", "joint_count", "run_count", "run_length_in")} == {
                k: line.get(k) for k in ("connection_id", "joint_count", "run_count", "run_length_in")
            }
            same = ("outcome", "reason", "number_kind", "nail_count_per_joint", "spacing_in", "edge_spacing_in", "nail_count", "provenance")
            assert {k: mine.get(k) for k in same} == {k: line.get(k) for k in same}
        for panels in [b for b in result["sheathing_nails"] if b["nail"]["label"] == label]:
            assert panels["nail_count"] == plan["totals"]["sheathing_nail_count"]
    assert bool(result["sheathing_nails"]) == bool(wall.get("sheathing"))


def test_a_nail_through_treated_wood_is_counted_galvanized(client: FlaskClient) -> None:
    """7 studs stand on treated wood over concrete: 7 x 2 of the 14 ends take hot-dip galvanized nails (IRC R317.3); no floor nails."""
    (box,) = post(client, {"nails": boxes("16d common"), "wall": {**PLAIN, "bottom_plate_on": "concrete"}})["result"]["framing_nails"]
    assert {(n["nail"]["coating"], n["nail_count"]) for n in box["nails"]} == {("hot_dip_galvanized", 14), ("bright", 14 + 7)}


def test_every_sheet_of_a_wall_on_concrete_buys_the_same_nails(client: FlaskClient) -> None:
    """The nails of panels into the treated plate are galvanized (IRC R317.3) whichever table they are bought from."""
    nail = {"nail_designation": "8d common"}
    wall = {**PLAIN, "bottom_plate_on": "concrete", "sheathing": {"thickness_in": 0.4375}}
    plan = {"framing_nail": {"nail_designation": "16d common"}, "sheathing_nail": nail, "wall": wall}
    totals = post(client, plan, path="/v1/wall-plans")["result"]["nails"]
    wanted = Counter({n["nail"]["coating"]: n["nail_count"] for n in totals if n["nail"]["id"] == "8d-common"})
    assert set(wanted) == {"bright", "hot_dip_galvanized"}

    def sheet(path: str, asked: Any, table: str) -> list[dict[str, str]]:
        return list(csv.DictReader(io.StringIO(client.post(f"{path}?format=csv&table={table}", json=asked).text)))

    panels, bright, galvanized = sheet("/v1/wall-plans", plan, "panels"), 0, 0
    for row in panels:
        assert (row["coating"], row["plate_row_coating"]) == ("bright", "hot_dip_galvanized")
        galvanized += int(row["plate_row_nail_count"])
        bright += int(row["nail_count"]) - int(row["plate_row_nail_count"])
    assert {"bright": bright, "hot_dip_galvanized": galvanized} == wanted
    asked = {"nails": [nail], "wall": wall}
    judgements = post(client, asked)["result"]["connections"][-1]["judgements"]
    assert Counter({j["nail"]["coating"]: j["nail_count"] for j in judgements}) == wanted
    judged = [r for r in sheet(PATH, asked, "judgements") if r["connection_id"] == "exterior-wall-panel-to-framing"]
    ranked = [r for r in sheet(PATH, asked, "nails") if r["part"] == "sheathing"]
    for rows in (judged, ranked):
        assert Counter({r["coating"]: int(r["nail_count"]) for r in rows}) == wanted


def test_panels_that_the_caller_wants_closer_are_counted_so(client: FlaskClient) -> None:
    wall = {**PLAIN, "sheathing": {"thickness_in": 0.4375, "edge_spacing_in": 4}}
    result = post(client, {"nails": boxes("8d common"), "wall": wall})["result"]
    assert result["sheathing_nails"][0]["reason"].endswith("nailed closer as you asked, 4 in along edges, 12 in in the field")
    (judged,) = result["connections"][-1]["judgements"]
    assert (judged["edge_spacing_in"], judged["field_spacing_in"], judged["reason"]) == (4, 12, result["sheathing_nails"][0]["reason"])
    # each panel: outline 47.25 x 96.375, ceil(47.25/4) = 12, ceil(96.375/4) = 25; two field lines of ceil(96.375/12) - 1 = 8
    assert judged["nail_count"] == 2 * (2 * (12 + 25) + 2 * 8)


def test_the_question_comes_back_with_what_was_assumed_in_its_place(client: FlaskClient) -> None:
    opening = {"id": "d", "kind": "door", "at_in": 30, "width_in": 36, "head_height_in": 82, "header": {"nominal": "2x8"}}
    body = post(client, {"nails": boxes("16d common"), "wall": {**PLAIN, "openings": [opening]}})
    assert (body["input"]["wall"]["stud"], body["input"]["wall"]["openings"][0]["jack_count"]) == ("2x4", 1)
    assert body["input"]["wall"]["openings"][0]["header"] == {"nominal": "2x8", "ply_count": 2, "spacer_in": 0}
    again = post(client, body["input"])
    assert again["result"]["framing_nails"] == body["result"]["framing_nails"]
    assert again["meta"]["assumptions"] == []


REFUSED = [
    ({"connection_ids": ["stud-to-plate-end-nail"]}, "#/connection_ids", "conflicting_fields"),
    ({"joint_count": 3}, "#/joint_count", "conflicting_fields"),
    ({"stud_spacing_in": 24, "run_length_m": 3}, "#/run_length_m", "conflicting_fields"),
    ({"braced_wall_panel": True}, "#/braced_wall_panel", "conflicting_fields"),
    ({"framing_nail": {"nail_id": "16d-common"}}, "#/framing_nail", "unknown_field"),
    ({"nails": boxes("3 x 0.131", "16d")}, "#/nails/1/nail_designation", "ambiguous_nail"),
    ({"nails": boxes("16d"), "seismic_design_category": "F"}, "#/seismic_design_category", "unknown_value"),
    ({"wall": {**PLAIN, "length_in": 5}}, "#/wall/length_in", "out_of_range"),
    ({"wall": {**PLAIN, "intersections": [{"at_in": 95}]}}, "#/wall/intersections/0", ""),
    ({"wall": None}, "#/wall", "wrong_type"),
]


@pytest.mark.parametrize(("more", "pointer", "code"), REFUSED)
def test_a_refusal_names_its_field(client: FlaskClient, more: Any, pointer: str, code: str) -> None:
    errors = post(client, {"nails": boxes("3 x 0.131"), "wall": PLAIN, **more}, 422)["errors"]
    assert [e for e in errors if e["pointer"].startswith(pointer) and (not code or e["code"] == code)], errors


def test_a_wall_needs_a_body(client: FlaskClient) -> None:
    (error,) = client.get(PATH, query_string={"nail_designation": "3 x 0.131", "wall": "x"}).json["errors"]
    assert (error["parameter"], error["code"]) == ("wall", "unknown_field")
    assert "POST" in error["detail"]


def test_the_limit_on_sticks_counts_the_wall_once_for_each_nail() -> None:
    small = create_app(Settings(log_level="error", max_members=60)).test_client()
    assert small.post(PATH, json={"nails": boxes(*WORDS[:3]), "wall": PLAIN}).status_code == 200
    refused = small.post(PATH, json={"nails": boxes(*WORDS, "10d box", "16d box", "3-1/4 x 0.131"), "wall": PLAIN})
    (error,) = refused.json["errors"]
    assert (refused.status_code, error["code"], error["pointer"], error["limit"], error["setting"]) == (
        422,
        "too_much_work",
        "#/wall",
        60,
        "APP_MAX_MEMBERS",
    )
    assert error["received"] % 7 == 0


def test_sheets_have_a_row_for_each_nail_in_each_joint_and_for_each_nail(client: FlaskClient) -> None:
    asked = {"nails": boxes(*WORDS), "wall": {**PLAIN, "sheathing": {"thickness_in": 0.4375}}}
    result = post(client, asked)["result"]
    judged = list(csv.DictReader(io.StringIO(client.post(f"{PATH}?format=csv", json=asked).text)))
    assert len(judged) == len(WORDS) * len(result["connections"])
    assert {r["joint_count"] for r in judged if r["connection_id"] == "stud-to-plate-end-nail"} == {"14"}
    rows = list(csv.DictReader(io.StringIO(client.post(f"{PATH}?format=csv&table=nails", json=asked).text)))
    assert [(r["part"], r["nail_label"], r["nail_count"]) for r in rows] == [
        (part, b["nail"]["label"], str(b["nail_count"]))
        for part, found in (("framing", result["framing_nails"]), ("sheathing", result["sheathing_nails"]))
        for b in found
    ]
    assert rows[3]["refused"].split() == [joint["connection_id"] for joint in result["framing_nails"][3]["refused"]]


def test_the_table_of_nails_needs_a_wall(client: FlaskClient) -> None:
    answer = client.post(f"{PATH}?format=csv&table=nails", json={"nails": boxes("3 x 0.131"), "connection_id": "stud-to-plate-end-nail"})
    (error,) = answer.json["errors"]
    assert (answer.status_code, error["parameter"], error["code"]) == (422, "table", "conflicting_fields")


def test_what_the_plan_of_the_wall_warns_of_is_said_here_too(client: FlaskClient) -> None:
    wall = {"length_in": 288, "height_in": 97.125, "stud_spacing_in": 12, "sheathing": {"thickness_in": 0.4375}}
    nail = {"nail_designation": "3 x 0.131"}
    plan = post(client, {"framing_nail": nail, "sheathing_nail": nail, "wall": wall}, path="/v1/wall-plans")["cautions"]
    grave = {c["code"] for c in plan if c["severity"] in ("stop", "warning")}
    assert grave <= {c["code"] for c in post(client, {"nails": [nail], "wall": wall})["cautions"]}
    assert grave


def test_metric_adds_twins_and_speaks_millimeters(client: FlaskClient) -> None:
    asked = {"nails": boxes("3 x 0.120"), "wall": {"length_mm": 2438.4, "height_mm": 2466.975}, "units": "metric"}
    result = post(client, asked)["result"]
    plates = next(c for c in result["connections"] if c["connection_id"] == "top-plate-to-top-plate-face-nail")
    assert (plates["run_length_mm"], plates["judgements"][0]["spacing_mm"]) == (2438, 229)
    assert "every 228.6 mm" in plates["judgements"][0]["reason"]


@pytest.mark.parametrize("name", [*HOUSE, "slab"])
def test_the_choice_is_that_of_a_take_off_of_the_wall_alone(client: FlaskClient, name: str) -> None:
    slab = {"wind_speed_mph": 115, "wall": {**PLAIN, "bottom_plate_on": "concrete", "sheathing": {"thickness_in": 0.4375}}}
    house = slab if name == "slab" else example(f"house-{name}")
    site = {k: v for k, v in house.items() if k not in ("framing_nail", "sheathing_nail", "connection_nails", "wall")}
    nails, named = boxes("2-1/2 x 0.131", "3 x 0.120", "8d common", "3-1/4 x 0.131"), {"framing_nail": boxes("16d common")[0]}
    sheathed = {"sheathing_nail": boxes("8d common")[0]} if house["wall"].get("sheathing") else {}
    taken = {**site, **named, **sheathed, "nails_on_hand": nails, "walls": [{"id": "a", "wall": house["wall"]}]}
    choice = post(client, {**site, "nails": nails, "wall": house["wall"]})["result"]["nail_choice"]
    assert choice == post(client, taken, path="/v1/takeoffs")["result"]["nail_choice"]
    assert choice["nails"] and len(choice["alone"]) == len(nails)


def test_two_nails_do_what_no_single_one_does(client: FlaskClient) -> None:
    """3 x 0.131 is listed for all framing of the plain wall (IRC 2021 R602.3(1) items 14, 15, 17), 8d common for 7/16 in panels (R602.3(3));
    8d common, 2-1/2 in, gets 1 in into a stud end, under the 1-1/4 in of framing joints; a clipped head holds no panel.
    """
    clipped = {"nail_designation": "3 x 0.131", "head": "clipped"}
    asked = {"nails": [*boxes("8d common"), clipped], "wall": {**PLAIN, "sheathing": {"thickness_in": 0.4375}}, "wind_speed_mph": 115}
    choice = post(client, asked)["result"]["nail_choice"]
    assert [n["id"] for n in choice["nails"]] == ["8d-common", "smooth-3x0.131"]
    assert choice["serves_every_joint"] and choice["calculated_count"] == 0


def test_joints_have_no_choice(client: FlaskClient) -> None:
    asked = {"nails": boxes("3 x 0.131"), "connection_id": "stud-to-plate-end-nail"}
    assert "nail_choice" not in post(client, asked)["result"]
