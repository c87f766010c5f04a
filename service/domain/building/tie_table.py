"""Reads the uplift table: which block, which column, in a straight line between spans and winds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from service.domain.joint.scope import HAIR
from service.domain.site import Site
from service.said import say_feet, say_length, say_speed
from service.tables.rules import Rules
from service.tables.ties import RoofTies, TieRow
from service.ticks import PER_FT

Point = TypeVar("Point", int, float)


@dataclass(frozen=True, slots=True)
class Roof:
    """A roof over the wall that carries it; lengths in ticks.

    Attributes
    ----------
    span, tie_spacing : int
        Span between the walls that carry it; rafters or trusses on center.
    mean_height, overhang, corner_distance : int or None
        Mean roof height; overhang past the wall; how far the tie stands from the nearest corner. None: the worst that the table serves.
    full_walls_above : int
        Full stories of wall between roof and tie: none where rafter meets plate.
    """

    span: int
    pitch_in_12: float
    tie_spacing: int
    mean_height: int | None = None
    overhang: int | None = None
    corner_distance: int | None = None
    hip: bool = False
    full_walls_above: int = 0


@dataclass(frozen=True, slots=True)
class Reading:
    """What the table reads before any factor [lb, lb/ft], the lines that were read, and how in words."""

    tie_lb: float
    plf: float
    lines: tuple[TieRow, ...]
    rules_used: tuple[str, ...]
    said: str


def read_ties(roof: Roof, site: Site, ties: RoofTies, rules: Rules) -> Reading:
    """Read the table in a straight line between its spans and winds.

    Between its spacings a tie carries the lesser of the next wider row and the row that may be read in pounds a foot.
    """
    r = ties.rules
    wind, used = _column(site, ties, rules)
    span = max(roof.span, r.short_span_reads)
    used += ["short_span_reads"] if span > roof.span else []
    block, steep = ties.blocks[block_of(site, ties)], roof.pitch_in_12 >= r.steep_from
    corners = [(s, w, a * b) for s, a in _around(span, ties.spans) for w, b in _around(wind, ties.winds)]

    def at(spacing: int) -> float:
        return sum(share * _cell(block[spacing, s, w], steep) for s, w, share in corners)

    row = next(s for s in ties.spacings if s >= roof.tie_spacing)
    by_foot = at(r.plf_spacing) * roof.tie_spacing / r.plf_spacing
    read_by_foot = row != roof.tie_spacing and by_foot < at(row)
    row = r.plf_spacing if read_by_foot else row
    said = _say_reading(roof, site, ties, span, wind, row, at(row))
    lines = tuple(block[row, s, w] for s, w, _ in corners)
    plf = at(row) * PER_FT / row
    if not read_by_foot:
        return Reading(at(row), plf, lines, tuple(used), said)
    used.append("plf_spacing")
    return Reading(by_foot, plf, lines, tuple(used), f"{said}, {plf:.5g} lb/ft; ties at {say_length(roof.tie_spacing)}: {by_foot:.5g} lb")


def _column(site: Site, ties: RoofTies, rules: Rules) -> tuple[float, list[str]]:
    """Return the wind that the table is read at [mph], and the rules that say so."""
    r = ties.rules
    wind = max(site.wind_mph(r.wind_basis, rules), r.slow_wind_reads)
    used = ["slow_wind_reads"] if wind > site.wind_mph(r.wind_basis, rules) + HAIR else []
    up = columns_up(site, ties)
    if not up:
        return wind, used
    column = next(i for i, w in enumerate(ties.winds) if w >= wind - HAIR)
    between = abs(ties.winds[column] - wind) > HAIR
    return ties.winds[column + up], [*used, "columns_up", *(["between_columns_raised"] if between else [])]


def _cell(line: TieRow, steep: bool) -> float:
    return line.steep_lb if steep else line.shallow_lb


def _around(x: Point, points: Sequence[Point]) -> Iterator[tuple[Point, float]]:
    """Yield the points about x with their shares in a straight line between them; a point alone where x stands on it."""
    low = max(p for p in points if p <= x + HAIR)
    high = min((p for p in points if p >= x - HAIR), default=low)
    if high == low:
        yield low, 1.0
        return
    yield low, (high - x) / (high - low)
    yield high, (x - low) / (high - low)


def _say_reading(roof: Roof, site: Site, ties: RoofTies, span: int, wind: float, spacing: int, pounds: float) -> str:
    steep = f"{ties.rules.steep_from:g} in 12"
    pitch = f"{steep} and more" if roof.pitch_in_12 >= ties.rules.steep_from else f"under {steep}"
    where = f"Table {table_of(ties)}, Exposure {block_of(site, ties)}, {say_length(spacing)} ties, pitch {pitch}"
    return f"{where}: {say_feet(span)} and {say_speed(f'{wind:.5g}')} read {pounds:.5g} lb"


def block_of(site: Site, ties: RoofTies) -> str:
    """Return the block of the table that an exposure reads."""
    return ties.rules.next_column_block if site.exposure == ties.rules.next_column_exposure else site.exposure


def table_of(ties: RoofTies) -> str:
    """Return the number of the table."""
    return ties.rules.rows["wind_basis"].table


def columns_up(site: Site, ties: RoofTies) -> int:
    """Return how many columns past its own wind an exposure reads."""
    return ties.rules.columns_up if site.exposure == ties.rules.next_column_exposure else 0
