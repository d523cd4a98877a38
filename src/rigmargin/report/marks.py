"""Marks around the numbers of a page that its own script may write otherwise, in other units.

A number that is marked carries what it says, in SI, between characters that mean nothing anywhere else; ``elements`` makes
elements of the marks that a page's text holds. Marks that stand where no element may are taken out, and so is whatever a rig
file holds of such characters.
"""

from __future__ import annotations

import re

_OPEN, _SPLIT, _CLOSE = "\ue000", "\ue001", "\ue002"
_MARKED = re.compile(
    rf"{_OPEN}([a-z]+ (?:up|down|near)(?: bare)?) (-?[0-9.]+(?:e[+-]?[0-9]+)?){_SPLIT}([^<>{_OPEN}{_SPLIT}{_CLOSE}]*){_CLOSE}"
)
_LEFT_OVER = re.compile(rf"{_OPEN}[^{_SPLIT}<>]*{_SPLIT}|[{_OPEN}{_SPLIT}{_CLOSE}]")
#: Where no element of ours may stand: in a tag, in a title, in a drawing.
_CLOSED = re.compile(r"(<svg\b.*?</svg>|<title>.*?</title>|<[^>]*>)", re.DOTALL)


def number(text: str, value: float, dimension: str, rounding: str, *, bare: bool) -> str:
    """``text``, which says ``value`` (SI), marked; ``bare`` when it has no unit."""
    return f"{_OPEN}{dimension} {rounding}{' bare' if bare else ''} {value!r}{_SPLIT}{text}{_CLOSE}"


def elements(page: str) -> str:
    """A page with its marked numbers as ``data`` elements, whose value is SI."""
    pieces = _CLOSED.split(page)
    pieces[::2] = [_MARKED.sub(r'<data value="\2" data-as="\1">\3</data>', text) for text in pieces[::2]]
    return _LEFT_OVER.sub("", "".join(pieces))
