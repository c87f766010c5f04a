"""A gunicorn worker that refuses in problem documents and does not name its version."""

import io
import itertools
import os
import signal
import socket
import sys
import time
from collections.abc import Iterable
from typing import Any
from wsgiref.util import setup_testing_defaults

from flask import Flask
from gunicorn.arbiter import Arbiter
from gunicorn.http.errors import (
    InvalidHeader,
    InvalidResponseHeader,
    InvalidResponseHeaderName,
    LimitRequestHeaders,
    LimitRequestLine,
    ParseException,
)
from gunicorn.http.wsgi import Response as WsgiResponse
from gunicorn.workers import base
from gunicorn.workers.sync import SyncWorker
from gunicorn.workers.workertmp import WorkerTmp
from werkzeug.exceptions import RequestTimeout, ServiceUnavailable

from service.web import metrics
from service.web.current import noted
from service.web.headers import Layer
from service.web.problems import PROBLEMS, document, problem_response
from service.web.scrape import Scraper
from service.web.wire import STOP_READS_S, Wire, read_head

LAST_WORD_S = 1.0


class Keeper(Arbiter):  # type: ignore[misc]  # gunicorn ships no types
    """The parent of the workers; what it tells a worker that has only just been made is kept until that one can hear.

    A new worker has its parent's handlers until it sets its own. They would put a request to stop into a queue that nobody
    reads, and the parent would wait for that worker as long as a stop may take.
    """

    scraper: Scraper | None = None
    """The listener of the counts, where there is one."""

    def __init__(self, app: Any) -> None:
        super().__init__(app)
        self.places: dict[int, str] = {}

    def spawn_worker(self) -> Any:
        """Make a worker, which lets signals in when it has its handlers, and counts in the first place that is free."""
        place = next(str(n) for n in itertools.count() if str(n) not in self.places.values())
        signal.pthread_sigmask(signal.SIG_BLOCK, self.SIGNALS)
        try:
            with metrics.counting_as(place):
                pid = super().spawn_worker()
        finally:
            signal.pthread_sigmask(signal.SIG_UNBLOCK, self.SIGNALS)
        self.places[pid] = place
        return pid

    def manage_workers(self) -> None:
        """See that all are there that should be."""
        if self.scraper:
            self.scraper.keep()
        super().manage_workers()

    def forget(self, pid: int) -> None:
        """Free the place of a worker that is gone."""
        place = self.places.pop(pid, None)
        if place and metrics.counts:
            metrics.counts.forget(place)

    def clear_up(self) -> None:
        """Leave nothing behind."""
        if self.scraper:
            self.scraper.end()


class SignOfLife(WorkerTmp):  # type: ignore[misc]  # gunicorn ships no types
    """The file by which a worker shows its parent that it lives, in memory alone.

    A folder for it may be full or read-only, which would stop the start, and may be on a disk, for which a worker would wait.
    """

    def __init__(self, cfg: Any) -> None:
        self._tmp = io.FileIO(os.memfd_create("sign-of-life"), "r+")


if hasattr(os, "memfd_create"):  # Linux
    base.WorkerTmp = SignOfLife


class OverrunError(BaseException):
    """A request took longer than it may; no `except Exception` on its way can keep it."""


class Worker(SyncWorker):  # type: ignore[misc]  # gunicorn ships no types
    """The plain worker, with our own words for what it refuses, and an end to every request."""

    stopped: float | None = None
    """Since when it has been told to stop."""

    def init_process(self) -> None:
        """Run; an error that ends the worker is told in one line, where gunicorn prints a second one."""
        try:
            super().init_process()
        except Exception:
            self.log.exception("a worker ended")
            sys.exit(1 if self.booted else Arbiter.WORKER_BOOT_ERROR)

    def init_signals(self) -> None:
        """Add the alarm of a request that overruns, and let in what was kept back since the fork."""
        super().init_signals()
        signal.signal(signal.SIGALRM, _overrun)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, Arbiter.SIGNALS)

    def handle_exit(self, sig: int, frame: Any) -> None:
        """Begin to stop, and know since when."""
        self.stopped = self.stopped or time.monotonic()
        super().handle_exit(sig, frame)

    def run(self) -> None:
        """Serve; when told to stop, serve also who came before: a connection that waits would be reset."""
        super().run()
        while self.stopped and time.monotonic() < self.stopped + STOP_READS_S:
            try:
                self.accept(self.sockets[0])
            except OSError:  # nobody waits any more
                return

    def handle(self, listener: Any, client: socket.socket, addr: Any) -> None:
        """Serve one connection, remembering what came in."""
        super().handle(listener, Wire(client, self.app.settings.client_timeout_s, lambda: self.stopped), addr)

    def handle_request(self, listener: Any, req: Any, client: Wire, addr: Any) -> None:
        """Serve one request whose head was read."""
        client.head_read = True
        if req.version >= (1, 1) and not any(name == "HOST" for name, _ in req.headers):
            raise InvalidHeader("HOST", req=req)  # RFC 9112 section 3.2
        self.notify()  # the time that the headers took is not the request's
        # Under overload a request may have lain before a worker took it: what nobody waits for any longer is not begun.
        left = self.app.settings.request_timeout_s - client.waited_s
        if left <= 0:
            raise OverrunError()
        # Again each second: an exception raised inside a finalizer is lost.
        signal.setitimer(signal.ITIMER_REAL, left, 1.0)
        try:
            super().handle_request(listener, req, client, addr)
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)

    def handle_error(self, req: Any, client: Wire, addr: Any, exc: BaseException) -> None:
        """Answer a request that never reached the app, or that the app could not answer."""
        signal.setitimer(signal.ITIMER_REAL, 0)  # the alarm may have come while it was being stopped
        code = problem_code(exc)
        if code == "internal_error":
            self.log.exception("error handling a request")
        if client.answered:
            self.log.warning("an answer was cut off: %s", code)
            return  # a second answer would be read as part of the first
        try:
            client.settimeout(LAST_WORD_S)
            client.say(refusal(self.wsgi, client, code))
        except OSError:
            self.log.debug("the client left before the refusal")


def _overrun(number: int, frame: object) -> None:
    raise OverrunError()


def problem_code(exc: BaseException) -> str:
    """Return the code of the problem that an exception is; SystemExit is gunicorn's own last resort."""
    if isinstance(exc, OverrunError | ServiceUnavailable | SystemExit):
        return "overloaded"
    if isinstance(exc, RequestTimeout):
        return "request_timeout"
    if isinstance(exc, LimitRequestLine):
        return "uri_too_long"
    if isinstance(exc, LimitRequestHeaders):
        return "headers_too_large"
    ours = isinstance(exc, InvalidResponseHeader | InvalidResponseHeaderName)
    return "bad_request" if isinstance(exc, ParseException) and not ours else "internal_error"


def refusal(app: Flask, client: Wire, code: str) -> bytes:
    """Return the answer to a request that the app cannot see.

    The layer around the app puts headers on it and logs it, so that it differs from other problems in nothing.
    """
    head = read_head(client.heard)
    environ = {**head.environ(), "wsgi.input": io.BytesIO(), "wsgi.errors": sys.stderr}
    setup_testing_defaults(environ)
    told: list[str] = []

    def refuse(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        with app.request_context(environ):
            noted().started = client.since
            body = document(code, PROBLEMS[code].about, head.path, noted().request_id, app.config["SETTINGS"].public_url)
            answer: Iterable[bytes] = problem_response(body)(environ, start_response)
            return answer

    def start(status: str, headers: list[tuple[str, str]], exc_info: Any = None) -> None:
        told.extend((f"HTTP/1.1 {status}", "Connection: close", *(f"{name}: {value}" for name, value in headers), "", ""))

    body = b"".join(Layer(refuse, app.config["SETTINGS"])(environ, start))
    return "\r\n".join(told).encode("latin1") + body


def _plain_headers(self: WsgiResponse) -> list[str]:
    """Leave out the server's name, and speak no version of HTTP that we do not know."""
    first, *others = _default_headers(self)
    if self.req.version > (1, 1):
        first = f"HTTP/1.1 {self.status}\r\n"
    return [first, *(line for line in others if not line.startswith("Server:"))]


_default_headers = WsgiResponse.default_headers
WsgiResponse.default_headers = _plain_headers
