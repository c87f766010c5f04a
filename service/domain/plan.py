"""Plans a wall: sticks, joints, nails, and what it weighs."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil

from service.domain.conditions import Conditions
from service.domain.joints import Group, list_joints
from service.domain.layout import Framing, Member, lay_out
from service.domain.nail import Nail
from service.domain.positions import Spot, joint_spots, run_spots
from service.domain.requirement import Question, Requirement, judge, nails_for
from service.domain.schedule import Selectors
from service.domain.scope import stud_limits_passed
from service.domain.site import Site
from service.domain.wall import Wall
from service.tables.book import Book, Edition
from service.tables.rows import SplicePlateRow
from service.ticks import PER_FT, inches

PERSON_LB = 50


@dataclass(frozen=True, slots=True)
class Order:
    """A wall and everything that decides its nails."""

    edition_id: str
    wall: Wall
    framing_nail: Nail
    connection_nails: tuple[tuple[str, Nail], ...] = ()
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
    lumber_length: int
    board_ft: float
    weight_lb: float

    @property
    def complete(self) -> bool:
        """Whether every joint has a number."""
        return all(line.nail_count is not None for line in self.lines) and all(s.row for s in self.splice_plates)

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
    framing = lay_out(wall, edition)
    past = tuple(stud_limits_passed(wall.stud, wall.spacing, wall.stud_length, wall.supports, edition, book))
    lines = tuple(_line(g, order, past) for g in list_joints(wall, framing))
    lumber = sum(m.length for m in framing.members)
    size = book.lumber[wall.stud]
    return Plan(
        order=order,
        framing=framing,
        lines=lines,
        splice_plates=_splice_plates(order, framing, edition, book),
        lumber_length=lumber,
        board_ft=lumber / PER_FT * size.nominal_thickness_in * size.nominal_depth_in / 12,
        weight_lb=lumber / PER_FT * (size.weight_lb_per_ft or 0),
    )


def _line(group: Group, order: Order, past: tuple[str, ...]) -> Line:
    nail = dict(order.connection_nails).get(group.connection_id, order.framing_nail)
    if group.treated and nail.coating == "bright":
        nail = replace(nail, coating="hot_dip_galvanized")
    requirement = judge(
        Question(
            edition_id=order.edition_id,
            connection_id=group.connection_id,
            nail=nail,
            site=order.site,
            selectors=Selectors(braced=order.wall.braced),
            species=order.species,
            fire_rated=order.fire_rated,
            wall_past=past,
        )
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
    spacing = order.site.braced_wall_line_spacing_ft
    wide = order.site.seismic_design_category in ("D0", "D1", "D2") and (spacing is None or spacing >= 25)
    rows = [r for r in book.splice_plates if edition.edition_id in r.editions]
    return tuple(
        SplicePlates(where, count, next((r for r in rows if r.where == where and r.high_seismic_wide_lines == wide), None))
        for where, count in counts.items()
        if count
    )


def locate(plan: Plan, book: Book) -> Iterator[tuple[Line, Spot]]:
    """Yield every nail of the plan with its line; as many as the line counts."""
    depth = book.lumber[plan.order.wall.stud].depth
    for line in plan.lines:
        nailing = line.requirement.nailing
        if nailing is None:
            continue
        per_joint = nails_for(nailing, (), 1) if line.group.joints else 0
        for joint in line.group.joints:
            for spot in joint_spots(joint, per_joint, depth, line.nail.length):
                yield line, spot
        for run in line.group.runs:
            for spot in run_spots(run, nailing, depth):
                yield line, spot


def plan_notes(plan: Plan) -> tuple[str, ...]:
    """Say what the plan leaves to others."""
    wall = plan.order.wall
    laps = wall.top_plate_count == 2 and (wall.intersections or wall.start_corner != "none" or wall.end_corner != "none")
    wide = _widest_gap(plan)
    notes = (
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
    return tuple(said for said, applies in notes if applies)


def _widest_gap(plan: Plan) -> int:
    centers = [s.center for s in plan.framing.studs if s.role != "backing_stud"]
    return max(b - a for a, b in zip(centers, centers[1:], strict=False))


def nail_totals(plan: Plan) -> list[tuple[Nail, int]]:
    """Add up nails by id and coating."""
    out: dict[tuple[str, str], tuple[Nail, int]] = {}
    for line in plan.lines:
        if line.nail_count:
            key = (line.nail.nail_id, line.nail.coating)
            out[key] = (line.nail, out.get(key, (line.nail, 0))[1] + line.nail_count)
    return list(out.values())


def short_members(plan: Plan, under: int) -> list[Member]:
    """Return nailed members shorter than a length, in ticks."""
    return [m for m in plan.framing.members if m.length < under]
