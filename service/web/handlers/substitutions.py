"""Substitutions: joints times nails on hand; and where one nail serves."""

from typing import Any

from flask import request

from service.schemas.answers.envelope import Entry, Reply, catalogue
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.sheets import JUDGED_SHEET, USE_SHEET
from service.schemas.answers.substitution import NailUseShape, SubstitutionResult, substitution_answer, uses_answer
from service.schemas.asks.substitution import SUBSTITUTION, SUBSTITUTION_QUERY, USES, read_substitution, read_uses
from service.tables.book import open_book
from service.web.batches import single, units_of
from service.web.handlers.reference import find_nail
from service.web.registry import COMPUTED, op, question

SAID = "The nails on hand judged for each joint, best first"


@question(
    "/v1/substitutions",
    ("judgeNails", "getNailJudgements"),
    SAID,
    one_answer(SubstitutionResult, "SubstitutionAnswer", "SubstitutionAsk"),
    SUBSTITUTION,
    query=SUBSTITUTION_QUERY,
    about=f"{SAID}. Repeat nail_designation and connection_ids for more nails and joints.",
    sheets={"judgements": JUDGED_SHEET},
)
def substitutions(raw: Any) -> Reply:
    """Judge every nail for every joint."""
    by_query = request.method in ("GET", "HEAD")
    ask = read_substitution(raw, by_query, open_book())
    if by_query:
        raw = {**raw, "nails": [{"nail_designation": words} for words in raw["nail_designation"]]}
        del raw["nail_designation"]
    return single(substitution_answer(ask, open_book()), raw)


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
