"""What the worker itself answers: requests that never reach the app, slow clients, overruns."""

from collections.abc import Iterator
from typing import Any

import pytest

ORIGIN = "https://a.example"
STANDING = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
    "cache-control": "no-store",
    "connection": "close",
}


@pytest.fixture(scope="module")
def service(serving: Any) -> Iterator[Any]:
    with serving(client_timeout_s="1", cors_origins=f"{ORIGIN}, https://b.example") as running:
        yield running


def request(line: str, *headers: str) -> bytes:
    return "\r\n".join((line, "Host: x", f"Origin: {ORIGIN}", "X-Request-ID: {id}", *headers, "", "")).encode("latin1")


CHUNKED = ("Content-Type: application/json", "Transfer-Encoding: chunked")
REFUSED = [
    pytest.param("GET /v1/limits HTTP/2.0", (), b"", 400, "bad_request", "/v1/limits", id="version 2"),
    pytest.param("GET /v1/limits HTTP/x", (), b"", 400, "bad_request", "/v1/limits", id="no version"),
    pytest.param("GET /v1/limits", (), b"", 400, "bad_request", "", id="two words"),
    pytest.param("get /v1/limits HTTP/1.1", (), b"", 400, "bad_request", "", id="small method"),
    pytest.param("GET v1/limits HTTP/1.1", (), b"", 400, "bad_request", "", id="no slash"),
    pytest.param("GET /v1/\u00fc HTTP/1.1", (), b"", 400, "bad_request", "", id="raw byte"),
    pytest.param("GET /v1/limits HTTP/1.1", ("Bad Name: 1",), b"", 400, "bad_request", "/v1/limits", id="space in name"),
    pytest.param("GET /v1/limits HTTP/1.1", ("Bad@: 1",), b"", 400, "bad_request", "/v1/limits", id="name no token"),
    pytest.param("GET /v1/limits HTTP/1.1", ("X_Y: 1",), b"", 200, "", "", id="underscore is dropped"),
    pytest.param("GET /v1/limits HTTP/1.1", ("nothing",), b"", 400, "bad_request", "/v1/limits", id="no colon"),
    pytest.param("GET /v1/limits HTTP/1.1", ("A: \x01",), b"", 400, "bad_request", "/v1/limits", id="control byte"),
    pytest.param("GET /v1/limits HTTP/1.1", ("Host: y",), b"", 400, "bad_request", "/v1/limits", id="two hosts"),
    pytest.param("GET /v1/limits HTTP/1.1", ("Content-Length: x",), b"", 400, "bad_request", "/v1/limits", id="length no number"),
    pytest.param("GET /v1/limits HTTP/1.1", ("Transfer-Encoding: odd",), b"", 400, "bad_request", "/v1/limits", id="odd coding"),
    pytest.param("GET /v1/limits HTTP/1.1", ("Expect: odd",), b"", 400, "bad_request", "/v1/limits", id="odd expectation"),
    pytest.param(f"GET /v1/limits?{'a' * 9000} HTTP/1.1", (), b"", 414, "uri_too_long", "/v1/limits", id="long line"),
    pytest.param("GET /v1/limits HTTP/1.1", tuple(f"A{n}: 1" for n in range(120)), b"", 431, "headers_too_large", "/v1/limits", id="many"),
    pytest.param("GET /v1/limits HTTP/1.1", (f"A: {'a' * 9000}",), b"", 431, "headers_too_large", "/v1/limits", id="long header"),
    pytest.param("POST /v1/requirements HTTP/1.1", CHUNKED, b"zz\r\n", 400, "invalid_json", "/v1/requirements", id="chunk size"),
    pytest.param("POST /v1/requirements HTTP/1.1", CHUNKED, b"2\r\n{}zz", 400, "invalid_json", "/v1/requirements", id="chunk end"),
    pytest.param("POST /v1/requirements HTTP/1.1", CHUNKED, b"-1\r\n", 400, "invalid_json", "/v1/requirements", id="minus size"),
]


@pytest.mark.parametrize(("line", "headers", "body", "status", "code", "instance"), REFUSED)
def test_unreadable_requests_get_a_problem(
    service: Any, line: str, headers: tuple[str, ...], body: bytes, status: int, code: str, instance: str
) -> None:
    request_id = f"r-{abs(hash((line, headers, body)))}"
    got = service.ask(request(line, *headers).replace(b"{id}", request_id.encode()) + body)
    assert got.status == status
    assert "server" not in got.headers
    assert got.headers["access-control-allow-origin"] == ORIGIN
    assert "Origin" in got.headers["vary"].split(", ")
    assert "API-Version" in got.headers["access-control-expose-headers"]
    assert got.headers["x-request-id"] == request_id
    logged = service.line(request_id)
    assert (logged["msg"], logged["status"], logged["problem_code"]) == ("request", status, code or None)
    if code:
        assert (got.problem["code"], got.problem["instance"], got.problem["request_id"]) == (code, instance, request_id)
        assert STANDING.items() <= got.headers.items()
        assert got.headers["api-version"] == logged["version"]


@pytest.mark.parametrize("version", ["1.0", "1.1", "1.2"])
def test_every_version_of_the_first_major_is_answered(service: Any, version: str) -> None:
    with service.connect() as wire:
        wire.sendall(f"GET /livez HTTP/{version}\r\nHost: x\r\n\r\n".encode())
        # RFC 9110 section 2.5: a server answers with a version it speaks itself.
        assert wire.recv(4096).split(b"\r\n")[0] in (b"HTTP/1.0 200 OK", b"HTTP/1.1 200 OK")


def test_absolute_form_is_answered(service: Any) -> None:
    # RFC 9112 section 3.2.2: a server must take the absolute form.
    assert service.ask(b"GET http://x/v1/limits HTTP/1.1\r\nHost: x\r\n\r\n").status == 200


def test_missing_host_is_400(service: Any) -> None:
    # RFC 9112 section 3.2: 400 to any HTTP/1.1 request that lacks Host.
    assert service.ask(b"GET /v1/limits HTTP/1.1\r\n\r\n").problem["code"] == "bad_request"


@pytest.mark.parametrize("sent", ["a b", "x" * 65, "a/b", "one\r\nX-Request-ID: two"])
def test_a_bad_request_id_is_replaced(service: Any, sent: str) -> None:
    got = service.ask(f"GET /v1/limits HTTP/2.0\r\nX-Request-ID: {sent}\r\n\r\n".encode())
    assert got.problem["request_id"] == got.headers["x-request-id"]
    assert len(got.headers["x-request-id"]) == 32
    assert service.line(got.headers["x-request-id"])["status"] == 400


@pytest.mark.parametrize("origin", ["https://c.example", ORIGIN + ".org"])
def test_a_foreign_origin_gets_nothing(service: Any, origin: str) -> None:
    got = service.ask(f"GET /v1/limits HTTP/2.0\r\nOrigin: {origin}\r\n\r\n".encode())
    assert got.status == 400
    assert "access-control-allow-origin" not in got.headers
    assert "Origin" in got.headers["vary"]


def test_a_refused_head_has_no_body(service: Any) -> None:
    got = service.ask(b"HEAD /v1/limits HTTP/1.1\r\nHost: x\r\nBad Name: 1\r\n\r\n")
    assert (got.status, got.body, int(got.headers["content-length"]) > 0) == (400, b"", True)


def test_a_refusal_keeps_the_trace_and_the_agent(service: Any) -> None:
    trace = "0af7651916cd43dd8448eb211c80319c"
    sent = f"GET /v1/limits HTTP/2.0\r\nX-Request-ID: traced\r\nUser-Agent: hand\r\ntraceparent: 00-{trace}-b7ad6b7169203331-01\r\n\r\n"
    service.ask(sent.encode())
    logged = service.line("traced")
    assert (logged["trace_id"], logged["user_agent"], logged["method"]) == (trace, "hand", "GET")
