"""Even places along a run and across a face, and the room beside a place; ticks."""

from service.domain.joint.counting import nails_in_run
from service.tables.rules import Rules

Span = tuple[int, int]


def stations(length: int, spacing: int, rules: Rules) -> list[int]:
    """Return where the nails of a run stand: min(3 in, a quarter) in from the ends, the rest equally spaced."""
    count = nails_in_run(length, spacing)
    end = min(rules.run_end_distance, length // 4)
    return [end + (length - 2 * end) * k // (count - 1) for k in range(count)]


def spread(count: int, depth: int, rules: Rules) -> list[int]:
    """Spread nails across a face, 1 in from its edges; one nail in the middle."""
    if count == 1:
        return [depth // 2]
    return [rules.edge_distance + (depth - 2 * rules.edge_distance) * k // (count - 1) for k in range(count)]


def lanes(depth: int, step: int, rules: Rules) -> tuple[int, int]:
    """Return a pair of lanes about the middle, `step` thirds of the way to 1 in from the edges."""
    off = (depth // 2 - rules.edge_distance) * step // 3
    return depth // 2 - off, depth // 2 + off


def across(depth: int, rules: Rules) -> Span:
    """Return the room across the depth of the wall: a nail that makes way comes nearer the edges by one shift."""
    return rules.edge_distance - rules.lane_shift, depth - rules.edge_distance + rules.lane_shift


def inside(low: int, high: int, rules: Rules) -> Span:
    """Return the room between the sides of a piece, its middle where it is narrow."""
    a, b = low + rules.lane_shift, high - rules.lane_shift
    return (a, b) if a <= b else ((low + high) // 2,) * 2


def within(low: int, high: int, rules: Rules) -> Span:
    """Return the room across a narrow piece that takes slanted nails."""
    return low + rules.nails_apart, high - rules.nails_apart


def about(at: int, rules: Rules) -> Span:
    """Return the room to both sides of a place."""
    return at - rules.lane_shift, at + rules.lane_shift
