"""What would make a short braced wall line pass: each change is made and the line checked again."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice

from service.domain.building.bracing import BracingCheck, check_line
from service.domain.building.line import BracedLine, LineWall, panels_of
from service.domain.wall.layout import lay_out
from service.domain.wall.wall import Wall
from service.errors import FasteningError
from service.said import say_feet, say_length
from service.tables.book import Book
from service.ticks import PER_IN, ceil_div

MOST_REMEDIES = 8


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that makes the line pass, and the line checked with it."""

    change: str
    check: BracingCheck


def remedies(check: BracingCheck, book: Book) -> tuple[Remedy, ...]:
    """Return the changes that make a short line pass, those at the wall first; none where the line is not short."""
    if check.verdict != "short":
        return ()
    tried = (Remedy(change, check_line(line, book)) for change, line in _changes(check, book))
    return tuple(islice((r for r in tried if r.check.verdict in ("adequate", "needs_check")), MOST_REMEDIES))


def _changes(check: BracingCheck, book: Book) -> Iterator[tuple[str, BracedLine]]:
    line = check.line
    yield from _moved_openings(check, book) if line.walls else _longer_panels(check)
    tables = check.edition.bracing
    method = tables.methods[line.method_id] if tables else None
    if method and not line.blocked and method.joints_blocked:
        yield "put blocking under level panel joints", replace(line, blocked=True)
    if method and not line.gypsum_inside and "gypsum" in method.takes:
        yield "cover the inside face with gypsum board", replace(line, gypsum_inside=True)
    if method and not line.hold_down and "hold_down" in method.takes and line.story == "one_or_top":
        yield "put hold-downs of 800 lb at both ends of each panel", replace(line, hold_down=True)
    halved = replace(line, line_spacing=ceil_div(line.line_spacing, 2), line_count=line.line_count + 1)
    yield f"add a braced wall line between, so that lines stand {say_feet(halved.line_spacing)} apart", halved
    for name, other in (tables.methods if tables else {}).items():
        if name != line.method_id:
            yield f"brace by method {name}, {other.description}", replace(line, method_id=name)


def _longer_panels(check: BracingCheck) -> Iterator[tuple[str, BracedLine]]:
    """Lengthen one panel at a time into the free wall beside it, by what is missing."""
    line, panels = check.line, sorted(check.line.panels, key=lambda p: p.start)
    missing = check.shortfall or 0
    judged = {p.panel.panel_id: p for p in check.panels}
    for i, p in enumerate(panels):
        own = judged[p.panel_id]
        low = panels[i - 1].end if i else 0
        high = panels[i + 1].start if i + 1 < len(panels) else line.length
        share = own.contributing / p.length if own.least and p.length >= own.least else 1
        wanted = max(own.least or 0, _whole_inch((own.contributing + missing) / share))
        if wanted <= p.length or wanted > high - low:
            continue
        longer = replace(p, start=max(low, min(p.start, high - wanted)), length=wanted)
        others = tuple(longer if q is p else q for q in panels)
        yield f"make panel {p.panel_id} {say_length(wanted)} long instead of {say_length(p.length)}", replace(line, panels=others)


def _moved_openings(check: BracingCheck, book: Book) -> Iterator[tuple[str, BracedLine]]:
    """Move one opening at a time, so that a piece beside it that is too short becomes long enough."""
    line = check.line
    for p in check.panels:
        if p.least is None or p.panel.length >= p.least:
            continue
        by = _whole_inch(p.least - p.panel.length)
        for i, placed in enumerate(line.walls):
            for o in placed.wall.openings:
                side = {placed.start + o.at: 1, placed.start + o.at + o.width: -1}
                for edge, hand in side.items():
                    if edge in (p.panel.end, p.panel.start) and (edge == p.panel.end) == (hand > 0):
                        yield from _moved(line, i, placed, o.opening_id, hand * by, check, book)


def _moved(
    line: BracedLine, at: int, placed: LineWall, name: str, by: int, check: BracingCheck, book: Book
) -> Iterator[tuple[str, BracedLine]]:
    openings = tuple(replace(o, at=o.at + by) if o.opening_id == name else o for o in placed.wall.openings)
    wall = replace(placed.wall, openings=openings)
    if _builds(wall, check, book):
        walls = tuple(replace(w, wall=wall) if i == at else w for i, w in enumerate(line.walls))
        way = "away from the start" if by > 0 else "toward the start"
        yield f"move opening {name} by {say_length(abs(by))} {way}", replace(line, walls=walls, panels=panels_of(walls, line.length))


def _builds(wall: Wall, check: BracingCheck, book: Book) -> bool:
    if any(o.at < 0 for o in wall.openings):
        return False
    try:
        lay_out(wall, check.edition, book)
    except FasteningError:
        return False
    return True


def _whole_inch(length: float) -> int:
    return -int(-length // PER_IN) * PER_IN
