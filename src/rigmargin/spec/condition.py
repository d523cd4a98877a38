"""Conditions and amounts of regulation files as typed, frozen data: a closed list, and nothing that is run.

``Reader`` makes them of a document that may still break the schema, and notes what the schema cannot see: paths that no rig
file has, words that a field does not take, amounts of unlike kinds, tables and columns that are not there.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from rigmargin.spec import schema, units
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import Problem, shown

OPERATORS = ("at_most", "less_than", "at_least", "more_than")
UPPER = ("at_most", "less_than")  # the operators by which an amount is held from above
STRICT = ("less_than", "more_than")  # the operators that refuse equality
#: The masses a condition may name, by whose and on what basis: the fact it is, and its words.
MASSES = {
    ("trailer", "actual"): ("trailer.gross", "the loaded trailer's mass"),
    ("trailer", "rated"): ("trailer.max_mass", "the trailer's maximum mass"),
    ("trailer", "empty"): ("trailer.empty", "the empty trailer's mass"),
    ("tow_vehicle", "actual"): ("tow_vehicle.gross", "the loaded tow vehicle's mass"),
    ("tow_vehicle", "rated"): ("tow_vehicle.max_mass", "the tow vehicle's maximum mass"),
    ("tow_vehicle", "empty"): ("tow_vehicle.empty", "the empty tow vehicle's mass"),
    ("combination", "actual"): ("combination.gross", "the loaded combination's mass"),
    ("combination", "rated"): ("tow_vehicle.max_combination_mass", "the maximum combination mass"),
    ("trailer_axles", "actual"): ("trailer.axle_group", "the load on the trailer's axles"),
    ("trailer_axles", "rated"): ("trailer.axle_ratings", "the ratings of the trailer's axles together"),
    ("front_axle", "actual"): ("tow_vehicle.axles.front", "the load on the front axle"),
    ("rear_axle", "actual"): ("tow_vehicle.axles.rear", "the load on the rear axle"),
    ("coupling", "actual"): ("coupling.vertical", "the load on the coupling"),
    ("coupling", "rated"): ("tow_vehicle.max_coupling_load", "the maximum load on the coupling"),
}
ALONE = ("tow_vehicle.gross@alone", "the loaded tow vehicle's mass without the trailer")
#: Numbers a condition may name by fact that are no field of their own, made of others: words and dimension.
COUNTED = {
    "trailer.axle_count": ("the number of the trailer's axles", ""),
    "trailer.oldest_tyre": ("the age in years of the trailer's oldest tyre", ""),
    "trailer.slowest_tyre": ("the speed that all the trailer's tyres are made for", "speed"),
}
_OWNERS = {"trailer": "the trailer's ", "tow_vehicle": "the tow vehicle's ", "coupling": "the coupling's "}


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
    return f"{_OWNERS[steps[0]] if first else 'the '}{', '.join(titles)}"


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


@dataclass(slots=True)
class Reader:
    """Reads the conditions of one document and keeps what is wrong with them."""

    document: Document
    table: Callable[[str], dict[str, list[str]] | None]  # a table's columns by heading; None when there is none of that name
    problems: list[Problem] = field(default_factory=list)

    def _wrong(self, path: Key, found: str, expected: str, cure: str, *, at_key: bool = False) -> None:
        self.problems.append(self.document.problem(path, found, expected, cure, at_key=at_key))

    def condition(self, data: Any, path: Key) -> Condition | None:
        """The condition at ``path``; None when it cannot be made out, which the schema or a problem of ours says."""
        if not isinstance(data, dict) or len(data) != 1:
            return None
        ((name, value),) = data.items()
        here = (*path, name)
        if name in ("all", "any") and isinstance(value, list):
            items = [self.condition(each, (*here, i)) for i, each in enumerate(value)]
            made = tuple(item for item in items if item is not None)
            return Every(made, name == "any") if made and len(made) == len(items) else None
        if name == "not":
            item = self.condition(value, here)
            return Not(item) if item else None
        if name == "fitted":
            return Word(value, ("yes",), said(value)) if self.field(value, here, "yes or no") else None
        if name in ("word", "has") and isinstance(value, dict):
            return self._word(value, here, among=name == "has")
        if name == "compare" and isinstance(value, dict):
            return self._compare(value, here)
        return None

    def _word(self, data: dict[str, Any], path: Key, *, among: bool) -> Condition | None:
        of, words = data.get("of"), data.get("any" if among else "is")
        node = self.field(of, (*path, "of"), "a list of words" if among else "a word")
        if node is None or not isinstance(of, str) or not isinstance(words, list):
            return None
        allowed = (node.get("items", {}) if among else node).get("enum")
        for i, word in enumerate(words):
            if allowed and isinstance(word, str) and word not in allowed:
                near = next(iter(difflib.get_close_matches(word, allowed, n=1, cutoff=0.6)), None)
                cure = f"write {near}, if that is meant" if near else "choose one of these"
                self._wrong((*path, "any" if among else "is", i), shown(word), f"one of {', '.join(allowed)}", cure)
        return Word(of, tuple(map(str, words)), said(of), among)

    def _compare(self, data: dict[str, Any], path: Key) -> Condition | None:
        operators = [key for key in data if key in OPERATORS]
        if len(operators) != 1 or "this" not in data:
            return None
        operator = operators[0]
        this, other = self.amount(data["this"], (*path, "this")), self.amount(data[operator], (*path, operator))
        if this is None or other is None:
            return None
        for key, side, needed in (("this", this, other.dimension), (operator, other, this.dimension)):
            if isinstance(side, Figure) and not side.dimension and needed:
                wrong = units.explain(data[key], needed)
                self._wrong((*path, key), wrong.found, wrong.expected, wrong.cure.replace("label", "law"))
                return None
        if this.dimension != other.dimension:
            found = f"{_named(other.dimension)} against {_named(this.dimension)}"
            self._wrong((*path, operator), found, f"{_named(this.dimension)}, as on the other side", "correct one of the two")
            return None
        if not any(isinstance(part, Fact) for side in (this, other) for part in parts(side)):
            cure = "use mass: or fact: on one side"
            self._wrong(path, "two fixed amounts", "a figure of the rig on one side at least", cure, at_key=True)
            return None
        return Compare(this, operator, other, path)

    def amount(self, data: Any, path: Key) -> Amount | None:
        """The amount at ``path``; None when it cannot be made out."""
        if isinstance(data, str):
            return _figure(data)
        if isinstance(data, int) and not isinstance(data, bool):
            return Figure(float(data), "", "")
        if not isinstance(data, dict):
            return None
        if "mass" in data:
            return self._mass(data, path)
        if isinstance(data.get("fact"), str) and data["fact"] in COUNTED:
            words, dimension = COUNTED[data["fact"]]
            return Fact(data["fact"], dimension, words, data["fact"])
        if "fact" in data:
            node = self.field(data["fact"], (*path, "fact"), "a number")
            dimension = str((node or {}).get("x-dimension", ""))
            return Fact(data["fact"], dimension, said(data["fact"]), data["fact"]) if node else None
        if "share" in data:
            share, of = _figure(data["share"]), self.amount(data.get("of"), (*path, "of"))
            return Share(share.si, of, of.dimension) if share and of and share.dimension == "ratio" else None
        how = next((key for key in ("least", "greatest", "sum", "difference") if isinstance(data.get(key), list)), None)
        if how:
            return self._made(how, data[how], (*path, how))
        return self._row(data["row"], (*path, "row")) if isinstance(data.get("row"), dict) else None

    def _mass(self, data: dict[str, Any], path: Key) -> Amount | None:
        whose, basis, alone = str(data["mass"]), str(data.get("basis")), data.get("alone") == "yes"
        found = mass(whose, basis, alone)
        if found is None and any(whose == known for known, _ in MASSES) and basis in ("actual", "rated", "empty"):
            if alone:
                text, expected, cure = "alone", "mass: tow_vehicle with basis: actual", "delete alone: yes"
                self._wrong((*path, "alone"), f"{shown(text)} with {whose}, {basis}", expected, cure, at_key=True)
            else:
                bases = " or ".join(b for known, b in MASSES if known == whose)
                cure = "choose one of these, or make the mass with sum"
                self._wrong((*path, "basis"), f"{shown(basis)} with mass: {whose}", bases, cure)
        return found

    def _made(self, how: str, data: list[Any], path: Key) -> Amount | None:
        items = [self.amount(each, (*path, i)) for i, each in enumerate(data)]
        made = tuple(item for item in items if item is not None)
        if not made or len(made) != len(items):
            return None
        for i, item in enumerate(made):
            if item.dimension != made[0].dimension:
                found = f"{_named(item.dimension)} beside {_named(made[0].dimension)}"
                self._wrong((*path, i), found, f"{_named(made[0].dimension)}, as the first", "correct one of the two")
                return None
        return Made(how, made, made[0].dimension)

    def _row(self, data: dict[str, Any], path: Key) -> Amount | None:
        by, name, column = self.amount(data.get("by"), (*path, "by")), data.get("table"), data.get("column")
        if not isinstance(name, str) or not isinstance(column, str):
            return None
        table = self.table(name)
        if table is None:
            found, expected = f"no table {shown(name)}", f"the file tables/{name}.csv beside this one"
            self._wrong((*path, "table"), found, expected, "write the table, or correct the name")
            return None
        if column not in table or "up_to" not in table:
            wanted = column if column not in table else "up_to"
            headings = ", ".join(table) or "no column"
            self._wrong((*path, "column"), f"no column {shown(wanted)} in {name}.csv", f"one of {headings}", "correct the name")
            return None
        ends, figures = [_cell(text) for text in table["up_to"]], [_cell(text) for text in table[column]]
        pairs = [(end, figure) for end, figure in zip(ends, figures, strict=True) if end and figure]
        kinds = {(end.dimension, figure.dimension) for end, figure in pairs}
        if len(pairs) != len(ends) or len(kinds) != 1:
            found = f"cells of {name}.csv that are no amounts of one kind"
            self._wrong((*path, "table"), found, "quantities in up_to and in the column", "correct the table")
            return None
        ((goes_by, dimension),) = kinds
        if by is not None and by.dimension != goes_by:
            found = f"{_named(by.dimension)}, while the table goes by {_named(goes_by)}"
            self._wrong((*path, "by"), found, _named(goes_by), "correct one of the two")
            return None
        rows = tuple((end.si, figure.si) for end, figure in pairs)
        return Row(name, column, by, rows, dimension) if by else None

    def field(self, name: Any, path: Key, wanted: str) -> schema.Schema | None:
        """The schema of the rig file's field of that name, if it holds what is wanted."""
        if not isinstance(name, str):
            return None
        node = schema.catalogue().get(name)
        if node is None or "*" in name or "[" in name:
            near = _near_field(name)
            cure = f"write {near}, if that is meant" if near else "look it up in the list of the rig file's fields"
            self._wrong(path, shown(name), "the path of a field of the rig file", cure)
            return None
        holds = kind(node)
        number = "x-dimension" in node or holds == "a count"
        if (number if wanted == "a number" else holds == wanted) or (wanted == "a word" and holds == "yes or no"):
            return node
        uses = {"yes or no": "fitted", "a word": "word", "a list of words": "has"}
        word = uses.get(holds, "compare" if number else "")
        cure = f"use {word} for it, or another field" if word else "use another field"
        self._wrong(path, f"{shown(name)}, which holds {holds}", f"a field that holds {wanted}", cure)
        return None


def _named(dimension: str) -> str:
    return units.named(dimension) if dimension else "a count"


def _figure(text: Any) -> Figure | None:
    try:
        quantity = units.parse(text) if isinstance(text, str) else None
    except units.NotAQuantity:
        return None
    return Figure(quantity.si, quantity.dimension, quantity.unit) if quantity else None


def _cell(text: str) -> Figure | None:
    return Figure(float(text), "", "") if text.isdecimal() else _figure(text)


def _near_field(name: str) -> str | None:
    """The field that a writer of ``name`` most likely means: by its label word, then by its spelling."""
    parent, _, last = name.rpartition(".")
    table = schema.synonym_table(schema.at(tuple(parent.split("."))) or {}) if parent else schema.synonym_table(schema.rig())
    if last in table:
        return f"{parent}.{table[last]}" if parent else table[last]
    plain = [path for path in schema.catalogue() if "*" not in path and "[" not in path]
    same = [path for path in plain if path.rpartition(".")[2] == last]
    return next(iter(difflib.get_close_matches(name, plain, n=1, cutoff=0.8)), same[0] if len(same) == 1 else None)
