"""The words of the place: under which label word a field is asked for and written, and how that word is said."""

from __future__ import annotations

from collections.abc import Callable

from rigmargin.report.regional import Regional
from rigmargin.spec import words


def word(field: str, known: Callable[[str], str]) -> words.Word | None:
    """The word for a field (its path, in canonical names) where the rig is used; None where it is the same everywhere."""
    term = words.terms().get(field)
    return words.word(term, _region(known), known) if term else None


def spelt(text: str, known: Callable[[str], str]) -> str:
    """A text of the schema or of the questions in the words of the place."""
    kinds = tuple((path, known(path)) for path in words.asked())
    return Regional(_region(known), kinds).fill(words.marked(text))


def titled(name: str, title: str, known: Callable[[str], str]) -> str:
    """A field's title for a comment: the place's word written out where the field stands under its label, else the title."""
    said = (words.word(term, _region(known), known) for term in words.every())
    return next((words.large(word.long) for word in said if word.label == name and word.long), spelt(title, known))


def _region(known: Callable[[str], str]) -> str:
    place = known("place")
    return words.region((place,) if place else ())
