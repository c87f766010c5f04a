"""What the code says of roof ties and anchor bolts: the uplift table, and the numbers of its notes and clauses."""

from dataclasses import dataclass
from pathlib import Path

from service.errors import TableError
from service.tables.panels import EXPOSURES
from service.tables.rules import ClauseRow, read_clauses
from service.tables.sheet import Cells, read

TIE_FILES = ("roof_ties", "roof_tie_rules")
HEAVIEST_TIE_LB = 5000


@dataclass(frozen=True, slots=True)
class TieRow:
    """Uplift of one rafter or truss under a shallow and under a steep roof [lb]; spacing and span in ticks, wind in mph."""

    exposure: str
    spacing: int
    span: int
    wind_mph: float
    shallow_lb: float
    steep_lb: float
    confidence: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TieRules:
    """The notes of the uplift table, when nails alone will do, and how the table is read; lengths in ticks. `rows` cites them."""

    wind_basis: str
    steep_from: float
    nails_alone_to: float
    nails_alone_spacing: int
    exempt_wind_to: float
    exempt_exposure: str
    exempt_pitch_from: float
    exempt_span_to: int
    mean_roof_height_to: int
    overhang_to: int
    dead_load: float
    away_from_corner_over: int
    away_from_corner_factor: float
    hip_pitch_from: float
    hip_factor: float
    full_wall_credit: float
    plf_spacing: int
    next_column_exposure: str
    next_column_block: str
    columns_up: int
    between_columns_raised: int
    slow_wind_reads: float
    short_span_reads: int
    braced_panel_to: float | None = None
    rows: dict[str, ClauseRow]


@dataclass(frozen=True, slots=True, eq=False)
class RoofTies:
    """The uplift table of an edition: each block whole, by spacing, span and wind; and its rules."""

    blocks: dict[str, dict[tuple[int, int, float], TieRow]]
    spacings: tuple[int, ...]
    spans: tuple[int, ...]
    winds: tuple[float, ...]
    rules: TieRules


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AnchorRules:
    """What the clauses on anchor bolts ask, and what is chosen within them; lengths in ticks. `rows` cites them."""

    least_diameter: int
    most_spacing: int
    tall_spacing: int
    tall_over: int
    tall_categories: tuple[str, ...]
    tall_townhouse_categories: tuple[str, ...]
    least_embedment: int
    least_per_piece: int
    end_most: int
    end_least_diameters: float
    end_share: float
    least_piece: int
    middle_of: int
    cover: int
    one_bolt_to: int
    no_bolt_to: int
    washer_categories: tuple[str, ...]
    washer_townhouse_categories: tuple[str, ...]
    washer_side: int
    washer_thickness: int
    washer_slot_over: int
    washer_slot_length: int
    clear_of_stud: int
    apart_diameters: float
    rows: dict[str, ClauseRow]

    @property
    def end_least(self) -> int:
        """How near the end of a piece the least bolt may stand."""
        return round(self.least_diameter * self.end_least_diameters)

    @property
    def apart(self) -> int:
        """How near to each other two of the least bolts may be moved."""
        return round(self.least_diameter * self.apart_diameters)


def read_roof_ties(root: Path, folder: str) -> RoofTies:
    """Return the uplift table of an edition with its rules.

    Raises
    ------
    TableError
        As `read`; a rule is missing or of another kind; a block lacks a line that its spacings, spans and winds ask for.
    """
    name = f"{folder}/roof_ties.csv"
    rows = read(root, name, _tie, lambda r: (r.exposure, r.spacing, r.span, r.wind_mph))
    spacings, spans = tuple(sorted({r.spacing for r in rows})), tuple(sorted({r.span for r in rows}))
    winds = tuple(sorted({r.wind_mph for r in rows}))
    blocks = {e: {(r.spacing, r.span, r.wind_mph): r for r in rows if r.exposure == e} for e in dict.fromkeys(r.exposure for r in rows)}
    for exposure, block in blocks.items():
        if len(block) < len(spacings) * len(spans) * len(winds):
            raise TableError(
                f"table {name}: the block of exposure {exposure} has {len(block)} lines, not one for each spacing, span and wind"
            )
    rules: TieRules = read_clauses(root, f"{folder}/roof_tie_rules.csv", TieRules)
    if rules.plf_spacing not in spacings or rules.slow_wind_reads not in winds or rules.short_span_reads not in spans:
        raise TableError(f"table {name}: holds no row that roof_tie_rules.csv reads")
    return RoofTies(blocks, spacings, spans, winds, rules)


def read_anchor_bolts(root: Path, folder: str) -> AnchorRules:
    """Return what an edition asks of anchor bolts; `TableError` as `read`, or where a line is missing or of another kind."""
    rules: AnchorRules = read_clauses(root, f"{folder}/anchor_bolts.csv", AnchorRules)
    return rules


def _tie(c: Cells) -> TieRow:
    return TieRow(
        c.word("exposure", EXPOSURES),
        c.spacing("spacing_in"),
        c.feet("span_ft"),
        c.mph("wind_mph"),
        c.number("shallow_lb", 0, HEAVIEST_TIE_LB),
        c.number("steep_lb", 0, HEAVIEST_TIE_LB),
        c.confidence(),
    )
