"""One declaration: contract, writer and twins of a shape agree, whatever the shape."""

from dataclasses import dataclass
from typing import Any

import orjson
import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from service.schemas.answers.declare import (
    MOST_KEPT,
    Shape,
    Variants,
    flag,
    keep,
    many,
    number,
    one,
    say,
    schema_of,
    shapes_under,
    spread,
    writer_of,
)
from service.schemas.answers.metric import metric_twin
from service.web.registry import OPERATIONS


@dataclass
class Peg:
    length: float | None
    tag: str | None
    thick: bool


class SizeShape(Shape):
    """A size."""

    length_in = number("Length [in]; null when not known.", of="length", null=True)


class PegShape(Shape):
    """A peg."""

    tag = say("Tag.", absent="on pegs without one")
    size = one(SizeShape, of=lambda p: p)
    _size = spread(SizeShape)
    thick = flag("Thick.")
    _only = Variants(lambda p: p.thick, {True: SizeShape, False: None}, "on thin pegs")
    parts_of = many(SizeShape, of=lambda p: [p, p])


pegs = st.builds(Peg, st.none() | st.floats(0.5, 9, allow_nan=False), st.none() | st.text(max_size=5), st.booleans())


@settings(max_examples=100, deadline=None)
@given(pegs, st.booleans())
def test_what_is_written_fits_the_schema_and_has_every_required_field(peg: Peg, metric: bool) -> None:
    written = orjson.loads(orjson.dumps(writer_of(PegShape, metric)(peg)))
    schemas = {name: schema_of(shape) for name, shape in shapes_under(PegShape).items()}
    closed = {**schemas["Peg"], "additionalProperties": False, "components": {"schemas": schemas}}
    assert [e.message for e in Draft202012Validator(closed).iter_errors(written)] == []
    assert ("tag" in written) == (peg.tag is not None)
    assert ("length_mm" in written) == metric


def test_a_twin_converts_the_number_that_is_shown() -> None:
    """2.375 in x 25.4 = 60.325 mm, whole millimetres for lengths; null stays null."""
    write = writer_of(SizeShape, metric=True)
    assert write(Peg(2.375, None, False)) == {"length_in": 2.375, "length_mm": 60}
    assert write(Peg(None, None, False)) == {"length_in": None, "length_mm": None}


@pytest.mark.parametrize(
    ("name", "twin"),
    [
        ("length_in", "length_mm"),
        ("run_length_ft", "run_length_m"),
        ("wall_weight_lb", "wall_weight_kg"),
        ("wind_speed_mph", "wind_speed_m_per_s"),
    ]
    + [(n, None) for n in ("lateral_lb", "withdrawal_lb_per_in", "board_ft", "roof_pitch_in_12", "nail_count")],
)
def test_lengths_weights_and_speeds_have_twins_and_forces_have_none(name: str, twin: str | None) -> None:
    assert metric_twin(name) == twin


def test_a_kept_piece_is_written_once_and_the_keeper_is_bounded() -> None:
    written: list[Any] = []

    def write(thing: Any) -> Any:
        written.append(thing)
        return len(written)

    kept = keep(write)
    things = [object() for _ in range(MOST_KEPT + 1)]
    assert [kept(things[0]), kept(things[0])] == [1, 1]
    for thing in things:
        kept(thing)
    assert kept(things[0]) == MOST_KEPT + 2, "let go when full, written again"


SHAPES = {name: shape for o in OPERATIONS for name, shape in shapes_under(o.shape).items()}


@pytest.mark.parametrize("name", SHAPES)
def test_no_two_shapes_share_a_name_and_each_says_what_it_is(name: str) -> None:
    for o in OPERATIONS:
        assert shapes_under(o.shape).get(name, SHAPES[name]) is SHAPES[name]
    assert SHAPES[name].__doc__


WALL = {"length_in": 96, "height_in": 97.125}
BOXES = {"framing_nail": {"nail_designation": "3 x 0.131"}, "sheathing_nail": {"nail_designation": "8d common"}}


@pytest.mark.parametrize(("edge", "outcome"), [(1.75, "engineering_required"), (2, "prescriptive")])
def test_panels_closer_than_the_wood_takes_have_no_number_and_say_so(client: FlaskClient, edge: float, outcome: str) -> None:
    """Under 2 in nails split 2-by framing (from memory): a prescriptive answer never comes with null numbers."""
    sheathing = {"thickness_in": 0.4375, "edge_spacing_in": edge}
    answer = client.post("/v1/wall-plans", json={**BOXES, "wall": {**WALL, "sheathing": sheathing}}).json
    line = answer["result"]["connections"][-1]
    assert line["outcome"] == outcome
    assert (line["nail_count"] is None) == (line["edge_spacing_in"] is None) == (outcome == "engineering_required")
    stops = [c for c in answer["cautions"] if c["code"] == "nail_rows_too_close"]
    assert bool(stops) == (outcome == "engineering_required")


@pytest.mark.parametrize(
    ("given_counts", "said"),
    [
        ({}, "w: 1 jack each side, 1 king each side"),
        ({"jack_count": 1}, "w: 1 king each side"),
        ({"king_count": 1}, "w: 1 jack each side"),
        ({"jack_count": 1, "king_count": 1}, None),
    ],
)
def test_a_caution_about_assumed_counts_names_only_what_was_assumed(client: FlaskClient, given_counts: Any, said: str | None) -> None:
    window = {
        "id": "w",
        "kind": "window",
        "at_in": 30,
        "width_in": 30,
        "sill_height_in": 36,
        "head_height_in": 80,
        "header": {"nominal": "2x6"},
    }
    wall = {**WALL, "exterior": False, "openings": [{**window, **given_counts}]}
    answer = client.post("/v1/wall-plans", json={"framing_nail": {"nail_designation": "3 x 0.131"}, "wall": wall}).json
    found = [c["applies_because"] for c in answer["cautions"] if c["code"] == "jack_count_assumed"]
    assert found == ([f"assumed as no table row gives them: {said}"] if said else [])
