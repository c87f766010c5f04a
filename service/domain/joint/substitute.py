"""Judges a nail that a row does not list: by strength against the nails that it does, or why there is no number."""

from dataclasses import dataclass, replace

from service.domain.joint.comparison import Against, Case, Value, joint_of, references, shared_factor, value
from service.domain.joint.sizing import SIZES, closest, count_of, demand, of_greater_nails
from service.domain.joint.stop import Stop
from service.domain.strength.reference import least_penetration, reach
from service.said import say_fraction, say_length
from service.tables.joints import ConnectionRow
from service.tables.rules import Rules
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.tables.standard import Nds
from service.tables.wood import SpeciesRow


@dataclass(frozen=True, slots=True)
class Substitute:
    """What a nail that is not listed takes to reach the strongest and the weakest listed option, and the working.

    `no_room` says why the number against the strongest does not fit; then as many as have room are the answer, `roomy`, which reach the
    weakest. `factor` is that of end grain or toe-nails, `step` what spacings are rounded to.
    """

    strongest_nailing: Nailing
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
    no_room: str = ""
    roomy: Nailing | None = None

    @property
    def compared_with(self) -> str:
        """Return strongest_option or weakest_option: the one that the answer reaches."""
        return "weakest_option" if self.no_room else "strongest_option"

    @property
    def against(self) -> Against:
        """The listed option that the answer reaches."""
        return self.weakest if self.no_room else self.strongest

    @property
    def nailing(self) -> Nailing:
        """The answer."""
        return self.roomy or self.strongest_nailing


def substitute(case: Case) -> Substitute | Stop:
    """Return the nailing of a nail that is not listed, or why there is none.

    Where the number against the strongest listed option has no room, as many as have room are the answer, if that is enough to reach the
    weakest, which the code accepts too: a greater nail may take as many, and a lesser one never takes fewer. Not in end grain: an end nail holds nothing when it is pulled, and nothing makes up for a lesser comparison there.
    """
    compared = _compared(case)
    if isinstance(compared, Stop):
        return compared
    found, most_listed = compared
    roomy, crowded = _room(case, found.nailing, most_listed)
    if not crowded:
        return found
    if case.connection.method != "end_nail" and not _room(case, found.weakest_nailing, most_listed)[1]:
        return replace(found, no_room=crowded, roomy=roomy)
    less = f" ({_say(found.weakest_nailing)} against the weakest listed nail)" if found.weakest_nailing != found.nailing else ""
    return Stop("engineering_required_joint", f"{case.nail.label} is not listed, and by strength {crowded}{less}")


def _compared(case: Case) -> tuple[Substitute, int] | Stop:
    """Return the comparison with the listed nails, and the largest count among those that could be valued."""
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
    known = (x for o in listed for x in (o.value.lateral.confidence, o.choice.option.confidence))
    found = Substitute(
        closest([*(size(case, one, listed) for one in listed), *greater, *(t.strongest_nailing for t in tight)]),
        closest([size(case, weakest, listed), *greater, *(t.weakest_nailing for t in tight)]),
        own,
        strongest,
        weakest,
        left_out,
        case.nds.least("derived", own.lateral.confidence, *known),
        case.face,
        case.nds,
        case.species,
        shared_factor(case, "lateral"),
        case.book.rules.calculated_step,
    )
    return found, max(count_of(o.choice.nailing) for o in listed)


def _without_spacer(case: Case) -> list[Substitute]:
    """Return the comparison of pieces that touch, where a spacer parts them: it never lets nails stand farther apart."""
    if case.connection.between != "spacer" or not case.selectors.material_between:
        return []
    found = _compared(replace(case, selectors=replace(case.selectors, material_between=0)))
    return [] if isinstance(found, Stop) else [found[0]]


def _not_comparable(case: Case) -> Stop | None:
    category, building = case.site.seismic_design_category, case.site.building_type
    panel, nail = case.connection.panel, case.nail
    why = case.connection.no_equation_because
    if why:
        return Stop("engineering_required_joint", f"{nail.label} is not listed and cannot be compared: {why}")
    if panel and case.selectors.braced and case.site.seismic_bracing(case.book.rules):
        return Stop("calculated_not_offered", f"{nail.label} is not listed; braced panel in seismic design category {category}, {building}")
    barred = next((c.refused_because for c in case.choices if c.barred), None)
    if barred:
        return Stop("engineering_required_joint", f"{nail.label} is not listed here: other nails of this row are allowed {barred}")
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


def _room(case: Case, nailing: Nailing, most_listed: int) -> tuple[Nailing, str]:
    return room(nailing, most_listed, case.connection, case.face, case.book.rules)


def room(nailing: Nailing, most_listed: int, connection: ConnectionRow, face: int, rules: Rules) -> tuple[Nailing, str]:
    """Return a nailing as far as the joint has room for it, and why for no more; empty where it has room for all.

    Parameters
    ----------
    most_listed : int
        The largest count that the row lists.
    face : int
        Width of the face that takes the nails. [ticks]
    """
    match nailing:
        case PerJoint(count, counted_by):
            most, said = _most_per_joint(most_listed, connection, face, rules)
            return (PerJoint(most, counted_by), f"it would take {count} nails each {counted_by}; {said}") if count > most else (nailing, "")
        case Grouped(count, spacing):
            said = f"it would take {count} nails in each {say_fraction(spacing)}; {rules.most_in_group} are the most"
            return (Grouped(rules.most_in_group, spacing), said) if count > rules.most_in_group else (nailing, "")
        case OnCenter(spacing, rows):
            least = rules.least_calculated_spacing
            return OnCenter(max(spacing, least), rows), too_close(spacing, least)
        case Panel(edge, field):
            least = rules.least_calculated_spacing
            return Panel(max(edge, least), max(field, least)), too_close(min(edge, field), least)


def _most_per_joint(most_listed: int, connection: ConnectionRow, face: int, rules: Rules) -> tuple[int, str]:
    """Return the most nails that a joint has room for, and the rule."""
    narrow = face <= rules.narrow_face
    if connection.placement == "splice":
        rows = rules.splice_rows_narrow if narrow else rules.splice_rows_deep
        each = rules.splice_reach // rules.least_calculated_spacing
        lap = say_fraction(rules.splice_reach)
        return rows * each, f"{rows} rows of {each} in the {lap} of lap are the most in a face of {say_fraction(face)}"
    more = rules.more_in_narrow_face if narrow else rules.more_in_deep_face
    said = f"the row's most is {most_listed}, and no more than {more} over it are put in a face of {say_fraction(face)}"
    return most_listed + more, said


def too_close(spacing: int, least: int) -> str:
    """Say that a spacing, in ticks, would split the wood; empty where it would not."""
    if spacing >= least:
        return ""
    return f"it would take a nail every {say_fraction(spacing)}; closer than {say_fraction(least)} splits the wood"


def _say(nailing: Nailing) -> str:
    match nailing:
        case PerJoint(count) | Grouped(count, _):
            return f"{count}"
        case OnCenter(spacing):
            return f"{say_fraction(spacing)}"
        case Panel(edge, field):
            return f"{say_fraction(edge)} and {say_fraction(field)}"
