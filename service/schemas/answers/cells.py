"""What one cell of a sheet holds: text as it was meant, numbers bare, nothing that a spreadsheet would run or read another way."""

import re
from typing import Any

from service.said import plain

RUN = ("=", "+", "-", "@", "\t", "\r")
"""First characters of what a spreadsheet may take for a formula."""
_MONTH = "(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)"
_READ = re.compile(
    r"[\d.,]*\d[\d.,]*(?:e[+-]?\d+)?%?"  # 2304.10, 007, 1e5, 1,234, 5%
    r"|\d+(?:[-/:]\d+)+"  # 7/16, 3-4, 3-1/2, 2026-03-04, 10:30
    r"|\d+ \d+/\d+"  # 1 1/2
    rf"|{_MONTH}[- ]?\d{{1,4}}|\d{{1,2}}[- ]?{_MONTH}(?:[- ]\d{{2,4}})?"  # mar-4, 4 mar 26
    r"|\d{1,2}(?::\d\d){0,2} ?[ap]m?"  # 10 am
    r"|[$€£] ?[\d.,]+|\([\d.,]+\)"  # $5, (5)
    r"|true|false",
    re.IGNORECASE,
)
_NUMBER_AS_SHOWN = re.compile(r"(?=[\d.]{1,16}\Z)(?:0|[1-9]\d{0,14})(?:\.\d*[1-9])?")
"""A number that a spreadsheet shows again as it was written, so that nothing is lost: 15 digits at most."""


def cell(value: Any, metric: bool = False) -> Any:
    """Return a value as a cell: text behind an apostrophe where a spreadsheet would run it, or show another text in its place.

    A date, a fraction or a section such as 2304.10, which would become 2304.1, is text of that kind.
    """
    if value is None:
        return ""
    if isinstance(value, list):
        joined = " ".join(map(str, value))
        return _text(joined, metric) if any(isinstance(v, str) for v in value) else joined
    return _text(value, metric) if isinstance(value, str) else value


def _text(text: str, metric: bool) -> str:
    said = plain(text, metric)
    return "'" + said if said.startswith(RUN) or _read_another_way(said) else said


def _read_another_way(text: str) -> bool:
    return bool(_READ.fullmatch(text)) and not _NUMBER_AS_SHOWN.fullmatch(text)
