"""The shape of the answer about a wall, and the answer it writes."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from service.domain.building.uplift import CONNECTOR, ENGINEERING
from service.domain.cautions.advice import Advised
from service.domain.cautions.caution import Spoken, merge, of_stop, settle
from service.domain.cautions.ties import past_uplift
from service.domain.cautions.wall import WallAdvice, advise_wall, tie_plate_cautions
from service.domain.joint.counting import say_nails
from service.domain.joint.ranking import say_why
from service.domain.joint.stop import Provenance
from service.domain.nails.nail import Nail
from service.domain.wall.members import Member
from service.domain.wall.panels.lay import panels_by_area
from service.domain.wall.panels.line import PanelLine
from service.domain.wall.panels.outline import Rect
from service.domain.wall.plan import Plan, PlanLine, TiePlates, locate
from service.domain.wall.sheets import sheets_of
from service.domain.wall.wall import ENGINEERED
from service.said import say_fraction, say_length, say_weight
from service.schemas.answers.declare import Shape, Variants, flag, many, number, numbers, one, say, spread, texts, whole, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.joint import CloserZoneShape, FirstListedShape, JointKindShape, OutcomeShape
from service.schemas.answers.parts import SAID_NONE, NailShape, Number, PlacementShape, ProvenanceShape, numbered, text_or_null
from service.schemas.answers.ties import AnchorageAnswer, AnchorageResult, LinkShape, bolt_cautions
from service.schemas.answers.vocabulary import NOMINAL, PLATE_PLACE, ROLE
from service.schemas.answers.working import CalculatedShape
from service.schemas.asks.common import BOOK
from service.schemas.asks.wall import WallAsk
from service.tables.book import Book
from service.tables.schedule import Panel
from service.ticks import feet, inches


@dataclass(frozen=True, slots=True, eq=False)
class WallAnswer:
    """A plan with what goes with it, and whether every nail is to be located."""

    plan: Plan
    advice: WallAdvice
    positions: bool
    anchors: AnchorageAnswer | None = None
    of_bolts: tuple[Spoken, ...] = ()

    @property
    def lines(self) -> "list[Line]":
        """The lines of the plan, those of the panels last."""
        return [*self.framing_lines, *self.panel_lines]

    @property
    def framing_lines(self) -> "list[Line]":
        """The lines of the framing."""
        return [Line(line, advised, self.plan) for line, advised in zip(self.plan.lines, self.advice.lines, strict=True)]

    @property
    def panel_lines(self) -> "list[Line]":
        """The lines of the panels, one for each coating."""
        parts = self.plan.panels.parts if self.plan.panels else ()
        return [Line(part, advised, self.plan) for part, advised in zip(parts, self.advice.panels, strict=True)]


class Line(NamedTuple):
    """A line of the plan with what goes with it."""

    line: PlanLine | PanelLine
    advised: Advised
    plan: Plan

    @property
    def number(self) -> Number:
        """Its number: of panels, the spacing that is used."""
        if isinstance(self.line, PanelLine):
            return Number(self.line.used, Panel(1, 1))
        r = self.line.requirement
        return Number(r.nailing, r.counted_as)

    @property
    def reason(self) -> str:
        """Why this number; of panels, also that the caller asked for closer ones."""
        return say_why(self.line.requirement, self.line.used if isinstance(self.line, PanelLine) else None)

    @property
    def mid_bay_nail_count(self) -> int | None:
        """Of a bottom plate, its nails in the middle of a bay."""
        return None if isinstance(self.line, PanelLine) else self.plan.mid_bay_nail_count(self.line)

    @property
    def counted(self) -> str:
        """How its joints are counted."""
        return counted_by(self.line)


def counted_by(line: PlanLine | PanelLine) -> str:
    """Say how the joints of a line are counted: by runs, by joints, by panels."""
    return "panels" if isinstance(line, PanelLine) else "runs" if line.group.runs else "joints"


class Alike(NamedTuple):
    """Sticks cut alike; `size` is thickness and depth of engineered ones, which have no nominal size."""

    role: str
    nominal: str
    length: int
    size: tuple[int, int] | None
    members: list[Member]


def alike(plan: Plan) -> list[Alike]:
    """Group sticks cut alike; a stick's index counts through the groups in order."""
    grouped: dict[tuple[str, str, int, tuple[int, int] | None], list[Member]] = {}
    for m, length in zip(plan.framing.members, plan.framing.lengths, strict=True):
        size = (m.thickness, m.height) if m.nominal == ENGINEERED else None
        grouped.setdefault((m.role, m.nominal, length, size), []).append(m)
    return [Alike(*key, members) for key, members in grouped.items()]


class MemberShape(Shape):
    """Sticks cut alike."""

    role = word(ROLE)
    label = say("The role in words.", of=lambda g: g.role.replace("_", " "))
    nominal = word(NOMINAL)
    thickness_in = number("Thickness [in].", of=lambda g: g.size and inches(g.size[0]), absent="unless nominal is engineered")
    depth_in = number("Depth [in].", of=lambda g: g.size and inches(g.size[1]), absent="unless nominal is engineered")
    length_in = number("Cut length [in].", of="length", form=inches)
    member_count = whole("Sticks.", of=lambda g: len(g.members))
    x_in = numbers("Left sides from the start of the wall [in].", of=lambda g: [inches(m.x) for m in g.members])
    z_in = numbers("Bottoms above the underside of the bottom plate [in].", of=lambda g: [inches(m.z) for m in g.members])


class RunsShape(Shape):
    """Runs."""

    run_count = whole("Runs.", of=lambda c: len(c.line.group.runs))
    run_length_in = number("Sum of the runs [in].", of=lambda c: sum(c.line.group.run_lengths), form=inches)


class JointsShape(Shape):
    """Joints."""

    joint_count = whole("Joints; of panels, the pieces.", of="line.group.joint_count")


class PiecesShape(Shape):
    """Panels."""

    joint_count = whole("Joints; of panels, the pieces.", of=lambda c: len(c.line.cover.pieces))


class LineGroundShape(Shape):
    """What a line says of its judgement; written once for all walls that share it."""

    _outcome = spread(OutcomeShape)
    _first_listed = spread(FirstListedShape)
    _calculated = spread(CalculatedShape)


class ConnectionLineShape(Shape):
    """All joints of one kind with one nail."""

    _kind = spread(JointKindShape, "line.requirement.connection", kept=True)
    _counted = Variants(
        lambda c: c.counted, {"runs": RunsShape, "joints": JointsShape, "panels": PiecesShape}, "where it is counted another way"
    )
    nail = one(NailShape, of="line.nail", kept=True)
    _number = numbered("number")
    nail_count = whole("Nails of all its joints; null where there is no number.", of="line.nail_count", null=True)
    reason = say("Why this number, or why there is none, in one sentence.")
    _ground = spread(LineGroundShape, "line.requirement", kept=True)
    listed_nail_count = whole("What the first nail the row lists would take.", of="line.listed_nail_count", null=True)
    closer_zone = one(CloserZoneShape, of="advised.closer_zone", absent="where there is none")
    provenance = one(ProvenanceShape, of="line.requirement.provenance", kept=True)
    basis = say("The arithmetic in words, or why there is no number.", of="line.basis")
    placement = one(PlacementShape, "Null where there is no number.", of="advised.placement", null=True, kept=True)
    mid_bay_nail_count = whole(
        f"Nails of the bottom plate over {inches(BOOK.rules.stud_reach)} in from every upright: in the middle of a bay, where pipes and wires are bored through.",
        absent="unless the line nails a bottom plate down and has a number",
    )
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="advised.codes")


class NailTotal(NamedTuple):
    """Nails of one kind."""

    nail: Nail
    nail_count: int


class NailTotalShape(Shape):
    """Nails of one kind."""

    nail = one(NailShape, kept=True)
    nail_count = whole("Nails.")


class Plates(NamedTuple):
    """Tie plates of a wall, and the edition they are asked by."""

    plates: TiePlates
    plan: Plan

    @property
    def provenance(self) -> Provenance:
        """Where the plates are printed."""
        edition, row = self.plan.edition, self.plates.row
        if row is None:
            return Provenance(edition.code, edition.year, "", None, None, "no splice plates of this edition are held", "derived")
        return Provenance(edition.code, edition.year, row.section, None, None, None, row.confidence)


class SplicePlateShape(Shape):
    """Steel plates of a single top plate; their nails are in `nails` and in the totals."""

    where = word(PLATE_PLACE, of="plates.where")
    plate = say("Size [in]; null where none is held.", of=lambda p: p.plates.row and p.plates.row.plate, null=True)
    plate_count = whole("Plates.", of="plates.plate_count")
    nail_id = say("Nail; null where none is held.", of=lambda p: p.plates.row and p.plates.row.nail_id, null=True)
    nail_label = say("That nail as people say it; null where none is held.", of=lambda p: p.plates.nail and p.plates.nail.label, null=True)
    nail_count_per_side = whole(
        "Nails each side; null where none is held.", of=lambda p: p.plates.row and p.plates.row.nail_count_per_side, null=True
    )
    nail_count = whole("Nails in all; null where none is held.", of="plates.nail_count", null=True)
    provenance = one(ProvenanceShape)


def _say_nails(plan: Plan) -> str:
    panels = (plan.panels.nail_count or 0) if plan.panels else 0
    missing = "" if plan.complete else "; joints without a number are not in it"
    return f"{plan.framing_nail_count} framing nails, {panels} panel nails{missing}"


class TotalsShape(Shape):
    """Sums of one wall."""

    label = say("Its nails in words, and whether that is all of them.", of=_say_nails)
    lifting_label = say(
        "What it takes to lift it, in words.",
        of=lambda p: (
            f"about {say_weight(f'{p.load.weight_lb:.0f}')}: {p.load.lifter_count} people at {say_weight(f'{p.rules.person_lift:g}')} each"
        ),
    )
    framing_nail_count = whole("Nails of framing joints that have a number, those of steel tie plates too.")
    sheathing_nail_count = whole("Nails of panels.", of=lambda p: (p.panels.nail_count or 0) if p.panels else 0)
    lumber_length_ft = number("Length of all sticks [ft].", of="load.lumber_length", form=feet)
    board_ft = number("Board feet.", of=lambda p: round(p.load.board_ft, 2))
    panel_count = whole("Pieces of panel.", of=lambda p: len(p.panels.cover.pieces) if p.panels else 0)
    panel_count_by_area = whole("Sheets by gross area, openings not deducted.", of=lambda p: panels_by_area(p.order.wall, p.rules))
    wall_weight_lb = number("For lifting; from memory figures.", of=lambda p: round(p.load.weight_lb, 1))
    lifter_count = whole("People at 50 lb each.", of="load.lifter_count")
    totals_complete = flag("False when a joint has no number.", of="complete")


class FramingSpot(NamedTuple):
    """A framing nail: place, connection, index of its stick."""

    x: int
    y: int
    z: int
    connection_id: str
    at: int


class PanelSpot(NamedTuple):
    """A panel nail: place, connection, index of its panel."""

    x: int
    y: int
    z: int
    connection_id: str
    at: int


class SpotShape(Shape):
    """One nail."""

    x_in = number("Along the wall [in].", of="x", form=inches)
    y_in = number("From the outside face [in].", of="y", form=inches)
    z_in = number("Up from the underside of the bottom plate [in].", of="z", form=inches)
    connection_id = say("Id of the joint.")


class FramingSpotShape(Shape):
    """A framing nail."""

    member_index = whole(
        "Framing nails: the stick it is driven through, or into where it comes from another wall; counts through the sticks of `members` in order.",
        of="at",
    )


class PanelSpotShape(Shape):
    """A panel nail."""

    panel_index = whole("Panel nails: index in `panels`.", of="at")


class NailPositionShape(Shape):
    """One nail: x along the wall, y from the outside face, z up [in]."""

    _spot = spread(SpotShape)
    _of = Variants(type, {FramingSpot: FramingSpotShape, PanelSpot: PanelSpotShape}, "for nails of the other kind")


class CutOutShape(Shape):
    """A rectangle in the elevation [in]."""

    label = say("Its size, width before height.", of=lambda r: f"{say_length(r.x1 - r.x0, form='F')} x {say_fraction(r.z1 - r.z0)}")
    place_label = say(
        "Where its left lower corner stands: along the wall from its start, up from the underside of the bottom plate.",
        of=lambda r: f"{say_fraction(r.x0)} along the wall, {say_fraction(r.z0)} up",
    )
    x_in = number("Left side [in].", of="x0", form=inches)
    z_in = number("Bottom [in].", of="z0", form=inches)
    width_in = number("Width [in].", of=lambda r: inches(r.x1 - r.x0))
    height_in = number("Height [in].", of=lambda r: inches(r.z1 - r.z0))


class CutPanel(NamedTuple):
    """A panel as cut, with its nails, and those among them that are galvanized for a treated plate."""

    rect: Rect
    cut_outs: tuple[Rect, ...]
    nail_count: int | None
    plate_row_nail_count: int


class PanelShape(Shape):
    """One panel as cut."""

    _rect = spread(CutOutShape, "rect")
    cut_outs = many(CutOutShape, "What is cut out of it.")
    nail_count = whole("Its nails; null where there is no spacing.", null=True)
    nail_count_label = say("Its nails in words.", of=lambda p: SAID_NONE if p.nail_count is None else say_nails(p.nail_count))
    plate_row_nail_count = whole("Those among them that are galvanized for the treated plate under it, where the others are not.")


class SheetSizeShape(Shape):
    """Sheets of one size: what to load on the truck, one for each panel as cut."""

    label = say("The size as people say it.")
    panel_width_in = number("Width of a whole sheet [in].", of="width", form=inches)
    panel_length_in = number(
        "Length of a whole sheet; the smallest stock that covers the wall, where none was sent [in].", of="length", form=inches
    )
    thickness_in = number("Thickness [in].", of="thickness", form=inches)
    sheet_count = whole("Sheets before waste.")


class WallPlanResult(Shape):
    """The plan of one wall."""

    id = say("Id of the wall, as sent; null without one.", of="plan.order.wall.wall_id", form=text_or_null, null=True)
    members = many(MemberShape, "Every stick, grouped by cut.", of=lambda a: alike(a.plan))
    connections = many(ConnectionLineShape, "One line for each joint and nail.", of="lines")
    panels = many(PanelShape, "Panels as cut, in order of z, then x.", of=lambda a: panels_of(a.plan.panels))
    sheets = many(SheetSizeShape, "Sheets by size; empty without sheathing.", of=lambda a: sheets_of(a.plan))
    nails = many(NailTotalShape, "Nails by id and coating.", of=lambda a: [NailTotal(*n) for n in a.plan.nail_totals])
    splice_plates = many(
        SplicePlateShape,
        "Steel plates of a single top plate; empty where there are two.",
        of=lambda a: [Plates(s, a.plan) for s in a.plan.tie_plates],
    )
    anchors = one(AnchorageResult, "Anchor bolts of the bottom plate.", absent="unless it stands on concrete")
    load_path = many(
        LinkShape,
        "The links from the roof to what the wall stands on, from the top; empty for a partition that does not bear.",
        of="advice.path.links",
    )
    totals = one(TotalsShape, of="plan")
    notes = texts("What the plan leaves to others.", of="plan.notes")
    nail_positions = many(
        NailPositionShape,
        "Every nail located.",
        of=lambda a: list(_positions(a.plan)) if a.positions else None,
        absent="unless include names positions",
    )


def wall_answer(ask: WallAsk, plan: Plan, book: Book) -> Answered:
    """Answer a question about a wall, standing notes included."""
    advice = advise_wall(plan, book)
    bolts = advice.anchors
    of_bolts = settle(bolt_cautions(bolts, "/result/anchors", book), book) if bolts else ()
    anchors = AnchorageAnswer(bolts, tuple([c.code for c in of_bolts])) if bolts else None
    answer = WallAnswer(plan, advice, ask.positions, anchors, of_bolts)
    return Answered(answer, merge(_cautions(answer, book)), ask.assumptions)


def _cautions(answer: WallAnswer, book: Book) -> Iterator[Spoken]:
    """Point the cautions of a plan at their lines, a stop at the count that is null."""
    plan, advice = answer.plan, answer.advice
    yield from _of_lines(answer.lines)
    yield from answer.of_bolts
    nearer = {c.code for c in answer.of_bolts}
    for c in (c for c in advice.wall if c.code not in nearer):
        yield replace(c, applies_to=() if c.row.standing else _places(c.code, advice))
    links = [
        f"/result/load_path/{i}/uplift_plf"
        for i, link in enumerate(advice.path.links)
        if link.name != "sheathing" and link.status == ENGINEERING
    ]
    yield from settle(of_stop(past_uplift(advice.path, plan, book), tuple(links)), book)
    missing = tuple(f"/result/splice_plates/{i}/nail_count" for i in advice.tie_plates_missing)
    for c in settle(tie_plate_cautions(plan, advice.tie_plates_missing, plan.edition.edition_id), book):
        yield replace(c, applies_to=missing if c.severity == "stop" else ("/result/splice_plates",))


def _of_lines(lines: list[Line]) -> Iterator[Spoken]:
    """Say each reason once, with the joints it is of; a reason of the whole wall names none."""
    said: dict[tuple[str, str], list[int]] = {}
    for i, line in enumerate(lines):
        for c in line.advised.cautions:
            said.setdefault((c.code, c.applies_because), []).append(i)
    whole = sum(line.line.requirement.outcome not in NOT_JUDGED for line in lines)
    for (code, because), at in said.items():
        first = next(c for c in lines[at[0]].advised.cautions if (c.code, c.applies_because) == (code, because))
        joints = dict.fromkeys(lines[i].line.requirement.connection.connection_id for i in at)
        of_panels = all(isinstance(lines[i].line, PanelLine) for i in at)
        named = because if of_panels or len(at) >= whole else f"{', '.join(joints)}: {because}"
        field = "/nail_count" if first.severity == "stop" else ""
        yield replace(first, applies_because=named, applies_to=tuple([f"/result/connections/{i}{field}" for i in at]))


def _places(code: str, advice: WallAdvice) -> tuple[str, ...]:
    """Return where a caution of the whole wall points: what pulls up, at the links that do not hold it."""
    if code != "uplift_connector_needed":
        return ("/result",)
    return tuple([f"/result/load_path/{i}" for i, link in enumerate(advice.path.links) if link.status in (CONNECTOR, ENGINEERING)])


NOT_JUDGED = ("not_applicable", "no_data")


def panels_of(panels: PanelLine | None) -> list[CutPanel]:
    """Return the panels of a plan as cut, each with its nails."""
    if panels is None:
        return []
    in_row = panels.foot.counts if panels.foot else (0,) * len(panels.counts)
    return [CutPanel(p.rect, p.cut_outs, n, row) for p, n, row in zip(panels.cover.pieces, panels.counts, in_row, strict=True)]


def _positions(plan: Plan) -> Iterator[Any]:
    index = {id(m): i for i, m in enumerate(m for group in alike(plan) for m in group.members)}
    for line, s in locate(plan):
        yield FramingSpot(s.x, s.y, s.z, line.requirement.connection.connection_id, index[id(s.member)])
    if plan.panels:
        name = plan.panels.requirement.connection.connection_id
        for i, (x, z) in plan.panels.spots:
            yield PanelSpot(x, 0, z, name, i)
