"""Jacks and kings where the caller leaves them out: from the header and king tables, else as is common."""

from dataclasses import dataclass, replace

from service.domain.site import Site
from service.domain.wall.wall import LEFT_OUT, Header, Opening, Wall
from service.tables.book import Book
from service.tables.editions import Edition
from service.tables.framing import HeaderRow
from service.ticks import PER_FT


@dataclass(frozen=True, slots=True)
class Carried:
    """What decides the size of a frame: width in ticks, building width in ft, snow in psf."""

    width: int
    header: Header | None
    exterior: bool
    supports: str
    stud_spacing: int
    building_width_ft: float | None
    ground_snow_load_psf: float | None


Counts = tuple[tuple[str, int], ...]


def complete_openings(wall: Wall, site: Site, edition: Edition, book: Book) -> tuple[Wall, tuple[Counts, ...]]:
    """Fill in jacks and kings that were left out and the span of each header's row; say what was filled in, opening by opening."""
    if not wall.openings:
        return wall, ()
    done = [_complete(o, wall, site, edition, book) for o in wall.openings]
    return replace(wall, openings=tuple([o for o, _ in done])), tuple([counts for _, counts in done])


def _complete(o: Opening, wall: Wall, site: Site, edition: Edition, book: Book) -> tuple[Opening, Counts]:
    wide = wall.building_width
    ask = Carried(
        o.width,
        o.header,
        wall.exterior,
        wall.supports,
        wall.spacing,
        None if wide is None else wide / PER_FT,
        site.ground_snow_load_psf,
    )
    asked_jacks, asked_kings = o.jack_count != LEFT_OUT, o.king_count != LEFT_OUT
    jacks, jacks_held = (o.jack_count, True) if asked_jacks else jack_count(ask, edition, book)
    kings, kings_held = (o.king_count, True) if asked_kings else king_count(ask, site, edition, book)
    filled = replace(
        o,
        jack_count=jacks,
        king_count=kings,
        jacks_guessed=not jacks_held,
        kings_guessed=not kings_held,
        span_limit=span_limit(ask, edition),
    )
    counts = (("jack_count", jacks, asked_jacks), ("king_count", kings, asked_kings))
    return filled, tuple([(name, count) for name, count, asked in counts if not asked])


def jack_count(ask: Carried, edition: Edition, book: Book) -> tuple[int, bool]:
    """Return the jacks each side, and whether a table gave them.

    Table R602.7(1) for No. 2 lumber under roof and ceiling, at the next tabulated width and snow; else one up to 72 in wide
    and two above (common practice, no source).
    """
    if ask.header is None:
        return 0, True
    common = 1 if ask.width <= book.rules.one_jack_to else 2
    row = _row(ask, edition)
    return (row.jack_count, True) if row and row.span >= ask.width else (common, False)


def span_limit(ask: Carried, edition: Edition) -> int | None:
    """Return the span of the header in Table R602.7(1), in ticks; None where no row is held or the inputs are not given."""
    row = _row(ask, edition)
    return row.span if row else None


def _row(ask: Carried, edition: Edition) -> HeaderRow | None:
    """Return the row of the next tabulated width and snow, the safe side."""
    if ask.header is None or ask.building_width_ft is None or ask.ground_snow_load_psf is None or not ask.exterior:
        return None
    snow, width, header = ask.ground_snow_load_psf, ask.building_width_ft, ask.header
    rows = [
        r
        for r in edition.headers
        if (r.supports, r.ply_count, r.nominal) == (ask.supports, header.ply_count, header.nominal)
        and r.ground_snow_load_psf >= snow
        and r.building_width_ft >= width
    ]
    return min(rows, key=lambda r: (r.ground_snow_load_psf, r.building_width_ft), default=None)


def king_count(ask: Carried, site: Site, edition: Edition, book: Book) -> tuple[int, bool]:
    """Return the kings each side, and whether Table R602.7.5 gave them; else one (common practice, no source)."""
    if not ask.exterior or ask.supports == "none":
        return 1, False
    row = next((r for r in edition.kings if r.header_span_max >= ask.width), None)
    if row is None:
        return 1, False
    wind = site.wind_mph("ultimate", book.rules)
    if row.narrow_spacing is not None:
        count = row.narrow_spacing_count if ask.stud_spacing <= row.narrow_spacing else row.wide_spacing_count
    elif wind <= row.low_wind_mph.get(site.exposure, 0):
        count = row.low_wind_count
    else:
        count = row.high_wind_count if wind < row.high_wind_under_mph.get(site.exposure, 0) else None
    return (count, True) if count else (1, False)
