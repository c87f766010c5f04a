"""The service beside bare Flask in one run, in windows that take turns: python -m tests.benchmarks.ratio."""

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace
from statistics import median

from tests.benchmarks.bare import app as bare
from tests.benchmarks.common import (
    Load,
    Served,
    cut,
    in_process,
    made_as_at_the_start,
    say_table,
    say_where,
    serving,
    spread,
    start_bare,
    start_service,
)
from tests.benchmarks.questions import KINDS, Question, joint, sheathed_wall, strength, takeoff

Kind = Callable[[int], Question]
THROUGH = {
    "strength of a nail (GET)": strength,
    "one joint (POST)": joint,
    "sheathed wall (POST)": sheathed_wall,
    "take-off (POST)": takeoff,
}


def bare_of(kind: Kind) -> Kind:
    """Return the same as asked of bare Flask: a GET is answered as it is, a POST after its body is read."""

    def question(n: int) -> Question:
        asked = kind(n)
        return replace(asked, path="/read" if asked.body is not None else "/constant")

    return question


def compare_in_process(rounds: int, requests: int) -> None:
    ours = made_as_at_the_start()
    rows = []
    for name, kind in KINDS.items():
        pairs = []
        each = max(1, requests // 10) if "take-off" in name else requests
        for r in range(rounds):
            numbers = range(r * each, (r + 1) * each)
            pairs.append((in_process(bare, map(bare_of(kind), numbers)), in_process(ours, map(kind, numbers))))
        rows.append(
            [
                name,
                f"{rounds * each:,}",
                spread([b * 1e6 for b, _ in pairs], 0),
                spread([o * 1e6 for _, o in pairs], 0),
                spread([o / b for b, o in pairs], 1),
            ]
        )
    say_where("CPU in process, by question")
    say_table(["question, another each time", "requests", "bare Flask, us", "service, us", "ratio"], rows)


def window(served: Served, load: Load, seconds: float, clients: int) -> dict[str, float]:
    before = served.cpu_s()
    load.took.clear()
    took = load.run(clients, seconds)
    count = len(load.took)
    assert set(load.statuses) == {200}, load.statuses
    return {
        "req/s": count / took,
        "p50": cut(load.took, 50) * 1000,
        "p99": cut(load.took, 99) * 1000,
        "cpu": (served.cpu_s() - before) / count * 1e6,
    }


def ratio(plain: list[float], ours: list[float]) -> str:
    """Return the median over the windows; CPU is counted in hundredths of a second, so that a very short window may show none."""
    found = [o / p for p, o in zip(plain, ours, strict=True) if p]
    return f"{median(found):.2f}" if found else "too short"


def compare_served(rounds: int, seconds: float, workers: int, clients: int) -> None:
    rows = []
    with serving(start_bare, "/constant", workers) as plain, serving(start_service, "/readyz", workers) as ours:
        for name, kind in THROUGH.items():
            loads = ((plain, Load(plain.port, bare_of(kind))), (ours, Load(ours.port, kind)))
            found = [[window(served, load, seconds, clients) for served, load in loads] for _ in range(rounds)]
            for which, label in ((0, "bare Flask"), (1, "service")):
                rows.append([f"{name}, {label}", *(spread([f[which][m] for f in found], 1) for m in ("req/s", "p50", "p99", "cpu"))])
            rows.append([f"{name}, ratio", *(ratio([f[0][m] for f in found], [f[1][m] for f in found]) for m in found[0][0])])
    say_where(f"Through gunicorn on loopback, {workers} sync workers, {clients} clients on the same machine, a connection for each request")
    say_table(["question, another each time", "req/s", "p50, ms", "p99, ms", "CPU of workers for a request, us"], rows)


def main(given: list[str]) -> None:
    """Measure both ways."""
    says = argparse.ArgumentParser(description=__doc__)
    says.add_argument("--rounds", type=int, default=9, help="windows of each")
    says.add_argument("--requests", type=int, default=100, help="requests of a window in process; a tenth for take-offs")
    says.add_argument("--seconds", type=float, default=3, help="length of a window through gunicorn")
    says.add_argument("--workers", type=int, default=2)
    says.add_argument("--clients", type=int, default=4)
    asked = says.parse_args(given)
    compare_in_process(asked.rounds, asked.requests)
    compare_served(asked.rounds, asked.seconds, asked.workers, asked.clients)


if __name__ == "__main__":
    main(sys.argv[1:])
