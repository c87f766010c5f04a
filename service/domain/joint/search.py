"""Finds joints by what people call them: whole words, trade synonyms and plurals, best first."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from service.tables.book import Book
from service.tables.joints import ConnectionRow
from service.tables.trade import Phrase

NEAREST = 3
"""So many joints are shown where none has every word."""
NAMED, IN_ID, IN_TEXT, ALIKE = 3.0, 2.0, 1.0, 0.5
"""What a word is worth: the table names the joint for it, its id has it, its description has it; and so much of that where only one like it is there."""
LIKE = 0.6
"""From this likeness of letters on a word counts as a misspelling, in the nearest only."""
STEP, FIRST, LEFT_OVER = 0.1, 0.5, 0.1
"""Off for each joint the table names before; on where both begin alike; off for each word of the id that was not asked for."""


@dataclass(frozen=True, slots=True)
class Found:
    """A joint that was found; `every_word` is false for one of the nearest, `because` says how the words were read."""

    connection_id: str
    every_word: bool
    because: str


@dataclass(frozen=True, slots=True)
class _Joint:
    connection_id: str
    in_id: Phrase
    in_text: frozenset[str]


def find_joints(text: str, rows: Iterable[ConnectionRow], book: Book) -> tuple[Found, ...]:
    """Return the joints that have every word of a text, best first; where there is none, the nearest three that have some.

    Words that say nothing of a joint are left out; without any other word every joint is found, in the order of the table.
    """
    terms, read = _terms(book.trade.plain(text), book)
    joints = [_Joint(r.connection_id, book.trade.plain(r.connection_id), frozenset(book.trade.plain(r.description))) for r in rows]
    found = [(joint, [_worth(term, joint, book) for term in terms]) for joint in joints]
    whole = sorted((f for f in found if all(f[1])), key=lambda f: -sum(f[1]) - _fit(terms, f[0]))
    if whole:
        return tuple(Found(joint.connection_id, True, "; ".join(read)) for joint, _ in whole)
    unknown = [i for i in range(len(terms)) if not any(worths[i] for _, worths in found)]
    guessed = [_like(t, joints) if i in unknown else t for i, t in enumerate(terms)]
    guesses = [(joint, [_worth(t, joint, book) * (ALIKE if i in unknown else 1) for i, t in enumerate(guessed)]) for joint in joints]
    near = sorted((g for g in guesses if any(g[1])), key=lambda g: (-sum(map(bool, g[1])), -sum(g[1]) - _fit(guessed, g[0])))
    said = "; ".join((_missed([terms[i] for i in unknown]), *read))
    return tuple(Found(joint.connection_id, False, said) for joint, _ in near[:NEAREST])


def _terms(words: Phrase, book: Book) -> tuple[list[Phrase], list[str]]:
    """Return the words and phrases asked for, in order, and how they were read: other words for a thing as the thing, a phrase that names joints as one."""
    same = book.trade.same_as
    heard = _phrases(words, same)
    plain = tuple(w for said in heard for w in (same[said][0] if said in same else said))
    return _phrases(plain, book.trade.joints), [same[said][1] for said in heard if said in same]


def _like(term: Phrase, joints: list[_Joint]) -> Phrase:
    """Return a term with each word as the joints spell the nearest one."""
    known = sorted({w for j in joints for w in (*j.in_id, *j.in_text)})
    return tuple(next(iter(get_close_matches(w, known, 1, LIKE)), w) for w in term)


def _phrases(words: Phrase, known: Iterable[Phrase]) -> list[Phrase]:
    """Split words into known phrases, the longest first, and single words."""
    out, at, longest = [], 0, max(map(len, known), default=1)
    while at < len(words):
        size = next((n for n in range(min(longest, len(words) - at), 1, -1) if words[at : at + n] in known), 1)
        out.append(words[at : at + size])
        at += size
    return out


def _worth(term: Phrase, joint: _Joint, book: Book) -> float:
    """Return what a term is worth for a joint, 0 where the joint has not got it."""
    named = book.trade.joints.get(term, ())
    if joint.connection_id in named:
        return NAMED - STEP * named.index(joint.connection_id)
    if all(w in joint.in_id for w in term):
        return IN_ID
    return IN_TEXT if all(w in joint.in_id or w in joint.in_text for w in term) else 0


def _fit(terms: list[Phrase], joint: _Joint) -> float:
    """Return how well an id fits as a whole: it begins as the question does, and has little else."""
    asked = {w for term in terms for w in term}
    if not asked:
        return 0
    first = FIRST if terms[0][0] == joint.in_id[0] else 0
    return first - LEFT_OVER * sum(w not in asked for w in joint.in_id)


def _missed(unknown: list[Phrase]) -> str:
    if not unknown:
        return "no joint has all these words; this is one of the nearest"
    return f"no joint is known by {', '.join(map(' '.join, unknown))}; this is one of the nearest"
