"""Says where every nail of a joint is wanted, and the room it has to make way for others: x along, y from the outside face, z up; ticks.

Seven lanes across the top plate keep laps, splices and the plain run apart:
run in the middle, joint of the upper plate next, laps next, joint of the lower plate 1 in from the edges.
"""

from math import radians, sin, tan
from typing import NamedTuple

from service.domain.joint.placement import crowded
from service.domain.wall.floor import floor_stands
from service.domain.wall.lanes import Span, about, across, inside, lanes, spread, stations, within
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

TOE_ANGLE = 30
"""Off the piece, in degrees (NDS 12.5.4, from memory)."""
AXIS = {"left": (0, 1), "right": (0, -1), "outside": (1, 1), "inside": (1, -1), "bottom": (2, 1), "top": (2, -1)}
"""Which way a nail is driven that is square to a face: axis and sign."""
ALONG = {"left": (1, 2), "right": (1, 2), "outside": (0, 2), "inside": (0, 2), "bottom": (0, 1), "top": (0, 1)}
"""The two axes along a face."""


class Spot(NamedTuple):
    """Where a nail's head stands, the two pieces it joins, and the way it is driven.

    `member` is the piece driven through or from, `other` the one that is reached, None where it is not of this wall. A nail that
    comes from the next wall stands where it enters `member`. `face` is the side the head is on: top, bottom, left, right,
    outside or inside. `angle_deg` is 0 where the nail is driven square to it.
    """

    x: int
    y: int
    z: int
    member: Member
    other: Member | None
    face: str
    angle_deg: int = 0


class Want(NamedTuple):
    """A nail where it is wanted, and the room in which it may make way: two spans, along the two axes of its face.

    `before` is how much of the nail is in wood that is not of this wall.
    """

    spot: Spot
    room: tuple[Span, Span]
    before: int = 0


def joint_spots(joint: Joint, count: int, depth: int, nail_length: int, rules: Rules) -> list[Want]:
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
            room = across(depth, rules), inside(block.z, block.z + block.height, rules)
            return [Want(Spot(x, y, z, post, block, face), room) for y in spread(count, depth, rules)]
        case BlockToe(block, x, inward, post):
            start = x + inward * min(nail_length // 3, block.width // 3)
            room = about(start, rules), across(depth, rules)
            return [
                Want(Spot(start, y, block.z + (0 if k % 2 else T), block, post, "bottom" if k % 2 else "top", TOE_ANGLE), room)
                for k, y in enumerate(spread(count, depth, rules))
            ]
        case HeaderEnd():
            return _header_end(joint, count, nail_length, rules)
        case Splice(x0, x1, level, _, upper, lower):
            own = lanes(depth, 3 if level == 0 else 1, rules)
        case Lap(x0, x1, upper, lower):
            own = lanes(depth, 2, rules)
    stands = [x0 + (x1 - x0) * (2 * k + 1) // (2 * count) for k in range(count)]
    return [_down(x, own[k % 2], (min(x0, x1), max(x0, x1)), upper, lower, depth, rules) for k, x in enumerate(stands)]


def run_spots(run: Run, nailing: Nailing, depth: int, rules: Rules) -> list[Want]:
    """Place the nails of one run."""
    match run, nailing:
        case UprightRun(member, x, z0, z1, True), OnCenter(spacing):
            room = (x, x), inside(z0, z1, rules)
            return [Want(Spot(x, depth, z0 + s, member, None, "inside"), room, T) for s in stations(z1 - z0, spacing, rules)]
        case UprightRun(member, x, z0, z1, False, other, lane), OnCenter(spacing):
            pair, room = lanes(depth, lane, rules), (across(depth, rules), inside(z0, z1, rules))
            face = "left" if x == member.x else "right"
            return [Want(Spot(x, pair[k % 2], z0 + s, member, other, face), room) for k, s in enumerate(stations(z1 - z0, spacing, rules))]
        case PlyRun(), OnCenter(spacing):
            return _ply_run(run, spacing, rules)
        case FlatRun(flats, z, ply), OnCenter(spacing):
            return [_into_edge(flats, ply.x + s, z, ply, rules) for s in stations(ply.width, spacing, rules)]
        case PlateRun(plate, _, onto), OnCenter(spacing) if onto:
            middle, whole = depth // 2, (plate.x, plate.right)
            return [_down(plate.x + s, middle, whole, (plate,), onto, depth, rules) for s in stations(plate.width, spacing, rules)]
        case PlateRun(plate), OnCenter() | Grouped():
            return [
                Want(Spot(x, y, T, plate, None, "top"), (inside(*gap, rules), across(depth, rules)))
                for x, y, gap in floor_stands(run, nailing, depth, rules)
            ]
        case _:
            raise TypeError(f"{type(run).__name__} is not nailed by {type(nailing).__name__}")


def _ply_run(run: PlyRun, spacing: int, rules: Rules) -> list[Want]:
    """Nail both edges of a ply; every other interface half a spacing off, but for its last nail, as its shanks share a ply."""
    ply, edge = run.ply, min(rules.edge_distance, run.ply.height // 4)
    along = stations(ply.width, spacing, rules)
    if run.aside:
        off = (along[1] - along[0]) // 2
        along = [min(x + off, along[-1]) for x in along]
    room = inside(ply.x, ply.right, rules), inside(ply.z, ply.z + ply.height, rules)
    return [
        Want(Spot(ply.x + x, run.y, z, ply, run.other, "inside" if run.y else "outside"), room)
        for z in (ply.z + edge, ply.z + ply.height - edge)
        for x in along
    ]


def _plate_end(end: PlateEnd, count: int, depth: int, rules: Rules) -> list[Want]:
    """Spread end nails across the plate, to both sides of a joint that stands over the upright where both have room."""
    x, post = end.upright.center, end.upright
    if pieces := _halves(end.plates, post, rules):
        sides = tuple((a + b) // 2 for a, b in pieces)
        rooms = pieces
    else:
        sides = (x - rules.lane_shift, x + rules.lane_shift) if crowded(count, depth, rules) else (x, x)
        rooms = ((post.x, post.right),) * 2
    face = "top" if end.z > post.z else "bottom"
    return [
        Want(Spot(sides[i], y, end.z, _over(end.plates, sides[i]), post, face), (inside(*rooms[i], rules), across(depth, rules)))
        for k, y in enumerate(spread(count, depth, rules))
        for i in [k % len(sides)]
    ]


def _halves(plates: tuple[Member, ...], post: Member, rules: Rules) -> tuple[Span, ...]:
    """Return the parts of an upright's width that plates meeting over it cover, those with room for a nail; none where one plate does."""
    if not any(post.x < p.x < post.right for p in plates):
        return ()
    parts = ((max(p.x, post.x), min(p.right, post.right)) for p in plates)
    return tuple((a, b) for a, b in parts if b - a >= 2 * rules.lane_shift) or ((post.x, post.right),)


def _toe(foot: ToeFoot, count: int, depth: int, nail_length: int, rules: Rules) -> list[Want]:
    """Slant nails from the free sides of an upright by turns, or from its faces where no side lets them end in the piece below."""
    post = foot.member
    start = min(nail_length // 3, post.height // 3)
    height = foot.z + foot.up * start
    up = (height, height + 2 * rules.lane_shift) if foot.up > 0 else (height - 2 * rules.lane_shift, height)
    enters, ends = int(start * tan(radians(TOE_ANGLE))), _point_off(nail_length)
    sides = [
        (x, face, onto)
        for x, inward, face, free in ((post.x, 1, "left", foot.left_free), (post.right, -1, "right", foot.right_free))
        if free and (onto := [p for p in foot.onto if _holds(p, x + inward * enters, x + inward * ends, rules)])
    ]
    if not sides:
        return _toe_faces(foot, count, depth, height, up, enters, rules)
    return [
        Want(Spot(x, y, height, post, onto[i], face, TOE_ANGLE), (room, up))
        for k, (y, room, i) in enumerate(_lanes_over(sides[0][2], count, depth, rules))
        for x, face, onto in [sides[k % len(sides)]]
    ]


def _holds(piece: Member, enters: int, ends: int, rules: Rules) -> bool:
    """Whether a slanted nail stays clear of the ends of the piece it goes into."""
    low, high = sorted((enters, ends))
    return piece.x + rules.lane_shift <= low and high <= piece.right - rules.lane_shift


def _lanes_over(pieces: list[Member], count: int, depth: int, rules: Rules) -> list[tuple[int, Span, int]]:
    """Return lanes across an upright, the room of each and which piece is under it: a plate, or the plies of a header in turn."""
    if len(pieces) == 1 and pieces[0].thickness == depth:
        return [(y, across(depth, rules), 0) for y in spread(count, depth, rules)]
    out = []
    for i, p in enumerate(pieces):
        here = (count + len(pieces) - 1 - i) // len(pieces)
        out += [(p.y + p.thickness * (k + 1) // (here + 1), within(p.y, p.y + p.thickness, rules), i) for k in range(here)]
    return out


def _toe_faces(foot: ToeFoot, count: int, depth: int, height: int, up: Span, enters: int, rules: Rules) -> list[Want]:
    """Slant nails from the outside and the inside of an upright by turns: from those under which the other piece lies."""
    post, reach = foot.member, max(p.y + p.thickness for p in foot.onto)
    faces = [(0, "outside", enters)]
    if depth - enters < reach:
        faces.insert(0, (depth, "inside", depth - enters))
    parts = _halves(foot.onto, post, rules) or ((post.x, post.right),)
    out = []
    for k in range(count):
        i, j = k % len(parts), k // len(parts)
        left, right = parts[i]
        x = left + (right - left) * (j + 1) // ((count - i - 1) // len(parts) + 2)
        y, face, at = faces[j % len(faces)]
        other = next((p for p in foot.onto if p.x <= x < p.right and p.y < at < p.y + p.thickness), foot.onto[0])
        out.append(Want(Spot(x, y, height, post, other, face, TOE_ANGLE), (within(left, right, rules), up)))
    return out


def _header_end(end: HeaderEnd, count: int, nail_length: int, rules: Rules) -> list[Want]:
    """Spread the nails over the depth of the header, ply by ply; toe-nails start a third of their length in from the end."""
    plies, king = end.plies, end.king
    low, high = plies[0].z, plies[0].z + plies[0].height
    heights, room = [low + z for z in spread(count, high - low, rules)], inside(low, high, rules)
    if end.x in (plies[0].x, plies[0].right):
        start = end.x + end.inward * nail_length // 3
        faces = [(plies[0], plies[0].y, "outside")]
        if (inner := plies[-1].y + plies[-1].thickness) - _point_off(nail_length) >= rules.lane_shift:
            faces.insert(0, (plies[-1], inner, "inside"))
        return [
            Want(Spot(start, y, z, ply, king, face, TOE_ANGLE), (about(start, rules), room))
            for k, z in enumerate(heights)
            for ply, y, face in [faces[k % len(faces)]]
        ]
    face = "left" if end.inward > 0 else "right"
    return [
        Want(Spot(end.x, middle + end.inward * rules.ply_aside, z, king, ply, face), (inside(ply.y, ply.y + ply.thickness, rules), room))
        for k, z in enumerate(heights)
        for ply in [plies[k % len(plies)]]
        for middle in [ply.y + ply.thickness // 2]
    ]


def _down(x: int, y: int, within: Span, upper: tuple[Member, ...], lower: tuple[Member, ...], depth: int, rules: Rules) -> Want:
    """Place a nail down through the upper plate, clear of the ends of both pieces."""
    above, below = _over(upper, x), _over(lower, x)
    low, high = inside(max(above.x, below.x), min(above.right, below.right), rules)
    room = max(low, min(within[0], high)), min(high, max(within[1], low))
    return Want(Spot(min(max(x, low), high), y, above.z + T, above, below, "top"), (room, across(depth, rules)))


def _into_edge(flats: tuple[Member, ...], x: int, z: int, ply: Member, rules: Rules) -> Want:
    """Place a nail through a flat piece or the top plate into the edge of a ply, clear of the ends of both."""
    flat, face = _over(flats, x), "bottom" if z < ply.z else "top"
    low, high = inside(max(flat.x, ply.x), min(flat.right, ply.right), rules)
    room = (low, high), within(ply.y, ply.y + ply.thickness, rules)
    return Want(Spot(min(max(x, low), high), ply.y + ply.thickness // 2, z, flat, ply, face), room)


def _over(plates: tuple[Member, ...], x: int) -> Member:
    return next((p for p in plates if p.x <= x < p.right), plates[-1])


def _point_off(nail_length: int) -> int:
    """Return how far the point of a toe-nail stands from the face that it is driven from."""
    return int(nail_length * sin(radians(TOE_ANGLE)))
