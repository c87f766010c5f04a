"""What a wall takes of lumber and what it weighs, for the people who lift it."""

from dataclasses import dataclass
from math import ceil

from service.domain.wall.members import Framing
from service.domain.wall.panels.lay import Cover
from service.domain.wall.wall import Wall
from service.tables.book import Book
from service.tables.rules import Rules
from service.tables.wood import LumberRow
from service.ticks import PER_FT


@dataclass(frozen=True, slots=True)
class Load:
    """Length of all sticks in ticks, board feet, weight in lb, and the people who lift it."""

    lumber_length: int
    board_ft: float
    weight_lb: float
    lifter_count: int


def weigh(wall: Wall, framing: Framing, cover: Cover | None, gravity: float, book: Book) -> Load:
    """Return the load of a wall.

    Parameters
    ----------
    gravity : float
        Specific gravity of the framing. [-]
    """
    lengths: dict[str, int] = {}
    beams = [m for m in framing.members if m.nominal not in book.lumber]
    for m, length in zip(framing.members, framing.lengths, strict=True):
        lengths[m.nominal] = lengths.get(m.nominal, 0) + length
    sizes = [(length / PER_FT, book.lumber[nominal]) for nominal, length in lengths.items() if nominal in book.lumber]
    weight = sum(feet * _lumber_lb_per_ft(s, gravity, book.rules) for feet, s in sizes) + _panel_lb(wall, cover, book.rules)
    board_ft = sum(feet * s.nominal_thickness_in * s.nominal_depth_in / 12 for feet, s in sizes)
    volume = sum(m.width * m.height * m.thickness for m in beams) / PER_FT**3
    weight += volume * gravity * book.rules.water_weight * book.rules.lumber_moisture_factor
    board_ft += volume * 12
    return Load(sum(lengths.values()), board_ft, weight, ceil(weight / book.rules.person_lift))


def _lumber_lb_per_ft(size: LumberRow, gravity: float, rules: Rules) -> float:
    """Weigh lumber: the table's figure, else by specific gravity at 12 percent moisture."""
    area = size.thickness * size.depth / PER_FT**2
    return size.weight_lb_per_ft or area * gravity * rules.water_weight * rules.lumber_moisture_factor


def _panel_lb(wall: Wall, cover: Cover | None, rules: Rules) -> float:
    """Weigh panels by area and thickness from 1.5 psf at 7/16 in (from memory)."""
    if cover is None or wall.sheathing is None:
        return 0.0
    area = sum(p.area for p in cover.pieces)
    return area / PER_FT**2 * rules.panel_weight * wall.sheathing.thickness / rules.panel_weight_thickness
