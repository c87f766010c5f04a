"""Wall plans: single questions and batches."""

from typing import Any

from service.domain.wall.plan import plan_wall
from service.errors import FasteningError
from service.schemas.answers.envelope import Answered, Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.sheets import WALL_SHEETS
from service.schemas.answers.wall import WallAnswer, WallPlanResult, wall_answer
from service.schemas.asks.batch import batch_ask
from service.schemas.asks.wall import WALL_PLAN, read_wall
from service.schemas.fields import Choice, Items
from service.tables.book import open_book
from service.web.batches import Counted, batch, single
from service.web.edge import settings
from service.web.registry import ABOUT_POST, many_at_once, op

WALL_BATCH = batch_ask("WallPlanBatch", include=Items(Choice(("positions",), "Every nail located."), 1, "What else to answer."))


@op(
    "POST",
    "/v1/wall-plans",
    "planWall",
    "One wall: every stick, every joint, every nail",
    "questions",
    one_answer(WallPlanResult, "WallPlanAnswer"),
    ask=WALL_PLAN,
    description=ABOUT_POST,
    sheets=WALL_SHEETS,
)
def wall_plan(raw: Any) -> Reply:
    """Plan one wall."""
    answered = _answer(raw)
    return single(answered, raw, repeated=False, name=answered.result.plan.order.wall.wall_id or None)


@many_at_once("/v1/wall-plans/batch", "planWalls", "Many walls in one call", WallPlanResult, "WallPlan", ask=WALL_BATCH, sheets=WALL_SHEETS)
def wall_plan_batch(raw: Any) -> Reply:
    """Plan many walls."""
    positions = isinstance(raw, dict) and isinstance(raw.get("include"), list) and "positions" in raw["include"]
    s = settings()
    most = (s.max_position_walls, "APP_MAX_POSITION_WALLS") if positions else (s.max_items, "APP_MAX_ITEMS")
    return batch(
        raw,
        WALL_BATCH,
        lambda item: _answer({**item, "include": ["positions"]} if positions else item),
        _counted,
        most,
        set(WALL_PLAN.fields),
    )


def _answer(raw: Any) -> Answered:
    ask, book = read_wall(raw), open_book()
    try:
        plan = plan_wall(ask.order, book)
    except FasteningError as error:
        raise FasteningError(*(f.under("wall") for f in error.faults)) from None
    return wall_answer(ask, plan, book)


def _counted(answer: WallAnswer) -> Counted:
    plan = answer.plan
    needs = any(line.line.requirement.outcome == "engineering_required" for line in answer.lines)
    return Counted(plan.nail_totals, needs, plan.complete)
