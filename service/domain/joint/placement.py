"""Says where the nails of a joint go: start, angle, edge, end, spacing, stagger."""

from dataclasses import dataclass

from service.domain.joint.requirement import Requirement
from service.domain.nails.nail import Nail
from service.tables.schedule import Grouped, OnCenter, Panel, PerJoint
from service.ticks import PER_IN, ticks

T = ticks("1.5")
EDGE = ticks(1)
PANEL_EDGE = ticks("0.375")
GUIDE_END_D, GUIDE_ROW_D, GUIDE_ACROSS_D = 15, 15, 5
"""Splitting guidance without prebored holes, in diameters (commentary to the design standard, from memory)."""


@dataclass(frozen=True, slots=True)
class Placement:
    """Where nails go: ticks, degrees and words."""

    rule: str
    edge_distance: int | None
    end_distance: int | None
    guide_end_distance: int | None
    guide_spacing_along_grain: int | None
    guide_spacing_across_grain: int | None
    staggered: bool
    start: int | None = None
    angle_deg: int | None = None
    note: str = ""


GUIDANCE = "distances in diameters are guidance against splitting, not code minimums; the rule is that the wood does not split"


def place(requirement: Requirement) -> Placement:
    """Return where the nails of a requirement go."""
    nail = requirement.question.nail
    narrow = requirement.connection.receiving_width
    edge = EDGE if narrow is None else min(EDGE, narrow // 2)
    if requirement.connection.placement == "panel":
        return Placement(
            "3/8 in from panel edges, heads flush with the face, never through it; edge nails on framing or blocking, the two panels of a joint each in their own row",
            PANEL_EDGE,
            PANEL_EDGE,
            None,
            None,
            None,
            False,
        )
    count = requirement.nailing.count if isinstance(requirement.nailing, PerJoint | Grouped) else 1
    if requirement.connection.placement == "toe_nail":
        return Placement(
            "start one third of the nail length up the piece, about 30 degrees off it (60 off the other), from both faces by turns, no two in one grain line",
            EDGE,
            None,
            None,
            None,
            _diameters(nail, GUIDE_ACROSS_D),
            count > 3,
            nail.length // 3,
            30,
            GUIDANCE,
        )
    if requirement.connection.placement == "end_nail":
        return Placement(
            "spread across the plate, never two in one grain line; at the last stud of a plate the nails stand 3/4 in from its end",
            EDGE,
            T // 2,
            _diameters(nail, GUIDE_END_D),
            _diameters(nail, GUIDE_ROW_D),
            _diameters(nail, GUIDE_ACROSS_D),
            crowded(count, requirement.question.face),
            None,
            None,
            GUIDANCE,
        )
    rule = "in from the ends, rows staggered, no two in one grain line"
    if requirement.connection.placement == "plate_to_floor":
        rule = "into the rim, joist or blocking below, within reach of the studs and not in the middle of a bay, where pipes and wires are bored through; a nail that would fall under a stud stands beside it, a group beside the stud nearest the middle of its length"
    if requirement.connection.placement == "splice":
        rule = "in the 24 in on this side of the end joint, in two staggered rows"
    if isinstance(requirement.nailing, OnCenter | Panel):
        rule = f"{rule}; end nails 3 in from the ends of the run, the rest equally spaced"
    return Placement(
        rule,
        edge,
        ticks(3),
        _diameters(nail, GUIDE_END_D),
        _diameters(nail, GUIDE_ROW_D),
        _diameters(nail, GUIDE_ACROSS_D),
        True,
        None,
        None,
        GUIDANCE,
    )


def crowded(count: int, face: int) -> bool:
    """Whether more nails share a face than fit side by side: 3 on 3-1/2 in, and one more for each whole inch of depth beyond."""
    return count > 3 + max(face - ticks("3.5"), 0) // PER_IN


def _diameters(nail: Nail, times: float) -> int:
    return int(nail.diameter * times)
