"""The examples that ship with the service: questions, and the answers they were given when the contract was written.

A question stands in `openapi/examples/<operation>[.<name>].json`, its answer beside it in `.answer.json`, or `.answer.csv`
where the question asks for a sheet: by its query, or by its name `sheet` or `sheet-<table>` where it is a body.
`python -m openapi` asks every question again and writes the answers; tests replay them.
"""

from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import orjson

FOLDER = resources.files("openapi").joinpath("examples")
IDS = {
    "code_edition": "irc-2021",
    "connection_id": "stud-to-plate-end-nail",
    "nail_id": "16d-common",
    "species": "spruce-pine-fir",
    "code": "nail_gun",
    "slug": "validation-error",
}
"""What the examples put into a path."""


@dataclass(frozen=True, slots=True)
class Example:
    """A question, and its answer: JSON, the text of a sheet, or None until it has been asked."""

    question: Any
    answer: Any

    @property
    def status(self) -> int:
        """HTTP status of the answer."""
        return int(self.answer.get("status", 200)) if isinstance(self.answer, dict) else 200

    @property
    def size(self) -> int:
        """Bytes of the answer."""
        return len(self.answer) if isinstance(self.answer, str) else len(orjson.dumps(self.answer))

    @property
    def sheet(self) -> bool:
        """Whether the question asks for a sheet."""
        return isinstance(self.answer, str)


@cache
def example(name: str) -> Any:
    """Return a question that ships with the service."""
    return orjson.loads(FOLDER.joinpath(f"{name}.json").read_bytes())


def examples_of(operation_id: str) -> dict[str, Example]:
    """Return the examples of an operation by name, the one without a name first."""
    files = {f.name for f in FOLDER.iterdir()}
    stems = {n.removesuffix(ending) for n in files for ending in (".answer.json", ".answer.csv", ".json") if n.endswith(ending)}
    mine = sorted(s for s in stems if s.split(".")[0] == operation_id and not s.endswith(".answer"))
    return {s.partition(".")[2] or "example": Example(example(s) if f"{s}.json" in files else {}, _answer(s, files)) for s in mine}


def _answer(stem: str, files: set[str]) -> Any:
    if f"{stem}.answer.csv" in files:
        return FOLDER.joinpath(f"{stem}.answer.csv").read_bytes().decode()
    return orjson.loads(FOLDER.joinpath(f"{stem}.answer.json").read_bytes()) if f"{stem}.answer.json" in files else None
