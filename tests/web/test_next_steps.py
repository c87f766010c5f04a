"""Past a limit of the prescriptive rules an answer says what covers the next step, and who decides."""

import ast
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service.tables.book import open_book

DOMAIN = Path(__file__).parents[2] / "service/domain"
STEPS = open_book().next_steps
SITE = {"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"}
STUD = {**SITE, "connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}
PANEL = {
    **SITE,
    "connection_id": "exterior-wall-panel-to-framing",
    "nail_id": "8d-common",
    "panel_thickness_in": 0.4375,
    "stud_spacing_in": 16,
}
WALL = {**SITE, "framing_nail": {"nail_id": "16d-common"}, "wall": {"length_in": 144, "height_in": 97.125}}
DOOR = {"id": "d", "kind": "door", "at_in": 24, "width_in": 96, "head_height_in": 80, "header": {"nominal": "2x6"}}
ROOF = {**SITE, "roof_span_ft": 50, "roof_pitch_in_12": 4, "tie_spacing_in": 24}
LINE = {
    **SITE,
    "supports": "roof_only",
    "method_id": "WSP",
    "wall_height_ft": 13,
    "wall_length_ft": 40,
    "braced_wall_line_spacing_ft": 30,
    "braced_wall_line_count": 2,
    "eave_to_ridge_ft": 10,
    "panels": [{"id": "a", "start_in": 0, "length_in": 96}],
}
CASES = {
    "wind": ("/v1/requirements", {**STUD, "wind_speed_mph": 150}),
    "hill": ("/v1/requirements", {**STUD, "upper_half_of_hill": True}),
    "seismic": ("/v1/requirements", {**STUD, "seismic_design_category": "E"}),
    "snow": ("/v1/requirements", {**STUD, "ground_snow_load_psf": 80}),
    "stories": ("/v1/requirements", {**STUD, "story_count": 4}),
    "panel_wind": ("/v1/requirements", {**PANEL, "exposure": "D", "wind_speed_mph": 139}),
    "light_framing": ("/v1/requirements", {**PANEL, "code_edition": "irc-2024", "species": "northern-white-cedar"}),
    "stud_height": ("/v1/wall-plans", {**WALL, "wall": {**WALL["wall"], "height_in": 132}}),
    "stud_spacing": ("/v1/wall-plans", {**WALL, "wall": {**WALL["wall"], "stud_spacing_in": 24, "supports": "one_story_and_roof"}}),
    "header": ("/v1/wall-plans", {**WALL, "wall": {**WALL["wall"], "openings": [DOOR]}}),
    "uplift": ("/v1/uplift-requirements", ROOF),
    "bracing": ("/v1/bracing-checks", LINE),
    "plate_piece": ("/v1/anchorages", {**SITE, "plate_lengths_ft": [0.5]}),
    "shear": (
        "/v1/shear-capacities",
        {"panel_thickness_in": 0.4375, "nail_id": "8d-common", "edge_spacing_in": 6, "wall_length_ft": 2, "wall_height_ft": 8},
    ),
}


def test_each_kind_that_the_domain_names_has_its_line_and_each_line_is_named():
    """Kinds are first arguments of `past`, or last ones of a Stop; those of the site are kinds of the scope tables."""
    named = {row.kind for edition in open_book().editions.values() for row in edition.scope}
    for file in DOMAIN.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Tuple | ast.Call):
                first = [*getattr(node, "elts", []), *getattr(node, "args", [])][:1]
                named |= {c.value for c in first if isinstance(c, ast.Constant) and c.value in STEPS}
    assert named == set(STEPS)


@pytest.mark.parametrize("kind", CASES)
def test_a_stop_says_what_covers_the_next_step_and_who_decides(client: FlaskClient, kind):
    path, question = CASES[kind]
    answer = client.post(path, json=question)
    assert answer.status_code == 200, answer.json
    (stop,) = [c for c in answer.json["cautions"] if c["code"] == "engineering_required_scope"]
    (step,) = [s for s in stop["next_steps"] if s["limit"] == kind]
    assert step["step"] in step["label"] and step["decides"][1:] in step["label"]
    assert (step["step"], step["decides"], step["confidence"]) == (STEPS[kind].step, STEPS[kind].decides, STEPS[kind].confidence)


def test_what_is_no_limit_has_no_next_step(client: FlaskClient):
    answer = client.post("/v1/requirements", json={**STUD, "nail_id": "8d-box"}).json
    assert answer["result"]["nail_count_per_joint"] is None
    assert all("next_steps" not in c for c in answer["cautions"])


def test_walls_of_11_and_12_ft_name_the_table_that_may_serve_them(client: FlaskClient):
    """IRC Table R602.3(5) ends at 10 ft for bearing studs; R602.3(6) is for 11 and 12 ft (from memory), not held."""
    (stop,) = [c for c in client.post(*CASES["stud_height"][:1], json=CASES["stud_height"][1]).json["cautions"] if c["severity"] == "stop"]
    assert "R602.3(6)" in stop["next_steps"][0]["step"] and "not held" in stop["next_steps"][0]["step"]
