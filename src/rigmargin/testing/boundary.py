"""Cases at the thresholds of a rule of law, made from its own data.

For each comparison: facts under which it alone decides what the rule says, with its two sides equal, one unit apart and one
unit apart the other way. The operator then says what must come out. Facts are looked for among a few values a fact, and one
figure of the comparison is solved for.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from rigmargin.judge.truth import FactsKnown, Reckoned, each_side, reckon, truth
from rigmargin.loads.facts import Known
from rigmargin.loads.value import nominal
from rigmargin.spec import schema, units
from rigmargin.spec.condition import Compare, Condition, Dated, Every, Fact, Figure, Not, Word, parts
from rigmargin.spec.regulation import Provision

#: What a comparison says one unit below its threshold, at it, and one unit above, by its operator.
HOLDS = {
    "at_most": (True, True, False),
    "less_than": (True, False, False),
    "at_least": (False, True, True),
    "more_than": (False, False, True),
}
WHERE = ("one unit below", "at", "one unit above")
#: The step of a threshold in a unit that is too coarse to be one.
STEPS = {"ft": "in", "yd": "in", "mi": "in", "m": "cm", "km": "cm", "t": "kg", "bar": "kPa"}
_SI = {"mass": "kg", "length": "cm", "speed": "km/h", "ratio": "%", "pressure": "kPa", "volume": "L", "force": "N"}
#: Values to try for a number, SI, besides those near the rule's own figures.
TRIED = {
    "mass": (500.0, 2000.0, 6000.0, 20000.0),
    "length": (1.0, 1.5, 4.0, 12.0),
    "speed": (10.0, 30.0),
    "": (0.0, 1.0, 2.0),
    "ratio": (0.1, 0.9),
}
NEAR = (0.5, 1.5, 0.9, 1.1)  # parts of a rule's own figures that are tried: well apart from them, and between two of them
MOST = 20000  # combinations of values that are tried
_YES, _NO = Every(()), Every((), any=True)  # all of nothing holds; any of nothing does not


@dataclass(frozen=True, slots=True)
class Boundary:
    """One case at a threshold."""

    name: str  # where the comparison stands, and on which side of its threshold
    given: Mapping[str, Any]  # as a case gives it
    outcome: str  # "silent", "met", "unmet" or "open"


def outcome(provision: Provision, facts: FactsKnown) -> str:
    """What a rule says of these facts, whatever its source is worth."""
    speaks = truth(provision.speaks, facts).holds if provision.speaks else True
    if speaks is not True:
        return "open" if speaks is None else "silent"
    return {True: "met", False: "unmet", None: "open"}[truth(provision.require, facts).holds]


def boundaries(provision: Provision) -> Iterator[Boundary | str]:
    """The cases at every threshold of a rule; for a comparison that never decides alone, its place in the file."""
    opened = through(provision, _opened)
    for pivot in comparisons(opened):
        where = ".".join(map(str, pivot.key[2:]))
        found = _around(opened, pivot)
        if found is None:
            yield where
            continue
        for position, (given, said) in zip(WHERE, found, strict=True):
            yield Boundary(f"{where}, {position} its threshold", given, said)


def comparisons(provision: Provision) -> list[Compare]:
    """Every comparison of a rule."""
    tops = [top for top in (provision.when, provision.require) if top]
    return [part for top in tops for part in parts(top) if isinstance(part, Compare)]


def through(provision: Provision, change: Callable[[Compare], Condition]) -> Provision:
    """The rule with each of its comparisons changed."""

    def changed(item: Condition) -> Condition:
        if isinstance(item, Compare):
            return change(item)
        if isinstance(item, Every):
            return dataclasses.replace(item, items=tuple(map(changed, item.items)))
        return Not(changed(item.item)) if isinstance(item, Not) else item

    when = changed(provision.when) if provision.when else None
    return dataclasses.replace(provision, when=when, require=changed(provision.require))


def _opened(compare: Compare) -> Condition:
    """A comparison with the least or greatest of several amounts as one with each: each has a threshold of its own."""
    sides = each_side(compare)
    if sides is None:
        return compare
    each = [dataclasses.replace(one, key=(*compare.key, i)) for i, one in enumerate(sides[0])]
    return Every(tuple(map(_opened, each)), any=sides[1])


def _around(provision: Provision, pivot: Compare) -> list[tuple[dict[str, Any], str]] | None:
    """Facts below, at and above a comparison's threshold, each with what the rule must say; None when none were found."""
    forced = [through(provision, lambda c, to=to: to if c.key == pivot.key else c) for to in (_YES, _NO)]  # type: ignore[misc]  # bound now
    names = provision.facts
    free = [part for side in (pivot.this, pivot.other) for part in parts(side) if isinstance(part, Fact)]
    step = _step(provision, pivot)
    for choice in _choices([_tried(fact, provision) for fact in names.values()], provision.name):
        facts = {fact.path: _known(fact, value) for fact, value in zip(names.values(), choice, strict=True)}
        for fact in free:
            found = []
            for apart, holds in zip((-step, 0.0, step), HOLDS[pivot.operator], strict=True):
                solved = _solved(pivot, fact, apart, facts)
                said = [outcome(rule, solved) for rule in forced] if solved else []
                if not solved or said[0] == said[1]:
                    break
                given = {name: _written(each, solved[each.path], provision) for name, each in names.items()}
                found.append((given, said[0] if holds else said[1]))
            if len(found) == len(WHERE):
                return found
    return None


def _unit(provision: Provision, dimension: str) -> str:
    """The unit in which a rule gives figures of a dimension; a metric one where it gives none."""
    tops = [top for top in (provision.speaks, provision.require) if top]
    figures = [part for top in tops for part in parts(top) if isinstance(part, Figure) and part.dimension == dimension]
    return figures[0].unit if figures else _SI[dimension]


def _step(provision: Provision, pivot: Compare) -> float:
    """One unit, SI, of a comparison's threshold."""
    dimension = pivot.this.dimension
    own = [part for side in (pivot.this, pivot.other) for part in parts(side) if isinstance(part, Figure)]
    unit = next((figure.unit for figure in own if figure.dimension == dimension), "") or (
        dimension and _unit(provision, dimension)
    )
    return units.to_si(1.0, STEPS.get(unit, unit)) if unit else 1.0


def _choices(values: list[list[Any]], name: str) -> Iterator[tuple[Any, ...]]:
    """Every combination of values; of too many, a sample that is the same each time."""
    if math.prod(map(len, values)) <= MOST:
        yield from itertools.product(*values)
        return
    draw = random.Random(name)
    for _ in range(MOST):
        yield tuple(draw.choice(each) for each in values)


def _tried(fact: Fact | Word | Dated, provision: Provision) -> list[Any]:
    """Values worth trying for a fact: for a word, one of each that the rule names and one that it does not."""
    alike = [part for top in (provision.speaks, provision.require) if top for part in parts(top)]
    if isinstance(fact, Dated):
        days = [part for part in alike if isinstance(part, Dated) and part.path == fact.path]
        return list(dict.fromkeys([day for part in days for day in (part.first, part.last) if day]))
    if isinstance(fact, Word):
        named = [word for part in alike if isinstance(part, Word) and part.path == fact.path for word in part.words]
        allowed = schema.catalogue()[fact.path].get("enum", ["something else"])
        other = [word for word in allowed if word not in named][:1]
        return [(word,) if fact.among else word for word in dict.fromkeys([*named, *other])]
    figures = [part.si for part in alike if isinstance(part, Figure) and part.dimension == fact.dimension]
    near = [times * figure for times in (NEAR if fact.dimension else (1.0,)) for figure in figures]
    return list(dict.fromkeys([*near, *TRIED.get(fact.dimension, (1.0,))]))


def _known(fact: Fact | Word | Dated, value: Any) -> Known:
    return Known(value, fact.dimension if isinstance(fact, Fact) else "")


def _solved(pivot: Compare, fact: Fact, apart: float, facts: FactsKnown) -> FactsKnown | None:
    """The facts with one figure such that the first side is more than the other by ``apart``; None where there is none."""

    def gap(value: float) -> float | None:
        at = {**facts, fact.path: Known(value, fact.dimension)}
        this, other = reckon(pivot.this, at), reckon(pivot.other, at)
        both = isinstance(this, Reckoned) and isinstance(other, Reckoned)
        return nominal(this.value) - nominal(other.value) - apart if both else None  # type: ignore[union-attr]  # ``both`` says so

    value = nominal(facts[fact.path].number)
    for _ in range(4):  # amounts are straight lines with corners: a step of Newton's lands exactly, or on another line
        here, there = gap(value), gap(value + 1.0)
        if here is None or there is None or there == here:
            return None
        value -= here / (there - here)
    if not fact.dimension:
        value = round(value)
    left = gap(value)
    if left is None or abs(left) > 1e-9 * max(1.0, abs(value)) or value < 0:
        return None
    return {**facts, fact.path: Known(value, fact.dimension)}


def _written(fact: Fact | Word | Dated, known: Known, provision: Provision) -> Any:
    """A value as a case gives it; a quantity in the unit of the rule's own figures."""
    if not isinstance(fact, Fact):
        return list(known.value) if isinstance(known.value, tuple) else known.value
    value = nominal(known.number)
    if not fact.dimension:
        return int(value)
    unit = _unit(provision, fact.dimension)
    return f"{units.from_si(value, unit):.10f}".rstrip("0").rstrip(".") + f" {unit}"
