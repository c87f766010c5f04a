"""Whole runs of the command on a real scheduler: all lines answered, once, whatever happens on the way."""

import gc
import json
import os
import re
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from distributed.protocol.serialize import Serialized

from service.bulk import pool
from service.bulk.__main__ import main
from service.bulk.answering import answer, order_of
from service.bulk.folder import Folder
from service.bulk.parts import Part, parts_of
from service.bulk.pool import FLYING, answered, workers_of
from service.bulk.run import Job, run
from service.settings import Settings

NOBODY = "nowhere"
"""No address of a scheduler, so that a run which needs workers ends at once."""
DISCARD = "tcp://127.0.0.1:9"
"""The discard port of RFC 863, where nothing listens here."""
ORDER = order_of("/v1/wall-plans", Settings())


@pytest.fixture
def walls(tmp_path: Path, house: list[bytes]) -> Path:
    """The demo house 20 times, each wall of another length, with three bad lines: 143 lines."""
    lines = []
    for i in range(20):
        for raw in house:
            body = json.loads(raw)
            body["wall"]["length_in"] += i / 8
            lines.append(json.dumps(body).encode())
    lines[5:5] = [b"", b"{", b"\xff"]
    path = tmp_path / "walls.ndjson"
    path.write_bytes(b"\n".join(lines) + b"\n")
    return path


def parts(path: Path, most_lines: int) -> Iterator[Part]:
    with path.open("rb") as file:
        yield from parts_of(file, Settings().max_body_bytes, most_lines, str(ORDER))


def keep_all(path: Path, answers: Path, most_lines: int) -> None:
    """Answer all parts here, as an earlier run would have."""
    with Folder(answers) as folder:
        for part in parts(path, most_lines):
            folder.keep(part.name, answer(part, ORDER))


def wait_for_parts(folder: Path, count: int, process: "subprocess.Popen[str]") -> None:
    for _ in range(1200):
        if len(list(folder.glob("*.gz"))) >= count:
            return
        assert process.poll() is None, "the run ended before it could be disturbed"
        time.sleep(0.02)
    raise AssertionError("no part is finished")


def test_each_line_is_answered_in_its_place_and_bad_ones_fail_alone(bulk: Any, farm: Any, walls: Path, tmp_path: Path) -> None:
    done = bulk(walls, tmp_path / "answers", "--scheduler", farm.address, "--part-lines", 30)
    assert (done.returncode, done.stderr) == (
        1,
        "143 lines: 140 answered, 3 refused (line 6 invalid_json, line 7 invalid_json, line 8 invalid_json)\n",
    )
    found = [json.loads(line) for line in (tmp_path / "answers").read_bytes().splitlines()]
    assert [f["line"] for f in found] == list(range(1, 144))
    assert [f["line"] for f in found if f["status"] != 200] == [6, 7, 8]
    assert sorted(os.listdir(tmp_path)) == ["answers", "walls.ndjson"]


def test_part_size_and_workers_leave_the_bytes_alone(bulk: Any, farm: Any, walls: Path, tmp_path: Path) -> None:
    assert bulk(walls, tmp_path / "a", "--scheduler", farm.address, "--part-lines", 7).returncode == 1
    assert bulk(walls, tmp_path / "b", "--workers", 2, "--part-lines", 64).returncode == 1
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()


def test_takeoffs_are_answered_too(bulk: Any, farm: Any, tmp_path: Path) -> None:
    body = json.loads((Path(__file__).parents[2] / "openapi/examples/takeOff.json").read_bytes())
    (tmp_path / "houses").write_text(json.dumps(body), encoding="utf-8")
    done = bulk(tmp_path / "houses", tmp_path / "answers", "--question", "takeoffs", "--scheduler", farm.address)
    assert (done.returncode, done.stderr) == (0, "1 lines: 1 answered, 0 refused\n")
    assert "purchase" in json.loads((tmp_path / "answers").read_bytes())["answer"]["result"]


@pytest.mark.parametrize("stop", [signal.SIGKILL, signal.SIGINT, pytest.param(signal.SIGTERM, marks=pytest.mark.faults)])
def test_a_run_cut_off_goes_on_where_it_was(
    stop: signal.Signals, start_bulk: Any, bulk: Any, farm: Any, walls: Path, tmp_path: Path
) -> None:
    words = (walls, tmp_path / "answers", "--scheduler", farm.address, "--part-lines", 2)
    folder = tmp_path / "answers.parts"
    with start_bulk(*words) as process:
        wait_for_parts(folder, 3, process)
        process.send_signal(stop)
        _, said = process.communicate(timeout=60)
    assert (process.returncode, said) == (
        (-9, "") if stop == signal.SIGKILL else (130, "stopped; the finished parts are kept, and the same command goes on from them\n")
    )
    assert not (tmp_path / "answers").exists()
    kept = len(list(folder.glob("*.gz")))
    done = bulk(*words)
    assert f"; {kept} of 72 parts from an earlier run\n" in done.stderr
    assert bulk(walls, tmp_path / "unbroken", "--scheduler", farm.address).returncode == done.returncode == 1
    assert (tmp_path / "answers").read_bytes() == (tmp_path / "unbroken").read_bytes()


def test_finished_parts_ask_no_worker(told: Any, walls: Path, tmp_path: Path) -> None:
    keep_all(walls, tmp_path / "answers", 50)
    code, said = told(walls, tmp_path / "answers", "--part-lines", 50, "--scheduler", NOBODY)
    assert (code, said.endswith("; 3 of 3 parts from an earlier run\n")) == (1, True)
    assert len((tmp_path / "answers").read_bytes().splitlines()) == 143


def test_a_changed_line_is_answered_anew_with_its_part_alone(bulk: Any, farm: Any, walls: Path, tmp_path: Path) -> None:
    keep_all(walls, tmp_path / "answers", 50)
    lines = walls.read_bytes().splitlines()
    lines[60] = b"[]"
    walls.write_bytes(b"\n".join(lines))
    words = (walls, tmp_path / "answers", "--part-lines", 50)
    assert bulk(*words, "--scheduler", NOBODY).returncode == 2
    done = bulk(*words, "--scheduler", farm.address)
    assert "4 refused" in done.stderr
    assert done.stderr.endswith("line 61 validation_error); 2 of 3 parts from an earlier run\n")


def test_another_question_or_limit_takes_nothing_from_an_earlier_run(told: Any, walls: Path, tmp_path: Path) -> None:
    keep_all(walls, tmp_path / "answers", 50)
    words = (walls, tmp_path / "answers", "--part-lines", 50, "--scheduler", NOBODY)
    assert told(*words, "--question", "takeoffs")[0] == 2
    assert told(*words, APP_MAX_MEMBERS="1000")[0] == 2
    assert told(*words, APP_LOG_LEVEL="debug")[0] == 1


def test_an_empty_file_has_no_answers(told: Any, tmp_path: Path) -> None:
    (tmp_path / "none").touch()
    assert told(tmp_path / "none", tmp_path / "answers", "--scheduler", NOBODY) == (0, "0 lines: 0 answered, 0 refused\n")
    assert (tmp_path / "answers").read_bytes() == b""


def test_no_more_parts_are_out_than_the_workers_can_begin(farm: Any, walls: Path) -> None:
    """What bounds the memory of a run: a part is read only when a worker has room for it."""
    out, back, most = 0, 0, 0

    def counted() -> Iterator[Part]:
        nonlocal out
        for part in parts(walls, 2):
            out += 1
            yield part

    with workers_of(farm.address, 0) as client:
        for _ in answered(client, counted(), ORDER):
            most = max(most, out - back)
            back += 1
        messages = sum(type(kept) is Serialized for kept in gc.get_objects())
    assert (out, back) == (72, 72)
    assert 1 < most <= FLYING  # of one worker with one thread
    # 20 are kept, and some are on their way; without a bound it is all that went out.
    assert messages < out / 2, "what was sent to the workers is kept after it is answered"


def test_a_second_run_on_the_same_answers_is_refused(told: Any, walls: Path, tmp_path: Path) -> None:
    with Folder(tmp_path / "answers"):
        assert told(walls, tmp_path / "answers", "--scheduler", NOBODY) == (
            2,
            f"cannot go on: {tmp_path}/answers: another run is writing it\n",
        )


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Iterator[Any]:
    """Run the command in this process; only for what ends before it needs workers."""

    def run_here(*words: object, **environment: str) -> tuple[int, str]:
        with monkeypatch.context() as patch:
            patch.setattr(sys, "argv", ["bulk", *map(str, words)])
            for name, value in environment.items():
                patch.setenv(name, value)
            try:
                code = main()
            except SystemExit as ended:  # as argparse ends
                code = int(ended.code or 0)
        return code, capsys.readouterr().err

    before = signal.getsignal(signal.SIGTERM)
    yield run_here
    signal.signal(signal.SIGTERM, before)


def test_workers_that_do_not_start_are_said_in_one_line(told: Any, walls: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(**_: object) -> None:
        raise RuntimeError("Cluster failed to start: no room\nmore")

    monkeypatch.setattr(pool, "LocalCluster", fails)
    said = "cannot go on: 3 worker processes cannot be started here: Cluster failed to start: no room\n"
    assert told(walls, tmp_path / "a", "--workers", 3) == (2, said)


def test_what_cannot_begin_is_said_in_one_line(told: Any, walls: Path, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "a.parts").mkdir()
    (tmp_path / "a.parts/walls").write_bytes(walls.read_bytes())
    amid = "the questions stand among the finished parts of these answers; put them elsewhere"
    for words, environment, said in [
        ((tmp_path / "missing", tmp_path / "a"), {}, f"{tmp_path}/missing: No such file or directory"),
        ((tmp_path / "folder", tmp_path / "a"), {}, f"{tmp_path}/folder: Is a directory"),
        ((walls, tmp_path / "folder"), {}, f"{tmp_path}/folder: is a folder; name a file"),
        ((walls, "/dev/null"), {}, "/dev/null: is a device or pipe; name a file"),
        ((tmp_path / "a.parts/walls", tmp_path / "a"), {}, f"{tmp_path}/a.parts/walls: {amid}"),
        ((walls, tmp_path / "no/a"), {}, f"{tmp_path}/no/a.parts: No such file or directory"),
        ((walls, walls), {}, f"{walls}: the answers cannot stand where the questions do"),
        ((walls, tmp_path / "a", "--scheduler", NOBODY), {}, f"{NOBODY}: is no address of a scheduler, such as tcp://host:8786"),
        ((walls, tmp_path / "a", "--scheduler", DISCARD), {}, f"{DISCARD}: no scheduler answers there (Connection refused)"),
        ((walls, tmp_path / "a"), {"APP_MAX_ITEMS": "many"}, "APP_MAX_ITEMS must be a whole number from 1 to 100000, not 'many'"),
    ]:
        assert told(*words, **environment) == (2, f"cannot go on: {said}\n")


@pytest.mark.parametrize("words", [("--question", "walls"), ("--part-lines", "0"), ("--workers", "x")])
def test_what_was_typed_wrong_is_a_usage_error(told: Any, walls: Path, tmp_path: Path, words: tuple[str, str]) -> None:
    code, said = told(walls, tmp_path / "a", *words)
    assert (code, f"argument {words[0]}: " in said.splitlines()[-1]) == (2, True)


def test_every_address_that_takes_a_question_can_be_asked(told: Any, tmp_path: Path) -> None:
    contract = yaml.safe_load((Path(__file__).parents[2] / "openapi/openapi.yaml").read_text(encoding="utf-8"))
    posts = {path.removeprefix("/v1/") for path, methods in contract["paths"].items() if "post" in methods}
    _, said = told(tmp_path, tmp_path, "--question", "none")
    assert set(re.findall(r"[a-z]+[a-z/-]*", said.split("choose from")[1])) == posts


def test_without_dask_it_names_the_command_that_installs_it(walls: Path, tmp_path: Path) -> None:
    bare = "import sys, runpy; sys.modules['distributed'] = None; runpy.run_module('service.bulk', run_name='__main__')"
    done = subprocess.run([sys.executable, "-c", bare, walls, tmp_path / "a"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr.count("\n"), "pip install '.[bulk]'" in done.stderr) == (2, 1, True)


def test_a_full_disk_is_said_and_what_was_finished_is_kept(farm: Any, walls: Path, tmp_path: Path) -> None:
    """A limit on the size of files stands for the disk: the parts have room, the file they become has not."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    job = Job(walls, tmp_path / "answers", ORDER, 20, 1, farm.address)
    resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, hard))
    try:
        with pytest.raises(OSError, match="File too large"):
            run(job)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert not (tmp_path / "answers").exists()
    tally, bar = run(job)
    assert (tally.lines, bar.kept, bar.parts) == (143, 8, 8)


@pytest.mark.faults
def test_a_killed_worker_loses_nothing(new_farm: Any, start_bulk: Any, bulk: Any, farm: Any, walls: Path, tmp_path: Path) -> None:
    first, _ = new_farm.add_worker(), new_farm.add_worker()
    with start_bulk(walls, tmp_path / "answers", "--scheduler", new_farm.address, "--part-lines", 2) as process:
        wait_for_parts(tmp_path / "answers.parts", 3, process)
        first.kill()
        _, said = process.communicate(timeout=120)
    assert (process.returncode, said.startswith("143 lines: 140 answered, 3 refused")) == (1, True)
    assert bulk(walls, tmp_path / "unbroken", "--scheduler", farm.address).returncode == 1
    assert (tmp_path / "answers").read_bytes() == (tmp_path / "unbroken").read_bytes()


@pytest.mark.faults
@pytest.mark.parametrize(
    ("preload", "said"),
    [
        ("import service; service.API_VERSION = '0.0.1'", "a worker has service 0.0.1 with data"),
        ("import sys; sys.modules['service.bulk'] = None", "a worker cannot import this service"),
    ],
    ids=["another service", "no service"],
)
def test_a_worker_with_another_service_is_refused(preload: str, said: str, new_farm: Any, bulk: Any, walls: Path, tmp_path: Path) -> None:
    (tmp_path / "other.py").write_text(preload, encoding="utf-8")
    new_farm.add_worker("--preload", str(tmp_path / "other.py"))
    done = bulk(walls, tmp_path / "answers", "--scheduler", new_farm.address)
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert done.stderr.startswith(f"cannot go on: {said}")
