"""Settings: read once, refused when unknown or bad, with one clear line."""

import dataclasses
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from service.settings import SettingError, Settings, read_settings


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("APP_FOO", "1"),
        ("APP_listen", "127.0.0.1:80"),
        ("APP_MAX_ITEMS", "0"),
        ("APP_MAX_ITEMS", "100001"),
        ("APP_MAX_ITEMS", "many"),
        ("APP_MAX_ITEMS", "-3"),
        ("APP_MAX_ITEMS", ""),
        ("APP_MAX_BODY_BYTES", "1023"),
        ("APP_MAX_POSITION_WALLS", "1.5"),
        ("APP_BACKLOG", "65536"),
        ("APP_WORKERS", "257"),
        ("APP_LISTEN", "nonsense"),
        ("APP_LISTEN", ":8080"),
        ("APP_LISTEN", "127.0.0.1"),
        ("APP_LISTEN", "127.0.0.1:99999"),
        ("APP_LOG_LEVEL", "loud"),
        ("APP_LOG_LEVEL", "info\n"),
        ("APP_CORS_ORIGINS", "example.org"),
        ("APP_CLIENT_TIMEOUT_S", "0"),
        ("APP_CLIENT_TIMEOUT_S", "301"),
        ("APP_REQUEST_TIMEOUT_S", "0"),
        ("APP_REQUEST_TIMEOUT_S", "2.5"),
        ("APP_API_KEYS_FILE", ""),
        ("APP_PUBLIC_URL", "nails.example"),
        ("APP_PUBLIC_URL", "ftp://nails.example"),
        ("APP_PUBLIC_URL", "https://nails.example/"),
        ("APP_PUBLIC_URL", "https://nails.example/a/"),
        ("APP_PUBLIC_URL", "https://nails.example/a//b"),
        ("APP_PUBLIC_URL", "https://nails.example?a=1"),
        ("APP_PUBLIC_URL", "https://nails.example#a"),
        ("APP_PUBLIC_URL", "https://user@nails.example"),
        ("APP_PUBLIC_URL", "https://nails.example\n"),
    ],
)
def test_bad_setting_is_named(name: str, value: str) -> None:
    with pytest.raises(SettingError, match=name):
        read_settings({name: value})


@pytest.mark.parametrize(
    ("name", "value", "field", "read"),
    [
        ("APP_MAX_ITEMS", "3", "max_items", 3),
        ("APP_WORKERS", "256", "workers", 256),
        ("APP_LISTEN", "[::1]:9000", "listen", "[::1]:9000"),
        ("APP_LISTEN", "0.0.0.0:65535", "listen", "0.0.0.0:65535"),
        ("APP_CORS_ORIGINS", "https://a.example, http://b.example:81", "cors_origins", "https://a.example, http://b.example:81"),
        ("APP_CLIENT_TIMEOUT_S", "300", "client_timeout_s", 300),
        ("APP_REQUEST_TIMEOUT_S", "1", "request_timeout_s", 1),
        ("APP_PUBLIC_URL", "", "public_url", ""),
        ("APP_PUBLIC_URL", "https://nails.example", "public_url", "https://nails.example"),
        ("APP_PUBLIC_URL", "http://[::1]:8080/wood/nails", "public_url", "http://[::1]:8080/wood/nails"),
    ],
)
def test_good_setting_is_taken(name: str, value: str, field: str, read: object) -> None:
    assert getattr(read_settings({name: value}), field) == read


def test_other_variables_are_left_alone() -> None:
    assert read_settings({"PATH": "/bin", "APPLE": "1"}) == Settings()


def test_the_readme_tells_every_setting_and_its_default() -> None:
    readme = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `(APP_[A-Z_]+)` \| ([^|]*?) ?\|", readme, re.M))
    own = {f"APP_{f.name.upper()}": f.default for f in dataclasses.fields(Settings)}
    assert rows == {name: "cores + 1" if name == "APP_WORKERS" else _told(default) for name, default in own.items()}


def _told(default: object) -> str:
    return str(default) if isinstance(default, int) else f"`{default}`" if default else ""


@pytest.mark.parametrize(("name", "value"), [("APP_FOO", "1"), ("APP_MAX_ITEMS", "none"), ("APP_LISTEN", "127.0.0.1:99999")])
def test_start_stops_with_one_line(name: str, value: str) -> None:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("APP_")}
    done = subprocess.run(
        [sys.executable, "-m", "service"],
        cwd=Path(__file__).parents[1],
        env={**kept, name: value},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    lines = done.stderr.splitlines()
    assert (done.returncode, len(lines), done.stdout) == (2, 1, "")
    assert name in lines[0]
