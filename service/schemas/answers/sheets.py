"""Answers as rows for a spreadsheet: one header line, the names of the JSON, CRLF, no text that a sheet would run.

A column names a path in the declaration of an answer, so that no sheet can show what an answer has not.
"""

import csv
import io
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

from service.domain.wall.boxes import Box
from service.errors import Fault, QueryError
from service.schemas.answers.cells import cell
from service.schemas.answers.declare import Shape, fields_of, name_of, one, spread, writer_of
from service.schemas.answers.envelope import Answered, Entry
from service.schemas.answers.joint import RequirementResult
from service.schemas.answers.metric import metric_twin
from service.schemas.answers.parts import first_word
from service.schemas.answers.shear import ShearCapacityResult
from service.schemas.answers.strength import NailStrengthResult
from service.schemas.answers.substitution import (
    AdvisedJudgement,
    BoxShape,
    JudgedConnection,
    JudgedJointShape,
    JudgementShape,
    NailUseShape,
)
from service.schemas.answers.wall import NailTotal, NailTotalShape

NAIL = {
    "nail_id": "nail.id",
    "nail_label": "nail.label",
    "nail_length_in": "nail.length_in",
    "shank_diameter_in": "nail.shank_diameter_in",
    "coating": "nail.coating",
}
NUMBER = (
    "number_kind",
    "nail_count_per_joint",
    "spacing_in",
    "row_count",
    "nail_count_per_group",
    "group_spacing_in",
    "edge_spacing_in",
    "field_spacing_in",
)
PRINTED = {name: f"provenance.{name}" for name in ("code", "edition", "section", "table", "item", "confidence")}
ZONE = {"closer_zone_spacing_in": "closer_zone.spacing_in", "closer_zone_width_in": "closer_zone.width_in"}
WEAKEST = (*(f"weakest_option_{name}" for name in ("nail_count", "spacing_in", "edge_spacing_in", "field_spacing_in")), "compared_with")
WORST = ("max_severity", "caution_codes")
HEAD = ("id", "item_status", "error_code", "error_field", "error_detail")


def same(*names: str) -> dict[str, str]:
    """Return columns that are called as their fields."""
    return {name: name for name in names}


def joint_columns(*before: str, total: bool = True, basis: bool = True) -> dict[str, str]:
    """Return the columns of a judged joint; `before` stand in front of them."""
    counted = (*(("nail_count",) if total else ()), "reason", *(("basis",) if basis else ()))
    return {
        **same(*before, "connection_id", "description", "method", "outcome", "outcome_label"),
        **NAIL,
        **same(*NUMBER, *counted),
        **PRINTED,
        **same(*WORST),
        **ZONE,
        **same(*WEAKEST),
    }


@dataclass(frozen=True)
class Sheet:
    """A table of an answer: columns by name, each a path in the declaration, and how an answer gives its rows.

    `beside` are fields that stand beside the shape of the rows: in each row as given, not in the declaration of the shape.
    """

    shape: type[Shape]
    columns: dict[str, str]
    rows: Callable[[Any], Iterable[tuple[Any, dict[str, Any]]]]
    beside: tuple[str, ...] = ()
    head: tuple[str, ...] = HEAD

    def __post_init__(self) -> None:
        """Refuse a column that the answer does not declare."""
        for column, path in self.columns.items():
            if column not in (*WORST, *self.beside):
                _check_path(self.shape, path.split("."))

    def write(self, entries: Iterable[Entry], metric: bool = False) -> bytes:
        """Write the rows of some entries; a refused one is a row with its error. `metric` adds the twins, as in JSON."""
        columns = _with_twins(self.columns) if metric else self.columns
        out = io.StringIO()
        sheet = csv.writer(out, lineterminator="\r\n")
        sheet.writerow((*self.head, *columns))
        for entry in entries:
            for row in self._rows_of(entry, columns, metric):
                sheet.writerow([cell(row.get(name), metric) for name in (*self.head, *columns)])
        return out.getvalue().encode()

    def _rows_of(self, entry: Entry, columns: dict[str, str], metric: bool) -> Iterable[dict[str, Any]]:
        first = {"id": entry.id, "item_status": entry.status}
        if entry.answered is None:
            yield {**first, **refusal_cells(entry.problem or {})}
            return
        write = writer_of(self.shape, metric, plain=True)
        for thing, more in self.rows(entry.answered):
            written = None if thing is None else write(thing)
            cells = {column: more.get(column, _at(written, path)) for column, path in columns.items()}
            yield {**first, **cells}


def _with_twins(columns: dict[str, str]) -> dict[str, str]:
    """Put the metric twin of each quantity beside it."""
    out: dict[str, str] = {}
    for column, path in columns.items():
        out[column] = path
        twin, above = metric_twin(column), path.rpartition(".")
        if twin:
            out[twin] = f"{above[0]}{above[1]}{metric_twin(above[2])}"
    return out


def refusal_cells(problem: dict[str, Any]) -> dict[str, Any]:
    """Return the cells of a refused item: its first error, and how many more there are."""
    first, more = problem["errors"][0], len(problem["errors"]) - 1
    detail = f"{first['detail']} (and {more} more)" if more else first["detail"]
    return {"error_code": first["code"], "error_field": first["pointer"], "error_detail": detail}


def _check_path(shape: type[Shape], path: list[str]) -> None:
    part = dict(fields_of(shape)).get(path[0])
    if part is None:
        raise TypeError(f"{name_of(shape)} declares no field {path[0]}")
    if path[1:]:
        _check_path(part.shape or Shape, path[1:])


def _at(written: Any, path: str) -> Any:
    for name in path.split("."):
        written = written.get(name) if isinstance(written, dict) else None
    return written


def whole_answer(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    """One row: the result, with the worst severity of the whole answer."""
    yield answered.result, {"max_severity": first_word(answered.cautions)}


def _judgements(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    for connection in answered.result.connections:
        for j in connection.judgements:
            yield JudgedRow(connection, j), {"max_severity": first_word(j.advised.cautions)}


def _boxes(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    """Each nail over the framing, then over the panels of a wall.

    Raises
    ------
    QueryError
        No wall was sent.
    """
    if answered.result.framing is None:
        said = "nails lists each nail over a whole wall: send a wall in the body of a POST, or take judgements"
        raise QueryError(Fault("conflicting_fields", said, ("table",)))
    for part, boxes in (("framing", answered.result.framing), ("sheathing", answered.result.panels)):
        for box in boxes:
            named = {"calculated": box.by_strength, "refused": box.refused}
            ids = {column: [line.requirement.connection.connection_id for line in lines] for column, lines in named.items()}
            for nail, count in box.totals or [(box.nail, 0)]:
                yield BoxRow(box, NailTotal(nail, count)), {"part": part, **ids}


def _uses(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    for j in answered.result:
        yield j, {"max_severity": first_word(j.advised.cautions)}


class BoxRow(NamedTuple):
    """A nail over the whole wall, and those of one coating among its nails."""

    box: Box
    total: NailTotal


class BoxRowShape(Shape):
    """A nail over the whole wall, and those of one coating among its nails."""

    _total = spread(NailTotalShape, "total")
    box = one(BoxShape)


class JudgedRow(NamedTuple):
    """A nail judged for a joint, with the joint."""

    connection: JudgedConnection
    judgement: AdvisedJudgement


class JudgedRowShape(Shape):
    """A nail judged for a joint, with the joint."""

    _joint = spread(JudgedJointShape, "connection")
    _judgement = spread(JudgementShape, "judgement")


JOINT_SHEET = Sheet(RequirementResult, joint_columns(), whole_answer)
JUDGED_SHEET = Sheet(
    JudgedRowShape,
    joint_columns("joint_count", "run_count", "run_length_in", "listed_nail_id", "listed_nail_label", "listed_nail_count", basis=False),
    _judgements,
)
BOX_SHEET = Sheet(
    BoxRowShape,
    {
        **same("part"),
        **NAIL,
        **same("nail_count"),
        **{name: f"box.{name}" for name in ("totals_complete", "serves_count", "calculated_count", "refused_count")},
        **same("calculated", "refused"),
        "reason": "box.reason",
    },
    _boxes,
    ("part", "calculated", "refused"),
)
USE_SHEET = Sheet(
    NailUseShape,
    joint_columns("group", "braced_wall_panel", "use", total=False, basis=False),
    _uses,
    head=(),
)
STRENGTH_SHEET = Sheet(
    NailStrengthResult,
    {
        **same("outcome", "outcome_label"),
        **NAIL,
        **same(
            "penetration_in",
            "penetration_diameters",
            "main_specific_gravity",
            "side_specific_gravity",
            "side_bearing_length_in",
            "main_bearing_length_in",
            "withdrawal_length_in",
            "short_penetration_method",
            "reduction_term",
            "bending_yield_psi",
            "main_bearing_psi",
            "side_bearing_psi",
            "governing_mode",
            "lateral_lb",
            "adjusted_lateral_lb",
            "withdrawal_shank",
            "withdrawal_lb_per_in",
            "withdrawal_lb",
            "adjusted_withdrawal_lb",
            "head_pull_through_lb",
            "adjusted_head_pull_through_lb",
            "combined_lb",
            "basis",
        ),
        **{name: f"provenance.{name}" for name in ("code", "edition", "section", "confidence")},
        **same(*WORST),
    },
    whole_answer,
)
SHEAR_SHEET = Sheet(
    ShearCapacityResult,
    {
        **same("outcome", "outcome_label"),
        **NAIL,
        **same("fastener", "fastener_label", "nail_row", "edge_spacing_in", "field_spacing_in"),
        **same("nominal_plf", "asd_plf", "lrfd_plf", "asd_lb", "lrfd_lb", "least_wall_length_ft", "reason", "basis"),
        **PRINTED,
        **same(*WORST),
    },
    whole_answer,
)
