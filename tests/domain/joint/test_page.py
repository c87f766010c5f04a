"""A page of joints: in the order of print, each once."""

from dataclasses import replace

import pytest

from service.domain.joint.page import by_bracing, on_page, place_on_page, printed_alike
from service.domain.joint.requirement import Question, judge
from service.domain.joint.schedule import Selectors
from service.domain.nails.nail import by_id
from service.tables.book import open_book
from service.ticks import ticks

BOOK = open_book()
STUD, BRACED = "stud-to-plate-end-nail", Selectors(braced=True)


def asked(connection, nail="16d-common", edition="irc-2021", **more):
    return Question(edition, connection, by_id(nail, BOOK), **more)


def alike(one, other):
    edition = BOOK.editions[one.edition_id]
    return printed_alike(judge(one, BOOK), edition) == printed_alike(judge(other, BOOK), edition)


@pytest.mark.parametrize("edition", [e for e in BOOK.editions.values() if e.complete], ids=lambda e: e.edition_id)
def test_joints_stand_as_their_items_do(edition):
    """Items of a printed table rise down the page; rows without one are sections between them."""
    place = place_on_page(edition, BOOK)
    assert sorted(place.values()) == list(range(len(BOOK.connections)))
    ordered = [name for name in sorted(place, key=place.__getitem__) if name in edition.rows]
    items = [int(edition.rows[name][0].item) for name in ordered if edition.rows[name][0].item.isdigit()]
    assert items == sorted(items)


def test_a_joint_that_the_edition_does_not_have_is_not_on_its_page():
    """IBC Table 2304.10.2 has no row for a stud end-nailed to a header; IRC 2021 Table R602.3(1) has, item 12."""
    assert not on_page(judge(asked("stud-to-header-end-nail", edition="ibc-2021"), BOOK))
    assert on_page(judge(asked("stud-to-header-end-nail"), BOOK))


def test_a_plate_on_concrete_stays_on_the_page_without_nails():
    bolted = judge(asked("bottom-plate-to-floor-face-nail", on_concrete=True), BOOK)
    assert bolted.outcome == "not_applicable" and on_page(bolted)


def test_items_8_and_9_tell_bracing_and_item_17_does_not():
    """IRC 2021 Table R602.3(1): studs face-nailed at 24 in, at braced wall panels at 16 in; stud to plate has one row."""
    edition = BOOK.editions["irc-2021"]
    told = {name: by_bracing(BOOK.connections[name], edition) for name in ("stud-to-stud-face-nail", STUD)}
    assert told == {"stud-to-stud-face-nail": True, STUD: False}


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (asked(STUD), asked(STUD, selectors=BRACED), True),
        (asked("stud-to-stud-face-nail"), asked("stud-to-stud-face-nail", selectors=BRACED), False),
        (asked(STUD), asked(STUD, face=ticks("5.5")), True),
        # 3 x 0.120 is judged by strength, for which the face is room
        (asked(STUD, "smooth-3x0.120"), asked(STUD, "smooth-3x0.120", face=ticks("5.5")), False),
        (asked(STUD), asked(STUD, "16d-box"), False),
    ],
)
def test_what_a_line_prints_alike_is_one_line(one, other, same):
    assert alike(one, other) is same
    assert alike(replace(one), one)
