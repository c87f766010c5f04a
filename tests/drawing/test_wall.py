"""The picture of a wall: all that the plan holds and nothing beside it, in SVG that any reader takes."""

import re
from xml.etree import ElementTree

import pytest

from service.domain.cautions.caution import Spoken
from service.domain.wall.plan import Plan, locate
from service.drawing.scene import LOOKS, Marks, Scene
from service.drawing.signs import KEY, NAILS
from service.drawing.svg import write_svg
from service.drawing.wall import ROLES, draw_wall
from service.said import plain
from service.schemas.answers.vocabulary import ROLE
from service.ticks import PER_IN

Drawn = tuple[Plan, tuple[Spoken, ...]]
SVG = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
ALLOWED = {"svg", "title", "desc", "g", "rect", "path", "text"}


def parsed(scene: Scene) -> ElementTree.Element:
    return ElementTree.fromstring(write_svg(scene))


def words(root: ElementTree.Element) -> str:
    return " ".join(t.text or "" for t in root.iter(f"{SVG}text"))


def test_nails_drawn_are_the_nails_counted(drawn: Drawn) -> None:
    plan, cautions = drawn
    root = parsed(draw_wall(plan, cautions))
    drawings = {role: 0 for role in NAILS}
    for group in root.iter(f"{SVG}g"):
        (path,) = group.iter(f"{SVG}path")
        count = (path.get("d") or "").count("M")
        told = re.search(r": (\d+)$", group.findtext(f"{SVG}title") or "")
        if told:  # a sample of the legend has no number
            assert int(told[1]) == count
            drawings[group.get("class") or ""] += count
    framing = sum(line.nail_count or 0 for line in plan.lines)
    assert sum(n for role, n in drawings.items() if role != "panel_nail") == framing
    assert drawings["panel_nail"] == (plan.panels.nail_count or 0 if plan.panels else 0)
    shown = re.findall(r"(?:framing|panel) nail[^:]*: (\d+)", words(root))
    assert sum(map(int, shown)) == sum(drawings.values())


def test_each_nail_stands_at_its_place(drawn: Drawn) -> None:
    """Heads in the picture against the places of the plan, from the left and up: within the spread of nails side by side, 1 in."""
    plan, _ = drawn
    scene = draw_wall(plan)
    x0 = (scene.width - plan.order.wall.length / PER_IN) / 2
    marks = {s.role: s.outlines for s in scene.shapes if isinstance(s, Marks) and s.about != KEY[s.role]}
    heads = sorted((a[0] + b[0]) / 2 - x0 for a, b, *_ in marks.get("driven_nail", ()))
    flat = ("outside", "inside")
    wanted = sorted(s.x / PER_IN for _, s in locate(plan) if s.face not in flat or s.angle_deg)
    assert all(abs(a - b) <= 1 for a, b in zip(heads, wanted, strict=True))
    panels = sorted((o[0][0] + o[2][0]) / 2 - x0 for o in marks.get("panel_nail", ()))
    spots = sorted(x / PER_IN for _, (x, _) in plan.panels.spots) if plan.panels else []
    assert panels == pytest.approx(spots)


def test_every_stick_is_drawn_in_its_size(drawn: Drawn) -> None:
    plan, cautions = drawn
    root = parsed(draw_wall(plan, cautions))
    boxes = [
        (r.get("class"), float(r.get("width") or 0), float(r.get("height") or 0))
        for r in root.iter(f"{SVG}rect")
        if r.get("class") in ROLES.values()
    ]
    for m in plan.framing.members:
        boxes.remove((ROLES[m.role], round(m.width / PER_IN, 2), round(m.height / PER_IN, 2)))
    assert len(boxes) <= len(set(ROLES.values())), "no more boxes are left than the legend shows"


def test_nothing_stands_outside_the_picture(drawn: Drawn) -> None:
    plan, cautions = drawn
    scene = draw_wall(plan, cautions)
    raw = write_svg(scene).decode()
    assert "nan" not in re.sub(r">[^<]*<", "><", raw).lower() and "inf" not in re.sub(r">[^<]*<", "><", raw).lower()
    root = ElementTree.fromstring(raw)
    _, _, width, height = (float(n) for n in (root.get("viewBox") or "").split())
    for e in root.iter():
        if e.tag == f"{SVG}path":
            numbers = [float(n) for n in NUMBER.findall(e.get("d") or "")]
            assert min(numbers) >= 0 and max(numbers[::2]) <= width and max(numbers[1::2]) <= height
        elif e.tag == f"{SVG}rect":
            x, y, w, h = (float(e.get(n) or 0) for n in ("x", "y", "width", "height"))
            assert x >= 0 and y >= 0 and x + w <= width + 0.02 and y + h <= height + 0.02
        elif e.tag == f"{SVG}text":
            assert 0 <= float(e.get("x") or -1) <= width and 0 <= float(e.get("y") or -1) <= height


def test_only_plain_elements_and_attributes_that_no_policy_blocks(drawn: Drawn) -> None:
    plan, cautions = drawn
    raw = write_svg(draw_wall(plan, cautions))
    root = ElementTree.fromstring(raw)
    assert {e.tag.removeprefix(SVG) for e in root.iter()} <= ALLOWED
    names = {n for e in root.iter() for n in e.attrib}
    assert not names & {"style", "href", "onload", "src"} and not any(n.startswith(("on", "{")) for n in names)
    assert b"url(" not in raw and raw.count(b"http") == 1, "the name of the namespace alone"
    assert root.get("role") == "img" and root.findtext(f"{SVG}title") and root.findtext(f"{SVG}desc")


def test_the_same_plan_gives_the_same_bytes(drawn: Drawn) -> None:
    plan, cautions = drawn
    assert write_svg(draw_wall(plan, cautions)) == write_svg(draw_wall(plan, cautions))


@pytest.mark.parametrize("metric", [False, True])
def test_all_that_stops_or_warns_stands_in_the_picture_in_full(drawn: Drawn, metric: bool) -> None:
    plan, cautions = drawn
    said = words(parsed(draw_wall(plan, cautions, metric))).replace(" ", "")
    for c in cautions:
        grave = c.severity in ("stop", "warning")
        for text in (c.row.text, c.row.action, c.applies_because):
            assert (plain(text, metric).replace(" ", "") in said) or not grave, text
        for step in c.next_steps if grave else ():
            for text in (step.step, step.decides[1:]):
                assert text.replace(" ", "") in said, text
        assert grave or c.row.text.replace(" ", "") not in said
    assert "\ue000" not in said


def test_a_joint_without_a_number_has_no_nails_and_the_picture_says_so_at_once(drawn: Drawn) -> None:
    plan, cautions = drawn
    root = parsed(draw_wall(plan, cautions))
    stops = [c for c in cautions if c.severity == "stop"]
    assert ("STOP: some of the work" in words(root)) == bool(stops)
    if stops and not plan.complete:
        assert "no number" in (root.findtext(f"{SVG}desc") or "")


def test_text_is_at_least_seven_pixels_on_a_phone(drawn: Drawn) -> None:
    plan, cautions = drawn
    scene = draw_wall(plan, cautions)
    small = [float(t.get("font-size") or 0) * 360 / scene.width for t in parsed(scene).iter(f"{SVG}text") if t.get("class") != "strong"]
    assert min(small) > 6.9


def test_each_sign_of_the_picture_is_in_the_legend_and_looks_like_no_other(drawn: Drawn) -> None:
    plan, cautions = drawn
    root = parsed(draw_wall(plan, cautions))
    said = words(root)
    used = {e.get("class") for e in root.iter()} & set(KEY)
    assert all(KEY[role or ""] in said for role in used)
    assert {ROLES[m.role] for m in plan.framing.members} <= used


def test_every_role_of_a_stick_has_a_look_and_no_two_looks_are_the_same() -> None:
    assert set(ROLES) == set(ROLE.words)
    assert set(ROLES.values()) | set(KEY) <= set(LOOKS)
    signs = [LOOKS[role] for role in KEY]
    assert len(set(signs)) == len(signs)


def test_nails_are_told_apart_by_shape() -> None:
    """An outline of its own for each kind: corners of a bar, a head and a diamond; outside and inside heads differ in brightness."""
    corners = {"driven_nail": 4, "outside_nail": 8, "inside_nail": 8, "panel_nail": 4}
    assert set(corners) == set(NAILS)
    assert (LOOKS["driven_nail"].closed, LOOKS["panel_nail"].closed) == (False, True)
    assert (LOOKS["outside_nail"].fill, LOOKS["inside_nail"].fill) == (0, 255)
