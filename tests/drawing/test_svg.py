"""What a form does with any scene: escapes, cleans, numbers without dust, and lines no wider than their room."""

from xml.etree import ElementTree

import pytest

from service.drawing.lettering import clean, width_of, wrap
from service.drawing.scene import Line, Scene, Words
from service.drawing.svg import write_svg

RISKY = [
    "</text><script>alert(1)</script>",
    "a & b",
    '"quoted"',
    "<!--",
    "]]>",
    "\x00\x08\x1b",
    "\ufffe",
    "\u202eright",
    "\ue000d1\ue001",
    "漢字",
]


@pytest.mark.parametrize("text", RISKY)
def test_any_text_is_escaped_and_cleaned(text: str) -> None:
    scene = Scene(10, 10, 1, text, text, (Words("words", 1, 1, text, 1),))
    root = ElementTree.fromstring(write_svg(scene))
    assert len(list(root.iter())) == 4
    assert {e.text for e in list(root)} == {clean(text)}


def test_numbers_have_no_dust() -> None:
    scene = Scene(10, 10, 1, "", "", (Line("rule", ((-0.001, 1 / 3), (1e-9, 9.999), (10.0, 100.0))),))
    assert 'd="M0 0.33L0 10 10 100"' in write_svg(scene).decode()


@pytest.mark.parametrize("text", ["nails stand in " * 9, "x" * 400, "W" * 3 + " " + "i" * 200, "stud-to-plate-end-nail, " * 5])
def test_lines_are_no_wider_than_their_room_and_lose_nothing(text: str) -> None:
    lines = list(wrap(text, 2, 60))
    assert all(width_of(line, 2) <= 60 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_no_text_has_no_line() -> None:
    assert list(wrap("  ", 2, 60)) == []
