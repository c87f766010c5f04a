"""How and with what the work is done: tool, treatment, moisture; the inputs that cautions turn on."""

from dataclasses import dataclass

USUAL_SPECIES = "spruce-pine-fir"
"""What framing is taken to be where nothing is said (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """Work conditions as asked, lengths of the roof in ticks; `assumed` names every field that was filled in."""

    driver: str = "gun"
    treatment: str = "none"
    moisture: str = "dry"
    roof_pitch_in_12: float | None = None
    roof_span: int | None = None
    tie_spacing: int | None = None
    bottom_plate_on: str = "wood_floor"
    slab_type: str | None = None
    anchor_type: str | None = None
    assumed: tuple[str, ...] = ()

    @property
    def treated_as(self) -> str:
        """Return the treatment that fasteners must stand: unknown is read as copper."""
        if self.treatment == "unknown":
            return "copper"
        return "copper" if self.bottom_plate_on == "concrete" and self.treatment == "none" else self.treatment
