"""Builds the OpenAPI 3.1 document from the registry, the request schemas and the shapes of answers."""

import json
from typing import Any

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin

from service import API_VERSION
from service.schemas.across import across_fields
from service.schemas.answers import vocabulary
from service.schemas.answers.declare import REF, Shape, Words, schema_of, shapes_under
from service.schemas.answers.problem import ProblemShape
from service.schemas.asks.batch import defaults_shape, item_shape
from service.schemas.asks.joint import RequirementSchema
from service.schemas.asks.strength import NailStrengthSchema
from service.schemas.asks.takeoff import TakeoffJointSchema, TakeoffWallSchema, takeoff_item
from service.schemas.asks.wall import WallItemSchema
from service.schemas.fields import Items, Strict, Whole
from service.settings import Settings
from service.web.descriptions import described
from service.web.examples import IDS, examples_of
from service.web.keys import HEADER, OPEN
from service.web.registry import OPERATIONS, Operation
from service.web.responses import HEADERS, documents, refusals, responses

ABOUT = (
    "Nails for wood-framed walls: which, how many, where, and when the tables stop. "
    "Counts follow from the inputs and published tables; no design and no approval. The adopted local code and the building official govern. "
    "Answers may gain fields and enumerations may gain words at any time: ignore fields you do not know, and read an unknown severity as the worst. "
    "A field is null where it is known to have no value, and absent only where its description says so. "
    "With units metric, lengths, weights and speeds have metric twins beside the US fields, and sentences made for the question speak metric units; "
    "a csv answer has the twins as columns beside the US ones."
)
TAGS = {
    "questions": "Joints, walls and whole houses judged and planned. Nothing is stored, so any question may be sent again.",
    "reference": "Editions, joints, nails, species, cautions, problems, limits, and this contract: the ids and words that questions and answers use.",
    "operations": "For those who run the service: alive, ready, version; without limits and keys.",
}
KEY = {
    "type": "apiKey",
    "in": "header",
    "name": HEADER,
    "description": "A key of the caller; only where whoever runs the service asks for one.",
}
BATCHES = {
    "RequirementBatch": ("Requirement", RequirementSchema),
    "WallPlanBatch": ("WallPlan", WallItemSchema),
    "NailStrengthBatch": ("NailStrength", NailStrengthSchema),
}
"""What an item of each batch is."""
BATCH_ITEMS = dict(BATCHES.values())
TAKEOFF_ITEMS = {"walls": TakeoffWallSchema, "joints": TakeoffJointSchema}
"""What the items of each list of a take-off are; they are checked one by one, as those of a batch."""


def build(settings: Settings) -> dict[str, Any]:
    """Return the whole document, with the limits in force."""
    plugin = MarshmallowPlugin(schema_name_resolver=_name)
    spec = APISpec(
        title="Wall Fastening Service",
        version=API_VERSION,
        openapi_version="3.1.0",
        plugins=[plugin],
        info={"description": ABOUT, "license": {"name": "MIT", "identifier": "MIT"}},
        servers=[{"url": settings.public_url or "/", "description": "This service, local or in production.", "x-internal": False}],
        tags=[{"name": n, "description": d} for n, d in TAGS.items()],
        security=[{"ApiKey": []}] if settings.api_keys_file else [{}, {"ApiKey": []}],
    )
    plugin.converter.add_attribute_function(_whole)  # type: ignore[union-attr]  # made when the document takes the plugin
    for ask, schema in BATCHES.values():
        spec.components.schema(f"{ask}ItemAsk", schema=item_shape(schema, f"{ask}ItemSchema"))
        spec.components.schema(f"{ask}DefaultsAsk", schema=defaults_shape(schema, f"{ask}DefaultsSchema"))
    for item in TAKEOFF_ITEMS.values():
        spec.components.schema(_name(item), schema=takeoff_item(item))
    paths: dict[str, dict[str, Any]] = {}
    for o in OPERATIONS:
        paths.setdefault(o.path, {})[o.method.lower()] = _operation(o, settings)
    for path in sorted(paths):
        spec.path(path=path, operations=paths[path])
    document: dict[str, Any] = json.loads(json.dumps(spec.to_dict()))
    document["components"] |= {"headers": HEADERS, "responses": refusals(), "securitySchemes": {"ApiKey": KEY}}
    document["paths"] |= documents(settings.build)
    schemas = document["components"]["schemas"]
    for name, (ask, _) in BATCHES.items():
        schemas[name]["properties"]["defaults"] = {
            "allOf": [{"$ref": f"{REF}{ask}DefaultsAsk"}],
            "description": "Fields that every item takes unless it sends its own.",
        }
        schemas[name]["properties"]["items"] |= {"items": {"$ref": f"{REF}{ask}ItemAsk"}, "maxItems": settings.max_items}
    for field, item in TAKEOFF_ITEMS.items():
        schemas["TakeoffAsk"]["properties"][field] |= {"items": {"$ref": REF + _name(item)}, "maxItems": settings.max_items}
    _rules_across_fields(schemas)
    named = {w.words: w for w in vocabulary.ALL}
    for path in document["paths"].values():
        for operation in path.values():
            for parameter in operation["parameters"]:
                parameter["schema"] = _named(parameter["name"], parameter["schema"], named)
    for schema in schemas.values():
        schema["properties"] = {name: _named(name, shape, named) for name, shape in schema["properties"].items()}
    schemas |= {w.name: w.schema() for w in named.values()} | _answers()
    return document


def _named(field: str, shape: dict[str, Any], named: dict[tuple[str, ...], Words]) -> dict[str, Any]:
    """Return the schema of a field with its enumeration as a named component, shared by all that have the same words."""
    if "items" in shape:
        return {**shape, "items": _named(field, shape["items"], named)}
    if "enum" not in shape or len(shape["enum"]) < 2:
        return shape
    words = tuple(shape["enum"])
    if words not in named:
        name = "".join(part.capitalize() for part in field.split("_"))
        taken = {w.name for w in named.values()}
        free = (n for n in (name, f"{name}Asked", name + "".join(word.capitalize() for word in words)) if n not in taken)
        named[words] = Words(next(free), words, f"Words of {field}.")
    kept = {k: v for k, v in shape.items() if k not in ("enum", "type")}
    return {"$ref": REF + named[words].name, **kept}


def _answers() -> dict[str, Any]:
    """Return the components of answers: every shape that is written, and the problem."""
    shapes: dict[str, type[Shape]] = shapes_under(ProblemShape)
    for o in OPERATIONS:
        shapes |= shapes_under(o.shape)
    return {name: schema_of(shape) for name, shape in sorted(shapes.items())}


def _whole(self: Any, field: Any, **kwargs: Any) -> dict[str, Any]:
    """Write a whole number as integer, which its float base would hide."""
    return {"type": "integer", "format": "int32"} if isinstance(field, Whole) else {}


def _name(schema: Any) -> str:
    cls = schema if isinstance(schema, type) else type(schema)
    name = str(cls.__name__).strip("_")
    return name.removesuffix("Schema") + "Ask" if name.endswith("Schema") else name


def _operation(o: Operation, settings: Settings) -> dict[str, Any]:
    body: dict[str, Any] = {
        "operationId": o.operation_id,
        "summary": o.summary,
        "description": described(o, settings),
        "tags": [o.tag],
        "parameters": _parameters(o),
        "responses": responses(o),
        **({"security": []} if OPEN.fullmatch(o.path) else {}),
    }
    if o.method == "POST":
        asked = {name: {"value": kept.question} for name, kept in examples_of(o.operation_id).items()}
        body["requestBody"] = {"required": True, "content": {"application/json": {"schema": o.ask, "examples": asked}}}
    return body


def _parameters(o: Operation) -> list[dict[str, Any]]:
    out: list[dict[str, Any]] = []
    if "{" in o.path:
        out.append(_path_parameter(o))
    if len(o.forms) > 1:
        out.append(_choice("format", "Output form; overrides Accept.", o.forms))
    if o.tables:
        out.append(_choice("table", "Table of a csv answer; the first when left out.", o.tables))
    if o.method == "GET" and o.ask is not None:
        sent = [kept.question for kept in examples_of(o.operation_id).values()]
        out += [_query(name, f, sent) for name, f in o.ask.fields.items()]
    return out


def _path_parameter(o: Operation) -> dict[str, Any]:
    name = o.path.split("{")[1].split("}")[0]
    schema = {"type": "string", "maxLength": 64, "pattern": "^[A-Za-z0-9._-]+$"}
    return {"name": name, "in": "path", "required": True, "description": o.path_about, "schema": schema, "example": IDS[name]}


def _choice(name: str, about: str, words: tuple[str, ...]) -> dict[str, Any]:
    return {"name": name, "in": "query", "description": about, "schema": {"type": "string", "enum": list(words)}}


def _query(name: str, field: Any, sent: list[dict[str, Any]]) -> dict[str, Any]:
    """Return a parameter. Only those of the first example question have their value as `example`.

    Readers of a contract fill in all of these at once, and values of different questions would contradict each other;
    so what later questions send stands in the schema.
    """
    about, schema = field.metadata.get("description", ""), _query_schema(field)
    first = {"example": sent[0][name]} if sent and name in sent[0] else {}
    later = next(({"examples": [q[name]]} for q in sent if name in q), {}) if not first else {}
    return {"name": name, "in": "query", "required": field.required, "description": about, "schema": schema | later, **first}


def _query_schema(field: Any) -> dict[str, Any]:
    meta = field.metadata
    if isinstance(field, Items):
        return {"type": "array", "items": _query_schema(field.inner), "minItems": meta["minItems"], "maxItems": meta["maxItems"]}
    kind = {"Choice": "string", "Text": "string", "Flag": "boolean", "Whole": "integer"}.get(type(field).__name__, "number")
    whole = {"format": "int32"} if kind == "integer" else {}
    return {"type": kind, **whole, **{k: meta[k] for k in ("enum", "pattern", "maxLength", "minimum", "maximum", "default") if k in meta}}


def _rules_across_fields(schemas: dict[str, Any]) -> None:
    """Say in each request which fields exclude one another, and of which exactly one is needed."""
    parts = {f"{ask}{part}Ask": BATCH_ITEMS[ask] for ask, _ in BATCHES.values() for part in ("Item", "Defaults")}
    parts |= {_name(item): item for item in TAKEOFF_ITEMS.values()}
    for cls in _all_strict(Strict):
        name = _name(cls)
        if name in schemas and name not in parts:
            schemas[name] |= across_fields(cls())
    for name, whole in parts.items():  # an item may leave to the defaults what a whole question must name
        schemas[name] |= {k: v for k, v in across_fields(whole()).items() if k == "not"}


def _all_strict(cls: type[Strict]) -> list[type[Strict]]:
    return [cls, *(inner for sub in cls.__subclasses__() for inner in _all_strict(sub))]
