"""The tables of a wall plan: joints, sticks, panels, nails, and what was said beside them."""

from collections.abc import Iterable
from typing import Any, NamedTuple

from service.domain.building.anchorage import Anchorage
from service.domain.building.load_path import LINKS, Link
from service.domain.cautions.caution import Spoken
from service.domain.wall.sheets import SheetSize, sheets_of
from service.said import say_length
from service.schemas.answers.declare import Shape, one, say, whole, writer_of
from service.schemas.answers.envelope import Answered, Assumptions
from service.schemas.answers.parts import CautionShape, NailShape, first_word
from service.schemas.answers.sheets import NAIL, PRINTED, Sheet, joint_columns, same
from service.schemas.answers.wall import (
    ConnectionLineShape,
    CutPanel,
    Line,
    MemberShape,
    NailTotal,
    NailTotalShape,
    PanelShape,
    Plates,
    SheetSizeShape,
    WallAnswer,
    alike,
    panels_of,
)

PRINTED_FIELDS = {column: path.removeprefix("provenance.") for column, path in PRINTED.items()}


class PanelRow(NamedTuple):
    """A panel as cut, with its index, the sheet it is cut from, the line that nails it, and that of its row along a treated plate."""

    panel_index: int
    panel: CutPanel
    sheet: SheetSize
    line: Line
    plate_row: Line | None

    @property
    def cut_outs(self) -> str:
        """Each cut-out as width x height at x, z."""
        return "; ".join(
            f"{say_length(c.x1 - c.x0, form='D')} x {say_length(c.z1 - c.z0)} at {say_length(c.x0, c.z0)}" for c in self.panel.cut_outs
        )


class PanelRowShape(Shape):
    """A panel as cut with all that an estimator asks of it."""

    panel_index = whole("Index in `panels`.")
    cut_outs = say("Each cut-out as width x height at x, z.")
    panel = one(PanelShape)
    sheet = one(SheetSizeShape)
    line = one(ConnectionLineShape)
    plate_row = one(ConnectionLineShape, null=True)


class Remark(NamedTuple):
    """A line of the notes: a caution, a note of the plan, or something that was assumed."""

    kind: str
    text: str
    caution: Spoken | None = None


class RemarkShape(Shape):
    """A line of the notes."""

    kind = say("caution, load path, note or assumption.")
    text = say("What it says.")
    caution = one(CautionShape, null=True)


def _panels(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    answer: WallAnswer = answered.result
    panels, sheets = panels_of(answer.plan.panels), sheets_of(answer.plan)
    line, plate_row = (*answer.panel_lines, None, None)[:2]
    return ((PanelRow(i, p, sheets[0], line, plate_row), {}) for i, p in enumerate(panels) if line)


def _notes(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    return ((remark, {}) for remark in _of_plan(answered))


def _of_plan(answered: Answered) -> list[Remark]:
    """Return what is said beside a plan, the path of its loads too."""
    path = [Remark("load path", _say_link(link)) for link in answered.result.advice.path.links]
    return [*path, *remarks(answered.cautions, answered.result.plan.notes, answered.assumptions)]


def remarks(cautions: Iterable[Spoken], notes: Iterable[str], assumptions: Assumptions) -> list[Remark]:
    """Return what is said beside an answer: cautions, notes, what was assumed."""
    said = [Remark("caution", c.row.text, c) for c in cautions]
    said += [Remark("note", note) for note in notes]
    return said + [Remark("assumption", f"{field}: {_say(value)}") for field, value in assumptions]


def _say_link(link: Link) -> str:
    return f"{LINKS[link.name]}: {link.status.replace('_', ' ')}; {link.reason}"


def _say(value: Any) -> str:
    """Write an assumed value as JSON would, without quotation marks."""
    return str(value).lower() if isinstance(value, bool) else "none" if value in (None, [], ()) else str(value)


def _lines(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    answer: WallAnswer = answered.result
    for line in answer.lines:
        yield line, {"max_severity": first_word(line.advised.cautions)}
    for plates in answer.plan.tie_plates:
        yield None, _tie_plate(Plates(plates, answer.plan))
    if answer.anchors:
        yield None, {**_bolts(answer.anchors.found), "max_severity": first_word(answer.of_bolts)}


def _tie_plate(found: Plates) -> dict[str, Any]:
    """Return the cells of the steel tie plates of one place: no joint of the schedule, but nails to buy and drive."""
    plates, where = found.plates, found.provenance
    cells: dict[str, Any] = {
        "description": f"Steel tie plates at each {plates.where.replace('_', ' ')}, {plates.row.plate if plates.row else 'size not held'}",
        "joint_count": plates.plate_count,
        "nail_count": plates.nail_count,
        **{column: getattr(where, field) for column, field in PRINTED_FIELDS.items()},
    }
    if plates.row and plates.nail:
        nail = writer_of(NailShape, False, plain=True)(plates.nail)
        cells |= {column: nail[path.removeprefix("nail.")] for column, path in NAIL.items()}
        cells["basis"] = f"{plates.plate_count} plates x {plates.row.nail_count_per_side} nails x 2 sides = {plates.nail_count}"
    return cells


def _bolts(found: Anchorage) -> dict[str, Any]:
    """Return the cells of the anchor bolts: how many, and where along the wall."""
    at = [say_length(x) for p in found.pieces if p.laid for x in p.laid.positions]
    return {
        "description": "Anchor bolts of the bottom plate",
        "outcome": found.outcome,
        "joint_count": found.count,
        "reason": found.reason,
        "basis": f"{found.basis}; along the wall at {', '.join(at)}" if at else found.basis,
        **{column: getattr(found.provenance, field) for column, field in PRINTED_FIELDS.items()},
    }


def _members(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    answer: WallAnswer = answered.result
    return ((group, {}) for group in alike(answer.plan))


def _nails(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    """Each kind of nail; a wall without a number is a row too, since who adds up the column has to see what is missing."""
    answer: WallAnswer = answered.result
    plan = answer.plan
    beside = {"totals_complete": plan.complete, "max_severity": first_word(answered.cautions)}
    return [(NailTotal(*n), beside) for n in plan.nail_totals] or [(None, beside)]


WALL_SHEETS = {
    "connections": Sheet(
        ConnectionLineShape,
        joint_columns("joint_count", "run_count", "run_length_in", "listed_nail_id", "listed_nail_label", "listed_nail_count"),
        _lines,
    ),
    "members": Sheet(MemberShape, same("role", "label", "nominal", "length_in", "member_count", "x_in", "z_in"), _members),
    "panels": Sheet(
        PanelRowShape,
        {
            **same("panel_index"),
            **{name: f"panel.{name}" for name in ("x_in", "z_in", "width_in", "height_in")},
            **same("cut_outs"),
            **{name: f"panel.{name}" for name in ("nail_count", "plate_row_nail_count")},
            **{name: f"line.{path}" for name, path in NAIL.items()},
            **{f"plate_row_{name}": f"plate_row.{NAIL[name]}" for name in ("nail_label", "coating")},
            **{name: f"line.{name}" for name in ("edge_spacing_in", "field_spacing_in", "outcome", "outcome_label")},
            **{name: f"sheet.{name}" for name in ("panel_width_in", "panel_length_in", "thickness_in")},
        },
        _panels,
    ),
    "nails": Sheet(NailTotalShape, {**NAIL, **same("nail_count", "totals_complete", "max_severity")}, _nails, ("totals_complete",)),
    "notes": Sheet(
        RemarkShape,
        {
            **same("kind", "text"),
            **{name: f"caution.{name}" for name in ("severity", "code", "applies_because", "action", "applies_to")},
        },
        _notes,
    ),
}
