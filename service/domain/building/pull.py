"""What pulls up at a wall or a joint under a roof, as far as the question tells, and what the nails of the joint hold."""

from dataclasses import dataclass, replace
from math import floor

from service.domain.building.tie_table import Roof
from service.domain.building.uplift import CONNECTOR, ENGINEERING, NOT_CHECKED, OK, Uplift, uplift_of
from service.domain.conditions import Conditions
from service.domain.joint.requirement import Requirement
from service.domain.joint.stop import Stop
from service.domain.site import Site
from service.domain.strength.adjusted import Service, evaluate
from service.domain.strength.reference import Joint
from service.said import say_length
from service.tables.book import Book
from service.tables.editions import Edition
from service.tables.rules import Rules
from service.tables.schedule import PerJoint

SITE_OF_UPLIFT = ("wind_speed_mph", "exposure")


@dataclass(frozen=True, slots=True)
class NotKnown:
    """The uplift is not known: what the question lacks, or what is not held here."""

    because: str


@dataclass(frozen=True, slots=True)
class RoofJoint:
    """What pulls at a joint that holds a roof down: how it stands, the uplift, and what its nails hold in withdrawal [lb]."""

    status: str
    pull: Uplift | NotKnown
    nails_hold_lb: int | None

    @property
    def uplift(self) -> Uplift | None:
        """The uplift, where it is known."""
        return self.pull if isinstance(self.pull, Uplift) else None

    @property
    def reason(self) -> str:
        """The answer in one sentence or two."""
        said = self.pull.reason if isinstance(self.pull, Uplift) else f"What lifts the roof here is not known: {self.pull.because}."
        if self.nails_hold_lb is None:
            return said
        return f"{said} By the design standard the nails of this joint hold {self.nails_hold_lb} lb in withdrawal against wind."


def pull_of(site: Site, given: Conditions, edition: Edition, rules: Rules, full_walls_above: int = 0) -> Uplift | NotKnown:
    """Return the uplift of the roof that a question tells of.

    An assumed wind is not known. Ties whose spacing was not said stand as far apart as the table serves.
    """
    ties = edition.roof_ties
    if ties is None:
        return NotKnown(f"the uplift rules of {edition.code} {edition.year} are not held")
    span, pitch = given.roof_span, given.roof_pitch_in_12
    missing = [f for f in SITE_OF_UPLIFT if f in site.assumed]
    missing += [name for name, value in (("roof_pitch_in_12", pitch), ("roof_span_ft", span)) if value is None]
    if span is None or pitch is None or missing:
        return NotKnown(f"not given: {', '.join(missing)}")
    widest = ties.spacings[-1]
    found = uplift_of(Roof(span, pitch, given.tie_spacing or widest, full_walls_above=full_walls_above), site, edition, rules)
    if found.stop and found.outcome == "no_data":
        return _past_the_mildest(found, site, edition, rules) or NotKnown(found.stop.because)
    return found if given.tie_spacing else replace(found, reason=f"{found.reason} Ties are taken {say_length(widest)} apart.")


def _past_the_mildest(found: Uplift, site: Site, edition: Edition, rules: Rules) -> Uplift | None:
    """Return the uplift as past what is held, where already the mildest exposure asks for connectors: a worse one asks for no less."""
    mildest = min(edition.roof_ties.blocks, default="") if edition.roof_ties else ""
    at_least = uplift_of(found.roof, replace(site, exposure=mildest), edition, rules) if mildest else found
    if found.stop is None or at_least.outcome == "no_data" or (at_least.nails_alone and at_least.braced_panels != CONNECTOR):
        return None
    because = f"{found.stop.because}; already in exposure {mildest} {at_least.reason[0].lower()}{at_least.reason[1:].rstrip('.')}"
    stop = Stop("engineering_required_scope", because, at_least.provenance, ("uplift",))
    return replace(
        found, outcome=ENGINEERING, stop=stop, braced_panels=ENGINEERING, reason=f"No number: {because}.", provenance=at_least.provenance
    )


def at_the_tie(pull: Uplift | NotKnown) -> str:
    """Return how the tie of a rafter or truss to its wall stands, where the fastening schedule's nails are all that is known of it."""
    if isinstance(pull, NotKnown):
        return NOT_CHECKED
    return ENGINEERING if pull.stop else OK if pull.nails_alone else CONNECTOR


def roof_joint(requirement: Requirement, given: Conditions, book: Book) -> RoofJoint | None:
    """Return what pulls at the joint of a rafter or truss with its wall; None for other joints.

    References
    ----------
    NDS 12.2, at the duration of wind, toe-nail factor included; the uplift is that of the code's table.
    """
    if requirement.connection.carries_roof != "at_wall":
        return None
    question = requirement.question
    pull = pull_of(question.site, given, book.editions[question.edition_id], book.rules)
    return RoofJoint(at_the_tie(pull), pull, _held(requirement, given, book))


def _held(requirement: Requirement, given: Conditions, book: Book) -> int | None:
    nailing, c, question = requirement.nailing, requirement.connection, requirement.question
    if not isinstance(nailing, PerJoint):
        return None
    wood, nds = book.species[question.species], book.standard_of(question.edition_id)
    joint = Joint(
        c.method, wood.specific_gravity, wood.specific_gravity, c.side_thickness or 0, c.main_thickness, confidence=wood.confidence
    )
    wind = Service(load_duration=nds["load_duration_most"], moisture=given.moisture)
    one = evaluate(question.nail, joint, wind, nds).adjusted_withdrawal_lb
    return None if one is None else floor(one * nailing.count)
