"""Which questions there are, in which order, and when each is asked: ``questions.yaml`` as typed data."""

from __future__ import annotations

import importlib.resources
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

from rigmargin.spec import document, schema
from rigmargin.spec.schema import Schema
from rigmargin.spec.words import Condition, condition


@dataclass(frozen=True, slots=True)
class Question:
    """One question, about one field of the rig file."""

    ask: str  # the field's path, such as "tow_vehicle.max_mass" or "weighings.alone.front"; with "@" what the file holds not
    section: Section
    of: str = ""  # whose it is, in words
    when: tuple[Condition, ...] = ()
    needed: bool = False  # the file cannot be read without it
    source: str = ""  # what its figure comes from, when the section's first question says so
    words: str = ""  # of an aside that is not asked in the usual ones
    also: str = ""  # one more line to it
    brings: tuple[tuple[str, str], ...] = ()  # fields beside its own that an answer settles, and their words

    @property
    def aside(self) -> bool:
        """Whether its answer is no field of the file."""
        return self.ask.startswith("@")

    @property
    def path(self) -> tuple[str, ...]:
        """The field's path, part by part; a ticket's second part is its state."""
        return tuple(self.ask.split("."))

    @property
    def node(self) -> Schema:
        """What the rig schema says of the field."""
        parts = ("weighings", 0, *self.path[2:]) if self.path[0] == "weighings" else self.path
        found = schema.at(parts)
        assert found is not None, self.ask
        return found

    def asked(self, known: Callable[[str], str]) -> bool:
        """Whether it is asked of this rig at all."""
        return all(condition.holds(known) for condition in (*self.section.when, *self.when))


@dataclass(frozen=True, slots=True)
class Section:
    """Questions whose answers are read off one thing."""

    name: str
    tell: str
    source: str = ""  # of its figures, when they are read off that thing
    when: tuple[Condition, ...] = ()
    more: str = ""  # told besides, of a rig of which the conditions hold
    more_when: tuple[Condition, ...] = ()

    def told(self, known: Callable[[str], str]) -> str:
        """What is told of it to the owner of a rig."""
        return f"{self.tell} {self.more}" if self.more and all(c.holds(known) for c in self.more_when) else self.tell


@cache
def every() -> tuple[Question, ...]:
    """All questions, in order."""
    text = importlib.resources.files("rigmargin.start").joinpath("questions.yaml").read_text("utf-8")
    found = []
    for entry in document.parse(text, "questions.yaml").data["sections"]:
        more = entry.get("more", {})
        said = entry["tell"], entry.get("source", ""), conditions(entry), more.get("tell", ""), conditions(more)
        section = Section(entry["name"], *said)
        first = [entry["first"]] if section.source else []
        found += [_question(each, section) for each in (*first, *entry["questions"])]
    return tuple(found)


def _question(entry: dict[str, Any], section: Section) -> Question:
    texts = {name: str(entry.get(name, "")) for name in ("of", "words", "also")}
    source = str(entry.get("source", section.source))
    brings = tuple(entry.get("brings", {}).items())
    return Question(
        entry["ask"], section, when=conditions(entry), needed="needed" in entry, source=source, brings=brings, **texts
    )


def first_of(section: Section) -> Question:
    """What asks whether the figures of a section that has a source are read where it says."""
    return next(each for each in every() if each.section == section and each.aside)


def conditions(entry: dict[str, Any]) -> tuple[Condition, ...]:
    """The conditions under ``when``, such as ``coupling.kind=fifth_wheel|gooseneck``."""
    return tuple(map(condition, entry.get("when", ())))
