"""Writes answers: domain objects to plain dictionaries, US fields first, metric twins on request."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from service import API_VERSION
from service.domain.cautions import Caution, JointCase, joint_cautions, panel_cautions, sort_cautions, standing_notes, wall_cautions
from service.domain.conditions import Conditions
from service.domain.layout import Member
from service.domain.nail import Nail
from service.domain.placement import Placement, place
from service.domain.plan import Line, PanelLine, Plan, locate, nail_totals, plan_notes
from service.domain.requirement import Provenance, Requirement, nails_for, say_count, say_nailing, zone_spacing
from service.domain.schedule import Choice
from service.domain.sheathing import Rect, panels_by_area
from service.schemas.asks import JointAsk, WallAsk
from service.tables.book import Book, open_book
from service.tables.rows import Grouped, Nailing, NailRow, OnCenter, Panel, PerJoint
from service.ticks import feet, inches

NOTICE = "Counts from the inputs and published tables; no design and no approval. The adopted local code and the building official govern."
FINE = ("x_in", "y_in", "z_in")
TWIN_UNITS = {"_in": ("_mm", 25.4), "_ft": ("_m", 0.3048), "_lb": ("_kg", 0.45359237), "_mph": ("_m_per_s", 0.44704)}
NOT_LENGTHS = ("roof_pitch_in_12", "board_ft")


def envelope(
    result: Any,
    cautions: list[dict[str, Any]],
    *,
    assumptions: Iterable[tuple[str, Any]] = (),
    units: str = "us",
    asked: dict[str, Any] | None = None,
    key: str = "result",
) -> dict[str, Any]:
    """Wrap an answer: meta, the question as understood, result, cautions."""
    body: dict[str, Any] = {"meta": meta(assumptions, units)}
    if asked is not None:
        body["input"] = asked
    body[key] = result
    body["cautions"] = cautions
    return body


def meta(assumptions: Iterable[tuple[str, Any]] = (), units: str = "us") -> dict[str, Any]:
    """Say which service, which data, which units, and what was assumed."""
    return {
        "api_version": API_VERSION,
        "data_version": open_book().data_version,
        "units": units,
        "notice": NOTICE,
        "assumptions": [{"field": name, "value": value} for name, value in assumptions],
    }


def nail(n: Nail) -> dict[str, Any]:
    """Write a nail with its full identity."""
    return {
        "id": n.nail_id,
        "label": n.label,
        "pennyweight": n.pennyweight or None,
        "type": n.type,
        "shank": n.shank,
        "length_in": inches(n.length),
        "shank_diameter_in": inches(n.diameter),
        "head_diameter_in": None if n.head_diameter is None else inches(n.head_diameter),
        "head": n.head,
        "coating": n.coating,
        "confidence": n.confidence,
    }


def nail_row(row: NailRow, n: Nail) -> dict[str, Any]:
    """Write a catalogue nail with its source."""
    return {**nail(n), "head_confidence": row.head_confidence or None, "source": row.source, "note": row.note or None}


def provenance(p: Provenance) -> dict[str, Any]:
    """Write where a number stands in print."""
    return {
        "code": p.code,
        "edition": p.edition,
        "section": p.section,
        "table": p.table,
        "item": p.item,
        "note": p.note,
        "confidence": p.confidence,
        "modified": p.modified,
    }


def numbers(nailing: Nailing | None, kind: Nailing | None = None) -> dict[str, Any]:
    """Write a nailing as its flat fields; null where there is none, in the fields the row would have."""
    match nailing or kind:
        case PerJoint(count):
            return {"nail_count_per_joint": count if nailing else None}
        case OnCenter(spacing, rows):
            return {"spacing_in": inches(spacing) if nailing else None, "row_count": rows}
        case Grouped(count, spacing):
            return {"spacing_in": inches(spacing) if nailing else None, "row_count": 1, "nail_count_per_group": count if nailing else None}
        case Panel(edge, field):
            return {"edge_spacing_in": inches(edge) if nailing else None, "field_spacing_in": inches(field) if nailing else None}
    return {"nail_count_per_joint": None}


def listed_option(choice: Choice) -> dict[str, Any]:
    """Write one printed option of a row."""
    o = choice.option
    return {
        "fastener": o.fastener,
        "nail_id": o.nail_id or None,
        "pennyweight": o.pennyweight or None,
        "shank": o.shank or None,
        "length_in": None if o.length is None else inches(o.length),
        "shank_diameter_in": None if o.diameter is None else inches(o.diameter),
        "head_diameter_in": None if o.head_diameter is None else inches(o.head_diameter),
        "detail": o.detail or None,
        **numbers(choice.nailing),
        "table": choice.table or None,
        "item": choice.item or None,
        "applies": not choice.refused_because,
        "refused_because": choice.refused_because or None,
        "confidence": o.confidence,
        "sources": list(o.sources),
        "note": o.note or None,
    }


def placement(p: Placement) -> dict[str, Any]:
    """Write where the nails go."""
    out = {
        "rule": p.rule,
        "edge_distance_in": p.edge_distance,
        "end_distance_in": p.end_distance,
        "guide_end_distance_in": p.guide_end_distance,
        "guide_spacing_along_grain_in": p.guide_spacing_along_grain,
        "guide_spacing_across_grain_in": p.guide_spacing_across_grain,
        "start_distance_in": p.start,
    }
    body: dict[str, Any] = {k: v if isinstance(v, str) else inches(v) for k, v in out.items() if v is not None}
    if p.angle_deg is not None:
        body["angle_deg"] = p.angle_deg
    return {**body, "staggered": p.staggered, **({"note": p.note} if p.note else {})}


def caution_block(found: list[Caution], book: Book) -> list[dict[str, Any]]:
    """Write the caution block of an answer, worst first."""
    out = []
    for c in sort_cautions(found, book):
        row = book.cautions[c.code]
        out.append(
            {
                "code": c.code,
                "severity": row.severity,
                "text": row.text,
                "applies_because": c.applies_because,
                "action": row.action,
                "applies_to": list(c.applies_to),
                "source": {"code": row.source, "edition": None, "section": None} if row.source else {"service": True},
                "doc_url": f"/v1/cautions/{c.code}",
            }
        )
    return out


def joint_result(ask: JointAsk, requirement: Requirement, codes: list[str]) -> dict[str, Any]:
    """Write the judgement of one joint."""
    kind = requirement.listed[0].nailing if requirement.listed else None
    nailing = requirement.nailing
    runs = (ask.run_length,) if ask.run_length is not None else ()
    counted = bool(runs) or ask.joint_count is not None
    body: dict[str, Any] = {
        "connection_id": requirement.connection.connection_id,
        "description": requirement.connection.description,
        "method": requirement.connection.method,
        "outcome": requirement.outcome,
        "nail": nail(requirement.question.nail),
        **numbers(nailing, kind),
    }
    if counted:
        body["nail_count"] = None if nailing is None else nails_for(nailing, runs, ask.joint_count or 0)
    if nailing is None:
        body["basis"] = requirement.stop[1] if requirement.stop else requirement.provenance.note or requirement.outcome
    else:
        body["basis"] = say_count(nailing, runs, ask.joint_count or 0) if counted else say_nailing(nailing)
    if requirement.zone and nailing is not None:
        close = zone_spacing(requirement.zone, requirement.question.site)
        if close is not None and requirement.zone.zone is not None:
            body["closer_zone"] = {
                "spacing_in": inches(close),
                "width_in": inches(requirement.zone.zone),
                "footnote": requirement.zone.footnote,
                "note": requirement.zone.note,
            }
    body["provenance"] = provenance(requirement.provenance)
    body["listed_options"] = [listed_option(c) for c in requirement.listed]
    if nailing is not None:
        body["placement"] = placement(place(requirement))
    return {**body, "caution_codes": codes}


def joint_answer(ask: JointAsk, requirement: Requirement) -> tuple[dict[str, Any], list[Caution]]:
    """Return the result of a joint and its cautions, standing notes included."""
    book = open_book()
    edition = book.editions[ask.question.edition_id]
    found = [_point(c, requirement) for c in joint_cautions(JointCase(requirement, ask.conditions, edition, book))]
    found += standing_notes(ask.conditions.driver, requirement.nailing is not None)
    codes = [c.code for c in sort_cautions(found, book)]
    return joint_result(ask, requirement, codes), found


def _point(c: Caution, requirement: Requirement) -> Caution:
    stop = open_book().cautions[c.code].severity == "stop"
    field = next(iter(numbers(requirement.nailing, requirement.listed[0].nailing if requirement.listed else None)))
    return Caution(c.code, c.applies_because, (f"/result/{field}",) if stop else ("/result",))


def plan_answer(ask: WallAsk, plan: Plan) -> tuple[dict[str, Any], list[Caution]]:
    """Return the result of a wall and its cautions, standing notes included."""
    book = open_book()
    edition = book.editions[plan.order.edition_id]
    depth = book.lumber[plan.order.wall.stud].depth
    found: list[Caution] = []
    lines = []
    for i, line in enumerate(plan.lines):
        mine = joint_cautions(JointCase(line.requirement, _conditions_at(line, plan), edition, book, depth))
        found += [
            Caution(
                c.code,
                c.applies_because if c.code == "site_assumed" else f"{line.requirement.connection.connection_id}: {c.applies_because}",
                (f"/result/connections/{i}" + ("/nail_count" if book.cautions[c.code].severity == "stop" else ""),),
            )
            for c in mine
        ]
        lines.append(_line(line, [c.code for c in sort_cautions(mine, book)]))
    if plan.panels:
        mine = joint_cautions(JointCase(plan.panels.requirement, plan.order.conditions, edition, book, depth)) + panel_cautions(plan)
        where = f"/result/connections/{len(lines)}"
        found += [
            Caution(c.code, c.applies_because, (where + ("/nail_count" if book.cautions[c.code].severity == "stop" else ""),)) for c in mine
        ]
        lines.append(_panel_line(plan.panels, [c.code for c in sort_cautions(mine, book)]))
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
                "provenance": {
                    "code": edition.code,
                    "edition": edition.year,
                    "section": "R602.3.2",
                    "table": None,
                    "item": None,
                    "note": None,
                    "confidence": s.row.confidence if s.row else "derived",
                    "modified": False,
                },
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


def _pieces(plan: Plan) -> list[dict[str, Any]]:
    if plan.panels is None:
        return []
    return [
        {**_rect(p.rect), "cut_outs": [_rect(c) for c in p.cut_outs], "nail_count": count}
        for p, count in zip(plan.panels.cover.pieces, plan.panels.counts, strict=True)
    ]


def _rect(r: Rect) -> dict[str, Any]:
    return {"x_in": inches(r.x0), "z_in": inches(r.z0), "width_in": inches(r.x1 - r.x0), "height_in": inches(r.z1 - r.z0)}


def _panel_line(panels: PanelLine, codes: list[str]) -> dict[str, Any]:
    r = panels.requirement
    used = Panel(panels.edge, panels.field) if panels.edge is not None and panels.field is not None else None
    counts = [str(c) for c in panels.counts]
    basis = (
        f"{say_nailing(used)}; panel by panel {' + '.join(counts)} = {panels.nail_count}"
        if used
        else (r.stop[1] if r.stop else r.provenance.note or r.outcome)
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
        "listed_nail_count": panels.listed_nail_count,
        "provenance": provenance(r.provenance),
        "basis": basis,
        "placement": placement(place(r)) if used else None,
        "caution_codes": codes,
    }


def _conditions_at(line: Line, plan: Plan) -> Conditions:
    """Only the joints of the bottom plate meet the concrete under it."""
    given = plan.order.conditions
    return given if line.group.treated else replace(given, bottom_plate_on="wood_floor")


def _line(line: Line, codes: list[str]) -> dict[str, Any]:
    r = line.requirement
    runs, joints = line.run_lengths, len(line.group.joints)
    kind = r.listed[0].nailing if r.listed else None
    counted: dict[str, Any] = {"run_count": len(runs), "run_length_in": inches(sum(runs))} if runs else {"joint_count": joints}
    basis = say_count(r.nailing, runs, joints) if r.nailing is not None else (r.stop[1] if r.stop else r.provenance.note or r.outcome)
    return {
        "connection_id": r.connection.connection_id,
        "description": r.connection.description,
        "method": r.connection.method,
        **counted,
        "nail": nail(line.nail),
        **numbers(r.nailing, kind),
        "nail_count": line.nail_count,
        "outcome": r.outcome,
        "listed_nail_count": line.listed_nail_count,
        "provenance": provenance(r.provenance),
        "basis": basis,
        "placement": placement(place(r)) if r.nailing is not None else None,
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


def with_metric_twins(value: Any) -> Any:
    """Add the metric twin beside each US length, weight and speed of an answer."""
    if isinstance(value, list):
        return [with_metric_twins(v) for v in value]
    if not isinstance(value, dict):
        return value
    out: dict[str, Any] = {}
    for name, inner in value.items():
        out[name] = with_metric_twins(inner)
        unit = next((u for u in TWIN_UNITS if name.endswith(u)), None)
        if unit and "_per_" not in name and name not in NOT_LENGTHS:
            suffix, factor = TWIN_UNITS[unit]
            twin = name.removesuffix(unit) + suffix
            if twin not in value:
                out[twin] = _convert(inner, factor, _places(name, unit))
    return out


def _places(name: str, unit: str) -> int:
    fine = name in FINE or any(w in name for w in ("diameter", "thickness", "distance", "penetration"))
    return {"_in": 2 if fine else 0, "_ft": 3, "_lb": 2, "_mph": 2}[unit]


def _convert(value: Any, factor: float, places: int) -> Any:
    if isinstance(value, list):
        return [_convert(v, factor, places) for v in value]
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    rounded = round(value * factor, places)
    return int(rounded) if float(rounded).is_integer() else rounded
