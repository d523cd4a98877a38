"""All that the author of a rule imports: what a rule is, and what it may answer.

A rule is a function of named values. Its needs name the facts it is given, and it gets nothing else: no rig, no file, no
units, no formatting. It answers with a comparison; the engine derives the verdict from the margin and its uncertainty.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import ModuleType
from typing import TypeAlias

import pluggy

from rigmargin.loads.value import Value, expanded, nominal
from rigmargin.spec import units

__all__ = [
    "Agreement", "Answer", "Comparison", "NotApplicable", "Remark", "Requirement", "Rule", "Undecided", "Value", "agree",
    "at_least", "at_most", "band", "contradicted", "expanded", "hookimpl", "in_si", "nominal", "not_applicable", "remark",
    "requires", "rule", "rules_in", "undecided",
]  # fmt: skip

hookimpl = pluggy.HookimplMarker("rigmargin")


@dataclass(frozen=True, slots=True)
class Comparison:
    """A load held against a limit, or against both ends of a band. SI units."""

    load: Value
    low: Value | None  # the load may not be less
    high: Value | None  # the load may not be more
    limit_name: str = ""  # plain words for the limit, when it is not the rule's own
    notes: tuple[str, ...] = ()  # plain sentences on how the limit was made
    cures: tuple[str, ...] = ()  # plain sentences; "{excess}" stands for the mass to take away
    quantity: str = ""  # plain words for the load, when it is not the rule's own
    strict: bool = False  # a load that equals the limit has passed it
    dimension: str = ""  # of load and limit, when no parameter is called load
    rests_on: frozenset[str] | None = None  # the parameters it was made of; None: all


@dataclass(frozen=True, slots=True)
class Requirement:
    """Something that is so, or is not."""

    met: bool
    found: str  # plain words
    expected: str  # plain words
    cures: tuple[str, ...] = ()
    failing: str = "unmet"  # the verdict when it is not met; "conflict" where two words of the file contradict each other


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two figures that ought to be the same. SI units."""

    one: Value
    other: Value
    one_name: str
    other_name: str
    used: str  # which is used, and why
    coverage: float = 2.0  # standard uncertainties within which they agree


@dataclass(frozen=True, slots=True)
class Remark:
    """A figure worth knowing that is held against nothing. SI unit."""

    load: Value | None  # None when there is only something to say
    reason: str  # plain words: why it is not judged
    notes: tuple[str, ...] = ()  # plain sentences on what else is known


@dataclass(frozen=True, slots=True)
class NotApplicable:
    """The rule does not speak of this rig."""

    reason: str


@dataclass(frozen=True, slots=True)
class Undecided:
    """The answer depends on facts that are not known."""

    paths: tuple[str, ...]
    reason: str


Answer: TypeAlias = Comparison | Requirement | Agreement | Remark | NotApplicable | Undecided


def at_most(
    load: Value,
    limit: Value,
    *,
    limit_name: str = "",
    quantity: str = "",
    notes: tuple[str, ...] = (),
    cures: tuple[str, ...] = (),
    dimension: str = "",
) -> Comparison:
    """``load`` may not exceed ``limit`` (both in the same SI unit); ``dimension`` where no parameter is called load."""
    return Comparison(load, None, limit, limit_name, notes, cures, quantity, dimension=dimension)


def at_least(
    load: Value, limit: Value, *, limit_name: str = "", notes: tuple[str, ...] = (), cures: tuple[str, ...] = ()
) -> Comparison:
    """``load`` may not fall below ``limit`` (both in the same SI unit)."""
    return Comparison(load, limit, None, limit_name, notes, cures)


def band(
    load: Value, low: Value, high: Value, *, limit_name: str = "", notes: tuple[str, ...] = (), cures: tuple[str, ...] = ()
) -> Comparison:
    """``load`` is to lie between ``low`` and ``high`` (all in the same SI unit)."""
    return Comparison(load, low, high, limit_name, notes, cures)


def requires(met: bool, *, found: str, expected: str, cures: tuple[str, ...] = ()) -> Requirement:
    """Something must be so; ``found`` and ``expected`` say in plain words what is and what must be."""
    return Requirement(met, found, expected, cures)


def agree(one: Value, other: Value, *, one_name: str, other_name: str, used: str, coverage: float = 2.0) -> Agreement:
    """Two figures (same SI unit) are to agree within their combined uncertainty; ``used`` says which is used and why."""
    return Agreement(one, other, one_name, other_name, used, coverage)


def contradicted(*, found: str, expected: str, cures: tuple[str, ...] = ()) -> Requirement:
    """Two words of the file contradict each other; ``found`` and ``expected`` say in plain words what is and what must be."""
    return Requirement(False, found, expected, cures, "conflict")


def in_si(text: str) -> float:
    """A quantity of a table, such as ``35 psi``, in SI. Raises spec.units.NotAQuantity when it is none."""
    return units.parse(text).si


def remark(load: Value | None, reason: str, *, notes: tuple[str, ...] = ()) -> Remark:
    """A figure (SI) worth knowing, or only something to say, that is judged against nothing; ``reason`` says why."""
    return Remark(load, reason, notes)


def not_applicable(reason: str) -> NotApplicable:
    """The rule does not speak of this rig, for ``reason``."""
    return NotApplicable(reason)


def undecided(*paths: str, reason: str) -> Undecided:
    """The answer turns on the facts at ``paths``, which are not known; a path may begin with "." for the subject."""
    return Undecided(paths, reason)


@dataclass(frozen=True, slots=True)
class Rule:
    """One check, as the engine runs it and the reference prints it."""

    id: str  # plain hyphened words
    title: str  # what must be so, in one line
    check: Callable[..., Answer]
    each: Mapping[str, Mapping[str, str]]  # subject pattern -> the needs that differ for it
    needs: Mapping[str, str]  # parameter -> fact; a leading "." is of the subject
    basis: str  # on whose authority
    quantity: str  # plain words for the load; "{subject}" stands for the subject's name
    limit_name: str  # plain words for the limit
    why: str  # why it matters
    unless: str  # when it does not apply
    example: str  # a worked example
    states: bool = False  # judged in every coupled state that was weighed
    chain: bool = False  # its subjects are links of one chain: the weakest is named
    cures: tuple[str, ...] = ()  # what clears it; "{excess}" stands for the mass to take away
    where: str = ""  # the part, such as ".suspension", that a subject must have in the file; of others nothing is said
    optional: frozenset[str] = frozenset()  # the parameters that may be absent: those with a default
    known: bool = False  # it is given each fact with its origin (a ``loads.facts.Known``), not the bare value
    places: tuple[str, ...] = ()  # where it holds, as ISO 3166 codes; it runs on rigs that travel there. Empty: everywhere
    topic: str = ""  # of a rule of law: what it is about
    citation: str = ""  # of a rule of law: the section
    status: str = ""  # of a rule of law: how its source was read
    read_on: str = ""  # of a rule of law: when, ISO
    asks: str = ""  # of a rule of law: what it requires, in a few plain words
    replaces: str = ""  # id of another rule that is switched off because this one stands in its place
    origin: str = field(default="", compare=False)  # where it came from, set when it is loaded

    @property
    def what(self) -> str:
        """What it checks: the function's docstring."""
        return inspect.cleandoc(self.check.__doc__ or "")


class RuleError(ValueError):
    """A rule that is not well formed; says which and why."""


def rule(
    id: str,
    *,
    title: str,
    each: str | Mapping[str, Mapping[str, str]],
    needs: Mapping[str, str],
    basis: str,
    quantity: str,
    limit_name: str,
    why: str,
    example: str,
    unless: str = "It always applies.",
    states: bool = False,
    chain: bool = False,
    cures: tuple[str, ...] = (),
    where: str = "",
    replaces: str = "",
    places: tuple[str, ...] = (),
) -> Callable[[Callable[..., Answer]], Rule]:
    """Make a rule of the function below. Raises RuleError when id, needs and parameters do not fit together."""

    def make(check: Callable[..., Answer]) -> Rule:
        subjects: Mapping[str, Mapping[str, str]] = {each: {}} if isinstance(each, str) else each
        if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*(/[a-z0-9]+(-[a-z0-9]+)*)?", id):
            raise RuleError(f"the rule id {id!r} is not plain hyphened words")
        parameters = inspect.signature(check).parameters
        takes = set(parameters)
        optional = frozenset(name for name, parameter in parameters.items() if parameter.default is not parameter.empty)
        for subject, own in subjects.items():
            named = {*needs, *own}
            if takes != named:
                raise RuleError(
                    f"rule {id}: {check.__name__} takes {sorted(takes)} but needs name {sorted(named)} for {subject}"
                )
        if not inspect.cleandoc(check.__doc__ or ""):
            raise RuleError(f"rule {id}: {check.__name__} has no docstring to say what it checks")
        return Rule(
            id, title, check, subjects, needs, basis, quantity, limit_name, why, unless, example, states, chain, cures, where,
            optional, places=places, replaces=replaces,
        )  # fmt: skip

    return make


def rules_in(module: ModuleType) -> list[Rule]:
    """The rules a module defines, in the order of the file."""
    return [value for value in vars(module).values() if isinstance(value, Rule)]
