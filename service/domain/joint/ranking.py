"""Ranks the nails on hand for a joint, and says why in words a framer uses."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from service.domain.joint.counting import effort, nails_for, say_nailing
from service.domain.joint.requirement import Question, Requirement, judge
from service.tables.book import Book
from service.tables.schedule import Nailing, OptionRow, Panel, PerJoint
from service.ticks import inches, label

GROUNDS = {
    "prescriptive": "listed in the code",
    "exceeds_listed": "at least as large as a listed nail",
    "calculated": "by strength, if the building official accepts it",
    "engineering_required": "no number: it takes a design",
    "no_data": "no number: the value is not held here",
    "not_applicable": "does not apply here",
}
"""Outcomes as a framer would say them, from the best on."""
RANK = tuple(GROUNDS)


@dataclass(frozen=True, slots=True)
class Judgement:
    """One nail in one joint: totals are None where nothing was counted or there is no number.

    `used` is what the caller nails instead of what is required, where that is closer.
    """

    requirement: Requirement
    nail_count: int | None
    listed_nail_count: int | None
    used: Nailing | None = None


def rank(questions: tuple[Question, ...], joint_count: int | None, run_length: int | None, book: Book) -> tuple[Judgement, ...]:
    """Judge nails for one joint, best first: listed, exceeding, calculated, refused; then the fewest nails.

    Parameters
    ----------
    joint_count, run_length : int or None
        What a total is counted over; the length in ticks. A joint takes the one it is counted by.
    """
    judged = [judge(q, book) for q in questions]
    return tuple(_judgement(r, joint_count, run_length) for r in sorted(judged, key=of_shelf))


def worth(requirement: Requirement) -> tuple[int, bool, tuple[int, int]]:
    """Order judgements of one joint, the best first; what reaches only the weakest listed nail comes after what reaches all."""
    lesser = requirement.substitute is not None and requirement.substitute.no_room != ""
    return RANK.index(requirement.outcome), lesser, effort(requirement.nailing) if requirement.nailing else (0, 0)


def of_shelf(requirement: Requirement) -> tuple[Any, ...]:
    """Order judgements by their worth; nails that do the same by themselves, since a shelf has no order."""
    return *worth(requirement), requirement.question.nail.preference


def _judgement(requirement: Requirement, joint_count: int | None, run_length: int | None) -> Judgement:
    first = requirement.first_listed
    return Judgement(
        requirement,
        count(requirement.nailing, joint_count, run_length),
        count(first.nailing if first else None, joint_count, run_length),
    )


def count(nailing: Nailing | None, joint_count: int | None, run_length: int | None) -> int | None:
    """Count the nails of a total in the way the nailing is counted; None where it is not."""
    match nailing:
        case None | Panel():
            return None
        case PerJoint():
            return None if joint_count is None else nails_for(nailing, (), joint_count)
        case _:
            return None if run_length is None else nails_for(nailing, (run_length,))


def say_outcome(requirement: Requirement) -> str:
    """Say on what ground the number stands, in a few words."""
    custom = requirement.outcome == "prescriptive" and requirement.provenance.confidence == "common_practice"
    return "trade custom, no row of the code" if custom else GROUNDS[requirement.outcome]


@lru_cache(maxsize=512)
def say_why(requirement: Requirement, used: Nailing | None = None) -> str:
    """Say the judgement and its ground in one sentence.

    Parameters
    ----------
    used : Nailing, optional
        What the caller nails instead, where that is closer.
    """
    r = requirement
    if r.nailing is None:
        return r.no_number_because
    closer = f"; nailed closer as you asked, {say_nailing(used)}" if used and used != r.nailing else ""
    return f"{_ground(r)}{closer}"


def _ground(r: Requirement) -> str:
    said = say_nailing(r.nailing) if r.nailing else ""
    governing = r.governing
    if r.provenance.confidence == "common_practice":
        return f"common practice, no row of the code: {said}"
    if r.outcome == "prescriptive" or governing is None:
        return f"listed for this joint: {said}"
    listed = say_option(governing.option)
    if r.outcome == "exceeds_listed":
        return f"not listed, but at least as long and as thick as {listed}, so it takes that nail's number: {said}"
    found = r.substitute
    if found and found.no_room:
        return (
            f"not listed; {said}, as many as have room: by strength the weakest listed nail, {listed} at {say_nailing(governing.nailing)}, "
            f"takes {say_nailing(found.weakest_nailing)}; against the strongest {found.no_room}. The building official has to accept it"
        )
    weakest = f"; {say_nailing(found.weakest_nailing)} would do against the weakest" if found and found.weakest_nailing != r.nailing else ""
    match_ = f"to match {listed} at {say_nailing(governing.nailing)}"
    return f"not listed; by strength it takes {said} {match_}{weakest}. The building official has to accept it"


def say_option(option: OptionRow) -> str:
    """Name a printed option as people say it: 16d common (3-1/2 x 0.162), 3 x 0.131 smooth, staple 1-3/4, 16 gauge."""
    lengths = ((option.length, label), (option.diameter, lambda d: f"{inches(d):.3f}"))
    size = " x ".join(write(length) for length, write in lengths if length)
    if option.fastener != "nail":
        name = f"{option.pennyweight} {option.fastener.replace('_', ' ')}".strip()
        return f"{name} {size}, {option.detail}" if option.detail else f"{name} {size}"
    if option.shank == "rsrs":
        return f"{option.nail_id.upper()} ({size})"
    shank = option.shank.replace("_", " ")
    if not option.pennyweight:
        return f"{size} {shank}"
    return f"{option.nail_id.replace('-', ' ') or f'{option.pennyweight} {shank}'} ({size})"
