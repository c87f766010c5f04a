"""The sticks of many walls, merged: how many of each size and length to cut."""

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from service.domain.wall.plan import Plan
from service.domain.wall.wall import ENGINEERED
from service.said import say_fraction


class Cut(NamedTuple):
    """Sticks cut alike, in ticks; `size` is thickness and depth of engineered ones, which have no nominal size."""

    nominal: str
    treated: bool
    size: tuple[int, int] | None
    length: int
    member_count: int

    @property
    def label(self) -> str:
        """The stick as people say it."""
        return f"{say_lumber(self.nominal, self.treated, self.size)} x {say_fraction(self.length)}"


def say_lumber(nominal: str, treated: bool, size: tuple[int, int] | None = None) -> str:
    """Name lumber as people say it: treated 2x4; an engineered piece by its section."""
    section = f" {say_fraction(size[0])} x {say_fraction(size[1])}" if size else ""
    return f"{'treated ' if treated else ''}{nominal}{section}"


def cut_list(plans: Iterable[tuple[Plan, int]]) -> tuple[Cut, ...]:
    """Merge the sticks of some plans, each built so many times: by size, treated or not, then the longest first."""
    found: Counter[tuple[str, bool, tuple[int, int] | None, int]] = Counter()
    for plan, times in plans:
        on_concrete = plan.order.wall.bottom_plate_on == "concrete"
        all_treated = not on_concrete and plan.order.setting.conditions.treatment != "none"
        for m, length in zip(plan.framing.members, plan.framing.lengths, strict=True):
            treated = all_treated or on_concrete and m.role == "bottom_plate"
            size = (m.thickness, m.height) if m.nominal == ENGINEERED else None
            found[m.nominal, treated, size, length] += times
    return tuple(Cut(*key, count) for key, count in sorted(found.items(), key=lambda item: _order(item[0])))


def _order(key: tuple[str, bool, tuple[int, int] | None, int]) -> tuple[list[int], bool, tuple[int, int], int]:
    """Order sizes by their numbers, 2x4 before 2x10, engineered ones last."""
    nominal, treated, size, length = key
    return [int(n) for n in nominal.split("x")] if size is None else [99], treated, size or (0, 0), -length
