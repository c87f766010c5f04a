"""What a question about a braced wall line may say, and the line it becomes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from service.domain.building.line import MOST_STORIES, STORY_OF, BracedLine, BracePanel, LineWall, panels_of
from service.domain.site import Site
from service.domain.wall.layout import lay_out
from service.domain.wall.panels.joints import blocked_levels, panel_levels
from service.domain.wall.wall import LEAST_STORIES, Wall
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, SiteSchema, read_site
from service.schemas.asks.wall import WallSchema, header_faults, shape_wall
from service.schemas.fields import Choice, Flag, Inner, Items, Length, Number, Text, Whole
from service.schemas.loading import fill, load
from service.schemas.twins import Twinned, with_twins
from service.tables.book import Book
from service.ticks import feet, inches

METHODS = tuple(dict.fromkeys(m for e in BOOK.editions.values() if e.bracing for m in e.bracing.methods))
END_CONDITIONS = ("return_panel", "end_panel_48", "hold_down_800", "unknown")
REQUIRED = {
    "supports": "is required, also where the walls carry nothing: what the story of the line carries, roof_only in a one-story house",
    "wall_length_ft": "is required where no wall tells it",
    "wall_height_ft": "is required where no wall tells it",
}
WAYS = ("panels", "wall", "walls")
LINE = BracedLine("", Site(), "", "", 0, 0, 0, 0, 0, 0, ())
"""What is taken where nothing is said: the worst."""


Span = tuple[int, int, tuple[str, int, str]]
"""Start and end of a stretch of the line, and the field that is at fault where it is misplaced."""


@with_twins
class BracePanelSchema(Twinned):
    """A full-height piece of sheathing in the line."""

    id = Text("Your name for the panel.", r"^[A-Za-z0-9._-]{1,64}$", 64, required=True)
    start_in = Length("in", 0, 1200, "Left side from the start of the line [in].", required=True)
    length_in = Length("in", 1, 1200, "Length [in].", required=True)
    adjacent_opening_height_in = Length(
        "in", 0, 144, "Clear height of the taller opening beside it [in], 0 where there is none; the height of the wall when left out."
    )


@with_twins
class LineWallSchema(Twinned):
    """A wall of the line."""

    start_in = Length("in", 0, 1200, "Where the wall starts along the line [in].", usual=0)
    offset_in = Length("in", 0, 240, "How far it stands off the line [in].", usual=0)
    wall = Inner(WallSchema, "The wall, as in a wall plan.", required=True)


@with_twins
class BracingSchema(SiteSchema):
    """A braced wall line: its site, what it supports, and its panels."""

    method_id = Choice(METHODS, "Bracing method, by the abbreviation of the code.", required=True)
    supports = Choice(STORY_OF, "What the line carries; at least what its walls say. May be left out where each of them says it.")
    braced_wall_line_spacing_ft = Length("ft", 1, 100, "Distance to the next braced wall line [ft].", required=True)
    braced_wall_line_count = Whole(2, 40, "Braced wall lines in this direction.", required=True)
    eave_to_ridge_ft = Length("ft", 0, 40, "Height of the roof from eave to ridge [ft].", required=True)
    wall_height_ft = Length("ft", 4, 20, "Height of the wall [ft]; at least that of its walls where they are sent.")
    wall_length_ft = Length("ft", 2, 100, "Length of the braced wall line [ft]; from the wall where one is sent.")
    story_count = Whole(
        1, MOST_STORIES, "Stories of the building. Left out: as few as the line supports in exposure B, where it changes nothing, else 3."
    )
    panels = Items(Inner(BracePanelSchema, "A panel."), 100, "The panels of the line.", 1)
    wall = Inner(WallSchema, "The wall of the line; its full-height pieces are the panels.")
    walls = Items(Inner(LineWallSchema, "A wall of the line."), 20, "The walls of the line, where it has several.", 1)
    gypsum_inside = Flag("Gypsum board on the inside face.", usual=LINE.gypsum_inside)
    hold_down = Flag("Hold-downs of 800 lb at both ends of each panel.", usual=LINE.hold_down)
    blocked = Flag("Level panel joints stand on blocking, or there are none; known where a wall with sheathing is sent.", tell=False)
    both_faces = Flag("Gypsum board of method GB on both faces.", usual=LINE.both_faces)
    end_condition = Choice(END_CONDITIONS, "How both ends of continuous sheathing are held.", usual=LINE.end_condition)
    continuous_sheathing_complete = Flag("Every sheathable face of the line is sheathed.", usual=LINE.sheathing_complete)
    masonry_veneer = Flag("Stone or masonry veneer.", usual=LINE.masonry_veneer)
    roof_dead_load_psf = Number(0, 100, "Roof and ceiling [psf].", usual=LINE.roof_dead_load_psf)
    wall_dead_load_psf = Number(0, 100, "Walls [psf].", usual=LINE.wall_dead_load_psf)
    units = Choice(("us", "metric"), "metric adds metric twins to lengths.")


BRACING = BracingSchema()
_PANEL, _LINE_WALL = BracePanelSchema(), LineWallSchema()


@dataclass(frozen=True, slots=True)
class BracingAsk:
    """A question about a braced wall line as understood."""

    line: BracedLine
    assumptions: tuple[tuple[str, Any], ...]


def read_bracing_line(raw: Any, book: Book) -> BracingAsk:
    """Check and understand a question about a braced wall line.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(BRACING, raw)
    faults: list[Fault] = []
    assumed = fill(got, BRACING)
    supports = _supports(got)
    if supports and "story_count" not in got:
        got["story_count"] = LEAST_STORIES[supports] if got["exposure"] == "B" else MOST_STORIES
        assumed.append(("story_count", got["story_count"]))
    site = read_site(got, assumed, faults, book)
    sent = [way for way in WAYS if way in got]
    if len(sent) != 1:
        said = "send panels, or a wall, or the walls of the line: one of the three"
        faults.append(Fault("conflicting_fields" if sent else "missing_field", said, (sent[-1] if sent else "panels",)))
    if faults:
        raise FasteningError(*faults)
    walls = _walls(got, site, assumed, book)
    length = got.get("wall_length") or (max(w.start + w.wall.length for w in walls) if walls else None)
    height = max((h for h in (got.get("wall_height"), *(w.wall.height for w in walls)) if h), default=None)
    missing = {"wall_length_ft": length, "wall_height_ft": height, "supports": supports}
    faults += [Fault("missing_field", REQUIRED[name], (name,)) for name, value in missing.items() if value is None]
    if faults or length is None or height is None or supports is None:
        raise FasteningError(*faults)
    panels = panels_of(walls, length) if walls else _panels(got["panels"], height, length, assumed, faults)
    faults += _walls_misplaced(walls, length)
    if faults:
        raise FasteningError(*faults)
    if "blocked" not in got:
        got["blocked"] = _blocked(walls, book)
        assumed.append(("blocked", got["blocked"]))
    line = BracedLine(
        edition_id=got["code_edition"],
        site=site,
        supports=supports,
        method_id=got["method_id"],
        length=length,
        wall_height=height,
        line_spacing=got["braced_wall_line_spacing"],
        line_count=got["braced_wall_line_count"],
        eave_to_ridge=got["eave_to_ridge"],
        story_count=got["story_count"],
        panels=panels,
        walls=walls,
        gypsum_inside=got["gypsum_inside"],
        hold_down=got["hold_down"],
        blocked=got["blocked"],
        both_faces=got["both_faces"],
        end_condition=got["end_condition"],
        sheathing_complete=got["continuous_sheathing_complete"],
        masonry_veneer=got["masonry_veneer"],
        roof_dead_load_psf=got["roof_dead_load_psf"],
        wall_dead_load_psf=got["wall_dead_load_psf"],
    )
    return BracingAsk(line, tuple(assumed))


def _supports(got: dict[str, Any]) -> str | None:
    """Return what the line carries: the most of what is sent and of what its walls say; None where that leaves it open."""
    walls = [got["wall"]] if "wall" in got else [placed["wall"] for placed in got.get("walls", [])]
    if "supports" not in got and not all("supports" in w for w in walls):
        return None
    said = [got.get("supports", ""), *(w.get("supports", "") for w in walls)]
    return max((s for s in said if s in STORY_OF), key=list(STORY_OF).index, default=None)


def _walls(got: dict[str, Any], site: Site, assumed: list[tuple[str, Any]], book: Book) -> tuple[LineWall, ...]:
    """Return the walls of the line, each one that can be built."""
    edition = book.editions[got["code_edition"]]
    if "wall" in got:
        return (LineWall(_built(got["wall"], ("wall",), site, assumed, book, edition.edition_id), 0),)
    out = []
    for i, placed in enumerate(got.get("walls", [])):
        assumed += [(f"walls.{i}.{n}", v) for n, v in fill(placed, _LINE_WALL)]
        wall = _built(placed["wall"], ("walls", i, "wall"), site, assumed, book, edition.edition_id)
        out.append(LineWall(wall, placed["start"], placed["offset"]))
    return tuple(out)


def _built(
    got: dict[str, Any], path: tuple[str | int, ...], site: Site, assumed: list[tuple[str, Any]], book: Book, edition_id: str
) -> Wall:
    edition, own = book.editions[edition_id], list[tuple[str, Any]]()
    wrong = header_faults(got)
    if wrong:
        raise FasteningError(*(f.under(*path) for f in wrong))
    wall = shape_wall(got, site, edition, own, book)
    before = ".".join(map(str, path))
    assumed += [(before + name.removeprefix("wall"), value) for name, value in own]
    try:
        lay_out(wall, edition, book)
    except FasteningError as error:
        raise FasteningError(*(f.under(*path) for f in error.faults)) from None
    return wall


def _panels(
    got: list[dict[str, Any]], height: int, length: int, assumed: list[tuple[str, Any]], faults: list[Fault]
) -> tuple[BracePanel, ...]:
    for i, p in enumerate(got):
        if "adjacent_opening_height" not in p:
            assumed.append((f"panels.{i}.adjacent_opening_height_in", inches(height)))
    out = [BracePanel(p["id"], p["start"], p["length"], p.get("adjacent_opening_height", height)) for p in got]
    faults += _misplaced([(p.start, p.end, ("panels", i, "length_in")) for i, p in enumerate(out)], length)
    faults += _named_twice([(p.panel_id, ("panels", i, "id")) for i, p in enumerate(out)])
    return tuple(out)


def _walls_misplaced(walls: tuple[LineWall, ...], length: int) -> list[Fault]:
    """Say which walls of a line reach past it or into one another, and which have one name; the line is as long as a wall alone at least."""
    if len(walls) == 1 and not walls[0].start:
        long = walls[0].wall.length
        said = f"the line is {feet(length):g} ft long, its wall {feet(long):g} ft"
        return [Fault("out_of_range", said, ("wall_length_ft",), {"minimum": feet(long)})] if long > length else []
    spans: list[Span] = [(w.start, w.start + w.wall.length, ("walls", i, "start_in")) for i, w in enumerate(walls)]
    named = [(w.wall.wall_id, ("walls", i, "wall", "id")) for i, w in enumerate(walls) if w.wall.wall_id]
    return [*_misplaced(spans, length), *_named_twice(named)]


def _misplaced(spans: list[Span], length: int) -> list[Fault]:
    """Say which stretches of a line reach past its end or into an earlier one."""
    out = []
    for i, (start, end, path) in enumerate(spans):
        if end > length:
            said = f"the {path[0].removesuffix('s')} ends at {inches(end):g} in, past the line of {feet(length):g} ft"
            kept = start if path[-1] == "length_in" else end - start
            out.append(Fault("out_of_range", said, path, {"limit": inches(max(length - kept, 0))}))
        over = [f"{other[0]}/{other[1]}" for a, b, other in spans[:i] if start < b and a < end]
        out += [Fault("conflicting_fields", f"the {path[0].removesuffix('s')} overlaps {name}", path) for name in over]
    return out


def _named_twice(named: Sequence[tuple[str, tuple[str | int, ...]]]) -> list[Fault]:
    return [
        Fault("duplicate_id", f"the id {name!r} stands twice", path)
        for i, (name, path) in enumerate(named)
        if name in [earlier for earlier, _ in named[:i]]
    ]


def _blocked(walls: tuple[LineWall, ...], book: Book) -> bool:
    """Whether every level panel joint of the walls gets a row of blocks in their plans; false where that is not known."""
    if not walls or any(w.wall.sheathing is None for w in walls):
        return False
    return all(blocked_levels(w.wall, book.rules) == panel_levels(w.wall, book.rules) for w in walls)
