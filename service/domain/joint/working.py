"""The working of a calculated number in words: the division behind it, and where each value that went in is printed."""

from typing import NamedTuple

from service.domain.joint.comparison import Against
from service.domain.joint.sizing import round_down, round_up
from service.domain.joint.substitute import Substitute
from service.said import say_fraction, say_length
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.tables.standard import FactorRow, Nds

COMPARED = (
    "one nail beside the other, dry and at the ten-year load: moisture, temperature and load duration act on both alike and cancel. "
    "lateral_lb holds the lateral_factor; nail-strengths shows every mode, before that factor as lateral_lb and after it as adjusted_lateral_lb"
)
CONSTANTS = {
    "penetration": ("least_penetration_diameters", "full_penetration_diameters", "tip_diameters"),
    "toe_nail": ("toe_nail_start", "toe_nail_angle_deg"),
    "reduction": ("reduction_thin", "reduction_thin_to_in", "reduction_slope", "reduction_offset"),
    "bearing": ("bearing_coefficient_psi", "bearing_exponent"),
    "withdrawal": ("withdrawal_plain", "withdrawal_plain_exponent", "withdrawal_post_frame_ring", "withdrawal_roof_sheathing_ring"),
    "pull_through": ("pull_through_thin", "pull_through_thick", "pull_through_thickness_heads"),
}
"""Constants of the standard behind a kind of value; those that an edition lacks are left out."""


class Option(NamedTuple):
    """A listed option beside the nail on hand, and the number that reaches it."""

    against: Against
    nailing: Nailing
    step: int

    @property
    def basis(self) -> str:
        """The division that gives the number, its rounding, and whether the row itself asks for more."""
        a = self.against
        ratio = f"{a.ratio:.4f}"
        match a.choice.nailing, self.nailing:
            case PerJoint(theirs), PerJoint(count):
                return _say_count(f"{theirs} / {ratio}", theirs / a.ratio, count)
            case Grouped(theirs, spacing), Grouped(count, _):
                return _say_count(f"in each {say_fraction(spacing)}: {theirs} / {ratio}", theirs / a.ratio, count)
            case OnCenter(theirs), OnCenter(spacing):
                return _say_spacing(theirs, a.ratio, spacing, self.step)
            case Panel(edge, field), Panel(e, f):
                return f"{_say_spacing(edge, a.ratio, e, self.step)}; {_say_spacing(field, a.ratio, f, self.step)}"
        return ""


def strongest_option(found: Substitute) -> Option:
    """Return the listed option that takes most to reach."""
    return Option(found.strongest, found.strongest_nailing, found.step)


def weakest_option(found: Substitute) -> Option:
    """Return the listed option that takes least to reach."""
    return Option(found.weakest, found.weakest_nailing, found.step)


class Printed(NamedTuple):
    """Where values of a kind are printed in the design standard, and how well that reading is known."""

    clause: str
    confidence: str


def printed(kind: str, nds: Nds) -> Printed:
    """Return where the constants of a kind of value stand, as well known as the weakest of them."""
    rows = [nds.values[key] for key in CONSTANTS[kind] if key in nds.values]
    return Printed(", ".join(dict.fromkeys(r.clause for r in rows)), nds.least(*(r.confidence for r in rows)))


def printed_bending(psis: tuple[float, ...], nds: Nds) -> Printed:
    """Return where some bending yield strengths [psi] stand."""
    rows = [r for r in nds.bending if r.psi in psis]
    return Printed(", ".join(dict.fromkeys(r.clause for r in rows)), nds.least(*(r.confidence for r in rows)))


def factors_of(method: str, found: Substitute) -> tuple[FactorRow, ...]:
    """Return the factors that the way of nailing brings: of end grain, of toe-nails; none of face nails."""
    ring = any(v.nail.kind == "post_frame" for v in (found.own, found.strongest.value, found.weakest.value))
    return tuple(f for f in found.nds.factors if f.condition == method and (ring or f.applies_to != ("withdrawal_post_frame_ring",)))


def _say_count(division: str, needed: float, count: int) -> str:
    held = "" if round_up(needed) == count else "; the row holds it there"
    return f"{division} = {needed:.2f}, up to {count}{held}"


def _say_spacing(theirs: int, ratio: float, spacing: int, step: int) -> str:
    held = "" if round_down(theirs * ratio, step) == spacing else "; the row holds it there"
    return f"{say_fraction(theirs)} x {ratio:.4f} = {say_length(round(theirs * ratio), form='2')}, down to {say_fraction(spacing)}{held}"
