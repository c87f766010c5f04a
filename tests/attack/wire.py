"""Speaks HTTP in raw bytes, and never hangs: every wait has an end."""

import socket

from tests.attack.door import Got, Sent

PATIENCE_S = 15


def talk(port: int, *pieces: bytes, close: bool = False) -> bytes:
    """Send bytes and return all that comes back until the other side closes; `close` ends our side first.

    Raises
    ------
    TimeoutError
        The other side neither answers nor closes.
    """
    with socket.create_connection(("127.0.0.1", port), PATIENCE_S) as wire:
        heard = b""
        try:
            for piece in pieces:
                wire.sendall(piece)
            if close:
                wire.shutdown(socket.SHUT_WR)
        except (ConnectionResetError, BrokenPipeError):
            pass  # it was refused before all was sent
        try:
            while more := wire.recv(65_536):
                heard += more
        except ConnectionResetError:
            pass
        return heard


def request(sent: Sent, lines: tuple[str, ...] = (), length: int | None = None) -> bytes:
    """Return a request as it stands on the wire; `lines` are headers as they are written, `length` one that is not true."""
    head = [f"{sent.method} {sent.path}{'?' if sent.query else ''}{sent.query.decode('latin1')} HTTP/1.1", "Host: x", "Connection: close"]
    head += [*(f"{name}: {value}" for name, value in sent.headers.items()), *lines]
    if sent.body is not None:
        head.append(f"Content-Length: {len(sent.body) if length is None else length}")
    return "\r\n".join([*head, "", ""]).encode("latin1") + (sent.body or b"")


def read(raw: bytes) -> Got:
    """Return the one answer in some bytes."""
    head, end, body = raw.partition(b"\r\n\r\n")
    first, *lines = head.decode("latin1").split("\r\n")
    assert end and first.startswith("HTTP/1.1 "), raw[:300]
    return Got(int(first.split()[1]), [(k, v.strip()) for k, _, v in (line.partition(":") for line in lines)], body)
