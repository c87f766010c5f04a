"""The memory of each worker after many different requests: python -m tests.benchmarks.memory."""

import argparse
import sys

from tests.benchmarks.common import Load, say_table, say_where, serving, start_service
from tests.benchmarks.questions import mixed

HEAD = ["requests", "RSS of each worker, MB", "PSS, MB", "its own, MB", "parent and workers together (PSS), MB"]


def main(given: list[str]) -> None:
    """Ask, and look at certain counts; PSS shares out pages that several processes use."""
    says = argparse.ArgumentParser(description=__doc__)
    says.add_argument("--at", type=int, nargs="+", default=[0, 1_000, 10_000, 30_000], help="look after so many requests")
    says.add_argument("--workers", type=int, default=2)
    says.add_argument("--clients", type=int, default=4)
    asked = says.parse_args(given)
    rows, done = [], 0
    with serving(start_service, "/readyz", asked.workers) as served:
        load = Load(served.port, mixed)
        for count in asked.at:
            if count > done:
                load.run(asked.clients, count=count - done)
                done = count
            found = served.memory_kb("Rss", "Pss", "Private_Dirty")
            whole = sum(pss for _, pss, _ in found) + served.memory_kb("Pss", of=[served.process.pid])[0][0]
            columns = [", ".join(f"{kb / 1024:.1f}" for kb in column) for column in zip(*found, strict=True)]
            rows.append([f"{done:,}", *columns, f"{whole / 1024:.1f}"])
    assert set(load.statuses) <= {200}, load.statuses
    say_where(f"Memory of {asked.workers} workers after mixed requests, each another one")
    say_table(HEAD, rows)


if __name__ == "__main__":
    main(sys.argv[1:])
