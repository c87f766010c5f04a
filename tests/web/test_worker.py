"""What the worker itself answers: requests that never reach the app, slow clients, overruns."""

import socket
import time
from collections.abc import Iterator
from typing import Any

import pytest

from service.web.responses import refusals
from service.web.wire import Wire

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


def shown(status: str) -> dict[str, Any]:
    """Return what the contract shows of a refusal, without what is of one request."""
    (example,) = refusals()[status]["content"]["application/problem+json"]["examples"].values()
    return without(example["value"])


def without(problem: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in problem.items() if name not in ("instance", "request_id")}


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
        if code == "headers_too_large":
            assert without(got.problem) == shown("RequestHeaderFieldsTooLarge")
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


HEAD = "POST /v1/requirements HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 100\r\nX-Request-ID: "
SLOW = {"no byte": "", "half a line": "GET /v1/lim", "half the headers": "GET /v1/limits HTTP/1.1\r\nHost: x\r\nX-Request-ID: half\r\nA"}


@pytest.mark.parametrize("name", SLOW)
def test_slow_headers_are_408(service: Any, name: str) -> None:
    started = time.monotonic()
    got = service.ask(SLOW[name].encode())
    assert (got.status, got.problem["code"]) == (408, "request_timeout")
    assert without(got.problem) == shown("RequestTimeout")
    assert 0.9 < time.monotonic() - started < 5
    assert service.line(got.headers["x-request-id"])["problem_code"] == "request_timeout"
    assert (got.headers["x-request-id"] == "half", got.problem["instance"]) == (
        ("half" in name and "headers" in name),
        "/v1/limits" if "headers" in name else "",
    )


@pytest.mark.parametrize("sent", [b"GET /v1/lim", b"GET /v1/limits HTTP/1.1\r\nHost: x\r\n"])
def test_a_head_that_ends_early_is_400(service: Any, sent: bytes) -> None:
    with service.connect() as wire:
        wire.sendall(sent)
        wire.shutdown(socket.SHUT_WR)
        assert wire.recv(12) == b"HTTP/1.1 400"


def test_a_client_that_says_nothing_and_leaves_is_not_logged(service: Any) -> None:
    before = len(service.lines())
    service.connect().close()
    assert service.ask(b"GET /v1/limits HTTP/1.1\r\nHost: x\r\nX-Request-ID: after\r\n\r\n").status == 200
    service.line("after")
    assert len(service.lines()) == before + 1


@pytest.mark.parametrize("framing", ["length", "chunked"])
def test_a_slow_body_is_408(service: Any, framing: str) -> None:
    head = HEAD if framing == "length" else HEAD.replace("Content-Length: 100", "Transfer-Encoding: chunked")
    got = service.ask(f"{head}slow-{framing}\r\n\r\n".encode() + (b"{" if framing == "length" else b"5\r\n{"))
    assert (got.status, got.problem["code"], got.problem["instance"]) == (408, "request_timeout", "/v1/requirements")
    assert service.line(f"slow-{framing}")["status"] == 408


def test_a_trickle_does_not_buy_time(service: Any) -> None:
    with service.connect() as wire:
        started = time.monotonic()
        wire.sendall(f"{HEAD}trickle\r\n\r\n".encode())
        for _ in range(40):
            if time.monotonic() - started > 1.5:
                break
            wire.sendall(b" ")
            time.sleep(0.1)
        assert wire.recv(12) == b"HTTP/1.1 408"


def test_the_worker_serves_on_after_slow_clients(service: Any) -> None:
    with service.connect():
        assert service.ask(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n").status == 200


STARTED_SLOW = """
import sys, time, flask
from service import __main__ as start
from service import app as made
plain = made.create_app
def with_slow_addresses(settings):
    app = plain(settings)
    @app.get("/sleep")
    def sleep():
        time.sleep(30)
        return "late"
    @app.get("/busy")
    def busy():
        for _ in range(10**9):
            try:
                len(str(10**50))
            except Exception:
                pass
        return "late"
    @app.get("/bad-header")
    def bad_header():
        return "text", 200, {"X-Bad": "a\\x01b"}
    @app.get("/large")
    def large():
        return flask.Response(b"a" * 50_000_000)
    return app
made.create_app = with_slow_addresses
sys.exit(start.main())
"""


@pytest.fixture(scope="module")
def slow(serving: Any) -> Iterator[Any]:
    with serving("-c", STARTED_SLOW, request_timeout_s="1") as running:
        yield running


@pytest.mark.parametrize("path", ["/sleep", "/busy"])
def test_an_overrun_is_503_and_the_worker_survives(slow: Any, path: str) -> None:
    request_id = f"late{path.replace('/', '-')}"
    started = time.monotonic()
    got = slow.ask(f"GET {path} HTTP/1.1\r\nHost: x\r\nX-Request-ID: {request_id}\r\n\r\n".encode())
    assert 0.9 < time.monotonic() - started < 5
    assert (got.status, got.problem["code"], got.problem["instance"]) == (503, "overloaded", path)
    assert without(got.problem) == shown("ServiceUnavailable")
    assert int(got.headers["retry-after"]) > 0
    assert got.headers["access-control-allow-origin"] == "*"
    logged = slow.line(request_id)
    assert (logged["status"], logged["problem_code"], logged["duration_s"] > 0.9) == (503, "overloaded", True)
    assert slow.ask(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n").status == 200


def test_an_answer_that_cannot_be_sent_is_500(slow: Any) -> None:
    got = slow.ask(b"GET /bad-header HTTP/1.1\r\nHost: x\r\nX-Request-ID: bad-header\r\n\r\n")
    assert (got.status, got.problem["code"], got.problem["instance"]) == (500, "internal_error", "/bad-header")
    assert without(got.problem) == shown("InternalServerError")
    assert (got.headers["access-control-allow-origin"], got.headers["x-request-id"]) == ("*", "bad-header")
    assert "X-BAD" not in got.body.decode().upper()


def test_a_client_that_does_not_read_is_let_go(slow: Any) -> None:
    with slow.connect() as wire:
        wire.sendall(b"GET /large HTTP/1.1\r\nHost: x\r\n\r\n")
        assert wire.recv(12) == b"HTTP/1.1 200"
        slow.ask(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n")
        assert slow.ask(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n").status == 200
        rest = b""
        while more := wire.recv(1 << 20):
            rest = more
    assert set(rest) == {ord("a")}, "no second answer is put behind a broken one"


@pytest.mark.skipif(not hasattr(socket, "TCP_INFO"), reason="NOT CHECKED: the system does not tell how long bytes have lain")
def test_a_request_that_lay_longer_than_it_may_take_is_not_begun(slow: Any) -> None:
    """The one worker is held for 1 s, then waits 2 s for its client to close; who asks late is served, however early it came."""
    request = b"GET /v1/limits HTTP/1.1\r\nHost: x\r\nX-Request-ID: lain\r\n\r\n"
    with slow.connect() as held, slow.connect() as asked, slow.connect() as late:
        held.sendall(b"GET /large HTTP/1.1\r\nHost: x\r\n\r\n")
        assert held.recv(12) == b"HTTP/1.1 200"
        asked.sendall(request)
        assert asked.recv(12) == b"HTTP/1.1 503"
        asked.close()
        late.sendall(request.replace(b"lain", b"late"))
        assert late.recv(12) == b"HTTP/1.1 200"
    logged = slow.line("lain")
    assert (logged["status"], logged["problem_code"]) == (503, "overloaded")


@pytest.fixture
def ends() -> Iterator[tuple[Wire, socket.socket]]:
    ours, theirs = socket.socketpair()
    theirs.setblocking(False)
    with Wire(ours, 1) as wire, theirs:
        yield wire, theirs


def test_head_and_body_of_an_answer_leave_together(ends: tuple[Wire, socket.socket]) -> None:
    wire, theirs = ends
    wire.sendall(b"head ")
    with pytest.raises(BlockingIOError):
        theirs.recv(100)
    assert not wire.answered
    wire.sendall(b"body")
    assert (theirs.recv(100), wire.answered) == (b"head body", True)
    wire.sendall(b" more")
    assert theirs.recv(100) == b" more"


def test_a_head_without_a_body_leaves_at_the_end(ends: tuple[Wire, socket.socket]) -> None:
    wire, theirs = ends
    wire.sendall(b"head")
    wire.shutdown(socket.SHUT_WR)
    assert (theirs.recv(100), theirs.recv(100)) == (b"head", b"")


def test_a_refusal_takes_the_place_of_a_head_that_is_held(ends: tuple[Wire, socket.socket]) -> None:
    wire, theirs = ends
    wire.sendall(b"head")
    wire.say(b"refusal")
    wire.shutdown(socket.SHUT_WR)
    assert theirs.recv(100) == b"refusal"
