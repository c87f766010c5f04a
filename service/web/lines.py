"""Writes whole lines to stdout or stderr without waiting: a reader that stops reading, or goes, must not stop the service."""

import os
import select
import socket
import stat
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, ClassVar

import orjson

LONGEST = select.PIPE_BUF
"""Bytes of the longest line: so much goes into a pipe whole or not at all, whoever else writes there (POSIX, write)."""
SHORTEST_CUT = 64


def now(when: float | None = None) -> str:
    """Return a time, or the present one, as lines say it."""
    return (datetime.fromtimestamp(when, UTC) if when is not None else datetime.now(UTC)).isoformat(timespec="milliseconds")


def fitted(line: dict[str, Any]) -> bytes:
    """Return a line as JSON with its end; a traceback or message that is too long loses its middle."""
    raw = orjson.dumps(line)
    for part in ("exception", "msg"):
        room = LONGEST
        while len(raw) >= LONGEST and part in line and room > SHORTEST_CUT:
            room //= 2
            line[part] = f"{line[part][: room // 2]} ... {line[part][-(room // 2) :]}"
            raw = orjson.dumps(line)
    return raw + b"\n"


class Lines:
    """Lines on a file descriptor of the process; what finds no room is dropped, counted, and told once when there is room again."""

    lost: ClassVar[Callable[[], object]] = staticmethod(lambda: None)
    """Called for each line that is dropped."""

    def __init__(self, number: int) -> None:
        self.put, self.close = _way(number)
        self.dropped = 0
        self.rest = b""

    def write(self, line: bytes) -> None:
        """Write a line, or drop it; behind the first that goes out again stands how many did not."""
        if not self._sent(line):
            self.drop()
        elif self.dropped and self._sent(fitted({**_TOLD, "ts": now(), "dropped_count": self.dropped})):
            self.dropped = 0

    def drop(self) -> None:
        """Count a line that cannot be written."""
        self.dropped += 1
        Lines.lost()

    def _sent(self, line: bytes) -> bool:
        """Return whether a line went out; a terminal or socket may take a part of it, whose rest goes before all others."""
        try:
            self.rest = self.rest[self.put(self.rest) :] if self.rest else b""
            if self.rest:
                return False
            self.rest = line[self.put(line) :]
        except OSError:  # no room, nobody reads any more, or a full disk
            return False
        return True


_TOLD = {"ts": "", "level": "warning", "msg": "log lines were dropped: nobody read them"}


def _way(number: int) -> tuple[Callable[[bytes], int], Callable[[], object]]:
    """Return how to write without waiting, for what stands behind a descriptor, and how to leave it.

    A pipe or terminal is opened anew: only this opening is made not to wait, not the one that is shared with whoever started us.
    """
    kind = os.fstat(number).st_mode
    if stat.S_ISSOCK(kind):
        held = socket.socket(fileno=os.dup(number))
        return lambda line: held.send(line, socket.MSG_DONTWAIT), held.close
    if stat.S_ISFIFO(kind) or os.isatty(number):
        try:
            own = os.open(f"/proc/self/fd/{number}", os.O_WRONLY | os.O_NONBLOCK | os.O_NOCTTY)
        except OSError:  # it belongs to another user, or there is no /proc
            return lambda line: _where_room(number, line), lambda: None
        return lambda line: os.write(own, line), lambda: os.close(own)
    return lambda line: os.write(number, line), lambda: None


def _where_room(number: int, line: bytes) -> int:
    """Write where there is room now; between the look and the write another process may take it."""
    if not select.select((), (number,), (), 0)[1]:
        raise BlockingIOError
    return os.write(number, line)


def open_all() -> None:
    """Put nothing in place of a standard descriptor that was closed: the first file or socket opened would take its number."""
    while (number := os.open(os.devnull, os.O_RDWR)) <= 2:
        os.set_inheritable(number, True)
    os.close(number)
