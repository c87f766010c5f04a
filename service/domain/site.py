"""Where the wall stands: wind, exposure, seismic category; and what was assumed."""

from dataclasses import dataclass
from math import sqrt

ULTIMATE_TO_ALLOWABLE = sqrt(0.6)
"""IBC 1609.3.1, IRC Table R301.2.1.3: V_asd = V_ult * sqrt(0.6)."""


@dataclass(frozen=True, slots=True)
class Site:
    """Site conditions as asked; `assumed` names the fields that were not given."""

    wind_speed_mph: float = 115
    wind_speed_basis: str = "ultimate"
    exposure: str = "B"
    seismic_design_category: str = "B"
    building_type: str = "detached"
    hurricane_prone: bool = False
    ground_snow_load_psf: float | None = None
    braced_wall_line_spacing_ft: float | None = None
    assumed: tuple[str, ...] = ()

    @property
    def wide_braced_wall_lines(self) -> bool:
        """Whether braced wall lines stand 25 ft or more apart, or may (IRC Table R602.3(1) splices, R602.3.2)."""
        return self.braced_wall_line_spacing_ft is None or self.braced_wall_line_spacing_ft >= 25

    @property
    def high_seismic(self) -> bool:
        """Whether the seismic design category is one of the high ones, D and up in either code family."""
        return self.seismic_design_category in ("D", "D0", "D1", "D2", "E", "F")

    def wind_mph(self, basis: str) -> float:
        """Return the wind speed in the basis a table uses, in mph."""
        if basis == self.wind_speed_basis:
            return self.wind_speed_mph
        return self.wind_speed_mph * ULTIMATE_TO_ALLOWABLE if basis == "allowable" else self.wind_speed_mph / ULTIMATE_TO_ALLOWABLE

    def say_wind(self, basis: str) -> str:
        """Say the wind speed, with its conversion when there was one."""
        said = f"{self.wind_speed_mph:g} mph {self.wind_speed_basis}"
        return said if basis == self.wind_speed_basis else f"{said} ({self.wind_mph(basis):.0f} mph {basis})"
