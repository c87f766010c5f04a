"""What a nailing schedule may be asked for: groups of joints or walls, and the nails that will be used."""

from dataclasses import dataclass, replace
from typing import Any, ClassVar

from service.domain.nails.nail import Nail
from service.domain.wall.plan import Order
from service.errors import FasteningError, Fault
from service.schemas.asks.common import BOOK, CommonSchema, NailSchema, read_conditions, read_nail, read_site
from service.schemas.asks.joint import RowSchema, check_joints, joint_question
from service.schemas.asks.substitution import WALL_GROUP, WIND_PANELS, SubstitutionAsk, wall_of_box
from service.schemas.asks.wall import WALL_PLAN, WallAsk, WallItemSchema, WallPlanSchema, WallSchema, read_wall
from service.schemas.fields import ONE_LINE, Choice, Inner, Items, Text
from service.schemas.loading import fill, load, with_example
from service.schemas.twins import with_twins
from service.tables.book import Book
from service.tables.joints import GROUPS

MOST_NAILS, MOST_WALLS = 10, 100
LONGEST_PROJECT = 120
USUAL_GROUPS = ["wall"]
NAMED = ("framing_nail", "sheathing_nail", "connection_nails")
"""Fields that name the nail of each joint."""
Assumed = list[tuple[str, Any]]


@with_twins
class NailingScheduleSchema(RowSchema, CommonSchema):
    """The joints of a project and the nails that will be used."""

    example: ClassVar[Any] = {"framing_nail": NailSchema.example}
    framing_nail = Inner(NailSchema, "The nail for every framing joint.")
    sheathing_nail = Inner(NailSchema, "The nail for panels; required beside framing_nail where there are panels.")
    connection_nails = WallItemSchema._declared_fields["connection_nails"]
    nails_on_hand = Items(
        Inner(NailSchema, "A nail on hand."), MOST_NAILS, "Nails on hand, instead of named ones: each joint takes the best of them.", 1
    )
    groups = Items(
        Choice(GROUPS, "Part of the building."),
        len(GROUPS),
        "Groups of joints; the joints of walls when left out, with exterior panels where panel_thickness_in or sheathing_nail is sent. "
        "Fiberboard, gypsum, siding and the like are listed only where they have a row of that thickness.",
        1,
    )
    walls = Items(Inner(WallSchema, "A wall, as in a wall plan."), MOST_WALLS, "Walls: only the joints they have. Instead of groups.", 1)
    anchor_type = WallItemSchema._declared_fields["anchor_type"]
    project = Text("Name of the project, on each page of the schedule as a PDF.", ONE_LINE, LONGEST_PROJECT)
    units = WallPlanSchema._declared_fields["units"]


NAILING_SCHEDULE = NailingScheduleSchema()
OF_GROUPS = set(NAILING_SCHEDULE.fields) - set(WALL_PLAN.fields) - {"nails_on_hand", "walls", "project"}
"""Fields of a question about groups that walls answer themselves."""


@dataclass(frozen=True, slots=True)
class WallsAsk:
    """Walls by name as understood; each order takes the first nail, `others` are on hand beside it."""

    orders: tuple[tuple[str, Order], ...]
    others: tuple[Nail, ...]
    assumptions: tuple[tuple[str, Any], ...]


def read_nailing_schedule(raw: Any, book: Book) -> SubstitutionAsk | WallsAsk:
    """Check and understand a question about a schedule.

    Raises
    ------
    FasteningError
        All faults of the fields; if none, all faults of the fields against each other.
    """
    got = load(NAILING_SCHEDULE, raw)
    faults = _nails_twice(got)
    if faults:
        raise FasteningError(*faults)
    return _read_walls(got, raw, book) if "walls" in got else _read_groups(got, raw, book)


def _nails_twice(got: dict[str, Any]) -> list[Fault]:
    """Say that nails are named twice over, or not at all."""
    named = [name for name in NAMED if name in got]
    if "nails_on_hand" in got:
        said = "names the nail of a joint, nails_on_hand lets the best be taken: send one of the two"
        return [Fault("conflicting_fields", said, (name,)) for name in named]
    if "framing_nail" in got:
        return []
    return [with_example(Fault("missing_field", "is required, or nails_on_hand", ("framing_nail",)), NAILING_SCHEDULE)]


def _read_groups(got: dict[str, Any], raw: dict[str, Any], book: Book) -> SubstitutionAsk:
    """Return each joint of the groups with the nails it may take."""
    faults: list[Fault] = []
    assumed = fill(got, NAILING_SCHEDULE)
    on_hand, named = _on_hand(got, raw, assumed, faults, book), _named(got, raw, assumed, faults, book)
    site = read_site(got, assumed, faults, book)
    ids = _joints(got, assumed)
    check_joints(got, ids, assumed, faults, book)
    panel = next((c for c in ids if book.connections[c].panel and c not in got.get("connection_nails", {})), None)
    if panel and not on_hand and "sheathing_nail" not in got and "nails_on_hand" not in got:
        faults.append(with_example(Fault("missing_field", f"is required for {panel}", ("sheathing_nail",)), NAILING_SCHEDULE))
    if faults:
        raise FasteningError(*faults)
    nails = {c: on_hand or (named.get(c) or named["sheathing_nail" if book.connections[c].panel else "framing_nail"],) for c in ids}
    return SubstitutionAsk(
        tuple(tuple(joint_question(got, c, nail, site, book) for nail in nails[c]) for c in ids),
        read_conditions(got, assumed),
        None,
        None,
        tuple(assumed),
    )


def _joints(got: dict[str, Any], assumed: Assumed) -> tuple[str, ...]:
    if "groups" in got:
        return tuple(name for name, joint in BOOK.connections.items() if joint.group in got["groups"])
    assumed.append(("groups", USUAL_GROUPS))
    panels = WIND_PANELS if "panel_thickness" in got or "sheathing_nail" in got else ()
    return (*WALL_GROUP, *panels)


def _on_hand(got: dict[str, Any], raw: dict[str, Any], assumed: Assumed, faults: list[Fault], book: Book) -> tuple[Nail, ...]:
    boxes = enumerate(got.get("nails_on_hand", ()))
    nails = [read_nail(box, raw["nails_on_hand"][i], ("nails_on_hand", i), assumed, faults, book) for i, box in boxes]
    return tuple(dict.fromkeys(n for n in nails if n))


def _named(got: dict[str, Any], raw: dict[str, Any], assumed: Assumed, faults: list[Fault], book: Book) -> dict[str, Nail]:
    """Return the nails that are named, by the field or the joint that names them."""
    boxes: list[tuple[str, Any, Any, tuple[str, ...]]] = [(name, got[name], raw[name], (name,)) for name in NAMED[:2] if name in got]
    boxes += [(c, box, raw["connection_nails"][c], ("connection_nails", c)) for c, box in got.get("connection_nails", {}).items()]
    nails = {name: read_nail(box, sent, path, assumed, faults, book) for name, box, sent, path in boxes}
    return {name: nail for name, nail in nails.items() if nail}


def _read_walls(got: dict[str, Any], raw: dict[str, Any], book: Book) -> WallsAsk:
    """Return the order of each wall; what is wrong or assumed of several is said once."""
    said = "is of groups of joints, and walls say it themselves: leave it out"
    faults = [Fault("conflicting_fields", said, (name,)) for name in raw if name in OF_GROUPS]
    readings: Assumed = []
    on_hand = _on_hand(got, raw, readings, faults, book)
    faults += _named_twice([wall.get("id") for wall in raw["walls"]])
    asks = [_wall(i, wall, raw, faults, book) for i, wall in enumerate(raw["walls"])]
    if faults:
        raise FasteningError(*{(f.path, f.code): f for f in faults}.values())
    read = [ask for ask in asks if ask]
    stories = max(ask.order.setting.site.story_count for ask in read)
    assumed = dict(readings)
    for i, ask in enumerate(read):
        assumed |= {_of_wall(name, i): stories if name == "story_count" else value for name, value in ask.assumptions}
    names = [ask.order.wall.wall_id or str(i + 1) for i, ask in enumerate(read)]
    orders = [_in_building(ask.order, stories) for ask in read]
    return WallsAsk(tuple(zip(names, orders, strict=True)), on_hand[1:], tuple(assumed.items()))


def _wall(i: int, wall: dict[str, Any], raw: dict[str, Any], faults: list[Fault], book: Book) -> WallAsk | None:
    """Return one wall with the nails of all; what is wrong goes to `faults`."""
    if "nails_on_hand" in raw:
        ask, wrong = wall_of_box(raw, wall, raw["nails_on_hand"][0], book)
    else:
        common = {name: value for name, value in raw.items() if name in WALL_PLAN.fields}
        try:
            ask, wrong = read_wall({**common, "wall": wall}, book), []
        except FasteningError as error:
            ask, wrong = None, [*error.faults]
    faults += [_in_list(f, i) for f in wrong]
    return ask


def _in_list(fault: Fault, i: int) -> Fault:
    return replace(fault, path=("walls", i, *fault.path[1:])) if fault.path[0] == "wall" else fault


def _of_wall(name: str, i: int) -> str:
    return f"walls.{i}.{name.removeprefix('wall.')}" if name.startswith("wall.") else name


def _in_building(order: Order, stories: int) -> Order:
    """Return the order of a wall in a building of so many stories: as many as its highest wall tells."""
    setting = order.setting
    return replace(order, setting=replace(setting, site=replace(setting.site, story_count=stories)))


def _named_twice(names: list[str | None]) -> list[Fault]:
    return [
        Fault("duplicate_id", f"the id {name!r} stands twice", ("walls", i, "id"))
        for i, name in enumerate(names)
        if name is not None and name in names[:i]
    ]
