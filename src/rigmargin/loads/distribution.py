"""What distributing bars do, from the tickets: what the front axle lost and got back, what moved to the trailer, the moment.

A hinge at the ball with a moment M across it. With the wheelbase L, the coupling at o behind the rear axle and at D ahead of
the trailer's axle centre, moments about the trailer's axles and about the tow vehicle's give

- front axle: + M (D + o) / (L D);   rear axle: - M (D + o + L) / (L D);   trailer's axles: + M / D

They sum to zero: nothing is taken off the road. Derived from equilibrium; the ratios depend on geometry only.
"""

from __future__ import annotations

from functools import partial

from rigmargin.loads import statics
from rigmargin.loads.estimate import Ask
from rigmargin.loads.value import Value, nominal
from rigmargin.loads.ways import ALONE, COUPLED, DISTRIBUTING, Ways
from rigmargin.spec.units import GRAVITY

NOTHING = 1e-6  # kg
SHIFT = "bars tensioned less bars slack"
PAIR, THREE = (DISTRIBUTING, COUPLED), (DISTRIBUTING, COUPLED, ALONE)
NAMES = {
    "front_axle.lost": "mass",
    "front_axle.regained": "mass",
    "front_axle.restored": "ratio",
    "front_axle.lost_by_lever": "mass",
    "trailer.axles_gained": "mass",
    "coupling.net": "mass",
    "coupling.overhang": "length",
    "bars.moment_by_front": "moment",
    "bars.moment_by_rear": "moment",
    "bars.moment_by_trailer": "moment",
    "combination.bars_slack": "mass",
    "combination.bars_tensioned": "mass",
}


def coupling_by_moments(w: Ways, ask: Ask) -> Value:
    """The static coupling load from a ticket with the bars tensioned and one of the tow vehicle alone, kg.

    Moments about the trailer's axles: T = N + (L (Fa - Fc) + o N) / D with the net load N = Fa + Ra - Fc - Rc. It needs a
    single or an equalized group of trailer axles and a level rig.
    """
    t = w.tickets
    if len(w.rig.trailer_axles) == 0 or (sum(a.number for a in w.rig.trailer_axles) > 1 and not _equalized(w)):
        ask.lacks("trailer.axles")
    net = t.tow_vehicle(ask, DISTRIBUTING) - t.tow_vehicle(ask, ALONE)
    front = t.front(ask, DISTRIBUTING) - t.front(ask, ALONE)
    return net + (ask.at(statics.WHEELBASE) * front + ask.at(statics.OVERHANG) * net) / ask.at(statics.REACH)


def _equalized(w: Ways) -> bool:
    return all(axle.equalized == "yes" for axle in w.rig.trailer_axles)


def derive(w: Ways) -> None:
    """Make what follows from pairs of tickets; nothing when the tickets are not there."""
    have = set(w.tickets.latest)
    if {COUPLED, ALONE} <= have:
        _slack(w)
    if {COUPLED, DISTRIBUTING} <= have:
        _bars(w)
    if {COUPLED, DISTRIBUTING, ALONE} <= have:
        w.keep(
            "front_axle.restored",
            COUPLED,
            w.weighed(lambda a: _over(_front(w, a, DISTRIBUTING, COUPLED), _front(w, a, ALONE, COUPLED)), SHIFT, *THREE),
            dimension="ratio",
        )
    if {DISTRIBUTING, ALONE} <= have:
        t = w.tickets
        net = w.weighed(
            lambda a: t.tow_vehicle(a, DISTRIBUTING) - t.tow_vehicle(a, ALONE), "bars tensioned less alone", DISTRIBUTING, ALONE
        )
        w.keep("coupling.net", COUPLED, net)


def _front(w: Ways, ask: Ask, state: str, less: str) -> Value:
    return w.tickets.front(ask, state) - w.tickets.front(ask, less)


def _over(part: Value, whole: Value) -> Value:
    """A quotient of differences of readings; two readings that are alike differ by nothing, and by what rounding leaves."""
    if abs(nominal(whole)) < NOTHING:
        raise ZeroDivisionError
    return part / whole


def _slack(w: Ways) -> None:
    """What the coupling load does without bars, by the scale and by the lever."""
    t = w.tickets

    def coupling(ask: Ask) -> Value:
        return t.tow_vehicle(ask, COUPLED) - t.tow_vehicle(ask, ALONE)

    w.keep("front_axle.lost", COUPLED, w.weighed(lambda a: _front(w, a, ALONE, COUPLED), "alone less coupled", ALONE, COUPLED))
    w.keep(
        "front_axle.lost_by_lever",
        COUPLED,
        w.weighed(
            lambda a: -statics.at_coupling(a, coupling(a)).ahead, "the {word:coupling_load} by its lever", ALONE, COUPLED
        ),
    )
    overhang = w.weighed(
        lambda a: _over(a.at(statics.WHEELBASE) * _front(w, a, ALONE, COUPLED), coupling(a)),
        "implied by the tickets",
        ALONE,
        COUPLED,
    )
    w.keep("coupling.overhang", COUPLED, overhang, dimension="length")


def _bars(w: Ways) -> None:
    """What tensioning the bars moved, and their moment by each of the three routes."""
    t = w.tickets

    def rear(ask: Ask) -> Value:
        return t.rear(ask, COUPLED) - t.rear(ask, DISTRIBUTING)

    def moved(ask: Ask) -> Value:
        return t.trailer_axles(ask, DISTRIBUTING) - t.trailer_axles(ask, COUPLED)

    def geometry(ask: Ask) -> tuple[Value, Value, Value]:
        return ask.at(statics.WHEELBASE), ask.at(statics.OVERHANG), ask.at(statics.REACH)

    def by_front(ask: Ask) -> Value:
        base, overhang, reach = geometry(ask)
        return GRAVITY * _front(w, ask, DISTRIBUTING, COUPLED) * base * reach / (reach + overhang)

    def by_rear(ask: Ask) -> Value:
        base, overhang, reach = geometry(ask)
        return GRAVITY * rear(ask) * base * reach / (base + reach + overhang)

    def by_trailer(ask: Ask) -> Value:
        return GRAVITY * moved(ask) * ask.at(statics.REACH)

    w.keep("front_axle.regained", COUPLED, w.weighed(lambda a: _front(w, a, DISTRIBUTING, COUPLED), SHIFT, *PAIR))
    w.keep("trailer.axles_gained", COUPLED, w.weighed(moved, SHIFT, *PAIR))
    for route, make in (("front", by_front), ("rear", by_rear), ("trailer", by_trailer)):
        w.keep(f"bars.moment_by_{route}", COUPLED, w.weighed(make, SHIFT, *PAIR), dimension="moment")
    for name, state in (("combination.bars_slack", COUPLED), ("combination.bars_tensioned", DISTRIBUTING)):
        w.keep(name, COUPLED, w.weighed(partial(_everything, w, state), "everything weighed", state))


def _everything(w: Ways, state: str, ask: Ask) -> Value:
    return w.tickets.all(ask, state)
