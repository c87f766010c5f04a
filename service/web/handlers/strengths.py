"""Nail strengths: single questions and batches."""

from typing import Any

from service.schemas.answers import joint_shapes, shapes
from service.schemas.answers.sheets import strength_sheet
from service.schemas.answers.strength import strength_answer
from service.schemas.asks.strength import NAIL_STRENGTH, read_strength
from service.web.batches import MOST_ITEMS, Answered, batch, single
from service.web.edge import settings
from service.web.registry import ABOUT_POST, op, question

STRENGTH_BATCH = shapes.batch_ask("NailStrengthBatch", MOST_ITEMS)
SAID = "One nail by engineering: lateral mode by mode, withdrawal, head pull-through, every factor"


@question(
    "/v1/nail-strengths",
    "NailStrength",
    SAID,
    shapes.single(joint_shapes.NailStrengthResult, "NailStrengthAnswer"),
    NAIL_STRENGTH,
    sheet=strength_sheet,
)
def nail_strength(raw: Any) -> dict[str, Any]:
    """Value one nail."""
    result, found, assumptions = _strength(raw)
    return single(raw, result, found, assumptions)


@op(
    "POST",
    "/v1/nail-strengths/batch",
    "createNailStrengthBatch",
    "Many nails by engineering in one call",
    "questions",
    shapes.batch_answer("NailStrengthBatchAnswer"),
    ask=STRENGTH_BATCH,
    description=ABOUT_POST,
    sheet=strength_sheet,
)
def nail_strength_batch(raw: Any) -> dict[str, Any]:
    """Value many nails."""
    return batch(
        raw,
        STRENGTH_BATCH,
        _strength,
        lambda results: [],
        settings().max_items,
        "APP_MAX_ITEMS",
        {*NAIL_STRENGTH.fields, "include"},
    )


def _strength(raw: Any) -> Answered:
    ask = read_strength(raw)
    result, found = strength_answer(ask)
    return result, found, ask.assumptions
