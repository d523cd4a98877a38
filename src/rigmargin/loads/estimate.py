"""What a derivation yields: an estimate of a load, or what it lacked to make one."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from rigmargin.loads.value import Figures, Value, expanded, nominal, sigma
from rigmargin.spec.rig import Rig
from rigmargin.spec.stated import Stated

#: How an estimate was made, best first. A lower one never replaces a higher one, but see ``best_first``; all are shown.
METHODS = ("weighed", "weighed_and_levers", "lower_bound", "computed", "stated")


WEIGHED = ("weighed", "weighed_and_levers")
CONTRADICTION = 3.0  # standard uncertainties of a difference: beyond this two figures cannot both be right


class Estimate(NamedTuple):
    """One way of knowing a load."""

    value: Value  # kg, or a plain ratio
    method: str  # one of METHODS
    how: str  # plain words
    origin: str  # the path it mainly rests on, such as "weighings[0]"
    lists: str = ""  # the list in the file whose emptiness makes this a mere lower bound
    as_read: Value | None = None  # the same from the tickets as they were read, when something has come aboard or left since
    heaviest: Value | None = None  # of several axles as one entry: the mean, which the one that carries most is never below

    @property
    def at_least(self) -> bool:
        """Whether the true load may be larger than this."""
        return self.method == "lower_bound" or bool(self.lists)


class Lack(NamedTuple):
    """What one derivation would have needed, by path."""

    paths: tuple[str, ...]


@dataclass(frozen=True)
class Load:
    """One load of the rig in one state, with every way in which it is known."""

    name: str  # such as "tow_vehicle.axles.rear"
    state: str  # "coupled" (no bars, or bars slack) or "coupled_distributing"
    dimension: str  # "mass" or "ratio"
    estimates: tuple[Estimate, ...]  # best first
    tickets: tuple[str, ...]  # unless it is weighed: the fewest readings that would weigh it
    items: tuple[str, ...]  # unless it is known: the fewest figures of the file that would let it be computed

    @property
    def best(self) -> Estimate | None:
        """The estimate that is used."""
        return self.estimates[0] if self.estimates else None

    @cached_property
    def rivals(self) -> tuple[Estimate, ...]:
        """The estimates that contradict the best one and have the standing to: of its own rank, or bounds that it falls below.

        A weighing is contradicted by a weighing, never by a sum of guesses; what is only computed, by any other way.
        """
        return tuple(e for e in self.peers if self.best and contradicts(e, self.best))

    @property
    def peers(self) -> tuple[Estimate, ...]:
        """The estimates beside the best one that would have the standing to contradict it."""
        best = self.best
        if best is None or best.at_least:
            return ()
        alike = (best.method,) if best.method in WEIGHED else METHODS
        return tuple(e for e in self.estimates[1:] if e.at_least or e.method in alike)


def best_first(estimates: Sequence[Estimate]) -> list[Estimate]:
    """Estimates of one load in the order of METHODS; a lower bound gives way to the next that lies above it with all its doubt.

    Such a bound has nothing to add: no limit that it passes is kept by the other.
    """
    ordered = sorted(estimates, key=lambda e: METHODS.index(e.method))
    for i, (one, other) in enumerate(itertools.pairwise(ordered)):
        exact = one.method == "lower_bound" and not other.at_least
        if exact and nominal(other.value) - expanded(other.value) >= nominal(one.value):
            ordered[i : i + 2] = other, one
            break
    return ordered


def contradicts(one: Estimate, other: Estimate) -> bool:
    """Whether two estimates of one load cannot both be right; a bound only when the other falls below it."""
    difference = one.value - other.value
    apart = nominal(difference) if one.at_least else abs(nominal(difference))
    return apart > CONTRADICTION * sigma(difference) + 1e-6


class Ask:
    """Fetches the figures of one derivation and remembers those that are absent.

    An absent figure reads as 1 so that the arithmetic can run to its end and every gap is found in one pass; ``done``
    then throws the result away.
    """

    def __init__(self, rig: Rig, figures: Figures) -> None:
        self.rig, self.figures = rig, figures
        self.as_read = False  # whether tickets are taken as they were read, without what came aboard or left since
        self.by_items = False  # whether this derivation rests on items rather than on tickets
        self.missing: list[str] = []

    def at(self, path: str) -> Value:
        """The figure at ``path``."""
        return self.of(self.rig.get(path), path)

    def of(self, stated: Stated | None, path: str) -> Value:
        """A figure that may be absent; ``path`` names it when it is."""
        if stated is None:
            self.lacks(path)
            return 1.0
        return self.figures.of(stated)

    def lacks(self, *paths: str) -> None:
        """Remember what is absent."""
        self.missing += [path for path in paths if path not in self.missing]

    def done(self, value: Value, method: str, how: str, origin: str) -> Estimate | Lack:
        """The estimate, or what was missing for it."""
        return Lack(tuple(self.missing)) if self.missing else Estimate(value, method, how, origin)
