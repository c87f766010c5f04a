"""The panels of a wall as a line of its plan: the spacing asked and used, and the nails of each panel."""

from dataclasses import dataclass, replace

from service.domain.joint.counting import say_nailing
from service.domain.joint.requirement import Requirement
from service.domain.joint.stop import Stop
from service.domain.nails.nail import Nail
from service.domain.wall.judging import Bench
from service.domain.wall.panels.lay import Cover
from service.domain.wall.wall import Wall
from service.said import say_length
from service.tables.schedule import Panel


@dataclass(frozen=True, slots=True, eq=False)
class PanelLine:
    """The sheathing of the wall: what is required, what is used, and each panel's nails."""

    requirement: Requirement
    cover: Cover
    used: Panel | None
    wider: tuple[str, ...]
    closer: bool
    counts: tuple[int | None, ...]
    fastener = "nail"

    @property
    def nail(self) -> Nail:
        """The nail of the panels."""
        return self.requirement.question.nail

    @property
    def nail_count(self) -> int | None:
        """Nails of all panels; None where there is no spacing."""
        return None if self.used is None else sum(c or 0 for c in self.counts)

    @property
    def listed_nail_count(self) -> int | None:
        """What the first nail the row lists would take."""
        first = self.requirement.first_listed
        if first is None or not isinstance(first.nailing, Panel):
            return None
        if first.nailing == self.used:
            return self.nail_count
        edge, field = first.nailing.edge, first.nailing.field
        return sum(p.nail_count(edge, field) for p in self.cover.pieces)

    @property
    def basis(self) -> str:
        """The count panel by panel, or why there is no number."""
        if self.used is None:
            return self.requirement.no_number_because
        return f"{say_nailing(self.used)}; panel by panel {' + '.join(str(c) for c in self.counts)} = {self.nail_count}"


def nail_panels(wall: Wall, sheets: Cover | None, bench: Bench, limits: tuple[Stop, ...], depth: int) -> PanelLine | None:
    """Return the line of the panels of a wall; None where it has none.

    Parameters
    ----------
    sheets : Cover or None
        The panels as laid.
    limits : tuple of Stop
        What the wall is past; then there is no number.
    depth : int
        Depth of the studs, in ticks.
    """
    asked = wall.sheathing
    if sheets is None or asked is None or bench.setting.sheathing_nail is None:
        return None
    joint = bench.book.wall_joints["outside_panel" if wall.exterior else "inside_panel"]
    requirement = bench.panels(joint.connection_id, wall, asked, limits, depth)
    none = (None,) * len(sheets.pieces)
    required = requirement.nailing
    if not isinstance(required, Panel):
        return PanelLine(requirement, sheets, None, (), False, none)
    pairs = (("edge_spacing_in", asked.edge_spacing, required.edge), ("field_spacing_in", asked.field_spacing, required.field))
    wider = tuple(f"{name} {say_length(own)}, required {say_length(row)}" for name, own, row in pairs if own is not None and own > row)
    used = Panel(*(row if own is None else min(own, row) for _, own, row in pairs))
    least = bench.book.rules.least_panel_spacing
    if min(used.edge, used.field) < least:
        return PanelLine(_too_close(requirement, used, least), sheets, None, wider, True, none)
    return PanelLine(requirement, sheets, used, wider, used != required, tuple(p.nail_count(used.edge, used.field) for p in sheets.pieces))


def _too_close(requirement: Requirement, used: Panel, least: int) -> Requirement:
    """Return the judgement of a caller's own spacing that splits the wood: no number, and the stop that says so."""
    said = f"edge {say_length(used.edge)}, field {say_length(used.field)} asked for; under {say_length(least)}"
    where = replace(requirement.provenance, note="the row; the refusal of the caller's own spacing is a rule of this service")
    return replace(
        requirement,
        outcome="engineering_required",
        nailing=None,
        provenance=where,
        stop=Stop("nail_rows_too_close", said),
        substitute=None,
    )
