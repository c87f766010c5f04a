"""The shapes of the answer about one joint, and the answer they write."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from service.domain.cautions.advice import Advised, advisor_for
from service.domain.cautions.caution import Spoken, merge, of_stop, settle
from service.domain.joint.counting import nails_for, say_count, say_nailing
from service.domain.joint.ranking import say_option, say_outcome, say_why
from service.domain.joint.requirement import Requirement
from service.schemas.answers.declare import Shape, Variants, keep, many, number, one, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.parts import ListedOption, NailShape, Number, PlacementShape, ProvenanceShape, number_field, numbered
from service.schemas.answers.ties import RoofJointShape
from service.schemas.answers.vocabulary import METHOD, OUTCOME
from service.schemas.answers.working import CalculatedShape
from service.schemas.asks.joint import JointAsk
from service.tables.book import Book
from service.ticks import inches

NO_NUMBER = "null where there is no number"


@dataclass(frozen=True, slots=True, eq=False)
class JointAnswer:
    """A judged joint with the total that was asked for."""

    advised: Advised
    codes: tuple[str, ...]
    joint_count: int | None
    run_length: int | None
    notes: tuple[str, ...] = ()

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
    uplift = one(RoofJointShape, of="advised.roof", absent="unless rafters or trusses meet their wall here")
    provenance = one(ProvenanceShape, of="requirement.provenance", kept=True)
    listed_options = many(ListedOption, "Every option of the row.", of="requirement.listed", kept=True)
    placement = one(PlacementShape, NO_NUMBER.capitalize() + ".", of="advised.placement", null=True, kept=True)
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="codes")
    notes = texts("What was sent and does nothing for this joint.")


def joint_answer(ask: JointAsk, requirement: Requirement, book: Book) -> Answered:
    """Answer a question about one joint, standing notes included."""
    advised = advisor_for(ask.conditions, book).advise(requirement)
    cautions, codes = _alone(advised)
    uplift = advised.roof.uplift if advised.roof else None
    if uplift and uplift.stop:
        stop = settle(of_stop(uplift.stop, ("/result/uplift/uplift_lb",)), book)
        cautions = merge((*stop, *(c for c in cautions if c.code != "uplift_connector_needed")))
        codes = tuple([c.code for c in cautions])
    return Answered(JointAnswer(advised, codes, ask.joint_count, ask.run_length, ask.notes), cautions, ask.assumptions)


@keep
def _alone(advised: Advised) -> tuple[tuple[Spoken, ...], tuple[str, ...]]:
    """Return the cautions of an answer about one joint, standing notes included, and their codes; kept with the advice."""
    cautions = merge((*pointed(advised, "/result"), *advised.notes))
    return cautions, tuple([c.code for c in cautions])


def pointed(advised: Advised, where: str, stop_at: str = "") -> Iterable[Spoken]:
    """Point cautions at a judgement, a stop at the number that is null."""
    r = advised.requirement
    field = stop_at or number_field(Number(r.nailing, r.counted_as))
    return (replace(c, applies_to=(f"{where}/{field}" if c.severity == "stop" else where,)) for c in advised.cautions)
