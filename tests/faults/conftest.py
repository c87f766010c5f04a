"""Debian's nginx with the kept configuration, before two real services, all on loopback."""

import http.client
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from itertools import cycle
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CONF = (ROOT / "docker/nginx.conf").read_text(encoding="utf-8")
TOLD: pytest.StashKey[list[tuple[str, str]]] = pytest.StashKey()
QUESTION = b'{"connection_id":"stud-to-plate-end-nail","joint_count":38,"nail_designation":"3 x 0.131"}'
JSON = {"Content-Type": "application/json"}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.path.is_relative_to(Path(__file__).parent):
            item.add_marker(pytest.mark.faults)


def pytest_configure(config: pytest.Config) -> None:
    config.stash[TOLD] = []


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if told := config.stash[TOLD]:
        terminalreporter.write_sep("-", "nginx before two services")
        for what, found in told:
            terminalreporter.write_line(f"{what:<42} {found}")


@pytest.fixture(scope="session")
def tell(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Add a line to the table at the end."""
    told = request.config.stash[TOLD]
    return lambda what, found: None if (what, found) in told else told.append((what, found))


@dataclass
class Answer:
    status: int
    headers: list[tuple[str, str]]
    body: bytes

    def __getitem__(self, name: str) -> str | None:
        """Return the one value of a header."""
        found = [v for k, v in self.headers if k.lower() == name.lower()]
        assert len(found) <= 1, f"{name} stands twice"
        return found[0] if found else None


def ask(port: int, method: str = "GET", path: str = "/livez", body: bytes | None = None, headers: dict[str, str] | None = None) -> Answer:
    wire = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    try:
        wire.request(method, path, body, headers or {})
        got = wire.getresponse()
        return Answer(got.status, got.getheaders(), got.read())
    finally:
        wire.close()


@pytest.fixture(scope="session", name="ask")
def _ask() -> Callable[..., Answer]:
    """Ask a port one question."""
    return ask


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    return port


@dataclass
class Instance:
    """One service, with its workers in a process group of their own, as a container has them."""

    port: int = field(default_factory=free_port)
    settings: dict[str, str] = field(default_factory=dict)
    inside: tuple[str, ...] = ()
    process: "subprocess.Popen[bytes] | None" = None

    def start(self, root: Path = ROOT) -> None:
        kept = {k: v for k, v in os.environ.items() if not k.startswith("APP_")}
        env = kept | {"APP_LISTEN": f"127.0.0.1:{self.port}", "APP_WORKERS": "2", "APP_LOG_LEVEL": "error"} | self.settings
        self.process = subprocess.Popen(
            [*self.inside, sys.executable, "-m", "service"], cwd=root, env=env, stderr=subprocess.DEVNULL, start_new_session=True
        )
        until(lambda: ask(self.port, path="/readyz").status == 200)

    def workers(self) -> list[int]:
        assert self.process is not None
        return [int(pid) for pid in Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()]

    def replaced(self, gone: int) -> None:
        """Wait until another worker stands in for one that ended."""
        until(lambda: gone not in self.workers() and len(self.workers()) == 2)

    def signal(self, number: int) -> None:
        """Send a signal to the parent and its workers."""
        assert self.process is not None
        os.killpg(self.process.pid, number)

    def kill(self) -> None:
        assert self.process is not None
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(5)

    def stop(self) -> None:
        assert self.process is not None
        self.process.terminate()
        assert self.process.wait(10) == 0


def until(true: Callable[[], bool]) -> None:
    for _ in range(400):
        try:
            if true():
                return
        except (OSError, http.client.HTTPException):
            pass
        time.sleep(0.05)
    raise AssertionError("it did not happen in 20 s")


@pytest.fixture(scope="session")
def pair() -> Iterator[tuple[Instance, Instance]]:
    instances = (Instance(), Instance())
    try:
        for one in instances:
            one.start()
        yield instances
    finally:
        for one in instances:
            if one.process is not None and one.process.poll() is None:
                one.kill()


@pytest.fixture
def alone() -> Iterator[Callable[..., Instance]]:
    """Start a service of a test's own, with settings, and end it afterwards."""
    started: list[Instance] = []

    def start(root: Path = ROOT, inside: tuple[str, ...] = (), **settings: str) -> Instance:
        started.append(one := Instance(settings={f"APP_{k.upper()}": v for k, v in settings.items()}, inside=inside))
        one.start(root)
        return one

    yield start
    for one in started:
        if one.process is not None and one.process.poll() is None:
            one.kill()


def changed(text: str, *changes: tuple[str, str]) -> str:
    """Return a text in which each pattern, which must stand in it once, is replaced."""
    for pattern, by in changes:
        text, count = re.subn(pattern, by, text)
        assert count == 1, pattern
    return text


@pytest.fixture(scope="session")
def proxy_before() -> Callable[..., AbstractContextManager[int]]:
    """Start nginx as an unprivileged user before two ports; its configuration differs in addresses, folder and what the test changes."""
    nginx = shutil.which("nginx", path=f"{os.environ['PATH']}:/usr/sbin")
    assert nginx, "nginx is missing: apt-get install nginx"

    @contextmanager
    def start(ports: tuple[int, int], *changes: tuple[str, str], limited: str = "off", inside: tuple[str, ...] = ()) -> Iterator[int]:
        port, folder = free_port(), tempfile.mkdtemp()  # not pytest's, which is its user's alone
        os.chmod(folder, 0o777)
        own = [
            ("service-a:8080", f"127.0.0.1:{ports[0]}"),
            ("service-b:8080", f"127.0.0.1:{ports[1]}"),
            ("listen 8080", f"listen 127.0.0.1:{port}"),
            ("map on ", f"map {limited} "),
            ("access_log /dev/stdout", f"access_log {folder}/access.log"),
            ("error_log stderr", f"error_log {folder}/error.log"),
        ]
        conf = Path(folder, "nginx.conf")
        conf.write_text(changed(CONF.replace("/tmp/", f"{folder}/"), *own, *changes), encoding="utf-8")
        user = {"user": 65534, "group": 65534, "extra_groups": []} if os.geteuid() == 0 and not inside else {}
        with subprocess.Popen([*inside, nginx, "-c", str(conf), "-e", f"{folder}/error.log", "-g", "daemon off;"], **user) as process:  # type: ignore[call-overload]
            try:
                until(lambda: ask(port, path="/unready").status > 0)
                yield port
            finally:
                process.send_signal(signal.SIGQUIT)
                try:
                    process.wait(5)
                except subprocess.TimeoutExpired:
                    process.terminate()
        shutil.rmtree(folder)

    return start


@pytest.fixture(scope="session")
def proxy(proxy_before: Callable[..., AbstractContextManager[int]], pair: tuple[Instance, Instance]) -> Iterator[int]:
    """Port of the proxy before both services, without its rate limit."""
    with proxy_before((pair[0].port, pair[1].port)) as port:
        yield port


@dataclass
class Load:
    """Clients that ask by GET and by POST, one after another on a kept connection, and never ask again."""

    port: int
    took: list[float] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)

    @contextmanager
    def running(self, clients: int = 6) -> Iterator["Load"]:
        self.on = True
        threads = [threading.Thread(target=self._ask_on) for _ in range(clients)]
        for thread in threads:
            thread.start()
        try:
            yield self
        finally:
            self.on = False
            for thread in threads:
                thread.join(40)

    def _ask_on(self) -> None:
        wire = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        questions = cycle((("POST", "/v1/requirements", QUESTION, JSON), ("GET", "/v1/code-editions", None, {})))
        while self.on:
            method, path, body, headers = next(questions)
            began = time.perf_counter()
            try:
                wire.request(method, path, body, headers)
                got = wire.getresponse()
                whole = got.read()
                if got.status != 200 or not whole.endswith(b"}"):
                    self.lost.append(f"{method} {got.status} {whole[:200]!r}")
            except (OSError, http.client.HTTPException) as error:
                self.lost.append(f"{method} {error!r}")
                wire.close()
            self.took.append(time.perf_counter() - began)
        wire.close()


@pytest.fixture(name="load")
def _load(proxy: int) -> Load:
    """Clients of the proxy."""
    return Load(proxy)
