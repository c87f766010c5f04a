"""The parts answers are made of: envelope, nail, provenance, numbers, placement, cautions, metric twins."""

from collections.abc import Iterable
from typing import Any

from service import API_VERSION
from service.domain.cautions.caution import Caution, sort_cautions
from service.domain.joint.placement import Placement
from service.domain.joint.requirement import Requirement
from service.domain.joint.schedule import Choice
from service.domain.joint.stop import Provenance
from service.domain.nails.nail import Nail
from service.tables.book import Book, open_book
from service.tables.nails import NailRow
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.ticks import inches

NOTICE = "Counts from the inputs and published tables; no design and no approval. The adopted local code and the building official govern."
FINE = ("x_in", "y_in", "z_in")
TWIN_UNITS = {"_in": ("_mm", 25.4), "_ft": ("_m", 0.3048), "_weight_lb": ("_weight_kg", 0.45359237), "_mph": ("_m_per_s", 0.44704)}
"""Lengths, weights and speeds have metric twins; forces have none."""
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


def first_listed_id(requirement: Requirement) -> str | None:
    """Return the id of the first nail the row lists here; None where it names none."""
    first = requirement.first_listed
    return first.option.nail_id or None if first else None


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


def short(value: float | None, places: int = 2) -> float | None:
    """Return a number rounded, whole ones without a decimal point."""
    if value is None:
        return None
    rounded = round(value, places)
    return int(rounded) if float(rounded).is_integer() else rounded


def with_metric_twins(value: Any) -> Any:
    """Add the metric twin beside each US length, weight and speed of an answer."""
    if isinstance(value, list):
        return [with_metric_twins(v) for v in value]
    if not isinstance(value, dict):
        return value
    out: dict[str, Any] = {}
    for name, inner in value.items():
        out[name] = with_metric_twins(inner)
        twin = metric_twin(name)
        if twin and twin not in value:
            unit = _unit(name)
            out[twin] = _convert(inner, TWIN_UNITS[unit][1], _places(name, unit))
    return out


def _unit(name: str) -> str:
    return next((u for u in TWIN_UNITS if name.endswith(u)), "")


def metric_twin(name: str) -> str | None:
    """Return the name of a field's metric twin; None for what is no length, weight or speed."""
    unit = _unit(name)
    if not unit or "_per_" in name or name in NOT_LENGTHS:
        return None
    return name.removesuffix(unit) + TWIN_UNITS[unit][0]


def _places(name: str, unit: str) -> int:
    fine = name in FINE or any(w in name for w in ("diameter", "thickness", "distance", "penetration"))
    return {"_in": 2 if fine else 0, "_ft": 3, "_weight_lb": 2, "_mph": 2}[unit]


def _convert(value: Any, factor: float, places: int) -> Any:
    if isinstance(value, list):
        return [_convert(v, factor, places) for v in value]
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    return short(value * factor, places)
