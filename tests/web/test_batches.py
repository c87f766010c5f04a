"""What a batch says of its items: each its own cautions, causes and assumptions, the shared ones once at the top."""

import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.web.examples import example

ROOT = Path(__file__).parents[2]
HOUSE = {p.stem.removeprefix("house-"): json.loads(p.read_text()) for p in sorted((ROOT / "openapi/examples").glob("house-*.json"))}
WALLS, JOINTS, STRENGTHS = "/v1/wall-plans", "/v1/requirements", "/v1/nail-strengths"
STUD = {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}
ASKS = {
    JOINTS: {
        "listed": STUD,
        "hand": {**STUD, "driver": "hand", "exposure": "C"},
        "thin": {**STUD, "nail_id": "smooth-3x0.120"},
        "panel": {"connection_id": "wood-panel-to-framing", "nail_id": "8d-common", "panel_thickness_in": 0.5},
    },
    STRENGTHS: {
        "plain": {"nail_id": "16d-common", "side_thickness_in": 1.5},
        "wet": {"nail_id": "16d-common", "side_thickness_in": 2, "moisture": "wet_in_service"},
    },
    WALLS: HOUSE,
}


def ask(client: FlaskClient, path: str, body: Any) -> Any:
    answer = client.post(path, json=body)
    assert answer.status_code == 200, answer.json
    return answer.json


def together(client: FlaskClient, path: str, asks: dict[str, Any]) -> Any:
    return ask(client, f"{path}/batch", {"items": [{"id": name, **one} for name, one in asks.items()]})


def frozen(assumptions: list[Any]) -> set[str]:
    return {json.dumps(a, sort_keys=True) for a in assumptions}


@pytest.mark.parametrize("path", ASKS)
def test_an_item_has_the_result_and_the_cautions_of_the_single_question(client: FlaskClient, path: str) -> None:
    for entry in together(client, path, ASKS[path])["results"]:
        alone = ask(client, path, ASKS[path][entry["id"]])
        assert entry["result"] == alone["result"]
        assert entry["cautions"] == alone["cautions"]


@pytest.mark.parametrize("path", ASKS)
def test_what_an_item_assumes_stands_beside_it_or_in_meta_and_never_in_both(client: FlaskClient, path: str) -> None:
    body = together(client, path, ASKS[path])
    shared = frozen(body["meta"]["assumptions"])
    owns = [frozen(entry["assumptions"]) for entry in body["results"]]
    for entry, own in zip(body["results"], owns, strict=True):
        assert not own & shared
        assert own | shared == frozen(ask(client, path, ASKS[path][entry["id"]])["meta"]["assumptions"])
    assert not set.intersection(*owns), "what all items share stands in meta"


def test_a_value_that_one_item_sent_is_not_said_to_be_assumed_there(client: FlaskClient) -> None:
    body = together(client, JOINTS, ASKS[JOINTS])
    assert "exposure" not in {a["field"] for a in body["meta"]["assumptions"]}
    assert {e["id"]: any(a["field"] == "exposure" for a in e["assumptions"]) for e in body["results"]} == {
        "listed": True,
        "hand": False,
        "thin": True,
        "panel": True,
    }


def test_a_refused_item_assumes_nothing_and_hides_nothing(client: FlaskClient) -> None:
    body = together(client, JOINTS, {"good": STUD, "bad": {"connection_id": "stud-to-plate-end-nail"}})
    assert "assumptions" not in body["results"][1]
    assert body["results"][0]["assumptions"] == []
    assert frozen(body["meta"]["assumptions"]) == frozen(ask(client, JOINTS, STUD)["meta"]["assumptions"])


@pytest.mark.parametrize("path", ASKS)
def test_the_top_says_each_code_once_with_every_item_it_applies_to(client: FlaskClient, path: str) -> None:
    body = together(client, path, ASKS[path])
    spoken: dict[str, list[str]] = {}
    for i, entry in enumerate(body["results"]):
        for c in entry["cautions"]:
            spoken.setdefault(c["code"], []).append(f"/results/{i}")
    assert {c["code"]: c["applies_to"] for c in body["cautions"]} == spoken
    assert len(body["cautions"]) == len(spoken)


def test_each_cause_is_said_of_the_walls_it_is_of(client: FlaskClient) -> None:
    """A wall's weight is its own: 1.3 lb/ft of 2x4 (from memory), 10 studs of 92.625 in and 3 plates in 12 ft, 7 in 8 ft."""
    walls = {name: {"framing_nail": {"nail_id": "16d-box"}, "wall": {"length_in": x, "height_in": 97.125}} for name, x in LENGTHS.items()}
    body = together(client, WALLS, walls)
    (raising,) = [c for c in body["cautions"] if c["code"] == "raise_wall"]
    long, short = (10 * 92.625 + 3 * 144) / 12 * 1.3, (7 * 92.625 + 3 * 96) / 12 * 1.3
    head = "stud_to_plate_method is end_nail (framed flat and raised): about"
    said = [f"{names}: {head} {lb:.0f} lb, 3 people at 50 lb each" for names, lb in (("a, c", long), ("b", short))]
    assert raising["applies_because"] == "; ".join(said)
    assert raising["applies_to"] == ["/results/0", "/results/1", "/results/2"]


LENGTHS = {"a": 144, "b": 96, "c": 144}


def test_a_cause_that_all_share_stands_alone_and_many_are_cut_short(client: FlaskClient) -> None:
    nails = ("bright", "stainless", "copper", "silicon_bronze", "other")
    asks = {name: {**STUD, "coating": name, "code_edition": "irc-2021"} for name in nails}
    said = {c["code"]: c["applies_because"] for c in together(client, JOINTS, asks)["cautions"]}
    assert said["nail_gun"] == "driver is gun"
    carbon = said["carbon_steel_only"]
    assert carbon.startswith("stainless: coating stainless in irc-2021; copper: coating copper in irc-2021; ")
    assert carbon.endswith("; and 1 more causes")


@pytest.mark.parametrize(
    ("name", "labelled"), [("planWalls", False), ("takeOff", True), ("takeOff.sheet-purchase", True), ("scheduleNailing.sheet", False)]
)
def test_the_lists_of_the_example_house_are_of_all_its_walls(name: str, labelled: bool) -> None:
    """What to buy and the schedule are shown of the house as it stands, not of one wall; a schedule names walls by their ids."""
    asked = example(name)
    found = [item.get("wall", item) for item in asked.get("walls") or asked["items"]]
    assert {wall["id"]: wall for wall in found} == {name: one["wall"] for name, one in HOUSE.items()}
    assert len(found) == len(HOUSE) == 7
    assert all(bool(item.get("label")) == labelled for item in asked.get("walls", []))
