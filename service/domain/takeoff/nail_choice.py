"""Which of the nails on hand to load: the smallest set that serves every joint of a take-off or of a wall, found by trying every set."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations
from typing import Any, NamedTuple

from service.domain.joint.ranking import say_why
from service.domain.joint.requirement import Requirement, judge
from service.domain.nails.nail import Nail
from service.domain.takeoff.loose import LooseJoints
from service.domain.wall.panels.line import PanelLine
from service.domain.wall.plan import Plan, PlanLine, renailed
from service.tables.book import Book
from service.tables.joints import ConnectionRow

Set = tuple[int, ...]
"""Nails on hand by their places in the list."""


class OnHand(NamedTuple):
    """A nail on hand, and what one of it costs, None where that was not sent."""

    nail: Nail
    price_each: Fraction | None = None


class Verdict(NamedTuple):
    """One nail in all joints of a kind; no count where it does not serve them. `bare` where a treated plate asks for galvanized ones."""

    outcome: str
    nail_count: int | None
    reason: str
    bare: bool = False


class Kind(NamedTuple):
    """Joints of the take-off that are judged alike, with the verdict on each nail on hand."""

    connection: ConnectionRow
    verdicts: tuple[Verdict, ...]

    def best_of(self, some: Iterable[int], nails: tuple[OnHand, ...]) -> int | None:
        """Return the nail of some that serves these joints best: listed before by strength, fewest nails, least money."""
        serving = [i for i in some if self.verdicts[i].nail_count is not None]
        return min(serving, key=lambda i: (*self.worth(i, nails), nails[i].nail.preference), default=None)

    def listed_first(self) -> "Kind":
        """Return panels with the nails alone that their row lists, where one is on hand: none that only is at least as large is driven."""
        listed = [v.outcome == "prescriptive" and v.nail_count is not None for v in self.verdicts]
        if not self.connection.panel or not any(listed):
            return self
        return self._replace(verdicts=tuple(v if y else v._replace(nail_count=None) for v, y in zip(self.verdicts, listed, strict=True)))

    def worth(self, i: int, nails: tuple[OnHand, ...]) -> tuple[int, int, int, Fraction]:
        """Return what a nail that serves is worth here, the least being the best; what has no price comes after what has one."""
        verdict, each = self.verdicts[i], nails[i].price_each
        count = verdict.nail_count or 0
        return int(verdict.outcome == "calculated"), count, int(each is None), (each or Fraction(0)) * count


class Assignment(NamedTuple):
    """A nail for the joints of one connection, on one ground."""

    connection: ConnectionRow
    nail: Nail
    outcome: str
    nail_count: int


class Refusal(NamedTuple):
    """A connection that a nail does not serve, and why."""

    connection: ConnectionRow
    reason: str


class Alone(NamedTuple):
    """One nail by itself over all kinds of joints."""

    nail: Nail
    serves_count: int
    calculated_count: int
    nail_count: int
    refused: tuple[Refusal, ...]


@dataclass(frozen=True, slots=True)
class NailChoice:
    """The nails to load; `unserved` are joints that none on hand serves."""

    nails: tuple[Nail, ...]
    assignments: tuple[Assignment, ...]
    alone: tuple[Alone, ...]
    unserved: tuple[ConnectionRow, ...]
    kind_count: int
    calculated_count: int
    bare: bool
    """Whether a nail that is chosen, or would do, is not galvanized where a treated plate asks for it."""
    panels_apart: bool
    """Whether a nail that serves some panels was left for one that their row lists."""
    cost: Fraction | None
    """Price of the nails that are driven, not of whole packages; None where one has no price, and for none."""
    refused_count: int = 0
    """Walls and joints that were refused, so that nobody knows what they take."""

    @property
    def serves_all(self) -> bool:
        """Whether every joint that was asked about has a nail."""
        return bool(self.kind_count) and not self.unserved and not self.refused_count

    @property
    def nail_count(self) -> int:
        """Nails of all assignments."""
        return sum(a.nail_count for a in self.assignments)

    @property
    def reason(self) -> str:
        """The choice in one sentence."""
        refused = f"; what was refused ({self.refused_count}) is not in it" if self.refused_count else ""
        if not self.nails:
            return f"no nail on hand serves any joint{refused}"
        left = "1 kind of joints takes" if len(self.unserved) == 1 else f"{len(self.unserved)} kinds of joints take"
        missing = f"; {left} another nail or a design" if self.unserved else ""
        official = f"; {self.calculated_count} by strength, if the building official accepts" if self.calculated_count else ""
        served = "all joints" if not self.unserved else "all joints that any nail on hand serves"
        several = f"{len(self.nails)} nails serve" if len(self.nails) > 1 else f"{self.nails[0].label} serves"
        coated = "; nails into a treated plate have to be hot-dip galvanized" if self.bare else ""
        apart = "; panels take a nail that their row lists before a larger one" if self.panels_apart else ""
        return f"{several} {served} with {self.nail_count} nails{official}{apart}{coated}{missing}{refused}"


def choose_nails(walls: Iterable[tuple[Plan, int]], joints: Iterable[LooseJoints], nails: tuple[OnHand, ...], book: Book) -> NailChoice:
    """Judge each nail once for each kind of joints, and choose."""
    return choose(kinds_of(walls, joints, nails, book), nails)


def choose_for_wall(plans: tuple[Plan, ...], nails: tuple[Nail, ...]) -> NailChoice:
    """Choose for one wall, planned with each of the nails in turn; they have no prices."""
    hand = tuple(OnHand(nail) for nail in nails)
    found: dict[object, list[Kind]] = {}
    _add_wall(found, plans, 1, hand)
    return choose(tuple(_joined(kinds) for kinds in found.values()), hand)


def choose(kinds: tuple[Kind, ...], nails: tuple[OnHand, ...]) -> NailChoice:
    """Return the smallest set that serves every kind that any nail serves; then fewest by strength, fewest nails, least money.

    For panels a listed nail goes before one that only is at least as large, even where the set is larger for it. A kind takes
    the best nail of the set; since what a set is worth is the sum over kinds, that is the best of the set.
    """
    unserved = [k for k in kinds if k.best_of(range(len(nails)), nails) is None]
    served = [k.listed_first() for k in kinds if k not in unserved]
    best = min(_smallest(served, len(nails)), key=lambda some: _worth(some, served, nails))
    by_strength, _, unpriced, money, _ = _worth(best, served, nails)
    taken = [(k, i) for k in served for i in [k.best_of(best, nails)] if i is not None]
    grouped: dict[tuple[str, int, str], Assignment] = {}
    for kind, i in taken:
        verdict = kind.verdicts[i]
        key = (kind.connection.connection_id, i, verdict.outcome)
        before = grouped[key].nail_count if key in grouped else 0
        grouped[key] = Assignment(kind.connection, nails[i].nail, verdict.outcome, before + (verdict.nail_count or 0))
    return NailChoice(
        nails=tuple(nails[i].nail for i in best),
        assignments=tuple(grouped.values()),
        alone=tuple(_alone(i, hand.nail, kinds) for i, hand in enumerate(nails)),
        unserved=tuple(k.connection for k in unserved),
        kind_count=len(kinds),
        calculated_count=by_strength,
        bare=any(k.verdicts[i].bare for k, i in taken) or any(v.bare for k in unserved for v in k.verdicts),
        panels_apart=any(k.listed_first() != k for k in kinds),
        cost=money if taken and not unpriced else None,
    )


def _smallest(kinds: list[Kind], count: int) -> Iterator[Set]:
    """Yield every smallest set that serves all kinds."""
    wanted = {frozenset(i for i, v in enumerate(k.verdicts) if v.nail_count is not None) for k in kinds}
    for size in range(count + 1):
        found = [some for some in combinations(range(count), size) if all(serving.intersection(some) for serving in wanted)]
        if found:
            yield from found
            return


def _worth(some: Set, kinds: list[Kind], nails: tuple[OnHand, ...]) -> tuple[int, int, int, Fraction, list[Any]]:
    each = [k.worth(i, nails) for k in kinds for i in [k.best_of(some, nails)] if i is not None]
    by_strength, count, unpriced, money = (sum(column) for column in zip(*each, strict=True)) if each else (0, 0, 0, Fraction(0))
    return int(by_strength), int(count), int(unpriced), Fraction(money), sorted(nails[i].nail.preference for i in some)


def _alone(i: int, nail: Nail, kinds: tuple[Kind, ...]) -> Alone:
    verdicts = [k.verdicts[i] for k in kinds]
    refused = [Refusal(k.connection, k.verdicts[i].reason) for k in kinds if k.verdicts[i].nail_count is None]
    return Alone(
        nail,
        sum(v.nail_count is not None for v in verdicts),
        sum(v.nail_count is not None and v.outcome == "calculated" for v in verdicts),
        sum(v.nail_count or 0 for v in verdicts),
        tuple(dict.fromkeys(refused)),
    )


def kinds_of(walls: Iterable[tuple[Plan, int]], joints: Iterable[LooseJoints], nails: tuple[OnHand, ...], book: Book) -> tuple[Kind, ...]:
    """Return the joints of a take-off by what they are judged by; steel tie plates take their own nail."""
    found: dict[object, list[Kind]] = {}
    for plan, times in walls:
        _add_wall(found, tuple(renailed(plan, hand.nail, book) for hand in nails), times, nails)
    for loose in joints:
        judged = [judge(replace(loose.requirement.question, nail=hand.nail), book) for hand in nails]
        _add(found, judged, tuple(_verdict(r, loose.count(r.nailing)) for r in judged), nails)
    return tuple(_joined(kinds) for kinds in found.values())


def _add_wall(found: dict[object, list[Kind]], plans: tuple[Plan, ...], times: int, nails: tuple[OnHand, ...]) -> None:
    """Add the joints of a wall that is built so many times, planned with each nail in turn."""
    for lines in zip(*(_lines(p) for p in plans), strict=True):
        verdicts = tuple(_in_wall(line, hand.nail, times) for line, hand in zip(lines, nails, strict=True))
        _add(found, [line.requirement for line in lines], verdicts, nails)


def _lines(plan: Plan) -> list[PlanLine | PanelLine]:
    return [*plan.lines, *((plan.panels,) if plan.panels else ())]


def _in_wall(line: PlanLine | PanelLine, nail: Nail, times: int) -> Verdict:
    """Return the verdict on a nail in a wall; of framing nails that a treated plate takes galvanized, a bare one is no such nail."""
    verdict = _verdict(line.requirement, None if line.nail_count is None else line.nail_count * times)
    if isinstance(line, PanelLine):
        return verdict._replace(bare=len(line.parts) > 1)  # only those along the plate
    if line.nail.coating == nail.coating or verdict.nail_count is None:
        return verdict
    return Verdict(verdict.outcome, None, "into a treated plate it has to be hot-dip galvanized", True)


def _verdict(requirement: Requirement, count: int | None) -> Verdict:
    return Verdict(requirement.outcome, count, "" if count is not None else say_why(requirement))


def _add(found: dict[object, list[Kind]], judged: list[Requirement], verdicts: tuple[Verdict, ...], nails: tuple[OnHand, ...]) -> None:
    """Add joints to their kind: those that are asked alike but for the nail, treated plates apart."""
    first = judged[0]
    kind = replace(first.question, nail=nails[0].nail), tuple(v.bare for v in verdicts)
    found.setdefault(kind, []).append(Kind(first.connection, verdicts))


def _joined(kinds: list[Kind]) -> Kind:
    """Add up joints that are judged alike; a nail serves them where it serves each."""
    columns = zip(*(k.verdicts for k in kinds), strict=True)
    return Kind(kinds[0].connection, tuple(_sum(column) for column in columns))


def _sum(verdicts: tuple[Verdict, ...]) -> Verdict:
    refused = next((v for v in verdicts if v.nail_count is None), None)
    return refused or verdicts[0]._replace(nail_count=sum(v.nail_count or 0 for v in verdicts))
