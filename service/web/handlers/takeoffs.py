"""Take-offs: many walls and loose joints as one list."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from service.domain.cautions.caution import Spoken, merge, settle, standing_notes
from service.domain.cautions.takeoff import cautions_of
from service.domain.joint.requirement import judge
from service.domain.takeoff.bolts import Bolted
from service.domain.takeoff.nail_choice import choose_nails
from service.domain.takeoff.purchase import take_off
from service.errors import FasteningError, Fault
from service.schemas.answers.envelope import Answered, Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.takeoff import Item, TakeoffAnswer, TakeoffResult, found_in, joints_answer, standing_in
from service.schemas.answers.takeoff_sheets import TAKEOFF_SHEETS
from service.schemas.asks.joint import JointAsk, check_total
from service.schemas.asks.takeoff import (
    JOINT_HEAD,
    TAKEOFF,
    WALL_HEAD,
    Head,
    TakeoffAsk,
    head_of,
    read_takeoff,
    read_takeoff_joints,
    read_takeoff_wall,
)
from service.tables.book import open_book
from service.web.batches import check_size, entry_of, id_faults, of_all, placed, shared_assumptions, single, tried
from service.web.current import noted, settings
from service.web.handlers.walls import answer_wall, check_members
from service.web.registry import ABOUT_POST, op

Read = Callable[[dict[str, Any]], Any]


@op(
    "POST",
    "/v1/takeoffs",
    "takeOff",
    "One list of a house: lumber, panels and nails of many walls and loose joints, and what to buy",
    "questions",
    one_answer(TakeoffResult, "TakeoffAnswer"),
    ask=TAKEOFF,
    description=ABOUT_POST,
    sheets=TAKEOFF_SHEETS,
)
def takeoff(raw: Any) -> Reply:
    """Add up walls and loose joints, and say what to buy."""
    book = open_book()
    for field in ("walls", "joints"):
        check_size(raw, field, settings().max_items, "APP_MAX_ITEMS")
    ask = read_takeoff(raw, book)
    _check_ids(ask)
    noted().item_count = len(ask.walls) + len(ask.joints)
    walls = [tried(partial(read_takeoff_wall, item, ask.shared, book)) for item in ask.walls]
    check_members([w for w in walls if not isinstance(w, FasteningError)], ("walls",), 1 + len(ask.on_hand))
    answers = [w if isinstance(w, FasteningError) else tried(partial(answer_wall, w)) for w in walls]
    judged = [tried(partial(_judged, item, ask)) for item in ask.joints]
    shared = shared_assumptions([a for a in (*answers, *judged) if isinstance(a, Answered)])
    answer = _answer(ask, _items(ask, "walls", answers, shared), _items(ask, "joints", judged, shared))
    return single(Answered(answer, _cautions(answer), (*shared, *ask.assumptions)), raw, repeated=False)


def _answer(ask: TakeoffAsk, walls: list[Item], joints: list[Item]) -> TakeoffAnswer:
    book = open_book()
    plans = [(item.result.plan, item.head.count) for item in walls if item.result]
    loose = [item.result.line for item in joints if item.result]
    refused = len(walls) + len(joints) - len(plans) - len(loose)
    choice = replace(choose_nails(plans, loose, ask.on_hand, book), refused_count=refused) if ask.on_hand else None
    anchored = [
        Bolted(str(i.head.label or i.head.id), i.result.anchors.found, i.head.count) for i in walls if i.result and i.result.anchors
    ]
    return TakeoffAnswer(walls, joints, take_off(plans, loose, ask.shopping, book, anchored), choice)


def _check_ids(ask: TakeoffAsk) -> None:
    seen: set[Any] = set()
    faults = [*id_faults(ask.walls, "walls", seen), *id_faults(ask.joints, "joints", seen, required=False)]
    if faults:
        raise FasteningError(*faults)


def _judged(item: dict[str, Any], ask: TakeoffAsk) -> Answered:
    book = open_book()
    joints = read_takeoff_joints(item, ask.shared, book)
    requirement = judge(joints.question, book)
    check_total(joints, requirement)
    _check_counted(joints)
    return joints_answer(joints, requirement, book)


def _check_counted(joints: JointAsk) -> None:
    """Refuse joints of which nobody says how many there are."""
    if joints.joint_count is None and joints.run_length is None:
        raise FasteningError(
            Fault("missing_field", "is required (or run_length_ft where the joint is spaced along a length)", ("joint_count",))
        )


def _faults(answer: Any, field: str, i: int, item: dict[str, Any], ask: TakeoffAsk) -> tuple[Fault, ...] | None:
    if not isinstance(answer, FasteningError):
        return None
    return tuple(placed(f, item, ask.shared, (field, i)) for f in answer.faults)


def _items(ask: TakeoffAsk, field: str, answers: list[Any], shared: dict[tuple[str, Any], None]) -> list[Item]:
    sent, names = (ask.walls, WALL_HEAD) if field == "walls" else (ask.joints, JOINT_HEAD)
    entries = [
        entry_of(item.get("id"), a, _faults(a, field, i, item, ask), shared) for i, (item, a) in enumerate(zip(sent, answers, strict=True))
    ]
    heads = [tried(partial(head_of, item, names)) for item in sent]
    return [Item(Head(e.id) if isinstance(head, FasteningError) else head, e) for head, e in zip(heads, entries, strict=True)]


def _cautions(answer: TakeoffAnswer) -> tuple[Spoken, ...]:
    """Return each code once: those of walls and joints with where they apply, those of the purchase, standing notes."""
    own = [found for found in found_in(answer) if found[2]]
    bought = [Spoken(c.row, c.applies_because, ("/result/purchase/packages",)) for c in settle(cautions_of(answer.found), open_book())]
    notes = settle(standing_notes("hand", False), open_book())
    return merge((*(of_all(own) if own else ()), *bought, *notes, *standing_in(answer)))
