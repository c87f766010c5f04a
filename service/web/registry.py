"""The one list of addresses: routes and contract are both made from it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from marshmallow import Schema

Handler = Callable[..., dict[str, Any]]
REFERENCE, COMPUTED, NEVER = "public, max-age=3600", "public, max-age=300", "no-store"


@dataclass(frozen=True, slots=True)
class Operation:
    """One method of one address."""

    method: str
    path: str
    operation_id: str
    summary: str
    tag: str
    handler: Handler
    answer: Schema
    ask: Schema | None = None
    cache: str = NEVER
    description: str = ""
    path_about: str = ""
    sheet: Callable[[dict[str, Any], str], bytes] | None = None
    tables: tuple[str, ...] = ()


OPERATIONS: list[Operation] = []


def op(method: str, path: str, operation_id: str, summary: str, tag: str, answer: Schema, **more: Any) -> Callable[[Handler], Handler]:
    """Register a handler. It takes the raw question and path ids, and returns the body of a 200."""

    def keep(handler: Handler) -> Handler:
        OPERATIONS.append(Operation(method, path, operation_id, summary, tag, handler, answer, **more))
        return handler

    return keep
