"""One JSON line per request on stdout; no bodies, no queries, no addresses."""

import logging
import sys
import time
from datetime import UTC, datetime
from types import TracebackType
from typing import Any

import orjson
from gunicorn.glogging import Logger

from service import API_VERSION
from service.tables.book import open_book
from service.web.current import Noted

QUIET = ("/livez", "/readyz", "/version")
log = logging.getLogger("service")


class JsonLines(logging.Formatter):
    """Write a record as one JSON line; no input can start a new one."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line = {
            "ts": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "msg": record.getMessage(),
        }
        line.update(getattr(record, "facts", {}))
        if record.exc_info:
            line["exception"] = self.formatException(record.exc_info)
        return orjson.dumps(line).decode()


class ServerLog(Logger):  # type: ignore[misc]  # gunicorn ships no types
    """What gunicorn itself has to say, on stderr, in the same JSON lines."""

    def setup(self, cfg: Any) -> None:
        """Write every line our way."""
        super().setup(cfg)
        for handler in self.error_log.handlers:
            handler.setFormatter(JsonLines())


def log_uncaught() -> None:
    """Write as JSON lines too what Python would print by itself."""

    def uncaught(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        log.critical("uncaught error", exc_info=(kind, error, trace))

    def lost(found: Any) -> None:
        log.error("error in a finalizer", exc_info=(found.exc_type, found.exc_value, found.exc_traceback))

    sys.excepthook, sys.unraisablehook = uncaught, lost


def set_up(level: str) -> None:
    """Send the service's log to stdout."""
    handler = logging.StreamHandler(sys.stdout)
    handler.setFormatter(JsonLines())
    log.handlers[:] = [handler]
    log.setLevel(level.upper())
    log.propagate = False


def _one_line(text: str) -> str:
    """Return text without what any reader of a log takes for the end of a line: not only control characters, U+0085 too."""
    return text if text.isprintable() else text.encode("unicode_escape").decode()


def log_request(environ: dict[str, Any], noted: Noted, status: str, headers: list[tuple[str, str]]) -> None:
    """Write the line of one request."""
    level = logging.DEBUG if environ["PATH_INFO"] in QUIET else logging.INFO
    if not log.isEnabledFor(level):
        return
    parent = environ.get("HTTP_TRACEPARENT", "").split("-")
    facts = {
        "request_id": noted.request_id,
        "trace_id": parent[1] if len(parent) == 4 and len(parent[1]) == 32 and parent[1].isalnum() else None,
        "method": environ["REQUEST_METHOD"],
        "route": noted.route,
        "status": int(status[:3]),
        "duration_s": round(time.perf_counter() - noted.started, 6),
        "bytes_in": noted.bytes_in,
        "bytes_out": int(dict(headers).get("Content-Length", 0)),
        "item_count": noted.item_count,
        "problem_code": noted.problem_code,
        "max_severity": noted.max_severity,
        "user_agent": _one_line(environ.get("HTTP_USER_AGENT", ""))[:128],
        "version": API_VERSION,
        "data_version": open_book().data_version,
    }
    log.log(level, "request", extra={"facts": facts})
