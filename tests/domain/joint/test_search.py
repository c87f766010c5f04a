"""Joints found by what people call them.

The first answers are trade knowledge (common practice, no source); the synonyms are those of builder manuals and handbooks.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.joint.search import NEAREST, find_joints
from service.tables.book import open_book

BOOK = open_book()


def found(text):
    return find_joints(text, BOOK.connections.values(), BOOK)


FIRST = [
    ("double top plate", "top-plate-to-top-plate-face-nail"),
    ("double plate", "top-plate-to-top-plate-face-nail"),
    ("plate to plate", "top-plate-to-top-plate-face-nail"),
    ("top plate splice", "top-plate-splice-face-nail"),
    ("plate lap at corner", "top-plate-lap-face-nail"),
    ("rafters to plate", "rafter-to-plate-toe-nail"),
    ("rafter to top plate", "rafter-to-plate-toe-nail"),
    ("trusses", "rafter-to-plate-toe-nail"),
    ("ceiling joist to rafter", "heel-joint-face-nail"),
    ("hip rafter", "rafter-to-ridge-toe-nail"),
    ("sole plate", "bottom-plate-to-floor-face-nail"),
    ("sole plate to deck", "bottom-plate-to-floor-face-nail"),
    ("studs to sole plate", "stud-to-plate-end-nail"),
    ("stud to plate", "stud-to-plate-end-nail"),
    ("toenail stud to plate", "stud-to-plate-toe-nail"),
    ("mudsill", "joist-to-sill-toe-nail"),
    ("rim joist to mudsill", "rim-joist-to-sill-toe-nail"),
    ("band joist to sill", "rim-joist-to-sill-toe-nail"),
    ("king", "stud-to-stud-face-nail"),
    ("king stud to header", "stud-to-header-end-nail"),
    ("trimmer to king", "stud-to-stud-face-nail"),
    ("jack", "stud-to-stud-face-nail"),
    ("cripple", "stud-to-plate-end-nail"),
    ("header plies", "built-up-header-face-nail"),
    ("fire block", "block-to-stud-end-nail"),
    ("osb", "exterior-wall-panel-to-framing"),
    ("plywood roof", "wood-panel-to-framing"),
    ("roof decking", "wood-panel-to-framing"),
    ("floor joists to girder", "joist-to-sill-toe-nail"),
    ("how many nails in a collar tie", "collar-tie-to-rafter-face-nail"),
]


@pytest.mark.parametrize(("text", "first"), FIRST)
def test_what_a_framer_asks_for_comes_first(text, first):
    hits = found(text)
    assert (hits[0].connection_id, hits[0].every_word) == (first, True)


@pytest.mark.parametrize("text", ["king", "KINGS", "king stud"])
def test_a_word_is_a_whole_word(text):
    assert not [f for f in found(text) if "blocking" in f.connection_id]


def test_other_words_are_said_to_be_read_as_ours():
    assert found("sole plate")[0].because == "sole plate is read as bottom plate"
    assert found("bottom plate")[0].because == ""


@pytest.mark.parametrize(
    ("text", "first", "missing"),
    [("rafer to plate", "rafter-to-plate-toe-nail", "rafer"), ("2x4 stud to plate", "stud-to-plate-end-nail", "2x4")],
)
def test_where_no_joint_has_every_word_the_nearest_three_say_so(text, first, missing):
    hits = found(text)
    assert len(hits) == NEAREST == 3
    assert hits[0].connection_id == first
    assert all(not f.every_word and f"known by {missing}; this is one of the nearest" in f.because for f in hits)


def test_words_like_no_word_of_a_joint_find_none():
    assert found("trampoline") == ()


def test_words_that_say_nothing_find_every_joint_in_the_order_of_the_table():
    assert [f.connection_id for f in found("how many nails")] == list(BOOK.connections)


SAID = sorted({" ".join(said) for said in BOOK.trade.joints} | {read.split(" is read as ")[0] for _, read in BOOK.trade.same_as.values()})


@pytest.mark.parametrize("text", SAID)
def test_every_other_word_of_the_table_finds_a_joint(text):
    hits = found(text)
    assert hits
    assert hits[0].every_word


@given(st.text(max_size=64))
def test_any_text_is_answered(text):
    hits = found(text)
    assert len({f.connection_id for f in hits}) == len(hits)
    assert len(hits) <= NEAREST or hits[0].every_word


@pytest.mark.parametrize("connection_id", BOOK.connections)
def test_a_joint_is_found_by_its_id_and_first_by_its_description(connection_id):
    assert connection_id in [f.connection_id for f in found(connection_id) if f.every_word]
    assert connection_id in [f.connection_id for f in found(BOOK.connections[connection_id].description) if f.every_word]
