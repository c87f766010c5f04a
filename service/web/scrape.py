"""The listener of the counts: a process of its own, so that no thread is there when workers part, and none waits for a reader."""

import os
import shutil
import signal
import socket
from collections.abc import Iterator
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.util import find_spec
from typing import Any

from service import API_VERSION
from service.settings import SettingError
from service.tables.book import open_book
from service.web import metrics

PATH = "/metrics"
LOOK_S = 0.5
NEEDS = "APP_METRICS_LISTEN needs the package prometheus-client: .venv/bin/pip install '.[metrics]' -c docker/requirements.lock"


def check_installed() -> None:
    """Say what is missing before anything begins.

    Raises
    ------
    SettingError
        The package is not installed.
    """
    if find_spec("prometheus_client") is None:
        raise SettingError(NEEDS)


class Scraper:
    """The parent's hold on the process of the listener."""

    def __init__(self, listening: int, others: list[int]) -> None:
        self.counts, self.listening, self.others = metrics.begin(), listening, others
        self.pid = 0

    def keep(self) -> None:
        """Start the process, or start it anew when it is gone."""
        if self.pid and self._lives():
            return
        parent, caught = os.getpid(), signal.pthread_sigmask(signal.SIG_BLOCK, signal.valid_signals())
        try:
            self.pid = os.fork()
            if self.pid == 0:
                _serve(self.listening, self.others, self.counts.folder, parent)
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, caught)

    def _lives(self) -> bool:
        try:
            return os.waitid(os.P_PID, self.pid, os.WEXITED | os.WNOHANG | os.WNOWAIT) is None
        except ChildProcessError:  # the parent has heard of its end already
            return False

    def end(self) -> None:
        """End it, and remove what was counted."""
        if self.pid and self._lives():
            os.kill(self.pid, signal.SIGKILL)
        self.counts.end()


class Build:
    """Which service and which data, as a count that is always 1."""

    def collect(self) -> Iterator[Any]:
        """Yield it."""
        from prometheus_client.core import GaugeMetricFamily

        told = GaugeMetricFamily("app_build_info", "Which service and which data.", labels=("version", "data_version"))
        told.add_metric((API_VERSION, open_book().data_version), 1)
        yield told


class Page(BaseHTTPRequestHandler):
    """Answers whoever reads the counts."""

    timeout = 5

    def do_GET(self) -> None:
        """Answer the counts of all workers."""
        from prometheus_client import CollectorRegistry, generate_latest, multiprocess
        from prometheus_client.exposition import CONTENT_TYPE_LATEST

        if self.path.partition("?")[0] != PATH:
            self._say(HTTPStatus.NOT_FOUND, "text/plain; charset=utf-8", f"The counts are at {PATH}.\n".encode())
            return
        registry = CollectorRegistry()
        registry.register(Build())
        multiprocess.MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
        self._say(HTTPStatus.OK, CONTENT_TYPE_LATEST, generate_latest(registry))

    do_HEAD = do_GET

    def _say(self, status: HTTPStatus, media: str, body: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", media)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Cache-Control", "no-store")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def version_string(self) -> str:
        """Name no version."""
        return "metrics"

    def log_message(self, *_: Any) -> None:
        """Log nothing: this would be read more often than anything else happens."""


class Server(ThreadingHTTPServer):
    """Serves on a socket that listens already, as long as the parent lives."""

    def __init__(self, listening: int, folder: str, parent: int) -> None:
        super().__init__(("", 0), Page, bind_and_activate=False)
        self.socket.close()
        self.socket, self.folder, self.parent = socket.socket(fileno=listening), folder, parent

    def service_actions(self) -> None:
        """Leave with a parent that was killed and could not clear up."""
        if os.getppid() != self.parent:
            shutil.rmtree(self.folder, ignore_errors=True)
            os._exit(0)

    def handle_error(self, *_: Any) -> None:
        """Say nothing: a reader that leaves, or a file that is just being made, are read again soon."""


def _serve(listening: int, others: list[int], folder: str, parent: int) -> None:
    """Serve; only the parent says when that ends, since the last of the counts are read during a stop."""
    try:
        for name in signal.valid_signals() - {signal.SIGKILL, signal.SIGSTOP, signal.SIGCHLD}:
            signal.signal(name, signal.SIG_IGN)
        for number in set(others):  # or callers would wait on a socket that nobody accepts from
            os.close(number)
        Server(listening, folder, parent).serve_forever(LOOK_S)
    finally:
        os._exit(1)
