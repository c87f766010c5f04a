"""Decides which cautions speak, and why here; their fixed words stand in the table.

A joint trigger sees one judged joint, a wall trigger sees a whole plan. Each returns the reason, naming the
input and its value, or None. Standing notes speak once in every answer.
"""

from collections.abc import Callable
from dataclasses import dataclass

from service.domain.conditions import Conditions
from service.domain.layout import fireblock_rows
from service.domain.nail import TOLERANCE
from service.domain.placement import EDGE, crowded, place
from service.domain.plan import PERSON_LB, PanelLine, Plan
from service.domain.requirement import NDS, Requirement, panel_penetration
from service.domain.schedule import WIND_PANEL
from service.domain.sheathing import say_joints
from service.domain.site import Site
from service.domain.strength import toe_nail_depth
from service.domain.wall import T
from service.tables.book import Book, Edition
from service.tables.rows import OnCenter, Panel, PerJoint
from service.ticks import PER_IN, inches, ticks

SEVERITIES = ("stop", "warning", "caution", "info")
SITE_FIELDS = ("wind_speed_mph", "exposure", "seismic_design_category")
DIAPHRAGM_JOINTS = ("blocking-to-top-plate-toe-nail", "rim-joist-to-sill-toe-nail", "joist-to-sill-toe-nail")
SERVICES_DEPTH = ticks("1.25")


@dataclass(frozen=True, slots=True)
class Caution:
    """A code that applies here: the reason, and where in the answer."""

    code: str
    applies_because: str
    applies_to: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class JointCase:
    """One judged joint with the conditions of the work."""

    requirement: Requirement
    conditions: Conditions
    edition: Edition
    book: Book

    @property
    def method(self) -> str:
        """Return face_nail, end_nail or toe_nail."""
        return self.requirement.connection.method

    @property
    def gun(self) -> bool:
        """Whether a nail gun drives at least one nail here."""
        return self.conditions.driver == "gun" and self.requirement.nailing is not None


JointTrigger = Callable[[JointCase], str | None]
WallTrigger = Callable[[Plan, Book], str | None]
PanelTrigger = Callable[[Plan, PanelLine], str | None]
JOINT_TRIGGERS: dict[str, JointTrigger] = {}
WALL_TRIGGERS: dict[str, WallTrigger] = {}
PANEL_TRIGGERS: dict[str, PanelTrigger] = {}


def on_joint(code: str) -> Callable[[JointTrigger], JointTrigger]:
    """Register the trigger of a code on a judged joint."""

    def keep(trigger: JointTrigger) -> JointTrigger:
        JOINT_TRIGGERS[code] = trigger
        return trigger

    return keep


def on_wall(code: str) -> Callable[[WallTrigger], WallTrigger]:
    """Register the trigger of a code on a wall plan."""

    def keep(trigger: WallTrigger) -> WallTrigger:
        WALL_TRIGGERS[code] = trigger
        return trigger

    return keep


def on_panels(code: str) -> Callable[[PanelTrigger], PanelTrigger]:
    """Register the trigger of a code on the panels of a plan."""

    def keep(trigger: PanelTrigger) -> PanelTrigger:
        PANEL_TRIGGERS[code] = trigger
        return trigger

    return keep


def joint_cautions(case: JointCase) -> list[Caution]:
    """Return the cautions of one joint, standing notes left out."""
    stop = [Caution(*case.requirement.stop)] if case.requirement.stop else []
    return stop + [Caution(code, because) for code, trigger in JOINT_TRIGGERS.items() if (because := trigger(case))]


def wall_cautions(plan: Plan, book: Book) -> list[Caution]:
    """Return the cautions of a whole wall, standing notes left out."""
    return [Caution(code, because) for code, trigger in WALL_TRIGGERS.items() if (because := trigger(plan, book))]


def standing_notes(driver: str, any_nail: bool) -> list[Caution]:
    """Return the notes that speak once in every answer."""
    notes = [
        Caution("counts_not_a_design", "every answer is counted from its inputs"),
        Caution("verify_local_amendments", "every answer quotes a model code"),
    ]
    return [*notes, Caution("nail_gun", "driver is gun")] if driver == "gun" and any_nail else notes


def sort_cautions(found: list[Caution], book: Book) -> list[Caution]:
    """Join equal codes and put the worst first, then by code."""
    joined: dict[str, Caution] = {}
    for c in found:
        old = joined.get(c.code)
        if old is None:
            joined[c.code] = c
        else:
            because = old.applies_because if c.applies_because in old.applies_because else f"{old.applies_because}; {c.applies_because}"
            joined[c.code] = Caution(c.code, because, tuple(dict.fromkeys((*old.applies_to, *c.applies_to))))
    return sorted(joined.values(), key=lambda c: (SEVERITIES.index(book.cautions[c.code].severity), c.code))


def site_assumption(site: Site) -> str | None:
    """Say which site values were assumed, if any."""
    missing = [f for f in SITE_FIELDS if f in site.assumed]
    if not missing:
        return None
    values = {
        "wind_speed_mph": f"{site.wind_speed_mph:g} ({site.wind_speed_basis})",
        "exposure": site.exposure,
        "seismic_design_category": site.seismic_design_category,
    }
    return "assumed: " + ", ".join(f"{f} {values[f]}" for f in missing)


@on_joint("site_assumed")
def _site_assumed(case: JointCase) -> str | None:
    return site_assumption(case.requirement.question.site) if case.requirement.outcome not in ("not_applicable", "no_data") else None


@on_joint("wind_basis_doubtful")
def _wind_basis(case: JointCase) -> str | None:
    site = case.requirement.question.site
    speed, basis = site.wind_speed_mph, site.wind_speed_basis
    if basis == "ultimate" and speed < 95 or basis == "allowable" and speed > 116:
        return f"wind_speed_mph {speed:g} with wind_speed_basis {basis}"
    return None


@on_joint("approval_required")
def _approval(case: JointCase) -> str | None:
    return "outcome is calculated" if case.requirement.outcome == "calculated" else None


@on_joint("penetration_reduced")
def _reduced(case: JointCase) -> str | None:
    found = case.requirement.substitute
    if found is None or found.own.lateral.short_method is None:
        return None
    own = found.own
    return f"penetration {own.penetration / PER_IN:.3g} in is {own.penetration / own.nail.diameter:.3g} diameters"


@on_joint("unverified_value")
def _unverified(case: JointCase) -> str | None:
    if case.requirement.substitute and case.requirement.provenance.confidence == "memory":
        return "the strength comparison rests on values held from memory (bending yield, dowel bearing)"
    if case.requirement.nailing is not None and case.requirement.provenance.confidence == "memory":
        return f"the row of {case.requirement.connection.connection_id} is held from memory"
    return None


@on_joint("thicker_than_listed")
def _thicker(case: JointCase) -> str | None:
    r = case.requirement
    if r.outcome != "exceeds_listed" or r.governing is None or r.governing.option.diameter is None:
        return None
    listed, own = r.governing.option.diameter, r.question.nail.diameter
    return f"shank {inches(own):g} in stands for {inches(listed):g} in" if own - listed > ticks("0.020") else None


@on_joint("thinner_than_common")
def _thinner(case: JointCase) -> str | None:
    r = case.requirement
    own_row = r.substitute is None and r.governing is not None and r.governing.option.nail_id.endswith("-common")
    if own_row or not (r.connection.panel and r.question.selectors.braced):
        return None
    common = max((c.option.diameter for c in r.listed if c.option.nail_id.endswith("-common") and c.option.diameter), default=0)
    own = r.question.nail.diameter
    return f"shank {inches(own):g} in, the common nail of the row has {inches(common):g} in" if own < common - TOLERANCE else None


@on_joint("carbon_steel_only")
def _carbon(case: JointCase) -> str | None:
    nail = case.requirement.question.nail
    return f"coating {nail.coating} in {case.edition.edition_id}" if case.edition.carbon_steel_only and not nail.carbon_steel else None


@on_joint("clipped_head")
def _clipped(case: JointCase) -> str | None:
    nail = case.requirement.question.nail
    return f"head is {nail.head} in a panel" if case.requirement.connection.panel and nail.head == "clipped" else None


@on_joint("head_unknown")
def _head_unknown(case: JointCase) -> str | None:
    nail = case.requirement.question.nail
    return f"no head diameter for {nail.nail_id}" if case.requirement.connection.panel and nail.head_diameter is None else None


@on_joint("ring_not_rsrs")
def _ring(case: JointCase) -> str | None:
    nail = case.requirement.question.nail
    return f"{nail.nail_id} is a ring nail without the RSRS mark" if nail.shank == "ring" and not nail.kind else None


@on_joint("low_gravity_framing")
def _low_gravity(case: JointCase) -> str | None:
    species = case.book.species[case.requirement.question.species]
    if case.edition.low_gravity_framing and case.requirement.connection.panel and 0.35 <= species.specific_gravity < 0.42:
        return f"{species.name} has specific gravity {species.specific_gravity:g}"
    return None


@on_joint("span_rating_assumed")
def _rating(case: JointCase) -> str | None:
    q = case.requirement.question
    return (
        "span_rating was left out"
        if q.connection_id == WIND_PANEL and q.selectors.span_rating is None and case.requirement.listed
        else None
    )


@on_joint("drive_flush")
def _flush(case: JointCase) -> str | None:
    return (
        "braced_wall_panel is true"
        if case.requirement.connection.panel and case.requirement.question.selectors.braced and case.requirement.nailing
        else None
    )


@on_joint("close_nail_rows")
def _close_rows(case: JointCase) -> str | None:
    match case.requirement.nailing:
        case Panel(edge, _) if ticks(2) <= edge <= ticks(3):
            return f"edge spacing {inches(edge):g} in"
        case OnCenter(spacing, _) if ticks(2) <= spacing <= ticks(3):
            return f"spacing {inches(spacing):g} in"
    return None


@on_joint("stop_when_wood_splits")
def _stop_splitting(case: JointCase) -> str | None:
    because = _close_rows(case)
    return f"close rows: {because}" if because else None


@on_joint("stagger_nails")
def _stagger(case: JointCase) -> str | None:
    match case.requirement.nailing:
        case PerJoint(count, counted_by) if (
            not case.requirement.connection.panel
            and counted_by in ("end", "end of a block", "header end", "joint", "joist", "rafter")
            and crowded(count, case.requirement.question.face)
        ):
            return f"{count} nails in a face {inches(case.requirement.question.face):g} in wide"
    return None


@on_joint("tip_misses_edge")
def _edge(case: JointCase) -> str | None:
    if not case.gun or case.requirement.connection.panel or case.method == "toe_nail":
        return None
    own = place(case.requirement).edge_distance
    return f"edge distance {inches(own):g} in" if own is not None and own < EDGE else None


@on_joint("toe_nail_slip")
def _slip(case: JointCase) -> str | None:
    return "driver is gun, method is toe_nail" if case.gun and case.method == "toe_nail" else None


@on_joint("toe_nail_hits_concrete")
def _hits_concrete(case: JointCase) -> str | None:
    depth = toe_nail_depth(case.requirement.question.nail, case.book.nds[NDS]) / PER_IN
    if case.method == "toe_nail" and case.conditions.bottom_plate_on == "concrete" and depth > inches(T):
        return f"the point reaches {depth:.2f} in, the plate is {inches(T):g} in thick"
    return None


@on_joint("toe_nail_seismic_limit")
def _toe_seismic(case: JointCase) -> str | None:
    r = case.requirement
    site = r.question.site
    if case.method == "toe_nail" and site.high_seismic and r.question.connection_id in DIAPHRAGM_JOINTS:
        return f"seismic design category {site.seismic_design_category}, joint {r.question.connection_id}"
    return None


@on_joint("point_protrudes")
def _protrudes(case: JointCase) -> str | None:
    through = {
        "stud-to-stud-face-nail": 2 * T,
        "top-plate-to-top-plate-face-nail": 2 * T,
        "top-plate-splice-face-nail": 2 * T,
        "top-plate-lap-face-nail": 2 * T,
    }
    thickness = through.get(case.requirement.question.connection_id)
    length = case.requirement.question.nail.length
    if thickness is None or case.requirement.nailing is None or length - thickness <= ticks("0.1"):
        return None
    return f"nail {inches(length):g} in through {inches(thickness):g} in of wood"


@on_joint("concealed_services")
def _services(case: JointCase) -> str | None:
    r = case.requirement
    if r.nailing is None:
        return None
    reach = panel_penetration(r.question)
    if reach is None and r.connection.panel and r.question.selectors.use == "wall" and r.question.selectors.panel_thickness:
        reach = r.question.nail.length - r.question.selectors.panel_thickness
    if reach is None and r.question.connection_id == "bottom-plate-to-floor-face-nail":
        reach = r.question.nail.length - T
    return f"nails reach {inches(reach):g} in past the face" if reach is not None and reach > SERVICES_DEPTH else None


@on_joint("treated_lumber_fastener")
def _treated(case: JointCase) -> str | None:
    c = case.conditions
    if c.treatment in ("copper", "unknown"):
        return f"treatment is {c.treatment}"
    return "bottom_plate_on is concrete, the plate is taken as copper-treated" if c.treated_as == "copper" else None


@on_joint("treatment_assumed")
def _treatment_assumed(case: JointCase) -> str | None:
    c = case.conditions
    if c.treatment == "unknown":
        return "treatment is unknown, taken as copper"
    return (
        "set to copper by bottom_plate_on concrete"
        if c.treated_as == "copper" and c.treatment == "none" and "treatment" in c.assumed
        else None
    )


@on_joint("borate_dry_only")
def _borate(case: JointCase) -> str | None:
    return "treatment is borate" if case.conditions.treatment == "borate" else None


@on_joint("fire_retardant_lumber")
def _fire_retardant(case: JointCase) -> str | None:
    return "treatment is fire_retardant" if case.conditions.treatment == "fire_retardant" else None


@on_joint("wet_lumber")
def _wet(case: JointCase) -> str | None:
    moisture = case.conditions.moisture
    return f"moisture is {moisture}" if moisture in ("wet_at_fabrication", "wet_in_service") else None


@on_joint("fall_protection")
def _falls(case: JointCase) -> str | None:
    return "a joint of group roof" if case.requirement.connection.group == "roof" else None


@on_joint("roof_tool_hose")
def _hose(case: JointCase) -> str | None:
    pitch = case.conditions.roof_pitch_in_12
    if case.conditions.driver == "gun" and case.requirement.connection.group == "roof" and pitch is not None and pitch > 7:
        return f"roof_pitch_in_12 is {pitch:g}"
    return None


@on_joint("splitting_end_distance")
def _splitting(case: JointCase) -> str | None:
    if case.requirement.connection.panel or case.requirement.nailing is None or case.method == "toe_nail":
        return None
    own = place(case.requirement).end_distance
    return f"end distance {inches(own):g} in" if own is not None and own < ticks("0.75") else None


@on_wall("end_grain_no_uplift")
def _no_uplift(plan: Plan, book: Book) -> str | None:
    wall = plan.order.wall
    carries_roof = wall.supports in ("roof_only", "one_story_and_roof", "two_stories_and_roof")
    return (
        f"stud_to_plate_method is end_nail, supports is {wall.supports}, uplift is not known here"
        if wall.stud_to_plate_method == "end_nail" and carries_roof
        else None
    )


@on_wall("braced_whole_wall")
def _braced_whole(plan: Plan, book: Book) -> str | None:
    return "braced is true" if plan.order.wall.braced else None


@on_wall("fireblocking_assumed")
def _fireblocking(plan: Plan, book: Book) -> str | None:
    rows = fireblock_rows(plan.order.wall)
    return f"{rows} row in studs of {inches(plan.order.wall.stud_length):g} in" if rows and plan.order.wall.height > ticks(120) else None


@on_wall("hand_clear")
def _hand_clear(plan: Plan, book: Book) -> str | None:
    short = [m for m in plan.framing.members if m.length < ticks(12)]
    return (
        f"driver is gun, pieces under 12 in: {len(short)}, the shortest {inches(min(m.length for m in short)):g} in"
        if short and plan.order.conditions.driver == "gun"
        else None
    )


@on_wall("splitting_end_distance")
def _short_pieces(plan: Plan, book: Book) -> str | None:
    short = [m for m in plan.framing.members if m.length < ticks(6)]
    broken = [p.x for p in plan.framing.top_plates[1:]]
    said = [f"nailed pieces under 6 in: {len(short)}"] if short else []
    if broken and plan.order.wall.stud_to_plate_method == "end_nail":
        said.append(f"end distance 0.375 in where top plate pieces meet on a stud at {', '.join(f'{inches(x):g}' for x in broken)} in")
    return "; ".join(said) or None


@on_wall("stop_when_wood_splits")
def _stop_short(plan: Plan, book: Book) -> str | None:
    return _short_pieces(plan, book)


@on_wall("overhead_power_lines")
def _power_lines(plan: Plan, book: Book) -> str | None:
    return "exterior is true" if plan.order.wall.exterior else None


@on_wall("overhead_reach")
def _overhead(plan: Plan, book: Book) -> str | None:
    wall = plan.order.wall
    if plan.order.conditions.driver == "gun" and wall.stud_to_plate_method != "end_nail" and wall.height > ticks(84):
        return f"stud_to_plate_method is {wall.stud_to_plate_method}, height {inches(wall.height):g} in"
    return None


@on_wall("single_top_plate")
def _single(plan: Plan, book: Book) -> str | None:
    return "top_plate_count is 1" if plan.order.wall.top_plate_count == 1 else None


@on_wall("silica_dust")
def _silica(plan: Plan, book: Book) -> str | None:
    return "bottom_plate_on is concrete, anchors are usually drilled" if plan.order.wall.bottom_plate_on == "concrete" else None


@on_wall("slab_tendon_or_pipe")
def _slab(plan: Plan, book: Book) -> str | None:
    slab = plan.order.conditions.slab_type
    if plan.order.wall.bottom_plate_on != "concrete" or slab == "plain":
        return None
    return f"bottom_plate_on is concrete, slab_type is {slab or 'not given'}"


@on_wall("tall_wall_restraint")
def _tall(plan: Plan, book: Book) -> str | None:
    return f"height {inches(plan.order.wall.height):g} in" if plan.order.wall.height >= ticks(120) else None


@on_wall("temporary_bracing")
def _bracing(plan: Plan, book: Book) -> str | None:
    return (
        "stud_to_plate_method is end_nail: the wall is framed flat and raised"
        if plan.order.wall.stud_to_plate_method == "end_nail"
        else None
    )


@on_wall("treated_cut_ends")
def _cut_ends(plan: Plan, book: Book) -> str | None:
    treated = plan.order.conditions.treated_as
    return f"treated pieces are cut, treatment {treated}" if treated in ("copper", "borate") else None


@on_wall("wall_lifting_weight")
def _weight(plan: Plan, book: Book) -> str | None:
    return f"about {plan.weight_lb:.0f} lb, {plan.lifter_count} people at {PERSON_LB} lb each"


@on_wall("wall_too_heavy_by_hand")
def _heavy(plan: Plan, book: Book) -> str | None:
    return f"about {plan.weight_lb:.0f} lb is more than 8 people at {PERSON_LB} lb each" if plan.weight_lb / PERSON_LB > 8 else None


def panel_cautions(plan: Plan) -> list[Caution]:
    """Return the cautions of a plan's panels."""
    panels = plan.panels
    if panels is None:
        return []
    return [Caution(code, because) for code, trigger in PANEL_TRIGGERS.items() if (because := trigger(plan, panels))]


@on_panels("panel_gap")
def _gap(plan: Plan, panels: PanelLine) -> str | None:
    return f"{len(panels.cover.pieces)} panels"


@on_panels("far_side_clear")
def _far_side(plan: Plan, panels: PanelLine) -> str | None:
    method = plan.order.wall.stud_to_plate_method
    return (
        f"driver is gun, stud_to_plate_method is {method}: panels go on a standing wall"
        if plan.order.conditions.driver == "gun" and method != "end_nail"
        else None
    )


@on_panels("panel_joint_off_stud")
def _off_stud(plan: Plan, panels: PanelLine) -> str | None:
    off = panels.cover.joints_off_stud
    return f"joints at {say_joints(off)} have no member center within 3/8 in; rip the panel back to the last member" if off else None


@on_panels("nail_without_framing")
def _no_framing(plan: Plan, panels: PanelLine) -> str | None:
    off = panels.cover.joints_off_stud
    said = [f"edge lines beside {say_joints(off)}"] if off else []
    return "; ".join([*said, *panels.cover.unframed]) or None


@on_panels("joint_at_opening_corner")
def _at_corner(plan: Plan, panels: PanelLine) -> str | None:
    at = panels.cover.joints_at_corner
    return f"joints at {say_joints(at)}" if at else None


@on_panels("panel_short_of_plate")
def _short_panel(plan: Plan, panels: PanelLine) -> str | None:
    return f"panels end {inches(panels.cover.short_by):g} in below the top of the wall" if panels.cover.short_by > ticks("0.01") else None


@on_panels("unblocked_edge")
def _unblocked(plan: Plan, panels: PanelLine) -> str | None:
    levels = panels.cover.unblocked_levels
    return f"horizontal joints at height {say_joints(levels)}, braced is false" if levels else None


@on_panels("spacing_wider_than_required")
def _wider(plan: Plan, panels: PanelLine) -> str | None:
    return "; ".join(panels.wider) or None


@on_panels("callers_schedule_used")
def _callers(plan: Plan, panels: PanelLine) -> str | None:
    if not panels.closer or panels.edge is None or panels.field is None:
        return None
    return f"edge {inches(panels.edge):g} in, field {inches(panels.field):g} in"


@on_panels("nail_rows_too_close")
def _too_close(plan: Plan, panels: PanelLine) -> str | None:
    sheets = plan.order.wall.sheathing
    if sheets is None or panels.requirement.nailing is None or panels.edge is not None:
        return None
    return f"asked edge {_in(sheets.edge_spacing)}, field {_in(sheets.field_spacing)}; under 2 in"


@on_panels("close_nail_rows")
def _close_panel_rows(plan: Plan, panels: PanelLine) -> str | None:
    close = panels.closer and panels.edge is not None and ticks(2) <= panels.edge <= ticks(3)
    return f"edge spacing {inches(panels.edge or 0):g} in" if close else None


def _in(length: int | None) -> str:
    return "as required" if length is None else f"{inches(length):g} in"


@on_wall("header_hanger")
def _hanger(plan: Plan, book: Book) -> str | None:
    hung = [o.opening_id for o in plan.order.wall.openings if o.header and o.jack_count == 0]
    return f"jack_count is 0 at {', '.join(hung)}" if hung else None


@on_wall("jack_count_assumed")
def _jacks(plan: Plan, book: Book) -> str | None:
    guessed = [f"{o.opening_id}: {o.jack_count} jack, {o.king_count} king" for o in plan.order.wall.openings if o.counts_assumed]
    return f"no table row held for {'; '.join(guessed)}" if guessed else None


@on_wall("short_cripple")
def _short_cripple(plan: Plan, book: Book) -> str | None:
    short = sorted({m.length for f in plan.framing.frames for m in (*f.head_cripples, *f.sill_cripples) if m.length < ticks(6)})
    return f"cripples of {', '.join(f'{inches(x):g}' for x in short)} in" if short else None


WAITING = frozenset(
    {
        "added_nails_split",
        "concealed_services_wired",
        "continuous_sheathing_incomplete",
        "end_condition_unknown",
        "framing_3x_needed",
        "mechanical_lift",
        "overdriven_repair",
        "package_count_approximate",
        "short_plate_piece",
        "top_plate_cut",
        "two_story_wall",
        "uplift_connector_needed",
    }
)
"""Codes of the table whose triggers belong to addresses or inputs that are not served yet."""
