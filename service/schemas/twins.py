"""Metric twins of request fields: either the US field or the metric one, both feeding one attribute."""

from dataclasses import replace
from typing import Any

from marshmallow import ValidationError, post_load, validates_schema

from service.errors import Fault
from service.said import plain
from service.schemas.fields import Length, Lengths, Speed, Strict
from service.ticks import M_PER_S_PER_MPH

SUFFIXES = {"_in": ("_mm", 25.4), "_ft": ("_m", 0.3048), "_mph": ("_m_per_s", M_PER_S_PER_MPH)}
METRIC = "@metric"
QUANTITIES = ("limit", "minimum", "maximum", "received")


class Twinned(Strict):
    """A request object with metric twins; made by `with_twins`."""

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _check_twins(self, data: Any, original: Any, **kwargs: Any) -> None:
        errors: dict[str, Any] = {}
        for us, metric, _, required in self.twins if isinstance(original, dict) else ():
            if us in original and metric in original:
                errors[us] = [Fault("conflicting_units", f"send {us} or {metric}, not both")]
            elif required and us not in original and metric not in original:
                errors[us] = [Fault("missing_field", f"is required (or {metric})")]
        if errors:
            raise ValidationError(errors)

    @post_load
    def _join_twins(self, data: dict[str, Any], **kwargs: Any) -> dict[str, Any]:
        return {name.removesuffix(METRIC): value for name, value in data.items()}


def with_twins(schema: type[Twinned]) -> type[Twinned]:
    """Give each length and speed of a schema its metric twin."""
    twins = []
    for name, field in list(schema._declared_fields.items()):
        if not isinstance(field, Length | Lengths | Speed) or field.unit in ("mm", "m"):
            continue
        suffix, twin = field.twin()
        base = name.removesuffix("_" + field.unit)
        field.pair_required = field.pair_required or field.required
        twins.append((name, f"{base}_{suffix}", base, field.pair_required))
        field.attribute, twin.attribute = base, base + METRIC
        field.required = False
        schema._declared_fields[f"{base}_{suffix}"] = twin
    schema.twins = tuple(twins)
    return schema


def as_sent(fault: Fault, raw: Any) -> Fault:
    """Name the metric twin in a fault where the caller sent that one, with its numbers in that unit.

    The sentence speaks the unit of the numbers beside it; one without numbers is left to the units of the whole answer.
    """
    sent = _twin_sent(fault.path, raw)
    if sent is not None:
        name, factor = sent
        facts = {k: _times(v, factor) if k in QUANTITIES else v for k, v in fault.facts.items()}
        return replace(fault, path=(*fault.path[:-1], name), detail=plain(fault.detail, metric=True), facts=facts)
    said = plain(fault.detail) if any(k in fault.facts for k in QUANTITIES) else fault.detail
    return fault if said == fault.detail else replace(fault, detail=said)


def _twin_sent(path: tuple[str | int, ...], raw: Any) -> tuple[str, float] | None:
    """Return the metric twin that was sent for the field of a path, and its factor; None where none was."""
    holder = raw
    for part in path[:-1]:
        try:
            holder = holder[part]
        except (KeyError, IndexError, TypeError):
            return None
    name = path[-1] if path else ""
    if not isinstance(holder, dict) or not isinstance(name, str) or name in holder:
        return None
    for unit, (twin, factor) in SUFFIXES.items():
        metric = name.removesuffix(unit) + twin
        if name.endswith(unit) and metric in holder:
            return metric, factor
    return None


def _times(value: Any, factor: float) -> Any:
    return round(value * factor, 2 if factor > 1 else 3) if type(value) in (int, float) else value
