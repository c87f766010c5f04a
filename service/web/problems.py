"""Every refusal as an RFC 9457 problem document, and the catalogue of their codes."""

from dataclasses import dataclass
from functools import partial
from typing import Any
from urllib.parse import quote

import orjson
from flask import Flask, Response, request
from werkzeug.exceptions import HTTPException

from service.errors import FasteningError, Fault, QueryError, UnreadableBodyError
from service.said import worded
from service.schemas.fields import show
from service.schemas.hints import LATER, SHOWN
from service.web.current import noted, settings
from service.web.keys import HEADER, KeyRefusedError

MEDIA_TYPE = "application/problem+json"
MOST_ERRORS = 50
MOST_HINTS = 100
"""Looking for what was meant costs some ms a word: a request with thousands of wrong words gets no more suggestions than these."""
RETRY_AFTER_S = "5"


@dataclass(frozen=True, slots=True)
class Problem:
    """One kind of problem: code, status, and what it means."""

    code: str
    status: int
    title: str
    about: str

    @property
    def slug(self) -> str:
        """Name in addresses."""
        return self.code.replace("_", "-")


PROBLEMS = {
    p.code: p
    for p in (
        Problem(
            "invalid_json",
            400,
            "The body is not readable JSON",
            "Bad JSON, bad UTF-8, NaN or Infinity, a lone surrogate, bad chunking or bad percent-encoding.",
        ),
        Problem("duplicate_key", 400, "A key stands twice in one object", "JSON with a repeated key has no single meaning; send it once."),
        Problem("nesting_too_deep", 400, "The body nests too deep", "Objects and lists may nest 16 deep."),
        Problem("bad_request", 400, "The request cannot be read", "The request line or a header is malformed."),
        Problem("missing_api_key", 401, "A key is needed", "Send your key in the header X-API-Key; whoever runs the service gives it out."),
        Problem(
            "invalid_api_key", 401, "The key is not known", "The key in the header X-API-Key is not valid, or no longer; ask for another."
        ),
        Problem("not_found", 404, "No such address", "See /v1/openapi.json for the addresses."),
        Problem("unknown_id", 404, "No such id", "The list address of the collection shows the ids."),
        Problem("method_not_allowed", 405, "The address does not take this method", "The Allow header lists the methods."),
        Problem("not_acceptable", 406, "No such output form", "The problem lists the media types the address offers."),
        Problem("request_timeout", 408, "The request came too slowly", "Send the whole request within the time limit."),
        Problem("body_too_large", 413, "The body is too large", "Split the batch; GET /v1/limits shows the limit."),
        Problem("uri_too_long", 414, "The address is too long", "Use POST for long questions."),
        Problem("unsupported_media_type", 415, "The body type is not taken", "Send application/json in UTF-8 without Content-Encoding."),
        Problem(
            "validation_error",
            422,
            "The request does not match the schema",
            "Each entry of errors names the place, the limit and the cure.",
        ),
        Problem("headers_too_large", 431, "The headers are too large", "Send fewer or shorter headers."),
        Problem("rate_limited", 429, "Too many requests", "Wait as Retry-After says; made by a proxy."),
        Problem("internal_error", 500, "Something went wrong here", "Not your fault; send the request id with a report."),
        Problem("overloaded", 503, "Not ready", "Try again as Retry-After says."),
    )
}
BY_STATUS = {
    400: "bad_request",
    401: "missing_api_key",
    404: "not_found",
    405: "method_not_allowed",
    406: "not_acceptable",
    408: "request_timeout",
    413: "body_too_large",
    414: "uri_too_long",
    415: "unsupported_media_type",
    429: "rate_limited",
    431: "headers_too_large",
    503: "overloaded",
}


def document(code: str, detail: str, instance: str, request_id: str, root: str = "", **more: Any) -> dict[str, Any]:
    """Return a problem document; `root` is the public address of the service, where it is known."""
    problem = PROBLEMS[code]
    page = f"{root.rstrip('/')}/v1/problems/{problem.slug}"
    return {
        "type": page,
        "title": problem.title,
        "status": problem.status,
        "code": code,
        "detail": detail,
        "instance": instance,
        "request_id": request_id,
        "doc_url": page,
        **more,
    }


def problem(code: str, detail: str, **more: Any) -> dict[str, Any]:
    """Return the problem document of the running request."""
    return document(code, detail, request.path, noted().request_id, settings().public_url, **more)


def pointer(path: tuple[str | int, ...]) -> str:
    """Return a JSON Pointer as a URI fragment, each part cut: a name may be as long as the body."""
    return "#" + "".join("/" + quote(str(p)[:SHOWN].replace("~", "~0").replace("/", "~1"), safe="!$&'()*+,;=:@-._~") for p in path)


def fault_entries(faults: tuple[Fault, ...], query: bool) -> dict[str, Any]:
    """Write faults as the errors list, in a stable order, at most 50."""
    ordered = sorted(faults, key=lambda f: [(isinstance(p, str), str(p) if isinstance(p, str) else f"{p:09d}") for p in f.path])
    out: dict[str, Any] = {"errors": [_entry(f, query) for f in ordered[:MOST_ERRORS]]}
    if len(ordered) > MOST_ERRORS:
        out["errors_truncated"] = True
    return out


def _entry(fault: Fault, query: bool) -> dict[str, Any]:
    """Write one fault; what may have been meant is looked for only here, since few of many faults are shown."""
    facts = dict(fault.facts)
    facts |= _suggestion(facts.pop(LATER, None), fault.path)
    if "received" in facts:
        facts["received"] = show(facts["received"])
    where = {"parameter": str(fault.path[0])[:SHOWN] if fault.path else ""} if query else {"pointer": pointer(fault.path)}
    return {**where, "code": fault.code, "detail": fault.detail, **facts}


def _suggestion(later: "partial[dict[str, Any]] | None", path: tuple[str | int, ...]) -> dict[str, Any]:
    """Return what may have been meant, looked for once for each word of a request and for so many words at most."""
    if later is None:
        return {}
    hints, key = noted().hints, (later.args[0], *(p for p in path if isinstance(p, str)))
    if key not in hints and len(hints) < MOST_HINTS:
        hints[key] = later()
    return hints.get(key, {})


def validation_problem(faults: tuple[Fault, ...], query: bool) -> dict[str, Any]:
    """Return the problem document of a 422."""
    count = len(faults)
    said = "1 field needs attention." if count == 1 else f"{count} fields need attention."
    if count > MOST_ERRORS:  # of many unknown names only the first were looked at
        said = f"More than {MOST_ERRORS} fields need attention; these are the first."
    return problem("validation_error", said, **fault_entries(faults, query))


def problem_response(body: dict[str, Any], headers: Any = ()) -> Response:
    """Send a problem document."""
    noted().problem_code = body["code"]
    response = Response(worded(orjson.dumps(body), noted().metric), body["status"], content_type=MEDIA_TYPE)
    response.headers.extend(headers)
    response.headers["Cache-Control"] = "no-store"
    if body["status"] == 503:
        response.headers.setdefault("Retry-After", RETRY_AFTER_S)
    return response


class UnknownIdError(Exception):
    """An id in the path that names nothing."""

    def __init__(self, kind: str, received: str, listed_at: str, suggestion: dict[str, Any]) -> None:
        super().__init__(kind)
        self.kind, self.received, self.listed_at, self.suggestion = kind, received, listed_at, suggestion


class NotOfferedError(Exception):
    """No form that the caller accepts is offered by the address; carries the media types that are."""

    def __init__(self, *offered: str) -> None:
        super().__init__(*offered)
        self.offered = list(offered)


def install(app: Flask) -> None:
    """Answer every error of the app as a problem document."""

    @app.errorhandler(FasteningError)
    def _fastening(error: FasteningError) -> Response:
        return problem_response(validation_problem(error.faults, isinstance(error, QueryError) or request.method in ("GET", "HEAD")))

    @app.errorhandler(UnreadableBodyError)
    def _unreadable(error: UnreadableBodyError) -> Response:
        return problem_response(problem(error.code, error.detail, **error.facts))

    @app.errorhandler(UnknownIdError)
    def _unknown(error: UnknownIdError) -> Response:
        said = f"no {error.kind} has the id {error.received[:64]!r}; GET {error.listed_at} lists them"
        return problem_response(problem("unknown_id", said, **error.suggestion))

    @app.errorhandler(NotOfferedError)
    def _not_offered(error: NotOfferedError) -> Response:
        said = f"The answer of this address is offered as {' or '.join(error.offered)}."
        return problem_response(problem("not_acceptable", said, offered=error.offered))

    @app.errorhandler(KeyRefusedError)
    def _no_key(error: KeyRefusedError) -> Response:
        return problem_response(problem(error.code, PROBLEMS[error.code].about), [("WWW-Authenticate", f'ApiKey header="{HEADER}"')])

    @app.errorhandler(HTTPException)
    def _http(error: HTTPException) -> Response:
        status = error.code or 500
        code = BY_STATUS.get(status, "bad_request" if status < 500 else "internal_error")
        detail = PROBLEMS[code].about
        keep = [(k, v) for k, v in error.get_response().headers.items() if k in ("Allow", "Retry-After")]
        return problem_response(problem(code, detail), keep)

    @app.errorhandler(Exception)
    def _bug(error: Exception) -> Response:
        app.logger.exception("internal error", extra={"facts": {"request_id": noted().request_id}})
        return problem_response(problem("internal_error", PROBLEMS["internal_error"].about))
