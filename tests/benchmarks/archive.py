"""Write a file of varied walls, one wall-plan question a line: python tests/benchmarks/archive.py 100000 > walls.ndjson.

Every wall is buildable and no two are alike in length, openings, nails and site, so that little of an answer can be kept for the next.
"""

import json
import random
import sys
from typing import Any

NAILS = ("3 x 0.131", "16d common", "3-1/4 x 0.131", "16d box", "10d common", "3 x 0.120")
SHEATHING = ("8d common", "2-3/8 x 0.113", "6d common")
SITES = ((115, "B", "B"), (110, "C", "C"), (130, "B", "D1"), (140, "C", "A"))


def wall(draw: random.Random) -> dict[str, Any]:
    """Return a wall 6 to 40 ft long with as many windows and doors as have room."""
    length, height = draw.randrange(72, 480 * 8) / 8, draw.choice((92.625, 97.125, 109.125))
    length = max(length, 72)
    openings: list[dict[str, Any]] = []
    at = draw.randrange(24, 72)
    while len(openings) < 5:
        width = draw.choice((24, 30, 36, 38.25, 48, 60))
        if at + width + 24 > length:
            break
        door = draw.random() < 0.25
        sides = {} if door else {"sill_height_in": draw.choice((24, 36, 44))}
        header = {"nominal": draw.choice(("2x6", "2x8", "2x10"))}
        kind = "door" if door else "window"
        openings.append(
            {"id": f"o{len(openings) + 1}", "kind": kind, "at_in": at, "width_in": width, **sides, "head_height_in": 80, "header": header}
        )
        at += width + draw.randrange(36, 120)
    made: dict[str, Any] = {
        "length_in": length,
        "height_in": height,
        "start_corner": draw.choice(("three_stud", "two_stud")),
        "openings": openings,
    }
    if draw.random() < 0.6:
        made |= {"braced": True, "sheathing": {"thickness_in": 0.4375}}
    return made


def question(draw: random.Random) -> dict[str, Any]:
    """Return the body of one wall plan."""
    speed, exposure, category = draw.choice(SITES)
    made = wall(draw)
    nails: dict[str, Any] = {"framing_nail": {"nail_designation": draw.choice(NAILS)}}
    if "sheathing" in made:
        nails["sheathing_nail"] = {"nail_designation": draw.choice(SHEATHING)}
    site = {"wind_speed_mph": speed, "wind_speed_basis": "ultimate", "exposure": exposure, "seismic_design_category": category}
    return {**site, **nails, "wall": made}


if __name__ == "__main__":
    draw = random.Random(17)
    for _ in range(int(sys.argv[1])):
        print(json.dumps(question(draw), separators=(",", ":")))
