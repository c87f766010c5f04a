"""Texts of a client in sheets, pictures and pages: none is run, opened, or read as markup."""

import csv
import io
import json
from typing import Any

import pypdf
import pytest
from flask import Flask

from service.web.registry import OPERATIONS
from tests.attack.conftest import Report
from tests.attack.door import Got, Sent, ask, check
from tests.attack.test_corpus import changed

PATHS = {o.operation_id: o.path for o in OPERATIONS}
TAKEOFF = next(o for o in OPERATIONS if o.operation_id == "takeOff")
FREE = [
    "=cmd|'/c calc'!A0", "=HYPERLINK(\"http://x\",\"y\")", "+1+1", "-1+1", "@SUM(1)", "%3D1", "'=1", "\"=1", "=1,\"=2", ";=1", " =1", "\u200b=1", "\uff1d1", "\u202e=1",
    "<script>alert(1)</script>", "]]>", "<!--", "&#x3c;b&#x3e;", "&amp;&lt;", "<svg onload=alert(1)>", "{{7*7}}", "%s%n", "$(id)", "`id`", "..\\..\\x", "a" * 64, "\u202e\u2066x\u2069",
    "e\u0301" * 20, "\U0001f528" * 20, "\u5899", "a\u2028=1", "a\u0085=1",
]  # fmt: skip
LINES = ["a\r\n=1", "a\n=1", "\t=1", "\r=1", "a\0b"]
IDS = ["-1-1", "-a", ".", "..", "_", "-", "a" * 64, "1e5", "-1e5", "0x1F", "1.2.3", "TRUE"]
DRAWN = ["-a", "..", "_", "1e5", "TRUE"]


def sent(operation_id: str, changes: dict[str, Any], query: str = "") -> Sent:
    return Sent("POST", PATHS[operation_id], query.encode(), changed({"of": operation_id, "set": changes}))


def answer(app: Flask, report: Report, asked: Sent) -> Got:
    got = ask(app, asked)
    report.note(got, f"text to {asked.path}")
    check(asked, got)
    return got


def cells(got: Got, column: str) -> set[str]:
    return {row[column] for row in csv.DictReader(io.StringIO(got.body.decode(), newline=""))}


@pytest.mark.parametrize("text", FREE)
def test_a_label_is_a_plain_cell_in_every_sheet_of_a_takeoff(app: Flask, report: Report, text: str) -> None:
    """A cell that a spreadsheet would run begins with an apostrophe, and any other is the text as it came."""
    shown = False
    for table in TAKEOFF.tables:
        got = answer(app, report, sent("takeOff", {"walls/0/label": text, "walls/0/level": text}, f"format=csv&table={table}"))
        assert got.status == 200, got.body[:300]
        if b"wall_label" in got.body or b"label" in got.body.split(b"\r\n")[0]:
            column = next(c for c in got.body.split(b"\r\n")[0].decode().split(",") if c.endswith("label"))
            found = cells(got, column)
            shown = shown or (f"'{text}" if text.startswith(("=", "+", "-", "@")) else text) in found
    assert shown


@pytest.mark.parametrize("text", LINES)
def test_a_label_is_one_line(app: Flask, report: Report, text: str) -> None:
    got = answer(app, report, sent("takeOff", {"walls/0/label": text}))
    assert [e["pointer"] for e in json.loads(got.body)["result"]["walls"][0]["problem"]["errors"]] == ["#/walls/0/label"]


@pytest.mark.parametrize("name", IDS)
@pytest.mark.parametrize(
    ("operation_id", "place"),
    [("takeOff", "walls/0/id"), ("planWalls", "items/0/id"), ("askRequirements", "items/0/id"), ("computeNailStrengths", "items/0/id")],
)
def test_an_id_is_a_plain_cell(app: Flask, report: Report, name: str, operation_id: str, place: str) -> None:
    assert answer(app, report, sent(operation_id, {place: name}, "format=csv")).status == 200


@pytest.mark.parametrize("form", ["svg", "pdf"])
@pytest.mark.parametrize("name", DRAWN)
def test_an_id_in_a_picture_is_text(app: Flask, report: Report, name: str, form: str) -> None:
    got = answer(app, report, sent("planWall", {"wall/id": name, "wall/openings/0/id": name}, f"format={form}"))
    assert got.status == 200
    if form == "pdf":
        read = pypdf.PdfReader(io.BytesIO(got.body), strict=True)
        assert all(page.extract_text() for page in read.pages)
        assert set(read.trailer["/Root"]) <= {
            "/Type",
            "/Pages",
            "/Lang",
            "/MarkInfo",
            "/ViewerPreferences",
            "/StructTreeRoot",
            "/Metadata",
            "/Names",
        }


@pytest.mark.parametrize(
    "text",
    ["<b>16d common</b>", "16d common]]>", "16d (common)", "16d common\\", "\u202e16d common", "16d\u200b common", "16d common & 8d"],
)
def test_words_for_a_nail_are_read_or_refused_and_never_markup(app: Flask, report: Report, text: str) -> None:
    for form in ("json", "csv", "svg", "pdf"):
        got = answer(app, report, sent("planWall", {"framing_nail/nail_designation": text}, f"format={form}"))
        assert (got.status, got.code) in ((200, ""), (422, "validation_error"))
        if got.status == 200 and form == "pdf":
            assert pypdf.PdfReader(io.BytesIO(got.body), strict=True).pages
