"""How many nails on hand, or what spacing, reach a listed option; counts up, spacings down to the half inch."""

from collections.abc import Callable
from dataclasses import replace
from math import ceil, floor

from service.domain.joint.comparison import Against, Case
from service.domain.joint.counting import effort
from service.domain.nails.nail import exceeds, head_holds
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint

DUST = 1e-9
"""Relative tolerance of a comparison; there is no other slack."""

Size = Callable[[Case, Against, list[Against]], Nailing]


def _per_joint(case: Case, one: Against, listed: list[Against]) -> Nailing:
    """Return the count that reaches one option, never under the row's least."""
    counts = [count_of(o.choice.nailing) for o in listed]
    needed = max(round_up(count_of(one.choice.nailing) / one.ratio), min(counts))
    nailing = one.choice.nailing
    return PerJoint(needed, nailing.counted_by) if isinstance(nailing, PerJoint) else nailing


def _grouped(case: Case, one: Against, listed: list[Against]) -> Nailing:
    """Return whole nails in each group that reach one option."""
    nailing = listed[0].choice.nailing
    spacing = nailing.spacing if isinstance(nailing, Grouped) else 1
    theirs = one.choice.nailing
    each = theirs.count * spacing / theirs.spacing if isinstance(theirs, Grouped) else 0
    return Grouped(max(round_up(each / one.ratio), min(count_of(o.choice.nailing) for o in listed)), spacing)


def _on_center(case: Case, one: Against, listed: list[Against]) -> Nailing:
    """Return the spacing that reaches one option, never over the row's widest."""
    rows = max(o.choice.nailing.row_count for o in listed if isinstance(o.choice.nailing, OnCenter))
    widest = max(o.choice.nailing.spacing for o in listed if isinstance(o.choice.nailing, OnCenter))
    theirs = one.choice.nailing
    if not isinstance(theirs, OnCenter):
        raise TypeError("compared with its own kind only")
    return OnCenter(min(round_down(theirs.spacing * one.ratio * rows / theirs.row_count, case.book.rules.calculated_step), widest), rows)


def _panel(case: Case, one: Against, listed: list[Against]) -> Nailing:
    """Return edge and field spacing by one factor, never over the row's widest."""
    every = [o.choice.nailing for o in listed if isinstance(o.choice.nailing, Panel)]
    theirs = one.choice.nailing
    if not isinstance(theirs, Panel):
        raise TypeError("compared with its own kind only")
    return Panel(
        min(round_down(theirs.edge * one.ratio, case.book.rules.calculated_step), max(p.edge for p in every)),
        min(round_down(theirs.field * one.ratio, case.book.rules.calculated_step), max(p.field for p in every)),
    )


SIZES: dict[type, Size] = {PerJoint: _per_joint, Grouped: _grouped, OnCenter: _on_center, Panel: _panel}


def round_up(needed: float) -> int:
    """Return a count rounded up to whole nails."""
    return ceil(needed * (1 - DUST))


def round_down(spacing: float, step: int) -> int:
    """Return a spacing rounded down to whole steps; ticks."""
    return floor(spacing * (1 + DUST) / step) * step


def count_of(nailing: Nailing) -> int:
    """Return the nails of a joint or group; 0 where nails are spaced."""
    return nailing.count if isinstance(nailing, PerJoint | Grouped) else 0


def demand(one: Against) -> tuple[float, float]:
    """Say how many nails on hand an option is worth, per joint or per length, before rounding."""
    match one.choice.nailing:
        case PerJoint(count):
            return (count / one.ratio, 0)
        case Grouped(count, spacing):
            return (count / spacing / one.ratio, 0)
        case OnCenter(spacing, rows):
            return (rows / spacing / one.ratio, 0)
        case Panel(edge, field):
            return (1 / edge / one.ratio, 1 / field / one.ratio)


def closest(nailings: list[Nailing]) -> Nailing:
    """Return the nailing that reaches every option: for panels the closest edge with the closest field."""
    panels = [n for n in nailings if isinstance(n, Panel)]
    if panels:
        return Panel(min(p.edge for p in panels), min(p.field for p in panels))
    return (
        max(nailings, key=count_of) if count_of(nailings[0]) else min(nailings, key=lambda n: n.spacing if isinstance(n, OnCenter) else 0)
    )


def of_greater_nails(case: Case, kind: type) -> list[Nailing]:
    """Return what the code asks of nails that are at least as long and as thick, alternates too: a lesser one never needs less.

    For each listed nail, a nail as long and as thick as both it and the nail on hand would exceed it; what such a
    nail may take is the least that the nail on hand takes.
    """
    open_here = [c for c in case.choices if not c.refused_because and isinstance(c.nailing, kind)]
    asked = []
    for choice in open_here:
        length, diameter = choice.option.length or 0, choice.option.diameter_max or choice.option.diameter or 0
        own = case.nail
        head = own.head_diameter and max(own.head_diameter, choice.option.head_diameter or 0)
        greater = replace(
            own,
            length=max(own.length, length),
            diameter=max(own.diameter, diameter),
            head_diameter=head,
            head="full_round",
            coating="bright",
        )
        stood_for = [
            c.nailing
            for c in open_here
            if exceeds(greater, c.option, case.connection.panel) and head_holds(greater, c.option, case.connection.panel)
        ]
        asked += [min(stood_for, key=effort)] if stood_for else []
    return asked
