"""Jacks and kings left out of a request: cells of the header and king tables, and what is common where no table is held."""

from collections import Counter
from dataclasses import replace

import pytest

from service.domain.site import Site
from service.domain.wall.headers import Carried, header_span, jack_count, king_count
from service.domain.wall.plan import locate, plan_wall
from service.domain.wall.wall import Header
from service.errors import FasteningError
from service.said import plain
from service.schemas.answers.wall import alike
from service.schemas.asks.wall import read_wall
from service.tables.book import open_book
from service.ticks import inches, ticks

BOOK = open_book()
ALL = BOOK.editions["irc-2021"].headers
HEADERS = tuple(r for r in ALL if r.supports == "roof_only")


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
    assert king_count(carried(span), 1, site, BOOK.editions[edition], BOOK) == (kings, True, None)


# IRC 2015 Table R602.7.5: full-height studs by stud spacing, 16 and 24 in on center; typed by hand.
@pytest.mark.parametrize(
    ("span", "at_16", "at_24"),
    [(36, 1, 1), (48, 2, 1), (96, 3, 2), (144, 5, 3), (192, 6, 4)],
    ids=["3 ft", "4 ft", "8 ft", "12 ft", "16 ft"],
)
def test_kings_of_irc_2015_table_r602_7_5_by_spacing(span, at_16, at_24):
    edition = BOOK.editions["irc-2015"]
    assert king_count(carried(span), 1, Site(), edition, BOOK) == (at_16, True, None)
    assert king_count(carried(span, stud_spacing=ticks(24)), 1, Site(), edition, BOOK) == (at_24, True, None)
    # between two columns the severer; past them the severest that is held, said as assumed
    assert king_count(carried(span, stud_spacing=ticks("19.2")), 1, Site(), edition, BOOK) == (at_16, True, None)
    for spacing in (12, 32):
        assert king_count(carried(span, stud_spacing=ticks(spacing)), 1, Site(), edition, BOOK) == (at_16, False, None)


@pytest.mark.parametrize(("wind", "exposure"), [(140, "B"), (130, "C"), (100, "D")])
def test_wind_past_table_r602_7_5_takes_the_severest_column(wind, exposure):
    """IRC 2021 Table R602.7.5 heads its columns under 140 mph Exposure B and under 130 mph Exposure C; D is not there. 6 ft: 2."""
    site = Site(wind_speed_mph=wind, exposure=exposure)
    assert king_count(carried(72), 1, site, BOOK.editions["irc-2021"], BOOK) == (2, False, None)


def test_a_header_hung_without_jacks_takes_the_high_column():
    """Note to Table R602.7.5: the low column needs jack studs. 6 ft at 115 mph in B: 1 with jacks, 2 without."""
    assert [king_count(carried(72), jacks, Site(), BOOK.editions["irc-2021"], BOOK)[0] for jacks in (1, 0)] == [1, 2]


def test_a_header_past_the_last_row_stops_and_takes_the_last_row():
    """IRC 2021 Table R602.7.5 ends at 18 ft = 216 in, 4 at most."""
    kings, held, stop = king_count(carried(217), 1, Site(), BOOK.editions["irc-2021"], BOOK)
    assert (kings, held) == (4, False)
    assert stop is not None and "ends at 216 in" in plain(stop.because)


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
    held = {e.edition_id: [(r.span, r.jack_count, r.cripple_factor) for r in e.headers] for e in BOOK.editions.values() if e.headers}
    assert held.keys() == {"irc-2018", "irc-2021"}
    assert held["irc-2018"] == held["irc-2021"]
    # one floor that bears in the middle too: 5 headers x 9
    assert len(ALL) == 81 + 45
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
    assert king_count(carried(192), 1, Site(), BOOK.editions[edition], BOOK) == (1, False, None)


@pytest.mark.parametrize(
    ("more", "jacks"), [({"exterior": False}, 1), ({"supports": "one_floor_only"}, 1), ({"supports": "one_story_and_roof"}, 2)]
)
def test_the_header_table_is_for_exterior_walls_under_a_roof(more, jacks):
    """2-2x8 at 58 in, 36 ft, 30 psf: one jack, common practice, no source. Under a floor the row of one that bears in the middle asks 2."""
    ask = carried(58, building_width_ft=36, ground_snow_load_psf=30, **more)
    assert jack_count(ask, BOOK.editions["irc-2021"], BOOK) == (jacks, False)


def test_a_header_past_its_row_stops_its_joints() -> None:
    """IRC 2021 Table R602.7(1), roof and ceiling, 2-2x6 at 30 psf and 24 ft: 4 ft 7 in = 55 in; a 2x6 keeps its span under cripples."""
    opening = {
        "id": "w",
        "kind": "window",
        "at_in": 60,
        "width_in": 72,
        "sill_height_in": 36,
        "head_height_in": 82.5,
        "header": {"nominal": "2x6"},
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
    assert "72 in, past the 55 in" in plain(stopped["stud-to-header-end-nail"].requirement.stop.because)
    assert stopped["stud-to-plate-end-nail"].nail_count is not None
    opening["width_in"] = 55
    fits = plan_wall(read_wall(asked, open_book()).order, open_book())
    assert fits.complete


def asked(header, width, head=80, wall=None, **more):
    """A 24 ft wall with one window; the header's depth decides whether cripples stand on it: 94.125 is the underside of the plates."""
    opening = {"id": "w", "kind": "window", "at_in": 40, "width_in": width, "sill_height_in": 30, "head_height_in": head, "header": header}
    raw = {
        "code_edition": "irc-2018",
        "framing_nail": {"nail_designation": "16d common"},
        "wall": {"length_in": 288, "height_in": 97.125, "openings": [opening], **(wall or {})},
        **more,
    }
    return plan_wall(read_wall(raw, BOOK).order, BOOK)


def ends(plan):
    return next(line for line in plan.lines if line.requirement.connection.in_wall in ("header_end", "header_toe"))


FULL = {"ground_snow_load_psf": 30, "wall": {"building_width_ft": 24}}
# IRC 2018 Table R602.7(1), 2-2x8, roof and ceiling, 30 psf, 24 ft: 5-9 = 69 in; footnote f: x 0.70 = 48.3 with cripples on a 2x8, 2x10
# or 2x12. A head at 86.875 puts the 7.25 in header against the plates: no cripples.
SPANS = [
    pytest.param("48.3", 80, True, id="48.3 in under cripples"),
    pytest.param("48.3001", 80, False, id="a hair more"),
    pytest.param("60", 80, False, id="60 in under cripples"),
    pytest.param("69", 86.875, True, id="69 in against the plates"),
    pytest.param("69.0001", 86.875, False, id="a hair more"),
]


@pytest.mark.parametrize(("width", "head", "passes"), SPANS)
def test_a_2_by_8_spans_seven_tenths_under_cripples(width, head, passes):
    found = asked({"nominal": "2x8"}, float(width), head, **FULL)
    assert (ends(found).nail_count is not None) == passes
    assert found.order.wall.openings[0].unchecked_because == ""


# The same table, under roof, ceiling and a floor that bears in the middle: 2-2x8 at 30 psf, 24 ft: 4-10 = 58, x 0.70 = 40.6.
@pytest.mark.parametrize(
    ("width", "floor", "passes", "unchecked"),
    [
        ("40.6", "center", True, False),
        ("40.7", "center", False, False),
        ("40.6", "clear_span", True, True),
        ("40.7", "clear_span", False, True),
        ("40.6", None, True, True),
        ("40.7", None, False, True),
    ],
)
def test_a_header_under_a_floor_is_checked_where_the_floor_bears_in_the_middle(width, floor, passes, unchecked):
    """A floor from wall to wall is not held and asks for more; the center-bearing row bounds it."""
    wall = {"building_width_ft": 24, "supports": "one_story_and_roof", **({"floor_bearing": floor} if floor else {})}
    found = asked({"nominal": "2x8"}, float(width), ground_snow_load_psf=30, wall=wall)
    assert (ends(found).nail_count is not None) == passes
    assert bool(found.order.wall.openings[0].unchecked_because) == unchecked


def test_a_header_that_cannot_be_compared_stops_past_the_most_favorable_row_of_its_size():
    """2-2x6 in Table R602.7(1): 6-0 = 72 in at 12 ft and 30 psf is the most that any house has."""
    for width, passes in ((72, True), (72.001, False), (192, False)):
        for edition in ("irc-2018", "irc-2015", "ibc-2021"):
            found = asked({"nominal": "2x6"}, width, code_edition=edition)
            assert (ends(found).nail_count is not None) == passes
            assert found.order.wall.openings[0].unchecked_because


# IRC Table R602.7(1), 2-2x8 unless named: 30 psf 36 ft 4-10 = 58, 70 psf 24 ft 4-5 = 53, 70 psf 36 ft 3-9 = 45; under a floor that bears in
# the middle, 30 psf 24 ft 4-10 = 58; at 12 ft and 30 psf 7-7 = 91, 2-2x4 4-0 = 48. Worse than a row is no more than it.
BOUNDS = [
    pytest.param({"building_width_ft": 40, "ground_snow_load_psf": 30}, 58, "past the 36", id="wider than the table"),
    pytest.param({"building_width_ft": 24, "ground_snow_load_psf": 80}, 53, "past the 70", id="more snow than the table"),
    pytest.param({"building_width_ft": 50, "ground_snow_load_psf": 90}, 45, "past the", id="both"),
    pytest.param({"building_width_ft": 24, "ground_snow_load_psf": 30, "supports": "two_stories_and_roof"}, 58, "two stories", id="two"),
    pytest.param({"building_width_ft": 36}, 58, "not given: ground_snow_load_psf", id="no snow"),
    pytest.param({"ground_snow_load_psf": 70}, 69, "not given: building_width_ft", id="no width: 70 psf 12 ft 5-9"),
    pytest.param({"building_width_ft": 24, "ground_snow_load_psf": 30, "exterior": False}, 91, "interior", id="interior"),
    pytest.param({"building_width_ft": 24, "ground_snow_load_psf": 30, "species": "balsam-fir"}, 91, "not for balsam-fir", id="wood"),
    pytest.param({"plies": 1, "nominal": "2x4", "building_width_ft": 12, "ground_snow_load_psf": 30}, 48, "1-2x4", id="one ply of two"),
    pytest.param({"plies": 3, "building_width_ft": 12, "ground_snow_load_psf": 30}, 136.5, "3-2x8", id="more plies: 91 x 3 / 2"),
]


@pytest.mark.parametrize(("case", "limit", "because"), BOUNDS)
def test_what_no_row_is_held_for_is_bounded_by_what_is_no_worse(case, limit, because):
    span = header_span(carried(40, **case), BOOK.editions["irc-2021"], BOOK)
    assert span.limit == (None if limit is None else ticks(limit))
    assert because in span.unchecked_because


@pytest.mark.parametrize("more", [{}, {"building_width_ft": 12}, {"ground_snow_load_psf": 30}])
def test_jacks_are_never_fewer_than_every_row_asks(more):
    """2-2x12 has 2 or 3 jacks in every cell of IRC 2021 Table R602.7(1); 2-2x8 has 1 at 12 ft and 2 at 36 ft, so also at 40."""
    assert jack_count(carried(40, nominal="2x12", **more), BOOK.editions["irc-2021"], BOOK) == (2, False)
    for width, held in ((36, True), (40, False)):
        ask = carried(40, building_width_ft=width, ground_snow_load_psf=30)
        assert jack_count(ask, BOOK.editions["irc-2021"], BOOK) == (2, held)


def test_a_limit_of_another_edition_is_cited_as_that_ones():
    """The IBC has no Table R602.7(1); 2-2x6 spans 6-0 = 72 in at most in that of IRC 2021."""
    stop = ends(asked({"nominal": "2x6"}, 100, code_edition="ibc-2021")).requirement.stop
    assert (stop.cited.code, stop.cited.edition, stop.cited.table, stop.cited.confidence) == ("IRC", "2021", "R602.7(1)", "derived")
    assert "past the 72 in of even the most favorable row of its size in IRC 2021 Table R602.7(1), by 28 in" in plain(stop.because)


# Dressed 4-by sizes are 3-1/2 in thick (PS 20, from memory): one piece in a 2x4 wall; two would be 7 in.
BAD_HEADERS = [
    pytest.param({"nominal": "2x8", "ply_count": 3}, "header", "4.5 in thick", id="three plies in 3.5 in"),
    pytest.param({"nominal": "2x8", "spacer_in": 0.51}, "header", "3.51 in thick", id="a thick spacer"),
    pytest.param({"material": "engineered", "thickness_in": 5.25, "depth_in": 9.5}, "header", "5.25 in thick", id="engineered"),
    pytest.param({"nominal": "4x8", "ply_count": 2}, "ply_count", "one piece", id="two 4-bys"),
    pytest.param({"nominal": "4x8", "spacer_in": 0.5}, "spacer_in", "one piece", id="a spacer beside a 4-by"),
    pytest.param({"nominal": "2x8", "ply_count": 1, "spacer_in": 0.5}, "spacer_in", "one piece", id="a spacer beside one ply"),
    pytest.param({"material": "engineered", "thickness_in": 3.5}, "depth_in", "is required", id="no depth"),
    pytest.param({"material": "engineered", "thickness_in": 3.5, "depth_in": 9.5, "nominal": "2x8"}, "nominal", "does not go", id="both"),
    pytest.param({"ply_count": 2}, "nominal", "is required", id="no size"),
    pytest.param({"nominal": "2x8", "depth_in": 9.5}, "depth_in", "does not go", id="depth of a sawn one"),
]


@pytest.mark.parametrize(("header", "field", "said"), BAD_HEADERS)
def test_headers_that_do_not_go_into_the_wall_are_refused(header, field, said):
    with pytest.raises(FasteningError) as caught:
        asked(header, 36)
    (fault,) = caught.value.faults
    assert fault.path[-1] == field and said in plain(fault.detail)


@pytest.mark.parametrize(
    ("header", "pieces", "nominal"),
    [({"nominal": "4x8"}, 1, "4x8"), ({"material": "engineered", "thickness_in": 3.5, "depth_in": 7.25}, 1, "engineered")],
)
def test_one_piece_headers_have_no_plies_to_nail_and_no_row(header, pieces, nominal):
    """4x8 is 3.5 x 7.25: head 80, top 87.25, cripples to 94.125 = 6.875."""
    found = asked(header, 36, **FULL)
    (frame,) = found.framing.frames
    assert [m.nominal for m in frame.header] == [nominal] * pieces and frame.flats == ()
    assert {inches(c.length) for c in frame.head_cripples} == {6.875}
    assert "built-up-header-face-nail" not in {line.group.connection_id for line in found.lines}
    assert found.order.wall.openings[0].unchecked_because
    assert ends(found).nail_count is not None


def test_a_single_ply_header_has_its_flats_and_their_nails():
    """IRC R602.7.1: flat 2-by on and under it, 10d box at 12 in. Opening 32 wide (1-2x8 to 32.9 under cripples), 2 jacks each side: 38 long.

    Head 80: flat to 81.5, ply to 88.75, flat to 90.25, cripples to 94.125 = 3.875. Each flat: 38 / 12 = 3.2, so 4 + 1 nails.
    """
    found = asked({"nominal": "2x8", "ply_count": 1}, 32, framing_nail={"nail_designation": "10d box"}, **FULL)
    (frame,) = found.framing.frames
    assert [(inches(m.z), inches(m.height), inches(m.length)) for m in (*frame.header, *frame.flats)] == [
        (81.5, 7.25, 38),
        (80, 1.5, 38),
        (88.75, 1.5, 38),
    ]
    assert {inches(c.length) for c in frame.head_cripples} == {3.875}
    (line,) = [x for x in found.lines if x.requirement.connection.in_wall == "header_flats"]
    assert (line.requirement.outcome, line.nail_count) == ("prescriptive", 2 * 5)


def test_the_joints_of_a_header_past_its_row_all_stop():
    """1-2x8 under 24 ft and 30 psf: 3-11 = 47 in, x 0.70 under cripples = 32.9 (IRC 2018 Table R602.7(1))."""
    for width, passes in ((32.9, True), (33, False)):
        found = asked({"nominal": "2x8", "ply_count": 1}, width, framing_nail={"nail_designation": "10d box"}, **FULL)
        counts = [x.nail_count for x in found.lines if x.requirement.connection.in_wall in ("header_flats", "header_end", "header_toe")]
        assert len(counts) == 2 and all((n is not None) == passes for n in counts)


def test_a_single_ply_that_reaches_the_plate_has_it_as_its_upper_flat():
    """IRC R602.7.1: flat member or wall plate. Head 85.375: flat to 86.875, 1-2x8 to 94.125, the underside of the plates."""
    found = asked({"nominal": "2x8", "ply_count": 1}, 36, 85.375, framing_nail={"nail_designation": "10d box"}, **FULL)
    (frame,) = found.framing.frames
    assert [(inches(m.z), inches(m.height)) for m in (*frame.header, *frame.flats)] == [(86.875, 7.25), (85.375, 1.5)]
    assert frame.head_cripples == ()
    (line,) = [x for x in found.lines if x.requirement.connection.in_wall == "header_flats"]
    spots = [spot for own, spot in locate(found) if own is line]
    assert len(spots) == line.nail_count == 2 * 5
    # up through the flat, down through the lower top plate, both into the middle of a 1-1/2 ply at the outside face
    assert {(inches(s.z), s.face, s.member.role, inches(s.y)) for s in spots} == {
        (85.375, "bottom", "header", 0.75),
        (95.625, "top", "top_plate", 0.75),
    }
    with pytest.raises(FasteningError) as caught:
        asked({"nominal": "2x8", "ply_count": 1}, 36, 85.374, **FULL)
    assert caught.value.faults[0].code == "header_does_not_clear"


@pytest.mark.parametrize("edition", ["irc-2021", "ibc-2021"])
@pytest.mark.parametrize("header", [{"nominal": "4x8"}, {"material": "engineered", "thickness_in": 3.5, "depth_in": 9.25}])
def test_end_nails_of_a_thick_piece_stand_in_its_wood(header, edition):
    """A piece 3-1/2 in thick: end nails 1 in from its faces at least (service rule), toe-nails from both faces (IBC)."""
    found = asked(header, 36, code_edition=edition, framing_nail={"nail_designation": "10d box"})
    spots = [s for line, s in locate(found) if line is ends(found)]
    by_face = {s.face: {inches(t.y) for t in spots if t.face == s.face} for s in spots}
    if edition.startswith("ibc"):
        assert by_face == {"outside": {0}, "inside": {3.5}}
    else:
        assert set(by_face) == {"left", "right"} and all(1 <= y <= 2.5 for ys in by_face.values() for y in ys)


@pytest.mark.parametrize("thickness", [1.5, 1.75])
def test_a_beam_of_engineered_wood_has_no_flats(thickness):
    """IRC R602.7.1 asks flats of a header of one 2-by; of engineered wood its maker decides, however thick it is."""
    found = asked({"material": "engineered", "thickness_in": thickness, "depth_in": 9.5}, 36, framing_nail={"nail_designation": "10d box"})
    (frame,) = found.framing.frames
    assert [inches(m.height) for m in (*frame.header, *frame.flats)] == [9.5]


def test_engineered_headers_of_two_sizes_are_two_lines_of_the_cut_list():
    def opening(at, name, deep):
        size = {"material": "engineered", "thickness_in": 1.75, "depth_in": deep}
        return {"id": name, "kind": "door", "at_in": at, "width_in": 36, "head_height_in": 80, "header": size}

    wall = {"length_in": 288, "height_in": 97.125, "openings": [opening(40, "a", 9.5), opening(140, "b", 7.25)]}
    plan = plan_wall(read_wall({"framing_nail": {"nail_designation": "16d common"}, "wall": wall}, BOOK).order, BOOK)
    headers = [g for g in alike(plan) if g.role == "header"]
    assert [(g.nominal, [inches(x) for x in g.size], len(g.members)) for g in headers] == [
        ("engineered", [1.75, 9.5], 1),
        ("engineered", [1.75, 7.25], 1),
    ]


def test_full_height_studs_are_for_exterior_walls_that_do_not_bear_too():
    """IRC 2021 Table R602.7.5, headers in exterior walls: 10 ft at 115 mph in B asks 2. A flat head is no header."""
    assert king_count(carried(120, supports="none"), 1, Site(), BOOK.editions["irc-2021"], BOOK) == (2, True, None)
    assert king_count(carried(120, exterior=False), 1, Site(), BOOK.editions["irc-2021"], BOOK) == (1, False, None)
    flat = replace(carried(90, supports="none"), header=None)
    assert king_count(flat, 0, Site(), BOOK.editions["irc-2021"], BOOK) == (1, True, None)


# R602.7.4, from memory: without a header 96 in wide and 24 in from head to plates at most, in walls that do not bear. 94.125 - 24 = 70.125.
@pytest.mark.parametrize(
    ("width", "head", "field"),
    [(96, 70.125, None), (96.0001, 70.125, "width_in"), (96, 70.1249, "head_height_in"), (36, 80, None)],
)
def test_an_opening_without_a_header_is_narrow_and_high(width, head, field):
    wall = {"bearing": False}
    if field is None:
        assert asked(None, width, head, wall=wall).framing.frames[0].header[0].height == ticks("1.5")
        return
    with pytest.raises(FasteningError) as caught:
        asked(None, width, head, wall=wall)
    assert [f.path[-1] for f in caught.value.faults] == [field]


# IRC 2021 Table R602.7(1), 30 psf and 12 ft, the most favorable cells: two 2x4 4-0, two 2x6 6-0, two 2x12 10-7 (x 0.70 under cripples)
THICKER = [
    pytest.param({"ply_count": 3, "nominal": "2x4"}, 72, id="three 2x4: 48 x 3 / 2"),
    pytest.param({"nominal": "4x6"}, 84, id="a 4x6: 72 x 3.5 / 3"),
    pytest.param({"ply_count": 3, "nominal": "2x12"}, 133.35, id="three 2x12: 127 x 0.70 x 3 / 2"),
]


@pytest.mark.parametrize(("header", "most"), THICKER)
def test_a_header_thicker_than_any_row_is_bounded_by_its_thickness(header, most):
    """By statics no limit grows faster than thickness: shear with it, bending with its square root, stiffness with its cube root."""
    within, past = (ends(asked(header, width, wall={"stud": "2x6"}, ground_snow_load_psf=30)).requirement for width in (most - 1, most + 1))
    assert within.stop is None and past.stop is not None
    assert "by thickness" in plain(past.stop.because)
