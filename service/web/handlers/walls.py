"""Wall plans: single questions and batches."""

from typing import Any

from flask import request

from service.domain.wall.plan import Plan, plan_wall
from service.domain.wall.work import most_members
from service.drawing.crew import draw_crew_sheet
from service.drawing.pdf import write_pdf
from service.drawing.svg import write_svg
from service.drawing.wall import draw_wall
from service.errors import FasteningError
from service.schemas.answers.envelope import Answered, Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.wall import WallAnswer, WallPlanResult, wall_answer
from service.schemas.answers.wall_sheets import WALL_SHEETS
from service.schemas.asks.batch import batch_ask
from service.schemas.asks.wall import WALL_PLAN, WALL_QUERY, WallAsk, in_query, plain_wall, read_wall
from service.schemas.fields import Choice, Items
from service.schemas.loading import with_example
from service.tables.book import open_book
from service.web.batches import Counted, Kind, batch, check_work, single
from service.web.current import settings
from service.web.registry import many_at_once, question


def picture(reply: Reply) -> bytes:
    """Draw a wall; what stops or warns stands in the picture."""
    answer = _to_draw(reply)
    return write_svg(draw_wall(answer.plan, reply.cautions, reply.units == "metric"))


def crew_sheet(reply: Reply) -> bytes:
    """Write the sheet a crew takes to a wall, cautions first."""
    answer = _to_draw(reply)
    return write_pdf(draw_crew_sheet(answer.plan, reply.cautions, answer.advice.anchors, reply.units == "metric"))


def _to_draw(reply: Reply) -> WallAnswer:
    """Return a wall whose nails may all be located."""
    answer: WallAnswer = reply.entries[0].answered.result  # type: ignore[union-attr]  # a single answer has been answered
    _check_nails([answer.plan], ("wall",) if request.method == "POST" else ("length_in",))
    return answer


WALL_BATCH = batch_ask("WallPlanBatch", include=Items(Choice(("positions",), "Every nail located."), 1, "What else to answer."))


@question(
    "/v1/wall-plans",
    ("planWall", "getWallPlan"),
    "One wall: every stick, every joint, every nail",
    one_answer(WallPlanResult, "WallPlanAnswer"),
    WALL_PLAN,
    query=WALL_QUERY,
    about="One plain wall: the answer that a POST of the same fields gives. Openings, sheathing, partitions, other nails for single joints "
    "and the place of each nail need a POST.",
    sheets=WALL_SHEETS,
    drawn={"svg": picture, "pdf": crew_sheet},
)
def wall_plan(raw: Any) -> Reply:
    """Plan one wall."""
    if request.method == "POST":
        return _planned(raw)
    try:
        return _planned(plain_wall(raw))
    except FasteningError as error:
        raise FasteningError(*(in_query(f) for f in error.faults)) from None


def _planned(raw: Any) -> Reply:
    ask = read_wall(raw, open_book())
    check_members([ask], ("wall",))
    answered = answer_wall(ask)
    _check_positions([answered.result], ("include",))
    return single(answered, raw, repeated=False, name=ask.order.wall.wall_id or None)


@many_at_once("/v1/wall-plans/batch", "planWalls", "Many walls in one call", WallPlanResult, "WallPlan", ask=WALL_BATCH, sheets=WALL_SHEETS)
def wall_plan_batch(raw: Any) -> Reply:
    """Plan many walls."""
    include = raw.get("include") if isinstance(raw, dict) else None
    positions = {"include": ["positions"]} if isinstance(include, list) and "positions" in include else {}
    return batch(
        raw,
        Kind(
            schema=WALL_BATCH,
            fields=set(WALL_PLAN.fields),
            read=lambda item: read_wall({**item, **positions}, open_book()),
            answer=answer_wall,
            counted=_counted,
            most=(settings().max_position_walls, "APP_MAX_POSITION_WALLS") if positions else None,
            check_asks=lambda asks: check_members(asks, ("items",)),
            check_results=lambda results: _check_positions(results, ("include",)),
        ),
    )


def answer_wall(ask: WallAsk) -> Answered:
    """Plan a wall and say what goes with it.

    Raises
    ------
    FasteningError
        The wall cannot be built as described.
    """
    book = open_book()
    try:
        plan = plan_wall(ask.order, book)
    except FasteningError as error:
        raise FasteningError(*(with_example(f.under("wall"), WALL_PLAN) for f in error.faults)) from None
    return wall_answer(ask, plan, book)


def check_members(asks: list[WallAsk], path: tuple[str, ...], times: int = 1) -> None:
    """Refuse more sticks than one call may ask for, before any is laid out; each wall is nailed so many times."""
    sticks = times * sum(most_members(ask.order.wall, open_book().rules) for ask in asks)
    check_work("sticks", sticks, (settings().max_members, "APP_MAX_MEMBERS"), path)


def _check_positions(answers: list[WallAnswer], path: tuple[str, ...]) -> None:
    """Refuse more located nails than one call may ask for in numbers."""
    _check_nails([a.plan for a in answers if a.positions], path)


def _check_nails(plans: list[Plan], path: tuple[str, ...]) -> None:
    """Refuse more located nails than one call may ask for, before any is located."""
    nails = sum(count for plan in plans for _, count in plan.nail_totals)
    check_work("located nails", nails, (settings().max_positions, "APP_MAX_POSITIONS"), path)


def _counted(answer: WallAnswer) -> Counted:
    plan = answer.plan
    needs = any(line.line.requirement.outcome == "engineering_required" for line in answer.lines)
    return Counted(plan.nail_totals, needs, plan.complete)
