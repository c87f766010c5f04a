"""Which row of the shear tables a wall reads: the nail rows that a nail belongs to, and the best value they give it."""

from dataclasses import dataclass

from service.domain.joint.stop import Stop
from service.domain.nails.nail import TOLERANCE, Nail
from service.said import say_fraction, say_length
from service.tables.confidence import weakest
from service.tables.shear import GypsumRow, Sdpws, ShearNailRow, ShearPanelRow

PANEL = "wood_structural_panel"


@dataclass(frozen=True, slots=True)
class PanelCover:
    """Wood structural panels with their nail; `between` lies between panel and framing. Ticks."""

    grade: str
    nail: Nail
    across_studs: bool = False
    between: int = 0
    hold_downs_inside: bool = True
    material: str = PANEL


@dataclass(frozen=True, slots=True)
class GypsumCover:
    """Gypsum board with its fastener, by its id in the table and as people say it. Ticks."""

    material: str
    fastener: str
    fastener_label: str
    panel_width: int


@dataclass(frozen=True, slots=True)
class ShearWall:
    """One full-height piece of a sheathed wall, one side; lengths in ticks, `field` None where it is nailed as the table asks."""

    sdpws_id: str
    cover: PanelCover | GypsumCover
    load: str
    thickness: int
    edge: int
    field: int | None
    stud_spacing: int
    blocked: bool
    length: int
    height: int
    species: str
    seismic_design_category: str
    category_assumed: bool = False


@dataclass(frozen=True, slots=True)
class Match:
    """A nail row that the nail belongs to; `listed` where the table prints the nail itself."""

    row: ShearNailRow
    listed: bool


@dataclass(frozen=True, slots=True)
class Nominal:
    """A nominal value as printed [plf], its place, and how well it is known; `seismic_plf` is the same row's for seismic loads."""

    plf: float
    clause: str
    item: str
    confidence: str
    note: str
    match: Match | None = None
    seismic_plf: float | None = None


def penetration(wall: ShearWall, cover: PanelCover) -> int:
    """Return how deep the nail of the panels reaches into the framing, in ticks."""
    return max(cover.nail.length - wall.thickness - cover.between, 0)


def matches(nail: Nail, reach: int, sdpws: Sdpws) -> list[Match]:
    """Return the nail rows that hold for a nail with this penetration.

    References
    ----------
    SDPWS Table 4.3A, column heads and notes, as held in sdpws_nail_rows.csv (from memory): the common nail; the box nail where
    it is galvanized; a plain or ring nail at least as thick as the common one. Full round head, least penetration reached.
    """
    if not (nail.carbon_steel and nail.head_known):
        return []
    return [
        Match(row, _listed(nail, row))
        for row in sdpws.nail_rows.values()
        if (_listed(nail, row) or _as_thick(nail, row)) and reach >= row.min_penetration
    ]


def _listed(nail: Nail, row: ShearNailRow) -> bool:
    return _is(nail, row.length, row.diameter) or (_is(nail, row.length, row.box_diameter) and nail.coating in row.box_coatings)


def _is(nail: Nail, length: int, diameter: int) -> bool:
    return nail.shank == "smooth" and abs(nail.length - length) <= TOLERANCE and abs(nail.diameter - diameter) <= TOLERANCE


def _as_thick(nail: Nail, row: ShearNailRow) -> bool:
    return nail.shank in ("smooth", "ring") and nail.diameter >= row.diameter - TOLERANCE


def best_panel(wall: ShearWall, cover: PanelCover, sdpws: Sdpws) -> Nominal | Stop:
    """Return the greatest value of the rows that panel and nail reach, each of which holds; or why there is none."""
    reach = penetration(wall, cover)
    found = matches(cover.nail, reach, sdpws)
    if not found:
        return _no_match(cover.nail, reach, sdpws)
    values = [_value(wall, cover, row, m, sdpws) for m in found for row in _rows(wall, cover, sdpws) if row.nail_row == m.row.nail_row]
    if not values:
        names = " and ".join(m.row.nail_row for m in found)
        return Stop("engineering_required_joint", f"{say_fraction(wall.thickness)} panels have no row with {names} nails")
    return max(values, key=lambda v: (v.plf * hold_down_factor(v, cover, sdpws), v.match is not None and v.match.listed))


def hold_down_factor(value: Nominal, cover: PanelCover, sdpws: Sdpws) -> float:
    """Return what hold-downs inside the end posts leave of a value of this nail row."""
    row = value.match.row.nail_row if value.match else ""
    inside = (f.value for f in sdpws.factors if f.factor == "hold_downs_inside" and row in f.nail_rows)
    return next(inside, 1.0) if cover.hold_downs_inside else 1.0


def _rows(wall: ShearWall, cover: PanelCover, sdpws: Sdpws) -> list[ShearPanelRow]:
    """Return the rows of the grade that are no thicker than the panel: a row prints the least thickness."""
    return [r for r in sdpws.panels if wall.load in r.loads and r.panel_grade == cover.grade and r.thickness <= wall.thickness + TOLERANCE]


def _value(wall: ShearWall, cover: PanelCover, row: ShearPanelRow, match: Match, sdpws: Sdpws) -> Nominal:
    edge = _column(wall, row, sdpws)
    raised = _raised(wall, cover, row, sdpws)
    read = raised or row
    seismic = next(r for r in sdpws.panels if "seismic" in r.loads and _same(r, read, read.thickness))
    item = f"{row.panel_grade.replace('_', ' ')}, {say_fraction(read.thickness)}, {row.nail_row}, edges {say_length(edge)}"
    footnote = [sdpws.limits.rows["raised_stud_spacing"].confidence] if raised else []
    confidence = weakest(read.confidence, match.row.confidence, *footnote)
    close = "panels across studs" if cover.across_studs else f"studs {say_length(wall.stud_spacing)} on center"
    note = f"{row.note}; read as {say_fraction(read.thickness)}: {close}" if raised else row.note
    return Nominal(read.nominal_plf[edge], read.clause, item, confidence, note, match, seismic.nominal_plf[edge])


def _same(row: ShearPanelRow, other: ShearPanelRow, thickness: int | None) -> bool:
    return (row.panel_grade, row.thickness, row.nail_row) == (other.panel_grade, thickness, other.nail_row)


def _column(wall: ShearWall, row: ShearPanelRow, sdpws: Sdpws) -> int:
    """Return the edge spacing whose column is read: the next wider one; without blocking, the one the factor is for."""
    asked = wall.edge if wall.blocked else max(wall.edge, *(r.edge for r in sdpws.unblocked))
    return min(spacing for spacing in row.nominal_plf if spacing >= asked)


def _raised(wall: ShearWall, cover: PanelCover, row: ShearPanelRow, sdpws: Sdpws) -> ShearPanelRow | None:
    """Return the row of the footnote on close studs and panels across studs; the factor without blocking is for studs far apart."""
    close = cover.across_studs or wall.stud_spacing <= sdpws.limits.raised_stud_spacing
    if not (wall.blocked and close and row.as_thick_as):
        return None
    return next(r for r in sdpws.panels if r.loads == row.loads and _same(r, row, row.as_thick_as))


def _no_match(nail: Nail, reach: int, sdpws: Sdpws) -> Stop:
    """Say why no nail row holds for a nail."""
    rows = sdpws.nail_rows.values()
    fitting = [r for r in rows if _as_thick(nail, r) or _listed(nail, r)]
    if not nail.carbon_steel:
        because = f"{nail.label} is not carbon steel, which the rows are for"
    elif nail.head != "full_round":
        because = f"the head of {nail.label} is {nail.head}; the rows are for full round heads"
    elif nail.head_diameter is None:
        because = f"the head of {nail.label} is not known; the rows are for full round heads: send head_diameter_in"
    elif fitting:
        least = min(r.min_penetration for r in fitting)
        said = f"{nail.label} reaches {say_length(reach)} into the framing; {say_length(least)} is the least of its row"
        return Stop("penetration_short", said)
    else:
        thinnest = min(rows, key=lambda r: r.diameter)
        because = (
            f"{nail.label} belongs to no nail row: the lightest, {thinnest.nail_row}, takes a plain or ring shank of "
            f"{say_length(thinnest.diameter)}, or {say_length(thinnest.box_diameter)} hot-dip galvanized {say_length(thinnest.length)} long"
        )
    return Stop("engineering_required_joint", because)


def best_gypsum(wall: ShearWall, cover: GypsumCover, sdpws: Sdpws) -> Nominal | Stop:
    """Return the greatest value of the gypsum rows that the wall fulfils; or why there is none."""
    fulfilled = [r for r in sdpws.gypsum if (r.material, r.fastener) == (cover.material, cover.fastener) and _fulfils(wall, cover, r)]
    held = [r for r in fulfilled if wall.load in r.loads]
    if not fulfilled:
        because = (
            f"no row of the gypsum table holds for {cover.fastener_label} at {say_length(wall.edge)} along edges and "
            f"{say_length(wall.field or 0)} in the field, {say_fraction(wall.thickness)} board, studs {say_length(wall.stud_spacing)} "
            f"on center, {'blocked' if wall.blocked else 'not blocked'}"
        )
        return Stop("engineering_required_joint", because)
    if not held:
        return Stop("value_not_held", f"gypsum values against {wall.load} are not held for this edition, {sdpws.year}")
    row = max(held, key=lambda r: r.nominal_plf)
    spacing = f"{say_length(row.edge)} along edges, {say_length(row.field)} in the field"
    item = f"{row.material.replace('_', ' ')}, {say_fraction(row.thickness)}, {row.fastener_label}, {spacing}"
    return Nominal(row.nominal_plf, row.clause, item, row.confidence, "")


def _fulfils(wall: ShearWall, cover: GypsumCover, row: GypsumRow) -> bool:
    """Whether the wall is nailed and framed at least as the row asks."""
    return (
        wall.thickness >= row.thickness - TOLERANCE
        and wall.edge <= row.edge
        and (wall.field or row.field) <= row.field
        and wall.stud_spacing <= row.stud_spacing
        and (wall.blocked or not row.blocked)
        and (row.panel_width is None or cover.panel_width >= row.panel_width)
    )
