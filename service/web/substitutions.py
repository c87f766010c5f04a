"""Substitutions: joints times nails on hand; and where one nail serves."""

from typing import Any

from service.domain.nail import by_id
from service.errors import FasteningError
from service.schemas import answers, joint_shapes, parts, shapes
from service.schemas.asks import SUBSTITUTION, SUBSTITUTION_QUERY, USES, read_substitution, read_uses
from service.schemas.fields import near
from service.schemas.sheets import substitution_sheet, uses_sheet
from service.tables.book import open_book
from service.web.answering import ABOUT_POST, single, units_of
from service.web.problems import UnknownIdError
from service.web.registry import COMPUTED, op

SAID = "The nails on hand judged for each joint, best first"


@op(
    "GET",
    "/v1/substitutions",
    "getSubstitutions",
    SAID,
    "questions",
    shapes.single(joint_shapes.SubstitutionResult, "SubstitutionAnswer"),
    ask=SUBSTITUTION_QUERY,
    cache=COMPUTED,
    sheet=substitution_sheet,
    description=f"{SAID}. Repeat nail_designation and connection_ids for more nails and joints.",
)
@op(
    "POST",
    "/v1/substitutions",
    "createSubstitutions",
    SAID,
    "questions",
    shapes.single(joint_shapes.SubstitutionResult, "SubstitutionAnswer"),
    ask=SUBSTITUTION,
    description=ABOUT_POST,
    sheet=substitution_sheet,
)
def substitutions(raw: Any) -> dict[str, Any]:
    """Judge every nail for every joint."""
    ask = read_substitution(raw)
    result, found = answers.substitution_answer(ask)
    return single(raw, result, found, ask.assumptions)


@op(
    "GET",
    "/v1/nails/{nail_id}/uses",
    "listNailUses",
    "Joints of an edition that a nail serves",
    "reference",
    shapes.catalogue(joint_shapes.NailUse, "NailUseList"),
    ask=USES,
    cache=COMPUTED,
    sheet=uses_sheet,
    path_about="Id of a nail, or a size such as smooth-3x0.120.",
    description="Joints of an edition that this nail serves, with number and outcome. Joints that it does not serve are left out; "
    "substitutions says why. Panels are judged at panel_thickness_in, 7/16 in when left out.",
)
def nail_uses(raw: dict[str, Any], nail_id: str) -> dict[str, Any]:
    """List where a nail serves."""
    try:
        nail = by_id(nail_id, open_book())
    except FasteningError:
        raise UnknownIdError("nail", nail_id, near(nail_id, open_book().nails)) from None
    ask = read_uses(raw, nail)
    items, found = answers.uses_answer(ask)
    units = units_of(raw)
    if units == "metric":
        items = parts.with_metric_twins(items)
    cautions = parts.caution_block(found, open_book())
    return parts.envelope(items, cautions, assumptions=ask.assumptions, units=units, key="items")
