"""The store of answers to GET: never over its bytes, the oldest out, nothing large."""

import pytest
from flask import Flask

from service.web.kept import BESIDE, Kept, Made

HUNDRED = Made(b"a" * 100, "t", None)


def test_kept_answer_is_found_and_another_is_not() -> None:
    kept = Kept()
    kept.keep("q", HUNDRED)
    assert (kept.find("q"), kept.find("r")) == (HUNDRED, None)


def test_oldest_goes_when_the_bytes_are_full() -> None:
    kept = Kept(most=3 * (100 + BESIDE))
    for q in "abcd":
        kept.keep(q, HUNDRED)
    assert [kept.find(q) is not None for q in "abcd"] == [False, True, True, True]
    assert kept.size == 3 * (100 + BESIDE)


def test_bytes_of_the_question_count() -> None:
    kept = Kept(most=2 * (100 + BESIDE))
    kept.keep("a", HUNDRED)
    kept.keep("b", HUNDRED, asked=1)
    assert [kept.find(q) is not None for q in "ab"] == [False, True]


def test_same_question_is_counted_once() -> None:
    kept = Kept()
    kept.keep("a", HUNDRED)
    kept.keep("a", HUNDRED)
    assert kept.size == 100 + BESIDE


@pytest.mark.parametrize(("size", "found"), [(65_536, True), (65_537, False)])
def test_large_answer_is_not_kept(size: int, found: bool) -> None:
    kept = Kept()
    kept.keep("a", Made(b"a" * size, "t", None))
    assert (kept.find("a") is not None) == found


def test_store_never_holds_more_than_8_mb() -> None:
    kept = Kept()
    for q in range(1_000):
        kept.keep(q, Made(b"a" * 50_000, "t", None))
        assert kept.size <= 8_000_000
    assert kept.find(999) is not None


@pytest.mark.parametrize(
    "path", ["/v1/nails?designation=16d+common", "/v1/species", "/v1/requirements?connection_id=stud-to-plate-end-nail&nail_id=16d-common"]
)
def test_one_store_serves_every_address(app: Flask, path: str) -> None:
    client, kept = app.test_client(), app.config["KEPT"]
    first, size = client.get(path), kept.size
    again = client.get(path)
    assert (again.data, again.headers["ETag"], kept.size) == (first.data, first.headers["ETag"], size)
    assert size > len(first.data)
