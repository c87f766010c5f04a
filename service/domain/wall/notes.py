"""What a plan leaves to others, said once beside it."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from service.domain.wall.members import Frame
from service.domain.wall.wall import T, Wall
from service.said import say_length

if TYPE_CHECKING:  # a plan says its own notes
    from service.domain.wall.plan import Plan


def frame_notes(frame: Frame, wall: Wall) -> Iterator[str]:
    """Say where an opening has no cripples and no header."""
    o, top = frame.opening, T + wall.stud_length
    header_top = frame.head_top
    if not frame.head_cripples and top > header_top:
        yield f"opening {o.opening_id}: the {say_length(top - header_top)} over the header take no cripples; fill them"
    if o.sill_height and not frame.sill_cripples and o.sill_height > 2 * T:
        yield f"opening {o.opening_id}: the {say_length(o.sill_height - 2 * T)} under the sill take no cripples; fill them"
    if o.header is None:
        yield f"opening {o.opening_id}: no header, the head is one flat 2-by"


def plan_notes(plan: "Plan") -> tuple[str, ...]:
    """Say what the plan leaves to others."""
    wall = plan.order.wall
    corners = wall.start_corner != "none" or wall.end_corner != "none"
    wide = _widest_gap(plan)
    notes = (
        (
            f"a layout stud gave way to a fixed one: studs stand {say_length(wide)} apart there, asked {say_length(wall.spacing)}; add a stud if that is too wide",
            wide > wall.spacing,
        ),
        (
            "bottom plate on concrete: nothing is nailed to the slab; its bolts and washers stand in anchors",
            wall.bottom_plate_on == "concrete",
        ),
        (
            "the upper top plate is listed in this wall's own length: where another wall laps over, hold it back by that wall's depth",
            wall.top_plate_count == 2 and (bool(wall.intersections) or corners),
        ),
        ("a corner stud is tight inside the end stud; the meeting wall brings its own end stud", corners),
        ("not in the plan: hold-downs, uplift connectors, waste, stock lengths to order", True),
    )
    framed = tuple(said for frame in plan.framing.frames for said in frame_notes(frame, wall))
    return (*framed, *_without_number(plan), *(said for said, applies in notes if applies))


def _without_number(plan: "Plan") -> Iterator[str]:
    """Say which joints have no number, and to name another nail only where that helps."""
    framing = [("connection_nails", c.requirement) for c in plan.lines if c.nail_count is None]
    panels = [("sheathing_nail", plan.panels.requirement)] if plan.panels and plan.panels.used is None else []
    numberless = [(name, r) for name, r in framing + panels if r.outcome != "not_applicable"]
    helped = [(name, r) for name, r in numberless if r.stop and r.stop.code in OF_THE_NAIL]
    rest = [(name, r) for name, r in numberless if (name, r) not in helped]
    cure = f"name another nail in {' and '.join(dict.fromkeys(name for name, _ in helped))}"
    for found, what in ((helped, cure), (rest, "see their cautions")):
        if found:
            joints = ", ".join(dict.fromkeys(r.connection.connection_id for _, r in found))
            yield f"no number, and not in the totals: {joints}; {what}"


OF_THE_NAIL = ("calculated_not_offered", "engineering_required_joint", "penetration_short")
"""Stops that another nail may lift; the others stand whatever the nail."""


def _widest_gap(plan: "Plan") -> int:
    """Return the widest space between full-height studs, openings left out; ticks."""
    centers = [s.center for s in plan.framing.studs]
    openings = plan.order.wall.openings
    gaps = [b - a for a, b in zip(centers, centers[1:], strict=False) if not any(a < o.at < b for o in openings)]
    return max(gaps, default=0)
