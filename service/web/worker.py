"""A gunicorn worker that refuses in problem documents and does not name its version."""

import uuid
from typing import Any

import orjson
from gunicorn import util
from gunicorn.http.errors import LimitRequestHeaders, LimitRequestLine
from gunicorn.http.wsgi import Response as WsgiResponse
from gunicorn.workers.sync import SyncWorker

from service import API_VERSION
from service.web.problems import MEDIA_TYPE, PROBLEMS, document


class Worker(SyncWorker):  # type: ignore[misc]  # gunicorn ships no types
    """The plain worker, with our own words for requests it cannot read."""

    def handle_error(self, req: Any, client: Any, addr: Any, exc: BaseException) -> None:
        """Answer a request that never reached the app."""
        code = (
            "uri_too_long"
            if isinstance(exc, LimitRequestLine)
            else "headers_too_large"
            if isinstance(exc, LimitRequestHeaders)
            else "bad_request"
        )
        if not (type(exc).__module__ or "").startswith("gunicorn"):
            self.log.exception("error handling a request")
            code = "internal_error"
        request_id = uuid.uuid4().hex
        raw = orjson.dumps(document(code, PROBLEMS[code].about, "", request_id))
        status = PROBLEMS[code].status
        head = (
            f"HTTP/1.1 {status} {PROBLEMS[code].title}\r\nConnection: close\r\nContent-Type: {MEDIA_TYPE}\r\nContent-Length: {len(raw)}\r\n"
            f"API-Version: {API_VERSION}\r\nAccess-Control-Allow-Origin: *\r\nCache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\n"
            f"Referrer-Policy: no-referrer\r\nX-Request-ID: {request_id}\r\nVary: Accept, Accept-Encoding\r\n"
            f"Content-Security-Policy: default-src 'none'; frame-ancestors 'none'\r\n\r\n"
        )
        try:
            util.write_nonblock(client, head.encode("latin1") + raw)
        except OSError:
            self.log.debug("the client left before the refusal")


def _plain_headers(self: WsgiResponse) -> list[str]:
    return [line for line in _default_headers(self) if not line.startswith("Server:")]


_default_headers = WsgiResponse.default_headers
WsgiResponse.default_headers = _plain_headers
