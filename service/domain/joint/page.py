"""A schedule of joints as a page prints it: in its order, each joint once, without those that the edition does not have."""

from collections.abc import Iterator
from dataclasses import replace

from service.domain.joint.requirement import Question, Requirement
from service.said import say_fraction, say_length
from service.tables.book import Book
from service.tables.editions import Edition
from service.tables.joints import ConnectionRow

OF_ROWS = "schedule"
"""The kind of limit that is passed where no row is of the thickness that was sent."""
FROM_ROW = ("prescriptive", "exceeds_listed")
"""Outcomes whose number stands in the row, whatever face takes the nails."""


def on_page(requirement: Requirement) -> bool:
    """Whether a joint stands in the edition: what it lists, and what is judged or not held without a list."""
    return requirement.outcome != "not_applicable" or bool(requirement.listed)


def of_other_panel(requirement: Requirement) -> bool:
    """Whether a line is of a panel that is not meant: fiberboard, gypsum, siding and the like, with no row of the thickness that was sent.

    The lines of wood panels stay and stop, so that a thickness that fits nothing is told.
    """
    joint, stop = requirement.connection, requirement.stop
    wood = joint.wind_panel or joint.by_use
    return joint.panel and not wood and stop is not None and OF_ROWS in stop.beyond


def place_on_page(edition: Edition, book: Book) -> dict[str, int]:
    """Return the place of each joint: rows as printed, then wall panels against wind, then what no row of the edition knows."""
    return {name: i for i, name in enumerate(dict.fromkeys((*edition.rows, *book.connections)))}


def by_bracing(connection: ConnectionRow, edition: Edition) -> bool:
    """Whether a joint is judged otherwise at a braced wall panel: panels are, and joints whose rows differ by it."""
    return connection.panel or any(row.braced is not None for row in edition.rows.get(connection.connection_id, ()))


def printed_alike(requirement: Requirement, edition: Edition) -> Question:
    """Return what a line of the page says of a joint: equal for joints that it prints as one, such as those of several walls."""
    question = requirement.question
    if not by_bracing(requirement.connection, edition):
        question = replace(question, selectors=replace(question.selectors, braced=False))
    return replace(question, face=0) if requirement.outcome in FROM_ROW else question


def judged_for(requirement: Requirement) -> Iterator[str]:
    """Say what a joint was judged for beside its nail: what sets lines of one joint apart, and what its working starts from."""
    question, joint = requirement.question, requirement.connection
    ask = question.selectors
    if requirement.outcome not in FROM_ROW:
        yield f"{joint.method.replace('_', ' ')} into a face of {say_fraction(question.face)}"
    if ask.panel_thickness:
        yield f"panel {say_length(ask.panel_thickness)}"
    if joint.wind_panel and ask.span_rating:
        yield f"span rating {ask.span_rating}"
    if ask.stud_spacing:
        yield f"framing at {say_fraction(ask.stud_spacing)}"
    if joint.by_use:
        yield ask.use
    if ask.material_between:
        yield f"{say_length(ask.material_between)} between the pieces"
