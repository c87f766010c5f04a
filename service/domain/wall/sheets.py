"""The sheets that the panels of a wall are cut from."""

from typing import NamedTuple

from service.domain.wall.panels.joints import stock_length
from service.domain.wall.plan import Plan
from service.said import say_fraction, say_length


class SheetSize(NamedTuple):
    """Sheets of one size; ticks."""

    width: int
    length: int
    thickness: int
    sheet_count: int

    @property
    def label(self) -> str:
        """The size in words."""
        return f"{say_length(self.width, form='F')} x {say_length(self.length, form='F')} x {say_fraction(self.thickness)}"


def sheets_of(plan: Plan) -> list[SheetSize]:
    """Return the sheets that the panels of a plan are cut from, by size."""
    asked = plan.order.wall.sheathing
    if plan.panels is None or asked is None:
        return []
    return [SheetSize(asked.panel_width, stock_length(plan.order.wall, plan.rules), asked.thickness, len(plan.panels.cover.pieces))]
