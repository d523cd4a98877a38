"""Every figure and word a rig file states, in SI, with its source, its uncertainty and its place.

This is where "a number carries its origin" begins. What follows from the figures is the business of ``loads``.
"""

from __future__ import annotations

import csv
import importlib.resources
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from rigmargin.spec import schema, units
from rigmargin.spec.document import Document, Key, dotted
from rigmargin.spec.problem import Problem


@dataclass(frozen=True, slots=True)
class Stated:
    """One figure or word as the file states it."""

    path: str  # such as "tow_vehicle.axles.rear.max_load"
    value: float | str | tuple[str, ...]  # SI for a quantity, plain for a count; the text for a word; texts for a list
    line: int  # where the value stands
    dimension: str = ""  # a key of units.UNITS; empty for words and counts
    unit: str = ""  # as written
    sigma: float = 0.0  # one standard uncertainty, SI
    source: str = ""  # as stated; empty when the file does not say
    ref: str = ""  # as stated
    read_on: str = ""  # as stated

    @property
    def number(self) -> float:
        """The value of a quantity or count."""
        assert isinstance(self.value, (int, float))
        return float(self.value)

    @property
    def word(self) -> str:
        """The value of a word."""
        return str(self.value)


@cache
def conventions() -> dict[str, dict[str, str]]:
    """The stated conventions on how well a source is known, by source: columns of ``loads/evidence.csv``."""
    text = importlib.resources.files("rigmargin.loads").joinpath("evidence.csv").read_text("utf-8")
    return {row["source"]: row for row in csv.DictReader(text.splitlines())}


def relative_sigma(source: str) -> float:
    """Standard uncertainty of a figure from ``source`` as a share of the figure, by the stated conventions; 0 if none."""
    return float(conventions().get(source, {}).get("plus_or_minus_percent") or 0) / 100 / 2


def figures(document: Document) -> tuple[dict[str, Stated], list[Problem]]:
    """Every stated figure and word by path, and the figures that no such vehicle can have.

    ``document`` has canonical names. What breaks the schema is passed over: ``validate.check`` has said so already.
    """
    stated: dict[str, Stated] = {}
    problems: list[Problem] = []
    for path, value, node, group in _leaves(document.data, schema.resolve(schema.load()), (), {}):
        try:
            figure = _figure(document, path, value, node, group)
        except units.NotAQuantity:
            continue
        if path[0] == "weighings" and figure.dimension and path[-1] != "increment" and not _own_uncertainty(value):
            figure = _reading(figure, _increment(document, path[1]))
        problem = _implausible(document, path, figure, node)
        if problem:
            problems.append(problem)
        stated[figure.path] = figure
    return stated, problems


def _leaves(
    data: Any, node: schema.Schema, path: Key, group: dict[str, Any]
) -> Iterator[tuple[Key, Any, schema.Schema, dict[str, Any]]]:
    """Every leaf with its schema and the source that a surrounding mapping states for it."""
    if "x-dimension" in node and (isinstance(data, str) or (isinstance(data, dict) and isinstance(data.get("value"), str))):
        yield path, data, node, group
        if isinstance(data, dict) and "speaks_of" in data:
            yield (*path, "speaks_of"), data["speaks_of"], {}, group
    elif isinstance(data, dict):
        about = {key: data[key] for key in ("source", "ref", "read_on") if isinstance(data.get(key), str)} or group
        for key, value in data.items():
            child = node.get("properties", {}).get(key) or node.get("additionalProperties")
            if key == "change" or not isinstance(child, dict):
                continue  # an option's change is a patch, not a statement about this rig
            yield from _leaves(value, schema.resolve(child), (*path, key), about)
    elif isinstance(data, list) and isinstance(node.get("items"), dict) and node["items"].get("type") != "string":
        for i, value in enumerate(data):
            yield from _leaves(value, schema.resolve(node["items"]), (*path, i), group)
    else:
        yield path, data, node, group


def _figure(document: Document, path: Key, value: Any, node: schema.Schema, group: dict[str, Any]) -> Stated:
    own = value if isinstance(value, dict) else {}
    line = document.place((*path, "value") if own else path)[0]
    name = dotted(path)
    if "x-dimension" not in node:
        plain = tuple(map(str, value)) if isinstance(value, list) else value
        return Stated(name, plain, line)
    about = {**group, **own}
    quantity = units.parse(_text(value), node["x-dimension"])
    source = about.get("source", "")
    if isinstance(own.get("plus_or_minus"), str):
        sigma = units.parse(own["plus_or_minus"], node["x-dimension"]).si / 2
    else:
        sigma = abs(quantity.si) * relative_sigma(source or node.get("x-unsourced", ""))
        if (source or node.get("x-unsourced")) == "scale_ticket":
            sigma = scale_sigma()
    return Stated(
        name,
        quantity.si,
        line,
        quantity.dimension,
        quantity.unit,
        sigma,
        source,
        about.get("ref", ""),
        about.get("read_on", ""),
    )


def _increment(document: Document, ticket: str | int) -> float:
    """The ticket's scale increment in kg; the increment has its own problem when it is missing or wrong."""
    try:
        return units.parse(_text(document.data["weighings"][ticket]["increment"]), "mass").si
    except (KeyError, TypeError, units.NotAQuantity):
        return 0.0


def _text(value: Any) -> str:
    return str(value["value"] if isinstance(value, dict) else value)


def _own_uncertainty(value: Any) -> bool:
    return isinstance(value, dict) and "plus_or_minus" in value


def rounding_sigma(increment: float) -> float:
    """Standard uncertainty of a reading rounded to ``increment`` (same unit): a rectangle's, q/sqrt(12). JCGM 100, F.2.2.1."""
    return increment / math.sqrt(12)


def scale_sigma() -> float:
    """Standard uncertainty in kg of a scale figure whose scale's increment is not stated, by the stated convention."""
    return rounding_sigma(units.parse(conventions()["scale_ticket"]["increment"], "mass").si)


def _reading(figure: Stated, increment: float) -> Stated:
    return Stated(
        figure.path, figure.value, figure.line, figure.dimension, figure.unit, rounding_sigma(increment),
        figure.source or "scale_ticket", figure.ref, figure.read_on,
    )  # fmt: skip


def _implausible(document: Document, path: Key, figure: Stated, node: schema.Schema) -> Problem | None:
    if not figure.dimension:
        return None
    value = units.Quantity(figure.number, figure.dimension, figure.unit)
    if value.si < 0 and not node.get("x-signed"):
        return document.problem(
            path,
            f"the negative {figure.dimension} {_show(value)}",
            f"a {figure.dimension} of zero or more",
            "check the figure; what is taken away is not written as a negative load",
        )
    if "x-range" not in node:
        return None
    low, high = (units.parse(text, figure.dimension) for text in node["x-range"])
    if low.si * (1 - 1e-9) <= value.si <= high.si * (1 + 1e-9) or (low.si < 0 and low.si * (1 + 1e-9) <= value.si <= high.si):
        return None
    unit = figure.unit
    span = (
        f"{units.from_si(low.si, unit):.0f} to {units.from_si(high.si, unit):.0f} {unit}"
        if high.si - low.si > units.to_si(9, unit)
        else f"{units.from_si(low.si, unit):.1f} to {units.from_si(high.si, unit):.1f} {unit}"
    )
    title = str(node.get("title", path[-1])).lower()
    return document.problem(path, f"{_show(value)}", f"a figure of {span} for {title}", "check the digits and the unit")


def _show(quantity: units.Quantity) -> str:
    return f"{units.from_si(quantity.si, quantity.unit):g} {quantity.unit}"
