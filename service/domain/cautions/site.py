"""What is assumed or not known of the site, in words, for joints and for walls."""

from service.domain.conditions import Conditions
from service.domain.site import SITE_FIELDS, Site
from service.said import say_length, say_speed
from service.tables.editions import Edition
from service.tables.rules import Rules

UPLIFT_SITE = ("wind_speed_mph", "exposure")


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


def uplift_unknown(site: Site, given: Conditions, edition: Edition, rules: Rules) -> str | None:
    """Say why the uplift of a roof is not known; None where the code lets it be ignored.

    What is not given is not known: an assumed wind lets nothing be ignored.

    References
    ----------
    IRC R602.3.5: 115 mph ultimate or less in exposure B, a roof of 5 in 12 or steeper that spans 32 ft or less.
    """
    if edition.code != rules.uplift_ignored_by:
        return f"the uplift rules of {edition.code} {edition.year} are not held"
    roof = (("roof_pitch_in_12", given.roof_pitch_in_12), ("roof_span_ft", given.roof_span))
    missing = [f for f in UPLIFT_SITE if f in site.assumed] + [name for name, value in roof if value is None]
    past = [*_windy(site, rules), *_wide_or_flat(given, rules)]
    said = ([f"not given: {', '.join(missing)}"] if missing else []) + past
    return "; ".join(said) or None


def _windy(site: Site, rules: Rules) -> list[str]:
    out = []
    if "wind_speed_mph" not in site.assumed and site.wind_mph("ultimate", rules) > rules.uplift_ignored_to_wind:
        out.append(f"wind {site.say_wind('ultimate', rules)} is over {say_speed(f'{rules.uplift_ignored_to_wind:g}')}")
    if "exposure" not in site.assumed and site.exposure != rules.uplift_ignored_exposure:
        out.append(f"exposure is {site.exposure}")
    return out


def _wide_or_flat(given: Conditions, rules: Rules) -> list[str]:
    out = []
    if given.roof_pitch_in_12 is not None and given.roof_pitch_in_12 < rules.uplift_ignored_from_pitch:
        out.append(f"roof_pitch_in_12 {given.roof_pitch_in_12:g} is under {rules.uplift_ignored_from_pitch:g}")
    if given.roof_span is not None and given.roof_span > rules.uplift_ignored_to_span:
        out.append(f"the roof spans {say_length(given.roof_span)}, over {say_length(rules.uplift_ignored_to_span)}")
    return out
