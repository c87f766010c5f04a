"""Shear capacities of sheathed walls."""

from typing import Any

from service.schemas.answers.envelope import Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.shear import ShearCapacityResult, shear_answer
from service.schemas.answers.sheets import SHEAR_SHEET
from service.schemas.asks.shear import SHEAR_CAPACITY, read_shear
from service.tables.book import open_book
from service.web.batches import single
from service.web.registry import question


@question(
    "/v1/shear-capacities",
    ("computeShearCapacity", "getShearCapacity"),
    "Unit shear of a sheathed wall: nominal, allowable, by resistance factors, every factor",
    one_answer(ShearCapacityResult, "ShearCapacityAnswer", "ShearCapacityAsk"),
    SHEAR_CAPACITY,
    sheets={"shear-capacities": SHEAR_SHEET},
)
def shear_capacity(raw: Any) -> Reply:
    """Judge the unit shear of one wall."""
    return single(shear_answer(read_shear(raw, open_book()), open_book()), raw)
