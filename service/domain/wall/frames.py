"""The sticks of one opening.

| king | jack |   header   | jack | king |
|      |      | (cripples) |      |      |     jacks carry the header, kings run from plate to plate
|      |      |    sill    |      |      |
"""

from service.domain.wall.members import Frame, Member, has_flats, header_depth, jack_lefts, king_lefts, ply_size
from service.domain.wall.panels.joints import Seam
from service.domain.wall.wall import Opening, T, Wall
from service.tables.book import Book


def frame(wall: Wall, o: Opening, marks: tuple[int, ...], studs: tuple[Member, ...], on_marks: list[Seam], book: Book) -> Frame:
    """Return the sticks of an opening; its kings are among the studs, `on_marks` the upright panel joints on layout marks.

    Header length = width + 2 jacks each side; jack length = head height less the bottom plate (service rule of counting).
    """
    at_x = {m.x: m for m in studs}
    depth = book.lumber[wall.stud].depth
    header_x, header_length = o.at - T * o.jack_count, o.width + 2 * T * o.jack_count
    header_top, top = o.head_height + header_depth(o, wall, book), T + wall.stud_length
    over = [c - T // 2 for c in marks if o.at < c < o.at + o.width]

    def stand(role: str, x: int, z: int, height: int) -> Member:
        return Member(role, wall.stud, x, z, T, height, 0, depth, o.opening_id)

    def cripples(role: str, left: int, right: int, low: int, high: int) -> tuple[Member, ...]:
        joints = [x for s in on_marks if left <= (x := s.x - T // 2) <= right - T and s.z0 < high and low < s.z1]
        return tuple(
            stand(role, x, low, high - low) for x in cripple_lefts(left, right, over, joints, low, high, book.rules.joint_on_member)
        )

    jacks = tuple(stand("jack_stud", x, T, o.head_height - T) for x in jack_lefts(o))
    return Frame(
        opening=o,
        left_kings=tuple(at_x[x] for x in king_lefts(o, -1)),
        right_kings=tuple(at_x[x] for x in king_lefts(o, 1)),
        left_jacks=jacks[: o.jack_count],
        right_jacks=jacks[o.jack_count :],
        header=_header(wall, o, header_x, header_length, depth, book),
        flats=_flats(wall, o, header_x, header_length, depth, book),
        sill=Member("sill", wall.stud, o.at, o.sill_height - T, o.width, T, 0, depth, o.opening_id) if o.sill_height else None,
        head_cripples=cripples("head_cripple", header_x, header_x + header_length, header_top, top),
        sill_cripples=cripples("sill_cripple", o.at, o.at + o.width, T, o.sill_height - T) if o.sill_height else (),
    )


def _header(wall: Wall, o: Opening, x: int, length: int, depth: int, book: Book) -> tuple[Member, ...]:
    """Return the plies of a header from the outside face inward, or the one flat 2-by of an opening without."""
    if o.header is None:
        return (Member("header", wall.stud, x, o.head_height, length, T, 0, depth, o.opening_id),)
    thick, high = ply_size(o.header, book)
    z = o.head_height + (T if has_flats(o.header, book) else 0)
    return tuple(
        Member("header", o.header.nominal, x, z, length, high, k * (thick + o.header.spacer), thick, o.opening_id)
        for k in range(o.header.ply_count)
    )


def _flats(wall: Wall, o: Opening, x: int, length: int, depth: int, book: Book) -> tuple[Member, ...]:
    """Return the flat 2-by under a single-ply header, and the one on it where that is not the top plate."""
    if o.header is None or not has_flats(o.header, book):
        return ()
    top_of_ply = o.head_height + T + ply_size(o.header, book)[1]
    levels = (o.head_height, top_of_ply) if header_depth(o, wall, book) > top_of_ply - o.head_height else (o.head_height,)
    return tuple(Member("header", wall.stud, x, z, length, T, 0, depth, o.opening_id) for z in levels)


def cripple_lefts(left: int, right: int, over: list[int], joints: list[int], low: int, high: int, near: int) -> list[int]:
    """Return where cripples stand: at both ends and on the layout marks between, none in a gap under 1-1/2 in.

    A mark under an upright panel joint has one beside the opening too. Where the end cripple takes its place and is not under the
    joint, it stands tight inside that (common practice, no source: a stick behind each upright joint).

    Parameters
    ----------
    over, joints : list of int
        Where sticks centered on the marks over the opening and on the marks under panel joints have their left side.
    near : int
        How far from the joint the center of a stick may be that serves it.
    """
    if high - low < T:
        return []
    first, last = left, right - T
    stand = {first, last} | {x for x in {*over, *joints} if first + T <= x <= last - T}
    for x in joints:
        tight = first + T if near < x - first < T else last - T if near < last - x < T else None
        if tight is not None and all(abs(tight - other) >= T for other in stand):
            stand.add(tight)
    return sorted(stand)
