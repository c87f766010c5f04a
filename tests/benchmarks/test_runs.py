"""Each measurement runs and prints its tables; how long anything takes is no matter here."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
RUNS = [
    pytest.param("ratio", "--rounds 1 --requests 2 --seconds 0.05 --workers 1 --clients 1", [7, 12], id="ratio"),
    pytest.param("batches", "--rounds 1 --sizes 1 3", [4], id="batches"),
    pytest.param("memory", "--at 0 20 --workers 1 --clients 1", [2], id="memory"),
    pytest.param("start", "--times 1 --workers 1", [2], id="start"),
    pytest.param("soak", "--seconds 0.5 --every 0.2 --workers 1 --clients 1", [None, 6], id="soak"),
]


def tables(text: str) -> list[list[list[str]]]:
    """Return the cells of each Markdown table."""
    blocks = re.findall(r"(?:^\|.*\|\n)+", text, re.M)
    return [[line.strip("|").split("|") for line in block.splitlines()] for block in blocks]


@pytest.mark.parametrize(("name", "options", "row_counts"), RUNS)
def test_a_measurement_prints_whole_tables(name: str, options: str, row_counts: list[int | None]) -> None:
    command = [sys.executable, "-m", f"tests.benchmarks.{name}", *options.split()]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert (done.returncode, done.stderr) == (0, "")
    found = tables(done.stdout)
    assert re.search(r"\d{4}-\d\d-\d\d \d\d:\d\d UTC, Python 3\.\d+\.\d+, \d+ cores, load average [\d. ]+\n", done.stdout)
    for table, rows in zip(found, row_counts, strict=True):
        head, rule, *lines = table
        assert set("".join(rule)) <= set(" -")
        assert len(lines) == rows or (rows is None and len(lines) >= 2)
        assert {len(line) for line in table} == {len(head)}
        assert all(cell.strip() for line in lines for cell in line)
        assert all(re.search(r"\d|yes|too short", line[-1]) for line in lines), "a row has a figure"
