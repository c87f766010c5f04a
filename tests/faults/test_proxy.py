"""What comes through the proxy: the service's own answers, packed, and the proxy's refusals in the service's words."""

import contextlib
import gzip
import http.client
import json
import socket
import time
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlencode

import pytest
from flask import Flask

from openapi.__main__ import ask as ask_example
from service.web.examples import examples_of
from service.web.registry import OPERATIONS

HOP = {"date", "server", "connection", "keep-alive", "transfer-encoding"}
JSON = {"Content-Type": "application/json"}
ASKED = {"X-Request-ID": "one-id", "Origin": "https://yard.example", "Host": "nails.example:81"}


class Recorder:
    """Stands in for a client that asks the examples, and keeps what it would send."""

    def get(self, path: str, query_string: dict[str, Any], headers: Any) -> Any:
        self.question = ("GET", f"{path}?{urlencode(query_string, doseq=True)}", None, headers)
        return SimpleNamespace(data=b"")

    def post(self, path: str, json: Any, headers: Any, query_string: dict[str, Any] | None = None) -> Any:
        body = globals()["json"].dumps(json).encode()
        self.question = ("POST", f"{path}?{urlencode(query_string or {})}", body, {**headers, **JSON})
        return SimpleNamespace(data=b"")


@pytest.fixture(scope="module")
def questions(app: Flask) -> list[Any]:
    """Every example of the contract, and what is asked beside it."""
    recorder, found = Recorder(), []
    for o in OPERATIONS:
        for name, shown in examples_of(o.operation_id).items():
            ask_example(recorder, o, name, shown.question)  # type: ignore[arg-type]
            found.append(recorder.question)
    found += [
        ("GET", p, None, {}) for p in ("/", "/livez", "/readyz", "/version", "/v1/openapi.json", "/v1/a%22b", "/-/413", "//v1//nails")
    ]
    found += [("HEAD", "/v1/nails", None, {}), ("OPTIONS", "/v1/wall-plans", None, {}), ("DELETE", "/v1/nails", None, {})]
    found += [("POST", "/v1/requirements", b"{", JSON), ("POST", "/v1/requirements", b"a=1", {"Content-Type": "text/plain"})]
    return found


def headers_of(answer: Any) -> dict[str, str]:
    """Headers that are the service's; Vary without what packing adds."""
    kept = [(k.lower(), v) for k, v in answer.headers if k.lower() not in HOP and (k.lower(), v) != ("vary", "Accept-Encoding")]
    assert len({k for k, _ in kept}) == len(kept), "a header is doubled"
    return dict(kept)


def test_every_answer_comes_through_as_it_is(ask: Any, tell: Any, proxy: int, pair: Any, questions: list[Any]) -> None:
    for method, path, body, headers in questions:
        direct, proxied, packed = (
            ask(port, method, path, body, {**headers, **ASKED, **more})
            for port, more in ((pair[0].port, {}), (proxy, {}), (proxy, {"Accept-Encoding": "gzip"}))
        )
        assert (proxied.status, proxied.body) == (direct.status, direct.body), path
        assert headers_of(proxied) == headers_of(direct), path
        plain = gzip.decompress(packed.body) if packed["Content-Encoding"] == "gzip" else packed.body
        assert (packed.status, plain) == (direct.status, direct.body), path
    assert len(questions) > 100
    tell("answers equal to direct ones, byte for byte", f"{len(questions)} of {len(questions)}, plain and packed")


def test_the_contract_is_packed(ask: Any, tell: Any, proxy: int) -> None:
    began = time.perf_counter()
    packed = ask(proxy, path="/v1/openapi.json", headers={"Accept-Encoding": "gzip"})
    took = time.perf_counter() - began
    whole = gzip.decompress(packed.body)
    assert len(packed.body) < len(whole) / 5
    tell("contract, packed", f"{len(packed.body):,} of {len(whole):,} bytes in {took * 1000:.0f} ms")
    again = ask(proxy, path="/v1/openapi.json", headers={"Accept-Encoding": "gzip", "If-None-Match": packed["ETag"]})
    assert (again.status, again.body) == (304, b"")


@pytest.mark.parametrize(("accept", "path"), [("text/csv", "/v1/requirements"), ("application/json", "/v1/requirements")])
def test_sheets_and_json_are_packed(ask: Any, proxy: int, accept: str, path: str) -> None:
    body = b'{"connection_id":"stud-to-plate-end-nail","nail_designation":"3 x 0.131"}'
    got = ask(proxy, "POST", path, body, {**JSON, "Accept": accept, "Accept-Encoding": "gzip"})
    assert got["Content-Type"].startswith(accept)
    assert got.status == 200
    assert got["Content-Encoding"] == ("gzip" if len(gzip.decompress(got.body) if got["Content-Encoding"] else got.body) >= 1000 else None)


def raw(port: int, request: bytes) -> Any:
    """Send bytes and read one answer, or nothing where the proxy says nothing."""
    with socket.create_connection(("127.0.0.1", port), 20) as wire:
        wire.sendall(request)
        got = http.client.HTTPResponse(wire)
        try:
            got.begin()
        except (http.client.RemoteDisconnected, ConnectionResetError):
            return None
        return SimpleNamespace(status=got.status, headers=got.getheaders(), body=got.read())


def standing(answer: Any) -> dict[str, str]:
    """Headers that every refusal of the service has, without those of its length and its id."""
    return {k: v for k, v in headers_of(answer).items() if k not in ("content-length", "x-request-id")}


REFUSED = [
    pytest.param(b"nonsense\r\n\r\n", 400, "bad_request", id="request line"),
    pytest.param(b"GET /v1/limits HTTP/9.9\r\nHost: x\r\n\r\n", 400, "bad_request", id="version"),
    pytest.param(b"GET /v1/limits HTTP/1.1\r\n\r\n", 400, "bad_request", id="no host"),
    pytest.param(b"GET /v1/limits HTTP/1.1\r\nHost: x\r\nHost: y\r\n\r\n", 400, "bad_request", id="two hosts"),
    pytest.param(b"POST /v1/limits HTTP/1.1\r\nHost: x\r\nContent-Length: two\r\n\r\n", 400, "bad_request", id="length"),
    pytest.param(b"POST /v1/limits HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: odd\r\n\r\n", 400, "bad_request", id="coding"),
    pytest.param(b"POST /v1/requirements HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n", 400, "bad_request", id="chunk"),
    pytest.param(b"TRACE /v1/limits HTTP/1.1\r\nHost: x\r\n\r\n", 405, "method_not_allowed", id="trace"),
    pytest.param(b"POST /v1/limits HTTP/1.1\r\nHost: x\r\nContent-Length: 1048577\r\n\r\n", 413, "body_too_large", id="body"),
    pytest.param(
        b"POST /v1/limits HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n100001\r\n" + b"a" * 1048577,
        413,
        "body_too_large",
        id="chunked body",
    ),
    pytest.param(b"GET /v1/limits?" + b"a" * 9000 + b" HTTP/1.1\r\nHost: x\r\n\r\n", 414, "uri_too_long", id="long line"),
    pytest.param(b"GET /v1/limits HTTP/1.1\r\nHost: x\r\nA: " + b"a" * 9000 + b"\r\n\r\n", 431, "headers_too_large", id="long header"),
]


@pytest.mark.parametrize(("request_", "status", "code"), REFUSED)
def test_a_refusal_of_the_proxy_reads_as_one_of_the_service(
    ask: Any, tell: Any, proxy: int, pair: Any, request_: bytes, status: int, code: str
) -> None:
    got = raw(proxy, request_)
    document = check(got, status, code)
    page = json.loads(ask(pair[0].port, path=document["doc_url"]).body)["result"]
    assert (document["title"], document["type"]) == (page["title"], document["doc_url"])
    like = standing(ask(pair[0].port, path="/nowhere"))
    assert {k: v for k, v in standing(got).items() if k != "allow"} == like
    tell(f"refused: {code}", f"{status}, a problem document")


def check(got: Any, status: int, code: str) -> Any:
    document = json.loads(got.body)
    told = dict(got.headers)
    assert (got.status, told["Content-Type"]) == (status, "application/problem+json")
    assert (document["status"], document["code"]) == (status, code)
    assert document["request_id"] == told["X-Request-ID"]
    return document


def test_a_refusal_keeps_the_id_and_names_the_path_alone(proxy: int) -> None:
    head = b"POST /v1/wall-plans?a=1 HTTP/1.1\r\nHost: x\r\nX-Request-ID: my-7\r\nContent-Length: 9999999\r\n\r\n"
    document = check(raw(proxy, head), 413, "body_too_large")
    assert (document["request_id"], document["instance"]) == ("my-7", "/v1/wall-plans")
    assert (document["limit"], document["received"], document["setting"]) == (1048576, 9999999, "APP_MAX_BODY_BYTES")


@pytest.mark.parametrize("path", ['/a"b', "/a\\b", "/%22%5c%0a"])
def test_no_path_breaks_the_document(proxy: int, path: str) -> None:
    got = raw(proxy, f'POST {path} HTTP/1.1\r\nHost: x\r\nX-Request-ID: a"b\r\nContent-Length: 9999999\r\n\r\n'.encode("latin1"))
    document = check(got, 413, "body_too_large")
    assert document["instance"] in ("", path)
    assert len(document["request_id"]) == 32


def test_no_instance_is_503_and_when_to_come_again(ask: Any, tell: Any, proxy_before: Any, closed: tuple[int, int]) -> None:
    with proxy_before(closed) as port:
        got = ask(port, "POST", "/v1/requirements", b"{}", JSON)
        assert check(got, 503, "overloaded")["instance"] == "/v1/requirements"
        assert got["Retry-After"] == "5"
    tell("refused: overloaded (no instance)", "503, a problem document")


@pytest.fixture
def closed() -> Any:
    """Two ports that refuse."""
    with socket.socket() as a, socket.socket() as b:
        for s in (a, b):
            s.bind(("127.0.0.1", 0))
        yield a.getsockname()[1], b.getsockname()[1]


def test_an_instance_that_never_answers_is_503(ask: Any, tell: Any, proxy_before: Any) -> None:
    with socket.create_server(("127.0.0.1", 0)) as deaf:
        port = deaf.getsockname()[1]
        with proxy_before(
            (port, port), ("proxy_read_timeout 12s", "proxy_read_timeout 1s"), ("upstream_timeout 13s", "upstream_timeout 500ms")
        ) as at:
            check(ask(at, path="/v1/limits"), 503, "overloaded")
    tell("refused: overloaded (no answer in time)", "503, a problem document")


@pytest.mark.parametrize(("path", "tries"), [("/v1/limits", 1), ("/readyz", 2)])
def test_only_a_probe_that_is_refused_is_asked_of_the_other_instance(ask: Any, proxy_before: Any, path: str, tries: int) -> None:
    """A request that an instance gave up for its length would take as long again; readiness is of any instance."""
    asked: list[bytes] = []

    def refuse_all(refusing: socket.socket) -> None:
        with contextlib.suppress(OSError):  # until it is shut
            while True:
                wire, _ = refusing.accept()
                with wire:
                    asked.append(wire.recv(4096).split(b" ")[1])
                    wire.sendall(b"HTTP/1.1 503 Service Unavailable\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")

    with socket.create_server(("127.0.0.1", 0)) as refusing, ThreadPoolExecutor(1) as pool:
        pool.submit(refuse_all, refusing)
        port = refusing.getsockname()[1]
        with proxy_before((port, port)) as at:
            assert ask(at, path=path).status == 503
        refusing.shutdown(socket.SHUT_RDWR)
    assert asked.count(path.encode()) == tries


def test_a_fault_of_the_proxy_itself_is_500(ask: Any, proxy_before: Any, closed: tuple[int, int]) -> None:
    """A folder for bodies that cannot be written, as when the small /tmp is full."""
    with proxy_before(closed, ("client_body_temp_path .*?;", "client_body_temp_path /proc/self;")) as port:
        check(ask(port, "POST", "/v1/requirements", b" " * 900_000, JSON), 500, "internal_error")


def test_the_rate_limit_is_429_and_can_be_switched_off(ask: Any, tell: Any, proxy_before: Any, proxy: int, pair: Any) -> None:
    def burst(port: int, path: str) -> list[Any]:
        with ThreadPoolExecutor(8) as pool:
            return list(pool.map(lambda _: ask(port, path=path), range(250)))

    with proxy_before((pair[0].port, pair[1].port), limited="on") as port:
        got = burst(port, "/v1/limits")
        refused = [g for g in got if g.status != 200]
        assert 50 < len(refused) < 150
        for one in refused:
            check(one, 429, "rate_limited")
            assert one["Retry-After"] == "5"
        assert {g.status for g in burst(port, "/livez")} == {200}
    assert {g.status for g in burst(proxy, "/v1/limits")} == {200}
    tell("refused: rate_limited", f"{len(refused)} of 250 at once with the limit on, none with it off")


def test_a_list_of_origins_is_kept_by_the_proxy_too(ask: Any, proxy_before: Any, closed: tuple[int, int]) -> None:
    listed = 'https://yard.example https://yard.example; default "";'
    with proxy_before(closed, (r'default "\*";', listed)) as port:
        ours, foreign = (ask(port, headers={"Origin": o}) for o in ("https://yard.example", "https://other.example"))
        assert (ours["Access-Control-Allow-Origin"], ours["Vary"]) == ("https://yard.example", "Accept, Origin")
        assert foreign["Access-Control-Allow-Origin"] is foreign["Access-Control-Expose-Headers"] is None


@pytest.mark.parametrize("begun", [b"GET /v1/limits HT", b"POST /v1/requirements HTTP/1.1\r\nHost: x\r\nContent-Length: 100\r\n\r\n{"])
def test_a_client_too_slow_is_cut_off(tell: Any, proxy_before: Any, pair: Any, begun: bytes) -> None:
    """nginx says nothing to it, whatever is configured: it closes, and writes 408 into its log."""
    waits = (("header_timeout 10s", "header_timeout 1s"), ("body_timeout 10s", "body_timeout 1s"))
    with proxy_before((pair[0].port, pair[1].port), *waits) as port:
        began = time.monotonic()
        assert raw(port, begun) is None
        assert 0.9 < time.monotonic() - began < 4
    tell(f"slow {'head' if begun.startswith(b'GET') else 'body'}", "closed in time, without a document: nginx has none for 408")
