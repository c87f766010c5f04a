"""Reference data: lists, filters, single entries, and the limits in force."""

import dataclasses
import re
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from service.app import create_app
from service.settings import Settings
from service.web import limits

APP = create_app(Settings(log_level="error"))
NAIL_TALK = (
    "16d 8d common box sinker ring x 3 .131 90x3.1 2-3/8 1/0 0/0 mm in gun galv hdg clipped staple ° 21 degree rsrs RSRS-09 ² ٣".split()
)
LISTS = [
    ("/v1/connections", "id"),
    ("/v1/nails", "id"),
    ("/v1/species", "id"),
    ("/v1/cautions", "code"),
    ("/v1/problems", "slug"),
    ("/v1/code-editions", "id"),
]
EDITIONS = ["irc-2012", "irc-2015", "irc-2018", "irc-2021", "irc-2024", "ibc-2015", "ibc-2018", "ibc-2021", "ibc-2024"]


def items(client: FlaskClient, path: str, **query: Any) -> list[dict[str, Any]]:
    answer = client.get(path, query_string=query)
    assert answer.status_code == 200, answer.json
    found: list[dict[str, Any]] = answer.json["items"]
    return found


@pytest.mark.parametrize(("path", "key"), LISTS)
def test_every_listed_entry_resolves(client: FlaskClient, path: str, key: str) -> None:
    listed = items(client, path)
    names = [entry[key] for entry in listed]
    assert len(set(names)) == len(names) > 0
    for entry in listed:
        one = client.get(f"{path}/{entry[key]}")
        assert one.status_code == 200
        assert {k: one.json["result"][k] for k in entry} == entry


@pytest.mark.parametrize("path", [p for p, _ in LISTS] + ["/v1/limits"])
def test_catalogue_has_the_envelope(client: FlaskClient, path: str) -> None:
    body = client.get(path).json
    assert (set(body), body["cautions"]) == ({"meta", "items", "cautions"}, [])


def test_code_editions_are_those_promised(client: FlaskClient) -> None:
    assert sorted(e["id"] for e in items(client, "/v1/code-editions")) == sorted(EDITIONS)


def test_options_by_confidence_sum_to_all_options(client: FlaskClient) -> None:
    for edition in items(client, "/v1/code-editions"):
        assert sum(edition["option_count_by_confidence"].values()) == edition["option_count"] > 0, edition["id"]


def test_option_count_is_what_the_connections_show(client: FlaskClient) -> None:
    edition = client.get("/v1/code-editions/irc-2021").json["result"]
    shown = items(client, "/v1/connections", code_edition="irc-2021")
    printed = [o for c in shown for r in c["rows"] for o in r.get("options", []) if o["confidence"] != "common_practice"]
    assert len(printed) == edition["option_count"]


@pytest.mark.parametrize("group", ["roof", "wall", "floor", "sheathing"])
def test_group_keeps_exactly_its_connections(client: FlaskClient, group: str) -> None:
    found = items(client, "/v1/connections", group=group)
    assert [c["id"] for c in found] == [c["id"] for c in items(client, "/v1/connections") if c["group"] == group] != []


@pytest.mark.parametrize("words", ["stud plate", "PLATE stud", "header"])
def test_search_finds_every_word(client: FlaskClient, words: str) -> None:
    found = items(client, "/v1/connections", q=words)
    wanted = [
        c["id"]
        for c in items(client, "/v1/connections")
        if set(words.lower().split()) <= set(re.findall("[a-z]+", f"{c['id']} {c['description']}".lower().replace("studs", "stud")))
    ]
    assert sorted(c["id"] for c in found) == sorted(wanted) != []
    assert {c["match"] for c in found} == {"every_word"}


def test_search_says_how_it_read_the_words_and_what_it_missed(client: FlaskClient) -> None:
    assert [c["match_reason"] for c in items(client, "/v1/connections", q="sole plate")] == ["sole plate is read as bottom plate"]
    near = items(client, "/v1/connections", q="rafer to plate")
    assert [(c["match"], "rafer" in c["match_reason"]) for c in near] == [("nearest", True)] * 3
    assert not {"match", "match_reason"} & {key for c in items(client, "/v1/connections", group="roof") for key in c}


def test_search_keeps_to_its_filters(client: FlaskClient) -> None:
    assert {c["group"] for c in items(client, "/v1/connections", q="rafters to plate", group="wall")} == {"wall"}
    shown = items(client, "/v1/connections", q="king to header", code_edition="irc-2021")
    assert [c["id"] for c in shown] == ["stud-to-header-end-nail"]
    assert {r["code_edition"] for c in shown for r in c["rows"]} == {"irc-2021"}


def test_search_without_a_match_is_an_empty_list(client: FlaskClient) -> None:
    assert items(client, "/v1/connections", q="trampoline") == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_edition_filter_shows_its_rows_only(client: FlaskClient, edition: str) -> None:
    found = items(client, "/v1/connections", code_edition=edition)
    assert found
    assert {r["code_edition"] for c in found for r in c["rows"]} == {edition}
    assert all(c["rows"] and edition in c["code_editions"] for c in found)


def test_known_row_is_shown_with_its_options(client: FlaskClient) -> None:
    rows = client.get("/v1/connections/stud-to-plate-end-nail").json["result"]["rows"]
    options = [o for r in rows if r["code_edition"] == "irc-2021" for o in r["options"]]
    assert {("16d-common", 2), ("smooth-3x0.131", 3)} <= {(o["nail_id"], o["nail_count_per_joint"]) for o in options}


@pytest.mark.parametrize(("name", "value"), [("code_edition", "irc-1999"), ("group", "cellar"), ("q", "  "), ("q", "x" * 65)])
def test_bad_filter_is_named(client: FlaskClient, name: str, value: str) -> None:
    answer = client.get("/v1/connections", query_string={name: value})
    assert (answer.status_code, [e["parameter"] for e in answer.json["errors"]]) == (422, [name])


def test_bare_pennyweight_lists_every_nail_with_a_caution(client: FlaskClient) -> None:
    body = client.get("/v1/nails?designation=16d").json
    assert {0.162, 0.148, 0.135} <= {n["shank_diameter_in"] for n in body["items"]}
    assert [c["code"] for c in body["cautions"]] == ["ambiguous_designation"]


@pytest.mark.parametrize(
    ("words", "length", "diameter"),
    [
        ("16d common", 3.5, 0.162),
        ("10d box", 3, 0.128),
        ("8d common", 2.5, 0.131),
        ("3 x .131", 3, 0.131),
        ('3-1/4" x 0.120"', 3.25, 0.12),
        ("2 3/8 x .113 ring", 2.375, 0.113),
    ],
)
def test_full_designation_is_one_nail(client: FlaskClient, words: str, length: float, diameter: float) -> None:
    body = client.get("/v1/nails", query_string={"designation": words}).json
    assert [(n["length_in"], n["shank_diameter_in"]) for n in body["items"]] == [(length, diameter)]
    assert body["cautions"] == []


def test_length_alone_lists_what_it_could_be_with_a_caution(client: FlaskClient) -> None:
    body = client.get("/v1/nails", query_string={"designation": "2-3/8 ring"}).json
    assert [(n["length_in"], n["shank_diameter_in"], n["shank"]) for n in body["items"]] == [(2.375, 0.113, "ring")]
    assert [(c["code"], "names no diameter" in c["applies_because"]) for c in body["cautions"]] == [("ambiguous_designation", True)]


@settings(deadline=None, max_examples=150)
@given(st.text(max_size=60) | st.lists(st.sampled_from(NAIL_TALK), max_size=7).map(" ".join))
def test_no_designation_ends_in_a_500(words: str) -> None:
    client = APP.test_client()
    asked = {"connection_id": "stud-to-plate-end-nail", "nail_designation": words}
    assert client.post("/v1/requirements", json=asked).status_code in (200, 422)
    assert client.get("/v1/nails", query_string={"designation": words}).status_code in (200, 422, 414)


def test_word_that_is_no_nail_is_named(client: FlaskClient) -> None:
    answer = client.get("/v1/nails?designation=banana")
    assert (answer.status_code, answer.json["errors"][0]["parameter"]) == (422, "designation")


def test_pennyweight_in_a_question_is_refused_as_ambiguous(client: FlaskClient) -> None:
    answer = client.get("/v1/requirements?connection_id=stud-to-plate-end-nail&nail_designation=16d")
    assert (answer.status_code, [(e["parameter"], e["code"]) for e in answer.json["errors"]]) == (
        422,
        [("nail_designation", "ambiguous_nail")],
    )


def test_cautions_are_worst_known_severities_and_short(client: FlaskClient) -> None:
    for caution in items(client, "/v1/cautions"):
        assert caution["severity"] in ("info", "caution", "warning", "stop")
        assert 0 < len(caution["text"]) <= 300
        assert caution["action"]


def test_limits_show_the_settings_in_force() -> None:
    own = Settings(max_body_bytes=2048, max_items=7, max_position_walls=4, backlog=9, max_members=11, max_positions=12, log_level="error")
    own = dataclasses.replace(own, client_timeout_s=13, request_timeout_s=14)
    shown = {entry["setting"]: entry["value"] for entry in items(create_app(own).test_client(), "/v1/limits") if entry["setting"]}
    assert shown == {
        "APP_MAX_BODY_BYTES": 2048,
        "APP_MAX_ITEMS": 7,
        "APP_MAX_POSITION_WALLS": 4,
        "APP_MAX_MEMBERS": 11,
        "APP_MAX_POSITIONS": 12,
        "APP_BACKLOG": 9,
        "APP_CLIENT_TIMEOUT_S": 13,
        "APP_REQUEST_TIMEOUT_S": 14,
    }


def test_limits_show_the_fixed_bounds(client: FlaskClient) -> None:
    shown = {entry["name"]: entry["value"] for entry in items(client, "/v1/limits") if entry["setting"] is None}
    fixed = {"max_json_depth": 16, "max_query_bytes": 4096, "max_text_characters": 256, "max_kept_answers_bytes": 8_000_000}
    assert (fixed | {"max_kept_answer_bytes": 65_536, "max_listed_errors": 50}).items() <= shown.items()


def test_limits_show_what_the_contract_says_of_lists(client: FlaskClient) -> None:
    """Each list of a question has its limit here; those of one or four words are no limit that a caller meets."""
    schemas = client.get("/v1/openapi.json").json["components"]["schemas"]
    shown = {entry["name"]: entry["value"] for entry in items(client, "/v1/limits")}
    told = sorted(value for name, value in shown.items() if name in {name for name, _, _ in limits.LISTS} | {"max_items"})
    said = {
        (ask, field): s["maxItems"]
        for ask, schema in schemas.items()
        for field, s in schema.get("properties", {}).items()
        if ask.endswith("Ask") and "maxItems" in s and not field.endswith("_m")
    }
    named = {field for ask, field in said} - {"include", "groups", "connection_ids", "joints", "items"}
    assert named == {field for _, _, field in limits.LISTS}
    assert set(told) == {v for (_, field), v in said.items() if field in named} | {shown["max_items"]}
    wall = schemas["WallAsk"]["properties"]
    assert (shown["max_wall_length_in"], shown["max_wall_height_in"]) == tuple(wall[n]["maximum"] for n in ("length_in", "height_in"))


def test_a_query_that_is_too_long_is_told_with_its_limit(client: FlaskClient) -> None:
    answer = client.get(f"/v1/nails?designation={'x' * 4096}")
    assert (answer.status_code, answer.json["code"]) == (414, "uri_too_long")
    assert (answer.json["limit"], answer.json["received"]) == (4096, len("designation=") + 4096)


@pytest.mark.parametrize(
    ("earlier", "now"),
    [
        ("counts_not_a_design", "local_code_governs"),
        ("verify_local_amendments", "local_code_governs"),
        ("temporary_bracing", "raise_wall"),
        ("wall_too_heavy_by_hand", "raise_by_machine"),
        ("splitting_end_distance", "wood_splits"),
        ("treatment_assumed", "treated_lumber_fastener"),
    ],
)
def test_an_earlier_caution_leads_to_the_one_that_says_its_facts_now(client: FlaskClient, earlier: str, now: str) -> None:
    """What each code took over stands in the list of codes that the service was given, and in `replaces` of the new one."""
    answer = client.get(f"/v1/cautions/{earlier}")
    assert (answer.status_code, answer.json["code"]) == (404, "unknown_id")
    assert answer.json["did_you_mean"] == now
    assert earlier in client.get(f"/v1/cautions/{now}").json["result"]["replaces"]


def test_no_caution_is_both_held_and_replaced(client: FlaskClient) -> None:
    held = items(client, "/v1/cautions")
    replaced = [earlier for c in held for earlier in c["replaces"]]
    assert len(replaced) == len(set(replaced)) == 21 - 2, "two of 21 have no heir: one stands in the placement, one was dropped"
    assert not set(replaced) & {c["code"] for c in held}
