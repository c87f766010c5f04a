"""Reading nails from what people type."""

import re
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.domain.nails.designation import read_words
from service.domain.nails.nail import DIAMETER_RANGE, LENGTH_RANGE, by_id, of_size
from service.domain.nails.words import read_designation
from service.errors import FasteningError
from service.said import plain
from service.tables.book import open_book
from service.ticks import PER_IN, PER_MM, inches, ticks

BOOK = open_book()

# The forms people type; sizes of named nails: ASTM F1667 as listed in fasteners.csv.
TYPED = [
    # words, length [in], diameter [in], shank
    pytest.param("16d common", 3.5, 0.162, "smooth", id="name and pennyweight"),
    pytest.param("3 x .131", 3, 0.131, "smooth", id="no leading zero"),
    pytest.param('3-1/4" x 0.120"', 3.25, 0.120, "smooth", id="inch marks"),
    pytest.param("2 3/8 x .113 ring", 2.375, 0.113, "ring", id="ring"),
    pytest.param("10d box", 3, 0.128, "smooth", id="box"),
    pytest.param("16D Sinker", 3.25, 0.148, "smooth", id="capitals"),
    pytest.param("0.131 x 3", 3, 0.131, "smooth", id="diameter first"),
    pytest.param("3″ × 0.131″ nails", 3, 0.131, "smooth", id="typographic marks"),
    pytest.param("10d box (3 x 0.128)", 3, 0.128, "smooth", id="name and size"),
    pytest.param("3 x .131 framing gun nails, paper strip", 3, 0.131, "smooth", id="tool and strip"),
    pytest.param("21 degree plastic collated 3-1/4 x .131", 3.25, 0.131, "smooth", id="angle of the strip"),
    pytest.param("30° 3 x .131 vinyl coated", 3, 0.131, "smooth", id="degree sign"),
    pytest.param("2-3/8 x .113 ring coil", 2.375, 0.113, "ring", id="coil"),
    pytest.param("16d sinkers", 3.25, 0.148, "smooth", id="plural"),
]


@pytest.mark.parametrize(("words", "length", "diameter", "shank"), TYPED)
def test_typed_words_name_one_nail(words, length, diameter, shank):
    nail = read_designation(words, BOOK)
    assert (inches(nail.length), inches(nail.diameter), nail.shank) == (length, diameter, shank)


def test_millimetres_are_read_to_the_hundredth():
    nail = read_designation("75 x 3.15 mm", BOOK)
    assert (nail.length, nail.diameter) == (75 * PER_MM, 315 * PER_MM // 100)


def test_a_bare_pennyweight_is_refused_with_every_diameter():
    """16d: common 0.162, sinker 0.148, box 0.135 (ASTM F1667)."""
    with pytest.raises(FasteningError) as caught:
        read_designation("16d", BOOK)
    (fault,) = caught.value.faults
    assert fault.code == "ambiguous_nail"
    assert {c["shank_diameter_in"] for c in fault.facts["candidates"]} >= {0.162, 0.148, 0.135}


@pytest.mark.parametrize(
    ("words", "length", "diameter"),
    [("90x3.1", "90", "3.1"), ("75 x 3.15", "75", "3.15"), ("3.1 x 90", "90", "3.1"), ("63 x 2.9 ring", "63", "2.9")],
)
def test_two_bare_numbers_over_8_are_millimetres_and_said_to_be(words, length, diameter):
    nail = read_designation(words, BOOK)
    assert (nail.length, nail.diameter) == (Decimal(length) * PER_MM, Decimal(diameter) * PER_MM)
    assert nail.label.startswith(f"{length} x {diameter} mm ")
    assert read_words(words, BOOK).read_as == nail.label


# Boxes give the diameter in thousandths of an inch (common practice, no source); 90 and 100 may be metric lengths, 131 mm is no nail.
@pytest.mark.parametrize(
    ("words", "length", "diameter"),
    [
        ("3x131", "3", "0.131"),
        ("3 x 120 gun", "3", "0.120"),
        ("3-1/4x131", "3.25", "0.131"),
        ("2-3/8 x 113 ring", "2.375", "0.113"),
        ("2-1/4x99", "2.25", "0.099"),
    ],
)
def test_a_diameter_in_thousandths_is_read_and_said(words, length, diameter):
    nail = read_designation(words, BOOK)
    assert (nail.length, nail.diameter) == (Decimal(length) * PER_IN, Decimal(diameter) * PER_IN)
    assert read_words(words, BOOK).read_as == nail.label


@pytest.mark.parametrize("words", ["8 x 0.3", "3 x .131", "75 x 3.15 mm", "16d common"])
def test_what_says_its_unit_or_is_inches_is_not_said_to_be_read_otherwise(words):
    assert read_words(words, BOOK).read_as == ""


@pytest.mark.parametrize("words", ["200 x 5", "9 x 0.131"])
def test_200_and_over_and_a_diameter_in_inches_are_not_taken_for_millimetres(words):
    with pytest.raises(FasteningError) as caught:
        read_designation(words, BOOK)
    assert "out_of_range" in {f.code for f in caught.value.faults}
    assert all("8" in plain(f.detail) or "0.4" in plain(f.detail) for f in caught.value.faults)


@pytest.mark.parametrize(
    ("words", "head", "coating"),
    [
        ("3 x .131 clipped", "clipped", "bright"),
        ("3 x .131 D-head", "clipped", "bright"),
        ("3 x .131 full round head", "full_round", "bright"),
        ("8d common HDG", "full_round", "hot_dip_galvanized"),
        ("8d common hot-dipped galvanized", "full_round", "hot_dip_galvanized"),
        ("8d common electro-galvanized", "full_round", "electro_galvanized"),
        ("8d common stainless", "full_round", "stainless"),
    ],
)
def test_words_of_head_and_coating_are_read(words, head, coating):
    nail = read_designation(words, BOOK)
    assert (nail.head, nail.coating) == (head, coating)
    assert read_words(words, BOOK).read_as == ""


@pytest.mark.parametrize("words", ["3 x .131 galv", "3 x .131 galvanized nails"])
def test_galvanized_alone_is_the_lesser_coating_and_said_to_be(words):
    """Only hot-dip zinc is thick enough for copper-treated wood (ASTM A153 as named in the caution); the bare word may be either."""
    assert read_designation(words, BOOK).coating == "electro_galvanized"
    assert read_words(words, BOOK).read_as == "3 x 0.131 smooth electro galvanized"


# What is missing, and what it could be: sizes of ASTM F1667 as listed in fasteners.csv.
HALF_NAMED = [
    ("2-3/8 ring", "names no diameter", {(2.375, 0.113)}),
    ("3 in common", "names no diameter", {(3, 0.148)}),
    ('20d 4"', "names no diameter", {(4, 0.192), (4, 0.148)}),
    (".113 ring", "names no length", {(2, 0.113), (2.375, 0.113), (2.5, 0.113)}),
    ("16d gun", "names no single diameter", {(3.5, 0.162), (3.5, 0.135), (3.25, 0.148)}),
]


@pytest.mark.parametrize(("words", "missing", "could_be"), HALF_NAMED)
def test_half_a_size_is_refused_with_what_is_missing_and_what_it_could_be(words, missing, could_be):
    with pytest.raises(FasteningError) as caught:
        read_designation(words, BOOK)
    (fault,) = caught.value.faults
    assert (fault.code, missing in fault.detail) == ("ambiguous_nail", True)
    assert {(c["length_in"], c["shank_diameter_in"]) for c in fault.facts["candidates"]} == could_be


def test_a_pennyweight_beside_another_length_does_not_choose_the_diameter():
    """Gun nails of 3-1/4 in are sold as 16d (common practice, no source); the 16d sinker of that length is thicker."""
    with pytest.raises(FasteningError) as caught:
        read_designation("16d 3-1/4", BOOK)
    assert min(c["shank_diameter_in"] for c in caught.value.faults[0].facts["candidates"]) == 0.120


@pytest.mark.parametrize("words", ["16 ga staple 1-3/4", "1-3/4 x 16 gauge staples"])
def test_a_staple_is_named_for_what_it_is(words):
    with pytest.raises(FasteningError) as caught:
        read_designation(words, BOOK)
    (fault,) = caught.value.faults
    assert fault.code == "unreadable_nail"
    assert "some rows list staples" in fault.detail
    assert "not compared by strength" in fault.detail


@pytest.mark.parametrize("words", ["", "a nail", "banana", "16d common box", "99d common", "3 x", "3/0 x .131", "ring smooth 3 x .131"])
def test_words_that_name_no_nail_are_unreadable(words):
    with pytest.raises(FasteningError) as caught:
        read_designation(words, BOOK)
    assert caught.value.faults[0].code == "unreadable_nail"


@pytest.mark.parametrize("nail_id", BOOK.nails)
def test_every_catalogue_label_reads_back_as_its_own_nail(nail_id):
    assert read_designation(by_id(nail_id, BOOK).label, BOOK).nail_id == nail_id


SIZES = st.tuples(
    st.sampled_from(["smooth", "ring", "screw"]),
    st.integers(LENGTH_RANGE[0] * 32 // PER_IN, LENGTH_RANGE[1] * 32 // PER_IN).map(lambda n: ticks(n / 32)),
    st.integers(50, 400).map(lambda n: ticks(n / 1000)),
)


@given(SIZES)
def test_the_label_of_any_size_reads_back(size):
    nail = of_size(*size)
    assert not nail.label.count("mm")
    back = read_designation(nail.label, BOOK)
    assert (back.nail_id, back.shank, back.length, back.diameter) == (nail.nail_id, nail.shank, nail.length, nail.diameter)


@given(SIZES)
def test_the_id_of_any_size_reads_back(size):
    """An id has four decimals, so a 32nd may move by half of the last one."""
    nail = of_size(*size)
    back = by_id(nail.nail_id, BOOK)
    assert (back.nail_id, back.shank, back.diameter) == (nail.nail_id, nail.shank, nail.diameter)
    assert abs(back.length - nail.length) <= ticks("0.00005")


@given(st.sampled_from(["smooth", "ring", "screw"]), st.integers(1270, 20320), st.integers(127, 1016))
def test_a_metric_size_is_labelled_in_millimetres_and_reads_back(shank, length, diameter):
    """0.5 to 8 in and 0.05 to 0.4 in, in hundredths of a millimetre."""
    nail = of_size(shank, length * PER_MM // 100, diameter * PER_MM // 100, "mm")
    assert " mm " in nail.label
    assert read_designation(nail.label, BOOK) == nail


def two_places(length):
    return (Decimal(length) / PER_MM).quantize(Decimal("0.01"))


@given(SIZES)
def test_millimetre_and_inch_forms_agree_to_a_thousandth_of_an_inch(size):
    """0.01 mm is 0.0004 in, so its rounding stays inside the matching tolerance."""
    nail = of_size(*size)
    metric = f"{two_places(nail.length)} x {two_places(nail.diameter)} mm {nail.shank}"
    if not (LENGTH_RANGE[0] <= two_places(nail.length) * PER_MM <= LENGTH_RANGE[1]):
        return
    if not (DIAMETER_RANGE[0] <= two_places(nail.diameter) * PER_MM <= DIAMETER_RANGE[1]):
        return
    read = read_designation(metric, BOOK)
    assert abs(read.length - nail.length) <= ticks("0.001")
    assert abs(read.diameter - nail.diameter) <= ticks("0.001")
    assert read.shank == nail.shank


PIECES = [
    "16", "8", "10d", "d", "-", " ", "x", "×", "/", ".", "3", "1/2", "0.131", '"', "″", "mm", "in", "ring", "screw", "common", "box",
    "sinker", "rsrs", "RSRS-01", "rsrs 3", "post-frame", "galvanized", "stainless", "(", ")", ",", "nail", "2-3/8 x .113", "75 x 3.1 mm",
    "penny", "0", "/0", "²", "٣", "gun", "framing", "clipped", "full round", "galv", "hdg", "vinyl", "plastic", "strip", "coil", "staple",
    "90x3.1", "2-3/8", "1/0", "21 degree", "°", "d head", "hot", "dip", "199", "200 x 9",
]  # fmt: skip
NAIL_TALK = st.lists(st.sampled_from(PIECES), max_size=8).map(lambda ps: "".join(ps)) | st.lists(st.sampled_from(PIECES), max_size=8).map(
    " ".join
)


@given(st.text(max_size=80) | NAIL_TALK)
@example("1/0 x 3")
@example("٣ x .131")
@example("rsrs")
def test_any_text_is_read_or_refused_and_only_rsrs_words_name_rsrs(words):
    try:
        found = read_words(words, BOOK).nails
    except FasteningError as error:
        assert error.faults[0].code in ("unreadable_nail", "out_of_range")
        return
    assert found
    if not re.search("rsrs", words, re.IGNORECASE):
        assert all(n.kind != "rsrs" for n in found)


@pytest.mark.parametrize("words", ["2-3/8 x .113 ring", "2.375 x 0.113 ring shank", "2-1/2 x .131 ring"])
def test_a_size_alone_never_means_rsrs(words):
    """A coil ring nail has the size of RSRS-01 without its ring length or head (engineering judgement, from memory)."""
    assert read_designation(words, BOOK).kind == ""


@pytest.mark.parametrize("number", range(1, 6))
def test_rsrs_is_read_by_its_number(number):
    assert read_designation(f"RSRS-0{number}", BOOK).nail_id == f"rsrs-0{number}"


@pytest.mark.parametrize("words", ["31/4 x .131", "23/8 x .113", "8/8 x .113"])
def test_a_fraction_over_one_lacks_its_blank_and_is_refused(words):
    with pytest.raises(FasteningError) as caught:
        read_designation(words, BOOK)
    assert "3-1/4" in caught.value.faults[0].detail


@pytest.mark.parametrize(("words", "length"), [("3½ x 0.162", "3.5"), ("2⅜ x .113 ring", "2.375")])
def test_fraction_signs_are_read(words, length):
    assert read_designation(words, BOOK).length == Decimal(length) * PER_IN
