"""Where the sticks of a wall fall: studs on the layout, and all that stands between them.

0   t                                   L-t  L
|end|corner|        |stud|    |backing|  |end|     top plates above, bottom plate below
"""

from bisect import bisect_left, bisect_right

from service.domain.wall.blocks import fire_blocks, joint_blocks, ladders
from service.domain.wall.checks import opening_faults, overlap_faults, wall_faults
from service.domain.wall.frames import frame
from service.domain.wall.members import Framing, Member, fixed_studs, jack_lefts
from service.domain.wall.plates import bottom_plates, top_plates
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
        `intersection_outside_wall`, `intersections_overlap`, `no_bay_for_ladder`, `no_plate_joint` or `out_of_range`, each with the numbers.
    """
    faults = [*wall_faults(wall, book.rules), *opening_faults(wall, book)] or overlap_faults(wall, book)
    if faults:
        raise FasteningError(*faults)
    depth = book.lumber[wall.stud].depth
    marks = layout_marks(wall)
    studs = _studs(wall, marks, depth, book)
    frames = tuple(frame(wall, o, marks, studs, book) for o in wall.openings)
    lower, upper = top_plates(wall, studs, edition, depth)
    blocks = joint_blocks(wall, studs, joint_levels, depth, book.rules)
    blocks += tuple(b for b in fire_blocks(wall, studs, depth, book.rules) if not any(b.x == j.x and abs(b.z - j.z) < T for j in blocks))
    return Framing(studs, frames, bottom_plates(wall, depth), lower, upper, blocks + ladders(wall, studs, blocks, depth, book.rules))


def layout_marks(wall: Wall) -> tuple[int, ...]:
    """Return the layout centers, the one against the end stud included where the last space is too wide."""
    last_mark = wall.length - T * 3 // 2
    marks = list(range(wall.first_center, last_mark + 1, wall.spacing))
    nearest = marks[-1] if marks else T // 2
    if wall.length - T // 2 - nearest > wall.spacing:
        marks.append(last_mark)
    return tuple(marks)


def _studs(wall: Wall, marks: tuple[int, ...], depth: int, book: Book) -> tuple[Member, ...]:
    """Return the full-height studs: those that stand by right, and the layout studs that have room beside them."""
    fixed = list({m.x: m for _, m in reversed(fixed_studs(wall, book))}.values())
    lefts = sorted([f.x for f in fixed] + [x for o in wall.openings for x in jack_lefts(o)])
    over = [(o.at, o.at + o.width) for o in wall.openings]
    standing = []
    for center in marks:
        left = center - T // 2
        if not any(a < center < b for a, b in over) and bisect_left(lefts, left + T) == bisect_right(lefts, left - T):
            standing.append(Member("stud", wall.stud, left, T, T, wall.stud_length, 0, depth))
    return tuple(sorted(fixed + standing, key=lambda m: m.x))
