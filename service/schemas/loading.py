"""Reads a request by its schema: a reader made once for what is right, the schema itself for the words of what is wrong."""

import json
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache, partial
from typing import Any

from marshmallow import Schema, ValidationError, fields

from service.errors import FasteningError, Fault
from service.schemas.fields import ABSENT, Inner, Items, Named, Said, Strict
from service.schemas.hints import LATER, cure_of, near_field, unit_of
from service.schemas.twins import METRIC

Take = Callable[[Any], Any]


def load(schema: Strict, raw: Any) -> dict[str, Any]:
    """Check raw JSON against a schema and return the fields understood.

    Raises
    ------
    FasteningError
        Every fault of the fields, each with its path.
    """
    try:
        read: dict[str, Any] = reader_of(schema)(raw)
        return read
    except ValidationError:
        pass  # the schema finds every fault and words it
    try:
        loaded: dict[str, Any] = schema.load(raw)
    except ValidationError as error:
        raise FasteningError(*(with_example(f, schema) for f in _flatten(error.messages, (), schema))) from None
    return loaded


def with_example(fault: Fault, schema: Schema) -> Fault:
    """Return a fault with an object to send, in words and as a fact, where it asks for one or for a list of them."""
    if fault.code not in ("missing_field", "wrong_type"):
        return fault
    node: Any = schema
    for part in fault.path:
        holder = node.schema if isinstance(node, fields.Nested) else node
        node = holder.fields.get(str(part)) if isinstance(holder, Schema) else _inside(holder)
    shown = _example_of(node)
    if shown is None:
        return fault
    return replace(fault, detail=f"{fault.detail}, such as {json.dumps(shown)}", facts={**fault.facts, "example": shown})


def _inside(field: Any) -> Any:
    """Return the field of what stands in a list or a map; None in anything else."""
    return field.inner if isinstance(field, fields.List) else getattr(field, "value_field", None)


def _example_of(node: Any) -> Any:
    if isinstance(node, fields.List):
        inner = _example_of(node.inner)
        return None if inner is None else [inner]
    return getattr(node.schema if isinstance(node, fields.Nested) else node, "example", None)


@lru_cache(maxsize=64)
def reader_of(schema: Strict) -> Take:
    """Return the reader of a schema: one loop over what was sent, in which the schema's own fields take the values.

    It does what the schema does for a right request, without the library's stores of errors; at the first fault it
    gives up. The schema stays the only declaration. There are as many readers as schemas.
    """
    entries = {name: (_attribute(name, f), _taker(f), f.allow_none) for name, f in schema.fields.items()}
    needed = [name for name, f in schema.fields.items() if f.required]
    either = [(us, metric) for us, metric, _, required in schema.twins if required and us in schema.fields]

    def read(raw: Any) -> dict[str, Any]:
        if type(raw) is not dict:
            raise ValidationError("no object")
        out = {}
        for name, value in raw.items():
            entry = entries.get(name)
            if entry is None:
                raise ValidationError("unknown")
            attribute, take, nullable = entry
            if value is not None:
                out[attribute] = take(value)
            elif nullable:
                out[attribute] = None
            else:
                raise ValidationError("null")
        for name in needed:
            if name not in raw:
                raise ValidationError("missing")
        for us, metric in either:
            if us not in raw and metric not in raw:
                raise ValidationError("missing")
        if len(out) < len(raw):
            raise ValidationError("a field and its twin")
        return out

    return read


def _attribute(name: str, field: Any) -> str:
    return str(field.attribute or name).removesuffix(METRIC)


def _taker(field: Any) -> Take:
    """Return how one value is taken; null inside a list or a map is never right."""
    if isinstance(field, Items):
        return _list_taker(field)
    if isinstance(field, Inner):
        return reader_of(field.schema)
    if isinstance(field, Named) and field.value_field is not None:
        return _map_taker(field)
    if isinstance(field, fields.Dict):
        return _plain_object
    take: Take = field.take
    return take


def _list_taker(field: Items) -> Take:
    inner = _taker(field.inner)

    def take(value: Any) -> list[Any]:
        field.check(value)
        return [inner(v) for v in value]

    return take


def _map_taker(field: Named) -> Take:
    key, value = field.key_field.take, _taker(field.value_field)  # type: ignore[union-attr]  # a map of ours names both

    def take(sent: Any) -> dict[str, Any]:
        return {key(k): value(v) for k, v in _plain_object(sent).items()}

    return take


def _plain_object(value: Any) -> dict[str, Any]:
    if type(value) is not dict:
        raise ValidationError("no object")
    return value


def fill(got: dict[str, Any], schema: Strict, **instead: Any) -> list[tuple[str, Any]]:
    """Fill in the usual value of each field that was left out, and return what was assumed, in the order of the fields.

    Parameters
    ----------
    instead : Any
        Another usual value for a field, where it follows from the others.
    """
    assumed = []
    for name, attribute, usual, taken in _usual_of(schema):
        if attribute not in got:
            value = instead.get(name, usual)
            got[attribute] = instead.get(name, taken)
            assumed.append((name, value))
    return assumed


@lru_cache(maxsize=64)
def _usual_of(schema: Strict) -> tuple[tuple[str, str, Any, Any], ...]:
    """Return name, attribute, usual value as sent and as taken of each field that has one."""
    return tuple(
        (name, _attribute(name, f), f.usual, None if f.usual is None else _taker(f)(f.usual))
        for name, f in schema.fields.items()
        if isinstance(f, Said) and f.usual is not ABSENT
    )


class _Keyed:
    """A map of keys to objects: marshmallow files its faults under key and value, which are no part of the path."""

    def __init__(self, value: Schema) -> None:
        self.value = value


def _flatten(messages: Any, path: tuple[str | int, ...], schema: Any) -> list[Fault]:
    """Turn the library's nested messages, in which ours are the faults, into faults with their paths."""
    if not isinstance(messages, dict):
        return [_placed(m, path, schema) for m in messages]
    out = []
    for key, inner in messages.items():
        if isinstance(schema, _Keyed):
            out += [f for part in inner.values() for f in _flatten(part, (*path, key), schema.value)]
        elif key == "_schema" and not _is_unknown(inner):
            out += _flatten(inner, path, schema)
        else:
            field = schema.fields.get(key) if isinstance(schema, Schema) else None
            below = _below(field) if field is not None else schema if isinstance(key, int) else None
            out += _flatten(inner, (*path, key), below if below is not None else schema)
    return out


def _is_unknown(messages: Any) -> bool:
    """Whether a sent field has the name under which the library files what is wrong with the whole object."""
    return any(getattr(m, "code", "") == "unknown_field" for m in messages)


def _placed(fault: Fault, path: tuple[str | int, ...], schema: Any) -> Fault:
    if fault is Strict.error_messages["unknown"]:
        return unknown_field(path, schema if isinstance(schema, Schema) else None)
    return fault.under(*path)


def unknown_field(path: tuple[str | int, ...], schema: Schema | None) -> Fault:
    """Return the fault of a field that a schema has not, with what may have been meant."""
    name, names = str(path[-1]), schema.fields if schema else {}
    cure = cure_of(name, names)
    said = f"is not a field here; {cure}" if cure else "is not a field here"
    if cure and unit_of(name):
        return Fault("unknown_field", said, path)
    twins = [metric for _, metric, _, _ in schema.twins] if isinstance(schema, Strict) else []
    return Fault("unknown_field", said, path, {LATER: partial(near_field, name, names, twins)})


def _below(field: Any) -> Any:
    if isinstance(field, fields.List):
        return _below(field.inner)
    if isinstance(field, fields.Nested):
        return field.schema
    if isinstance(field, fields.Dict) and isinstance(field.value_field, fields.Nested):
        return _Keyed(field.value_field.schema)
    return None
