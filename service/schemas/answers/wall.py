"""Writes the answer about a wall: sticks, joints, panels, nails, totals."""

from dataclasses import replace
from typing import Any

from service.domain.cautions.caution import Caution, sort_cautions, standing_notes
from service.domain.cautions.joint import JointCase, joint_cautions
from service.domain.cautions.wall import panel_cautions, wall_cautions
from service.domain.conditions import Conditions
from service.domain.joint.counting import say_count, say_nailing
from service.domain.joint.placement import place
from service.domain.joint.stop import Provenance
from service.domain.wall.members import Member
from service.domain.wall.panels.lay import Rect, panels_by_area
from service.domain.wall.plan import Line, PanelLine, Plan, locate, nail_totals, plan_notes
from service.schemas.answers.parts import first_listed_id, nail, numbers, placement, provenance
from service.schemas.answers.strength import calculated
from service.schemas.asks.wall import WallAsk
from service.tables.book import Book, open_book
from service.tables.editions import Edition
from service.tables.framing import SplicePlateRow
from service.tables.schedule import Panel
from service.ticks import feet, inches


def plan_answer(ask: WallAsk, plan: Plan) -> tuple[dict[str, Any], list[Caution]]:
    """Return the result of a wall and its cautions, standing notes included."""
    book = open_book()
    edition = book.editions[plan.order.edition_id]
    found: list[Caution] = []
    lines = []
    for i, line in enumerate(plan.lines):
        mine = joint_cautions(JointCase(line.requirement, _conditions_at(line, plan), edition, book))
        found += [
            Caution(
                c.code,
                c.applies_because if c.code == "site_assumed" else f"{line.requirement.connection.connection_id}: {c.applies_because}",
                (f"/result/connections/{i}" + ("/nail_count" if book.cautions[c.code].severity == "stop" else ""),),
            )
            for c in mine
        ]
        lines.append(_line(line, book, [c.code for c in sort_cautions(mine, book)]))
    if plan.panels:
        mine = joint_cautions(JointCase(plan.panels.requirement, plan.order.conditions, edition, book)) + panel_cautions(plan)
        where = f"/result/connections/{len(lines)}"
        found += [
            Caution(c.code, c.applies_because, (where + ("/nail_count" if book.cautions[c.code].severity == "stop" else ""),)) for c in mine
        ]
        lines.append(_panel_line(plan.panels, book, [c.code for c in sort_cautions(mine, book)]))
    found += [Caution(c.code, c.applies_because, ("/result",)) for c in wall_cautions(plan, book)]
    missing = tuple(f"/result/splice_plates/{i}/nail_count" for i, plates in enumerate(plan.splice_plates) if plates.row is None)
    if missing:
        found.append(Caution("value_not_held", f"splice plates of a single top plate are not held for {edition.edition_id}", missing))
    if any(s.row and s.row.confidence == "memory" for s in plan.splice_plates):
        found.append(Caution("unverified_value", "splice plates of this edition are held from memory", ("/result/splice_plates",)))
    found += standing_notes(plan.order.conditions.driver, bool(nail_totals(plan)))
    result: dict[str, Any] = {
        "id": plan.order.wall.wall_id or None,
        "members": _members(plan),
        "connections": lines,
        "panels": _pieces(plan),
    }
    result["nails"] = [{"nail": nail(n), "nail_count": count} for n, count in nail_totals(plan)]
    if plan.splice_plates:
        result["splice_plates"] = [
            {
                "where": s.where,
                "plate": s.row.plate if s.row else None,
                "plate_count": s.plate_count,
                "nail_id": s.row.nail_id if s.row else None,
                "nail_count_per_side": s.row.nail_count_per_side if s.row else None,
                "nail_count": s.nail_count,
                "provenance": provenance(_plate_held(s.row, edition)),
            }
            for s in plan.splice_plates
        ]
    result["totals"] = {
        "framing_nail_count": plan.framing_nail_count,
        "sheathing_nail_count": (plan.panels.nail_count or 0) if plan.panels else 0,
        "lumber_length_ft": feet(plan.lumber_length),
        "board_ft": round(plan.board_ft, 2),
        "panel_count": len(plan.panels.cover.pieces) if plan.panels else 0,
        "panel_count_by_area": panels_by_area(plan.order.wall),
        "wall_weight_lb": round(plan.weight_lb, 1),
        "lifter_count": plan.lifter_count,
        "totals_complete": plan.complete,
    }
    result["notes"] = list(plan_notes(plan))
    if ask.positions:
        result["nail_positions"] = _positions(plan, book)
    return result, found


def _plate_held(row: SplicePlateRow | None, edition: Edition) -> Provenance:
    """Return where a splice plate stands in print; no section where none is held."""
    if row is None:
        return Provenance(edition.code, edition.year, "", None, None, "no splice plates of this edition are held", "derived")
    return Provenance(edition.code, edition.year, row.section, None, None, None, row.confidence)


def _pieces(plan: Plan) -> list[dict[str, Any]]:
    if plan.panels is None:
        return []
    return [
        {**_rect(p.rect), "cut_outs": [_rect(c) for c in p.cut_outs], "nail_count": count}
        for p, count in zip(plan.panels.cover.pieces, plan.panels.counts, strict=True)
    ]


def _rect(r: Rect) -> dict[str, Any]:
    return {"x_in": inches(r.x0), "z_in": inches(r.z0), "width_in": inches(r.x1 - r.x0), "height_in": inches(r.z1 - r.z0)}


def _panel_line(panels: PanelLine, book: Book, codes: list[str]) -> dict[str, Any]:
    r = panels.requirement
    used = Panel(panels.edge, panels.field) if panels.edge is not None and panels.field is not None else None
    counts = [str(c) for c in panels.counts]
    basis = (
        f"{say_nailing(used)}; panel by panel {' + '.join(counts)} = {panels.nail_count}"
        if used
        else (r.stop.because if r.stop else r.provenance.note or r.outcome)
    )
    return {
        "connection_id": r.connection.connection_id,
        "description": r.connection.description,
        "method": r.connection.method,
        "joint_count": len(panels.cover.pieces),
        "nail": nail(r.question.nail),
        **numbers(used, Panel(1, 1)),
        "nail_count": panels.nail_count,
        "outcome": r.outcome,
        "listed_nail_id": first_listed_id(r),
        "listed_nail_count": panels.listed_nail_count,
        **calculated(r),
        "provenance": provenance(r.provenance),
        "basis": basis,
        "placement": placement(place(r, book)) if used else None,
        "caution_codes": codes,
    }


def _conditions_at(line: Line, plan: Plan) -> Conditions:
    """Only the joints of the bottom plate meet the concrete under it."""
    given = plan.order.conditions
    return given if line.group.treated else replace(given, bottom_plate_on="wood_floor")


def _line(line: Line, book: Book, codes: list[str]) -> dict[str, Any]:
    r = line.requirement
    runs, joints = line.run_lengths, len(line.group.joints)
    counted: dict[str, Any] = {"run_count": len(runs), "run_length_in": inches(sum(runs))} if runs else {"joint_count": joints}
    basis = say_count(r.nailing, runs, joints) if r.nailing is not None else (r.stop.because if r.stop else r.provenance.note or r.outcome)
    return {
        "connection_id": r.connection.connection_id,
        "description": r.connection.description,
        "method": r.connection.method,
        **counted,
        "nail": nail(line.nail),
        **numbers(r.nailing, r.counted_as),
        "nail_count": line.nail_count,
        "outcome": r.outcome,
        "listed_nail_id": first_listed_id(r),
        "listed_nail_count": line.listed_nail_count,
        **calculated(r),
        "provenance": provenance(r.provenance),
        "basis": basis,
        "placement": placement(place(r, book)) if r.nailing is not None else None,
        "caution_codes": codes,
    }


def _members(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "role": role,
            "nominal": nominal,
            "length_in": inches(length),
            "member_count": len(found),
            "x_in": [inches(m.x) for m in found],
            "z_in": [inches(m.z) for m in found],
        }
        for (role, nominal, length), found in _alike(plan).items()
    ]


def _alike(plan: Plan) -> dict[tuple[str, str, int], list[Member]]:
    """Group sticks cut alike; a stick's index counts through the groups in order."""
    grouped: dict[tuple[str, str, int], list[Member]] = {}
    for m in plan.framing.members:
        grouped.setdefault((m.role, m.nominal, m.length), []).append(m)
    return grouped


def _positions(plan: Plan, book: Book) -> list[dict[str, Any]]:
    index = {id(m): i for i, m in enumerate(m for found in _alike(plan).values() for m in found)}
    return [
        {
            "x_in": inches(s.x),
            "y_in": inches(s.y),
            "z_in": inches(s.z),
            "connection_id": line.requirement.connection.connection_id,
            "member_index": index[id(s.member)],
        }
        for line, s in locate(plan, book)
    ] + _panel_positions(plan)


def _panel_positions(plan: Plan) -> list[dict[str, Any]]:
    panels = plan.panels
    if panels is None or panels.edge is None or panels.field is None:
        return []
    name = panels.requirement.connection.connection_id
    return [
        {"x_in": inches(x), "y_in": 0, "z_in": inches(z), "connection_id": name, "panel_index": i}
        for i, p in enumerate(panels.cover.pieces)
        for x, z in p.spots(panels.edge, panels.field)
    ]
