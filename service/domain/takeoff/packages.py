"""Waste on totals, weight of nails, and the whole packages to buy."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, gcd, pi

from service.domain.nails.nail import Nail
from service.domain.takeoff.cost import Price
from service.tables.confidence import weakest
from service.tables.packaging import Packaging
from service.ticks import ceil_div, inches

MOST_STATES = 20_000
"""So far packages are mixed exactly; above it the largest one goes first."""
HAIR = 1e-9


def with_waste(count: int, percent: Fraction) -> int:
    """Return a total with waste on it, rounded up once."""
    return ceil(count * (100 + percent) / 100)


@dataclass(frozen=True, slots=True)
class NailsPerLb:
    """How many of a nail weigh a pound, where that is from, and how well it is known."""

    value: float
    basis: str
    confidence: str

    def weight_lb(self, count: int) -> float:
        """Weigh nails, in lb."""
        return round(count / self.value, 2)

    def nails_in(self, weight_lb: float) -> int:
        """Count the whole nails of a weight."""
        return floor(weight_lb * self.value + HAIR)


def nails_per_lb(nail: Nail, packaging: Packaging) -> NailsPerLb:
    """Return the published count per pound of a nail, else that of steel of the volume of its shank."""
    row, steel = packaging.nails_per_lb.get(nail.nail_id), packaging.steel_density
    if row:
        return NailsPerLb(row.value, f"{row.value:g} nails to the pound ({row.source})", row.confidence)
    length, diameter = inches(nail.length), inches(nail.diameter)
    each = steel.value * pi / 4 * diameter**2 * length
    basis = f"{steel.value:g} lb/cu in of steel x pi/4 x {diameter:g}^2 x {length:g} in, head and point left out"
    return NailsPerLb(1 / each, basis, weakest("derived", steel.confidence))


@dataclass(frozen=True, slots=True)
class Package:
    """A package as sold; `weight_lb` where it is sold by weight, `generic` where it is of this service's table."""

    nail_count: int
    weight_lb: float | None = None
    price: Price | None = None
    generic: bool = False
    confidence: str | None = None

    @property
    def approximate(self) -> bool:
        """Whether its count is not known from the package itself."""
        return self.generic or self.weight_lb is not None


def generic_packages(nail: Nail, packaging: Packaging) -> tuple[Package, ...]:
    """Return the boxes that the trade sells such a nail in, none heavier than one that is sold; the smallest at least."""
    per_lb = nails_per_lb(nail, packaging)
    boxes = []
    for row in packaging.boxes:
        if nail.type in row.of and row.unit == "lb":
            known = weakest(row.confidence, per_lb.confidence)
            boxes.append(Package(max(per_lb.nails_in(row.value), 1), row.value, generic=True, confidence=known))
        elif nail.type in row.of:
            boxes.append(Package(int(row.value), generic=True, confidence=row.confidence))
    boxes.sort(key=lambda box: box.nail_count)
    return tuple(b for i, b in enumerate(boxes) if not i or b.nail_count <= packaging.heaviest_box.value * per_lb.value)


@dataclass(frozen=True, slots=True)
class Packed:
    """The packages that hold a number of nails, the largest first."""

    wanted: int
    packages: tuple[tuple[Package, int], ...]

    @property
    def bought(self) -> int:
        """Nails in all packages."""
        return sum(package.nail_count * count for package, count in self.packages)

    @property
    def leftover(self) -> int:
        """Nails over."""
        return self.bought - self.wanted


def pack(wanted: int, offered: Iterable[Package]) -> Packed:
    """Return the fewest whole packages that leave less than one of the smallest over, then the least over.

    Prices decide only between packages of one size.
    """
    by_size = {p.nail_count: p for p in sorted(offered, key=lambda p: (p.price is not None, -p.price.amount if p.price else 0))}
    if not wanted or not by_size:
        return Packed(wanted, ())
    step = gcd(*by_size)
    sizes = sorted((size // step for size in by_size), reverse=True)
    need = ceil_div(wanted, step)
    largest_first = max(0, (need - max(MOST_STATES, 2 * sizes[0])) // sizes[0])
    counts = _fewest(need - largest_first * sizes[0], sizes)
    counts[sizes[0]] = counts.get(sizes[0], 0) + largest_first
    return Packed(wanted, tuple((by_size[size * step], counts[size]) for size in sizes if counts.get(size)))


def _fewest(need: int, sizes: list[int]) -> dict[int, int]:
    """Return how many of each size: the fewest in all that reach the need and pass it by less than the smallest size."""
    top = need + sizes[-1]
    fewest, last = [0] + [top] * (top - 1), [0] * top
    for total in range(sizes[-1], top):
        for size in sizes:
            if size <= total and fewest[total - size] + 1 < fewest[total]:
                fewest[total], last[total] = fewest[total - size] + 1, size
    total = min(range(need, top), key=lambda t: fewest[t])
    counts: dict[int, int] = {}
    while total:
        counts[last[total]] = counts.get(last[total], 0) + 1
        total -= last[total]
    return counts
