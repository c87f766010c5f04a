"""Checks a braced wall line: the length it needs by wind and by earthquake, what each panel contributes, where panels stand."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

from service.domain.building.line import BracedLine, BracePanel
from service.domain.joint.scope import HAIR, site_limits_passed
from service.domain.joint.stop import Provenance, Stop, joined, past
from service.domain.wall.wall import LEAST_STORIES, Wall
from service.said import say_feet, say_length, say_speed
from service.tables.book import Book
from service.tables.bracing import Bracing, MethodRow, Printed, SeismicFactorRow, WindFactorRow
from service.tables.editions import Edition
from service.tables.rules import Rules
from service.ticks import PER_FT

LOWEST_FT = 8
"""Lower walls are read as these, the lowest column of the bracing tables."""


@dataclass(frozen=True, slots=True)
class Factor:
    """A factor on a length, and why it applies."""

    load: str
    name: str
    value: float
    because: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Required:
    """A length of bracing by one load [ft]: the table's, each factor, the product."""

    load: str
    tabulated_ft: float
    factors: tuple[Factor, ...]
    provenance: Provenance

    @property
    def length_ft(self) -> float:
        """The length asked for [ft]."""
        total = self.tabulated_ft
        for f in self.factors:
            total *= f.value
        return total

    @property
    def length(self) -> int:
        """The length asked for, rounded up to a tick; a product of factors may miss a whole one by a hair."""
        return ceil(self.length_ft * PER_FT - PER_FT * HAIR)


@dataclass(frozen=True, slots=True)
class PanelCheck:
    """A panel, what it contributes [ticks] and why."""

    panel: BracePanel
    contributing: int
    least: int | None
    reason: str

    @property
    def counts(self) -> bool:
        """Whether the panel counts at all."""
        return self.contributing > 0


@dataclass(frozen=True, slots=True)
class BracingCheck:
    """The answer for one line; nothing is required of it where `stop` says why there is no number."""

    line: BracedLine
    edition: Edition
    method: MethodRow | None
    stop: Stop | None
    wind: Required | None
    seismic: Required | None
    panels: tuple[PanelCheck, ...]
    faults: tuple[str, ...]
    doubts: tuple[str, ...]

    @property
    def governing(self) -> Required | None:
        """The greater of the two lengths."""
        return max((r for r in (self.wind, self.seismic) if r), key=lambda r: r.length_ft, default=None)

    @property
    def required(self) -> int | None:
        """The governing length, rounded up to a tick; None where there is none."""
        return None if self.governing is None else self.governing.length

    @property
    def provided(self) -> int | None:
        """The sum of what the panels contribute; ticks. None where there is no number."""
        return None if self.stop else sum(p.contributing for p in self.panels)

    @property
    def shortfall(self) -> int | None:
        """What is missing; ticks."""
        return None if self.required is None or self.provided is None else max(self.required - self.provided, 0)

    @property
    def verdict(self) -> str | None:
        """`adequate`, `short` (of length, or of a panel where one must stand), `needs_check`; None where there is no number."""
        if self.stop or self.shortfall is None:
            return None
        if self.shortfall or self.faults:
            return "short"
        return "needs_check" if self.doubts else "adequate"


def check_line(line: BracedLine, book: Book) -> BracingCheck:
    """Check a braced wall line.

    References
    ----------
    IRC R602.10.1 to R602.10.8; Tables R602.10.3(1) to (4), R602.10.4, R602.10.5, R602.10.5.2.
    """
    edition = book.editions[line.edition_id]
    tables = edition.bracing
    if tables is None:
        stop = Stop("value_not_held", f"the bracing tables of {edition.code} {edition.year} are not held here")
        return BracingCheck(line, edition, None, stop, None, None, (), (), ())
    method = tables.methods[line.method_id]
    stops = [*site_limits_passed(line.site, edition, book.rules), *_limits(line, method, tables, edition, book.rules)]
    wind = None if stops else _wind(line, method, tables, edition, book.rules)
    seismic = _seismic(line, method, tables, edition, book.rules) if not stops and line.site.seismic_bracing(book.rules) else None
    stops += [r for r in (wind, seismic) if isinstance(r, Stop)]
    if stops:
        return BracingCheck(line, edition, method, joined(stops), None, None, (), (), ())
    assert not isinstance(wind, Stop) and not isinstance(seismic, Stop)
    panels = tuple(_panel(p, line, method, tables, book.rules) for p in line.panels)
    faults = tuple(_layout_faults(line, method, tables, panels, book.rules))
    return BracingCheck(line, edition, method, None, wind, seismic, panels, faults, tuple(_doubts(line, method)))


def height_ft(wall_height: int, rules: Rules) -> float:
    """Return the height of a wall as the tables read it [ft]: walls of precut studs by their whole feet."""
    over = wall_height - rules.precut_over
    return over / PER_FT if over % PER_FT == 0 else wall_height / PER_FT


def _limits(line: BracedLine, method: MethodRow, tables: Bracing, edition: Edition, rules: Rules) -> Iterator[Stop]:
    """Say each limit of the bracing tables that the line is past."""
    limits, mph = tables.rules, line.site.wind_mph("ultimate", rules)

    def stop(key: str, said: str) -> Stop:
        where = limits.rows[key]
        return past("bracing", said, edition.code, edition.year, where.section, None, where.confidence)

    if mph >= limits.wind_from - HAIR:
        over = f", by {say_speed(f'{mph - limits.wind_from:.4g}')}" if mph > limits.wind_from + HAIR else ""
        yield stop(
            "wind_from",
            f"wind {line.site.say_wind(rules)} reaches the {say_speed(f'{limits.wind_from:g}')} ultimate where Table R602.10.3(1) ends{over}",
        )
    if height_ft(line.wall_height, rules) * PER_FT > limits.wall_height:
        yield stop(
            "wall_height",
            f"wall height {say_length(line.wall_height)} is past the {say_length(limits.wall_height)} of the bracing tables, by {say_length(line.wall_height - limits.wall_height)}",
        )
    high, townhouse = line.site.high_seismic(rules), line.site.seismic_bracing(rules)
    key = "line_spacing_high_seismic" if high else "line_spacing_townhouse" if townhouse else "line_spacing_wind"
    most = getattr(limits, key)
    if line.line_spacing > most:
        yield stop(
            key,
            f"braced wall lines {say_feet(line.line_spacing)} apart are past the {say_feet(most)} of the tables, by {say_feet(line.line_spacing - most)}",
        )
    if high and line.masonry_veneer:
        yield Stop(
            "engineering_required_scope",
            "masonry veneer in seismic design category D0 to D2 has a section and a table of its own, not held here",
            None,
            ("bracing",),
        )
    if line.story_count < LEAST_STORIES[line.supports]:
        yield Stop(
            "engineering_required_scope",
            f"a building of {line.story_count} stories has no wall that supports {line.supports.replace('_', ' ')}",
            None,
            ("bracing",),
        )
    far = [w for w in line.walls if w.offset > limits.offset_from_line]
    if far:
        yield stop(
            "offset_from_line",
            f"a wall stands {say_feet(far[0].offset)} off the line, past the {say_feet(limits.offset_from_line)} allowed, by {say_feet(far[0].offset - limits.offset_from_line)}",
        )


def _between(points: Iterable[tuple[float, float]], at: float) -> float | None:
    """Read a table between its lines, its first line below them; None past the last."""
    ordered = sorted(points)
    if not ordered or at > ordered[-1][0] + HAIR:
        return None
    if at <= ordered[0][0]:
        return ordered[0][1]
    for (a, low), (b, high) in zip(ordered, ordered[1:], strict=False):
        if at <= b + HAIR:
            return low + (high - low) * (at - a) / (b - a)
    return ordered[-1][1]


def _wind(line: BracedLine, method: MethodRow, tables: Bracing, edition: Edition, rules: Rules) -> Required | Stop:
    """Return the length by wind: Table R602.10.3(1) read between speeds and line spacings, times the factors of (2)."""
    rows = [r for r in tables.wind if r.story == line.story and r.group == method.group]
    mph, spacing = line.site.wind_mph("ultimate", rules), line.line_spacing / PER_FT
    by_speed: dict[float, list[tuple[float, float]]] = {}
    for r in rows:
        by_speed.setdefault(float(r.load), []).append((r.at_ft, r.length_ft))
    columns = [(speed, length) for speed, points in by_speed.items() if (length := _between(points, spacing)) is not None]
    tabulated = _between(columns, mph)
    if tabulated is None:
        return _not_permitted(line, method, "", edition)
    factors: list[Factor] = []
    for name, because in _wind_conditions(line, method, rules):
        value = _wind_factor(name, line, tables, rules)
        if value is None:
            return _past_factor(name, because, tables.wind_factors, edition)
        factors.append(Factor("wind", name, value[0], because, _cited(value[1], edition)))
    return Required("wind", tabulated, tuple(factors), _cited(rows[0].printed, edition))


def _cited(where: Printed, edition: Edition) -> Provenance:
    return Provenance(edition.code, edition.year, where.section, where.table or None, None, None, where.confidence)


def _not_permitted(line: BracedLine, method: MethodRow, shaken: str, edition: Edition) -> Stop:
    where = method.printed
    said = f"method {method.method_id} is not permitted where the line supports {line.supports.replace('_', ' ')}{shaken}"
    return past("bracing", said, edition.code, edition.year, where.section, where.table, where.confidence)


def _past_factor(name: str, because: str, rows: Iterable[WindFactorRow | SeismicFactorRow], edition: Edition) -> Stop:
    where = next(r.printed for r in rows if r.factor == name)
    said = f"{because} is past the factors for {name.replace('_', ' ')}"
    return past("bracing", said, edition.code, edition.year, where.section, where.table, where.confidence)


def _wind_conditions(line: BracedLine, method: MethodRow, rules: Rules) -> Iterator[tuple[str, str]]:
    """Yield each factor on the wind length that applies, and why."""
    stories = "story" if line.story_count == 1 else "stories"
    yield "exposure", f"exposure {line.site.exposure}, {line.story_count} {stories}"
    yield "eave_to_ridge", f"eave to ridge {say_feet(line.eave_to_ridge)}"
    yield "wall_height", f"wall height {say_length(line.wall_height)}"
    yield "line_count", f"{line.line_count} braced wall lines in this direction"
    if line.hold_down and "hold_down" in method.takes and line.story == "one_or_top":
        yield "hold_down", "hold-downs of 800 lb at both ends of each panel, top story"
    yield from _omitted(line, method)


def _omitted(line: BracedLine, method: MethodRow) -> Iterator[tuple[str, str]]:
    if not line.gypsum_inside and "gypsum" in method.takes:
        yield "gypsum_omitted", "no gypsum board on the inside face"
    if not line.blocked and "blocking" in method.takes:
        yield "blocking_omitted", "level panel joints without blocking"


def _wind_factor(name: str, line: BracedLine, tables: Bracing, rules: Rules) -> tuple[float, Printed] | None:
    """Return a factor of Table R602.10.3(2); None past its last line."""
    rows = [r for r in tables.wind_factors if r.factor == name and r.story in ("", line.story)]
    at: dict[str, float] = {
        "eave_to_ridge": line.eave_to_ridge / PER_FT,
        "wall_height": height_ft(line.wall_height, rules),
        "line_count": min(line.line_count, max((r.at or 0 for r in rows), default=0)),
    }
    if name == "exposure":
        rows = [r for r in rows if r.exposure == line.site.exposure and r.stories == line.story_count]
    found = _between([(r.at or 0, r.value) for r in rows], at.get(name, 0))
    return None if found is None else (found, rows[0].printed)


def _seismic(line: BracedLine, method: MethodRow, tables: Bracing, edition: Edition, rules: Rules) -> Required | Stop:
    """Return the length by earthquake: Table R602.10.3(3) by the length of the line, times the factors of (4)."""
    category = line.site.seismic_design_category
    rows = [r for r in tables.seismic if (r.load, r.story, r.group) == (category, line.story, method.group)]
    if not rows:
        return _not_permitted(line, method, f", seismic design category {category}", edition)
    tabulated = _between([(r.at_ft, r.length_ft) for r in rows], line.length / PER_FT)
    if tabulated is None:
        longest, where = max(r.at_ft for r in rows), rows[0].printed
        said = f"the line is {say_feet(line.length)} long, past the {longest:g} ft of Table {where.table}"
        return past("bracing", said, edition.code, edition.year, where.section, where.table, where.confidence)
    factors: list[Factor] = []
    for name, at, because in _seismic_conditions(line, method, rules):
        rows_of = [r for r in tables.seismic_factors if r.factor == name and _meant(r, line)]
        row = next((r for r in sorted(rows_of, key=lambda r: r.to or 0) if r.to is None or at <= r.to + HAIR), None)
        if row is None:
            return _past_factor(name, because, tables.seismic_factors, edition)
        factors.append(Factor("seismic", name, row.value, because, _cited(row.printed, edition)))
    return Required("seismic", tabulated, tuple(factors), _cited(rows[0].printed, edition))


def _meant(row: SeismicFactorRow, line: BracedLine) -> bool:
    return row.story in ("", line.story) and (not row.categories or line.site.seismic_design_category in row.categories)


def _seismic_conditions(line: BracedLine, method: MethodRow, rules: Rules) -> Iterator[tuple[str, float, str]]:
    """Yield each factor on the seismic length that applies, what it is read by, and why."""
    yield "wall_height", height_ft(line.wall_height, rules), f"wall height {say_length(line.wall_height)}"
    yield "line_spacing", line.line_spacing / PER_FT, f"braced wall lines {say_feet(line.line_spacing)} apart"
    yield "wall_dead_load", line.wall_dead_load_psf, f"walls weigh {line.wall_dead_load_psf:g} psf"
    yield "roof_dead_load", line.roof_dead_load_psf, f"roof and ceiling weigh {line.roof_dead_load_psf:g} psf"
    if line.masonry_veneer:
        yield "masonry_veneer", 0, "stone or masonry veneer"
    yield from ((name, 0, because) for name, because in _omitted(line, method))


def _least(panel: BracePanel, line: BracedLine, method: MethodRow, tables: Bracing, rules: Rules) -> int | None:
    """Return the shortest panel that counts; None where none does."""
    category = line.site.seismic_design_category
    if method.by_opening:
        reaching = [r for r in tables.least if r.opening_height is not None and r.opening_height >= panel.opening_height]
        nearest = min((r.opening_height or 0 for r in reaching), default=None)
        rows = [r for r in reaching if r.opening_height == nearest]
    else:
        rows = [
            r
            for r in tables.least
            if r.method_id == method.method_id and r.story in ("", line.story) and (not r.categories or category in r.categories)
        ]
    columns = _columns([(r.wall_height_ft, r.length) for r in rows], line.wall_height, rules)
    return max(columns) if columns else None


def _columns(printed: list[tuple[float, int]], wall_height: int, rules: Rules) -> list[int]:
    """Return the columns on both sides of a wall height, as the severer of them serves; none where one of them is not printed.

    Beside tall openings the lower wall asks for the longer panel, else the taller one. Walls under 8 ft take the 8 ft column.
    """
    height, by_height = max(height_ft(wall_height, rules), LOWEST_FT), dict(printed)
    beside = {float(floor(height + HAIR)), float(ceil(height - HAIR))}
    return [by_height[h] for h in beside] if beside <= by_height.keys() else []


def _panel(panel: BracePanel, line: BracedLine, method: MethodRow, tables: Bracing, rules: Rules) -> PanelCheck:
    """Say what a panel contributes."""
    unlike = _unlike(panel.wall, method) if panel.wall else ""
    if unlike:
        return PanelCheck(panel, 0, None, unlike)
    least = _least(panel, line, method, tables, rules)
    beside = f", beside an opening {say_length(panel.opening_height)} high" if method.by_opening and panel.opening_height else ""
    if least is None:
        said = f"no length of {method.method_id} counts in a wall {say_length(line.wall_height)} high{beside}"
        return PanelCheck(panel, 0, None, said)
    if panel.length < least:
        part = _partial(panel, line, method, tables, rules)
        said = f"{say_length(panel.length)} is under the {say_length(least)} that count{beside}"
        if part:
            said += f"; in part by Table {tables.partial[0].printed.table}: {say_length(part)}"
        return PanelCheck(panel, part, least, said)
    contributing = _contributing(panel, line, method, rules)
    return PanelCheck(
        panel,
        contributing,
        least,
        f"{say_length(panel.length)}, {say_length(least)} at least{beside}: contributes {say_length(contributing)}",
    )


def _unlike(wall: Wall, method: MethodRow) -> str:
    """Say what a wall has otherwise than the method asks; nothing where it is alike, or of a material that no wall here says."""
    sheets, least = wall.sheathing, method.least_sheet
    if least is not None and (sheets is None or sheets.thickness < least):
        has = f"panels of the wall are {say_length(sheets.thickness)} thick" if sheets else "the wall has no sheathing"
        return f"{has}; {method.method_id} asks for panels of {say_length(least)} at least"
    if method.widest_studs is not None and wall.spacing > method.widest_studs:
        return f"studs {say_length(wall.spacing)} apart are past the {say_length(method.widest_studs)} of {method.method_id}"
    return ""


def _contributing(panel: BracePanel, line: BracedLine, method: MethodRow, rules: Rules) -> int:
    match method.contributing:
        case "half_or_actual":
            return panel.length if line.both_faces else panel.length // 2
        case "48":
            return rules.braced_panel_length
        case "1.5":
            return panel.length * 3 // 2
        case "1.5_or_actual":
            return panel.length if line.site.high_seismic(rules) else panel.length * 3 // 2
    return panel.length


def _partial(panel: BracePanel, line: BracedLine, method: MethodRow, tables: Bracing, rules: Rules) -> int:
    """Return what a panel under the least length still contributes in categories A to C; Table R602.10.5.2, ticks."""
    if not method.partial or line.site.high_seismic(rules):
        return 0
    shortest = min(r.length for r in tables.partial)
    lengths = []
    for height in {r.wall_height_ft for r in tables.partial}:
        points = [(float(r.length), float(r.contributing)) for r in tables.partial if r.wall_height_ft == height]
        held = panel.length >= min(length for length, _ in points)
        lengths.append((height, int(_between(points, panel.length) or 0) if held else 0))
    return min(_columns(lengths, line.wall_height, rules), default=0) if panel.length >= shortest else 0


def _layout_faults(line: BracedLine, method: MethodRow, tables: Bracing, panels: tuple[PanelCheck, ...], rules: Rules) -> Iterator[str]:
    """Say where a panel is missing (R602.10.2.2, R602.10.2.3, R602.10.7)."""
    limits, counted = tables.rules, sorted((p.panel for p in panels if p.counts), key=lambda p: p.start)
    if not counted:
        yield "no panel of the line counts"
        return
    edges = [(0, counted[0].start), *((a.end, b.start) for a, b in pairwise(counted)), (counted[-1].end, line.length)]
    for i, (a, b) in enumerate(edges):
        at_end = i in (0, len(edges) - 1)
        most = limits.first_panel_within if at_end else limits.clear_between_panels
        if b - a > most:
            what = "to the end of the line" if at_end else "between panels"
            yield f"{say_feet(b - a)} {what}, from {say_feet(a)} to {say_feet(b)}, without a panel that counts; {say_feet(most)} at most"
    if method.portal_frames and len(counted) > limits.portal_frames:
        yield f"{len(counted)} portal frames count; {limits.portal_frames} at most in a line"
    # an unbroken stretch holds a panel in each 4 ft: a blind wall is no single panel
    held = sum(max(1, p.panel.length // max(p.least or 0, limits.one_panel_length)) for p in panels if p.counts)
    enough = held > 1 or line.length <= limits.one_panel_line and counted[0].length >= limits.one_panel_length
    if not enough:
        yield f"one panel counts; a line takes two, or one of {say_length(limits.one_panel_length)} where it is {say_feet(limits.one_panel_line)} or shorter"
    if line.site.high_seismic(rules) and (edges[0][1] or edges[-1][0] < line.length):
        if not (line.end_condition == "return_panel" and (method.continuous or method.by_opening or "WSP" in method.method_id)):
            yield "in seismic design category D0 to D2 a panel stands at each end of the line, or a 24 in panel each side of the corner"
    if method.continuous and line.end_condition == "end_panel_48":
        short = [p for p in (counted[0], counted[-1]) if p.length < limits.end_panel]
        if short or edges[0][1] or edges[-1][0] < line.length:
            yield f"the end panels are not both {say_length(limits.end_panel)} long and at the ends of the line"
    if not line.blocked and method.joints_blocked and "blocking" not in method.takes:
        yield f"level joints of method {method.method_id} stand on blocking; no factor replaces it"


def _doubts(line: BracedLine, method: MethodRow) -> Iterator[str]:
    """Say what keeps a line from being adequate though its length is."""
    if line.site.assumed:
        yield f"the site was assumed: send {', '.join(line.site.assumed)}"
    loose = [w.wall.wall_id or "the wall" for w in line.walls if not w.wall.braced]
    if loose:
        yield f"{', '.join(loose)} was not sent as braced: plan it with braced true, whose joints take the nails that bracing asks"
    if method.continuous and line.end_condition == "unknown":
        yield "how the ends of the continuous sheathing are held is not known: send end_condition"
    if method.continuous and not line.sheathing_complete:
        yield "continuous sheathing counts only where the whole line is sheathed: send continuous_sheathing_complete"
    elif method.continuous and any(_unlike(w.wall, method) for w in line.walls):
        yield "continuous_sheathing_complete was sent, and a wall of the line is not sheathed as the method asks"
    between = max((w.wall.sheathing.material_between for w in line.walls if w.wall.sheathing), default=0)
    if between and method.least_sheet is not None:
        yield f"panels over {say_length(between)} of other material count only where a row of the bracing tables says so"
