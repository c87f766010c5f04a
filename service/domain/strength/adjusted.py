"""One nail judged by engineering: reference values, every factor, adjusted values. Allowable stress design."""

from dataclasses import dataclass, replace
from math import cos, prod, radians, sin

from service.domain.nails.nail import Nail
from service.domain.strength.reference import (
    PANEL,
    Axial,
    Head,
    Joint,
    Lateral,
    lateral,
    least_penetration,
    pull_through,
    reach,
    withdrawal,
)
from service.said import say_fraction, say_length
from service.tables.standard import Nds
from service.ticks import PER_IN

WET_IN_SERVICE = ("wet_in_service", "wet_throughout")


@dataclass(frozen=True, slots=True)
class Service:
    """How the joint is loaded and what air it stands in."""

    load_duration: float = 1.0
    moisture: str = "dry"
    temperature_f: float = 70
    diaphragm: bool = False
    nail_count: int = 1
    load_angle_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor on one of the reference values."""

    name: str
    applies_to: str
    value: float
    because: str
    clause: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Strength:
    """All values of one nail; None where the standard gives none, and `notes` says why."""

    nail: Nail
    joint: Joint
    service: Service
    nds: Nds
    penetration_in: float
    lateral: Lateral | None
    axial: Axial | None
    head: Head | None
    factors: tuple[Factor, ...]
    adjusted_lateral_lb: float | None
    adjusted_withdrawal_lb: float | None
    adjusted_head_lb: float | None
    combined_lb: float | None
    stop: tuple[str, str] | None
    notes: tuple[str, ...]

    @property
    def penetration_diameters(self) -> float:
        """Penetration in shank diameters."""
        return self.penetration_in * PER_IN / self.nail.diameter

    @property
    def confidence(self) -> str:
        """The weakest confidence of all that went in."""
        parts = [x.confidence for x in (self.lateral, self.axial, self.head) if x] + [self.nail.confidence or "verified"]
        return self.nds.least("verified", *parts, *(f.confidence for f in self.factors))


def evaluate(nail: Nail, joint: Joint, service: Service, nds: Nds, short_method: str = "yield_equations") -> Strength:
    """Return every value of one nail, and of a group of like nails, with its factors.

    Returns
    -------
    Strength
        Reference values are of one nail; adjusted and combined ones are of the group. [lb]

    References
    ----------
    NDS 11.3.1 (Table 11.3.1), 12.2, 12.3, 12.4, 12.5.
    """
    far = reach(nail, joint, nds)
    side = lateral(nail, joint, nds, short_method)
    out = withdrawal(nail, joint, nds)
    short = far.penetration < least_penetration(nail, nds)
    head = None if short else pull_through(nail, joint, nds)
    thick = nail.diameter >= nds["thick_from_in"] * PER_IN
    factors = (
        *(_factors(joint, service, nds, "lateral") if side else ()),
        *(_factors(joint, service, nds, "withdrawal", out.kind) if out else ()),
        *(_factors(joint, service, nds, "head") if head else ()),
    )
    unheld = thick and (service.moisture != "dry" or service.nail_count > 1 or joint.method == "end_nail")
    strength = Strength(
        nail=nail,
        joint=joint,
        service=service,
        nds=nds,
        penetration_in=far.penetration / PER_IN,
        lateral=side,
        axial=out,
        head=head,
        factors=factors,
        adjusted_lateral_lb=None if unheld else _adjusted(side.value_lb if side else None, factors, "lateral"),
        adjusted_withdrawal_lb=None if unheld else _adjusted(out.value_lb if out else None, factors, "withdrawal"),
        adjusted_head_lb=None if unheld else _adjusted(head.value_lb if head else None, factors, "head"),
        combined_lb=None,
        stop=_stop(nail, far.penetration, side, unheld, nds),
        notes=tuple(_notes(nail, joint, nds, side, out, service.moisture, short, unheld)),
    )
    return replace(strength, combined_lb=_combined(strength))


def _factors(joint: Joint, service: Service, nds: Nds, kind: str, shank: str = "") -> list[Factor]:
    column = "withdrawal_post_frame_ring" if shank == "post_frame_ring" else kind
    where = "wet" if service.moisture in WET_IN_SERVICE else "dry"
    hot = "over 125" if service.temperature_f > 125 else "over 100" if service.temperature_f > 100 else ""
    true_here = {joint.method, service.moisture, f"{where} {hot}", "diaphragm" if service.diaphragm else ""}
    if kind == "withdrawal" and joint.method == "toe_nail":
        true_here.discard(service.moisture)  # the wet service factor is not for toe-nails in withdrawal (12.5.4)
    known = nds.values["load_duration_most" if service.load_duration == nds["load_duration_most"] else "load_duration_least"]
    because = f"load_duration_factor is {service.load_duration:g}"
    loaded = [Factor("load_duration", kind, service.load_duration, because, known.clause, nds.least(known.confidence))]
    rows = [
        Factor(r.factor, kind, r.value, r.because, r.clause, nds.least(r.confidence))
        for r in nds.factors
        if r.condition in true_here and column in r.applies_to
    ]
    group = [Factor("nail_group_count", kind, service.nail_count, f"{service.nail_count} like nails", "11.3.6", nds.least("memory"))]
    return [*(loaded if service.load_duration != 1 else []), *rows, *(group if service.nail_count > 1 else [])]


def _adjusted(reference: float | None, factors: tuple[Factor, ...], kind: str) -> float | None:
    return None if reference is None else reference * prod(f.value for f in factors if f.applies_to == kind)


def _combined(s: Strength) -> float | None:
    """Return the resistance to a load at an angle to the wood surface, by the straight line of nails.

    References
    ----------
    NDS 12.4: Za' = (W'p) Z' / (W'p cos a + Z' sin a); from 2018 head pull-through stands in where it is less.
    """
    if s.service.load_angle_deg is None or s.adjusted_lateral_lb is None or s.adjusted_withdrawal_lb is None:
        return None
    if s.service.load_angle_deg > 0 and _head_missing(s.nail, s.joint, s.nds):
        return None
    hold = min(s.adjusted_withdrawal_lb, s.adjusted_head_lb if s.adjusted_head_lb is not None else s.adjusted_withdrawal_lb)
    a = radians(s.service.load_angle_deg)
    return hold * s.adjusted_lateral_lb / (hold * cos(a) + s.adjusted_lateral_lb * sin(a))


def _head_matters(joint: Joint, nds: Nds) -> bool:
    """Whether this edition limits the pull by the head: wood or panels, nailed through the face."""
    return joint.method == "face_nail" and joint.side_gravity is not None and "pull_through_thin" in nds.values


def _head_missing(nail: Nail, joint: Joint, nds: Nds) -> bool:
    """Whether what holds the head is not known: in panels in every edition, since old ones lack the check and not the failure."""
    return not nail.head_known and (_head_matters(joint, nds) or joint.side_kind == PANEL)


def _no_lateral(nail: Nail, nds: Nds) -> str:
    """Say why there is no lateral value though the nail is deep enough."""
    if not nail.carbon_steel:
        return f"no lateral value: the standard prints no bending yield strength for {nail.coating.replace('_', ' ')} nails"
    if nail.shank == "ring" and "ring_lateral_uses_root" in nds.values and nail.root_diameter is None:
        return "no lateral value: this edition takes the root diameter of ring shanks, which is not known for this nail"
    return f"no lateral value: the standard prints no bending yield strength for a {say_length(nail.diameter)} shank"


def _stop(nail: Nail, penetration: float, side: Lateral | None, unheld: bool, nds: Nds) -> tuple[str, str] | None:
    if penetration >= least_penetration(nail, nds):
        if side is None:
            return "engineering_required_joint", f"{nail.label}: {_no_lateral(nail, nds)}"
        return ("value_not_held", _unheld(nail, nds)) if unheld else None
    return (
        "penetration_short",
        f"the point reaches {say_length(round(penetration), form='3')} into the holding piece, {penetration / nail.diameter:.3g} diameters; {nds['least_penetration_diameters']:g} are needed ({say_length(round(least_penetration(nail, nds)), form='3')})",
    )


def _notes(
    nail: Nail, joint: Joint, nds: Nds, side: Lateral | None, out: Axial | None, moisture: str, short: bool, unheld: bool
) -> list[str]:
    notes = []
    if side and joint.shear_planes == 2:
        notes.append("two shear planes: the lateral value is of both planes together; withdrawal is not given through three members")
    if side is None and not short:
        notes.append(_no_lateral(nail, nds))
    if out is None and not nail.carbon_steel and nail.coating != "stainless":
        notes.append(f"no withdrawal value: the standard has no equation for {nail.coating.replace('_', ' ')} nails")
    if out is None and nail.coating == "stainless" and "withdrawal_stainless" not in nds.values:
        notes.append("no withdrawal value: this edition has no equation for stainless nails, and the carbon steel one is too high for them")
    if out and nail.shank != "smooth" and out.kind == "plain":
        notes.append("the deformed shank is counted as plain in withdrawal")
    if _head_missing(nail, joint, nds):
        notes.append("no head pull-through value, so no combined value for a slanted load: it needs a full round head and head_diameter_in")
    if joint.method == "face_nail" and joint.side_gravity is not None and not _head_matters(joint, nds):
        notes.append("this edition has no head pull-through check: heads can still pull through panels")
    if out and joint.method == "toe_nail" and moisture != "dry":
        notes.append("the wet service factor is not for toe-nails in withdrawal (12.5.4)")
    if joint.method == "toe_nail" and joint.side_thickness:
        notes.append("the thickness nailed through is not used: a toe-nail bears over a third of its length")
    if unheld:
        notes.append(_unheld(nail, nds))
    return notes


def _unheld(nail: Nail, nds: Nds) -> str:
    thick = round(nds["thick_from_in"] * PER_IN)
    return f"no adjusted values: wet service, group and end grain factors of shanks of {say_fraction(thick)} and more ({say_fraction(nail.diameter)} here) are not held"
