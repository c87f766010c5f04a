"""Roof ties and anchor bolts as rows for a spreadsheet."""

from collections.abc import Iterable
from typing import Any

from service.schemas.answers.envelope import Answered
from service.schemas.answers.parts import first_word
from service.schemas.answers.sheets import PRINTED, Sheet, same, whole_answer
from service.schemas.answers.ties import BoltedPieceShape, UpliftResult


def _pieces(answered: Answered) -> Iterable[tuple[Any, dict[str, Any]]]:
    beside = {"max_severity": first_word(answered.cautions), "caution_codes": list(answered.result.codes)}
    return ((piece, beside) for piece in answered.result.found.pieces)


UPLIFT_SHEET = Sheet(
    UpliftResult,
    {
        **same(
            "outcome",
            "outcome_label",
            "uplift_lb",
            "uplift_plf",
            "net_uplift_plf",
            "nails_alone_allowed",
            "braced_panel_status",
            "reason",
            "basis",
        ),
        **PRINTED,
        **same("max_severity", "caution_codes"),
    },
    whole_answer,
)
PLATE_SHEET = Sheet(
    BoltedPieceShape,
    same(
        "length_in",
        "outcome",
        "outcome_label",
        "bolt_count",
        "positions_in",
        "maximum_spacing_in",
        "widest_spacing_in",
        "reason",
        "basis",
        "max_severity",
        "caution_codes",
    ),
    _pieces,
)
