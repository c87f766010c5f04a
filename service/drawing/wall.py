"""A wall seen from outside: sticks, openings, panels, every nail, lengths, and what to mind; read off its plan."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from service.domain.cautions.caution import Spoken
from service.domain.nails.nail import Nail
from service.domain.wall.members import Member
from service.domain.wall.panels.outline import Line as Run
from service.domain.wall.panels.outline import outline
from service.domain.wall.plan import Plan, locate
from service.domain.wall.positions import AXIS, Spot
from service.domain.wall.shanks import shank_of
from service.domain.wall.wall import Opening
from service.drawing.lettering import LEADING, width_of, wrap
from service.drawing.scene import Box, Line, Marks, Point, Scene, Shape, Words
from service.drawing.signs import KEY, MOST_SIGN, NAILS, bar, diamond, disc
from service.said import plain, say_fraction, say_length
from service.ticks import PER_IN

IN_PAGE = 360
"""A picture is so many units wide: a unit is a pixel of a phone."""
MARGIN, LEFT, RIGHT = 7, 26, 26
"""Room around the picture, and beside the wall for its heights, in units."""
TEXT, SMALL, TITLE = 8.0, 7.0, 11.0
"""Sizes of text in units."""
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
GRAVE = ("stop", "warning")
GOVERNS = "Counted from the inputs; no design and no approval. The adopted local code and the building official govern."


def draw_wall(plan: Plan, cautions: Sequence[Spoken] = (), metric: bool = False) -> Scene:
    """Return the picture of a wall; those of the cautions that stop or warn stand in it.

    Parameters
    ----------
    metric : bool
        Say lengths in millimeters.
    """
    page = _Page(plan, metric)
    page.head([c for c in cautions if c.severity == "stop"])
    page.top_plates()
    page.wall()
    page.lengths()
    page.legend()
    page.openings()
    for caution in cautions:
        if caution.severity in GRAVE:
            page.mind(caution)
    page.end()
    return page.finished()


@dataclass
class _Page:
    """A picture while it is drawn, from the top down; `y` is how far it got. Inches."""

    plan: Plan
    metric: bool
    y: float = 0.0
    shapes: list[Shape] = field(default_factory=list)
    drawn: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Find the scale: the wall and the room beside it make the width."""
        wall = self.plan.order.wall
        self.length, self.high = wall.length / PER_IN, wall.height / PER_IN
        share = (IN_PAGE - 2 * MARGIN - LEFT - RIGHT) / IN_PAGE
        self.width = max(self.length / share, LEAST_WIDTH)
        self.unit = self.width / IN_PAGE
        self.left, self.inner = MARGIN * self.unit, (IN_PAGE - 2 * MARGIN) * self.unit
        self.x0 = (self.width - self.length) / 2
        self.y = self.left
        self.floor = 0.0

    def say(self, text: str) -> str:
        """Return a sentence in the units asked."""
        return plain(text, self.metric)

    def number(self, length: int) -> str:
        """Return a length without its unit, which the legend names."""
        return self.say(say_length(length, form="F"))

    def at(self, x: int, z: int) -> Point:
        """Return where a place of the wall stands in the picture."""
        return self.x0 + x / PER_IN, self.floor - z / PER_IN

    def paragraph(self, text: str, size: float, role: str = "words", indent: float = 0.0) -> None:
        """Write a text in as many lines as it takes."""
        size, indent = size * self.unit, indent * self.unit
        room = (self.inner - indent) / (1.12 if role == "strong" else 1)
        for line in wrap(self.say(text), size, room):
            self.y += size * LEADING
            self.shapes.append(Words(role, self.left + indent, self.y, line, size))

    def head(self, stops: list[Spoken]) -> None:
        """Say which wall this is, and at once where a number is missing."""
        self.paragraph(_title(self.plan), TITLE, "strong")
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
        below = self._row([(self.x0 + x / PER_IN, self.number(x)) for x in joints], self.y, "words")
        self.y = below + 2 * self.unit
        self.floor = self.y + self.high

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

    def _count(self, role: str, count: int = 1) -> None:
        self.drawn[role] = self.drawn.get(role, 0) + count

    def _line(self, role: str, *points: Point) -> None:
        self.shapes.append(Line(role, points))
        self._count(role)

    def _stick(self, m: Member) -> None:
        role, (x, y) = ROLES[m.role], self.at(m.x, m.z + m.height)
        self.shapes.append(Box(role, x, y, m.width / PER_IN, m.height / PER_IN))
        self._count(role)
        if role == "block":
            self._line("block_mark", self.at(m.x, m.z), self.at(m.right, m.z + m.height))

    def _opening(self, o: Opening, number: str) -> None:
        """Cross out an opening, and number it."""
        low, high = self.at(o.at, o.sill_height or 0), self.at(o.at + o.width, o.head_height)
        self._line("opening", low, (low[0], high[1]), high, (high[0], low[1]), low, high)
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
            self._line("panel_edge", self.at(x0, z0), self.at(x1, z1))

    def _plate_joints(self) -> None:
        """Mark the joints of plates over all else, a little beyond the wall."""
        framing, out = self.plan.framing, round(2.5 * self.unit * PER_IN)
        for plates, low, high in ((framing.bottom_plates, out, 0), (framing.top_plates, 0, 0), (framing.double_top_plates, 0, out)):
            for before, p in pairwise(plates):
                if before.right == p.x:
                    self._line("plate_joint", self.at(p.x, p.z - low), self.at(p.x, p.z + p.height + high))

    def _nails(self) -> None:
        """Draw every nail, those of a kind together: framing nails as `locate` gives them, panel nails over them."""
        found: defaultdict[str, list[tuple[Point, ...]]] = defaultdict(list)
        for line, spot in locate(self.plan):
            role, sign = self._framing_nail(spot, line.nail)
            found[role].append(sign)
        for _, (x, z) in self.plan.panels.spots if self.plan.panels else ():
            found["panel_nail"].append(diamond(self.at(x, z), self._half("panel_nail")))
        for role in KEY:
            if role in found:
                self.shapes.append(Marks(role, f"{KEY[role]}: {len(found[role])}", tuple(found[role])))
                self._count(role, len(found[role]))

    def _half(self, role: str) -> float:
        return min(NAILS[role] * self.unit, MOST_SIGN)

    def _framing_nail(self, spot: Spot, nail: Nail) -> tuple[str, tuple[Point, ...]]:
        """Draw a nail that runs in the picture in its length, one that runs into it as a round head."""
        (x, y), axis = self.at(spot.x, spot.z), AXIS[spot.face][0]
        if axis == 1 and not spot.angle_deg:
            role = f"{spot.face}_nail"
            return role, disc((x, y), self._half(role))
        tip = self.at(*_point(spot, nail))
        off = FAN * (spot.y / self.plan.depth - 0.5) if axis != 1 else 0.0
        dx, dy = (off, 0.0) if axis == 2 else (0.0, -off)
        return "driven_nail", bar((x + dx, y + dy), (tip[0] + dx, tip[1] + dy), self._half("driven_nail"))

    def _heights(self) -> None:
        """Say the height on the left, those of the openings on the right."""
        wall = self.plan.order.wall
        self._upright(self.x0 - 0.55 * LEFT * self.unit, [0, wall.height])
        levels = sorted({z for o in wall.openings for z in (o.sill_height or 0, o.head_height)} | {0})
        if len(levels) > 1:
            self._upright(self.x0 + self.length + 0.75 * RIGHT * self.unit, levels)

    def _upright(self, x: float, levels: list[int]) -> None:
        """Draw a chain of heights, each as far as its room allows."""
        size = SMALL * self.unit
        ys = [self.at(0, z)[1] for z in levels]
        self._line("dimension", (x, ys[0]), (x, ys[-1]))
        for y in ys:
            self._slash(x, y)
        for (low, high), (y0, y1) in zip(pairwise(levels), pairwise(ys), strict=True):
            said = self.number(high - low)
            if width_of(said, size) < y0 - y1:
                self.shapes.append(Words("words", x - 0.3 * size, (y0 + y1) / 2, said, size, "middle", True))

    def _slash(self, x: float, y: float) -> None:
        half = 1.6 * self.unit
        self.shapes.append(Line("dimension", ((x - half, y + half), (x + half, y - half))))

    def lengths(self) -> None:
        """Mark the studs under the wall, then the openings, then its whole length."""
        wall, size = self.plan.order.wall, SMALL * self.unit
        self.y += 2 * self.unit
        self._studs(size)
        if wall.openings:
            edges = sorted({0, wall.length, *(x for o in wall.openings for x in (o.at, o.at + o.width))})
            self._chain(edges, size)
        self._chain([0, wall.length], size)

    def _studs(self, size: float) -> None:
        """Mark every stud at its middle, and say how far it stands from the start wherever that can be read."""
        last, lowest = -size, 0.0
        for m in self.plan.framing.studs:
            x = self.at(m.center, 0)[0]
            self._line("dimension", (x, self.y), (x, self.y + 3 * self.unit))
            if x - last >= 1.15 * size:
                last, said = x, self.number(m.center)
                lowest = max(lowest, width_of(said, size))
                self.shapes.append(Words("words", x + 0.36 * size, self.y + 4 * self.unit, said, size, "end", True))
        self.y += lowest + 6 * self.unit

    def _chain(self, places: list[int], size: float) -> None:
        """Draw lengths one behind the other; what has no room over its own stretch stands lower."""
        self.y += 2 * self.unit
        xs = [self.at(x, 0)[0] for x in places]
        self._line("dimension", (xs[0], self.y), (xs[-1], self.y))
        for x in xs:
            self._slash(x, self.y)
        said = [((a + b) / 2, self.number(high - low)) for (low, high), (a, b) in zip(pairwise(places), pairwise(xs), strict=True)]
        self.y = self._row(said, self.y + 0.6 * self.unit, "words") + 2 * self.unit

    def _row(self, said: list[tuple[float, str]], y: float, role: str) -> float:
        """Write short texts at their places, each in the first line where it does not touch another; return the lowest line."""
        size, ends = SMALL * self.unit, list[float]()
        for x, text in said:
            half = width_of(text, size) / 2 + 0.2 * size
            x = min(max(x, self.left + half), self.width - self.left - half)
            row = next((i for i, end in enumerate(ends) if end <= x - half), len(ends))
            ends[row : row + 1] = [x + half]
            self.shapes.append(Words(role, x, y + (row + 1) * size * 1.1, text, size, "middle"))
        return y + len(ends) * size * 1.1

    def legend(self) -> None:
        """Show each sign that was drawn, with what it means and how many there are."""
        self._rule()
        size, across = SMALL * self.unit, self.inner / 2
        signs = [role for role in KEY if role in self.drawn]
        half = (len(signs) + 1) // 2
        top, lowest = self.y, self.y
        for k, role in enumerate(signs):
            if k % half == 0:
                self.y = top
            x = self.left + (k // half) * across
            self.y += 1.5 * size
            self._sign(role, x, self.y - 0.35 * size)
            counted = f": {self.drawn[role]}" if role.endswith("_nail") else ""
            self.shapes.append(Words("words", x + 12 * self.unit, self.y, KEY[role] + counted, size))
            lowest = max(lowest, self.y)
        self.y = lowest + 2 * self.unit
        self.paragraph(_about_numbers(self.metric), SMALL)

    def _sign(self, role: str, x: float, y: float) -> None:
        """Draw a sample of a sign, ten units wide."""
        u, middle = self.unit, (x + 5 * self.unit, y)
        if role == "driven_nail":
            self.shapes.append(Marks(role, KEY[role], (bar((x + 1 * u, y), (x + 9 * u, y), 1.5 * u),)))
        elif role == "panel_nail":
            self.shapes.append(Marks(role, KEY[role], (diamond(middle, 2 * u),)))
        elif role.endswith("_nail"):
            self.shapes.append(Marks(role, KEY[role], (disc(middle, 1.7 * u),)))
        elif role in ("opening", "panel_edge"):
            self.shapes.append(Line(role, ((x, y), (x + 10 * u, y))))
        elif role == "plate_joint":
            self.shapes.append(Line(role, ((x + 5 * u, y - 2.2 * u), (x + 5 * u, y + 2.2 * u))))
        else:
            self.shapes.append(Box(role, x, y - 2.2 * u, 10 * u, 4.4 * u))
            if role == "block":
                self.shapes.append(Line("block_mark", ((x, y + 2.2 * u), (x + 10 * u, y - 2.2 * u))))

    def openings(self) -> None:
        """Say what stands in each opening by its number."""
        if self.plan.order.wall.openings:
            self._rule()
        for k, o in enumerate(self.plan.order.wall.openings, 1):
            self.paragraph(f"{k}: {_about_opening(o)}", SMALL)

    def mind(self, caution: Spoken) -> None:
        """Say what stops or warns: its weight in a box, its words, why here, what to do."""
        size, u = TEXT * self.unit, self.unit
        self.y += 6 * u
        word = caution.severity.upper()
        width = width_of(word, size, True) + 4 * u
        self.shapes.append(Box(f"{caution.severity}_box", self.left, self.y, width, 1.4 * size))
        self.shapes.append(Words(f"{caution.severity}_words", self.left + 2 * u, self.y + 1.08 * size, word, size))
        self.y += 1.2 * size
        self.paragraph(caution.row.text, TEXT, "strong")
        self.paragraph(f"Here: {caution.applies_because}", TEXT)
        self.paragraph(f"Do: {caution.row.action}", TEXT)

    def end(self) -> None:
        """Say what governs."""
        self._rule()
        self.paragraph(GOVERNS, SMALL)

    def _rule(self) -> None:
        self.y += 4 * self.unit
        self.shapes.append(Line("rule", ((self.left, self.y), (self.width - self.left, self.y))))
        self.y += 2 * self.unit

    def finished(self) -> Scene:
        """Return the picture on its paper."""
        height = self.y + self.left
        paper = Box("paper", 0, 0, self.width, height)
        title, about = self.say(_title(self.plan)), self.say(_about(self.plan))
        return Scene(self.width, height, self.unit, title, about, (paper, *self.shapes))


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


def _title(plan: Plan) -> str:
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
    return f"{_subtitle(plan)} {len(wall.openings)} openings, {len(plan.framing.members)} sticks. Nails: {numbers}.{rest}"


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
    return "no header" if header is None else f"header {header.ply_count} x {header.nominal}"
