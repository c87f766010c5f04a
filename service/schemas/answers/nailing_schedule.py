"""The shape of a nailing schedule, and the answer it writes."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from service.domain.cautions.advice import advisor_for
from service.domain.cautions.caution import Spoken, merge, settle, standing_notes
from service.domain.cautions.wall import advise_wall
from service.domain.joint.page import by_bracing, judged_for, of_other_panel, on_page, place_on_page, printed_alike
from service.domain.joint.ranking import GROUNDS, of_shelf, rank
from service.domain.joint.requirement import Requirement
from service.domain.site import Site
from service.domain.wall.boxes import plan_each
from service.errors import FasteningError
from service.schemas.answers.declare import Shape, flag, many, one, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered, Assumptions
from service.schemas.answers.joint import JointKindShape, pointed
from service.schemas.answers.parts import NailShape, first_word, text_or_null
from service.schemas.answers.sheets import Sheet, joint_columns, same
from service.schemas.answers.substitution import GRAVE, AdvisedJudgement, GroundShape, in_few_words, in_wall
from service.schemas.answers.vocabulary import GROUP, OUTCOME
from service.schemas.answers.wall import WallAnswer
from service.schemas.asks.nailing_schedule import WallsAsk
from service.schemas.asks.substitution import SubstitutionAsk
from service.tables.book import Book

Lines = list["NailingLine"]


@dataclass(frozen=True, slots=True, eq=False)
class NailingLine:
    """A joint with the nail that will be used, whether at a braced wall panel; where walls were sent, their names and where of them it is."""

    judged: AdvisedJudgement
    braced: bool | None
    walls: tuple[str, ...] | None = None
    place: str = ""

    @property
    def requirement(self) -> Requirement:
        """The judgement."""
        return self.judged.requirement


@dataclass(frozen=True, slots=True, eq=False)
class NailingSchedule:
    """A project's joints in the order of the page, by which code and where."""

    lines: Lines
    edition_id: str
    site: Site
    species: str


class StopShape(Shape):
    """Why there is no number."""

    code = say("Code of the caution, as GET /v1/cautions lists it.")
    reason = say("The limit and by how much it is passed, or what is missing.", of="because")


class NailingLineShape(Shape):
    """A joint with the nail that will be used."""

    _kind = spread(JointKindShape, "requirement.connection", kept=True)
    group = word(GROUP, of="requirement.connection.group")
    braced_wall_panel = flag("Judged as at a braced wall panel; null where that makes no difference.", of="braced", null=True)
    place = say(
        "Where of the walls these nails go in, where those into a treated plate are galvanized and others of the joint are not; else null.",
        form=text_or_null,
        null=True,
    )
    judged_for = texts(
        "What it was judged for beside the nail: the face where it decides the number, panel, framing, spacer or foam; what lines of one joint differ by.",
        of=lambda line: [*judged_for(line.requirement)],
    )
    walls = texts("Walls that have the joint, by id, or by number where they have none.", absent="unless walls were sent")
    nail = one(NailShape, "The nail that will be used; of nails on hand the best.", of="requirement.question.nail", kept=True)
    _ground = spread(GroundShape, "judged")
    row = say("The row as it is cited; null for trade custom.", of="requirement.provenance.on_paper", form=text_or_null, null=True)
    stop = one(StopShape, "Why there is no number; null where there is one, or no nails are asked.", of="requirement.stop", null=True)


class OutcomeCountShape(Shape):
    """An outcome and how often it stands in the schedule."""

    outcome = word(OUTCOME, of=lambda o: o[0])
    outcome_label = say("The outcome in a few words.", of=lambda o: GROUNDS[o[0]])
    line_count = whole("Lines.", of=lambda o: o[1])


class NailingScheduleResult(Shape):
    """The nailing schedule of a project."""

    outcomes = many(
        OutcomeCountShape, "Lines by outcome, the best first; those that none has are left out.", of=lambda s: _outcomes(s.lines)
    )
    lines = many(
        NailingLineShape,
        "One for each joint, in the order of the page of the edition; of walls one for each way a joint is nailed. Steel tie plates take their own nail and stand in the plan of their wall.",
    )


def _outcomes(lines: Lines) -> list[tuple[str, int]]:
    found = [line.requirement.outcome for line in lines]
    return [(outcome, found.count(outcome)) for outcome in GROUNDS if outcome in found]


def _rows(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    for line in answered.result.lines:
        yield line, {"max_severity": first_word(line.judged.advised.cautions)}


NAILING_SHEET = Sheet(
    NailingLineShape,
    {
        **joint_columns("group", "braced_wall_panel", "walls", total=False, basis=False),
        **same("row"),
        "stop_code": "stop.code",
        **same("place", "judged_for"),
    },
    _rows,
    head=(),
)


def groups_answer(ask: SubstitutionAsk, book: Book) -> Answered:
    """Answer with the joints of groups that the edition has, each with the best of its nails, standing notes included."""
    best = (rank(questions, None, None, book)[0] for questions in ask.joints)
    advisor = advisor_for(ask.conditions, book)
    lines = [
        _line(AdvisedJudgement(j, advisor.advise(j.requirement)), book)
        for j in best
        if on_page(j.requirement) and not of_other_panel(j.requirement)
    ]
    first = ask.joints[0][0]
    schedule = NailingSchedule(lines, first.edition_id, first.site, first.species)
    return _answered(schedule, [], ask.conditions.driver, ask.assumptions, book)


def walls_answer(ask: WallsAsk, book: Book) -> Answered:
    """Answer with the joints that walls have, those printed alike once, standing notes included.

    Raises
    ------
    FasteningError
        A wall cannot be built as described.
    """
    held: dict[Any, NailingLine] = {}
    of_walls: list[Spoken] = []
    for i, (name, order) in enumerate(ask.orders):
        try:
            plans = plan_each(order, ask.others, book)
        except FasteningError as error:
            raise FasteningError(*(f.under("walls", i) for f in error.faults)) from None
        answers = [WallAnswer(plan, advise_wall(plan, book), False) for plan in plans]
        of_walls += [Spoken(c.row, f"{name}: {c.applies_because}", ("/result",)) for c in answers[0].advice.wall if c.severity in GRAVE]
        for judged, place in _best(answers):
            key = printed_alike(judged.requirement, plans[0].edition), judged.judgement.used, place
            held[key] = _joined(held.get(key) or _line(judged, book, (), place), judged, name)
    setting = ask.orders[0][1].setting
    schedule = NailingSchedule([*held.values()], setting.edition_id, setting.site, setting.species)
    return _answered(schedule, of_walls, setting.conditions.driver, ask.assumptions, book)


def _best(answers: list[WallAnswer]) -> Iterator[tuple[AdvisedJudgement, str]]:
    """Yield each line of a wall with the best of the nails on hand, and its place; panels keep one nail for all their rows."""
    best = [min(column, key=lambda one: of_shelf(one.line.requirement)) for column in zip(*(a.framing_lines for a in answers), strict=True)]
    sheathed = [a.panel_lines for a in answers if a.panel_lines]
    panels = min(sheathed, key=lambda lines: of_shelf(lines[0].line.requirement), default=[])
    yield from ((in_wall((line,)).judgements[0], line.line.place) for line in (*best, *panels))


def _line(judged: AdvisedJudgement, book: Book, walls: tuple[str, ...] | None = None, place: str = "") -> NailingLine:
    question, connection = judged.requirement.question, judged.requirement.connection
    differs = by_bracing(connection, book.editions[question.edition_id])
    return NailingLine(judged, question.selectors.braced if differs else None, walls, place)


def _joined(line: NailingLine, judged: AdvisedJudgement, name: str) -> NailingLine:
    """Return a line that one more wall has; what speaks in one of its walls speaks in the line."""
    advised = replace(line.judged.advised, cautions=merge((*line.judged.advised.cautions, *judged.advised.cautions)))
    return replace(line, judged=replace(line.judged, advised=advised), walls=tuple(dict.fromkeys((*(line.walls or ()), name))))


def _answered(schedule: NailingSchedule, of_walls: list[Spoken], driver: str, assumptions: Assumptions, book: Book) -> Answered:
    place = place_on_page(book.editions[schedule.edition_id], book)
    lines = sorted(schedule.lines, key=lambda line: place[line.requirement.connection.connection_id])
    found = [c for i, line in enumerate(lines) for c in pointed(line.judged.advised, f"/result/lines/{i}")]
    notes = settle(standing_notes(driver, any(line.requirement.nailing for line in lines)), book)
    return Answered(replace(schedule, lines=lines), merge((*in_few_words([*of_walls, *found]), *notes)), assumptions)
