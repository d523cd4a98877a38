"""What today's scale tickets still say of a changed rig, and what they do not.

A ticket speaks of the vehicles it weighed. What was moved, added or taken away is brought up to date on it, each thing at its
station; a ticket of a vehicle or a hitch that is no longer there is set aside. What the tickets told of the trailer alone goes
with the trailer behind another tow vehicle.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rigmargin.judge.finding import Report
from rigmargin.loads import statics
from rigmargin.loads.derive import COUPLED
from rigmargin.loads.estimate import WEIGHED, Estimate
from rigmargin.loads.value import nominal, sigma
from rigmargin.spec.rig import Included, Item, Rig, Unloaded, Weighing
from rigmargin.spec.stated import Stated
from rigmargin.spec.variants import Variant

BARS, DISTRIBUTING = "weight_distributing", "coupled_distributing"
#: What the coupling load was read as, when it was read on the scale of another tow vehicle.
TODAY = "today"
_OF_TOW_VEHICLE = (statics.WHEELBASE,)
_OF_TRAILER = (statics.REACH,)
_OF_HITCH = (statics.OVERHANG, "coupling.kind")


def brought_up_to_date(today: Report, variant: Variant) -> Rig:
    """The changed rig with the tickets that still speak of it. Those that an option brings itself stand as they are."""
    before, after = today.rig, variant.rig
    same = {
        "tow_vehicle": _same(before, after, variant, "tow_vehicle", _OF_TOW_VEHICLE),
        "trailer": _same(before, after, variant, "trailer", _OF_TRAILER) and before.trailer_axles == after.trailer_axles,
    }
    hardware = _number(before, statics.HARDWARE) == _number(after, statics.HARDWARE)
    ghosts = {name: f"{name} (as weighed)" for name in _gone(before, after, same)}
    after = _stated_coupling_load(before, after, ghosts, same["trailer"])
    if variant.weighed:
        now = tuple(item.name for item in (*after.tow_items, *after.trailer_items))
        tickets = [t if t.aboard is not None else replace(t, aboard=now) for t in after.weighings]
    else:
        tickets = [
            _as_then(ticket, before, ghosts, hardware)
            for ticket in before.weighings
            if _speaks(ticket, before, after, same, hardware=hardware)
        ]
    after = _with_ghosts(before, after, same, ghosts, hardware=hardware)
    if same["trailer"] and not variant.weighed and COUPLED not in {ticket.state for ticket in tickets}:
        tickets += _of_the_trailer(today, ghosts, len(before.weighings))
    readings = {r.path: r for t in tickets for r in t.readings.values()}
    return replace(after, weighings=tuple(tickets), stated={**after.stated, **readings})


def _same(before: Rig, after: Rig, variant: Variant, vehicle: str, measures: tuple[str, ...]) -> bool:
    """Whether a vehicle is still the one that was weighed."""
    if vehicle in variant.replaced or any(_number(before, path) != _number(after, path) for path in measures):
        return False
    one, other = (_unloaded(rig, vehicle) for rig in (before, after))
    alike = all(
        _figure(a) == _figure(b) for a, b in ((one.total, other.total), (one.ahead, other.ahead), (one.behind, other.behind))
    )
    return alike and [e.item for e in one.includes] == [e.item for e in other.includes]


def _unloaded(rig: Rig, vehicle: str) -> Unloaded:
    return rig.tow_unloaded if vehicle == "tow_vehicle" else rig.trailer_unloaded


def _items(rig: Rig, vehicle: str) -> tuple[Item, ...]:
    return rig.tow_items if vehicle == "tow_vehicle" else rig.trailer_items


def _figure(stated: Stated | None) -> tuple[float, float] | None:
    return None if stated is None else (stated.number, stated.sigma)


def _number(rig: Rig, path: str) -> object:
    stated = rig.get(path)
    return None if stated is None else stated.value


def _alike(one: Item, other: Item | None) -> bool:
    """Whether an item is still the same thing at the same place."""
    if other is None or (one.tank is None) != (other.tank is None):
        return False
    if one.tank and other.tank:
        contents = (one.tank.holds, _figure(one.tank.volume), _figure(one.tank.filled))
        if contents != (other.tank.holds, _figure(other.tank.volume), _figure(other.tank.filled)):
            return False
    return _figure(one.mass) == _figure(other.mass) and _figure(one.station) == _figure(other.station)


def _gone(before: Rig, after: Rig, same: Mapping[str, bool]) -> list[str]:
    """What was aboard a vehicle that is still there and is now elsewhere, otherwise, or away."""
    gone = []
    for vehicle in (vehicle for vehicle, kept in same.items() if kept):
        now = {item.name: item for item in _items(after, vehicle)}
        gone += [item.name for item in _items(before, vehicle) if not _alike(item, now.get(item.name))]
    return gone


def _speaks(ticket: Weighing, before: Rig, after: Rig, same: Mapping[str, bool], *, hardware: bool) -> bool:
    """Whether a ticket speaks of the vehicles and the hitch that are there now."""
    if ticket.state == "alone":
        return same["tow_vehicle"]
    if ticket.state not in (COUPLED, DISTRIBUTING):
        return same["trailer"]
    if not all(same.values()) or _number(before, statics.OVERHANG) != _number(after, statics.OVERHANG):
        return False
    hitch = before.names["coupling.parts"] == after.names["coupling.parts"] and hardware
    return ticket.state == COUPLED or (after.word("coupling.kind") == BARS and hitch)  # other bars move another load


def _as_then(ticket: Weighing, before: Rig, ghosts: Mapping[str, str], hardware: bool) -> Weighing:
    """A ticket that names what was on the scale, with what has changed under the name it had then."""
    names = ticket.aboard
    if names is None:
        names = tuple(item.name for item in (*before.tow_items, *before.trailer_items))
    renamed = tuple(ghosts.get(name, name) for name in names)
    if hardware or not ticket.hardware:
        return replace(ticket, aboard=renamed)
    return replace(ticket, aboard=(*renamed, _OLD_HARDWARE), hardware=False)


_OLD_HARDWARE = "hitch hardware (as weighed)"


def _with_ghosts(before: Rig, after: Rig, same: Mapping[str, bool], ghosts: Mapping[str, str], *, hardware: bool) -> Rig:
    """The rig with what the tickets weighed and it no longer carries, as things that have left."""
    fields: dict[str, object] = {}
    now = _figures(after)
    then: dict[str, Stated] = {}
    for vehicle, kept in same.items():
        if not kept:
            continue
        left = [replace(_then(item, now), name=ghosts[item.name]) for item in _items(before, vehicle) if item.name in ghosts]
        if vehicle == "tow_vehicle" and not hardware:
            left += [_then(item, now) for item in _old_hardware(before)]
        then |= {s.path: s for item in left for s in (item.mass, item.station) if s}
        unloaded = _unloaded(after, vehicle)
        held = tuple(Included(ghosts.get(e.item, e.item), e.mass) for e in unloaded.includes)
        short = "tow" if vehicle == "tow_vehicle" else "trailer"
        fields[f"{short}_items"] = (*_items(after, vehicle), *left)
        fields[f"{short}_unloaded"] = replace(unloaded, includes=held)
    stated = {**then, **after.stated}
    return replace(after, stated=stated, **fields)  # type: ignore[arg-type]  # the fields are named by vehicle


def _old_hardware(before: Rig) -> list[Item]:
    """The hitch that was on the scale, at the coupling."""
    mass, overhang = before.get(statics.HARDWARE), before.get(statics.OVERHANG)
    if mass is None:
        return []
    station = replace(overhang, value=-overhang.number) if overhang else None
    return [Item(_OLD_HARDWARE, statics.HARDWARE, mass, station)]


def _figures(rig: Rig) -> dict[str, Stated]:
    """Every figure that the rig's loads may be made of, by path."""
    items = (*rig.tow_items, *rig.trailer_items)
    placed = {item.station.path: item.station for item in items if item.station}
    return {path: s for path, s in rig.stated.items() if isinstance(s.value, float)} | placed | _fillings(items)


def _fillings(items: tuple[Item, ...]) -> dict[str, Stated]:
    return {item.tank.filled.path: item.tank.filled for item in items if item.tank}


def _then(item: Item, now: Mapping[str, Stated]) -> Item:
    """A thing that has left, with the figures it had.

    A figure that is the same today stays one with it, so that a thing that was only moved is no less well known for it.
    """

    def figure(stated: Stated | None) -> Stated | None:
        if stated is None or _figure(stated) == _figure(now.get(stated.path)):
            return stated
        return replace(stated, path=f"{stated.path} (as weighed)")

    tank = item.tank
    if tank is not None:
        volume, filled = figure(tank.volume), figure(tank.filled)
        assert volume is not None and filled is not None
        tank = replace(tank, volume=volume, filled=filled)
    return replace(item, mass=figure(item.mass), station=figure(item.station), tank=tank, aboard=False)


def _stated_coupling_load(before: Rig, after: Rig, ghosts: Mapping[str, str], trailer_stays: bool) -> Rig:
    """A coupling load that was stated goes with its trailer, and changes with what the trailer carries."""
    path = "coupling_load"
    stated = before.get(path)
    if stated is None or _figure(after.get(path)) != _figure(stated):
        return after
    if not trailer_stays:
        return replace(after, stated={p: s for p, s in after.stated.items() if p.partition(".")[0] != path})
    return replace(after, listed=tuple(ghosts.get(item.name, item.name) for item in before.trailer_items if item.aboard))


def _of_the_trailer(today: Report, ghosts: Mapping[str, str], index: int) -> list[Weighing]:
    """What the tickets told of the trailer by itself, as one ticket; nothing unless both its loads were weighed.

    One that weighed the trailer alone stays as it is.
    """
    if any(w.state == "trailer_alone" for w in today.rig.weighings):
        return []
    found: dict[str, Estimate] = {}
    for reading, name in (("coupling", "coupling.vertical"), ("trailer_axles", "trailer.axle_group")):
        best = today.facts.loads[name, COUPLED].best
        if best is None or best.method not in WEIGHED or best.at_least:
            return []
        found[reading] = best
    when = max((w.on for w in today.rig.weighings), default="")
    line = next((s.line for p, s in today.rig.stated.items() if p.startswith("weighings[")), 0)
    readings = {
        reading: Stated(f"{TODAY}.{reading}", nominal(e.value), line, "mass", "kg", sigma(e.value), "scale_ticket")
        for reading, e in found.items()
    }
    aboard = tuple(ghosts.get(item.name, item.name) for item in today.rig.trailer_items if item.aboard)
    return [Weighing(index, "trailer_alone", when, readings, aboard, True)]
