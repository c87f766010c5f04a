"""What a worker answers against what the live service sends for the same body, byte for byte."""

import gzip
import http.client
import json
import re
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from service.bulk.answering import Order, answer, order_of
from service.bulk.errors import BulkError
from service.bulk.parts import Part
from service.settings import Settings

EXAMPLES = Path(__file__).parents[2] / "openapi/examples"
LINE = re.compile(rb'\{"line":(\d+),"status":(\d+),"answer":(.*)\}\n')
LIMIT = Settings().max_body_bytes
REFUSED: list[tuple[bytes | int, int, str]] = [
    (b"", 400, "invalid_json"),
    (b"   ", 400, "invalid_json"),
    (b"{", 400, "invalid_json"),
    (b'{"wall": "\xff"}', 400, "invalid_json"),
    (b'{"wall": NaN}', 400, "invalid_json"),
    (b'{"wall": 1, "wall": 1}', 400, "duplicate_key"),
    (b"[" * 17 + b"]" * 17, 400, "nesting_too_deep"),
    (LIMIT + 1, 413, "body_too_large"),
    (9_000_000_000, 413, "body_too_large"),
    (b"[]", 422, "validation_error"),
    (b'{"wal": {}}', 422, "validation_error"),
    (b'{"wall": {"length_in": 96, "height_in": 97.125, "label": "\xe2\x80\xa8"}}', 422, "validation_error"),
]
Ask = Callable[[str, int, bytes | int], tuple[int, bytes]]


@pytest.fixture
def ask(live: str) -> Ask:
    def ask(path: str, number: int, line: bytes | int) -> tuple[int, bytes]:
        wire = http.client.HTTPConnection(urlsplit(live).netloc, timeout=30)
        length, body = (line, None) if isinstance(line, int) else (len(line), line)
        headers = {"Content-Type": "application/json", "Content-Length": str(length), "X-Request-ID": f"line-{number}"}
        wire.request("POST", path, body, headers)
        got = wire.getresponse()
        try:
            return got.status, got.read()
        finally:
            wire.close()

    return ask


def answered(lines: list[bytes | int], path: str = "/v1/wall-plans", first_line: int = 1) -> list[tuple[int, int, bytes]]:
    raw = gzip.decompress(answer(Part("", first_line, tuple(lines), 0), order_of(path, Settings())))
    found = [LINE.fullmatch(line) for line in raw.splitlines(keepends=True)]
    assert len(found) == len(lines)
    return [(int(m[1]), int(m[2]), m[3]) for m in found if m]


def test_the_demo_house_is_answered_as_the_service_answers_it(house: list[bytes], ask: Ask) -> None:
    found = answered([*house], first_line=40)
    assert [status for _, status, _ in found] == [200] * 7
    for (number, status, raw), line in zip(found, house, strict=True):
        assert (status, raw) == ask("/v1/wall-plans", number, line)


def test_a_line_is_refused_as_the_service_refuses_it(ask: Ask) -> None:
    found = answered([line for line, _, _ in REFUSED], first_line=7)
    for (number, status, raw), (line, wanted, code) in zip(found, REFUSED, strict=True):
        assert (status, json.loads(raw)["code"], json.loads(raw)["request_id"]) == (wanted, code, f"line-{number}")
        assert (status, raw) == ask("/v1/wall-plans", number, line)


def test_a_refused_line_leaves_the_next_one_alone(house: list[bytes]) -> None:
    bad = [line for line, _, _ in REFUSED]
    mixed = answered([x for pair in zip(house, bad, strict=False) for x in pair])
    alone = answered([*house])
    assert [raw for _, _, raw in mixed[::2]] == [raw for _, _, raw in alone]


@pytest.mark.parametrize(
    ("address", "example"),
    [
        ("takeoffs", "takeOff"),
        ("takeoffs", "takeOff.one-refused"),
        ("requirements", "askRequirement"),
        ("requirements/batch", "askRequirements.one-refused"),
        ("nailing-schedules", "scheduleNailing.walls"),
        ("bracing-checks", "checkBracing.short-wall"),
    ],
)
def test_other_questions_are_answered_as_the_service_answers_them(address: str, example: str, ask: Ask) -> None:
    line = json.dumps(json.loads((EXAMPLES / f"{example}.json").read_bytes())).encode()
    ((number, status, raw),) = answered([line], f"/v1/{address}")
    assert status == 200
    assert (status, raw) == ask(f"/v1/{address}", number, line)


def test_a_byte_order_mark_is_no_fault(house: list[bytes]) -> None:
    """Some editors write one before the first line; RFC 8259 section 8.1 lets a parser ignore it."""
    assert answered([b"\xef\xbb\xbf" + house[0]]) == answered([house[0]])


def test_a_worker_with_another_service_answers_nothing(house: list[bytes]) -> None:
    own = order_of("/v1/wall-plans", Settings())
    other = Order(own.path, own.settings, ("0.0.1", own.service[1]))
    with pytest.raises(BulkError, match="0.0.1"):
        answer(Part("", 1, (house[0],), 0), other)


def test_only_what_shapes_an_answer_is_in_its_order() -> None:
    plain = order_of("/v1/wall-plans", Settings())
    assert plain == order_of("/v1/wall-plans", Settings(listen="0.0.0.0:80", workers=9, log_level="debug", build="x"))
    for other in (Settings(max_members=1000), Settings(max_body_bytes=2048), Settings(public_url="https://example.org")):
        assert str(order_of("/v1/wall-plans", other)) != str(plain)
    assert str(order_of("/v1/takeoffs", Settings())) != str(plain)


def test_the_limits_of_the_run_are_those_of_its_answers(house: list[bytes]) -> None:
    order = order_of("/v1/wall-plans", Settings(max_body_bytes=1024))
    raw = gzip.decompress(answer(Part("", 1, (2000,), 0), order))
    assert json.loads(raw)["answer"]["limit"] == 1024
