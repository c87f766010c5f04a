"""The joints and nailed runs of a framed wall, in groups that are nailed alike.

A group knows the things that have a joint each, and how a joint is made of one. Counting needs the things alone;
the joints themselves, which know where nails can stand, are made when positions are asked for.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

from service.domain.joint.counting import nails_for, say_count
from service.domain.wall.members import Frame, Framing, Member
from service.domain.wall.panels.joints import doubled
from service.domain.wall.plates import lap_stretches
from service.domain.wall.wall import T, Wall
from service.tables.book import Book
from service.tables.joints import ConnectionRow
from service.tables.rules import Rules
from service.tables.schedule import Nailing

CHAIN_LANES = (3, 1, 2)


class PlateEnd(NamedTuple):
    """Nails through a plate into the end of an upright; `z` is the face they are driven from."""

    upright: Member
    z: int
    plates: tuple[Member, ...]


class ToeFoot(NamedTuple):
    """Toe-nails from the sides of an upright into a flat piece; `z` is the face it stands on, `up` away from it."""

    member: Member
    z: int
    up: int
    left_free: bool
    right_free: bool
    onto: tuple[Member, ...]


class BlockEnd(NamedTuple):
    """Nails through an upright into the end of a flat piece; `x` is the face they are driven from."""

    block: Member
    x: int
    post: Member


class BlockToe(NamedTuple):
    """Nails slanted from top and bottom of a block into the upright beside it; `x` is its end there, `inward` into the block."""

    block: Member
    x: int
    inward: int
    post: Member


class HeaderEnd(NamedTuple):
    """Nails that hold the end of a built-up header: through the king, or slanted from the header's faces."""

    plies: tuple[Member, ...]
    spacer: int
    x: int
    inward: int
    king: Member


class Splice(NamedTuple):
    """A nailed stretch of a double top plate: one side of an end joint, or what lies between two joints that share it.

    `level` is 0 where the joint is in the lower plate, 1 where it is in the upper one; a shared stretch takes `share` times
    the count of a side.
    """

    x0: int
    x1: int
    level: int
    share: Fraction
    upper: tuple[Member, ...]
    lower: tuple[Member, ...]


class Lap(NamedTuple):
    """Plates lapped at a corner or an intersection, between x0 and x1."""

    x0: int
    x1: int
    upper: tuple[Member, ...]
    lower: tuple[Member, ...]


class UprightRun(NamedTuple):
    """Nails up the height of two touching uprights; `on_face` when the other piece belongs to the next wall."""

    member: Member
    x: int
    z0: int
    z1: int
    on_face: bool
    other: Member | None = None
    lane: int = 2

    @property
    def length(self) -> int:
        """Length of the run."""
        return self.z1 - self.z0


class PlateRun(NamedTuple):
    """Nails down along a plate piece; `studs` are the uprights that stand on it, `onto` the pieces of this wall below it."""

    plate: Member
    studs: tuple[Member, ...] = ()
    onto: tuple[Member, ...] = ()

    @property
    def length(self) -> int:
        """Length of the run."""
        return self.plate.width


class FlatRun(NamedTuple):
    """Nails along the flat 2-by under or on a single-ply header, or the top plate, into its edge; `z` is the face they are driven from."""

    flats: tuple[Member, ...]
    z: int
    ply: Member

    @property
    def length(self) -> int:
        """Length of the run."""
        return self.ply.width


class PlyRun(NamedTuple):
    """Nails along both edges of a header, from ply to ply; `y` is the face they are driven from.

    `aside` where they share a ply with those of the interface before, and so stand half a spacing off.
    """

    ply: Member
    y: int
    other: Member
    aside: bool = False

    @property
    def length(self) -> int:
        """Length of the run."""
        return self.ply.width


Joint = HeaderEnd | PlateEnd | ToeFoot | BlockEnd | BlockToe | Splice | Lap
Run = UprightRun | PlateRun | PlyRun | FlatRun


class Part(NamedTuple):
    """Things that have one joint each, and how the joint of one is made."""

    things: tuple[Any, ...]
    make: Callable[[Any], Joint]


@dataclass(frozen=True, slots=True)
class Group:
    """All joints or all runs of one connection, nailed alike; `treated` where they stand in treated wood."""

    connection: ConnectionRow
    treated: bool
    parts: tuple[Part, ...] = ()
    runs: tuple[Run, ...] = ()
    shared: tuple[Fraction, ...] = ()
    """How many joints each stretch counts for that two joints share."""

    @property
    def connection_id(self) -> str:
        """Id of the connection."""
        return self.connection.connection_id

    @property
    def joint_count(self) -> int:
        """Number of joints."""
        return sum(len(p.things) for p in self.parts)

    @property
    def joints(self) -> Iterator[Joint]:
        """The joints themselves."""
        return (part.make(thing) for part in self.parts for thing in part.things)

    @property
    def run_lengths(self) -> tuple[int, ...]:
        """Lengths of the runs, in ticks."""
        return tuple(r.length for r in self.runs)

    def count(self, nailing: Nailing) -> int:
        """Count the nails of the group."""
        return nails_for(nailing, self.run_lengths, self.joint_count, self.shared)

    def say_count(self, nailing: Nailing) -> str:
        """Write the arithmetic of the count."""
        return say_count(nailing, self.run_lengths, self.joint_count, self.shared)


def list_joints(wall: Wall, framing: Framing, header_end: ConnectionRow, book: Book) -> tuple[Group, ...]:
    """Return the groups of joints that have any, in the order of the answer.

    Parameters
    ----------
    header_end : ConnectionRow
        The joint of the header's ends in this edition.
    """
    concrete, joints, rules = wall.bottom_plate_on == "concrete", book.wall_joints, book.rules
    end_top, end_bottom, toe_top, toe_bottom = _stud_ends(wall, framing)
    headers = [f for f in framing.frames if f.opening.header]
    upper, lower = framing.double_top_plates, framing.top_plates
    floor = () if concrete else tuple([PlateRun(p, framing.on_plate) for p in framing.bottom_plates if p not in framing.full_stubs])
    block_ends, block_toes = _block_ends(framing, rules)
    groups = (
        Group(joints["stud_end"], concrete, end_bottom),
        Group(joints["stud_end"], False, end_top + _sill_ends(framing)),
        Group(joints["stud_toe"], concrete, toe_bottom),
        Group(joints["stud_toe"], False, toe_top + _cripple_feet(framing)),
        Group(joints["uprights"], False, (), _upright_runs(wall, framing, rules)),
        Group(header_end, False, (_header_ends(headers, header_end.method),)),
        Group(joints["header_plies"], False, (), tuple([r for f in headers for r in _ply_runs(f)])),
        Group(joints["header_flats"], False, (), tuple([r for f in headers for r in _flat_runs(f, lower)])),
        Group(joints["top_plates"], False, (), tuple([PlateRun(p, (), lower) for p in upper])),
        _splices(wall, framing, joints["splice"], rules),
        Group(joints["lap"], False, _laps(wall, framing, book.lumber[wall.stud].depth)),
        Group(joints["floor"], False, (), floor),
        Group(joints["block"], False, (Part(block_ends, lambda e: _block_end(e, framing)),)),
        Group(joints["block_toe"], False, (Part(block_toes, lambda e: _block_toe(e, framing)),)),
    )
    return _merged(tuple([g for g in groups if g.runs or g.joint_count]))


def _flat_ends(pieces: tuple[Member, ...]) -> tuple[tuple[Member, int], ...]:
    """Return each end of some flat pieces: the piece, and the far face of the upright beside it."""
    return tuple((p, x) for p in pieces for x in (p.x - T, p.right + T))


def _block_end(end: tuple[Member, int], framing: Framing) -> BlockEnd:
    block, x = end
    left = x if x < block.x else block.right
    post = next(m for m in framing.uprights if m.x == left and m.z < block.z + T and block.z < m.z + m.height)
    return BlockEnd(block, x, post)


def _block_toe(end: tuple[Member, int], framing: Framing) -> BlockToe:
    block, x, post = _block_end(end, framing)
    return BlockToe(block, block.x, 1, post) if x < block.x else BlockToe(block, block.right, -1, post)


def _block_ends(framing: Framing, rules: Rules) -> tuple[tuple[tuple[Member, int], ...], tuple[tuple[Member, int], ...]]:
    """Return the ends of blocks that are nailed through the upright, and those that are toe-nailed as its far side has no room.

    A row is set from the left: a block in line finds the far side of its left upright taken by the block before it. A gap too
    narrow for a block is too narrow to drive a nail in.
    """
    ends: tuple[list[tuple[Member, int]], list[tuple[Member, int]]] = ([], [])
    if not framing.blocks:
        return (), ()
    rights = sorted((m.right, m.z, m.z + m.height) for m in (*framing.uprights, *framing.blocks))
    lefts = sorted((m.x, m.z, m.z + m.height) for m in framing.uprights)
    for block, x in _flat_ends(framing.blocks):
        near = _from(rights, x - rules.least_bay + 1, x) if x < block.x else _from(lefts, x, x + rules.least_bay - 1)
        ends[any(low < block.z + T and block.z < high for _, low, high in near)].append((block, x))
    return tuple(ends[0]), tuple(ends[1])


def _from(sides: list[tuple[int, int, int]], low: int, high: int) -> list[tuple[int, int, int]]:
    """Return the sides from low to high."""
    return sides[bisect_left(sides, (low, 0, 0)) : bisect_left(sides, (high + 1, 0, 0))]


def _sill_ends(framing: Framing) -> tuple[Part, ...]:
    """Sills, and flat heads of openings without a header, nailed through the upright beside them; sill cripples under the sill."""
    out: list[Part] = []
    for f in framing.frames:
        flats = ((f.sill,) if f.sill else ()) + (() if f.opening.header else f.header)
        out.append(Part(_flat_ends(flats), lambda e: _block_end(e, framing)))
        if f.sill:
            out.append(Part(f.sill_cripples, _under_sill(f.sill)))
    return tuple(out)


def _under_sill(sill: Member) -> Callable[[Member], Joint]:
    return lambda c: PlateEnd(c, sill.z + T, (sill,))


def _cripple_feet(framing: Framing) -> tuple[Part, ...]:
    """Feet of head cripples on their header; the kings stand at its ends."""
    return tuple(Part(f.head_cripples, _on_header(f)) for f in framing.frames)


def _on_header(f: Frame) -> Callable[[Member], Joint]:
    others = (*f.head_cripples, f.left_kings[0], f.right_kings[0])
    return lambda c: _foot(c, others, c.z, 1, f.flats[1:] or f.header)


def _foot(post: Member, others: tuple[Member, ...], z: int, up: int, onto: tuple[Member, ...]) -> ToeFoot:
    """Toe-nail a piece from the sides that have room for it, 1-1/2 in to the next one."""
    left = not any(post.x - T < o.right <= post.x for o in others)
    right = not any(post.right <= o.x < post.right + T for o in others)
    return ToeFoot(post, z, up, left, right, onto)


def _header_ends(headers: list[Frame], method: str) -> Part:
    """Both ends of each header: from the far face of the king, or slanted from the header's own end."""
    out = 0 if method == "toe_nail" else T

    def end(which: tuple[Frame, int]) -> HeaderEnd:
        f, inward = which
        x = f.header[0].x - out if inward > 0 else f.header[0].right + out
        return HeaderEnd(f.header, _spacer(f), x, inward, (f.left_kings if inward > 0 else f.right_kings)[0])

    return Part(tuple((f, inward) for f in headers for inward in (1, -1)), end)


def _spacer(f: Frame) -> int:
    return f.opening.header.spacer if f.opening.header else 0


def _ply_runs(f: Frame) -> list[PlyRun]:
    """One run per interface: the first nailed from the outside face, each further one from the far face of the ply it adds."""
    first, *more = f.header
    runs = [PlyRun(ply, ply.y + ply.thickness, f.header[k], k % 2 == 1) for k, ply in enumerate(more) if k]
    return [PlyRun(first, first.y, more[0]), *runs] if more else []


def _flat_runs(f: Frame, plates: tuple[Member, ...]) -> list[FlatRun]:
    """Up through the flat under a single-ply header, down through the one on it or the top plate that it reaches."""
    if not f.flats:
        return []
    ply, upper = f.header[0], f.flats[1:] or plates
    return [FlatRun(f.flats[:1], f.flats[0].z, ply), FlatRun(upper, upper[0].z + T, ply)]


def _merged(groups: tuple[Group, ...]) -> tuple[Group, ...]:
    """Join groups that are nailed alike: a treated plate keeps its own line."""
    out: dict[tuple[str, bool], Group] = {}
    for g in groups:
        key = (g.connection_id, g.treated)
        old = out.get(key)
        out[key] = Group(g.connection, g.treated, old.parts + g.parts, old.runs + g.runs, old.shared + g.shared) if old else g
    return tuple(out.values())


def _stud_ends(wall: Wall, framing: Framing) -> tuple[tuple[Part, ...], tuple[Part, ...], tuple[Part, ...], tuple[Part, ...]]:
    """Return the end-nailed tops and bottoms, then the toe-nailed tops and bottoms, of all uprights that reach a plate."""
    top = T + wall.stud_length
    hung = tuple(m for m in framing.uprights if m.z + m.height == top)
    standing = framing.on_plate
    ends_top = (Part(hung, lambda s: PlateEnd(s, top + T, framing.top_plates)),)
    ends_bottom = (Part(standing, lambda s: PlateEnd(s, 0, framing.bottom_plates)),)
    toes_top = (Part(hung, lambda s: _foot(s, _near(s, framing), top, -1, framing.top_plates)),)
    toes_bottom = (Part(standing, lambda s: _foot(s, _near(s, framing), T, 1, framing.bottom_plates)),)
    match wall.stud_to_plate_method:
        case "toe_nail":
            return (), (), toes_top, toes_bottom
        case "toe_nail_bottom":
            return ends_top, (), (), toes_bottom
        case _:
            return ends_top, ends_bottom, (), ()


def _near(post: Member, framing: Framing) -> tuple[Member, ...]:
    """Return the uprights that stand within reach of a toe-nail's start."""
    return tuple(o for o in framing.uprights if abs(o.x - post.x) < 4 * T)


def _upright_runs(wall: Wall, framing: Framing, rules: Rules) -> tuple[UprightRun, ...]:
    low, high = T, T + wall.stud_length
    out = []
    for side, corner in (("start", wall.start_corner), ("end", wall.end_corner)):
        if corner == "none":
            continue
        posts = [s for s in framing.studs if s.role in ("end_stud", "corner_stud")]
        tight = _tight_posts(posts if side == "start" else posts[::-1])
        pairs = zip(tight, tight[1:], strict=False)
        out += [UprightRun(s, s.right if side == "start" else s.x, low, high, False, before) for before, s in pairs]
        out.append(UprightRun(tight[-1], tight[-1].center, low, high, True))
    out += _frame_runs(framing)
    nailed = {frozenset((r.member, r.other)) for r in out}
    for a, b in doubled(wall, framing, rules):
        if frozenset((a, b)) not in nailed:
            out.append(_pair(a, b, CHAIN_LANES[-1]))
            nailed.add(frozenset((a, b)))
    backing = {s.center: s for s in framing.studs if s.role == "backing_stud"}
    for cross in wall.intersections:
        if cross.backing == "two_stud":
            for hand in (-1, 1):
                center = cross.at + hand * (cross.depth // 2)
                out.append(UprightRun(backing[center], center - hand * T // 4, low, high, True))
    return tuple(out)


def _frame_runs(framing: Framing) -> list[UprightRun]:
    """One run per touching pair of kings and jacks, as long as the shorter; neighbors in a chain take different lanes."""
    pairs: dict[tuple[int, int], UprightRun] = {}
    for f in framing.frames:
        for inward in ((*f.left_kings[::-1], *f.left_jacks[::-1]), (*f.right_kings[::-1], *f.right_jacks[::-1])):
            for k, (outer, inner) in enumerate(zip(inward, inward[1:], strict=False)):
                a, b = sorted((outer, inner), key=lambda m: m.x)
                pairs[a.x, b.x] = _pair(a, b, CHAIN_LANES[k % len(CHAIN_LANES)])
    kings = sorted({k.x: k for f in framing.frames for k in (*f.left_kings, *f.right_kings)}.values(), key=lambda k: k.x)
    for a, b in zip(kings, kings[1:], strict=False):
        if a.right == b.x and (a.x, b.x) not in pairs:
            pairs[a.x, b.x] = _pair(a, b, 2)
    return [pairs[key] for key in sorted(pairs)]


def _pair(a: Member, b: Member, lane: int) -> UprightRun:
    """Nail from the free face of the shorter piece."""
    short, other = (b, a) if b.height < a.height else (a, b)
    return UprightRun(short, a.x if short is a else b.right, short.z, short.z + short.height, False, other, lane)


def _tight_posts(posts: list[Member]) -> list[Member]:
    """Return the end stud and the corner studs tight inside it."""
    out = [posts[0]]
    for post in posts[1:]:
        if post.x not in (out[-1].right, out[-1].x - post.width) or post.role != "corner_stud":
            break
        out.append(post)
    return out


def _splices(wall: Wall, framing: Framing, joint: ConnectionRow, rules: Rules) -> Group:
    """Both sides of every end joint of a double top plate, within the reach of a splice (IRC R602.3.2: 24 in).

    What lies between a lower and an upper joint serves both, so it is nailed once, in proportion where it is longer than the
    reach and shorter than two of them (statics of the lap: derived from the row's "each side of end joint").
    """
    upper, lower, reach = framing.double_top_plates, framing.top_plates, rules.splice_reach
    joints = sorted((plate.x, level) for level, plates in enumerate((lower, upper)) for plate in plates[1:] if upper)
    stretches: list[tuple[int, int, int, Fraction]] = []
    for i, (x, level) in enumerate(joints):
        before, after = joints[i - 1] if i else (0, level), joints[i + 1] if i + 1 < len(joints) else (wall.length, level)
        if before[1] == level or x - before[0] >= 2 * reach:
            stretches.append((x, max(x - reach, before[0]), level, Fraction(1)))
        if after[1] == level or after[0] - x >= 2 * reach:
            stretches.append((x, min(x + reach, after[0]), level, Fraction(1)))
        else:
            stretches.append((x, after[0], level, max(Fraction(after[0] - x, reach), Fraction(1))))
    shared = tuple(share for x0, x1, _, share in stretches if {x0, x1} <= {x for x, _ in joints})
    part = Part(tuple(stretches), lambda s: Splice(s[0], s[1], s[2], s[3], upper, lower))
    return Group(joint, False, (part,), (), shared)


def _laps(wall: Wall, framing: Framing, depth: int) -> tuple[Part, ...]:
    if wall.top_plate_count == 1:
        return ()
    upper, lower = framing.double_top_plates, framing.top_plates
    return (Part(tuple(lap_stretches(wall, depth)), lambda lap: Lap(lap[0], lap[1], upper, lower)),)
