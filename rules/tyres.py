"""What the tyres of an axle may carry, and what they carry at the pressure they are set to."""

from __future__ import annotations

import csv
import importlib.resources
import re
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

from rigmargin.judge.rule import Answer, Undecided, Value, at_most, nominal, rule, undecided

from .region import regions

#: A passenger-car tyre on a multipurpose vehicle, truck, bus or trailer counts for its rating divided by this: FMVSS 120
#: S5.1.2, as quoted in NHTSA's interpretation of 17 November 1976. It binds in the United States.
PASSENGER_DIVISOR = 1.10
#: Load against pressure below the reference: L = Lref (P / Pref)^n. 0.8 for named families stays at or below nine published
#: load tables for 0.70 <= P / Pref < 1 (at most 0.3 % above); 1.0 never overstates. Below 0.70 nothing is claimed.
EXPONENT, EXPONENT_UNKNOWN, LEAST_SHARE = 0.8, 1.0, 0.70
_DUST = 1e-9  # what unit conversion leaves of a share that is exactly LEAST_SHARE
#: Gauge pressures within 1 psi count as equal: moulded figures are rounded to tabulated kPa (UN R54, annex 7).
PRESSURE_STEP = 7000.0  # Pa


#: The kind of a tow vehicle, or the names of a trailer's axles.
Vehicle: TypeAlias = str | tuple[str, ...]


@cache
def load_index_table() -> dict[int, float]:
    """Load index to kg; see ``tables/load_index.csv`` and docs/method.md for its evidence."""
    text = importlib.resources.files("rigmargin.rules").joinpath("tables", "load_index.csv").read_text("utf-8")
    return {int(row["li"]): float(row["kg"]) for row in csv.DictReader(text.splitlines())}


def tyre_type(size: str) -> str | None:
    """The kind of tyre a size names: passenger, light_truck, special_trailer, commercial; None when it does not show."""
    text = size.strip().upper()
    if text.startswith("LT") or re.search(r"R?[0-9.]+ ?LT\b", text):
        return "light_truck"
    if text.startswith("ST") or re.search(r"[0-9] ?ST\b", text):
        return "special_trailer"
    if re.fullmatch(r"[0-9]{3}(/[0-9]{2})? ?Z?R ?[0-9]{2} ?C", text) or re.search(r"R ?(17|19|22|24)\.5$", text):
        return "commercial"
    if re.fullmatch(r"P?[0-9]{3}/[0-9]{2} ?Z?[RDB-] ?[0-9]{2}", text):
        return "passenger"
    return None


def rated_load(count: float, index: Value | str | None, single: Value | None, dual: Value | None) -> Value | None:
    """What one tyre is rated for in kg: the least of moulded maximum and load index, in the row for single or dual wheels.

    None when that row is known from neither. Four tyres on an axle stand in pairs and need the dual row.
    """
    moulded = dual if count == 4 else single
    parts = index.split("/") if isinstance(index, str) else [] if index is None else [f"{nominal(index):.0f}"]
    row = parts[1:2] if count == 4 else parts[:1]
    known = [value for value in (moulded, *(load_index_table().get(int(p)) for p in row)) if value is not None]
    return min(known, key=nominal) if known else None


@dataclass(frozen=True, slots=True)
class _Capacity:
    """What all tyres of one axle are rated for together, kg: between ``least`` and ``most`` where a fact is not known."""

    most: Value
    least: Value | None  # None when nothing can be claimed
    notes: tuple[str, ...]
    unknown: Undecided | None = None  # the fact that decides between the two


def _capacity(
    count: Value, index: Value | str | None, single: Value | None, dual: Value | None, size: str | None, kind: str | None,
    vehicle: Vehicle | None, places: tuple[str, ...] | None,
) -> _Capacity | Undecided:  # fmt: skip
    """The rating of all tyres of one axle, with plain sentences on how; or what is missing for any."""
    number = nominal(count)
    rated = rated_load(number, index, single, dual)
    if rated is None and number == 4:
        dual_missing = undecided(".tyres.max_load_dual", reason="no load rating for dual wheels is given")
        alone = rated_load(2, index, single, dual)  # a tyre of a pair never carries more than it does alone
        return dual_missing if alone is None else _Capacity(number * alone, None, (), dual_missing)
    if rated is None:
        return undecided(".tyres.load_index", ".tyres.max_load_single", reason="the tyre's load rating is not given")
    total = number * rated
    how = f"{number:.0f} tyres of {{mass:{nominal(rated)}}} each{', in pairs' if number == 4 else ''}."
    divided = f"Passenger-car tyres count for their rating divided by {PASSENGER_DIVISOR:.2f} here (FMVSS 120 S5.1.2)."
    family = kind or (tyre_type(size) if size else None)
    if vehicle == "car" or family not in (None, "passenger") or (places is not None and "us" not in regions(places)):
        return _Capacity(total, total, (how,))
    unknown = _unknown_for_divisor(family, vehicle, places)
    least = total / PASSENGER_DIVISOR
    return _Capacity(total, least, (how,), unknown) if unknown else _Capacity(least, least, (how, divided))


def _unknown_for_divisor(family: str | None, vehicle: Vehicle | None, places: tuple[str, ...] | None) -> Undecided | None:
    """The fact without which it is not known whether the passenger-car divisor holds."""
    if family is None:
        return undecided(".tyres.size", ".tyres.type", reason="whether it is a passenger-car tyre is not known")
    if places is None or vehicle is None:
        missing = "places" if places is None else "tow_vehicle.kind"
        return undecided(missing, reason="a passenger-car tyre counts for less in the United States on all but cars")
    return None


def _held(load: Value, capacity: _Capacity, name: str, notes: tuple[str, ...], factor: Value = 1.0) -> Answer:
    """The load against the capacity; where a fact is not known, only when both its readings say the same."""
    most, notes = capacity.most * factor, (*capacity.notes, *notes)
    if capacity.unknown is None:
        return at_most(load, most, limit_name=name, notes=notes)
    if nominal(load) > nominal(most):
        return at_most(load, most, limit_name=name, notes=(*notes, f"Passed whatever is not known: {capacity.unknown.reason}."))
    if capacity.least is not None and nominal(load) <= nominal(capacity.least * factor) * (1 + _DUST):
        reason = f"Counted at the lower rating, because it is not known: {capacity.unknown.reason}."
        return at_most(load, capacity.least * factor, limit_name=name, notes=(*notes, reason))
    return capacity.unknown


_TYRE_NEEDS = {
    "load": ".",
    "count": ".tyres.count",
    "index": ".tyres.load_index",
    "single": ".tyres.max_load_single",
    "dual": ".tyres.max_load_dual",
    "size": ".tyres.size",
    "kind": ".tyres.type",
    "places": "places",
}
#: A trailer is no car whatever its kind: that it has axles is all that need be known.
_EACH = {"tow_vehicle.axles.*": {"vehicle": "tow_vehicle.kind"}, "trailer.axles.*": {"vehicle": "trailer.axles"}}


@rule(
    "tyre-capacity",
    title="The tyres of an axle are rated for what it carries",
    each=_EACH,
    needs=_TYRE_NEEDS,
    states=True,
    basis="Load index (standard table) and the maximum load moulded on the sidewall, the lower of the two; FMVSS 110 and 120 "
    "for passenger-car tyres on other vehicles in the United States.",
    quantity="The load on the {subject}",
    limit_name="what its tyres are rated for",
    why="A tyre has no reserve in its rating: load tables are minimums for good roads. Higher-rated tyres raise this limit and "
    "no other.",
    cures=("Take {excess} off the {subject}, or fit tyres (with wheels and pressure) that are rated for it.",),
    example="Two passenger-car tyres of 2,200 lb on a trailer axle in the United States: 2 x 2,200 / 1.10 = 4,000 lb.",
)
def tyre_capacity(
    load: Value, count: Value, vehicle: Vehicle | None = None, index: Value | str | None = None, single: Value | None = None,
    dual: Value | None = None, size: str | None = None, kind: str | None = None, places: tuple[str, ...] | None = None,
) -> Answer:  # fmt: skip
    """The load on each axle against the rating of its tyres together, at their reference pressure, taken to share evenly."""
    found = _capacity(count, index, single, dual, size, kind, vehicle, places)
    if not isinstance(found, _Capacity):
        return found
    return _held(load, found, "what its tyres are rated for", ())


@rule(
    "tyre-inflation",
    title="The tyres of an axle carry it at the pressure they are set to",
    each=_EACH,
    needs={**_TYRE_NEEDS, "cold": ".tyres.cold_pressure", "reference": ".tyres.pressure_at_max_load"},
    states=True,
    basis="Conservative model between published load and pressure tables; the tyre maker's own table governs.",
    quantity="The load on the {subject}",
    limit_name="what its tyres carry at their cold pressure",
    why="A tyre reaches its rating only at the pressure moulded beside it. Below that it carries less, runs hot and fails.",
    cures=(
        "Inflate to what the load needs, never below the placard nor above the tyre's, wheel's or valve's limit, or take "
        "{excess} off.",
    ),
    example="Rated 3,042 lb at 80 psi, set to 65 psi: 3,042 x (65/80)^0.8 = 2,576 lb.",
)
def tyre_inflation(
    load: Value, count: Value, cold: Value, reference: Value, vehicle: Vehicle | None = None,
    index: Value | str | None = None, single: Value | None = None, dual: Value | None = None, size: str | None = None,
    kind: str | None = None, places: tuple[str, ...] | None = None,
) -> Answer:  # fmt: skip
    """The load on each axle against what its tyres carry at their cold pressure."""
    found = _capacity(count, index, single, dual, size, kind, vehicle, places)
    if not isinstance(found, _Capacity):
        return found
    name = "what its tyres carry at their cold pressure"
    if nominal(cold) >= nominal(reference) - PRESSURE_STEP:
        return _held(load, found, name, ("The cold pressure is that of the rating.",))
    ratio = cold / reference
    if nominal(ratio) < LEAST_SHARE - _DUST:
        return undecided(
            ".tyres.cold_pressure",
            reason="below 0.70 of the reference pressure no load can be claimed: inflate, and measure cold",
        )
    exponent = EXPONENT if (kind or (tyre_type(size) if size else None)) else EXPONENT_UNKNOWN
    note = f"Load falls with pressure as (P / Pref)^{exponent:g}: a model kept below published tables, not the maker's own."
    return _held(load, found, name, (note,), ratio**exponent)
