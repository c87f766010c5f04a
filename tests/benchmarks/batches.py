"""What an item of a batch costs beside a call of its own: python -m tests.benchmarks.batches."""

import argparse
import sys
from collections.abc import Callable
from statistics import median
from typing import Any

from tests.benchmarks.common import in_process, made_as_at_the_start, say_table, say_where, spread
from tests.benchmarks.questions import HOUSE, Question, joint_of, post, wall_of

SIZES = (1, 10, 100, 500)


def requirements(numbers: range) -> Question:
    return post("/v1/requirements/batch", {"items": [{"id": f"j{n}", **joint_of(n)} for n in numbers]})


def walls(numbers: range) -> Question:
    top = {name: value for name, value in HOUSE.items() if name != "wall"}
    return post("/v1/wall-plans/batch", {"defaults": top, "items": [{"id": f"w{n}", "wall": wall_of(n)} for n in numbers]})


BATCHES: dict[str, Callable[[range], Question]] = {"requirements": requirements, "sheathed walls with two openings": walls}


def main(given: list[str]) -> None:
    """Measure each size, all sizes in turn, another item each time."""
    says = argparse.ArgumentParser(description=__doc__)
    says.add_argument("--rounds", type=int, default=7)
    says.add_argument("--sizes", type=int, nargs="+", default=SIZES)
    asked = says.parse_args(given)
    app: Any = made_as_at_the_start()
    rows = []
    for name, batch in BATCHES.items():
        found: dict[int, list[float]] = {size: [] for size in asked.sizes}
        first = 0
        for _ in range(asked.rounds):
            for size in asked.sizes:
                found[size].append(in_process(app, [batch(range(first, first + size))]) / size * 1e6)
                first += size
        one = median(found[asked.sizes[0]])
        rows += [[name, str(size), spread(found[size], 0), f"{median(found[size]) / one:.2f}"] for size in asked.sizes]
    say_where("CPU of one item of a batch, in process")
    say_table(["batch", "items", "us for an item", f"of that in a batch of {asked.sizes[0]}"], rows)


if __name__ == "__main__":
    main(sys.argv[1:])
