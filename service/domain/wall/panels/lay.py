"""Lays panels over a framed wall and puts every panel nail on its line."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from service.domain.wall.members import Framing
from service.domain.wall.panels.outline import Line, Rect, in_order, outline, without
from service.domain.wall.panels.posts import FieldLine, Posts, field_lines, find_posts
from service.domain.wall.wall import T, Wall
from service.said import say_length
from service.tables.rules import Rules
from service.ticks import ceil_div

Corner = tuple[int, int]


class Gap(NamedTuple):
    """A stretch of a panel edge behind which no block fits: height, where the studs beside it take nails, and how far those stand apart."""

    z: int
    left: int
    right: int
    apart: int


class Seam(NamedTuple):
    """An upright joint between two panels of one course, over the bottom plate."""

    x: int
    z0: int
    z1: int


@dataclass(frozen=True, slots=True)
class Piece:
    """One panel as cut: its place, its cut-outs and its nail lines.

    `runs` are nailed at the edge spacing, each from its first corner to the next run's, but for `loose` ones along an
    unblocked joint: `ends` are last corners before such a joint, `crossings` its nails, one a member. `bare` are the stretches
    of a blocked joint too narrow for a block.
    """

    rect: Rect
    cut_outs: tuple[Rect, ...]
    runs: list[Line]
    loose: tuple[Line, ...]
    ends: tuple[Corner, ...]
    crossings: tuple[Corner, ...]
    field: list[FieldLine]
    bare: tuple[Gap, ...] = ()

    @property
    def area(self) -> int:
        """Area as cut, in square ticks."""
        return self.rect.area - sum(c.area for c in self.cut_outs)

    @property
    def edges(self) -> list[Line]:
        """The runs at the edge spacing, loop by loop."""
        return [run for run in in_order(self.runs) if run not in self.loose]

    def nail_count(self, edge: int, field: int) -> int:
        """Count the nails at an edge and a field spacing."""
        runs = [r for r in self.runs if r not in self.loose] if self.loose else self.runs
        around = sum([-(-(abs(x1 - x0) + abs(z1 - z0)) // edge) for x0, z0, x1, z1 in runs])
        return around + len(self.ends) + len(self.crossings) + sum([-(-(z1 - z0) // field) - 1 for _, z0, z1 in self.field])

    def spots(self, edge: int, field: int) -> list[Corner]:
        """Place the nails in equal spaces; as many as `nail_count`. Where no block fits, an edge nail moves onto the nearer stud."""
        around = [
            (run.x0 + (run.x1 - run.x0) * k // n, run.z0 + (run.z1 - run.z0) * k // n)
            for run in self.edges
            for n in [ceil_div(run.length, edge)]
            for k in range(n)
        ]
        out = [(self._on_stud(x, z, around), z) for x, z in around] if self.bare else around
        out += [*self.ends, *self.crossings]
        return out + [(f.x, f.z0 + (f.z1 - f.z0) * k // n) for f in self.field for n in [ceil_div(f.z1 - f.z0, field)] for k in range(1, n)]

    def _on_stud(self, x: int, z: int, around: list[Corner]) -> int:
        """Return where an edge nail of a bare stretch goes: onto the nearer stud, as near as other nails and the panel's edge allow."""
        gap = next((g for g in self.bare if g.z == z and g.left < x < g.right), None)
        if gap is None:
            return x
        line = [v for v, w in around if w == z]
        places = [s for step in range(3) for s in (gap.left - step * gap.apart, gap.right + step * gap.apart)]
        free = [s for s in places if min(line) <= s <= max(line) and all(v == x or abs(v - s) >= gap.apart for v in line)]
        return min(free, key=lambda s: abs(s - x), default=x)


@dataclass(frozen=True, slots=True)
class Cover:
    """The panels of a wall and what is doubtful about them."""

    pieces: tuple[Piece, ...]
    short_by: int
    joints_off_stud: tuple[int, ...]
    joints_at_corner: tuple[int, ...]
    unblocked_levels: tuple[int, ...]
    unframed: tuple[str, ...]


def panel_levels(wall: Wall, rules: Rules) -> tuple[int, ...]:
    """Return the heights of the horizontal panel joints, without bottom and top."""
    sheets = wall.sheathing
    if sheets is None:
        return ()
    height = sheets.panel_width if sheets.orientation == "horizontal" else stock_length(wall, rules)
    spare = rules.lap_short_double if wall.top_plate_count == 2 else rules.lap_short_single
    return tuple(range(height, wall.height - spare, height))


def stock_length(wall: Wall, rules: Rules) -> int:
    """Return the panel length: as asked, else the smallest stock that covers the wall, 8 ft lying."""
    sheets = wall.sheathing
    if sheets and sheets.panel_length:
        return sheets.panel_length
    if sheets and sheets.orientation == "horizontal":
        return rules.lying_sheet
    return next((x for x in rules.stock_sheets if x >= wall.height), rules.stock_sheets[-1])


def blocked_levels(wall: Wall, rules: Rules) -> tuple[int, ...]:
    """Return the panel joints that get a row of blocks: all of standing panels, those of braced walls where panels lie."""
    lying = wall.sheathing is not None and wall.sheathing.orientation == "horizontal"
    return () if lying and not wall.braced else panel_levels(wall, rules)


def cover(wall: Wall, framing: Framing, marks: tuple[int, ...], rules: Rules) -> Cover | None:
    """Lay the panels of a wall.

    Parameters
    ----------
    marks : tuple of int
        Layout centers.
    """
    sheets = wall.sheathing
    if sheets is None:
        return None
    lying, length = sheets.orientation == "horizontal", stock_length(wall, rules)
    inner, blocked = panel_levels(wall, rules), blocked_levels(wall, rules)
    high = sheets.panel_width if lying else length
    top = min(wall.height, (inner[-1] if inner else 0) + high)
    unblocked = tuple(z for z in inner if z not in blocked)
    posts = find_posts(framing, marks)
    holes = tuple(Rect(o.at, o.sill_height or 0, o.at + o.width, o.head_height) for o in wall.openings)
    gaps = {z: found for z in blocked if (found := _narrow_gaps(z, framing, rules))}
    pieces: list[Piece] = []
    seams: list[Seam] = []
    for row, (z0, z1) in enumerate(pairwise((0, *inner, top))):
        joints = _lying_joints(wall, length, row) if lying else _standing_joints(wall)
        seams += [Seam(x, max(z0, T), z1) for x in joints]
        for x0, x1 in pairwise((0, *joints, wall.length)):
            rect = Rect(x0, z0, x1, z1)
            cuts = tuple([c for h in holes if h.x0 < x1 and x0 < h.x1 and (c := rect.cut(h))])
            if rect not in cuts:
                piece = _piece(rect, cuts, posts, wall, unblocked, rules)
                pieces.append(replace(piece, bare=_bare(piece, gaps, rules.nails_apart)) if gaps else piece)
    return Cover(
        tuple(pieces),
        wall.height - top,
        _off_stud(seams, holes, framing, rules),
        _at_corner(seams, holes, rules),
        unblocked,
        _unframed(wall, framing, rules),
    )


def _narrow_gaps(level: int, framing: Framing, rules: Rules) -> list[tuple[int, int]]:
    """Return the gaps between neighboring uprights at a height that are too narrow for a block, each from 3/8 in inside the one to the other."""
    inset = rules.panel_edge_distance
    standing = [m for m in framing.uprights if m.z < level < m.z + m.height]
    return [(a.right - inset, b.x + inset) for a, b in pairwise(standing) if 0 < b.x - a.right < rules.least_bay]


def _bare(piece: Piece, gaps: dict[int, list[tuple[int, int]]], apart: int) -> tuple[Gap, ...]:
    """Return the narrow gaps behind the level edges of a piece."""
    levels = {run.z0: z for run in piece.runs if run.level for z in (piece.rect.z0, piece.rect.z1) if abs(run.z0 - z) < T}
    return tuple(Gap(line, a, b, apart) for line, z in levels.items() for a, b in gaps.get(z, ()))


def _off_stud(seams: list[Seam], holes: tuple[Rect, ...], framing: Framing, rules: Rules) -> tuple[int, ...]:
    """Return the joints that over some height have nothing behind them: no upright centered within 3/8 in, header, sill, plate or block."""
    near = rules.joint_on_member
    uprights = framing.uprights
    centers = [m.center for m in uprights]
    level = [*framing.blocks, *(m for f in framing.frames for m in f.level)]
    under_plates = T + framing.studs[0].height
    out = set()
    for x, z0, z1 in seams:
        behind = uprights[bisect_left(centers, x - near) : bisect_right(centers, x + near)]
        if any(m.z == T and m.height == framing.studs[0].height for m in behind):
            continue
        bare = [(z0, min(z1, under_plates))]
        for h in holes:
            if h.x0 <= x <= h.x1:
                bare = without(bare, h.z0, h.z1)
        for m in (*behind, *(m for m in level if m.x < x < m.right)):
            bare = without(bare, m.z, m.z + m.height)
        if any(b - a >= T for a, b in bare):
            out.add(x)
    return tuple(sorted(out))


def _at_corner(seams: list[Seam], holes: tuple[Rect, ...], rules: Rules) -> tuple[int, ...]:
    """Return the joints that run up to a corner of an opening."""
    reach = rules.opening_corner_reach
    near = {s.x for s in seams for h in holes if s.z0 <= h.z1 and h.z0 <= s.z1 and min(abs(s.x - h.x0), abs(s.x - h.x1)) <= reach}
    return tuple(sorted(near))


def _unframed(wall: Wall, framing: Framing, rules: Rules) -> tuple[str, ...]:
    """Say where a blocked joint passes over or under an opening with neither a block nor a header, sill or plate behind it."""
    reach = rules.panel_edge_distance
    out = []
    for z in blocked_levels(wall, rules):
        for f in framing.frames:
            o = f.opening
            held = any(m.z - reach <= z <= m.z + m.height + reach for m in f.level) or any(
                b.owner == o.opening_id and abs(b.z + T // 2 - z) <= T for b in framing.blocks
            )
            if not (held or (o.sill_height or 0) <= z <= o.head_height):
                out.append(f"the joint at height {say_length(z)} beside opening {o.opening_id}, where no blocks stand")
    return tuple(out)


def _standing_joints(wall: Wall) -> tuple[int, ...]:
    width = wall.sheathing.panel_width if wall.sheathing else 0
    start = wall.first_center - wall.spacing
    return _no_sliver([x for x in range(start + width, wall.length, width) if x > 0], wall, width)


def _lying_joints(wall: Wall, length: int, row: int) -> tuple[int, ...]:
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


def _piece(rect: Rect, cuts: tuple[Rect, ...], posts: Posts, wall: Wall, unblocked: tuple[int, ...], rules: Rules) -> Piece:
    inset = rules.panel_edge_distance
    outer = rect.grown(-inset)
    seam = wall.height - T
    if wall.top_plate_count == 2 and abs(outer.z1 - seam) <= inset:
        outer = Rect(outer.x0, outer.z0, outer.x1, seam - inset)
    holes = tuple([c for h in cuts if (c := outer.cut(h.grown(inset)))])
    runs = outline(outer, holes)
    field = field_lines(outer, holes, runs, posts, rules.opening_corner_reach)
    if not unblocked:
        return Piece(rect, cuts, runs, (), (), (), field)
    loose_levels = {z for z, at in ((outer.z0, rect.z0), (outer.z1, rect.z1)) if at in unblocked}
    ordered = in_order(runs)
    loose = tuple(e for e in ordered if e.level and e.z0 in loose_levels)
    edges = [e for e in ordered if e not in loose]
    starts = {(e.x0, e.z0) for e in edges}
    lines = sorted({f.x for f in field})
    ends = tuple((e.x1, e.z1) for e in edges if (e.x1, e.z1) not in starts)
    crossings = tuple((x, e.z0) for e in loose for x in lines if min(e.x0, e.x1) < x < max(e.x0, e.x1))
    return Piece(rect, cuts, runs, loose, ends, crossings, field)


def panels_by_area(wall: Wall, rules: Rules) -> int:
    """Count sheets by gross wall area, openings not deducted (estimating texts); 0 without sheathing."""
    if wall.sheathing is None:
        return 0
    return ceil_div(wall.length * wall.height, wall.sheathing.panel_width * stock_length(wall, rules))


def say_joints(joints: tuple[int, ...]) -> str:
    """Say where joints are."""
    return ", ".join(f"{say_length(x)}" for x in joints)
