"""Reads one CSV table: every complaint names the file, and the line and column where there is one."""

import csv
import re
from collections.abc import Callable, Collection, Hashable
from pathlib import Path
from typing import NoReturn, TypeVar

from service.errors import TableError
from service.tables.confidence import WEAKEST_FIRST
from service.ticks import PER_FT, PER_IN, ticks

Row = TypeVar("Row")
_PLAIN = re.compile(r"[0-9]{1,7}(?:\.[0-9]{1,6})?\Z")
FEW = 10
_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ./_()-]*\Z")
LONGEST_IN, WIDEST_SPACING_IN, MOST_NAILS = 600, 48, 60
"""Past these a length, a spacing or a count of nails is a slip of the pen: no table of framing prints one."""


class Cells:
    """The cells of one line, read by the kind of their column."""

    def __init__(self, cells: dict[str, str]) -> None:
        self._cells = cells

    def text(self, column: str) -> str:
        """Return words as they stand; they may be empty."""
        if column not in self._cells:
            raise ValueError(f"column {column} is missing")
        return self._cells[column]

    def said(self, column: str) -> str:
        """Return words that must not be empty."""
        return self.text(column) or _wrong(column, "is empty")

    def key(self, column: str) -> str:
        """Return an id, a section or another name that must not be empty."""
        cell = self.said(column)
        return cell if _KEY.match(cell) else _wrong(column, f"{cell!r} is no name")

    def word(self, column: str, known: Collection[str]) -> str:
        """Return one of the known words; an empty cell is one only where `known` holds it."""
        cell = self.text(column)
        if cell in known:
            return cell
        some = f" ({', '.join(w for w in known if w)})" if len(known) <= FEW else ""
        return _wrong(column, f"{cell!r} is not a known word{some}")

    def words(self, column: str, known: Collection[str] | None = None) -> tuple[str, ...]:
        """Return the words of a cell, none where it is empty."""
        return self.all_of(column, self.text(column).split() if known is None else known, "the known words")

    def one_of(self, column: str, keys: Collection[str], table: str) -> str:
        """Return a key of another table."""
        cell = self.text(column)
        return cell if cell in keys else _wrong(column, f"{cell!r} is not in {table}")

    def all_of(self, column: str, keys: Collection[str], table: str) -> tuple[str, ...]:
        """Return the keys of another table that stand in a cell, none where it is empty."""
        found = tuple(self.text(column).split())
        strange = [w for w in found if w not in keys]
        return _wrong(column, f"{strange[0]!r} is not in {table}") if strange else found

    def confidence(self, column: str = "confidence") -> str:
        """Return how well the line is known."""
        return self.word(column, WEAKEST_FIRST)

    def flag(self, column: str) -> bool:
        """Return true or false."""
        return self.word(column, ("true", "false")) == "true"

    def maybe_flag(self, column: str) -> bool | None:
        """Return true or false, None where the cell is empty."""
        return self.flag(column) if self.text(column) else None

    def number(self, column: str, least: float = 0, most: float = 1e7) -> float:
        """Return a number over `least` and up to `most`."""
        cell = self.text(column)
        if not _PLAIN.match(cell):
            return _wrong(column, f"{cell!r} is not a plain positive number")
        if not least < float(cell) <= most:
            return _wrong(column, f"{cell} must be over {least:g} and at most {most:g}")
        return float(cell)

    def maybe_number(self, column: str, least: float = 0, most: float = 1e7) -> float | None:
        """Return a number, None where the cell is empty."""
        return self.number(column, least, most) if self.text(column) else None

    def count(self, column: str, most: int = MOST_NAILS) -> int:
        """Return a whole number from 1 on."""
        found = self.number(column, 0, most)
        return int(found) if found.is_integer() else _wrong(column, f"{found:g} is not a whole number")

    def maybe_count(self, column: str, most: int = MOST_NAILS) -> int | None:
        """Return a whole number, None where the cell is empty."""
        return self.count(column, most) if self.text(column) else None

    def length(self, column: str, most_in: float = LONGEST_IN) -> int:
        """Return inches as ticks."""
        self.number(column, 0, most_in)
        return ticks(self.text(column), PER_IN)

    def maybe_length(self, column: str, most_in: float = LONGEST_IN) -> int | None:
        """Return inches as ticks, None where the cell is empty."""
        return self.length(column, most_in) if self.text(column) else None

    def spacing(self, column: str) -> int:
        """Return the distance of nails or members, in ticks."""
        return self.length(column, WIDEST_SPACING_IN)

    def maybe_spacing(self, column: str) -> int | None:
        """Return the distance of nails or members, None where the cell is empty."""
        return self.spacing(column) if self.text(column) else None

    def feet(self, column: str, most_ft: float = LONGEST_IN / 12) -> int:
        """Return feet as ticks."""
        self.number(column, 0, most_ft)
        return ticks(self.text(column), PER_FT)

    def mph(self, column: str) -> float:
        """Return a wind speed [mph]."""
        return self.number(column, 40, 300)

    def maybe_mph(self, column: str) -> float | None:
        """Return a wind speed [mph], None where the cell is empty."""
        return self.mph(column) if self.text(column) else None


def _wrong(column: str, why: str) -> NoReturn:
    raise ValueError(f"column {column}: {why}")


def read(
    root: Path, name: str, build: Callable[[Cells], Row], key: Callable[[Row], Hashable] | None = None, may_be_empty: bool = False
) -> tuple[Row, ...]:
    """Return what `build` makes of each line; lines that begin with # are remarks.

    Parameters
    ----------
    key : callable, optional
        What must not stand twice in the table.
    may_be_empty : bool
        Whether a table of a header alone is one.

    Raises
    ------
    TableError
        The file, a column or a cell is missing or cannot be read, or a key stands twice.
    """
    lines = [(n, _split(line, name, n)) for n, line in numbered_lines(root, name) if not line.startswith("#")]
    if not lines or len(lines) == 1 and not may_be_empty:
        raise TableError(f"table {name}: holds no rows")
    head = lines[0][1]
    if len(set(head)) < len(head):
        raise TableError(f"table {name}, line {lines[0][0]}: a column stands twice")
    rows: list[Row] = []
    seen: set[Hashable] = set()
    for number, cells in lines[1:]:
        if len(cells) != len(head):
            raise TableError(f"table {name}, line {number}: has {len(cells)} cells, the header {len(head)}")
        try:
            row = build(Cells(dict(zip(head, cells, strict=True))))
        except ValueError as error:
            raise TableError(f"table {name}, line {number}: {error}") from error
        here = key(row) if key else number
        if here in seen:
            raise TableError(f"table {name}, line {number}: {_say(here)} stands twice")
        seen.add(here)
        rows.append(row)
    return tuple(rows)


def _say(key: Hashable) -> str:
    parts = key if isinstance(key, tuple) else (key,)
    return " ".join(str(k) for k in parts if isinstance(k, str | int | float))


def keyed(root: Path, name: str, build: Callable[[Cells], Row], key: str) -> dict[str, Row]:
    """Return what `read` returns, by a field that must not stand twice."""
    return {getattr(row, key): row for row in read(root, name, build, lambda row: getattr(row, key))}


def numbered_lines(root: Path, name: str) -> list[tuple[int, str]]:
    """Return the lines of a table with their numbers.

    Raises
    ------
    TableError
        The file cannot be read, is empty or cut off, or holds a byte that no table holds.
    """
    try:
        data = (root / name).read_bytes()
    except OSError as error:
        raise TableError(f"table {name}: cannot be read ({error.strerror})") from error
    if not data:
        raise TableError(f"table {name}: is empty")
    if data.startswith(b"\xef\xbb\xbf"):
        raise TableError(f"table {name}, line 1: begins with a byte order mark; save it as plain UTF-8")
    lines = [(n, _decoded(line, name, n)) for n, line in enumerate(data.split(b"\n"), 1)]
    last, rest = lines.pop()
    if rest:
        raise TableError(f"table {name}, line {last}: the last line does not end; it may be cut off")
    return lines


def _decoded(line: bytes, name: str, number: int) -> str:
    where = f"table {name}, line {number}"
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError as error:
        raise TableError(f"{where}: byte {error.start + 1} is not UTF-8") from error
    strange = next((c for c in text if not c.isprintable()), None)
    if strange == "\r":
        raise TableError(f"{where}: holds a carriage return; end lines by a line feed alone")
    if strange is not None:
        raise TableError(f"{where}: holds the unprintable character U+{ord(strange):04X}")
    return text


def _split(line: str, name: str, number: int) -> list[str]:
    """Split one line; a quoted cell never runs on into the next line."""
    try:
        return next(csv.reader([line], strict=True), [])
    except csv.Error as error:
        raise TableError(f"table {name}, line {number}: {error}") from error
