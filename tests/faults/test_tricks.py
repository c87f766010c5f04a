"""The same tricks with the bytes of HTTP, played on the proxy: what two servers in a row make of them."""

from typing import Any

import pytest

from tests.attack.tricks import TRICKS, Trick, play


@pytest.mark.parametrize("trick", TRICKS, ids=lambda t: t.name)
def test_a_trick_is_refused_or_answered_once(proxy: int, tell: Any, trick: Trick) -> None:
    play(proxy, trick, proxied=True)
    tell("tricks with the bytes of HTTP", f"{len(TRICKS)}, each refused or answered once")
