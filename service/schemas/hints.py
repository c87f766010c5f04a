"""What may have been meant by a word that is not known: a misspelling, never another quantity, unit, size or kind."""

import re
from collections.abc import Callable, Collection, Iterable
from difflib import SequenceMatcher
from functools import partial
from typing import Any

SHOWN = 64
LATER = "_suggest"
"""Key of a fault's facts under which a suggestion waits until the fault is shown."""
LIKE, LIKE_SHORT = 0.7, 0.66
"""From this likeness of letters on a part of a word is taken for a misspelling of another; one of three letters may have one wrong."""
MOST = 6
"""No more meanings are listed: a list of a dozen helps nobody."""
UNITS = {
    **{"inches": "in", "inch": "in", "feet": "ft", "foot": "ft", "millimeters": "mm", "millimetres": "mm", "meters": "m", "metres": "m"},
    **{u: u for u in ("in", "ft", "mm", "m", "cm", "mph", "psf", "psi", "lb", "kg", "deg", "f", "s")},
}
"""Parts of a field's name that are a unit, and how the service writes them."""
QUANTITIES = frozenset(
    "length width height depth thickness diameter spacing offset distance count speed span pitch load weight gap".split()
)
CURES = {
    ("ft", "in"): "in inches (1 ft is 12 in)",
    ("in", "ft"): "in feet (1 ft is 12 in)",
    ("cm", "mm"): "in millimetres (1 cm is 10 mm)",
    ("m", "mm"): "in millimetres (1 m is 1000 mm)",
    ("cm", "m"): "in metres (1 m is 100 cm)",
    ("mm", "m"): "in metres (1 m is 1000 mm)",
}
"""What to say where the quantity is right and the unit is not one the field has: from the unit sent to one that is taken."""
IN_FULL = {"in": "in inches (1 ft is 12 in)", "ft": "in feet", "mph": "in miles an hour"}
"""What to say where a name lacks its unit."""
Also = Callable[[str], tuple[str, ...]]
_PART = re.compile(r"[a-z]+[0-9.]*|[0-9][0-9a-z./]*", re.IGNORECASE)


def nothing_else(word: str) -> tuple[str, ...]:
    """Return no further meanings."""
    return ()


def near(word: str, known: Iterable[str], also: Also = nothing_else) -> dict[str, Any]:
    """Return what a word that is not known may mean: one word, or a few where it does not choose; nothing of ours is longer than 64 characters.

    Parameters
    ----------
    also : callable
        Other words for the known ones: abbreviations, words of the trade.
    """
    if len(word) > SHOWN:
        return {}
    words = tuple(known)
    return _told(spelled(word, words)) or _several(gone_on(word, words)) or _told(also(word))


def near_later(word: str, known: Iterable[str], also: Also = nothing_else) -> dict[str, Any]:
    """Return a suggestion that is looked for only when its fault is shown: among thousands of faults most never are."""
    return {LATER: partial(near, word, known, also)}


def near_field(name: str, known: Iterable[str], twins: Iterable[str] = ()) -> dict[str, Any]:
    """Return which field a name that is none may mean: of the same unit, or the US field where it says no unit; `twins` are the metric ones."""
    if len(name) > SHOWN:
        return {}
    unit, metric = unit_of(name), frozenset(twins)
    if unit:
        same = tuple(k for k in known if unit_of(k) == unit)
        return _told(spelled(_written(name), same)) or _several(gone_on(_written(name), same))
    fields = tuple(k for k in known if k not in metric)
    bare = {base_of(k): k for k in fields}
    return _told(tuple(dict.fromkeys(bare.get(k, k) for k in spelled(name, (*bare, *fields))))) or _several(gone_on(name, fields))


def cure_of(name: str, known: Collection[str]) -> str | None:
    """Return what to send instead, where the quantity is a field but not in the unit of the name; where that says another one the number has to change, so no name is suggested."""
    if not unit_of(name):
        lacking = next((unit for unit in IN_FULL if f"{name}_{unit}" in known), None)
        return f"send {name}_{lacking}, {IN_FULL[lacking]}" if lacking else None
    unit, base = unit_of(name), base_of(_written(name))
    by_unit = {unit_of(k): k for k in known if unit_of(k) and base_of(k) == base}
    found = next((to for (sent, to) in CURES if sent == unit and to in by_unit), None)
    return f"send {by_unit[found]}, {CURES[unit, found]}" if found else None


def unit_of(name: str) -> str:
    """Return the unit that a field's name ends in, empty for none."""
    if name.endswith("_m_per_s"):
        return "m_per_s"
    head, _, last = name.rpartition("_")
    return UNITS.get(last, "") if head else ""


def base_of(name: str) -> str:
    """Return a field's name without its unit."""
    unit = unit_of(name)
    return name.removesuffix("_" + unit) if unit else name


def _written(name: str) -> str:
    """Return a name with its unit as the service writes it."""
    unit = unit_of(name)
    return f"{name.rpartition('_')[0]}_{unit}" if unit and unit != "m_per_s" else name


def spelled(word: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """Return the known words that another one is but for case and hyphens, else its nearest misspellings."""
    asked = _parts(word)
    squeezed = "".join(asked)
    exact = next((k for k in known if squeezed and "".join(_parts(k)) == squeezed), None)
    if exact is not None:
        return (exact,)
    right = _parts_of(known)
    scored = [(_likeness(asked, _parts(k), right), k) for k in known]
    best = max((score for score, _ in scored), default=0)
    return tuple(k for score, k in scored if score == best)[:MOST] if best else ()


def gone_on(word: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """Return the known words that hold every part of another one and more, none where there are too many."""
    asked, right = _parts(word), _parts_of(known)
    found = tuple(k for k in known if asked and _within(asked, _parts(k), right))
    return found if len(found) <= MOST else ()


def _parts_of(known: tuple[str, ...]) -> frozenset[str]:
    return frozenset(part for k in known for part in _parts(k))


def _parts(word: str) -> tuple[str, ...]:
    return tuple(p.lower() for p in _PART.findall(word))


def _likeness(asked: tuple[str, ...], parts: tuple[str, ...], right: frozenset[str]) -> float:
    """Return how alike two words are part by part, 0 where one part is another thing."""
    if len(asked) != len(parts):
        return 0
    each = [_alike(a, b, right) for a, b in zip(asked, parts, strict=True)]
    return sum(each) / len(each) if all(each) else 0


def _alike(asked: str, part: str, right: frozenset[str]) -> float:
    """Return how alike two parts are; a number, a unit, a quantity and a word spelled right are themselves or nothing."""
    if asked == part:
        return 1
    if asked in right or asked in QUANTITIES or {asked, part} & UNITS.keys() or not (asked + part).isalpha():
        return 0
    if len(part) <= 2 or asked[0] != part[0]:
        return 0
    ratio = _ratio(asked, part)
    nearer = any(_ratio(asked, q) >= ratio for q in QUANTITIES if q != part)
    return 0 if nearer or ratio < (LIKE if len(part) > 3 else LIKE_SHORT) else ratio


def _ratio(asked: str, part: str) -> float:
    return SequenceMatcher(None, asked, part).ratio()


def _within(asked: tuple[str, ...], parts: tuple[str, ...], right: frozenset[str]) -> bool:
    """Whether every part asked for stands in a word, in order."""
    rest = iter(parts)
    return all(any(_alike(a, b, right) for b in rest) for a in asked)


def _told(found: tuple[str, ...]) -> dict[str, Any]:
    return {"did_you_mean": found[0]} if len(found) == 1 else _several(found)


def _several(found: tuple[str, ...]) -> dict[str, Any]:
    return {"could_be": list(found)} if found else {}
