"""The picture of a joint: pieces and nails as its judgement and its placement say them."""

from math import cos, radians, sin
from xml.etree import ElementTree

import pytest

from service.domain.cautions.advice import Advised, advisor_for
from service.domain.conditions import Conditions
from service.domain.joint.requirement import Question, judge
from service.domain.joint.schedule import Selectors
from service.domain.nails.words import read_designation
from service.domain.site import Site
from service.drawing.joint import draw_joint
from service.drawing.scene import Box, Marks, Scene, Words
from service.drawing.svg import write_svg
from service.tables.book import open_book
from service.tables.schedule import PerJoint
from service.ticks import PER_IN, ticks

BOOK = open_book()


def advised(connection_id: str, nail: str = "16d common", site: Site | None = None) -> Advised:
    panel = BOOK.connections[connection_id].panel
    selectors = Selectors(panel_thickness=ticks("0.4375"), stud_spacing=ticks(16), span_rating="24/16") if panel else Selectors()
    question = Question("irc-2021", connection_id, read_designation(nail, BOOK), site or Site(), selectors)
    return advisor_for(Conditions(), BOOK).advise(judge(question, BOOK))


def drawn(connection_id: str, nail: str = "16d common", site: Site | None = None, metric: bool = False) -> Scene:
    found = advised(connection_id, nail, site)
    return draw_joint(found, found.cautions, BOOK.rules, metric)


def nails(scene: Scene, role: str) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Return the nails of a kind, without the sample of the legend."""
    return next((s.outlines for s in scene.shapes if isinstance(s, Marks) and s.role == role and s.about[-1].isdigit()), ())


def said(scene: Scene) -> str:
    return " ".join(s.text for s in scene.shapes if isinstance(s, Words))


@pytest.mark.parametrize("connection_id", BOOK.connections)
@pytest.mark.parametrize("nail", ["16d common", "8d common", "2 x 0.113"])
@pytest.mark.parametrize("site", [Site(), Site(wind_speed_mph=240)])
def test_every_joint_is_drawn_inside_its_picture(connection_id: str, nail: str, site: Site) -> None:
    scene = drawn(connection_id, nail, site)
    raw = write_svg(scene)
    assert raw == write_svg(drawn(connection_id, nail, site)) and b'stroke-width="0"' not in raw
    ElementTree.fromstring(raw)
    for shape in scene.shapes:
        match shape:
            case Box(_, x, y, width, height):
                corners = [(x, y), (x + width, y + height)]
            case Marks(_, _, outlines):
                corners = [p for outline in outlines for p in outline]
            case Words(_, x, y):
                corners = [(x, y)]
            case _:
                corners = list(shape.points)
        assert all(-1e-9 <= x <= scene.width + 1e-9 and 0 <= y <= scene.height for x, y in corners)
    if advised(connection_id, nail, site).requirement.nailing is None:
        assert not any(nails(scene, role) for role in ("cut_nail", "outside_nail", "panel_nail"))
        assert "no number: " in said(scene)


@pytest.mark.parametrize("connection_id", [c for c, row in BOOK.connections.items() if row.method != "face_nail"])
def test_a_joint_shows_as_many_nails_as_it_takes(connection_id: str) -> None:
    nailing = advised(connection_id, "3 x 0.131").requirement.nailing
    if isinstance(nailing, PerJoint):
        assert len(nails(drawn(connection_id, "3 x 0.131"), "cut_nail")) == nailing.count


def test_end_nails_stand_side_by_side_in_their_length() -> None:
    """IRC 2021 Table R602.3(1) item 17: 3 of 3 x 0.131; across 3-1/2 in with 1 in at each edge they stand 3/4 in apart."""
    (a, b, c) = sorted(nails(drawn("stud-to-plate-end-nail", "3 x 0.131"), "cut_nail"), key=lambda o: o[2])
    assert [o[3][1] - o[2][1] for o in (a, b, c)] == pytest.approx([3, 3, 3])
    assert [b[2][0] - a[2][0], c[2][0] - b[2][0]] == pytest.approx([0.75, 0.75])


def test_toe_nails_start_a_third_up_and_slant_from_both_sides() -> None:
    """A third of 2-1/2 in up, 30 degrees off the piece (NDS 12.1.6, from memory)."""
    scene = drawn("stud-to-plate-toe-nail", "8d box")
    vectors = {(round(o[3][0] - o[2][0], 4), round(o[3][1] - o[2][1], 4)) for o in nails(scene, "cut_nail")}
    across, down = round(2.5 * sin(radians(30)), 4), round(2.5 * cos(radians(30)), 4)
    assert vectors == {(across, down), (-across, down)}
    (plate,) = [s for s in scene.shapes if isinstance(s, Box) and s.role == "full_stud" and s.width > 4]
    assert plate.y - nails(scene, "cut_nail")[0][2][1] == pytest.approx(2.5 / 3, abs=1 / PER_IN)
    assert "30\u00b0" in said(scene)


def test_panel_nails_keep_off_the_edge_of_their_panel() -> None:
    """3/8 in from the joint on each side, 6 in along it (IRC 2021 Table R602.3(3))."""
    scene = drawn("exterior-wall-panel-to-framing", "8d common")
    centers = sorted({round((o[0][0] + o[2][0]) / 2, 4) for o in nails(scene, "panel_nail")})
    assert centers[1] - centers[0] == pytest.approx(0.75)
    assert {"3/8", "6", "12"} <= set(said(scene).split())


@pytest.mark.parametrize(("metric", "clear"), [(False, "12 in or more"), (True, "304.8 mm or more")])
def test_the_hand_keeps_clear(metric: bool, clear: str) -> None:
    scene = drawn("stud-to-plate-end-nail", metric=metric)
    assert f"free hand stays {clear} from the point" in said(scene)


def test_what_stops_stands_in_the_picture() -> None:
    scene = drawn("stud-to-plate-end-nail", site=Site(wind_speed_mph=240))
    assert "STOP" in said(scene) and "240 mph" in said(scene).replace("  ", " ")
