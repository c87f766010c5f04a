"""How much room words take, and how they are broken into lines."""

import unicodedata
from collections.abc import Iterator

NARROW, WIDE = frozenset("iljtfrI.,:;|!'()[]/ -"), frozenset("mwMW@%&")
LEADING = 1.3
"""From base line to base line, in text sizes."""


def clean(text: str) -> str:
    """Return a text without what no page can show: control characters and the like stand as a question mark."""
    return "".join("?" if unicodedata.category(c)[0] == "C" else c for c in text)


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return the most that a text takes in the plain fonts of browsers and pages."""
    return size * sum(map(_width, text)) * (1.12 if bold else 1)


def _width(char: str) -> float:
    """Width in text sizes; on the wide side, so that no common font runs over."""
    if char in NARROW:
        return 0.34
    if char in WIDE:
        return 0.92
    return 1.1 if ord(char) > 0x2FF else 0.72 if char.isupper() else 0.58


def wrap(text: str, size: float, width: float) -> Iterator[str]:
    """Break a text into lines no wider than `width`, between words where it can be."""
    line = ""
    for word in clean(text).split():
        longer = f"{line} {word}" if line else word
        if width_of(longer, size) <= width:
            line = longer
            continue
        if line:
            yield line
        *whole, line = _pieces(word, size, width)
        yield from whole
    if line:
        yield line


def _pieces(word: str, size: float, width: float) -> list[str]:
    """Cut a word that is wider than a line."""
    out = [""]
    for char in word:
        if out[-1] and width_of(out[-1] + char, size) > width:
            out.append("")
        out[-1] += char
    return out
