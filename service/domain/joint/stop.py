"""Where a number or a limit stands in print, and why there is no number."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.tables.confidence import weakest


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a number stands in print, and how well that is known."""

    code: str
    edition: str
    section: str
    table: str | None
    item: str | None
    note: str | None
    confidence: str
    modified: bool = False


def say_place(where: Provenance) -> str:
    """Cite a place in print: code, edition, table or section, item."""
    if where.code == "none":
        return "nothing in print"
    item = f"item {where.item}" if where.item else ""
    return " ".join(filter(None, (where.code, where.edition, where.table or where.section, item)))


@dataclass(frozen=True, slots=True)
class Stop:
    """Why there is no number: the code of the caution and the reason; `cited` is the limit's own place in print, where it has one.

    `beyond` are the kinds of limits that are passed: keys of the table that says which step is next.
    """

    code: str
    because: str
    cited: Provenance | None = None
    beyond: tuple[str, ...] = ()


def past(beyond: str, because: str, code: str, edition: str, section: str, table: str | None, confidence: str) -> Stop:
    """Return the stop of a limit of the prescriptive rules, cited where it is printed."""
    cited = Provenance(code, edition, section, table or None, None, None, confidence)
    return Stop("engineering_required_scope", because, cited, (beyond,))


def joined(stops: Sequence[Stop]) -> Stop:
    """Say several limits as one stop: the first is cited, as well known as the weakest of all."""
    cited = [s.cited for s in stops if s.cited]
    where = replace(cited[0], confidence=weakest(*(c.confidence for c in cited))) if cited else None
    beyond = tuple(dict.fromkeys(kind for s in stops for kind in s.beyond))
    return Stop(stops[0].code, "; ".join(dict.fromkeys(s.because for s in stops)), where, beyond)
