"""Braced wall lines."""

from typing import Any

from service.domain.building.bracing import check_line
from service.schemas.answers.bracing import PANEL_SHEET, BracingResult, bracing_answer
from service.schemas.answers.envelope import Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.asks.bracing import BRACING, read_bracing_line
from service.tables.book import open_book
from service.web.batches import single
from service.web.registry import ABOUT_POST, op


@op(
    "POST",
    "/v1/bracing-checks",
    "checkBracing",
    "A braced wall line: length required by wind and earthquake, length provided, panel by panel",
    "questions",
    one_answer(BracingResult, "BracingCheckAnswer", "BracingAsk"),
    ask=BRACING,
    description=ABOUT_POST,
    sheets={"panels": PANEL_SHEET},
)
def bracing_check(raw: Any) -> Reply:
    """Check one braced wall line."""
    book = open_book()
    ask = read_bracing_line(raw, book)
    return single(bracing_answer(ask, check_line(ask.line, book), book), raw)
