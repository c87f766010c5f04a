"""Reference values of one nail in one joint: lateral, withdrawal, head pull-through; no factors yet.

Lengths are ticks, fractions of a tick where an angle brings them; strengths are psi and lb. Clauses are those
of the 2015 and 2018 editions of the design standard, typed from memory unless the tables say otherwise.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import cos, pi, radians, sin, sqrt

from service.domain.nails.nail import Nail
from service.domain.strength.yield_limit import Dowel, yield_loads
from service.tables.standard import Nds
from service.ticks import PER_IN

PANEL = "wood_structural_panel"


@dataclass(frozen=True, slots=True)
class Joint:
    """What the nail goes through and into; lengths in ticks, `main_thickness` None where deeper than any nail.

    `side_psi` is the dowel bearing strength of a side member that has one of its own (panels, steel);
    None for lumber. `confidence` is that of the materials.
    """

    method: str
    main_gravity: float
    side_gravity: float | None
    side_thickness: int
    main_thickness: int | None = None
    side_kind: str = "wood"
    side_psi: float | None = None
    gap: int = 0
    shear_planes: int = 1
    confidence: str = "memory"


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a nail bears and holds, in ticks: side bearing, penetration, its cap, and shank that resists withdrawal.

    `unbounded` is the penetration were the holding member endless.
    """

    side: float
    penetration: float
    unbounded: float
    withdrawal: float


@dataclass(frozen=True, slots=True)
class Lateral:
    """The lateral value of one nail, mode by mode [lb] [psi]; `reduction` is Rd of the governing mode."""

    modes_lb: dict[str, float]
    mode: str
    reduction: float
    side_length_in: float
    main_length_in: float
    bending_yield_psi: float
    main_bearing_psi: float
    side_bearing_psi: float
    short_method: str | None
    confidence: str

    @property
    def value_lb(self) -> float:
        """The governing value [lb]."""
        return self.modes_lb[self.mode]


@dataclass(frozen=True, slots=True)
class Axial:
    """Withdrawal per inch and the inches that count; `kind` is plain, stainless or ring."""

    kind: str
    lb_per_in: float
    length_in: float
    confidence: str

    @property
    def value_lb(self) -> float:
        """The withdrawal value [lb]."""
        return self.lb_per_in * self.length_in


@dataclass(frozen=True, slots=True)
class Head:
    """The pull-through value of a head [lb]."""

    value_lb: float
    confidence: str


def reach(nail: Nail, joint: Joint, nds: Nds) -> Reach:
    """Return how far the nail goes.

    Toe-nail, started L/3 up the piece at 30 degrees: side L/3, penetration L cos 30 - L/3, holding shank
    L - (L/3) / cos 30; the wood that is there caps the last two.

    References
    ----------
    NDS 12.1.6.3, 12.3.5, 12.5.4.
    """
    if joint.method == "toe_nail":
        start, down = nail.length / nds["toe_nail_start"], cos(radians(nds["toe_nail_angle_deg"]))
        deep, shank = toe_nail_depth(nail, nds), nail.length - start / down
        cap = joint.main_thickness
        return Reach(start, min(deep, cap or deep), deep, min(shank, cap / down if cap else shank))
    deep = nail.length - joint.side_thickness - joint.gap
    held = min(deep, joint.main_thickness or deep)
    if joint.shear_planes == 1:
        return Reach(joint.side_thickness, max(held, 0), deep, max(held, 0))
    far = max(deep - held - joint.gap, 0)
    return Reach(joint.side_thickness, min(far, joint.side_thickness), far, min(far, joint.side_thickness))


def toe_nail_depth(nail: Nail, nds: Nds) -> float:
    """Return how deep a toe-nail's point goes below the face of the piece that holds it, L cos 30 - L/3; ticks.

    References
    ----------
    NDS 12.5.4 and commentary figure, from memory.
    """
    return nail.length * cos(radians(nds["toe_nail_angle_deg"])) - nail.length / nds["toe_nail_start"]


def least_penetration(nail: Nail, nds: Nds) -> float:
    """Return the penetration under which a nail has no value, 6 diameters; ticks.

    References
    ----------
    NDS 12.1.6.4.
    """
    return nds["least_penetration_diameters"] * nail.diameter


def bending_yield(nail: Nail, diameter: float, nds: Nds) -> tuple[float, str] | None:
    """Return the bending yield strength [psi] and its confidence, None where the standard prints none.

    Carbon steel only; hardened values only for nails made and marked so.

    References
    ----------
    NDS Appendix I, Table I1.
    """
    kind = "hardened" if nail.hardened else "plain"
    if not nail.carbon_steel or diameter < nds[f"bending_yield_least_diameter_{kind}_in"] * PER_IN:
        return None
    return next(((r.psi, r.confidence) for r in nds.bending if r.kind == kind and r.over < diameter <= r.to), None)


def next_bending_class(nail: Nail, nds: Nds) -> Nail | None:
    """Return the thinnest nail of the next, softer class of bending yield; None for threaded nails, and past the last class.

    References
    ----------
    NDS Appendix I, Table I1.
    """
    kind = "hardened" if nail.hardened else "plain"
    own = next((r for r in nds.bending if r.kind == kind and r.over < nail.diameter <= r.to), None)
    softer = own and any(r.kind == kind and r.over == own.to for r in nds.bending)
    return replace(nail, diameter=own.to + 1) if own and softer and nail.root_diameter is None else None


def wood_bearing(gravity: float, diameter: float, nds: Nds, angle_deg: float = 90) -> float:
    """Return the dowel bearing strength of wood, rounded as printed [psi].

    Parameters
    ----------
    gravity : float
        Specific gravity, oven-dry. [-]
    diameter : float
        Ticks. Under 1/4 in the direction of the load does not matter.
    angle_deg : float
        Of the load to the grain, for 1/4 in and more; 90, the weakest, when nothing is known.

    References
    ----------
    NDS 12.3.3, Table 12.3.3; Hankinson between the directions, 12.3.4.
    """
    if diameter < nds["thick_from_in"] * PER_IN:
        psi = nds["bearing_coefficient_psi"] * gravity ** nds["bearing_exponent"]
    else:
        along = nds["bearing_parallel_psi"] * gravity
        across = nds["bearing_perpendicular_psi"] * gravity ** nds["bearing_perpendicular_exponent"] / sqrt(diameter / PER_IN)
        s, c = sin(radians(angle_deg)) ** 2, cos(radians(angle_deg)) ** 2
        psi = along * across / (along * s + across * c)
    step = nds["bearing_rounding_psi"]
    return float(round(psi / step) * step)


def reduction(mode: str, diameter: float, nds: Nds, angle_deg: float = 90) -> float:
    """Return the reduction term Rd of a mode; `diameter` in ticks [-].

    References
    ----------
    NDS Table 12.3.1B.
    """
    d = diameter / PER_IN
    if d <= nds["reduction_thin_to_in"]:
        return nds["reduction_thin"]
    if d < nds["thick_from_in"]:
        return nds["reduction_slope"] * d + nds["reduction_offset"]
    kind = {"Im": "crush", "Is": "crush", "II": "rotate"}.get(mode, "bend")
    return nds[f"reduction_thick_{kind}"] * (1 + nds["reduction_thick_grain"] * angle_deg / 90)


def bearing_length(nail: Nail, penetration: float, unbounded: float, nds: Nds) -> float | None:
    """Return the bearing length in the member that holds the point, None under 6 diameters; ticks.

    The tip counts from 10 diameters on, or as far as it has come out of the member.

    References
    ----------
    NDS 12.1.6.4, 12.3.5.3.
    """
    if penetration < least_penetration(nail, nds):
        return None
    if penetration >= nds["full_penetration_diameters"] * nail.diameter:
        return penetration
    return min(penetration, unbounded - nds["tip_diameters"] * nail.diameter)


@lru_cache(maxsize=512)
def lateral(nail: Nail, joint: Joint, nds: Nds, short_method: str = "yield_equations") -> Lateral | None:
    """Return the reference lateral value, None where the standard gives none.

    Parameters
    ----------
    short_method : str
        Between 6 and 10 diameters of penetration: `yield_equations` with the shorter bearing length, or
        `ratio`, the value at 10 diameters times p / 10 D.

    Notes
    -----
    Kept, as the listed nails of a row are valued again for every nail that is compared with them.

    References
    ----------
    NDS 12.3.1, 12.3.5.3; gap: AWC TR-12.
    """
    d = lateral_diameter(nail, nds)
    if d is None:
        return None
    far = reach(nail, joint, nds)
    point = bearing_length(nail, far.penetration, far.unbounded, nds)
    steel = bending_yield(nail, d, nds)
    if point is None or steel is None:
        return None
    full = nds["full_penetration_diameters"] * nail.diameter
    short = far.penetration < full
    ratio = far.penetration / full if short and short_method == "ratio" else 1.0
    if ratio < 1:
        point = full
    main_psi = wood_bearing(joint.main_gravity, d, nds)
    side_psi = joint.side_psi if joint.side_psi is not None else wood_bearing(joint.side_gravity or 0, d, nds)
    main_length, side_length = (point, far.side)
    if joint.shear_planes == 2:
        main_length, side_length = (joint.main_thickness or 0, min(far.side, point))
    dowel = Dowel(d / PER_IN, steel[0], main_psi, side_psi, main_length / PER_IN, side_length / PER_IN, joint.gap / PER_IN)
    modes = {m: ratio * lb / reduction(m, d, nds) for m, lb in yield_loads(dowel, joint.shear_planes).items()}
    mode = min(modes, key=lambda m: modes[m])
    return Lateral(
        modes,
        mode,
        reduction(mode, d, nds),
        dowel.side_length,
        dowel.main_length,
        steel[0],
        main_psi,
        side_psi,
        short_method if short else None,
        nds.least(steel[1], joint.confidence),
    )


def lateral_diameter(nail: Nail, nds: Nds) -> int | None:
    """Return the diameter that resists laterally, in ticks: the root of a ring shank before 2018, else the shank.

    None where that root is not known.

    References
    ----------
    AWC summary of the 2018 changes.
    """
    return nail.root_diameter if "ring_lateral_uses_root" in nds.values and nail.shank == "ring" else nail.diameter


def withdrawal(nail: Nail, joint: Joint, nds: Nds) -> Axial | None:
    """Return the reference withdrawal value, None where the standard gives none.

    End grain holds nothing; through three members it is not given. Rings count only on nails made and marked as
    roof sheathing or post-frame ring shank, over their ring length, and in panels only under a head that is known
    to hold; other deformed shanks count as plain.

    References
    ----------
    NDS 12.2.3, 12.5.2.
    """
    if joint.method == "end_nail" or joint.shear_planes == 2 or not nail.carbon_steel and nail.coating != "stainless":
        return None
    far = reach(nail, joint, nds)
    if far.penetration < least_penetration(nail, nds):
        return None
    kind, length = _shank(nail, joint, nds), far.withdrawal
    if kind.endswith("ring"):
        length = min(length, nail.ring_length or 0)
    row = nds.values.get(f"withdrawal_{kind}")
    if row is None:
        return None
    exponent = nds["withdrawal_ring_exponent" if kind.endswith("ring") else f"withdrawal_{kind}_exponent"]
    per_in = row.value * joint.main_gravity**exponent * nail.diameter / PER_IN
    return Axial(kind, per_in, length / PER_IN, nds.least(row.confidence))


def _shank(nail: Nail, joint: Joint, nds: Nds) -> str:
    """Say whose withdrawal equation a nail takes."""
    if nail.coating == "stainless":
        return "stainless"
    ring = {"rsrs": "roof_sheathing_ring", "post_frame": "post_frame_ring"}.get(nail.kind, "plain")
    held = joint.side_kind != PANEL or nail.head_known
    return ring if held and nail.ring_length and f"withdrawal_{ring}" in nds.values else "plain"


def pull_through(nail: Nail, joint: Joint, nds: Nds) -> Head | None:
    """Return the reference head pull-through value, None where the standard gives none.

    Round heads of known diameter in face-nailed wood or panels; first printed in 2018.

    References
    ----------
    NDS 2018 12.2.5.
    """
    if joint.method != "face_nail" or joint.side_gravity is None or "pull_through_thin" not in nds.values:
        return None
    if nail.head_diameter is None or not nail.head_known:
        return None
    head, thick = nail.head_diameter / PER_IN, joint.side_thickness / PER_IN
    thin = thick <= nds["pull_through_thickness_heads"] * head
    row = nds.values["pull_through_thin" if thin else "pull_through_thick"]
    known = nds.least(row.confidence, *([nail.head_confidence] if nail.head_confidence else []))
    return Head(row.value * pi * head * joint.side_gravity**2 * (thick if thin else head), known)
