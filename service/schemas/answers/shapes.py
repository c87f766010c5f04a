"""The shapes of answers, for the contract; answers are written as plain dictionaries and checked against these in tests."""

from functools import cache
from typing import Any

from marshmallow import INCLUDE, Schema, fields

from service.schemas.fields import Choice, Items, Strict, Text

OUTCOMES = ["not_applicable", "no_data", "engineering_required", "prescriptive", "exceeds_listed", "calculated"]
CONFIDENCES = ["verified", "single_source", "memory", "common_practice", "derived"]


def number(about: str = "", null: bool = False, **meta: Any) -> fields.Float:
    """Return the field of a number."""
    return fields.Float(allow_none=null, metadata={"description": about, **meta} if about or meta else {})


def whole(about: str = "", null: bool = False) -> fields.Integer:
    """Return the field of a count."""
    return fields.Integer(allow_none=null, metadata={"description": about, "minimum": 0} if about else {"minimum": 0})


def say(about: str = "", null: bool = False, one_of: list[str] | None = None) -> fields.String:
    """Text in an answer."""
    extra: dict[str, Any] = {"description": about} if about else {}
    if one_of:
        extra["enum"] = [*one_of, None] if null else one_of
    return fields.String(allow_none=null, metadata=extra)


def flag(about: str = "") -> fields.Boolean:
    """Return the field of a yes or no."""
    return fields.Boolean(metadata={"description": about} if about else {})


def texts() -> fields.List[Any]:
    """Return the field of a list of texts."""
    return fields.List(fields.String())


def lengths(about: str) -> fields.List[Any]:
    """Return the field of a list of lengths."""
    return fields.List(fields.Float(), metadata={"description": about})


class Open(Schema):
    """An answer object: it may gain fields."""

    class Meta:
        """Answers may gain fields; clients ignore what they do not know."""

        unknown = INCLUDE


class Assumption(Open):
    """A default that was used."""

    field = say("Field that was left out.")
    value = fields.Raw(metadata={"description": "Value that was used."})


class Meta_(Open):
    """Which service, which data, which units."""

    api_version = say()
    data_version = say("Version of the tables; it changes with every corrected value.")
    units = say(one_of=["us", "metric"])
    notice = say("What this answer is and is not.")
    assumptions = fields.List(fields.Nested(Assumption))


class CautionBlock(Open):
    """A caution that applies to this answer."""

    code = say()
    severity = say(one_of=["info", "caution", "warning", "stop"])
    text = say("Fixed words, the same for every occurrence.")
    applies_because = say("The input and its value that make it apply here.")
    action = say("What to do now.")
    applies_to = texts()
    source = fields.Dict()
    doc_url = say()


class NailShape(Open):
    """A nail with its full identity."""

    id = say()
    label = say("As people say it.")
    pennyweight = say(null=True)
    type = say()
    shank = say()
    length_in = number("Length [in].")
    shank_diameter_in = number("Shank diameter [in].")
    head_diameter_in = number("Head diameter [in], null when not known.", null=True)
    head = say()
    coating = say()
    confidence = say("Of the catalogue size; null for a size the caller gave.", null=True, one_of=CONFIDENCES)


class ProvenanceShape(Open):
    """Where a number stands in print, and how well that is known."""

    code = say()
    edition = say()
    section = say()
    table = say(null=True)
    item = say(null=True)
    note = say(null=True)
    confidence = say(one_of=CONFIDENCES)
    modified = flag("Derived, converted or combined.")


class NumberShape(Open):
    """One of: a count per joint; a spacing; edge and field spacing. Null where there is no number."""

    nail_count_per_joint = whole("Nails in each joint.", null=True)
    spacing_in = number("Spacing on center [in].", null=True)
    row_count = whole("Rows at that spacing.")
    nail_count_per_group = whole("Nails in each spacing.", null=True)
    edge_spacing_in = number("Along panel edges [in].", null=True)
    field_spacing_in = number("In the field of the panel [in].", null=True)


class ErrorEntry(Open):
    """One fault."""

    pointer = say("JSON Pointer into the body, as a URI fragment.")
    parameter = say("Query parameter.")
    code = say()
    detail = say()
    limit = fields.Raw()
    received = fields.Raw()
    did_you_mean = say()
    setting = say("Setting that holds the limit.")
    candidates = fields.List(fields.Dict(), metadata={"description": "Every nail an ambiguous name could mean."})


class ProblemShape(Open):
    """An RFC 9457 problem document."""

    type = say()
    title = say()
    status = whole()
    code = say()
    detail = say()
    instance = say()
    request_id = say()
    doc_url = say()
    errors = fields.List(fields.Nested(ErrorEntry))
    errors_truncated = flag()
    did_you_mean = say()
    limit = fields.Raw()
    received = fields.Raw()
    setting = say()


class BatchEntry(Open):
    """An item of a batch: its answer or its problem."""

    id = say()
    status = whole()
    result = fields.Dict()
    cautions = fields.List(fields.Dict())
    problem = fields.Nested(ProblemShape)


class Summary(Open):
    """The batch in one look."""

    item_count = whole()
    succeeded_count = whole()
    failed_count = whole()
    engineering_required_count = whole()
    max_severity = say(null=True)
    totals = fields.List(fields.Dict())
    totals_complete = flag()


@cache
def single(result: type[Schema], name: str, asked: bool = True) -> Schema:
    """Return the envelope of a single answer."""
    parts: dict[str, Any] = {"meta": fields.Nested(Meta_)}
    if asked:
        parts["input"] = fields.Dict(metadata={"description": "The question as understood, defaults filled in."})
    parts |= {"result": fields.Nested(result), "cautions": fields.List(fields.Nested(CautionBlock))}
    return Open.from_dict(parts, name=name)()


def catalogue(item: type[Schema], name: str) -> Schema:
    """Return the envelope of a catalogue."""
    return Open.from_dict(
        {"meta": fields.Nested(Meta_), "items": fields.List(fields.Nested(item)), "cautions": fields.List(fields.Nested(CautionBlock))},
        name=name,
    )()


def batch_answer(name: str) -> Schema:
    """Return the envelope of a batch answer."""
    return Open.from_dict(
        {
            "meta": fields.Nested(Meta_),
            "results": fields.List(fields.Nested(BatchEntry)),
            "summary": fields.Nested(Summary),
            "cautions": fields.List(fields.Nested(CautionBlock)),
        },
        name=name,
    )()


def batch_ask(name: str, most: int, **more: Any) -> Schema:
    """Return the request shape of a batch; `more` are fields beside the items.

    Items are checked one by one, so that one bad item fails alone; the contract shows their shapes beside it.
    """
    return Strict.from_dict(
        {
            "defaults": fields.Dict(
                metadata={
                    "description": "Fields that every item takes unless it sends its own; a key in the item replaces the whole value."
                }
            ),
            "items": Items(fields.Dict(), most, "Questions, each with its own id.", 1, required=True),
            "units": Choice(("us", "metric"), "metric adds twins."),
            "on_error": Choice(("continue", "fail"), "fail: one bad item makes the call 422."),
            **more,
        },
        name=name,
    )()


BESIDE = ("units", "include")


def item_shape(item: type[Strict], name: str) -> Schema:
    """Return the shape of a batch item: an id, and what of a question the defaults do not give."""
    shape = defaults_shape(item, name)
    shape.fields["id"] = Text("Name of the item.", ITEM_ID.metadata["pattern"], 64, required=True)
    shape.declared_fields["id"] = shape.fields["id"]
    return shape


def defaults_shape(item: type[Strict], name: str) -> Schema:
    """Return the shape of a batch's defaults: every field of a question, none required."""
    made = item.from_dict({}, name=name)
    for name_beside in BESIDE:
        made._declared_fields.pop(name_beside, None)
    shape = made()
    for field in shape.fields.values():
        field.required = False
    return shape


ITEM_ID = Text("Name of the item.", r"^[A-Za-z0-9._-]{1,64}$", 64)
