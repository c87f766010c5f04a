"""Nailing schedules over the wire: lines as single questions and wall plans give them, the best of some nails, refusals, sheets."""

import csv
import io
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.web.examples import example

PATH = "/v1/nailing-schedules"
NAIL, THIN, BOARD = {"nail_designation": "3 x 0.131"}, {"nail_designation": "3 x 0.120"}, {"nail_designation": "8d common"}
NUMBER = ("nail_count_per_joint", "spacing_in", "nail_count_per_group", "group_spacing_in", "edge_spacing_in", "field_spacing_in")
SAME = ("outcome", "outcome_label", "reason", "nail", "provenance", "working", *NUMBER)
WALL = {"length_in": 240, "height_in": 97.125}
SHEATHED = {**WALL, "id": "south", "braced": True, "sheathing": {"thickness_in": 0.4375}}
HALL = {**WALL, "id": "hall", "length_in": 120, "exterior": False, "bearing": False}


def post(client: FlaskClient, asked: Any, status: int = 200, path: str = PATH) -> Any:
    answer = client.post(path, json=asked)
    assert answer.status_code == status, answer.json
    return answer.json


def lines(client: FlaskClient, **asked: Any) -> list[Any]:
    found: list[Any] = post(client, asked)["result"]["lines"]
    return found


def test_each_line_is_the_answer_of_requirements(client: FlaskClient, mild: dict[str, Any]) -> None:
    fields = {"panel_thickness_in": 0.4375, "stud_spacing_in": 16, "braced_wall_panel": True}
    found = lines(client, **mild, **fields, framing_nail=THIN, sheathing_nail=BOARD, groups=["roof", "wall", "floor", "sheathing"])
    assert len(found) > 30
    for line in found:
        panel = line["group"] == "sheathing"
        own = fields if panel else {"braced_wall_panel": True}
        asked = {**mild, **own, **(BOARD if panel else THIN), "connection_id": line["connection_id"]}
        alone = post(client, asked, path="/v1/requirements")["result"]
        assert {k: line.get(k) for k in SAME} == {k: alone.get(k) for k in SAME}


def test_lines_stand_as_on_the_page_and_cite_it(client: FlaskClient) -> None:
    """IRC 2021 Table R602.3(1): studs to studs item 8, plates 13, splice 14, bottom plate 15, stud to plate 17, laps 18."""
    found = {line["connection_id"]: line["row"] for line in lines(client, framing_nail=NAIL)}
    cited = [row for row in found.values() if row and "item" in row]
    assert [int(row.rsplit(" ", 1)[1]) for row in cited] == sorted(int(row.rsplit(" ", 1)[1]) for row in cited)
    assert found["stud-to-plate-end-nail"] == "IRC 2021 Table R602.3(1) item 17"
    assert found["block-to-stud-end-nail"] is None


def test_only_calculated_lines_have_a_working_and_only_refused_ones_a_stop(client: FlaskClient) -> None:
    found = lines(client, framing_nail=THIN)
    assert {line["outcome"] for line in found} >= {"prescriptive", "exceeds_listed", "calculated", "engineering_required"}
    for line in found:
        assert ("working" in line) == (line["outcome"] == "calculated")
        assert (line["stop"] is None) == (line["outcome"] not in ("engineering_required", "no_data"))
        assert line["stop"] is None or line["stop"]["code"] in line["caution_codes"] and line["stop"]["reason"] == line["reason"]


PANELS = {"framing_nail": NAIL, "sheathing_nail": BOARD, "groups": ["sheathing"]}
WOOD = {"wood-panel-to-framing", "exterior-wall-panel-to-framing"}


def test_only_panels_of_the_thickness_that_is_meant_are_listed(client: FlaskClient) -> None:
    """IRC 2021 Table R602.3(1) lists fiberboard of 1/2 and 25/32 in (items 34 to 36) and gypsum of 1/2 and 5/8 in (37): none of 7/16 in."""
    found = {line["connection_id"]: line["outcome"] for line in lines(client, **PANELS, panel_thickness_in=0.4375)}
    assert found.keys() >= WOOD and not found.keys() & {"fiberboard-to-framing", "gypsum-sheathing-to-framing"}
    half = {line["connection_id"] for line in lines(client, **PANELS, panel_thickness_in=0.5)}
    assert half >= {*WOOD, "fiberboard-to-framing", "gypsum-sheathing-to-framing"}


def test_a_thickness_of_no_panel_still_stops(client: FlaskClient) -> None:
    """The thickest panels of IRC 2021 Table R602.3(1), item 33, are 1-1/4 in."""
    found = {line["connection_id"]: line for line in lines(client, **PANELS, panel_thickness_in=1.9)}
    assert found["wood-panel-to-framing"]["outcome"] == "engineering_required" and found["wood-panel-to-framing"]["stop"]


def test_outcomes_are_counted(client: FlaskClient) -> None:
    result = post(client, {"framing_nail": THIN})["result"]
    counted = {o["outcome"]: o["line_count"] for o in result["outcomes"]}
    assert sum(counted.values()) == len(result["lines"])
    assert all(n == sum(line["outcome"] == o for line in result["lines"]) for o, n in counted.items())


def test_a_joint_takes_its_own_nail(client: FlaskClient) -> None:
    own = {"built-up-header-face-nail": {"nail_designation": "16d box"}}
    found = {line["connection_id"]: line["nail"]["id"] for line in lines(client, framing_nail=NAIL, connection_nails=own)}
    assert (found["built-up-header-face-nail"], found["stud-to-plate-end-nail"]) == ("16d-box", "smooth-3x0.131")


def test_of_nails_on_hand_each_joint_takes_the_one_that_substitutions_ranks_first(client: FlaskClient) -> None:
    nails = [{"nail_designation": words} for words in ("2-1/2 x 0.131", "3 x 0.120", "3-1/4 x 0.131", "8d common")]
    joints = post(client, {"nails": nails, "panel_thickness_in": 0.4375}, path="/v1/substitutions")["result"]["connections"]
    best = {joint["connection_id"]: joint["judgements"][0]["nail"]["id"] for joint in joints}
    found = {line["connection_id"]: line["nail"]["id"] for line in lines(client, nails_on_hand=nails, panel_thickness_in=0.4375)}
    assert found == best
    assert len(set(found.values())) > 1


def test_walls_have_the_joints_of_their_plans(client: FlaskClient, mild: dict[str, Any]) -> None:
    nails = {"framing_nail": THIN, "sheathing_nail": BOARD}
    found = lines(client, **mild, **nails, walls=[SHEATHED, HALL])
    for wall in (SHEATHED, HALL):
        plan = post(client, {**mild, **nails, "wall": wall}, path="/v1/wall-plans")["result"]["connections"]
        mine = [line for line in found if wall["id"] in line["walls"]]
        told = sorted((p["connection_id"], p["reason"], p["nail"]["id"]) for p in plan)
        assert sorted((line["connection_id"], line["reason"], line["nail"]["id"]) for line in mine) == told
    assert [line["walls"] for line in found if line["connection_id"] == "stud-to-plate-end-nail"] == [["south", "hall"]]
    assert {line["braced_wall_panel"] for line in found if line["connection_id"] == "bottom-plate-to-floor-face-nail"} == {True, False}


def test_walls_take_the_best_of_the_nails_on_hand(client: FlaskClient) -> None:
    """Only 16d box of the three is listed for header plies; in stud ends 3 x 0.131 takes as many, and its head is not known."""
    boxes = [NAIL, {"nail_designation": "16d box"}, BOARD]
    found = {line["connection_id"]: line for line in lines(client, nails_on_hand=boxes, walls=example("scheduleNailing.walls")["walls"])}
    assert found["built-up-header-face-nail"]["nail"]["id"] == "16d-box"
    assert found["stud-to-plate-end-nail"]["nail"]["id"] == "16d-box"
    assert found["exterior-wall-panel-to-framing"]["nail"]["id"] == "8d-common"


@pytest.mark.parametrize("asked", [{"walls": example("scheduleNailing.walls")["walls"]}, {"groups": ["wall", "roof", "floor"]}])
def test_the_order_of_the_nails_on_hand_does_not_matter(client: FlaskClient, asked: Any) -> None:
    """A law: a shelf has no order. 3 and 3-1/4 x 0.131 take the same number in most joints."""
    shelf = [NAIL, {"nail_designation": "3-1/4 x 0.131"}, {"nail_designation": "16d box"}, {"nail_designation": "16d sinker"}, BOARD]
    assert lines(client, nails_on_hand=shelf, **asked) == lines(client, nails_on_hand=shelf[::-1], **asked)


def test_panels_on_a_treated_plate_keep_one_nail_and_name_both_coatings(client: FlaskClient) -> None:
    slab = {**SHEATHED, "bottom_plate_on": "concrete"}
    found = [line for line in lines(client, framing_nail=NAIL, sheathing_nail=BOARD, walls=[slab]) if line["group"] == "sheathing"]
    assert [(line["nail"]["id"], line["nail"]["coating"]) for line in found] == [
        ("8d-common", "bright"),
        ("8d-common", "hot_dip_galvanized"),
    ]


def test_your_own_closer_spacing_is_the_number(client: FlaskClient) -> None:
    wall = {**SHEATHED, "sheathing": {"thickness_in": 0.4375, "edge_spacing_in": 4}}
    (panel,) = [x for x in lines(client, framing_nail=NAIL, sheathing_nail=BOARD, walls=[wall]) if x["group"] == "sheathing"]
    assert (panel["edge_spacing_in"], panel["field_spacing_in"]) == (4, 12)


def test_a_plate_on_concrete_is_a_line_without_a_number(client: FlaskClient) -> None:
    found = {line["connection_id"]: line for line in lines(client, framing_nail=NAIL, bottom_plate_on="concrete")}
    plate = found["bottom-plate-to-floor-face-nail"]
    assert (plate["outcome"], plate["spacing_in"], plate["stop"]) == ("not_applicable", None, None)
    assert "anchor bolts" in plate["reason"]


def test_a_code_without_a_row_has_no_line(client: FlaskClient) -> None:
    found = [line["connection_id"] for line in lines(client, framing_nail=NAIL, code_edition="ibc-2021")]
    assert "stud-to-plate-end-nail" in found and "stud-to-header-end-nail" not in found


def test_a_building_of_walls_has_the_stories_that_its_highest_wall_tells(client: FlaskClient) -> None:
    high = {**WALL, "id": "low", "stud": "2x6", "supports": "two_stories_and_roof"}
    body = post(client, {"framing_nail": NAIL, "walls": [HALL, high]})
    assert [a["value"] for a in body["meta"]["assumptions"] if a["field"] == "story_count"] == [3]
    (falls,) = [c for c in body["cautions"] if c["code"] == "fall_protection"]
    assert falls["applies_because"] == "story_count is 3" and len(falls["applies_to"]) == len(body["result"]["lines"])


@pytest.mark.parametrize("name", ["scheduleNailing", "scheduleNailing.walls"])
def test_cautions_stand_once_and_each_line_names_those_that_point_at_it(client: FlaskClient, name: str) -> None:
    body = post(client, example(name))
    codes = [c["code"] for c in body["cautions"]]
    assert len(codes) == len(set(codes))
    for i, line in enumerate(body["result"]["lines"]):
        own = {
            c["code"] for c in body["cautions"] for p in c["applies_to"] if p.startswith(f"/result/lines/{i}/") or p == f"/result/lines/{i}"
        }
        assert own == set(line["caution_codes"])


def test_a_sheet_has_one_row_for_each_line(client: FlaskClient) -> None:
    asked = {"framing_nail": THIN, "sheathing_nail": BOARD, "walls": [SHEATHED, HALL]}
    rows = list(csv.DictReader(io.StringIO(client.post(f"{PATH}?format=csv", json=asked).text)))
    found = lines(client, **asked)
    assert [(r["connection_id"], r["walls"]) for r in rows] == [(line["connection_id"], " ".join(line["walls"])) for line in found]
    assert [r["row"] for r in rows] == [line["row"] or "" for line in found]


def test_metric_adds_twins(client: FlaskClient) -> None:
    """12 in are 304.8 mm, in whole millimetres 305."""
    found = {line["connection_id"]: line for line in lines(client, framing_nail=NAIL, units="metric")}
    assert found["top-plate-to-top-plate-face-nail"]["spacing_mm"] == 305


REFUSED = [
    ({}, "#/framing_nail", "missing_field"),
    ({"sheathing_nail": BOARD, "panel_thickness_in": 0.4375}, "#/framing_nail", "missing_field"),
    ({"framing_nail": NAIL, "nails_on_hand": [NAIL]}, "#/framing_nail", "conflicting_fields"),
    ({"framing_nail": NAIL, "panel_thickness_in": 0.4375}, "#/sheathing_nail", "missing_field"),
    ({"framing_nail": NAIL, "sheathing_nail": BOARD}, "#/panel_thickness_in", "missing_field"),
    ({"framing_nail": NAIL, "groups": ["walls"]}, "#/groups/0", "unknown_value"),
    ({"framing_nail": NAIL, "groups": []}, "#/groups", "too_few_items"),
    ({"nails_on_hand": [NAIL] * 11}, "#/nails_on_hand", "too_many_items"),
    ({"nails_on_hand": [NAIL, {"nail_designation": "16d"}]}, "#/nails_on_hand/1/nail_designation", "ambiguous_nail"),
    (
        {"framing_nail": NAIL, "connection_nails": {"stud-to-plate-end-nail": {"nail_id": "17d"}}},
        "#/connection_nails/stud-to-plate-end-nail",
        "unknown_value",
    ),
    ({"framing_nail": NAIL, "walls": [WALL], "stud": "2x6"}, "#/stud", "conflicting_fields"),
    ({"framing_nail": NAIL, "walls": [WALL], "groups": ["wall"]}, "#/groups", "conflicting_fields"),
    ({"framing_nail": NAIL, "walls": [SHEATHED]}, "#/sheathing_nail", "missing_field"),
    ({"framing_nail": NAIL, "walls": [HALL, HALL]}, "#/walls/1/id", "duplicate_id"),
    ({"framing_nail": NAIL, "walls": [WALL, {**WALL, "length_in": 1}]}, "#/walls/1/length_in", "out_of_range"),
    (
        {"framing_nail": NAIL, "walls": [WALL, {**WALL, "intersections": [{"at_in": 400}]}]},
        "#/walls/1/intersections/0",
        "intersection_outside_wall",
    ),
    (
        {"nails_on_hand": [NAIL], "walls": [{**WALL, "intersections": [{"at_in": 400}]}]},
        "#/walls/0/intersections/0",
        "intersection_outside_wall",
    ),
]


@pytest.mark.parametrize(("asked", "pointer", "code"), REFUSED)
def test_a_refusal_names_its_field(client: FlaskClient, asked: Any, pointer: str, code: str) -> None:
    errors = post(client, asked, 422)["errors"]
    assert [e for e in errors if e["pointer"].startswith(pointer) and e["code"] == code], errors


def test_a_fault_of_a_nail_that_all_walls_take_is_said_once(client: FlaskClient) -> None:
    errors = post(client, {"framing_nail": {"nail_designation": "16d"}, "walls": [HALL, {**WALL, "id": "b"}]}, 422)["errors"]
    assert [e["pointer"] for e in errors] == ["#/framing_nail/nail_designation"]


def test_walls_times_nails_are_bounded() -> None:
    small = create_app(Settings(log_level="error", max_members=100)).test_client()
    (error,) = post(small, {"nails_on_hand": [NAIL, THIN], "walls": [{**WALL, "length_in": 1200}]}, 422)["errors"]
    assert (error["code"], error["pointer"], error["limit"], error["setting"]) == ("too_much_work", "#/walls", 100, "APP_MAX_MEMBERS")


def test_a_line_of_nails_that_were_galvanized_says_where_they_go_in(client: FlaskClient) -> None:
    """Bright nails go into the treated plate on a slab hot-dip galvanized (IRC R317.3), and into all other wood as they are."""
    slab = {**SHEATHED, "bottom_plate_on": "concrete"}
    asked = {"framing_nail": NAIL, "sheathing_nail": BOARD, "walls": [slab, HALL]}
    twice = [
        line for line in lines(client, **asked) if line["connection_id"] in ("stud-to-plate-end-nail", "exterior-wall-panel-to-framing")
    ]
    assert [(line["nail"]["coating"], line["place"]) for line in twice] == [
        ("hot_dip_galvanized", "at the treated bottom plate"),
        ("bright", None),
        ("bright", "without the row along the treated plate"),
        ("hot_dip_galvanized", "in the row along the treated plate"),
    ]
    rows = csv.DictReader(io.StringIO(client.post(f"{PATH}?format=csv", json=asked).text))
    assert [r["place"] for r in rows if "galvanized" in r["nail_label"]] == [twice[0]["place"], twice[3]["place"]]
    galvanized = {**NAIL, "coating": "hot_dip_galvanized"}
    alike = lines(client, framing_nail=galvanized, sheathing_nail={**BOARD, "coating": "hot_dip_galvanized"}, walls=[slab])
    assert {line["place"] for line in alike} == {None}


def test_lines_of_one_joint_say_what_they_differ_by(client: FlaskClient, mild: dict[str, Any]) -> None:
    """A toe-nailed header end takes as many as its face has room for: dressed 2x6 and 2x12 are 5-1/2 and 11-1/4 in deep (PS 20)."""
    opening = {"id": "w", "kind": "window", "at_in": 60, "width_in": 36, "sill_height_in": 36, "head_height_in": 78}
    walls = [
        {**WALL, "id": size, "stud": "2x6", "openings": [{**opening, "header": {"ply_count": 2, "nominal": size}}]}
        for size in ("2x6", "2x12")
    ]
    asked = {**mild, "code_edition": "ibc-2021", "framing_nail": {"nail_designation": "2-3/8 x 0.113"}, "walls": walls}
    ends = [line for line in lines(client, **asked) if line["connection_id"] == "header-to-stud-toe-nail"]
    assert sorted((line["judged_for"][0], *line["walls"]) for line in ends) == [
        ("toe nail into a face of 11-1/4 in", "2x12"),
        ("toe nail into a face of 5-1/2 in", "2x6"),
    ]
    found = lines(
        client, **mild, framing_nail=NAIL, sheathing_nail=BOARD, groups=["wall", "sheathing"], panel_thickness_in=0.5, spacer_in=0.5
    )
    said = {line["connection_id"]: line["judged_for"] for line in found}
    assert said["stud-to-plate-end-nail"] == []
    assert said["wood-panel-to-framing"] == ["panel 0.5 in", "framing at 16 in", "wall"]
    assert "0.5 in between the pieces" in said["built-up-header-face-nail"]
    metric = {**asked, "units": "metric"}
    assert "toe nail into a face of 139.7 mm" in str(lines(client, **metric))  # 5-1/2 x 25.4
