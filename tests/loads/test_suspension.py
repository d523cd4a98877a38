"""Springs against hand calculations, against SciPy's root-finder and against finite differences.

The formulas do not mind the unit, so that the hand calculations are in pounds and inches.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from rigmargin.loads.suspension import Springs, Stage, air_force, curve_through, rate_of, roll_moment, slope
from rigmargin.loads.value import Figures, expanded, influences, nominal


def pushes(x, main, stages):
    """The springs' force written out anew, for the root-finder: stages as (gap, rate, cubic)."""
    return main * x + sum(k * max(0.0, x - g) + c * max(0.0, x - g) ** 3 for g, k, c in stages)


# --- by hand -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("force", "compression"),
    [
        # main 500 lb/in, overload stage 800 lb/in after 2.5 in, which is reached at 500 x 2.5 = 1250 lb
        (0, 0),
        (1000, 2.0),  # 1000 / 500
        (1250, 2.5),  # the stage just touches
        (2550, 3.5),  # (2550 + 800 x 2.5) / (500 + 800) = 4550 / 1300
        (-500, -1.0),  # the axle drops: only the main springs follow
    ],
)
def test_leaf_with_an_overload_stage(force, compression):
    leaf = Springs(500.0, (Stage(2.5, 800.0),))
    assert nominal(leaf.settle(force)) == pytest.approx(compression, abs=1e-12)
    assert nominal(leaf.force(compression)) == pytest.approx(force, abs=1e-9)


def test_a_curve_through_two_points():
    # f = k x + c x^3 through 0.5 in, 300 lb and 1.5 in, 1700 lb:
    # c = (1700/1.5 - 300/0.5) / (1.5^2 - 0.5^2) = (1133.33 - 600) / 2 = 266.67 lb/in3; k = 600 - 266.67 x 0.25 = 533.33 lb/in
    rate, cubic = curve_through((0.5, 300.0), (1.5, 1700.0))
    assert (rate, cubic) == pytest.approx((1600 / 3, 800 / 3))
    block = Stage(0.0, rate, cubic)
    assert block.force(0.5) == pytest.approx(300)
    assert block.force(1.5) == pytest.approx(1700)
    # its rate at 1.5 in: k + 3 c x^2 = 533.33 + 800 x 2.25 = 2333.3 lb/in
    assert block.tangent(1.5) == pytest.approx(7000 / 3)


def test_a_straight_line_is_a_curve_too():
    assert curve_through((1.0, 400.0), (2.0, 800.0)) == pytest.approx((400, 0))


def test_two_air_springs():
    # two of 25 in2 at 30 psi: 2 x 25 x 30 = 1500 lb
    assert air_force(30.0, 25.0) == 1500


def test_rate_from_heights():
    # 2110 lb at 21.5 in, 2840 lb at 20.0 in: 730 / 1.5 = 486.67 lb/in
    assert rate_of(2110.0, 2840.0, 21.5 - 20.0) == pytest.approx(486.67, abs=0.005)


def test_pitch():
    # rear 1.6 in down, front 0.36 in up, wheelbase 145 in: 1.96 / 145 = 1.35 %, which is 0.77 degrees
    tangent = slope(-0.36, 1.6, 145.0)
    assert tangent == pytest.approx(0.01352, abs=5e-6)
    assert math.degrees(math.atan(tangent)) == pytest.approx(0.774, abs=5e-4)


def test_roll():
    # a pair of 260 lb/in, 38 in apart: k t^2 / 2 with k = 130 lb/in a side: 130 x 1444 / 2 = 93860 lb in for each radian
    assert roll_moment(260.0, 38.0) == pytest.approx(93860 * math.pi / 180)
    assert roll_moment(260.0, 76.0) == pytest.approx(4 * roll_moment(260.0, 38.0)), "spacing counts squared"


# --- against SciPy -------------------------------------------------------------------------------------------------------

rates, gaps = st.floats(50, 3000), st.floats(0, 5)
stages = st.lists(st.tuples(gaps, rates, st.floats(0, 2000)), max_size=3)


@given(st.floats(-3000, 8000), rates, stages)
def test_equilibrium_against_an_independent_root_finder(force, main, springs):
    found = nominal(Springs(main, [Stage(*spring) for spring in springs]).settle(force))
    theirs = brentq(lambda x: pushes(x, main, springs) - force, -200, 200, xtol=1e-13)
    assert found == pytest.approx(theirs, abs=1e-9)


@given(st.floats(0, 8000), rates, gaps, rates, st.floats(0, 2000))
def test_helper_and_springs_share_the_whole_force_and_the_helper_only_lifts(force, main, gap, rate, cubic):
    helper = Stage(gap, rate, cubic)
    bare, helped = nominal(Springs(main).settle(force)), nominal(Springs(main, (helper,)).settle(force))
    assert main * helped + nominal(helper.force(helped)) == pytest.approx(force, abs=1e-6)
    assert helped <= bare + 1e-9


@given(st.floats(0, 4000), st.floats(0, 4000), rates, stages)
def test_more_load_never_raises_the_axle(less, more, main, springs):
    axle = Springs(main, [Stage(*spring) for spring in springs])
    low, high = sorted((less, more))
    assert nominal(axle.settle(low)) <= nominal(axle.settle(high)) + 1e-9


# --- influences ----------------------------------------------------------------------------------------------------------

NUMBERS = {"force": 2400.0, "main": 500.0, "gap": 2.0, "rate": 600.0, "block gap": 1.2, "k": 300.0, "c": 250.0}


def settled(numbers):
    axle = Springs(
        numbers["main"], (Stage(numbers["gap"], numbers["rate"]), Stage(numbers["block gap"], numbers["k"], numbers["c"]))
    )
    return axle.settle(numbers["force"])


@pytest.mark.parametrize("name", NUMBERS)
@pytest.mark.parametrize("force", [400.0, 900.0, 2400.0, 5000.0, -300.0])
def test_each_inputs_influence_against_a_finite_difference(name, force):
    numbers = {**NUMBERS, "force": force}
    figures = Figures()
    slopes = {i.path: i.slope for i in influences(settled({n: figures.new(n, v, 0.01) for n, v in numbers.items()}))}
    step = 1e-5 * numbers[name]
    up, down = (nominal(settled({**numbers, name: numbers[name] + sign * step})) for sign in (1, -1))
    assert slopes.get(name, 0.0) == pytest.approx((up - down) / (2 * step), rel=1e-5, abs=1e-12)


def test_a_helper_that_may_touch_carries_nothing_but_is_not_certain_of_it():
    figures = Figures()
    gap = figures.new("gap", 2.0, 0.1)  # 2.0 +- 0.2
    block = Stage(gap, 500.0)
    near = block.force(1.9)
    assert nominal(near) == 0
    assert expanded(near) == pytest.approx(500 * 0.2)
    assert expanded(block.force(1.7)) == 0, "too far off to touch"
    assert nominal(block.tangent(1.9)) == 0
