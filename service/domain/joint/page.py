"""A schedule of joints as a page prints it: in its order, each joint once, without those that the edition does not have."""

from dataclasses import replace

from service.domain.joint.requirement import Question, Requirement
from service.tables.book import Book
from service.tables.editions import Edition
from service.tables.joints import ConnectionRow

FROM_ROW = ("prescriptive", "exceeds_listed")
"""Outcomes whose number stands in the row, whatever face takes the nails."""


def on_page(requirement: Requirement) -> bool:
    """Whether a joint stands in the edition: what it lists, and what is judged or not held without a list."""
    return requirement.outcome != "not_applicable" or bool(requirement.listed)


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
