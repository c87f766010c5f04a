"""Roof ties: the cells of IRC Table R802.11, its notes, its limits, and laws that hold whatever the table reads."""

from dataclasses import replace
from math import ceil, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.building.tie_table import Roof, read_ties
from service.domain.building.uplift import Uplift, uplift_of
from service.domain.site import Site
from service.said import plain
from service.tables.book import open_book
from service.ticks import PER_FT, ticks

BOOK = open_book()


def feet(length: float) -> int:
    return ticks(length, PER_FT)


def asked(
    mph: float = 115, exposure: str = "B", span: float = 28, pitch: float = 4, spacing: float = 24, edition: str = "irc-2021", **more: Any
) -> Uplift:
    on = {k: more.pop(k) for k in ("wind_speed_basis", "hurricane_prone", "seismic_design_category", "assumed") if k in more}
    site = Site(mph, exposure=exposure, **on)
    return uplift_of(Roof(feet(span), pitch, ticks(spacing), **more), site, BOOK.editions[edition], BOOK.rules)


# A reading of Table R802.11: Exposure B, 24 in on center, 115 mph; pitch under 5 in 12, then the case of the exception.
@pytest.mark.parametrize(
    ("span", "pitch", "lb", "alone"), [(24, 4, 178, True), (28, 4, 198, True), (32, 4, 218, False), (32, 5, 194, True)]
)
def test_toe_nails_or_a_tie(span, pitch, lb, alone):
    found = asked(span=span, pitch=pitch)
    assert (found.outcome, found.tie_lb, found.nails_alone, found.provenance.confidence) == ("prescriptive", lb, alone, "verified")
    assert found.provenance.modified is False


# A reading of Table R802.11: span 28 ft, under 5 in 12. The 140 column is read where the scope of the code does not stop it.
@pytest.mark.parametrize(("mph", "lb"), [(110, 158), (115, 198), (120, 242), (130, 334), (140, 432)])
def test_more_wind_on_the_same_roof(mph, lb):
    ties = BOOK.editions["irc-2021"].roof_ties
    assert read_ties(Roof(feet(28), 4, ticks(24)), Site(mph), ties, BOOK.rules).tie_lb == lb
    assert asked(mph).tie_lb == (lb if mph < 140 else None)


def test_at_the_limit_of_the_prescriptive_rules_the_reading_is_said_and_no_number_given():
    """IRC R301.2.1.1: wind design from 140 mph where hurricanes are not to be feared, from 130 where they are (from memory)."""
    for found, read in ((asked(140), "reads 432 lb"), (asked(130, hurricane_prone=True), "reads 334 lb")):
        assert (found.outcome, found.tie_lb, found.nails_alone, found.braced_panels) == (
            "engineering_required",
            None,
            False,
            "engineering_required",
        )
        assert read in found.reason and "R301.2.1.1" in found.reason


@pytest.mark.parametrize(
    ("more", "lb"),
    [
        ({"span": 26}, 188),  # half way from 178 at 24 ft to 198 at 28 ft
        ({"mph": 112.5}, 178),  # half way from 158 to 198
        ({"mph": 125, "span": 30}, 303.5),  # half way both ways from 242, 268, 334 and 370: a quarter of 1214
        ({"span": 45, "mph": 115}, 286),  # half way from 270 to 302
    ],
)
def test_between_spans_and_speeds_a_straight_line(more, lb):
    found = asked(**more)
    assert found.tie_lb == ceil(lb)
    assert found.provenance.modified and "between" in found.provenance.note


def test_an_allowable_speed_is_converted_before_the_table_is_read():
    """90 allowable is 90 / sqrt(0.6) = 116.19 ultimate: 198 + (116.19 - 115) / 5 x (242 - 198) = 208.5, up to 209."""
    ultimate = 90 / sqrt(0.6)
    assert asked(90, wind_speed_basis="allowable").tie_lb == ceil(198 + (ultimate - 115) / 5 * 44) == 209


def test_slower_winds_and_shorter_spans_read_the_first_column_and_row():
    """Nothing is extrapolated downwards; both readings are from memory and say so."""
    assert asked(85).tie_lb == asked(110).tie_lb == 158
    assert asked(span=8).tie_lb == asked(span=12).tie_lb == 118
    assert {asked(85).provenance.confidence, asked(span=8).provenance.confidence} == {"memory"}
    assert asked(110).provenance.confidence == asked(span=12).provenance.confidence == "verified"


# Note of the table: Exposure D reads the Exposure C block at the next higher tabulated speed; between columns the column above first.
# Exposure C, 24 in, 28 ft, under 5 in 12: 332, 390, 450, 578, 716 lb at 110, 115, 120, 130, 140 mph.
@pytest.mark.parametrize(("mph", "lb", "known"), [(100, 390, "memory"), (110, 390, "verified"), (111, 450, "memory"), (115, 450, "verified"), (120, 578, "verified"), (121, 716, "memory"), (130, 716, "verified")])  # fmt: skip
def test_exposure_d_reads_one_column_further(mph, lb, known):
    found = asked(mph, "D")
    assert (found.tie_lb, found.provenance.confidence) == (lb, known)


def test_exposure_d_past_its_last_column_has_no_number():
    """Over 130 mph there is no next column."""
    found = asked(139, "D")
    assert (found.outcome, found.tie_lb) == ("engineering_required", None)
    assert "139 mph" in plain(found.reason) and "130 mph" in plain(found.reason) and "by 9 mph" in plain(found.reason)


LIMITS = [
    # what is past the table, the limit, the excess
    ({"span": 48.5}, "48 ft", "0.5 ft"),
    ({"spacing": 24.5}, "24 in", "0.5 in"),
    ({"mean_height": feet(34)}, "33 ft", "1 ft"),
    ({"overhang": ticks(30)}, "24 in", "6 in"),
]


@pytest.mark.parametrize(("more", "limit", "excess"), LIMITS)
def test_each_limit_is_named_with_its_excess(more, limit, excess):
    found = asked(**more)
    assert (found.outcome, found.tie_lb, found.plf, found.net_plf, found.nails_alone) == ("engineering_required", None, None, None, False)
    assert limit in plain(found.reason) and f"by {excess}" in plain(found.reason)
    assert found.stop.code == "engineering_required_scope"
    assert (found.stop.cited.section, found.stop.cited.table) == ("R802.11", "R802.11")


@pytest.mark.parametrize("more", [{"span": 48}, {"mean_height": feet(33)}, {"overhang": ticks(24)}, {"mph": 139.9}])
def test_at_its_limits_the_table_still_serves(more):
    assert asked(**more).outcome == "prescriptive"


def test_all_limits_are_said_at_once():
    said = plain(asked(150, span=60, mean_height=feet(40), seismic_design_category="E").reason)
    assert [word for word in ("wind", "roof span", "mean roof height", "category E") if word not in said] == []


@pytest.mark.parametrize(
    ("edition", "exposure"), [("irc-2024", "B"), ("irc-2012", "B"), ("ibc-2021", "B"), ("irc-2018", "C"), ("irc-2018", "D")]
)
def test_what_is_not_held_has_no_number(edition, exposure):
    found = asked(edition=edition, exposure=exposure)
    assert (found.outcome, found.tie_lb, found.nails_alone, found.braced_panels, found.stop.code) == (
        "no_data",
        None,
        False,
        "not_checked",
        "value_not_held",
    )


# Notes of the table: 0.75 for ties more than 8 ft from building corners, 0.70 for hip roofs of 5 in 12 and steeper, not both.
@pytest.mark.parametrize(
    ("more", "lb", "names"),
    [
        ({"corner_distance": feet(8)}, 198, []),
        ({"corner_distance": feet(8.1)}, 148.5, ["away_from_corner"]),
        ({"hip": True}, 198, []),  # a shallow hip roof
        ({"hip": True, "pitch": 5}, 176 * 0.7, ["hip_roof"]),
        ({"hip": True, "pitch": 5, "corner_distance": feet(20)}, 176 * 0.7, ["hip_roof"]),
        ({"hip": True, "pitch": 4, "corner_distance": feet(20)}, 148.5, ["away_from_corner"]),
    ],
)
def test_factors_of_the_notes(more, lb, names):
    found = asked(**more)
    assert (found.tie_lb, [f.name for f in found.factors]) == (ceil(lb), names)
    assert all(f.because and f.provenance.table == "R802.11" for f in found.factors)


def test_ties_between_the_rows_read_pounds_a_foot_or_the_wider_row():
    """The 12 in row, 99 lb, read as 99 lb/ft: 19.2 in carry 99 x 1.6 = 158.4. Just under 16 in the 16 in row itself, 132, is the lesser."""
    assert [asked(spacing=s).tie_lb for s in (19.2, 12, 16, 24)] == [159, 99, 132, 198]
    assert asked(spacing=15.99).tie_lb <= 132


def test_full_walls_above_take_sixty_pounds_a_foot_each_off():
    """218 lb at 24 in are 109 lb/ft: 49 are left under one full wall, nothing under two. The tie at the roof carries all."""
    found = [asked(span=32, full_walls_above=n) for n in (0, 1, 2)]
    assert [f.net_plf for f in found] == [109, 49, 0]
    assert {f.tie_lb for f in found} == {218}
    assert [f.braced_panels for f in found] == ["connector_needed", "ok", "ok"]


def test_braced_panels_hold_a_hundred_pounds_a_foot_where_the_rule_is_held():
    """IRC 2021 R602.3.5: 132 lb at 16 in are 99 lb/ft, 161 lb at 120 mph are 121; nails alone do at both."""
    assert [asked(mph, spacing=16).braced_panels for mph in (115, 120)] == ["ok", "connector_needed"]
    assert [asked(mph, spacing=16).nails_alone for mph in (115, 120)] == [True, True]
    assert asked(120, spacing=16, edition="irc-2018").braced_panels == "not_checked"


def test_the_exempt_roof_needs_no_tie_whatever_the_table_reads():
    """115 mph, Exposure B, 5 in 12, 32 ft (R802.11): shown with a threshold lowered to 150 lb under its 194."""
    edition = BOOK.editions["irc-2021"]
    ties = replace(edition.roof_ties, rules=replace(edition.roof_ties.rules, nails_alone_to=150))
    for pitch, alone in ((5, True), (4.9, False)):
        found = uplift_of(Roof(feet(32), pitch, ticks(24)), Site(115), replace(edition, roof_ties=ties), BOOK.rules)
        assert found.nails_alone == alone
        assert ("the code lets nails alone" in found.reason) == alone


def test_what_was_carried_over_or_read_once_says_so():
    assert asked(120, "C", spacing=12).provenance.confidence == "single_source"
    assert asked(120, "C", spacing=24).provenance.confidence == "verified"
    assert asked(edition="irc-2015").provenance.confidence == "derived"
    assert asked(120, "C", edition="irc-2015").provenance.confidence == "verified"


def test_a_corrected_line_corrects_the_answer_and_nothing_else():
    edition = BOOK.editions["irc-2021"]
    key = (ticks(24), feet(28), 115)
    block = edition.roof_ties.blocks["B"]
    changed = {**edition.roof_ties.blocks, "B": {**block, key: replace(block[key], shallow_lb=210)}}
    corrected = replace(edition, roof_ties=replace(edition.roof_ties, blocks=changed))
    found = uplift_of(Roof(feet(28), 4, ticks(24)), Site(115), corrected, BOOK.rules)
    assert (found.tie_lb, found.nails_alone) == (210, False)
    assert asked().tie_lb == 198


# Laws. Past the table there is no number, which is the gravest answer of all.
def weight(found: Uplift) -> float:
    return float("inf") if found.tie_lb is None else found.tie_lb


SITES = {
    "mph": st.floats(85, 150),
    "exposure": st.sampled_from("BCD"),
    "span": st.floats(6, 52),
    "pitch": st.floats(0, 12),
    "spacing": st.floats(6, 26),
}
each_roof = given(roof=st.fixed_dictionaries(SITES), more=st.floats(0, 1))


@each_roof
def test_more_wind_never_lifts_less(roof, more):
    assert weight(asked(**roof)) <= weight(asked(**{**roof, "mph": roof["mph"] + 30 * more}))


@each_roof
def test_a_wider_roof_never_lifts_less(roof, more):
    assert weight(asked(**roof)) <= weight(asked(**{**roof, "span": roof["span"] + 20 * more}))


@each_roof
def test_a_shallower_roof_never_lifts_less(roof, more):
    assert weight(asked(**roof)) <= weight(asked(**{**roof, "pitch": roof["pitch"] * more}))
    assert weight(asked(**roof, hip=True)) <= weight(asked(**{**roof, "pitch": roof["pitch"] * more}, hip=True))


@each_roof
def test_wider_ties_never_carry_less(roof, more):
    assert weight(asked(**roof)) <= weight(asked(**{**roof, "spacing": roof["spacing"] + 12 * more}))


@each_roof
def test_a_worse_exposure_never_lifts_less(roof, more):
    by_exposure = [weight(asked(**{**roof, "exposure": e})) for e in "BCD"]
    assert by_exposure == sorted(by_exposure)


@each_roof
def test_leaving_out_never_helps(roof, more):
    """What a roof may say besides can only lower its uplift, or stop it."""
    said = {"hip": more > 0.5, "corner_distance": feet(16 * more), "mean_height": feet(33 * more), "overhang": ticks(24 * more)}
    whole = asked(**roof, **said, full_walls_above=int(2 * more))
    bare = asked(**roof)
    assert weight(whole) <= weight(bare)
    assert whole.tie_lb is None or (whole.plf <= bare.plf and whole.net_plf <= bare.net_plf)
    assert whole.nails_alone or not bare.nails_alone


@each_roof
def test_between_its_nodes_the_table_stays_between_them(roof, more):
    ties = BOOK.editions["irc-2021"].roof_ties
    span, mph = min(max(roof["span"], 12), 48), min(max(roof["mph"], 110), 140)
    read = read_ties(Roof(feet(span), 4, ticks(24)), Site(mph), ties, BOOK.rules).tie_lb
    cells = {(r.span, r.wind_mph): r.shallow_lb for (spacing, *_), r in ties.blocks["B"].items() if spacing == ticks(24)}
    low = max(lb for (s, w), lb in cells.items() if s <= feet(span) and w <= mph)
    high = min(lb for (s, w), lb in cells.items() if s >= feet(span) and w >= mph)
    assert low - 1e-9 <= read <= high + 1e-9
