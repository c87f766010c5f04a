"""What an answer came to, read off its shape, is what its JSON says."""

import json
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.schemas.answers import outcomes
from service.web import routes
from service.web.examples import examples_of
from service.web.registry import OPERATIONS

ASKED = [
    pytest.param(o, kept, id=f"{o.operation_id} {name}")
    for o in OPERATIONS
    for name, kept in examples_of(o.operation_id).items()
    if o.method == "POST" and kept.status == 200 and kept.form == "json"
]


def said(answer: Any) -> Iterator[str]:
    """Yield the outermost outcomes of an answer as JSON; a refused item is one too."""
    if isinstance(answer, list):
        for one in answer:
            yield from said(one)
    elif isinstance(answer, dict):
        if "problem" in answer:
            yield "refused"
        elif "outcome" in answer:
            yield answer["outcome"]
        else:
            yield from said([v for k, v in answer.items() if k not in ("outcomes", "input")])


@pytest.mark.parametrize(("o", "kept"), ASKED)
def test_the_outcomes_of_an_answer_are_those_of_its_json(client: FlaskClient, monkeypatch: pytest.MonkeyPatch, o: Any, kept: Any) -> None:
    found: list[Counter[str]] = []
    monkeypatch.setattr(routes, "tally", lambda shape, reply: found.append(Counter(outcomes.outcomes_in(shape, reply))))
    answer = client.post(o.path, json=kept.question)
    assert answer.status_code == 200
    assert found == [Counter(said(json.loads(answer.data)))]


def test_the_examples_hold_lines_refusals_and_answers_without_outcomes(client: FlaskClient) -> None:
    """Or the law above would say little."""
    met = Counter(word for asked in ASKED for word in said(client.post(asked.values[0].path, json=asked.values[1].question).json))  # type: ignore[union-attr, attr-defined]
    assert {"prescriptive", "calculated", "engineering_required", "refused"} <= met.keys()
