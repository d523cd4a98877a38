"""SI numbers as a reader sees them: the rig's own units first, and no rounding that flatters.

Loads and uncertainties are rounded up, limits and margins down. Digits carry no thousands marks, so that every number of a
report can be copied into a rig file.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import PurePath

from rigmargin.report import marks, names
from rigmargin.report.own_units import own_units
from rigmargin.report.regional import NEUTRAL, Regional, regional
from rigmargin.spec import units
from rigmargin.spec.rig import Rig

UP, DOWN, NEAR = "up", "down", "near"
SMALL = 1.0  # m: shorter lengths are matters of springs and gaps, and shown finer
#: In which unit and with how many digits behind the point a quantity is shown, by dimension: rows of the size (SI) below which
#: a row holds, then what a US reader and a metric reader see. A metric pressure is in the unit the report has chosen.
SHOWN: dict[str, tuple[tuple[float, tuple[str, int], tuple[str, int]], ...]] = {
    "mass": ((math.inf, ("lb", 0), ("kg", 0)),),
    "length": ((SMALL, ("in", 1), ("mm", 0)), (3.6, ("in", 0), ("m", 2)), (math.inf, ("ft", 1), ("m", 2))),
    "pressure": ((math.inf, ("psi", 0), ("bar", 2)),),
    "stiffness": ((math.inf, ("lb/in", 0), ("N/mm", 1)),),
    "area": ((math.inf, ("in2", 1), ("cm2", 0)),),
    "force": ((math.inf, ("lbf", 0), ("kN", 2)),),
    "moment": ((math.inf, ("lb ft", 0), ("N m", 0)),),
    "ratio": ((math.inf, ("%", 1), ("%", 1)),),
    "speed": ((math.inf, ("mph", 0), ("km/h", 0)),),
    "volume": ((math.inf, ("gal", 0), ("L", 0)),),
}
KILOPASCALS = ("kPa", 0)
#: SI in one of the units that are shown and that no rig file may use.
_SHOWN_ONLY = {"lb ft": units.to_si(1, "lbf") * units.to_si(1, "ft"), "N m": 1.0}
#: A pressure to set is rounded up to what a metric gauge shows; psi are shown whole in any case.
INFLATION, GAUGE = "inflation", 5000.0  # Pa
_PLACEHOLDER = re.compile(
    r"\{(inflation|mass_down|pressure_down|mass|length|pressure|ratio|moment|speed|volume|stiffness|area|force)"
    r":(-?[0-9]+(?:\.[0-9]+)?(?:e[+-][0-9]{2})?)\}"
)


@dataclass(frozen=True, slots=True)
class Display:
    """How one report writes its numbers."""

    systems: tuple[str, ...]  # "us", "metric", or both in order
    pressure: str = "bar"  # the metric unit of pressure
    words: Regional = NEUTRAL  # the reader's
    own: tuple[tuple[str, tuple[str, ...]], ...] = ()  # other systems for some dimensions, as the rig's file or region has them
    live: bool = False  # whether each number is marked, for a page whose script writes it in other units

    def number(self, value: float, dimension: str, rounding: str = NEAR, *, units_too: bool = True) -> str:
        """An SI value in the reader's unit or units, such as ``4754 kg (10480 lb)``."""
        text = _in_words(value, dimension, rounding, units_too, self._systems(dimension), self.pressure)
        return marks.number(text, float(value), dimension, rounding, bare=not units_too) if self.live else text

    def _systems(self, dimension: str) -> tuple[str, ...]:
        known = "pressure" if dimension == INFLATION else dimension
        return next((systems for own, systems in self.own if own == known), self.systems) if self.own else self.systems

    def unit(self, dimension: str, about: float = 2 * SMALL) -> str:
        """The unit in which a blank for a figure of ``about`` that size (SI) is printed; empty for what is no quantity, or is
        shown in no unit of ours."""
        known = dimension not in ("", "temperature")
        return _unit(about, dimension, self._systems(dimension)[0], self.pressure)[0] if known else ""

    def shows(self, difference: float, dimension: str) -> bool:
        """Whether a difference (SI) is as large as the last digit that is shown, in the reader's first unit."""
        text = _in_one(abs(difference), dimension, self._systems(dimension)[0], self.pressure, DOWN, units_too=False)
        return float(text.split()[0]) > 0

    def _placed(self, dimension: str, value: float, near: tuple[str, ...]) -> str:
        """One number of a rule's sentence: rounded up, or as its placeholder asks."""
        if dimension.endswith("_down"):
            return self.number(value, dimension.removesuffix("_down"), DOWN)
        return self.number(value, dimension, NEAR if dimension in near else UP)

    def fill(self, text: str, excess: float | None = None, subject: str = "") -> str:
        """A rule's sentence with its placeholders filled: ``{mass:12.5}`` (SI), ``{word:tyre}``, ``{excess}``, ``{subject}``.

        What a cure asks for is rounded up; in a note, which has no excess, lengths, moments and forces are rounded as tables
        have them, to the nearest. ``{mass_down:12.5}`` is a mass that something allows, and rounded down.
        """
        if "{" not in text:
            return text
        near = ("length", "moment", "force") if excess is None else ()
        filled = _PLACEHOLDER.sub(lambda m: self._placed(m[1], float(m[2]), near), self.words.fill(text))
        return names.of(filled.replace("{excess}", self.number(excess or 0.0, "mass", UP)), subject)


@lru_cache(maxsize=4096)  # a report says the same number several times, and so do the reports of like rigs
def _in_words(value: float, dimension: str, rounding: str, units_too: bool, systems: tuple[str, ...], pressure: str) -> str:
    shown = systems[:1] if dimension == "ratio" else systems
    first, *rest = (_in_one(value, dimension, system, pressure, rounding, units_too) for system in shown)
    return f"{first} ({rest[0]})" if rest else first


def _in_one(value: float, dimension: str, system: str, pressure: str, rounding: str, units_too: bool) -> str:
    if dimension == INFLATION:
        dimension = "pressure"
        value = value if system == "us" else GAUGE * math.ceil(value / GAUGE - 1e-6)
    unit, places = _unit(value, dimension, system, pressure)
    text = f"{_rounded(value / scale(unit), places, rounding):.{places}f}"
    text = text.removesuffix(".0") if unit == "in" else text
    return f"{text} {unit}" if units_too else text


def scale(unit: str) -> float:
    """What one of a unit that is shown is in SI."""
    return _SHOWN_ONLY.get(unit) or units.to_si(1, unit)


def _unit(value: float, dimension: str, system: str, pressure: str) -> tuple[str, int]:
    if dimension == "pressure" and system != "us" and pressure == "kPa":
        return KILOPASCALS
    us, metric = next(row[1:] for row in SHOWN[dimension] if abs(value) < row[0])
    return us if system == "us" else metric


def _rounded(number: float, places: int, rounding: str) -> float:
    """``number`` rounded as asked; what conversion to SI and back leaves behind is not taken for a fraction."""
    scaled = round(number * 10**places, 6)
    whole = math.ceil(scaled) if rounding == UP else math.floor(scaled) if rounding == DOWN else round(scaled)
    return float(whole / 10.0**places) + 0.0


def file_name(rig: Rig) -> str:
    """The rig file's own name, without the folders that differ from machine to machine."""
    return PurePath(rig.file).name


def display(rig: Rig, system: str = "rig") -> Display:
    """The display for a rig: ``rig`` keeps its own units, ``both`` shows its own first."""
    first, own, pressure = own_units(rig)
    systems = {"rig": (first,), "both": _both(first)}.get(system, (system,))
    others = {"rig": own, "both": tuple((of, _both(shown[0])) for of, shown in own)}.get(system, ())
    return Display(systems, pressure, regional(rig), others, marks.are_wanted())


def _both(first: str) -> tuple[str, str]:
    return ("us", "metric") if first == "us" else ("metric", "us")
