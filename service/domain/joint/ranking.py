"""Ranks the nails on hand for a joint, and says why in words a framer uses."""

from dataclasses import dataclass

from service.domain.joint.counting import effort, nails_for, say_nailing
from service.domain.joint.requirement import Question, Requirement, judge
from service.tables.book import Book
from service.tables.schedule import Nailing, Panel, PerJoint
from service.ticks import inches, label

RANK = ("prescriptive", "exceeds_listed", "calculated", "engineering_required", "no_data", "not_applicable")


@dataclass(frozen=True, slots=True)
class Judgement:
    """One nail in one joint: totals are None where nothing was counted or there is no number."""

    requirement: Requirement
    nail_count: int | None
    listed_nail_count: int | None
    reason: str


def rank(questions: tuple[Question, ...], joint_count: int | None, run_length: int | None, book: Book) -> tuple[Judgement, ...]:
    """Judge nails for one joint, best first: listed, exceeding, calculated, refused; then the fewest nails.

    Parameters
    ----------
    joint_count, run_length : int or None
        What a total is counted over; the length in ticks. A joint takes the one it is counted by.
    """
    judged = [judge(q, book) for q in questions]
    return tuple(_judgement(r, joint_count, run_length) for r in sorted(judged, key=_order))


def _order(requirement: Requirement) -> tuple[int, tuple[int, int]]:
    return RANK.index(requirement.outcome), effort(requirement.nailing) if requirement.nailing else (0, 0)


def _judgement(requirement: Requirement, joint_count: int | None, run_length: int | None) -> Judgement:
    first = requirement.first_listed
    return Judgement(
        requirement,
        count(requirement.nailing, joint_count, run_length),
        count(first.nailing if first else None, joint_count, run_length),
        say_why(requirement),
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


def say_why(requirement: Requirement) -> str:
    """Say the judgement and its ground."""
    r = requirement
    if r.nailing is None:
        return r.stop.because if r.stop else r.provenance.note or r.outcome.replace("_", " ")
    said = say_nailing(r.nailing)
    governing = r.governing
    if r.provenance.confidence == "common_practice":
        return f"common practice, no row of the code: {said}"
    if r.outcome == "prescriptive" or governing is None:
        return f"listed for this joint: {said}"
    printed = governing.option
    size = f"{label(printed.length or 0)} x {inches(printed.diameter or 0):.3f}"
    by_size = not printed.nail_id or printed.nail_id.startswith(("smooth-", "ring-", "screw-"))
    listed = size if by_size else f"{printed.nail_id.replace('-', ' ')} ({size})"
    if r.outcome == "exceeds_listed":
        return f"not listed, but at least as long and as thick as {listed}, so it takes that nail's number: {said}"
    found = r.substitute
    weakest = f"; {say_nailing(found.weakest_nailing)} would do against the weakest" if found and found.weakest_nailing != r.nailing else ""
    match_ = f"to match {listed} at {say_nailing(governing.nailing)}"
    return f"not listed; by strength it takes {said} {match_}{weakest}. The building official has to accept it"
