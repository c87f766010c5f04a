"""Where studs, plates and blocks fall.

0   t                                   L-t  L
|end|corner|        |stud|    |backing|  |end|     top plates above, bottom plate below
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import dataclass

from service.domain.wall import Intersection, T, Wall
from service.errors import FasteningError, Fault
from service.tables.book import Edition
from service.ticks import ceil_div, inches, ticks

CORNER_STUDS = {"none": 0, "two_stud": 0, "three_stud": 1, "four_stud": 2}
FLAT = frozenset({"bottom_plate", "top_plate", "double_top_plate", "block", "sill", "header"})
LEAST_BAY = ticks(3)
FIREBLOCK_HEIGHT = ticks(120)
LADDER_STEP = ticks(24)


@dataclass(frozen=True, slots=True)
class Member:
    """One stick: left and bottom, and its extent in the elevation; ticks."""

    role: str
    nominal: str
    x: int
    z: int
    width: int
    height: int

    @property
    def length(self) -> int:
        """Cut length."""
        return self.width if self.role in FLAT else self.height

    @property
    def center(self) -> int:
        """Middle along the wall."""
        return self.x + self.width // 2

    @property
    def right(self) -> int:
        """Right side."""
        return self.x + self.width


@dataclass(frozen=True, slots=True)
class Framing:
    """Every stick of a wall, in groups, in one fixed order."""

    studs: tuple[Member, ...]
    bottom_plates: tuple[Member, ...]
    top_plates: tuple[Member, ...]
    double_top_plates: tuple[Member, ...]
    blocks: tuple[Member, ...]

    @property
    def members(self) -> tuple[Member, ...]:
        """All sticks in the order of the answer."""
        return self.studs + self.bottom_plates + self.top_plates + self.double_top_plates + self.blocks


def lay_out(wall: Wall, edition: Edition) -> Framing:
    """Return the framing of a wall.

    Raises
    ------
    FasteningError
        `members_overlap`, `intersection_outside_wall`, `intersections_overlap`, `no_bay_for_ladder`,
        `no_plate_joint` or `out_of_range`, each with the numbers.
    """
    faults = _faults(wall)
    if faults:
        raise FasteningError(*faults)
    studs = _studs(wall)
    lower, upper = _top_plates(wall, studs, edition)
    blocks = _fire_blocks(wall, studs)
    return Framing(
        studs=studs,
        bottom_plates=_plates(wall, "bottom_plate", 0, _cut(0, wall.length, wall.plate_stock)),
        top_plates=_plates(wall, "top_plate", T + wall.stud_length, lower),
        double_top_plates=_plates(wall, "double_top_plate", T * 2 + wall.stud_length, upper),
        blocks=blocks + _ladders(wall, studs, blocks),
    )


def _faults(wall: Wall) -> list[Fault]:
    faults = []
    low, high = T * 3 // 2, wall.spacing
    if not low <= wall.first_center <= high:
        faults.append(
            Fault(
                "out_of_range",
                f"must be {inches(low):g} to the stud spacing, {inches(high):g} in",
                ("first_stud_offset_in",),
                {"limit": [inches(low), inches(high)], "received": inches(wall.first_center)},
            )
        )
    if wall.bearing and wall.supports == "none":
        faults.append(Fault("conflicting_fields", "a bearing wall supports something: send supports, or bearing false", ("supports",)))
    if not wall.bearing and wall.supports != "none":
        faults.append(Fault("conflicting_fields", "a wall that is not bearing has supports none", ("supports",)))
    taken = [("start_corner", 0, ticks("3.5"))] if wall.start_corner != "none" else []
    if wall.end_corner != "none":
        taken.append(("end_corner", wall.length - ticks("3.5"), wall.length))
    for i, cross in enumerate(wall.intersections):
        left, right = cross.at - cross.depth // 2, cross.at + cross.depth // 2
        path = ("intersections", i, "at_in")
        if left < 0 or right > wall.length:
            faults.append(
                Fault(
                    "intersection_outside_wall",
                    f"a partition {inches(cross.depth):g} in deep at {inches(cross.at):g} in reaches past the wall (0 to {inches(wall.length):g} in)",
                    path,
                    {"received": inches(cross.at), "limit": inches(wall.length)},
                )
            )
        faults += [
            Fault(
                "intersections_overlap",
                f"the partition at {inches(cross.at):g} in ({inches(left):g} to {inches(right):g}) overlaps {other} ({inches(a):g} to {inches(b):g})",
                path,
            )
            for other, a, b in taken
            if left < b and a < right
        ]
        taken.append((f"intersections/{i}", left, right))
    return faults or _overlaps(wall)


def _fixed(wall: Wall) -> list[tuple[str, Member]]:
    """Studs that stand by right, before the layout, each with its name."""

    def stand(name: str, role: str, left: int) -> tuple[str, Member]:
        return name, Member(role, wall.stud, left, T, T, wall.stud_length)

    out = [stand("start end stud", "end_stud", 0), stand("end end stud", "end_stud", wall.length - T)]
    out += [stand("start_corner", "corner_stud", T * (k + 1)) for k in range(CORNER_STUDS[wall.start_corner])]
    out += [stand("end_corner", "corner_stud", wall.length - T * (k + 2)) for k in range(CORNER_STUDS[wall.end_corner])]
    for i, cross in enumerate(wall.intersections):
        if cross.backing == "two_stud":
            out += [stand(f"intersections/{i}", "backing_stud", cross.at + side * (cross.depth // 2) - T // 2) for side in (-1, 1)]
    return out


def _overlaps(wall: Wall) -> list[Fault]:
    fixed = sorted(_fixed(wall), key=lambda nm: nm[1].x)
    return [
        Fault(
            "members_overlap",
            f"a stud of {a} ({inches(m.x):g} to {inches(m.right):g} in) overlaps one of {b} ({inches(n.x):g} to {inches(n.right):g} in)",
            ("intersections",) if "intersections" in a + b else ("length_in",),
        )
        for (a, m), (b, n) in zip(fixed, fixed[1:], strict=False)
        if n.x < m.right
    ]


def _studs(wall: Wall) -> tuple[Member, ...]:
    fixed = [m for _, m in _fixed(wall)]
    last_mark = wall.length - T * 3 // 2
    marks = list(range(wall.first_center, last_mark + 1, wall.spacing))
    nearest = marks[-1] if marks else T // 2
    if wall.length - T // 2 - nearest > wall.spacing:
        marks.append(last_mark)
    layout = [Member("stud", wall.stud, c - T // 2, T, T, wall.stud_length) for c in marks]
    lefts = sorted(f.x for f in fixed)
    standing = [m for m in layout if bisect_left(lefts, m.right) == bisect_right(lefts, m.x - T)]
    return tuple(sorted(fixed + standing, key=lambda m: m.x))


def _cut(start: int, end: int, stock: int) -> tuple[tuple[int, int], ...]:
    return tuple((x, min(x + stock, end)) for x in range(start, end, stock))


def _plates(wall: Wall, role: str, z: int, pieces: tuple[tuple[int, int], ...]) -> tuple[Member, ...]:
    return tuple(Member(role, wall.stud, a, z, b - a, T) for a, b in pieces)


def _top_plates(wall: Wall, studs: tuple[Member, ...], edition: Edition) -> tuple[tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]]:
    inner = [m.center for m in studs if m.role != "end_stud"]
    lower = _joints(wall, lambda last, reach: max((c for c in inner if last < c <= reach), default=None), "a stud")
    if wall.top_plate_count == 1:
        return _pieces(lower, wall.length), ()

    def clear(last: int, reach: int) -> int | None:
        """Largest x in reach that keeps the offset from every lower joint."""
        offset = edition.plate_joint_offset
        spots = [reach, *(j - offset for j in lower)]
        return max((x for x in spots if last < x <= reach and all(abs(x - j) >= offset for j in lower)), default=None)

    upper = _joints(wall, clear, f"a place {inches(edition.plate_joint_offset):g} in from the joints below")
    return _pieces(lower, wall.length), _pieces(upper, wall.length)


def _joints(wall: Wall, best: Callable[[int, int], int | None], what: str) -> list[int]:
    joints: list[int] = []
    last = 0
    while wall.length - last > wall.plate_stock:
        found = best(last, last + wall.plate_stock)
        if found is None:
            raise FasteningError(
                Fault(
                    "no_plate_joint",
                    f"no joint fits: {what} within {inches(wall.plate_stock):g} in of x {inches(last):g} in; use longer plate stock",
                    ("plate_stock_length_ft",),
                    {"received": inches(wall.plate_stock) / 12},
                )
            )
        joints.append(found)
        last = found
    return joints


def _pieces(joints: list[int], length: int) -> tuple[tuple[int, int], ...]:
    cuts = [0, *joints, length]
    return tuple(zip(cuts, cuts[1:], strict=False))


def clear_bays(studs: tuple[Member, ...]) -> list[tuple[int, int]]:
    """Return the clear spaces between neighboring full-height studs, 3 in and wider."""
    return [(a.right, b.x) for a, b in zip(studs, studs[1:], strict=False) if b.x - a.right >= LEAST_BAY]


def fireblock_rows(wall: Wall) -> int:
    """Count fire-block rows: one for each 10 ft of stud length past the first."""
    return ceil_div(wall.stud_length, FIREBLOCK_HEIGHT) - 1 if wall.fireblocking else 0


def _fire_blocks(wall: Wall, studs: tuple[Member, ...]) -> tuple[Member, ...]:
    rows = fireblock_rows(wall)
    heights = [T + wall.stud_length * (k + 1) // (rows + 1) - T // 2 for k in range(rows)]
    return tuple(Member("block", wall.stud, a, z, b - a, T) for z in heights for a, b in clear_bays(studs))


def _ladders(wall: Wall, studs: tuple[Member, ...], fire: tuple[Member, ...]) -> tuple[Member, ...]:
    out: list[Member] = []
    for i, cross in enumerate(wall.intersections):
        if cross.backing != "ladder":
            continue
        blocks = _ladder(wall, i, cross, studs, fire)
        if blocks and any(b.x == blocks[0].x for b in out):
            raise FasteningError(
                Fault(
                    "no_bay_for_ladder",
                    f"the bay at {inches(cross.at):g} in already holds the ladder blocks of another partition; move one of them or use two_stud backing",
                    ("intersections", i, "at_in"),
                    {"received": inches(cross.at)},
                )
            )
        out += blocks
    return tuple(out)


def _ladder(wall: Wall, i: int, cross: Intersection, studs: tuple[Member, ...], fire: tuple[Member, ...]) -> list[Member]:
    bay = next(((a, b) for a, b in clear_bays(studs) if a < cross.at < b), None)
    if bay is None:
        raise FasteningError(
            Fault(
                "no_bay_for_ladder",
                f"ladder blocks need a clear bay of 3 in at {inches(cross.at):g} in; a stud stands there: move the partition or use two_stud backing",
                ("intersections", i, "backing"),
                {"received": inches(cross.at)},
            )
        )
    count = wall.stud_length // LADDER_STEP
    out = []
    for k in range(count):
        z = T + wall.stud_length * (k + 1) // (count + 1) - T // 2
        meets = [f for f in fire if f.x == bay[0] and f.z < z + T and z < f.z + T]
        out.append(Member("block", wall.stud, bay[0], meets[0].z - T if meets else z, bay[1] - bay[0], T))
    return out
