"""Reads requests strictly: the JSON body, the query, and the form in which the answer is wanted."""

import re
from collections.abc import Callable
from typing import Any
from urllib.parse import unquote_to_bytes

from flask import request
from marshmallow import ValidationError
from werkzeug.datastructures import MIMEAccept, MultiDict
from werkzeug.exceptions import UnsupportedMediaType

from service.errors import FasteningError, Fault, QueryError, UnreadableBodyError
from service.schemas.fields import Choice, Flag, Items, Number, Strict, Text, show
from service.schemas.hints import cure_of, near, near_field, unit_of
from service.schemas.loading import load
from service.schemas.twins import as_sent
from service.web.current import noted, settings
from service.web.problems import MEDIA_TYPE as PROBLEM
from service.web.problems import NotOfferedError
from service.web.strict_json import parse_json

LONGEST_QUERY = 4096
MEDIA_TYPES = {"json": "application/json", "csv": "text/csv", "svg": "image/svg+xml", "pdf": "application/pdf"}
"""Every form an answer may have; which of them an address offers, its operation says."""
_BAD_ESCAPE = re.compile(rb"%(?![0-9A-Fa-f]{2})")
_NAMES_A_FORM = re.compile(rb"format|table|%[4-7]")


def read_json() -> Any:
    """Return the JSON body of the request.

    Raises
    ------
    UnreadableBodyError
        Anything that is not one clear JSON value in UTF-8.
    """
    environ = request.environ
    if environ.get("CONTENT_TYPE") != "application/json" or "HTTP_CONTENT_ENCODING" in environ:
        _check_type()
    raw = _read(environ)
    noted().bytes_in = len(raw)
    return parse_json(raw)


def _check_type() -> None:
    if request.mimetype != "application/json" or request.headers.get("Content-Encoding", "identity") != "identity":
        raise UnsupportedMediaType()
    if request.mimetype_params.get("charset", "utf-8").lower() not in ("utf-8", "utf8"):
        raise UnsupportedMediaType()


def _read(environ: dict[str, Any]) -> bytes:
    """Return the body as it was sent, its bytes counted while they are read."""
    limit = settings().max_body_bytes
    length = request.content_length if environ.get("CONTENT_LENGTH") else None
    if length is not None and length > limit:
        raise _too_large(limit, length)
    # A body without a length ends by itself only where the server says so; elsewhere reading on would wait for ever.
    most = length if length is not None else limit + 1 if environ.get("wsgi.input_terminated") else 0
    raw = _read_up_to(most, environ["wsgi.input"].read)
    if len(raw) > limit:
        raise _too_large(limit, None)
    if length is not None and len(raw) < length:
        raise UnreadableBodyError("invalid_json", "the body ended before its Content-Length")
    return raw


def _read_up_to(most: int, read: Callable[[int], bytes]) -> bytes:
    """Return so many bytes, or all there are: one read may return a part."""
    raw = b""
    try:
        while len(raw) < most and (piece := read(most - len(raw))):
            raw = raw + piece if raw else piece
    except (OSError, ValueError) as error:
        raise UnreadableBodyError("invalid_json", "the body could not be read to its end") from error
    except Exception as error:
        # gunicorn has no common error for chunks it cannot read, and this file is not to depend on the server.
        if type(error).__module__.startswith("gunicorn"):
            raise UnreadableBodyError("invalid_json", "the chunked body is malformed") from error
        raise
    return raw


def _too_large(limit: int, received: int | None) -> UnreadableBodyError:
    return UnreadableBodyError(
        "body_too_large", f"the body may have {limit} bytes", limit=limit, received=show(received), setting="APP_MAX_BODY_BYTES"
    )


def _check_encoding(query: bytes) -> None:
    if len(query) > LONGEST_QUERY:
        said = f"the query may have {LONGEST_QUERY} bytes; use POST for long questions"
        raise UnreadableBodyError("uri_too_long", said, limit=LONGEST_QUERY, received=show(len(query)))
    try:
        unquote_to_bytes(query.replace(b"+", b" ")).decode("utf-8")
        if _BAD_ESCAPE.search(query):
            raise ValueError
    except ValueError:
        raise UnreadableBodyError("invalid_json", "the query is badly percent-encoded; use UTF-8") from None


def read_query(schema: Strict | None, extra: tuple[str, ...] = ()) -> dict[str, Any]:
    """Return the query parameters as typed values, by the fields of a schema.

    Raises
    ------
    QueryError
        A parameter that is unknown, sent twice or not of its type; with it, all other faults of the fields.
    """
    sent = request.query_string
    if not sent:
        return {}
    _check_encoding(sent)
    args: MultiDict[str, str] = request.args
    faults: list[Fault] = []
    out: dict[str, Any] = {}
    fields, elsewhere, twins = (schema.fields, schema.elsewhere, schema.twins) if schema else ({}, {}, ())
    known: dict[str, Any] = {**fields, **dict.fromkeys((*extra, "format"))}
    for name, values in args.lists():
        field: Any = known.get(name)
        if name not in known:
            cure = cure_of(name, known)
            said = elsewhere.get(name, f"is not a parameter here; {cure}" if cure else "is not a parameter here")
            silent = name in elsewhere or cure and unit_of(name)
            hint = {} if silent else near_field(name, known, [metric for _, metric, _, _ in twins])
            faults.append(Fault("unknown_field", said, (name[:64],), hint))
        elif not isinstance(field, Items) and len(values) > 1:
            faults.append(Fault("repeated_parameter", "stands more than once", (name,)))
        elif name in fields:
            try:
                out[name] = [_typed(field.inner, v) for v in values] if isinstance(field, Items) else _typed(field, values[0])
            except ValidationError as error:
                faults += [f.under(name) for f in error.messages if isinstance(f, Fault)]
    if faults:
        raise QueryError(*faults, *(_others(schema, out, {f.path[0] for f in faults}) if schema else ()))
    return out


def _typed(field: Any, text: str) -> Any:
    return field.from_text(text) if isinstance(field, Number | Flag | Text | Choice) else text


def _others(schema: Strict, out: dict[str, Any], told: set[str | int]) -> list[Fault]:
    """Return the faults of the parameters that could be read, so that one look at a refusal is enough."""
    try:
        load(schema, out)
    except FasteningError as error:
        return [as_sent(f, out) for f in error.faults if not told & set(f.path[:1])]
    return []


def output_form(offered: tuple[str, ...] = ("json",), tables: tuple[str, ...] = ()) -> tuple[str, str]:
    """Return the output form, one of those offered, and the table of a csv; `format` overrides Accept.

    Raises
    ------
    QueryError
        A form or a table that is not offered here.
    NotOfferedError
        No form that Accept takes is offered here.
    """
    plain = request.environ.get("HTTP_ACCEPT", "*/*") in ("*/*", "application/json")
    if plain and not _NAMES_A_FORM.search(request.query_string):
        return "json", tables[0] if tables else ""
    form = request.args.get("format")
    if form is None:
        form = _accepted(offered)
    elif form not in offered:
        raise QueryError(Fault("unknown_value", f"must be one of {', '.join(offered)}", ("format",), {"received": form}))
    table = request.args.get("table", tables[0] if tables else "")
    if tables and table not in tables:
        raise QueryError(
            Fault("unknown_value", f"must be one of {', '.join(tables)}", ("table",), {"received": table, **near(table, tables)})
        )
    return form, table


def _accepted(offered: tuple[str, ...]) -> str:
    """Return the form that Accept likes best; parameters of a media range but q do not tell our forms apart."""
    taken = MIMEAccept((media.partition(";")[0].strip(), quality) for media, quality in request.accept_mimetypes)
    if not taken:
        return "json"
    best = taken.best_match([*(MEDIA_TYPES[form] for form in offered), PROBLEM])
    if best is None:
        raise NotOfferedError(*(MEDIA_TYPES[form] for form in offered))
    return next((form for form in offered if MEDIA_TYPES[form] == best), "json")
