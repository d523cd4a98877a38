"""Every figure and word a rig file states, in SI, with its source, its uncertainty and its place.

This is where "a number carries its origin" begins. What follows from the figures is the business of ``loads``.
"""

from __future__ import annotations

import csv
import importlib.resources
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import PurePath
from typing import Any

from rigmargin.spec import fields, units
from rigmargin.spec.document import Document, Key
from rigmargin.spec.fields import Field
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
    return _conventional(name)


@lru_cache(maxsize=128)
def _conventional(name: str) -> float:
    return float(conventions().get(name, {}).get("plus_or_minus_percent") or 0) / 100 / 2


def step(source: str, settled: Mapping[str, Figure]) -> float:
    """The step in kg or m to which a figure of one of STEPS is rounded, where no step is stated with it."""
    return settled[source].si if source in settled else units.parse(conventions()[source]["increment"]).si


def figures(document: Document) -> tuple[dict[str, Stated], list[Problem]]:
    """Every stated figure and word by path, and the figures that no such vehicle can have.

    ``document`` has canonical names. What breaks the schema is passed over: ``validate.check`` has said so already.
    """
    walk = _Walk(document)
    walk.visit(document.data, fields.root(), (), "", {})
    return walk.stated, walk.problems


class _Walk:
    """A walk over a document's data and the schema side by side, and what it has come upon."""

    def __init__(self, document: Document) -> None:
        self.document, self.values = document, document.values
        self.stated: dict[str, Stated] = {}
        self.problems: list[Problem] = []
        self.doubts: dict[tuple[str, str, str], tuple[float, float]] = {}  # of each source, as ``_doubt`` takes and gives it

    def visit(self, data: Any, known: Field, path: Key, name: str, group: dict[str, str]) -> None:
        """What stands at ``path``, which is ``name`` in words; ``group`` is what the mapping around it says of its source."""
        kind = data.__class__
        if known.dimension and (kind is str or (kind is dict and isinstance(data.get("value"), str))):
            self._quantity(data, known, path, name, group)
            if kind is dict and "speaks_of" in data:
                self._plain(data["speaks_of"], (*path, "speaks_of"), f"{name}.speaks_of")
        elif kind is dict:
            about = _about(data) or group
            for key, value in data.items():
                child = known.inside[key]
                if child is not None and not child.patches:
                    self.visit(value, child, (*path, key), f"{name}.{key}" if name else key, about)
        elif kind is list and known.entries:
            for i, value in enumerate(data):
                self.visit(value, known.entries, (*path, i), f"{name}[{i}]", group)
        elif not known.dimension:
            self._plain(data, path, name)

    def _plain(self, value: Any, path: Key, name: str) -> None:
        """A word, a count or a list of words."""
        plain = tuple(map(str, value)) if isinstance(value, list) else value
        line = (self.values.get(path) or self.document.place(path))[0]
        self.stated[name] = Stated(name, plain, line, file=self._file(path) if self.document.files else "")

    def _quantity(self, value: Any, known: Field, path: Key, name: str, group: dict[str, str]) -> None:
        """A figure, plain or as a mapping that says where it comes from."""
        own = value if isinstance(value, dict) else None
        text: str = own["value"] if own else value
        place = (*path, "value") if own else path
        about = {**group, **said} if own and (said := _about(own)) else group
        spread = own.get("plus_or_minus") if own else None
        quantity = units.read(text, known.dimension)
        doubt = units.read(spread, known.dimension) if isinstance(spread, str) else None
        if quantity is None or (doubt is None and isinstance(spread, str)):
            return
        source = about.get("source", "")
        if path[0] == "weighings" and known.dimension == "mass" and path[-1] not in ABOUT_SCALE and spread is None:
            sigma, source = _reading_sigma(self.document, path[1]), source or "scale_ticket"
        elif doubt:
            sigma = abs(doubt.si) / 2
        else:
            absolute, relative = self._doubt(source, known.unsourced, known.dimension)
            sigma = absolute + abs(quantity.si) * relative
        low, high = known.span
        if quantity.si < 0 or not low <= quantity.si <= high or "." in text:
            self.problems += implausible(self.document, place, text, known)
        if doubt and doubt.si < 0:
            self.problems.append(_negative_doubt(self.document, path, str(spread), quantity.dimension))
        self.stated[name] = Stated(
            name,
            quantity.si,
            (self.values.get(place) or self.document.place(place))[0],
            quantity.dimension,
            quantity.unit,
            sigma,
            source,
            about.get("ref", ""),
            about.get("read_on", ""),
            self._file(path) if self.document.files else "",
        )

    def _doubt(self, source: str, unsourced: str, dimension: str) -> tuple[float, float]:
        asked = source, unsourced, dimension
        if asked not in self.doubts:
            self.doubts[asked] = _doubt(source, unsourced, dimension, self.document.settings.evidence)
        return self.doubts[asked]

    def _file(self, path: Key) -> str:
        """The name of the other file that a path stands in; empty for the rig's own."""
        other = self.document.file_of(path)
        return "" if other == self.document.file else PurePath(other).name


#: What a mapping can say of where its figures come from.
_SAID = frozenset({"source", "ref", "read_on"})


def _about(data: dict[str, Any]) -> dict[str, str]:
    """What a mapping says of where its figures come from; a certificate goes before the maker's own label."""
    if "certificate" in data and isinstance(data["certificate"], dict):
        paper = data["certificate"]
        ref = f"{paper.get('kind')} {paper.get('number')}, {paper.get('authority')}"
        return {"source": "certificate", "ref": ref, "read_on": str(paper.get("date"))}
    return {key: data[key] for key in _SAID.intersection(data) if isinstance(data[key], str)}


def _doubt(source: str, unsourced: str, dimension: str, settled: Mapping[str, Figure]) -> tuple[float, float]:
    """Standard uncertainty of a figure from ``source``, or from what is assumed of one whose file names none: in SI, and as a
    share of the figure; one of the two is zero."""
    if (source or unsourced) == SCALE:
        return rounding_sigma(step(SCALE, settled)), 0.0
    if unsourced == TAPE and source in ("", "measured"):
        return rounding_sigma(step(TAPE, settled)), 0.0
    thing = bool(unsourced) and dimension in ("mass", "volume")  # limits and lengths are none
    return 0.0, relative_sigma(source or unsourced, settled, load=thing)


#: Masses of a ticket that are about its scale and are no readings.
ABOUT_SCALE = ("increment", "repeatability")


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


def rounding_sigma(increment: float) -> float:
    """Standard uncertainty of a reading rounded to ``increment`` (same unit): a rectangle's, q/sqrt(12). JCGM 100, F.2.2.1."""
    return increment / math.sqrt(12)


def _negative_doubt(document: Document, path: Key, text: str, dimension: str) -> Problem:
    found, cure = f"the negative {shown(text)}", "write it without the minus; it counts both ways"
    return document.problem((*path, "plus_or_minus"), found, f"{units.named(dimension)} of zero or more", cure)


def _end(number: float, digits: int) -> str:
    """An end of a range; a small one that is not nothing does not look like nothing."""
    text = f"{number:.{digits}f}"
    return text if float(text) or not number else f"{number:.2g}"


def implausible(document: Document, place: Key, text: str, known: Field) -> Iterator[Problem]:
    """The problem with the quantity ``text`` when it reads well and is outside what the schema says such a figure can be."""
    quantity = units.parse(text, known.dimension)
    if quantity.si < 0 and not known.signed:
        found, expected = f"the negative {shown(text)}", f"{units.named(quantity.dimension)} of zero or more"
        yield document.problem(place, found, expected, "delete the minus; leave out what is not carried")
        return
    if "x-range" not in known.node:
        return
    low, high = (units.parse(end, quantity.dimension).si for end in known.node["x-range"])

    def fits(si: float) -> bool:
        return known.span[0] <= si <= known.span[1]

    whole = f"{text.replace('.', '', 1)}" if _THOUSANDS.match(text) else ""
    digits = 0 if high - low > units.to_si(9, quantity.unit) else 2
    ends = " to ".join(_end(units.from_si(end, quantity.unit), digits) for end in (low, high))
    expected = f"{ends} {quantity.unit} ({known.node['title']})"
    meant = bool(whole) and fits(units.parse(whole).si)
    if not fits(quantity.si):
        cure = f"write {whole} if the point marks thousands" if meant else "check the digits and the unit"
        yield document.problem(place, shown(text), expected, cure)
    elif meant:
        precise = text.replace(" ", "0 ", 1)
        found = f"{shown(text)}, which some read as {whole}"
        cure = f"write {whole} if the point marks thousands, {precise} if it is a decimal point"
        yield document.problem(place, found, "a number that can be read in one way", cure)
