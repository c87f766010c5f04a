"""What the measurements share: processes started and watched, a load, and tables in Markdown."""

import contextlib
import http.client
import io
import os
import platform
import signal
import socket
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from typing import Any

from werkzeug.test import EnvironBuilder

from service.__main__ import spare_the_collector
from service.app import create_app
from service.settings import Settings
from tests.benchmarks.questions import Question

ROOT = Path(__file__).parents[2]
TICKS_S = os.sysconf("SC_CLK_TCK")


def say_where(title: str) -> None:
    """Print what a figure depends on; the load is that of before the measurement."""
    load = " ".join(f"{n:.2f}" for n in os.getloadavg())
    print(f"\n### {title}\n")
    print(f"{datetime.now(UTC):%Y-%m-%d %H:%M} UTC, Python {platform.python_version()}, {os.cpu_count()} cores, load average {load}\n")


def say_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    for line in (head, ["---"] * len(head), *rows):
        print(f"| {' | '.join(line)} |", flush=True)


def spread(values: Sequence[float], digits: int = 2) -> str:
    """Return the median with the least and the most."""
    return f"{median(values):,.{digits}f} ({min(values):,.{digits}f} to {max(values):,.{digits}f})"


def cut(values: Sequence[float], percent: int) -> float:
    """Return what so many percent of the values do not pass."""
    return sorted(values)[min(len(values) - 1, len(values) * percent // 100)]


def made_as_at_the_start() -> Any:
    """Return the app, with the collector set as the service sets it: else its rounds over all tables fall into anybody's window."""
    app = create_app(Settings(log_level="error"))
    spare_the_collector()
    return app


def in_process(app: Any, questions: Iterable[Question]) -> float:
    """Return the CPU seconds of one request: from the request as the server hands it over to the last byte of the answer."""
    statuses: list[str] = []
    environs = []
    for q in questions:
        path, _, query = q.path.partition("?")
        kind = q.content_type if q.body is not None else None
        environs.append(
            EnvironBuilder(
                path, method=q.method, query_string=query, input_stream=io.BytesIO(q.body or b""), content_type=kind
            ).get_environ()
        )
        environs[-1]["CONTENT_LENGTH"] = str(len(q.body or b""))
    began = time.process_time()
    for environ in environs:
        answer = app(environ, lambda status, headers, exc_info=None: statuses.append(status))
        b"".join(answer)
        if hasattr(answer, "close"):
            answer.close()
    took = time.process_time() - began
    assert {s[:3] for s in statuses} == {"200"}, statuses
    return took / len(environs)


@dataclass
class Served:
    """A parent with its workers on loopback."""

    port: int
    process: "subprocess.Popen[bytes]"

    def workers(self) -> list[int]:
        return [int(n) for n in Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()]

    def cpu_s(self) -> float:
        """Return the seconds of CPU that the workers have used, by themselves and in the kernel."""
        lines = [Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split() for pid in self.workers()]
        return sum(int(line[11]) + int(line[12]) for line in lines) / TICKS_S

    def memory_kb(self, *names: str, of: Sequence[int] = ()) -> list[list[int]]:
        """Return so many lines of smaps_rollup for each worker, or for other processes."""
        found = []
        for pid in of or self.workers():
            lines = dict(line.split()[:2] for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()[1:])
            found.append([int(lines[f"{name}:"]) for name in names])
        return found


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    return port


def start_service(port: int, workers: int) -> "subprocess.Popen[bytes]":
    """Start the service as it is started in earnest, with its log on, which nobody reads."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith("APP_")}
    env = kept | {"APP_LISTEN": f"127.0.0.1:{port}", "APP_WORKERS": str(workers)}
    return subprocess.Popen([sys.executable, "-m", "service"], cwd=ROOT, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def start_bare(port: int, workers: int) -> "subprocess.Popen[bytes]":
    options = ["--bind", f"127.0.0.1:{port}", "--workers", str(workers), "--preload", "--log-level", "error", "--no-control-socket"]
    return subprocess.Popen([sys.executable, "-m", "gunicorn", *options, "tests.benchmarks.bare:app"], cwd=ROOT, stderr=subprocess.DEVNULL)


@contextmanager
def serving(start: Callable[[int, int], "subprocess.Popen[bytes]"], path: str, workers: int) -> Iterator[Served]:
    """Start, wait until it answers, and stop at the end."""
    port = free_port()
    process = start(port, workers)
    try:
        wait_for(process, port, path)
        served = Served(port, process)
        while len(served.workers()) < workers:  # the first of them answers before the others are there
            time.sleep(0.01)
        yield served
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(30)


def wait_for(process: "subprocess.Popen[bytes]", port: int, path: str) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        assert process.poll() is None, "it ended before it answered"
        with contextlib.suppress(OSError, http.client.HTTPException):
            if ask(port, Question("GET", path).wire()) == 200:
                return
        time.sleep(0.01)
    raise AssertionError("it does not answer")


def ask(port: int, request: bytes) -> int:
    """Send a request, read the whole answer, and return its status, 0 where the connection broke off before one came."""
    with socket.create_connection(("127.0.0.1", port), 60) as wire:
        answer = b""
        with contextlib.suppress(ConnectionError):  # a body too large is refused while it is sent
            wire.sendall(request)
        with contextlib.suppress(ConnectionError):
            while more := wire.recv(65536):
                answer = answer or more
    return int(answer[9:12] or 0)


@dataclass
class Load:
    """Clients that ask one after another, each question another one."""

    port: int
    question: Callable[[int], Question]
    first: int = 0
    took: list[float] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)

    def run(self, clients: int, seconds: float | None = None, count: int | None = None) -> float:
        """Ask for so long, or so many; return the seconds it took."""
        began, numbers, lock = time.perf_counter(), iter(range(self.first, self.first + (count or sys.maxsize))), threading.Lock()

        def ask_on() -> None:
            while seconds is None or time.perf_counter() - began < seconds:
                with lock:
                    n = next(numbers, None)
                if n is None:
                    return
                request = self.question(n).wire()
                asked = time.perf_counter()
                status = ask(self.port, request)
                with lock:
                    self.took.append(time.perf_counter() - asked)
                    self.statuses[status] += 1

        threads = [threading.Thread(target=ask_on) for _ in range(clients)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.first += len(self.took)
        return time.perf_counter() - began
