"""Answers in words, for whoever shows them: each label says the numbers that stand beside it, in the units asked."""

from typing import Any

import pytest
from flask.testing import FlaskClient

from service.schemas.answers.assumed import say_field, say_value

NAIL = {"nail_designation": "3 x 0.131"}
WALL = {"length_in": 144, "height_in": 97.125, "stud_spacing_in": 16}
CONCRETE = {**WALL, "bottom_plate_on": "concrete", "sheathing": {"thickness_in": 0.4375}}
ON_CONCRETE = {"framing_nail": NAIL, "sheathing_nail": {"nail_id": "8d-common"}, "wall": CONCRETE}


def post(client: FlaskClient, path: str, asked: Any) -> Any:
    answer = client.post(path, json=asked)
    assert answer.status_code == 200, answer.json
    return answer.json["result"]


def lines(found: Any) -> dict[str, Any]:
    return {line["connection_id"]: line for line in found["connections"]}


# IRC 2021 table R602.3(1): stud to plate by end nailing, item 16: 3 of 3 x 0.131; double top plates, item 13: 12 in on center
# with that nail; table R602.3(3) for panels against wind. As read in public copies.
def test_a_number_is_said_as_a_framer_would_and_with_its_place_in_print(client: FlaskClient) -> None:
    found = lines(post(client, "/v1/wall-plans", ON_CONCRETE))
    stud = found["stud-to-plate-end-nail"]
    assert (stud["nail_count_per_joint"], stud["number_label"]) == (3, "3 nails each end")
    assert stud["provenance"]["label"].startswith("IRC 2021 Table R602.3(1) item ")
    plates = found["top-plate-to-top-plate-face-nail"]
    assert (plates["spacing_in"], plates["number_label"]) == (12, "a nail every 12 in")
    panels = found["exterior-wall-panel-to-framing"]
    assert panels["number_label"] == f"{panels['edge_spacing_in']} in along edges, {panels['field_spacing_in']} in in the field"
    assert panels["provenance"]["label"] == "IRC 2021 Table R602.3(3)"


def test_where_there_is_no_number_the_label_says_so(client: FlaskClient) -> None:
    thin = post(client, "/v1/requirements", {"connection_id": "stud-to-plate-end-nail", "nail_designation": "1-1/2 x 0.120"})
    assert (thin["nail_count_per_joint"], thin["number_label"]) == (None, "no number")


def test_labels_are_in_the_units_asked(client: FlaskClient) -> None:
    found = post(client, "/v1/wall-plans", {**ON_CONCRETE, "wall": {**CONCRETE, "height_in": 97}, "units": "metric"})
    assert lines(found)["top-plate-to-top-plate-face-nail"]["number_label"] == "a nail every 304.8 mm"
    assert found["panels"][0]["label"] == "1219.2 x 2463.8 mm"  # 48 in and 97 in, at 25.4 mm
    assert found["panels"][1]["place_label"] == "1219.2 mm along the wall, 0 mm up"
    assert found["anchors"]["plates"][0]["label"] == "3657.6 mm long, from 0 mm"
    kilograms = round(found["totals"]["wall_weight_lb"] * 0.45359237)
    assert found["totals"]["lifting_label"].startswith(f"about {kilograms} kg: ")
    assert not [text for text in labels_of(found) if " in " in f"{text} " and "mm" not in text and text[0].isdigit()]


def labels_of(found: Any) -> list[str]:
    if isinstance(found, dict):
        return [v for k, v in found.items() if k.endswith("label") and isinstance(v, str)] + [
            t for v in found.values() for t in labels_of(v)
        ]
    return [t for v in found for t in labels_of(v)] if isinstance(found, list) else []


def test_panels_bolts_and_sums_are_said(client: FlaskClient) -> None:
    cut = {
        **CONCRETE,
        "openings": [
            {
                "id": "w",
                "kind": "window",
                "at_in": 60,
                "width_in": 38,
                "head_height_in": 82.5,
                "sill_height_in": 36,
                "header": {"nominal": "2x8", "ply_count": 2},
            }
        ],
    }
    found = post(client, "/v1/wall-plans", {**ON_CONCRETE, "wall": cut})
    whole, beside = found["panels"][:2]
    assert (whole["label"], whole["place_label"]) == ("48 x 97-1/8 in", "0 in along the wall, 0 in up")
    assert whole["nail_count_label"] == f"{whole['nail_count']} nails"
    # a sheet of 48 in ends at 96 in, so that 36 in of the opening are its own; 82-1/2 in less 36 in is 46-1/2 in
    assert [c["label"] for c in beside["cut_outs"]] == ["36 x 46-1/2 in"]
    (plate,) = found["anchors"]["plates"]
    places = ", ".join(f"{x:g}" for x in plate["positions_in"])
    assert plate["positions_label"] == f"{plate['bolt_count']} bolts at {places} in from the start of the piece"
    totals = found["totals"]
    assert totals["label"] == f"{totals['framing_nail_count']} framing nails, {totals['sheathing_nail_count']} panel nails"
    assert f"{totals['lifter_count']} people at 50 lb each" in totals["lifting_label"]


def test_sums_without_a_number_say_what_is_missing(client: FlaskClient) -> None:
    found = post(client, "/v1/wall-plans", {"framing_nail": {"nail_designation": "1-1/2 x 0.120"}, "wall": WALL})
    assert found["totals"]["label"].endswith("; joints without a number are not in it")
    bought = post(client, "/v1/takeoffs", {"framing_nail": {"nail_designation": "1-1/2 x 0.120"}, "walls": [{"id": "a", "wall": WALL}]})
    assert "; not complete: " in bought["label"]


def test_packages_and_money_are_said(client: FlaskClient) -> None:
    box = {**NAIL, "nail_count_per_package": 50, "price": 4.5, "currency": "USD"}
    asked = {"framing_nail": NAIL, "walls": [{"id": "a", "wall": WALL}], "purchase": {"waste_percent": 10, "packages": [box]}}
    found = post(client, "/v1/takeoffs", asked)
    (bought,) = found["purchase"]["packages"]
    assert bought["package_label"] == f"{bought['package_count']} packages of 50 nails"
    assert found["label"] == "for 1 wall: whole packages, sticks and sheets, 10 percent waste added"
    money = f"{bought['package_count'] * 4.5:.2f} USD"
    assert found["purchase"]["cost_label"] == f"{money}; something to buy has no price and is not in it"
    (generic,) = post(client, "/v1/takeoffs", {"framing_nail": NAIL, "walls": [{"id": "a", "wall": WALL}]})["purchase"]["packages"]
    assert "of about " in generic["package_label"]


def test_what_each_nail_on_hand_serves_alone_is_said(client: FlaskClient) -> None:
    hand = [{"nail_designation": "16d common"}, {"nail_designation": "3 x 0.120"}, {"nail_designation": "1-1/2 x 0.120"}]
    asked = {"framing_nail": NAIL, "walls": [{"id": "a", "count": 3, "wall": WALL}], "nails_on_hand": hand}
    found = post(client, "/v1/takeoffs", asked)
    assert found["label"].startswith("for 3 walls: ")
    listed, unlisted, short = found["nail_choice"]["alone"]
    assert listed["label"] == f"serves {listed['serves_count']} kinds of joints"
    assert unlisted["label"].endswith(f", {unlisted['calculated_count']} of them by strength, if the building official accepts")
    assert short["label"] == "serves no kind of joints"


def test_a_link_says_how_it_stands(client: FlaskClient) -> None:
    found = post(client, "/v1/wall-plans", {"framing_nail": NAIL, "wall": WALL})
    said = {link["status"]: link["status_label"] for link in found["load_path"]}
    assert said["not_checked"] == "not checked"


@pytest.mark.parametrize(
    ("field", "value", "label", "words"),
    [
        ("wind_speed_mph", 115, "wind speed", "\ue000h115\ue001"),
        ("wall.sheathing.material", "wood_structural_panel", "wall, sheathing, material", "wood structural panel"),
        ("wall.exterior", True, "wall, exterior", "yes"),
        ("wall.openings", [], "wall, openings", "none"),
        ("treatment", None, "treatment", "none"),
        ("purchase.waste_percent", 0, "purchase, waste", "0 percent"),
        ("stud_spacing_in", 16, "stud spacing", "\ue000f81280000\ue001"),
        ("story_count", 2, "story count", "2"),
    ],
)
def test_what_was_assumed_is_said_in_words(field: str, value: Any, label: str, words: str) -> None:
    assert (say_field(field), say_value(field, value)) == (label, words)


def test_assumptions_are_in_the_units_asked(client: FlaskClient) -> None:
    asked = {"framing_nail": NAIL, "wall": WALL}
    for units, wind in (("us", "115 mph"), ("metric", "51.4 m/s")):  # 115 x 0.44704
        meta = client.post("/v1/wall-plans", json={**asked, "units": units}).json["meta"]
        said = {a["label"]: a["value_label"] for a in meta["assumptions"]}
        assert said["wind speed"] == wind
