"""A wall as measured: lengths in ticks, x along the wall, z up from the underside of the bottom plate."""

from dataclasses import dataclass

from service.domain.joint.stop import Stop
from service.ticks import PER_FT, ticks

T = ticks("1.5")
LEAST_STORIES = {"none": 1, "roof_only": 1, "one_story_and_roof": 2, "two_stories_and_roof": 3, "one_floor_only": 2}
"""How many stories a building has at least, by what one of its walls supports."""
LEFT_OUT = -1
"""A count of jacks or kings that the caller left to the tables; `complete_openings` fills it in."""


@dataclass(frozen=True, slots=True)
class Header:
    """A built-up header."""

    ply_count: int
    nominal: str
    spacer: int = 0


ENGINEERED = "engineered"
"""Stands where other pieces have a nominal size: such a piece is named by its own thickness and depth."""


@dataclass(frozen=True, slots=True)
class EngineeredHeader:
    """A beam of engineered wood in one piece; its maker's table decides its span."""

    thickness: int
    depth: int
    nominal = ENGINEERED
    ply_count = 1
    spacer = 0


@dataclass(frozen=True, slots=True)
class Opening:
    """A rough opening: left edge, width, bottom and top.

    `guessed` counts come from common practice or the severest row held, as none is for this case. `unchecked_because` says why
    the header is not compared with a row of its own case, `stops` what it is past all the same, `counts_under` which counts
    that were sent are under the table's.
    """

    opening_id: str
    kind: str
    at: int
    width: int
    sill_height: int | None
    head_height: int
    header: Header | EngineeredHeader | None
    jack_count: int
    king_count: int
    jacks_guessed: bool = False
    kings_guessed: bool = False
    unchecked_because: str = ""
    stops: tuple[Stop, ...] = ()
    counts_under: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheathing:
    """Panels on the outside face."""

    material: str
    thickness: int
    panel_width: int
    panel_length: int | None
    orientation: str
    edge_spacing: int | None
    field_spacing: int | None
    span_rating: str | None = None
    material_between: int = 0


@dataclass(frozen=True, slots=True)
class Intersection:
    """A partition that meets the wall."""

    at: int
    backing: str = "two_stud"
    depth: int = ticks("3.5")


@dataclass(frozen=True, slots=True)
class Wall:
    """One wall."""

    length: int
    height: int
    wall_id: str = ""
    stud: str = "2x4"
    spacing: int = ticks(16)
    first_stud_offset: int | None = None
    exterior: bool = True
    bearing: bool = True
    supports: str = "roof_only"
    top_plate_count: int = 2
    plate_stock: int = 16 * PER_FT
    start_corner: str = "none"
    end_corner: str = "none"
    intersections: tuple[Intersection, ...] = ()
    openings: tuple[Opening, ...] = ()
    sheathing: Sheathing | None = None
    bottom_plate_on: str = "wood_floor"
    braced: bool = False
    fireblocking: bool = True
    stud_to_plate_method: str = "end_nail"
    building_width: int | None = None
    floor_bearing: str = ""

    @property
    def stud_length(self) -> int:
        """Height less the plates."""
        return self.height - T * (1 + self.top_plate_count)

    @property
    def first_center(self) -> int:
        """Center of the first layout stud."""
        return self.spacing if self.first_stud_offset is None else self.first_stud_offset
