"""The right questions that cost most to answer: as much of everything as one call may hold."""

import json
from typing import Any

from tests.attack.bodies import DOOR, HEADER, NAIL, SITE, maker

BODIES, body = maker()

# What is answered, and costs most: right questions at the limits of a call


@body
def longest_wall() -> dict[str, Any]:
    """100 ft with as many openings as fit, studs as near as they may stand, panels nailed every 2 in, and the place of each nail."""
    window = {"kind": "window", "width_in": 24, "sill_height_in": 30, "head_height_in": 80, "header": HEADER}
    openings = [{**window, "id": f"w{i}", "at_in": 12 + 48 * i} for i in range(24)]
    sheathing = {"thickness_in": 0.4375, "edge_spacing_in": 2, "field_spacing_in": 2}
    wall = {
        "length_in": 1200,
        "height_in": 97.125,
        "stud_spacing_in": 12,
        "stud": "2x6",
        "openings": openings,
        "sheathing": sheathing,
        "braced": True,
    }
    return {**NAIL, **SITE, "sheathing_nail": {"nail_id": "8d-common"}, "wall": wall}


@body
def longest_wall_placed() -> dict[str, Any]:
    return {**json.loads(BODIES["longest_wall"]()), "include": ["positions"]}


@body
def walls_up_to_the_limit() -> dict[str, Any]:
    """Walls that hold together nearly as many sticks as a call may plan."""
    wall = {
        "length_in": 620,
        "height_in": 109,
        "stud_spacing_in": 12,
        "openings": [{**DOOR, "id": f"d{i}", "at_in": 40 + 60 * i} for i in range(9)],
    }
    return {"defaults": {**NAIL, **SITE}, "items": [{"id": f"w{i}", "wall": {**wall, "length_in": 620 + i / 64}} for i in range(320)]}


@body
def placed_walls_up_to_the_limit() -> dict[str, Any]:
    wall = {"length_in": 300, "height_in": 109, "openings": [DOOR]}
    return {
        "defaults": {**NAIL, **SITE},
        "include": ["positions"],
        "items": [{"id": f"w{i}", "wall": {**wall, "length_in": 300 + i / 64}} for i in range(25)],
    }


@body
def house_with_nails_on_hand() -> dict[str, Any]:
    """Ten nails, each tried in every wall, in as many walls as a call may plan so often."""
    wall = {"length_in": 144, "height_in": 97.125, "openings": [DOOR]}
    nails = [{"nail_designation": f"3 x 0.{d}"} for d in (120, 131, 135, 148)] + [
        {"nail_id": n} for n in ("16d-common", "16d-box", "10d-common", "12d-common", "16d-sinker", "10d-box")
    ]
    return {
        **NAIL,
        **SITE,
        "nails_on_hand": nails,
        "walls": [{"id": f"w{i}", "wall": {**wall, "length_in": 144 + i / 64}} for i in range(200)],
    }


@body
def house_of_500_walls() -> dict[str, Any]:
    wall = {"length_in": 400, "height_in": 97.125, "openings": [{**DOOR, "id": f"d{i}", "at_in": 40 + 60 * i} for i in range(5)]}
    return {**NAIL, **SITE, "walls": [{"id": f"w{i}", "wall": {**wall, "length_in": 400 + i / 64}} for i in range(500)]}


@body
def house_of_500_joints() -> dict[str, Any]:
    joint = {"connection_id": "rafter-to-plate-toe-nail", "nail_id": "16d-common"}
    return {**SITE, "joints": [{"id": f"j{i}", **joint, "joint_count": i + 1, "label": "=" * 64, "level": "<b>&"} for i in range(500)]}


@body
def requirements_of_500_items() -> dict[str, Any]:
    return {
        "defaults": SITE,
        "items": [
            {
                "id": f"i{i}",
                "connection_id": "stud-to-plate-end-nail",
                "nail_designation": f"3-1/{i % 60 + 3} x 0.{120 + i % 40}",
                "joint_count": i + 1,
            }
            for i in range(500)
        ],
    }


@body
def strengths_of_500_items() -> dict[str, Any]:
    return {
        "items": [{"id": f"i{i}", "nail_designation": f"3 x 0.{120 + i % 40}", "side_thickness_in": 0.5 + i / 1000} for i in range(500)]
    }


@body
def all_nails_for_all_joints() -> dict[str, Any]:
    return {**SITE, "nails": [{"nail_designation": f"3-1/4 x 0.{113 + i}"} for i in range(20)]}


@body
def observations() -> dict[str, Any]:
    seen = {"connection_id": "stud-to-plate-end-nail", "found_nail_count": 1, "joint_count": 38}
    return {**SITE, "observations": [{"id": f"o{i}", **seen, "nail_designation": f"3 x 0.{120 + i % 40}"} for i in range(200)]}


@body
def schedule_of_walls() -> dict[str, Any]:
    wall = {"length_in": 288, "height_in": 97.125, "openings": [DOOR]}
    nails = [{"nail_designation": f"3-1/4 x 0.{113 + 2 * i}"} for i in range(10)]
    return {**SITE, "nails_on_hand": nails, "walls": [{**wall, "id": f"w{i}", "length_in": 288 + i / 64} for i in range(50)]}
