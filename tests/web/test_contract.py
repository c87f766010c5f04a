"""The OpenAPI document: valid, kept, and true to what is served."""

import copy
from pathlib import Path
from typing import Any

import orjson
import pytest
import yaml
from flask import Flask
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from openapi_spec_validator import validate

from openapi.__main__ import HERE, ask, ask_refused, form_of
from service.app import create_app
from service.settings import Settings
from service.web.examples import FORMS, REFUSED, Example, examples_of
from service.web.reading import MEDIA_TYPES
from service.web.registry import OPERATIONS, Operation

DOCUMENT: dict[str, Any] = create_app(Settings(log_level="error")).test_client().get("/v1/openapi.json").json
SCHEMAS = DOCUMENT["components"]["schemas"]
each_operation = pytest.mark.parametrize("o", OPERATIONS, ids=lambda o: o.operation_id)
posts = pytest.mark.parametrize("o", [o for o in OPERATIONS if o.method == "POST"], ids=lambda o: o.operation_id)
gets = pytest.mark.parametrize("o", [o for o in OPERATIONS if o.method == "GET"], ids=lambda o: o.operation_id)


def strict_schemas() -> dict[str, Any]:
    closed = copy.deepcopy(SCHEMAS)
    for schema in closed.values():
        if "properties" in schema:
            schema["additionalProperties"] = False
    return closed


STRICT = strict_schemas()


def faults(body: Any, schema: dict[str, Any], schemas: dict[str, Any]) -> list[str]:
    whole = {**schema, "components": {"schemas": schemas}}
    return [f"{e.json_path}: {e.message[:200]}" for e in Draft202012Validator(whole).iter_errors(body)]


def described(o: Operation) -> dict[str, Any]:
    return DOCUMENT["paths"][o.path][o.method.lower()]


def answer_schema(o: Operation) -> dict[str, Any]:
    return described(o)["responses"]["200"]["content"]["application/json"]["schema"]


def kept(o: Operation) -> dict[str, Example]:
    return examples_of(o.operation_id)


EXAMPLES = [pytest.param(o, n, e, id=f"{o.operation_id}.{n}") for o in OPERATIONS for n, e in (examples_of(o.operation_id)).items()]
each_example = pytest.mark.parametrize(("o", "name", "shown"), EXAMPLES)
asked = pytest.mark.parametrize(("o", "name", "shown"), [p for p in EXAMPLES if p.values[0].method == "POST"])
queried = pytest.mark.parametrize(("o", "name", "shown"), [p for p in EXAMPLES if p.values[0].method == "GET"])


def replay(client: FlaskClient, o: Operation, name: str, shown: Example) -> Any:
    raw = ask(client, o, name, shown.question)
    return orjson.loads(raw) if form_of(o, name, shown.question) == "json" else raw.decode()


def test_document_is_valid_openapi() -> None:
    assert DOCUMENT["openapi"].startswith("3.1")
    validate(DOCUMENT)


def test_kept_document_equals_the_served_one() -> None:
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    assert yaml.load(Path(HERE / "openapi.yaml").read_text(encoding="utf-8"), Loader=loader) == DOCUMENT


@each_example
def test_example_is_answered_as_kept(client: FlaskClient, o: Operation, name: str, shown: Example) -> None:
    assert replay(client, o, name, shown) == shown.answer


@pytest.mark.parametrize("name", examples_of(REFUSED))
def test_what_every_address_refuses_is_answered_as_kept_and_shown(client: FlaskClient, name: str) -> None:
    kept = examples_of(REFUSED)[name]
    answer = orjson.loads(ask_refused(client, kept.question))
    assert answer == kept.answer
    assert answer["code"] == name
    assert faults(answer, {"$ref": "#/components/schemas/Problem"}, STRICT) == []
    shown = [r["content"]["application/problem+json"]["examples"] for r in DOCUMENT["components"]["responses"].values()]
    (there,) = [examples[name] for examples in shown if name in examples]
    assert there["value"] == answer
    assert there["description"].startswith(f"{kept.question['method']} {kept.question['path'][:90]}")


@pytest.mark.parametrize("path", ["/livez", "/readyz", "/version"])
def test_operations_addresses_answer_as_shown(client: FlaskClient, path: str) -> None:
    (shown,) = DOCUMENT["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]["examples"].values()
    assert client.get(path).json == shown["value"]


@each_example
def test_answer_fits_its_schema_and_every_field_of_it_is_described(client: FlaskClient, o: Operation, name: str, shown: Example) -> None:
    if form_of(o, name, shown.question) != "json":
        pytest.skip("a sheet has no JSON Schema, its columns are checked against the declaration; nor has a picture")
    answer = replay(client, o, name, shown)
    schema = {"$ref": "#/components/schemas/Problem"} if "errors" in answer else answer_schema(o)
    assert faults(answer, schema, SCHEMAS) == []
    assert faults(answer, schema, STRICT) == []


def test_examples_show_every_outcome_a_refusal_a_failed_item_and_a_sheet() -> None:
    answers = [e.answer for o in OPERATIONS for e in kept(o).values()]
    shown = orjson.dumps([a for a in answers if not isinstance(a, str)]).decode()
    outcomes = SCHEMAS["Outcome"]["enum"]
    assert [o for o in outcomes if f'"outcome":"{o}"' not in shown] == []
    for o in OPERATIONS:
        if o.method == "POST" and not o.path.endswith("/batch"):
            assert any(e.status == 422 for e in kept(o).values()), o.operation_id
        assert {e.form for e in kept(o).values()} >= set(o.forms) & set(FORMS), o.operation_id
    assert any(isinstance(a, dict) and any(r.get("status") == 422 for r in a.get("results", [])) for a in answers)


JOINTS = [
    {"connection_id": "stud-to-plate-end-nail", "nail_designation": "3 x 0.120", "joint_count": 5},
    {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common", "wind_speed_mph": 200, "joint_count": 5},
    {"connection_id": "top-plate-to-top-plate-face-nail", "nail_designation": "3 x 0.131", "run_length_ft": 24},
    {"connection_id": "exterior-wall-panel-to-framing", "nail_id": "8d-common", "panel_thickness_in": 0.4375},
    {"connection_id": "wood-panel-to-framing", "nail_id": "8d-common", "panel_thickness_in": 0.4375, "use": "roof"},
]
WALLS = [
    {"wall": {"length_in": 144, "height_in": 97.125, "top_plate_count": 1}, "include": ["positions"]},
    {"wall": {"length_in": 144, "height_in": 140}, "fire_rated": True},
]


@pytest.mark.parametrize("asked", JOINTS)
def test_every_field_of_a_joint_is_described(client: FlaskClient, asked: Any) -> None:
    answer = client.post("/v1/requirements", json=asked)
    assert answer.status_code == 200
    assert faults(answer.json, {"$ref": "#/components/schemas/RequirementAnswer"}, STRICT) == []


@pytest.mark.parametrize("asked", WALLS)
def test_every_field_of_a_wall_is_described(client: FlaskClient, asked: Any) -> None:
    answer = client.post("/v1/wall-plans", json={"framing_nail": {"nail_designation": "3 x 0.131"}, **asked})
    assert answer.status_code == 200
    assert faults(answer.json, {"$ref": "#/components/schemas/WallPlanAnswer"}, STRICT) == []


@pytest.mark.parametrize(
    ("method", "path", "more"),
    [
        ("GET", "/nowhere", {}),
        ("GET", "/v1/nails/16d-comon", {}),
        ("POST", "/v1/requirements", {"json": {"exposure": "b", "joint_cuont": 1}}),
        ("POST", "/v1/requirements", {"data": b"[" * 18 + b"]" * 18, "content_type": "application/json"}),
        ("POST", "/v1/requirements", {"data": b" " * 1_048_577, "content_type": "application/json"}),
        ("POST", "/v1/requirements/batch", {"json": {"items": [{"id": "a"}] * 501}}),
        ("GET", "/v1/requirements?connection_id=stud-to-plate-end-nail&nail_designation=16d", {}),
    ],
)
def test_every_field_of_a_problem_is_described(client: FlaskClient, method: str, path: str, more: Any) -> None:
    answer = client.open(path, method=method, **more)
    assert answer.status_code >= 400
    assert faults(orjson.loads(answer.data), {"$ref": "#/components/schemas/Problem"}, STRICT) == []


@asked
def test_example_request_is_shown_and_fits_its_schema_when_it_is_answered(o: Operation, name: str, shown: Example) -> None:
    content = described(o)["requestBody"]["content"]["application/json"]
    assert content["examples"][name]["value"] == shown.question
    if shown.status == 200 and "items" not in shown.question:
        assert faults(shown.question, content["schema"], SCHEMAS) == []


@queried
def test_example_query_fits_its_parameters(o: Operation, name: str, shown: Example) -> None:
    schemas = {p["name"]: p["schema"] for p in described(o)["parameters"] if p["in"] == "query"}
    assert set(shown.question) <= set(schemas)
    if shown.status == 200:
        assert [f for n, value in shown.question.items() for f in faults(value, schemas[n], SCHEMAS)] == []


@gets
def test_what_a_reader_fills_in_by_itself_is_one_question_that_is_answered(client: FlaskClient, o: Operation) -> None:
    filled = {p["name"]: p["example"] for p in described(o)["parameters"] if "example" in p}
    query = {k: str(v).lower() if isinstance(v, bool) else v for k, v in filled.items() if f"{{{k}}}" not in o.path}
    answer = client.get(o.path.format(**filled), query_string=query)
    assert (answer.status_code, answer.content_type) == (200, "application/json")


def test_each_query_parameter_of_a_requirement_stands_in_a_replayed_example() -> None:
    sent = {name for e in examples_of("getRequirement").values() for name in e.question}
    (o,) = [o for o in OPERATIONS if o.operation_id == "getRequirement"]
    assert {p["name"] for p in described(o)["parameters"]} - sent == set()


def test_paths_and_methods_equal_the_routes(app: Flask) -> None:
    served = {
        (rule.rule.replace("<", "{").replace(">", "}"), method.lower())
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
        if rule.rule.startswith("/v1/") and rule.rule != "/v1/openapi.json"
    }
    told = {(path, method) for path, methods in DOCUMENT["paths"].items() for method in methods}
    assert {t for t in told if t[0].startswith("/v1/") and t[0] != "/v1/openapi.json"} == served
    assert {t[0] for t in told} - {path for path, _ in served} == {"/v1/openapi.json", "/livez", "/readyz", "/version"}


def resolved(response: dict[str, Any]) -> dict[str, Any]:
    return DOCUMENT["components"]["responses"][response["$ref"].rsplit("/", 1)[1]] if "$ref" in response else response


@each_operation
def test_operation_tells_its_answers_and_refusals(o: Operation) -> None:
    always = {"200", "400", "401", "405", "406", "408", "414", "422", "429", "431", "500", "503"}
    wanted = always | ({"413", "415"} if o.method == "POST" else {"304"}) | ({"404"} if "{" in o.path else set())
    told = {status: resolved(r) for status, r in described(o)["responses"].items()}
    assert set(told) == wanted
    text = [c for r in told.values() for form, c in r.get("content", {}).items() if form != "application/pdf"]
    assert all(c["examples"] for c in text)
    assert {"API-Version", "X-Request-ID", "Access-Control-Allow-Origin"} <= set.intersection(*(set(r["headers"]) for r in told.values()))
    assert list(told["200"]["content"]) == [MEDIA_TYPES[form] for form in o.forms]


@each_operation
def test_an_operation_tells_its_twin_its_forms_and_its_limits(o: Operation) -> None:
    told, ways = described(o)["description"], DOCUMENT["paths"][o.path]
    assert told.startswith(f"{o.summary}.")
    assert [other for other in ("GET", "POST") if f"The {other} of this address" in told] == [
        m.upper() for m in ways if m.upper() != o.method
    ]
    assert [form for form in ("csv", "svg", "pdf") if f"`format={form}`" in told] == [
        form for form in ("csv", "svg", "pdf") if form in o.forms
    ]
    assert ("500 items" in told) == o.path.endswith("/batch")
    assert ("1048576 bytes" in told) == (o.method == "POST")
    assert ".." not in told and "  " not in told


def test_the_limits_told_are_those_in_force() -> None:
    less = create_app(Settings(log_level="error", max_items=7, max_body_bytes=2048)).test_client().get("/v1/openapi.json").json
    assert "up to 7 items, a body of up to 2048 bytes" in less["paths"]["/v1/requirements/batch"]["post"]["description"]


def test_a_form_is_a_choice_only_where_there_are_two() -> None:
    for o in OPERATIONS:
        named = [p for p in described(o)["parameters"] if p["name"] == "format"]
        told = [SCHEMAS[p["schema"]["$ref"].rsplit("/", 1)[1]]["enum"] for p in named]
        assert told == ([list(o.forms)] if len(o.forms) > 1 else []), o.operation_id


ANSWERS = {n: s for n, s in SCHEMAS.items() if s.get("type") == "object" and "additionalProperties" not in s}


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_field_is_required_or_says_when_it_is_absent(name: str) -> None:
    schema = ANSWERS[name]
    for field, shown in schema["properties"].items():
        assert field in schema.get("required", []) or "Absent" in shown.get("description", ""), field


def test_the_limit_on_items_is_the_one_in_force() -> None:
    for most in (7, 500):
        document = create_app(Settings(log_level="error", max_items=most)).test_client().get("/v1/openapi.json").json
        assert document["components"]["schemas"]["WallPlanBatch"]["properties"]["items"]["maxItems"] == most


def test_enumerations_are_named_components_with_names_for_their_words() -> None:
    for name, schema in SCHEMAS.items():
        if "x-enum-varnames" in schema:
            assert len(set(schema["x-enum-varnames"])) == len(schema["enum"]), name
    assert [n for n, s in ANSWERS.items() for f in s["properties"].values() if "enum" in f] == []


def refs(value: Any) -> set[str]:
    if isinstance(value, list):
        return {r for v in value for r in refs(v)}
    if not isinstance(value, dict):
        return set()
    own = {value["$ref"].rsplit("/", 1)[1]} if "$ref" in value else set()
    return own | {r for v in value.values() for r in refs(v)}


def request_schemas() -> dict[str, Any]:
    wanted = {
        r for o in OPERATIONS if o.method == "POST" for r in refs(described(o)["requestBody"]["content"]["application/json"]["schema"])
    }
    while more := {r for name in wanted for r in refs(SCHEMAS[name])} - wanted:
        wanted |= more
    return {name: SCHEMAS[name] for name in sorted(wanted)}


def leaves(where: str, schema: dict[str, Any]) -> dict[str, dict[str, Any]]:
    found = {where: schema}
    for name, inner in schema.get("properties", {}).items():
        found |= leaves(f"{where}.{name}", inner)
    if isinstance(schema.get("items"), dict) and schema.get("maxItems") != 0:
        found |= leaves(f"{where}[]", schema["items"])
    if isinstance(schema.get("additionalProperties"), dict) and schema["additionalProperties"]:
        found |= leaves(f"{where}.*", schema["additionalProperties"])
    return found


PARAMETERS = {f"{o.operation_id}?{p['name']}": p["schema"] for o in OPERATIONS for p in described(o)["parameters"]}
REQUEST = {w: s for name, schema in request_schemas().items() for w, s in leaves(name, schema).items()} | PARAMETERS


def of_kind(*kinds: str) -> list[str]:
    return [w for w, s in REQUEST.items() if set(kinds) & set([s["type"]] if isinstance(s.get("type"), str) else s.get("type", []))]


def named_as_required(schema: dict[str, Any]) -> set[str]:
    parts = [part for way in ("allOf", "anyOf", "oneOf") for part in schema.get(way, [])] + [
        schema[way] for way in ("not",) if way in schema
    ]
    return set(schema.get("required", [])).union(*map(named_as_required, parts))


@pytest.mark.parametrize("name", [name for name, schema in SCHEMAS.items() if "properties" in schema])
def test_a_rule_across_fields_names_fields_that_are_there(name: str) -> None:
    assert named_as_required(SCHEMAS[name]) <= set(SCHEMAS[name]["properties"])


@pytest.mark.parametrize("where", of_kind("string"))
def test_request_text_is_bounded(where: str) -> None:
    assert "enum" in REQUEST[where] or {"maxLength", "pattern"} <= set(REQUEST[where])


@pytest.mark.parametrize("where", of_kind("number", "integer"))
def test_request_number_is_bounded(where: str) -> None:
    assert REQUEST[where]["minimum"] < REQUEST[where]["maximum"]


@pytest.mark.parametrize("where", of_kind("array"))
def test_request_list_is_bounded(where: str) -> None:
    assert REQUEST[where]["maxItems"] >= 0


@pytest.mark.parametrize("where", of_kind("object"))
def test_request_object_is_closed_or_a_described_map(where: str) -> None:
    more = REQUEST[where].get("additionalProperties")
    assert more is False or refs(more)
