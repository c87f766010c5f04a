"""Lists the joints and nailed runs of a framed wall, each knowing where its nails can stand."""

from dataclasses import dataclass

from service.domain.wall.members import Frame, Framing, Member
from service.domain.wall.wall import T, Wall
from service.ticks import ticks

SPLICE_REACH = ticks(24)
REACH = ticks(6)
CHAIN_LANES = (3, 1, 2)


@dataclass(frozen=True, slots=True)
class PlateEnd:
    """Nails through a plate into the end of an upright at `x`; `z` is the face they are driven from."""

    x: int
    z: int
    plates: tuple[Member, ...]


@dataclass(frozen=True, slots=True)
class ToeFoot:
    """Toe-nails from the sides of an upright into a plate; `z` is the plate face, `up` away from it."""

    member: Member
    z: int
    up: int
    left_free: bool
    right_free: bool


@dataclass(frozen=True, slots=True)
class BlockEnd:
    """Nails through an upright into the end of a flat piece; `x` is the face they are driven from."""

    block: Member
    x: int


@dataclass(frozen=True, slots=True)
class HeaderEnd:
    """Nails that hold the end of a built-up header: through the king at `x`, or slanted from the header's faces."""

    plies: tuple[Member, ...]
    spacer: int
    x: int
    inward: int


@dataclass(frozen=True, slots=True)
class Splice:
    """One side of a double top plate end joint."""

    x0: int
    x1: int
    level: int
    plates: tuple[Member, ...]


@dataclass(frozen=True, slots=True)
class Lap:
    """Plates lapped at a corner or an intersection, between x0 and x1."""

    x0: int
    x1: int
    plates: tuple[Member, ...]


@dataclass(frozen=True, slots=True)
class UprightRun:
    """Nails up the height of two touching uprights; `on_face` when the other piece belongs to the next wall."""

    member: Member
    x: int
    z0: int
    z1: int
    on_face: bool
    lane: int = 2

    @property
    def length(self) -> int:
        """Length of the run."""
        return self.z1 - self.z0


@dataclass(frozen=True, slots=True)
class PlateRun:
    """Nails along a plate piece; `studs` are the uprights that stand on it, if they are in the way."""

    plate: Member
    z: int
    studs: tuple[Member, ...]

    @property
    def length(self) -> int:
        """Length of the run."""
        return self.plate.width


@dataclass(frozen=True, slots=True)
class PlyRun:
    """Nails along both edges of a header, from ply to ply; `y` is the face they are driven from."""

    ply: Member
    y: int

    @property
    def length(self) -> int:
        """Length of the run."""
        return self.ply.width


Joint = HeaderEnd | PlateEnd | ToeFoot | BlockEnd | Splice | Lap
Run = UprightRun | PlateRun | PlyRun


@dataclass(frozen=True, slots=True)
class Group:
    """All joints or all runs of one connection, nailed alike."""

    connection_id: str
    treated: bool
    joints: tuple[Joint, ...] = ()
    runs: tuple[Run, ...] = ()


def list_joints(wall: Wall, framing: Framing, header_end: str) -> tuple[Group, ...]:
    """Return the groups of joints that have any, in the order of the answer.

    Parameters
    ----------
    header_end : str
        Connection id of the header's ends in this edition.
    """
    concrete = wall.bottom_plate_on == "concrete"
    top_z = T + wall.stud_length
    end_top, end_bottom, toe_top, toe_bottom = _stud_ends(wall, framing, top_z)
    headers = [f for f in framing.frames if f.opening.header]
    groups = (
        Group("stud-to-plate-end-nail", concrete, end_bottom),
        Group("stud-to-plate-end-nail", False, end_top + _sill_ends(framing)),
        Group("stud-to-plate-toe-nail", concrete, toe_bottom),
        Group("stud-to-plate-toe-nail", False, toe_top + _cripple_feet(framing)),
        Group("stud-to-stud-face-nail", False, (), _upright_runs(wall, framing)),
        Group(header_end, False, tuple(e for f in headers for e in _header_ends(f, header_end))),
        Group("built-up-header-face-nail", False, (), tuple(r for f in headers for r in _ply_runs(f))),
        Group("top-plate-to-top-plate-face-nail", False, (), tuple(PlateRun(p, wall.height, ()) for p in framing.double_top_plates)),
        Group("top-plate-splice-face-nail", False, _splices(wall, framing)),
        Group("top-plate-lap-face-nail", False, _laps(wall, framing)),
        Group(
            "bottom-plate-to-floor-face-nail",
            False,
            (),
            () if concrete else tuple(PlateRun(p, T, _on_plate(framing)) for p in framing.bottom_plates),
        ),
        Group("block-to-stud-end-nail", False, tuple(e for b in framing.blocks for e in (BlockEnd(b, b.x - T), BlockEnd(b, b.right + T)))),
    )
    return _merged(tuple(g for g in groups if g.joints or g.runs))


def _on_plate(framing: Framing) -> tuple[Member, ...]:
    return tuple(m for m in framing.uprights if m.z == T)


def _sill_ends(framing: Framing) -> tuple[Joint, ...]:
    """Sills, and flat heads of openings without a header, nailed through the upright beside them; sill cripples under the sill."""
    out: list[Joint] = []
    for f in framing.frames:
        flats = [f.sill] if f.sill else []
        if not f.opening.header:
            flats += f.header
        out += [BlockEnd(p, x) for p in flats for x in (p.x - T, p.right + T)]
        if f.sill:
            out += [PlateEnd(c.center, f.sill.z + T, (f.sill,)) for c in f.sill_cripples]
    return tuple(out)


def _cripple_feet(framing: Framing) -> tuple[Joint, ...]:
    """Feet of head cripples on their header; the kings stand at its ends."""
    out: list[Joint] = []
    for f in framing.frames:
        kings = (f.left_kings[0], f.right_kings[0])
        out += [_foot(c, (*f.head_cripples, *kings), c.z, 1) for c in f.head_cripples]
    return tuple(out)


def _foot(post: Member, others: tuple[Member, ...], z: int, up: int) -> ToeFoot:
    """Toe-nail a piece from the sides that have room for it, 1-1/2 in to the next one."""
    left = not any(post.x - T < o.right <= post.x for o in others)
    right = not any(post.right <= o.x < post.right + T for o in others)
    return ToeFoot(post, z, up, left, right)


def _header_ends(f: Frame, header_end: str) -> tuple[HeaderEnd, ...]:
    header, spacer = f.header, f.opening.header.spacer if f.opening.header else 0
    out = 0 if header_end.endswith("toe-nail") else T
    return HeaderEnd(header, spacer, header[0].x - out, 1), HeaderEnd(header, spacer, header[0].right + out, -1)


def _ply_runs(f: Frame) -> list[PlyRun]:
    step = T + (f.opening.header.spacer if f.opening.header else 0)
    return [PlyRun(f.header[k], 0 if k == 0 else k * step + T) for k in range(len(f.header) - 1)]


def _merged(groups: tuple[Group, ...]) -> tuple[Group, ...]:
    """Join groups that are nailed alike: a treated plate keeps its own line."""
    out: dict[tuple[str, bool], Group] = {}
    for g in groups:
        key = (g.connection_id, g.treated)
        old = out.get(key, Group(*key))
        out[key] = Group(*key, old.joints + g.joints, old.runs + g.runs)
    return tuple(out.values())


def _stud_ends(
    wall: Wall, framing: Framing, top_z: int
) -> tuple[tuple[PlateEnd, ...], tuple[PlateEnd, ...], tuple[ToeFoot, ...], tuple[ToeFoot, ...]]:
    hung = tuple(m for m in framing.uprights if m.z + m.height == top_z)
    ends_top = tuple(PlateEnd(s.center, top_z + T, framing.top_plates) for s in hung)
    ends_bottom = tuple(PlateEnd(s.center, 0, framing.bottom_plates) for s in _on_plate(framing))
    match wall.stud_to_plate_method:
        case "toe_nail":
            return (), (), _feet(hung, framing, top_z, -1), _feet(_on_plate(framing), framing, T, 1)
        case "toe_nail_bottom":
            return ends_top, (), (), _feet(_on_plate(framing), framing, T, 1)
        case _:
            return ends_top, ends_bottom, (), ()


def _feet(standing: tuple[Member, ...], framing: Framing, z: int, up: int) -> tuple[ToeFoot, ...]:
    near: dict[int, list[Member]] = {}
    for o in framing.uprights:
        near.setdefault(o.x // REACH, []).append(o)
    return tuple(_foot(s, tuple(o for k in (-1, 0, 1) for o in near.get(s.x // REACH + k, ())), z, up) for s in standing)


def _upright_runs(wall: Wall, framing: Framing) -> tuple[UprightRun, ...]:
    low, high = T, T + wall.stud_length
    out = []
    for side, corner in (("start", wall.start_corner), ("end", wall.end_corner)):
        if corner == "none":
            continue
        posts = [s for s in framing.studs if s.role in ("end_stud", "corner_stud")]
        tight = _tight_posts(posts if side == "start" else posts[::-1])
        out += [UprightRun(s, s.right if side == "start" else s.x, low, high, False) for s in tight[1:]]
        out.append(UprightRun(tight[-1], tight[-1].center, low, high, True))
    out += _frame_runs(framing)
    backing = {s.center: s for s in framing.studs if s.role == "backing_stud"}
    for cross in wall.intersections:
        if cross.backing == "two_stud":
            for hand in (-1, 1):
                center = cross.at + hand * (cross.depth // 2)
                stud = backing[center]
                out.append(UprightRun(stud, center - hand * T // 4, low, high, True))
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
    short = b if b.height < a.height else a
    return UprightRun(short, a.x if short is a else b.right, short.z, short.z + short.height, False, lane)


def _tight_posts(posts: list[Member]) -> list[Member]:
    """Return the end stud and the corner studs tight inside it."""
    out = [posts[0]]
    for post in posts[1:]:
        if post.x not in (out[-1].right, out[-1].x - post.width) or post.role != "corner_stud":
            break
        out.append(post)
    return out


def _splices(wall: Wall, framing: Framing) -> tuple[Splice, ...]:
    if wall.top_plate_count == 1:
        return ()
    out = []
    for level, plates in enumerate((framing.top_plates, framing.double_top_plates)):
        for plate in plates[1:]:
            x = plate.x
            left = max(x - SPLICE_REACH, 0)
            right = min(x + SPLICE_REACH, wall.length)
            out += [Splice(x, left, level, framing.double_top_plates), Splice(x, right, level, framing.double_top_plates)]
    return tuple(out)


def _laps(wall: Wall, framing: Framing) -> tuple[Lap, ...]:
    if wall.top_plate_count == 1:
        return ()
    depth = ticks("3.5")
    ends = [(0, depth)] if wall.start_corner != "none" else []
    if wall.end_corner != "none":
        ends.append((wall.length - depth, wall.length))
    ends += [(c.at - c.depth // 2, c.at + c.depth // 2) for c in wall.intersections]
    return tuple(Lap(a, b, framing.double_top_plates) for a, b in ends)
