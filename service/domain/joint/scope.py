"""Where the prescriptive rules stop: wind, seismic category, snow, stud size and height."""

from service.domain.joint.stop import Stop, past
from service.domain.site import Site
from service.said import say_length, say_speed
from service.tables.editions import Edition
from service.tables.rules import Rules
from service.tables.site import ScopeRow

HAIR = 1e-9


def site_limits_passed(site: Site, edition: Edition, rules: Rules) -> list[Stop]:
    """Say each limit of the edition that the site is past, with limit and excess."""
    return [
        past(said, edition.code, edition.year, row.section, None, row.confidence)
        for row in edition.scope
        if (said := _passed(row, site, edition, rules))
    ]


def _passed(row: ScopeRow, site: Site, edition: Edition, rules: Rules) -> str | None:
    if row.exposure and row.exposure != site.exposure:
        return None
    if row.hurricane_prone is not None and row.hurricane_prone != site.hurricane_prone:
        return None
    where = f"{edition.code} {edition.year} {row.section}"
    if row.kind == "seismic":
        if site.seismic_design_category in row.categories:
            return f"seismic design category {site.seismic_design_category} is outside the prescriptive rules of {where}"
        return None
    value = site.wind_mph(row.basis, rules) if row.kind == "wind" else site.ground_snow_load_psf
    limit = row.limit
    if value is None or not (value >= limit - HAIR if row.rule == "from" else value > limit + HAIR):
        return None
    edge = "reaches" if row.rule == "from" and value <= limit + HAIR else "is past"
    past_by = f"{value - limit:.4g}" if value > limit + HAIR else ""
    if row.kind == "wind":
        excess = f", by {say_speed(past_by)}" if past_by else ""
        most = f"{say_speed(f'{limit:g}')} {row.basis}"
        return f"wind {site.say_wind(row.basis, rules)}, exposure {site.exposure}, {edge} the limit of {most} in {where}{excess}"
    excess = f", by {past_by} psf" if past_by else ""
    return f"ground snow load {value:g} psf {edge} the limit of {limit:g} psf in {where}{excess}"


def stud_limits_passed(stud: str, spacing: int, height: int, supports: str, edition: Edition) -> list[Stop]:
    """Say each limit of the edition's stud table that the wall is past.

    Parameters
    ----------
    spacing, height : int
        Stud spacing on center and stud height between lateral supports, in ticks.
    """
    row = edition.stud_limits[stud]
    where = f"Table {row.table}"
    bearing = supports != "none"
    tallest = row.bearing_height if bearing else row.nonbearing_height
    widest = row.widest(supports)
    out = []
    if height > tallest:
        out.append(
            f"stud height {say_length(height)} is past the {say_length(tallest)} of {where} for {stud}, by {say_length(height - tallest)}"
        )
    if widest is None:
        out.append(f"{where} permits no {stud} stud under {supports}")
    elif spacing > widest:
        out.append(
            f"stud spacing {say_length(spacing)} is past the {say_length(widest)} of {where} for {stud} under {supports}, by {say_length(spacing - widest)}"
        )
    return [past(said, row.code or edition.code, row.year or edition.year, row.section, row.table, row.confidence) for said in out]
