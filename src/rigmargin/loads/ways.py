"""How a load is made in several ways side by side, and which of them are kept.

Which ways lead to which load is the business of ``trailer`` and ``tow_vehicle``.
"""

from __future__ import annotations

from collections.abc import Callable

from rigmargin.loads.estimate import METHODS, Ask, Estimate, Lack, Load
from rigmargin.loads.value import Figures, Value, nominal, sigma
from rigmargin.loads.weighing import Readings, kept, latest
from rigmargin.spec.rig import Rig

Loads = dict[tuple[str, str], Load]
COUPLED, DISTRIBUTING, ALONE = "coupled", "coupled_distributing", "alone"
ON_JACK, TRAILER_ALONE = "trailer_on_jack", "trailer_alone"
#: Loads that cannot be zero or less: tickets that say so are not of one rig, and nothing may be concluded from them. (A front
#: axle or a coupling can be computed to less than zero, and that is a finding.)
_POSITIVE = frozenset({"tow_vehicle.gross", "trailer.gross", "trailer.axle_group", "combination.gross"})
#: What would make any load known when nothing nearer is to be named.
_ANY_WAY = ("weighings.coupled.tow_vehicle", "weighings.coupled.trailer_axles", "weighings.alone.tow_vehicle")


class Ways:
    """The loads made so far of one rig, and the means to make more."""

    def __init__(self, rig: Rig, figures: Figures) -> None:
        self.rig = rig
        self.figures = figures
        self.tickets: Readings = latest(rig, figures)
        self.made: Loads = {}

    def keep(self, name: str, state: str, *ways: Estimate | Lack, dimension: str = "mass") -> None:
        """Store a load with its estimates in order of METHODS; of the lacks, keep the shortest way out of each kind."""
        found, lacks = kept(ways)
        estimates: list[Estimate] = []
        for estimate in found:
            if name in _POSITIVE and nominal(estimate.value) <= 0:
                continue
            if not any(_same(estimate, known) for known in estimates):  # the same sum by another route tells nothing new
                estimates.append(estimate)
        estimates.sort(key=lambda e: METHODS.index(e.method))
        lacking = () if estimates else _shortest([lack for lack in lacks if lack.paths])
        self.made[name, state] = Load(name, state, dimension, tuple(estimates), lacking)

    def weighed(self, read: Callable[[Ask], Value], how: str, *states: str, method: str = "weighed") -> Estimate | Lack:
        """An estimate from the tickets of ``states``."""
        ask = self.tickets.ask()
        value = read(ask)
        tickets = [self.tickets.latest[s] for s in states if s in self.tickets.latest]
        changed = any(self.tickets.changed(ticket) for ticket in tickets)
        how += ", brought up to date with what came aboard or left since" if changed else ""
        return ask.done(value, method, how, " and ".join(ticket.path for ticket in tickets))

    def computed(self, make: Callable[[Ask], Value], how: str, origin: str, method: str = "computed") -> Estimate | Lack:
        """An estimate from what the file states."""
        ask = self.tickets.ask()
        return ask.done(make(ask), method, how, origin)

    def best(self, ask: Ask, name: str, *, exact: bool = True) -> Value:
        """The best estimate of a load already made; what is missing for it becomes missing here."""
        load = self.made[name, COUPLED]
        estimate = next((e for e in load.estimates if not (exact and e.at_least)), None)
        if estimate is None:
            ask.lacks(*(load.lacking or ("weighings.coupled.tow_vehicle",)))
            return 1.0
        return estimate.value

    def exact(self, name: str) -> Estimate | None:
        """The best estimate of a load already made that is not a mere lower bound."""
        return next((e for e in self.made[name, COUPLED].estimates if not e.at_least), None)

    def method(self, *names: str) -> str:
        """The method of something derived from other loads: only as good as the worst of them."""
        found = [best.method for name in names for best in [self.exact(name)] if best]
        worst = max(found, key=METHODS.index, default="computed")
        return "weighed_and_levers" if worst == "weighed" else worst


def _same(one: Estimate, other: Estimate) -> bool:
    difference = one.value - other.value
    return abs(nominal(difference)) < 1e-6 and sigma(difference) < 1e-6


def _shortest(lacks: list[Lack]) -> tuple[str, ...]:
    """The paths of the shortest way by tickets and of the shortest by other figures."""
    by_ticket = [lack for lack in lacks if all(path.startswith("weighings") for path in lack.paths)]
    by_items = [lack for lack in lacks if lack not in by_ticket]
    chosen = [min(group, key=lambda lack: len(lack.paths)) for group in (by_ticket, by_items) if group]
    return tuple(dict.fromkeys(path for lack in chosen for path in lack.paths)) or _ANY_WAY
