"""Each kind of breaking change must be found, and what callers do not notice must not (common practice, no source)."""

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from breaking import breaking, main

Json = dict[str, Any]
RELEASED: Json = yaml.safe_load("""
info: {version: 1.4.0}
components:
  schemas:
    Ask:
      type: object
      additionalProperties: false
      required: [name]
      allOf: [{not: {required: [name, next]}}]
      properties:
        name: {type: string, maxLength: 9, enum: [a, b]}
        count: {type: number, minimum: 0}
        next: {$ref: "#/components/schemas/Ask"}
        by_name: {type: object, additionalProperties: {$ref: "#/components/schemas/Ask"}}
        tags: {type: array, items: {type: string}}
    Answer:
      type: object
      required: [kind, size]
      properties: {kind: {type: string, enum: [x, y]}, size: {type: integer}, sums: {type: object, additionalProperties: {type: number}}}
    Refused:
      type: object
      required: [status]
      properties: {status: {type: integer, const: 422}}
paths:
  /v1/things:
    get:
      operationId: listThings
      parameters: [{in: query, name: q, schema: {type: string}}]
      responses: {"200": {content: {application/json: {schema: {type: object}}, text/csv: {schema: {type: string}}}}}
    post:
      operationId: judgeThing
      requestBody: {required: true, content: {application/json: {schema: {$ref: "#/components/schemas/Ask"}}}}
      responses:
        "200":
          content:
            application/json:
              schema: {oneOf: [{$ref: "#/components/schemas/Answer"}, {$ref: "#/components/schemas/Refused"}]}
""")

ANOTHER_WAY = {"allOf": [], "not": {"anyOf": [{"required": ["name", "next"]}]}}


def ask(d: Json) -> Any:
    return d["components"]["schemas"]["Ask"]


def answer(d: Json) -> Any:
    return d["components"]["schemas"]["Answer"]


def get(d: Json) -> Any:
    return d["paths"]["/v1/things"]["get"]


def values(schema: Json, name: str, of: Any) -> None:
    schema["properties"][name]["additionalProperties"] = of


def changed(change: Callable[[Json], Any]) -> Json:
    served = copy.deepcopy(RELEASED)
    change(served)
    return served


@pytest.mark.parametrize(
    ("change", "line"),
    [
        (lambda d: d["paths"].pop("/v1/things"), "POST /v1/things: removed"),
        (lambda d: d["paths"]["/v1/things"].pop("get"), "GET /v1/things: removed"),
        (lambda d: get(d).update(operationId="getThings"), "GET /v1/things: operationId listThings is now getThings"),
        (lambda d: get(d).update(parameters=[]), "GET /v1/things: parameter q removed"),
        (lambda d: get(d)["parameters"][0].update(required=True), "GET /v1/things: parameter q newly required"),
        (lambda d: get(d)["parameters"][0]["schema"].update(type="number"), "GET /v1/things ?q: type string is now number"),
        (lambda d: get(d)["responses"]["200"]["content"].pop("text/csv"), "GET /v1/things 200: text/csv removed"),
        (lambda d: get(d)["responses"].pop("200"), "GET /v1/things: status 200 removed"),
        (lambda d: ask(d)["properties"].pop("count"), "question Ask.count: removed"),
        (lambda d: ask(d)["required"].append("count"), "question Ask.count: newly required"),
        (lambda d: ask(d)["properties"]["name"].update(enum=["a"]), "question Ask.name: no longer takes b"),
        (lambda d: ask(d)["properties"]["name"].update(maxLength=8), "question Ask.name: maxLength 9 is now 8"),
        (lambda d: ask(d)["properties"]["name"].update(pattern="^a"), "question Ask.name: pattern changed"),
        (lambda d: ask(d)["properties"]["count"].update(type="integer"), "question Ask.count: type number is now integer"),
        (lambda d: ask(d)["properties"]["count"].update(minimum=1), "question Ask.count: minimum 0 is now 1"),
        (lambda d: ask(d).update({"not": {"required": ["count"]}}), 'question Ask: newly ruled {"not": {"required": ["count"]}}'),
        (lambda d: ask(d)["properties"]["tags"].update(uniqueItems=True), "question Ask.tags: uniqueItems changed"),
        (lambda d: values(ask(d), "by_name", {"type": "string"}), "question Ask.by_name{}: type object is now string"),
        (lambda d: values(answer(d), "sums", {"type": "string"}), "POST /v1/things 200.sums{}: type number is now string"),
        (lambda d: values(answer(d), "sums", True), "POST /v1/things 200.sums{}: type number is now any"),
        (lambda d: d.update(security=[{"key": []}]), "GET /v1/things: no longer open with no key"),
        (lambda d: get(d).update(security=[{"key": []}]), "GET /v1/things: no longer open with no key"),
        (lambda d: answer(d)["properties"].pop("size"), "POST /v1/things 200.size: removed"),
        (lambda d: answer(d)["required"].remove("size"), "POST /v1/things 200.size: no longer always there"),
        (lambda d: answer(d)["properties"]["size"].update(type="number"), "POST /v1/things 200.size: type integer is now number"),
        (lambda d: answer(d)["properties"]["size"].update(type=["integer", "null"]), "POST /v1/things 200.size: type integer is now null"),
    ],
)
def test_a_breaking_change_is_found(change: Callable[[Json], Any], line: str) -> None:
    assert line in breaking(RELEASED, changed(change))


@pytest.mark.parametrize(
    "change",
    [
        lambda d: None,
        lambda d: d["paths"].update({"/v1/more": {"get": {"operationId": "more", "responses": {}}}}),
        lambda d: get(d)["parameters"].append({"in": "query", "name": "r", "schema": {"type": "string"}}),
        lambda d: ask(d)["properties"].update(more={"type": "string"}),
        lambda d: ask(d)["properties"]["name"].update(enum=["a", "b", "c"], maxLength=12),
        lambda d: ask(d)["properties"]["count"].update(type=["number", "null"]),
        lambda d: ask(d).update(ANOTHER_WAY),
        lambda d: values(ask(d), "by_name", True),
        lambda d: d.update(security=[{"key": []}, {}]),
        lambda d: answer(d)["properties"].update(more={"type": "string"}),
        lambda d: answer(d)["properties"]["kind"].update(enum=["x", "y", "z"]),
        lambda d: answer(d)["properties"]["size"].update(description="Inches."),
    ],
)
def test_what_callers_do_not_notice_is_not(change: Callable[[Json], Any]) -> None:
    assert breaking(RELEASED, changed(change)) == []


@pytest.mark.parametrize(("version", "code"), [("1.5.0", 1), ("2.0.0", 0), ("0.9.0", 1)])
def test_only_a_raised_major_version_lets_it_pass(tmp_path: Path, version: str, code: int) -> None:
    served = changed(lambda d: (d["paths"].pop("/v1/things"), d["info"].update(version=version)))
    for name, document in (("released", RELEASED), ("served", served)):
        (tmp_path / name).write_text(yaml.safe_dump(document), encoding="utf-8")
    assert main(str(tmp_path / "released"), str(tmp_path / "served")) == code
