"""An edition is one folder: a copy under another id answers the same, and a changed row answers otherwise."""

import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from service.domain.joint.requirement import Question, judge
from service.domain.joint.schedule import Selectors
from service.domain.nails.nail import by_id
from service.domain.site import Site
from service.domain.wall.headers import Carried, header_span, jack_count, king_count
from service.domain.wall.judging import Setting
from service.domain.wall.plan import Order, Plan, plan_wall
from service.domain.wall.wall import Header, Intersection, Opening, Sheathing, Wall
from service.tables.book import Book, open_book
from service.tables.manifest import write_manifest
from service.ticks import ticks

BOOK = open_book()
NAIL = by_id("smooth-3x0.131", BOOK)
SITE = Site(100, "ultimate", "B", "B", ground_snow_load_psf=30)
HEADER = Carried(ticks(58), Header(2, "2x8"), True, "roof_only", ticks(16), 36, 30)
WINDOW = Opening("w", "window", ticks(60), ticks(36), ticks(36), ticks("82.5"), Header(2, "2x8"), 1, 1)


@pytest.fixture
def copied(tables: Path) -> Book:
    """A book with the folder irc_2021 once more, as irc_2099."""
    folder = Path(shutil.copytree(tables / "us" / "irc_2021", tables / "us" / "irc_2099"))
    facts = folder / "edition.csv"
    facts.write_text(facts.read_text().replace("code_edition,irc-2021", "code_edition,irc-2099"))
    write_manifest(tables)
    return open_book(tables)


def plan(edition: str, book: Book, **more: Any) -> Plan:
    wall = {
        "openings": (WINDOW,),
        "sheathing": Sheathing("wood_structural_panel", ticks("0.4375"), ticks(48), None, "vertical", None, None),
        "start_corner": "three_stud",
        "intersections": (Intersection(ticks(144)),),
        **more,
    }
    setting = Setting(edition, NAIL, sheathing_nail=by_id("8d-common", book), site=SITE)
    return plan_wall(Order(Wall(ticks(288), ticks("97.125"), **wall), setting), book)


def numbers(found: Plan) -> dict[str, Any]:
    lines = [(line.group.connection_id, line.nail_count, line.requirement.outcome, line.requirement.provenance) for line in found.lines]
    panels = found.panels and (found.panels.nail_count, found.panels.requirement.provenance)
    return {"lines": lines, "panels": panels, "plates": found.tie_plates, "totals": found.nail_totals, "members": found.framing.members}


def test_every_joint_is_judged_the_same_in_a_copied_folder(copied: Book) -> None:
    selectors = Selectors(panel_thickness=ticks("0.4375"), stud_spacing=ticks(16))
    for name, connection in copied.connections.items():
        asked = Question("irc-2099", name, NAIL, SITE, selectors if connection.panel else Selectors())
        old, new = judge(replace(asked, edition_id="irc-2021"), copied), judge(asked, copied)
        same = [(r.outcome, r.nailing, r.provenance, r.stop, r.listed, r.governing, r.zone) for r in (old, new)]
        assert same[0] == same[1], name


@pytest.mark.parametrize("more", [{}, {"top_plate_count": 1}, {"spacing": ticks(24)}, {"stud": "2x6", "bearing": True}])
def test_a_wall_is_planned_the_same_in_a_copied_folder(copied: Book, more: dict[str, Any]) -> None:
    assert numbers(plan("irc-2099", copied, **more)) == numbers(plan("irc-2021", copied, **more)) == numbers(plan("irc-2021", BOOK, **more))


def test_jacks_kings_and_spans_are_those_of_the_copied_folder(copied: Book) -> None:
    """2-2x8 at 58 in, 30 psf and 36 ft: two jacks in IRC 2021 Table R602.7(1); no other edition of the book but 2018 has a row."""
    assert jack_count(HEADER, copied.editions["irc-2099"], copied) == (2, True)
    for count in (lambda e: king_count(HEADER, 1, SITE, e, copied), lambda e: header_span(HEADER, e, copied)):
        assert count(copied.editions["irc-2099"]) == count(BOOK.editions["irc-2021"])


@pytest.fixture
def changed(tables: Path) -> Book:
    """A book whose end nails of stud to plate, 3 x 0.131, are five instead of the printed three."""
    path = tables / "us" / "irc_2021" / "schedule.csv"
    lines = path.read_text().splitlines(keepends=True)
    (at,) = [i for i, line in enumerate(lines) if ",stud-to-plate-end-nail," in line and ",smooth-3x0.131," in line]
    assert lines[at].count(",3,,,,,,") == 1
    lines[at] = lines[at].replace(",3,,,,,,", ",5,,,,,,")
    path.write_text("".join(lines))
    return open_book(tables, checked=False)


def test_a_changed_row_changes_the_judgement_and_not_that_of_another_book(changed: Book) -> None:
    asked = Question("irc-2021", "stud-to-plate-end-nail", NAIL, SITE)
    assert [judge(asked, book).nailing.count for book in (BOOK, changed, BOOK)] == [3, 5, 3]


def test_a_changed_row_changes_the_plan(changed: Book) -> None:
    """Every end joint takes two nails more."""
    (old,), (new,) = (
        [line for line in plan("irc-2021", book).lines if line.group.connection_id == "stud-to-plate-end-nail"] for book in (BOOK, changed)
    )
    joints = old.group.joint_count
    assert joints and (old.nail_count, new.nail_count) == (3 * joints, 5 * joints)


def test_a_changed_rule_changes_the_judgement(tables: Path) -> None:
    """3 x 0.113 for three 3 x 0.131 needs 4.28, five: one more than the four that a narrow face takes over the row's most."""
    asked = Question("irc-2021", "stud-to-plate-end-nail", by_id("smooth-3x0.113", BOOK), SITE)
    assert judge(asked, BOOK).nailing is None
    path = tables / "service_rules.csv"
    path.write_text(path.read_text().replace("more_in_narrow_face,1,", "more_in_narrow_face,2,"))
    assert judge(asked, open_book(tables, checked=False)).nailing.count == 5
