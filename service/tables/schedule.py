"""The fastening schedule: nailings, printed options, and the rows that hold them."""

from dataclasses import dataclass, replace
from pathlib import Path

from service.errors import TableError
from service.tables.cautions import SourceRow
from service.tables.joints import ConnectionRow
from service.tables.nails import NailRow
from service.tables.sheet import Cells, keyed, read

ROW_COUNTS = {"each_edge": 2, "top_and_bottom": 2}
USES = ("wall", "floor", "roof")
FASTENERS = ("nail", "staple", "roofing_nail", "casing_nail", "finish_nail", "siding_nail", "screw")
SHANKS = ("smooth", "deformed", "smooth_or_deformed", "rsrs")
CATEGORIES = ("A", "B", "C", "D", "D0", "D1", "D2", "E", "F")


@dataclass(frozen=True, slots=True)
class PerJoint:
    """So many nails in each joint."""

    count: int
    counted_by: str


@dataclass(frozen=True, slots=True)
class OnCenter:
    """A nail every `spacing` in each of `row_count` rows."""

    spacing: int
    row_count: int


@dataclass(frozen=True, slots=True)
class Grouped:
    """`count` nails in each `spacing` of length."""

    count: int
    spacing: int


@dataclass(frozen=True, slots=True)
class Panel:
    """Spacing along panel edges and in the field."""

    edge: int
    field: int


Nailing = PerJoint | OnCenter | Grouped | Panel


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One printed choice of fastener in a schedule row; ticks."""

    fastener: str
    shank: str
    nail_id: str
    pennyweight: str
    length: int | None
    diameter: int | None
    diameter_max: int | None
    head_diameter: int | None
    detail: str
    nailing: Nailing
    max_wind_mph: float | None
    alternate: bool
    table: str
    sources: tuple[str, ...]
    confidence: str
    note: str
    use: tuple[str, ...]
    min_penetration: int | None = None


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """A row of the fastening schedule with the fields that choose it."""

    row: str
    connection_id: str
    section: str
    table: str
    item: str
    braced: bool | None
    thickness_min: int | None
    thickness_max: int | None
    seismic_design_categories: tuple[str, ...]
    confidence: str
    note: str
    options: tuple[OptionRow, ...]


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of the page: the head of its row and at most one option."""

    head: ScheduleRow
    option: OptionRow | None


def read_schedule(
    root: Path, name: str, sources: dict[str, SourceRow], nails: dict[str, NailRow], connections: dict[str, ConnectionRow]
) -> dict[str, tuple[ScheduleRow, ...]]:
    """Return the rows of an edition by connection, each with its options in the order of the page.

    Raises
    ------
    TableError
        As `read`; and a source, a nail or a connection is not known.
    """
    grouped: dict[str, list[_Line]] = {}
    for line in read(root, name, lambda c: _line(c, sources, nails, connections), _printed):
        grouped.setdefault(line.head.row, []).append(line)
    rows: dict[str, list[ScheduleRow]] = {}
    for lines in grouped.values():
        head = lines[0].head
        options = tuple(line.option for line in lines if line.option)
        rows.setdefault(head.connection_id, []).append(replace(head, options=options))
    return {k: tuple(v) for k, v in rows.items()}


def _printed(line: _Line) -> tuple[object, ...]:
    """Return what the page prints in a line, without the marks of how it was read."""
    option = line.option and replace(line.option, sources=(), confidence="", note="")
    return line.head.row, replace(line.head, confidence="", note=""), option


def _line(c: Cells, sources: dict[str, SourceRow], nails: dict[str, NailRow], connections: dict[str, ConnectionRow]) -> _Line:
    c.all_of("sources", sources, "sources.csv")
    c.one_of("connection_id", connections, "connections.csv")
    return _Line(_head(c), _option(c, nails) if c.text("fastener") else None)


def _head(c: Cells) -> ScheduleRow:
    return ScheduleRow(
        row=c.key("row"),
        connection_id=c.text("connection_id"),
        section=c.key("section"),
        table=c.text("table"),
        item=c.text("item"),
        braced=c.maybe_flag("braced_wall_panel"),
        thickness_min=c.maybe_length("thickness_min_in", 4),
        thickness_max=c.maybe_length("thickness_max_in", 4),
        seismic_design_categories=c.words("seismic_design_categories", CATEGORIES),
        confidence=c.confidence(),
        note=c.text("note"),
        options=(),
    )


def _option(c: Cells, nails: dict[str, NailRow]) -> OptionRow:
    fastener = c.word("fastener", FASTENERS)
    nail = fastener == "nail"
    return OptionRow(
        fastener=fastener,
        shank=c.word("shank", SHANKS if nail else (*SHANKS, "")),
        nail_id=named_nail(c, nails),
        pennyweight=c.text("pennyweight"),
        length=c.length("length_in", 12) if nail else c.maybe_length("length_in", 12),
        diameter=c.length("diameter_in", 0.5) if nail else c.maybe_length("diameter_in", 0.5),
        diameter_max=c.maybe_length("diameter_max_in", 0.5),
        head_diameter=c.maybe_length("head_diameter_in", 2),
        detail=c.text("detail"),
        nailing=_nailing(c),
        max_wind_mph=c.maybe_mph("max_wind_mph"),
        alternate=bool(c.maybe_flag("alternate")),
        table=c.text("table"),
        sources=c.words("sources"),
        confidence=c.confidence(),
        note=c.text("note"),
        use=c.words("use", USES),
    )


def named_nail(c: Cells, nails: dict[str, NailRow]) -> str:
    """Return the nail a line names: one of the catalogue, or a size of its own length and diameter; it may be empty."""
    name = c.text("nail_id")
    if not name or name in nails:
        return name
    size = f"-{c.text('length_in')}x{c.text('diameter_in')}"
    if not name.endswith(size):
        raise ValueError(f"column nail_id: {name!r} is not in fasteners.csv and names no size of this line")
    return name


def _nailing(c: Cells) -> Nailing:
    """Return the nailing of a line; the columns that another kind of nailing has must be empty."""
    count, spacing, edge, field = (bool(c.text(x)) for x in ("count", "spacing_in", "edge_spacing_in", "field_spacing_in"))
    match count, spacing, edge, field:
        case False, False, True, True:
            return Panel(c.spacing("edge_spacing_in"), c.spacing("field_spacing_in"))
        case True, True, False, False:
            return Grouped(c.count("count"), c.spacing("spacing_in"))
        case True, False, False, False:
            return PerJoint(c.count("count"), c.said("counted_by"))
        case False, True, False, False:
            return OnCenter(c.spacing("spacing_in"), ROW_COUNTS.get(c.text("counted_by"), 1))
    raise ValueError("columns count, spacing_in, edge_spacing_in, field_spacing_in: say no single nailing")


def read_common_practice(root: Path, connections: dict[str, ConnectionRow]) -> dict[str, ScheduleRow]:
    """Return the rows of trade custom by connection; `TableError` as `read`, and where a joint judged by them has none."""
    judged = [name for name, c in connections.items() if c.judged_by == "common_practice"]
    rows = keyed(root, "common_practice.csv", lambda c: _custom(c, judged), "connection_id")
    missing = [name for name in judged if name not in rows]
    if missing:
        raise TableError(f"table common_practice.csv: holds no row of {missing[0]}, which is judged by it")
    return rows


def _custom(c: Cells, judged: list[str]) -> ScheduleRow:
    option = OptionRow(
        fastener="nail",
        shank="any",
        nail_id="",
        pennyweight="",
        length=c.length("min_length_in", 12),
        diameter=c.length("min_diameter_in", 0.5),
        diameter_max=c.length("max_diameter_in", 0.5),
        head_diameter=None,
        detail="",
        nailing=PerJoint(c.count("count"), c.said("counted_by")),
        max_wind_mph=None,
        alternate=False,
        table="",
        sources=(),
        confidence=c.confidence(),
        note=c.text("note"),
        use=(),
    )
    known = c.one_of("connection_id", judged, "connections.csv as judged by common practice")
    return ScheduleRow("", known, "", "", "", None, None, None, (), option.confidence, option.note, (option,))
