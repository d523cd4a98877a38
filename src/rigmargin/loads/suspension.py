"""Springs of one axle: how far they are pressed in under a load, and what each of them then carries. Formulas only.

Compression x counts from a known stand of the vehicle. Forces are those of both sides together, in N; lengths in m. Springs
decide how the vehicle stands and not what its axles carry: two supports under a rigid body are fixed by equilibrium alone.
The forms of the springs (multi-leaf packs whose lower leaves touch as load grows; air springs as pressure times area) are
read in handbook and maker's notes; the equations are derived from equilibrium.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rigmargin.loads.value import Value, expanded, nominal

HALVINGS = 80  # of the bracket: what is left of it is far below what a float can tell apart


@dataclass(frozen=True, slots=True)
class Stage:
    """A spring that begins to push when the axle has risen by ``gap``: rate (x - gap) + cubic (x - gap)^3."""

    gap: Value  # m
    rate: Value  # N/m
    cubic: Value = 0.0  # N/m3

    def pressed(self, x: Value) -> Value:
        """How far it is pressed in, m; 0 where it does not touch.

        Where it stands clear by less than that is known to, it may touch: nothing, but with the doubt of the distance.
        """
        into = x - self.gap
        if nominal(into) >= 0:
            return into
        return into - nominal(into) if -nominal(into) < expanded(into) else 0.0

    def force(self, x: Value) -> Value:
        """What it carries, N."""
        into = self.pressed(x)
        return self.rate * into + self.cubic * into**3

    def tangent(self, x: Value) -> Value:
        """Its rate as it stands, N/m; 0 where it does not touch."""
        into = x - self.gap
        return self.rate + 3 * self.cubic * into**2 if nominal(into) > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Springs:
    """The springs of one axle: the main ones, which always carry, and the stages that come in as the axle rises."""

    main: Value  # N/m
    stages: Sequence[Stage] = ()

    def force(self, x: Value) -> Value:
        """The force by which they push more than at x = 0, N."""
        return sum((stage.force(x) for stage in self.stages), self.main * x)

    def tangent(self, x: Value) -> Value:
        """Their rate as they stand, N/m."""
        return sum((stage.tangent(x) for stage in self.stages), self.main)

    def settle(self, force: Value) -> Value:
        """The compression at which they push ``force`` more than at x = 0, m; the inverse of ``force``.

        The force rises with x throughout, and stages only help the main springs: x lies between 0 and force / main, and that
        bracket is halved. From there x moves by what is left over divided by the rate, which leaves x where it is and gives
        it every input's influence: dx = (dF - the springs' own changes) / rate, by the theorem on implicit functions.
        """
        wanted = nominal(force)
        plain = Springs(nominal(self.main), [Stage(nominal(s.gap), nominal(s.rate), nominal(s.cubic)) for s in self.stages])
        low, high = sorted((0.0, wanted / nominal(self.main)))
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            if nominal(plain.force(middle)) < wanted:
                low = middle
            else:
                high = middle
        x = (low + high) / 2
        return x + (force - self.force(x)) / nominal(plain.tangent(x))


def rate_of(lighter: Value, heavier: Value, lowered: Value) -> Value:
    """The main springs' rate in N/m from two loads (N) and how much lower the vehicle stands under the heavier (m)."""
    return (heavier - lighter) / lowered


def curve_through(soft: tuple[Value, Value], hard: tuple[Value, Value]) -> tuple[Value, Value]:
    """Rate (N/m) and cubic term (N/m3) of f = k x + c x^3 through two points, each a compression (m) and a force (N).

    Two equations in two unknowns: c = (f2/x2 - f1/x1) / (x2^2 - x1^2) and k = f1/x1 - c x1^2.
    """
    (x1, f1), (x2, f2) = soft, hard
    cubic = (f2 / x2 - f1 / x1) / (x2**2 - x1**2)
    return f1 / x1 - cubic * x1**2, cubic


def air_force(pressure: Value, area: Value) -> Value:
    """What two air springs carry at a gauge pressure (Pa), ``area`` (m2) being that of one at this height, N.

    Force is pressure times effective area; a rolling sleeve's area hardly changes with height, a bellows' grows as it is
    pressed in. At a given height the pressure alone decides, so that air let in takes load off the other springs.
    """
    return 2 * pressure * area


def slope(front: Value, rear: Value, wheelbase: Value) -> Value:
    """The tangent of the pitch, nose up, when the front goes down by ``front`` and the rear by ``rear`` (all m)."""
    return (rear - front) / wheelbase


def roll_moment(rate: Value, spacing: Value) -> Value:
    """The moment (N m) with which a pair of springs on a beam axle resists one degree of lean.

    At the lean a, one side is pressed in by a t/2 and the other let out by as much: k/2 each at the lever t/2 gives
    (k/2) t^2/2 a, with the pair's rate k (N/m) and the spacing t (m); spacing counts squared.
    """
    return rate / 2 * spacing**2 / 2 * math.radians(1)
