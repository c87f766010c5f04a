"""The bound on sticks: never passed by a wall that is laid out, and close for an ordinary one. A service rule."""

from hypothesis import given, settings
from hypothesis import strategies as st

from service.domain.wall.layout import lay_out
from service.domain.wall.panels.joints import blocked_levels
from service.domain.wall.wall import Header, Intersection, Opening, Sheathing, Wall
from service.domain.wall.work import most_members
from service.errors import FasteningError
from service.tables.book import open_book
from service.ticks import ticks

BOOK = open_book()
IRC = BOOK.editions["irc-2021"]


def sticks(built: Wall) -> int:
    return len(lay_out(built, IRC, BOOK, blocked_levels(built, BOOK.rules)).members)


@st.composite
def walls(draw: st.DrawFn) -> Wall:
    length, spacing = draw(st.integers(24, 600)), draw(st.sampled_from([6, 12, 16, 24]))
    at = draw(st.integers(6, 400))
    openings = tuple(
        Opening(
            f"w{k}",
            draw(st.sampled_from(["window", "door"])),
            ticks(at + 90 * k),
            ticks(draw(st.integers(6, 60))),
            None,
            ticks(80),
            Header(draw(st.integers(1, 4)), "2x6"),
            draw(st.integers(0, 4)),
            draw(st.integers(1, 4)),
        )
        for k in range(draw(st.integers(0, 3)))
    )
    openings = tuple(o if o.kind == "door" else Opening(o.opening_id, "window", o.at, o.width, ticks(36), *_rest(o)) for o in openings)
    backing = draw(st.sampled_from(["two_stud", "ladder", "none"]))
    orientation, panel = draw(st.sampled_from(["vertical", "horizontal"])), draw(st.sampled_from([48, 96]))
    return Wall(
        ticks(length),
        ticks(draw(st.sampled_from(["97.125", "144"]))),
        spacing=ticks(spacing),
        start_corner=draw(st.sampled_from(["none", "four_stud"])),
        plate_stock=ticks(96),
        openings=openings,
        intersections=(Intersection(ticks(length // 2), backing),),
        sheathing=Sheathing("wood_structural_panel", ticks("0.4375"), ticks(24), ticks(panel), orientation, None, None),
        braced=True,
    )


def _rest(o: Opening) -> tuple[object, ...]:
    return o.head_height, o.header, o.jack_count, o.king_count


@settings(max_examples=300, deadline=None)
@given(walls())
def test_no_wall_has_more_sticks_than_its_bound(built: Wall) -> None:
    try:
        found = sticks(built)
    except FasteningError:
        return
    assert found <= most_members(built, BOOK.rules)


def test_the_bound_of_an_ordinary_wall_is_close() -> None:
    """24 ft at 16 in with one window: under twice its sticks, so that an ordinary batch is not refused."""
    window = Opening("w", "window", ticks(54), ticks(38), ticks(36), ticks(80), Header(2, "2x8"), 1, 1)
    built = Wall(ticks(288), ticks("97.125"), openings=(window,))
    assert sticks(built) <= most_members(built, BOOK.rules) < 2 * sticks(built)
