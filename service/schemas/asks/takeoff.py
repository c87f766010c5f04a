"""What a take-off may say: what its walls and loose joints share, and these one by one."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, ClassVar

from service.domain.takeoff.nail_choice import OnHand
from service.domain.takeoff.purchase import Shopping
from service.errors import FasteningError, Fault
from service.schemas.asks.batch import BESIDE, ITEM_ID, MOST_ITEMS
from service.schemas.asks.common import CommonSchema, NailSchema, read_nail, read_site
from service.schemas.asks.joint import REQUIREMENT, JointAsk, JointSchema, RequirementSchema, read_joint
from service.schemas.asks.purchase import OnHandSchema, PurchaseSchema, mixed_currencies, read_on_hand, read_purchase
from service.schemas.asks.wall import WALL_PLAN, WallAsk, WallItemSchema, read_wall
from service.schemas.fields import ONE_LINE, Choice, Inner, Items, Named, Strict, Text, Whole
from service.schemas.loading import fill, load, unknown_field
from service.schemas.twins import with_twins
from service.tables.book import Book

MOST_TIMES = 1000
MOST_ON_HAND = 10


def _text(about: str) -> Text:
    return Text(about, ONE_LINE, 64)


class TakeoffWallSchema(WallItemSchema):
    """A wall of the take-off: what is shared may be left out."""

    id = Text("Name of the wall, once in the take-off.", ITEM_ID.metadata["pattern"], 64, required=True)
    count = Whole(1, MOST_TIMES, "How many equal walls are built; 1 when left out.")
    label = _text("What people call the wall.")
    level = _text("The story or part of the building.")


class TakeoffJointSchema(RequirementSchema):
    """Joints outside the walls: floors, roofs. The nail may be left out: then that of `connection_nails`, else `framing_nail`."""

    id = Text("Name of the joints, once in the take-off.", ITEM_ID.metadata["pattern"], 64)
    label = _text("What people call them.")
    level = _text("The story or part of the building.")


WALL_HEAD, JOINT_HEAD = ("id", "count", "label", "level"), ("id", "label", "level")
NO_ITEMS: Any = {"id": "south", "wall": {"length_in": 288, "height_in": 97.125}}
JOINT_EXAMPLE: Any = {"connection_id": "rafter-to-plate-toe-nail", "joint_count": 26}


@with_twins
class TakeoffSchema(CommonSchema):
    """Walls and loose joints of one house, with what they share stated once."""

    example: ClassVar[Any] = {"framing_nail": NailSchema.example, "walls": [NO_ITEMS]}
    framing_nail = Inner(NailSchema, "The nail for every framing joint, unless a wall or joint has its own.")
    sheathing_nail = WallItemSchema._declared_fields["sheathing_nail"]
    connection_nails = WallItemSchema._declared_fields["connection_nails"]
    anchor_type = WallItemSchema._declared_fields["anchor_type"]
    walls = Items(Named(example=NO_ITEMS), MOST_ITEMS, "Walls, each with its own id; one that is wrong fails alone.", usual=[])
    joints = Items(
        Named(example=JOINT_EXAMPLE), MOST_ITEMS, "Joints outside the walls, by number or length; panels are counted on walls.", usual=[]
    )
    purchase = Inner(PurchaseSchema, "How to buy.")
    nails_on_hand = Items(Inner(OnHandSchema, "A nail on hand."), MOST_ON_HAND, "Nails to choose from: which of them to load.", 1)
    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")


def takeoff_item(item: type[Strict]) -> Strict:
    """Return the shape of an item of a take-off: what is shared may be left out."""
    shape = item()
    for name in BESIDE:
        shape.fields.pop(name, None)
        shape.declared_fields.pop(name, None)
    for name, field in shape.fields.items():
        field.required = name in NEEDED or name == "id" and field.required
    return shape


NEEDED = ("wall", "connection_id")
"""What no take-off can share; the id of a wall too."""
TAKEOFF = TakeoffSchema()
_HEADS: Any = Strict.from_dict({n: TakeoffWallSchema._declared_fields[n] for n in WALL_HEAD if n != "id"}, name="TakeoffHead")()
OWN = ("walls", "joints", "purchase", "nails_on_hand", "units")
"""What is of the take-off alone, and no wall or joint takes."""


@dataclass(frozen=True, slots=True)
class Head:
    """What a caller calls an item, and how often it is built."""

    id: str | None
    count: int = 1
    label: str | None = None
    level: str | None = None


@dataclass(frozen=True, slots=True)
class TakeoffAsk:
    """A take-off as understood: what all share, its items as sent, how to buy, and what was assumed for that."""

    shared: dict[str, Any]
    walls: list[dict[str, Any]]
    joints: list[dict[str, Any]]
    shopping: Shopping
    on_hand: tuple[OnHand, ...]
    assumptions: tuple[tuple[str, Any], ...]


def read_takeoff(raw: Any, book: Book) -> TakeoffAsk:
    """Check what a take-off shares and how it buys; its walls and joints are read one by one.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(TAKEOFF, raw)
    faults: list[Fault] = []
    shared = {name: value for name, value in raw.items() if name not in OWN}
    _check_shared(got, raw, faults, book)
    if not (got.get("walls") or got.get("joints")):
        faults.append(Fault("missing_field", "is required: at least one wall, or one of joints", ("walls",)))
    assumed: list[tuple[str, Any]] = []
    shopping = read_purchase(got.get("purchase", {}), raw.get("purchase", {}), assumed, faults, book)
    on_hand = [
        read_on_hand(n, raw["nails_on_hand"][i], ("nails_on_hand", i), assumed, faults, book)
        for i, n in enumerate(got.get("nails_on_hand", ()))
    ]
    faults += mixed_currencies(got)
    if faults:
        raise FasteningError(*faults)
    hand = tuple(n for n in on_hand if n)
    return TakeoffAsk(shared, got.get("walls", []), got.get("joints", []), shopping, hand, tuple(assumed))


def _check_shared(got: dict[str, Any], raw: dict[str, Any], faults: list[Fault], book: Book) -> None:
    """Find what is wrong with the shared site and nails once, not wall by wall."""
    site = dict(got)
    fill(site, TAKEOFF)
    read_site(site, [], faults, book)
    named: list[tuple[tuple[str, ...], Any, Any]] = [
        ((name,), got[name], raw[name]) for name in ("framing_nail", "sheathing_nail") if name in got
    ]
    named += [(("connection_nails", c), nail, raw["connection_nails"][c]) for c, nail in got.get("connection_nails", {}).items()]
    for path, nail, sent in named:
        read_nail(nail, sent, path, [], faults, book)


def head_of(item: dict[str, Any], fields: tuple[str, ...]) -> Head:
    """Return what an item is called.

    Raises
    ------
    FasteningError
        A name or a count that cannot be read.
    """
    got = load(_HEADS, {name: item[name] for name in fields if name in item and name != "id"})
    return Head(item.get("id"), got.get("count", 1), got.get("label"), got.get("level"))


def read_takeoff_wall(item: dict[str, Any], shared: dict[str, Any], book: Book) -> WallAsk:
    """Read a wall of a take-off; what it says itself replaces what is shared.

    Raises
    ------
    FasteningError
        All faults of the fields.
    """
    head_of(item, WALL_HEAD)
    own = {name: value for name, value in item.items() if name not in WALL_HEAD}
    _beside(own)
    with _fields_of(_WALL):
        return read_wall({**{k: v for k, v in shared.items() if k in WALL_PLAN.fields}, **own}, book)


def read_takeoff_joints(item: dict[str, Any], shared: dict[str, Any], book: Book) -> JointAsk:
    """Read loose joints of a take-off; without a nail of their own they take the one that the take-off names for such joints.

    Raises
    ------
    FasteningError
        All faults of the fields.
    """
    head_of(item, JOINT_HEAD)
    _not_of_panels(item.get("connection_id"), book)
    own = {name: value for name, value in item.items() if name not in JOINT_HEAD}
    _beside(own)
    common = {k: v for k, v in shared.items() if k in JOINT_FIELDS}
    if not any(name in own for name in _NAIL.fields):
        own |= _nail_for(own.get("connection_id"), shared)
    with _fields_of(_JOINTS):
        return read_joint({**common, **own}, book)


@contextmanager
def _fields_of(shape: Strict) -> Iterator[None]:
    """Look for what an unknown field may mean among all fields of an item, those that the take-off reads itself too."""
    try:
        yield
    except FasteningError as error:
        top = [f.code == "unknown_field" and len(f.path) == 1 for f in error.faults]
        raise FasteningError(*(unknown_field(f.path, shape) if own else f for f, own in zip(error.faults, top, strict=True))) from None


def _not_of_panels(connection_id: Any, book: Book) -> None:
    """Refuse panels once, before anything is asked for them: they are counted piece by piece, on a wall."""
    joint = book.connections.get(connection_id) if isinstance(connection_id, str) else None
    if joint and joint.panel:
        said = (
            "is of panels, whose nails are counted panel by panel: send the wall with its sheathing among walls, "
            "or ask POST /v1/requirements for the spacing alone"
        )
        raise FasteningError(Fault("unknown_value", said, ("connection_id",), {"received": connection_id}))


_WALL, _JOINTS = takeoff_item(TakeoffWallSchema), takeoff_item(TakeoffJointSchema)
JOINT_FIELDS = frozenset(JointSchema().fields)
_NAIL = NailSchema()


def _nail_for(connection_id: Any, shared: dict[str, Any]) -> dict[str, Any]:
    named = shared.get("connection_nails", {}).get(connection_id) if isinstance(connection_id, str) else None
    nail: dict[str, Any] | None = named or shared.get("framing_nail")
    if nail is None and connection_id in REQUIREMENT.fields["connection_id"].known:  # type: ignore[attr-defined]  # a Choice
        raise FasteningError(Fault("missing_field", "is required: a nail of its own, or framing_nail beside the walls", ("nail_id",)))
    return nail or {}


def _beside(own: dict[str, Any]) -> None:
    faults = [Fault("unknown_field", "belongs beside the walls, not in one", (name,)) for name in BESIDE if name in own]
    if faults:
        raise FasteningError(*faults)
