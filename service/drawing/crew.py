"""The sheet a crew takes to a wall: what to mind, the picture, joints, sticks, panels, bolts, what to load; read off its plan."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from service.domain.building.anchorage import Anchorage
from service.domain.cautions.caution import Spoken, say_step
from service.domain.joint.counting import say_nailing
from service.domain.joint.stop import Provenance, say_place
from service.domain.nails.nail import Nail
from service.domain.takeoff.cut_list import cut_list, say_lumber
from service.domain.wall.panels.line import PanelLine
from service.domain.wall.plan import Plan, PlanLine
from service.domain.wall.sheets import sheets_of
from service.drawing.lettering import LEADING, wrap
from service.drawing.page import GRAVE, SMALL, TEXT, TITLE, Page
from service.drawing.scene import Box, Inset, Line, Scene, Words
from service.drawing.wall import draw_wall, wall_title
from service.said import say_fraction, say_length

WIDTH, HEIGHT = 210 / 25.4, 297 / 25.4
"""A4 upright (ISO 216). [in]"""
POINTS, EDGE = WIDTH * 72, 36.0
"""Units are points; so far is the text from the edges of the paper."""
LEAST_PICTURE = 0.55
"""A picture goes on the next page where less than this share of its full size has room."""
ROW_GAP = 2.5
"""Points between the rows of a table."""


class Column(NamedTuple):
    """A column of a table: its head, and its share of the width."""

    head: str
    share: float


def draw_crew_sheet(plan: Plan, cautions: Sequence[Spoken], anchors: Anchorage | None = None, metric: bool = False) -> tuple[Scene, ...]:
    """Return the pages of a crew sheet: as many as the tables need.

    Parameters
    ----------
    metric : bool
        Say lengths in millimeters.
    """
    sheet = _Sheet(plan, metric)
    sheet.paragraph(f"Crew sheet: {wall_title(plan)}", TITLE, "strong")
    for caution in cautions:
        if caution.severity in GRAVE:
            sheet.mind(caution, steps=False)
    for caution in cautions:
        if caution.severity not in GRAVE:
            sheet.y += 3 * sheet.unit
            here = "" if caution.row.standing else f" (Here: {caution.applies_because}.)"
            sheet.paragraph(f"{caution.severity}: {caution.row.text} {caution.row.action}{here}", SMALL)
    sheet.picture(draw_wall(plan, (), metric))
    sheet.table("Joints", JOINTS, list(_joints(plan)))
    sheet.table(
        "Cut list",
        CUTS,
        [(say_lumber(c.nominal, c.treated, c.size), say_fraction(c.length), str(c.member_count)) for c in cut_list([(plan, 1)])],
    )
    sheet.table("Panels", PANELS, list(_panels(plan)))
    sheet.table("Anchor bolts", BOLTS, list(_bolts(anchors)) if anchors else [])
    sheet.table("To load, before waste", LOAD, list(_load(plan, anchors)))
    sheet.table("Notes", [Column("", 1)], [(note,) for note in plan.notes])
    sheet.table("Past the limits, for the office", [Column("", 1)], [(say_step(s),) for c in cautions for s in c.next_steps])
    return sheet.pages()


JOINTS = [Column("Joint", 0.34), Column("Nail", 0.22), Column("Number", 0.18), Column("Nails", 0.08), Column("Ground", 0.18)]
CUTS = [Column("Lumber", 0.5), Column("Length", 0.25), Column("Sticks", 0.25)]
PANELS = [
    Column("Panel", 0.08),
    Column("Left, bottom", 0.22),
    Column("Width x height", 0.25),
    Column("Cut out", 0.33),
    Column("Nails", 0.12),
]
BOLTS = [Column("Plate", 0.25), Column("Bolts", 0.1), Column("Along the wall at", 0.65)]
LOAD = [Column("What", 0.8), Column("Count", 0.2)]
NONE = "no number"


class _Sheet(Page):
    """Paper that goes on to the next page where it is full."""

    def __init__(self, plan: Plan, metric: bool) -> None:
        super().__init__(WIDTH, metric, POINTS, EDGE)
        self.plan = plan
        self.full: list[list[Box | Line | Words | Inset]] = []

    def need(self, height: float) -> None:
        """Turn the page where so much has no room on it."""
        if self.y + height > HEIGHT - 1.4 * self.left and self.y > self.left:
            self.turn()

    def turn(self) -> None:
        """Go on on a new page."""
        self.full.append(list(self.shapes))  # type: ignore[arg-type]  # nails stand in the picture alone
        self.shapes.clear()
        self.y = self.left

    def picture(self, scene: Scene) -> None:
        """Set a picture as large as it can be on what is left of the page, or on the next."""
        self.y += 8 * self.unit
        bottom = HEIGHT - 1.4 * self.left
        scale = self.inner / scene.width
        if (bottom - self.y) / scene.height < LEAST_PICTURE * min(scale, (bottom - self.left) / scene.height):
            self.turn()
        scale = min(scale, (bottom - self.y) / scene.height)
        self.shapes.append(Inset(scene, self.left + (self.inner - scale * scene.width) / 2, self.y, scale))
        self.y += scale * scene.height

    def table(self, title: str, columns: list[Column], rows: list[tuple[str, ...]]) -> None:
        """Write a table, its head again on each page it runs on to; nothing where it has no rows."""
        if not rows:
            return
        self.need(6 * TEXT * self.unit)
        self.y += 6 * self.unit
        self.paragraph(title, TEXT, "strong")
        heads = tuple(c.head for c in columns)
        self._row(heads, columns, "strong")
        for row in rows:
            if self._height(row, columns) + self.y > HEIGHT - 1.4 * self.left:
                self.turn()
                self._row(heads, columns, "strong")
            self._row(row, columns, "words")

    def _cells(self, row: tuple[str, ...], columns: list[Column]) -> list[list[str]]:
        size = SMALL * self.unit
        return [list(wrap(self.say(cell), size, (c.share * self.inner - size) / 1.12)) for cell, c in zip(row, columns, strict=True)]

    def _height(self, row: tuple[str, ...], columns: list[Column]) -> float:
        return max(map(len, self._cells(row, columns))) * SMALL * LEADING * self.unit + ROW_GAP * self.unit

    def _row(self, row: tuple[str, ...], columns: list[Column], role: str) -> None:
        if not any(row):
            return
        size, x, top = SMALL * self.unit, self.left, self.y
        for lines, c in zip(self._cells(row, columns), columns, strict=True):
            for k, line in enumerate(lines, 1):
                self.shapes.append(Words(role, x, top + k * size * LEADING, line, size))
            x += c.share * self.inner
        self.y = top + self._height(row, columns)
        self.shapes.append(Line("rule", ((self.left, self.y), (self.left + self.inner, self.y))))

    def pages(self) -> tuple[Scene, ...]:
        """Return the pages, each with its number and what governs."""
        self.end()
        self.turn()
        title, size, low = self.say(wall_title(self.plan)), SMALL * self.unit, HEIGHT - 0.7 * self.left
        out = []
        for k, shapes in enumerate(self.full, 1):
            foot = Words("words", self.left + self.inner, low, f"page {k} of {len(self.full)}", size, "end")
            paper = Box("paper", 0, 0, WIDTH, HEIGHT)
            out.append(Scene(WIDTH, HEIGHT, self.unit, title, title, (paper, *shapes, Words("words", self.left, low, title, size), foot)))
        return tuple(out)


def _joints(plan: Plan) -> Iterator[tuple[str, ...]]:
    lines: tuple[PlanLine | PanelLine, ...] = (*plan.lines, *(plan.panels.parts if plan.panels else ()))
    for line in lines:
        r = line.requirement
        number = line.used if isinstance(line, PanelLine) else r.nailing
        count = NONE if line.nail_count is None else str(line.nail_count)
        nail = _nail(line.nail)
        yield r.connection.description, nail, say_nailing(number) if number else NONE, count, _ground(r.outcome, r.provenance)
    for plates in plan.tie_plates:
        nail = plates.nail.label if plates.nail else NONE
        each = f"{plates.plate_count} plates, {plates.row.nail_count_per_side} nails each side" if plates.row else NONE
        yield (
            f"Steel tie plate, {plates.where.replace('_', ' ')}",
            nail,
            each,
            str(plates.nail_count or NONE),
            plates.row.section if plates.row else "",
        )


def _nail(nail: Nail) -> str:
    """Name a nail with its coating, which its label says where it is not bright."""
    return f"{nail.label}, bright" if nail.coating == "bright" else nail.label


def _ground(outcome: str, where: Provenance) -> str:
    """Say on what ground a number stands, and where it is printed."""
    if not (where.table or where.section):
        return f"{outcome}: {where.confidence}".replace("_", " ")
    return f"{outcome.replace('_', ' ')}: {say_place(where)}"


def _panels(plan: Plan) -> Iterator[tuple[str, ...]]:
    panels = plan.panels
    for k, (piece, count) in enumerate(zip(panels.cover.pieces, panels.counts, strict=True) if panels else (), 1):
        r = piece.rect
        cut = "; ".join(f"{_size(c.x1 - c.x0, c.z1 - c.z0)} at {say_length(c.x0, c.z0, form='F')}" for c in piece.cut_outs)
        yield str(k), say_length(r.x0, r.z0, form="F"), _size(r.x1 - r.x0, r.z1 - r.z0), cut, NONE if count is None else str(count)


def _size(width: int, height: int) -> str:
    return f"{say_length(width, form='F')} x {say_fraction(height)}"


def _bolts(anchors: Anchorage) -> Iterator[tuple[str, ...]]:
    for k, piece in enumerate(anchors.pieces, 1):
        at = ", ".join(say_fraction(x) for x in piece.laid.positions) if piece.laid else piece.reason
        yield f"piece {k}", NONE if piece.count is None else str(piece.count), at


def _load(plan: Plan, anchors: Anchorage | None) -> Iterator[tuple[str, ...]]:
    for nail, count in plan.nail_totals:
        yield f"nails {_nail(nail)}", str(count)
    for sheet in sheets_of(plan):
        yield f"sheets {sheet.label}", str(sheet.sheet_count)
    if anchors and anchors.count is not None:
        yield "anchor bolts", str(anchors.count)
    if not plan.complete:
        yield "more nails: some joints have no number here", NONE
