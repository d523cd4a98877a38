"""Loads from items at stations: moments about two supports, nothing else.

Stations of the tow vehicle count ahead of the rear axle, those of the trailer behind the coupling. With the wheelbase L, the
coupling at o behind the rear axle and at D ahead of the trailer's axle centre:

- an item w at station s:      front += w s / L, rear += w (1 - s / L)
- the coupling load T:         front -= T o / L, rear += T (1 + o / L)
- a trailer item w at x:       coupling += w (D - x) / D, axles += w x / D

Two supports under a rigid body: equilibrium alone fixes them, so springs and helpers cannot change them.
"""

from __future__ import annotations

import csv
import importlib.resources
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from rigmargin.loads.estimate import Ask
from rigmargin.loads.value import Value, nominal
from rigmargin.spec.rig import Item, Unloaded
from rigmargin.spec.settings import Figure
from rigmargin.spec.stated import relative_sigma

WHEELBASE = "tow_vehicle.wheelbase"
OVERHANG = "tow_vehicle.coupling_behind_rear_axle"
REACH = "trailer.coupling_to_axle_centre"
HARDWARE = "coupling.hardware_mass"
FROM_ITEMS = "model: coupling load from items"  # what moves between the coupling and the trailer's axles
#: How much of each item is counted: 1 aboard, 0 not, a difference between two times.
Count = Callable[[Item], float]


@dataclass(frozen=True, slots=True)
class Pair:
    """A load on two supports: front and rear axle, or coupling and trailer axles. kg."""

    ahead: Value
    behind: Value

    def __add__(self, other: Pair) -> Pair:
        return Pair(self.ahead + other.ahead, self.behind + other.behind)

    @property
    def sum(self) -> Value:
        """Both supports together."""
        return self.ahead + self.behind


def aboard(item: Item) -> float:
    """Counts what travels now."""
    return 1.0 if item.aboard else 0.0


@cache
def liquids() -> dict[str, dict[str, str]]:
    """Densities by content: the rows of ``liquids.csv``."""
    text = importlib.resources.files("rigmargin.loads").joinpath("liquids.csv").read_text("utf-8")
    return {row["holds"]: row for row in csv.DictReader(text.splitlines())}


def mass(ask: Ask, item: Item) -> Value:
    """Mass of an item in kg; of a tank, volume times fill times density."""
    if item.tank is None:
        stated = ask.of(item.mass, f"{item.path}.mass")
        return stated if item.part == 1.0 else item.part * stated
    row = liquids()[item.tank.holds]
    low, high = float(row["low"]), float(row["high"])
    # a rectangle over the range found in the source: JCGM 100:2008, 4.3.7
    density = ask.figures.new(
        f"model: density of {item.tank.holds}", 1000 * float(row["kg_per_litre"]), 1000 * (high - low) / math.sqrt(12)
    )
    filled = ask.figures.of(item.tank.filled)
    volume = filled if item.tank.filled.dimension == "volume" else filled * ask.figures.of(item.tank.volume)
    return volume * density


def included(ask: Ask, item: Item, unloaded: Unloaded) -> Value:
    """How much of an item the unloaded mass already holds, kg."""
    entry = next((entry for entry in unloaded.includes if entry.item == item.name), None)
    if entry is None:
        return 0.0
    return mass(ask, item) if entry.mass is None else ask.figures.of(entry.mass)


def added(ask: Ask, item: Item, unloaded: Unloaded) -> Value:
    """What an item adds to the unloaded mass: less than its own mass where that already holds some of it, and less than
    nothing where that holds it but it does not travel. kg."""
    return aboard(item) * mass(ask, item) - included(ask, item, unloaded)


def differs(unloaded: Unloaded) -> Count:
    """Counts the items by which the loaded vehicle differs from its unloaded mass."""
    wholly = {entry.item for entry in unloaded.includes if entry.mass is None}
    partly = {entry.item for entry in unloaded.includes} - wholly
    return lambda item: float(item.name in partly or item.aboard != (item.name in wholly))


def empty(ask: Ask, unloaded: Unloaded, path: str, names: tuple[str, str]) -> Pair:
    """The unloaded vehicle on its two supports; one of them may be the total less the other. kg."""
    total, ahead, behind = unloaded.total, unloaded.ahead, unloaded.behind
    if total and ahead and not behind:
        return Pair(ask.figures.of(ahead), ask.figures.of(total) - ask.figures.of(ahead))
    if total and behind and not ahead:
        return Pair(ask.figures.of(total) - ask.figures.of(behind), ask.figures.of(behind))
    return Pair(ask.of(ahead, f"{path}.{names[0]}"), ask.of(behind, f"{path}.{names[1]}"))


def empty_total(ask: Ask, unloaded: Unloaded, path: str) -> Value:
    """The unloaded vehicle's whole mass, kg."""
    if unloaded.total is None and unloaded.ahead and unloaded.behind:
        return ask.figures.of(unloaded.ahead) + ask.figures.of(unloaded.behind)
    return ask.of(unloaded.total, f"{path}.total")


def _station(ask: Ask, item: Item) -> Value:
    return ask.of(item.station, f"{item.path}.at")


def tow_items(ask: Ask, count: Count, of: Callable[[Ask, Item], Value] = mass) -> Pair:
    """Items of the tow vehicle on its front and rear axle, each counted ``count`` times, kg."""
    front: Value = 0.0
    rear: Value = 0.0
    for item in ask.rig.tow_items:
        times = count(item)
        if times:
            lever = _station(ask, item) / ask.at(WHEELBASE)
            weight = times * of(ask, item)
            front, rear = front + weight * lever, rear + weight * (1 - lever)
    return Pair(front, rear)


def trailer_items(ask: Ask, count: Count, of: Callable[[Ask, Item], Value] = mass) -> Pair:
    """Items of the trailer on the coupling and on its axles, each counted ``count`` times, kg."""
    coupling: Value = 0.0
    axles: Value = 0.0
    for item in ask.rig.trailer_items:
        times = count(item)
        if times:
            lever = _station(ask, item) / ask.at(REACH)
            weight = times * of(ask, item)
            coupling, axles = coupling + weight * (1 - lever), axles + weight * lever
    return Pair(coupling, axles)


def total(ask: Ask, items: tuple[Item, ...], count: Count, of: Callable[[Ask, Item], Value] = mass) -> Value:
    """Items together wherever they sit, each counted ``count`` times, kg."""
    whole: Value = 0.0
    for item in items:
        times = count(item)
        if times:
            whole = whole + times * of(ask, item)
    return whole


def tow_items_total(ask: Ask) -> Value:
    """All that the tow vehicle carries now, kg."""
    return total(ask, ask.rig.tow_items, aboard)


def hardware(ask: Ask) -> Value:
    """The hitch hardware's mass, kg."""
    return ask.at(HARDWARE)


def at_coupling(ask: Ask, load: Value) -> Pair:
    """A load at the coupling on the tow vehicle's front and rear axle, kg."""
    lever = ask.at(OVERHANG) / ask.at(WHEELBASE)
    return Pair(-load * lever, load * (1 + lever))


def tow_vehicle_alone(ask: Ask) -> Pair:
    """The loaded tow vehicle without trailer on its front and rear axle, from its items, kg."""
    unloaded = ask.rig.tow_unloaded
    vehicle = empty(ask, unloaded, "tow_vehicle.unloaded", ("front", "rear"))
    items = tow_items(ask, differs(unloaded), lambda a, item: added(a, item, unloaded))
    return vehicle + items + at_coupling(ask, hardware(ask))


def tow_vehicle_alone_total(ask: Ask) -> Value:
    """The loaded tow vehicle without trailer, from its items wherever they sit, kg."""
    unloaded = ask.rig.tow_unloaded
    items = total(ask, ask.rig.tow_items, differs(unloaded), lambda a, item: added(a, item, unloaded))
    return empty_total(ask, unloaded, "tow_vehicle.unloaded") + items + hardware(ask)


def trailer_coupled(ask: Ask) -> Pair:
    """The loaded trailer on the coupling and on its axles, from its items, kg.

    Unless the empty trailer's coupling load was weighed, the model's own uncertainty is added: what leaves the coupling
    goes to the axles, so the trailer's whole mass does not take part in it.
    """
    unloaded = ask.rig.trailer_unloaded
    trailer = empty(ask, unloaded, "trailer.unloaded", ("coupling", "axles"))
    loaded = trailer + trailer_items(ask, differs(unloaded), lambda a, item: added(a, item, unloaded))
    if unloaded.ahead and unloaded.ahead.source in ("scale_ticket", "measured"):
        return loaded
    spread = max(map(abs, doubts_from_items(nominal(loaded.ahead), nominal(loaded.sum), ask.rig.settings.evidence)))
    shift = ask.figures.new(FROM_ITEMS, 0.0, spread) if not ask.missing else 0.0
    return loaded + Pair(shift, -shift)


def doubts_from_items(coupling: float, whole: float, settled: Mapping[str, Figure]) -> tuple[float, float]:
    """The two standard uncertainties of a coupling load from items, of which the larger counts: as a share of it, and of the
    whole trailer. kg; the first has the sign of the load."""
    return (
        coupling * relative_sigma("computed_coupling_load", settled),
        whole * relative_sigma("computed_coupling_floor", settled),
    )


def trailer_total(ask: Ask) -> Value:
    """The loaded trailer, from its items wherever they sit, kg."""
    unloaded = ask.rig.trailer_unloaded
    items = total(ask, ask.rig.trailer_items, differs(unloaded), lambda a, item: added(a, item, unloaded))
    return empty_total(ask, unloaded, "trailer.unloaded") + items


def unladen_without_items(ask: Ask) -> Value:
    """The tow vehicle's unloaded mass less what it says it includes, kg."""
    return without_items(ask, ask.rig.tow_unloaded, "tow_vehicle.unloaded", ask.rig.tow_items)


def without_items(ask: Ask, unloaded: Unloaded, path: str, items: tuple[Item, ...]) -> Value:
    """A vehicle's unloaded mass less what it says it includes, kg."""
    base = empty_total(ask, unloaded, path)
    held = {entry.item for entry in unloaded.includes}
    return base - total(ask, items, lambda item: float(item.name in held), lambda a, i: included(a, i, unloaded))
