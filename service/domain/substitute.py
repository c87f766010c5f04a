"""Judges a nail that a row does not list, by strength against the nails that it does.

Every factor that both sides share cancels, so values are compared at the ten-year load, dry. The nail on hand
takes the smaller of the two values permitted for short penetration, a listed nail the larger.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil, floor, inf

from service.domain.nail import Nail, exceeds, from_row, head_holds, listed_head
from service.domain.schedule import WIND_PANEL, Choice, Selectors, effort
from service.domain.strength import Joint, Lateral, lateral, pull_through, reach, withdrawal
from service.tables.book import Book
from service.tables.nds import Nds
from service.tables.rows import ConnectionRow, Grouped, Nailing, OnCenter, OptionRow, Panel, PerJoint, SpeciesRow
from service.ticks import inches, label, ticks

HEADER_PLIES = "built-up-header-face-nail"
NO_EQUATION = {
    "heel-joint-face-nail": "the heel joint has a table of its own, by thrust",
    "fiberboard-to-framing": "fiberboard has no bearing strength in the standard",
    "gypsum-sheathing-to-framing": "gypsum has no bearing strength in the standard",
}
PANEL_SIDE = "osb-all-grades"
HIGH_SEISMIC = ("D", "D0", "D1", "D2", "E", "F")
LEAST_FRAMING = ticks("1.25")
LEAST_THROUGH_SPACER = ticks("3.25")
LEAST_SPACING = ticks(3)
HALF_INCH = ticks("0.5")
MOST_IN_GROUP = 6
NARROW_FACE = ticks("3.5")
MORE_IN_NARROW, MORE_IN_DEEP = 1, 2
DUST = 1e-9
"""Relative tolerance of a comparison; there is no other slack."""


@dataclass(frozen=True, slots=True)
class Case:
    """The nail on hand, the joint, and what the row lists there."""

    nail: Nail
    connection: ConnectionRow
    choices: tuple[Choice, ...]
    selectors: Selectors
    seismic: tuple[str, str]
    species: SpeciesRow
    face: int
    book: Book
    nds: Nds


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why there is no number: the code of the caution and the reason in words."""

    code: str
    because: str


@dataclass(frozen=True, slots=True)
class Value:
    """One nail in the joint. [lb]; penetration in ticks. `axial_lb` is None where pull does not count."""

    nail: Nail
    lateral: Lateral
    lateral_lb: float
    withdrawal_lb: float | None
    head_lb: float | None
    penetration: float
    counts_axially: bool

    @property
    def axial_lb(self) -> float | None:
        """The lesser of withdrawal and head pull-through, where pull counts."""
        if not self.counts_axially or self.withdrawal_lb is None:
            return None
        return min(self.withdrawal_lb, inf if self.head_lb is None else self.head_lb)


@dataclass(frozen=True, slots=True)
class Against:
    """A listed option and what the nail on hand is worth beside it."""

    choice: Choice
    value: Value
    lateral_ratio: float
    axial_ratio: float | None

    @property
    def ratio(self) -> float:
        """The lesser of the two ratios: nail on hand over listed nail."""
        return self.lateral_ratio if self.axial_ratio is None else min(self.lateral_ratio, self.axial_ratio)


@dataclass(frozen=True, slots=True)
class Substitute:
    """A calculated nailing, what would reach the weakest option, and the working; `factor` is that of end grain or toe-nails."""

    nailing: Nailing
    weakest_nailing: Nailing
    own: Value
    strongest: Against
    weakest: Against
    left_out: tuple[str, ...]
    confidence: str
    face: int
    nds: Nds
    species: SpeciesRow
    factor: float


def substitute(case: Case) -> Substitute | Refusal:
    """Return the nailing of a nail that is not listed, or why there is none."""
    refused = _not_comparable(case)
    if refused:
        return refused
    own = value(case.nail, case, smaller=True)
    if own is None:
        return _no_value(case)
    listed, left_out = references(case, own)
    if not listed:
        return Refusal("engineering_required_joint", f"nothing listed here has a value to compare with ({'; '.join(left_out)})")
    short = _too_short(case, own, listed)
    if short:
        return short
    size = _SIZES[type(listed[0].choice.nailing)]
    strongest, weakest = max(listed, key=_demand), min(listed, key=_demand)
    least = [*_of_greater_nails(case, type(listed[0].choice.nailing))]
    weakest_least = list(least)
    if case.connection.connection_id == HEADER_PLIES and case.selectors.material_between:
        tight = substitute(replace(case, selectors=replace(case.selectors, material_between=0)))
        if isinstance(tight, Substitute):
            least.append(tight.nailing)
            weakest_least.append(tight.weakest_nailing)
    nailing = _closest([*(size(case, own, one, listed) for one in listed), *least])
    weakest_nailing = _closest([size(case, own, weakest, listed), *weakest_least])
    return _no_room(case, nailing, weakest_nailing, listed) or Substitute(
        nailing,
        weakest_nailing,
        own,
        strongest,
        weakest,
        left_out,
        case.nds.least(
            "derived", own.lateral.confidence, *(x for o in listed for x in (o.value.lateral.confidence, o.choice.option.confidence))
        ),
        case.face,
        case.nds,
        case.species,
        _factor(case, "lateral"),
    )


def _not_comparable(case: Case) -> Refusal | None:
    category, building = case.seismic
    panel, nail = case.connection.panel, case.nail
    why = NO_EQUATION.get(case.connection.connection_id)
    if why:
        return Refusal("engineering_required_joint", f"{nail.label} is not listed and cannot be compared: {why}")
    if panel and case.selectors.braced and (category in HIGH_SEISMIC or category == "C" and building == "townhouse"):
        return Refusal(
            "calculated_not_offered", f"{nail.label} is not listed; braced panel in seismic design category {category}, {building}"
        )
    barred = next((c.refused_because for c in case.choices if c.option.max_wind_mph is not None and c.refused_because), None)
    if barred:
        return Refusal(
            "engineering_required_joint", f"{nail.label} is not listed for this wind: the thinner nails of this row are allowed {barred}"
        )
    if not nail.carbon_steel:
        return Refusal(
            "engineering_required_joint",
            f"{nail.label} is not listed, and no bending strength is printed for nails of coating or metal {nail.coating.replace('_', ' ')}",
        )
    if panel and nail.head != "full_round":
        return Refusal("engineering_required_joint", f"{nail.label} is not listed, and a {nail.head} head has no pull-through value")
    return None


def _no_value(case: Case) -> Refusal:
    """Say why the nail on hand has no lateral value."""
    least = case.nds["least_penetration_diameters"]
    far = reach(case.nail, _joint(case), case.nds).penetration
    if far < least * case.nail.diameter:
        return _short(case, far, f"{least:g} diameters, {least * inches(case.nail.diameter):.4g} in, are the least")
    return Refusal(
        "engineering_required_joint",
        f"{case.nail.label} is not listed, and no bending strength is printed for a shank of {inches(case.nail.diameter):g} in",
    )


def value(nail: Nail, case: Case, smaller: bool) -> Value | None:
    """Return what one nail is worth in the joint, None where the standard gives no lateral value.

    Parameters
    ----------
    smaller : bool
        Of the two values for short penetration take the smaller one, else the larger.
    """
    joint = _joint(case, listed=not smaller)
    ways = [found for way in ("yield_equations", "ratio") if (found := lateral(nail, joint, case.nds, way))]
    if not ways:
        return None
    pick = (min if smaller else max)(ways, key=lambda w: w.value_lb)
    method, panel = joint.method, case.connection.panel
    rings = not panel or nail.head_diameter is not None and nail.head == "full_round"
    out = withdrawal(nail, joint, case.nds, rings)
    head = pull_through(nail, joint, case.nds) if panel else None
    return Value(
        nail,
        pick,
        pick.value_lb * _factor(case, "lateral"),
        out.value_lb * _factor(case, "withdrawal") if out else None,
        head.value_lb if head else None,
        reach(nail, joint, case.nds).penetration,
        panel or method == "toe_nail",
    )


def _gap(case: Case, listed: bool) -> int:
    """Return what lies between the pieces; ticks.

    The wall panel row judges penetration, so it takes foam as it comes. The header row is of a 1/2 in spacer and
    the other panel rows of none: there a listed nail is not made weaker by a gap that its row does not know.
    """
    gap = case.selectors.material_between
    if not listed or case.connection.connection_id == WIND_PANEL:
        return gap
    return min(gap, HALF_INCH) if case.connection.connection_id == HEADER_PLIES else 0


def _joint(case: Case, listed: bool = False) -> Joint:
    c, gravity = case.connection, case.species.specific_gravity
    if c.panel:
        side = case.book.materials[PANEL_SIDE]
        thickness = case.selectors.panel_thickness or 0
        return Joint(
            c.method,
            gravity,
            side.specific_gravity,
            thickness,
            side_kind=side.kind,
            side_psi=side.dowel_bearing_psi,
            gap=_gap(case, listed),
            confidence=case.nds.least(side.confidence, case.species.confidence),
        )
    return Joint(
        c.method,
        gravity,
        gravity,
        c.side_thickness or 0,
        c.main_thickness,
        gap=_gap(case, listed),
        confidence=case.species.confidence,
    )


def _factor(case: Case, applies_to: str) -> float:
    """Return the end grain or toe-nail factor; it cancels in the ratio and is shown in the working."""
    found = (f.value for f in case.nds.factors if f.condition == case.connection.method and applies_to in f.applies_to)
    return next(found, 1.0)


def references(case: Case, own: Value) -> tuple[list[Against], tuple[str, ...]]:
    """Return the listed options that the standard can value, and the others by name."""
    listed: list[Against] = []
    left_out: list[str] = []
    for choice in case.choices:
        if choice.refused_because:
            continue
        nail = _printed_nail(choice.option, case.book)
        if isinstance(nail, str):
            left_out.append(nail)
            continue
        theirs = value(nail, case, smaller=False)
        if theirs and choice.option.min_penetration and theirs.penetration < choice.option.min_penetration:
            left_out.append(f"{nail.label}: reaches less here than the {label(choice.option.min_penetration)} in of its row")
        elif theirs is None:
            left_out.append(f"{nail.label}: the standard gives no value")
        elif listed and type(choice.nailing) is not type(listed[0].choice.nailing):
            left_out.append(f"{nail.label}: counted another way")
        else:
            axial = own.axial_lb / theirs.axial_lb if own.axial_lb is not None and theirs.axial_lb else None
            listed.append(Against(choice, theirs, own.lateral_lb / theirs.lateral_lb, axial))
    return listed, tuple(dict.fromkeys(left_out))


def _printed_nail(option: OptionRow, book: Book) -> Nail | str:
    """Return the nail of an option, or why it has no value."""
    said = option.nail_id or option.detail or option.shank or option.fastener
    if option.alternate:
        return "nails of the table of alternates are no reference"
    if option.fastener != "nail":
        return f"{option.fastener.replace('_', ' ')} ({said}): no equation"
    if option.length is None or option.diameter is None or option.shank == "any":
        return f"{said}: no length and diameter printed"
    size = f"{label(option.length)} x {inches(option.diameter):.3f}"
    if option.shank == "deformed":
        return f"{size} deformed: no equation for its shank"
    row = book.nails.get(option.nail_id)
    nail = from_row(row) if row else Nail(option.nail_id or size, "listed", "", option.length, option.diameter, "smooth")
    return replace(nail, head_diameter=option.head_diameter or nail.head_diameter)


def _of_greater_nails(case: Case, kind: type) -> list[Nailing]:
    """Return what the code asks of nails that are at least as long and as thick, alternates too: a lesser one never needs less.

    For each listed nail, a nail as long and as thick as both it and the nail on hand would exceed it; what such a
    nail may take is the least that the nail on hand takes.
    """
    open_here = [c for c in case.choices if not c.refused_because and isinstance(c.nailing, kind)]
    asked = []
    for choice in open_here:
        length, diameter = choice.option.length or 0, choice.option.diameter_max or choice.option.diameter or 0
        own = case.nail
        head = own.head_diameter and max(own.head_diameter, listed_head(choice.option, case.book))
        greater = replace(
            own,
            length=max(own.length, length),
            diameter=max(own.diameter, diameter),
            head_diameter=head,
            head="full_round",
            coating="bright",
        )
        stood_for = [
            c.nailing
            for c in open_here
            if exceeds(greater, c.option, case.connection.panel) and head_holds(greater, c.option, case.connection.panel, case.book)
        ]
        asked += [min(stood_for, key=effort)] if stood_for else []
    return asked


def _too_short(case: Case, own: Value, listed: list[Against]) -> Refusal | None:
    if case.connection.connection_id == HEADER_PLIES and case.selectors.material_between and case.nail.length < LEAST_THROUGH_SPACER:
        return _short(case, own.penetration, f"through a spacer the nail must be {label(LEAST_THROUGH_SPACER)} in")
    if case.connection.panel:
        return None
    least = min(LEAST_FRAMING, *(o.value.penetration for o in listed))
    if own.penetration >= least:
        return None
    return _short(case, own.penetration, f"{inches(round(least)):.4g} in is the least here")


def _short(case: Case, penetration: float, rule: str) -> Refusal:
    return Refusal(
        "penetration_short",
        f"{case.nail.label} is too short: the point gets {inches(max(round(penetration), 0)):.4g} in into the holding piece; {rule}",
    )


Size = Callable[[Case, Value, Against, list[Against]], Nailing]


def _per_joint(case: Case, own: Value, one: Against, listed: list[Against]) -> Nailing:
    """Return the count that reaches one option, never under the row's least."""
    counts = [_count(o.choice.nailing) for o in listed]
    needed = max(round_up(_count(one.choice.nailing) / one.ratio), _end_grain(case, own, listed), min(counts))
    nailing = one.choice.nailing
    return PerJoint(needed, nailing.counted_by) if isinstance(nailing, PerJoint) else nailing


def _end_grain(case: Case, own: Value, listed: list[Against]) -> int:
    """Return the count that keeps n D p at the least of the listed options where withdrawal has no value."""
    if case.connection.method != "end_nail":
        return 1
    least = min(_count(o.choice.nailing) * o.value.nail.diameter * o.value.penetration for o in listed)
    return round_up(least / (own.nail.diameter * own.penetration))


def _grouped(case: Case, own: Value, one: Against, listed: list[Against]) -> Nailing:
    """Return whole nails in each group that reach one option."""
    nailing = listed[0].choice.nailing
    spacing = nailing.spacing if isinstance(nailing, Grouped) else 1
    theirs = one.choice.nailing
    each = theirs.count * spacing / theirs.spacing if isinstance(theirs, Grouped) else 0
    return Grouped(max(round_up(each / one.ratio), min(_count(o.choice.nailing) for o in listed)), spacing)


def _on_center(case: Case, own: Value, one: Against, listed: list[Against]) -> Nailing:
    """Return the spacing that reaches one option, never over the row's widest."""
    rows = max(o.choice.nailing.row_count for o in listed if isinstance(o.choice.nailing, OnCenter))
    widest = max(o.choice.nailing.spacing for o in listed if isinstance(o.choice.nailing, OnCenter))
    theirs = one.choice.nailing
    if not isinstance(theirs, OnCenter):
        raise TypeError("compared with its own kind only")
    return OnCenter(min(round_down(theirs.spacing * one.ratio * rows / theirs.row_count), widest), rows)


def _panel(case: Case, own: Value, one: Against, listed: list[Against]) -> Nailing:
    """Return edge and field spacing by one factor, never over the row's widest."""
    every = [o.choice.nailing for o in listed if isinstance(o.choice.nailing, Panel)]
    theirs = one.choice.nailing
    if not isinstance(theirs, Panel):
        raise TypeError("compared with its own kind only")
    return Panel(
        min(round_down(theirs.edge * one.ratio), max(p.edge for p in every)),
        min(round_down(theirs.field * one.ratio), max(p.field for p in every)),
    )


_SIZES: dict[type, Size] = {PerJoint: _per_joint, Grouped: _grouped, OnCenter: _on_center, Panel: _panel}


def round_up(needed: float) -> int:
    """Return a count rounded up to whole nails."""
    return ceil(needed * (1 - DUST))


def round_down(spacing: float) -> int:
    """Return a spacing rounded down to the half inch; ticks."""
    return floor(spacing * (1 + DUST) / HALF_INCH) * HALF_INCH


def _count(nailing: Nailing) -> int:
    return nailing.count if isinstance(nailing, PerJoint | Grouped) else 0


def _demand(one: Against) -> tuple[float, float]:
    """Say how many nails on hand an option is worth, per joint or per length, before rounding."""
    match one.choice.nailing:
        case PerJoint(count):
            return (count / one.ratio, 0)
        case Grouped(count, spacing):
            return (count / spacing / one.ratio, 0)
        case OnCenter(spacing, rows):
            return (rows / spacing / one.ratio, 0)
        case Panel(edge, field):
            return (1 / edge / one.ratio, 1 / field / one.ratio)


def _closest(nailings: list[Nailing]) -> Nailing:
    """Return the nailing that reaches every option: for panels the closest edge with the closest field."""
    panels = [n for n in nailings if isinstance(n, Panel)]
    if panels:
        return Panel(min(p.edge for p in panels), min(p.field for p in panels))
    return max(nailings, key=_count) if _count(nailings[0]) else min(nailings, key=lambda n: n.spacing if isinstance(n, OnCenter) else 0)


def _no_room(case: Case, nailing: Nailing, weakest: Nailing, listed: list[Against]) -> Refusal | None:
    said = f"{case.nail.label} is not listed, and by strength it would take"
    less = f"; against the weakest listed nail {_say(weakest)}" if weakest != nailing else ""
    match nailing:
        case PerJoint(count, counted_by):
            most = max(_count(o.choice.nailing) for o in listed)
            more = MORE_IN_NARROW if case.face <= NARROW_FACE else MORE_IN_DEEP
            too_many = f"{count} nails each {counted_by}{less}; the row's most is {most}, and no more than {more} over it are put in a face of {label(case.face)} in"
            return Refusal("engineering_required_joint", f"{said} {too_many}") if count > most + more else None
        case Grouped(count, spacing):
            too_many = f"{count} nails in each {label(spacing)} in{less}; {MOST_IN_GROUP} are the most"
            return Refusal("engineering_required_joint", f"{said} {too_many}") if count > MOST_IN_GROUP else None
        case OnCenter(spacing):
            closest = spacing
        case Panel(edge, field):
            closest = min(edge, field)
    if closest >= LEAST_SPACING:
        return None
    return Refusal("engineering_required_joint", f"{said} a nail every {label(closest)} in{less}; closer than 3 in splits the wood")


def _say(nailing: Nailing) -> str:
    match nailing:
        case PerJoint(count) | Grouped(count, _):
            return f"{count}"
        case OnCenter(spacing):
            return f"{label(spacing)} in"
        case Panel(edge, field):
            return f"{label(edge)} in and {label(field)} in"
