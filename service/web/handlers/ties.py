"""Roof ties and anchor bolts: single questions."""

from typing import Any

from service.schemas.answers.envelope import Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.tie_sheets import PLATE_SHEET, UPLIFT_SHEET
from service.schemas.answers.ties import AnchorageResult, UpliftResult, anchorage_answer, uplift_answer
from service.schemas.asks.ties import ANCHORAGE, UPLIFT, read_anchorage, read_uplift
from service.tables.book import open_book
from service.web.batches import single
from service.web.registry import question


@question(
    "/v1/uplift-requirements",
    ("askUplift", "getUplift"),
    "One roof tie: how hard the wind lifts it, whether nails alone hold it, and what must be provided",
    one_answer(UpliftResult, "UpliftAnswer", "UpliftAsk"),
    UPLIFT,
    sheets={"ties": UPLIFT_SHEET},
)
def uplift(raw: Any) -> Reply:
    """Read the uplift of one roof tie."""
    return single(uplift_answer(read_uplift(raw, open_book()), open_book()), raw)


@question(
    "/v1/anchorages",
    ("askAnchorage", "getAnchorage"),
    "Plates on concrete: how many anchor bolts each piece takes, where, and with which washers",
    one_answer(AnchorageResult, "AnchorageAnswer", "AnchorageAsk"),
    ANCHORAGE,
    sheets={"plates": PLATE_SHEET},
)
def anchorage(raw: Any) -> Reply:
    """Set the anchor bolts of some pieces of plate."""
    return single(anchorage_answer(read_anchorage(raw, open_book()), open_book()), raw)
