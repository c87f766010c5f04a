"""Sends answers: bytes, tags, and how long they may be kept."""

import hashlib
from typing import Any

import orjson
from flask import Response, request

CSV = "text/csv; charset=utf-8; header=present"


def send(body: dict[str, Any], cache: str) -> Response:
    """Send an answer; GET answers carry a strong tag and honour If-None-Match."""
    raw = orjson.dumps(body)
    return send_bytes(raw, cache, tag(raw) if cache != "no-store" else "")


def tag(raw: bytes) -> str:
    """Return the tag of an answer: its content, in which the data version stands."""
    return hashlib.blake2b(raw, digest_size=12).hexdigest()


def send_bytes(raw: bytes, cache: str, etag: str, content_type: str = "application/json", *, name: str = "") -> Response:
    """Send bytes that are already written; `name` is what a browser calls them when it keeps them."""
    response = Response(raw, content_type=content_type)
    response.headers["Cache-Control"] = cache
    if name:
        response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    if etag:
        response.headers["ETag"] = f'"{etag}"'
        if "HTTP_IF_NONE_MATCH" in request.environ and request.if_none_match.contains_weak(etag):
            response.status_code = 304
            response.set_data(b"")
    return response
