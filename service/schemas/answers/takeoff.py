"""The shape of a take-off, and the answer it writes."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from service.domain.cautions.advice import Advised, advisor_for
from service.domain.cautions.caution import Spoken
from service.domain.joint.ranking import say_why
from service.domain.joint.requirement import Requirement
from service.domain.takeoff.loose import LooseJoints
from service.domain.takeoff.nail_choice import NailChoice
from service.domain.takeoff.purchase import TakeOff
from service.domain.wall.doubts import odd_lengths, unused_nails
from service.schemas.answers.declare import REF, Shape, flag, many, name_of, one, other, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered, Entry, either
from service.schemas.answers.joint import pointed
from service.schemas.answers.nail_choice import NailChoiceShape
from service.schemas.answers.parts import AssumptionShape, Number, first_word
from service.schemas.answers.problem import ProblemShape
from service.schemas.answers.purchase import BoltLineShape, LumberShape, PurchaseShape, TakeoffNailShape, TakeoffSheetShape
from service.schemas.answers.vocabulary import SEVERITY
from service.schemas.answers.wall import ConnectionLineShape, TotalsShape
from service.schemas.asks.joint import JointAsk
from service.schemas.asks.takeoff import Head
from service.tables.book import Book


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
    def complete(self) -> bool:
        """Whether it was answered, and every joint of it has a number."""
        found = self.result
        return bool(found) and (found.line.nail_count is not None if isinstance(found, LooseLine) else found.plan.complete)

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


def _say_list(answer: TakeoffAnswer) -> str:
    percent = float(answer.found.shopping.waste)
    waste = f"{percent:g} percent waste added" if percent else "no waste added"
    missing = "" if answer.complete else "; not complete: an item was refused, a joint has no number, or a piece is longer than the stock"
    walls = sum(item.head.count for item in answer.walls if item.entry.answered)
    for_walls = f"for {walls} wall{'' if walls == 1 else 's'}: " if walls else ""
    return f"{for_walls}whole packages, sticks and sheets, {waste}{missing}"


class TakeoffResult(Shape):
    """One list of a house: what its walls and joints add up to, and what to buy."""

    label = say("What the list to buy holds, and whether it is complete.", of=_say_list)
    walls = many(WALL_SHAPE, "One for each wall, in their order.")
    joints = many(JOINTS_SHAPE, "One for each kind of loose joints, in their order.")
    lumber = one(LumberShape, of="found")
    panels = many(TakeoffSheetShape, "Sheets by size.", of="found.sheets")
    nails = many(TakeoffNailShape, "Nails by id and coating.", of="found.nails")
    anchor_bolts = many(BoltLineShape, "Anchor bolts by size and washer; empty without walls on concrete.", of="found.bolts")
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
