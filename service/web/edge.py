"""Reads requests strictly and sends answers: JSON in, JSON out, tags and headers."""

import hashlib
import json
import re
import time
import uuid
from typing import Any
from urllib.parse import unquote_to_bytes

import orjson
from flask import Flask, Response, current_app, g, request
from marshmallow import Schema
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import BadRequest, NotAcceptable, RequestEntityTooLarge, RequestURITooLarge, UnsupportedMediaType

from service import API_VERSION
from service.errors import Fault, QueryError, UnreadableBodyError
from service.schemas.fields import Choice, Flag, Items, Number, Text, near, show
from service.settings import Settings
from service.web.logs import log_request

DEEPEST = 16
SCANNED = 65_536
LONGEST_QUERY = 4096
_NAMES_A_FORM = re.compile(rb"format|table|%[4-7]")
_REQUEST_ID = re.compile(r"^[A-Za-z0-9._-]{1,64}$")
ALWAYS = (
    ("API-Version", API_VERSION),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'"),
    ("Vary", "Accept, Accept-Encoding"),
)
EXPOSED = "ETag, Retry-After, X-Request-ID, API-Version, Deprecation, Sunset, Link"


def settings() -> Settings:
    """Return the settings of the running app."""
    found: Settings = current_app.config["SETTINGS"]
    return found


def read_json() -> Any:
    """Return the JSON body of the request.

    Raises
    ------
    UnreadableBodyError
        Anything that is not one clear JSON value in UTF-8.
    """
    if request.mimetype != "application/json" or request.headers.get("Content-Encoding", "identity") != "identity":
        raise UnsupportedMediaType()
    if request.mimetype_params.get("charset", "utf-8").lower() not in ("utf-8", "utf8"):
        raise UnsupportedMediaType()
    limit = settings().max_body_bytes
    try:
        raw = request.get_data(cache=False)
    except RequestEntityTooLarge:
        raise _too_large(limit, request.content_length) from None
    except (OSError, ValueError, BadRequest) as error:
        raise UnreadableBodyError("invalid_json", "the body could not be read to its end") from error
    except Exception as error:
        if type(error).__module__.startswith("gunicorn"):
            raise UnreadableBodyError("invalid_json", "the chunked body is malformed") from error
        raise
    if len(raw) > limit:
        raise _too_large(limit, request.content_length)
    if request.content_length is not None and len(raw) < request.content_length:
        raise UnreadableBodyError("invalid_json", "the body ended before its Content-Length")
    g.bytes_in = len(raw)
    return parse_json(raw)


def _too_large(limit: int, received: int | None) -> UnreadableBodyError:
    return UnreadableBodyError(
        "body_too_large", f"the body may have {limit} bytes", limit=limit, received=show(received), setting="APP_MAX_BODY_BYTES"
    )


def parse_json(raw: bytes) -> Any:
    """Parse JSON strictly: UTF-8, no duplicate keys, no NaN, 16 deep.

    Raises
    ------
    UnreadableBodyError
        Anything else.
    """
    raw = raw.removeprefix(b"\xef\xbb\xbf")
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


def read_query(schema: Schema | None, extra: tuple[str, ...] = ()) -> dict[str, Any]:
    """Return the query parameters as typed values, by the fields of a schema.

    Raises
    ------
    QueryError
        A parameter that is unknown or sent twice.
    """
    if len(request.query_string) > LONGEST_QUERY:
        raise RequestURITooLarge()
    try:
        unquote_to_bytes(request.query_string.replace(b"+", b" ")).decode("utf-8")
        if re.search(rb"%(?![0-9A-Fa-f]{2})", request.query_string):
            raise ValueError
    except ValueError:
        raise UnreadableBodyError("invalid_json", "the query is badly percent-encoded; use UTF-8") from None
    args: MultiDict[str, str] = request.args
    faults = []
    out: dict[str, Any] = {}
    known: dict[str, Any] = {**(schema.fields if schema else {}), **dict.fromkeys((*extra, "format"))}
    for name, values in args.lists():
        field: Any = known.get(name)
        if name not in known:
            faults.append(Fault("unknown_field", "is not a parameter here", (name[:64],), near(name, known)))
        elif isinstance(field, Items):
            read: Any = field.inner
            out[name] = [read.from_text(v) for v in values]
        elif len(values) > 1:
            faults.append(Fault("repeated_parameter", "stands more than once", (name,)))
        elif name not in extra and name != "format":
            out[name] = field.from_text(values[0]) if isinstance(field, Number | Flag | Text | Choice) else values[0]
    if faults:
        raise QueryError(*faults)
    return out


CSV = "text/csv; charset=utf-8; header=present"


def output_form(sheet: bool, tables: tuple[str, ...] = ()) -> tuple[str, str]:
    """Return the output form, json or csv, and the table of a csv; `format` overrides Accept.

    Raises
    ------
    QueryError
        A form or a table that is not offered here.
    """
    plain = request.environ.get("HTTP_ACCEPT", "*/*") in ("*/*", "application/json")
    if plain and not _NAMES_A_FORM.search(request.query_string):
        return "json", tables[0] if tables else ""
    offered = ("json", "csv") if sheet else ("json",)
    asked = request.args.get("format")
    if asked is None:
        form = "json"
        if request.accept_mimetypes:
            best = request.accept_mimetypes.best_match(["application/json", *(["text/csv"] if sheet else []), "application/problem+json"])
            if best is None:
                raise NotAcceptable()
            form = "csv" if best == "text/csv" else "json"
    elif asked in offered:
        form = asked
    else:
        raise QueryError(Fault("unknown_value", f"must be one of {', '.join(offered)}", ("format",), {"received": show(asked)}))
    table = request.args.get("table", tables[0] if tables else "")
    if tables and table not in tables:
        raise QueryError(
            Fault("unknown_value", f"must be one of {', '.join(tables)}", ("table",), {"received": show(table), **near(table, tables)})
        )
    return form, table


def send(body: dict[str, Any], cache: str) -> Response:
    """Send an answer; GET answers carry a strong tag and honour If-None-Match."""
    raw = orjson.dumps(body)
    return send_bytes(raw, cache, tag(raw) if cache != "no-store" else "")


def tag(raw: bytes) -> str:
    """Return the tag of an answer: its content, in which the data version stands."""
    return hashlib.blake2b(raw, digest_size=12).hexdigest()


def send_bytes(raw: bytes, cache: str, etag: str, content_type: str = "application/json") -> Response:
    """Send bytes that are already written."""
    response = Response(raw, content_type=content_type)
    response.headers["Cache-Control"] = cache
    if etag:
        response.headers["ETag"] = f'"{etag}"'
        if "HTTP_IF_NONE_MATCH" in request.environ and request.if_none_match.contains_weak(etag):
            response.status_code = 304
            response.set_data(b"")
    return response


def install(app: Flask) -> None:
    """Give every request an id and every answer its headers."""

    @app.before_request
    def _start() -> None:
        g.started = time.perf_counter()
        asked = request.headers.get("X-Request-ID", "")
        g.request_id = asked if _REQUEST_ID.match(asked) else uuid.uuid4().hex

    @app.after_request
    def _finish(response: Response) -> Response:
        response.headers.extend((*ALWAYS, ("X-Request-ID", g.request_id)))
        _cross_origin(response)
        _preflight(response)
        log_request(response)
        return response


def _cross_origin(response: Response) -> None:
    allowed = settings().cors_origins
    headers = response.headers
    if allowed == "*":
        headers.add("Access-Control-Allow-Origin", "*")
    else:
        headers["Vary"] = "Accept, Accept-Encoding, Origin"
        origin = request.headers.get("Origin", "")
        if origin not in [o.strip() for o in allowed.split(",")]:
            return
        headers["Access-Control-Allow-Origin"] = origin
    headers.add("Access-Control-Expose-Headers", EXPOSED)
    if request.method == "OPTIONS":
        headers["Access-Control-Allow-Methods"] = headers.get("Allow", "GET, POST, HEAD, OPTIONS")
        headers["Access-Control-Allow-Headers"] = "Content-Type, Accept, X-API-Key, X-Request-ID, If-None-Match"
        headers["Access-Control-Max-Age"] = "86400"


def _preflight(response: Response) -> None:
    if request.method == "OPTIONS" and response.status_code == 200:
        response.status_code = 204
        response.set_data(b"")
