"""What mends a joint that has too few nails, or the wrong ones: how many, between which, and whether they fit."""

from dataclasses import dataclass

from service.domain.inspection.heads import HeadsJudged
from service.domain.inspection.observed import Observation
from service.domain.joint.counting import say_nailing, say_nails
from service.domain.joint.placement import place
from service.domain.joint.ranking import count
from service.domain.joint.requirement import Requirement
from service.domain.joint.sizing import count_of
from service.domain.joint.substitute import room, too_close
from service.said import say_fraction, say_length
from service.tables.book import Book
from service.tables.rules import Rules
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.ticks import ceil_div


@dataclass(frozen=True, slots=True)
class Repair:
    """What to do, in words. `each`: nails to add to each joint or group, `count`: in all; None where that is not known.

    `driven` is the judgement of the nail that is added, None where none can be.
    """

    said: str
    each: int | None
    count: int | None
    driven: Requirement | None


def more_nails(seen: Observation, required: Requirement, book: Book) -> Repair | None:
    """Return what makes a joint with too few of the right nails full; None where it is."""
    match required.nailing, seen.found:
        case PerJoint(need, by), PerJoint(has) if has < need:
            return _each(f"each {by}", need - has, seen.joint_count, required, book)
        case Grouped(need, length), Grouped(has) if has < need:
            groups = None if seen.run_length is None else ceil_div(seen.run_length, length)
            return _each(f"each {say_fraction(length)}", need - has, groups, required, book)
        case OnCenter(need, rows), OnCenter(has) if has > need:
            return _in_rows(seen, required, need, has, rows, book.rules)
        case Panel() as need, Panel() as has if has.edge > need.edge or has.field > need.field:
            return _in_panels(seen, required, need, has, book.rules)
    return None


def _each(where: str, missing: int, places: int | None, required: Requirement, book: Book) -> Repair:
    total = None if places is None else missing * places
    said = f"add {say_nails(missing)} to {where}{_in_all(total)}: {place(required, book, 'hand').rule}"
    return Repair(said, missing, total, required)


def _in_rows(seen: Observation, required: Requirement, need: int, has: int, rows: int, rules: Rules) -> Repair:
    more, after = _between(need, has)
    crowded = _crowded(OnCenter(after, rows), required, rules)
    if crowded:
        return _no_place(crowded)
    total = None if seen.run_length is None else more * rows * ceil_div(seen.run_length, has)
    row = " of each row" if rows > 1 else ""
    said = f"add {say_nails(more)} between each two found{row}: a nail every {say_length(after, form='4')} then{_in_all(total)}"
    return Repair(said, None, total, required)


def _in_panels(seen: Observation, required: Requirement, need: Panel, has: Panel, rules: Rules) -> Repair:
    lines = (("edges", need.edge, has.edge), ("field lines", need.field, has.field))
    short = [(where, *_between(asked, found)) for where, asked, found in lines if found > asked]
    crowded = _crowded(Panel(*[min(after for _, _, after in short)] * 2), required, rules)
    if crowded:
        return _no_place(crowded)
    said = "; ".join(
        f"add {say_nails(more)} between each two found along the {where}: a nail every {say_length(after, form='4')} then"
        for where, more, after in short
    )
    sheets, more = seen.sheets, {where: more for where, more, _ in short}
    if sheets is None:
        return Repair(said, None, None, required)
    edges, field = sheets.edge_spaces(has.edge, rules), sheets.field_spaces(has.field, rules)
    total = more.get("edges", 0) * edges + more.get("field lines", 0) * field
    return Repair(f"{said}{_in_all(total)} in {_sheets(seen)}", None, total, required)


def _between(need: int, has: int) -> tuple[int, int]:
    """Return how many nails between each two close a spacing up, and what spacing that gives; ticks."""
    more = ceil_div(has, need) - 1
    return more, has // (more + 1)


def other_nails(seen: Observation, required: Requirement, serving: tuple[Requirement, ...], book: Book) -> Repair:
    """Return which listed nails are driven beside wrong ones, the first that finds room; wrong ones count for nothing, but fill the room."""
    why = [_crowded(_together(seen.found, r.nailing), required, book.rules) for r in serving]
    driven = next((r for r, crowded in zip(serving, why, strict=True) if not crowded), None)
    if driven is None:
        return Repair(f"the nails found do not count, and beside them {why[0]}: new wood, or a design", None, None, None)
    nailing, total = driven.nailing, _total(driven.nailing, seen, book.rules)
    others = f" (or another of the {len(serving)} that serve)" if len(serving) > 1 else ""
    number = say_nailing(nailing) if nailing else ""
    pieces = f" in {_sheets(seen)}" if seen.sheets else ""
    where = place(driven, book, "hand").rule
    said = (
        f"the nails found do not count: beside them drive {driven.question.nail.label}{others}, {number}{_in_all(total)}{pieces}: {where}"
    )
    return Repair(said, None, None, driven)


def nails_for_heads(seen: Observation, required: Requirement, judged: HeadsJudged, mended: Repair | None, rules: Rules) -> Repair | None:
    """Return the nails that make up for overdriven heads; None where none are added.

    Parameters
    ----------
    mended : Repair or None
        What is added already because the spacing is too wide.
    """
    if not judged.added or not isinstance(seen.found, Panel) or not isinstance(required.nailing, Panel):
        return None
    edge, need = seen.found.edge, required.nailing.edge
    between = (_between(need, edge)[1] if mended and edge > need else edge) // 2
    crowded = _crowded(Panel(between, between), required, rules)
    staples = rules.overdriven_staples * judged.added
    if crowded:
        said = f"for the overdriven heads {say_nails(judged.added)} would be added, but {crowded}: the guidance takes {staples} approved staples in their place"
        return Repair(said, None, judged.added, None)
    half = say_length(between, form="4")
    said = f"for the overdriven heads among those inspected add {say_nails(judged.added)} along the same edges, one for every {rules.overdriven_for_one} overdriven, midway between two nails, {half} from each"
    return Repair(said, None, judged.added, required)


def _total(nailing: Nailing | None, seen: Observation, rules: Rules) -> int | None:
    if isinstance(nailing, Panel):
        return seen.sheets.nail_count(nailing, rules) if seen.sheets else None
    return count(nailing, seen.joint_count, seen.run_length)


def _together(found: Nailing | None, added: Nailing | None) -> Nailing | None:
    """Return how close nails stand when others are driven beside those found."""
    match found, added:
        case PerJoint(has), PerJoint(more, by):
            return PerJoint(has + more, by)
        case Grouped(has), Grouped(more, length):
            return Grouped(has + more, length)
        case OnCenter(has), OnCenter(more, rows):
            return OnCenter(_joint_spacing(has, more), rows)
        case Panel() as has, Panel() as more:
            return Panel(_joint_spacing(has.edge, more.edge), _joint_spacing(has.field, more.field))
    return added


def _joint_spacing(one: int, other: int) -> int:
    """Return the mean spacing of two rows of nails in one line; ticks."""
    return one * other // (one + other)


def _crowded(nailing: Nailing | None, required: Requirement, rules: Rules) -> str:
    """Say how nails would have no room in a joint; empty where they have. Listed panel nails stand closer than calculated ones."""
    if nailing is None:
        return ""
    if isinstance(nailing, Panel) and required.substitute is None:
        return too_close(min(nailing.edge, nailing.field), rules.least_panel_spacing)
    most = max((count_of(c.nailing) for c in required.listed if not c.refused_because), default=0)
    return room(nailing, most, required.connection, required.question.face, rules)[1]


def _no_place(crowded: str) -> Repair:
    return Repair(f"no room between the nails found: {crowded}; new wood, or a design", None, None, None)


def _sheets(seen: Observation) -> str:
    s = seen.sheets
    return f"{s.count} panels of {say_length(s.width)} x {say_length(s.length)}" if s else ""


def _in_all(total: int | None) -> str:
    return "" if total is None else f", {total} in all"
