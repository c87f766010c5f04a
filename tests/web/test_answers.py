"""What an answer says beside its numbers: how they are counted, why, and names that people read."""

import csv
import io
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.web.examples import examples_of
from service.web.registry import OPERATIONS

NAIL = {"nail_designation": "3 x 0.131"}
KINDS = {
    "per_joint": ("nail_count_per_joint",),
    "on_center": ("spacing_in", "row_count"),
    "grouped": ("nail_count_per_group", "group_spacing_in"),
    "edge_and_field": ("edge_spacing_in", "field_spacing_in"),
}
FOOT = {"connection_id": "bottom-plate-to-floor-face-nail", "braced_wall_panel": True, **NAIL}
# IRC 2021 Table R602.3(1): item 17 end-nailed studs, 14 double top plate, 16 braced bottom plate; R602.3(3) wall panels.
NUMBERED = [
    ({"connection_id": "stud-to-plate-end-nail", **NAIL}, "per_joint", {"nail_count_per_joint": 3}),
    ({"connection_id": "top-plate-to-top-plate-face-nail", **NAIL}, "on_center", {"spacing_in": 12, "row_count": 1}),
    (FOOT, "grouped", {"nail_count_per_group": 4, "group_spacing_in": 16}),
    (
        {"connection_id": "exterior-wall-panel-to-framing", "nail_id": "8d-common", "panel_thickness_in": 0.4375},
        "edge_and_field",
        {"edge_spacing_in": 6, "field_spacing_in": 12},
    ),
]


def post(client: FlaskClient, path: str, asked: Any) -> Any:
    answer = client.post(path, json=asked)
    assert answer.status_code == 200, answer.json
    return answer.json


@pytest.mark.parametrize(("asked", "kind", "number"), NUMBERED)
def test_a_number_says_its_kind_and_has_the_fields_of_it_alone(client: FlaskClient, asked: Any, kind: str, number: Any) -> None:
    result = post(client, "/v1/requirements", asked)["result"]
    assert (result["number_kind"], {k: result[k] for k in KINDS[kind]}) == (kind, number)
    assert not {field for other in KINDS if other != kind for field in KINDS[other]} & set(result)
    assert {o["number_kind"] for o in result["listed_options"]} <= set(KINDS)


@pytest.mark.parametrize(("asked", "kind", "number"), NUMBERED)
def test_without_a_number_the_kind_stays_and_the_stop_points_at_what_is_null(
    client: FlaskClient, asked: Any, kind: str, number: Any
) -> None:
    body = post(client, "/v1/requirements", {**asked, "wind_speed_mph": 240})
    assert body["result"]["number_kind"] == kind
    assert {body["result"][field] for field in number if field != "row_count"} == {None}
    (pointer,) = {p for c in body["cautions"] if c["severity"] == "stop" for p in c["applies_to"]}
    assert pointer == f"/result/{next(iter(number))}"


def test_a_joint_without_a_row_has_no_kind(client: FlaskClient) -> None:
    """IBC 2021 Table 2304.10.2 has no row for studs into header ends."""
    asked = {"connection_id": "stud-to-header-end-nail", "code_edition": "ibc-2021", **NAIL}
    result = post(client, "/v1/requirements", asked)["result"]
    assert (result["outcome"], result["number_kind"], result["nail_count_per_joint"]) == ("not_applicable", None, None)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({**NAIL}, "listed for this joint: 3 nails each end"),
        (
            {"nail_designation": "3-1/4 x 0.131"},
            "at least as long and as thick as 10d box (3 x 0.128), so it takes that nail's number: 3 nails",
        ),
        ({"nail_designation": "3 x 0.120"}, "by strength it takes 4 nails each end to match"),
        ({**NAIL, "wind_speed_mph": 240}, "240 mph"),
    ],
)
def test_a_joint_says_its_number_and_its_ground_in_one_sentence(client: FlaskClient, more: Any, said: str) -> None:
    """IRC 2021 Table R602.3(1) item 17; 3 x 0.120 takes 4: common practice, no source."""
    assert said in post(client, "/v1/requirements", {"connection_id": "stud-to-plate-end-nail", **more})["result"]["reason"]


WALL = {"length_in": 288, "height_in": 97.125, "sheathing": {"thickness_in": 0.4375}}
PLAN = {"framing_nail": NAIL, "sheathing_nail": {"nail_id": "8d-common"}, "wall": WALL}


def test_a_number_that_reaches_only_the_weakest_listed_nail_says_so(client: FlaskClient, mild: dict[str, Any]) -> None:
    """Rafter, 3 x 0.113: 4 x 0.131^2 / 0.113^2 = 5.38, so 6, have no room on 3-1/2 in; three 16d box need 4.28, so 5. 0.120: 4.77, so 5."""
    joint = {**mild, "connection_id": "rafter-to-plate-toe-nail"}
    lesser, usual = (post(client, "/v1/requirements", {**joint, "nail_designation": n})["result"] for n in ("3 x 0.113", "3 x 0.120"))
    assert (lesser["nail_count_per_joint"], lesser["weakest_option_nail_count"], lesser["compared_with"]) == (5, 5, "weakest_option")
    assert (
        "as many as have room: by strength the weakest listed nail, 16d box" in lesser["reason"]
        and "would take 6 nails" in lesser["reason"]
    )
    assert lesser["working"]["strongest_option"]["basis"] == "4 / 0.7441 = 5.38, up to 6"
    assert (usual["nail_count_per_joint"], usual["compared_with"]) == (5, "strongest_option")


def test_each_line_of_a_wall_has_its_reason_and_closer_panels_say_who_asked(client: FlaskClient) -> None:
    lines = post(client, "/v1/wall-plans", PLAN)["result"]["connections"]
    assert all(line["reason"] for line in lines)
    assert lines[-1]["reason"] == "listed for this joint: 6 in along edges, 12 in in the field"
    closer = {**WALL, "sheathing": {"thickness_in": 0.4375, "edge_spacing_in": 4}}
    panels = post(client, "/v1/wall-plans", {**PLAN, "wall": closer})["result"]["connections"][-1]
    assert panels["reason"].endswith("nailed closer as you asked, 4 in along edges, 12 in in the field")


NAMED = {
    "outcome": ("outcome_label",),
    "role": ("label",),
    "connection_id": ("description",),
    "nail_id": ("label", "nail_label"),
    "listed_nail_id": ("listed_nail_label",),
}
ANSWERS = [
    pytest.param(e.answer, id=f"{o.operation_id}.{n}")
    for o in OPERATIONS
    for n, e in examples_of(o.operation_id).items()
    if e.form in ("json", "csv")
]


def unnamed(thing: Any, path: str = "") -> list[str]:
    """List the ids that stand without words for people; located nails are for programs, candidates show their sizes, `input` what was sent."""
    if isinstance(thing, list):
        return [p for i, inner in enumerate(thing) for p in unnamed(inner, f"{path}/{i}")]
    if not isinstance(thing, dict):
        return []
    mine = [f"{path}/{k}" for k, names in NAMED.items() if thing.get(k) and not any(thing.get(n) for n in names)]
    return mine + [
        p for k, inner in thing.items() if k not in ("input", "candidates", "nail_positions") for p in unnamed(inner, f"{path}/{k}")
    ]


@pytest.mark.parametrize("answer", ANSWERS)
def test_words_stand_beside_each_id_that_people_read(answer: Any) -> None:
    assert unnamed(list(csv.DictReader(io.StringIO(answer, newline=""))) if isinstance(answer, str) else answer) == []
