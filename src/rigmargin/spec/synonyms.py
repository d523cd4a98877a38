"""The owner's own label words, turned into the canonical field names, with the words kept for the report."""

from __future__ import annotations

from typing import Any

from rigmargin.spec import schema
from rigmargin.spec.document import Document, Key, dotted
from rigmargin.spec.problem import Problem


def canonical(document: Document) -> tuple[Document, dict[str, str], list[Problem]]:
    """``document`` with canonical field names; for each renamed field the word the owner used; and the fields given twice.

    Positions move with the fields, so that a problem or a piece of evidence still points at the owner's own line.
    """
    values: dict[Key, tuple[int, int]] = {}
    keys: dict[Key, tuple[int, int]] = {}
    written: dict[Key, Key] = {}
    words: dict[str, str] = {}
    problems: list[Problem] = []

    def rename(data: Any, node: schema.Schema | None, old: Key, new: Key) -> Any:
        values[new] = document.place(old)
        if old in document.keys:
            keys[new] = document.keys[old]
        if old != new:
            written[new] = old
        if isinstance(data, list):
            items = node["items"] if node and "items" in node else None
            return [rename(item, items, (*old, i), (*new, i)) for i, item in enumerate(data)]
        if not isinstance(data, dict):
            return data
        table = schema.synonym_table(node) if node else {}
        result: dict[str, Any] = {}
        name: str
        for name, value in data.items():
            field = table.get(name, name)
            child = _child(node, field)
            if field in result:
                problems.append(_twice(document, (*old, name), field, [k for k in data if table.get(k, k) == field]))
                continue
            if field != name:
                words[dotted((*new, field))] = name
            result[field] = rename(value, child, (*old, name), (*new, field))
        return result

    data = rename(document.data, schema.rig(), (), ())
    return Document(document.file, data, values, keys, written=written, settings=document.settings), words, problems


def _child(node: schema.Schema | None, field: str) -> schema.Schema | None:
    child = (node or {}).get("properties", {}).get(field) or (node or {}).get("additionalProperties")
    if isinstance(child, dict) and "x-patch" in child:
        return schema.rig()  # a patch over a rig file uses its words
    return child if isinstance(child, dict) else None


def _twice(document: Document, path: Key, field: str, names: list[str]) -> Problem:
    both = " and ".join(f"'{name}'" for name in names)
    return document.problem(
        path, f"{both}, which mean the same", f"{field} by one name only", f"keep one of {both}", at_key=True
    )
