"""A number that knows which inputs made it, and how well it is known.

Each stated figure becomes one ``Input`` tagged with its path, so that a figure used twice is one input and correlations come
out right; loads are ordinary arithmetic. The arithmetic itself is in ``linear``.
"""

from __future__ import annotations

import math
import operator
from typing import NamedTuple, TypeAlias

from rigmargin.loads.linear import Input, Linear
from rigmargin.spec.stated import Stated

#: A number with its inputs: SI units. Plain floats may stand in its place.
Value: TypeAlias = Linear | float
Piece: TypeAlias = Linear | Input  # what must stay one thing where a copy of a value is worked with elsewhere
COVERAGE = 2.0  # coverage factor of every expanded uncertainty shown (about 95 %)


class Influence(NamedTuple):
    """How one input acts on a value."""

    path: str  # the input's path in the rig file, or "model: ..." for a model's own uncertainty
    slope: float  # change of the value for one SI unit of the input
    share: float  # of the value's variance, 0 to 1


_path, _share = operator.attrgetter("path"), operator.attrgetter("share")


class Figures:
    """The inputs of one rig as values: one for each figure that is used, made on first use."""

    def __init__(self) -> None:
        self._made: dict[str, Value] = {}

    def of(self, stated: Stated) -> Value:
        """The value that stands for a stated figure (SI)."""
        return self.new(stated.path, stated.number, stated.sigma)

    def new(self, tag: str, number: float, sigma: float) -> Value:
        """The value of that tag, made from ``number`` and its standard uncertainty (both SI) if it is new."""
        made = self._made.get(tag)
        if made is None:
            made = self._made[tag] = Linear(number, {Input(tag, sigma): 1.0})
        return made


def nominal(value: Value) -> float:
    """The number itself, SI."""
    return value.nominal_value if isinstance(value, Linear) else float(value)


def sigma(value: Value) -> float:
    """Its standard uncertainty, SI."""
    return value.std_dev if isinstance(value, Linear) else 0.0


def expanded(value: Value) -> float:
    """Its expanded uncertainty (coverage factor 2), SI."""
    return COVERAGE * sigma(value)


def influences(value: Value) -> tuple[Influence, ...]:
    """The inputs behind a value, the one with the largest share of its uncertainty first, then by path."""
    return spread_and_influences(value)[1]


def spread_and_influences(value: Value) -> tuple[float, tuple[Influence, ...]]:
    """A value's expanded uncertainty (SI) and its inputs, in one pass."""
    if not isinstance(value, Linear):
        return 0.0, ()
    parts = [(each.tag, slope, (slope * each.sigma) ** 2) for each, slope in value.slopes.items() if slope != 0]
    total = sum([part for _, _, part in parts])
    found = [Influence(tag, slope, part / total if total else 0.0) for tag, slope, part in parts]
    found.sort(key=_path)
    found.sort(key=_share, reverse=True)  # leaves those of one share as they are: by path
    return COVERAGE * math.sqrt(total), tuple(found)


def pieces(value: object) -> tuple[Piece, ...]:
    """A value and the inputs it was made from."""
    return (value, *value.slopes) if isinstance(value, Linear) else ()
