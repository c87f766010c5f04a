"""One joint, cut through where its nails show: their count, their places and their depth as the placement of the joint says them."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import cos, radians, sin

from service.domain.cautions.advice import Advised
from service.domain.cautions.caution import Spoken
from service.domain.joint.counting import say_nailing
from service.domain.joint.placement import Placement
from service.domain.wall.lanes import spread
from service.drawing.page import GRAVE, SMALL, TEXT, TITLE, Page
from service.drawing.scene import Box, Point, Scene, Words
from service.drawing.signs import bar, diamond, disc
from service.said import say_length
from service.tables.rules import Rules
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.ticks import PER_FT, PER_IN, ticks

T = ticks("1.5")
WHAT = {
    "plate": "wood that is nailed through",
    "full_stud": "wood that holds the point",
    "panel_edge": "edge of a panel",
    "cut_nail": "nail in its length",
    "outside_nail": "head of a nail",
    "panel_nail": "nail through a panel",
}
"""What the signs mean here."""
SHOWN = 3
"""So many spaces of a run are drawn."""
SIDE = 0.22
"""Share of the page beside a joint, for its lengths."""


def draw_joint(advised: Advised, cautions: Sequence[Spoken], rules: Rules, metric: bool = False) -> Scene:
    """Return the picture of a joint and one nail; without a number it shows the pieces, and says why there are no nails.

    Parameters
    ----------
    cautions : sequence of Spoken
        What goes with it: those that stop or warn stand in the picture.
    """
    view = VIEWS.get(advised.requirement.connection.placement, _face)
    page = _JointPage(advised, rules, metric, view)
    page.head()
    view(page)
    page.y += 3 * page.unit
    page.legend(WHAT, counted=False)
    page.about()
    for caution in cautions:
        if caution.severity in GRAVE:
            page.mind(caution)
    page.end()
    return page.finished(page.title, page.summary)


class _JointPage(Page):
    """The page of a joint; what its pieces and its nail measure, in ticks."""

    def __init__(self, advised: Advised, rules: Rules, metric: bool, view: "View") -> None:
        self.requirement, self.placement, self.rules = advised.requirement, advised.placement, rules
        question, connection = self.requirement.question, self.requirement.connection
        self.nail, self.face = question.nail, question.face
        self.through = connection.side_thickness or question.selectors.panel_thickness or T
        self.holds = connection.main_thickness or ticks("3.5")
        self.nailing: Nailing | None = self.requirement.nailing
        self.along = _along(self.nailing, self.placement)
        self.wide = WIDTHS[view](self)
        super().__init__(self.wide / PER_IN / (1 - 2 * SIDE), metric)
        self.x0 = self.width * SIDE

    @property
    def title(self) -> str:
        """Which joint."""
        return self.requirement.connection.description

    @property
    def summary(self) -> str:
        """What is asked of it."""
        r = self.requirement
        number = f"{say_nailing(self.nailing)}" if self.nailing else f"no number: {r.no_number_because}"
        return f"{self.nail.label}: {number}. {r.provenance.code} {r.provenance.edition} {r.provenance.table or r.provenance.section}."

    def head(self) -> None:
        """Say which joint, and what it takes."""
        self.paragraph(self.title, TITLE, "strong")
        self.paragraph(self.summary, TEXT)
        self.y += 12 * self.unit

    def piece(self, role: str, x: int, top: float, width: int, height: int) -> None:
        """Draw a piece of wood `x` from the left of the joint."""
        self.shapes.append(Box(role, self.x0 + x / PER_IN, top, width / PER_IN, height / PER_IN))
        self.count(role)

    def driven(self, x: int, top: float, tip: Point) -> tuple[Point, ...]:
        """Return a nail in its length from `x`, `top`, by the vector of its length."""
        start = self.x0 + x / PER_IN, top
        return bar(start, (start[0] + tip[0], start[1] + tip[1]), 2 * self.unit)

    def measure(self, places: list[int]) -> None:
        """Draw a chain of lengths under the joint, from its left."""
        steps = [0, *(b - a for a, b in pairwise(places))]
        self.chain([(self.x0 + x / PER_IN, self.number(step)) for x, step in zip(places, steps, strict=True)])

    def depth(self, x: float, top: float, steps: list[int]) -> None:
        """Draw a chain of lengths beside the joint, from the bottom up."""
        y, chain = top + sum(steps) / PER_IN, [(top + sum(steps) / PER_IN, "")]
        for step in steps:
            y -= step / PER_IN
            chain.append((y, self.number(step)))
        self.upright(x, chain, beside=True)

    def about(self) -> None:
        """Say where the nails go, and where the hand is while they are driven."""
        goes_on = "" if self.nailing is None or isinstance(self.nailing, PerJoint) else " The nailing goes on beyond the picture."
        self.paragraph(f"Lengths in {'millimeters' if self.metric else 'inches'}.{goes_on}", SMALL)
        if self.placement is None:
            return
        p = self.placement
        self.paragraph(f"Where: {p.rule}.", TEXT)
        if p.note:
            self.paragraph(f"Guide: {p.note}.", SMALL)
        self.paragraph(f"The free hand stays {say_length(self.rules.hand_clear_under)} or more from the point.", TEXT, "strong")


View = Callable[[_JointPage], None]


def _end(page: _JointPage) -> None:
    """Through a piece into the end of another, seen so that the nails stand side by side."""
    top, left, deep = page.y, 2 * T, max(page.nail.length - page.through, 2 * T) + T
    page.piece("plate", left, top, page.face, page.through)
    page.piece("full_stud", left, top + page.through / PER_IN, page.face, deep)
    ys = spread(page.nailing.count, page.face, page.rules) if isinstance(page.nailing, PerJoint) else []
    page.nails("cut_nail", [page.driven(left + y, top, (0, page.nail.length / PER_IN)) for y in ys])
    page.depth(page.x0 + left / PER_IN - 5 * page.unit, top, [page.nail.length - page.through, page.through])
    page.y = top + (page.through + deep) / PER_IN
    page.measure([left, *(left + y for y in ys), left + page.face])


def _toe(page: _JointPage) -> None:
    """Slanted from the sides of a piece into the one it stands on."""
    top, tall, left = page.y, 5 * T, 2 * T
    page.piece("full_stud", 0, top + tall / PER_IN, page.wide, page.holds)
    page.piece("plate", left, top, page.through, tall)
    p, count = page.placement, page.nailing.count if isinstance(page.nailing, PerJoint) else 0
    if p is not None and p.start is not None and p.angle_deg is not None:
        slope, start = radians(p.angle_deg), top + (tall - p.start) / PER_IN
        dx, dy = page.nail.length * sin(slope) / PER_IN, page.nail.length * cos(slope) / PER_IN
        sides = [(left, dx), (left + page.through, -dx)]
        page.nails("cut_nail", [page.driven(x, start, (d, dy)) for k in range(count) for x, d in [sides[k % 2]]])
        page.depth(page.x0 + left / PER_IN - 9 * page.unit, start, [p.start if page.metric else _sixteenths(p.start)])
        page.shapes.append(
            Words("words", page.x0 + (left + page.through) / PER_IN + 6 * page.unit, start, f"{p.angle_deg}\u00b0", SMALL * page.unit)
        )
    page.y = top + (tall + page.holds) / PER_IN + 2 * page.unit


def _face(page: _JointPage) -> None:
    """Through one piece into another that lies along it: the face that is nailed, and a cut under it."""
    edge = (page.placement and page.placement.edge_distance) or page.rules.edge_distance
    places = _run_places(page, [edge, page.face - edge])
    ends = sorted({x for x, _ in places})
    top, cut = page.y, page.y + page.face / PER_IN + 16 * page.unit
    page.piece("plate", 0, top, page.wide, page.face)
    page.piece("plate", 0, cut, page.wide, page.through)
    page.piece("full_stud", 0, cut + page.through / PER_IN, page.wide, page.holds)
    length = page.nail.length / PER_IN
    page.nails("outside_nail", [disc((page.x0 + x / PER_IN, top + y / PER_IN), 2.4 * page.half("outside_nail")) for x, y in places])
    page.nails("cut_nail", [page.driven(x, cut, (0, length)) for x in ends])
    if places:
        page.depth(page.x0 - 5 * page.unit, top, [edge])
    page.depth(page.x0 - 5 * page.unit, cut, [page.holds, page.through])
    page.y = cut + max((page.through + page.holds) / PER_IN, length)
    page.measure([0, *(ends[:1] if isinstance(page.nailing, PerJoint) else ends)])


def _run_places(page: _JointPage, rows: list[int]) -> list[tuple[int, int]]:
    """Return where heads show on the face: along and across."""
    p = page.placement
    end = p.end_distance or T if p else T
    match page.nailing:
        case OnCenter(spacing, row_count):
            xs = [end + k * spacing for k in range(SHOWN)]
            return [(x, y) for k, x in enumerate(xs) for y in (rows if row_count > 1 else [rows[k % 2]])]
        case Grouped(count, spacing):
            return [(end + k * spacing, y) for k in range(2) for y in spread(count, page.face, page.rules)]
        case PerJoint(count):
            return [(end + k * page.along, rows[k % 2]) for k in range(count)]
    return []


def _panel(page: _JointPage) -> None:
    """Two panels that meet on a stud, and the next stud: edge nails beside the joint, field nails on the stud between."""
    used = page.nailing if isinstance(page.nailing, Panel) else None
    tall = max(SHOWN * used.edge, used.field + used.edge) if used else 2 * PER_FT
    top, inset, bay = page.y, page.rules.panel_edge_distance, page.requirement.question.selectors.stud_spacing or 16 * PER_IN
    joint = 2 * T
    for x in (joint, joint + bay):
        page.piece("full_stud", x - T // 2, top, T, tall)
    at = page.x0 + joint / PER_IN
    page.line("panel_edge", (at, top), (at, top + tall / PER_IN))
    page.line("panel_edge", (page.x0, top), (page.x0 + page.wide / PER_IN, top))
    if used:
        down = [inset + k * used.edge for k in range(SHOWN) if inset + k * used.edge < tall]
        field = [inset + used.field * k for k in range(1, SHOWN) if inset + used.field * k < tall]
        level = [x for x in range(joint + inset + used.edge, page.wide, used.edge)]
        spots = [(joint + side * inset, z) for z in down for side in (-1, 1)]
        spots += [(joint + bay, z) for z in field] + [(x, inset) for x in level]
        page.nails("panel_nail", [diamond((page.x0 + x / PER_IN, top + z / PER_IN), 2.4 * page.half("panel_nail")) for x, z in spots])
        page.depth(page.x0 - 5 * page.unit, top + inset / PER_IN, [used.edge] * (len(down) - 1))
        page.depth(page.x0 + (page.wide) / PER_IN + 9 * page.unit, top + inset / PER_IN, [used.field] * len(field))
    page.y = top + tall / PER_IN + 2 * page.unit
    page.measure([joint - inset, joint, joint + inset, joint + bay])


def _sixteenths(length: int) -> int:
    """Return a length as it is read off a tape; ticks."""
    return round(length * 16 / PER_IN) * PER_IN // 16


def _along(nailing: Nailing | None, placement: Placement | None) -> int:
    """Return how far apart nails of one joint are drawn along the grain: as the guide says, it is no spacing of the code."""
    guide = placement.guide_spacing_along_grain if placement else None
    return guide if guide and isinstance(nailing, PerJoint) else T


def _face_width(page: _JointPage) -> int:
    match page.nailing:
        case OnCenter(spacing):
            return (SHOWN - 1) * spacing + 4 * T
        case Grouped(_, spacing):
            return spacing + 4 * T
        case PerJoint(count):
            return (count - 1) * page.along + 4 * T
    return 2 * PER_FT


VIEWS: dict[str, View] = {"end_nail": _end, "toe_nail": _toe, "panel": _panel}
"""How a joint is drawn, by its placement; all others lie face to face."""
WIDTHS: dict[View, Callable[[_JointPage], int]] = {
    _end: lambda page: page.face + 4 * T,
    _toe: lambda page: page.through + 4 * T,
    _panel: lambda page: (page.requirement.question.selectors.stud_spacing or 16 * PER_IN) + 4 * T,
    _face: _face_width,
}
"""How wide its pieces are drawn."""
