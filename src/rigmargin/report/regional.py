"""The reader's own words: here alone a regional word comes into a sentence, as a whole and in the form that it needs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields, is_dataclass, replace
from functools import wraps
from typing import Any, TypeVar, cast

from rigmargin.report import marks
from rigmargin.spec import words
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import BY_PLACE

T = TypeVar("T")
F = TypeVar("F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Regional:
    """The words of one reader, for one kind of rig."""

    region: str = words.NEUTRAL  # one of words.REGIONS, or the neutral vocabulary
    kinds: tuple[tuple[str, str], ...] = ()  # what decides between words, by path: the kinds of coupling, trailer, tow vehicle
    live: bool = False  # whether each word is marked, for a page whose script says it as another region does
    _found: dict[str, words.Word] = field(default_factory=dict, compare=False, repr=False)  # what was asked for before

    def word(self, term: str, form: str = "word") -> str:
        """What a term is called, such as ``tongue weight`` for ``coupling_load``; ``form`` as ``spec.words.Word.form`` has it.

        Raises KeyError for what is no term.
        """
        said = _said(self, term).form(form)
        return marks.word(said, term, form) if self.live else said

    def fill(self, text: str) -> str:
        """A text with the marks ``{word:term}`` filled in."""
        return words.fill(text, self.word)

    def label(self, term: str) -> str:
        """The name of a term's field in a rig file as the region writes it; empty where the field's own name is as good."""
        return _said(self, term).label

    def long(self, term: str) -> str:
        """A term written out, such as ``gross vehicle weight rating (GVWR)``; empty where that says no more than its word."""
        return _said(self, term).long

    def glossary(self, *texts: str) -> tuple[tuple[str, str], ...]:
        """The regional words that occur in texts, and what each means: those that a reader from elsewhere may not know."""
        found = []
        for term, meaning in explained().items():
            own = _said(self, term)
            if own.one != words.neutral(term).one and any(own.one in text for text in texts):
                found.append((own.long or own.one, meaning))
        return tuple(found)


NEUTRAL = Regional()
#: The terms whose words a reader from elsewhere may not know; each with what it means.
EXPLAINED = {
    "coupling_load": "{}: what the trailer's coupling presses down with",
    "tow_max_mass": "{} of the tow vehicle",
    "trailer_max_mass": "{} of the trailer",
    "max_combination_mass": "{}: vehicle and trailer together",
    "max_trailer_mass": "{}: what the tow vehicle's maker lets it tow",
    "axle_limit": "{} of an axle",
    "axle_group_limit": "the trailer's {}",
    "tow_unloaded": "{} of the tow vehicle: full fuel, nobody and nothing in it (a printed figure may hold a driver)",
    "trailer_unloaded": "{} of the trailer",
    "scale": "{} for vehicles",
}


def explained() -> dict[str, str]:
    """What each term means whose words a reader from elsewhere may not know, in the table's order."""
    return {term: EXPLAINED[term].format(words.neutral(term).one) for term in words.every() if term in EXPLAINED}


def _said(regional: Regional, term: str) -> words.Word:
    found = regional._found.get(term)
    if found is None:
        found = regional._found[term] = words.word(term, regional.region, lambda path: dict(regional.kinds).get(path, ""))
    return found


def fill(text: str, rig: Rig) -> str:
    """A text with its marks filled with the words for a rig's reader."""
    return regional(rig).fill(text) if "{" in text else text


def label(shown: str, text: str, rig: Rig) -> str:
    """A label's word in brackets, to stand behind a text of the project; nothing where the text says that very word."""
    terms, known = words.named(text), _same(shown, text, rig)
    if terms and marks.are_wanted():
        return marks.label(f" ({shown})", terms, off=known)
    return "" if known else f" ({shown})"


def _same(shown: str, text: str, rig: Rig) -> bool:
    told = (_said(regional(rig), term) for term in words.named(text))
    return any(shown in (word.one, word.label.replace("_", " ")) for word in told)


def said(thing: T, own: Regional) -> T:
    """Plain data or a view of texts, as a report is laid out, with every mark in it filled in."""
    made: Any = thing
    if isinstance(thing, str):
        made = own.fill(thing)
    elif isinstance(thing, dict):
        made = {key: said(value, own) for key, value in thing.items()}
    elif isinstance(thing, list):
        made = [said(each, own) for each in thing]
    elif isinstance(thing, tuple):
        each = [said(one, own) for one in thing]
        made = type(thing)(*each) if hasattr(thing, "_fields") else tuple(each)
    elif is_dataclass(thing) and not isinstance(thing, type):
        made = replace(thing, **{field.name: said(getattr(thing, field.name), own) for field in fields(thing)})
    return made  # type: ignore[no-any-return]  # of the type it was given


def spoken(whose: Callable[[Any], Rig | str]) -> Callable[[F], F]:
    """Of a function that lays out an answer: what it gives is in the words of the rig or region that ``whose`` finds in it."""

    def make(lay: F) -> F:
        @wraps(lay)
        def laid(answer: Any, *more: Any, **named: Any) -> Any:
            return said(lay(answer, *more, **named), regional(whose(answer)))

        return cast(F, laid)

    return make


def neutral(thing: T) -> T:
    """The same in the words of no region."""
    return said(thing, NEUTRAL)


def regional(of: Rig | str) -> Regional:
    """The words for a rig's reader: those that settings ask for, else those of its first place; or the words of a region."""
    if isinstance(of, str):
        return Regional(of, live=marks.are_wanted())
    global _last  # noqa: PLW0603  # one pair, replaced as a whole
    if _last[0] is not of or _last[1].live is not marks.are_wanted():
        _last = of, _of(of)
    return _last[1]


_last: tuple[Rig | None, Regional] = None, NEUTRAL  # the rig asked for last, and its words: a report asks hundreds of times


def _of(of: Rig) -> Regional:
    chosen = of.settings.words
    region = words.region(of.places) if chosen == BY_PLACE else chosen
    return Regional(region, tuple([(path, of.word(path)) for path in words.asked()]), marks.are_wanted())
