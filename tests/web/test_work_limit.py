"""A limit on work, not only on items: refused before the work is done, with limit and what was asked for."""

from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings

NAIL = {"framing_nail": {"nail_designation": "3 x 0.131"}}
LONG = {"length_in": 1200, "height_in": 97.125, "stud_spacing_in": 12}


def limited(**settings: int) -> FlaskClient:
    return create_app(Settings(log_level="error", **settings)).test_client()


def refusal(answer: Any, setting: str, limit: int) -> dict[str, Any]:
    assert answer.status_code == 422, answer.json
    (error,) = answer.json["errors"]
    assert (error["code"], error["limit"], error["setting"]) == ("too_much_work", limit, setting)
    assert error["received"] > limit
    return error


def test_a_wall_of_too_many_sticks_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    def boom(*args: Any) -> None:
        raise AssertionError("the wall was planned before it was refused")

    monkeypatch.setattr("service.web.handlers.walls.plan_wall", boom)
    error = refusal(limited(max_members=100).post("/v1/wall-plans", json={**NAIL, "wall": LONG}), "APP_MAX_MEMBERS", 100)
    assert error["pointer"] == "#/wall"


def test_walls_of_a_batch_are_added_up_before_the_first_is_planned() -> None:
    items = [{"id": f"w{i}", "wall": {"length_in": 96, "height_in": 97.125}} for i in range(10)]
    small = limited(max_members=100)
    assert small.post("/v1/wall-plans/batch", json={"defaults": NAIL, "items": items[:4]}).status_code == 200
    error = refusal(small.post("/v1/wall-plans/batch", json={"defaults": NAIL, "items": items}), "APP_MAX_MEMBERS", 100)
    assert error["pointer"] == "#/items"


def test_more_located_nails_than_a_call_may_ask_for_are_refused() -> None:
    few, asked = limited(max_positions=500), {**NAIL, "wall": {**LONG, "stud_spacing_in": 16}}
    assert few.post("/v1/wall-plans", json=asked).status_code == 200
    error = refusal(few.post("/v1/wall-plans", json={**asked, "include": ["positions"]}), "APP_MAX_POSITIONS", 500)
    assert error["pointer"] == "#/include"


def test_the_limits_in_force_are_shown() -> None:
    shown = {row["setting"]: row["value"] for row in limited(max_members=123, max_positions=4567).get("/v1/limits").json["items"]}
    assert (shown["APP_MAX_MEMBERS"], shown["APP_MAX_POSITIONS"]) == (123, 4567)


def test_faulty_items_that_share_a_default_show_its_candidates_once(client: FlaskClient) -> None:
    items = [{"id": f"j{i}", "connection_id": "stud-to-plate-end-nail"} for i in range(3)]
    answer = client.post("/v1/requirements/batch", json={"defaults": {"nail_designation": "16d"}, "items": items})
    errors = [entry["problem"]["errors"][0] for entry in answer.json["results"]]
    assert [e["pointer"] for e in errors] == ["#/defaults/nail_designation"] * 3
    assert ["candidates" in e for e in errors] == [True, False, False]
