"""Every figure and word a rig file states, in SI, with its source, its uncertainty and its place.

This is where "a number carries its origin" begins. What follows from the figures is the business of ``loads``.
"""

from __future__ import annotations

import csv
import importlib.resources
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import PurePath
from typing import Any

from rigmargin.spec import schema, units
from rigmargin.spec.document import Document, Key, dotted
from rigmargin.spec.problem import Problem, shown
from rigmargin.spec.settings import Figure

#: A mass such as ``1.250 kg``: one and a quarter, or in some countries one thousand two hundred and fifty.
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3} (?:kg|lb)\Z")


#: Sources whose limits are exact and whose masses of things are not.
PRINTED = ("certification_label", "placard", "component_label", "manual")

#: A height or a gap read by tape: its doubt is a step of the tape, however large the height.
TAPE = "height_by_tape"
#: A figure of a scale, whose step is not stated.
SCALE = "scale_ticket"
#: What is known to a step, and not to a share.
STEPS = (SCALE, TAPE)


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
    file: str = ""  # the other file it stands in; empty for the rig's own

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


def relative_sigma(source: str, settled: Mapping[str, Figure], *, load: bool = False) -> float:
    """Standard uncertainty of a figure from ``source`` as a share of the figure, by what is ``settled`` or else by the stated
    conventions; 0 if neither says.

    A printed limit is what it says; a printed mass of a ``load`` (an empty vehicle, a part) speaks of the pattern and not of
    this one.
    """
    name = "printed_load" if load and source in PRINTED else source
    if name in settled and name not in STEPS:
        return settled[name].si / 2
    return float(conventions().get(name, {}).get("plus_or_minus_percent") or 0) / 100 / 2


def step(source: str, settled: Mapping[str, Figure]) -> float:
    """The step in kg or m to which a figure of one of STEPS is rounded, where no step is stated with it."""
    return settled[source].si if source in settled else units.parse(conventions()[source]["increment"]).si


def figures(document: Document) -> tuple[dict[str, Stated], list[Problem]]:
    """Every stated figure and word by path, and the figures that no such vehicle can have.

    ``document`` has canonical names. What breaks the schema is passed over: ``validate.check`` has said so already.
    """
    stated: dict[str, Stated] = {}
    problems: list[Problem] = []
    for path, value, node, group in _leaves(document.data, schema.rig(), (), {}):
        try:
            figure = _figure(document, path, value, node, group)
        except units.NotAQuantity:
            continue
        if _is_reading(path, figure) and not _own_uncertainty(value):
            figure = replace(figure, sigma=_reading_sigma(document, path[1]), source=figure.source or "scale_ticket")
        problems += _doubtful(document, path, value, figure, node)
        stated[figure.path] = figure
    return stated, problems


def _leaves(
    data: Any, node: schema.Schema, path: Key, group: dict[str, str]
) -> Iterator[tuple[Key, Any, schema.Schema, dict[str, str]]]:
    """Every leaf with its schema and the source that a surrounding mapping states for it."""
    if "x-dimension" in node and (isinstance(data, str) or (isinstance(data, dict) and isinstance(data.get("value"), str))):
        yield path, data, node, group
        if isinstance(data, dict) and "speaks_of" in data:
            yield (*path, "speaks_of"), data["speaks_of"], {}, group
    elif isinstance(data, dict):
        about = _about(data) or group
        for key, value in data.items():
            child = node.get("properties", {}).get(key) or node.get("additionalProperties")
            if not isinstance(child, dict) or "x-patch" in child:
                continue  # an option's change is a patch, not a statement about this rig
            if key in schema.ROWS and "x-range" in node:
                title = f"{node['title']}, {child['title'].lower()}"
                child = {**child, "x-range": node["x-range"], "title": title}  # what no limit can be, no row of it can be
            yield from _leaves(value, child, (*path, key), about)
    elif isinstance(data, list) and isinstance(node.get("items"), dict) and node["items"].get("type") != "string":
        for i, value in enumerate(data):
            yield from _leaves(value, node["items"], (*path, i), group)
    else:
        yield path, data, node, group


def _about(data: dict[str, Any]) -> dict[str, str]:
    """What a mapping says of where its figures come from; a certificate goes before the maker's own label."""
    paper = data.get("certificate")
    if isinstance(paper, dict):
        ref = f"{paper.get('kind')} {paper.get('number')}, {paper.get('authority')}"
        return {"source": "certificate", "ref": ref, "read_on": str(paper.get("date"))}
    return {key: data[key] for key in ("source", "ref", "read_on") if isinstance(data.get(key), str)}


def _figure(document: Document, path: Key, value: Any, node: schema.Schema, group: dict[str, str]) -> Stated:
    own = value if isinstance(value, dict) else {}
    line = document.place((*path, "value") if own else path)[0]
    other = document.file_of(path)
    file = "" if other == document.file else PurePath(other).name
    name = dotted(path)
    if "x-dimension" not in node:
        plain = tuple(map(str, value)) if isinstance(value, list) else value
        return Stated(name, plain, line, file=file)
    about = {**group, **_about(own)}
    quantity = units.parse(_text(value), node["x-dimension"])
    source = about.get("source", "")
    if isinstance(own.get("plus_or_minus"), str):
        sigma = abs(units.parse(own["plus_or_minus"], node["x-dimension"]).si) / 2
    elif (source or node.get("x-unsourced")) == SCALE:
        sigma = rounding_sigma(step(SCALE, document.settings.evidence))
    elif node.get("x-unsourced") == TAPE and source in ("", "measured"):
        sigma = rounding_sigma(step(TAPE, document.settings.evidence))
    else:
        thing = "x-unsourced" in node and quantity.dimension in ("mass", "volume")  # limits and lengths are none
        settled = document.settings.evidence
        sigma = abs(quantity.si) * relative_sigma(source or node.get("x-unsourced", ""), settled, load=thing)
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
        file,
    )


#: Masses of a ticket that are about its scale and are no readings.
ABOUT_SCALE = ("increment", "repeatability")


def _is_reading(path: Key, figure: Stated) -> bool:
    return path[0] == "weighings" and figure.dimension == "mass" and path[-1] not in ABOUT_SCALE


def _reading_sigma(document: Document, ticket: str | int) -> float:
    """Standard uncertainty in kg of one reading: rounding, and what the ticket says of repeatability (coverage factor 2)."""
    return math.hypot(
        rounding_sigma(_about_scale(document, ticket, "increment")), _about_scale(document, ticket, "repeatability") / 2
    )


def _about_scale(document: Document, ticket: str | int, field: str) -> float:
    """A figure about the ticket's scale in kg; 0 when it is not given, or has a problem of its own."""
    try:
        return units.parse(_text(document.data["weighings"][ticket][field]), "mass").si
    except (KeyError, TypeError, units.NotAQuantity):
        return 0.0


def _text(value: Any) -> str:
    return str(value["value"] if isinstance(value, dict) else value)


def _own_uncertainty(value: Any) -> bool:
    return isinstance(value, dict) and "plus_or_minus" in value


def rounding_sigma(increment: float) -> float:
    """Standard uncertainty of a reading rounded to ``increment`` (same unit): a rectangle's, q/sqrt(12). JCGM 100, F.2.2.1."""
    return increment / math.sqrt(12)


def _doubtful(document: Document, path: Key, value: Any, figure: Stated, node: schema.Schema) -> Iterator[Problem]:
    """A figure that reads well and cannot be meant."""
    if not figure.dimension:
        return
    place = (*path, "value") if isinstance(value, dict) else path
    yield from implausible(document, place, _text(value), node)
    if isinstance(value, dict) and isinstance(value.get("plus_or_minus"), str):
        spread = units.parse(value["plus_or_minus"], figure.dimension)
        if spread.si < 0:
            cure = "write it without the minus; it counts both ways"
            found = f"the negative {shown(value['plus_or_minus'])}"
            yield document.problem((*path, "plus_or_minus"), found, f"{units.named(figure.dimension)} of zero or more", cure)


def implausible(document: Document, place: Key, text: str, node: schema.Schema) -> Iterator[Problem]:
    """The problem with the quantity ``text`` when it is outside what the schema says such a figure can be."""
    quantity = units.parse(text, node["x-dimension"])
    if quantity.si < 0 and not node.get("x-signed"):
        found, expected = f"the negative {shown(text)}", f"{units.named(quantity.dimension)} of zero or more"
        yield document.problem(place, found, expected, "delete the minus; leave out what is not carried")
        return
    if "x-range" not in node:
        return
    low, high = (units.parse(end, quantity.dimension).si for end in node["x-range"])
    slack = 1e-9 * max(abs(low), abs(high))  # a figure at the very end may differ by its conversion's rounding

    def fits(si: float) -> bool:
        return low - slack <= si <= high + slack

    whole = f"{text.replace('.', '', 1)}" if _THOUSANDS.match(text) else ""
    digits = 0 if high - low > units.to_si(9, quantity.unit) else 2
    ends = " to ".join(f"{units.from_si(end, quantity.unit):.{digits}f}" for end in (low, high))
    expected = f"{ends} {quantity.unit} ({node['title']})"
    meant = bool(whole) and fits(units.parse(whole).si)
    if not fits(quantity.si):
        cure = f"write {whole} if the point marks thousands" if meant else "check the digits and the unit"
        yield document.problem(place, shown(text), expected, cure)
    elif meant:
        precise = text.replace(" ", "0 ", 1)
        found = f"{shown(text)}, which some read as {whole}"
        cure = f"write {whole} if the point marks thousands, {precise} if it is a decimal point"
        yield document.problem(place, found, "a number that can be read in one way", cure)
