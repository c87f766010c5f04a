"""Metric twins of answers: which fields have one, and how its number is rounded."""

from functools import cache
from typing import Any

from service.ticks import KG_PER_LB, M_PER_S_PER_MPH

UNITS = {"_in": ("_mm", 25.4), "_ft": ("_m", 0.3048), "_weight_lb": ("_weight_kg", KG_PER_LB), "_mph": ("_m_per_s", M_PER_S_PER_MPH)}
"""Lengths, weights and speeds have metric twins; forces have none."""
NOT_LENGTHS = ("roof_pitch_in_12", "board_ft")
FINE = ("x_in", "y_in", "z_in")
FINE_WORDS = ("diameter", "thickness", "distance", "penetration", "position")


def short(value: float | None, places: int = 2) -> float | None:
    """Return a number rounded, whole ones without a decimal point."""
    if value is None:
        return None
    rounded = round(value, places)
    return int(rounded) if float(rounded).is_integer() else rounded


@cache
def metric_twin(name: str) -> str | None:
    """Return the name of a field's metric twin; None for what is no length, weight or speed."""
    unit = _unit(name)
    if not unit or "_per_" in name or name in NOT_LENGTHS:
        return None
    return (_whole(name).removesuffix(unit) + UNITS[unit][0])[1:]


def convert(name: str, value: Any) -> Any:
    """Return the metric number of a US field, or the list of them; null stays null."""
    if value is None:
        return None
    factor, places = _rounding(name)
    if isinstance(value, list):
        return [short(v * factor, places) for v in value]
    return short(value * factor, places)


def _unit(name: str) -> str:
    return next((u for u in UNITS if _whole(name).endswith(u)), "")


def _whole(name: str) -> str:
    """Return a name that begins as its parts do, so that weight_lb alone is a weight too."""
    return f"_{name}"


@cache
def _rounding(name: str) -> tuple[float, int]:
    unit = _unit(name)
    fine = name in FINE or any(w in name for w in FINE_WORDS)
    return UNITS[unit][1], {"_in": 2 if fine else 0, "_ft": 3, "_weight_lb": 2, "_mph": 2}[unit]
