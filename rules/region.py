"""Which region's customs a place belongs to. Not law: law is chosen by the place's own code."""

from __future__ import annotations

#: Member states of the European Union, the European Economic Area and Switzerland, by ISO 3166 code, and the union itself.
EUROPE = frozenset((
    "eu", "at", "be", "bg", "ch", "cy", "cz", "de", "dk", "ee", "es", "fi", "fr", "gr", "hr", "hu", "ie", "is", "it", "li",
    "lt", "lu", "lv", "mt", "nl", "no", "pl", "pt", "ro", "se", "si", "sk",
))  # fmt: skip
NAMED = frozenset({"us", "ca", "au", "nz", "gb"})


def regions(places: tuple[str, ...]) -> set[str]:
    """The regions of some places, such as ``{"us"}`` for ``("us", "us-co")``; a place of none of them is left out."""
    countries = {place.split("-")[0] for place in places}
    return (countries & NAMED) | ({"europe"} if countries & EUROPE else set())
