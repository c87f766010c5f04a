"""Which of the nails on hand does a whole wall: each nail over all framing joints, and over the panels."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from service.domain.joint.ranking import say_why
from service.domain.nails.nail import Nail
from service.domain.wall.panels.line import PanelLine
from service.domain.wall.plan import Order, Plan, PlanLine, plan_wall, renailed, sum_nails
from service.tables.book import Book


@dataclass(frozen=True, slots=True, eq=False)
class Box:
    """A nail on hand, and the lines of a wall that are nailed with it."""

    nail: Nail
    lines: tuple[PlanLine | PanelLine, ...]

    @property
    def nail_count(self) -> int:
        """Nails of the lines that it serves."""
        return sum(line.nail_count or 0 for line in self.lines)

    @property
    def refused(self) -> tuple[PlanLine | PanelLine, ...]:
        """Lines that have no number with this nail."""
        return tuple(line for line in self.lines if line.nail_count is None)

    @property
    def by_strength(self) -> tuple[PlanLine | PanelLine, ...]:
        """Lines whose number the building official has to accept."""
        return tuple(line for line in self.lines if line.nail_count is not None and line.requirement.outcome == "calculated")

    @property
    def totals(self) -> list[tuple[Nail, int]]:
        """Its nails by coating: through treated wood they are galvanized."""
        return sum_nails(self.lines)

    @property
    def reason(self) -> str:
        """What the nail does of the wall, in one sentence."""
        if len(self.lines) == 1:
            (line,) = self.lines
            return say_why(line.requirement, line.used if isinstance(line, PanelLine) else None)
        kinds, refused, accepted = len(self.lines), len(self.refused), len(self.by_strength)
        if refused == kinds:
            return f"serves none of the {kinds} kinds of joints"
        served = f"{kinds - refused} of {kinds}" if refused else f"all {kinds}"
        missing = f"; {refused} without a number" if refused else ""
        official = f"; {accepted} by strength, if the building official accepts" if accepted else ""
        return f"serves {served} kinds of joints with {self.nail_count} nails{missing}{official}"


def plan_each(order: Order, nails: tuple[Nail, ...], book: Book) -> tuple[Plan, ...]:
    """Plan a wall with its own nail, then with each of some others; sticks, joints and panels are found once.

    Raises
    ------
    FasteningError
        The wall cannot be built as described.
    """
    first = plan_wall(order, book)
    return (first, *(renailed(first, nail, book) for nail in nails))


def best_first(boxes: Iterable[Box]) -> tuple[Box, ...]:
    """Order boxes: fewest lines without a number, then fewest by strength, then fewest nails, then most lines that list the nail; then by the nail itself."""

    def worth(box: Box) -> tuple[Any, ...]:
        listed = sum(line.requirement.outcome == "prescriptive" for line in box.lines)
        return len(box.refused), len(box.by_strength), box.nail_count, -listed, box.nail.preference

    return tuple(sorted(boxes, key=worth))
