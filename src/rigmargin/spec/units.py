"""Quantities as people write them, to SI and back.

A quantity is text: a number, one space, a unit from a closed list. User text is matched against one strict pattern and
never reaches pint's own text parser, which reads ``1,5 t`` as 15 t; pint holds the unit definitions (``units.txt``, with
the factors of NIST SP 811) and gives the conversion factors.
"""

from __future__ import annotations

import difflib
import importlib.resources
import re
from dataclasses import dataclass
from functools import cache
from typing import Any

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
}
US_UNITS = frozenset({"lb", "oz", "in", "ft", "yd", "mi", "psi", "gal", "mph", "lbf", "degF"})
_SI = {
    "mass": "kilogram",
    "length": "meter",
    "pressure": "Pa",
    "volume": "m3",
    "speed": "meter / second",
    "force": "N",
    "temperature": "kelvin",
    "ratio": "",
}
_PINT = {"km/h": "kmh", "%": "percent"}
_DIMENSION = {unit: dimension for dimension, units in UNITS.items() for unit in units}
_NUMBER = r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?"
_QUANTITY = re.compile(rf"({_NUMBER}) (\S+)\Z")
_FEET_INCHES = re.compile(rf"({_NUMBER}) ft ((?:0|[1-9][0-9]*)(?:\.[0-9]+)?) in\Z")
#: What people write for a unit, and what to write instead; only used to suggest, never to accept.
_MEANT = {
    "lbs": "lb", "pound": "lb", "pounds": "lb", "#": "lb", "kgs": "kg", "kilo": "kg", "kilos": "kg", "tonne": "t", "tonnes": "t",
    "feet": "ft", "foot": "ft", "'": "ft", "inch": "in", "inches": "in", '"': "in", "metre": "m", "metres": "m", "meter": "m",
    "litre": "L", "litres": "L", "liter": "L", "l": "L", "gallon": "gal", "gallons": "gal", "gals": "gal", "kph": "km/h",
    "kmh": "km/h", "kpa": "kPa", "bars": "bar", "percent": "%", "yards": "yd", "miles": "mi", "ounces": "oz", "T": "t",
}  # fmt: skip
_TONS = {"ton", "tons", "Ton", "Tons", "TON", "TONS"}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the unit its writer chose, and the same in SI."""

    si: float  # kg, m, Pa, m3, m/s, N, K or a plain ratio
    dimension: str  # a key of UNITS
    unit: str  # as written, such as "lb"


class NotAQuantity(ValueError):
    """Text that is not a quantity of the dimension asked for: what was found, what is expected, and the cure."""

    def __init__(self, found: str, expected: str, cure: str) -> None:
        self.found, self.expected, self.cure = found, expected, cure
        super().__init__(f"found {found}; expected {expected}; {cure}")


@cache
def _registry() -> Any:
    import pint  # a tenth of a second: only when a unit is converted

    registry: Any = pint.UnitRegistry(None)
    text = importlib.resources.files("rigmargin.spec").joinpath("units.txt").read_text("utf-8")
    registry.load_definitions([line for line in text.splitlines() if line and not line.startswith("#")])
    return registry


@cache
def _scale(unit: str) -> tuple[float, float]:
    """Factor and offset such that ``si = number * factor + offset``."""
    registry, dimension = _registry(), _DIMENSION[unit]
    name = _PINT.get(unit, unit)
    zero = float(registry.Quantity(0.0, name).to(_SI[dimension] or "dimensionless").magnitude)
    one = float(registry.Quantity(1.0, name).to(_SI[dimension] or "dimensionless").magnitude)
    return (one - zero, zero) if dimension == "temperature" else (one, 0.0)


def to_si(number: float, unit: str) -> float:
    """``number`` of ``unit`` in SI. Raises KeyError for a unit that is not in UNITS."""
    factor, offset = _scale(unit)
    return number * factor + offset


def from_si(value: float, unit: str) -> float:
    """An SI value as a number of ``unit``. Raises KeyError for a unit that is not in UNITS."""
    factor, offset = _scale(unit)
    return (value - offset) / factor


def dimension_of(unit: str) -> str:
    """The dimension a unit measures. Raises KeyError for a unit that is not in UNITS."""
    return _DIMENSION[unit]


def parse(text: str, dimension: str | None = None) -> Quantity:
    """Read one quantity. Raises NotAQuantity when the text is none, or is of another dimension than asked."""
    match = _QUANTITY.match(text)
    if match and match[2] in _DIMENSION and dimension in (None, _DIMENSION[match[2]]):
        return Quantity(to_si(float(match[1]), match[2]), _DIMENSION[match[2]], match[2])
    feet = _FEET_INCHES.match(text)
    if feet and dimension in (None, "length"):
        sign = -1.0 if feet[1].startswith("-") else 1.0
        return Quantity(to_si(float(feet[1]), "ft") + sign * to_si(float(feet[2]), "in"), "length", "ft")
    raise explain(text, dimension)


def example(dimension: str) -> str:
    """A quantity of the dimension, to show how one is written."""
    return {
        "mass": "9900 lb or 4490 kg", "length": "158 in or 4.01 m", "pressure": "80 psi or 5.5 bar", "volume": "60 gal or 227 L",
        "speed": "65 mph or 100 km/h", "force": "12.5 kN", "temperature": "20 degC", "ratio": "12 %",
    }[dimension]  # fmt: skip


def _expected(dimension: str | None) -> str:
    if dimension is None:
        return "a number, one space and a unit"
    return f"a {dimension} such as {example(dimension)}"


def explain(value: object, dimension: str | None = None) -> NotAQuantity:
    """Why ``value`` is not a quantity of ``dimension``, with the cure; assumes that it is none."""
    expected = _expected(dimension)
    units = UNITS[dimension] if dimension else tuple(_DIMENSION)
    if isinstance(value, bool) or value is None:
        return NotAQuantity(
            "nothing" if value is None else f"'{str(value).lower()}'",
            expected,
            "write the figure, or delete the line if it is not known",
        )
    if isinstance(value, (int, float)):
        return NotAQuantity(f"the bare number {value}", expected, f"add the unit the label uses: {_in_each(str(value), units)}")
    if not isinstance(value, str):
        what = "a list" if isinstance(value, list) else "a mapping"
        return NotAQuantity(what, expected, "write one quantity here")
    found = f"'{value if len(value) <= 40 else value[:39] + '…'}'"
    text = value.strip()
    if re.search(r"(?i)(^|[^a-z])(nan|inf|infinity)([^a-z]|$)", text):
        return NotAQuantity(found, expected, "write the number that is printed, or delete the line if it is not known")
    number = re.match(r"[+-]?[0-9][0-9.,'’_  ]*", text)
    if not number:
        return NotAQuantity(found, expected, "begin with the number")
    digits, unit = number.group().strip(" ,'’_"), text[number.end() :].strip()
    marked = _marks(digits, unit or units[0])
    if marked:
        return NotAQuantity(found, expected, marked)
    if unit in _TONS:
        return NotAQuantity(
            found,
            expected,
            "'ton' means 1000, 907 or 1016 kg depending on the country: write t for 1000 kg, or the mass in kg or lb",
        )
    if not unit:
        return NotAQuantity(found, expected, f"add the unit the label uses: {_in_each(digits, units)}")
    if unit in _DIMENSION and dimension not in (None, _DIMENSION[unit]):
        return NotAQuantity(
            f"{found}, which is a {_DIMENSION[unit]}", expected, f"check the field, or use one of {', '.join(units)}"
        )
    known = unit if unit in units else _nearest(unit, units)
    if known == unit or known:
        clean = digits.lstrip("+")
        clean = re.sub(r"^(-?)0+(?=[0-9])", r"\1", clean.rstrip("."))
        return NotAQuantity(found, expected, f"write {clean} {known}")
    return NotAQuantity(found, expected, f"use one of the units {', '.join(units)}")


def _in_each(digits: str, units: tuple[str, ...]) -> str:
    """The number with the first metric unit and the first US unit of its dimension."""
    us = [unit for unit in units if unit in US_UNITS][:1]
    return " or ".join(f"{digits} {unit}" for unit in (units[0], *us))


def _nearest(unit: str, units: tuple[str, ...]) -> str | None:
    meant = _MEANT.get(unit, _MEANT.get(unit.lower().rstrip("."), unit))
    if meant in units:
        return meant
    close = difflib.get_close_matches(unit.lower(), [u.lower() for u in units], n=1, cutoff=0.6)
    return next((u for u in units if close and u.lower() == close[0]), None)


def _marks(digits: str, unit: str) -> str | None:
    """The cure for a number with a comma, a thousands mark or two points; None when it has none of them."""
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]{3}", digits):
        whole, point = digits.replace(",", ""), digits.replace(",", ".")
        return f"no commas: write {whole} {unit} if the comma marks thousands, {point} {unit} if it is a decimal comma"
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", digits):
        return f"use a decimal point: write {digits.replace(',', '.')} {unit}"
    if re.search(r"[,'’_  ]|\..*\.", digits):
        return f"no thousands marks: write {re.sub(r'[^0-9+-]', '', digits)} {unit} if that is meant"
    return None
