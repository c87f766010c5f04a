"""The one family of errors every room may raise."""

from dataclasses import dataclass, field, replace
from typing import Any


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a question: where, what, and the numbers behind it."""

    code: str
    detail: str
    path: tuple[str | int, ...] = ()
    facts: dict[str, Any] = field(default_factory=dict)

    def under(self, *prefix: str | int) -> "Fault":
        """Return the same fault seen from further out."""
        return replace(self, path=(*prefix, *self.path))


class FasteningError(Exception):
    """A question that is readable but breaks a rule of the trade or of the contract."""

    def __init__(self, *faults: Fault) -> None:
        super().__init__("; ".join(f.detail for f in faults))
        self.faults = faults


class QueryError(FasteningError):
    """A fault of the query, in a request that may also have a body."""


class UnreadableBodyError(Exception):
    """A body that cannot be read as the JSON the service takes."""

    def __init__(self, code: str, detail: str, **facts: Any) -> None:
        super().__init__(detail)
        self.code, self.detail, self.facts = code, detail, facts


class TableError(Exception):
    """A table that is missing or broken; the service does not start."""
