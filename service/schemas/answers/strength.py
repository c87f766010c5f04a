"""Writes strength: of one nail by engineering, and the working of a calculated substitution."""

from typing import Any

from service.domain.cautions.caution import Caution, sort_cautions, standing_notes
from service.domain.cautions.strength import strength_cautions
from service.domain.joint.comparison import Against, Value
from service.domain.joint.requirement import Requirement
from service.domain.joint.sizing import round_down, round_up
from service.domain.joint.stop import Provenance
from service.domain.joint.substitute import Substitute
from service.domain.strength.adjusted import Factor, Strength, evaluate
from service.schemas.answers.parts import nail, numbers, provenance, short
from service.schemas.asks.strength import StrengthAsk
from service.tables.book import open_book
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.tables.standard import Nds
from service.ticks import PER_IN, inches, label

FINE = 4
COMPARED = (
    "one nail beside the other, dry and at the ten-year load: moisture, temperature and load duration act on both alike and cancel. "
    "lateral_lb holds the lateral_factor; nail-strengths shows every mode, before that factor as lateral_lb and after it as adjusted_lateral_lb"
)


def strength_answer(ask: StrengthAsk) -> tuple[dict[str, Any], list[Caution]]:
    """Return the result of a strength question and its cautions, standing notes included."""
    strength = evaluate(ask.nail, ask.joint, ask.service, ask.nds, ask.short_method)
    found = [_point(c) for c in strength_cautions(strength)]
    found += standing_notes("hand", False)
    codes = [c.code for c in sort_cautions(found, open_book())]
    return {**_result(strength), "caution_codes": codes}, found


def _point(c: Caution) -> Caution:
    if c.code == "penetration_short":
        return Caution(c.code, c.applies_because, ("/result/lateral_lb", "/result/withdrawal_lb"))
    if c.code == "value_not_held":
        return Caution(c.code, c.applies_because, ("/result/adjusted_lateral_lb", "/result/adjusted_withdrawal_lb"))
    if c.code == "engineering_required_joint":
        return Caution(c.code, c.applies_because, ("/result/lateral_lb",))
    return Caution(c.code, c.applies_because, ("/result/withdrawal_lb" if c.code == "end_grain_withdrawal" else "/result",))


def _result(s: Strength) -> dict[str, Any]:
    side, out = s.lateral, s.axial
    return {
        "outcome": "engineering_required" if s.stop else "calculated",
        "nail": nail(s.nail),
        "penetration_in": short(s.penetration_in, FINE),
        "penetration_diameters": short(s.penetration_diameters, FINE),
        "short_penetration_method": side.short_method if side else None,
        "main_specific_gravity": s.joint.main_gravity,
        "side_specific_gravity": s.joint.side_gravity,
        "side_bearing_length_in": short(side.side_length_in, FINE) if side else None,
        "main_bearing_length_in": short(side.main_length_in, FINE) if side else None,
        "withdrawal_length_in": short(out.length_in, FINE) if out else None,
        "reduction_term": short(side.reduction, FINE) if side else None,
        "bending_yield_psi": short(side.bending_yield_psi) if side else None,
        "main_bearing_psi": short(side.main_bearing_psi) if side else None,
        "side_bearing_psi": short(side.side_bearing_psi) if side else None,
        "yield_modes_lb": {m: short(v) for m, v in side.modes_lb.items()} if side else None,
        "governing_mode": side.mode if side else None,
        "lateral_lb": short(side.value_lb if side else None),
        "adjusted_lateral_lb": short(s.adjusted_lateral_lb),
        "withdrawal_shank": out.kind if out else None,
        "withdrawal_lb_per_in": short(out.lb_per_in if out else None),
        "withdrawal_lb": short(out.value_lb if out else None),
        "adjusted_withdrawal_lb": short(s.adjusted_withdrawal_lb),
        "head_pull_through_lb": short(s.head.value_lb if s.head else None),
        "adjusted_head_pull_through_lb": short(s.adjusted_head_lb),
        "combined_lb": short(s.combined_lb),
        "factors": [_factor(f, s.nds) for f in s.factors],
        "notes": list(s.notes),
        "basis": _basis(s),
        "provenance": provenance(_where(s.nds, "12.2, 12.3", s.confidence, "computed from the equations of the standard")),
    }


def _basis(s: Strength) -> str:
    if s.stop and s.stop[0] == "penetration_short":
        return s.stop[1]
    said = [s.stop[1]] if s.stop and s.lateral is None else []
    if s.lateral:
        least = f"mode {s.lateral.mode} is the least of {len(s.lateral.modes_lb)}, yield load / Rd = {s.lateral.value_lb:.1f} lb"
        said.append(f"lateral: {least}{_times(s, 'lateral', s.adjusted_lateral_lb)}")
    if s.axial:
        held = f"{s.axial.lb_per_in:.2f} lb/in ({s.axial.kind.replace('_', ' ')}) x {s.axial.length_in:.3f} in = {s.axial.value_lb:.1f} lb"
        said.append(f"withdrawal: {held}{_times(s, 'withdrawal', s.adjusted_withdrawal_lb)}")
    if s.head:
        said.append(f"head pull-through (12.2.5): {s.head.value_lb:.1f} lb{_times(s, 'head', s.adjusted_head_lb)}")
    if s.combined_lb is not None:
        angle = f"{s.service.load_angle_deg:g}"
        said.append(f"combined (12.4): W Z / (W cos {angle} + Z sin {angle}) of the adjusted values = {s.combined_lb:.1f} lb")
    return "; ".join(said) or "; ".join(s.notes)


def _times(s: Strength, kind: str, adjusted: float | None) -> str:
    """Write the factors of a value and what they make of it."""
    factors = "".join(f" x {f.value:g}" for f in s.factors if f.applies_to == kind)
    if adjusted is None:
        return ", adjusted value not held"
    return f"{factors} = {adjusted:.1f} lb" if factors else ""


def _factor(f: Factor, nds: Nds) -> dict[str, Any]:
    return {
        "name": f.name,
        "applies_to": f.applies_to,
        "value": short(f.value, FINE),
        "applies_because": f.because,
        "provenance": provenance(_where(nds, f.clause, f.confidence)),
    }


def _where(nds: Nds, clause: str, confidence: str, note: str | None = None) -> Provenance:
    table = clause.removeprefix("Table ") if clause.startswith("Table") else None
    return Provenance("NDS", nds.year, "" if table else clause, table, None, note, confidence, note is not None)


def calculated(requirement: Requirement) -> dict[str, Any]:
    """Write the fields that only a calculated number has."""
    found = requirement.substitute
    return {**_weakest_numbers(found), "working": _working(found)} if found else {}


def _weakest_numbers(found: Substitute) -> dict[str, Any]:
    """Write what would reach the weakest listed option."""
    shown = numbers(found.weakest_nailing)
    shown.pop("row_count", None)
    if "nail_count_per_group" in shown:
        shown = {"nail_count": shown["nail_count_per_group"]}
    return {f"weakest_option_{name.removesuffix('_per_joint')}": value for name, value in shown.items()}


def _working(found: Substitute) -> dict[str, Any]:
    """Write the comparison behind a calculated number, value by value."""
    return {
        "nds_edition": found.nds.edition_id,
        "specific_gravity": found.species.specific_gravity,
        "lateral_factor": found.factor,
        "face_in": inches(found.face),
        "nail": _value(found.own),
        "strongest_option": _against(found.strongest, found.nailing),
        "weakest_option": _against(found.weakest, found.weakest_nailing),
        "left_out": list(found.left_out),
        "note": COMPARED,
        "confidence": found.confidence,
    }


def _value(v: Value) -> dict[str, Any]:
    return {
        "nail": v.nail.label,
        "penetration_in": short(v.penetration / PER_IN, FINE),
        "penetration_diameters": short(v.penetration / v.nail.diameter, FINE),
        "short_penetration_method": v.lateral.short_method,
        "governing_mode": v.lateral.mode,
        "side_bearing_length_in": short(v.lateral.side_length_in, FINE),
        "main_bearing_length_in": short(v.lateral.main_length_in, FINE),
        "reduction_term": short(v.lateral.reduction, FINE),
        "bending_yield_psi": short(v.lateral.bending_yield_psi),
        "main_bearing_psi": short(v.lateral.main_bearing_psi),
        "side_bearing_psi": short(v.lateral.side_bearing_psi),
        "lateral_lb": short(v.lateral_lb),
        "withdrawal_lb": short(v.withdrawal_lb) if v.counts_axially else None,
        "head_pull_through_lb": short(v.head_lb),
        "axial_lb": short(v.axial_lb),
    }


def _say_needed(a: Against, nailing: Nailing) -> str:
    """Write the division that gives the number, its rounding, and whether the row itself asks for more."""
    ratio = f"{a.ratio:.4f}"
    match a.choice.nailing, nailing:
        case PerJoint(theirs), PerJoint(count):
            return _say_count(f"{theirs} / {ratio}", theirs / a.ratio, count)
        case Grouped(theirs, spacing), Grouped(count, _):
            return _say_count(f"in each {label(spacing)} in: {theirs} / {ratio}", theirs / a.ratio, count)
        case OnCenter(theirs), OnCenter(spacing):
            return _say_spacing(theirs, a.ratio, spacing)
        case Panel(edge, field), Panel(e, f):
            return f"{_say_spacing(edge, a.ratio, e)}; {_say_spacing(field, a.ratio, f)}"
    return ""


def _say_count(division: str, needed: float, count: int) -> str:
    held = "" if round_up(needed) == count else "; the row holds it there"
    return f"{division} = {needed:.2f}, up to {count}{held}"


def _say_spacing(theirs: int, ratio: float, spacing: int) -> str:
    held = "" if round_down(theirs * ratio, open_book().rules.calculated_step) == spacing else "; the row holds it there"
    return f"{label(theirs)} in x {ratio:.4f} = {theirs * ratio / PER_IN:.2f} in, down to {label(spacing)} in{held}"


def _against(a: Against, nailing: Nailing) -> dict[str, Any]:
    return {
        **_value(a.value),
        **numbers(a.choice.nailing),
        "lateral_ratio": short(a.lateral_ratio, FINE),
        "axial_ratio": None if a.axial_ratio is None else short(a.axial_ratio, FINE),
        "basis": _say_needed(a, nailing),
    }
