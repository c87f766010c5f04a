"""Words in and words out: how a nail was read, in which unit it is named, and what a question says that does nothing."""

from typing import Any

import pytest
from flask.testing import FlaskClient

STUD = "stud-to-plate-end-nail"
WALL = {"length_in": 144, "height_in": 97.125}


def post(client: FlaskClient, path: str, asked: Any, status: int = 200) -> Any:
    answer = client.post(path, json=asked)
    assert answer.status_code == status, answer.json
    return answer.json


def assumed(body: Any) -> dict[str, Any]:
    return {a["field"]: a["value"] for a in body["meta"]["assumptions"]}


READ = "read as 90 x 3.1 mm smooth"


def test_bare_millimetres_are_said_in_the_assumptions_of_every_question(client: FlaskClient) -> None:
    said = {"nail_designation": "90x3.1"}
    joint = post(client, "/v1/requirements", {"connection_id": STUD, **said})
    assert assumed(joint)["nail_designation"] == READ
    assert joint["input"]["nail_designation"] == "90x3.1"
    wall = post(client, "/v1/wall-plans", {"framing_nail": said, "connection_nails": {STUD: said}, "wall": WALL})
    assert assumed(wall)["framing_nail.nail_designation"] == assumed(wall)[f"connection_nails.{STUD}.nail_designation"] == READ
    several = post(client, "/v1/substitutions", {"connection_id": STUD, "nails": [{"nail_id": "16d-common"}, said]})
    assert assumed(several)["nails.1.nail_designation"] == READ
    assert several["input"]["nails"][1] == said
    box = post(client, "/v1/substitutions", {"wall": WALL, "nails": [said, {"nail_id": "16d-common"}]})
    assert assumed(box)["nails.0.nail_designation"] == READ
    assert not [name for name in assumed(box) if name.startswith("framing_nail")]
    by_query = client.get("/v1/substitutions", query_string={"connection_id": STUD, "nail_designation": "90x3.1"}).json
    assert assumed(by_query)["nails.0.nail_designation"] == READ
    assert by_query["input"]["nails"] == [said]
    assert assumed(post(client, "/v1/nail-strengths", {**said, "side_thickness_in": 1.5}))["nail_designation"] == READ


@pytest.mark.parametrize("said", ["16d common", "3 x 0.131", "75 x 3.15 mm"])
def test_nothing_is_assumed_of_words_that_say_it_all(client: FlaskClient, said: str) -> None:
    assert "nail_designation" not in assumed(post(client, "/v1/requirements", {"connection_id": STUD, "nail_designation": said}))


@pytest.mark.parametrize(
    ("nail", "label"),
    [
        ({"nail_designation": "75 x 3.15 mm"}, "75 x 3.15 mm smooth"),
        ({"nail_length_mm": 75, "shank_diameter_mm": 3.15}, "75 x 3.15 mm smooth"),
        ({"nail_designation": "3 x .131"}, "3 x 0.131 smooth"),
        ({"nail_length_in": 3, "shank_diameter_in": 0.131, "shank": "ring"}, "3 x 0.131 ring"),
        ({"nail_id": "16d-common"}, "16d common (3-1/2 x 0.162)"),
    ],
)
@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_nail_is_labelled_in_the_unit_it_was_sent_in(client: FlaskClient, nail: Any, label: str, units: str) -> None:
    joint = post(client, "/v1/requirements", {"connection_id": STUD, **nail, "units": units})
    assert joint["result"]["nail"]["label"] == label
    wall = post(client, "/v1/wall-plans", {"framing_nail": nail, "wall": WALL, "units": units})
    assert {n["nail"]["label"] for n in wall["result"]["nails"]} == {label}
    several = post(client, "/v1/substitutions", {"connection_id": STUD, "nails": [nail], "units": units})
    assert several["result"]["connections"][0]["judgements"][0]["nail"]["label"] == label


def test_a_label_does_not_depend_on_who_asked_before(client: FlaskClient) -> None:
    """Judgements are kept: the same nail in the other unit must not bring back the words of the question before."""
    sizes = [{"nail_length_mm": 76.2, "shank_diameter_mm": 3.048}, {"nail_length_in": 3, "shank_diameter_in": 0.12}]
    for order in (sizes, sizes[::-1]):
        said = [post(client, "/v1/requirements", {"connection_id": STUD, **n})["result"]["nail"]["label"] for n in order]
        assert ["mm" in words for words in said] == ["nail_length_mm" in n for n in order]


def test_the_word_galv_is_no_hot_dip_zinc(client: FlaskClient) -> None:
    """Only hot-dip galvanized or stainless nails may pass copper-treated wood (caution treated_lumber_fastener): the bare word may be neither."""
    asked = {"connection_id": "bottom-plate-to-floor-face-nail", "nail_designation": "3 x .131 galv", "treatment": "copper"}
    answer = post(client, "/v1/requirements", asked)
    assert "treated_lumber_fastener" in answer["result"]["caution_codes"]
    assert answer["result"]["nail"]["coating"] == "electro_galvanized"
    assert assumed(answer)["nail_designation"] == "read as 3 x 0.131 smooth electro galvanized"
