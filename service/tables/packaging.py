"""Nails by the pound and by the box: figures of the trade, approximate everywhere."""

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from service.errors import TableError
from service.tables.nails import TYPES
from service.tables.sheet import Cells, read

NAME = "nail_packaging.csv"
NAIL_TYPES = (*TYPES, "power_driven_screw")
"""Kinds of nails, that too which only a caller's size can be."""
UNITS = {"steel_density": ("lb/cu in",), "heaviest_box": ("lb",), "nails_per_lb": ("per lb",), "box": ("lb", "nails")}
"""The facts of the table, and the units each may have."""
MOST_PER_LB, MOST_IN_BOX = 2_000, 50_000


@dataclass(frozen=True, slots=True)
class PackagingRow:
    """One fact: `of` is the id of a nail, or the kinds of nails that are sold in a box."""

    fact: str
    of: tuple[str, ...]
    value: float
    unit: str
    source: str
    confidence: str
    note: str


@dataclass(frozen=True, slots=True, eq=False)
class Packaging:
    """How nails are weighed and sold: density of steel in lb/cu in, the heaviest box in lb, nails in a pound by id, boxes."""

    steel_density: PackagingRow
    heaviest_box: PackagingRow
    nails_per_lb: dict[str, PackagingRow]
    boxes: tuple[PackagingRow, ...]


def read_packaging(root: Path, nails: Collection[str]) -> Packaging:
    """Return the table by fact.

    Raises
    ------
    TableError
        As `read`; and a fact that all nails need is missing.
    """
    rows = read(root, NAME, lambda c: _row(c, nails), lambda row: (row.fact, *row.of, str(row.value) if row.fact == "box" else ""))
    alone = {row.fact: row for row in rows if not row.of}
    missing = [fact for fact in ("steel_density", "heaviest_box") if fact not in alone]
    if missing:
        raise TableError(f"table {NAME}: fact {missing[0]} is missing")
    return Packaging(
        alone["steel_density"],
        alone["heaviest_box"],
        {row.of[0]: row for row in rows if row.fact == "nails_per_lb"},
        tuple(row for row in rows if row.fact == "box"),
    )


def _row(c: Cells, nails: Collection[str]) -> PackagingRow:
    fact = c.word("fact", UNITS)
    of: tuple[str, ...] = ()
    if fact == "nails_per_lb":
        of = (c.one_of("of", nails, "fasteners.csv"),)
    elif fact == "box":
        of = c.all_of("of", NAIL_TYPES, "the kinds of nails")
        if not of:
            raise ValueError("column of: is empty")
    elif c.text("of"):
        raise ValueError(f"column of: {fact} is of all nails")
    unit = c.word("unit", UNITS[fact])
    value = float(c.count("value", MOST_IN_BOX)) if unit == "nails" else c.number("value", 0, MOST_PER_LB)
    return PackagingRow(fact, of, value, unit, c.said("source"), c.confidence(), c.text("note"))
