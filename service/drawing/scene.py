"""What a picture is made of: shapes with roles, in inches, x to the right and y down.

A role says what a shape is, never how it looks: `LOOKS` says that, once for all forms of picture. Brightness, line
style and shape tell roles apart, no hue does, so a picture reads the same in any eye and on any printer.
"""

from typing import NamedTuple

Point = tuple[float, float]


class Box(NamedTuple):
    """A rectangle by its upper left corner."""

    role: str
    x: float
    y: float
    width: float
    height: float


class Line(NamedTuple):
    """A line through points."""

    role: str
    points: tuple[Point, ...]


class Words(NamedTuple):
    """One line of text on its base line; `turned` reads upwards."""

    role: str
    x: float
    y: float
    text: str
    size: float
    anchor: str = "start"
    turned: bool = False


class Marks(NamedTuple):
    """Nails of one kind, an outline each; `about` says what they are and how many."""

    role: str
    about: str
    outlines: tuple[tuple[Point, ...], ...]


class Inset(NamedTuple):
    """Another scene, its upper left corner here, so many times as large."""

    scene: "Scene"
    x: float
    y: float
    scale: float


Shape = Box | Line | Words | Marks | Inset


class Scene(NamedTuple):
    """A picture; `unit` is a 360th of its width: text and lines are measured in it, so that a phone shows them large enough."""

    width: float
    height: float
    unit: float
    title: str
    about: str
    shapes: tuple[Shape, ...]


class Look(NamedTuple):
    """How a role looks: shades from 0 black to 255 white, None for nothing; line weight and dashes in units of the scene."""

    fill: int | None
    line: int | None
    weight: float = 0.4
    dashes: tuple[float, ...] = ()
    bold: bool = False
    closed: bool = False


PAPER, INK = 255, 0
LOOKS = {
    "paper": Look(PAPER, None),
    "full_stud": Look(PAPER, 90),
    "king_stud": Look(232, 90),
    "jack_stud": Look(208, 90),
    "cripple": Look(244, 90),
    "plate": Look(222, 90),
    "header": Look(176, 60),
    "block": Look(240, 90),
    "block_mark": Look(None, 90, 0.3),
    "opening": Look(None, 120, 0.5, (3, 1.2, 0.6, 1.2)),
    "plate_joint": Look(None, INK, 1.4),
    "panel_edge": Look(None, 40, 0.9, (4, 1.6)),
    "driven_nail": Look(None, INK, 0.25),
    "cut_nail": Look(None, INK, 0.9),
    "outside_nail": Look(INK, INK, 0.1, closed=True),
    "inside_nail": Look(PAPER, INK, 0.35, closed=True),
    "panel_nail": Look(PAPER, INK, 0.22, closed=True),
    "dimension": Look(None, 70, 0.35),
    "words": Look(INK, None),
    "strong": Look(INK, None, bold=True),
    "behind_words": Look(PAPER, None),
    "stop_box": Look(INK, INK, 0.6),
    "stop_words": Look(PAPER, None, bold=True),
    "warning_box": Look(PAPER, INK, 0.9),
    "warning_words": Look(INK, None, bold=True),
    "rule": Look(None, 150, 0.4),
    "blank": Look(PAPER, INK, 0.8),
    "blank_line": Look(None, INK, 0.5),
}
"""Roles in full; whoever draws and whoever writes a form read the same list."""
