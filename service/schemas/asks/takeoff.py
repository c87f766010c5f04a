"""What a take-off may say: shared fields, walls, loose joints, how to buy; and the domain objects it becomes."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, ClassVar

from service.domain.takeoff.cost import Price
from service.domain.takeoff.nail_choice import OnHand
from service.domain.takeoff.purchase import Offer, Sheet, Shopping, Stick
from service.errors import FasteningError, Fault
from service.schemas.asks.batch import BESIDE, ITEM_ID, MOST_ITEMS
from service.schemas.asks.common import BOOK, CommonSchema, NailSchema, read_nail, read_site
from service.schemas.asks.joint import REQUIREMENT, JointAsk, JointSchema, RequirementSchema, read_joint
from service.schemas.asks.wall import WALL_PLAN, WallAsk, WallItemSchema, read_wall
from service.schemas.fields import Choice, Flag, Inner, Items, Length, Lengths, Named, Number, Strict, Text, Whole
from service.schemas.loading import fill, load
from service.schemas.twins import Twinned, with_twins
from service.tables.book import Book
from service.tables.packaging import MOST_IN_BOX
from service.ticks import feet, ticks

NO_CONTROLS = r"^[^\u0000-\u001f\u007f\ue000\ue001]+$"
"""Free text of one line, without the two marks that stand for lengths in sentences."""
USUAL_PANEL_WIDTH = ticks(48)
MOST_TIMES = 1000
MOST_ON_HAND = 10


def _text(about: str) -> Text:
    return Text(about, NO_CONTROLS, 64)


class PricedSchema(Strict):
    """What has a price."""

    price = Number(0, 1_000_000, "Price of one, in the currency beside it.")
    currency = Text("Currency of the price, ISO 4217: one for the whole take-off.", r"^[A-Z]{3}$", 3)


@with_twins
class PackageSchema(NailSchema, PricedSchema):
    """A package of a nail as you can buy it."""

    example: ClassVar[Any] = {"nail_id": "16d-common", "weight_lb": 30, "price": 62.5, "currency": "USD"}
    nail_count_per_package = Whole(1, MOST_IN_BOX, "Nails in the package, from its label.")
    weight_lb = Number(0.1, 500, "Weight of the nails in the package [lb], where it is sold by weight; its count is then approximate.")


@with_twins
class OnHandSchema(NailSchema, PricedSchema):
    """A nail on hand; with price and count of its package, money decides between nails that do the same."""

    example: ClassVar[Any] = {"nail_designation": "3 x 0.131", "nail_count_per_package": 2500, "price": 74.5, "currency": "USD"}
    nail_count_per_package = Whole(1, MOST_IN_BOX, "Nails in the package that the price is of.")


@with_twins
class PriceSchema(Twinned, PricedSchema):
    """The price of a stick of lumber, or of a sheet."""

    example: ClassVar[Any] = {"nominal": "2x4", "stock_length_ft": 8, "price": 4.25, "currency": "USD"}
    nominal = Choice(BOOK.lumber, "Size of the lumber.")
    stock_length_ft = Length("ft", 1, 60, "Length of the stick [ft].")
    treated = Flag("Treated lumber; false when left out.")
    panel_thickness_in = Length("in", 0.1, 2, "Thickness of the sheet [in].")
    panel_width_in = Length("in", 24, 60, "Width of the sheet [in]; 48 when left out.")
    panel_length_in = Length("in", 48, 192, "Length of the sheet [in].")


@with_twins
class PurchaseSchema(Twinned):
    """How to buy."""

    example: ClassVar[Any] = {"waste_percent": 10}
    waste_percent = Number(0, 100, "Waste on the totals of nails, sticks and sheets, before whole packages [percent].", usual=0)
    packages = Items(
        Inner(PackageSchema, "A package."),
        50,
        "Packages you can buy; the boxes of the trade, approximate, for nails without one.",
        usual=[],
    )
    stock_lengths_ft = Lengths("ft", 1, 60, 20, "Lengths of lumber you can buy [ft]; 8 to 20 by even feet when left out.", "A length [ft].")
    prices = Items(Inner(PriceSchema, "A price."), 200, "Prices of lumber and sheets.", usual=[])


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
    joints = Items(Named(example=JOINT_EXAMPLE), MOST_ITEMS, "Joints outside the walls, by number or length.", usual=[])
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
TAKEOFF, PURCHASE = TakeoffSchema(), PurchaseSchema()
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
    shopping = _read_purchase(got.get("purchase", {}), raw.get("purchase", {}), assumed, faults, book)
    on_hand = [
        _on_hand(n, raw["nails_on_hand"][i], ("nails_on_hand", i), assumed, faults, book)
        for i, n in enumerate(got.get("nails_on_hand", ()))
    ]
    faults += mixed_currencies(got)
    if faults:
        raise FasteningError(*faults)
    hand = tuple(n for n in on_hand if n)
    return TakeoffAsk(shared, got.get("walls", []), got.get("joints", []), shopping, hand, tuple(assumed))


def _on_hand(
    got: dict[str, Any], raw: Any, path: tuple[str | int, ...], assumed: list[tuple[str, Any]], faults: list[Fault], book: Book
) -> OnHand | None:
    nail, price = read_nail(got, raw, path, assumed, faults, book), price_of(got, path, faults)
    count = got.get("nail_count_per_package")
    if price and count is None:
        faults.append(Fault("missing_field", "is required beside price, which is of one package", (*path, "nail_count_per_package")))
    return None if nail is None else OnHand(nail, Fraction(price.amount) / count if price and count else None)


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
    return read_wall({**{k: v for k, v in shared.items() if k in WALL_PLAN.fields}, **own}, book)


def read_takeoff_joints(item: dict[str, Any], shared: dict[str, Any], book: Book) -> JointAsk:
    """Read loose joints of a take-off; without a nail of their own they take the one that the take-off names for such joints.

    Raises
    ------
    FasteningError
        All faults of the fields.
    """
    head_of(item, JOINT_HEAD)
    own = {name: value for name, value in item.items() if name not in JOINT_HEAD}
    _beside(own)
    common = {k: v for k, v in shared.items() if k in JOINT_FIELDS}
    if not any(name in own for name in _NAIL.fields):
        own |= _nail_for(own.get("connection_id"), shared)
    return read_joint({**common, **own}, book)


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


def _read_purchase(got: dict[str, Any], raw: dict[str, Any], assumed: list[tuple[str, Any]], faults: list[Fault], book: Book) -> Shopping:
    """Return how to buy; what is wrong with it goes to `faults`."""
    assumed += [(f"purchase.{name}", value) for name, value in fill(got, PURCHASE) if value != []]
    lengths = tuple(got.get("stock_lengths", book.rules.stock_lengths))
    if "stock_lengths" not in got:
        assumed.append(("purchase.stock_lengths_ft", " ".join(f"{feet(x):g}" for x in lengths)))
    readings: list[tuple[str, Any]] = []
    offers = [_offer(p, raw["packages"][i], ("purchase", "packages", i), readings, faults, book) for i, p in enumerate(got["packages"])]
    sticks: list[tuple[Stick, Price]] = []
    sheets: list[tuple[Sheet, Price]] = []
    for i, p in enumerate(got["prices"]):
        _read_price(p, ("purchase", "prices", i), sticks, sheets, faults)
    assumed += readings
    return Shopping(
        lengths, book.rules.stock_slack, Fraction(str(got["waste_percent"])), tuple(o for o in offers if o), tuple(sticks), tuple(sheets)
    )


def _offer(
    got: dict[str, Any], raw: Any, path: tuple[str | int, ...], readings: list[tuple[str, Any]], faults: list[Fault], book: Book
) -> Offer | None:
    nail = read_nail(got, raw, path, readings, faults, book)
    sizes = [name for name in ("nail_count_per_package", "weight_lb") if name in got]
    if len(sizes) == 2:
        faults.append(Fault("conflicting_fields", "send nail_count_per_package or weight_lb, not both", (*path, "weight_lb")))
    if not sizes:
        faults.append(Fault("missing_field", "is required (or weight_lb)", (*path, "nail_count_per_package")))
    price = price_of(got, path, faults)
    return None if nail is None else Offer(nail, got.get("nail_count_per_package"), got.get("weight_lb"), price)


def _read_price(
    got: dict[str, Any],
    path: tuple[str | int, ...],
    sticks: list[tuple[Stick, Price]],
    sheets: list[tuple[Sheet, Price]],
    faults: list[Fault],
) -> None:
    """Read the price of a stick or of a sheet."""
    if "price" not in got:
        faults.append(Fault("missing_field", "is required", (*path, "price")))
    price = price_of(got, path, faults)
    lumber, panel = "nominal" in got, "panel_thickness" in got
    if lumber == panel:
        code, said = ("conflicting_fields", "not both") if lumber else ("missing_field", "one of them")
        faults.append(Fault(code, f"send nominal for lumber or panel_thickness_in for sheets, {said}", (*path, "nominal")))
        return
    needed, field = ("stock_length", "stock_length_ft") if lumber else ("panel_length", "panel_length_in")
    others = (("panel_width_in", "panel_width"), ("panel_length_in", "panel_length")) if lumber else LUMBER_ONLY
    kind = "lumber" if lumber else "sheets"
    faults += [Fault("conflicting_fields", f"does not go with the price of {kind}", (*path, name)) for name, at in others if at in got]
    if needed not in got:
        faults.append(Fault("missing_field", f"is required for the price of {kind}", (*path, field)))
    elif price and lumber:
        sticks.append((Stick(got["nominal"], got.get("treated", False), got["stock_length"]), price))
    elif price:
        sheets.append((Sheet(got.get("panel_width", USUAL_PANEL_WIDTH), got["panel_length"], got["panel_thickness"]), price))


LUMBER_ONLY = (("stock_length_ft", "stock_length"), ("treated", "treated"))


def price_of(got: dict[str, Any], path: tuple[str | int, ...], faults: list[Fault]) -> Price | None:
    """Return the price of something, None where it has none; a price and its currency go together."""
    for name, other in (("price", "currency"), ("currency", "price")):
        if name in got and other not in got:
            faults.append(Fault("missing_field", f"is required beside {name}", (*path, other)))
    return Price(Decimal(str(got["price"])), got["currency"]) if "price" in got and "currency" in got else None


def mixed_currencies(got: dict[str, Any]) -> list[Fault]:
    """Return the faults of prices in another currency than the first: sums of two mean nothing."""
    purchase = got.get("purchase", {})
    lists: list[tuple[tuple[str, ...], Any]] = [(("purchase", name), purchase.get(name, [])) for name in ("packages", "prices")]
    lists.append((("nails_on_hand",), got.get("nails_on_hand", [])))
    sent: list[tuple[str, tuple[str | int, ...]]] = [
        (one["currency"], (*path, i, "currency")) for path, some in lists for i, one in enumerate(some) if "currency" in one
    ]
    return [
        Fault("conflicting_fields", f"must be {sent[0][0]}, as the first price is: one take-off adds up one currency", path)
        for currency, path in sent
        if currency != sent[0][0]
    ]
