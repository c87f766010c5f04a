"""Requirements: single questions and batches."""

from typing import Any

from service.domain.joint.requirement import judge
from service.schemas.answers.envelope import Answered, Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.joint import JointAnswer, RequirementResult, joint_answer
from service.schemas.answers.sheets import JOINT_SHEET
from service.schemas.asks.batch import batch_ask
from service.schemas.asks.joint import REQUIREMENT, JointAsk, check_total, read_joint
from service.tables.book import open_book
from service.web.batches import Counted, Kind, batch, single
from service.web.registry import many_at_once, question

REQUIREMENT_BATCH = batch_ask("RequirementBatch")
SHEETS = {"requirements": JOINT_SHEET}


@question(
    "/v1/requirements",
    ("askRequirement", "getRequirement"),
    "One joint: how many of this nail, or what spacing, where, and why",
    one_answer(RequirementResult, "RequirementAnswer", "RequirementAsk", steady=True),
    REQUIREMENT,
    sheets=SHEETS,
)
def requirement(raw: Any) -> Reply:
    """Judge one joint."""
    return single(_answer(read_joint(raw, open_book())), raw)


@many_at_once(
    "/v1/requirements/batch",
    "askRequirements",
    "Many joints in one call",
    RequirementResult,
    "Requirement",
    ask=REQUIREMENT_BATCH,
    sheets=SHEETS,
)
def requirement_batch(raw: Any) -> Reply:
    """Judge many joints."""
    return batch(
        raw, Kind(REQUIREMENT_BATCH, {*REQUIREMENT.fields, "include"}, lambda item: read_joint(item, open_book()), _answer, _counted)
    )


def _answer(ask: JointAsk) -> Answered:
    judged = judge(ask.question, open_book())
    check_total(ask, judged)
    return joint_answer(ask, judged, open_book())


def _counted(answer: JointAnswer) -> Counted:
    r = answer.requirement
    total = answer.nail_count if answer.counted else None
    complete = r.nailing is not None and not (answer.counted and total is None)
    return Counted([(r.question.nail, total)] if total else [], r.outcome == "engineering_required", complete)
