"""Makes wrong requests from right ones: bytes changed, JSON values moved and replaced by nasty ones, queries bent."""

import json
from functools import cache
from itertools import chain
from random import Random
from typing import Any
from urllib.parse import quote, quote_from_bytes

from service.schemas.fields import Choice, Flag, Inner, Items, Number
from service.web.contract import BATCH_ITEMS, TAKEOFF_ITEMS
from service.web.examples import IDS, examples_of
from service.web.registry import OPERATIONS, Operation
from tests.attack.door import Sent
from tests.attack.words import ACCEPTS, TEXTS, TOKENS, VALUES


@cache
def questions(operation_id: str) -> tuple[Any, ...]:
    """Return the example questions of an operation."""
    return tuple(e.question for e in examples_of(operation_id).values()) or ({},)


POSTS = [o for o in OPERATIONS if o.method == "POST"]
GETS = [o for o in OPERATIONS if o.method == "GET"]


@cache
def names() -> tuple[str, ...]:
    """Return every field name and id that any example sends."""

    def within(value: Any) -> set[str]:
        if isinstance(value, dict):
            return set(value).union(*(within(v) for v in value.values()))
        return set().union(*(within(v) for v in value)) if isinstance(value, list) else set()

    return tuple(sorted(set().union(*(within(q) for o in OPERATIONS for q in questions(o.operation_id))) | {"table", "format"}))


@cache
def pieces() -> tuple[str, ...]:
    """Return every value that any example sends, as JSON: right in its own place, wrong in another."""

    def within(value: Any) -> list[str]:
        below = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        return [json.dumps(value), *chain.from_iterable(map(within, below))]

    return tuple(sorted({p for o in POSTS for q in questions(o.operation_id) for p in within(q) if len(p) < 600}))


@cache
def fitting() -> dict[str, tuple[Any, ...]]:
    """Return for each field of every schema what may stand in it: its words, and numbers at, in and just past its bounds."""
    found: dict[str, list[Any]] = {}

    def look(schema: Any) -> None:
        for name, field in schema.fields.items():
            inner = field.inner if isinstance(field, Items) else field
            found.setdefault(name, [])
            if isinstance(inner, Choice):
                found[name] += inner.words
            elif isinstance(inner, Flag):
                found[name] += [True, False]
            elif isinstance(inner, Number):
                low, high = inner.low, inner.high
                found[name] += [
                    low,
                    high,
                    low + 1,
                    high - 1,
                    low - 1,
                    high + 1,
                    (low + high) / 2,
                    low + (high - low) / 16,
                    low + (high - low) / 64,
                ]
            elif isinstance(inner, Inner):
                look(inner.schema)
            elif getattr(inner, "value_field", None) is not None:
                look(inner.value_field.schema)

    for schema in (*(o.ask for o in OPERATIONS if o.ask), *(item() for item in (*BATCH_ITEMS.values(), *TAKEOFF_ITEMS.values()))):
        look(schema)
    return {name: tuple(values) for name, values in found.items()}


def operation(n: int) -> Operation:
    """Return the operation that the n-th mutant asks: of four, one is a body with other bytes, two with other values, one a query."""
    some = GETS if n % 4 == 3 else POSTS
    return some[n // 4 % len(some)]


def mutant(seed: str, n: int) -> Sent:
    """Return the n-th wrong request of a seed."""
    draw, o = Random(f"{seed}/{n}"), operation(n)
    if o.method == "GET":
        return _query(o, draw)
    question = draw.choice(questions(o.operation_id))
    body = _bytes(question, draw) if n % 4 == 0 else _tree(question, draw)
    return Sent("POST", o.path, _form(o, draw), body, {"Accept": draw.choice(ACCEPTS)} if draw.random() < 0.05 else {})


def _form(o: Operation, draw: Random) -> bytes:
    if draw.random() < 0.5:
        return b""
    form = draw.choice(o.forms)
    table = f"&table={draw.choice(o.tables)}" if form == "csv" and o.tables else ""
    return f"format={form}{table}".encode()


def _bytes(question: Any, draw: Random) -> bytes:
    """Change a few bytes of a body."""
    raw = bytearray(json.dumps(question).encode())
    for _ in range(draw.choice((1, 1, 1, 2, 3, 8))):
        at, to = sorted((draw.randrange(len(raw) + 1), draw.randrange(len(raw) + 1)))
        match draw.randrange(7):
            case 0:
                raw[at:at] = draw.choice(TOKENS)
            case 1:
                raw[at : at + 1] = bytes((draw.randrange(256),))
            case 2:
                del raw[at : min(to, at + 12)]
            case 3:
                raw[at:at] = raw[at:to][:200]
            case 4:
                del raw[draw.randrange(len(raw) + 1) :]
            case 5:
                raw[at : at + 1] = bytes((raw[at] ^ 1 << draw.randrange(8),)) if at < len(raw) else b""
            case _:
                raw[at : at + draw.randrange(4)] = draw.choice(TOKENS)
    return bytes(raw)


def _holders(value: Any) -> list[Any]:
    """Return every object and list of a value that holds something."""
    below = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [h for v in below for h in _holders(v)] + ([value] if isinstance(value, dict | list) and value else [])


def _tree(question: Any, draw: Random) -> bytes:
    """Change a few values of a body: to what fits their fields, so that it gets far, or to what does not."""
    body = _copy(question)
    fit = draw.random() < 0.5
    for _ in range(draw.choice((1, 1, 1, 2, 3, 6))):
        holders = _holders(body)
        if not holders:
            break
        holder = draw.choice(holders)
        if fit:
            _refit(holder, draw)
        else:
            _change(holder, draw.choice(list(holder)) if isinstance(holder, dict) else draw.randrange(len(holder)), holders, draw)
    return json.dumps(body).encode()


def _refit(holder: Any, draw: Random) -> None:
    """Give a field another value that may stand in it, add one or leave one out, or repeat an item of a list."""
    if isinstance(holder, list):
        holder.insert(draw.randrange(len(holder) + 1), _copy(draw.choice(holder)))
        return
    name = draw.choice(list(holder) if draw.random() < 0.7 else tuple(fitting()))
    if draw.random() < 0.15:
        holder.pop(name, None)
    elif values := fitting().get(name):
        value = draw.choice(values)
        holder[name] = [value] if isinstance(holder.get(name), list) else value


def _copy(value: Any) -> Any:
    return json.loads(json.dumps(value))


def _change(holder: Any, key: Any, holders: list[Any], draw: Random) -> None:
    value = holder[key]
    match draw.randrange(9):
        case 0 | 1:
            holder[key] = _copy(draw.choice(VALUES))
        case 2:
            holder[key] = json.loads(draw.choice(pieces()))
        case 3 if type(value) in (int, float):
            holder[key] = _another_number(value, draw)
        case 3 | 4:
            del holder[key]
        case 5 if isinstance(holder, dict):
            holder[draw.choice((*names(), *TEXTS, str(key) + "s", str(key).replace("_in", "_mm"), str(key)[:-1]))] = value
        case 5 if isinstance(holder, list):
            holder.extend(_copy(holder * draw.choice((1, 2, 5))))
        case 6 if isinstance(holder, dict):
            holder[draw.choice(names())] = json.loads(draw.choice(pieces()))
        case 6 | 7:
            other = draw.choice(holders)
            copied = _copy(value)
            if isinstance(other, dict):
                other[draw.choice(list(other) or ["a"])] = copied
            else:
                other.append(copied)
        case _:
            holder[key] = [value] if draw.random() < 0.5 else {str(key): value}


def _another_number(value: float, draw: Random) -> float:
    return draw.choice(
        (
            value + 1,
            value - 1,
            -value,
            value * 2,
            value / 2,
            value / 3,
            value * 12,
            value / 12,
            value * 25.4,
            value + 1 / 64,
            value * 1000,
            value + 1e-9,
            int(value),
        )
    )


def _query(o: Operation, draw: Random) -> Sent:
    """Bend a query, and now and then the id in the path."""
    parts = [
        (quote(k), quote(_text(v)))
        for k, vs in draw.choice(questions(o.operation_id)).items()
        for v in (vs if isinstance(vs, list) else [vs])
    ]
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        at = draw.randrange(len(parts)) if parts else 0
        word = quote(draw.choice(TEXTS), safe="")
        match draw.randrange(8):
            case 0 | 1 if parts:
                parts[at] = (parts[at][0], word)
            case 2 if parts:
                parts[at] = (parts[at][0], quote(_text(json.loads(draw.choice(pieces())))))
            case 3 if parts:
                parts.append(parts[at])
            case 4:
                parts.append((quote(draw.choice(names())), draw.choice((word, "1", "true", "96", "irc-2018"))))
            case 5 if parts:
                del parts[at]
            case 6:
                parts.append((word, word))
            case _:
                parts.append(
                    (
                        draw.choice(names()),
                        quote_from_bytes(draw.choice(TOKENS))
                        if draw.random() < 0.5
                        else draw.choice(("%", "%zz", "%ff", "%c0%af", ";a=1", "a=b=c", "%0d%0a", "%u0041")),
                    )
                )
    ids = {name: quote(draw.choice(TEXTS), safe="") if draw.random() < 0.05 else draw.choice(_known(name)) for name in IDS}
    headers = {"Accept": draw.choice(ACCEPTS)} if draw.random() < 0.2 else {}
    return Sent("GET", o.path.format(**ids), "&".join(f"{k}={v}" for k, v in parts).encode(), None, headers)


def _text(value: Any) -> str:
    return value if isinstance(value, str) else json.dumps(value)


@cache
def _known(name: str) -> tuple[str, ...]:
    """Return some ids that a path takes."""
    return (
        IDS[name],
        *{"nail_id": ("8d-box", "staple-16ga-1-3-4"), "connection_id": ("rafter-to-plate-toe-nail", "exterior-wall-panel-to-framing")}.get(
            name, ()
        ),
    )
