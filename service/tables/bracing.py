"""What the code says of wall bracing: methods, lengths by wind and by earthquake, factors, least panels, where panels stand."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.panels import EXPOSURES
from service.tables.rules import ClauseRow, read_clauses
from service.tables.schedule import CATEGORIES
from service.tables.sheet import Cells, keyed, read

FILES = ("methods", "wind", "wind_factors", "seismic", "seismic_factors", "minimum", "openings", "partial", "rules")
STORIES = ("one_or_top", "middle", "first_of_three")
"""Where a wall line stands: one story or the top one, first of two or second of three, first of three."""
GROUPS = ("LIB", "GB", "WSP", "CS-WSP")
CONTRIBUTING = ("actual", "half_or_actual", "48", "1.5", "1.5_or_actual")
WIND_FACTORS = ("exposure", "eave_to_ridge", "wall_height", "line_count", "hold_down", "gypsum_omitted", "blocking_omitted")
SEISMIC_FACTORS = (
    "wall_height",
    "line_spacing",
    "wall_dead_load",
    "roof_dead_load",
    "gypsum_omitted",
    "blocking_omitted",
    "masonry_veneer",
)


@dataclass(frozen=True, slots=True)
class Printed:
    """Where a row stands in print, and how well that is known."""

    section: str
    table: str
    confidence: str


@dataclass(frozen=True, slots=True)
class MethodRow:
    """A bracing method by the abbreviation of the code; `group` is its column of the length tables.

    `least_sheet` is the least thickness of its wood structural panels, None where it is of another material, `widest_studs`
    the widest stud spacing it takes, None where the wall's own limits do; ticks.
    """

    method_id: str
    group: str
    continuous: bool
    contributing: str
    partial: bool
    by_opening: bool
    takes: tuple[str, ...]
    joints_blocked: bool
    portal_frames: bool
    least_sheet: int | None
    widest_studs: int | None
    description: str
    printed: Printed


@dataclass(frozen=True, slots=True)
class LengthRow:
    """A length of bracing [ft]: `load` is mph ultimate or a seismic category, `at_ft` the spacing of lines or the length of the line."""

    story: str
    group: str
    load: float | str
    at_ft: float
    length_ft: float
    printed: Printed


@dataclass(frozen=True, slots=True)
class WindFactorRow:
    """A factor on the wind length; `at` is ft or a number of lines, None where the factor applies or does not."""

    factor: str
    story: str
    stories: int | None
    exposure: str
    at: float | None
    value: float
    printed: Printed


@dataclass(frozen=True, slots=True)
class SeismicFactorRow:
    """A factor on the seismic length up to a value [ft or psf], None where it applies or does not."""

    factor: str
    categories: tuple[str, ...]
    story: str
    to: float | None
    value: float
    printed: Printed


@dataclass(frozen=True, slots=True)
class LeastRow:
    """The shortest panel that counts, in ticks: by method, or by the height of the opening beside it [ticks]."""

    method_id: str
    categories: tuple[str, ...]
    story: str
    opening_height: int | None
    wall_height_ft: float
    length: int
    printed: Printed


@dataclass(frozen=True, slots=True)
class PartialRow:
    """What a short panel contributes; ticks."""

    wall_height_ft: float
    length: int
    contributing: int
    printed: Printed


@dataclass(frozen=True, slots=True)
class BracingRules:
    """Where panels stand and where the tables stop: lengths in ticks, mph, counts."""

    offset_from_line: int
    first_panel_within: int
    clear_between_panels: int
    line_spacing_wind: int
    line_spacing_townhouse: int
    line_spacing_high_seismic: int
    one_panel_line: int
    one_panel_length: int
    end_panel: int
    wall_height: int
    wind_from: float
    portal_frames: int
    rows: dict[str, ClauseRow]


@dataclass(frozen=True, slots=True, eq=False)
class Bracing:
    """All that an edition prints on wall bracing."""

    methods: dict[str, MethodRow]
    wind: tuple[LengthRow, ...]
    wind_factors: tuple[WindFactorRow, ...]
    seismic: tuple[LengthRow, ...]
    seismic_factors: tuple[SeismicFactorRow, ...]
    least: tuple[LeastRow, ...]
    partial: tuple[PartialRow, ...]
    rules: BracingRules


def read_bracing(root: Path, folder: str) -> Bracing:
    """Return the bracing tables of an edition; `TableError` as `read`, and a rule is missing."""

    def name(table: str) -> str:
        return f"{folder}/bracing_{table}.csv"

    methods = keyed(root, name("methods"), _method, "method_id")
    return Bracing(
        methods,
        read(root, name("wind"), _wind, lambda r: (r.story, r.group, r.load, r.at_ft)),
        read(root, name("wind_factors"), _wind_factor, lambda r: (r.factor, r.story, r.stories, r.exposure, r.at)),
        read(root, name("seismic"), _seismic, lambda r: (r.load, r.story, r.group, r.at_ft)),
        read(root, name("seismic_factors"), _seismic_factor, lambda r: (r.factor, r.categories, r.story, r.to)),
        read(root, name("minimum"), lambda c: _least(c, methods), lambda r: (r.method_id, r.categories, r.story, r.wall_height_ft))
        + read(root, name("openings"), _by_opening, lambda r: (r.opening_height, r.wall_height_ft)),
        read(root, name("partial"), _partial, lambda r: (r.wall_height_ft, r.length)),
        read_clauses(root, name("rules"), BracingRules),
    )


def _printed(c: Cells) -> Printed:
    return Printed(c.key("section"), c.key("table"), c.confidence())


def _method(c: Cells) -> MethodRow:
    takes = ("gypsum", "hold_down", "blocking")
    return MethodRow(
        c.key("method"),
        c.word("group", GROUPS),
        bool(c.maybe_flag("continuous")),
        c.word("contributing", CONTRIBUTING),
        bool(c.maybe_flag("partial")),
        bool(c.maybe_flag("by_opening")),
        tuple(t for t in takes if c.maybe_flag(f"{t}_factor")),
        bool(c.maybe_flag("joints_blocked")),
        bool(c.maybe_flag("portal_frames")),
        c.maybe_length("least_sheet_in", 2),
        c.maybe_spacing("widest_studs_in"),
        c.said("description"),
        _printed(c),
    )


def _wind(c: Cells) -> LengthRow:
    return LengthRow(
        c.word("story", STORIES),
        c.word("group", GROUPS),
        c.mph("wind_mph"),
        c.number("line_spacing_ft", 1, 100),
        c.number("length_ft", 0.1, 200),
        _printed(c),
    )


def _seismic(c: Cells) -> LengthRow:
    return LengthRow(
        c.word("story", STORIES),
        c.word("group", GROUPS),
        c.word("category", CATEGORIES),
        c.number("line_length_ft", 1, 100),
        c.number("length_ft", 0.1, 200),
        _printed(c),
    )


def _wind_factor(c: Cells) -> WindFactorRow:
    return WindFactorRow(
        c.word("factor", WIND_FACTORS),
        c.word("story", ("", *STORIES)),
        c.maybe_count("stories", 3),
        c.word("exposure", ("", *EXPOSURES)),
        c.maybe_number("at", 0, 100),
        c.number("value", 0.1, 10),
        _printed(c),
    )


def _seismic_factor(c: Cells) -> SeismicFactorRow:
    return SeismicFactorRow(
        c.word("factor", SEISMIC_FACTORS),
        c.words("categories", CATEGORIES),
        c.word("story", ("", *STORIES)),
        c.maybe_number("to", 0, 100),
        c.number("value", 0.1, 10),
        _printed(c),
    )


def _least(c: Cells, methods: dict[str, MethodRow]) -> LeastRow:
    return LeastRow(
        c.one_of("method", methods, "bracing_methods.csv"),
        c.words("categories", CATEGORIES),
        c.word("story", ("", *STORIES)),
        None,
        c.number("wall_height_ft", 1, 20),
        c.length("length_in", 200),
        _printed(c),
    )


def _by_opening(c: Cells) -> LeastRow:
    return LeastRow(
        "", (), "", c.length("opening_height_in", 200), c.number("wall_height_ft", 1, 20), c.length("length_in", 200), _printed(c)
    )


def _partial(c: Cells) -> PartialRow:
    return PartialRow(c.number("wall_height_ft", 1, 20), c.length("length_in", 200), c.length("contributing_in", 200), _printed(c))
