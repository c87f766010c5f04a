"""How hard the wind lifts a roof off its wall, and whether the nails of the fastening schedule hold it."""

from dataclasses import dataclass, replace
from math import ceil, prod

from service.domain.building.tie_table import Reading, Roof, block_of, columns_up, read_ties, table_of
from service.domain.joint.scope import HAIR, site_limits_passed
from service.domain.joint.stop import Provenance, Stop, joined, past
from service.domain.site import Site
from service.said import say_feet, say_length, say_speed
from service.tables.confidence import weakest
from service.tables.editions import Edition
from service.tables.rules import Rules
from service.tables.ties import RoofTies

OK, CONNECTOR, ENGINEERING, NOT_CHECKED = "ok", "connector_needed", "engineering_required", "not_checked"
PATH_STATUSES = (OK, CONNECTOR, ENGINEERING, NOT_CHECKED)
"""How one link of the path from roof to foundation stands."""
PATH_LABELS = {
    OK: "as the code asks",
    CONNECTOR: "connector needed",
    ENGINEERING: "takes a design",
    NOT_CHECKED: "not checked",
}
"""The same in a few words."""


@dataclass(frozen=True, slots=True)
class AppliedFactor:
    """A factor on the tabulated uplift: its name, its value, the input that makes it apply, where it is printed."""

    name: str
    value: float
    because: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Uplift:
    """The uplift at one tie [lb] and along the wall [lb/ft], whole and rounded up; None where there is no number.

    `net_plf` is what is left below the full walls above; `nails_alone` whether the nails of the schedule do at the roof tie;
    `braced_panels` how the nailing of braced wall panels stands, one of `PATH_STATUSES`; `provide` what must be there, `conditions` what
    the number holds for.
    """

    roof: Roof
    site: Site
    outcome: str
    tie_lb: int | None
    plf: int | None
    net_plf: int | None
    nails_alone: bool
    braced_panels: str
    factors: tuple[AppliedFactor, ...]
    basis: str
    reason: str
    provide: tuple[str, ...]
    conditions: tuple[str, ...]
    provenance: Provenance
    stop: Stop | None = None


def uplift_of(roof: Roof, site: Site, edition: Edition, rules: Rules) -> Uplift:
    """Return the uplift that a roof tie has to carry.

    Returns
    -------
    Uplift
        Allowable stress forces. `no_data` where the edition's table or the block of the exposure is not held,
        `engineering_required` past the table or past the prescriptive rules, each limit named with its excess.

    References
    ----------
    IRC R802.11, Table R802.11 and its notes; R602.3.5 for braced wall panels.
    """
    ties = edition.roof_ties
    missing = _not_held(site, edition)
    if ties is None or missing:
        return _none(roof, site, edition, Stop("value_not_held", missing), "no_data", NOT_CHECKED)
    beyond = _table_passed(roof, site, edition, ties, rules)
    scope = site_limits_passed(site, edition, rules)
    if beyond or scope:
        stop = joined([*scope, *beyond])
        read = _still_read(roof, site, edition, beyond, ties, rules)
        return _none(roof, site, edition, replace(stop, because=stop.because + read), ENGINEERING, ENGINEERING)
    return _found(roof, site, edition, ties, rules)


def _not_held(site: Site, edition: Edition) -> str:
    """Say what is missing of the table; empty where it is held."""
    if edition.roof_ties is None:
        return f"the uplift table of {edition.code} {edition.year} is not held"
    block = block_of(site, edition.roof_ties)
    if block not in edition.roof_ties.blocks:
        return f"the Exposure {block} block of Table {table_of(edition.roof_ties)}, {edition.code} {edition.year}, is not held"
    return ""


def _table_passed(roof: Roof, site: Site, edition: Edition, ties: RoofTies, rules: Rules) -> list[Stop]:
    """Say each limit of the table that roof or wind is past, with limit and excess."""
    r, table = ties.rules, f"Table {table_of(ties)}"
    wind, most = site.wind_mph(r.wind_basis, rules), ties.winds[-1 - columns_up(site, ties)]
    said = []
    if wind > most + HAIR:
        over = say_speed(f"{wind - most:.4g}")
        said.append(
            f"wind {site.say_wind(rules)}, exposure {site.exposure}, is past the {say_speed(f'{most:g}')} {r.wind_basis} of {table}, by {over}"
        )
    for name, length, limit, say in (
        ("roof span", roof.span, ties.spans[-1], say_feet),
        ("tie spacing", roof.tie_spacing, ties.spacings[-1], say_length),
        ("mean roof height", roof.mean_height, r.mean_roof_height_to, say_feet),
        ("roof overhang", roof.overhang, r.overhang_to, say_length),
    ):
        if length is not None and length > limit:
            said.append(f"{name} {say(length)} is past the {say(limit)} of {table}, by {say(length - limit)}")
    where = r.rows["wind_basis"]
    return [past("uplift", one, edition.code, edition.year, where.section, where.table, where.confidence) for one in said]


def _still_read(roof: Roof, site: Site, edition: Edition, beyond: list[Stop], ties: RoofTies, rules: Rules) -> str:
    """Say what the table reads where only the rules, or only the wind, are past their limits; empty where the roof is."""
    most = ties.winds[-1 - columns_up(site, ties)]
    slower = replace(site, wind_speed_mph=most, wind_speed_basis=ties.rules.wind_basis) if beyond else site
    if beyond and _table_passed(roof, slower, edition, ties, rules):
        return ""
    where = f"at its limit of {say_speed(f'{most:g}')} the table" if beyond else "the table itself"
    return f"; {where} reads {_up(read_ties(roof, slower, ties, rules).tie_lb)} lb before any factor"


def _found(roof: Roof, site: Site, edition: Edition, ties: RoofTies, rules: Rules) -> Uplift:
    reading, r = read_ties(roof, site, ties, rules), ties.rules
    factors = _factors(roof, edition, ties)
    share = prod(f.value for f in factors)
    tie, plf = _up(reading.tie_lb * share), _up(reading.plf * share)
    net = max(0, _up(reading.plf * share - r.full_wall_credit * roof.full_walls_above))
    exempt = _exempt(roof, site, ties, rules)
    alone = exempt or (tie <= r.nails_alone_to and roof.tie_spacing <= r.nails_alone_spacing)
    panels = NOT_CHECKED if r.braced_panel_to is None else OK if exempt or net <= r.braced_panel_to else CONNECTOR
    return Uplift(
        roof,
        site,
        "prescriptive",
        tie,
        plf,
        net,
        alone,
        panels,
        factors,
        _basis(reading, factors, tie),
        _reason(roof, tie, plf, alone, exempt, ties),
        _provide(tie, net, alone, panels, ties),
        _conditions(ties),
        _provenance(edition, reading, factors, ties),
    )


def _up(pounds: float) -> int:
    return ceil(pounds - HAIR)


def _exempt(roof: Roof, site: Site, ties: RoofTies, rules: Rules) -> bool:
    """Whether nails will do whatever the table reads: moderate wind in the mildest exposure on a steep roof of moderate span."""
    r = ties.rules
    return (
        site.wind_mph(r.wind_basis, rules) <= r.exempt_wind_to + HAIR
        and site.exposure == r.exempt_exposure
        and roof.pitch_in_12 >= r.exempt_pitch_from
        and roof.span <= r.exempt_span_to
    )


def _factors(roof: Roof, edition: Edition, ties: RoofTies) -> tuple[AppliedFactor, ...]:
    """Return the one factor that applies: of a steep hip roof, else of a tie away from the corners."""
    r = ties.rules
    if roof.hip and roof.pitch_in_12 >= r.hip_pitch_from:
        return (AppliedFactor("hip_roof", r.hip_factor, f"a hip roof of {roof.pitch_in_12:g} in 12", _cited("hip_factor", edition, ties)),)
    if roof.corner_distance is not None and roof.corner_distance > r.away_from_corner_over:
        because = f"the tie stands {say_feet(roof.corner_distance)} from the nearest corner, over {say_feet(r.away_from_corner_over)}"
        cited = _cited("away_from_corner_factor", edition, ties)
        return (AppliedFactor("away_from_corner", r.away_from_corner_factor, because, cited),)
    return ()


def _cited(key: str, edition: Edition, ties: RoofTies) -> Provenance:
    row = ties.rules.rows[key]
    return Provenance(edition.code, edition.year, row.section, row.table or None, None, row.note or None, row.confidence)


def _basis(reading: Reading, factors: tuple[AppliedFactor, ...], tie: int) -> str:
    product = "".join(f" x {f.value:g}" for f in factors)
    return f"{reading.said}{product}, up to {tie} lb" if factors or reading.tie_lb != tie else reading.said


def _reason(roof: Roof, tie: int, plf: int, alone: bool, exempt: bool, ties: RoofTies) -> str:
    r = ties.rules
    pull = f"The wind lifts each rafter or truss by up to {tie} lb ({plf} lb/ft)"
    if not alone:
        return f"{pull}, over the {r.nails_alone_to:g} lb that nails alone may carry: an approved connector is needed."
    if exempt and tie > r.nails_alone_to:
        return f"{pull}; at this wind, exposure, pitch and span the code lets nails alone carry it."
    return f"{pull}, within the {r.nails_alone_to:g} lb that the nails of the fastening schedule may carry alone."


UNHELD = "Read the uplift table of the adopted code."
BEYOND = "A designer, or a standard whose limits cover this roof and site, sizes the tie."
TRUSSES = "Where a truss design drawing states an uplift, that one governs."


def _provide(tie: int, net: int, alone: bool, panels: str, ties: RoofTies) -> tuple[str, ...]:
    if alone:
        said = ["At each rafter or truss: the nails that the fastening schedule lists there, no connector."]
    else:
        said = [
            f"At each rafter or truss: an approved connector listed for at least {tie} lb.",
            f"Below it: connectors, or sheathing designed for it, that carry {net} lb/ft on down to the foundation.",
        ]
    if panels == CONNECTOR:
        said.append(
            f"At braced wall panels: uplift connectors for {net} lb/ft, or sheathing designed for uplift and shear, down to the foundation or to where {ties.rules.braced_panel_to:g} lb/ft or less is left."
        )
    return (*said, TRUSSES)


def _conditions(ties: RoofTies) -> tuple[str, ...]:
    r = ties.rules
    return (
        f"Mean roof height to {say_feet(r.mean_roof_height_to)}, overhangs to {say_length(r.overhang_to)}.",
        f"Roof and ceiling weigh at least the {r.dead_load:g} psf that the table counts on.",
    )


def _provenance(edition: Edition, reading: Reading, factors: tuple[AppliedFactor, ...], ties: RoofTies) -> Provenance:
    read = ties.rules.rows["wind_basis"]
    known = [*(line.confidence for line in reading.lines), *(ties.rules.rows[key].confidence for key in reading.rules_used)]
    notes = [ties.rules.rows[key].note for key in reading.rules_used if ties.rules.rows[key].note]
    notes = ["read between the lines of the table", *notes] if len(reading.lines) > 1 else notes
    return Provenance(
        edition.code,
        edition.year,
        read.section,
        read.table,
        None,
        "; ".join(notes) or None,
        weakest(read.confidence, *known, *(f.provenance.confidence for f in factors)),
        bool(notes or factors),
    )


def _none(roof: Roof, site: Site, edition: Edition, stop: Stop, outcome: str, panels: str) -> Uplift:
    own = Provenance(edition.code, edition.year, "", None, None, stop.because, "derived")
    said = f"No number: {stop.because}."
    cure = UNHELD if outcome == "no_data" else BEYOND
    return Uplift(
        roof, site, outcome, None, None, None, False, panels, (), stop.because, said, (cure, TRUSSES), (), stop.cited or own, stop
    )
