"""The mixed-integer linear programme behind a loading plan: numbers in, a choice of columns out. It knows nothing of rigs.

Each column is 0 or 1. A margin M is taken as a sum over the columns chosen, because a load is a sum of masses times levers.
Its standard uncertainty is the length of a vector that is such a sum too (one component for each input of the file), so that
the expanded uncertainty U is convex in the columns, and every tangent of U bounds it from below. The programme asks
M - (a tangent of U) >= 0 and adds tangents where a solution shows that those at hand are too low, until none is: outer
approximation (Duran and Grossmann, Mathematical Programming 36, 1986). What is then refused by whoever knows better is
forbidden, that one choice, and what was foretold too much of a limit at it is taken off the limit, for as long as that leaves
anything to choose.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

Owner = tuple[str, str, str, str]  # the name of a limit
Choice = tuple[int, ...]  # one 0 or 1 for each column
Row = tuple[list[float], float]  # coefficients and the least they must sum to
TINY = 1e-6  # kg: the solver's own tolerance
TIE = 1e-5  # kg: two masses that differ by less are the same
SLICE = 0.2  # of the time left, for one linear programme


class OutOfTime(Exception):
    """The time for the search is used up."""


class SolverGaveUp(Exception):
    """The solver found neither a solution nor a proof that there is none."""


class SolverMissing(Exception):
    """SciPy, with the solver HiGHS inside it, is not installed."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One margin over the columns, in kg."""

    margin: float  # with no column chosen
    slopes: Sequence[float]  # what each column adds
    doubt: Sequence[float]  # standard uncertainties with no column chosen, by input
    doubt_slopes: Sequence[Sequence[float]]  # what each column adds to each
    scale: float  # what a spare margin is measured in: the limit itself; 0 when no column moves the margin
    trust: float = 1.0  # how much of U the programme asks for; less than 1 where the sums are only nearly exact

    def spread(self, choice: Sequence[int]) -> float:
        """The expanded uncertainty of the margin (coverage factor 2)."""
        return 2 * self.trust * math.hypot(*self._doubt(choice))

    def left(self, choice: Sequence[int]) -> float:
        """The margin less its expanded uncertainty."""
        return self.margin + _dot(self.slopes, choice) - self.spread(choice)

    def tangent(self, choice: Sequence[int]) -> Row:
        """margin - U >= 0 with U's tangent at ``choice``; the last coefficient is that of the spare margin."""
        doubt = self._doubt(choice)
        length = math.hypot(*doubt)
        unit = [2 * self.trust * x / length for x in doubt] if length else [0.0] * len(doubt)
        slopes = [s - _dot(unit, d) for s, d in zip(self.slopes, self.doubt_slopes, strict=True)]
        return [*slopes, -self.scale], _dot(unit, self.doubt) - self.margin - TINY

    def _doubt(self, choice: Sequence[int]) -> list[float]:
        chosen = [d for d, x in zip(self.doubt_slopes, choice, strict=True) if x]
        return [sum(parts) for parts in zip(self.doubt, *chosen, strict=True)]


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


@dataclass(slots=True)
class Programme:
    """Limits, what else the columns must obey, and what has been learnt of them so far."""

    columns: int
    limits: dict[Owner, Limit]
    rules: list[Row]  # over the columns alone
    end: float  # when to stop, on the clock of time.monotonic, s
    _cuts: list[Row] = field(default_factory=list)
    _learnt: list[Row] = field(default_factory=list)  # corrections, which may exclude what keeps every limit
    _known: set[tuple[Owner, Choice]] = field(default_factory=set)  # the tangents made

    def forbid(self, choice: Choice) -> None:
        """This one choice is refused."""
        row = [1.0 - 2 * x for x in choice]
        self._cuts.append(([*row, 0.0], 1.0 - sum(choice)))

    def correct(self, owner: Owner, choice: Choice, left: float) -> None:
        """At a choice a limit leaves only ``left`` (kg): what was foretold too much is taken off everywhere."""
        limit = self.limits[owner]
        row, least = limit.tangent(choice)
        self._learnt.append((row, least + max(0.0, limit.left(choice) - left)))

    def relax(self) -> bool:
        """Forget the corrections; whether there were any."""
        learnt, self._learnt = self._learnt, []
        return bool(learnt)

    def stages(self, costs: Sequence[Sequence[float]]) -> Iterator[Choice | None]:
        """The choice that keeps the limits at the least cost, cost by cost in their order, and then with the most room at the
        limit that leaves least of itself: one choice after each stage, the last of them the answer; None if there is none.

        Raises SolverMissing, SolverGaveUp, and OutOfTime.
        """
        agreed: list[Row] = []
        for cost in costs:
            choice = self._cheapest([*cost, 0.0], agreed, 0.0)
            yield choice
            if choice is None:
                return
            agreed.append(([*(-c for c in cost), 0.0], -_dot(cost, choice) - TIE))
        roomiest = self._cheapest([*([0.0] * self.columns), -1.0], agreed, 1.0)
        if roomiest:
            yield roomiest

    def _cheapest(self, cost: list[float], agreed: list[Row], most: float) -> Choice | None:
        none = tuple([0] * self.columns)
        for owner in self.limits:
            self._touch(owner, none)
        while True:
            rows = [([*row, 0.0], least) for row, least in self.rules] + agreed + self._cuts + self._learnt
            found = self._solved(cost, rows, most)
            if found is None:
                return None
            choice, room = found
            short = [
                owner
                for owner, limit in self.limits.items()
                if limit.left(choice) - room * limit.scale < -10 * TINY and self._touch(owner, choice)
            ]
            if not short:
                return choice

    def _solved(self, cost: list[float], rows: list[Row], most: float) -> tuple[Choice, float] | None:
        """One linear programme: a part of the time for the best, and if nothing was found in it, the rest for any."""
        for part in (SLICE, 1.0):
            rest = self.end - time.monotonic()
            if rest <= 0:
                break
            try:
                return _milp(cost, rows, self.columns, most, part * rest)
            except OutOfTime:
                continue
        raise OutOfTime

    def _touch(self, owner: Owner, choice: Choice) -> bool:
        """Add the tangent of a limit at a choice; whether it is new."""
        if (owner, choice) in self._known:
            return False
        self._known.add((owner, choice))
        self._cuts.append(self.limits[owner].tangent(choice))
        return True


def _milp(cost: list[float], rows: list[Row], columns: int, most: float, seconds: float) -> tuple[Choice, float] | None:
    """The cheapest choice found in the time and its spare margin, from 0 to ``most``; None if there is none."""
    try:
        from scipy.optimize import Bounds, LinearConstraint, milp
    except ImportError as missing:
        raise SolverMissing from missing
    bounds = Bounds([0.0] * (columns + 1), [*([1.0] * columns), most])
    constraints = LinearConstraint([row for row, _ in rows], [least for _, least in rows], math.inf) if rows else ()
    options = {"mip_rel_gap": 0.0, "time_limit": seconds}
    found = milp(cost, integrality=[*([1] * columns), 0], bounds=bounds, constraints=constraints, options=options)
    if found.status == 2:  # infeasible
        return None
    if found.x is None:
        raise OutOfTime if found.status == 1 else SolverGaveUp(found.message)
    return tuple(round(x) for x in found.x[:columns]), float(found.x[columns])


def require_solver() -> None:
    """Raises SolverMissing when the solver is not there."""
    _milp([0.0, 0.0], [], 1, 0.0, 1.0)
