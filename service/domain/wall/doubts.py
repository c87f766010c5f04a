"""What was sent for a wall and does nothing, or was perhaps measured in feet; said, never refused."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from service.said import say_length
from service.ticks import PER_FT, PER_IN, inches

if TYPE_CHECKING:  # a plan says its own doubts
    from service.domain.wall.plan import Plan


def doubts(plan: "Plan") -> Iterator[str]:
    """Say which nails serve no joint of the wall, and which lengths look like feet."""
    unused = unused_nails(plan)
    if unused:
        yield f"connection_nails names joints that this wall does not have, or that take the sheathing nail: {', '.join(unused)}"
    if plan.order.setting.sheathing_nail and plan.order.wall.sheathing is None:
        yield "sheathing_nail does nothing: the wall has no sheathing"
    yield from odd_lengths(plan)


def unused_nails(plan: "Plan") -> list[str]:
    """Return the joints that have a nail of their own and are not in the wall."""
    here = {line.requirement.connection.connection_id for line in plan.lines}
    return [name for name, _ in plan.order.setting.connection_nails if name not in here]


def odd_lengths(plan: "Plan") -> Iterator[str]:
    """Say which lengths look like feet."""
    wall, rules = plan.order.wall, plan.rules
    if _like_feet(wall.length, rules.wall_like_feet_under):
        yield f"the wall is only {say_length(wall.length)} long; {_had_it_been_feet(wall.length)}"
    for o in wall.openings:
        if _like_feet(o.width, rules.opening_like_feet_under):
            yield f"opening {o.opening_id} is only {say_length(o.width)} wide; {_had_it_been_feet(o.width)}"
        if o.sill_height and _like_feet(o.sill_height, rules.sill_like_feet_under):
            yield f"the sill of opening {o.opening_id} is only {say_length(o.sill_height)} up; {_had_it_been_feet(o.sill_height)}"


def _like_feet(length: int, under: int) -> bool:
    """Whether a length is short, and in inches a whole or half number as feet are written."""
    return length < under and length * 2 % PER_IN == 0


def _had_it_been_feet(length: int) -> str:
    number = inches(length)
    return f"if {number:g} ft was meant, that is {say_length(round(number * PER_FT))}"
