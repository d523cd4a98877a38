"""A number as a linear form of the inputs it was made from: itself, and by how much each input moves it.

First-order propagation as in the GUM (JCGM 100:2008, 5.1.2 and 5.2.2): every operation adds up slopes by the rules for the
derivatives of sums, products, quotients and powers. An input used twice is one input, so that correlations come out right; one
without uncertainty keeps its slope. A test holds it equal to the ``uncertainties`` package.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TypeAlias

ROUNDING = 1e-12  # of two slopes that cancel, how much may be left: far above what floats leave, far below what matters
PLAIN = (int, float)  # what a number without inputs may be


class Input:
    """One input: two of them are the same only when they are the same object."""

    __slots__ = ("sigma", "tag")

    def __init__(self, tag: str, sigma: float) -> None:
        """``tag`` names it; ``sigma`` is its standard uncertainty (SI)."""
        self.tag, self.sigma = tag, sigma


Slopes: TypeAlias = Mapping[Input, float]


class Linear:
    """A number (SI) with its slope on each input. It is never changed, so that several may share one mapping of slopes."""

    __slots__ = ("nominal_value", "slopes")

    def __init__(self, nominal_value: float, slopes: Slopes) -> None:
        self.nominal_value, self.slopes = nominal_value, slopes

    @property
    def std_dev(self) -> float:
        """Its standard uncertainty, SI."""
        return math.sqrt(sum([(slope * each.sigma) ** 2 for each, slope in self.slopes.items() if each.sigma]))

    def __add__(self, other: Linear | float) -> Linear:
        if isinstance(other, Linear):
            return Linear(self.nominal_value + other.nominal_value, _both(self.slopes, 1.0, other.slopes, 1.0))
        if isinstance(other, PLAIN):
            return Linear(self.nominal_value + other, self.slopes)
        return NotImplemented

    __radd__ = __add__

    def __sub__(self, other: Linear | float) -> Linear:
        if isinstance(other, Linear):
            return Linear(self.nominal_value - other.nominal_value, _both(self.slopes, 1.0, other.slopes, -1.0))
        if isinstance(other, PLAIN):
            return Linear(self.nominal_value - other, self.slopes)
        return NotImplemented

    def __rsub__(self, other: float) -> Linear:
        if not isinstance(other, PLAIN):
            return NotImplemented
        return Linear(other - self.nominal_value, _times(self.slopes, -1.0))

    def __mul__(self, other: Linear | float) -> Linear:
        x = self.nominal_value
        if isinstance(other, Linear):
            y = other.nominal_value
            return Linear(x * y, _both(self.slopes, y, other.slopes, x))
        if isinstance(other, PLAIN):
            return Linear(x * other, _times(self.slopes, other))
        return NotImplemented

    __rmul__ = __mul__

    def __truediv__(self, other: Linear | float) -> Linear:
        x = self.nominal_value
        if isinstance(other, Linear):
            y = other.nominal_value
            return Linear(x / y, _both(self.slopes, 1 / y, other.slopes, -x / y**2))
        if isinstance(other, PLAIN):
            return Linear(x / other, _times(self.slopes, 1 / other))
        return NotImplemented

    def __rtruediv__(self, other: float) -> Linear:
        if not isinstance(other, PLAIN):
            return NotImplemented
        y = self.nominal_value
        return Linear(other / y, _times(self.slopes, -other / y**2))

    def __pow__(self, other: Linear | float) -> Linear:
        x = self.nominal_value
        if isinstance(other, Linear):
            y = other.nominal_value
            return Linear(_power(x, y), _both(self.slopes, _by_base(x, y), other.slopes, _by_exponent(x, y)))
        if isinstance(other, PLAIN):
            return Linear(_power(x, other), _times(self.slopes, _by_base(x, other)))
        return NotImplemented

    def __rpow__(self, other: float) -> Linear:
        if not isinstance(other, PLAIN):
            return NotImplemented
        y = self.nominal_value
        return Linear(_power(other, y), _times(self.slopes, _by_exponent(other, y)))

    def __floordiv__(self, other: Linear | float) -> Linear:
        return Linear(self.nominal_value // _plain(other), {})  # a step: where it has a slope at all, it is 0

    def __rfloordiv__(self, other: float) -> Linear:
        if not isinstance(other, PLAIN):
            return NotImplemented
        return Linear(other // self.nominal_value, {})

    def __mod__(self, other: Linear | float) -> Linear:
        rest = self - self // other * other
        return Linear(self.nominal_value % _plain(other), rest.slopes)

    def __rmod__(self, other: float) -> Linear:
        if not isinstance(other, PLAIN):
            return NotImplemented
        rest = other - other // self * self
        return Linear(other % self.nominal_value, rest.slopes)

    def __neg__(self) -> Linear:
        return Linear(-self.nominal_value, _times(self.slopes, -1.0))

    def __pos__(self) -> Linear:
        return self

    def __abs__(self) -> Linear:
        return self if self.nominal_value >= 0 else -self

    # Two are equal when they are the same whatever the inputs are; which is the larger, the numbers alone decide.

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, (Linear, *PLAIN)):
            return NotImplemented
        difference = self - other
        return not (difference.nominal_value or difference.std_dev)

    def __hash__(self) -> int:
        return hash(self.nominal_value)

    def __bool__(self) -> bool:
        return bool(self.nominal_value or self.std_dev)

    def __lt__(self, other: Linear | float) -> bool:
        return self.nominal_value < _plain(other)

    def __gt__(self, other: Linear | float) -> bool:
        return self.nominal_value > _plain(other)

    def __le__(self, other: Linear | float) -> bool:
        return self < other or self == other

    def __ge__(self, other: Linear | float) -> bool:
        return self > other or self == other

    def __format__(self, how: str) -> str:
        return f"{self.nominal_value:{how}}+/-{self.std_dev:{how}}"

    def __repr__(self) -> str:
        return format(self, "")

    __str__ = __repr__


def _plain(value: Linear | float) -> float:
    return value.nominal_value if isinstance(value, Linear) else value


def _times(slopes: Slopes, factor: float) -> Slopes:
    return {each: factor * slope for each, slope in slopes.items()}


def _both(one: Slopes, by: float, other: Slopes, times: float) -> Slopes:
    """The slopes of a sum of two, each multiplied by its factor. What cancels but for the rounding of floats is nothing."""
    made = dict(one) if by == 1.0 else {each: by * slope for each, slope in one.items()}
    for each, slope in other.items():
        more, known = times * slope, made.get(each)
        if known is None:
            made[each] = more
        else:
            total = known + more
            made[each] = 0.0 if abs(total) <= ROUNDING * abs(more) else total
    return made


def _power(x: float, y: float) -> float:
    made = x**y
    if isinstance(made, complex):
        raise ValueError(f"{x:g} to the power {y:g} is no real number")
    return float(made)


def _by_base(x: float, y: float) -> float:
    """The slope of x**y on x; not a number where it has none."""
    if x > 0 or (y % 1 == 0 and (x < 0 or y >= 1)):
        return float(y * x ** (y - 1))
    return 0.0 if x == 0 and (y == 0 or y > 1) else math.nan


def _by_exponent(x: float, y: float) -> float:
    """The slope of x**y on y; not a number where it has none."""
    if x > 0:
        return float(math.log(x) * x**y)
    return 0.0 if x == 0 < y else math.nan
