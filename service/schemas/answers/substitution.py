"""The shapes of answers about nails on hand: joints times nails, and where one nail serves; and the answers they write."""

from dataclasses import dataclass

from service.domain.cautions.advice import Advised, advisor_for
from service.domain.cautions.caution import Spoken, merge, settle, standing_notes
from service.domain.joint.ranking import Judgement, rank, say_why
from service.domain.joint.requirement import Requirement
from service.schemas.answers.declare import Shape, flag, many, one, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.joint import CloserZoneShape, FirstListedShape, JointKindShape, OutcomeShape, pointed
from service.schemas.answers.parts import NailShape, Number, ProvenanceShape, numbered
from service.schemas.answers.vocabulary import GROUP, USE
from service.schemas.answers.working import CalculatedShape
from service.schemas.asks.substitution import SubstitutionAsk, check_totals
from service.tables.book import Book

FEW_REASONS = 3


@dataclass(frozen=True, slots=True, eq=False)
class AdvisedJudgement:
    """One nail judged for one joint, with what goes with it."""

    judgement: Judgement
    advised: Advised

    @property
    def requirement(self) -> Requirement:
        """The judgement itself."""
        return self.judgement.requirement


class GroundShape(Shape):
    """A judgement and its ground, the same for nails on hand and for uses."""

    _outcome = spread(OutcomeShape, "requirement", kept=True)
    _number = numbered(lambda j: Number(j.requirement.nailing, j.requirement.counted_as))
    reason = say("The judgement and its ground in words.", of=lambda j: say_why(j.requirement))
    closer_zone = one(CloserZoneShape, of="advised.closer_zone", absent="where there is none")
    _calculated = spread(CalculatedShape, "requirement", kept=True)
    provenance = one(ProvenanceShape, of="requirement.provenance", kept=True)
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="advised.codes")


class JudgementShape(Shape):
    """One nail judged for one joint."""

    nail = one(NailShape, of="requirement.question.nail", kept=True)
    _ground = spread(GroundShape)
    nail_count = whole(
        "Total; null when none was asked for, when the joint is not counted by it, or where there is no number.",
        of="judgement.nail_count",
        null=True,
    )
    _first_listed = spread(FirstListedShape, "requirement", kept=True)
    listed_nail_count = whole("Total of that nail.", of="judgement.listed_nail_count", null=True)


@dataclass(frozen=True, slots=True, eq=False)
class JudgedConnection:
    """One joint with every nail on hand."""

    judgements: tuple[AdvisedJudgement, ...]


class JudgedConnectionShape(Shape):
    """One joint with every nail on hand, best first."""

    _kind = spread(JointKindShape, lambda c: c.judgements[0].requirement.connection, kept=True)
    judgements = many(JudgementShape, "Best first: listed, exceeding, calculated, refused.")


class SubstitutionResult(Shape):
    """Joints times nails."""

    connections = many(JudgedConnectionShape, "One for each joint.", of=lambda connections: connections)


class NailUseShape(Shape):
    """A joint, and what the nail is worth in it."""

    nail = one(NailShape, of="requirement.question.nail", kept=True)
    group = word(GROUP, of="requirement.connection.group")
    _kind = spread(JointKindShape, "requirement.connection", kept=True)
    braced_wall_panel = flag("The row of braced wall panels.", of="requirement.question.selectors.braced")
    use = word(
        USE,
        "What the panel is for; null where rows do not differ by it.",
        of=lambda j: j.requirement.question.selectors.use if j.requirement.connection.by_use else None,
        null=True,
    )
    _ground = spread(GroundShape)


def substitution_answer(ask: SubstitutionAsk, book: Book) -> Answered:
    """Judge every nail for every joint, standing notes included.

    Raises
    ------
    FasteningError
        `conflicting_fields` when none of the joints is counted by the total that was sent.
    """
    ranked = [rank(questions, ask.joint_count, ask.run_length, book) for questions in ask.joints]
    check_totals(ask, [j.requirement for judgements in ranked for j in judgements])
    result = [JudgedConnection(tuple(_advised(j, ask, book) for j in judgements)) for judgements in ranked]
    found = [
        c
        for i, one in enumerate(result)
        for k, j in enumerate(one.judgements)
        for c in pointed(j.advised, f"/result/connections/{i}/judgements/{k}")
    ]
    any_nail = any(j.requirement.nailing for one in result for j in one.judgements)
    return Answered(result, _with_notes(found, ask, any_nail, book), ask.assumptions)


def uses_answer(ask: SubstitutionAsk, book: Book) -> Answered:
    """Judge the nail for each joint of the edition, standing notes included; joints without a row are left out."""
    judged = [rank(questions, None, None, book)[0] for questions in ask.joints]
    items = [_advised(j, ask, book) for j in judged if j.requirement.outcome != "not_applicable"]
    found = [c for i, item in enumerate(items) for c in pointed(item.advised, f"/items/{i}")]
    return Answered(items, _with_notes(found, ask, any(j.requirement.nailing for j in judged), book), ask.assumptions)


def _advised(judgement: Judgement, ask: SubstitutionAsk, book: Book) -> AdvisedJudgement:
    return AdvisedJudgement(judgement, advisor_for(ask.conditions, book).advise(judgement.requirement))


def _with_notes(found: list[Spoken], ask: SubstitutionAsk, any_nail: bool, book: Book) -> tuple[Spoken, ...]:
    return merge((*in_few_words(found), *settle(standing_notes(ask.conditions.driver, any_nail), book)))


def in_few_words(found: list[Spoken]) -> list[Spoken]:
    """Join cautions of one code and keep the first few reasons: each judgement says its own."""
    joined: dict[str, tuple[Spoken, dict[str, None], list[str]]] = {}
    for c in found:
        _, reasons, pointers = joined.setdefault(c.code, (c, {}, []))
        reasons[c.applies_because] = None
        pointers += c.applies_to
    return [Spoken(c.row, _few(list(reasons)), tuple(pointers)) for c, reasons, pointers in joined.values()]


def _few(reasons: list[str]) -> str:
    more = len(reasons) - FEW_REASONS
    return "; ".join(reasons[:FEW_REASONS]) + (f"; and {more} more, see each reason" if more > 0 else "")
