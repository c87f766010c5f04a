"""Lateral strength of one nail, mode by mode: the yield-limit model of dowel connections.

Each mode balances the bearing of the wood along the shank against the plastic moment of the nail. The general
equations of AWC TR-12 with a gap are used; with no gap they equal NDS Table 12.3.1A.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt


@dataclass(frozen=True, slots=True)
class Dowel:
    """One nail in its joint.

    Parameters
    ----------
    diameter : float
        Diameter that resists. [in]
    bending_yield : float
        Bending yield strength of the nail. [psi]
    main_bearing, side_bearing : float
        Dowel bearing strength of the holding (main) and of the side member. [psi]
    main_length, side_length : float
        Bearing lengths. [in]
    gap : float
        Between the members: air, foam, gypsum. [in]
    """

    diameter: float
    bending_yield: float
    main_bearing: float
    side_bearing: float
    main_length: float
    side_length: float
    gap: float = 0.0

    @property
    def q_main(self) -> float:
        """Bearing per length of shank in the main member [lb/in]."""
        return self.main_bearing * self.diameter

    @property
    def q_side(self) -> float:
        """Bearing per length of shank in the side member [lb/in]."""
        return self.side_bearing * self.diameter

    @property
    def moment(self) -> float:
        """Plastic moment of the shank, Fyb D^3 / 6 [lb in]."""
        return self.bending_yield * self.diameter**3 / 6


def mode_im(d: Dowel) -> float:
    """Yield load when the main member crushes along the whole shank [lb].

    References
    ----------
    NDS 2018 Table 12.3.1A, Eq. 12.3-1; double shear Eq. 12.3-7.
    """
    return d.q_main * d.main_length


def mode_is(d: Dowel) -> float:
    """Yield load when the side member crushes along the whole shank [lb].

    References
    ----------
    NDS 2018 Table 12.3.1A, Eq. 12.3-2; double shear, twice, Eq. 12.3-8.
    """
    return d.q_side * d.side_length


def mode_ii(d: Dowel) -> float:
    """Yield load when the straight nail turns in both members [lb].

    References
    ----------
    AWC TR-12 general dowel equations, mode II; NDS 2018 Table 12.3.1A, Eq. 12.3-3 when there is no gap.
    """
    a = 1 / (4 * d.q_side) + 1 / (4 * d.q_main)
    b = d.side_length / 2 + d.gap + d.main_length / 2
    return _root(a, b, d.q_side * d.side_length**2 / 4 + d.q_main * d.main_length**2 / 4)


def mode_iiim(d: Dowel) -> float:
    """Yield load when the nail bends in the side member and turns in the main one [lb].

    References
    ----------
    AWC TR-12 general dowel equations, mode IIIm; NDS 2018 Table 12.3.1A, Eq. 12.3-4 when there is no gap.
    """
    a = 1 / (2 * d.q_side) + 1 / (4 * d.q_main)
    return _root(a, d.gap + d.main_length / 2, d.moment + d.q_main * d.main_length**2 / 4)


def mode_iiis(d: Dowel) -> float:
    """Yield load when the nail turns in the side member and bends in the main one [lb].

    References
    ----------
    AWC TR-12 general dowel equations, mode IIIs; NDS 2018 Table 12.3.1A, Eq. 12.3-5 when there is no gap;
    double shear, twice, Eq. 12.3-9.
    """
    a = 1 / (4 * d.q_side) + 1 / (2 * d.q_main)
    return _root(a, d.side_length / 2 + d.gap, d.q_side * d.side_length**2 / 4 + d.moment)


def mode_iv(d: Dowel) -> float:
    """Yield load when the nail bends in both members [lb].

    References
    ----------
    AWC TR-12 general dowel equations, mode IV; NDS 2018 Table 12.3.1A, Eq. 12.3-6 when there is no gap;
    double shear, twice, Eq. 12.3-10.
    """
    a = 1 / (2 * d.q_side) + 1 / (2 * d.q_main)
    return _root(a, d.gap, 2 * d.moment)


def _root(a: float, b: float, c: float) -> float:
    """Return the positive root of a P^2 + b P - c = 0 in the form that loses no digits."""
    return 2 * c / (b + sqrt(b * b + 4 * a * c))


MODES: dict[str, Callable[[Dowel], float]] = {
    "Im": mode_im,
    "Is": mode_is,
    "II": mode_ii,
    "IIIm": mode_iiim,
    "IIIs": mode_iiis,
    "IV": mode_iv,
}
DOUBLE_SHEAR = {"Im": 1, "Is": 2, "IIIs": 2, "IV": 2}
"""How often a mode counts where the nail crosses two shear planes; the other two modes cannot form there."""


def yield_loads(d: Dowel, shear_planes: int = 1) -> dict[str, float]:
    """Return the yield load of every mode that can form, before the reduction term [lb].

    Parameters
    ----------
    shear_planes : int
        1 or 2. With 2 the main member stands between two like side members.
    """
    if shear_planes == 1:
        return {name: mode(d) for name, mode in MODES.items()}
    return {name: times * MODES[name](d) for name, times in DOUBLE_SHEAR.items()}
