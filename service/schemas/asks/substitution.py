"""What a question about joints and nails on hand may say, and the domain questions it becomes."""

from dataclasses import dataclass, replace
from typing import Any, ClassVar

from service.domain.conditions import Conditions
from service.domain.joint.requirement import Question, Requirement
from service.domain.nails.nail import Nail
from service.domain.wall.plan import Order
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, NailSchema, joint_words, read_conditions, read_nail, read_site
from service.schemas.asks.joint import JointSchema, check_joints, joint_question, miscounted
from service.schemas.asks.wall import WALL_PLAN, WallAsk, WallSchema, read_wall
from service.schemas.fields import Choice, Inner, Items, Length, Text
from service.schemas.loading import fill, load
from service.schemas.twins import with_twins
from service.tables.book import Book
from service.tables.joints import ConnectionRow
from service.tables.trade import COATINGS
from service.ticks import inches, ticks

MOST_NAILS = 20
USUAL_PANEL = ticks("0.4375")


class _Joints(JointSchema):
    connection_id = Choice(BOOK.connections, "The joint, as GET /v1/connections lists them.", at="/v1/connections", also=joint_words)
    connection_ids = Items(
        Choice(BOOK.connections, "A joint.", at="/v1/connections", also=joint_words),
        len(BOOK.connections),
        "Several joints; the joints of a wall when left out, and its exterior panels where panel_thickness_in is sent.",
        1,
    )


@with_twins
class SubstitutionSchema(_Joints):
    """Joints and the nails on hand."""

    example: ClassVar[Any] = {"connection_id": "stud-to-plate-end-nail", "nails": [{"nail_designation": "3 x 0.131"}]}
    wall = Inner(
        WallSchema,
        "A whole wall, as in a wall plan: its joints, counts, spacing, stud and panels follow from it. Instead of connection_ids.",
    )
    nails = Items(Inner(NailSchema, "A nail on hand."), MOST_NAILS, "The nails on hand.", 1, required=True)


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
    elsewhere = dict.fromkeys(("wall", "nails"), "is no parameter; send it in the JSON body of a POST")


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


SUBSTITUTION, SUBSTITUTION_QUERY, USES = SubstitutionSchema(), SubstitutionQuerySchema(), UsesSchema()
OF_JOINTS = set(SUBSTITUTION.fields) - set(WALL_PLAN.fields) - {"nails"}
"""Fields of a question about joints that a whole wall answers itself."""
OF_BOX = ("framing_nail", "sheathing_nail")
WALL_GROUP = tuple(c.connection_id for c in BOOK.connections.values() if c.group == "wall")
WIND_PANELS = tuple(c.connection_id for c in BOOK.connections.values() if c.wind_panel)


@dataclass(frozen=True, slots=True)
class SubstitutionAsk:
    """Joints times nails as understood: one tuple of questions for each joint."""

    joints: tuple[tuple[Question, ...], ...]
    conditions: Conditions
    joint_count: int | None
    run_length: int | None
    assumptions: tuple[tuple[str, Any], ...]


def read_substitution(raw: Any, by_query: bool, book: Book) -> SubstitutionAsk:
    """Check and understand a question about joints and nails on hand, as a query or as a body.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    schema = SUBSTITUTION_QUERY if by_query else SUBSTITUTION
    got = load(schema, raw)
    faults: list[Fault] = []
    assumed = fill(got, schema)
    named = [({"nail_designation": text}, text, ("nail_designation", i)) for i, text in enumerate(got.get("nail_designation", ()))]
    boxed = [(box, raw["nails"][i], ("nails", i)) for i, box in enumerate(got.get("nails", ()))]
    nails = [read_nail(box, sent, path, assumed, faults, book) for box, sent, path in named or boxed]
    site = read_site(got, assumed, faults, book)
    ids = _joint_ids(got, assumed, faults)
    check_joints(got, ids, assumed, faults, book)
    if faults:
        raise FasteningError(*faults)
    once = tuple(dict.fromkeys(n for n in nails if n))
    return SubstitutionAsk(
        tuple(tuple(joint_question(got, c, n, site, book) for n in once) for c in ids),
        read_conditions(got, assumed),
        got.get("joint_count"),
        got.get("run_length"),
        tuple(assumed),
    )


@dataclass(frozen=True, slots=True)
class BoxesAsk:
    """A wall and the nails on hand as understood; the order takes the first nail for all."""

    order: Order
    nails: tuple[Nail, ...]
    assumptions: tuple[tuple[str, Any], ...]


def read_boxes(raw: Any, book: Book) -> BoxesAsk:
    """Check and understand a question about a whole wall and nails on hand: a wall plan of the first nail, and the others.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(SUBSTITUTION, raw)
    faults = [
        Fault("conflicting_fields", "is of questions about joints; leave it out where a wall is sent", (name,))
        for name in raw
        if name in OF_JOINTS
    ]
    readings: list[tuple[str, Any]] = []
    nails = [read_nail(box, raw["nails"][i], ("nails", i), readings, faults, book) for i, box in enumerate(got["nails"])]
    ask, wrong = wall_of_box(raw, raw["wall"], raw["nails"][0], book)
    faults += wrong
    if faults or ask is None:
        raise FasteningError(*faults)
    return BoxesAsk(ask.order, tuple(dict.fromkeys(n for n in nails if n)), (*readings, *ask.assumptions))


def wall_of_box(raw: dict[str, Any], wall: dict[str, Any], box: dict[str, Any], book: Book) -> tuple[WallAsk | None, list[Fault]]:
    """Return the plan of a wall that is nailed with one nail on hand, or what is wrong with it; of the nail the caller says both."""
    sheathed = {"sheathing_nail": box} if wall.get("sheathing") else {}
    common = {name: value for name, value in raw.items() if name in WALL_PLAN.fields}
    try:
        ask = read_wall({**common, "wall": wall, "framing_nail": box, **sheathed}, book)
    except FasteningError as error:
        return None, [f for f in error.faults if f.path[0] not in OF_BOX]
    return replace(ask, assumptions=tuple(a for a in ask.assumptions if a[0].split(".")[0] not in OF_BOX)), []


def read_uses(raw: Any, nail_id: str, book: Book) -> SubstitutionAsk:
    """Check and understand where a nail of known id is to be used: every joint of an edition, each way it can be asked.

    Raises
    ------
    FasteningError
        All faults of the fields.
    """
    got = load(USES, raw)
    faults: list[Fault] = []
    assumed = fill(got, USES)
    nail = read_nail(
        {**{k: got[k] for k in ("head_diameter", "head", "coating") if k in got}, "nail_id": nail_id}, raw, (), assumed, faults, book
    )
    ids = tuple(name for name, c in book.connections.items() if got.get("group") in (None, c.group))
    if "panel_thickness" not in got and any(book.connections[c].panel for c in ids):
        assumed.append(("panel_thickness_in", inches(USUAL_PANEL)))
        got["panel_thickness"] = USUAL_PANEL
    site = read_site(got, assumed, faults, book)
    check_joints(got, ids, assumed, faults, book, every_use=True)
    if faults or nail is None:
        raise FasteningError(*faults)
    edition = book.editions[got["code_edition"]]
    joints = []
    for name in ids:
        rows = {bool(r.braced) for r in edition.rows.get(name, ())} or {False}
        for use in ("wall", "roof", "floor") if book.connections[name].by_use else ("wall",):
            braced = {False, True} if _braced_or_not(book.connections[name]) and use == "wall" else rows
            joints += [(joint_question({**got, "braced_wall_panel": b, "use": use}, name, nail, site, book),) for b in sorted(braced)]
    return SubstitutionAsk(tuple(joints), read_conditions(got, assumed), None, None, tuple(assumed))


def _braced_or_not(connection: ConnectionRow) -> bool:
    """Whether a joint is asked both in and out of a braced wall though its rows do not tell the two apart: wall panels, where what is not listed is judged otherwise there."""
    return connection.by_use or connection.wind_panel


def _joint_ids(got: dict[str, Any], assumed: list[tuple[str, Any]], faults: list[Fault]) -> tuple[str, ...]:
    if "connection_id" in got and "connection_ids" in got:
        faults.append(Fault("conflicting_fields", "send connection_id or connection_ids, not both", ("connection_ids",)))
    if "connection_id" in got:
        return (got["connection_id"],)
    if "connection_ids" in got:
        return tuple(dict.fromkeys(got["connection_ids"]))
    usual = (*WALL_GROUP, *WIND_PANELS) if "panel_thickness" in got else WALL_GROUP
    assumed.append(("connection_ids", list(usual)))
    return usual


def check_totals(ask: SubstitutionAsk, requirements: list[Requirement]) -> None:
    """Refuse a total that none of several rows counts by.

    Raises
    ------
    FasteningError
        `conflicting_fields`.
    """
    kinds = [r.counted_as for r in requirements if r.counted_as]
    for joints, run in ((ask.joint_count, None), (None, ask.run_length)):
        faults = [miscounted(kind, joints, run) for kind in kinds]
        if faults and all(faults):
            raise FasteningError(*{f.path: f for f in faults if f}.values())
