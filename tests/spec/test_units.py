"""Quantities: what is accepted, what is refused and with which cure, and that numbers survive the way to SI and back."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigmargin.spec import units
from rigmargin.spec.units import UNITS, NotAQuantity, explain, from_si, parse, to_si

EVERY = [(unit, dimension) for dimension, names in UNITS.items() for unit in names]


def refusal(text, dimension="mass"):
    with pytest.raises(NotAQuantity) as caught:
        parse(text, dimension)
    return caught.value


@pytest.mark.parametrize(("unit", "dimension"), EVERY)
def test_every_unit_is_read_in_its_dimension_and_in_no_other(unit, dimension):
    quantity = parse(f"12.5 {unit}", dimension)
    assert (quantity.dimension, quantity.unit) == (dimension, unit)
    assert quantity == parse(f"12.5 {unit}")
    for other in UNITS.keys() - {dimension}:
        assert (
            refusal(f"12.5 {unit}", other).found
            == f"'12.5 {unit}', which is {'an' if dimension == 'area' else 'a'} {dimension}"
        )


@given(st.sampled_from(EVERY), st.floats(0.001, 1e6))
def test_round_trip(pair, number):
    unit, dimension = pair
    text = f"{number:.6f}"
    quantity = parse(f"{text} {unit}", dimension)
    assert from_si(quantity.si, unit) == pytest.approx(float(text), rel=1e-12, abs=1e-9)
    assert to_si(from_si(quantity.si, unit), unit) == pytest.approx(quantity.si, rel=1e-12)


@given(st.sampled_from(EVERY), st.floats(0, 1e5), st.floats(0, 1e5))
def test_a_larger_number_is_a_larger_quantity(pair, one, other):
    unit, _ = pair
    assert (to_si(one, unit) <= to_si(other, unit)) or one > other


def test_no_unit_spelling_has_two_meanings():
    names = [unit for unit, _ in EVERY]
    assert len(names) == len(set(names))
    assert not {"ton", "T", "l", "tons"} & set(names)
    assert names == [unit for unit in names if set(unit) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ23_/%")]


def test_unknown_units_are_a_key_error():
    for call in (lambda: to_si(1, "ton"), lambda: from_si(1, "ton")):
        with pytest.raises(KeyError):
            call()


# hand calculation: 4 ft = 4 x 0.3048 m = 1.2192 m; 6 in = 6 x 0.0254 m = 0.1524 m; together 1.3716 m
@pytest.mark.parametrize(
    ("text", "metres"),
    [("4 ft 6 in", 1.3716), ("-4 ft 6 in", -1.3716), ("0 ft 6 in", 0.1524), ("-0 ft 6 in", -0.1524), ("4 ft 0 in", 1.2192),
     ("4 ft 6.5 in", 1.3843)],
)  # fmt: skip
def test_feet_and_inches(text, metres):
    assert parse(text, "length").si == pytest.approx(metres, rel=1e-12)
    assert "which is a length" in refusal(text, "mass").found


@pytest.mark.parametrize(
    ("text", "kelvin"), [("0 degC", 273.15), ("-40 degC", 233.15), ("-40 degF", 233.15), ("68 degF", 293.15)]
)
def test_temperatures_have_their_zero(text, kelvin):
    assert parse(text, "temperature").si == pytest.approx(kelvin, rel=1e-12)


#: Every way of writing a quantity that is refused, with the cure its writer reads.
REFUSED = [
    ("9,900 lb", "no commas: write 9900 lb if the comma marks thousands, 9.900 lb if it is a decimal comma"),
    ("9,900 lbs", "no commas: write 9900 lb if the comma marks thousands, 9.900 lb if it is a decimal comma"),
    ("1,5 t", "use a decimal point: write 1.5 t"),
    (",5 t", "use a decimal point: write 0.5 t"),
    ("0,500 t", "use a decimal point: write 0.500 t"),
    ("1,234.5 lb", "no thousands marks: write 1234.5 lb"),
    ("1.234,5 kg", "use a decimal point: write 1234.5 kg"),
    ("1,234,567 lb", "no thousands marks: write 1234567 lb"),
    ("1.234.567 kg", "no thousands marks: write 1234567 kg"),
    ("1 200 kg", "no thousands marks: write 1200 kg"),
    ("1'200 kg", "no thousands marks: write 1200 kg"),
    ("1’200 kg", "no thousands marks: write 1200 kg"),
    ("1_200 kg", "no thousands marks: write 1200 kg"),
    ("1\u00a0200 kg", "no thousands marks: write 1200 kg, with one ordinary space"),
    ("1\u202f200 kg", "no thousands marks: write 1200 kg, with one ordinary space"),
    ("9900\u00a0lb", "write 9900 lb, with one ordinary space"),
    ("9900  lb", "write 9900 lb, with one ordinary space"),
    ("9900\tlb", "write 9900 lb, with one ordinary space"),
    ("9900lb", "write 9900 lb"),
    (" 9900 lb", "write 9900 lb"),
    ("9900 lb ", "write 9900 lb"),
    ("9900 lb\n", "write 9900 lb"),
    ("+9900 lb", "write 9900 lb"),
    ("09900 lb", "write 9900 lb"),
    ("00 lb", "write 0 lb"),
    (".5 t", "write 0.5 t"),
    ("-.5 t", "write -0.5 t"),
    ("5. t", "write 5 t"),
    ("- 5 kg", "write -5 kg"),
    ("\u22125 kg", "write -5 kg"),
    ("9900 lbs", "write 9900 lb"),
    ("9900 LB", "write 9900 lb"),
    ("9900 lb.", "write 9900 lb"),
    ("9900 pounds", "write 9900 lb"),
    ("9900 lb max", "write 9900 lb"),
    ("3.5 T", "write 3.5 t"),
    ("3.5 tonnes", "write 3.5 t"),
    ("3.5 metric tons", "write 3.5 t"),
    ("9900", "add the unit the label uses: 9900 kg or 9900 lb"),
    ("9900 stone", "use one of the units kg, t, g, lb, oz"),
    ("9900 constructor", "use one of the units kg, t, g, lb, oz"),
    ("1e3 kg", "use one of the units kg, t, g, lb, oz"),
    ("0x10 kg", "use one of the units kg, t, g, lb, oz"),
    ("80 psi", "check that this is the right field; a mass is in kg, t, g, lb, oz"),
    ("12 %", "check that this is the right field; a mass is in kg, t, g, lb, oz"),
    ("nan", "write the number that is printed, or delete the line if it is not known"),
    (".nan", "write the number that is printed, or delete the line if it is not known"),
    ("NaN kg", "write the number that is printed, or delete the line if it is not known"),
    ("-inf kg", "write the number that is printed, or delete the line if it is not known"),
    ("Infinity lb", "write the number that is printed, or delete the line if it is not known"),
    ("lb 9900", "begin with the number"),
    ("", "begin with the number"),
    ("lb", "begin with the number"),
    ("about 9900 lb", "begin with the number"),
    ("\u0663 kg", "begin with the number"),  # a digit, but not one of 0 to 9
    ("\uff19 kg", "begin with the number"),
    ("1.2.3 kg", "write one number with at most one decimal point, such as 9900 lb or 4490 kg"),
    ("12,5,6 kg", "write one number with at most one decimal point, such as 9900 lb or 4490 kg"),
    ("9" * 400 + " kg", "check the digits"),
]


@pytest.mark.parametrize(("text", "cure"), REFUSED)
def test_refused_with_the_cure(text, cure):
    wrong = refusal(text)
    assert wrong.cure == cure
    assert wrong.expected == "a mass such as 9900 lb or 4490 kg"
    assert str(wrong) == f"found {wrong.found}; expected {wrong.expected}; {wrong.cure}"


@pytest.mark.parametrize("word", ["ton", "tons", "Ton", "TON", "Tons", "short tons", "long ton"])
def test_a_ton_is_refused_because_it_is_three_masses(word):
    assert refusal(f"3.5 {word}").cure == (
        "'ton' means 1000, 907 or 1016 kg depending on the country: write t for 1000 kg, or the mass in kg or lb"
    )


@pytest.mark.parametrize(
    "text", ["4'6\"", "4' 6\"", "4 ft 6", "4ft 6in", "4 ft. 6 in.", "4 feet 6 inches", "4’6”", "04 ft 06 in"]
)
def test_feet_and_inches_as_people_write_them(text):
    assert refusal(text, "length").cure == "write 4 ft 6 in"


@pytest.mark.parametrize(
    ("text", "dimension", "cure"),
    [("158\"", "length", "write 158 in"), ("12'", "length", "write 12 ft"), ("80 PSI", "pressure", "write 80 psi"),
     ("550 KPA", "pressure", "write 550 kPa"), ("60 gallons", "volume", "write 60 gal"), ("60 l", "volume", "write 60 L"),
     ("60 litres", "volume", "write 60 L"), ("100 kph", "speed", "write 100 km/h"), ("65mph", "speed", "write 65 mph"),
     ("12%", "ratio", "write 12 %"), ("12.5 KN", "force", "write 12.5 kN"),
     ("600 lbs/in", "stiffness", "write 600 lb/in"), ("600 lbf/in", "stiffness", "write 600 lb/in"),
     ("105 n/mm", "stiffness", "write 105 N/mm"), ("28 sq in", "area", "write 28 in2"), ("28 in²", "area", "write 28 in2")],
)  # fmt: skip
def test_other_dimensions_are_cured_too(text, dimension, cure):
    assert refusal(text, dimension).cure == cure


@pytest.mark.parametrize(
    ("value", "found", "cure"),
    [(9900, "the bare number 9900", "add the unit the label uses: 9900 kg or 9900 lb"),
     (9900.5, "the bare number 9900.5", "add the unit the label uses: 9900.5 kg or 9900.5 lb"),
     (1e300, "the bare number 1e+300", "check the digits, and add the unit the label uses"),
     (1000.0, "the bare number 1000", "add the unit the label uses: 1000 kg or 1000 lb"),
     (None, "nothing", "write the figure, or delete the line if it is not known"),
     (True, "'true'", "write the figure, or delete the line if it is not known"),
     ([1], "a list", "write one quantity here"), ({"a": 1}, "a mapping", "write one quantity here")],
)  # fmt: skip
def test_what_is_no_text_is_explained(value, found, cure):
    wrong = explain(value, "mass")
    assert (wrong.found, wrong.cure) == (found, cure)


def suggested(cure):
    """The quantities that a cure tells its reader to write."""
    return re.findall(r"(?:write|thousands,|uses:|or) (-?[0-9.]+ (?:[^ ,;]+ [0-9.]+ in\b|[^ ,;]+))", cure)


@pytest.mark.parametrize(("text", "cure"), REFUSED)
def test_what_a_cure_says_to_write_can_be_read(text, cure):
    for quantity in suggested(refusal(text).cure):
        assert parse(quantity, "mass").dimension == "mass"


def test_most_cures_say_what_to_write():
    assert sum(bool(suggested(cure)) for _, cure in REFUSED) > 35


NUMBERS = st.from_regex(r"[+-]?[0-9]{0,4}([.,' _][0-9]{1,3}){0,3}", fullmatch=True)
UNIT_LIKE = st.sampled_from([unit for unit, _ in EVERY] + sorted(units._MEANT) + ["ton", "", "LB", "stone", "lb.", "Lb max"])


def outcome(text, dimension):
    """The quantity, or the refusal."""
    try:
        return parse(text, dimension)
    except NotAQuantity as wrong:
        return wrong


@given(NUMBERS, st.sampled_from([" ", "", "  "]), UNIT_LIKE, st.sampled_from([None, *UNITS]))
def test_anything_like_a_quantity_is_read_or_explained_with_a_readable_cure(number, space, unit, dimension):
    result = outcome(number + space + unit, dimension)
    if isinstance(result, NotAQuantity):
        assert result.found
        assert result.expected
        assert result.cure
        for text in suggested(result.cure):
            parse(text, dimension)
    else:
        assert result.unit in UNITS[result.dimension]
        assert dimension in (None, result.dimension)


@given(st.text(), st.sampled_from([None, *UNITS]))
def test_any_text_is_read_or_explained(text, dimension):
    result = outcome(text, dimension)
    assert not isinstance(result, NotAQuantity) or (result.found and result.expected and result.cure)


@given(st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**15), 10**15), st.sampled_from(list(UNITS)))
def test_a_bare_number_gets_its_unit(number, dimension):
    for text in suggested(explain(number, dimension).cure):
        parse(text, dimension)


@pytest.mark.parametrize("dimension", UNITS)
def test_the_examples_shown_are_quantities(dimension):
    for text in units.EXAMPLES[dimension].split(" or "):
        assert parse(text, dimension).dimension == dimension


def test_what_people_mean_is_a_known_unit():
    assert set(units._MEANT.values()) <= {unit for unit, _ in EVERY}
    assert not set(units._MEANT) & {unit for unit, _ in EVERY}
