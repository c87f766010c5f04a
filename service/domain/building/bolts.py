"""Puts the bolts of one plate piece where nothing is in their way."""

from collections.abc import Sequence
from dataclasses import dataclass

from service.tables.ties import AnchorRules
from service.ticks import ceil_div

Stretch = tuple[int, int]
"""From where to where along the wall; ticks."""


@dataclass(frozen=True, slots=True)
class Laid:
    """Bolts of a piece in order, where each would stand by itself, and those that no place keeps clear; ticks along the wall."""

    positions: tuple[int, ...]
    wanted: tuple[int, ...]
    in_the_way: tuple[int, ...] = ()

    @property
    def moved(self) -> bool:
        """Whether a bolt gave way to a stud or a door."""
        return self.positions != self.wanted


def end_distance(length: int, rules: AnchorRules) -> int:
    """Return how far the first and last bolt of a piece are put from its ends: its quarter, within what the code allows; ticks."""
    return max(rules.end_least, min(rules.end_most, round(length * rules.end_share)))


def bolt_count(length: int, most_spacing: int, rules: AnchorRules) -> int:
    """Return the fewest bolts of a piece whose ends and spacing the code allows.

    References
    ----------
    IRC R403.1.6: max(2, ceil((L - 2 end) / spacing) + 1).
    """
    return max(rules.least_per_piece, ceil_div(length - 2 * end_distance(length, rules), most_spacing) + 1)


def lay_bolts(piece: Stretch, most_spacing: int, rules: AnchorRules, taken: Sequence[Stretch] = ()) -> Laid:
    """Put the bolts of a piece, equally spaced where nothing is in their way.

    A bolt whose place is taken moves within the limits of ends and spacing; where no such place is free for all, one more
    bolt is tried; where that does not help either, the bolts stand as they would and those in the way are named.

    Parameters
    ----------
    taken : sequence of Stretch
        Where no bolt may stand: studs with the room beside them, doors. Their ends are free.
    """
    start, end = piece
    fewest, inset = bolt_count(end - start, most_spacing, rules), end_distance(end - start, rules)
    first, last = (start + rules.end_least, start + rules.end_most), (end - rules.end_most, end - rules.end_least)
    free, gap = _free(piece, taken), (rules.apart, most_spacing)
    for count in (fewest, fewest + 1):
        wanted = tuple(start + inset + (end - start - 2 * inset) * i // (count - 1) for i in range(count))
        found = _arrange(wanted, free, first, last, gap)
        if found:
            return Laid(found, wanted)
    return _in_the_way(tuple(start + inset + (end - start - 2 * inset) * i // (fewest - 1) for i in range(fewest)), free)


def lay_one(piece: Stretch, rules: AnchorRules, taken: Sequence[Stretch] = ()) -> Laid:
    """Put the one bolt of a short wall into the middle third of its plate, in the middle where nothing is in its way."""
    start, end = piece
    third = (end - start) // rules.middle_of
    middle, wanted = (start + third, end - third), ((start + end) // 2,)
    free = _free(piece, taken)
    found = _arrange(wanted, free, middle, middle, (0, 0))
    return Laid(found, wanted) if found else _in_the_way(wanted, free)


def _in_the_way(wanted: tuple[int, ...], free: Sequence[Stretch]) -> Laid:
    return Laid(wanted, wanted, tuple(x for x in wanted if not any(a <= x <= b for a, b in free)))


def _free(piece: Stretch, taken: Sequence[Stretch]) -> list[Stretch]:
    """Return what is left of a piece, in order; a place between two stretches that touch is free."""
    at, end = piece
    out = []
    for a, b in sorted(taken):
        if b <= at or a >= end:
            continue
        if a >= at:
            out.append((at, a))
        at = b
    return [*out, (at, end)] if at <= end else out


def _arrange(wanted: Sequence[int], free: Sequence[Stretch], first: Stretch, last: Stretch, gap: Stretch) -> tuple[int, ...] | None:
    """Return a place for each bolt as near as may be to where it is wanted, None where there is none.

    Forwards: where each bolt can stand, given those before it. Backwards: the nearest of these that the next one allows.
    """
    within = [_both(free, [first])]
    for _ in wanted[1:]:
        within.append(_both(free, _merged([(a + gap[0], b + gap[1]) for a, b in within[-1]])))
    allowed, places = _both(within[-1], [last]), list[int]()
    for stretches, x in zip(reversed(within), reversed(wanted), strict=True):
        here = _both(stretches, allowed)
        if not here:
            return None
        places.append(min((min(max(x, a), b) for a, b in here), key=lambda place: (abs(place - x), place)))
        allowed = [(places[-1] - gap[1], places[-1] - gap[0])]
    return tuple(reversed(places))


def _both(some: Sequence[Stretch], others: Sequence[Stretch]) -> list[Stretch]:
    """Return what lies in a stretch of each list."""
    return [(max(a, c), min(b, d)) for a, b in some for c, d in others if max(a, c) <= min(b, d)]


def _merged(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Join stretches that meet."""
    out: list[Stretch] = []
    for a, b in sorted(stretches):
        if out and a <= out[-1][1]:
            out[-1] = (out[-1][0], max(b, out[-1][1]))
        else:
            out.append((a, b))
    return out
