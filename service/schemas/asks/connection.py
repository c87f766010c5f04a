"""What may be said of the nail in the picture of a joint, and the question about it."""

from dataclasses import replace
from typing import Any, ClassVar

from service.domain.joint.requirement import judge
from service.domain.nails.nail import by_id, of_size
from service.errors import FasteningError, Fault
from service.schemas.asks.common import USUAL_EDITION, NailSchema
from service.schemas.asks.joint import JointAsk, read_joint
from service.schemas.asks.substitution import USUAL_PANEL
from service.schemas.fields import Choice, Strict
from service.schemas.loading import load
from service.tables.book import Book
from service.ticks import inches

NAIL = NailSchema().fields


class ConnectionShownSchema(Strict):
    """One joint: its units, and the nail of its picture."""

    example: ClassVar[Any] = {"nail_designation": "3 x 0.131"}
    nail_id = NAIL["nail_id"]
    nail_designation = NAIL["nail_designation"]
    units = Choice(("us", "metric"), "metric adds millimetre, metre, kilogram and m/s twins beside the US fields.")


CONNECTION_SHOWN = ConnectionShownSchema()


def read_shown(raw: dict[str, Any], connection_id: str, editions: tuple[str, ...], book: Book) -> JointAsk:
    """Return the question about a joint that its picture answers: with the first nail its row lists where none was named.

    Parameters
    ----------
    editions : tuple of str
        Those that hold the joint: the usual one is asked, the latest of them where it does not.

    Raises
    ------
    FasteningError
        The nail cannot be read, or is left out where the row lists none.
    """
    got = {k: v for k, v in load(CONNECTION_SHOWN, raw).items() if k != "units"}
    edition = USUAL_EDITION if USUAL_EDITION in editions or not editions else editions[-1]
    asked: dict[str, Any] = {"connection_id": connection_id, "code_edition": edition}
    if book.connections[connection_id].panel:
        asked["panel_thickness_in"] = inches(USUAL_PANEL)
    if got:
        return read_joint({**asked, **got}, book)
    ask = read_joint({**asked, "nail_id": next(iter(book.nails))}, book)
    first = judge(ask.question, book).first_listed
    if first is None:
        raise FasteningError(Fault("missing_field", "the row of this joint lists no nail that applies: name one", ("nail_designation",)))
    option = first.option
    nail = by_id(option.nail_id, book) if option.nail_id else of_size("smooth", option.length or 0, option.diameter or 0)
    return replace(ask, question=replace(ask.question, nail=nail))
