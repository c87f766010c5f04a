"""Nailing schedules of a project."""

from typing import Any

from service.domain.wall.work import most_members
from service.drawing.pdf import write_pdf
from service.drawing.schedule import Project, ScheduleLine, draw_nailing_schedule
from service.schemas.answers.envelope import Answered, Reply
from service.schemas.answers.envelope import single as one_answer
from service.schemas.answers.nailing_schedule import NAILING_SHEET, NailingSchedule, NailingScheduleResult, groups_answer, walls_answer
from service.schemas.asks.nailing_schedule import NAILING_SCHEDULE, WallsAsk, read_nailing_schedule
from service.tables.book import open_book
from service.web.batches import check_work, single
from service.web.current import settings
from service.web.registry import ABOUT_POST, op


def document(reply: Reply) -> bytes:
    """Write the schedule with the working of each calculated line, a page of its own for the building official."""
    answered: Answered = reply.entries[0].answered  # type: ignore[assignment]  # a single answer has been answered
    held: NailingSchedule = answered.result
    lines = [ScheduleLine(x.judged.judgement, x.judged.advised.closer_zone, x.braced, x.walls, x.place) for x in held.lines]
    project = Project((reply.asked or {}).get("project"), held.edition_id, held.site, held.species, answered.assumptions)
    return write_pdf(draw_nailing_schedule(project, lines, reply.cautions, open_book(), reply.units == "metric"))


@op(
    "POST",
    "/v1/nailing-schedules",
    "scheduleNailing",
    "A project's own schedule: every joint with the nail that will be used, its number, row and ground",
    "questions",
    one_answer(NailingScheduleResult, "NailingScheduleAnswer", "NailingScheduleAsk"),
    ask=NAILING_SCHEDULE,
    description=ABOUT_POST,
    sheets={"lines": NAILING_SHEET},
    drawn={"pdf": document},
)
def nailing_schedule(raw: Any) -> Reply:
    """List the joints of groups, or of walls, with the nails that will be used."""
    book = open_book()
    ask = read_nailing_schedule(raw, book)
    if not isinstance(ask, WallsAsk):
        return single(groups_answer(ask, book), raw)
    sticks = sum(most_members(order.wall, book.rules) for _, order in ask.orders) * (1 + len(ask.others))
    check_work("sticks", sticks, (settings().max_members, "APP_MAX_MEMBERS"), ("walls",))
    return single(walls_answer(ask, book), raw)
