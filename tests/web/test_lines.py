"""Log lines: never waited for, never cut in two, none lost without being told."""

import json
import logging
import os
import pty
import select
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from service.web.lines import LONGEST, Lines, fitted
from service.web.logs import JsonLines

ROOT = Path(__file__).parents[2]
ASKED = 2_000


def pipe() -> tuple[int, int]:
    return os.pipe()


def sockets() -> tuple[int, int]:
    ours, theirs = socket.socketpair()
    return ours.detach(), theirs.detach()


def unopenable(monkeypatch: pytest.MonkeyPatch) -> Callable[[], tuple[int, int]]:
    """A pipe that another user made: it may be written to, not opened anew."""

    def refuse(*_: Any, **__: Any) -> int:
        raise PermissionError

    monkeypatch.setattr("service.web.lines.os.open", refuse)
    return os.pipe


def read_all(number: int) -> bytes:
    got = b""
    while select.select([number], [], [], 0.2)[0] and (more := os.read(number, 65_536)):
        got += more
    return got


@pytest.fixture(params=["pipe", "socket", "terminal", "pipe of another user"])
def ends(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> tuple[int, int]:
    """Return where to read and where to write."""
    makers = {"pipe": pipe, "socket": sockets, "terminal": pty.openpty, "pipe of another user": unopenable(monkeypatch)}
    if request.param != "pipe of another user":
        monkeypatch.undo()
    return makers[request.param]()


def test_lines_without_a_reader_are_dropped_and_told_once_when_there_is_one(ends: tuple[int, int]) -> None:
    """Nothing is lost silently: what came and what is said to be dropped make up what was written."""
    reads, writes = ends
    lines = Lines(writes)
    for i in range(3_000):
        lines.write(fitted({"n": i, "filler": "x" * 300}))
    assert 0 < lines.dropped < 3_000
    raw = read_all(reads)  # a terminal or socket may hold a part of the last line, whose rest goes before the next
    lines.write(fitted({"n": "after"}))
    lines.write(fitted({"n": "last"}))
    *before, after, told, last = (json.loads(line) for line in (raw + read_all(reads)).splitlines())
    assert (after, last) == ({"n": "after"}, {"n": "last"})
    assert (told["level"], told["msg"]) == ("warning", "log lines were dropped: nobody read them")
    came = [line["n"] for line in before if "n" in line]
    gaps = [line["dropped_count"] for line in (*before, told) if "n" not in line]
    assert came == sorted(set(came)) and len(came) + sum(gaps) == 3_000
    assert len(gaps) == 1 or os.isatty(writes), "a terminal takes what it has to its other end by and by"
    assert lines.dropped == 0
    lines.close()


@pytest.mark.parametrize("make", [pipe, sockets])
def test_a_reader_that_is_gone_costs_lines_and_nothing_else(make: Callable[[], tuple[int, int]]) -> None:
    reads, writes = make()
    lines = Lines(writes)
    os.close(reads)
    for _ in range(5):
        lines.write(b"{}\n")
    assert lines.dropped == 5
    lines.close()


def test_writing_without_waiting_stays_our_own_affair() -> None:
    """The shell that started us holds the same opening of the pipe; it must not find it changed."""
    _, writes = os.pipe()
    Lines(writes)
    assert os.get_blocking(writes)


@pytest.mark.parametrize("text", ["a" * 100_000, "\n" * 100_000, "\x00" * 100_000, "é" * 100_000, "\U0001f528" * 50_000])
def test_the_longest_line_goes_into_a_pipe_whole(text: str) -> None:
    """POSIX, write: up to PIPE_BUF bytes are not mixed with what others write."""
    line = fitted({"msg": f"begins {text} ends", "exception": f"Traceback {text} at the end"})
    assert len(line) <= LONGEST
    read = json.loads(line)
    assert read["exception"].startswith("Trace") and read["exception"].endswith("end")


def test_a_message_that_cannot_be_put_together_is_counted_and_no_error() -> None:
    reads, writes = os.pipe()
    handler = JsonLines(writes)
    handler.handle(logging.LogRecord("x", logging.ERROR, "", 1, "%d", ("no number",), None))
    handler.handle(logging.LogRecord("x", logging.ERROR, "", 1, "half a character \udcff", (), None))
    first, second = (json.loads(line) for line in read_all(reads).splitlines())
    assert (first["msg"], second["dropped_count"]) == ("half a character \\udcff", 1)


def ask_all(port: int, count: int) -> set[bytes]:
    told = set()
    for _ in range(count):
        with socket.create_connection(("127.0.0.1", port), 10) as wire:
            wire.sendall(b"GET /v1/limits HTTP/1.1\r\nHost: x\r\n\r\n")
            told.add(wire.recv(12))
    return told


@pytest.fixture
def begun(environment: Any, free_port: Any) -> Any:
    """Start a service whose output goes into pipes or sockets that nobody reads unless the test does."""
    kept: list[subprocess.Popen[bytes]] = []

    def begin(**more: Any) -> "tuple[int, subprocess.Popen[bytes]]":
        port = free_port()
        env = environment(listen=f"127.0.0.1:{port}", workers="1")
        process = subprocess.Popen([sys.executable, "-m", "service"], cwd=ROOT, env=env, **more)
        kept.append(process)
        for _ in range(300):
            try:
                socket.create_connection(("127.0.0.1", port), 1).close()
                return port, process
            except OSError:
                time.sleep(0.05)
        raise AssertionError("it does not listen")

    yield begin
    for process in kept:
        process.kill()
        process.wait()


@pytest.mark.parametrize("make", [pipe, sockets])
def test_every_request_is_answered_while_nobody_reads_the_log(begun: Any, make: Callable[[], tuple[int, int]]) -> None:
    reads, writes = make()
    port, process = begun(stdout=writes, stderr=writes)
    assert ask_all(port, ASKED) == {b"HTTP/1.1 200"}
    before = read_all(reads)
    assert ask_all(port, 1) == {b"HTTP/1.1 200"}
    lines = [json.loads(line) for line in (before + read_all(reads)).splitlines() if not line.startswith(b"serving on ")]
    assert sum(line["msg"] == "request" for line in lines) + sum(line.get("dropped_count", 0) for line in lines) == ASKED + 1
    process.terminate()
    assert process.wait(20) == 0


def test_every_request_is_answered_when_the_readers_are_gone(begun: Any) -> None:
    reads, writes = os.pipe()
    os.close(reads)
    port, process = begun(stdout=writes, stderr=writes)
    assert ask_all(port, 50) == {b"HTTP/1.1 200"}
    process.terminate()
    assert process.wait(20) == 0


def test_a_service_without_standard_descriptors_does_not_write_its_log_to_a_caller(begun: Any) -> None:
    port, _ = begun(preexec_fn=lambda: os.closerange(0, 3))
    with socket.create_connection(("127.0.0.1", port), 10) as wire:
        wire.sendall(b"GET /nowhere HTTP/1.1\r\nHost: x\r\n\r\n")
        got = b"".join(iter(lambda: wire.recv(65_536), b""))
    assert got.startswith(b"HTTP/1.1 404") and got.endswith(b"}") and b'"msg"' not in got
