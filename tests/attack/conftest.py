"""What the attacks share: the live service, the seeds, and the table at the end of the run."""

import gc
import os
import secrets
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest

from service.__main__ import spare_the_collector
from tests.attack.door import Got
from tests.web.conftest import Service, serving

REPORT: pytest.StashKey["Report"] = pytest.StashKey()
SHOWN = 5


@dataclass
class Report:
    """What was asked, and what it cost: processor time in ms, with what was asked."""

    seeds: list[str] = field(default_factory=list)
    codes: Counter[str] = field(default_factory=Counter)
    refused: list[tuple[float, str]] = field(default_factory=list)
    answered: list[tuple[float, str]] = field(default_factory=list)
    facts: list[tuple[str, str]] = field(default_factory=list)

    def note(self, got: Got, what: str) -> None:
        self.codes[got.code or str(got.status)] += 1
        kept = self.refused if got.status >= 400 else self.answered
        kept.append((got.cpu * 1000, what))
        if len(kept) > 1000:
            kept[:] = sorted(kept, reverse=True)[:SHOWN]

    def lines(self) -> Iterator[tuple[str, str]]:
        """Return the table."""
        yield "requests", f"{self.codes.total():,}"
        yield "of which", ", ".join(f"{count:,} {code}" for code, count in self.codes.most_common())
        yield "seeds", ", ".join(self.seeds)
        for name, kept in (("slowest refusals", self.refused), ("dearest answers", self.answered)):
            for cost, what in sorted(kept, reverse=True)[:SHOWN]:
                yield name, f"{cost:6.0f} ms CPU  {what}"
                name = ""
        yield from self.facts


def pytest_configure(config: pytest.Config) -> None:
    config.stash[REPORT] = Report()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    report = config.stash[REPORT]
    if report.codes:
        terminalreporter.write_sep("-", "attacks")
        for what, found in report.lines():
            terminalreporter.write_line(f"{what:<18} {found}")


@pytest.fixture(scope="session")
def report(request: pytest.FixtureRequest) -> Report:
    """The table at the end of the run."""
    return request.config.stash[REPORT]


@pytest.fixture(scope="session")
def many(request: pytest.FixtureRequest) -> int:
    """How many mutants each seed makes."""
    return 50_000 if request.config.getoption("--attack") else 10_000


@pytest.fixture(scope="session")
def fresh() -> str:
    """A seed that was not used before, or the one to be used again."""
    return os.environ.get("ATTACK_SEED") or secrets.token_hex(4)


@pytest.fixture(scope="module")
def as_it_serves() -> Iterator[None]:
    """The garbage collector as the service sets it; else it would walk what other tests have left, in the time of a request."""
    before = gc.get_threshold()
    spare_the_collector()
    yield
    gc.set_threshold(*before)
    gc.unfreeze()


@pytest.fixture(scope="session")
def attacked() -> Iterator[Service]:
    """The bare service, whose log is kept."""
    with serving(log_level="info") as service:
        yield service
