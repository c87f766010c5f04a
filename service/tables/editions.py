"""Reads the folder of one code edition: its facts and every table that is its own."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from service.errors import TableError
from service.tables.bracing import FILES, Bracing, read_bracing
from service.tables.cautions import SourceRow
from service.tables.framing import (
    HeaderRow,
    KingRow,
    SplicePlateRow,
    StudLimitRow,
    read_headers,
    read_kings,
    read_splice_plates,
    read_stud_limits,
)
from service.tables.joints import ConnectionRow
from service.tables.nails import NailRow
from service.tables.panels import LIGHT_FIELD, LIGHT_NAIL, FootnoteRow, SpanRatingRow, WindPanelRow, read_footnotes, read_wind_panels
from service.tables.schedule import CATEGORIES, ScheduleRow, read_schedule
from service.tables.sheet import Cells, read
from service.tables.site import ScopeRow, read_scope
from service.tables.standard import Nds
from service.tables.ties import TIE_FILES, AnchorRules, RoofTies, read_anchor_bolts, read_roof_ties
from service.tables.wood import LumberRow, SpeciesRow

NOT_IN_EVERY_EDITION = ("anchor_bolts", "bracing", "headers", "kings", "roof_ties", "splice_plates")
Table = TypeVar("Table")
Rows = TypeVar("Rows")


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """What the tables of every edition name: copies read, nails, joints, sizes, ratings, editions of the design standard."""

    sources: dict[str, SourceRow]
    nails: dict[str, NailRow]
    connections: dict[str, ConnectionRow]
    lumber: dict[str, LumberRow]
    species: dict[str, SpeciesRow]
    span_ratings: dict[str, SpanRatingRow]
    nds: dict[str, Nds]


@dataclass(frozen=True, slots=True, eq=False)
class Edition:
    """One code edition: what it is, its rows, its limits; `nds_edition` is the design standard behind calculated numbers."""

    edition_id: str
    code: str
    year: str
    title: str
    jurisdiction: str
    coverage: str
    rows: dict[str, tuple[ScheduleRow, ...]]
    wind_panels: tuple[WindPanelRow, ...]
    scope: tuple[ScopeRow, ...]
    footnotes: tuple[FootnoteRow, ...]
    stud_limits: dict[str, StudLimitRow]
    headers: tuple[HeaderRow, ...]
    kings: tuple[KingRow, ...]
    splice_plates: tuple[SplicePlateRow, ...]
    bracing: Bracing | None
    roof_ties: RoofTies | None
    anchor_bolts: AnchorRules | None
    seismic_design_categories: tuple[str, ...]
    complete: bool
    carbon_steel_only: bool
    plate_joint_offset: int
    nds_edition: str

    def footnote(self, *kinds: str) -> FootnoteRow | None:
        """Return the first footnote of some kinds; None where the edition has none."""
        return next((f for f in self.footnotes if f.kind in kinds), None)

    @property
    def low_gravity_framing(self) -> bool:
        """Whether the panels of the edition ask for more in light framing."""
        return self.footnote(LIGHT_FIELD, LIGHT_NAIL) is not None


def read_edition(root: Path, folder: str, shared: Shared) -> Edition:
    """Return the edition of a folder.

    Raises
    ------
    TableError
        A file, a column or a key is missing, a cell cannot be read, or a table is held that `tables_held` does not name.
    """
    facts = _facts(root, folder, shared)

    def whole(name: str, read_it: Callable[[Path, str], Table], *files: str) -> Table | None:
        if name in facts.words("tables_held"):
            return read_it(root, folder)
        found = [f"{folder}/{file}.csv" for file in files if (root / f"{folder}/{file}.csv").exists()]
        if found:
            raise TableError(f"table {found[0]}: is there, but tables_held of {folder}/edition.csv does not name it")
        return None

    def held(name: str, read_it: Callable[[str], tuple[Rows, ...]]) -> tuple[Rows, ...]:
        return whole(name, lambda root, folder: read_it(f"{folder}/{name}.csv"), name) or ()

    return Edition(
        edition_id=facts.text("code_edition"),
        code=facts.text("code"),
        year=facts.text("edition"),
        title=facts.text("title"),
        jurisdiction=facts.text("jurisdiction"),
        coverage=facts.text("coverage"),
        rows=read_schedule(root, f"{folder}/schedule.csv", shared.sources, shared.nails, shared.connections),
        wind_panels=read_wind_panels(root, f"{folder}/wall_panel_wind.csv", shared.sources, shared.nails, shared.span_ratings),
        scope=read_scope(root, f"{folder}/scope.csv"),
        footnotes=read_footnotes(root, f"{folder}/footnotes.csv", shared.nails),
        stud_limits=read_stud_limits(root, f"{folder}/stud_limits.csv", shared.lumber),
        headers=held("headers", lambda file: read_headers(root, file, shared.lumber, shared.species)),
        kings=held("kings", lambda file: read_kings(root, file)),
        splice_plates=held("splice_plates", lambda file: read_splice_plates(root, file, shared.nails)),
        bracing=whole("bracing", read_bracing, *(f"bracing_{table}" for table in FILES)),
        roof_ties=whole("roof_ties", read_roof_ties, *TIE_FILES),
        anchor_bolts=whole("anchor_bolts", read_anchor_bolts, "anchor_bolts"),
        seismic_design_categories=facts.words("seismic_design_categories"),
        complete=facts.flag("complete"),
        carbon_steel_only=facts.flag("carbon_steel_only"),
        plate_joint_offset=facts.spacing("plate_joint_offset_in"),
        nds_edition=facts.text("nds_edition"),
    )


def _facts(root: Path, folder: str, shared: Shared) -> Cells:
    """Return the facts of edition.csv by key, each checked as the cell of a column of that name."""
    name = f"{folder}/edition.csv"
    kinds: dict[str, Callable[[Cells, str], object]] = {
        "code_edition": lambda c, k: c.word(k, (folder.rsplit("/", 1)[-1].replace("_", "-"),)),
        "code": Cells.key,
        "edition": Cells.key,
        "title": Cells.said,
        "jurisdiction": Cells.said,
        "coverage": Cells.said,
        "complete": Cells.flag,
        "seismic_design_categories": lambda c, k: c.said(k) and c.words(k, CATEGORIES),
        "plate_joint_offset_in": Cells.spacing,
        "plate_joint_offset_section": Cells.key,
        "plate_joint_offset_confidence": Cells.confidence,
        "carbon_steel_only": Cells.flag,
        "nds_edition": lambda c, k: c.one_of(k, shared.nds, "nds_editions.csv"),
        "tables_held": lambda c, k: c.words(k, NOT_IN_EVERY_EDITION),
    }

    def fact(c: Cells) -> tuple[str, str]:
        key, value = c.word("key", kinds), c.text("value")
        kinds[key](Cells({key: value}), key)
        return key, value

    facts = dict(read(root, name, fact, lambda pair: pair[0]))
    missing = [key for key in kinds if key not in facts]
    if missing:
        raise TableError(f"table {name}: key {missing[0]} is missing")
    return Cells(facts)
