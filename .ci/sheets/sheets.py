"""Opens every sheet of the live service in LibreOffice and reads what it made of each cell.

Each sheet is opened twice: as the import dialog proposes, and with special numbers detected (dates, fractions, percent), as
other spreadsheets do unasked. UTF-8 is named both times, as the media type names it. What must come out is what was sent.
"""

import csv
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import requests

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "openapi" / "examples"
BASE, WORK = os.environ["SERVICE_URL"], Path(sys.argv[1])
IDS = {"nail_id": "16d-common"}
NEEDS_POST = {("getNailJudgements", "nails")}
"""A table whose wall no query can hold: the GET refuses it, the POST has it."""
# Tokens of LibreOffice's CSV filter: comma, quotation mark, UTF-8, first line, columns as they are, US English, quoted cells read
# as others are, special numbers detected.
UTF_8 = "44,34,76,1,,1033,false"
WAYS = {"plain": f"{UTF_8},false", "special": f"{UTF_8},true"}
NUMBERS = re.compile(r".*(?:_(?:in|mm|ft|m|lb|kg|plf|psi|count|percent)|price|cost)")
LISTS = {"x_in", "x_mm", "z_in", "z_mm", "positions_in", "positions_mm"}
"""Columns of lengths in which some sheets hold several: sticks that are alike, bolts of one plate."""

AS_SENT = ["south", "17", "0.5", "wall-1", "decor-1"]
READ_ANOTHER_WAY = ["-5", "007", "1e5", "2026-03-04", "3-4", "1.50", "TRUE", "mar-4"]
"""Ids that a spreadsheet would show as something else: they come with an apostrophe before them."""
LABELS = ["Süd, Küche", 'say "north", then go', "北側", "12' 7\"", "street side", "  two spaces"]
RISKY_LABELS = ["=SUM(A1:A9)", "+1", "-", "@x", "=cmd|' /C calc'!A0", "7/16", "3-1/2", "1,234", "10:30", "5%", "1 1/2", "$5", "(5)"]


def operations() -> Iterator[tuple[str, str, str, list[str]]]:
    """Yield method, path, operation id and tables of what the contract says has a sheet."""
    contract = requests.get(f"{BASE}/v1/openapi.json", timeout=20).json()
    for path, methods in contract["paths"].items():
        for method, o in methods.items():
            if "text/csv" in o["responses"]["200"].get("content", {}):
                tables = [p["schema"] for p in o.get("parameters", []) if p.get("name") == "table"]
                named = [contract["components"]["schemas"].get(t.get("$ref", "").rpartition("/")[2], t)["enum"] for t in tables]
                yield method, path, o["operationId"], named[0] if named else [""]


def example_sheets() -> dict[str, bytes]:
    """Return the sheets of every example that has one, in both units; each table of each address is among them."""
    found: dict[str, bytes] = {}
    for method, path, operation, tables in operations():
        files = [f for f in sorted(EXAMPLES.glob(f"{operation}.*json")) if not f.stem.endswith(".answer")]
        asked = {f.stem: json.loads(f.read_bytes()) for f in files} or {operation: {}}
        for table in tables:
            before = len(found)
            for stem, question in asked.items():
                for units in ("us", "metric"):
                    answer = ask(method, path.format(**IDS), question, table, units)
                    if answer.status_code == 200:
                        found[f"{stem}-{table}-{units}"] = answer.content
            assert len(found) > before or (operation, table) in NEEDS_POST, f"{operation}: no sheet {table}"
    return found


def ask(method: str, path: str, question: dict[str, Any], table: str, units: str) -> requests.Response:
    """Ask a question for a sheet."""
    query = {"format": "csv", **({"table": table} if table else {})}
    if method == "get":
        said = {k: str(v).lower() if isinstance(v, bool) else v for k, v in question.items() if k != "table"}
        return requests.get(BASE + path, params={**said, **query, **({"units": units} if units != "us" else {})}, timeout=20)
    within = {"defaults": {**question.get("defaults", {}), "units": units}} if "items" in question else {"units": units}
    return requests.post(BASE + path, params=query, json={**question, **within}, timeout=20)


def named_sheets() -> dict[str, tuple[str, bytes]]:
    """Return sheets of questions that give names of every kind: the column they stand in, and the sheet."""
    nail, wall = {"framing_nail": {"nail_designation": "3 x 0.131"}}, {"length_in": 96, "height_in": 97.125}
    ids, labels = [*AS_SENT, *READ_ANOTHER_WAY], [*LABELS, *RISKY_LABELS]
    walls = [{"id": i, "wall": wall} for i in ids]
    labelled = [{"id": f"w{n}", "label": label, "wall": wall} for n, label in enumerate(labels)]
    items = [
        {"id": i, "connection_id": "stud-to-plate-end-nail", "nail_designation": "16d" if n % 2 else "3 x 0.131"} for n, i in enumerate(ids)
    ]
    # one wall each, since a schedule names all walls of a joint in one cell
    asked = {
        "ids": ("id", "/v1/takeoffs", {**nail, "walls": walls}),
        "labels": ("wall_label", "/v1/takeoffs", {**nail, "walls": labelled}),
        "items": ("id", "/v1/requirements/batch", {"items": items}),
        "refused": ("id", "/v1/takeoffs", {**nail, "walls": [{"id": i, "wall": {**wall, "length_in": 5}} for i in ids]}),
    }
    found = {name: (column, sheet(path, body)) for name, (column, path, body) in asked.items()}
    for i in ids:
        found[f"walls {i}"] = ("walls", sheet("/v1/nailing-schedules", {**nail, "walls": [{**wall, "id": i}]}))
    return found


def sheet(path: str, body: dict[str, Any]) -> bytes:
    """Return the sheet of a question that has one."""
    answer = requests.post(f"{BASE}{path}?format=csv", json=body, timeout=20)
    assert answer.status_code == 200, answer.text
    return answer.content


def opened(files: list[Path], way: str) -> Iterator[Any]:
    """Yield the sheets that LibreOffice makes of some files; it takes some hundred at most in one go."""
    for i in range(0, len(files), 100):
        convert(f"--infilter=CSV:{WAYS[way]}", way, *map(str, files[i : i + 100]))
    for file in files:
        yield openpyxl.load_workbook(WORK / way / f"{file.stem}.xlsx").active


def convert(infilter: str, folder: str, *sources: str) -> None:
    """Let LibreOffice write files as workbooks into a folder."""
    own = f"-env:UserInstallation={(WORK / 'profile').as_uri()}"
    command = ["soffice", own, "--headless", infilter, "--convert-to", "xlsx", "--outdir", str(WORK / folder), *sources]
    subprocess.run(command, check=True, timeout=300, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def faults_of(raw: bytes, made: Any) -> Iterator[str]:
    """Yield what a spreadsheet shows otherwise than it was sent."""
    rows = list(csv.reader(io.StringIO(raw.decode(), newline="")))
    if (made.max_row, made.max_column) != (len(rows), len(rows[0])):
        yield f"{made.max_row} x {made.max_column} cells of {len(rows)} x {len(rows[0])}"
        return
    for row, text in enumerate(rows, 1):
        for column, name in enumerate(rows[0], 1):
            sent, found = text[column - 1], made.cell(row, column)
            several = name in LISTS and " " in sent
            if not is_as_sent(sent, found) or row > 1 and NUMBERS.fullmatch(name) and sent and not several and found.data_type != "n":
                yield f"{name}, row {row}: {sent!r} is {found.value!r} ({found.data_type}, {found.number_format})"


def is_as_sent(sent: str, found: Any) -> bool:
    """Return whether a cell shows what was sent: numbers as numbers, text as text, yes and no as either."""
    if not sent:
        return found.value is None
    if found.data_type == "n":
        return found.number_format == "General" and format(found.value, ".15g") == sent
    if found.data_type == "b":
        return str(found.value) == sent
    return found.data_type == "s" and found.value == sent and not is_number(sent)


def is_number(text: str) -> bool:
    """Return whether a text is a number."""
    try:
        float(text)
    except ValueError:
        return False
    return True


def name_faults(column: str, made: Any, names: list[str], quoted: list[str]) -> Iterator[str]:
    """Yield the names that do not come as they were sent, behind an apostrophe where they have to."""
    at = [c.value for c in made[1]].index(column) + 1
    found = {str(made.cell(row, at).value) for row in range(2, made.max_row + 1)}
    expected = {*names, *(f"'{name}" for name in quoted)}
    yield from (f"{column} has {name!r}" for name in found - expected)
    yield from (f"{column} lacks {name!r}" for name in expected - found)


def main() -> int:
    """Compare every sheet, print what is wrong, and return whether anything is."""
    sheets, named = example_sheets(), named_sheets()
    every = {**sheets, **{name: raw for name, (_, raw) in named.items()}}
    files = [WORK / f"{n:03}.csv" for n in range(len(every))]
    for file, raw in zip(files, every.values(), strict=True):
        file.write_bytes(raw)
    faults = []
    for way in WAYS:
        for (name, raw), made in zip(every.items(), opened(files, way), strict=True):
            faults += [f"{name} ({way}): {fault}" for fault in faults_of(raw, made)]
            if name in named:
                sent, quoted = (LABELS, RISKY_LABELS) if name == "labels" else (AS_SENT, READ_ANOTHER_WAY)
                one = name.removeprefix("walls ")
                if one != name:
                    sent, quoted = [s for s in sent if s == one], [q for q in quoted if q == one]
                faults += [f"{name} ({way}): {fault}" for fault in name_faults(named[name][0], made, sent, quoted)]
    faults += [f"by address: {fault}" for fault in by_address()]
    print(*faults, f"{len(every)} sheets opened {len(WAYS)} times, one by its address, {len(faults)} faults", sep="\n")
    return bool(faults)


def by_address() -> list[str]:
    """Return what goes wrong where a spreadsheet loads the README's address for it by itself."""
    (address,) = re.findall(r"^    (http://127\.0\.0\.1:8080\S*format=csv\S*)$", (ROOT / "README.md").read_text(), re.MULTILINE)
    address = address.replace("http://127.0.0.1:8080", BASE)
    convert(f"--infilter=Text - txt - csv (StarCalc):{WAYS['plain']}", "address", address)
    (file,) = (WORK / "address").iterdir()
    return list(faults_of(requests.get(address, timeout=20).content, openpyxl.load_workbook(file).active))


if __name__ == "__main__":
    sys.exit(main())
