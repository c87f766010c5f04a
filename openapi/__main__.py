"""Writes the kept contract and its example answers: python -m openapi."""

from pathlib import Path
from typing import Any

import orjson
import yaml
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.web.contract import build
from service.web.examples import IDS, REFUSED, examples_of
from service.web.reading import MEDIA_TYPES
from service.web.registry import OPERATIONS, Operation

HERE = Path(__file__).parent
REQUEST_ID = {"X-Request-ID": "example"}
NAMED = {"sheet": "csv", "drawing": "svg"}
"""What the name of an example says of its form, where the question is a body."""


def ask(client: FlaskClient, o: Operation, name: str, question: Any) -> bytes:
    """Send an example question of an operation and return the answer."""
    path = o.path.format(**IDS)
    if o.method == "GET":
        query = {k: str(v).lower() if isinstance(v, bool) else v for k, v in question.items()}
        return client.get(path, query_string=query, headers=REQUEST_ID).data
    form = form_of(o, name, question)
    table = {"table": name.partition("-")[2]} if form == "csv" and "-" in name else {}
    return client.post(path, json=question, query_string=table, headers={**REQUEST_ID, "Accept": MEDIA_TYPES[form]}).data


def ask_refused(client: FlaskClient, sent: dict[str, Any]) -> bytes:
    """Send a request that is refused, byte for byte as it is written, and return the answer."""
    body = sent.get("body", "").encode().ljust(sent.get("padded_to", 0))
    return client.open(sent["path"], method=sent["method"], headers={**REQUEST_ID, **sent.get("headers", {})}, data=body).data


def form_of(o: Operation, name: str, question: Any) -> str:
    """Return the form an example asks for: by its query, or by its name where the question is a body."""
    if o.method == "GET":
        return str(question.get("format", "json"))
    return next((form for word, form in NAMED.items() if name.startswith(word) and form in o.forms), "json")


def keep(stem: str, form: str, raw: bytes) -> None:
    """Write an answer beside its question."""
    file = HERE / "examples" / f"{stem}.answer.{form}"
    file.write_bytes(raw if form != "json" else orjson.dumps(orjson.loads(raw), option=orjson.OPT_INDENT_2) + b"\n")


def main() -> None:
    """Ask every example, keep the answers, then write the document that holds them."""
    client = create_app(Settings(log_level="error")).test_client()
    for o in OPERATIONS:
        for name, kept in (examples_of(o.operation_id) or {"example": None}).items():
            question = kept.question if kept else {}
            stem = o.operation_id if name == "example" else f"{o.operation_id}.{name}"
            keep(stem, form_of(o, name, question), ask(client, o, name, question))
    for name, kept in examples_of(REFUSED).items():
        keep(f"{REFUSED}.{name}", "json", ask_refused(client, kept.question))
    text = yaml.safe_dump(build(Settings()), sort_keys=False, allow_unicode=True, width=140)
    (HERE / "openapi.yaml").write_text(
        "# written by python -m openapi; a test compares it with the served document\n" + text, encoding="utf-8"
    )


if __name__ == "__main__":
    main()
