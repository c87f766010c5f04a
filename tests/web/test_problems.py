"""Every refusal is a problem document that hides the inside and points to its page."""

import json
import socket
from dataclasses import dataclass
from functools import partial
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.errors import Fault
from service.settings import Settings
from service.web.current import NOTED, Noted
from service.web.problems import fault_entries, pointer

JOINT = {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}
REFUSED = [
    ("GET", "/nowhere", {}, 404, "not_found"),
    ("GET", "/v1/nails/", {}, 404, "not_found"),
    ("GET", "/v1//nails", {}, 404, "not_found"),
    ("GET", "/v1/nails/no-such-nail", {}, 404, "unknown_id"),
    ("GET", "/v1/connections/no-such-joint", {}, 404, "unknown_id"),
    ("GET", "/v1/code-editions/irc-1999", {}, 404, "unknown_id"),
    ("GET", "/v1/cautions/no_such_code", {}, 404, "unknown_id"),
    ("GET", "/v1/problems/no-such-problem", {}, 404, "unknown_id"),
    ("DELETE", "/v1/nails", {}, 405, "method_not_allowed"),
    ("GET", "/v1/wall-plans/batch", {}, 405, "method_not_allowed"),
    ("GET", "/v1/nails", {"headers": {"Accept": "text/csv"}}, 406, "not_acceptable"),
    ("GET", "/v1/nails?q=" + "a" * 5000, {}, 414, "uri_too_long"),
    ("POST", "/v1/requirements", {"data": "{", "content_type": "application/json"}, 400, "invalid_json"),
    ("POST", "/v1/requirements", {"data": "x", "content_type": "text/plain"}, 415, "unsupported_media_type"),
    ("POST", "/v1/requirements", {"json": {}}, 422, "validation_error"),
    ("GET", "/v1/requirements", {}, 422, "validation_error"),
    ("GET", "/v1/requirements?connection_id=no-such-joint&nail_id=16d-common", {}, 422, "validation_error"),
]


@pytest.mark.parametrize(("method", "path", "more", "status", "code"), REFUSED)
def test_refusal_is_a_problem_document(client: FlaskClient, method: str, path: str, more: Any, status: int, code: str) -> None:
    answer = client.open(path, method=method, **more)
    body = answer.json or json.loads(answer.data)
    assert (answer.status_code, answer.content_type, body["status"], body["code"]) == (status, "application/problem+json", status, code)
    assert body["title"]
    assert body["instance"] == path.split("?")[0]
    assert body["request_id"] == answer.headers["X-Request-ID"]
    assert body["type"] == f"/v1/problems/{code.replace('_', '-')}"
    assert answer.headers["Cache-Control"] == "no-store"
    page = client.get(body["doc_url"])
    assert (page.status_code, page.json["result"]["code"], page.json["result"]["status"]) == (200, code, status)


@pytest.mark.parametrize(
    ("method", "path", "allowed"),
    [
        ("DELETE", "/v1/nails", {"GET", "HEAD", "OPTIONS"}),
        ("PUT", "/v1/requirements", {"GET", "HEAD", "OPTIONS", "POST"}),
        ("GET", "/v1/wall-plans/batch", {"OPTIONS", "POST"}),
        ("PATCH", "/livez", {"GET", "HEAD", "OPTIONS"}),
    ],
)
def test_405_names_the_allowed_methods(client: FlaskClient, method: str, path: str, allowed: set[str]) -> None:
    answer = client.open(path, method=method)
    assert (answer.status_code, set(answer.headers["Allow"].split(", "))) == (405, allowed)


def test_unknown_id_suggests_a_near_one(client: FlaskClient) -> None:
    assert client.get("/v1/nails/16d-comon").json["did_you_mean"] == "16d-common"


def test_unknown_value_in_query_is_not_404(client: FlaskClient) -> None:
    error = client.get("/v1/requirements?connection_id=stud-to-plate-end-nal&nail_id=16d-common").json["errors"][0]
    assert (error["parameter"], error["code"], error["did_you_mean"]) == ("connection_id", "unknown_value", "stud-to-plate-end-nail")


@pytest.mark.parametrize(("asked", "where"), [({"nail_id": "no-such-nail"}, "#/nail_id")])
def test_unknown_nail_in_body_is_unknown_value(client: FlaskClient, asked: Any, where: str) -> None:
    answer = client.post("/v1/requirements", json={**JOINT, **asked})
    assert (answer.status_code, [(e["pointer"], e["code"]) for e in answer.json["errors"]]) == (422, [(where, "unknown_value")])


@pytest.mark.parametrize(
    ("part", "shown"),
    [
        ("x" * 65, "x" * 64),
        ("~" * 65, "~0" * 64),
        ("/" * 65, "~1" * 64),
        ("~1", "~01"),  # RFC 6901, 4: first ~ then /, so that the two do not mix
        ("%2F", "%252F"),  # RFC 6901, 6: as a URI fragment
        ("\u00fc" * 65, "%C3%BC" * 64),
        ("a\n", "a%0A"),
    ],
)
def test_pointer_part_is_cut_to_64_characters_and_escaped_once(part: str, shown: str) -> None:
    assert pointer(("items", 3, part)) == f"#/items/3/{shown}"


@pytest.mark.parametrize("name", ["k" * 1_000_000, "/" * 1_000_000, "\u00fc" * 170_000])
@pytest.mark.parametrize(
    "wrap", [lambda key: {key: 1}, lambda key: {**JOINT, "nail_id": {key: 1}}, lambda key: {"items": [], "defaults": {key: 1}}]
)
def test_a_long_key_never_comes_back(client: FlaskClient, name: str, wrap: Any) -> None:
    for path in ("/v1/requirements", "/v1/requirements/batch"):
        answer = client.post(path, json=wrap(name))
        assert answer.status_code == 422
        assert len(answer.data) < 5_000


def test_long_parameter_is_cut(client: FlaskClient) -> None:
    assert client.get("/v1/nails?" + "k" * 4_000 + "=1").json["errors"][0]["parameter"] == "k" * 64


def test_what_was_meant_is_looked_for_only_for_faults_that_are_shown() -> None:
    looked = []

    def near(i: int) -> dict[str, str]:
        looked.append(i)
        return {"did_you_mean": f"word{i}"}

    faults = [Fault("unknown_field", "is not a field here", (i,), {"_suggest": partial(near, i), "limit": 2}) for i in range(60)]
    with create_app().test_request_context(environ_overrides={NOTED: Noted("x")}):
        shown = fault_entries(tuple(faults), False)
    assert looked == list(range(50))
    assert shown["errors"][49] == {
        "pointer": "#/49",
        "code": "unknown_field",
        "detail": "is not a field here",
        "limit": 2,
        "did_you_mean": "word49",
    }
    assert "_suggest" in faults[0].facts


def test_a_batch_of_wrong_words_gets_a_bounded_number_of_suggestions_and_the_same_word_the_same(client: FlaskClient) -> None:
    """Looking for what was meant costs some ms: 150 different misspellings get 100 suggestions, 150 equal ones all of them."""
    letters = "abcdefghijklm"
    different = [f"wi{a}d_spe{b}d_mph" for a in letters for b in letters][:150]
    for words, told in ((different, 100), (["wind_sped_mph"] * 150, 150)):
        items = [{"id": f"i{k}", "connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common", w: 1} for k, w in enumerate(words)]
        results = client.post("/v1/requirements/batch", json={"items": items}).json["results"]
        assert sum("did_you_mean" in r["problem"]["errors"][0] for r in results) == told


@dataclass(frozen=True)
class Public(Settings):
    public_url: str = "https://nails.example/api/"


@pytest.mark.parametrize("path", ["/nowhere", "/v1/requirements", "/v1/nails/no-such-nail"])
def test_problem_types_are_absolute_where_the_public_address_is_known(path: str) -> None:
    answer = create_app(Public(log_level="error")).test_client().get(path).json
    page = f"https://nails.example/api/v1/problems/{answer['code'].replace('_', '-')}"
    assert (answer["type"], answer["doc_url"], answer["instance"]) == (page, page, path)


def test_problem_types_of_items_are_absolute_where_the_public_address_is_known() -> None:
    items = [{"id": "a", **JOINT}, {"id": "b", **JOINT, "nail_id": "no-such-nail"}]
    answer = create_app(Public(log_level="error")).test_client().post("/v1/requirements/batch", json={"items": items}).json
    assert answer["results"][1]["problem"]["type"] == "https://nails.example/api/v1/problems/validation-error"
    assert {c["doc_url"].split("/")[1] for c in answer["cautions"]} == {"v1"}


def boom(*_: Any) -> Any:
    raise RuntimeError("the secret in /etc/inside.py")


def test_500_hides_its_insides(monkeypatch: pytest.MonkeyPatch) -> None:
    app = create_app(Settings(log_level="error"))
    app.config["PROPAGATE_EXCEPTIONS"] = False
    monkeypatch.setattr("service.web.handlers.joints.judge", boom)
    answer = app.test_client().post("/v1/requirements", json=JOINT, headers={"X-Request-ID": "r-1"})
    assert (answer.status_code, answer.content_type) == (500, "application/problem+json")
    assert (answer.json["code"], answer.json["request_id"]) == ("internal_error", "r-1")
    said = (answer.get_data(as_text=True) + str(answer.headers)).lower()
    assert not [w for w in ("secret", "inside", "runtimeerror", "traceback", "flask", "werkzeug", "python", ".py") if w in said]


def test_log_of_a_500_names_the_request(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("service.web.logs.log.handlers", [])
    app = create_app(Settings(log_level="error"))
    app.config["PROPAGATE_EXCEPTIONS"] = False
    monkeypatch.setattr("service.web.handlers.joints.judge", boom)
    app.test_client().post("/v1/requirements", json=JOINT, headers={"X-Request-ID": "r-1"})
    lines = [json.loads(line) for line in capfd.readouterr().out.splitlines()]
    assert [(line["level"], line.get("request_id")) for line in lines] == [("error", "r-1")]


def send_raw(live: str, request: bytes) -> tuple[int, dict[str, str], Any]:
    host, port = live.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), 10) as line:
        line.sendall(request)
        raw = b""
        while piece := line.recv(65_536):
            raw += piece
    head, body = raw.split(b"\r\n\r\n", 1)
    status, *headers = head.decode("latin1").split("\r\n")
    named = {k.lower(): v.strip() for k, v in (h.split(":", 1) for h in headers)}
    return int(status.split()[1]), named, json.loads(body)


MALFORMED = [
    (b"GET /livez HTTP/9.9\r\nHost: a\r\n\r\n", 400, "bad_request"),
    (b"NONSENSE\r\n\r\n", 400, "bad_request"),
    (b"GET /livez HTTP/1.1\r\nHost: a\r\nbad header\r\n\r\n", 400, "bad_request"),
    (b"GET /livez HTTP/1.1\r\nHost: a\r\nX-Long: " + b"a" * 9000 + b"\r\n\r\n", 431, "headers_too_large"),
    (b"GET /livez?" + b"a" * 9000 + b" HTTP/1.1\r\nHost: a\r\n\r\n", 414, "uri_too_long"),
    (
        b"POST /v1/requirements HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n{}\r\n0\r\n\r\n",
        400,
        "invalid_json",
    ),
]
malformed = pytest.mark.parametrize(("request_bytes", "status", "code"), MALFORMED, ids=[f"{i}-{m[2]}" for i, m in enumerate(MALFORMED)])


@malformed
def test_malformed_request_gets_a_problem_document(live: str, request_bytes: bytes, status: int, code: str) -> None:
    got, headers, body = send_raw(live, request_bytes)
    assert (got, headers["content-type"], body["status"], body["code"]) == (status, "application/problem+json", status, code)
    assert "server" not in headers


@malformed
def test_malformed_request_gets_the_headers_of_every_answer(live: str, request_bytes: bytes, status: int, code: str) -> None:
    _, headers, body = send_raw(live, request_bytes)
    assert (headers.get("x-content-type-options"), headers.get("referrer-policy"), headers.get("cache-control")) == (
        "nosniff",
        "no-referrer",
        "no-store",
    )
    assert body["request_id"]
    assert headers.get("x-request-id") == body["request_id"]


@pytest.mark.parametrize("path", [b"//v1/nails", b"///v1/nails", b"//livez"])
def test_more_slashes_at_the_beginning_are_another_address(live: str, path: bytes) -> None:
    status, _, body = send_raw(live, b"GET " + path + b" HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n")
    assert (status, body["code"]) == (404, "not_found")


def test_good_answer_does_not_name_the_server(live: str) -> None:
    status, headers, _ = send_raw(live, b"GET /livez HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n")
    assert (status, "server" in headers) == (200, False)


def test_of_many_unknown_names_the_first_are_told(client: FlaskClient) -> None:
    """What is told first is what sorts first, whatever the order sent: a body of 1 MB may hold tens of thousands of names."""
    names = [f"f{i:05d}" for i in range(60_000)]
    answer = client.post("/v1/requirements", json={**JOINT, **dict.fromkeys(reversed(names), 1), "exposure": "Z"})
    assert [e["pointer"] for e in answer.json["errors"]] == ["#/exposure", *(f"#/{name}" for name in names[:49])]
    assert answer.json["errors_truncated"]


def test_of_many_joints_that_are_none_the_first_are_told(client: FlaskClient) -> None:
    nails = {**dict.fromkeys([f"t{i:03d}" for i in range(999, 0, -1)], {"nail_id": "16d-common"}), "stud-to-plate-end-nail": {"nail_id": 1}}
    asked = {"framing_nail": {"nail_id": "16d-common"}, "wall": {"length_in": 120, "height_in": 97.125}, "connection_nails": nails}
    told = [e["pointer"].removeprefix("#/connection_nails/") for e in client.post("/v1/wall-plans", json=asked).json["errors"]]
    assert told == ["stud-to-plate-end-nail/nail_id", *(f"t{i:03d}" for i in range(1, 50))]


@pytest.mark.parametrize("wrong", [{"exposure": "Z"}, {f"f{i}": 1 for i in range(30)}])
def test_a_batch_that_fails_as_one_tells_the_first_faults_of_all_items(client: FlaskClient, wrong: Any) -> None:
    """As many as a refusal shows, in the order of the items, and the fault of a shared default once."""
    items = [{"id": f"i{i}", **JOINT, **wrong} for i in range(100)]
    answer = client.post("/v1/requirements/batch", json={"on_error": "fail", "defaults": {"joint_count": 0}, "items": items})
    assert answer.status_code == 422
    told = [e["pointer"] for e in answer.json["errors"]]
    assert told[0] == "#/defaults/joint_count"
    assert told[1:] == [f"#/items/{i}/{name}" for i in range(100) for name in sorted(wrong)][:49]
