"""Clients that read an answer at a crawl, or never close after it."""

import socket
import time
from collections.abc import Iterator
from contextlib import contextmanager
from statistics import quantiles
from typing import Any

CONTRACT = b"GET /v1/openapi.json HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"
"""The largest answer without a question, 1.3 MB."""
READERS = 60
HELD_S = 1.0
"""A held worker costs a probe many seconds; a busy machine not one."""
LINGER_S = 2
"""How long gunicorn waits for a client that does not close, before it closes."""


def ms(took: list[float]) -> str:
    cut = quantiles(took, n=100)
    return f"p50 {cut[49] * 1000:.1f}, p99 {cut[98] * 1000:.1f}, most {max(took) * 1000:.1f} ms"


@contextmanager
def asking(port: int, request: bytes, clients: int, window: int = 4096) -> Iterator[list[socket.socket]]:
    """Ask so many times, with a small window, and read nothing yet."""
    wires = []
    for _ in range(clients):
        wires.append(wire := socket.socket())
        wire.settimeout(40)
        wire.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, window)
        wire.connect(("127.0.0.1", port))
        wire.sendall(request)
    try:
        yield wires
    finally:
        for wire in wires:
            wire.close()


def probes(ask: Any, port: int, wires: list[socket.socket], count: int = 100) -> list[float]:
    """Probe while each client takes a few bytes more between two probes."""
    took = []
    for n in range(count):
        wires[n % len(wires)].recv(100)
        began = time.perf_counter()
        assert ask(port).status == 200
        took.append(time.perf_counter() - began)
        time.sleep(0.01)
    return took


def test_slow_readers_behind_the_proxy_hold_no_worker(ask: Any, tell: Any, proxy: int) -> None:
    whole = len(ask(proxy, path="/v1/openapi.json").body)
    with asking(proxy, CONTRACT, READERS) as wires:
        assert all(wire.recv(12) == b"HTTP/1.1 200" for wire in wires)
        took = probes(ask, proxy, wires)
        left = bytearray()
        while piece := wires[0].recv(1 << 16):
            left += piece
        assert len(left) > whole - 10_000, "the answer was there in full for whoever reads on"
    assert max(took) < HELD_S
    tell(f"probe beside {READERS} slow readers of 1.3 MB", ms(took))


def test_a_slow_reader_without_the_proxy_is_let_go_with_its_request(ask: Any, tell: Any, alone: Any) -> None:
    """Both workers are held for as long as a request may take, here 1 s, and then each waits for the client to close."""
    one = alone(request_timeout_s="1", client_timeout_s="1")
    with asking(one.port, CONTRACT, 2) as wires:
        for wire in wires:
            assert wire.recv(12) == b"HTTP/1.1 200"
        began = time.perf_counter()
        ask(one.port)  # a refusal, if it lay for as long as it may take
        assert ask(one.port).status == 200
        took = time.perf_counter() - began
    assert took < 1 + LINGER_S + 1
    tell("probe beside 2 slow readers, no proxy", f"{took:.1f} s, where a request may take 1 s")


def test_clients_that_never_close_are_closed(ask: Any, tell: Any, proxy: int, alone: Any) -> None:
    request = b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n"
    with asking(proxy, request, READERS) as wires:
        assert all(wire.recv(12) == b"HTTP/1.1 200" for wire in wires)
        behind = probes(ask, proxy, wires)
    assert max(behind) < HELD_S
    one = alone()
    with asking(one.port, request, 2) as wires:
        assert all(b"".join(iter(lambda w=wire: w.recv(4096), b"")).startswith(b"HTTP/1.1 200") for wire in wires)
        began = time.perf_counter()
        assert ask(one.port).status == 200
        took = time.perf_counter() - began
    assert took < LINGER_S + 1
    tell(f"probe beside {READERS} that never close", f"{ms(behind)}; without the proxy {took:.1f} s beside 2")
