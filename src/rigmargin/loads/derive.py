"""Every load of a rig, by every way in which the file lets it be known, best first.

The names are those of the JSON report. ``coupled`` is the static state: no distributing bars, or bars slack;
``coupled_distributing`` exists only where a ticket was taken with the bars tensioned; ``alone`` is the tow vehicle uncoupled.
"""

from __future__ import annotations

from collections.abc import Callable

from rigmargin.loads import statics
from rigmargin.loads.estimate import METHODS, Ask, Estimate, Lack, Load
from rigmargin.loads.value import Figures, Value, nominal, sigma
from rigmargin.loads.weighing import Readings, kept, latest
from rigmargin.spec.rig import Rig

Loads = dict[tuple[str, str], Load]
Way = Callable[[], Estimate | Lack]
COUPLED, DISTRIBUTING, ALONE = "coupled", "coupled_distributing", "alone"
#: The loads there can be, with ``*`` for the name of an axle, and their dimension.
NAMES = {
    "tow_vehicle.gross": "mass",
    "tow_vehicle.axles.*": "mass",
    "tow_vehicle.payload_used": "mass",
    "tow_vehicle.payload_by_difference": "mass",
    "trailer.gross": "mass",
    "trailer.axle_group": "mass",
    "trailer.axles.*": "mass",
    "combination.gross": "mass",
    "coupling.vertical": "mass",
    "coupling.share": "ratio",
}


def loads(rig: Rig, figures: Figures | None = None) -> Loads:
    """All loads of ``rig`` by name and state, each with its estimates or with what is missing for one.

    ``figures`` lets the caller share the rig's variables, so that limits and loads that rest on one figure stay correlated.
    """
    return _Derivation(rig, figures or Figures()).run()


def _same(one: Estimate, other: Estimate) -> bool:
    difference = one.value - other.value
    return abs(nominal(difference)) < 1e-6 and sigma(difference) < 1e-6


class _Derivation:
    def __init__(self, rig: Rig, figures: Figures) -> None:
        self.rig = rig
        self.figures = figures
        self.tickets: Readings = latest(rig, self.figures)
        self.made: Loads = {}

    def run(self) -> Loads:
        self._coupling()
        self._trailer()
        self._tow_vehicle()
        self._payload()
        self._combination()
        self._share()
        for state in (COUPLED, DISTRIBUTING):
            self._trailer_axles(state)
        return self.made

    # --- bookkeeping -------------------------------------------------------------------------------------------------

    def _keep(self, name: str, state: str, *ways: Estimate | Lack, dimension: str = "mass") -> None:
        """Store a load with its estimates in order of METHODS; of the lacks, keep the shortest way out of each kind."""
        found, lacks = kept(ways)
        estimates: list[Estimate] = []
        for estimate in found:  # the same sum of the same readings by another route tells nothing new
            if not any(_same(estimate, known) for known in estimates):
                estimates.append(estimate)
        estimates.sort(key=lambda e: METHODS.index(e.method))
        lacking: tuple[str, ...] = ()
        if not estimates and lacks:
            by_ticket = [lack for lack in lacks if all(path.startswith("weighings") for path in lack.paths)]
            by_items = [lack for lack in lacks if lack not in by_ticket]
            chosen = [min(group, key=lambda lack: len(lack.paths)) for group in (by_ticket, by_items) if group]
            lacking = tuple(dict.fromkeys(path for lack in chosen for path in lack.paths))
        self.made[name, state] = Load(name, state, dimension, tuple(estimates), lacking)

    def _weighed(self, read: Callable[[Ask], Value], how: str, *states: str, method: str = "weighed") -> Estimate | Lack:
        """An estimate from tickets of ``states``."""
        ask = self.tickets.ask()
        value = read(ask)
        tickets = [self.tickets.latest[s] for s in states if s in self.tickets.latest]
        changed = any(self.tickets.changed(ticket) for ticket in tickets)
        how += ", brought up to date with what came aboard or left since" if changed else ""
        return ask.done(value, method, how, " and ".join(ticket.path for ticket in tickets))

    def _computed(self, make: Callable[[Ask], Value], how: str, origin: str, method: str = "computed") -> Estimate | Lack:
        ask = self.tickets.ask()
        return ask.done(make(ask), method, how, origin)

    def _best(self, ask: Ask, name: str, *, exact: bool = True) -> Value:
        """The best estimate of a load already made; what is missing for it becomes missing here."""
        load = self.made[name, COUPLED]
        best = next((e for e in load.estimates if not (exact and e.at_least)), None)
        if best is None:
            ask.lacks(*(load.lacking or ("weighings.coupled.tow_vehicle",)))
            return 1.0
        return best.value

    # --- the loads ---------------------------------------------------------------------------------------------------

    def _coupling(self) -> None:
        t = self.tickets
        ways = [
            self._weighed(lambda a: t.coupling(a, "trailer_on_jack"), "read on its own scale", "trailer_on_jack"),
            self._weighed(lambda a: t.coupling(a, "trailer_alone"), "read on its own scale", "trailer_alone"),
            self._weighed(
                lambda a: t.tow_vehicle(a, COUPLED) - t.tow_vehicle(a, ALONE), "tow vehicle coupled less alone", COUPLED, ALONE
            ),
            self._weighed(
                lambda a: t.all(a, "trailer_alone") - t.trailer_axles(a, COUPLED),
                "whole trailer less its axles coupled", "trailer_alone", COUPLED,
            ),
            self._stated_coupling(),
            self._weighed(
                lambda a: t.tow_vehicle(a, DISTRIBUTING) - t.tow_vehicle(a, ALONE),
                "tow vehicle with the bars tensioned less alone: the bars have moved part of the load to the trailer's axles",
                DISTRIBUTING, ALONE, method="lower_bound",
            ),
            self._computed(lambda a: statics.trailer_coupled(a).ahead, "from the trailer's items at their stations", "trailer"),
        ]  # fmt: skip
        self._keep("coupling.vertical", COUPLED, *ways)

    def _stated_coupling(self) -> Estimate | Lack:
        ask = self.tickets.ask()
        stated = self.rig.get("coupling_load")
        known = stated is not None and stated.source in ("scale_ticket", "measured")
        how = "stated as measured" if known else "stated in the file"
        return ask.done(ask.at("coupling_load"), "weighed" if known else "stated", how, "coupling_load")

    def _trailer(self) -> None:
        t = self.tickets
        self._keep(
            "trailer.gross", COUPLED,
            self._weighed(lambda a: t.all(a, "trailer_alone"), "the trailer weighed alone", "trailer_alone"),
            self._weighed(lambda a: t.all(a, COUPLED) - t.tow_vehicle(a, ALONE), "everything coupled less the tow vehicle alone", COUPLED, ALONE),
            self._weighed(
                lambda a: t.all(a, DISTRIBUTING) - t.tow_vehicle(a, ALONE),
                "everything with the bars tensioned less the tow vehicle alone", DISTRIBUTING, ALONE,
            ),
            self._weighed(
                lambda a: t.coupling(a, "trailer_on_jack") + t.trailer_axles(a, COUPLED), "coupling plus axles", "trailer_on_jack", COUPLED
            ),
            self._weighed(lambda a: self._stated_measured(a) + t.trailer_axles(a, COUPLED), "stated coupling load plus axles weighed", COUPLED),
            self._computed(statics.trailer_total, "unloaded mass plus items", "trailer"),
        )  # fmt: skip
        self._keep(
            "trailer.axle_group", COUPLED,
            self._weighed(lambda a: t.trailer_axles(a, COUPLED), "axles weighed coupled", COUPLED),
            self._weighed(lambda a: t.trailer_axles(a, "trailer_on_jack"), "axles weighed with the coupling on its own scale", "trailer_on_jack"),
            self._weighed(lambda a: t.trailer_axles(a, "trailer_alone"), "axles weighed with the coupling on its own scale", "trailer_alone"),
            self._computed(
                lambda a: self._best(a, "trailer.gross") - self._best(a, "coupling.vertical"), "trailer's whole mass less the coupling load",
                "trailer", self._method("trailer.gross", "coupling.vertical"),
            ),
            self._computed(lambda a: statics.trailer_coupled(a).behind, "from the trailer's items at their stations", "trailer"),
        )  # fmt: skip
        if DISTRIBUTING in t.latest:
            self._keep(
                "trailer.axle_group", DISTRIBUTING,
                self._weighed(lambda a: t.trailer_axles(a, DISTRIBUTING), "axles weighed with the bars tensioned", DISTRIBUTING),
                self._weighed(
                    lambda a: t.all(a, DISTRIBUTING) - t.tow_vehicle(a, DISTRIBUTING), "everything less the tow vehicle, bars tensioned", DISTRIBUTING
                ),
            )  # fmt: skip

    def _stated_measured(self, ask: Ask) -> Value:
        stated = self._stated_coupling()
        if isinstance(stated, Lack) or stated.method != "weighed":
            ask.lacks("coupling_load")
            return 1.0
        return stated.value

    def _method(self, *names: str) -> str:
        """The method of something derived from other loads: only as good as the worst of them."""
        found = [best.method for name in names for best in [self._exact(name)] if best]
        worst = max(found, key=METHODS.index, default="computed")
        return "weighed_and_levers" if worst == "weighed" else worst

    def _exact(self, name: str) -> Estimate | None:
        return next((e for e in self.made[name, COUPLED].estimates if not e.at_least), None)

    def _tow_vehicle(self) -> None:
        t = self.tickets
        with_coupling = self._method("coupling.vertical")
        self._keep(
            "tow_vehicle.gross", COUPLED,
            self._weighed(lambda a: t.tow_vehicle(a, COUPLED), "weighed coupled", COUPLED),
            self._weighed(
                lambda a: t.tow_vehicle(a, ALONE) + self._best(a, "coupling.vertical"), "weighed alone, plus the coupling load", ALONE, method=with_coupling
            ),
            self._computed(
                lambda a: statics.tow_vehicle_alone_total(a) + self._best(a, "coupling.vertical"), "unloaded mass plus items and the coupling load", "tow_vehicle"
            ),
        )  # fmt: skip
        for axle, read, side in (("front", t.front, "ahead"), ("rear", t.rear, "behind")):
            self._keep(
                f"tow_vehicle.axles.{axle}", COUPLED,
                self._weighed(lambda a, read=read: read(a, COUPLED), "weighed coupled", COUPLED),
                self._weighed(
                    lambda a, read=read, side=side: read(a, ALONE) + getattr(self._lever(a), side),
                    "weighed alone, plus the coupling load by its lever", ALONE, method=with_coupling,
                ),
                self._computed(
                    lambda a, side=side: getattr(statics.tow_vehicle_alone(a) + self._lever(a), side),
                    "from the items at their stations and the coupling load by its lever", "tow_vehicle",
                ),
            )  # fmt: skip
            self._keep(
                f"tow_vehicle.axles.{axle}", ALONE,
                self._weighed(lambda a, read=read: read(a, ALONE), "weighed alone", ALONE),
                self._computed(lambda a, side=side: getattr(statics.tow_vehicle_alone(a), side), "from the items at their stations", "tow_vehicle"),
            )  # fmt: skip
        if DISTRIBUTING in t.latest:
            self._keep(
                "tow_vehicle.gross",
                DISTRIBUTING,
                self._weighed(lambda a: t.tow_vehicle(a, DISTRIBUTING), "weighed with the bars tensioned", DISTRIBUTING),
            )
            for axle, read in (("front", t.front), ("rear", t.rear)):
                way = self._weighed(lambda a, read=read: read(a, DISTRIBUTING), "weighed with the bars tensioned", DISTRIBUTING)
                self._keep(f"tow_vehicle.axles.{axle}", DISTRIBUTING, way)

    def _lever(self, ask: Ask) -> statics.Pair:
        return statics.at_coupling(ask, self._best(ask, "coupling.vertical"))

    def _payload(self) -> None:
        """What is charged to the vehicle's payload: people, cargo, hardware and the static coupling load, whatever bars relieve."""
        rig = self.rig
        coupling = self.made["coupling.vertical", COUPLED].best
        bound = coupling is not None and coupling.at_least
        self._keep(
            "tow_vehicle.payload_used", COUPLED,
            self._computed(
                lambda a: statics.total(a, rig.tow_items, statics.aboard) + statics.hardware(a) + self._best(a, "coupling.vertical", exact=False),
                "people, cargo and hardware as listed, plus the coupling load", "tow_vehicle.load", "lower_bound" if bound else "computed",
            ),
            self._computed(
                lambda a: self._best(a, "tow_vehicle.gross") - statics.unladen_without_items(a, rig),
                "loaded mass less the unloaded mass", "tow_vehicle.unloaded", self._payload_by_scale(),
            ),
        )  # fmt: skip
        self._keep(
            "tow_vehicle.payload_by_difference", COUPLED,
            self._computed(
                lambda a: a.at("tow_vehicle.max_mass") - statics.unladen_without_items(a, rig), "maximum mass less the unloaded mass", "tow_vehicle.max_mass"
            ),
        )  # fmt: skip

    def _payload_by_scale(self) -> str:
        """Weighed loaded less weighed empty is a measurement; less a brochure's empty mass it is only a claim."""
        unloaded = self.rig.tow_unloaded
        figures = [f for f in (unloaded.total, unloaded.ahead, unloaded.behind) if f]
        weighed_empty = bool(figures) and all(f.source == "scale_ticket" for f in figures)
        gross = self._exact("tow_vehicle.gross")
        weighed_full = gross is not None and gross.method in ("weighed", "weighed_and_levers")
        return "weighed" if weighed_empty and weighed_full else "stated"

    def _combination(self) -> None:
        t = self.tickets
        self._keep(
            "combination.gross", COUPLED,
            self._weighed(lambda a: t.all(a, COUPLED), "everything weighed coupled", COUPLED),
            self._weighed(lambda a: t.all(a, DISTRIBUTING), "everything weighed with the bars tensioned", DISTRIBUTING),
            self._weighed(
                lambda a: t.tow_vehicle(a, ALONE) + self._best(a, "trailer.gross"), "tow vehicle alone plus the whole trailer", ALONE,
                method=self._method("trailer.gross"),
            ),
            self._computed(
                lambda a: statics.tow_vehicle_alone_total(a) + self._best(a, "trailer.gross"), "both unloaded masses plus all items", "tow_vehicle"
            ),
        )  # fmt: skip

    def _share(self) -> None:
        coupling = self.made["coupling.vertical", COUPLED]
        gross = self.made["trailer.gross", COUPLED]
        ways: list[Estimate | Lack] = []
        for estimate in coupling.estimates:
            whole = gross.best
            if whole is not None and nominal(whole.value) > 0:
                method = max(estimate.method, whole.method, key=METHODS.index)
                method = "lower_bound" if estimate.at_least else method
                ways.append(
                    Estimate(
                        estimate.value / whole.value,
                        method,
                        f"coupling load ({estimate.how}) over the trailer's mass",
                        estimate.origin,
                    )
                )
        if not ways:
            ways.append(Lack(tuple(dict.fromkeys(coupling.lacking + gross.lacking))))
        self._keep("coupling.share", COUPLED, *ways, dimension="ratio")

    def _trailer_axles(self, state: str) -> None:
        group = self.made.get(("trailer.axle_group", state))
        if group is None:
            return
        axles = self.rig.trailer_axles
        count = sum(axle.number for axle in axles)
        for axle in axles:
            even = count == 1 or (axle.equalized == "yes" and all(a.equalized == "yes" for a in axles))
            ways: list[Estimate | Lack] = (
                [
                    self._weighed(
                        lambda a, axle=axle: self.tickets.trailer_axle(a, state, axle.name) / axle.number,
                        "weighed by itself",
                        state,
                    )
                ]
                if axle.number == 1 or axle.equalized == "yes"
                else []
            )
            if even and group.best:
                share = f"the group's load shared by {count} axles" if count > 1 else "the group's load"
                ways += [Estimate(e.value / count, e.method, f"{share} ({e.how})", e.origin) for e in group.estimates]
            elif even:
                ways.append(Lack(group.lacking))
            elif axle.equalized != "no":
                ways.append(Lack((f"trailer.axles.{axle.name}.equalized",)))
            self._keep(f"trailer.axles.{axle.name}", state, *ways)
