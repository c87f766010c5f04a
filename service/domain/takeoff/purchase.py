"""A take-off: what finished plans and judged joints add up to, and what to buy for it."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from service.domain.nails.nail import Nail
from service.domain.takeoff.bolts import Bolted, BoltLine, sum_of_bolts, without_number
from service.domain.takeoff.cost import Bill, Price, bill
from service.domain.takeoff.cut_list import Cut, cut_list
from service.domain.takeoff.loose import LooseJoints
from service.domain.takeoff.packages import NailsPerLb, Package, Packed, generic_packages, nails_per_lb, pack, with_waste
from service.domain.takeoff.sticks import Stick, StockLine, Yard, buy_sticks
from service.domain.wall.plan import Plan
from service.domain.wall.sheets import SheetSize, sheets_of
from service.said import say_length
from service.tables.book import Book
from service.tables.packaging import Packaging


class Offer(NamedTuple):
    """A package of a nail as a caller can buy it: sold by number or by weight in lb."""

    nail: Nail
    nail_count: int | None
    weight_lb: float | None
    price: Price | None

    @property
    def of(self) -> tuple[str, str]:
        """The nail it holds: no box of another coating serves."""
        return self.nail.nail_id, self.nail.coating


class Sheet(NamedTuple):
    """A sheet as sold; ticks."""

    width: int
    length: int
    thickness: int


@dataclass(frozen=True, slots=True)
class Shopping:
    """How to buy: stock lengths in ticks, what share more lumber shorter sticks may take, waste in percent, packages, prices of one stick and one sheet."""

    stock_lengths: tuple[int, ...]
    stock_slack: float = 0
    waste: Fraction = Fraction(0)
    offers: tuple[Offer, ...] = ()
    stick_prices: tuple[tuple[Stick, Price], ...] = ()
    sheet_prices: tuple[tuple[Sheet, Price], ...] = ()

    @property
    def yard(self) -> Yard:
        """What is said of sticks."""
        return Yard(self.stock_lengths, self.stock_slack, self.waste, self.stick_prices)


class NailLine(NamedTuple):
    """Nails of one id and coating, and the packages that hold them."""

    nail: Nail
    nail_count: int
    per_lb: NailsPerLb
    packed: Packed

    @property
    def nail_count_with_waste(self) -> int:
        """Nails with waste."""
        return self.packed.wanted

    @property
    def weight_lb(self) -> float:
        """Weight of the nails with waste. Unit: lb."""
        return self.per_lb.weight_lb(self.packed.wanted)


class SheetLine(NamedTuple):
    """Sheets to buy."""

    size: SheetSize
    sheet_count_with_waste: int
    price: Price | None


@dataclass(frozen=True, eq=False)
class TakeOff:
    """Walls, each with how often it is built, and loose joints, added up; nothing that a plan has counted is counted again."""

    walls: tuple[tuple[Plan, int], ...]
    joints: tuple[LooseJoints, ...]
    shopping: Shopping
    packaging: Packaging
    anchored: tuple[Bolted, ...] = ()

    @cached_property
    def bolts(self) -> tuple[BoltLine, ...]:
        """Anchor bolts, without waste."""
        return sum_of_bolts(self.anchored)

    @cached_property
    def cuts(self) -> tuple[Cut, ...]:
        """The cut list."""
        return cut_list(self.walls)

    @cached_property
    def _cutting(self) -> tuple[tuple[StockLine, ...], tuple[Cut, ...]]:
        return buy_sticks(self.cuts, self.shopping.yard)

    @property
    def stock(self) -> tuple[StockLine, ...]:
        """Sticks to buy; engineered pieces are ordered by their cut length."""
        return self._cutting[0]

    @property
    def too_long(self) -> tuple[Cut, ...]:
        """Pieces that no stock length holds."""
        return self._cutting[1]

    @cached_property
    def sheets(self) -> tuple[SheetLine, ...]:
        """Sheets to buy, by size."""
        counts: dict[Sheet, int] = {}
        for plan, times in self.walls:
            for size in sheets_of(plan):
                key = Sheet(size.width, size.length, size.thickness)
                counts[key] = counts.get(key, 0) + size.sheet_count * times
        prices = dict(self.shopping.sheet_prices)
        return tuple(
            SheetLine(SheetSize(*key, counts[key]), with_waste(counts[key], self.shopping.waste), prices.get(key)) for key in sorted(counts)
        )

    @cached_property
    def nails(self) -> tuple[NailLine, ...]:
        """Nails by id and coating, in packages."""
        return tuple(self._nail_line(nail, count) for nail, count in sum_of_nails(self.walls, self.joints))

    def _nail_line(self, nail: Nail, count: int) -> NailLine:
        per_lb = nails_per_lb(nail, self.packaging)
        offered = [_package(o, per_lb) for o in self.shopping.offers if o.of == (nail.nail_id, nail.coating)]
        packed = pack(with_waste(count, self.shopping.waste), offered or generic_packages(nail, self.packaging))
        return NailLine(nail, count, per_lb, packed)

    @cached_property
    def bill(self) -> Bill:
        """What has a price, added up."""
        nails = [(p.price, n) for line in self.nails for p, n in line.packed.packages]
        sticks = [(line.price, line.stick_count_with_waste) for line in self.stock]
        by_length: list[tuple[Price | None, int]] = [(None, c.member_count) for c in (*self.too_long, *(c for c in self.cuts if c.size))]
        by_length += [(None, line.bolt_count) for line in self.bolts]
        return bill([*nails, *sticks, *by_length, *((line.price, line.sheet_count_with_waste) for line in self.sheets)])

    @property
    def complete(self) -> bool:
        """Whether every joint has a number and every piece a stock length."""
        joints = all(j.nail_count is not None for j in self.joints)
        return joints and all(plan.complete for plan, _ in self.walls) and not self.too_long

    @property
    def notes(self) -> tuple[str, ...]:
        """What was sent and does nothing, and what is left to order otherwise."""
        used = {(line.nail.nail_id, line.nail.coating) for line in self.nails}
        idle = [f"package of {o.nail.label}: the take-off has no such nail" for o in self.shopping.offers if o.of not in used]
        sheets = {Sheet(*line.size[:3]) for line in self.sheets}
        unsold = (s.label for s, _ in self.shopping.stick_prices if not any(s.same_as(line.stick) for line in self.stock))
        sticks = list(dict.fromkeys(unsold))
        idle += [f"price{'s' if len(sticks) > 1 else ''} of {', '.join(sticks)}: no such stick is bought"] if sticks else []
        idle += [f"price of a sheet {say_sheet(s)}: no such sheet is bought" for s, _ in self.shopping.sheet_prices if s not in sheets]
        longest = say_length(max(self.shopping.yard.boards))
        long = [f"{c.member_count} of {c.label}: longer than the longest stock, {longest}; order by length" for c in self.too_long]
        beams = [f"{c.member_count} of {c.label}: engineered, order by length" for c in self.cuts if c.size]
        cut = ["sheets are one for each panel as it is cut: off-cuts are not used again"] if self.sheets else []
        return (*long, *beams, *without_number(self.anchored), *cut, *dict.fromkeys(idle))


def say_sheet(sheet: Sheet) -> str:
    """Name a sheet by its size."""
    return SheetSize(*sheet, 0).label


def _package(offer: Offer, per_lb: NailsPerLb) -> Package:
    """Return a package that is offered; of one sold by weight, its nails by their count per pound."""
    if offer.nail_count is not None or offer.weight_lb is None:
        return Package(offer.nail_count or 1, price=offer.price)
    return Package(max(per_lb.nails_in(offer.weight_lb), 1), offer.weight_lb, offer.price, confidence=per_lb.confidence)


def sum_of_nails(walls: Iterable[tuple[Plan, int]], joints: Iterable[LooseJoints]) -> list[tuple[Nail, int]]:
    """Add up the nails of plans, each built so many times, and of loose joints: by id and coating, in that order."""
    counts: dict[tuple[str, str], int] = {}
    nails: dict[tuple[str, str], list[Nail]] = {}
    every = [(nail, count * times) for plan, times in walls for nail, count in plan.nail_totals]
    for nail, count in (*every, *((j.nail, j.nail_count or 0) for j in joints)):
        if count:
            key = (nail.nail_id, nail.coating)
            counts[key] = counts.get(key, 0) + count
            nails.setdefault(key, []).append(nail)
    return [(min(nails[key], key=_as_said), counts[key]) for key in sorted(counts)]


def _as_said(nail: Nail) -> tuple[str, str, int]:
    """Order nails of one id and coating that were said in several ways, so that the first one does not hang on the order of walls."""
    return nail.unit, nail.head, nail.head_diameter or 0


def take_off(
    walls: Iterable[tuple[Plan, int]], joints: Iterable[LooseJoints], shopping: Shopping, book: Book, anchored: Iterable[Bolted] = ()
) -> TakeOff:
    """Return the take-off of some walls, with the bolts of those on concrete, and joints."""
    return TakeOff(tuple(walls), tuple(joints), shopping, book.packaging, tuple(anchored))
