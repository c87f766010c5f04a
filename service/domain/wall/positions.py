"""Puts every nail of a joint where it can be driven: x along, y from the outside face, z up; ticks.

Seven lanes across the top plate keep laps, splices and the plain run apart:
run in the middle, joint of the upper plate next, laps next, joint of the lower plate 1 in from the edges.
"""

from typing import NamedTuple

from service.domain.joint.counting import nails_in_run
from service.domain.joint.placement import crowded
from service.domain.wall.members import Member
from service.domain.wall.nailed import (
    BlockEnd,
    BlockToe,
    FlatRun,
    HeaderEnd,
    Joint,
    Lap,
    PlateEnd,
    PlateRun,
    PlyRun,
    Run,
    Splice,
    ToeFoot,
    UprightRun,
)
from service.domain.wall.wall import T
from service.tables.rules import Rules
from service.tables.schedule import Grouped, Nailing, OnCenter
from service.ticks import ceil_div, ticks

ASIDE = ticks("0.25")
"""How far the end nails of a header stand beside the middle of a ply, so that nails from both sides of a king pass (service rule)."""
TOE_ANGLE = 30
"""Off the piece, in degrees (NDS 12.5.4, from memory)."""


class Spot(NamedTuple):
    """Where a nail's head stands, the two pieces it joins, and the way it is driven.

    `member` is the piece driven through or from, `other` the one that is reached, None where it is not of this wall.
    `face` is the side the head is on: top, bottom, left, right, outside or inside. `angle_deg` is 0 where the nail is
    driven square to it.
    """

    x: int
    y: int
    z: int
    member: Member
    other: Member | None
    face: str
    angle_deg: int = 0


def joint_spots(joint: Joint, count: int, depth: int, nail_length: int, rules: Rules) -> list[Spot]:
    """Place the nails of one joint.

    Parameters
    ----------
    depth : int
        Depth of the wall framing, the face of studs and plates. [ticks]
    """
    match joint:
        case PlateEnd():
            return _plate_end(joint, count, depth, rules)
        case ToeFoot():
            return _toe(joint, count, depth, nail_length, rules)
        case BlockEnd(block, x, post):
            z, face = block.z + block.height // 2, "left" if x < block.x else "right"
            return [Spot(x, y, z, block, post, face) for y in _spread(count, depth, rules)]
        case BlockToe(block, x, inward, post):
            start = x + inward * min(nail_length // 3, block.width // 3)
            return [
                Spot(start, y, block.z + (0 if k % 2 else T), block, post, "bottom" if k % 2 else "top", TOE_ANGLE)
                for k, y in enumerate(_spread(count, depth, rules))
            ]
        case HeaderEnd():
            return _header_end(joint, count, nail_length, rules)
        case Splice(x0, x1, level, _, upper, lower):
            lanes = _lanes(depth, 3 if level == 0 else 1, rules)
            if abs(x1 - x0) < rules.short_splice:
                lanes = (*_lanes(depth, 3, rules), *_lanes(depth, 1, rules))
            return _along(x0, x1, count, lanes, upper, lower)
        case Lap(x0, x1, upper, lower):
            return _along(x0, x1, count, _lanes(depth, 2, rules), upper, lower)


def _along(x0: int, x1: int, count: int, lanes: tuple[int, ...], upper: tuple[Member, ...], lower: tuple[Member, ...]) -> list[Spot]:
    """Place nails evenly from x0 to x1 down through the upper plate, lane by lane in turn."""
    z = upper[0].z + T
    stands = [x0 + (x1 - x0) * (2 * k + 1) // (2 * count) for k in range(count)]
    return [Spot(x, lanes[k % len(lanes)], z, _over(upper, x), _over(lower, x), "top") for k, x in enumerate(stands)]


def run_spots(run: Run, nailing: Nailing, depth: int, rules: Rules) -> list[Spot]:
    """Place the nails of one run."""
    match run, nailing:
        case UprightRun(member, x, z0, z1, on_face, other, lane), OnCenter(spacing):
            lanes = _lanes(depth, lane, rules)
            face = "inside" if on_face else "left" if x == member.x else "right"
            return [
                Spot(x, depth if on_face else lanes[k % 2], z0 + s, member, other, face)
                for k, s in enumerate(stations(z1 - z0, spacing, rules))
            ]
        case PlyRun(ply, y, other), OnCenter(spacing):
            edge, face = min(rules.edge_distance, ply.height // 4), "inside" if y else "outside"
            heights = (ply.z + edge, ply.z + ply.height - edge)
            return [Spot(ply.x + s, y, z, ply, other, face) for z in heights for s in stations(ply.width, spacing, rules)]
        case FlatRun(flat, z, ply), OnCenter(spacing):
            face = "bottom" if z < ply.z else "top"
            return [Spot(flat.x + s, ply.y + ply.thickness // 2, z, flat, ply, face) for s in stations(flat.width, spacing, rules)]
        case PlateRun(plate, z, studs, onto), OnCenter(spacing):
            spots = _beside([plate.x + s for s in stations(plate.width, spacing, rules)], plate, studs, rules)
            return [Spot(x, depth // 2, z, plate, _over(onto, x) if onto else None, "top") for x in spots]
        case PlateRun(plate, z, studs), Grouped(count, spacing):
            return _groups(plate, z, studs, count, spacing, depth, rules)
        case _:
            raise TypeError(f"{type(run).__name__} is not nailed by {type(nailing).__name__}")


def stations(length: int, spacing: int, rules: Rules) -> list[int]:
    """Return where the nails of a run stand: min(3 in, a quarter) in from the ends, the rest equally spaced."""
    count = nails_in_run(length, spacing)
    end = min(rules.run_end_distance, length // 4)
    return [end + (length - 2 * end) * k // (count - 1) for k in range(count)]


def make_way(spot: Spot, taken: dict[int, list[tuple[int, int]]], rules: Rules) -> Spot:
    """Move a nail up or down 3/8 in where another stands within 1/4 in on the same face."""
    others = taken.get(spot.x, [])
    for shift in (0, rules.lane_shift, -rules.lane_shift):
        if all((y - spot.y) ** 2 + (z - spot.z - shift) ** 2 >= rules.nails_apart**2 for y, z in others):
            return spot._replace(z=spot.z + shift)
    return spot


def _plate_end(end: PlateEnd, count: int, depth: int, rules: Rules) -> list[Spot]:
    """Spread end nails across the plate, to both sides of a joint that stands over the upright."""
    x, plates = end.upright.center, end.plates
    joint = next((p.x for p in plates if x - T // 2 < p.x < x + T // 2), None)
    if joint is not None:
        sides = ((x - T // 2 + joint) // 2, (joint + x + T // 2) // 2)
    else:
        sides = (x - rules.lane_shift, x + rules.lane_shift) if crowded(count, depth, rules) else (x, x)
    face = "top" if end.z > end.upright.z else "bottom"
    return [
        Spot(sides[k % 2], y, end.z, _over(plates, sides[k % 2]), end.upright, face) for k, y in enumerate(_spread(count, depth, rules))
    ]


def _toe(foot: ToeFoot, count: int, depth: int, nail_length: int, rules: Rules) -> list[Spot]:
    """Slant nails from the free sides of an upright by turns, or from its faces where it has none."""
    post = foot.member
    height = foot.z + foot.up * min(nail_length // 3, post.height // 3)
    sides = [side for side, free in (((post.x, "left"), foot.left_free), ((post.right, "right"), foot.right_free)) if free]
    if not sides:
        stands = [post.x + post.width * (k + 1) // (count + 1) for k in range(count)]
        return [
            Spot(x, 0 if k % 2 else depth, height, post, _over(foot.onto, x), "outside" if k % 2 else "inside", TOE_ANGLE)
            for k, x in enumerate(stands)
        ]
    return [
        Spot(x, y, height, post, _over(foot.onto, x), face, TOE_ANGLE)
        for k, y in enumerate(_spread(count, depth, rules))
        for x, face in [sides[k % len(sides)]]
    ]


def _header_end(end: HeaderEnd, count: int, nail_length: int, rules: Rules) -> list[Spot]:
    """Spread the nails over the depth of the header, ply by ply; toe-nails start a third of their length in from the end."""
    plies, step = end.plies, T + end.spacer
    last = step * (len(plies) - 1)
    heights = [plies[0].z + z for z in _spread(count, plies[0].height, rules)]
    if end.x in (plies[0].x, plies[0].right):
        start = end.x + end.inward * nail_length // 3
        return [
            Spot(start, 0 if k % 2 else last + T, z, plies[0 if k % 2 else -1], end.king, "outside" if k % 2 else "inside", TOE_ANGLE)
            for k, z in enumerate(heights)
        ]
    face = "left" if end.inward > 0 else "right"
    return [
        Spot(end.x, k % len(plies) * step + T // 2 + end.inward * ASIDE, z, plies[k % len(plies)], end.king, face)
        for k, z in enumerate(heights)
    ]


def _spread(count: int, depth: int, rules: Rules) -> list[int]:
    """Spread nails across a face, 1 in from its edges; one nail in the middle."""
    if count == 1:
        return [depth // 2]
    return [rules.edge_distance + (depth - 2 * rules.edge_distance) * k // (count - 1) for k in range(count)]


def _lanes(depth: int, step: int, rules: Rules) -> tuple[int, ...]:
    """Return a pair of lanes about the middle, `step` thirds of the way to 1 in from the edges."""
    off = (depth // 2 - rules.edge_distance) * step // 3
    return depth // 2 - off, depth // 2 + off


def _over(plates: tuple[Member, ...], x: int) -> Member:
    return next((p for p in plates if p.x <= x < p.right), plates[-1])


def _clusters(plate: Member, studs: tuple[Member, ...], rules: Rules) -> list[tuple[int, int]]:
    """Return the stretches of a plate that uprights cover, touching ones as one."""
    out: list[tuple[int, int]] = []
    for s in studs:
        a, b = max(s.x, plate.x), min(s.right, plate.right)
        if a >= b:
            continue
        if out and a - out[-1][1] < rules.beside_stud:
            out[-1] = (out[-1][0], b)
        else:
            out.append((a, b))
    return out


def _beside(wanted: list[int], plate: Member, studs: tuple[Member, ...], rules: Rules) -> list[int]:
    """Move nails out from under studs to the nearest free wood, if they stay apart."""
    clusters = _clusters(plate, studs, rules)
    moved: list[int] = []
    for x in wanted:
        under = next(((a, b) for a, b in clusters if a - rules.lane_shift < x < b + rules.lane_shift), None)
        if under is None:
            moved.append(x)
            continue
        sides = [
            s
            for s in (under[0] - rules.beside_stud, under[1] + rules.beside_stud)
            if plate.x + rules.beside_stud <= s <= plate.right - rules.beside_stud
        ]
        moved.append(min(sides, key=lambda s: abs(s - x)) if sides else x)
    apart = all(abs(a - b) >= rules.beside_stud for a, b in zip(sorted(moved), sorted(moved)[1:], strict=False))
    return moved if apart else wanted


def _groups(plate: Member, z: int, studs: tuple[Member, ...], count: int, spacing: int, depth: int, rules: Rules) -> list[Spot]:
    """Set each group beside the stud nearest the middle of its length of plate."""
    clusters = _clusters(plate, studs, rules)
    out = []
    total = ceil_div(plate.width, spacing)
    for g in range(total):
        a, b = plate.x + plate.width * g // total, plate.x + plate.width * (g + 1) // total
        middle = (a + b) // 2
        here = [
            c
            for c in clusters
            if a <= (c[0] + c[1]) // 2 < b and c[0] - rules.beside_stud >= plate.x and c[1] + rules.beside_stud <= plate.right
        ]
        left, right = min(here, key=lambda c: abs(c[0] + c[1] - 2 * middle)) if here else (middle, middle)
        gap = min(rules.beside_stud, max((b - a) // 4, 1))
        lanes = _lanes(depth, 3 if g % 2 else 2, rules)
        for k in range(count):
            tier, side = divmod(k // 2, 2)
            x = (left - gap - tier * gap, right + gap + tier * gap)[side]
            out.append(Spot(min(max(x, plate.x), plate.right), lanes[k % 2], z, plate, None, "top"))
    return out
