"""Numbers with their inputs: every operator held against the ``uncertainties`` package, on expressions drawn at random."""

import copy
import math
import operator
import pickle

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from uncertainties.core import Variable

from rigmargin.loads.linear import Input, Linear

FIGURES = [(3.25, 0.25), (-0.5, 0.125), (1250.0, 12.0), (0.75, 0.0), (2.0, 1.0)]  # value and standard uncertainty
TWO = {
    "+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv, "**": operator.pow, "//": operator.floordiv,
    "%": operator.mod,
}  # fmt: skip
ONE = {"neg": operator.neg, "pos": operator.pos, "abs": operator.abs}
COMPARED = [operator.lt, operator.le, operator.gt, operator.ge, operator.eq, operator.ne]
WRONG = (ArithmeticError, ValueError, TypeError)
LARGE = 1e60  # beyond any figure of a rig

#: The package means to drop comparisons, // and %; what a rule could do with its figures, it goes on being able to do.
pytestmark = pytest.mark.filterwarnings("ignore:AffineScalarFunc:FutureWarning")

leaves = st.integers(0, len(FIGURES) - 1).map(lambda i: ("figure", i)) | st.sampled_from(
    [("number", 0), ("number", 1), ("number", 2), ("number", 0.5), ("number", -3.0), ("number", 1000.0)]
)
exponents = st.sampled_from([("number", 0), ("number", 1), ("number", 2), ("number", 0.5), ("figure", 1), ("figure", 4)])
trees = st.recursive(
    leaves,
    lambda below: (
        st.tuples(st.sampled_from(["+", "-", "*", "/"]), below, below)
        | st.tuples(st.just("**"), below, exponents)
        | st.tuples(st.sampled_from(sorted(ONE)), below)
    ),
    max_leaves=12,
)


def made(tree, figures):
    """The value of a tree: an operation on trees, one of the ``figures``, or a plain number."""
    kind, *rest = tree
    if kind == "figure":
        return figures[rest[0]]
    if kind == "number":
        return rest[0]
    return {**TWO, **ONE}[kind](*(made(each, figures) for each in rest))


def ours():
    return [Linear(value, {Input(str(i), spread): 1.0}) for i, (value, spread) in enumerate(FIGURES)]


def theirs():
    return [Variable(value, spread, str(i)) for i, (value, spread) in enumerate(FIGURES)]


def number(value):
    return getattr(value, "nominal_value", value)


def slopes(value):
    """By tag; what is nothing is left out."""
    found = getattr(value, "slopes", None) or getattr(value, "derivatives", {})
    return {each.tag: slope for each, slope in found.items() if slope}


def magnitude(tree):
    """The slopes as if nothing cancelled: what the rounding of floats is a share of."""
    kind, *rest = tree
    if kind == "figure":
        return [float(i == rest[0]) for i in range(len(FIGURES))]
    if kind == "number":
        return [0.0] * len(FIGURES)
    below = [magnitude(each) for each in rest]
    if kind in ONE:
        return below[0]
    x, y = (number(made(each, ours())) for each in rest)
    if kind == "*":
        by = y, x
    elif kind == "/":
        by = 1 / y, x / y**2
    elif kind == "**":
        by = (y * abs(x) ** (y - 1), math.log(abs(x)) * abs(x) ** y) if x else (1, 1)
    else:
        by = 1, 1
    return [abs(by[0]) * a + abs(by[1]) * b for a, b in zip(*below, strict=True)]


def spread(value):
    """Its standard uncertainty."""
    return getattr(value, "std_dev", 0.0)


X = ("figure", 0)


@settings(max_examples=500)
@given(trees)
@example(("-", ("*", X, ("figure", 2)), ("*", ("figure", 2), X)))
@example(("/", ("+", X, ("figure", 1)), ("+", X, ("figure", 2))))
@example(("**", X, ("figure", 4)))
def test_any_expression_agrees_with_the_uncertainties_package(tree):
    try:
        known = made(tree, theirs())
    except WRONG:  # divided by nothing, too large, or a power that is no real number
        with pytest.raises(WRONG):
            made(tree, ours())
        return
    if not (abs(number(known)) < LARGE and all(abs(slope) < LARGE for slope in slopes(known).values())):
        return  # nor where a power has no slope
    value = made(tree, ours())
    assert number(value) == number(known)
    assert isinstance(value, Linear) == hasattr(known, "derivatives")
    rounding = [1e-9 * size for size in magnitude(tree)]
    found, wanted = slopes(value), slopes(known)
    for i, slack in enumerate(rounding):
        assert found.get(str(i), 0.0) == pytest.approx(wanted.get(str(i), 0.0), rel=1e-9, abs=slack)
    slack = math.hypot(*(size * sigma for size, (_, sigma) in zip(rounding, FIGURES, strict=True)))
    assert spread(value) == pytest.approx(spread(known), rel=1e-9, abs=slack)


@pytest.mark.parametrize("name", TWO)
@pytest.mark.parametrize("side", ["both", "left", "right"])
def test_every_operator_takes_a_plain_number_on_either_side(name, side):
    def result(figures):
        return TWO[name](7.0 if side == "right" else figures[0], 2 if side == "left" else figures[4])

    value, known = result(ours()), result(theirs())
    assert number(value) == number(known)
    assert slopes(value) == pytest.approx(slopes(known), rel=1e-6)  # theirs takes the slope of % by small steps


def test_equal_is_only_what_is_the_same_whatever_the_figures_are():
    for figures in (ours(), theirs()):
        x, y = figures[0], figures[4]
        for compare in COMPARED:
            assert compare(x, 3.25) is (compare in (operator.ne,))
            assert compare(x + y - y, x) is (compare in (operator.le, operator.ge, operator.eq))
            assert compare(x, y) is (compare in (operator.gt, operator.ge, operator.ne))
            assert compare(y, y * 1.0) is (compare in (operator.le, operator.ge, operator.eq))
            assert compare(y, 5) is (compare in (operator.lt, operator.le, operator.ne))
        assert [bool(each) for each in (x, x - x, x - 3.25, 0 * x)] == [True, False, True, False]
    assert Linear(2.0, {}) == 2
    assert hash(Linear(2.0, {})) == hash(2)


def test_what_cancels_but_for_rounding_is_nothing():
    # the sums are taken in another order, so that floats leave about 1e-13 of slopes of some 1000
    x, a, b, c = Linear(1.0, {Input("scale", 0.001): 1.0}), 1000.1, 2000.2, 3000.3
    left = (a * x + b * x) + c * x - (c * x + b * x) - a * x
    assert slopes(left) == {}
    assert left.std_dev == 0.0
    assert slopes((a + 1e-6) * x - a * x) == {"scale": pytest.approx(1e-6, rel=1e-3)}  # small, and no rounding


def test_what_is_no_number_is_refused():
    x = ours()[0]
    for name, operation in TWO.items():
        for pair in ((x, "3"), ("3", x), (x, None)):
            if (name, pair[0]) != ("%", "3"):  # that is how text is filled in
                with pytest.raises(TypeError):
                    operation(*pair)
    with pytest.raises(TypeError):
        float(x)
    with pytest.raises(ValueError, match="no real number"):
        ours()[1] ** 0.5
    assert x != "3"


def test_it_is_shown_with_its_standard_uncertainty():
    assert str(ours()[2]) == repr(ours()[2]) == "1250.0+/-12.0"
    assert f"{ours()[2]:.2f}" == "1250.00+/-12.00"


def test_copies_that_go_together_keep_their_inputs_in_common():
    x = ours()[2]
    for pair in (copy.deepcopy((x, 2 * x)), pickle.loads(pickle.dumps((x, 2 * x)))):
        assert (pair[1] - 2 * pair[0]).std_dev == 0.0
        assert pair[0].std_dev == 12.0
