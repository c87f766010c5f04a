"""Where the prescriptive rules of an edition stop."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from service.tables.panels import BASES, EXPOSURES
from service.tables.schedule import CATEGORIES
from service.tables.sheet import Cells, read

HEAVIEST_SNOW_PSF = 400


@dataclass(frozen=True, slots=True)
class ScopeRow:
    """A limit of the prescriptive rules [mph, psf or stories]: `from` = at it and over, `over` = past it, `one_of` = in these categories, `on_it`.

    `categories` are those it is for; none = all.
    """

    kind: str
    exposure: str
    hurricane_prone: bool | None
    categories: tuple[str, ...]
    limit: float
    rule: str
    basis: str
    section: str
    confidence: str
    note: str


def read_scope(root: Path, name: str) -> tuple[ScopeRow, ...]:
    """Return the limits of an edition; `TableError` as `read`."""
    return read(root, name, _scope, lambda row: (row.kind, row.exposure, row.hurricane_prone, row.categories))


LIMITS: dict[str, Callable[[Cells], float]] = {
    "wind": lambda c: c.mph("limit"),
    "snow": lambda c: c.number("limit", 0, HEAVIEST_SNOW_PSF),
    "stories": lambda c: c.count("limit"),
    "seismic": lambda c: 0,
    "hill": lambda c: 0,
}
"""The kinds of limits, and how each is read; seismic ones are a list of categories alone, a hill bars by itself."""
RULES = {"seismic": ("one_of",), "hill": ("on_it",)}
"""How a limit bars, where it does so by no number."""


def _scope(c: Cells) -> ScopeRow:
    kind = c.word("kind", LIMITS)
    if kind == "seismic":
        c.said("seismic_design_categories")
    return ScopeRow(
        kind,
        c.word("exposure", ("", *EXPOSURES)),
        c.maybe_flag("hurricane_prone"),
        c.words("seismic_design_categories", CATEGORIES),
        LIMITS[kind](c),
        c.word("rule", RULES.get(kind, ("from", "over"))),
        c.word("basis", BASES if kind == "wind" else ("",)),
        c.key("section"),
        c.confidence(),
        c.text("note"),
    )
