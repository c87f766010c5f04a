"""Single answers and batches: what every question has in common once it is judged."""

from collections.abc import Callable
from typing import Any

from flask import g, request

from service.domain.cautions.caution import Caution, sort_cautions, standing_notes
from service.errors import FasteningError, Fault
from service.schemas.answers import parts, shapes
from service.schemas.fields import as_sent, load, near
from service.tables.book import open_book
from service.web.problems import validation_problem

MOST_ITEMS = 100_000
Answered = tuple[dict[str, Any], list[Caution], tuple[tuple[str, Any], ...]]


def units_of(raw: Any) -> str:
    """Return the units asked for."""
    return str(raw.get("units", "us")) if isinstance(raw, dict) else "us"


def single(
    raw: Any, result: dict[str, Any], found: list[Caution], assumptions: tuple[tuple[str, Any], ...], units: str | None = None
) -> dict[str, Any]:
    """Wrap one answer: the question as understood unless `raw` is None, and metric twins where asked."""
    book = open_book()
    units = units or units_of(raw)
    asked = None if raw is None else dict(sorted({**dict(assumptions), **{k: v for k, v in raw.items() if k != "units"}}.items()))
    cautions = parts.caution_block(found, book)
    g.max_severity = cautions[0]["severity"] if cautions else None
    if units == "metric":
        result = parts.with_metric_twins(result)
    return parts.envelope(result, cautions, assumptions=assumptions, units=units, asked=asked)


def batch(
    raw: Any,
    schema: Any,
    answer: Callable[[dict[str, Any]], Any],
    totals: Callable[[list[dict[str, Any]]], list[dict[str, Any]]],
    most: int,
    setting: str,
    names: set[str],
) -> dict[str, Any]:
    """Answer many questions, each with its own status.

    Parameters
    ----------
    answer : callable
        Answers one item with the defaults merged in.
    totals : callable
        Adds up the good results.
    most, setting : int, str
        The most items of a call and the setting that says so.
    names : set of str
        Fields that an item may have.

    Raises
    ------
    FasteningError
        The envelope is wrong, or an item is and `on_error` is fail.
    """
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
    assumed: list[tuple[str, Any]] = []
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
            named = [as_sent(f, merged) for f in error.faults]
            mine = tuple(
                f.under("defaults") if f.path and f.path[0] in defaults and f.path[0] not in item else f.under("items", i) for f in named
            )
            faults += mine
            results.append({"id": item["id"], "status": 422, "problem": validation_problem(mine, request.path, g.request_id, False)})
            continue
        assumed += [a for a in assumptions if a not in assumed]
        mine_sorted = sort_cautions(found, open_book())
        everything += [Caution(c.code, c.applies_because, (f"/results/{i}",)) for c in mine_sorted]
        results.append(
            {
                "id": item["id"],
                "status": 200,
                "result": parts.with_metric_twins(result) if units == "metric" else result,
                "cautions": parts.caution_block(found, open_book()),
            }
        )
    if faults and got.get("on_error") == "fail":
        raise FasteningError(*{(f.path, f.code): f for f in faults}.values())
    cautions = parts.caution_block(_once(everything) or standing_notes("hand", False), open_book())
    g.max_severity = cautions[0]["severity"]
    good = [r["result"] for r in results if "result" in r]
    nails = totals(good)
    body: dict[str, Any] = {
        "meta": parts.meta(assumed, units),
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


def sum_nails(counted: Any) -> list[dict[str, Any]]:
    """Add up nail counts by nail id and coating."""
    out: dict[tuple[str, str], int] = {}
    for n, count in counted:
        key = (n["id"], n["coating"])
        out[key] = out.get(key, 0) + count
    return [{"nail_id": nail_id, "coating": coating, "nail_count": count} for (nail_id, coating), count in sorted(out.items())]
