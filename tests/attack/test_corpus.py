"""Every line of the corpus, sent over a socket to the bare service: what it gets, and that it leaves one line in the log."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from service.web.examples import example
from service.web.registry import OPERATIONS
from tests.attack.conftest import Report
from tests.attack.door import Got, Sent, check
from tests.attack.wire import read, request, talk
from tests.web.conftest import Service

CORPUS: dict[str, list[dict[str, Any]]] = yaml.safe_load(Path(__file__).with_name("corpus.yaml").read_text(encoding="utf-8"))
POSTS = [o.path for o in OPERATIONS if o.method == "POST"]
PATHS = {o.operation_id: o.path for o in OPERATIONS}
JSON = {"Content-Type": "application/json"}
MAKE: dict[str, Callable[[int], bytes]] = {
    "lists": lambda n: b"[" * n + b"]" * n,
    "open_lists": lambda n: b"[" * n,
    "objects": lambda n: b'{"a":' * n + b"1" + b"}" * n,
    "digits": lambda n: b"9" * n,
    "long_name": lambda n: b'{"' + b"k" * n + b'":1}',
}


def lines(part: str) -> Any:
    """Return a test for each line of a part of the corpus."""
    return pytest.mark.parametrize("line", [pytest.param(line, id=f"{part}-{n}") for n, line in enumerate(CORPUS[part])])


def body_of(line: dict[str, Any]) -> bytes:
    if "make" in line:
        name, size = line["make"]
        return MAKE[name](size)
    return bytes.fromhex(line["hex"]) if "hex" in line else line["text"].encode()


def send(attacked: Service, report: Report, sent: Sent, *more: Any) -> Got:
    """Send one request and hold its answer against what every answer owes."""
    got = read(talk(attacked.port, request(sent, *more)))
    check(sent, got)
    report.codes[got.code or str(got.status)] += 1
    return got


@lines("unreadable")
def test_a_body_that_cannot_be_read_is_400_everywhere(attacked: Service, report: Report, line: dict[str, Any]) -> None:
    for path in POSTS:
        got = send(attacked, report, Sent("POST", path, b"", body_of(line), JSON))
        assert (got.status, got.code) == (400, line["gets"]), path


@lines("no_question")
def test_a_body_that_is_no_question_is_422_everywhere(attacked: Service, report: Report, line: dict[str, Any]) -> None:
    place, code = line["at"].rsplit(" ", 1)
    for path in POSTS:
        got = send(attacked, report, Sent("POST", path, b"", body_of(line), JSON))
        assert (got.status, got.code) == (422, "validation_error"), path
        assert (place, code) in got.places, path


def changed(line: dict[str, Any]) -> bytes:
    """Return an example body with what a line sets."""
    body = json.loads(json.dumps(example(line["of"])))
    for place, value in line["set"].items():
        *above, last = place.split("/")
        holder = body
        for part in above:
            holder = holder[int(part) if isinstance(holder, list) else part]
        holder[int(last) if isinstance(holder, list) else last] = value
    return json.dumps(body).encode()


@lines("fields")
def test_a_wrong_field_is_pointed_at(attacked: Service, report: Report, line: dict[str, Any]) -> None:
    got = send(attacked, report, Sent("POST", PATHS[line["of"]], b"", changed(line), JSON))
    if "at" not in line:
        assert got.status == line["gets"]
        return
    assert (got.status, got.code) == (422, "validation_error")
    assert tuple(line["at"].rsplit(" ", 1)) in got.places


@lines("items")
def test_a_wrong_item_is_refused_alone(attacked: Service, report: Report, line: dict[str, Any]) -> None:
    got = send(attacked, report, Sent("POST", PATHS[line["of"]], b"", changed(line), JSON))
    assert got.status == 200
    answer = json.loads(got.body)
    entries = answer["results"] if "results" in answer else answer["result"]["walls"]
    assert [e["code"] for e in entries[0]["problem"]["errors"] if e["pointer"] == line["at"].split()[0]] == [line["at"].split()[1]]


@lines("requests")
def test_a_nasty_request_gets_its_refusal(attacked: Service, report: Report, line: dict[str, Any]) -> None:
    method, _, target = line["ask"].partition(" ")
    path, _, query = target.partition("?")
    path += "a" * line.get("path_of", 0)
    query += "a" * (line.get("query_of", 0) - len(query))
    piece, times = line.get("again", ("", 0))
    query += piece * times
    more = [*line.get("headers", ()), *(f"X-{n}: a" for n in range(line.get("headers_of", 0)))]
    more += [f"X-Long: {'a' * line['header_of']}"] if "header_of" in line else []
    more += [f"Accept: {', '.join(f'a/b{n}' for n in range(line['accept']))}"] if "accept" in line else []
    body = line["body"].encode() if "body" in line else None
    kind = line.get("type", "application/json")
    headers = {"Content-Type": kind} if body is not None and kind else {}
    sent = Sent(method, path, query.encode(), body, headers)
    got = send(attacked, report, sent, tuple(more), line.get("length"))
    status, _, code = str(line["gets"]).partition(" ")
    assert str(got.status) == status
    if code:
        assert got.code == code
    if status == "405":
        assert got["allow"]
    if "at" in line:
        assert tuple(line["at"].rsplit(" ", 1)) in got.places


def test_every_request_left_one_line_of_json_in_the_log(attacked: Service) -> None:
    """Whatever stood in it: no line was begun by what a client sent, and each has an id of its own that is fit to print."""
    found = attacked.lines()
    assert len(found) > 1000
    assert {line["msg"] for line in found} == {"request"}
    ids = [line["request_id"] for line in found]
    assert len(set(ids)) == len(ids)
    assert all(i.isascii() and i.replace("-", "").isalnum() for i in ids)
    assert {line["trace_id"] for line in found} == {None}
    assert "Traceback" not in attacked.err.read_text()


def test_the_corpus_is_long_enough() -> None:
    assert sum(map(len, CORPUS.values())) >= 300
    asked = {PATHS[line["of"]] for part in ("fields", "items") for line in CORPUS[part]}
    assert asked == set(POSTS)
