"""Judges the unit shear of a sheathed wall: nominal, allowable (ASD) and by resistance factors (LRFD), with every factor."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import prod

from service.domain.building.shear_rows import (
    GypsumCover,
    Nominal,
    PanelCover,
    ShearWall,
    best_gypsum,
    best_panel,
    hold_down_factor,
    penetration,
)
from service.domain.joint.stop import Provenance, Stop, joined
from service.domain.nails.nail import TOLERANCE
from service.said import say_fraction, say_length
from service.tables.book import Book
from service.tables.confidence import weakest
from service.tables.shear import AspectRow, Sdpws
from service.ticks import PER_FT, ceil_div

STEP = PER_FT // 100
"""Least lengths are rounded up to it, 0.01 ft, so that the number said is itself allowed."""


@dataclass(frozen=True, slots=True)
class ShearFactor:
    """One factor, and which value it makes: `nominal` every value, `asd` divides, `lrfd` multiplies."""

    name: str
    applies_to: str
    value: float
    because: str
    provenance: Provenance


@dataclass(frozen=True, eq=False)
class Capacity:
    """The judgement; `nominal` is None where there is no number, and `stop` says why. Lengths in ticks."""

    wall: ShearWall
    sdpws: Sdpws
    outcome: str
    nominal: Nominal | None
    factors: tuple[ShearFactor, ...]
    stop: Stop | None
    least_length: int
    field_spacing: int
    framing_3x_because: str | None
    framing_3x_in_high_seismic: bool

    @property
    def adjusted_plf(self) -> float | None:
        """The nominal value with what reduces it in either design method [plf]."""
        return None if self.nominal is None else self.nominal.plf * prod(f.value for f in self._of("nominal"))

    @property
    def asd_plf(self) -> float | None:
        """The allowable value [plf]."""
        return None if self.adjusted_plf is None else self.adjusted_plf / prod(f.value for f in self._of("asd"))

    @property
    def lrfd_plf(self) -> float | None:
        """The factored value [plf]."""
        return None if self.adjusted_plf is None else self.adjusted_plf * prod(f.value for f in self._of("lrfd"))

    @property
    def confidence(self) -> str:
        """The weakest confidence of all that went in."""
        own = [self.nominal.confidence] if self.nominal else []
        return weakest(*own, *(f.provenance.confidence for f in self.factors))

    def _of(self, kind: str) -> Iterator[ShearFactor]:
        return (f for f in self.factors if f.applies_to == kind)

    @property
    def provenance(self) -> Provenance:
        """Where the answer comes from: the row with its factors, else the limit that was passed, else the standard."""
        if self.nominal:
            said = "; ".join(filter(None, (self.nominal.note, "design values: the nominal value with every factor listed")))
            return cited(self.sdpws, self.nominal.clause, self.confidence, said, self.nominal.item, modified=True)
        if self.stop and self.stop.cited:
            return self.stop.cited
        return cited(self.sdpws, "4.3", "memory", self.stop.because if self.stop else "")


@lru_cache(maxsize=256)
def judge_shear(wall: ShearWall, book: Book) -> Capacity:
    """Return the unit shear of a wall, or the limit that it passes.

    Pure, and kept: the panels of a house ask few different questions.

    References
    ----------
    SDPWS 4.3, tables and clauses as held in the sdpws tables, each with its confidence.
    """
    sdpws = book.sdpws[wall.sdpws_id]
    past = [stop for limit in LIMITS for stop in [limit(wall, sdpws, book)] if stop]
    found = joined(past) if past else _nominal(wall, sdpws)
    if isinstance(found, Stop):
        outcome = "no_data" if found.code == "value_not_held" else "engineering_required"
        return _capacity(wall, sdpws, outcome, None, (), found)
    listed = found.match is None or found.match.listed
    factors = tuple([f for factor in FACTORS for f in factor(wall, found, sdpws, book)])
    return _capacity(wall, sdpws, "prescriptive" if listed else "exceeds_listed", found, factors, None)


def _capacity(
    wall: ShearWall, sdpws: Sdpws, outcome: str, nominal: Nominal | None, factors: tuple[ShearFactor, ...], stop: Stop | None
) -> Capacity:
    over = bool(nominal and nominal.seismic_plf and nominal.seismic_plf > sdpws.limits.framing_3x_nominal)
    return Capacity(
        wall=wall,
        sdpws=sdpws,
        outcome=outcome,
        nominal=nominal,
        factors=factors,
        stop=stop,
        least_length=_least_length(wall, aspect_of(wall, sdpws)),
        field_spacing=_field_spacing(wall, sdpws),
        framing_3x_because=_close_nails(wall, nominal, sdpws) if nominal else None,
        framing_3x_in_high_seismic=over,
    )


def _nominal(wall: ShearWall, sdpws: Sdpws) -> Nominal | Stop:
    match wall.cover:
        case PanelCover() as cover:
            return best_panel(wall, cover, sdpws)
        case cover:
            return best_gypsum(wall, cover, sdpws)


def cited(sdpws: Sdpws, clause: str, confidence: str, note: str = "", item: str = "", modified: bool = False) -> Provenance:
    """Return the place of a number of the standard."""
    table = clause.removeprefix("Table ") if clause.startswith("Table") else None
    return Provenance("SDPWS", sdpws.year, "" if table else clause, table, item or None, note or None, confidence, modified)


def aspect_of(wall: ShearWall, sdpws: Sdpws) -> AspectRow:
    """Return the row on slenderness of a wall."""
    return sdpws.aspects[wall.cover.material, wall.blocked]


def _least_length(wall: ShearWall, row: AspectRow) -> int:
    return ceil_div(round(wall.height / row.max_ratio), STEP) * STEP


def _field_spacing(wall: ShearWall, sdpws: Sdpws) -> int:
    """Return the widest field spacing the values are for, in ticks; the caller's own where that is closer.

    References
    ----------
    SDPWS 4.3.7.1 (from memory): 12 in, but 6 in in panels of 7/16 in and less on studs 24 in on center.
    """
    limits = sdpws.limits
    if isinstance(wall.cover, GypsumCover):
        return wall.field or 0
    thin = wall.thickness <= limits.thin_panel + TOLERANCE and wall.stud_spacing >= limits.thin_stud_spacing
    most = limits.thin_field_spacing if thin else limits.field_spacing
    return min(wall.field or most, most)


def _close_nails(wall: ShearWall, nominal: Nominal, sdpws: Sdpws) -> str | None:
    """Say which nailing asks for 3-inch framing at panel joints, whatever the load.

    References
    ----------
    SDPWS 4.3.7.1 (from memory).
    """
    if not isinstance(wall.cover, PanelCover):
        return None
    if wall.edge <= sdpws.limits.framing_3x_edge:
        return f"edge_spacing_in is {say_length(wall.edge)}"
    nail, reach = wall.cover.nail, penetration(wall, wall.cover)
    for row in sdpws.nail_rows.values():
        heavy = nail.diameter >= row.diameter - TOLERANCE or (nominal.match is not None and nominal.match.row is row)
        if row.framing_3x_edge is None or row.framing_3x_penetration is None or not heavy:
            continue
        if wall.edge <= row.framing_3x_edge and reach > row.framing_3x_penetration:
            return f"{nail.label} at {say_length(wall.edge)} along edges reaches {say_length(reach)} into the framing"
    return None


Limit = Callable[[ShearWall, Sdpws, Book], Stop | None]


def _over_something(wall: ShearWall, sdpws: Sdpws, book: Book) -> Stop | None:
    """Refuse panels that do not lie on the framing: their rows are not held."""
    if not isinstance(wall.cover, PanelCover) or not wall.cover.between:
        return None
    said = f"material_between_in is {say_length(wall.cover.between)}; values are held for panels directly on the framing"
    return Stop("value_not_held", said)


def _edge_past_the_table(wall: ShearWall, sdpws: Sdpws, book: Book) -> Stop | None:
    least = book.rules.least_panel_spacing
    if wall.edge < least:
        return Stop("nail_rows_too_close", f"edge_spacing_in is {say_length(wall.edge)}, under {say_length(least)}")
    widest = max(spacing for row in sdpws.panels for spacing in row.nominal_plf)
    if wall.edge <= widest or not isinstance(wall.cover, PanelCover):
        return None
    because = _passed(f"edge_spacing_in is {say_length(wall.edge)}; the widest of the table", widest, wall.edge)
    return _past(because, sdpws, sdpws.panels[0].clause, sdpws.panels[0].confidence)


def _too_thin(wall: ShearWall, sdpws: Sdpws, book: Book) -> Stop | None:
    if not isinstance(wall.cover, PanelCover):
        return None
    thinnest = min(r.thickness for r in sdpws.panels if r.panel_grade == wall.cover.grade)
    if wall.thickness >= thinnest - TOLERANCE:
        return None
    short = say_length(thinnest - wall.thickness)
    because = f"the panel is {say_length(wall.thickness)} thick; the thinnest of the table is {say_fraction(thinnest)}, missed by {short}"
    return _past(because, sdpws, sdpws.panels[0].clause, sdpws.panels[0].confidence)


def _studs_too_far(wall: ShearWall, sdpws: Sdpws, book: Book) -> Stop | None:
    most = sdpws.limits.widest_stud_spacing
    if wall.stud_spacing <= most:
        return None
    because = _passed(f"studs are {say_length(wall.stud_spacing)} on center; the limit", most, wall.stud_spacing)
    return _past(because, sdpws, *_of_limit(sdpws, "widest_stud_spacing"))


def _too_slender(wall: ShearWall, sdpws: Sdpws, book: Book) -> Stop | None:
    row = aspect_of(wall, sdpws)
    if wall.height <= row.max_ratio * wall.length:
        return None
    ratio = wall.height / wall.length
    without = "" if wall.blocked else " without blocking"
    because = (
        f"the wall is {say_length(wall.height)} high and {say_length(wall.length)} long, {ratio:.2f} to 1; the limit{without} is "
        f"{row.max_ratio:g} to 1, passed by {ratio - row.max_ratio:.2f}: at this height it has to be "
        f"{say_length(_least_length(wall, row))} long or more"
    )
    return _past(because, sdpws, row.limit_clause, row.limit_confidence)


def _too_high_unblocked(wall: ShearWall, sdpws: Sdpws, book: Book) -> Stop | None:
    most = sdpws.limits.unblocked_height
    if wall.blocked or not isinstance(wall.cover, PanelCover) or wall.height <= most:
        return None
    because = _passed(f"the wall without blocking is {say_length(wall.height)} high; the limit", most, wall.height)
    return _past(because, sdpws, *_of_limit(sdpws, "unblocked_height"))


def _barred(wall: ShearWall, sdpws: Sdpws, book: Book) -> Stop | None:
    """Refuse gypsum against earthquakes in the highest categories."""
    category, barred = wall.seismic_design_category, sdpws.limits.gypsum_barred_categories
    if not isinstance(wall.cover, GypsumCover) or wall.load != "seismic" or category not in barred:
        return None
    because = f"seismic_design_category is {category}; gypsum does not count against seismic loads in {' and '.join(barred)}"
    return _past(because, sdpws, *_of_limit(sdpws, "gypsum_barred_categories"))


LIMITS: tuple[Limit, ...] = (_over_something, _edge_past_the_table, _too_thin, _studs_too_far, _too_slender, _too_high_unblocked, _barred)
"""What keeps a wall out of the tables; all that are passed are said, the first gives the code of the stop."""


def _passed(what: str, limit: int, found: int) -> str:
    return f"{what} is {say_length(limit)}, passed by {say_length(found - limit)}"


def _past(because: str, sdpws: Sdpws, clause: str, confidence: str) -> Stop:
    return Stop("engineering_required_scope", because, cited(sdpws, clause, confidence), ("shear",))


def _of_limit(sdpws: Sdpws, key: str) -> tuple[str, str]:
    row = sdpws.limits.rows[key]
    return row.clause, row.confidence


Factors = Callable[[ShearWall, Nominal, Sdpws, Book], Iterator[ShearFactor]]


def _species(wall: ShearWall, nominal: Nominal, sdpws: Sdpws, book: Book) -> Iterator[ShearFactor]:
    """Yield what light framing takes off: 1 - (0.5 - G), never above 1.

    References
    ----------
    SDPWS Table 4.3A, footnote on species (from memory).
    """
    row = book.species[wall.species]
    reference = sdpws.limits.species_reference_gravity
    if wall.cover.material in sdpws.limits.species_materials and row.specific_gravity < reference:
        clause, confidence = _of_limit(sdpws, "species_reference_gravity")
        value = round(1 - (reference - row.specific_gravity), 4)
        because = f"species is {wall.species}, G {row.specific_gravity:g}: 1 - ({reference:g} - {row.specific_gravity:g})"
        yield ShearFactor("species", "nominal", value, because, cited(sdpws, clause, weakest(confidence, row.confidence)))


def _slender(wall: ShearWall, nominal: Nominal, sdpws: Sdpws, book: Book) -> Iterator[ShearFactor]:
    row = aspect_of(wall, sdpws)
    if row.reduced_over is not None and wall.height > row.reduced_over * wall.length:
        ratio = wall.height / wall.length
        because = (
            f"{say_length(wall.height)} high / {say_length(wall.length)} long = {ratio:.4g}: {row.at_zero:g} - {row.slope:g} x {ratio:.4g}"
        )
        value = row.at_zero - row.slope * ratio
        yield ShearFactor("aspect_ratio", "nominal", value, because, cited(sdpws, row.factor_clause, row.factor_confidence))


def _without_blocking(wall: ShearWall, nominal: Nominal, sdpws: Sdpws, book: Book) -> Iterator[ShearFactor]:
    """Yield what is left without blocking; closer edge nails than its column add nothing."""
    if wall.blocked or not isinstance(wall.cover, PanelCover):
        return
    field = _field_spacing(wall, sdpws)
    row = min((r for r in sdpws.unblocked if r.field >= field), key=lambda r: r.field)
    value = row.factor[min(s for s in row.factor if s >= wall.stud_spacing)]
    because = (
        f"blocked is false: studs {say_length(wall.stud_spacing)} on center, {say_length(row.field)} in the field; the nominal value is "
        f"that of {say_length(row.edge)} edges, closer ones add nothing"
    )
    yield ShearFactor("unblocked", "nominal", value, because, cited(sdpws, row.clause, row.confidence))


def _hold_downs(wall: ShearWall, nominal: Nominal, sdpws: Sdpws, book: Book) -> Iterator[ShearFactor]:
    if not isinstance(wall.cover, PanelCover) or nominal.match is None or hold_down_factor(nominal, wall.cover, sdpws) == 1:
        return
    name = nominal.match.row.nail_row
    row = next(f for f in sdpws.factors if f.factor == "hold_downs_inside" and name in f.nail_rows)
    because = f"hold_downs_inside is true and the nail row is {name}"
    yield ShearFactor("hold_downs_inside", "nominal", row.value, because, cited(sdpws, row.clause, row.confidence))


def _design(wall: ShearWall, nominal: Nominal, sdpws: Sdpws, book: Book) -> Iterator[ShearFactor]:
    """Yield the divisor of allowable design and the resistance factor: each edition has its own for each load."""
    for kind, name in (("asd", "asd_divisor"), ("lrfd", "lrfd_factor")):
        row = next(f for f in sdpws.factors if f.factor == name and wall.load in f.loads)
        yield ShearFactor(name, kind, row.value, f"load is {wall.load}, {sdpws.year} edition", cited(sdpws, row.clause, row.confidence))


FACTORS: tuple[Factors, ...] = (_species, _slender, _without_blocking, _hold_downs, _design)
