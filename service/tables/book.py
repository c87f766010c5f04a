"""Opens the tables once, joins them, and hands out editions."""

import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from service.errors import TableError
from service.tables.cautions import CautionRow, NextStep, SourceRow, read_cautions, read_next_steps, read_sources
from service.tables.editions import Edition, Shared, read_edition
from service.tables.joints import ConnectionRow, read_connections
from service.tables.manifest import check_manifest, table_files
from service.tables.nails import NailRow, read_nails
from service.tables.packaging import Packaging, read_packaging
from service.tables.panels import SpanRatingDefaultRow, SpanRatingRow, read_span_rating_defaults, read_span_ratings
from service.tables.rules import Rules, read_rules
from service.tables.schedule import ScheduleRow, read_common_practice
from service.tables.shear import Sdpws, read_sdpws
from service.tables.sheet import numbered_lines
from service.tables.standard import Nds, read_nds
from service.tables.trade import TradeWords, read_trade_words
from service.tables.wood import LumberRow, MaterialRow, SpeciesRow, read_lumber, read_materials, read_species

HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True, eq=False)
class Book:
    """Every table of the service; a book is equal to itself alone, so that what is kept of one is never told of another."""

    editions: dict[str, Edition]
    connections: dict[str, ConnectionRow]
    nails: dict[str, NailRow]
    species: dict[str, SpeciesRow]
    materials: dict[str, MaterialRow]
    nds: dict[str, Nds]
    sdpws: dict[str, Sdpws]
    lumber: dict[str, LumberRow]
    cautions: dict[str, CautionRow]
    next_steps: dict[str, NextStep]
    sources: dict[str, SourceRow]
    span_ratings: dict[str, SpanRatingRow]
    span_rating_defaults: tuple[SpanRatingDefaultRow, ...]
    common_practice: dict[str, ScheduleRow]
    rules: Rules
    packaging: Packaging
    trade: TradeWords
    wall_joints: dict[str, ConnectionRow]
    """The joints of a wall plan by their place in it, one of `WALL_PLACES`."""
    checksum: str
    data_version: str

    @property
    def panel_side(self) -> MaterialRow:
        """What a panel is taken for when strengths are compared."""
        return self.materials[self.rules.panel_side_material]

    def standard_of(self, edition_id: str) -> Nds:
        """Return the design standard behind calculated numbers of a code edition."""
        return self.nds[self.editions[edition_id].nds_edition]

    @property
    def studs(self) -> tuple[str, ...]:
        """The stud sizes that every edition has limits for."""
        return tuple(next(iter(self.editions.values())).stud_limits)


def checksum(root: Path = HERE) -> str:
    """Return the SHA-256 of every table file, in path order."""
    digest = hashlib.sha256()
    for path in table_files(root):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


@cache
def open_book(root: Path = HERE, checked: bool = True) -> Book:
    """Read all tables once.

    Parameters
    ----------
    checked : bool
        Compare with the manifest too, once every cell has been read: a bad cell is named before a checksum is.

    Raises
    ------
    TableError
        A file is missing, a column is missing, a key stands twice, a cell cannot be read, or the manifest says otherwise.
    """
    shared = Shared(
        sources=read_sources(root),
        nails=read_nails(root),
        connections=read_connections(root),
        lumber=read_lumber(root),
        species=read_species(root),
        span_ratings=read_span_ratings(root),
        nds=read_nds(root),
    )
    folders = {folder: read_edition(root, folder, shared) for folder in edition_folders(root)}
    _same_studs(folders)
    rules, materials = read_rules(root), read_materials(root)
    if rules.panel_side_material not in materials:
        raise TableError(f"table service_rules.csv: panel_side_material {rules.panel_side_material!r} is not in materials.csv")
    total = checksum(root)
    book = Book(
        editions={e.edition_id: e for e in folders.values()},
        connections=shared.connections,
        nails=shared.nails,
        species=shared.species,
        materials=materials,
        nds=shared.nds,
        sdpws=read_sdpws(root, shared.nails),
        lumber=shared.lumber,
        cautions=read_cautions(root),
        next_steps=read_next_steps(root),
        sources=shared.sources,
        span_ratings=shared.span_ratings,
        span_rating_defaults=read_span_rating_defaults(root, shared.span_ratings),
        common_practice=read_common_practice(root, shared.connections),
        rules=rules,
        packaging=read_packaging(root, shared.nails),
        trade=read_trade_words(root, shared.connections, shared.species),
        wall_joints={c.in_wall: c for c in shared.connections.values() if c.in_wall},
        checksum=total,
        data_version=f"{_version(root)}+{total[:8]}",
    )
    if checked:
        check_manifest(root)
    return book


def edition_folders(root: Path) -> list[str]:
    """Return the folders of the editions, country by country: us/ibc_2015 and so on.

    Raises
    ------
    TableError
        There is none.
    """
    found = [p.relative_to(root).as_posix() for p in sorted(root.glob("[a-z]*/[a-z]*")) if p.is_dir()]
    if not found:
        raise TableError(f"no edition folders under {root}")
    return found


def _same_studs(folders: dict[str, Edition]) -> None:
    """Check that every edition has limits for the same studs: a wall may name any of them."""
    every = {stud for e in folders.values() for stud in e.stud_limits}
    for folder, e in folders.items():
        missing = sorted(every - set(e.stud_limits))
        if missing:
            raise TableError(f"table {folder}/stud_limits.csv: holds no stud {missing[0]}, which other editions do")


def _version(root: Path) -> str:
    lines = [line for _, line in numbered_lines(root, "VERSION")]
    if len(lines) != 1 or not lines[0].replace(".", "").isalnum():
        raise TableError("table VERSION: must hold one line, the version of the data")
    return lines[0]
