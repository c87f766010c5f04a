"""Turns the registry into routes, with the contract and the quote page beside them."""

from typing import Any

import orjson
from flask import Flask, Response, request

from service.errors import FasteningError, QueryError
from service.said import worded
from service.schemas.answers.envelope import Reply, write
from service.schemas.answers.parts import first_word
from service.schemas.twins import as_sent
from service.web import front
from service.web.batches import units_of
from service.web.contract import build
from service.web.current import noted
from service.web.handlers import bracing, inspections, joints, reference, schedules, shear, strengths, substitutions, takeoffs, ties, walls
from service.web.kept import Kept, Made
from service.web.metrics import tally
from service.web.reading import MEDIA_TYPES, output_form, read_json, read_query
from service.web.registry import OPERATIONS, REFERENCE, Operation
from service.web.sending import CSV, send_bytes, tag

ROOMS = (joints, walls, takeoffs, strengths, substitutions, shear, bracing, ties, schedules, inspections, reference)
"""Importing these rooms registers their addresses."""
TYPES = {**MEDIA_TYPES, "csv": CSV}


def install(app: Flask) -> None:
    """Add every address to the app."""
    kept = app.config["KEPT"] = Kept()
    locked = bool(app.config["SETTINGS"].api_keys_file)
    for o in OPERATIONS:
        rule = o.path.replace("{", "<").replace("}", ">")
        app.add_url_rule(rule, o.operation_id, _view(o, kept, locked), methods=[o.method])
    document = orjson.dumps(build(app.config["SETTINGS"]))
    etag = tag(document)

    @app.get("/v1/openapi.json")
    def contract() -> Response:
        output_form()
        read_query(None)
        return send_bytes(document, REFERENCE, etag)

    front.install(app)


def _written(o: Operation, reply: Reply, form: str, table: str) -> bytes:
    noted().max_severity, noted().tally = first_word(reply.cautions), tally(o.shape, reply)
    if form in o.drawn:
        return o.drawn[form](reply)
    if form == "csv":
        return o.sheets[table or next(iter(o.sheets))].write(reply.entries, reply.units == "metric")
    return worded(orjson.dumps(write(o.shape, reply)), reply.units == "metric")


def _file_name(path: str, form: str) -> str:
    """Return the file name of an answer that is no JSON: the words of the address, without the version and the ids."""
    words = [word for word in path.split("/")[2:] if not word.startswith("{")]
    return f"{'-'.join(words)}.{form}"


def _view(o: Operation, kept: Kept, locked: bool) -> Any:
    """Return the view of an operation; `locked` where callers need a key, so that no store of others may keep its answers.

    A GET is a pure computation, so its bytes are kept by query: the tables cannot change while the process runs.
    """
    cache = o.cache.replace("public", "private") if locked else o.cache
    names = {form: "" if form == "json" else _file_name(o.path, form) for form in o.forms}

    def answered(raw: Any, path: dict[str, str], form: str, table: str) -> bytes:
        try:
            return _written(o, o.handler(raw, **path), form, table)
        except QueryError:  # a table or a form that this question has not: it is of the query, whatever the body says
            raise
        except FasteningError as error:
            noted().metric = units_of(raw) == "metric"
            raise FasteningError(*(as_sent(f, raw) for f in error.faults)) from None

    also = ("table",) if o.tables else ()

    def made(query: bytes, path: dict[str, str], form: str, table: str) -> Made:
        question = (o.operation_id, query, *path.values(), form)
        found = kept.find(question)
        if found is None:
            raw = answered(read_query(o.ask, also), path, form, table)
            found = Made(raw, tag(raw), noted().max_severity, noted().tally)
            kept.keep(question, found, len(query))
        return found

    def get(**path: str) -> Response:
        form, table = output_form(o.forms, o.tables)
        answer = made(request.query_string, path, form, table)
        noted().max_severity, noted().tally = answer.max_severity, answer.tally
        return send_bytes(answer.raw, cache, answer.tag, TYPES[form], name=names[form])

    def post(**path: str) -> Response:
        form, table = output_form(o.forms, o.tables)
        read_query(None, also)
        raw = answered(read_json(), path, form, table)
        return send_bytes(raw, cache, "", TYPES[form], name=names[form])

    return get if o.method == "GET" else post
