"""Fixtures for all tests: the app, its client, a known mild site, and a live server."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import settings as laws

from service.app import create_app
from service.settings import Settings

ROOT = Path(__file__).parents[1]
UNCHECKED: pytest.StashKey[int] = pytest.StashKey()

# Laws draw the same cases each time, so that a change fails for what it changes; FRESH=1 hunts for new ones.
laws.register_profile("same", derandomize=True)
laws.load_profile("default" if os.environ.get("FRESH") else "same")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--faults", action="store_true", help="run also what takes long, and needs nginx")
    parser.addoption("--attack", action="store_true", help="send five times as many mutants in tests/attack")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if not config.getoption("--faults"):
        long = [item for item in items if item.get_closest_marker("faults")]
        config.stash[UNCHECKED] = len(long)
        for item in long:
            item.add_marker(pytest.mark.skip(reason="runs with --faults"))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if unchecked := config.stash.get(UNCHECKED, 0):
        terminalreporter.write_line(
            f"NOT CHECKED: {unchecked} tests of stops, of lost workers, and of nginx before two services; --faults runs them"
        )


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Settings(log_level="error"))


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def mild() -> dict[str, Any]:
    return {"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"}


@pytest.fixture(scope="session")
def live() -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    kept = {k: v for k, v in os.environ.items() if not k.startswith("APP_")}
    settings = {"APP_LISTEN": f"127.0.0.1:{port}", "APP_WORKERS": "1", "APP_LOG_LEVEL": "error"}
    with subprocess.Popen([sys.executable, "-m", "service"], cwd=ROOT, env={**kept, **settings}, stderr=subprocess.DEVNULL) as server:
        try:
            _wait(port, server)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()


def _wait(port: int, server: "subprocess.Popen[bytes]") -> None:
    for _ in range(200):
        assert server.poll() is None, "the server ended before it listened"
        try:
            socket.create_connection(("127.0.0.1", port), 1).close()
            return
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the server does not listen")
