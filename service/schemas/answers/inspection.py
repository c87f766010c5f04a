"""The shape of the answer about an inspection, and the answer it writes."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, NamedTuple

from service.domain.cautions.advice import Advised, advisor_for
from service.domain.cautions.caution import Spoken, merge, settle, standing_notes
from service.domain.cautions.inspection import on_inspection
from service.domain.inspection.verdict import VERDICTS, Finding, inspect
from service.domain.joint.ranking import say_why
from service.schemas.answers.declare import Shape, many, number, one, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.joint import JointKindShape, OutcomeShape, pointed
from service.schemas.answers.metric import short
from service.schemas.answers.parts import NailShape, Number, ProvenanceShape, first_word, number_field, numbered
from service.schemas.answers.sheets import NAIL, NUMBER, PRINTED, WORST, Sheet, same
from service.schemas.answers.substitution import in_few_words
from service.schemas.answers.vocabulary import FOUND_VERDICT
from service.schemas.answers.working import CalculatedShape
from service.schemas.asks.inspection import InspectionAsk, Seen
from service.tables.book import Book
from service.tables.schedule import OnCenter, Panel
from service.ticks import inches

NOT_SO = "where the joint is not counted so, or no row says how"


class FindingAnswer(NamedTuple):
    """An observation, the verdict on it, and what goes with it: its cautions are those of the joint and of its repair."""

    seen: Seen
    finding: Finding
    advised: Advised


class RequiredShape(Shape):
    """The judgement of the joint with the nail found."""

    _outcome = spread(OutcomeShape, kept=True)
    _number = numbered(lambda r: Number(r.nailing, r.counted_as))
    reason = say("Why this number, or why there is none, in one sentence.", of=say_why)
    _calculated = spread(CalculatedShape, kept=True)


class ServingNailShape(Shape):
    """A nail that the row lists and that serves here."""

    nail = one(NailShape, of="question.nail", kept=True)
    _number = numbered(lambda r: Number(r.nailing, r.counted_as))
    provenance = one(ProvenanceShape, kept=True)


class HeadsShape(Shape):
    """Overdriven heads against the guidance."""

    overdriven_percent = number("Heads over 1/16 in deep, of those inspected.", of=lambda h: short(100 * h.share, 2))
    added_nail_count = whole("Nails that make up for them; 0 where they are accepted.", of="added")
    provenance = one(ProvenanceShape)


def _found(name: str) -> Any:
    def value(a: FindingAnswer) -> Any:
        return getattr(a.finding.seen.found, name, None)

    return value


def _edge_or_field(name: str) -> Any:
    def value(a: FindingAnswer) -> Any:
        found = a.finding.seen.found
        return getattr(found, name) if isinstance(found, Panel) else None

    return value


class ObservationResult(Shape):
    """One joint as found, and the verdict on it."""

    id = say("As sent.", of="seen.name")
    _kind = spread(JointKindShape, "finding.required.connection", kept=True)
    nail = one(NailShape, of="finding.required.question.nail", kept=True)
    verdict = word(FOUND_VERDICT, of="finding.verdict")
    verdict_label = say("The verdict in a few words.", of=lambda a: VERDICTS[a.finding.verdict])
    reason = say("Why, in one sentence.", of="finding.reason")
    found_nail_count = whole("Nails found in each joint or group.", of=_found("count"), absent=NOT_SO)
    found_spacing_in = number("Spacing found [in].", of=lambda a: _spaced(a.finding), form=inches, absent=NOT_SO)
    found_edge_spacing_in = number("Found along panel edges [in].", of=_edge_or_field("edge"), form=inches, absent=NOT_SO)
    found_field_spacing_in = number("Found in the field [in].", of=_edge_or_field("field"), form=inches, absent=NOT_SO)
    required = one(RequiredShape, "The judgement of this joint with this nail, as requirements gives it.", of="finding.required", kept=True)
    missing_nail_count_per_joint = whole(
        "Nails to add to each joint or group, 0 where none; null where it is counted another way, or no number is known.",
        of="finding.missing_each",
        null=True,
    )
    missing_nail_count = whole(
        "Nails to add in all, as the remedy says, of overdriven ones for those inspected; null where that is not known, and for a wrong nail.",
        of="finding.missing",
        null=True,
    )
    remedy = say(
        "What to add, where, and what is reached then; null where nothing is, or nobody here knows.", of="finding.remedy", null=True
    )
    serving_nails = many(
        ServingNailShape,
        "Listed nails that serve in place of one that does not, or has to be accepted, best first; else empty.",
        of="finding.serving",
    )
    heads = one(HeadsShape, "Overdriven heads; null where none were counted.", of="finding.heads", null=True)
    provenance = one(ProvenanceShape, of="finding.required.provenance", kept=True)
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="advised.codes")
    notes = texts("What was sent and does nothing for this joint.", of="seen.notes")


def _spaced(finding: Finding) -> int | None:
    found = finding.seen.found
    return found.spacing if isinstance(found, OnCenter) else None


class VerdictCountShape(Shape):
    """A verdict and how often it was given."""

    verdict = word(FOUND_VERDICT, of=lambda v: v[0])
    observation_count = whole("Observations.", of=lambda v: v[1])


class InspectionResult(Shape):
    """An inspection: the verdict on each observation."""

    verdicts = many(
        VerdictCountShape,
        "How often each verdict was given, the mildest first; those never given are left out.",
        of=lambda found: _verdicts(found),
    )
    observations = many(ObservationResult, "One for each observation, in their order.", of=lambda found: found)


def _verdicts(found: list[FindingAnswer]) -> list[tuple[str, int]]:
    given = [a.finding.verdict for a in found]
    return [(verdict, given.count(verdict)) for verdict in VERDICTS if verdict in given]


def _rows(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    for a in answered.result:
        yield a, {"max_severity": first_word(a.advised.cautions)}


FOUND = ("found_nail_count", "found_spacing_in", "found_edge_spacing_in", "found_field_spacing_in")
INSPECTION_SHEET = Sheet(
    ObservationResult,
    {
        **same("id", "connection_id", "description", "method", "verdict", "verdict_label"),
        **NAIL,
        **same(*FOUND),
        **{name: f"required.{name}" for name in ("outcome", "outcome_label", *NUMBER)},
        **same("missing_nail_count_per_joint", "missing_nail_count", "reason", "remedy"),
        **{name: f"heads.{name}" for name in ("overdriven_percent", "added_nail_count")},
        **PRINTED,
        **same(*WORST),
    },
    _rows,
    head=(),
)


def inspection_answer(ask: InspectionAsk, book: Book) -> Answered:
    """Answer an inspection, standing notes included."""
    found = [_answer(seen, book) for seen in ask.seen]
    spoken = [c for i, a in enumerate(found) for c in _pointed(a, f"/result/observations/{i}")]
    by_gun = any(a.seen.conditions.driver == "gun" for a in found)
    driven = any(a.finding.driven for a in found)
    notes = settle(standing_notes("gun" if by_gun else "hand", driven), book)
    return Answered(found, merge((*in_few_words(spoken), *notes)), ask.assumptions)


def _answer(seen: Seen, book: Book) -> FindingAnswer:
    finding = inspect(seen.observation, book)
    base, own = advisor_for(seen.conditions, book).advise(finding.required), settle(on_inspection.speak(finding, book), book)
    return FindingAnswer(seen, finding, replace(base, cautions=merge((*base.cautions, *own))) if own else base)


def _pointed(a: FindingAnswer, where: str) -> Iterable[Spoken]:
    number = number_field(Number(a.finding.required.nailing, a.finding.required.counted_as))
    return pointed(a.advised, where, f"required/{number}")
