"""What tickets prove, and nothing that they do not.

Each ticket is first brought to the rig as it travels now: what was not on the scale is added, what has since left is taken
off, each at its station. Then every load follows by sums and differences of readings; a reading used twice is one variable.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from rigmargin.loads import statics
from rigmargin.loads.estimate import Ask, Estimate, Lack
from rigmargin.loads.value import COVERAGE, Figures, Value
from rigmargin.spec.rig import Item, Rig, Weighing
from rigmargin.spec.stated import Stated

COUPLED = ("coupled", "coupled_distributing")
WITH_VEHICLE = ("alone", *COUPLED)


@dataclass(frozen=True, slots=True)
class Readings:
    """The latest ticket of each state.

    Many ways to a load rest on the same few readings as they travel now: each is worked out once, with what it lacks.
    """

    rig: Rig
    figures: Figures
    latest: dict[str, Weighing]
    _known: dict[tuple[str, str, bool], tuple[Value, list[str]]] = field(init=False, default_factory=dict)
    _moved: dict[str, bool] = field(init=False, default_factory=dict)

    def ask(self) -> Ask:
        """A fresh collector of figures for one derivation."""
        return Ask(self.rig, self.figures)

    def front(self, ask: Ask, state: str) -> Value:
        """The tow vehicle's front axle in ``state``, as it travels now, kg."""
        return self._axle(ask, state, "front")

    def rear(self, ask: Ask, state: str) -> Value:
        """The tow vehicle's rear axle in ``state``, as it travels now, kg."""
        return self._axle(ask, state, "rear")

    def tow_vehicle(self, ask: Ask, state: str) -> Value:
        """Both axles of the tow vehicle in ``state``, as it travels now, kg."""

        def read(ask: Ask, ticket: Weighing) -> Value:
            return self._vehicle(ask, ticket) + self._vehicle_change(ask, ticket)

        return self._once(ask, state, "tow_vehicle", read)

    def trailer_axles(self, ask: Ask, state: str) -> Value:
        """All the trailer's axles in ``state``, as it travels now, kg."""

        def read(ask: Ask, ticket: Weighing) -> Value:
            return self._group(ask, ticket) + self._trailer_change(ask, ticket).behind

        return self._once(ask, state, "trailer_axles", read)

    def trailer_axle(self, ask: Ask, state: str, name: str) -> Value:
        """One entry of the trailer's axles in ``state``, kg; only while nothing has moved since the ticket."""
        ticket = self._ticket(ask, state, f"trailer_axles.{name}")
        if ticket is None:
            return 1.0
        reading = ticket.readings.get(f"trailer_axles.{name}")
        if self._trailer_changed(ticket):
            ask.lacks(f"weighings.{state}.trailer_axles.{name}")  # how a change spreads over unlike axles is not known
        return self._or_lacks(ask, self._read(ticket, reading) if reading else None, ticket, f"trailer_axles.{name}")

    def coupling(self, ask: Ask, state: str) -> Value:
        """A load read at the coupling itself, as it travels now, kg."""

        def read(ask: Ask, ticket: Weighing) -> Value:
            reading = self._or_lacks(ask, self._first(ticket, ("coupling",)), ticket, "coupling")
            return reading * self._lever(ask, ticket) + self._trailer_change(ask, ticket).ahead

        return self._once(ask, state, "coupling", read)

    def left_share(self, ask: Ask, axle: str) -> Value:
        """The left wheels' share of one axle of the tow vehicle, or of the ``trailer``'s axles together, from the latest ticket
        that read each side."""
        for state in (*COUPLED[::-1], "trailer_alone" if axle == "trailer" else "alone"):
            ticket = self.latest.get(state)
            sides = [self._first(ticket, (f"{axle}_{side}",)) for side in ("left", "right")] if ticket else []
            if sides and all(side is not None for side in sides):
                left, right = sides
                assert left is not None and right is not None
                return left / (left + right)
        ask.lacks(f"weighings.coupled.{axle}_left", f"weighings.coupled.{axle}_right")
        return 1.0

    def all(self, ask: Ask, state: str) -> Value:
        """Everything on the scale in ``state``, as it travels now, kg."""

        def read(ask: Ask, ticket: Weighing) -> Value:
            return self._whole(ask, ticket) + self._mass_change(ask, ticket)

        return self._once(ask, state, "all", read)

    def printed(self, ask: Ask, state: str, *names: str) -> Value:
        """Readings that the ticket prints beside others which add up to the same, as it travels now, kg."""
        ticket = self._ticket(ask, state, names[0])
        if ticket is None:
            return 1.0
        value = self._or_lacks(ask, self._first(ticket, names), ticket, *names)
        if names[0] == "all":
            return value + self._mass_change(ask, ticket)
        if names[0] == "tow_vehicle":
            return value + self._vehicle_change(ask, ticket)
        change = self._pair_change(ask, ticket)
        return value + (change.ahead if names[0].startswith("front") else change.behind)

    def prints(self, state: str, *names: str) -> bool:
        """Whether the latest ticket of ``state`` has all these readings."""
        return state in self.latest and all(name in self.latest[state].readings for name in names)

    def changed(self, ticket: Weighing) -> bool:
        """Whether anything that counts on this ticket has come aboard or left since."""
        if ticket.path not in self._moved:
            changed = any(self._changed(ticket, item) for item in stood(self.rig, ticket.state))
            self._moved[ticket.path] = self._lacks_hardware(ticket) or changed
        return self._moved[ticket.path]

    # --- one ticket's parts ------------------------------------------------------------------------------------------

    def _once(self, ask: Ask, state: str, what: str, read: Callable[[Ask, Weighing], Value]) -> Value:
        """What the ticket of ``state`` says, worked out by the first who asks; what it lacked is missing for each who does."""
        ticket = self._ticket(ask, state, what)
        if ticket is None:
            return 1.0
        key = what, state, ask.as_read
        if key not in self._known:
            own = self.ask()
            own.as_read = ask.as_read
            self._known[key] = read(own, ticket), own.missing
        value, missing = self._known[key]
        ask.lacks(*missing)
        return value

    def _ticket(self, ask: Ask, state: str, reading: str) -> Weighing | None:
        ticket = self.latest.get(state)
        if ticket is None:
            ask.lacks(f"weighings.{state}.{reading}")
        return ticket

    def _first(self, ticket: Weighing, *choices: tuple[str, ...]) -> Value | None:
        """The sum of the first of ``choices`` whose readings are all on the ticket."""
        for names in choices:
            found = [ticket.readings[name] for name in names if name in ticket.readings]
            if found and len(found) == len(names):
                return sum((self._read(ticket, f) for f in found[1:]), self._read(ticket, found[0]))
        return None

    def _read(self, ticket: Weighing, reading: Stated) -> Value:
        """A reading with its scale's own tolerance: one unknown factor for all that was read on that scale that day."""
        own = reading.path.partition(".")[0]  # of two tickets read as one, the one that has this reading
        tolerance = self.rig.get(f"{own}.tolerance")
        if tolerance is None:
            return self.figures.of(reading)
        scale = self.rig.word(f"{own}.at")
        same = (w.path for w in self.rig.weighings if scale and (self.rig.word(f"{w.path}.at"), w.on) == (scale, ticket.on))
        first = next(same, own)
        return self.figures.of(reading) * self.figures.new(f"{first}.tolerance", 1.0, tolerance.number / COVERAGE)

    def _lever(self, ask: Ask, ticket: Weighing) -> Value:
        """What a reading at the coupling is multiplied by: (a + b) / a of a beam, and (D - d) / D for a scale d behind it."""
        factor: Value = 1.0
        support, scale = (self.rig.get(f"{ticket.path}.beam.{end}") for end in ("support_to_coupling", "coupling_to_scale"))
        if support and scale:
            factor = (self.figures.of(support) + self.figures.of(scale)) / self.figures.of(support)
        behind = self.rig.get(f"{ticket.path}.scale_behind_coupling")
        if behind:
            reach = ask.at(statics.REACH)
            factor = factor * (reach - self.figures.of(behind)) / reach
        return factor

    def _or_lacks(self, ask: Ask, value: Value | None, ticket: Weighing, *readings: str) -> Value:
        if value is None:
            ask.lacks(*(f"weighings.{ticket.state}.{reading}" for reading in readings))
            return 1.0
        return value

    def _axle_reading(self, ask: Ask, ticket: Weighing, axle: str) -> Value:
        return self._or_lacks(ask, self._wheels(ticket, axle), ticket, axle)

    def _wheels(self, ticket: Weighing, axle: str) -> Value | None:
        return self._first(ticket, (axle,), (f"{axle}_left", f"{axle}_right"))

    def _axle(self, ask: Ask, state: str, axle: str) -> Value:
        def read(ask: Ask, ticket: Weighing) -> Value:
            change = self._pair_change(ask, ticket)
            return self._axle_reading(ask, ticket, axle) + (change.ahead if axle == "front" else change.behind)

        return self._once(ask, state, axle, read)

    def _both_axles(self, ticket: Weighing) -> Value | None:
        """The tow vehicle as its axles were read, or as one reading under both."""
        front, rear = self._wheels(ticket, "front"), self._wheels(ticket, "rear")
        if front is not None and rear is not None:
            return front + rear
        return self._first(ticket, ("tow_vehicle",), ("all",) if ticket.state == "alone" else ())

    def _all_axles(self, ticket: Weighing) -> Value | None:
        """The trailer's axles as one reading, or as the sum of each or of both sides."""
        each = tuple(f"trailer_axles.{axle.name}" for axle in self.rig.trailer_axles)
        return self._first(ticket, ("trailer_axles",), each, ("trailer_left", "trailer_right"))

    def _difference(self, ticket: Weighing, other: Value | None) -> Value | None:
        """What is left of a coupled rig's one reading when the other vehicle's axles were read too."""
        whole = self._first(ticket, ("all",)) if ticket.state in COUPLED else None
        return None if whole is None or other is None else whole - other

    def _vehicle(self, ask: Ask, ticket: Weighing) -> Value:
        value = self._both_axles(ticket)
        if value is None:
            value = self._difference(ticket, self._all_axles(ticket))
        absent = [axle for axle in ("front", "rear") if self._wheels(ticket, axle) is None]
        return self._or_lacks(ask, value, ticket, *absent)

    def _group(self, ask: Ask, ticket: Weighing) -> Value:
        value = self._all_axles(ticket)
        if value is None:
            value = self._difference(ticket, self._both_axles(ticket))
        return self._or_lacks(ask, value, ticket, "trailer_axles")

    def _whole(self, ask: Ask, ticket: Weighing) -> Value:
        """Everything on the scale. The sum of its parts goes first: a gross printed beside them is mostly that very sum, and
        to take it for one reading would claim to know it better than it is known."""
        reading, group = self._first(ticket, ("all",)), self._all_axles(ticket)
        rest = self._first(ticket, ("coupling",)) if ticket.state == "trailer_alone" else self._both_axles(ticket)
        if ticket.state == "alone":
            return self._vehicle(ask, ticket)
        if reading is not None and (rest is None or group is None):
            return reading
        if ticket.state == "trailer_alone":
            return self._or_lacks(ask, rest, ticket, "coupling") + self._group(ask, ticket)
        return self._vehicle(ask, ticket) + self._group(ask, ticket)

    # --- what has changed since the ticket ---------------------------------------------------------------------------

    def _changed(self, ticket: Weighing, item: Item) -> float:
        """1 for what came aboard since the ticket, -1 for what left, 0 for what stayed as it was."""
        then = ticket.aboard is None or item.name in ticket.aboard
        return statics.aboard(item) - (1.0 if then else 0.0)

    def _pair_change(self, ask: Ask, ticket: Weighing) -> statics.Pair:
        """Change on the tow vehicle's front and rear axle."""
        if ask.as_read:
            return statics.Pair(0.0, 0.0)
        change = statics.tow_items(ask, lambda item: self._changed(ticket, item))
        if self._lacks_hardware(ticket):
            change = change + statics.at_coupling(ask, statics.hardware(ask))
        if ticket.state in COUPLED and self._trailer_changed(ticket):
            change = change + statics.at_coupling(ask, self._trailer_change(ask, ticket).ahead)
        return change

    def _vehicle_change(self, ask: Ask, ticket: Weighing) -> Value:
        """Change of the tow vehicle's whole mass on its wheels."""
        if ask.as_read:
            return 0.0
        change = statics.total(ask, self.rig.tow_items, lambda item: self._changed(ticket, item))
        if self._lacks_hardware(ticket):
            change = change + statics.hardware(ask)
        if ticket.state in COUPLED and self._trailer_changed(ticket):
            change = change + self._trailer_change(ask, ticket).ahead
        return change

    def _trailer_changed(self, ticket: Weighing) -> bool:
        return any(self._changed(ticket, item) for item in self.rig.trailer_items)

    def _trailer_change(self, ask: Ask, ticket: Weighing) -> statics.Pair:
        """Change on the coupling and on the trailer's axles."""
        if ask.as_read:
            return statics.Pair(0.0, 0.0)
        return statics.trailer_items(ask, lambda item: self._changed(ticket, item))

    def _mass_change(self, ask: Ask, ticket: Weighing) -> Value:
        """Change of everything that stood on the scale."""
        if ask.as_read:
            return 0.0
        change = statics.total(ask, stood(self.rig, ticket.state), lambda item: self._changed(ticket, item))
        return change + statics.hardware(ask) if self._lacks_hardware(ticket) else change

    def _lacks_hardware(self, ticket: Weighing) -> bool:
        """Whether the tow vehicle stood on the scale without the hitch hardware."""
        return not ticket.hardware and ticket.state in WITH_VEHICLE


def stood(rig: Rig, state: str) -> tuple[Item, ...]:
    """What may be on the scale in ``state``: what the vehicles that stand on it then carry."""
    vehicle = rig.tow_items if state in WITH_VEHICLE else ()
    return vehicle + (rig.trailer_items if state != "alone" else ())


def left_out(rig: Rig, ticket: Weighing) -> tuple[Item, ...]:
    """What travels on a vehicle that was on the scale and is taken to have been off it: its mass is added to the readings."""
    if ticket.aboard is None:
        return ()
    missing = (item for item in stood(rig, ticket.state) if item.aboard and item.name not in ticket.aboard)
    return tuple(item for item in missing if not item.tank or item.tank.share > 0)


def latest(rig: Rig, figures: Figures) -> Readings:
    """The newest ticket of each state. Two of one day and one loading whose readings do not overlap are read as one."""
    found: dict[str, Weighing] = {}
    for ticket in rig.weighings:
        known = found.get(ticket.state)
        if known is None or ticket.on > known.on:
            found[ticket.state] = ticket
        elif ticket.on == known.on:
            found[ticket.state] = _as_one(known, ticket) or ticket
    return Readings(rig, figures, found)


def _as_one(one: Weighing, other: Weighing) -> Weighing | None:
    """Two passes of one state, day and loading as one ticket; None when they cannot be that."""
    alike = (one.aboard, one.hardware) == (other.aboard, other.hardware)
    if not alike or set(one.readings) & set(other.readings):
        return None
    return replace(one, readings={**one.readings, **other.readings})


def kept(results: Sequence[Estimate | Lack]) -> tuple[list[Estimate], list[Lack]]:
    """The estimates and the lacks apart, each in order."""
    return [r for r in results if isinstance(r, Estimate)], [r for r in results if isinstance(r, Lack)]
