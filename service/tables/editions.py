"""Reads the folder of one code edition: its facts, schedule, wind rows, scope and footnotes."""

from dataclasses import dataclass
from pathlib import Path

from service.errors import TableError
from service.tables.rows import (
    FootnoteRow,
    Grouped,
    Nailing,
    OnCenter,
    OptionRow,
    Panel,
    PerJoint,
    ScheduleRow,
    ScopeRow,
    SourceRow,
    WindPanelRow,
)
from service.tables.sheet import flag, length, number, read
from service.ticks import ticks

ROW_COUNTS = {"each_edge": 2, "top_and_bottom": 2}


@dataclass(frozen=True, slots=True, eq=False)
class Edition:
    """One code edition: what it is, its rows, its limits."""

    edition_id: str
    code: str
    year: str
    facts: dict[str, str]
    rows: dict[str, tuple[ScheduleRow, ...]]
    wind_panels: tuple[WindPanelRow, ...]
    scope: tuple[ScopeRow, ...]
    footnotes: tuple[FootnoteRow, ...]
    seismic_design_categories: tuple[str, ...]
    complete: bool
    carbon_steel_only: bool
    low_gravity_framing: bool
    plate_joint_offset: int


def _nailing(r: dict[str, str]) -> Nailing:
    if r["edge_spacing_in"]:
        return Panel(ticks(r["edge_spacing_in"]), ticks(r["field_spacing_in"]))
    if r["count"] and r["spacing_in"]:
        return Grouped(int(r["count"]), ticks(r["spacing_in"]))
    if r["count"]:
        return PerJoint(int(r["count"]), r["counted_by"])
    return OnCenter(ticks(r["spacing_in"]), ROW_COUNTS.get(r["counted_by"], 1))


def _option(r: dict[str, str]) -> OptionRow:
    return OptionRow(
        fastener=r["fastener"],
        shank=r["shank"],
        nail_id=r["nail_id"],
        pennyweight=r["pennyweight"],
        length=length(r["length_in"]),
        diameter=length(r["diameter_in"]),
        diameter_max=length(r["diameter_max_in"]),
        head_diameter=length(r["head_diameter_in"]),
        detail=r["detail"],
        nailing=_nailing(r),
        max_wind_mph=number(r["max_wind_mph"]),
        alternate=bool(flag(r["alternate"])),
        table=r["table"],
        sources=tuple(r["sources"].split()),
        confidence=r["confidence"],
        note=r["note"],
        use=tuple(r["use"].split()),
    )


def _schedule(root: Path, name: str, sources: dict[str, SourceRow]) -> dict[str, tuple[ScheduleRow, ...]]:

    def line(r: dict[str, str]) -> tuple[dict[str, str], OptionRow | None]:
        unknown = [s for s in r["sources"].split() if s not in sources]
        if unknown:
            raise ValueError(f"source {unknown[0]!r} is not in sources.csv")
        return r, _option(r) if r["fastener"] else None

    grouped: dict[str, list[tuple[dict[str, str], OptionRow | None]]] = {}
    for r, option in read(root, name, line):
        grouped.setdefault(r["row"], []).append((r, option))
    rows: dict[str, list[ScheduleRow]] = {}
    for key, lines in grouped.items():
        head = lines[0][0]
        options = tuple(option for _, option in lines if option)
        rows.setdefault(head["connection_id"], []).append(
            ScheduleRow(
                row=key,
                connection_id=head["connection_id"],
                section=head["section"],
                table=head["table"],
                item=head["item"],
                braced=flag(head["braced_wall_panel"]),
                thickness_min=length(head["thickness_min_in"]),
                thickness_max=length(head["thickness_max_in"]),
                seismic_design_categories=tuple(head["seismic_design_categories"].split()),
                confidence=head["confidence"],
                note=head["note"],
                options=options,
            )
        )
    return {k: tuple(v) for k, v in rows.items()}


def _wind_panel(r: dict[str, str]) -> WindPanelRow:
    option = OptionRow(
        fastener="nail",
        shank="smooth",
        nail_id=r["nail_id"],
        pennyweight="",
        length=ticks(r["length_in"]),
        diameter=ticks(r["diameter_in"]),
        diameter_max=None,
        head_diameter=None,
        detail="",
        nailing=Panel(ticks(r["edge_spacing_in"]), ticks(r["field_spacing_in"])),
        max_wind_mph=None,
        alternate=False,
        table=r["table"],
        sources=tuple(r["sources"].split()),
        confidence=r["confidence"],
        note=r["note"],
        use=("wall",),
        min_penetration=ticks(r["min_penetration_in"]),
    )
    return WindPanelRow(
        r["row"],
        r["section"],
        r["table"],
        option,
        r["min_span_rating"],
        ticks(r["min_thickness_in"]),
        ticks(r["max_stud_spacing_in"]),
        r["wind_basis"],
        {e: float(r[f"max_wind_{e.lower()}_mph"]) for e in "BCD"},
        length(r["low_gravity_field_spacing_in"]),
    )


def _footnote(r: dict[str, str]) -> FootnoteRow:
    return FootnoteRow(
        r["footnote"],
        r["kind"],
        r["section"],
        tuple(r["use"].split()),
        {e: float(r[f"over_mph_{e.lower()}"]) for e in "BCD" if r[f"over_mph_{e.lower()}"]},
        length(r["inside_spacing_in"]),
        length(r["else_spacing_in"]),
        length(r["zone_in"]),
        length(r["span_min_in"]),
        length(r["spacing_max_in"]),
        r["confidence"],
        r["note"],
    )


def _scope(r: dict[str, str]) -> ScopeRow:
    return ScopeRow(**{**r, "hurricane_prone": flag(r["hurricane_prone"])})  # type: ignore[arg-type]  # csv cells are text, the one flag is converted


def read_edition(root: Path, folder: str, sources: dict[str, SourceRow]) -> Edition:
    """Return the edition of a folder.

    Raises
    ------
    TableError
        A file, a column or a key is missing, or a cell cannot be read.
    """
    here = f"editions/{folder}/"
    facts = dict(read(root, here + "edition.csv", lambda r: (r["key"], r["value"])))
    try:
        return Edition(
            edition_id=facts["code_edition"],
            code=facts["code"],
            year=facts["edition"],
            facts=facts,
            rows=_schedule(root, here + "schedule.csv", sources),
            wind_panels=tuple(read(root, here + "wall_panel_wind.csv", _wind_panel)),
            scope=tuple(read(root, here + "scope.csv", _scope)),
            footnotes=tuple(read(root, here + "footnotes.csv", _footnote)),
            seismic_design_categories=tuple(facts["seismic_design_categories"].split()),
            complete=bool(flag(facts["complete"])),
            carbon_steel_only=bool(flag(facts["carbon_steel_only"])),
            low_gravity_framing=bool(flag(facts["low_gravity_framing"])),
            plate_joint_offset=ticks(facts["plate_joint_offset_in"]),
        )
    except KeyError as error:
        raise TableError(f"table {here}edition.csv: key {error} is missing") from error
