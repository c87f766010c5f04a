"""The one list of addresses: routes and contract are both made from it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from marshmallow import Schema

Handler = Callable[..., dict[str, Any]]
ABOUT_POST = "A pure computation: the same question gives the same answer and nothing is stored, so it may be sent again at will."
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


def question(
    path: str, noun: str, summary: str, answer: Schema, ask: Schema, *, query: Schema | None = None, about: str = "", **more: Any
) -> Callable[[Handler], Handler]:
    """Register a handler for one question that may be asked by GET or by POST; `query` where the two are not asked alike."""

    def keep(handler: Handler) -> Handler:
        post = op("POST", path, f"create{noun}", summary, "questions", answer, ask=ask, description=ABOUT_POST, **more)
        get = op("GET", path, f"get{noun}", summary, "questions", answer, ask=query or ask, cache=COMPUTED, description=about, **more)
        return get(post(handler))

    return keep
