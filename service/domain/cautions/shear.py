"""Decides which cautions speak beside the unit shear of a wall."""

from service.domain.building.shear import Capacity
from service.domain.building.shear_rows import PanelCover
from service.domain.cautions.caution import Caution, Triggers, of_stop
from service.domain.nails.nail import TOLERANCE
from service.said import say_length
from service.tables.book import Book

on_shear: Triggers[[Capacity, Book]] = Triggers()


def shear_cautions(capacity: Capacity, book: Book) -> list[Caution]:
    """Return the cautions of one wall, standing notes left out."""
    return of_stop(capacity.stop) + on_shear.speak(capacity, book)


@on_shear("framing_3x_needed")
def _framing(c: Capacity, book: Book) -> str | None:
    if c.framing_3x_because:
        return c.framing_3x_because
    category = c.wall.seismic_design_category
    high = category in book.rules.high_seismic_categories and c.framing_3x_in_high_seismic
    return f"seismic_design_category is {category} and {_over(c)}" if high else None


@on_shear("site_assumed")
def _assumed(c: Capacity, book: Book) -> str | None:
    """Speak where another category would change the answer."""
    if not c.wall.category_assumed or c.nominal is None:
        return None
    said = f"assumed: seismic_design_category {c.wall.seismic_design_category}"
    if c.framing_3x_in_high_seismic and not c.framing_3x_because:
        return f"{said}; in the high categories panel joints stand on 3-inch nominal framing, since {_over(c)}"
    if not isinstance(c.wall.cover, PanelCover) and c.wall.load == "seismic":
        return f"{said}; gypsum does not count against seismic loads in {' and '.join(c.sdpws.limits.gypsum_barred_categories)}"
    return None


def _over(c: Capacity) -> str:
    nominal = c.nominal.seismic_plf if c.nominal else None
    return f"the nominal seismic value of {nominal:g} plf is over {c.sdpws.limits.framing_3x_nominal:g} plf"


@on_shear("close_nail_rows")
def _close_rows(c: Capacity, book: Book) -> str | None:
    close = c.nominal is not None and book.rules.close_rows_from <= c.wall.edge <= book.rules.close_rows_to
    return f"edge_spacing_in is {say_length(c.wall.edge)}" if close else None


@on_shear("thinner_than_common")
def _thinner(c: Capacity, book: Book) -> str | None:
    match_ = c.nominal.match if c.nominal else None
    if match_ is None or not isinstance(c.wall.cover, PanelCover):
        return None
    nail, row = c.wall.cover.nail, match_.row
    if nail.diameter >= row.diameter - TOLERANCE:
        return None
    return f"{nail.label} is the galvanized box nail of the {row.nail_row} row, whose common nail is {say_length(row.diameter)} thick"


@on_shear("head_unknown")
def _head(c: Capacity, book: Book) -> str | None:
    cover = c.wall.cover
    return f"no head diameter for {cover.nail.nail_id}" if isinstance(cover, PanelCover) and cover.nail.head_diameter is None else None


@on_shear("clipped_head")
def _clipped(c: Capacity, book: Book) -> str | None:
    cover = c.wall.cover
    return "head is clipped in a shear wall" if isinstance(cover, PanelCover) and cover.nail.head == "clipped" else None


@on_shear("unblocked_edge")
def _unblocked(c: Capacity, book: Book) -> str | None:
    return "blocked is false" if not c.wall.blocked and c.nominal else None


@on_shear("spacing_wider_than_required")
def _wide_field(c: Capacity, book: Book) -> str | None:
    asked = c.wall.field
    if asked is None or asked <= c.field_spacing or c.nominal is None:
        return None
    return f"field_spacing_in is {say_length(asked)}, {say_length(c.field_spacing)} is required"


@on_shear("unverified_value")
def _unverified(c: Capacity, book: Book) -> str | None:
    if c.stop:
        return "the limit is held from memory" if c.stop.cited and c.stop.cited.confidence == "memory" else None
    own = ["nominal_plf with the nails it is for"] if c.nominal and c.nominal.confidence == "memory" else []
    named = own + [f.name for f in c.factors if f.provenance.confidence == "memory"]
    return f"from memory: {', '.join(named)}" if named else None
