"""Names in a rig file that must point at something else in it: stations, items on a ticket, axles, options.

Works on documents that may still break the schema, so that all problems of a file are told at once.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any

from rigmargin.spec import units
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import Problem, shown


def check(document: Document) -> list[Problem]:
    """Every name of ``document`` (canonical field names) that points at nothing, or at two things."""
    problems: list[Problem] = []
    for vehicle in ("tow_vehicle", "trailer"):
        problems += _stations(document, vehicle) + _includes(document, vehicle)
    return problems + _names_used_twice(document) + _tickets(document) + _options(document)


def _map(data: Any, *keys: str) -> dict[str, Any]:
    for key in keys:
        data = data.get(key) if isinstance(data, dict) else None
    return data if isinstance(data, dict) else {}


def carried(document: Document, vehicle: str) -> dict[str, Key]:
    """The names of what a vehicle carries, each with its path."""
    return {name: (vehicle, kind, name) for kind in ("load", "tanks") for name in _map(document.data, vehicle, kind)}


def split_included(text: str) -> tuple[str, units.Quantity | None]:
    """``driver 75 kg`` as the item's name and the mass that is inside; the mass is None when none is given."""
    words = text.rsplit(" ", 2)
    if len(words) == 3:
        try:
            return words[0], units.parse(f"{words[1]} {words[2]}", "mass")
        except units.NotAQuantity:
            pass
    return text, None


def _choose(name: str, names: Iterable[str]) -> tuple[str, str]:
    """What was expected, and the cure, for a name that is not among ``names``."""
    known = list(names)
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return ("one of " + ", ".join(map(shown, known)) if known else "a name that this file defines"), (
        f"write {shown(near[0])}, if that is meant" if near else "define it, or use one of the names above"
    )


def _stations(document: Document, vehicle: str) -> list[Problem]:
    stations = _map(document.data, vehicle, "stations")
    problems = []
    for path in carried(document, vehicle).values():
        at = _map(document.data, *map(str, path)).get("at")
        if not isinstance(at, str) or at in stations:
            continue
        try:
            units.parse(at, "length")
        except units.NotAQuantity as wrong:
            expected, cure = _choose(at, stations)
            if at[:1].isdigit():
                expected, cure = wrong.expected, wrong.cure
            problems.append(document.problem((*path, "at"), f"the station {shown(at)}", expected, cure))
    return problems


def _includes(document: Document, vehicle: str) -> list[Problem]:
    entries = _map(document.data, vehicle, "unloaded").get("includes")
    names = carried(document, vehicle)
    problems = []
    for i, entry in enumerate(entries if isinstance(entries, list) else ()):
        if isinstance(entry, str) and split_included(entry)[0] not in names:
            expected, cure = _choose(split_included(entry)[0], names)
            cure += "; leave out what no load item stands for: it is counted once already"
            problems.append(
                document.problem(
                    (vehicle, "unloaded", "includes", i), shown(entry), f"the name of a load item ({expected})", cure
                )
            )
    return problems


def _names_used_twice(document: Document) -> list[Problem]:
    first: dict[str, Key] = {}
    problems = []
    for vehicle in ("tow_vehicle", "trailer"):
        for kind in ("load", "tanks"):
            for name in _map(document.data, vehicle, kind):
                path: Key = (vehicle, kind, name)
                if name in first:
                    line = document.place(first[name])[0]
                    problems.append(
                        document.problem(
                            path,
                            f"{shown(name)}, a name that line {line} uses too",
                            "each thing carried under a name of its own",
                            "rename one of the two, so that a ticket can name it",
                            at_key=True,
                        )
                    )
                first.setdefault(name, path)
    return problems


def _tickets(document: Document) -> list[Problem]:
    names = {**carried(document, "tow_vehicle"), **carried(document, "trailer")}
    axles = _map(document.data, "trailer", "axles")
    problems = []
    weighings = document.data.get("weighings")
    for i, entry in enumerate(weighings if isinstance(weighings, list) else ()):
        ticket = entry if isinstance(entry, dict) else {}
        base: Key = ("weighings", i)
        aboard = ticket.get("aboard", "all")
        if isinstance(aboard, str) and aboard not in ("all", "none"):
            problems.append(
                document.problem(
                    (*base, "aboard"), shown(aboard), "all, none, or a list of names", f"write all, none, or [{aboard}]"
                )
            )
        for j, name in enumerate(aboard if isinstance(aboard, list) else ()):
            if isinstance(name, str) and name not in names:
                expected, cure = _choose(name, names)
                problems.append(document.problem((*base, "aboard", j), shown(name), expected, cure))
        for name in _map(ticket, "trailer_axles"):
            if name not in axles and name not in ("value", "source", "ref", "read_on", "plus_or_minus"):
                expected, cure = _choose(name, axles)
                problems.append(
                    document.problem((*base, "trailer_axles", name), f"the axle {shown(name)}", expected, cure, at_key=True)
                )
        problems += _wrong_for_state(document, base, ticket)
    return problems


#: The readings that can be taken in each state.
READINGS = {
    "alone": {"front", "rear", "tow_vehicle", "all", "front_left", "front_right", "rear_left", "rear_right"},
    "trailer_alone": {"trailer_axles", "coupling", "all"},
    "trailer_on_jack": {"coupling", "trailer_axles"},
}
_ALL_READINGS = READINGS["alone"] | READINGS["trailer_alone"]


def _wrong_for_state(document: Document, base: Key, ticket: dict[str, Any]) -> list[Problem]:
    state = ticket.get("state")
    allowed = READINGS.get(state, _ALL_READINGS - {"coupling"}) if isinstance(state, str) else _ALL_READINGS
    problems = [
        document.problem(
            (*base, key),
            f"a reading of {shown(key)} with state {state}",
            "one of " + ", ".join(sorted(allowed)),
            "correct the state, or give the reading a ticket of its own",
            at_key=True,
        )
        for key in ticket
        if key in _ALL_READINGS - allowed
    ]
    if isinstance(state, str) and not any(key in _ALL_READINGS for key in ticket):
        problems.append(
            document.problem(
                base,
                "no reading",
                "at least one of " + ", ".join(sorted(allowed)),
                "copy what the ticket shows, or delete the entry",
            )
        )
    return problems


def _options(document: Document) -> list[Problem]:
    options = _map(document.data, "options")
    problems = []
    for name in options:
        for key in ("needs", "excludes"):
            others = _map(options, name).get(key)
            for i, other in enumerate(others if isinstance(others, list) else ()):
                if other == name or (isinstance(other, str) and other not in options):
                    expected, cure = _choose(str(other), [o for o in options if o != name])
                    problems.append(document.problem(("options", name, key, i), f"the option {shown(other)}", expected, cure))
    return problems
