"""Holding a document to a schema: every way in which it breaks it, as problems with a place and a cure.

What passes the fast ``gate`` is sound. For the rest jsonschema finds every mistake, through its own extension point the
``keywords`` of our own too. Plausible ranges are ``stated``'s part, names that point elsewhere are ``references``'.
"""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterator
from functools import cache, partial
from typing import TYPE_CHECKING, Any

from rigmargin.spec import gate, schema, units
from rigmargin.spec.document import Document, Key
from rigmargin.spec.keywords import DATE_WORDS, FILLED_WORDS, OF_MAPPINGS, OF_TEXTS, Wrong, lower, spells_itself
from rigmargin.spec.problem import Problem, shown
from rigmargin.spec.schema import Schema

if TYPE_CHECKING:
    from jsonschema import ValidationError

#: Words that mean different things in different countries, and so are refused everywhere.
AMBIGUOUS = {
    "gtw": (
        "'gtw', which means the trailer in one country and the whole train in another",
        "max_mass in trailer, or max_combination_mass in tow_vehicle",
        "write the one the label means",
    )
}


def check(document: Document, name: str = schema.RIG) -> list[Problem]:
    """Every way in which ``document`` breaks the schema of that name, in no particular order."""
    if gate.passes(document.data, name):
        return []
    problems: list[Problem] = []
    for error in _validator(name).iter_errors(document.data):
        problems += _explain(document, error)
    return problems


@cache
def _validator(name: str) -> Any:
    import jsonschema  # half of a cold start's imports: only when a file has something to explain

    own = {keyword: partial(_own, keyword) for keyword in (*OF_TEXTS, *OF_MAPPINGS)}
    extend: Any = jsonschema.validators.extend  # untyped in the published stubs
    base = jsonschema.Draft202012Validator
    return extend(base, {**own, "pattern": _pattern})(schema.rig() if name == schema.RIG else schema.load(name))


def _own(keyword: str, validator: Any, value: Any, instance: Any, node: Schema) -> Iterator[ValidationError]:
    """The errors by one of our own keywords; the instance of each is what was expected and the cure."""
    from jsonschema import ValidationError

    wrong: list[Wrong | None] = []
    if keyword in OF_TEXTS and isinstance(instance, str):
        wrong = [OF_TEXTS[keyword](value, instance)]
    elif keyword in OF_MAPPINGS and isinstance(instance, dict):
        wrong = [*OF_MAPPINGS[keyword](value, instance, node)]
    for found, *rest in filter(None, wrong):
        yield ValidationError(found, instance=tuple(rest))


def _pattern(validator: Any, pattern: str, instance: Any, node: Schema) -> Iterator[ValidationError]:
    """JSON Schema's ``pattern``, except where the text is a quantity or a day.

    The patterns are written for editors, where ``$`` is the very end; Python's would let a last line break pass.
    """
    from jsonschema import ValidationError

    whole = pattern.removesuffix("$") + r"\Z"
    if isinstance(instance, str) and not spells_itself(node) and not re.search(whole, instance):
        yield ValidationError("does not match", instance=instance)


def _explain(document: Document, error: ValidationError) -> Iterator[Problem]:
    path: Key = tuple(error.absolute_path)
    node: Schema = error.schema if isinstance(error.schema, dict) else {}
    keyword, value = str(error.validator), error.instance
    if keyword.startswith("x-"):
        expected, cure = tuple(error.instance) if isinstance(error.instance, tuple) else ("", "")
        yield document.problem(path, error.message, expected, cure)
    elif keyword == "additionalProperties" and isinstance(value, dict):
        for name in value:
            if name not in node.get("properties", {}):
                yield _unknown_key(document, (*path, name), node)
    elif "propertyNames" in error.absolute_schema_path:
        bad = str(value)
        expected = node.get("description", "a name of 1 to 80 characters without dots, '@' and square brackets.")
        expected = lower(expected.rstrip("."))
        yield document.problem((*path, bad), f"the name {shown(bad)}", expected, "choose a plainer name", at_key=True)
    elif keyword == "required" and isinstance(value, dict):
        for name in node["required"]:
            if name not in value:
                yield _missing(document, path, name, node)
    else:
        yield document.problem(path, *_value_words(keyword, value, node))


def _missing(document: Document, path: Key, name: str, node: Schema) -> Problem:
    what, _, where = node["properties"][name]["description"].rstrip(".").partition(". ")
    under = f" under {shown(path[-1])}" if path and isinstance(path[-1], str) else ""
    cure = f"add {shown(name + ': …')}{under}; {lower(where)}"
    return document.problem((*path, name), f"no field {shown(name)}", lower(what), cure, at_key=True)


def _unknown_key(document: Document, path: Key, node: Schema) -> Problem:
    name = str(path[-1])
    if name.lower() in AMBIGUOUS:
        return document.problem(path, *AMBIGUOUS[name.lower()], at_key=True)
    found, allowed = f"the unknown field {shown(name)}", list(node.get("properties", {}))
    near = _near(name, allowed)
    if near:
        return document.problem(path, found, shown(near), f"write {shown(near)}, if that is meant", at_key=True)
    homes = [field for field in schema.catalogue() if field.rpartition(".")[2] == name.lower() and "*" not in field]
    homes = [] if {"regulations", "settings"} & document.data.keys() else homes  # a rig's field is no home for what is no rig's
    if "x-forms" in node:
        return document.problem(path, found, f"one of {', '.join(allowed)}", "use one of these words", at_key=True)
    own = ", ".join(key for key in allowed if key not in schema.synonym_table(node))
    cure = f"move it to {' or '.join(homes[:2])}, if that is meant" if homes else "delete the line, or say it in a note"
    return document.problem(path, found, f"one of {own}", cure, at_key=True)


def _near(text: str, words: list[str]) -> str | None:
    """The one of ``words`` that ``text`` most likely means."""
    plain = text.lower().replace(" ", "_").replace("-", "_")
    return next(iter(difflib.get_close_matches(plain, words, n=1, cutoff=0.7)), None)


def _one_of(words: list[str]) -> str:
    return " or ".join(words) if len(words) < 3 else "one of " + ", ".join(words)


_KINDS = {"object": "a mapping of fields", "array": "a list", "string": "text", "integer": "a whole number"}


def _as_written(value: Any) -> str:
    """A value as a message names it."""
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, (dict, list)):
        return "a mapping" if isinstance(value, dict) else "a list"
    return "nothing" if value is None else shown(json.dumps(value))


def _value_words(keyword: str, value: Any, node: Schema) -> tuple[str, str, str]:
    """Found, expected and cure for an error about one value."""
    found = _as_written(value)
    if keyword == "type" and (value is None or not {"enum", "const"} & node.keys()):
        return _wrong_type(found, value, node)
    if keyword in ("type", "enum", "const"):
        words = [str(word) for word in (node["enum"] if "enum" in node else [node["const"]])]
        text = json.dumps(value) if isinstance(value, (bool, int, float)) else str(value)
        meant = {"true": "yes", "false": "no", "on": "yes", "off": "no"} if "yes" in words else {}
        near = _near(meant.get(text.lower(), text), words) or (words[0] if len(words) == 1 else None)
        return found, _one_of(words), f"write {near}, if that is meant" if near else "choose one of these"
    if keyword in ("minimum", "maximum"):
        return found, f"a whole number from {node['minimum']} to {node['maximum']}", "check the figure"
    if keyword == "pattern":
        return found, *_pattern_words(node)
    if keyword == "uniqueItems":
        return "the same entry twice", "each entry once", "delete the repeated entry"
    if keyword == "maxItems" or (keyword == "minItems" and value):
        return f"{len(value)} entries", f"{'at least ' if 'maxItems' not in node else ''}{node['minItems']}", "correct the list"
    if keyword in ("minLength", "minProperties", "minItems"):
        return "nothing", "at least something", "write it, or delete the line"
    assert keyword == "maxLength", keyword  # a test holds that the schema uses no other keyword
    return f"{len(value)} characters", f"at most {node['maxLength']}", "shorten it"


def _pattern_words(node: Schema) -> tuple[str, str]:
    examples = " or ".join(str(example) for example in node["examples"])
    return lower(str(node["description"]).split(". ")[0].rstrip(".")), f"write it like this: {examples}"


def _wrong_type(found: str, value: Any, node: Schema) -> tuple[str, str, str]:
    if "x-dimension" in node or ("x-quantity" in node and not isinstance(value, list)):
        wrong = units.explain(value, node.get("x-dimension"))
        return wrong.found, wrong.expected, wrong.cure
    wanted: list[str] = node["type"] if isinstance(node["type"], list) else [node["type"]]
    expected = _one_of([_KINDS[kind] for kind in wanted])
    if "enum" in node:
        expected = _one_of([str(word) for word in node["enum"]])
    if value is None:
        return found, expected, "write the value, or delete the line if it is not known"
    if wanted == ["object"] and isinstance(value, list):
        return found, expected, "write each entry under a name of its own, without '- '"
    if wanted == ["object"] and "x-forms" in node:
        return found, f"a mapping with one of {', '.join(node['x-forms'])}", "write it under one of these words; nothing is run"
    if wanted == ["object"]:
        return found, expected, "write its fields on the lines below, indented, each as 'name: value'"
    if "array" in wanted:
        return found, expected, "begin each entry on its own line with '- ', or write [ ] around them"
    if isinstance(value, (dict, list)):
        return found, expected, "write one plain value here"
    if "x-station" in node:
        wrong = units.explain(value, "length")
        return wrong.found, f"a station's name or {wrong.expected}", wrong.cure
    if "x-date" in node or "x-filled" in node:
        return found, *(DATE_WORDS if "x-date" in node else FILLED_WORDS)
    if "pattern" in node:
        return found, *_pattern_words(node)
    return found, expected, f'put it in quotes: "{json.dumps(value)}"' if "string" in wanted else "write digits only"
