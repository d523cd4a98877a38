"""Conversion factors against NIST Special Publication 811 (2008), "Guide for the Use of the International System of Units".

Each figure below is the one printed in its appendix B.8, "Factors for units listed alphabetically", or where that list has no
row in the section named. A factor printed with an ending E is exact as far as it is printed when the second column says so;
otherwise it is rounded to the digits shown, and ours must round to the same digits.
"""

from decimal import Decimal

import pytest

from rigmargin.spec.units import UNITS, to_si

EXACT, ROUNDED = True, False
#: unit: (the row's name in B.8, the factor as printed, whether it is exact)
B8 = {
    "lb": ("pound (avoirdupois) (lb)", "4.535924E-01", ROUNDED),
    "oz": ("ounce (avoirdupois) (oz)", "2.834952E-02", ROUNDED),
    "t": ('tonne (called "metric ton" in U.S.) (t)', "1.0E+03", EXACT),
    "in": ("inch (in)", "2.54E-02", EXACT),
    "ft": ("foot (ft)", "3.048E-01", EXACT),
    "yd": ("yard (yd)", "9.144E-01", EXACT),
    "mi": ("mile (mi)", "1.609344E+03", EXACT),
    "bar": ("bar (bar)", "1.0E+05", EXACT),
    "psi": ("psi (pound-force per square inch) (lbf/in2)", "6.894757E+03", ROUNDED),
    "lbf": ("pound-force (lbf)", "4.448222E+00", ROUNDED),
    "L": ("liter (L)", "1.0E-03", EXACT),
    "gal": ("gallon (U.S.) (gal)", "3.785412E-03", ROUNDED),
    "imp_gal": ("gallon [Canadian and U.K. (Imperial)] (gal)", "4.54609E-03", EXACT),
    "km/h": ("kilometer per hour (km/h)", "2.777778E-01", ROUNDED),
    "mph": ("mile per hour (mi/h)", "4.4704E-01", EXACT),
    "lb/in": ("pound-force per inch (lbf/in)", "1.751268E+02", ROUNDED),
    "cm2": ("square centimeter (cm2)", "1.0E-04", EXACT),
    "in2": ("square inch (in2)", "6.4516E-04", EXACT),
}
#: Multiples of SI units by their prefixes alone: SP 811, table 5; percent: section 7.10.2.
PREFIXED = {
    "kg": "1", "g": "1E-3", "m": "1", "cm": "1E-2", "mm": "1E-3", "km": "1E+3", "kPa": "1E+3", "kN": "1E+3", "N": "1",
    "m3": "1", "%": "1E-2", "N/mm": "1E+3",
}  # fmt: skip
#: Exact values from the footnotes of appendix B: the pound (footnote 22) and the pound-force (footnote 23).
FOOTNOTES = {"lb": "0.45359237", "lbf": "4.4482216152605"}


def test_every_unit_of_a_rig_file_has_its_published_factor():
    listed = {unit for dimension, units in UNITS.items() if dimension != "temperature" for unit in units}
    assert listed == B8.keys() | PREFIXED.keys()
    assert not B8.keys() & PREFIXED.keys()


@pytest.mark.parametrize("unit", B8)
def test_factor_of_appendix_b8(unit):
    _, printed, exact = B8[unit]
    factor = Decimal(printed)
    if exact:
        assert to_si(1, unit) == pytest.approx(float(factor), rel=1e-15)
    else:
        digits = len(printed.split("E")[0].replace(".", ""))
        assert Decimal(f"{to_si(1, unit):.{digits - 1}E}") == factor
        assert to_si(1, unit) != float(factor), "a rounded factor must not be the one we compute with"


@pytest.mark.parametrize("unit", PREFIXED)
def test_factor_by_prefix(unit):
    assert to_si(1, unit) == pytest.approx(float(PREFIXED[unit]), rel=1e-15)


@pytest.mark.parametrize("unit", FOOTNOTES)
def test_exact_factor_of_the_footnotes(unit):
    assert to_si(1, unit) == pytest.approx(float(FOOTNOTES[unit]), rel=1e-15)


# B.8: "degree Celsius: T/K = t/degC + 273.15"; "degree Fahrenheit: T/K = (t/degF + 459.67)/1.8"
@pytest.mark.parametrize("number", [-40.0, 0.0, 20.0, 100.0])
def test_temperatures(number):
    assert to_si(number, "degC") == pytest.approx(number + 273.15, rel=1e-14)
    assert to_si(number, "degF") == pytest.approx((number + 459.67) / 1.8, rel=1e-14)
