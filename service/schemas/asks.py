"""What a question about a joint may say, and the domain question it becomes."""

from dataclasses import dataclass
from typing import Any

from marshmallow import fields

from service.domain.comparison import HEADER_PLIES
from service.domain.conditions import Conditions
from service.domain.nail import Nail
from service.domain.requirement import Question, Requirement
from service.domain.schedule import WIND_PANEL, Selectors, assumed_span_rating
from service.domain.site import Site
from service.errors import FasteningError, Fault
from service.schemas.common import BOOK, COATINGS, DEFAULTS, CommonSchema, NailSchema, assume, read_conditions, read_nail, read_site
from service.schemas.fields import Choice, Flag, Items, Length, Number, Text, Whole, load, with_twins
from service.tables.rows import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.ticks import inches, ticks

MOST_NAILS = 20
USUAL_STUD = "2x4"
USUAL_PANEL = ticks("0.4375")
USE_ROWS = "wood-panel-to-framing"


class JointSchema(CommonSchema):
    """What chooses a row of a joint, and what a total is counted over."""

    joint_count = Whole(1, 1_000_000, "Number of joints, for a total.")
    run_length_ft = Length("ft", 0.01, 100_000, "Length nailed [ft], for a total of spaced nails.")
    stud = Choice(BOOK.lumber, "Size of the stud or other piece whose face takes the nails: its depth is the room; 2x4 when left out.")
    braced_wall_panel = Flag("The joint is at a braced wall panel.")
    use = Choice(("wall", "roof", "floor"), "What the panel is for; wall when left out.")
    panel_thickness_in = Length("in", 0.1, 2, "Thickness of the panel [in]; required for panels.")
    stud_spacing_in = Length("in", 3, 48, "Spacing of the framing behind a panel [in]; 16 is assumed.")
    span_rating = Choice(BOOK.span_ratings, "Span rating stamped on the panel; assumed from the thickness.")
    material_between_in = Length("in", 0, 4, "Foam or gypsum between panel and stud [in]; 0 when left out.")
    spacer_in = Length("in", 0, 2, "Spacer between header plies [in]; 0 when left out.")
    roof_pitch_in_12 = Number(0, 24, "Roof pitch, rise in 12.")
    bottom_plate_on = Choice(("wood_floor", "concrete"), "What the bottom plate stands on.")
    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")


@with_twins
class RequirementSchema(JointSchema, NailSchema):
    """One joint and one nail."""

    connection_id = Choice(BOOK.connections, "The joint, as GET /v1/connections lists them.", required=True)


class _Joints(JointSchema):
    connection_id = Choice(BOOK.connections, "The joint, as GET /v1/connections lists them.")
    connection_ids = Items(
        Choice(BOOK.connections, "A joint."),
        len(BOOK.connections),
        "Several joints; the joints of a wall when left out, and its exterior panels where panel_thickness_in is sent.",
        1,
    )


@with_twins
class SubstitutionSchema(_Joints):
    """Joints and the nails on hand."""

    nails = Items(fields.Nested(NailSchema), MOST_NAILS, "The nails on hand.", 1, required=True)


@with_twins
class SubstitutionQuerySchema(_Joints):
    """Joints and the nails on hand, as query parameters."""

    nail_designation = Items(
        Text("Free text, as for a nail.", r"\S", 256),
        MOST_NAILS,
        "A nail on hand as free text; repeat it for more nails.",
        1,
        required=True,
    )


@with_twins
class UsesSchema(JointSchema):
    """Where a nail is to be used."""

    head_diameter_in = Length("in", 0.1, 1, "Diameter of the head [in], from the box.")
    head = Choice(("full_round", "clipped"), "Shape of the head.")
    coating = Choice(COATINGS, "Coating or metal.")
    group = Choice(("roof", "wall", "floor", "sheathing"), "Only joints of this group.")

    class Meta:
        """A nail's uses are counted per joint; a total belongs to a question of one joint."""

        exclude = ("joint_count", "run_length_ft", "run_length_m", "use", "braced_wall_panel")


REQUIREMENT, SUBSTITUTION, SUBSTITUTION_QUERY, USES = RequirementSchema(), SubstitutionSchema(), SubstitutionQuerySchema(), UsesSchema()
WALL_GROUP = tuple(c.connection_id for c in BOOK.connections.values() if c.group == "wall")


@dataclass(frozen=True, slots=True)
class JointAsk:
    """A joint question as understood."""

    question: Question
    conditions: Conditions
    joint_count: int | None
    run_length: int | None
    assumptions: tuple[tuple[str, Any], ...]


@dataclass(frozen=True, slots=True)
class SubstitutionAsk:
    """Joints times nails as understood: one tuple of questions for each joint."""

    joints: tuple[tuple[Question, ...], ...]
    conditions: Conditions
    joint_count: int | None
    run_length: int | None
    assumptions: tuple[tuple[str, Any], ...]


def read_joint(raw: Any) -> JointAsk:
    """Check and understand a joint question.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(REQUIREMENT, raw)
    faults: list[Fault] = []
    assumed = assume(got, DEFAULTS)
    nail = read_nail(got, (), faults)
    site = read_site(got, assumed, faults)
    _check_joints(got, (got["connection_id"],), assumed, faults)
    if faults or nail is None:
        raise FasteningError(*faults)
    question = _question(got, got["connection_id"], nail, site)
    return JointAsk(question, read_conditions(got, assumed), got.get("joint_count"), got.get("run_length"), tuple(assumed))


def read_substitution(raw: Any, by_query: bool) -> SubstitutionAsk:
    """Check and understand a question about joints and nails on hand, as a query or as a body.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(SUBSTITUTION_QUERY if by_query else SUBSTITUTION, raw)
    faults: list[Fault] = []
    assumed = assume(got, DEFAULTS)
    named = [({"nail_designation": text}, ("nail_designation", i)) for i, text in enumerate(got.get("nail_designation", ()))]
    boxed = [(box, ("nails", i)) for i, box in enumerate(got.get("nails", ()))]
    nails = [read_nail(box, path, faults) for box, path in named or boxed]
    site = read_site(got, assumed, faults)
    ids = _joint_ids(got, assumed, faults)
    _check_joints(got, ids, assumed, faults)
    if faults:
        raise FasteningError(*faults)
    once = tuple(dict.fromkeys(n for n in nails if n))
    return SubstitutionAsk(
        tuple(tuple(_question(got, c, n, site) for n in once) for c in ids),
        read_conditions(got, assumed),
        got.get("joint_count"),
        got.get("run_length"),
        tuple(assumed),
    )


def read_uses(raw: Any, nail_id: str) -> SubstitutionAsk:
    """Check and understand where a nail of known id is to be used: every joint of an edition, each way it can be asked.

    Raises
    ------
    FasteningError
        All faults of the fields.
    """
    got = load(USES, raw)
    faults: list[Fault] = []
    assumed = assume(got, DEFAULTS)
    nail = read_nail({**{k: got[k] for k in ("head_diameter", "head", "coating") if k in got}, "nail_id": nail_id}, (), faults)
    ids = tuple(name for name, c in BOOK.connections.items() if got.get("group") in (None, c.group))
    if "panel_thickness" not in got and any(BOOK.connections[c].panel for c in ids):
        assumed.append(("panel_thickness_in", inches(USUAL_PANEL)))
        got["panel_thickness"] = USUAL_PANEL
    site = read_site(got, assumed, faults)
    _check_joints(got, ids, assumed, faults, every_use=True)
    if faults or nail is None:
        raise FasteningError(*faults)
    edition = BOOK.editions[got.get("code_edition", DEFAULTS["code_edition"])]
    joints = []
    for name in ids:
        rows = {bool(r.braced) for r in edition.rows.get(name, ())} or {False}
        for use in ("wall", "roof", "floor") if name == USE_ROWS else ("wall",):
            braced = {False, True} if name in (USE_ROWS, WIND_PANEL) and use == "wall" else rows
            joints += [(_question({**got, "braced_wall_panel": b, "use": use}, name, nail, site),) for b in sorted(braced)]
    return SubstitutionAsk(tuple(joints), read_conditions(got, assumed), None, None, tuple(assumed))


def _joint_ids(got: dict[str, Any], assumed: list[tuple[str, Any]], faults: list[Fault]) -> tuple[str, ...]:
    if "connection_id" in got and "connection_ids" in got:
        faults.append(Fault("conflicting_fields", "send connection_id or connection_ids, not both", ("connection_ids",)))
    if "connection_id" in got:
        return (got["connection_id"],)
    if "connection_ids" in got:
        return tuple(dict.fromkeys(got["connection_ids"]))
    usual = (*WALL_GROUP, WIND_PANEL) if "panel_thickness" in got else WALL_GROUP
    assumed.append(("connection_ids", list(usual)))
    return usual


def _check_joints(
    got: dict[str, Any], ids: tuple[str, ...], assumed: list[tuple[str, Any]], faults: list[Fault], every_use: bool = False
) -> None:
    """Ask for what the joints need, and say what is assumed for them."""
    thickness = got.get("panel_thickness")
    panels = [c for c in ids if BOOK.connections[c].panel]
    if len(panels) < len(ids) and "stud" not in got:
        assumed.append(("stud", USUAL_STUD))
    rows = BOOK.editions[got.get("code_edition", DEFAULTS["code_edition"])].rows
    if "braced_wall_panel" not in got and not every_use and any(r.braced is not None for c in ids for r in rows.get(c, ())):
        assumed.append(("braced_wall_panel", False))
    if HEADER_PLIES in ids and not panels and got.get("material_between"):
        faults.append(Fault("conflicting_fields", "is of panels; what lies between header plies is spacer_in", ("material_between_in",)))
    if panels and HEADER_PLIES not in ids and got.get("spacer"):
        faults.append(Fault("conflicting_fields", "is of header plies; what lies behind a panel is material_between_in", ("spacer_in",)))
    if HEADER_PLIES in ids and "spacer" not in got:
        assumed.append(("spacer_in", 0))
    if not panels:
        return
    if "material_between" not in got:
        assumed.append(("material_between_in", 0))
    if thickness is None:
        faults.append(Fault("missing_field", f"is required for {panels[0]}", ("panel_thickness_in",)))
    if "stud_spacing" not in got:
        assumed.append(("stud_spacing_in", 16))
    rating = assumed_span_rating(thickness, BOOK) if thickness else None
    if WIND_PANEL in panels and "span_rating" not in got and rating:
        assumed.append(("span_rating", rating))
    if USE_ROWS in panels and "use" not in got and not every_use:
        assumed.append(("use", "wall"))


def _question(got: dict[str, Any], connection_id: str, nail: Nail, site: Site) -> Question:
    panel = BOOK.connections[connection_id].panel
    return Question(
        edition_id=got.get("code_edition", DEFAULTS["code_edition"]),
        connection_id=connection_id,
        nail=nail,
        site=site,
        selectors=Selectors(
            braced=got.get("braced_wall_panel", False),
            use=got.get("use", "wall"),
            panel_thickness=got.get("panel_thickness") if panel else None,
            stud_spacing=got.get("stud_spacing", ticks(16)) if panel else None,
            span_rating=got.get("span_rating") if panel else None,
            material_between=got.get("material_between" if panel else "spacer", 0) if panel or connection_id == HEADER_PLIES else 0,
        ),
        species=got.get("species", DEFAULTS["species"]),
        fire_rated=got.get("fire_rated", False),
        on_concrete=got.get("bottom_plate_on") == "concrete",
        face=BOOK.lumber[got.get("stud", USUAL_STUD)].depth,
    )


def check_total(ask: JointAsk, requirement: Requirement) -> None:
    """Refuse a total that the row does not count by.

    Raises
    ------
    FasteningError
        `conflicting_fields`.
    """
    fault = _miscounted(requirement.counted_as, ask.joint_count, ask.run_length)
    if fault:
        raise FasteningError(fault)


def check_totals(ask: SubstitutionAsk, requirements: list[Requirement]) -> None:
    """Refuse a total that none of several rows counts by.

    Raises
    ------
    FasteningError
        `conflicting_fields`.
    """
    kinds = [r.counted_as for r in requirements if r.counted_as]
    for joints, run in ((ask.joint_count, None), (None, ask.run_length)):
        faults = [_miscounted(kind, joints, run) for kind in kinds]
        if faults and all(faults):
            raise FasteningError(*{f.path: f for f in faults if f}.values())


def _miscounted(kind: Nailing | None, joint_count: int | None, run_length: int | None) -> Fault | None:
    match kind:
        case PerJoint() if run_length is not None:
            return Fault("conflicting_fields", "this connection is counted per joint: send joint_count", ("run_length_ft",))
        case OnCenter() | Grouped() if joint_count is not None:
            return Fault("conflicting_fields", "this connection is spaced along a length: send run_length_ft", ("joint_count",))
        case Panel() if joint_count is not None or run_length is not None:
            field = "joint_count" if joint_count is not None else "run_length_ft"
            return Fault("conflicting_fields", "panels are nailed by edge and field spacing and have no total here", (field,))
    return None
