"""What a loading plan may do with a rig, as its file marks it: one option for each thing that could become different.

An item goes to a station or stays behind, whole. A tank is drained or filled to a whole percent of its volume, because nobody
reads a gauge finer; an empty and a full tank are options of their own, because they are known exactly.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from rigmargin.advice.trial import Step
from rigmargin.loads import statics
from rigmargin.loads.estimate import Ask
from rigmargin.loads.value import Figures, nominal
from rigmargin.spec.rig import Item, Place, Rig, Tank


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that may become different. ``low`` to ``high`` are the fillings a tank may be brought to, in whole percent."""

    item: Item
    mass: float  # kg: the item's, or of a tank's contents when it is full
    to: Place | None = None  # where an item goes; None when it stays behind, and for a tank
    low: int = 0
    high: int = 0
    away: float = 0.0  # m from the axles, of the place where an item goes

    @property
    def span(self) -> int:
        """How many percent lie between the ends of the range."""
        return self.high - self.low

    def step(self, percent: int) -> Step:
        """What it does; of a tank, with the filling it is brought to."""
        return Step(self.item, self.to, percent / 100 if self.item.tank else None)

    def left(self, percent: int) -> float:
        """kg left behind or drained, each counted as often as it is reluctantly missed."""
        return self.item.reluctance * self.taken(percent)

    def taken(self, percent: int) -> float:
        """kg left behind or drained."""
        if self.item.tank:
            return max(0.0, self.item.tank.share - percent / 100) * self.mass
        return 0.0 if self.to else self.mass

    def moved(self, percent: int) -> float:
        """kg moved, or filled into a tank."""
        if self.item.tank:
            return max(0.0, percent / 100 - self.item.tank.share) * self.mass
        return self.mass if self.to else 0.0

    def swing(self, _: int) -> float:
        """kg m2 about the axles, of what is moved: what turns hard in a swerve and swings on."""
        return self.mass * self.away**2


def options(rig: Rig) -> tuple[Option, ...]:
    """Every option of the rig, in the file's order. What is not aboard takes no part."""
    ask = Ask(rig, Figures())
    found: list[Option] = []
    for item in (*rig.tow_items, *rig.trailer_items):
        mass = nominal(statics.mass(ask, item))
        if not item.aboard:
            continue
        if item.tank:
            found += _tank(item, mass)
        elif mass > 0:
            found += [Option(item, mass, place, away=_away(rig, place)) for place in elsewhere(item)]
            found += [Option(item, mass)] if item.reluctance else []
    return tuple(found)


def elsewhere(item: Item) -> tuple[Place, ...]:
    """The places where an item may go and is not."""
    vehicle = item.path.partition(".")[0]
    return tuple(place for place in item.may_go_to if (place.vehicle, place.station) != (vehicle, item.station))


def _away(rig: Rig, place: Place) -> float:
    """How far a place is from the trailer's axles, or outside the tow vehicle's wheelbase, m; 0 where that is not known."""
    at = place.station.number
    if place.vehicle == "trailer":
        reach = rig.get(statics.REACH)
        return abs(at - reach.number) if reach else 0.0
    wheelbase = rig.get(statics.WHEELBASE)
    return max(-at, at - wheelbase.number, 0.0) if wheelbase else 0.0


def _tank(item: Item, inside: float) -> list[Option]:
    """Draining and filling within what the file allows."""
    assert item.tank is not None
    full = _full(item, inside)
    ranges = fillings(item.tank, item.tank.may_hold) if item.tank.may_hold else ()
    return [Option(item, full, low=low, high=high) for low, high in ranges]


def fillings(tank: Tank, within: tuple[float, float] = (0.0, 1.0)) -> tuple[tuple[int, int], ...]:
    """The whole percents a tank may be brought to, from and to, each range without what is known exactly: empty, full, and
    what it holds now. ``within`` is the least and the most, shares of its volume."""
    least, most = (round(100 * share, 6) for share in within)
    now = round(100 * tank.share, 6)
    percents = range(math.ceil(least), math.floor(most) + 1)
    groups = itertools.groupby((p for p in percents if p != now), key=lambda p: (p < now, p == 0, p == 100))
    return tuple((min(group), max(group)) for group in (list(each) for _, each in groups))


def _full(item: Item, inside: float) -> float:
    """What a tank holds when full, kg."""
    assert item.tank is not None
    density = 1000 * float(statics.liquids()[item.tank.holds]["kg_per_litre"])
    return inside / item.tank.share if item.tank.share else item.tank.volume.number * density
