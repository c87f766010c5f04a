"""Spreadsheets: one header line, a row per requirement, nothing a sheet would run."""

import csv
import io
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.schemas.answers.cells import cell
from service.schemas.answers.declare import Shape, say
from service.schemas.answers.sheets import HEAD, JOINT_SHEET, Sheet
from service.schemas.answers.wall_sheets import WALL_SHEETS

JOINT = {"connection_id": "stud-to-plate-end-nail", "nail_designation": "3 x 0.131", "joint_count": 10}
WALL = {
    "framing_nail": {"nail_designation": "3 x 0.131"},
    "sheathing_nail": {"nail_id": "8d-common"},
    "wall": {
        "id": "a",
        "length_in": 96,
        "height_in": 97.125,
        "sheathing": {"thickness_in": 0.4375},
        "openings": [
            {
                "id": "w",
                "kind": "window",
                "at_in": 30,
                "width_in": 36,
                "sill_height_in": 40,
                "head_height_in": 80,
                "header": {"nominal": "2x8"},
            }
        ],
    },
}


def rows(text: str) -> list[dict[str, str]]:
    assert text.endswith("\r\n")
    assert text.count("\r\n") == text.count("\n")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_a_joint_is_one_row(client: FlaskClient) -> None:
    answer = client.get("/v1/requirements", query_string={**JOINT, "format": "csv"})
    assert answer.headers["Content-Type"] == "text/csv; charset=utf-8; header=present"
    (row,) = rows(answer.text)
    assert tuple(row) == (*HEAD, *JOINT_SHEET.columns)
    # IRC 2021 Table R602.3(1) item 17: 3 of 3 x 0.131 each end
    assert (row["nail_count_per_joint"], row["nail_count"], row["item"]) == ("3", "30", "17")


def test_accept_chooses_the_sheet_and_format_overrides_it(client: FlaskClient) -> None:
    asked = {"Accept": "text/csv;q=0.9, application/json;q=0.5"}
    assert client.post("/v1/requirements", json=JOINT, headers=asked).mimetype == "text/csv"
    assert client.post("/v1/requirements?format=json", json=JOINT, headers=asked).mimetype == "application/json"


def test_a_bad_item_is_a_row_with_its_error(client: FlaskClient) -> None:
    batch = {"items": [{"id": "good", **JOINT}, {"id": "bad", "connection_id": "stud-to-plate-end-nail", "nail_designation": "16d"}]}
    good, bad = rows(client.post("/v1/requirements/batch?format=csv", json=batch).text)
    assert (good["id"], good["item_status"], good["error_code"]) == ("good", "200", "")
    assert (bad["id"], bad["item_status"], bad["error_code"]) == ("bad", "422", "ambiguous_nail")
    assert (bad["error_field"], bad["error_detail"][:8]) == ("#/items/1/nail_designation", "'16d' na")


def test_a_refused_row_counts_the_errors_it_does_not_show(client: FlaskClient) -> None:
    batch = {"items": [{"id": "bad", "connection_id": "stud", "nail_id": "16d-common", "exposure": "E"}]}
    (bad,) = rows(client.post("/v1/requirements/batch?format=csv", json=batch).text)
    assert (bad["error_code"], bad["error_detail"].endswith("(and 1 more)")) == ("unknown_value", True)


@pytest.mark.parametrize("table", WALL_SHEETS)
def test_a_wall_has_its_tables(client: FlaskClient, table: str) -> None:
    body = client.post("/v1/wall-plans", json=WALL).json
    plan = {
        **body["result"],
        "notes": [*body["cautions"], *body["result"]["load_path"], *body["result"]["notes"], *body["meta"]["assumptions"]],
    }
    found = rows(client.post(f"/v1/wall-plans?format=csv&table={table}", json=WALL).text)
    assert len(found) == len(plan[table]) > 0
    assert tuple(found[0]) == (*HEAD, *WALL_SHEETS[table].columns)
    assert {row["id"] for row in found} == {"a"}


def test_panels_come_with_the_sheet_they_are_cut_from(client: FlaskClient) -> None:
    """8 ft of wall: two sheets 4 ft wide; 97-1/8 in is the smallest stock that covers it. IRC 2021 Table R602.3(3): 8d common 6/12."""
    result = client.post("/v1/wall-plans", json=WALL).json["result"]
    (size,) = result["sheets"]
    assert (size["panel_width_in"], size["panel_length_in"], size["thickness_in"], size["sheet_count"]) == (48, 97.125, 0.4375, 2)
    assert size["label"] == "48 x 97-1/8 x 7/16 in"
    first, second = rows(client.post("/v1/wall-plans?format=csv&table=panels", json=WALL).text)
    assert [(r["panel_index"], r["x_in"], r["width_in"], r["panel_length_in"], r["edge_spacing_in"]) for r in (first, second)] == [
        ("0", "0", "48", "97.125", "6"),
        ("1", "48", "48", "97.125", "6"),
    ]
    assert (first["cut_outs"], second["cut_outs"]) == ("18 x 40 in at 30, 40 in", "18 x 40 in at 48, 40 in")
    assert [int(r["nail_count"]) for r in (first, second)] == [p["nail_count"] for p in result["panels"]]


def test_notes_hold_what_stands_beside_the_numbers(client: FlaskClient) -> None:
    body = client.post("/v1/wall-plans", json=WALL).json
    found = rows(client.post("/v1/wall-plans?format=csv&table=notes", json=WALL).text)
    assert [r["code"] for r in found if r["kind"] == "caution"] == [c["code"] for c in body["cautions"]]
    assert [r["text"] for r in found if r["kind"] == "note"] == body["result"]["notes"]
    assert {"braced: false", "wall.braced: false"} & {r["text"] for r in found if r["kind"] == "assumption"}


def test_a_wall_without_panels_has_no_row_of_them(client: FlaskClient) -> None:
    bare = {**WALL, "wall": {**WALL["wall"], "sheathing": None}}
    assert rows(client.post("/v1/wall-plans?format=csv&table=panels", json=bare).text) == []
    assert client.post("/v1/wall-plans", json=bare).json["result"]["sheets"] == []


@pytest.mark.parametrize("table", WALL_SHEETS)
def test_metric_sheets_have_the_twins_of_the_answer_beside_the_us_columns(client: FlaskClient, table: str) -> None:
    us = rows(client.post(f"/v1/wall-plans?format=csv&table={table}", json=WALL).text)
    metric = rows(client.post(f"/v1/wall-plans?format=csv&table={table}", json={**WALL, "units": "metric"}).text)
    numbers = [c for c in us[0] if c.endswith(("_in", "_ft", "_lb"))]
    assert [{c: r[c] for c in numbers} for r in metric] == [{c: r[c] for c in numbers} for r in us]
    for column in [c for c in numbers if c.endswith("_in")]:
        twin = column.removesuffix("_in") + "_mm"
        for row in metric:  # 1 in is 25.4 mm (NIST SP 811, appendix B.8); whole or hundredths of a millimeter
            assert [float(v) for v in row[twin].split()] == pytest.approx([float(v) * 25.4 for v in row[column].split()], abs=0.5)


def test_a_metric_joint_sheet_says_its_sentences_in_millimeters(client: FlaskClient) -> None:
    asked = {"connection_id": "top-plate-to-top-plate-face-nail", "nail_designation": "3 x 0.131", "units": "metric", "format": "csv"}
    (row,) = rows(client.get("/v1/requirements", query_string=asked).text)
    assert (row["spacing_in"], row["spacing_mm"], row["nail_length_mm"]) == ("12", "305", "76")
    assert row["reason"] == "listed for this joint: a nail every 304.8 mm"


def test_a_wall_without_numbers_is_a_row_of_the_nails(client: FlaskClient) -> None:
    """IRC Table R602.3(5) ends at 10 ft; who adds up the column must see that this wall is not in it."""
    (tall,) = rows(client.post("/v1/wall-plans?format=csv&table=nails", json={**WALL, "wall": {**WALL["wall"], "height_in": 140}}).text)
    assert (tall["id"], tall["nail_id"], tall["nail_count"], tall["totals_complete"], tall["max_severity"]) == (
        "a",
        "",
        "",
        "False",
        "stop",
    )
    for row in rows(client.post("/v1/wall-plans?format=csv&table=nails", json=WALL).text):
        assert (row["totals_complete"], row["nail_count"] > "0") == ("True", True)


def test_a_column_that_no_answer_declares_is_refused() -> None:
    shape = type("ThingShape", (Shape,), {"name": say()})
    Sheet(shape, {"name": "name"}, lambda answered: ())
    with pytest.raises(TypeError, match="declares no field size"):
        Sheet(shape, {"size": "size"}, lambda answered: ())


def test_an_unknown_table_is_refused_by_parameter(client: FlaskClient) -> None:
    answer = client.post("/v1/wall-plans?format=csv&table=studs", json=WALL)
    assert (answer.status_code, answer.json["errors"][0]["parameter"]) == (422, "table")


@pytest.mark.parametrize(
    ("value", "written"),
    [("=1+1", "'=1+1"), ("+a", "'+a"), ("-a", "'-a"), ("@a", "'@a"), ("\ta", "'\ta"), ("a=", "a="), (-1, -1), (None, "")],
)
def test_text_that_a_sheet_would_run_is_quoted(value: Any, written: Any) -> None:
    assert cell(value) == written


# what spreadsheets make of such text when a file is opened: .ci/sheets opens them in one
@pytest.mark.parametrize(
    "text", "2304.10 007 1e5 1,234 5% .5 1.50 7/16 3-1/2 3-4 2026-03-04 10:30 mar-4 4-Mar TRUE $5 (5) 1234567890123456".split()
)
def test_text_that_a_sheet_would_show_as_something_else_is_quoted(text: str) -> None:
    assert cell(text) == f"'{text}"


@pytest.mark.parametrize(
    "text", ["17", "12.2", "0.5", "12.2, 12.3", "2x4", "R602.3(1)", "7/16 in", "48 x 96", "south-1", "decor-1", "a", "10d", "12 3"]
)
def test_text_that_a_sheet_shows_as_it_is_stays(text: str) -> None:
    assert cell(text) == text


@pytest.mark.parametrize(("value", "written"), [(["-a", "b"], "'-a b"), (["1e5"], "'1e5"), ([-12.5, 36], "-12.5 36"), ([12], "12")])
def test_a_list_is_quoted_where_it_is_text(value: Any, written: str) -> None:
    assert cell(value) == written
