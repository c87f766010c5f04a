"""What is assumed or not known of the site, in words, for joints and for walls."""

from service.domain.site import SITE_FIELDS, Site
from service.tables.rules import Rules


def site_assumption(site: Site, by_building: bool = True) -> str | None:
    """Say which site values were assumed, if any.

    Parameters
    ----------
    by_building : bool
        Whether the answer differs between detached houses and townhouses.
    """
    missing = [f for f in SITE_FIELDS if f in site.assumed and (by_building or f != "building_type")]
    return "assumed: " + ", ".join(f"{f} {_say(getattr(site, f))}" for f in missing) if missing else None


def _say(value: str | float) -> str:
    return str(value).lower() if isinstance(value, bool) else value if isinstance(value, str) else f"{value:g}"


def seismic_doubt(site: Site, rules: Rules) -> str | None:
    """Say by which category bracing answers to earthquakes, if it does."""
    return f"seismic_design_category {site.seismic_design_category}, {site.building_type}" if site.seismic_bracing(rules) else None


def wind_doubt(site: Site, rules: Rules) -> str | None:
    """Say why a wind speed looks like one of the other basis, if it does."""
    speed, basis = site.wind_speed_mph, site.wind_speed_basis
    if basis == "ultimate" and speed < rules.doubtful_ultimate_under or basis == "allowable" and speed > rules.doubtful_allowable_over:
        return f"wind_speed_mph {speed:g} with wind_speed_basis {basis}"
    return None


def drilling_doubt(anchor_type: str | None, slab_type: str | None) -> str | None:
    """Say why anchors in concrete may be drilled into what must not be hit; None where they are cast in, or the slab is plain."""
    if slab_type == "plain" or anchor_type == "cast_in":
        return None
    return f"the plate stands on concrete, anchor_type is {anchor_type or 'not given'}, slab_type is {slab_type or 'not given'}"
