"""Numbers as a reader sees them: no rounding that flatters, the rig's own units first."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigmargin.report.display import DOWN, NEAR, UP, Display, display
from rigmargin.spec.rig import parse
from rigmargin.spec.units import from_si, to_si

US, METRIC, BOTH = Display(("us",)), Display(("metric",)), Display(("us", "metric"))
RIG = "rig: 1\nname: a\ntow_vehicle: {{gvwr: {tow}}}\ncoupling: {{kind: pintle}}\ntrailer: {{gvwr: {trailer}}}\n"


@pytest.mark.parametrize(
    ("shown", "value", "dimension", "rounding", "text"),
    [
        (US, to_si(9900, "lb"), "mass", DOWN, "9900 lb"),
        (US, to_si(9900, "lb"), "mass", UP, "9900 lb"),
        (METRIC, 1234.2, "mass", UP, "1235 kg"),
        (METRIC, 1234.8, "mass", DOWN, "1234 kg"),
        (METRIC, -12.3, "mass", DOWN, "-13 kg"),
        # 10000 lb x 0.45359237 = 4535.92 kg
        (BOTH, to_si(10000, "lb"), "mass", DOWN, "10000 lb (4535 kg)"),
        (US, to_si(80, "psi"), "pressure", NEAR, "80 psi"),
        (METRIC, 290000.0, "pressure", NEAR, "2.90 bar"),
        (Display(("metric",), "kPa"), 290000.0, "pressure", NEAR, "290 kPa"),
        (US, to_si(6, "ft"), "length", NEAR, "72 in"),
        (US, to_si(10, "in"), "length", NEAR, "10 in"),
        (US, to_si(20, "ft"), "length", NEAR, "20.0 ft"),
        # springs and gaps are matters of tenths of an inch and of millimetres
        (US, to_si(1.58, "in"), "length", NEAR, "1.6 in"),
        (US, to_si(-0.36, "in"), "length", NEAR, "-0.4 in"),
        (US, to_si(3.66, "in"), "length", DOWN, "3.6 in"),
        (US, to_si(21.5, "in"), "length", NEAR, "21.5 in"),
        (US, 0.0, "length", NEAR, "0 in"),
        (METRIC, 0.0404, "length", NEAR, "40 mm"),
        (METRIC, 1.2, "length", NEAR, "1.20 m"),
        # 600 lb/in x 175.1268 N/m = 105.08 N/mm
        (BOTH, to_si(600, "lb/in"), "stiffness", NEAR, "600 lb/in (105.1 N/mm)"),
        # 25 in2 x 6.4516 cm2 = 161.3 cm2
        (BOTH, to_si(25, "in2"), "area", NEAR, "25.0 in2 (161 cm2)"),
        (BOTH, 0.1975, "ratio", UP, "19.8 %"),
    ],
)
def test_numbers(shown, value, dimension, rounding, text):
    assert shown.number(value, dimension, rounding) == text


@given(st.floats(0, 20000), st.sampled_from(["us", "metric"]))
def test_a_load_is_never_shown_smaller_nor_a_limit_larger(value, system):
    shown = Display((system,))
    unit = "lb" if system == "us" else "kg"
    true = from_si(value, unit)
    up = float(shown.number(value, "mass", UP).split()[0])
    down = float(shown.number(value, "mass", DOWN).split()[0])
    assert true - 1e-5 <= up < true + 1
    assert true - 1 < down <= true + 1e-5


def test_own_units_follow_the_masses_of_the_file():
    assert display(parse(RIG.format(tow="6000 lb", trailer="5000 lb"), "a")).systems == ("us",)
    assert display(parse(RIG.format(tow="2600 kg", trailer="2 t"), "a")).systems == ("metric",)
    assert display(parse(RIG.format(tow="2600 kg", trailer="2 t"), "a"), "both").systems == ("metric", "us")
    assert display(parse(RIG.format(tow="2600 kg", trailer="2 t"), "a"), "us").systems == ("us",)


def test_placeholders_of_a_rule_are_filled_in():
    assert METRIC.fill("{moment:185.1}", 0.0) == "186 N m"
    text = "Take {excess} off the {subject}; move {mass:45.359237} by {length:0.3048}."
    assert US.fill(text, to_si(12.2, "lb"), "rear axle") == "Take 13 lb off the rear axle; move 100 lb by 12 in."
