"""Exact lengths: whole ticks of 1/5,080,000 in, and the factors of other units; open to every room.

One tick divides 1/64 in, 0.0001 in and 0.01 mm without remainder, so lengths typed
in either system add up with no dust. A length finer than a tick is read to the nearest one.
"""

from decimal import Decimal
from functools import lru_cache

PER_IN = 5_080_000
PER_MM = 200_000
PER_FT = 12 * PER_IN
PER_M = 1000 * PER_MM
M_PER_S_PER_MPH = 0.44704
KG_PER_LB = 0.45359237
"""Exact (NIST SP 811, appendix B.8)."""


@lru_cache(maxsize=2048)
def ticks(number: float | str, per_unit: int = PER_IN) -> int:
    """Read a number by its shortest decimal text and return ticks.

    Parameters
    ----------
    number : float or str
        A length in the unit that has `per_unit` ticks.
    per_unit : int
        Ticks in one unit.
    """
    return int((Decimal(str(number)) * per_unit).to_integral_value())


@lru_cache(maxsize=4096)
def inches(length: int) -> float:
    """Return ticks as inches, the shortest decimal of at most 4 places."""
    whole, rest = divmod(length, PER_IN)
    if not rest:
        return whole
    rounded = round(length / PER_IN, 4)
    return int(rounded) if rounded.is_integer() else rounded


def feet(length: int) -> float:
    """Return ticks as feet, at most 4 places."""
    rounded = round(length / PER_FT, 4)
    return int(rounded) if rounded.is_integer() else rounded


def ceil_div(length: int, part: int) -> int:
    """Count how many parts cover a length, the exact multiple without one more."""
    return -(-length // part)


_FRACTIONS = 32


def label(length: int) -> str:
    """Write a length as people say it: 3-1/2, 2-3/8, 97-1/8; decimals when it is no 1/32."""
    whole, rest = divmod(length, PER_IN)
    if not rest:
        return str(whole)
    if rest * _FRACTIONS % PER_IN:
        return f"{inches(length):g}"
    top, bottom = rest * _FRACTIONS // PER_IN, _FRACTIONS
    while top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    return f"{whole}-{top}/{bottom}" if whole else f"{top}/{bottom}"
