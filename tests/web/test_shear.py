"""Shear capacities over the wire: query and body, refusals that name their field, factors, sheets, and a corrected page."""

import csv
import io
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.domain.building.shear import judge_shear
from service.schemas.asks.shear import read_shear
from service.tables.book import HERE, open_book

PATH = "/v1/shear-capacities"
WALL: dict[str, Any] = {
    "panel_thickness_in": 0.4375,
    "nail_id": "8d-common",
    "edge_spacing_in": 4,
    "load": "wind",
    "blocked": True,
    "species": "douglas-fir-larch",
    "wall_length_ft": 3,
    "wall_height_ft": 9,
}
BOARD: dict[str, Any] = {
    "material": "gypsum_wallboard",
    "fastener": "5d-cooler",
    "panel_thickness_in": 0.5,
    "edge_spacing_in": 7,
    "field_spacing_in": 7,
    "wall_length_ft": 12,
    "wall_height_ft": 8,
}
NUMBERS = ("nominal_plf", "asd_plf", "lrfd_plf", "asd_lb", "lrfd_lb")


def post(client: FlaskClient, asked: Any, status: int = 200) -> Any:
    answer = client.post(PATH, json=asked)
    assert answer.status_code == status, answer.json
    return answer.json


def test_a_slender_panel_with_its_factors_and_arithmetic(client: FlaskClient) -> None:
    """By hand: h/b 3, 1.25 - 0.125 x 3 = 0.875 (from memory); 980 x 0.875 / 2.0 = 428.75, x 0.80 = 686 plf; x 3 ft 1286.25, 2058 lb."""
    result = post(client, WALL)["result"]
    assert [result[n] for n in NUMBERS] == [980, 428.75, 686, 1286.25, 2058]
    factors = {f["name"]: f for f in result["factors"]}
    assert {n: (f["applies_to"], f["value"]) for n, f in factors.items()} == {
        "aspect_ratio": ("nominal", 0.875),
        "asd_divisor": ("asd", 2),
        "lrfd_factor": ("lrfd", 0.8),
    }
    assert all(f["applies_because"] and f["provenance"]["code"] == "SDPWS" for f in factors.values())
    assert factors["aspect_ratio"]["provenance"]["section"] == "4.3.4.2"
    for said in ("980 plf", "0.875 (aspect ratio)", "/ 2 = 428.75 plf", "x 0.8 = 686 plf", "3 ft"):
        assert said in result["basis"]
    assert "8d common (2-1/2 x 0.131)" in result["reason"] and "428.8 plf against wind" in result["reason"]


def test_a_query_is_answered_as_a_body(client: FlaskClient) -> None:
    query = {k: str(v).lower() if isinstance(v, bool) else v for k, v in WALL.items()}
    assert client.get(PATH, query_string=query).json == post(client, WALL)


def test_what_was_assumed_is_said_and_nothing_that_has_no_say(client: FlaskClient) -> None:
    bare = {k: v for k, v in WALL.items() if k not in ("load", "blocked", "species")}
    assumed = {a["field"]: a["value"] for a in post(client, {**bare, "wall_length_ft": 8})["meta"]["assumptions"]}
    assert assumed == {
        "material": "wood_structural_panel",
        "panel_grade": "sheathing",
        "panel_across_studs": False,
        "material_between_in": 0,
        "species": "spruce-pine-fir",
        "load": "seismic",
        "sdpws_edition": "sdpws-2015",
        "seismic_design_category": "B",
        "blocked": False,
        "stud_spacing_in": 24,
        "head": "full_round",
        "coating": "bright",
    }
    board = {a["field"] for a in post(client, BOARD)["meta"]["assumptions"]}
    assert board == {"load", "sdpws_edition", "seismic_design_category", "blocked", "stud_spacing_in"}


def test_past_a_limit_every_number_is_null_and_the_stop_points_at_them(client: FlaskClient) -> None:
    body = post(client, {**WALL, "wall_length_ft": 2})
    assert body["result"]["outcome"] == "engineering_required"
    assert [body["result"][n] for n in NUMBERS] == [None] * len(NUMBERS)
    assert body["result"]["nominal_provenance"] is None
    stop = body["cautions"][0]
    assert (stop["code"], stop["severity"]) == ("engineering_required_scope", "stop")
    assert stop["applies_to"] == [f"/result/{n}" for n in NUMBERS]
    assert body["result"]["least_wall_length_ft"] == 2.58  # 9 / 3.5 = 2.5714, up to 0.01
    assert body["result"]["provenance"]["table"] == "4.3.4"


def test_gypsum_has_a_fastener_in_place_of_a_nail(client: FlaskClient) -> None:
    """Table 4.3C (from memory): 1/2 in wallboard, 5d cooler nails at 7 in, studs 24 in, no blocking: 150; / 2.0 = 75 plf."""
    result = post(client, BOARD)["result"]
    assert (result["nail"], result["nail_row"], result["fastener_label"]) == (None, None, "5d cooler nail")
    assert (result["nominal_plf"], result["asd_plf"]) == (150, 75)
    held = post(client, {**BOARD, "sdpws_edition": "sdpws-2021"})
    assert (held["result"]["outcome"], held["cautions"][0]["code"]) == ("no_data", "value_not_held")


REFUSED: list[tuple[dict[str, Any], dict[str, Any], str, str]] = [
    (WALL, {"panel_thickness_in": None}, "#/panel_thickness_in", "wrong_type"),
    (WALL, {"panel_thickness_in": 3}, "#/panel_thickness_in", "out_of_range"),
    (WALL, {"edge_spacing_in": 0}, "#/edge_spacing_in", "out_of_range"),
    (WALL, {"wall_length_ft": 0.1}, "#/wall_length_ft", "out_of_range"),
    (WALL, {"wall_height_m": 3}, "#/wall_height_ft", "conflicting_units"),
    (WALL, {"load": "snow"}, "#/load", "unknown_value"),
    (WALL, {"sdpws_edition": "sdpws-2008"}, "#/sdpws_edition", "unknown_value"),
    (WALL, {"fastener": "5d-cooler"}, "#/fastener", "conflicting_fields"),
    (WALL, {"panel_width_in": 48}, "#/panel_width_in", "conflicting_fields"),
    (WALL, {"nail_designation": "8d common"}, "#/nail_id", "conflicting_fields"),
    (BOARD, {"nail_id": "8d-common"}, "#/nail_id", "conflicting_fields"),
    (BOARD, {"head_diameter_in": 0.281}, "#/head_diameter_in", "conflicting_fields"),
    (BOARD, {"panel_grade": "structural_1"}, "#/panel_grade", "conflicting_fields"),
    (BOARD, {"hold_downs_inside": False}, "#/hold_downs_inside", "conflicting_fields"),
    (BOARD, {"panel_width_in": 48}, "#/panel_width_in", "conflicting_fields"),
    (BOARD, {"fastener": "6d-galvanized"}, "#/fastener", "conflicting_fields"),
]


@pytest.mark.parametrize(("base", "more", "pointer", "code"), REFUSED)
def test_a_refusal_names_its_field(client: FlaskClient, base: Any, more: Any, pointer: str, code: str) -> None:
    errors = post(client, {**base, **more}, 422)["errors"]
    assert (pointer, code) in [(e["pointer"], e["code"]) for e in errors]


NEEDED = [*((WALL, n) for n in ("panel_thickness_in", "nail_id", "edge_spacing_in", "wall_length_ft", "wall_height_ft"))]
NEEDED += [(BOARD, n) for n in ("fastener", "field_spacing_in", "edge_spacing_in")]


@pytest.mark.parametrize(("base", "name"), NEEDED)
def test_what_is_needed_is_asked_for(client: FlaskClient, base: Any, name: str) -> None:
    (error,) = post(client, {k: v for k, v in base.items() if k != name}, 422)["errors"]
    assert (error["pointer"], error["code"]) == (f"#/{name}", "missing_field")


def test_metric_questions_are_the_same_questions(client: FlaskClient) -> None:
    """7/16 in is 11.1125 mm, 3 ft 0.9144 m, 9 ft 2.7432 m (1 in = 25.4 mm exactly)."""
    metric = {k: v for k, v in WALL.items() if k not in ("panel_thickness_in", "wall_length_ft", "wall_height_ft")}
    metric |= {"panel_thickness_mm": 11.1125, "wall_length_m": 0.9144, "wall_height_m": 2.7432}
    assert post(client, metric)["result"] == post(client, WALL)["result"]
    found = post(client, {**metric, "units": "metric"})["result"]
    assert (found["edge_spacing_mm"], found["asd_plf"]) == (102, 428.75)
    assert "101.6 mm apart" in found["reason"]
    assert not [name for name in found if name.endswith("_kg")]


@pytest.mark.parametrize(("asked", "name"), [(WALL, "8d common (2-1/2 x 0.131)"), (BOARD, "")])
def test_a_sheet_has_the_numbers(client: FlaskClient, asked: Any, name: str) -> None:
    (row,) = csv.DictReader(io.StringIO(client.post(f"{PATH}?format=csv", json=asked).text))
    result = post(client, asked)["result"]
    assert (row["nail_label"], float(row["asd_plf"]), row["reason"]) == (name, result["asd_plf"], result["reason"])


@pytest.fixture
def root(tmp_path: Path) -> Path:
    ignored = shutil.ignore_patterns("__pycache__", "*.py")
    return Path(shutil.copytree(HERE, tmp_path / "tables", ignore=ignored))


def edit(root: Path, name: str, change: Callable[[str], str]) -> None:
    old = (root / name).read_text(encoding="utf-8")
    new = change(old)
    assert new != old
    (root / name).write_text(new, encoding="utf-8")


def test_a_corrected_page_is_a_table_and_nothing_else(root: Path) -> None:
    """Were a page of 2021 read at last: the value, its confidence and the open gypsum rows follow from the tables alone."""
    both = "sdpws-2015 sdpws-2021"
    edit(
        root,
        "sdpws_panels.csv",
        lambda t: t.replace("670 980 1260 1640,0.46875,Table 4.3A,memory", "670 985 1260 1640,,Table 4.3A,verified"),
    )
    edit(root, "sdpws_nail_rows.csv", lambda t: t.replace("memory", "verified"))
    edit(root, "sdpws_gypsum.csv", lambda t: t.replace(f"{both},sdpws-2015,", f"{both},{both},"))
    corrected = open_book.__wrapped__(root, False)
    wall, board = ({**w, "sdpws_edition": "sdpws-2021", "load": "seismic"} for w in (WALL, BOARD))
    before, after = (judge_shear(read_shear(wall, book).wall, book).nominal for book in (open_book(), corrected))
    assert before and after
    assert [(n.plf, n.confidence) for n in (before, after)] == [(980, "memory"), (985, "verified")]
    not_held, held = (judge_shear(read_shear(board, book).wall, book).nominal for book in (open_book(), corrected))
    assert not_held is None
    assert held and held.plf == 150
