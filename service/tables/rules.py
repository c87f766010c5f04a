"""The rules outside the tables of an edition: a printed rule, a trade custom or a limit of this service behind each number."""

from collections.abc import Collection, Mapping
from dataclasses import MISSING, dataclass, fields
from pathlib import Path
from types import UnionType
from typing import Any, get_args, get_origin

from service.errors import TableError
from service.tables.confidence import SERVICE_RULE, WEAKEST_FIRST
from service.tables.schedule import CATEGORIES
from service.tables.sheet import Cells, keyed

NAME = "service_rules.csv"
FARTHEST_FT = 100
NUMBERS = ("lb", "lb/cu ft", "plf", "psf", "mph", "ratio", "diameters", "in 12")
Value = int | float | str | tuple[int, ...] | tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule with where it stands and how well it is known; `value` in ticks where the unit is a length."""

    key: str
    value: Value
    unit: str
    source: str
    confidence: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rules:
    """The value of each rule: lengths in ticks, others in the unit of service_rules.csv, where each is explained; `rows` cites them."""

    wide_braced_line_spacing: int
    high_seismic_categories: tuple[str, ...]
    townhouse_categories: tuple[str, ...]
    splice_plate_seismic_categories: tuple[str, ...]
    allowable_wind_share: float
    doubtful_ultimate_under: float
    doubtful_allowable_over: float
    low_gravity_from: float
    low_gravity_under: float
    panel_side_material: str
    least_framing_penetration: int
    least_length_through_spacer: int
    least_calculated_spacing: int
    calculated_step: int
    most_in_group: int
    narrow_face: int
    more_in_narrow_face: int
    more_in_deep_face: int
    splice_rows_narrow: int
    splice_rows_deep: int
    edge_distance: int
    panel_edge_distance: int
    run_end_distance: int
    plate_end_distance: int
    splice_reach: int
    side_by_side_nails: int
    side_by_side_face: int
    side_by_side_step: int
    columns_apart: int
    slant_back: int
    guide_end_diameters: float
    guide_row_diameters: float
    guide_across_diameters: float
    lane_shift: int
    make_way_step: int
    beside_stud: int
    stud_reach: int
    ply_aside: int
    nails_apart: int
    shank_gap_diameters: float
    full_head_diameters: float
    thicker_over: int
    close_rows_from: int
    close_rows_to: int
    services_depth: int
    protrudes_over: int
    added_nails_split_to: int
    steep_roof_over: float
    splits_gravity_from: float
    splits_shank_from: int
    hand_clear_under: int
    short_piece_under: int
    overhead_over: int
    tall_wall_from: int
    panel_short_over: int
    overdriven_light: int
    overdriven_deep: int
    overdriven_share: float
    overdriven_for_one: int
    overdriven_staples: int
    one_jack_to: int
    flat_head_width: int
    flat_head_above: int
    least_bay: int
    fireblock_height: int
    ladder_step: int
    precut_over: int
    braced_panel_length: int
    least_plate_piece: int
    wall_like_feet_under: int
    opening_like_feet_under: int
    sill_like_feet_under: int
    stock_sheets: tuple[int, ...]
    lying_sheet: int
    lap_short_double: int
    lap_short_single: int
    joint_on_member: int
    opening_corner_reach: int
    least_panel_spacing: int
    person_lift: float
    most_lifters: int
    water_weight: float
    lumber_moisture_factor: float
    panel_weight: float
    panel_weight_thickness: int
    unsent_gaps: tuple[int, ...]
    unsent_stud_spacings: tuple[int, ...]
    stock_lengths: tuple[int, ...]
    stock_slack: float
    rows: dict[str, RuleRow]


def read_rules(root: Path) -> Rules:
    """Return the rules.

    Raises
    ------
    TableError
        As `read`; and a rule is missing, or its unit is not of the kind that the service counts with.
    """
    kinds = kinds_of(Rules)
    rules: Rules = built(Rules, keyed(root, NAME, lambda c: _rule(c, kinds), "key"), NAME)
    return rules


def _rule(c: Cells, kinds: dict[str, type]) -> RuleRow:
    known = c.word("confidence", (*WEAKEST_FIRST, SERVICE_RULE))
    return RuleRow(*keyed_value(c, kinds), c.text("unit"), c.said("section_or_source"), known, c.text("note"))


@dataclass(frozen=True, slots=True)
class ClauseRow:
    """One line of a clause: its value, in ticks where it is a length, and where it is printed."""

    key: str
    value: Value
    section: str
    table: str
    confidence: str
    note: str


def read_clauses(root: Path, name: str, of: Any) -> Any:
    """Build an object whose fields are the lines of a table, each of the kind of its field; a field with a default may lack its line."""
    kinds = kinds_of(of)

    def clause(c: Cells) -> ClauseRow:
        return ClauseRow(*keyed_value(c, kinds), c.key("section"), c.text("table"), c.confidence(), c.text("note"))

    return built(of, keyed(root, name, clause, "key"), name)


def kinds_of(of: Any) -> dict[str, type]:
    """Return the kind of value of each field that is a line of a table; `rows` holds the lines themselves."""
    plain: dict[str, Any] = {
        f.name: get_args(f.type)[0] if isinstance(f.type, UnionType) else f.type for f in fields(of) if f.name != "rows"
    }
    return {name: get_origin(kind) or kind for name, kind in plain.items()}


def keyed_value(c: Cells, kinds: dict[str, type], **lists: Collection[str]) -> tuple[str, Value]:
    """Return the key and the value of a line, which must be of the kind that the key has."""
    key, value = c.word("key", kinds), value_of(c, **lists)
    if type(value) is not kinds[key]:
        raise ValueError(f"column unit: {c.text('unit')!r} is not the kind of unit that {key} has")
    return key, value


def built(of: Any, rows: Mapping[str, Any], name: str) -> Any:
    """Build an object of its lines; `TableError` where one is missing."""
    missing = [f.name for f in fields(of) if f.name != "rows" and f.default is MISSING and f.name not in rows]
    if missing:
        raise TableError(f"table {name}: key {missing[0]} is missing")
    return of(rows=rows, **{key: row.value for key, row in rows.items()})


def value_of(c: Cells, **lists: Collection[str]) -> Value:
    """Return the value of a line by its unit, a length in ticks; `lists` are units whose values are words of a list."""
    lists = {"categories": CATEGORIES, **lists}
    unit = c.word("unit", ("in", "ft", "in each", "key", "count", *NUMBERS, *lists))
    match unit:
        case "in":
            return c.length("value")
        case "ft":
            return c.feet("value", FARTHEST_FT)
        case "in each":
            return tuple(Cells({"value": one}).length("value") for one in c.said("value").split())
        case "key":
            return c.key("value")
        case "count":
            return c.count("value")
    return c.said("value") and c.words("value", lists[unit]) if unit in lists else c.number("value")
