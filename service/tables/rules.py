"""The rules outside the tables of an edition: a printed rule, a trade custom or a limit of this service behind each number."""

from dataclasses import dataclass, fields
from pathlib import Path
from typing import get_origin

from service.errors import TableError
from service.tables.confidence import SERVICE_RULE, WEAKEST_FIRST
from service.tables.schedule import CATEGORIES
from service.tables.sheet import Cells, keyed

NAME = "service_rules.csv"
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
    thicker_over: int
    close_rows_from: int
    close_rows_to: int
    services_depth: int
    protrudes_over: int
    steep_roof_over: float
    short_end_distance: int
    splits_gravity_from: float
    splits_shank_from: int
    uplift_ignored_by: str
    uplift_ignored_to_wind: float
    uplift_ignored_exposure: str
    uplift_ignored_from_pitch: float
    uplift_ignored_to_span: int
    hand_clear_under: int
    short_piece_under: int
    overhead_over: int
    tall_wall_from: int
    panel_short_over: int
    one_jack_to: int
    flat_head_width: int
    flat_head_above: int
    least_bay: int
    fireblock_height: int
    ladder_step: int
    precut_over: int
    braced_panel_length: int
    least_plate_piece: int
    lap_depth: int
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
    rows: dict[str, RuleRow]


KINDS = {f.name: get_origin(f.type) or f.type for f in fields(Rules) if f.name != "rows"}


def read_rules(root: Path) -> Rules:
    """Return the rules.

    Raises
    ------
    TableError
        As `read`; and a rule is missing, or its unit is not of the kind that the service counts with.
    """
    rows = keyed(root, NAME, _rule, "key")
    missing = [key for key in KINDS if key not in rows]
    if missing:
        raise TableError(f"table {NAME}: key {missing[0]} is missing")
    return Rules(rows=rows, **{key: row.value for key, row in rows.items()})  # type: ignore[arg-type]  # _rule checks each kind


def _rule(c: Cells) -> RuleRow:
    key, value = c.word("key", KINDS), value_of(c)
    if type(value) is not KINDS[key]:
        raise ValueError(f"column unit: {c.text('unit')!r} is not the kind of unit that {key} has")
    return RuleRow(
        key, value, c.text("unit"), c.said("section_or_source"), c.word("confidence", (*WEAKEST_FIRST, SERVICE_RULE)), c.text("note")
    )


def value_of(c: Cells) -> Value:
    """Return the value of a line by its unit, a length in ticks."""
    match c.word("unit", ("in", "ft", "in each", "categories", "key", "count", *NUMBERS)):
        case "in":
            return c.length("value")
        case "ft":
            return c.feet("value")
        case "in each":
            return tuple(Cells({"value": one}).length("value") for one in c.said("value").split())
        case "categories":
            return c.said("value") and c.words("value", CATEGORIES)
        case "key":
            return c.key("value")
        case "count":
            return c.count("value")
    return c.number("value")
