"""What every question may say: site, work conditions, and its nail."""

from dataclasses import replace
from typing import Any, ClassVar

from service.domain.conditions import USUAL_SPECIES, Conditions
from service.domain.joint.scope import hurricanes_decide
from service.domain.joint.search import NEAREST, find_joints
from service.domain.nails.designation import read_words
from service.domain.nails.nail import Nail, NailAsk
from service.domain.nails.words import understand
from service.domain.site import SITE_FIELDS, Site
from service.errors import FasteningError, Fault
from service.schemas.fields import Choice, Flag, Length, Number, Speed, Text, Whole
from service.schemas.hints import near_later
from service.schemas.twins import Twinned, with_twins
from service.tables.book import Book, open_book
from service.tables.trade import COATINGS, HEADS, words_of
from service.ticks import PER_FT

USUAL_EDITION = "irc-2021"
SITE, CONDITIONS = Site(), Conditions()
"""What is taken where nothing is said."""
MOISTURES = ("dry", "wet_at_fabrication", "wet_in_service", "wet_throughout")
BOOK = open_book()
"""The words of choices; what is asked is judged by the book that is handed in."""


@with_twins
class NailSchema(Twinned):
    """A nail: an id, or free text, or a size; with what the box says of head and coating."""

    example: ClassVar[Any] = {"nail_designation": "3 x 0.131"}
    instead_of_nail: ClassVar[tuple[str, ...]] = ()
    """Fields of a question that may stand in place of its nail."""
    nail_id = Text("Id of a nail, as GET /v1/nails lists them, or a size such as smooth-3x0.120.", r"^[a-z0-9][a-z0-9.-]{0,63}$", 64)
    nail_designation = Text(
        "Free text: 16d common, 3 x 0.131, 2-3/8 x 0.113 ring, 75 x 3.15 mm. A bare pennyweight is refused.", r"\S", 256
    )
    nail_length_in = Length("in", 0.5, 8, "Length of the nail [in].")
    shank_diameter_in = Length("in", 0.05, 0.4, "Diameter of the shank [in].")
    shank = Choice(("smooth", "ring", "screw"), "Shank of a nail named by size.")
    head_diameter_in = Length("in", 0.1, 1, "Diameter of the head [in], from the box.")
    head = Choice(HEADS, "Shape of the head.")
    coating = Choice(COATINGS, "Coating or metal.")


NAIL_FIELDS = ("nail_id", "nail_designation", "nail_length", "shank_diameter", "shank", "head_diameter", "head", "coating")


def joint_words(word: str) -> tuple[str, ...]:
    """Return the joints that words of the trade name, the best few, where every word is known."""
    found = find_joints(word, BOOK.connections.values(), BOOK)
    return tuple(f.connection_id for f in found if f.every_word)[:NEAREST]


def species_words(word: str) -> tuple[str, ...]:
    """Return the species groups that a short name stands for."""
    return BOOK.trade.species.get("".join(words_of(word, plural=False)), ())


class SiteSchema(Twinned):
    """Code edition and site."""

    code_edition = Choice(BOOK.editions, "Code edition.", usual=USUAL_EDITION, at="/v1/code-editions")
    wind_speed_mph = Speed(50, 250, "Site wind speed, 3-second gust [mph].", usual=SITE.wind_speed_mph)
    wind_speed_basis = Choice(
        ("ultimate", "allowable"), "Basis of the wind speed; 90 allowable is about 116 ultimate.", usual=SITE.wind_speed_basis, tell=False
    )
    exposure = Choice("BCD", "Wind exposure category.", usual=SITE.exposure, tell=False)
    seismic_design_category = Choice(
        ("A", "B", "C", "D", "D0", "D1", "D2", "E", "F"),
        "Seismic design category of the code family.",
        usual=SITE.seismic_design_category,
        tell=False,
    )
    building_type = Choice(("detached", "townhouse"), "One- and two-family dwelling, or townhouse.", usual=SITE.building_type)
    hurricane_prone = Flag("Site in a hurricane-prone region.", usual=SITE.hurricane_prone, tell=False)
    upper_half_of_hill = Flag(
        "Site on the upper half of an isolated hill, ridge or escarpment, steeper than 10 percent and 60 ft high in exposure B, 30 ft in C.",
        usual=SITE.upper_half_of_hill,
        tell=False,
    )
    ground_snow_load_psf = Number(0, 300, "Ground snow load [psf].")
    braced_wall_line_spacing_ft = Length("ft", 1, 100, "Spacing of braced wall lines [ft]; plate splices in high seismic areas.")
    story_count = Whole(1, 10, "Stories of the building above grade; as few as its wall tells when left out, else 1.")


class CommonSchema(SiteSchema):
    """Fields of every question about nailing work."""

    species = Choice(BOOK.species, "Species group of the framing.", usual=USUAL_SPECIES, at="/v1/species", also=species_words)
    driver = Choice(("gun", "hand"), "What drives the nails.", usual=CONDITIONS.driver)
    treatment = Choice(
        ("none", "copper", "borate", "fire_retardant", "unknown"),
        "Preservative of the lumber; unknown is read as copper.",
        usual=CONDITIONS.treatment,
        tell=False,
    )
    moisture = Choice(MOISTURES, "Moisture of the lumber.", usual=CONDITIONS.moisture)
    slab_type = Choice(("plain", "post_tensioned", "heated"), "Kind of concrete slab.")
    roof_pitch_in_12 = Number(0, 24, "Roof pitch, rise in 12.")
    roof_span_ft = Length("ft", 1, 100, "Span of the roof between the walls that carry it [ft]; with pitch and site it tells the uplift.")
    tie_spacing_in = Length("in", 6, 48, "Rafters or trusses on center [in]; the widest of the uplift table when left out.")
    fire_rated = Flag("The wall is a fire-rated assembly.")


def read_nail(
    got: dict[str, Any], raw: Any, path: tuple[str | int, ...], assumed: list[tuple[str, Any]], faults: list[Fault], book: Book
) -> Nail | None:
    """Return the nail of a request, labelled in the unit it was sent in; what is wrong with it goes to `faults`.

    Parameters
    ----------
    got, raw : dict
        The nail's fields as understood, and as sent.
    path : tuple
        Where they stand in the request.
    """
    unit = "mm" if isinstance(raw, dict) and "nail_length_mm" in raw else "in"
    words: list[Any] = [*(got.get(name) for name in NAIL_FIELDS), unit]
    designation = got.get("nail_designation")
    try:
        nail = understand(NailAsk(*words), book)
        read_as = read_words(designation, book).read_as if designation else ""
    except FasteningError as error:
        faults += [_with_hint(f, got).under(*path) for f in error.faults]
        return None
    if read_as:
        where = ("nails", path[-1], "nail_designation") if "nail_designation" in path else (*path, "nail_designation")
        assumed.append((".".join(map(str, where)), f"read as {read_as}"))
    return nail


def _with_hint(fault: Fault, got: dict[str, Any]) -> Fault:
    """Return a fault with the nail id that may have been meant, where an id names no nail."""
    if fault.code != "unknown_value":
        return fault
    return replace(fault, facts={**fault.facts, **near_later(got["nail_id"], BOOK.nails)})


def read_site(got: dict[str, Any], assumed: list[tuple[str, Any]], faults: list[Fault], book: Book, least_stories: int = 1) -> Site:
    """Return the site of a request; what is wrong with it goes to `faults`.

    Parameters
    ----------
    least_stories : int
        How many stories the building has at least, by what is asked about.
    """
    edition, category = book.editions[got["code_edition"]], got["seismic_design_category"]
    if category not in edition.seismic_design_categories:
        said = f"{edition.edition_id} has the categories {', '.join(edition.seismic_design_categories)}"
        faults.append(Fault("unknown_value", said, ("seismic_design_category",), {"received": category}))
    if "story_count" not in got and any(row.kind == "stories" for row in edition.scope):
        assumed.append(("story_count", least_stories))
    spacing = got.get("braced_wall_line_spacing")
    site = Site(
        wind_speed_mph=got["wind_speed"],
        wind_speed_basis=got["wind_speed_basis"],
        exposure=got["exposure"],
        seismic_design_category=category,
        building_type=got["building_type"],
        hurricane_prone=got["hurricane_prone"],
        upper_half_of_hill=got["upper_half_of_hill"],
        ground_snow_load_psf=got.get("ground_snow_load_psf"),
        braced_wall_line_spacing_ft=None if spacing is None else spacing / PER_FT,
        story_count=max(got.get("story_count", 1), least_stories),
    )
    unasked = {"building_type": not site.townhouse_decides(book.rules), "hurricane_prone": not hurricanes_decide(site, edition, book.rules)}
    return replace(site, assumed=tuple(name for name, _ in assumed if name in SITE_FIELDS and not unasked.get(name)))


def read_conditions(got: dict[str, Any], assumed: list[tuple[str, Any]], bottom_plate_on: str = "wood_floor") -> Conditions:
    """Return how and with what the work is done; a treatment set by the concrete below is assumed."""
    conditions = Conditions(
        driver=got["driver"],
        treatment=got["treatment"],
        moisture=got["moisture"],
        roof_pitch_in_12=got.get("roof_pitch_in_12"),
        roof_span=got.get("roof_span"),
        tie_spacing=got.get("tie_spacing"),
        bottom_plate_on=got.get("bottom_plate_on", bottom_plate_on),
        slab_type=got.get("slab_type"),
        anchor_type=got.get("anchor_type"),
        assumed=tuple([name for name, _ in assumed]),
    )
    if conditions.treated_as == "copper" and "treatment" in conditions.assumed:
        assumed[:] = [(n, "copper") if n == "treatment" else (n, v) for n, v in assumed]
    return conditions
