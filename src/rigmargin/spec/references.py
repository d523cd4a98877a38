"""Names in a rig file that must point at something else in it: stations, items on a ticket, axles, options.

Works on documents that may still break the schema, so that all problems of a file are told at once.
"""

from __future__ import annotations

import datetime
import difflib
import re
from collections.abc import Iterable, Iterator
from typing import Any

from rigmargin.spec import fields, places, schema, stated, units
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import Problem, shown
from rigmargin.spec.settings import place_cure

#: What tells a load of this very trailer as it is laden; no label or paper knows that.
LADEN = ("scale_ticket", "measured", "owner_estimate")
#: What may stand in a ticket's trailer_axles beside the axles' names.
_NOT_AXLES = ("value", *schema.ABOUT)


def check(document: Document, *, tickets: bool = True) -> list[Problem]:
    """Every name of ``document`` (canonical field names) that points at nothing, or at two things; on tickets if asked."""
    problems: list[Problem] = []
    for vehicle in ("tow_vehicle", "trailer"):
        problems += [*_stations(document, vehicle), *_includes(document, vehicle), *_fillings(document, vehicle)]
    problems += [*_names_used_twice(document), *_axle_names(document), *_share_band(document), *_options(document)]
    problems += [*_hanging(document), *_coupling_load(document), *_places(document)]
    return problems + _tickets(document) if tickets else problems


def mapping(data: Any, *keys: str) -> dict[str, Any]:
    """The mapping at ``keys`` of ``data``; an empty one where there is none."""
    for key in keys:
        data = data.get(key) if isinstance(data, dict) else None
    return data if isinstance(data, dict) else {}


def carried(document: Document, vehicle: str) -> dict[str, Key]:
    """The names of what a vehicle carries, each with its path."""
    return {name: (vehicle, kind, name) for kind in ("load", "tanks") for name in mapping(document.data, vehicle, kind)}


def split_included(text: str) -> tuple[str, units.Quantity | None]:
    """``driver 75 kg`` as the item's name and the mass that is inside; the mass is None when none is given."""
    words = text.rsplit(" ", 2)
    if len(words) == 3:
        mass = units.read(f"{words[1]} {words[2]}", "mass")
        if mass:
            return words[0], mass
    return text, None


def choose(name: str, names: Iterable[str]) -> tuple[str, str]:
    """What was expected, and the cure, for a name that is not among ``names``."""
    known = list(names)
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    if near:
        cure = f"write {shown(near[0])}, if that is meant"
    else:
        cure = "use one of these names, or define this one" if known else "define it first"
    if not known:
        return "a name that this file defines", cure
    return ("one of " if len(known) > 1 else "") + ", ".join(map(shown, known)), cure


def _stations(document: Document, vehicle: str) -> list[Problem]:
    stations = mapping(document.data, vehicle, "stations")
    problems: list[Problem] = []
    for item in carried(document, vehicle).values():
        path = (*item, "at")
        at = mapping(document.data, *map(str, item)).get("at")
        if not isinstance(at, str) or at in stations:
            continue
        try:
            units.parse(at, "length")
        except units.NotAQuantity as wrong:
            if re.match(r"[+-]?[0-9]", at):
                problems.append(document.problem(path, wrong.found, f"a station's name or {wrong.expected}", wrong.cure))
            else:
                expected, cure = choose(at, stations)
                problems.append(document.problem(path, f"the station {shown(at)}", expected, cure))
        else:
            problems += stated.implausible(document, path, at, fields.at(vehicle, "stations", "*"))
    return problems


def quantity(value: Any, dimension: str) -> units.Quantity | None:
    """The quantity that ``value`` is, plain or as a mapping with its source; None when it is none."""
    text = value.get("value") if isinstance(value, dict) else value
    return units.read(text, dimension) if isinstance(text, str) else None


def _fillings(document: Document, vehicle: str) -> Iterator[Problem]:
    for name in mapping(document.data, vehicle, "tanks"):
        tank = mapping(document.data, vehicle, "tanks", name)
        holds, inside = quantity(tank.get("volume"), "volume"), quantity(tank.get("filled"), "volume")
        if holds and inside and inside.si > holds.si * (1 + 1e-9):
            most = f"{units.from_si(holds.si, holds.unit):g} {holds.unit}"
            path = (vehicle, "tanks", name, "filled")
            expected, cure = f"at most the tank's volume, {most}", "check the filling and the volume"
            yield document.problem(path, shown(tank["filled"]), expected, cure)


def _coupling_load(document: Document) -> Iterator[Problem]:
    """What a paper says of the coupling load is the empty trailer's: laden, it is another."""
    source = mapping(document.data, "coupling_load").get("source")
    if isinstance(source, str) and source not in LADEN:
        expected = f"one of {', '.join(LADEN)}, for what the loaded trailer puts on the coupling"
        cure = "write the empty trailer's as coupling under the trailer's unloaded, with its total, and weigh the loaded one"
        yield document.problem(("coupling_load", "source"), shown(source), expected, cure)


def _places(document: Document) -> Iterator[Problem]:
    """A place that there is not has no law and no words: it would silently be taken for one about which nothing is held."""
    for i, code in enumerate(document.data.get("places", ()) if isinstance(document.data.get("places"), list) else ()):
        if isinstance(code, str) and not places.known(code):
            yield document.problem(("places", i), shown(code), "the code of a place", place_cure(code))


def _share_band(document: Document) -> Iterator[Problem]:
    band = mapping(document.data, "tow_vehicle", "coupling_share_band")
    low, high = (quantity(band.get(end), "ratio") for end in ("low", "high"))
    if low and high and low.si > high.si:
        path = ("tow_vehicle", "coupling_share_band", "low")
        yield document.problem(path, "a low end above the high end", "the lesser share as low", "exchange the two")


def _hanging(document: Document) -> Iterator[Problem]:
    """What hangs on a part of the hitch is a thing that the tow vehicle carries."""
    items = mapping(document.data, "tow_vehicle", "load")
    for part in mapping(document.data, "coupling", "parts"):
        names = mapping(document.data, "coupling", "parts", part).get("carries")
        for i, name in enumerate(names if isinstance(names, list) else ()):
            path: Key = ("coupling", "parts", part, "carries", i)
            if isinstance(name, str) and name not in items:
                expected, cure = choose(name, items)
                cure += "; what hangs there is a load item of the tow vehicle, at its own place"
                yield document.problem(path, f"the load item {shown(name)}", expected, cure)
            elif isinstance(name, str) and mapping(items, name).get("person") == "yes":
                expected, cure = "a thing that hangs on the hitch", "name the rack or the tray, and what is on it"
                yield document.problem(path, f"the load item {shown(name)}, who is a person", expected, cure)


def _axle_names(document: Document) -> Iterator[Problem]:
    for name in mapping(document.data, "trailer", "axles"):
        if name in _NOT_AXLES:
            cure = "name the axle by its place, such as tandem"
            path = ("trailer", "axles", name)
            yield document.problem(path, f"an axle named {shown(name)}", "a name that no field has", cure, at_key=True)


def _includes(document: Document, vehicle: str) -> list[Problem]:
    entries = mapping(document.data, vehicle, "unloaded").get("includes")
    names = carried(document, vehicle)
    problems = []
    for i, entry in enumerate(entries if isinstance(entries, list) else ()):
        if isinstance(entry, str) and split_included(entry)[0] not in names:
            expected, cure = choose(split_included(entry)[0], names)
            cure += "; what no load item stands for, such as the driver in a mass in running order, is listed under load too, "
            cure += "or taken off the figure"
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
            for name in mapping(document.data, vehicle, kind):
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
    axles = mapping(document.data, "trailer", "axles")
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
                expected, cure = choose(name, names)
                problems.append(document.problem((*base, "aboard", j), shown(name), expected, cure))
        for name in mapping(ticket, "trailer_axles"):
            path = (*base, "trailer_axles", name)
            if name not in axles and name not in _NOT_AXLES:
                expected, cure = choose(name, axles)
                problems.append(document.problem(path, f"the axle {shown(name)}", expected, cure, at_key=True))
            elif name not in _NOT_AXLES and "value" in ticket["trailer_axles"]:
                cure = "keep the one figure, or one for each axle"
                found = f"the axle {shown(name)} beside a value for all"
                problems.append(document.problem(path, found, "one or the other", cure, at_key=True))
        problems += _wrong_for_state(document, base, ticket)
        problems += _odd_ticket(document, base, ticket)
        kind = mapping(document.data, "coupling").get("kind")
        if ticket.get("state") == "coupled_distributing" and kind in OTHER_KINDS:
            found = f"a weighing with bars tensioned, but coupling.kind {kind}"
            cure = "correct the state or the coupling's kind"
            problems.append(document.problem((*base, "state"), found, "bars only on a weight_distributing coupling", cure))
    return problems


#: Couplings that have no distributing bars.
OTHER_KINDS = ("weight_carrying", "fifth_wheel", "gooseneck", "pintle", "european_ball")


def _odd_ticket(document: Document, base: Key, ticket: dict[str, Any]) -> Iterator[Problem]:
    """A ticket from after the day the rig is judged for, and one whose readings are in two systems of units."""
    day, on = _day(document.data.get("date")), _day(ticket.get("on"))
    if day and on and on > day:
        found = f"a weighing on {on}, after the rig's date {day}"
        yield document.problem((*base, "on"), found, "a day up to the rig's date", "correct one of the two dates")
    first: tuple[str, str] | None = None
    for key, value in ticket.items():
        unit = _unit(value) if key in ALL_READINGS else None
        if unit and first and (unit in units.US_UNITS) != (first[1] in units.US_UNITS):
            found = f"a reading in {unit} beside {first[0]} in {first[1]}"
            cure = "copy every reading in the unit that the scale prints"
            yield document.problem((*base, key), found, "one system of units on one ticket", cure)
        first = first or ((key, unit) if unit else None)


def _day(text: Any) -> datetime.date | None:
    """The day a text names; None for what is no date, which has its own problem."""
    try:
        plain = isinstance(text, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text)  # no week dates
        return datetime.date.fromisoformat(text) if plain else None
    except ValueError:
        return None


def _unit(value: Any) -> str | None:
    text = value.get("value") if isinstance(value, dict) else value
    return text.rsplit(" ", 1)[-1] if isinstance(text, str) else None


#: The readings that can be taken in each state.
READINGS = {
    "alone": {"front", "rear", "tow_vehicle", "all", "front_left", "front_right", "rear_left", "rear_right"},
    "trailer_alone": {"trailer_axles", "trailer_left", "trailer_right", "coupling", "all"},
    "trailer_on_jack": {"coupling", "trailer_axles", "trailer_left", "trailer_right"},
}
ALL_READINGS = READINGS["alone"] | READINGS["trailer_alone"]
READINGS |= dict.fromkeys(("coupled", "coupled_distributing"), ALL_READINGS - {"coupling"})


def _wrong_for_state(document: Document, base: Key, ticket: dict[str, Any]) -> list[Problem]:
    state = ticket.get("state")
    if not isinstance(state, str) or state not in READINGS:
        return []  # the schema has said so already
    allowed = READINGS[state]
    unreadable = [key for key in ticket if key in ALL_READINGS and key not in allowed]
    if not unreadable and not ALL_READINGS.isdisjoint(ticket):
        return []
    expected = "one of " + ", ".join(sorted(allowed))
    cure = "correct the state, or give the reading a ticket of its own"
    problems = [
        document.problem((*base, key), f"the reading {shown(key)} with state: {state}", expected, cure, at_key=True)
        for key in unreadable
    ]
    if ALL_READINGS.isdisjoint(ticket):
        problems.append(
            document.problem(
                base,
                "no reading",
                f"at least {expected}",
                "copy what the ticket shows, or delete the entry",
            )
        )
    return problems


def _options(document: Document) -> list[Problem]:
    options = mapping(document.data, "options")
    problems = []
    for name in options:
        for key in ("needs", "excludes"):
            others = mapping(options, name).get(key)
            for i, other in enumerate(others if isinstance(others, list) else ()):
                path: Key = ("options", name, key, i)
                if other == name:
                    cure = "delete it from the list"
                    problems.append(document.problem(path, f"the option {shown(name)} itself", "other options", cure))
                elif isinstance(other, str) and other not in options:
                    expected, cure = choose(other, [o for o in options if o != name])
                    problems.append(document.problem(path, f"the option {shown(other)}", expected, cure))
        needs, excludes = (mapping(options, name).get(key) for key in ("needs", "excludes"))
        for other in needs if isinstance(needs, list) else ():
            if isinstance(excludes, list) and other in excludes and other != name:
                found, cure = f"{shown(other)}, which this option also needs", "delete it from one of the two lists"
                problems.append(document.problem(("options", name, "excludes"), found, "what it does not need", cure))
    return problems
