"""Holds what was found in a joint against what it requires."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.domain.inspection.heads import HeadsJudged, judge_heads
from service.domain.inspection.observed import Observation
from service.domain.inspection.repair import Repair, more_nails, nails_for_heads, other_nails
from service.domain.inspection.serving import listed_nails
from service.domain.inspection.unsaid import others
from service.domain.joint.counting import say_nailing
from service.domain.joint.requirement import Requirement, judge
from service.tables.book import Book
from service.tables.schedule import Grouped, PerJoint

VERDICTS = {
    "meets": "as many nails as required, or more",
    "needs_check": "enough nails, but something that decides is not known",
    "short": "too few nails, or too many overdriven",
    "wrong_nail": "this nail has no number here; others have",
    "engineering_required": "no number with any nail: it takes a design",
    "no_data": "the value is not held here: nothing is said",
    "not_applicable": "the edition asks no nails here",
}
"""Verdicts in a few words, the mildest first."""


@dataclass(frozen=True, slots=True, eq=False)
class Finding:
    """A verdict on one joint; `serving` are listed nails for one that is wrong or has to be accepted, `heads` None where none were counted."""

    seen: Observation
    required: Requirement
    verdict: str
    doubt: str = ""
    serving: tuple[Requirement, ...] = ()
    heads: HeadsJudged | None = None
    repairs: tuple[Repair, ...] = ()

    @property
    def reason(self) -> str:
        """Why, in one sentence."""
        if self.required.nailing is None:
            return self.required.no_number_because
        found = f"found {say_nailing(self.seen.found)}" if self.seen.found else ""
        heads = self.heads.because if self.heads else ""
        return "; ".join(filter(None, (found, f"required {say_nailing(self.required.nailing)}", self._counted, heads, self.doubt)))

    @property
    def _counted(self) -> str:
        """What was taken for one joint, where joints were counted: an end joint of a splice has two sides, and each is one."""
        by, number = self.required.nailing, self.seen.joint_count
        return f"joint_count of {number} counts each {by.counted_by}" if number and isinstance(by, PerJoint) else ""

    @property
    def remedy(self) -> str | None:
        """What mends it, in words; None where nothing is to be mended, or nobody here knows how."""
        return "; ".join(r.said for r in self.repairs) or None

    @property
    def missing_each(self) -> int | None:
        """Nails to add to each joint or group; None where it is not counted so, or no number is known."""
        if not isinstance(self.required.nailing, PerJoint | Grouped):
            return None
        return self.repairs[0].each if self.repairs else 0

    @property
    def missing(self) -> int | None:
        """Nails to add in all; None where that is not known."""
        counts = [r.count for r in self.repairs]
        if self.required.nailing is None or None in counts:
            return None
        return sum(c for c in counts if c is not None)

    @property
    def driven(self) -> tuple[Requirement, ...]:
        """The judgements of nails that are added."""
        return tuple(r.driven for r in self.repairs if r.driven)


def inspect(seen: Observation, book: Book) -> Finding:
    """Return the verdict on one joint.

    Pure: the same observation against the same book always gives the same verdict. Fewer nails, wider spacing, deeper heads, a lesser
    nail or less looked at never give a milder one.
    """
    required = judge(seen.question, book)
    if required.nailing is None:
        return _without_number(seen, required, book)
    serving = listed_nails(required, book) if required.outcome == "calculated" else ()
    heads = judge_heads(seen.heads, seen.moisture, book.rules) if seen.heads else None
    more = more_nails(seen, required, book)
    for_heads = nails_for_heads(seen, required, heads, more, book.rules) if heads else None
    repairs = tuple(r for r in (more, for_heads) if r)
    doubt = "; ".join(_doubts(seen, required, heads))
    verdict = "short" if repairs else "needs_check" if doubt else "meets"
    unsaid = "" if repairs else _unsaid(seen, verdict, book)
    said = "; ".join(filter(None, (doubt, unsaid)))
    return Finding(seen, required, "needs_check" if unsaid else verdict, said, serving, heads, repairs)


def _without_number(seen: Observation, required: Requirement, book: Book) -> Finding:
    if required.outcome != "engineering_required":
        return Finding(seen, required, required.outcome)
    serving = listed_nails(required, book)
    if not serving:
        return Finding(seen, required, "engineering_required")
    return Finding(seen, required, "wrong_nail", serving=serving, repairs=(other_nails(seen, required, serving, book),))


def _doubts(seen: Observation, required: Requirement, heads: HeadsJudged | None) -> Iterator[str]:
    """Say what has to be known before a joint with enough nails meets what is required."""
    if type(seen.found) is not type(required.nailing):
        yield "what was found was not counted as the joint is"
        return
    if required.outcome == "calculated":
        yield "a calculated number counts only if the building official accepts it"
    if required.connection.panel:
        doubt = heads.doubt if heads else "how deep the heads stand in the panel was not counted"
        if doubt:
            yield doubt


def _unsaid(seen: Observation, verdict: str, book: Book) -> str:
    """Say which fields that were not sent would make the verdict worse, each once; empty where none does."""
    worse = [(o, found) for o in others(seen, book) if _rank((found := inspect(o.seen, book)).verdict) > _rank(verdict)]
    each = {o.fields: (o, found) for o, found in reversed(worse) if len(o.fields) == len(worse[0][0].fields)}
    return "; ".join(
        f"would not be met with {' and '.join(o.said)}, which was not sent: {_wanted(found.required)}"
        for o, found in reversed(each.values())
    )


def _rank(verdict: str) -> int:
    return list(VERDICTS).index(verdict)


def _wanted(required: Requirement) -> str:
    return f"required {say_nailing(required.nailing)}" if required.nailing else required.no_number_because
