"""Judges one joint: how many of this nail, or what spacing, and on what ground."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from service.domain.conditions import USUAL_SPECIES
from service.domain.joint.comparison import Case
from service.domain.joint.counting import effort
from service.domain.joint.schedule import Choice, RowReading, Selectors, read_row
from service.domain.joint.scope import site_limits_passed
from service.domain.joint.sizing import round_down
from service.domain.joint.stop import Provenance, Stop, joined
from service.domain.joint.substitute import Substitute, substitute, too_close
from service.domain.nails.nail import Nail, exceeds, fits, head_holds
from service.domain.site import Site
from service.domain.strength.reference import least_penetration
from service.said import say_length
from service.tables.book import Book
from service.tables.editions import Edition
from service.tables.joints import ConnectionRow
from service.tables.panels import FootnoteRow
from service.tables.rules import Rules
from service.tables.schedule import Nailing, Panel
from service.tables.standard import Nds
from service.ticks import ticks

BRACED_OVER = "over foam or other material a panel counts as bracing only where a row of the bracing tables says so (from memory)"


@dataclass(frozen=True, slots=True)
class Question:
    """One joint and one nail; `wall_past` says which limits the wall around it is past, `face` how wide its studs are."""

    edition_id: str
    connection_id: str
    nail: Nail
    site: Site = Site()
    selectors: Selectors = Selectors()
    species: str = USUAL_SPECIES
    fire_rated: bool = False
    on_concrete: bool = False
    wall_past: tuple[Stop, ...] = ()
    face: int = ticks("3.5")


@dataclass(frozen=True, eq=False)
class Requirement:
    """The judgement: `nailing` is None where there is no number; `stop` says why; `substitute` is the working of a calculated one."""

    question: Question
    connection: ConnectionRow
    outcome: str
    nailing: Nailing | None
    provenance: Provenance
    listed: tuple[Choice, ...]
    governing: Choice | None = None
    stop: Stop | None = None
    zone: FootnoteRow | None = None
    substitute: Substitute | None = None

    @cached_property
    def counted_as(self) -> Nailing | None:
        """How the joint is counted: by its number, else by the row's first option."""
        return self.nailing or (self.listed[0].nailing if self.listed else None)

    @property
    def no_number_because(self) -> str:
        """Why there is no number, in words."""
        return self.stop.because if self.stop else self.provenance.note or self.outcome

    @property
    def braced_over(self) -> int:
        """How much foam or other material lies behind a panel that braces; ticks."""
        ask = self.question.selectors
        return ask.material_between if ask.braced and self.connection.panel else 0

    @cached_property
    def first_listed(self) -> Choice | None:
        """The first nail the row prints that applies here."""
        return next((c for c in self.listed if c.option.fastener == "nail" and not c.refused_because), None)


@dataclass(frozen=True, slots=True)
class _Asked:
    question: Question
    book: Book
    connection: ConnectionRow
    edition: Edition
    reading: RowReading

    @property
    def nds(self) -> Nds:
        """The design standard behind calculated numbers of the edition."""
        return self.book.standard_of(self.edition.edition_id)


Step = Callable[[_Asked], Requirement | None]


@lru_cache(maxsize=512)
def judge(question: Question, book: Book) -> Requirement:
    """Return the first outcome that applies, in the fixed order of `STEPS`.

    Pure: the same question to the same book always gives the same answer, so answers are kept. A house of 40 walls asks
    some hundreds of different questions; the bound holds several houses and keeps the process small.
    """
    edition = book.editions[question.edition_id]
    gravity = book.species[question.species].specific_gravity
    connection = book.connections[question.connection_id]
    reading = read_row(connection, question.selectors, question.site, gravity, edition, book)
    case = _Asked(question, book, connection, edition, reading)
    for step in STEPS:
        answer = step(case)
        if answer:
            return answer
    return _no_route(case)


def _not_held(case: _Asked) -> Requirement | None:
    if case.reading.choices or case.reading.past:
        return None
    if case.reading.row is None and case.edition.complete:
        note = f"{case.edition.code} {case.edition.year} has no row for this joint"
        return _answer(case, "not_applicable", provenance=_where(case, None, note))
    note = case.reading.row.note if case.reading.row else f"only part of {case.edition.code} {case.edition.year} is held here"
    return _answer(case, "no_data", provenance=_where(case, None, note), stop=Stop("value_not_held", note))


def _anchored(case: _Asked) -> Requirement | None:
    """Say that a plate on concrete is bolted, not nailed to floor framing."""
    if not (case.question.on_concrete and case.connection.on_concrete):
        return None
    note = "a plate on concrete is held by anchor bolts, which are not counted here; no nails go into the slab"
    return _answer(case, "not_applicable", provenance=_where(case, None, note))


def _out_of_scope(case: _Asked) -> Requirement | None:
    """Refuse what is past a limit of the prescriptive rules; the limit is cited, not the row."""
    if case.question.fire_rated:
        return _answer(case, "engineering_required", stop=Stop("fire_rated_assembly", "fire_rated is true"))
    past = (*site_limits_passed(case.question.site, case.edition, case.book.rules), *case.question.wall_past, *case.reading.past)
    if not past:
        return None
    stop = joined(past)
    return _answer(case, "engineering_required", provenance=stop.cited, stop=stop)


def _too_shallow(case: _Asked) -> Requirement | None:
    """Refuse a nail that what lies between keeps out of the wood, or that misses the least penetration of every row it satisfies."""
    kept_out = _kept_out(case)
    if kept_out:
        return _answer(case, "engineering_required", stop=Stop("penetration_short", kept_out))
    reach = panel_penetration(case.question, case.connection)
    if reach is None:
        return None
    open_rows = [c for c in case.reading.choices if not c.refused_because]
    own = [c for c in open_rows if fits(case.question.nail, c.option) or exceeds(case.question.nail, c.option, case.connection.panel)]
    wanted = [c.option.min_penetration for c in own or open_rows if c.option.min_penetration]
    if not wanted or reach >= min(wanted):
        return None
    return _answer(
        case,
        "engineering_required",
        stop=Stop(
            "penetration_short",
            f"penetration {say_length(reach)} is under the {say_length(min(wanted))} of the row by {say_length(min(wanted) - reach)} (nail {say_length(case.question.nail.length)}, panel {say_length(case.question.selectors.panel_thickness or 0)}, between {say_length(case.question.selectors.material_between)})",
        ),
    )


def _kept_out(case: _Asked) -> str | None:
    """Say how a spacer or foam leaves even a listed nail too little wood: under 6 diameters, or 1-1/4 in between header plies."""
    question, connection = case.question, case.connection
    between, nail = question.selectors.material_between, question.nail
    if not between or connection.wind_panel:
        return None
    through = question.selectors.panel_thickness if connection.panel else connection.side_thickness
    deep = nail.length - (through or 0) - between
    diameters = least_penetration(nail, case.nds)
    least = round(diameters if connection.panel else max(diameters, case.book.rules.least_framing_penetration))
    if deep >= least:
        return None
    return f"{nail.label} gets {say_length(max(deep, 0))} into the wood behind {say_length(between)} of spacer or foam; {say_length(least)} is the least"


def _listed(case: _Asked) -> Requirement | None:
    return _stand_for(case, "prescriptive", lambda c: fits(case.question.nail, c.option))


def _exceeding(case: _Asked) -> Requirement | None:
    return _stand_for(case, "exceeds_listed", lambda c: exceeds(case.question.nail, c.option, case.connection.panel))


def _calculated(case: _Asked) -> Requirement | None:
    """Compare by strength with the row's nails; without a row to compare with there is no route."""
    question, book = case.question, case.book
    if case.connection.judged_by == "common_practice":
        return None
    found = substitute(
        Case(
            question.nail,
            case.connection,
            case.reading.choices,
            question.selectors,
            question.site,
            book.species[question.species],
            question.face,
            book,
            case.nds,
        )
    )
    if isinstance(found, Stop):
        return _refuse(case, found)
    refused = _no_room_at_roof_edges(case, found)
    if refused:
        return _refuse(case, refused)
    note = f"by strength (NDS {found.nds.year}, 12.3.1) against the nails of this row; not a number of the table"
    where = replace(_where(case, found.against.choice), note=note, confidence=found.confidence, modified=True)
    return _answer(case, "calculated", nailing=found.nailing, provenance=where, governing=found.against.choice, working=found)


def _refuse(case: _Asked, refusal: Stop) -> Requirement:
    where = replace(_where(case, None), note="the row compared with; the refusal is a rule of this service, not of the table")
    return _answer(case, "engineering_required", provenance=where, stop=refusal)


def _no_room_at_roof_edges(case: _Asked, found: Substitute) -> Stop | None:
    """Refuse what would stand too close where wind asks for more; it is not compared again, since more wind never spreads nails."""
    zone, rules = _roof_zone(case), case.book.rules
    close = zone and zone_spacing(zone, case.question.site, found.nailing, rules, found)
    crowded = too_close(close, rules.least_calculated_spacing) if close else ""
    said = f"{case.question.nail.label} is not listed, and at the roof's edges {crowded}"
    return Stop("engineering_required_joint", said) if crowded else None


STEPS: tuple[Step, ...] = (_not_held, _anchored, _out_of_scope, _too_shallow, _listed, _exceeding, _calculated)
"""Outcomes in their order."""


def _stand_for(case: _Asked, outcome: str, matches: Callable[[Choice], bool]) -> Requirement | None:
    reach = panel_penetration(case.question, case.connection)
    usable = [
        c
        for c in case.reading.choices
        if not c.refused_because
        and matches(c)
        and head_holds(case.question.nail, c.option, case.connection.panel)
        and (c.option.min_penetration is None or reach is None or reach >= c.option.min_penetration)
    ]
    if not usable:
        return None
    best = min(usable, key=lambda c: effort(c.nailing))
    return _answer(case, outcome, nailing=best.nailing, provenance=_where(case, best), governing=best)


def panel_penetration(question: Question, connection: ConnectionRow) -> int | None:
    """Return how far a wall panel nail reaches into the stud, in ticks; None for other joints."""
    if not connection.wind_panel or question.selectors.panel_thickness is None:
        return None
    return question.nail.length - question.selectors.panel_thickness - question.selectors.material_between


def _no_route(case: _Asked) -> Requirement:
    return _answer(
        case,
        "engineering_required",
        stop=Stop(
            "engineering_required_joint",
            f"{case.question.nail.label} is neither listed for this joint nor at least as long and as thick as a listed nail",
        ),
    )


def _answer(
    case: _Asked,
    outcome: str,
    *,
    nailing: Nailing | None = None,
    provenance: Provenance | None = None,
    governing: Choice | None = None,
    stop: Stop | None = None,
    working: Substitute | None = None,
) -> Requirement:
    answer = Requirement(
        question=case.question,
        connection=case.connection,
        outcome=outcome,
        nailing=nailing,
        provenance=provenance or _where(case, None),
        listed=case.reading.choices,
        governing=governing,
        stop=stop,
        zone=_roof_zone(case) if governing else None,
        substitute=working,
    )
    if nailing is None or not answer.braced_over:
        return answer
    note = "; ".join(filter(None, (answer.provenance.note, BRACED_OVER)))
    return replace(answer, provenance=replace(answer.provenance, note=note))


def _roof_zone(case: _Asked) -> FootnoteRow | None:
    if not case.connection.panel or case.question.selectors.use != "roof":
        return None
    return case.edition.footnote("roof_zone")


def zone_spacing(zone: FootnoteRow, site: Site, nailing: Nailing, rules: Rules, calculated: Substitute | None = None) -> int | None:
    """Return the spacing at roof edges and gable ends for this wind, in ticks; never over the edge spacing, closer for a weaker nail."""
    over = site.wind_mph("ultimate", rules) > zone.over_mph[site.exposure] + 1e-9
    spacing = zone.inside_spacing if over else zone.else_spacing
    if spacing is None or not isinstance(nailing, Panel):
        return spacing
    scaled = round_down(spacing * min(calculated.against.ratio, 1), rules.calculated_step) if calculated else spacing
    return min(scaled, nailing.edge)


def _where(case: _Asked, choice: Choice | None, note: str = "") -> Provenance:
    row = case.reading.row
    shown = choice or next(iter(case.reading.choices), None)
    if shown is None and row is None:
        return Provenance(case.edition.code, case.edition.year, "", None, None, note or None, "derived")
    section = shown.section if shown else (row.section if row else "")
    table = shown.table if shown else (row.table if row else "")
    item = shown.item if shown else (row.item if row else "")
    confidence = shown.option.confidence if shown else (row.confidence if row else "derived")
    said = note or (shown.option.note if choice and shown else "")
    modified = False
    if choice and choice.nailing != choice.option.nailing:
        said, modified = "; ".join(filter(None, (said, "spacing closed up by a footnote of the table"))), True
    if confidence == "common_practice":
        return Provenance("none", "", "", None, None, said or None, confidence)
    return Provenance(case.edition.code, case.edition.year, section, table or None, item or None, said or None, confidence, modified)
