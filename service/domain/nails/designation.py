"""Reads what people type on an order: 16d common, 3 x .131, 2 3/8 x .113 ring, 75 x 3.15 mm."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from service.domain.nails.nail import DIAMETER_RANGE, LENGTH_RANGE, TOLERANCE, Nail, from_row, of_size
from service.errors import FasteningError, Fault
from service.tables.book import Book
from service.tables.trade import singular
from service.ticks import PER_IN, PER_MM

_NUMBER = r"(?:\d{1,2}[ -]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d{1,3}\.\d{0,6}|\.\d{1,6}|\d{1,3})"
_UNIT = r"(?:\"|''|in\b\.?|inch(?:es)?\b|mm\b)?"
_SIZE = re.compile(rf"(?<![\d./])({_NUMBER})\s*({_UNIT})\s*(?:x|by)\s*({_NUMBER})\s*({_UNIT})(?![\d/])")
_PENNY = re.compile(r"(?<![\d./-])(\d{1,2})\s*-?\s*(?:d\b|penny\b)")
_RSRS = re.compile(r"\brsrs(?:[ -]*0?([1-9]))?\b")
_LENGTH = re.compile(rf"(?<![\d./])({_NUMBER})\s*({_UNIT})(?![\d/])")
_ANGLE = re.compile(r"(?<![\d./])\d\d\s*-?\s*(?:degrees?\b|deg\b\.?|°)")
_POST_FRAME = re.compile(r"\bpost[ -]?frame\b")
_TOKEN = re.compile(r"[a-z]+|\d[\d./]*|[^\sa-z\d-]")
BARE_MM = (8, 200)
"""A length without a unit between these is millimetres: no nail is so long in inches."""
THOUSANDTHS = (110, 210)
"""A whole number without a unit between these, after a length in eighths of an inch, is a diameter in thousandths: 3 x 131.

Under them it may be a length in millimetres as well; after a fraction it cannot.
"""
_ALIKE = str.maketrans(
    {
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
        "×": "x",
        "X": "x",
        "″": '"',
        "”": '"',
        "“": '"',
        "′": "'",
        "’": "'",
        "(": " ",
        ")": " ",
        ",": " ",
        "–": "-",
        "—": "-",
    }
)


@dataclass(frozen=True, slots=True)
class Reading:
    """What a text names: every nail it could mean, what it leaves open (empty where it names one), and how it was read where it does not say so itself."""

    nails: tuple[Nail, ...]
    open: str = ""
    read_as: str = ""


@lru_cache(maxsize=512)
def read_words(words: str, book: Book) -> Reading:
    """Return every nail the text could mean, at least one.

    Raises
    ------
    FasteningError
        `unreadable_nail` when the text names none, `out_of_range` for a size that no nail has.
    """
    text = _ANGLE.sub(" ", words.translate(_ALIKE).lower())
    sized = _SIZE.search(text)
    rest = text[: sized.start()] + " " + text[sized.end() :] if sized else text
    penny, rest = _taken(_PENNY, rest)
    rsrs, rest = _taken(_RSRS, rest)
    post_frame, rest = _taken(_POST_FRAME, rest)
    alone, rest = (None, rest) if sized else _taken(_LENGTH, rest)
    said = _Said(words)
    said.hear(_TOKEN.findall(rest), book)
    size = _read_size(sized, words) if sized else None
    if alone and not rsrs:
        length = round(_number(alone[1], words) * _unit_of((alone[2],), (alone[1],)))
        return _half_named(length, said, book)
    number = rsrs[1] or "" if rsrs else None
    pennyweight = f"{int(penny[1])}d" if penny else ""
    found = _search(book, size, pennyweight, said, number, bool(post_frame))
    if not found and pennyweight and not size:
        return _of_length({r.length for r in book.nails.values() if r.pennyweight == pennyweight}, said, book)
    if not found:
        raise _unreadable(words, "no nail fits these words" if said.told or penny or size else "it names no size")
    open_ = "names no single diameter" if len(found) > 1 else ""
    bare = sized is not None and (found[0].unit == "mm" and not (sized[2] or sized[4]) or size is not None and size.thousandths)
    nails = tuple(said.finished(n) for n in found)
    return Reading(nails, open_, nails[0].label if bare or said.assumed and not open_ else "")


def _taken(pattern: re.Pattern[str], text: str) -> tuple[re.Match[str] | None, str]:
    """Return what a pattern finds first, and the text without it."""
    found = pattern.search(text)
    return found, pattern.sub(" ", text, count=1)


class _Said:
    """What the words of a designation say beside its size."""

    def __init__(self, words: str) -> None:
        self.words = words
        self.told: dict[str, str] = {}
        self.assumed = False

    def hear(self, tokens: list[str], book: Book) -> None:
        """Take in every word; the longest phrase of the table first.

        Raises
        ------
        FasteningError
            `unreadable_nail` for a word that is not known, a fastener that is no nail, or two words that exclude each other.
        """
        if any(book.trade.nails.get((singular(t),), ("", ""))[0] == "no_nail" for t in tokens):
            raise _unreadable(
                self.words,
                "a staple is no nail: some rows list staples (GET /v1/connections/{connection_id} shows them), "
                "but a staple is not compared by strength, so none is judged here; name a nail",
            )
        at = 0
        while at < len(tokens):
            known = (n for n in (3, 2, 1) if self._phrase(tokens[at : at + n]) in book.trade.nails)
            size = next(known, 0)
            if not size:
                raise _unreadable(self.words, f"{tokens[at]!r} is not understood")
            self._note(*book.trade.nails[self._phrase(tokens[at : at + size])])
            at += size

    def _phrase(self, tokens: list[str]) -> tuple[str, ...]:
        return tuple(map(singular, tokens))

    def _note(self, kind: str, means: str) -> None:
        what = "coating" if kind == "coating_assumed" else kind
        if what != "nail_idle" and self.told.setdefault(what, means) != means:
            raise _unreadable(self.words, _TWO[what])
        self.assumed |= kind == "coating_assumed"

    def finished(self, nail: Nail) -> Nail:
        """Return a nail with the head and coating that were said."""
        return replace(nail, head=self.told.get("head", nail.head), coating=self.told.get("coating", nail.coating))


_TWO = {
    "nail_type": "it names two kinds of nail",
    "shank": "it names two kinds of nail",
    "coating": "it names two coatings or metals",
    "head": "it names two shapes of head",
}


def _half_named(number: int, said: _Said, book: Book) -> Reading:
    """Return the catalogue nails of a length without a diameter, or of a diameter without a length: neither says which is meant."""
    if number >= LENGTH_RANGE[0]:
        return _of_length({number}, said, book)
    found = _alike(said, book, lambda n: abs(n.diameter - number) <= TOLERANCE)
    if not found:
        raise _unreadable(said.words, "it names no length, and no nail of the catalogue has this diameter")
    return Reading(found, "names no length")


def _of_length(lengths: set[int], said: _Said, book: Book) -> Reading:
    found = _alike(said, book, lambda n: any(abs(n.length - length) <= TOLERANCE for length in lengths))
    if not found:
        raise _unreadable(said.words, "it names no diameter, and no such nail of the catalogue has this length")
    return Reading(found, "names no diameter")


def _alike(said: _Said, book: Book, fits: Callable[[Nail], bool]) -> tuple[Nail, ...]:
    """Return the catalogue nails that fit, of the type and shank that were said; marked nails only by their mark."""
    kind, shank = said.told.get("nail_type"), said.told.get("shank")
    nails = (n for n in map(from_row, book.nails.values()) if not n.kind and kind in (None, n.type) and shank in (None, n.shank))
    return tuple(said.finished(n) for n in nails if fits(n))


def _search(book: Book, size: "_Size | None", penny: str, said: _Said, rsrs: str | None, post_frame: bool) -> tuple[Nail, ...]:
    kind, shank = said.told.get("nail_type", ""), said.told.get("shank", "")
    if not (penny or kind or rsrs is not None or post_frame):
        return (of_size(shank or "smooth", size.length, size.diameter, size.unit),) if size else ()
    return tuple(
        replace(n, unit=size.unit) if size else n
        for n in map(from_row, book.nails.values())
        if (n.kind == "rsrs") == (rsrs is not None)
        and (n.kind == "post_frame") == post_frame
        and (not rsrs or n.nail_id == f"rsrs-0{rsrs}")
        and (not penny or n.pennyweight == penny)
        and (not kind or n.type == kind)
        and (not shank or n.shank == shank)
        and (size is None or abs(n.length - size.length) <= TOLERANCE and abs(n.diameter - size.diameter) <= TOLERANCE)
    )


@dataclass(frozen=True, slots=True)
class _Size:
    """A length and a diameter in ticks, and the unit they were written in."""

    length: int
    diameter: int
    unit: str
    thousandths: bool = False


def _read_size(found: re.Match[str], words: str) -> _Size:
    thousandths = _in_thousandths(found, words)
    if thousandths:
        return thousandths
    per_unit = _unit_of((found[2], found[4]), (found[1], found[3]))
    pair = sorted(round(_number(found[i], words) * per_unit) for i in (1, 3))
    return _Size(pair[1], pair[0], "mm" if per_unit == PER_MM else "in")


def _in_thousandths(found: re.Match[str], words: str) -> _Size | None:
    """Return the size of a text that gives the diameter as boxes do, 3 x 131 or 3-1/4 x 120; None where it does not."""
    if found[4] or found[2] == "mm" or not found[3].isdigit():
        return None
    length, thousandths = _number(found[1], words), int(found[3])
    inches = "/" in found[1] or length <= BARE_MM[0] and (length * 8).denominator == 1 and thousandths >= THOUSANDTHS[0]
    if not inches or thousandths * PER_IN <= DIAMETER_RANGE[0] * 1000 or thousandths > THOUSANDTHS[1]:
        return None
    return _Size(round(length * PER_IN), round(Fraction(thousandths, 1000) * PER_IN), "in", True)


def _unit_of(units: tuple[str, ...], numbers: tuple[str, ...]) -> int:
    """Return the ticks of the unit meant: as written, else millimetres where bare numbers are too great for inches, the diameter too."""
    if any(units) or any("/" in n for n in numbers):
        return PER_MM if "mm" in units else PER_IN
    values = [_value(n) for n in numbers]
    return PER_MM if BARE_MM[0] < max(values) < BARE_MM[1] and min(values) * PER_IN > DIAMETER_RANGE[1] else PER_IN


def _number(text: str, words: str) -> Fraction:
    parts = re.split(r"[ -]", text)[-1].split("/")
    if len(parts) > 1 and int(parts[0]) >= int(parts[1]) > 0:
        raise _unreadable(words, f"{text!r} is no fraction of an inch: a blank or hyphen stands between whole and fraction, as in 3-1/4")
    try:
        return _value(text)
    except ZeroDivisionError:
        raise _unreadable(words, "a fraction has no bottom") from None


def _value(text: str) -> Fraction:
    parts = re.split(r"[ -]", text)
    return sum((Fraction(p + "0" if p.endswith(".") else p) for p in parts), Fraction(0))


def _unreadable(words: str, why: str) -> FasteningError:
    return FasteningError(
        Fault("unreadable_nail", f"{why}; write it like 16d common, 3 x 0.131, 2-3/8 x 0.113 ring or 75 x 3.15 mm", (), {"received": words})
    )
