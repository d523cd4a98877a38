"""What the tyres of an axle may carry, and what they carry at the pressure they are set to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

from rigmargin.judge.rule import Answer, Undecided, Value, at_most, in_si, nominal, requires, rule, undecided

from .region import regions
from .table import rows as table_rows
from .tyre_load import FAR, PRESSURE_STEP, Curve, Figure, at_temperature, index_parts, maker_rows, rated_load

_DUST = 1e-9
INFLATE = "Or inflate to what the load needs, never below the placard nor above the {word:tyre}'s, wheel's or valve's limit."
#: Above 65 mph; ``tables/special_trailer_speed.csv``.
FAST = ("Counted at 10 psi less than it is set to, which a special-trailer {word:tyre} needs more above 65 mph.",)
ONE = "Each {word:tyre}"
SPECIAL_LOW = (
    "above 65 mph a special-trailer {word:tyre} takes 10 psi more, and so far below that no load can be claimed: inflate"
)
SPECIAL_UNKNOWN = (
    "above 65 mph a special-trailer {word:tyre} takes more pressure or carries less, and whether these are such is not known"
)
#: The kind of a tow vehicle, or the names of a trailer's axles.
Vehicle: TypeAlias = str | tuple[str, ...]
#: What each side carries is known where a ticket read it; of a trailer's axles from its sides together.
EACH = {
    "tow_vehicle.axles.rear": {"vehicle": "tow_vehicle.kind", "left": "rear_axle.left_share"},
    "tow_vehicle.axles.front": {"vehicle": "tow_vehicle.kind", "left": "front_axle.left_share"},
    "trailer.axles.*": {"vehicle": "trailer.axles", "left": "trailer.left_share"},
}
_NEEDS = {
    "load": ".",
    "count": ".tyres.count",
    "marking": ".tyres.marking",
    "index": ".tyres.load_index",
    "single": ".tyres.max_load_single",
    "dual": ".tyres.max_load_dual",
    "size": ".tyres.size",
    "kind": ".tyres.type",
    "places": "places",
    "speed": "trip.top_speed",
}


#: What is told where no law is known to divide.
UNDIVIDED = "Passenger-car {words:tyre} count for the whole of their rating here (from memory)."


def passenger(use: str) -> float:
    """One of the figures that hold for passenger-car tyres: ``divisor`` or ``pair``."""
    return next(float(row["figure"]) for row in table_rows("passenger_tyre") if row["use"] == use)


def undivided(places: tuple[str, ...] | None) -> bool:
    """Whether a passenger-car tyre is known to count for all of its rating on every vehicle in each of some places."""
    clear = {row["region"] for row in table_rows("passenger_tyre") if row["use"] == "none"}
    return bool(places) and all(regions((place,)) & clear for place in places or ())


def special_trailer(speed: Value | None) -> tuple[float, float]:
    """What a special-trailer tyre needs more (Pa) and the share of its rating that it carries at a speed (m/s)."""
    steps = table_rows("special_trailer_speed")
    fits = (row for row in steps if speed is None or nominal(speed) <= in_si(f"{row['up_to_mph']} mph") * (1 + _DUST))
    row = next(fits, steps[-1])
    return in_si(f"{row['more_psi']} psi"), float(row["load_share"])


def heavier(load: Value, left: Value | None) -> tuple[Value, str]:
    """The load on the heavier side's wheels with the side's name; the whole load and no name where no ticket read the sides."""
    if left is None:
        return load, ""
    return (load * left, "left") if nominal(left) >= 0.5 else (load * (1 - left), "right")


@dataclass(frozen=True, slots=True)
class _Capacity:
    """What one tyre of an axle is rated for, kg: between ``least`` and ``most`` where a fact is not known."""

    rated: Figure
    most: Value
    least: Value | None  # None when nothing can be claimed
    notes: tuple[str, ...]
    unknown: Undecided | None = None  # the fact that decides between the two


def _capacity(
    count: float, index: Value | str | None, single: Value | None, dual: Value | None, kind: str | None,
    vehicle: Vehicle | None, places: tuple[str, ...] | None, speed: Value | None, marking: str | None,
    size: str | None,
) -> _Capacity | Answer:  # fmt: skip
    """The rating of one tyre as it is fitted here, with plain sentences on how; or what is missing for any."""
    rated = rated_load(count, index, single, dual)
    if rated is None and count == 4:
        alone = rated_load(2, index, single, dual)
        car = kind == "passenger" and (size is None or "/" in size)  # without an aspect ratio it may be any older tyre
        return _pair(alone, places, car=car, unmarked=marking is not None and len(index_parts(index)) == 1)
    if rated is None:
        return undecided(".tyres.load_index", ".tyres.max_load_single", reason="the {word:tyre}'s load rating is not given")
    how: tuple[str, ...] = (
        f"{count:.0f} {{words:tyre}} of {{mass:{nominal(rated.value)}}} each{', in pairs' if count == 4 else ''}, {rated.how}.",
    )
    share = special_trailer(speed)[1] if kind == "special_trailer" and speed is not None else 1.0
    if kind == "special_trailer" and speed is None:
        how += ("Counted for up to 65 mph: the trip's top speed is not given.",)
    if share < 1:
        how += (f"At the trip's top speed a special-trailer {{word:tyre}} carries {100 * share:.0f} % of its rating.",)
    most = rated.value * share
    slower = special_trailer(speed)[1] if speed is not None else 1.0
    if kind is None and isinstance(vehicle, tuple) and slower < 1:
        unsure = undecided(".tyres.size", ".tyres.type", reason=SPECIAL_UNKNOWN)
        return _Capacity(rated, most, most * min(slower, 1 / passenger("divisor")), how, unsure)
    if vehicle == "car" or kind not in (None, "passenger"):
        return _Capacity(rated, most, most, how)
    if undivided(places):
        return _Capacity(rated, most, most, (*how, UNDIVIDED))
    divisor = passenger("divisor")
    divided = f"Passenger-car {{words:tyre}} count for their rating divided by {divisor:.2f} here (FMVSS 120 S5.1.2)."
    unknown = _unknown_for_divisor(kind, vehicle, places)
    least = most / divisor
    return _Capacity(rated, most, least, how, unknown) if unknown else _Capacity(rated, least, least, (*how, divided))


def _pair(alone: Figure | None, places: tuple[str, ...] | None, *, car: bool, unmarked: bool) -> _Capacity | Answer:
    """Tyres in pairs without a dual figure: not rated for it, but for passenger-car tyres where their rating is not divided."""
    missing = undecided(".tyres.max_load_dual", reason="no load rating for dual wheels is given")
    if alone is None:
        return missing
    if car and undivided(places):
        each = alone.value * (passenger("pair") / 2)
        pair = passenger("pair")
        note = (
            f"A pair of passenger-car {{words:tyre}} carries {pair:.2f} times one (a trailer maker's page): 4 of "
            f"{{mass:{nominal(each)}}} each, {alone.how}."
        )
        return _Capacity(replace(alone, value=each), each, each, (note,))
    if unmarked:
        return requires(
            False,
            found="the sidewall states a load for single wheels only, so these {words:tyre} are not rated to run in pairs",
            expected="a load index for single and dual wheels, as in 125/122",
            cures=(
                "Fit {words:tyre} that are marked for dual wheels; if MAX LOAD DUAL is {word:moulded} on these, give "
                "it as max_load_dual.",
            ),
        )
    return _Capacity(alone, alone.value, None, (), missing)  # a tyre of a pair never carries more than it does alone


def _unknown_for_divisor(family: str | None, vehicle: Vehicle | None, places: tuple[str, ...] | None) -> Undecided | None:
    """The fact without which it is not known whether the passenger-car divisor holds."""
    if family is None:
        return undecided(".tyres.size", ".tyres.type", reason="whether it is a passenger-car {word:tyre} is not known")
    if not places or vehicle is None:
        missing = "tow_vehicle.kind" if places else "places"
        return undecided(missing, reason="a passenger-car {word:tyre} counts for less in the United States on all but cars")
    if "us" not in regions(places):
        reason = "whether a passenger-car {word:tyre} counts for less on all but cars is not known for every place of the trip"
        return undecided("places", reason=reason)
    return None


def _held(
    load: Value, left: Value | None, count: float, capacity: _Capacity, name: str, notes: tuple[str, ...], cure: str = ""
) -> Answer:
    """The load against the capacity of its tyres; where a fact is not known, only when both its readings say the same."""
    side_load, side = heavier(load, left)
    tyres = count / 2 if side else count
    most, notes = capacity.most * tyres, (*capacity.notes, *notes)
    quantity = f"The load on the {side} wheels of the {{subject}}" if side else ""
    where = f"the {side} wheels of the {{subject}}" if side else "the {subject}"
    cures = (
        f"Take {{excess}} off {where}, or fit {{words:tyre}} (with wheels and pressure) that are rated for it.",
        *([cure] if cure else ()),
    )
    if not side:
        notes += ("Taken to share evenly from side to side: no ticket reads each side.",)
    if capacity.unknown is None:
        return at_most(side_load, most, limit_name=name, quantity=quantity, notes=notes, cures=cures)
    if nominal(side_load) > nominal(most):
        notes += (f"Passed whatever is not known: {capacity.unknown.reason}.",)
        return at_most(side_load, most, limit_name=name, quantity=quantity, notes=notes, cures=cures)
    if capacity.least is not None and nominal(side_load) <= nominal(capacity.least * tyres) * (1 + _DUST):
        notes += (f"Counted at the lower rating, because it is not known: {capacity.unknown.reason}.",)
        return at_most(side_load, capacity.least * tyres, limit_name=name, quantity=quantity, notes=notes, cures=cures)
    return capacity.unknown


def _on_one(load: Value, left: Value | None, count: float) -> Value:
    """What the most loaded tyre carries, kg."""
    side_load, side = heavier(load, left)
    return side_load / (count / 2 if side else count)


def _reserve(used: float, places: tuple[str, ...] | None) -> tuple[str, ...]:
    """How much of the rating is used, and what is advised where the rig travels; advice, and no limit."""
    said = f"{100 * used:.0f} % of the rating is used"
    advice = [row for row in table_rows("tyre_reserve") if row["region"] in regions(places or ())]
    past = [row for row in advice if 100 * used > float(row["most"])]
    return (f"{said}.", *(f"Advice, and no limit, is at most {row['most']} %. {row['basis']}" for row in past))


@rule(
    "tyre-capacity",
    title="The {words:tyre} of an axle are rated for what it carries",
    each=EACH,
    needs=_NEEDS,
    states=True,
    basis="Load index (standard table) and the maximum load {word:moulded} on the sidewall, the lower of the two; "
    "FMVSS 110 and 120 "
    "for passenger-car {words:tyre} on other vehicles in the United States (that Europe and Australia divide nothing is from "
    "memory); a table of the Tire and Rim Association, read "
    "second-hand, for special-trailer {words:tyre} above 75 mph.",
    quantity="The load on the {subject}",
    limit_name="what its {words:tyre} are rated for",
    why="A {word:tyre} has no reserve in its rating: load tables are minimums for good roads. Higher-rated "
    "{words:tyre} raise this limit and "
    "no other.",
    example="Two passenger-car tyres of 2,200 lb on a trailer axle in the United States: 2 x 2,200 / 1.10 = 4,000 lb.",
)
def tyre_capacity(
    load: Value, count: Value, vehicle: Vehicle | None = None, left: Value | None = None, marking: str | None = None,
    index: Value | str | None = None, single: Value | None = None, dual: Value | None = None, kind: str | None = None,
    places: tuple[str, ...] | None = None, speed: Value | None = None, size: str | None = None,
) -> Answer:  # fmt: skip
    """The load on each axle against the rating of its tyres together, at their reference pressure. Where a ticket read each
    side, the heavier side's load against that side's tyres; else they are taken to share evenly."""
    number = nominal(count)
    found = _capacity(number, index, single, dual, kind, vehicle, places, speed, marking, size)
    if not isinstance(found, _Capacity):
        return found
    reserve = _reserve(nominal(_on_one(load, left, number)) / nominal(found.most), places)
    return _held(load, left, number, found, "what its {words:tyre} are rated for", reserve)


@rule(
    "tyre-inflation",
    title="The {words:tyre} of an axle carry it at the pressure they are set to",
    each=EACH,
    needs={
        **_NEEDS,
        "cold": ".tyres.cold_pressure",
        "reference": ".tyres.pressure_at_max_load",
        "single_rows": ".tyres.load_table.single",
        "dual_rows": ".tyres.load_table.dual",
        "placard": ".tyres.placard_pressure",
        "read_at": ".tyres.pressure_read_at",
        "coldest": "trip.coldest_start",
    },
    states=True,
    basis="The {word:tyre} maker's own table where the file gives it; else a conservative model between published load "
    "and pressure "
    "tables, and the maker's table governs.",
    quantity="The load on the {subject}",
    limit_name="what its {words:tyre} carry at their cold pressure",
    why="A {word:tyre} reaches its rating only at the pressure {word:moulded} beside it. Below that it carries less, "
    "runs hot and fails.",
    example="Rated 3,042 lb at 80 psi, set to 65 psi: 3,042 x (65/80)^0.8 = 2,576 lb.",
)
def tyre_inflation(
    load: Value, count: Value, cold: Value, vehicle: Vehicle | None = None, left: Value | None = None,
    marking: str | None = None, index: Value | str | None = None, single: Value | None = None, dual: Value | None = None,
    kind: str | None = None, places: tuple[str, ...] | None = None, speed: Value | None = None, reference: Value | None = None,
    single_rows: tuple[str, ...] | None = None, dual_rows: tuple[str, ...] | None = None, placard: Value | None = None,
    size: str | None = None, read_at: Value | None = None, coldest: Value | None = None,
) -> Answer:  # fmt: skip
    """The load on each axle against what its tyres carry at their cold pressure; and the pressure that the load needs."""
    number = nominal(count)
    found = _capacity(number, index, single, dual, kind, vehicle, places, speed, marking, size)
    if not isinstance(found, _Capacity):
        return found
    curve = Curve(found.rated.value, reference, kind, maker_rows(dual_rows if number == 4 else single_rows))
    if reference is None and not curve.rows:
        return undecided(
            ".tyres.pressure_at_max_load", reason="the pressure at which the {word:tyre} carries its rating is not given"
        )
    if curve.rows and curve.rows[-1][1] > nominal(curve.rated) * (1 + FAR):
        return undecided(
            ".tyres.load_table",
            reason="its last row carries more than the {word:tyre} is rated for: rows are for one {word:tyre}",
        )
    more = special_trailer(speed)[0] if speed is not None else 0.0
    fast = more > 0 and kind == "special_trailer"
    carried = curve.carries(cold - more if fast else cold)
    unclear = None
    if carried is None and fast:  # what it carries at 65 mph is the most it may
        carried, unclear = curve.carries(cold), undecided(".tyres.cold_pressure", reason=SPECIAL_LOW)
    if carried is None:
        below = "below the lowest row of the maker's table" if curve.rows else "below 0.70 of the reference pressure"
        return undecided(".tyres.cold_pressure", reason=f"{below} no load can be claimed: inflate, and measure cold")
    factor = carried.value / found.rated.value
    scaled = replace(found, most=found.most * factor, least=None if found.least is None else found.least * factor)
    surely = found.most if found.least is None else found.least
    wanted = _on_one(load, left, number) * (curve.rated / surely)
    needed = curve.needs(wanted)
    beyond = "no pressure is enough" if nominal(wanted) > nominal(curve.rated) else "no row of the load table is enough"
    if needed is not None and fast:  # above 65 mph 10 psi more than that of the rating, whatever the load
        beyond = "the pressure it takes above 65 mph is not known without that of the rating"
        needed = None if reference is None else max(needed, nominal(reference)) + more
    if kind is None and more and isinstance(vehicle, tuple):
        unclear = scaled.unknown or undecided(".tyres.size", ".tyres.type", reason=SPECIAL_UNKNOWN)
    if unclear is not None:
        scaled = replace(scaled, least=None, unknown=unclear)
    carries = scaled.most if scaled.least is None else scaled.least
    line = _line(
        marking or size, nominal(cold), nominal(carries), nominal(_on_one(load, left, number)), needed, placard, beyond
    )
    how = (f"{carried.how[0].upper()}{carried.how[1:]}.", *(FAST if fast and unclear is None else ()))
    notes = (line, *how, *_colder(cold, read_at, coldest))
    return _held(
        load, left, number, scaled, "what its {words:tyre} carry at their cold pressure", notes, INFLATE if needed else ""
    )


def _colder(cold: Value, read_at: Value | None, coldest: Value | None) -> tuple[str, ...]:
    """What the same air shows on the coldest morning of the trip; told, and judged by nothing."""
    if read_at is None or coldest is None or nominal(coldest) >= nominal(read_at):
        return ()
    then = nominal(at_temperature(cold, read_at, coldest))
    return (f"On the trip's coldest morning the same air shows {{pressure_down:{then}}}: set them cold again there.",)


def _line(
    name: str | None, cold: float, carries: float, on_one: float, needed: float | None, placard: Value | None, beyond: str
) -> str:  # fmt: skip
    """The tyre in one line: its marking, what it may carry as inflated, what it carries, what pressure that takes."""
    said = f"{name or ONE}: set to {{pressure:{cold}}} cold it may carry {{mass_down:{carries}}}, and carries {{mass:{on_one}}}"
    if needed is None:
        return f"{said}, for which {beyond}."
    if placard is not None and nominal(placard) > needed - PRESSURE_STEP:
        return f"{said}, for which the placard's {{inflation:{nominal(placard)}}} is enough, and less is not allowed."
    return f"{said}, which takes {{inflation:{needed}}}."
