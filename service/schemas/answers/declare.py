"""One declaration for answers: what a field is, where its value comes from, when it is absent.

A `Shape` lists its parts once. The contract (`schema_of`), the writer of JSON and the rows of a sheet (`writer_of`)
all follow from that list, so that a field cannot stand in one of them and not in the others.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, ClassVar

import orjson

from service.schemas.answers.metric import convert, metric_twin

Write = Callable[[Any], dict[str, Any]]
REF = "#/components/schemas/"


@dataclass(frozen=True, slots=True)
class Words:
    """The words of an enumeration; one named component of the contract, whatever uses it."""

    name: str
    words: tuple[str, ...]
    about: str

    def schema(self) -> dict[str, Any]:
        """Return the component: the words, and names for them that no generator has to invent."""
        names = ["".join(c if c.isalnum() else "_" for c in w).upper() for w in self.words]
        safe = [f"{self.name.upper()}_{n}" if n[0].isdigit() else n for n in names]
        return {"type": "string", "description": self.about, "enum": list(self.words), "x-enum-varnames": safe}


@dataclass(frozen=True, slots=True)
class Part:
    """One field of an answer.

    `of` is a path of attributes, or a function of the thing that is written; `form` makes its JSON value. A part with
    `absent` is left out where the value is None, and the words say when; one with `null` is null there.
    """

    about: str
    schema: dict[str, Any]
    of: str | Callable[[Any], Any] = ""
    form: Callable[[Any], Any] | None = None
    null: bool = False
    absent: str = ""
    shape: "type[Shape] | None" = None
    many: bool = False
    kept: bool = False
    words: Words | None = None


@dataclass(frozen=True, slots=True)
class Variants:
    """Parts that stand together, written from `of`: which of several shapes it is follows from the thing.

    `kept` where the thing never changes and comes again in other answers.
    """

    select: Callable[[Any], Any]
    cases: Mapping[Any, "type[Shape] | None"]
    absent: str = ""
    of: str | Callable[[Any], Any] = ""
    kept: bool = False


class Shape:
    """An object of an answer; its parts are its class attributes, in the order in which they are written."""

    parts: ClassVar[dict[str, Part | Variants]] = {}
    union: ClassVar[tuple["type[Shape]", ...]] = ()
    """The shapes this one is one of, each with a component of its own; empty for a plain object."""

    def __init_subclass__(cls) -> None:
        """Collect the parts, those of a parent first."""
        own = {n: p for n, p in vars(cls).items() if isinstance(p, Part | Variants)}
        cls.parts = {**{n: p for n, p in cls.parts.items() if n not in own}, **own}


def name_of(shape: type[Shape]) -> str:
    """Return the name of a shape in the contract."""
    return shape.__name__.removesuffix("Shape")


def fields_of(shape: type[Shape]) -> Iterator[tuple[str, Part]]:
    """Yield every field of a shape; those that only some variants have are absent elsewhere."""
    for name, part in shape.parts.items():
        if isinstance(part, Part):
            yield name, part
            continue
        seen: dict[str, list[Part]] = {}
        for case in part.cases.values():
            for inner, p in fields_of(case) if case else ():
                seen.setdefault(inner, []).append(p)
        for inner, found in seen.items():
            everywhere = len(found) == len(part.cases) and not found[0].absent
            yield inner, found[0] if everywhere else _absent(found[0], part.absent)


def _absent(part: Part, when: str) -> Part:
    return Part(part.about, part.schema, part.of, part.form, part.null, part.absent or when, part.shape, part.many, part.kept, part.words)


def shapes_under(shape: type[Shape]) -> dict[str, type[Shape]]:
    """Return a shape and every shape inside it, by name."""
    found = {name_of(shape): shape}
    for inner in (*shape.union, *(part.shape for _, part in fields_of(shape) if part.shape)):
        if name_of(inner) not in found:
            found |= shapes_under(inner)
    return found


def schema_of(shape: type[Shape]) -> dict[str, Any]:
    """Return the JSON Schema of a shape: every field required but those declared absent under a condition."""
    if shape.union:
        return {"description": (shape.__doc__ or "").strip(), "oneOf": [{"$ref": REF + name_of(s)} for s in shape.union]}
    properties: dict[str, Any] = {}
    required = []
    for name, part in fields_of(shape):
        properties[name] = _field_schema(part)
        if not part.absent:
            required.append(name)
        twin = metric_twin(name) if _is_quantity(part) else None
        if twin:
            properties[twin] = {**_quantity(part), "description": f"Twin of {name}. Absent but with units metric."}
    about = (shape.__doc__ or "").strip()
    return {"type": "object", "description": about, "properties": properties, **({"required": required} if required else {})}


def _is_quantity(part: Part) -> bool:
    return (part.schema.get("items") or part.schema).get("type") in ("number", "integer")


def _quantity(part: Part) -> dict[str, Any]:
    """Return the schema of a metric twin, which is no whole number."""
    if part.many or "items" in part.schema:
        return {"type": "array", "items": {"type": "number"}}
    return {"type": ["number", "null"] if part.null else "number"}


def _field_schema(part: Part) -> dict[str, Any]:
    inner = {"$ref": REF + name_of(part.shape)} if part.shape else {"$ref": REF + part.words.name} if part.words else part.schema
    if part.many:
        inner = {"type": "array", "items": inner}
    said = f"{part.about} Absent {part.absent}.".strip() if part.absent else part.about
    about = {"description": said} if said else {}
    if not part.null:
        return {**inner, **about}
    if isinstance(inner.get("type"), str):
        return {**inner, "type": [inner["type"], "null"], **about}
    return {"anyOf": [inner, {"type": "null"}], **about}


def writer_of(shape: type[Shape], metric: bool = False, plain: bool = False) -> Write:
    """Return the writer of a shape, put together once as one function.

    Parameters
    ----------
    metric : bool
        Add the metric twins.
    plain : bool
        Write values only: no finished JSON pieces, for sheets and tests.
    """
    return _writer(shape, metric, plain)  # type: ignore[arg-type]  # a class is hashable


@cache
def _writer(shape: type[Shape], metric: bool, plain: bool) -> Write:
    names: dict[str, Any] = {"convert": convert}
    lines = ["def write(o):", " out = {"]
    for i, (name, part) in enumerate(shape.parts.items()):
        if isinstance(part, Variants):
            names[f"v{i}"] = _variant_writer(part, metric, plain)
            lines.append(f"  **v{i}({_source(part, 'o', i, names)}),")
            continue
        source, form = _source(part, f"o.{name}", i, names), _form(part, i, names, metric, plain)
        twin = metric_twin(name) if metric and _is_quantity(part) else None
        if part.absent:
            lines += [" }", f" x = {source}", " if x is not None:", f"  out[{name!r}] = y = {form}(x)"]
            lines += [f"  out[{twin!r}] = convert({name!r}, y)"] if twin else []
            lines.append(" out |= {")
        else:
            said = f"(None if (x := {source}) is None else {form}(x))" if part.null and form else f"{form}({source})"
            lines.append(f"  {name!r}: (y := {said}), {twin!r}: convert({name!r}, y)," if twin else f"  {name!r}: {said},")
    source_text = "\n".join([*lines, " }", " return out"]).replace(" out |= {\n }\n", "")
    exec(compile(source_text, f"<writer of {name_of(shape)}>", "exec"), names)  # nosec B102: one function of plain expressions; the text is ours alone
    write: Write = names["write"]
    return write


def _source(part: Part | Variants, otherwise: str, i: int, names: dict[str, Any]) -> str:
    """Return the expression that fetches a value from `o`; `otherwise` where the part does not say."""
    if callable(part.of):
        names[f"f{i}"] = part.of
        return f"f{i}(o)"
    return f"o.{part.of}" if part.of else otherwise


def _form(part: Part, i: int, names: dict[str, Any], metric: bool, plain: bool) -> str:
    """Return the name of the function that makes JSON of a value; empty where the value is JSON already."""
    form = part.form
    if part.shape:
        inner = writer_of(part.shape, metric, plain)
        form = (lambda xs: [inner(x) for x in xs]) if part.many else inner
        form = keep(form, finished) if part.kept and not plain else form
    if form is None:
        return ""
    names[f"g{i}"] = form
    return f"g{i}"


def _variant_writer(part: Variants, metric: bool, plain: bool) -> Write:
    writers = {key: writer_of(shape, metric, plain) if shape else _nothing for key, shape in part.cases.items()}
    select = part.select

    def chosen(thing: Any) -> dict[str, Any]:
        return writers[select(thing)](thing)

    inner = writers[None] if set(writers) == {None} else chosen
    return keep(inner) if part.kept and not plain else inner


def spread(shape: type[Shape], of: str | Callable[[Any], Any] = "", kept: bool = False) -> Variants:
    """Declare the fields of another shape among one's own."""
    return Variants(lambda o: None, {None: shape}, "", of, kept)


def _nothing(o: Any) -> dict[str, Any]:
    return {}


MOST_KEPT = 256


def keep(write: Callable[[Any], Any], finish: Callable[[Any], Any] | None = None) -> Callable[[Any], Any]:
    """Return a writer of things that never change, by identity: each is written once, however many answers show it.

    Bounded: a piece holds on to its thing, so that no other thing can take its identity; when full, all are let go.
    """
    pieces: dict[int, tuple[Any, Any]] = {}

    def kept(thing: Any) -> Any:
        held = pieces.get(id(thing))
        if held is None:
            if len(pieces) >= MOST_KEPT:
                pieces.clear()
            written = write(thing)
            held = pieces[id(thing)] = (finish(written) if finish else written, thing)
        return held[0]

    return kept


def finished(written: Any) -> orjson.Fragment:
    """Return the finished JSON of a value."""
    return orjson.Fragment(orjson.dumps(written))


def number(about: str = "", of: Any = "", form: Any = None, null: bool = False, absent: str = "", **more: Any) -> Part:
    """Declare a number."""
    return Part(about, {"type": "number", **more}, of, form, null, absent)


def whole(about: str = "", of: Any = "", null: bool = False, absent: str = "") -> Part:
    """Declare a count."""
    return Part(about, {"type": "integer", "minimum": 0}, of, None, null, absent)


def say(about: str = "", of: Any = "", null: bool = False, absent: str = "", form: Any = None) -> Part:
    """Declare a text."""
    return Part(about, {"type": "string"}, of, form, null, absent)


def word(words: Words, about: str = "", of: Any = "", null: bool = False, absent: str = "") -> Part:
    """Declare a word of an enumeration."""
    return Part(about, {"type": "string"}, of, None, null, absent, words=words)


def words(some: Words, about: str = "", of: Any = "", absent: str = "") -> Part:
    """Declare a list of words of an enumeration."""
    return Part(about, {"type": "string"}, of, list, False, absent, many=True, words=some)


def flag(about: str = "", of: Any = "", null: bool = False, absent: str = "") -> Part:
    """Declare a yes or no."""
    return Part(about, {"type": "boolean"}, of, None, null, absent)


def texts(about: str = "", of: Any = "", absent: str = "") -> Part:
    """Declare a list of texts."""
    return Part(about, {"type": "array", "items": {"type": "string"}}, of, list, False, absent)


def numbers(about: str = "", of: Any = "", form: Any = list, absent: str = "") -> Part:
    """Declare a list of numbers."""
    return Part(about, {"type": "array", "items": {"type": "number"}}, of, form, False, absent)


def one(shape: type[Shape], about: str = "", of: Any = "", null: bool = False, absent: str = "", kept: bool = False) -> Part:
    """Declare an object; `kept` when the thing never changes and comes again in other answers."""
    return Part(about, {}, of, None, null, absent, shape, False, kept)


def many(shape: type[Shape], about: str = "", of: Any = "", absent: str = "", kept: bool = False) -> Part:
    """Declare a list of objects."""
    return Part(about, {}, of, None, False, absent, shape, True, kept)


def other(schema: dict[str, Any], about: str = "", of: Any = "", null: bool = False, absent: str = "", form: Any = None) -> Part:
    """Declare a value by its JSON Schema."""
    return Part(about, schema, of, form, null, absent)
