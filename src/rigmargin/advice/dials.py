"""What may be set otherwise on a report's page, and what a setting does: tanks, people, and what the file marks as movable."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rigmargin.advice.choices import elsewhere, fillings
from rigmargin.advice.trial import Step
from rigmargin.spec.rig import Item, Place, Rig

HEAVIEST = 150.0  # kg: as far as the dial of a person goes; to twice the mass stated, where that is more


@dataclass(frozen=True, slots=True)
class Range:
    """The settings of a dial from one to another, between which sums are straight lines; one setting may be both."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Dial:
    """One thing that may be set otherwise: a tank in percent of its volume, a person in kg, any other thing by its choice."""

    item: Item
    kind: str  # "tank", "person" or "thing"
    now: float  # of a thing 0, and its choices are counted from 1
    ranges: tuple[Range, ...]  # every setting but the one of now
    places: tuple[Place, ...] = ()  # where a thing may go; it is left behind at the setting after them

    def step(self, setting: float) -> Step:
        """What a setting does."""
        if self.kind == "tank":
            return Step(self.item, share=setting / 100)
        if self.kind == "person":
            return Step(self.item, share=setting / self.now)
        return Step(self.item, self.places[int(setting) - 1]) if setting <= len(self.places) else Step(self.item)


def dials(rig: Rig) -> Iterator[Dial]:
    """Every tank and every person aboard, and what the file marks as movable, where its place is known."""
    for item in (*rig.tow_items, *rig.trailer_items):
        if not item.aboard or item.station is None:
            continue
        if item.tank:
            ranges = tuple(Range(low, high) for low, high in fillings(item.tank))
            yield Dial(item, "tank", round(100 * item.tank.share, 6), ranges)
        elif item.mass and item.mass.number > 0 and item.person:
            yield Dial(item, "person", item.mass.number, (Range(0.0, max(HEAVIEST, 2 * item.mass.number)),))
        elif item.mass and item.mass.number > 0:
            places = elsewhere(item)
            choices = len(places) + bool(item.reluctance)
            if choices:
                yield Dial(item, "thing", 0, tuple(Range(n, n) for n in range(1, choices + 1)), places)
