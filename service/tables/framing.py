"""What the code says of studs, headers, kings and a single top plate."""

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from service.tables.nails import NailRow
from service.tables.sheet import Cells, keyed, read
from service.tables.wood import LumberRow, SpeciesRow

SUPPORTS = ("roof_only", "one_story_and_roof", "two_stories_and_roof", "one_floor_only")
FLOORS = ("center", "clear_span")
"""How a floor bears: on a wall or beam in the middle of the building too, or from wall to wall."""
MOST_STUDS = 8


@dataclass(frozen=True, slots=True)
class StudLimitRow:
    """Largest stud spacing by what the wall supports; None = not permitted. `code` and `year`: the table, where it is not the edition's own."""

    stud: str
    spacing: dict[str, int | None]
    bearing_height: int
    nonbearing_height: int
    nonbearing_spacing: int
    code: str
    year: str
    section: str
    table: str
    confidence: str

    def widest(self, supports: str) -> int | None:
        """Return the largest stud spacing under what the wall supports, `none` for a wall that does not bear; ticks."""
        return self.nonbearing_spacing if supports == "none" else self.spacing[supports]


@dataclass(frozen=True, slots=True)
class SplicePlateRow:
    """Steel plate of a single top plate: where, size, nails each side."""

    where: str
    high_seismic_wide_lines: bool
    plate: str
    nail_id: str
    nail_count_per_side: int
    section: str
    confidence: str


@dataclass(frozen=True, slots=True)
class HeaderRow:
    """A header span of the table: psf, ft, ticks, jacks each side.

    `floor` says how the floor it carries bears, empty where it carries none; `cripple_factor` is times the span where
    cripples stand on the header; `species` are the groups the row is printed for.
    """

    supports: str
    floor: str
    ply_count: int
    nominal: str
    ground_snow_load_psf: float
    building_width_ft: float
    span: int
    jack_count: int
    cripple_factor: Fraction
    cripple_confidence: str
    species: tuple[str, ...]
    section: str
    table: str
    confidence: str


@dataclass(frozen=True, slots=True)
class KingRow:
    """Full-height studs at each end of a header, by wind or by stud spacing; ticks, ultimate mph, None = not asked by the row."""

    header_span_max: int
    low_wind_mph: dict[str, float]
    low_wind_count: int | None
    high_wind_under_mph: dict[str, float]
    high_wind_count: int | None
    narrow_spacing: int | None
    narrow_spacing_count: int | None
    wide_spacing: int | None
    wide_spacing_count: int | None
    section: str
    confidence: str


def read_stud_limits(root: Path, name: str, lumber: dict[str, LumberRow]) -> dict[str, StudLimitRow]:
    """Return the stud limits of an edition by stud; `TableError` as `read`."""
    return keyed(root, name, lambda c: _stud_limit(c, lumber), "stud")


def read_splice_plates(root: Path, name: str, nails: dict[str, NailRow]) -> tuple[SplicePlateRow, ...]:
    """Return the splice plates of an edition; `TableError` as `read`."""
    return read(root, name, lambda c: _splice_plate(c, nails), lambda row: (row.where, row.high_seismic_wide_lines))


def read_headers(root: Path, name: str, lumber: dict[str, LumberRow], species: dict[str, SpeciesRow]) -> tuple[HeaderRow, ...]:
    """Return the header spans of an edition; `TableError` as `read`."""
    return read(
        root,
        name,
        lambda c: _header(c, lumber, species),
        lambda r: (r.supports, r.floor, r.ply_count, r.nominal, r.ground_snow_load_psf, r.building_width_ft),
    )


def read_kings(root: Path, name: str) -> tuple[KingRow, ...]:
    """Return the king studs of an edition, shortest header first; `TableError` as `read`."""
    rows = read(root, name, _king, lambda row: row.header_span_max)
    return tuple(sorted(rows, key=lambda row: row.header_span_max))


def _stud_limit(c: Cells, lumber: dict[str, LumberRow]) -> StudLimitRow:
    return StudLimitRow(
        c.one_of("stud", lumber, "lumber.csv"),
        {s: c.maybe_spacing(f"{s}_in") for s in SUPPORTS},
        c.feet("bearing_height_ft"),
        c.feet("nonbearing_height_ft"),
        c.spacing("nonbearing_spacing_in"),
        c.text("code"),
        c.text("edition"),
        c.key("section"),
        c.key("table"),
        c.confidence(),
    )


def _splice_plate(c: Cells, nails: dict[str, NailRow]) -> SplicePlateRow:
    return SplicePlateRow(
        c.word("where", ("corner", "intersection", "butt_joint")),
        c.flag("high_seismic_wide_lines"),
        c.said("plate_in"),
        c.one_of("nail_id", nails, "fasteners.csv"),
        c.count("nail_count_per_side"),
        c.key("section"),
        c.confidence(),
    )


def _header(c: Cells, lumber: dict[str, LumberRow], species: dict[str, SpeciesRow]) -> HeaderRow:
    return HeaderRow(
        c.word("supports", SUPPORTS),
        c.word("floor", ("", *FLOORS)),
        c.count("ply_count", MOST_STUDS),
        c.one_of("nominal", lumber, "lumber.csv"),
        c.number("ground_snow_load_psf", 0, 300),
        c.number("building_width_ft", 0, 100),
        c.length("span_in"),
        c.count("jack_count", MOST_STUDS),
        Fraction(str(c.number("cripple_factor", 0, 1))),
        c.confidence("cripple_confidence"),
        c.all_of("species", species, "species.csv"),
        c.key("section"),
        c.key("table"),
        c.confidence(),
    )


def _king(c: Cells) -> KingRow:
    low, high = c.maybe_mph("low_wind_mph_b"), {e: c.maybe_mph(f"high_wind_under_mph_{e.lower()}") for e in "BC"}
    row = KingRow(
        c.length("header_span_max_in"),
        {} if low is None else {"B": low},
        c.maybe_count("low_wind_count", MOST_STUDS),
        {e: mph for e, mph in high.items() if mph is not None},
        c.maybe_count("high_wind_count", MOST_STUDS),
        c.maybe_spacing("narrow_spacing_in"),
        c.maybe_count("narrow_spacing_count", MOST_STUDS),
        c.maybe_spacing("wide_spacing_in"),
        c.maybe_count("wide_spacing_count", MOST_STUDS),
        c.key("section"),
        c.confidence(),
    )
    by_wind = (row.low_wind_mph, row.low_wind_count, row.high_wind_under_mph, row.high_wind_count)
    by_spacing = (row.narrow_spacing, row.narrow_spacing_count, row.wide_spacing, row.wide_spacing_count)
    if not (all(by_wind) and not any(by_spacing) or all(by_spacing) and not any(by_wind)):
        raise ValueError("says neither every count by wind nor every count by stud spacing")
    return row
