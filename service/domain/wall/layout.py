"""Where the sticks of a wall fall: studs on the layout, and all that stands between them.

0   t                                   L-t  L
|end|corner|        |stud|    |backing|  |end|     top plates above, bottom plate below
"""

from bisect import bisect_left, bisect_right

from service.domain.wall.blocks import fire_blocks, joint_blocks, ladders
from service.domain.wall.checks import opening_faults, overlap_faults, wall_faults
from service.domain.wall.frames import frame
from service.domain.wall.members import Framing, Member, fixed_studs, jack_lefts
from service.domain.wall.panels.joints import seams
from service.domain.wall.plates import bottom_plates, full_stubs, top_plates
from service.domain.wall.wall import T, Wall
from service.errors import FasteningError
from service.tables.book import Book
from service.tables.editions import Edition


def lay_out(wall: Wall, edition: Edition, book: Book, joint_levels: tuple[int, ...] = ()) -> Framing:
    """Return the framing of a wall; `joint_levels` are the heights of panel joints that get blocks.

    Raises
    ------
    FasteningError
        `members_overlap`, `opening_outside_wall`, `header_does_not_clear`, `sill_too_low`, `head_below_sill`, `duplicate_id`,
        `intersection_outside_wall`, `intersections_overlap`, `no_bay_for_ladder` or `out_of_range`, each with the numbers.
    """
    faults = [*wall_faults(wall, book.lumber[wall.stud].depth), *opening_faults(wall, book)] or overlap_faults(wall, book)
    if faults:
        raise FasteningError(*faults)
    depth = book.lumber[wall.stud].depth
    marks = layout_marks(wall)
    studs = _studs(wall, marks, depth, edition, book)
    on_marks = [s for s in seams(wall, book.rules) if s.x in marks]
    frames = tuple(frame(wall, o, marks, studs, on_marks, book) for o in wall.openings)
    tops = top_plates(wall, studs, frames, edition, depth, book.rules)
    blocks = joint_blocks(wall, studs, frames, joint_levels, depth, book.rules)
    blocks += fire_blocks(wall, studs, joint_levels, depth, book.rules)
    bottom = bottom_plates(wall, depth, book.rules)
    return Framing(
        studs,
        frames,
        bottom,
        tops.lower,
        tops.upper,
        blocks + ladders(wall, studs, blocks, depth, book.rules),
        tops.tight,
        full_stubs(bottom, studs, frames, book.rules) if wall.bottom_plate_on == "wood_floor" else (),
    )


def layout_marks(wall: Wall) -> tuple[int, ...]:
    """Return the layout centers, the one against the end stud included where the last space is too wide."""
    last_mark = wall.length - T * 3 // 2
    marks = list(range(wall.first_center, last_mark + 1, wall.spacing))
    nearest = marks[-1] if marks else T // 2
    if wall.length - T // 2 - nearest > wall.spacing:
        marks.append(last_mark)
    return tuple(marks)


def _studs(wall: Wall, marks: tuple[int, ...], depth: int, edition: Edition, book: Book) -> tuple[Member, ...]:
    """Return the full-height studs: those that stand by right, and the layout studs that have room beside them.

    Where one that gives way would leave more than the stud table's cell, it stands tight against the other instead; a
    backing stud that it gives way to takes the panel's nails for it.
    """
    fixed = {m.x: m for _, m in reversed(fixed_studs(wall, book))}
    standing = dict(fixed)
    lefts = sorted([*fixed, *(x for o in wall.openings for x in jack_lefts(o))])
    gave_way = []
    for center in marks:
        left = center - T // 2
        if _over_opening(center, wall):
            continue
        if bisect_left(lefts, left + T) == bisect_right(lefts, left - T):
            standing[left] = _layout_stud(wall, left, depth)
        else:
            gave_way.append(left)
    widest = edition.stud_limits[wall.stud].widest(wall.supports)
    for left in gave_way:
        _make_up(left, standing, lefts, wall, widest, depth)
    return tuple([standing[x] for x in sorted(standing)])


def _over_opening(center: int, wall: Wall) -> bool:
    return any(o.at < center < o.at + o.width for o in wall.openings)


def _layout_stud(wall: Wall, left: int, depth: int) -> Member:
    return Member("stud", wall.stud, left, T, T, wall.stud_length, 0, depth)


def _make_up(left: int, standing: dict[int, Member], lefts: list[int], wall: Wall, widest: int | None, depth: int) -> None:
    """Put in what stands for a layout stud that gave way: a stud tight beside the other where the gap is too wide, else the backing stud."""
    other = min(lefts, key=lambda x: abs(x - left))
    side = 1 if left > other else -1
    tight = other + side * T
    beyond = [abs(x - other) for x in (*standing, *lefts) if (x - other) * side > 0]
    if widest is not None and beyond and min(beyond) > widest and not _over_opening(tight + T // 2, wall):
        standing[tight] = _layout_stud(wall, tight, depth)
    elif other in standing and standing[other].role == "backing_stud":
        standing[other] = standing[other]._replace(purpose="layout")
