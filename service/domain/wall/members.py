"""The sticks of a wall: what one is, those of an opening, and those that stand before the layout."""

from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter
from typing import NamedTuple

from service.domain.wall.wall import EngineeredHeader, Header, Opening, T, Wall
from service.tables.book import Book

CORNER_STUDS = {"none": 0, "two_stud": 0, "three_stud": 1, "four_stud": 2}
FLAT = frozenset({"bottom_plate", "top_plate", "double_top_plate", "block", "sill", "header"})


class Member(NamedTuple):
    """One stick: left and bottom, its extent in the elevation, and where it stands in the depth of the wall; ticks.

    `y` is its outer side and `thickness` its extent inward. `owner` is the opening or partition it is there for,
    `purpose` says why a block stands there: fire, joint or ladder; layout is that of a backing stud which stands for a
    layout stud. A light tuple: a wall has a hundred of them.
    """

    role: str
    nominal: str
    x: int
    z: int
    width: int
    height: int
    y: int = 0
    thickness: int = 0
    owner: str = ""
    purpose: str = ""

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


_LEFT_AND_LOW = attrgetter("x", "z")


@dataclass(frozen=True, slots=True)
class Frame:
    """The sticks of one opening; kings are listed from the opening outwards and may be shared with a neighbor or an end stud."""

    opening: Opening
    left_kings: tuple[Member, ...]
    right_kings: tuple[Member, ...]
    left_jacks: tuple[Member, ...]
    right_jacks: tuple[Member, ...]
    header: tuple[Member, ...]
    flats: tuple[Member, ...]
    sill: Member | None
    head_cripples: tuple[Member, ...]
    sill_cripples: tuple[Member, ...]

    @property
    def level(self) -> tuple[Member, ...]:
        """Those that lie: header, flats, sill."""
        return (*self.header, *self.flats, *((self.sill,) if self.sill else ()))

    @property
    def members(self) -> tuple[Member, ...]:
        """The sticks that stand between the kings."""
        return self.left_jacks + self.right_jacks + self.level + self.head_cripples + self.sill_cripples

    @property
    def head_top(self) -> int:
        """Height of the top of all that lies over the opening."""
        return max(m.z + m.height for m in (*self.header, *self.flats))

    @property
    def uprights(self) -> tuple[Member, ...]:
        """The standing ones among them."""
        return self.left_jacks + self.right_jacks + self.head_cripples + self.sill_cripples


@dataclass(frozen=True)
class Framing:
    """Every stick of a wall, in groups, in one fixed order."""

    studs: tuple[Member, ...]
    frames: tuple[Frame, ...]
    bottom_plates: tuple[Member, ...]
    top_plates: tuple[Member, ...]
    double_top_plates: tuple[Member, ...]
    blocks: tuple[Member, ...]
    tight_plate_joints: tuple[str, ...] = ()
    """Which plate joints stand closer to a lap, a wall end or another joint than they should."""
    full_stubs: tuple[Member, ...] = ()
    """Short pieces of bottom plate with no room for nails into the floor."""

    @cached_property
    def members(self) -> tuple[Member, ...]:
        """All sticks in the order of the answer."""
        framed = tuple([m for f in self.frames for m in f.members])
        return self.studs + framed + self.bottom_plates + self.top_plates + self.double_top_plates + self.blocks

    @cached_property
    def lengths(self) -> tuple[int, ...]:
        """Cut length of each stick, in the order of `members`; found once, as many ask for it."""
        return tuple([m.width if m.role in FLAT else m.height for m in self.members])

    @cached_property
    def uprights(self) -> tuple[Member, ...]:
        """Every standing stick, from left to right."""
        framed = tuple([m for f in self.frames for m in f.uprights])
        return tuple(sorted(self.studs + framed, key=_LEFT_AND_LOW))

    @cached_property
    def on_plate(self) -> tuple[Member, ...]:
        """The uprights that stand on the bottom plate."""
        return tuple([m for m in self.uprights if m.z == T])


def fixed_studs(wall: Wall, book: Book) -> list[tuple[str, Member]]:
    """Studs that stand by right, before the layout, each with its name."""
    depth, length = book.lumber[wall.stud].depth, wall.stud_length

    def stand(name: str, role: str, left: int, owner: str = "") -> tuple[str, Member]:
        return name, Member(role, wall.stud, left, T, T, length, 0, depth, owner)

    out = [stand("start end stud", "end_stud", 0), stand("end end stud", "end_stud", wall.length - T)]
    out += [stand("start_corner", "corner_stud", T * (k + 1)) for k in range(CORNER_STUDS[wall.start_corner])]
    out += [stand("end_corner", "corner_stud", wall.length - T * (k + 2)) for k in range(CORNER_STUDS[wall.end_corner])]
    for o in wall.openings:
        out += [stand(f"opening {o.opening_id}", "king_stud", x, o.opening_id) for x in (*king_lefts(o, -1), *king_lefts(o, 1))]
    for i, cross in enumerate(wall.intersections):
        if cross.backing == "two_stud":
            name = f"intersections/{i}"
            out += [stand(name, "backing_stud", cross.at + side * (cross.depth // 2) - T // 2, name) for side in (-1, 1)]
    return out


def king_lefts(o: Opening, side: int) -> tuple[int, ...]:
    """Return the left sides of the kings on one side, from the opening outwards."""
    if side < 0:
        return tuple(o.at - T * (o.jack_count + k + 1) for k in range(o.king_count))
    return tuple(o.at + o.width + T * (o.jack_count + k) for k in range(o.king_count))


def jack_lefts(o: Opening) -> tuple[int, ...]:
    """Return the left sides of the jacks, those left of the opening first, each from the opening outwards."""
    return (*(o.at - T * (k + 1) for k in range(o.jack_count)), *(o.at + o.width + T * k for k in range(o.jack_count)))


def ply_size(header: Header | EngineeredHeader, book: Book) -> tuple[int, int]:
    """Return thickness and depth of one ply of a header."""
    if isinstance(header, EngineeredHeader):
        return header.thickness, header.depth
    return book.lumber[header.nominal].thickness, book.lumber[header.nominal].depth


def header_thickness(header: Header | EngineeredHeader, book: Book) -> int:
    """Return the thickness of a built-up header, spacers included."""
    return header.ply_count * ply_size(header, book)[0] + (header.ply_count - 1) * header.spacer


def has_flats(header: Header | EngineeredHeader | None, book: Book) -> bool:
    """Whether a header is one 2-by on edge, which has a flat 2-by on top and at the bottom (IRC R602.7.1)."""
    return isinstance(header, Header) and header.ply_count == 1 and ply_size(header, book)[0] == T


def header_depth(o: Opening, wall: Wall, book: Book) -> int:
    """Return the depth of all that lies over the opening: header and flats, a flat 2-by where there is no header.

    A single ply that reaches the top plate has that as its upper flat (IRC R602.7.1: flat member or wall plate).
    """
    if o.header is None:
        return T
    deep = ply_size(o.header, book)[1]
    if not has_flats(o.header, book):
        return deep
    reaches = o.head_height + T + deep == T + wall.stud_length
    return T + deep + (0 if reaches else T)
