"""The shapes of the catalogues: editions, joints with their rows, species, cautions, problems, limits."""

from collections import Counter
from dataclasses import dataclass
from typing import NamedTuple

from service.domain.cautions.caution import WAITING
from service.domain.joint.ranking import say_option
from service.domain.joint.search import Found
from service.schemas.answers.declare import Shape, Variants, flag, many, number, one, other, say, texts, whole, word, words
from service.schemas.answers.parts import Number, numbered, text_or_null
from service.schemas.answers.vocabulary import (
    CATEGORY,
    CODE_EDITION,
    CONFIDENCE,
    CONNECTION_ID,
    FASTENER,
    GROUP,
    MATCH,
    METHOD,
    SEVERITY,
    SPAN_RATING,
    SPECIES_ID,
    USE,
    WIND_BASIS,
)
from service.tables.book import Book
from service.tables.cautions import SourceRow
from service.tables.editions import Edition
from service.tables.joints import ConnectionRow
from service.tables.panels import WindPanelRow
from service.tables.schedule import ScheduleRow

CONFIDENCE_NOTE = (
    "verified: read in stored public copies of adopted codes, most of them through one online code library, so one reading, not two; "
    "single_source: read once; memory: typed from memory; derived: carried over or computed; common_practice: trade custom. The printed, adopted code has the last word."
)


@dataclass(frozen=True, slots=True, eq=False)
class EditionEntry:
    """An edition; its sources where it is asked for alone."""

    edition: Edition
    sources: tuple[SourceRow, ...] | None = None

    @property
    def counts(self) -> dict[str, int]:
        """Options held, by confidence."""
        return dict(sorted(Counter(o.confidence for rows in self.edition.rows.values() for r in rows for o in r.options).items()))


class SourceShape(Shape):
    """A public copy in which values were read."""

    source_id = say("Key of the copy.")
    title = say("What it is.")
    publisher = say("Who published it.")
    seen = say("What was seen in it.")


class CodeEditionShape(Shape):
    """What is held of a code edition."""

    id = word(CODE_EDITION, of="edition.edition_id")
    code = say("Code family.", of="edition.code")
    edition = say("Year.", of="edition.year")
    title = say("Title.", of=lambda e: e.edition.title)
    jurisdiction = say("Where it stands.", of=lambda e: e.edition.jurisdiction)
    coverage = say("How far it was read.", of=lambda e: e.edition.coverage)
    complete = flag("Whether a joint without a row has none in the edition either.", of="edition.complete")
    seismic_design_categories = words(CATEGORY, "Categories it knows.", of="edition.seismic_design_categories")
    option_count = whole("Options held.", of=lambda e: sum(e.counts.values()))
    option_count_by_confidence = other(
        {"type": "object", "additionalProperties": {"type": "integer", "minimum": 0}}, "Options held, by confidence.", of="counts"
    )
    confidence_note = say("What the confidences mean.", of=lambda e: CONFIDENCE_NOTE)
    sources = many(SourceShape, "The copies it was read in.", absent="in the list of editions")


class WindLimits(Shape):
    """Highest wind speed of a row, by exposure [mph, in the basis of the row]."""

    B = number("Exposure B.", of=lambda m: m["B"])
    C = number("Exposure C.", of=lambda m: m["C"])
    D = number("Exposure D.", of=lambda m: m["D"])


class RowOptionShape(Shape):
    """One printed option of a row."""

    label = say("As people say it.", of=say_option)
    fastener = word(FASTENER)
    nail_id = say("Nail it names.", form=text_or_null, null=True)
    detail = say("What else is printed.", form=text_or_null, null=True)
    use = words(USE, "Uses it is for; empty: all.")
    _number = numbered(lambda o: Number(o.nailing, None))
    confidence = word(CONFIDENCE)
    sources = texts("Keys of the copies it was read in.")
    note = say("Remark.", form=text_or_null, null=True)


class HeldRow(NamedTuple):
    """A row and the edition that holds it."""

    edition_id: str
    row: ScheduleRow | WindPanelRow


class ScheduleRowShape(Shape):
    """A row of the fastening schedule."""

    code_edition = word(CODE_EDITION, of="edition_id")
    row = say("Key of the row; null for trade custom.", of="row.row", form=text_or_null, null=True)
    section = say("Section.", of="row.section", form=text_or_null, null=True)
    table = say("Table.", of="row.table", form=text_or_null, null=True)
    item = say("Item.", of="row.item", form=text_or_null, null=True)
    braced_wall_panel = flag("Whether it is for braced wall panels; null where rows do not differ by it.", of="row.braced", null=True)
    note = say("Remark.", of="row.note", form=text_or_null, null=True)
    options = many(RowOptionShape, "Its options, in the order of the page.", of="row.options")


class WindRowShape(Shape):
    """A row of the wall sheathing wind table."""

    code_edition = word(CODE_EDITION, of="edition_id")
    row = say("Key of the row.", of="row.row", null=True)
    section = say("Section.", of="row.section", null=True)
    table = say("Table.", of="row.table", null=True)
    min_span_rating = word(SPAN_RATING, "Least span rating.", of="row.min_span_rating")
    wind_speed_basis = word(WIND_BASIS, of="row.wind_basis")
    max_wind_speed_mph_by_exposure = one(WindLimits, "Highest wind speed.", of="row.max_wind_mph")
    nail_id = say("Nail it names.", of="row.option.nail_id")
    _number = numbered(lambda h: Number(h.row.option.nailing, None))
    confidence = word(CONFIDENCE, of="row.option.confidence")


class ConnectionRowShape(Shape):
    """A row of an edition: of the schedule, or of the wall sheathing wind table."""

    _row = Variants(
        lambda h: isinstance(h.row, WindPanelRow), {False: ScheduleRowShape, True: WindRowShape}, "in rows of the other kind of table"
    )


@dataclass(frozen=True, slots=True, eq=False)
class ConnectionEntry:
    """A kind of joint, the editions that hold it, and its rows where they were asked for."""

    row: ConnectionRow
    code_editions: tuple[str, ...]
    rows: tuple[HeldRow, ...] | None
    found: Found | None = None


class FoundShape(Shape):
    """How a joint answers the words that were looked for."""

    match = word(MATCH, of=lambda e: "every_word" if e.found.every_word else "nearest")
    match_reason = say(
        "How the words were read, and what is missing in one of the nearest; null for plain words.",
        of="found.because",
        form=text_or_null,
        null=True,
    )


class ConnectionShape(Shape):
    """A kind of joint."""

    id = word(CONNECTION_ID, of="row.connection_id")
    group = word(GROUP, of="row.group")
    method = word(METHOD, of="row.method")
    description = say("The joint in words.", of="row.description")
    code_editions = words(CODE_EDITION, "Editions that hold it.")
    _found = Variants(lambda e: e.found is not None, {True: FoundShape, False: None}, "unless q was sent")
    rows = many(ConnectionRowShape, "Its rows, with their options.", absent="in a list without code_edition")


class SpeciesShape(Shape):
    """A species group."""

    id = word(SPECIES_ID, of="species")
    name = say("Name in print.")
    specific_gravity = number("Oven-dry basis.")
    dowel_bearing_psi = number("Dowel bearing strength for nails under 1/4 in [psi].")
    confidence = word(CONFIDENCE)
    source = say("Where it is printed.")


class CautionEntryShape(Shape):
    """A caution code of the catalogue."""

    code = say("Permanent code.")
    severity = word(SEVERITY)
    text = say("Fixed words.")
    action = say("What to do.")
    trigger = say("When it speaks.")
    replaces = texts("Earlier codes whose facts it says now.")
    standing = flag("Speaks once in every answer.")
    served = flag("False while its trigger belongs to an address not served yet.", of=lambda row: row.code not in WAITING)
    confidence = word(CONFIDENCE)
    source = say("Who said it; null for a rule of this service.", form=text_or_null, null=True)


class ProblemEntryShape(Shape):
    """A problem code of the catalogue."""

    code = say("Code; switch on this.")
    slug = say("Name in addresses.")
    status = whole("HTTP status.")
    title = say("What kind of problem it is.")
    about = say("What to do about it.")


class Limit(NamedTuple):
    """A limit in force."""

    name: str
    value: int
    setting: str | None


class LimitShape(Shape):
    """A limit in force; its name ends in its unit."""

    name = say("Name of the limit.")
    value = whole("The limit.")
    setting = say("Environment variable that sets it; null where it is fixed.", null=True)


def edition_entry(edition: Edition, book: Book, alone: bool) -> EditionEntry:
    """Return an edition as the catalogue shows it; with its sources when it is shown alone."""
    keys = sorted({s for rows in edition.rows.values() for r in rows for o in r.options for s in o.sources})
    return EditionEntry(edition, tuple(book.sources[k] for k in keys) if alone else None)


def held_in(connection_id: str, book: Book) -> tuple[str, ...]:
    """Return the editions that hold a joint."""
    return tuple(e for e in book.editions if _rows(connection_id, e, book))


def connection_entry(connection_id: str, editions: tuple[str, ...] | None, book: Book, found: Found | None = None) -> ConnectionEntry:
    """Return a joint as the catalogue shows it, with its rows in some editions; `found` where it was looked for."""
    rows = None if editions is None else tuple(r for e in editions for r in _rows(connection_id, e, book))
    return ConnectionEntry(book.connections[connection_id], held_in(connection_id, book), rows, found)


def _rows(connection_id: str, edition_id: str, book: Book) -> tuple[HeldRow, ...]:
    edition, common = book.editions[edition_id], book.common_practice
    if book.connections[connection_id].wind_panel:
        return tuple(HeldRow(edition_id, w) for w in edition.wind_panels)
    held = edition.rows.get(connection_id) or ((common[connection_id],) if connection_id in common else ())
    return tuple(HeldRow(edition_id, r) for r in held)
