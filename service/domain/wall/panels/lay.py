"""Lays panels over a framed wall and puts every panel nail on its line."""

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from service.domain.wall.members import Framing
from service.domain.wall.panels.joints import at_corner, blocked_levels, courses, off_stud, panel_levels, seams, stock_length
from service.domain.wall.panels.outline import Line, Rect, in_order, outline
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
        around += self.ends
        out = [(self._on_stud(x, z, around), z) for x, z in around] if self.bare else around
        out += self.crossings
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


def cover(wall: Wall, framing: Framing, marks: tuple[int, ...], rules: Rules) -> Cover | None:
    """Lay the panels of a wall.

    Parameters
    ----------
    marks : tuple of int
        Layout centers.
    """
    if wall.sheathing is None:
        return None
    rows, inner, blocked = courses(wall, rules), panel_levels(wall, rules), blocked_levels(wall, rules)
    top = rows[-1][1]
    unblocked = tuple(z for z in inner if z not in blocked)
    posts = find_posts(framing, marks)
    holes = tuple(Rect(o.at, o.sill_height or 0, o.at + o.width, o.head_height) for o in wall.openings)
    gaps = {z: found for z in blocked if (found := _narrow_gaps(z, framing, rules))}
    upright = seams(wall, rules)
    off = off_stud(upright, holes, framing, rules)
    pieces: list[Piece] = []
    for z0, z1, joints in rows:
        for x0, x1 in pairwise((0, *joints, wall.length)):
            rect = Rect(x0, z0, x1, z1)
            cuts = tuple([c for h in holes if h.x0 < x1 and x0 < h.x1 and (c := rect.cut(h))])
            if rect not in cuts:
                piece = _piece(rect, cuts, posts, wall, unblocked, rules)
                if x0 in off or x1 in off:
                    piece = _on_wood(piece, off, framing, rules.panel_edge_distance)
                pieces.append(replace(piece, bare=_bare(piece, gaps, rules.nails_apart)) if gaps else piece)
    return Cover(
        tuple(pieces),
        wall.height - top,
        off,
        at_corner(upright, holes, rules),
        unblocked,
        _unframed(wall, framing, rules),
    )


def _narrow_gaps(level: int, framing: Framing, rules: Rules) -> list[tuple[int, int]]:
    """Return the gaps between neighboring uprights at a height that are too narrow for a block, each from 3/8 in inside the one to the other."""
    inset = rules.panel_edge_distance
    standing = [m for m in framing.uprights if m.z < level < m.z + m.height + inset]
    return [(a.right - inset, b.x + inset) for a, b in pairwise(standing) if 0 < b.x - a.right < rules.least_bay]


def _bare(piece: Piece, gaps: dict[int, list[tuple[int, int]]], apart: int) -> tuple[Gap, ...]:
    """Return the narrow gaps behind the level edges of a piece."""
    levels = {run.z0: z for run in piece.runs if run.level for z in (piece.rect.z0, piece.rect.z1) if abs(run.z0 - z) < T}
    return tuple(Gap(line, a, b, apart) for line, z in levels.items() for a, b in gaps.get(z, ()))


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
    crossings = tuple((x, e.z0) for e in loose for x in _lines_at(e.z0, field) if min(e.x0, e.x1) < x < max(e.x0, e.x1))
    return Piece(rect, cuts, runs, loose, _last_corners(runs, loose), crossings, field)


def _last_corners(runs: list[Line], loose: tuple[Line, ...], single: tuple[Corner, ...] = ()) -> tuple[Corner, ...]:
    """Return the corners that end a run at the edge spacing and begin none, and single nails."""
    edges = [e for e in in_order(runs) if e not in loose]
    starts = {(e.x0, e.z0) for e in edges}
    return tuple(dict.fromkeys(c for c in (*((e.x1, e.z1) for e in edges), *single) if c not in starts))


def _on_wood(piece: Piece, off: tuple[int, ...], framing: Framing, inset: int) -> Piece:
    """Cut the edge lines at joints that are off the studs to the stretches with wood behind them: no nail is counted in air.

    A stretch ends 3/8 in inside its wood; one under 1-1/2 in, as on a plate, has one nail.
    """
    lines = [x for x, joint in ((piece.rect.x0 + inset, piece.rect.x0), (piece.rect.x1 - inset, piece.rect.x1)) if joint in off]
    kept, single = [r for r in piece.runs if r.level or r.x0 not in lines], list[Corner]()
    for run in piece.runs:
        if run in kept:
            continue
        low, high = sorted((run.z0, run.z1))
        for a, b in _wood_at(run.x0, framing):
            z0, z1 = max(low, a + inset), min(high, b - inset)
            if z1 - z0 >= T:
                kept.append(Line(run.x0, z0, run.x0, z1) if run.z0 == low else Line(run.x0, z1, run.x0, z0))
            elif z0 <= z1:
                single.append((run.x0, low if z0 == low else high if z1 == high else (z0 + z1) // 2))
    return replace(piece, runs=kept, ends=_last_corners(kept, piece.loose, tuple(single)))


def _wood_at(x: int, framing: Framing) -> list[tuple[int, int]]:
    """Return the heights at which a stick stands or lies at a place along the wall, joined where they touch."""
    out: list[tuple[int, int]] = []
    for a, b in sorted((m.z, m.z + m.height) for m in framing.members if m.x <= x <= m.right):
        if out and a <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out


def _lines_at(z: int, field: list[FieldLine]) -> list[int]:
    """Return where field lines reach a height."""
    return sorted({f.x for f in field if f.z0 <= z <= f.z1})


def panels_by_area(wall: Wall, rules: Rules) -> int:
    """Count sheets by gross wall area, openings not deducted (estimating texts); 0 without sheathing."""
    if wall.sheathing is None:
        return 0
    return ceil_div(wall.length * wall.height, wall.sheathing.panel_width * stock_length(wall, rules))
