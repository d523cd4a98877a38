"""The programme behind a plan, against every choice of its columns there is."""

import itertools
import math
import time

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from rigmargin.advice.programme import Limit, Programme

COLUMNS = 5
kilograms = st.integers(-60, 60).map(float)
doubts = st.lists(st.integers(-12, 12).map(float), min_size=3, max_size=3)
LIMITS = st.lists(
    st.builds(
        Limit,
        margin=kilograms,
        slopes=st.lists(kilograms, min_size=COLUMNS, max_size=COLUMNS),
        doubt=doubts,
        doubt_slopes=st.lists(doubts, min_size=COLUMNS, max_size=COLUMNS),
        scale=st.sampled_from([0.0, 50.0, 400.0]),
    ),
    min_size=1,
    max_size=4,
)
COSTS = st.lists(st.lists(st.integers(0, 9).map(float), min_size=COLUMNS, max_size=COLUMNS), min_size=0, max_size=2)


def left(limit, choice):
    """margin - U, written out: U is twice the root of the sum of squares."""
    margin = limit.margin + sum(s for s, x in zip(limit.slopes, choice, strict=True) if x)
    parts = [
        base + sum(column[i] for column, x in zip(limit.doubt_slopes, choice, strict=True) if x)
        for i, base in enumerate(limit.doubt)
    ]
    return margin - 2 * math.sqrt(sum(part**2 for part in parts))


def kept(limits, choice, slack=0.0):
    return all(left(limit, choice) >= slack for limit in limits)


def price(costs, choice):
    return tuple(sum(c for c, x in zip(cost, choice, strict=True) if x) for cost in costs)


def programme(limits, rules=(), columns=COLUMNS):
    return Programme(columns, limits, list(rules), time.monotonic() + 60)


@settings(max_examples=150, deadline=None, phases=[Phase.generate], derandomize=True)
@given(LIMITS, COSTS)
def test_the_cheapest_choice_that_keeps_every_limit(limits, costs):
    owners = {("limit", str(i), "", ""): limit for i, limit in enumerate(limits)}
    first_two = ([-1.0, -1.0, 0.0, 0.0, 0.0], -1.0)  # at the most one of the first two columns
    found = [None, *programme(owners, [first_two]).stages(costs)][-1]
    every = [choice for choice in itertools.product((0, 1), repeat=COLUMNS) if choice[0] + choice[1] <= 1]
    possible = [choice for choice in every if kept(limits, choice, -1e-4)]
    if found is None:
        assert [choice for choice in every if kept(limits, choice, 1e-4)] == []
        return
    assert found in possible
    assert price(costs, found) == min(price(costs, choice) for choice in possible)
    measured = [limit for limit in limits if limit.scale]
    if measured:

        def room(choice):
            return min(1.0, *(left(limit, choice) / limit.scale for limit in measured))

        equal = [choice for choice in possible if price(costs, choice) == price(costs, found)]
        assert room(found) == pytest.approx(max(room(choice) for choice in equal), abs=1e-5)


def test_what_is_forbidden_is_forbidden_alone():
    loose = Limit(10.0, [0.0, 0.0], [], [[], []], 0.0)
    made = programme({("one", "", "", ""): loose}, columns=2)
    costs = [[1.0, 2.0]]
    found = []
    for _ in range(5):
        *_, choice = made.stages(costs)
        found.append(choice)
        if choice is not None:
            made.forbid(choice)
    assert found == [(0, 0), (1, 0), (0, 1), (1, 1), None]


def test_a_correction_holds_until_it_is_forgotten():
    """A column worth 10 kg was foretold; where it was tried it gave 4 kg less, so that 8 kg need a second one of 5 kg."""
    owner = ("one", "", "", "")
    made = programme({owner: Limit(-8.0, [10.0, 5.0], [], [[], []], 0.0)}, columns=2)
    costs = [[1.0, 1.0]]
    assert list(made.stages(costs))[-1] == (1, 0)
    made.correct(owner, (1, 0), -2.0)
    assert list(made.stages(costs))[-1] == (1, 1)
    assert made.relax()
    assert not made.relax()
    assert list(made.stages(costs))[-1] == (1, 0)
