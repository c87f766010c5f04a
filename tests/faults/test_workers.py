"""Workers and instances that are killed, stand still, or are told to stop with a request in hand."""

import json
import os
import select
import signal
import socket
import time
from pathlib import Path
from statistics import quantiles
from typing import Any

import pytest

EXAMPLES = Path(__file__).parents[2] / "openapi/examples"
BROKEN_OFF = ("RemoteDisconnected", "ConnectionResetError", "IncompleteRead", "BrokenPipeError")
WAITED_S = 1.0
"""Longer than an answer takes under this load, so that what waited for a worker is told from what was only slow."""


def ms(took: list[float]) -> str:
    cut = quantiles(took, n=100)
    return f"p50 {cut[49] * 1000:.1f}, p99 {cut[98] * 1000:.1f}, most {max(took) * 1000:.1f} ms"


def kill_workers(instances: tuple[Any, ...], kills: int) -> None:
    for n in range(kills):
        time.sleep(0.2)
        one = instances[n % len(instances)]
        gone = one.workers()[n % 2]
        os.kill(gone, signal.SIGKILL)
        one.replaced(gone)


def test_a_worker_that_is_killed_loses_no_request_of_the_proxy(load: Any, tell: Any, pair: Any) -> None:
    kills = 20
    with load.running():
        kill_workers(pair, kills)
    assert len(load.took) > 500
    assert load.lost == []
    tell(f"{kills} x kill -9 of a worker under load", f"{len(load.took):,} requests, none lost; {ms(load.took)}")


def test_a_worker_that_is_killed_without_the_proxy_loses_what_it_had_in_hand(load: Any, tell: Any, alone: Any) -> None:
    """One connection each time, broken off; those that wait are served by the other worker and by the one that comes."""
    kills, one = 20, alone()
    load.port = one.port
    with load.running():
        kill_workers((one,), kills)
    assert len(load.took) > 500
    assert len(load.lost) <= kills
    assert all(any(word in lost for word in BROKEN_OFF) for lost in load.lost), load.lost
    assert max(load.took) < 5
    tell("the same without the proxy", f"{len(load.took):,} requests, {len(load.lost)} broken off; {ms(load.took)}")


def test_a_worker_that_stands_still_holds_only_what_it_has_in_hand(load: Any, tell: Any, pair: Any) -> None:
    stopped = pair[0].workers()[0]
    with load.running():
        time.sleep(0.3)
        os.kill(stopped, signal.SIGSTOP)
        time.sleep(3)
        os.kill(stopped, signal.SIGCONT)
        time.sleep(0.5)
    assert stopped in pair[0].workers()
    held = sum(t > WAITED_S for t in load.took)
    assert load.lost == []
    assert held <= 1
    tell("a worker stopped for 3 s", f"{len(load.took):,} requests, none lost, {held} waited for it")


def test_a_worker_that_stands_still_for_good_is_replaced(load: Any, tell: Any, alone: Any) -> None:
    """Its parent ends it 10 s after the longest that a request may take, here 1 s."""
    one = alone(request_timeout_s="1", client_timeout_s="1")
    load.port, stopped = one.port, one.workers()[0]
    with load.running():
        time.sleep(0.3)
        os.kill(stopped, signal.SIGSTOP)
        began = time.monotonic()
        one.replaced(stopped)
        took = time.monotonic() - began
    assert len(load.lost) <= 1
    assert sum(t > WAITED_S for t in load.took) <= 1
    tell("a worker stopped for good, no proxy", f"replaced after {took:.0f} s; {len(load.took):,} requests, {len(load.lost)} broken off")


def test_an_instance_that_stands_still_loses_no_request(load: Any, tell: Any, pair: Any) -> None:
    """Its kernel takes connections as before; the proxy gives them up after its read timeout and asks the other instance."""
    clients = 6
    with load.running(clients):
        time.sleep(0.3)
        pair[0].signal(signal.SIGSTOP)
        time.sleep(16)
        pair[0].signal(signal.SIGCONT)
        time.sleep(0.5)
    waited = [t for t in load.took if t > WAITED_S]
    assert load.lost == []
    assert len(waited) <= 2 * clients
    tell("an instance stopped for 16 s", f"{len(load.took):,} requests, none lost; {len(waited)} waited, at most {max(waited):.0f} s")


def large_takeoff() -> bytes:
    """A take-off of the most walls that a call may hold, some 0.8 s of work."""
    house = json.loads((EXAMPLES / "house-south.json").read_text(encoding="utf-8"))
    wall = house.pop("wall")
    walls = [{"id": f"w{n}", "wall": {**wall, "id": f"w{n}", "length_in": 288 + n / 2}} for n in range(500)]
    return json.dumps({**house, "walls": walls}).encode()


@pytest.mark.parametrize("proxied", [False, True])
def test_a_long_request_is_answered_in_full_while_the_service_stops(
    alone: Any, proxy_before: Any, tell: Any, load: Any, proxied: bool
) -> None:
    one, body = alone(), large_takeoff()
    request = b"POST /v1/takeoffs HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n"

    def stop_in_mid_request(port: int) -> bytes:
        with socket.create_connection(("127.0.0.1", port), 30) as wire:
            wire.sendall(request % len(body) + body)
            time.sleep(0.3)
            assert not select.select([wire], [], [], 0)[0], "it was answered before the stop"
            one.process.terminate()
            return b"".join(iter(lambda: wire.recv(1 << 16), b""))

    if proxied:
        with proxy_before((one.port, one.port)) as port:
            got = stop_in_mid_request(port)
    else:
        got = stop_in_mid_request(one.port)
    head, _, answer = got.partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 200")
    assert len(json.loads(answer)["result"]["walls"]) == 500
    assert one.process.wait(10) == 0
    tell(f"SIGTERM in mid-request{', proxied' if proxied else ''}", f"answered in full ({len(answer):,} bytes), exit code 0")
