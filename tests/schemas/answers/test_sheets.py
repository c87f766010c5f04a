"""Spreadsheets: one header line, a row per requirement, nothing a sheet would run."""

import csv
import io
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.schemas.answers.declare import Shape, say
from service.schemas.answers.sheets import HEAD, JOINT_SHEET, WALL_SHEETS, Sheet, _cell

JOINT = {"connection_id": "stud-to-plate-end-nail", "nail_designation": "3 x 0.131", "joint_count": 10}
WALL = {"framing_nail": {"nail_designation": "3 x 0.131"}, "wall": {"id": "a", "length_in": 96, "height_in": 97.125}}


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


@pytest.mark.parametrize("table", WALL_SHEETS)
def test_a_wall_has_its_tables(client: FlaskClient, table: str) -> None:
    plan = client.post("/v1/wall-plans", json=WALL).json["result"]
    found = rows(client.post(f"/v1/wall-plans?format=csv&table={table}", json=WALL).text)
    assert len(found) == len(plan[table])
    assert tuple(found[0]) == (*HEAD, *WALL_SHEETS[table].columns)
    assert {row["id"] for row in found} == {"a"}


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
    ("value", "cell"), [("=1+1", "'=1+1"), ("+a", "'+a"), ("-a", "'-a"), ("@a", "'@a"), ("\ta", "'\ta"), ("a=", "a="), (-1, -1), (None, "")]
)
def test_text_that_a_sheet_would_run_is_quoted(value: Any, cell: Any) -> None:
    assert _cell(value) == cell
