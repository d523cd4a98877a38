"""Places by their ISO 3166 codes, and what they belong to. No law and no custom: only which places there are."""

from __future__ import annotations

import difflib
import importlib.resources
from functools import cache


@cache
def listed() -> dict[str, frozenset[str]]:
    """The codes of ``places.txt``: ``countries``, the members of ``eu``, and the states of some countries by country."""
    text = importlib.resources.files("rigmargin.spec").joinpath("places.txt").read_text("utf-8")
    lines = [line.partition(": ") for line in text.splitlines() if not line.startswith("#")]
    return {name: frozenset(codes.split()) for name, _, codes in lines}


def within(place: str) -> tuple[str, ...]:
    """A place and all that it lies in, the widest first: ``("us", "us-fl")``, ``("eu", "de")``."""
    country = place.partition("-")[0]
    union = ("eu",) if country in listed()["eu"] else ()
    return (*union, *dict.fromkeys((country, place)))


def known(place: str) -> bool:
    """Whether there is such a place; a state is taken on trust in a country whose states are not listed."""
    country, _, state = place.partition("-")
    return place == "eu" or (country in listed()["countries"] and (not state or state in listed().get(country, {state})))


def meant(place: str) -> str:
    """The place that a writer of ``place`` most likely means; empty when none is near."""
    common = {"uk": "gb", "en": "gb-eng", "el": "gr"}
    states = [f"{country}-{state}" for country, codes in listed().items() if len(country) == 2 for state in codes]
    known_places = sorted(["eu", *listed()["countries"], *(s for s in states if not s.startswith("eu-"))])
    return common.get(place) or next(iter(difflib.get_close_matches(place, known_places, n=1, cutoff=0.75)), "")
