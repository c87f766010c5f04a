"""Headers, jacks and kings against the tables: what a header may span, and the studs beside it where the caller leaves them out."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from service.domain.joint.stop import Stop, past
from service.domain.site import Site
from service.domain.wall.members import header_depth
from service.domain.wall.wall import LEFT_OUT, EngineeredHeader, Header, Opening, T, Wall
from service.said import say_length
from service.tables.book import Book
from service.tables.confidence import weakest
from service.tables.editions import Edition
from service.tables.framing import HeaderRow, KingRow
from service.ticks import PER_FT


@dataclass(frozen=True, slots=True)
class Carried:
    """What decides the size of a frame: width in ticks, building width in ft, snow in psf; `cripples` where they stand on the header."""

    width: int
    header: Header | EngineeredHeader | None
    exterior: bool
    supports: str
    stud_spacing: int
    building_width_ft: float | None
    ground_snow_load_psf: float | None
    floor_bearing: str = ""
    cripples: bool = False


@dataclass(frozen=True, slots=True)
class Span:
    """What a header may span: `limit` in ticks, None where nothing of its size is held; `unchecked_because` why no row is its own."""

    limit: int | None
    unchecked_because: str
    row: HeaderRow | None = None


Counts = tuple[tuple[str, int], ...]


def complete_openings(wall: Wall, site: Site, edition: Edition, book: Book) -> tuple[Wall, tuple[Counts, ...]]:
    """Fill in jacks and kings that were left out and what each header may span; say what was filled in, opening by opening."""
    if not wall.openings:
        return wall, ()
    done = [_complete(o, wall, site, edition, book) for o in wall.openings]
    return replace(wall, openings=tuple([o for o, _ in done])), tuple([counts for _, counts in done])


def _complete(o: Opening, wall: Wall, site: Site, edition: Edition, book: Book) -> tuple[Opening, Counts]:
    ask = carried(o, wall, site, book)
    span = header_span(ask, edition, book) if wall.bearing else Span(None, "")
    stops = [_past_span(o, span, edition)] if span.row and span.limit is not None and o.width > span.limit else []
    asked_jacks, asked_kings = o.jack_count != LEFT_OUT, o.king_count != LEFT_OUT
    table_jacks, jacks_held = jack_count(ask, edition, book)
    jacks = o.jack_count if asked_jacks else table_jacks
    table_kings, kings_held, past_table = king_count(ask, jacks, site, edition, book)
    kings = o.king_count if asked_kings else table_kings
    under = [(jacks, table_jacks, jacks_held, "jack"), (kings, table_kings, kings_held, "king")]
    filled = replace(
        o,
        jack_count=jacks,
        king_count=kings,
        jacks_guessed=not (asked_jacks or jacks_held),
        kings_guessed=not (asked_kings or kings_held),
        unchecked_because=span.unchecked_because,
        stops=tuple(stops if asked_kings or past_table is None else [*stops, past_table]),
        counts_under=tuple([f"{n} {name} each side, the table asks {t}" for n, t, held, name in under if held and n < t]),
    )
    counts = (("jack_count", jacks, asked_jacks), ("king_count", kings, asked_kings))
    return filled, tuple([(name, count) for name, count, asked in counts if not asked])


def carried(o: Opening, wall: Wall, site: Site, book: Book) -> Carried:
    """Return what decides the frame of an opening."""
    above = T + wall.stud_length - o.head_height - header_depth(o, book)
    return Carried(
        o.width,
        o.header,
        wall.exterior,
        wall.supports,
        wall.spacing,
        None if wall.building_width is None else wall.building_width / PER_FT,
        site.ground_snow_load_psf,
        wall.floor_bearing,
        above >= T,
    )


def jack_count(ask: Carried, edition: Edition, book: Book) -> tuple[int, bool]:
    """Return the jacks each side, and whether a table gave them.

    Table R602.7(1) for No. 2 lumber, at the next tabulated width and snow; else, and not fewer past the row, one up to 72 in
    wide and two above (common practice, no source).
    """
    if ask.header is None:
        return 0, True
    common = 1 if ask.width <= book.rules.one_jack_to else 2
    row = _own_row(ask, edition)
    if row is None:
        return common, False
    return (row.jack_count, True) if _limit(row, ask) >= ask.width else (max(row.jack_count, common), False)


def header_span(ask: Carried, edition: Edition, book: Book) -> Span:
    """Return what a header may span by Table R602.7(1).

    Where no row is held for the case, the most favorable row of its size that could be still bounds it: past that no house
    has such a header.
    """
    header = ask.header
    if header is None:
        return Span(None, "")
    if isinstance(header, EngineeredHeader):
        return Span(None, "its maker's table decides on engineered wood")
    row = _own_row(ask, edition)
    if row:
        return Span(_limit(row, ask), "", row)
    rows = [r for r in _table(edition, book) if (r.ply_count, r.nominal) == (header.ply_count, header.nominal)]
    if not rows:
        return Span(None, f"no row is held for {header.ply_count}-{header.nominal}")
    best = max(_possible(rows, ask), key=lambda r: r.span)
    return Span(_limit(best, ask), _why_unchecked(ask, edition), best)


def _past_span(o: Opening, span: Span, edition: Edition) -> Stop:
    """Say that a header spans more than its row, or than any row of its size, and by how much."""
    row, limit, header = span.row, span.limit, o.header
    assert row and limit is not None and header
    cut = f" (x {float(row.cripple_factor):g} for the cripples on it)" if limit < row.span else ""
    which = "of even the most favorable row of its size in" if span.unchecked_because else "of"
    said = (
        f"header {header.ply_count}-{header.nominal} of opening {o.opening_id} spans {say_length(o.width)}, past the"
        f" {say_length(limit, form='4')} {which} Table {row.table}{cut}, by {say_length(o.width - limit, form='4')}"
    )
    known = weakest(row.confidence, *([row.cripple_confidence] if cut else []), *([] if edition.headers else ["derived"]))
    return past(said, edition.code, edition.year, row.section, row.table, known)


def _limit(row: HeaderRow, ask: Carried) -> int:
    """Return the span of a row, less where cripples stand on the header and so do not hold its top sideways."""
    return int(row.span * row.cripple_factor) if ask.cripples else row.span


def _table(edition: Edition, book: Book) -> tuple[HeaderRow, ...]:
    """Return the header table of the edition, else that of the newest edition that is held."""
    return edition.headers or max((e for e in book.editions.values() if e.headers), key=lambda e: e.year).headers


def _own_row(ask: Carried, edition: Edition) -> HeaderRow | None:
    """Return the row of the case, at the next tabulated width and snow, the safe side; None where it is not held or not known."""
    if not isinstance(ask.header, Header) or ask.building_width_ft is None or ask.ground_snow_load_psf is None or not ask.exterior:
        return None
    snow, width, header = ask.ground_snow_load_psf, ask.building_width_ft, ask.header
    rows = [
        r
        for r in edition.headers
        if (r.supports, r.ply_count, r.nominal) == (ask.supports, header.ply_count, header.nominal)
        and r.floor in ("", ask.floor_bearing)
        and r.ground_snow_load_psf >= snow
        and r.building_width_ft >= width
    ]
    return min(rows, key=lambda r: (r.ground_snow_load_psf, r.building_width_ft), default=None)


def _possible(rows: list[HeaderRow], ask: Carried) -> list[HeaderRow]:
    """Return the rows of a size that the case is no better than, by what is known of it."""
    snow, width = ask.ground_snow_load_psf or 0, ask.building_width_ft or 0
    tests: tuple[Callable[[HeaderRow], bool], ...] = (
        lambda r: r.supports == ask.supports,
        lambda r: r.ground_snow_load_psf >= snow,
        lambda r: r.building_width_ft >= width,
    )
    for kept in tests:
        rows = [r for r in rows if kept(r)] or rows
    return rows


def _why_unchecked(ask: Carried, edition: Edition) -> str:
    missing = [
        name
        for name, value in (("building_width_ft", ask.building_width_ft), ("ground_snow_load_psf", ask.ground_snow_load_psf))
        if value is None
    ]
    if not edition.headers:
        return f"the header table of {edition.code} {edition.year} is not held"
    if not ask.exterior:
        return "the table of interior headers is not held"
    if missing:
        return f"not given: {', '.join(missing)}"
    if ask.supports not in {r.supports for r in edition.headers}:
        return f"no rows are held under {ask.supports.replace('_', ' ')}"
    floors = {r.floor for r in edition.headers if r.supports == ask.supports}
    if ask.floor_bearing not in floors:
        return f"rows are held where the floor bears in the middle of the building too; floor_bearing is {ask.floor_bearing or 'not given'}"
    return "width or snow is past the table"


def king_count(ask: Carried, jacks: int, site: Site, edition: Edition, book: Book) -> tuple[int, bool, Stop | None]:
    """Return the kings each side, whether Table R602.7.5 gave them for this very case, and the stop where its rows end before it.

    Past the wind, exposure or spacing of its columns the severest column serves, past its last row the last row; without a
    table one king (common practice, no source).
    """
    if not ask.exterior or ask.supports == "none" or not edition.kings:
        return 1, False, None
    row = next((r for r in edition.kings if r.header_span_max >= ask.width), None)
    last = edition.kings[-1]
    if row is None:
        said = f"no full-height studs are held for an opening {say_length(ask.width)} wide; Table {last.section} ends at {say_length(last.header_span_max)}"
        return _severest(last), False, past(said, edition.code, edition.year, last.section, last.section, last.confidence)
    if row.narrow_spacing is not None:
        return _by_spacing(row, ask.stud_spacing)
    wind = site.wind_mph("ultimate", book.rules)
    if jacks and wind <= row.low_wind_mph.get(site.exposure, 0):
        return row.low_wind_count or 1, True, None
    return _severest(row), wind < row.high_wind_under_mph.get(site.exposure, 0), None


def _severest(row: KingRow) -> int:
    return max(n or 1 for n in (row.low_wind_count, row.high_wind_count, row.narrow_spacing_count, row.wide_spacing_count))


def _by_spacing(row: KingRow, spacing: int) -> tuple[int, bool, Stop | None]:
    """Read the columns by stud spacing: the wide one at its spacing only, between the two the severer."""
    if spacing == row.wide_spacing and row.wide_spacing_count:
        return row.wide_spacing_count, True, None
    held = row.narrow_spacing is not None and row.narrow_spacing <= spacing <= (row.wide_spacing or 0)
    return _severest(row), held, None
