"""What an inspector saw of one joint: its nail, how many or how far apart, and how deep their heads were driven."""

from dataclasses import dataclass

from service.domain.joint.requirement import Question
from service.tables.rules import Rules
from service.tables.schedule import Nailing, Panel
from service.ticks import ceil_div


@dataclass(frozen=True, slots=True)
class Heads:
    """Perimeter nails whose heads were looked at; those over the deeper limit are among those over the lesser one."""

    inspected: int
    over_light: int
    over_deep: int


@dataclass(frozen=True, slots=True)
class Sheets:
    """Full panels, each over framing that runs along its length; ticks."""

    count: int
    width: int
    length: int
    framing_spacing: int

    def edge_spaces(self, spacing: int, rules: Rules) -> int:
        """Count the spaces between the edge nails of all panels, which are as many as the nails: corners are shared."""
        inset = 2 * rules.panel_edge_distance
        return 2 * self.count * (ceil_div(self.width - inset, spacing) + ceil_div(self.length - inset, spacing))

    def field_spaces(self, spacing: int, rules: Rules) -> int:
        """Count the spaces of the field lines of all panels; each line has one nail less, since its ends stand on edge lines."""
        return self.count * self.field_lines * ceil_div(self.length - 2 * rules.panel_edge_distance, spacing)

    @property
    def field_lines(self) -> int:
        """Members behind a panel that are not behind its edges."""
        return ceil_div(self.width, self.framing_spacing) - 1

    def nail_count(self, nailing: Panel, rules: Rules) -> int:
        """Count the nails of all panels."""
        return self.edge_spaces(nailing.edge, rules) + self.field_spaces(nailing.field, rules) - self.count * self.field_lines


@dataclass(frozen=True, slots=True)
class Observation:
    """One joint as seen.

    `found` is counted as the joint is, None where no row says how; what is None after it was not counted. `assumed` names the fields
    that choose the row and were not sent.
    """

    question: Question
    found: Nailing | None
    joint_count: int | None = None
    run_length: int | None = None
    sheets: Sheets | None = None
    heads: Heads | None = None
    moisture: str = "dry"
    may_hold_services: bool = True
    assumed: tuple[str, ...] = ()
