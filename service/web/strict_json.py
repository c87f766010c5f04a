"""Parses JSON strictly: UTF-8, no duplicate keys, no NaN, 16 deep, in time that grows with the body."""

import gc
import json
from typing import Any

import orjson

from service.errors import UnreadableBodyError

DEEPEST = 16
SCANNED = 65_536


def parse_json(raw: bytes) -> Any:
    """Parse JSON strictly: UTF-8, no duplicate keys, no NaN, 16 deep.

    Raises
    ------
    UnreadableBodyError
        Anything else.
    """
    # What is being parsed cannot hold a cycle. Looking for one after every 700 objects took most of the time of a large body.
    collects = gc.isenabled()
    gc.disable()
    try:
        return _parsed(raw.removeprefix(b"\xef\xbb\xbf"))
    finally:
        if collects:
            gc.enable()


def _parsed(raw: bytes) -> Any:
    try:
        parsed = orjson.loads(raw)
    except orjson.JSONDecodeError as error:
        raise _too_deep() if _opens_deep(raw) else _no_json(raw, error) from None
    keys = _count_keys(parsed)
    # Every key has its colon, so as many colons as keys kept means that no key was dropped. More may also stand in text.
    if raw.count(b":") != keys:
        _ONCE.decode(raw.decode())
    return parsed


def _too_deep() -> UnreadableBodyError:
    return UnreadableBodyError("nesting_too_deep", f"objects and lists may nest {DEEPEST} deep", limit=DEEPEST)


def _no_json(raw: bytes, error: orjson.JSONDecodeError) -> UnreadableBodyError:
    where = f"not readable at line {error.lineno}, column {error.colno}"
    return UnreadableBodyError("invalid_json", where if raw.strip() else "the body is empty; send a JSON object")


def _count_keys(value: Any) -> int:
    """Return the number of keys in all objects; refuse what nests too deep."""
    layer, keys = [value], 0
    for _ in range(DEEPEST):
        above, layer = layer, []
        for v in above:
            if type(v) is dict:
                keys += len(v)
                layer += v.values()
            elif type(v) is list:
                layer += v
    if any(isinstance(v, dict | list) for v in layer):
        raise _too_deep()
    return keys


def _opens_deep(raw: bytes) -> bool:
    """Whether unreadable JSON opens more than 16 levels near its start; deep bodies are refused by the parser for that alone."""
    depth, quoted, escaped = 0, False, False
    for c in raw[:SCANNED]:
        if quoted:
            quoted, escaped = escaped or c != 0x22, not escaped and c == 0x5C
        elif c == 0x22:
            quoted = True
        elif c in b"[{":
            depth += 1
            if depth > DEEPEST:
                return True
        elif c in b"]}":
            depth -= 1
    return False


def _once(pairs: list[tuple[str, Any]]) -> None:
    if len(dict(pairs)) == len(pairs):
        return
    seen = set[str]()
    for key, _ in pairs:
        if key in seen:
            raise UnreadableBodyError("duplicate_key", f"the key {key[:64]!r} stands twice in one object")
        seen.add(key)


_ONCE = json.JSONDecoder(object_pairs_hook=_once)
