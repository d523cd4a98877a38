"""How the trailer stands, and its axles that are not equalized: each by its own springs, where the file tells enough.

The frame is a straight line that turns about the middle of the axles. With the group's load G on axles of rates k, d behind
that middle, and a nose that rises by t for each unit of distance, the compressions are s + t d, so that

    s = (G - t sum(k d)) / sum(k)        axle: k (s + t d)

Nose up loads the rear axle, nose down the front one. Where heights, rates or spacings are not stated, nothing is known but that
the group's load is on its axles: each may carry anything from nothing to all of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from rigmargin.loads import statics
from rigmargin.loads.estimate import METHODS, Ask, Estimate
from rigmargin.loads.value import Value, nominal
from rigmargin.loads.ways import COUPLED, DISTRIBUTING, Ways
from rigmargin.spec.rig import TrailerAxle
from rigmargin.spec.stated import relative_sigma
from rigmargin.spec.units import GRAVITY

HEIGHT, LEVEL_HEIGHT = "coupling.height", "trailer.level_height"
BY_SPRINGS = "by the axles' springs and how the trailer stands"
BY_NOTHING = "an even share, known no better: axles that are not equalized may share in any way"


def nose_up(ask: Ask) -> Value:
    """How steeply the trailer's frame rises towards the coupling, as a share of distance; below zero its nose is down.

    What its springs carry together does not change, so that the frame turns about the middle of its axles.
    """
    return (ask.at(HEIGHT) - ask.at(LEVEL_HEIGHT)) / ask.at(statics.REACH)


def ways(w: Ways, state: str, axle: TrailerAxle, group: Sequence[Estimate], *, weighed: bool) -> list[Estimate]:
    """What is known of an entry of axles that are not equalized from each way in which the group is known.

    Of an entry that stands for several, the one that carries the most. A mere bound of the group tells nothing of one axle, and
    of one that was ``weighed`` an even share tells nothing either.
    """
    found = [_share(w, state, axle, e) for e in group if not e.at_least]
    return [e for e in found if not weighed or e.how != BY_NOTHING]


def _share(w: Ways, state: str, axle: TrailerAxle, group: Estimate) -> Estimate:
    count = sum(each.number for each in w.rig.trailer_axles)
    as_towed = DISTRIBUTING if w.rig.word("coupling.kind") == "weight_distributing" else COUPLED
    if state == as_towed and all(each.equalized == "no" for each in w.rig.trailer_axles):  # heights are as it travels
        ask = w.tickets.ask()
        carried = _by_springs(ask, w, axle, group.value)
        if not ask.missing and carried is not None:
            method = max(group.method, "weighed_and_levers", key=METHODS.index)
            return Estimate(carried, method, f"{group.how}, {BY_SPRINGS}", group.origin)
    even = group.value / count
    unknown = w.figures.new(f"model: share of {axle.name}, not equalized", 0.0, (count - 1) * abs(nominal(even)) / 2)
    return Estimate(even + unknown, max(group.method, "computed", key=METHODS.index), BY_NOTHING, group.origin)


def _by_springs(ask: Ask, w: Ways, axle: TrailerAxle, group: Value) -> Value | None:
    """What the entry carries; None where an axle would hang in the air, which the model does not support. kg.

    Each axle's springs differ from what is stated of them in their own way, so that each rate is in doubt by itself.
    """
    spread = relative_sigma("springs_model", ask.rig.settings.evidence)
    places: list[tuple[str, Value, Value]] = []  # name, rate, how far behind the first
    at: Value = 0.0
    for each in w.rig.trailer_axles:
        rate = ask.at(f"trailer.axles.{each.name}.rate") / GRAVITY
        for i in range(1, each.number + 1):
            at = at + ask.at(f"trailer.axles.{each.name}.spacing") if places else at
            tag = f"model: springs of {each.name}" + (f", axle {i}" if each.number > 1 else "")
            places.append((each.name, rate * w.figures.new(tag, 1.0, spread), at))
    rise = nose_up(ask)
    if ask.missing:
        return None
    middle = sum(place for _, _, place in places) / len(places)
    together = sum(rate for _, rate, _ in places)
    turned = sum(rate * (place - middle) for _, rate, place in places) / together
    carried = [(name, rate * (group / together + rise * (place - middle - turned))) for name, rate, place in places]
    if any(nominal(load) < 0 for _, load in carried):
        return None
    return max((load for name, load in carried if name == axle.name), key=nominal)
