"""What clients of the proxy see while instances are killed and replaced, and while others dawdle."""

import select
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import cycle
from statistics import quantiles
from typing import Any

SLOW_CLIENTS = 500


def ms(took: list[float]) -> str:
    cut = quantiles(took, n=100)
    return f"p50 {cut[49] * 1000:.1f}, p99 {cut[98] * 1000:.1f}, most {max(took) * 1000:.1f} ms"


def test_an_instance_that_is_killed_loses_no_request(load: Any, tell: Any, pair: Any) -> None:
    kills = 10
    with load.running():
        for n in range(kills):
            time.sleep(0.4)
            pair[n % 2].kill()
            time.sleep(0.2)
            pair[n % 2].start()
    assert len(load.took) > 500
    assert load.lost == []
    tell(f"{kills} x kill -9 of an instance under load", f"{len(load.took):,} requests, none lost; {ms(load.took)}")


def test_a_rolling_restart_loses_no_request(load: Any, tell: Any, pair: Any) -> None:
    rounds = 10
    with load.running():
        for one in pair * rounds:
            time.sleep(0.5)
            one.stop()
            one.start()
    assert len(load.took) > 500
    assert load.lost == []
    tell(f"{rounds} x both restarted under load", f"{len(load.took):,} requests, none lost; {ms(load.took)}")


def test_without_the_next_instance_requests_are_lost(load: Any, proxy_before: Any, pair: Any) -> None:
    """The load can tell: with no second try, a killed instance is seen by clients."""
    with proxy_before((pair[0].port, pair[1].port), ("upstream error timeout invalid_header non_idempotent;", "upstream off;")) as port:
        load.port = port
        with load.running():
            time.sleep(0.5)
            pair[0].kill()
            time.sleep(0.5)
        pair[0].start()
    assert load.lost


@contextmanager
def dawdling(port: int, begin: bytes, piece: bytes) -> Iterator[list[socket.socket]]:
    """Begin so many requests, and go on with each by a few bytes every half second, not with all at one moment."""
    wires = [socket.create_connection(("127.0.0.1", port), 5) for _ in range(SLOW_CLIENTS)]
    over = threading.Event()

    def trickle() -> None:
        for some in cycle(range(10)):
            if over.wait(0.05):
                return
            for wire in wires[some::10]:
                wire.sendall(piece)

    for wire in wires:
        wire.sendall(begin)
    thread = threading.Thread(target=trickle)
    thread.start()
    try:
        yield wires
    finally:
        over.set()
        thread.join(5)
        for wire in wires:
            wire.close()


def probe(ask: Any, port: int) -> list[float]:
    took = []
    for _ in range(200):
        began = time.perf_counter()
        assert ask(port).status == 200
        took.append(time.perf_counter() - began)
        time.sleep(0.01)
    return took


def p99(took: list[float]) -> float:
    return quantiles(took, n=100)[98]


def test_slow_clients_do_not_slow_a_probe(ask: Any, tell: Any, proxy: int) -> None:
    alone = p99(probe(ask, proxy))  # on a busy machine more than a few milliseconds
    heads = b"POST /v1/requirements HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
    for what, begin, piece in (("heads", heads, b"A: b\r\n"), ("bodies", heads + b"Content-Length: 1000000\r\n\r\n{", b"      ")):
        with dawdling(proxy, begin, piece) as wires:
            took = probe(ask, proxy)
            assert not select.select(wires, [], [], 0)[0], "a slow client was let go before its time"
        tell(f"probe beside {SLOW_CLIENTS} slow {what}", ms(took))
        assert p99(took) < max(0.05, 3 * alone)


def test_a_service_without_the_proxy_is_held_by_slow_clients(ask: Any, tell: Any, pair: Any) -> None:
    """Why the proxy is there, and that the probe above can see it."""
    wires = [socket.create_connection(("127.0.0.1", pair[0].port), 5) for _ in range(2)]
    for wire in wires:
        wire.sendall(b"GET /v1/limits HT")
    time.sleep(0.1)
    began = time.perf_counter()
    assert ask(pair[0].port).status == 200
    took = time.perf_counter() - began
    for wire in wires:
        wire.close()
    assert took > 1
    tell("the same probe without the proxy", f"{took:.0f} s beside 2 slow clients")
