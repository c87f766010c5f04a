"""Inspections of nailed joints."""

from typing import Any

from service.schemas.answers.envelope import Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.inspection import INSPECTION_SHEET, InspectionResult, inspection_answer
from service.schemas.asks.inspection import INSPECTION, read_inspection
from service.tables.book import open_book
from service.web.batches import single
from service.web.registry import ABOUT_POST, op


@op(
    "POST",
    "/v1/nailing-inspections",
    "inspectNailing",
    "Joints as found against what they require: whether they meet it, what is missing, what to add and where",
    "questions",
    one_answer(InspectionResult, "InspectionAnswer", "InspectionAsk"),
    ask=INSPECTION,
    description=ABOUT_POST,
    sheets={"observations": INSPECTION_SHEET},
)
def nailing_inspection(raw: Any) -> Reply:
    """Judge what an inspector found."""
    book = open_book()
    return single(inspection_answer(read_inspection(raw, book), book), raw)
