"""What an answer came to: each outcome that it says, and each item that it refuses, read off its shape."""

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from operator import attrgetter
from typing import Any

from service.schemas.answers.declare import Part, Shape, Variants

Find = Callable[[Any], Iterable[str]]
REFUSED = "refused"
SUMMED_UP = "outcomes"
"""A field that repeats what its lines say."""


def outcomes_in(shape: type[Shape], thing: Any) -> Iterable[str]:
    """Return each outcome of an answer, of a wall those of its lines; what stands inside a thing with an outcome is its working."""
    find = _finder(shape)  # type: ignore[arg-type]  # a class is hashable
    return find(thing) if find else ()


@cache
def _finder(shape: type[Shape]) -> Find | None:
    """Return what finds the outcomes under a shape; None where it can have none."""
    if "problem" in shape.parts:
        return lambda thing: (REFUSED,)
    own = shape.parts.get("outcome")
    if isinstance(own, Part):
        get = _getter(own, "outcome")
        return lambda thing: (get(thing),)
    parts = [(n, p) for n, p in shape.parts.items() if n != SUMMED_UP]
    spread = [_step(n, p) for n, p in parts if isinstance(p, Variants) and any(c and "outcome" in c.parts for c in p.cases.values())]
    steps = [step for step in (spread or [_step(n, p) for n, p in parts]) if step]
    if not steps:
        return None

    def find(thing: Any) -> Iterator[str]:
        for step in steps:
            yield from step(thing)

    return find


def _step(name: str, part: Part | Variants) -> Find | None:
    if isinstance(part, Variants):
        return _choice(part)
    inner = _finder(part.shape) if part.shape else None  # type: ignore[arg-type]  # as above
    if inner is None:
        return None
    get, found = _getter(part, name), inner
    if part.many:
        return lambda thing: (word for one in get(thing) or () for word in found(one))
    return lambda thing: () if (one := get(thing)) is None else found(one)


def _choice(part: Variants) -> Find | None:
    cases = {key: _finder(case) if case else None for key, case in part.cases.items()}  # type: ignore[arg-type]  # as above
    if not any(cases.values()):
        return None
    get, select = _getter(part, ""), part.select

    def find(thing: Any) -> Iterable[str]:
        one = get(thing)
        case = cases[None] if set(cases) == {None} else cases[select(one)]
        return case(one) if case else ()

    return find


def _getter(part: Part | Variants, name: str) -> Callable[[Any], Any]:
    if callable(part.of):
        return part.of
    path = part.of or name
    return attrgetter(path) if path else lambda thing: thing
