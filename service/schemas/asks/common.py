"""What every question may say: site, work conditions, and its nail."""

from typing import Any

from service.domain.conditions import Conditions
from service.domain.nails.nail import Nail, NailAsk
from service.domain.nails.words import understand
from service.domain.site import Site
from service.errors import FasteningError, Fault
from service.schemas.fields import Choice, Flag, Length, Number, Speed, Strict, Text, with_twins
from service.tables.book import open_book
from service.ticks import PER_FT

DEFAULTS: dict[str, Any] = {
    "code_edition": "irc-2021",
    "species": "spruce-pine-fir",
    "wind_speed_mph": 115,
    "wind_speed_basis": "ultimate",
    "exposure": "B",
    "seismic_design_category": "B",
    "building_type": "detached",
    "hurricane_prone": False,
    "driver": "gun",
    "treatment": "none",
    "moisture": "dry",
}

COATINGS = ("bright", "hot_dip_galvanized", "electro_galvanized", "stainless", "silicon_bronze", "copper", "other")
MOISTURES = ("dry", "wet_at_fabrication", "wet_in_service", "wet_throughout")
BOOK = open_book()


@with_twins
class NailSchema(Strict):
    """A nail: an id, or free text, or a size; with what the box says of head and coating."""

    nail_id = Text("Id of a nail, as GET /v1/nails lists them, or a size such as smooth-3x0.120.", r"^[a-z0-9][a-z0-9.-]{0,63}$", 64)
    nail_designation = Text(
        "Free text: 16d common, 3 x 0.131, 2-3/8 x 0.113 ring, 75 x 3.15 mm. A bare pennyweight is refused.", r"\S", 256
    )
    nail_length_in = Length("in", 0.5, 8, "Length of the nail [in].")
    shank_diameter_in = Length("in", 0.05, 0.4, "Diameter of the shank [in].")
    shank = Choice(("smooth", "ring", "screw"), "Shank of a nail named by size.")
    head_diameter_in = Length("in", 0.1, 1, "Diameter of the head [in], from the box.")
    head = Choice(("full_round", "clipped"), "Shape of the head.")
    coating = Choice(COATINGS, "Coating or metal.")


NAIL_FIELDS = ("nail_id", "nail_designation", "nail_length", "shank_diameter", "shank", "head_diameter", "head", "coating")


class CommonSchema(Strict):
    """Fields of every question about a site."""

    code_edition = Choice(BOOK.editions, "Code edition; irc-2021 when left out.")
    species = Choice(BOOK.species, "Species group of the framing; spruce-pine-fir when left out.")
    wind_speed_mph = Speed(50, 250, "Site wind speed, 3-second gust [mph]; 115 ultimate is assumed.")
    wind_speed_basis = Choice(("ultimate", "allowable"), "Basis of the wind speed; 90 allowable is about 116 ultimate.")
    exposure = Choice("BCD", "Wind exposure category; B is assumed.")
    seismic_design_category = Choice(
        ("A", "B", "C", "D", "D0", "D1", "D2", "E", "F"), "Seismic design category of the code family; B is assumed."
    )
    building_type = Choice(("detached", "townhouse"), "One- and two-family dwelling, or townhouse.")
    hurricane_prone = Flag("Site in a hurricane-prone region; false is assumed.")
    ground_snow_load_psf = Number(0, 300, "Ground snow load [psf].")
    braced_wall_line_spacing_ft = Length("ft", 1, 100, "Spacing of braced wall lines [ft]; plate splices in high seismic areas.")
    driver = Choice(("gun", "hand"), "What drives the nails.")
    treatment = Choice(("none", "copper", "borate", "fire_retardant", "unknown"), "Preservative of the lumber; unknown is read as copper.")
    moisture = Choice(MOISTURES, "Moisture of the lumber.")
    slab_type = Choice(("plain", "post_tensioned", "heated"), "Kind of concrete slab.")
    fire_rated = Flag("The wall is a fire-rated assembly.")


def assume(got: dict[str, Any], defaults: dict[str, Any]) -> list[tuple[str, Any]]:
    """Return the defaults of fields that were left out."""
    return [(name, value) for name, value in defaults.items() if not {name, name.removesuffix("_mph"), name.removesuffix("_in")} & set(got)]


def read_nail(got: dict[str, Any], path: tuple[str | int, ...], faults: list[Fault]) -> Nail | None:
    """Return the nail of a request; what is wrong with it goes to `faults`."""
    words = [got.get(name) for name in NAIL_FIELDS]
    try:
        return understand(NailAsk(*words), BOOK)
    except FasteningError as error:
        faults += [f.under(*path) for f in error.faults]
        return None


def read_site(got: dict[str, Any], assumed: list[tuple[str, Any]], faults: list[Fault]) -> Site:
    """Return the site of a request; what is wrong with it goes to `faults`."""
    edition = BOOK.editions[got.get("code_edition", DEFAULTS["code_edition"])]
    category = got.get("seismic_design_category", DEFAULTS["seismic_design_category"])
    if category not in edition.seismic_design_categories:
        faults.append(
            Fault(
                "unknown_value",
                f"{edition.edition_id} has the categories {', '.join(edition.seismic_design_categories)}",
                ("seismic_design_category",),
                {"received": category},
            )
        )
    spacing = got.get("braced_wall_line_spacing")
    return Site(
        wind_speed_mph=got.get("wind_speed", DEFAULTS["wind_speed_mph"]),
        wind_speed_basis=got.get("wind_speed_basis", DEFAULTS["wind_speed_basis"]),
        exposure=got.get("exposure", DEFAULTS["exposure"]),
        seismic_design_category=category,
        building_type=got.get("building_type", DEFAULTS["building_type"]),
        hurricane_prone=got.get("hurricane_prone", False),
        ground_snow_load_psf=got.get("ground_snow_load_psf"),
        braced_wall_line_spacing_ft=None if spacing is None else spacing / PER_FT,
        assumed=tuple(name for name, _ in assumed if name in ("wind_speed_mph", "exposure", "seismic_design_category")),
    )


def read_conditions(got: dict[str, Any], assumed: list[tuple[str, Any]]) -> Conditions:
    """Return how and with what the work is done; a treatment set by the concrete below is assumed."""
    conditions = Conditions(
        driver=got.get("driver", DEFAULTS["driver"]),
        treatment=got.get("treatment", DEFAULTS["treatment"]),
        moisture=got.get("moisture", "dry"),
        roof_pitch_in_12=got.get("roof_pitch_in_12"),
        bottom_plate_on=got.get("bottom_plate_on", "wood_floor"),
        slab_type=got.get("slab_type"),
        assumed=tuple(name for name, _ in assumed),
    )
    if conditions.treated_as == "copper" and "treatment" in conditions.assumed:
        assumed[:] = [(n, "copper") if n == "treatment" else (n, v) for n, v in assumed]
    return conditions
