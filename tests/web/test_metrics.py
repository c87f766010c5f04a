"""The counts: exact over workers and their deaths, with labels that no caller can make, and nothing left behind."""

import json
import os
import random
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families

from service.errors import FAULT_CODES
from service.tables.book import open_book
from service.web.problems import PROBLEMS
from service.web.registry import OPERATIONS

ROOT = Path(__file__).parents[2]
ASKED = "/v1/requirements?connection_id=stud-to-plate-end-nail&nail_id=16d-common&joint_count=38"
LABELS = {
    "app_build_info": {"version", "data_version"},
    "app_cautions_total": {"code"},
    "app_deprecated_requests_total": {"route"},
    "app_items_total": {"outcome"},
    "app_log_lines_dropped_total": set(),
    "app_problems_total": {"code"},
    "http_request_duration_seconds_bucket": {"route", "method", "le"},
    "http_request_duration_seconds_count": {"route", "method"},
    "http_request_duration_seconds_sum": {"route", "method"},
    "http_requests_in_flight": set(),
    "http_requests_total": {"method", "route", "status"},
}
Series = dict[tuple[str, frozenset[tuple[str, str]]], float]


class Counted:
    """A service with its counts."""

    def __init__(self, service: Any, port: int) -> None:
        self.service, self.port = service, port

    def get(self, path: str = ASKED, head: str = "", method: str = "GET") -> int:
        found: int = self.service.ask(f"{method} {path} HTTP/1.1\r\nHost: x\r\n{head}\r\n".encode()).status
        return found

    def post(self, path: str, body: Any) -> int:
        raw = json.dumps(body).encode()
        head = f"POST {path} HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {len(raw)}\r\n\r\n"
        found: int = self.service.ask(head.encode() + raw).status
        return found

    def text(self) -> str:
        with urllib.request.urlopen(f"http://127.0.0.1:{self.port}/metrics", timeout=10) as answer:
            return str(answer.read().decode())

    def series(self) -> Series:
        families = text_string_to_metric_families(self.text())  # type: ignore[no-untyped-call]
        return {(s.name, frozenset(s.labels.items())): s.value for f in families for s in f.samples}

    def value(self, name: str, **labels: str) -> float:
        return self.series().get((name, frozenset(labels.items())), 0)

    def folder(self) -> Path:
        maps = Path(f"/proc/{self.service.process.pid}/maps").read_text()
        return Path(re.findall(r"(/\S*/wall-fastening-\w+)/counter_parent\.db", maps)[0])

    def children(self) -> list[int]:
        pid = self.service.process.pid
        return [int(n) for n in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]

    def workers(self) -> set[int]:
        """Those that do not hold the listener."""
        return {n for n in self.children() if signal.SIGTERM not in ignored(n)}

    def scraper(self) -> int:
        (found,) = set(self.children()) - self.workers()
        return found


def ignored(pid: int) -> set[int]:
    bits = int(re.findall(r"SigIgn:\s*(\w+)", Path(f"/proc/{pid}/status").read_text())[0], 16)
    return {n for n in range(1, 65) if bits >> (n - 1) & 1}


def wait_for(found: Callable[[], Any]) -> None:
    for _ in range(150):
        try:
            if found():
                return
        except (OSError, ValueError):
            pass
        time.sleep(0.1)
    raise AssertionError("it did not happen")


@pytest.fixture
def counted(serving: Any, free_port: Any) -> Iterator[Counted]:
    port = free_port()
    with serving(workers="2", metrics_listen=f"127.0.0.1:{port}", client_timeout_s="1", request_timeout_s="5") as service:
        found = Counted(service, port)
        wait_for(found.text)
        yield found


def test_every_request_is_counted_once_over_all_workers(counted: Counted) -> None:
    assert [counted.get() for _ in range(40)] == [200] * 40
    assert counted.value("http_requests_total", method="GET", route="/v1/requirements", status="200") == 40
    assert counted.value("http_request_duration_seconds_count", method="GET", route="/v1/requirements") == 40
    assert counted.value("http_request_duration_seconds_bucket", method="GET", route="/v1/requirements", le="+Inf") == 40
    assert counted.value("http_requests_in_flight") == 0
    # 16d common is listed; the site is assumed, which each answer says; most of the answers were kept ones
    assert counted.value("app_items_total", outcome="prescriptive") == 40
    assert counted.value("app_cautions_total", code="site_assumed") == 40


def test_items_of_a_batch_are_counted_by_outcome(counted: Counted) -> None:
    joint = {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}
    items = [{"id": "a", **joint}, {"id": "b", **joint}, {"id": "c", **joint, "nail_id": "no-nail"}]
    for form in ("json", "csv"):
        assert counted.post(f"/v1/requirements/batch?format={form}", {"items": items}) == 200
    assert counted.value("app_items_total", outcome="prescriptive") == 4
    assert counted.value("app_items_total", outcome="refused") == 2


def test_what_is_refused_before_the_app_is_counted(counted: Counted) -> None:
    assert counted.service.ask(b"GET /v1/limits HTTP/1.1\r\n\r\n").status == 400
    with counted.service.connect() as wire:
        wire.sendall(b"GET /v1/limits HT")
        assert wire.recv(12) == b"HTTP/1.1 408"
    assert counted.value("http_requests_total", method="GET", route="other", status="400") == 1
    assert counted.value("http_requests_total", method="GET", route="other", status="408") == 1
    assert counted.value("app_problems_total", code="bad_request") == 1
    assert counted.value("app_problems_total", code="request_timeout") == 1


def test_no_caller_makes_a_label(counted: Counted) -> None:
    """Random paths, methods, ids, parameters, codes and headers; every word of the counts is one of ours."""
    drawn = random.Random(12)
    secret = "".join(drawn.choices("abcdefghijkl", k=12))
    paths = [f"/{secret}/{{}}", f"/v1/{secret}{{}}", f"/v1/nails/{secret}{{}}", f"/v1/cautions/{secret}{{}}", f"/v1/nails?{secret}={{}}"]
    for i in range(150):
        method = drawn.choice(["GET", "HEAD", "POST", "PUT", "OPTIONS", "".join(drawn.choices("ABCDEFGH", k=9))])
        head = f"X-Request-ID: {secret}{i}\r\nX-API-Key: {secret}{i}\r\nUser-Agent: {secret}\r\nOrigin: https://{secret}.example\r\n"
        assert counted.get(drawn.choice(paths).format(i), head, method) < 500
    text = counted.text()
    assert secret not in text and "127.0.0.1" not in text
    routes = {re.sub(r"\{(\w+)\}", r"<\1>", o.path) for o in OPERATIONS} | {"other"}
    words = {
        "method": {"GET", "HEAD", "OPTIONS", "POST", "other"},
        "route": routes,
        "status": {"200", "204", "400", "404", "405", "415", "422"},
        "code": {*PROBLEMS, *open_book().cautions} - set(FAULT_CODES),
    }
    for name, labels in counted.series():
        assert {label for label, _ in labels} == LABELS[name], name
        for label, value in labels:
            assert label not in words or value in words[label], (name, label, value)


def test_a_worker_that_is_killed_takes_no_counts_with_it_and_leaves_nothing_in_flight(serving: Any, free_port: Any) -> None:
    code = """
import os, sys, time
from service import __main__ as start
from service import app as made
plain = made.create_app
def killed(settings):
    app = plain(settings)
    @app.get("/gone")
    def gone():
        os.kill(os.getpid(), 9)
    return app
made.create_app = killed
sys.exit(start.main())
"""
    port = free_port()
    with serving("-c", code, metrics_listen=f"127.0.0.1:{port}") as service:
        counted = Counted(service, port)
        wait_for(counted.text)
        for i in range(3):
            assert [counted.get() for _ in range(5)] == [200] * 5
            (before,) = counted.workers()
            with service.connect() as wire:
                wire.sendall(b"GET /gone HTTP/1.1\r\nHost: x\r\n\r\n")
                wire.recv(1)
            wait_for(lambda before=before: counted.workers() and before not in counted.workers())
            assert counted.get("/livez") == 200
            assert counted.value("http_requests_total", method="GET", route="/v1/requirements", status="200") == 5 * (i + 1)
            assert counted.value("http_requests_in_flight") == 0
        # who takes the place of a dead worker goes on in its files, so that deaths do not fill the folder
        assert {f.name.rsplit("_", 1)[1] for f in counted.folder().iterdir()} == {"parent.db", "0.db"}


def test_a_listener_that_is_killed_is_there_again_with_all_counts(counted: Counted) -> None:
    assert counted.get() == 200
    first = counted.scraper()
    os.kill(first, signal.SIGKILL)
    wait_for(lambda: counted.value("http_requests_total", method="GET", route="/v1/requirements", status="200") == 1)
    assert counted.scraper() != first
    assert counted.get() == 200


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGKILL])
def test_nothing_is_left_behind(counted: Counted, number: int) -> None:
    """Not even by a parent that could not clear up: then the listener does."""
    folder, process = counted.folder(), counted.service.process
    assert list(folder.iterdir())
    process.send_signal(number)
    assert process.wait(20) == (0 if number != signal.SIGKILL else -9)
    wait_for(lambda: not folder.exists())
    with pytest.raises(OSError):
        for _ in range(30):
            socket.create_connection(("127.0.0.1", counted.port), 1).close()
            time.sleep(0.1)


def test_only_the_counts_are_there(counted: Counted) -> None:
    for path, status in (("/", 404), ("/livez", 404), ("/metricsx", 404)):
        with pytest.raises(urllib.error.HTTPError) as told:
            urllib.request.urlopen(f"http://127.0.0.1:{counted.port}{path}", timeout=5)
        assert told.value.code == status
        told.value.close()
    assert counted.get("/metrics") == 404
    with urllib.request.urlopen(f"http://127.0.0.1:{counted.port}/metrics", timeout=5) as answer:
        assert "Python" not in str(answer.headers)
        assert answer.headers["Content-Type"].startswith("text/plain; version=")


def test_idle_readers_do_not_keep_others_from_reading(counted: Counted) -> None:
    idle = [socket.create_connection(("127.0.0.1", counted.port), 5) for _ in range(5)]
    assert "app_build_info" in counted.text()
    for wire in idle:
        wire.close()


def test_what_will_go_and_lines_that_nobody_read_are_counted(environment: Any, free_port: Any) -> None:
    """RFC 9745: a Deprecation header says that what was asked will go."""
    code = """
import sys, flask
from service import __main__ as start
from service import app as made
plain = made.create_app
def with_an_old_address(settings):
    app = plain(settings)
    @app.get("/old")
    def old():
        return flask.Response("", headers={"Deprecation": "@1688169599"})
    return app
made.create_app = with_an_old_address
sys.exit(start.main())
"""
    ports = free_port(), free_port()
    env = environment(listen=f"127.0.0.1:{ports[0]}", metrics_listen=f"127.0.0.1:{ports[1]}", workers="1")
    reads, writes = os.pipe()
    with subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, env=env, stdout=writes, stderr=subprocess.DEVNULL) as process:
        counted = Counted(None, ports[1])
        try:
            wait_for(counted.text)
            for _ in range(400):
                with socket.create_connection(("127.0.0.1", ports[0]), 10) as wire:
                    wire.sendall(b"GET /old HTTP/1.1\r\nHost: x\r\n\r\n")
                    assert wire.recv(12) == b"HTTP/1.1 200"
            assert counted.value("app_deprecated_requests_total", route="/old") == 400
            kept = os.read(reads, 1 << 20).count(b"\n")
            assert counted.value("app_log_lines_dropped_total") == 400 - kept > 0
        finally:
            process.terminate()


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("192.0.2.1:9000", "Cannot assign requested address"),  # RFC 5737: an address of no machine
        ("a..b:9000", "no host name"),
        ("same", "the port is in use by another program; stop it, or name a free port in APP_METRICS_LISTEN"),
        ("127.0.0.1", "must fit"),
        ("127.0.0.1:70000", "must name a port"),
    ],
)
def test_a_bad_address_stops_the_start_with_one_line(environment: Any, free_port: Any, address: str, said: str) -> None:
    listen = f"127.0.0.1:{free_port()}"
    line = cannot(environment(listen=listen, metrics_listen=listen if address == "same" else address), "-m", "service")
    assert "APP_METRICS_LISTEN" in line and said in line


def test_without_the_package_one_line_names_the_command(environment: Any, free_port: Any) -> None:
    code = """
import sys
from importlib import util
found = util.find_spec
util.find_spec = lambda name, *a: None if name == "prometheus_client" else found(name, *a)
from service import __main__ as start
sys.exit(start.main())
"""
    line = cannot(environment(listen=f"127.0.0.1:{free_port()}", metrics_listen=f"127.0.0.1:{free_port()}"), "-c", code)
    assert "pip install '.[metrics]'" in line
    assert "metrics = [" in (ROOT / "pyproject.toml").read_text()


def cannot(env: dict[str, str], *command: str) -> str:
    done = subprocess.run([sys.executable, *command], cwd=ROOT, env=env, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout, len(done.stderr.splitlines())) == (2, "", 1)
    assert done.stderr.startswith("cannot start: ")
    return done.stderr


def test_nothing_is_counted_unless_asked(serving: Any) -> None:
    """Nor is the package read, which a service without counts need not have."""
    code = """
import sys, flask
from service import __main__ as start
from service import app as made
from service.web import metrics
plain = made.create_app
def told(settings):
    app = plain(settings)
    @app.get("/told")
    def told():
        return flask.jsonify(read="prometheus_client" in sys.modules, counts=metrics.counts is not None)
    return app
made.create_app = told
sys.exit(start.main())
"""
    with serving("-c", code) as service:
        assert json.loads(service.ask(b"GET /told HTTP/1.1\r\nHost: x\r\n\r\n").body) == {"read": False, "counts": False}
