"""Operations addresses, outside /v1: alive, ready, version."""

import os
from functools import lru_cache
from typing import Any

from flask import Blueprint, Response

from service import API_VERSION
from service.tables.book import checksum, open_book
from service.web.edge import send, settings

RETRY_AFTER_S = "5"
operations = Blueprint("operations", __name__)


@operations.after_app_request
def say_when(response: Response) -> Response:
    """Say on every 503 when to come again."""
    if response.status_code == 503:
        response.headers.setdefault("Retry-After", RETRY_AFTER_S)
    return response


@operations.get("/livez")
def livez() -> Response:
    """Say that the process runs."""
    return send({"status": "ok"}, "no-store")


@operations.get("/readyz")
def readyz() -> Response:
    """Say whether requests should come: tables loaded and whole, not draining."""
    drain = settings().drain_file
    why = "draining" if drain and os.path.exists(drain) else None if tables_whole() else "tables changed on disk"
    body: dict[str, Any] = {"status": "ok"} if why is None else {"status": why}
    response = send(body, "no-store")
    response.status_code = 200 if why is None else 503
    return response


@lru_cache(maxsize=1)
def tables_whole() -> bool:
    """Whether the tables on disk are those that were read at the start."""
    return checksum() == open_book().checksum


@operations.get("/version")
def version() -> Response:
    """Say which service and which data."""
    return send({"api_version": API_VERSION, "data_version": open_book().data_version, "build": settings().build}, "no-store")
