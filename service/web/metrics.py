"""What is counted, where the operator asks for it; workers count into shared files that one listener adds up.

Labels are words of our own: a method, address or code that is not known here is one fixed word, so that nothing a caller sends
makes a new one.
"""

import os
import shutil
import tempfile
from collections import Counter as Sum
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from service.schemas.answers.declare import Shape
from service.schemas.answers.envelope import Reply
from service.schemas.answers.outcomes import outcomes_in
from service.web.lines import Lines

METHODS = frozenset(("GET", "HEAD", "OPTIONS", "POST"))
OTHER = "other"
BUCKETS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10)
MEMORY = "/dev/shm"  # nosec B108: a folder of our own is made there
FOLDER = "PROMETHEUS_MULTIPROC_DIR"


class Tally(NamedTuple):
    """What an answer adds to the counts; kept with the answer where that is kept."""

    outcomes: tuple[tuple[str, int], ...]
    caution_codes: tuple[str, ...]


class Counts:
    """All counters of a process; `identity` names its files, and whoever takes the place of a worker that died goes on in them."""

    def __init__(self) -> None:
        self.identity = "parent"
        self.folder = tempfile.mkdtemp(prefix="wall-fastening-", dir=MEMORY if os.access(MEMORY, os.W_OK) else None)
        os.environ[FOLDER] = self.folder
        # Here, since the package reads the variable when it is imported, and need not be installed.
        from prometheus_client import Counter, Gauge, Histogram, values

        values.ValueClass = values.MultiProcessValue(lambda: self.identity)  # type: ignore[no-untyped-call]
        self.requests = Counter("http_requests_total", "Requests answered, refused ones too.", ("method", "route", "status"))
        self.seconds = Histogram(
            "http_request_duration_seconds",
            "From the first byte of the head to the head of the answer.",
            ("route", "method"),
            buckets=BUCKETS,
        )
        self.in_flight = Gauge("http_requests_in_flight", "Requests being answered.", multiprocess_mode="livesum")
        self.items = Counter("app_items_total", "Outcomes in answers, and refused items of batches.", ("outcome",))
        self.cautions = Counter("app_cautions_total", "Answers that carry a caution.", ("code",))
        self.problems = Counter("app_problems_total", "Refusals by code.", ("code",))
        self.deprecated = Counter("app_deprecated_requests_total", "Requests to what will go.", ("route",))
        self.lost_lines = Counter("app_log_lines_dropped_total", "Log lines that nobody read in time.")
        Lines.lost = staticmethod(self.lost_lines.inc)
        self._known: dict[tuple[Any, ...], Any] = {}

    def request(self, method: str, route: str | None, status: str, seconds: float, deprecated: bool) -> None:
        """Count a request."""
        method, route = method if method in METHODS else OTHER, route or OTHER
        self._child(self.requests, method, route, status).inc()
        self._child(self.seconds, route, method).observe(seconds)
        if deprecated:
            self._child(self.deprecated, route).inc()

    def answer(self, tally: Tally | None, problem_code: str | None) -> None:
        """Count what an answer says."""
        if problem_code:
            self._child(self.problems, problem_code).inc()
        if tally:
            for outcome, count in tally.outcomes:
                self._child(self.items, outcome).inc(count)
            for code in tally.caution_codes:
                self._child(self.cautions, code).inc()

    def _child(self, metric: Any, *labels: str) -> Any:
        """Return a counter with its labels, found once: the package checks them each time."""
        key = (metric, *labels)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = metric.labels(*labels)
        return found

    def forget(self, identity: str) -> None:
        """Count nothing as in flight at a worker that is gone."""
        from prometheus_client import multiprocess

        multiprocess.mark_process_dead(identity, self.folder)  # type: ignore[no-untyped-call]

    def end(self) -> None:
        """Remove the files."""
        shutil.rmtree(self.folder, ignore_errors=True)


counts: Counts | None = None
"""None where nothing is counted."""


def begin() -> Counts:
    """Begin to count in this process and in those that part from it."""
    global counts
    counts = counts or Counts()
    return counts


@contextmanager
def counting_as(identity: str) -> Iterator[None]:
    """Give an identity to the process that is made inside; this one has its own again after."""
    if counts is None:
        yield
        return
    own, counts.identity = counts.identity, identity
    try:
        yield
    finally:
        if counts:
            counts.identity = own


def tally(shape: type[Shape], reply: Reply) -> Tally | None:
    """Return what an answer adds to the counts, where there are any."""
    if counts is None:
        return None
    return Tally(tuple(Sum(outcomes_in(shape, reply)).items()), tuple(c.code for c in reply.cautions))
