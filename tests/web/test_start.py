"""The start and the process: one line when it cannot, nothing but JSON lines in the log."""

import json
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
BROKEN = """
import os, sys, time
from service import __main__ as start
plain = start.create_app
def broken(settings):
    app = plain(settings)
    @app.get("/bug")
    def bug():
        raise RuntimeError("one\\ntwo")
    @app.get("/finalizer")
    def finalizer():
        class Kept:
            def __del__(self):
                raise RuntimeError("one\\ntwo")
        Kept()
        return "done"
    @app.get("/gone")
    def gone():
        os.kill(os.getpid(), 9)
    @app.get("/stuck")
    def stuck():
        import signal
        signal.signal(signal.SIGALRM, signal.SIG_IGN)
        signal.signal(signal.SIGABRT, signal.SIG_IGN)
        time.sleep(60)
    return app
start.create_app = broken
start.LAST_RESORT_S = 1
sys.exit(start.main())
"""


def json_lines(text: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in text.splitlines()]


def wait_for(found: Any) -> None:
    for _ in range(120):
        if found():
            return
        time.sleep(0.1)
    raise AssertionError("it did not happen")


def errors(service: Any) -> list[dict[str, Any]]:
    """Lines on stderr, but the one that says where it serves."""
    first, *others = service.err.read_text().splitlines()
    assert first.startswith("serving on ")
    return json_lines("\n".join(others))


def test_a_bug_is_one_json_line(serving: Any) -> None:
    with serving("-c", BROKEN) as service:
        got = service.ask(b"GET /bug HTTP/1.1\r\nHost: x\r\nX-Request-ID: bug\r\n\r\n")
        assert (got.status, got.problem["code"], b"two" in got.body) == (500, "internal_error", False)
        told = [n for n in service.lines() if "exception" in n]
        assert len(told) == 1
        assert told[0]["request_id"] == "bug"
        assert "one\ntwo" in told[0]["exception"]
        assert errors(service) == []


def test_an_error_in_a_finalizer_is_one_json_line(serving: Any) -> None:
    with serving("-c", BROKEN) as service:
        assert service.ask(b"GET /finalizer HTTP/1.1\r\nHost: x\r\n\r\n").body == b"done"
        assert ["one\ntwo" in n["exception"] for n in service.lines() if "exception" in n] == [True]
        assert errors(service) == []


@pytest.mark.parametrize(("path", "word"), [("/gone", "SIGKILL"), ("/stuck", "WORKER TIMEOUT")])
def test_a_lost_worker_is_told_in_json_and_replaced(serving: Any, path: str, word: str) -> None:
    with serving("-c", BROKEN, client_timeout_s="1", request_timeout_s="1") as service:
        with service.connect() as wire:
            wire.sendall(f"GET {path} HTTP/1.1\r\nHost: x\r\n\r\n".encode())
            wait_for(lambda: any(word in n["msg"] for n in errors(service)))
        assert service.ask(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n").status == 200
        assert {"ts", "level", "msg"} <= errors(service)[0].keys()
        json_lines(service.out.read_text())


def test_a_worker_that_cannot_boot_is_told_in_json(environment: Any) -> None:
    code = """
import sys
from service import __main__ as start
from service.web.worker import Worker
def fail(self):
    raise RuntimeError("one\\ntwo")
Worker.init_signals = fail
sys.exit(start.main())
"""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        listen = f"127.0.0.1:{free.getsockname()[1]}"
    done = start(environment(listen=listen, workers="1"), "-c", code)
    first, *others = done.stderr.splitlines()
    assert first.startswith("serving on ")
    assert any("one\ntwo" in n.get("exception", "") for n in json_lines("\n".join(others)))
    assert done.returncode != 0


def start(env: dict[str, str], *command: str) -> "subprocess.CompletedProcess[str]":
    told = [sys.executable, *(command or ("-m", "service"))]
    return subprocess.run(told, cwd=ROOT, env=env, capture_output=True, text=True, timeout=30, check=False)
