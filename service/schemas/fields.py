"""Strict fields: a number is a number, a length is ticks, and every refusal names its limit."""

import re
from collections.abc import Iterable
from dataclasses import replace
from difflib import get_close_matches
from typing import Any

from marshmallow import RAISE, Schema, ValidationError, fields, post_load, validates_schema

from service.errors import FasteningError, Fault
from service.ticks import PER_FT, PER_IN, PER_M, PER_MM, ticks

TWIN_SUFFIXES = {"_in": ("_mm", 25.4), "_ft": ("_m", 0.3048), "_mph": ("_m_per_s", 1609.344 / 3600)}
UNITS = {"in": (PER_IN, "mm"), "ft": (PER_FT, "m"), "mm": (PER_MM, ""), "m": (PER_M, "")}
MPH_PER_M_PER_S = 3600 / 1609.344
_JSON_NUMBER = re.compile(r"^-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?$")
SHOWN = 64
EXACT = 2**53
METRIC = "@metric"


def show(value: Any) -> Any:
    """Return a received value fit to print: short, and without control characters."""
    if isinstance(value, bool | float) or value is None or isinstance(value, int) and abs(value) < EXACT:
        return value
    return str(value).encode("unicode_escape").decode()[:SHOWN]


def refuse(code: str, detail: str, **facts: Any) -> ValidationError:
    """Return the error of one field, to be raised."""
    return ValidationError([Fault(code, detail, (), facts)])


def near(word: str, known: Iterable[str]) -> dict[str, str]:
    """Return the suggestion for a mistyped word, if one is near."""
    found = get_close_matches(word, list(known), 1, 0.6)
    return {"did_you_mean": found[0]} if found else {}


class Number(fields.Float):
    """A JSON number within bounds; never text, never true or false."""

    pair_required = False

    unit = ""

    def __init__(self, low: float, high: float, about: str, cure: str = "", **kwargs: Any) -> None:
        self.low, self.high, self.cure = low, high, cure
        super().__init__(metadata={"description": about, "minimum": low, "maximum": high}, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if type(value) not in (int, float):
            raise refuse("wrong_type", "must be a plain number such as 0.4375, without quotes or units", received=show(value))
        if not self.low <= value <= self.high:
            raise refuse(
                "out_of_range",
                f"must be {self.low:g} to {self.high:g} {self.unit}".rstrip() + (f"; {self.cure}" if self.cure else ""),
                limit=[self.low, self.high],
                received=show(value),
            )
        return self.read(value)

    def read(self, value: float) -> Any:
        """Turn the checked number into what the domain uses."""
        return value

    def from_text(self, text: str) -> Any:
        """Read a query parameter."""
        return (float(text) if set(text) & set(".eE") else int(text)) if _JSON_NUMBER.match(text) and len(text) < 40 else text


class Whole(Number):
    """A JSON number that is whole; 2.0 counts as 2."""

    def read(self, value: float) -> Any:
        """Refuse fractions."""
        if value != int(value):
            raise refuse("wrong_type", "must be a whole number", received=show(value))
        return int(value)


class Length(Number):
    """A length in a named unit, kept in ticks; its metric twin is made beside it."""

    def __init__(self, unit: str, low: float, high: float, about: str, cure: str = "", **kwargs: Any) -> None:
        super().__init__(low, high, about, cure, **kwargs)
        self.unit = unit

    def read(self, value: float) -> Any:
        """Return ticks."""
        return ticks(value, UNITS[self.unit][0])

    def twin(self) -> tuple[str, "Length"]:
        """Return the metric suffix and field."""
        suffix = UNITS[self.unit][1]
        factor = UNITS[self.unit][0] / UNITS[suffix][0]
        field = Length(
            suffix,
            _soft(self.low * factor),
            _soft(self.high * factor),
            f"{self.metadata['description']} Metric twin: send one of the two.",
            allow_none=self.allow_none,
        )
        return suffix, field


class Speed(Number):
    """A speed in miles an hour; its metric twin is in metres a second."""

    unit = "mph"

    def twin(self) -> tuple[str, "Number"]:
        """Return the metric suffix and field."""
        return "m_per_s", _MetresPerSecond(
            _soft(self.low / MPH_PER_M_PER_S),
            _soft(self.high / MPH_PER_M_PER_S),
            f"{self.metadata['description']} Metric twin: send one of the two.",
        )


class _MetresPerSecond(Number):
    def read(self, value: float) -> Any:
        return value * MPH_PER_M_PER_S


def _soft(value: float) -> float:
    return float(f"{value:.6g}")


class Flag(fields.Boolean):
    """True or false, nothing else."""

    def __init__(self, about: str, **kwargs: Any) -> None:
        super().__init__(metadata={"description": about}, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if value is not True and value is not False:
            raise refuse("wrong_type", "must be true or false", received=show(value))
        return value

    def from_text(self, text: str) -> Any:
        """Read a query parameter."""
        return {"true": True, "false": False}.get(text, text)


class Text(fields.String):
    """Text of bounded length that fits a pattern."""

    def __init__(self, about: str, pattern: str, longest: int, **kwargs: Any) -> None:
        self.pattern, self.longest = re.compile(pattern.removesuffix("$") + r"\Z" if pattern.endswith("$") else pattern), longest
        super().__init__(metadata={"description": about, "pattern": pattern, "maxLength": longest}, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
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


class Choice(fields.String):
    """One of a few words."""

    def __init__(self, words: Iterable[str], about: str, **kwargs: Any) -> None:
        self.words = tuple(words)
        super().__init__(metadata={"description": about, "enum": list(self.words)}, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, str):
            raise refuse("wrong_type", "must be text", received=show(value))
        if value not in self.words:
            few = f"must be one of {', '.join(self.words)}" if len(self.words) <= 12 else "is not a value of this field"
            raise refuse("unknown_value", few, received=show(value), **near(value, self.words))
        return value

    def from_text(self, text: str) -> Any:
        """Read a query parameter."""
        return text


class Items(fields.List[Any]):
    """A list of bounded length."""

    def __init__(self, inner: Any, most: int, about: str, least: int = 0, **kwargs: Any) -> None:
        self.most, self.least = most, least
        super().__init__(inner, metadata={"description": about, "maxItems": most, "minItems": least}, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, list):
            raise refuse("wrong_type", "must be a list", received=show(value))
        if len(value) > self.most:
            raise refuse("too_many_items", f"must hold at most {self.most} items", limit=self.most, received=len(value))
        if len(value) < self.least:
            raise refuse("too_few_items", f"must hold at least {self.least} items", limit=self.least, received=len(value))
        return super()._deserialize(value, attr, data, **kwargs)


class Strict(Schema):
    """A request object: unknown fields are refused, metric twins are one or the other."""

    twins: tuple[tuple[str, str, str, bool], ...] = ()

    class Meta:
        """Refuse what is not a field."""

        unknown = RAISE

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _check_twins(self, data: Any, original: Any, **kwargs: Any) -> None:
        if not self.twins or not isinstance(original, dict):
            return
        errors: dict[str, Any] = {}
        for us, metric, _, required in self.twins:
            if us in original and metric in original:
                errors[us] = [Fault("conflicting_units", f"send {us} or {metric}, not both")]
            elif required and us not in original and metric not in original:
                errors[us] = [Fault("missing_field", f"is required (or {metric})")]
        if errors:
            raise ValidationError(errors)

    @post_load
    def _join_twins(self, data: dict[str, Any], **kwargs: Any) -> dict[str, Any]:
        return {name.removesuffix(METRIC): value for name, value in data.items()} if self.twins else data


def with_twins(schema: type[Strict]) -> type[Strict]:
    """Give each length and speed of a schema its metric twin; both feed one attribute."""
    twins = []
    for name, field in list(schema._declared_fields.items()):
        if not isinstance(field, Length | Speed) or field.unit in ("mm", "m"):
            continue
        suffix, twin = field.twin()
        base = name.removesuffix("_" + field.unit)
        field.pair_required = field.pair_required or field.required
        twins.append((name, f"{base}_{suffix}", base, field.pair_required))
        field.attribute, twin.attribute = base, base + METRIC
        field.required = False
        schema._declared_fields[f"{base}_{suffix}"] = twin
    schema.twins = tuple(twins)
    return schema


def as_sent(fault: Fault, raw: Any) -> Fault:
    """Name the metric twin in a fault where the caller sent that one, with its numbers in that unit."""
    holder = raw
    for part in fault.path[:-1]:
        try:
            holder = holder[part]
        except (KeyError, IndexError, TypeError):
            return fault
    name = fault.path[-1] if fault.path else ""
    if not isinstance(holder, dict) or not isinstance(name, str) or name in holder:
        return fault
    for unit, (twin, factor) in TWIN_SUFFIXES.items():
        metric = name.removesuffix(unit) + twin
        if name.endswith(unit) and metric in holder:
            facts = {k: _times(v, factor) if k in ("limit", "received") else v for k, v in fault.facts.items()}
            return replace(fault, path=(*fault.path[:-1], metric), facts=facts)
    return fault


def _times(value: Any, factor: float) -> Any:
    if isinstance(value, list):
        return [_times(v, factor) for v in value]
    return round(value * factor, 2 if factor > 1 else 3) if type(value) in (int, float) else value


def load(schema: Strict, raw: Any) -> dict[str, Any]:
    """Check raw JSON against a schema and return the fields understood.

    Raises
    ------
    FasteningError
        Every fault of the fields, each with its path.
    """
    try:
        loaded: dict[str, Any] = schema.load(raw)
    except ValidationError as error:
        raise FasteningError(*_flatten(error.messages, (), schema, raw)) from None
    return loaded


_PLAIN = {
    "Missing data for required field.": ("missing_field", "is required"),
    "Field may not be null.": ("wrong_type", "must not be null"),
    "Invalid input type.": ("wrong_type", "must be an object"),
    "Not a valid mapping type.": ("wrong_type", "must be an object"),
}


class _Keyed:
    """A map of keys to objects: marshmallow files its faults under key and value, which are no part of the path."""

    def __init__(self, value: Schema) -> None:
        self.value = value


def _flatten(messages: Any, path: tuple[str | int, ...], schema: Any, raw: Any) -> list[Fault]:
    if isinstance(messages, dict):
        out = []
        for key, inner in messages.items():
            if key == "_schema":
                out += _flatten(inner, path, schema, raw)
                continue
            if isinstance(schema, _Keyed):
                out += [f for part in inner.values() for f in _flatten(part, (*path, key), schema.value, raw)]
                continue
            field = schema.fields.get(key) if isinstance(schema, Schema) else None
            below = _inner(field) if field is not None else schema if isinstance(key, int) else None
            out += _flatten(inner, (*path, key), below if below is not None else schema, raw)
        return out
    faults = []
    for message in messages if isinstance(messages, list) else [messages]:
        if isinstance(message, Fault):
            faults.append(message.under(*path))
        elif message == "Unknown field.":
            names = schema.fields if isinstance(schema, Schema) else {}
            faults.append(_unknown(str(path[-1]), path, names))
        else:
            code, detail = _PLAIN.get(message, ("invalid_value", str(message)))
            faults.append(Fault(code, detail, path))
    return faults


def _unknown(name: str, path: tuple[str | int, ...], names: Iterable[str]) -> Fault:
    for wrong in ("_ft", "_m", "_mm", "_cm", "_in"):
        meant = name.removesuffix(wrong) + "_in"
        if name.endswith(wrong) and meant != name and meant in names:
            return Fault("unknown_field", f"is not a field here; send {meant}, in inches (1 ft is 12 in)", path, {"did_you_mean": meant})
    return Fault("unknown_field", "is not a field here", path, near(name, names))


def _inner(field: Any) -> Any:
    if isinstance(field, fields.List):
        return _inner(field.inner)
    if isinstance(field, fields.Nested):
        return field.schema
    if isinstance(field, fields.Dict) and isinstance(field.value_field, fields.Nested):
        return _Keyed(field.value_field.schema)
    return None
