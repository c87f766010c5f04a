"""Calls the app as a server would, without a socket, and holds every answer against what any caller may expect of it."""

import csv
import io
import json
import re
import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any
from urllib.parse import unquote, unquote_to_bytes
from xml.etree import ElementTree

from flask import Flask

from service.errors import FAULT_CODES
from service.web.problems import PROBLEMS, SHOWN

FORMS = {"application/json", "application/problem+json", "text/csv; charset=utf-8; header=present", "image/svg+xml", "application/pdf"}
PAGES = {"/", "/page.css", "/page.js"}
STANDING = {"x-request-id", "access-control-allow-origin", "api-version", "x-content-type-options", "referrer-policy", "vary"}
INSIDE = re.compile(rb"Traceback|site-packages|\.py\b|werkzeug|marshmallow|gunicorn|orjson|<html|<!doctype", re.IGNORECASE)
"""What no refusal may say: where the code is, what it is made of, or anything in HTML."""
PLACES = ("pointer", "parameter", "header")
RUNS = ("=", "+", "-", "@", "\t", "\r")
"""A cell of a sheet that begins so is run as a formula, where it is no number."""
SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Sent:
    """One request; the path is as it stands in the request line, percent-encoded."""

    method: str
    path: str
    query: bytes = b""
    body: bytes | None = None
    headers: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        body = "" if self.body is None else f" {self.body[:3000]!r}"
        return f"{self.method} {self.path}?{self.query[:500].decode('latin1')} {self.headers or ''}{body}"


@dataclass(frozen=True)
class Got:
    status: int
    headers: list[tuple[str, str]]
    body: bytes
    cpu: float = 0.0

    def __getitem__(self, name: str) -> str:
        """Return the one value of a header, empty where it is absent."""
        found = [v for k, v in self.headers if k.lower() == name]
        assert len(found) <= 1, f"{name} stands twice"
        return found[0] if found else ""

    @property
    def problem(self) -> dict[str, Any]:
        assert self["content-type"] == "application/problem+json", self["content-type"]
        found: dict[str, Any] = json.loads(self.body)
        return found

    @property
    def code(self) -> str:
        """The code of the problem, empty for an answer."""
        return str(self.problem["code"]) if self["content-type"] == "application/problem+json" else ""

    @property
    def places(self) -> list[tuple[str, str]]:
        """Where a refusal points, each with the code of the fault."""
        return [(next(e[p] for p in PLACES if p in e), e["code"]) for e in self.problem.get("errors", [])]


def ask(app: Flask, sent: Sent) -> Got:
    """Send a request to the app; `cpu` is the processor time of the whole call in seconds."""
    body = io.BytesIO(sent.body or b"")
    environ: dict[str, Any] = {
        "REQUEST_METHOD": sent.method,
        "SCRIPT_NAME": "",
        "PATH_INFO": unquote_to_bytes(sent.path).decode("latin1"),
        "QUERY_STRING": sent.query.decode("latin1"),
        "SERVER_NAME": "x",
        "SERVER_PORT": "80",
        "SERVER_PROTOCOL": "HTTP/1.1",
        "wsgi.version": (1, 0),
        "wsgi.url_scheme": "http",
        "wsgi.input": body,
        "wsgi.errors": io.StringIO(),
        "wsgi.multithread": False,
        "wsgi.multiprocess": True,
        "wsgi.run_once": False,
    }
    if sent.body is not None:
        environ |= {"CONTENT_TYPE": "application/json", "CONTENT_LENGTH": str(len(sent.body))}
    for name, value in sent.headers.items():
        key = name.upper().replace("-", "_")
        environ[key if key in ("CONTENT_TYPE", "CONTENT_LENGTH") else f"HTTP_{key}"] = value
    told: list[Any] = []
    began = time.process_time()
    answer: Iterable[bytes] = app(environ, lambda status, headers, exc_info=None: told.extend((status, headers)))
    whole = b"".join(answer)
    cpu = time.process_time() - began
    if hasattr(answer, "close"):
        answer.close()
    return Got(int(told[0][:3]), told[1], whole, cpu)


def check(sent: Sent, got: Got) -> None:
    """Fail where an answer is not what any caller may expect, whatever was sent."""
    assert got.status < 500, f"{got.status}: {got.body[:300]!r}"
    names = [k.lower() for k, _ in got.headers]
    assert len(set(names)) == len(names), f"a header stands twice: {names}"
    assert set(names) >= STANDING, f"absent: {STANDING - set(names)}"
    assert all(v.isprintable() for _, v in got.headers), "a header holds a control character"
    kind = got["content-type"]
    if got.status in (204, 304):
        assert not got.body
    elif got.status >= 400:
        check_problem(sent, got)
    elif sent.path not in PAGES and sent.method != "HEAD":
        assert kind in FORMS, kind
        READ[kind.partition(";")[0]](sent, got.body)


def check_problem(sent: Sent, got: Got) -> None:
    """Fail where a refusal is no problem document, gives something of the inside away, or names no place or a wrong one."""
    assert got["content-type"] == "application/problem+json", got["content-type"]
    if sent.method == "HEAD":
        return
    body = got.problem
    assert body["status"] == got.status == PROBLEMS[body["code"]].status
    assert body["request_id"] == got["x-request-id"]
    assert not INSIDE.search(got.body), got.body[:300]
    assert len(got.body) < 100_000, "a refusal is long"
    check_errors(sent, body)


def check_errors(sent: Sent, problem: dict[str, Any]) -> None:
    """Fail where a fault has no code of the catalogue, or not exactly one place, or a place that is not in what was sent."""
    for error in problem.get("errors", []):
        assert error["code"] in FAULT_CODES, error
        places = [p for p in PLACES if p in error]
        assert len(places) == 1, error
        if places == ["pointer"]:
            assert _resolves(_said(sent.body), error["pointer"]), error
        if "received" in error and isinstance(error["received"], str):
            assert len(error["received"]) <= SHOWN and error["received"].isprintable(), error


@lru_cache(maxsize=1)
def _said(body: bytes | None) -> Any:
    assert body is not None, "a pointer into no body"
    return json.loads(body.removeprefix(b"\xef\xbb\xbf"))


def _resolves(body: Any, pointer: str) -> bool:
    """Whether a JSON Pointer (RFC 6901, as a URI fragment) names something in a body, or a member that an object there has not.

    A part is cut to 64 characters, so that a long name may be told by its beginning.
    """
    assert pointer.startswith("#")
    parts = [unquote(p).replace("~1", "/").replace("~0", "~") for p in pointer[1:].split("/")[1:]]
    for n, part in enumerate(parts):
        if isinstance(body, dict):
            found = next((k for k in body if k == part or len(part) == SHOWN and k.startswith(part)), None)
            if found is None:
                return n == len(parts) - 1
            body = body[found]
        elif isinstance(body, list) and part.isdigit() and int(part) < len(body):
            body = body[int(part)]
        else:
            return False
    return True


def _read_json(sent: Sent, raw: bytes) -> None:
    """Look at an answer; the refused items of a batch or a take-off are problems too."""

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} in an answer")

    body = json.loads(raw, parse_constant=refuse)
    assert isinstance(body, dict)
    result = body.get("result")
    lists = [body.get("results"), *([result.get("walls"), result.get("joints")] if isinstance(result, dict) else [])]
    for entry in (e for found in lists if isinstance(found, list) for e in found if isinstance(e, dict) and "problem" in e):
        assert entry["status"] == entry["problem"]["status"] == 422
        assert entry["problem"]["errors"], entry
        check_errors(sent, entry["problem"])


def _read_csv(sent: Sent, raw: bytes) -> None:
    rows = list(csv.reader(io.StringIO(raw.decode("utf-8"), newline="")))
    assert rows and all(len(row) == len(rows[0]) for row in rows)
    assert len(raw.split(b"\r\n")) == len(rows) + 1, "a cell holds the end of a line"
    for cell in (c for row in rows for c in row if c.startswith(RUNS)):
        assert re.fullmatch(r"-?\d+(\.\d+)?", cell), f"a spreadsheet runs {cell!r}"


def _read_svg(sent: Sent, raw: bytes) -> None:
    """Look for what runs or loads in a picture."""
    assert b"<!" not in raw
    for shape in ElementTree.fromstring(raw).iter():
        assert shape.tag.startswith(SVG), shape.tag
        assert shape.tag.removeprefix(SVG) not in ("script", "foreignObject", "image", "use", "a", "animate", "set"), shape.tag
        assert not [k for k in shape.attrib if k.lower().startswith("on") or "href" in k], shape.attrib


def _read_pdf(sent: Sent, raw: bytes) -> None:
    assert raw.startswith(b"%PDF-") and raw.rstrip().endswith(b"%%EOF")
    objects = re.sub(rb"stream\r?\n.*?endstream", b"", raw, flags=re.DOTALL)  # packed pages hold any bytes, by chance /AA too
    assert not re.search(rb"/(JavaScript|JS|Launch|URI|OpenAction|AA|EmbeddedFile)\b", objects)


READ = {"application/json": _read_json, "text/csv": _read_csv, "image/svg+xml": _read_svg, "application/pdf": _read_pdf}
