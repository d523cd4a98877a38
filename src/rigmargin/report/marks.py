"""Marks around the numbers of a page that its own script may write otherwise, in other units.

A number that is marked carries what it says, in SI, between characters that mean nothing elsewhere and a key that is new in
every process, so that nothing in a rig file passes for a mark. ``elements`` makes elements of the marks that a
page's text holds, and takes out those that stand where no element may.
"""

from __future__ import annotations

import re
import secrets

_OPEN, _SPLIT, _CLOSE = f"\ue000{secrets.token_hex(4)} ", "\ue001", "\ue002"
_TEXT = rf"{_SPLIT}([^<>{_SPLIT}{_CLOSE}]*){_CLOSE}"
_MARKED = re.compile(rf"{_OPEN}([a-z]+ (?:up|down|near)(?: bare)?) (-?[0-9.]+(?:e[+-]?[0-9]+)?){_TEXT}")
_ANY_MARKED = re.compile(rf"{_OPEN}[^<>{_SPLIT}]*{_TEXT}")
#: Where no element of ours may stand besides tags: in a drawing and in the title.
_CLOSED = re.compile(r"<(svg|title)\b.*?</\1>", re.DOTALL)


def number(text: str, value: float, dimension: str, rounding: str, *, bare: bool) -> str:
    """``text``, which says ``value`` (SI), marked; ``bare`` when it has no unit."""
    return f"{_OPEN}{dimension} {rounding}{' bare' if bare else ''} {value!r}{_SPLIT}{text}{_CLOSE}"


def elements(page: str) -> str:
    """A page with its marked numbers as ``data`` elements, whose value is SI."""
    page = _CLOSED.sub(lambda m: _ANY_MARKED.sub(r"\1", m[0]) if _OPEN in m[0] else m[0], page)
    return _ANY_MARKED.sub(r"\1", _MARKED.sub(_element, page))


def _element(marked: re.Match[str]) -> str:
    how, value, text = marked.groups()
    before = marked.string
    in_tag = before.rfind("<", 0, marked.start()) > before.rfind(">", 0, marked.start())
    return text if in_tag else f'<data value="{value}" data-as="{how}">{text}</data>'
