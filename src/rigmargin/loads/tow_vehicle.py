"""The ways to the tow vehicle's loads: whole, on each axle, what is charged to its payload, and with the trailer together.

The coupling load counts once: on the tow vehicle here, inside the trailer's own mass there, never twice in the combination.
"""

from __future__ import annotations

from functools import partial

from rigmargin.loads import statics
from rigmargin.loads.estimate import WEIGHED, Ask
from rigmargin.loads.trailer import GROSS, VERTICAL
from rigmargin.loads.value import Value
from rigmargin.loads.ways import ALONE, COUPLED, DISTRIBUTING, TOW_LOAD, Ways

WHOLE, AT_STATIONS = "tow_vehicle.gross", "from the items at their stations"
BARS = "weighed with the bars tensioned"


def derive(w: Ways) -> None:
    """Make every load of the tow vehicle and the combination; the trailer's are made already."""
    _gross(w)
    for axle in ("front", "rear"):
        _axle(w, axle)
    _payload(w)
    _combination(w)
    if any("_left" in name for ticket in w.rig.weighings for name in ticket.readings):
        for name, side in (("front_axle", "front"), ("rear_axle", "rear"), ("trailer", "trailer")):
            share = w.weighed(partial(_left_share, w, side), "left wheels over both sides", COUPLED)
            w.keep(f"{name}.left_share", COUPLED, share, dimension="ratio")


def _left_share(w: Ways, axle: str, ask: Ask) -> Value:
    return w.tickets.left_share(ask, axle)


def _gross(w: Ways) -> None:
    t = w.tickets
    w.keep(
        WHOLE, COUPLED,
        w.weighed(lambda a: t.tow_vehicle(a, COUPLED), "weighed coupled", COUPLED),
        w.weighed(
            lambda a: t.tow_vehicle(a, ALONE) + w.best(a, VERTICAL), "weighed alone, plus the {word:coupling_load}", ALONE,
            method=w.method(VERTICAL),
        ),
        w.computed(
            lambda a: _alone_whole(w, a) + w.best(a, VERTICAL),
            "{word:tow_unloaded} plus items and the {word:coupling_load}", "tow_vehicle", w.method(VERTICAL, own="computed"),
            lists=TOW_LOAD,
        ),
        *w.printed(COUPLED, "tow_vehicle"),
    )  # fmt: skip
    w.keep(
        WHOLE, ALONE,
        w.weighed(lambda a: t.tow_vehicle(a, ALONE), "weighed alone", ALONE),
        w.computed(partial(_alone_whole, w), "{word:tow_unloaded} plus items", "tow_vehicle", lists=TOW_LOAD),
        *w.printed(ALONE, "tow_vehicle"), *w.printed(ALONE, "all"),
    )  # fmt: skip
    if DISTRIBUTING in t.latest:
        together = w.weighed(lambda a: t.tow_vehicle(a, DISTRIBUTING), BARS, DISTRIBUTING)
        w.keep(WHOLE, DISTRIBUTING, together, *w.printed(DISTRIBUTING, "tow_vehicle"))


def _alone_whole(w: Ways, ask: Ask) -> Value:
    return w.once("tow vehicle alone, whole", statics.tow_vehicle_alone_total, ask)


def _axle(w: Ways, axle: str) -> None:
    name, by_lever = f"tow_vehicle.axles.{axle}", "the {word:coupling_load} by its lever"
    read = w.tickets.front if axle == "front" else w.tickets.rear
    wheels = (f"{axle}_left", f"{axle}_right")

    def part(pair: statics.Pair) -> Value:
        return pair.ahead if axle == "front" else pair.behind

    def alone(ask: Ask) -> statics.Pair:
        return w.once("tow vehicle alone", statics.tow_vehicle_alone, ask)

    def from_coupling(ask: Ask) -> statics.Pair:
        return statics.at_coupling(ask, w.best(ask, VERTICAL))

    w.keep(
        name, COUPLED,
        w.weighed(lambda a: read(a, COUPLED), "weighed coupled", COUPLED),
        w.weighed(
            lambda a: read(a, ALONE) + part(from_coupling(a)), f"weighed alone, plus {by_lever}", ALONE,
            method=w.method(VERTICAL),
        ),
        w.computed(
            lambda a: part(alone(a) + from_coupling(a)), f"{AT_STATIONS} and {by_lever}", "tow_vehicle",
            w.method(VERTICAL, own="computed"), lists=TOW_LOAD,
        ),
        *w.printed(COUPLED, *wheels),
    )  # fmt: skip
    w.keep(
        name, ALONE,
        w.weighed(lambda a: read(a, ALONE), "weighed alone", ALONE),
        w.computed(lambda a: part(alone(a)), AT_STATIONS, "tow_vehicle", lists=TOW_LOAD),
        *w.printed(ALONE, *wheels),
    )  # fmt: skip
    if DISTRIBUTING in w.tickets.latest:
        way = w.weighed(lambda a: read(a, DISTRIBUTING), BARS, DISTRIBUTING)
        w.keep(name, DISTRIBUTING, way, *w.printed(DISTRIBUTING, *wheels))


def _payload(w: Ways) -> None:
    """What is charged to the vehicle's payload: people, cargo, hardware and the static coupling load, whatever bars relieve."""
    coupling = w.made[VERTICAL, COUPLED].best
    bound = coupling is not None and coupling.at_least
    w.keep(
        "tow_vehicle.payload_used", COUPLED,
        w.computed(
            lambda a: statics.tow_items_total(a) + statics.hardware(a) + w.best(a, VERTICAL, exact=False),
            "people, cargo and hardware as listed, plus the {word:coupling_load}", "tow_vehicle.load",
            "lower_bound" if bound else w.method(VERTICAL, own="computed"), lists=TOW_LOAD,
        ),
        w.computed(
            lambda a: w.best(a, WHOLE) - statics.unladen_without_items(a), "loaded mass less the {word:tow_unloaded}",
            "tow_vehicle.unloaded", _payload_by_scale(w),
        ),
    )  # fmt: skip
    w.keep(
        "tow_vehicle.payload_by_difference", COUPLED,
        w.computed(
            lambda a: a.at("tow_vehicle.max_mass") - statics.unladen_without_items(a), "{word:tow_max_mass} less the "
            "{word:tow_unloaded}",
            "tow_vehicle.max_mass",
        ),
    )  # fmt: skip


def _payload_by_scale(w: Ways) -> str:
    """Weighed loaded less weighed empty is a measurement; less a brochure's empty mass it is only a claim."""
    unloaded = w.rig.tow_unloaded
    figures = [f for f in (unloaded.total, unloaded.ahead, unloaded.behind) if f]
    weighed_empty = bool(figures) and all(f.source == "scale_ticket" for f in figures)
    gross = w.exact(WHOLE)
    weighed_full = gross is not None and gross.method in WEIGHED
    return "weighed" if weighed_empty and weighed_full else "stated"


def _combination(w: Ways) -> None:
    t = w.tickets
    w.keep(
        "combination.gross", COUPLED,
        w.weighed(lambda a: t.all(a, COUPLED), "everything weighed coupled", COUPLED),
        w.weighed(lambda a: t.all(a, DISTRIBUTING), "everything weighed with the bars tensioned", DISTRIBUTING),
        w.weighed(
            lambda a: t.tow_vehicle(a, ALONE) + w.best(a, GROSS), "{word:tow_vehicle} alone plus the whole trailer", ALONE,
            method=w.method(GROSS),
        ),
        w.computed(
            lambda a: _alone_whole(w, a) + w.best(a, GROSS), "both unloaded masses plus all items",
            "tow_vehicle", lists=TOW_LOAD,
        ),
        *w.printed(COUPLED, "all"), *w.printed(DISTRIBUTING, "all"),
    )  # fmt: skip
