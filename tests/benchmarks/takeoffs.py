"""Prints what take-offs of many walls cost: python tests/benchmarks/takeoffs.py [walls ...].

CPU seconds of the plans alone and of all else a take-off does (reading, adding up, cautions, writing), in this process and warm;
then the clock and the most memory of a fresh worker that answers one such question. Linux only; nothing here is compared.
"""

import json
import logging
import os
import random
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import requests

from service.app import create_app
from service.domain.wall.plan import plan_wall
from service.schemas.asks.takeoff import read_takeoff, read_takeoff_wall
from service.settings import Settings
from service.tables.book import open_book

SIZES = (1, 10, 100, 500)
SITE = {"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"}
NAILS = {
    "framing_nail": {"nail_designation": "3 x 0.131"},
    "sheathing_nail": {"nail_designation": "8d common"},
    "connection_nails": {"built-up-header-face-nail": {"nail_designation": "16d box"}},
}
BAY = 96
"""Each 8 ft of a wall may hold an opening, clear of the corners and of its neighbours. [in]"""


def question(count: int) -> dict[str, Any]:
    """Return a take-off of so many walls, no two alike, the same ones each time."""
    drawn = random.Random(count)
    walls = [{"id": f"wall-{n}", "label": f"wall {n}", "wall": wall(drawn, n)} for n in range(count)]
    return {**SITE, **NAILS, "walls": walls}


def wall(drawn: random.Random, n: int) -> dict[str, Any]:
    """Return a wall of 8 to 40 ft, outside or inside, by sixteenths of an inch, which tell it from all others."""
    bays, exterior = drawn.randint(1, 4), drawn.random() < 0.6
    outside = {"braced": True, "start_corner": "three_stud", "sheathing": {"thickness_in": 0.4375, "span_rating": "24/16"}}
    return {
        "length_in": bays * BAY + drawn.randint(0, 90) + (n % 16) / 16,
        "height_in": drawn.choice((97.125, 97.125, 109.125)),
        **(outside if exterior else {"exterior": False, "supports": "one_floor_only"}),
        "openings": [opening(drawn, bay) for bay in range(bays) if drawn.random() < 0.6],
    }


def opening(drawn: random.Random, bay: int) -> dict[str, Any]:
    """Return a window or a door in one bay of a wall."""
    window = {"kind": "window", "sill_height_in": drawn.choice((36, 42))}
    return {
        "id": f"opening-{bay}",
        **(window if drawn.random() < 0.7 else {"kind": "door"}),
        "at_in": bay * BAY + 24 + drawn.randint(0, 8) / 8,
        "width_in": drawn.choice((26, 32, 38, 50)),
        "head_height_in": 82.5,
        "header": {"ply_count": 2, "nominal": drawn.choice(("2x8", "2x10")), "spacer_in": 0.5},
        "jack_count": 1,
        "king_count": 1,
    }


def processor_seconds(asked: dict[str, Any]) -> tuple[float, float]:
    """Return CPU seconds of the plans alone, and of the rest of the take-off; what is kept is kept before."""
    book, client = open_book(), create_app(Settings(log_level="error")).test_client()
    shared = read_takeoff(asked, book).shared
    orders = [read_takeoff_wall(item, shared, book).order for item in asked["walls"]]

    def plans() -> None:
        for order in orders:
            plan = plan_wall(order, book)
            assert plan.load and plan.nail_totals  # added up on demand

    def whole() -> None:
        answer = client.post("/v1/takeoffs", json=asked)
        assert answer.status_code == 200, answer.text

    alone, all_of_it = (min(processor(work) for _ in range(3)) for work in (plans, whole))
    return alone, all_of_it - alone


def processor(work: Any) -> float:
    """Return the CPU seconds of some work."""
    start = time.process_time()
    work()
    return time.process_time() - start


@contextmanager
def service() -> Iterator[tuple[str, int]]:
    """Start the service with one worker, and yield its address and the worker's process id."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        listen = f"127.0.0.1:{free.getsockname()[1]}"
    env = {**os.environ, "APP_LISTEN": listen, "APP_WORKERS": "1", "APP_LOG_LEVEL": "error"}
    with subprocess.Popen([sys.executable, "-m", "service"], env=env, stderr=subprocess.DEVNULL) as parent:
        try:
            yield f"http://{listen}", _worker(f"http://{listen}/readyz", parent.pid)
        finally:
            parent.terminate()


def _worker(ready: str, parent: int) -> int:
    for _ in range(200):
        try:
            requests.get(ready, timeout=2).raise_for_status()
            return int(Path(f"/proc/{parent}/task/{parent}/children").read_text().split()[0])
        except OSError:
            time.sleep(0.05)
    raise SystemExit("the service did not come up")


def peak_mb(worker: int) -> float:
    """Return the most memory a process has had resident. [MB]"""
    (line,) = [line for line in Path(f"/proc/{worker}/status").read_text().splitlines() if line.startswith("VmHWM")]
    return int(line.split()[1]) / 1024


def main(sizes: list[int]) -> None:
    """Print a row for each size."""
    logging.disable()
    print(f"{'walls':>6}{'asked KB':>10}{'plans s':>10}{'beyond s':>10}{'clock s':>10}{'answer KB':>11}{'idle MB':>9}{'peak MB':>9}")
    for size in sizes:
        asked = question(size)
        plans, beyond = processor_seconds(asked)
        with service() as (address, worker):
            idle, start = peak_mb(worker), time.perf_counter()
            answer = requests.post(f"{address}/v1/takeoffs", json=asked, timeout=60)
            clock, peak = time.perf_counter() - start, peak_mb(worker)
        answer.raise_for_status()
        kilobytes = [len(raw) / 1024 for raw in (json.dumps(asked).encode(), answer.content)]
        print(f"{size:>6}{kilobytes[0]:>10.1f}{plans:>10.3f}{beyond:>10.3f}{clock:>10.3f}{kilobytes[1]:>11.1f}{idle:>9.1f}{peak:>9.1f}")
        refused = [w for w in answer.json()["result"]["walls"] if w["status"] != 200]
        assert not refused, refused[0]


if __name__ == "__main__":
    main([int(n) for n in sys.argv[1:]] or list(SIZES))
