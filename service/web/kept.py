"""Keeps the bytes of answers to GET, bounded by bytes, the oldest out first."""

from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass
from threading import Lock

from service.web.metrics import Tally

MOST = 8_000_000
"""Bytes kept by a worker: some thousand single answers. Whoever asks ever new questions must not make it grow further."""
LARGEST = 65_536
"""Bytes of the largest answer kept: a few long lists would push out what is asked often, and cost least to make again a byte."""
BESIDE = 1_024
"""Bytes counted for what stands beside an answer: its key, tag and places in the store."""


@dataclass(frozen=True, slots=True)
class Made:
    """An answer as it was written, with its tag, the worst severity in it for the log line, and what it adds to the counts."""

    raw: bytes
    tag: str
    max_severity: str | None
    tally: Tally | None = None


class Kept:
    """Answers by question; the same question has the same answer as long as the process runs."""

    def __init__(self, most: int = MOST, largest: int = LARGEST) -> None:
        self.most, self.largest = most, largest
        self.size = 0
        self._made: OrderedDict[Hashable, tuple[Made, int]] = OrderedDict()
        self._lock = Lock()

    def find(self, question: Hashable) -> Made | None:
        """Return the answer of a question, if it is kept."""
        found = self._made.get(question)
        return found[0] if found else None

    def keep(self, question: Hashable, made: Made, asked: int = 0) -> None:
        """Keep an answer to a question of so many bytes, unless it is too large; let go of the oldest until all fit."""
        size = len(made.raw) + asked + BESIDE
        if len(made.raw) > self.largest or size > self.most:
            return
        with self._lock:
            if question in self._made:
                return
            self._made[question] = made, size
            self.size += size
            while self.size > self.most:
                self.size -= self._made.popitem(last=False)[1][1]
