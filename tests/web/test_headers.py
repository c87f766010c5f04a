"""Headers: request id, version, caching, cross-origin, and the operations addresses."""

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings

COMPUTED = "/v1/requirements?connection_id=stud-to-plate-end-nail&nail_id=16d-common&joint_count=38"
PATHS = ["/", "/livez", "/nowhere", "/v1/nails", "/v1/openapi.json", COMPUTED, "/v1/requirements"]
JOINT = {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}


@pytest.mark.parametrize("name", ["abc", "A.b_c-9", "x" * 64])
def test_valid_request_id_is_echoed(client: FlaskClient, name: str) -> None:
    assert client.get("/livez", headers={"X-Request-ID": name}).headers["X-Request-ID"] == name


@pytest.mark.parametrize("name", ["", "a b", "x" * 65, "a/b", "\u00fc"])
def test_invalid_request_id_is_replaced(client: FlaskClient, name: str) -> None:
    made = client.get("/livez", headers={"X-Request-ID": name}).headers["X-Request-ID"]
    assert made != name
    assert 0 < len(made) <= 64


def test_made_request_ids_differ(client: FlaskClient) -> None:
    assert client.get("/livez").headers["X-Request-ID"] != client.get("/livez").headers["X-Request-ID"]


@pytest.mark.parametrize("path", PATHS)
def test_every_answer_has_the_common_headers(client: FlaskClient, path: str) -> None:
    headers = client.get(path).headers
    assert headers["API-Version"].count(".") == 2
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers.getlist("Vary") == ["Accept"]
    # RFC 8631: where the description of the service stands
    assert headers.getlist("Link") == ['</v1/openapi.json>; rel="service-desc"']
    assert "Server" not in headers


@pytest.mark.parametrize("path", PATHS)
def test_every_answer_is_open_to_all_origins(client: FlaskClient, path: str) -> None:
    headers = client.get(path, headers={"Origin": "https://a.example"}).headers
    assert headers.getlist("Access-Control-Allow-Origin") == ["*"]
    assert "Access-Control-Allow-Credentials" not in headers
    assert headers["Access-Control-Expose-Headers"] == "ETag, Retry-After, X-Request-ID, API-Version, Deprecation, Sunset, Link"


@pytest.fixture(scope="module")
def listed() -> FlaskClient:
    return create_app(Settings(cors_origins="https://a.example, https://b.example", log_level="error")).test_client()


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("origin", ["https://a.example", "https://b.example"])
def test_listed_origin_is_echoed(listed: FlaskClient, path: str, origin: str) -> None:
    headers = listed.get(path, headers={"Origin": origin}).headers
    assert headers.getlist("Access-Control-Allow-Origin") == [origin]
    assert headers.getlist("Vary") == ["Accept, Origin"]


@pytest.mark.parametrize("headers", [{"Origin": "https://c.example"}, {"Origin": "https://a.example.org"}, {}])
def test_foreign_origin_gets_nothing(listed: FlaskClient, headers: dict[str, str]) -> None:
    answer = listed.get("/v1/nails", headers=headers)
    assert "Access-Control-Allow-Origin" not in answer.headers
    assert "Origin" in answer.headers["Vary"].split(", ")


@pytest.mark.parametrize("path", ["/v1/requirements", "/v1/wall-plans", "/v1/nails"])
def test_preflight_is_answered(client: FlaskClient, path: str) -> None:
    asked = {"Origin": "https://a.example", "Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "content-type"}
    answer = client.options(path, headers=asked)
    assert answer.headers["Access-Control-Allow-Origin"] == "*"
    assert answer.headers["Access-Control-Allow-Headers"] == "Content-Type, Accept, X-API-Key, X-Request-ID, If-None-Match"
    assert answer.headers["Access-Control-Max-Age"] == "86400"
    assert ("POST" in answer.headers["Access-Control-Allow-Methods"]) == (path != "/v1/nails")


@pytest.mark.parametrize("path", ["/", "/livez", "/v1/openapi.json", "/v1/requirements"])
def test_preflight_is_204_without_content(client: FlaskClient, path: str) -> None:
    # RFC 9110, 8.6: no Content-Length in a 204
    answer = client.options(path, headers={"Origin": "https://a.example", "Access-Control-Request-Method": "GET"})
    assert (answer.status_code, answer.data) == (204, b"")
    assert not {"Content-Type", "Content-Length"} & set(answer.headers.keys())


@pytest.mark.parametrize("path", [*PATHS, "/readyz", "/version", "/v1/wall-plans", "/v1/nails/no-such-nail", COMPUTED + "&format=csv"])
def test_head_answers_like_get_without_a_body(client: FlaskClient, path: str) -> None:
    # RFC 9110, 9.3.2: the same header fields as for GET, and no content
    named = {"X-Request-ID": "r-1"}
    head, get = client.head(path, headers=named), client.get(path, headers=named)
    assert (head.status_code, head.data) == (get.status_code, b"")
    assert sorted(head.headers) == sorted(get.headers)
    assert head.headers["Content-Length"] == str(len(get.data))


@pytest.mark.parametrize(
    ("path", "name"),
    [(COMPUTED, "requirements.csv"), ("/v1/nails/16d-common/uses", "nails-uses.csv")],
)
def test_sheet_has_the_name_of_its_address(client: FlaskClient, path: str, name: str) -> None:
    answer = client.get(path, headers={"Accept": "text/csv"})
    assert (answer.mimetype, answer.headers["Content-Disposition"]) == ("text/csv", f'inline; filename="{name}"')


def test_sheet_of_a_batch_has_the_name_of_its_address(client: FlaskClient) -> None:
    answer = client.post("/v1/requirements/batch?format=csv", json={"items": [{"id": "a", **JOINT}]})
    assert answer.headers["Content-Disposition"] == 'inline; filename="requirements-batch.csv"'


def test_json_has_no_file_name(client: FlaskClient) -> None:
    assert "Content-Disposition" not in client.get(COMPUTED).headers


TAGGED = ["/v1/nails", "/v1/nails/16d-common", "/v1/openapi.json", COMPUTED]


@pytest.mark.parametrize("path", TAGGED)
@pytest.mark.parametrize("form", ["{}", "W/{}", '"other", {}', "*"])
def test_known_tag_is_304(client: FlaskClient, path: str, form: str) -> None:
    tag = client.get(path).headers["ETag"]
    assert tag.startswith('"')
    answer = client.get(path, headers={"If-None-Match": form.format(tag)})
    assert (answer.status_code, answer.data, answer.headers["ETag"]) == (304, b"", tag)


@pytest.mark.parametrize("path", TAGGED)
def test_other_tag_is_answered_in_full(client: FlaskClient, path: str) -> None:
    answer = client.get(path, headers={"If-None-Match": '"other"'})
    assert (answer.status_code, bool(answer.data)) == (200, True)


def test_other_answers_have_other_tags(client: FlaskClient) -> None:
    assert client.get(COMPUTED).headers["ETag"] != client.get(COMPUTED + "9").headers["ETag"]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("/v1/nails", "public, max-age=3600"),
        ("/v1/cautions/nail_gun", "public, max-age=3600"),
        ("/v1/openapi.json", "public, max-age=3600"),
        (COMPUTED, "public, max-age=300"),
        ("/livez", "no-store"),
        ("/readyz", "no-store"),
        ("/version", "no-store"),
        ("/nowhere", "no-store"),
        ("/v1/requirements", "no-store"),
    ],
)
def test_cache_control(client: FlaskClient, path: str, value: str) -> None:
    assert client.get(path).headers["Cache-Control"] == value


def test_post_is_not_stored(client: FlaskClient) -> None:
    headers = client.post("/v1/requirements", json=JOINT).headers
    assert (headers["Cache-Control"], "ETag" in headers) == ("no-store", False)


@pytest.mark.parametrize("name", ["one", "two"])
def test_equal_questions_get_equal_bytes(client: FlaskClient, name: str) -> None:
    assert client.get(COMPUTED, headers={"X-Request-ID": name}).data == client.get(COMPUTED).data


def test_order_of_the_fields_does_not_change_the_bytes(client: FlaskClient) -> None:
    turned = dict(reversed(JOINT.items()))
    assert client.get("/v1/requirements", query_string=JOINT).data == client.get("/v1/requirements", query_string=turned).data


@pytest.mark.parametrize(
    ("path", "fields"), [("/livez", {"status"}), ("/readyz", {"status"}), ("/version", {"api_version", "data_version", "build"})]
)
def test_operations_addresses_answer(client: FlaskClient, path: str, fields: set[str]) -> None:
    answer = client.get(path)
    assert (answer.status_code, answer.content_type, set(answer.json)) == (200, "application/json", fields)


def test_version_shows_the_build() -> None:
    assert create_app(Settings(build="b-17", log_level="error")).test_client().get("/version").json["build"] == "b-17"


def test_readyz_is_503_while_draining(tmp_path: Path) -> None:
    file = tmp_path / "drain"
    client: Any = create_app(Settings(drain_file=str(file), log_level="error")).test_client()
    before = client.get("/readyz").status_code
    file.touch()
    during, alive = client.get("/readyz").status_code, client.get("/livez").status_code
    file.unlink()
    assert (before, during, alive, client.get("/readyz").status_code) == (200, 503, 200, 200)


def test_the_contract_is_linked_where_callers_reach_it() -> None:
    client = create_app(Settings(public_url="https://example.org/nails", log_level="error")).test_client()
    assert client.get("/v1/limits").headers["Link"] == '<https://example.org/nails/v1/openapi.json>; rel="service-desc"'


def line_of(app: Flask, capfd: pytest.CaptureFixture[str], method: str, path: str, **more: Any) -> dict[str, Any]:
    app.test_client().open(path, method=method, headers={"X-Request-ID": "r-1"}, **more)
    (line,) = [json.loads(line) for line in capfd.readouterr().out.splitlines()]
    return {k: line[k] for k in ("request_id", "method", "route", "status", "bytes_in", "item_count", "problem_code", "max_severity")}


def said(method: str, route: str | None, status: int, **more: Any) -> dict[str, Any]:
    rest = {"bytes_in": 0, "item_count": None, "problem_code": None, "max_severity": None, **more}
    return {"request_id": "r-1", "method": method, "route": route, "status": status, **rest}


@pytest.mark.parametrize(
    ("path", "route", "status", "code"),
    [
        ("/v1/nails/no-such-nail", "/v1/nails/<nail_id>", 404, "unknown_id"),
        ("/nowhere", None, 404, "not_found"),
        ("/v1/wall-plans/batch", None, 405, "method_not_allowed"),
        ("/v1/nails?colour=1", "/v1/nails", 422, "validation_error"),
    ],
)
def test_log_line_of_a_refusal(capfd: pytest.CaptureFixture[str], path: str, route: str | None, status: int, code: str) -> None:
    app = create_app(Settings(log_level="info"))
    assert line_of(app, capfd, "GET", path) == said("GET", route, status, problem_code=code)


def test_log_line_of_a_batch(capfd: pytest.CaptureFixture[str]) -> None:
    app, body = create_app(Settings(log_level="info")), json.dumps({"items": [{"id": "a", **JOINT}, {"id": "b", **JOINT}]}).encode()
    line = line_of(app, capfd, "POST", "/v1/requirements/batch", data=body, content_type="application/json")
    # no site is sent, so it is assumed, which is a warning
    assert line == said("POST", "/v1/requirements/batch", 200, bytes_in=len(body), item_count=2, max_severity="warning")


def test_log_line_of_a_kept_answer_has_its_severity(capfd: pytest.CaptureFixture[str]) -> None:
    app = create_app(Settings(log_level="info"))
    first, again = (line_of(app, capfd, "GET", COMPUTED) for _ in range(2))
    assert first == again == said("GET", "/v1/requirements", 200, max_severity="warning")


def test_log_line_never_holds_the_query(capfd: pytest.CaptureFixture[str]) -> None:
    create_app(Settings(log_level="info")).test_client().get("/v1/nails?designation=secret")
    assert "secret" not in capfd.readouterr().out


TRACE = "4bf92f3577b34da6a3ce929d0e0e4736"


@pytest.mark.parametrize(
    ("parent", "trace"),
    [
        pytest.param(f"00-{TRACE}-00f067aa0ba902b7-01", TRACE, id="the example of the standard"),
        pytest.param(f"cc-{TRACE}-00f067aa0ba902b7-01-what-will-be", TRACE, id="a later version has more"),
        pytest.param(f"ff-{TRACE}-00f067aa0ba902b7-01", None, id="version ff is forbidden"),
        pytest.param(f"00-{'0' * 32}-00f067aa0ba902b7-01", None, id="all zeros are invalid"),
        pytest.param(f"00-{TRACE.upper()}-00f067aa0ba902b7-01", None, id="capitals"),
        pytest.param(f"00-{'z' * 32}-00f067aa0ba902b7-01", None, id="no digits"),
        pytest.param("", None, id="none"),
    ],
)
def test_log_line_names_a_trace_that_is_one(capfd: pytest.CaptureFixture[str], parent: str, trace: str | None) -> None:
    """W3C Trace Context, sections 3.2.2.1 to 3.2.2.3 and 3.2.4."""
    create_app(Settings(log_level="info")).test_client().get("/v1/limits", headers={"traceparent": parent})
    assert json.loads(capfd.readouterr().out)["trace_id"] == trace


def test_log_line_holds_what_it_should_and_nothing_else(capfd: pytest.CaptureFixture[str]) -> None:
    client = create_app(Settings(log_level="info")).test_client()
    got, agent = client.get("/v1/limits?format=json", headers={"User-Agent": "x" * 200, "X-API-Key": "secret"}), "x" * 128
    client.head("/v1/limits")
    line, head = (json.loads(line) for line in capfd.readouterr().out.splitlines())
    assert list(line) == [
        *("ts", "level", "msg", "request_id", "trace_id", "method", "route", "status", "duration_s", "key_name", "bytes_in", "bytes_out"),
        *("item_count", "problem_code", "max_severity", "user_agent", "version", "data_version"),
    ]
    assert datetime.fromisoformat(line["ts"]).utcoffset() == timedelta(0)
    assert (line["level"], line["method"], line["bytes_out"], line["user_agent"]) == ("info", "GET", len(got.data), agent)
    assert (head["method"], head["bytes_out"]) == ("HEAD", 0)


@pytest.mark.parametrize(("method", "path"), [("OPTIONS", "/v1/wall-plans"), ("DELETE", "/v1/wall-plans"), ("OPTIONS", "/v1/nails")])
def test_methods_stand_in_one_order_in_every_process(client: FlaskClient, method: str, path: str) -> None:
    headers = client.open(path, method=method).headers
    told = [v for k, v in headers if k in ("Allow", "Access-Control-Allow-Methods")]
    assert len(told) == (2 if method == "OPTIONS" else 1)
    for methods in told:
        assert methods.split(", ") == sorted(methods.split(", "))
