"""Nail strengths: single questions and batches."""

from typing import Any

from service.schemas.answers.envelope import Answered, Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.sheets import STRENGTH_SHEET
from service.schemas.answers.strength import NailStrengthResult, StrengthAnswer, strength_answer
from service.schemas.asks.batch import batch_ask
from service.schemas.asks.strength import NAIL_STRENGTH, StrengthAsk, read_strength
from service.tables.book import open_book
from service.web.batches import Counted, Kind, batch, single
from service.web.registry import many_at_once, question

STRENGTH_BATCH = batch_ask("NailStrengthBatch")
SHEETS = {"strengths": STRENGTH_SHEET}


@question(
    "/v1/nail-strengths",
    ("computeNailStrength", "getNailStrength"),
    "One nail by engineering: lateral mode by mode, withdrawal, head pull-through, every factor",
    one_answer(NailStrengthResult, "NailStrengthAnswer", "NailStrengthAsk"),
    NAIL_STRENGTH,
    sheets=SHEETS,
)
def nail_strength(raw: Any) -> Reply:
    """Value one nail."""
    return single(_answer(read_strength(raw, open_book())), raw)


@many_at_once(
    "/v1/nail-strengths/batch",
    "computeNailStrengths",
    "Many nails by engineering in one call",
    NailStrengthResult,
    "NailStrength",
    ask=STRENGTH_BATCH,
    sheets=SHEETS,
)
def nail_strength_batch(raw: Any) -> Reply:
    """Value many nails."""
    return batch(
        raw,
        Kind(STRENGTH_BATCH, {*NAIL_STRENGTH.fields, "include"}, lambda item: read_strength(item, open_book()), _answer, _counted),
    )


def _answer(ask: StrengthAsk) -> Answered:
    return strength_answer(ask, open_book())


def _counted(answer: StrengthAnswer) -> Counted:
    valued = answer.strength.stop is None
    return Counted((), not valued, valued)
