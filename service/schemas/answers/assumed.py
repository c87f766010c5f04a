"""What was assumed, in words: a field by its own name without its unit, a value with that unit."""

from collections.abc import Callable
from typing import Any

from service.said import say_feet, say_fraction, say_speed
from service.ticks import PER_FT, ticks

UNITS: dict[str, Callable[[Any], str]] = {
    "_mph": lambda value: say_speed(f"{value:g}"),
    "_in": lambda value: say_fraction(ticks(value)),
    "_ft": lambda value: say_feet(ticks(value, PER_FT)),
    "_psf": lambda value: f"{value:g} lb/sq ft",
    "_f": lambda value: f"{value:g} F",
    "_percent": lambda value: f"{value:g} percent",
}
"""How a number is said, by the unit at the end of its field's name."""
LONGER = {"supports": "what it carries", "braced": "in a braced line"}
"""Fields whose name alone says too little."""


def say_field(field: str) -> str:
    """Say a field: wall.sheathing.panel_width_in is wall, sheathing, panel width."""
    *where, name = field.split(".")
    unit = next((u for u in UNITS if name.endswith(u)), "")
    last = LONGER.get(name, name.removesuffix(unit))
    return ", ".join(part.replace("_", " ") for part in (*where, last))


def say_value(field: str, value: Any) -> str:
    """Say a value: 115 of wind_speed_mph is 115 mph, a list its parts, true is yes."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return next((said(value) for unit, said in UNITS.items() if field.endswith(unit)), f"{value:g}")
    if isinstance(value, list | tuple):
        return ", ".join(say_value(field, v) for v in value) or "none"
    return "none" if value is None else str(value).replace("_", " ")
