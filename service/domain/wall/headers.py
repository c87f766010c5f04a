"""Headers, jacks and kings against the tables: what a header may span, and the studs beside it where the caller leaves them out."""

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from service.domain.conditions import USUAL_SPECIES
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

LIGHTER = {
    "roof_only": ("roof_only",),
    "one_story_and_roof": ("roof_only", "one_story_and_roof"),
    "two_stories_and_roof": ("roof_only", "one_story_and_roof"),
}
"""By what a wall supports, the conditions that load a header no more than it: none of their spans is under its own."""


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
    species: str = USUAL_SPECIES


@dataclass(frozen=True, slots=True)
class Span:
    """What a header may span: `limit` in ticks, by `row` of the table of `code` and `year`; None where nothing of its size is held.

    `unchecked_because` says why the row is not its own but bounds it from above; `fits` whether the table is for such walls.
    """

    limit: int | None
    unchecked_because: str
    row: HeaderRow | None = None
    code: str = ""
    year: str = ""
    fits: bool = False

    @property
    def least_jacks(self) -> int:
        """Jacks each side that every row asks which could be the header's own."""
        return self.row.jack_count if self.row and self.fits else 0


Counts = tuple[tuple[str, int], ...]


def complete_openings(
    wall: Wall, site: Site, edition: Edition, book: Book, species: str = USUAL_SPECIES
) -> tuple[Wall, tuple[Counts, ...]]:
    """Fill in jacks and kings that were left out and what each header may span; say what was filled in, opening by opening."""
    if not wall.openings:
        return wall, ()
    done = [_complete(o, wall, site, species, edition, book) for o in wall.openings]
    return replace(wall, openings=tuple([o for o, _ in done])), tuple([counts for _, counts in done])


def _complete(o: Opening, wall: Wall, site: Site, species: str, edition: Edition, book: Book) -> tuple[Opening, Counts]:
    ask = carried(o, wall, site, species, book)
    span = header_span(ask, edition, book)
    stops = [_past_span(o, span.row, span)] if span.row and o.width > (span.limit or 0) else []
    asked_jacks, asked_kings = o.jack_count != LEFT_OUT, o.king_count != LEFT_OUT
    table_jacks, jacks_held = jack_count(ask, edition, book)
    jacks = o.jack_count if asked_jacks else table_jacks
    table_kings, kings_held, past_table = king_count(ask, jacks, site, edition, book)
    kings = o.king_count if asked_kings else table_kings
    least_kings = table_kings if past_table is None else 0
    under = [(jacks, span.least_jacks, "jack"), (kings, least_kings, "king")]
    filled = replace(
        o,
        jack_count=jacks,
        king_count=kings,
        jacks_guessed=not (asked_jacks or jacks_held),
        kings_guessed=not (asked_kings or kings_held),
        unchecked_because=span.unchecked_because,
        stops=tuple(stops if asked_kings or past_table is None else [*stops, past_table]),
        counts_under=tuple([f"{n} {name}{'' if n == 1 else 's'} each side, the table asks {t}" for n, t, name in under if n < t]),
    )
    counts = (("jack_count", jacks, asked_jacks), ("king_count", kings, asked_kings))
    return filled, tuple([(name, count) for name, count, asked in counts if not asked])


def carried(o: Opening, wall: Wall, site: Site, species: str, book: Book) -> Carried:
    """Return what decides the frame of an opening."""
    above = T + wall.stud_length - o.head_height - header_depth(o, wall, book)
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
        species,
    )


def jack_count(ask: Carried, edition: Edition, book: Book) -> tuple[int, bool]:
    """Return the jacks each side, and whether a row of Table R602.7(1) gave them, at the next tabulated width and snow.

    Else one up to 72 in wide and two above (common practice, no source), not fewer than every row asks that could be its own.
    """
    if ask.header is None:
        return 0, True
    common = 1 if ask.width <= book.rules.one_jack_to else 2
    span = header_span(ask, edition, book)
    if span.row and not span.unchecked_because and ask.width <= (span.limit or 0):
        return span.row.jack_count, True
    return max(common, span.least_jacks), False


@lru_cache(maxsize=512)
def header_span(ask: Carried, edition: Edition, book: Book) -> Span:
    """Return what a header in a bearing wall may span by Table R602.7(1).

    What is not given is read as the most favorable column, what is past the last one as that, what carries more than any row as
    the heaviest row: so the row is the header's own or bounds it from above. Where the table is not for such walls, or the
    edition holds none, the most favorable cell of the size in the newest table does.
    """
    header = ask.header
    if header is None or ask.supports == "none":
        return Span(None, "")
    if isinstance(header, EngineeredHeader):
        return Span(None, "its maker's table decides on engineered wood")
    unfit, source = _unfit(ask, edition), edition if edition.headers else _newest_held(book)
    if source is None:
        return Span(None, unfit)
    rows = [r for r in source.headers if r.nominal == header.nominal and r.ply_count >= header.ply_count]
    if not rows:
        return _thicker(ask, header, unfit or _not_own(ask, header, edition), source, book)
    row = _most_favorable(rows) if unfit else _bounding(rows, ask)
    limit = None if row is None else _limit(row, ask)
    return Span(limit, unfit or _not_own(ask, header, edition), row, source.code, source.year, not unfit)


def _thicker(ask: Carried, header: Header, because: str, source: Edition, book: Book) -> Span:
    """Bound a header of which no row is held by the most favorable row that is at least as deep.

    By statics no limit grows faster than the thickness: shear with it, bending with its square root, stiffness with its cube root.
    """
    size = book.lumber[header.nominal]
    deep = [r for r in source.headers if book.lumber[r.nominal].depth >= size.depth]
    row = min(deep, key=lambda r: (book.lumber[r.nominal].depth, -r.ply_count, -r.span), default=None)
    if row is None:
        return Span(None, because)
    share = Fraction(header.ply_count * size.thickness, row.ply_count * book.lumber[row.nominal].thickness)
    return Span(int(_limit(row, ask) * max(share, Fraction(1))), because, row, source.code, source.year, False)


@lru_cache(maxsize=8)
def _newest_held(book: Book) -> Edition | None:
    return max((e for e in book.editions.values() if e.headers), key=lambda e: e.year, default=None)


def _unfit(ask: Carried, edition: Edition) -> str:
    """Say why the header table of the edition is not for such a wall."""
    if not edition.headers:
        return f"the header table of {edition.code} {edition.year} is not held"
    if not ask.exterior:
        return "the table of interior headers is not held"
    if ask.supports not in LIGHTER:
        return f"no rows are held under {ask.supports.replace('_', ' ')}"
    species = edition.headers[0].species
    return "" if ask.species in species else f"the table is for {', '.join(species)}, not for {ask.species}"


def _not_own(ask: Carried, header: Header, edition: Edition) -> str:
    """Say why no row is the header's own: none is held, or what would choose it is not given or past the table."""
    size = (ask.supports, header.ply_count, header.nominal)
    own = [r for r in edition.headers if (r.supports, r.ply_count, r.nominal) == size]
    if not own:
        return f"no row is held for {header.ply_count}-{header.nominal} under {ask.supports.replace('_', ' ')}"
    given = (("building_width_ft", ask.building_width_ft), ("ground_snow_load_psf", ask.ground_snow_load_psf))
    missing = ", ".join(name for name, value in given if value is None)
    widest, most_snow = max(r.building_width_ft for r in own), max(r.ground_snow_load_psf for r in own)
    floors = {r.floor for r in own}
    said = (
        (f"not given: {missing}", bool(missing)),
        (
            f"rows are held where the floor bears in the middle of the building too; floor_bearing is {ask.floor_bearing or 'not given'}",
            not floors & {"", ask.floor_bearing},
        ),
        (f"building_width_ft is past the {widest:g} of the table", (ask.building_width_ft or 0) > widest),
        (f"ground_snow_load_psf is past the {most_snow:g} of the table", (ask.ground_snow_load_psf or 0) > most_snow),
    )
    return "; ".join(because for because, true in said if true)


def _limit(row: HeaderRow, ask: Carried) -> int:
    """Return the span of a row, less where cripples stand on the header and so do not hold its top sideways."""
    return int(row.span * row.cripple_factor) if ask.cripples else row.span


def _most_favorable(rows: list[HeaderRow]) -> HeaderRow | None:
    """Return the row that spans most, of those of the fewest plies: more plies span more."""
    return max(rows, key=lambda r: (-r.ply_count, r.span), default=None)


def _bounding(rows: list[HeaderRow], ask: Carried) -> HeaderRow | None:
    """Return the row that spans least of those that are no worse than the case: its own where that is held and known."""
    if not rows:
        return None
    snow = min(ask.ground_snow_load_psf or 0, max(r.ground_snow_load_psf for r in rows))
    width = min(ask.building_width_ft or 0, max(r.building_width_ft for r in rows))
    best: dict[tuple[str, int], HeaderRow] = {}
    for r in rows:
        if r.supports in LIGHTER[ask.supports] and r.ground_snow_load_psf >= snow and r.building_width_ft >= width:
            key = (r.supports, r.ply_count)
            best[key] = max(best.get(key, r), r, key=lambda r: r.span)
    return min(best.values(), key=lambda r: r.span)


def _past_span(o: Opening, row: HeaderRow, span: Span) -> Stop:
    """Say that a header spans more than its row, or than any row that could be its own, and by how much."""
    header, limit = o.header, span.limit or 0
    own = f"{header.ply_count}-{header.nominal}" if header else row.nominal
    cut = f" (x {float(row.cripple_factor):g} for the cripples on it)" if limit < row.span else ""
    alike = header is None or (header.nominal == row.nominal and header.ply_count <= row.ply_count)
    which = (
        "of"
        if not span.unchecked_because
        else f"of even the most favorable row of {'its size' if alike else f'{row.ply_count}-{row.nominal}, by thickness,'} in"
    )
    table = f"{span.code} {span.year} Table {row.table}" if span.unchecked_because else f"Table {row.table}"
    said = (
        f"header {own} of opening {o.opening_id} spans {say_length(o.width)}, past the"
        f" {say_length(limit, form='4')} {which} {table}{cut}, by {say_length(o.width - limit, form='4')}"
    )
    known = weakest(row.confidence, *([row.cripple_confidence] if cut else []), *([] if span.fits else ["derived"]))
    return past("header", said, span.code, span.year, row.section, row.table, known)


def king_count(ask: Carried, jacks: int, site: Site, edition: Edition, book: Book) -> tuple[int, bool, Stop | None]:
    """Return the kings each side, whether Table R602.7.5 gave them for this very case, and the stop where its rows end before it.

    Past the wind, exposure or spacing of its columns the severest column serves, past its last row the last row; without a
    table one king (common practice, no source). The table is for headers in exterior walls, also such as do not bear.
    """
    if ask.header is None:
        return 1, True, None
    if not ask.exterior or not edition.kings:
        return 1, False, None
    row = next((r for r in edition.kings if r.header_span_max >= ask.width), None)
    last = edition.kings[-1]
    if row is None:
        over = ask.width - last.header_span_max
        said = f"no full-height studs are held for an opening {say_length(ask.width)} wide; Table {last.section} ends at {say_length(last.header_span_max)}, {say_length(over)} less; send king_count from a design"
        return _severest(last), False, past("kings", said, edition.code, edition.year, last.section, last.section, last.confidence)
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
