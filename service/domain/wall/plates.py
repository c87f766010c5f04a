"""Where plates are cut: bottom plates between doors, lower top plates over studs, upper ones clear of the joints below.

upper  |____________________|______________|
lower  |______________|____________________|     joints keep the edition's offset (IRC R602.3.2: 24 in)
"""

from collections.abc import Callable

from service.domain.wall.members import Member
from service.domain.wall.wall import T, Wall
from service.errors import FasteningError, Fault
from service.said import say_length
from service.tables.editions import Edition
from service.ticks import inches

Cuts = list[tuple[int, int]]


def bottom_plates(wall: Wall, depth: int) -> tuple[Member, ...]:
    """Return the bottom plate in pieces of the stock length between doors."""
    pieces = [(x, min(x + wall.plate_stock, b)) for a, b in _between_doors(wall) for x in range(a, b, wall.plate_stock)]
    return _plates(wall, "bottom_plate", 0, pieces, depth)


def top_plates(wall: Wall, studs: tuple[Member, ...], edition: Edition, depth: int) -> tuple[tuple[Member, ...], tuple[Member, ...]]:
    """Return the pieces of the lower and of the upper top plate, none of the latter where there is one plate.

    Raises
    ------
    FasteningError
        `no_plate_joint` when no joint fits within the stock length.
    """
    inner = [m.center for m in studs if m.role != "end_stud"]
    low, high = T + wall.stud_length, T * 2 + wall.stud_length
    lower = _joints(wall, lambda last, reach: max((c for c in inner if last < c <= reach), default=None), "a stud")
    if wall.top_plate_count == 1:
        return _plates(wall, "top_plate", low, _pieces(lower, wall.length), depth), ()

    def clear(last: int, reach: int) -> int | None:
        """Largest x in reach that keeps the offset from every lower joint."""
        offset = edition.plate_joint_offset
        spots = [reach, *(j - offset for j in lower)]
        return max((x for x in spots if last < x <= reach and all(abs(x - j) >= offset for j in lower)), default=None)

    upper = _joints(wall, clear, f"a place {say_length(edition.plate_joint_offset)} from the joints below")
    return (
        _plates(wall, "top_plate", low, _pieces(lower, wall.length), depth),
        _plates(wall, "double_top_plate", high, _pieces(upper, wall.length), depth),
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


def _joints(wall: Wall, best: Callable[[int, int], int | None], what: str) -> list[int]:
    joints: list[int] = []
    last = 0
    while wall.length - last > wall.plate_stock:
        found = best(last, last + wall.plate_stock)
        if found is None:
            raise FasteningError(
                Fault(
                    "no_plate_joint",
                    f"no joint fits: {what} within {say_length(wall.plate_stock)} of x {say_length(last)}; use longer plate stock",
                    ("plate_stock_length_ft",),
                    {"received": inches(wall.plate_stock) / 12},
                )
            )
        joints.append(found)
        last = found
    return joints


def _pieces(joints: list[int], length: int) -> Cuts:
    cuts = [0, *joints, length]
    return list(zip(cuts, cuts[1:], strict=False))
