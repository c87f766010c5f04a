"""The uplift table cell by cell as on the page, and the numbers of the clauses on roof ties and anchor bolts."""

import csv
from pathlib import Path

import pytest

from service.tables.book import open_book
from service.ticks import PER_FT, inches, ticks

BOOK = open_book()
PAGE = Path(__file__).parents[1] / "published" / "roof_ties.csv"
WINDS = (110, 115, 120, 130, 140)
LINES = list(csv.DictReader(line for line in PAGE.read_text().splitlines() if not line.startswith("#")))
PRINTED = {
    (line["exposure"], int(line["spacing_in"]), int(line["span_ft"]), wind): (
        int(line[f"lb_{wind}_shallow"]),
        int(line[f"lb_{wind}_steep"]),
    )
    for line in LINES
    for wind in WINDS
}
BLOCKS = {"irc-2015": "BC", "irc-2018": "B", "irc-2021": "BC"}
"""The Exposure C block of 2018 was not seen."""


def test_the_page_has_two_blocks_of_24_lines():
    assert len(LINES) == 48
    # row sums added by hand from the page: 12 in, 12 ft in Exposure B; 24 in, 48 ft in Exposure C
    assert sum(sum(PRINTED["B", 12, 12, wind]) for wind in WINDS) == 755
    assert sum(sum(PRINTED["C", 24, 48, wind]) for wind in WINDS) == 7392


@pytest.mark.parametrize("edition_id", BLOCKS)
def test_every_cell_is_as_printed(edition_id):
    ties = BOOK.editions[edition_id].roof_ties
    held = {
        (exposure, inches(r.spacing), r.span // PER_FT, r.wind_mph): (r.shallow_lb, r.steep_lb)
        for exposure, block in ties.blocks.items()
        for r in block.values()
    }
    assert held == {key: cell for key, cell in PRINTED.items() if key[0] in BLOCKS[edition_id]}


@pytest.mark.parametrize("key", PRINTED, ids=str)
def test_uplift_is_proportional_to_spacing_within_a_pound(key):
    """A rafter at 24 in carries twice, one at 16 in 1.33 times the roof of one at 12 in."""
    exposure, _, span, wind = key
    for pitch in (0, 1):
        close, middle, wide = (PRINTED[exposure, spacing, span, wind][pitch] for spacing in (12, 16, 24))
        assert abs(wide - 2 * close) <= 1
        assert abs(middle - 1.33 * close) <= 1


def test_no_line_is_better_known_than_where_it_was_read():
    """2021: both blocks read whole, Exposure B in 2018 and some of Exposure C in 2015 too. What 2015 did not show is carried over."""
    again = {(24, span) for span in (12, 18, 24, 28, 32, 36, 42, 48)} | {(16, 42), (16, 48)}

    def known(edition_id, exposure):
        rows = BOOK.editions[edition_id].roof_ties.blocks[exposure].values()
        place = {r: (inches(r.spacing), r.span // PER_FT) in again for r in rows}
        return tuple({r.confidence for r in rows if place[r] == seen} for seen in (True, False))

    assert known("irc-2021", "B") == ({"verified"}, {"verified"})
    assert known("irc-2021", "C") == ({"verified"}, {"single_source"})
    assert known("irc-2018", "B") == ({"verified"}, {"verified"})
    assert known("irc-2015", "B") == ({"derived"}, {"derived"})
    assert known("irc-2015", "C") == ({"verified"}, {"derived"})


# IRC R802.11 and the notes of its table (2015 and 2021 copies): lb, in, mph, ft as printed.
TIES = {
    "nails_alone_to": 200,
    "nails_alone_spacing": ticks(24),
    "exempt_wind_to": 115,
    "exempt_exposure": "B",
    "exempt_pitch_from": 5,
    "exempt_span_to": 32 * PER_FT,
    "mean_roof_height_to": 33 * PER_FT,
    "overhang_to": ticks(24),
    "dead_load": 15,
    "away_from_corner_over": 8 * PER_FT,
    "away_from_corner_factor": 0.75,
    "hip_pitch_from": 5,
    "hip_factor": 0.7,
    "full_wall_credit": 60,
    "next_column_exposure": "D",
    "next_column_block": "C",
}


@pytest.mark.parametrize("edition_id", BLOCKS)
def test_the_notes_of_the_table_are_as_printed(edition_id):
    rules = BOOK.editions[edition_id].roof_ties.rules
    assert {key: getattr(rules, key) for key in TIES} == TIES
    assert {rules.rows[key].confidence for key in TIES} == {"verified"}
    # outside its columns the table prints nothing: the readings are this service's
    assert {rules.rows[key].confidence for key in ("slow_wind_reads", "short_span_reads", "between_columns_raised")} == {"memory"}


def test_the_rule_of_braced_panels_is_held_where_it_was_read():
    """IRC 2021 R602.3.5: net uplift to 100 plf, one state copy."""
    assert {e: BOOK.editions[e].roof_ties.rules.braced_panel_to for e in BLOCKS} == {"irc-2015": None, "irc-2018": None, "irc-2021": 100}
    assert BOOK.editions["irc-2021"].roof_ties.rules.rows["braced_panel_to"].confidence == "single_source"


# IRC R403.1.6, R403.1.6.1 and R602.11.1 (2021 copy read whole; older wordings in three others).
BOLTS = {
    "least_diameter": (ticks("0.5"), "verified"),
    "most_spacing": (6 * PER_FT, "verified"),
    "tall_spacing": (4 * PER_FT, "single_source"),
    "tall_over": (2, "single_source"),
    "tall_categories": (("D0", "D1", "D2"), "single_source"),
    "tall_townhouse_categories": (("C",), "single_source"),
    "least_embedment": (ticks(7), "verified"),
    "least_per_piece": (2, "verified"),
    "end_most": (ticks(12), "verified"),
    "end_least_diameters": (7, "verified"),
    "one_bolt_to": (ticks(24), "single_source"),
    "no_bolt_to": (ticks(12), "single_source"),
    "washer_categories": (("D0", "D1", "D2"), "verified"),
    "washer_townhouse_categories": (("C",), "verified"),
    "washer_side": (ticks(3), "verified"),
    "washer_thickness": (ticks("0.229"), "single_source"),
    "cover": (ticks("1.5"), "single_source"),
    # chosen within the limits of the code, or custom
    "end_share": (0.25, "memory"),
    "least_piece": (ticks(12), "memory"),
    "clear_of_stud": (ticks(1), "common_practice"),
}


@pytest.mark.parametrize("edition_id", ["irc-2012", "irc-2015", "irc-2018", "irc-2021"])
def test_anchor_bolts_are_as_printed(edition_id):
    rules = BOOK.editions[edition_id].anchor_bolts
    assert {key: (getattr(rules, key), rules.rows[key].confidence) for key in BOLTS} == BOLTS
    assert inches(rules.end_least) == 3.5


def test_what_was_not_read_is_not_held():
    """The 2024 cells were not compared, and the IBC has tables of its own."""
    assert {e for e, edition in BOOK.editions.items() if edition.roof_ties} == set(BLOCKS)
    assert {e for e, edition in BOOK.editions.items() if edition.anchor_bolts} == {"irc-2012", *BLOCKS}
