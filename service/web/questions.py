"""Requirements and wall plans: single questions and batches."""

from collections.abc import Callable
from typing import Any

from flask import g, request

from service.domain.cautions import Caution, sort_cautions, standing_notes
from service.domain.plan import plan_wall
from service.domain.requirement import judge
from service.errors import FasteningError, Fault
from service.schemas import answers, shapes
from service.schemas.asks import REQUIREMENT, WALL_PLAN, RequirementSchema, WallItemSchema, check_total, read_joint, read_wall
from service.schemas.fields import load, near
from service.schemas.sheets import WALL_TABLES, joint_sheet, wall_sheet
from service.tables.book import open_book
from service.web.edge import settings
from service.web.problems import validation_problem
from service.web.registry import COMPUTED, op

MOST_ITEMS = 100_000
REQUIREMENT_BATCH = shapes.batch_ask(RequirementSchema, "RequirementBatch", MOST_ITEMS)
WALL_BATCH = shapes.batch_ask(WallItemSchema, "WallPlanBatch", MOST_ITEMS)
ABOUT_POST = "A pure computation: the same question gives the same answer and nothing is stored, so it may be sent again at will."


@op(
    "GET",
    "/v1/requirements",
    "getRequirement",
    "One joint: how many of this nail, or what spacing, where, and why",
    "questions",
    shapes.single(shapes.RequirementResult, "RequirementAnswer"),
    ask=REQUIREMENT,
    cache=COMPUTED,
    sheet=joint_sheet,
)
@op(
    "POST",
    "/v1/requirements",
    "createRequirement",
    "One joint: how many of this nail, or what spacing, where, and why",
    "questions",
    shapes.single(shapes.RequirementResult, "RequirementAnswer"),
    ask=REQUIREMENT,
    description=ABOUT_POST,
    sheet=joint_sheet,
)
def requirement(raw: Any) -> dict[str, Any]:
    """Judge one joint."""
    result, found, assumptions = _joint(raw)
    return _single(raw, result, found, assumptions)


@op(
    "POST",
    "/v1/wall-plans",
    "createWallPlan",
    "One wall: every stick, every joint, every nail",
    "questions",
    shapes.single(shapes.WallPlanResult, "WallPlanAnswer", asked=False),
    ask=WALL_PLAN,
    description=ABOUT_POST,
    sheet=wall_sheet,
    tables=tuple(WALL_TABLES),
)
def wall_plan(raw: Any) -> dict[str, Any]:
    """Plan one wall."""
    result, found, assumptions = _wall(raw)
    return _single(None, result, found, assumptions, _units(raw))


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
    return _batch(
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
    return _batch(
        raw,
        WALL_BATCH,
        lambda item: _wall({**item, "include": ["positions"]} if positions else item),
        _wall_totals,
        most,
        name,
        set(WALL_PLAN.fields),
    )


def _joint(raw: Any) -> tuple[dict[str, Any], list[Caution], tuple[tuple[str, Any], ...]]:
    ask = read_joint(raw)
    judged = judge(ask.question)
    check_total(ask, judged.nailing)
    result, found = answers.joint_answer(ask, judged)
    return result, found, ask.assumptions


def _wall(raw: Any) -> tuple[dict[str, Any], list[Caution], tuple[tuple[str, Any], ...]]:
    ask = read_wall(raw)
    try:
        plan = plan_wall(ask.order, open_book())
    except FasteningError as error:
        raise FasteningError(*(f.under("wall") for f in error.faults)) from None
    result, found = answers.plan_answer(ask, plan)
    return result, found, ask.assumptions


def _units(raw: Any) -> str:
    return str(raw.get("units", "us")) if isinstance(raw, dict) else "us"


def _single(
    raw: Any, result: dict[str, Any], found: list[Caution], assumptions: tuple[tuple[str, Any], ...], units: str | None = None
) -> dict[str, Any]:
    book = open_book()
    units = units or _units(raw)
    asked = None if raw is None else dict(sorted({**dict(assumptions), **{k: v for k, v in raw.items() if k != "units"}}.items()))
    cautions = answers.caution_block(found, book)
    g.max_severity = cautions[0]["severity"] if cautions else None
    if units == "metric":
        result = answers.with_metric_twins(result)
    return answers.envelope(result, cautions, assumptions=assumptions, units=units, asked=asked)


def _batch(
    raw: Any,
    schema: Any,
    answer: Callable[[dict[str, Any]], Any],
    totals: Callable[[list[dict[str, Any]]], list[dict[str, Any]]],
    most: int,
    setting: str,
    names: set[str],
) -> dict[str, Any]:
    if isinstance(raw, dict) and isinstance(raw.get("items"), list) and len(raw["items"]) > most:
        raise FasteningError(
            Fault(
                "too_many_items",
                f"holds {len(raw['items'])} items; the limit here is {most} ({setting})",
                ("items",),
                {"limit": most, "received": len(raw["items"]), "setting": setting},
            )
        )
    got = load(schema, raw)
    defaults, items = got.get("defaults", {}), got["items"]
    _check_ids(items)
    _check_defaults(defaults, names)
    units = got.get("units", "us")
    g.item_count = len(items)
    assumed: dict[str, Any] = {}
    everything: list[Caution] = []
    results: list[dict[str, Any]] = []
    faults: list[Fault] = []
    for i, item in enumerate(items):
        merged = {**defaults, **{k: v for k, v in item.items() if k != "id"}}
        try:
            beside = [name for name in ("units", "include") if name in merged]
            if beside:
                raise FasteningError(*(Fault("unknown_field", "belongs beside items, not in one", (name,)) for name in beside))
            result, found, assumptions = answer(merged)
        except FasteningError as error:
            mine = tuple(
                f.under("defaults") if f.path and f.path[0] in defaults and f.path[0] not in item else f.under("items", i)
                for f in error.faults
            )
            faults += mine
            results.append({"id": item["id"], "status": 422, "problem": validation_problem(mine, request.path, g.request_id, False)})
            continue
        assumed |= dict(assumptions)
        mine_sorted = sort_cautions(found, open_book())
        everything += [Caution(c.code, c.applies_because, (f"/results/{i}",)) for c in mine_sorted]
        results.append(
            {
                "id": item["id"],
                "status": 200,
                "result": answers.with_metric_twins(result) if units == "metric" else result,
                "cautions": answers.caution_block(found, open_book()),
            }
        )
    if faults and got.get("on_error") == "fail":
        raise FasteningError(*{(f.path, f.code): f for f in faults}.values())
    cautions = answers.caution_block(_once(everything) or standing_notes("hand", False), open_book())
    g.max_severity = cautions[0]["severity"]
    good = [r["result"] for r in results if "result" in r]
    nails = totals(good)
    body: dict[str, Any] = {
        "meta": answers.meta(assumed.items(), units),
        "results": results,
        "summary": {
            "item_count": len(items),
            "succeeded_count": len(good),
            "failed_count": len(items) - len(good),
            "engineering_required_count": sum(_needs_engineer(r) for r in good),
            "max_severity": cautions[0]["severity"],
            "totals": nails,
            "totals_complete": len(good) == len(items) and all(_complete(r) for r in good),
        },
        "cautions": cautions,
    }
    return body


def _check_defaults(defaults: dict[str, Any], names: set[str]) -> None:
    """Refuse once, not item by item, a default that no item could take."""
    faults = [
        Fault("unknown_field", "is not a field that items share", ("defaults", name), near(name, names))
        for name in defaults
        if name not in names
    ]
    if faults:
        raise FasteningError(*faults)


def _check_ids(items: list[dict[str, Any]]) -> None:
    faults = []
    seen: set[Any] = set()
    for i, item in enumerate(items):
        name = item.get("id")
        if name is None:
            faults.append(Fault("missing_field", "is required", ("items", i, "id")))
            continue
        try:
            shapes.ITEM_ID.deserialize(name)
        except Exception as error:
            faults += [f.under("items", i, "id") for f in getattr(error, "messages", [])]
            continue
        if name in seen:
            faults.append(Fault("duplicate_id", f"the id {name!r} stands twice", ("items", i, "id")))
        seen.add(name)
    if faults:
        raise FasteningError(*faults)


def _once(found: list[Caution]) -> list[Caution]:
    """Keep one caution per code for the top of a batch; items carry their own reasons."""
    merged: dict[str, Caution] = {}
    for c in found:
        old = merged.get(c.code)
        merged[c.code] = c if old is None else Caution(c.code, old.applies_because, (*old.applies_to, *c.applies_to))
    return list(merged.values())


def _needs_engineer(result: dict[str, Any]) -> bool:
    lines = result.get("connections", [result])
    return any(line["outcome"] == "engineering_required" for line in lines)


def _complete(result: dict[str, Any]) -> bool:
    if "totals" in result:
        return bool(result["totals"]["totals_complete"])
    return result.get("nail_count", 0) is not None and result["outcome"] in ("prescriptive", "exceeds_listed", "calculated")


def _joint_totals(results: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return _sum((r["nail"], r["nail_count"]) for r in results if r.get("nail_count"))


def _wall_totals(results: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return _sum((n["nail"], n["nail_count"]) for r in results for n in r["nails"])


def _sum(counted: Any) -> list[dict[str, Any]]:
    out: dict[tuple[str, str], int] = {}
    for n, count in counted:
        key = (n["id"], n["coating"])
        out[key] = out.get(key, 0) + count
    return [{"nail_id": nail_id, "coating": coating, "nail_count": count} for (nail_id, coating), count in sorted(out.items())]
