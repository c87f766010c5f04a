"""What a question about the unit shear of a wall may say, and the wall it becomes."""

from dataclasses import dataclass
from typing import Any, ClassVar

from service.domain.building.shear_rows import PANEL, GypsumCover, PanelCover, ShearWall
from service.domain.conditions import USUAL_SPECIES
from service.domain.nails.nail import Nail
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, SITE, NailSchema, read_nail, species_words
from service.schemas.fields import Choice, Flag, Length
from service.schemas.loading import fill, load
from service.schemas.twins import with_twins
from service.tables.book import Book
from service.tables.schedule import CATEGORIES
from service.tables.shear import GRADES, LOADS, MATERIALS

GYPSUM = [row for sdpws in BOOK.sdpws.values() for row in sdpws.gypsum]
OFFERED = {(row.material, row.fastener): row.fastener_label for row in GYPSUM}
"""What fastens which board, as people say it."""
FASTENERS = tuple(dict.fromkeys(fastener for _, fastener in OFFERED))
WIDTHS = {row.material for row in GYPSUM if row.panel_width}
"""Boards whose width chooses a row."""
NAIL_NAMES = tuple(name for name in NailSchema().fields if not name.endswith("_mm"))
OF_PANELS = ("panel_grade", "panel_across_studs", "material_between_in", "hold_downs_inside")
OF_GYPSUM = ("fastener", "panel_width_in")


@with_twins
class ShearCapacitySchema(NailSchema):
    """One full-height piece of a sheathed wall, one side: panels with their nail, or gypsum board with its fastener."""

    example: ClassVar[Any] = {
        "panel_thickness_in": 0.4375,
        "nail_designation": "8d common",
        "edge_spacing_in": 4,
        "wall_length_ft": 4,
        "wall_height_ft": 8,
    }
    instead_of_nail: ClassVar[tuple[str, ...]] = ("fastener",)
    material = Choice(MATERIALS, "What sheathes the wall.", usual=PANEL)
    panel_grade = Choice(GRADES, "Grade stamped on a wood panel.", usual=GRADES[0])
    panel_thickness_in = Length("in", 0.1, 2, "Thickness of the panel or board [in].", required=True)
    panel_across_studs = Flag("The long side of the wood panels runs across the studs.", usual=False)
    panel_width_in = Length("in", 12, 60, "Width of the boards of gypsum sheathing [in].", usual=24)
    fastener = Choice(FASTENERS, "Fastener of gypsum board, in place of a nail.")
    edge_spacing_in = Length("in", 0.5, 24, "Spacing along all panel edges [in].", required=True)
    field_spacing_in = Length(
        "in", 0.5, 24, "Spacing inside the panel [in]; the widest of the standard when left out, required for gypsum."
    )
    material_between_in = Length("in", 0, 4, "Foam or gypsum between panel and stud [in].", usual=0)
    species = Choice(BOOK.species, "Species group of studs and plates.", usual=USUAL_SPECIES, at="/v1/species", also=species_words)
    load = Choice(LOADS, "Load that the wall resists; seismic is the smaller value.", usual="seismic")  # type: ignore[assignment]  # the library takes fields out of the class, so its own load stays
    sdpws_edition = Choice(BOOK.sdpws, "Edition of the design standard for wind and seismic loads.", usual=next(iter(BOOK.sdpws)))
    seismic_design_category = Choice(
        CATEGORIES, "Seismic design category of the code family.", usual=SITE.seismic_design_category, tell=False
    )
    blocked = Flag("Every panel edge is nailed to a stud, plate or block.", usual=False)
    stud_spacing_in = Length("in", 3, 48, "Spacing of the studs [in].", usual=24)
    hold_downs_inside = Flag("Hold-downs stand on the inside face of the end posts.", usual=True)
    wall_length_ft = Length("ft", 0.5, 200, "Length of the full-height piece of wall, between openings or ends [ft].", required=True)
    wall_height_ft = Length("ft", 1, 60, "Height of the wall, plates included [ft].", required=True)
    units = Choice(("us", "metric"), "metric adds millimetre and metre twins to lengths; forces stay in pounds.")


SHEAR_CAPACITY = ShearCapacitySchema()


@dataclass(frozen=True, slots=True)
class ShearAsk:
    """A question about a wall as understood."""

    wall: ShearWall
    assumptions: tuple[tuple[str, Any], ...]


def read_shear(raw: Any, book: Book) -> ShearAsk:
    """Check and understand a question about the unit shear of a wall.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(SHEAR_CAPACITY, raw)
    faults: list[Fault] = []
    sent = set(got)
    assumed = fill(got, SHEAR_CAPACITY)
    cover = _panels(got, raw, assumed, faults, book) if got["material"] == PANEL else _gypsum(got, sent, faults)
    if faults or cover is None:
        raise FasteningError(*faults)
    if isinstance(cover, PanelCover):
        assumed += _of_nail(cover.nail, sent)
    wall = ShearWall(
        sdpws_id=got["sdpws_edition"],
        cover=cover,
        load=got["load"],
        thickness=got["panel_thickness"],
        edge=got["edge_spacing"],
        field=got.get("field_spacing"),
        stud_spacing=got["stud_spacing"],
        blocked=got["blocked"],
        length=got["wall_length"],
        height=got["wall_height"],
        species=got["species"],
        seismic_design_category=got["seismic_design_category"],
        category_assumed="seismic_design_category" not in sent,
    )
    return ShearAsk(wall, tuple([a for a in assumed if _matters(a[0], wall, book)]))


def _panels(got: dict[str, Any], raw: Any, assumed: list[tuple[str, Any]], faults: list[Fault], book: Book) -> PanelCover | None:
    said = "is of gypsum; wood panels take a nail: nail_id, nail_designation, or its size"
    faults += [Fault("conflicting_fields", said, (name,)) for name in OF_GYPSUM if {name, _attribute(name) + "_mm"} & set(raw)]
    nail = read_nail(got, raw, (), assumed, faults, book)
    if nail is None:
        return None
    return PanelCover(got["panel_grade"], nail, got["panel_across_studs"], got["material_between"], got["hold_downs_inside"])


def _of_nail(nail: Nail, sent: set[str]) -> list[tuple[str, Any]]:
    """Return what was taken for the parts of a nail that decide whether it belongs to a row."""
    taken = [
        ("shank", nail.shank, "nail_length" in sent),
        ("head", nail.head, nail.head == "full_round" and nail.head_diameter is not None),
    ]
    taken.append(("coating", nail.coating, nail.coating == "bright"))
    return [(name, value) for name, value, silent in taken if silent and name not in sent]


def _gypsum(got: dict[str, Any], sent: set[str], faults: list[Fault]) -> GypsumCover | None:
    material, fastener = got["material"], got.get("fastener")
    known = [name for name in FASTENERS if (material, name) in OFFERED]
    faults += [
        Fault("conflicting_fields", f"is of wood panels, not of {material}", (name,))
        for name in (*OF_PANELS, *NAIL_NAMES)
        if _attribute(name) in sent
    ]
    if "panel_width" in sent and material not in WIDTHS:
        faults.append(Fault("conflicting_fields", f"is of {' and '.join(sorted(WIDTHS))}, not of {material}", ("panel_width_in",)))
    if fastener is None:
        faults.append(Fault("missing_field", f"is required for {material}: one of {', '.join(known)}", ("fastener",)))
    elif fastener not in known:
        said = f"does not fasten {material} in the table: send one of {', '.join(known)}"
        faults.append(Fault("conflicting_fields", said, ("fastener",), {"received": fastener}))
    if "field_spacing" not in sent:
        faults.append(Fault("missing_field", f"is required for {material} (or field_spacing_mm)", ("field_spacing_in",)))
    return None if fastener not in known else GypsumCover(material, fastener, OFFERED[material, fastener], got["panel_width"])


def _attribute(name: str) -> str:
    return name.removesuffix("_in")


def _matters(name: str, wall: ShearWall, book: Book) -> bool:
    """Whether what was assumed for a field has any say in the answer."""
    sdpws = book.sdpws[wall.sdpws_id]
    if isinstance(wall.cover, GypsumCover) and name in OF_PANELS:
        return False
    match name:
        case "panel_width_in":
            return wall.cover.material in WIDTHS
        case "hold_downs_inside":
            return any(f.factor == name for f in sdpws.factors)
        case "species":
            return wall.cover.material in sdpws.limits.species_materials
    return True
