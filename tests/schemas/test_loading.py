"""The compiled reader gives what the schema itself gives; what is refused is worded by the schema."""

import time
from typing import Any

import orjson
import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st
from marshmallow import ValidationError, fields

from service.errors import FasteningError
from service.schemas.asks.batch import batch_ask
from service.schemas.asks.joint import REQUIREMENT
from service.schemas.asks.shear import SHEAR_CAPACITY
from service.schemas.asks.strength import NAIL_STRENGTH
from service.schemas.asks.substitution import SUBSTITUTION, SUBSTITUTION_QUERY, USES
from service.schemas.asks.wall import WALL_PLAN
from service.schemas.fields import Choice, Flag, Inner, Items, Named, Number, Strict, Text
from service.schemas.loading import load, reader_of

SCHEMAS = [REQUIREMENT, NAIL_STRENGTH, SHEAR_CAPACITY, SUBSTITUTION, SUBSTITUTION_QUERY, USES, WALL_PLAN, batch_ask("AnyBatch")]
ODD = st.sampled_from([None, True, 7, -1.5, 1e9, "x", "", [], {}, [None], {"a": 1}])


def values(field: Any) -> st.SearchStrategy[Any]:
    """Right values of a field, and now and then an odd one."""
    return st.one_of(right(field), right(field), right(field), ODD)


def right(field: Any) -> st.SearchStrategy[Any]:
    if isinstance(field, Number):
        low, high = field.low, field.high
        whole = st.integers(int(low), int(high))
        return st.one_of(whole, st.floats(low, high, allow_nan=False)) if high - low >= 1 else st.floats(low, high, allow_nan=False)
    if isinstance(field, Flag):
        return st.booleans()
    if isinstance(field, Choice):
        return st.sampled_from(field.words)
    if isinstance(field, Text):
        return st.sampled_from(["a", "16d-common", "3 x 0.131", "w.1"])
    if isinstance(field, Items):
        return st.lists(values(field.inner), max_size=3)
    if isinstance(field, Inner):
        return objects(field.schema)
    if isinstance(field, Named) and field.value_field is not None:
        return st.dictionaries(st.sampled_from(["stud-to-plate-end-nail", "nowhere", "_schema"]), values(field.value_field), max_size=2)
    assert isinstance(field, fields.Dict)
    return st.dictionaries(st.sampled_from(["a", "b"]), st.integers(), max_size=2)


def objects(schema: Any) -> st.SearchStrategy[dict[str, Any]]:
    """Objects with all that is required and some of the rest; now and then a stranger or a missing field."""

    @st.composite
    def build(draw: st.DrawFn) -> dict[str, Any]:
        names = list(schema.fields)
        needed = [n for n in names if schema.fields[n].required] + [us for us, _, _, required in schema.twins if required and us in names]
        sent = set(draw(st.lists(st.sampled_from(names), max_size=4, unique=True))) | set(needed)
        if sent and draw(st.integers(0, 9)) == 0:
            sent -= {draw(st.sampled_from(sorted(sent)))}
        out = {n: draw(values(schema.fields[n])) for n in sorted(sent)}
        if draw(st.integers(0, 9)) == 0:
            out[draw(st.sampled_from(["strange", "_schema", ""]))] = 1
        return out

    return build()


@pytest.mark.parametrize("schema", SCHEMAS, ids=lambda s: type(s).__name__)
@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_the_reader_gives_what_the_schema_gives(schema: Strict, data: st.DataObject) -> None:
    raw = data.draw(objects(schema))
    try:
        wanted: Any = schema.load(raw)
    except ValidationError:
        wanted = ValidationError
    try:
        got: Any = reader_of(schema)(raw)
    except ValidationError:
        got = ValidationError
    assert got == wanted


def refused(raw: Any) -> Any:
    with pytest.raises(FasteningError) as caught:
        load(REQUIREMENT, raw)
    return caught.value.faults


@pytest.mark.parametrize("name", ["_schema", "_suggest", "", "a" * 1_000_000, "a/b~c", "\x00"])
def test_any_strange_name_is_a_plain_unknown_field(name: str) -> None:
    right_one = {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}
    (fault,) = refused({**right_one, name: 1})
    assert (fault.code, fault.path) == ("unknown_field", (name,))


@pytest.mark.parametrize("raw", [[], "x", 7, None])
def test_what_is_no_object_is_refused_as_a_whole(raw: Any) -> None:
    (fault,) = refused(raw)
    assert (fault.code, fault.path, fault.detail.split(", such as ")[0]) == ("wrong_type", (), "must be an object")


def test_thousands_of_wrong_keys_are_refused_at_once_with_few_suggestions(client: FlaskClient) -> None:
    """29,000 keys, near to a real one: a suggestion for each took half a minute; 50 are shown. CPU, not clock."""
    body = orjson.dumps({f"nail_dezignation_{i}": 1 for i in range(29_000)})
    began = time.process_time()
    answer = client.post("/v1/requirements", data=body, content_type="application/json")
    assert time.process_time() - began < 2
    assert answer.status_code == 422
    assert len(answer.json["errors"]) == 50 and answer.json["errors_truncated"] is True
    assert len(answer.data) < 30_000
