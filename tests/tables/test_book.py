"""Counts, keys and marks of the tables against the published schedules they were typed from."""

import shutil

import pytest

from service.domain.nails.nail import by_id
from service.errors import TableError
from service.tables.book import open_book
from service.tables.schedule import PerJoint
from service.ticks import inches

BOOK = open_book()
MARKS = {"verified", "single_source", "memory", "common_practice", "derived"}
CURRENT = {"IRC": ("irc-2015", "irc-2018", "irc-2021", "irc-2024"), "IBC": ("ibc-2015", "ibc-2018", "ibc-2021", "ibc-2024")}


def rows_of(*edition_ids):
    return [row for e in edition_ids for rows in BOOK.editions[e].rows.values() for row in rows]


def main_rows(*edition_ids):
    """Rows of the schedule itself, without the alternate fasteners of Table R602.3(2) and the rows of section text."""
    return [r for r in rows_of(*edition_ids) if r.table and not any(o.alternate for o in r.options)]


def content(row, option):
    """What the page prints of an option, without the marks of how it was read."""
    return (
        row.row, option.fastener, option.shank, option.length, option.diameter, option.diameter_max, option.detail,
        option.nailing, option.max_wind_mph, option.use,
    )  # fmt: skip


# IRC Tables R602.3(1) and (2), IBC Table 2304.10.1/2, state copies listed in sources.csv; options counted by hand on those copies.
# IRC 2015, 2018: R602.3(1) + 1 in the text of R602.7.5 (four 16d box) + Table R602.3(2): 4 panel rows of 3 + 3 + 4 + 4 = 14 options,
# once for walls and floors, once for roofs = 28. IRC 2021, 2024: the R602.7.5 joint stands in the table, so no + 1.
CENSUS = [
    # edition, options, highest printed item
    pytest.param("irc-2012", 23, 22, id="irc-2012: rows 1 to 22 as far as held"),
    pytest.param("irc-2015", 131 + 1 + 1 + 28, 39, id="irc-2015"),
    pytest.param("irc-2018", 134 + 1 + 1 + 28, 39, id="irc-2018"),
    pytest.param("irc-2021", 150 + 1 + 28, 40, id="irc-2021"),
    pytest.param("irc-2024", 150 + 1 + 28, 40, id="irc-2024"),
    pytest.param("ibc-2015", 149, 42, id="ibc-2015: items 1 to 42"),
    pytest.param("ibc-2018", 151, 41, id="ibc-2018: items 1 to 41"),
    pytest.param("ibc-2021", 179, 41, id="ibc-2021: items 1 to 41"),
    pytest.param("ibc-2024", 179, 41, id="ibc-2024: items 1 to 41"),
]


@pytest.mark.parametrize(("edition_id", "options", "last_item"), CENSUS)
def test_an_edition_holds_every_printed_option_and_item(edition_id, options, last_item):
    rows = rows_of(edition_id)
    assert sum(len(r.options) for r in rows) == options
    assert max(int(r.item) for r in rows if r.item) == last_item


# The same copies, each row counted once over the four editions of a code.
@pytest.mark.parametrize(("code", "rows", "options"), [("IRC", 56, 165), ("IBC", 52, 193)])
def test_the_union_over_editions_has_each_row_and_option_once(code, rows, options):
    held = main_rows(*CURRENT[code])
    assert len({r.row for r in held}) == rows
    assert len({content(r, o) for r in held for o in r.options}) == options


def test_the_superseded_schedule_has_twenty_two_options_and_one_second_nail():
    """State code-change file of the pre-2015 wording: one nail a row, 22 in all; item 17 prints a second one."""
    options = [(r.item, o.pennyweight) for r in rows_of("irc-2012") for o in r.options]
    assert len(options) == 22 + 1
    assert [p for item, p in options if item == "17"] == ["8d", "16d"]


@pytest.mark.parametrize("edition_id", BOOK.editions)
def test_row_keys_are_unique_in_an_edition(edition_id):
    keys = [r.row for r in rows_of(edition_id)]
    assert len(keys) == len(set(keys))


# IRC 2021 Table R602.3(1), Connecticut copy, in the order of the page; the sum guards a slip of a single cell.
COLUMNS = [
    # connection, counts, sum by hand
    pytest.param("stud-to-plate-end-nail", [3, 2, 3, 3], 11, id="item 17, end"),
    pytest.param("stud-to-plate-toe-nail", [4, 3, 4, 4, 4], 19, id="item 16, toe"),
    pytest.param("top-plate-lap-face-nail", [3, 2, 3], 8, id="item 18"),
    pytest.param("stud-to-header-end-nail", [4, 3, 4, 4], 15, id="item 12"),
    pytest.param("rafter-to-plate-toe-nail", [3, 3, 4, 4], 14, id="item 6"),
]


@pytest.mark.parametrize(("connection", "counts", "total"), COLUMNS)
def test_a_column_of_counts_adds_up_to_the_printed_ones(connection, counts, total):
    (row,) = BOOK.editions["irc-2021"].rows[connection]
    held = [o.nailing.count for o in row.options if isinstance(o.nailing, PerJoint)]
    assert held == counts
    assert sum(held) == total


# IRC Table R602.3(3), 2015 to 2024 copies: B 140 + 170 + 140, C 115 + 140 + 115, D 110 + 135 + 110.
@pytest.mark.parametrize("edition_id", CURRENT["IRC"])
def test_the_wall_wind_table_adds_up(edition_id):
    panels = BOOK.editions[edition_id].wind_panels
    assert [sum(p.max_wind_mph[e] for p in panels) for e in "BCD"] == [450, 370, 355]
    assert {p.wind_basis for p in panels} == {"ultimate"}


# Nominal speeds, from memory: B 110 + 130 + 110, C 90 + 110 + 90, D 85 + 105 + 85.
@pytest.mark.parametrize("edition_id", ["irc-2012", "ibc-2015", "ibc-2018", "ibc-2021"])
def test_the_older_wall_wind_table_adds_up_in_nominal_speeds(edition_id):
    panels = BOOK.editions[edition_id].wind_panels
    assert [sum(p.max_wind_mph[e] for p in panels) for e in "BCD"] == [350, 290, 275]
    assert {p.wind_basis for p in panels} == {"allowable"}
    assert {p.option.confidence for p in panels} == {"memory"}


def test_splice_plate_nails_add_up():
    """IRC R602.3.2: 6 + 6 + 12 and in high seismic areas 9 + 9 + 18; of 2015 and 2018 only the first three are held, from memory."""
    sums = {e.edition_id: sum(p.nail_count_per_side for p in e.splice_plates) for e in BOOK.editions.values() if e.splice_plates}
    assert sums == {"irc-2015": 24, "irc-2018": 24, "irc-2021": 24 + 36, "irc-2024": 24 + 36}


@pytest.mark.parametrize("edition_id", BOOK.editions)
def test_every_mark_is_one_of_five(edition_id):
    edition = BOOK.editions[edition_id]
    marks = {x.confidence for r in rows_of(edition_id) for x in (r, *r.options)}
    marks |= {p.option.confidence for p in edition.wind_panels} | {s.confidence for s in edition.scope}
    marks |= {f.confidence for f in edition.footnotes}
    assert marks <= MARKS


def test_ibc_2018_options_that_nobody_saw_are_derived():
    """Only items 1 to 7, 40 and 41 of the 2018 page were seen in two copies; a roof panel cell of item 30 in one."""
    seen = {str(n) for n in (*range(1, 8), 40, 41)}
    for row in rows_of("ibc-2018"):
        allowed = {"verified", "single_source"} if row.item in seen else {"derived", "single_source"}
        assert {o.confidence for o in row.options} <= allowed, row.row
        assert row.item in seen or row.confidence != "verified", row.row
    once = {r.connection_id for r in rows_of("ibc-2018") for o in r.options if o.confidence == "single_source"}
    assert once == {"wood-panel-to-framing"}


def test_every_source_key_is_known():
    used = {s for e in BOOK.editions.values() for rows in e.rows.values() for r in rows for o in r.options for s in o.sources}
    used |= {s for e in BOOK.editions.values() for p in e.wind_panels for s in p.option.sources}
    assert used
    assert used <= set(BOOK.sources)


@pytest.mark.parametrize("edition_id", BOOK.editions)
def test_every_named_nail_exists_with_the_printed_size(edition_id):
    options = [o for r in rows_of(edition_id) for o in r.options] + [p.option for p in BOOK.editions[edition_id].wind_panels]
    named = [o for o in options if o.nail_id]
    assert named
    for option in named:
        nail = by_id(option.nail_id, BOOK)
        assert (inches(nail.length), inches(nail.diameter)) == (inches(option.length), inches(option.diameter)), option


def test_every_row_belongs_to_a_known_connection():
    assert {c for e in BOOK.editions.values() for c in e.rows} <= set(BOOK.connections)


def test_there_are_seventy_four_cautions_of_four_severities_and_short_texts():
    assert len(BOOK.cautions) == 71 + 3, (
        "those of the list, a bracing panel over foam, bracing that earthquakes decide, too few studs at an opening"
    )
    assert {c.severity for c in BOOK.cautions.values()} == {"info", "caution", "warning", "stop"}
    assert [c.code for c in BOOK.cautions.values() if not 0 < len(c.text) <= 300] == []


def breaks(root, name, old, new):
    """Replace the first `old` in the table; return the number of the line it stood in."""
    path = root / name
    text = path.read_text(encoding="utf-8")
    at = text.index(old)
    path.write_text(text[:at] + new + text[at + len(old) :], encoding="utf-8")
    return text.count("\n", 0, at) + 1


def test_a_whole_copy_opens(tables):
    assert open_book(tables).checksum == BOOK.checksum


BROKEN = [
    # table, text, in its place
    pytest.param("fasteners.csv", "8d-common,common,8d,2.5,", "8d-common,common,8d,two,", id="a word for a length"),
    pytest.param("fasteners.csv", "8d-common,common,8d,2.5,", "8d-common,common,8d,2.5,,", id="one cell too many"),
    pytest.param("fasteners.csv", "8d-common,common,8d,2.5,0.131,", "8d-common,common,8d,", id="cells missing"),
    pytest.param("cautions.csv", ",caution,", ",harmless,", id="an unknown severity"),
    pytest.param("us/irc_2021/wall_panel_wind.csv", ",140,", ",fast,", id="a word for a wind speed"),
    pytest.param("us/irc_2021/schedule.csv", ",2.5,0.113,", ",2.5,thin,", id="a word for a diameter"),
    pytest.param("us/irc_2021/schedule.csv", "ct_irc2021 crc2025", "nowhere crc2025", id="an unknown source"),
    pytest.param("species.csv", ",0.42,", ",light,", id="a word for a gravity"),
]


@pytest.mark.parametrize(("name", "old", "new"), BROKEN)
def test_a_broken_cell_is_named_by_table_and_line(tables, name, old, new):
    line = breaks(tables, name, old, new)
    with pytest.raises(TableError) as caught:
        open_book(tables)
    said = str(caught.value)
    assert "\n" not in said
    assert name in said
    assert f"line {line}" in said


def test_a_key_that_stands_twice_is_named_by_table_and_line(tables):
    path = tables / "lumber.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([*lines, lines[-1]]) + "\n", encoding="utf-8")
    with pytest.raises(TableError) as caught:
        open_book(tables)
    said = str(caught.value)
    assert "\n" not in said
    assert "lumber.csv" in said and "4x12" in said
    assert f"line {len(lines) + 1}" in said


@pytest.mark.parametrize("name", ["species.csv", "VERSION", "us/irc_2018/scope.csv", "us/ibc_2015/edition.csv"])
def test_a_missing_file_is_named(tables, name):
    (tables / name).unlink()
    with pytest.raises(TableError) as caught:
        open_book(tables)
    said = str(caught.value)
    assert "\n" not in said
    assert name in said


def test_no_editions_at_all_is_said(tables):
    shutil.rmtree(tables / "us")
    with pytest.raises(TableError, match="edition"):
        open_book(tables)
