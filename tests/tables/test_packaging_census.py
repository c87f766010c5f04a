"""A census of the packaging table, and the published counts per pound beside the weight of the shank."""

from math import pi

import pytest

from service.tables.book import open_book
from service.ticks import inches

BOOK = open_book()
PACKAGING = BOOK.packaging

# Common wire nails in a pound, as two open web tables (nail sizes explained; nail weights) print them, rounded to 5;
# box nails as the table of smooth box nails (style A of ASTM F1667) prints them. 40d and up of the common ones differ by a nail or two.
COMMON = {"6d": 180, "7d": 160, "8d": 105, "10d": 70, "12d": 65, "16d": 50, "20d": 30, "30d": 25}
BOX = {"6d": 236, "7d": 210, "8d": 145, "10d": 94, "16d": 71, "40d": 35}


@pytest.mark.parametrize(("size", "printed"), COMMON.items())
def test_common_nails_in_a_pound_are_near_the_rounded_tables(size, printed):
    assert PACKAGING.nails_per_lb[f"{size}-common"].value == pytest.approx(printed, rel=0.05)


# The army's family of tables (course EN0069A: 10d; an open textbook: all) differs from the shank by up to 14 percent.
ARMY = {"6d": 200, "7d": 154, "8d": 106, "10d": 74, "12d": 57, "16d": 46, "20d": 29, "30d": 23, "40d": 17, "50d": 14, "60d": 11}
# the first web table of those above, from 40d on
LARGE = {"40d": 17, "50d": 15, "60d": 10}


@pytest.mark.parametrize(("size", "printed"), ARMY.items())
def test_common_nails_in_a_pound_are_within_the_spread_of_the_army_tables(size, printed):
    assert PACKAGING.nails_per_lb[f"{size}-common"].value == pytest.approx(printed, rel=0.14)


@pytest.mark.parametrize(("size", "printed"), LARGE.items())
def test_large_nails_in_a_pound_differ_by_one_nail(size, printed):
    assert abs(PACKAGING.nails_per_lb[f"{size}-common"].value - printed) <= 1


@pytest.mark.parametrize(("size", "printed"), BOX.items())
def test_box_nails_in_a_pound_are_as_printed(size, printed):
    assert PACKAGING.nails_per_lb[f"{size}-box"].value == printed


@pytest.mark.parametrize("nail_id", PACKAGING.nails_per_lb)
def test_a_pound_of_nails_follows_from_the_volume_of_their_shanks(nail_id):
    """Steel weighs 0.2836 lb/cu in; counts in print are within 4 percent of the shanks alone, those of sinkers (coating, large head) 5."""
    row = BOOK.nails[nail_id]
    shank = pi / 4 * inches(row.diameter) ** 2 * inches(row.length) * 0.2836
    assert PACKAGING.nails_per_lb[nail_id].value == pytest.approx(1 / shank, rel=0.05)


def test_counts_and_boxes_add_up():
    """11 common nails 727 to the pound in all, 8 box nails 930, 7 sinkers 904; boxes of 5 to 50 lb, and of 500 to 5000 nails."""
    sums = {"common": (11, 727), "box": (8, 930), "sinker": (7, 904)}
    for kind, (count, total) in sums.items():
        rows = [r.value for name, r in PACKAGING.nails_per_lb.items() if name.endswith(kind)]
        assert (len(rows), sum(rows)) == (count, total)
    assert [r.value for r in PACKAGING.boxes if r.unit == "lb"] == [5, 25, 30, 50]
    assert [r.value for r in PACKAGING.boxes if r.unit == "nails"] == [500, 1000, 2000, 2500, 4000, 5000]


def test_what_nobody_prints_is_no_better_than_custom_or_memory():
    weak = {name for name, r in PACKAGING.nails_per_lb.items() if r.confidence in ("memory", "common_practice")}
    assert weak == {n for n in PACKAGING.nails_per_lb if n.endswith("sinker")} | {"12d-box", "20d-box", "40d-common"}
    assert {r.confidence for r in PACKAGING.boxes if r.source == "none"} == {"common_practice"}
