"""Decides which cautions speak beside a wall plan and its panels."""

from dataclasses import dataclass, replace
from functools import lru_cache

from service.domain.building.anchorage import Anchorage, anchor_wall
from service.domain.building.load_path import LoadPath, load_path
from service.domain.cautions.advice import Advised, Advisor, advisor_for
from service.domain.cautions.caution import Caution, Spoken, Triggers, merge, settle, standing_notes
from service.domain.cautions.site import drilling_doubt, seismic_doubt
from service.domain.cautions.ties import on_path
from service.domain.conditions import Conditions
from service.domain.joint.placement import Placement
from service.domain.wall.blocks import fireblock_rows
from service.domain.wall.panels.joints import blocked_levels, say_joints
from service.domain.wall.panels.line import PanelLine
from service.domain.wall.plan import HEADER_JOINTS, Plan, PlanLine
from service.domain.wall.wall import Opening, T
from service.said import say_fraction, say_length, say_weight
from service.tables.book import Book

on_wall: Triggers[[Plan, Book]] = Triggers()
on_line: Triggers[[Plan, PlanLine]] = Triggers()
on_panels: Triggers[[Plan, PanelLine]] = Triggers()


@dataclass(frozen=True, slots=True, eq=False)
class WallAdvice:
    """What goes with a plan: for each of its lines, for its panels, for its tie plates, what holds it down, and the wall as a whole."""

    lines: tuple[Advised, ...]
    panels: tuple[Advised, ...]
    tie_plates_missing: tuple[int, ...]
    anchors: Anchorage | None
    path: LoadPath
    wall: tuple[Spoken, ...]


def advise_wall(plan: Plan, book: Book) -> WallAdvice:
    """Return the cautions and placements of a plan; standing notes are among those of the wall."""
    given = plan.order.setting.conditions
    low, high = advisor_for(given, book), advisor_for(_above_concrete(given), book)
    lines = tuple([_advise_line(line, low if line.group.treated else high, plan) for line in plan.lines])
    missing = tuple(i for i, plates in enumerate(plan.tie_plates) if plates.row is None)
    anchors = anchor_wall(plan, book)
    path = load_path(plan, anchors, book)
    found = [*on_wall.speak(plan, book), *on_path.speak(path, plan, book), *standing_notes(given.driver, bool(plan.nail_totals))]
    return WallAdvice(lines, _advise_panels(plan, low, high), missing, anchors, path, settle(found, book))


def _above_concrete(given: Conditions) -> Conditions:
    """Only the joints of the bottom plate meet the concrete under it."""
    return given if given.bottom_plate_on == "wood_floor" else replace(given, bottom_plate_on="wood_floor")


def _advise_line(line: PlanLine, advisor: Advisor, plan: Plan) -> Advised:
    base, own = advisor.advise(line.requirement), on_line.speak(plan, line)
    asked = plan.order.setting.asked_nail(line.group.connection_id)
    if base.placement and asked.coating != line.nail.coating:
        base = replace(base, placement=_recoated(base.placement, asked.coating))
    return replace(base, cautions=merge((*base.cautions, *settle(own, advisor.book)))) if own else base


@lru_cache(maxsize=64)
def _recoated(placement: Placement, asked: str) -> Placement:
    """Say beside where the nails go that the service itself changed their coating."""
    said = f"the plate on concrete is read as treated, so {asked} nails are taken hot-dip galvanized"
    return replace(placement, note="; ".join(filter(None, (said, placement.note))))


def _advise_panels(plan: Plan, low: Advisor, high: Advisor) -> tuple[Advised, ...]:
    """Advise each part of the panels: where a row goes into the treated plate, only that row meets it."""
    if plan.panels is None:
        return ()
    parts = plan.panels.parts
    own = settle(on_panels.speak(plan, plan.panels), low.book)
    first = (high if len(parts) > 1 else low).advise(parts[0].requirement)
    placement = first.placement if plan.panels.used else None
    out = [Advised(first.requirement, merge((*first.cautions, *own)), placement, first.closer_zone)]
    for part in parts[1:]:
        base = low.advise(part.requirement)
        coated = _recoated(base.placement, plan.panels.nail.coating) if base.placement else None
        out.append(Advised(base.requirement, base.cautions, coated, base.closer_zone))
    return tuple(out)


def tie_plate_cautions(plan: Plan, missing: tuple[int, ...], edition_id: str) -> list[Caution]:
    """Return the cautions of the tie plates of a single top plate."""
    out = [Caution("value_not_held", f"splice plates of a single top plate are not held for {edition_id}")] if missing else []
    if any(s.row and s.row.confidence == "memory" for s in plan.tie_plates):
        out.append(Caution("unverified_value", "splice plates of this edition are held from memory"))
    return out


@on_wall("braced_assumed")
def _braced(plan: Plan, book: Book) -> str | None:
    wall = plan.order.wall
    left_out = "wall.braced" in plan.order.setting.conditions.assumed
    return "sheathing is given on an exterior wall, braced was left out" if left_out and wall.exterior and wall.sheathing else None


@on_wall("high_seismic_bracing")
def _shaken(plan: Plan, book: Book) -> str | None:
    """Speak where it was not said whether an exterior wall braces; where it was, its joints speak."""
    setting = plan.order.setting
    unsaid = "wall.braced" in setting.conditions.assumed and plan.order.wall.exterior
    return seismic_doubt(setting.site, book.rules) if unsaid else None


@on_wall("opening_studs_short")
def _few_studs(plan: Plan, book: Book) -> str | None:
    said = [f"opening {o.opening_id}: {under}" for o in plan.order.wall.openings for under in o.counts_under]
    return "; ".join(said) or None


@on_wall("fireblocking_assumed")
def _fireblocking(plan: Plan, book: Book) -> str | None:
    rows = fireblock_rows(plan.order.wall, blocked_levels(plan.order.wall, book.rules), book.rules)
    return (
        f"{rows} row in studs of {say_length(plan.order.wall.stud_length)}"
        if rows and plan.order.wall.height > book.rules.fireblock_height
        else None
    )


@on_wall("plate_joint_near_lap")
def _near_lap(plan: Plan, book: Book) -> str | None:
    covered = [p.x for p in plan.framing.full_stubs]
    stubs = [f"no room for floor nails in the pieces of bottom plate at {say_length(*covered)}"] if covered else []
    return "; ".join(dict.fromkeys([*plan.framing.tight_plate_joints, *stubs])) or None


@on_wall("short_pieces")
def _short_pieces(plan: Plan, book: Book) -> str | None:
    by_gun = plan.order.setting.conditions.driver == "gun"
    least = book.rules.hand_clear_under if by_gun else book.rules.short_piece_under
    short = [(m.role, x) for m, x in zip(plan.framing.members, plan.framing.lengths, strict=True) if x < least]
    if not short:
        return None
    roles = ", ".join(sorted({role.replace("_", " ") for role, _ in short}))
    shortest = say_length(min(x for _, x in short))
    return f"driver is {'gun' if by_gun else 'hand'}, {len(short)} under {say_length(least)} ({roles}), the shortest {shortest}"


@on_wall("wood_splits")
def _splits(plan: Plan, book: Book) -> str | None:
    line = next((x for x in plan.lines if x.group.connection.in_wall == "stud_end" and x.requirement.nailing), None)
    met = _met_on_a_stud(plan)
    if line is None or not met or plan.order.wall.stud_to_plate_method != "end_nail":
        return None
    gravity, shank = book.species[plan.order.setting.species].specific_gravity, line.nail.diameter
    dense = [f"specific gravity {gravity:g}"] if gravity >= book.rules.splits_gravity_from else []
    thick = [f"shank {say_length(shank)}"] if shank >= book.rules.splits_shank_from else []
    if not dense + thick:
        return None
    return f"end distance {say_length(T // 4)} where top plate pieces meet on a stud at {say_length(*met)}; {', '.join(dense + thick)}"


def _met_on_a_stud(plan: Plan) -> list[int]:
    """Return where pieces of the lower top plate meet over the middle of a stud or cripple; ticks."""
    centers = {s.center for s in (*plan.framing.studs, *(m for f in plan.framing.frames for m in f.head_cripples))}
    return [p.x for p in plan.framing.top_plates[1:] if p.x in centers]


@on_wall("overhead_reach")
def _overhead(plan: Plan, book: Book) -> str | None:
    wall = plan.order.wall
    if plan.order.setting.conditions.driver == "gun" and wall.stud_to_plate_method != "end_nail" and wall.height > book.rules.overhead_over:
        return f"stud_to_plate_method is {wall.stud_to_plate_method}, height {say_length(wall.height)}"
    return None


@on_wall("single_top_plate")
def _single(plan: Plan, book: Book) -> str | None:
    return "top_plate_count is 1" if plan.order.wall.top_plate_count == 1 else None


@on_wall("drilling_concrete")
def _drilling(plan: Plan, book: Book) -> str | None:
    given = plan.order.setting.conditions
    return drilling_doubt(given.anchor_type, given.slab_type) if plan.order.wall.bottom_plate_on == "concrete" else None


@on_wall("tall_wall_restraint")
def _tall(plan: Plan, book: Book) -> str | None:
    return f"height {say_length(plan.order.wall.height)}" if plan.order.wall.height >= book.rules.tall_wall_from else None


@on_wall("treated_cut_ends")
def _cut_ends(plan: Plan, book: Book) -> str | None:
    treated = plan.order.setting.conditions.treated_as
    return f"treated pieces are cut, treatment {treated}" if treated in ("copper", "borate") else None


@on_wall("raise_wall")
def _raise(plan: Plan, book: Book) -> str | None:
    return None if _too_heavy(plan, book) else _raised(plan, book)


@on_wall("raise_by_machine")
def _raise_by_machine(plan: Plan, book: Book) -> str | None:
    return _raised(plan, book) if _too_heavy(plan, book) else None


def _too_heavy(plan: Plan, book: Book) -> bool:
    return plan.load.weight_lb > book.rules.person_lift * book.rules.most_lifters


def _raised(plan: Plan, book: Book) -> str | None:
    """Say what a wall weighs that is framed flat and raised; None for one that is framed in place."""
    if plan.order.wall.stud_to_plate_method != "end_nail":
        return None
    each = say_weight(f"{book.rules.person_lift:g}")
    return f"stud_to_plate_method is end_nail (framed flat and raised): about {say_weight(f'{plan.load.weight_lb:.0f}')}, {plan.load.lifter_count} people at {each} each"


@on_panels("far_side_clear")
def _far_side(plan: Plan, panels: PanelLine) -> str | None:
    method = plan.order.wall.stud_to_plate_method
    return (
        f"driver is gun, stud_to_plate_method is {method}: panels go on a standing wall"
        if plan.order.setting.conditions.driver == "gun" and method != "end_nail"
        else None
    )


@on_panels("panel_joint_off_stud")
def _off_stud(plan: Plan, panels: PanelLine) -> str | None:
    off = panels.cover.joints_off_stud
    return (
        f"joints at {say_joints(off)} have no member center within {say_fraction(plan.rules.joint_on_member)}, nor a header or sill behind; no nails are counted there"
        if off
        else None
    )


@on_panels("nail_without_framing")
def _no_framing(plan: Plan, panels: PanelLine) -> str | None:
    """Speak for level joints: upright ones off a stud have a warning of their own."""
    return "; ".join(panels.cover.unframed) or None


@on_panels("joint_at_opening_corner")
def _at_corner(plan: Plan, panels: PanelLine) -> str | None:
    at = tuple(x for x in panels.cover.joints_at_corner if x not in panels.cover.joints_off_stud)
    return f"joints at {say_joints(at)}" if at else None


@on_panels("panel_short_of_plate")
def _short_panel(plan: Plan, panels: PanelLine) -> str | None:
    return (
        f"panels end {say_length(panels.cover.short_by)} below the top of the wall"
        if panels.cover.short_by > plan.rules.panel_short_over
        else None
    )


@on_panels("unblocked_edge")
def _unblocked(plan: Plan, panels: PanelLine) -> str | None:
    levels = panels.cover.unblocked_levels
    return f"horizontal joints at height {say_joints(levels)}, braced is false" if levels else None


@on_panels("spacing_wider_than_required")
def _wider(plan: Plan, panels: PanelLine) -> str | None:
    return "; ".join(panels.wider) or None


@on_panels("callers_schedule_used")
def _callers(plan: Plan, panels: PanelLine) -> str | None:
    if not panels.closer or panels.used is None:
        return None
    return f"edge {say_length(panels.used.edge)}, field {say_length(panels.used.field)}"


@on_panels("close_nail_rows")
def _close_panel_rows(plan: Plan, panels: PanelLine) -> str | None:
    if not panels.closer or panels.used is None or not plan.rules.close_rows_from <= panels.used.edge <= plan.rules.close_rows_to:
        return None
    return f"edge spacing {say_length(panels.used.edge)}"


@on_wall("header_hanger")
def _hanger(plan: Plan, book: Book) -> str | None:
    hung = [o.opening_id for o in plan.order.wall.openings if o.header and o.jack_count == 0]
    return f"jack_count is 0 at {', '.join(hung)}" if hung else None


@on_wall("jack_count_assumed")
def _jacks(plan: Plan, book: Book) -> str | None:
    guessed = [f"{o.opening_id}: {_guessed(o)}" for o in plan.order.wall.openings if o.header and (o.jacks_guessed or o.kings_guessed)]
    return f"assumed as no table row gives them: {'; '.join(guessed)}" if guessed else None


def _guessed(o: Opening) -> str:
    counts = [(o.jacks_guessed, o.jack_count, "jack"), (o.kings_guessed, o.king_count, "king")]
    return ", ".join(f"{n} {name}{'' if n == 1 else 's'} each side" for guessed, n, name in counts if guessed)


@on_line("header_not_checked")
def _not_checked(plan: Plan, line: PlanLine) -> str | None:
    if line.group.connection.in_wall not in HEADER_JOINTS:
        return None
    unchecked: dict[str, list[str]] = {}
    for o in plan.order.wall.openings:
        if o.unchecked_because:
            unchecked.setdefault(o.unchecked_because, []).append(o.opening_id)
    return "; ".join(f"opening {', '.join(names)}: {because}" for because, names in unchecked.items()) or None
