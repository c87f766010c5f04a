"""The shapes of what a take-off adds up and buys: lumber, sheets, nails, packages, money."""

from decimal import Decimal
from typing import Any, NamedTuple

from service.domain.joint.counting import say_nails
from service.domain.takeoff.cost import Price, cost_of
from service.domain.takeoff.packages import Package
from service.domain.takeoff.purchase import NailLine, TakeOff
from service.said import say_weight
from service.schemas.answers.declare import Shape, flag, many, number, one, say, spread, whole, word
from service.schemas.answers.metric import short
from service.schemas.answers.parts import NailShape
from service.schemas.answers.vocabulary import COATING, CONFIDENCE, NOMINAL
from service.schemas.answers.wall import SheetSizeShape
from service.ticks import feet, inches


class CutShape(Shape):
    """Sticks cut alike, from all walls."""

    label = say("The stick as people say it.")
    nominal = word(NOMINAL)
    treated = flag("Treated lumber: the bottom plate on concrete; all of a wall whose lumber was said to be treated.")
    thickness_in = number("Thickness [in].", of=lambda c: c.size and inches(c.size[0]), absent="unless nominal is engineered")
    depth_in = number("Depth [in].", of=lambda c: c.size and inches(c.size[1]), absent="unless nominal is engineered")
    length_in = number("Cut length [in].", of="length", form=inches)
    member_count = whole("Sticks before waste.")


def money(amount: Decimal | None) -> float | int | None:
    """Write money as a number: exact decimals have a shortest form."""
    if amount is None:
        return None
    return int(amount) if amount == amount.to_integral_value() else float(amount)


def priced(count: str) -> tuple[Any, Any]:
    """Declare price and cost of a line that has `price` and a count to buy."""
    return (
        number("Price of one; null where none was sent.", of=lambda x: x.price and money(x.price.amount), null=True),
        number("Price times count; null without a price.", of=lambda x: money(cost_of(x.price, getattr(x, count))), null=True),
    )


class StockShape(Shape):
    """Sticks to buy."""

    label = say("The stick as people say it.", of="stick.label")
    nominal = word(NOMINAL, of="stick.nominal")
    treated = flag("Treated lumber.", of="stick.treated")
    stock_length_ft = number("Length of the stick [ft].", of="stick.length", form=feet)
    stick_count = whole("Sticks that the cut list takes.")
    stick_count_with_waste = whole(
        "Sticks with waste: what to buy; the waste of a size is added in one of its lengths, that which adds least."
    )
    price, cost = priced("stick_count_with_waste")


class LumberShape(Shape):
    """Lumber of all walls."""

    cut_list = many(CutShape, "By size, treated or not, then the longest first.", of="cuts")
    stock = many(StockShape, "What to buy; engineered pieces are ordered by their cut length.")
    lumber_length_ft = number(
        "Length of all sticks before waste [ft].", of=lambda t: feet(sum(p.load.lumber_length * n for p, n in t.walls))
    )
    board_ft = number("Board feet of all sticks before waste.", of=lambda t: round(sum(p.load.board_ft * n for p, n in t.walls), 2))
    longer_than_stock = many(CutShape, "Pieces that no stock length holds: order them by length.", of="too_long")


class TakeoffSheetShape(Shape):
    """Sheets of one size, from all walls."""

    _size = spread(SheetSizeShape, "size")
    sheet_count_with_waste = whole("Sheets with waste: what to buy.")
    price, cost = priced("sheet_count_with_waste")


class BoltLineShape(Shape):
    """Anchor bolts alike, from all walls on concrete."""

    label = say("The bolts as people say them.")
    bolt_count = whole("Bolts to load, without waste.")
    bolt_diameter_in = number("Least diameter [in].", of="kind.diameter", form=inches)
    embedment_in = number("Least embedment into the concrete [in].", of="kind.embedment", form=inches)
    washer_side_in = number("Side of its plate washer; null for a cut washer [in].", of="kind.washer_side", form=inches, null=True)
    washer_thickness_in = number("Thickness of its plate washer [in].", of="kind.washer_thickness", form=inches, null=True)


class TakeoffNailShape(Shape):
    """Nails of one id and coating, from all walls and joints."""

    nail = one(NailShape, kept=True)
    nail_count = whole("Nails before waste.")
    nail_count_with_waste = whole("Nails with waste, rounded up once.")
    weight_lb = number("Weight of the nails with waste [lb]; approximate.", form=short)
    nail_count_per_lb = number("Nails to the pound.", of="per_lb.value", form=short)
    weight_basis = say("What the weight rests on.", of="per_lb.basis")
    weight_confidence = word(CONFIDENCE, "Of the count to the pound.", of="per_lb.confidence")


class Bought(NamedTuple):
    """Packages of one size of a nail."""

    line: NailLine
    package: Package
    package_count: int

    @property
    def say(self) -> str:
        """How many packages of which size."""
        weight = "" if self.package.weight_lb is None else f"{say_weight(f'{self.package.weight_lb:g}')}, "
        about = "about " if self.package.approximate else ""
        several = "" if self.package_count == 1 else "s"
        return f"{self.package_count} package{several} of {weight}{about}{say_nails(self.package.nail_count)}"

    @property
    def price(self) -> Price | None:
        """Price of one package."""
        return self.package.price


class NailNameShape(Shape):
    """Which nail."""

    nail_id = say("Id of the nail.", of="line.nail.nail_id")
    nail_label = say("As people say it.", of="line.nail.label")
    coating = word(COATING, of="line.nail.coating")


class BoughtShape(Shape):
    """Packages to buy."""

    _nail = spread(NailNameShape)
    nail_count_per_package = whole("Nails in a package.", of="package.nail_count")
    package_weight_lb = number(
        "Weight of a package that is sold by weight; null for others [lb].", of="package.weight_lb", form=short, null=True
    )
    package_count = whole("Packages to buy.")
    package_label = say("Packages to buy in words.", of="say")
    approximate = flag("True for the boxes of the trade and for packages by weight: check the label.", of="package.approximate")
    confidence = word(
        CONFIDENCE, "Of a generic package or of a count by weight; null for what you sent.", of="package.confidence", null=True
    )
    price, cost = priced("package_count")


class Leftover(NamedTuple):
    """A nail with its packages."""

    line: NailLine


class LeftoverShape(Shape):
    """What is over of a nail."""

    _nail = spread(NailNameShape)
    nail_count_with_waste = whole("Nails that are wanted.", of="line.packed.wanted")
    bought_nail_count = whole("Nails in the packages.", of="line.packed.bought")
    leftover_nail_count = whole("Nails over.", of="line.packed.leftover")


def _say_cost(found: TakeOff) -> str | None:
    if found.bill.cost is None:
        return None
    missing = "" if found.bill.complete else "; something to buy has no price and is not in it"
    return f"{found.bill.cost:.2f} {found.bill.currency}{missing}"


class PurchaseShape(Shape):
    """What to buy and what it costs; sticks and sheets stand in lumber and panels."""

    cost_label = say("The sum of all costs in words, and whether something has no price; null without a price.", of=_say_cost, null=True)
    waste_percent = number("Waste on the totals [percent].", of=lambda t: money(_decimal(t)))
    packages = many(BoughtShape, "Whole packages of nails.", of=lambda t: bought_of(t))
    leftovers = many(LeftoverShape, "What is over, nail by nail.", of=lambda t: [Leftover(line) for line in t.nails])
    currency = say("Currency of the prices, ISO 4217; null without a price.", of="bill.currency", null=True)
    cost = number("Sum of all costs; null without a price.", of=lambda t: money(t.bill.cost), null=True)
    cost_complete = flag("False where something to buy has no price.", of="bill.complete")


def _decimal(found: TakeOff) -> Decimal:
    waste = found.shopping.waste
    return Decimal(waste.numerator) / Decimal(waste.denominator)


def bought_of(found: TakeOff) -> list[Bought]:
    """Return the packages of a take-off, nail by nail."""
    return [Bought(line, package, count) for line in found.nails for package, count in line.packed.packages]
