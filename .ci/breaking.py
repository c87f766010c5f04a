"""Lists what the kept contract takes away from callers of the released one.

A breaking change needs a new major version: with an equal major number in info.version any finding fails, with a raised
one the list is printed. Answers may gain fields and words (the contract says so); questions may gain optional ones.
Descriptions and examples are not compared.
"""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

Json = dict[str, Any]
METHODS = ("get", "put", "post", "delete", "patch", "head", "options")
LOWER_BOUNDS = ("minimum", "exclusiveMinimum", "minLength", "minItems")
UPPER_BOUNDS = ("maximum", "exclusiveMaximum", "maxLength", "maxItems")
RULES = ("pattern", "const", "multipleOf", "uniqueItems")
ASK, ANSWER = "question", "answer"


class Comparison:
    """One walk through both documents, side by side."""

    def __init__(self, released: Json, served: Json) -> None:
        self.old, self.new = released, served
        self.walked: dict[tuple[str, str, str], list[str]] = {}

    def all(self) -> Iterator[str]:
        """Yield each breaking change as one line."""
        for path, old in self.old["paths"].items():
            for method in (m for m in METHODS if m in old):
                new = self.new["paths"].get(path, {}).get(method)
                if new is None:
                    yield f"{method.upper()} {path}: removed"
                else:
                    yield from self.operation(f"{method.upper()} {path}", old[method], new)

    def operation(self, at: str, old: Json, new: Json) -> Iterator[str]:
        """Compare one operation."""
        if old.get("operationId") != new.get("operationId"):
            yield f"{at}: operationId {old.get('operationId')} is now {new.get('operationId')}"
        yield from self.keys(at, old, new)
        yield from self.parameters(at, old, new)
        body_was, body = (self.resolve(o.get("requestBody", {}), d) for o, d in ((old, self.old), (new, self.new)))
        if body.get("required") and not body_was.get("required"):
            yield f"{at}: body newly required"
        yield from self.content(f"{at} body", body_was, body, ASK)
        for status, answer in old["responses"].items():
            if status not in new["responses"]:
                yield f"{at}: status {status} removed"
                continue
            was, now = self.resolve(answer, self.old), self.resolve(new["responses"][status], self.new)
            yield from (f"{at} {status}: header {h} removed" for h in was.get("headers", {}) if h not in now.get("headers", {}))
            yield from self.content(f"{at} {status}", was, now, ANSWER)

    def keys(self, at: str, old: Json, new: Json) -> Iterator[str]:
        """Compare what a caller has to show; no list, an empty one and an empty entry all mean nothing."""
        was, now = (o.get("security", d.get("security")) or [{}] for o, d in ((old, self.old), (new, self.new)))
        if {} not in now:
            yield from (f"{at}: no longer open with {' and '.join(k) or 'no key'}" for k in was if k not in now)

    def parameters(self, at: str, old: Json, new: Json) -> Iterator[str]:
        """Compare the parameters of an operation."""
        was, now = (
            {(p["in"], p["name"]): p for p in (self.resolve(p, d) for p in o.get("parameters", []))}
            for o, d in ((old, self.old), (new, self.new))
        )
        for key in was.keys() - now.keys():
            yield f"{at}: parameter {key[1]} removed"
        for key, p in now.items():
            if p.get("required") and not was.get(key, {}).get("required"):
                yield f"{at}: parameter {key[1]} newly required"
            if key in was:
                yield from self.schema(f"{at} ?{key[1]}", was[key].get("schema", {}), p.get("schema", {}), ASK)

    def content(self, at: str, old: Json, new: Json, way: str) -> Iterator[str]:
        """Compare the media types of a body."""
        for media, was in old.get("content", {}).items():
            if media not in new.get("content", {}):
                yield f"{at}: {media} removed"
            else:
                yield from self.schema(at, was.get("schema", {}), new["content"][media].get("schema", {}), way)

    def schema(self, at: str, old: Json, new: Json, way: str) -> Iterator[str]:
        """Compare two schemas: a question must still be taken, an answer must still be understood."""
        pair = (old.get("$ref", ""), new.get("$ref", ""), way)
        if not all(pair):
            yield from self.unions(at, old, new, way)
            return
        if pair not in self.walked:
            self.walked[pair] = []  # what refers to itself ends here
            self.walked[pair] = list(self.unions(f"{way} {pair[0].rsplit('/', 1)[1]}", old, new, way))
        yield from self.walked[pair]

    def unions(self, at: str, old: Json, new: Json, way: str) -> Iterator[str]:
        """Compare each variant that callers know, or that they will meet, with the nearest one of the other document."""
        was, now = list(self.variants(old, self.old)), list(self.variants(new, self.new))
        for variant in was if way == ASK else now:
            pairs = [(variant, n) for n in now] if way == ASK else [(o, variant) for o in was]
            met = [(list(self.plain(at, o, n, way)), o.get("type") != n.get("type")) for o, n in pairs]
            yield from min(met, key=lambda m: (bool(m[0]), m[1], len(m[0])))[0]
        known = {name for variant in now for name in variant.get("properties", {})}
        for variant in was if way == ANSWER else ():
            yield from (f"{at}.{name}: removed" for name in variant.get("properties", {}) if name not in known)

    def plain(self, at: str, old: Json, new: Json, way: str) -> Iterator[str]:
        """Compare two schemas without unions."""
        wide, narrow = (new, old) if way == ASK else (old, new)
        if "type" in wide and wide["type"] != narrow.get("type") and (wide["type"], narrow.get("type")) != ("number", "integer"):
            yield f"{at}: type {old.get('type', 'any')} is now {new.get('type', 'any')}"
            return
        yield from self.fields(at, old, new, way)
        if "items" in old or "items" in new:
            yield from self.schema(f"{at}[]", old.get("items", {}), new.get("items", {}), way)
        was, now = ({} if v is True else v for v in (s.get("additionalProperties", {}) for s in (old, new)))
        if (now if way == ASK else was) and False not in (was, now):  # where any value will do, nothing can break
            yield from self.schema(f"{at}{{}}", was, now, way)
        if way == ASK:
            yield from narrowed(at, old, new)
        elif "const" in old and old["const"] != new.get("const"):
            yield f"{at}: const {old['const']} is now {new.get('const', 'gone')}"

    def fields(self, at: str, old: Json, new: Json, way: str) -> Iterator[str]:
        """Compare the fields of an object."""
        was, now = old.get("properties", {}), new.get("properties", {})
        for name in was:
            if name in now:
                yield from self.schema(f"{at}.{name}", was[name], now[name], way)
            elif way == ASK:
                yield f"{at}.{name}: removed"
        need, needed = set(new.get("required", [])), set(old.get("required", []))
        if way == ASK:
            yield from (f"{at}.{name}: newly required" for name in sorted(need - needed))
        else:
            yield from (f"{at}.{name}: no longer always there" for name in sorted(needed - need))

    def variants(self, schema: Json, document: Json) -> Iterator[Json]:
        """Yield each plain schema a schema may be, one type each."""
        schema = self.resolve(schema, document)
        choices = schema.get("oneOf") or schema.get("anyOf")
        if choices and "properties" not in schema:
            for choice in choices:
                yield from self.variants(choice, document)
        elif isinstance(schema.get("type"), list):
            yield from ({**schema, "type": kind} for kind in schema["type"])
        else:
            yield schema

    def resolve(self, part: Json, document: Json) -> Json:
        """Follow a reference, alone or as the only member of allOf."""
        if len(part.get("allOf", [])) == 1 and "$ref" in part["allOf"][0]:
            part = part["allOf"][0]
        if "$ref" not in part:
            return part
        found: Any = document
        for name in part["$ref"].removeprefix("#/").split("/"):
            found = found[name.replace("~1", "/").replace("~0", "~")]
        return self.resolve(found, document)


def narrowed(at: str, old: Json, new: Json) -> Iterator[str]:
    """Yield what a question may no longer hold."""
    if "enum" in new:
        gone = [w for w in old["enum"] if w not in new["enum"]] if "enum" in old else ["anything else"]
        yield from (f"{at}: no longer takes {word}" for word in gone)
    for name in LOWER_BOUNDS + UPPER_BOUNDS:
        if name in new and (name not in old or (new[name] > old[name] if name in LOWER_BOUNDS else new[name] < old[name])):
            yield f"{at}: {name} {old.get(name, 'none')} is now {new[name]}"
    for name in RULES:
        if name in new and json.dumps(new[name], sort_keys=True) != json.dumps(old.get(name), sort_keys=True):
            yield f"{at}: {name} changed"
    yield from (f"{at}: newly ruled {rule}" for rule in across(new) if rule not in across(old))
    if new.get("additionalProperties") is False and old.get("additionalProperties") is not False:
        yield f"{at}: no longer takes other fields"
    if "default" in old and old["default"] != new.get("default"):
        yield f"{at}: default {old['default']} is now {new.get('default', 'none')}"


def across(schema: Json) -> list[str]:
    """Return each rule across fields as text; a rule under `not` is the same alone, in `allOf` or in `anyOf`."""
    ruled = [r for r in schema.get("allOf", []) if "not" not in r]
    denied = [r["not"] for r in [schema, *schema.get("allOf", [])] if "not" in r]
    ruled += [{"not": one} for whole in denied for one in whole.get("anyOf", [whole])]
    return [json.dumps(r, sort_keys=True) for r in ruled]


def breaking(released: Json, served: Json) -> list[str]:
    """Return each breaking change as one line."""
    return list(dict.fromkeys(Comparison(released, served).all()))


def main(released: str, served: str) -> int:
    """Print the list; fail where it is not empty and the major version is the same."""
    old, new = (yaml.load(Path(p).read_text(encoding="utf-8"), yaml.CSafeLoader) for p in (released, served))
    found = breaking(old, new)
    print("\n".join(found))
    before, after = (int(d["info"]["version"].split(".")[0]) for d in (old, new))
    if after < before or (found and after == before):
        print(f"{len(found)} breaking changes need a new major version, above {before}", file=sys.stderr)
        return 1
    print(f"{len(found)} breaking changes from {old['info']['version']} to {new['info']['version']}")
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
