"""Whether a condition holds for a rig: it does, it does not, or it is not known (Kleene's strong logic of three values).

A comparison is decided only when the margin is at least its expanded uncertainty, as in ``judge.run``; exact figures leave the
operator to decide at equality. Nothing is run: conditions are the closed list of ``spec.condition``.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import NamedTuple, TypeAlias

from rigmargin.loads.facts import Known
from rigmargin.loads.value import Value, expanded, nominal
from rigmargin.spec.condition import (
    STRICT,
    UPPER,
    Amount,
    Compare,
    Condition,
    Dated,
    Every,
    Fact,
    Figure,
    Made,
    Not,
    Row,
    Share,
    parts,
)  # fmt: skip

ZERO = 1e-9  # a difference smaller than this (SI) is none: what is left of unit conversion
FactsKnown: TypeAlias = Mapping[str, Known]  # the facts that are known, by path


class Truth(NamedTuple):
    """What is known of a condition."""

    holds: bool | None  # None: not known
    found: tuple[str, ...] = ()  # the facts behind a yes or no, in plain words; numbers as ``{mass:…}`` (SI)
    missing: tuple[str, ...] = ()  # the facts that are not known, by path
    close: tuple[str, ...] = ()  # of facts that are known and do not decide: why, in plain words
    doubtful: tuple[str, ...] = ()  # the same facts, by path


class Reckoned(NamedTuple):
    """An amount, and whether the true one may lie further out than its uncertainty says."""

    value: Value  # SI
    more: bool = False  # it may be larger without limit
    less: bool = False  # it may be smaller without limit


class Lacking(NamedTuple):
    """What an amount would need."""

    missing: tuple[str, ...] = ()  # by path
    close: tuple[str, ...] = ()  # why it is not decided although all is known
    doubtful: tuple[str, ...] = ()  # the facts that leave it undecided


def truth(condition: Condition, facts: FactsKnown) -> Truth:
    """What the facts say of a condition."""
    if isinstance(condition, Every):
        return together([truth(item, facts) for item in condition.items], turning=condition.any)
    if isinstance(condition, Not):
        inner = truth(condition.item, facts)
        return inner if inner.holds is None else inner._replace(holds=not inner.holds)
    if isinstance(condition, Compare):
        return _compare(condition, facts)
    known = facts.get(condition.path)
    if known is None:
        return Truth(None, missing=(condition.path,))
    if isinstance(condition, Dated):
        day = str(known.value)
        inside = (not condition.first or day >= condition.first) and (not condition.last or day <= condition.last)
        return Truth(inside, (f"{condition.said} is {day}",))
    words = known.value if isinstance(known.value, tuple) else (str(known.value),)
    plain = ", ".join(words).replace("_", " ")
    return Truth(any(word in condition.words for word in words), (f"{condition.said}: {plain}",))


def together(parts: list[Truth], *, turning: bool) -> Truth:
    """Several truths as one: one that is ``turning`` decides (True for any, False for all); else one unknown leaves it open."""
    deciding = [part for part in parts if part.holds is turning]
    if deciding:
        return Truth(turning, tuple(dict.fromkeys(f for part in deciding for f in part.found)))
    open_ones = [part for part in parts if part.holds is None]
    if open_ones:
        return Truth(
            None,
            missing=tuple(dict.fromkeys(path for part in open_ones for path in part.missing)),
            close=tuple(dict.fromkeys(text for part in open_ones for text in part.close)),
            doubtful=tuple(dict.fromkeys(path for part in open_ones for path in part.doubtful)),
        )
    return Truth(not turning, tuple(dict.fromkeys(f for part in parts for f in part.found)))


def each_side(compare: Compare) -> tuple[list[Compare], bool] | None:
    """A comparison with the least or greatest of several amounts as one with each of them, and whether one of those is enough.

    ``x <= least(a, b)`` is ``x <= a and x <= b``: so that one known figure can decide although the other is missing.
    """
    upper = compare.operator in UPPER
    if isinstance(compare.other, Made) and compare.other.how in ("least", "greatest"):
        enough = upper == (compare.other.how == "greatest")
        return [Compare(compare.this, compare.operator, item, compare.key) for item in compare.other.items], enough
    if isinstance(compare.this, Made) and compare.this.how in ("least", "greatest"):
        enough = upper == (compare.this.how == "least")
        return [Compare(item, compare.operator, compare.other, compare.key) for item in compare.this.items], enough
    return None


def _compare(compare: Compare, facts: FactsKnown) -> Truth:
    sides = each_side(compare)
    if sides:
        return together([_compare(each, facts) for each in sides[0]], turning=sides[1])
    first = _decide(compare, facts)
    if first.holds is None:
        return first
    if not any(known.load and known.load.rivals for known in facts.values()):
        return first
    for path in paths(compare):  # another way of knowing a load, of the same standing, that would say otherwise
        known = facts[path]
        for rival in known.load.rivals if known.load else ():
            # a fact's load is always a dataclass, which its protocol does not say
            other = Known(rival.value, known.dimension, load=dataclasses.replace(known.load, estimates=(rival,)))  # type: ignore[type-var]
            if _decide(compare, {**facts, path: other}).holds != first.holds:
                words = next(p.words for p in parts(compare) if isinstance(p, Fact) and p.path == path)
                return Truth(None, close=(f"two ways of knowing {words} say different things",), doubtful=(path,))
    return first


def _decide(compare: Compare, facts: FactsKnown) -> Truth:
    """What one way of knowing each fact says."""
    this, other = reckon(compare.this, facts), reckon(compare.other, facts)
    lacking = [side for side in (this, other) if isinstance(side, Lacking)]
    if lacking or isinstance(this, Lacking) or isinstance(other, Lacking):
        return Truth(
            None,
            missing=tuple(dict.fromkeys(path for side in lacking for path in side.missing)),
            close=tuple(text for side in lacking for text in side.close),
            doubtful=tuple(path for side in lacking for path in side.doubtful),
        )
    low, high = (this, other) if compare.operator in UPPER else (other, this)
    margin = high.value - low.value
    left, spread = nominal(margin), expanded(margin)
    strict = compare.operator in STRICT
    shown = tuple(f"{words(side)} is {number(nominal(value.value), side.dimension)}" for side, value in
                  ((compare.this, this), (compare.other, other)) if not isinstance(side, Figure))  # fmt: skip
    if abs(left) < ZERO and spread < ZERO:
        holds: bool | None = not strict
    elif left >= spread - ZERO:
        holds = True
    else:
        holds = False if left <= -spread + ZERO else None
    if holds is None:
        amount = number(nominal(this.value), compare.this.dimension)
        text = f"{words(compare.this)}, {amount}, is too close to {words(compare.other)} to tell"
        return Truth(None, close=(text,), doubtful=paths(compare))
    if (holds and (high.less or low.more)) or (not holds and (high.more or low.less)):
        return Truth(None, close=("only a lower bound is known",), doubtful=paths(compare))
    return Truth(holds, shown)


def paths(item: Condition | Amount) -> tuple[str, ...]:
    """The paths of the numbers a condition or amount looks at."""
    return tuple(dict.fromkeys(part.path for part in parts(item) if isinstance(part, Fact)))


def reckon(amount: Amount, facts: FactsKnown) -> Reckoned | Lacking:
    """The amount in SI, or what it lacks."""
    if isinstance(amount, Figure):
        return Reckoned(amount.si)
    if isinstance(amount, Fact):
        known = facts.get(amount.path)
        if known is None or isinstance(known.value, (str, tuple)):
            return Lacking((amount.path,))
        return Reckoned(known.value, more=bool(known.estimate and known.estimate.at_least))
    if isinstance(amount, Share):
        whole = reckon(amount.of, facts)
        return whole if isinstance(whole, Lacking) else whole._replace(value=amount.part * whole.value)
    if isinstance(amount, Row):
        return _row(amount, facts)
    items = [reckon(item, facts) for item in amount.items]
    known_items = [item for item in items if isinstance(item, Reckoned)]
    lacking = [item for item in items if isinstance(item, Lacking)]
    if lacking:
        return Lacking(
            tuple(dict.fromkeys(p for each in lacking for p in each.missing)),
            tuple(t for each in lacking for t in each.close),
            tuple(p for each in lacking for p in each.doubtful),
        )
    more, less = any(item.more for item in known_items), any(item.less for item in known_items)
    values = [item.value for item in known_items]
    if amount.how == "sum":
        return Reckoned(sum(values[1:], start=values[0]), more, less)
    if amount.how == "difference":
        first, second = known_items
        return Reckoned(first.value - second.value, first.more or second.less, first.less or second.more)
    return Reckoned((min if amount.how == "least" else max)(values, key=nominal), more, less)


def _row(row: Row, facts: FactsKnown) -> Reckoned | Lacking:
    by = reckon(row.by, facts)
    if isinstance(by, Lacking):
        return by
    spread = expanded(by.value)
    ends = {_lookup(row, nominal(by.value) + change) for change in (-spread, 0.0, spread)}
    if len(ends) > 1 or by.more or by.less:
        return Lacking((), (f"{words(row.by)} is too close to a step of the table to tell",), paths(row.by))
    (figure,) = ends
    if figure is None:
        return Lacking((), (f"{words(row.by)} is beyond the table {row.table}",), paths(row.by))
    return Reckoned(figure)


def _lookup(row: Row, by: float) -> float | None:
    for up_to, figure in row.rows:
        if by <= up_to + ZERO:
            return figure
    return None


def number(value: float, dimension: str) -> str:
    """A number for a sentence: a placeholder that the report fills in, or a plain count."""
    return f"{{{dimension}:{value:.15g}}}" if dimension else f"{value:g}"


def words(amount: Amount) -> str:
    """An amount in plain words."""
    if isinstance(amount, Figure):
        return number(amount.si, amount.dimension)
    if isinstance(amount, Fact):
        return amount.words
    if isinstance(amount, Share):
        return f"{number(amount.part, 'ratio')} of {words(amount.of)}"
    if isinstance(amount, Row):
        return f"the figure of the table {amount.table} ({amount.column})"
    names = [words(item) for item in amount.items]
    if amount.how == "difference":
        return f"{names[0]} less {names[1]}"
    listed = " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
    return f"the sum of {listed}" if amount.how == "sum" else f"the {amount.how} of {listed}"
