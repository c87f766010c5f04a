"""Answers as rows for a spreadsheet: one header line, the names of the JSON, CRLF, US units, no text that a sheet would run.

A column names a path in the declaration of an answer, so that no sheet can show what an answer has not.
"""

import csv
import io
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from service.said import plain
from service.schemas.answers.declare import Shape, fields_of, name_of, writer_of
from service.schemas.answers.envelope import Answered, Entry
from service.schemas.answers.joint import JudgedConnectionShape, JudgementShape, NailUseShape, RequirementResult
from service.schemas.answers.parts import first_word
from service.schemas.answers.strength import NailStrengthResult
from service.schemas.answers.wall import ConnectionLineShape, MemberShape, NailTotal, NailTotalShape, WallAnswer, alike

RISKY = ("=", "+", "-", "@", "\t", "\r")
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
WEAKEST = tuple(f"weakest_option_{name}" for name in ("nail_count", "spacing_in", "edge_spacing_in", "field_spacing_in"))
WORST = ("max_severity", "caution_codes")
HEAD = ("id", "item_status", "error_code")


def _same(*names: str) -> dict[str, str]:
    return {name: name for name in names}


def _joint_columns(*before: str, total: bool = True, basis: bool = True) -> dict[str, str]:
    """Return the columns of a judged joint; `before` stand in front of them."""
    counted = (*(("nail_count",) if total else ()), "reason", *(("basis",) if basis else ()))
    return {
        **_same(*before, "connection_id", "description", "method", "outcome", "outcome_label"),
        **NAIL,
        **_same(*NUMBER, *counted),
        **PRINTED,
        **_same(*WORST),
        **ZONE,
        **_same(*WEAKEST),
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

    def write(self, entries: Iterable[Entry]) -> bytes:
        """Write the rows of some entries; a refused one is a row with its code."""
        out = io.StringIO()
        sheet = csv.writer(out, lineterminator="\r\n")
        sheet.writerow((*self.head, *self.columns))
        for entry in entries:
            for row in self._rows_of(entry):
                sheet.writerow([_cell(row.get(name)) for name in (*self.head, *self.columns)])
        return out.getvalue().encode()

    def _rows_of(self, entry: Entry) -> Iterable[dict[str, Any]]:
        first = {"id": entry.id, "item_status": entry.status}
        if entry.answered is None:
            problem = entry.problem or {}
            yield {**first, "error_code": problem["errors"][0]["code"]}
            return
        write = writer_of(self.shape, plain=True)
        for thing, more in self.rows(entry.answered):
            written = None if thing is None else write(thing)
            cells = {column: more.get(column, _at(written, path)) for column, path in self.columns.items()}
            yield {**first, **cells}


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


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, str):
        said = plain(value)
        return "'" + said if said.startswith(RISKY) else said
    return " ".join(map(str, value)) if isinstance(value, list) else value


def _whole(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    """One row: the result, with the worst severity of the whole answer."""
    yield answered.result, {"max_severity": first_word(answered.cautions)}


def _judgements(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    write = writer_of(JudgedConnectionShape, plain=True)
    for connection in answered.result:
        joint = {k: v for k, v in write(connection).items() if k in JOINT}
        for j in connection.judgements:
            yield j, {**joint, "max_severity": first_word(j.advised.cautions)}


def _uses(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    for j in answered.result:
        yield j, {"max_severity": first_word(j.advised.cautions)}


def _lines(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    for line in answered.result.lines:
        yield line, {"max_severity": first_word(line.advised.cautions)}


def _members(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    answer: WallAnswer = answered.result
    return ((group, {}) for group in alike(answer.plan))


def _nails(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    """Each kind of nail; a wall without a number is a row too, since who adds up the column has to see what is missing."""
    answer: WallAnswer = answered.result
    plan = answer.plan
    beside = {"totals_complete": plan.complete, "max_severity": first_word(answered.cautions)}
    return [(NailTotal(*n), beside) for n in plan.nail_totals] or [(None, beside)]


JOINT = ("connection_id", "description", "method")
JOINT_SHEET = Sheet(RequirementResult, _joint_columns(), _whole)
JUDGED_SHEET = Sheet(
    JudgementShape, _joint_columns("listed_nail_id", "listed_nail_label", "listed_nail_count", basis=False), _judgements, JOINT
)
USE_SHEET = Sheet(
    NailUseShape,
    _joint_columns("group", "braced_wall_panel", "use", total=False, basis=False),
    _uses,
    head=(),
)
STRENGTH_SHEET = Sheet(
    NailStrengthResult,
    {
        **_same("outcome", "outcome_label"),
        **NAIL,
        **_same(
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
        **_same(*WORST),
    },
    _whole,
)
WALL_SHEETS = {
    "connections": Sheet(
        ConnectionLineShape,
        _joint_columns("joint_count", "run_count", "run_length_in", "listed_nail_id", "listed_nail_label", "listed_nail_count"),
        _lines,
    ),
    "members": Sheet(MemberShape, _same("role", "label", "nominal", "length_in", "member_count", "x_in", "z_in"), _members),
    "nails": Sheet(NailTotalShape, {**NAIL, **_same("nail_count", "totals_complete", "max_severity")}, _nails, ("totals_complete",)),
}
