"""Texts of an owner that would be read as marks of the project's own, and so would be shown as something else."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rigmargin.spec import words
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import Problem


def check(document: Document) -> list[Problem]:
    """Every text, or name, in which a mark for a regional word stands."""
    if document.raw and b"ord" not in document.raw and b"\\" not in document.raw:
        return []  # neither the word itself nor an escape that could say it: the whole file need not be walked
    return [
        document.problem(path, f"a mark for the regional word '{term}'", "plain text", "write the word itself", at_key=at_key)
        for text, path, at_key in _texts(document.data, ())
        if "{" in text
        for term in words.named(text)[:1]
    ]


def _texts(data: Any, path: Key) -> Iterator[tuple[str, Key, bool]]:
    if isinstance(data, str):
        yield data, path, False
    elif isinstance(data, dict):
        for name, value in data.items():
            yield name, (*path, name), True
            yield from _texts(value, (*path, name))
    elif isinstance(data, list):
        for number, value in enumerate(data):
            yield from _texts(value, (*path, number))
