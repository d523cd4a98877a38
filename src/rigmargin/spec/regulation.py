"""Regulation files as typed, frozen data: what the law of one place asks, read and checked, with every problem at once.

``load`` is the one way from a file to a Regulation. What a rule means for a rig is the business of ``judge.regulation``.
"""

from __future__ import annotations

import csv
import datetime
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from rigmargin.spec import condition, document, places, schema, units, validate
from rigmargin.spec.condition import Condition, Dated, Every, Fact, Word, said
from rigmargin.spec.condition_reader import Reader
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import FileProblems, Problem, shown

#: How the source of a rule was read. Only ``statute`` can fail a rig.
STATUSES = {
    "statute": "read in the law or its agency's own page",
    "second_hand": "read second-hand",
    "memory": "not read: from memory",
}
#: The words of ``applies_to`` and the fields they look at.
KINDS = {"trailer_kind": "trailer.kind", "coupling_kind": "coupling.kind", "tow_vehicle_kind": "tow_vehicle.kind"}


@dataclass(frozen=True, slots=True)
class Case:
    """Facts in, verdict out."""

    name: str
    given: Mapping[str, Any]  # as a rig file writes it, by path or "mass trailer actual"
    verdict: str
    meets: str  # "yes", "no", "unknown"; empty when it is not asked for
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Provision:
    """One rule of a regulation file."""

    name: str
    line: int
    title: str
    topic: str
    citation: str
    status: str  # a key of STATUSES
    read_on: str  # ISO; empty when the day of the copy is not known
    first: str  # ISO; the first day in force, or empty
    last: str  # ISO; the last day in force, or empty
    use: str  # "private", "commercial" or empty for both
    applies: Condition | None  # the kinds and dates of build it speaks of; None for all
    when: Condition | None  # it speaks of a rig only where this holds
    require: Condition
    asks: str
    why: str
    note: str
    conflict: str
    replaces: str
    cases: tuple[Case, ...]

    @property
    def speaks(self) -> Condition | None:
        """All that must hold for the rule to speak of a rig: dates, use, kinds, and its own ``when``."""
        found: list[Condition | None] = [
            Dated("date", self.first, self.last, said("date")) if self.first or self.last else None,
            Word("use", (self.use,), said("use")) if self.use else None,
            self.applies,
            self.when,
        ]
        known = tuple(each for each in found if each is not None)
        return None if not known else known[0] if len(known) == 1 else Every(known)

    @property
    def counts(self) -> bool:
        """Whether it can fail a rig: its source was read itself, and no other contradicts it."""
        return self.status == "statute" and not self.conflict

    @property
    def facts(self) -> Mapping[str, Fact | Word | Dated]:
        """Every fact of the rig it looks at, by the name a case gives it."""
        found: dict[str, Fact | Word | Dated] = {}
        for top in (self.speaks, self.require):
            for part in condition.parts(top) if top else ():
                if isinstance(part, Fact):
                    found[part.given] = part
                elif isinstance(part, (Word, Dated)):
                    found.setdefault(part.path, part)
        return found


@dataclass(frozen=True, slots=True)
class Regulation:
    """One regulation file."""

    file: str  # its own name
    place: str
    name: str  # of the place, in plain words
    authority: str
    note: str
    provisions: tuple[Provision, ...]


def load(file: str | Path | Traversable) -> Regulation:
    """Read a regulation file and the tables beside it. Raises FileProblems with everything that is wrong with it."""
    source = Path(file) if isinstance(file, str) else file
    try:
        read = document.decode(source.read_bytes(), source.name)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        problem = Problem(source.name, 0, 0, "", f"no readable file ({reason})", "a regulation file", "check the name")
        raise FileProblems([problem]) from None
    return build(read, source.parent if isinstance(source, Path) else getattr(source, "parent", None))


def build(read: Document, folder: Traversable | None = None) -> Regulation:
    """A Regulation from a document; its tables are in ``folder``/tables. Raises FileProblems."""
    reader = Reader(read, lambda name: _table(folder, name))
    problems = [*read.problems, *validate.check(read, schema.REGULATION)]
    entries = read.data.get("rules") if isinstance(read.data.get("rules"), dict) else {}
    made = [_provision(reader, name, entry) for name, entry in entries.items() if isinstance(entry, dict)]
    problems += [*_place(read), *reader.problems, *(p for name, entry in entries.items() for p in _defaults(read, name, entry))]
    provisions = tuple(each for each in made if each is not None)
    if not problems:
        problems += [problem for provision in provisions for problem in _cases(read, provision)]
    if problems:
        raise FileProblems({(p.line, p.column, p.path): p for p in reversed(problems)}.values())
    data = read.data
    return Regulation(read.file, data["place"], data["name"], data["authority"], _text(data.get("note")), provisions)


def _table(folder: Traversable | None, name: str) -> dict[str, list[str]] | None:
    """The columns of a table by heading; None when there is none of that name."""
    if folder is None or not re.fullmatch(r"[a-z0-9_-]+", name):
        return None
    try:
        text = folder.joinpath("tables").joinpath(f"{name}.csv").read_text("utf-8")
        reader = csv.DictReader(text.splitlines())
        rows = list(reader)
    except (OSError, UnicodeDecodeError, csv.Error):
        return None
    return {heading: [str(row[heading] or "").strip() for row in rows] for heading in reader.fieldnames or ()}


def _text(value: Any) -> str:
    return " ".join(value.split()) if isinstance(value, str) else ""


def _provision(reader: Reader, name: str, data: dict[str, Any]) -> Provision | None:
    """One rule; None when its requirement cannot be made out, which a problem says."""
    path: Key = ("rules", name)
    top = reader.document.data
    require = reader.condition(data.get("require"), (*path, "require"))
    when = reader.condition(data.get("when"), (*path, "when")) if "when" in data else None
    applies = _applies(reader, data.get("applies_to"), (*path, "applies_to"))
    first, last = _span(reader, data.get("in_force"), (*path, "in_force"))
    if require is None:
        return None
    texts = {key: _text(data.get(key)) for key in ("title", "topic", "citation", "asks", "why", "note", "conflict", "replaces")}
    return Provision(
        name=name,
        line=reader.document.key_place(path)[0],
        status=_text(data.get("status", top.get("status"))),
        read_on=_text(data.get("read_on", top.get("read_on"))),
        first=first,
        last=last,
        use=_text(data.get("use")),
        applies=applies,
        when=when,
        require=require,
        cases=tuple(_case(each, entry) for each, entry in _mapping(data.get("cases")).items() if isinstance(entry, dict)),
        **texts,
    )


def _mapping(data: Any) -> dict[str, Any]:
    return data if isinstance(data, dict) else {}


def _case(name: str, data: dict[str, Any]) -> Case:
    words = data.get("words")
    listed = tuple(map(str, words)) if isinstance(words, list) else ()
    return Case(name, _mapping(data.get("given")), _text(data.get("verdict")), _text(data.get("meets")), listed)


def _applies(reader: Reader, data: Any, path: Key) -> Condition | None:
    found: list[Condition] = []
    for key, field in KINDS.items():
        words = _mapping(data).get(key)
        if isinstance(words, list):
            found.append(Word(field, tuple(map(str, words)), said(field)))
    if "built" in _mapping(data):
        first, last = _span(reader, data["built"], (*path, "built"))
        found.append(Dated("trailer.built", first, last, said("trailer.built")))
    return None if not found else found[0] if len(found) == 1 else Every(tuple(found))


def _span(reader: Reader, data: Any, path: Key) -> tuple[str, str]:
    """Both ends of a span of days, either empty."""
    first, last = (_text(_mapping(data).get(end)) for end in ("from", "to"))
    if _day(first) and _day(last) and first > last:
        problem = reader.document.problem(
            (*path, "from"), f"{shown(first)}, after the last day {last}", "the earlier day as from", "exchange the two"
        )
        reader.problems.append(problem)
    return first, last


def _day(text: str) -> bool:
    try:
        return bool(datetime.date.fromisoformat(text))
    except ValueError:
        return False


def _place(read: Document) -> Iterator[Problem]:
    place = read.data.get("place")
    if not isinstance(place, str):
        return
    if not places.known(place):
        near = places.meant(place)
        cure = f"write {near}, if that is meant" if near else "look the code up in ISO 3166"
        yield read.problem(("place",), shown(place), "the ISO 3166 code of a place", cure)
    elif Path(read.file).suffix == ".yaml" and Path(read.file).stem != place:
        cure = f"rename the file {place}.yaml, or correct the place"
        yield read.problem(("place",), f"{shown(place)} in the file {shown(Path(read.file).name)}", "the file's own name", cure)


def _defaults(read: Document, name: str, data: Any) -> Iterator[Problem]:
    """What a rule must say of its source when the file does not say it for all."""
    key = "status"
    if isinstance(data, dict) and key not in data and key not in read.data:
        node = schema.load(schema.REGULATION)["properties"][key]
        what, _, how = str(node["description"]).partition(". ")
        found, expected = f"no field {shown(key)}, here or for the whole file", what[:1].lower() + what[1:].split(",")[0]
        cure = f"add {shown(key + ': …')} to the rule or at the top of the file; {how[:1].lower()}{how[1:].rstrip('.')}"
        yield read.problem(("rules", name, key), found, expected, cure, at_key=True)


def _cases(read: Document, provision: Provision) -> Iterator[Problem]:
    """Facts of cases that the rule does not look at, or that are of the wrong kind."""
    facts = provision.facts
    for case in provision.cases:
        base: Key = ("rules", provision.name, "cases", case.name)
        for name, value in case.given.items():
            path = (*base, "given", name)
            fact = facts.get(name)
            if fact is None:
                found, expected = f"{shown(name)}, which the rule does not look at", f"one of {', '.join(facts)}"
                yield read.problem(path, found, expected, "correct the name, or delete the line", at_key=True)
            elif isinstance(fact, Fact):
                yield from _number(read, path, value, fact)
            elif isinstance(fact, Word):
                yield from _word(read, path, value, fact)
            elif not isinstance(value, str) or not _day(value):
                yield read.problem(path, shown(value), "a day as year-month-day", "write for example 2026-05-02")
        if case.meets and provision.counts:
            found = "'meets' for a rule whose verdict counts"
            yield read.problem((*base, "meets"), found, "the verdict alone", "delete the line", at_key=True)


def _number(read: Document, path: Key, value: Any, fact: Fact) -> Iterator[Problem]:
    text = value.get("value") if isinstance(value, dict) else value
    if isinstance(value, dict) and isinstance(value.get("plus_or_minus"), str) and fact.dimension:
        yield from _number(read, (*path, "plus_or_minus"), value["plus_or_minus"], fact)
    if fact.dimension == "":
        if not isinstance(text, int):
            yield read.problem(path, shown(text), "a whole number", "write digits only")
        return
    try:
        units.parse(text, fact.dimension) if isinstance(text, str) else _refuse(text, fact.dimension)
    except units.NotAQuantity as wrong:
        yield read.problem(path, wrong.found, wrong.expected, wrong.cure)


def _refuse(value: Any, dimension: str) -> None:
    raise units.explain(value, dimension)


def _word(read: Document, path: Key, value: Any, fact: Word) -> Iterator[Problem]:
    node = schema.catalogue().get(fact.path, {})
    if isinstance(value, list) != fact.among or not isinstance(value, (str, list)):
        expected = "a list of words" if fact.among else "one word"
        cure = "write [ ] around the words" if fact.among else "write the word alone"
        yield read.problem(path, "a list" if isinstance(value, list) else shown(value), expected, cure)
        return
    allowed = (node.get("items", {}) if fact.among else node).get("enum")
    for word in [value] if isinstance(value, str) else value:
        if allowed and word not in allowed:
            yield read.problem(path, shown(word), f"one of {', '.join(allowed)}", "choose one of these")
