"""Starts the real service on a free loopback port and talks to it in raw bytes."""

import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]


@dataclass
class Answer:
    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def problem(self) -> dict[str, Any]:
        assert self.headers["content-type"] == "application/problem+json"
        found: dict[str, Any] = json.loads(self.body)
        assert found["status"] == self.status
        return found


@dataclass
class Service:
    port: int
    process: "subprocess.Popen[bytes]"
    out: Path
    err: Path

    def connect(self) -> socket.socket:
        return socket.create_connection(("127.0.0.1", self.port), 8)

    def ask(self, request: bytes) -> Answer:
        with self.connect() as wire:
            wire.sendall(request)
            return answer(wire)

    def lines(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in self.out.read_text(encoding="utf-8").splitlines()]

    def line(self, request_id: str) -> dict[str, Any]:
        for _ in range(40):
            found = [n for n in self.lines() if n.get("request_id") == request_id]
            if found:
                assert len(found) == 1
                return found[0]
            time.sleep(0.05)
        raise AssertionError(f"no log line has the request id {request_id}")


def answer(wire: socket.socket) -> Answer:
    raw = b""
    while more := wire.recv(65536):
        raw += more
    head, _, body = raw.partition(b"\r\n\r\n")
    first, *lines = head.decode("latin1").split("\r\n")
    assert first.startswith("HTTP/1.1 "), raw[:200]
    headers = {name.lower(): value.strip() for name, _, value in (line.partition(":") for line in lines)}
    assert len(headers) == len(lines), "a header stands twice"
    return Answer(int(first.split()[1]), headers, body)


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    return port


def environment(**settings: str) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("APP_")}
    return {**kept, **{f"APP_{k.upper()}": v for k, v in settings.items()}}


@contextmanager
def serving(*command: str, root: Path = ROOT, **settings: str) -> Iterator[Service]:
    port = free_port()
    env = environment(**{"listen": f"127.0.0.1:{port}", "workers": "1", **settings})
    with tempfile.TemporaryDirectory() as kept:
        out, err = Path(kept) / "out", Path(kept) / "err"
        with out.open("wb") as o, err.open("wb") as e:
            process = subprocess.Popen([sys.executable, *(command or ("-m", "service"))], cwd=root, env=env, stdout=o, stderr=e)
        try:
            _wait(process, err)
            yield Service(port, process, out, err)
        finally:
            process.send_signal(signal.SIGTERM)
            try:
                process.wait(20)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(5)


def _wait(process: "subprocess.Popen[bytes]", err: Path) -> None:
    for _ in range(300):
        assert process.poll() is None, err.read_text()
        if err.read_text().startswith("serving on "):
            return
        time.sleep(0.05)
    raise AssertionError("the service does not say that it serves")


@pytest.fixture(scope="session", name="serving")
def _serving() -> Callable[..., AbstractContextManager[Service]]:
    """Start a service with settings and stop it afterwards."""
    return serving


@pytest.fixture(scope="session", name="environment")
def _environment() -> Callable[..., dict[str, str]]:
    """Environment of a service with settings."""
    return environment


@pytest.fixture(scope="session", name="free_port")
def _free_port() -> Callable[[], int]:
    """Name a port that is free now."""
    return free_port
