"""The edge line of a panel: its rectangle less the rough openings, moved 3/8 in inward, in straight runs.

    +-----------+        +-----------+
    |  +----+   |        |.+........+|   rectangle moved in, holes moved out;
    |  |hole|   |   ->   |.:+----+ :.|   each run goes from its first corner to the
    |  +----+   |        |.:|hole| :.|   next run's, with the panel on its left
    +-----------+        +-----------+

The runs are read off strips between the sides of the holes: where neighboring strips differ there is an upright run,
where a strip begins or ends there is a level one. Counting needs no order; `in_order` chains them for positions.
"""

from itertools import pairwise
from typing import NamedTuple

Stretches = list[tuple[int, int]]


class Rect(NamedTuple):
    """A rectangle in the elevation; ticks."""

    x0: int
    z0: int
    x1: int
    z1: int

    def cut(self, other: "Rect") -> "Rect | None":
        """Return the common part, None when there is no area in it."""
        x0, z0, x1, z1 = max(self[0], other[0]), max(self[1], other[1]), min(self[2], other[2]), min(self[3], other[3])
        return Rect(x0, z0, x1, z1) if x0 < x1 and z0 < z1 else None

    def grown(self, by: int) -> "Rect":
        """Move every side outward."""
        return Rect(self.x0 - by, self.z0 - by, self.x1 + by, self.z1 + by)

    @property
    def area(self) -> int:
        """Area, in square ticks."""
        return (self.x1 - self.x0) * (self.z1 - self.z0)


class Line(NamedTuple):
    """A straight run of the edge line, from corner to corner."""

    x0: int
    z0: int
    x1: int
    z1: int

    @property
    def level(self) -> bool:
        """Whether the run is horizontal."""
        return self.z0 == self.z1

    @property
    def length(self) -> int:
        """Length of the run."""
        return abs(self.x1 - self.x0) + abs(self.z1 - self.z0)


def outline(outer: Rect, holes: tuple[Rect, ...]) -> list[Line]:
    """Return the runs around a rectangle less holes that lie in it."""
    x0, z0, x1, z1 = outer
    if x0 >= x1 or z0 >= z1:
        return []
    if not holes:
        return [Line(x0, z0, x1, z0), Line(x1, z0, x1, z1), Line(x1, z1, x0, z1), Line(x0, z1, x0, z0)]
    xs = sorted({x0, x1, *(x for h in holes for x in (h.x0, h.x1))})
    strips = [_free(outer, holes, a, b) for a, b in pairwise(xs)]
    out = []
    for x, before, after in zip(xs, [[], *strips], [*strips, []], strict=True):
        out += [Line(x, a, x, b) for a, b in _less(before, after)]
        out += [Line(x, b, x, a) for a, b in _less(after, before)]
    floors = [{a for a, _ in strip} for strip in strips]
    tops = [{b for _, b in strip} for strip in strips]
    out += [Line(a, z, b, z) for a, b, z in _level(xs, floors)]
    return out + [Line(b, z, a, z) for a, b, z in _level(xs, tops)]


def _free(outer: Rect, holes: tuple[Rect, ...], left: int, right: int) -> Stretches:
    """Return the heights that no hole takes between two sides."""
    free = [(outer.z0, outer.z1)]
    for h in holes:
        if h.x0 <= left and right <= h.x1:
            free = without(free, h.z0, h.z1)
    return free


def without(stretches: Stretches, low: int, high: int) -> Stretches:
    """Return stretches less what lies between two values."""
    return [(a, b) for s, e in stretches for a, b in ((s, min(e, low)), (max(s, high), e)) if a < b]


def _less(stretches: Stretches, others: Stretches) -> Stretches:
    for low, high in others:
        stretches = without(stretches, low, high)
    return stretches


def _level(xs: list[int], edges: list[set[int]]) -> list[tuple[int, int, int]]:
    """Join the edges of neighboring strips that stand at one height: from, to, height."""
    out, began = [], dict[int, int]()
    for x, here in zip(xs, [*edges, set()], strict=True):
        out += [(began.pop(z), x, z) for z in sorted(began.keys() - here)]
        began |= dict.fromkeys(here - began.keys(), x)
    return out


def in_order(runs: list[Line]) -> list[Line]:
    """Chain runs into loops, each from its least corner on."""
    following: dict[tuple[int, int], list[Line]] = {}
    for run in sorted(runs, key=lambda r: (r.x0, r.z0, r.x1, r.z1)):
        following.setdefault((run.x0, run.z0), []).append(run)
    out = []
    while following:
        corner = min(following)
        while corner in following:
            run = following[corner].pop(0)
            if not following[corner]:
                del following[corner]
            out.append(run)
            corner = (run.x1, run.z1)
    return out
