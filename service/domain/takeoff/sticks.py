"""Sticks to buy: boards that pieces are cut from, precut studs as they are, and waste once for each size of lumber."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from service.domain.takeoff.cost import Price
from service.domain.takeoff.cut_list import Cut, say_lumber
from service.domain.takeoff.stock import cut_from_stock
from service.said import say_feet, say_fraction
from service.ticks import PER_FT, PER_IN

NEAR = PER_FT // 1000
"""Lengths no farther apart are one: feet are read and written with four places, 7.7188 for 92-5/8 in."""
OF_FOOT = PER_IN // 8
"""A board no farther from whole feet is sold by the foot: 2.438 m for 8 ft."""


class Stick(NamedTuple):
    """A stick of lumber as sold; `length` in ticks."""

    nominal: str
    treated: bool
    length: int

    @property
    def label(self) -> str:
        """The stick as people say it: by the foot, and precut studs by the inch."""
        long = say_fraction(self.length) if self.length % PER_FT else say_feet(self.length)
        return f"{say_lumber(self.nominal, self.treated)} x {long}"

    def same_as(self, other: "Stick") -> bool:
        """Whether two are one stick, each as its length was written."""
        return self[:2] == other[:2] and abs(self.length - other.length) <= NEAR


class StockLine(NamedTuple):
    """Sticks to buy."""

    stick: Stick
    stick_count: int
    stick_count_with_waste: int
    price: Price | None


@dataclass(frozen=True, slots=True)
class Yard:
    """What can be bought: stock lengths in ticks, what share more lumber shorter sticks may take, waste in percent, prices of one stick."""

    lengths: tuple[int, ...]
    slack: float = 0
    waste: Fraction = Fraction(0)
    prices: tuple[tuple[Stick, Price], ...] = ()

    @property
    def precut(self) -> tuple[int, ...]:
        """Lengths of no whole foot beside such of whole feet; where none is of whole feet, all are boards by the metre."""
        odd = tuple(x for x in self.lengths if OF_FOOT < x % PER_FT < PER_FT - OF_FOOT)
        return odd if len(odd) < len(self.lengths) else ()

    @property
    def boards(self) -> tuple[int, ...]:
        """Lengths that anything is cut from."""
        return tuple(x for x in self.lengths if x not in self.precut)

    def price_of(self, stick: Stick) -> Price | None:
        """Return the price of a stick, the last that was sent."""
        return next((price for s, price in reversed(self.prices) if s.same_as(stick)), None)


def buy_sticks(cuts: tuple[Cut, ...], yard: Yard) -> tuple[tuple[StockLine, ...], tuple[Cut, ...]]:
    """Return the sticks that a cut list takes, size by size, and the pieces that no board holds."""
    lines, too_long = list[StockLine](), list[Cut]()
    for nominal, treated in dict.fromkeys((c.nominal, c.treated) for c in cuts if c.size is None):
        mine = {c.length: c for c in cuts if (c.nominal, c.treated, c.size) == (nominal, treated, None)}
        precut = {} if treated else {n: c.member_count for n, c in mine.items() if any(abs(n - x) <= NEAR for x in yard.precut)}
        found = cut_from_stock({n: c.member_count for n, c in mine.items() if n not in precut}, yard.boards, yard.slack)
        too_long += [mine[length] for length, _ in found.too_long]
        bought = dict(sorted([*found.sticks, *precut.items()], reverse=True))
        added = _of_waste(bought, dict(found.sticks) or precut, yard.waste)
        for length, count in bought.items():
            stick = Stick(nominal, treated, length)
            lines.append(StockLine(stick, count, count + added.get(length, 0), yard.price_of(stick)))
    return tuple(lines), tuple(too_long)


def _of_waste(bought: dict[int, int], some: Iterable[int], percent: Fraction) -> dict[int, int]:
    """Return the sticks added for waste on the length of all: of the one length of some that adds least, then that adds fewest."""
    wanted = sum(length * count for length, count in bought.items()) * percent / 100
    added = {length: ceil(wanted / length) for length in some}
    least = min(added, key=lambda length: (length * added[length], added[length]), default=None)
    return {} if least is None else {least: added[least]}
