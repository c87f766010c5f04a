"""What a question about a wall may say, and the order it becomes."""

from dataclasses import dataclass
from typing import Any

from marshmallow import fields

from service.domain.joint.schedule import assumed_span_rating
from service.domain.site import Site
from service.domain.wall.headers import Carried, jack_count, king_count, span_limit
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order
from service.domain.wall.wall import Header, Intersection, Opening, Sheathing, Wall
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, DEFAULTS, CommonSchema, NailSchema, assume, read_conditions, read_nail, read_site
from service.schemas.fields import Choice, Flag, Items, Length, Strict, Text, Whole, load, with_twins
from service.tables.editions import Edition
from service.ticks import PER_FT, ticks

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
    nominal = Choice(BOOK.lumber, "Size of a ply.", required=True)
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
    span_rating = Choice(BOOK.span_ratings, "Span rating stamped on the panel; assumed from the thickness.")
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
    stud = Choice(BOOK.studs, "Stud size; 2x4 when left out.")
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


@with_twins
class WallItemSchema(CommonSchema):
    """A wall with its nails and site, as an item of a batch."""

    framing_nail = fields.Nested(NailSchema, required=True, metadata={"description": "The nail for every framing joint."})
    sheathing_nail = fields.Nested(NailSchema, metadata={"description": "The nail for panels; required where there is sheathing."})
    connection_nails = fields.Dict(
        keys=Choice(BOOK.connections, "A connection id."),
        values=fields.Nested(NailSchema),
        metadata={"description": "Another nail for single connections, by connection id."},
    )
    wall = fields.Nested(WallSchema, required=True, metadata={"description": "The wall."})


@with_twins
class WallPlanSchema(WallItemSchema):
    """One wall to plan."""

    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")
    include = Items(Choice(("positions",), "positions: every nail located."), 1, "What else to answer.")


WALL_PLAN = WallPlanSchema()


@dataclass(frozen=True, slots=True)
class WallAsk:
    """A wall question as understood."""

    order: Order
    positions: bool
    assumptions: tuple[tuple[str, Any], ...]


def read_wall(raw: Any) -> WallAsk:
    """Check and understand a wall question.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(WALL_PLAN, raw)
    faults: list[Fault] = []
    assumed = assume(got, DEFAULTS)
    nail = read_nail(got["framing_nail"], ("framing_nail",), faults)
    others = {c: read_nail(n, ("connection_nails", c), faults) for c, n in got.get("connection_nails", {}).items()}
    site = read_site(got, assumed, faults)
    panel_nail = read_nail(got["sheathing_nail"], ("sheathing_nail",), faults) if "sheathing_nail" in got else None
    if got["wall"].get("sheathing") and "sheathing_nail" not in got:
        faults.append(Fault("missing_field", "is required where there is sheathing", ("sheathing_nail",)))
    wall = _wall(got["wall"], assumed, site, BOOK.editions[got.get("code_edition", DEFAULTS["code_edition"])])
    conditions = read_conditions({**got, "bottom_plate_on": wall.bottom_plate_on}, assumed)
    if faults or nail is None:
        raise FasteningError(*faults)
    setting = Setting(
        edition_id=got.get("code_edition", DEFAULTS["code_edition"]),
        framing_nail=nail,
        connection_nails=tuple(sorted((c, n) for c, n in others.items() if n)) if others else (),
        sheathing_nail=panel_nail,
        site=site,
        conditions=conditions,
        species=got.get("species", DEFAULTS["species"]),
        fire_rated=got.get("fire_rated", False),
    )
    return WallAsk(Order(wall, setting), "positions" in got.get("include", []), tuple(assumed))


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
    jacks, jacks_held = (got["jack_count"], True) if "jack_count" in got else jack_count(ask, edition, BOOK)
    kings, kings_held = (got["king_count"], True) if "king_count" in got else king_count(ask, site, edition, BOOK)
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
        span_limit=span_limit(ask, edition),
    )


def _sheathing(got: dict[str, Any], assumed: list[tuple[str, Any]]) -> Sheathing:
    defaults = {"material": "wood_structural_panel", "panel_width_in": 48, "orientation": "vertical", "material_between_in": 0}
    assumed += [(f"wall.sheathing.{n}", v) for n, v in defaults.items() if n.removesuffix("_in") not in got]
    if "span_rating" not in got:
        assumed.append(("wall.sheathing.span_rating", assumed_span_rating(got["thickness"], BOOK)))
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
