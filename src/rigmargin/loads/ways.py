"""How a load is made in several ways side by side, and which of them are kept.

Which ways lead to which load is the business of ``trailer`` and ``tow_vehicle``.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property, partial
from typing import Any, TypeVar

from rigmargin.loads.estimate import CONTRADICTION, METHODS, WEIGHED, Ask, Estimate, Lack, Load, best_first
from rigmargin.loads.statics import Pair
from rigmargin.loads.value import Figures, Value, nominal, sigma
from rigmargin.loads.weighing import Readings, kept, latest
from rigmargin.spec.rig import Rig

Made = TypeVar("Made", Value, Pair)
Loads = dict[tuple[str, str], Load]
COUPLED, DISTRIBUTING, ALONE = "coupled", "coupled_distributing", "alone"
ON_JACK, TRAILER_ALONE = "trailer_on_jack", "trailer_alone"
ONE_MORNING = (COUPLED, DISTRIBUTING, ALONE)  # the states that one visit to a truck scale weighs
GAUGE = f"weighings.{ON_JACK}.coupling"  # the reading of a noseweight gauge
#: Loads that cannot be zero or less: tickets that say so are not of one rig, and nothing may be concluded from them. (A front
#: axle or a coupling can be computed to less than zero, and that is a finding.)
_POSITIVE = frozenset({"tow_vehicle.gross", "trailer.gross", "trailer.axle_group", "combination.gross"})
TOW_LOAD, TRAILER_LOAD = "tow_vehicle.load", "trailer.load"
#: What would make any load known when nothing nearer is to be named.
_ANY_WAY = ("weighings.coupled.tow_vehicle", "weighings.coupled.trailer_axles", "weighings.alone.tow_vehicle")


class Ways:
    """The loads made so far of one rig, and the means to make more."""

    def __init__(self, rig: Rig, figures: Figures) -> None:
        self.rig = rig
        self.figures = figures
        self.tickets: Readings = latest(rig, figures)
        self.made: Loads = {}
        self._once: dict[str, tuple[Any, list[str]]] = {}

    def keep(self, name: str, state: str, *ways: Estimate | Lack, dimension: str = "mass") -> None:
        """Store a load with its estimates, best first, and with the shortest way to weigh or to compute it."""
        found, lacks = kept(ways)
        estimates: list[Estimate] = []
        for estimate in found:
            if name in _POSITIVE and nominal(estimate.value) <= 0:
                continue
            if not any(_same(estimate, known) for known in estimates):  # the same sum by another route tells nothing new
                estimates.append(estimate)
        estimates = best_first(estimates)
        tickets = [lack.paths for lack in lacks if lack.paths and all(path.startswith("weighings") for path in lack.paths)]
        items = [lack.paths for lack in lacks if lack.paths and not any(path.startswith("weighings") for path in lack.paths)]
        weighed = bool(estimates) and estimates[0].method in WEIGHED
        by_ticket = () if weighed or not tickets else min(tickets, key=self._trouble)
        by_items = () if estimates or not items else min(items, key=len)
        if not estimates and not by_ticket and not by_items:
            by_ticket = _ANY_WAY
        self.made[name, state] = Load(name, state, dimension, tuple(estimates), by_ticket, by_items)

    def _trouble(self, readings: tuple[str, ...]) -> tuple[bool, bool, int]:
        """How much trouble a set of readings is: the least goes first.

        A truck scale weighs the rig coupled and alone in one morning, and few people own a scale for the coupling. Behind a
        European ball it is the other way round: a noseweight gauge is at hand, so that sets with its reading go first. A rig
        without bars is not sent to be weighed with its bars tensioned.
        """
        kind = self.rig.word("coupling.kind")
        gauge = kind == "european_ball"
        passes = ONE_MORNING if kind == "weight_distributing" else (COUPLED, ALONE)
        handy = all(path.split(".")[1] in passes or (gauge and path == GAUGE) for path in readings)
        return not handy, gauge and GAUGE not in readings, len(readings)

    def weighed(self, read: Callable[[Ask], Value], how: str, *states: str, method: str = "weighed") -> Estimate | Lack:
        """An estimate from the tickets of ``states``."""
        if len(states) > 1 and not self.one_loading and not {COUPLED, DISTRIBUTING}.isdisjoint(states):
            return Lack(tuple(f"weighings.{state}.all" for state in states))
        ask = self.tickets.ask()
        try:
            value = read(ask)
        except ZeroDivisionError:  # what it is a share of came out as nothing: such tickets tell no share
            return Lack(tuple(f"weighings.{state}.front" for state in states))
        if method == "lower_bound" and ask.missing:
            return Lack(())  # the readings of a bound would not weigh it
        tickets = [self.tickets.latest[s] for s in states if s in self.tickets.latest]
        changed = any(self.tickets.changed(ticket) for ticket in tickets)
        origin = " and ".join(ticket.path for ticket in tickets)
        if not changed or method not in ("weighed", "lower_bound"):  # others rest on more than tickets
            how += ", brought up to date with what came aboard or left since" if changed else ""
            return ask.done(value, method, how, origin)
        done = ask.done(value, method, f"{how}, brought up to date with what came aboard or left since", origin)
        then = self.tickets.ask()
        then.as_read = True
        try:
            return done._replace(as_read=read(then)) if isinstance(done, Estimate) else done
        except ZeroDivisionError:  # as they were read they tell no share
            return done

    def computed(
        self, make: Callable[[Ask], Value], how: str, origin: str, method: str = "computed", *, lists: str = ""
    ) -> Estimate | Lack:
        """An estimate from what the file states; no more than a lower bound where ``lists`` names nobody or nothing."""
        ask = self.tickets.ask()
        ask.by_items = True
        done = ask.done(make(ask), method, how, origin)
        if lists and isinstance(done, Estimate) and not self.listed(lists):
            return done._replace(lists=lists)
        return done

    def printed(self, state: str, *names: str) -> tuple[Estimate | Lack, ...]:
        """Readings that the ticket of ``state`` prints beside others which add up to the same; nothing when it prints none."""
        if not self.tickets.prints(state, *names):
            return ()
        read = partial(self._printed, state, names)
        return (self.weighed(read, f"printed on the ticket ({' and '.join(names).replace('_', ' ')})", state),)

    def _printed(self, state: str, names: tuple[str, ...], ask: Ask) -> Value:
        return self.tickets.printed(ask, state, *names)

    @cached_property
    def one_loading(self) -> bool:
        """Whether the two coupled tickets can be of one loading: their totals agree within three standard uncertainties.

        When they do not, nothing may be concluded from a coupled ticket together with another.
        """
        ask = self.tickets.ask()
        difference = self.tickets.all(ask, COUPLED) - self.tickets.all(ask, DISTRIBUTING)
        return bool(ask.missing) or abs(nominal(difference)) <= CONTRADICTION * sigma(difference) + 1e-6

    def listed(self, path: str) -> bool:
        """Whether a list can be whole: a tow vehicle travels with somebody, a trailer's list is at least there."""
        if path == TRAILER_LOAD:
            return path in self.rig.names
        return any(item.person and item.aboard for item in self.rig.tow_items)

    def once(self, name: str, make: Callable[[Ask], Made], ask: Ask) -> Made:
        """A load or pair of loads that several ways rest on, made once; what it lacked is missing for each of them."""
        if name not in self._once:
            own = self.tickets.ask()
            self._once[name] = make(own), own.missing
        made: Made
        made, missing = self._once[name]
        ask.lacks(*missing)
        return made

    def best(self, ask: Ask, name: str, state: str = COUPLED, *, exact: bool = True) -> Value:
        """The best estimate of a load already made; what is missing for it becomes missing here."""
        load = self.made[name, state]
        estimate = next((e for e in load.estimates if not (exact and e.at_least)), None)
        if estimate is None:
            ways = (load.items, load.tickets) if ask.by_items else (load.tickets, load.items)
            ask.lacks(*next((way for way in ways if way), _ANY_WAY))
            return 1.0
        return estimate.value

    def exact(self, name: str, state: str = COUPLED) -> Estimate | None:
        """The best estimate of a load already made that is not a mere lower bound."""
        return next((e for e in self.made[name, state].estimates if not e.at_least), None)

    def method(self, *names: str, own: str = "weighed_and_levers") -> str:
        """The method of something derived in its ``own`` way from other loads: only as good as the worst of them."""
        found = [best.method for name in names for best in [self.exact(name)] if best]
        return max([own, *found], key=METHODS.index)


def _same(one: Estimate, other: Estimate) -> bool:
    # the difference itself is only worth making for numbers that are alike
    return abs(nominal(one.value) - nominal(other.value)) < 1e-6 and sigma(one.value - other.value) < 1e-6
