"""A number that knows which inputs made it, and how well it is known.

This is the only module that touches the ``uncertainties`` package. Each stated figure becomes one ``Variable`` tagged with
its path, so that a figure used twice is one variable and correlations come out right; loads are ordinary arithmetic.
First-order propagation as in the GUM (JCGM 100:2008, 5.1.2 and 5.2.2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

from uncertainties.core import AffineScalarFunc, Variable

from rigmargin.spec.stated import Stated

#: A number with its inputs: SI units. Plain floats may stand in its place.
Value: TypeAlias = AffineScalarFunc | float
COVERAGE = 2.0  # coverage factor of every expanded uncertainty shown (about 95 %)


@dataclass(frozen=True, slots=True)
class Influence:
    """How one input acts on a value."""

    path: str  # the input's path in the rig file, or "model: ..." for a model's own uncertainty
    slope: float  # change of the value for one SI unit of the input
    share: float  # of the value's variance, 0 to 1


class Figures:
    """The variables of one rig: one for each figure that is used, made on first use."""

    def __init__(self) -> None:
        self._made: dict[str, Value] = {}

    def of(self, stated: Stated) -> Value:
        """The variable that stands for a stated figure (SI)."""
        return self.new(stated.path, stated.number, stated.sigma)

    def new(self, tag: str, number: float, sigma: float) -> Value:
        """The variable of that tag, made from ``number`` and its standard uncertainty (both SI) if it is new."""
        if tag not in self._made:
            self._made[tag] = Variable(number, sigma, tag)
        return self._made[tag]


def nominal(value: Value) -> float:
    """The number itself, SI."""
    return float(value.nominal_value) if isinstance(value, AffineScalarFunc) else float(value)


def sigma(value: Value) -> float:
    """Its standard uncertainty, SI."""
    return float(value.std_dev) if isinstance(value, AffineScalarFunc) else 0.0


def expanded(value: Value) -> float:
    """Its expanded uncertainty (coverage factor 2), SI."""
    return COVERAGE * sigma(value)


def influences(value: Value) -> tuple[Influence, ...]:
    """The inputs behind a value, the one with the largest share of its uncertainty first, then by path."""
    return spread_and_influences(value)[1]


def spread_and_influences(value: Value) -> tuple[float, tuple[Influence, ...]]:
    """A value's expanded uncertainty (SI) and its inputs, in one pass."""
    if not isinstance(value, AffineScalarFunc):
        return 0.0, ()
    parts = [(str(v.tag), float(d), (float(d) * float(v.std_dev)) ** 2) for v, d in value.derivatives.items() if d != 0]
    total = sum(part for _, _, part in parts)
    found = [Influence(tag, slope, part / total if total else 0.0) for tag, slope, part in parts]
    return COVERAGE * math.sqrt(total), tuple(sorted(found, key=lambda i: (-i.share, i.path)))


def pieces(value: object) -> tuple[Value, ...]:
    """A value and the variables it was made from: what must stay one thing where a copy of it is worked with elsewhere."""
    return (value, *value.derivatives) if isinstance(value, AffineScalarFunc) else ()
