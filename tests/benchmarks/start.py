"""How long the service takes to be ready, and to stop: python -m tests.benchmarks.start."""

import argparse
import signal
import sys
import time

from tests.benchmarks.common import free_port, say_table, say_where, spread, start_service, wait_for


def main(given: list[str]) -> None:
    """Start and stop so many times, idle."""
    says = argparse.ArgumentParser(description=__doc__)
    says.add_argument("--times", type=int, default=20)
    says.add_argument("--workers", type=int, default=2)
    asked = says.parse_args(given)
    ready, stopped = [], []
    for _ in range(asked.times):
        port, began = free_port(), time.perf_counter()
        process = start_service(port, asked.workers)
        try:
            wait_for(process, port, "/readyz")
            ready.append(time.perf_counter() - began)
        finally:
            began = time.perf_counter()
            process.send_signal(signal.SIGTERM)
            code = process.wait(30)
        stopped.append(time.perf_counter() - began)
        assert code == 0
    say_where(f"Start and stop with {asked.workers} workers, {asked.times} times")
    say_table(["what", "s"], [["start to the first 200 of /readyz", spread(ready)], ["SIGTERM to the end", spread(stopped)]])


if __name__ == "__main__":
    main(sys.argv[1:])
