"""A condition as a regulation file writes it, read into the types of ``condition``, or told with its place and a cure."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from rigmargin.spec import schema, units
from rigmargin.spec.condition import (
    COUNTED,
    MASSES,
    OPERATORS,
    Amount,
    Compare,
    Condition,
    Every,
    Fact,
    Figure,
    Made,
    Not,
    Row,
    Share,
    Word,
    kind,
    mass,
    parts,
    said,
)
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import Problem, shown


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
