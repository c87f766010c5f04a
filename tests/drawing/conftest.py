"""Plans to draw: walls of an invented house and of the fringes."""

from typing import Any

import pytest

from service.domain.cautions.caution import Spoken
from service.domain.wall.plan import Plan, plan_wall
from service.schemas.answers.wall import wall_answer
from service.schemas.asks.wall import read_wall
from service.tables.book import open_book
from service.web.examples import example

MILD = {"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"}
NAILS = {"framing_nail": {"nail_designation": "3 x 0.131"}, "sheathing_nail": {"nail_designation": "8d common"}}
PLAIN = {"length_in": 144, "height_in": 97.125}
PANELS = {"thickness_in": 0.4375}
WINDOW = {"kind": "window", "at_in": 60, "width_in": 30, "sill_height_in": 36, "head_height_in": 80}
OPENED = [{"id": "a", **WINDOW, "header": {"ply_count": 2, "nominal": "2x6"}}]
SPACED = [{"id": "a.1-b_2", **WINDOW, "header": {"ply_count": 2, "nominal": "2x8", "spacer_in": 0.5}}]
WALLS: dict[str, dict[str, Any]] = {
    "plain": {"wall": PLAIN},
    "partition": {"wall": {**PLAIN, "length_in": 16, "exterior": False, "bearing": False}},
    "openings": {"wall": {**PLAIN, "openings": OPENED, "start_corner": "three_stud", "end_corner": "four_stud"}},
    "standing": {"wall": {**PLAIN, "sheathing": PANELS, "openings": SPACED, "braced": True}},
    "lying": {"wall": {**PLAIN, "sheathing": {**PANELS, "orientation": "horizontal"}, "braced": False}},
    "concrete": {"wall": {**PLAIN, "sheathing": PANELS, "bottom_plate_on": "concrete", "stud_to_plate_method": "toe_nail"}},
    "single": {"wall": {**PLAIN, "height_in": 95.625, "top_plate_count": 1, "stud_to_plate_method": "toe_nail_bottom"}},
    "blocks": {
        "wall": {
            **PLAIN,
            "length_in": 280,
            "height_in": 121.125,
            "sheathing": PANELS,
            "intersections": [{"at_in": 70, "backing": "ladder"}],
        }
    },
    "long": {"wall": {**PLAIN, "length_in": 1200, "sheathing": PANELS}},
    "windy": {"wind_speed_mph": 200, "wall": {**PLAIN, "sheathing": PANELS, "openings": OPENED}},
    "beam": {
        "wall": {**PLAIN, "openings": [{"id": "b", **WINDOW, "header": {"material": "engineered", "thickness_in": 3.5, "depth_in": 9.5}}]}
    },
    "spike": {"connection_nails": {"built-up-header-face-nail": {"nail_designation": "2 x 0.113"}}, "wall": {**PLAIN, "openings": SPACED}},
}


def planned(asked: dict[str, Any]) -> tuple[Plan, tuple[Spoken, ...]]:
    """Plan a wall and say what to mind."""
    book = open_book()
    nails = NAILS if asked["wall"].get("sheathing") else {"framing_nail": NAILS["framing_nail"]}
    ask = read_wall({**MILD, **nails, **asked}, book)
    answered = wall_answer(ask, plan_wall(ask.order, book), book)
    return answered.result.plan, answered.cautions


@pytest.fixture(scope="session", params=[*WALLS, "house-south", "house-west"])
def drawn(request: pytest.FixtureRequest) -> tuple[Plan, tuple[Spoken, ...]]:
    """Return one wall after the other."""
    return planned(WALLS.get(request.param) or example(request.param))
