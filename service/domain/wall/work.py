"""How many sticks a wall may ask for, found from its measures before anything is laid out (service rule).

An upper bound that is close for ordinary walls: it lets a request be refused before the work is done, not after.
"""

from service.domain.wall.blocks import fireblock_rows
from service.domain.wall.members import CORNER_STUDS
from service.domain.wall.panels.joints import blocked_levels
from service.domain.wall.wall import Opening, Wall
from service.tables.rules import Rules


def most_members(wall: Wall, rules: Rules) -> int:
    """Return a number of sticks that the wall does not pass."""
    studs = wall.length // wall.spacing + 4 + CORNER_STUDS[wall.start_corner] + CORNER_STUDS[wall.end_corner]
    studs += sum(2 for cross in wall.intersections if cross.backing == "two_stud")
    framed = sum(_framed(o, wall) for o in wall.openings)
    kings = sum(2 * o.king_count for o in wall.openings)
    rungs = sum(wall.stud_length // rules.ladder_step for cross in wall.intersections if cross.backing == "ladder")
    joints = blocked_levels(wall, rules)
    blocks = fireblock_rows(wall, joints, rules) * (studs + kings) + len(joints) * (studs + kings + framed)
    plates = (1 + wall.top_plate_count) * (2 * wall.length // wall.plate_stock + 1) + len(wall.openings)
    return studs + kings + framed + rungs + blocks + plates


def _framed(o: Opening, wall: Wall) -> int:
    """Return the sticks between the kings of an opening: jacks, header plies, sill, cripples over and under."""
    cripples = o.width // wall.spacing + 3 + 2  # at the ends and on the marks, and under a panel joint on either side
    return 2 * o.jack_count + (o.header.ply_count + 2 if o.header else 1) + 1 + 2 * cripples
