"""The one list of addresses: routes and contract are both made from it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from service.schemas.answers.declare import Shape, name_of
from service.schemas.answers.envelope import Reply, batch, catalogue, single
from service.schemas.answers.sheets import Sheet
from service.schemas.fields import Strict

Handler = Callable[..., Reply]
Draw = Callable[[Reply], bytes]
"""Writes a reply in a form of its own, a picture for one."""
ABOUT_POST = "A pure computation: the same question gives the same answer and nothing is stored, so it may be sent again at will."
REFERENCE, COMPUTED, NEVER = "public, max-age=3600", "public, max-age=300", "no-store"


@dataclass(frozen=True, slots=True)
class Operation:
    """One method of one address; `sheets` are its tables as CSV, by name, `drawn` its pictures by form, empty where it has none."""

    method: str
    path: str
    operation_id: str
    summary: str
    tag: str
    handler: Handler
    shape: type[Shape]
    ask: Strict | None = None
    cache: str = NEVER
    description: str = ""
    path_about: str = ""
    sheets: Mapping[str, Sheet] = field(default_factory=dict)
    drawn: Mapping[str, Draw] = field(default_factory=dict)

    @property
    def forms(self) -> tuple[str, ...]:
        """The forms it answers in, the usual one first."""
        return ("json", *(("csv",) if self.sheets else ()), *self.drawn)

    @property
    def tables(self) -> tuple[str, ...]:
        """The names of its tables, where there is a choice."""
        return tuple(self.sheets) if len(self.sheets) > 1 else ()


OPERATIONS: list[Operation] = []


def op(method: str, path: str, operation_id: str, summary: str, tag: str, shape: type[Shape], **more: Any) -> Callable[[Handler], Handler]:
    """Register a handler. It takes the raw question and path ids, and returns the reply of a 200."""

    def keep(handler: Handler) -> Handler:
        OPERATIONS.append(Operation(method, path, operation_id, summary, tag, handler, shape, **more))
        return handler

    return keep


def listed(path: str, operation_id: str, summary: str, item: type[Shape], **more: Any) -> Callable[[Handler], Handler]:
    """Register a list of reference data."""
    return op("GET", path, operation_id, summary, "reference", catalogue(item, f"{name_of(item)}List"), cache=REFERENCE, **more)


def shown(path: str, operation_id: str, summary: str, item: type[Shape], about: str, **more: Any) -> Callable[[Handler], Handler]:
    """Register one thing of the reference data, named in the path."""
    shape = single(item, f"{name_of(item)}Answer")
    return op("GET", path, operation_id, summary, "reference", shape, cache=REFERENCE, path_about=about, **more)


def question(
    path: str,
    ids: tuple[str, str],
    summary: str,
    shape: type[Shape],
    ask: Strict,
    *,
    query: Strict | None = None,
    about: str = "",
    **more: Any,
) -> Callable[[Handler], Handler]:
    """Register a handler for one question that may be asked by POST or by GET; `query` where the two are not asked alike."""
    posted, got = ids

    def keep(handler: Handler) -> Handler:
        post = op("POST", path, posted, summary, "questions", shape, ask=ask, description=ABOUT_POST, **more)
        get = op("GET", path, got, summary, "questions", shape, ask=query or ask, cache=COMPUTED, description=about, **more)
        return get(post(handler))

    return keep


def many_at_once(path: str, operation_id: str, summary: str, result: type[Shape], noun: str, **more: Any) -> Callable[[Handler], Handler]:
    """Register a handler for many questions in one call."""
    return op("POST", path, operation_id, summary, "questions", batch(result, noun), description=ABOUT_POST, **more)
