"""Decides which cautions speak beside a roof tie and beside anchored plates."""

from service.domain.building.anchorage import Anchorage
from service.domain.building.load_path import LoadPath
from service.domain.building.pull import NotKnown
from service.domain.building.uplift import CONNECTOR, Uplift
from service.domain.cautions.caution import Caution, Triggers, of_stop
from service.domain.cautions.site import drilling_doubt, site_assumption, wind_doubt
from service.domain.joint.scope import site_limits_passed
from service.domain.joint.stop import Stop
from service.domain.wall.plan import Plan
from service.said import say_length
from service.tables.book import Book

on_uplift: Triggers[[Uplift, Book]] = Triggers()
on_anchorage: Triggers[[Anchorage, Book]] = Triggers()
on_path: Triggers[[LoadPath, Plan, Book]] = Triggers()
SHORT_PIECE = "short_plate_piece"


def uplift_cautions(found: Uplift, book: Book) -> list[Caution]:
    """Return the cautions of one uplift, standing notes left out."""
    return of_stop(found.stop) + on_uplift.speak(found, book)


def anchorage_cautions(found: Anchorage, book: Book) -> list[Caution]:
    """Return the cautions of anchored plates, standing notes and the stops of single pieces left out."""
    return on_anchorage.speak(found, book)


@on_uplift("site_assumed")
def _site_assumed(found: Uplift, book: Book) -> str | None:
    return site_assumption(found.site, by_building=False) if found.outcome != "no_data" else None


@on_uplift("wind_basis_doubtful")
def _wind_basis(found: Uplift, book: Book) -> str | None:
    return wind_doubt(found.site, book.rules)


@on_uplift("unverified_value")
def _unverified(found: Uplift, book: Book) -> str | None:
    note = found.provenance.note
    return f"read as this service reads it from memory: {note}" if found.stop is None and found.provenance.confidence == "memory" else None


@on_uplift("uplift_connector_needed")
def _connector(found: Uplift, book: Book) -> str | Stop | None:
    return None if found.stop else pulled(found)


@on_anchorage("site_assumed")
def _site_assumed_of_plates(found: Anchorage, book: Book) -> str | None:
    return site_assumption(found.asked.site) if found.rules else None


@on_anchorage("wind_basis_doubtful")
def _wind_basis_of_plates(found: Anchorage, book: Book) -> str | None:
    return wind_doubt(found.asked.site, book.rules)


@on_anchorage("drilling_concrete")
def _drilling(found: Anchorage, book: Book) -> str | None:
    return drilling_doubt(found.asked.anchor_type, found.asked.slab_type)


@on_anchorage(SHORT_PIECE)
def _short(found: Anchorage, book: Book) -> str | None:
    if found.rules is None:
        return None
    short = [p.length for p in found.pieces if p.stop and p.length < found.rules.least_piece]
    return f"plate pieces of {say_length(*short)}" if short else None


def pulled(found: Uplift, at_tie: bool = True) -> str | Stop | None:
    """Say what pulls harder than nails carry, or what ends the table; None where nails do.

    Parameters
    ----------
    at_tie : bool
        Whether the tie of the roof itself is asked, not only the wall below it.
    """
    if found.stop:
        return found.stop
    said = [] if found.nails_alone or not at_tie else [f"uplift at each tie is {found.tie_lb} lb"]
    said += [f"net uplift is {found.net_plf} lb/ft at braced wall panels"] if found.braced_panels == CONNECTOR else []
    return "; ".join(said) or None


def past_uplift(path: LoadPath, plan: Plan, book: Book) -> Stop | None:
    """Return the stop of an uplift past its table; a site past all rules is left to the stops of the joints."""
    pull = path.pull
    past_all = isinstance(pull, Uplift) and site_limits_passed(plan.order.setting.site, plan.edition, book.rules)
    return pull.stop if isinstance(pull, Uplift) and not past_all else None


@on_path("uplift_unknown")
def _not_known(path: LoadPath, plan: Plan, book: Book) -> str | None:
    supports = plan.order.wall.supports
    return f"supports is {supports}; {path.pull.because}" if isinstance(path.pull, NotKnown) else None


@on_path("uplift_connector_needed")
def _lifted(path: LoadPath, plan: Plan, book: Book) -> str | Stop | None:
    """Leave what is past a table to its stop."""
    if not isinstance(path.pull, Uplift) or path.pull.stop:
        return None
    return pulled(path.pull, at_tie=path.links[0].name == "roof_tie")
