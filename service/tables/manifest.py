"""The manifest: row count and checksum of every table, so that a line lost or changed by accident stops the start."""

import csv
import hashlib
from dataclasses import dataclass
from pathlib import Path

from service.errors import TableError
from service.tables.sheet import Cells, numbered_lines, read

NAME = "manifest.csv"
HEAD = ("path", "row_count", "sha256")
REMARK = "# row count and checksum of every table; written by python -m service.tables after a wanted change\n"
MOST_ROWS = 100_000


@dataclass(frozen=True, slots=True)
class Entry:
    """What the manifest says of one table."""

    path: str
    row_count: int
    sha256: str


def table_files(root: Path) -> list[Path]:
    """Return every table under a root but the manifest, in path order."""
    return sorted(p for p in root.rglob("*.csv") if p != root / NAME)


def write_manifest(root: Path) -> int:
    """Write the manifest of the tables as they are; return how many there are.

    Raises
    ------
    TableError
        A table cannot be read, or is no text.
    """
    entries = [_measured(root, p) for p in table_files(root)]
    with (root / NAME).open("w", encoding="utf-8", newline="") as file:
        file.write(REMARK)
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(HEAD)
        lines.writerows((e.path, e.row_count, e.sha256) for e in entries)
    return len(entries)


def check_manifest(root: Path) -> None:
    """Compare the tables with the manifest.

    Raises
    ------
    TableError
        The manifest cannot be read; a table is missing or is not named there; a row count or a checksum differs.
    """
    wanted = {e.path: e for e in read(root, NAME, _entry, lambda e: e.path)}
    held = {e.path: e for p in table_files(root) for e in [_measured(root, p)]}
    for path in sorted(set(wanted) | set(held)):
        if path not in held:
            raise TableError(f"table {path}: is missing, manifest.csv names it")
        if path not in wanted:
            raise TableError(f"table {path}: manifest.csv does not name it; {_CURE}")
        if held[path].row_count != wanted[path].row_count:
            raise TableError(f"table {path}: holds {held[path].row_count} rows, manifest.csv says {wanted[path].row_count}; {_CURE}")
        if held[path].sha256 != wanted[path].sha256:
            raise TableError(f"table {path}: its checksum is not the one in manifest.csv; {_CURE}")


_CURE = "if that is wanted, run python -m service.tables"


def _measured(root: Path, path: Path) -> Entry:
    name = path.relative_to(root).as_posix()
    rows = sum(not line.startswith("#") for _, line in numbered_lines(root, name)) - 1
    return Entry(name, rows, hashlib.sha256(path.read_bytes()).hexdigest())


def _entry(c: Cells) -> Entry:
    count = c.text("row_count")
    return Entry(c.key("path"), 0 if count == "0" else c.count("row_count", MOST_ROWS), c.key("sha256"))
