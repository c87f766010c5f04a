"""The joints of the service: what one is, and what decides how it is judged."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.sheet import Cells, keyed

GROUPS = ("roof", "wall", "floor", "sheathing")
METHODS = ("face_nail", "end_nail", "toe_nail")


@dataclass(frozen=True, slots=True)
class ConnectionRow:
    """A kind of joint; `main_thickness` is None where the holding piece is deeper than any nail."""

    connection_id: str
    group: str
    method: str
    panel: bool
    side_thickness: int | None
    main_thickness: int | None
    receiving_width: int | None
    description: str


def read_connections(root: Path) -> dict[str, ConnectionRow]:
    """Return the joints by id; `TableError` as `read`."""
    return keyed(root, "connections.csv", _connection, "connection_id")


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
    )
