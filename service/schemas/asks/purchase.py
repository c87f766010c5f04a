"""How a take-off may say to buy: packages, prices, stock lengths, nails on hand; and the domain objects they become."""

from decimal import Decimal
from fractions import Fraction
from typing import Any, ClassVar

from service.domain.takeoff.cost import Price
from service.domain.takeoff.nail_choice import OnHand
from service.domain.takeoff.purchase import Offer, Sheet, Shopping
from service.domain.takeoff.sticks import Stick
from service.errors import Fault
from service.schemas.asks.common import BOOK, NailSchema, read_nail
from service.schemas.fields import Choice, Flag, Inner, Items, Length, Lengths, Number, Strict, Text, Whole
from service.schemas.loading import fill
from service.schemas.twins import Twinned, with_twins
from service.tables.book import Book
from service.tables.packaging import MOST_IN_BOX
from service.ticks import feet, ticks

USUAL_PANEL_WIDTH = ticks(48)


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
    waste_percent = Number(
        0,
        100,
        "Waste on the total of each nail, of the length of each size of lumber and of each sheet, before whole packages [percent].",
        usual=0,
    )
    packages = Items(
        Inner(PackageSchema, "A package."),
        50,
        "Packages you can buy; the boxes of the trade, approximate, for nails without one.",
        usual=[],
    )
    stock_lengths_ft = Lengths(
        "ft",
        1,
        60,
        20,
        "Lengths of lumber you can buy [ft]; 8 to 20 by even feet when left out. One of no whole foot, beside such of whole feet, is a precut stud: "
        "untreated pieces of that length are bought as it is, and nothing else is cut from it.",
        "A length [ft].",
    )
    prices = Items(Inner(PriceSchema, "A price."), 200, "Prices of lumber and sheets.", usual=[])


PURCHASE = PurchaseSchema()


def read_purchase(got: dict[str, Any], raw: dict[str, Any], assumed: list[tuple[str, Any]], faults: list[Fault], book: Book) -> Shopping:
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


def read_on_hand(
    got: dict[str, Any], raw: Any, path: tuple[str | int, ...], assumed: list[tuple[str, Any]], faults: list[Fault], book: Book
) -> OnHand | None:
    """Return a nail on hand with what one of it costs; what is wrong with it goes to `faults`."""
    nail, price = read_nail(got, raw, path, assumed, faults, book), price_of(got, path, faults)
    count = got.get("nail_count_per_package")
    if price and count is None:
        faults.append(Fault("missing_field", "is required beside price, which is of one package", (*path, "nail_count_per_package")))
    return None if nail is None else OnHand(nail, Fraction(price.amount) / count if price and count else None)
