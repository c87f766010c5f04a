"""Big questions that can be read and are wrong, each in as many places as fit."""

import json
from typing import Any

from tests.attack.bodies import DOOR, JOINT, NAIL, WALL, maker

BODIES, body = maker()


@body
def near_words() -> dict[str, Any]:
    """Every item with another misspelling of each field and word."""
    return {
        "items": [
            {"id": f"i{i}", f"nail_desgnation{i}": 1, "connection_id": f"stud-to-plate-end-nial{i}", "exposure": f"X{i}"}
            for i in range(500)
        ]
    }


@body
def wrong_items() -> dict[str, Any]:
    """500 items, each wrong in 50 ways."""
    return {"items": [{"id": f"i{i}", **{f"field_{k}": k for k in range(50)}} for i in range(500)]}


@body
def wrong_values() -> dict[str, Any]:
    """500 items in which every field is of the wrong type."""
    fields = [
        "connection_id",
        "nail_id",
        "exposure",
        "joint_count",
        "wind_speed_mph",
        "fire_rated",
        "code_edition",
        "ground_snow_load_psf",
        "stud",
        "species",
    ]
    return {"items": [{"id": f"i{i}", **dict.fromkeys(fields, [1])} for i in range(500)]}


@body
def wrong_defaults() -> dict[str, Any]:
    return {"defaults": {f"wind_sped_{i}": 1 for i in range(30_000)}, "items": [{"id": "a"}]}


@body
def same_ids() -> dict[str, Any]:
    return {"items": [{"id": "a", **JOINT}] * 500}


@body
def wrong_walls() -> dict[str, Any]:
    """500 walls of 40 openings, each opening wrong in six ways."""
    opening = {"kind": "windw", "at_in": -1, "width_in": "30", "head_height_in": None, "heder": {}, "id": "!"}
    return {"items": [{"id": f"i{i}", "wall": {**WALL, "openings": [opening] * 15}} for i in range(500)]}


@body
def wrong_walls_that_fail() -> dict[str, Any]:
    """The same, where one wrong wall refuses the call."""
    return {**json.loads(BODIES["wrong_walls"]()), "on_error": "fail"}


@body
def wrong_walls_of_a_line() -> dict[str, Any]:
    opening = {"kind": "windw", "at_in": -1, "width_in": "30", "head_height_in": None, "heder": {}, "id": "!", "cloour": 1}
    return {
        "walls": [{"wall": {**WALL, "openings": [opening] * 40}, "start_in": 0, "id": f"w{i}"} for i in range(200)],
        "line_length_ft": 1,
    }


@body
def wrong_takeoff() -> dict[str, Any]:
    opening = {"kind": "windw", "at_in": -1, "width_in": "30", "head_height_in": None, "heder": {}}
    return {**NAIL, "walls": [{"id": f"i{i}", "wall": {**WALL, "openings": [opening] * 15}} for i in range(500)]}


@body
def openings_on_one_place() -> dict[str, Any]:
    """As many openings as a wall may name, and all in each other's way."""
    return {**NAIL, "wall": {"length_in": 1200, "height_in": 97.125, "openings": [{**DOOR, "id": f"d{i}"} for i in range(40)]}}


@body
def long_list_of_nails() -> dict[str, Any]:
    return {"connection_ids": ["stud-to-plate-end-nail"] * 30_000, "nails": [{"nail_id": "16d-common"}] * 10}


@body
def ambiguous_nails() -> dict[str, Any]:
    """A bare pennyweight lists its candidates: in each item anew."""
    return {"items": [{"id": f"i{i}", "connection_id": "stud-to-plate-end-nail", "nail_designation": "16d"} for i in range(500)]}


@body
def words_for_nails() -> dict[str, Any]:
    return {
        "items": [
            {
                "id": f"i{i}",
                "connection_id": "stud-to-plate-end-nail",
                "nail_designation": f"{i} galvanised comon bxo sinker ring 1/{i + 3} x 0.{i}",
            }
            for i in range(500)
        ]
    }
