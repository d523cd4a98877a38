"""An air spring's force, against the figures of an air-spring maker's engineering note on load ratings."""

import math

import pytest
from rigs import best, rig

from rigmargin.loads.suspension import air_force
from rigmargin.spec.units import from_si, to_si


def test_six_inches_at_100_psi_carry_2825_lb():
    """The note: 6 in in diameter, an area of 28.25 in2, 100 psi: 2,825 lb. Ours is for the two springs of an axle."""
    pair = air_force(to_si(100, "psi"), to_si(28.25, "in2"))
    assert from_si(pair / 2, "lbf") == pytest.approx(2825, rel=1e-12)


def test_the_note_rounds_its_area():
    # pi / 4 x 6^2 = 28.274 in2, of which the note keeps 28.25: 0.1 % less
    assert math.pi / 4 * 36 == pytest.approx(28.25, rel=1e-3)


def test_the_same_from_a_rig_file():
    helper = {"kind": "air", "pressure": "100 psi", "effective_area": "28.25 in2"}
    one = rig(tow_vehicle={"axles": {"rear": {"suspension": {"helper": helper}}}})
    assert best(one, "tow_vehicle.axles.rear.suspension.helper.load", unit="lb") == pytest.approx(2 * 2825, rel=1e-12)
