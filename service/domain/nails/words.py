"""What nail a request means: by id, by free text, or by size."""

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from service.domain.nails.designation import read_words
from service.domain.nails.nail import Nail, NailAsk, by_id, of_size
from service.errors import FasteningError, Fault
from service.said import say_length
from service.tables.book import Book
from service.ticks import inches


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
        nail = _at("nail_length_in", lambda: of_size(ask.shank or "smooth", length, diameter, ask.unit))
    if ask.head_diameter is not None and ask.head_diameter <= nail.diameter:
        raise FasteningError(
            Fault(
                "out_of_range",
                f"must be more than the shank, {say_length(nail.diameter)}",
                ("head_diameter_in",),
                {"limit": inches(nail.diameter), "received": inches(ask.head_diameter)},
            )
        )
    full, least = (ask.head or nail.head) == "full_round", round(nail.diameter * book.rules.full_head_diameters)
    if full and ask.head_diameter is not None and ask.head_diameter < least:
        said = f"is no full round head on a shank of {say_length(nail.diameter)}: that is {say_length(least)} or more; read it from the box, or send head"
        sizes = {"limit": inches(least), "received": inches(ask.head_diameter)}
        raise FasteningError(Fault("out_of_range", said, ("head_diameter_in",), sizes))
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

    A bare pennyweight names several diameters, a length alone none: both are refused with all it could be.

    Raises
    ------
    FasteningError
        `ambiguous_nail` or `unreadable_nail`.
    """
    reading = read_words(words, book)
    if reading.open:
        found = reading.nails
        listed = [{"nail_id": n.nail_id, "length_in": inches(n.length), "shank_diameter_in": inches(n.diameter)} for n in found]
        said = f"{words.strip()!r} {reading.open}; it could be {', '.join(n.label for n in found)}. Send length and diameter from the box"
        raise FasteningError(Fault("ambiguous_nail", said, (), {"received": words, "candidates": listed}))
    return reading.nails[0]
