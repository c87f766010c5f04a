"""What people say: other words for joints, short names of species groups, the words of a nail designation."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from service.tables.nails import SHANKS, TYPES
from service.tables.sheet import Cells, read

NAME = "trade_words.csv"
COATINGS = ("bright", "hot_dip_galvanized", "electro_galvanized", "stainless", "silicon_bronze", "copper", "other")
HEADS = ("full_round", "clipped")
NAIL_KINDS = ("nail_type", "shank", "coating", "coating_assumed", "head", "nail_idle", "no_nail")
KINDS = ("idle", "plural", "same_as", "joints", "species", *NAIL_KINDS)
Phrase = tuple[str, ...]
_WORD = re.compile(r"[a-z0-9]+")


@dataclass(frozen=True, slots=True)
class TradeWord:
    """One line: what is said, and what it means."""

    kind: str
    said: Phrase
    means: Phrase
    sentence: str


@dataclass(frozen=True, slots=True, eq=False)
class TradeWords:
    """The lines by kind; phrases are words in lower case, plurals with a plain s read as one.

    `same_as` holds the plain words and the sentence that says so; `nails` tells what a phrase of a nail designation sets, and to what.
    """

    idle: frozenset[str]
    plural: dict[str, str]
    same_as: dict[Phrase, tuple[Phrase, str]]
    joints: dict[Phrase, Phrase]
    species: dict[str, Phrase]
    nails: dict[Phrase, tuple[str, str]]

    def plain(self, text: str) -> Phrase:
        """Return the words of a text that say something of a joint, each as one of its kind."""
        return tuple(self.plural.get(w, w) for w in words_of(text) if w not in self.idle)


def words_of(text: str, plural: bool = True) -> Phrase:
    """Return the words of a text in lower case; a plain plural s taken off where one may stand."""
    found = _WORD.findall(text.lower())
    return tuple(map(singular, found)) if plural else tuple(found)


def singular(word: str) -> str:
    """Take off a plain plural s."""
    return word[:-1] if len(word) > 3 and word[-1] == "s" and word[-2] not in "su" else word


def read_trade_words(root: Path, connections: Collection[str], species: Collection[str]) -> TradeWords:
    """Return the trade words; `TableError` as `read`."""
    lines = read(
        root, NAME, lambda c: _line(c, connections, species), lambda w: (" ".join(w.said), "nail" if w.kind in NAIL_KINDS else w.kind)
    )
    idle = frozenset(w.said[0] for w in lines if w.kind == "idle")

    def plain(words: Phrase) -> Phrase:
        return tuple(w for w in words if w not in idle)

    return TradeWords(
        idle=idle,
        plural={"".join(w.said): "".join(w.means) for w in lines if w.kind == "plural"},
        same_as={plain(w.said): (plain(w.means), w.sentence) for w in lines if w.kind == "same_as"},
        joints={plain(w.said): w.means for w in lines if w.kind == "joints"},
        species={w.said[0]: w.means for w in lines if w.kind == "species"},
        nails={w.said: (w.kind, "".join(w.means)) for w in lines if w.kind in NAIL_KINDS},
    )


def _line(c: Cells, connections: Collection[str], species: Collection[str]) -> TradeWord:
    kind = c.word("kind", KINDS)
    said = (c.key("said"),) if kind == "species" else words_of(c.said("said"))
    if not said or kind in ("idle", "plural") and len(said) > 1:
        raise ValueError(f"column said: {c.text('said')!r} is no word, or not one alone")
    return TradeWord(kind, said, _means(c, kind, connections, species), f"{c.text('said')} is read as {c.text('means')}")


def _means(c: Cells, kind: str, connections: Collection[str], species: Collection[str]) -> Phrase:
    match kind:
        case "joints":
            return c.all_of("means", connections, "connections.csv") or (c.said("means"),)
        case "species":
            return c.all_of("means", species, "species.csv") or (c.said("means"),)
        case "same_as" | "plural":
            return words_of(c.said("means"))
        case "nail_type":
            return (c.word("means", TYPES),)
        case "shank":
            return (c.word("means", SHANKS),)
        case "coating" | "coating_assumed":
            return (c.word("means", COATINGS),)
        case "head":
            return (c.word("means", HEADS),)
        case "no_nail":
            return (c.said("means"),)
    return (c.word("means", ("",)),)
