"""The start and the process: one line when it cannot, nothing but JSON lines in the log."""

import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
BROKEN = """
import os, sys, time, flask
from service import __main__ as start
from service import app as made
from service.web import server
plain = made.create_app
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
        return flask.Response("done")
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
made.create_app = broken
server.LAST_RESORT_S = 1
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


@pytest.fixture(scope="module")
def taken() -> Iterator[str]:
    with socket.create_server(("127.0.0.1", 0)) as held:
        yield f"127.0.0.1:{held.getsockname()[1]}"


def cannot(env: dict[str, str], *command: str) -> str:
    done = start(env, *command)
    lines = done.stderr.splitlines()
    assert (done.returncode, len(lines), done.stdout) == (2, 1, "")
    assert lines[0].startswith("cannot start: ")
    return lines[0]


@pytest.mark.parametrize(("file", "why"), [("", "Is a directory"), ("none/drain", "its folder does not exist")])
def test_a_drain_file_that_nobody_can_make_stops_the_start(environment: Any, tmp_path: Path, file: str, why: str) -> None:
    path = str(tmp_path / file) if file else str(tmp_path)
    assert cannot(environment(drain_file=path)).startswith(f"cannot start: APP_DRAIN_FILE={path}: {why}")


@pytest.mark.parametrize(
    "listen",
    [
        pytest.param("192.0.2.1:8080", id="address of no machine (RFC 5737)"),
        pytest.param("[2001:db8::1]:8080", id="the same in IPv6 (RFC 3849)"),
        pytest.param("nowhere.invalid:8080", id="name that never resolves (RFC 2606)"),
        pytest.param("999.1.1.1:8080", id="no address"),
        pytest.param(f"{'a' * 70}.invalid:8080", id="label too long"),
        pytest.param("a..b:8080", id="empty label"),
    ],
)
def test_a_bad_address_stops_the_start_with_one_line(environment: Any, listen: str) -> None:
    line = cannot(environment(listen=listen))
    assert "APP_LISTEN" in line
    assert listen in line


@pytest.mark.parametrize("host", ["127.0.0.1", "0.0.0.0", "localhost"])
def test_a_taken_port_stops_the_start_with_one_line(environment: Any, taken: str, host: str) -> None:
    """One line, no word of serving, and an exit code that a script can see; all of it by `cannot`."""
    listen = f"{host}:{taken.rpartition(':')[2]}"
    line = cannot(environment(listen=listen))
    assert line == f"cannot start: APP_LISTEN={listen}: the port is in use by another program; stop it, or name a free port in APP_LISTEN"


def test_a_second_service_on_the_port_of_the_first_does_not_start(serving: Any, environment: Any) -> None:
    with serving("-m", "service") as first:
        assert "the port is in use" in cannot(environment(listen=f"127.0.0.1:{first.port}"))
        assert first.ask(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n").status == 200


@pytest.mark.skipif(os.geteuid() == 0, reason="root may take any port")
def test_a_privileged_port_stops_the_start_with_one_line(environment: Any) -> None:
    low = int(Path("/proc/sys/net/ipv4/ip_unprivileged_port_start").read_text())
    if low <= 1:
        pytest.skip("no port is privileged here")
    assert "denied" in cannot(environment(listen="127.0.0.1:1"))


def test_a_refused_port_stops_the_start_with_one_line(environment: Any) -> None:
    code = """
import socket, sys
from service import __main__ as start
def refuse(*a, **k):
    raise PermissionError(13, "Permission denied")
socket.create_server = refuse
sys.exit(start.main())
"""
    assert "APP_LISTEN=127.0.0.1:80: Permission denied" in cannot(environment(listen="127.0.0.1:80"), "-c", code)


@pytest.mark.parametrize("listen", ["localhost", "[::1]", "0.0.0.0", "[::]"])
def test_names_and_both_families_are_served(serving: Any, environment: Any, listen: str) -> None:
    if ":" in listen and not has_ipv6():
        pytest.skip("no IPv6 here")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    host = {"localhost": "127.0.0.1", "0.0.0.0": "127.0.0.1", "[::1]": "::1", "[::]": "::1"}[listen]
    with subprocess.Popen(
        [sys.executable, "-m", "service"], cwd=ROOT, env=environment(listen=f"{listen}:{port}"), stderr=subprocess.PIPE
    ) as server:
        assert server.stderr is not None
        try:
            # Said only once it listens, so the first try has to succeed.
            assert server.stderr.readline().startswith(f"serving on http://{listen}:{port}/".encode())
            with socket.create_connection((host, port), 5) as wire:
                wire.sendall(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n")
                assert wire.recv(12) == b"HTTP/1.1 200"
        finally:
            server.terminate()
            server.wait(20)


def has_ipv6() -> bool:
    try:
        socket.create_server(("::1", 0), family=socket.AF_INET6).close()
    except OSError:
        return False
    return True


def test_the_started_process_leaves_loaded_objects_to_no_collection(serving: Any) -> None:
    code = """
import gc, sys, flask
from service import __main__ as start
from service import app as made
plain = made.create_app
def told(settings):
    app = plain(settings)
    @app.get("/gc")
    def kept():
        return flask.jsonify(frozen=gc.get_freeze_count(), thresholds=gc.get_threshold())
    return app
made.create_app = told
sys.exit(start.main())
"""
    with serving("-c", code) as service:
        found = json.loads(service.ask(b"GET /gc HTTP/1.1\r\nHost: x\r\n\r\n").body)
        assert found["thresholds"] == [100_000, 20, 50]
        assert found["frozen"] > 10_000
