"""Where the prescriptive rules stop: wind, seismic category, snow, stories, stud size and height."""

from dataclasses import replace

from service.domain.joint.stop import Stop, past
from service.domain.site import Site
from service.said import say_length, say_speed
from service.tables.editions import Edition
from service.tables.rules import Rules
from service.tables.site import ScopeRow

HAIR = 1e-9


def site_limits_passed(site: Site, edition: Edition, rules: Rules) -> list[Stop]:
    """Say each limit of the edition that the site is past, with limit and excess."""
    found = ((row, _passed(row, site, edition, rules)) for row in edition.scope)
    return [past(row.kind, said, edition.code, edition.year, row.section, None, row.confidence) for row, said in found if said]


def hurricanes_decide(site: Site, edition: Edition, rules: Rules) -> bool:
    """Whether the site is past a limit if it lies in a hurricane-prone region, and inside if not."""
    inside, prone = (site_limits_passed(replace(site, hurricane_prone=h), edition, rules) for h in (False, True))
    return len(prone) > len(inside)


def _passed(row: ScopeRow, site: Site, edition: Edition, rules: Rules) -> str:
    if row.exposure and row.exposure != site.exposure:
        return ""
    if row.hurricane_prone is not None and row.hurricane_prone != site.hurricane_prone:
        return ""
    match row.kind:
        case "seismic":
            category = site.seismic_design_category
            outside = f"seismic design category {category} is outside the prescriptive rules of {_where(row, edition)}"
            return outside if category in row.categories else ""
        case "hill":
            said = "the site is on the upper half of an isolated hill, ridge or escarpment, where wind speeds up beyond the rules of"
            return f"{said} {_where(row, edition)}" if site.upper_half_of_hill else ""
        case "stories":
            return _too_tall(row, site, edition)
        case "wind":
            return _too_windy(row, site, edition, rules)
    return _too_snowy(row, site, edition)


def _where(row: ScopeRow, edition: Edition) -> str:
    return f"{edition.code} {edition.year} {row.section}"


def _too_tall(row: ScopeRow, site: Site, edition: Edition) -> str:
    category, stories = site.seismic_design_category, site.story_count
    if row.categories and category not in row.categories or stories <= row.limit:
        return ""
    where = f"{_where(row, edition)} in seismic design category {category}" if row.categories else _where(row, edition)
    return f"{stories} stories are past the limit of {row.limit:g} in {where}, by {stories - row.limit:g}"


def _too_windy(row: ScopeRow, site: Site, edition: Edition, rules: Rules) -> str:
    edge, past_by = _past(row, site.wind_mph(row.basis, rules))
    excess = f", by {say_speed(past_by)}" if past_by else ""
    most = f"{say_speed(f'{row.limit:g}')} {row.basis}"
    said = f"wind {site.say_wind(rules)}, exposure {site.exposure}, {edge} the limit of {most} in {_where(row, edition)}{excess}"
    return said if edge else ""


def _too_snowy(row: ScopeRow, site: Site, edition: Edition) -> str:
    snow = site.ground_snow_load_psf
    edge, past_by = _past(row, snow) if snow is not None else ("", "")
    excess = f", by {past_by} psf" if past_by else ""
    return f"ground snow load {snow:g} psf {edge} the limit of {row.limit:g} psf in {_where(row, edition)}{excess}" if edge else ""


def _past(row: ScopeRow, value: float) -> tuple[str, str]:
    """Say whether a value reaches or is past a limit, and by how much; both empty where it is inside."""
    over = value > row.limit + HAIR
    if over:
        return "is past", f"{value - row.limit:.4g}"
    return ("reaches", "") if row.rule == "from" and value >= row.limit - HAIR else ("", "")


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
        over = say_length(height - tallest)
        out.append(("stud_height", f"stud height {say_length(height)} is past the {say_length(tallest)} of {where} for {stud}, by {over}"))
    if widest is None:
        out.append(("stud_spacing", f"{where} permits no {stud} stud under {supports}"))
    elif spacing > widest:
        over = say_length(spacing - widest)
        said = f"stud spacing {say_length(spacing)} is past the {say_length(widest)} of {where} for {stud} under {supports}, by {over}"
        out.append(("stud_spacing", said))
    cited = (row.code or edition.code, row.year or edition.year, row.section, row.table, row.confidence)
    return [past(kind, said, *cited) for kind, said in out]
