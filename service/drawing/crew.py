"""The sheet a crew takes to a wall: what to mind, the picture, joints, sticks, panels, bolts, what to load; read off its plan."""

from collections.abc import Iterator, Sequence

from service.domain.building.anchorage import Anchorage
from service.domain.cautions.caution import Spoken
from service.domain.joint.counting import say_nailing
from service.domain.joint.stop import Provenance
from service.domain.takeoff.cut_list import cut_list, say_lumber
from service.domain.wall.panels.line import PanelLine
from service.domain.wall.plan import Plan, PlanLine
from service.domain.wall.sheets import sheets_of
from service.drawing.page import TITLE
from service.drawing.paper import NONE, Column, Paper, name_nail
from service.drawing.scene import Scene
from service.drawing.wall import draw_wall, wall_title
from service.said import say_fraction, say_length


def draw_crew_sheet(plan: Plan, cautions: Sequence[Spoken], anchors: Anchorage | None = None, metric: bool = False) -> tuple[Scene, ...]:
    """Return the pages of a crew sheet: as many as the tables need.

    Parameters
    ----------
    metric : bool
        Say lengths in millimeters.
    """
    title = wall_title(plan)
    sheet = Paper(title, (title,), metric)
    sheet.paragraph(f"Crew sheet: {title}", TITLE, "strong")
    sheet.cautions(cautions)
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
    sheet.next_steps(cautions)
    sheet.end()
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


def _joints(plan: Plan) -> Iterator[tuple[str, ...]]:
    lines: tuple[PlanLine | PanelLine, ...] = (*plan.lines, *(plan.panels.parts if plan.panels else ()))
    for line in lines:
        r = line.requirement
        number = line.used if isinstance(line, PanelLine) else r.nailing
        count = NONE if line.nail_count is None else str(line.nail_count)
        nail = name_nail(line.nail)
        joint = ", ".join(filter(None, (r.connection.description, line.place)))
        yield joint, nail, say_nailing(number) if number else NONE, count, _ground(r.outcome, r.provenance)
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


def _ground(outcome: str, where: Provenance) -> str:
    """Say on what ground a number stands, and where it is printed."""
    return f"{outcome.replace('_', ' ')}: {where.on_paper or where.confidence.replace('_', ' ')}"


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
        yield f"nails {name_nail(nail)}", str(count)
    for sheet in sheets_of(plan):
        yield f"sheets {sheet.label}", str(sheet.sheet_count)
    if anchors and anchors.count is not None:
        yield "anchor bolts", str(anchors.count)
    if not plan.complete:
        yield "more nails: some joints have no number here", NONE
