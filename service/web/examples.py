"""The examples that ship with the service: questions, and the answers they were given when the contract was written.

A question stands in `openapi/examples/<operation>[.<name>].json`, its answer beside it in `.answer.json`, or `.answer.csv`
where the question asks for a sheet, `.answer.svg` where it asks for a picture: by its query, or, where it is a body, by its
name, `sheet` or `sheet-<table>`, `drawing`. What every address refuses stands in `refused.<code>.json`, as the request itself:
method, path, headers, and a body, `padded_to` so many bytes.
`python -m openapi` asks every question again and writes the answers; tests replay them.
"""

from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import orjson

FOLDER = resources.files("openapi").joinpath("examples")
FORMS = ("json", "csv", "svg")
"""Forms in which an example may be answered: those that are text."""
IDS = {
    "code_edition": "irc-2021",
    "connection_id": "stud-to-plate-end-nail",
    "nail_id": "16d-common",
    "species": "spruce-pine-fir",
    "code": "nail_gun",
    "slug": "validation-error",
}
"""What the examples put into a path."""
REFUSED = "refused"
"""Stands for every operation, in the names of requests that are refused whatever they ask."""


@dataclass(frozen=True, slots=True)
class Example:
    """A question, and its answer: JSON, the text of a sheet or a picture, or None until it has been asked."""

    question: Any
    answer: Any
    form: str = "json"

    @property
    def status(self) -> int:
        """HTTP status of the answer."""
        return int(self.answer.get("status", 200)) if isinstance(self.answer, dict) else 200

    @property
    def size(self) -> int:
        """Bytes of the answer."""
        return len(self.answer) if isinstance(self.answer, str) else len(orjson.dumps(self.answer))


@cache
def example(name: str) -> Any:
    """Return a question that ships with the service."""
    return orjson.loads(FOLDER.joinpath(f"{name}.json").read_bytes())


def examples_of(operation_id: str) -> dict[str, Example]:
    """Return the examples of an operation by name, the one without a name first."""
    files = {f.name for f in FOLDER.iterdir()}
    endings = (*(f".answer.{form}" for form in FORMS), ".json")
    stems = {n.removesuffix(ending) for n in files for ending in endings if n.endswith(ending)}
    mine = sorted(s for s in stems if s.split(".")[0] == operation_id and not s.endswith(".answer"))
    return {s.partition(".")[2] or "example": Example(example(s) if f"{s}.json" in files else {}, *_answer(s, files)) for s in mine}


def _answer(stem: str, files: set[str]) -> tuple[Any, str]:
    """Return the kept answer of a question and its form."""
    form = next((f for f in FORMS if f"{stem}.answer.{f}" in files), "")
    raw = FOLDER.joinpath(f"{stem}.answer.{form}").read_bytes() if form else b"null"
    return (orjson.loads(raw), "json") if form in ("", "json") else (raw.decode(), form)
