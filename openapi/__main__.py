"""Writes the kept contract and its example answers: python -m openapi."""

from pathlib import Path
from typing import Any

import orjson
import yaml
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.web.contract import build
from service.web.examples import IDS, examples_of
from service.web.registry import OPERATIONS, Operation

HERE = Path(__file__).parent
REQUEST_ID = {"X-Request-ID": "example"}


def ask(client: FlaskClient, o: Operation, name: str, question: Any) -> bytes:
    """Send an example question of an operation and return the answer."""
    path = o.path.format(**IDS)
    if o.method == "GET":
        query = {k: str(v).lower() if isinstance(v, bool) else v for k, v in question.items()}
        return client.get(path, query_string=query, headers=REQUEST_ID).data
    if not is_sheet(o, name, question):
        return client.post(path, json=question, headers=REQUEST_ID).data
    table = {"table": name.partition("-")[2]} if "-" in name else {}
    return client.post(path, json=question, query_string=table, headers={**REQUEST_ID, "Accept": "text/csv"}).data


def is_sheet(o: Operation, name: str, question: Any) -> bool:
    """Whether an example asks for a sheet: by its query, or by its name, sheet or sheet-<table>, where the question is a body."""
    return bool(o.sheets) and (question.get("format") == "csv" if o.method == "GET" else name.startswith("sheet"))


def main() -> None:
    """Ask every example, keep the answers, then write the document that holds them."""
    client = create_app(Settings(log_level="error")).test_client()
    for o in OPERATIONS:
        for name, kept in (examples_of(o.operation_id) or {"example": None}).items():
            question = kept.question if kept else {}
            sheet = is_sheet(o, name, question)
            raw = ask(client, o, name, question)
            stem = o.operation_id if name == "example" else f"{o.operation_id}.{name}"
            file = HERE / "examples" / f"{stem}.answer.{'csv' if sheet else 'json'}"
            file.write_bytes(raw if sheet else orjson.dumps(orjson.loads(raw), option=orjson.OPT_INDENT_2) + b"\n")
    text = yaml.safe_dump(build(Settings()), sort_keys=False, allow_unicode=True, width=140)
    (HERE / "openapi.yaml").write_text(
        "# written by python -m openapi; a test compares it with the served document\n" + text, encoding="utf-8"
    )


if __name__ == "__main__":
    main()
