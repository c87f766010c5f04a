"""A census of the tables of unit shear, and the laws that tie their columns, rows and editions to each other."""

import shutil
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from service.errors import TableError
from service.tables.book import HERE, open_book
from service.tables.shear import LOADS, Sdpws, ShearPanelRow
from service.ticks import inches, ticks

BOOK = open_book()
OLD, NEW = BOOK.sdpws["sdpws-2015"], BOOK.sdpws["sdpws-2021"]
EDGES = (6, 4, 3, 2)


def rows(sdpws: Sdpws, load: str) -> list[ShearPanelRow]:
    return [r for r in sdpws.panels if load in r.loads]


# Sums down the columns of 6, 4, 3 and 2 in edges, added by hand from the page (SDPWS Table 4.3A, scan of 2008).
COLUMNS = {
    ("structural_1", "seismic"): (5, [2610, 3990, 5140, 6780]),
    ("structural_1", "wind"): (5, [3655, 5590, 7195, 9495]),
    ("sheathing", "seismic"): (7, [3500, 5180, 6710, 8710]),
    ("sheathing", "wind"): (7, [4900, 7255, 9390, 12195]),
}


@pytest.mark.parametrize(("grade", "load"), COLUMNS)
def test_columns_of_2015_add_up(grade: str, load: str) -> None:
    mine = [r for r in rows(OLD, load) if r.panel_grade == grade]
    assert (len(mine), [sum(r.nominal_plf[ticks(e)] for r in mine) for e in EDGES]) == COLUMNS[grade, load]
    assert all([inches(e) for e in r.nominal_plf] == list(EDGES) for r in mine)


# Allowable seismic values of the building code: IBC 2009 Table 2306.3. Structural I as read in a state's code text, the rest from
# memory. The standard's nominal seismic value is twice the allowable one.
ALLOWABLE = {
    ("structural_1", "5/16", "6d"): (200, 300, 390, 510),
    ("structural_1", "3/8", "8d"): (230, 360, 460, 610),
    ("structural_1", "7/16", "8d"): (255, 395, 505, 670),
    ("structural_1", "15/32", "8d"): (280, 430, 550, 730),
    ("structural_1", "15/32", "10d"): (340, 510, 665, 870),
    ("sheathing", "5/16", "6d"): (180, 270, 350, 450),
    ("sheathing", "3/8", "6d"): (200, 300, 390, 510),
    ("sheathing", "3/8", "8d"): (220, 320, 410, 530),
    ("sheathing", "7/16", "8d"): (240, 350, 450, 585),
    ("sheathing", "15/32", "8d"): (260, 380, 490, 640),
    ("sheathing", "15/32", "10d"): (310, 460, 600, 770),
    ("sheathing", "19/32", "10d"): (340, 510, 665, 870),
}


def thickness(fraction: str) -> int:
    top, bottom = fraction.split("/")
    return ticks(int(top) / int(bottom))


def test_seismic_values_are_twice_the_allowable_ones_of_the_building_code() -> None:
    held = {(r.panel_grade, r.thickness, r.nail_row): tuple(r.nominal_plf[ticks(e)] for e in EDGES) for r in rows(OLD, "seismic")}
    assert held == {(g, thickness(t), n): tuple(2 * v for v in values) for (g, t, n), values in ALLOWABLE.items()}


def test_wind_is_seismic_times_one_and_two_fifths_to_5_plf() -> None:
    """The rule by which the standard was built, as told by the association behind it: wind = 1.4 x seismic, to 5 plf."""
    wind, seismic = rows(OLD, "wind"), rows(OLD, "seismic")
    assert len(wind) == len(seismic) == 12
    for w, s in zip(wind, seismic, strict=True):
        assert (w.panel_grade, w.thickness, w.nail_row) == (s.panel_grade, s.thickness, s.nail_row)
        for edge in w.nominal_plf:
            assert w.nominal_plf[edge] == pytest.approx(1.4 * s.nominal_plf[edge], abs=2.5)
            assert w.nominal_plf[edge] % 5 == 0


def test_2021_holds_one_value_for_both_loads_from_memory() -> None:
    """Nominal values of 2021 are the wind values of 2015 (from memory): none of them is told as better known than that."""
    assert rows(NEW, "wind") == rows(NEW, "seismic") == list(NEW.panels)
    assert [r.nominal_plf for r in NEW.panels] == [r.nominal_plf for r in rows(OLD, "wind")]
    assert {r.confidence for r in NEW.panels} == {"memory"}
    assert {r.confidence for r in OLD.panels} == {"verified"}


@pytest.mark.parametrize("sdpws", [OLD, NEW], ids=lambda s: s.edition_id)
def test_closer_nails_thicker_panels_and_the_better_grade_are_never_weaker(sdpws: Sdpws) -> None:
    for row in sdpws.panels:
        values = [row.nominal_plf[ticks(e)] for e in EDGES]
        assert values == sorted(values)
        for other in sdpws.panels:
            alike = (row.loads, row.nail_row) == (other.loads, other.nail_row)
            no_worse = other.thickness >= row.thickness and (other.panel_grade, row.panel_grade) != ("sheathing", "structural_1")
            if alike and no_worse:
                assert all(other.nominal_plf[e] >= row.nominal_plf[e] for e in row.nominal_plf)


def test_design_values_of_the_editions() -> None:
    """2015, 4.3.3: 2.0 and 0.80 for both; 2021, 4.1.4: 2.0 and 0.80 wind, 2.8 and 0.50 seismic (all but the first from memory)."""
    held = {
        (s.edition_id, f.factor, load): f.value
        for s in (OLD, NEW)
        for f in s.factors
        for load in f.loads
        if f.factor != "hold_downs_inside"
    }
    assert held == {
        ("sdpws-2015", "asd_divisor", "wind"): 2.0,
        ("sdpws-2015", "asd_divisor", "seismic"): 2.0,
        ("sdpws-2015", "lrfd_factor", "wind"): 0.8,
        ("sdpws-2015", "lrfd_factor", "seismic"): 0.8,
        ("sdpws-2021", "asd_divisor", "wind"): 2.0,
        ("sdpws-2021", "asd_divisor", "seismic"): 2.8,
        ("sdpws-2021", "lrfd_factor", "wind"): 0.8,
        ("sdpws-2021", "lrfd_factor", "seismic"): 0.5,
    }
    (inside,) = [f for s in (OLD, NEW) for f in s.factors if f.factor == "hold_downs_inside"]
    assert (inside.editions, inside.nail_rows, inside.value) == (("sdpws-2021",), ("10d",), 0.92)


def test_allowable_seismic_values_of_both_editions_agree_to_the_rounding_of_the_page() -> None:
    """vs / 2.0 against v_n / 2.8: the page rounds v_n to 5 plf, so they lie within 2.5 / 2.8 plf."""
    for old, new in zip(rows(OLD, "seismic"), NEW.panels, strict=True):
        for edge in old.nominal_plf:
            assert new.nominal_plf[edge] / 2.8 == pytest.approx(old.nominal_plf[edge] / 2.0, abs=2.5 / 2.8)


def test_the_limit_of_wide_framing_parts_the_same_cells_in_both_editions() -> None:
    """700 plf on the seismic column of 2015 and 980 plf on the one column of 2021 are 350 plf allowable (from memory)."""
    assert (OLD.limits.framing_3x_nominal, NEW.limits.framing_3x_nominal) == (700, 980)
    for old, new in zip(rows(OLD, "seismic"), NEW.panels, strict=True):
        assert [v > 700 for v in old.nominal_plf.values()] == [v > 980 for v in new.nominal_plf.values()]


def test_nail_rows_are_those_of_the_column_heads() -> None:
    """SDPWS Table 4.3A (from memory): common and galvanized box nails 6d, 8d, 10d with 1-1/4, 1-3/8, 1-1/2 in penetration."""
    held = {
        r.nail_row: (inches(r.length), inches(r.diameter), inches(r.box_diameter), inches(r.min_penetration))
        for r in OLD.nail_rows.values()
    }
    assert held == {"6d": (2, 0.113, 0.099, 1.25), "8d": (2.5, 0.131, 0.113, 1.375), "10d": (3, 0.148, 0.128, 1.5)}
    assert {r.box_coatings for r in OLD.nail_rows.values()} == {("hot_dip_galvanized",)}


def test_slenderness_is_limited_and_reduced_as_the_standard_says() -> None:
    """2015 4.3.4, 2021 4.3.3: blocked 3.5 to 1 (answered by the association), unblocked 2 to 1, gypsum 2 and 1.5 (from memory)."""
    panel, board = "wood_structural_panel", "gypsum_wallboard"
    for sdpws in (OLD, NEW):
        assert {key: r.max_ratio for key, r in sdpws.aspects.items() if key[0] in (panel, board)} == {
            (panel, True): 3.5,
            (panel, False): 2.0,
            (board, True): 2.0,
            (board, False): 1.5,
        }
        reduced = sdpws.aspects[panel, True]
        assert (reduced.reduced_over, reduced.at_zero, reduced.slope) == (2.0, 1.25, 0.125)
        assert reduced.at_zero - reduced.slope * 2.0 == 1
        assert (reduced.limit_confidence, reduced.factor_confidence) == ("single_source", "memory")


def test_factors_without_blocking() -> None:
    """SDPWS Table 4.3.3.2 of 2015 (from memory): 6 in edges; 6 and 12 in in the field; studs 12, 16, 20, 24 in."""
    held = {inches(r.field): {inches(s): f for s, f in r.factor.items()} for r in OLD.unblocked}
    assert held == {6: {12: 1.0, 16: 0.8, 20: 0.6, 24: 0.5}, 12: {12: 0.8, 16: 0.6, 20: 0.5, 24: 0.4}}
    assert {inches(r.edge) for r in OLD.unblocked} == {6}


def test_gypsum_rows_add_up() -> None:
    """SDPWS Table 4.3C (from memory): 17 rows of wallboard, 3920 plf together; 4 of sheathing, 1100 plf."""
    assert Counter(r.material for r in OLD.gypsum) == {"gypsum_wallboard": 17, "gypsum_sheathing": 4}
    assert [sum(r.nominal_plf for r in OLD.gypsum if r.material == m) for m in ("gypsum_wallboard", "gypsum_sheathing")] == [3920, 1100]
    assert {r.confidence for r in OLD.gypsum} == {"memory"}
    assert ({r.loads for r in OLD.gypsum}, {r.loads for r in NEW.gypsum}) == ({LOADS}, {("wind",)})


@pytest.fixture
def root(tmp_path: Path) -> Path:
    ignored = shutil.ignore_patterns("__pycache__", "*.py")
    return Path(shutil.copytree(HERE, tmp_path / "tables", ignore=ignored))


def edit(root: Path, name: str, change: Callable[[str], str]) -> None:
    old = (root / name).read_text(encoding="utf-8")
    new = change(old)
    assert new != old
    (root / name).write_text(new, encoding="utf-8")


DAMAGE = [
    ("sdpws_limits.csv", "widest_stud_spacing,24,in", "widest_stud_spacing,24,plf", "widest_stud_spacing"),
    ("sdpws_limits.csv", "framing_3x_nominal,980,plf,sdpws-2021", "framing_3x_nominal,980,plf,sdpws-2012", "sdpws_editions.csv"),
    ("sdpws_factors.csv", "asd_divisor,sdpws-2021,seismic", "asd_divisor,sdpws-2021,wind", "stands twice"),
    ("sdpws_factors.csv", "asd_divisor,sdpws-2021,seismic", "hold_downs_inside,sdpws-2021,seismic", "one asd_divisor for seismic"),
    ("sdpws_aspect_ratios.csv", "sdpws-2021,gypsum_sheathing,false", "sdpws-2015,gypsum_sheathing,false", "stands twice"),
    ("sdpws_panels.csv", "460 720 920 1220,0.46875", "460 720 920 1220,0.5", "as thick as"),
    ("sdpws_panels.csv", "460 720 920 1220", "460 720 920", "each spacing has one number"),
    ("sdpws_nail_rows.csv", "8d,8d-common,2.5", "8d,8d-common,2.25", "another length"),
]


@pytest.mark.parametrize(("name", "right", "wrong", "said"), DAMAGE)
def test_a_slip_of_the_pen_stops_the_start(root: Path, name: str, right: str, wrong: str, said: str) -> None:
    edit(root, name, lambda text: text.replace(right, wrong, 1))
    with pytest.raises(TableError, match=name) as caught:
        open_book.__wrapped__(root, False)
    assert said in str(caught.value)
