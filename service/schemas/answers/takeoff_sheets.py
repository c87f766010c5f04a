"""The tables of a take-off: those of its walls, one row for each wall and line, and what to buy."""

from collections.abc import Callable, Iterable, Iterator
from typing import Any, NamedTuple

from service.domain.takeoff.bolts import without_number
from service.domain.takeoff.cost import Price
from service.domain.takeoff.purchase import NailLine, TakeOff
from service.domain.wall.doubts import odd_lengths
from service.domain.wall.sheets import SheetSize
from service.said import say_weight
from service.schemas.answers.declare import Shape, flag, number, one, say, whole
from service.schemas.answers.envelope import Answered
from service.schemas.answers.metric import short
from service.schemas.answers.parts import first_word
from service.schemas.answers.purchase import Bought, BoughtShape, bought_of, priced
from service.schemas.answers.sheets import HEAD, Sheet, refusal_cells, same
from service.schemas.answers.takeoff import Item, TakeoffAnswer
from service.schemas.answers.wall import NailTotal, SheetSizeShape
from service.schemas.answers.wall_sheets import WALL_SHEETS, remarks
from service.ticks import feet

Rows = Iterable[tuple[Any, dict[str, Any]]]
ITEM = ("id", "wall_label", "level", "count", *HEAD[1:])
"""Columns that say which wall a row is of: as sent, and why it was refused."""


def _cells(item: Item) -> dict[str, Any]:
    head, entry = item.head, item.entry
    refused = refusal_cells(entry.problem) if entry.problem else {}
    named = {"id": head.id, "wall_label": head.label, "level": head.level, "count": head.count}
    return {**named, "item_status": entry.status, **refused}


def _of_items(items: Iterable[Item], rows: Callable[[Item], Rows]) -> Rows:
    """Yield the rows of each item; a refused one is a row with its error."""
    for item in items:
        cells = _cells(item)
        if item.entry.answered is None:
            yield None, cells
            continue
        for thing, beside in rows(item):
            yield thing, {**beside, **cells}


def _no_rows(_: Item) -> Rows:
    return ()


def _per_wall(table: str, joints: Callable[[Item], Rows] = _no_rows) -> Sheet:
    """Return a table of wall plans with the wall before each row, and the loose joints behind them; refused ones stand in every table."""
    of_wall = WALL_SHEETS[table]

    def rows(answered: Answered) -> Rows:
        answer: TakeoffAnswer = answered.result
        yield from _of_items(answer.walls, lambda item: of_wall.rows(item.entry.answered))
        yield from _of_items(answer.joints, joints)

    return Sheet(of_wall.shape, {**same(*ITEM), **of_wall.columns}, rows, (*ITEM, *of_wall.beside), ())


def _joint_line(item: Item) -> Rows:
    yield item.result, {"max_severity": first_word(item.cautions)}


def _joint_nails(item: Item) -> Rows:
    line = item.result.line
    beside = {"totals_complete": line.nail_count is not None, "max_severity": first_word(item.cautions)}
    yield (NailTotal(line.nail, line.nail_count) if line.nail_count else None), beside


def _notes(answered: Answered) -> Rows:
    """Yield what is said of the whole once, then what each wall and joint says of itself."""
    answer: TakeoffAnswer = answered.result
    yield from ((remark, {}) for remark in remarks(answered.cautions, answer.notes, answered.assumptions))
    yield from _of_items(answer.walls, lambda i: ((r, {}) for r in remarks(i.cautions, odd_lengths(i.result.plan), i.entry.assumptions)))
    yield from _of_items(answer.joints, lambda i: ((r, {}) for r in remarks(i.cautions, i.result.notes, i.entry.assumptions)))


class ToBuy(NamedTuple):
    """A line of the purchase: packages of a nail, sticks, pieces by length, sheets or anchor bolts."""

    kind: str
    label: str
    buy_count: int
    price: Price | None = None
    bought: Bought | None = None
    nominal: str | None = None
    treated: bool | None = None
    stock_length: int | None = None
    size: SheetSize | None = None
    of_nail: NailLine | None = None
    """The nail of its first packages: its own numbers stand once, so that a column adds up."""


class ToBuyShape(Shape):
    """A line of the purchase."""

    kind = say("nails, lumber, panels or anchor_bolts; refused or no_number for what is not in the list.")
    label = say("What to buy, as people say it.")
    buy_count = whole("How many to buy.")
    bought = one(BoughtShape, null=True)
    nail_count = whole(of=lambda b: b.of_nail and b.of_nail.nail_count, null=True)
    nail_count_with_waste = whole(of=lambda b: b.of_nail and b.of_nail.nail_count_with_waste, null=True)
    leftover_nail_count = whole(of=lambda b: b.of_nail and b.of_nail.packed.leftover, null=True)
    weight_lb = number(of=lambda b: b.of_nail and short(b.of_nail.weight_lb), null=True)
    nominal = say(null=True)
    treated = flag(null=True)
    stock_length_ft = number(of="stock_length", form=feet, null=True)
    size = one(SheetSizeShape, null=True)
    currency = say(of=lambda b: b.price and b.price.currency, null=True)
    price, cost = priced("buy_count")


def _purchase(answered: Answered) -> Rows:
    """Yield what is not in the list first, so that nobody loads a house short, then what to buy."""
    answer: TakeoffAnswer = answered.result
    for item in (*answer.walls, *answer.joints):
        name = item.head.label or item.head.id or "joints without an id"
        if item.result is None:
            yield None, {**_cells(item), "kind": "refused", "label": f"{name}: refused, nothing of it is in this list"}
        elif not item.complete:
            yield None, {**_cells(item), "kind": "no_number", "label": f"{name}: joints without a number, their nails are not in this list"}
    yield from ((None, {"kind": "no_number", "label": said}) for said in without_number(answer.found.anchored))
    yield from ((line, {}) for line in _to_buy(answer.found))


def _to_buy(found: TakeOff) -> Iterator[ToBuy]:
    told = None
    for b in bought_of(found):
        first, told = (None if b.line is told else b.line), b.line
        sold = f"{say_weight(f'{b.package.weight_lb:g}')} box" if b.package.weight_lb else f"box of {b.package.nail_count}"
        yield ToBuy("nails", f"{b.line.nail.label}, {sold}", b.package_count, b.price, b, of_nail=first)
    for line in found.stock:
        s = line.stick
        yield ToBuy("lumber", s.label, line.stick_count_with_waste, line.price, None, s.nominal, s.treated, s.length)
    for cut in (*found.too_long, *(c for c in found.cuts if c.size)):
        yield ToBuy("lumber", f"{cut.label}, by length", cut.member_count, None, None, cut.nominal, cut.treated)
    for sheet in found.sheets:
        yield ToBuy("panels", sheet.size.label, sheet.sheet_count_with_waste, sheet.price, size=sheet.size)
    for bolts in found.bolts:
        yield ToBuy("anchor_bolts", bolts.label, bolts.bolt_count)


TAKEOFF_SHEETS = {
    "connections": _per_wall("connections", _joint_line),
    "members": _per_wall("members"),
    "panels": _per_wall("panels"),
    "nails": _per_wall("nails", _joint_nails),
    "purchase": Sheet(
        ToBuyShape,
        {
            **same("kind", "label", "buy_count", "price", "currency", "cost"),
            **{name: f"bought.{name}" for name in ("nail_id", "coating", "nail_count_per_package", "package_weight_lb", "approximate")},
            **same("nail_count", "nail_count_with_waste", "leftover_nail_count", "weight_lb", "nominal", "treated", "stock_length_ft"),
            **{name: f"size.{name}" for name in ("panel_width_in", "panel_length_in", "thickness_in")},
            **same(*ITEM),
        },
        _purchase,
        ITEM,
        head=(),
    ),
    "notes": Sheet(WALL_SHEETS["notes"].shape, {**same(*ITEM), **WALL_SHEETS["notes"].columns}, _notes, ITEM, ()),
}
