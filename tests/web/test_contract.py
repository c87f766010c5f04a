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

from openapi.__main__ import HERE, ask
from service.app import create_app
from service.settings import Settings
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


def question(o: Operation) -> Any:
    file = HERE / "examples" / f"{o.operation_id}.json"
    return orjson.loads(file.read_bytes()) if file.exists() else {}


def test_document_is_valid_openapi() -> None:
    assert DOCUMENT["openapi"].startswith("3.1")
    validate(DOCUMENT)


def test_kept_document_equals_the_served_one() -> None:
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    assert yaml.load(Path(HERE / "openapi.yaml").read_text(encoding="utf-8"), Loader=loader) == DOCUMENT


@each_operation
def test_example_is_answered_as_kept(client: FlaskClient, o: Operation) -> None:
    assert orjson.loads(ask(client, o)) == orjson.loads((HERE / "examples" / f"{o.operation_id}.answer.json").read_bytes())


@each_operation
def test_answer_fits_its_schema(client: FlaskClient, o: Operation) -> None:
    assert faults(orjson.loads(ask(client, o)), answer_schema(o), SCHEMAS) == []


@each_operation
def test_every_field_of_an_answer_is_described(client: FlaskClient, o: Operation) -> None:
    assert faults(orjson.loads(ask(client, o)), answer_schema(o), STRICT) == []


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


@posts
def test_example_request_fits_its_schema(o: Operation) -> None:
    content = described(o)["requestBody"]["content"]["application/json"]
    assert content["examples"]["example"]["value"] == question(o)
    assert faults(question(o), content["schema"], SCHEMAS) == []


@gets
def test_example_query_fits_its_parameters(o: Operation) -> None:
    schemas = {p["name"]: p["schema"] for p in described(o)["parameters"] if p["in"] == "query"}
    assert set(question(o)) <= set(schemas)
    assert [f for name, value in question(o).items() for f in faults(value, schemas[name], SCHEMAS)] == []


def test_paths_and_methods_equal_the_routes(app: Flask) -> None:
    served = {
        (rule.rule.replace("<", "{").replace(">", "}"), method.lower())
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
        if rule.rule.startswith("/v1/") and rule.rule != "/v1/openapi.json"
    }
    assert {(path, method) for path, methods in DOCUMENT["paths"].items() for method in methods} == served


@each_operation
def test_operation_tells_its_refusals(o: Operation) -> None:
    wanted = (
        {"200", "422", "429", "500", "503"}
        | ({"400", "413", "415"} if o.method == "POST" else set())
        | ({"404"} if "{" in o.path else set())
    )
    told = described(o)["responses"]
    assert wanted <= set(told)
    assert all(c["examples"] for r in told.values() for c in r["content"].values())


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
