"""The tables of the design standard for nails: bending yield, constants, factors, by edition."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.sheet import keyed, length, read

WEAKEST_FIRST = ("memory", "common_practice", "derived", "single_source", "verified")


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
        return min((self.confidence, *confidences), key=WEAKEST_FIRST.index)


def read_nds(root: Path) -> dict[str, Nds]:
    """Read the tables once for each edition of the standard.

    Raises
    ------
    TableError
        As `read`.
    """
    values = keyed(root, "nds_values.csv", _value, "key")
    bending = tuple(read(root, "nds_bending_yield.csv", _bending))
    factors = tuple(read(root, "nds_factors.csv", _factor))
    return {
        name: Nds(name, year, confidence, {k: v for k, v in values.items() if not v.editions or name in v.editions}, bending, factors)
        for name, year, confidence in read(root, "nds_editions.csv", lambda r: (r["nds_edition"], r["year"], _known(r["confidence"])))
    }


def _known(confidence: str) -> str:
    if confidence not in WEAKEST_FIRST:
        raise ValueError(f"confidence {confidence!r}")
    return confidence


def _value(r: dict[str, str]) -> ValueRow:
    return ValueRow(r["key"], float(r["value"]), tuple(r["editions"].split()), r["clause"], _known(r["confidence"]))


def _bending(r: dict[str, str]) -> BendingRow:
    return BendingRow(
        r["kind"], length(r["over_in"]) or 0, length(r["to_in"]) or 0, float(r["bending_yield_psi"]), r["clause"], _known(r["confidence"])
    )


def _factor(r: dict[str, str]) -> FactorRow:
    return FactorRow(
        r["factor"], r["condition"], tuple(r["applies_to"].split()), float(r["value"]), r["clause"], _known(r["confidence"]), r["because"]
    )
