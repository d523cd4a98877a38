"""How the tow vehicle stands on its springs: how far it sinks under the trailer, what a helper takes, what travel is left.

Made only of axles whose suspension the file describes. Everything follows from axle loads that are made already, and changes
none of them. The model's own doubt is an unknown factor near 1, one for an axle's own springs and one for its helper: a
helper's force has the helper's; a compression has the springs' on every rate; squat is the difference of two compressions, in
which a wrong rate would partly cancel, so that it has the springs' factor as a whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from rigmargin.loads import statics
from rigmargin.loads.estimate import METHODS, Ask, Estimate, Lack
from rigmargin.loads.suspension import Springs, Stage, air_force, curve_through, rate_of, roll_moment, slope
from rigmargin.loads.value import Value, nominal
from rigmargin.loads.ways import ALONE, COUPLED, DISTRIBUTING, Ways
from rigmargin.spec.stated import relative_sigma
from rigmargin.spec.units import GRAVITY

PITCH, PITCH_BARE = "tow_vehicle.pitch", "tow_vehicle.pitch_without_helper"
_AXLE = "tow_vehicle.axles.*.suspension"
NAMES = {
    f"{_AXLE}.rate": "stiffness",
    f"{_AXLE}.squat": "length",
    f"{_AXLE}.squat_without_helper": "length",
    f"{_AXLE}.travel_left": "length",
    f"{_AXLE}.roll_moment": "moment",
    f"{_AXLE}.helper.load": "mass",
    f"{_AXLE}.helper.share": "ratio",
    f"{_AXLE}.helper.compression": "length",
    f"{_AXLE}.helper.clearance_unloaded": "length",
    f"{_AXLE}.helper.roll_moment": "moment",
    PITCH: "ratio",
    PITCH_BARE: "ratio",
}
#: What a rule or a limit cannot do without.
ASKED = (".squat", ".travel_left", ".helper.load")
Make = Callable[[Ask, str], Value]  # given the state too


def derive(w: Ways) -> None:
    """Make what follows from the springs that the file describes; nothing where it describes none."""
    axles = [_Axle(w, end) for end in ("front", "rear") if w.rig.describes(f"tow_vehicle.axles.{end}.suspension")]
    for axle in axles:
        axle.derive()
    for state in _states(w, "tow_vehicle.axles.rear") if axles else ():
        sunk = [(f"{axle.base}.squat", state) for axle in axles]
        how = "the squat of both axles"
        _keep(w, PITCH, state, _known(w, partial(_pitch, w, "squat"), state, how, "tow_vehicle", *sunk))
        if any(axle.helper for axle in axles):
            make = partial(_pitch, w, "squat_without_helper")
            _keep(w, PITCH_BARE, state, _known(w, make, state, f"{how} without the helper", "tow_vehicle", *sunk))


def _states(w: Ways, axle: str) -> Iterator[str]:
    yield from (state for state in (COUPLED, DISTRIBUTING) if (axle, state) in w.made)


def _pitch(w: Ways, what: str, ask: Ask, state: str) -> Value:
    """How steeply the nose rises from how the vehicle stands without the trailer."""

    def lowered(end: str) -> Value:
        base = f"tow_vehicle.axles.{end}.suspension"
        bare = what if w.rig.describes(f"{base}.helper") else "squat"
        name = f"{base}.{bare}" if (f"{base}.{bare}", state) in w.made else ""
        if not name:
            ask.lacks(f"{base}.spring_rate")
            return 1.0
        return w.best(ask, name, state)

    return slope(lowered("front"), lowered("rear"), ask.at(statics.WHEELBASE))


def _known(w: Ways, make: Make, state: str, how: str, origin: str, *names: tuple[str, str]) -> Estimate | Lack:
    """An estimate from the springs, as good as the worst of the loads named, which it rests on, and never better than computed;
    or what it lacks, first of the file's own figures."""
    ask = w.tickets.ask()
    value = make(ask, state)
    found = [best.method for name, of in names for best in [w.exact(name, of)] if best]
    done = ask.done(value, max(["computed", *found], key=METHODS.index), how, origin)
    if isinstance(done, Lack):
        own = tuple(path for path in done.paths if not path.startswith("weighings"))
        return Lack(own) if own else done
    return done


def _keep(w: Ways, name: str, state: str, way: Estimate | Lack) -> None:
    """Store what came out. Of what it is not, only what rules ask for stays as not known: the rest would crowd the report."""
    if isinstance(way, Estimate) or name.endswith(ASKED):
        pattern = name.replace(".front.", ".*.").replace(".rear.", ".*.")
        w.keep(name, state, way, dimension=NAMES[pattern])


class _Axle:
    """One axle whose suspension is described."""

    def __init__(self, w: Ways, end: str) -> None:
        self.w, self.end = w, end
        self.name = f"tow_vehicle.axles.{end}"
        self.base = f"{self.name}.suspension"
        self.helper = w.rig.word(f"{self.base}.helper.kind")  # empty: there is none

    def derive(self) -> None:
        """Make every load of this axle's springs."""
        self._rate()
        squat = "the axle's load coupled and alone, on its springs"
        for state in _states(self.w, self.name):
            now, then = (self.name, state), (self.name, ALONE)
            self._keep("squat", state, partial(self._squat, bool(self.helper)), squat, now, then)
            if self.helper:
                bare = partial(self._squat, False)
                self._keep("squat_without_helper", state, bare, f"{squat} without the helper", now, then)
            if self.w.rig.get(f"{self.base}.bump_travel"):
                self._keep("travel_left", state, self._travel, "the axle's load, on its springs", now)
            if self.w.rig.get(f"{self.base}.spacing"):
                self._keep("roll_moment", state, self._roll, "rate and spacing of the springs", now)
        if self.helper:
            self._helper()

    def _keep(self, what: str, state: str, make: Make, how: str, *names: tuple[str, str]) -> None:
        _keep(self.w, f"{self.base}.{what}", state, _known(self.w, make, state, how, self.base, *names))

    def _rate(self) -> None:
        at = f"{self.base}.heights"

        def by_heights(ask: Ask) -> Value:
            light, heavy = (ask.at(f"{at}.{which}.load") for which in ("light", "heavy"))
            high, low = (ask.at(f"{at}.{which}.height") for which in ("light", "heavy"))
            return 1.0 if ask.missing else rate_of(GRAVITY * light, GRAVITY * heavy, high - low)

        self.w.keep(
            f"{self.base}.rate", COUPLED,
            self.w.computed(by_heights, "from the heights at two loads", at),
            self.w.computed(lambda a: a.at(f"{self.base}.spring_rate"), "as stated", f"{self.base}.spring_rate", "stated"),
            dimension="stiffness",
        )  # fmt: skip

    # --- the springs and what they do ----------------------------------------------------------------------------------

    def _factor(self, ask: Ask, what: str = "springs") -> Value:
        """What is multiplied by the model's doubt about these springs or this helper: 1, known as well as it supports."""
        sigma = relative_sigma("springs_model", ask.rig.settings.evidence)
        return ask.figures.new(f"model: {what} of the {self.end} axle", 1.0, sigma)

    def _own(self, ask: Ask, factor: Value) -> Springs:
        """The axle's own springs, each rate times ``factor``."""
        at = f"{self.base}.overload"
        stages = (Stage(ask.at(f"{at}.gap"), ask.at(f"{at}.rate") * factor),) if self.w.rig.describes(at) else ()
        return Springs(self.w.best(ask, f"{self.base}.rate") * factor, stages)

    def _block(self, ask: Ask) -> Stage:
        """A helper of rubber or steel, by two points of its curve."""
        at = f"{self.base}.helper"

        def point(which: str) -> tuple[Value, Value]:
            return ask.at(f"{at}.{which}.compression"), GRAVITY * ask.at(f"{at}.{which}.load")

        gap, soft, hard = ask.at(f"{at}.gap"), point("soft"), point("hard")
        if ask.missing:
            return Stage(gap, 1.0)
        rate, cubic = curve_through(soft, hard)
        factor = self._factor(ask, "helper")
        return Stage(gap, factor * rate, factor * cubic)

    def _air(self, ask: Ask, state: str) -> Value:
        """What the air springs carry, N."""
        at = f"{self.base}.helper"
        pressure = ask.at(f"{at}.pressure_uncoupled" if state == ALONE else f"{at}.pressure")
        return self._factor(ask, "helper") * air_force(pressure, ask.at(f"{at}.effective_area"))

    def _compression(self, ask: Ask, load: Value, state: str, helped: bool, own: Springs, *, measured: bool = True) -> Value:
        """How far the axle has risen under ``load`` (kg) from where gaps and travel were measured, m."""
        springs = own
        if helped and self.helper != "air":
            springs = Springs(own.main, (*own.stages, self._block(ask)))
        known = ask.at(f"{self.base}.measured_at") if springs.stages or measured else 0.0  # plain springs: any stand will do
        force = GRAVITY * (load - known)
        if helped and self.helper == "air":
            air = self._air(ask, state)
            if nominal(air) > GRAVITY * nominal(load):
                ask.lacks(f"{self.base}.helper.effective_area")  # more than the axle has: no stand is made of it
            force = force - air
        return 1.0 if ask.missing else springs.settle(force)

    def _stands(self, ask: Ask, state: str) -> Value:
        """How far the axle has risen in ``state``, with the helper if there is one."""
        load = self.w.best(ask, self.name, state)
        return self._compression(ask, load, state, bool(self.helper), self._own(ask, self._factor(ask)))

    def _squat(self, helped: bool, ask: Ask, state: str) -> Value:
        coupled, alone = self.w.best(ask, self.name, state), self.w.best(ask, self.name, ALONE)
        own = self._own(ask, 1.0)
        then = self._compression(ask, alone, ALONE, helped, own, measured=False)
        now = self._compression(ask, coupled, state, helped, own, measured=False)
        return self._factor(ask) * (now - then)

    def _travel(self, ask: Ask, state: str) -> Value:
        return ask.at(f"{self.base}.bump_travel") - self._stands(ask, state)

    def _roll(self, ask: Ask, state: str) -> Value:
        """The axle's own springs against one degree of lean, where they stand with the helper."""
        own = self._own(ask, self._factor(ask))
        x = self._stands(ask, state) if own.stages else 0.0  # plain springs have one rate
        return roll_moment(own.tangent(x), ask.at(f"{self.base}.spacing"))

    # --- the helper --------------------------------------------------------------------------------------------------

    def _helper(self) -> None:
        air = self.helper == "air"
        how = "pressure times area" if air else "how far it is pressed in, by two points of its curve"
        for state in (*_states(self.w, self.name), ALONE):
            at = (self.name, state)
            self._keep("helper.load", state, self._carried, how, *([] if air else [at]))
            self._keep("helper.share", state, self._share, f"{how}, over the axle's load", at)
            if state != ALONE:
                self._keep("helper.roll_moment", state, self._helper_roll, "its rate and spacing", at)
            if state != ALONE and not air:
                self._keep("helper.compression", state, self._pressed, "what the axle has risen less its gap", at)
        if not air:
            self._keep("helper.clearance_unloaded", COUPLED, self._clearance, "its gap less what the unloaded axle has risen")

    def _carried(self, ask: Ask, state: str) -> Value:
        if self.helper == "air":
            return self._air(ask, state) / GRAVITY
        return self._block(ask).force(self._stands(ask, state)) / GRAVITY

    def _pressed(self, ask: Ask, state: str) -> Value:
        """How far a helper of rubber or steel is pressed in, m."""
        return self._block(ask).pressed(self._stands(ask, state))

    def _share(self, ask: Ask, state: str) -> Value:
        load, carried = self.w.best(ask, self.name, state), self._carried(ask, state)
        if nominal(carried) > nominal(load):
            ask.lacks(f"{self.base}.helper.effective_area" if self.helper == "air" else f"{self.base}.helper.hard.load")
        return carried / load if nominal(load) > 0 else 0.0

    def _helper_roll(self, ask: Ask, state: str) -> Value:
        spacing = ask.at(f"{self.base}.helper.spacing")
        if self.helper == "air":
            return roll_moment(self._factor(ask, "helper") * ask.at(f"{self.base}.helper.rate"), spacing)
        return roll_moment(self._block(ask).tangent(self._stands(ask, state)), spacing)

    def _clearance(self, ask: Ask, state: str) -> Value:
        """How far the helper stands clear on the unloaded vehicle, m; below zero it touches."""
        empty = statics.empty(ask, self.w.rig.tow_unloaded, "tow_vehicle.unloaded", ("front", "rear"))
        load = empty.ahead if self.end == "front" else empty.behind
        risen = self._compression(ask, load, state, True, self._own(ask, self._factor(ask)))
        return ask.at(f"{self.base}.helper.gap") - risen
