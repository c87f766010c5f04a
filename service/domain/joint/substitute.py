"""Judges a nail that a row does not list: by strength against the nails that it does, or why there is no number."""

from dataclasses import dataclass, replace

from service.domain.joint.comparison import Against, Case, Value, joint_of, references, shared_factor, value
from service.domain.joint.sizing import SIZES, closest, count_of, demand, of_greater_nails
from service.domain.joint.stop import Stop
from service.domain.strength.reference import least_penetration, reach
from service.said import say_fraction, say_length
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.tables.standard import Nds
from service.tables.wood import SpeciesRow


@dataclass(frozen=True, slots=True)
class Substitute:
    """A calculated nailing, what would reach the weakest option, and the working; `factor` is that of end grain or toe-nails, `step` what spacings are rounded to."""

    nailing: Nailing
    weakest_nailing: Nailing
    own: Value
    strongest: Against
    weakest: Against
    left_out: tuple[str, ...]
    confidence: str
    face: int
    nds: Nds
    species: SpeciesRow
    factor: float
    step: int


def substitute(case: Case) -> Substitute | Stop:
    """Return the nailing of a nail that is not listed, or why there is none."""
    refused = _not_comparable(case)
    if refused:
        return refused
    own = value(case.nail, case, smaller=True)
    if own is None:
        return _no_value(case)
    listed, left_out = references(case, own)
    if not listed:
        return Stop("engineering_required_joint", f"nothing listed here has a value to compare with ({'; '.join(left_out)})")
    short = _too_short(case, own, listed)
    if short:
        return short
    size = SIZES[type(listed[0].choice.nailing)]
    strongest, weakest = max(listed, key=demand), min(listed, key=demand)
    greater, tight = of_greater_nails(case, type(listed[0].choice.nailing)), _without_spacer(case)
    nailing = closest([*(size(case, own, one, listed) for one in listed), *greater, *(t.nailing for t in tight)])
    weakest_nailing = closest([size(case, own, weakest, listed), *greater, *(t.weakest_nailing for t in tight)])
    return _no_room(case, nailing, weakest_nailing, listed) or Substitute(
        nailing,
        weakest_nailing,
        own,
        strongest,
        weakest,
        left_out,
        case.nds.least(
            "derived", own.lateral.confidence, *(x for o in listed for x in (o.value.lateral.confidence, o.choice.option.confidence))
        ),
        case.face,
        case.nds,
        case.species,
        shared_factor(case, "lateral"),
        case.book.rules.calculated_step,
    )


def _without_spacer(case: Case) -> list[Substitute]:
    """Return the judgement of pieces that touch, where a spacer parts them: it never lets nails stand farther apart."""
    if case.connection.between != "spacer" or not case.selectors.material_between:
        return []
    found = substitute(replace(case, selectors=replace(case.selectors, material_between=0)))
    return [found] if isinstance(found, Substitute) else []


def _not_comparable(case: Case) -> Stop | None:
    category, building = case.site.seismic_design_category, case.site.building_type
    panel, nail = case.connection.panel, case.nail
    why = case.connection.no_equation_because
    if why:
        return Stop("engineering_required_joint", f"{nail.label} is not listed and cannot be compared: {why}")
    if panel and case.selectors.braced and (case.site.high_seismic(case.book.rules) or category == "C" and building == "townhouse"):
        return Stop("calculated_not_offered", f"{nail.label} is not listed; braced panel in seismic design category {category}, {building}")
    barred = next((c.refused_because for c in case.choices if c.option.max_wind_mph is not None and c.refused_because), None)
    if barred:
        return Stop(
            "engineering_required_joint", f"{nail.label} is not listed for this wind: the thinner nails of this row are allowed {barred}"
        )
    if not nail.carbon_steel:
        return Stop(
            "engineering_required_joint",
            f"{nail.label} is not listed, and no bending strength is printed for nails of coating or metal {nail.coating.replace('_', ' ')}",
        )
    if panel and nail.head != "full_round":
        return Stop("engineering_required_joint", f"{nail.label} is not listed, and a {nail.head} head has no pull-through value")
    return None


def _no_value(case: Case) -> Stop:
    """Say why the nail on hand has no lateral value."""
    least = least_penetration(case.nail, case.nds)
    far = reach(case.nail, joint_of(case), case.nds).penetration
    if far < least:
        return _short(
            case, far, f"{case.nds['least_penetration_diameters']:g} diameters, {say_length(round(least), form='4')}, are the least"
        )
    return Stop(
        "engineering_required_joint",
        f"{case.nail.label} is not listed, and no bending strength is printed for a shank of {say_length(case.nail.diameter)}",
    )


def _too_short(case: Case, own: Value, listed: list[Against]) -> Stop | None:
    rules, between = case.book.rules, case.selectors.material_between
    if case.connection.between == "spacer" and between and case.nail.length < rules.least_length_through_spacer:
        return _short(case, own.penetration, f"through a spacer the nail must be {say_fraction(rules.least_length_through_spacer)}")
    if case.connection.panel:
        return None
    least = min(rules.least_framing_penetration, *(o.value.penetration for o in listed))
    if own.penetration >= least:
        return None
    return _short(case, own.penetration, f"{say_length(round(least), form='4')} is the least here")


def _short(case: Case, penetration: float, rule: str) -> Stop:
    return Stop(
        "penetration_short",
        f"{case.nail.label} is too short: the point gets {say_length(round(penetration), form='4')} into the holding piece; {rule}",
    )


def _no_room(case: Case, nailing: Nailing, weakest: Nailing, listed: list[Against]) -> Stop | None:
    said = f"{case.nail.label} is not listed, and by strength it would take"
    rules = case.book.rules
    less = f"; against the weakest listed nail {_say(weakest)}" if weakest != nailing else ""
    match nailing:
        case PerJoint(count, counted_by):
            most = max(count_of(o.choice.nailing) for o in listed)
            more = rules.more_in_narrow_face if case.face <= rules.narrow_face else rules.more_in_deep_face
            too_many = f"{count} nails each {counted_by}{less}; the row's most is {most}, and no more than {more} over it are put in a face of {say_fraction(case.face)}"
            return Stop("engineering_required_joint", f"{said} {too_many}") if count > most + more else None
        case Grouped(count, spacing):
            too_many = f"{count} nails in each {say_fraction(spacing)}{less}; {rules.most_in_group} are the most"
            return Stop("engineering_required_joint", f"{said} {too_many}") if count > rules.most_in_group else None
        case OnCenter(spacing):
            spaced = spacing
        case Panel(edge, field):
            spaced = min(edge, field)
    if spaced >= rules.least_calculated_spacing:
        return None
    return Stop(
        "engineering_required_joint",
        f"{said} a nail every {say_fraction(spaced)}{less}; closer than {say_fraction(rules.least_calculated_spacing)} splits the wood",
    )


def _say(nailing: Nailing) -> str:
    match nailing:
        case PerJoint(count) | Grouped(count, _):
            return f"{count}"
        case OnCenter(spacing):
            return f"{say_fraction(spacing)}"
        case Panel(edge, field):
            return f"{say_fraction(edge)} and {say_fraction(field)}"
