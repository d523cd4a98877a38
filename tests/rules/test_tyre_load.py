"""Properties of what a tyre carries: it never falls with pressure or index, never passes the rating, and needs undo carries."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rigmargin.rules.tyre_load import LEAST_SHARE, PRESSURE_STEP, Curve, load_index_table, rated_load
from rigs import rig

from rigmargin.judge.run import judge

RATED, REFERENCE, SHARES = st.floats(200, 4000), st.floats(200e3, 900e3), st.floats(0.5, 1.3)
KINDS = st.sampled_from([None, "passenger", "light_truck", "special_trailer", "commercial"])


@st.composite
def curves(draw):
    rated, reference, kind = draw(RATED), draw(REFERENCE), draw(KINDS)
    if draw(st.booleans()):
        return Curve(rated, reference, kind)
    n = draw(st.floats(0.5, 0.95))
    shares = sorted(draw(st.lists(st.floats(0.4, 1.0), min_size=2, max_size=6, unique=True)))
    rows = tuple((reference * share, rated * share**n) for share in shares)
    return Curve(rated, draw(st.none() | st.just(reference)), kind, rows)


def carried(curve, pressure):
    found = curve.carries(pressure)
    return None if found is None else found.value


@given(curves(), st.lists(SHARES, min_size=2, max_size=8))
def test_more_pressure_never_carries_less_and_never_more_than_the_rating(curve, shares):
    base = curve.reference or curve.rows[-1][0]
    if curve.rows:
        assert all((carried(curve, base * share) or 0) <= curve.rows[-1][1] * (1 + 1e-12) for share in shares)
    loads = [carried(curve, base * share) for share in sorted(shares)]
    known = [load for load in loads if load is not None]
    assert loads[len(loads) - len(known) :] == known  # unknown only below what is known
    assert all(b >= a * (1 - 1e-12) for a, b in pairwise(known))
    assert all(load <= curve.rated * (1 + 1e-12) for load in known)


@given(curves(), st.floats(0.3, 1.0))
def test_the_pressure_a_load_needs_carries_it(curve, share):
    load = share * curve.rated
    needed = curve.needs(load)
    if needed is None:
        assert curve.rows
        assert load > curve.rows[-1][1]
    else:
        assert carried(curve, needed * (1 + 1e-9)) >= load * (1 - 1e-6)
        if curve.rows:
            assert needed >= curve.rows[0][0]
        else:
            assert needed >= LEAST_SHARE * curve.reference * (1 - 1e-12)


@given(curves(), st.floats(0.3, 1.0), st.floats(0.3, 1.0))
def test_more_load_never_needs_less_pressure(curve, one, other):
    less, more = (curve.needs(share * curve.rated) for share in sorted((one, other)))
    assert more is None or (less is not None and less <= more)


@given(RATED, REFERENCE, KINDS, st.floats(0.5, 0.6999))
def test_below_seven_tenths_nothing_is_claimed(rated, reference, kind, share):
    assert Curve(rated, reference, kind).carries(share * reference) is None


@given(RATED, REFERENCE, KINDS)
def test_one_psi_below_the_rating_counts_as_equal(rated, reference, kind):
    assert carried(Curve(rated, reference, kind), reference - PRESSURE_STEP) == rated


@given(st.integers(0, 278), st.sampled_from([2, 4]))
def test_a_higher_index_never_carries_less(index, count):
    low, high = (rated_load(count, f"{i}/{i}", None, None).value for i in (index, index + 1))
    assert low < high


@given(st.integers(0, 279), st.floats(50, 6000))
def test_the_rating_is_the_lower_of_the_two(index, moulded):
    assert rated_load(2, str(index), moulded, None).value == min(moulded, load_index_table()[index])


@settings(max_examples=25, deadline=None)
@given(st.integers(600, 1500), st.sampled_from(["pickup", "truck", "van"]), st.sampled_from(["us", "us-tx"]))
def test_what_is_allowed_falls_by_the_divisor(moulded, kind, place):
    def limit(type_, where):
        tyres = {"type": type_, "count": 2, "max_load_single": f"{moulded} kg"}
        ticket = {"state": "coupled", "rear": "1000 kg", "increment": "10 kg"}
        one = rig(places=[where], weighings=[ticket], tow_vehicle={"kind": kind, "axles": {"rear": {"tyres": tyres}}})
        return next(f.high for f in judge(one).findings if f.rule == "tyre-capacity" and f.subject.endswith("rear"))

    assert math.isclose(limit("passenger", place), limit("light_truck", place) / 1.10)
    assert math.isclose(limit("passenger", "de"), limit("light_truck", "de"))


@pytest.mark.parametrize("n", [0.5, 0.7, 0.9])
def test_a_chord_lies_below_the_curve_it_is_drawn_in(n):
    rows = tuple((p * 1e4, 1000 * (p / 60) ** n) for p in (40, 50, 60))
    for p in range(40, 61):
        assert carried(Curve(1000, 60e4, "light_truck", rows), p * 1e4) <= 1000 * (p / 60) ** n * (1 + 1e-9) or p > 59
