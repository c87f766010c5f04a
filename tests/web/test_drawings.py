"""Pictures over HTTP: asked for as any other form, kept as any other answer, and bounded as located nails are."""

from typing import Any
from xml.etree import ElementTree

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.web.examples import example

PATH = "/v1/wall-plans"
SVG = "image/svg+xml"
PLAIN = {"length_in": 144, "height_in": 97.125, "nail_designation": "3 x 0.131", "wind_speed_mph": 115, "exposure": "B"}
BODY = {
    "framing_nail": {"nail_designation": "3 x 0.131"},
    "wind_speed_mph": 115,
    "exposure": "B",
    "wall": {"length_in": 144, "height_in": 97.125},
}


@pytest.mark.parametrize(
    ("query", "accept"),
    [("?format=svg", "*/*"), ("?format=svg", "application/json"), ("", SVG), ("", f"text/html, {SVG};q=0.9"), ("", "image/*")],
)
def test_a_picture_is_asked_for_by_form_or_by_accept(client: FlaskClient, query: str, accept: str) -> None:
    answer = client.post(f"{PATH}{query}", json=BODY, headers={"Accept": accept})
    assert (answer.status_code, answer.content_type) == (200, SVG)
    assert (answer.headers["Content-Disposition"], answer.headers["Cache-Control"]) == ('inline; filename="wall-plans.svg"', "no-store")
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")
    assert ElementTree.fromstring(answer.data).tag.endswith("svg")


@pytest.mark.parametrize("accept", ["*/*", "application/json", f"application/json, {SVG};q=0.5", "text/csv;q=0.1, */*;q=0.5"])
def test_json_stays_the_usual_form(client: FlaskClient, accept: str) -> None:
    assert client.post(PATH, json=BODY, headers={"Accept": accept}).content_type == "application/json"


def test_get_and_post_draw_the_same_wall(client: FlaskClient) -> None:
    got = client.get(PATH, query_string={**PLAIN, "format": "svg"})
    assert got.status_code == 200
    assert got.data == client.post(f"{PATH}?format=svg", json=BODY).data


def test_a_picture_has_its_own_tag_and_is_not_sent_again(client: FlaskClient) -> None:
    asked = {**PLAIN, "format": "svg"}
    first = client.get(PATH, query_string=asked)
    assert first.headers["ETag"] != client.get(PATH, query_string=PLAIN).headers["ETag"]
    again = client.get(PATH, query_string=asked, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    head = client.head(PATH, query_string=asked)
    assert (head.status_code, head.data, head.headers["ETag"]) == (200, b"", first.headers["ETag"])
    assert head.headers["Content-Length"] == str(len(first.data)) and head.content_type == SVG


def test_metric_lengths_stand_in_millimeters(client: FlaskClient) -> None:
    said = client.post(f"{PATH}?format=svg", json={**BODY, "units": "metric"}).text
    assert "3657.6 mm long" in said and "Lengths in millimeters" in said and " in long" not in said


def test_a_wall_that_cannot_be_built_is_a_problem_document(client: FlaskClient) -> None:
    answer = client.post(f"{PATH}?format=svg", json={**BODY, "wall": {"length_in": 1}})
    assert (answer.status_code, answer.content_type) == (422, "application/problem+json")


@pytest.mark.parametrize("path", ["/v1/requirements", "/v1/wall-plans/batch", "/v1/takeoffs"])
def test_no_picture_where_none_is_offered(client: FlaskClient, path: str) -> None:
    refused = client.post(path, json={}, headers={"Accept": SVG})
    assert refused.status_code == 406 and SVG not in refused.json["detail"]
    (error,) = client.post(f"{path}?format=svg", json={}).json["errors"]
    assert (error["code"], error["detail"]) == ("unknown_value", "must be one of json, csv")


def test_a_refusal_lists_every_form(client: FlaskClient) -> None:
    refused = client.post(PATH, json=BODY, headers={"Accept": "image/png"})
    assert refused.status_code == 406
    assert all(form in refused.json["detail"] for form in ("application/json", "text/csv", SVG))


@pytest.mark.parametrize(("method", "place"), [("POST", {"pointer": "#/wall"}), ("GET", {"parameter": "length_in"})])
def test_nails_are_located_within_the_limit_alone(monkeypatch: pytest.MonkeyPatch, method: str, place: dict[str, str]) -> None:
    def boom(*args: Any) -> None:
        raise AssertionError("the wall was drawn before it was refused")

    monkeypatch.setattr("service.web.handlers.walls.draw_wall", boom)
    few = create_app(Settings(log_level="error", max_positions=50)).test_client()
    more: dict[str, Any] = (
        {"json": BODY, "query_string": {"format": "svg"}} if method == "POST" else {"query_string": {**PLAIN, "format": "svg"}}
    )
    answer = few.open(PATH, method=method, **more)
    assert answer.status_code == 422
    (error,) = answer.json["errors"]
    assert (error["code"], error["limit"], error["setting"]) == ("too_much_work", 50, "APP_MAX_POSITIONS")
    assert place.items() <= error.items()


@pytest.mark.parametrize("name", ["a<b", 'a"b', "a&b", "</svg>"])
def test_what_a_caller_typed_cannot_become_a_part_of_the_picture(client: FlaskClient, name: str) -> None:
    asked = example("house-south")
    assert client.post(f"{PATH}?format=svg", json={**asked, "wall": {**asked["wall"], "id": name}}).status_code == 422
    drawn = client.post(f"{PATH}?format=svg", json=asked).text
    assert "Wall south" in drawn and "door front-door" in drawn


JOINT = "/v1/connections/stud-to-plate-end-nail"


def test_a_joint_is_drawn_with_the_first_nail_its_row_lists_or_the_one_named(client: FlaskClient) -> None:
    """IRC 2021 Table R602.3(1) item 17: first 3 of 16d box; 3 of 3 x 0.131 too."""
    first = client.get(JOINT, headers={"Accept": SVG})
    assert (first.status_code, first.content_type, first.headers["Content-Disposition"]) == (200, SVG, 'inline; filename="connections.svg"')
    assert "16d box (3-1/2 x 0.135): 3 nails" in first.text
    by_words, by_id = (
        client.get(f"{JOINT}?format=svg&{n}").text for n in ("nail_designation=3+x+0.131", "nail_id=smooth-3x0.131&units=metric")
    )
    assert "3 x 0.131" in by_words and ": 3 nails each end" in by_words and "304.8 mm" in by_id


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("nail_designation=16d", "ambiguous_nail"),
        ("nail_id=no-such-nail", "unknown_value"),
        ("nail_id=16d-common&nail_designation=16d+common", "conflicting_fields"),
        ("nails=3", "unknown_field"),
    ],
)
def test_a_nail_that_cannot_be_read_is_refused(client: FlaskClient, query: str, code: str) -> None:
    answer = client.get(f"{JOINT}?format=svg&{query}")
    assert answer.status_code == 422 and answer.json["errors"][0]["code"] == code
    assert answer.json["errors"][0]["parameter"]


def test_a_row_without_a_nail_asks_for_one(client: FlaskClient) -> None:
    heel = "/v1/connections/heel-joint-face-nail?format=svg"
    assert client.get(heel).json["errors"][0]["parameter"] == "nail_designation"
    assert "no number" in client.get(f"{heel}&nail_designation=16d+common").text


def test_the_json_of_a_joint_is_of_the_joint_alone(client: FlaskClient) -> None:
    assert client.get(f"{JOINT}?nail_designation=3+x+0.131").json == client.get(JOINT).json
    assert client.get("/v1/connections/no-such-joint?format=svg").status_code == 404


PDF = "application/pdf"


def test_a_crew_sheet_is_asked_for_as_any_other_form(client: FlaskClient) -> None:
    by_form = client.post(f"{PATH}?format=pdf", json=BODY)
    by_accept = client.post(PATH, json=BODY, headers={"Accept": PDF})
    assert (by_form.status_code, by_form.content_type) == (200, PDF)
    assert by_form.headers["Content-Disposition"] == 'inline; filename="wall-plans.pdf"'
    assert by_form.data == by_accept.data and by_form.data.startswith(b"%PDF-")
    got = client.get(PATH, query_string={**PLAIN, "format": "pdf"})
    assert got.data == by_form.data and got.headers["ETag"]
    again = client.get(PATH, query_string={**PLAIN, "format": "pdf"}, headers={"If-None-Match": got.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_a_crew_sheet_locates_nails_within_the_limit(client: FlaskClient) -> None:
    few = create_app(Settings(log_level="error", max_positions=50)).test_client()
    assert few.post(f"{PATH}?format=pdf", json=BODY).json["errors"][0]["code"] == "too_much_work"
