"""Words of judgements: options as people say them, and the ground of a number."""

import pytest

from service.domain.joint.ranking import GROUNDS, RANK, say_option, say_outcome, say_why
from service.domain.joint.requirement import Question, Requirement, judge
from service.domain.joint.schedule import Selectors
from service.domain.nails.nail import by_id
from service.tables.book import open_book
from service.tables.schedule import Panel
from service.ticks import ticks

BOOK = open_book()
OPTIONS = {say_option(o) for e in BOOK.editions.values() for rows in e.rows.values() for r in rows for o in r.options}


def ask(connection_id: str, nail_id: str, edition_id: str = "irc-2021", **selectors: object) -> Requirement:
    return judge(Question(edition_id, connection_id, by_id(nail_id, BOOK), selectors=Selectors(**selectors)), BOOK)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "said",
    [  # as the schedules print them: IRC Table R602.3(1), IBC Table 2304.10.2; ASTM F1667 for RSRS-01
        "16d common (3-1/2 x 0.162)",
        "16d box (3-1/2 x 0.135)",
        "3 x 0.131 smooth",
        "2 x 0.113 deformed",
        "8d deformed (2-1/2 x 0.120)",
        "RSRS-01 (2-3/8 x 0.113)",
        "6d casing nail 2 x 0.099",
        "roofing nail 1-3/4 x 0.120",
        "screw 1-1/4, Type W or S",
        "staple 1-3/4, 16 gauge; crown 1 in",
    ],
)
def test_a_printed_option_is_named_as_people_say_it(said: str) -> None:
    assert said in OPTIONS


def test_no_option_is_without_a_name() -> None:
    assert not [said for said in OPTIONS if not said.strip() or said != said.strip() or "  " in said or "_" in said]


def test_every_outcome_has_its_words() -> None:
    assert set(GROUNDS) == set(RANK)
    assert len(set(GROUNDS.values())) == len(GROUNDS)


def test_trade_custom_is_not_called_code() -> None:
    """Blocks have no row in any edition: common practice, no source."""
    custom = ask("block-to-stud-end-nail", "16d-common")
    assert (custom.outcome, say_outcome(custom)) == ("prescriptive", "trade custom, no row of the code")
    assert say_outcome(ask("stud-to-plate-end-nail", "16d-common")) == "listed in the code"


def test_a_closer_number_of_the_caller_is_said_and_the_same_one_is_not() -> None:
    """IRC 2021 Table R602.3(3): 8d common, 7/16 panel, studs at 16 in: 6 and 12 in."""
    panels = ask("exterior-wall-panel-to-framing", "8d-common", panel_thickness=ticks("0.4375"), stud_spacing=ticks(16))
    assert isinstance(panels.nailing, Panel)
    assert say_why(panels, panels.nailing) == say_why(panels)
    assert "closer as you asked" in say_why(panels, Panel(ticks(4), ticks(12)))


def test_without_a_number_the_reason_is_what_stops_it() -> None:
    refused = ask("stud-to-plate-end-nail", "6d-common")
    assert refused.stop is not None
    assert say_why(refused) == refused.stop.because
