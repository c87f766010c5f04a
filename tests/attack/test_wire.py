"""Tricks with the bytes of HTTP, played on the bare service."""

import pytest

from tests.attack.conftest import Report
from tests.attack.tricks import TRICKS, Trick, play
from tests.web.conftest import Service


@pytest.mark.parametrize("trick", TRICKS, ids=lambda t: t.name)
def test_a_trick_is_refused_or_answered_once(attacked: Service, report: Report, trick: Trick) -> None:
    for status in play(attacked.port, trick):
        report.codes[f"{status} on the wire" if status else "closed"] += 1
