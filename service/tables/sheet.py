"""Reads one CSV table: every complaint names the file and the line."""

import csv
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from service.errors import TableError
from service.ticks import ticks


def read(root: Path, name: str, build: Callable[[dict[str, str]], Any]) -> Iterator[Any]:
    """Yield what `build` makes of each line; lines that begin with # are remarks.

    Raises
    ------
    TableError
        The file, a column or a cell is missing or cannot be read.
    """
    path = root / name
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except OSError as error:
        raise TableError(f"table {name}: cannot be read") from error
    body = [(n, line) for n, line in enumerate(lines, 1) if not line.startswith("#")]
    if len(body) < 2 and name.rsplit("/", 1)[-1] != "footnotes.csv":
        raise TableError(f"table {name}: holds no rows")
    reader = csv.DictReader(line for _, line in body)
    for (number, _), row in zip(body[1:], reader, strict=True):
        if None in row or None in row.values():
            raise TableError(f"table {name}, line {number}: has more or fewer cells than the header")
        try:
            yield build(row)
        except (KeyError, ValueError, TypeError, ArithmeticError) as error:
            raise TableError(f"table {name}, line {number}: {_why(error)}") from error


def _why(error: Exception) -> str:
    if isinstance(error, KeyError):
        return f"{error} is not a column or not a known word"
    return "a number cannot be read" if isinstance(error, ArithmeticError) else str(error)


def keyed(root: Path, name: str, build: Callable[[dict[str, str]], Any], key: str) -> dict[str, Any]:
    """Return what `read` yields, by a field that must not stand twice."""
    out: dict[str, Any] = {}

    def once(cells: dict[str, str]) -> None:
        row = build(cells)
        if getattr(row, key) in out:
            raise ValueError(f"{key} {getattr(row, key)!r} stands twice")
        out[getattr(row, key)] = row

    for _ in read(root, name, once):
        pass
    return out


def length(cell: str) -> int | None:
    """Read inches as ticks; None where the cell is empty."""
    return ticks(cell) if cell else None


def number(cell: str) -> float | None:
    """Read a number; None where the cell is empty."""
    return float(cell) if cell else None


def flag(cell: str) -> bool | None:
    """Read true or false; None where the cell is empty."""
    return {"true": True, "false": False, "": None}[cell]
