"""Sentences in the units asked; 1 in = 25.4 mm, 1 mi = 1609.344 m and 1 lb = 0.45359237 kg exactly (NIST SP 811, appendix B.8)."""

import json

import pytest
from flask.testing import FlaskClient

from service.said import plain, say_feet, say_fraction, say_length, say_speed, say_weight, worded
from service.schemas.answers.cells import cell
from service.ticks import ticks


@pytest.mark.parametrize(
    ("marked", "us", "metric"),
    [
        (say_length(ticks(16)), "16 in", "406.4 mm"),
        (say_length(ticks("0.131")), "0.131 in", "3.33 mm"),
        (say_length(ticks(-1), ticks(43), between=" to "), "-1 to 43 in", "-25.4 to 1092.2 mm"),
        (say_length(ticks(3), ticks(4)), "3, 4 in", "76.2, 101.6 mm"),
        (say_length(ticks("1.2549"), form="3"), "1.25 in", "31.87 mm"),
        (say_fraction(ticks("3.5")), "3-1/2 in", "88.9 mm"),
        (say_length(ticks(96), form="6"), "96", "2438.4"),
        (say_feet(ticks(288)), "24 ft", "7.32 m"),
        (say_speed("115"), "115 mph", "51.4 m/s"),
        (say_weight("50"), "50 lb", "23 kg"),
    ],
)
def test_a_quantity_is_said_in_the_units_asked(marked: str, us: str, metric: str) -> None:
    assert (plain(f"at {marked}."), plain(f"at {marked}.", metric=True)) == (f"at {us}.", f"at {metric}.")


@pytest.mark.parametrize("text", ["", "3 in of \ue000", "\ue000q12\ue001", "\ue000d1; drop\ue001", "\ue000l1e9\ue001"])
def test_what_is_no_mark_stays(text: str) -> None:
    assert worded(text.encode(), metric=True) == text.encode()


def test_a_mark_that_a_caller_wrote_does_no_harm() -> None:
    assert "\ue000" not in plain("\ue000d12-, to 3\ue001", metric=True)


@pytest.mark.parametrize(("units", "said"), [("us", "24 in is past the 16 in"), ("metric", "609.6 mm is past the 406.4 mm")])
def test_a_stop_is_said_in_the_units_asked(client: FlaskClient, units: str, said: str) -> None:
    """IRC Table R602.3(5), 2x4 under one story and roof: 16 in."""
    wall = {"length_in": 144, "height_in": 97.125, "stud_spacing_in": 24, "supports": "one_story_and_roof"}
    asked = {"wall": wall, "framing_nail": {"nail_id": "16d-common"}, "units": units}
    raw = client.post("/v1/wall-plans", json=asked).data
    assert said in "; ".join(c["applies_because"] for c in json.loads(raw)["cautions"])
    assert "\ue000" not in raw.decode()


@pytest.mark.parametrize(
    ("sent", "units", "said", "field"),
    [
        ({"at_in": 0}, "us", "takes -3 to 30 in", "at_in"),
        ({"at_in": 0}, "metric", "takes -3 to 30 in", "at_in"),
        ({"at_mm": 0}, "us", "takes -76.2 to 762 mm", "at_mm"),
    ],
)
def test_a_refusal_speaks_the_unit_of_its_field(client: FlaskClient, sent: dict[str, int], units: str, said: str, field: str) -> None:
    """An opening 27 in wide at 0: a king and a jack of 1-1/2 in stand on each side of it."""
    window = {"id": "w", "kind": "window", **sent, "width_in": 27, "sill_height_in": 40, "head_height_in": 80}
    opening = {**window, "header": {"ply_count": 2, "nominal": "2x8"}, "jack_count": 1, "king_count": 1}
    asked = {"wall": {"length_in": 144, "height_in": 97.125, "openings": [opening]}, "framing_nail": {"nail_id": "16d-common"}}
    many = client.post("/v1/wall-plans/batch", json={"items": [{"id": "a", **asked}], "units": units}).json
    for problem in (client.post("/v1/wall-plans", json={**asked, "units": units}).json, many["results"][0]["problem"]):
        (error,) = problem["errors"]
        assert said in error["detail"]
        assert error["pointer"].endswith(field)


@pytest.mark.parametrize(("units", "said"), [("us", "at 28 in"), ("metric", "at 711.2 mm")])
def test_a_refusal_without_numbers_speaks_the_units_asked(client: FlaskClient, units: str, said: str) -> None:
    wall = {"length_in": 144, "height_in": 97.125, "intersections": [{"at_in": 27}, {"at_in": 28}]}
    asked = {"wall": wall, "framing_nail": {"nail_id": "16d-common"}, "units": units}
    assert said in client.post("/v1/wall-plans", json=asked).json["errors"][0]["detail"]


def test_a_size_off_the_range_is_said_in_the_inches_of_its_limits(client: FlaskClient) -> None:
    asked = {"connection_id": "stud-to-plate-end-nail", "nail_designation": "9 x 0.131", "units": "metric"}
    (error,) = client.post("/v1/requirements", json=asked).json["errors"]
    assert f"{error['minimum']} to {error['maximum']} in" in error["detail"]


def test_a_sheet_speaks_the_units_asked_and_runs_nothing(client: FlaskClient) -> None:
    wall = {"length_in": 144, "height_in": 140}
    asked = {"wall": wall, "framing_nail": {"nail_id": "16d-common"}, "units": "metric"}
    text = client.post("/v1/wall-plans?format=csv", json=asked).text
    assert "stud height 3441.7 mm is past the 3048 mm" in text  # 135.5 and 120 in
    assert "stud height 135.5 in is past the 120 in" in client.post("/v1/wall-plans?format=csv", json={**asked, "units": "us"}).text
    assert cell(f"{say_length(ticks(-1))} past") == "'-1 in past"
