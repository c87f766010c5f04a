"""How far a run is, on a terminal."""

import sys
import time
from dataclasses import dataclass, field

from service.bulk.parts import Part

EVERY_S = 0.5


@dataclass(slots=True)
class Progress:
    """A line that is written over; nothing where standard error is no terminal."""

    total: int
    """Bytes of the file of questions."""
    done: int = 0
    lines: int = 0
    kept: int = 0
    """Parts answered by an earlier run."""
    parts: int = 0
    answered: int = 0
    started: float = field(default_factory=time.monotonic)
    told: float = 0.0

    def add(self, part: Part, kept: bool) -> None:
        """Count a part that is answered, and say so."""
        self.parts, self.done, self.lines = self.parts + 1, self.done + part.size, self.lines + len(part.lines)
        if kept:
            self.kept += 1
        else:
            self.answered += part.size
        if sys.stderr.isatty() and time.monotonic() - self.told >= EVERY_S:
            self.told = time.monotonic()
            self._write(f"{self} ")

    def close(self) -> None:
        """Leave the terminal's line to what comes next."""
        if sys.stderr.isatty():
            self._write("")

    def __str__(self) -> str:
        share = min(1.0, self.done / self.total) if self.total else 0.0
        rate = self.answered / max(time.monotonic() - self.started, 0.001)
        left = f", {_spell((self.total - self.done) / rate)} left" if self.total > self.done and rate else ""
        filled = int(share * 24)
        return f"[{'#' * filled}{'.' * (24 - filled)}] {share:4.0%}  {self.lines:,} lines{left}"

    def _write(self, text: str) -> None:
        print(f"\r\x1b[K{text}", end="", file=sys.stderr, flush=True)


def _spell(seconds: float) -> str:
    minutes, second = divmod(round(seconds), 60)
    hours, minute = divmod(minutes, 60)
    return f"{hours} h {minute} min" if hours else f"{minute} min {second} s" if minute else f"{second} s"
