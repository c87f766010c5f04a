"""The panels of a wall as a line of its plan: the spacing asked and used, and the nails of each panel."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.domain.joint.counting import say_nailing
from service.domain.joint.requirement import Requirement
from service.domain.joint.stop import Stop
from service.domain.nails.nail import Nail
from service.domain.wall.judging import Bench
from service.domain.wall.panels.lay import Corner, Cover
from service.domain.wall.wall import Sheathing, T, Wall
from service.said import say_length
from service.tables.schedule import Panel


@dataclass(frozen=True, slots=True, eq=False)
class FootRow:
    """The nails of panels that go into a treated bottom plate: the judgement of their coated nail, and how many each panel has."""

    requirement: Requirement
    counts: tuple[int, ...]
    listed: int | None


@dataclass(frozen=True, slots=True, eq=False)
class PanelLine:
    """The sheathing of the wall: what is required, what is used, and each panel's nails; `foot` those of another coating among them."""

    requirement: Requirement
    cover: Cover
    used: Panel | None
    wider: tuple[str, ...]
    closer: bool
    counts: tuple[int | None, ...]
    foot: FootRow | None = None
    row: str = ""
    listed: int | None = None
    fastener = "nail"

    @property
    def parts(self) -> "tuple[PanelLine, ...]":
        """The line by coating: all panels less the row along a treated plate, then that row; the line itself where there is none."""
        foot = self.foot
        if foot is None:
            return (self,)
        above = tuple((c or 0) - f for c, f in zip(self.counts, foot.counts, strict=True))
        whole = self.listed_nail_count
        rest = None if whole is None or foot.listed is None else whole - foot.listed
        return (
            replace(self, counts=above, foot=None, row=" without the row along the treated plate", listed=rest),
            replace(
                self,
                requirement=foot.requirement,
                counts=foot.counts,
                foot=None,
                row=" in the row along the treated plate",
                listed=foot.listed,
            ),
        )

    @property
    def place(self) -> str:
        """Which of its nails these are, where a row along a treated plate is of others."""
        return self.row.strip()

    @property
    def nail(self) -> Nail:
        """The nail of the panels."""
        return self.requirement.question.nail

    @property
    def nail_count(self) -> int | None:
        """Nails of all panels; None where there is no spacing."""
        return None if self.used is None else sum(c or 0 for c in self.counts)

    @property
    def spots(self) -> Iterator[tuple[int, Corner]]:
        """Yield every nail with the index of its panel; as many as the line counts, none without a spacing."""
        if self.used is not None:
            for i, piece in enumerate(self.cover.pieces):
                for corner in piece.spots(self.used.edge, self.used.field):
                    yield i, corner

    @property
    def listed_nail_count(self) -> int | None:
        """What the first nail the row lists would take."""
        if self.listed is not None:
            return self.listed
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
        return f"{say_nailing(self.used)}; panel by panel{self.row} {' + '.join(str(c) for c in self.counts)} = {self.nail_count}"


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
    counts = tuple(p.nail_count(used.edge, used.field) for p in sheets.pieces)
    foot = _foot_row(wall, asked, joint.connection_id, used, sheets, bench, limits, depth)
    return PanelLine(requirement, sheets, used, wider, used != required, counts, foot)


def _foot_row(
    wall: Wall, asked: Sheathing, connection_id: str, used: Panel, sheets: Cover, bench: Bench, limits: tuple[Stop, ...], depth: int
) -> FootRow | None:
    """Return the nails into the bottom plate on concrete, which is treated: galvanized where the caller's are bright."""
    if wall.bottom_plate_on != "concrete" or bench.setting.sheathing_nail is None or bench.setting.sheathing_nail.coating != "bright":
        return None
    requirement = bench.panels(connection_id, wall, asked, limits, depth, treated=True)
    first = requirement.first_listed
    listed = first.nailing if first and isinstance(first.nailing, Panel) else None
    return FootRow(requirement, _into_plate(sheets, used), sum(_into_plate(sheets, listed)) if listed else None)


def _into_plate(sheets: Cover, nailing: Panel) -> tuple[int, ...]:
    """Count the nails of each panel that stand on the bottom plate."""
    return tuple(sum(z < T for _, z in p.spots(nailing.edge, nailing.field)) if p.rect.z0 < T else 0 for p in sheets.pieces)


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
