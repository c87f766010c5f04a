"""Where the wall stands: wind, exposure, seismic category; and what was assumed."""

from dataclasses import dataclass
from math import sqrt

from service.said import say_speed
from service.tables.rules import Rules
from service.ticks import PER_FT

SITE_FIELDS = ("wind_speed_mph", "wind_speed_basis", "exposure", "seismic_design_category", "building_type", "hurricane_prone")


@dataclass(frozen=True, slots=True)
class Site:
    """Site conditions as asked; `assumed` names the fields that were not given and that an answer could change with."""

    wind_speed_mph: float = 115
    wind_speed_basis: str = "ultimate"
    exposure: str = "B"
    seismic_design_category: str = "B"
    building_type: str = "detached"
    hurricane_prone: bool = False
    upper_half_of_hill: bool = False
    ground_snow_load_psf: float | None = None
    braced_wall_line_spacing_ft: float | None = None
    story_count: int = 1
    assumed: tuple[str, ...] = ()

    def wide_braced_wall_lines(self, rules: Rules) -> bool:
        """Whether braced wall lines stand far apart, 25 ft or more, or may."""
        spacing = self.braced_wall_line_spacing_ft
        return spacing is None or spacing >= rules.wide_braced_line_spacing / PER_FT

    def high_seismic(self, rules: Rules) -> bool:
        """Whether the seismic design category is one of the high ones, D and up in either code family."""
        return self.seismic_design_category in rules.high_seismic_categories

    def townhouse_decides(self, rules: Rules) -> bool:
        """Whether the seismic rules of the site are milder for a detached house than for a townhouse."""
        return self.seismic_design_category in rules.townhouse_categories

    def seismic_bracing(self, rules: Rules) -> bool:
        """Whether bracing answers to earthquakes: in the high categories, for townhouses one earlier."""
        return self.high_seismic(rules) or self.townhouse_decides(rules) and self.building_type == "townhouse"

    def wind_mph(self, basis: str, rules: Rules) -> float:
        """Return the wind speed in the basis a table uses [mph].

        References
        ----------
        IBC 1609.3.1, IRC Table R301.2.1.3: V_asd = V_ult sqrt(0.6).
        """
        if basis == self.wind_speed_basis:
            return self.wind_speed_mph
        share = sqrt(rules.allowable_wind_share)
        return self.wind_speed_mph * share if basis == "allowable" else self.wind_speed_mph / share

    def say_wind(self, rules: Rules) -> str:
        """Say the wind speed in both bases, first as it was sent."""
        other = "allowable" if self.wind_speed_basis == "ultimate" else "ultimate"
        said = f"{say_speed(f'{self.wind_speed_mph:g}')} {self.wind_speed_basis}"
        return f"{said} ({say_speed(f'{self.wind_mph(other, rules):.0f}')} {other})"
