"""Substitutions: joints times nails on hand; and where one nail serves."""

from typing import Any

from flask import request

from service.schemas.answers import joint as answers
from service.schemas.answers import joint_shapes, parts, shapes
from service.schemas.answers.sheets import substitution_sheet, uses_sheet
from service.schemas.asks.substitution import SUBSTITUTION, SUBSTITUTION_QUERY, USES, read_substitution, read_uses
from service.tables.book import open_book
from service.web.batches import single, units_of
from service.web.handlers.reference import find_nail
from service.web.registry import COMPUTED, op, question

SAID = "The nails on hand judged for each joint, best first"


@question(
    "/v1/substitutions",
    "Substitutions",
    SAID,
    shapes.single(joint_shapes.SubstitutionResult, "SubstitutionAnswer"),
    SUBSTITUTION,
    query=SUBSTITUTION_QUERY,
    about=f"{SAID}. Repeat nail_designation and connection_ids for more nails and joints.",
    sheet=substitution_sheet,
)
def substitutions(raw: Any) -> dict[str, Any]:
    """Judge every nail for every joint."""
    by_query = request.method == "GET"
    ask = read_substitution(raw, by_query)
    if by_query:
        raw = {**raw, "nails": [{"nail_designation": words} for words in raw["nail_designation"]]}
        del raw["nail_designation"]
    result, found = answers.substitution_answer(ask)
    return single(raw, result, found, ask.assumptions)


@op(
    "GET",
    "/v1/nails/{nail_id}/uses",
    "listNailUses",
    "Joints of an edition and what a nail is worth in each",
    "reference",
    shapes.catalogue(joint_shapes.NailUse, "NailUseList"),
    ask=USES,
    cache=COMPUTED,
    sheet=uses_sheet,
    path_about="Id of a nail, or a size such as smooth-3x0.120.",
    description="Every joint of an edition with the number of this nail, or null and the reason where it does not serve. "
    "Panels are judged at panel_thickness_in, 7/16 in when left out.",
)
def nail_uses(raw: dict[str, Any], nail_id: str) -> dict[str, Any]:
    """List where a nail serves."""
    ask = read_uses(raw, find_nail(nail_id).nail_id)
    items, found = answers.uses_answer(ask)
    units = units_of(raw)
    if units == "metric":
        items = parts.with_metric_twins(items)
    cautions = parts.caution_block(found, open_book())
    return parts.envelope(items, cautions, assumptions=ask.assumptions, units=units, key="items")
