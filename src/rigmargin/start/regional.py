"""The words of the place: under which label word a field is asked for and written, and how that word is said."""

from __future__ import annotations

import csv
import importlib.resources
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from rigmargin.start.questions import Condition, condition

_SPELLINGS = {"tyre": "tire", "Tyre": "Tire", "bonnet": "hood"}  # ours, and in North America


@dataclass(frozen=True, slots=True)
class Word:
    """A label word that a place uses for a field."""

    field: str  # its path, in canonical names
    word: str  # a synonym that the schema declares for it
    places: tuple[str, ...]  # countries
    when: tuple[Condition, ...]
    spoken: str


@cache
def every() -> tuple[Word, ...]:
    """All words; of those that fit a field and a rig, the first is used."""
    text = importlib.resources.files("rigmargin.start").joinpath("words.csv").read_text("utf-8")
    return tuple(
        Word(
            row["field"],
            row["word"],
            tuple(row["places"].split()),
            (condition(row["when"]),) if row["when"] else (),
            row["spoken"],
        )
        for row in csv.DictReader(text.splitlines())
    )


def word(field: str, known: Callable[[str], str]) -> Word | None:
    """The word for a field where the rig is used; None where its own name is as good."""
    place = known("place")
    fitting = (each for each in every() if each.field == field and place in each.places)
    return next((each for each in fitting if all(condition.holds(known) for condition in each.when)), None)


def spelt(text: str, known: Callable[[str], str]) -> str:
    """A text of the schema as the place spells it."""
    if known("place") not in ("us", "ca"):
        return text
    for ours, theirs in _SPELLINGS.items():
        text = text.replace(ours, theirs)
    return text
