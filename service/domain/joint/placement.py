"""Says where the nails of a joint go: start, angle, edge, end, spacing, stagger."""

from dataclasses import dataclass
from typing import Any

from service.domain.joint.requirement import Requirement
from service.said import say_fraction
from service.tables.book import Book
from service.tables.rules import Rules
from service.tables.schedule import Grouped, OnCenter, Panel, PerJoint


@dataclass(frozen=True, slots=True)
class Placement:
    """Where nails go: ticks, degrees and words."""

    rule: str
    edge_distance: int | None
    end_distance: int | None = None
    guide_end_distance: int | None = None
    guide_spacing_along_grain: int | None = None
    guide_spacing_across_grain: int | None = None
    staggered: bool = False
    start: int | None = None
    angle_deg: int | None = None
    note: str = ""


SPLIT = "guidance against splitting from a commentary, not code minimums; the rule is that the wood does not split: a nail in split wood does not count, stop and replace the piece"


def place(requirement: Requirement, book: Book, driver: str = "gun") -> Placement:
    """Return where the nails of a requirement go, by the placement column of its joint, and how the tool is held to them."""
    match requirement.connection.placement:
        case "panel":
            return _panel(book.rules)
        case "toe_nail":
            return _toe_nail(requirement, book, driver)
        case "end_nail":
            return _end_nail(requirement, book.rules)
    return _face_nail(requirement, book.rules, driver)


def _panel(rules: Rules) -> Placement:
    edge = rules.panel_edge_distance
    return Placement(
        rule=f"{say_fraction(edge)} from panel edges, heads flush with the face, never through it; edge nails on framing or blocking, the two panels of a joint each in their own row",
        edge_distance=edge,
        end_distance=edge,
    )


def _toe_nail(requirement: Requirement, book: Book, driver: str) -> Placement:
    nail, rules, nds = requirement.question.nail, book.rules, book.standard_of(requirement.question.edition_id)
    angle = int(nds["toe_nail_angle_deg"])
    faces = "top and bottom" if requirement.connection.in_wall == "block_toe" else "both faces"
    said = [
        f"start one third of the nail length up the piece, about {angle} degrees off it ({90 - angle} off the other), from {faces} by turns, no two in one grain line",
        _columns(requirement, rules),
        "seat the tip before the trigger is pulled, and drive by hand where it slips" if driver == "gun" else "",
    ]
    return Placement(
        rule=_sentence(said),
        edge_distance=rules.edge_distance,
        guide_spacing_across_grain=int(nail.diameter * rules.guide_across_diameters),
        staggered=_count(requirement) > rules.side_by_side_nails,
        start=int(nail.length // nds["toe_nail_start"]),
        angle_deg=angle,
        note=f"{rules.guide_across_diameters:g} diameters across the grain: {SPLIT}",
    )


def _end_nail(requirement: Requirement, rules: Rules) -> Placement:
    end = rules.plate_end_distance
    said = ["spread across the piece nailed through, never two in one grain line", _columns(requirement, rules)]
    if requirement.connection.in_wall == "stud_end":
        said += [
            f"at the last stud of a plate the nails stand {say_fraction(end)} from its end",
            f"where two plates meet on a stud they come {say_fraction(end // 2)} from a plate's end: start them {say_fraction(rules.slant_back)} back and slant them in",
        ]
    if requirement.connection.in_wall == "block":
        said.append(
            "fire blocks stand higher by their own thickness by turns, so that both ends are nailed through the stud; in a row at a panel joint blocks stand in line, and an end with no room behind its stud is toe-nailed"
        )
    return Placement(
        rule=_sentence(said),
        edge_distance=rules.edge_distance,
        end_distance=end,
        staggered=crowded(_count(requirement), requirement.question.face, rules),
        note=_guidance(rules),
        **_along_grain(requirement, rules),
    )


def _face_nail(requirement: Requirement, rules: Rules, driver: str) -> Placement:
    connection = requirement.connection
    edge = rules.edge_distance if connection.receiving_width is None else min(rules.edge_distance, connection.receiving_width // 2)
    said = [
        {
            "plate_to_floor": "into the rim, joist or blocking below, within reach of the studs and not in the middle of a bay, where pipes and wires are bored through; a nail that would fall under a stud stands beside it, a group beside the stud nearest the middle of its length",
            "splice": f"in the {say_fraction(rules.splice_reach)} on this side of the end joint, in two staggered rows",
        }.get(connection.placement, "in from the ends, rows staggered, no two in one grain line")
    ]
    if isinstance(requirement.nailing, OnCenter | Panel):
        said.append(f"end nails {say_fraction(rules.run_end_distance)} from the ends of the run, the rest equally spaced")
    if edge < rules.edge_distance and driver == "gun":
        said.append("the edge is near: seat the tip in from it, or drive by hand")
    return Placement(
        rule=_sentence(said),
        edge_distance=edge,
        end_distance=rules.run_end_distance,
        staggered=True,
        note=_guidance(rules),
        **_along_grain(requirement, rules),
    )


def _sentence(said: list[str]) -> str:
    return "; ".join(filter(None, said))


def _columns(requirement: Requirement, rules: Rules) -> str:
    """Say how nails stand that do not fit side by side; empty where they do."""
    count, face = _count(requirement), requirement.question.face
    if not crowded(count, face, rules):
        return ""
    return f"{count} nails do not fit side by side in {say_fraction(face)}: set two columns about {say_fraction(rules.columns_apart)} apart and stagger them"


def _guidance(rules: Rules) -> str:
    return f"{rules.guide_end_diameters:g} diameters from an end, {rules.guide_row_diameters:g} along and {rules.guide_across_diameters:g} across the grain: {SPLIT}"


def _along_grain(requirement: Requirement, rules: Rules) -> dict[str, Any]:
    """Return the guidance against splitting of nails that stand across the grain; ticks."""
    diameter = requirement.question.nail.diameter
    return {
        "guide_end_distance": int(diameter * rules.guide_end_diameters),
        "guide_spacing_along_grain": int(diameter * rules.guide_row_diameters),
        "guide_spacing_across_grain": int(diameter * rules.guide_across_diameters),
    }


def _count(requirement: Requirement) -> int:
    return requirement.nailing.count if isinstance(requirement.nailing, PerJoint | Grouped) else 1


def crowded(count: int, face: int, rules: Rules) -> bool:
    """Whether more nails share a face than fit side by side: 3 on 3-1/2 in, and one more for each whole inch of depth beyond."""
    return count > rules.side_by_side_nails + max(face - rules.side_by_side_face, 0) // rules.side_by_side_step
