"""The ways to the trailer's loads: on the coupling, whole, on its axles together and on each of them."""

from __future__ import annotations

from rigmargin.loads import attitude, distribution, statics
from rigmargin.loads.estimate import METHODS, Ask, Estimate, Lack
from rigmargin.loads.value import Value
from rigmargin.loads.ways import ALONE, COUPLED, DISTRIBUTING, ON_JACK, TRAILER_ALONE, TRAILER_LOAD, Ways
from rigmargin.spec.rig import TrailerAxle
from rigmargin.spec.stated import relative_sigma

GROSS, GROUP, VERTICAL, SHARE = "trailer.gross", "trailer.axle_group", "coupling.vertical", "coupling.share"


def derive(w: Ways) -> None:
    """Make every load of the trailer."""
    _coupling(w)
    _gross(w)
    _axle_group(w)
    _share(w)
    for state in (COUPLED, DISTRIBUTING):
        for axle in w.rig.trailer_axles if (GROUP, state) in w.made else ():
            _axle(w, state, axle)


def _items(w: Ways, ask: Ask) -> statics.Pair:
    """The trailer on its coupling and on its axles from its items."""
    if not w.listed(TRAILER_LOAD):
        ask.lacks(TRAILER_LOAD)  # what is aboard may press on the coupling or lift it
    return w.once("trailer coupled", statics.trailer_coupled, ask)


def _coupling(w: Ways) -> None:
    t = w.tickets
    w.keep(
        VERTICAL, COUPLED,
        w.weighed(lambda a: t.coupling(a, ON_JACK), "read on its own scale", ON_JACK),
        w.weighed(lambda a: t.coupling(a, TRAILER_ALONE), "read on its own scale", TRAILER_ALONE),
        w.weighed(
            lambda a: t.tow_vehicle(a, COUPLED) - t.tow_vehicle(a, ALONE),
            "{word:tow_vehicle} coupled less alone", COUPLED, ALONE,
        ),
        w.weighed(
            lambda a: t.all(a, TRAILER_ALONE) - t.trailer_axles(a, COUPLED), "whole trailer less its axles coupled",
            TRAILER_ALONE, COUPLED,
        ),
        w.weighed(
            lambda a: t.all(a, TRAILER_ALONE) - t.trailer_axles(a, TRAILER_ALONE),
            "whole trailer less its axles, the coupling held beside the scale", TRAILER_ALONE,
        ),
        _stated(w),
        w.weighed(
            lambda a: t.tow_vehicle(a, DISTRIBUTING) - t.tow_vehicle(a, ALONE),
            "{word:tow_vehicle} with the bars tensioned less alone: the bars have moved part of the load to the "
            "trailer's axles",
            DISTRIBUTING, ALONE, method="lower_bound",
        ),
        w.weighed(
            lambda a: distribution.coupling_by_moments(w, a),
            "bars tensioned and alone, by moments about the trailer's axles", DISTRIBUTING, ALONE, method="weighed_and_levers",
        ),
        w.computed(lambda a: _items(w, a).ahead, "from the trailer's items at their stations", "trailer"),
    )  # fmt: skip


def _stated(w: Ways) -> Estimate | Lack:
    """The coupling load as the file states it on its own: a reading, or a claim."""
    ask = w.tickets.ask()
    stated = w.rig.get("coupling_load")
    known = stated is not None and stated.source in ("scale_ticket", "measured")
    how = "stated as measured" if known else "stated in the file"
    listed = w.rig.listed
    value = ask.at("coupling_load")
    if listed is not None:  # a trial: what came aboard or left since changes the load that was read there
        value = value + statics.trailer_items(ask, lambda item: statics.aboard(item) - float(item.name in listed)).ahead
    return ask.done(value, "weighed" if known else "stated", how, "coupling_load")


def _stated_measured(w: Ways, ask: Ask) -> Value:
    stated = _stated(w)
    if isinstance(stated, Lack) or stated.method != "weighed":
        ask.lacks("coupling_load")
        return 1.0
    return stated.value


def _gross(w: Ways) -> None:
    t = w.tickets
    w.keep(
        GROSS, COUPLED,
        w.weighed(lambda a: t.all(a, TRAILER_ALONE), "the trailer weighed alone", TRAILER_ALONE),
        w.weighed(
            lambda a: t.all(a, COUPLED) - t.tow_vehicle(a, ALONE), "everything coupled less the {word:tow_vehicle} alone",
            COUPLED, ALONE,
        ),
        w.weighed(
            lambda a: t.all(a, DISTRIBUTING) - t.tow_vehicle(a, ALONE),
            "everything with the bars tensioned less the {word:tow_vehicle} alone", DISTRIBUTING, ALONE,
        ),
        w.weighed(lambda a: t.coupling(a, ON_JACK) + t.trailer_axles(a, COUPLED), "coupling plus axles", ON_JACK, COUPLED),
        w.weighed(lambda a: t.coupling(a, ON_JACK) + t.trailer_axles(a, ON_JACK), "coupling plus axles", ON_JACK),
        w.weighed(
            lambda a: t.coupling(a, TRAILER_ALONE) + t.trailer_axles(a, COUPLED), "coupling plus axles", TRAILER_ALONE, COUPLED
        ),
        w.weighed(
            lambda a: _stated_measured(w, a) + t.trailer_axles(a, COUPLED), "stated {word:coupling_load} plus "
            "axles weighed", COUPLED
        ),
        w.computed(statics.trailer_total, "{word:trailer_unloaded} plus items", "trailer", lists=TRAILER_LOAD),
        *w.printed(TRAILER_ALONE, "all"),
    )  # fmt: skip


def _axle_group(w: Ways) -> None:
    t, apart = w.tickets, "axles weighed with the coupling on its own scale"
    w.keep(
        GROUP, COUPLED,
        w.weighed(lambda a: t.trailer_axles(a, COUPLED), "axles weighed coupled", COUPLED),
        w.weighed(lambda a: t.trailer_axles(a, ON_JACK), apart, ON_JACK),
        w.weighed(lambda a: t.trailer_axles(a, TRAILER_ALONE), apart, TRAILER_ALONE),
        w.computed(
            lambda a: w.best(a, GROSS) - w.best(a, VERTICAL), "trailer's whole mass less the {word:coupling_load}", "trailer",
            w.method(GROSS, VERTICAL),
        ),
        w.computed(lambda a: _items(w, a).behind, "from the trailer's items at their stations", "trailer"),
    )  # fmt: skip
    if DISTRIBUTING in t.latest:
        way = w.weighed(lambda a: t.trailer_axles(a, DISTRIBUTING), "axles weighed with the bars tensioned", DISTRIBUTING)
        w.keep(GROUP, DISTRIBUTING, way)


def _share(w: Ways) -> None:
    coupling, gross, whole = w.made[VERTICAL, COUPLED], w.made[GROSS, COUPLED], w.exact(GROSS)
    by_items = gross.items if whole or gross.items else (TRAILER_LOAD,)  # over a trailer that may be heavier it is no share
    ways: list[Estimate | Lack] = [
        Lack(tuple(dict.fromkeys(one + other)))
        for one, other in ((coupling.tickets, gross.tickets), (coupling.items, by_items))
    ]
    for e in coupling.estimates if whole else ():
        assert whole is not None
        method = "lower_bound" if e.at_least else max(e.method, whole.method, key=METHODS.index)
        ways.append(
            Estimate(e.value / whole.value, method, f"{{word:coupling_load}} ({e.how}) over the trailer's mass", e.origin)
        )
    w.keep(SHARE, COUPLED, *ways, dimension="ratio")


def _axle(w: Ways, state: str, axle: TrailerAxle) -> None:
    """One entry of the trailer's axles: weighed by itself, or its share of the group where the axles carry the same."""
    axles, group = w.rig.trailer_axles, w.made[GROUP, state]
    count = sum(a.number for a in axles)
    ways: list[Estimate | Lack] = []
    if axle.number == 1 or axle.equalized == "yes":
        by_itself = w.weighed(lambda a: w.tickets.trailer_axle(a, state, axle.name), "weighed by itself", state)
        ways.append(_shared(w, axle, by_itself, axle.number, by_itself.how) if isinstance(by_itself, Estimate) else by_itself)
    else:  # one reading under several axles says nothing of each: they need entries of their own
        ways.append(Lack((f"trailer.axles.{axle.name}.{'number' if axle.equalized == 'no' else 'equalized'}",)))
    if count == 1 or all(a.equalized == "yes" for a in axles):
        share = f"the group's load shared by {count} axles" if count > 1 else "the group's load"
        ways += [_shared(w, axle, e, count, f"{share} ({e.how})") for e in group.estimates]
        ways += [Lack(paths) for paths in (group.tickets, group.items) if paths]
    elif any(a.equalized == "no" for a in axles):
        weighed = any(isinstance(way, Estimate) for way in ways)
        ways += attitude.ways(w, state, axle, group.estimates, weighed=weighed)
    else:
        ways.append(Lack(tuple(f"trailer.axles.{a.name}.equalized" for a in axles if not a.equalized)))
    w.keep(f"trailer.axles.{axle.name}", state, *ways)


def _shared(w: Ways, axle: TrailerAxle, together: Estimate, count: int, how: str) -> Estimate:
    """One axle's share of what is known of ``count`` that are equalized, no better than they share; a bound stays a bound.

    What a linkage leaves in friction differs from axle to axle, so that each entry's share is in doubt by itself.
    """
    if count == 1:
        return together._replace(how=how)
    spread = relative_sigma("equalized_share", w.rig.settings.evidence)
    even = w.figures.new(f"model: share of {axle.name}, equalized", 1.0, spread) / count
    as_read = None if together.as_read is None else together.as_read * even
    heaviest = together.value / count if count == axle.number else None
    return together._replace(value=together.value * even, how=how, as_read=as_read, heaviest=heaviest)
