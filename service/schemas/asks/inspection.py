"""What an inspection may say, and the observations it becomes."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from service.domain.conditions import Conditions
from service.domain.inspection.observed import Heads, Observation, Sheets
from service.domain.joint.requirement import Question, judge
from service.domain.site import Site
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, CommonSchema, NailSchema, joint_words, read_conditions, read_nail, read_site
from service.schemas.asks.joint import RowSchema, TotalSchema, check_joints, idle_fields, joint_question
from service.schemas.fields import Choice, Flag, Inner, Items, Length, Text, Whole
from service.schemas.loading import fill, load
from service.schemas.twins import with_twins
from service.tables.book import Book
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.ticks import ticks

MOST_OBSERVATIONS = 200
SHEET = {"panel_width": 48, "panel_length": 96}
"""A full panel where nothing is said [in]."""
HEADS = ("inspected_nail_count", "overdriven_over_1_16_count", "overdriven_over_1_8_count")
EDGE_AND_FIELD = ("found_edge_spacing", "found_field_spacing")
FIELDS = {name: name + "_in" for name in ("found_spacing", *EDGE_AND_FIELD, *SHEET)} | {"run_length": "run_length_ft"}
"""What is said of a length in ticks, as it is sent."""


@dataclass(frozen=True, slots=True)
class Way:
    """How what is found in a joint is said: in which fields, and over what it is counted in all."""

    kind: str
    found: tuple[str, ...]
    total: tuple[str, ...]


WAYS: dict[type, Way] = {
    PerJoint: Way("is counted per joint", ("found_nail_count",), ("joint_count",)),
    Grouped: Way("is nailed in groups", ("found_nail_count",), ("run_length",)),
    OnCenter: Way("is spaced along a length", ("found_spacing",), ("run_length",)),
    Panel: Way("is nailed along edges and in the field", EDGE_AND_FIELD, ("panel_count", *SHEET)),
}
FOUND = ("found_nail_count", "found_spacing", *EDGE_AND_FIELD)
TOTALS = ("joint_count", "run_length", "panel_count", *SHEET)


@with_twins
class ObservationSchema(RowSchema, TotalSchema, NailSchema):
    """One joint as found: its nail, how many or how far apart, and how deep their heads stand."""

    example: ClassVar[Any] = {
        "id": "n1",
        "connection_id": "stud-to-plate-end-nail",
        "nail_designation": "3 x 0.131",
        "joint_count": 38,
        "found_nail_count": 2,
    }
    id = Text("Your name for the observation.", r"^[A-Za-z0-9._-]{1,64}$", 64, required=True)
    connection_id = Choice(
        BOOK.connections, "The joint, as GET /v1/connections lists them.", required=True, at="/v1/connections", also=joint_words
    )
    panel_count = Whole(1, 100_000, "Number of full panels, for a total.")
    panel_width_in = Length("in", 12, 120, "Width of a full panel across its framing [in]; 48 is assumed for a total.")
    panel_length_in = Length("in", 12, 288, "Length of a full panel along its framing [in]; 96 is assumed for a total.")
    found_nail_count = Whole(0, 1000, "Nails found in each joint, or in each group: the least seen.")
    found_spacing_in = Length("in", 0.25, 1200, "Spacing found along each row [in]: the widest seen.")
    found_edge_spacing_in = Length("in", 0.25, 288, "Spacing found along panel edges [in]: the widest seen.")
    found_field_spacing_in = Length("in", 0.25, 288, "Spacing found in the field of panels [in]: the widest seen.")
    inspected_nail_count = Whole(1, 1_000_000, "Perimeter nails of panels whose heads were looked at; comes with both counts of deep ones.")
    overdriven_over_1_16_count = Whole(0, 1_000_000, "Those among them with heads over 1/16 in under the face, those over 1/8 in too.")
    overdriven_over_1_8_count = Whole(0, 1_000_000, "Those among them with heads over 1/8 in under the face.")


@with_twins
class InspectionSchema(CommonSchema):
    """Joints as an inspector found them."""

    observations = Items(Inner(ObservationSchema, "One joint as found."), MOST_OBSERVATIONS, "What was found.", 1, required=True)
    may_hold_services = Flag("Wires or pipes may stand in the walls already.", usual=True)
    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")


INSPECTION = InspectionSchema()
Assumed = list[tuple[str, Any]]


@dataclass(frozen=True, slots=True)
class Seen:
    """An observation under its name, with the conditions of the work and what was sent that does nothing."""

    name: str
    observation: Observation
    conditions: Conditions
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class InspectionAsk:
    """An inspection as understood."""

    seen: tuple[Seen, ...]
    assumptions: tuple[tuple[str, Any], ...]


def read_inspection(raw: Any, book: Book) -> InspectionAsk:
    """Check and understand an inspection.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(INSPECTION, raw)
    faults: list[Fault] = []
    assumed = fill(got, INSPECTION)
    site = read_site(got, assumed, faults, book)
    faults += _named_twice([o["id"] for o in got["observations"]])
    if faults:
        raise FasteningError(*faults)
    seen = [_read(i, got, raw["observations"][i], site, assumed, faults, book) for i in range(len(got["observations"]))]
    if faults:
        raise FasteningError(*faults)
    return InspectionAsk(tuple(s for s in seen if s), tuple(assumed))


def _read(i: int, got: dict[str, Any], raw: dict[str, Any], site: Site, assumed: Assumed, faults: list[Fault], book: Book) -> Seen | None:
    """Return one observation; what is wrong with it goes to `faults`, what is assumed for it alone to `assumed`."""
    own, wrong = list[tuple[str, Any]](), list[Fault]()
    ask = {**got, **got["observations"][i]}
    nail = read_nail(ask, raw, (), own, wrong, book)
    check_joints(ask, (ask["connection_id"],), own, wrong, book)
    wrong += _head_faults(ask, book.connections[ask["connection_id"]].panel)
    if nail is None or wrong:
        faults += [f.under("observations", i) for f in wrong]
        return None
    question = joint_question(ask, ask["connection_id"], nail, site, book)
    kind = judge(question, book).counted_as
    wrong += _found_faults(ask, kind)
    faults += [f.under("observations", i) for f in wrong]
    if wrong:
        return None
    if "panel_count" in ask:
        own += [(FIELDS[name], usual) for name, usual in SHEET.items() if name not in ask]
    assumed += [(f"observations.{i}.{name}", value) for name, value in own]
    conditions = read_conditions(ask, [*assumed])  # concrete below one joint says nothing of the wood of the others
    observation = replace(_observation(ask, question, kind), assumed=tuple(name for name, _ in own))
    return Seen(ask["id"], observation, conditions, tuple(_idle(ask, raw, book)))


def _idle(ask: dict[str, Any], raw: dict[str, Any], book: Book) -> Iterator[str]:
    """Say which fields were sent that do nothing for the joint."""
    yield from idle_fields(raw, ask["connection_id"], ask["code_edition"], book)
    sizes = [FIELDS[name] for name in SHEET if name in ask and "panel_count" not in ask]
    if sizes:
        yield f"{', '.join(sizes)}: for the total of panel_count; does nothing without it"


def _observation(ask: dict[str, Any], question: Question, kind: Nailing | None) -> Observation:
    return Observation(
        question,
        _found(ask, kind),
        joint_count=ask.get("joint_count"),
        run_length=ask.get("run_length"),
        sheets=_sheets(ask, question),
        heads=Heads(*(ask[name] for name in HEADS)) if HEADS[0] in ask else None,
        moisture=ask["moisture"],
        may_hold_services=ask["may_hold_services"],
    )


def _found(ask: dict[str, Any], kind: Nailing | None) -> Nailing | None:
    """Return what was found, counted as the joint is."""
    match kind:
        case PerJoint() | Grouped():
            return replace(kind, count=ask["found_nail_count"])
        case OnCenter():
            return replace(kind, spacing=ask["found_spacing"])
        case Panel():
            return Panel(*(ask[name] for name in EDGE_AND_FIELD))
    return None


def _sheets(ask: dict[str, Any], question: Question) -> Sheets | None:
    spacing = question.selectors.stud_spacing
    if "panel_count" not in ask or spacing is None:
        return None
    width, length = (ask.get(name, ticks(usual)) for name, usual in SHEET.items())
    return Sheets(ask["panel_count"], width, length, spacing)


def _found_faults(ask: dict[str, Any], kind: Nailing | None) -> Iterator[Fault]:
    """Say which fields the joint is not counted by, and which are missing."""
    if kind is None:
        return
    way = WAYS[type(kind)]
    send = " and ".join(_sent(name) for name in way.found)
    for name in FOUND:
        if name in ask and name not in way.found:
            yield Fault("conflicting_fields", f"this joint {way.kind}: send {send}", (_sent(name),))
    for name in way.found:
        if name not in ask:
            yield Fault("missing_field", f"is required: this joint {way.kind}", (_sent(name),))
    for name in TOTALS:
        if name in ask and name not in way.total:
            said = f"this joint {way.kind}: a total is counted over {_sent(way.total[0])}"
            yield Fault("conflicting_fields", said, (_sent(name),))


def _head_faults(ask: dict[str, Any], panel: bool) -> Iterator[Fault]:
    """Say which counts of heads are missing, go with no panel, or are more than they can be."""
    sent = [name for name in HEADS if name in ask]
    if sent and not panel:
        yield Fault("conflicting_fields", "is of the perimeter nails of panels", (sent[0],))
    elif sent and len(sent) < len(HEADS):
        lacking = [name for name in HEADS if name not in ask]
        yield from (Fault("missing_field", f"is required beside {sent[0]}; send 0 where none was found", (name,)) for name in lacking)
    elif sent:
        for more, fewer in zip(HEADS[1:], HEADS[:-1], strict=True):
            if ask[more] > ask[fewer]:
                facts = {"limit": ask[fewer], "received": ask[more]}
                yield Fault("out_of_range", f"must be at most {fewer}, {ask[fewer]}", (more,), facts)


def _named_twice(names: list[str]) -> Iterator[Fault]:
    seen = set[str]()
    for i, name in enumerate(names):
        if name in seen:
            yield Fault("duplicate_id", f"the id {name!r} stands twice", ("observations", i, "id"))
        seen.add(name)


def _sent(name: str) -> str:
    return FIELDS.get(name, name)
