"""Opens the tables once, checks them, and hands out editions."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TypeVar

from service.errors import TableError
from service.tables.editions import Edition, read_edition
from service.tables.nds import Nds, read_nds
from service.tables.rows import (
    CautionRow,
    ConnectionRow,
    HeaderRow,
    KingRow,
    LumberRow,
    MaterialRow,
    NailRow,
    OptionRow,
    PerJoint,
    ScheduleRow,
    SourceRow,
    SpanRatingRow,
    SpeciesRow,
    SplicePlateRow,
    StudLimitRow,
)
from service.tables.sheet import flag, keyed, length, number, read
from service.ticks import PER_FT, ticks

HERE = Path(__file__).parent
HeldRow = TypeVar("HeldRow", HeaderRow, KingRow, SplicePlateRow)
ROW_COUNTS = {"each_edge": 2, "top_and_bottom": 2}


@dataclass(frozen=True, slots=True, eq=False)
class Book:
    """Every table of the service."""

    editions: dict[str, Edition]
    connections: dict[str, ConnectionRow]
    nails: dict[str, NailRow]
    species: dict[str, SpeciesRow]
    materials: dict[str, MaterialRow]
    nds: dict[str, Nds]
    lumber: dict[str, LumberRow]
    cautions: dict[str, CautionRow]
    sources: dict[str, SourceRow]
    span_ratings: dict[str, SpanRatingRow]
    span_rating_defaults: tuple[tuple[int, str, str], ...]
    stud_limits: dict[str, StudLimitRow]
    splice_plates: tuple[SplicePlateRow, ...]
    common_practice: dict[str, ScheduleRow]
    headers: tuple[HeaderRow, ...]
    kings: tuple[KingRow, ...]
    checksum: str
    data_version: str = field(default="")


def held_in(edition: Edition, rows: Iterable[HeldRow]) -> list[HeldRow]:
    """Return the rows of a table of many editions that one edition holds, in their order."""
    return [r for r in rows if edition.edition_id in r.editions]


def checksum(root: Path = HERE) -> str:
    """Return the SHA-256 of every table file, in path order."""
    digest = hashlib.sha256()
    for path in sorted(root.rglob("*.csv")):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


@cache
def open_book(root: Path = HERE) -> Book:
    """Read all tables once.

    Raises
    ------
    TableError
        A file is missing, a column is missing, a key stands twice, or a cell cannot be read.
    """
    sources = keyed(root, "sources.csv", lambda r: SourceRow(**r), "source_id")
    sheets = sorted(p.name for p in (root / "editions").glob("*") if p.is_dir()) if (root / "editions").is_dir() else []
    if not sheets:
        raise TableError(f"no edition folders under {root / 'editions'}")
    editions = [read_edition(root, name, sources) for name in sheets]
    total = checksum(root)
    return Book(
        editions={e.edition_id: e for e in editions},
        connections=keyed(root, "connections.csv", _connection, "connection_id"),
        nails=keyed(root, "fasteners.csv", _nail, "nail_id"),
        species=keyed(root, "species.csv", _species, "species"),
        materials=keyed(root, "materials.csv", _material, "material"),
        nds=read_nds(root),
        lumber=keyed(root, "lumber.csv", _lumber, "nominal"),
        cautions=keyed(root, "cautions.csv", _caution, "code"),
        sources=sources,
        span_ratings=keyed(root, "span_ratings.csv", _span_rating, "span_rating"),
        span_rating_defaults=tuple(
            read(root, "span_rating_defaults.csv", lambda r: (ticks(r["min_thickness_in"]), r["span_rating"], r["confidence"]))
        ),
        stud_limits=keyed(root, "stud_limits.csv", _stud_limit, "stud"),
        splice_plates=tuple(read(root, "splice_plates.csv", _splice_plate)),
        common_practice=keyed(root, "common_practice.csv", _common_practice, "connection_id"),
        headers=tuple(read(root, "headers.csv", _header)),
        kings=tuple(read(root, "kings.csv", _king)),
        checksum=total,
        data_version=f"{_version(root)}+{total[:8]}",
    )


def _version(root: Path) -> str:
    try:
        return (root / "VERSION").read_text().strip()
    except OSError as error:
        raise TableError(f"{root / 'VERSION'}: missing") from error


def _nail(r: dict[str, str]) -> NailRow:
    weakest = "memory" if "memory" in (r["length_confidence"], r["diameter_confidence"]) else "verified"
    return NailRow(
        nail_id=r["nail_id"],
        type=r["type"],
        pennyweight=r["pennyweight"],
        length=ticks(r["length_in"]),
        diameter=ticks(r["shank_diameter_in"]),
        head_diameter=length(r["head_diameter_in"]),
        shank=r["shank"],
        root_diameter=length(r["root_diameter_in"]),
        ring_length=length(r["ring_length_in"]),
        hardened=bool(flag(r["hardened"])),
        confidence=weakest,
        head_confidence=r["head_confidence"],
        source=r["source"],
        note=r["note"],
    )


def _species(r: dict[str, str]) -> SpeciesRow:
    return SpeciesRow(r["species"], r["name"], float(r["specific_gravity"]), float(r["dowel_bearing_psi"]), r["confidence"], r["source"])


def _material(r: dict[str, str]) -> MaterialRow:
    return MaterialRow(
        r["material"], r["name"], r["kind"], number(r["specific_gravity"]), number(r["dowel_bearing_psi"]), r["confidence"], r["source"]
    )


def _lumber(r: dict[str, str]) -> LumberRow:
    return LumberRow(
        r["nominal"],
        ticks(r["thickness_in"]),
        ticks(r["depth_in"]),
        int(r["nominal_thickness_in"]),
        int(r["nominal_depth_in"]),
        number(r["weight_lb_per_ft"]),
        r["confidence"],
    )


def _connection(r: dict[str, str]) -> ConnectionRow:
    return ConnectionRow(
        r["connection_id"],
        r["group"],
        r["method"],
        bool(flag(r["panel"])),
        length(r["side_thickness_in"]),
        length(r["main_thickness_in"]),
        length(r["receiving_width_in"]),
        r["description"],
    )


def _caution(r: dict[str, str]) -> CautionRow:
    if r["severity"] not in ("info", "caution", "warning", "stop"):
        raise ValueError(f"severity {r['severity']!r}")
    return CautionRow(**{**r, "standing": bool(flag(r["standing"]))})  # type: ignore[arg-type]  # csv cells are text, the one flag is converted


def _span_rating(r: dict[str, str]) -> SpanRatingRow:
    return SpanRatingRow(r["span_rating"], int(r["rank"]), length(r["max_stud_spacing_in"]))


def _stud_limit(r: dict[str, str]) -> StudLimitRow:
    columns = ("roof_only", "one_story_and_roof", "two_stories_and_roof", "one_floor_only")
    return StudLimitRow(
        r["stud"],
        {c: length(r[c]) for c in columns},
        ticks(r["bearing_height_ft"], PER_FT),
        ticks(r["nonbearing_height_ft"], PER_FT),
        ticks(r["nonbearing_spacing_in"]),
        r["section"],
        r["confidence"],
    )


def _splice_plate(r: dict[str, str]) -> SplicePlateRow:
    return SplicePlateRow(
        tuple(r["editions"].split()),
        r["where"],
        bool(flag(r["high_seismic_wide_lines"])),
        r["plate_in"],
        r["nail_id"],
        int(r["nail_count_per_side"]),
        r["section"],
        r["confidence"],
    )


def _header(r: dict[str, str]) -> HeaderRow:
    return HeaderRow(
        tuple(r["editions"].split()),
        r["supports"],
        int(r["ply_count"]),
        r["nominal"],
        float(r["ground_snow_load_psf"]),
        float(r["building_width_ft"]),
        ticks(r["span_in"]),
        int(r["jack_count"]),
        r["section"],
        r["confidence"],
    )


def _king(r: dict[str, str]) -> KingRow:
    low, high, narrow, wide = (
        int(r[c]) if r[c] else None for c in ("low_wind_count", "high_wind_count", "narrow_spacing_count", "wide_spacing_count")
    )
    return KingRow(
        tuple(r["editions"].split()),
        ticks(r["header_span_max_in"]),
        {"B": float(r["low_wind_mph_b"])} if r["low_wind_mph_b"] else {},
        low,
        {e: float(r[f"high_wind_under_mph_{e.lower()}"]) for e in "BC" if r[f"high_wind_under_mph_{e.lower()}"]},
        high,
        length(r["narrow_spacing_in"]),
        narrow,
        wide,
        r["section"],
        r["confidence"],
    )


def _common_practice(r: dict[str, str]) -> ScheduleRow:
    nailing = PerJoint(int(r["count"]), r["counted_by"])
    option = OptionRow(
        fastener="nail",
        shank="any",
        nail_id="",
        pennyweight="",
        length=ticks(r["min_length_in"]),
        diameter=ticks(r["min_diameter_in"]),
        diameter_max=ticks(r["max_diameter_in"]),
        head_diameter=None,
        detail="",
        nailing=nailing,
        max_wind_mph=None,
        alternate=False,
        table="",
        sources=(),
        confidence=r["confidence"],
        note=r["note"],
        use=(),
    )
    return ScheduleRow("", r["connection_id"], "", "", "", None, None, None, (), r["confidence"], r["note"], (option,))
