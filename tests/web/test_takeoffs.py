"""Take-offs over HTTP: sums of wall plans, items that fail alone, sheets, limits, and laws of what is left out."""

import csv
import io
from collections import Counter
from copy import deepcopy
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.web.examples import example

PATH = "/v1/takeoffs"
SITE = {"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"}
GUN = {"framing_nail": {"nail_designation": "3 x 0.131"}}
PLAIN = {"length_in": 96, "height_in": 96}
ONE = {**SITE, **GUN, "walls": [{"id": "a", "wall": PLAIN}]}
RAFTERS = {"connection_id": "rafter-to-plate-toe-nail", "joint_count": 26}
HOUSE: Any = example("takeOff")


def post(client: FlaskClient, asked: Any, status: int = 200, path: str = PATH) -> Any:
    answer = client.post(path, json=asked)
    assert answer.status_code == status, answer.json
    return answer.json


def sheet(client: FlaskClient, asked: Any, table: str = "") -> list[dict[str, str]]:
    answer = client.post(f"{PATH}?format=csv{f'&table={table}' if table else ''}", json=asked)
    assert answer.status_code == 200, answer.json
    return list(csv.DictReader(io.StringIO(answer.text)))


def errors(client: FlaskClient, asked: Any) -> dict[str, str]:
    return {e["pointer"]: e["code"] for e in post(client, asked, 422)["errors"]}


def plans(client: FlaskClient, asked: Any) -> list[tuple[Any, int]]:
    """Ask for the plan of each wall by itself."""
    shared = {k: v for k, v in asked.items() if k not in ("walls", "joints", "purchase", "units")}
    own = [{k: v for k, v in w.items() if k not in ("id", "count", "label", "level")} for w in asked["walls"]]
    return [
        (post(client, {**shared, **item}, path="/v1/wall-plans"), wall.get("count", 1))
        for item, wall in zip(own, asked["walls"], strict=True)
    ]


def test_totals_are_those_of_the_wall_plans_and_the_requirements(client: FlaskClient) -> None:
    body = post(client, HOUSE)
    nails: Counter[tuple[str, str]] = Counter()
    sticks: Counter[tuple[str, float]] = Counter()
    sheets: Counter[str] = Counter()
    for plan, times in plans(client, HOUSE):
        for n in plan["result"]["nails"]:
            nails[n["nail"]["id"], n["nail"]["coating"]] += n["nail_count"] * times
        for m in plan["result"]["members"]:
            sticks[m["nominal"], m["length_in"]] += m["member_count"] * times
        for s in plan["result"]["sheets"]:
            sheets[s["label"]] += s["sheet_count"] * times
    site = {k: HOUSE[k] for k in SITE}
    for joints in HOUSE["joints"]:
        own = {k: v for k, v in joints.items() if k not in ("id", "level")}
        result = post(client, {**site, **HOUSE["framing_nail"], **own}, path="/v1/requirements")["result"]
        nails[result["nail"]["id"], result["nail"]["coating"]] += result["nail_count"]
    result = body["result"]
    assert {(n["nail"]["id"], n["nail"]["coating"]): n["nail_count"] for n in result["nails"]} == nails
    assert {(c["nominal"], c["length_in"]): c["member_count"] for c in result["lumber"]["cut_list"]} == sticks
    assert {s["label"]: s["sheet_count"] for s in result["panels"]} == sheets
    board_ft = sum(plan["result"]["totals"]["board_ft"] * times for plan, times in plans(client, HOUSE))
    assert result["lumber"]["board_ft"] == pytest.approx(board_ft, abs=0.05)
    assert result["totals_complete"]


def test_each_wall_has_the_totals_of_its_plan(client: FlaskClient) -> None:
    walls = post(client, HOUSE)["result"]["walls"]
    for (plan, times), wall, asked in zip(plans(client, HOUSE), walls, HOUSE["walls"], strict=True):
        assert wall["summary"] == plan["result"]["totals"]
        assert (wall["id"], wall["count"], wall["status"]) == (asked["id"], times, 200)
        assert (wall["label"], wall["level"]) == (asked.get("label"), asked.get("level"))
        standing = {"local_code_governs", "nail_gun"}
        assert [c["code"] for c in wall["cautions"]] == [c["code"] for c in plan["cautions"] if c["code"] not in standing]


def test_a_plain_wall_by_hand(client: FlaskClient) -> None:
    """8 ft at 16 in: 14 stud ends x 3, and 9 + 9 along two plates (IRC 2021 Table R602.3(1) items 14, 15, 17): 60; 10 percent on it 66.

    7 studs of 91.5 in and three plates of 8 ft are 77.375 ft of 2x4, 2/3 board ft each: 51.58 (Modern Carpentry, p. 269).
    A box of 500 nails of the trade leaves 434. By the shank 0.2836 x pi/4 x 0.131^2 x 3 = 0.011467 lb a nail: 0.76 lb.
    """
    result = post(client, {**ONE, "purchase": {"waste_percent": 10}})["result"]
    (nail,) = result["nails"]
    assert (nail["nail_count"], nail["nail_count_with_waste"], nail["weight_lb"]) == (60, 66, 0.76)
    (box,), (left,) = result["purchase"]["packages"], result["purchase"]["leftovers"]
    assert (box["nail_count_per_package"], box["package_count"], box["approximate"], left["leftover_nail_count"]) == (500, 1, True, 434)
    assert (result["lumber"]["lumber_length_ft"], result["lumber"]["board_ft"]) == (77.375, 51.58)
    assert [(s["label"], s["stick_count"], s["stick_count_with_waste"]) for s in result["lumber"]["stock"]] == [("2x4 x 8 ft", 10, 11)]


def test_precut_studs_are_bought_by_their_length(client: FlaskClient) -> None:
    """A wall of 97-1/8 in less three plates of 1-1/2 in takes studs of 92-5/8 in, sold cut to that (common practice, no source)."""
    wall = {"id": "a", "wall": {"length_in": 96, "height_in": 97.125}}
    result = post(client, {**ONE, "walls": [wall], "purchase": {"stock_lengths_ft": [7.71875, 8]}})["result"]
    assert [(s["label"], s["stick_count"]) for s in result["lumber"]["stock"]] == [("2x4 x 8 ft", 3), ("2x4 x 92-5/8 in", 7)]


def test_money_by_hand(client: FlaskClient) -> None:
    """11 sticks at 4.25 = 46.75, one box at 19.99: 66.74, nothing without a price."""
    purchase = {
        "waste_percent": 10,
        "packages": [{"nail_id": "smooth-3x0.131", "nail_count_per_package": 1000, "price": 19.99, "currency": "CAD"}],
        "prices": [{"nominal": "2x4", "stock_length_ft": 8, "price": 4.25, "currency": "CAD"}],
    }
    body = post(client, {**ONE, "purchase": purchase})
    found = body["result"]["purchase"]
    assert (found["currency"], found["cost"], found["cost_complete"]) == ("CAD", 66.74, True)
    assert found["packages"][0]["approximate"] is False
    assert "package_count_approximate" not in {c["code"] for c in body["cautions"]}


def test_metric_answers_have_twins_and_the_same_counts(client: FlaskClient) -> None:
    us, metric = post(client, HOUSE), post(client, {**HOUSE, "units": "metric"})
    nail = metric["result"]["nails"][0]
    assert nail["weight_kg"] == round(nail["weight_lb"] * 0.45359237, 2)
    assert metric["result"]["lumber"]["stock"][0]["stock_length_m"] == 4.877  # 16 ft
    assert [n["nail_count"] for n in us["result"]["nails"]] == [n["nail_count"] for n in metric["result"]["nails"]]


def test_stock_and_run_lengths_may_be_sent_in_metres(client: FlaskClient) -> None:
    asked = {
        **ONE,
        "purchase": {"stock_lengths_m": [2.4384, 4.8768]},
        "joints": [{"connection_id": "rim-joist-to-sill-toe-nail", "run_length_m": 2.4384}],
    }
    us = {**ONE, "purchase": {"stock_lengths_ft": [8, 16]}, "joints": [{"connection_id": "rim-joist-to-sill-toe-nail", "run_length_ft": 8}]}
    assert post(client, asked)["result"] == post(client, us)["result"]


def test_loose_joints_take_the_nail_that_is_named_for_them(client: FlaskClient) -> None:
    named = {**ONE, "connection_nails": {RAFTERS["connection_id"]: {"nail_id": "16d-common"}}}
    cases = [
        ({**ONE, "joints": [RAFTERS]}, "smooth-3x0.131"),
        ({**named, "joints": [RAFTERS]}, "16d-common"),
        ({**named, "joints": [{**RAFTERS, "nail_id": "10d-box"}]}, "10d-box"),
    ]
    for asked, nail in cases:
        assert post(client, asked)["result"]["joints"][0]["nail"]["id"] == nail


def test_joints_alone_make_a_take_off(client: FlaskClient) -> None:
    """IRC 2021 Table R602.3(1) item 6: 4 of 3 x 0.131 to each rafter; 26 x 4 = 104."""
    result = post(client, {**SITE, **GUN, "joints": [RAFTERS]})["result"]
    assert [(n["nail"]["id"], n["nail_count"]) for n in result["nails"]] == [("smooth-3x0.131", 104)]
    assert (result["walls"], result["panels"], result["lumber"]["stock"]) == ([], [], [])
    own = {**SITE, "joints": [{**RAFTERS, "nail_designation": "3 x 0.131"}]}
    assert post(client, own)["result"]["nails"] == result["nails"]


def test_what_an_item_says_replaces_what_is_shared(client: FlaskClient) -> None:
    asked = {**ONE, "walls": [*ONE["walls"], {"id": "b", "framing_nail": {"nail_id": "16d-common"}, "wall": PLAIN}]}
    result = post(client, asked)["result"]
    assert {n["nail"]["id"]: n["nail_count"] for n in result["nails"]} == {"smooth-3x0.131": 60, "16d-common": 14 * 2 + 7 + 7}


BAD_DOOR = {"id": "d", "kind": "door", "at_in": 90, "width_in": 36, "head_height_in": 80, "header": {"nominal": "2x8"}}


def test_a_wall_that_is_wrong_fails_alone(client: FlaskClient) -> None:
    bad = {"id": "bad", "label": "garage", "count": 3, "wall": {**PLAIN, "openings": [BAD_DOOR]}}
    result = post(client, {**ONE, "walls": [bad, *ONE["walls"]]})["result"]
    refused, planned = result["walls"]
    assert (refused["status"], refused["label"], refused["problem"]["errors"][0]["pointer"][:27]) == (
        422,
        "garage",
        "#/walls/0/wall/openings/0/a",
    )
    assert planned["status"] == 200
    assert result["totals_complete"] is False
    assert result["nails"] == post(client, ONE)["result"]["nails"]
    first, *_ = sheet(client, {**ONE, "walls": [bad, *ONE["walls"]]})
    assert (first["id"], first["wall_label"], first["item_status"], first["error_code"]) == ("bad", "garage", "422", "opening_outside_wall")


@pytest.mark.parametrize(
    ("wall", "pointer", "code"),
    [
        ({"count": 0}, "count", "out_of_range"),
        ({"count": "2"}, "count", "wrong_type"),
        ({"label": "a\nb"}, "label", "bad_format"),
        ({"label": "\ue000d5080000\ue001"}, "label", "bad_format"),
        ({"level": 7}, "level", "wrong_type"),
        ({"units": "metric"}, "units", "unknown_field"),
        ({"cuont": 2}, "cuont", "unknown_field"),
        ({"wall": {"length_in": 96}}, "wall/height_in", "missing_field"),
        ({"wall": {**PLAIN, "sheathing": {"thickness_in": 0.4375}}}, "sheathing_nail", "missing_field"),
        ({"framing_nail": {"nail_designation": "16d"}}, "framing_nail/nail_designation", "ambiguous_nail"),
    ],
)
def test_the_fault_of_a_wall_is_pointed_at_in_the_request(client: FlaskClient, wall: Any, pointer: str, code: str) -> None:
    result = post(client, {**ONE, "walls": [*ONE["walls"], {"id": "b", "wall": PLAIN, **wall}]})["result"]
    (error,) = result["walls"][1]["problem"]["errors"]
    assert (error["pointer"], error["code"]) == (f"#/walls/1/{pointer}", code)
    assert result["walls"][0]["status"] == 200


def test_a_wall_that_a_shared_field_does_not_suit_fails_alone(client: FlaskClient) -> None:
    """D1 is a category of the IRC alone: the wall that asks by the IBC is wrong, and is shown the shared field."""
    asked = {**ONE, "seismic_design_category": "D1", "walls": [*ONE["walls"], {"id": "b", "code_edition": "ibc-2021", "wall": PLAIN}]}
    good, bad = post(client, asked)["result"]["walls"]
    (error,) = bad["problem"]["errors"]
    assert (good["status"], error["pointer"], error["code"]) == (200, "#/seismic_design_category", "unknown_value")


@pytest.mark.parametrize(
    ("joints", "pointer", "code"),
    [
        ({"joint_count": ...}, "joint_count", "missing_field"),
        ({"joint_count": ..., "run_length_ft": 20}, "run_length_ft", "conflicting_fields"),
        ({"connection_id": "rim-joist-to-sill-toe-nail"}, "joint_count", "conflicting_fields"),
        ({"connection_id": "rafter-to-plate"}, "connection_id", "unknown_value"),
        ({"connection_id": ...}, "connection_id", "missing_field"),
        ({"nail_designation": "10d"}, "nail_designation", "ambiguous_nail"),
        ({"count": 2}, "count", "unknown_field"),
        ({"connection_id": "wood-panel-to-framing", "panel_thickness_in": 0.5, "use": "roof"}, "connection_id", "unknown_value"),
        ({"connection_id": "fiberboard-to-framing", "joint_count": ...}, "connection_id", "unknown_value"),
    ],
)
def test_joints_that_are_wrong_fail_alone(client: FlaskClient, joints: Any, pointer: str, code: str) -> None:
    item = {k: v for k, v in {**RAFTERS, **joints}.items() if v is not ...}
    result = post(client, {**ONE, "joints": [RAFTERS, item]})["result"]
    good, bad = result["joints"]
    assert good["status"] == 200 and bad["status"] == 422
    assert (bad["problem"]["errors"][0]["pointer"], bad["problem"]["errors"][0]["code"]) == (f"#/joints/1/{pointer}", code)
    assert result["totals_complete"] is False
    assert len(bad["problem"]["errors"]) == 1


MISSPELLED = [("cuont", "count"), ("coutn", "count"), ("lable", "label"), ("levl", "level"), ("framing_nial", "framing_nail")]


@pytest.mark.parametrize(("word", "hint"), MISSPELLED)
def test_a_misspelled_field_of_a_wall_is_looked_for_among_all_of_them(client: FlaskClient, word: str, hint: str) -> None:
    (wall,) = post(client, {**ONE, "walls": [{**ONE["walls"][0], word: 2}]})["result"]["walls"]
    (error,) = wall["problem"]["errors"]
    assert (error["pointer"], error["code"], error["did_you_mean"]) == (f"#/walls/0/{word}", "unknown_field", hint)


def test_joints_are_not_told_of_a_count_they_have_not(client: FlaskClient) -> None:
    (joints,) = post(client, {**ONE, "joints": [{**RAFTERS, "cuont": 2}]})["result"]["joints"]
    (error,) = joints["problem"]["errors"]
    assert error["code"] == "unknown_field" and "count" not in (error.get("did_you_mean"), *error.get("could_be", []))


@pytest.mark.parametrize(
    ("asked", "pointer", "code"),
    [
        ({"walls": []}, "#/walls", "missing_field"),
        ({"walls": [{"wall": PLAIN}]}, "#/walls/0/id", "missing_field"),
        ({"walls": [*ONE["walls"], *ONE["walls"]]}, "#/walls/1/id", "duplicate_id"),
        ({"joints": [{**RAFTERS, "id": "a"}]}, "#/joints/0/id", "duplicate_id"),
        ({"walls": [1]}, "#/walls/0", "wrong_type"),
        ({"framing_nail": {"nail_designation": "16d"}}, "#/framing_nail/nail_designation", "ambiguous_nail"),
        ({"code_edition": "ibc-2021", "seismic_design_category": "D1"}, "#/seismic_design_category", "unknown_value"),
        ({"purchase": {"waste_percent": 101}}, "#/purchase/waste_percent", "out_of_range"),
        ({"purchase": {"stock_lengths_ft": []}}, "#/purchase/stock_lengths_ft", "too_few_items"),
        ({"purchase": {"packages": [{"nail_id": "16d-common"}]}}, "#/purchase/packages/0/nail_count_per_package", "missing_field"),
        ({"purchase": {"packages": [{"nail_id": "16d-comon", "weight_lb": 5}]}}, "#/purchase/packages/0/nail_id", "unknown_value"),
        (
            {"purchase": {"packages": [{"nail_id": "16d-common", "weight_lb": 5, "nail_count_per_package": 245}]}},
            "#/purchase/packages/0/weight_lb",
            "conflicting_fields",
        ),
        (
            {"purchase": {"packages": [{"nail_id": "16d-common", "weight_lb": 5, "price": 9}]}},
            "#/purchase/packages/0/currency",
            "missing_field",
        ),
        (
            {"purchase": {"packages": [{"nail_id": "16d-common", "weight_lb": 5, "price": 9, "currency": "usd"}]}},
            "#/purchase/packages/0/currency",
            "bad_format",
        ),
        ({"purchase": {"prices": [{"price": 9, "currency": "USD"}]}}, "#/purchase/prices/0/nominal", "missing_field"),
        (
            {"purchase": {"prices": [{"nominal": "2x4", "price": 9, "currency": "USD"}]}},
            "#/purchase/prices/0/stock_length_ft",
            "missing_field",
        ),
        (
            {"purchase": {"prices": [{"panel_thickness_in": 0.5, "treated": True, "panel_length_in": 96, "price": 9, "currency": "USD"}]}},
            "#/purchase/prices/0/treated",
            "conflicting_fields",
        ),
    ],
)
def test_what_is_wrong_with_the_whole_is_refused_once(client: FlaskClient, asked: Any, pointer: str, code: str) -> None:
    assert errors(client, {**ONE, **asked}) == {pointer: code}


ON_HAND: Any = example("takeOff.nails-on-hand")


def test_the_nails_to_load_serve_every_joint_of_the_house(client: FlaskClient) -> None:
    """A header through a 1/2 in spacer takes 3-1/4 in and longer (a rule of this service); a clipped head holds no panel: two boxes."""
    choice = post(client, ON_HAND)["result"]["nail_choice"]
    assert [n["id"] for n in choice["nails"]] in (["smooth-3x0.131", "smooth-3.25x0.131"], ["8d-common", "smooth-3.25x0.131"])
    assert (choice["serves_every_joint"], choice["unserved"]) == (True, [])
    assert choice["nail_count"] == sum(a["nail_count"] for a in choice["assignments"])
    assert {a["nail_id"] for a in choice["assignments"]} == {n["id"] for n in choice["nails"]}
    for alone in choice["alone"]:
        assert alone["serves_count"] <= choice["kind_count"]
        assert bool(alone["refused"]) == (alone["serves_count"] < choice["kind_count"])


def test_one_nail_on_hand_counts_as_a_take_off_with_it(client: FlaskClient) -> None:
    nail = {"nail_designation": "3-1/4 x 0.131"}
    asked = {k: v for k, v in HOUSE.items() if k not in ("connection_nails", "purchase")}
    plain = post(client, {**asked, "framing_nail": nail, "sheathing_nail": nail})["result"]
    (alone,) = post(client, {**asked, "nails_on_hand": [nail]})["result"]["nail_choice"]["alone"]
    assert (alone["refused"], alone["nail_count"]) == ([], sum(n["nail_count"] for n in plain["nails"]))


def test_nails_on_hand_change_nothing_else(client: FlaskClient) -> None:
    with_hand, without = (post(client, {k: v for k, v in ON_HAND.items() if k != left})["result"] for left in ("", "nails_on_hand"))
    assert "nail_choice" not in without
    assert {k: v for k, v in with_hand.items() if k != "nail_choice"} == without


def test_joints_that_no_nail_serves_are_named_with_the_reason(client: FlaskClient) -> None:
    choice = post(client, {**ONE, "nails_on_hand": [{"nail_designation": "2-1/2 x 0.131"}]})["result"]["nail_choice"]
    assert (choice["nails"], choice["serves_every_joint"], choice["cost"]) == ([], False, None)
    assert len(choice["unserved"]) == 3
    assert all("into the holding piece" in joint["reason"] for joint in choice["alone"][0]["refused"])


@pytest.mark.parametrize(
    ("on_hand", "pointer", "code"),
    [
        ([], "#/nails_on_hand", "too_few_items"),
        ([{"nail_id": "16d-common"}] * 11, "#/nails_on_hand", "too_many_items"),
        ([{"nail_designation": "16d"}], "#/nails_on_hand/0/nail_designation", "ambiguous_nail"),
        ([{"nail_id": "16d-common", "price": 5, "currency": "USD"}], "#/nails_on_hand/0/nail_count_per_package", "missing_field"),
        ([{"nail_id": "16d-common", "price": 5, "nail_count_per_package": 9}], "#/nails_on_hand/0/currency", "missing_field"),
    ],
)
def test_nails_on_hand_that_cannot_be_read_refuse_the_call(client: FlaskClient, on_hand: Any, pointer: str, code: str) -> None:
    assert errors(client, {**ONE, "nails_on_hand": on_hand}) == {pointer: code}


def test_nails_on_hand_count_as_work_once_each() -> None:
    asked = {**ONE, "nails_on_hand": [{"nail_id": "16d-common"}] * 9}
    assert post(limited(max_members=100), ONE)["result"]["totals_complete"]
    (error,) = post(limited(max_members=100), asked, 422)["errors"]
    assert (error["pointer"], error["code"]) == ("#/walls", "too_much_work")


def test_two_currencies_are_refused_with_both_named(client: FlaskClient) -> None:
    purchase = {
        "packages": [{"nail_id": "16d-common", "weight_lb": 5, "price": 9, "currency": "USD"}],
        "prices": [{"nominal": "2x4", "stock_length_ft": 8, "price": 4, "currency": "CAD"}],
    }
    (error,) = post(client, {**ONE, "purchase": purchase}, 422)["errors"]
    assert (error["pointer"], error["code"]) == ("#/purchase/prices/0/currency", "conflicting_fields")
    assert "USD" in error["detail"]
    hand = [{"nail_id": "16d-common", "nail_count_per_package": 50, "price": 3, "currency": "EUR"}]
    del purchase["prices"]
    assert errors(client, {**ONE, "purchase": purchase, "nails_on_hand": hand}) == {"#/nails_on_hand/0/currency": "conflicting_fields"}


def limited(**settings: int) -> FlaskClient:
    return create_app(Settings(log_level="error", **settings)).test_client()


def test_too_many_walls_and_too_many_sticks_are_refused_before_the_work() -> None:
    many = {**ONE, "walls": [{"id": f"w{i}", "wall": PLAIN} for i in range(9)]}
    (error,) = post(limited(max_items=8), many, 422)["errors"]
    assert (error["pointer"], error["code"], error["limit"], error["setting"]) == ("#/walls", "too_many_items", 8, "APP_MAX_ITEMS")
    (error,) = post(limited(max_members=100), many, 422)["errors"]
    assert (error["pointer"], error["code"], error["limit"], error["setting"]) == ("#/walls", "too_much_work", 100, "APP_MAX_MEMBERS")


def test_the_limit_on_walls_stands_in_the_contract() -> None:
    document = limited(max_items=7).get("/v1/openapi.json").json
    shown = document["components"]["schemas"]["TakeoffAsk"]["properties"]
    assert (shown["walls"]["maxItems"], shown["joints"]["maxItems"]) == (7, 7)


def test_standing_notes_stand_once_and_cautions_point_at_their_items(client: FlaskClient) -> None:
    body = post(client, {**HOUSE, "joints": [RAFTERS]})
    codes = [c["code"] for c in body["cautions"]]
    assert len(codes) == len(set(codes))
    by_code = {c["code"]: c for c in body["cautions"]}
    assert by_code["local_code_governs"]["applies_to"] == by_code["nail_gun"]["applies_to"] == []
    assert by_code["package_count_approximate"]["applies_to"] == ["/result/purchase/packages"]
    for c in body["cautions"]:
        for pointer in c["applies_to"]:
            thing = body
            for step in pointer.split("/")[1:]:
                thing = thing[int(step)] if isinstance(thing, list) else thing[step]
            if isinstance(thing, dict) and "status" in thing:
                assert c["code"] in {own["code"] for own in thing["cautions"]}


def test_a_gun_in_one_wall_is_a_gun_in_the_house(client: FlaskClient) -> None:
    asked = {**ONE, "driver": "hand"}
    assert "nail_gun" not in {c["code"] for c in post(client, asked)["cautions"]}
    asked["walls"] = [*ONE["walls"], {"id": "b", "driver": "gun", "wall": PLAIN}]
    assert "nail_gun" in {c["code"] for c in post(client, asked)["cautions"]}


def test_a_stop_of_joints_points_at_the_number_that_is_null(client: FlaskClient) -> None:
    body = post(client, {**ONE, "joints": [RAFTERS, {**RAFTERS, "nail_designation": "1-1/2 x 0.131"}]})
    (stop,) = [c for c in body["cautions"] if c["severity"] == "stop"]
    assert stop["applies_to"] == ["/result/joints/1/nail_count"]
    assert body["result"]["joints"][1]["nail_count"] is None
    assert body["result"]["totals_complete"] is False


def test_nothing_to_drive_has_no_nail_gun(client: FlaskClient) -> None:
    body = post(client, {**ONE, "fire_rated": True})
    assert "nail_gun" not in {c["code"] for c in body["cautions"]}
    assert (body["result"]["nails"], body["result"]["totals_complete"]) == ([], False)


def test_all_walls_may_fail(client: FlaskClient) -> None:
    body = post(client, {**ONE, "walls": [{"id": "a", "wall": {**PLAIN, "openings": [BAD_DOOR]}}]})
    assert (body["result"]["nails"], body["result"]["lumber"]["stock"], body["result"]["totals_complete"]) == ([], [], False)
    assert [c["code"] for c in body["cautions"]] == ["local_code_governs"]


TABLES = ("connections", "members", "panels", "nails", "purchase", "notes")


@pytest.mark.parametrize("table", ("connections", "members", "nails", "panels"))
def test_a_sheet_has_the_rows_of_each_wall_with_the_wall_before_them(client: FlaskClient, table: str) -> None:
    rows = [r for r in sheet(client, HOUSE, table) if r["id"] not in ("ceiling", "rafters", "rim")]
    assert list(rows[0])[:4] == ["id", "wall_label", "level", "count"]
    shared = {k: v for k, v in HOUSE.items() if k not in ("walls", "joints", "purchase")}
    wanted: list[dict[str, str]] = []
    for wall in HOUSE["walls"]:
        own = {k: v for k, v in wall.items() if k not in ("id", "count", "label", "level")}
        answer = client.post(f"/v1/wall-plans?format=csv&table={table}", json={**shared, **own})
        wanted += csv.DictReader(io.StringIO(answer.text))
    assert len(rows) == len(wanted)
    for row, alone in zip(rows, wanted, strict=True):
        assert {k: v for k, v in row.items() if k in alone and k != "id"} == {k: v for k, v in alone.items() if k != "id"}


def test_the_nails_of_the_sheet_times_their_walls_are_the_totals(client: FlaskClient) -> None:
    found: Counter[str] = Counter()
    for row in sheet(client, HOUSE, "nails"):
        found[row["nail_id"]] += int(row["nail_count"]) * int(row["count"])
    assert found == {n["nail"]["id"]: n["nail_count"] for n in post(client, HOUSE)["result"]["nails"]}


def test_the_purchase_of_the_sheet_adds_up_to_its_cost(client: FlaskClient) -> None:
    rows, found = sheet(client, HOUSE, "purchase"), post(client, HOUSE)["result"]
    assert sum(float(r["cost"] or 0) for r in rows) == pytest.approx(found["purchase"]["cost"])
    assert {r["kind"] for r in rows} - {"anchor_bolts"} == {"nails", "lumber", "panels"}
    assert sum(int(r["buy_count"]) for r in rows if r["kind"] == "lumber") == sum(
        s["stick_count_with_waste"] for s in found["lumber"]["stock"]
    )


@pytest.mark.parametrize("table", TABLES)
def test_what_was_refused_is_a_row_of_every_table(client: FlaskClient, table: str) -> None:
    """A law of every list: what is missing from it is named in it."""
    bad = {"id": "bad", "label": "garage", "count": 3, "wall": {**PLAIN, "openings": [BAD_DOOR]}}
    joints = {"id": "roof", "connection_id": "rafter-to-plate-toe-nail"}
    rows = [r for r in sheet(client, {**ONE, "walls": [*ONE["walls"], bad], "joints": [joints]}, table) if r["item_status"] == "422"]
    assert [(r["id"], r["error_code"]) for r in rows] == [("bad", "opening_outside_wall"), ("roof", "missing_field")]
    assert all(r["error_detail"] and r["error_field"].startswith("#/") for r in rows)
    assert {r.get("buy_count", "") for r in rows} == {""}


def test_joints_and_bolts_without_a_number_are_rows_of_the_purchase(client: FlaskClient) -> None:
    """A law of every list: 1-1/2 in hold no rafter, and category E takes a design (IRC R301.2.2), so nothing is loaded for either."""
    short = {**ONE, "joints": [RAFTERS, {**RAFTERS, "id": "short", "nail_designation": "1-1/2 x 0.131"}]}
    rows = [r for r in sheet(client, short, "purchase") if r["kind"] == "no_number"]
    assert [(r["id"], r["item_status"], r["buy_count"], r["error_code"]) for r in rows] == [("short", "200", "", "")]
    shaken = sheet(client, {**ONE, "seismic_design_category": "E", "walls": [SLAB]}, "purchase")
    assert {r["kind"] for r in shaken} >= {"no_number"}
    assert [r for r in shaken if r["label"].startswith("anchor bolts of garage are not in the list")]


SLAB = {"id": "a", "label": "garage", "count": 3, "wall": {**PLAIN, "bottom_plate_on": "concrete"}}


def test_anchor_bolts_are_on_the_list(client: FlaskClient) -> None:
    """IRC R403.1.6: 1/2 in bolts 7 in deep, at most 6 ft apart, within 12 in of the ends, two at least: (96 - 24) / 72 + 1 = 2, three times."""
    asked = {**ONE, "story_count": 1, "walls": [SLAB, *({**w, "id": "b"} for w in ONE["walls"])]}
    result = post(client, asked)["result"]
    (bolts,) = result["anchor_bolts"]
    assert (bolts["bolt_count"], bolts["bolt_diameter_in"], bolts["embedment_in"], bolts["washer_side_in"]) == (6, 0.5, 7, None)
    (row,) = [r for r in sheet(client, asked, "purchase") if r["kind"] == "anchor_bolts"]
    assert (row["buy_count"], row["label"]) == ("6", bolts["label"])
    assert post(client, ONE)["result"]["anchor_bolts"] == []


def test_bolts_in_a_shaken_place_come_with_plate_washers(client: FlaskClient) -> None:
    """IRC R602.11.1: plate washers 0.229 x 3 x 3 in in D0 to D2; those of other walls are a line of their own."""
    found = post(client, {**ONE, "story_count": 1, "seismic_design_category": "D1", "walls": [SLAB]})["result"]["anchor_bolts"]
    assert [(b["bolt_count"], b["washer_side_in"], b["washer_thickness_in"]) for b in found] == [(6, 3, 0.229)]


def test_walls_whose_bolts_have_no_number_are_named(client: FlaskClient) -> None:
    """Category E is outside the prescriptive code (IRC R301.2.2): bolts for a design are no number of this list."""
    result = post(client, {**ONE, "seismic_design_category": "E", "walls": [SLAB]})["result"]
    assert result["anchor_bolts"] == []
    assert [n for n in result["notes"] if n.startswith("anchor bolts of garage are not in the list: ")]


def test_off_cuts_of_sheets_are_said_once(client: FlaskClient) -> None:
    assert len([n for n in post(client, HOUSE)["result"]["notes"] if "off-cuts" in n]) == 1
    assert not [n for n in post(client, ONE)["result"]["notes"] if "off-cuts" in n]


def test_a_nail_in_two_boxes_counts_once_in_a_column(client: FlaskClient) -> None:
    """60 nails of the plain wall in boxes of 50 and 12: 62 bought, 2 over (the sum over its rows is that of the nail)."""
    boxes = [{"nail_id": "smooth-3x0.131", "nail_count_per_package": n} for n in (50, 12)]
    rows = [r for r in sheet(client, {**ONE, "purchase": {"packages": boxes}}, "purchase") if r["kind"] == "nails"]
    assert [(r["nail_count_per_package"], r["nail_count"], r["leftover_nail_count"]) for r in rows] == [("50", "60", "2"), ("12", "", "")]
    assert sum(float(r["weight_lb"] or 0) for r in rows) == post(client, ONE)["result"]["nails"][0]["weight_lb"]


@pytest.mark.parametrize("table", TABLES)
def test_no_text_of_the_caller_runs_in_a_spreadsheet(client: FlaskClient, table: str) -> None:
    wall = {"id": "-a", "label": "=1+1", "level": "@x", "wall": PLAIN}
    for row in sheet(client, {**ONE, "walls": [wall], "joints": [{**RAFTERS, "label": "+1"}]}, table):
        assert not [cell for cell in row.values() if cell[:1] in ("=", "@", "+", "-")]


def test_a_metric_sheet_has_metric_columns_beside(client: FlaskClient) -> None:
    (first, *_) = sheet(client, {**ONE, "units": "metric"}, "members")
    assert "length_mm" in first
    assert "stock_length_m" in sheet(client, {**ONE, "units": "metric"}, "purchase")[0]


def turned(asked: Any) -> Any:
    return {**asked, "walls": asked["walls"][::-1], "joints": asked["joints"][::-1]}


def test_the_order_of_walls_and_joints_does_not_matter(client: FlaskClient) -> None:
    one, other = post(client, HOUSE)["result"], post(client, turned(HOUSE))["result"]
    for part in ("lumber", "panels", "nails", "purchase"):
        assert one[part] == other[part]


def test_a_dearer_package_changes_money_alone(client: FlaskClient) -> None:
    dear = deepcopy(HOUSE)
    for price in (*dear["purchase"]["packages"], *dear["purchase"]["prices"]):
        price["price"] += 1000
    one, other = post(client, HOUSE)["result"], post(client, dear)["result"]
    assert one["purchase"]["cost"] < other["purchase"]["cost"]

    def without_money(thing: Any) -> Any:
        if isinstance(thing, list):
            return [without_money(t) for t in thing]
        return (
            {k: without_money(v) for k, v in thing.items() if k not in ("price", "cost", "cost_label")}
            if isinstance(thing, dict)
            else thing
        )

    assert without_money(one) == without_money(other)


SHARED = ("wind_speed_mph", "wind_speed_basis", "exposure", "seismic_design_category")
WORST = ("info", "caution", "warning", "stop")


@pytest.mark.parametrize("left_out", SHARED)
@pytest.mark.parametrize("wind", [{}, {"wind_speed_mph": 130, "exposure": "C"}])
def test_what_is_left_out_is_never_milder(client: FlaskClient, left_out: str, wind: Any) -> None:
    """What is not sent of the site is assumed and said: the answer warns at least as gravely as with the assumed value sent."""
    asked = {**HOUSE, **wind}
    less = post(client, {k: v for k, v in asked.items() if k != left_out})
    value = {a["field"]: a["value"] for a in less["meta"]["assumptions"]}[left_out]
    same = post(client, {**asked, left_out: value})
    assert less["result"]["nails"] == same["result"]["nails"]
    assert WORST.index(less["cautions"][0]["severity"]) >= WORST.index(same["cautions"][0]["severity"])
    assert {c["code"] for c in same["cautions"]} <= {c["code"] for c in less["cautions"]}
    assert "site_assumed" in {c["code"] for c in less["cautions"]}


def test_the_house_asks_for_what_its_batch_asks_for(client: FlaskClient) -> None:
    """The same walls as a batch: its totals are those of the take-off without count and joints."""
    items = [{k: v for k, v in w.items() if k not in ("count", "label", "level")} for w in HOUSE["walls"]]
    shared = {k: v for k, v in HOUSE.items() if k not in ("walls", "joints", "purchase")}
    batch = post(client, {"defaults": shared, "items": items}, path="/v1/wall-plans/batch")
    result = post(client, {**shared, "walls": items})["result"]
    assert {(n["nail_id"], n["nail_count"]) for n in batch["summary"]["totals"]} == {
        (n["nail"]["id"], n["nail_count"]) for n in result["nails"]
    }


@pytest.mark.parametrize(
    ("plate", "coating", "said"), [("concrete", "bright", True), ("wood_floor", "bright", False), ("concrete", "hot_dip_galvanized", False)]
)
def test_nails_for_a_treated_plate_are_told_apart_in_the_choice(client: FlaskClient, plate: str, coating: str, said: bool) -> None:
    wall = {**PLAIN, "bottom_plate_on": plate}
    hand = [{"nail_designation": "3 x 0.131", "coating": coating}]
    reason = post(client, {**ONE, "walls": [{"id": "a", "wall": wall}], "nails_on_hand": hand})["result"]["nail_choice"]["reason"]
    assert ("hot-dip galvanized" in reason) == said


def test_a_refused_wall_is_not_said_to_be_served(client: FlaskClient) -> None:
    hand = [{"nail_designation": "3 x 0.131"}]
    for walls in ([{"id": "a", "wall": PLAIN}, {"id": "b", "wall": {**PLAIN, "length_in": -1}}], [{"id": "b", "wall": {"length_in": -1}}]):
        found = post(client, {**ONE, "walls": walls, "nails_on_hand": hand})["result"]["nail_choice"]
        assert (found["serves_every_joint"], found["reason"].endswith("; what was refused (1) is not in it")) == (False, True)


def test_a_treated_plate_takes_the_galvanized_nail_of_the_shelf_in_any_order(client: FlaskClient) -> None:
    """IRC R317.3: nails into treated wood are hot-dip galvanized; a bright one is no nail for them, a galvanized one is for all.

    8 ft at 16 in: 7 stud ends x 3 stand on the treated plate; 7 x 3 and 9 between two top plates do not: the floor takes bolts.
    """
    wall = {**PLAIN, "bottom_plate_on": "concrete"}
    bright = {"nail_designation": "3 x 0.131", "coating": "bright", "price": 10, "currency": "USD", "nail_count_per_package": 1000}
    coated = bright | {"coating": "hot_dip_galvanized", "price": 50}

    def choice(*hand: Any) -> Any:
        return post(client, {**ONE, "walls": [{"id": "a", "wall": wall}], "nails_on_hand": list(hand)})["result"]["nail_choice"]

    for hand in ((bright, coated), (coated, bright)):
        found = choice(*hand)
        assert [n["coating"] for n in found["nails"]] == ["hot_dip_galvanized"]
        assert (found["serves_every_joint"], found["nail_count"], found["cost"]) == (True, 51, 2.55)
    alone = choice(bright)
    assert (alone["serves_every_joint"], alone["nail_count"], [u["connection_id"] for u in alone["unserved"]]) == (
        False,
        30,
        ["stud-to-plate-end-nail"],
    )
