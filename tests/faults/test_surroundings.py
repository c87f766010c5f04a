"""A machine that gives little: nowhere to write, full folders, no network."""

import http.client
import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
JSON = {"Content-Type": "application/json"}
QUESTION = b'{"connection_id":"stud-to-plate-end-nail","joint_count":38,"nail_designation":"3 x 0.131"}'
LARGE = QUESTION.ljust(900_000)
NOWHERE = """
mount -t tmpfs -o size=4k full "$TMPDIR" && head -c 8192 /dev/zero >"$TMPDIR/fill" 2>/dev/null
cut -d' ' -f2 /proc/mounts | while read -r at; do mount -o remount,bind,ro "$at" 2>/dev/null; done
for folder in "$TMPDIR" /tmp /var/tmp /dev/shm .; do
    if (echo test >"$folder/written") 2>/dev/null; then echo "$folder can be written" >&2; exit 9; fi
done
exec "$@"
"""
"""Runs a command where every file system is read-only but one folder for temporary files, which is full."""
SMALL = """
mount -t tmpfs -o size=24m,mode=777 small "$1" && head -c 30m /dev/zero >"$1/fill" 2>/dev/null
echo $$ >"$1.pid"
shift
exec setpriv --reuid 65534 --regid 65534 --clear-groups "$@"
"""
"""Runs a command as nobody with a folder of 24 MB, which is full."""

pytestmark = pytest.mark.skipif(
    bool(os.geteuid()) or not all(map(shutil.which, ("unshare", "nsenter", "setpriv", "ip"))),
    reason="NOT CHECKED: needs root, util-linux and iproute2",
)


def test_a_service_that_can_write_nowhere_starts_and_answers(
    ask: Any, alone: Any, tell: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    one = alone(inside=("unshare", "--mount", "sh", "-c", NOWHERE, "sh"))
    assert ask(one.port, "POST", "/v1/requirements", QUESTION, JSON).status == 200
    chunked = b"POST /v1/requirements HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
    with socket.create_connection(("127.0.0.1", one.port), 10) as wire:
        wire.sendall(chunked + b"f0000\r\n" + QUESTION.ljust(0xF0000) + b"\r\n0\r\n\r\n")
        assert wire.recv(12) == b"HTTP/1.1 200"
    one.stop()
    tell("read-only, /tmp full, no /dev/shm", "starts, answers, stops with exit code 0")


def test_a_service_without_a_network_starts_and_answers(tell: Any) -> None:
    script = f"""
import os, signal, subprocess, sys, time, urllib.request
env = {{k: v for k, v in os.environ.items() if not k.startswith("APP_")}}
env |= {{"APP_LISTEN": "127.0.0.1:8080", "APP_WORKERS": "1", "APP_LOG_LEVEL": "error"}}
service = subprocess.Popen([sys.executable, "-m", "service"], env=env, stderr=subprocess.PIPE)
assert service.stderr.readline().startswith(b"serving on ")
question = urllib.request.Request("http://127.0.0.1:8080/v1/requirements", {QUESTION!r}, {JSON!r})
print(urllib.request.urlopen(question, timeout=20).read().decode())
service.terminate()
sys.exit(service.wait(10))
"""
    command = ["unshare", "--net", "sh", "-c", 'ip link set lo up && exec "$@"', "sh", sys.executable, "-c", script]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")
    # 38 studs with 3 nails each by IRC 2021 Table R602.3(1) item 17, as the README says
    assert json.loads(done.stdout)["result"]["nail_count"] == 38 * 3
    tell("no network but loopback", "starts, answers, stops with exit code 0")


@pytest.fixture
def small() -> Iterator[Path]:
    """A folder on which nobody can have a small file system mounted; pytest's own is its user's alone."""
    with tempfile.TemporaryDirectory() as made:
        os.chmod(made, 0o755)
        (folder := Path(made, "small")).mkdir()
        yield folder


def test_a_proxy_with_a_full_folder_refuses_what_needs_it_and_recovers(
    ask: Any, tell: Any, proxy_before: Any, pair: Any, small: Path
) -> None:
    """Bodies over 128 KB, and what of an answer over 1 MB a client has not read, are kept in files."""
    kept = ((f"{name}_temp_path .*?;", f"{name}_temp_path {small}/{name};") for name in ("client_body", "proxy"))
    inside = ("unshare", "--mount", "sh", "-c", SMALL, "sh", str(small))
    with proxy_before((pair[0].port, pair[1].port), *kept, inside=inside) as port:
        refused = ask(port, "POST", "/v1/requirements", LARGE, JSON)
        assert (refused.status, json.loads(refused.body)["code"]) == (500, "internal_error")
        assert ask(port, "POST", "/v1/requirements", QUESTION.ljust(100_000), JSON).status == 200
        assert not read_late(port), "an answer cut off passes for a whole one"
        Path(f"/proc/{Path(f'{small}.pid').read_text().strip()}/root{small}/fill").unlink()
        assert ask(port, "POST", "/v1/requirements", LARGE, JSON).status == 200
        assert read_late(port)
    tell("the proxy's temporary folder full", "500 for bodies over 128 KB, answers over 1 MB cut off; well when it has room")


def read_late(port: int) -> bool:
    """Ask for an answer of 13 MB, read it a second after it came, and return whether it was whole."""
    house = json.loads((ROOT / "openapi/examples/house-south.json").read_text(encoding="utf-8"))
    body = json.dumps({"defaults": house, "items": [{"id": f"w{n}"} for n in range(500)]}).encode()
    wire = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    wire.request("POST", "/v1/wall-plans/batch", body, JSON)
    got = wire.getresponse()
    time.sleep(1)
    try:
        return got.status == 200 and len(json.loads(got.read())["results"]) == 500
    except (http.client.IncompleteRead, ConnectionResetError):
        return False
    finally:
        wire.close()
