"""What a question about the strength of a nail may say, and the joint it becomes."""

from dataclasses import dataclass
from typing import Any, ClassVar

from service.domain.conditions import USUAL_SPECIES
from service.domain.nails.nail import Nail
from service.domain.strength.adjusted import Service
from service.domain.strength.reference import PANEL, Joint
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, MOISTURES, USUAL_EDITION, NailSchema, read_nail, species_words
from service.schemas.fields import Choice, Flag, Length, Number, Whole
from service.schemas.loading import fill, load
from service.schemas.twins import with_twins
from service.tables.book import Book
from service.tables.standard import Nds
from service.ticks import ticks

GRAVITY = (0.3, 0.8)
THICK_STEEL = ticks("0.25")
THIN_STEEL_PLATE, THICK_STEEL_PLATE = "steel-side-plate-astm-a653-grade-33-under-1-4-in", "steel-side-plate-astm-a36-1-4-in-and-thicker"
_USUAL = BOOK.standard_of(USUAL_EDITION)


@with_twins
class NailStrengthSchema(NailSchema):
    """One nail in one joint, and how it is loaded."""

    example: ClassVar[Any] = {"nail_designation": "16d common", "side_thickness_in": 1.5}
    method = Choice(("face_nail", "end_nail", "toe_nail"), "How the nail is driven.", usual="face_nail")
    side_material = Choice(("wood", PANEL, "steel"), "What is nailed on.", usual="wood")
    load_duration_factor = Number(
        _USUAL["load_duration_least"],
        _USUAL["load_duration_most"],
        "0.9 permanent, 1.0 ten years, 1.15 snow, 1.25 seven days, 1.6 wind or seismic.",
        "impact is not allowed for connections",
        usual=1.0,
    )
    moisture = Choice(MOISTURES, "Moisture of the wood when nailed and in service.", usual="dry")
    temperature_f = Number(-60, 150, "Highest temperature in service [F].", usual=70)
    nds_edition = Choice(BOOK.nds, "Edition of the design standard.", usual=_USUAL.edition_id)
    main_thickness_in = Length(
        "in",
        0.25,
        24,
        "Thickness of the piece that holds the point [in]; null or left out: deeper than the nail.",
        usual=None,
        allow_none=True,
    )
    gap_in = Length("in", 0, 4, "Air, foam or gypsum between the pieces [in].", usual=0)
    diaphragm = Flag("The nail fastens the sheathing of a diaphragm.", usual=False)
    shear_planes = Whole(1, 2, "1, or 2 for a piece between two like pieces.", usual=1)
    nail_group_count = Whole(1, 1000, "Like nails that act together.", usual=1)
    short_penetration_method = Choice(("yield_equations", "ratio"), "For 6 to 10 diameters of penetration.", usual="yield_equations")
    main_species = Choice(
        BOOK.species, "Species group of the piece that holds the point; spruce-pine-fir is assumed.", at="/v1/species", also=species_words
    )
    main_specific_gravity = Number(*GRAVITY, "Specific gravity of the piece that holds the point, in place of its species.")
    side_thickness_in = Length("in", 0.015, 12, "Thickness of what is nailed on [in]; required except for toe-nails.")
    side_species = Choice(
        BOOK.species, "Species group of the wood nailed on; that of the holding piece is assumed.", at="/v1/species", also=species_words
    )
    side_specific_gravity = Number(
        *GRAVITY, "Specific gravity of the wood or panel nailed on; 0.50 (OSB) is assumed for panels, send 0.42 for other plywood."
    )
    load_angle_deg = Number(0, 90, "Angle of the load from the wood surface, for the combined value; 90 pulls the nail straight out.")
    units = Choice(("us", "metric"), "metric adds millimetre twins to lengths; forces stay in pounds.")


NAIL_STRENGTH = NailStrengthSchema()


@dataclass(frozen=True, slots=True)
class StrengthAsk:
    """A strength question as understood."""

    nail: Nail
    joint: Joint
    service: Service
    nds: Nds
    short_method: str
    assumptions: tuple[tuple[str, Any], ...]


def read_strength(raw: Any, book: Book) -> StrengthAsk:
    """Check and understand a question about strength.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(NAIL_STRENGTH, raw)
    faults: list[Fault] = []
    assumed = fill(got, NAIL_STRENGTH)
    nail = read_nail(got, raw, (), assumed, faults, book)
    faults += _conflicts(got)
    if faults or nail is None:
        raise FasteningError(*faults)
    joint = _joint(got, assumed, book)
    service = Service(
        load_duration=got["load_duration_factor"],
        moisture=got["moisture"],
        temperature_f=got["temperature_f"],
        diaphragm=got["diaphragm"],
        nail_count=got["nail_group_count"],
        load_angle_deg=got.get("load_angle_deg"),
    )
    return StrengthAsk(nail, joint, service, book.nds[got["nds_edition"]], got["short_penetration_method"], tuple(assumed))


def _conflicts(got: dict[str, Any]) -> list[Fault]:
    method, side = got["method"], got["side_material"]
    rules = (
        (
            "main_specific_gravity",
            {"main_species", "main_specific_gravity"} <= set(got),
            "send main_species or main_specific_gravity, not both",
        ),
        (
            "side_specific_gravity",
            {"side_species", "side_specific_gravity"} <= set(got),
            "send side_species or side_specific_gravity, not both",
        ),
        ("side_species", "side_species" in got and side != "wood", f"a side of {side} has no species; panels take side_specific_gravity"),
        ("side_specific_gravity", "side_specific_gravity" in got and side == "steel", "steel has no specific gravity here"),
        ("side_material", side != "wood" and method != "face_nail", f"{side} is face-nailed; {method} is for wood"),
        ("gap_in", got["gap"] > 0 and method == "toe_nail", "a toe-nail has no gap here: the pieces bear on each other"),
        ("diaphragm", got["diaphragm"] and method != "face_nail", "diaphragm sheathing is face-nailed"),
        ("shear_planes", got["shear_planes"] == 2 and method != "face_nail", "two shear planes need face_nail"),
    )
    faults = [Fault("conflicting_fields", said, (name,)) for name, wrong, said in rules if wrong]
    if method != "toe_nail" and "side_thickness" not in got:
        faults.append(Fault("missing_field", f"is required for {method} (or side_thickness_mm)", ("side_thickness_in",)))
    if got["shear_planes"] == 2 and got["main_thickness"] is None:
        faults.append(Fault("missing_field", "is required for two shear planes (or main_thickness_mm)", ("main_thickness_in",)))
    return faults


def _joint(got: dict[str, Any], assumed: list[tuple[str, Any]], book: Book) -> Joint:
    main_gravity, main_known = _wood(got, "main", None, assumed, book)
    side = got["side_material"]
    gravity: float | None
    psi: float | None
    if side == "steel":
        plate = book.materials[THICK_STEEL_PLATE if got["side_thickness"] >= THICK_STEEL else THIN_STEEL_PLATE]
        gravity, psi, known = None, plate.dowel_bearing_psi, plate.confidence
    elif side == PANEL:
        panel = book.panel_side
        if "side_specific_gravity" not in got:
            assumed.append(("side_specific_gravity", panel.specific_gravity))
        gravity, psi, known = got.get("side_specific_gravity", panel.specific_gravity), None, panel.confidence
    else:
        (gravity, known), psi = _wood(got, "side", (main_gravity, main_known), assumed, book), None
    return Joint(
        got["method"],
        main_gravity,
        gravity,
        got.get("side_thickness", 0),
        got["main_thickness"],
        side_kind=side,
        side_psi=psi,
        gap=got["gap"],
        shear_planes=got["shear_planes"],
        confidence=_USUAL.least(main_known, known),
    )


def _wood(
    got: dict[str, Any], which: str, other: tuple[float, str] | None, assumed: list[tuple[str, Any]], book: Book
) -> tuple[float, str]:
    """Return the specific gravity of a piece and how well its bearing strength is known."""
    if f"{which}_specific_gravity" in got:
        return got[f"{which}_specific_gravity"], _USUAL.values["bearing_coefficient_psi"].confidence
    if f"{which}_species" not in got and other is not None:
        assumed.append((f"{which}_specific_gravity", other[0]))
        return other
    if f"{which}_species" not in got:
        assumed.append((f"{which}_species", USUAL_SPECIES))
    species = book.species[got.get(f"{which}_species", USUAL_SPECIES)]
    return species.specific_gravity, species.confidence
