"""The schemas' keywords of our own: quantities, days, fillings, limits by use, and mappings that take one of several forms.

Each is a function of the keyword's value and what stands in the file; it gives what was found, what was expected and the cure
of a mistake. ``validate`` asks what is wrong, ``gate`` only whether anything is.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterator
from typing import Any

from rigmargin.spec import schema, units
from rigmargin.spec.problem import shown
from rigmargin.spec.schema import Schema

Wrong = tuple[str, str, str]  # found, expected, cure
DATE_WORDS = ("a day as year-month-day", "write for example 2026-05-02")
FILLED_WORDS = ("how full the tank is, from empty to full", "write full, empty, 1/3, 40 % or 20 gal")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}\Z")


def _quantity(dimension: str, text: str) -> Wrong | None:
    return None if units.read(text, dimension) else _explained(text, dimension)


def _any_quantity(_: bool, text: str) -> Wrong | None:
    return None if units.read(text) else _explained(text)


def _explained(text: str, dimension: str | None = None) -> Wrong:
    wrong = units.explain(text, dimension)
    return wrong.found, wrong.expected, wrong.cure


def _date(_: bool, text: str) -> Wrong | None:
    try:
        datetime.date.fromisoformat(text if _DAY.match(text) else "")
    except ValueError:
        return shown(text), *DATE_WORDS
    return None


def _filled(_: bool, text: str) -> Wrong | None:
    return (shown(text), *FILLED_WORDS) if schema.fill(text) is None else None


def _forms(forms: dict[str, dict[str, list[str]]], instance: dict[str, Any], node: Schema) -> Iterator[Wrong]:
    """A mapping that takes exactly one of several forms: each has a word, and the words that must or may stand with it."""
    if not set(instance) <= set(node["properties"]):
        return
    leads = [key for key in instance if key in forms]
    if len(leads) != 1:
        found = " and ".join(map(shown, leads)) or "none of these words"
        cure = "keep one of them, and put the others under all or any" if "all" in forms else "keep one of them"
        yield found, f"exactly one of {', '.join(forms)}", cure if leads else "choose one of these"
        return
    form = forms[leads[0]]
    for key in form.get("needs", ()):
        if key not in instance and key not in node.get("required", ()):
            cure = f"add {shown(key + ': …')}; {lower(node['properties'][key]['description'].partition('. ')[2].rstrip('.'))}"
            yield f"{shown(leads[0])} without {shown(key)}", f"{leads[0]} with {key}", cure
    for key in instance:
        if key != leads[0] and key not in form.get("needs", ()) and key not in form.get("may", ()):
            yield f"{shown(key)} beside {shown(leads[0])}", f"{leads[0]} without it", "delete one of the two"


def _by_use(_: bool, instance: dict[str, Any], node: Schema) -> Iterator[Wrong]:
    rows = [key for key in instance if key in schema.ROWS]
    about_value = [key for key in instance if key in schema.ABOUT]
    one = "one figure, or one for each use"
    if rows and "value" in instance:
        found = f"both a value and the row {shown(rows[0])}"
        yield found, one, "keep the rows, or keep the value and delete the rows"
    elif rows and about_value:
        cure = "put it inside each row: {value: …, source: …}"
        yield f"{shown(about_value[0])} beside the rows", "rows, each with its own source", cure
    elif not rows and "value" not in instance and instance:
        yield "no figure", one, "add value: … or a row such as braked: …"


def spells_itself(node: Schema) -> bool:
    """Whether a text's ``pattern`` is for editors only: quantities and days say in detail what is wrong with them."""
    return "x-dimension" in node or "x-date" in node


def lower(text: str) -> str:
    """``text`` to stand inside a sentence; a word in capitals stays as it is."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


#: Those that speak of a text: by the keyword's value and the text, what is wrong.
OF_TEXTS: dict[str, Callable[[Any, str], Wrong | None]] = {
    "x-dimension": _quantity,
    "x-quantity": _any_quantity,
    "x-date": _date,
    "x-filled": _filled,
}
#: Those that speak of a mapping: by the keyword's value, the mapping and the schema around the keyword, all that is wrong.
OF_MAPPINGS: dict[str, Callable[[Any, dict[str, Any], Schema], Iterator[Wrong]]] = {
    "x-by-use": _by_use,
    "x-forms": _forms,
}
