"""Reference data: editions, connections, nails, species, cautions, problems, limits."""

from typing import Any

from service.domain.cautions.caution import Caution, settle
from service.domain.joint.requirement import judge
from service.domain.joint.search import find_joints
from service.domain.nails.designation import read_words
from service.domain.nails.nail import Nail, by_id, from_row
from service.drawing.joint import draw_joint
from service.drawing.svg import write_svg
from service.errors import FasteningError
from service.schemas.answers.envelope import Answered, Entry, Reply
from service.schemas.answers.joint import joint_answer
from service.schemas.answers.parts import CatalogueNail, NailEntryShape
from service.schemas.answers.reference import (
    CautionEntryShape,
    CodeEditionShape,
    ConnectionEntry,
    ConnectionShape,
    LimitShape,
    ProblemEntryShape,
    SpeciesShape,
    connection_entry,
    edition_entry,
    held_in,
)
from service.schemas.asks.common import joint_words, species_words
from service.schemas.asks.connection import CONNECTION_SHOWN, read_shown
from service.schemas.fields import Choice, Strict, Text
from service.schemas.hints import Also, near, nothing_else
from service.schemas.loading import load
from service.tables.book import open_book
from service.web.batches import units_of
from service.web.current import settings
from service.web.limits import in_force
from service.web.problems import PROBLEMS, UnknownIdError
from service.web.registry import listed, shown


class ConnectionQuery(Strict):
    """How to filter the connections."""

    code_edition = Choice(open_book().editions, "Only connections of this edition, with its rows.", at="/v1/code-editions")
    group = Choice(("roof", "wall", "floor", "sheathing"), "Only this group.")
    q = Text("Words of the trade to look for, best first: every word, or else the nearest three.", r"\S", 64)


class NailQuery(Strict):
    """How to look up nails."""

    designation = Text("Free text; every nail it could mean is listed.", r"\S", 256)


def _list(items: Any, found: tuple[Caution, ...] = ()) -> Reply:
    return Reply([], settle(found, open_book()), items=list(items))


def _one(thing: Any) -> Reply:
    return Reply([Entry(None, Answered(thing, ()))], ())


def _find(kind: str, listed_at: str, table: dict[str, Any], name: str, also: Also = nothing_else) -> Any:
    if name not in table:
        raise UnknownIdError(kind, name, listed_at, near(name, table, also))
    return table[name]


@listed("/v1/code-editions", "listCodeEditions", "Code editions and how far they are held", CodeEditionShape)
def code_editions(raw: dict[str, Any]) -> Reply:
    """List the editions."""
    book = open_book()
    return _list(edition_entry(e, book, alone=False) for e in book.editions.values())


@shown(
    "/v1/code-editions/{code_edition}",
    "getCodeEdition",
    "One code edition, with the copies it was read in",
    CodeEditionShape,
    "Id of the edition.",
)
def code_edition(raw: dict[str, Any], code_edition: str) -> Reply:
    """Show one edition."""
    book = open_book()
    return _one(edition_entry(_find("code edition", "/v1/code-editions", book.editions, code_edition), book, alone=True))


@listed("/v1/connections", "listConnections", "Joints the service knows", ConnectionShape, ask=ConnectionQuery())
def connections(raw: dict[str, Any]) -> Reply:
    """List the connections."""
    asked = load(ConnectionQuery(), raw)
    book = open_book()
    edition = asked.get("code_edition")
    editions = (edition,) if edition else None
    rows = [
        row
        for c, row in book.connections.items()
        if asked.get("group", row.group) == row.group and (edition is None or edition in held_in(c, book))
    ]
    if "q" not in asked:
        return _list(connection_entry(row.connection_id, editions, book) for row in rows)
    return _list(connection_entry(f.connection_id, editions, book, f) for f in find_joints(asked["q"], rows, book))


def picture(reply: Reply) -> bytes:
    """Draw a joint with one nail; what stops or warns stands in the picture."""
    entry: ConnectionEntry = reply.entries[0].answered.result  # type: ignore[union-attr]  # one thing that was found
    book, raw = open_book(), reply.asked or {}
    ask = read_shown(raw, entry.row.connection_id, entry.code_editions, book)
    answered = joint_answer(ask, judge(ask.question, book), book)
    return write_svg(draw_joint(answered.result.advised, answered.cautions, book.rules, reply.units == "metric"))


@shown(
    "/v1/connections/{connection_id}",
    "getConnection",
    "One joint and its rows in every edition",
    ConnectionShape,
    "Id of the connection.",
    ask=CONNECTION_SHOWN,
    drawn={"svg": picture},
    description="One joint and its rows in every edition. Its picture shows a nail in it, the first its row lists where none is named: "
    "by irc-2021, or the latest edition that holds the joint; panels at 7/16 in. The JSON is of the joint alone.",
)
def connection(raw: dict[str, Any], connection_id: str) -> Reply:
    """Show one connection."""
    book = open_book()
    _find("connection", "/v1/connections", book.connections, connection_id, joint_words)
    load(CONNECTION_SHOWN, raw)
    entry = connection_entry(connection_id, held_in(connection_id, book), book)
    return Reply([Entry(None, Answered(entry, ()))], (), units=units_of(raw), asked=raw)


@listed("/v1/nails", "listNails", "Nails of the catalogue, or every nail a designation could mean", NailEntryShape, ask=NailQuery())
def nails(raw: dict[str, Any]) -> Reply:
    """List the nails."""
    asked = load(NailQuery(), raw)
    book = open_book()
    if "designation" not in asked:
        return _list(CatalogueNail(from_row(r), r) for r in book.nails.values())
    try:
        read = read_words(asked["designation"], book)
    except FasteningError as error:
        raise FasteningError(*(f.under("designation") for f in error.faults)) from None
    fits = f"{asked['designation']!r} {read.open}; it fits {len(read.nails)} of the catalogue"
    return _list(
        (CatalogueNail(n, book.nails.get(n.nail_id)) for n in read.nails),
        (Caution("ambiguous_designation", fits, ("/items",)),) if read.open else (),
    )


@shown("/v1/nails/{nail_id}", "getNail", "One nail", NailEntryShape, "Id of a nail, or a size such as smooth-3x0.120.")
def nail(raw: dict[str, Any], nail_id: str) -> Reply:
    """Show one nail."""
    return _one(CatalogueNail(find_nail(nail_id), open_book().nails.get(nail_id)))


def find_nail(nail_id: str) -> Nail:
    """Return the nail of an id or size in a path; unknown ones are a 404."""
    try:
        return by_id(nail_id, open_book())
    except FasteningError:
        raise UnknownIdError("nail", nail_id, "/v1/nails", near(nail_id, open_book().nails)) from None


@listed("/v1/species", "listSpecies", "Species groups of framing lumber", SpeciesShape)
def species(raw: dict[str, Any]) -> Reply:
    """List the species groups."""
    return _list(open_book().species.values())


@shown("/v1/species/{species}", "getSpecies", "One species group", SpeciesShape, "Id of the species group.")
def one_species(raw: dict[str, Any], species: str) -> Reply:
    """Show one species group."""
    return _one(_find("species group", "/v1/species", open_book().species, species, species_words))


@listed("/v1/cautions", "listCautions", "Caution codes with their words and triggers", CautionEntryShape)
def cautions(raw: dict[str, Any]) -> Reply:
    """List the caution codes."""
    return _list(open_book().cautions.values())


@shown("/v1/cautions/{code}", "getCaution", "One caution code", CautionEntryShape, "Caution code.")
def caution(raw: dict[str, Any], code: str) -> Reply:
    """Show one caution code; an earlier one is not found, and the hint names the code that says its facts now."""
    held = open_book().cautions
    return _one(_find("caution", "/v1/cautions", held, code, lambda name: tuple(c for c, row in held.items() if name in row.replaces)))


@listed("/v1/problems", "listProblems", "Problem codes", ProblemEntryShape)
def problems(raw: dict[str, Any]) -> Reply:
    """List the problem codes."""
    return _list(PROBLEMS.values())


@shown("/v1/problems/{slug}", "getProblem", "One problem code", ProblemEntryShape, "Code of the problem, in kebab-case.")
def problem(raw: dict[str, Any], slug: str) -> Reply:
    """Show one problem code."""
    return _one(_find("problem", "/v1/problems", {p.slug: p for p in PROBLEMS.values()}, slug))


@listed("/v1/limits", "listLimits", "Limits in force", LimitShape)
def limits(raw: dict[str, Any]) -> Reply:
    """List the limits."""
    return _list(in_force(settings()))
