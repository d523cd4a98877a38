"""The rig schema as data: each field, its synonyms, what it says of itself.

Holding a document to it is the part of ``validate``.
"""

from __future__ import annotations

import importlib.resources
import json
import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from rigmargin.spec import units
from rigmargin.spec.document import Key

if TYPE_CHECKING:
    pass

Schema = dict[str, Any]
_SHARE = re.compile(r"([0-9]{1,3})/([1-9][0-9]{0,2})\Z")
#: What may stand beside a figure's value and is about it.
ABOUT = ("source", "ref", "read_on", "plus_or_minus")


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


#: The uses by which a limit may differ.
ROWS = ("weight_carrying", "weight_distributing", "fifth_wheel", "gooseneck", "braked", "unbraked")


def fill(text: str) -> float | units.Quantity | None:
    """How full a tank is: a share from 0 to 1, or a volume; None when the text says neither."""
    if text in ("full", "empty"):
        return 1.0 if text == "full" else 0.0
    share = _SHARE.match(text)
    if share:
        return int(share[1]) / int(share[2]) if int(share[1]) <= int(share[2]) else None
    try:
        quantity = units.parse(text)
    except units.NotAQuantity:
        return None
    if quantity.dimension == "ratio" and 0 <= quantity.si <= 1:
        return quantity.si
    return quantity if quantity.dimension == "volume" and quantity.si >= 0 else None
