"""JSON Merge Patches (RFC 7396) laid over documents, so that every value keeps the line it was written on."""

from __future__ import annotations

import difflib
from dataclasses import replace
from typing import Any

from rigmargin.spec import schema
from rigmargin.spec.document import Document, Key, walk
from rigmargin.spec.problem import Problem, shown


def laid_over(document: Document, change: Any, at: Key, known: Any = None) -> tuple[Document, list[Problem]]:
    """``document`` with the patch ``change`` that stands at ``at`` in it; and what the patch takes away that is not there.

    What the patch writes has its place in the patch; the rest keeps its own. What another patch has taken away already was
    there in ``known``.
    """
    patch = _Patch(document, known)
    data = patch.lay(document.data, change, (), at)
    return patch.document(data), patch.problems


def grafted(document: Document, other: Document, part: str) -> Document:
    """``document`` with the part of that name taken from ``other`` whole."""
    patch = _Patch(document)
    patch.take_places(other, (part,))
    patch.files[(part,)] = other.file
    return patch.document({**document.data, part: other.data[part]})


def put_back(document: Document, before: Document, path: Key) -> Document:
    """``document`` with what stands at ``path`` as it was ``before``, or away if it was not there."""

    def put(target: Any, old: Any, rest: Key) -> Any:
        if not rest:
            return old
        result, key = dict(target) if isinstance(target, dict) else {}, str(rest[0])
        value = put(result.get(key), old.get(key) if isinstance(old, dict) else None, rest[1:])
        result.pop(key, None) if value is None else result.update({key: value})
        return result

    patch = _Patch(document)
    patch.take_places(before, path)
    return patch.document(put(document.data, before.data, path))


class _Patch:
    """The places of a document while it is changed."""

    def __init__(self, document: Document, known: Any = None) -> None:
        self.base, self.known = document, known
        self.values, self.keys = dict(document.values), dict(document.keys)
        self.written, self.files = dict(document.written), dict(document.files)
        self.problems: list[Problem] = []

    def document(self, data: Any) -> Document:
        return replace(
            self.base, data=data, values=self.values, keys=self.keys, written=self.written, files=self.files, problems=()
        )

    def lay(self, target: Any, change: Any, path: Key, source: Key) -> Any:
        """The value at ``path``, which is ``target``, after the part of the patch that stands at ``source``."""
        if not isinstance(change, dict):
            self.forget(path)
            for inner, _ in walk(change):
                self._place((*path, *inner), (*source, *inner))
            return change
        result = dict(target) if isinstance(target, dict) else {}
        if isinstance(target, dict):
            self._keep(path, target)
        else:
            self.forget(path)
        self._place(path, source)
        for key, value in change.items():
            here, there = (*path, key), (*source, key)
            if isinstance(value, dict) and key not in result and _lacking(here, value):
                self.problems.append(_not_there(self.base, result, there, f"a change of {shown(key)}", _lacking(here, value)))
            elif value is not None:
                result[key] = self.lay(result.get(key), value, here, there)
            elif key in result:
                del result[key]
                self.forget(here)
            elif not _is_at(self.known, here):
                self.problems.append(_not_there(self.base, result, there, f"{shown(key)} taken away", []))
        return result

    def forget(self, path: Key) -> None:
        """Drop every place at and below ``path``."""
        for places in (self.values, self.keys, self.written, self.files):
            for known in [p for p in places if p[: len(path)] == path]:
                del places[known]

    def take_places(self, other: Document, path: Key) -> None:
        """Take the places at and below ``path`` from another document."""
        self.forget(path)
        for own, theirs in ((self.values, other.values), (self.keys, other.keys)):
            own.update({p: place for p, place in theirs.items() if p[: len(path)] == path})
        self.written.update({p: words for p, words in other.written.items() if p[: len(path)] == path})

    def _keep(self, path: Key, children: dict[str, Any]) -> None:
        """Let what stands below ``path`` keep its own words and file when ``path`` itself gets the patch's."""
        now = self.document(None)
        for key in children if path else ():
            child = (*path, key)
            self.written.setdefault(child, now.as_written(child))
            self.files.setdefault(child, now.file_of(child))

    def _place(self, path: Key, source: Key) -> None:
        if not path:
            return
        self.values[path] = self.base.place(source)
        if source in self.base.keys:
            self.keys[path] = self.base.keys[source]
        self.written[path] = self.base.as_written(source)
        self.files[path] = self.base.file


def _is_at(data: Any, path: Key) -> bool:
    for key in path:
        if not isinstance(data, dict) or key not in data:
            return False
        data = data[key]
    return True


def _lacking(path: Key, entry: dict[str, Any]) -> list[str]:
    """The fields that a new entry of that name would have to have, and has not; none where names are not the owner's own."""
    parent, node = schema.at(path[:-1]) or {}, schema.at(path) or {}
    named = path[-1] not in parent.get("properties", {})
    return [field for field in node.get("required", ()) if named and field not in entry]


def _not_there(document: Document, target: dict[str, Any], path: Key, what: str, lacking: list[str]) -> Problem:
    near = difflib.get_close_matches(str(path[-1]), list(target), n=1, cutoff=0.5)
    cures = [f"write {shown(near[0])}, if that is meant"] if near else []
    cures += [f"add {', '.join(f'{field}: …' for field in lacking)} if it is a new thing"] if lacking else []
    found, expected = f"{what}, which is not there", "something that this rig has"
    return document.problem(path, found, expected, "; ".join(cures) or "delete the line", at_key=True)
