"""Readiness: draining and tables that changed on disk, the same in every worker."""

import shutil
import time
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.tables.book import HERE
from service.web import operations

ROOT = Path(__file__).parents[2]
READY = b"GET /readyz HTTP/1.1\r\nHost: x\r\n\r\n"


@pytest.fixture
def tables(tmp_path: Path) -> Path:
    return Path(shutil.copytree(HERE, tmp_path / "tables"))


@pytest.fixture
def watched(tables: Path, monkeypatch: pytest.MonkeyPatch) -> FlaskClient:
    monkeypatch.setattr(operations, "LOOK_EVERY_S", 0.0)
    app = create_app(Settings(log_level="error"))
    app.extensions[operations.WATCH] = operations.TableWatch(tables)
    return app.test_client()


def change(root: Path) -> Path:
    table = root / "species.csv"
    table.write_bytes(table.read_bytes() + b"\n")
    return table


def refused(answer: Any, detail: str) -> None:
    assert (answer.status_code, answer.content_type) == (503, "application/problem+json")
    assert (answer.json["code"], answer.json["detail"], answer.json["instance"]) == ("overloaded", detail, "/readyz")
    assert int(answer.headers["Retry-After"]) > 0
    assert answer.headers["Cache-Control"] == "no-store"


def test_draining_is_a_problem(tmp_path: Path) -> None:
    file = tmp_path / "drain"
    client = create_app(Settings(drain_file=str(file), log_level="error")).test_client()
    assert client.get("/readyz").json == {"status": "ok"}
    file.touch()
    refused(client.get("/readyz"), "draining")


def test_changed_tables_are_a_problem_until_they_are_put_back(watched: FlaskClient, tables: Path) -> None:
    assert watched.get("/readyz").status_code == 200
    table = change(tables)
    refused(watched.get("/readyz"), "tables changed on disk")
    shutil.copy(HERE / table.name, table)
    assert watched.get("/readyz").status_code == 200


@pytest.mark.parametrize("harm", ["removed", "added"])
def test_tables_missing_or_added_are_a_problem(watched: FlaskClient, tables: Path, harm: str) -> None:
    if harm == "removed":
        (tables / "species.csv").unlink()
    else:
        (tables / "more.csv").write_text("a\n1\n")
    refused(watched.get("/readyz"), "tables changed on disk")


def test_touched_tables_are_still_whole(watched: FlaskClient, tables: Path) -> None:
    (tables / "species.csv").touch()
    assert watched.get("/readyz").status_code == 200


def test_the_disk_is_looked_at_once_a_second(app: Flask, tables: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    looks: list[int] = []
    plain = operations.stamps
    monkeypatch.setattr(operations, "stamps", lambda root: looks.append(1) or plain(root))
    watch = operations.TableWatch(tables)
    looks.clear()
    started = time.monotonic()
    while time.monotonic() - started < 0.2:
        assert watch.whole()
    assert len(looks) <= 1


@pytest.mark.parametrize("changed", [False, True])
def test_head_is_get_without_a_body(watched: FlaskClient, tables: Path, changed: bool) -> None:
    if changed:
        change(tables)
    head, get = watched.head("/readyz"), watched.get("/readyz")
    assert (head.status_code, head.data) == (get.status_code, b"")
    assert head.content_type == get.content_type
    assert head.headers.get("Retry-After") == get.headers.get("Retry-After")


def test_every_worker_says_the_same(serving: Any, tmp_path: Path) -> None:
    for name in ("service", "openapi"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    with serving(root=tmp_path, workers="3") as service:
        assert {service.ask(READY).status for _ in range(12)} == {200}
        table = change(tmp_path / "service" / "tables")
        time.sleep(1.1)
        assert {service.ask(READY).status for _ in range(12)} == {503}
        shutil.copy(HERE / table.name, table)
        time.sleep(1.1)
        assert {service.ask(READY).status for _ in range(12)} == {200}
