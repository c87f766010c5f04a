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


class NailEntry(NailShape):
    """A catalogue nail."""

    head_confidence = say(null=True)
    source = say()
    note = say(null=True)


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


class ListedOption(NumberShape):
    """One printed option of the row."""

    fastener = say()
    nail_id = say(null=True)
    pennyweight = say(null=True)
    shank = say(null=True)
    length_in = number(null=True)
    shank_diameter_in = number(null=True)
    head_diameter_in = number(null=True)
    detail = say(null=True)
    table = say(null=True)
    item = say(null=True)
    applies = flag("Its conditions are met here.")
    refused_because = say(null=True)
    confidence = say(one_of=CONFIDENCES)
    sources = texts()
    note = say(null=True)


class PlacementShape(Open):
    """Where the nails go."""

    rule = say()
    edge_distance_in = number()
    end_distance_in = number()
    guide_end_distance_in = number("Guidance against splitting, not a minimum.")
    guide_spacing_along_grain_in = number("Guidance against splitting, not a minimum.")
    guide_spacing_across_grain_in = number("Guidance against splitting, not a minimum.")
    start_distance_in = number("Where a toe-nail starts up the piece [in].")
    angle_deg = number("Angle of a toe-nail off the piece.")
    staggered = flag()
    note = say()


class CloserZone(Open):
    """Closer spacing at roof edges and gable ends."""

    spacing_in = number()
    width_in = number()
    footnote = say()
    note = say()


class RequirementResult(NumberShape):
    """The judgement of one joint."""

    connection_id = say()
    description = say()
    method = say(one_of=["face_nail", "end_nail", "toe_nail"])
    outcome = say(one_of=OUTCOMES)
    nail = fields.Nested(NailShape)
    nail_count = whole("Total, when joint_count or run_length was sent.", null=True)
    basis = say("The arithmetic in words.")
    closer_zone = fields.Nested(CloserZone)
    provenance = fields.Nested(ProvenanceShape)
    listed_options = fields.List(fields.Nested(ListedOption))
    placement = fields.Nested(PlacementShape)
    caution_codes = texts()


class MemberShape(Open):
    """Sticks cut alike."""

    role = say(
        one_of=[
            "end_stud",
            "stud",
            "king_stud",
            "jack_stud",
            "head_cripple",
            "sill_cripple",
            "corner_stud",
            "backing_stud",
            "header",
            "sill",
            "bottom_plate",
            "top_plate",
            "double_top_plate",
            "block",
        ]
    )
    nominal = say()
    length_in = number("Cut length [in].")
    member_count = whole()
    x_in = lengths("Left sides from the start of the wall [in].")
    z_in = lengths("Bottoms above the underside of the bottom plate [in].")


class ConnectionLine(NumberShape):
    """All joints of one kind with one nail."""

    connection_id = say()
    description = say()
    method = say()
    run_count = whole()
    run_length_in = number("Sum of the runs [in].")
    joint_count = whole()
    nail = fields.Nested(NailShape)
    nail_count = whole(null=True)
    outcome = say(one_of=OUTCOMES)
    listed_nail_count = whole("What the first nail the row lists would take.", null=True)
    provenance = fields.Nested(ProvenanceShape)
    basis = say()
    placement = fields.Nested(PlacementShape, allow_none=True)
    caution_codes = texts()


class NailTotal(Open):
    """Nails of one kind."""

    nail = fields.Nested(NailShape)
    nail_count = whole()


class SplicePlate(Open):
    """Steel plates of a single top plate; their nails come on top of the totals."""

    where = say(one_of=["corner", "intersection", "butt_joint"])
    plate = say(null=True)
    plate_count = whole()
    nail_id = say(null=True)
    nail_count_per_side = whole(null=True)
    nail_count = whole(null=True)
    provenance = fields.Nested(ProvenanceShape)


class Totals(Open):
    """Sums of one wall."""

    framing_nail_count = whole()
    sheathing_nail_count = whole()
    lumber_length_ft = number()
    board_ft = number()
    panel_count = whole()
    panel_count_by_area = whole()
    wall_weight_lb = number("For lifting; from memory figures.")
    lifter_count = whole("People at 50 lb each.")
    totals_complete = flag("False when a joint has no number.")


class NailPosition(Open):
    """One nail: x along the wall, y from the outside face, z up [in]."""

    x_in = number()
    y_in = number()
    z_in = number()
    connection_id = say()
    member_index = whole("Framing nails: counts through the sticks of `members` in order.")
    panel_index = whole("Panel nails: index in `panels`.")


class CutOut(Open):
    """A rectangle in the elevation [in]."""

    x_in = number()
    z_in = number()
    width_in = number()
    height_in = number()


class PanelShape(CutOut):
    """One panel as cut."""

    cut_outs = fields.List(fields.Nested(CutOut))
    nail_count = whole(null=True)


class WallPlanResult(Open):
    """The plan of one wall."""

    id = say(null=True)
    members = fields.List(fields.Nested(MemberShape))
    connections = fields.List(fields.Nested(ConnectionLine))
    panels = fields.List(fields.Nested(PanelShape), metadata={"description": "Panels as cut, in order of z, then x."})
    nails = fields.List(fields.Nested(NailTotal))
    splice_plates = fields.List(fields.Nested(SplicePlate))
    totals = fields.Nested(Totals)
    notes = texts()
    nail_positions = fields.List(fields.Nested(NailPosition))


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


class CodeEdition(Open):
    """What is held of a code edition."""

    id = say()
    code = say()
    edition = say()
    title = say()
    jurisdiction = say()
    coverage = say("How far it was read.")
    complete = flag()
    seismic_design_categories = texts()
    option_count = whole()
    option_count_by_confidence = fields.Dict()
    confidence_note = say()
    sources = fields.List(fields.Dict())


class Connection(Open):
    """A kind of joint."""

    id = say()
    group = say(one_of=["roof", "wall", "floor", "sheathing"])
    method = say()
    description = say()
    code_editions = texts()
    rows = fields.List(fields.Dict(), metadata={"description": "Rows of the asked edition, with their options."})


class Species(Open):
    """A species group."""

    id = say()
    name = say()
    specific_gravity = number()
    dowel_bearing_psi = number()
    confidence = say(one_of=CONFIDENCES)
    source = say()


class CautionEntry(Open):
    """A caution code of the catalogue."""

    code = say()
    severity = say()
    text = say()
    action = say()
    trigger = say()
    standing = flag("Speaks once in every answer.")
    served = flag("False while its trigger belongs to an address not served yet.")
    confidence = say()
    source = say(null=True)


class ProblemEntry(Open):
    """A problem code of the catalogue."""

    code = say()
    slug = say()
    status = whole()
    title = say()
    about = say()


class LimitEntry(Open):
    """A limit in force."""

    name = say()
    value = whole()
    setting = say(null=True)


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


def batch_ask(item: type[Strict], name: str, most: int) -> Schema:
    """Return the request shape of a batch.

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
            "include": Items(Choice(("positions",), "Every nail located."), 1, "What else to answer."),
            "on_error": Choice(("continue", "fail"), "fail: one bad item makes the call 422."),
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
