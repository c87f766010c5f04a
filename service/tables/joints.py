"""The joints of the service: what one is, and what decides how it is judged."""

from dataclasses import dataclass
from pathlib import Path

from service.errors import TableError
from service.tables.sheet import Cells, keyed

GROUPS = ("roof", "wall", "floor", "sheathing")
METHODS = ("face_nail", "end_nail", "toe_nail")
WALL_PLACES = (
    "stud_end",
    "stud_toe",
    "uprights",
    "header_end",
    "header_toe",
    "header_plies",
    "header_flats",
    "top_plates",
    "splice",
    "lap",
    "floor",
    "block",
    "block_toe",
    "outside_panel",
    "inside_panel",
)
PLACEMENTS = ("panel", *METHODS, "plate_to_floor", "splice")


@dataclass(frozen=True, slots=True)
class ConnectionRow:
    """A kind of joint, and what decides its judgement; the columns are explained in the head lines of connections.csv.

    Ticks. `main_thickness` is None where the holding piece is deeper than any nail, `row_gap` where the row takes any gap.
    """

    connection_id: str
    group: str
    method: str
    panel: bool
    side_thickness: int | None
    main_thickness: int | None
    receiving_width: int | None
    description: str
    judged_by: str
    between: str
    row_gap: int | None
    by_use: bool
    placement: str
    through: int | None
    in_wall: str
    diaphragm: bool
    carries_roof: str
    on_concrete: str
    no_equation_because: str

    @property
    def wind_panel(self) -> bool:
        """Whether the table of wall panels against wind judges it."""
        return self.judged_by == "wind_panel"

    def known_gap(self, gap: int) -> int:
        """Return so much of a gap as the row itself knows; ticks."""
        return gap if self.row_gap is None else min(gap, self.row_gap)


def read_connections(root: Path) -> dict[str, ConnectionRow]:
    """Return the joints by id; `TableError` as `read`, and where a place in a wall has no joint or two."""
    rows = keyed(root, "connections.csv", _connection, "connection_id")
    for place in WALL_PLACES:
        found = [name for name, row in rows.items() if row.in_wall == place]
        if len(found) != 1:
            raise TableError(f"table connections.csv: column in_wall: {place} must stand once ({', '.join(found) or 'it does not'})")
    return rows


def _connection(c: Cells) -> ConnectionRow:
    panel = c.flag("panel")
    return ConnectionRow(
        connection_id=c.key("connection_id"),
        group=c.word("group", GROUPS),
        method=c.word("method", METHODS),
        panel=panel,
        side_thickness=c.maybe_length("side_thickness_in", 24) if panel else c.length("side_thickness_in", 24),
        main_thickness=c.maybe_length("main_thickness_in", 24),
        receiving_width=c.maybe_length("receiving_width_in", 24),
        description=c.said("description"),
        judged_by=c.word("judged_by", ("schedule", "wind_panel", "common_practice") if panel else ("schedule", "common_practice")),
        between=c.word("between", ("foam",) if panel else ("", "spacer")),
        row_gap=None if c.text("row_gap_in") == "any" else c.maybe_length("row_gap_in", 4) or 0,
        by_use=bool(c.maybe_flag("by_use")),
        placement=c.word("placement", PLACEMENTS),
        through=c.maybe_length("through_in", 24),
        in_wall=c.word("in_wall", ("", *WALL_PLACES)),
        diaphragm=bool(c.maybe_flag("diaphragm")),
        carries_roof=c.word("carries_roof", ("", "at_wall", "above_wall")),
        on_concrete=c.word("on_concrete", ("", "anchors")),
        no_equation_because=c.text("no_equation_because"),
    )
