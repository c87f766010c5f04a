"""What stands around results: single answers, catalogues, batches with an entry for each item."""

from dataclasses import dataclass, field
from typing import Any

from service.domain.cautions.caution import Spoken
from service.schemas.answers.declare import REF, Shape, Variants, flag, many, name_of, one, other, say, whole, word, writer_of
from service.schemas.answers.parts import AssumptionShape, CautionShape, Meta, MetaShape
from service.schemas.answers.problem import ProblemShape
from service.schemas.answers.vocabulary import COATING, SEVERITY

Assumptions = tuple[tuple[str, Any], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Answered:
    """A question answered: what its shape writes, its cautions, worst first, and the defaults that were used."""

    result: Any
    cautions: tuple[Spoken, ...]
    assumptions: Assumptions = ()


@dataclass(frozen=True, slots=True)
class NailSum:
    """Nails of one id and coating."""

    nail_id: str
    coating: str
    label: str
    nail_count: int


@dataclass(frozen=True, slots=True)
class Summary:
    """A batch in one look."""

    item_count: int
    succeeded_count: int
    failed_count: int
    engineering_required_count: int
    max_severity: str | None
    totals: list[NailSum]
    totals_complete: bool


@dataclass(frozen=True, slots=True)
class Entry:
    """An item of a batch: its answer, or its problem; `assumptions` are those that not every answered item shares."""

    id: str | None
    answered: Answered | None = None
    problem: dict[str, Any] | None = None
    assumptions: Assumptions = ()

    @property
    def status(self) -> int:
        """HTTP status the item would have alone."""
        return 200 if self.answered else 422


@dataclass(frozen=True, slots=True)
class Reply:
    """Everything that is sent back: one entry, a list of things, or the entries of a batch with their summary.

    `asked` is the question as understood; None where the answer does not repeat it.
    """

    entries: list[Entry]
    cautions: tuple[Spoken, ...]
    assumptions: Assumptions = ()
    units: str = "us"
    asked: dict[str, Any] | None = None
    summary: Summary | None = None
    items: list[Any] = field(default_factory=list)

    @property
    def meta(self) -> Meta:
        """What stands above the answer."""
        return Meta(self.assumptions, self.units)


class NailSumShape(Shape):
    """Nails of one id and coating, over all items."""

    nail_id = say("Id of the nail.")
    coating = word(COATING)
    label = say("As people say it.")
    nail_count = whole("Nails.")


class SummaryShape(Shape):
    """The batch in one look."""

    item_count = whole("Items asked.")
    succeeded_count = whole("Items answered.")
    failed_count = whole("Items refused.")
    engineering_required_count = whole("Items with an outcome engineering_required.")
    max_severity = word(SEVERITY, "The worst severity of all items; null without cautions.", null=True)
    totals = many(NailSumShape, "Nails by id and coating; refused items are left out.")
    totals_complete = flag("False where an item was refused or has no number.")


def single(result: type[Shape], name: str, ask: str = "", steady: bool = False) -> type[Shape]:
    """Return the shape of a single answer.

    Parameters
    ----------
    ask : str
        Component of the question it repeats.
    steady : bool
        Whether its cautions are kept with the advice, so that they come again and may be kept as finished JSON.
    """
    parts: dict[str, Any] = {"meta": one(MetaShape, kept=False)}
    if ask:
        parts["input"] = other({"$ref": REF + ask}, "The question as understood, defaults filled in.", of="asked")
    parts |= {
        "result": one(result, of=lambda r: r.entries[0].answered.result),
        "cautions": many(CautionShape, "What to mind, worst first.", kept=steady),
    }
    return type(name, (Shape,), {"__doc__": "One answer.", **parts})


def catalogue(item: type[Shape], name: str) -> type[Shape]:
    """Return the shape of a list of reference data."""
    parts = {"meta": one(MetaShape), "items": many(item, "What is listed."), "cautions": many(CautionShape, "What to mind, worst first.")}
    return type(name, (Shape,), {"__doc__": "A list.", **parts})


def batch(result: type[Shape], noun: str) -> type[Shape]:
    """Return the shape of a batch answer: an entry is the answer of its item, or its problem."""
    identity = {"id": say("Id of the item, as sent.")}
    answered = type(
        f"Answered{noun}",
        (Shape,),
        {
            "__doc__": "An item that was answered.",
            **identity,
            "status": other({"type": "integer", "const": 200}, "200."),
            "result": one(result, of="answered.result"),
            "cautions": many(CautionShape, "What to mind, worst first; pointers are relative to the item.", of="answered.cautions"),
            "assumptions": many(AssumptionShape, "Defaults that were used here; those that every answered item shares stand in meta."),
        },
    )
    refused = type(
        f"Refused{noun}",
        (Shape,),
        {
            "__doc__": "An item that was refused.",
            **identity,
            "status": other({"type": "integer", "const": 422}, "422."),
            "problem": other({"$ref": REF + name_of(ProblemShape)}, "What is wrong with the item; pointers are relative to the request."),
        },
    )
    entry = either(f"{noun}Entry", "An item of the batch: answered or refused.", lambda e: e.status, {200: answered, 422: refused})
    parts = {
        "meta": one(MetaShape),
        "results": many(entry, "One entry for each item, in their order.", of="entries"),
        "summary": one(SummaryShape),
        "cautions": many(
            CautionShape, "Each code once, with every item it applies to and the first few causes by item; items carry their own."
        ),
    }
    return type(f"{noun}BatchAnswer", (Shape,), {"__doc__": "The answers of a batch.", **parts})


def either(name: str, about: str, select: Any, cases: dict[Any, type[Shape]]) -> type[Shape]:
    """Return a shape that is one of several, in the contract a `oneOf`."""
    return type(name, (Shape,), {"__doc__": about, "union": tuple(cases.values()), "either": Variants(select, cases)})


def write(shape: type[Shape], reply: Reply) -> dict[str, Any]:
    """Write a reply as the body of a JSON answer."""
    return writer_of(shape, reply.units == "metric")(reply)
