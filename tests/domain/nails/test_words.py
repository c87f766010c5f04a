"""Reading nails from what people type."""

import re
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.domain.nails.nail import DIAMETER_RANGE, LENGTH_RANGE, by_id, of_size
from service.domain.nails.words import candidates, read_designation
from service.errors import FasteningError
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
    back = read_designation(nail.label, BOOK)
    assert (back.nail_id, back.shank, back.length, back.diameter) == (nail.nail_id, nail.shank, nail.length, nail.diameter)


@given(SIZES)
def test_the_id_of_any_size_reads_back(size):
    """An id has four decimals, so a 32nd may move by half of the last one."""
    nail = of_size(*size)
    back = by_id(nail.nail_id, BOOK)
    assert (back.nail_id, back.shank, back.diameter) == (nail.nail_id, nail.shank, nail.diameter)
    assert abs(back.length - nail.length) <= ticks("0.00005")


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
    "penny", "0", "/0", "²", "٣",
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
        found = candidates(words, BOOK)
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
