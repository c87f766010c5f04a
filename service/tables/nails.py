"""The nail catalogue."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.confidence import WEAKEST_FIRST, weakest
from service.tables.sheet import Cells, keyed

TYPES = ("common", "box", "sinker", "power_driven", "power_driven_ring", "roof_sheathing_ring", "post_frame_ring")
SHANKS = ("smooth", "ring", "screw")


@dataclass(frozen=True, slots=True)
class NailRow:
    """One catalogue nail: lengths and diameters in ticks."""

    nail_id: str
    type: str
    pennyweight: str
    length: int
    diameter: int
    head_diameter: int | None
    shank: str
    root_diameter: int | None
    ring_length: int | None
    hardened: bool
    confidence: str
    head_confidence: str
    source: str
    note: str


def read_nails(root: Path) -> dict[str, NailRow]:
    """Return the nails by id.

    Raises
    ------
    TableError
        As `read`.
    """
    return keyed(root, "fasteners.csv", _nail, "nail_id")


def _nail(c: Cells) -> NailRow:
    both = weakest(c.confidence("length_confidence"), c.confidence("diameter_confidence"))
    return NailRow(
        nail_id=c.key("nail_id"),
        type=c.word("type", TYPES),
        pennyweight=c.text("pennyweight"),
        length=c.length("length_in", 12),
        diameter=c.length("shank_diameter_in", 0.5),
        head_diameter=c.maybe_length("head_diameter_in", 2),
        shank=c.word("shank", SHANKS),
        root_diameter=c.maybe_length("root_diameter_in", 0.5),
        ring_length=c.maybe_length("ring_length_in", 12),
        hardened=c.flag("hardened"),
        confidence=both,
        head_confidence=c.word("head_confidence", ("", *WEAKEST_FIRST)),
        source=c.text("source"),
        note=c.text("note"),
    )
