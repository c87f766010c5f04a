"""Questions: single, batch, metric, and the cautions that go with the answers."""

import json
import re
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings

STUD = "stud-to-plate-end-nail"
NAIL = {"nail_designation": "3 x 0.131"}
WALL = {"length_in": 144, "height_in": 97.125}
SEVERITIES = ["stop", "warning", "caution", "info"]
STANDING = ["local_code_governs", "nail_gun"]
JOINTS: list[dict[str, Any]] = [
    {"connection_id": STUD, **NAIL, "joint_count": 38},
    {"connection_id": STUD, "nail_designation": "3 x 0.120", "joint_count": 2},
    {"connection_id": STUD, "nail_id": "16d-common", "fire_rated": True, "joint_count": 2},
    {"connection_id": "top-plate-to-top-plate-face-nail", **NAIL, "run_length_ft": 24},
    {"connection_id": "exterior-wall-panel-to-framing", "nail_id": "8d-common", "panel_thickness_in": 0.4375},
    {"connection_id": STUD, "nail_length_in": 3, "shank_diameter_in": 0.131, "driver": "hand", "code_edition": "ibc-2021"},
]
WALLS: list[dict[str, Any]] = [
    {"framing_nail": NAIL, "wall": WALL},
    {"framing_nail": NAIL, "wall": {**WALL, "braced": True, "start_corner": "three_stud", "intersections": [{"at_in": 60}]}},
    {"framing_nail": NAIL, "wall": {**WALL, "exterior": False, "bearing": False}, "connection_nails": {STUD: {"nail_id": "16d-common"}}},
    {"framing_nail": NAIL, "wall": {**WALL, "top_plate_count": 1}, "fire_rated": True},
    {"framing_nail": NAIL, "wall": {**WALL, "height_in": 140, "stud": "2x6", "bearing": False}, "wind_speed_mph": 100, "exposure": "B"},
]
QUESTIONS = [("/v1/requirements", q) for q in JOINTS] + [("/v1/wall-plans", q) for q in WALLS]
each_question = pytest.mark.parametrize(("path", "asked"), QUESTIONS)


def post(client: FlaskClient, path: str, asked: Any, status: int = 200) -> Any:
    answer = client.post(path, json=asked)
    assert answer.status_code == status, answer.json
    return answer.json


def errors(body: Any) -> list[tuple[str, str]]:
    return [(e["pointer"], e["code"]) for e in body["errors"]]


def resolve(body: Any, pointer: str) -> Any:
    for part in pointer.split("/")[1:]:
        body = body[int(part)] if isinstance(body, list) else body[part]
    return body


@each_question
def test_single_equals_batch_item(client: FlaskClient, path: str, asked: Any) -> None:
    single = post(client, path, asked)
    item = post(client, f"{path}/batch", {"items": [{"id": "a", **asked}]})["results"][0]
    assert item == {"id": "a", "status": 200, "result": single["result"], "cautions": single["cautions"], "assumptions": []}


@each_question
def test_single_equals_batch_item_in_metric(client: FlaskClient, path: str, asked: Any) -> None:
    single = post(client, path, {**asked, "units": "metric"})
    item = post(client, f"{path}/batch", {"units": "metric", "items": [{"id": "a", **asked}]})["results"][0]
    assert (item["result"], item["cautions"]) == (single["result"], single["cautions"])


@pytest.mark.parametrize(
    ("path", "us", "metric"),
    [
        (
            "/v1/requirements",
            {"connection_id": STUD, "nail_length_in": 3, "shank_diameter_in": 0.131, "wind_speed_mph": 100},
            {"connection_id": STUD, "nail_length_mm": 76.2, "shank_diameter_mm": 3.3274, "wind_speed_m_per_s": 44.704},
        ),
        (
            "/v1/requirements",
            {"connection_id": "top-plate-to-top-plate-face-nail", **NAIL, "run_length_ft": 25},
            {"connection_id": "top-plate-to-top-plate-face-nail", **NAIL, "run_length_m": 7.62},
        ),
        (
            "/v1/wall-plans",
            {
                "framing_nail": NAIL,
                "wall": {"length_in": 288, "height_in": 97.125, "stud_spacing_in": 24, "intersections": [{"at_in": 60}]},
            },
            {
                "framing_nail": NAIL,
                "wall": {"length_mm": 7315.2, "height_mm": 2466.975, "stud_spacing_mm": 609.6, "intersections": [{"at_mm": 1524}]},
            },
        ),
    ],
)
def test_metric_input_equals_us_input(client: FlaskClient, path: str, us: Any, metric: Any) -> None:
    """All but the label of a nail, which is said in the unit it was sent in."""
    mine, other = post(client, path, us), post(client, path, metric)
    unlabelled = [re.sub(r'"label": "[^"]*"', "", json.dumps(answer["result"])) for answer in (mine, other)]
    assert unlabelled[1] == unlabelled[0]
    assert [c["code"] for c in other["cautions"]] == [c["code"] for c in mine["cautions"]]


TWINS = {
    "_in": ("_mm", 25.4, 0.5),
    "_ft": ("_m", 0.3048, 0.0005),
    "_weight_lb": ("_weight_kg", 0.45359237, 0.005),
    "_mph": ("_m_per_s", 0.44704, 0.005),
}


FACTORS = (1, 25.4, 0.44704, 0.45359237)
UNIT = re.compile(r"(?<=#) (in|mm|mph|m/s|lb|kg)\b")


def same_said(us: Any, metric: Any) -> bool:
    """Whether two values are equal, or one sentence in two systems: the same words, each number itself or converted."""
    if us == metric or not isinstance(us, str):
        return bool(us == metric)
    parts = r"(\d+)-(\d+)/(\d+)|(?<![\d.(/])()(\d+)/(\d+)(?= in\b)"
    us, metric = (
        re.sub(parts, lambda m: str(int(m[1] or m[4] or 0) + int(m[2] or m[5]) / int(m[3] or m[6])), said) for said in (us, metric)
    )
    number = r"\d+(?:\.\d+)?"
    pairs = [(float(a), float(b)) for a, b in zip(re.findall(number, us), re.findall(number, metric), strict=False)]
    words = [UNIT.sub(" @", re.sub(number, "#", said)) for said in (us, metric)]
    return words[0] == words[1] and all(
        any(abs(a * f - b) <= 0.5 * (f < 1) + 0.006 * b + 0.01 * (f > 1) for f in FACTORS) for a, b in pairs
    )


def twin_faults(us: Any, metric: Any, where: str = "") -> list[str]:
    if isinstance(us, list):
        return [f for i, v in enumerate(us) for f in twin_faults(v, metric[i], f"{where}/{i}")]
    if not isinstance(us, dict):
        return [] if same_said(us, metric) else [f"{where} changed"]
    twins = {
        name.removesuffix(u) + TWINS[u][0]: (name, *TWINS[u][1:])
        for name in us
        for u in TWINS
        if name.endswith(u) and "_per_" not in name and name != "board_ft"
    }
    out = [f"{where}: fields {set(metric) ^ {*us, *twins}}"] if set(metric) != {*us, *twins} else []
    for twin, (name, factor, slack) in twins.items():
        pairs = zip(us[name], metric[twin], strict=True) if isinstance(us[name], list) else [(us[name], metric[twin])]
        out += [
            f"{where}/{twin} {b} for {a}"
            for a, b in pairs
            if (a is None) != (b is None) or a is not None and abs(a * factor - b) > slack + 1e-9
        ]
    return out + [f for name in us for f in twin_faults(us[name], metric[name], f"{where}/{name}")]


@each_question
def test_metric_adds_twins_and_changes_no_us_field(client: FlaskClient, path: str, asked: Any) -> None:
    us, metric = post(client, path, asked), post(client, path, {**asked, "units": "metric"})
    assert twin_faults(us["result"], metric["result"]) == []
    assert (us["meta"]["units"], metric["meta"]["units"]) == ("us", "metric")
    for mine, other in zip(us["cautions"], metric["cautions"], strict=True):
        assert all(same_said(mine[k], other[k]) for k in mine | other)


def test_metric_is_exact_where_inches_are_whole_millimetres(client: FlaskClient) -> None:
    nail = post(client, "/v1/requirements", {"connection_id": STUD, "nail_length_in": 3, "shank_diameter_in": 0.131, "units": "metric"})[
        "result"
    ]["nail"]
    assert (nail["length_mm"], nail["shank_diameter_mm"]) == (76, 3.33)


def test_defaults_are_taken_where_the_item_has_none(client: FlaskClient, mild: dict[str, Any]) -> None:
    items = [{"id": "a", "connection_id": STUD}, {"id": "b", "connection_id": STUD, "nail_designation": "16d common"}]
    results = post(client, "/v1/requirements/batch", {"defaults": {**NAIL, **mild}, "items": items})["results"]
    assert [r["result"]["nail"]["shank_diameter_in"] for r in results] == [0.131, 0.162]


def test_defaults_merge_at_top_level_only(client: FlaskClient) -> None:
    asked = {"defaults": {"framing_nail": NAIL, "wall": WALL}, "items": [{"id": "a"}, {"id": "b", "wall": {"length_in": 60}}]}
    results = post(client, "/v1/wall-plans/batch", asked)["results"]
    assert [r["status"] for r in results] == [200, 422]
    assert errors(results[1]["problem"]) == [("#/items/1/wall/height_in", "missing_field")]


@pytest.mark.parametrize(
    ("items", "error"),
    [
        ([{"id": "a"}, {"id": "a"}], ("#/items/1/id", "duplicate_id")),
        ([{"id": "a"}, {}], ("#/items/1/id", "missing_field")),
        ([{"id": 5}], ("#/items/0/id", "wrong_type")),
        ([{"id": "a b"}], ("#/items/0/id", "bad_format")),
        ([{"id": "a\n"}], ("#/items/0/id", "bad_format")),
        ([{"id": "x" * 65}], ("#/items/0/id", "out_of_range")),
        ([{"id": "a"}, 3], ("#/items/1", "wrong_type")),
        ([{"id": "a"}, None], ("#/items/1", "wrong_type")),
        ([], ("#/items", "too_few_items")),
        ({}, ("#/items", "wrong_type")),
    ],
)
def test_unsound_batch_is_refused_whole(client: FlaskClient, items: Any, error: tuple[str, str]) -> None:
    body = post(client, "/v1/requirements/batch", {"defaults": {"connection_id": STUD, **NAIL}, "items": items}, 422)
    assert errors(body) == [error]


def test_defaults_must_be_an_object(client: FlaskClient) -> None:
    body = post(client, "/v1/requirements/batch", {"defaults": 3, "items": [{"id": "a"}]}, 422)
    assert errors(body) == [("#/defaults", "wrong_type")]


def five(bad: Any) -> list[dict[str, Any]]:
    return [{"id": f"i{i}", "connection_id": STUD, **NAIL, **(bad if i == 3 else {})} for i in range(5)]


def test_bad_item_is_answered_beside_the_good(client: FlaskClient) -> None:
    body = post(client, "/v1/requirements/batch", {"items": five({"joint_count": 0})})
    assert [(r["id"], r["status"]) for r in body["results"]] == [("i0", 200), ("i1", 200), ("i2", 200), ("i3", 422), ("i4", 200)]
    problem = body["results"][3]["problem"]
    assert (problem["status"], problem["code"], errors(problem)) == (422, "validation_error", [("#/items/3/joint_count", "out_of_range")])
    assert {k: body["summary"][k] for k in ("item_count", "succeeded_count", "failed_count", "totals_complete")} == {
        "item_count": 5,
        "succeeded_count": 4,
        "failed_count": 1,
        "totals_complete": False,
    }


def test_on_error_fail_refuses_the_whole_batch(client: FlaskClient) -> None:
    body = post(client, "/v1/requirements/batch", {"on_error": "fail", "items": five({"joint_count": 0, "color": "red"})}, 422)
    assert set(errors(body)) == {("#/items/3/joint_count", "out_of_range"), ("#/items/3/color", "unknown_field")}


def test_fault_of_a_default_points_into_defaults(client: FlaskClient) -> None:
    asked = {
        "defaults": {**NAIL, "exposure": "Z"},
        "items": [{"id": "a", "connection_id": STUD}, {"id": "b", "connection_id": STUD, "exposure": "C"}],
    }
    results = post(client, "/v1/requirements/batch", asked)["results"]
    assert [r["status"] for r in results] == [422, 200]
    assert errors(results[0]["problem"]) == [("#/defaults/exposure", "unknown_value")]


@pytest.mark.parametrize(("where", "pointer"), [("items", "#/items/0/units"), ("defaults", "#/defaults/units")])
def test_units_stand_beside_the_items(client: FlaskClient, where: str, pointer: str) -> None:
    item = {"id": "a", "connection_id": STUD, **NAIL}
    asked = {"items": [{**item, "units": "metric"}]} if where == "items" else {"defaults": {"units": "metric"}, "items": [item]}
    assert errors(post(client, "/v1/requirements/batch", asked)["results"][0]["problem"]) == [(pointer, "unknown_field")]


@pytest.mark.parametrize("path", ["/v1/requirements/batch", "/v1/wall-plans/batch"])
def test_too_many_items_names_limit_and_setting(path: str) -> None:
    small = create_app(Settings(max_items=3, log_level="error")).test_client()
    error = post(small, path, {"items": [{"id": f"i{i}"} for i in range(4)]}, 422)["errors"][0]
    assert (error["pointer"], error["code"]) == ("#/items", "too_many_items")
    assert (error["limit"], error["received"], error["setting"]) == (3, 4, "APP_MAX_ITEMS")


@pytest.fixture(scope="module")
def two_walls() -> FlaskClient:
    return create_app(Settings(max_position_walls=2, log_level="error")).test_client()


def walls(count: int, **more: Any) -> list[dict[str, Any]]:
    return [{"id": f"w{i}", "framing_nail": NAIL, "wall": WALL, **more} for i in range(count)]


def test_too_many_walls_with_positions_names_limit_and_setting(two_walls: FlaskClient) -> None:
    error = post(two_walls, "/v1/wall-plans/batch", {"include": ["positions"], "items": walls(3)}, 422)["errors"][0]
    assert (error["code"], error["limit"], error["received"], error["setting"]) == ("too_many_items", 2, 3, "APP_MAX_POSITION_WALLS")


def test_walls_without_positions_are_not_limited_by_positions(two_walls: FlaskClient) -> None:
    assert post(two_walls, "/v1/wall-plans/batch", {"items": walls(3)})["summary"]["succeeded_count"] == 3


@pytest.mark.parametrize("where", ["items", "defaults"])
def test_include_in_an_item_does_not_pass_the_limit(two_walls: FlaskClient, where: str) -> None:
    include = {"include": ["positions"]}
    asked = {"items": walls(3, **include)} if where == "items" else {"defaults": include, "items": walls(3)}
    body = two_walls.post("/v1/wall-plans/batch", json=asked).json
    assert sum("nail_positions" in r.get("result", {}) for r in body.get("results", [])) <= 2


def test_include_positions_of_a_batch_reaches_every_wall(client: FlaskClient) -> None:
    results = post(client, "/v1/wall-plans/batch", {"include": ["positions"], "items": walls(2)})["results"]
    single = post(client, "/v1/wall-plans", {"include": ["positions"], "framing_nail": NAIL, "wall": WALL})
    assert [r["result"] for r in results] == [single["result"]] * 2


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"connection_id": STUD, "nail_id": "16d-common", "joint_count": 38, "wind_speed_mph": 200}, "nail_count_per_joint"),
        ({"connection_id": STUD, "nail_id": "16d-common", "joint_count": 38, "fire_rated": True}, "nail_count_per_joint"),
        ({"connection_id": STUD, "nail_designation": "2-1/2 x 0.131", "joint_count": 38}, "nail_count_per_joint"),
        ({"connection_id": STUD, "nail_id": "16d-common", "joint_count": 38, "seismic_design_category": "E"}, "nail_count_per_joint"),
        ({"connection_id": "top-plate-to-top-plate-face-nail", **NAIL, "run_length_ft": 24, "fire_rated": True}, "spacing_in"),
        (
            {"connection_id": "exterior-wall-panel-to-framing", "nail_id": "8d-common", "panel_thickness_in": 0.4375, "fire_rated": True},
            "edge_spacing_in",
        ),
    ],
)
def test_engineering_required_has_no_number_and_a_stop(client: FlaskClient, mild: dict[str, Any], asked: Any, field: str) -> None:
    body = post(client, "/v1/requirements", {**mild, **asked})
    assert (body["result"]["outcome"], body["result"][field]) == ("engineering_required", None)
    assert body["result"].get("nail_count") is None
    stops = [c for c in body["cautions"] if c["severity"] == "stop"]
    assert stops
    assert [resolve(body, p) for c in stops for p in c["applies_to"]] == [None] * sum(len(c["applies_to"]) for c in stops)
    assert all(c["applies_to"] and c["applies_because"] for c in stops)


def test_stopped_lines_of_a_wall_have_no_count(client: FlaskClient, mild: dict[str, Any]) -> None:
    body = post(client, "/v1/wall-plans", {**mild, "framing_nail": NAIL, "wall": WALL, "fire_rated": True})
    pointers = [p for c in body["cautions"] if c["severity"] == "stop" for p in c["applies_to"]]
    assert [resolve(body, p) for p in pointers] == [None] * len(body["result"]["connections"])
    assert body["result"]["totals"]["totals_complete"] is False


@each_question
def test_every_caution_points_into_the_answer(client: FlaskClient, path: str, asked: Any) -> None:
    body = post(client, path, asked)
    for caution in body["cautions"]:
        for pointer in caution["applies_to"]:
            value = resolve(body, pointer)
            assert (value is None) == (caution["severity"] == "stop"), pointer


@pytest.mark.parametrize("asked", JOINTS)
def test_get_and_post_give_the_same_answer(client: FlaskClient, asked: Any) -> None:
    query = {k: str(v).lower() if isinstance(v, bool) else v for k, v in asked.items()}
    assert client.get("/v1/requirements", query_string=query).json == post(client, "/v1/requirements", asked)


@each_question
def test_cautions_are_sorted_worst_first_without_doubles(client: FlaskClient, path: str, asked: Any) -> None:
    for body in (post(client, path, asked), post(client, f"{path}/batch", {"items": [{"id": "a", **asked}, {"id": "b", **asked}]})):
        keys = [(SEVERITIES.index(c["severity"]), c["code"]) for c in body["cautions"]]
        assert keys == sorted(set(keys))


@pytest.mark.parametrize(("path", "asked"), [QUESTIONS[0], QUESTIONS[3], QUESTIONS[len(JOINTS)]])
def test_standing_notes_speak_exactly_once(client: FlaskClient, path: str, asked: Any) -> None:
    for body in (post(client, path, asked), post(client, f"{path}/batch", {"items": [{"id": "a", **asked}, {"id": "b", **asked}]})):
        assert sorted(c["code"] for c in body["cautions"] if c["code"] in STANDING) == STANDING


def test_nail_gun_is_silent_by_hand(client: FlaskClient) -> None:
    body = post(client, "/v1/requirements", {"connection_id": STUD, **NAIL, "driver": "hand"})
    assert sorted(c["code"] for c in body["cautions"] if c["code"] in STANDING) == ["local_code_governs"]


@pytest.mark.parametrize("left_out", [None, "wind_speed_mph", "exposure", "seismic_design_category"])
@pytest.mark.parametrize(("path", "asked"), [QUESTIONS[0], QUESTIONS[len(JOINTS)]])
def test_site_assumed_speaks_iff_a_site_field_is_left_out(
    client: FlaskClient, mild: dict[str, Any], path: str, asked: Any, left_out: str | None
) -> None:
    body = post(client, path, {**asked, **{k: v for k, v in mild.items() if k != left_out}})
    reasons = [c["applies_because"] for c in body["cautions"] if c["code"] == "site_assumed"]
    assert len(reasons) == (left_out is not None)
    assert all(left_out in r for r in reasons if left_out)
    assert [a["field"] for a in body["meta"]["assumptions"] if a["field"] in mild] == ([left_out] if left_out else [])


def test_wind_in_metres_a_second_is_not_assumed(client: FlaskClient, mild: dict[str, Any]) -> None:
    site = {k: v for k, v in mild.items() if k != "wind_speed_mph"}
    body = post(client, "/v1/requirements", {"connection_id": STUD, **NAIL, **site, "wind_speed_m_per_s": 51})
    assert "site_assumed" not in [c["code"] for c in body["cautions"]]
    assert "wind_speed_mph" not in body["input"]


def test_input_shows_the_question_with_defaults(client: FlaskClient) -> None:
    body = post(client, "/v1/requirements", {"connection_id": STUD, **NAIL, "exposure": "C"})
    assert {"connection_id": STUD, **NAIL, "exposure": "C", "wind_speed_mph": 115, "driver": "gun"}.items() <= body["input"].items()


@pytest.mark.parametrize("asked", [w for w in WALLS if not w.get("fire_rated")])
def test_every_nail_of_a_wall_is_located_once(client: FlaskClient, mild: dict[str, Any], asked: Any) -> None:
    result = post(client, "/v1/wall-plans", {**mild, **asked, "include": ["positions"]})["result"]
    sticks = sum(m["member_count"] for m in result["members"])
    positions = result["nail_positions"]
    assert len(positions) == result["totals"]["framing_nail_count"] > 0
    assert all(0 <= p["member_index"] < sticks for p in positions)
    counts = {line["connection_id"]: line["nail_count"] for line in result["connections"]}
    assert {c: sum(p["connection_id"] == c for p in positions) for c in counts} == counts


@pytest.mark.parametrize("asked", [w for w in WALLS if not w.get("fire_rated")])
def test_plate_nails_over_three_inches_from_all_uprights_are_counted(client: FlaskClient, mild: dict[str, Any], asked: Any) -> None:
    """A rule of this service, found again from the places that the answer gives."""
    result = post(client, "/v1/wall-plans", {**mild, **asked, "include": ["positions"]})["result"]
    flat = ("bottom_plate", "top_plate", "double_top_plate", "header", "sill", "block")
    standing = [
        x for m in result["members"] if m["role"] not in flat for x, z in zip(m["x_in"], m["z_in"], strict=True) if z == pytest.approx(1.5)
    ]
    nails = [p["x_in"] for p in result["nail_positions"] if p["connection_id"] == "bottom-plate-to-floor-face-nail"]
    far = sum(all(x < left - 3 or x > left + 4.5 for left in standing) for x in nails)
    counted = [line["mid_bay_nail_count"] for line in result["connections"] if "mid_bay_nail_count" in line]
    assert counted == ([far] if nails else [])


@pytest.mark.parametrize("asked", WALLS)
def test_totals_of_a_wall_add_up(client: FlaskClient, mild: dict[str, Any], asked: Any) -> None:
    result = post(client, "/v1/wall-plans", {**mild, **asked})["result"]
    lines = sum(line["nail_count"] or 0 for line in result["connections"])
    assert (sum(n["nail_count"] for n in result["nails"]), result["totals"]["framing_nail_count"]) == (lines, lines)
    assert all(len(m["x_in"]) == len(m["z_in"]) == m["member_count"] for m in result["members"])


def test_batch_totals_are_the_sum_of_the_items(client: FlaskClient, mild: dict[str, Any]) -> None:
    items = [{"id": "a", "connection_id": STUD, "joint_count": 10}, {"id": "b", "connection_id": STUD, "joint_count": 7}]
    body = post(client, "/v1/requirements/batch", {"defaults": {**NAIL, **mild}, "items": items})
    assert [(t["nail_id"], t["nail_count"]) for t in body["summary"]["totals"]] == [("smooth-3x0.131", 3 * 17)]
    assert body["summary"]["totals_complete"] is True


def test_engineering_item_leaves_the_totals_incomplete(client: FlaskClient, mild: dict[str, Any]) -> None:
    items = [
        {"id": "a", "connection_id": STUD, "joint_count": 10},
        {"id": "b", "connection_id": STUD, "joint_count": 7, "fire_rated": True},
    ]
    summary = post(client, "/v1/requirements/batch", {"defaults": {**NAIL, **mild}, "items": items})["summary"]
    assert (summary["failed_count"], summary["engineering_required_count"], summary["max_severity"]) == (0, 1, "stop")
    assert summary["totals_complete"] is False
