"""A wall seen from outside: sticks, openings, panels, every nail, lengths, and what to mind; read off its plan."""

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise

from service.domain.cautions.caution import Spoken
from service.domain.nails.nail import Nail
from service.domain.wall.members import Member
from service.domain.wall.panels.outline import Line as Run
from service.domain.wall.panels.outline import outline
from service.domain.wall.plan import Plan, locate
from service.domain.wall.positions import AXIS, Spot
from service.domain.wall.shanks import shank_of
from service.domain.wall.wall import EngineeredHeader, Opening
from service.drawing.lettering import width_of
from service.drawing.page import GRAVE, MARGIN, SMALL, TEXT, TITLE, UNITS_WIDE, Page
from service.drawing.scene import Box, Line, Point, Scene, Words
from service.drawing.signs import KEY, bar, diamond, disc
from service.said import say_fraction, say_length
from service.ticks import PER_IN

LEFT, RIGHT = 26, 26
"""Room beside the wall for its heights, in units."""
LEAST_WIDTH = 160.0
"""A short wall is drawn in a picture so wide: its text would be as large as its studs. [in]"""
FAN = 2.0
"""Nails side by side across the depth of the wall stand within so much of each other, the outer one first. [in]"""
ROLES = {
    "end_stud": "full_stud",
    "stud": "full_stud",
    "corner_stud": "full_stud",
    "backing_stud": "full_stud",
    "king_stud": "king_stud",
    "jack_stud": "jack_stud",
    "head_cripple": "cripple",
    "sill_cripple": "cripple",
    "sill": "plate",
    "bottom_plate": "plate",
    "top_plate": "plate",
    "double_top_plate": "plate",
    "header": "header",
    "block": "block",
}
"""How each stick is drawn."""


def draw_wall(plan: Plan, cautions: Sequence[Spoken] = (), metric: bool = False) -> Scene:
    """Return the picture of a wall; those of the cautions that stop or warn stand in it.

    Parameters
    ----------
    metric : bool
        Say lengths in millimeters.
    """
    page = _WallPage(plan, metric)
    page.head([c for c in cautions if c.severity == "stop"])
    page.top_plates()
    page.wall()
    page.lengths()
    page.legend()
    page.paragraph(_about_numbers(metric), SMALL)
    page.openings()
    for caution in cautions:
        if caution.severity in GRAVE:
            page.mind(caution)
    page.end()
    return page.finished(wall_title(plan), _about(plan))


class _WallPage(Page):
    """The page of a wall; `floor` is where its underside stands."""

    def __init__(self, plan: Plan, metric: bool) -> None:
        """Find the scale: the wall and the room beside it make the width."""
        self.plan, self.length = plan, plan.order.wall.length / PER_IN
        share = (UNITS_WIDE - 2 * MARGIN - LEFT - RIGHT) / UNITS_WIDE
        super().__init__(max(self.length / share, LEAST_WIDTH), metric)
        self.x0 = (self.width - self.length) / 2
        self.floor = 0.0

    def at(self, x: int, z: int) -> Point:
        """Return where a place of the wall stands in the picture."""
        return self.x0 + x / PER_IN, self.floor - z / PER_IN

    def head(self, stops: list[Spoken]) -> None:
        """Say which wall this is, and at once where a number is missing."""
        self.paragraph(wall_title(self.plan), TITLE, "strong")
        self.paragraph(_subtitle(self.plan), TEXT)
        if stops:
            self.y += 2 * self.unit
            self.paragraph(
                "STOP: some of the work below has no number here, and its nails are not drawn. Why stands below.", TEXT, "strong"
            )
        self.y += 5 * self.unit

    def top_plates(self) -> None:
        """Leave room for where plates are joined, and set the wall under it."""
        framing = self.plan.framing
        joints = sorted({p.x for plates in (framing.double_top_plates, framing.top_plates) for p in plates[1:]})
        below = self.row([(self.x0 + x / PER_IN, self.number(x)) for x in joints], self.y)
        self.y = below + 2 * self.unit
        self.floor = self.y + self.plan.order.wall.height / PER_IN

    def wall(self) -> None:
        """Draw the wall itself: sticks, openings, panels, nails, heights."""
        framing, wall = self.plan.framing, self.plan.order.wall
        for m in framing.members:
            self._stick(m)
        for k, o in enumerate(wall.openings, 1):
            self._opening(o, str(k))
        self._panels()
        self._nails()
        self._plate_joints()
        self._heights()
        self.y = self.floor

    def _stick(self, m: Member) -> None:
        role, (x, y) = ROLES[m.role], self.at(m.x, m.z + m.height)
        self.shapes.append(Box(role, x, y, m.width / PER_IN, m.height / PER_IN))
        self.count(role)
        if role == "block":
            self.line("block_mark", self.at(m.x, m.z), self.at(m.right, m.z + m.height))

    def _opening(self, o: Opening, number: str) -> None:
        """Cross out an opening, and number it."""
        low, high = self.at(o.at, o.sill_height or 0), self.at(o.at + o.width, o.head_height)
        self.line("opening", low, (low[0], high[1]), high, (high[0], low[1]), low, high)
        self.shapes.append(Line("opening", ((low[0], high[1]), (high[0], low[1]))))
        size = min(1.6 * TITLE * self.unit, 0.8 * (high[0] - low[0]), 0.8 * (low[1] - high[1]))
        x, y, half = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2, max(width_of(number, size) / 2, size / 2)
        self.shapes.append(Box("behind_words", x - half, y - 0.6 * size, 2 * half, 1.2 * size))
        self.shapes.append(Words("strong", x, y + 0.36 * size, number, size, "middle"))

    def _panels(self) -> None:
        """Draw the edges of the panels as cut, an edge that two of them share once: its dashes would fill each other."""
        pieces = self.plan.panels.cover.pieces if self.plan.panels else ()
        edges = {_ends(run) for piece in pieces for run in outline(piece.rect, piece.cut_outs)}
        for x0, z0, x1, z1 in sorted(edges):
            self.line("panel_edge", self.at(x0, z0), self.at(x1, z1))

    def _plate_joints(self) -> None:
        """Mark the joints of plates over all else, a little beyond the wall."""
        framing, out = self.plan.framing, round(2.5 * self.unit * PER_IN)
        for plates, low, high in ((framing.bottom_plates, out, 0), (framing.top_plates, 0, 0), (framing.double_top_plates, 0, out)):
            for before, p in pairwise(plates):
                if before.right == p.x:
                    self.line("plate_joint", self.at(p.x, p.z - low), self.at(p.x, p.z + p.height + high))

    def _nails(self) -> None:
        """Draw every nail, those of a kind together: framing nails as `locate` gives them, panel nails over them."""
        found: defaultdict[str, list[tuple[Point, ...]]] = defaultdict(list)
        for line, spot in locate(self.plan):
            role, sign = self._framing_nail(spot, line.nail)
            found[role].append(sign)
        for _, (x, z) in self.plan.panels.spots if self.plan.panels else ():
            found["panel_nail"].append(diamond(self.at(x, z), self.half("panel_nail")))
        for role in KEY:
            self.nails(role, found[role])

    def _framing_nail(self, spot: Spot, nail: Nail) -> tuple[str, tuple[Point, ...]]:
        """Draw a nail that runs in the picture in its length, one that runs into it as a round head."""
        (x, y), axis = self.at(spot.x, spot.z), AXIS[spot.face][0]
        if axis == 1 and not spot.angle_deg:
            role = f"{spot.face}_nail"
            return role, disc((x, y), self.half(role))
        tip = self.at(*_point(spot, nail))
        off = FAN * (spot.y / self.plan.depth - 0.5) if axis != 1 else 0.0
        dx, dy = (off, 0.0) if axis == 2 else (0.0, -off)
        return "driven_nail", bar((x + dx, y + dy), (tip[0] + dx, tip[1] + dy), self.half("driven_nail"))

    def _heights(self) -> None:
        """Say the height on the left, those of the openings on the right."""
        wall = self.plan.order.wall
        self._levels(self.x0 - 0.55 * LEFT * self.unit, [0, wall.height])
        levels = sorted({z for o in wall.openings for z in (o.sill_height or 0, o.head_height)} | {0})
        if len(levels) > 1:
            self._levels(self.x0 + self.length + 0.75 * RIGHT * self.unit, levels)

    def _levels(self, x: float, levels: list[int]) -> None:
        steps = [0, *(high - low for low, high in pairwise(levels))]
        self.upright(x, [(self.at(0, z)[1], self.number(step)) for z, step in zip(levels, steps, strict=True)])

    def lengths(self) -> None:
        """Mark the studs under the wall, then the openings, then its whole length."""
        wall, size = self.plan.order.wall, SMALL * self.unit
        self.y += 2 * self.unit
        self._studs(size)
        if wall.openings:
            edges = sorted({0, wall.length, *(x for o in wall.openings for x in (o.at, o.at + o.width))})
            self._places(edges)
        self._places([0, wall.length])

    def _places(self, places: list[int]) -> None:
        steps = [0, *(high - low for low, high in pairwise(places))]
        self.chain([(self.at(x, 0)[0], self.number(step)) for x, step in zip(places, steps, strict=True)])

    def _studs(self, size: float) -> None:
        """Mark every stud at its middle, and say how far it stands from the start wherever that can be read."""
        last, lowest = -size, 0.0
        for m in self.plan.framing.studs:
            x = self.at(m.center, 0)[0]
            self.line("dimension", (x, self.y), (x, self.y + 3 * self.unit))
            if x - last >= 1.15 * size:
                last, said = x, self.number(m.center)
                lowest = max(lowest, width_of(said, size))
                self.shapes.append(Words("words", x + 0.36 * size, self.y + 4 * self.unit, said, size, "end", True))
        self.y += lowest + 6 * self.unit

    def openings(self) -> None:
        """Say what stands in each opening by its number."""
        if self.plan.order.wall.openings:
            self.rule()
        for k, o in enumerate(self.plan.order.wall.openings, 1):
            self.paragraph(f"{k}: {_about_opening(o)}", SMALL)


def _point(spot: Spot, nail: Nail) -> tuple[int, int]:
    """Return where a nail ends: x and z, in ticks."""
    shank = shank_of(spot, nail, 0)
    if shank.ends:
        return round(shank.ends[1][0]), round(shank.ends[1][2])
    axis, sign = AXIS[spot.face]
    return spot.x + (sign * nail.length if axis == 0 else 0), spot.z + (sign * nail.length if axis == 2 else 0)


def _ends(run: Run) -> tuple[int, int, int, int]:
    """Return a straight run from its lesser end on, whichever way its panel goes round."""
    (x0, z0), (x1, z1) = sorted(((run.x0, run.z0), (run.x1, run.z1)))
    return x0, z0, x1, z1


def wall_title(plan: Plan) -> str:
    """Say which wall it is."""
    wall = plan.order.wall
    return f"{f'Wall {wall.wall_id}' if wall.wall_id else 'Wall'}, {say_fraction(wall.length)} long, {say_fraction(wall.height)} high"


def _subtitle(plan: Plan) -> str:
    wall, edition = plan.order.wall, plan.edition
    sides = "exterior" if wall.exterior else "interior"
    return (
        f"Seen from its outside face, the start of the wall on the left. {wall.stud} studs at {say_length(wall.spacing)}, {sides}, "
        f"{'bearing' if wall.bearing else 'not bearing'}. {edition.code} {edition.year}."
    )


def _about(plan: Plan) -> str:
    wall = plan.order.wall
    numbers = ", ".join(f"{count} {nail.label}" for nail, count in plan.nail_totals) or "none with a number"
    rest = "" if plan.complete else " Some joints have no number; their nails are not drawn."
    openings = f"{len(wall.openings)} opening{'' if len(wall.openings) == 1 else 's'}"
    return f"{_subtitle(plan)} {openings}, {len(plan.framing.members)} sticks. Nails: {numbers}.{rest}"


def _about_numbers(metric: bool) -> str:
    unit = "millimeters" if metric else "inches"
    return (
        f"Lengths in {unit}. Over the wall: joints of the top plates; under it: middle of each stud, both from the start; "
        "then rough openings and the whole. Nails side by side in the depth of the wall are spread, the outer one first."
    )


def _about_opening(o: Opening) -> str:
    sill = f", sill {say_fraction(o.sill_height)}" if o.sill_height else ""
    return (
        f"{o.kind} {o.opening_id}, rough opening {say_fraction(o.width)} wide from {say_fraction(o.at)}, "
        f"head {say_fraction(o.head_height)}{sill}; {_about_header(o)}, {o.jack_count} jack and {o.king_count} king each side"
    )


def _about_header(o: Opening) -> str:
    header = o.header
    if isinstance(header, EngineeredHeader):
        return f"engineered header {say_fraction(header.thickness)} x {say_fraction(header.depth)}"
    return "no header" if header is None else f"header {header.ply_count} x {header.nominal}"
