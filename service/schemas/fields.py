"""Strict fields: a number is a number, a length is ticks, and every refusal names its limit."""

import re
from collections.abc import Callable, Collection, Iterable, Mapping
from heapq import nsmallest
from typing import Any, ClassVar

from marshmallow import RAISE, Schema, ValidationError, fields, pre_load

from service.errors import Fault
from service.schemas.hints import SHOWN, Also, near_later, nothing_else
from service.ticks import PER_FT, PER_IN, PER_M, PER_MM, ticks

UNITS = {"in": (PER_IN, "mm"), "ft": (PER_FT, "m"), "mm": (PER_MM, ""), "m": (PER_M, "")}
NAMES = {"in": "inches", "ft": "feet", "mm": "millimetres", "m": "metres"}
LIKELY = {"in": ("ft", "mm", "m"), "ft": ("in", "mm", "m"), "mm": ("in", "ft", "m"), "m": ("ft", "mm", "in")}
"""Units that a number out of bounds may have been measured in, the likeliest first."""
MPH_PER_M_PER_S = 3600 / 1609.344
_JSON_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
ONE_LINE = r"^[^\u0000-\u001f\u007f\ue000\ue001]+$"
"""Free text of one line, without the two marks that stand for lengths in sentences."""
EXACT = 2**53
ABSENT = object()
FEW = 12
"""So many words of a choice are said in a sentence, where an address lists them too."""
LONGEST_NUMBER = 40
MOST_UNKNOWN = 64
"""So many names that are no field are told of one object, more than a refusal shows; a body may hold a hundred thousand."""


def show(value: Any) -> Any:
    """Return a received value fit to print: short, and without control characters."""
    if isinstance(value, bool | float) or value is None or isinstance(value, int) and abs(value) < EXACT:
        return value
    text = value[:SHOWN] if isinstance(value, str) else str(value)
    return text.encode("unicode_escape").decode()[:SHOWN]


def fewer(sent: Any, known: Collection[str]) -> Any:
    """Return an object with the first of its names that are not known, so that what is refused for them costs no more than others."""
    if not isinstance(sent, dict) or len(sent) <= len(known) + MOST_UNKNOWN:
        return sent
    first = nsmallest(MOST_UNKNOWN, (name for name in sent if name not in known))
    return {name: sent[name] for name in (*first, *(name for name in known if name in sent))}


def plainly(value: float) -> str:
    """Write a number for a sentence, never with an exponent."""
    return f"{value:.10f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def refuse(code: str, detail: str, **facts: Any) -> ValidationError:
    """Return the error of one field, to be raised."""
    return ValidationError([Fault(code, detail, (), facts)])


class Said(fields.Field[Any]):
    """A field whose refusals are ours, not worded by the library.

    `usual` is the value when the field is left out, as a caller would send it; it stands here alone and is filled in,
    listed as assumed and told in the contract from here. `take` checks and reads one value.

    The contract tells it as `default` only where `tell` is true: generated clients send a default on their own, which would
    silence the cautions about an assumed site, and would collide with a metric twin.
    """

    usual: Any = ABSENT
    take: Callable[[Any], Any]
    default_error_messages = {
        "required": [Fault("missing_field", "is required")],
        "null": [Fault("wrong_type", "must not be null")],
        "type": [Fault("wrong_type", "must be an object")],
        "invalid": [Fault("wrong_type", "must be an object")],
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        return self.take(value)


def told(about: str, usual: Any, tell: bool = True, **meta: Any) -> dict[str, Any]:
    """Return the keywords that a field hands on, with what the contract says of it."""
    if usual is ABSENT or usual is None or usual == []:
        return {"metadata": {"description": about, **meta}}
    if tell:
        return {"metadata": {"description": about, **meta, "default": usual}}
    shown = str(usual).lower() if isinstance(usual, bool) else usual
    return {"metadata": {"description": f"{about} {shown} is assumed when left out.", **meta}}


class Number(Said, fields.Float):
    """A JSON number within bounds; never text, never true or false."""

    pair_required = False
    twinned = False
    unit = ""

    def __init__(self, low: float, high: float, about: str, cure: str = "", usual: Any = ABSENT, **kwargs: Any) -> None:
        self.low, self.high, self.cure, self.usual = low, high, cure, usual
        super().__init__(**told(about, usual, not self.twinned, minimum=low, maximum=high), **kwargs)

    def take(self, value: Any) -> Any:
        """Refuse what is no number, or out of bounds."""
        if type(value) not in (int, float):
            raise refuse("wrong_type", "must be a plain number such as 0.4375, without quotes or units", received=show(value))
        if not self.low <= value <= self.high:
            likely, facts = self.likely(value)
            said = f"must be {plainly(self.low)} to {plainly(self.high)} {self.unit}".rstrip()
            said = "; ".join(filter(None, (said, likely, self.cure)))
            raise refuse("out_of_range", said, minimum=self.low, maximum=self.high, received=show(value), **facts)
        return self.read(value)

    def read(self, value: float) -> Any:
        """Turn the checked number into what the domain uses."""
        return value

    def likely(self, value: float) -> tuple[str, dict[str, Any]]:
        """Return what a number out of bounds may have been, in words and as facts."""
        return "", {}

    def from_text(self, text: str) -> Any:
        """Read a query parameter."""
        if not _JSON_NUMBER.fullmatch(text) or len(text) >= LONGEST_NUMBER:
            raise refuse("wrong_type", "must be a number such as 24 or 0.4375, without units, commas or fractions", received=show(text))
        return float(text) if set(text) & set(".eE") else int(text)


class Whole(Number):
    """A JSON number that is whole; 2.0 counts as 2."""

    def read(self, value: float) -> Any:
        """Refuse fractions."""
        if value != int(value):
            raise refuse("wrong_type", "must be a whole number", received=show(value))
        return int(value)


class Length(Number):
    """A length in a named unit, kept in ticks; its metric twin is made beside it."""

    twinned = True

    def __init__(self, unit: str, low: float, high: float, about: str, cure: str = "", usual: Any = ABSENT, **kwargs: Any) -> None:
        super().__init__(low, high, about, cure, usual, **kwargs)
        self.unit = unit

    def read(self, value: float) -> Any:
        """Return ticks."""
        return ticks(value, UNITS[self.unit][0])

    def likely(self, value: float) -> tuple[str, dict[str, Any]]:
        """Return the unit in which a number out of bounds would be within them."""
        for unit in LIKELY[self.unit]:
            meant = value * UNITS[unit][0] / UNITS[self.unit][0]
            if self.low <= meant <= self.high:
                near = round(meant, 4)
                converted = int(near) if near.is_integer() else near
                said = f"{plainly(value)} looks like {NAMES[unit]}: {plainly(value)} {unit} is {plainly(converted)} {self.unit}"
                return said, {"likely_unit": unit, "converted": converted}
        return "", {}

    def twin(self) -> tuple[str, "Length"]:
        """Return the metric suffix and field."""
        suffix = UNITS[self.unit][1]
        factor = UNITS[self.unit][0] / UNITS[suffix][0]
        about = _without_assumption(self.metadata["description"]).replace(f"[{self.unit}]", f"[{suffix}]")
        field = Length(
            suffix, _soft(self.low * factor), _soft(self.high * factor), f"{about} Send this or the US field.", allow_none=self.allow_none
        )
        return suffix, field


class Speed(Number):
    """A speed in miles an hour; its metric twin is in metres a second."""

    twinned = True
    unit = "mph"

    def twin(self) -> tuple[str, "Number"]:
        """Return the metric suffix and field."""
        about = _without_assumption(self.metadata["description"]).replace("[mph]", "[m/s]")
        low, high = _soft(self.low / MPH_PER_M_PER_S), _soft(self.high / MPH_PER_M_PER_S)
        return "m_per_s", _MetresPerSecond(low, high, f"{about} Send this or the US field.")


class _MetresPerSecond(Number):
    def read(self, value: float) -> Any:
        return value * MPH_PER_M_PER_S


def _without_assumption(about: str) -> str:
    """Return a description without its last sentence, where that says what is assumed of the US field."""
    return about.rsplit(". ", 1)[0] + "." if about.endswith("when left out.") and ". " in about else about


def _soft(value: float) -> float:
    return float(f"{value:.6g}")


class Flag(Said, fields.Boolean):
    """True or false, nothing else."""

    def __init__(self, about: str, usual: Any = ABSENT, tell: bool = True, **kwargs: Any) -> None:
        self.usual = usual
        super().__init__(**told(about, usual, tell), **kwargs)

    def take(self, value: Any) -> Any:
        """Refuse all but true and false."""
        if value is not True and value is not False:
            raise refuse("wrong_type", "must be true or false", received=show(value))
        return value

    def from_text(self, text: str) -> Any:
        """Read a query parameter."""
        if text not in ("true", "false"):
            raise refuse("wrong_type", "must be true or false", received=show(text))
        return text == "true"


class Text(Said, fields.String):
    """Text of bounded length that fits a pattern."""

    def __init__(self, about: str, pattern: str, longest: int, **kwargs: Any) -> None:
        self.pattern, self.longest = re.compile(pattern.removesuffix("$") + r"\Z" if pattern.endswith("$") else pattern), longest
        super().__init__(metadata={"description": about, "pattern": pattern, "maxLength": longest}, **kwargs)

    def take(self, value: Any) -> Any:
        """Refuse what is no text, too long, or of another form."""
        if not isinstance(value, str):
            raise refuse("wrong_type", "must be text", received=show(value))
        if len(value) > self.longest:
            raise refuse("out_of_range", f"must be at most {self.longest} characters", limit=self.longest, received=len(value))
        if not self.pattern.search(value):
            raise refuse("bad_format", f"must fit {self.metadata['pattern']}", received=show(value))
        return value

    def from_text(self, text: str) -> Any:
        """Read a query parameter."""
        return text


class Choice(Said, fields.String):
    """One of a few words.

    Parameters
    ----------
    at : str
        Address that lists the words, where they are too many for a sentence.
    also : callable
        Other words for them: abbreviations, words of the trade.
    """

    def __init__(
        self,
        words: Iterable[str],
        about: str,
        usual: Any = ABSENT,
        tell: bool = True,
        at: str = "",
        also: Also = nothing_else,
        **kwargs: Any,
    ) -> None:
        self.words, self.usual, self.at, self.also = tuple(words), usual, at, also
        self.known = frozenset(self.words)
        super().__init__(**told(about, usual, tell, enum=list(self.words)), **kwargs)

    def take(self, value: Any) -> Any:
        """Refuse what is none of the words."""
        if not isinstance(value, str):
            raise refuse("wrong_type", "must be text", received=show(value))
        if value not in self.known:
            said = "is not a value of this field" if self.at and len(self.words) > FEW else f"must be one of {', '.join(self.words)}"
            listed = f"; GET {self.at} lists them" if self.at else ""
            raise refuse("unknown_value", said + listed, received=show(value), **near_later(value, self.words, self.also))
        return value

    def from_text(self, text: str) -> Any:
        """Read a query parameter."""
        return text


class Items(Said, fields.List[Any]):
    """A list of bounded length."""

    def __init__(self, inner: Any, most: int, about: str, least: int = 0, usual: Any = ABSENT, **kwargs: Any) -> None:
        self.most, self.least, self.usual = most, least, usual
        super().__init__(inner, **told(about, usual, maxItems=most, minItems=least), **kwargs)

    def check(self, value: Any) -> None:
        """Refuse what is no list, too long or too short."""
        if not isinstance(value, list):
            raise refuse("wrong_type", "must be a list", received=show(value))
        if len(value) > self.most:
            raise refuse("too_many_items", f"must hold at most {self.most} items", limit=self.most, received=len(value))
        if len(value) < self.least:
            raise refuse("too_few_items", f"must hold at least {self.least} items", limit=self.least, received=len(value))

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        self.check(value)
        return fields.List._deserialize(self, value, attr, data, **kwargs)


class Lengths(Items):
    """A list of lengths in a named unit; its metric twin is made beside it."""

    pair_required = False

    def __init__(self, unit: str, low: float, high: float, most: int, about: str, each: str, **kwargs: Any) -> None:
        self.unit, self.each = unit, each
        super().__init__(Length(unit, low, high, each), most, about, 1, **kwargs)

    def twin(self) -> tuple[str, "Lengths"]:
        """Return the metric suffix and field."""
        suffix, one = self.inner.twin()  # type: ignore[attr-defined]  # its inner field is a Length
        about = self.metadata["description"].replace(f"[{self.unit}]", f"[{suffix}]")
        each = one.metadata["description"]
        return suffix, Lengths(suffix, one.low, one.high, self.most, f"{about} Send this or the US field.", each)


class Inner(Said, fields.Nested):
    """An object inside another."""

    def __init__(self, schema: Any, about: str, usual: Any = ABSENT, **kwargs: Any) -> None:
        self.usual = usual
        super().__init__(schema, **told(about, usual), **kwargs)

    _deserialize = fields.Nested._deserialize


class Named(Said, fields.Dict):
    """Objects by name; `example` is shown where there is none."""

    def __init__(self, *args: Any, example: Any = None, **kwargs: Any) -> None:
        self.example = example
        super().__init__(*args, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        kept = fewer(value, self.key_field.known) if isinstance(self.key_field, Choice) else value
        return super(Said, self)._deserialize(kept, attr, data, **kwargs)  # type: ignore[no-untyped-call]  # the library's own has no types


class Strict(Schema):
    """A request object: unknown fields are refused, metric twins are one or the other; `example` is shown where there is none."""

    example: ClassVar[Any] = None
    twins: tuple[tuple[str, str, str, bool], ...] = ()
    elsewhere: Mapping[str, str] = {}
    """What is no field here but somewhere else, and where, for those who send it."""
    error_messages: dict[str, Any] = {
        "unknown": Fault("unknown_field", "is not a field here"),
        "type": Fault("wrong_type", "must be an object"),
        "invalid": Fault("wrong_type", "must be an object"),
    }

    class Meta:
        """Refuse what is not a field."""

        unknown = RAISE

    @pre_load
    def _tell_few(self, data: Any, **kwargs: Any) -> Any:
        return fewer(data, self.fields)
