"""Jacks and kings left out of a request: cells of the header and king tables, and what is common where no table is held."""

from collections import Counter

import pytest

from service.domain.site import Site
from service.domain.wall.headers import Carried, jack_count, king_count
from service.domain.wall.plan import plan_wall
from service.domain.wall.wall import Header
from service.said import plain
from service.schemas.asks.wall import read_wall
from service.tables.book import open_book
from service.ticks import ticks

BOOK = open_book()
HEADERS = BOOK.editions["irc-2021"].headers


def carried(width, plies=2, nominal="2x8", **more):
    kept = {
        "exterior": True,
        "supports": "roof_only",
        "stud_spacing": ticks(16),
        "building_width_ft": None,
        "ground_snow_load_psf": None,
    }
    return Carried(width=ticks(width), header=Header(plies, nominal), **{**kept, **more})


# IRC 2021 Table R602.7(1), exterior bearing, roof and ceiling, No. 2 DF-L, HF, SP, SPF: span [ft-in] and jacks each end, typed by hand.
CELLS = [
    # plies, nominal, snow [psf], building width [ft], span [in], jacks
    pytest.param(1, "2x6", 30, 12, 48, 1, id="1-2x6 30/12: 4-0, 1"),
    pytest.param(1, "2x6", 30, 36, 31, 2, id="1-2x6 30/36: 2-7, 2"),
    pytest.param(1, "2x8", 70, 36, 30, 3, id="1-2x8 70/36: 2-6, 3"),
    pytest.param(1, "2x10", 50, 36, 40, 3, id="1-2x10 50/36: 3-4, 3"),
    pytest.param(1, "2x12", 30, 24, 65, 2, id="1-2x12 30/24: 5-5, 2"),
    pytest.param(2, "2x4", 50, 36, 26, 1, id="2-2x4 50/36: 2-2, 1"),
    pytest.param(2, "2x6", 30, 24, 55, 1, id="2-2x6 30/24: 4-7, 1"),
    pytest.param(2, "2x6", 50, 36, 39, 2, id="2-2x6 50/36: 3-3, 2"),
    pytest.param(2, "2x8", 30, 12, 91, 1, id="2-2x8 30/12: 7-7, 1"),
    pytest.param(2, "2x8", 70, 24, 53, 2, id="2-2x8 70/24: 4-5, 2"),
    pytest.param(2, "2x10", 30, 12, 108, 1, id="2-2x10 30/12: 9-0, 1"),
    pytest.param(2, "2x12", 30, 12, 127, 2, id="2-2x12 30/12: 10-7, 2"),
    pytest.param(2, "2x12", 70, 36, 62, 3, id="2-2x12 70/36: 5-2, 3"),
]


@pytest.mark.parametrize(("plies", "nominal", "snow", "building", "span", "jacks"), CELLS)
def test_jacks_of_irc_2021_table_r602_7_1(plies, nominal, snow, building, span, jacks):
    ask = carried(span, plies, nominal, building_width_ft=building, ground_snow_load_psf=snow)
    assert jack_count(ask, BOOK.editions["irc-2021"], BOOK) == (jacks, True)
    (row,) = [
        r
        for r in HEADERS
        if (r.ply_count, r.nominal, r.ground_snow_load_psf, r.building_width_ft, r.supports)
        == (plies, nominal, snow, building, "roof_only")
    ]
    assert (row.span, row.jack_count) == (ticks(span), jacks)


def test_snow_under_30_psf_reads_the_column_of_30():
    """IRC 2021 Table R602.7(1), footnote: use 30 psf; 2-2x8, 36 ft: 4-10, 2 jacks."""
    ask = carried(58, building_width_ft=36, ground_snow_load_psf=0)
    assert jack_count(ask, BOOK.editions["irc-2021"], BOOK) == (2, True)


# IRC 2021 Table R602.7.5: full-height studs each end; 115 mph or less Exposure B, then under 140 B or under 130 C; typed by hand.
LOW = (115, "B")
HIGH_B, HIGH_C = (139, "B"), (129, "C")
KINGS = [
    pytest.param(48, *LOW, 1, id="4 ft low 1"),
    pytest.param(48, *HIGH_B, 1, id="4 ft high 1"),
    pytest.param(49, *HIGH_B, 2, id="over 4 ft: the 6 ft row, high 2"),
    pytest.param(72, *LOW, 1, id="6 ft low 1"),
    pytest.param(72, *HIGH_C, 2, id="6 ft high 2"),
    pytest.param(96, *LOW, 1, id="8 ft low 1"),
    pytest.param(96, *HIGH_B, 2, id="8 ft high 2"),
    pytest.param(120, *LOW, 2, id="10 ft low 2"),
    pytest.param(120, *HIGH_C, 3, id="10 ft high 3"),
    pytest.param(144, *HIGH_B, 3, id="12 ft high 3"),
    pytest.param(168, *HIGH_B, 3, id="14 ft high 3"),
    pytest.param(192, *LOW, 2, id="16 ft low 2"),
    pytest.param(192, *HIGH_B, 4, id="16 ft high 4"),
    pytest.param(216, *HIGH_C, 4, id="18 ft high 4"),
]


@pytest.mark.parametrize(("span", "wind", "exposure", "kings"), KINGS)
@pytest.mark.parametrize("edition", ["irc-2018", "irc-2021"])
def test_kings_of_table_r602_7_5_by_wind(edition, span, wind, exposure, kings):
    site = Site(wind_speed_mph=wind, exposure=exposure)
    assert king_count(carried(span), site, BOOK.editions[edition], BOOK) == (kings, True)


# IRC 2015 Table R602.7.5: full-height studs by stud spacing, 16 and 24 in on center; typed by hand.
@pytest.mark.parametrize(
    ("span", "at_16", "at_24"),
    [(36, 1, 1), (48, 2, 1), (96, 3, 2), (144, 5, 3), (192, 6, 4)],
    ids=["3 ft", "4 ft", "8 ft", "12 ft", "16 ft"],
)
def test_kings_of_irc_2015_table_r602_7_5_by_spacing(span, at_16, at_24):
    edition = BOOK.editions["irc-2015"]
    assert king_count(carried(span), Site(), edition, BOOK) == (at_16, True)
    assert king_count(carried(span, stud_spacing=ticks(24)), Site(), edition, BOOK) == (at_24, True)


@pytest.mark.parametrize(("wind", "exposure"), [(140, "B"), (130, "C"), (100, "D")])
def test_wind_past_table_r602_7_5_has_no_king_of_a_table(wind, exposure):
    """IRC 2021 Table R602.7.5 heads its columns under 140 mph Exposure B and under 130 mph Exposure C; D is not there."""
    site = Site(wind_speed_mph=wind, exposure=exposure)
    assert king_count(carried(72), site, BOOK.editions["irc-2021"], BOOK) == (1, False)


def test_a_header_past_the_last_row_has_no_king_of_a_table():
    """IRC 2021 Table R602.7.5 ends at 18 ft = 216 in."""
    assert king_count(carried(217), Site(), BOOK.editions["irc-2021"], BOOK) == (1, False)


def test_census_of_the_header_table():
    """IRC 2021 Table R602.7(1), roof and ceiling: 9 headers (1-2x6 to 1-2x12, 2-2x4 to 2-2x12) x 3 snow loads x 3 widths = 81."""
    assert Counter((r.ply_count, r.nominal) for r in HEADERS) == {
        **{(1, n): 9 for n in ("2x6", "2x8", "2x10", "2x12")},
        **{(2, n): 9 for n in ("2x4", "2x6", "2x8", "2x10", "2x12")},
    }
    assert Counter((r.ground_snow_load_psf, r.building_width_ft) for r in HEADERS) == {
        (s, w): 9 for s in (30, 50, 70) for w in (12, 24, 36)
    }
    assert len(HEADERS) == 81
    assert {e.edition_id: e.headers for e in BOOK.editions.values() if e.headers} == {"irc-2018": HEADERS, "irc-2021": HEADERS}
    # jacks counted in the printed rows: 1-ply ones 2, twos 27 less threes; by header (1, 2, 3 jacks)
    assert Counter((r.ply_count, r.nominal, r.jack_count) for r in HEADERS) == {
        (1, "2x6", 1): 2,
        (1, "2x6", 2): 7,
        (1, "2x8", 2): 8,
        (1, "2x8", 3): 1,
        (1, "2x10", 2): 6,
        (1, "2x10", 3): 3,
        (1, "2x12", 2): 4,
        (1, "2x12", 3): 5,
        (2, "2x4", 1): 9,
        (2, "2x6", 1): 6,
        (2, "2x6", 2): 3,
        (2, "2x8", 1): 4,
        (2, "2x8", 2): 5,
        (2, "2x10", 1): 1,
        (2, "2x10", 2): 8,
        (2, "2x12", 2): 8,
        (2, "2x12", 3): 1,
    }


def test_a_header_span_falls_with_snow_and_with_width():
    """The loads grow with both, so the printed spans must fall."""
    spans = {(r.ply_count, r.nominal, r.ground_snow_load_psf, r.building_width_ft): r.span for r in HEADERS}
    for (plies, nominal, snow, width), span in spans.items():
        for more in ((plies, nominal, snow + 20, width), (plies, nominal, snow, width + 12)):
            assert spans.get(more, 0) < span


def test_census_of_the_king_table():
    """IRC Table R602.7.5: 8 rows in 2018 and 2021 (4 to 18 ft by 2), 5 rows in 2015 (3, 4, 8, 12, 16 ft)."""
    rows = {e.edition_id: [r.header_span_max // ticks(12) for r in e.kings] for e in BOOK.editions.values() if e.kings}
    by_wind = [4, 6, 8, 10, 12, 14, 16, 18]
    assert rows == {"irc-2015": [3, 4, 8, 12, 16], "irc-2018": by_wind, "irc-2021": by_wind}


@pytest.mark.parametrize(("width", "jacks"), [("38", 1), ("72", 1), ("72.0625", 2), ("120", 2)])
def test_without_a_table_one_jack_up_to_72_in_and_two_above(width, jacks):
    """One up to 72 in, two above: common practice, no source."""
    assert jack_count(carried(width), BOOK.editions["irc-2021"], BOOK) == (jacks, False)


@pytest.mark.parametrize("edition", ["irc-2012", "irc-2015", "irc-2024", "ibc-2021"])
def test_an_edition_not_held_has_no_jacks_of_a_table(edition):
    """2-2x8 at 58 in, 36 ft, 30 psf has 2 jacks in IRC 2021 Table R602.7(1); elsewhere one (common practice, no source)."""
    ask = carried(58, building_width_ft=36, ground_snow_load_psf=30)
    assert jack_count(ask, BOOK.editions[edition], BOOK) == (1, False)


@pytest.mark.parametrize("edition", ["irc-2012", "irc-2024", "ibc-2015", "ibc-2018", "ibc-2021", "ibc-2024"])
def test_an_edition_not_held_has_no_kings_of_a_table(edition):
    """One king: common practice, no source."""
    assert king_count(carried(192), Site(), BOOK.editions[edition], BOOK) == (1, False)


@pytest.mark.parametrize("more", [{"exterior": False}, {"supports": "one_story_and_roof"}])
def test_the_header_table_is_for_exterior_walls_under_a_roof(more):
    ask = carried(58, building_width_ft=36, ground_snow_load_psf=30, **more)
    assert jack_count(ask, BOOK.editions["irc-2021"], BOOK) == (1, False)


def test_a_header_past_its_row_stops_its_joints() -> None:
    """IRC 2021 Table R602.7(1), roof and ceiling, 2-2x8 at 30 psf and 24 ft: 5 ft 9 in = 69 in, two reach 72."""
    opening = {
        "id": "w",
        "kind": "window",
        "at_in": 60,
        "width_in": 72,
        "sill_height_in": 36,
        "head_height_in": 82.5,
        "header": {"nominal": "2x8"},
    }
    asked = {
        "framing_nail": {"nail_designation": "16d common"},
        "ground_snow_load_psf": 30,
        "wall": {"length_in": 288, "height_in": 97.125, "building_width_ft": 24, "openings": [opening]},
    }
    stopped = {
        line.requirement.connection.connection_id: line for line in plan_wall(read_wall(asked, open_book()).order, open_book()).lines
    }
    assert stopped["built-up-header-face-nail"].nail_count is None
    assert "72 in, past the 69 in" in plain(stopped["stud-to-header-end-nail"].requirement.stop.because)
    assert stopped["stud-to-plate-end-nail"].nail_count is not None
    opening["width_in"] = 69
    fits = plan_wall(read_wall(asked, open_book()).order, open_book())
    assert fits.complete
