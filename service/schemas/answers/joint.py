"""Writes answers about joints: domain objects to plain dictionaries, US fields first."""

from typing import Any

from service.domain.cautions.caution import Caution, sort_cautions, standing_notes
from service.domain.cautions.joint import JointCase, joint_cautions
from service.domain.joint.counting import nails_for, say_count, say_nailing
from service.domain.joint.placement import place
from service.domain.joint.ranking import Judgement, rank
from service.domain.joint.requirement import Requirement, zone_spacing
from service.schemas.answers.parts import first_listed_id, listed_option, nail, numbers, placement, provenance
from service.schemas.answers.strength import calculated
from service.schemas.asks.joint import JointAsk
from service.schemas.asks.substitution import SubstitutionAsk, check_totals
from service.tables.book import open_book
from service.ticks import inches

FEW_REASONS = 3


def joint_result(ask: JointAsk, requirement: Requirement, codes: list[str]) -> dict[str, Any]:
    """Write the judgement of one joint."""
    nailing = requirement.nailing
    runs = (ask.run_length,) if ask.run_length is not None else ()
    counted = bool(runs) or ask.joint_count is not None
    body: dict[str, Any] = {
        "connection_id": requirement.connection.connection_id,
        "description": requirement.connection.description,
        "method": requirement.connection.method,
        "outcome": requirement.outcome,
        "nail": nail(requirement.question.nail),
        **numbers(nailing, requirement.counted_as),
    }
    if counted:
        body["nail_count"] = None if nailing is None else nails_for(nailing, runs, ask.joint_count or 0)
    if nailing is None:
        body["basis"] = requirement.stop.because if requirement.stop else requirement.provenance.note or requirement.outcome
    else:
        body["basis"] = say_count(nailing, runs, ask.joint_count or 0) if counted else say_nailing(nailing)
    body |= _closer_zone(requirement)
    body |= calculated(requirement)
    body["provenance"] = provenance(requirement.provenance)
    body["listed_options"] = [listed_option(c) for c in requirement.listed]
    if nailing is not None:
        body["placement"] = placement(place(requirement, open_book()))
    return {**body, "caution_codes": codes}


def _closer_zone(requirement: Requirement) -> dict[str, Any]:
    """Write the closer spacing at roof edges and gable ends, where there is one."""
    zone, question = requirement.zone, requirement.question
    if zone is None or requirement.nailing is None or zone.zone is None:
        return {}
    close = zone_spacing(zone, question.site, requirement.nailing, open_book().rules, requirement.substitute)
    if close is None:
        return {}
    return {
        "closer_zone": {
            "spacing_in": inches(close),
            "width_in": inches(zone.zone),
            "footnote": zone.footnote,
            "note": zone.note,
        }
    }


def joint_answer(ask: JointAsk, requirement: Requirement) -> tuple[dict[str, Any], list[Caution]]:
    """Return the result of a joint and its cautions, standing notes included."""
    book = open_book()
    edition = book.editions[ask.question.edition_id]
    found = _pointed(joint_cautions(JointCase(requirement, ask.conditions, edition, book)), requirement, "/result")
    found += standing_notes(ask.conditions.driver, requirement.nailing is not None)
    codes = [c.code for c in sort_cautions(found, book)]
    return joint_result(ask, requirement, codes), found


def _pointed(found: list[Caution], requirement: Requirement, where: str) -> list[Caution]:
    """Point cautions at a judgement, a stop at the number that is null."""
    field = next(iter(numbers(requirement.nailing, requirement.counted_as)))
    rows = open_book().cautions
    return [Caution(c.code, c.applies_because, (f"{where}/{field}" if rows[c.code].severity == "stop" else where,)) for c in found]


def substitution_answer(ask: SubstitutionAsk) -> tuple[dict[str, Any], list[Caution]]:
    """Return every nail judged for every joint, and the cautions, standing notes included.

    Raises
    ------
    FasteningError
        `conflicting_fields` when none of the joints is counted by the total that was sent.
    """
    ranked = [rank(questions, ask.joint_count, ask.run_length, open_book()) for questions in ask.joints]
    check_totals(ask, [j.requirement for judgements in ranked for j in judgements])
    found: list[Caution] = []
    connections = []
    for i, judgements in enumerate(ranked):
        written = []
        for k, judgement in enumerate(judgements):
            mine = _cautions(ask, judgement.requirement)
            found += _pointed(mine, judgement.requirement, f"/result/connections/{i}/judgements/{k}")
            written.append(_judgement(judgement, mine))
        connection = judgements[0].requirement.connection
        connections.append(
            {
                "connection_id": connection.connection_id,
                "description": connection.description,
                "method": connection.method,
                "judgements": written,
            }
        )
    any_nail = any(j.requirement.nailing for judgements in ranked for j in judgements)
    return {"connections": connections}, in_few_words(found) + standing_notes(ask.conditions.driver, any_nail)


def uses_answer(ask: SubstitutionAsk) -> tuple[list[dict[str, Any]], list[Caution]]:
    """Return what the nail is worth in each joint of the edition, and the cautions, standing notes included."""
    found: list[Caution] = []
    items: list[dict[str, Any]] = []
    judged = [rank(questions, None, None, open_book())[0] for questions in ask.joints]
    for judgement in judged:
        r = judgement.requirement
        if r.outcome == "not_applicable":
            continue
        mine = _cautions(ask, r)
        found += _pointed(mine, r, f"/items/{len(items)}")
        items.append(
            {
                "nail": nail(r.question.nail),
                "connection_id": r.connection.connection_id,
                "group": r.connection.group,
                "description": r.connection.description,
                "method": r.connection.method,
                "braced_wall_panel": r.question.selectors.braced,
                "use": r.question.selectors.use if r.connection.by_use else None,
                **_numbers_of(judgement, mine),
            }
        )
    return items, in_few_words(found) + standing_notes(ask.conditions.driver, any(j.requirement.nailing for j in judged))


def _cautions(ask: SubstitutionAsk, requirement: Requirement) -> list[Caution]:
    book = open_book()
    return joint_cautions(JointCase(requirement, ask.conditions, book.editions[requirement.question.edition_id], book))


def _judgement(judgement: Judgement, mine: list[Caution]) -> dict[str, Any]:
    return {
        "nail": nail(judgement.requirement.question.nail),
        **_numbers_of(judgement, mine),
        "nail_count": judgement.nail_count,
        "listed_nail_id": first_listed_id(judgement.requirement),
        "listed_nail_count": judgement.listed_nail_count,
    }


def _numbers_of(judgement: Judgement, mine: list[Caution]) -> dict[str, Any]:
    r = judgement.requirement
    return {
        "outcome": r.outcome,
        **numbers(r.nailing, r.counted_as),
        "reason": judgement.reason,
        **_closer_zone(r),
        **calculated(r),
        "provenance": provenance(r.provenance),
        "caution_codes": [c.code for c in sort_cautions(mine, open_book())],
    }


def in_few_words(found: list[Caution]) -> list[Caution]:
    """Join cautions of one code and keep the first few reasons: each judgement says its own."""
    joined: dict[str, tuple[dict[str, None], list[str]]] = {}
    for c in found:
        reasons, pointers = joined.setdefault(c.code, ({}, []))
        reasons[c.applies_because] = None
        pointers += c.applies_to
    return [Caution(code, _few(list(reasons)), tuple(pointers)) for code, (reasons, pointers) in joined.items()]


def _few(reasons: list[str]) -> str:
    more = len(reasons) - FEW_REASONS
    return "; ".join(reasons[:FEW_REASONS]) + (f"; and {more} more, see each reason" if more > 0 else "")
