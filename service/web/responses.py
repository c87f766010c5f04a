"""The responses of the contract: answers in every form, and the refusals that all addresses share."""

from http import HTTPStatus
from typing import Any
from urllib.parse import urlencode

from service import API_VERSION
from service.schemas.answers.declare import REF, name_of
from service.schemas.answers.problem import ProblemShape
from service.tables.book import open_book
from service.web.examples import IDS, REFUSED, Example, examples_of
from service.web.problems import BY_STATUS, MEDIA_TYPE, PROBLEMS, document
from service.web.reading import MEDIA_TYPES
from service.web.registry import Operation

TEXT = {"type": "string", "maxLength": 256}
HEADERS: dict[str, Any] = {
    "API-Version": {"description": "Version of this contract.", "schema": TEXT},
    "X-Request-ID": {"description": "Id of the request; sent back when it was sent.", "schema": TEXT},
    "Access-Control-Allow-Origin": {
        "description": "Origins that may read the answer; absent for an origin that is not allowed.",
        "schema": TEXT,
    },
    "Access-Control-Expose-Headers": {"description": "Headers a page of another origin may read.", "schema": TEXT},
    "Link": {"description": "Where the contract stands: rel service-desc.", "schema": TEXT},
    "ETag": {"description": "Tag of the answer; send it back as If-None-Match for a 304.", "schema": TEXT},
    "Cache-Control": {"description": "How long the answer may be kept.", "schema": TEXT},
    "Allow": {"description": "The methods the address takes.", "schema": TEXT},
    "WWW-Authenticate": {"description": "Which header takes the key.", "schema": TEXT},
    "Retry-After": {"description": "Seconds to wait before trying again.", "schema": {"type": "integer", "minimum": 0, "maximum": 86400}},
    "Content-Disposition": {"description": "Name of the file.", "schema": TEXT},
}
ALWAYS = ("API-Version", "X-Request-ID", "Access-Control-Allow-Origin", "Access-Control-Expose-Headers", "Link")
MORE = {401: ("WWW-Authenticate",), 405: ("Allow",), 429: ("Retry-After",), 503: ("Retry-After",)}
SAID_OF = {
    401: "A key is needed and was not sent, or is not known; only where whoever runs the service, or a proxy, asks for one.",
    408: "The request came too slowly; made by the worker or a proxy.",
    429: "Too many requests; made by a proxy.",
}
LONGEST_LINE = 100
LONGEST_SHOWN = 65_536
"""Longer answers are kept and replayed, but would drown the document."""
OPERATIONS_ADDRESSES = {
    "/livez": ("isAlive", "Whether the process runs, and nothing else"),
    "/readyz": ("isReady", "Whether requests should come: tables loaded and whole, not draining"),
    "/version": ("getVersion", "Which contract, which data and which build answer"),
}


def headers(*names: str) -> dict[str, Any]:
    """Return references to headers."""
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}


def responses(o: Operation) -> dict[str, Any]:
    """Return every response of an operation."""
    out = {"200": _answered(o)}
    if o.method == "GET":
        out["304"] = {"description": "What If-None-Match names has not changed.", "headers": headers(*ALWAYS, "ETag", "Cache-Control")}
    for status in (*BY_STATUS, 422, 500):
        applies = {404: "{" in o.path, 413: o.method == "POST", 415: o.method == "POST"}.get(status, True)
        if applies:
            out[str(status)] = {"$ref": f"#/components/responses/{_name(status)}"}
    refused = {n: _shown(o, e) for n, e in examples_of(o.operation_id).items() if e.status == 422}
    if refused:
        out["422"] = _refusal(422, refused)
    return dict(sorted(out.items()))


def _answered(o: Operation) -> dict[str, Any]:
    kept = {n: e for n, e in examples_of(o.operation_id).items() if e.status == 200 and e.answer is not None and e.size <= LONGEST_SHOWN}
    schemas: dict[str, dict[str, Any]] = {"json": {"$ref": REF + name_of(o.shape)}, "pdf": {"type": "string", "format": "binary"}}
    content = {
        MEDIA_TYPES[form]: {
            "schema": schemas.get(form, {"type": "string"}),
            "examples": {n: _shown(o, e) for n, e in kept.items() if e.form == form},
        }
        for form in o.forms
    }
    more = ("ETag",) if o.method == "GET" else ()
    named = ("Content-Disposition",) if len(o.forms) > 1 else ()
    return {"description": "Answered.", "headers": headers(*ALWAYS, "Cache-Control", *more, *named), "content": content}


def _shown(o: Operation, e: Example) -> dict[str, Any]:
    """Return an answer with its question, which stands nowhere else where it is no body."""
    if o.method != "GET":
        return {"value": e.answer}
    query = urlencode({n: str(v).lower() if isinstance(v, bool) else v for n, v in e.question.items()}, doseq=True)
    path = o.path.format(**IDS)
    return {"description": f"GET {path}?{query}" if query else f"GET {path}", "value": e.answer}


def _refused(e: Example) -> dict[str, Any]:
    sent = e.question
    headers = "".join(f", {name}: {value}" for name, value in sent.get("headers", {}).items())
    line = f"{sent['method']} {sent['path']}"
    cut = f"{line[:LONGEST_LINE]}... ({len(line)} characters)" if len(line) > LONGEST_LINE else line
    size = f" and {sent['padded_to'] - len(sent['body'])} spaces" if "padded_to" in sent else ""
    return {"description": f"{cut}{headers}" + (f", {sent['body']}{size}" if "body" in sent else ""), "value": e.answer}


def _name(status: int) -> str:
    return "".join(word.capitalize() for word in HTTPStatus(status).phrase.replace("-", " ").split())


def refusals() -> dict[str, Any]:
    """Return the refusals that all addresses share, by name."""
    return {_name(status): _refusal(status, {}) for status in (*BY_STATUS, 422, 500)}


def _refusal(status: int, examples: dict[str, Any]) -> dict[str, Any]:
    code = {422: "validation_error", 500: "internal_error"}.get(status) or BY_STATUS[status]
    about = SAID_OF.get(status, PROBLEMS[code].about)
    codes = ("missing_api_key", "invalid_api_key") if status == 401 else (code,)
    shown = examples or {n: _refused(e) for n, e in examples_of(REFUSED).items() if e.status == status}
    shown = shown or {c: {"value": document(c, PROBLEMS[c].about, "/v1/requirements", "example")} for c in codes}
    return {
        "description": about,
        "headers": headers(*ALWAYS, "Cache-Control", *MORE.get(status, ())),
        "content": {MEDIA_TYPE: {"schema": {"$ref": REF + name_of(ProblemShape)}, "examples": shown}},
    }


def documents(build: str) -> dict[str, Any]:
    """Return the addresses outside the registry: the contract itself, and those for operations."""
    whole = {"type": "object", "description": "This document."}
    contract = _plain(
        "getContract",
        "This contract, with the limits in force; at /docs it can be read and tried",
        "reference",
        whole,
        {"openapi": "3.1.0"},
        kept=True,
    )
    out = {"/v1/openapi.json": {"get": contract}}
    status = {"type": "object", "properties": {"status": {"type": "string", "const": "ok"}}, "required": ["status"]}
    names = ("api_version", "data_version", "build")
    served = (API_VERSION, open_book().data_version, build)
    version = {"type": "object", "properties": {n: {"type": "string"} for n in names}, "required": list(names)}
    for path, (operation_id, summary) in OPERATIONS_ADDRESSES.items():
        schema, shown = (version, dict(zip(names, served, strict=True))) if path == "/version" else (status, {"status": "ok"})
        out[path] = {"get": _plain(operation_id, summary, "operations", schema, shown)}
    return out


def _plain(operation_id: str, summary: str, tag: str, schema: dict[str, Any], shown: Any, kept: bool = False) -> dict[str, Any]:
    """Return an operation that asks for nothing."""
    answers: dict[str, Any] = {
        "200": {
            "description": "Answered.",
            "headers": headers(*ALWAYS, "Cache-Control", *(("ETag",) if kept else ())),
            "content": {"application/json": {"schema": schema, "examples": {"example": {"value": shown}}}},
        }
    }
    if kept:
        answers["304"] = {"description": "What If-None-Match names has not changed.", "headers": headers(*ALWAYS, "ETag", "Cache-Control")}
    for code in (400, 401, 405, 406, 408, 414, 422, 429, 431, 500, 503):
        answers[str(code)] = {"$ref": f"#/components/responses/{_name(code)}"}
    about = {"operationId": operation_id, "summary": summary, "description": summary + ".", "tags": [tag], "security": []}
    return {**about, "parameters": [], "responses": dict(sorted(answers.items()))}
