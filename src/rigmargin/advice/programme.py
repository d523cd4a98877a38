"""The mixed-integer linear programme behind a loading plan: numbers in, a choice of columns out. It knows nothing of rigs.

Each column is 0 or 1. A margin M is a sum over the columns chosen, exactly, because a load is a sum of masses times levers.
Its standard uncertainty is the length of a vector that is such a sum too (one component for each input of the file), so that
the expanded uncertainty U is convex in the columns, and every tangent of U bounds it from below. The programme asks
M - (a tangent of U) >= 0 and adds tangents where a solution shows that those at hand are too low, until none is: outer
approximation (Duran and Grossmann, Mathematical Programming 36, 1986). What is then refused by whoever knows better is
forbidden, that one choice, and nothing else. So a choice is only ever excluded by a limit that it does not keep.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

Owner = tuple[str, str, str, str]  # the name of a limit
Choice = tuple[int, ...]  # one 0 or 1 for each column
Row = tuple[list[float], float]  # coefficients and the least they must sum to
TINY = 1e-6  # kg: the solver's own tolerance
TIE = 1e-5  # kg: two masses that differ by less are the same


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
    scale: float  # what a spare margin is measured in: the limit itself; 0 when it shall not count
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
    _cuts: dict[Owner, list[Row]] = field(default_factory=dict)
    _known: set[tuple[Owner, Choice]] = field(default_factory=set)  # the tangents made

    def forbid(self, owner: Owner, choice: Choice) -> None:
        """This one choice does not keep the limit ``owner``."""
        row = [1.0 - 2 * x for x in choice]
        self._cuts.setdefault(owner, []).append(([*row, 0.0], 1.0 - sum(choice)))

    def solve(self, owners: Collection[Owner], costs: Sequence[Sequence[float]], *, spare: bool = False) -> Choice | None:
        """The choice that keeps the limits ``owners`` at the least cost, cost by cost in their order; None if there is none.

        With ``spare`` the most room at the limit that leaves least of itself decides between equals. Raises SolverMissing, and
        SolverGaveUp.
        """
        agreed: list[Row] = []
        choice: Choice | None = None
        for cost in costs or [[0.0] * self.columns]:
            choice = self._cheapest(owners, [*cost, 0.0], agreed, 0.0)
            if choice is None:
                return None
            agreed.append(([*(-c for c in cost), 0.0], -_dot(cost, choice) - TIE))
        roomiest = self._cheapest(owners, [*([0.0] * self.columns), -1.0], agreed, 1.0) if spare else None
        return roomiest or choice

    def furthest(self, owner: Owner) -> Choice | None:
        """The choice that leaves the most at one limit, kept or not."""
        return self._cheapest([owner], [*([0.0] * self.columns), -1.0], [], math.inf)

    def _cheapest(self, owners: Collection[Owner], cost: list[float], agreed: list[Row], most: float) -> Choice | None:
        none = tuple([0] * self.columns)
        for owner in owners:
            self._touch(owner, none)
        while True:
            rows = [([*row, 0.0], least) for row, least in self.rules] + agreed
            rows += [row for owner in owners for row in self._cuts.get(owner, ())]
            found = _milp(cost, rows, self.columns, most)
            if found is None:
                return None
            choice, room = found
            short = [
                owner
                for owner in owners
                if owner in self.limits
                and self.limits[owner].left(choice) - room * self.limits[owner].scale < -10 * TINY
                and self._touch(owner, choice)
            ]
            if not short:
                return choice

    def _touch(self, owner: Owner, choice: Choice) -> bool:
        """Add the tangent of a limit at a choice; whether it is new."""
        if owner not in self.limits or (owner, choice) in self._known:
            return False
        self._known.add((owner, choice))
        self._cuts.setdefault(owner, []).append(self.limits[owner].tangent(choice))
        return True


def _milp(cost: list[float], rows: list[Row], columns: int, most: float) -> tuple[Choice, float] | None:
    """The cheapest choice and its spare margin, from 0 (or anything, where ``most`` is infinite) to ``most``; None if none."""
    try:
        from scipy.optimize import Bounds, LinearConstraint, milp
    except ImportError as missing:
        raise SolverMissing from missing
    least = -math.inf if math.isinf(most) else 0.0
    bounds = Bounds([*([0.0] * columns), least], [*([1.0] * columns), most])
    constraints = LinearConstraint([row for row, _ in rows], [least_ for _, least_ in rows], math.inf) if rows else ()
    found = milp(cost, integrality=[*([1] * columns), 0], bounds=bounds, constraints=constraints, options={"mip_rel_gap": 0.0})
    if found.status == 2:  # infeasible
        return None
    if found.x is None:
        raise SolverGaveUp(found.message)
    return tuple(round(x) for x in found.x[:columns]), float(found.x[columns])


def require_solver() -> None:
    """Raises SolverMissing when the solver is not there."""
    _milp([0.0, 0.0], [], 1, 0.0)
