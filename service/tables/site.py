"""Where the prescriptive rules of an edition stop."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.panels import BASES, EXPOSURES
from service.tables.schedule import CATEGORIES
from service.tables.sheet import Cells, read

HEAVIEST_SNOW_PSF = 400


@dataclass(frozen=True, slots=True)
class ScopeRow:
    """A limit of the prescriptive rules [mph or psf]: `from` = at it and over, `over` = past it, `one_of` = these seismic categories."""

    kind: str
    exposure: str
    hurricane_prone: bool | None
    limit: float
    categories: tuple[str, ...]
    rule: str
    basis: str
    section: str
    confidence: str
    note: str


def read_scope(root: Path, name: str) -> tuple[ScopeRow, ...]:
    """Return the limits of an edition; `TableError` as `read`."""
    return read(root, name, _scope, lambda row: (row.kind, row.exposure, row.hurricane_prone))


def _scope(c: Cells) -> ScopeRow:
    kind = c.word("kind", ("wind", "seismic", "snow"))
    seismic = kind == "seismic"
    if seismic and not c.words("limit", CATEGORIES):
        raise ValueError("column limit: is empty")
    return ScopeRow(
        kind,
        c.word("exposure", ("", *EXPOSURES)),
        c.maybe_flag("hurricane_prone"),
        0 if seismic else c.mph("limit") if kind == "wind" else c.number("limit", 0, HEAVIEST_SNOW_PSF),
        c.words("limit", CATEGORIES) if seismic else (),
        c.word("rule", ("one_of",) if seismic else ("from", "over")),
        c.word("basis", BASES if kind == "wind" else ("",)),
        c.key("section"),
        c.confidence(),
        c.text("note"),
    )
