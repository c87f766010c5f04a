"""Which cautions speak beside a roof tie and beside anchored plates, and beside which they are silent."""

from typing import Any

import pytest

from service.domain.building.anchorage import Anchored, anchor
from service.domain.building.tie_table import Roof
from service.domain.building.uplift import uplift_of
from service.domain.cautions.ties import anchorage_cautions, uplift_cautions
from service.domain.site import Site
from service.tables.book import open_book
from service.ticks import PER_FT, ticks

BOOK = open_book()


def of_tie(mph: float = 115, span: float = 28, spacing: float = 24, edition: str = "irc-2021", assumed: tuple[str, ...] = ()) -> set[str]:
    site = Site(mph, assumed=assumed)
    found = uplift_of(Roof(ticks(span, PER_FT), 4, ticks(spacing)), site, BOOK.editions[edition], BOOK.rules)
    return {c.code for c in uplift_cautions(found, BOOK)}


def of_plate(length: float = 96, slab: str | None = "plain", kind: str | None = "cast_in", more: Any = (), **site: Any) -> set[str]:
    about = Anchored(Site(**site), 1, False, slab_type=slab, anchor_type=kind, **dict(more))
    found = anchor([(0, ticks(length))], about, BOOK.editions["irc-2021"], BOOK.rules)
    return {c.code for c in anchorage_cautions(found, BOOK)}


# IRC Table R802.11, under 5 in 12: 24 in, 115 mph: 198 lb at 28 ft, 218 at 32; 16 in, 120 mph, 28 ft: 161 lb, 121 lb/ft.
@pytest.mark.parametrize(
    ("asked", "speak"),
    [
        ({}, set()),
        ({"span": 32}, {"uplift_connector_needed"}),
        ({"mph": 120, "spacing": 16}, {"uplift_connector_needed"}),  # over the 100 lb/ft of braced panels, R602.3.5
        ({"mph": 120, "spacing": 16, "edition": "irc-2018"}, set()),  # where that rule is not held
        ({"mph": 90}, {"wind_basis_doubtful", "unverified_value"}),
        ({"assumed": ("exposure",)}, {"site_assumed"}),
        ({"mph": 150}, {"engineering_required_scope"}),
        ({"edition": "irc-2024", "assumed": ("exposure",)}, {"value_not_held"}),
    ],
)
def test_cautions_of_a_roof_tie(asked, speak):
    assert of_tie(**asked) == speak


@pytest.mark.parametrize(
    ("asked", "speak"),
    [
        ({}, set()),
        ({"length": 11}, {"short_plate_piece"}),
        ({"slab": "post_tensioned", "kind": "drilled"}, {"drilling_concrete"}),
        ({"slab": "post_tensioned", "kind": "cast_in"}, set()),
        ({"slab": None, "kind": None}, {"drilling_concrete"}),
        ({"slab": "plain", "kind": None}, set()),
        ({"assumed": ("seismic_design_category",)}, {"site_assumed"}),
        # a townhouse in C takes plate washers (R602.11.1): that nobody denied it matters
        ({"assumed": ("building_type",), "seismic_design_category": "C"}, {"site_assumed"}),
        ({"wind_speed_mph": 90}, {"wind_basis_doubtful"}),
    ],
)
def test_cautions_of_anchored_plates(asked, speak):
    assert of_plate(**asked) == speak
