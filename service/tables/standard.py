"""The tables of the design standard for nails: bending yield, constants, factors, by edition."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.confidence import weakest
from service.tables.sheet import Cells, keyed, read

APPLIES_TO = ("lateral", "withdrawal", "withdrawal_post_frame_ring", "head")


@dataclass(frozen=True, slots=True)
class ValueRow:
    """A constant, where it stands and how well it is known."""

    key: str
    value: float
    editions: tuple[str, ...]
    clause: str
    confidence: str


@dataclass(frozen=True, slots=True)
class BendingRow:
    """Bending yield strength [psi] of shanks over one diameter and to another; ticks."""

    kind: str
    over: int
    to: int
    psi: float
    clause: str
    confidence: str


@dataclass(frozen=True, slots=True)
class FactorRow:
    """A factor on a reference value under one condition."""

    factor: str
    condition: str
    applies_to: tuple[str, ...]
    value: float
    clause: str
    confidence: str
    because: str


@dataclass(frozen=True, slots=True, eq=False)
class Nds:
    """One edition of the standard; what it lacks is not in `values`."""

    edition_id: str
    year: str
    confidence: str
    values: dict[str, ValueRow]
    bending: tuple[BendingRow, ...]
    factors: tuple[FactorRow, ...]

    def __getitem__(self, key: str) -> float:
        """Return a constant that every edition has."""
        return self.values[key].value

    def least(self, *confidences: str) -> str:
        """Return the weakest of some confidences and of the edition itself."""
        return weakest(self.confidence, *confidences)


def read_nds(root: Path) -> dict[str, Nds]:
    """Read the tables once for each edition of the standard.

    Raises
    ------
    TableError
        As `read`.
    """
    held = read(root, "nds_editions.csv", lambda c: (c.key("nds_edition"), c.key("year"), c.confidence()), lambda row: row[0])
    names = [name for name, _, _ in held]
    values = keyed(root, "nds_values.csv", lambda c: _value(c, names), "key")
    bending = read(root, "nds_bending_yield.csv", _bending, lambda row: (row.kind, row.over))
    factors = read(root, "nds_factors.csv", _factor, lambda row: (row.factor, row.condition, row.applies_to))
    return {
        name: Nds(name, year, confidence, {k: v for k, v in values.items() if not v.editions or name in v.editions}, bending, factors)
        for name, year, confidence in held
    }


def _value(c: Cells, editions: list[str]) -> ValueRow:
    return ValueRow(c.key("key"), c.number("value"), c.all_of("editions", editions, "nds_editions.csv"), c.key("clause"), c.confidence())


def _bending(c: Cells) -> BendingRow:
    row = BendingRow(
        c.word("kind", ("plain", "hardened")),
        c.maybe_length("over_in", 0.5) or 0,
        c.length("to_in", 0.5),
        c.number("bending_yield_psi", 0, 200_000),
        c.key("clause"),
        c.confidence(),
    )
    if row.over >= row.to:
        raise ValueError("columns over_in, to_in: no diameter lies between them")
    return row


def _factor(c: Cells) -> FactorRow:
    return FactorRow(
        c.key("factor"),
        c.key("condition"),
        c.words("applies_to", APPLIES_TO),
        c.number("value", 0, 2),
        c.key("clause"),
        c.confidence(),
        c.said("because"),
    )
