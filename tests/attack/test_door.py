"""The door itself: it opens for no answer that a caller should not get."""

import json
from typing import Any

import pytest

from tests.attack.door import Got, Sent, check

STANDING = [
    ("X-Request-ID", "a"),
    ("Access-Control-Allow-Origin", "*"),
    ("API-Version", "1"),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("Vary", "Accept"),
]
PROBLEM = {"status": 422, "code": "validation_error", "request_id": "a", "errors": [{"pointer": "#/a/0", "code": "wrong_type"}]}
SENT = Sent("POST", "/v1/requirements", b"", b'{"a": [1]}')
SVG = '<svg xmlns="http://www.w3.org/2000/svg"'


def got(status: int, kind: str, body: bytes, *more: tuple[str, str]) -> Got:
    return Got(status, [*STANDING, ("Content-Type", kind), *more], body)


def problem(**changes: Any) -> Got:
    return got(422, "application/problem+json", json.dumps({**PROBLEM, **changes}).encode())


def test_a_right_answer_passes() -> None:
    check(SENT, problem())
    check(SENT, got(200, "application/json", b'{"result": {}}'))
    check(SENT, got(200, "text/csv; charset=utf-8; header=present", b"a,b\r\n-1.5,'=1\r\n"))
    check(SENT, got(200, "image/svg+xml", f"{SVG}><text>=1</text></svg>".encode()))


WRONG = {
    "a 500": got(500, "application/problem+json", b"{}"),
    "a refusal in HTML": got(404, "text/html", b"<html>"),
    "an answer in HTML": got(200, "text/html", b"<html>"),
    "a header twice": got(200, "application/json", b"{}", ("X-Request-ID", "b")),
    "a header of two lines": got(200, "application/json", b"{}", ("A", "b\nc")),
    "no request id": Got(200, [*STANDING[1:], ("Content-Type", "application/json")], b"{}"),
    "another status": problem(status=400),
    "another id": problem(request_id="b"),
    "a code that is not in the catalogue": problem(code="wrong"),
    "a traceback": problem(detail="Traceback (most recent call last)"),
    "a file": problem(detail="in /srv/service/app.py"),
    "a fault without a place": problem(errors=[{"code": "wrong_type"}]),
    "a fault with two places": problem(errors=[{"pointer": "#", "parameter": "a", "code": "wrong_type"}]),
    "a fault of an unknown code": problem(errors=[{"pointer": "#", "code": "odd"}]),
    "a pointer past a list": problem(errors=[{"pointer": "#/a/1", "code": "wrong_type"}]),
    "a pointer into nothing": problem(errors=[{"pointer": "#/b/c", "code": "wrong_type"}]),
    "what was received, raw": problem(errors=[{"pointer": "#/a", "code": "wrong_type", "received": "a\nb"}]),
    "NaN": got(200, "application/json", b'{"a": NaN}'),
    "a formula": got(200, "text/csv; charset=utf-8; header=present", b"a\r\n=1\r\n"),
    "a formula behind a minus": got(200, "text/csv; charset=utf-8; header=present", b"a\r\n-1+1\r\n"),
    "rows of two widths": got(200, "text/csv; charset=utf-8; header=present", b"a,b\r\n1\r\n"),
    "a script": got(200, "image/svg+xml", f"{SVG}><script/></svg>".encode()),
    "a handler": got(200, "image/svg+xml", f'{SVG} onload="a()"/>'.encode()),
    "a link": got(200, "image/svg+xml", f'{SVG}><text href="b"/></svg>'.encode()),
    "an action of a page": got(200, "application/pdf", b"%PDF-1.7 /OpenAction 1 %%EOF"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_answer_is_found(name: str) -> None:
    with pytest.raises((AssertionError, ValueError, KeyError)):
        check(SENT, WRONG[name])
