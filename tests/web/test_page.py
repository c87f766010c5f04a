"""The quote page: what its files are sent with, and that nothing in them comes from elsewhere."""

import re
import tomllib
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service import API_VERSION
from service.web.front import FILES, FOLDER

ROOT = Path(__file__).parents[2]
POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data: blob:",
    "connect-src": "'self'",
    "base-uri": "'none'",
    "form-action": "'none'",
    "frame-ancestors": "'none'",
}
PATHS = [pytest.param(path, media, id=name) for path, (name, media) in FILES.items()]


def text(name: str) -> str:
    return FOLDER.joinpath(name).read_text(encoding="utf-8")


@pytest.mark.parametrize(("path", "media"), PATHS)
def test_each_file_is_sent_with_its_type_and_one_strict_policy(client: FlaskClient, path: str, media: str) -> None:
    answer = client.get(path)
    assert (answer.status_code, answer.content_type) == (200, media)
    (policy,) = answer.headers.getlist("Content-Security-Policy")
    assert dict(part.split(" ", 1) for part in policy.split("; ")) == POLICY
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "no-referrer"


@pytest.mark.parametrize("path", ["/v1/nails", "/livez", "/nowhere"])
def test_the_answers_of_the_service_keep_their_own_policy(client: FlaskClient, path: str) -> None:
    assert client.get(path).headers.getlist("Content-Security-Policy") == ["default-src 'none'; frame-ancestors 'none'"]


@pytest.mark.parametrize(("path", "media"), PATHS)
def test_a_browser_asks_again_by_tag(client: FlaskClient, path: str, media: str) -> None:
    first = client.get(path)
    assert first.headers["Cache-Control"] == "public, no-cache"
    again = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["Content-Security-Policy"] == first.headers["Content-Security-Policy"]


@pytest.mark.parametrize(("path", "media"), PATHS)
def test_head_is_get_without_content(client: FlaskClient, path: str, media: str) -> None:
    named = {"X-Request-ID": "r-1"}
    head, get = client.head(path, headers=named), client.get(path, headers=named)
    assert (head.status_code, head.data, sorted(head.headers)) == (200, b"", sorted(get.headers))


@pytest.mark.parametrize("path", [path for path in FILES])
def test_nothing_is_posted_to_the_page(client: FlaskClient, path: str) -> None:
    assert client.post(path).status_code == 405


def test_a_link_with_a_query_still_opens_the_page(client: FlaskClient) -> None:
    assert client.get("/?from=letter").status_code == 200


def test_the_notice_and_the_version_stand_on_the_page_itself(client: FlaskClient) -> None:
    page = " ".join(client.get("/").text.split())
    assert "No design and no approval." in page
    assert "The adopted local code and the building official govern" in page
    assert f"Service version {API_VERSION}" in page
    assert "{{" not in page


@pytest.mark.parametrize("name", [name for name, _ in FILES.values()])
def test_no_file_names_another_origin(name: str) -> None:
    found = set(re.findall(r"""(?:https?:)?//[a-z0-9][^\s"'`)]*""", re.sub(r"^\s*//.*$|\s// .*$", "", text(name), flags=re.M)))
    assert found <= {"http://www.w3.org/2000/svg"}  # the name of a vocabulary, which nobody fetches


def test_what_the_page_loads_is_relative_so_that_a_prefix_of_the_address_stays() -> None:
    loaded = re.findall(r'(?:src|href)="([^"#]+)"', text("index.html"))
    assert {"page.css", "page.js", "v1/openapi.json"} <= set(loaded)
    assert not [path for path in loaded if path.startswith("/")]


def test_every_link_of_the_page_leads_somewhere(client: FlaskClient) -> None:
    here = [path for path in re.findall(r'(?:src|href)="([^"#]+)"', text("index.html")) if not path.startswith("data:")]
    assert {path: client.get(f"/{path}").status_code for path in here} == dict.fromkeys(here, 200)


def test_the_page_needs_no_exception_from_its_policy() -> None:
    page = text("index.html")
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=", page)
    assert re.findall(r"<script[^>]*>(.*?)</script>", page, re.S) == [""]
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|\.style\b", text("page.js"))


def test_an_installed_wheel_has_the_page() -> None:
    data = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["package-data"]
    found = {p for pattern in data["service.web"] for p in (ROOT / "service" / "web").glob(pattern)}
    assert {p.name for p in found if p.parent.name == "page"} == {name for name, _ in FILES.values()}


def test_every_control_has_a_label_and_every_name_its_own_control() -> None:
    page = text("index.html").split("<template")[0]
    ids = re.findall(r'<(?:input|select)[^>]* id="([^"]+)"', page)
    assert sorted(ids) == sorted(re.findall(r'<label for="([^"]+)"', page))
    for name in re.findall(r'aria-(?:describedby|labelledby)="([^"]+)"', page):
        assert f'id="{name}"' in page
