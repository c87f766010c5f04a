"""The uprights behind panels, in groups that touch side by side, and the field lines on them."""

from bisect import bisect_left, bisect_right
from typing import NamedTuple

from service.domain.wall.members import Framing, Member
from service.domain.wall.panels.outline import Line, Rect, without


class Post(NamedTuple):
    """Uprights that touch side by side: the center that takes the field line, where each stands, and all centers."""

    line: int
    stands: tuple[tuple[int, int], ...]
    centers: tuple[int, ...]


class FieldLine(NamedTuple):
    """A stretch of a field line; its ends are on edge lines or beside them."""

    x: int
    z0: int
    z1: int


class Posts(NamedTuple):
    """All posts of a wall from left to right, and the centers that take their field lines."""

    posts: list[Post]
    lines: list[int]

    def between(self, left: int, right: int) -> list[Post]:
        """Return the posts whose field line stands between two sides."""
        return self.posts[bisect_right(self.lines, left) : bisect_left(self.lines, right)]


def find_posts(framing: Framing, marks: tuple[int, ...]) -> Posts:
    """Return the groups of uprights behind panels; backing studs hold no panel but where one stands for a layout stud (service rule).

    Parameters
    ----------
    marks : tuple of int
        Layout centers.
    """
    heads = {id(c): f.opening.head_height for f in framing.frames for c in f.head_cripples}
    posts = sorted([_post(group, heads, marks) for group in _touching(framing.uprights)])
    return Posts(posts, [p.line for p in posts])


def _touching(uprights: tuple[Member, ...]) -> list[list[Member]]:
    """Group uprights that touch over some height; they come from left to right."""
    groups: list[list[Member]] = []
    ending: dict[int, list[tuple[Member, list[Member]]]] = {}
    for m in uprights:
        if m.role == "backing_stud" and m.purpose != "layout":
            continue
        x, z, high = m.x, m.z, m.z + m.height
        beside = [g for o, g in ending[x] if o.z < high and z < o.z + o.height] if x in ending else ()
        if beside:
            group = beside[0]
            group.append(m)
        else:
            group = [m]
            groups.append(group)
        for other in beside[1:]:
            if other is not group:
                group += other
                groups.remove(other)
                ending = {x: [(o, group if g is other else g) for o, g in found] for x, found in ending.items()}
        ending.setdefault(x + m.width, []).append((m, group))
    return groups


def _post(group: list[Member], heads: dict[int, int], marks: tuple[int, ...]) -> Post:
    """Return a group as a post; a head cripple's line counts the header below it as part of it."""
    if len(group) == 1:
        m = group[0]
        center = m.x + m.width // 2
        return Post(center, ((heads.get(id(m), m.z), m.z + m.height),), (center,))
    centers = tuple([m.x + m.width // 2 for m in group])
    line = min(centers, key=lambda c: (_off_mark(c, marks), c))
    return Post(line, tuple([(heads.get(id(m), m.z), m.z + m.height) for m in group]), centers)


def _off_mark(center: int, marks: tuple[int, ...]) -> int:
    i = bisect_left(marks, center)
    return min((abs(center - k) for k in marks[max(i - 1, 0) : i + 1]), default=0)


def field_lines(outer: Rect, holes: tuple[Rect, ...], runs: list[Line], posts: Posts, near: int) -> list[FieldLine]:
    """Return the field lines of a piece, on the posts inside its edge line that no upright run of it is near.

    Parameters
    ----------
    near : int
        How close an upright run of edge nails makes a field line needless. [ticks]
    """
    inside = posts.between(outer.x0, outer.x1)
    if not holes:
        return _whole_lines(outer, inside, near)
    uprights = [(x0, min(z0, z1), max(z0, z1)) for x0, z0, _, z1 in runs if z0 != z1]
    out = []
    for post in inside:
        free = [(outer.z0, outer.z1)]
        for h in holes:
            if h.x0 < post.line < h.x1:
                free = without(free, h.z0, h.z1)
        for side, low, high in uprights:
            if -near <= side - post.line <= near or len(post.centers) > 1 and any([-near <= side - c <= near for c in post.centers]):
                free = without(free, low, high)
        out += [FieldLine(x, a, b) for a, b in free if (x := _line_at(post, a, b, outer)) is not None]
    return out


def _whole_lines(outer: Rect, inside: list[Post], near: int) -> list[FieldLine]:
    """Return the field lines of a piece without holes: from edge line to edge line, on every post that is not near its sides."""
    x0, z0, x1, z1 = outer
    out = []
    for post in inside:
        beside = [c for c in post.centers if abs(c - x0) <= near or abs(c - x1) <= near]
        if not beside and (x := _line_at(post, z0, z1, outer)) is not None:
            out.append(FieldLine(x, z0, z1))
    return out


def _line_at(post: Post, low: int, high: int, outer: Rect) -> int | None:
    """Return the member center for a stretch: the post's own line where a member on it stands there, else the nearest that does."""
    line, stands, centers = post
    if len(centers) == 1:
        return line if stands[0][0] < high and low < stands[0][1] else None
    here = [c for c, (s, e) in zip(centers, stands, strict=True) if s < high and low < e and outer.x0 < c < outer.x1]
    return min(here, key=lambda c: (abs(c - line), c), default=None)
