"""Cuts pieces out of stock lengths: how many sticks of each length to buy.

A stick takes the longest piece that is left, then the longest that still goes in, and so on (first-fit decreasing). That is
tried several ways, and the one with least lumber is kept: from the shortest stick that holds the first piece, or from one
stock length throughout, where each stick is then bought as short as it can be; equal houses together, or one by one.
People follow the rule at the saw; it never buys less than is needed, and an exact solver saves a stick here and there.
The saw takes no length: stock runs a little over its name (common practice, no source).
"""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import gcd


@dataclass(frozen=True, slots=True)
class Cutting:
    """What to buy: sticks by stock length, the longest first; `too_long` are pieces by length that no stock holds; ticks."""

    sticks: tuple[tuple[int, int], ...]
    too_long: tuple[tuple[int, int], ...]

    @property
    def length(self) -> int:
        """Length of all sticks."""
        return sum(length * count for length, count in self.sticks)

    @property
    def stick_count(self) -> int:
        """Number of sticks."""
        return sum(count for _, count in self.sticks)


def cut_from_stock(pieces: Mapping[int, int], stock: tuple[int, ...], slack: float = 0) -> Cutting:
    """Return the least lumber found that gives some pieces, in the shortest sticks: they are cut least.

    Parameters
    ----------
    pieces : mapping
        How many pieces of each length; ticks.
    stock : tuple of int
        Lengths that can be bought, at least one; ticks.
    slack : float
        So much more than the least, as a share of it, may be bought for shorter sticks.
    """
    lengths = sorted(set(stock))
    too_long = tuple(sorted((item for item in pieces.items() if item[0] > lengths[-1]), reverse=True))
    wanted = {length: count for length, count in pieces.items() if 0 < length <= lengths[-1] and count}
    longest, houses = max(wanted, default=0), {1, gcd(*wanted.values()) or 1}
    least = [0, *(full for full in lengths if full >= longest)]
    ways = [Cutting(_bought(wanted, full, lengths, alike), too_long) for full in least for alike in houses]
    enough = (1 + slack) * min(way.length for way in ways)
    return min((way for way in ways if way.length <= enough), key=lambda way: (-way.stick_count, way.length))


def _bought(pieces: Mapping[int, int], least: int, lengths: list[int], alike: int) -> tuple[tuple[int, int], ...]:
    """Cut pieces, so many houses alike, from sticks of a least length, and buy each stick no longer than what is cut from it."""
    bought: Counter[int] = Counter()
    for used, sticks in _filled({length: count // alike for length, count in pieces.items()}, least, lengths):
        bought[_shortest(used, lengths)] += sticks * alike
    return tuple(sorted(bought.items(), reverse=True))


def _shortest(length: int, lengths: list[int]) -> int:
    """Return the shortest stock that holds a length."""
    return lengths[bisect_left(lengths, length)]


def _filled(pieces: Mapping[int, int], least: int, stock: list[int]) -> Iterator[tuple[int, int]]:
    """Yield how much of a stick is used, and how many sticks are cut alike."""
    left = dict(pieces)
    lengths = sorted(left)
    while lengths:
        full = max(least, _shortest(lengths[-1], stock))
        room, taken = full, Counter[int]()
        at = len(lengths)
        while (at := bisect_right(lengths, room, 0, at)) > 0:
            length = lengths[at - 1]
            taken[length] = min(left[length], room // length)
            room -= taken[length] * length
            at -= 1
        alike = min(left[length] // count for length, count in taken.items())
        for length, count in taken.items():
            left[length] -= alike * count
            if not left[length]:
                del lengths[bisect_left(lengths, length)]
        yield full - room, alike
