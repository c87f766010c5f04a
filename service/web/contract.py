"""Builds the OpenAPI 3.1 document from the registry, the request schemas and the shapes of answers."""

import json
from importlib import resources
from typing import Any

import orjson
from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin

from service import API_VERSION
from service.schemas.answers import vocabulary
from service.schemas.answers.declare import REF, Shape, name_of, schema_of, shapes_under
from service.schemas.answers.problem import ProblemShape
from service.schemas.asks.batch import defaults_shape, item_shape
from service.schemas.asks.joint import RequirementSchema
from service.schemas.asks.strength import NailStrengthSchema
from service.schemas.asks.wall import WallItemSchema
from service.schemas.fields import Items, Strict, Whole
from service.web.registry import OPERATIONS, Operation

ABOUT = (
    "Nails for wood-framed walls: which, how many, where, and when the tables stop. "
    "Counts follow from the inputs and published tables; no design and no approval. The adopted local code and the building official govern. "
    "Answers may gain fields and enumerations may gain words at any time: ignore fields you do not know, and read an unknown severity as the worst. "
    "A field is null where it is known to have no value, and absent only where its description says so. "
    "With units metric, lengths, weights and speeds have metric twins beside the US fields."
)
TAGS = {
    "questions": "Joints and walls judged and planned.",
    "reference": "Editions, joints, nails, species, cautions, problems, limits.",
}
PROBLEM_STATUSES = {
    "400": ("The request cannot be read.", "invalid_json"),
    "404": ("No such id.", "unknown_id"),
    "406": ("No such output form.", "not_acceptable"),
    "413": ("The body is too large.", "body_too_large"),
    "415": ("The body type is not taken.", "unsupported_media_type"),
    "422": ("Readable, but breaks the schema or a rule.", "validation_error"),
    "429": ("Too many requests; made by a proxy.", "rate_limited"),
    "500": ("A fault of the service.", "internal_error"),
    "503": ("Not ready; made by a proxy.", "overloaded"),
}
BATCHES = {
    "RequirementBatch": ("Requirement", RequirementSchema),
    "WallPlanBatch": ("WallPlan", WallItemSchema),
    "NailStrengthBatch": ("NailStrength", NailStrengthSchema),
}
"""What an item of each batch is."""
HEADERS = {
    "API-Version": "Version of this contract.",
    "X-Request-ID": "Id of the request; sent back when it was sent.",
}


def example(name: str) -> Any:
    """Return an example that ships with the service."""
    return orjson.loads(resources.files("openapi").joinpath("examples", f"{name}.json").read_bytes())


def answer_example(operation_id: str) -> dict[str, Any]:
    """Return the named example of an answer, empty until `python -m openapi` has written it."""
    file = resources.files("openapi").joinpath("examples", f"{operation_id}.answer.json")
    return {"example": {"value": orjson.loads(file.read_bytes())}} if file.is_file() else {}


def build() -> dict[str, Any]:
    """Return the whole document."""
    plugin = MarshmallowPlugin(schema_name_resolver=_name)
    spec = APISpec(
        title="Wall Fastening Service",
        version=API_VERSION,
        openapi_version="3.1.0",
        plugins=[plugin],
        info={"description": ABOUT, "license": {"name": "MIT", "identifier": "MIT"}},
        servers=[{"url": "/", "description": "This service."}],
        tags=[{"name": n, "description": d} for n, d in TAGS.items()],
        security=[],
    )
    plugin.converter.add_attribute_function(_whole)  # type: ignore[union-attr]  # made when the document takes the plugin
    for ask, schema in BATCHES.values():
        spec.components.schema(f"{ask}ItemAsk", schema=item_shape(schema, f"{ask}ItemSchema"))
        spec.components.schema(f"{ask}DefaultsAsk", schema=defaults_shape(schema, f"{ask}DefaultsSchema"))
    paths: dict[str, dict[str, Any]] = {}
    for o in OPERATIONS:
        paths.setdefault(o.path, {})[o.method.lower()] = _operation(o)
    for path in sorted(paths):
        spec.path(path=path, operations=paths[path])
    document: dict[str, Any] = json.loads(json.dumps(spec.to_dict()))
    schemas = document["components"]["schemas"]
    for name, (ask, _) in BATCHES.items():
        schemas[name]["properties"]["defaults"] = {
            "allOf": [{"$ref": f"{REF}{ask}DefaultsAsk"}],
            "description": "Fields that every item takes unless it sends its own.",
        }
        schemas[name]["properties"]["items"]["items"] = {"$ref": f"{REF}{ask}ItemAsk"}
    for schema in schemas.values():
        _exclusive_twins(schema)
    schemas |= _answers()
    return document


def _answers() -> dict[str, Any]:
    """Return the components of answers: every shape that is written, the problem, and the enumerations."""
    shapes: dict[str, type[Shape]] = shapes_under(ProblemShape)
    for o in OPERATIONS:
        shapes |= shapes_under(o.shape)
    return {**{w.name: w.schema() for w in vocabulary.ALL}, **{name: schema_of(shape) for name, shape in sorted(shapes.items())}}


def _whole(self: Any, field: Any, **kwargs: Any) -> dict[str, Any]:
    """Write a whole number as integer, which its float base would hide."""
    return {"type": "integer", "format": "int32"} if isinstance(field, Whole) else {}


def _name(schema: Any) -> str:
    cls = schema if isinstance(schema, type) else type(schema)
    name = str(cls.__name__).strip("_")
    return name.removesuffix("Schema") + "Ask" if name.endswith("Schema") else name


def _operation(o: Operation) -> dict[str, Any]:
    body: dict[str, Any] = {
        "operationId": o.operation_id,
        "summary": o.summary,
        "description": o.description or o.summary + ".",
        "tags": [o.tag],
        "parameters": _parameters(o),
        "responses": {"200": _answered(o), **{status: _refused(status) for status in PROBLEM_STATUSES if _applies(status, o)}},
    }
    if o.method == "POST":
        body["requestBody"] = {
            "required": True,
            "content": {"application/json": {"schema": o.ask, "examples": {"example": {"value": example(o.operation_id)}}}},
        }
    return body


def _applies(status: str, o: Operation) -> bool:
    return {"404": "{" in o.path, "413": o.method == "POST", "415": o.method == "POST", "422": True}.get(status, True)


def _parameters(o: Operation) -> list[dict[str, Any]]:
    out: list[dict[str, Any]] = []
    if "{" in o.path:
        name = o.path.split("{")[1].split("}")[0]
        out.append(
            {
                "name": name,
                "in": "path",
                "required": True,
                "description": o.path_about,
                "schema": {"type": "string", "maxLength": 64, "pattern": "^[A-Za-z0-9._-]+$"},
            }
        )
    forms = ["json", "csv"] if o.sheets else ["json"]
    if o.method == "GET" or o.sheets:
        out.append(
            {"name": "format", "in": "query", "description": "Output form; overrides Accept.", "schema": {"type": "string", "enum": forms}}
        )
    if o.tables:
        out.append(
            {"name": "table", "in": "query", "description": "Table of a csv answer.", "schema": {"type": "string", "enum": list(o.tables)}}
        )
    if o.method == "GET":
        if o.ask is not None:
            out += [_query(name, f) for name, f in o.ask.fields.items()]
    return out


def _query(name: str, field: Any) -> dict[str, Any]:
    meta = dict(field.metadata)
    kind = {"Choice": "string", "Text": "string", "Flag": "boolean", "Whole": "integer"}.get(type(field).__name__, "number")
    if isinstance(field, Items):
        several = {
            "type": "array",
            "items": _query(name, field.inner)["schema"],
            "minItems": meta["minItems"],
            "maxItems": meta["maxItems"],
        }
        return {"name": name, "in": "query", "required": field.required, "description": meta["description"], "schema": several}
    schema = {"type": kind, **{k: meta[k] for k in ("enum", "pattern", "maxLength", "minimum", "maximum") if k in meta}}
    return {"name": name, "in": "query", "required": field.required, "description": meta.get("description", ""), "schema": schema}


def _headers() -> dict[str, Any]:
    return {n: {"description": d, "schema": {"type": "string"}} for n, d in HEADERS.items()}


def _answered(o: Operation) -> dict[str, Any]:
    headers = _headers()
    if o.method == "GET":
        headers["ETag"] = {"description": "Tag of the answer; send it back as If-None-Match for a 304.", "schema": {"type": "string"}}
    return {
        "description": "Answered.",
        "headers": headers,
        "content": {"application/json": {"schema": {"$ref": REF + name_of(o.shape)}, "examples": answer_example(o.operation_id)}},
    }


def _refused(status: str) -> dict[str, Any]:
    said, code = PROBLEM_STATUSES[status]
    value = {
        "type": f"/v1/problems/{code.replace('_', '-')}",
        "title": said,
        "status": int(status),
        "code": code,
        "detail": said,
        "instance": "/v1/requirements",
        "request_id": "example",
        "doc_url": f"/v1/problems/{code.replace('_', '-')}",
    }
    return {
        "description": said,
        "headers": _headers(),
        "content": {"application/problem+json": {"schema": {"$ref": REF + name_of(ProblemShape)}, "examples": {code: {"value": value}}}},
    }


def _exclusive_twins(schema: dict[str, Any]) -> None:
    """Say in the schema that a US field and its metric twin exclude each other."""
    names = schema.get("properties", {})
    if schema.get("additionalProperties") is not False:
        return
    rules = []
    for us, metric, required in _pairs(names):
        rules.append({"oneOf": [{"required": [us]}, {"required": [metric]}]} if required else {"not": {"required": [us, metric]}})
    if rules:
        schema["allOf"] = rules


def _pairs(names: dict[str, Any]) -> list[tuple[str, str, bool]]:
    required = {us for cls in _all_strict(Strict) for us, _, _, need in cls.twins if need and set(cls().fields) == set(names)}
    twins = {(us, metric) for cls in _all_strict(Strict) for us, metric, _, _ in cls.twins}
    return [(us, metric, us in required) for us, metric in sorted(twins) if us in names and metric in names]


def _all_strict(cls: type[Strict]) -> list[type[Strict]]:
    return [cls, *(inner for sub in cls.__subclasses__() for inner in _all_strict(sub))]
