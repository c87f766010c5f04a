"""Puts every nail of a joint where it can be driven: x along, y from the outside face, z up; ticks.

Seven lanes across the top plate keep laps, splices and the plain run apart:
run in the middle, joint of the upper plate next, laps next, joint of the lower plate 1 in from the edges.
"""

from dataclasses import dataclass, replace

from service.domain.joint.counting import nails_in_run
from service.domain.joint.placement import crowded
from service.domain.wall.members import Member
from service.domain.wall.nailed import BlockEnd, HeaderEnd, Joint, Lap, PlateEnd, PlateRun, PlyRun, Run, Splice, ToeFoot, UprightRun
from service.domain.wall.wall import T
from service.tables.rules import Rules
from service.tables.schedule import Grouped, Nailing, OnCenter
from service.ticks import ceil_div, ticks

EDGE = ticks(1)
RUN_END = ticks(3)
STAGGER = ticks("0.375")
BESIDE = ticks("0.75")
APART = ticks("0.25")
SHORT_SPLICE = ticks(6)
ASIDE = ticks("0.25")


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a nail's head stands, and the piece it is driven through or from."""

    x: int
    y: int
    z: int
    member: Member


def joint_spots(joint: Joint, count: int, depth: int, nail_length: int, rules: Rules) -> list[Spot]:
    """Place the nails of one joint.

    Parameters
    ----------
    depth : int
        Depth of the wall framing, the face of studs and plates. [ticks]
    """
    match joint:
        case PlateEnd(x, z, plates):
            return _plate_end(x, z, plates, count, depth, rules)
        case ToeFoot(member, z, up, left_free, right_free):
            return _toe(member, z, up, left_free, right_free, count, depth, nail_length)
        case BlockEnd(block, x):
            z = block.z + block.height // 2
            return [Spot(x, y, z, block) for y in _spread(count, depth)]
        case HeaderEnd(plies, spacer, x, inward):
            return _header_end(plies, spacer, x, inward, count, nail_length)
        case Splice(x0, x1, level, plates):
            lanes = _lanes(depth, 3 if level == 0 else 1)
            if abs(x1 - x0) < SHORT_SPLICE:
                lanes = (*_lanes(depth, 3), *_lanes(depth, 1))
            return [
                Spot(x, lanes[k % len(lanes)], plates[0].z + T, _over(plates, x))
                for k in range(count)
                for x in [x0 + (x1 - x0) * (2 * k + 1) // (2 * count)]
            ]
        case Lap(x0, x1, plates):
            lanes = _lanes(depth, 2)
            return [
                Spot(x, lanes[k % 2], plates[0].z + T, _over(plates, x))
                for k in range(count)
                for x in [x0 + (x1 - x0) * (2 * k + 1) // (2 * count)]
            ]


def run_spots(run: Run, nailing: Nailing, depth: int) -> list[Spot]:
    """Place the nails of one run."""
    match run, nailing:
        case UprightRun(member, x, z0, z1, on_face, lane), OnCenter(spacing):
            heights = [z0 + s for s in stations(z1 - z0, spacing)]
            lanes = _lanes(depth, lane)
            return [Spot(x, depth if on_face else lanes[k % 2], z, member) for k, z in enumerate(heights)]
        case PlyRun(ply, y), OnCenter(spacing):
            edge = min(EDGE, ply.height // 4)
            return [Spot(ply.x + s, y, z, ply) for z in (ply.z + edge, ply.z + ply.height - edge) for s in stations(ply.width, spacing)]
        case PlateRun(plate, z, studs), OnCenter(spacing):
            spots = _beside([plate.x + s for s in stations(plate.width, spacing)], plate, studs)
            return [Spot(x, depth // 2, z, plate) for x in spots]
        case PlateRun(plate, z, studs), Grouped(count, spacing):
            return _groups(plate, z, studs, count, spacing, depth)
        case _:
            raise TypeError(f"{type(run).__name__} is not nailed by {type(nailing).__name__}")


def stations(length: int, spacing: int) -> list[int]:
    """Return where the nails of a run stand: min(3 in, a quarter) in from the ends, the rest equally spaced."""
    count = nails_in_run(length, spacing)
    end = min(RUN_END, length // 4)
    return [end + (length - 2 * end) * k // (count - 1) for k in range(count)]


def make_way(spot: Spot, taken: dict[int, list[tuple[int, int]]]) -> Spot:
    """Move a nail up or down 3/8 in where another stands within 1/4 in on the same face."""
    others = taken.get(spot.x, [])
    for shift in (0, STAGGER, -STAGGER):
        if all((y - spot.y) ** 2 + (z - spot.z - shift) ** 2 >= APART**2 for y, z in others):
            return replace(spot, z=spot.z + shift)
    return spot


def _plate_end(x: int, z: int, plates: tuple[Member, ...], count: int, depth: int, rules: Rules) -> list[Spot]:
    joint = next((p.x for p in plates if x - T // 2 < p.x < x + T // 2), None)
    if joint is not None:
        sides = ((x - T // 2 + joint) // 2, (joint + x + T // 2) // 2)
    else:
        sides = (x - STAGGER, x + STAGGER) if crowded(count, depth, rules) else (x, x)
    return [Spot(sides[k % 2], y, z, _over(plates, sides[k % 2])) for k, y in enumerate(_spread(count, depth))]


def _toe(member: Member, z: int, up: int, left_free: bool, right_free: bool, count: int, depth: int, nail_length: int) -> list[Spot]:
    height = z + up * min(nail_length // 3, member.height // 3)
    faces = [face for face, free in ((member.x, left_free), (member.right, right_free)) if free]
    if not faces:
        return [Spot(member.x + member.width * (k + 1) // (count + 1), 0 if k % 2 else depth, height, member) for k in range(count)]
    return [Spot(faces[k % len(faces)], y, height, member) for k, y in enumerate(_spread(count, depth))]


def _header_end(plies: tuple[Member, ...], spacer: int, x: int, inward: int, count: int, nail_length: int) -> list[Spot]:
    """Spread the nails over the depth of the header, ply by ply; toe-nails start a third of their length in from the end."""
    toed = x in (plies[0].x, plies[0].right)
    step, last = T + spacer, (T + spacer) * (len(plies) - 1)
    heights = _spread(count, plies[0].height)
    if toed:
        start = x + inward * nail_length // 3
        return [Spot(start, 0 if k % 2 else last + T, plies[0].z + z, plies[0 if k % 2 else -1]) for k, z in enumerate(heights)]
    return [Spot(x, k % len(plies) * step + T // 2 + inward * ASIDE, plies[0].z + z, plies[k % len(plies)]) for k, z in enumerate(heights)]


def _spread(count: int, depth: int) -> list[int]:
    """Spread nails across a face, 1 in from its edges; one nail in the middle."""
    if count == 1:
        return [depth // 2]
    return [EDGE + (depth - 2 * EDGE) * k // (count - 1) for k in range(count)]


def _lanes(depth: int, step: int) -> tuple[int, ...]:
    """Return a pair of lanes about the middle, `step` thirds of the way to 1 in from the edges."""
    off = (depth // 2 - EDGE) * step // 3
    return depth // 2 - off, depth // 2 + off


def _over(plates: tuple[Member, ...], x: int) -> Member:
    return next((p for p in plates if p.x <= x < p.right), plates[-1])


def _clusters(plate: Member, studs: tuple[Member, ...]) -> list[tuple[int, int]]:
    """Return the stretches of a plate that uprights cover, touching ones as one."""
    out: list[tuple[int, int]] = []
    for s in studs:
        a, b = max(s.x, plate.x), min(s.right, plate.right)
        if a >= b:
            continue
        if out and a - out[-1][1] < BESIDE:
            out[-1] = (out[-1][0], b)
        else:
            out.append((a, b))
    return out


def _beside(wanted: list[int], plate: Member, studs: tuple[Member, ...]) -> list[int]:
    """Move nails out from under studs to the nearest free wood, if they stay apart."""
    clusters = _clusters(plate, studs)
    moved: list[int] = []
    for x in wanted:
        under = next(((a, b) for a, b in clusters if a - STAGGER < x < b + STAGGER), None)
        if under is None:
            moved.append(x)
            continue
        sides = [s for s in (under[0] - BESIDE, under[1] + BESIDE) if plate.x + BESIDE <= s <= plate.right - BESIDE]
        moved.append(min(sides, key=lambda s: abs(s - x)) if sides else x)
    apart = all(abs(a - b) >= BESIDE for a, b in zip(sorted(moved), sorted(moved)[1:], strict=False))
    return moved if apart else wanted


def _groups(plate: Member, z: int, studs: tuple[Member, ...], count: int, spacing: int, depth: int) -> list[Spot]:
    """Set each group beside the stud nearest the middle of its length of plate."""
    clusters = _clusters(plate, studs)
    out = []
    total = ceil_div(plate.width, spacing)
    for g in range(total):
        a, b = plate.x + plate.width * g // total, plate.x + plate.width * (g + 1) // total
        middle = (a + b) // 2
        here = [c for c in clusters if a <= (c[0] + c[1]) // 2 < b and c[0] - BESIDE >= plate.x and c[1] + BESIDE <= plate.right]
        left, right = min(here, key=lambda c: abs(c[0] + c[1] - 2 * middle)) if here else (middle, middle)
        gap = min(BESIDE, max((b - a) // 4, 1))
        lanes = _lanes(depth, 3 if g % 2 else 2)
        for k in range(count):
            tier, side = divmod(k // 2, 2)
            x = (left - gap - tier * gap, right + gap + tier * gap)[side]
            out.append(Spot(min(max(x, plate.x), plate.right), lanes[k % 2], z, plate))
    return out
