"""Nailing schedules on paper, read back: as many pages of working as calculated lines, each with all that JSON says and room for the official."""

import io
import re
from typing import Any

import pytest
from flask.testing import FlaskClient
from pypdf import PdfReader

from service.drawing.scene import Scene, Words
from service.drawing.schedule import NO_APPROVAL
from service.said import plain
from service.ticks import label, ticks
from service.web.examples import example
from service.web.handlers import schedules

PATH = "/v1/nailing-schedules"
THIN, NAMED = {"nail_designation": "3 x 0.120"}, "Small house, lot 4"
BOARD = {"nail_designation": "2-3/8 x 0.113", "head_diameter_in": 0.266}
ALL_GROUPS = {"groups": ["wall", "roof", "floor", "sheathing"], "panel_thickness_in": 0.4375, "framing_nail": THIN, "sheathing_nail": BOARD}
SLAB = {"length_in": 240, "height_in": 97.125, "bottom_plate_on": "concrete", "sheathing": {"thickness_in": 0.4375}}
ASKED: dict[str, dict[str, Any]] = {
    "groups": {name: value for name, value in example("scheduleNailing").items() if name != "project"},
    "walls": example("scheduleNailing.walls"),
    "everything": ALL_GROUPS,
    "metric": {**ALL_GROUPS, "units": "metric", "use": "roof"},
    "another-code": {**ALL_GROUPS, "code_edition": "ibc-2024", "spacer_in": 0.5, "braced_wall_panel": True},
    "slab": {
        "framing_nail": THIN,
        "sheathing_nail": BOARD,
        "walls": [{**SLAB, "id": "a"}, {**SLAB, "id": "b", "bottom_plate_on": "wood_floor"}],
    },
    "listed": {"framing_nail": {"nail_designation": "16d common"}, "groups": ["wall"]},
    "stopped": {"framing_nail": THIN, "wind_speed_mph": 200},
}
LABELS = ("For the building official. Blank as sent", "accepted", "refused", "Name", "Title, office", "Date", "Signature", "Remarks")


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


def pages(client: FlaskClient, asked: dict[str, Any]) -> list[str]:
    answer = client.post(f"{PATH}?format=pdf", json=asked)
    assert (answer.status_code, answer.content_type) == (200, "application/pdf"), answer.json
    return [squeezed(page.extract_text()) for page in PdfReader(io.BytesIO(answer.data), strict=True).pages]


def working(client: FlaskClient, asked: dict[str, Any]) -> list[str]:
    return [text for text in pages(client, asked) if text.startswith("Workingofline")]


def lines(client: FlaskClient, asked: dict[str, Any]) -> list[Any]:
    found: list[Any] = client.post(PATH, json=asked).json["result"]["lines"]
    return found


@pytest.mark.parametrize("name", ASKED)
def test_each_calculated_line_has_one_page_of_working_with_room_for_the_official(client: FlaskClient, name: str) -> None:
    calculated = [(k, line) for k, line in enumerate(lines(client, ASKED[name]), 1) if line["outcome"] == "calculated"]
    found = pages(client, ASKED[name])
    own = found[len(found) - len(calculated) :]
    assert sum("Workingofline" in text for text in found) == len(calculated)
    for text, (k, line) in zip(own, calculated, strict=True):
        assert text.startswith(squeezed(f"Working of line {k} {line['description']}"))
        assert all(text.count(squeezed(label)) for label in LABELS)
        assert f"Line{k}," in text
    assert not any(squeezed(LABELS[0]) in text for text in found[: len(found) - len(calculated)])
    assert bool(calculated) == (name not in ("listed", "stopped"))


@pytest.mark.parametrize("name", ASKED)
def test_a_line_says_what_sets_it_apart(client: FlaskClient, name: str) -> None:
    text = "".join(pages(client, ASKED[name]))
    found = lines(client, ASKED[name])
    for line in found:
        if line["judged_for"]:
            assert squeezed(f"For: {'; '.join(line['judged_for'])}.") in text
        if line["place"]:
            assert squeezed(f"{line['description']}, {line['place']}") in text
    assert any(line["place"] for line in found) == (name == "slab")


@pytest.mark.parametrize(("nail", "thickness"), [("3 x 0.120", 0.4375), ("2-1/2 x 0.113", 0.4375), ("3 x 0.120", 1.9)])
def test_a_stop_names_its_lines(client: FlaskClient, nail: str, thickness: float) -> None:
    """Of all reasons of one caution a few are said, so each line that stops is named by its number, and few of them by their joint."""
    asked = {**ALL_GROUPS, "framing_nail": {"nail_designation": nail}, "panel_thickness_in": thickness}
    before = "".join(pages(client, asked)).partition("LineJointNailNumber")[0]
    stopped: dict[str, list[tuple[int, str]]] = {}
    for k, line in enumerate(lines(client, asked), 1):
        if line["stop"]:
            stopped.setdefault(line["stop"]["code"], []).append((k, line["description"]))
    assert stopped
    for found in stopped.values():
        if len(found) > 3:
            assert f";lines{','.join(str(k) for k, _ in found)}Do:" in before
        else:
            assert all(squeezed(f"line {k}, {joint}") in before for k, joint in found)


def test_a_stop_of_all_lines_names_none(client: FlaskClient) -> None:
    assert ";line" not in "".join(pages(client, ASKED["stopped"])).partition("Do:")[0]


@pytest.mark.parametrize("name", ASKED)
def test_the_working_says_what_json_says(client: FlaskClient, name: str) -> None:
    asked = ASKED[name]
    calculated = [line for line in lines(client, asked) if line["outcome"] == "calculated"]
    for text, line in zip(working(client, asked), calculated, strict=True):
        w = line["working"]
        said = [line["description"], line["reason"], line["row"], line["nail"]["label"], *w["left_out"], f"NDS{w['nds_edition'][-4:]}"]
        said += [f"specific gravity {w['specific_gravity']:g}", w["confidence"].replace("_", " ")]
        if w["lateral_factor"] != 1:
            said.append(f"The same x {w['lateral_factor']:g}")
        for value in (w["nail"], w["strongest_option"], w["weakest_option"]):
            said += [f"{value[f]:g} psi" for f in ("bending_yield_psi", "main_bearing_psi", "side_bearing_psi")]
            said += [
                f"{value[f]:.2f} lb" for f in ("lateral_lb", "withdrawal_lb", "head_pull_through_lb", "axial_lb") if value[f] is not None
            ]
            said += [
                f"{value['penetration_diameters']:.6g}",
                value["governing_mode"],
                (value["short_penetration_method"] or "").replace("_", " "),
            ]
        for option in (w["strongest_option"], w["weakest_option"]):
            said += [option["basis"], f"{option['lateral_ratio']:.4f}"]
            said += [] if option["axial_ratio"] is None else [f"{option['axial_ratio']:.4f}"]
        assert [s for s in said if squeezed(s) not in text] == []


@pytest.mark.parametrize("name", ASKED)
def test_the_schedule_says_each_line_in_order_and_why_there_is_no_number(client: FlaskClient, name: str) -> None:
    text, at = "".join(t for t in pages(client, ASKED[name]) if not t.startswith("Workingofline")), 0
    for k, line in enumerate(lines(client, ASKED[name]), 1):
        found = text.find(f"{k}{squeezed(line['description'])}", at)
        assert found >= at, line["connection_id"]
        at = found
        assert squeezed(line["row"] or "none: trade custom") in text and squeezed(line["outcome_label"]) in text
        if line["stop"]:
            assert squeezed(f"No number: {line['reason']}") in text
        assert line.get("walls") is None or squeezed(f"Walls: {', '.join(line['walls'])}.") in text


def number_of(line: dict[str, Any]) -> str:
    """Say the number of a line as a carpenter reads it, lengths in fractions of an inch."""
    kind = line["number_kind"] if line["stop"] is None and line["outcome"] != "not_applicable" else None
    inches = {k: label(ticks(str(v))) for k, v in line.items() if k.endswith("spacing_in") and v}
    return {
        "per_joint": lambda: f"{line['nail_count_per_joint']} nail",
        "on_center": lambda: f"a nail every {inches['spacing_in']} in",
        "grouped": lambda: f"{line['nail_count_per_group']} nails in each {inches['group_spacing_in']} in",
        "edge_and_field": lambda: f"{inches['edge_spacing_in']} in along edges, {inches['field_spacing_in']} in in the field",
        None: lambda: "no number",
    }[kind]()


@pytest.mark.parametrize("name", [name for name in ASKED if name != "metric"])
def test_every_number_stands_in_the_row_of_its_line(client: FlaskClient, name: str) -> None:
    found = lines(client, ASKED[name])
    text = "".join(t for t in pages(client, ASKED[name]) if not t.startswith("Workingofline"))
    places = [text.index(f"{k}{squeezed(line['description'])}") for k, line in enumerate(found, 1)]
    for line, here, after in zip(found, places, (*places[1:], len(text)), strict=True):
        row = text[here:after]
        assert squeezed(number_of(line)) in row
        assert ("ifaccepted" in row) == (line["outcome"] == "calculated")


@pytest.mark.parametrize("name", ASKED)
def test_every_page_names_the_project_and_claims_no_approval(client: FlaskClient, name: str) -> None:
    found = pages(client, {**ASKED[name], "project": NAMED})
    for k, text in enumerate(found, 1):
        assert squeezed(f"Project as named by the sender: {NAMED}") in text
        assert "Assentthisisnoapproval" in text and f"page{k}of{len(found)}" in text
        assert "approved" not in text.lower()
    assert all("Projectnotnamed" in t.replace(":", "") for t in pages(client, ASKED[name]))


@pytest.mark.parametrize("name", ASKED)
def test_cautions_stand_before_the_table(client: FlaskClient, name: str) -> None:
    before = "".join(pages(client, ASKED[name])).partition("LineJointNailNumberRowGround")[0]
    metric = ASKED[name].get("units") == "metric"
    cautions = client.post(PATH, json=ASKED[name]).json["cautions"]
    assert cautions and all(squeezed(plain(c[f], metric)) in before for c in cautions for f in ("text", "action"))


def test_site_is_said_as_sent_or_assumed(client: FlaskClient, mild: dict[str, Any]) -> None:
    """90 mph allowable is 90 / sqrt(0.6) = 116 mph ultimate, 115 ultimate are 89 and 120 are 93 allowable (IRC Table R301.2.1.3)."""
    sent = {**mild, "wind_speed_mph": 90, "wind_speed_basis": "allowable", "ground_snow_load_psf": 30, "framing_nail": THIN}
    first, *_ = pages(client, sent)
    assert "wind90mphallowable(116mphultimate),exposureB,seismicdesigncategoryB,groundsnowload30psf" in first
    first, *_ = pages(client, {"framing_nail": THIN, "wind_speed_mph": 120})
    assert "wind120mphultimate(93mphallowable)(basisassumed)" in first
    first, *_ = pages(client, {"framing_nail": THIN})
    assert "wind115mphultimate(89mphallowable)(assumed),exposureB(assumed),seismicdesigncategoryB(assumed),groundsnowloadnotsent" in first


def test_published_values_stand_in_the_working(client: FlaskClient) -> None:
    """NDS Table 12N, 1-1/2 in side member, G 0.42: 0.162 takes 120 lb (read), 0.131 takes 82 lb (from memory); IRC 2021 R602.3(1) item 9 at a
    braced panel lists 16d common at 16 in. 3 x 0.120, 69.2 lb by mode IV: 16 x 69.2 / 119.6 = 9.26, so 9 in.
    """
    (text,) = [t for t in working(client, ASKED["groups"]) if "Studtostud" in t]
    values = [float(v) for v in re.search(r"Lateralvalue([\d.]+)lb([\d.]+)lb([\d.]+)lb", text).groups()]  # type: ignore[union-attr]
    assert [round(v) for v in values[1:]] == [120, 82]
    assert int(16 * values[0] / values[1] * 2) / 2 == 9 and "anailevery9in" in text


def test_factors_are_named_with_clause_and_confidence(client: FlaskClient) -> None:
    """NDS 12.5.2: 0.67 in end grain; 12.5.4: toe-nails 0.83 laterally and 0.67 in withdrawal."""
    found = working(client, ASKED["everything"])
    assert any("endgrainlateral0.6712.5.2memory" in t for t in found)
    assert any("toenaillateral0.8312.5.4memory" in t and "toenailwithdrawal0.6712.5.4verified" in t for t in found)


@pytest.mark.parametrize("name", [n for n in ASKED if n not in ("listed", "stopped")])
def test_the_same_question_gives_the_same_bytes(client: FlaskClient, name: str) -> None:
    first, again = (client.post(f"{PATH}?format=pdf", json=ASKED[name]) for _ in range(2))
    asked_for = client.post(PATH, json=ASKED[name], headers={"Accept": "application/pdf"})
    assert first.data == again.data == asked_for.data and first.data.startswith(b"%PDF-")
    assert first.headers["Content-Disposition"] == 'inline; filename="nailing-schedules.pdf"'


def test_the_project_is_repeated_as_sent(client: FlaskClient) -> None:
    assert client.post(PATH, json={"framing_nail": THIN, "project": NAMED}).json["input"]["project"] == NAMED


@pytest.mark.parametrize(
    "text", ["(((unbalanced", "back\\slash <b>&amp;", "=1+1", "\u6f22\u5b57 lot", "\u202eturned", "W" * 120, "approval", "  "]
)
def test_any_project_is_only_words_on_paper(client: FlaskClient, text: str) -> None:
    shown = "".join(c if ord(c) < 256 and c.isprintable() else "?" for c in text)
    said = squeezed(f"Project as named by the sender: {shown}") if text.strip() else "Project:notnamedbythesender"
    assert all(said in page for page in pages(client, {"framing_nail": THIN, "project": text}))


@pytest.mark.parametrize(
    ("text", "code"), [("W" * 121, "out_of_range"), ("", "bad_format"), ("two\nlines", "bad_format"), (4, "wrong_type")]
)
def test_a_project_that_is_no_line_of_text_is_refused(client: FlaskClient, text: Any, code: str) -> None:
    (error,) = client.post(f"{PATH}?format=pdf", json={"framing_nail": THIN, "project": text}).json["errors"]
    assert (error["pointer"], error["code"]) == ("#/project", code)


def test_nothing_stands_outside_the_paper_whatever_the_walls_are_called(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[Scene] = []
    monkeypatch.setattr(schedules, "write_pdf", lambda made: drawn.extend(made) or b"")
    wall = {"length_in": 48, "height_in": 97.125}
    named = [{**wall, "id": f"{k:02}" + "W" * 62} for k in range(100)]
    client.post(f"{PATH}?format=pdf", json={"framing_nail": THIN, "walls": named, "project": "W" * 120})
    words = [[s for s in page.shapes if isinstance(s, Words)] for page in drawn]
    said = "".join(w.text for page in words for w in page)
    assert all(wall["id"] in said for wall in named)
    for page, found in zip(drawn, words, strict=True):
        assert all(0.4 <= w.x <= page.width and 0.4 <= w.y <= page.height - 0.25 for w in found)
        foot = next(w.y for w in found if w.text.startswith("page "))
        below = [w.text for w in found if w.y >= foot and not w.text.startswith("page ")]
        assert squeezed("".join(below)) == squeezed(f"Project as named by the sender: {'W' * 120}{NO_APPROVAL}")
        assert sum(w.text.startswith("Working of line") for w in found) <= 1
    assert sum("Working of line" in w.text for page in words for w in page) == sum(
        "Blank as sent" in w.text for page in words for w in page
    )
