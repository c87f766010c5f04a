"""What a question about a wall may say, and the order it becomes."""

from dataclasses import dataclass, replace
from typing import Any, ClassVar

from service.domain.conditions import USUAL_SPECIES
from service.domain.joint.schedule import assumed_span_rating
from service.domain.site import Site
from service.domain.wall.headers import complete_openings
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order
from service.domain.wall.wall import LEAST_STORIES, LEFT_OUT, EngineeredHeader, Header, Intersection, Opening, Sheathing, T, Wall
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, CommonSchema, NailSchema, joint_words, read_conditions, read_nail, read_site
from service.schemas.fields import Choice, Flag, Inner, Items, Length, Named, Text, Whole
from service.schemas.loading import fill, load, with_example
from service.schemas.twins import Twinned, with_twins
from service.tables.book import Book
from service.tables.editions import Edition
from service.tables.framing import FLOORS
from service.ticks import feet, inches

WALL, HEADER, CROSS = Wall(0, 0), Header(2, ""), Intersection(0)
"""What is taken where nothing is said of a wall, a header, a partition."""
SUPPORTS = ("none", "roof_only", "one_story_and_roof", "two_stories_and_roof", "one_floor_only")
OPENING_KINDS = ("window", "door")
CORNERS = ("none", "two_stud", "three_stud", "four_stud")


@with_twins
class IntersectionSchema(Twinned):
    """A partition that meets the wall."""

    example: ClassVar[Any] = {"at_in": 120, "backing": "two_stud"}
    at_in = Length("in", 0, 4800, "Middle of the partition from the start of the wall [in].", required=True)
    backing = Choice(("two_stud", "ladder", "none"), "Backing behind the partition; two_stud when left out.")
    wall_depth_in = Length("in", 1.5, 12, "Depth of the partition's framing [in]; 3.5 when left out.")


@with_twins
class HeaderSchema(Twinned):
    """A header: plies of 2-by, one solid 4-by, or one piece of engineered wood."""

    example: ClassVar[Any] = {"ply_count": 2, "nominal": "2x8", "spacer_in": 0.5}
    material = Choice(("sawn", "engineered"), "Sawn lumber, or engineered wood in one piece; sawn when left out.")
    ply_count = Whole(1, 4, "Plies; 2 when left out, 1 for a 4-by.")
    nominal = Choice(BOOK.lumber, "Size of a ply; required for sawn lumber.")
    spacer_in = Length("in", 0, 2, "Spacer between plies [in].", usual=inches(HEADER.spacer))
    thickness_in = Length("in", 0.5, 12, "Thickness of an engineered header [in].")
    depth_in = Length("in", 3, 30, "Depth of an engineered header [in].")


@with_twins
class OpeningSchema(Twinned):
    """A rough opening."""

    example: ClassVar[Any] = {
        "id": "w1",
        "kind": "window",
        "at_in": 54,
        "width_in": 38,
        "sill_height_in": 36,
        "head_height_in": 82.5,
        "header": HeaderSchema.example,
    }
    id = Text("Your name for the opening.", r"^[A-Za-z0-9._-]{1,64}$", 64, required=True)
    kind = Choice(OPENING_KINDS, "A door cuts the bottom plate and has no sill.", required=True)
    at_in = Length("in", 0, 1200, "Left edge of the rough opening from the start of the wall [in].", required=True)
    width_in = Length("in", 6, 240, "Width of the rough opening [in].", required=True)
    sill_height_in = Length("in", 0, 144, "Bottom of the rough opening above the underside of the bottom plate [in]; windows only.")
    head_height_in = Length("in", 12, 144, "Top of the rough opening above the underside of the bottom plate [in].", required=True)
    header = Inner(HeaderSchema, "null only in walls that do not bear: the head is one flat 2-by.", required=True, allow_none=True)
    jack_count = Whole(0, 6, "Jacks each side; from the header table or common practice when left out.")
    king_count = Whole(1, 6, "Full-height studs each side; from the king table or common practice when left out.")


@with_twins
class SheathingSchema(Twinned):
    """Panels on the outside face."""

    example: ClassVar[Any] = {"thickness_in": 0.4375}
    material = Choice(("wood_structural_panel",), "Kind of panel.", usual="wood_structural_panel")
    thickness_in = Length("in", 0.1, 2, "Thickness [in].", required=True)
    panel_width_in = Length("in", 24, 60, "Width of a panel [in].", usual=48)
    panel_length_in = Length(
        "in", 48, 192, "Length of a panel [in]; the smallest stock that covers the wall when left out.", allow_none=True
    )
    orientation = Choice(("vertical", "horizontal"), "How panels stand.", usual="vertical")
    edge_spacing_in = Length("in", 0.5, 24, "Your own closer edge spacing [in].", allow_none=True)
    field_spacing_in = Length("in", 0.5, 24, "Your own closer field spacing [in].", allow_none=True)
    span_rating = Choice(BOOK.span_ratings, "Span rating stamped on the panel; assumed from the thickness.")
    material_between_in = Length("in", 0, 4, "Foam or gypsum between panel and stud [in].", usual=0)


@with_twins
class WallSchema(Twinned):
    """A wall as measured."""

    example: ClassVar[Any] = {"length_in": 288, "height_in": 97.125}
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
    stud = Choice(BOOK.studs, "Stud size.", usual=WALL.stud)
    stud_spacing_in = Length("in", 6, 48, "Stud spacing on center [in].", usual=inches(WALL.spacing))
    first_stud_offset_in = Length("in", 2.25, 48, "Center of the first layout stud from the start [in]; one spacing when left out.")
    exterior = Flag("Exterior wall.", usual=WALL.exterior)
    bearing = Flag("Bearing wall.", usual=WALL.bearing)
    supports = Choice(SUPPORTS, "What the wall carries; none is assumed where it does not bear.", usual=WALL.supports, tell=False)
    top_plate_count = Whole(1, 2, "Top plates.", usual=WALL.top_plate_count)
    plate_stock_length_ft = Length("ft", 8, 24, "Length of plate stock [ft].", usual=feet(WALL.plate_stock))
    start_corner = Choice(CORNERS, "Corner this wall owns at its start.", usual=WALL.start_corner)
    end_corner = Choice(CORNERS, "Corner this wall owns at its end.", usual=WALL.end_corner)
    intersections = Items(Inner(IntersectionSchema, "A partition."), 50, "Partitions that meet the wall.", usual=[])
    openings = Items(Inner(OpeningSchema, "A rough opening."), 50, "Rough openings.", usual=[])
    sheathing = Inner(SheathingSchema, "Panels on the outside face; null or left out: none.", usual=None, allow_none=True)
    floor_bearing = Choice(
        FLOORS, "How the floor that the wall carries bears: on a wall or beam in the middle of the building too, or from wall to wall."
    )
    building_width_ft = Length("ft", 1, 100, "Width of the building across the ridge [ft]; for the header table.")
    bottom_plate_on = Choice(("wood_floor", "concrete"), "What the bottom plate stands on.", usual=WALL.bottom_plate_on)
    braced = Flag("The wall is a braced wall line; the braced rows are used over its whole length.", usual=WALL.braced, tell=False)
    fireblocking = Flag("Fire blocks in studs over 10 ft.", usual=WALL.fireblocking)
    stud_to_plate_method = Choice(("end_nail", "toe_nail", "toe_nail_bottom"), "How studs meet plates.", usual=WALL.stud_to_plate_method)


NO_PARAMETERS = {
    **dict.fromkeys(
        ("openings", "sheathing", "sheathing_nail", "intersections", "connection_nails", "include"),
        "is no parameter of a plain wall; send it in the JSON body of a POST",
    ),
    **dict.fromkeys(
        ("wall", "framing_nail"), "is an object of the JSON body; a query sends its fields side by side: length_in, nail_designation"
    ),
}
"""Fields of a body that no query can hold."""


@with_twins
class WallItemSchema(CommonSchema):
    """A wall with its nails and site, as an item of a batch."""

    example: ClassVar[Any] = {"framing_nail": NailSchema.example, "wall": WallSchema.example}
    framing_nail = Inner(NailSchema, "The nail for every framing joint.", required=True)
    sheathing_nail = Inner(NailSchema, "The nail for panels; required where there is sheathing.")
    connection_nails = Named(
        keys=Choice(BOOK.connections, "A connection id.", at="/v1/connections", also=joint_words),
        values=Inner(NailSchema, "A nail."),
        example={"built-up-header-face-nail": {"nail_designation": "16d box"}},
        metadata={
            "description": "Another nail for single connections, by connection id.",
            "maxProperties": len(BOOK.connections),
            "propertyNames": {"enum": list(BOOK.connections)},
        },
    )
    anchor_type = Choice(("cast_in", "drilled", "shot"), "How the bottom plate is anchored to concrete.")
    wall = Inner(WallSchema, "The wall.", required=True)


@with_twins
class WallPlanSchema(WallItemSchema):
    """One wall to plan."""

    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")
    include = Items(Choice(("positions",), "positions: every nail located."), 1, "What else to answer.")


@with_twins
class WallQuerySchema(CommonSchema, NailSchema, WallSchema):
    """A plain wall with its nail and site, as query parameters: the fields of the body side by side."""

    units = WallPlanSchema._declared_fields["units"]
    anchor_type = WallPlanSchema._declared_fields["anchor_type"]
    elsewhere = NO_PARAMETERS

    class Meta:
        """What holds lists and objects is for a body."""

        exclude = ("intersections", "openings", "sheathing")


WALL_PLAN, WALL_QUERY = WallPlanSchema(), WallQuerySchema()


@dataclass(frozen=True, slots=True)
class WallAsk:
    """A wall question as understood."""

    order: Order
    positions: bool
    assumptions: tuple[tuple[str, Any], ...]


def read_wall(raw: Any, book: Book) -> WallAsk:
    """Check and understand a wall question.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(WALL_PLAN, raw)
    faults: list[Fault] = []
    assumed = fill(got, WALL_PLAN)
    nail = read_nail(got["framing_nail"], raw["framing_nail"], ("framing_nail",), assumed, faults, book)
    others = {
        c: read_nail(n, raw["connection_nails"][c], ("connection_nails", c), assumed, faults, book)
        for c, n in got.get("connection_nails", {}).items()
    }
    site = read_site(got, assumed, faults, book, LEAST_STORIES.get(got["wall"].get("supports"), 1))
    panel_nail = (
        read_nail(got["sheathing_nail"], raw["sheathing_nail"], ("sheathing_nail",), assumed, faults, book)
        if "sheathing_nail" in got
        else None
    )
    if got["wall"].get("sheathing") and "sheathing_nail" not in got:
        faults.append(Fault("missing_field", "is required where there is sheathing", ("sheathing_nail",)))
    wrong = header_faults(got["wall"])
    if wrong:
        raise FasteningError(*faults, *(f.under("wall") for f in wrong))
    wall = shape_wall(got["wall"], site, book.editions[got["code_edition"]], assumed, book, got["species"])
    conditions = read_conditions(got, assumed, wall.bottom_plate_on)
    if faults or nail is None:
        raise FasteningError(*(with_example(f, WALL_PLAN) for f in faults))
    setting = Setting(
        edition_id=got["code_edition"],
        framing_nail=nail,
        connection_nails=tuple(sorted((c, n) for c, n in others.items() if n)) if others else (),
        sheathing_nail=panel_nail,
        site=site,
        conditions=conditions,
        species=got["species"],
        fire_rated=got.get("fire_rated", False),
    )
    return WallAsk(Order(wall, setting), "positions" in got.get("include", []), tuple(assumed))


def plain_wall(raw: dict[str, Any]) -> dict[str, Any]:
    """Return the body that asks what a query asks.

    Raises
    ------
    FasteningError
        All faults of the parameters.
    """
    load(WALL_QUERY, raw)
    wall, nail = _WALL.fields, _NAIL.fields
    common = {k: v for k, v in raw.items() if k not in wall and k not in nail}
    return {**common, "framing_nail": {k: v for k, v in raw.items() if k in nail}, "wall": {k: v for k, v in raw.items() if k in wall}}


def in_query(fault: Fault) -> Fault:
    """Return a fault of that body as the query sees it, where all fields stand side by side."""
    alone = {"wall": "length_in", "framing_nail": "nail_designation"}
    path = fault.path
    return replace(fault, path=path[1:] or (alone[str(path[0])],)) if path and path[0] in alone else fault


def shape_wall(
    got: dict[str, Any], site: Site, edition: Edition, assumed: list[tuple[str, Any]], book: Book, species: str = USUAL_SPECIES
) -> Wall:
    """Return the wall with what was left out filled in; what was assumed is said in the order of the fields."""
    carried = {} if got.get("bearing", WALL.bearing) else {"supports": "none"}
    assumed += [(f"wall.{n}", v) for n, v in fill(got, _WALL, **carried)]
    headers = [_fill_header(o["header"]) for o in got["openings"]]
    wall, counts = complete_openings(_wall(got), site, edition, book, species)
    for i, said in enumerate(zip(counts, headers, strict=True)):
        assumed += [(f"wall.openings.{i}.{n}", v) for n, v in said[0]] + [(f"wall.openings.{i}.header.{n}", v) for n, v in said[1]]
    return wall if got["sheathing"] is None else replace(wall, sheathing=_sheathing(got["sheathing"], assumed, book))


def _wall(got: dict[str, Any]) -> Wall:
    return Wall(
        length=got["length"],
        height=got["height"],
        wall_id=got.get("id", ""),
        stud=got["stud"],
        spacing=got["stud_spacing"],
        first_stud_offset=got.get("first_stud_offset"),
        exterior=got["exterior"],
        bearing=got["bearing"],
        supports=got["supports"],
        top_plate_count=got["top_plate_count"],
        plate_stock=got["plate_stock_length"],
        start_corner=got["start_corner"],
        end_corner=got["end_corner"],
        intersections=tuple(
            [Intersection(c["at"], c.get("backing", CROSS.backing), c.get("wall_depth", CROSS.depth)) for c in got["intersections"]]
        ),
        openings=tuple([_opening(o) for o in got["openings"]]),
        bottom_plate_on=got["bottom_plate_on"],
        braced=got["braced"],
        fireblocking=got["fireblocking"],
        stud_to_plate_method=got["stud_to_plate_method"],
        building_width=got.get("building_width"),
        floor_bearing=got.get("floor_bearing", ""),
    )


def _opening(got: dict[str, Any]) -> Opening:
    raw = got["header"]
    return Opening(
        opening_id=got["id"],
        kind=got["kind"],
        at=got["at"],
        width=got["width"],
        sill_height=got.get("sill_height"),
        head_height=got["head_height"],
        header=None if raw is None else _header(raw),
        jack_count=got.get("jack_count", LEFT_OUT),
        king_count=got.get("king_count", LEFT_OUT),
    )


def _fill_header(got: dict[str, Any] | None) -> list[tuple[str, Any]]:
    """Fill in plies and spacer of a sawn header, a 4-by in one piece; return what was assumed."""
    if got is None or got.get("material") == "engineered":
        return []
    plies = []
    if "ply_count" not in got:
        got["ply_count"] = 1 if BOOK.lumber[got["nominal"]].thickness > T else HEADER.ply_count
        plies = [("ply_count", got["ply_count"])]
    return plies + fill(got, _HEADER)


def _header(got: dict[str, Any]) -> Header | EngineeredHeader:
    if got.get("material") == "engineered":
        return EngineeredHeader(got["thickness"], got["depth"])
    return Header(got["ply_count"], got["nominal"], got["spacer"])


def header_faults(wall: dict[str, Any]) -> list[Fault]:
    """Say which headers lack a size or have that of the other material."""
    out = []
    for i, o in enumerate(wall.get("openings", [])):
        got, path = o["header"], ("openings", i, "header")
        if got is None:
            continue
        own: tuple[str, ...] = ("nominal",)
        other: tuple[str, ...] = ("thickness", "depth")
        if got.get("material") == "engineered":
            own, other = other, ("nominal", "ply_count", "spacer")
        field = {"thickness": "thickness_in", "depth": "depth_in", "spacer": "spacer_in"}
        kind = got.get("material", "sawn")
        out += [Fault("missing_field", f"is required for {kind} headers", (*path, field.get(n, n))) for n in own if n not in got]
        out += [Fault("conflicting_fields", f"does not go with {kind} headers", (*path, field.get(n, n))) for n in other if n in got]
        size = BOOK.lumber.get(got.get("nominal", ""))
        if size and size.thickness > T and got.get("ply_count", 1) > 1:
            out.append(Fault("conflicting_fields", f"a {size.nominal} is one piece: ply_count 1", (*path, "ply_count"), {"limit": 1}))
        elif size and got.get("spacer") and (size.thickness > T or got.get("ply_count") == 1):
            said = "fills the room between plies, and this header is one piece: leave it out"
            out.append(Fault("conflicting_fields", said, (*path, "spacer_in"), {"limit": 0}))
    return out


def _sheathing(got: dict[str, Any], assumed: list[tuple[str, Any]], book: Book) -> Sheathing:
    assumed += [(f"wall.sheathing.{n}", v) for n, v in fill(got, _SHEATHING)]
    if "span_rating" not in got:
        assumed.append(("wall.sheathing.span_rating", assumed_span_rating(got["thickness"], book)))
    return Sheathing(
        material=got["material"],
        thickness=got["thickness"],
        panel_width=got["panel_width"],
        panel_length=got.get("panel_length"),
        orientation=got["orientation"],
        edge_spacing=got.get("edge_spacing"),
        field_spacing=got.get("field_spacing"),
        span_rating=got.get("span_rating"),
        material_between=got["material_between"],
    )


_WALL, _NAIL, _HEADER, _SHEATHING = WallSchema(), NailSchema(), HeaderSchema(), SheathingSchema()
