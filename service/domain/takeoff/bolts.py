"""Anchor bolts of many walls: how many of each kind to load, and which walls have no number of them."""

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from service.domain.building.anchorage import Anchorage
from service.said import say_fraction, say_length


class Bolted(NamedTuple):
    """The bolts of a wall that is built so many times, and what people call it."""

    name: str
    anchorage: Anchorage
    times: int = 1


class BoltKind(NamedTuple):
    """Bolts alike, the least the code allows: ticks; side and thickness of a plate washer, None for a cut one."""

    diameter: int
    embedment: int
    washer_side: int | None
    washer_thickness: int | None


class BoltLine(NamedTuple):
    """Bolts to load."""

    kind: BoltKind
    bolt_count: int

    @property
    def label(self) -> str:
        """The bolts as people say them."""
        k = self.kind
        washer = "cut washer"
        if k.washer_side and k.washer_thickness:
            washer = f"plate washer {say_length(k.washer_side)} x {say_length(k.washer_side)} x {say_length(k.washer_thickness)}"
        thick, deep = say_fraction(k.diameter), say_length(k.embedment)
        return f"anchor bolt of {thick} or thicker, {deep} into the concrete, nut and {washer}"


def sum_of_bolts(walls: Iterable[Bolted]) -> tuple[BoltLine, ...]:
    """Add up the bolts of walls that have a number, kind by kind."""
    counts = Counter[BoltKind]()
    for wall in walls:
        rules, washer, count = wall.anchorage.rules, wall.anchorage.washer, wall.anchorage.count
        if rules and count:
            plate = (washer.side, washer.thickness) if washer and washer.plate else (None, None)
            counts[BoltKind(rules.least_diameter, rules.least_embedment, *plate)] += count * wall.times
    return tuple(BoltLine(kind, counts[kind]) for kind in sorted(counts, key=lambda k: [n or 0 for n in k]))


def without_number(walls: Iterable[Bolted]) -> tuple[str, ...]:
    """Say which walls have bolts without a number, and why."""
    names: dict[str, list[str]] = {}
    for wall in walls:
        if wall.anchorage.count is None:
            names.setdefault(wall.anchorage.reason, []).append(wall.name)
    return tuple(f"anchor bolts of {', '.join(some)} are not in the list: {why}" for why, some in names.items())
