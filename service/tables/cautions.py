"""The caution codes of the service, what stands past its limits, and the copies its values were read in."""

from dataclasses import dataclass
from pathlib import Path

from service.tables.confidence import SERVICE_RULE, WEAKEST_FIRST
from service.tables.sheet import Cells, keyed

SEVERITIES = ("stop", "warning", "caution", "info")
"""From the worst on."""


@dataclass(frozen=True, slots=True)
class CautionRow:
    """A caution code with its fixed words; `replaces` are earlier codes whose facts it says now."""

    code: str
    severity: str
    standing: bool
    text: str
    action: str
    trigger: str
    replaces: tuple[str, ...]
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
class NextStep:
    """What may serve past a kind of limit of the prescriptive rules, and who decides."""

    limit: str
    step: str
    decides: str
    confidence: str
    source: str


def read_next_steps(root: Path) -> dict[str, NextStep]:
    """Return the next steps by kind of limit; `TableError` as `read`."""
    return keyed(
        root,
        "next_steps.csv",
        lambda c: NextStep(c.key("limit"), c.said("step"), c.said("decides"), c.confidence(), c.said("source")),
        "limit",
    )


def read_cautions(root: Path) -> dict[str, CautionRow]:
    """Return the cautions by code; `TableError` as `read`."""
    return keyed(root, "cautions.csv", _caution, "code")


def read_sources(root: Path) -> dict[str, SourceRow]:
    """Return the copies by key; `TableError` as `read`."""
    return keyed(
        root, "sources.csv", lambda c: SourceRow(c.key("source_id"), c.said("title"), c.said("publisher"), c.said("seen")), "source_id"
    )


def _caution(c: Cells) -> CautionRow:
    return CautionRow(
        c.key("code"),
        c.word("severity", SEVERITIES),
        c.flag("standing"),
        c.said("text"),
        c.said("action"),
        c.said("trigger"),
        c.words("replaces"),
        c.text("source"),
        c.word("confidence", (*WEAKEST_FIRST, SERVICE_RULE)),
    )
