"""Blocks between studs: under panel joints, against fire, and ladders behind partitions."""

from service.domain.wall.members import Frame, Member
from service.domain.wall.wall import Intersection, T, Wall
from service.errors import FasteningError, Fault
from service.said import say_length
from service.tables.rules import Rules
from service.ticks import ceil_div, inches

Bays = list[tuple[int, int]]


def clear_bays(studs: tuple[Member, ...], rules: Rules) -> Bays:
    """Return the clear spaces between neighboring full-height studs, 3 in and wider (service rule)."""
    return [(a.right, b.x) for a, b in zip(studs, studs[1:], strict=False) if b.x - a.right >= rules.least_bay]


def bays_outside(wall: Wall, studs: tuple[Member, ...], rules: Rules) -> Bays:
    """Return the clear bays that no opening stands in."""
    return [(a, b) for a, b in clear_bays(studs, rules) if not any(o.at < b and a < o.at + o.width for o in wall.openings)]


def fireblock_rows(wall: Wall, joints: tuple[int, ...], rules: Rules) -> int:
    """Count fire-block rows (local reading of R602.8 and R302.11).

    Parameters
    ----------
    joints : tuple of int
        Heights of the rows of blocks that stand already, under panel joints; ticks.
    """
    return sum(_rows_between(a, b, rules) for a, b in _free_heights(wall, joints, rules)) if wall.fireblocking else 0


def _free_heights(wall: Wall, joints: tuple[int, ...], rules: Rules) -> Bays:
    """Return the heights between plates and rows of blocks."""
    top = T + wall.stud_length
    rows = [z for z in (_fitted(joint, T, top, rules) for joint in joints) if z is not None]
    return list(zip((T, *(z + T for z in rows)), (*rows, top), strict=True))


def _rows_between(low: int, high: int, rules: Rules) -> int:
    """Return the fewest rows that leave no free height over the limit, the blocks' own thickness counted."""
    return max(ceil_div(high - low + T, rules.fireblock_height + T) - 1, 0)


def fire_blocks(wall: Wall, studs: tuple[Member, ...], joints: tuple[int, ...], depth: int, rules: Rules) -> tuple[Member, ...]:
    """Return the rows of fire blocks, evenly spaced in what joint rows leave; blocks of a row stand higher by their thickness by turns."""
    if not wall.fireblocking:
        return ()
    heights = [
        low + (high - low) * (k + 1) // (rows + 1) - T
        for low, high in _free_heights(wall, joints, rules)
        for rows in [_rows_between(low, high, rules)]
        for k in range(rows)
    ]
    return tuple(_block(wall, bay, z + k % 2 * T, depth, "fire") for z in heights for k, bay in enumerate(bays_outside(wall, studs, rules)))


def joint_blocks(
    wall: Wall, studs: tuple[Member, ...], frames: tuple[Frame, ...], levels: tuple[int, ...], depth: int, rules: Rules
) -> tuple[Member, ...]:
    """Return the blocks behind horizontal panel joints, half on each panel, over and under openings too."""
    top = T + wall.stud_length
    out = []
    for joint in levels:
        places = [(bay, T, top, "") for bay in bays_outside(wall, studs, rules)]
        for f in frames:
            places += [(bay, f.head_top, top, f.opening.opening_id) for bay in clear_bays(f.head_cripples, rules)]
            places += [(bay, T, f.sill.z, f.opening.opening_id) for bay in clear_bays(f.sill_cripples, rules) if f.sill]
        out += [
            _block(wall, bay, z, depth, "joint", owner)
            for bay, low, high, owner in places
            if (z := _fitted(joint, low, high, rules)) is not None
        ]
    return tuple(out)


def _fitted(joint: int, low: int, high: int, rules: Rules) -> int | None:
    """Return where a block behind a panel joint stands between two heights: half on each panel, else against what is nearer.

    None where header, sill or plate hold the nails of both panels.
    """
    reach = rules.panel_edge_distance
    if high - low < T or not low - reach < joint < high + reach:
        return None
    return min(max(joint - T // 2, low), high - T)


def ladders(wall: Wall, studs: tuple[Member, ...], others: tuple[Member, ...], depth: int, rules: Rules) -> tuple[Member, ...]:
    """Return the ladder blocks behind partitions; one that meets another block stands under it.

    Raises
    ------
    FasteningError
        `no_bay_for_ladder` when a partition has no clear bay, or shares one.
    """
    out: list[Member] = []
    for i, cross in enumerate(wall.intersections):
        if cross.backing != "ladder":
            continue
        bay = _ladder_bay(wall, i, cross, studs, rules)
        count = wall.stud_length // rules.ladder_step
        if count and any(b.x == bay[0] for b in out):
            raise _no_bay(
                i,
                cross,
                "at_in",
                f"the bay at {say_length(cross.at)} already holds the ladder blocks of another partition; move one of them or use two_stud backing",
            )
        heights = [T + wall.stud_length * (k + 1) // (count + 1) - T // 2 for k in range(count)]
        out += [_block(wall, bay, _under(z, bay, others), depth, "ladder", f"intersections/{i}") for z in heights]
    return tuple(out)


def _ladder_bay(wall: Wall, i: int, cross: Intersection, studs: tuple[Member, ...], rules: Rules) -> tuple[int, int]:
    bay = next(((a, b) for a, b in bays_outside(wall, studs, rules) if a < cross.at < b), None)
    if bay is None:
        raise _no_bay(
            i,
            cross,
            "backing",
            f"ladder blocks need a clear bay of {say_length(rules.least_bay)} at {say_length(cross.at)}; a stud stands there: move the partition or use two_stud backing",
        )
    return bay


def _no_bay(i: int, cross: Intersection, field: str, said: str) -> FasteningError:
    return FasteningError(Fault("no_bay_for_ladder", said, ("intersections", i, field), {"received": inches(cross.at)}))


def _under(z: int, bay: tuple[int, int], others: tuple[Member, ...]) -> int:
    """Return the height of a ladder block, lowered under a block of another kind that stands there."""
    meets = [f.z for f in others if f.x == bay[0] and f.z < z + T and z < f.z + T]
    return meets[0] - T if meets else z


def _block(wall: Wall, bay: tuple[int, int], z: int, depth: int, purpose: str, owner: str = "") -> Member:
    return Member("block", wall.stud, bay[0], z, bay[1] - bay[0], T, 0, depth, owner, purpose)
