"""The crew sheet read back from its PDF: the texts and counts of the plan, cautions first, on as many pages as they take."""

import io
import re

import pytest
from pypdf import PdfReader

from service.domain.building.anchorage import anchor_wall
from service.domain.cautions.caution import Spoken
from service.domain.wall.plan import Plan
from service.drawing.crew import draw_crew_sheet
from service.drawing.pdf import write_pdf
from service.drawing.scene import Scene, Words
from service.said import plain
from service.tables.book import open_book

Drawn = tuple[Plan, tuple[Spoken, ...]]


def sheet(drawn: Drawn, metric: bool = False) -> PdfReader:
    plan, cautions = drawn
    pages = draw_crew_sheet(plan, cautions, anchor_wall(plan, open_book()), metric)
    raw = write_pdf(pages)
    assert raw == write_pdf(pages)
    return PdfReader(io.BytesIO(raw), strict=True)


def words(reader: PdfReader) -> str:
    return squeezed("\n".join(page.extract_text() for page in reader.pages))


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


@pytest.mark.parametrize("metric", [False, True])
def test_every_caution_stands_on_the_sheet_before_the_joints(drawn: Drawn, metric: bool) -> None:
    said = words(sheet(drawn, metric))
    before, _, _ = said.partition("JointNailNumberNailsGround")
    for c in drawn[1]:
        assert squeezed(plain(c.row.text, metric)) in before
        assert squeezed(plain(c.row.action, metric)) in before
        assert c.row.standing or squeezed(plain(c.applies_because, metric)) in before
        assert all(squeezed(step.step) in said and squeezed(step.decides[1:]) in said for step in c.next_steps)


def test_counts_are_those_of_the_plan(drawn: Drawn) -> None:
    plan, said = drawn[0], words(sheet(drawn))
    load = said.partition("Toload,beforewaste")[2]
    for nail, count in plan.nail_totals:
        assert re.search(f"nails{re.escape(squeezed(nail.label))}(,bright)?{count}", load)
    for line in plan.lines:
        count = "nonumber" if line.nail_count is None else str(line.nail_count)
        assert squeezed(line.requirement.connection.description) in said and count in said
    cuts = said.partition("CutlistLumberLengthSticks")[2].partition("Panels")[0]
    assert cuts
    if plan.panels:
        assert f"{len(plan.panels.cover.pieces)}" in load
    assert all(squeezed(plain(note)) in said for note in plan.notes)


def test_pages_are_a4_numbered_and_as_many_as_the_tables_take(drawn: Drawn) -> None:
    reader = sheet(drawn)
    for k, page in enumerate(reader.pages, 1):
        assert (round(float(page.mediabox.width)), round(float(page.mediabox.height))) == (595, 842)
        assert f"page {k} of {len(reader.pages)}" in page.extract_text()
    assert len(reader.pages) <= (2 if drawn[0].order.wall.length <= 24 * 12 * 5_080_000 else 4)


def test_nothing_stands_outside_the_paper(drawn: Drawn) -> None:
    plan, cautions = drawn
    for scene in draw_crew_sheet(plan, cautions, anchor_wall(plan, open_book())):
        for shape in scene.shapes:
            if isinstance(shape, Words):
                assert 0.4 <= shape.x <= scene.width and 0.4 <= shape.y <= scene.height - 0.3


def test_joints_at_a_treated_plate_say_so_where_their_nails_were_galvanized(drawn: Drawn) -> None:
    """Bright nails go into a treated plate hot-dip galvanized (IRC R317.3)."""
    plan, said = drawn[0], words(sheet(drawn))
    bright = any(line.nail.coating == "bright" for line in plan.lines)
    treated = [line for line in plan.lines if line.group.treated and line.nail.coating == "hot_dip_galvanized"]
    assert said.count("atthetreatedbottomplate") == (len(treated) if bright else 0)


def test_bolts_of_a_plate_on_concrete_stand_on_the_sheet(drawn: Drawn) -> None:
    on_concrete = drawn[0].order.wall.bottom_plate_on == "concrete"
    assert ("AnchorboltsPlateBoltsAlongthewallat" in words(sheet(drawn))) == on_concrete


@pytest.mark.parametrize("text", ["plain (in brackets) and \\ back", "naïve 30°", "漢字 wall", "\x00\x1f", "\u202e", "unbalanced ((("])
def test_any_text_is_encoded_and_what_the_font_has_not_is_replaced(text: str) -> None:
    page = Scene(8, 11, 1 / 72, text, text, (Words("words", 1, 1, f"<{text}>", 0.2), Words("strong", 1, 2, "after", 0.2, "end", True)))
    (read,) = PdfReader(io.BytesIO(write_pdf([page])), strict=True).pages
    shown = "".join(c if ord(c) < 256 and c.isprintable() else "?" for c in text)
    assert squeezed(f"<{shown}>") in squeezed(read.extract_text()) and "after" in read.extract_text()
