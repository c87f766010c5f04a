"""Lays panels over a framed wall and puts every panel nail on its line.

The outline of a piece is its rectangle less the rough openings; moved 3/8 in inward it is the line of the edge nails.

    +-----------+        +-----------+
    |  +----+   |        |.+........+|   edge line: rectangle moved in,
    |  |hole|   |   ->   |.:+----+ :.|   hole moved out, corners shared;
    |  +----+   |        |.:|hole| :.|   field lines between edge lines
    +-----------+        +-----------+
"""

from bisect import bisect_left
from collections import defaultdict
from dataclasses import dataclass

from service.domain.wall.members import Framing, Member
from service.domain.wall.wall import T, Wall
from service.ticks import ceil_div, inches, ticks

INSET = ticks("0.375")
ON_STUD = ticks("0.375")
NEAR_CORNER = ticks("1.5")
LAP_SHORT = ticks("2.25")
LAP_SHORT_SINGLE = ticks("1.125")
STOCK = tuple(ticks(x) for x in ("96", "97.125", "108", "109.125", "120", "121.125"))
LYING = ticks(96)


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle in the elevation; ticks."""

    x0: int
    z0: int
    x1: int
    z1: int

    def cut(self, other: "Rect") -> "Rect | None":
        """Return the common part, None when there is no area in it."""
        r = Rect(max(self.x0, other.x0), max(self.z0, other.z0), min(self.x1, other.x1), min(self.z1, other.z1))
        return r if r.x0 < r.x1 and r.z0 < r.z1 else None

    def grown(self, by: int) -> "Rect":
        """Move every side outward."""
        return Rect(self.x0 - by, self.z0 - by, self.x1 + by, self.z1 + by)


@dataclass(frozen=True, slots=True)
class Line:
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


@dataclass(frozen=True, slots=True)
class FieldLine:
    """A stretch of a field line; its ends are on edge lines or beside them."""

    x: int
    z0: int
    z1: int


@dataclass(frozen=True, slots=True)
class Piece:
    """One panel as cut: its place, its cut-outs and its nail lines.

    `edges` run at the edge spacing, each from its first corner to the next run's; `ends` are last corners before an unblocked
    joint, `crossings` the nails of that joint, one a member.
    """

    rect: Rect
    cut_outs: tuple[Rect, ...]
    edges: tuple[Line, ...]
    ends: tuple[tuple[int, int], ...]
    crossings: tuple[tuple[int, int], ...]
    field: tuple[FieldLine, ...]

    @property
    def area(self) -> int:
        """Area as cut, in square ticks."""
        return sum((1 if r is self.rect else -1) * (r.x1 - r.x0) * (r.z1 - r.z0) for r in (self.rect, *self.cut_outs))

    def nail_count(self, edge: int, field: int) -> int:
        """Count the nails at an edge and a field spacing."""
        around = sum(ceil_div(run.length, edge) for run in self.edges)
        return around + len(self.ends) + len(self.crossings) + sum(ceil_div(f.z1 - f.z0, field) - 1 for f in self.field)

    def spots(self, edge: int, field: int) -> list[tuple[int, int]]:
        """Place the nails in equal spaces; as many as `nail_count`."""
        out = [
            (run.x0 + (run.x1 - run.x0) * k // n, run.z0 + (run.z1 - run.z0) * k // n)
            for run in self.edges
            for n in [ceil_div(run.length, edge)]
            for k in range(n)
        ]
        out += [*self.ends, *self.crossings]
        return out + [(f.x, f.z0 + (f.z1 - f.z0) * k // n) for f in self.field for n in [ceil_div(f.z1 - f.z0, field)] for k in range(1, n)]


@dataclass(frozen=True, slots=True)
class Post:
    """Uprights that touch side by side: the centers, where they stand, and the center that takes the field line."""

    centers: tuple[int, ...]
    stands: tuple[tuple[int, int], ...]
    line: int


@dataclass(frozen=True, slots=True)
class Cover:
    """The panels of a wall and what is doubtful about them."""

    pieces: tuple[Piece, ...]
    short_by: int
    joints_off_stud: tuple[int, ...]
    joints_at_corner: tuple[int, ...]
    unblocked_levels: tuple[int, ...]
    unframed: tuple[str, ...]


def panel_levels(wall: Wall) -> tuple[int, ...]:
    """Return the heights of the horizontal panel joints, without bottom and top."""
    sheets = wall.sheathing
    if sheets is None:
        return ()
    height = sheets.panel_width if sheets.orientation == "horizontal" else stock_length(wall)
    spare = LAP_SHORT if wall.top_plate_count == 2 else LAP_SHORT_SINGLE
    return tuple(range(height, wall.height - spare, height))


def stock_length(wall: Wall) -> int:
    """Return the panel length: as asked, else the smallest stock that covers the wall, 8 ft lying."""
    sheets = wall.sheathing
    if sheets and sheets.panel_length:
        return sheets.panel_length
    if sheets and sheets.orientation == "horizontal":
        return LYING
    return next((x for x in STOCK if x >= wall.height), STOCK[-1])


def blocked_levels(wall: Wall) -> tuple[int, ...]:
    """Return the panel joints that get a row of blocks: all of standing panels, those of braced walls where panels lie."""
    lying = wall.sheathing is not None and wall.sheathing.orientation == "horizontal"
    return () if lying and not wall.braced else panel_levels(wall)


def cover(wall: Wall, framing: Framing, marks: tuple[int, ...]) -> Cover | None:
    """Lay the panels of a wall.

    Parameters
    ----------
    marks : tuple of int
        Layout centers.
    """
    sheets = wall.sheathing
    if sheets is None:
        return None
    inner = panel_levels(wall)
    lying = sheets.orientation == "horizontal"
    length = stock_length(wall)
    top = wall.height if lying or inner else min(wall.height, length)
    if inner:
        step = sheets.panel_width if lying else length
        top = min(wall.height, inner[-1] + step)
    levels = (0, *inner, top)
    unblocked = tuple(z for z in inner if z not in blocked_levels(wall))
    posts = _posts(framing, marks)
    holes = tuple(Rect(o.at, o.sill_height or 0, o.at + o.width, o.head_height) for o in wall.openings)
    pieces: list[Piece] = []
    seams: set[int] = set()
    for row, (z0, z1) in enumerate(zip(levels, levels[1:], strict=False)):
        joints = _lying_joints(wall, marks, length, row) if lying else _standing_joints(wall)
        seams |= set(joints)
        for x0, x1 in zip((0, *joints), (*joints, wall.length), strict=False):
            rect = Rect(x0, z0, x1, z1)
            cuts = tuple(c for h in holes if (c := rect.cut(h)))
            if rect not in cuts:
                pieces.append(_piece(rect, cuts, posts, wall, unblocked))
    centers = [c for p in posts for c in p.centers] + [m.center for m in framing.studs]
    off = tuple(x for x in sorted(seams) if not any(abs(c - x) <= ON_STUD for c in centers))
    corner = tuple(x for x in sorted(seams) if any(abs(x - side) <= NEAR_CORNER for h in holes for side in (h.x0, h.x1)))
    return Cover(tuple(pieces), wall.height - top, off, corner, unblocked, _unframed(wall))


def _unframed(wall: Wall) -> tuple[str, ...]:
    """Say where a blocked joint passes over or under an opening, where no blocks stand."""
    return tuple(
        f"the joint at height {inches(z):g} in beside opening {o.opening_id}, where no blocks stand"
        for z in blocked_levels(wall)
        for o in wall.openings
        if not (o.sill_height or 0) <= z <= o.head_height
    )


def _standing_joints(wall: Wall) -> tuple[int, ...]:
    width = wall.sheathing.panel_width if wall.sheathing else 0
    start = wall.first_center - wall.spacing
    return _no_sliver([x for x in range(start + width, wall.length, width) if x > 0], wall, width)


def _lying_joints(wall: Wall, marks: tuple[int, ...], length: int, row: int) -> tuple[int, ...]:
    joints: list[int] = []
    last, reach = min(wall.first_center - wall.spacing, 0), length // 2 if row % 2 else length
    while wall.length - last > reach:
        here = [m for m in range(wall.first_center, wall.length, wall.spacing) if last < m <= last + reach]
        last = here[-1] if here else last + reach
        joints.append(last)
        reach = length
    return _no_sliver(joints, wall, length)


def _no_sliver(joints: list[int], wall: Wall, widest: int) -> tuple[int, ...]:
    """Move the last joint back one layout mark where the last rip would be narrower than a bay."""
    if joints and wall.length - joints[-1] < wall.spacing:
        moved = joints[-1] - wall.spacing
        before = joints[-2] if len(joints) > 1 else 0
        if moved > before and wall.length - moved <= widest:
            joints = [*joints[:-1], moved]
    return tuple(joints)


def _posts(framing: Framing, marks: tuple[int, ...]) -> tuple[Post, ...]:
    heads = {c: f.opening.head_height for f in framing.frames for c in f.head_cripples}
    groups: list[list[Member]] = []
    ending: dict[int, list[tuple[Member, list[Member]]]] = defaultdict(list)
    for m in framing.uprights:
        if m.role == "backing_stud":
            continue
        touching = [g for o, g in ending.get(m.x, ()) if o.z < m.z + m.height and m.z < o.z + o.height]
        group = touching[0] if touching else []
        if not touching:
            groups.append(group)
        group.append(m)
        for other in touching[1:]:
            if other is not group:
                group += other
                groups.remove(other)
                ending = defaultdict(list, {x: [(o, group if g is other else g) for o, g in found] for x, found in ending.items()})
        ending[m.right].append((m, group))
    return tuple(sorted((_post(g, heads, marks) for g in groups), key=lambda p: (p.line, p.stands)))


def _post(group: list[Member], heads: dict[Member, int], marks: tuple[int, ...]) -> Post:
    line = min((m.center for m in group), key=lambda c: (_off_mark(c, marks), c)) if len(group) > 1 else group[0].center
    return Post(tuple(m.center for m in group), tuple((heads.get(m, m.z), m.z + m.height) for m in group), line)


def _off_mark(center: int, marks: tuple[int, ...]) -> int:
    i = bisect_left(marks, center)
    return min((abs(center - k) for k in marks[max(i - 1, 0) : i + 1]), default=0)


def _piece(rect: Rect, cuts: tuple[Rect, ...], posts: tuple[Post, ...], wall: Wall, unblocked: tuple[int, ...]) -> Piece:
    outer = rect.grown(-INSET)
    seam = wall.height - T
    if wall.top_plate_count == 2 and abs(outer.z1 - seam) <= INSET:
        outer = Rect(outer.x0, outer.z0, outer.x1, seam - INSET)
    holes = tuple(c for h in cuts if (c := outer.cut(h.grown(INSET))))
    runs = _outline(outer, holes)
    loose_levels = {z for z, at in ((outer.z0, rect.z0), (outer.z1, rect.z1)) if at in unblocked}
    loose = [e for e in runs if e.level and e.z0 in loose_levels]
    edges = tuple(e for e in runs if e not in loose)
    starts = {(e.x0, e.z0) for e in edges}
    field = _field(outer, holes, runs, posts)
    lines = sorted({f.x for f in field})
    return Piece(
        rect=rect,
        cut_outs=cuts,
        edges=edges,
        ends=tuple((e.x1, e.z1) for e in edges if (e.x1, e.z1) not in starts),
        crossings=tuple((x, e.z0) for e in loose for x in lines if min(e.x0, e.x1) < x < max(e.x0, e.x1)),
        field=field,
    )


def _outline(outer: Rect, holes: tuple[Rect, ...]) -> tuple[Line, ...]:
    """Trace the boundary of a rectangle less holes, counterclockwise, in straight runs."""
    if outer.x0 >= outer.x1 or outer.z0 >= outer.z1:
        return ()
    if not holes:
        x0, z0, x1, z1 = outer.x0, outer.z0, outer.x1, outer.z1
        return Line(x0, z0, x1, z0), Line(x1, z0, x1, z1), Line(x1, z1, x0, z1), Line(x0, z1, x0, z0)
    xs = sorted({outer.x0, outer.x1, *(x for h in holes for x in (h.x0, h.x1))})
    zs = sorted({outer.z0, outer.z1, *(z for h in holes for z in (h.z0, h.z1))})
    sides: set[tuple[tuple[int, int], tuple[int, int]]] = set()
    for a, b in zip(xs, xs[1:], strict=False):
        for c, d in zip(zs, zs[1:], strict=False):
            if any(h.x0 <= a and b <= h.x1 and h.z0 <= c and d <= h.z1 for h in holes):
                continue
            for start, end in (((a, c), (b, c)), ((b, c), (b, d)), ((b, d), (a, d)), ((a, d), (a, c))):
                if (end, start) in sides:
                    sides.remove((end, start))
                else:
                    sides.add((start, end))
    following: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for start, end in sorted(sides):
        following[start].append(end)
    out: list[Line] = []
    while following:
        first = min(following)
        loop = [first]
        while True:
            nexts = following[loop[-1]]
            step = nexts.pop(0)
            if not nexts:
                del following[loop[-1]]
            if step == first:
                break
            loop.append(step)
        out += _straight(loop)
    return tuple(out)


def _straight(loop: list[tuple[int, int]]) -> list[Line]:
    corners = [
        p
        for before, p, after in zip([loop[-1], *loop], loop, [*loop[1:], loop[0]], strict=False)
        if not ((before[0] == p[0] == after[0]) or (before[1] == p[1] == after[1]))
    ]
    return [Line(*a, *b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]


def _field(outer: Rect, holes: tuple[Rect, ...], runs: tuple[Line, ...], posts: tuple[Post, ...]) -> tuple[FieldLine, ...]:
    uprights = [r for r in runs if not r.level]
    out = []
    for post in posts:
        if not outer.x0 < post.line < outer.x1:
            continue
        free = [(outer.z0, outer.z1)]
        for h in holes:
            if h.x0 < post.line < h.x1:
                free = _without(free, h.z0, h.z1)
        for r in uprights:
            if any(abs(r.x0 - c) <= NEAR_CORNER for c in post.centers):
                free = _without(free, min(r.z0, r.z1), max(r.z0, r.z1))
        out += [FieldLine(x, a, b) for a, b in free if (x := _line_at(post, a, b, outer)) is not None]
    return tuple(out)


def _line_at(post: Post, low: int, high: int, outer: Rect) -> int | None:
    """Return the member center for a stretch: the post's own line where a member on it stands there, else the nearest that does."""
    here = [c for c, (s, e) in zip(post.centers, post.stands, strict=True) if s < high and low < e and outer.x0 < c < outer.x1]
    return min(here, key=lambda c: (abs(c - post.line), c), default=None)


def _without(stretches: list[tuple[int, int]], low: int, high: int) -> list[tuple[int, int]]:
    return [(a, b) for s, e in stretches for a, b in ((s, min(e, low)), (max(s, high), e)) if a < b]


def panels_by_area(wall: Wall) -> int:
    """Count sheets by gross wall area, openings not deducted (estimating texts); 0 without sheathing."""
    if wall.sheathing is None:
        return 0
    return ceil_div(wall.length * wall.height, wall.sheathing.panel_width * stock_length(wall))


def say_joints(joints: tuple[int, ...]) -> str:
    """Say where joints are."""
    return ", ".join(f"{inches(x):g} in" for x in joints)
