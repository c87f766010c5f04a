"""A braced wall line and the panels in it; lengths in ticks along the line from its start."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.domain.site import Site
from service.domain.wall.wall import Wall

STORY_OF = {"roof_only": "one_or_top", "one_story_and_roof": "middle", "two_stories_and_roof": "first_of_three"}
"""Where a line stands by what it supports."""
MOST_STORIES = 3


@dataclass(frozen=True, slots=True)
class BracePanel:
    """A full-height piece of sheathing, and the wall it is cut from where one was sent.

    `opening_height` is that of the taller opening beside it, 0 where there is none.
    """

    panel_id: str
    start: int
    length: int
    opening_height: int
    wall: Wall | None = None

    @property
    def end(self) -> int:
        """Where the panel ends."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class LineWall:
    """A wall of the line: where it starts along it, and how far it stands off it."""

    wall: Wall
    start: int
    offset: int = 0


@dataclass(frozen=True, slots=True)
class BracedLine:
    """A braced wall line; `walls` where the panels follow from walls. What is not known is at its worst."""

    edition_id: str
    site: Site
    supports: str
    method_id: str
    length: int
    wall_height: int
    line_spacing: int
    line_count: int
    eave_to_ridge: int
    story_count: int
    panels: tuple[BracePanel, ...]
    walls: tuple[LineWall, ...] = ()
    gypsum_inside: bool = False
    hold_down: bool = False
    blocked: bool = False
    both_faces: bool = False
    end_condition: str = "unknown"
    sheathing_complete: bool = False
    masonry_veneer: bool = True
    roof_dead_load_psf: float = 25
    wall_dead_load_psf: float = 15

    @property
    def story(self) -> str:
        """The story as the bracing tables name it."""
        return STORY_OF[self.supports]


def panels_of(walls: tuple[LineWall, ...], length: int) -> tuple[BracePanel, ...]:
    """Return the full-height pieces of walls between their rough openings, from left to right.

    A stretch of the line without a wall is an opening as high as the wall beside it.

    Parameters
    ----------
    length : int
        Length of the line.
    """
    placed = sorted(walls, key=lambda w: w.start)
    ends = [0, *(w.start + w.wall.length for w in placed)]
    starts = [*(w.start for w in placed), length]
    return tuple(
        panel
        for i, w in enumerate(placed)
        for panel in _pieces(w, w.wall.wall_id or f"wall{i + 1}", w.start > ends[i], starts[i + 1] > ends[i + 1])
    )


def _pieces(placed: LineWall, name: str, open_before: bool, open_after: bool) -> Iterator[BracePanel]:
    wall = placed.wall
    openings = sorted(wall.openings, key=lambda o: o.at)
    starts = [0, *(o.at + o.width for o in openings)]
    ends = [*(o.at for o in openings), wall.length]
    before, after = (wall.height if gap else 0 for gap in (open_before, open_after))
    heights = [before, *(o.head_height - (o.sill_height or 0) for o in openings), after]
    for i, (a, b) in enumerate(zip(starts, ends, strict=True)):
        if b > a:
            yield BracePanel(f"{name}-{i + 1}", placed.start + a, b - a, max(heights[i], heights[i + 1]), wall)
