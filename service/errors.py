"""The one family of errors every room may raise."""

from dataclasses import dataclass, field
from typing import Any

FAULT_CODES = (
    "missing_field",
    "unknown_field",
    "wrong_type",
    "bad_format",
    "out_of_range",
    "unknown_value",
    "too_few_items",
    "too_many_items",
    "too_much_work",
    "duplicate_id",
    "repeated_parameter",
    "conflicting_units",
    "conflicting_fields",
    "ambiguous_nail",
    "unreadable_nail",
    "opening_outside_wall",
    "header_does_not_clear",
    "head_below_sill",
    "sill_too_low",
    "members_overlap",
    "intersection_outside_wall",
    "intersections_overlap",
    "no_bay_for_ladder",
)
"""Every code a fault may have; published codes never change."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a question: where, what, and the numbers behind it."""

    code: str
    detail: str
    path: tuple[str | int, ...] = ()
    facts: dict[str, Any] = field(default_factory=dict)

    def under(self, *prefix: str | int) -> "Fault":
        """Return the same fault seen from further out."""
        return Fault(self.code, self.detail, (*prefix, *self.path), self.facts)


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
