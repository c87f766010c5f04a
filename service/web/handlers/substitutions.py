"""Substitutions: joints times nails on hand; and where one nail serves."""

from typing import Any

from flask import request

from service.domain.wall.work import most_members
from service.errors import FasteningError
from service.schemas.answers.envelope import Answered, Entry, Reply, catalogue
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.sheets import BOX_SHEET, JUDGED_SHEET, USE_SHEET
from service.schemas.answers.substitution import NailUseShape, SubstitutionResult, boxes_answer, substitution_answer, uses_answer
from service.schemas.asks.substitution import SUBSTITUTION, SUBSTITUTION_QUERY, USES, read_boxes, read_substitution, read_uses
from service.tables.book import open_book
from service.web.batches import check_work, single, units_of
from service.web.current import settings
from service.web.handlers.reference import find_nail
from service.web.registry import COMPUTED, op, question

SAID = "The nails on hand judged for each joint or for a whole wall, best first"


@question(
    "/v1/substitutions",
    ("judgeNails", "getNailJudgements"),
    SAID,
    one_answer(SubstitutionResult, "SubstitutionAnswer", "SubstitutionAsk"),
    SUBSTITUTION,
    query=SUBSTITUTION_QUERY,
    about=f"{SAID}. Repeat nail_designation and connection_ids for more nails and joints.",
    sheets={"judgements": JUDGED_SHEET, "nails": BOX_SHEET},
)
def substitutions(raw: Any) -> Reply:
    """Judge every nail for every joint, or for a whole wall."""
    by_query = request.method in ("GET", "HEAD")
    if not by_query and isinstance(raw, dict) and raw.get("wall") is not None:
        return single(_boxes(raw), raw)
    ask = read_substitution(raw, by_query, open_book())
    if by_query:
        raw = {**raw, "nails": [{"nail_designation": words} for words in raw["nail_designation"]]}
        del raw["nail_designation"]
    return single(substitution_answer(ask, open_book()), raw)


def _boxes(raw: dict[str, Any]) -> Answered:
    """Judge every nail for a whole wall; the limit on sticks counts the wall once for each nail."""
    ask, book = read_boxes(raw, open_book()), open_book()
    sticks = most_members(ask.order.wall, book.rules) * len(ask.nails)
    check_work("sticks", sticks, (settings().max_members, "APP_MAX_MEMBERS"), ("wall",))
    try:
        return boxes_answer(ask, book)
    except FasteningError as error:
        raise FasteningError(*(f.under("wall") for f in error.faults)) from None


@op(
    "GET",
    "/v1/nails/{nail_id}/uses",
    "listNailUses",
    "Joints of an edition and what a nail is worth in each",
    "reference",
    catalogue(NailUseShape, "NailUseList"),
    ask=USES,
    cache=COMPUTED,
    sheets={"uses": USE_SHEET},
    path_about="Id of a nail, or a size such as smooth-3x0.120.",
    description="Every joint of an edition with the number of this nail, or null and the reason where it does not serve. "
    "Panels are judged at panel_thickness_in, 7/16 in when left out.",
)
def nail_uses(raw: dict[str, Any], nail_id: str) -> Reply:
    """List where a nail serves."""
    answered = uses_answer(read_uses(raw, find_nail(nail_id).nail_id, open_book()), open_book())
    return Reply([Entry(None, answered)], answered.cautions, answered.assumptions, units_of(raw), items=answered.result)
