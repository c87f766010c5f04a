"""The tables of headers, kings, studs and splice plates, cell by cell as printed."""

import pytest

from service.tables.book import open_book
from service.ticks import inches

BOOK = open_book()

# IRC 2021 Table R602.7(1), roof and ceiling, one state copy: spans [ft-in] and jacks each end; snow 30, 50, 70 psf, each at 12, 24, 36 ft.
HEADERS = {
    (1, "2x6"): ("4-0 3-1 2-7 3-5 2-8 2-3 3-0 2-4 2-0", "1 2 2 1 2 2 2 2 2"),
    (1, "2x8"): ("5-1 3-11 3-3 4-4 3-4 2-10 3-10 3-0 2-6", "2 2 2 2 2 2 2 2 3"),
    (1, "2x10"): ("6-0 4-8 3-11 5-2 4-0 3-4 4-7 3-6 3-0", "2 2 2 2 2 3 2 3 3"),
    (1, "2x12"): ("7-1 5-5 4-7 6-1 4-8 3-11 5-5 4-2 3-6", "2 2 3 2 3 3 2 3 3"),
    (2, "2x4"): ("4-0 3-1 2-7 3-5 2-7 2-2 3-0 2-4 2-0", "1 1 1 1 1 1 1 1 1"),
    (2, "2x6"): ("6-0 4-7 3-10 5-1 3-11 3-3 4-6 3-6 2-11", "1 1 1 1 1 2 1 2 2"),
    (2, "2x8"): ("7-7 5-9 4-10 6-5 5-0 4-2 5-9 4-5 3-9", "1 1 2 1 2 2 1 2 2"),
    (2, "2x10"): ("9-0 6-10 5-9 7-8 5-11 4-11 6-9 5-3 4-5", "1 2 2 2 2 2 2 2 2"),
    (2, "2x12"): ("10-7 8-1 6-10 9-0 6-11 5-10 8-0 6-2 5-2", "2 2 2 2 2 2 2 2 3"),
}
# The same table under roof, ceiling and one floor that bears in the middle too.
OVER_A_FLOOR = {
    (2, "2x4"): ("3-3 2-6 2-2 3-0 2-4 2-0 2-8 2-2 1-10", "1 1 1 1 1 1 1 1 1"),
    (2, "2x6"): ("4-10 3-9 3-3 4-5 3-6 3-0 4-1 3-3 2-9", "1 1 2 1 2 2 1 2 2"),
    (2, "2x8"): ("6-1 4-10 4-1 5-7 4-5 3-9 5-2 4-1 3-6", "1 2 2 2 2 2 2 2 2"),
    (2, "2x10"): ("7-3 5-8 4-10 6-8 5-3 4-5 6-1 4-10 4-1", "2 2 2 2 2 2 2 2 2"),
    (2, "2x12"): ("8-6 6-8 5-8 7-10 6-2 5-3 7-2 5-8 4-10", "2 2 2 2 2 3 2 2 3"),
}
COLUMNS = [(snow, width) for snow in (30, 50, 70) for width in (12, 24, 36)]


def length(feet_and_inches):
    feet, rest = feet_and_inches.split("-")
    return int(feet) * 12 + int(rest)


@pytest.mark.parametrize("edition_id", ["irc-2018", "irc-2021"])
@pytest.mark.parametrize(
    ("supports", "floor", "plies", "nominal"),
    [("roof_only", "", *key) for key in HEADERS] + [("one_story_and_roof", "center", *key) for key in OVER_A_FLOOR],
)
def test_every_header_of_the_table_is_as_printed(edition_id, supports, floor, plies, nominal):
    spans, jacks = (OVER_A_FLOOR if floor else HEADERS)[plies, nominal]
    held = {
        (r.ground_snow_load_psf, r.building_width_ft): (inches(r.span), r.jack_count)
        for r in BOOK.editions[edition_id].headers
        if (r.supports, r.floor, r.ply_count, r.nominal) == (supports, floor, plies, nominal)
    }
    printed = zip(spans.split(), jacks.split(), strict=True)
    assert held == {column: (length(span), int(count)) for column, (span, count) in zip(COLUMNS, printed, strict=True)}


# IRC Table R602.7.5, 2018 and 2021 (two copies): header to ft; full-height studs to 115 mph in Exposure B, and under 140 in B or 130 in C.
BY_WIND = {4: (1, 1), 6: (1, 2), 8: (1, 2), 10: (2, 3), 12: (2, 3), 14: (2, 3), 16: (2, 4), 18: (2, 4)}
# 2015 (one copy): on studs at 16 and at 24 in.
BY_SPACING = {3: (1, 1), 4: (2, 1), 8: (3, 2), 12: (5, 3), 16: (6, 4)}


@pytest.mark.parametrize("edition_id", ["irc-2018", "irc-2021"])
def test_kings_by_wind_are_as_printed(edition_id):
    rows = BOOK.editions[edition_id].kings
    assert {inches(r.header_span_max) / 12: (r.low_wind_count, r.high_wind_count) for r in rows} == BY_WIND
    assert all(r.low_wind_mph == {"B": 115} and r.high_wind_under_mph == {"B": 140, "C": 130} for r in rows)
    assert {r.confidence for r in rows} == {"verified"}


def test_kings_by_stud_spacing_are_as_printed():
    rows = BOOK.editions["irc-2015"].kings
    assert {inches(r.header_span_max) / 12: (r.narrow_spacing_count, r.wide_spacing_count) for r in rows} == BY_SPACING
    assert {inches(r.narrow_spacing) for r in rows} == {16}
    assert {r.confidence for r in rows} == {"single_source"}


# IRC R602.3.2, single top plate, 8d box each side: 2021 and 2024 verified; 2015 and 2018 the lesser ones alone, from memory.
PLATES = {
    ("corner", False): ("3 x 6 x 0.036", 6),
    ("intersection", False): ("3 x 6 x 0.036", 6),
    ("butt_joint", False): ("3 x 12 x 0.036", 12),
    ("corner", True): ("3 x 8 x 0.036", 9),
    ("intersection", True): ("3 x 8 x 0.036", 9),
    ("butt_joint", True): ("3 x 16 x 0.036", 18),
}


@pytest.mark.parametrize(("edition_id", "wide"), [("irc-2015", False), ("irc-2018", False), ("irc-2021", True), ("irc-2024", True)])
def test_splice_plates_are_as_printed(edition_id, wide):
    rows = BOOK.editions[edition_id].splice_plates
    held = {(r.where, r.high_seismic_wide_lines): (r.plate, r.nail_count_per_side) for r in rows}
    assert held == {key: cell for key, cell in PLATES.items() if wide or not key[1]}
    assert {r.nail_id for r in rows} == {"8d-box"}
    assert {r.confidence for r in rows} == {"verified" if wide else "memory"}


# IRC Table R602.3(5), 2012 to 2021, from memory; used for want of their own in IRC 2024 and the IBC, and cited as IRC 2021.
STUDS = {
    "2x4": ((24, 16, None, 24), 10, 14, 24),
    "2x6": ((24, 24, 16, 24), 10, 20, 24),
}


@pytest.mark.parametrize("edition_id", BOOK.editions)
def test_stud_limits_are_as_printed(edition_id):
    for stud, (widest, bearing, other, spacing) in STUDS.items():
        row = BOOK.editions[edition_id].stud_limits[stud]
        supports = ("roof_only", "one_story_and_roof", "two_stories_and_roof", "one_floor_only")
        assert tuple(None if row.spacing[s] is None else inches(row.spacing[s]) for s in supports) == widest
        assert (inches(row.bearing_height) / 12, inches(row.nonbearing_height) / 12, inches(row.nonbearing_spacing)) == (
            bearing,
            other,
            spacing,
        )
        own = edition_id.startswith("irc") and edition_id != "irc-2024"
        assert (row.code, row.year, row.table, row.confidence) == (*(("", "") if own else ("IRC", "2021")), "R602.3(5)", "memory")
    # no other stud of R602.3(5) is held but the 2x4 and the 2x6 of walls
    assert {"2x4", "2x6"} <= set(BOOK.editions[edition_id].stud_limits)


# Top plate joints stand 24 in apart (IRC R602.3.2, verified) and 48 in the IBC (2308.5.3.2, inspector material).
@pytest.mark.parametrize("edition_id", BOOK.editions)
def test_plate_joints_keep_the_offset_of_their_code(edition_id):
    assert inches(BOOK.editions[edition_id].plate_joint_offset) == (24 if edition_id.startswith("irc") else 48)
