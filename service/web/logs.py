"""One JSON line per request on stdout; no bodies, no queries, no addresses."""

import logging
import re
import sys
import time
from types import TracebackType
from typing import Any

from gunicorn.glogging import Logger

from service import API_VERSION
from service.tables.book import open_book
from service.web.current import Noted
from service.web.lines import Lines, fitted, now

QUIET = ("/livez", "/readyz", "/version")
_TRACE = re.compile(r"(?!ff)[0-9a-f]{2}-(?!0{32})([0-9a-f]{32})-(?!0{16})[0-9a-f]{16}-[0-9a-f]{2}(?:-.*)?")
"""W3C Trace Context, section 3.2: what does not fit is not a trace."""
_WORDS = logging.Formatter()
log = logging.getLogger("service")


class JsonLines(logging.Handler):
    """Writes each record as one JSON line, which no input can end early, and never waits for whoever reads."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.lines = Lines(number)

    def emit(self, record: logging.LogRecord) -> None:
        """Write the line of a record."""
        try:
            self.lines.write(fitted(_line(record)))
        except Exception:  # a message that does not fit its arguments; telling so on stderr could wait
            self.lines.drop()

    def close(self) -> None:
        """Leave the descriptor."""
        self.lines.close()
        super().close()


def _line(record: logging.LogRecord) -> dict[str, Any]:
    line = {"ts": now(record.created), "level": record.levelname.lower(), "msg": _said(record.getMessage())}
    line.update(getattr(record, "facts", {}))
    if record.exc_info:
        line["exception"] = _said(_WORDS.formatException(record.exc_info))
    return line


def _said(text: str) -> str:
    """Return text that can be UTF-8: a file name may hold half a character."""
    return text if text.isascii() else text.encode("utf-8", "backslashreplace").decode()


class ServerLog(Logger):  # type: ignore[misc]  # gunicorn ships no types
    """What gunicorn itself has to say, on stderr, in the same JSON lines."""

    def setup(self, cfg: Any) -> None:
        """Write every line our way."""
        super().setup(cfg)
        self.error_log.handlers[:] = [JsonLines(2)]


def log_uncaught() -> None:
    """Write as JSON lines too what Python would print by itself."""

    def uncaught(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        log.critical("uncaught error", exc_info=(kind, error, trace))

    def lost(found: Any) -> None:
        log.error("error in a finalizer", exc_info=(found.exc_type, found.exc_value, found.exc_traceback))

    sys.excepthook, sys.unraisablehook = uncaught, lost


def set_up(level: str) -> None:
    """Send the service's log to stdout."""
    log.handlers[:] = [JsonLines(1)]
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
    trace = _TRACE.fullmatch(environ.get("HTTP_TRACEPARENT", ""))
    facts = {
        "request_id": noted.request_id,
        "trace_id": trace[1] if trace else None,
        "method": environ["REQUEST_METHOD"],
        "route": noted.route,
        "status": int(status[:3]),
        "duration_s": round(time.perf_counter() - noted.started, 6),
        "key_name": noted.key_name,
        "bytes_in": noted.bytes_in,
        "bytes_out": 0 if environ["REQUEST_METHOD"] == "HEAD" else int(dict(headers).get("Content-Length", 0)),
        "item_count": noted.item_count,
        "problem_code": noted.problem_code,
        "max_severity": noted.max_severity,
        "user_agent": _one_line(environ.get("HTTP_USER_AGENT", ""))[:128],
        "version": API_VERSION,
        "data_version": open_book().data_version,
    }
    log.log(level, "request", extra={"facts": facts})
