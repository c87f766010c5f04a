"""Flask with next to nothing in it, beside which the service is measured."""

from flask import Flask, Response, jsonify, request

app = Flask(__name__)


@app.get("/constant")
def constant() -> Response:
    """Answer the same each time."""
    return jsonify(status="ok")


@app.post("/read")
def read() -> Response:
    """Read the body as JSON, and say how many fields it has."""
    return jsonify(field_count=len(request.get_json()))
