"""Runs on files of questions: the command as a user starts it, and a real Dask scheduler with one worker on loopback."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DASK = Path(sys.executable).with_name("dask")


def clean() -> dict[str, str]:
    return {k: v for k, v in os.environ.items() if not k.startswith(("APP_", "DASK_"))}


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    return port


@dataclass
class Farm:
    """A scheduler with workers, each a process as an operator starts it."""

    stack: ExitStack
    address: str = ""
    workers: "list[subprocess.Popen[bytes]]" = field(default_factory=list)

    def start(self) -> None:
        port = free_port()
        self.address = f"tcp://127.0.0.1:{port}"
        self._start("scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard")
        for _ in range(300):
            try:
                socket.create_connection(("127.0.0.1", port), 1).close()
                return
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the scheduler does not listen")

    def add_worker(self, *more: str) -> "subprocess.Popen[bytes]":
        self.workers.append(self._start("worker", self.address, "--nthreads", "1", "--no-nanny", "--no-dashboard", *more))
        return self.workers[-1]

    def _start(self, *command: str) -> "subprocess.Popen[bytes]":
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        process = subprocess.Popen([str(DASK), *command], cwd=ROOT, env=clean(), **quiet)
        self.stack.callback(process.wait, 10)
        self.stack.callback(process.kill)
        return process


@pytest.fixture(scope="session")
def farm() -> Iterator[Farm]:
    """A scheduler with one worker."""
    with ExitStack() as stack:
        started = Farm(stack)
        started.start()
        started.add_worker()
        yield started


@pytest.fixture
def new_farm() -> Iterator[Farm]:
    """A scheduler without workers, for one test."""
    with ExitStack() as stack:
        started = Farm(stack)
        started.start()
        yield started


Start = Callable[..., "subprocess.Popen[str]"]
Run = Callable[..., "subprocess.CompletedProcess[str]"]


def as_in_a_terminal() -> None:
    """Let the command hear Ctrl-C: what a shell starts in the background ignores it, and so does all that it starts."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.fixture(scope="session")
def start_bulk() -> Start:
    """Start the command."""

    def start(*words: object, **environment: str) -> "subprocess.Popen[str]":
        command = [sys.executable, "-m", "service.bulk", *map(str, words)]
        return subprocess.Popen(
            command, cwd=ROOT, env={**clean(), **environment}, stderr=subprocess.PIPE, text=True, preexec_fn=as_in_a_terminal
        )

    return start


@pytest.fixture(scope="session")
def bulk(start_bulk: Start) -> Run:
    """Run the command to its end."""

    def run(*words: object, **environment: str) -> "subprocess.CompletedProcess[str]":
        with start_bulk(*words, **environment) as process:
            _, said = process.communicate(timeout=240)
        return subprocess.CompletedProcess([], process.returncode, "", said)

    return run


@pytest.fixture(scope="session")
def house() -> list[bytes]:
    """The walls of the demo house, each in one line."""
    files = sorted((ROOT / "openapi/examples").glob("house-*.json"))
    return [json.dumps(json.loads(f.read_bytes()), separators=(",", ":")).encode() for f in files]
