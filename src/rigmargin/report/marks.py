"""Marks around what a page's own script may write otherwise: numbers in other units, words as another region says them.

A number that is marked carries what it says in SI, a word which term it stands for, between characters that mean nothing
elsewhere and a key that is new in every process, so that nothing in a rig file passes for a mark. Marks are made while
``wanted`` lasts. ``elements`` makes elements of those that a page's text holds, and takes out those that stand where no element
may.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar

_OPEN, _SPLIT, _CLOSE = f"\ue000{os.urandom(4).hex()} ", "\ue001", "\ue002"
_TEXT = rf"{_SPLIT}([^<>{_SPLIT}{_CLOSE}]*){_CLOSE}"
_MARKED = re.compile(
    rf"{_OPEN}(?:([a-z]+ (?:up|down|near)(?: bare)?) (-?[0-9.]+(?:e[+-]?[0-9]+)?)|([a-z_]+ [Ww]ords?)|label ([a-z_.]+)( off)?)"
    rf"{_TEXT}"
)
_ANY_MARKED = re.compile(rf"{_OPEN}[^<>{_SPLIT}]*{_TEXT}")
_OFF = re.compile(rf"{_OPEN}label [a-z_.]+ off{_TEXT}")
#: Where no element of ours may stand besides tags: in a drawing and in the title.
_CLOSED = re.compile(r"<(svg|title)\b.*?</\1>", re.DOTALL)
_WANTED: ContextVar[bool] = ContextVar("marks wanted", default=False)


@contextmanager
def wanted() -> Iterator[None]:
    """While it lasts numbers and words are marked: a page with a script is being written."""
    before = _WANTED.set(True)
    try:
        yield
    finally:
        _WANTED.reset(before)


def are_wanted() -> bool:
    """Whether numbers and words are to be marked."""
    return _WANTED.get()


def number(text: str, value: float, dimension: str, rounding: str, *, bare: bool) -> str:
    """``text``, which says ``value`` (SI), marked; ``bare`` when it has no unit."""
    return f"{_OPEN}{dimension} {rounding}{' bare' if bare else ''} {value!r}{_SPLIT}{text}{_CLOSE}"


def word(text: str, term: str, form: str) -> str:
    """``text``, the word for a term in one of its forms, marked."""
    return f"{_OPEN}{term} {form}{_SPLIT}{text}{_CLOSE}"


def label(text: str, terms: Sequence[str], *, off: bool) -> str:
    """``text``, a label's word in brackets, marked with the terms that it may be the very word for; ``off`` where it is."""
    return f"{_OPEN}label {'.'.join(terms)}{' off' if off else ''}{_SPLIT}{text}{_CLOSE}"


def first_letter(text: str, change: str) -> str:
    """A text that may begin with a marked word, with its first letter large (``W``) or small (``w``)."""
    marked = _MARKED.match(text)
    if marked is None or marked[3] is None:
        return text
    (term, form), said = marked[3].split(), marked[6]
    said = (said[:1].upper() if change == "W" else said[:1].lower()) + said[1:]
    return word(said, term, f"{change}{form[1:]}") + text[marked.end() :]


def elements(page: str) -> str:
    """A page with its marked numbers as ``data`` elements, whose value is SI, and its marked words as ``span`` elements."""
    page = _CLOSED.sub(lambda m: plain(m[0]), page)
    return plain(_MARKED.sub(_element, page))


def plain(text: str) -> str:
    """A text without its marks, as it reads."""
    return _ANY_MARKED.sub(r"\1", _OFF.sub("", text)) if _OPEN in text else text


def _element(marked: re.Match[str]) -> str:
    how, value, term, terms, off, text = marked.groups()
    before = marked.string
    if before.rfind("<", 0, marked.start()) > before.rfind(">", 0, marked.start()):  # inside a tag
        return "" if off else text
    if how:
        return f'<data value="{value}" data-as="{how}">{text}</data>'
    if term:
        return f'<span data-word="{term}">{text}</span>'
    return f'<span data-label="{terms}"{" hidden" if off else ""}>{text}</span>'
