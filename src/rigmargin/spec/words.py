"""Regional words: what one thing is called in each vocabulary (``words.csv``), and which vocabulary a place belongs to.

Texts of the project name such a thing by ``{word:term}`` (``{Word:term}`` where it begins a sentence, ``{words:term}`` for
many), and the report puts the word in. A text that cannot hold marks, as the schemas' cannot, gets them here, before anything
of a rig is in it.
"""

from __future__ import annotations

import csv
import importlib.resources
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from rigmargin.spec import places as known_places

NEUTRAL = "neutral"
REGIONS = ("us", "ca", "gb", "ie", "eu", "au", "nz")
#: The terms that are found in the schemas' plain texts: their neutral words mean nothing else there.
IN_PLAIN_TEXTS = (
    "max_coupling_load", "coupling_load", "tow_vehicle", "tyre", "centre", "moulded", "stabiliser", "licence", "handbook",
    "bonnet", "fender", "overrun", "towed_mass", "max_combination_mass", "scale_ticket", "the_scale",
    "at_axle_limit", "at_tow_max_mass", "at_combination_mass", "at_payload", "at_max_trailer_mass", "at_braked_row",
    "at_max_coupling_load", "at_vertical_load", "at_trailer_max_mass", "at_axle_group", "at_trailer_axle",
)  # fmt: skip
UNKNOWN = "unknown"  # what a condition compares with where nothing is stated
_MARK = re.compile(r"\{([Ww]ords?):([a-z_]+)\}")


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition: what is known at ``path`` is one of ``words``, or none of them."""

    path: str  # of the rig file; or "place", the country
    words: tuple[str, ...]
    negated: bool

    def holds(self, known: Callable[[str], str]) -> bool:
        """Whether it holds, by what is ``known`` at a path; an empty text where nothing is."""
        return ((known(self.path) or UNKNOWN) in self.words) != self.negated


@dataclass(frozen=True, slots=True)
class Word:
    """What a term is called in some vocabularies."""

    term: str
    regions: tuple[str, ...]
    when: tuple[Condition, ...]
    one: str  # as it stands inside a sentence
    many: str
    long: str  # written out, with its letters; empty where that says no more
    label: str  # the field's name in a rig file, where the schema knows this word for it
    mark: str  # how well it is known that the word is used so
    source: str

    def form(self, form: str) -> str:
        """``word``, ``Word``, ``words`` or ``Words``: for one or many, with a large first letter or without."""
        said = self.many if form.endswith("s") else self.one
        return said[:1].upper() + said[1:] if form[0] == "W" else said


def condition(text: str) -> Condition:
    """One condition from its text, such as ``coupling.kind=fifth_wheel|gooseneck`` or ``place!=us``."""
    path, _, words = text.partition("=")
    return Condition(path.removesuffix("!"), tuple(words.split("|")), path.endswith("!"))


@cache
def _rows() -> list[dict[str, str]]:
    text = importlib.resources.files("rigmargin.spec").joinpath("words.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def every() -> Mapping[str, tuple[Word, ...]]:
    """The words of each term; of those that fit a vocabulary and a rig, the first is used."""
    found: dict[str, tuple[Word, ...]] = {}
    for row in _rows():
        when = (condition(row["when"]),) if row["when"] else ()
        said = row["words"], row["plural"], row["long"], row["label"], row["mark"], row["source"]
        found[row["term"]] = (*found.get(row["term"], ()), Word(row["term"], tuple(row["places"].split()), when, *said))
    return found


@cache
def terms() -> Mapping[str, str]:
    """The terms that are fields of the rig file, by the field's path."""
    return {path: row["term"] for row in _rows() for path in row["fields"].split()}


@cache
def asked() -> tuple[str, ...]:
    """The fields of a rig file that decide between words."""
    return tuple(dict.fromkeys(c.path for words in every().values() for word in words for c in word.when))


def region(places: Sequence[str]) -> str:
    """The vocabulary of the first of some places; the neutral one where there is none, or none of ours."""
    if not places:
        return NEUTRAL
    country = places[0].partition("-")[0]
    return country if country in REGIONS else "eu" if known_places.within(places[0])[0] == "eu" else NEUTRAL


def word(term: str, region: str, known: Callable[[str], str]) -> Word:
    """What a term is called in a vocabulary, of a rig of which ``known`` tells the words; else the neutral word.

    Raises KeyError for what is no term.
    """
    fitting = (each for each in every()[term] if region in each.regions)
    return next((each for each in fitting if all(c.holds(known) for c in each.when)), neutral(term))


def neutral(term: str) -> Word:
    """The word of no region. Raises KeyError for what is no term."""
    return next(each for each in every()[term] if NEUTRAL in each.regions)


def named(text: str) -> tuple[str, ...]:
    """The terms that the marks of a text name."""
    return tuple(term for _, term in _MARK.findall(text) if term in every())


def meant(text: str) -> frozenset[str]:
    """The neutral words of what some region calls by a word, such as ``overrun`` for ``surge``; none where no region does."""
    said = [word for each in every().values() for word in each if text in (word.one, word.one.partition(" (")[0])]
    return frozenset(neutral(word.term).one for word in said)


@lru_cache(maxsize=1024)
def marked(text: str) -> str:
    """A plain text of the project, as a schema has it, with marks in the place of its neutral words."""
    return _plain().sub(lambda found: _marks()[found[0]], text)


@cache
def _marks() -> dict[str, str]:
    forms = ("word", "Word", "words", "Words")
    return {neutral(term).form(form): f"{{{form}:{term}}}" for term in reversed(IN_PLAIN_TEXTS) for form in reversed(forms)}


@cache
def _plain() -> re.Pattern[str]:
    longest_first = sorted(_marks(), key=len, reverse=True)
    return re.compile(rf"(?<![\w.])(?:{'|'.join(map(re.escape, longest_first))})(?![\w]|\.\w)")


def large(text: str) -> str:
    """A text with a large first letter, or with a first mark that asks for one."""
    return f"{{W{text[2:]}" if text.startswith("{word") else f"{text[:1].upper()}{text[1:]}"


def fill(text: str, say: Callable[[str, str], str]) -> str:
    """A text with its marks filled by ``say`` (term and form); what is no mark of ours stays as it is."""
    if "ord" not in text or "{" not in text:
        return text
    return _MARK.sub(lambda mark: say(mark[2], mark[1]) if mark[2] in every() else mark[0], text)
