"""Quantities as people write them, to SI and back.

A quantity is text: a number, one space, a unit from a closed list. User text is matched against one strict pattern and
never reaches a library's own text parser, of which some read ``1,5 t`` as 15 t. The units are defined in ``units.txt``, with
the factors of NIST SP 811; pint makes the conversion factors of them, once, and they are kept in ``units.csv``.
"""

from __future__ import annotations

import csv
import difflib
import importlib.resources
import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache

from rigmargin.spec.problem import shown

#: Every unit a file may use, by dimension; the first metric and the first US unit are the ones a report falls back on.
UNITS: dict[str, tuple[str, ...]] = {
    "mass": ("kg", "t", "g", "lb", "oz"),
    "length": ("m", "cm", "mm", "km", "in", "ft", "yd", "mi"),
    "pressure": ("kPa", "bar", "psi"),
    "volume": ("L", "m3", "gal", "imp_gal"),
    "speed": ("km/h", "mph"),
    "force": ("kN", "N", "lbf"),
    "temperature": ("degC", "degF"),
    "ratio": ("%",),
    "stiffness": ("N/mm", "lb/in"),
    "area": ("cm2", "in2"),
}
GRAVITY = 9.80665  # m/s2, standard: the one in lbf; it makes forces of masses
US_UNITS = frozenset({"lb", "oz", "in", "ft", "yd", "mi", "psi", "gal", "mph", "lbf", "degF", "lb/in", "in2"})
_DIMENSION = {unit: dimension for dimension, units in UNITS.items() for unit in units}
_NUMBER = r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?"
_QUANTITY = re.compile(rf"({_NUMBER}) (\S+)\Z")
_FEET_INCHES = re.compile(rf"({_NUMBER}) ft ((?:0|[1-9][0-9]*)(?:\.[0-9]+)?) in\Z")
#: Feet and inches in the ways people write them, in the order sign and feet, inches.
_FEET_INCHES_MEANT = re.compile(
    r"(-?[0-9]+(?:\.[0-9]+)?) ?(?:'|’|ft|feet|foot)[., ]*([0-9]+(?:\.[0-9]+)?) ?(?:\"|”|''|in|inch|inches)?\.?\Z", re.IGNORECASE
)
#: What people write for a unit, and what to write instead; only used to suggest, never to accept.
_MEANT = {
    "lbs": "lb", "pound": "lb", "pounds": "lb", "kgs": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
    "tonne": "t", "tonnes": "t", "metric ton": "t", "metric tons": "t", "feet": "ft", "foot": "ft", "'": "ft", "inch": "in",
    "inches": "in", '"': "in", "”": "in", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "litre": "L", "litres": "L",
    "liter": "L", "liters": "L", "l": "L", "gallon": "gal", "gallons": "gal", "gals": "gal", "kph": "km/h", "kmh": "km/h",
    "bars": "bar", "percent": "%", "yards": "yd", "mile": "mi", "miles": "mi", "ounces": "oz",
    "lbs/in": "lb/in", "lbf/in": "lb/in", "lb/inch": "lb/in", "sq in": "in2", "in²": "in2", "sq cm": "cm2", "cm²": "cm2",
}  # fmt: skip
_TONS = {"ton", "tons", "short ton", "short tons", "long ton", "long tons"}
#: What people put between digits: marks of thousands and decimals, and spaces that only look like a space.
_MARKS = "., '’_\u00a0\u2009\u202f"


_MOST_DIGITS = 30  # a longer number is a slip, and not worth repeating


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the unit its writer chose, and the same in SI."""

    si: float  # kg, m, Pa, m3, m/s, N, K, N/m, m2 or a plain ratio
    dimension: str  # a key of UNITS
    unit: str  # as written, such as "lb"


class NotAQuantity(ValueError):
    """Text that is not a quantity of the dimension asked for: what was found, what is expected, and the cure."""

    def __init__(self, found: str, expected: str, cure: str) -> None:
        self.found, self.expected, self.cure = found, expected, cure
        super().__init__(f"found {found}; expected {expected}; {cure}")


@cache
def _scales() -> dict[str, tuple[float, float]]:
    """For each unit factor and offset such that ``si = number * factor + offset``."""
    text = importlib.resources.files("rigmargin.spec").joinpath("units.csv").read_text("utf-8")
    return {row["unit"]: (float(row["factor"]), float(row["offset"])) for row in csv.DictReader(text.splitlines())}


def to_si(number: float, unit: str) -> float:
    """``number`` of ``unit`` in SI. Raises KeyError for a unit that is not in UNITS."""
    factor, offset = _scales()[unit]
    return number * factor + offset


def from_si(value: float, unit: str) -> float:
    """An SI value as a number of ``unit``. Raises KeyError for a unit that is not in UNITS."""
    factor, offset = _scales()[unit]
    return (value - offset) / factor


def parse(text: str, dimension: str | None = None) -> Quantity:
    """Read one quantity. Raises NotAQuantity when the text is none, or is of another dimension than asked."""
    quantity = read(text, dimension)
    if quantity is None:
        raise explain(text, dimension)
    return quantity


@lru_cache(maxsize=8192)
def read(text: str, dimension: str | None = None) -> Quantity | None:
    """The same; None when the text is no such quantity, without asking why."""
    match = _QUANTITY.match(text)
    feet = None if match else _FEET_INCHES.match(text)
    quantity = None
    if match and match[2] in _DIMENSION:
        quantity = Quantity(to_si(float(match[1]), match[2]), _DIMENSION[match[2]], match[2])
    elif feet:
        sign = -1.0 if feet[1].startswith("-") else 1.0
        quantity = Quantity(to_si(float(feet[1]), "ft") + sign * to_si(float(feet[2]), "in"), "length", "ft")
    if quantity and dimension in (None, quantity.dimension) and math.isfinite(quantity.si):
        return quantity
    return None


#: For each dimension a quantity or two, to show how one is written.
EXAMPLES = {
    "mass": "9900 lb or 4490 kg", "length": "158 in or 4.01 m", "pressure": "80 psi or 5.5 bar", "volume": "60 gal or 227 L",
    "speed": "65 mph or 100 km/h", "force": "12.5 kN", "temperature": "20 degC", "ratio": "12 %",
    "stiffness": "600 lb/in or 105 N/mm", "area": "28.3 in2 or 182 cm2",
}  # fmt: skip


def named(dimension: str) -> str:
    """A dimension with its article, such as ``a mass``."""
    return f"{'an' if dimension[0] in 'aeio' else 'a'} {dimension}"


def explain(value: object, dimension: str | None = None) -> NotAQuantity:
    """Why ``value`` is not a quantity of ``dimension``, with the cure; assumes that it is none."""
    expected = f"{named(dimension)} such as {EXAMPLES[dimension]}" if dimension else "a number, one space and a unit"
    units = UNITS[dimension] if dimension else tuple(_DIMENSION)
    if isinstance(value, bool) or value is None:
        found = "nothing" if value is None else shown(str(value).lower())
        return NotAQuantity(found, expected, "write the figure, or delete the line if it is not known")
    if isinstance(value, (int, float)):
        digits = _plain(value)
        if len(digits) > _MOST_DIGITS:
            return NotAQuantity(f"the bare number {value:g}", expected, "check the digits, and add the unit the label uses")
        return NotAQuantity(f"the bare number {digits}", expected, f"add the unit the label uses: {_in_each(digits, units)}")
    if not isinstance(value, str):
        return NotAQuantity("a list" if isinstance(value, list) else "a mapping", expected, "write one quantity here")
    return NotAQuantity(*_explain_text(value, dimension, expected, units))


def _explain_text(value: str, dimension: str | None, expected: str, units: tuple[str, ...]) -> tuple[str, str, str]:
    """Found, expected and cure for a text that is not a quantity of ``dimension``."""
    found, text = shown(value, 40), value.strip().replace("\u2212", "-").replace("- ", "-")
    if re.search(r"(?i)(^|[^a-z])(nan|inf|infinity)([^a-z]|$)", text):
        return found, expected, "write the number that is printed, or delete the line if it is not known"
    feet = _FEET_INCHES_MEANT.match(text)
    if feet and dimension in (None, "length"):
        return found, expected, f"write {_clean(feet[1])} ft {_clean(feet[2])} in"
    number = re.match(rf"[+-]?[.,]?[0-9][0-9{_MARKS}]*", text)
    if not number:
        return found, expected, "begin with the number"
    digits = number.group().rstrip(_MARKS)
    unit = text[len(digits) :].strip(_MARKS.replace("'", "").replace("’", ""))
    if unit.lower() in _TONS and dimension in (None, "mass"):
        cure = "'ton' means 1000, 907 or 1016 kg depending on the country: write t for 1000 kg, or the mass in kg or lb"
        return found, expected, cure
    other = "ft" if feet else _nearest(unit, tuple(_DIMENSION))
    if dimension and other and _DIMENSION[other] != dimension and (unit in _DIMENSION or not _nearest(unit, units)):
        cure = f"check that this is the right field; {named(dimension)} is in {', '.join(units)}"
        return f"{found}, which is {named(_DIMENSION[other])}", expected, cure
    known = _nearest(unit, units)
    if unit and not known:
        return found, expected, f"use one of the units {', '.join(units)}"
    if len(digits) > _MOST_DIGITS:
        return f"{found}, a number of {len(digits)} characters", expected, "check the digits"
    readings = _readings(digits)
    if not readings:
        return found, expected, f"write one number with at most one decimal point, such as {EXAMPLES[dimension or 'mass']}"
    if len(readings) > 1:
        whole, point = (f"{reading} {known or units[0]}" for reading in readings)
        return found, expected, f"no commas: write {whole} if the comma marks thousands, {point} if it is a decimal comma"
    if not known:
        return found, expected, f"add the unit the label uses: {_in_each(readings[0], units)}"
    note = "use a decimal point: " if re.search(r",[0-9]+\Z", digits) and "." in readings[0] else ""
    note = "no thousands marks: " if not note and re.search(rf"[{_MARKS}]", digits.replace(".", "", 1)) else note
    space = ", with one ordinary space" if re.search(r"[\u00a0\u2000-\u200f\u202f\u3000\ufeff\t]|  ", value) else ""
    return found, expected, f"{note}write {readings[0]} {known}{space}"


def _plain(number: float) -> str:
    """A bare number in plain digits."""
    return str(int(number)) if float(number).is_integer() and abs(number) < 1e15 else f"{number:.10f}".rstrip("0").rstrip(".")


def _clean(digits: str) -> str:
    """Plain digits without a plus sign, leading zeros or a trailing point."""
    digits = re.sub(r"^(-?)\.", r"\g<1>0.", digits.lstrip("+")).rstrip(".")
    return re.sub(r"^(-?)0+(?=[0-9])", r"\1", digits)


def _readings(digits: str) -> list[str]:
    """What a number may mean: one reading, two for ``9,900`` (thousands first), none when its marks make no sense."""
    plain = digits.replace(",", ".") if re.fullmatch(r"[+-]?,[0-9]+", digits) else digits
    if re.fullmatch(r"[+-]?[0-9]*\.?[0-9]+", plain):
        return [_clean(plain)]
    if re.fullmatch(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}", plain):
        return [_clean(plain.replace(",", "")), _clean(plain.replace(",", "."))]
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", plain):
        return [_clean(plain.replace(",", "."))]
    grouped = re.fullmatch(rf"([+-]?[0-9]{{1,3}}(?:([{_MARKS}])[0-9]{{3}})(?:\2[0-9]{{3}})*)(?:([.,])([0-9]+))?", plain)
    if not grouped or (grouped[3] and grouped[3] == grouped[2]):
        return []
    whole = re.sub(rf"[{_MARKS}]", "", grouped[1])
    return [_clean(f"{whole}.{grouped[4]}" if grouped[4] else whole)]


def _in_each(digits: str, units: tuple[str, ...]) -> str:
    """The number with the first metric unit and the first US unit of its dimension."""
    us = [unit for unit in units if unit in US_UNITS][:1]
    return " or ".join(f"{digits} {unit}" for unit in (units[0], *us))


def _nearest(unit: str, units: tuple[str, ...]) -> str | None:
    """The one of ``units`` that a writer of ``unit`` most likely means; words after a known unit are left out."""
    if not unit:
        return None
    for text in (unit, unit.split(" ", maxsplit=1)[0].rstrip(".,;")):
        for candidate in (text, _MEANT.get(text), _MEANT.get(text.lower()), text.lower()):
            if candidate in units:
                return candidate
        known = next((u for u in units if u.lower() == text.lower()), None)
        if known:
            return known
    close = difflib.get_close_matches(unit.lower(), [u.lower() for u in units], n=1, cutoff=0.6)
    return next((u for u in units if close and u.lower() == close[0]), None)
