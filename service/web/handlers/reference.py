"""Reference data: editions, connections, nails, species, cautions, problems, limits."""

from collections import Counter
from typing import Any

from service.domain.cautions.caution import WAITING, Caution
from service.domain.nails.nail import Nail, by_id, from_row
from service.domain.nails.words import candidates
from service.errors import FasteningError
from service.schemas.answers import parts, reference_shapes, shapes
from service.schemas.fields import Choice, Strict, Text, load, near
from service.settings import Settings
from service.tables.book import open_book
from service.tables.editions import Edition
from service.tables.schedule import ScheduleRow
from service.tables.wood import SpeciesRow
from service.web.edge import DEEPEST, LONGEST_QUERY, settings
from service.web.problems import PROBLEMS, Problem, UnknownIdError
from service.web.registry import REFERENCE, op

CONFIDENCE_NOTE = (
    "verified: read in stored public copies of adopted codes, most of them through one online code library, so one reading, not two; "
    "single_source: read once; memory: typed from memory; derived: carried over or computed; common_practice: trade custom. The printed, adopted code has the last word."
)


class ConnectionQuery(Strict):
    """How to filter the connections."""

    code_edition = Choice(open_book().editions, "Only connections of this edition, with its rows.")
    group = Choice(("roof", "wall", "floor", "sheathing"), "Only this group.")
    q = Text("Words to look for in id and description.", r"\S", 64)


class NailQuery(Strict):
    """How to look up nails."""

    designation = Text("Free text; every nail it could mean is listed.", r"\S", 256)


def _list(items: list[dict[str, Any]], found: list[Caution] | None = None) -> dict[str, Any]:
    return parts.envelope(items, parts.caution_block(found or [], open_book()), key="items")


def _one(item: dict[str, Any]) -> dict[str, Any]:
    return parts.envelope(item, [])


def _find(kind: str, table: dict[str, Any], name: str) -> Any:
    if name not in table:
        raise UnknownIdError(kind, name, near(name, table))
    return table[name]


@op(
    "GET",
    "/v1/code-editions",
    "listCodeEditions",
    "Code editions and how far they are held",
    "reference",
    shapes.catalogue(reference_shapes.CodeEdition, "CodeEditionList"),
    cache=REFERENCE,
)
def code_editions(raw: dict[str, Any]) -> dict[str, Any]:
    """List the editions."""
    return _list([_edition(e) for e in open_book().editions.values()])


@op(
    "GET",
    "/v1/code-editions/{code_edition}",
    "getCodeEdition",
    "One code edition, with the copies it was read in",
    "reference",
    shapes.single(reference_shapes.CodeEdition, "CodeEditionAnswer", asked=False),
    cache=REFERENCE,
    path_about="Id of the edition.",
)
def code_edition(raw: dict[str, Any], code_edition: str) -> dict[str, Any]:
    """Show one edition."""
    book = open_book()
    edition = _find("code edition", book.editions, code_edition)
    keys = sorted({s for rows in edition.rows.values() for r in rows for o in r.options for s in o.sources})
    sources = [
        {"source_id": k, "title": book.sources[k].title, "publisher": book.sources[k].publisher, "seen": book.sources[k].seen} for k in keys
    ]
    return _one({**_edition(edition), "sources": sources})


def _edition(e: Edition) -> dict[str, Any]:
    counts = Counter(o.confidence for rows in e.rows.values() for r in rows for o in r.options)
    return {
        "id": e.edition_id,
        "code": e.code,
        "edition": e.year,
        "title": e.title,
        "jurisdiction": e.jurisdiction,
        "coverage": e.coverage,
        "complete": e.complete,
        "seismic_design_categories": list(e.seismic_design_categories),
        "option_count": sum(counts.values()),
        "option_count_by_confidence": dict(sorted(counts.items())),
        "confidence_note": CONFIDENCE_NOTE,
    }


@op(
    "GET",
    "/v1/connections",
    "listConnections",
    "Joints the service knows",
    "reference",
    shapes.catalogue(reference_shapes.Connection, "ConnectionList"),
    ask=ConnectionQuery(),
    cache=REFERENCE,
)
def connections(raw: dict[str, Any]) -> dict[str, Any]:
    """List the connections."""
    asked = load(ConnectionQuery(), raw)
    book = open_book()
    words = asked.get("q", "").lower().split()
    edition = asked.get("code_edition")
    return _list(
        [
            _connection(c, edition)
            for c, row in book.connections.items()
            if asked.get("group", row.group) == row.group
            and all(w in f"{c} {row.description}".lower() for w in words)
            and (edition is None or edition in _held_in(c))
        ]
    )


@op(
    "GET",
    "/v1/connections/{connection_id}",
    "getConnection",
    "One joint and its rows in every edition",
    "reference",
    shapes.single(reference_shapes.Connection, "ConnectionAnswer", asked=False),
    cache=REFERENCE,
    path_about="Id of the connection.",
)
def connection(raw: dict[str, Any], connection_id: str) -> dict[str, Any]:
    """Show one connection."""
    _find("connection", open_book().connections, connection_id)
    body = _connection(connection_id, None)
    return _one({**body, "rows": [r for e in _held_in(connection_id) for r in _rows(connection_id, e)]})


def _held_in(connection_id: str) -> list[str]:
    book = open_book()
    wind = connection_id == "exterior-wall-panel-to-framing"
    return [e.edition_id for e in book.editions.values() if wind or connection_id in e.rows or connection_id in book.common_practice]


def _connection(connection_id: str, edition: str | None) -> dict[str, Any]:
    row = open_book().connections[connection_id]
    body: dict[str, Any] = {
        "id": connection_id,
        "group": row.group,
        "method": row.method,
        "description": row.description,
        "code_editions": _held_in(connection_id),
    }
    return {**body, "rows": _rows(connection_id, edition)} if edition else body


def _rows(connection_id: str, edition_id: str) -> list[dict[str, Any]]:
    book = open_book()
    edition = book.editions[edition_id]
    if connection_id == "exterior-wall-panel-to-framing":
        return [
            {
                "code_edition": edition_id,
                "row": w.row,
                "section": w.section,
                "table": w.table,
                "min_span_rating": w.min_span_rating,
                "wind_speed_basis": w.wind_basis,
                "max_wind_speed_mph_by_exposure": w.max_wind_mph,
                "nail_id": w.option.nail_id,
                **parts.numbers(w.option.nailing),
                "confidence": w.option.confidence,
            }
            for w in edition.wind_panels
        ]
    held = edition.rows.get(connection_id) or ((book.common_practice[connection_id],) if connection_id in book.common_practice else ())
    return [_row(r, edition_id) for r in held]


def _row(r: ScheduleRow, edition_id: str) -> dict[str, Any]:
    options = [
        {
            "fastener": o.fastener,
            "nail_id": o.nail_id or None,
            "detail": o.detail or None,
            "use": list(o.use),
            **parts.numbers(o.nailing),
            "confidence": o.confidence,
            "sources": list(o.sources),
            "note": o.note or None,
        }
        for o in r.options
    ]
    return {
        "code_edition": edition_id,
        "row": r.row or None,
        "section": r.section or None,
        "table": r.table or None,
        "item": r.item or None,
        "braced_wall_panel": r.braced,
        "note": r.note or None,
        "options": options,
    }


@op(
    "GET",
    "/v1/nails",
    "listNails",
    "Nails of the catalogue, or every nail a designation could mean",
    "reference",
    shapes.catalogue(reference_shapes.NailEntry, "NailList"),
    ask=NailQuery(),
    cache=REFERENCE,
)
def nails(raw: dict[str, Any]) -> dict[str, Any]:
    """List the nails."""
    asked = load(NailQuery(), raw)
    book = open_book()
    if "designation" not in asked:
        return _list([parts.nail_row(r, from_row(r)) for r in book.nails.values()])
    try:
        found = candidates(asked["designation"], book)
    except FasteningError as error:
        raise FasteningError(*(f.under("designation") for f in error.faults)) from None
    items = [parts.nail_row(book.nails[n.nail_id], n) if n.nail_id in book.nails else parts.nail(n) for n in found]
    many = [Caution("ambiguous_designation", f"{asked['designation']!r} fits {len(found)} nails", ("/items",))] if len(found) > 1 else []
    return _list(items, many)


@op(
    "GET",
    "/v1/nails/{nail_id}",
    "getNail",
    "One nail",
    "reference",
    shapes.single(reference_shapes.NailEntry, "NailAnswer", asked=False),
    cache=REFERENCE,
    path_about="Id of a nail, or a size such as smooth-3x0.120.",
)
def nail(raw: dict[str, Any], nail_id: str) -> dict[str, Any]:
    """Show one nail."""
    row = open_book().nails.get(nail_id)
    if row is None:
        return _one({**parts.nail(find_nail(nail_id)), "head_confidence": None, "source": None, "note": "a size, not in the catalogue"})
    return _one(parts.nail_row(row, from_row(row)))


def find_nail(nail_id: str) -> Nail:
    """Return the nail of an id or size in a path; unknown ones are a 404."""
    try:
        return by_id(nail_id, open_book())
    except FasteningError:
        raise UnknownIdError("nail", nail_id, near(nail_id, open_book().nails)) from None


@op(
    "GET",
    "/v1/species",
    "listSpecies",
    "Species groups of framing lumber",
    "reference",
    shapes.catalogue(reference_shapes.Species, "SpeciesList"),
    cache=REFERENCE,
)
def species(raw: dict[str, Any]) -> dict[str, Any]:
    """List the species groups."""
    return _list([_species(s) for s in open_book().species.values()])


def _species(s: SpeciesRow) -> dict[str, Any]:
    return {
        "id": s.species,
        "name": s.name,
        "specific_gravity": s.specific_gravity,
        "dowel_bearing_psi": s.dowel_bearing_psi,
        "confidence": s.confidence,
        "source": s.source,
    }


@op(
    "GET",
    "/v1/cautions",
    "listCautions",
    "Caution codes with their words and triggers",
    "reference",
    shapes.catalogue(reference_shapes.CautionEntry, "CautionList"),
    cache=REFERENCE,
)
def cautions(raw: dict[str, Any]) -> dict[str, Any]:
    """List the caution codes."""
    return _list([_caution(c) for c in open_book().cautions])


@op(
    "GET",
    "/v1/cautions/{code}",
    "getCaution",
    "One caution code",
    "reference",
    shapes.single(reference_shapes.CautionEntry, "CautionAnswer", asked=False),
    cache=REFERENCE,
    path_about="Caution code.",
)
def caution(raw: dict[str, Any], code: str) -> dict[str, Any]:
    """Show one caution code."""
    _find("caution", open_book().cautions, code)
    return _one(_caution(code))


def _caution(code: str) -> dict[str, Any]:
    row = open_book().cautions[code]
    return {
        "code": code,
        "severity": row.severity,
        "text": row.text,
        "action": row.action,
        "trigger": row.trigger,
        "standing": row.standing,
        "served": code not in WAITING,
        "confidence": row.confidence,
        "source": row.source or None,
    }


@op(
    "GET",
    "/v1/problems",
    "listProblems",
    "Problem codes",
    "reference",
    shapes.catalogue(reference_shapes.ProblemEntry, "ProblemList"),
    cache=REFERENCE,
)
def problems(raw: dict[str, Any]) -> dict[str, Any]:
    """List the problem codes."""
    return _list([_problem(p) for p in PROBLEMS.values()])


@op(
    "GET",
    "/v1/problems/{slug}",
    "getProblem",
    "One problem code",
    "reference",
    shapes.single(reference_shapes.ProblemEntry, "ProblemAnswer", asked=False),
    cache=REFERENCE,
    path_about="Code of the problem, in kebab-case.",
)
def problem(raw: dict[str, Any], slug: str) -> dict[str, Any]:
    """Show one problem code."""
    return _one(_problem(_find("problem", {p.slug: p for p in PROBLEMS.values()}, slug)))


def _problem(p: Problem) -> dict[str, Any]:
    return {"code": p.code, "slug": p.slug, "status": p.status, "title": p.title, "about": p.about}


@op(
    "GET",
    "/v1/limits",
    "listLimits",
    "Limits in force",
    "reference",
    shapes.catalogue(reference_shapes.LimitEntry, "LimitList"),
    cache=REFERENCE,
)
def limits(raw: dict[str, Any]) -> dict[str, Any]:
    """List the limits."""
    s: Settings = settings()
    rows = [
        ("max_body_bytes", s.max_body_bytes, "APP_MAX_BODY_BYTES"),
        ("max_items", s.max_items, "APP_MAX_ITEMS"),
        ("max_position_walls", s.max_position_walls, "APP_MAX_POSITION_WALLS"),
        ("max_waiting_requests", s.backlog, "APP_BACKLOG"),
        ("max_json_depth", DEEPEST, None),
        ("max_query_bytes", LONGEST_QUERY, None),
        ("max_text_characters", 256, None),
        ("max_wall_length_in", 1200, None),
        ("max_wall_height_in", 144, None),
    ]
    return _list([{"name": n, "value": v, "setting": setting} for n, v, setting in rows])
