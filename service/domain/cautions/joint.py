"""Decides which cautions speak beside one judged joint."""

from dataclasses import dataclass

from service.domain.building.pull import NotKnown, RoofJoint, pull_of
from service.domain.cautions.caution import Triggers
from service.domain.cautions.site import seismic_doubt, site_assumption, wind_doubt
from service.domain.cautions.ties import pulled
from service.domain.conditions import Conditions
from service.domain.joint.requirement import Requirement, panel_penetration
from service.domain.joint.stop import Stop
from service.domain.nails.nail import TOLERANCE
from service.domain.strength.reference import toe_nail_depth
from service.domain.wall.wall import T
from service.said import say_length
from service.tables.book import Book
from service.tables.editions import Edition
from service.tables.schedule import OnCenter, OptionRow, Panel


@dataclass(frozen=True, slots=True)
class JointCase:
    """One judged joint with the conditions of the work."""

    requirement: Requirement
    conditions: Conditions
    edition: Edition
    book: Book
    roof: RoofJoint | None = None

    @property
    def method(self) -> str:
        """Return face_nail, end_nail or toe_nail."""
        return self.requirement.connection.method

    @property
    def on_concrete(self) -> bool:
        """Whether the joint may meet a bottom plate on concrete: joists and rafters do not."""
        return self.conditions.bottom_plate_on == "concrete" and self.requirement.connection.group in ("wall", "sheathing")


on_joint: Triggers[[JointCase]] = Triggers()


@on_joint("site_assumed")
def _site_assumed(case: JointCase) -> str | None:
    r = case.requirement
    braces = r.connection.panel and r.question.selectors.braced
    return None if r.outcome in ("not_applicable", "no_data") else site_assumption(r.question.site, by_building=braces)


@on_joint("wind_basis_doubtful")
def _wind_basis(case: JointCase) -> str | None:
    return wind_doubt(case.requirement.question.site, case.book.rules)


@on_joint("approval_required")
def _approval(case: JointCase) -> str | None:
    return "outcome is calculated" if case.requirement.outcome == "calculated" else None


@on_joint("penetration_reduced")
def _reduced(case: JointCase) -> str | None:
    found = case.requirement.substitute
    if found is None or found.own.lateral.short_method is None:
        return None
    own = found.own
    return f"penetration {say_length(round(own.penetration), form='3')} is {own.penetration / own.nail.diameter:.3g} diameters"


@on_joint("unverified_value")
def _unverified(case: JointCase) -> str | None:
    """Speak for a printed number; a calculated one names the confidence of its constants in its working, a stop that of its limit."""
    r = case.requirement
    from_memory = r.nailing is not None and r.substitute is None and r.provenance.confidence == "memory"
    return f"the row of {r.connection.connection_id} is held from memory" if from_memory else None


@on_joint("thicker_than_listed")
def _thicker(case: JointCase) -> str | None:
    r = case.requirement
    if r.outcome != "exceeds_listed" or r.governing is None or r.governing.option.diameter is None:
        return None
    listed, own = r.governing.option.diameter, r.question.nail.diameter
    return f"shank {say_length(own)} stands for {say_length(listed)}" if own - listed > case.book.rules.thicker_over else None


@on_joint("thinner_than_common")
def _thinner(case: JointCase) -> str | None:
    r = case.requirement
    own_row = r.substitute is None and r.governing is not None and _is_common(r.governing.option, case.book)
    if own_row or not (r.connection.panel and r.question.selectors.braced):
        return None
    common = max((c.option.diameter for c in r.listed if _is_common(c.option, case.book) and c.option.diameter), default=0)
    own = r.question.nail.diameter
    return f"shank {say_length(own)}, the common nail of the row has {say_length(common)}" if own < common - TOLERANCE else None


def _is_common(option: OptionRow, book: Book) -> bool:
    named = book.nails.get(option.nail_id)
    return named is not None and named.type == "common"


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
    if (
        case.edition.low_gravity_framing
        and case.requirement.connection.panel
        and case.book.rules.low_gravity_from <= species.specific_gravity < case.book.rules.low_gravity_under
    ):
        return f"{species.name} has specific gravity {species.specific_gravity:g}"
    return None


@on_joint("span_rating_assumed")
def _rating(case: JointCase) -> str | None:
    q = case.requirement.question
    return (
        "span_rating was left out"
        if case.requirement.connection.wind_panel and q.selectors.span_rating is None and case.requirement.listed
        else None
    )


@on_joint("panel_nailing")
def _panels(case: JointCase) -> str | None:
    connection = case.requirement.connection
    return f"{connection.connection_id} is nailed" if connection.panel and case.requirement.nailing else None


@on_joint("high_seismic_bracing")
def _shaken(case: JointCase) -> str | None:
    r = case.requirement
    braces = r.question.selectors.braced or "braced_wall_panel" in case.conditions.assumed
    return seismic_doubt(r.question.site, case.book.rules) if braces else None


@on_joint("braced_panel_over_material")
def _over_material(case: JointCase) -> str | None:
    r = case.requirement
    return f"{say_length(r.braced_over)} lies between {r.connection.connection_id} and the framing" if r.braced_over else None


@on_joint("close_nail_rows")
def _close_rows(case: JointCase) -> str | None:
    low, high = case.book.rules.close_rows_from, case.book.rules.close_rows_to
    match case.requirement.nailing:
        case Panel(edge, _) if low <= edge <= high:
            return f"edge spacing {say_length(edge)}"
        case OnCenter(spacing, _) if low <= spacing <= high:
            return f"spacing {say_length(spacing)}"
    return None


@on_joint("toe_nail_hits_concrete")
def _hits_concrete(case: JointCase) -> str | None:
    depth = toe_nail_depth(case.requirement.question.nail, case.book.standard_of(case.edition.edition_id))
    if case.requirement.connection.in_wall == "stud_toe" and case.on_concrete and depth > T:
        return f"the point reaches {say_length(round(depth), form='2')}, the plate is {say_length(T)} thick"
    return None


@on_joint("toe_nail_seismic_limit")
def _toe_seismic(case: JointCase) -> str | None:
    r = case.requirement
    site = r.question.site
    if case.method == "toe_nail" and site.high_seismic(case.book.rules) and r.connection.diaphragm:
        return f"seismic design category {site.seismic_design_category}, joint {r.question.connection_id}"
    return None


@on_joint("point_protrudes")
def _protrudes(case: JointCase) -> str | None:
    thickness = case.requirement.connection.through
    length = case.requirement.question.nail.length
    if thickness is None or case.requirement.nailing is None or length - thickness <= case.book.rules.protrudes_over:
        return None
    return f"nail {say_length(length)} through {say_length(thickness)} of wood"


@on_joint("concealed_services")
def _services(case: JointCase) -> str | None:
    if case.requirement.nailing is None:
        return None
    reach = panel_reach(case.requirement)
    return f"nails reach {say_length(reach)} past the face" if reach is not None and reach > case.book.rules.services_depth else None


def panel_reach(r: Requirement) -> int | None:
    """Return how far a nail of wall panels reaches past the face of the framing, in ticks; None in other joints."""
    selectors = r.question.selectors
    reach = panel_penetration(r.question, r.connection)
    if reach is None and r.connection.panel and selectors.use == "wall" and selectors.panel_thickness:
        return r.question.nail.length - selectors.panel_thickness
    return reach


PROOF = ("hot_dip_galvanized", "stainless")
"""Coatings and metals that stand copper-treated wood."""


@on_joint("treated_lumber_fastener")
def _treated(case: JointCase) -> str | None:
    given, coating = case.conditions, case.requirement.question.nail.coating
    if given.treated_as != "copper" or coating in PROOF or given.treatment == "none" and not case.on_concrete:
        return None
    plate = "bottom_plate_on is concrete, so the plate is read as copper-treated"
    why = {"copper": "treatment is copper", "unknown": "treatment is unknown, read as copper"}.get(given.treatment, plate)
    return f"{why}; the nail is {coating}"


@on_joint("borate_dry_only")
def _borate(case: JointCase) -> str | None:
    return "treatment is borate" if case.conditions.treatment == "borate" else None


@on_joint("fire_retardant_lumber")
def _fire_retardant(case: JointCase) -> str | None:
    return "treatment is fire_retardant" if case.conditions.treatment == "fire_retardant" else None


@on_joint("wet_lumber")
def _wet(case: JointCase) -> str | None:
    moisture = case.conditions.moisture
    return f"moisture is {moisture}" if moisture != "dry" else None


@on_joint("fall_protection")
def _falls(case: JointCase) -> str | None:
    stories = case.requirement.question.site.story_count
    said = ["a joint of group roof"] if case.requirement.connection.group == "roof" else []
    return "; ".join([*said, f"story_count is {stories}"] if stories > 1 else said) or None


@on_joint("roof_tool_hose")
def _hose(case: JointCase) -> str | None:
    pitch = case.conditions.roof_pitch_in_12
    if (
        case.conditions.driver == "gun"
        and case.requirement.connection.group == "roof"
        and pitch is not None
        and pitch > case.book.rules.steep_roof_over
    ):
        return f"roof_pitch_in_12 is {pitch:g}"
    return None


@on_joint("uplift_unknown")
def _uplift(case: JointCase) -> str | Stop | None:
    r = case.requirement
    if not r.connection.carries_roof or r.nailing is None:
        return None
    pull = pull_of(r.question.site, case.conditions, case.edition, case.book.rules)
    if isinstance(pull, NotKnown):
        return pull.because
    if case.roof or pull.nails_alone:
        return None
    if pull.stop:
        return pull.stop
    return f"each rafter or truss is lifted by {pull.tie_lb} lb where it meets its wall; what pulls here is in no table"


@on_joint("uplift_connector_needed")
def _lifted(case: JointCase) -> str | Stop | None:
    uplift = case.roof and case.roof.uplift
    return pulled(uplift) if uplift and case.requirement.nailing else None
