"""The image: what it says of itself, and its own look at its health."""

import re
import runpy
import socket
import threading
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
DOCKERFILE = (ROOT / "docker/Dockerfile").read_text(encoding="utf-8")
healthy: Any = runpy.run_path(str(ROOT / "docker/healthy.py"))["healthy"]


def test_the_image_is_labelled_with_the_version_of_the_package() -> None:
    version = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    assert re.findall(r'image\.version="(.*?)"', DOCKERFILE) == [version]
    named = re.findall(r"wall-fastening:(\d\S*)", "".join(f.read_text(encoding="utf-8") for f in sorted((ROOT / "docker").iterdir())))
    assert len(named) >= 2
    assert set(named) == {version}


def test_both_stages_and_the_label_name_one_base() -> None:
    bases = re.findall(r"^FROM (\S+)", DOCKERFILE, re.M) + re.findall(r'base\.name="(.*?)"', DOCKERFILE)
    assert len(bases) == 3
    assert len(set(bases)) == 1
    assert re.search(r":[\d.]+-", bases[0]), "a base needs its version"


def test_every_line_of_the_image_lock_has_its_hash() -> None:
    lock = (ROOT / "docker/requirements.hashes.lock").read_text(encoding="utf-8")
    packages = re.findall(r"^[a-z].*?==.*(?:\n +.*)*", lock, re.M)
    assert len(packages) >= 5
    assert all("--hash=sha256:" in p for p in packages)


def test_a_live_service_is_healthy(live: str) -> None:
    port = live.rpartition(":")[2]
    assert healthy(f"0.0.0.0:{port}")
    assert healthy(f"127.0.0.1:{port}")


@contextmanager
def saying(answer: bytes) -> Iterator[str]:
    with socket.create_server(("127.0.0.1", 0)) as listener:

        def serve() -> None:
            client, _ = listener.accept()
            with client:
                client.recv(1000)
                client.sendall(answer)

        threading.Thread(target=serve, daemon=True).start()
        yield f"127.0.0.1:{listener.getsockname()[1]}"


@pytest.mark.parametrize("answer", [b"HTTP/1.1 503 No\r\nContent-Length: 0\r\n\r\n", b"nonsense\r\n\r\n", b""])
def test_any_other_answer_is_not_healthy(answer: bytes) -> None:
    with saying(answer) as address:
        assert not healthy(address)


def test_no_answer_is_not_healthy() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        assert not healthy(f"127.0.0.1:{free.getsockname()[1]}")
