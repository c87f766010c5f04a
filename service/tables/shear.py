"""The tables of the design standard for wind and seismic loads: unit shear of sheathed walls, by edition."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from service.errors import TableError
from service.tables.nails import NailRow
from service.tables.rules import Value, built, keyed_value, kinds_of
from service.tables.sheet import Cells, keyed, read

MATERIALS = ("wood_structural_panel", "gypsum_wallboard", "gypsum_sheathing")
GRADES = ("sheathing", "structural_1")
LOADS = ("wind", "seismic")
COATINGS = ("hot_dip_galvanized", "electro_galvanized")
LIMITS = "sdpws_limits.csv"


@dataclass(frozen=True, slots=True)
class ShearPanelRow:
    """A row of the panel table: nominal unit shear [plf] by edge spacing; `as_thick_as` names the row of the footnote. Ticks."""

    editions: tuple[str, ...]
    loads: tuple[str, ...]
    panel_grade: str
    thickness: int
    nail_row: str
    nominal_plf: dict[int, float]
    as_thick_as: int | None
    clause: str
    confidence: str
    note: str


@dataclass(frozen=True, slots=True)
class GypsumRow:
    """A row of the gypsum table: nominal unit shear [plf], and the loads that may read it in this edition. Ticks."""

    material: str
    thickness: int
    fastener: str
    fastener_label: str
    edge: int
    field: int
    stud_spacing: int
    blocked: bool
    nominal_plf: float
    panel_width: int | None
    loads: tuple[str, ...]
    clause: str
    confidence: str


@dataclass(frozen=True, slots=True)
class ShearNailRow:
    """Which nails a nail row holds for, and from which edge spacing and penetration on it asks for 3-inch framing. Ticks."""

    nail_row: str
    length: int
    diameter: int
    box_diameter: int
    box_coatings: tuple[str, ...]
    min_penetration: int
    framing_3x_edge: int | None
    framing_3x_penetration: int | None
    clause: str
    confidence: str


@dataclass(frozen=True, slots=True)
class ShearFactorRow:
    """A divisor or factor on a nominal value; `nail_rows` empty = every row."""

    factor: str
    editions: tuple[str, ...]
    loads: tuple[str, ...]
    nail_rows: tuple[str, ...]
    value: float
    clause: str
    confidence: str


@dataclass(frozen=True, slots=True)
class AspectRow:
    """How slender a wall may be, and the straight line by which slenderness reduces it; None where it does not."""

    editions: tuple[str, ...]
    material: str
    blocked: bool
    max_ratio: float
    reduced_over: float | None
    at_zero: float
    slope: float
    limit_clause: str
    limit_confidence: str
    factor_clause: str
    factor_confidence: str


@dataclass(frozen=True, slots=True)
class UnblockedRow:
    """What is left without blocking, by stud spacing, of the blocked value at this edge spacing. Ticks."""

    edge: int
    field: int
    factor: dict[int, float]
    clause: str
    confidence: str


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A number outside the tables, with its clause; ticks where it is a length."""

    key: str
    value: Value
    editions: tuple[str, ...]
    clause: str
    confidence: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShearLimits:
    """The value of each limit, explained in sdpws_limits.csv: lengths in ticks; `rows` cites them."""

    species_reference_gravity: float
    species_materials: tuple[str, ...]
    raised_stud_spacing: int
    widest_stud_spacing: int
    unblocked_height: int
    framing_3x_edge: int
    framing_3x_nominal: float
    field_spacing: int
    thin_field_spacing: int
    thin_panel: int
    thin_stud_spacing: int
    gypsum_barred_categories: tuple[str, ...]
    rows: dict[str, LimitRow]


KINDS = kinds_of(ShearLimits)


@dataclass(frozen=True, slots=True, eq=False)
class Sdpws:
    """One edition of the standard: its own rows alone; a gypsum row that no load may read here is still printed somewhere."""

    edition_id: str
    year: str
    panels: tuple[ShearPanelRow, ...]
    gypsum: tuple[GypsumRow, ...]
    nail_rows: dict[str, ShearNailRow]
    factors: tuple[ShearFactorRow, ...]
    aspects: dict[tuple[str, bool], AspectRow]
    unblocked: tuple[UnblockedRow, ...]
    limits: ShearLimits


def read_sdpws(root: Path, nails: dict[str, NailRow]) -> dict[str, Sdpws]:
    """Read the tables once for each edition of the standard, the usual one first.

    Raises
    ------
    TableError
        As `read`; and an edition lacks a limit, a load its divisor, or a material its aspect ratio.
    """
    held = read(root, "sdpws_editions.csv", lambda c: (c.key("sdpws_edition"), c.key("year")), lambda row: row[0])
    names = [name for name, _ in held]
    nail_rows = keyed(root, "sdpws_nail_rows.csv", lambda c: _nail_row(c, nails), "nail_row")
    panels = read(root, "sdpws_panels.csv", lambda c: _panel(c, names, nail_rows), _place)
    gypsum = {name: read(root, "sdpws_gypsum.csv", lambda c, name=name: _gypsum(c, names, name)) for name in names}  # type: ignore[misc]  # name is bound at once
    factors = read(root, "sdpws_factors.csv", lambda c: _factor(c, names, nail_rows), lambda r: (r.factor, r.editions, r.loads))
    aspects = read(root, "sdpws_aspect_ratios.csv", lambda c: _aspect(c, names), lambda r: (r.editions, r.material, r.blocked))
    unblocked = read(root, "sdpws_unblocked.csv", _unblocked, lambda r: (r.edge, r.field))
    limits = read(root, LIMITS, lambda c: _limit(c, names), lambda r: (r.key, r.editions))
    _whole(names, factors, aspects)
    _raised(panels)
    return {
        name: Sdpws(
            edition_id=name,
            year=year,
            panels=tuple(r for r in panels if name in r.editions),
            gypsum=gypsum[name],
            nail_rows=nail_rows,
            factors=tuple(r for r in factors if name in r.editions),
            aspects={(r.material, r.blocked): r for r in aspects if name in r.editions},
            unblocked=unblocked,
            limits=_limits(name, limits),
        )
        for name, year in held
    }


def _place(row: ShearPanelRow) -> tuple[object, ...]:
    return row.editions, row.loads, row.panel_grade, row.thickness, row.nail_row


def _editions(c: Cells, names: list[str], column: str = "sdpws_edition") -> tuple[str, ...]:
    return c.all_of(column, names, "sdpws_editions.csv")


def _each(c: Cells, keys: str, values: str, take: Callable[[Cells], float]) -> dict[int, float]:
    """Return the numbers of one cell by the spacings of another, in ticks."""
    spacings = [Cells({keys: one}).spacing(keys) for one in c.said(keys).split()]
    numbers = [take(Cells({values: one})) for one in c.said(values).split()]
    if len(spacings) != len(numbers) or len(set(spacings)) < len(spacings):
        raise ValueError(f"columns {keys}, {values}: each spacing has one number")
    return dict(zip(spacings, numbers, strict=True))


def _panel(c: Cells, names: list[str], nail_rows: dict[str, ShearNailRow]) -> ShearPanelRow:
    return ShearPanelRow(
        _editions(c, names),
        c.words("loads", LOADS) or LOADS,
        c.word("panel_grade", GRADES),
        c.length("min_thickness_in", 2),
        c.one_of("nail_row", nail_rows, "sdpws_nail_rows.csv"),
        _each(c, "edge_spacing_in", "nominal_plf", lambda one: one.number("nominal_plf", 50, 5000)),
        c.maybe_length("as_thick_as_in", 2),
        c.key("clause"),
        c.confidence(),
        c.text("note"),
    )


def _gypsum(c: Cells, names: list[str], name: str) -> GypsumRow:
    return GypsumRow(
        c.word("material", MATERIALS[1:]),
        c.length("thickness_in", 2),
        c.key("fastener"),
        c.said("fastener_label"),
        c.spacing("edge_spacing_in"),
        c.spacing("field_spacing_in"),
        c.spacing("stud_spacing_in"),
        c.flag("blocked"),
        c.number("nominal_plf", 50, 5000),
        c.maybe_spacing("panel_width_in"),
        tuple([load for load in LOADS if name in _editions(c, names, f"{load}_editions")]),
        c.key("clause"),
        c.confidence(),
    )


def _nail_row(c: Cells, nails: dict[str, NailRow]) -> ShearNailRow:
    length, diameter, box = c.length("length_in", 12), c.length("diameter_in", 0.5), c.length("box_diameter_in", 0.5)
    for column, size in (("nail_id", diameter), ("box_nail_id", box)):
        named = nails[c.one_of(column, nails, "fasteners.csv")]
        if (named.length, named.diameter) != (length, size):
            raise ValueError(f"column {column}: {named.nail_id} has another length or diameter")
    return ShearNailRow(
        c.key("nail_row"),
        length,
        diameter,
        box,
        c.words("box_coatings", COATINGS),
        c.length("min_penetration_in", 6),
        c.maybe_spacing("framing_3x_edge_in"),
        c.maybe_length("framing_3x_penetration_over_in", 6),
        c.key("clause"),
        c.confidence(),
    )


def _factor(c: Cells, names: list[str], nail_rows: dict[str, ShearNailRow]) -> ShearFactorRow:
    return ShearFactorRow(
        c.word("factor", ("hold_downs_inside", "asd_divisor", "lrfd_factor")),
        _editions(c, names),
        c.words("loads", LOADS) or LOADS,
        c.all_of("nail_rows", nail_rows, "sdpws_nail_rows.csv"),
        c.number("value", 0, 5),
        c.key("clause"),
        c.confidence(),
    )


def _aspect(c: Cells, names: list[str]) -> AspectRow:
    over = c.maybe_number("reduced_over", 0, 10)
    return AspectRow(
        _editions(c, names),
        c.word("material", MATERIALS),
        c.flag("blocked"),
        c.number("max_ratio", 0, 10),
        over,
        c.number("at_zero", 0, 10) if over else 1,
        c.number("slope", 0, 1) if over else 0,
        c.key("limit_clause"),
        c.confidence("limit_confidence"),
        c.key("factor_clause") if over else "",
        c.confidence("factor_confidence") if over else "verified",
    )


def _unblocked(c: Cells) -> UnblockedRow:
    factors = _each(c, "stud_spacing_in", "factor", lambda one: one.number("factor", 0, 1))
    return UnblockedRow(c.spacing("edge_spacing_in"), c.spacing("field_spacing_in"), factors, c.key("clause"), c.confidence())


def _limit(c: Cells, names: list[str]) -> LimitRow:
    found = keyed_value(c, KINDS, materials=MATERIALS)
    return LimitRow(*found, _editions(c, names, "editions"), c.key("clause"), c.confidence())


def _limits(edition: str, rows: tuple[LimitRow, ...]) -> ShearLimits:
    limits: ShearLimits = built(ShearLimits, {r.key: r for r in rows if not r.editions or edition in r.editions}, f"{LIMITS}, {edition}")
    return limits


def _whole(names: list[str], factors: tuple[ShearFactorRow, ...], aspects: tuple[AspectRow, ...]) -> None:
    """Check that every edition can say a design value for each load, and how slender each wall may be."""
    for name in names:
        for factor in ("asd_divisor", "lrfd_factor"):
            for load in LOADS:
                if sum(r.factor == factor and name in r.editions and load in r.loads for r in factors) != 1:
                    raise TableError(f"table sdpws_factors.csv: {name} must have one {factor} for {load}")
        for material in MATERIALS:
            for blocked in (True, False):
                if not any(name in r.editions and (r.material, r.blocked) == (material, blocked) for r in aspects):
                    raise TableError(f"table sdpws_aspect_ratios.csv: {name} has no row for {material}, blocked {str(blocked).lower()}")


def _raised(panels: tuple[ShearPanelRow, ...]) -> None:
    """Check that every row named by the footnote is there."""
    held = {_place(r) for r in panels}
    for r in panels:
        if r.as_thick_as and (r.editions, r.loads, r.panel_grade, r.as_thick_as, r.nail_row) not in held:
            raise TableError(f"table sdpws_panels.csv: no row of {r.panel_grade} {r.nail_row} is as thick as as_thick_as_in says")
