"""One layer around the app: request id, standing headers, cross-origin answers, preflights, and the log line."""

import os
import re
import time
from collections.abc import Callable, Iterable
from typing import Any

from service import API_VERSION
from service.settings import Settings
from service.web import metrics
from service.web.current import NOTED, Noted
from service.web.logs import log_request

_REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
ALWAYS = [  # unless a view has set its own
    ("API-Version", API_VERSION),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'"),
]
VARY = "Accept"
"""A proxy that packs answers adds Accept-Encoding itself."""
EXPOSED = ("Access-Control-Expose-Headers", "ETag, Retry-After, X-Request-ID, API-Version, Deprecation, Sunset, Link")
ASKED_AHEAD = [
    ("Access-Control-Allow-Headers", "Content-Type, Accept, X-API-Key, X-Request-ID, If-None-Match"),
    ("Access-Control-Max-Age", "86400"),
]
Headers = list[tuple[str, str]]


class Layer:
    """What every answer has in common, whatever inside the app made it."""

    def __init__(self, app: Callable[..., Iterable[bytes]], settings: Settings) -> None:
        self.app = app
        self.any_origin = settings.cors_origins == "*"
        self.always = [*ALWAYS, ("Link", f'<{settings.public_url}/v1/openapi.json>; rel="service-desc"')]
        self.origins = {o.strip() for o in settings.cors_origins.split(",")}

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        """Answer one request."""
        asked = environ.get("HTTP_X_REQUEST_ID", "")
        noted = environ[NOTED] = Noted(asked if _REQUEST_ID.fullmatch(asked) else os.urandom(16).hex())

        def start(status: str, headers: Headers, exc_info: Any = None) -> Any:
            if environ["REQUEST_METHOD"] == "OPTIONS" or status.startswith("405"):
                headers = [(k, _in_order(v) if k == "Allow" else v) for k, v in headers]
            if environ["REQUEST_METHOD"] == "OPTIONS":
                status, headers = _preflight(status, headers)
            own = {name for name, _ in headers}
            headers += [h for h in self.always if h[0] not in own]
            headers += [("X-Request-ID", noted.request_id), *self._cross_origin(environ)]
            log_request(environ, noted, status, headers)
            if metrics.counts:
                _count(metrics.counts, environ["REQUEST_METHOD"], noted, status, headers)
            return start_response(status, headers, exc_info)

        if metrics.counts is None:
            return self.app(environ, start)
        metrics.counts.in_flight.inc()
        try:
            return self.app(environ, start)
        finally:
            metrics.counts.in_flight.dec()

    def _cross_origin(self, environ: dict[str, Any]) -> Headers:
        if self.any_origin:
            return [("Vary", VARY), ("Access-Control-Allow-Origin", "*"), EXPOSED]
        vary = ("Vary", f"{VARY}, Origin")
        origin = environ.get("HTTP_ORIGIN", "")
        return [vary, ("Access-Control-Allow-Origin", origin), EXPOSED] if origin in self.origins else [vary]


def _count(counts: metrics.Counts, method: str, noted: Noted, status: str, headers: Headers) -> None:
    deprecated = any(name == "Deprecation" for name, _ in headers)
    counts.request(method, noted.route, status[:3], time.perf_counter() - noted.started, deprecated)
    counts.answer(noted.tally, noted.problem_code)


def _in_order(methods: str) -> str:
    """Sort a list: Flask has methods in a set, whose order is another in each process."""
    return ", ".join(sorted(methods.split(", ")))


def _preflight(status: str, headers: Headers) -> tuple[str, Headers]:
    """Say what may be sent; an address that is there needs no words for that, so no content and no type of it."""
    kept = [(k, v) for k, v in headers if k not in ("Content-Type", "Content-Length")] if status.startswith("200") else headers
    methods = dict(headers).get("Allow", "GET, POST, HEAD, OPTIONS")
    return "204 No Content" if kept is not headers else status, [*kept, ("Access-Control-Allow-Methods", methods), *ASKED_AHEAD]
