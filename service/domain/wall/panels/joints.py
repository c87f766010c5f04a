"""Where the panels of a wall meet: level and upright joints, and what wood stands behind the upright ones."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from itertools import pairwise
from operator import attrgetter
from typing import NamedTuple

from service.domain.wall.members import Framing, Member
from service.domain.wall.panels.outline import Rect, without
from service.domain.wall.wall import T, Wall
from service.said import say_length
from service.tables.rules import Rules


class Seam(NamedTuple):
    """An upright joint between two panels of one course, over the bottom plate."""

    x: int
    z0: int
    z1: int


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


def seams(wall: Wall, rules: Rules) -> list[Seam]:
    """Return the upright joints of all courses."""
    return [Seam(x, max(z0, T), z1) for z0, z1, joints in courses(wall, rules) for x in joints]


def courses(wall: Wall, rules: Rules) -> list[tuple[int, int, tuple[int, ...]]]:
    """Return each course of panels from the bottom: its lower and upper side, and where its upright joints are."""
    sheets = wall.sheathing
    if sheets is None:
        return []
    lying, length, inner = sheets.orientation == "horizontal", stock_length(wall, rules), panel_levels(wall, rules)
    top = min(wall.height, (inner[-1] if inner else 0) + (sheets.panel_width if lying else length))
    return [
        (z0, z1, _lying_joints(wall, length, row) if lying else _standing_joints(wall))
        for row, (z0, z1) in enumerate(pairwise((0, *inner, top)))
    ]


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


def touching_at(x: int, members: Iterable[Member], near: int) -> list[tuple[Member, Member]]:
    """Return the pairs of sticks that touch less than 3/8 in from a joint: none has it under its middle, both its edges have wood."""
    here = [m for m in members if m.x - near < x < m.right + near]
    return [(a, b) for a in here for b in here if a.right == b.x and abs(b.x - x) < near and _common(a, b)]


def _standing_by(x: int, uprights: tuple[Member, ...], near: int) -> tuple[Member, ...]:
    """Return the uprights, which come from left to right, that may touch so near a joint."""
    left = attrgetter("x")
    return uprights[bisect_left(uprights, x - near - T, key=left) : bisect_right(uprights, x + near, key=left)]


def _common(a: Member, b: Member) -> bool:
    """Whether two sticks stand beside one another over some height."""
    return a.z < b.z + b.height and b.z < a.z + a.height


def doubled(wall: Wall, framing: Framing, rules: Rules) -> list[tuple[Member, Member]]:
    """Return the pairs of uprights that carry an upright joint together, which are nailed to one another for it."""
    return [
        (a, b)
        for s in sorted(seams(wall, rules))
        for a, b in touching_at(s.x, _standing_by(s.x, framing.uprights, rules.joint_on_member), rules.joint_on_member)
        if max(a.z, b.z) < s.z1 and s.z0 < min(a.z + a.height, b.z + b.height)
    ]


def off_stud(seams: list[Seam], holes: tuple[Rect, ...], framing: Framing, rules: Rules) -> tuple[int, ...]:
    """Return the joints that over some height have nothing behind them.

    What serves is an upright centered within 3/8 in, two sticks that touch there, a header, sill, plate or block.
    """
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
        for a, b in touching_at(x, (*_standing_by(x, uprights, near), *level), near):
            bare = without(bare, max(a.z, b.z), min(a.z + a.height, b.z + b.height))
        for m in (*behind, *(m for m in level if m.x < x < m.right)):
            bare = without(bare, m.z, m.z + m.height)
        if any(b - a >= T for a, b in bare):
            out.add(x)
    return tuple(sorted(out))


def at_corner(seams: list[Seam], holes: tuple[Rect, ...], rules: Rules) -> tuple[int, ...]:
    """Return the joints that run up to a corner of an opening."""
    reach = rules.opening_corner_reach
    near = {s.x for s in seams for h in holes if s.z0 <= h.z1 and h.z0 <= s.z1 and min(abs(s.x - h.x0), abs(s.x - h.x1)) <= reach}
    return tuple(sorted(near))


def say_joints(joints: tuple[int, ...]) -> str:
    """Say where joints are."""
    return ", ".join(f"{say_length(x)}" for x in joints)
