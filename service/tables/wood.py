"""Species groups, side members other than lumber, and dressed sizes."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.sheet import Cells, keyed

HEAVIEST_WOOD, STRONGEST_PSI = 1.3, 200_000


@dataclass(frozen=True, slots=True)
class SpeciesRow:
    """A species group: specific gravity [-], dowel bearing strength [psi]."""

    species: str
    name: str
    specific_gravity: float
    dowel_bearing_psi: float
    confidence: str
    source: str


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """A side member that is not lumber: specific gravity [-], dowel bearing strength [psi]."""

    material: str
    name: str
    kind: str
    specific_gravity: float | None
    dowel_bearing_psi: float | None
    confidence: str
    source: str


@dataclass(frozen=True, slots=True)
class LumberRow:
    """A dressed size: ticks; weight in lb per ft, None = by specific gravity."""

    nominal: str
    thickness: int
    depth: int
    nominal_thickness_in: int
    nominal_depth_in: int
    weight_lb_per_ft: float | None
    confidence: str


def read_species(root: Path) -> dict[str, SpeciesRow]:
    """Return the species groups by key; `TableError` as `read`."""
    return keyed(root, "species.csv", _species, "species")


def read_materials(root: Path) -> dict[str, MaterialRow]:
    """Return the side members by key; `TableError` as `read`."""
    return keyed(root, "materials.csv", _material, "material")


def read_lumber(root: Path) -> dict[str, LumberRow]:
    """Return the dressed sizes by nominal size; `TableError` as `read`."""
    return keyed(root, "lumber.csv", _lumber, "nominal")


def _species(c: Cells) -> SpeciesRow:
    return SpeciesRow(
        c.key("species"),
        c.said("name"),
        c.number("specific_gravity", 0, HEAVIEST_WOOD),
        c.number("dowel_bearing_psi", 0, STRONGEST_PSI),
        c.confidence(),
        c.said("source"),
    )


def _material(c: Cells) -> MaterialRow:
    return MaterialRow(
        c.key("material"),
        c.said("name"),
        c.word("kind", ("wood_structural_panel", "steel")),
        c.maybe_number("specific_gravity", 0, HEAVIEST_WOOD),
        c.maybe_number("dowel_bearing_psi", 0, STRONGEST_PSI),
        c.confidence(),
        c.said("source"),
    )


def _lumber(c: Cells) -> LumberRow:
    return LumberRow(
        c.key("nominal"),
        c.length("thickness_in", 24),
        c.length("depth_in", 24),
        c.count("nominal_thickness_in", 24),
        c.count("nominal_depth_in", 24),
        c.maybe_number("weight_lb_per_ft", 0, 100),
        c.confidence(),
    )
