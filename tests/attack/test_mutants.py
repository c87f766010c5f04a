"""Thousands of wrong requests from right ones: of one seed always the same, and of one that was never used.

A find says its seed and number. ATTACK_SEED=seed makes the same ones again.
"""

import json
from functools import cache
from typing import Any

import pytest
from flask import Flask
from jsonschema import Draft202012Validator

from tests.attack.conftest import Report
from tests.attack.door import Got, Sent, ask, check
from tests.attack.mutants import GETS, POSTS, mutant, operation

SAMPLED = 50
REFUSAL_S = 1.0
FINDS = 3


class Contract:
    """The served contract, by which answers are held against their schemas."""

    def __init__(self, app: Flask) -> None:
        self.document = json.loads(ask(app, Sent("GET", "/v1/openapi.json")).body)
        self.validator = cache(self._validator)

    def _validator(self, path: str, method: str, status: str, media: str) -> Draft202012Validator:
        response = self.document["paths"][path][method]["responses"][status]
        while "$ref" in response:
            response = self.document["components"]["responses"][response["$ref"].rsplit("/", 1)[1]]
        return Draft202012Validator({**response["content"][media]["schema"], "components": self.document["components"]})

    def check(self, path: str, sent: Sent, got: Got) -> None:
        media = got["content-type"]
        if media in ("application/json", "application/problem+json"):
            found = next(self.validator(path, sent.method.lower(), str(got.status), media).iter_errors(json.loads(got.body)), None)
            assert found is None, f"not as the contract says: {found.json_path} {found.message[:200]}" if found else ""


@pytest.fixture(scope="module")
def contract(app: Flask) -> Contract:
    return Contract(app)


@pytest.mark.usefixtures("as_it_serves")
@pytest.mark.parametrize("seed", ["kept", "fresh"])
def test_no_mutant_gets_past(app: Flask, contract: Contract, report: Report, many: int, fresh: str, seed: str) -> None:
    used = fresh if seed == "fresh" else seed
    report.seeds.append(f"ATTACK_SEED={used} ({many:,})")
    finds: list[str] = []
    answered = refused = 0
    for n in range(many):
        sent = mutant(used, n)
        got = ask(app, sent)
        report.note(got, f"mutant {used}/{n} to {sent.path}")
        answered, refused = answered + (got.status < 400), refused + (got.status >= 400)
        try:
            check(sent, got)
            assert got.status < 400 or got.cpu < REFUSAL_S, f"refused after {got.cpu:.2f} s"
            if (answered if got.status < 400 else refused) % SAMPLED == 1:
                contract.check(operation(n).path, sent, got)
        except Exception as error:
            finds.append(f"ATTACK_SEED={used}, number {n}: {type(error).__name__}: {str(error)[:500]}\n  {sent}")
            if len(finds) == FINDS:
                break
    assert not finds, "\n\n".join(finds)
    assert answered > many / 20, "too few mutants are right enough to be answered"


def test_mutants_are_spread_over_every_operation() -> None:
    found = {operation(n).operation_id for n in range(4 * max(len(GETS), len(POSTS)))}
    assert found == {o.operation_id for o in (*GETS, *POSTS)}


def test_a_seed_makes_the_same_requests_again() -> None:
    first: list[Any] = [mutant("a", n) for n in range(40)]
    assert first == [mutant("a", n) for n in range(40)]
    assert first != [mutant("b", n) for n in range(40)]
