"""The shape of a take-off, and the answer it writes."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NamedTuple

from service.domain.cautions.advice import Advised, advisor_for
from service.domain.cautions.caution import Spoken
from service.domain.joint.ranking import GROUNDS, say_why
from service.domain.joint.requirement import Requirement
from service.domain.takeoff.cost import Price, cost_of
from service.domain.takeoff.loose import LooseJoints
from service.domain.takeoff.nail_choice import NailChoice
from service.domain.takeoff.packages import Package
from service.domain.takeoff.purchase import NailLine, TakeOff
from service.domain.wall.doubts import odd_lengths, unused_nails
from service.schemas.answers.declare import REF, Shape, flag, many, name_of, number, one, other, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered, Entry, either
from service.schemas.answers.joint import JointKindShape, pointed
from service.schemas.answers.metric import short
from service.schemas.answers.parts import AssumptionShape, NailShape, Number, first_word
from service.schemas.answers.problem import ProblemShape
from service.schemas.answers.vocabulary import COATING, CONFIDENCE, NOMINAL, OUTCOME, SEVERITY
from service.schemas.answers.wall import ConnectionLineShape, SheetSizeShape, TotalsShape
from service.schemas.asks.joint import JointAsk
from service.schemas.asks.takeoff import Head
from service.tables.book import Book
from service.ticks import feet, inches


@dataclass(frozen=True, slots=True, eq=False)
class LooseLine:
    """Loose joints with what goes with them, written as a line of a wall is."""

    line: LooseJoints
    advised: Advised
    notes: tuple[str, ...] = ()
    mid_bay_nail_count = None

    @property
    def number(self) -> Number:
        """Their number."""
        r = self.line.requirement
        return Number(r.nailing, r.counted_as)

    @property
    def reason(self) -> str:
        """Why this number."""
        return say_why(self.line.requirement)

    @property
    def counted(self) -> str:
        """How they are counted."""
        return "runs" if self.line.run_lengths else "joints"


@dataclass(frozen=True, slots=True)
class Item:
    """A wall or loose joints as asked, with the answer or the problem."""

    head: Head
    entry: Entry

    @property
    def result(self) -> Any:
        """What was answered."""
        return self.entry.answered.result if self.entry.answered else None

    @property
    def cautions(self) -> tuple[Spoken, ...]:
        """Its own cautions, standing notes left out: those stand once at the top."""
        return tuple(c for c in self.entry.answered.cautions if not c.row.standing) if self.entry.answered else ()


@dataclass(frozen=True, slots=True, eq=False)
class TakeoffAnswer:
    """A take-off with its items in the order they were sent."""

    walls: list[Item]
    joints: list[Item]
    found: TakeOff
    choice: NailChoice | None = None

    @property
    def complete(self) -> bool:
        """Whether no item was refused, and all have numbers."""
        return self.found.complete and all(item.entry.answered for item in (*self.walls, *self.joints))

    @property
    def notes(self) -> tuple[str, ...]:
        """What is left to order otherwise, and what was sent and does nothing."""
        return (*self._idle_nails(), *self.found.notes)

    def _idle_nails(self) -> Iterator[str]:
        """Say which shared nails serve no joint of any wall, nor loose ones."""
        plans = [plan for plan, _ in self.found.walls]
        idle = set.intersection(*(set(unused_nails(plan)) for plan in plans)) if plans else set[str]()
        idle -= {joints.requirement.connection.connection_id for joints in self.found.joints}
        if idle:
            yield f"connection_nails names joints that no wall has, or that take the sheathing nail: {', '.join(sorted(idle))}"


class CauseShape(Shape):
    """A caution of one wall or joint: its words stand once beside the result."""

    code = say("Code of the caution.", of="row.code")
    severity = word(SEVERITY, of="row.severity")
    applies_because = say("The input and its value that make it apply here.")


class HeadShape(Shape):
    """What an item is called."""

    id = say("As sent; null without one.", of="head.id", null=True)
    label = say("As sent; null without one.", of="head.label", null=True)
    level = say("As sent; null without one.", of="head.level", null=True)


class AnsweredShape(Shape):
    """What goes with every item that was answered."""

    max_severity = word(SEVERITY, "The worst of its cautions; null without one.", of=lambda i: first_word(i.cautions), null=True)
    cautions = many(CauseShape, "Its own cautions, worst first, each with its cause here.")
    assumptions = many(AssumptionShape, "Defaults that were used here; those that every item shares stand in meta.", of="entry.assumptions")


class RefusedShape(Shape):
    """What stands instead of an answer."""

    status = other({"type": "integer", "const": 422}, "422.", of="entry.status")
    problem = other({"$ref": REF + name_of(ProblemShape)}, "What is wrong; pointers are relative to the request.", of="entry.problem")


_ANSWERED = other({"type": "integer", "const": 200}, "200.", of="entry.status")


class AnsweredTakeoffWall(Shape):
    """A wall that was planned."""

    _head = spread(HeadShape)
    count = whole("How many are built.", of="head.count")
    status = _ANSWERED
    summary = one(TotalsShape, "Sums of one such wall.", of="result.plan")
    notes = texts(
        "Lengths that look like feet; what a plan leaves to others is said by its wall plan.", of=lambda i: odd_lengths(i.result.plan)
    )
    _answered = spread(AnsweredShape)


class RefusedTakeoffWall(Shape):
    """A wall that was refused; it adds nothing to the totals."""

    _head = spread(HeadShape)
    _refused = spread(RefusedShape)


class AnsweredTakeoffJoints(Shape):
    """Loose joints that were judged."""

    _head = spread(HeadShape)
    status = _ANSWERED
    _line = spread(ConnectionLineShape, "result")
    notes = texts("What was sent and does nothing for these joints.", of="result.notes")
    _answered = spread(AnsweredShape)


class RefusedTakeoffJoints(Shape):
    """Loose joints that were refused."""

    _head = spread(HeadShape)
    _refused = spread(RefusedShape)


WALL_SHAPE = either(
    "TakeoffWall",
    "A wall of the take-off: planned or refused.",
    lambda i: i.entry.status,
    {200: AnsweredTakeoffWall, 422: RefusedTakeoffWall},
)
JOINTS_SHAPE = either(
    "TakeoffJoints",
    "Joints outside the walls: judged or refused.",
    lambda i: i.entry.status,
    {200: AnsweredTakeoffJoints, 422: RefusedTakeoffJoints},
)


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
    stick_count_with_waste = whole("Sticks with waste: what to buy.")
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


class PurchaseShape(Shape):
    """What to buy and what it costs; sticks and sheets stand in lumber and panels."""

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


class AssignmentShape(Shape):
    """A nail for the joints of one connection, on one ground."""

    _kind = spread(JointKindShape, "connection", kept=True)
    nail_id = say("Id of the nail.", of="nail.nail_id")
    nail_label = say("As people say it; through treated wood a bright one is taken galvanized.", of="nail.label")
    outcome = word(OUTCOME)
    outcome_label = say("The ground in a few words.", of=lambda a: GROUNDS[a.outcome])
    nail_count = whole("Nails of these joints.")


class RefusalShape(Shape):
    """Joints that a nail does not serve."""

    _kind = spread(JointKindShape, "connection", kept=True)
    reason = say("Why, in one sentence.")


class AloneShape(Shape):
    """One nail by itself over all kinds of joints."""

    nail = one(NailShape)
    serves_count = whole("Kinds of joints that it serves.")
    calculated_count = whole("Those among them that the building official has to accept.")
    nail_count = whole("Nails of the joints that it serves.")
    refused = many(RefusalShape, "Joints that it does not serve, and why.")


class NailChoiceShape(Shape):
    """Which of the nails on hand to load: the smallest set that serves every joint, then fewest by strength, fewest nails, least money."""

    reason = say("The choice in one sentence.")
    nails = many(NailShape, "The nails to load.")
    assignments = many(AssignmentShape, "Which nail for which joints; steel tie plates take their own nail.")
    nail_count = whole("Nails of all these joints.")
    kind_count = whole("Kinds of joints: those that are judged alike are one.")
    calculated_count = whole("Kinds of joints whose number the building official has to accept.")
    cost = number(
        "Price of the nails that are driven, not of whole packages; null where one has no price.",
        of=lambda c: None if c.cost is None else short(float(c.cost)),
        null=True,
    )
    serves_every_joint = flag("False where no nail on hand serves some of the joints.", of=lambda c: not c.unserved)
    unserved = many(JointKindShape, "Joints that no nail on hand serves.", of=lambda c: list(dict.fromkeys(c.unserved)))
    alone = many(AloneShape, "Each nail on hand by itself, in their order.")


class TakeoffResult(Shape):
    """One list of a house: what its walls and joints add up to, and what to buy."""

    walls = many(WALL_SHAPE, "One for each wall, in their order.")
    joints = many(JOINTS_SHAPE, "One for each kind of loose joints, in their order.")
    lumber = one(LumberShape, of="found")
    panels = many(TakeoffSheetShape, "Sheets by size.", of="found.sheets")
    nails = many(TakeoffNailShape, "Nails by id and coating.", of="found.nails")
    purchase = one(PurchaseShape, of="found")
    totals_complete = flag("False where an item was refused, a joint has no number, or a piece is longer than the stock.", of="complete")
    notes = texts("What is left to order otherwise, and what was sent and does nothing.")
    nail_choice = one(NailChoiceShape, of="choice", absent="unless nails_on_hand was sent")


def joints_answer(ask: JointAsk, requirement: Requirement, book: Book) -> Answered:
    """Answer loose joints that are counted as asked."""
    runs = () if ask.run_length is None else (ask.run_length,)
    line = LooseLine(LooseJoints(requirement, ask.joint_count or 0, runs), advisor_for(ask.conditions, book).advise(requirement), ask.notes)
    notes = line.advised.notes if line.line.nail_count else ()
    return Answered(line, (*pointed(line.advised, ""), *notes), ask.assumptions)


def found_in(answer: TakeoffAnswer) -> Iterator[tuple[str, str, tuple[Spoken, ...]]]:
    """Yield what each answered item is called, where its cautions point, and these; a stop of joints points at the number that is null."""
    for noun, items in (("walls", answer.walls), ("joints", answer.joints)):
        for i, item in enumerate(items):
            name, where, stop_at = item.head.id or f"{noun}[{i}]", f"/result/{noun}/{i}", "/nail_count" if noun == "joints" else ""
            yield name, where, tuple(c for c in item.cautions if c.severity != "stop")
            yield name, f"{where}{stop_at}", tuple(c for c in item.cautions if c.severity == "stop")


def standing_in(answer: TakeoffAnswer) -> Iterator[Spoken]:
    """Yield the standing notes of all items: they are of the whole answer."""
    for item in (*answer.walls, *answer.joints):
        for c in item.entry.answered.cautions if item.entry.answered else ():
            if c.row.standing:
                yield Spoken(c.row, c.applies_because, ())
