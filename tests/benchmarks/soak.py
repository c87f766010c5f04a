"""Minutes of mixed requests, a tenth of them bad, and what becomes of the memory: python -m tests.benchmarks.soak."""

import argparse
import sys
import threading
import time
from statistics import linear_regression

from tests.benchmarks.common import Load, Served, cut, say_table, say_where, serving, start_service
from tests.benchmarks.questions import Question, bad, mixed


def soaking(n: int) -> Question:
    return bad(n // 10) if n % 10 == 9 else mixed(n)


def watch(served: Served, every_s: float, over: threading.Event) -> list[tuple[float, float]]:
    """Return seconds and megabytes of all workers, from the first look on."""
    seen, began = [], time.perf_counter()
    while True:
        seen.append((time.perf_counter() - began, sum(rss for (rss,) in served.memory_kb("Rss")) / 1024))
        if over.wait(every_s):
            return seen


def main(given: list[str]) -> int:
    """Soak; end with 1 where anything was answered with 500 or more, or not at all."""
    says = argparse.ArgumentParser(description=__doc__)
    says.add_argument("--seconds", type=float, default=300)
    says.add_argument("--every", type=float, default=30, help="seconds between two looks at the memory")
    says.add_argument("--workers", type=int, default=2)
    says.add_argument("--clients", type=int, default=4)
    asked = says.parse_args(given)
    with serving(start_service, "/readyz", asked.workers) as served:
        load, before = Load(served.port, soaking), served.workers()
        soak = threading.Thread(target=load.run, args=(asked.clients, asked.seconds))
        soak.start()
        over = threading.Event()
        threading.Thread(target=lambda: (soak.join(), over.set())).start()
        seen = watch(served, asked.every, over)
        same = served.workers() == before
    failed = sum(count for status, count in load.statuses.items() if status >= 500 or not status)
    say_where(f"{asked.seconds:.0f} s of mixed requests, a tenth of them bad, {asked.workers} workers, {asked.clients} clients")
    say_table(["s", "RSS of all workers, MB"], [[f"{s:.0f}", f"{mb:.1f}"] for s, mb in seen])
    print()
    later = seen[len(seen) // 3 :] if len(seen) > 5 else seen
    say_table(
        ["what", "found"],
        [
            ["requests", f"{len(load.took):,}"],
            ["by status", ", ".join(f"{count:,} x {status}" for status, count in sorted(load.statuses.items()))],
            ["500 and more, or broken off", f"{failed}"],
            ["p50, p99, most, ms", ", ".join(f"{cut(load.took, p) * 1000:.1f}" for p in (50, 99, 100))],
            ["the same workers at the end", "yes" if same else "NO"],
            ["slope of the last two thirds, MB a minute", f"{linear_regression(*zip(*later, strict=True)).slope * 60:+.2f}"],
        ],
    )
    return 1 if failed or not same else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
