"""A loading plan where there are too many loadings to judge each: a programme proposes, the engine judges.

The programme's numbers come from the engine, which judges the rig with each option alone. They are not exact where a limit or a
load is not a sum, so that a search without a plan proves nothing, and a plan found is not shown to be the least.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from rigmargin.advice.bench import Bench, Change, Judged, Loading, costs
from rigmargin.advice.choices import Option
from rigmargin.advice.influence import left, limit
from rigmargin.advice.programme import Choice, OutOfTime, Programme, Row, SolverGaveUp
from rigmargin.judge.finding import Finding


@dataclass(slots=True)
class Guided:
    """One rig's options as columns, and what has been proposed of them."""

    bench: Bench
    good: tuple[Loading, Judged] | None = None  # the least change that was found
    untried: tuple[tuple[Option, Finding], ...] = ()  # left out, each with a check that it alone would leave unknown
    timed_out: bool = False
    _usable: tuple[Option, ...] = ()
    _bits: list[tuple[int, int]] = field(default_factory=list)  # columns: an option, and the percent added (0: the option)
    _judged: dict[Choice, Judged] = field(default_factory=dict)

    def search(self) -> None:
        """Look for the least change until the programme has no more to propose, or the time is up."""
        try:
            self._search()
        except (OutOfTime, SolverGaveUp):
            self.timed_out = True

    def _search(self) -> None:
        programme = self._programme()
        # first, what the engine finds less of than was foretold is taken off everywhere; if that leaves nothing, only
        # what the engine refused is left out
        if not self._propose(programme, learning=True) and programme.relax() and not self.good:
            self._propose(programme, learning=False)

    def _propose(self, programme: Programme, *, learning: bool) -> bool:
        """Ask for the least change and judge it, until one is good (True) or none is left (False)."""
        while True:
            choice: Choice | None = None
            for choice in programme.stages(self._costs()):
                if choice is None:
                    return False
                self._keep(choice)
            assert choice is not None
            one = self._judge(choice)
            if not one.refused:
                return True
            programme.forbid(choice)
            for check in one.refused if learning else ():
                if check in programme.limits and check in one.found:
                    programme.correct(check, choice, left(one.report, one.found[check]))

    def _judge(self, choice: Choice) -> Judged:
        if choice not in self._judged:
            self._judged[choice] = self.bench.judge(self._loading(choice))
        return self._judged[choice]

    def _keep(self, choice: Choice) -> None:
        """Remember a good loading when it is the least so far."""
        one, loading = self._judge(choice), self._loading(choice)
        if not one.refused and (self.good is None or costs(loading) <= costs(self.good[0])):
            self.good = loading, one

    def _loading(self, choice: Choice) -> Loading:
        """A choice of columns as what is done."""
        chosen = [self._bits[column] for column, x in enumerate(choice) if x]
        percent = {i: self._usable[i].low + sum(step for j, step in chosen if j == i) for i, _ in chosen}
        return tuple(Change(self._usable[i], percent[i]) for i in sorted(percent))

    # --- the programme's numbers -------------------------------------------------------------------------------------

    def _programme(self) -> Programme:
        """The limits over the columns, from a trial of each option alone, at the low end of its range and at the high one."""
        bench = self.bench
        trials = {option: self._ends(option) for option in bench.marked}
        lost = {option: self._loses(pair) for option, pair in trials.items()}
        self.untried = tuple((option, finding) for option, finding in lost.items() if finding)
        self._usable = tuple(option for option in bench.marked if not lost[option])
        for i, option in enumerate(self._usable):
            self._bits += [(i, 0), *((i, 1 << bit) for bit in range(option.span.bit_length()))]
        ends = [tuple((one.report, one.found) for one in trials[option]) for option in self._usable]
        columns = [(i, step, self._usable[i].span) for i, step in self._bits]
        limits = {c: limit(bench.report, c, f, ends, columns) for c, f in bench.today.items()}
        return Programme(len(self._bits), limits, self._rules(), bench.end)

    def _ends(self, option: Option) -> tuple[Judged, Judged]:
        assert self.bench.rest
        low = self.bench.judge([Change(option, option.low)])
        return low, self.bench.judge([Change(option, option.high)]) if option.span else low

    def _loses(self, ends: Iterable[Judged]) -> Finding | None:
        """A check that is known today and would no longer be."""
        return next((finding for one in ends for check, finding in self.bench.today.items() if check in one.lost), None)

    def _rules(self) -> list[Row]:
        """One option at the most for each item, and no filling beyond an option's range."""
        rows: list[Row] = []
        for path in dict.fromkeys(option.item.path for option in self._usable):
            row = [-1.0 if step == 0 and self._usable[i].item.path == path else 0.0 for i, step in self._bits]
            rows.append((row, -1.0))
        for i, option in enumerate(self._usable):
            if option.span:
                own = [(option.span if step == 0 else -step) if j == i else 0 for j, step in self._bits]
                rows.append(([float(x) for x in own], 0.0))
        return rows

    def _costs(self) -> list[list[float]]:
        """What is left behind, what is moved, and how far from the axles, by column."""

        def of(i: int, step: int, cost: str) -> float:
            option = self._usable[i]
            at = getattr(option, cost)
            return float(at(option.low + step) - at(option.low) if step else at(option.low))

        return [[of(i, step, cost) for i, step in self._bits] for cost in ("left", "moved", "swing")]
