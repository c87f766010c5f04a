"""Which of the nails that a row lists serve in a joint, and with what number."""

from collections.abc import Iterator
from dataclasses import replace

from service.domain.joint.comparison import printed_nail
from service.domain.joint.ranking import worth
from service.domain.joint.requirement import Requirement, judge
from service.domain.nails.nail import Nail, of_size
from service.tables.book import Book
from service.tables.schedule import OptionRow

PLAIN = ("any", "smooth_or_deformed", "smooth")


def listed_nails(requirement: Requirement, book: Book) -> tuple[Requirement, ...]:
    """Judge each nail that the row lists in the place of the one found, and return those that serve, best first.

    They keep the coating of the nail found. Where none serves, the joint and not its nail is past the tables.
    """
    question = requirement.question
    nails = dict.fromkeys(replace(nail, coating=question.nail.coating) for nail in _printed(requirement, book))
    judged = (judge(replace(question, nail=nail), book) for nail in nails)
    return tuple(sorted((r for r in judged if r.outcome == "prescriptive"), key=worth))


def _printed(requirement: Requirement, book: Book) -> Iterator[Nail]:
    for choice in requirement.listed:
        if not choice.refused_because and choice.option.fastener == "nail":
            yield from _of_option(choice.option, book)


def _of_option(option: OptionRow, book: Book) -> Iterator[Nail]:
    """Yield the nail that an option prints by size; a deformed shank is a ring, and one of any shank is plain."""
    nail = printed_nail(option, book)
    if isinstance(nail, Nail):
        yield nail
    elif option.length and option.diameter:
        shank = "smooth" if option.shank in PLAIN else "ring"
        yield replace(of_size(shank, option.length, option.diameter), head_diameter=option.head_diameter)
