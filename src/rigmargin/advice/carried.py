"""What scale tickets still say of a rig that was changed since, and what they do not.

A ticket speaks of the vehicles it weighed. What was moved, added or taken away is brought up to date on it, each thing at its
station; a ticket of a vehicle or a hitch that is no longer there is set aside. What the tickets told of the trailer by itself
goes with the trailer. What was known by the scale never gives way to a sum of guesses about the same vehicle.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from rigmargin.judge.finding import Report
from rigmargin.loads import statics
from rigmargin.loads.derive import COUPLED, DISTRIBUTING
from rigmargin.loads.estimate import WEIGHED, Estimate, contradicts
from rigmargin.loads.value import nominal, sigma
from rigmargin.spec.options import PARTS
from rigmargin.spec.rig import Included, Item, Rig, Unloaded, Weighing
from rigmargin.spec.stated import Stated

BARS = "weight_distributing"
#: What tickets that are set aside told of the trailer is called this; it stands on no line of its own.
EARLIER = "earlier weighing"
OWN = "weighing"
#: What was measured on both vehicles together: of another pair it says nothing.
OF_THE_WHOLE = ("brake_test", "overall_length", "axle_distance")
_HEAD = "hitch hardware"
_LOAD = "coupling_load"


@dataclass(frozen=True, slots=True)
class Then:
    """A rig as it was weighed or read, seen from the rig as it is now."""

    before: Rig
    after: Rig
    kept: frozenset[str]  # the vehicles that are still the same
    mark: str  # what tells a thing as it was then from the same thing now

    @property
    def gone(self) -> dict[str, str]:
        """What a kept vehicle carried that is now elsewhere, otherwise, or away: its name and the name it has as it was."""
        found: dict[str, str] = {}
        for vehicle in self.kept:
            now = {item.name: item for item in items(self.after, vehicle)}
            found |= {i.name: f"{i.name} [{self.mark}]" for i in items(self.before, vehicle) if not _alike(i, now.get(i.name))}
        return found

    @property
    def same_head(self) -> bool:
        """Whether the hitch hardware weighs what it did and sits where it sat."""
        return all(_number(self.before, path) == _number(self.after, path) for path in (statics.HARDWARE, statics.OVERHANG))

    def names(self, names: Iterable[str]) -> tuple[str, ...]:
        """Names of things on a scale, as the rig now knows them; those of a vehicle that is gone left out."""
        own = {item.name for vehicle in self.kept for item in items(self.before, vehicle)}
        gone = self.gone
        return tuple(gone.get(name, name) for name in names if name in own)


@dataclass(frozen=True, slots=True)
class Source:
    """The rig that some evidence was taken of."""

    rig: Rig
    report: Report  # that rig judged, for what its tickets tell together
    others: frozenset[str]  # the vehicles that are others now
    own: str = ""  # the option that brings newer tickets, taken of the changed rig as it is


def brought_up_to_date(weighed: Source, read: Source, after: Rig) -> Rig:
    """The changed rig with the tickets that still speak of it, and its stated coupling load.

    ``weighed`` is what the earlier tickets were taken of, ``read`` what the stated coupling load was, which may be ``after``
    itself. A newer ticket goes before an earlier one of its state.
    """
    before, kept = weighed.rig, frozenset(PARTS) - weighed.others
    newer = _own(after, weighed.own) if weighed.own else []
    after = _coupling_load(Then(read.rig, after, frozenset(PARTS) - read.others, "as read"))
    if weighed.others:
        after = replace(after, stated={p: s for p, s in after.stated.items() if not p.startswith(OF_THE_WHOLE)})
    then = Then(before, after, kept, "as weighed")
    speaking = [ticket for ticket in before.weighings if _speaks(ticket, then)]
    taken = {ticket.state for ticket in newer}
    tickets = [_as_then(ticket, then) for ticket in speaking if ticket.state not in taken]
    silent = [ticket.path for ticket in before.weighings if ticket not in speaking]
    if silent and "trailer" in kept:
        tickets += _of_the_trailer(weighed.report, then, silent, {ticket.state for ticket in speaking} | taken)
    about = {**_about(after, after.weighings, newer), **_about(before, tickets, tickets)}
    after, tickets = _with_ghosts(then), [*tickets, *newer]
    readings = {r.path: r for t in tickets for r in t.readings.values()}
    return replace(after, weighings=tuple(tickets), stated={**after.stated, **about, **readings})


def _own(rig: Rig, option: str) -> list[Weighing]:
    """An option's own tickets, under names that no other has, and with the names of what was on the scale."""
    everything = tuple(item.name for item in (*rig.tow_items, *rig.trailer_items))
    made = []
    for ticket in rig.weighings:
        label = f"{OWN} {ticket.index + 1} of {option}"
        readings = {name: replace(r, path=r.path.replace(ticket.path, label, 1)) for name, r in ticket.readings.items()}
        aboard = everything if ticket.aboard is None else ticket.aboard
        made.append(replace(ticket, label=label, readings=readings, aboard=aboard))
    return made


def items(rig: Rig, vehicle: str) -> tuple[Item, ...]:
    """What one of the vehicles carries."""
    return rig.tow_items if vehicle == "tow_vehicle" else rig.trailer_items


def _unloaded(rig: Rig, vehicle: str) -> Unloaded:
    return rig.tow_unloaded if vehicle == "tow_vehicle" else rig.trailer_unloaded


def _figure(stated: Stated | None) -> tuple[float, float] | None:
    return None if stated is None else (round(stated.number, 9), stated.sigma)


def _number(rig: Rig, path: str) -> object:
    stated = rig.get(path)
    return round(stated.value, 6) if stated and isinstance(stated.value, float) else stated and stated.value


def _alike(one: Item, other: Item | None) -> bool:
    """Whether an item is still the same thing at the same place."""
    if other is None or (one.tank is None) != (other.tank is None):
        return False
    if one.tank and other.tank:
        contents = (one.tank.holds, _figure(one.tank.volume), _figure(one.tank.filled))
        if contents != (other.tank.holds, _figure(other.tank.volume), _figure(other.tank.filled)):
            return False
    return _figure(one.mass) == _figure(other.mass) and _figure(one.station) == _figure(other.station)


def _speaks(ticket: Weighing, then: Then) -> bool:
    """Whether a ticket speaks of the vehicles and the hitch that are there now."""
    before, after = then.before, then.after
    if ticket.state == "alone":
        return "tow_vehicle" in then.kept
    if ticket.state not in (COUPLED, DISTRIBUTING):
        return "trailer" in then.kept
    if then.kept != set(PARTS) or _number(before, statics.OVERHANG) != _number(after, statics.OVERHANG):
        return False
    if ticket.state == COUPLED:
        return True
    same_hitch = before.names["coupling.parts"] == after.names["coupling.parts"] and then.same_head
    # other bars move another load, and so do the same bars on a vehicle that stands otherwise
    return after.word("coupling.kind") == BARS and same_hitch and _springs(before) == _springs(after)


def _springs(rig: Rig) -> dict[str, object]:
    """What the file says of the tow vehicle's springs."""
    return {path: stated.value for path, stated in rig.stated.items() if ".suspension." in path}


def _as_then(ticket: Weighing, then: Then) -> Weighing:
    """A ticket that names what was on the scale, with what has changed under the name it had then."""
    everything = (item.name for item in (*then.before.tow_items, *then.before.trailer_items))
    names = then.names(everything if ticket.aboard is None else ticket.aboard)
    if then.same_head or not ticket.hardware:
        return replace(ticket, aboard=names)
    return replace(ticket, aboard=(*names, f"{_HEAD} [{then.mark}]"), hardware=False)


def _about(rig: Rig, tickets: Sequence[Weighing], renamed: Sequence[Weighing]) -> dict[str, Stated]:
    """What a rig's file says of the scales of some tickets (tolerance, place, beam), by the names the tickets now have."""
    found = {}
    for ticket, now in zip(tickets, renamed, strict=False):
        prefix = f"{ticket.path}."
        for path, stated in rig.stated.items():
            if path.startswith(prefix):
                name = f"{now.path}.{path.removeprefix(prefix)}"
                found[name] = replace(stated, path=name)
    return found


def _with_ghosts(then: Then) -> Rig:
    """The rig with what was on the scale and it no longer carries, as things that have left."""
    after, gone, now = then.after, then.gone, _figures(then.after)
    stated: dict[str, Stated] = {}
    fields: dict[str, object] = {}
    for vehicle in then.kept:
        left = [_left(i, gone[i.name], then, now) for i in items(then.before, vehicle) if i.name in gone]
        if vehicle == "tow_vehicle" and not then.same_head:
            left += [_left(i, f"{_HEAD} [{then.mark}]", then, now) for i in _head(then.before)]
        stated |= {s.path: s for item in left for s in (item.mass, item.station) if s}
        unloaded = _unloaded(after, vehicle)
        held = tuple(Included(gone.get(e.item, e.item), e.mass) for e in _unloaded(then.before, vehicle).includes)
        short = "tow" if vehicle == "tow_vehicle" else "trailer"
        fields[f"{short}_items"] = (*items(after, vehicle), *left)
        fields[f"{short}_unloaded"] = replace(unloaded, includes=held)
    stated = {**stated, **after.stated}
    return replace(after, stated=stated, **fields)  # type: ignore[arg-type]  # the fields are named by vehicle


def _head(rig: Rig) -> list[Item]:
    """The hitch that was on the scale, at the coupling."""
    mass, overhang = rig.get(statics.HARDWARE), rig.get(statics.OVERHANG)
    if mass is None:
        return []
    station = replace(overhang, value=-overhang.number) if overhang else None
    return [Item(_HEAD, statics.HARDWARE, mass, station)]


def _figures(rig: Rig) -> dict[str, Stated]:
    """Every figure that the rig's loads may be made of, by path."""
    everything = (*rig.tow_items, *rig.trailer_items)
    placed = {item.station.path: item.station for item in everything if item.station}
    filled = {item.tank.filled.path: item.tank.filled for item in everything if item.tank}
    return {path: s for path, s in rig.stated.items() if isinstance(s.value, float)} | placed | filled


def _left(item: Item, name: str, then: Then, now: Mapping[str, Stated]) -> Item:
    """A thing that has left, with the figures it had.

    A figure that is the same today stays one with it, so that a thing that was only moved is no less well known for it.
    """

    def figure(stated: Stated | None) -> Stated | None:
        if stated is None or _figure(stated) == _figure(now.get(stated.path)):
            return stated
        return replace(stated, path=f"{stated.path} [{then.mark}]")

    tank = item.tank
    if tank is not None:
        volume, filled = figure(tank.volume), figure(tank.filled)
        assert volume is not None and filled is not None
        tank = replace(tank, volume=volume, filled=filled)
    return replace(item, name=name, mass=figure(item.mass), station=figure(item.station), tank=tank, aboard=False)


def _coupling_load(then: Then) -> Rig:
    """A coupling load that was stated goes with its trailer, and changes with what the trailer carries."""
    before, after = then.before, then.after
    if before is after or after.get(_LOAD) is None:
        return after
    if "trailer" not in then.kept:
        return replace(after, stated={p: s for p, s in after.stated.items() if p.partition(".")[0] != _LOAD})
    listed = then.names(item.name for item in before.trailer_items if item.aboard)
    return replace(_with_ghosts(replace(then, kept=frozenset({"trailer"}))), listed=listed)


def _of_the_trailer(weighed: Report, then: Then, silent: list[str], taken: set[str]) -> list[Weighing]:
    """What the tickets that are set aside told of the trailer by itself, as tickets of the trailer.

    Two ways that contradict each other go on two tickets, so that they still do.
    """
    told = {
        reading: _told(weighed, name, silent)
        for reading, name in (
            ("coupling", "coupling.vertical"),
            ("trailer_axles", "trailer.axle_group"),
            ("all", "trailer.gross"),
        )
    }
    if told["coupling"] and told["trailer_axles"]:
        told["all"] = told["all"][1:]  # the sum of the other two, unless another way contradicts it
    aboard = then.names(item.name for item in then.before.trailer_items if item.aboard)
    when = max((w.on for w in then.before.weighings), default="")
    line = next((s.line for p, s in then.before.stated.items() if p.startswith("weighings[")), 0)
    known = sum(ticket.label.startswith(EARLIER) for ticket in then.before.weighings)
    made: list[Weighing] = []
    for state, reads in (("trailer_on_jack", ("coupling", "trailer_axles")), ("trailer_alone", tuple(told))):
        first = [reading for reading in reads if told[reading]]
        if state in taken or not first:
            continue
        label = f"{EARLIER} {known + len(made) + 1}"
        readings = {r: _reading(f"{label}.{r}", told[r].pop(0), line) for r in first}
        made.append(Weighing(len(then.before.weighings) + len(made), state, when, readings, aboard, True, label))
    return made


def _told(weighed: Report, name: str, silent: list[str]) -> list[Estimate]:
    """The weighed estimates of a load that rest on a ticket set aside: the best, and those that contradict it."""
    load = weighed.facts.loads[name, COUPLED]
    found = [e for e in load.estimates if e.method in WEIGHED and not e.at_least and any(p in e.origin for p in silent)]
    return [*found[:1], *(e for e in found[1:] if contradicts(e, found[0]))]


def _reading(path: str, estimate: Estimate, line: int) -> Stated:
    return Stated(path, nominal(estimate.value), line, "mass", "kg", sigma(estimate.value), "scale_ticket")
