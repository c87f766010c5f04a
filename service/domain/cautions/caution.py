"""What a caution is, how triggers are kept and how cautions are put in order; their fixed words stand in the table.

A trigger sees a judged joint, a wall plan or the strength of a nail, and returns the reason why its code speaks
here, naming the input and its value, or the stop that is its reason, or None. Standing notes speak once in every answer.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Generic, ParamSpec

from service.domain.joint.stop import Stop
from service.tables.book import Book
from service.tables.cautions import SEVERITIES, CautionRow, NextStep

P = ParamSpec("P")
Reason = str | Stop | None


@dataclass(frozen=True, slots=True)
class Caution:
    """A code that applies here: the reason, where in the answer, and which kinds of limits are passed."""

    code: str
    applies_because: str
    applies_to: tuple[str, ...] = ()
    beyond: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Spoken:
    """A caution as it stands in an answer: its words, the reason, where, and what may serve past the limits that it names."""

    row: CautionRow
    applies_because: str
    applies_to: tuple[str, ...]
    next_steps: tuple[NextStep, ...] = ()

    @property
    def code(self) -> str:
        """The code of the caution."""
        return self.row.code

    @property
    def severity(self) -> str:
        """How grave it is."""
        return self.row.severity


def say_step(step: NextStep) -> str:
    """Say what may serve past a limit, and who decides."""
    return f"Past the limit of {step.limit.replace('_', ' ')}: {step.step} Who decides: {step.decides[0].lower()}{step.decides[1:]}."


class Triggers(Generic[P]):
    """The triggers of one kind of answer, by code; call it with a code to register one."""

    def __init__(self) -> None:
        self.by_code: dict[str, Callable[P, Reason]] = {}

    def __call__(self, code: str) -> Callable[[Callable[P, Reason]], Callable[P, Reason]]:
        """Return the decorator that registers the trigger of a code."""

        def keep(trigger: Callable[P, Reason]) -> Callable[P, Reason]:
            self.by_code[code] = trigger
            return trigger

        return keep

    def speak(self, *args: P.args, **kwargs: P.kwargs) -> list[Caution]:
        """Return the cautions whose triggers are true, in the order of registration."""
        return [_caution(code, because) for code, trigger in self.by_code.items() if (because := trigger(*args, **kwargs))]


def _caution(code: str, because: str | Stop) -> Caution:
    return Caution(code, because) if isinstance(because, str) else Caution(code, because.because, (), because.beyond)


def of_stop(stop: Stop | None, applies_to: tuple[str, ...] = ()) -> list[Caution]:
    """Return the caution of a stop, none where there is none."""
    return [Caution(stop.code, stop.because, applies_to, stop.beyond)] if stop else []


def standing_notes(driver: str, any_nail: bool) -> list[Caution]:
    """Return the notes that speak once in every answer."""
    notes = [Caution("local_code_governs", "every answer is counted from its inputs by a model code")]
    return [*notes, Caution("nail_gun", "driver is gun")] if driver == "gun" and any_nail else notes


def settle(found: Iterable[Caution], book: Book) -> tuple[Spoken, ...]:
    """Give cautions their words, join equal codes and put the worst first, then by code."""
    return merge(
        Spoken(book.cautions[c.code], c.applies_because, c.applies_to, tuple([book.next_steps[kind] for kind in c.beyond])) for c in found
    )


def of_result(found: Iterable[Caution], points: Mapping[str, tuple[str, ...]], book: Book) -> tuple[Spoken, ...]:
    """Settle the cautions of an answer about no nailing work, standing notes included.

    Parameters
    ----------
    points : mapping
        Where codes point; others where they say, else at the result whole.
    """
    pointed = [replace(c, applies_to=points.get(c.code) or c.applies_to or ("/result",)) for c in found]
    return settle((*pointed, *standing_notes("hand", False)), book)


def merge(spoken: Iterable[Spoken]) -> tuple[Spoken, ...]:
    """Join equal codes, each reason and place once, and put the worst first, then by code."""
    joined: dict[str, tuple[CautionRow, list[str], dict[str, None], dict[NextStep, None]]] = {}
    for c in spoken:
        held = joined.get(c.row.code)
        if held is None:
            joined[c.row.code] = (c.row, [c.applies_because], dict.fromkeys(c.applies_to), dict.fromkeys(c.next_steps))
            continue
        _, reasons, places, steps = held
        if c.applies_because not in reasons:
            reasons.append(c.applies_because)
        places.update(dict.fromkeys(c.applies_to))
        steps.update(dict.fromkeys(c.next_steps))
    worst_first = sorted(joined.values(), key=lambda held: (SEVERITIES.index(held[0].severity), held[0].code))
    return tuple([Spoken(row, "; ".join(reasons), tuple(places), tuple(steps)) for row, reasons, places, steps in worst_first])


WAITING = frozenset(
    {
        "top_plate_cut",
        "two_story_wall",
    }
)
"""Codes of the table whose triggers belong to addresses or inputs that are not served yet."""
