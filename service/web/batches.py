"""Single answers and batches: what every question has in common once it is judged."""

from collections.abc import Callable, Iterable
from copy import copy
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from service.domain.cautions.caution import Spoken, merge, settle, standing_notes
from service.errors import FasteningError, Fault
from service.schemas.answers.envelope import Answered, Assumptions, Entry, NailSum, Reply, Summary
from service.schemas.asks.batch import ITEM_ID
from service.schemas.fields import fewer
from service.schemas.hints import near_later
from service.schemas.loading import load
from service.schemas.twins import as_sent
from service.tables.book import open_book
from service.tables.cautions import NextStep
from service.web.current import noted, settings
from service.web.problems import MOST_ERRORS, validation_problem

Assumed = dict[tuple[str, Any], None]
"""Defaults that were used, each with its value, in order."""
FEW = 3
"""So many causes of a caution, and items of a cause, are named at the top of a batch."""


def units_of(raw: Any) -> str:
    """Return the units asked for."""
    return str(raw.get("units", "us")) if isinstance(raw, dict) else "us"


def single(answered: Answered, raw: Any, repeated: bool = True, name: str | None = None) -> Reply:
    """Return one answer; `repeated` with the question as understood, `name` as the caller calls the thing."""
    asked = None
    if repeated:
        asked = dict(sorted(_filled_in({k: v for k, v in raw.items() if k != "units"}, answered.assumptions).items()))
    return Reply([Entry(name, answered)], answered.cautions, answered.assumptions, units_of(raw), asked)


def _filled_in(raw: dict[str, Any], assumptions: Assumptions) -> dict[str, Any]:
    """Return a question with what was assumed at its place: wall.openings.0.jack_count stands in that opening."""
    out = dict(raw)
    for name, value in assumptions:
        *above, last = name.split(".")
        holder: Any = out
        for step in above:
            place = int(step) if isinstance(holder, list) else step
            holder[place] = copy(holder[place])  # what was sent stays as it was sent
            holder = holder[place]
        if not isinstance(holder, dict) or last not in holder:  # how a nail's words were read does not stand in their place
            holder[last] = value
    return out


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of question that may be asked many times in one call.

    `read` checks one item, `answer` answers it, `counted` says what its result adds to the summary; `fields` are what an
    item may have, `most` the most items of a call with the setting that says so, where it is not the usual one. `check_asks` sees everything that was
    read before any of it is answered, `check_results` every result before any is written; both may refuse the call.
    """

    schema: Any
    fields: set[str]
    read: Callable[[Any], Any]
    answer: Callable[[Any], Answered]
    counted: Callable[[Any], "Counted"]
    most: tuple[int, str] | None = None
    check_asks: Callable[[list[Any]], None] = lambda asks: None
    check_results: Callable[[list[Any]], None] = lambda results: None


def batch(raw: Any, kind: Kind) -> Reply:
    """Answer many questions, each with its own status.

    Raises
    ------
    FasteningError
        The envelope is wrong, the call asks for too much work, or an item is wrong and `on_error` is fail.
    """
    check_size(raw, "items", *(kind.most or (settings().max_items, "APP_MAX_ITEMS")))
    got = load(kind.schema, raw)
    defaults, items = got.get("defaults", {}), got["items"]
    _check_ids(items)
    _check_defaults(defaults, kind.fields)
    noted().item_count = len(items)
    fails = got.get("on_error") == "fail"
    asks = _read(kind, items, defaults, fails)
    kind.check_asks([ask for ask in asks if not isinstance(ask, FasteningError)])
    answers = [ask if isinstance(ask, FasteningError) else tried(lambda ask=ask: kind.answer(ask)) for ask in asks]  # type: ignore[misc]  # bound at once
    faults = _faults(answers, items, defaults)
    if faults and fails:
        raise FasteningError(*{(f.path, f.code): f for mine in faults.values() for f in mine}.values())
    good = [answer for answer in answers if isinstance(answer, Answered)]
    shared = shared_assumptions(good)
    entries = [entry_of(item["id"], answer, faults.get(i), shared) for i, (item, answer) in enumerate(zip(items, answers, strict=True))]
    cautions = of_all([(e.id or "", f"/results/{i}", e.answered.cautions) for i, e in enumerate(entries) if e.answered])
    kind.check_results([a.result for a in good])
    summary = _summary(entries, [kind.counted(a.result) for a in good], cautions[0].severity)
    return Reply(entries, cautions, tuple(shared), got.get("units", "us"), summary=summary)


def _read(kind: Kind, items: list[dict[str, Any]], defaults: dict[str, Any], fails: bool) -> list[Any]:
    """Return each item as read, or what is wrong with it; where one wrong item refuses the call, only as much wrong as a refusal shows.

    Raises
    ------
    FasteningError
        One wrong item refuses the call, and more is wrong than a refusal shows.
    """
    asks: list[Any] = []
    told: dict[tuple[Any, str], Fault] = {}
    for i, item in enumerate(items):
        ask = tried(partial(_read_one, kind, defaults, item))
        asks.append(ask)
        if fails and isinstance(ask, FasteningError):
            told |= {(f.path, f.code): f for f in (_placed(f, i, item, defaults) for f in ask.faults)}
            if len(told) > MOST_ERRORS:
                raise FasteningError(*told.values())
    return asks


def entry_of(name: str | None, answer: Any, faults: tuple[Fault, ...] | None, shared: Assumed) -> Entry:
    """Return the entry of an item: its answer with what is assumed for it alone, or its problem."""
    if faults is not None:
        return Entry(name, problem=validation_problem(faults, False))
    return Entry(name, answer, assumptions=tuple([a for a in _assumed(answer) if a not in shared]))


def shared_assumptions(good: list[Answered]) -> Assumed:
    """Return what is assumed in every answered item, in the order of the first."""
    if not good:
        return {}
    others = [_assumed(a) for a in good[1:]]
    return {assumed: None for assumed in _assumed(good[0]) if all(assumed in other for other in others)}


def _assumed(answered: Answered) -> Assumed:
    return {(name, tuple(value) if isinstance(value, list) else value): None for name, value in answered.assumptions}


def tried(work: Callable[[], Any]) -> Any:
    """Return what some work gives, or the error of a question that cannot be answered."""
    try:
        return work()
    except FasteningError as error:
        return error


def _faults(answers: list[Any], items: list[dict[str, Any]], defaults: dict[str, Any]) -> dict[int, tuple[Fault, ...]]:
    """Return the faults of refused items as the whole request sees them; candidates of a shared default stand once."""
    out, seen = {}, set[tuple[Any, str]]()
    for i, (answer, item) in enumerate(zip(answers, items, strict=True)):
        if isinstance(answer, FasteningError):
            placed = [_placed(f, i, item, defaults) for f in answer.faults]
            out[i] = tuple(_without_candidates(f) if f.path[0] == "defaults" and (f.path, f.code) in seen else f for f in placed)
            seen |= {(f.path, f.code) for f in placed}
    return out


def _without_candidates(fault: Fault) -> Fault:
    return replace(fault, facts={k: v for k, v in fault.facts.items() if k != "candidates"})


def check_work(what: str, asked: int, limit: tuple[int, str], path: tuple[str | int, ...]) -> None:
    """Refuse a request that asks for more work than one call may.

    Raises
    ------
    FasteningError
        `too_much_work`, with the limit and what was asked for.
    """
    most, setting = limit
    if asked > most:
        said = f"asks for up to {asked} {what}; the limit of one call is {most} ({setting}): send fewer or smaller walls"
        raise FasteningError(Fault("too_much_work", said, path, {"limit": most, "received": asked, "setting": setting}))


class Counted:
    """What one result adds to a summary: nails, whether it needs an engineer, whether every number is there."""

    def __init__(self, nails: Iterable[tuple[Any, int]], needs_engineer: bool, complete: bool) -> None:
        self.nails, self.needs_engineer, self.complete = tuple(nails), needs_engineer, complete


def check_size(raw: Any, field: str, most: int, setting: str) -> None:
    """Refuse too many items before anything is done with them."""
    if isinstance(raw, dict) and isinstance(raw.get(field), list) and len(raw[field]) > most:
        sent = len(raw[field])
        said = f"holds {sent} items; the limit here is {most} ({setting})"
        raise FasteningError(Fault("too_many_items", said, (field,), {"limit": most, "received": sent, "setting": setting}))


def _merged(defaults: dict[str, Any], item: dict[str, Any]) -> dict[str, Any]:
    merged = {**defaults, **item}
    del merged["id"]
    beside = [name for name in ("units", "include") if name in merged]
    if beside:
        raise FasteningError(*(Fault("unknown_field", "belongs beside items, not in one", (name,)) for name in beside))
    return merged


def _read_one(kind: Kind, defaults: dict[str, Any], item: dict[str, Any]) -> Any:
    return kind.read(_merged(defaults, item))


def _placed(fault: Fault, i: int, item: dict[str, Any], defaults: dict[str, Any]) -> Fault:
    """Return the fault of an item as the whole request sees it: in the item, or in the default it took."""
    return placed(fault, item, defaults, ("items", i), ("defaults",))


def placed(
    fault: Fault, item: dict[str, Any], shared: dict[str, Any], own: tuple[str | int, ...], common: tuple[str | int, ...] = ()
) -> Fault:
    """Return the fault of an item as the whole request sees it: under `own`, or under `common` where the item took a shared field."""
    named = as_sent(fault, {**shared, **item})
    in_shared = named.path and named.path[0] in shared and named.path[0] not in item
    return named.under(*(common if in_shared else own))


def _summary(entries: list[Entry], counted: list[Counted], worst: str) -> Summary:
    return Summary(
        item_count=len(entries),
        succeeded_count=len(counted),
        failed_count=len(entries) - len(counted),
        engineering_required_count=sum(c.needs_engineer for c in counted),
        max_severity=worst,
        totals=_totals(counted),
        totals_complete=len(counted) == len(entries) and all(c.complete for c in counted),
    )


def _totals(counted: list[Counted]) -> list[NailSum]:
    """Add up nails by id and coating."""
    out: dict[tuple[str, str], tuple[str, int]] = {}
    for c in counted:
        for nail, count in c.nails:
            key = (nail.nail_id, nail.coating)
            out[key] = (nail.label, out.get(key, ("", 0))[1] + count)
    return [NailSum(*key, label, count) for key, (label, count) in sorted(out.items())]


def of_all(items: Iterable[tuple[str, str, Iterable[Spoken]]]) -> tuple[Spoken, ...]:
    """Return each code once for the top of many answers: every item it applies to, and each cause with its items; items say their own.

    Parameters
    ----------
    items : iterable
        What each item is called, where it stands, and its cautions.
    """
    said: dict[str, tuple[Spoken, dict[str, None], dict[str, list[str]], dict[NextStep, None]]] = {}
    for name, where, cautions in items:
        for c in cautions:
            _, places, causes, steps = said.setdefault(c.code, (c, {}, {}, {}))
            steps.update(dict.fromkeys(c.next_steps))
            places[where] = None
            causes.setdefault(c.applies_because, []).append(name)
    if not said:
        return settle(standing_notes("hand", False), open_book())
    return merge(Spoken(c.row, _causes(causes), tuple(places), tuple(steps)) for c, places, causes, steps in said.values())


def _causes(causes: dict[str, list[str]]) -> str:
    """Say the causes of a caution with the items they are of; one that all share stands alone."""
    if len(causes) == 1:
        return next(iter(causes))
    return _few([f"{_few(names, ', ', 'more')}: {because}" for because, names in causes.items()], "; ", "more causes")


def _few(words: list[str], between: str, rest: str) -> str:
    more = len(words) - FEW
    return between.join([*words[:FEW], *([f"and {more} {rest}"] if more > 0 else [])])


def _check_defaults(defaults: dict[str, Any], names: set[str]) -> None:
    """Refuse once, not item by item, a default that no item could take."""
    faults = [
        Fault("unknown_field", "is not a field that items share", ("defaults", name), near_later(name, names))
        for name in fewer(defaults, names)
        if name not in names
    ]
    if faults:
        raise FasteningError(*faults)


def _check_ids(items: list[dict[str, Any]]) -> None:
    faults = id_faults(items, "items", set())
    if faults:
        raise FasteningError(*faults)


def id_faults(items: list[dict[str, Any]], field: str, seen: set[Any], required: bool = True) -> list[Fault]:
    """Return what is wrong with the ids of the items of a field; `seen` are those of other items of the request."""
    faults = []
    for i, item in enumerate(items):
        name = item.get("id")
        if name is None:
            faults += [Fault("missing_field", "is required", (field, i, "id"))] if required or "id" in item else []
            continue
        try:
            ITEM_ID.deserialize(name)
        except Exception as error:
            faults += [f.under(field, i, "id") for f in getattr(error, "messages", [])]
            continue
        if name in seen:
            faults.append(Fault("duplicate_id", f"the id {name!r} stands twice", (field, i, "id")))
        seen.add(name)
    return faults
