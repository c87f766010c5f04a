"""Reads requests strictly: the JSON body, the query, and the form in which the answer is wanted."""

import re
from typing import Any
from urllib.parse import unquote_to_bytes

from flask import request
from marshmallow import Schema
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import BadRequest, NotAcceptable, RequestEntityTooLarge, RequestURITooLarge, UnsupportedMediaType

from service.errors import Fault, QueryError, UnreadableBodyError
from service.schemas.fields import Choice, Flag, Items, Number, Text, near, show
from service.web.current import noted, settings
from service.web.strict_json import parse_json

LONGEST_QUERY = 4096
_NAMES_A_FORM = re.compile(rb"format|table|%[4-7]")


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
    noted().bytes_in = len(raw)
    return parse_json(raw)


def _too_large(limit: int, received: int | None) -> UnreadableBodyError:
    return UnreadableBodyError(
        "body_too_large", f"the body may have {limit} bytes", limit=limit, received=show(received), setting="APP_MAX_BODY_BYTES"
    )


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
