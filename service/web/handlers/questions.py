"""Requirements and wall plans: single questions and batches."""

from typing import Any

from service.domain.joint.requirement import judge
from service.domain.wall.plan import plan_wall
from service.errors import FasteningError
from service.schemas.answers import joint as answers
from service.schemas.answers import joint_shapes, shapes, wall_shapes
from service.schemas.answers import wall as wall_answers
from service.schemas.answers.sheets import WALL_TABLES, joint_sheet, wall_sheet
from service.schemas.asks.joint import REQUIREMENT, check_total, read_joint
from service.schemas.asks.wall import WALL_PLAN, read_wall
from service.schemas.fields import Choice, Items
from service.tables.book import open_book
from service.web.batches import MOST_ITEMS, Answered, batch, single, sum_nails, units_of
from service.web.edge import settings
from service.web.registry import ABOUT_POST, op, question

REQUIREMENT_BATCH = shapes.batch_ask("RequirementBatch", MOST_ITEMS)
WALL_BATCH = shapes.batch_ask(
    "WallPlanBatch", MOST_ITEMS, include=Items(Choice(("positions",), "Every nail located."), 1, "What else to answer.")
)


@question(
    "/v1/requirements",
    "Requirement",
    "One joint: how many of this nail, or what spacing, where, and why",
    shapes.single(joint_shapes.RequirementResult, "RequirementAnswer"),
    REQUIREMENT,
    sheet=joint_sheet,
)
def requirement(raw: Any) -> dict[str, Any]:
    """Judge one joint."""
    result, found, assumptions = _joint(raw)
    return single(raw, result, found, assumptions)


@op(
    "POST",
    "/v1/wall-plans",
    "createWallPlan",
    "One wall: every stick, every joint, every nail",
    "questions",
    shapes.single(wall_shapes.WallPlanResult, "WallPlanAnswer", asked=False),
    ask=WALL_PLAN,
    description=ABOUT_POST,
    sheet=wall_sheet,
    tables=tuple(WALL_TABLES),
)
def wall_plan(raw: Any) -> dict[str, Any]:
    """Plan one wall."""
    result, found, assumptions = _wall(raw)
    return single(None, result, found, assumptions, units_of(raw))


@op(
    "POST",
    "/v1/requirements/batch",
    "createRequirementBatch",
    "Many joints in one call",
    "questions",
    shapes.batch_answer("RequirementBatchAnswer"),
    ask=REQUIREMENT_BATCH,
    description=ABOUT_POST,
    sheet=joint_sheet,
)
def requirement_batch(raw: Any) -> dict[str, Any]:
    """Judge many joints."""
    return batch(
        raw,
        REQUIREMENT_BATCH,
        lambda item: _joint(item),
        _joint_totals,
        settings().max_items,
        "APP_MAX_ITEMS",
        {*REQUIREMENT.fields, "include"},
    )


@op(
    "POST",
    "/v1/wall-plans/batch",
    "createWallPlanBatch",
    "Many walls in one call",
    "questions",
    shapes.batch_answer("WallPlanBatchAnswer"),
    ask=WALL_BATCH,
    description=ABOUT_POST,
    sheet=wall_sheet,
    tables=tuple(WALL_TABLES),
)
def wall_plan_batch(raw: Any) -> dict[str, Any]:
    """Plan many walls."""
    positions = isinstance(raw, dict) and isinstance(raw.get("include"), list) and "positions" in raw["include"]
    most, name = (settings().max_position_walls, "APP_MAX_POSITION_WALLS") if positions else (settings().max_items, "APP_MAX_ITEMS")
    return batch(
        raw,
        WALL_BATCH,
        lambda item: _wall({**item, "include": ["positions"]} if positions else item),
        _wall_totals,
        most,
        name,
        set(WALL_PLAN.fields),
    )


def _joint(raw: Any) -> Answered:
    ask = read_joint(raw)
    judged = judge(ask.question, open_book())
    check_total(ask, judged)
    result, found = answers.joint_answer(ask, judged)
    return result, found, ask.assumptions


def _wall(raw: Any) -> Answered:
    ask = read_wall(raw)
    try:
        plan = plan_wall(ask.order, open_book())
    except FasteningError as error:
        raise FasteningError(*(f.under("wall") for f in error.faults)) from None
    result, found = wall_answers.plan_answer(ask, plan)
    return result, found, ask.assumptions


def _joint_totals(results: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return sum_nails((r["nail"], r["nail_count"]) for r in results if r.get("nail_count"))


def _wall_totals(results: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return sum_nails((n["nail"], n["nail_count"]) for r in results for n in r["nails"])
