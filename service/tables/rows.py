"""What a line of each table becomes."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NailRow:
    """One catalogue nail: lengths and diameters in ticks."""

    nail_id: str
    type: str
    pennyweight: str
    length: int
    diameter: int
    head_diameter: int | None
    shank: str
    root_diameter: int | None
    ring_length: int | None
    hardened: bool
    confidence: str
    head_confidence: str
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class SpeciesRow:
    """A species group: specific gravity [-], dowel bearing strength [psi]."""

    species: str
    name: str
    specific_gravity: float
    dowel_bearing_psi: float
    confidence: str
    source: str


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """A side member that is not lumber: specific gravity [-], dowel bearing strength [psi]."""

    material: str
    name: str
    kind: str
    specific_gravity: float | None
    dowel_bearing_psi: float | None
    confidence: str
    source: str


@dataclass(frozen=True, slots=True)
class LumberRow:
    """A dressed size: ticks; weight in lb per ft, None = by specific gravity."""

    nominal: str
    thickness: int
    depth: int
    nominal_thickness_in: int
    nominal_depth_in: int
    weight_lb_per_ft: float | None
    confidence: str


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


@dataclass(frozen=True, slots=True)
class CautionRow:
    """A caution code with its fixed words."""

    code: str
    severity: str
    standing: bool
    text: str
    action: str
    trigger: str
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class SourceRow:
    """A public copy in which values were read."""

    source_id: str
    title: str
    publisher: str
    seen: str


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
class WindPanelRow:
    """A row of the wall sheathing wind table, with its limits."""

    row: str
    section: str
    table: str
    option: OptionRow
    min_span_rating: str
    min_thickness: int
    max_stud_spacing: int
    wind_basis: str
    max_wind_mph: dict[str, float]
    low_gravity_field: int | None


@dataclass(frozen=True, slots=True)
class ScopeRow:
    """A limit of the prescriptive rules: `from` = at it and over, `over` = past it."""

    kind: str
    exposure: str
    hurricane_prone: bool | None
    limit: str
    rule: str
    basis: str
    section: str
    confidence: str
    note: str


@dataclass(frozen=True, slots=True)
class FootnoteRow:
    """A footnote that changes a number."""

    footnote: str
    kind: str
    section: str
    use: tuple[str, ...]
    over_mph: dict[str, float]
    inside_spacing: int | None
    else_spacing: int | None
    zone: int | None
    span_min: int | None
    spacing_max: int | None
    confidence: str
    note: str


@dataclass(frozen=True, slots=True)
class StudLimitRow:
    """Largest stud spacing by what the wall supports; None = not permitted."""

    stud: str
    spacing: dict[str, int | None]
    bearing_height: int
    nonbearing_height: int
    nonbearing_spacing: int
    section: str
    confidence: str


@dataclass(frozen=True, slots=True)
class SplicePlateRow:
    """Steel plate of a single top plate: where, size, nails each side."""

    editions: tuple[str, ...]
    where: str
    high_seismic_wide_lines: bool
    plate: str
    nail_id: str
    nail_count_per_side: int
    section: str
    confidence: str


@dataclass(frozen=True, slots=True)
class HeaderRow:
    """A header span of the table: psf, ft, ticks, jacks each side."""

    editions: tuple[str, ...]
    supports: str
    ply_count: int
    nominal: str
    ground_snow_load_psf: float
    building_width_ft: float
    span: int
    jack_count: int
    section: str
    confidence: str


@dataclass(frozen=True, slots=True)
class KingRow:
    """Full-height studs at each end of a header, by wind or by stud spacing; ticks, ultimate mph, None = not asked by the row."""

    editions: tuple[str, ...]
    header_span_max: int
    low_wind_mph: dict[str, float]
    low_wind_count: int | None
    high_wind_under_mph: dict[str, float]
    high_wind_count: int | None
    narrow_spacing: int | None
    narrow_spacing_count: int | None
    wide_spacing_count: int | None
    section: str
    confidence: str


@dataclass(frozen=True, slots=True)
class SpanRatingRow:
    """A panel span rating and its place in the order."""

    span_rating: str
    rank: int
    max_stud_spacing: int | None
