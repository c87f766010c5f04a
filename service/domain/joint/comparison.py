"""What a nail on hand and the listed nails of a row are worth in one joint.

Every factor that both sides share cancels, so values are compared at the ten-year load, dry. The nail on hand
takes the smaller of the two values permitted for short penetration, a listed nail the larger.
"""

from dataclasses import dataclass, replace
from math import inf

from service.domain.joint.schedule import Choice, Selectors
from service.domain.nails.nail import Nail, from_row
from service.domain.site import Site
from service.domain.strength.reference import Joint, Lateral, lateral, next_bending_class, pull_through, reach, withdrawal
from service.said import say_fraction
from service.tables.book import Book
from service.tables.joints import ConnectionRow
from service.tables.schedule import OptionRow
from service.tables.standard import Nds
from service.tables.wood import SpeciesRow
from service.ticks import inches, label


@dataclass(frozen=True, slots=True)
class Case:
    """The nail on hand, the joint, and what the row lists there."""

    nail: Nail
    connection: ConnectionRow
    choices: tuple[Choice, ...]
    selectors: Selectors
    site: Site
    species: SpeciesRow
    face: int
    book: Book
    nds: Nds


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


def value(nail: Nail, case: Case, smaller: bool) -> Value | None:
    """Return what one nail is worth in the joint, None where the standard gives no lateral value.

    Parameters
    ----------
    smaller : bool
        Of the two values for short penetration take the smaller one, else the larger.
    """
    joint = joint_of(case, listed=not smaller)
    ways = [found for way in ("yield_equations", "ratio") if (found := lateral(nail, joint, case.nds, way))]
    if not ways:
        return None
    if smaller and (thicker := next_bending_class(nail, case.nds)):
        # softer steel lets the thinnest nail of the next class count for less: a thinner one never counts for more than that
        ways += [found for way in ("yield_equations", "ratio") if (found := lateral(thicker, joint, case.nds, way))]
    pick = (min if smaller else max)(ways, key=lambda w: w.value_lb)
    method, panel = joint.method, case.connection.panel
    out = withdrawal(nail, joint, case.nds)
    head = pull_through(nail, joint, case.nds) if panel else None
    return Value(
        nail,
        pick,
        pick.value_lb * shared_factor(case, "lateral"),
        out.value_lb * shared_factor(case, "withdrawal") if out else None,
        head.value_lb if head else None,
        reach(nail, joint, case.nds).penetration,
        panel or method == "toe_nail",
    )


def _gap(case: Case, listed: bool) -> int:
    """Return what lies between the pieces; ticks.

    A listed nail is not made weaker by a gap that its row does not know: the wall panel row judges penetration, so it
    takes foam as it comes; the header row is of a 1/2 in spacer, and other rows are of none.
    """
    gap = case.selectors.material_between
    return case.connection.known_gap(gap) if listed else gap


def joint_of(case: Case, listed: bool = False) -> Joint:
    """Return the joint as the nail on hand meets it, or as a listed nail does."""
    c, gravity = case.connection, case.species.specific_gravity
    if c.panel:
        side = case.book.panel_side
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


def shared_factor(case: Case, applies_to: str) -> float:
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
        nail = printed_nail(choice.option, case.book)
        if isinstance(nail, str):
            left_out.append(nail)
            continue
        theirs = value(nail, case, smaller=False)
        if theirs and choice.option.min_penetration and theirs.penetration < choice.option.min_penetration:
            left_out.append(f"{nail.label}: reaches less here than the {say_fraction(choice.option.min_penetration)} of its row")
        elif theirs is None:
            left_out.append(f"{nail.label}: the standard gives no value")
        elif listed and type(choice.nailing) is not type(listed[0].choice.nailing):
            left_out.append(f"{nail.label}: counted another way")
        else:
            axial = own.axial_lb / theirs.axial_lb if own.axial_lb is not None and theirs.axial_lb else None
            listed.append(Against(choice, theirs, own.lateral_lb / theirs.lateral_lb, axial))
    return listed, tuple(dict.fromkeys(left_out))


def printed_nail(option: OptionRow, book: Book) -> Nail | str:
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
