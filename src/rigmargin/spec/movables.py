"""What a loading plan may do, as the file says it: where things may go, what may stay behind, what a tank may hold.

Works on documents that may still break the schema, so that all problems of a file are told at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rigmargin.spec import schema, units
from rigmargin.spec.document import Document
from rigmargin.spec.problem import Problem, shown
from rigmargin.spec.references import choose, mapping, quantity


def check(document: Document) -> list[Problem]:
    """Every mark of ``document`` (canonical field names) that no plan could follow."""
    return [p for v in ("tow_vehicle", "trailer") for p in (*_movables(document, v), *_ranges(document, v))]


def split_place(text: str, vehicle: str) -> tuple[str, str]:
    """``trailer.front bay`` as a vehicle and the name of its station; a name alone is of ``vehicle``."""
    head, _, name = text.partition(".")
    return (head, name) if name and head in ("tow_vehicle", "trailer") else (vehicle, text)


def fill_share(text: Any, volume: float) -> float | None:
    """How full a text says a tank of ``volume`` (m3) is, as a share; None when it says nothing of the kind."""
    how = schema.fill(text) if isinstance(text, str) else None
    return how.si / volume if isinstance(how, units.Quantity) else how


def _movables(document: Document, vehicle: str) -> Iterator[Problem]:
    """Where things may be moved to, and what must not be said of a person."""
    for item, given in mapping(document.data, vehicle, "load").items():
        entry, path = given if isinstance(given, dict) else {}, (vehicle, "load", item)
        places = entry.get("may_go_to")
        for i, text in enumerate(places if isinstance(places, list) else ()):
            if not isinstance(text, str):
                continue
            other, station = split_place(text, vehicle)
            stations = mapping(document.data, other, "stations")
            if station not in stations:
                names = [name if other == vehicle else f"{other}.{name}" for name in stations]
                expected, cure = choose(text, names)
                yield document.problem((*path, "may_go_to", i), f"the station {shown(text)}", expected, cure)
            elif entry.get("person") == "yes" and other == "trailer":
                cure = "delete it: people ride in the tow vehicle"
                found, expected = f"a person who may go to {shown(text)}, in the trailer", "a station of the tow vehicle"
                yield document.problem((*path, "may_go_to", i), found, expected, cure)
        if entry.get("person") == "yes" and (mass := quantity(entry.get("mass"), "mass")) and not mass.si:
            cure = "write what they weigh, or leave them out"
            yield document.problem((*path, "mass"), shown(entry["mass"]), "what somebody weighs", cure)
        if entry.get("person") == "yes" and "may_stay_behind" in entry:
            found, cure = "a person who may stay behind", "delete it; write aboard: no for somebody who does not travel"
            yield document.problem(
                (*path, "may_stay_behind"), found, "it of things only: no plan leaves a person", cure, at_key=True
            )


def _ranges(document: Document, vehicle: str) -> Iterator[Problem]:
    """What a tank may be brought to: no more than it holds when full, and the least no more than the most."""
    for name in mapping(document.data, vehicle, "tanks"):
        holds = quantity(mapping(document.data, vehicle, "tanks", name).get("volume"), "volume")
        limits, path = mapping(document.data, vehicle, "tanks", name, "may_hold"), (vehicle, "tanks", name, "may_hold")
        if holds is None or holds.si <= 0:
            continue
        shares = {end: fill_share(limits.get(end), holds.si) for end in ("least", "most")}
        beyond = [end for end, share in shares.items() if share is not None and share > 1 + 1e-9]
        for end in beyond:
            whole = f"at most the tank's volume, {units.from_si(holds.si, holds.unit):g} {holds.unit}"
            yield document.problem((*path, end), shown(limits[end]), whole, "check the range and the volume")
        least, most = shares["least"], shares["most"]
        if not beyond and least is not None and most is not None and least > most + 1e-9:
            found, expected = "a least above the most", "the lesser filling as least"
            yield document.problem((*path, "least"), found, expected, "exchange the two")
