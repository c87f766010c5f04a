"""More requests than the service can serve: some are refused in its words, none hangs, and it is well right after."""

import http.client
import json
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from statistics import quantiles
from typing import Any

HOUSE = json.loads((Path(__file__).parents[2] / "openapi/examples/house-south.json").read_text(encoding="utf-8"))
WORK = json.dumps({"defaults": HOUSE, "items": [{"id": f"w{n}"} for n in range(60)]}).encode()
"""Sixty walls, some 0.15 s of work, so that the clients are not what is slow."""
JSON = {"Content-Type": "application/json"}
WORKERS = 4
"""Of two instances."""


@dataclass
class Crowd:
    """Clients of many addresses, each of which asks once, and never waits for another."""

    port: int
    statuses: Counter[int] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    took: list[float] = field(default_factory=list)

    def ask(self, address: str, path: str = "/v1/wall-plans/batch", body: bytes | None = WORK) -> None:
        began = time.perf_counter()
        wire = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60, source_address=(address, 0))
        try:
            wire.request("POST" if body else "GET", path, body, JSON if body else {})
            got = wire.getresponse()
            whole = json.loads(got.read())
            self.statuses[got.status] += 1
            told = (got.headers["Content-Type"], whole.get("status"), (got.headers["Retry-After"] or "").isdigit())
            if got.status != 200 and told != ("application/problem+json", got.status, True):
                self.wrong.append(f"{got.status} {told}")
        except (OSError, http.client.HTTPException, ValueError) as error:
            self.wrong.append(repr(error))
        finally:
            wire.close()
        self.took.append(time.perf_counter() - began)

    def come(self, rate: float, seconds: float) -> None:
        """Ask so often in a second, and wait for all answers."""
        numbers, threads = count(), []
        began = time.perf_counter()
        while time.perf_counter() - began < seconds:
            n = next(numbers)
            thread = threading.Thread(target=self.ask, args=(f"127.1.{n // 250 % 250}.{n % 250 + 1}",))
            thread.start()
            threads.append(thread)
            time.sleep(max(0.0, began + (n + 1) / rate - time.perf_counter()))
        for thread in threads:
            thread.join(90)


def capacity(port: int) -> float:
    """Return how many requests a second are answered while as many clients as workers ask one after another."""
    calm, began, each = Crowd(port), time.perf_counter(), 5
    threads = [threading.Thread(target=lambda n=n: [calm.ask(f"127.2.0.{n + 1}") for _ in range(each)]) for n in range(WORKERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert (calm.statuses, calm.wrong) == ({200: WORKERS * each}, [])
    return WORKERS * each / (time.perf_counter() - began)


def test_four_times_what_can_be_served(proxy_before: Any, alone: Any, tell: Any) -> None:
    """Of many addresses, so that no limit of the proxy refuses them, for longer than a request may wait."""
    may_take = 4
    two = [alone(request_timeout_s=str(may_take)) for _ in range(2)]
    with proxy_before((two[0].port, two[1].port), limited="on") as port:
        rate = 4 * capacity(port)
        crowd = Crowd(port)
        crowd.come(rate, may_take + 4)
        after = Crowd(port)
        for _ in range(5):
            after.ask("127.3.0.1")
    assert crowd.wrong == after.wrong == []
    assert set(crowd.statuses) == {200, 503}
    assert after.statuses == {200: 5}
    p99 = quantiles(crowd.took, n=100)[98]
    assert p99 < may_take + 4, "a request lies no longer than it may take"
    assert max(after.took) < may_take
    tell(
        f"4 x what can be served, {rate:.0f} a second",
        f"{crowd.statuses[200]} served, {crowd.statuses[503]} told 503; p99 {p99:.1f} s; right after at most {max(after.took):.1f} s",
    )


def test_one_address_that_asks_too_much_is_limited_and_others_are_served(proxy_before: Any, pair: Any, tell: Any) -> None:
    with proxy_before((pair[0].port, pair[1].port), limited="on") as port:
        greedy, other = Crowd(port), Crowd(port)
        many = [threading.Thread(target=lambda: [greedy.ask("127.4.0.1", "/v1/limits", None) for _ in range(60)]) for _ in range(6)]
        for thread in many:
            thread.start()
        while any(thread.is_alive() for thread in many):
            other.ask("127.4.0.2", "/v1/limits", None)
            time.sleep(0.05)
    assert greedy.wrong == other.wrong == []
    assert set(greedy.statuses) == {200, 429}
    assert set(other.statuses) == {200}
    tell("one address that asks too much", f"{greedy.statuses[200]} served, {greedy.statuses[429]} told 429; another one always served")
