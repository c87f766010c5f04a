"""The uprights behind panels, in groups that touch side by side, and the field lines on them."""

from bisect import bisect_left, bisect_right
from operator import attrgetter
from typing import NamedTuple

from service.domain.wall.members import Framing, Member
from service.domain.wall.panels.outline import Line, Rect, without
from service.ticks import ticks

NEAR_CORNER = ticks("1.5")
_BY_LINE = attrgetter("line")


class Post(NamedTuple):
    """Uprights that touch side by side: the center that takes the field line, all centers, and where each stands."""

    line: int
    centers: tuple[int, ...]
    stands: tuple[tuple[int, int], ...]


class FieldLine(NamedTuple):
    """A stretch of a field line; its ends are on edge lines or beside them."""

    x: int
    z0: int
    z1: int


def find_posts(framing: Framing, marks: tuple[int, ...]) -> list[Post]:
    """Return the groups of uprights behind panels, from left to right; backing studs hold no panel (service rule).

    Parameters
    ----------
    marks : tuple of int
        Layout centers.
    """
    heads = {id(c): f.opening.head_height for f in framing.frames for c in f.head_cripples}
    posts = [_post(group, heads, marks) for group in _touching(framing.uprights)]
    return sorted(posts, key=lambda p: (p.line, p.stands))


def _touching(uprights: tuple[Member, ...]) -> list[list[Member]]:
    """Group uprights that touch over some height; they come from left to right."""
    groups: list[list[Member]] = []
    ending: dict[int, list[tuple[Member, list[Member]]]] = {}
    for m in uprights:
        if m.role == "backing_stud":
            continue
        x, z, high = m.x, m.z, m.z + m.height
        beside = [g for o, g in ending.get(x, ()) if o.z < high and z < o.z + o.height]
        group = beside[0] if beside else []
        if not beside:
            groups.append(group)
        group.append(m)
        for other in beside[1:]:
            if other is not group:
                group += other
                groups.remove(other)
                ending = {x: [(o, group if g is other else g) for o, g in found] for x, found in ending.items()}
        ending.setdefault(x + m.width, []).append((m, group))
    return groups


def _post(group: list[Member], heads: dict[int, int], marks: tuple[int, ...]) -> Post:
    """Return a group as a post; a head cripple's line counts the header below it as part of it."""
    centers = tuple(m.x + m.width // 2 for m in group)
    line = centers[0] if len(group) == 1 else min(centers, key=lambda c: (_off_mark(c, marks), c))
    return Post(line, centers, tuple((heads.get(id(m), m.z), m.z + m.height) for m in group))


def _off_mark(center: int, marks: tuple[int, ...]) -> int:
    i = bisect_left(marks, center)
    return min((abs(center - k) for k in marks[max(i - 1, 0) : i + 1]), default=0)


def field_lines(outer: Rect, holes: tuple[Rect, ...], runs: list[Line], posts: list[Post]) -> list[FieldLine]:
    """Return the field lines of a piece, on the posts inside its edge line that no upright run of it is near."""
    inside = posts[bisect_right(posts, outer.x0, key=_BY_LINE) : bisect_left(posts, outer.x1, key=_BY_LINE)]
    if not holes:
        return _whole_lines(outer, inside)
    uprights = [(x0, min(z0, z1), max(z0, z1)) for x0, z0, _, z1 in runs if z0 != z1]
    out = []
    for post in inside:
        free = [(outer.z0, outer.z1)]
        for h in holes:
            if h.x0 < post.line < h.x1:
                free = without(free, h.z0, h.z1)
        for side, low, high in uprights:
            if any(-NEAR_CORNER <= side - c <= NEAR_CORNER for c in post.centers):
                free = without(free, low, high)
        out += [FieldLine(x, a, b) for a, b in free if (x := _line_at(post, a, b, outer)) is not None]
    return out


def _whole_lines(outer: Rect, inside: list[Post]) -> list[FieldLine]:
    """Return the field lines of a piece without holes: from edge line to edge line, on every post that is not near its sides."""
    x0, z0, x1, z1 = outer
    low, high = x0 + NEAR_CORNER, x1 - NEAR_CORNER
    clear = (post for post in inside if all([low < c < high or c < x0 - NEAR_CORNER or c > x1 + NEAR_CORNER for c in post.centers]))
    return [FieldLine(x, z0, z1) for post in clear if (x := _line_at(post, z0, z1, outer)) is not None]


def _line_at(post: Post, low: int, high: int, outer: Rect) -> int | None:
    """Return the member center for a stretch: the post's own line where a member on it stands there, else the nearest that does."""
    line, centers, stands = post
    if len(centers) == 1:
        return line if stands[0][0] < high and low < stands[0][1] else None
    here = [c for c, (s, e) in zip(centers, stands, strict=True) if s < high and low < e and outer.x0 < c < outer.x1]
    return min(here, key=lambda c: (abs(c - line), c), default=None)
