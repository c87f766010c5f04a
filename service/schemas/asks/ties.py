"""What questions about roof ties and anchor bolts may say, and the domain questions they become."""

from dataclasses import dataclass
from typing import Any

from service.domain.building.anchorage import Anchored
from service.domain.building.bolts import Stretch
from service.domain.building.tie_table import Roof
from service.domain.site import Site
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, USUAL_EDITION, CommonSchema, SiteSchema, read_site
from service.schemas.fields import Choice, Flag, Length, Lengths, Number, Whole
from service.schemas.loading import fill, load
from service.schemas.twins import with_twins
from service.tables.book import Book
from service.tables.ties import RoofTies
from service.ticks import feet, inches

PLATE_SPLICES = ("braced_wall_line_spacing_ft", "braced_wall_line_spacing_m")
"""Fields of a site that change no tie and no bolt."""
MOST_PIECES, LONGEST_PIECE_FT = 100, 50
UNITS = ("us", "metric")


def _usual_ties() -> RoofTies:
    ties = BOOK.editions[USUAL_EDITION].roof_ties
    assert ties is not None, "the edition that is usual holds the uplift table"
    return ties


TABLE = _usual_ties().rules
"""What the table serves at most is what is assumed of a roof: the worst that has a number."""


@with_twins
class UpliftSchema(SiteSchema):
    """A roof over the wall that carries it."""

    roof_span_ft = Length("ft", 1, 200, "Span of the roof between the walls that carry it [ft].", required=True)
    roof_pitch_in_12 = Number(0, 24, "Roof pitch, rise in 12.", required=True)
    tie_spacing_in = Length("in", 4, 96, "Rafters or trusses on center [in].", required=True)
    mean_roof_height_ft = Length("ft", 1, 200, "Mean roof height [ft].", usual=feet(TABLE.mean_roof_height_to))
    roof_overhang_in = Length("in", 0, 120, "Overhang of the roof past the wall [in].", usual=inches(TABLE.overhang_to))
    corner_distance_ft = Length("ft", 0, 500, "From the tie to the nearest corner of the building [ft].", usual=0)
    hip_roof = Flag("The roof is a hip roof.", usual=False)
    full_walls_above_count = Whole(
        0, 3, "Full stories of wall between the roof and the tie: none where rafters meet the plate. Each takes some uplift off.", usual=0
    )
    units = Choice(UNITS, "metric adds millimetre, metre and m/s twins; forces stay in pounds.")

    class Meta:
        """The spacing of braced wall lines changes no tie."""

        exclude = PLATE_SPLICES


@with_twins
class AnchorageSchema(SiteSchema):
    """Plates on concrete, piece by piece."""

    plate_lengths_ft = Lengths(
        "ft",
        0.1,
        LONGEST_PIECE_FT,
        MOST_PIECES,
        "Length of each piece of plate [ft]; a plate cut at a door is two pieces.",
        "Length of a piece [ft].",
        required=True,
    )
    story_count = Whole(1, 10, "Stories of the building above grade.", usual=3)
    braced = Flag("Bracing panels stand on the line.", usual=True)
    joins_offset_panels = Flag("Pieces up to 24 in are short walls that join offset braced wall panels.", usual=False)
    slab_type = CommonSchema._declared_fields["slab_type"]
    anchor_type = Choice(("cast_in", "drilled", "shot"), "How the anchors get into the concrete.")
    units = Choice(UNITS, "metric adds millimetre, metre and m/s twins.")

    class Meta:
        """Nor a bolt."""

        exclude = PLATE_SPLICES


UPLIFT, ANCHORAGE = UpliftSchema(), AnchorageSchema()
Assumed = tuple[tuple[str, Any], ...]


@dataclass(frozen=True, slots=True)
class UpliftAsk:
    """A question about a roof tie as understood."""

    roof: Roof
    site: Site
    edition_id: str
    assumptions: Assumed


@dataclass(frozen=True, slots=True)
class AnchorageAsk:
    """A question about anchor bolts as understood."""

    pieces: tuple[Stretch, ...]
    anchored: Anchored
    edition_id: str
    assumptions: Assumed


def read_uplift(raw: Any, book: Book) -> UpliftAsk:
    """Check and understand a question about a roof tie.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got, assumed, site = _read(UPLIFT, raw, book)
    roof = Roof(
        span=got["roof_span"],
        pitch_in_12=got["roof_pitch_in_12"],
        tie_spacing=got["tie_spacing"],
        mean_height=got["mean_roof_height"],
        overhang=got["roof_overhang"],
        corner_distance=got["corner_distance"],
        hip=got["hip_roof"],
        full_walls_above=got["full_walls_above_count"],
    )
    return UpliftAsk(roof, site, got["code_edition"], assumed)


def read_anchorage(raw: Any, book: Book) -> AnchorageAsk:
    """Check and understand a question about anchor bolts.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got, assumed, site = _read(ANCHORAGE, raw, book)
    anchored = Anchored(
        site=site,
        story_count=got["story_count"],
        braced=got["braced"],
        joins_offset_panels=got["joins_offset_panels"],
        slab_type=got.get("slab_type"),
        anchor_type=got.get("anchor_type"),
    )
    return AnchorageAsk(tuple((0, length) for length in got["plate_lengths"]), anchored, got["code_edition"], assumed)


def _read(schema: SiteSchema, raw: Any, book: Book) -> tuple[dict[str, Any], Assumed, Site]:
    got = load(schema, raw)
    faults: list[Fault] = []
    assumed = fill(got, schema)
    site = read_site(got, assumed, faults, book)
    if faults:
        raise FasteningError(*faults)
    return got, tuple(assumed), site
