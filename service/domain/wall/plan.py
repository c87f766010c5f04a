"""Plans a wall: sticks, joints, nails, and what it weighs."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil

from service.domain.conditions import Conditions
from service.domain.joint.counting import nails_for
from service.domain.joint.requirement import Question, Requirement, judge
from service.domain.joint.schedule import Selectors
from service.domain.joint.scope import stud_limits_passed
from service.domain.joint.stop import Stop, past
from service.domain.nails.nail import Nail
from service.domain.site import Site
from service.domain.wall.layout import lay_out, layout_marks
from service.domain.wall.members import Framing
from service.domain.wall.nailed import BlockEnd, Group, list_joints
from service.domain.wall.panels.lay import Cover, blocked_levels, cover
from service.domain.wall.positions import Spot, joint_spots, make_way, run_spots
from service.domain.wall.wall import Wall
from service.tables.book import Book
from service.tables.confidence import weakest
from service.tables.editions import Edition
from service.tables.framing import SplicePlateRow
from service.tables.schedule import Panel
from service.tables.wood import LumberRow
from service.ticks import PER_FT, inches, ticks

PERSON_LB = 50
WATER_LB_PER_CUBIC_FT = 62.4
PANEL_PSF, PANEL_PSF_THICKNESS = 1.5, ticks("0.4375")
LEAST_SPACING = ticks(2)
WIND_PANEL, HEADER_PLIES = "exterior-wall-panel-to-framing", "built-up-header-face-nail"
HEADER_END, HEADER_TOE = "stud-to-header-end-nail", "header-to-stud-toe-nail"
HEADER_JOINTS = (HEADER_END, HEADER_TOE, HEADER_PLIES)


@dataclass(frozen=True, slots=True)
class Order:
    """A wall and everything that decides its nails."""

    edition_id: str
    wall: Wall
    framing_nail: Nail
    connection_nails: tuple[tuple[str, Nail], ...] = ()
    sheathing_nail: Nail | None = None
    site: Site = Site()
    conditions: Conditions = Conditions()
    species: str = "spruce-pine-fir"
    fire_rated: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One connection of the wall with one nail: `nail_count` is None where there is no number."""

    group: Group
    requirement: Requirement
    nail_count: int | None
    listed_nail_count: int | None

    @property
    def nail(self) -> Nail:
        """The nail of the line, with its coating."""
        return self.requirement.question.nail

    @property
    def run_lengths(self) -> tuple[int, ...]:
        """Lengths of the runs, in ticks."""
        return tuple(r.length for r in self.group.runs)


@dataclass(frozen=True, slots=True)
class PanelLine:
    """The sheathing of the wall: what is required, what is used, and each panel's nails."""

    requirement: Requirement
    cover: Cover
    edge: int | None
    field: int | None
    wider: tuple[str, ...]
    closer: bool
    counts: tuple[int | None, ...]

    @property
    def nail_count(self) -> int | None:
        """Nails of all panels; None where there is no spacing."""
        return None if self.edge is None else sum(c or 0 for c in self.counts)

    @property
    def listed_nail_count(self) -> int | None:
        """What the first nail the row lists would take."""
        first = self.requirement.first_listed
        if first is None or not isinstance(first.nailing, Panel):
            return None
        edge, field = first.nailing.edge, first.nailing.field
        return sum(p.nail_count(edge, field) for p in self.cover.pieces)


@dataclass(frozen=True, slots=True)
class SplicePlates:
    """Steel splice plates of a single top plate; `row` is None where none is held."""

    where: str
    plate_count: int
    row: SplicePlateRow | None

    @property
    def nail_count(self) -> int | None:
        """Nails in all plates, both sides."""
        return self.plate_count * 2 * self.row.nail_count_per_side if self.row else None


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer for one wall."""

    order: Order
    framing: Framing
    lines: tuple[Line, ...]
    splice_plates: tuple[SplicePlates, ...]
    panels: PanelLine | None
    lumber_length: int
    board_ft: float
    weight_lb: float

    @property
    def complete(self) -> bool:
        """Whether every joint has a number."""
        return (
            all(line.nail_count is not None for line in self.lines)
            and all(s.row for s in self.splice_plates)
            and (self.panels is None or self.panels.edge is not None)
        )

    @property
    def framing_nail_count(self) -> int:
        """Nails of every line that has a number."""
        return sum(line.nail_count or 0 for line in self.lines)

    @property
    def lifter_count(self) -> int:
        """People needed at 50 lb each."""
        return ceil(self.weight_lb / PERSON_LB)


def plan_wall(order: Order, book: Book) -> Plan:
    """Return the plan of one wall.

    Raises
    ------
    FasteningError
        The wall cannot be built as described; each fault with its numbers.
    """
    edition = book.editions[order.edition_id]
    wall = order.wall
    depth = book.lumber[wall.stud].depth
    framing = lay_out(wall, edition, book, blocked_levels(wall))
    header_end = HEADER_END if HEADER_END in edition.rows else HEADER_TOE
    limits = tuple(stud_limits_passed(wall.stud, wall.spacing, wall.stud_length, wall.supports, edition))
    headers = limits + _headers_past(wall, edition)
    lines = tuple(
        _line(g, order, depth, book, headers if g.connection_id in HEADER_JOINTS else limits)
        for g in list_joints(wall, framing, header_end)
    )
    panels = _panels(order, framing, depth, book, limits)
    gravity = book.species[order.species].specific_gravity
    return Plan(
        order=order,
        framing=framing,
        lines=lines,
        splice_plates=_splice_plates(order, framing, edition, book),
        panels=panels,
        lumber_length=sum(m.length for m in framing.members),
        board_ft=sum(
            m.length / PER_FT * s.nominal_thickness_in * s.nominal_depth_in / 12 for m in framing.members for s in [book.lumber[m.nominal]]
        ),
        weight_lb=sum(m.length / PER_FT * _weight_lb_per_ft(book.lumber[m.nominal], gravity) for m in framing.members)
        + _panel_weight_lb(wall, panels),
    )


def _weight_lb_per_ft(size: LumberRow, gravity: float) -> float:
    """Weigh lumber: the table's figure, else by specific gravity at 12 percent moisture."""
    area = size.thickness * size.depth / PER_FT**2
    return size.weight_lb_per_ft or area * gravity * WATER_LB_PER_CUBIC_FT * 1.12


def _panel_weight_lb(wall: Wall, panels: PanelLine | None) -> float:
    """Weigh panels by area and thickness from 1.5 psf at 7/16 in (from memory)."""
    if panels is None or wall.sheathing is None:
        return 0.0
    ticks2 = sum(p.area for p in panels.cover.pieces)
    return ticks2 / PER_FT**2 * PANEL_PSF * wall.sheathing.thickness / PANEL_PSF_THICKNESS


def _panels(order: Order, framing: Framing, depth: int, book: Book, limits: tuple[Stop, ...]) -> PanelLine | None:
    wall = order.wall
    sheets = cover(wall, framing, layout_marks(wall))
    if sheets is None or wall.sheathing is None or order.sheathing_nail is None:
        return None
    requirement = judge(
        Question(
            edition_id=order.edition_id,
            connection_id=WIND_PANEL if wall.exterior else "wood-panel-to-framing",
            nail=order.sheathing_nail,
            site=order.site,
            selectors=Selectors(
                braced=wall.braced,
                panel_thickness=wall.sheathing.thickness,
                stud_spacing=wall.spacing,
                span_rating=wall.sheathing.span_rating,
                material_between=wall.sheathing.material_between,
            ),
            species=order.species,
            fire_rated=order.fire_rated,
            wall_past=limits,
            face=depth,
        ),
        book,
    )
    none = (None,) * len(sheets.pieces)
    asked = {"edge_spacing_in": wall.sheathing.edge_spacing, "field_spacing_in": wall.sheathing.field_spacing}
    if not isinstance(requirement.nailing, Panel):
        return PanelLine(requirement, sheets, None, None, (), False, none)
    required = {"edge_spacing_in": requirement.nailing.edge, "field_spacing_in": requirement.nailing.field}
    wider = tuple(
        f"{k} {inches(v):g} in, required {inches(required[k]):g} in" for k, v in asked.items() if v is not None and v > required[k]
    )
    used = {k: min(required[k], v) if (v := asked[k]) is not None else required[k] for k in required}
    if min(used.values()) < LEAST_SPACING:
        return PanelLine(requirement, sheets, None, None, wider, True, none)
    edge, field = used["edge_spacing_in"], used["field_spacing_in"]
    return PanelLine(requirement, sheets, edge, field, wider, used != required, tuple(p.nail_count(edge, field) for p in sheets.pieces))


def _headers_past(wall: Wall, edition: Edition) -> tuple[Stop, ...]:
    """Say each header that spans more than its row of the header table."""
    if not edition.headers:
        return ()
    section, table = edition.headers[0].section, edition.headers[0].table
    known = weakest(*(r.confidence for r in edition.headers))
    return tuple(
        past(
            f"header {o.header.ply_count}-{o.header.nominal} of opening {o.opening_id} spans {inches(o.width):g} in, past the {inches(o.span_limit):g} in of Table {table}, by {inches(o.width - o.span_limit):g} in",
            edition.code,
            edition.year,
            section,
            table,
            known,
        )
        for o in wall.openings
        if o.header and o.span_limit is not None and o.width > o.span_limit
    )


def _spacer(wall: Wall) -> int:
    """Return the thickest header spacer of the wall: one nailing serves all its headers; ticks."""
    return max((o.header.spacer for o in wall.openings if o.header and o.header.ply_count > 1), default=0)


def _header_depth(wall: Wall, book: Book) -> int:
    """Return the depth of the shallowest header: the face that takes the nails of its ends; ticks."""
    return min(book.lumber[o.header.nominal].depth for o in wall.openings if o.header)


def _line(group: Group, order: Order, depth: int, book: Book, limits: tuple[Stop, ...]) -> Line:
    nail = dict(order.connection_nails).get(group.connection_id, order.framing_nail)
    if group.treated and nail.coating == "bright":
        nail = replace(nail, coating="hot_dip_galvanized")
    requirement = judge(
        Question(
            edition_id=order.edition_id,
            connection_id=group.connection_id,
            nail=nail,
            site=order.site,
            selectors=Selectors(
                braced=order.wall.braced, material_between=_spacer(order.wall) if group.connection_id == HEADER_PLIES else 0
            ),
            species=order.species,
            fire_rated=order.fire_rated,
            wall_past=limits,
            face=_header_depth(order.wall, book) if group.connection_id in (HEADER_END, HEADER_TOE) else depth,
        ),
        book,
    )
    runs, joints = tuple(r.length for r in group.runs), len(group.joints)
    first = requirement.first_listed
    return Line(
        group=group,
        requirement=requirement,
        nail_count=None if requirement.nailing is None else nails_for(requirement.nailing, runs, joints),
        listed_nail_count=None if first is None else nails_for(first.nailing, runs, joints),
    )


def _splice_plates(order: Order, framing: Framing, edition: Edition, book: Book) -> tuple[SplicePlates, ...]:
    wall = order.wall
    if wall.top_plate_count != 1:
        return ()
    counts = {
        "corner": (wall.start_corner != "none") + (wall.end_corner != "none"),
        "intersection": len(wall.intersections),
        "butt_joint": len(framing.top_plates) - 1,
    }
    wide = order.site.seismic_design_category in ("D0", "D1", "D2") and order.site.wide_braced_wall_lines(book.rules)
    return tuple(
        SplicePlates(where, count, next((r for r in edition.splice_plates if r.where == where and r.high_seismic_wide_lines == wide), None))
        for where, count in counts.items()
        if count
    )


def locate(plan: Plan, book: Book) -> Iterator[tuple[Line, Spot]]:
    """Yield every framing nail of the plan with its line; as many as the line counts.

    Nails into the ends of flat pieces are set last and give way, up or down inside the piece, to nails already on that face.
    """
    depth = book.lumber[plan.order.wall.stud].depth
    taken: dict[int, list[tuple[int, int]]] = {}
    placed: list[list[Spot]] = [[] for _ in plan.lines]
    for last in (False, True):
        for line, spots in zip(plan.lines, placed, strict=True):
            nailing = line.requirement.nailing
            if nailing is None:
                continue
            per_joint = nails_for(nailing, (), 1) if line.group.joints else 0
            found = [
                s
                for j in line.group.joints
                if isinstance(j, BlockEnd) == last
                for s in joint_spots(j, per_joint, depth, line.nail.length, book.rules)
            ]
            if last:
                found = [make_way(s, taken) for s in found]
            else:
                found += [s for run in line.group.runs for s in run_spots(run, nailing, depth)]
            for s in found:
                taken.setdefault(s.x, []).append((s.y, s.z))
            spots += found
    for line, spots in zip(plan.lines, placed, strict=True):
        for spot in spots:
            yield line, spot


def plan_notes(plan: Plan) -> tuple[str, ...]:
    """Say what the plan leaves to others."""
    wall = plan.order.wall
    laps = wall.top_plate_count == 2 and (wall.intersections or wall.start_corner != "none" or wall.end_corner != "none")
    wide = _widest_gap(plan)
    framed = tuple(n for f in plan.framing.frames for n in f.notes)
    unchecked = [o.opening_id for o in wall.openings if o.header and o.span_limit is None]
    numberless = [
        line.group.connection_id for line in plan.lines if line.nail_count is None and line.requirement.outcome != "not_applicable"
    ]
    notes = (
        (
            f"no number, and not in the totals: {', '.join(numberless)}; name another nail for them in connection_nails, or see their cautions",
            bool(numberless),
        ),
        (
            f"header size NOT checked against its span at {', '.join(unchecked)}: take it from the code's header table or a design",
            bool(unchecked),
        ),
        (
            f"a layout stud gave way to a fixed one: studs stand {inches(wide):g} in apart there, asked {inches(wall.spacing):g} in; add a stud if that is too wide",
            wide > wall.spacing,
        ),
        (
            "bottom plate on concrete: anchor bolts and washers are not counted here; nothing is nailed to the slab",
            wall.bottom_plate_on == "concrete",
        ),
        (
            "the upper top plate is listed in this wall's own length: where another wall laps over, hold it back by that wall's depth",
            bool(laps),
        ),
        (
            "a corner stud is tight inside the end stud; the meeting wall brings its own end stud",
            wall.start_corner != "none" or wall.end_corner != "none",
        ),
        ("not in the plan: hold-downs, uplift connectors, waste, stock lengths to order", True),
    )
    return framed + tuple(said for said, applies in notes if applies)


def _widest_gap(plan: Plan) -> int:
    centers = [s.center for s in plan.framing.studs if s.role != "backing_stud"]
    gaps = [b - a for a, b in zip(centers, centers[1:], strict=False) if not any(a < o.at < b for o in plan.order.wall.openings)]
    return max(gaps, default=0)


def nail_totals(plan: Plan) -> list[tuple[Nail, int]]:
    """Add up nails by id and coating."""
    out: dict[tuple[str, str], tuple[Nail, int]] = {}
    for line in plan.lines:
        if line.nail_count:
            key = (line.nail.nail_id, line.nail.coating)
            out[key] = (line.nail, out.get(key, (line.nail, 0))[1] + line.nail_count)
    if plan.panels and plan.panels.nail_count:
        nail = plan.panels.requirement.question.nail
        key = (nail.nail_id, nail.coating)
        out[key] = (nail, out.get(key, (nail, 0))[1] + plan.panels.nail_count)
    return list(out.values())
