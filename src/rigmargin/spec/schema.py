"""The schemas as data; of the rig schema each field, its synonyms, what it says of itself.

Holding a document to it is the part of ``validate``.
"""

from __future__ import annotations

import importlib.resources
import json
import re
from functools import cache, lru_cache
from typing import Any

from rigmargin.spec import units
from rigmargin.spec.document import Key

Schema = dict[str, Any]
RIG, REGULATION, SETTINGS = "rig.schema.json", "regulation.schema.json", "settings.schema.json"
_SHARE = re.compile(r"([0-9]{1,3})/([1-9][0-9]{0,2})\Z")
#: What may stand beside a figure's value and is about it.
ABOUT = ("source", "ref", "read_on", "plus_or_minus", "certificate")


@cache
def load(name: str = RIG) -> Schema:
    """One of the schemas shipped with rigmargin, as plain data."""
    text = importlib.resources.files("rigmargin.schemas").joinpath(name).read_text("utf-8")
    schema: Schema = json.loads(text)
    return schema


@cache
def rig() -> Schema:
    """The rig schema with every ``$ref`` followed, once: what stands beside a reference wins over what it points at."""
    root = load()
    made: dict[str, Schema] = {}

    def follow(reference: str) -> Schema:
        if reference not in made:
            target: Any = root
            for part in reference.removeprefix("#/").split("/"):
                target = target[part]
            made[reference] = whole(target)
            if "/properties/" in reference:  # a synonym is the field itself, but has no synonyms of its own
                made[reference] = {key: value for key, value in made[reference].items() if key != "x-synonyms"}
        return made[reference]

    def whole(node: Schema) -> Schema:
        own = {key: value for key, value in node.items() if key not in ("$ref", "$defs")}
        if isinstance(own.get("properties"), dict):
            own["properties"] = {name: whole(child) for name, child in own["properties"].items()}
        for key in ("additionalProperties", "items", "propertyNames"):
            if isinstance(own.get(key), dict):
                own[key] = whole(own[key])
        return {**follow(node["$ref"]), **own} if "$ref" in node else own

    return whole(root)


@lru_cache(maxsize=4096)
def key(path: str) -> Key:
    """A dotted path as a key; a number is a list position only in brackets, else a name."""
    parts = re.findall(r"\[([0-9]+)\]|([^.\[\]]+)", path)
    return tuple(int(position) if position else name for position, name in parts)


@lru_cache(maxsize=4096)
def at(path: Key) -> Schema | None:
    """The schema of the field at ``path``, None when there is no such field."""
    node = rig()
    for part in path:
        if isinstance(part, int):
            child = node.get("items")
        else:
            child = node.get("properties", {}).get(part) or node.get("additionalProperties")
        if not isinstance(child, dict):
            return None
        node = child
    return node


@cache
def catalogue() -> dict[str, Schema]:
    """Every field a rig file may have, by path with ``*`` for a name and ``[]`` for a list position; synonyms left out."""
    found: dict[str, Schema] = {}

    def visit(node: Schema, path: str) -> None:
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

    visit(rig(), "")
    return found


def synonym_table(node: Schema) -> dict[str, str]:
    """The accepted other names of an object's fields: synonym to field."""
    return {s: field for field, child in node.get("properties", {}).items() for s in child.get("x-synonyms", ())}


#: The uses by which a limit may differ.
ROWS = ("weight_carrying", "weight_distributing", "fifth_wheel", "gooseneck", "braked", "unbraked")


def fill(text: str) -> float | units.Quantity | None:
    """How full a tank is: a share from 0 to 1, or a volume; None when the text says neither."""
    if text in ("full", "empty"):
        return 1.0 if text == "full" else 0.0
    share = _SHARE.match(text)
    if share:
        return int(share[1]) / int(share[2]) if int(share[1]) <= int(share[2]) else None
    quantity = units.read(text)
    if quantity is None:
        return None
    if quantity.dimension == "ratio" and 0 <= quantity.si <= 1:
        return quantity.si
    return quantity if quantity.dimension == "volume" and quantity.si >= 0 else None
