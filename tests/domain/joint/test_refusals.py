"""Walls and joints that look harmless and are not."""

import pytest

from service.domain.joint.requirement import Question, judge
from service.domain.nails.nail import by_id
from service.domain.wall.judging import Setting
from service.domain.wall.layout import lay_out
from service.domain.wall.plan import Order, plan_wall
from service.domain.wall.wall import Intersection, Sheathing, Wall
from service.errors import FasteningError
from service.said import plain
from service.tables.book import open_book
from service.ticks import ticks

BOOK = open_book()


def test_a_plate_on_concrete_is_not_nailed_to_floor_framing() -> None:
    asked = Question("irc-2021", "bottom-plate-to-floor-face-nail", by_id("16d-common", BOOK), on_concrete=True)
    assert judge(asked, BOOK).outcome == "not_applicable"
    assert judge(asked, BOOK).nailing is None


@pytest.mark.parametrize("nail_id", ["smooth-3x0.05", "smooth-3x0.100", "smooth-2.5x0.131"])
def test_a_block_takes_only_framing_nails(nail_id: str) -> None:
    assert judge(Question("irc-2021", "block-to-stud-end-nail", by_id(nail_id, BOOK)), BOOK).nailing is None


def test_two_ladders_do_not_share_a_bay() -> None:
    ladders = (Intersection(ticks(20), "ladder"), Intersection(ticks(27), "ladder"))
    with pytest.raises(FasteningError) as refused:
        lay_out(Wall(ticks(96), ticks("97.125"), intersections=ladders), BOOK.editions["irc-2021"], BOOK)
    assert [f.code for f in refused.value.faults] == ["no_bay_for_ladder"]


def test_no_plate_ends_in_a_sliver() -> None:
    framing = lay_out(Wall(ticks("192.5"), ticks("97.125")), BOOK.editions["irc-2021"], BOOK)
    assert [p.length for p in framing.bottom_plates] == [ticks("168.5"), ticks(24)]


def test_a_layout_stud_that_gave_way_is_said() -> None:
    # last layout center 80, corner studs at 98.15 and 96.65: the mark at 96 overlaps one and is dropped; 96.65 - 80 = 16.65
    wall = Wall(ticks("100.4"), ticks("97.125"), spacing=ticks(16), end_corner="four_stud")
    notes = plan_wall(Order(wall, Setting("irc-2021", by_id("16d-common", BOOK))), BOOK).notes
    assert any("16.65 in apart" in plain(n) for n in notes)


def test_a_layout_stud_stands_tight_where_giving_way_would_pass_the_stud_table() -> None:
    """At 24 in the gap from 72 would be 24.65, past the 24 in of Table R602.3(5) for 2x4 under a roof: one stands at 96.65 - 1.5."""
    wall = Wall(ticks("100.4"), ticks("97.125"), spacing=ticks(24), end_corner="four_stud")
    plan = plan_wall(Order(wall, Setting("irc-2021", by_id("16d-common", BOOK))), BOOK)
    assert [s.center for s in plan.framing.studs if s.role == "stud"] == [ticks(x) for x in (24, 48, 72, "95.15")]
    assert not any("gave way" in n for n in plan.notes)


def test_backing_takes_the_panel_nails_of_the_stud_that_gave_way_to_it() -> None:
    """Backing at 64.25 (62.5 + 1.75) stands over the mark at 64: the panel 48 to 96 has field lines there, at 80 and none at 60.75."""
    sheets = Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), None, "vertical", None, None)
    wall = Wall(ticks(96), ticks("97.125"), intersections=(Intersection(ticks("62.5")),), sheathing=sheets)
    setting = Setting("irc-2021", by_id("16d-common", BOOK), sheathing_nail=by_id("8d-common", BOOK))
    panels = plan_wall(Order(wall, setting), BOOK).panels
    assert panels is not None
    assert [f.x for f in panels.cover.pieces[1].field] == [ticks("64.25"), ticks(80)]
