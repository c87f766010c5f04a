"""What goes with a judged joint: its cautions, where the nails go, the closer zone of a roof; kept under the conditions of the work."""

from dataclasses import dataclass, field
from functools import lru_cache

from service.domain.building.pull import RoofJoint, roof_joint
from service.domain.cautions.caution import Spoken, of_stop, settle, standing_notes
from service.domain.cautions.joint import JointCase, on_joint
from service.domain.conditions import Conditions
from service.domain.joint.placement import Placement, place
from service.domain.joint.requirement import Requirement, zone_spacing
from service.tables.book import Book


@dataclass(frozen=True, slots=True)
class CloserZone:
    """Closer spacing at roof edges and gable ends; ticks."""

    spacing: int
    width: int
    footnote: str
    note: str


@dataclass(frozen=True, slots=True, eq=False)
class Advised:
    """A judgement with all that goes with it: the cautions of the joint, worst first, where the nails go, the closer zone."""

    requirement: Requirement
    cautions: tuple[Spoken, ...]
    placement: Placement | None
    closer_zone: CloserZone | None
    roof: RoofJoint | None = None
    notes: tuple[Spoken, ...] = ()
    """Standing notes of an answer about this joint alone."""

    @property
    def codes(self) -> list[str]:
        """The codes that speak, worst first."""
        return [c.row.code for c in self.cautions]


MOST_ADVISED = 512


@dataclass(slots=True, eq=False)
class Advisor:
    """The conditions of some work, and the advice given under them.

    Kept by the identity of a judgement, as the same joint comes again in every wall of a house. Bounded: when full, all is let go.
    """

    conditions: Conditions
    book: Book
    given: dict[int, Advised] = field(default_factory=dict)

    def advise(self, requirement: Requirement) -> Advised:
        """Return what goes with a judgement, standing notes left out."""
        found = self.given.get(id(requirement))
        if found is None:
            if len(self.given) >= MOST_ADVISED:
                self.given.clear()
            found = self.given[id(requirement)] = _advise(requirement, self.conditions, self.book)
        return found


@lru_cache(maxsize=64)
def advisor_for(conditions: Conditions, book: Book) -> Advisor:
    """Return the advisor for some conditions."""
    return Advisor(conditions, book)


def _advise(requirement: Requirement, conditions: Conditions, book: Book) -> Advised:
    edition = book.editions[requirement.question.edition_id]
    roof = roof_joint(requirement, conditions, book)
    spoken = on_joint.speak(JointCase(requirement, conditions, edition, book, roof)) if requirement.outcome != "not_applicable" else []
    found = of_stop(requirement.stop) + spoken
    placement = place(requirement, book, conditions.driver) if requirement.nailing is not None else None
    notes = settle(standing_notes(conditions.driver, requirement.nailing is not None), book)
    return Advised(requirement, settle(found, book), placement, _closer_zone(requirement, book), roof, notes)


def _closer_zone(requirement: Requirement, book: Book) -> CloserZone | None:
    zone = requirement.zone
    if zone is None or zone.zone is None or requirement.nailing is None:
        return None
    close = zone_spacing(zone, requirement.question.site, requirement.nailing, book.rules, requirement.substitute)
    return None if close is None else CloserZone(close, zone.zone, zone.footnote, zone.note)
