"""The line that says how far a run is."""

import io
import sys

import pytest

from service.bulk.parts import Part
from service.bulk.progress import Progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def half(size: int = 500) -> Part:
    return Part("", 1, (b"",) * 10, size)


def test_it_says_share_lines_and_time_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """By hand: 500 of 2000 bytes kept from before, 500 answered in 60 s, so the other 1000 take 120 s."""
    monkeypatch.setattr("time.monotonic", lambda: 160.0)
    bar = Progress(2000, started=100.0)
    bar.add(half(), kept=True)
    bar.add(half(), kept=False)
    assert str(bar) == "[############............]  50%  20 lines, 2 min 0 s left"
    assert (bar.kept, bar.parts) == (1, 2)


def test_a_terminal_shows_one_line_written_over(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", screen := Terminal())
    bar = Progress(1000)
    bar.add(half(), kept=False)
    bar.add(half(), kept=False)
    bar.close()
    assert screen.getvalue().count("\r") == 2
    assert "\n" not in screen.getvalue()
    assert screen.getvalue().endswith("\r\x1b[K")


def test_elsewhere_nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", other := io.StringIO())
    bar = Progress(0)
    bar.add(half(), kept=False)
    bar.close()
    assert (other.getvalue(), str(bar)) == ("", "[........................]   0%  10 lines")
