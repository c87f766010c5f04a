"""The shapes of answers about joints: requirements, nails on hand, uses; and the answers they write."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from service.domain.cautions.advice import Advised, advisor_for
from service.domain.cautions.caution import Spoken, merge, settle, standing_notes
from service.domain.joint.counting import nails_for, say_count, say_nailing
from service.domain.joint.ranking import Judgement, rank, say_option, say_outcome, say_why
from service.domain.joint.requirement import Requirement
from service.schemas.answers.declare import Shape, Variants, flag, keep, many, number, one, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.parts import ListedOption, NailShape, Number, PlacementShape, ProvenanceShape, number_field, numbered
from service.schemas.answers.vocabulary import GROUP, METHOD, OUTCOME, USE
from service.schemas.answers.working import CalculatedShape
from service.schemas.asks.joint import JointAsk
from service.schemas.asks.substitution import SubstitutionAsk, check_totals
from service.tables.book import Book
from service.ticks import inches

FEW_REASONS = 3
NO_NUMBER = "null where there is no number"


@dataclass(frozen=True, slots=True, eq=False)
class JointAnswer:
    """A judged joint with the total that was asked for."""

    advised: Advised
    codes: tuple[str, ...]
    joint_count: int | None
    run_length: int | None

    @property
    def requirement(self) -> Requirement:
        """The judgement."""
        return self.advised.requirement

    @property
    def counted(self) -> bool:
        """Whether a total was asked for."""
        return self.run_length is not None or self.joint_count is not None

    @property
    def nail_count(self) -> int | None:
        """The total."""
        nailing = self.requirement.nailing
        return None if nailing is None else nails_for(nailing, self._runs, self.joint_count or 0)

    @property
    def basis(self) -> str:
        """The arithmetic in words, or why there is none."""
        r = self.requirement
        if r.nailing is None:
            return r.no_number_because
        return say_count(r.nailing, self._runs, self.joint_count or 0) if self.counted else say_nailing(r.nailing)

    @property
    def _runs(self) -> tuple[int, ...]:
        return () if self.run_length is None else (self.run_length,)


class CloserZoneShape(Shape):
    """Closer spacing at roof edges and gable ends."""

    spacing_in = number("Spacing there [in].", of="spacing", form=inches)
    width_in = number("Width of the zone [in].", of="width", form=inches)
    footnote = say("Footnote of the table.")
    note = say("Where the zone is.")


class JointKindShape(Shape):
    """A kind of joint."""

    connection_id = say("Id of the joint.")
    description = say("The joint in words.")
    method = word(METHOD)


class OutcomeShape(Shape):
    """The ground of a judgement."""

    outcome = word(OUTCOME)
    outcome_label = say("The ground in a few words.", of=say_outcome)


def _listed_id(requirement: Requirement) -> str | None:
    first = requirement.first_listed
    return first.option.nail_id or None if first else None


def _listed_label(requirement: Requirement) -> str | None:
    first = requirement.first_listed
    return say_option(first.option) if first else None


class FirstListedShape(Shape):
    """The nail that a row names first."""

    listed_nail_id = say("The first nail the row lists here; null where it names none.", of=_listed_id, null=True)
    listed_nail_label = say("That nail as people say it; null where the row lists none.", of=_listed_label, null=True)


class TotalShape(Shape):
    """A total that was asked for."""

    nail_count = whole(f"Total, when joint_count or run_length_ft was sent; {NO_NUMBER}.", null=True)


def _total(asked: Any) -> Variants:
    return Variants(asked, {True: TotalShape, False: None}, "when no total was asked for")


class RequirementResult(Shape):
    """The judgement of one joint."""

    _kind = spread(JointKindShape, "requirement.connection", kept=True)
    _outcome = spread(OutcomeShape, "requirement", kept=True)
    nail = one(NailShape, of="requirement.question.nail", kept=True)
    _number = numbered(lambda a: Number(a.requirement.nailing, a.requirement.counted_as))
    _total = _total(lambda a: a.counted)
    reason = say("Why this number, or why there is none, in one sentence.", of=lambda a: say_why(a.requirement))
    basis = say("The arithmetic in words.")
    closer_zone = one(CloserZoneShape, of="advised.closer_zone", absent="where there is none")
    _calculated = spread(CalculatedShape, "requirement", kept=True)
    provenance = one(ProvenanceShape, of="requirement.provenance", kept=True)
    listed_options = many(ListedOption, "Every option of the row.", of="requirement.listed", kept=True)
    placement = one(PlacementShape, NO_NUMBER.capitalize() + ".", of="advised.placement", null=True, kept=True)
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="codes")


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


def joint_answer(ask: JointAsk, requirement: Requirement, book: Book) -> Answered:
    """Answer a question about one joint, standing notes included."""
    advised = advisor_for(ask.conditions, book).advise(requirement)
    cautions, codes = _alone(advised)
    return Answered(JointAnswer(advised, codes, ask.joint_count, ask.run_length), cautions, ask.assumptions)


@keep
def _alone(advised: Advised) -> tuple[tuple[Spoken, ...], tuple[str, ...]]:
    """Return the cautions of an answer about one joint, standing notes included, and their codes; kept with the advice."""
    cautions = merge((*pointed(advised, "/result"), *advised.notes))
    return cautions, tuple([c.code for c in cautions])


def pointed(advised: Advised, where: str, stop_at: str = "") -> Iterable[Spoken]:
    """Point cautions at a judgement, a stop at the number that is null."""
    r = advised.requirement
    field = stop_at or number_field(Number(r.nailing, r.counted_as))
    return (Spoken(c.row, c.applies_because, (f"{where}/{field}" if c.severity == "stop" else where,)) for c in advised.cautions)


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
