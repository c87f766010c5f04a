"""Keys: who needs one, who is refused and how, what the file may hold, and that no key is ever written anywhere."""

import hashlib
import io
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import SettingError, Settings
from service.web.keys import read_keys
from service.web.registry import OPERATIONS

ROOT = Path(__file__).parents[2]
FIRST, SECOND = "first-key-of-the-test", "second-key-of-the-test"
ASKED = "/v1/requirements?connection_id=stud-to-plate-end-nail&nail_id=16d-common"
OPEN = ["/", "/page.css", "/page.js", "/livez", "/readyz", "/version", "/v1/openapi.json", "/v1/problems", "/v1/problems/missing-api-key"]


def line(name: str, key: str) -> str:
    return f"{name} {hashlib.sha256(key.encode()).hexdigest()}\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "keys"
    path.write_text(f"# two keys\n\n{line('old', FIRST)}{line('new', SECOND).upper().replace('NEW', 'new')}")
    return path


@pytest.fixture
def locked(file: Path) -> FlaskClient:
    return create_app(Settings(api_keys_file=str(file), log_level="error")).test_client()


def refused(answer: Any, code: str) -> None:
    assert (answer.status_code, answer.content_type, answer.json["code"]) == (401, "application/problem+json", code)
    # RFC 9110 section 11.6.1: a 401 carries a challenge, a scheme with its parameters
    assert re.fullmatch(r'[A-Za-z]+ [a-z]+="[^"]*"', answer.headers["WWW-Authenticate"])
    assert answer.headers["Cache-Control"] == "no-store"
    assert "ETag" not in answer.headers
    assert answer.headers["Access-Control-Allow-Origin"] == "*"


@pytest.mark.parametrize("key", [FIRST, SECOND])
def test_each_key_of_the_file_opens(locked: FlaskClient, key: str) -> None:
    assert locked.get(ASKED, headers={"X-API-Key": key}).status_code == 200


@pytest.mark.parametrize(
    ("headers", "code"),
    [
        ({}, "missing_api_key"),
        ({"X-API-Key": ""}, "missing_api_key"),
        ({"Authorization": f"Bearer {FIRST}"}, "missing_api_key"),
        ({"X-API-Key": FIRST + "x"}, "invalid_api_key"),
        ({"X-API-Key": FIRST[:-1]}, "invalid_api_key"),
        ({"X-API-Key": FIRST.upper()}, "invalid_api_key"),
        ({"X-API-Key": hashlib.sha256(FIRST.encode()).hexdigest()}, "invalid_api_key"),
        ({"X-API-Key": "clé"}, "invalid_api_key"),
        ({"X-API-Key": "x" * 8000}, "invalid_api_key"),
    ],
)
def test_no_other_key_opens(locked: FlaskClient, headers: dict[str, str], code: str) -> None:
    refused(locked.get(ASKED, headers=headers), code)
    answer = locked.get(ASKED, headers=headers).get_data(as_text=True)
    assert not [v for v in headers.values() if v and v in answer]


KEPT = [o for o in OPERATIONS if not o.path.startswith("/v1/problems")]


@pytest.mark.parametrize("o", KEPT, ids=lambda o: o.operation_id)
def test_every_address_under_v1_needs_a_key(locked: FlaskClient, o: Any) -> None:
    path = re.sub(r"\{\w+\}", "x", o.path)
    for asked in (path, path.replace("/v1/", "/%76%31/"), f"{path}?format=json"):
        refused(locked.open(asked, method=o.method), "missing_api_key")
    refused(locked.open(method=o.method, environ_overrides={"PATH_INFO": f"/{path}"}), "missing_api_key")  # matched as one slash


@pytest.mark.parametrize("path", ["/v1/nowhere", "/v1/", "/v1/openapi.json/", "/v1/openapi.json%2f", "/v1/openapi.jsonx"])
def test_what_is_not_there_needs_a_key_too(locked: FlaskClient, path: str) -> None:
    refused(locked.get(path), "missing_api_key")


@pytest.mark.parametrize("path", OPEN)
def test_operations_page_and_contract_need_none(locked: FlaskClient, path: str) -> None:
    assert locked.get(path).status_code == 200
    assert locked.head(path).status_code == 200


def test_a_preflight_needs_none_and_allows_the_header(locked: FlaskClient) -> None:
    """Fetch standard: a preflight carries no header of the request it asks for."""
    answer = locked.options("/v1/wall-plans", headers={"Origin": "https://a.example", "Access-Control-Request-Headers": "x-api-key"})
    assert answer.status_code == 204
    assert "x-api-key" in answer.headers["Access-Control-Allow-Headers"].lower().split(", ")


def test_the_body_is_not_read_without_a_key(locked: FlaskClient) -> None:
    class Unread(io.BytesIO):
        def read(self, *_: Any) -> bytes:
            raise AssertionError("it was read")

    more: Any = {"input_stream": Unread(b"x" * 10), "content_type": "application/json"}
    refused(locked.post("/v1/wall-plans", **more), "missing_api_key")
    with_key = locked.post("/v1/wall-plans", headers={"X-API-Key": FIRST}, **more)
    assert with_key.status_code == 500, "with a key it is read, so that the test would see it"


def test_a_kept_answer_is_not_given_without_a_key(locked: FlaskClient) -> None:
    """Nor is it said that a tag still fits."""
    given = locked.get(ASKED, headers={"X-API-Key": FIRST})
    assert locked.get(ASKED, headers={"X-API-Key": FIRST}).data == given.data
    refused(locked.get(ASKED), "missing_api_key")
    refused(locked.get(ASKED, headers={"If-None-Match": given.headers["ETag"]}), "missing_api_key")
    assert locked.head(ASKED).status_code == 401


@pytest.mark.parametrize("path", [ASKED, "/v1/nails", "/v1/limits"])
def test_answers_with_a_key_are_for_no_store_of_others(locked: FlaskClient, client: FlaskClient, path: str) -> None:
    """RFC 9111 section 5.2.2.7: private keeps an answer out of shared caches."""
    with_key, without = locked.get(path, headers={"X-API-Key": FIRST}), client.get(path)
    assert (with_key.data, with_key.headers["ETag"]) == (without.data, without.headers["ETag"])
    age = without.headers["Cache-Control"].removeprefix("public, ")
    assert with_key.headers["Cache-Control"] == f"private, {age}"
    assert locked.get(path, headers={"X-API-Key": FIRST, "If-None-Match": without.headers["ETag"]}).status_code == 304


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "holds no key"),
        ("# a remark\n", "holds no key"),
        (f"{line('a', FIRST)}{FIRST}\n", "line 2 is not a name"),
        (f"\n{FIRST} abc\n", "line 2 is not a name"),
        (f"a {'0' * 63}\n", "line 1 is not a name"),
        (f"a {'g' * 64}\n", "line 1 is not a name"),
        (f"a {'0' * 64} more\n", "line 1 is not a name"),
        (f"two words {'0' * 64}\n", "line 1 is not a name"),
        (f"{line('a', FIRST)}{line('a', SECOND)}", "line 2 has the name"),
    ],
)
def test_a_bad_line_is_named_by_its_number_and_never_shown(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "keys"
    file.write_text(text)
    with pytest.raises(SettingError, match=said) as told:
        read_keys(str(file))
    assert not [word for word in text.split() if len(word) > 5 and word in str(told.value)]


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    with pytest.raises(SettingError, match="APP_API_KEYS_FILE=.*nowhere: No such file"):
        read_keys(str(tmp_path / "nowhere"))
    (tmp_path / "binary").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SettingError, match="UTF-8"):
        read_keys(str(tmp_path / "binary"))


def test_a_bad_file_stops_the_start_with_one_line(environment: Any, free_port: Any, tmp_path: Path) -> None:
    (tmp_path / "keys").write_text(FIRST)
    env = environment(listen=f"127.0.0.1:{free_port()}", api_keys_file=str(tmp_path / "keys"))
    done = subprocess.run([sys.executable, "-m", "service"], cwd=ROOT, env=env, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout, len(done.stderr.splitlines())) == (2, "", 1)
    assert done.stderr.startswith("cannot start: APP_API_KEYS_FILE=") and FIRST not in done.stderr


def test_no_key_is_in_the_log_of_a_service(serving: Any, file: Path) -> None:
    with serving(api_keys_file=str(file), log_level="debug") as service:

        def asked(key: str, more: str = "") -> int:
            head = f"GET /v1/limits HTTP/1.1\r\nHost: x\r\nX-Request-ID: r-1{more}\r\nX-API-Key: {key}\r\n\r\n"
            found: int = service.ask(head.encode()).status
            return found

        assert [asked(FIRST), asked("wrong-key-of-the-test"), asked(FIRST, "\r\nBad header: x")] == [200, 401, 400]
        # a header that stands twice is no key (RFC 9110 section 5.3 joins its values)
        assert asked(FIRST, f"\r\nX-API-Key: {SECOND}") == 401
        said = service.out.read_text() + service.err.read_text()
        assert "missing_api_key" not in said and "invalid_api_key" in said
        assert not [word for word in (FIRST, SECOND, "wrong-key") if word in said]


def test_the_log_names_the_key_that_opened(file: Path, capfd: pytest.CaptureFixture[str]) -> None:
    client = create_app(Settings(api_keys_file=str(file))).test_client()
    for key in (FIRST, SECOND, FIRST + "x"):
        client.get(ASKED, headers={"X-API-Key": key})
    names = [json.loads(line)["key_name"] for line in capfd.readouterr().out.splitlines()]
    assert (len(set(names)), names[2]) == (3, None)
    assert all(f"{name} " in file.read_text(encoding="utf-8") for name in names[:2])


def test_the_readme_makes_a_key_that_opens(tmp_path: Path) -> None:
    (command,) = re.findall(r'^    python3 -c "(import hashlib, secrets; .*)"$', (ROOT / "README.md").read_text(encoding="utf-8"), re.M)
    made = subprocess.run([sys.executable, "-c", command], capture_output=True, text=True, check=True).stdout
    key, kept = made.splitlines()
    (tmp_path / "keys").write_text(kept)
    client = create_app(Settings(api_keys_file=str(tmp_path / "keys"), log_level="error")).test_client()
    assert client.get(ASKED, headers={"X-API-Key": key}).status_code == 200
    refused(client.get(ASKED, headers={"X-API-Key": key[1:]}), "invalid_api_key")


@pytest.mark.parametrize("needed", [False, True])
def test_the_contract_says_whether_a_key_is_needed(locked: FlaskClient, client: FlaskClient, needed: bool) -> None:
    document = (locked if needed else client).get("/v1/openapi.json").json
    scheme = {k: v for k, v in document["components"]["securitySchemes"]["ApiKey"].items() if k != "description"}
    assert scheme == {"type": "apiKey", "in": "header", "name": "X-API-Key"}
    assert document["security"] == ([{"ApiKey": []}] if needed else [{}, {"ApiKey": []}])
    for path, methods in document["paths"].items():
        for operation in methods.values():
            assert operation.get("security") == ([] if path in (*OPEN, "/v1/problems/{slug}") else None), path
            assert {"401", "422", "429", "500", "503"} <= operation["responses"].keys(), path


def test_the_proxy_passes_the_key_on_and_logs_none() -> None:
    """nginx passes on every header of a request that proxy_set_header does not name; its log names variables."""
    conf = (ROOT / "docker/nginx.conf").read_text(encoding="utf-8")
    assert {name.lower() for name in re.findall(r"proxy_set_header (\S+)", conf)} == {"host", "x-request-id"}
    assert "api_key" not in conf.lower()
    (lines,) = re.findall(r"log_format lines(.*?);", conf, re.S)
    assert not {"$http_x_api_key", "$request_body", "$request", "$request_uri", "$args"} & set(re.findall(r"\$\w+", lines))
