"""In which units a rig's own report is: those that its file states, and the habit of its region where the file states none."""

from __future__ import annotations

import csv
import importlib.resources
from collections import Counter
from collections.abc import Mapping
from functools import cache

from rigmargin.spec import units, words
from rigmargin.spec.rig import Rig

#: The dimensions for which a file's own units, or those of its region, are looked for; the others go with the masses.
LOOKED_FOR = ("length", "pressure", "speed", "volume")
#: Speeds that were looked up for a symbol: nobody wrote their unit.
_READ_OFF = (".speed", "trailer.slowest_tyre")


@cache
def rows() -> list[dict[str, str]]:
    """The table of habits."""
    text = importlib.resources.files("rigmargin.spec").joinpath("unit_habits.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def habits() -> Mapping[tuple[str, str], tuple[str, ...]]:
    """The units that are usual, by region and dimension: one, or one and another beside it."""
    return {(row["region"], row["dimension"]): tuple(row["units"].split()) for row in rows()}


def own_system(rig: Rig) -> str:
    """The system most of a rig's masses are written in; of a rig that states none, that of its region."""
    return own_units(rig)[0]


def own_units(rig: Rig) -> tuple[str, tuple[tuple[str, tuple[str, ...]], ...], str]:
    """The system of a rig's masses, the systems by dimension of what is shown in others, and ``kPa`` or ``bar``."""
    stated = Counter(
        (figure.dimension, figure.unit) for path, figure in rig.stated.items() if figure.unit and not path.endswith(_READ_OFF)
    )
    region = words.region(rig.places)
    system = _systems("mass", stated, region, "metric")[0]
    found = ((dimension, _systems(dimension, stated, region, system)) for dimension in LOOKED_FOR)
    pressures = [unit for unit in ("kPa", "bar") if stated["pressure", unit]]
    pressures += [unit for unit in habits().get((region, "pressure"), ()) if unit != "psi"]
    return system, tuple((of, systems) for of, systems in found if systems != (system,)), (*pressures, "bar")[0]


def _systems(dimension: str, stated: Counter[tuple[str, str]], region: str, otherwise: str) -> tuple[str, ...]:
    us = sum(number for (of, unit), number in stated.items() if of == dimension and unit in units.US_UNITS)
    every = sum(number for (of, _), number in stated.items() if of == dimension)
    if every:
        return ("us",) if us * 2 > every else ("metric",)
    usual = habits().get((region, dimension), ())
    return tuple("us" if unit in units.US_UNITS else "metric" for unit in usual) or (otherwise,)
