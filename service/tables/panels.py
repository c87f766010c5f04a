"""Wall panels against wind, the footnotes that change a panel's spacing, and span ratings."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.cautions import SourceRow
from service.tables.nails import NailRow
from service.tables.schedule import USES, OptionRow, Panel, named_nail
from service.tables.sheet import Cells, keyed, read

EXPOSURES = ("B", "C", "D")
BASES = ("ultimate", "allowable")
LIGHT_FIELD, LIGHT_NAIL = "low_gravity_field", "low_gravity_nail"
FOOTNOTES = {
    "wide_supports": ("span_min_in", "spacing_max_in"),
    "roof_zone": ("over_mph_b", "over_mph_c", "over_mph_d", "inside_spacing_in", "zone_in"),
    LIGHT_FIELD: ("spacing_max_in",),
    LIGHT_NAIL: ("thickness_max_in", "nail_id"),
}
"""The kinds of footnotes, and the columns that each must fill."""


@dataclass(frozen=True, slots=True)
class WindPanelRow:
    """A row of the wall sheathing wind table, with its limits."""

    row: str
    section: str
    table: str
    option: OptionRow
    min_span_rating: str
    min_thickness: int
    max_stud_spacing: int
    wind_basis: str
    max_wind_mph: dict[str, float]


@dataclass(frozen=True, slots=True)
class FootnoteRow:
    """A footnote that changes a number; `nail` is the one it asks for, in panels up to `thickness_max`."""

    footnote: str
    kind: str
    section: str
    use: tuple[str, ...]
    over_mph: dict[str, float]
    inside_spacing: int | None
    else_spacing: int | None
    zone: int | None
    span_min: int | None
    spacing_max: int | None
    thickness_max: int | None
    nail: NailRow | None
    confidence: str
    note: str


@dataclass(frozen=True, slots=True)
class SpanRatingRow:
    """A panel span rating and its place in the order."""

    span_rating: str
    rank: int
    max_stud_spacing: int | None


@dataclass(frozen=True, slots=True)
class SpanRatingDefaultRow:
    """What a panel named by thickness alone is taken to be."""

    min_thickness: int
    span_rating: str
    confidence: str


def read_span_ratings(root: Path) -> dict[str, SpanRatingRow]:
    """Return the span ratings by name; `TableError` as `read`."""
    return keyed(
        root,
        "span_ratings.csv",
        lambda c: SpanRatingRow(c.key("span_rating"), c.count("rank"), c.maybe_spacing("max_stud_spacing_in")),
        "span_rating",
    )


def read_span_rating_defaults(root: Path, ratings: dict[str, SpanRatingRow]) -> tuple[SpanRatingDefaultRow, ...]:
    """Return what thickness stands for, thinnest first; `TableError` as `read`."""
    rows = read(
        root,
        "span_rating_defaults.csv",
        lambda c: SpanRatingDefaultRow(
            c.length("min_thickness_in", 4), c.one_of("span_rating", ratings, "span_ratings.csv"), c.confidence()
        ),
        lambda row: row.min_thickness,
    )
    return tuple(sorted(rows, key=lambda row: row.min_thickness))


def read_wind_panels(
    root: Path, name: str, sources: dict[str, SourceRow], nails: dict[str, NailRow], ratings: dict[str, SpanRatingRow]
) -> tuple[WindPanelRow, ...]:
    """Return the wall panel rows of an edition; `TableError` as `read`, and a source, nail or rating is not known."""
    return read(root, name, lambda c: _wind_panel(c, sources, nails, ratings), lambda row: row.row)


def read_footnotes(root: Path, name: str, nails: dict[str, NailRow]) -> tuple[FootnoteRow, ...]:
    """Return the footnotes of an edition; `TableError` as `read`, and a nail is not known."""
    return read(root, name, lambda c: _footnote(c, nails), lambda row: (row.footnote, row.kind), may_be_empty=True)


def _wind_panel(c: Cells, sources: dict[str, SourceRow], nails: dict[str, NailRow], ratings: dict[str, SpanRatingRow]) -> WindPanelRow:
    option = OptionRow(
        fastener="nail",
        shank="smooth",
        nail_id=named_nail(c, nails),
        pennyweight="",
        length=c.length("length_in", 12),
        diameter=c.length("diameter_in", 0.5),
        diameter_max=None,
        head_diameter=None,
        detail="",
        nailing=Panel(c.spacing("edge_spacing_in"), c.spacing("field_spacing_in")),
        max_wind_mph=None,
        alternate=False,
        table=c.key("table"),
        sources=c.all_of("sources", sources, "sources.csv"),
        confidence=c.confidence(),
        note=c.text("note"),
        use=("wall",),
        min_penetration=c.length("min_penetration_in", 12),
    )
    return WindPanelRow(
        c.key("row"),
        c.key("section"),
        option.table,
        option,
        c.one_of("min_span_rating", ratings, "span_ratings.csv"),
        c.length("min_thickness_in", 4),
        c.spacing("max_stud_spacing_in"),
        c.word("wind_basis", BASES),
        {e: c.mph(f"max_wind_{e.lower()}_mph") for e in EXPOSURES},
    )


def _footnote(c: Cells, nails: dict[str, NailRow]) -> FootnoteRow:
    kind = c.word("kind", FOOTNOTES)
    for column in FOOTNOTES[kind]:
        c.said(column)
    over = {e: c.maybe_mph(f"over_mph_{e.lower()}") for e in EXPOSURES}
    return FootnoteRow(
        c.key("footnote"),
        kind,
        c.key("section"),
        c.words("use", USES),
        {e: mph for e, mph in over.items() if mph is not None},
        c.maybe_spacing("inside_spacing_in"),
        c.maybe_spacing("else_spacing_in"),
        c.maybe_length("zone_in"),
        c.maybe_length("span_min_in"),
        c.maybe_spacing("spacing_max_in"),
        c.maybe_length("thickness_max_in"),
        nails[c.one_of("nail_id", nails, "fasteners.csv")] if c.text("nail_id") else None,
        c.confidence(),
        c.text("note"),
    )
