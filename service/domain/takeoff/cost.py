"""Money: exact decimals of one currency; what has no price is said, never guessed."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Price:
    """The price of one package, stick or sheet, in a currency of ISO 4217."""

    amount: Decimal
    currency: str

    def times(self, count: int) -> Decimal:
        """Return what so many cost."""
        return self.amount * count


def cost_of(price: Price | None, count: int) -> Decimal | None:
    """Return what so many cost; None without a price."""
    return None if price is None else price.times(count)


@dataclass(frozen=True, slots=True)
class Bill:
    """What has a price, added up; not complete where something to buy has none. No currency where nothing has a price."""

    currency: str | None
    cost: Decimal | None
    complete: bool


def bill(bought: Iterable[tuple[Price | None, int]]) -> Bill:
    """Add up what is bought: the price of one and how many; prices are of one currency."""
    lines = [(price, count) for price, count in bought if count]
    priced = [(price, count) for price, count in lines if price is not None]
    if not priced:
        return Bill(None, None, not lines)
    return Bill(priced[0][0].currency, sum((price.times(count) for price, count in priced), Decimal()), len(priced) == len(lines))
