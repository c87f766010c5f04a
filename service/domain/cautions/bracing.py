"""Decides which cautions speak beside a braced wall line."""

from service.domain.building.bracing import BracingCheck, Required
from service.domain.cautions.caution import Spoken, Triggers, of_result, of_stop
from service.domain.cautions.site import site_assumption, wind_doubt
from service.tables.book import Book

on_bracing: Triggers[[BracingCheck, Book]] = Triggers()
POINTS = {
    "end_condition_unknown": ("/result/verdict",),
    "continuous_sheathing_incomplete": ("/result/verdict",),
    "unverified_value": ("/result/factors",),
}
NULLS = tuple(f"/result/{name}_ft" for name in ("required_wind", "required_seismic", "required", "provided", "shortfall"))


def line_cautions(check: BracingCheck, book: Book) -> tuple[Spoken, ...]:
    """Return the cautions of a line, standing notes included."""
    return of_result((*of_stop(check.stop, NULLS), *on_bracing.speak(check, book)), POINTS, book)


@on_bracing("site_assumed")
def _site(check: BracingCheck, book: Book) -> str | None:
    return site_assumption(check.line.site)


@on_bracing("wind_basis_doubtful")
def _basis(check: BracingCheck, book: Book) -> str | None:
    return wind_doubt(check.line.site, book.rules)


@on_bracing("end_condition_unknown")
def _ends(check: BracingCheck, book: Book) -> str | None:
    unknown = check.method is not None and check.method.continuous and check.line.end_condition == "unknown"
    return f"method {check.line.method_id} is continuous, end_condition is unknown" if unknown else None


@on_bracing("continuous_sheathing_incomplete")
def _complete(check: BracingCheck, book: Book) -> str | None:
    incomplete = check.method is not None and check.method.continuous and not check.line.sheathing_complete
    return f"method {check.line.method_id} is continuous, continuous_sheathing_complete is false or not given" if incomplete else None


@on_bracing("unverified_value")
def _memory(check: BracingCheck, book: Book) -> str | None:
    named = [
        f.name
        for load in (check.wind, check.seismic)
        if isinstance(load, Required)
        for f in load.factors
        if f.provenance.confidence == "memory"
    ]
    return f"factors held from memory: {', '.join(dict.fromkeys(named))}" if named else None
