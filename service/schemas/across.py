"""What a request schema says of several fields together, in JSON Schema."""

from typing import Any

from service.schemas.asks.common import NailSchema
from service.schemas.asks.wall import HeaderSchema
from service.schemas.fields import Strict

NAIL_BY_SIZE: list[Any] = [{"required": ["nail_length_in"]}, {"required": ["nail_length_mm"]}]
ONE_WAY: list[Any] = [{"required": ["nail_id"]}, {"required": ["nail_designation"]}, {"anyOf": NAIL_BY_SIZE}]
HEADER_KINDS: list[Any] = [{"required": ["nominal"]}, {"properties": {"material": {"const": "engineered"}}, "required": ["material"]}]


def across_fields(schema: Strict) -> dict[str, Any]:
    """Return the rules of a schema: twins that exclude each other, pairs of which one is needed, a nail named one way, a header sawn or engineered."""
    twins = [t for t in schema.twins if t[0] in schema.fields]
    exclusive = [{"required": [us, metric]} for us, metric, _, _ in twins]
    needed: list[dict[str, Any]] = [
        {"oneOf": [{"required": [us]}, {"required": [metric]}]} for us, metric, _, required in twins if required
    ]
    if isinstance(schema, NailSchema):
        needed.append({"oneOf": [*ONE_WAY, *({"required": [name]} for name in schema.instead_of_nail)]})
    if isinstance(schema, HeaderSchema):
        needed.append({"oneOf": HEADER_KINDS})
    none_of = exclusive[0] if len(exclusive) == 1 else {"anyOf": exclusive}
    out: dict[str, Any] = {"not": none_of} if exclusive else {}
    return {**out, "allOf": needed} if needed else out
