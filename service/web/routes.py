"""Turns the registry into routes, with the contract and the front page beside them."""

from typing import Any

import orjson
from flask import Flask, Response, request

from service import API_VERSION
from service.web import edge, questions, reference
from service.web.contract import build, example
from service.web.registry import OPERATIONS, REFERENCE, Operation

ROOMS = (questions, reference)
FRONT = """Wall Fastening Service {version}

Nails for wood-framed walls: which nail, how many, where, and when the tables stop.
Counts follow from the inputs and published tables; no design and no approval.
The adopted local code and the building official govern.

One joint:
  curl '{root}v1/requirements?connection_id=stud-to-plate-end-nail&nail_designation=3+x+0.131&joint_count=38'

One wall:
  curl -H 'Content-Type: application/json' -d '{wall}' {root}v1/wall-plans

The contract: {root}v1/openapi.json
"""


def install(app: Flask) -> None:
    """Add every address to the app."""
    for o in OPERATIONS:
        rule = o.path.replace("{", "<").replace("}", ">")
        app.add_url_rule(rule, o.operation_id, _view(o), methods=[o.method])
    document = orjson.dumps(build())
    etag = edge.tag(document)
    wall = orjson.dumps(example("createWallPlan")).decode()

    @app.get("/v1/openapi.json")
    def contract() -> Response:
        edge.read_query(None)
        return edge.send_bytes(document, REFERENCE, etag)

    @app.get("/")
    def front() -> Response:
        return Response(
            FRONT.format(version=API_VERSION, root=request.url_root, wall=wall),
            content_type="text/plain; charset=utf-8",
            headers={"Cache-Control": REFERENCE},
        )


def _view(o: Operation) -> Any:
    def view(**path: str) -> Response:
        edge.check_accept()
        if o.method == "GET":
            raw = edge.read_query(o.ask)
        else:
            edge.read_query(None)
            raw = edge.read_json()
        return edge.send(o.handler(raw, **path), o.cache)

    return view
