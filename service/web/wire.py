"""A client's socket that remembers the head of the request, and what can be read of a broken one."""

import re
import select
import socket
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote_to_bytes

from gunicorn.http.errors import InvalidRequestLine
from werkzeug.exceptions import RequestTimeout, ServiceUnavailable

KEPT = 65_536
LOOK_S = 0.25
"""How often a wait for a client is broken to see whether the service stops."""
STOP_READS_S, STOP_SENDS_S, STOP_LINGERS_S = 2.0, 5.0, 0.1
"""Once a stop has begun: how long it waits for what clients have still to send, to take, and to leave after their answer."""
Stopped = Callable[[], float | None]
"""Since when the service stops, on the clock of time.monotonic; None while it does not."""
_LINE = re.compile(rb"(?:\r\n)?([A-Z]{3,20}) (?:[a-z]+://[^/?# \r\n]*)?(/[!\"$->@-~]{0,1023})[ ?#]")
_FIELD = re.compile(rb"\r\n(origin|x-request-id|traceparent|user-agent):[ \t]*([ -~]{0,512}?)[ \t]*(?=\r\n)", re.I)


class Wire(socket.socket):
    """A connected socket, taken over from the one accepted; a request has to come whole within a time.

    The time runs from the start, since one that began anew with each byte would let a trickle hold a worker for ever. When the
    service stops, what a client has not sent by then soon is refused, and one that has said nothing at all is let go.
    """

    def __init__(self, client: socket.socket, allowed_s: float, stopped: Stopped = lambda: None) -> None:
        super().__init__(client.family, client.type, client.proto, fileno=client.detach())
        self.since = time.perf_counter()
        self.until: float | None = time.monotonic() + allowed_s
        self.stopped = stopped
        self.heard = self.held = b""
        self.waited_s = 0.0
        self.head_read = self.answered = False

    def recv(self, size: int, flags: int = 0) -> bytes:
        """Read, and keep what a refusal may need.

        Raises
        ------
        RequestTimeout
            The client took too long; the app answers it while it reads a body, the worker before.
        ServiceUnavailable
            The service stops, and the client took too long for that.
        InvalidRequestLine
            The client began a request and ended within its head.
        """
        if self.until is None:
            return super().recv(size, flags) if not self.stopped() or self._ready(select.POLLIN, STOP_LINGERS_S) else b""
        while True:
            now, stopped = time.monotonic(), self.stopped()
            if now >= self.until:
                raise RequestTimeout()
            if stopped and now >= stopped + STOP_READS_S:
                if not self.heard:
                    return b""
                raise ServiceUnavailable()
            if self._ready(select.POLLIN, min(LOOK_S, self.until - now)):
                break
        got = super().recv(size, flags)
        if not got and self.heard and not self.head_read:
            raise InvalidRequestLine("ended early")
        if not self.heard:
            self.waited_s = lain_s(self)
        self.heard += got[: KEPT - len(self.heard)]
        return got

    def sendall(self, data: Any, flags: int = 0) -> None:
        """Send; the head of an answer waits for the body, so that a process that ends between them has said nothing.

        A proxy can then ask another one, which it cannot once a head has come.
        """
        if not self.answered and not self.held:
            self.held = bytes(data)
        else:
            self.say(self.held + data, flags)

    def say(self, data: bytes, flags: int = 0) -> None:
        """Send at once, in place of what is held."""
        self.held, self.answered = b"", True
        left = memoryview(data)
        while left:
            try:
                left = left[super().send(left, flags | socket.MSG_DONTWAIT) :]
            except BlockingIOError:
                self._wait_to_send()

    def _wait_to_send(self) -> None:
        """Wait until the client takes more; in a stop not for long."""
        while not self._ready(select.POLLOUT, LOOK_S):
            stopped = self.stopped()
            if stopped and time.monotonic() >= stopped + STOP_SENDS_S:
                raise BrokenPipeError("the service stops and the client does not read")

    def _ready(self, event: int, wait_s: float) -> bool:
        """Return whether the socket can be read or written, after a wait."""
        look = select.poll()
        look.register(self, event)
        return bool(look.poll(wait_s * 1000))

    def shutdown(self, how: int) -> None:
        """End the talk; what is read from here on is thrown away and has its own limit."""
        if self.held:
            self.say(self.held)
        self.until = None
        super().shutdown(how)


LAST_DATA_RECV = 52
"""Where the kernel's struct tcp_info (linux/tcp.h) holds the milliseconds since data last came."""


def lain_s(wire: socket.socket) -> float:
    """Return how long ago the last bytes came from a client, 0 where that cannot be known."""
    try:
        told = wire.getsockopt(socket.IPPROTO_TCP, socket.TCP_INFO, LAST_DATA_RECV + 4)
    except (AttributeError, OSError):  # not Linux; not TCP
        return 0.0
    return int.from_bytes(told[LAST_DATA_RECV:], sys.byteorder) / 1000


@dataclass(frozen=True, slots=True)
class Head:
    """What can be read of a request: no word that might be cut off, and only the fields that a refusal and its log line need."""

    method: str
    path: str
    fields: dict[str, str]

    def environ(self) -> dict[str, Any]:
        """Return it as the app sees requests."""
        return {
            "REQUEST_METHOD": self.method,
            "PATH_INFO": unquote_to_bytes(self.path).decode("latin1"),
            **{f"HTTP_{name.upper().replace('-', '_')}": value for name, value in self.fields.items()},
        }


def read_head(heard: bytes) -> Head:
    """Return what can be read of the head of a request, empty where nothing can."""
    head = heard.partition(b"\r\n\r\n")[0] + b"\r\n" if b"\r\n\r\n" in heard else heard
    line = _LINE.match(head)
    fields: dict[str, str] = {}
    for found in _FIELD.finditer(head):
        name, value = (part.decode("ascii") for part in found.groups())
        fields[name.lower()] = f"{fields[name.lower()]},{value}" if name.lower() in fields else value
    return Head(line[1].decode() if line else "GET", line[2].decode() if line else "", fields)
