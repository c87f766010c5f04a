"""Words in and words out: how a nail was read, in which unit it is named, and what a question says that does nothing."""

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.schemas.asks.common import NailSchema
from service.schemas.asks.joint import RequirementSchema
from service.schemas.asks.strength import NailStrengthSchema
from service.schemas.asks.substitution import SubstitutionSchema
from service.schemas.asks.wall import HeaderSchema, IntersectionSchema, OpeningSchema, SheathingSchema, WallPlanSchema, WallSchema
from service.schemas.loading import load
from service.tables.book import open_book

STUD = "stud-to-plate-end-nail"
WALL = {"length_in": 144, "height_in": 97.125}
BOOK = open_book()


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


def faults(client: FlaskClient, path: str, asked: Any) -> dict[str, Any]:
    """Return the faults of a refused question by the last part of their place."""
    return {e["pointer"].rpartition("/")[2]: e for e in post(client, path, asked, 422)["errors"]}


def wall_faults(client: FlaskClient, **wall: Any) -> dict[str, Any]:
    return faults(client, "/v1/wall-plans", {"framing_nail": {"nail_id": "16d-common"}, "wall": {**WALL, **wall}})


@pytest.mark.parametrize(
    ("field", "value", "unit", "converted", "words"),
    [
        # 1 ft is 12 in, 1 in is 25.4 mm (NIST SP 811, appendix B.8)
        ("height_in", 8, "ft", 96, "8 looks like feet: 8 ft is 96 in"),
        ("height_in", 2466.975, "mm", 97.125, "2466.975 looks like millimetres: 2466.975 mm is 97.125 in"),
        ("height_mm", 97.125, "in", 2466.975, "97.125 looks like inches: 97.125 in is 2466.975 mm"),
        ("length_in", 7315.2, "mm", 288, "7315.2 looks like millimetres: 7315.2 mm is 288 in"),
        ("length_mm", 288, "in", 7315.2, "288 looks like inches: 288 in is 7315.2 mm"),
        ("plate_stock_length_ft", 192, "in", 16, "192 looks like inches: 192 in is 16 ft"),
    ],
)
def test_a_length_out_of_bounds_names_the_unit_it_was_likely_measured_in(
    client: FlaskClient, field: str, value: float, unit: str, converted: float, words: str
) -> None:
    base = field.rpartition("_")[0]
    wall = {k: v for k, v in WALL.items() if k.rpartition("_")[0] != base}
    asked = {"framing_nail": {"nail_id": "16d-common"}, "wall": {**wall, field: value}}
    fault = faults(client, "/v1/wall-plans", asked)[field]
    assert (fault["code"], fault["likely_unit"], fault["converted"]) == ("out_of_range", unit, converted)
    assert words in fault["detail"]


def test_a_length_that_fits_no_unit_says_none(client: FlaskClient) -> None:
    assert "likely_unit" not in wall_faults(client, length_in=-5)["length_in"]


@pytest.mark.parametrize(("value", "said"), [(2_000_000, "must be 1 to 1000000"), (1e300, "must be 1 to 1000000")])
def test_numbers_are_written_without_an_exponent(client: FlaskClient, value: float, said: str) -> None:
    fault = faults(client, "/v1/requirements", {"connection_id": STUD, "nail_id": "16d-common", "joint_count": value})["joint_count"]
    assert fault["detail"] == said


BAD_IDS = [
    ("/v1/connections/sole-plate-to-floor", "/v1/connections", "did_you_mean", "bottom-plate-to-floor-face-nail"),
    ("/v1/connections/rafter-to-ridge", "/v1/connections", "could_be", ["rafter-to-ridge-toe-nail", "rafter-to-ridge-end-nail"]),
    ("/v1/species/SPF", "/v1/species", "did_you_mean", "spruce-pine-fir"),
    ("/v1/nails/16d-comon", "/v1/nails", "did_you_mean", "16d-common"),
    ("/v1/code-editions/irc2021", "/v1/code-editions", "did_you_mean", "irc-2021"),
    ("/v1/cautions/nail_gnu", "/v1/cautions", "did_you_mean", "nail_gun"),
    ("/v1/problems/not-fuond", "/v1/problems", "did_you_mean", "not-found"),
]


@pytest.mark.parametrize(("path", "listed_at", "key", "meant"), BAD_IDS)
def test_a_bad_id_in_a_path_names_the_address_of_the_good_ones(
    client: FlaskClient, path: str, listed_at: str, key: str, meant: Any
) -> None:
    answer = client.get(path)
    assert (answer.status_code, answer.json[key]) == (404, meant)
    assert f"GET {listed_at} lists them" in answer.json["detail"]
    assert client.get(listed_at).status_code == 200


@pytest.mark.parametrize(
    ("asked", "field", "listed_at"),
    [
        ({"connection_id": "nowhere"}, "connection_id", "/v1/connections"),
        ({"species": "balsa"}, "species", "/v1/species"),
        ({"code_edition": "irc-1999"}, "code_edition", "/v1/code-editions"),
        ({"nail_id": "99d-common"}, "nail_id", "/v1/nails"),
    ],
)
def test_a_bad_id_in_a_question_names_the_address_of_the_good_ones(client: FlaskClient, asked: Any, field: str, listed_at: str) -> None:
    fault = faults(client, "/v1/requirements", {"connection_id": STUD, "nail_id": "16d-common", **asked})[field]
    assert (fault["code"], f"GET {listed_at} lists them" in fault["detail"]) == ("unknown_value", True)


def test_a_misspelled_nail_id_in_a_question_is_suggested(client: FlaskClient) -> None:
    fault = faults(client, "/v1/requirements", {"connection_id": STUD, "nail_id": "16d-comon"})["nail_id"]
    assert fault["did_you_mean"] == "16d-common"


def test_a_bad_joint_in_connection_nails_names_the_address_too(client: FlaskClient) -> None:
    asked = {"framing_nail": {"nail_id": "16d-common"}, "wall": WALL, "connection_nails": {"stud-to-plate": {"nail_id": "16d-common"}}}
    fault = faults(client, "/v1/wall-plans", asked)["stud-to-plate"]
    assert "GET /v1/connections lists them" in fault["detail"]
    assert fault["could_be"] == ["stud-to-plate-toe-nail", "stud-to-plate-end-nail"]


def test_a_query_reports_every_fault_in_words_for_a_query(client: FlaskClient) -> None:
    answer = client.get("/v1/requirements?conection_id=x&joint_count=abc&fire_rated=yes&exposure=Z&nail_id=16d-common&nail_id=8d-box")
    told = {e["parameter"]: (e["code"], e["detail"]) for e in answer.json["errors"]}
    assert answer.status_code == 422
    assert {name: code for name, (code, _) in told.items()} == {
        "conection_id": "unknown_field",
        "connection_id": "missing_field",
        "joint_count": "wrong_type",
        "fire_rated": "wrong_type",
        "exposure": "unknown_value",
        "nail_id": "repeated_parameter",
    }
    assert not [detail for _, detail in told.values() if "quotes" in detail or "field here" in detail]
    assert answer.json["errors"][0]["did_you_mean"] == "connection_id"


def test_the_contract_honours_accept(client: FlaskClient) -> None:
    assert client.get("/v1/openapi.json", headers={"Accept": "text/csv"}).status_code == 406
    for accept in ("*/*", "application/json", "text/html, */*;q=0.1"):
        assert client.get("/v1/openapi.json", headers={"Accept": accept}).status_code == 200


HEADER = {"ply_count": 2, "nominal": "2x8", "spacer_in": 0.5}
WINDOW = {"id": "w", "kind": "window", "at_in": 40, "width_in": 38, "sill_height_in": 36, "head_height_in": 82.5, "header": HEADER}


@pytest.mark.parametrize(
    ("path", "asked", "where"),
    [
        ("/v1/requirements", [], "#"),
        ("/v1/wall-plans", {"wall": WALL}, "#/framing_nail"),
        ("/v1/wall-plans", {"framing_nail": "16d box", "wall": WALL}, "#/framing_nail"),
        ("/v1/wall-plans", {"framing_nail": None, "wall": WALL}, "#/framing_nail"),
        ("/v1/wall-plans", {"framing_nail": {}, "wall": 24}, "#/wall"),
        ("/v1/wall-plans", {"framing_nail": {}, "wall": {**WALL, "sheathing": "osb"}}, "#/wall/sheathing"),
        ("/v1/wall-plans", {"framing_nail": {}, "wall": {**WALL, "openings": {}}}, "#/wall/openings"),
        ("/v1/wall-plans", {"framing_nail": {}, "wall": {**WALL, "openings": ["w1"]}}, "#/wall/openings/0"),
        ("/v1/wall-plans", {"framing_nail": {}, "wall": {**WALL, "openings": [{**WINDOW, "header": "2x8"}]}}, "#/wall/openings/0/header"),
        (
            "/v1/wall-plans",
            {"framing_nail": {"nail_id": "16d-box"}, "wall": {**WALL, "openings": [{**WINDOW, "header": None}]}},
            "#/wall/openings/0/header",
        ),
        ("/v1/wall-plans", {"framing_nail": {}, "wall": WALL, "connection_nails": []}, "#/connection_nails"),
        ("/v1/wall-plans", {"framing_nail": {}, "wall": WALL, "connection_nails": {STUD: "16d"}}, f"#/connection_nails/{STUD}"),
        (
            "/v1/wall-plans",
            {"framing_nail": {"nail_id": "16d-box"}, "wall": {**WALL, "sheathing": {"thickness_in": 0.4375}}},
            "#/sheathing_nail",
        ),
        ("/v1/substitutions", {"connection_id": STUD, "nails": ["3 x .131"]}, "#/nails/0"),
        ("/v1/requirements/batch", {"items": [3]}, "#/items/0"),
        ("/v1/requirements/batch", [3], "#"),
    ],
)
def test_an_error_that_needs_an_object_shows_one_that_would_do(client: FlaskClient, path: str, asked: Any, where: str) -> None:
    (fault,) = [e for e in post(client, path, asked, 422)["errors"] if e["pointer"] == where]
    assert fault["code"] in ("missing_field", "wrong_type")
    assert json.dumps(fault["example"]) in fault["detail"]


@pytest.mark.parametrize(
    "schema",
    [
        RequirementSchema,
        SubstitutionSchema,
        NailStrengthSchema,
        WallPlanSchema,
        WallSchema,
        OpeningSchema,
        HeaderSchema,
        SheathingSchema,
        IntersectionSchema,
        NailSchema,
    ],
)
def test_an_object_that_is_shown_is_taken(schema: Any) -> None:
    assert load(schema(), schema.example)


def test_a_fault_of_a_plain_field_shows_no_object(client: FlaskClient) -> None:
    assert "example" not in wall_faults(client, length_in="288")["length_in"]


IDLE = {
    "panel_thickness_in": 0.4375,
    "panel_thickness_mm": 11,
    "stud_spacing_in": 24,
    "span_rating": "24/16",
    "use": "roof",
    "material_between_in": 0.5,
    "spacer_in": 0.5,
    "braced_wall_panel": True,
}


@pytest.mark.parametrize("connection_id", [c for c, row in BOOK.connections.items() if not row.panel])
@pytest.mark.parametrize("field", IDLE)
def test_a_field_said_to_do_nothing_does_nothing(client: FlaskClient, connection_id: str, field: str) -> None:
    asked = {"connection_id": connection_id, "nail_designation": "3 x .120"}
    if BOOK.connections[connection_id].between == "spacer" and field == "material_between_in":
        return  # refused: header plies have a field of their own
    sent, plain = (post(client, "/v1/requirements", q) for q in ({**asked, field: IDLE[field]}, asked))
    said = [n for n in sent["result"].pop("notes") if field in n]
    assert plain["result"].pop("notes") == []
    if said:
        assert (sent["result"], sent["cautions"]) == (plain["result"], plain["cautions"])
    else:
        assert field in ("spacer_in", "braced_wall_panel")


def test_what_does_something_is_not_said_to_do_nothing(client: FlaskClient) -> None:
    panel = {"connection_id": "exterior-wall-panel-to-framing", "nail_id": "8d-common", "panel_thickness_in": 0.4375, "stud_spacing_in": 24}
    assert post(client, "/v1/requirements", panel)["result"]["notes"] == []
    header = {"connection_id": "built-up-header-face-nail", "nail_id": "16d-box", "spacer_in": 0.5}
    assert post(client, "/v1/requirements", header)["result"]["notes"] == []
    braced = {"connection_id": "stud-to-stud-face-nail", "nail_id": "16d-box", "braced_wall_panel": True}
    assert post(client, "/v1/requirements", braced)["result"]["notes"] == []


def notes(client: FlaskClient, wall: Any = WALL, **more: Any) -> str:
    asked = {"framing_nail": {"nail_id": "16d-common"}, "wall": wall, **more}
    return "\n".join(post(client, "/v1/wall-plans", asked)["result"]["notes"])


def test_a_nail_for_a_joint_that_the_wall_lacks_is_said(client: FlaskClient) -> None:
    nails = {"built-up-header-face-nail": {"nail_id": "16d-box"}, STUD: {"nail_id": "16d-box"}}
    assert "does not have, or that take the sheathing nail: built-up-header-face-nail" in notes(client, connection_nails=nails)
    assert "connection_nails" not in notes(client, {**WALL, "openings": [WINDOW]}, connection_nails=nails)


def test_a_sheathing_nail_without_sheathing_is_said(client: FlaskClient) -> None:
    nail = {"sheathing_nail": {"nail_id": "8d-common"}}
    assert "sheathing_nail does nothing" in notes(client, **nail)
    assert "sheathing_nail" not in notes(client, {**WALL, "sheathing": {"thickness_in": 0.4375}}, **nail)


@pytest.mark.parametrize(
    ("wall", "said"),
    [
        ({"length_in": 24}, "the wall is only 24 in long; if 24 ft was meant, that is 288 in"),
        ({"length_in": 12.5}, "the wall is only 12.5 in long; if 12.5 ft was meant, that is 150 in"),
        ({"openings": [{**WINDOW, "width_in": 8}]}, "opening w is only 8 in wide; if 8 ft was meant, that is 96 in"),
        ({"openings": [{**WINDOW, "sill_height_in": 3}]}, "the sill of opening w is only 3 in up; if 3 ft was meant, that is 36 in"),
    ],
)
def test_a_length_that_looks_like_feet_is_said(client: FlaskClient, wall: Any, said: str) -> None:
    """12 in to the foot."""
    assert said in notes(client, {**WALL, **wall})


def test_a_length_that_is_not_written_like_feet_is_not_said(client: FlaskClient) -> None:
    assert "was meant" not in notes(client, {"length_mm": 610, "height_mm": 2466.975})
    assert "was meant" not in notes(client, {**WALL, "length_in": 48, "openings": []})
