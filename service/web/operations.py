"""Operations addresses, outside /v1: alive, ready, version."""

import os
import time
from pathlib import Path

from flask import Blueprint, Response, current_app
from flask.sansio.blueprints import BlueprintSetupState

from service import API_VERSION
from service.tables.book import HERE, checksum, open_book
from service.web.current import settings
from service.web.problems import problem, problem_response
from service.web.sending import send

LOOK_EVERY_S = 1.0
WATCH = "table_watch"
operations = Blueprint("operations", __name__)


class TableWatch:
    """Whether the table files are still those that were read.

    Made once, before the workers part, so that all compare with the same start. Files are looked at at most once a second,
    and read only when a name, size or time is another than at the last look.
    """

    def __init__(self, root: Path = HERE) -> None:
        self.root, self.read = root, open_book(root).checksum
        self.looked, self.seen, self.good = time.monotonic(), stamps(root), self._equal()

    def whole(self) -> bool:
        """Return whether the files hold what was read at the start."""
        if time.monotonic() - self.looked >= LOOK_EVERY_S:
            self.looked, found = time.monotonic(), stamps(self.root)
            if found != self.seen:
                self.seen, self.good = found, self._equal()
        return self.good

    def _equal(self) -> bool:
        try:
            return checksum(self.root) == self.read
        except OSError:
            return False


def stamps(root: Path) -> list[tuple[str, int, int, int]]:
    """Return name, file, size and time of change of every table file."""
    try:
        found = [(str(path), path.stat()) for path in sorted(root.rglob("*.csv"))]
    except OSError:
        return []
    return [(name, s.st_ino, s.st_size, s.st_mtime_ns) for name, s in found]


@operations.record
def watch_tables(state: BlueprintSetupState) -> None:
    """Begin to watch when the app is made."""
    state.app.extensions[WATCH] = TableWatch()


@operations.get("/livez")
def livez() -> Response:
    """Say that the process runs."""
    return send({"status": "ok"}, "no-store")


@operations.get("/readyz")
def readyz() -> Response:
    """Say whether requests should come: tables loaded and whole, not draining."""
    drain = settings().drain_file
    if drain and os.path.exists(drain):
        return _not_ready("draining")
    watch: TableWatch = current_app.extensions[WATCH]
    return send({"status": "ok"}, "no-store") if watch.whole() else _not_ready("tables changed on disk")


def _not_ready(why: str) -> Response:
    return problem_response(problem("overloaded", why))


@operations.get("/version")
def version() -> Response:
    """Say which service and which data."""
    return send({"api_version": API_VERSION, "data_version": open_book().data_version, "build": settings().build}, "no-store")
