"""Every framing nail of random walls as a piece of steel in space: it stays in the wood of what it joins, and clear of all others.

A shank is the line from its head along the way it is driven, as long as the nail; a piece is a box of dressed lumber (PS 20: 2-by is
1-1/2 thick, 2x4 3-1/2 deep, 2x6 5-1/2). Geometry alone judges, nothing of the service but the places it gives.

Read so:
- The head is on the named face of the piece driven through. The shank runs through that piece, then at once into the other, at least 1 in.
- It leaves the first piece where the two meet and the second, if at all, by the far side: never by an end or a side. Behind that it may
  run on into any wood, or come out: a 3-1/4 nail through 2 x 1-1/2 does, and the caution `point_protrudes` says so.
- Plies of a header may have a spacer between them; floor and meeting wall are no pieces of this wall: the shank passes the plate, or
  comes through the 1-1/2 in of the next wall's stud.
- A floor nail is driven when the wall stands: no upright stands over its head.
- Shanks keep half a diameter of wood between them: axes 1-1/2 diameters apart at the nearest, of the thicker nail. A reading of
  "no two meet", half a diameter chosen by this project; common practice, no source.
- Slope of a toe-nail: about 30 degrees off the piece (NDS 12.1.6 and figure, from memory).
"""

import random
from math import cos, hypot, radians, sin

import numpy as np
import pytest

from service.domain.nails.words import read_designation
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, locate, plan_wall
from service.domain.wall.wall import EngineeredHeader, Header, Intersection, Opening, Sheathing, Wall
from service.errors import FasteningError
from service.tables.book import open_book
from service.ticks import PER_IN, ticks

BOOK = open_book()
DEPTHS = {"2x4": 3.5, "2x6": 5.5}
NAILS = ("3 x .131", "3-1/4 x 0.131", "16d common", "16d box", "10d box", "16d sinker", "3 x .120")
INWARD = {
    "top": (0, 0, -1),
    "bottom": (0, 0, 1),
    "left": (1, 0, 0),
    "right": (-1, 0, 0),
    "outside": (0, 1, 0),
    "inside": (0, -1, 0),
}
NEAR = 1e-5
LEAST_IN_OTHER = 1.0


def random_header(rng: random.Random, depth: float) -> Header | EngineeredHeader:
    if rng.random() < 0.15:
        return EngineeredHeader(ticks(rng.choice([t for t in (1.75, 3.5, 5.25) if t <= depth])), ticks(rng.choice([9.5, 11.875])))
    plies = rng.choice([n for n in (1, 2, 2, 3) if 1.5 * n <= depth])
    spacer = rng.choice([s for s in ("0", "0.5", "0.4375") if (1.5 + float(s)) * plies - float(s) <= depth])
    return Header(plies, rng.choice(["2x6", "2x8", "2x10", "2x12"]), ticks(spacer))


def over_head(header: Header | EngineeredHeader | None) -> float:
    """How high the pieces over an opening are: a flat 2-by, one piece, plies, or a single ply between flats."""
    if header is None:
        return 1.5
    if isinstance(header, EngineeredHeader):
        return header.depth / PER_IN
    return {"2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}[header.nominal] + (3 if header.ply_count == 1 else 0)


def random_openings(rng: random.Random, length: float, height: float, top: float, depth: float, bearing: bool) -> tuple[Opening, ...]:
    """From left to right, now and then on one king with the one before."""
    out: list[Opening] = []
    at = rng.uniform(3, 40)
    for k in range(rng.choice([0, 1, 1, 2, 2, 3])):
        jacks, kings = rng.choice([0, 1, 1, 2, 3]), rng.choice([1, 1, 2, 3])
        width = rng.choice([12, 24, 30.25, 36, 38, 49, 72])
        if out and rng.random() < 0.4:
            before = out[-1]
            shared = rng.choice([0, 1]) if before.king_count == kings == 1 else 0
            at = (before.at + before.width) / PER_IN + 1.5 * (before.jack_count + before.king_count + jacks + kings - shared)
        header = random_header(rng, depth) if bearing or rng.random() < 0.7 else None
        high = over_head(header)
        head = top - high - rng.choice([0, 0.75, 1.5, 2.25, 4, 6, rng.uniform(6, 12)])
        sill = rng.choice([None, 3, 4.5, 6, 12, rng.uniform(18, 48)])
        out.append(
            Opening(
                f"o{k}",
                "door" if sill is None else "window",
                ticks(round(at, 4)),
                ticks(width),
                None if sill is None else ticks(round(sill, 4)),
                ticks(round(head, 4)),
                header,
                jacks,
                kings,
            )
        )
        at += width + rng.uniform(3, 60)
    return tuple(o for o in out if (o.at + o.width) / PER_IN < length)


def random_wall(rng: random.Random) -> Wall:
    length, stud = rng.choice([rng.uniform(36, 400), rng.choice([96, 145, 192, 288])]), rng.choice(["2x4", "2x6"])
    tops, height = rng.choice([1, 2, 2]), rng.choice([92, 97.125, 109.125, 121.125])
    bearing = rng.random() < 0.6
    sheets = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), None, rng.choice(["vertical", "horizontal"]), None, None)
    return Wall(
        ticks(round(length, 4)),
        ticks(height),
        stud=stud,
        spacing=ticks(rng.choice([12, 16, 16, 24])),
        bearing=bearing,
        supports="roof_only" if bearing else "none",
        top_plate_count=tops,
        plate_stock=ticks(12 * rng.choice([8, 10, 12, 16, 20])),
        start_corner=rng.choice(["none", "two_stud", "three_stud", "four_stud"]),
        end_corner=rng.choice(["none", "two_stud", "three_stud", "four_stud"]),
        intersections=tuple(
            Intersection(ticks(round(rng.uniform(8, length), 4)), rng.choice(["two_stud", "ladder", "none"]), ticks(rng.choice([3.5, 5.5])))
            for _ in range(rng.choice([0, 0, 1, 1, 2]))
        ),
        openings=random_openings(rng, length, height, height - 1.5 * tops, DEPTHS[stud], bearing),
        sheathing=sheets if rng.random() < 0.4 else None,
        bottom_plate_on=rng.choice(["wood_floor", "wood_floor", "concrete"]),
        braced=rng.random() < 0.4,
        stud_to_plate_method=rng.choice(["end_nail", "end_nail", "toe_nail", "toe_nail_bottom"]),
    )


def random_plan(seed: int):
    """The first wall of a seed that can be built."""
    rng = random.Random(seed)
    while True:
        wall = random_wall(rng)
        sheathing = read_designation("8d common", BOOK) if wall.sheathing else None
        plies = (("built-up-header-face-nail", read_designation(rng.choice(NAILS), BOOK)),) if rng.random() < 0.5 else ()
        edition, nail = rng.choice(["irc-2021", "irc-2021", "irc-2015", "ibc-2021"]), read_designation(rng.choice(NAILS), BOOK)
        try:
            return plan_wall(Order(wall, Setting(edition, nail, plies, sheathing)), BOOK)
        except FasteningError:
            continue


class Shank:
    """A nail in space, in inches."""

    def __init__(self, plan, line, spot):
        self.plan, self.line, self.spot = plan, line, spot
        self.head = np.array([spot.x, spot.y, spot.z]) / PER_IN
        self.length, self.diameter = line.nail.length / PER_IN, line.nail.diameter / PER_IN
        self.way = np.array(self.direction())
        self.inside_next_wall = 1.5 if spot.other is None and spot.face == "inside" else 0.0
        self.point = self.head + self.way * (self.length - self.inside_next_wall)

    def direction(self):
        """Square to the face, or slanted along the piece toward the other."""
        spot, inward = self.spot, INWARD[self.spot.face]
        if not spot.angle_deg:
            return inward
        axis = 0 if spot.member.role in ("header", "block") else 2
        along = [0.0, 0.0, 0.0]
        along[axis] = 1.0 if box(spot.other)[1][axis] > box(spot.member)[1][axis] - NEAR else -1.0
        slope = radians(spot.angle_deg)
        return tuple(cos(slope) * a + sin(slope) * i for a, i in zip(along, inward, strict=True))

    def __str__(self):
        s = self.spot
        other = s.other and (s.other.role, s.other.x / PER_IN, s.other.z / PER_IN)
        piece = (s.member.role, s.member.x / PER_IN, s.member.z / PER_IN)
        return f"{self.line.group.connection_id} {self.length}x{self.diameter:.3f} at {np.round(self.head, 3)} {s.face} {s.angle_deg} through {piece} into {other}"


def box(m):
    """Low and high corner of a piece."""
    low = np.array([m.x, m.y, m.z]) / PER_IN
    return low, low + np.array([m.width, m.thickness, m.height]) / PER_IN


def stretch(shank, m):
    """Where a shank enters and leaves a box, from its head, with the axis and side of the box it leaves by; None where it misses it."""
    low, high = box(m)
    enter, leave, by = -np.inf, np.inf, None
    for axis in range(3):
        d, h = shank.way[axis], shank.head[axis]
        if abs(d) < NEAR:
            if not low[axis] + NEAR < h < high[axis] - NEAR:
                return None
            continue
        a, b = sorted(((low[axis] - h) / d, (high[axis] - h) / d))
        enter = max(enter, a)
        if b < leave:
            leave, by = b, (axis, 1 if d > 0 else -1)
    return (enter, leave, by) if leave > enter else None


def wood_faults(shank):
    """What is wrong with the way of a shank through the wood."""
    spot, reach = shank.spot, shank.length - shank.inside_next_wall
    low, high = box(spot.member)
    axis = next(i for i in range(3) if INWARD[spot.face][i])
    side = low[axis] if INWARD[spot.face][axis] > 0 else high[axis]
    if abs(shank.head[axis] - side) > NEAR:
        yield "its head is not on the face"
    first = stretch(shank, spot.member)
    if first is None or abs(first[0]) > NEAR:
        yield "it does not start in the piece it is driven through"
        return
    if spot.other is None:
        if shank.inside_next_wall and not LEAST_IN_OTHER <= min(first[1], reach):
            yield "it does not reach the stud"
        return
    second = stretch(shank, spot.other)
    if second is None or second[0] >= reach:
        yield "it misses the other piece"
        return
    gap = second[0] - first[1]
    if abs(gap - (between_plies(spot) if spot.face in ("outside", "inside") else 0)) > NEAR:
        yield f"{gap:.3f} in lie between the pieces"
    if min(second[1], reach) - second[0] < LEAST_IN_OTHER - NEAR:
        yield f"only {min(second[1], reach) - second[0]:.3f} in reach the other piece"
    if second[1] < reach - NEAR and second[2] != first[2] and not within_header(shank, spot.other, reach):
        yield "it comes out by an end or a side of the other piece"


def between_plies(spot):
    """How thick the spacer is, if any."""
    near, far = sorted((box(spot.member), box(spot.other)), key=lambda b: b[0][1])
    return max(far[0][1] - near[1][1], 0) if spot.member.role == "header" else 0


def within_header(shank, ply, reach):
    """Whether a toe-nail that leaves a ply sideways ends in the plies and spacers behind it."""
    plies = [m for m in shank.plan.framing.members if m.role == ply.role == "header" and (m.x, m.z, m.owner) == (ply.x, ply.z, ply.owner)]
    if not plies:
        return False
    corners = np.array([box(m) for m in plies])
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    point = shank.head + shank.way * reach
    return bool(np.all(point >= low - NEAR) and np.all(point <= high + NEAR))


def near_pairs(shanks):
    """Indices of pairs whose boxes come within half an inch."""
    ends = np.array([[s.head, s.point] for s in shanks])
    low, high = ends.min(axis=1) - 0.25, ends.max(axis=1) + 0.25
    order = np.argsort(low[:, 0])
    low, high = low[order], high[order]
    last = np.searchsorted(low[:, 0], high[:, 0], side="right")
    i = np.repeat(np.arange(len(shanks)), np.maximum(last - np.arange(len(shanks)) - 1, 0))
    j = np.concatenate([np.arange(k + 1, last[k]) for k in range(len(shanks))]) if len(shanks) else i
    meet = np.all((low[i, 1:] < high[j, 1:]) & (low[j, 1:] < high[i, 1:]), axis=1)
    return [(order[a], order[b]) for a, b in zip(i[meet], j[meet], strict=True)]


def apart(a, b):
    """Least distance of two segments: the unbounded lines first, then each end against the other segment."""
    u, v, w = a.point - a.head, b.point - b.head, a.head - b.head
    uu, uv, vv, uw, vw = u @ u, u @ v, v @ v, u @ w, v @ w
    best = min(_from_point(a.head, b), _from_point(a.point, b), _from_point(b.head, a), _from_point(b.point, a))
    det = uu * vv - uv * uv
    if det > NEAR:
        s, t = (uv * vw - vv * uw) / det, (uu * vw - uv * uw) / det
        if 0 <= s <= 1 and 0 <= t <= 1:
            best = min(best, hypot(*(w + s * u - t * v)))
    return best


def _from_point(p, shank):
    along = shank.point - shank.head
    k = min(max((p - shank.head) @ along / (along @ along), 0.0), 1.0)
    return hypot(*(p - shank.head - k * along))


def faults(plan):
    shanks = [Shank(plan, line, spot) for line, spot in locate(plan)]
    found = [f"{said}: {s}" for s in shanks for said in wood_faults(s)]
    uprights = plan.framing.on_plate
    for s in shanks:
        if s.line.group.connection_id == "bottom-plate-to-floor-face-nail" and any(m.x < s.spot.x < m.right for m in uprights):
            found.append(f"an upright stands over it: {s}")
    for i, j in near_pairs(shanks):
        least, near = 1.5 * max(shanks[i].diameter, shanks[j].diameter), apart(shanks[i], shanks[j])
        if near < least - NEAR:
            found.append(f"{near:.3f} apart, {least:.3f} asked: {shanks[i]} AND {shanks[j]}")
    return found


@pytest.mark.parametrize("seed", range(300))
def test_every_shank_stands_in_the_wood_it_joins_and_clear_of_all_others(seed):
    plan = random_plan(seed)
    assert not faults(plan)
    located = list(locate(plan))
    assert all(sum(found is line for found, _ in located) == (line.nail_count or 0) for line in plan.lines)
    reach, standing = ticks(3), plan.framing.on_plate
    for line in plan.lines:
        far = sum(all(s.x < m.x - reach or s.x > m.right + reach for m in standing) for found, s in located if found is line)
        assert plan.mid_bay_nail_count(line) in (None, far)


def test_spikes_without_room_are_located_all_the_same():
    """Spikes 6 x 0.3 have no room for half a diameter between them; each still has a place on its piece."""
    openings = (Opening("d", "door", ticks(40), ticks(36), None, ticks(80), Header(2, "2x8"), 1, 1),)
    wall = Wall(ticks(192), ticks("97.125"), openings=openings, start_corner="four_stud", stud_to_plate_method="toe_nail")
    plan = plan_wall(Order(wall, Setting("irc-2021", read_designation("6 x .3", BOOK))), BOOK)
    located = list(locate(plan))
    assert len(located) == sum(line.nail_count or 0 for line in plan.lines) > 0
    assert not [said for line, spot in located for said in wood_faults(Shank(plan, line, spot)) if "face" in said or "start" in said]
