"""The shapes of answers about nails on hand: joints times nails, and where one nail serves; and the answers they write."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.domain.cautions.advice import Advised, advisor_for
from service.domain.cautions.caution import Spoken, merge, settle, standing_notes
from service.domain.cautions.wall import advise_wall
from service.domain.conditions import Conditions
from service.domain.joint.ranking import Judgement, of_shelf, rank, say_why
from service.domain.joint.requirement import Requirement
from service.domain.takeoff.nail_choice import NailChoice, choose_for_wall
from service.domain.wall.boxes import Box, best_first, plan_each
from service.domain.wall.panels.line import PanelLine
from service.domain.wall.plan import PlanLine
from service.schemas.answers.declare import Shape, Variants, flag, many, one, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered, Assumptions
from service.schemas.answers.joint import CloserZoneShape, FirstListedShape, JointKindShape, OutcomeShape, pointed
from service.schemas.answers.nail_choice import NailChoiceShape
from service.schemas.answers.parts import NailShape, Number, ProvenanceShape, numbered
from service.schemas.answers.vocabulary import GROUP, USE
from service.schemas.answers.wall import JointsShape, Line, NailTotal, NailTotalShape, PiecesShape, RunsShape, WallAnswer, counted_by
from service.schemas.answers.working import CalculatedShape
from service.schemas.asks.substitution import BoxesAsk, SubstitutionAsk, check_totals
from service.tables.book import Book

FEW_REASONS = 3
GRAVE = ("stop", "warning")
"""What a wall's own cautions must be to stand beside a choice of nails; what its crew has to mind stands in its plan."""


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
    _number = numbered(lambda j: Number(j.judgement.used or j.requirement.nailing, j.requirement.counted_as))
    reason = say("The judgement and its ground in words.", of=lambda j: say_why(j.requirement, j.judgement.used))
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
    """One joint with every nail on hand; `line` is that of a wall's plan, where a wall was sent."""

    judgements: tuple[AdvisedJudgement, ...]
    line: PlanLine | PanelLine | None = None

    @property
    def counted(self) -> str:
        """How the joints of a wall are counted."""
        return counted_by(self.line) if self.line else ""


class JudgedJointShape(Shape):
    """A joint, and how many of it a wall has."""

    _kind = spread(JointKindShape, lambda c: c.judgements[0].requirement.connection, kept=True)
    _counted = Variants(
        lambda c: c.counted,
        {"runs": RunsShape, "joints": JointsShape, "panels": PiecesShape, "": None},
        "unless a wall was sent, and where it is counted another way",
    )


class JudgedConnectionShape(Shape):
    """One joint with every nail on hand, best first."""

    _joint = spread(JudgedJointShape)
    judgements = many(
        JudgementShape,
        "Best first: listed, exceeding, calculated, refused. Panels of a wall on a treated plate: a bright nail stands twice, galvanized for the row along the plate.",
    )


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """Joints times nails; of a wall also each nail over all its framing, and over its panels, best first, and which nails to load."""

    connections: tuple[JudgedConnection, ...]
    framing: tuple[Box, ...] | None = None
    panels: tuple[Box, ...] | None = None
    choice: NailChoice | None = None


class BoxLineShape(Shape):
    """A kind of joint of the wall with this nail."""

    _kind = spread(JointKindShape, "requirement.connection", kept=True)
    _outcome = spread(OutcomeShape, "requirement", kept=True)
    reason = say("Why, in one sentence.", of=lambda line: say_why(line.requirement))


class BoxShape(Shape):
    """A nail on hand over the whole wall."""

    nail = one(NailShape)
    reason = say("What it does of the wall, in one sentence.")
    nail_count = whole("Nails of the joints that it serves.")
    totals_complete = flag("False when a kind of joint has no number with it.", of=lambda b: not b.refused)
    serves_count = whole("Kinds of joints that it serves.", of=lambda b: len(b.lines) - len(b.refused))
    calculated_count = whole("Those among them that the building official has to accept.", of=lambda b: len(b.by_strength))
    refused_count = whole("Kinds of joints that it does not serve.", of=lambda b: len(b.refused))
    calculated = many(BoxLineShape, "Joints that the building official has to accept.", of="by_strength")
    refused = many(BoxLineShape, "Joints that it does not serve, and why.")
    nails = many(
        NailTotalShape, "Its nails by coating: through treated wood they are galvanized.", of=lambda b: [NailTotal(*n) for n in b.totals]
    )


BEST = "best first: fewest kinds of joints refused, then fewest to be accepted, then fewest nails. Steel tie plates take their own nail"


class SubstitutionResult(Shape):
    """Joints times nails."""

    connections = many(JudgedConnectionShape, "One for each joint; of a wall, one for each line of its plan.")
    framing_nails = many(BoxShape, f"Each nail for all framing joints of the wall, {BEST}.", of="framing", absent="unless a wall was sent")
    sheathing_nails = many(
        BoxShape, "Each nail for the panels of the wall, best first; empty without sheathing.", of="panels", absent="unless a wall was sent"
    )
    nail_choice = one(NailChoiceShape, "The fewest of the nails that do the wall together.", of="choice", absent="unless a wall was sent")


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
    connections = tuple([JudgedConnection(tuple([_advised(j, ask, book) for j in judgements])) for judgements in ranked])
    return _answered(Judged(connections), ask.conditions, ask.assumptions, book)


def boxes_answer(ask: BoxesAsk, book: Book) -> Answered:
    """Judge every nail for a whole wall, standing notes included.

    Raises
    ------
    FasteningError
        The wall cannot be built as described.
    """
    plans = plan_each(ask.order, ask.nails[1:], book)
    answers = [WallAnswer(plan, advise_wall(plan, book), False) for plan in plans]
    columns = [*zip(*(a.framing_lines for a in answers), strict=True), tuple(line for a in answers for line in a.panel_lines)]
    connections = tuple(in_wall(column) for column in columns if column)
    framing = best_first(Box(nail, plan.lines) for nail, plan in zip(ask.nails, plans, strict=True))
    panels = best_first(Box(nail, (plan.panels,)) for nail, plan in zip(ask.nails, plans, strict=True) if plan.panels)
    of_wall = [replace(c, applies_to=("/result",)) for c in answers[0].advice.wall if c.severity in GRAVE]
    judged = Judged(connections, framing, panels, choose_for_wall(plans, ask.nails))
    return _answered(judged, ask.order.setting.conditions, ask.assumptions, book, of_wall)


def in_wall(column: tuple[Line, ...]) -> JudgedConnection:
    """Return a line of the plan with each nail, best first."""
    ordered = sorted(column, key=lambda line: of_shelf(line.line.requirement))
    judgements = (
        Judgement(line.line.requirement, line.line.nail_count, line.line.listed_nail_count, line.number.nailing) for line in ordered
    )
    return JudgedConnection(tuple(AdvisedJudgement(j, line.advised) for j, line in zip(judgements, ordered, strict=True)), column[0].line)


def _answered(judged: Judged, conditions: Conditions, assumptions: Assumptions, book: Book, of_wall: Iterable[Spoken] = ()) -> Answered:
    found = [
        c
        for i, one in enumerate(judged.connections)
        for k, j in enumerate(one.judgements)
        for c in pointed(j.advised, f"/result/connections/{i}/judgements/{k}")
    ]
    any_nail = any(j.requirement.nailing for one in judged.connections for j in one.judgements)
    return Answered(judged, _with_notes([*of_wall, *found], conditions, any_nail, book), assumptions)


def uses_answer(ask: SubstitutionAsk, book: Book) -> Answered:
    """Judge the nail for each joint of the edition, standing notes included; joints without a row are left out."""
    judged = [rank(questions, None, None, book)[0] for questions in ask.joints]
    items = [_advised(j, ask, book) for j in judged if j.requirement.outcome != "not_applicable"]
    found = [c for i, item in enumerate(items) for c in pointed(item.advised, f"/items/{i}")]
    return Answered(items, _with_notes(found, ask.conditions, any(j.requirement.nailing for j in judged), book), ask.assumptions)


def _advised(judgement: Judgement, ask: SubstitutionAsk, book: Book) -> AdvisedJudgement:
    return AdvisedJudgement(judgement, advisor_for(ask.conditions, book).advise(judgement.requirement))


def _with_notes(found: list[Spoken], conditions: Conditions, any_nail: bool, book: Book) -> tuple[Spoken, ...]:
    return merge((*in_few_words(found), *settle(standing_notes(conditions.driver, any_nail), book)))


def in_few_words(found: list[Spoken]) -> list[Spoken]:
    """Join cautions of one code and keep the first few reasons: each judgement says its own."""
    joined: dict[str, list[Spoken]] = {}
    for c in found:
        joined.setdefault(c.code, []).append(c)
    return [
        Spoken(
            alike[0].row,
            _few(list(dict.fromkeys(c.applies_because for c in alike))),
            tuple(place for c in alike for place in c.applies_to),
            tuple(dict.fromkeys(step for c in alike for step in c.next_steps)),
        )
        for alike in joined.values()
    ]


def _few(reasons: list[str]) -> str:
    more = len(reasons) - FEW_REASONS
    return "; ".join(reasons[:FEW_REASONS]) + (f"; and {more} more, see each reason" if more > 0 else "")
