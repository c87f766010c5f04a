"""What belongs to the request being answered: the settings in force, and what its log line will say."""

import time
from dataclasses import dataclass, field
from typing import Any

from flask import current_app, request

from service.settings import Settings
from service.web.metrics import Tally

NOTED = "service.noted"
"""Where the notes stand in the WSGI environment."""


@dataclass(slots=True)
class Noted:
    """What is noted about a request while it is answered, for its log line; `route` is a template, never the address sent.

    `hints` are the suggestions found so far: a batch asks for the same ones again, and for so many different ones that they are bounded.
    """

    request_id: str
    started: float = field(default_factory=time.perf_counter)
    route: str | None = None
    key_name: str | None = None
    bytes_in: int = 0
    item_count: int | None = None
    problem_code: str | None = None
    max_severity: str | None = None
    metric: bool = False
    tally: Tally | None = None
    hints: dict[Any, dict[str, Any]] = field(default_factory=dict)


def noted() -> Noted:
    """Return the notes of the running request."""
    found: Noted = request.environ[NOTED]
    return found


def settings() -> Settings:
    """Return the settings of the running app."""
    found: Settings = current_app.config["SETTINGS"]
    return found
