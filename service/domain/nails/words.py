"""Reads what people type on an order: 16d common, 3 x .131, 2 3/8 x .113 ring, 75 x 3.15 mm."""

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from service.domain.nails.nail import TOLERANCE, Nail, NailAsk, by_id, from_row, of_size
from service.errors import FasteningError, Fault
from service.said import say_length
from service.tables.book import Book
from service.ticks import PER_IN, PER_MM, inches

_NUMBER = r"(?:\d{1,2}[ -]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d{1,3}\.\d{0,6}|\.\d{1,6}|\d{1,3})"
_UNIT = r"(?:\"|''|in\b\.?|inch(?:es)?\b|mm\b)?"
_SIZE = re.compile(rf"(?<![\d./])({_NUMBER})\s*({_UNIT})\s*(?:x|by)\s*({_NUMBER})\s*({_UNIT})(?![\d/])")
_PENNY = re.compile(r"(?<![\d./-])(\d{1,2})\s*-?\s*(?:d\b|penny\b)")
_RSRS = re.compile(r"\brsrs(?:[ -]*0?([1-9]))?\b")
_TYPES = {"common": "common", "box": "box", "sinker": "sinker", "sinkers": "sinker"}
_SHANKS = {"ring": "ring", "annular": "ring", "screw": "screw", "spiral": "screw", "smooth": "smooth", "plain": "smooth"}
_COATINGS = {
    "bright": "bright",
    "galvanized": "hot_dip_galvanized",
    "hdg": "hot_dip_galvanized",
    "stainless": "stainless",
    "electrogalvanized": "electro_galvanized",
}
_IDLE = {
    "nail",
    "nails",
    "shank",
    "gun",
    "power",
    "driven",
    "strip",
    "coil",
    "hot",
    "dip",
    "dipped",
    "steel",
    "full",
    "round",
    "head",
    "a",
    "of",
    "post",
    "frame",
    "wire",
}
_ALIKE = str.maketrans(
    {"×": "x", "X": "x", "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "(": " ", ")": " ", ",": " ", "–": "-", "—": "-"}
)


@lru_cache(maxsize=512)
def understand(ask: NailAsk, book: Book) -> Nail:
    """Return the nail a request means, with the head and coating it adds.

    Raises
    ------
    FasteningError
        `missing_field`, `conflicting_fields`, `unknown_value`, `ambiguous_nail` or `unreadable_nail`.
    """
    ways = [ask.nail_id is not None, ask.designation is not None, ask.length is not None or ask.diameter is not None]
    if sum(ways) == 0:
        raise FasteningError(
            Fault("missing_field", "name the nail: nail_id, nail_designation, or nail_length_in with shank_diameter_in", ("nail_id",))
        )
    if sum(ways) > 1:
        raise FasteningError(
            Fault(
                "conflicting_fields",
                "name the nail one way only: nail_id, nail_designation, or nail_length_in with shank_diameter_in",
                ("nail_id",),
            )
        )
    if ask.shank and ask.length is None:
        raise FasteningError(
            Fault(
                "conflicting_fields",
                "goes only with nail_length_in and shank_diameter_in; put the shank into the id or the designation",
                ("shank",),
            )
        )
    if ask.nail_id is not None:
        nail = _at("nail_id", lambda: by_id(ask.nail_id or "", book))
    elif ask.designation is not None:
        nail = _at("nail_designation", lambda: read_designation(ask.designation or "", book))
    elif ask.length is None or ask.diameter is None:
        missing = "nail_length_in" if ask.length is None else "shank_diameter_in"
        raise FasteningError(Fault("missing_field", f"needs {missing} too: length and diameter go together", (missing,)))
    else:
        length, diameter = ask.length, ask.diameter
        nail = _at("nail_length_in", lambda: of_size(ask.shank or "smooth", length, diameter))
    if ask.head_diameter is not None and ask.head_diameter <= nail.diameter:
        raise FasteningError(
            Fault(
                "out_of_range",
                f"must be more than the shank, {say_length(nail.diameter)}",
                ("head_diameter_in",),
                {"limit": inches(nail.diameter), "received": inches(ask.head_diameter)},
            )
        )
    return replace(
        nail,
        head_diameter=ask.head_diameter if ask.head_diameter is not None else nail.head_diameter,
        head_confidence=None if ask.head_diameter is not None else nail.head_confidence,
        head=ask.head or nail.head,
        coating=ask.coating or nail.coating,
    )


def _at(field: str, read: Callable[[], Nail]) -> Nail:
    try:
        return read()
    except FasteningError as error:
        raise FasteningError(*(f.under(field) for f in error.faults)) from None


def read_designation(words: str, book: Book) -> Nail:
    """Return the nail that free text names.

    A bare pennyweight names several diameters and is refused with all of them.

    Raises
    ------
    FasteningError
        `ambiguous_nail` or `unreadable_nail`.
    """
    found = candidates(words, book)
    if len(found) > 1:
        listed = [{"nail_id": n.nail_id, "length_in": inches(n.length), "shank_diameter_in": inches(n.diameter)} for n in found]
        sizes = ", ".join(f"{n.label}" for n in found)
        raise FasteningError(
            Fault(
                "ambiguous_nail",
                f"{words.strip()!r} names no single diameter; it could be {sizes}. Send length and diameter from the box",
                (),
                {"received": words, "candidates": listed},
            )
        )
    return found[0]


def candidates(words: str, book: Book) -> tuple[Nail, ...]:
    """Return every nail the text could mean, at least one.

    Raises
    ------
    FasteningError
        `unreadable_nail` when the text names none.
    """
    text = words.translate(_ALIKE).lower()
    sized = _SIZE.search(text)
    rest = text[: sized.start()] + " " + text[sized.end() :] if sized else text
    penny = _PENNY.search(rest)
    rest = _PENNY.sub(" ", rest, count=1)
    rsrs = _RSRS.search(rest)
    rest = _RSRS.sub(" ", rest, count=1)
    post_frame = bool(re.search(r"\bpost[ -]?frame\b", rest))
    tokens = re.findall(
        r"[a-z]+|\d[\d./]*|[^\sa-z\d-]", re.sub(r"\bpost[ -]?frame\b", " ", rest.replace("electro-galvanized", "electrogalvanized"))
    )
    known = {*_TYPES, *_SHANKS, *_COATINGS, *_IDLE}
    strange = [t for t in tokens if t not in known]
    if strange:
        raise _unreadable(words, f"{strange[0]!r} is not understood")
    types = [_TYPES[t] for t in tokens if t in _TYPES]
    shanks = list(dict.fromkeys(_SHANKS[t] for t in tokens if t in _SHANKS))
    coatings = [_COATINGS[t] for t in tokens if t in _COATINGS]
    if len(set(types)) > 1 or len(shanks) > 1:
        raise _unreadable(words, "it names two kinds of nail")
    if len(set(coatings)) > 1:
        raise _unreadable(words, "it names two coatings or metals")
    size = _read_size(sized, words) if sized else None
    found = _search(
        book, size, f"{int(penny[1])}d" if penny else "", types[0] if types else "", shanks[0] if shanks else "", rsrs, post_frame
    )
    if not found:
        raise _unreadable(words, "no nail fits these words")
    return tuple(replace(n, coating=coatings[0]) for n in found) if coatings else found


def _search(
    book: Book, size: tuple[int, int] | None, penny: str, kind: str, shank: str, rsrs: re.Match[str] | None, post_frame: bool
) -> tuple[Nail, ...]:
    if not (penny or kind or rsrs or post_frame):
        return (of_size(shank or "smooth", *size),) if size else ()
    rows = [from_row(r) for r in book.nails.values()]
    return tuple(
        n
        for n in rows
        if (n.kind == "rsrs") == bool(rsrs)
        and (n.kind == "post_frame") == post_frame
        and (not rsrs or not rsrs[1] or n.nail_id == f"rsrs-0{rsrs[1]}")
        and (not penny or n.pennyweight == penny)
        and (not kind or n.type == kind)
        and (not shank or n.shank == shank)
        and (size is None or abs(n.length - size[0]) <= TOLERANCE and abs(n.diameter - size[1]) <= TOLERANCE)
    )


def _read_size(found: re.Match[str], words: str) -> tuple[int, int]:
    per_unit = PER_MM if "mm" in (found[2], found[4]) else PER_IN
    try:
        pair = sorted(round(_value(found[i]) * per_unit) for i in (1, 3))
    except ZeroDivisionError:
        raise _unreadable(words, "a fraction has no bottom") from None
    return pair[1], pair[0]


def _value(text: str) -> Fraction:
    parts = re.split(r"[ -]", text)
    return sum((Fraction(p + "0" if p.endswith(".") else p) for p in parts), Fraction(0))


def _unreadable(words: str, why: str) -> FasteningError:
    return FasteningError(
        Fault("unreadable_nail", f"{why}; write it like 16d common, 3 x 0.131, 2-3/8 x 0.113 ring or 75 x 3.15 mm", (), {"received": words})
    )
