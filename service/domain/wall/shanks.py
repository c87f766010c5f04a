"""The shanks of a wall's nails in space, and how a nail makes way for those that stand already; ticks."""

from collections import defaultdict
from functools import lru_cache
from math import cos, radians, sin
from typing import NamedTuple

from service.domain.nails.nail import Nail
from service.domain.wall.members import FLAT
from service.domain.wall.positions import ALONG, AXIS, Spot, Want
from service.tables.rules import Rules
from service.ticks import ticks

COLUMN = ticks(2)
"""Shanks are looked up by upright strips of the wall so wide: few stand in one."""
STEPS = 12
"""How many steps a nail goes within its room to make way."""
TRIES = 6
"""Places tried to make way, in the mean of all nails of a wall: spikes that have no room do not hold up the answer."""
Point = tuple[float, float, float]


class Shank(NamedTuple):
    """A nail's steel: the box around it, its diameter, and its ends where it is slanted."""

    x0: float
    x1: float
    y0: float
    y1: float
    z0: float
    z1: float
    diameter: int
    ends: tuple[Point, Point] | None


class Shanks:
    """Shanks that stand; a new one is set where it keeps its distance to all of them."""

    def __init__(self, rules: Rules, thickest: int, nail_count: int) -> None:
        self._rules = rules
        self._tries = TRIES * nail_count
        self._reach = self._least(thickest, thickest)
        self._offsets = _offsets(rules.make_way_step)
        self._columns: defaultdict[int, list[Shank]] = defaultdict(list)

    def settle(self, want: Want, nail: Nail) -> Spot:
        """Set a nail where it is wanted, or at the nearest place in its room that is clear."""
        spot = want.spot
        shank = shank_of(spot, nail, want.before)
        if not self._clear(shank):
            spot, shank = self._nearest(want, nail) or (spot, shank)
        for column in range(int(shank.x0 // COLUMN), int(shank.x1 // COLUMN) + 1):
            self._columns[column].append(shank)
        return spot

    def _nearest(self, want: Want, nail: Nail) -> tuple[Spot, Shank] | None:
        spot, ((u0, u1), (v0, v1)) = want.spot, want.room
        first, second = ALONG[spot.face]
        at = [spot.x, spot.y, spot.z]
        u, v = at[first], at[second]
        for du, dv in self._offsets:
            if not self._tries:
                break
            if u0 <= u + du <= u1 and v0 <= v + dv <= v1:
                self._tries -= 1
                at[first], at[second] = u + du, v + dv
                moved = spot._replace(x=at[0], y=at[1], z=at[2])
                shank = shank_of(moved, nail, want.before)
                if self._clear(shank):
                    return moved, shank
        return None

    def _clear(self, shank: Shank) -> bool:
        columns, reach = self._columns, self._reach
        x0, x1, y0, y1, z0, z1 = shank.x0 - reach, shank.x1 + reach, shank.y0 - reach, shank.y1 + reach, shank.z0 - reach, shank.z1 + reach
        for column in range(int(x0 // COLUMN), int(x1 // COLUMN) + 1):
            for other in columns[column] if column in columns else ():
                if (
                    other.z0 < z1
                    and z0 < other.z1
                    and other.x0 < x1
                    and x0 < other.x1
                    and other.y0 < y1
                    and y0 < other.y1
                    and self._meet(shank, other)
                ):
                    return False
        return True

    def _meet(self, a: Shank, b: Shank) -> bool:
        """Whether two shanks stand closer than they should: by the boxes around them, which is exact but where one is slanted."""
        least = self._least(a.diameter, b.diameter) ** 2
        gaps = max(a.x0 - b.x1, b.x0 - a.x1, 0), max(a.y0 - b.y1, b.y0 - a.y1, 0), max(a.z0 - b.z1, b.z0 - a.z1, 0)
        if sum(gap * gap for gap in gaps) >= least:
            return False
        return a.ends is b.ends is None or _apart(_ends(a), _ends(b)) < least

    def _least(self, one: int, other: int) -> float:
        """Return how far apart the middles of two shanks stand at the least."""
        return max((one + other) / 2 + max(one, other) * self._rules.shank_gap_diameters, self._rules.nails_apart)


def shank_of(spot: Spot, nail: Nail, before: int) -> Shank:
    """Return the steel of a nail.

    Parameters
    ----------
    before : int
        How much of it is in wood that is not of this wall. [ticks]
    """
    x, y, z = spot.x, spot.y, spot.z
    axis, sign = AXIS[spot.face]
    length = nail.length - before
    if not spot.angle_deg:
        low, high = (0, length) if sign > 0 else (-length, 0)
        if axis == 0:
            return Shank(x + low, x + high, y, y, z, z, nail.diameter, None)
        if axis == 1:
            return Shank(x, x, y + low, y + high, z, z, nail.diameter, None)
        return Shank(x, x, y, y, z + low, z + high, nail.diameter, None)
    point = [float(x), float(y), float(z)]
    along, ahead = way_along(spot)
    slope = radians(spot.angle_deg)
    point[axis] += sign * length * sin(slope)
    point[along] += ahead * length * cos(slope)
    px, py, pz = point
    return Shank(min(x, px), max(x, px), min(y, py), max(y, py), min(z, pz), max(z, pz), nail.diameter, ((x, y, z), (px, py, pz)))


def way_along(spot: Spot) -> tuple[int, int]:
    """Return the axis of the piece that a slanted nail follows, and which way the other piece is."""
    piece, other = spot.member, spot.other
    if other is None:
        raise ValueError("a toe-nail joins two pieces of the wall")
    if piece.role in FLAT:
        return 0, 1 if other.x > piece.x else -1
    return 2, 1 if other.z > piece.z else -1


@lru_cache(maxsize=4)
def _offsets(step: int) -> tuple[tuple[int, int], ...]:
    """Return the ways to make way, nearest first."""
    reach = range(-STEPS, STEPS + 1)
    ways = sorted(((i, j) for i in reach for j in reach if i or j), key=lambda w: (w[0] * w[0] + w[1] * w[1], -w[0], -w[1]))
    return tuple((i * step, j * step) for i, j in ways)


def _ends(shank: Shank) -> tuple[Point, Point]:
    return shank.ends or ((shank.x0, shank.y0, shank.z0), (shank.x1, shank.y1, shank.z1))


def _apart(a: tuple[Point, Point], b: tuple[Point, Point]) -> float:
    """Return the squared least distance of two segments."""
    (p, q), (r, s) = a, b
    ux, uy, uz = q[0] - p[0], q[1] - p[1], q[2] - p[2]
    vx, vy, vz = s[0] - r[0], s[1] - r[1], s[2] - r[2]
    wx, wy, wz = p[0] - r[0], p[1] - r[1], p[2] - r[2]
    uu, uv, vv = ux * ux + uy * uy + uz * uz, ux * vx + uy * vy + uz * vz, vx * vx + vy * vy + vz * vz
    uw, vw = ux * wx + uy * wy + uz * wz, vx * wx + vy * wy + vz * wz
    det = uu * vv - uv * uv
    best = min(_to_segment(p, r, s), _to_segment(q, r, s), _to_segment(r, p, q), _to_segment(s, p, q))
    if det > 1e-9 * uu * vv:
        k, m = (uv * vw - vv * uw) / det, (uu * vw - uv * uw) / det
        if 0 <= k <= 1 and 0 <= m <= 1:
            dx, dy, dz = wx + k * ux - m * vx, wy + k * uy - m * vy, wz + k * uz - m * vz
            best = min(best, dx * dx + dy * dy + dz * dz)
    return best


def _to_segment(p: Point, a: Point, b: Point) -> float:
    """Return the squared distance of a point to a segment."""
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    wx, wy, wz = p[0] - a[0], p[1] - a[1], p[2] - a[2]
    k = min(max((ux * wx + uy * wy + uz * wz) / (ux * ux + uy * uy + uz * uz), 0.0), 1.0)
    dx, dy, dz = wx - k * ux, wy - k * uy, wz - k * uz
    return dx * dx + dy * dy + dz * dz
