"""Tables that are damaged on disk while a service runs on what it has read, and before one starts."""

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
TABLE = "us/irc_2021/schedule.csv"
QUESTION = b'{"connection_id":"stud-to-plate-end-nail","joint_count":38,"nail_designation":"3 x 0.131"}'
STARTED_S = 20


@pytest.fixture(scope="module")
def copied(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A checkout of its own, whose tables may be damaged."""
    root = tmp_path_factory.mktemp("checkout")
    for name in ("service", "openapi"):
        shutil.copytree(ROOT / name, root / name, ignore=shutil.ignore_patterns("__pycache__", "*.answer.*"))
    return root


def one_digit(table: Path) -> None:
    data = table.read_bytes()
    at = data.rindex(b"3")
    table.write_bytes(data[:at] + b"4" + data[at + 1 :])


def cut_short(table: Path) -> None:
    table.write_bytes(table.read_bytes()[:-40])


def bad_byte(table: Path) -> None:
    table.write_bytes(table.read_bytes() + b"\xff\n")


DAMAGE = [
    pytest.param(one_digit, f"table {TABLE}: its checksum is not the one in manifest.csv", id="a digit"),
    pytest.param(cut_short, f"table {TABLE}, line ", id="cut short"),
    pytest.param(bad_byte, f"table {TABLE}, line ", id="a bad byte"),
    pytest.param(Path.unlink, f"table {TABLE}: cannot be read (No such file or directory)", id="removed"),
]


@pytest.mark.parametrize(("damage", "said"), DAMAGE)
def test_damage_is_seen_refuses_a_start_and_is_forgotten_when_mended(
    ask: Any, alone: Any, tell: Any, copied: Path, damage: Callable[[Path], None], said: str
) -> None:
    one, table = alone(copied), copied / "service/tables" / TABLE
    whole, answered = table.read_bytes(), ask(one.port, "POST", "/v1/requirements", QUESTION, {"Content-Type": "application/json"}).body
    try:
        damage(table)
        assert readiness(ask, one.port, 503) < 5
        got = ask(one.port, "POST", "/v1/requirements", QUESTION, {"Content-Type": "application/json"})
        assert (got.status, got.body) == (200, answered), "it answers on from what it read"
        refused = start_again(copied)
    finally:
        table.write_bytes(whole)
    mended = readiness(ask, one.port, 200)
    one.stop()
    assert (refused.returncode, refused.stderr.count("\n")) == (2, 1)
    assert refused.stderr.startswith(f"cannot start: {said}")
    tell(f"table damaged: {damage.__name__.replace('_', ' ')}", f"not ready; no second start; ready {mended:.1f} s after mending")


def readiness(ask: Any, port: int, status: int) -> float:
    """Return the seconds until both workers say so: each looks for itself, at most once a second."""
    began, alike = time.monotonic(), 0
    while alike < 10:
        assert time.monotonic() - began < 10, "readiness did not change"
        got = ask(port, path="/readyz")
        alike = alike + 1 if got.status == status else 0
        assert got.status == 200 or (got["Content-Type"], b"tables changed on disk" in got.body) == ("application/problem+json", True)
        time.sleep(0.05)
    return time.monotonic() - began


def start_again(root: Path) -> "subprocess.CompletedProcess[str]":
    kept = {k: v for k, v in os.environ.items() if not k.startswith("APP_")}
    return subprocess.run([sys.executable, "-m", "service"], cwd=root, env=kept, capture_output=True, text=True, timeout=STARTED_S)
