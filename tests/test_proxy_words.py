"""What the proxy's configuration repeats of the service: problems, headers, limits."""

import json
import re
from pathlib import Path

import pytest
import yaml

from service.settings import Settings
from service.web.headers import ALWAYS, EXPOSED
from service.web.problems import MEDIA_TYPE, PROBLEMS, RETRY_AFTER_S

ROOT = Path(__file__).parents[1]
CONF = (ROOT / "docker/nginx.conf").read_text(encoding="utf-8")


def lines(variable: str) -> dict[str, str]:
    """Return the lines of one map, without quotes around values."""
    block = re.search(rf"map \$\w+ \${variable} {{\n(.*?)\n    }}", CONF, re.S)
    assert block
    found = re.findall(r"^\s+(\S+)\s+(.*);$", block[1], re.M)
    return {key: unquoted(value) for key, value in found if key != "default"}


def unquoted(value: str) -> str:
    return re.sub(r"^(['\"])(.*)\1$", r"\2", value)


@pytest.mark.parametrize("address", lines("about"))
def test_a_problem_of_the_proxy_has_the_words_of_the_service(address: str) -> None:
    about = json.loads("{" + lines("about")[address] + "}")
    ours = PROBLEMS[about["code"]]
    assert (about["status"], about["title"], lines("slug")[address]) == (ours.status, ours.title, ours.slug)
    assert list(about) == ["title", "status", "code", "detail"]
    own_words = {"body_too_large": f"the body may have {Settings().max_body_bytes} bytes"}
    assert about["detail"] == own_words.get(about["code"], ours.about)


def test_every_page_of_an_error_has_its_problem() -> None:
    pages = set(re.findall(r"error_page [\d ]+(?:=\d+ )?(/\S+);", CONF))
    assert pages == set(lines("about")) == set(lines("slug"))
    assert set(lines("retry_after").values()) == {RETRY_AFTER_S}


def test_the_proxy_adds_the_standing_headers_of_the_service() -> None:
    added = re.findall(r"add_header (\S+) (.*) always;", CONF)
    assert len({name for name, _ in added}) == len(added)
    told = {name: unquoted(value) for name, value in added}
    assert [(name, told[name]) for name, _ in ALWAYS] == ALWAYS
    assert told["Link"] == '<$public_url/v1/openapi.json>; rel="service-desc"'
    assert f'default "{EXPOSED[1]}";' in CONF
    assert f"default_type {MEDIA_TYPE};" in CONF


def test_the_proxy_takes_bodies_as_large_as_the_service_does() -> None:
    assert f"client_max_body_size {Settings().max_body_bytes};" in CONF
    assert f'"limit":{Settings().max_body_bytes},' in lines("more")["/-/413"]


def test_the_service_gives_up_a_request_before_the_proxy_and_the_proxy_in_time_to_ask_another() -> None:
    patience, last = (int(re.findall(rf"proxy_{name}_timeout (\d+)s;", CONF)[0]) for name in ("read", "next_upstream"))
    compose = yaml.safe_load((ROOT / "docker/compose.yaml").read_text(encoding="utf-8"))
    assert int(compose["x-service"]["environment"]["APP_REQUEST_TIMEOUT_S"]) < patience < last
