"""Where studs, plates and blocks fall.

0   t                                   L-t  L
|end|corner|        |stud|    |backing|  |end|     top plates above, bottom plate below
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable

from service.domain.wall.checks import opening_faults, overlap_faults, wall_faults
from service.domain.wall.members import Frame, Framing, Member, fixed_studs, header_depth, jack_lefts, king_lefts
from service.domain.wall.wall import Intersection, Opening, T, Wall
from service.errors import FasteningError, Fault
from service.tables.book import Book
from service.tables.editions import Edition
from service.ticks import ceil_div, inches, ticks

LEAST_BAY = ticks(3)
FIREBLOCK_HEIGHT = ticks(120)
LADDER_STEP = ticks(24)


def lay_out(wall: Wall, edition: Edition, book: Book, joint_levels: tuple[int, ...] = ()) -> Framing:
    """Return the framing of a wall; `joint_levels` are the heights of panel joints that get blocks.

    Raises
    ------
    FasteningError
        `members_overlap`, `opening_outside_wall`, `header_does_not_clear`, `sill_too_low`, `head_below_sill`, `duplicate_id`,
        `intersection_outside_wall`, `intersections_overlap`, `no_bay_for_ladder`, `no_plate_joint` or `out_of_range`, each with the numbers.
    """
    faults = [*wall_faults(wall), *opening_faults(wall, book)] or overlap_faults(wall)
    if faults:
        raise FasteningError(*faults)
    marks = layout_marks(wall)
    studs = _studs(wall, marks)
    frames = tuple(_frame(wall, o, marks, studs, book) for o in wall.openings)
    lower, upper = _top_plates(wall, studs, edition)
    blocks = _joint_blocks(wall, studs, joint_levels)
    blocks += tuple(b for b in _fire_blocks(wall, studs) if not any(b.x == j.x and abs(b.z - j.z) < T for j in blocks))
    return Framing(
        studs=studs,
        frames=frames,
        bottom_plates=_plates(wall, "bottom_plate", 0, tuple(p for a, b in _between_doors(wall) for p in _cut(a, b, wall.plate_stock))),
        top_plates=_plates(wall, "top_plate", T + wall.stud_length, lower),
        double_top_plates=_plates(wall, "double_top_plate", T * 2 + wall.stud_length, upper),
        blocks=blocks + _ladders(wall, studs, blocks),
    )


def layout_marks(wall: Wall) -> tuple[int, ...]:
    """Return the layout centers, the one against the end stud included where the last space is too wide."""
    last_mark = wall.length - T * 3 // 2
    marks = list(range(wall.first_center, last_mark + 1, wall.spacing))
    nearest = marks[-1] if marks else T // 2
    if wall.length - T // 2 - nearest > wall.spacing:
        marks.append(last_mark)
    return tuple(marks)


def _over(mark: int, wall: Wall) -> bool:
    return any(o.at < mark < o.at + o.width for o in wall.openings)


def _studs(wall: Wall, marks: tuple[int, ...]) -> tuple[Member, ...]:
    fixed = list({m.x: m for _, m in reversed(fixed_studs(wall))}.values())
    jacks = [x for o in wall.openings for x in jack_lefts(o)]
    lefts = sorted([f.x for f in fixed] + jacks)
    layout = [Member("stud", wall.stud, c - T // 2, T, T, wall.stud_length) for c in marks if not _over(c, wall)]
    standing = [m for m in layout if bisect_left(lefts, m.right) == bisect_right(lefts, m.x - T)]
    return tuple(sorted(fixed + standing, key=lambda m: m.x))


def _frame(wall: Wall, o: Opening, marks: tuple[int, ...], studs: tuple[Member, ...], book: Book) -> Frame:
    at_x = {m.x: m for m in studs}
    header_x, header_length = o.at - T * o.jack_count, o.width + 2 * T * o.jack_count
    depth, plies = header_depth(o, book), o.header.ply_count if o.header else 1
    top, over = T + wall.stud_length, [c - T // 2 for c in marks if o.at < c < o.at + o.width]
    header_top = o.head_height + depth
    heads = _cripples("head_cripple", wall, header_x, header_x + header_length, over, header_top, top)
    sills = _cripples("sill_cripple", wall, o.at, o.at + o.width, over, T, o.sill_height - T) if o.sill_height else ()
    notes = []
    if not heads and top > header_top:
        notes.append(f"opening {o.opening_id}: the {inches(top - header_top):g} in over the header take no cripples; fill them")
    if o.sill_height and not sills and o.sill_height > 2 * T:
        notes.append(f"opening {o.opening_id}: the {inches(o.sill_height - 2 * T):g} in under the sill take no cripples; fill them")
    if o.header is None:
        notes.append(f"opening {o.opening_id}: no header, the head is one flat 2-by")
    jack = [Member("jack_stud", wall.stud, x, T, T, o.head_height - T) for x in jack_lefts(o)]
    return Frame(
        opening=o,
        left_kings=tuple(at_x[x] for x in king_lefts(o, -1)),
        right_kings=tuple(at_x[x] for x in king_lefts(o, 1)),
        left_jacks=tuple(jack[: o.jack_count]),
        right_jacks=tuple(jack[o.jack_count :]),
        header=tuple(
            Member("header", o.header.nominal if o.header else wall.stud, header_x, o.head_height, header_length, depth)
            for _ in range(plies)
        ),
        sill=Member("sill", wall.stud, o.at, o.sill_height - T, o.width, T) if o.sill_height else None,
        head_cripples=heads,
        sill_cripples=sills,
        notes=tuple(notes),
    )


def _cripples(role: str, wall: Wall, left: int, right: int, over: list[int], low: int, high: int) -> tuple[Member, ...]:
    """Stand cripples at both ends and on the layout marks between, none in a gap under 1-1/2 in."""
    if high - low < T:
        return ()
    ends = [left, right - T]
    between = [x for x in over if all(x + T <= e or x >= e + T for e in ends)]
    return tuple(Member(role, wall.stud, x, low, T, high - low) for x in sorted(ends + between))


def _between_doors(wall: Wall) -> list[tuple[int, int]]:
    """Return the stretches of bottom plate that doors leave."""
    out, start = [], 0
    for o in sorted(wall.openings, key=lambda o: o.at):
        if o.kind == "door":
            out.append((start, o.at))
            start = o.at + o.width
    return [*out, (start, wall.length)]


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
    return tuple(Member("block", wall.stud, a, z, b - a, T) for z in heights for a, b in _bays_outside(wall, studs))


def _joint_blocks(wall: Wall, studs: tuple[Member, ...], levels: tuple[int, ...]) -> tuple[Member, ...]:
    return tuple(
        Member("block", wall.stud, a, z - T // 2, b - a, T)
        for z in levels
        if z + T // 2 <= T + wall.stud_length
        for a, b in _bays_outside(wall, studs)
    )


def _bays_outside(wall: Wall, studs: tuple[Member, ...]) -> list[tuple[int, int]]:
    return [(a, b) for a, b in clear_bays(studs) if not any(o.at < b and a < o.at + o.width for o in wall.openings)]


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
    bay = next(((a, b) for a, b in _bays_outside(wall, studs) if a < cross.at < b), None)
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
