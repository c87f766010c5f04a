"""The yield modes against mechanics that use no yield equation, and against the closed forms of the standard."""

from collections import Counter
from math import sqrt

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import lil_matrix

from service.domain.strength.yield_limit import MODES, Dowel, yield_loads

CELLS = 200
"""Cells in each member: halving them moves the limit load by less than the tolerance."""


def limit_load(d: Dowel, shear_planes: int) -> float:
    """Return the largest load that equilibrium and strength allow (lower bound theorem of plasticity).

    The nail is a beam with free ends. In each cell the wood pushes with at most its bearing strength, at every
    cell boundary the moment is at most the plastic moment. Maximizing the push of the side member (of the main
    member for two shear planes) is a linear program in the cell pressures; no mechanism is assumed.
    """
    members = [(d.side_length, d.q_side, 1), (d.gap, 0.0, 0), (d.main_length, d.q_main, -1)]
    if shear_planes == 2:
        members += [(d.gap, 0.0, 0), (d.side_length, d.q_side, 1)]
    cells = [(length / CELLS, q, sign) for length, q, sign in members if length > 0 for _ in range(CELLS)]
    n = len(cells)
    # unknowns: pressure p_i, then shear V_i and moment M_i after cell i
    rows = lil_matrix((2 * n + 2, 3 * n))
    for i, (h, _, _) in enumerate(cells):
        rows[2 * i, n + i] = 1
        rows[2 * i, i] = -h
        rows[2 * i + 1, 2 * n + i] = 1
        rows[2 * i + 1, i] = -h * h / 2
        if i:
            rows[2 * i, n + i - 1] = -1
            rows[2 * i + 1, 2 * n + i - 1] = -1
            rows[2 * i + 1, n + i - 1] = -h
    rows[2 * n, 2 * n - 1] = 1
    rows[2 * n + 1, 3 * n - 1] = 1
    pushed = 1 if shear_planes == 1 else -1
    gain = np.array([-h if sign == pushed else 0.0 for h, _, sign in cells] + [0.0] * (2 * n))
    scale = d.moment
    bounds = [(-q, q) for _, q, _ in cells] + [(None, None)] * n + [(-scale, scale)] * n
    found = linprog(gain, A_eq=rows.tocsr(), b_eq=np.zeros(2 * n + 2), bounds=bounds, method="highs")
    assert found.status == 0
    return float(-found.fun)


def random_dowel(random: np.random.Generator, with_gap: bool) -> Dowel:
    """Return a joint over the whole range of the trade and past it, so that every mode comes to govern."""
    diameter = random.uniform(0.09, 0.24)
    return Dowel(
        diameter,
        random.uniform(70_000, 130_000),
        random.uniform(2_000, 9_000),
        random.uniform(2_000, 9_000) if random.random() < 0.8 else 61_850,
        diameter * random.uniform(1.5, 16),
        diameter * random.uniform(0.3, 14),
        random.uniform(0.1, 1.5) if with_gap else 0.0,
    )


@pytest.mark.parametrize(("shear_planes", "with_gap", "cases"), [(1, False, 100), (1, True, 40), (2, False, 60)])
def test_the_least_mode_is_the_limit_load(shear_planes, with_gap, cases):
    """Limit analysis by linear programming; 200 cases in all, 0.1 percent."""
    random = np.random.default_rng(20261125 + shear_planes + 10 * with_gap)
    governing = Counter()
    for _ in range(cases):
        dowel = random_dowel(random, with_gap)
        loads = yield_loads(dowel, shear_planes)
        mode = min(loads, key=loads.get)
        governing[mode] += 1
        assert loads[mode] == pytest.approx(limit_load(dowel, shear_planes), rel=1e-3), (mode, dowel)
    if not with_gap:
        assert set(governing) == set(loads), f"modes that never governed: {set(loads) - set(governing)}"


def closed_forms(d: Dowel) -> dict[str, float]:
    """NDS 2018 Table 12.3.1A, single shear, times Rd (equations typed from memory; proven by the test above)."""
    re, rt = d.main_bearing / d.side_bearing, d.main_length / d.side_length
    fem, fes, fyb, dia, lm, ls = d.main_bearing, d.side_bearing, d.bending_yield, d.diameter, d.main_length, d.side_length
    k1 = (sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3) - re * (1 + rt)) / (1 + re)
    k2 = -1 + sqrt(2 * (1 + re) + 2 * fyb * (1 + 2 * re) * dia**2 / (3 * fem * lm**2))
    k3 = -1 + sqrt(2 * (1 + re) / re + 2 * fyb * (2 + re) * dia**2 / (3 * fem * ls**2))
    return {
        "Im": dia * lm * fem,
        "Is": dia * ls * fes,
        "II": k1 * dia * ls * fes,
        "IIIm": k2 * dia * lm * fem / (1 + 2 * re),
        "IIIs": k3 * dia * ls * fem / (2 + re),
        "IV": dia**2 * sqrt(2 * fem * fyb / (3 * (1 + re))),
    }


def test_without_a_gap_every_mode_is_the_closed_form_of_the_standard():
    random = np.random.default_rng(7)
    for _ in range(100):
        dowel = random_dowel(random, False)
        for mode, load in closed_forms(dowel).items():
            assert MODES[mode](dowel) == pytest.approx(load, rel=1e-9), mode


def test_a_gap_never_helps():
    random = np.random.default_rng(8)
    for _ in range(50):
        d = random_dowel(random, True)
        closed = Dowel(d.diameter, d.bending_yield, d.main_bearing, d.side_bearing, d.main_length, d.side_length)
        assert all(yield_loads(d)[m] <= yield_loads(closed)[m] for m in MODES)
