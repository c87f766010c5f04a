"""Decides which cautions speak beside an inspected joint."""

from service.domain.cautions.caution import Triggers
from service.domain.cautions.joint import panel_reach
from service.domain.inspection.verdict import Finding
from service.domain.joint.requirement import Requirement
from service.said import say_length
from service.tables.book import Book
from service.tables.schedule import Panel

on_inspection: Triggers[[Finding, Book]] = Triggers()
OF_WALLS = ("wall", "sheathing")


@on_inspection("overdriven_repair")
def _overdriven(finding: Finding, book: Book) -> str | None:
    return finding.heads.because if finding.heads and finding.heads.added else None


@on_inspection("added_nails_split")
def _split(finding: Finding, book: Book) -> str | None:
    close = [r.nailing.edge for r in finding.driven if isinstance(r.nailing, Panel) and r.nailing.edge <= book.rules.added_nails_split_to]
    return f"nails are added where edges require one every {say_length(min(close))}" if close else None


@on_inspection("wood_splits")
def _splits(finding: Finding, book: Book) -> str | None:
    return f"the remedy adds nails to {finding.required.connection.connection_id}" if finding.driven else None


@on_inspection("concealed_services_wired")
def _wired(finding: Finding, book: Book) -> str | None:
    if not finding.seen.may_hold_services:
        return None
    deepest = max((reach for r in finding.driven if (reach := _reach(r)) is not None), default=0)
    return f"added nails reach {say_length(deepest)} past the face" if deepest > book.rules.services_depth else None


def _reach(r: Requirement) -> int | None:
    """Return how far a nail reaches past the face of what it holds to in a wall, in ticks; None in floors and roofs."""
    joint, ask = r.connection, r.question.selectors
    if joint.group not in OF_WALLS or ask.use != "wall":
        return None
    return panel_reach(r) if joint.panel else r.question.nail.length - (joint.side_thickness or 0)
