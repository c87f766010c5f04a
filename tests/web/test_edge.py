"""What the edge refuses: unreadable bodies, queries and headers, with their codes."""

import contextlib
import json
import time
from collections.abc import Iterator
from typing import Any

import pytest
import requests
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.errors import UnreadableBodyError
from service.settings import Settings
from service.web.strict_json import parse_json

JOINT = {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}
WALL = {"framing_nail": {"nail_id": "16d-common"}, "wall": {"length_in": 120, "height_in": 97.125}}


def post(client: FlaskClient, raw: bytes, kind: str = "application/json", **headers: str) -> Any:
    return client.post("/v1/requirements", data=raw, content_type=kind, headers=headers)


def errors(answer: Any) -> list[tuple[str, str]]:
    return [(e.get("pointer", e.get("parameter")), e["code"]) for e in answer.json["errors"]]


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        (b"{", "invalid_json"),
        (b"{'a': 1}", "invalid_json"),
        (b'{"a": 1,}', "invalid_json"),
        (b"{} {}", "invalid_json"),
        (b"", "invalid_json"),
        (b"  \n", "invalid_json"),
        (json.dumps(JOINT).encode("utf-16"), "invalid_json"),
        (json.dumps(JOINT).encode("utf-32"), "invalid_json"),
        (b'{"a": "\xff"}', "invalid_json"),
        (b'{"joint_count": NaN}', "invalid_json"),
        (b'{"joint_count": -Infinity}', "invalid_json"),
        (b'{"joint_count": 1e999}', "invalid_json"),
        (b'{"nail_id": "\\ud800"}', "invalid_json"),
        (b'{"nail_id": "a", "nail_id": "a"}', "duplicate_key"),
        (b'{"a": {"b": 1, "b": 2}}', "duplicate_key"),
        (b"[" * 17 + b"]" * 17, "nesting_too_deep"),
        (b"[" * 17 + b"1" + b"]" * 17, "nesting_too_deep"),
        (b'{"a":' * 17 + b"{}" + b"}" * 17, "nesting_too_deep"),
        (b"[" * 100_000 + b"]" * 100_000, "nesting_too_deep"),
    ],
)
def test_unreadable_body_is_400(client: FlaskClient, raw: bytes, code: str) -> None:
    answer = post(client, raw)
    assert (answer.status_code, answer.json["code"]) == (400, code)


@pytest.mark.parametrize(
    "raw", [b"{}", b'{"a": ":", "b": {"c": "a:b"}, ":": [{"c": 1}, {"c": 2}]}', b'{"a": "\\":", "b": 1}', b'[{"a": {}}, {"a": []}]']
)
def test_keys_that_stand_once_are_parsed_as_by_the_standard_library(raw: bytes) -> None:
    assert parse_json(raw) == json.loads(raw)


@pytest.mark.parametrize(
    "raw", [b'{"a": ":", "a": 1}', b'{"a": 1, "\\u0061": ":"}', b'[{"b": {"a": 1, "c": [], "a": 2}}]', b'{"": 1, "": 2}']
)
def test_duplicate_key_is_found_behind_colons_and_escapes(raw: bytes) -> None:
    with pytest.raises(UnreadableBodyError, match="stands twice"):
        parse_json(raw)


KEYS = [b'"%07d":1' % i for i in range(80_000)]
HEAVY = {
    "distinct keys": b"{" + b",".join(KEYS) + b"}",
    "distinct keys and a colon": b"{" + b",".join(KEYS) + b',"a":":"}',
    "the last key twice": b"{" + b",".join([*KEYS, KEYS[-1]]) + b"}",
    "small objects": b"[" + b",".join([b'{"":":"}'] * 110_000) + b"]",
    "empty lists": b"[" + b",".join([b"[]"] * 340_000) + b"]",
    "quotes and brackets": b'"[{' * 340_000,
    "open brackets": b"[" * 1_000_000,
}


@pytest.mark.parametrize("name", HEAVY)
def test_any_body_of_1_mib_is_parsed_or_refused_in_half_a_second(name: str) -> None:
    raw = HEAVY[name]
    assert 700_000 < len(raw) <= 1_048_576
    start = time.process_time()
    with contextlib.suppress(UnreadableBodyError):
        parse_json(raw)
    assert time.process_time() - start < 0.5


@pytest.mark.parametrize("raw", [b"[" * 16 + b"]" * 16, b"[" * 16 + b"1" + b"]" * 16, b'{"a":' * 15 + b"{}" + b"}" * 15])
def test_nesting_16_is_not_too_deep(client: FlaskClient, raw: bytes) -> None:
    answer = post(client, raw)
    assert (answer.status_code, answer.json["code"]) == (422, "validation_error")


def test_byte_order_mark_is_ignored(client: FlaskClient) -> None:
    assert post(client, b"\xef\xbb\xbf" + json.dumps(JOINT).encode()).status_code == 200


@pytest.mark.parametrize("raw", [b"[]", b"null", b'"x"', b"3", b"true"])
def test_top_level_must_be_an_object(client: FlaskClient, raw: bytes) -> None:
    answer = post(client, raw)
    assert (answer.status_code, errors(answer)) == (422, [("#", "wrong_type")])


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "application/json; charset=latin-1", ""])
def test_other_body_type_is_415(client: FlaskClient, kind: str) -> None:
    answer = post(client, json.dumps(JOINT).encode(), kind)
    assert (answer.status_code, answer.json["code"]) == (415, "unsupported_media_type")


def test_charset_utf_8_is_taken(client: FlaskClient) -> None:
    assert post(client, json.dumps(JOINT).encode(), "application/json; charset=UTF-8").status_code == 200


def test_content_encoding_is_415(client: FlaskClient) -> None:
    answer = post(client, json.dumps(JOINT).encode(), **{"Content-Encoding": "gzip"})
    assert (answer.status_code, answer.json["code"]) == (415, "unsupported_media_type")


def test_body_over_the_limit_is_413() -> None:
    small = create_app(Settings(max_body_bytes=1024, log_level="error")).test_client()
    answer = post(small, b" " * 1025)
    assert (answer.status_code, answer.json["code"]) == (413, "body_too_large")
    assert (answer.json["limit"], answer.json["received"], answer.json["setting"]) == (1024, 1025, "APP_MAX_BODY_BYTES")


def test_body_at_the_limit_is_read() -> None:
    small = create_app(Settings(max_body_bytes=1024, log_level="error")).test_client()
    assert post(small, json.dumps(JOINT).encode().ljust(1024)).status_code == 200


def in_chunks(size: int) -> Iterator[bytes]:
    body = json.dumps(JOINT).encode().ljust(size)
    for start in range(0, size, 65_536):
        yield body[start : start + 65_536]


def test_chunked_body_over_the_limit_is_413(live: str) -> None:
    answer = requests.post(f"{live}/v1/requirements", data=in_chunks(1_048_577), headers={"Content-Type": "application/json"}, timeout=20)
    assert (answer.status_code, answer.json()["code"]) == (413, "body_too_large")
    assert (answer.json()["limit"], answer.json()["setting"]) == (1_048_576, "APP_MAX_BODY_BYTES")


@pytest.mark.parametrize("size", [2_000, 1_048_576])
def test_chunked_body_up_to_the_limit_is_read(live: str, size: int) -> None:
    answer = requests.post(f"{live}/v1/requirements", data=in_chunks(size), headers={"Content-Type": "application/json"}, timeout=20)
    assert answer.status_code == 200


class Dripping:
    """A body that comes seven bytes at a time, and counts what was taken."""

    def __init__(self, body: bytes) -> None:
        self.body, self.taken = body, 0

    def read(self, size: int = -1) -> bytes:
        piece = self.body[self.taken : self.taken + min(7, size)]
        self.taken += len(piece)
        return piece


@pytest.mark.parametrize("known", [True, False])
def test_body_that_comes_in_parts_is_read_whole(app: Flask, known: bool) -> None:
    body = json.dumps(JOINT).encode()
    sent = {"CONTENT_LENGTH": str(len(body))} if known else {"wsgi.input_terminated": True}
    more = {"environ_overrides": {"wsgi.input": Dripping(body), "CONTENT_LENGTH": "", **sent}, "content_type": "application/json"}
    assert app.test_client().post("/v1/requirements", **more).status_code == 200


def test_body_of_unknown_length_is_read_no_further_than_one_byte_over_the_limit() -> None:
    body = Dripping(b" " * 100_000)
    more = {
        "environ_overrides": {"wsgi.input": body, "CONTENT_LENGTH": "", "wsgi.input_terminated": True},
        "content_type": "application/json",
    }
    small = create_app(Settings(max_body_bytes=1024, log_level="error")).test_client()
    assert small.post("/v1/requirements", **more).status_code == 413
    assert body.taken == 1025


def test_repeated_parameter_is_refused(client: FlaskClient) -> None:
    answer = client.get("/v1/requirements?connection_id=stud-to-plate-end-nail&nail_id=16d-common&nail_id=16d-common")
    assert (answer.status_code, errors(answer)) == (422, [("nail_id", "repeated_parameter")])


@pytest.mark.parametrize("query", ["designation=%zz", "designation=%", "designation=16d%ff", "%ff=1"])
def test_bad_percent_encoding_is_400(client: FlaskClient, query: str) -> None:
    answer = client.get(f"/v1/nails?{query}")
    assert (answer.status_code, answer.json["code"]) == (400, "invalid_json")


def test_unknown_parameter_is_refused_with_a_suggestion(client: FlaskClient) -> None:
    answer = client.get("/v1/nails?designaton=16d")
    assert (answer.status_code, errors(answer)) == (422, [("designaton", "unknown_field")])
    assert answer.json["errors"][0]["did_you_mean"] == "designation"


def test_unknown_parameter_of_post_is_named_as_parameter(client: FlaskClient) -> None:
    answer = client.post("/v1/requirements?color=red", json=JOINT)
    assert answer.status_code == 422
    assert [(e.get("parameter"), "pointer" in e) for e in answer.json["errors"]] == [("color", False)]


@pytest.mark.parametrize(("size", "status"), [(4097, 414), (4096, 422)])
def test_query_over_4_kib_is_414(client: FlaskClient, size: int, status: int) -> None:
    assert client.get("/v1/nails?" + "designation=".ljust(size, "a")).status_code == status


@pytest.mark.parametrize("accept", ["text/csv", "image/svg+xml, text/html", "application/json;q=0"])
def test_accept_without_json_is_406(client: FlaskClient, accept: str) -> None:
    answer = client.get("/v1/nails", headers={"Accept": accept})
    assert (answer.status_code, answer.json["code"]) == (406, "not_acceptable")
    assert "application/json" in answer.json["detail"]


@pytest.mark.parametrize("accept", ["*/*", "application/*", "text/html, */*;q=0.1", "application/json;q=0.5, text/csv"])
def test_accept_with_json_is_answered(client: FlaskClient, accept: str) -> None:
    assert client.get("/v1/species", headers={"Accept": accept}).status_code == 200


@pytest.mark.parametrize(
    "accept", ["application/json; charset=utf-8", "application/json;charset=utf-8;q=0.5", "text/csv;q=0.1, application/json;v=1"]
)
def test_parameters_of_accept_do_not_refuse_json(client: FlaskClient, accept: str) -> None:
    answer = client.get("/v1/requirements", query_string=JOINT, headers={"Accept": accept})
    assert (answer.status_code, answer.content_type) == (200, "application/json")


@pytest.mark.parametrize("accept", ["text/csv; charset=utf-8; header=present", "application/json;q=0.5, text/csv;header=absent;q=0.6"])
def test_parameters_of_accept_do_not_refuse_csv(client: FlaskClient, accept: str) -> None:
    answer = client.get("/v1/requirements", query_string=JOINT, headers={"Accept": accept})
    assert (answer.status_code, answer.mimetype) == (200, "text/csv")


@pytest.mark.parametrize(
    ("path", "offered"),
    [
        ("/v1/nails", ["application/json"]),
        ("/v1/requirements", ["application/json", "text/csv"]),
        ("/v1/nails/16d-common/uses", ["application/json", "text/csv"]),
    ],
)
def test_406_lists_the_forms_of_that_address(client: FlaskClient, path: str, offered: list[str]) -> None:
    answer = client.get(path, headers={"Accept": "image/svg+xml"})
    assert (answer.status_code, answer.json["offered"]) == (406, offered)
    assert all(form in answer.json["detail"] for form in offered)
    assert ("text/csv" in answer.json["detail"]) == ("text/csv" in offered)


@pytest.mark.parametrize("value", ["24", True, False, None, [24], {"a": 1}, 2.5])
def test_joint_count_of_wrong_type_is_named(client: FlaskClient, value: Any) -> None:
    answer = client.post("/v1/requirements", json={**JOINT, "joint_count": value})
    assert (answer.status_code, errors(answer)) == (422, [("#/joint_count", "wrong_type")])


@pytest.mark.parametrize("value", ["true", 1, 0, None])
def test_flag_is_not_made_from_other_types(client: FlaskClient, value: Any) -> None:
    answer = client.post("/v1/requirements", json={**JOINT, "fire_rated": value})
    assert (answer.status_code, errors(answer)) == (422, [("#/fire_rated", "wrong_type")])


@pytest.mark.parametrize("digits", [7, 15, 19, 25, 38, 300])
def test_number_past_every_limit_is_out_of_range(client: FlaskClient, digits: int) -> None:
    answer = post(client, json.dumps(JOINT)[:-1].encode() + b', "joint_count": ' + b"9" * digits + b"}")
    assert (answer.status_code, errors(answer)) == (422, [("#/joint_count", "out_of_range")])


@pytest.mark.parametrize("digits", [7, 25, 38])
def test_query_number_past_every_limit_is_out_of_range(client: FlaskClient, digits: int) -> None:
    answer = client.get("/v1/requirements", query_string={**JOINT, "joint_count": "9" * digits})
    assert (answer.status_code, errors(answer)) == (422, [("joint_count", "out_of_range")])


def test_out_of_range_names_limit_and_received(client: FlaskClient) -> None:
    answer = client.post("/v1/wall-plans", json={**WALL, "wall": {"length_in": 2400, "height_in": 97.125}})
    error = answer.json["errors"][0]
    assert (error["pointer"], error["code"], error["received"]) == ("#/wall/length_in", "out_of_range", 2400)
    assert (error["minimum"], error["maximum"]) == (12, 1200)


def test_zero_length_is_out_of_range_in_metres_too(client: FlaskClient) -> None:
    asked = {"connection_id": "top-plate-to-top-plate-face-nail", "nail_id": "16d-common", "run_length_m": 0}
    answer = client.post("/v1/requirements", json=asked)
    assert (answer.status_code, errors(answer) if answer.status_code == 422 else []) == (422, [("#/run_length_m", "out_of_range")])


def test_unknown_field_is_refused_with_a_suggestion(client: FlaskClient) -> None:
    answer = client.post("/v1/requirements", json={**JOINT, "joint_cuont": 2})
    assert (answer.status_code, errors(answer)) == (422, [("#/joint_cuont", "unknown_field")])
    assert answer.json["errors"][0]["did_you_mean"] == "joint_count"


def test_unknown_field_inside_a_wall_is_pointed_at(client: FlaskClient) -> None:
    answer = client.post("/v1/wall-plans", json={**WALL, "wall": {**WALL["wall"], "lenght_in": 5}})
    assert errors(answer) == [("#/wall/lenght_in", "unknown_field")]
    assert answer.json["errors"][0]["did_you_mean"] == "length_in"


@pytest.mark.parametrize(
    ("name", "pointer"), [("a/b", "#/a~1b"), ("a~b", "#/a~0b"), ("a b", "#/a%20b"), ("50%", "#/50%25"), ("\u00fc", "#/%C3%BC")]
)
def test_pointer_is_a_uri_fragment(client: FlaskClient, name: str, pointer: str) -> None:
    assert errors(client.post("/v1/requirements", json={**JOINT, name: 1})) == [(pointer, "unknown_field")]


@pytest.mark.parametrize(
    ("nails", "pointer", "code"),
    [
        ({"no-such-joint": {"nail_id": "16d-common"}}, "#/connection_nails/no-such-joint", "unknown_value"),
        ({"stud-to-plate-end-nail": {"nail_id": 3}}, "#/connection_nails/stud-to-plate-end-nail/nail_id", "wrong_type"),
        ({"stud-to-plate-end-nail": {"nial_id": "x"}}, "#/connection_nails/stud-to-plate-end-nail/nial_id", "unknown_field"),
        ({"stud-to-plate-end-nail": 3}, "#/connection_nails/stud-to-plate-end-nail", "wrong_type"),
        (3, "#/connection_nails", "wrong_type"),
    ],
)
def test_fault_in_connection_nails_is_pointed_at(client: FlaskClient, nails: Any, pointer: str, code: str) -> None:
    assert errors(client.post("/v1/wall-plans", json={**WALL, "connection_nails": nails})) == [(pointer, code)]


def test_fault_in_an_intersection_is_pointed_at(client: FlaskClient) -> None:
    wall = {**WALL["wall"], "intersections": [{"at_in": 60}, {"at_in": "60"}]}
    assert errors(client.post("/v1/wall-plans", json={**WALL, "wall": wall})) == [("#/wall/intersections/1/at_in", "wrong_type")]


def test_all_faults_are_told_at_once(client: FlaskClient) -> None:
    answer = client.post("/v1/requirements", json={"nail_id": 5, "exposure": "Z", "joint_count": 0, "color": "red"})
    assert set(errors(answer)) == {
        ("#/connection_id", "missing_field"),
        ("#/nail_id", "wrong_type"),
        ("#/exposure", "unknown_value"),
        ("#/joint_count", "out_of_range"),
        ("#/color", "unknown_field"),
    }


def test_more_than_50_errors_are_truncated(client: FlaskClient) -> None:
    answer = client.post("/v1/requirements/batch", json={"items": [{"id": "bad id", **JOINT} for _ in range(60)]})
    assert (answer.status_code, len(answer.json["errors"]), answer.json["errors_truncated"]) == (422, 50, True)
    assert [e["pointer"] for e in answer.json["errors"][:2]] == ["#/items/0/id", "#/items/1/id"]


def test_50_errors_are_not_truncated(client: FlaskClient) -> None:
    answer = client.post("/v1/requirements/batch", json={"items": [{"id": "bad id", **JOINT} for _ in range(50)]})
    assert (len(answer.json["errors"]), "errors_truncated" in answer.json) == (50, False)


@pytest.mark.parametrize("sent", ["y" * 100, "a\n\x00\x1b" + "y" * 100, "\u2028" * 40, ["y" * 100]])
def test_received_is_cut_and_escaped(client: FlaskClient, sent: Any) -> None:
    received = client.post("/v1/requirements", json={**JOINT, "exposure": sent}).json["errors"][0]["received"]
    assert 0 < len(received) <= 64
    assert received.isprintable()


@pytest.mark.parametrize("field", ["nail_id", "nail_designation", "connection_id"])
@pytest.mark.parametrize("sent", ["16d common\n", "no\x1bnail", "y\n" * 30])
def test_no_field_shows_control_characters(client: FlaskClient, field: str, sent: str) -> None:
    asked = {"connection_id": "stud-to-plate-end-nail", **({"nail_id": "16d-common"} if field == "connection_id" else {}), field: sent}
    answer = client.post("/v1/requirements", json=asked)
    shown = [str(v) for e in answer.json.get("errors", []) for v in e.values()]
    assert all(v.isprintable() for v in shown)
    assert answer.status_code == 422 or (field, sent) == ("nail_designation", "16d common\n")


@pytest.mark.parametrize("query", ["format=a%0Ab", "format=" + "y" * 100])
def test_received_of_a_parameter_is_cut_and_escaped(client: FlaskClient, query: str) -> None:
    received = client.get(f"/v1/nails?{query}").json["errors"][0]["received"]
    assert (len(received) <= 64, received.isprintable()) == (True, True)


@pytest.mark.parametrize("metric", [3048, 1])
def test_both_units_conflict_also_when_they_agree(client: FlaskClient, metric: float) -> None:
    answer = client.post("/v1/wall-plans", json={**WALL, "wall": {**WALL["wall"], "length_mm": metric * 1.0 + 12 * 25.4}})
    assert ("#/wall/length_in", "conflicting_units") in errors(answer)


def test_both_wind_units_conflict(client: FlaskClient) -> None:
    answer = client.post("/v1/requirements", json={**JOINT, "wind_speed_mph": 100, "wind_speed_m_per_s": 44.704})
    assert (answer.status_code, errors(answer)) == (422, [("#/wind_speed_mph", "conflicting_units")])


@pytest.mark.parametrize("text", ["1%D9%A3", "3%0A", "%2B3", "1_0", "%EF%BC%93"])
def test_number_of_a_query_is_one_of_json(client: FlaskClient, text: str) -> None:
    """Digits of other scripts, an end of line behind the number, a sign or a low line are no JSON number (RFC 8259, section 6)."""
    answer = client.get(f"/v1/requirements?connection_id=stud-to-plate-end-nail&nail_id=16d-common&joint_count={text}")
    assert (answer.status_code, errors(answer)) == (422, [("joint_count", "wrong_type")])


@pytest.mark.parametrize("nail_id", ["smooth-%D9%A3x0.120", "smooth-3x0.12%D9%A0", "smooth-3x0.120%0A"])
def test_id_of_a_size_has_plain_digits(client: FlaskClient, nail_id: str) -> None:
    answer = client.get(f"/v1/nails/{nail_id}")
    assert (answer.status_code, answer.json["code"]) == (404, "unknown_id")


@pytest.mark.parametrize("agent", ["a\x85b", "a\xa0b", "a\x9bb"])
def test_no_name_of_a_client_ends_a_line_of_the_log(capfd: pytest.CaptureFixture[str], agent: str) -> None:
    """U+0085 is the end of a line to Unicode (UAX 14, class NL) and to many readers of logs."""
    create_app(Settings()).test_client().get("/v1/nails/x", headers={"User-Agent": agent})
    (line,) = capfd.readouterr().out.splitlines()
    assert json.loads(line)["user_agent"].startswith("a\\x")
