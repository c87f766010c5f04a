"""What a question about a joint may say, and the domain question it becomes."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, ClassVar

from service.domain.conditions import Conditions
from service.domain.joint.page import by_bracing
from service.domain.joint.requirement import Question, Requirement
from service.domain.joint.schedule import Selectors, assumed_span_rating
from service.domain.nails.nail import Nail
from service.domain.site import Site
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, CommonSchema, NailSchema, joint_words, read_conditions, read_nail, read_site
from service.schemas.fields import Choice, Flag, Length, Whole
from service.schemas.hints import base_of
from service.schemas.loading import fill, load
from service.schemas.twins import Twinned, with_twins
from service.tables.book import Book
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.ticks import ticks

USUAL_STUD = "2x4"
BETWEEN = {"foam": "material_between", "spacer": "spacer"}
"""The field that says how thick it is what lies between the pieces."""
PANEL_FIELDS = ("panel_thickness", "stud_spacing", "span_rating", "use")
"""Fields that choose the row of a panel alone; without units."""


class TotalSchema(Twinned):
    """What a total of nails is counted over."""

    joint_count = Whole(
        1,
        1_000_000,
        "Number of joints, for a total: of what the number is said to be each of, such as each end, each lap, or each side of the end joint of a splice.",
    )
    run_length_ft = Length("ft", 0.01, 100_000, "Length nailed [ft], for a total of spaced nails.")


class RowSchema(Twinned):
    """What chooses a row of a joint, and what room it has."""

    stud = Choice(BOOK.lumber, "Size of the stud or other piece whose face takes the nails: its depth is the room; 2x4 when left out.")
    braced_wall_panel = Flag("The joint is at a braced wall panel.")
    use = Choice(("wall", "roof", "floor"), "What the panel is for; wall when left out.")
    panel_thickness_in = Length("in", 0.1, 2, "Thickness of the panel [in]; required for panels.")
    stud_spacing_in = Length("in", 3, 48, "Spacing of the framing behind a panel [in]; 16 is assumed.")
    span_rating = Choice(BOOK.span_ratings, "Span rating stamped on the panel; assumed from the thickness.")
    material_between_in = Length("in", 0, 4, "Foam or gypsum between panel and stud [in]; 0 when left out.")
    spacer_in = Length("in", 0, 2, "Spacer between header plies [in]; 0 when left out.")
    bottom_plate_on = Choice(("wood_floor", "concrete"), "What the bottom plate stands on.")


class JointSchema(RowSchema, TotalSchema, CommonSchema):
    """A joint under the conditions of some work."""

    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")


@with_twins
class RequirementSchema(JointSchema, NailSchema):
    """One joint and one nail."""

    example: ClassVar[Any] = {"connection_id": "stud-to-plate-end-nail", "nail_designation": "3 x 0.131", "joint_count": 38}
    connection_id = Choice(
        BOOK.connections, "The joint, as GET /v1/connections lists them.", required=True, at="/v1/connections", also=joint_words
    )


REQUIREMENT = RequirementSchema()


@dataclass(frozen=True, slots=True)
class JointAsk:
    """A joint question as understood."""

    question: Question
    conditions: Conditions
    joint_count: int | None
    run_length: int | None
    assumptions: tuple[tuple[str, Any], ...]
    notes: tuple[str, ...] = ()


def read_joint(raw: Any, book: Book) -> JointAsk:
    """Check and understand a joint question.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(REQUIREMENT, raw)
    faults: list[Fault] = []
    assumed = fill(got, REQUIREMENT)
    nail = read_nail(got, raw, (), assumed, faults, book)
    site = read_site(got, assumed, faults, book)
    check_joints(got, (got["connection_id"],), assumed, faults, book)
    if faults or nail is None:
        raise FasteningError(*faults)
    question = joint_question(got, got["connection_id"], nail, site, book)
    notes = tuple(idle_fields(raw, got["connection_id"], got["code_edition"], book))
    return JointAsk(question, read_conditions(got, assumed), got.get("joint_count"), got.get("run_length"), tuple(assumed), notes)


def idle_fields(raw: dict[str, Any], connection_id: str, edition_id: str, book: Book) -> Iterator[str]:
    """Say which fields were sent that do nothing for a joint."""
    joint = book.connections[connection_id]
    idle = (
        (PANEL_FIELDS, not joint.panel, "of panels"),
        (("material_between",), not joint.panel and joint.between != "spacer", "of panels"),
        (("spacer",), not joint.panel and joint.between != "spacer", "of header plies"),
        (("braced_wall_panel",), not by_bracing(joint, book.editions[edition_id]), "of joints whose row differs by it"),
    )
    for names, does_nothing, of in idle:
        sent = [name for name in raw if does_nothing and base_of(name) in names]
        if sent:
            yield f"{', '.join(sent)}: {of}; does nothing for this joint"


def check_joints(
    got: dict[str, Any], ids: tuple[str, ...], assumed: list[tuple[str, Any]], faults: list[Fault], book: Book, every_use: bool = False
) -> None:
    """Ask for what the joints need, and say what is assumed for them."""
    thickness = got.get("panel_thickness")
    panels = [c for c in ids if book.connections[c].panel]
    if len(panels) < len(ids) and "stud" not in got:
        assumed.append(("stud", USUAL_STUD))
    edition = book.editions[got["code_edition"]]
    if "braced_wall_panel" not in got and not every_use and any(by_bracing(book.connections[c], edition) for c in ids):
        assumed.append(("braced_wall_panel", False))
    spaced = any(book.connections[c].between == "spacer" for c in ids)
    if spaced and not panels and got.get("material_between"):
        faults.append(Fault("conflicting_fields", "is of panels; what lies between header plies is spacer_in", ("material_between_in",)))
    if panels and not spaced and got.get("spacer"):
        faults.append(Fault("conflicting_fields", "is of header plies; what lies behind a panel is material_between_in", ("spacer_in",)))
    if spaced and "spacer" not in got:
        assumed.append(("spacer_in", 0))
    if not panels:
        return
    if "material_between" not in got:
        assumed.append(("material_between_in", 0))
    if thickness is None:
        faults.append(Fault("missing_field", f"is required for {panels[0]}", ("panel_thickness_in",)))
    if "stud_spacing" not in got:
        assumed.append(("stud_spacing_in", 16))
    rating = assumed_span_rating(thickness, book) if thickness else None
    if any(book.connections[c].wind_panel for c in panels) and "span_rating" not in got and rating:
        assumed.append(("span_rating", rating))
    if any(book.connections[c].by_use for c in panels) and "use" not in got and not every_use:
        assumed.append(("use", "wall"))


def joint_question(got: dict[str, Any], connection_id: str, nail: Nail, site: Site, book: Book) -> Question:
    """Return the question of one joint and one nail from the fields understood."""
    connection = book.connections[connection_id]
    panel = connection.panel
    return Question(
        edition_id=got["code_edition"],
        connection_id=connection_id,
        nail=nail,
        site=site,
        selectors=Selectors(
            braced=got.get("braced_wall_panel", False),
            use=got.get("use", "wall"),
            panel_thickness=got.get("panel_thickness") if panel else None,
            stud_spacing=got.get("stud_spacing", ticks(16)) if panel else None,
            span_rating=got.get("span_rating") if panel else None,
            material_between=got.get(BETWEEN[connection.between], 0) if connection.between else 0,
        ),
        species=got["species"],
        fire_rated=got.get("fire_rated", False),
        on_concrete=got.get("bottom_plate_on") == "concrete",
        face=book.lumber[got.get("stud", USUAL_STUD)].depth,
    )


def check_total(ask: JointAsk, requirement: Requirement) -> None:
    """Refuse a total that the row does not count by.

    Raises
    ------
    FasteningError
        `conflicting_fields`.
    """
    fault = miscounted(requirement.counted_as, ask.joint_count, ask.run_length)
    if fault:
        raise FasteningError(fault)


def miscounted(kind: Nailing | None, joint_count: int | None, run_length: int | None) -> Fault | None:
    """Return the fault of a total that a joint counted as `kind` cannot take."""
    match kind:
        case PerJoint() if run_length is not None:
            return Fault("conflicting_fields", "this connection is counted per joint: send joint_count", ("run_length_ft",))
        case OnCenter() | Grouped() if joint_count is not None:
            return Fault("conflicting_fields", "this connection is spaced along a length: send run_length_ft", ("joint_count",))
        case Panel() if joint_count is not None or run_length is not None:
            field = "joint_count" if joint_count is not None else "run_length_ft"
            return Fault("conflicting_fields", "panels are nailed by edge and field spacing and have no total here", (field,))
    return None
