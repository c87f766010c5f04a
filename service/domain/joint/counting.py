"""Counts the nails of a nailing, orders nailings by work, and says both in words."""

from fractions import Fraction
from math import ceil

from service.said import say_fraction, say_length
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.ticks import ceil_div


def effort(nailing: Nailing) -> tuple[int, int]:
    """Order options by work: fewest nails, or widest spacing, first."""
    match nailing:
        case PerJoint(count) | Grouped(count, _):
            return (count, 0)
        case OnCenter(spacing):
            return (-spacing, 0)
        case Panel(edge, field):
            return (-edge, -field)


def nails_in_run(run: int, spacing: int) -> int:
    """Count the nails of a run: one at each end and the rest no farther apart than `spacing`.

    Parameters
    ----------
    run, spacing : int
        Ticks.
    """
    return ceil_div(run, spacing) + 1 if run > 0 else 0


def nails_for(nailing: Nailing, runs: tuple[int, ...] = (), joints: int = 0, shared: tuple[Fraction, ...] = ()) -> int:
    """Count nails for joints or runs, rounded up once per run, then added.

    Parameters
    ----------
    shared : tuple of Fraction
        How many joints each of those counts for that stand for more than one.
    """
    match nailing:
        case PerJoint(count):
            return count * (joints - len(shared)) + sum(ceil(count * share) for share in shared)
        case OnCenter(spacing, rows):
            return rows * sum(nails_in_run(r, spacing) for r in runs)
        case Grouped(count, spacing):
            return count * sum(ceil_div(r, spacing) for r in runs)
        case Panel():
            raise TypeError("panel nails are counted panel by panel")


def say_nails(number: int) -> str:
    """Say a number of nails."""
    return f"{number} nail{'' if number == 1 else 's'}"


def say_nailing(nailing: Nailing) -> str:
    """Say a nailing in words: 3 nails each end; a nail every 12 in."""
    match nailing:
        case PerJoint(count, counted_by):
            return f"{say_nails(count)} each {counted_by}"
        case OnCenter(spacing, 1):
            return f"a nail every {say_fraction(spacing)}"
        case OnCenter(spacing, rows):
            return f"{rows} rows, a nail every {say_fraction(spacing)}"
        case Grouped(count, spacing):
            return f"{say_nails(count)} in each {say_fraction(spacing)}"
        case Panel(edge, field):
            return f"{say_fraction(edge)} along edges, {say_fraction(field)} in the field"


def say_count(nailing: Nailing, runs: tuple[int, ...] = (), joints: int = 0, shared: tuple[Fraction, ...] = ()) -> str:
    """Write the arithmetic of a count so that a person can check it."""
    total = nails_for(nailing, runs, joints, shared)
    match nailing:
        case PerJoint(count, counted_by) if shared:
            once = " + ".join(str(ceil(count * share)) for share in shared)
            return f"{count} nails x {joints - len(shared)} joints (each {counted_by}) + {once} where two joints share their lap = {total}"
        case PerJoint(count, counted_by):
            return f"{count} nails x {joints} joints (each {counted_by}) = {total}"
        case OnCenter(spacing, rows):
            said = " + ".join(f"({label_ceil(r, spacing)} + 1)" for r in runs)
            return f"runs at {say_fraction(spacing)}: {said}{f', x {rows} rows' if rows > 1 else ''} = {total}"
        case Grouped(count, spacing):
            groups = " + ".join(str(ceil_div(r, spacing)) for r in runs)
            return f"{count} nails x {f'({groups})' if len(runs) > 1 else groups} groups ({say_fraction(spacing)} each) = {total}"
        case Panel():
            raise TypeError("panel nails are counted panel by panel")


def label_ceil(run: int, spacing: int) -> str:
    """Write a run over a spacing as its whole number of spaces."""
    return f"ceil({say_length(run, form='6')}/{say_length(spacing, form='D')})"
