"""Where plates are cut: bottom plates between doors, lower top plates over studs, upper ones clear of the joints below.

upper  |__|____________________|______________|
lower  |__________________|___________________|     joints keep the edition's offset (IRC R602.3.2: 24 in), also from laps
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from service.domain.wall.members import Frame, Member
from service.domain.wall.wall import T, Wall
from service.said import say_length
from service.tables.editions import Edition
from service.tables.rules import Rules
from service.ticks import ceil_div

Cuts = list[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class TopPlates:
    """The pieces of both top plates, none of the upper where there is one plate; `tight` says which joints keep no distance."""

    lower: tuple[Member, ...]
    upper: tuple[Member, ...]
    tight: tuple[str, ...]


class Clear(NamedTuple):
    """A stretch of wall that a plate joint stays away from, how far, and what is there."""

    x0: int
    x1: int
    least: int
    what: str

    def short(self, x: int) -> int:
        """How much of the distance a joint at x lacks; ticks."""
        return max(self.least - max(self.x0 - x, x - self.x1, 0), 0)


def bottom_plates(wall: Wall, depth: int, rules: Rules) -> tuple[Member, ...]:
    """Return the bottom plate in pieces of the stock length between doors, a last one not under the least piece."""
    pieces: Cuts = []
    for start, end in _between_doors(wall):
        x = start
        while end - x > wall.plate_stock:
            cut = min(x + wall.plate_stock, end - rules.least_plate_piece)
            pieces.append((x, cut))
            x = cut
        pieces.append((x, end))
    return _plates(wall, "bottom_plate", 0, pieces, depth)


def full_stubs(plates: tuple[Member, ...], studs: tuple[Member, ...], frames: tuple[Frame, ...], rules: Rules) -> tuple[Member, ...]:
    """Return the pieces of bottom plate beside doors that uprights cover, so that no nail into the floor finds room."""
    return tuple(p for p in plates if p.width < rules.least_plate_piece and not _room_beside(p, studs, frames, rules))


def _room_beside(plate: Member, studs: tuple[Member, ...], frames: tuple[Frame, ...], rules: Rules) -> bool:
    standing = sorted(m.x for m in (*studs, *(m for f in frames for m in f.uprights)) if m.z == T and plate.x <= m.x < plate.right)
    free = zip((plate.x, *(x + T for x in standing)), (*standing, plate.right), strict=True)
    return any(b - a >= 2 * rules.beside_stud for a, b in free)


def lap_stretches(wall: Wall, depth: int) -> Cuts:
    """Return where a corner's or a partition's upper plate laps over this wall's lower one.

    At a corner walls as deep as this one meet (common practice, no source).
    """
    ends = [(0, depth)] if wall.start_corner != "none" else []
    if wall.end_corner != "none":
        ends.append((wall.length - depth, wall.length))
    return ends + [(c.at - c.depth // 2, c.at + c.depth // 2) for c in wall.intersections]


def top_plates(wall: Wall, studs: tuple[Member, ...], frames: tuple[Frame, ...], edition: Edition, depth: int, rules: Rules) -> TopPlates:
    """Return the top plates.

    References
    ----------
    IRC R602.3.2: end joints offset 24 in (IBC 2308.5.3.2: 48); joints need not stand over studs.
    """
    least, offset, length = rules.least_plate_piece, edition.plate_joint_offset, wall.length
    ends = [Clear(0, 0, least, "the start of the wall"), Clear(length, length, least, "the end of the wall")]
    laps = lap_stretches(wall, depth)
    low, high = T + wall.stud_length, T * 2 + wall.stud_length
    if wall.top_plate_count == 1:
        lower = _lower_joints(wall, studs, frames, ends, rules)
        return TopPlates(_plates(wall, "top_plate", low, _pieces(lower, length), depth), (), _tight("top", lower, ends, rules))
    below = [*ends, *(Clear(a, b, offset, "the lap") for a, b in laps)]
    lower = _lower_joints(wall, studs, frames, below, rules)
    above = [
        *ends,
        *(Clear(a, b, least, "the lap") for a, b in laps),
        *(Clear(j, j, offset, "the joint of the lower plate") for j in lower),
    ]
    upper = _upper_joints(wall, above, rules)
    return TopPlates(
        _plates(wall, "top_plate", low, _pieces(lower, length), depth),
        _plates(wall, "double_top_plate", high, _pieces(upper, length), depth),
        _tight("lower", lower, below, rules) + _tight("upper", upper, above, rules),
    )


def _lower_joints(wall: Wall, studs: tuple[Member, ...], frames: tuple[Frame, ...], clear: list[Clear], rules: Rules) -> list[int]:
    """Return the joints of the lower plate: over the last full-height stud that keeps all distances, else over an opening."""
    inner = [m.center for m in studs if m.role != "end_stud"]
    cripples = [m.center for f in frames for m in f.head_cripples]
    touching = [(f.header[0].x, f.header[0].right) for f in frames if f.head_top == T + wall.stud_length]
    joints: list[int] = []
    while wall.length - (last := joints[-1] if joints else 0) > wall.plate_stock:
        reach, own = last + wall.plate_stock, _with_last(clear, joints, rules)
        over_header = [x for a, b in touching for x in _worth_trying(max(a, last + 1), min(b, reach), own)]
        over = [[x for x in places if last < x <= reach] for places in (inner, [*cripples, *over_header])]
        kept = [max((x for x in places if _shortfall(x, own) == 0), default=0) for places in over]
        fewest = ceil_div(wall.length - last, wall.plate_stock)
        cheap = [x for x in kept if x and 1 + ceil_div(wall.length - x, wall.plate_stock) <= fewest]
        best = next((x for x in (*cheap, *kept) if x), 0)
        joints.append(best or _least_bad([*over[0], *over[1]] or [reach], own))
    return joints


def _upper_joints(wall: Wall, clear: list[Clear], rules: Rules) -> list[int]:
    """Return the joints of the upper plate: the largest x within stock that keeps all distances."""
    joints: list[int] = []
    while wall.length - (last := joints[-1] if joints else 0) > wall.plate_stock:
        own = _with_last(clear, joints, rules)
        joints.append(_least_bad(_worth_trying(last + rules.least_plate_piece, last + wall.plate_stock, own), own))
    return joints


def _with_last(clear: list[Clear], joints: list[int], rules: Rules) -> list[Clear]:
    """Add the joint before, which the next one stays a piece away from."""
    return [*clear, *(Clear(x, x, rules.least_plate_piece, "the joint before it") for x in joints[-1:])]


def _worth_trying(low: int, high: int, clear: list[Clear]) -> list[int]:
    """Return the places from low to high among which is the last that keeps all distances, and the least bad where none does."""
    along = sorted(clear)
    sides = [x for c in along for x in (c.x0 - c.least, c.x1 + c.least)]
    between = [(a.x1 + a.least + b.x0 - b.least) // 2 for a, b in pairwise(along)]
    return [high, *(x for x in (*sides, *between) if low <= x <= high)] if low <= high else []


def _shortfall(x: int, clear: list[Clear]) -> int:
    return max(c.short(x) for c in clear)


def _least_bad(places: list[int], clear: list[Clear]) -> int:
    """Return the place that lacks the least distance, the largest of equals."""
    return min(places, key=lambda x: (_shortfall(x, clear), -x))


def _tight(which: str, joints: list[int], clear: list[Clear], rules: Rules) -> tuple[str, ...]:
    """Say each joint that stands closer to something than it should."""
    return tuple(
        f"the joint of the {which} plate at {say_length(x)} stands {say_length(c.least - c.short(x))} from {c.what}, {say_length(c.least)} asked"
        for i, x in enumerate(joints)
        for c in _with_last(clear, joints[:i], rules)
        if c.short(x)
    )


def _between_doors(wall: Wall) -> Cuts:
    """Return the stretches of bottom plate that doors leave."""
    out, start = [], 0
    for o in sorted(wall.openings, key=lambda o: o.at):
        if o.kind == "door":
            out.append((start, o.at))
            start = o.at + o.width
    return [*out, (start, wall.length)]


def _plates(wall: Wall, role: str, z: int, pieces: Cuts, depth: int) -> tuple[Member, ...]:
    return tuple(Member(role, wall.stud, a, z, b - a, T, 0, depth) for a, b in pieces)


def _pieces(joints: list[int], length: int) -> Cuts:
    cuts = [0, *joints, length]
    return list(zip(cuts, cuts[1:], strict=False))
