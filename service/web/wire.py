"""A client's socket that remembers the head of the request, and what can be read of a broken one."""

import re
import socket
import sys
import time
from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote_to_bytes

from gunicorn.http.errors import InvalidRequestLine
from werkzeug.exceptions import RequestTimeout

KEPT = 65_536
_LINE = re.compile(rb"(?:\r\n)?([A-Z]{3,20}) (?:[a-z]+://[^/?# \r\n]*)?(/[!\"$->@-~]{0,1023})[ ?#]")
_FIELD = re.compile(rb"\r\n(origin|x-request-id|traceparent|user-agent):[ \t]*([ -~]{0,512}?)[ \t]*(?=\r\n)", re.I)


class Wire(socket.socket):
    """A connected socket, taken over from the one accepted; a request has to come whole within a time.

    The time runs from the start, since one that began anew with each byte would let a trickle hold a worker for ever.
    """

    def __init__(self, client: socket.socket, allowed_s: float) -> None:
        super().__init__(client.family, client.type, client.proto, fileno=client.detach())
        self.since = time.perf_counter()
        self.until: float | None = self.since + allowed_s
        self.heard = self.held = b""
        self.waited_s = 0.0
        self.head_read = self.answered = False

    def recv(self, size: int, flags: int = 0) -> bytes:
        """Read, and keep what a refusal may need.

        Raises
        ------
        RequestTimeout
            The client took too long; the app answers it while it reads a body, the worker before.
        InvalidRequestLine
            The client began a request and ended within its head.
        """
        if self.until is None:
            return super().recv(size, flags)
        left = self.until - time.perf_counter()
        if left <= 0:
            raise RequestTimeout()
        self.settimeout(left)
        try:
            got = super().recv(size, flags)
        except TimeoutError:
            raise RequestTimeout() from None
        finally:
            self.settimeout(None)
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
        super().sendall(data, flags)

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
