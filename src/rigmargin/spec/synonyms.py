"""The owner's own label words, turned into the canonical field names, with the words kept for the report."""

from __future__ import annotations

from typing import Any

from rigmargin.spec import fields
from rigmargin.spec.document import Document, Key, dotted
from rigmargin.spec.fields import Field
from rigmargin.spec.problem import Problem


def canonical(document: Document) -> tuple[Document, dict[str, str], list[Problem]]:
    """``document`` with canonical field names; for each renamed field the word the owner used; and the fields given twice.

    Positions move with the fields, so that a problem or a piece of evidence still points at the owner's own line.
    """
    renaming = _Renaming(document)
    data = renaming.visit(document.data, fields.root(), (), ())
    made = Document(
        document.file,
        data,
        renaming.values,
        renaming.keys,
        written=renaming.written,
        settings=document.settings,
        raw=document.raw,
    )
    return made, renaming.words, renaming.problems


class _Renaming:
    """A walk over a document's data, and what becomes of its places; those that no new name leads to are left as they are."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.values, self.keys = dict(document.values), dict(document.keys)
        self.written: dict[Key, Key] = {}
        self.words: dict[str, str] = {}
        self.problems: list[Problem] = []

    def visit(self, data: Any, known: Field | None, old: Key, new: Key) -> Any:
        """What stands at ``old``, with canonical names, for ``new``; the two are one object where no name above was changed."""
        moved = new is not old
        if moved:
            self._move(old, new)
        if isinstance(data, list):
            entries, paths = known.entries if known else None, [(*old, i) for i in range(len(data))]
            places = [(*new, i) for i in range(len(data))] if moved else paths
            return [self.visit(entry, entries, *both) for entry, *both in zip(data, paths, places, strict=True)]
        if not isinstance(data, dict):
            return data
        table = known.synonyms if known else {}
        result: dict[str, Any] = {}
        name: str
        for name, value in data.items():
            field = table.get(name, name)
            if field in result:
                both = [key for key in data if table.get(key, key) == field]
                self.problems.append(_twice(self.document, (*old, name), field, both))
            elif field is not name or moved:
                there = (*new, field)
                if field != name:
                    self.words[dotted(there)] = name
                result[field] = self.visit(value, _child(known, field), (*old, name), there)
            elif isinstance(value, (dict, list)):
                here = (*old, name)
                result[field] = self.visit(value, _child(known, field), here, here)
            else:
                result[field] = value
        return result

    def _move(self, old: Key, new: Key) -> None:
        self.values.pop(old, None)
        self.values[new] = self.document.place(old)
        if old in self.document.keys:
            self.keys.pop(old, None)
            self.keys[new] = self.document.keys[old]
        self.written[new] = old


def _child(known: Field | None, field: str) -> Field | None:
    child = known and known.inside[field]
    return fields.root() if child and child.patches else child  # a patch over a rig file uses its words


def _twice(document: Document, path: Key, field: str, names: list[str]) -> Problem:
    both = " and ".join(f"'{name}'" for name in names)
    return document.problem(
        path, f"{both}, which mean the same", f"{field} by one name only", f"keep one of {both}", at_key=True
    )
