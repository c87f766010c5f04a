"""Where nails go down through a bottom plate: beside the uprights that stand on it; ticks."""

from bisect import bisect_right
from itertools import pairwise

from service.domain.wall.lanes import Span, lanes, stations
from service.domain.wall.members import Member
from service.domain.wall.nailed import PlateRun
from service.tables.rules import Rules
from service.tables.schedule import Grouped, OnCenter
from service.ticks import ceil_div

Stand = tuple[int, int, Span]
"""Place along the wall and across it, and the stretch between uprights it is in."""


def floor_stands(run: PlateRun, nailing: OnCenter | Grouped, depth: int, rules: Rules) -> list[Stand]:
    """Return where the nails of a bottom plate stand.

    Parameters
    ----------
    depth : int
        Depth of the wall framing. [ticks]
    """
    if isinstance(nailing, Grouped):
        return _groups(run.plate, run.studs, nailing.count, nailing.spacing, depth, rules)
    return _even(run.plate, run.studs, nailing.spacing, depth, rules)


def mid_bay_count(run: PlateRun, nailing: OnCenter | Grouped, depth: int, rules: Rules) -> int:
    """Count the nails out of reach of an upright, in the middle of a bay, where pipes and wires are bored through."""
    lefts, reach = [s.x for s in run.studs], rules.stud_reach

    def free(x: int) -> bool:
        i = bisect_right(lefts, x)
        return (i == 0 or x - run.studs[i - 1].right > reach) and (i == len(lefts) or lefts[i] - x > reach)

    return sum(free(x) for x, _, _ in floor_stands(run, nailing, depth, rules))


def _gaps(plate: Member, studs: tuple[Member, ...], rules: Rules) -> list[Span]:
    """Return the stretches of a plate that no upright covers, those with room for a nail."""
    standing = [s for s in studs if s.x < plate.right and plate.x < s.right]
    free = zip((plate.x, *(s.right for s in standing)), (*(s.x for s in standing), plate.right), strict=True)
    return [(a, b) for a, b in free if b - a >= 2 * rules.lane_shift] or [(plate.x, plate.right)]


def _beside(gap: Span, x: int, rules: Rules) -> int:
    """Return the place in a gap nearest to x that is well beside studs and plate ends; the middle of a narrow one."""
    low, high = gap[0] + rules.beside_stud, gap[1] - rules.beside_stud
    return min(max(x, low), high) if low <= high else (gap[0] + gap[1]) // 2


def _gap_at(x: int, gaps: list[Span], rules: Rules) -> Span:
    """Return the gap a nail wanted at x stands in: that around it, else the one that leaves it nearest."""
    i = bisect_right(gaps, (x, x))
    return min(gaps[max(i - 1, 0) : i + 1], key=lambda gap: abs(_beside(gap, x, rules) - x))


def _even(plate: Member, studs: tuple[Member, ...], spacing: int, depth: int, rules: Rules) -> list[Stand]:
    """Set nails at even places, those under studs beside them; where they would crowd, in the middle of what is free, in two lanes."""
    gaps = _gaps(plate, studs, rules)
    stands: dict[Span, list[int]] = {}
    for s in stations(plate.width, spacing, rules):
        x = plate.x + s
        gap = _gap_at(x, gaps, rules)
        kept = gap[0] + rules.lane_shift <= x <= gap[1] - rules.lane_shift
        stands.setdefault(gap, []).append(x if kept else _beside(gap, x, rules))
    out = []
    for gap, xs in stands.items():
        if any(b - a < rules.beside_stud for a, b in pairwise(xs)):
            low, high = _beside(gap, gap[0], rules), _beside(gap, gap[1], rules)
            pair, count = lanes(depth, 3, rules), 2 * len(xs)
            out += [(low + (high - low) * (2 * k + 1) // count, pair[k % 2], gap) for k in range(len(xs))]
        else:
            out += [(x, depth // 2, gap) for x in xs]
    return out


def _groups(plate: Member, studs: tuple[Member, ...], count: int, spacing: int, depth: int, rules: Rules) -> list[Stand]:
    """Set each group beside the stud nearest the middle of its length of plate, or about that middle where none has room."""
    gaps = _gaps(plate, studs, rules)
    wide = 2 * rules.beside_stud
    posts = [(g, h) for g, h in pairwise(gaps) if g[1] - g[0] >= wide and h[1] - h[0] >= wide]
    total = ceil_div(plate.width, spacing)
    out = []
    for g in range(total):
        a, b = plate.x + plate.width * g // total, plate.x + plate.width * (g + 1) // total
        here = [p for p in posts if a <= (p[0][1] + p[1][0]) // 2 < b]
        if here:
            sides = min(here, key=lambda p: abs(p[0][1] + p[1][0] - a - b))
            about = sides[0][1], sides[1][0]
        else:
            about = ((a + b) // 2,) * 2
            sides = (_gap_at(about[0], gaps, rules),) * 2
        pair = lanes(depth, 3 if g % 2 else 2, rules)
        for k in range(count):
            tier, side = divmod(k // 2, 2)
            off = rules.beside_stud * (tier + 1)
            out.append((_beside(sides[side], about[side] + (off if side else -off), rules), pair[k % 2], sides[side]))
    return out
