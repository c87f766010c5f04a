"""Plans a wall: sticks, joints, nails, and what it weighs."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil
from operator import itemgetter

from service.domain.joint.counting import nails_for
from service.domain.joint.requirement import Requirement
from service.domain.joint.scope import stud_limits_passed
from service.domain.joint.stop import Stop
from service.domain.nails.nail import Nail, by_id
from service.domain.wall.doubts import doubts
from service.domain.wall.floor import mid_bay_count
from service.domain.wall.judging import Bench, Setting, bench_for
from service.domain.wall.layout import lay_out, layout_marks
from service.domain.wall.members import Framing, ply_size
from service.domain.wall.nailed import BlockEnd, BlockToe, Group, HeaderEnd, Lap, PlateRun, Splice, list_joints
from service.domain.wall.notes import plan_notes
from service.domain.wall.panels.joints import blocked_levels
from service.domain.wall.panels.lay import Cover, cover
from service.domain.wall.panels.line import PanelLine, nail_panels
from service.domain.wall.positions import Spot, Want, joint_spots, run_spots
from service.domain.wall.shanks import Shanks
from service.domain.wall.wall import Wall
from service.domain.wall.weight import Load, weigh
from service.tables.book import Book
from service.tables.editions import Edition
from service.tables.framing import SplicePlateRow
from service.tables.rules import Rules
from service.tables.schedule import Grouped, OnCenter

GIVE_WAY = {HeaderEnd: 1, BlockEnd: 1, BlockToe: 1, Lap: 2, Splice: 3}
"""Joints whose nails give way to others, those with most room last; runs give way to all."""
HEADER_ENDS = ("header_end", "header_toe")
"""Places of the joint that holds a header's ends: the first that an edition has a row for."""
HEADER_JOINTS = (*HEADER_ENDS, "header_plies", "header_flats")
"""Places of the joints of a header: they stop where it is past its tables."""


@dataclass(frozen=True, slots=True)
class Order:
    """A wall and everything that decides its nails."""

    wall: Wall
    setting: Setting


@dataclass(frozen=True, slots=True, eq=False)
class PlanLine:
    """One connection of the wall with one nail: `nail_count` is None where there is no number; `place` says where a nail was galvanized."""

    group: Group
    requirement: Requirement
    nail_count: int | None
    listed_nail_count: int | None
    place: str = ""
    fastener = "nail"

    @property
    def nail(self) -> Nail:
        """The nail of the line, with its coating."""
        return self.requirement.question.nail

    @property
    def basis(self) -> str:
        """The arithmetic in words, or why there is no number."""
        nailing = self.requirement.nailing
        return self.requirement.no_number_because if nailing is None else self.group.say_count(nailing)


@dataclass(frozen=True, slots=True)
class TiePlates:
    """Steel splice plates of a single top plate; `row` and `nail` are None where none is held."""

    where: str
    plate_count: int
    row: SplicePlateRow | None
    nail: Nail | None
    fastener = "tie_plate"

    @property
    def nail_count(self) -> int | None:
        """Nails in all plates, both sides."""
        return self.plate_count * 2 * self.row.nail_count_per_side if self.row else None


@dataclass(frozen=True, eq=False)
class Plan:
    """The answer for one wall, complete: whoever draws, writes or orders it reads it and computes nothing again."""

    order: Order
    edition: Edition
    depth: int
    framing: Framing
    lines: tuple[PlanLine, ...]
    tie_plates: tuple[TiePlates, ...]
    panels: PanelLine | None
    load: Load
    rules: Rules

    @property
    def complete(self) -> bool:
        """Whether every joint has a number."""
        return (
            all(line.nail_count is not None for line in self.lines)
            and all(s.row for s in self.tie_plates)
            and (self.panels is None or self.panels.used is not None)
        )

    @property
    def framing_nail_count(self) -> int:
        """Nails of every line that has a number, those of tie plates too."""
        return sum(line.nail_count or 0 for line in self.lines) + sum(plates.nail_count or 0 for plates in self.tie_plates)

    @cached_property
    def nail_totals(self) -> list[tuple[Nail, int]]:
        """Nails by id and coating, in the order of the lines."""
        return sum_nails((*self.lines, *self.tie_plates, *((self.panels,) if self.panels else ())))

    @property
    def notes(self) -> tuple[str, ...]:
        """What the plan leaves to others."""
        return (*doubts(self), *plan_notes(self))

    def mid_bay_nail_count(self, line: PlanLine) -> int | None:
        """Count the nails of a bottom plate that stand in the middle of a bay; None for other lines, and without a number."""
        nailing = line.requirement.nailing
        if line.group.connection.in_wall != "floor" or not isinstance(nailing, OnCenter | Grouped):
            return None
        return sum(mid_bay_count(run, nailing, self.depth, self.rules) for run in line.group.runs if isinstance(run, PlateRun))


def sum_nails(lines: Iterable[PlanLine | PanelLine | TiePlates]) -> list[tuple[Nail, int]]:
    """Add up nails by id and coating, in the order of the lines; those without a number add nothing."""
    out: dict[tuple[str, str], tuple[Nail, int]] = {}
    for line in (part for whole in lines for part in (whole.parts if isinstance(whole, PanelLine) else (whole,))):
        if line.nail and line.nail_count:
            key = (line.nail.nail_id, line.nail.coating)
            out[key] = (line.nail, out.get(key, (line.nail, 0))[1] + line.nail_count)
    return list(out.values())


def plan_wall(order: Order, book: Book) -> Plan:
    """Return the plan of one wall.

    Raises
    ------
    FasteningError
        The wall cannot be built as described; each fault with its numbers.
    """
    wall, edition = order.wall, book.editions[order.setting.edition_id]
    depth = book.lumber[wall.stud].depth
    framing = lay_out(wall, edition, book, blocked_levels(wall, book.rules))
    ends = [book.wall_joints[place] for place in HEADER_ENDS]
    header_end = next((c for c in ends if c.connection_id in edition.rows), ends[-1])
    sheets = cover(wall, framing, layout_marks(wall), book.rules)
    lines, panels = _nailed(order, list_joints(wall, framing, header_end, book), sheets, depth, book)
    gravity = book.species[order.setting.species].specific_gravity
    load = weigh(wall, framing, sheets, gravity, book)
    return Plan(order, edition, depth, framing, lines, _tie_plates(order, framing, edition, book), panels, load, book.rules)


def renailed(plan: Plan, nail: Nail, book: Book) -> Plan:
    """Return the plan of the same wall with another nail for all its framing, and for its panels: sticks, joints and panels stay."""
    setting = replace(plan.order.setting, framing_nail=nail, connection_nails=(), sheathing_nail=nail if plan.panels else None)
    order = Order(plan.order.wall, setting)
    groups, sheets = tuple(line.group for line in plan.lines), plan.panels.cover if plan.panels else None
    lines, panels = _nailed(order, groups, sheets, plan.depth, book)
    return replace(plan, order=order, lines=lines, panels=panels)


def _nailed(
    order: Order, groups: tuple[Group, ...], sheets: Cover | None, depth: int, book: Book
) -> tuple[tuple[PlanLine, ...], PanelLine | None]:
    """Judge and count the joints and the panels of a wall."""
    wall, edition = order.wall, book.editions[order.setting.edition_id]
    bench = bench_for(order.setting, book)
    limits = tuple(stud_limits_passed(wall.stud, wall.spacing, wall.stud_length, wall.supports, edition))
    headers = limits + tuple([stop for o in wall.openings for stop in o.stops])
    lines = tuple([_line(g, wall, bench, limits, headers, depth) for g in groups])
    return lines, nail_panels(wall, sheets, bench, limits, depth)


def _line(group: Group, wall: Wall, bench: Bench, limits: tuple[Stop, ...], headers: tuple[Stop, ...], depth: int) -> PlanLine:
    joint = group.connection
    between = _spacer(wall) if joint.between == "spacer" else 0
    face = _header_depth(wall, bench.book) if joint.in_wall in HEADER_ENDS else depth
    stops = headers if joint.in_wall in HEADER_JOINTS else limits
    requirement = bench.joint(joint.connection_id, group.treated, wall.braced, between, stops, face)
    first = requirement.first_listed
    recoated = group.treated and requirement.question.nail != bench.nail(joint.connection_id, treated=False)
    return PlanLine(
        group,
        requirement,
        None if requirement.nailing is None else group.count(requirement.nailing),
        None if first is None else group.count(first.nailing),
        "at the treated bottom plate" if recoated else "",
    )


def _spacer(wall: Wall) -> int:
    """Return the thickest header spacer of the wall: one nailing serves all its headers; ticks."""
    return max((o.header.spacer for o in wall.openings if o.header and o.header.ply_count > 1), default=0)


def _header_depth(wall: Wall, book: Book) -> int:
    """Return the depth of the shallowest header: the face that takes the nails of its ends; ticks."""
    return min(ply_size(o.header, book)[1] for o in wall.openings if o.header)


def _tie_plates(order: Order, framing: Framing, edition: Edition, book: Book) -> tuple[TiePlates, ...]:
    wall, site = order.wall, order.setting.site
    if wall.top_plate_count != 1:
        return ()
    counts = {
        "corner": (wall.start_corner != "none") + (wall.end_corner != "none"),
        "intersection": len(wall.intersections),
        "butt_joint": len(framing.top_plates) - 1,
    }
    wide = site.seismic_design_category in book.rules.splice_plate_seismic_categories and site.wide_braced_wall_lines(book.rules)
    held = {r.where: r for r in edition.splice_plates if r.high_seismic_wide_lines == wide}
    return tuple(
        TiePlates(where, count, row, by_id(row.nail_id, book) if row else None)
        for where, count in counts.items()
        if count
        for row in [held.get(where)]
    )


def locate(plan: Plan) -> Iterator[tuple[PlanLine, Spot]]:
    """Yield every framing nail of the plan with its line; as many as the line counts.

    What has least room is set first; each nail makes way for those that stand already.
    """
    thickest = max((line.nail.diameter for line in plan.lines), default=0)
    shanks = Shanks(plan.rules, thickest, sum(line.nail_count or 0 for line in plan.lines))
    placed: list[list[Spot]] = [[] for _ in plan.lines]
    wanted = [(rank, i, wants) for i, line in enumerate(plan.lines) for rank, wants in _wanted(line, plan)]
    for _, i, wants in sorted(wanted, key=itemgetter(0)):
        nail = plan.lines[i].nail
        placed[i] += [shanks.settle(want, nail) for want in wants]
    for line, spots in zip(plan.lines, placed, strict=True):
        for spot in spots:
            yield line, spot


def _wanted(line: PlanLine, plan: Plan) -> Iterator[tuple[int, list[Want]]]:
    """Yield where the nails of each joint and run are wanted, with its rank: joints by `GIVE_WAY`, runs last."""
    nailing = line.requirement.nailing
    if nailing is None:
        return
    length, depth = line.nail.length, plan.depth
    each = nails_for(nailing, (), 1) if line.group.parts else 0
    for joint in line.group.joints:
        count = ceil(each * joint.share) if isinstance(joint, Splice) else each
        yield GIVE_WAY.get(type(joint), 0), joint_spots(joint, count, depth, length, plan.rules)
    for run in line.group.runs:
        yield len(GIVE_WAY), run_spots(run, nailing, depth, plan.rules)
