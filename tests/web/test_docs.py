"""The documentation page: what its files are sent with, and that nothing in ours comes from elsewhere."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service import API_VERSION
from service.app import create_app
from service.settings import Settings
from service.web.front import DOCS_FILES, DOCS_FOLDER, VIEWER, VIEWER_FILES

ROOT = Path(__file__).parents[2]
POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self' 'unsafe-inline'",
    "img-src": "'self' data:",
    "connect-src": "'self'",
    "base-uri": "'none'",
    "form-action": "'none'",
    "frame-ancestors": "'none'",
}
ALL = DOCS_FILES | VIEWER_FILES
PATHS = [pytest.param(path, media, id=name) for path, (name, media) in ALL.items()]
OURS = [name for name, _ in DOCS_FILES.values()]


def text(name: str) -> str:
    return DOCS_FOLDER.joinpath(name).read_text(encoding="utf-8")


def loaded() -> list[str]:
    return [path for path in re.findall(r'(?:src|href)="([^"#]+)"', text("index.html")) if not path.startswith("data:")]


@pytest.mark.parametrize(("path", "media"), PATHS)
def test_each_file_is_sent_with_its_type_and_one_strict_policy(client: FlaskClient, path: str, media: str) -> None:
    answer = client.get(path)
    assert (answer.status_code, answer.content_type) == (200, media)
    (policy,) = answer.headers.getlist("Content-Security-Policy")
    assert dict(part.split(" ", 1) for part in policy.split("; ")) == POLICY
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "no-referrer"


@pytest.mark.parametrize(("path", "media"), PATHS)
def test_a_browser_asks_again_by_tag(client: FlaskClient, path: str, media: str) -> None:
    first = client.get(path)
    assert first.headers["Cache-Control"] == "public, no-cache"
    again = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["Content-Security-Policy"] == first.headers["Content-Security-Policy"]


@pytest.mark.parametrize("path", VIEWER_FILES)
def test_the_viewer_is_sent_as_its_package_has_it(client: FlaskClient, path: str) -> None:
    assert client.get(path).data == (VIEWER / VIEWER_FILES[path][0]).read_bytes()


@pytest.mark.parametrize(
    "path", ["/docs/", "/docs/index.html", "/docs/swagger-ui.js", "/docs/../docs.js", "/docs/oauth2-redirect.html", "/docs//docs.js"]
)
def test_nothing_else_is_there(client: FlaskClient, path: str) -> None:
    answer = client.get(path)
    assert (answer.status_code, answer.content_type) == (404, "application/problem+json")


@pytest.mark.parametrize("path", ALL)
def test_nothing_is_posted_to_the_page(client: FlaskClient, path: str) -> None:
    answer = client.post(path)
    assert (answer.status_code, answer.headers["Allow"]) == (405, "GET, HEAD, OPTIONS")


def test_the_notice_and_the_version_stand_on_the_page_itself(client: FlaskClient) -> None:
    page = " ".join(client.get("/docs").text.split())
    assert "No design and no approval." in page
    assert "The adopted local code and the building official govern" in page
    assert f"Version {API_VERSION}" in page
    assert "{{" not in page


@pytest.mark.parametrize("name", OURS)
def test_no_file_of_ours_names_another_origin(name: str) -> None:
    assert not re.search(r"""(?:https?:)?//[a-z0-9]""", re.sub(r"^\s*//.*$|\s// .*$", "", text(name), flags=re.M))


def test_what_the_page_loads_is_there_and_relative_so_that_a_prefix_of_the_address_stays(client: FlaskClient) -> None:
    assert set(loaded()) == {path.lstrip("/") for path in ALL if path not in ("/docs", "/docs/lines.js")} | {"v1/openapi.json", "./"}
    assert {path: client.get("/" + path.removeprefix("./")).status_code for path in loaded()} == dict.fromkeys(loaded(), 200)
    assert re.findall(r'from "([^"]+)"', text("docs.js")) == ["./lines.js"]
    assert re.findall(r'fetch\("([^"]+)"\)', text("docs.js")) == ["v1/openapi.json"]


def test_our_files_need_no_exception_from_the_policy() -> None:
    page = text("index.html")
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=", page)
    assert set(re.findall(r"<script[^>]*>(.*?)</script>", page, re.S)) == {""}
    scripts = text("docs.js") + text("lines.js")
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|\.style\b", scripts)


def test_nobody_is_asked_to_judge_the_contract_and_no_name_but_ours_stands_above_it() -> None:
    assert re.search(r"\bvalidatorUrl: null,", text("docs.js"))
    assert re.search(r'\blayout: "BaseLayout",', text("docs.js"))  # the other layout has a bar with a name of its own


def test_an_installed_wheel_has_the_page() -> None:
    data = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["package-data"]
    found = {p for pattern in data["service.web"] for p in (ROOT / "service" / "web").glob(pattern)}
    assert {p.name for p in found if p.parent.name == "docs"} == set(OURS)


def test_the_code_of_the_package_is_not_run() -> None:
    look = "import sys, service.web.front; sys.exit('flask_swagger_ui' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", look], cwd=ROOT).returncode == 0


def test_the_page_is_no_part_of_the_contract_as_the_quote_page_is_none(client: FlaskClient) -> None:
    assert not {"/", *ALL} & set(client.get("/v1/openapi.json").json["paths"])


@pytest.mark.parametrize(("public", "url"), [("", "/"), ("https://example.org/nails", "https://example.org/nails")])
def test_the_contract_names_where_callers_reach_the_service(public: str, url: str) -> None:
    document = create_app(Settings(log_level="error", public_url=public)).test_client().get("/v1/openapi.json").json
    assert [server["url"] for server in document["servers"]] == [url]
