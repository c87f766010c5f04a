"""A census of nails, wood and the design standard, counted on the printed pages, never on the tables themselves.

Sums guard a slip of any one cell. Sources are named beside the numbers; their keys are those of sources.csv.
"""

from collections import Counter
from math import pi

import pytest

from service.tables.book import open_book
from service.ticks import inches, ticks

BOOK = open_book()


# NDS Appendix L, Table L4 (ASTM F1667) and Table L6, AWC Design Aid 4 (2007), and trade sizes of gun nails:
# nails, sums of lengths, diameters, head diameters.
CATALOGUE = {
    "common": (11, 41.5, 1.946, 4.125),
    "box": (9, 30, 1.16, 2.953),
    "sinker": (10, 34.125, 1.527, 3.406),
    "power_driven": (14, 40.75, 1.799, 0),
    "power_driven_ring": (6, 14.875, 0.721, 0),
    "post_frame_ring": (24, 114, 4.336, 9.656),
    "roof_sheathing_ring": (5, 13.375, 0.615, 1.405),
}


@pytest.mark.parametrize("kind", CATALOGUE)
def test_the_catalogue_of_nails_adds_up(kind):
    nails = [n for n in BOOK.nails.values() if n.type == kind]
    sums = [sum(inches(x or 0) for x in column) for column in zip(*((n.length, n.diameter, n.head_diameter) for n in nails), strict=True)]
    assert (len(nails), *sums) == pytest.approx(CATALOGUE[kind], abs=1e-6)


def test_the_catalogue_has_79_nails_and_its_rings():
    """Design Aid 4: 24 hardened nails, root diameters 4.152 in in all, 13 with 3 in of rings and 11 with 2-1/4; RSRS about 1-1/2 in."""
    assert len(BOOK.nails) == 11 + 9 + 10 + 14 + 6 + 24 + 5
    assert sum(inches(n.root_diameter or 0) for n in BOOK.nails.values()) == pytest.approx(4.152)
    assert Counter(inches(n.ring_length) for n in BOOK.nails.values() if n.ring_length) == {3: 13, 2.25: 11, 1.5: 5}
    assert {n.type for n in BOOK.nails.values() if n.hardened} == {"post_frame_ring"}
    assert sum(n.hardened for n in BOOK.nails.values()) == 24
    # lengths and shanks: 24 of the design aid, 9 printed beside a pennyweight or seen, 2 gun nails; 7 more shanks
    assert Counter(n.confidence for n in BOOK.nails.values()) == {"verified": 24 + 9 + 2, "memory": 79 - 35}


@pytest.mark.parametrize("nail_id", [n for n in BOOK.nails if n.rsplit("-", 1)[1][0].isdigit() and "x" in n])
def test_a_nail_named_by_its_size_has_it(nail_id):
    """The name is `<shank>-<length>x<diameter>`."""
    length, diameter = nail_id.rsplit("-", 1)[1].split("x")
    assert (BOOK.nails[nail_id].length, BOOK.nails[nail_id].diameter) == (ticks(length), ticks(diameter))


# NDS Table 12.3.3A: 50 groups; how many at each specific gravity.
GRAVITIES = {
    0.31: 1, 0.33: 1, 0.35: 2, 0.36: 7, 0.37: 1, 0.39: 2, 0.40: 1, 0.41: 5, 0.42: 2, 0.43: 5, 0.44: 2,
    0.46: 6, 0.47: 4, 0.49: 1, 0.50: 1, 0.51: 1, 0.55: 2, 0.58: 1, 0.67: 1, 0.68: 2, 0.71: 1, 0.73: 1,
}  # fmt: skip


def test_species_add_up():
    """Sum of gravities 22.62, of bearing strengths 199950 psi; four seen in two places, the rest from memory."""
    held = BOOK.species.values()
    assert Counter(s.specific_gravity for s in held) == GRAVITIES
    assert sum(GRAVITIES.values()) == len(held) == 50
    assert sum(s.specific_gravity for s in held) == pytest.approx(22.62)
    assert sum(s.dowel_bearing_psi for s in held) == 199950
    seen = {"douglas-fir-larch": 0.50, "hem-fir": 0.43, "southern-pine": 0.55, "spruce-pine-fir": 0.42}
    assert {s.species: s.specific_gravity for s in held if s.confidence == "verified"} == seen


@pytest.mark.parametrize("species", BOOK.species)
def test_bearing_strength_follows_from_gravity(species):
    """NDS 12.3.3: 16600 G^1.84 psi under 1/4 in, printed to the nearest 50."""
    row = BOOK.species[species]
    assert row.dowel_bearing_psi == round(16600 * row.specific_gravity**1.84 / 50) * 50


def test_side_members_are_as_printed():
    """NDS Table 12.3.3B, from memory; steel 61850 and 87000 psi (Table 12P, Appendix I, from memory); panels that hold a nail 0.40 (APA)."""
    held = sorted((m.kind, m.specific_gravity or 0, m.dowel_bearing_psi or 0) for m in BOOK.materials.values())
    panel = "wood_structural_panel"
    steel = [("steel", 0, 61850), ("steel", 0, 87000)]
    assert held == [*steel, (panel, 0.40, 0), (panel, 0.42, 3350), *[(panel, 0.50, 4650)] * 3]
    assert BOOK.materials["osb-all-grades"].specific_gravity == 0.50


# American Softwood Lumber Standard PS 20: dressed sizes; weights for lifting 1.3 and 2.0 lb/ft (from memory).
LUMBER = {"2x4": (3.5, 1.3), "2x6": (5.5, 2.0), "2x8": (7.25, None), "2x10": (9.25, None), "2x12": (11.25, None)}
FOUR_BY = {"4x6": (5.5, None), "4x8": (7.25, None), "4x10": (9.25, None), "4x12": (11.25, None)}


def test_lumber_is_as_dressed():
    held = {n: (inches(r.depth), r.weight_lb_per_ft) for n, r in BOOK.lumber.items()}
    assert held == LUMBER | FOUR_BY
    assert {n: inches(r.thickness) for n, r in BOOK.lumber.items()} == dict.fromkeys(LUMBER, 1.5) | dict.fromkeys(FOUR_BY, 3.5)
    assert all(f"{r.nominal_thickness_in}x{r.nominal_depth_in}" == n for n, r in BOOK.lumber.items())


# NDS Appendix I, Table I1: psi by shank, over and up to [in].
BENDING = [
    ("plain", 0, 0.142, 100000),
    ("plain", 0.142, 0.177, 90000),
    ("plain", 0.177, 0.236, 80000),
    ("plain", 0.236, 0.273, 70000),
    ("plain", 0.273, 0.344, 60000),
    ("plain", 0.344, 0.375, 45000),
    ("hardened", 0, 0.142, 130000),
    ("hardened", 0.142, 0.192, 115000),
    ("hardened", 0.192, 0.207, 100000),
]


@pytest.mark.parametrize("nds", BOOK.nds)
def test_bending_yields_are_as_printed(nds):
    assert [(b.kind, inches(b.over or 0), inches(b.to), b.psi) for b in BOOK.nds[nds].bending] == BENDING


# NDS chapters 11 and 12 (clauses of 2015); marks in nds_values.csv.
NDS_VALUES = {
    "bending_yield_least_diameter_plain_in": 0.099,
    "bending_yield_least_diameter_hardened_in": 0.120,
    "bearing_coefficient_psi": 16600,
    "bearing_exponent": 1.84,
    "bearing_rounding_psi": 50,
    "bearing_parallel_psi": 11200,
    "bearing_perpendicular_psi": 6100,
    "bearing_perpendicular_exponent": 1.45,
    "reduction_thin": 2.2,
    "reduction_thin_to_in": 0.17,
    "reduction_slope": 10,
    "reduction_offset": 0.5,
    "thick_from_in": 0.25,
    "reduction_thick_crush": 4,
    "reduction_thick_rotate": 3.6,
    "reduction_thick_bend": 3.2,
    "reduction_thick_grain": 0.25,
    "least_penetration_diameters": 6,
    "full_penetration_diameters": 10,
    "tip_diameters": 2,
    "withdrawal_plain": 1380,
    "withdrawal_plain_exponent": 2.5,
    "withdrawal_post_frame_ring": 1800,
    "withdrawal_ring_exponent": 2,
    "toe_nail_start": 3,
    "toe_nail_angle_deg": 30,
    "load_duration_most": 1.6,
    "load_duration_least": 0.9,
}
# Stainless, RSRS and pull-through came in 2018; the root diameter of rings went then.
FROM_2018 = {
    "withdrawal_stainless": 465,
    "withdrawal_stainless_exponent": 1.5,
    "withdrawal_roof_sheathing_ring": 1800,
    "pull_through_thin": 690,
    "pull_through_thick": 1725,
    "pull_through_thickness_heads": 2.5,
}
TO_2015 = {"ring_lateral_uses_root": 1}


@pytest.mark.parametrize(("nds", "more"), [("nds-2015", TO_2015), ("nds-2018", FROM_2018), ("nds-2024", FROM_2018)])
def test_the_constants_of_the_design_standard_are_as_printed(nds, more):
    assert {k: v.value for k, v in BOOK.nds[nds].values.items()} == {**NDS_VALUES, **more}


def test_pull_through_is_continuous_at_two_and_a_half_heads():
    """690 pi H G^2 t at t = 2.5 H is 1725 pi H^2 G^2."""
    nds = BOOK.nds["nds-2018"]
    assert nds["pull_through_thin"] * pi * nds["pull_through_thickness_heads"] == pytest.approx(nds["pull_through_thick"] * pi)


# NDS Table 11.3.3 and .4, 12.5.2 to .4: factor, condition, what it changes, value.
PLAIN, RING = "withdrawal", "withdrawal_post_frame_ring"
FACTORS = {
    ("end_grain", "end_nail", "lateral"): 0.67,
    ("toe_nail", "toe_nail", "lateral"): 0.83,
    ("toe_nail", "toe_nail", PLAIN): 0.67,
    ("toe_nail", "toe_nail", RING): 0.67,
    ("diaphragm", "diaphragm", "lateral"): 1.1,
    **{("wet_service", f"wet_{w}", "lateral"): 0.7 for w in ("at_fabrication", "in_service", "throughout")},
    **{("wet_service", f"wet_{w}", "head"): 0.7 for w in ("at_fabrication", "in_service", "throughout")},
    **{("wet_service", f"wet_{w}", RING): 1 for w in ("at_fabrication", "in_service", "throughout")},
    ("wet_service", "wet_at_fabrication", PLAIN): 0.25,
    ("wet_service", "wet_in_service", PLAIN): 0.25,
    ("wet_service", "wet_throughout", PLAIN): 1,
    **{("temperature", "dry over 100", x): 0.8 for x in ("lateral", PLAIN, RING, "head")},
    **{("temperature", "dry over 125", x): 0.7 for x in ("lateral", PLAIN, RING, "head")},
    **{("temperature", "wet over 100", x): 0.7 for x in ("lateral", PLAIN, RING, "head")},
    **{("temperature", "wet over 125", x): 0.5 for x in ("lateral", PLAIN, RING, "head")},
}


@pytest.mark.parametrize("nds", BOOK.nds)
def test_the_factors_of_the_design_standard_are_as_printed(nds):
    held = {(f.factor, f.condition, x): f.value for f in BOOK.nds[nds].factors for x in f.applies_to}
    assert held == FACTORS
