"""What else a joint may be, where a field that chooses its row was not sent: an inspector is answered for all of it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from service.domain.inspection.observed import Observation
from service.domain.joint.requirement import Question
from service.domain.joint.schedule import Selectors
from service.said import say_fraction
from service.tables.book import Book
from service.tables.joints import ConnectionRow
from service.tables.rules import Rules


@dataclass(frozen=True, slots=True)
class Other:
    """The joint with other values of what was not sent, and how to say them."""

    seen: Observation
    said: tuple[str, ...]

    @property
    def fields(self) -> tuple[str, ...]:
        """The fields that have another value."""
        return tuple(words.partition(" ")[0] for words in self.said)


def others(seen: Observation, book: Book) -> tuple[Other, ...]:
    """Return the joint with each severer value of each field that was assumed, and all of these together, fewest changes first."""
    fields: list[list[tuple[dict[str, Any], str]]] = [[({}, ""), *_severer(name, seen.question, book)] for name in seen.assumed]
    found = []
    for picked in product(*fields):
        changed = {k: v for change, _ in picked for k, v in change.items()}
        said = tuple(words for _, words in picked if words)
        selectors = replace(seen.question.selectors, **changed)
        if said and _is_built(selectors, book.connections[seen.question.connection_id], book.rules):
            found.append(Other(replace(seen, question=replace(seen.question, selectors=selectors), assumed=()), said))
    return tuple(sorted(found, key=lambda o: len(o.said)))


def _severer(name: str, question: Question, book: Book) -> Iterator[tuple[dict[str, Any], str]]:
    """Yield what a field may change, in words too; the stud chooses only the room of a calculated number, which is in doubt anyway."""
    if name == "braced_wall_panel":
        yield {"braced": True}, f"{name} true"
    elif name == "use":
        yield from (({"use": use}, f"{name} {use}") for use in ("roof", "floor"))
    elif name in ("material_between_in", "spacer_in"):
        gaps = book.rules.unsent_gaps if question.selectors.material_between == 0 else ()
        yield from (({"material_between": gap}, f"{name} of {say_fraction(gap)}") for gap in gaps)
    elif name == "stud_spacing_in":
        yield from (({"stud_spacing": wide}, f"{name} of {say_fraction(wide)}") for wide in book.rules.unsent_stud_spacings)
    elif name == "span_rating":
        least = min(book.span_ratings, key=lambda rating: book.span_ratings[rating].rank)
        yield {"span_rating": least}, f"{name} {least}"


def _is_built(selectors: Selectors, connection: ConnectionRow, rules: Rules) -> bool:
    """Say whether there is such framing: studs never stand as wide as roof and floor framing may."""
    of_wall = connection.wind_panel or connection.by_use and selectors.use == "wall"
    return not of_wall or selectors.stud_spacing != rules.unsent_stud_spacings[-1]
