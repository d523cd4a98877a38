"""The rig schema: what it allows, what it says about each field, and what is wrong with a document that breaks it.

jsonschema does the validating. Two things are added through its own extension point: quantities are checked by
``units`` (with the plausible range that stands beside the field), and every error becomes a Problem with a place and a cure.
"""

from __future__ import annotations

import datetime
import difflib
import importlib.resources
import json
from collections.abc import Iterator
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from rigmargin.spec import units
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import Problem, shown

if TYPE_CHECKING:
    from jsonschema import ValidationError

Schema = dict[str, Any]
#: Words that mean different things in different countries, and so are refused everywhere.
AMBIGUOUS = {
    "gtw": (
        "'gtw', which means trailer in one country and the whole train in another",
        "max_mass of the trailer, or max_combination_mass",
    )
}


@cache
def load(name: str = "rig.schema.json") -> Schema:
    """One of the schemas shipped with rigmargin, as plain data."""
    text = importlib.resources.files("rigmargin.schemas").joinpath(name).read_text("utf-8")
    schema: Schema = json.loads(text)
    return schema


def resolve(node: Schema) -> Schema:
    """``node`` with its local ``$ref`` followed; what stands beside the reference wins over what it points at."""
    merged: Schema = dict(node)
    while "$ref" in merged:
        target: Any = load()
        for part in merged.pop("$ref").removeprefix("#/").split("/"):
            target = target[part]
        merged = {**target, **merged} if "$ref" not in target else {**target, **merged, "$ref": target["$ref"]}
    return merged


@lru_cache(maxsize=4096)
def at(path: Key) -> Schema | None:
    """The schema of the field at ``path``, references followed; None when there is no such field."""
    node = resolve(load())
    for part in path:
        if isinstance(part, int):
            child = node.get("items")
        else:
            child = node.get("properties", {}).get(part) or node.get("additionalProperties")
        if not isinstance(child, dict):
            return None
        node = resolve(child)
    return node


@cache
def catalogue() -> dict[str, Schema]:
    """Every field a rig file may have, by path with ``*`` for a name and ``[]`` for a list position; synonyms left out."""
    found: dict[str, Schema] = {}

    def visit(node: Schema, path: str) -> None:
        node = resolve(node)
        if path:
            found[path] = node
        synonyms = set(synonym_table(node))
        for name, child in node.get("properties", {}).items():
            if name not in synonyms and name not in ("value", "plus_or_minus"):
                visit(child, f"{path}.{name}" if path else name)
        if isinstance(node.get("additionalProperties"), dict):
            visit(node["additionalProperties"], f"{path}.*")
        if isinstance(node.get("items"), dict):
            visit(node["items"], f"{path}[]")

    visit(load(), "")
    return found


def synonym_table(node: Schema) -> dict[str, str]:
    """The accepted other names of an object's fields: synonym to field."""
    return {s: field for field, child in node.get("properties", {}).items() for s in child.get("x-synonyms", ())}


def check(document: Document) -> list[Problem]:
    """Every way in which ``document`` breaks the rig schema, in no particular order."""
    problems: list[Problem] = []
    for error in _validator().iter_errors(document.data):
        problems += _explain(document, error)
    return problems


@cache
def _validator() -> Any:
    import jsonschema  # half of a cold start's imports: only when a file is validated

    base = jsonschema.Draft202012Validator
    own = {"x-dimension": _quantity, "x-date": _date, "x-filled": _filled, "pattern": _pattern, "x-by-use": _by_use}
    return jsonschema.validators.extend(base, own)(load())


def _error(message: str, cure: str = "", expected: str = "") -> ValidationError:
    from jsonschema import ValidationError

    return ValidationError(message, cause=None, context=(), instance=(expected, cure))


def _pattern(validator: Any, pattern: str, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    """JSON Schema's ``pattern``, except for quantities and dates: those say in detail what is wrong."""
    if "x-dimension" not in schema and "x-date" not in schema:
        yield from _standard("pattern")(validator, pattern, instance, schema) or ()


@cache
def _standard(keyword: str) -> Any:
    import jsonschema

    return jsonschema.Draft202012Validator.VALIDATORS[keyword]


def _quantity(validator: Any, dimension: str, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    if not isinstance(instance, str):
        return
    try:
        units.parse(instance, dimension)
    except units.NotAQuantity as wrong:
        yield _error(wrong.found, wrong.cure, wrong.expected)


def _date(validator: Any, _: bool, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    if isinstance(instance, str):
        try:
            datetime.date.fromisoformat(instance if len(instance) == 10 else "")
        except ValueError:
            yield _error(shown(instance), "write for example 2026-05-02", "a day as year-month-day")


def _filled(validator: Any, _: bool, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    if isinstance(instance, str) and fill(instance) is None:
        yield _error(shown(instance), "write full, empty, 1/3, 40 % or 20 gal", "how full the tank is, from empty to full")


def _by_use(validator: Any, _: bool, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    if not isinstance(instance, dict):
        return
    rows = [key for key in instance if key in ROWS]
    about_value = [key for key in instance if key in ("value", "source", "ref", "read_on", "plus_or_minus")]
    if rows and "value" in instance:
        yield _error(
            f"both value and the row {shown(rows[0])}", "keep the rows, or the one value", "one figure, or one for each use"
        )
    elif rows and about_value:
        yield _error(
            f"{shown(about_value[0])} beside the rows",
            "put it inside each row: {value: ..., source: ...}",
            "rows, each with its own source",
        )
    elif not rows and "value" not in instance:
        yield _error("no figure", "add value: or a row such as braked:", "one figure, or one for each use")


#: The uses by which a limit may differ.
ROWS = ("weight_carrying", "weight_distributing", "fifth_wheel", "gooseneck", "braked", "unbraked")


def fill(text: str) -> float | units.Quantity | None:
    """How full a tank is: a share from 0 to 1, or a volume; None when the text says neither."""
    if text in ("full", "empty"):
        return 1.0 if text == "full" else 0.0
    top, slash, bottom = text.partition("/")
    if (
        slash
        and top.isascii()
        and top.isdigit()
        and bottom.isascii()
        and bottom.isdigit()
        and len(bottom) <= 3
        and int(bottom) > 0
    ):
        share = int(top) / int(bottom)
        return share if share <= 1 else None
    try:
        quantity = units.parse(text)
    except units.NotAQuantity:
        return None
    if quantity.dimension == "ratio" and 0 <= quantity.si <= 1:
        return quantity.si
    return quantity if quantity.dimension == "volume" and quantity.si >= 0 else None


# --- from jsonschema's errors to problems ----------------------------------------------------------------------------


def _explain(document: Document, error: ValidationError) -> Iterator[Problem]:
    path: Key = tuple(error.absolute_path)
    schema: Schema = error.schema if isinstance(error.schema, dict) else {}
    keyword, value = str(error.validator), error.instance
    if keyword.startswith("x-"):
        expected, cure = value
        yield document.problem(path, error.message, expected, cure)
    elif keyword == "additionalProperties":
        for name in value:
            if name not in schema.get("properties", {}):
                yield _unknown_key(document, (*path, name), schema)
    elif keyword == "propertyNames" or "propertyNames" in error.absolute_schema_path:
        bad = value if isinstance(value, str) else ""
        yield document.problem(
            (*path, bad),
            f"the name {shown(bad)}",
            "a name of 1 to 80 characters without dots and brackets",
            "choose a plainer name",
            at_key=True,
        )
    elif keyword == "required":
        for name in error.validator_value:
            if name not in value:
                field = resolve(schema["properties"][name])
                yield document.problem(
                    path,
                    f"no {shown(name)}",
                    f"{name}: {field['description'].rstrip('.')}",
                    f"add the line {shown(name + ': ...')}",
                    at_key=True,
                )
    else:
        yield document.problem(path, *_value_words(keyword, value, schema, error))


def _unknown_key(document: Document, path: Key, schema: Schema) -> Problem:
    name = str(path[-1])
    allowed = [key for key in schema.get("properties", {})]
    if name.lower() in AMBIGUOUS:
        found, instead = AMBIGUOUS[name.lower()]
        return document.problem(path, found, f"{instead}", "write the field that is meant", at_key=True)
    near = difflib.get_close_matches(name.lower().replace(" ", "_").replace("-", "_"), allowed, n=1, cutoff=0.6)
    expected = (
        f"{shown(near[0])}" if near else "one of " + ", ".join(key for key in allowed if key not in synonym_table(schema))
    )
    cure = f"write {shown(near[0])}, if that is meant" if near else "delete the line, or put it where it belongs"
    return document.problem(path, f"the unknown field {shown(name)}", expected, cure, at_key=True)


def _value_words(keyword: str, value: Any, schema: Schema, error: ValidationError) -> tuple[str, str, str]:
    """Found, expected and cure for an error about one value."""
    found = shown(value) if isinstance(value, str) else shown(json.dumps(value, ensure_ascii=False))
    if keyword == "type" and "x-dimension" in schema:
        wrong = units.explain(value, schema["x-dimension"])
        return wrong.found, wrong.expected, wrong.cure
    if keyword in ("enum", "const"):
        words = schema["enum"] if keyword == "enum" else [schema["const"]]
        text = str(value).lower() if isinstance(value, (str, bool)) else ""
        text = {"true": "yes", "false": "no", "on": "yes", "off": "no"}.get(text, text) if "yes" in words else text
        near = difflib.get_close_matches(text.replace(" ", "_").replace("-", "_"), [str(w) for w in words], n=1, cutoff=0.6)
        return (
            found,
            " or ".join(str(w) for w in words) if len(words) < 3 else "one of " + ", ".join(str(w) for w in words),
            (f"write {near[0]}" if near else f"write {words[0]}" if len(words) == 1 else "choose one of these words"),
        )
    kinds = {"object": "a mapping of fields", "array": "a list", "string": "text", "integer": "a whole number"}
    wanted = schema.get("type", "")
    expected = " or ".join(kinds.get(k, k) for k in (wanted if isinstance(wanted, list) else [wanted]))
    if keyword == "type":
        if value is None:
            return "nothing", expected, "write the value, or delete the line if it is not known"
        if wanted == "object" and not isinstance(value, list):
            return found, expected, "put its fields on the lines below, indented"
        return found, expected, "put the text in quotes" if wanted == "string" else "write it as shown in the reference"
    if keyword in ("minimum", "maximum"):
        return found, f"a whole number from {schema['minimum']} to {schema['maximum']}", "check the figure"
    if keyword == "pattern":
        shape = {"x-load-index": "one load index, or single/dual such as 125/122"}
        text = next(
            (words for key, words in shape.items() if key in schema),
            f"text like {', '.join(map(str, schema.get('examples', ())))}" if schema.get("examples") else _shape(schema),
        )
        return found, text, "write it as it is printed"
    if keyword == "uniqueItems":
        return found, "each entry once", "delete the repeated entry"
    if keyword in ("minLength", "minProperties"):
        return "nothing", "at least something", "write it, or delete the line"
    if keyword == "maxLength":
        return f"{len(value)} characters", f"at most {schema['maxLength']}", "shorten it"
    return found, f"what the reference says of it ({error.message[:80]})", "compare with the reference"


def _shape(schema: Schema) -> str:
    first = str(schema.get("description", "")).split(". ")[0]
    return f"{first[:1].lower()}{first[1:]}" if first else f"text matching {schema.get('pattern')}"
