"""Quantities inside sentences: the rooms mark them as facts, the door words them in the units asked.

A sentence is made once, where its reason is known, but who reads it is known only where the answer is sent. So a length
stands in it as a mark: U+E000, the form, the ticks (several with the words between them), U+E001. `worded` turns every mark
of an answer into inches or millimeters, as the last step before it is sent.
"""

import re
from collections.abc import Callable
from functools import lru_cache

from service.ticks import KG_PER_LB, M_PER_S_PER_MPH, PER_FT, PER_IN, PER_MM, inches, label

FORMS: dict[str, tuple[Callable[[int], str], bool]] = {
    "d": (lambda t: f"{inches(t):g}", True),
    "D": (lambda t: f"{inches(t):g}", False),
    "f": (label, True),
    "F": (label, False),
    "2": (lambda t: f"{t / PER_IN:.2f}", True),
    "3": (lambda t: f"{t / PER_IN:.3g}", True),
    "4": (lambda t: f"{inches(t):.4g}", True),
    "6": (lambda t: f"{t / PER_IN:.6g}", False),
}
"""How inches are written, and whether the unit follows: decimal, fraction, so many places or digits."""
SPEED, WEIGHT, LONG = "h", "w", "l"
_MARK = re.compile(f"\ue000([{''.join(FORMS)}{SPEED}{WEIGHT}{LONG}])([-0-9., to]*)\ue001".encode())
_NUMBER = re.compile(r"-?\d{1,18}(?:\.\d{1,6})?")


def say_length(*lengths: int, between: str = ", ", form: str = "d") -> str:
    """Mark lengths in ticks for a sentence; `form` is a key of FORMS."""
    return f"\ue000{form}{between.join(map(str, lengths))}\ue001"


def say_fraction(length: int) -> str:
    """Mark a length that US readers see as a fraction."""
    return f"\ue000f{length}\ue001"


def say_feet(length: int) -> str:
    """Mark a length in ticks that readers see in feet, or in meters."""
    return f"\ue000{LONG}{length}\ue001"


def say_speed(mph: str) -> str:
    """Mark a wind speed, written in mph."""
    return f"\ue000{SPEED}{mph}\ue001"


def say_weight(lb: str) -> str:
    """Mark a weight, written in lb."""
    return f"\ue000{WEIGHT}{lb}\ue001"


def worded(raw: bytes, metric: bool) -> bytes:
    """Return a written answer with every mark in the units asked."""
    if b"\xee\x80\x80" not in raw:
        return raw
    return _MARK.sub(lambda m: _words(m[1].decode(), m[2].decode(), metric), raw)


def plain(text: str, metric: bool = False) -> str:
    """Return one sentence with every mark in words."""
    return worded(text.encode(), metric).decode() if "\ue000" in text else text


@lru_cache(maxsize=1024)
def _words(form: str, numbers: str, metric: bool) -> bytes:
    return _NUMBER.sub(lambda m: _number(form, m[0], metric), numbers).encode() + _unit(form, metric).encode()


def _number(form: str, text: str, metric: bool) -> str:
    if form in FORMS:
        ticks = round(float(text))
        return _short(ticks / PER_MM, 2) if metric else FORMS[form][0](ticks)
    if form == LONG:
        ticks = round(float(text))
        return _short(ticks / (1000 * PER_MM), 2) if metric else _short(ticks / PER_FT, 2)
    if not metric:
        return text
    return _short(float(text) * M_PER_S_PER_MPH, 1) if form == SPEED else _short(float(text) * KG_PER_LB, 0)


def _short(value: float, places: int) -> str:
    return f"{round(value, places):.9g}"


def _unit(form: str, metric: bool) -> str:
    if form in FORMS:
        return (" mm" if metric else " in") if FORMS[form][1] else ""
    return {SPEED: (" mph", " m/s"), WEIGHT: (" lb", " kg"), LONG: (" ft", " m")}[form][metric]
