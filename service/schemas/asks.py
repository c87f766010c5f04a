"""What a request may say: site, nail, joint, wall; and the domain objects it becomes."""

from dataclasses import dataclass
from typing import Any

from marshmallow import fields

from service.domain.conditions import Conditions
from service.domain.headers import Carried, jack_count, king_count, span_limit
from service.domain.nail import Nail, NailAsk
from service.domain.nail_words import understand
from service.domain.plan import Order
from service.domain.requirement import Question
from service.domain.schedule import WIND_PANEL, Selectors, assumed_span_rating
from service.domain.site import Site
from service.domain.wall import Header, Intersection, Opening, Sheathing, Wall
from service.errors import FasteningError, Fault
from service.schemas.fields import Choice, Flag, Items, Length, Number, Speed, Strict, Text, Whole, load, with_twins
from service.tables.book import Edition, open_book
from service.tables.rows import Grouped, OnCenter, Panel, PerJoint
from service.ticks import PER_FT, ticks

DEFAULTS: dict[str, Any] = {
    "code_edition": "irc-2021",
    "species": "spruce-pine-fir",
    "wind_speed_mph": 115,
    "wind_speed_basis": "ultimate",
    "exposure": "B",
    "seismic_design_category": "B",
    "building_type": "detached",
    "driver": "gun",
    "treatment": "none",
}
WALL_DEFAULTS: dict[str, Any] = {
    "stud": "2x4",
    "stud_spacing_in": 16,
    "exterior": True,
    "bearing": True,
    "supports": "roof_only",
    "top_plate_count": 2,
    "plate_stock_length_ft": 16,
    "start_corner": "none",
    "end_corner": "none",
    "intersections": [],
    "openings": [],
    "sheathing": None,
    "bottom_plate_on": "wood_floor",
    "braced": False,
    "fireblocking": True,
    "stud_to_plate_method": "end_nail",
}
SUPPORTS = ("none", "roof_only", "one_story_and_roof", "two_stories_and_roof", "one_floor_only")
CORNERS = ("none", "two_stud", "three_stud", "four_stud")
COATINGS = ("bright", "hot_dip_galvanized", "electro_galvanized", "stainless", "silicon_bronze", "copper", "other")
_BOOK = open_book()


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


class _Common(Strict):
    code_edition = Choice(_BOOK.editions, "Code edition; irc-2021 when left out.")
    species = Choice(_BOOK.species, "Species group of the framing; spruce-pine-fir when left out.")
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
    moisture = Choice(("dry", "wet_at_fabrication", "wet_in_service", "wet_throughout"), "Moisture of the lumber.")
    slab_type = Choice(("plain", "post_tensioned", "heated"), "Kind of concrete slab.")
    fire_rated = Flag("The wall is a fire-rated assembly.")


@with_twins
class RequirementSchema(_Common, NailSchema):
    """One joint and one nail."""

    connection_id = Choice(_BOOK.connections, "The joint, as GET /v1/connections lists them.", required=True)
    joint_count = Whole(1, 1_000_000, "Number of joints, for a total.")
    run_length_ft = Length("ft", 0.01, 100_000, "Length nailed [ft], for a total of spaced nails.")
    braced_wall_panel = Flag("The joint is at a braced wall panel.")
    use = Choice(("wall", "roof", "floor"), "What the panel is for; wall when left out.")
    panel_thickness_in = Length("in", 0.1, 2, "Thickness of the panel [in]; required for panels.")
    stud_spacing_in = Length("in", 3, 48, "Spacing of the framing behind a panel [in]; 16 is assumed.")
    span_rating = Choice(_BOOK.span_ratings, "Span rating stamped on the panel; assumed from the thickness.")
    material_between_in = Length("in", 0, 4, "Foam or gypsum between panel and stud [in].")
    roof_pitch_in_12 = Number(0, 24, "Roof pitch, rise in 12.")
    bottom_plate_on = Choice(("wood_floor", "concrete"), "What the bottom plate stands on.")
    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")


@with_twins
class IntersectionSchema(Strict):
    """A partition that meets the wall."""

    at_in = Length("in", 0, 4800, "Middle of the partition from the start of the wall [in].", required=True)
    backing = Choice(("two_stud", "ladder", "none"), "Backing behind the partition; two_stud when left out.")
    wall_depth_in = Length("in", 1.5, 12, "Depth of the partition's framing [in]; 3.5 when left out.")


@with_twins
class HeaderSchema(Strict):
    """A built-up header."""

    ply_count = Whole(1, 4, "Plies; 2 when left out.")
    nominal = Choice(_BOOK.lumber, "Size of a ply.", required=True)
    spacer_in = Length("in", 0, 2, "Spacer between plies [in]; 0 when left out.")


@with_twins
class OpeningSchema(Strict):
    """A rough opening."""

    id = Text("Your name for the opening.", r"^[A-Za-z0-9._-]{1,64}$", 64, required=True)
    kind = Choice(("window", "door"), "A door cuts the bottom plate and has no sill.", required=True)
    at_in = Length("in", 0, 1200, "Left edge of the rough opening from the start of the wall [in].", required=True)
    width_in = Length("in", 6, 240, "Width of the rough opening [in].", required=True)
    sill_height_in = Length("in", 0, 144, "Bottom of the rough opening above the underside of the bottom plate [in]; windows only.")
    head_height_in = Length("in", 12, 144, "Top of the rough opening above the underside of the bottom plate [in].", required=True)
    header = fields.Nested(
        HeaderSchema,
        required=True,
        allow_none=True,
        metadata={"description": "null only in walls that do not bear: the head is one flat 2-by."},
    )
    jack_count = Whole(0, 6, "Jacks each side; from the header table or common practice when left out.")
    king_count = Whole(1, 6, "Full-height studs each side; from the king table or common practice when left out.")


@with_twins
class SheathingSchema(Strict):
    """Panels on the outside face."""

    material = Choice(("wood_structural_panel",), "Kind of panel; wood_structural_panel when left out.")
    thickness_in = Length("in", 0.1, 2, "Thickness [in].", required=True)
    panel_width_in = Length("in", 24, 60, "Width of a panel [in]; 48 when left out.")
    panel_length_in = Length(
        "in", 48, 192, "Length of a panel [in]; the smallest stock that covers the wall when left out.", allow_none=True
    )
    orientation = Choice(("vertical", "horizontal"), "How panels stand; vertical when left out.")
    edge_spacing_in = Length("in", 0.5, 24, "Your own closer edge spacing [in].", allow_none=True)
    field_spacing_in = Length("in", 0.5, 24, "Your own closer field spacing [in].", allow_none=True)
    span_rating = Choice(_BOOK.span_ratings, "Span rating stamped on the panel; assumed from the thickness.")
    material_between_in = Length("in", 0, 4, "Foam or gypsum between panel and stud [in]; 0 when left out.")


@with_twins
class WallSchema(Strict):
    """A wall as measured."""

    id = Text("Your name for the wall.", r"^[A-Za-z0-9._-]{1,64}$", 64)
    length_in = Length("in", 12, 1200, "Length of the wall [in].", required=True)
    height_in = Length(
        "in",
        24,
        144,
        "Height from the underside of the bottom plate to the top of the top plate [in]; taller walls need a design.",
        "lengths are in inches; walls over 12 ft need a design",
        required=True,
    )
    stud = Choice(_BOOK.stud_limits, "Stud size; 2x4 when left out.")
    stud_spacing_in = Length("in", 6, 48, "Stud spacing on center [in]; 16 when left out.")
    first_stud_offset_in = Length("in", 2.25, 48, "Center of the first layout stud from the start [in]; one spacing when left out.")
    exterior = Flag("Exterior wall; true when left out.")
    bearing = Flag("Bearing wall; true when left out.")
    supports = Choice(SUPPORTS, "What the wall carries; roof_only when left out, none where not bearing.")
    top_plate_count = Whole(1, 2, "Top plates; 2 when left out.")
    plate_stock_length_ft = Length("ft", 8, 24, "Length of plate stock [ft]; 16 when left out.")
    start_corner = Choice(CORNERS, "Corner this wall owns at its start; none when left out.")
    end_corner = Choice(CORNERS, "Corner this wall owns at its end; none when left out.")
    intersections = Items(fields.Nested(IntersectionSchema), 50, "Partitions that meet the wall.")
    openings = Items(fields.Nested(OpeningSchema), 50, "Rough openings.")
    sheathing = fields.Nested(SheathingSchema, allow_none=True, metadata={"description": "Panels on the outside face; none when left out."})
    building_width_ft = Length("ft", 1, 100, "Width of the building across the ridge [ft]; for the header table.")
    bottom_plate_on = Choice(("wood_floor", "concrete"), "What the bottom plate stands on; wood_floor when left out.")
    braced = Flag("The wall is a braced wall line; the braced rows are used over its whole length.")
    fireblocking = Flag("Fire blocks in studs over 10 ft; true when left out.")
    stud_to_plate_method = Choice(("end_nail", "toe_nail", "toe_nail_bottom"), "How studs meet plates; end_nail when left out.")


class WallItemSchema(_Common):
    """A wall with its nails and site, as an item of a batch."""

    framing_nail = fields.Nested(NailSchema, required=True, metadata={"description": "The nail for every framing joint."})
    sheathing_nail = fields.Nested(NailSchema, metadata={"description": "The nail for panels; required where there is sheathing."})
    connection_nails = fields.Dict(
        keys=Choice(_BOOK.connections, "A connection id."),
        values=fields.Nested(NailSchema),
        metadata={"description": "Another nail for single connections, by connection id."},
    )
    wall = fields.Nested(WallSchema, required=True, metadata={"description": "The wall."})


@with_twins
class WallPlanSchema(WallItemSchema):
    """One wall to plan."""

    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")
    include = Items(Choice(("positions",), "positions: every nail located."), 1, "What else to answer.")


REQUIREMENT, WALL_PLAN = RequirementSchema(), WallPlanSchema()


@dataclass(frozen=True, slots=True)
class JointAsk:
    """A joint question as understood."""

    question: Question
    conditions: Conditions
    joint_count: int | None
    run_length: int | None
    assumptions: tuple[tuple[str, Any], ...]


@dataclass(frozen=True, slots=True)
class WallAsk:
    """A wall question as understood."""

    order: Order
    positions: bool
    assumptions: tuple[tuple[str, Any], ...]


def read_joint(raw: Any) -> JointAsk:
    """Check and understand a joint question.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(REQUIREMENT, raw)
    faults: list[Fault] = []
    assumed = _assumed(got, DEFAULTS)
    connection = got["connection_id"]
    kind = _BOOK.connections[connection]
    thickness = got.get("panel_thickness")
    nail = _nail(got, (), faults)
    site = _site(got, assumed, faults)
    if kind.panel:
        if thickness is None:
            faults.append(Fault("missing_field", f"is required for {connection}", ("panel_thickness_in",)))
        if "stud_spacing" not in got:
            assumed.append(("stud_spacing_in", 16))
        if connection == WIND_PANEL and "span_rating" not in got and thickness:
            assumed.append(("span_rating", assumed_span_rating(thickness, _BOOK)))
        if connection == "wood-panel-to-framing" and "use" not in got:
            assumed.append(("use", "wall"))
    if faults or nail is None:
        raise FasteningError(*faults)
    question = Question(
        edition_id=got.get("code_edition", DEFAULTS["code_edition"]),
        connection_id=connection,
        nail=nail,
        site=site,
        selectors=Selectors(
            braced=got.get("braced_wall_panel", False),
            use=got.get("use", "wall"),
            panel_thickness=thickness if kind.panel else None,
            stud_spacing=got.get("stud_spacing", ticks(16)) if kind.panel else None,
            span_rating=got.get("span_rating") if kind.panel else None,
            material_between=got.get("material_between", 0) if kind.panel else 0,
        ),
        species=got.get("species", DEFAULTS["species"]),
        fire_rated=got.get("fire_rated", False),
        on_concrete=got.get("bottom_plate_on") == "concrete",
    )
    return JointAsk(question, _conditions(got, assumed), got.get("joint_count"), got.get("run_length"), tuple(assumed))


def check_total(ask: JointAsk, nailing: Any) -> None:
    """Refuse a total that the row does not count by.

    Raises
    ------
    FasteningError
        `conflicting_fields`.
    """
    match nailing:
        case PerJoint() if ask.run_length is not None:
            raise FasteningError(Fault("conflicting_fields", "this connection is counted per joint: send joint_count", ("run_length_ft",)))
        case OnCenter() | Grouped() if ask.joint_count is not None:
            raise FasteningError(
                Fault("conflicting_fields", "this connection is spaced along a length: send run_length_ft", ("joint_count",))
            )
        case Panel() if ask.joint_count is not None or ask.run_length is not None:
            field = "joint_count" if ask.joint_count is not None else "run_length_ft"
            raise FasteningError(
                Fault("conflicting_fields", "panels are nailed by edge and field spacing and have no total here", (field,))
            )


def read_wall(raw: Any) -> WallAsk:
    """Check and understand a wall question.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(WALL_PLAN, raw)
    faults: list[Fault] = []
    assumed = _assumed(got, DEFAULTS)
    nail = _nail(got["framing_nail"], ("framing_nail",), faults)
    others = {c: _nail(n, ("connection_nails", c), faults) for c, n in got.get("connection_nails", {}).items()}
    site = _site(got, assumed, faults)
    panel_nail = _nail(got["sheathing_nail"], ("sheathing_nail",), faults) if "sheathing_nail" in got else None
    if got["wall"].get("sheathing") and "sheathing_nail" not in got:
        faults.append(Fault("missing_field", "is required where there is sheathing", ("sheathing_nail",)))
    wall = _wall(got["wall"], assumed, site, _BOOK.editions[got.get("code_edition", DEFAULTS["code_edition"])])
    conditions = _conditions({**got, "bottom_plate_on": wall.bottom_plate_on}, assumed)
    if faults or nail is None:
        raise FasteningError(*faults)
    order = Order(
        edition_id=got.get("code_edition", DEFAULTS["code_edition"]),
        wall=wall,
        framing_nail=nail,
        connection_nails=tuple(sorted((c, n) for c, n in others.items() if n)) if others else (),
        sheathing_nail=panel_nail,
        site=site,
        conditions=conditions,
        species=got.get("species", DEFAULTS["species"]),
        fire_rated=got.get("fire_rated", False),
    )
    return WallAsk(order, "positions" in got.get("include", []), tuple(assumed))


def _assumed(got: dict[str, Any], defaults: dict[str, Any]) -> list[tuple[str, Any]]:
    return [(name, value) for name, value in defaults.items() if name.removesuffix("_mph") not in got and name not in got]


def _nail(got: dict[str, Any], path: tuple[str, ...], faults: list[Fault]) -> Nail | None:
    words = [got.get(name) for name in NAIL_FIELDS]
    try:
        return understand(NailAsk(*words), _BOOK)
    except FasteningError as error:
        faults += [f.under(*path) for f in error.faults]
        return None


def _site(got: dict[str, Any], assumed: list[tuple[str, Any]], faults: list[Fault]) -> Site:
    edition = _BOOK.editions[got.get("code_edition", DEFAULTS["code_edition"])]
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


def _conditions(got: dict[str, Any], assumed: list[tuple[str, Any]]) -> Conditions:
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


def _wall(got: dict[str, Any], assumed: list[tuple[str, Any]], site: Site, edition: Edition) -> Wall:
    bearing = got.get("bearing", True)
    defaults = {**WALL_DEFAULTS, "supports": "roof_only" if bearing else "none"}
    read = {"stud_spacing_in": "stud_spacing", "plate_stock_length_ft": "plate_stock_length"}
    assumed += [(f"wall.{n}", v) for n, v in defaults.items() if read.get(n, n) not in got]
    supports = got.get("supports", defaults["supports"])
    wide = got.get("building_width")
    frame = (
        got.get("exterior", True),
        supports,
        got.get("stud_spacing", ticks(16)),
        None if wide is None else wide / PER_FT,
        site.ground_snow_load_psf,
    )
    return Wall(
        length=got["length"],
        height=got["height"],
        wall_id=got.get("id", ""),
        stud=got.get("stud", "2x4"),
        spacing=got.get("stud_spacing", ticks(16)),
        first_stud_offset=got.get("first_stud_offset"),
        exterior=got.get("exterior", True),
        bearing=bearing,
        supports=supports,
        top_plate_count=got.get("top_plate_count", 2),
        plate_stock=got.get("plate_stock_length", 16 * PER_FT),
        start_corner=got.get("start_corner", "none"),
        end_corner=got.get("end_corner", "none"),
        intersections=tuple(
            Intersection(c["at"], c.get("backing", "two_stud"), c.get("wall_depth", ticks("3.5"))) for c in got.get("intersections", [])
        ),
        openings=tuple(_opening(o, i, frame, site, edition, assumed) for i, o in enumerate(got.get("openings", []))),
        sheathing=_sheathing(got["sheathing"], assumed) if got.get("sheathing") else None,
        bottom_plate_on=got.get("bottom_plate_on", "wood_floor"),
        braced=got.get("braced", False),
        fireblocking=got.get("fireblocking", True),
        stud_to_plate_method=got.get("stud_to_plate_method", "end_nail"),
    )


def _opening(got: dict[str, Any], i: int, frame: tuple[Any, ...], site: Site, edition: Edition, assumed: list[tuple[str, Any]]) -> Opening:
    raw = got["header"]
    header = None if raw is None else Header(raw.get("ply_count", 2), raw["nominal"], raw.get("spacer", 0))
    ask = Carried(got["width"], header, *frame)
    jacks, jacks_held = (got["jack_count"], True) if "jack_count" in got else jack_count(ask, edition, _BOOK)
    kings, kings_held = (got["king_count"], True) if "king_count" in got else king_count(ask, site, edition, _BOOK)
    for name, value in (("jack_count", jacks), ("king_count", kings)):
        if name not in got:
            assumed.append((f"wall.openings.{i}.{name}", value))
    if raw is not None:
        assumed += [
            (f"wall.openings.{i}.header.{n}", v)
            for n, key, v in (("ply_count", "ply_count", 2), ("spacer_in", "spacer", 0))
            if key not in raw
        ]
    return Opening(
        opening_id=got["id"],
        kind=got["kind"],
        at=got["at"],
        width=got["width"],
        sill_height=got.get("sill_height"),
        head_height=got["head_height"],
        header=header,
        jack_count=jacks,
        king_count=kings,
        counts_assumed=not (jacks_held and kings_held),
        span_limit=span_limit(ask, edition, _BOOK),
    )


def _sheathing(got: dict[str, Any], assumed: list[tuple[str, Any]]) -> Sheathing:
    defaults = {"material": "wood_structural_panel", "panel_width_in": 48, "orientation": "vertical"}
    assumed += [(f"wall.sheathing.{n}", v) for n, v in defaults.items() if n.removesuffix("_in") not in got]
    if "span_rating" not in got:
        assumed.append(("wall.sheathing.span_rating", assumed_span_rating(got["thickness"], _BOOK)))
    return Sheathing(
        material=got.get("material", "wood_structural_panel"),
        thickness=got["thickness"],
        panel_width=got.get("panel_width", ticks(48)),
        panel_length=got.get("panel_length"),
        orientation=got.get("orientation", "vertical"),
        edge_spacing=got.get("edge_spacing"),
        field_spacing=got.get("field_spacing"),
        span_rating=got.get("span_rating"),
        material_between=got.get("material_between", 0),
    )
