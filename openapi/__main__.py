"""Writes the kept contract and its example answers: python -m openapi."""

from pathlib import Path

import orjson
import yaml
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.web.contract import build
from service.web.registry import OPERATIONS, Operation

HERE = Path(__file__).parent
IDS = {
    "code_edition": "irc-2021",
    "connection_id": "stud-to-plate-end-nail",
    "nail_id": "16d-common",
    "code": "nail_gun",
    "slug": "validation-error",
}
REQUEST_ID = {"X-Request-ID": "example"}


def ask(client: FlaskClient, o: Operation) -> bytes:
    """Send the example question of an operation and return the answer."""
    path = o.path.format(**IDS)
    kept = HERE / "examples" / f"{o.operation_id}.json"
    question = orjson.loads(kept.read_bytes()) if kept.exists() else {}
    if o.method == "GET":
        return client.get(path, query_string=question, headers=REQUEST_ID).data
    return client.post(path, json=question, headers=REQUEST_ID).data


def main() -> None:
    """Ask every example, keep the answers, then write the document that holds them."""
    client = create_app(Settings(log_level="error")).test_client()
    for o in OPERATIONS:
        answer = orjson.dumps(orjson.loads(ask(client, o)), option=orjson.OPT_INDENT_2)
        (HERE / "examples" / f"{o.operation_id}.answer.json").write_bytes(answer + b"\n")
    text = yaml.safe_dump(build(), sort_keys=False, allow_unicode=True, width=140)
    (HERE / "openapi.yaml").write_text(
        "# written by python -m openapi; a test compares it with the served document\n" + text, encoding="utf-8"
    )


if __name__ == "__main__":
    main()
