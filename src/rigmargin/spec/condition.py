"""Conditions and amounts of regulation files as typed, frozen data: a closed list, and nothing that is run.

``Reader`` makes them of a document that may still break the schema, and notes what the schema cannot see: paths that no rig
file has, words that a field does not take, amounts of unlike kinds, tables and columns that are not there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TypeAlias

from rigmargin.spec import schema, units
from rigmargin.spec.document import Key

OPERATORS = ("at_most", "less_than", "at_least", "more_than")
UPPER = ("at_most", "less_than")  # the operators by which an amount is held from above
STRICT = ("less_than", "more_than")  # the operators that refuse equality
#: The masses a condition may name, by whose and on what basis: the fact it is, and its words.
MASSES = {
    ("trailer", "actual"): ("trailer.gross", "the loaded trailer's mass"),
    ("trailer", "rated"): ("trailer.max_mass", "the trailer's {word:trailer_max_mass}"),
    ("trailer", "empty"): ("trailer.empty", "the empty trailer's mass"),
    ("tow_vehicle", "actual"): ("tow_vehicle.gross", "the loaded {word:tow_vehicle}'s mass"),
    ("tow_vehicle", "rated"): ("tow_vehicle.max_mass", "the {word:tow_vehicle}'s {word:tow_max_mass}"),
    ("tow_vehicle", "empty"): ("tow_vehicle.empty", "the empty {word:tow_vehicle}'s mass"),
    ("combination", "actual"): ("combination.gross", "the loaded combination's mass"),
    ("combination", "rated"): ("tow_vehicle.max_combination_mass", "the {word:max_combination_mass}"),
    ("trailer_axles", "actual"): ("trailer.axle_group", "the load on the trailer's axles"),
    ("trailer_axles", "rated"): ("trailer.axle_ratings", "the ratings of the trailer's axles together"),
    ("front_axle", "actual"): ("tow_vehicle.axles.front", "the load on the front axle"),
    ("rear_axle", "actual"): ("tow_vehicle.axles.rear", "the load on the rear axle"),
    ("coupling", "actual"): ("coupling.vertical", "the {word:coupling_load}"),
    ("coupling", "rated"): ("tow_vehicle.max_coupling_load", "the {word:max_coupling_load}"),
}
ALONE = ("tow_vehicle.gross@alone", "the loaded {word:tow_vehicle}'s mass without the trailer")
#: Numbers a condition may name by fact that are no field of their own, made of others: words and dimension.
COUNTED = {
    "trailer.axle_count": ("the number of the trailer's axles", ""),
    "trailer.oldest_tyre": ("the age in years of the trailer's oldest {word:tyre}", ""),
    "trailer.slowest_tyre": ("the speed that all the trailer's {words:tyre} are made for", "speed"),
}
_OWNERS = {"trailer": "the trailer's ", "tow_vehicle": "the {word:tow_vehicle}'s ", "coupling": "the coupling's "}


@dataclass(frozen=True, slots=True)
class Figure:
    """A fixed amount."""

    si: float
    dimension: str  # a key of units.UNITS; empty for a count
    unit: str  # as written; empty for a count


@dataclass(frozen=True, slots=True)
class Fact:
    """A number of the rig."""

    path: str
    dimension: str
    words: str  # plain words, such as "the trailer's length"
    given: str  # how a case names it


@dataclass(frozen=True, slots=True)
class Share:
    """A part of another amount."""

    part: float
    of: Amount
    dimension: str


@dataclass(frozen=True, slots=True)
class Made:
    """An amount made of others."""

    how: str  # "least", "greatest", "sum" or "difference"
    items: tuple[Amount, ...]
    dimension: str


@dataclass(frozen=True, slots=True)
class Row:
    """A figure of a table: that of the first row whose ``up_to`` is at least ``by``."""

    table: str
    column: str
    by: Amount
    rows: tuple[tuple[float, float], ...]  # up_to and figure, SI, in the table's order
    dimension: str


Amount: TypeAlias = Figure | Fact | Share | Made | Row


@dataclass(frozen=True, slots=True)
class Every:
    """All of these, or (with ``any``) one of them at least."""

    items: tuple[Condition, ...]
    any: bool = False


@dataclass(frozen=True, slots=True)
class Not:
    """The contrary."""

    item: Condition


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the rig file is one of some words; of a list (``among``), one of its words is."""

    path: str
    words: tuple[str, ...]
    said: str  # plain words for the field
    among: bool = False


@dataclass(frozen=True, slots=True)
class Dated:
    """A date of the rig file is in a span; either end may be empty."""

    path: str
    first: str  # ISO
    last: str  # ISO
    said: str


@dataclass(frozen=True, slots=True)
class Compare:
    """One amount held against another."""

    this: Amount
    operator: str  # one of OPERATORS
    other: Amount
    key: Key = field(default=(), compare=False)  # where it stands in the file


Condition: TypeAlias = Every | Not | Word | Dated | Compare


def parts(item: Condition | Amount) -> Iterator[Condition | Amount]:
    """A condition or amount and all that it is made of, parents first."""
    yield item
    below: tuple[Condition | Amount, ...] = ()
    if isinstance(item, (Every, Made)):
        below = item.items
    elif isinstance(item, Not):
        below = (item.item,)
    elif isinstance(item, Compare):
        below = (item.this, item.other)
    elif isinstance(item, Share):
        below = (item.of,)
    elif isinstance(item, Row):
        below = (item.by,)
    for each in below:
        yield from parts(each)


def said(path: str) -> str:
    """A field of the rig file in plain words, such as ``the trailer's length``."""
    steps = path.split(".")
    first = 1 if steps[0] in _OWNERS and len(steps) > 1 else 0
    nodes = [schema.catalogue().get(".".join(steps[: n + 1]), {}) for n in range(first, len(steps))]
    titles = [str(node.get("title", path)).lower() for node in nodes]
    owned = "".join(title + ("' " if title.endswith("s") else "'s ") for title in titles[:-1])
    return f"{_OWNERS[steps[0]] if first else 'the '}{owned}{titles[-1]}"


def mass(whose: str, basis: str, alone: bool = False) -> Fact | None:
    """The fact that a mass on a basis is; None when there is no such fact."""
    found = ALONE if alone and (whose, basis) == ("tow_vehicle", "actual") else None if alone else MASSES.get((whose, basis))
    return Fact(found[0], "mass", found[1], f"mass {whose} {basis}{' alone' if alone else ''}") if found else None


def kind(node: schema.Schema) -> str:
    """What a field of the rig file holds, in plain words with an article; the words that conditions ask for."""
    if "x-dimension" in node:
        return units.named(node["x-dimension"])
    if node.get("enum") == ["yes", "no"]:
        return "yes or no"
    if "x-date" in node:
        return "a date"
    types = {"integer": "a count", "array": "a list of words", "object": "fields of its own"}
    return types.get(str(node.get("type")), "a word" if "enum" in node else "free text")
