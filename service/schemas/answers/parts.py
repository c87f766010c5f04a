"""The parts answers are made of: nail, number, provenance, placement, cautions, meta."""

from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from service import API_VERSION
from service.domain.cautions.caution import Spoken, say_step
from service.domain.joint.counting import say_nailing
from service.domain.joint.ranking import say_option
from service.domain.nails.nail import Nail
from service.schemas.answers.assumed import say_field, say_value
from service.schemas.answers.declare import Part, Shape, Variants, flag, many, number, one, other, say, spread, texts, whole, word
from service.schemas.answers.vocabulary import COATING, CONFIDENCE, FASTENER, HEAD, NAIL_TYPE, NUMBER_KIND, SEVERITY, SHANK, UNITS
from service.tables.book import open_book
from service.tables.nails import NailRow
from service.tables.schedule import Grouped, Nailing, OnCenter, Panel, PerJoint
from service.ticks import inches

NOTICE = "Counts from the inputs and published tables; no design and no approval. The adopted local code and the building official govern."


def text_or_null(text: Any) -> Any:
    """Return a text, None for an empty one."""
    return text or None


class NailShape(Shape):
    """A nail with its full identity."""

    id = say("Id, as GET /v1/nails lists it, or a size.", of="nail_id")
    label = say("As people say it.")
    pennyweight = say("Old size name; null for nails without one.", null=True, form=text_or_null)
    type = word(NAIL_TYPE)
    shank = word(SHANK)
    length_in = number("Length [in].", of="length", form=inches)
    shank_diameter_in = number("Shank diameter [in].", of="diameter", form=inches)
    head_diameter_in = number("Head diameter [in]; null when not known.", of="head_diameter", form=inches, null=True)
    head = word(HEAD)
    coating = word(COATING)
    confidence = word(CONFIDENCE, "Of the catalogue size; null for a size the caller gave.", null=True)


class CatalogueNail(NamedTuple):
    """A nail and its line of the catalogue, None for a size that is not in it."""

    nail: Nail
    row: NailRow | None


class NailEntryShape(Shape):
    """A nail of the catalogue, or a size."""

    _nail = spread(NailShape, "nail")
    head_confidence = word(
        CONFIDENCE, "Of the head diameter; null when it is not known.", of=lambda n: (n.row and n.row.head_confidence) or None, null=True
    )
    source = say("Where the size was read; null for a size that is not in the catalogue.", of=lambda n: n.row and n.row.source, null=True)
    note = say("Remark.", of=lambda n: n.row.note or None if n.row else "a size, not in the catalogue", null=True)


class ProvenanceShape(Shape):
    """Where a number stands in print, and how well that is known."""

    label = say("The place as people cite it: code, edition, table or section, item.", of=lambda p: p.on_paper or "nothing in print")
    code = say("Code or standard; none for trade custom.")
    edition = say("Year of the edition.")
    section = say("Section or clause.")
    table = say("Table; null when the section itself says it.", null=True)
    item = say("Item of the table; null when it has none.", null=True)
    note = say("Remark.", null=True)
    confidence = word(CONFIDENCE)
    modified = flag("Derived, converted or combined.")


class Number(NamedTuple):
    """A nailing, None where there is no number, and how its row counts."""

    nailing: Nailing | None
    kind: Nailing | None


SAID_NONE = "no number"
"""What stands in words where a number is null."""


def _in_words() -> Part:
    return say("The number in words.", of=lambda n: say_nailing(n.nailing) if n.nailing else SAID_NONE)


def _kind(kind: str | None) -> Part:
    return word(
        NUMBER_KIND,
        "Which of the fields beside it hold the number; null where nobody says how the joint is counted.",
        of=lambda n: kind,
        null=True,
    )


class PerJointNumber(Shape):
    """Nails in each joint."""

    number_kind = _kind("per_joint")
    nail_count_per_joint = whole(
        "Nails in each joint; null where there is no number.", of=lambda n: n.nailing and n.nailing.count, null=True
    )
    number_label = _in_words()


class NoNumber(Shape):
    """A joint of which no row says how it is counted."""

    number_kind = _kind(None)
    nail_count_per_joint = PerJointNumber.nail_count_per_joint
    number_label = _in_words()


class OnCenterNumber(Shape):
    """A nail at each spacing."""

    number_kind = _kind("on_center")
    spacing_in = number(
        "Spacing on center [in]; null where there is no number.", of=lambda n: n.nailing and n.nailing.spacing, form=inches, null=True
    )
    row_count = whole("Rows at that spacing.", of=lambda n: getattr(n.nailing or n.kind, "row_count", 1))
    number_label = _in_words()


class GroupedNumber(Shape):
    """Nails in groups."""

    number_kind = _kind("grouped")
    nail_count_per_group = whole(
        "Nails in each group; null where there is no number.", of=lambda n: n.nailing and n.nailing.count, null=True
    )
    group_spacing_in = number(
        "Length that takes one group each [in]; null where there is no number.",
        of=lambda n: n.nailing and n.nailing.spacing,
        form=inches,
        null=True,
    )
    number_label = _in_words()


class PanelNumber(Shape):
    """Edge and field spacing."""

    number_kind = _kind("edge_and_field")
    edge_spacing_in = number(
        "Along panel edges [in]; null where there is no number.", of=lambda n: n.nailing and n.nailing.edge, form=inches, null=True
    )
    field_spacing_in = number(
        "In the field of the panel [in]; null where there is no number.", of=lambda n: n.nailing and n.nailing.field, form=inches, null=True
    )
    number_label = _in_words()


NUMBERS: dict[Any, type[Shape]] = {
    PerJoint: PerJointNumber,
    OnCenter: OnCenterNumber,
    Grouped: GroupedNumber,
    Panel: PanelNumber,
    type(None): NoNumber,
}


def numbered(of: str | Callable[[Any], Any]) -> Variants:
    """Declare the fields of a number: a count per joint, a spacing, groups, or edge and field spacing."""
    return Variants(lambda n: type(n.nailing or n.kind), NUMBERS, "where the joint is counted another way", of)


def number_field(n: Number) -> str:
    """Return the field that is null when there is no number: the first after its kind."""
    return tuple(NUMBERS[type(n.nailing or n.kind)].parts)[1]


class ListedOption(Shape):
    """One printed option of the row."""

    label = say("As people say it.", of=lambda c: say_option(c.option))
    fastener = word(FASTENER, of="option.fastener")
    nail_id = say("Id of the nail it names; null where it names none.", of="option.nail_id", form=text_or_null, null=True)
    pennyweight = say("Old size name as printed.", of="option.pennyweight", form=text_or_null, null=True)
    shank = say("Shank as printed.", of="option.shank", form=text_or_null, null=True)
    length_in = number("Length [in].", of="option.length", form=inches, null=True)
    shank_diameter_in = number("Shank diameter [in].", of="option.diameter", form=inches, null=True)
    head_diameter_in = number("Head diameter [in], where the row prints one.", of="option.head_diameter", form=inches, null=True)
    detail = say("What else the row prints.", of="option.detail", form=text_or_null, null=True)
    _number = numbered(lambda c: Number(c.nailing, None))
    table = say("Table.", form=text_or_null, null=True)
    item = say("Item of the table.", form=text_or_null, null=True)
    applies = flag("Its conditions are met here.", of=lambda c: not c.refused_because)
    refused_because = say("Why its conditions are not met; null where they are.", form=text_or_null, null=True)
    confidence = word(CONFIDENCE, of="option.confidence")
    sources = texts("Keys of the copies it was read in.", of="option.sources")
    note = say("Remark.", of="option.note", form=text_or_null, null=True)


class PlacementShape(Shape):
    """Where the nails go."""

    rule = say("In words.")
    edge_distance_in = number("From the edge of the piece [in].", of="edge_distance", form=inches, absent="where it does not apply")
    end_distance_in = number("From the end of the piece [in].", of="end_distance", form=inches, absent="where it does not apply")
    guide_end_distance_in = number(
        "From the end; guidance against splitting, not a minimum [in].",
        of="guide_end_distance",
        form=inches,
        absent="where it does not apply",
    )
    guide_spacing_along_grain_in = number(
        "Along the grain; guidance against splitting, not a minimum [in].",
        of="guide_spacing_along_grain",
        form=inches,
        absent="where it does not apply",
    )
    guide_spacing_across_grain_in = number(
        "Across the grain; guidance against splitting, not a minimum [in].",
        of="guide_spacing_across_grain",
        form=inches,
        absent="where it does not apply",
    )
    start_distance_in = number(
        "Where a toe-nail starts up the piece [in].", of="start", form=inches, absent="where the nail is not a toe-nail"
    )
    angle_deg = number("Angle of a toe-nail off the piece [degrees].", absent="where the nail is not a toe-nail")
    staggered = flag("Nails stand in two lines of the grain by turns.")
    note = say("Remark.", of=lambda p: p.note or None, absent="where there is none")


class PrintedSource(Shape):
    """A published source."""

    code = say("Who said it.", of="source")
    edition = say("Edition.", of=lambda row: None, null=True)
    section = say("Section.", of=lambda row: None, null=True)


class ServiceSource(Shape):
    """A rule of this service, or common practice."""

    service = flag("True.", of=lambda row: True)


class CautionSource(Shape):
    """Where a caution comes from: a published source, or this service."""

    _source = Variants(lambda row: bool(row.source), {True: PrintedSource, False: ServiceSource}, "where the caution comes from elsewhere")


class CautionWords(Shape):
    """The fixed words of a caution."""

    code = say("Permanent code, listed at GET /v1/cautions.")
    severity = word(SEVERITY)
    text = say("Fixed words, the same for every occurrence.")


class CautionAction(Shape):
    """What a caution asks for."""

    action = say("What to do now.")


class CautionOrigin(Shape):
    """Where a caution comes from."""

    source = one(CautionSource, of=lambda row: row)
    doc_url = say("Where the code is explained.", of=lambda row: f"/v1/cautions/{row.code}")


class NextStepShape(Shape):
    """What may serve past a limit of the prescriptive rules."""

    label = say("The step in words: past which limit, what may serve, who decides.", of=say_step)
    limit = say("The kind of limit.")
    step = say("The published document or the change that covers the next step.")
    decides = say("Who decides.")
    confidence = word(CONFIDENCE, "Of what is said of that document.")
    source = say("Where that was read.")


class CautionShape(Shape):
    """A caution that applies to this answer."""

    _words = spread(CautionWords, "row", kept=True)
    applies_because = say("The input and its value that make it apply here.")
    _action = spread(CautionAction, "row", kept=True)
    applies_to = texts("JSON Pointers into this answer.")
    next_steps = many(
        NextStepShape,
        "What may serve past the limits, and who decides.",
        of=lambda c: c.next_steps or None,
        absent="unless a limit of the prescriptive rules is passed",
    )
    _origin = spread(CautionOrigin, "row", kept=True)


class AssumptionShape(Shape):
    """A default that was used."""

    field = say("Field that was left out.", of=lambda a: a[0])
    label = say("The field in words.", of=lambda a: say_field(a[0]))
    value_label = say("The value in words.", of=lambda a: say_value(*a))
    value = other(
        {"type": ["string", "number", "boolean", "array", "null"], "items": {"type": "string"}}, "Value that was used.", of=lambda a: a[1]
    )


class Meta(NamedTuple):
    """What stands above every answer."""

    assumptions: tuple[tuple[str, Any], ...]
    units: str


class MetaShape(Shape):
    """Which service, which data, which units, and what was assumed."""

    api_version = say("Version of the contract.", of=lambda m: API_VERSION)
    data_version = say("Version of the tables; it changes with every corrected value.", of=lambda m: open_book().data_version)
    units = word(UNITS)
    notice = say("What this answer is and is not.", of=lambda m: NOTICE)
    assumptions = many(AssumptionShape, "Defaults that were used.")


def first_word(cautions: Iterable[Spoken]) -> str | None:
    """Return the severity of the worst of sorted cautions."""
    return next((c.severity for c in cautions), None)
